"""Choices of a plan; spot prices with their own currency, weight and day."""

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"


def _to(name: str, target: str, nullable: bool, is_indexed: bool = True) -> sa.Column[int]:
    key = sa.ForeignKey(target, deferrable=True, initially="IMMEDIATE")
    return sa.Column(name, sa.Integer, key, nullable=nullable, index=is_indexed)


def upgrade() -> None:
    """Make the new table; the rules get columns, which say what was meant before."""
    op.create_table(
        "plan_choice",
        sa.Column("id", sa.Integer, primary_key=True),
        _to("slot_id", "slot.id", nullable=False),
        sa.Column("kind", sa.Text, nullable=False),
        _to("description_id", "description.id", nullable=True, is_indexed=False),
        sa.Column("variety", sa.Text, nullable=False, server_default=""),
        sa.Column("is_proof", sa.Boolean, nullable=False, server_default=sa.text("0")),
        sa.Column("grade", sa.Integer, nullable=False, server_default=sa.text("0")),
        _to("offer_id", "offer.id", nullable=True),
        sa.CheckConstraint("(description_id IS NULL) <> (offer_id IS NULL)", name="of"),
    )
    with op.batch_alter_table("price_rules", recreate="always") as rules:
        # A default of SQL's own: one in quotes would be read back in brackets.
        no = sa.text("0")
        rules.add_column(sa.Column("inherits_all", sa.Boolean, nullable=False, server_default=no))
        for name in ("silver_currency", "silver_unit", "copper_currency", "copper_unit"):
            rules.add_column(sa.Column(name, sa.Text))
        rules.add_column(sa.Column("copper_day", sa.Date))
    # Until now both metals were told in the base, of one day: silver by the ounce, copper the kilo.
    op.execute(
        "UPDATE price_rules SET silver_currency = base, silver_unit = 'ozt' "
        "WHERE silver_minor IS NOT NULL"
    )
    op.execute(
        "UPDATE price_rules SET copper_currency = base, copper_unit = 'kg', copper_day = spot_day "
        "WHERE copper_minor IS NOT NULL"
    )
    op.execute("UPDATE price_rules SET spot_day = NULL WHERE silver_minor IS NULL")
