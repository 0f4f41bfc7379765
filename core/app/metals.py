"""The silver and copper in the coins held, or in the spares, at the spot prices entered."""

from collections import Counter
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING

from core.model.coin import Coin
from core.model.issue import Composition, Description, Facet, Series
from core.planning.bullion import Bullion, Contents, Spots, bullion, contents, spots_of
from core.planning.prices import PriceList, Told

if TYPE_CHECKING:
    from core.app.collection import Collection


@dataclass(frozen=True, slots=True)
class MetalRow:
    """The coins held of a series that are of one metal.

    `contents` are of one coin as struck; `worth` of all `coins` together. `priced` of them have a
    price in the list, in all `listed` minor units of the base.
    """

    series: Series
    composition: Composition
    coins: int
    contents: Contents
    worth: Bullion
    priced: int = 0
    listed: int = 0

    @property
    def share(self) -> int | None:
        """Per cent of the list's price that the metal of the coins priced is; None without any."""
        if self.worth.minor is None or not self.listed:
            return None
        return round(Fraction(self.worth.minor * self.priced * 100, self.coins * self.listed))

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
    spots: Spots

    @property
    def minor(self) -> int:
        """What all of it is worth, as far as that is known."""
        return sum(row.worth.minor or 0 for row in self.rows)

    @property
    def cautions(self) -> tuple[str, ...]:
        """What has to be said beside it, each once."""
        return tuple(dict.fromkeys(row.worth.caution for row in self.rows if row.worth.caution))


def metals(collection: "Collection", only_spares: bool = False) -> Metals:
    """The metals of the coins held, or of the spares alone, series by series."""
    book = collection.price_book()
    spots = spots_of(book.rules, book.rates)
    rows: list[MetalRow] = []
    left_out = 0
    placed = collection.placed_coins() if only_spares else {}
    for series in collection.series_in_use:
        held = _Held(series, book.list)
        for coin in collection.held_coins(series.id):
            if coin.is_genuine and coin.id not in placed:
                held.add(coin)
        left_out += held.left_out
        rows += [held.row(one, spots) for one in series.compositions if held.coins[one.id]]
    return Metals(tuple(rows), left_out, spots)


class _Held:
    """Coins of a series counted by their metal, with what the list says of them."""

    def __init__(self, series: Series, prices: PriceList) -> None:
        self._series, self._prices = series, prices
        self._metal_of: dict[Description, str | None] = {}
        self._listed: dict[object, int | None] = {}
        self.coins: Counter[str] = Counter()
        self._priced: Counter[str] = Counter()
        self._sum: Counter[str] = Counter()
        self.left_out = 0

    def add(self, coin: Coin) -> None:
        """Count a coin, or a lot of them."""
        metal = self._metal(coin.description)
        if metal is None:
            self.left_out += coin.quantity
            return
        self.coins[metal] += coin.quantity
        price = self._price(coin)
        if price is not None:
            self._priced[metal] += coin.quantity
            self._sum[metal] += price * coin.quantity

    def row(self, of: Composition, spots: Spots) -> MetalRow:
        """What is held of a metal."""
        many = self.coins[of.id]
        worth = bullion(self._series, of, spots, many)
        priced, listed = self._priced[of.id], self._sum[of.id]
        return MetalRow(self._series, of, many, contents(of), worth, priced, listed)

    def _metal(self, description: Description) -> str | None:
        """The one metal it may be of; None where it is open."""
        if description not in self._metal_of:
            issues = self._series.matching(description)
            found = {issue.value(Facet.COMPOSITION) for issue in issues}
            self._metal_of[description] = found.pop() if len(found) == 1 else None
        return self._metal_of[description]

    def _price(self, coin: Coin) -> int | None:
        has_problem = bool(coin.problems)
        key = coin.description, coin.grade, has_problem, coin.varieties
        if key not in self._listed:
            told = self._prices.price(self._series, coin)
            self._listed[key] = told.minor if isinstance(told, Told) else None
        return self._listed[key]
