"""The tables of a collection, private to this package.

One integer key `id` that never changes, no `ON DELETE` action, every foreign key deferrable: the
journal's triggers and undo rely on it.
"""

from sqlalchemy import (
    BigInteger,
    Boolean,
    CheckConstraint,
    Column,
    Date,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    Table,
    Text,
    text,
)

SCHEMA_NO = 6

metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s",
        "pk": "pk_%(table_name)s",
    }
)


def _to(target: str) -> ForeignKey:
    return ForeignKey(target, deferrable=True, initially="IMMEDIATE")


def _key() -> Column[int]:
    return Column("id", Integer, primary_key=True)


# One row: what the collection is called.
collection = Table(
    "collection", metadata, _key(), Column("name", Text, nullable=False), Column("made", Date)
)

# Series used by this collection, as the two texts of their folder, so that a file opens anywhere.
series = Table(
    "series",
    metadata,
    _key(),
    Column("code", Text, nullable=False, unique=True),
    Column("title", Text, nullable=False),
    Column("series_toml", Text, nullable=False),
    Column("issues_csv", Text, nullable=False),
)

# Descriptions are few (thousands) and interned by `Description.key`.
description = Table(
    "description",
    metadata,
    _key(),
    Column("series_id", Integer, _to("series.id"), nullable=False, index=True),
    Column("key", Text, nullable=False, unique=True),
)

# `problems`: words joined by ";". `varieties`: "id=confirmed" joined by ";", sorted.
# AUTOINCREMENT: a coin's number is never used again.
coin = Table(
    "coin",
    metadata,
    _key(),
    Column("description_id", Integer, _to("description.id"), nullable=False),
    Column("grade", Text, nullable=False, server_default=""),
    Column("grade_low", Integer),
    Column("problems", Text, nullable=False, server_default=""),
    Column("is_genuine", Boolean, nullable=False),
    Column("is_flagged", Boolean, nullable=False),
    Column("varieties", Text, nullable=False, server_default=""),
    Column("weight_mg", Integer),
    Column("status", Text, nullable=False),
    Column("quantity", Integer, nullable=False),
    Column("origin", Text, nullable=False),
    Column("came_from", Text, nullable=False, server_default=""),
    Column("acquired", Date),
    Column("place", Text, nullable=False, server_default=""),
    Column("paid_minor", BigInteger),
    Column("currency", Text, nullable=False, server_default=""),
    Column("note", Text, nullable=False, server_default=""),
    CheckConstraint("quantity >= 1", name="quantity"),
    Index("ix_coin_description_grade", "description_id", "grade_low"),
    sqlite_autoincrement=True,
)

album = Table(
    "album",
    metadata,
    _key(),
    Column("series_id", Integer, _to("series.id"), nullable=False),
    Column("name", Text, nullable=False),
    Column("shelf", Integer, nullable=False),
    Column("kind", Text, nullable=False),
    Column("arrangement", Text, nullable=False),
    Column("show_p", Text, nullable=False),
    Column("note", Text, nullable=False, server_default=""),
    Column("volumes", Text, nullable=False, server_default=""),
)

# `target`: `Target.text`, NULL for none; `target_least` repeats its points. `lead`: `Lead.text`.
slot = Table(
    "slot",
    metadata,
    _key(),
    Column("album_id", Integer, _to("album.id"), nullable=False),
    Column("position", Integer, nullable=False),
    Column("label", Text, nullable=False),
    Column("accepts_id", Integer, _to("description.id"), nullable=False),
    Column("variety", Text),
    Column("wish", Text, nullable=False),
    Column("target", Text),
    Column("target_least", Integer),
    Column("is_pinned", Boolean, nullable=False),
    Column("note", Text, nullable=False, server_default=""),
    Column("lead", Text, nullable=False, server_default=""),
    Column("has_own_label", Boolean, nullable=False, server_default=text("0")),
    Index("ix_slot_album_position", "album_id", "position"),
)

_OPEN = text("until IS NULL")

placement = Table(
    "placement",
    metadata,
    _key(),
    Column("slot_id", Integer, _to("slot.id"), nullable=False),
    Column("coin_id", Integer, _to("coin.id"), nullable=False),
    Column("since", Date, nullable=False),
    Column("until", Date),
    CheckConstraint("until IS NULL OR until >= since", name="order"),
    Index("ix_placement_slot", "slot_id"),
    Index("ix_placement_coin", "coin_id"),
    Index(
        "uq_placement_open_slot",
        "slot_id",
        unique=True,
        sqlite_where=_OPEN,
    ),
    Index(
        "uq_placement_open_coin",
        "coin_id",
        unique=True,
        sqlite_where=_OPEN,
    ),
)

# A coin on order meant for a slot: at most one a slot, one a coin.
reservation = Table(
    "reservation",
    metadata,
    _key(),
    Column("slot_id", Integer, _to("slot.id"), nullable=False, unique=True),
    Column("coin_id", Integer, _to("coin.id"), nullable=False, unique=True),
)

