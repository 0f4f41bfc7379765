"""Prices of one's own, offers seen, rates between currencies, and the rules to reckon by them.

Money is whole minor units of a currency (ISO 4217, or the demo's invented HBT). No price is
shipped: all are the collector's. `require_…` refuses what cannot be, in words.
"""

import re
from dataclasses import dataclass
from datetime import date
from decimal import Decimal, InvalidOperation
from enum import StrEnum
from fractions import Fraction
from typing import NewType

from core.errors import BadEntry
from core.model.coin import Problem
from core.model.grade import SCALE, Grade, code_of
from core.model.issue import Description, SeriesId, VarietyId
from core.model.money import read_money

PriceId = NewType("PriceId", int)
OfferId = NewType("OfferId", int)

MOST_MINOR = 10**15
"""More than this is a slip of the keys."""
MOST_QUANTITY = 10_000
UNGRADED = 0
"""The grade of a price that is asked for a coin without one."""
MOST_DAYS = 100 * 366
_CODE = re.compile(r"[A-Z]{3}")


class Weight(StrEnum):
    """What the spot price of a metal is asked for."""

    OUNCE = "ozt"
    KILO = "kg"

    @property
    def words(self) -> str:
        """As it is read: a troy ounce."""
        return "a troy ounce" if self is Weight.OUNCE else "a kilogram"


class Choose(StrEnum):
    """Which of several sources' prices of one coin in one grade counts."""

    NEWEST = "newest"
    MEDIAN = "median"


@dataclass(frozen=True, slots=True)
class Price:
    """What a sound coin so described costs in one grade, by one source, on one day.

    `description` names the issues it is asked for, whichever of them it is; `variety` the variety
    confirmed on it, None for the issue itself. `grade` in points, `UNGRADED` for a coin that has
    none; proofs are a list of their own.
    `minor` is above 0, in minor units of `currency`.
    """

    id: PriceId
    description: Description
    grade: int
    minor: int
    currency: str
    day: date
    source: str = ""
    variety: VarietyId | None = None
    is_proof: bool = False

    @property
    def series(self) -> SeriesId:
        """The series it is of."""
        return self.description.series

    @property
    def grade_text(self) -> str:
        """VF-20; no grade."""
        return "no grade" if self.grade == UNGRADED else code_of(self.grade, self.is_proof)

    @property
    def key(self) -> tuple[Description, VarietyId | None, bool, int, str, date]:
        """What two prices cannot share: the later one entered takes the place of the other."""
        return (self.description, self.variety, self.is_proof, self.grade, self.source, self.day)


@dataclass(frozen=True, slots=True)
class Offer:
    """A coin seen at a show or a dealer's: what, its price, where, until when (None: open).

    `grade` is None where none was told. It can be taken `quantity` times; `is_taken`: it was, to
    the last, and is kept for the record alone.
    """

    id: OfferId
    description: Description
    minor: int
    currency: str
    seen: date
    grade: Grade | None = None
    problems: tuple[Problem, ...] = ()
    variety: VarietyId | None = None
    where: str = ""
    until: date | None = None
    quantity: int = 1
    note: str = ""
    is_taken: bool = False

    @property
    def is_sound(self) -> bool:
        """Whether it names no problem."""
        return not self.problems and not (self.grade is not None and self.grade.is_details)

    def stands_on(self, day: date) -> bool:
        """Whether it can still be taken on a day."""
        return not self.is_taken and (self.until is None or day <= self.until)


@dataclass(frozen=True, slots=True)
class Rate:
    """One unit of `currency` is `per` units of `base`; `per` is a decimal as it was typed, 1.08."""

    currency: str
    base: str
    per: str
    day: date

    @property
    def exact(self) -> Fraction:
        """The rate as an exact number."""
        return Fraction(Decimal(self.per))


@dataclass(frozen=True, slots=True)
class SpotPrice:
    """What the collector noted that a metal costs: minor units of a currency, by a weight."""

    minor: int
    currency: str
    weight: Weight
    day: date


@dataclass(frozen=True, slots=True)
class PriceRules:
    """How the collector reckons.

    `base`: the currency all is told in. A price older than `oldest_days` is greyed and counted.
    `problem_share`: what a coin with a problem costs, in per cent of a sound one; `resale_share`:
    what a freed coin brings, in per cent of its price. `inherits`: varieties that cost what their
    issue does where they have no price of their own; `inherits_all`: each of them does. `silver`,
    `copper`: spot prices as they were entered, None where they were not.
    """

    base: str = "USD"
    oldest_days: int = 730
    choose: Choose = Choose.NEWEST
    problem_share: int = 50
    resale_share: int = 60
    inherits: tuple[tuple[SeriesId, VarietyId], ...] = ()
    inherits_all: bool = False
    silver: SpotPrice | None = None
    copper: SpotPrice | None = None

    def lets_inherit(self, series: SeriesId, variety: VarietyId) -> bool:
        """Whether a variety without a price may take its issue's."""
        return self.inherits_all or (series, variety) in self.inherits


