"""Spares, ready to ask: which spare would improve which slot, without walking every coin."""

from collections.abc import Iterable, Iterator, Sequence

from core.model.album import Slot, SlotId
from core.model.coin import Coin
from core.model.fit import Fit, fit, has_barred_problem, improves, meets_target
from core.model.issue import Description, Series, SeriesId


class SpareIndex:
    """The spares of one series, one coin a kind, found by the issues they may be.

    The `quantity` of such a coin is how many are alike.

    A coin stands in the bucket of the lowest issue it may be; all that fit a slot are in the
    buckets of the issues the slot accepts.
    """

    def __init__(self, series: Series, spares: Iterable[Coin]) -> None:
        self._series = series
        self._kinds: dict[Description, list[Coin]] = {}
        self._buckets: dict[int, dict[Description, None]] = {}
        self.changes = 0
        """How often it was renewed, for those who keep what they worked out from it."""
        for coin in spares:
            self._kinds.setdefault(coin.description, []).append(coin)
        for description in self._kinds:
            self._enter(description)

    def _enter(self, description: Description) -> None:
        mask = self._series.may_be(description)
        if mask:
            lowest = (mask & -mask).bit_length() - 1
            self._buckets.setdefault(lowest, {})[description] = None

    def renew(self, descriptions: Iterable[Description], spares: Iterable[Coin]) -> None:
        """Put these spares in place of all that were known of these descriptions."""
        self.changes += 1
        for description in descriptions:
            self._kinds[description] = []
            self._enter(description)
        for coin in spares:
            self._kinds[coin.description].append(coin)

    def coins(self) -> Iterator[Coin]:
        """Every kind of spare, one coin each."""
        for kind in self._kinds.values():
            yield from kind

    def near(self, slot: Slot) -> Iterator[Coin]:
        """Spares that fit or may fit a slot and begin among its issues."""
        return self.begun_in(self._series.may_be(slot.accepts))

    def begun_in(self, mask: int) -> Iterator[Coin]:
        """Spares whose lowest issue is one of these."""
        for kind in self.kinds_begun_in(mask):
            yield from kind

    def kinds_begun_in(self, mask: int) -> Iterator[Sequence[Coin]]:
        """The same spares, those of one description together."""
        while mask:
            low = mask & -mask
            for description in self._buckets.get(low.bit_length() - 1, ()):
                yield self._kinds[description]
            mask ^= low

    def fitting(self, slot: Slot) -> list[Coin]:
        """Spares that surely fit a slot, best for it first."""
        fits = [c for c in self.near(slot) if fit(self._series, slot, c) is Fit.FITS]
        return sorted(fits, key=lambda c: rank(slot, c))

    def has_better(self, slot: Slot, held: Coin | None) -> bool:
        """Whether some spare would improve the slot."""
        return any(improves(self._series, slot, held, c) for c in self.near(slot))


def best_fitting(
    series: Series, coins: Iterable[Coin], slots: Iterable[Slot]
) -> dict[SlotId, Coin]:
    """For an overview: the best of these coins for each slot that one of them surely fits."""
    index = SpareIndex(series, coins)
    best = {slot.id: index.fitting(slot) for slot in slots}
    return {slot: found[0] for slot, found in best.items() if found}


def best_of_series(
    known: Iterable[Series], coins: Iterable[Coin], slots: Sequence[Slot]
) -> dict[SlotId, Coin]:
    """`best_fitting` for slots of several series, each by the coins of its own."""
    by_series: dict[SeriesId, list[Coin]] = {}
    for coin in coins:
        by_series.setdefault(coin.description.series, []).append(coin)
    best: dict[SlotId, Coin] = {}
    for series in known:
        mine = [slot for slot in slots if slot.accepts.series == series.id]
        best |= best_fitting(series, by_series.get(series.id, ()), mine)
    return best


def rank(slot: Slot, coin: Coin) -> tuple[bool, bool, int, int]:
    """Sort key: meets the target, no problem, more points, the lower number."""
    return (
        not meets_target(slot, coin),
        has_barred_problem(slot, coin),
        -(coin.points or 0),
        int(coin.id),
    )
