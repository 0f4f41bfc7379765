"""A weighed pile of two metals: how many of the coins are of the one, with the spread.

A coin's tolerance is the bounds of an even spread (deviation = tolerance ÷ √3), independent from
coin to coin; so is the scale's. Wear shifts all coins alike, as far as the bound that is assumed.
± is two deviations.
"""

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import ceil, floor, inf, sqrt

from core.errors import BadEntry
from core.model.issue import Composition, Release, Series, Strike
from core.model.melting import melting_caution as caution

WEAR_SHARE = 0.009
"""How far shared wear may shift a coin's weight, as a share of it: assumed, not measured."""
SCALE_G = 0.1
"""How far a scale's reading may be off, in grams, where nobody says."""
MOST_COINS = 10_000_000

_EVEN = 1 / sqrt(3)
_FEWEST_FOR_CHANCE = 3  # up to so many coins, all may lie at their bound at once
_TOLD_DEVIATIONS = 3


@dataclass(frozen=True, slots=True)
class Metal:
    """What a pile is sorted by: compositions of one weight. Grams; tolerance None: not known."""

    title: str
    ids: tuple[str, ...]
    weight_g: float
    tolerance_g: float | None = None
    is_copper: bool = False
    is_silver: bool = False

    def may_weigh(self, grams: float, scale_g: float) -> bool:
        """Whether one coin of it may read so within its tolerance and the scale's."""
        return abs(grams - self.weight_g) <= (self.tolerance_g or 0) + scale_g + 1e-9


@dataclass(frozen=True, slots=True)
class Pile:
    """What lies on the scale: so many coins, so many grams, the bounds of scale and wear.

    `wear_g`: how far the weight of a coin may be shifted by what all have in common; None: the
    share of it that is assumed.
    """

    coins: int
    grams: float
    scale_g: float = SCALE_G
    wear_g: float | None = None


@dataclass(frozen=True, slots=True)
class Weighed:
    """How many coins are of `counted`, the rest of `other`.

    `exact` is the count before it was rounded to whole coins. `chance` and
    `wear` are the two parts of the spread, each two deviations, in coins.
    `notes` are what has to be said beside it.
    """

    counted: Metal
    other: Metal
    coins: int
    exact: float
    chance: float
    wear: float
    notes: tuple[str, ...] = ()

    @property
    def count(self) -> int:
        """The nearest whole count."""
        return round(self.exact)

    @property
    def spread(self) -> float:
        """Both parts together."""
        return sqrt(self.chance**2 + self.wear**2)

    @property
    def between(self) -> tuple[int, int]:
        """The fewest and the most whole coins within the spread.

        Where no whole count lies within it, those to both sides.
        """
        low, high = ceil(self.exact - self.spread), floor(self.exact + self.spread)
        if low > high:
            low, high = floor(self.exact), ceil(self.exact)
        return max(0, low), min(self.coins, high)

    @property
    def text(self) -> str:
        """235 ± 5, shared wear adds ± 20."""
        return f"{self.count:,} ± {_coins(self.chance)}, shared wear adds ± {_coins(self.wear)}"


def _coins(spread: float) -> str:
    """A spread in whole coins; below one in tenths, and a trifle as one tenth."""
    if spread == 0:
        return "0"
    return f"{round(spread):,}" if spread >= 1 else f"{max(spread, 0.1):.1f}"


def metals_of(series: Series) -> tuple[Metal, ...]:
    """The metals in which a series went to banks, by weight, the most common first.

    Compositions that weigh the same are one; those of which the weight is not known are left out.
    """
    struck = Counter(
        issue.composition
        for issue in series.issues
        if issue.strike is Strike.CIRCULATION and issue.release is Release.BANKS
    )
    alike: dict[tuple[float, float | None], list[Composition]] = {}
    for one in series.compositions:
        if one.weight_g is not None and struck[one.id]:
            alike.setdefault((one.weight_g, one.tolerance_g), []).append(one)
    groups = sorted(alike.values(), key=lambda group: -sum(struck[one.id] for one in group))
    return tuple(map(_metal, groups))


def _metal(alike: Sequence[Composition]) -> Metal:
    first = alike[0]
    is_copper = all(_is_copper(one) for one in alike)
    titles = " or ".join(one.title for one in alike)
    return Metal(
        "copper" if is_copper and len(alike) > 1 else titles,
        tuple(one.id for one in alike),
        first.weight_g or 0.0,
        first.tolerance_g,
        is_copper,
        any(one.silver_ozt for one in alike),
    )


def _is_copper(one: Composition) -> bool:
    """Bronze and brass through and through, not a plating, a cladding or an alloy with nickel."""
    words = re.findall(r"[a-z]+", one.title.casefold())
    return bool({"bronze", "brass", "copper"} & set(words)) and not (
        {"plated", "clad", "nickel", "manganese", "coated"} & set(words)
    )


