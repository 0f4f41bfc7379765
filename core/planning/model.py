"""The plan as arrays: one yes-or-no choice a variable, and the rows that bind them."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from core.planning.aim import Step
from core.planning.rows import Ints, RowList, Rows
from core.planning.wants import Mark, PlanInput, Spot

NONE = -1
_TELL_EVERY = 2_000


@dataclass(frozen=True, slots=True)
class Model:
    """Choices sorted by slot: a purchase or a piece goes into a slot.

    `slot`, `purchase` and `piece` are places in what was given, -1 where a choice has none; `cost`
    is in minor units. `first` holds where each slot's choices begin. `limits` have only a most,
    `rows` are all others. `pins` are the choices of each pinned purchase.
    """

    given: PlanInput
    slot: Ints
    purchase: Ints
    piece: Ints
    points: Ints
    cost: Ints
    first: Ints
    limits: Rows
    rows: Rows
    pins: tuple[tuple[int, ...], ...]

    def __len__(self) -> int:
        return len(self.slot)

    def useless_pins(self) -> frozenset[Mark]:
        """Pins without any choice: no price, or no slot that they would better."""
        found: set[Mark] = set()
        if not self.given.pinned:
            return self.given.pinned
        for at, slot in zip(self.purchase.tolist(), self.slot.tolist(), strict=True):
            if at != NONE:
                number = self.given.purchases[at].id
                found |= {number, Spot(number, self.given.wants[slot].slot)}
        return self.given.pinned - found

    def gains(self, step: Step) -> Ints:
        """What each choice adds to a step: as `Step.gain`, for all at once."""
        wants = self.given.wants
        held = _column(want.held for want in wants)[self.slot]
        target = _column(want.target for want in wants)[self.slot]
        had, points, least = np.maximum(held, 0), self.points, np.maximum(target, 0)
        capped = np.where(target == NONE, points, np.minimum(points, target))
        capped -= np.where(target == NONE, had, np.minimum(had, target))
        met = (points >= least).astype(np.int64) - ((held != NONE) & (held >= least))
        gain = step.gap * (held == NONE) + step.target * met + step.point * capped
        counts = np.array([step.of.counts(want) for want in wants], np.bool_)[self.slot]
        return np.asarray(np.where(counts, gain, 0), np.int64)

    def top(self, weights: Ints) -> int:
        """No plan has a greater sum of these weights: one coin a slot."""
        if len(self) == 0:
            return 0
        return int(np.maximum.reduceat(np.maximum(weights, 0), self.first).sum())


def _column(figures: Iterable[int | None]) -> Ints:
    return np.array([NONE if one is None else one for one in figures], np.int64)


def build(given: PlanInput, tell: Callable[[], None] = lambda: None) -> Model:
    """The choices that better a slot, and the rows between them. `tell` may raise to end it.

    Forbidden purchases, those without a price, and coins no better than what a slot holds are left
    out. Raises ValueError where two wants are of one slot or a price is below zero.
    """
    place = {want.slot: at for at, want in enumerate(given.wants)}
    if len(place) != len(given.wants):
        raise ValueError("two wants are of one slot")
    table = np.array(sorted(_choices(given, place, tell)), np.int64).reshape(-1, 5)
    table = _that_can_be(given, place, table)
    slot, bought, moved, points, cost = (np.ascontiguousarray(column) for column in table.T)
    first = np.unique(slot, return_index=True)[1].astype(np.int64)
    tell()
    into = _places(slot)
    tell()
    limits, rows, pins = RowList(), RowList(), []
    for at in into.values():
        limits.add(at, most=1)
    groups: dict[int, list[int]] = defaultdict(list)
    pins_of = _by_purchase(given.pinned)
    for number, at in _places(bought).items():
        purchase = given.purchases[number]
        if purchase.is_offer and purchase.quantity < len(at):
            limits.add(at, most=purchase.quantity)
        if purchase.group is not None:
            groups[purchase.group] += at
        for one in pins_of.get(purchase.id, ()):
            pinned = [a for a in at if one is None or given.wants[slot[a]].slot == one]
            if pinned:
                rows.add(pinned, least=1)
                pins.append(tuple(pinned))
    tell()
    for at in groups.values():
        limits.add(at, most=1)
    for number, at in _places(moved).items():
        if len(at) > 1:
            limits.add(at, most=1)
        home = given.pieces[number].from_slot
        if home is not None:
            # It goes on only where another coin comes into its own slot.
            rows.add(at, less=into[place[home]], most=0)
    tell()
    return Model(
        given, slot, bought, moved, points, cost, first, limits.rows(), rows.rows(), tuple(pins)
    )


def _by_purchase(marks: Iterable[Mark]) -> Mapping[int, Sequence[int | None]]:
    """For each purchase the slots it is marked in; None stands for whichever."""
    found: dict[int, list[int | None]] = defaultdict(list)
    for mark in marks:
        if isinstance(mark, Spot):
            found[mark.purchase].append(mark.slot)
        else:
            found[mark].append(None)
    return found


Choice = tuple[int, int, int, int, int]


def _choices(given: PlanInput, place: Mapping[int, int], tell: Callable[[], None]) -> list[Choice]:
    """Place of the slot, of the purchase, of the piece, points, cost."""
    held = {want.slot: NONE if want.held is None else want.held for want in given.wants}
    found: list[Choice] = []
    for number, purchase in enumerate(given.purchases):
        if number % _TELL_EVERY == 0:
            tell()
        cost = purchase.cost
        if cost is None or purchase.id in given.forbidden:
            continue
        if cost < 0:
            raise ValueError("a price is below zero")
        found += [
            (place[slot], number, NONE, points, cost)
            for slot, points in purchase.seats
            if slot in held and points > held[slot] and (purchase.id, slot) not in given.forbidden
        ]
    for number, piece in enumerate(given.pieces):
        if piece.from_slot is not None and piece.from_slot not in held:
            continue  # it sits in a slot that is not looked at, and stays there
        found += [
            (place[slot], NONE, number, points, 0)
            for slot, points in piece.seats
            if slot in held and points > held[slot] and slot != piece.from_slot
        ]
    return found


def _that_can_be(given: PlanInput, place: Mapping[int, int], table: Ints) -> Ints:
    """Without the moves of coins into whose own slots nothing can come."""
    homes = (piece.from_slot for piece in given.pieces)  # any number may be a slot's, -1 as well
    home = np.array(
        [*(NONE if one is None else place.get(one, NONE) for one in homes), NONE], np.int64
    )
    while True:
        from_slot = home[table[:, 2]]
        can_be = (from_slot == NONE) | np.isin(from_slot, table[:, 0])
        if can_be.all():
            return table
        table = table[can_be]


def _places(numbers: Ints) -> Mapping[int, Sequence[int]]:
    """Where each number of a column stands, -1 left out."""
    places: dict[int, list[int]] = defaultdict(list)
    for at, number in enumerate(numbers.tolist()):
        if number != NONE:
            places[number].append(at)
    return places
