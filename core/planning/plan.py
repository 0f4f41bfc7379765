"""The best set of purchases and moves within a budget, by mixed-integer programming.

The rules in words: every slot takes at most one new coin, which must better what it holds; a spare
moves in for nothing; the coin of a slot goes on only where another takes its place, and may then
fill a slot of any album; an offer is taken as often as it is there; what is pinned is bought,
what is forbidden is not; all that is paid stays within the budget. What freed coins may bring is
told, and never counted as money to spend.
"""

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from core.errors import Refused
from core.planning.aim import GAPS_CLOSED, POINTS_GAINED, TARGETS_MET, Aim, Step
from core.planning.wants import Piece, PlanInput, Spot, not_priced

if TYPE_CHECKING:  # numpy is read where it is first used
    from core.planning.model import Model
    from core.planning.rows import Bools
    from core.planning.search import Clock

TIME_LIMIT_S = 20.0


class PinsRefused(Refused):
    """Pinned purchases that cannot all be made.

    `least` is the money they need at least; None where no money would do.
    """

    def __init__(self, message: str, least: int | None = None) -> None:
        super().__init__(message)
        self.least = least


@dataclass(frozen=True, slots=True)
class Bought:
    """A purchase and the slot it goes into."""

    purchase: int
    slot: int
    points: int
    cost: int


@dataclass(frozen=True, slots=True)
class Moved:
    """A coin in hand and the slot it goes into; `from_slot` None for a spare."""

    coin: int
    from_slot: int | None
    to_slot: int
    points: int


@dataclass(frozen=True, slots=True)
class Gains:
    """What a plan adds over all slots."""

    gaps: int
    targets: int
    points: int


@dataclass(frozen=True, slots=True)
class Plan:
    """What to buy and to move, what it costs and adds.

    `freed` are coins that leave their slots and find no other; `brings` what they may bring.
    `figures` are the aim's steps in their order. `is_proven`: no plan within the budget is better
    by the aim; else one could be better by the share `gap` of what it could reach in the first step
    that is open. `is_least`: none as good costs less. `not_priced` are slots that want a coin and
    have no price.
    """

    purchases: tuple[Bought, ...]
    moves: tuple[Moved, ...]
    freed: tuple[int, ...]
    spent: int
    brings: int
    gains: Gains
    figures: tuple[int, ...]
    is_proven: bool
    is_least: bool
    gap: float
    not_priced: tuple[int, ...]


def plan(
    given: PlanInput,
    budget: int | None,
    aim: Aim,
    time_limit: float = TIME_LIMIT_S,
    progress: Callable[[float], None] | None = None,
) -> Plan:
    """The best plan within a budget in minor units; None for as much as it takes.

    `time_limit` is in seconds; after it the best plan found is given, with how far it may be off.
    `progress` is told the share of the time gone, at least every tenth of a second while the solver
    works, and may raise to cancel. Raises PinsRefused where the pinned purchases cannot all be
    made, and Refused where in the time no plan was found that holds them.
    """
    from core.planning.model import build
    from core.planning.search import Clock, search

    if budget is not None and budget < 0:
        raise ValueError("a budget is below zero")
    clock = Clock(time_limit, progress)
    model = build(given, clock.tell)
    _check_pins(given, model)
    steps = [model.gains(step) for step in aim.steps]
    solution = search(model, budget, steps, clock)
    if solution is None:
        raise _why_not(model, budget, clock)
    clock.tell()
    gap = 0.0
    if not solution.is_proven:
        gap = (solution.most - solution.reached) / max(1, solution.most)
    return _told(model, solution.chosen, aim.steps, solution.is_proven, solution.is_least, gap)


def after(given: PlanInput, made: Plan) -> PlanInput:
    """What a plan would look at once all of another plan is done; nothing stays pinned.

    Offers are used up as often as they were taken, and with them their group; prices of the list
    stand. Bought coins stay where they are put; coins freed become spares.
    """
    into = {bought.slot: bought.points for bought in made.purchases}
    into |= {moved.to_slot: moved.points for moved in made.moves}
    now_in = {moved.coin: moved.to_slot for moved in made.moves}
    taken = Counter(bought.purchase for bought in made.purchases)
    groups = {p.group for p in given.purchases if p.id in taken and p.group is not None}

    def piece_now(piece: Piece) -> Piece:
        if piece.coin in now_in:
            return replace(piece, from_slot=now_in[piece.coin])
        return replace(piece, from_slot=None) if piece.from_slot in into else piece

    return PlanInput(
        tuple(replace(w, held=into[w.slot]) if w.slot in into else w for w in given.wants),
        tuple(
            replace(p, quantity=p.quantity - taken[p.id]) if p.is_offer else p
            for p in given.purchases
            if p.group not in groups and not (p.is_offer and p.quantity <= taken[p.id])
        ),
        tuple(piece_now(piece) for piece in given.pieces),
        forbidden=given.forbidden,
    )


def _check_pins(given: PlanInput, model: "Model") -> None:
    if any(
        mark in given.forbidden or (isinstance(mark, Spot) and mark.purchase in given.forbidden)
        for mark in given.pinned
    ):
        raise PinsRefused("A purchase is pinned and forbidden at once. Take one of the two off.")
    if model.useless_pins():
        raise PinsRefused(
            "A pinned purchase has no price, or no slot that it would better. Unpin it."
        )


def _why_not(model: "Model", budget: int | None, clock: "Clock") -> Refused:
    """Why no plan holds all that is pinned."""
    from core.planning.search import Clock, search

    cheapest = search(model, None, [], Clock(max(1.0, clock.left_s)))
    if cheapest is None:
        return PinsRefused(
            "The pinned purchases cannot all be made: two of them want one slot, or one offer is"
            " pinned more often than it is there. Unpin one of them."
        )
    least = int(model.cost @ cheapest.chosen)
    if budget is not None and least > budget:
        return PinsRefused(
            "The pinned purchases cost more than the budget. Unpin one of them, or raise the"
            " budget.",
            least,
        )
    return Refused("No plan was found in the time given. Allow more time, or unpin a purchase.")


def _told(
    model: "Model",
    chosen: "Bools",
    steps: Sequence[Step],
    is_proven: bool,
    is_least: bool,
    gap: float,
) -> Plan:
    given = model.given
    bought, moved = [], []
    counts = (GAPS_CLOSED, TARGETS_MET, POINTS_GAINED, *steps)
    totals = [0] * len(counts)
    for at in chosen.nonzero()[0].tolist():
        want, points = given.wants[model.slot[at]], int(model.points[at])
        for number, step in enumerate(counts):
            totals[number] += step.gain(want, points)
        if model.purchase[at] >= 0:
            number = given.purchases[model.purchase[at]].id
            bought.append(Bought(number, want.slot, points, int(model.cost[at])))
        else:
            piece = given.pieces[model.piece[at]]
            moved.append(Moved(piece.coin, piece.from_slot, want.slot, points))
    into = {one.slot for one in bought} | {one.to_slot for one in moved}
    freed = _freed(given.pieces, into, {one.coin for one in moved})
    return Plan(
        tuple(bought),
        tuple(moved),
        tuple(piece.coin for piece in freed),
        sum(one.cost for one in bought),
        sum(piece.brings for piece in freed),
        Gains(*totals[:3]),
        tuple(totals[3:]),
        is_proven,
        is_least,
        gap,
        not_priced(given),
    )


def _freed(pieces: Sequence[Piece], into: set[int], moved: set[int]) -> list[Piece]:
    return [piece for piece in pieces if piece.from_slot in into and piece.coin not in moved]
