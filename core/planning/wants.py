"""What the plan is given: wants, purchases, and coins that may move. Numbers only, no series.

The caller says what a coin's points in a slot are, and gives 0 to one that does not count towards
the target there (barred problem, to verify, no grade). From that all else follows:

- a slot is a gap where it holds nothing, and meets its target where it holds a coin of at least
  the target's points; a slot without a target is met by any coin;
- points count up to the target of their slot, and whole where it has none;
- a coin may replace another only where it has more points in that slot, so no plan empties a slot
  or makes one worse.

Money is whole minor units of one currency. A purchase without a price (`cost` None) is left out
and its slot counted as not priced; it is never free and never endlessly dear.
"""

from collections.abc import Set as AbstractSet
from dataclasses import dataclass, field
from typing import NamedTuple


class Seat(NamedTuple):
    """A slot that a coin fits, by the slot's number, and the coin's points there."""

    slot: int
    points: int


class Spot(NamedTuple):
    """A purchase in one slot, both by their numbers."""

    purchase: int
    slot: int


Mark = int | Spot
"""What is pinned or forbidden: a purchase in whichever slot, or in this one."""


def is_marked(marks: AbstractSet[Mark], purchase: int, slot: int) -> bool:
    """Whether a purchase is marked for a slot."""
    return purchase in marks or Spot(purchase, slot) in marks


@dataclass(frozen=True, slots=True)
class Want:
    """A slot of the albums looked at.

    `target` is its least grade in points, None where any coin will do; `held` the points of the
    coin there, None for a gap. Slots that are wanted come before optional ones under the aims that
    count slots; `is_key` marks a key date.
    """

    slot: int
    album: int
    target: int | None = None
    held: int | None = None
    is_wanted: bool = True
    is_key: bool = False

    def counted(self, points: int | None) -> int:
        """Points as they count in this slot: none for a gap, at most the target's."""
        if points is None:
            return 0
        return points if self.target is None else min(points, self.target)

    def meets(self, points: int | None) -> bool:
        """Whether a coin of these points meets the target; None stands for no coin."""
        return points is not None and points >= (self.target or 0)

    def takes(self, points: int) -> bool:
        """Whether a coin of these points would better what the slot holds."""
        return self.held is None or points > self.held


@dataclass(frozen=True, slots=True)
class Purchase:
    """A coin to be had: the slots it fits, and its price.

    A price of the list (`is_offer` False) may be paid again for each of its slots; an offer as
    often as it is there, `quantity` times. Of the purchases of one `group` at most one is made.
    """

    id: int
    seats: tuple[Seat, ...]
    cost: int | None
    is_offer: bool = False
    group: int | None = None
    quantity: int = 1


@dataclass(frozen=True, slots=True)
class Piece:
    """A coin in hand: a spare, or the coin of a slot, which goes on only where it is replaced.

    `brings` is what it would bring if it were sold, for coins that the plan sets free.
    """

    coin: int
    seats: tuple[Seat, ...] = ()
    from_slot: int | None = None
    brings: int = 0


@dataclass(frozen=True, slots=True)
class PlanInput:
    """Everything a plan looks at.

    A pinned purchase goes into one of its slots at least, a pinned spot into its slot.
    """

    wants: tuple[Want, ...]
    purchases: tuple[Purchase, ...] = ()
    pieces: tuple[Piece, ...] = ()
    pinned: frozenset[Mark] = field(default_factory=frozenset)
    forbidden: frozenset[Mark] = field(default_factory=frozenset)


def not_priced(given: PlanInput, to_target: bool = True) -> tuple[int, ...]:
    """Slots that still want a coin and for which no price is known, forbidden ones included.

    With `to_target` those below their target count too, where no priced coin is any better;
    without it gaps alone.
    """
    wants = {want.slot: want for want in given.wants}
    priced = {
        seat.slot
        for purchase in given.purchases
        if purchase.cost is not None
        for seat in purchase.seats
        if seat.slot in wants and wants[seat.slot].takes(seat.points)
    }
    return tuple(
        want.slot
        for want in given.wants
        if want.slot not in priced
        and (want.held is None or (to_target and not want.meets(want.held)))
    )
