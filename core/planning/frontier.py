"""For each amount of money the best figure: exact, part by part, then put together.

Slots that share no coin, offer or group are parts by themselves. A part's steps are few: of one
slot they are its choices, of several linked ones each is a plan for one unit less than the step
above costs. Parts are put together from figure to least money, in whole numbers, so it does not
matter how large the amounts are.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from math import gcd
from typing import NamedTuple

import numpy as np

from core.planning.aim import Step
from core.planning.model import NONE, Model, build
from core.planning.rows import Ints
from core.planning.search import Clock, search
from core.planning.wants import PlanInput

ENDLESS = 1 << 62


class Stair(NamedTuple):
    """From this much money on, this figure is the best there is."""

    money: int
    figure: int


class TooLong(Exception):
    """Linked slots have more steps than the time allows."""


def parts(model: Model) -> list[list[int]]:
    """Places of wants that hang together by coins, offers or groups; those without choices not."""
    leader = list(range(len(model.given.wants)))

    def lead(at: int) -> int:
        while leader[at] != at:
            leader[at] = leader[leader[at]]
            at = leader[at]
        return at

    for rows in (model.limits, model.rows):
        last_row, last_slot = NONE, NONE
        for row, at in zip(rows.row.tolist(), model.slot[rows.at].tolist(), strict=True):
            if row == last_row and at != last_slot:
                leader[lead(at)] = lead(last_slot)
            last_row, last_slot = row, at
    found: dict[int, list[int]] = defaultdict(list)
    for at in np.unique(model.slot).tolist():
        found[lead(at)].append(at)
    return list(found.values())


def stairs(
    given: PlanInput, step: Step, clock: Clock, tell: Callable[[float], None]
) -> list[Stair]:
    """All steps of the best figure by money, from the least money a plan takes.

    Raises TooLong where the clock runs out; gives no step at all where nothing holds what is
    pinned.
    """
    model = build(given)
    if model.useless_pins():
        return []
    if len(model) == 0:
        return [Stair(0, 0)]
    gains = model.gains(step)
    pinned = {at for pin in model.pins for at in pin}
    ends = [*model.first[1:].tolist(), len(model)]
    span = {
        slot: range(start, end)
        for slot, start, end in zip(
            model.slot[model.first].tolist(), model.first.tolist(), ends, strict=True
        )
    }
    groups = parts(model)
    fronts: list[list[Stair]] = []
    for done, group in enumerate(groups):
        if done % 64 == 0 or len(group) > 1:
            tell(0.5 * done / len(groups))
        if len(group) == 1:
            fronts.append(_of_one(model, gains, span[group[0]], pinned))
        else:
            choices = [at for slot in group for at in span[slot]]
            fronts.append(_of_linked(_alone(model, group, choices), step, clock))
        if not fronts[-1]:
            return []
    return together(fronts, lambda share: tell(0.5 + 0.5 * share))


def _of_one(model: Model, gains: Ints, choices: range, pinned: set[int]) -> list[Stair]:
    """The steps of one slot: its choices, and no choice unless one is pinned."""
    needed = [at for at in choices if at in pinned]
    if len(needed) > 1:
        return []
    stairs = [Stair(int(model.cost[at]), int(gains[at])) for at in needed or choices]
    return rising(stairs if needed else [Stair(0, 0), *stairs])


def _alone(model: Model, group: Sequence[int], choices: Sequence[int]) -> PlanInput:
    """What was given, of these slots alone."""
    given = model.given
    purchases = sorted({int(model.purchase[at]) for at in choices} - {NONE})
    pieces = sorted({int(model.piece[at]) for at in choices} - {NONE})
    return PlanInput(
        tuple(given.wants[at] for at in group),
        tuple(given.purchases[at] for at in purchases),
        tuple(given.pieces[at] for at in pieces),
        given.pinned,
        given.forbidden,
    )


def _of_linked(given: PlanInput, step: Step, clock: Clock) -> list[Stair]:
    """The steps of linked slots from the top down, each a plan for less than the last one costs."""
    model = build(given)
    gains = model.gains(step)
    found: list[Stair] = []
    budget: int | None = None
    while True:
        solution = search(model, budget, [gains], clock, all_ties=False)
        if clock.left_s <= 0 or (solution is not None and not solution.is_least):
            raise TooLong
        if solution is None:
            break
        money = int(model.cost @ solution.chosen)
        found.append(Stair(money, int(gains @ solution.chosen)))
        if money == 0:
            break
        budget = money - 1
    return rising(found)


def rising(stairs: Iterable[Stair]) -> list[Stair]:
    """The steps alone that gain something over every cheaper one, by money."""
    found: list[Stair] = []
    for stair in sorted(stairs, key=lambda one: (one.money, -one.figure)):
        if not found or stair.figure > found[-1].figure:
            found.append(stair)
    return found


def together(fronts: Sequence[Sequence[Stair]], tell: Callable[[float], None]) -> list[Stair]:
    """The steps of all parts at once: least money for each figure, one part after another."""
    base = sum(front[0].figure for front in fronts)
    unit = gcd(*(stair.figure - front[0].figure for front in fronts for stair in front)) or 1
    least = np.zeros(1, np.int64)  # least[v]: least money for a figure of v units or more
    for done, front in enumerate(fronts):
        if done % 16 == 0:
            tell(done / len(fronts))
        rise = [((stair.figure - front[0].figure) // unit, stair.money) for stair in front]
        size = len(least)
        new = np.full(size + rise[-1][0], ENDLESS)
        for units, money in rise:
            np.minimum(new[units : units + size], least + money, out=new[units : units + size])
        least = np.minimum.accumulate(new[::-1])[::-1]
    tell(1.0)
    last = np.flatnonzero(np.append(np.diff(least) > 0, True))
    return [Stair(int(least[at]), base + unit * int(at)) for at in last.tolist()]
