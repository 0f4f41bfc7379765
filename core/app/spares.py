"""Spares, ready to ask: which spare would improve which slot, without walking every coin."""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from typing import Protocol

from core.model.album import Slot, SlotId
from core.model.coin import Coin
from core.model.fit import Fit, fit, has_barred_problem, improves, meets_target
from core.model.issue import Description, Series, SeriesId

_FIRST_READ = 16
"""As many issues' spares are read at first where a question may be over before all are."""


class SpareSource(Protocol):
    """Where an index that is not whole finds what it does not hold yet; of one series."""

    def coins(self, descriptions: Collection[Description]) -> Iterable[Coin]:
        """The spares of these descriptions, one coin a kind."""
        ...

    def counts(self, descriptions: Collection[Description]) -> Mapping[Description, int]:
        """How many spares there are of these descriptions; where none are, it may be left out."""
        ...


class SpareIndex:
    """The spares of one series, one coin a kind, found by the issues they may be.

    The `quantity` of such a coin is how many are alike.

    A coin stands in the bucket of the lowest issue it may be; all that fit a slot are in the
    buckets of the issues the slot accepts. An index with a source begins empty and reads a bucket
    when it is first asked for: `waiting` are the descriptions that it may find there.
    """

    def __init__(
        self,
        series: Series,
        spares: Iterable[Coin],
        waiting: Iterable[Description] = (),
        source: SpareSource | None = None,
    ) -> None:
        self._series = series
        self._kinds: dict[Description, list[Coin]] = {}
        self._buckets: dict[int, dict[Description, None]] = {}
        self._source = source
        self._waiting: dict[int, dict[Description, None]] = {}
        self._counts: dict[Description, int] = {}  # of some that wait
        self.changes = 0
        """How often it was renewed, for those who keep what they worked out from it."""
        for description in waiting:
            self._waiting.setdefault(self._lowest(description), {})[description] = None
        self._take(spares)

    def _lowest(self, description: Description) -> int:
        """The place of the lowest issue a coin may be, -1 for none."""
        mask = self._series.may_be(description)
        return (mask & -mask).bit_length() - 1

    def _enter(self, description: Description) -> None:
        lowest = self._lowest(description)
        if lowest >= 0:
            self._buckets.setdefault(lowest, {})[description] = None

    def _take(self, spares: Iterable[Coin]) -> None:
        for coin in spares:
            kind = self._kinds.get(coin.description)
            if kind is None:
                kind = self._kinds[coin.description] = []
                self._enter(coin.description)
            kind.append(coin)

    def _read(self, lowest: Iterable[int]) -> None:
        """Read what still waits in these buckets."""
        asked = [d for one in lowest for d in self._waiting.pop(one, ())]
        if asked and self._source is not None:
            self._take(self._source.coins(asked))
            for description in asked:
                self._counts.pop(description, None)

    def read_all(self) -> None:
        """Read all that still waits: for who asks slot after slot."""
        self._read(list(self._waiting))

    def read_some(self, most: int) -> bool:
        """Read a few buckets, of about so many descriptions; whether all is read now."""
        piece, count = [], 0
        for lowest, waiting in self._waiting.items():
            if count >= most:
                break
            piece.append(lowest)
            count += len(waiting)
        self._read(piece)
        return not self._waiting

    def renew(self, descriptions: Iterable[Description], spares: Iterable[Coin]) -> None:
        """Put these spares in place of all that were known of these descriptions."""
        self.changes += 1
        for description in descriptions:
            self._waiting.get(self._lowest(description), {}).pop(description, None)
            self._counts.pop(description, None)
            self._kinds[description] = []
            self._enter(description)
        self._take(spares)

    def coins(self) -> Iterator[Coin]:
        """Every kind of spare, one coin each."""
        self.read_all()
        for kind in self._kinds.values():
            yield from kind

    def held(self, mask: int) -> int:
        """How many spares are surely one of these issues."""
        waiting = [
            description
            for at in _bits(mask)
            for description in self._waiting.get(at, ())
            if not self._series.may_be(description) & ~mask
        ]
        unknown = [one for one in waiting if one not in self._counts]
        if unknown and self._source is not None:
            counted = self._source.counts(unknown)
            self._counts |= {one: counted.get(one, 0) for one in unknown}
        return sum(map(self._counts.__getitem__, waiting)) + sum(
            sum(coin.quantity for coin in self._kinds[description])
            for at in _bits(mask)
            for description in self._buckets.get(at, ())
            if not self._series.may_be(description) & ~mask
        )

    def near(self, slot: Slot) -> Iterator[Coin]:
        """Spares that fit or may fit a slot and begin among its issues."""
        return self.begun_in(self._series.may_be(slot.accepts))

    def begun_in(self, mask: int) -> Iterator[Coin]:
        """Spares whose lowest issue is one of these."""
        for kind in self.kinds_begun_in(mask):
            yield from kind

    def kinds_begun_in(self, mask: int) -> Iterator[Sequence[Coin]]:
        """The same spares, those of one description together; read in pieces, larger each time."""
        rest, most = list(_bits(mask)), _FIRST_READ
        while rest:
            piece, rest, most = rest[:most], rest[most:], 2 * most
            self._read(piece)
            for at in piece:
                for description in self._buckets.get(at, ()):
                    yield self._kinds[description]

    def fitting(self, slot: Slot) -> list[Coin]:
        """Spares that surely fit a slot, best for it first."""
        fits = [c for c in self.near(slot) if fit(self._series, slot, c) is Fit.FITS]
        return sorted(fits, key=lambda c: rank(slot, c))

    def has_better(self, slot: Slot, held: Coin | None) -> bool:
        """Whether some spare would improve the slot."""
        return any(improves(self._series, slot, held, c) for c in self.near(slot))


def _bits(mask: int) -> Iterator[int]:
    """The places of a mask's bits, from the lowest."""
    while mask:
        low = mask & -mask
        yield low.bit_length() - 1
        mask ^= low


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
