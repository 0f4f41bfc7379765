"""The best plan aim by aim: each aim reached is held while the next one is sought.

Aims are never packed into one weight, which would grow beyond what the solver tells apart; small
ties are. Before each solve all choices are left out that no plan as good as the best one known can
make (`core.planning.bound`): often none is left to decide, and the bound itself is the proof.
Every plan the solver gives is checked in whole numbers before it counts.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from time import monotonic

import numpy as np

from core.planning.aim import POINTS_GAINED
from core.planning.bound import Bound, bound, bound_by_money, bound_by_rows, first_plan
from core.planning.model import NONE, Model
from core.planning.rows import Bools, Ints, Rows
from core.planning.solver import maximise

CORE = 150
"""So many choices are tried alone first: their best plan is nearly always a best one."""
FEW = 100
PACKED = 1 << 22
"""Ties are packed up to this total, far below what rounding in the solver could blur."""
FIRST_SLICE_S = 4.0
_WHOLE = 1e-6


class Clock:
    """How long may still be searched; tells the share of the time gone."""

    def __init__(self, limit_s: float, progress: Callable[[float], None] | None = None) -> None:
        self._start, self._limit_s, self._progress = monotonic(), limit_s, progress

    @property
    def left_s(self) -> float:
        """Seconds that are left, below zero once they are over."""
        return self._start + self._limit_s - monotonic()

    def tell(self) -> None:
        """Say how much of the time is gone; what is told may raise to end the search."""
        if self._progress is not None:
            self._progress(min(1.0, 1.0 - self.left_s / self._limit_s) if self._limit_s else 1.0)


@dataclass(frozen=True, slots=True)
class Solution:
    """The choices; of the first aim not proven (if any) what was reached and the most there can be.

    `is_least` says whether the money is proven to be the least for what was reached.
    """

    chosen: Bools
    reached: int
    most: int
    is_proven: bool
    is_least: bool


@dataclass(slots=True)
class _Search:
    model: Model
    rows: Rows
    money: int | None  # the row that holds the budget
    budget: int | None
    allowed: Bools
    clock: Clock
    best: Bools | None = None
    is_linked: bool = False


def search(
    model: Model, budget: int | None, aims: Sequence[Ints], clock: Clock, all_ties: bool = True
) -> Solution | None:
    """The best plan by these weights in their order, then less money and, if so, the further ties.

    None where no plan holds all that is pinned, or none was found in time.
    """
    unit = max(1, int(np.gcd.reduce(model.cost))) if len(model) else 1
    price = model.cost // unit
    rows = joined(model.limits, model.rows)
    state = _Search(model, rows, None, None, np.ones(len(model), np.bool_), clock)
    state.is_linked = len(rows) > len(model.first)
    if budget is not None and model.top(model.cost) > budget:
        state.money, state.budget = len(rows), budget
        state.rows = rows.plus(price, most=budget // unit)
    for weights in [aim for aim in aims if aim.any()] or [np.zeros(len(model), np.int64)]:
        is_proven, most = _reach(state, weights)
        if state.best is None:
            return None
        reached = _hold(state, weights)
        if not is_proven:
            _drop_useless(state)
            return Solution(state.best, reached, most, is_proven=False, is_least=False)
    clock.tell()
    is_least, _ = _reach(state, -price, is_aim=False)
    _hold(state, -price)
    if is_least and all_ties:
        _break_ties(state)
    assert state.best is not None
    return Solution(state.best, 0, 0, is_proven=True, is_least=is_least)


def joined(one: Rows, other: Rows) -> Rows:
    """The rows of both."""
    return Rows(
        np.concatenate([one.row, other.row + len(one)]),
        np.concatenate([one.at, other.at]),
        np.concatenate([one.times, other.times]),
        np.concatenate([one.least, other.least]),
        np.concatenate([one.most, other.most]),
    )


def _hold(state: _Search, weights: Ints) -> int:
    """Let no later plan be worse by these weights than the best one is."""
    assert state.best is not None
    reached = int(weights @ state.best)
    state.rows = state.rows.plus(weights, least=reached)
    return reached


def _reach(state: _Search, weights: Ints, is_aim: bool = True) -> tuple[bool, int]:
    """Make the best plan the best by these weights too; whether proven, and the most there is."""
    slice_s, is_cored, ways = FIRST_SLICE_S, False, _ways(state)
    upper = next(ways)(weights)
    while True:
        state.clock.tell()
        if is_aim:
            _guess(state, weights, upper)
        reached = NONE if state.best is None else int(weights @ state.best)
        if upper.most <= reached:
            return True, reached
        if state.best is not None:
            state.allowed &= upper.can_reach(reached) | state.best
        better = next(ways, None)
        if better is not None:
            upper = better(weights)
            continue
        if not is_cored and np.count_nonzero(state.allowed) > 2 * CORE:
            _solve(state, weights, slice_s, _core(state, upper))
            is_cored = True
            continue
        most, is_done = _solve(state, weights, slice_s, state.allowed)
        most = min(most, upper.most)
        reached = NONE if state.best is None else int(weights @ state.best)
        if is_done or most <= reached or state.clock.left_s <= 0:
            return state.best is not None and most <= reached, most
        slice_s *= 2


def _ways(state: _Search) -> Iterator[Callable[[Ints], Bound]]:
    """Ways to a bound, the quick one first; the other where more binds than slots and money.

    Of few choices the solver itself is as quick.
    """
    is_first = state.best is None
    money = state.money
    if is_first and money is not None:
        yield lambda weights: bound_by_money(state.model, state.rows, weights, state.allowed, money)
    else:
        nothing = np.zeros(len(state.rows))
        yield lambda weights: bound(state.model, state.rows, weights, state.allowed, nothing)
    if (state.is_linked or not is_first) and np.count_nonzero(state.allowed) > FEW:
        yield lambda weights: bound_by_rows(
            state.model, state.rows, weights, state.allowed, state.clock.tell
        )


def _guess(state: _Search, weights: Ints, upper: Bound) -> None:
    """Take a plan by the bound's scores where it is better."""
    found = first_plan(state.model, state.rows, weights, state.allowed, upper.score, state.budget)
    if found is not None and (
        state.best is None or int(weights @ found) > int(weights @ state.best)
    ):
        state.best = found


