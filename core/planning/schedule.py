"""A plan spread over months: a sum set aside each month, and the month in which each slot closes.

First the best plan is made for all the money of the months looked at. Then each month the best of
what is left of it is bought with the money at hand; what is not spent is kept for the next month.
So no coin is bought that the whole plan would replace later.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import partial

from core.planning.aim import Aim
from core.planning.plan import TIME_LIMIT_S, Bought, Moved, PinsRefused, Plan, after, plan
from core.planning.wants import Mark, PlanInput, Purchase, Seat, is_marked

MOST_MONTHS = 1200


@dataclass(frozen=True, slots=True)
class Month:
    """A month, from 1, in which something is done; `left` is kept for those after it."""

    number: int
    purchases: tuple[Bought, ...]
    moves: tuple[Moved, ...]
    spent: int
    left: int


@dataclass(frozen=True, slots=True)
class Schedule:
    """The months in which something is done, and when each slot gets its last coin.

    `later` are purchases of the whole plan that need more months than were looked at; `dropped`
    those that better nothing any more once all others are made.
    """

    months: tuple[Month, ...]
    closes: Mapping[int, int]
    spent: int
    later: tuple[Bought, ...]
    dropped: tuple[Bought, ...]
    is_proven: bool
    not_priced: tuple[int, ...]


def schedule(
    given: PlanInput,
    monthly: int,
    aim: Aim,
    months: int | None = None,
    time_limit: float = TIME_LIMIT_S,
    progress: Callable[[float], None] | None = None,
) -> Schedule:
    """Month by month what to buy for `monthly` minor units; `months` None is until all is done.

    `progress` is told the share done and may raise to cancel. Raises PinsRefused as `plan` does,
    and ValueError where nothing is set aside.
    """
    if monthly <= 0 or (months is not None and months < 1):
        raise ValueError("a schedule needs money each month, and a month at least")

    def tell(share: float) -> None:
        if progress is not None:
            progress(share)

    most = MOST_MONTHS if months is None else min(months, MOST_MONTHS)
    budget = None if months is None else monthly * most
    whole = plan(given, budget, aim, time_limit, lambda share: tell(0.5 * share))
    left, bought = _left_of(given, whole), dict(enumerate(whole.purchases))
    done: list[Month] = []
    month, money, is_proven = 0, 0, whole.is_proven
    while month < most and (month == 0 or left.purchases):
        cheapest = min((p.cost or 0 for p in left.purchases), default=0)
        wait = max(1, -(-(cheapest - money) // monthly))
        if month + wait > most:
            break
        month, money = month + wait, money + wait * monthly
        share = 1 - 0.5 * len(left.purchases) / max(1, len(bought))
        tell(share)
        made = plan(left, money, aim, time_limit, partial(_still, tell, share))
        is_proven = is_proven and made.is_proven
        is_last = not made.purchases and money >= sum(p.cost or 0 for p in left.purchases)
        if is_last:
            made = _what_was_pinned(given, left, bought, money, aim, time_limit) or made
        left = after(left, made)
        money -= made.spent
        if made.purchases or made.moves:
            done.append(_month(month, made, money, bought))
        if is_last and not made.purchases:
            break
    rest = tuple(bought[purchase.id] for purchase in left.purchases)
    is_over = money >= sum(one.cost for one in rest)
    closes = {
        slot: one.number
        for one in done
        for slot in (
            *(purchase.slot for purchase in one.purchases),
            *(moved.to_slot for moved in one.moves),
        )
    }
    return Schedule(
        tuple(done),
        closes,
        sum(one.spent for one in done),
        () if is_over else rest,
        rest if is_over else (),
        is_proven,
        whole.not_priced,
    )


def _left_of(given: PlanInput, whole: Plan) -> PlanInput:
    """What a plan buys, each coin by itself and for its own slot, and the coins that may move."""
    purchases = tuple(
        Purchase(number, (Seat(one.slot, one.points),), one.cost, is_offer=True)
        for number, one in enumerate(whole.purchases)
    )
    return replace(
        given, purchases=purchases, pinned=frozenset[Mark](), forbidden=frozenset[Mark]()
    )


def _still(tell: Callable[[float], None], share: float, _: float) -> None:
    """Say that the share done is the same still."""
    tell(share)


def _what_was_pinned(
    given: PlanInput,
    left: PlanInput,
    bought: Mapping[int, Bought],
    money: int,
    aim: Aim,
    time_limit: float,
) -> Plan | None:
    """Pinned purchases that gain nothing by the aim, made after all others; None without any."""
    pins = frozenset[Mark](
        p.id
        for p in left.purchases
        if is_marked(given.pinned, bought[p.id].purchase, bought[p.id].slot)
    )
    try:
        return plan(replace(left, pinned=pins), money, aim, time_limit) if pins else None
    except PinsRefused:  # a spare that moved in is as good by now
        return None


def _month(number: int, made: Plan, left: int, bought: Mapping[int, Bought]) -> Month:
    return Month(
        number,
        tuple(bought[one.purchase] for one in made.purchases),
        made.moves,
        made.spent,
        left,
    )