def read_rate(text: str) -> str:
    """A rate as typed, 1.08 or 1,08, in its plain form; raises BadEntry."""
    plain = text.strip().replace(",", ".")
    try:
        value = Decimal(plain)
    except InvalidOperation:
        value = Decimal(0)
    if not re.fullmatch(r"\d{1,9}(\.\d{1,12})?", plain) or value <= 0:
        raise BadEntry(
            f"“{text}” is no rate. Write how much one unit of the currency is worth, such as 1.08."
        )
    return plain


_WEIGHTS = {
    **dict.fromkeys(("oz", "ozt", "ounce"), Weight.OUNCE),
    **dict.fromkeys(("kg", "kilogram", "kilo"), Weight.KILO),
}


def read_spot(text: str, usual: Weight, base: str, day: date) -> SpotPrice | None:
    """The spot price of a metal as typed: 30.50, 28 EUR, 900 EUR a kg; None for nothing or 0.

    Currency and weight are those told here where it names none. Raises BadEntry.
    """
    words = re.findall(r"[^\s/]+", text)
    currency, weight, amounts = base, usual, []
    for word in words:
        if word.casefold() in _WEIGHTS:
            weight = _WEIGHTS[word.casefold()]
        elif re.fullmatch("[A-Za-z]{3}", word) and word.casefold() not in ("per", "the"):
            currency = word.upper()
        elif not re.fullmatch("(?i)a|per|the|troy", word):
            amounts.append(word)
    if not words:
        return None
    if len(amounts) != 1:
        raise BadEntry(
            f"“{text.strip()}” is no price of a metal; write it such as 30.50, 28 EUR or "
            "900 EUR a kg."
        )
    minor = read_money(amounts[0], currency)
    if minor:
        require_amount(minor, "The price of a metal")
    return SpotPrice(minor, currency, weight, day) if minor else None


# What cannot be


def _require(is_so: bool, message: str) -> None:
    if not is_so:
        raise BadEntry(message)


def require_currency(code: str) -> None:
    """Refuse what is no code of a currency; raises BadEntry."""
    _require(
        bool(_CODE.fullmatch(code)),
        f"“{code}” is no currency; write its three capital letters, such as USD or EUR.",
    )


def require_amount(minor: int, what: str) -> None:
    """Refuse a price that is nothing, or beyond all sense; raises BadEntry."""
    _require(minor > 0, f"{what} must be above 0; leave it out where it is not known.")
    _require(minor <= MOST_MINOR, f"{what} is too great to be one; look for a slip of the keys.")


def require_price(one: Price) -> None:
    """Refuse a price that cannot be; raises BadEntry."""
    require_amount(one.minor, "A price")
    require_currency(one.currency)
    _require(
        one.grade == UNGRADED or one.grade in SCALE,
        f"A price is of a step of the grade scale; {one.grade} is none.",
    )


def require_offer(one: Offer) -> None:
    """Refuse an offer that cannot be; raises BadEntry."""
    require_amount(one.minor, "The amount")
    require_currency(one.currency)
    _require(
        1 <= one.quantity <= MOST_QUANTITY,
        f"An offer is of 1 to {MOST_QUANTITY:,} coins, not {one.quantity:,}.",
    )
    _require(
        one.until is None or one.until >= one.seen,
        f"The offer ends on {one.until}, before it was seen on {one.seen}; correct one of these.",
    )


def require_rate(one: Rate) -> None:
    """Refuse a rate that cannot be; raises BadEntry."""
    require_currency(one.currency)
    require_currency(one.base)
    _require(
        one.currency != one.base,
        f"One {one.base} is one {one.base}; enter rates of other currencies.",
    )
    read_rate(one.per)


def require_rules(one: PriceRules) -> None:
    """Refuse rules that cannot be; raises BadEntry."""
    require_currency(one.base)
    _require(
        0 < one.oldest_days <= MOST_DAYS,
        f"A price counts as old after 1 to {MOST_DAYS:,} days, not {one.oldest_days:,}.",
    )
    for share, what in ((one.problem_share, "a problem coin"), (one.resale_share, "a freed coin")):
        _require(
            0 <= share <= 100,
            f"The share of {what} is 0 to 100 per cent of its price, not {share}.",
        )
    for spot, what in ((one.silver, "silver"), (one.copper, "copper")):
        if spot is not None:
            require_amount(spot.minor, f"The spot price of {what}")
            require_currency(spot.currency)
