"""Independent groups of slots and coins, each solved exactly by the aims in their order.

The value of an assignment is a row of whole numbers, one for each aim, and adds up over its pairs;
rows are compared from the front. Such an order survives adding: if every group's row is the
greatest it can be, so is their sum, also in the figures of single albums that settle ties, because
totals and albums' own figures alike are sums over the groups. So each group is solved by itself.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from core.fill.groups import Edge, edges, groups, pools, slots_to_fill, standing
from core.fill.match import EXACT, best_edges
from core.fill.value import FillInput, value_of
from core.model.album import Slot, SlotId, Wish
from core.model.coin import CoinId

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


def solve(
    given: FillInput,
    progress: Callable[[float], None] | None = None,
    limit: int = EXACT,
) -> Assignment:
    """Find the best of all lawful assignments.

    `progress` is told the share done, 0 to 1, and may raise to cancel. `limit` bounds the packed
    weights; a smaller one makes groups be solved in more steps, with the same outcome.
    """
    slots = slots_to_fill(given)
    now = standing(given, slots)
    if progress:
        progress(0.0)
    chosen: list[Edge] = []
    parts = groups(edges(pools(given, slots, now)))
    for done, group in enumerate(parts):
        if progress and done % _REPORT_EVERY == 0:
            progress(0.5 + 0.5 * done / len(parts))
        chosen += best_edges(slots, group, limit)
    if progress:
        progress(1.0)
    return _assignment(given, slots, chosen)


def _assignment(given: FillInput, slots: Sequence[Slot], chosen: Sequence[Edge]) -> Assignment:
    ordered = sorted(chosen, key=lambda e: e.slot)
    skipped = {s.id for s in given.slots if s.wish is Wish.SKIPPED and not s.is_pinned}
    resting = sum(slot in skipped for slot in given.placed)
    value = value_of(given.albums, ((slots[e.slot], e.coin, e.worth) for e in ordered), resting)
    return Assignment({slots[e.slot].id: e.coin for e in ordered}, value)
