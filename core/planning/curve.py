"""What each further amount of money buys, what it costs to finish, and what to buy next.

The curve is the best figure for each amount: at its steps nothing less would do. It counts one
figure (gaps closed, targets met, points, or a mix), the one its aim shows.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING, NamedTuple

from core.planning.aim import GAPS_CLOSED, TARGETS_MET, Aim, Step
from core.planning.plan import TIME_LIMIT_S, Moved, after, plan
from core.planning.wants import Mark, Piece, PlanInput, Want, not_priced

if TYPE_CHECKING:  # numpy is read where it is first used
    from core.planning.search import Clock

SAMPLES = 40
CHAIN = 3
"""So many coins may go on one after another when a single purchase is weighed up."""


class Amount(NamedTuple):
    """Least money, in minor units, for a figure."""

    spent: int
    figure: int


@dataclass(frozen=True, slots=True)
class Curve:
    """Steps by rising money and figure; the first is what is had for nothing (or what is pinned).

    Every step is exact where `is_proven`. Where not `is_complete` the time ran out over linked
    slots: the steps are those of evenly spread amounts alone, and there are more between them.
    """

    steps: tuple[Amount, ...]
    is_complete: bool
    is_proven: bool
    not_priced: tuple[int, ...]

    def figure_at(self, money: int) -> int | None:
        """The best figure for this money; None where it does not pay what is pinned."""
        at = bisect_right(self.steps, money, key=lambda step: step.spent)
        return self.steps[at - 1].figure if at else None

    def cost_of(self, figure: int) -> int | None:
        """Least money for at least this figure; None where no money buys it."""
        at = bisect_left(self.steps, figure, key=lambda step: step.figure)
        return self.steps[at].spent if at < len(self.steps) else None


def curve(
    given: PlanInput,
    step: Step,
    time_limit: float = TIME_LIMIT_S,
    progress: Callable[[float], None] | None = None,
) -> Curve:
    """The whole curve of a figure. `progress` is told the share done and may raise to cancel."""
    from core.planning.frontier import TooLong, stairs
    from core.planning.search import Clock

    done = 0.0

    def tell(share: float) -> None:
        nonlocal done
        done = max(done, share)
        if progress is not None:
            progress(done)

    left_out = not_priced(given)
    try:
        whole = stairs(given, step, Clock(time_limit / 2, lambda _: tell(0.0)), tell)
    except TooLong:
        clock = Clock(time_limit / 2, lambda _: tell(0.0))
        return _sampled(given, step, clock, tell, left_out)
    return Curve(tuple(Amount(*stair) for stair in whole), True, True, left_out)


def _sampled(
    given: PlanInput,
    step: Step,
    clock: "Clock",
    tell: Callable[[float], None],
    left_out: tuple[int, ...],
) -> Curve:
    """Steps at amounts that lie closer where money is little, as many as the time allows."""
    from core.planning.frontier import Stair, rising
    from core.planning.model import build
    from core.planning.search import search

    model = build(given)
    gains = model.gains(step)
    found: list[Stair] = []
    is_proven = True

    def look(budget: int | None) -> None:
        nonlocal is_proven
        solution = search(model, budget, [gains], clock, all_ties=False)
        if solution is not None:
            is_proven = is_proven and solution.is_least
            money = int(model.cost @ solution.chosen)
            found.append(Stair(money, int(gains @ solution.chosen)))

    look(None)
    top = found[0].money if found else 0
    # Far from those before them first, so that the time may run out anywhere.
    for done, number in enumerate(sorted(range(SAMPLES), key=lambda n: f"{n:06b}"[::-1])):
        tell(0.5 + 0.5 * done / SAMPLES)
        if clock.left_s <= 0:
            break
        look(top * number**2 // SAMPLES**2)
    return Curve(tuple(Amount(*stair) for stair in rising(found)), False, is_proven, left_out)


@dataclass(frozen=True, slots=True)
class Cost:
    """What it costs to fill or to reach the target everywhere, as far as priced coins go.

    `reached` of `wanted` slots are then done; the others have no price (`not_priced`), or none of
    the coins priced will do (`out_of_reach`).
    """

    money: int
    wanted: int
    reached: int
    not_priced: tuple[int, ...]
    out_of_reach: int
    is_proven: bool


def cost_to_finish(
    given: PlanInput,
    time_limit: float = TIME_LIMIT_S,
    progress: Callable[[float], None] | None = None,
) -> Cost:
    """Least money that closes all gaps that can be closed."""
    wanted = sum(want.held is None for want in given.wants)
    return _cost(given, GAPS_CLOSED, wanted, not_priced(given, False), time_limit, progress)


def cost_to_targets(
    given: PlanInput,
    time_limit: float = TIME_LIMIT_S,
    progress: Callable[[float], None] | None = None,
) -> Cost:
    """Least money that meets all targets that can be met."""
    wanted = sum(not want.meets(want.held) for want in given.wants)
    return _cost(given, TARGETS_MET, wanted, not_priced(given), time_limit, progress)


def _cost(
    given: PlanInput,
    step: Step,
    wanted: int,
    left_out: tuple[int, ...],
    time_limit: float,
    progress: Callable[[float], None] | None,
) -> Cost:
    whole = plan(given, None, Aim("", (step,), step, ""), time_limit, progress)
    reached = whole.figures[0]
    done = {bought.slot for bought in whole.purchases} | {one.to_slot for one in whole.moves}
    without = tuple(slot for slot in left_out if slot not in done)
    return Cost(
        whole.spent,
        wanted,
        reached,
        without,
        max(0, wanted - reached - len(without)),
        whole.is_proven and whole.is_least,
    )


def cost_of_share(given: PlanInput, found: Curve, step: Step, share: Fraction) -> int | None:
    """Least money for a share (0 to 1) of all slots filled, or at target where `step` counts those.

    `found` is the curve of `step`, which is GAPS_CLOSED or TARGETS_MET. None where no priced coins
    lead there.
    """
    return found.cost_of(missing_for_share(given, step, share))


def missing_for_share(given: PlanInput, step: Step, share: Fraction) -> int:
    """How many slots more must be filled, or brought to target; none is missing at 0 or below."""
    now = sum(
        want.held is not None if step == GAPS_CLOSED else want.meets(want.held)
        for want in given.wants
    )
    return -(-share.numerator * len(given.wants) // share.denominator) - now


@dataclass(frozen=True, slots=True)
class Buy:
    """One purchase by itself: what it and the coins it frees add, and what that costs.

    `moves` are the freed coins that go on. `gain` counts the step asked for.
    """

    purchase: int
    slot: int
    points: int
    cost: int
    gain: int
    moves: tuple[Moved, ...]

    @property
    def rank(self) -> tuple[bool, Fraction, int]:
        """The least comes first: for nothing, then most gain for the money, then least money."""
        value = Fraction(self.gain, self.cost) if self.cost else Fraction(self.gain)
        return self.cost > 0, -value, self.cost


def next_buys(given: PlanInput, aim: Aim, time_limit_s: float = TIME_LIMIT_S) -> tuple[Buy, ...]:
    """What to buy next towards an aim, once the coins in hand are where they gain most.

    The first step of the aim that any single purchase serves decides.
    """
    bare = replace(given, pinned=frozenset[Mark]())
    moved = after(bare, plan(bare, 0, aim, time_limit_s))
    return next((buys for step in aim.steps if (buys := best_buys(moved, step))), ())


def best_buys(given: PlanInput, step: Step, budget: int | None = None) -> tuple[Buy, ...]:
    """Every purchase within a budget that gains something, the next best one first.

    What spares bring for nothing is not counted: move them first (`after` a plan of budget 0).
    A freed coin goes on to where it gains most, at most three one after another.
    """
    wants = {want.slot: want for want in given.wants}
    at_home = {piece.from_slot: piece for piece in given.pieces if piece.from_slot is not None}
    found = []
    for purchase in given.purchases:
        cost = purchase.cost
        if cost is None or purchase.id in given.forbidden:
            continue
        if budget is not None and cost > budget:
            continue
        for slot, points in purchase.seats:
            want = wants.get(slot)
            if want is None or not want.takes(points) or (purchase.id, slot) in given.forbidden:
                continue
            more, moves = _going_on(step, wants, at_home, slot, frozenset([slot]))
            gain = step.gain(want, points) + more
            if gain > 0:
                found.append(Buy(purchase.id, slot, points, cost, gain, moves))
    return tuple(sorted(found, key=lambda buy: buy.rank))


def _going_on(
    step: Step,
    wants: Mapping[int, Want],
    at_home: Mapping[int, Piece],
    freed: int,
    seen: frozenset[int],
) -> tuple[int, tuple[Moved, ...]]:
    """The most that the coin of a slot taken over by another can still add, and how."""
    piece = at_home.get(freed)
    best: tuple[int, tuple[Moved, ...]] = (0, ())
    if piece is None or len(seen) > CHAIN:
        return best
    for slot, points in piece.seats:
        want = wants.get(slot)
        if want is None or slot in seen or not want.takes(points):
            continue
        more, moves = _going_on(step, wants, at_home, slot, seen | {slot})
        gain = step.gain(want, points) + more
        if gain > best[0]:
            best = gain, (Moved(piece.coin, freed, slot, points), *moves)
    return best