def _core(state: _Search, upper: Bound) -> Bools:
    """The choices that lose least, and those of the best plan."""
    loss = np.where(state.allowed, upper.loss, np.inf)
    core = np.asarray(loss <= np.partition(loss, CORE)[CORE]) & state.allowed
    return core if state.best is None else core | state.best


def _break_ties(state: _Search) -> None:
    """Fewest purchases, then most points gained for nothing, then fewest moves."""
    is_bought = (state.model.purchase != NONE).astype(np.int64)
    ties = (-is_bought, state.model.gains(POINTS_GAINED), is_bought - 1)
    for weights in packed(state.model, ties, state.allowed):
        _reach(state, weights, is_aim=False)
        _hold(state, weights)


def packed(model: Model, ties: Sequence[Ints], allowed: Bools) -> list[Ints]:
    """The same in fewer weights, each of a total that stays below `PACKED`."""
    found: list[Ints] = []
    total = 0
    for tie in ties:
        weights = np.where(allowed, tie, 0)
        spread = 1 + model.top(weights) + model.top(-weights)
        if found and total * spread < PACKED:
            found[-1] = found[-1] * spread + weights
            total *= spread
        elif spread > 1:
            found.append(weights)
            total = spread
    return found


def _solve(state: _Search, weights: Ints, slice_s: float, allowed: Bools) -> tuple[int, bool]:
    """One slice of the solver over the allowed choices; the most it leaves, and whether it ended.

    A better plan that it finds becomes the best one.
    """
    left_s = min(slice_s, state.clock.left_s)
    if left_s <= 0:
        return state.model.top(weights), False
    rows = state.rows.of(allowed, state.rows.bind(allowed))
    found = maximise(weights[allowed].astype(np.float64), rows, left_s, state.clock.tell)
    if found.is_impossible:
        # Where a plan stands this is the solver's rounding: then nothing is proven.
        return (NONE if state.best is None else state.model.top(weights)), True
    if found.chosen is not None:
        chosen = np.zeros(len(state.model), np.bool_)
        chosen[allowed] = found.chosen
        is_better = state.best is None or int(weights @ chosen) > int(weights @ state.best)
        if is_better and state.rows.hold(chosen):
            state.best = chosen
    if not np.isfinite(found.most):
        return state.model.top(weights), found.is_done
    return int(np.floor(found.most + _WHOLE * (1 + abs(found.most)))), found.is_done


def _drop_useless(state: _Search) -> None:
    """Drop purchases without which all that was reached stands."""
    assert state.best is not None
    paid = np.flatnonzero(state.best & (state.model.cost > 0))
    for at in paid[np.argsort(-state.model.cost[paid], kind="stable")].tolist():
        state.best[at] = False
        if not state.rows.hold(state.best):
            state.best[at] = True
