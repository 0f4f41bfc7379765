"""What the silver and copper of a coin are worth at a spot price that the collector entered. Pure.

Contents are those of a coin as struck; worn ones weigh less. Silver in troy ounces of
31.1034768 g, copper in grams.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from core.model.issue import Composition, Series
from core.model.melting import melting_caution
from core.model.prices import PriceRules, Rate, SpotPrice, Weight
from core.planning.prices import exact_converter

GRAMS_PER_OUNCE = Decimal("31.1034768")
_OUNCES_PER_KILO = 1000 / Fraction(GRAMS_PER_OUNCE)
_SHARE = re.compile(r"\b(copper|silver) (\d{1,2}(?:\.\d{1,3})?) %")


@dataclass(frozen=True, slots=True)
class Contents:
    """Fine silver in troy ounces and copper in grams of one coin; None: not known."""

    silver_ozt: Decimal | None
    copper_g: Decimal | None


def contents(of: Composition) -> Contents:
    """The contents of a composition: the published silver, else its share of the weight.

    A share is read off the composition's sign (copper 95 %); where it names none, it is not known.
    """
    shares = {metal: Decimal(share) / 100 for metal, share in _SHARE.findall(of.sign)}
    weight = None if of.weight_g is None else Decimal(str(of.weight_g))
    grams = {metal: weight * share for metal, share in shares.items() if weight is not None}
    silver = None if of.silver_ozt is None else Decimal(str(of.silver_ozt))
    if silver is None and "silver" in grams:
        silver = ounces(grams["silver"])
    return Contents(silver, grams.get("copper"))


def ounces(grams: Decimal) -> Decimal:
    """Grams as troy ounces."""
    return grams / GRAMS_PER_OUNCE


@dataclass(frozen=True, slots=True)
class Spots:
    """What the metals cost in minor units of the base: silver a troy ounce, copper a kilogram.

    None: not entered, or in a currency without a rate, of which `without_rate` names the codes.
    """

    silver: Fraction | None = None
    copper: Fraction | None = None
    without_rate: tuple[str, ...] = ()

    @property
    def is_any(self) -> bool:
        """Whether a metal has a price that can be reckoned with."""
        return self.silver is not None or self.copper is not None


def spots_of(rules: PriceRules, rates: Iterable[Rate] = ()) -> Spots:
    """The spot prices of the rules, exactly, in the base currency."""
    in_base = exact_converter(rates, rules.base)

    def by(spot: SpotPrice | None, weight: Weight) -> Fraction | None:
        found = None if spot is None else in_base(spot.minor, spot.currency)
        if spot is None or found is None or spot.weight is weight:
            return found
        return found * _OUNCES_PER_KILO if weight is Weight.KILO else found / _OUNCES_PER_KILO

    silver, copper = by(rules.silver, Weight.OUNCE), by(rules.copper, Weight.KILO)
    both = ((rules.silver, silver), (rules.copper, copper))
    bare = {spot.currency for spot, found in both if spot is not None and found is None}
    return Spots(silver, copper, tuple(sorted(bare)))


@dataclass(frozen=True, slots=True)
class Bullion:
    """What the metals of some coins are worth, in minor units of the base currency.

    A part is None where its content or its spot price is not known. `caution` is "" where nothing
    is worth anything.
    """

    silver_minor: int | None
    copper_minor: int | None
    caution: str

    @property
    def minor(self) -> int | None:
        """What is known of both together; None where that is nothing and a part is not known."""
        parts = (self.silver_minor, self.copper_minor)
        known = sum(part or 0 for part in parts)
        return None if known == 0 and None in parts else known


def bullion(series: Series, of: Composition, spots: Spots, coins: int = 1) -> Bullion:
    """The worth of the metals of so many coins, each metal rounded once, half to even."""
    held = contents(of)
    kilos = None if held.copper_g is None else held.copper_g / 1000
    silver = _worth(held.silver_ozt, spots.silver, coins)
    copper = _worth(kilos, spots.copper, coins)
    is_spoken_of = bool(silver) or bool(copper)
    return Bullion(silver, copper, melting_caution(series) if is_spoken_of else "")


def _worth(content: Decimal | None, spot: Fraction | None, coins: int) -> int | None:
    if content is None or spot is None:
        return None
    return round(Fraction(content) * spot * coins)
