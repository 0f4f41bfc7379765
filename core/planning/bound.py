"""How good a plan can be at most, which choices no best plan makes, and a first plan.

Every row but "one coin a slot" is given a price: a unit of money, a unit of an aim already reached,
a coin used twice. With these prices each slot chooses by itself, so the sum of their best, and of
what the rows allow at their prices, is a bound on every plan; the prices that make it least are
those of the linear programme. What a choice loses against the best of its slot, the whole plan
loses at least; where that leaves less than a plan already known has, no best plan makes the choice.
Nothing is lost by leaving it out, and the solver's model gets small.
"""

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from core.planning.model import Model
from core.planning.rows import Bools, Floats, Ints, Rows
from core.planning.solver import row_prices

_STEPS = 60
_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class Bound:
    """`most`: no plan is better. `score`: what each choice adds above prices, `loss` what it lacks.

    Choices that are not allowed score minus infinity.
    """

    most: int
    exact: float
    slack: float
    score: Floats
    loss: Floats

    def can_reach(self, least: int) -> Bools:
        """Which choices a plan that reaches `least` may make."""
        return np.asarray(self.exact - self.loss + self.slack >= least)


def bound(model: Model, rows: Rows, weights: Ints, allowed: Bools, prices: Floats) -> Bound:
    """The bound at given prices of the rows, one each; those of single slots are passed over.

    A price is positive for a row's most, negative for its least.
    """
    if len(model) == 0:
        return Bound(0, 0.0, 0.0, np.zeros(0), np.zeros(0))
    prices = prices.copy()
    prices[: len(model.first)] = 0.0
    prices = np.where(prices > 0, np.where(np.isfinite(rows.most), prices, 0.0), prices)
    prices = np.where(prices < 0, np.where(np.isfinite(rows.least), prices, 0.0), prices)
    ends = np.where(prices > 0, rows.most, np.where(prices < 0, rows.least, 0.0))
    charged = rows.priced(prices, len(model))
    score = np.where(allowed, weights - charged, -np.inf)
    best = np.maximum(np.maximum.reduceat(score, model.first), 0.0)
    exact = float(prices @ ends) + float(best.sum())
    size = float(np.abs(prices) @ np.abs(ends)) + float(np.abs(weights).sum()) / len(model)
    slack = _ROUNDING * (1.0 + size + float(best.sum()))
    sizes = np.diff(np.append(model.first, len(model)))
    return Bound(int(np.floor(exact + slack)), exact, slack, score, np.repeat(best, sizes) - score)


def bound_by_money(model: Model, rows: Rows, weights: Ints, allowed: Bools, money: int) -> Bound:
    """The least bound with a price for money alone, which is the row `money`."""
    prices = np.zeros(len(rows))
    least = bound(model, rows, weights, allowed, prices)
    costs = np.zeros(len(model))
    mine = rows.row == money
    costs[rows.at[mine]] = rows.times[mine]
    paid = allowed & (costs > 0)
    if not paid.any() or _spent(model, least, costs) <= rows.most[money]:
        return least
    low, high = 0.0, float((np.maximum(weights[paid], 0) / costs[paid]).max())
    price = high
    for _ in range(_STEPS):
        prices[money] = price
        found = bound(model, rows, weights, allowed, prices)
        least = min(least, found, key=lambda one: one.exact)
        if _spent(model, found, costs) > rows.most[money]:
            low = price
        else:
            high = price
        price = (low + high) / 2
        if price in {low, high}:
            break
    return least


def bound_by_rows(
    model: Model, rows: Rows, weights: Ints, allowed: Bools, tell: Callable[[], None]
) -> Bound:
    """The least bound over prices of all rows, from the linear programme over allowed choices."""
    binding = rows.bind(allowed)
    prices = np.zeros(len(rows))
    if binding.any():
        prices[binding] = row_prices(
            weights[allowed].astype(np.float64), rows.of(allowed, binding), tell
        )
    return bound(model, rows, weights, allowed, prices)


def _spent(model: Model, found: Bound, costs: Floats) -> float:
    """What the slots' best choices cost, the cheapest where several are as good."""
    is_best = (found.loss <= 0) & (found.score > 0)
    cheapest = np.minimum.reduceat(np.where(is_best, costs, np.inf), model.first)
    return float(cheapest[np.isfinite(cheapest)].sum())


def first_plan(
    model: Model, rows: Rows, weights: Ints, allowed: Bools, score: Floats, budget: int | None
) -> Bools | None:
    """A lawful plan found by going once through the choices, or None.

    First what pinned purchases need, then by score, then what still fits into the budget. The coins
    of slots stay where they are.
    """
    homes = [piece.from_slot is None for piece in model.given.pieces]
    loose = np.array([*homes, True], np.bool_)[model.piece]
    good = np.flatnonzero(allowed & loose & (score > 0))
    rest = np.flatnonzero(allowed & loose & (score <= 0) & (weights > 0))
    limits = model.limits
    looked_at = np.zeros(len(model), np.bool_)
    looked_at[[*good, *rest, *(at for pin in model.pins for at in pin)]] = True
    mine = looked_at[limits.at]
    bound_by: dict[int, list[int]] = defaultdict(list)
    for row, at in zip(limits.row[mine].tolist(), limits.at[mine].tolist(), strict=True):
        bound_by[at].append(row)
    left: list[int] = limits.most.astype(np.int64).tolist()
    chosen = np.zeros(len(model), np.bool_)
    costs: list[int] = model.cost.tolist()
    money = sum(costs) if budget is None else budget

    def takes(at: int) -> bool:
        nonlocal money
        if chosen[at] or costs[at] > money:
            return False
        for row in bound_by[at]:
            if left[row] == 0:
                return False
        chosen[at] = True
        money -= costs[at]
        for row in bound_by[at]:
            left[row] -= 1
        return True

    for pin in model.pins:
        if not any(takes(at) for at in sorted(pin, key=lambda at: -score[at])):
            return None
    for at in good[np.argsort(-score[good], kind="stable")].tolist():
        takes(at)
    density = weights[rest] / (model.cost[rest] + 1.0)
    for at in rest[np.argsort(-density, kind="stable")].tolist():
        takes(at)
    return chosen if rows.hold(chosen) else None
