"""Which slots a spare that is held already speaks for, before the coin in hand comes. Pure.

What Fill would do with the spares of one kind of coin, and with nothing else: each spare goes into
one slot at most, gaps come before slots that are bettered, wanted ones before optional ones, an
album higher on the shelf before one below; as many gaps are filled as can be. Asked are only the
slots that take this kind of coin and the spares that are of this kind, so a spare of another date
never speaks for a slot that takes any date, although Fill may put it there; and coins that sit in
slots stay where they are.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial

from core.app.spares import SpareIndex, rank
from core.model.album import Slot, SlotId, Wish
from core.model.coin import Coin, CoinId
from core.model.fit import improves
from core.model.issue import Series


@dataclass(frozen=True, slots=True)
class SpokenFor:
    """`by`: slots to the spare that speaks for each.

    `opened`: those of them whose spare could as well go to a gap that no spare speaks for, so that
    one coin more still fills a gap.
    """

    by: Mapping[SlotId, Coin]
    opened: frozenset[SlotId] = frozenset()

    def spare_for(self, slot: Slot) -> Coin | None:
        """The spare that leaves nothing to do for one coin more, None where there is room."""
        return None if slot.id in self.opened else self.by.get(slot.id)


def spoken_for(
    series: Series, slots: Sequence[tuple[Slot, Coin | None]], spares: SpareIndex, mask: int
) -> SpokenFor:
    """Give the spares of these issues to the slots that take them.

    `slots` come with what they hold, in the order of the shelf.
    """
    most = len(slots)
    kinds = [list(_best(kind, most)) for kind in spares.kinds_begun_in(mask)]
    wanting: dict[SlotId, list[Coin]] = {}
    for slot, held in slots:
        fitting = [c for kind in kinds for c in kind if improves(series, slot, held, c)]
        if fitting:
            wanting[slot.id] = sorted(fitting, key=partial(rank, slot))
    order = sorted(
        (pair for pair in slots if pair[0].id in wanting),
        key=lambda pair: (pair[1] is not None, pair[0].wish is not Wish.WANTED),
    )
    given = _Given(wanting)
    for slot, _ in order:
        given.give(slot.id, set())
    gaps = {slot.id for slot, held in slots if held is None and not _is_left(slot)}
    return SpokenFor(given.by, _opened(given, gaps - given.by.keys()))


def _is_left(slot: Slot) -> bool:
    """Whether Fill leaves a slot alone."""
    return slot.is_pinned or slot.wish is Wish.SKIPPED


def _best(kind: Sequence[Coin], most: int) -> Iterator[Coin]:
    """The best spares of one kind, so many sound ones and so many with a problem; no more sit."""
    for has_problem in (False, True):
        alike = [c for c in kind if _is_damaged(c) is has_problem and not c.is_flagged]
        yield from sorted(alike, key=lambda c: (-(c.points or 0), c.id))[:most]


def _is_damaged(coin: Coin) -> bool:
    return bool(coin.problems) or (coin.grade is not None and coin.grade.is_details)


class _Given:
    """Spares as they are given out, each as often as it is there."""

    def __init__(self, wanting: Mapping[SlotId, Sequence[Coin]]) -> None:
        self.wanting = wanting
        self.by: dict[SlotId, Coin] = {}
        self._seats: dict[CoinId, list[SlotId]] = {}

    def give(self, slot: SlotId, seen: set[CoinId]) -> bool:
        """Give a slot its best spare, or one that is freed by giving another slot another."""
        for coin in self.wanting[slot]:
            if coin.id in seen:
                continue
            seen.add(coin.id)
            seats = self._seats.setdefault(coin.id, [])
            if len(seats) < coin.quantity:
                seats.append(slot)
                self.by[slot] = coin
                return True
            for other in list(seats):
                if self.give(other, seen):
                    seats.remove(other)
                    seats.append(slot)
                    self.by[slot] = coin
                    return True
        return False


def _opened(given: _Given, free: set[SlotId]) -> frozenset[SlotId]:
    """The slots from which a spare can move on, one after another, to a free gap."""
    takes = {slot: {c.id for c in coins} for slot, coins in given.wanting.items()}
    opened: set[SlotId] = set()
    reached = set(free)
    while reached:
        here = {s for s, c in given.by.items() if any(c.id in takes.get(r, ()) for r in reached)}
        reached = here - opened
        opened |= reached
    return frozenset(opened)
