"""Prices of one's own, offers seen, rates, and the rules to reckon by them."""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"


def _key() -> sa.Column[int]:
    return sa.Column("id", sa.Integer, primary_key=True)


def _described(is_indexed: bool) -> sa.Column[int]:
    key = sa.ForeignKey("description.id", deferrable=True, initially="IMMEDIATE")
    return sa.Column("description_id", sa.Integer, key, nullable=False, index=is_indexed)


def _words(*names: str) -> list[sa.Column[str]]:
    return [sa.Column(name, sa.Text, nullable=False) for name in names]


def _note(name: str) -> sa.Column[str]:
    return sa.Column(name, sa.Text, nullable=False, server_default="")


def _counts(*names: str) -> list[sa.Column[int]]:
    return [sa.Column(name, sa.Integer, nullable=False) for name in names]


def _day(name: str, nullable: bool = False) -> sa.Column[object]:
    return sa.Column(name, sa.Date, nullable=nullable)


def _minor(name: str, nullable: bool = False) -> sa.Column[int]:
    return sa.Column(name, sa.BigInteger, nullable=nullable)


def upgrade() -> None:
    """Make the new tables; none of the others changes."""
    op.create_table(
        "price",
        _key(),
        _described(is_indexed=False),
        _note("variety"),
        sa.Column("is_proof", sa.Boolean, nullable=False),
        *_counts("grade"),
        _note("source"),
        _day("day"),
        _minor("minor"),
        *_words("currency"),
        sa.CheckConstraint("minor > 0", name="minor"),
    )
    key = ["description_id", "variety", "is_proof", "grade", "source", "day"]
    op.create_index("uq_price_key", "price", key, unique=True)
    op.create_table(
        "offer",
        _key(),
        _described(is_indexed=True),
        _note("variety"),
        _note("grade"),
        _note("problems"),
        _minor("minor"),
        *_words("currency"),
        _day("seen"),
        _day("until", nullable=True),
        _note("place"),
        *_counts("quantity"),
        _note("note"),
        sa.Column("is_taken", sa.Boolean, nullable=False),
        sa.CheckConstraint("minor > 0", name="minor"),
        sa.CheckConstraint("quantity >= 1", name="quantity"),
    )
    op.create_table("rate", _key(), *_words("currency", "base", "per"), _day("day"))
    op.create_index("uq_rate_currency_base", "rate", ["currency", "base"], unique=True)
    op.create_table(
        "price_rules",
        _key(),
        *_words("base"),
        *_counts("oldest_days"),
        *_words("choose"),
        *_counts("problem_share", "resale_share"),
        _note("inherits"),
        _minor("silver_minor", nullable=True),
        _minor("copper_minor", nullable=True),
        _day("spot_day", nullable=True),
    )