# Arrangements kept under a name; `shape`: `Arrangement.whole_text`.
saved_arrangement = Table(
    "saved_arrangement",
    metadata,
    _key(),
    Column("name", Text, nullable=False, unique=True),
    Column("shape", Text, nullable=False),
)


# The search log: campaigns, their searches, their boxes. `series`: ids joined by ";", "" for all.
campaign = Table(
    "campaign",
    metadata,
    _key(),
    Column("name", Text, nullable=False),
    Column("album_id", Integer, _to("album.id"), index=True),
    Column("note", Text, nullable=False, server_default=""),
    Column("opening_boxes", Integer, nullable=False),
    Column("opening_coins", Integer, nullable=False),
    Column("opening_have", Integer),
    Column("opening_wanted", Integer),
    Column("rolls_run_on", Boolean, nullable=False),
)

search = Table(
    "search",
    metadata,
    _key(),
    Column("campaign_id", Integer, _to("campaign.id"), nullable=False, index=True),
    Column("name", Text, nullable=False),
    Column("begun", Date, nullable=False),
    Column("series", Text, nullable=False, server_default=""),
    Column("nothing_before", Integer),
)

box = Table(
    "box",
    metadata,
    _key(),
    Column("search_id", Integer, _to("search.id"), nullable=False, index=True),
    Column("number", Integer, nullable=False),
    Column("begun", Date, nullable=False),
    Column("denomination", Text, nullable=False),
    Column("rolls", Integer, nullable=False),
    Column("per_roll", Integer, nullable=False),
    Column("came_from", Text, nullable=False, server_default=""),
    Column("wrapper", Text, nullable=False, server_default=""),
    Column("kind", Text, nullable=False),
    Column("face_minor", BigInteger),
    Column("fees_minor", BigInteger),
    Column("currency", Text, nullable=False, server_default=""),
    Column("goes_to", Text, nullable=False, server_default=""),
    Column("seconds", Integer, nullable=False),
    Column("at_roll", Integer, nullable=False),
    Column("reached", Integer, nullable=False),
    Column("is_done", Boolean, nullable=False),
    Column("nothing_before", Integer),
    Column("note", Text, nullable=False, server_default=""),
)

# Only rolls that differ from the others of their box.
roll = Table(
    "roll",
    metadata,
    _key(),
    Column("box_id", Integer, _to("box.id"), nullable=False, index=True),
    Column("number", Integer, nullable=False),
    Column("coins", Integer),
    Column("is_skipped", Boolean, nullable=False),
)

# `at` in both: an aware time as ISO 8601 writes it.
find = Table(
    "find",
    metadata,
    _key(),
    Column("box_id", Integer, _to("box.id"), nullable=False, index=True),
    Column("roll", Integer, nullable=False),
    Column("place", Integer, nullable=False),
    Column("coin_id", Integer, _to("coin.id"), nullable=False, index=True),
    Column("is_ender", Boolean, nullable=False),
    Column("answer", Text, nullable=False, server_default=""),
    Column("at", Text),
)

sighting = Table(
    "sighting",
    metadata,
    _key(),
    Column("box_id", Integer, _to("box.id"), nullable=False, index=True),
    Column("roll", Integer, nullable=False),
    Column("place", Integer, nullable=False),
    Column("description_id", Integer, _to("description.id"), index=True),
    Column("counter", Text, nullable=False, server_default=""),
    Column("quantity", Integer, nullable=False),
    Column("variety", Text),
    Column("looked", Text, nullable=False, server_default=""),
    Column("text", Text, nullable=False, server_default=""),
    Column("is_ender", Boolean, nullable=False),
    Column("at", Text),
    CheckConstraint("quantity >= 1", name="quantity"),
)

claim = Table(
    "claim",
    metadata,
    _key(),
    Column("box_id", Integer, _to("box.id"), nullable=False, index=True),
    Column("series", Text, nullable=False),
    Column("from_year", Integer),
    Column("up_to", Integer),
    Column("text", Text, nullable=False, server_default=""),
)

# `rule`: `TallyRule.text`.
tally = Table(
    "tally",
    metadata,
    _key(),
    Column("denomination", Text, nullable=False),
    Column("name", Text, nullable=False),
    Column("rule", Text, nullable=False),
    Column("place", Integer, nullable=False),
)

weighing = Table(
    "weighing",
    metadata,
    _key(),
    Column("box_id", Integer, _to("box.id"), nullable=False, index=True),
    Column("coins", Integer, nullable=False),
    Column("grams_mg", BigInteger, nullable=False),
    Column("series", Text, nullable=False),
    Column("counted", Text, nullable=False, server_default=""),
    Column("result", Integer),
    Column("spread", Integer),
    Column("text", Text, nullable=False, server_default=""),
    Column("at", Text),
)

