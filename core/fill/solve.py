"""Independent groups of slots and coins, each solved exactly by the aims in their order.

The value of an assignment is a row of whole numbers, one for each aim, and adds up over its pairs;
rows are compared from the front. Such an order survives adding: if every group's row is the
greatest it can be, so is their sum, also in the figures of single albums that settle ties, because
totals and albums' own figures alike are sums over the groups. So each group is solved by itself.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

from core.fill.collecting import no_collecting
from core.fill.value import FillInput, Worth, value_of
from core.model.album import Slot, SlotId, Wish
from core.model.coin import CoinId

if TYPE_CHECKING:  # numpy is read where it is first used
    from core.fill.offers import Offers, Standing

__all__ = ["Assignment", "FillInput", "solve"]

_REPORT_EVERY = 64


@dataclass(frozen=True, slots=True)
class Assignment:
    """The best lawful assignment: which coin each slot holds after it, and its value.

    A lot's number stands in as many slots as it gives pieces to. `value` is the row of figures
    that `core.fill.value.value_of` describes; the greater tuple is the better.
    """

    pairs: Mapping[SlotId, CoinId]
    value: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Solved:
    """The best assignment as rows of (place of the slot, coin, worth), and what led to it."""

    slots: Sequence[Slot]
    now: "Standing"
    offers: "Offers"
    rows: Sequence[tuple[int, CoinId, Worth]]

    @property
    def pairs(self) -> dict[SlotId, CoinId]:
        """Which coin each slot holds."""
        return {self.slots[at].id: coin for at, coin, _ in self.rows}


def solve(
    given: FillInput,
    progress: Callable[[float], None] | None = None,
    limit: int | None = None,
) -> Assignment:
    """Find the best of all lawful assignments.

    `progress` is told the share done, 0 to 1, and may raise to cancel. `limit` bounds the packed
    weights (2^53 by default); a smaller one takes more steps to the same outcome.
    """
    solved = work_out(given, progress, limit)
    skipped = {s.id for s in given.slots if s.wish is Wish.SKIPPED and not s.is_pinned}
    resting = sum(slot in skipped for slot in given.placed)
    rows = ((solved.slots[at], coin, worth) for at, coin, worth in solved.rows)
    return Assignment(solved.pairs, value_of(given.albums, rows, resting))


def work_out(
    given: FillInput,
    progress: Callable[[float], None] | None = None,
    limit: int | None = None,
) -> Solved:
    """As `solve`, with all that was worked out on the way."""
    with no_collecting():
        return _work_out(given, progress, limit)


def _work_out(
    given: FillInput,
    progress: Callable[[float], None] | None,
    limit: int | None,
) -> Solved:
    from core.fill.groups import edges, groups
    from core.fill.match import EXACT, best_matching
    from core.fill.offers import Known, offers, slots_to_fill, standing

    slots = slots_to_fill(given)
    known = given.known
    if known is None or not known.serves(given.series, given.uncapped):
        known = Known(given.series, given.uncapped)
    now = standing(given, slots, known.masks)
    _tell(progress, 0.0)
    offered = offers(given, slots, now, known)
    decided, parts = groups(edges(slots, now, offered))
    chosen = [decided]
    for done, part in enumerate(parts):
        share = 0.5 + 0.5 * done / len(parts)
        if done % _REPORT_EVERY == 0:
            _tell(progress, share)
        chosen.append(best_matching(slots, part, limit or EXACT, partial(_tell, progress, share)))
    _tell(progress, 1.0)
    rows = [
        (at, CoinId(number), worth)
        for part in chosen
        for at, number, worth in zip(
            part.slot.tolist(),
            part.number.tolist(),
            map(Worth._make, part.worth.tolist()),
            strict=True,
        )
    ]
    return Solved(slots, now, offered, sorted(rows))


def _tell(progress: Callable[[float], None] | None, share: float) -> None:
    if progress:
        progress(share)