def two_metals(series: Series, named: Iterable[str] = ()) -> tuple[Metal, Metal]:
    """The metal to count and the other one; raises BadEntry where weight cannot tell two apart.

    `named` are two compositions or metals of the series, by id or title, the one to count first;
    left out: the two most common, of which silver is counted, else copper, else the heavier.
    """
    metals = metals_of(series)
    wanted = [name.strip() for name in named if name.strip()]
    if wanted:
        if len(wanted) != 2:
            raise BadEntry("Name two metals, the one to count first, such as copper,zinc.")
        first, second = (_named(series, metals, name) for name in wanted)
        if first == second:
            raise BadEntry(
                f"{series.title}: {wanted[0]} and {wanted[1]} weigh the same, so weight cannot "
                "tell them apart; name two metals of different weight."
            )
        return first, second
    if len(metals) < 2:
        weighs = (
            f"all coins of known weight weigh {metals[0].weight_g:g} g"
            if metals
            else "the weight of its coins is not known"
        )
        raise BadEntry(
            f"{series.title}: {weighs}, so weighing cannot sort them; count by another sign."
        )
    first, second = sorted(
        metals[:2], key=lambda metal: (not metal.is_silver, not metal.is_copper, -metal.weight_g)
    )
    return first, second


def _named(series: Series, metals: Sequence[Metal], name: str) -> Metal:
    asked = name.casefold()
    for metal in metals:
        titles = {series.composition(one).title.casefold() for one in metal.ids}
        if asked in {metal.title.casefold(), *metal.ids, *titles}:
            return metal
    known = ", ".join(one for metal in metals for one in dict.fromkeys((metal.title, *metal.ids)))
    raise BadEntry(f"{series.title} has no metal “{name}” of known weight; there are: {known}.")


def weigh(pile: Pile, counted: Metal, other: Metal) -> Weighed:
    """How many of the pile's coins are of `counted`; raises BadEntry where it cannot be.

    The weight of so many coins of known weights is a straight line in the count, solved for it.
    """
    _require(pile, counted, other)
    apart = counted.weight_g - other.weight_g
    exact = (pile.grams - pile.coins * other.weight_g) / apart
    exact = min(max(exact, 0.0), float(pile.coins))
    own = exact * _deviation(counted) ** 2 + (pile.coins - exact) * _deviation(other) ** 2
    chance = sqrt(own + (pile.scale_g * _EVEN) ** 2)
    wear = _EVEN * (exact * _wear(pile, counted) + (pile.coins - exact) * _wear(pile, other))
    unknown = [metal for metal in (counted, other) if metal.tolerance_g is None]
    notes = [f"The tolerance of {m.title} is not known; the spread leaves it out." for m in unknown]
    return Weighed(
        counted, other, pile.coins, exact, 2 * chance / abs(apart), 2 * wear / abs(apart),
        tuple(notes),
    )  # fmt: skip


def _deviation(metal: Metal) -> float:
    return (metal.tolerance_g or 0.0) * _EVEN


def _wear(pile: Pile, metal: Metal) -> float:
    return WEAR_SHARE * metal.weight_g if pile.wear_g is None else pile.wear_g


def _require(pile: Pile, counted: Metal, other: Metal) -> None:
    if not 1 <= pile.coins <= MOST_COINS:
        raise BadEntry(
            f"A pile has 1 to {MOST_COINS:,} coins, not {pile.coins:,}; count them first."
        )
    if not 0 < pile.grams < inf:
        raise BadEntry("The pile's weight must be above 0 g; read the scale again.")
    for bound, what in ((pile.scale_g, "scale"), (pile.wear_g or 0.0, "wear")):
        if not 0 <= bound < inf:
            raise BadEntry(f"The bound of the {what} cannot be below 0 g; it is {bound:g} g.")
    if counted.weight_g == other.weight_g:
        raise BadEntry(
            f"{counted.title} and {other.title} weigh the same, so weight cannot tell them apart."
        )
    light, heavy = sorted((counted, other), key=lambda metal: metal.weight_g)
    least = pile.coins * light.weight_g - allowed(pile, light)
    most = pile.coins * heavy.weight_g + allowed(pile, heavy)
    if pile.grams < least:
        raise BadEntry(_cannot(pile, light, "lighter", "less", least))
    if pile.grams > most:
        raise BadEntry(_cannot(pile, heavy, "heavier", "plus", most))


def allowed(pile: Pile, metal: Metal) -> float:
    """How many grams a pile of one metal may be off: its coins by chance, wear, and the scale."""
    tolerance = metal.tolerance_g or 0.0
    by_chance = _TOLD_DEVIATIONS * tolerance * _EVEN * sqrt(pile.coins)
    own = tolerance * pile.coins if pile.coins <= _FEWEST_FOR_CHANCE else by_chance
    return own + pile.coins * _wear(pile, metal) + pile.scale_g


def _cannot(pile: Pile, metal: Metal, how: str, joint: str, bound: float) -> str:
    coins = "1 coin" if pile.coins == 1 else f"{pile.coins:,} coins"
    all_of = metal.weight_g * pile.coins
    return (
        f"{coins} cannot weigh {pile.grams:,.2f} g: that is {how} than all {metal.title}, "
        f"{all_of:,.2f} g, {joint} {abs(bound - all_of):,.2f} g that tolerance, wear and scale "
        "allow. Count the coins again, and look for coins of another kind among them."
    )


def one_coin(grams: float, metals: Sequence[Metal], scale_g: float = SCALE_G) -> tuple[Metal, ...]:
    """The metals that one coin of this weight may be of; none where it lies between or outside."""
    return tuple(metal for metal in metals if metal.may_weigh(grams, scale_g))


def melting_caution(series: Series, counted: Metal) -> str:
    """What has to be said where copper or silver is counted, "" else. General, no legal advice."""
    if not (counted.is_copper or counted.is_silver):
        return ""
    return caution(series)
