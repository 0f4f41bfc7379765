"""What stands before a slot, labels of one's own, volumes, and arrangements kept under a name."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def _words(name: str) -> sa.Column[str]:
    return sa.Column(name, sa.Text, nullable=False, server_default="")


def upgrade() -> None:
    """Add the columns at the end of their tables, made anew as a new file has them."""
    with op.batch_alter_table("album", recreate="always") as album:
        album.add_column(_words("volumes"))
    with op.batch_alter_table("slot", recreate="always") as slot:
        slot.add_column(_words("lead"))
        own = sa.Column("has_own_label", sa.Boolean, nullable=False, server_default=sa.text("0"))
        slot.add_column(own)
    op.create_table(
        "saved_arrangement",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("name", sa.Text, nullable=False, unique=True),
        sa.Column("shape", sa.Text, nullable=False),
    )
