"""The first schema."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def _key() -> sa.Column[int]:
    return sa.Column("id", sa.Integer, primary_key=True)


def _to(name: str, table: str, index: bool = False) -> sa.Column[int]:
    key = sa.ForeignKey(f"{table}.id", deferrable=True, initially="IMMEDIATE")
    return sa.Column(name, sa.Integer, key, nullable=False, index=index)


def _words(name: str, unique: bool = False) -> sa.Column[str]:
    return sa.Column(name, sa.Text, nullable=False, unique=unique)


def _note(name: str) -> sa.Column[str]:
    return sa.Column(name, sa.Text, nullable=False, server_default="")


def _count(name: str) -> sa.Column[int]:
    return sa.Column(name, sa.Integer, nullable=False)


def _flag(name: str) -> sa.Column[bool]:
    return sa.Column(name, sa.Boolean, nullable=False)


def upgrade() -> None:
    """Make every table; images and triggers of the journal are made anew afterwards."""
    op.create_table("collection", _key(), _words("name"), sa.Column("made", sa.Date))
    op.create_table(
        "series",
        _key(),
        _words("code", unique=True),
        _words("title"),
        _words("series_toml"),
        _words("issues_csv"),
    )
    op.create_table(
        "description", _key(), _to("series_id", "series", index=True), _words("key", unique=True)
    )
    op.create_table(
        "coin",
        _key(),
        _to("description_id", "description"),
        _note("grade"),
        sa.Column("grade_low", sa.Integer),
        _note("problems"),
        _flag("is_genuine"),
        _flag("is_flagged"),
        _note("varieties"),
        sa.Column("weight_mg", sa.Integer),
        _words("status"),
        _count("quantity"),
        _words("origin"),
        _note("came_from"),
        sa.Column("acquired", sa.Date),
        _note("place"),
        sa.Column("paid_minor", sa.BigInteger),
        _note("currency"),
        _note("note"),
        sa.CheckConstraint("quantity >= 1", name="quantity"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_coin_description_grade", "coin", ["description_id", "grade_low"])
    op.create_table(
        "album",
        _key(),
        _to("series_id", "series"),
        _words("name"),
        _count("shelf"),
        _words("kind"),
        _words("arrangement"),
        _words("show_p"),
        _note("note"),
    )
    op.create_table(
        "slot",
        _key(),
        _to("album_id", "album"),
        _count("position"),
        _words("label"),
        _to("accepts_id", "description"),
        sa.Column("variety", sa.Text),
        _words("wish"),
        sa.Column("target", sa.Text),
        sa.Column("target_least", sa.Integer),
        _flag("is_pinned"),
        _note("note"),
    )
    op.create_index("ix_slot_album_position", "slot", ["album_id", "position"])
    op.create_table(
        "placement",
        _key(),
        _to("slot_id", "slot"),
        _to("coin_id", "coin"),
        sa.Column("since", sa.Date, nullable=False),
        sa.Column("until", sa.Date),
        sa.CheckConstraint("until IS NULL OR until >= since", name="order"),
    )
    op.create_index("ix_placement_slot", "placement", ["slot_id"])
    op.create_index("ix_placement_coin", "placement", ["coin_id"])
    for whole in ("slot", "coin"):
        op.create_index(
            f"uq_placement_open_{whole}",
            "placement",
            [f"{whole}_id"],
            unique=True,
            sqlite_where=sa.text("until IS NULL"),
            postgresql_where=sa.text("until IS NULL"),
        )
    op.create_table("reservation", _key(), _unique_to("slot"), _unique_to("coin"))


def _unique_to(table: str) -> sa.Column[int]:
    key = sa.ForeignKey(f"{table}.id", deferrable=True, initially="IMMEDIATE")
    return sa.Column(f"{table}_id", sa.Integer, key, nullable=False, unique=True)
