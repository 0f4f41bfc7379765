"""The silver and copper in the coins held, and what they are worth at the spot prices entered."""

from collections import Counter
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from core.model.issue import Composition, Facet, Series
from core.planning.bullion import Bullion, Contents, bullion, contents

if TYPE_CHECKING:
    from core.app.collection import Collection


@dataclass(frozen=True, slots=True)
class MetalRow:
    """The coins held of a series that are of one metal.

    `contents` are of one coin as struck; `worth` of all `coins` together.
    """

    series: Series
    composition: Composition
    coins: int
    contents: Contents
    worth: Bullion

    @property
    def silver_ozt(self) -> Decimal | None:
        """Troy ounces of silver in all of them."""
        one = self.contents.silver_ozt
        return None if one is None else one * self.coins

    @property
    def copper_g(self) -> Decimal | None:
        """Grams of copper in all of them."""
        one = self.contents.copper_g
        return None if one is None else one * self.coins


@dataclass(frozen=True, slots=True)
class Metals:
    """By series and metal, and how many coins held may be of several metals and are left out."""

    rows: tuple[MetalRow, ...]
    left_out: int

    @property
    def minor(self) -> int:
        """What all of it is worth, as far as that is known."""
        return sum(row.worth.minor or 0 for row in self.rows)

    @property
    def cautions(self) -> tuple[str, ...]:
        """What has to be said beside it, each once."""
        return tuple(dict.fromkeys(row.worth.caution for row in self.rows if row.worth.caution))


def metals(collection: "Collection") -> Metals:
    """The metals of the coins held, series by series."""
    rules = collection.price_book().rules
    rows: list[MetalRow] = []
    left_out = 0
    for series in collection.series_in_use:
        held, open_ = _held(collection, series)
        left_out += open_
        rows += [
            MetalRow(
                series, one, held[one.id], contents(one), bullion(series, one, rules, held[one.id])
            )
            for one in series.compositions
            if held[one.id]
        ]
    return Metals(tuple(rows), left_out)


def _held(collection: "Collection", series: Series) -> tuple[Counter[str], int]:
    """Coins held by their metal, and those of which it is open; not genuine ones are left out."""
    held: Counter[str] = Counter()
    left_out = 0
    metal_of: dict[object, str | None] = {}
    for coin in collection.held_coins(series.id):
        if not coin.is_genuine:
            continue
        if coin.description not in metal_of:
            found = {issue.value(Facet.COMPOSITION) for issue in series.matching(coin.description)}
            metal_of[coin.description] = found.pop() if len(found) == 1 else None
        metal = metal_of[coin.description]
        if metal is None:
            left_out += coin.quantity
        else:
            held[metal] += coin.quantity
    return held, left_out
