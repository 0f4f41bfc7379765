"""Rows of prices, offers, rates and rules to model objects and back, column by column."""

from collections.abc import Mapping, Sequence
from typing import Any

from core.errors import CollectionError
from core.model.issue import SeriesId, VarietyId
from core.model.prices import (
    Choose,
    Offer,
    OfferId,
    Price,
    PriceId,
    PriceRules,
    Rate,
    SpotPrice,
    Weight,
)
from core.store.mapping import (
    raw,
    read_day,
    read_description,
    read_grade,
    read_problems,
    unreadable,
    write_grade,
)
from core.store.tables import description, offer, price, price_rules, rate

Values = Sequence[Any]


def _of(table_columns: Any) -> tuple[Any, ...]:
    return tuple(raw(column) for column in table_columns)


def _described(columns: Any) -> tuple[Any, ...]:
    """All columns, the description by its key."""
    return tuple(description.c.key if c.name == "description_id" else raw(c) for c in columns)


PRICE = _described(price.c)
OFFER = _described(offer.c)
RATE = _of(rate.c)
RULES = _of(price_rules.c)
RULE_NAMES = tuple(c.name for c in price_rules.c)

PRICE_NAMES = tuple(c.name for c in price.c if c.name != "id")
OFFER_NAMES = tuple(c.name for c in offer.c if c.name != "id")


def _variety(text: str) -> VarietyId | None:
    return VarietyId(text) if text else None


def price_of(row: Values) -> Price:
    """A price of a row of `PRICE`; raises FileTrouble for one not written like that."""
    number, key, variety, is_proof, grade, source, day, minor, currency = row
    try:
        return Price(
            PriceId(number), read_description(key), grade, minor, currency, read_day(day), source,
            _variety(variety), bool(is_proof),
        )  # fmt: skip
    except (ValueError, TypeError, CollectionError) as error:
        raise unreadable(f"A price (number {number})", error) from error


def price_values(one: Price, description_id: int) -> Values:
    """The values of `PRICE_NAMES`."""
    return (
        description_id, one.variety or "", one.is_proof, one.grade, one.source, one.day, one.minor,
        one.currency,
    )  # fmt: skip


def offer_of(row: Values) -> Offer:
    """An offer of a row of `OFFER`; raises FileTrouble for one not written like that."""
    (
        number, key, variety, grade, problems, minor, currency, seen, until, place, quantity, note,
        is_taken,
    ) = row  # fmt: skip
    try:
        return Offer(
            OfferId(number), read_description(key), minor, currency, read_day(seen),
            read_grade(grade), read_problems(problems), _variety(variety), place,
            read_day(until) if until else None,
            quantity, note, bool(is_taken),
        )  # fmt: skip
    except (ValueError, TypeError, CollectionError) as error:
        raise unreadable(f"An offer (number {number})", error) from error


def offer_values(one: Offer, description_id: int) -> Values:
    """The values of `OFFER_NAMES`."""
    return (
        description_id, one.variety or "", write_grade(one.grade), ";".join(one.problems),
        one.minor, one.currency, one.seen, one.until, one.where, one.quantity, one.note,
        one.is_taken,
    )  # fmt: skip


def rate_of(row: Values) -> Rate:
    """A rate of a row of `RATE`."""
    number, currency, base, per, day = row
    try:
        return Rate(currency, base, per, read_day(day))
    except (ValueError, TypeError, CollectionError) as error:
        raise unreadable(f"A rate (number {number})", error) from error


def rules_of(row: Values) -> PriceRules:
    """The rules of a row of `RULES`."""
    cells = dict(zip(RULE_NAMES, row, strict=True))
    try:
        pairs = (one.split("/") for one in cells["inherits"].split(";") if one)
        return PriceRules(
            cells["base"],
            cells["oldest_days"],
            Choose(cells["choose"]),
            cells["problem_share"],
            cells["resale_share"],
            tuple((SeriesId(series), VarietyId(variety)) for series, variety in pairs),
            bool(cells["inherits_all"]),
            _spot(cells, "silver", "spot_day"),
            _spot(cells, "copper", "copper_day"),
        )
    except (ValueError, TypeError, CollectionError) as error:
        raise unreadable(f"The rules of prices (number {cells['id']})", error) from error


def _spot(cells: Mapping[str, Any], metal: str, day: str) -> SpotPrice | None:
    minor = cells[f"{metal}_minor"]
    if minor is None or cells[day] is None:
        return None
    weight = Weight(cells[f"{metal}_unit"])
    return SpotPrice(minor, cells[f"{metal}_currency"], weight, read_day(cells[day]))


def rules_values(one: PriceRules) -> dict[str, Any]:
    """The columns of rules by name."""
    silver, copper = one.silver, one.copper
    return {
        "base": one.base,
        "oldest_days": one.oldest_days,
        "choose": one.choose.value,
        "problem_share": one.problem_share,
        "resale_share": one.resale_share,
        "inherits": ";".join(f"{series}/{variety}" for series, variety in one.inherits),
        "inherits_all": one.inherits_all,
        "silver_minor": silver and silver.minor,
        "silver_currency": silver and silver.currency,
        "silver_unit": silver and silver.weight.value,
        "spot_day": silver and silver.day,
        "copper_minor": copper and copper.minor,
        "copper_currency": copper and copper.currency,
        "copper_unit": copper and copper.weight.value,
        "copper_day": copper and copper.day,
    }
