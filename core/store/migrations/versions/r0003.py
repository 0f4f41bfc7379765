"""The search log: campaigns, searches, boxes, what was kept and counted in them."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"


def _key() -> sa.Column[int]:
    return sa.Column("id", sa.Integer, primary_key=True)


def _to(table: str, nullable: bool = False) -> sa.Column[int]:
    key = sa.ForeignKey(f"{table}.id", deferrable=True, initially="IMMEDIATE")
    return sa.Column(f"{table}_id", sa.Integer, key, nullable=nullable, index=True)


def _words(*names: str) -> list[sa.Column[str]]:
    return [sa.Column(name, sa.Text, nullable=False) for name in names]


def _note(name: str) -> sa.Column[str]:
    return sa.Column(name, sa.Text, nullable=False, server_default="")


def _counts(*names: str, nullable: bool = False) -> list[sa.Column[int]]:
    return [sa.Column(name, sa.Integer, nullable=nullable) for name in names]


def _flag(name: str) -> sa.Column[bool]:
    return sa.Column(name, sa.Boolean, nullable=False)


def upgrade() -> None:
    """Make the new tables; none of the others changes."""
    _make_boxes()
    op.create_table(
        "find",
        _key(),
        _to("box"),
        *_counts("roll", "place"),
        _to("coin"),
        _flag("is_ender"),
        _note("answer"),
        sa.Column("at", sa.Text),
    )
    op.create_table(
        "sighting",
        _key(),
        _to("box"),
        *_counts("roll", "place"),
        _to("description", nullable=True),
        _note("counter"),
        *_counts("quantity"),
        sa.Column("variety", sa.Text),
        _note("looked"),
        _note("text"),
        _flag("is_ender"),
        sa.Column("at", sa.Text),
        sa.CheckConstraint("quantity >= 1", name="quantity"),
    )
    op.create_table(
        "claim",
        _key(),
        _to("box"),
        *_words("series"),
        *_counts("from_year", "up_to", nullable=True),
        _note("text"),
    )
    op.create_table("tally", _key(), *_words("denomination", "name", "rule"), *_counts("place"))
    op.create_table(
        "weighing",
        _key(),
        _to("box"),
        *_counts("coins"),
        sa.Column("grams_mg", sa.BigInteger, nullable=False),
        *_words("series"),
        _note("counted"),
        *_counts("result", "spread", nullable=True),
        _note("text"),
        sa.Column("at", sa.Text),
    )
    op.create_table(
        "container",
        _key(),
        *_words("name"),
        *_counts("holds", "eighths"),
        _note("denomination"),
        *_counts("holds_spread"),
        _note("note"),
    )


def _make_boxes() -> None:
    op.create_table(
        "campaign",
        _key(),
        *_words("name"),
        _to("album", nullable=True),
        _note("note"),
        *_counts("opening_boxes", "opening_coins"),
        *_counts("opening_have", "opening_wanted", nullable=True),
        _flag("rolls_run_on"),
    )
    op.create_table(
        "search",
        _key(),
        _to("campaign"),
        *_words("name"),
        sa.Column("begun", sa.Date, nullable=False),
        _note("series"),
        *_counts("nothing_before", nullable=True),
    )
    op.create_table(
        "box",
        _key(),
        _to("search"),
        *_counts("number"),
        sa.Column("begun", sa.Date, nullable=False),
        *_words("denomination"),
        *_counts("rolls", "per_roll"),
        _note("came_from"),
        _note("wrapper"),
        *_words("kind"),
        sa.Column("face_minor", sa.BigInteger),
        sa.Column("fees_minor", sa.BigInteger),
        _note("currency"),
        _note("goes_to"),
        *_counts("seconds", "at_roll", "reached"),
        _flag("is_done"),
        *_counts("nothing_before", nullable=True),
        _note("note"),
    )
    op.create_table(
        "roll",
        _key(),
        _to("box"),
        *_counts("number"),
        *_counts("coins", nullable=True),
        _flag("is_skipped"),
    )