container = Table(
    "container",
    metadata,
    _key(),
    Column("name", Text, nullable=False),
    Column("holds", Integer, nullable=False),
    Column("eighths", Integer, nullable=False),
    Column("denomination", Text, nullable=False, server_default=""),
    Column("holds_spread", Integer, nullable=False),
    Column("note", Text, nullable=False, server_default=""),
)

# Prices, offers and rates; money in minor units. `variety`: "" for the issue itself.
price = Table(
    "price",
    metadata,
    _key(),
    Column("description_id", Integer, _to("description.id"), nullable=False),
    Column("variety", Text, nullable=False, server_default=""),
    Column("is_proof", Boolean, nullable=False),
    Column("grade", Integer, nullable=False),
    Column("source", Text, nullable=False, server_default=""),
    Column("day", Date, nullable=False),
    Column("minor", BigInteger, nullable=False),
    Column("currency", Text, nullable=False),
    CheckConstraint("minor > 0", name="minor"),
    Index(
        "uq_price_key",
        "description_id",
        "variety",
        "is_proof",
        "grade",
        "source",
        "day",
        unique=True,
    ),
)

offer = Table(
    "offer",
    metadata,
    _key(),
    Column("description_id", Integer, _to("description.id"), nullable=False, index=True),
    Column("variety", Text, nullable=False, server_default=""),
    Column("grade", Text, nullable=False, server_default=""),
    Column("problems", Text, nullable=False, server_default=""),
    Column("minor", BigInteger, nullable=False),
    Column("currency", Text, nullable=False),
    Column("seen", Date, nullable=False),
    Column("until", Date),
    Column("place", Text, nullable=False, server_default=""),
    Column("quantity", Integer, nullable=False),
    Column("note", Text, nullable=False, server_default=""),
    Column("is_taken", Boolean, nullable=False),
    CheckConstraint("minor > 0", name="minor"),
    CheckConstraint("quantity >= 1", name="quantity"),
)

# One unit of `currency` is `per` units of `base`: a decimal as text.
rate = Table(
    "rate",
    metadata,
    _key(),
    Column("currency", Text, nullable=False),
    Column("base", Text, nullable=False),
    Column("per", Text, nullable=False),
    Column("day", Date, nullable=False),
    Index("uq_rate_currency_base", "currency", "base", unique=True),
)

# One row, or none while nothing was set. `inherits`: series/variety joined by ";".
price_rules = Table(
    "price_rules",
    metadata,
    _key(),
    Column("base", Text, nullable=False),
    Column("oldest_days", Integer, nullable=False),
    Column("choose", Text, nullable=False),
    Column("problem_share", Integer, nullable=False),
    Column("resale_share", Integer, nullable=False),
    Column("inherits", Text, nullable=False, server_default=""),
    Column("silver_minor", BigInteger),
    Column("copper_minor", BigInteger),
    Column("spot_day", Date),
    Column("inherits_all", Boolean, nullable=False, server_default=text("0")),
    Column("silver_currency", Text),
    Column("silver_unit", Text),
    Column("copper_currency", Text),
    Column("copper_unit", Text),
    Column("copper_day", Date),
)

# What the collector chose of a plan, by slot and purchase: a coin of the price list (description,
# variety, grade) or an offer. `kind`: `ChoiceKind`; one row `shown` a slot.
plan_choice = Table(
    "plan_choice",
    metadata,
    _key(),
    Column("slot_id", Integer, _to("slot.id"), nullable=False, index=True),
    Column("kind", Text, nullable=False),
    Column("description_id", Integer, _to("description.id")),
    Column("variety", Text, nullable=False, server_default=""),
    Column("is_proof", Boolean, nullable=False, server_default=text("0")),
    Column("grade", Integer, nullable=False, server_default=text("0")),
    Column("offer_id", Integer, _to("offer.id"), index=True),
    CheckConstraint("(description_id IS NULL) <> (offer_id IS NULL)", name="of"),
)

# A collector's own reference codes; a series need not be carried to have one.
own_code = Table(
    "own_code",
    metadata,
    _key(),
    Column("series", Text, nullable=False),
    Column("variety", Text, nullable=False),
    Column("code", Text, nullable=False),
    Index("uq_own_code_code", "code", unique=True),
    Index("uq_own_code_variety", "series", "variety", unique=True),
)


def say_open_to_postgresql() -> None:
    """Give the partial indexes their condition for PostgreSQL too, before making tables there.

    Not said above: naming that dialect loads it, which a start on SQLite need not wait for.
    """
    for index in placement.indexes:
        if index.unique:
            index.dialect_options["postgresql"]["where"] = _OPEN


JOURNALLED = (
    collection,
    series,
    description,
    coin,
    album,
    slot,
    placement,
    reservation,
    saved_arrangement,
    campaign,
    search,
    box,
    roll,
    find,
    sighting,
    claim,
    tally,
    weighing,
    container,
    price,
    offer,
    rate,
    price_rules,
    own_code,
    plan_choice,
)
