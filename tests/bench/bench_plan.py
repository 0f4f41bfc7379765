"""A plan of 500 slots × 6 grades against the bare solver; 5,000 slots with progress and cancel.

`python -m tests.bench.bench_plan [500|5000]`. The floor is `scipy.optimize.milp` on the same model
and budget: one call for each step of the aim, the steps reached held as rows, nothing else; what
the product adds (reading the input, bounds, least money, further ties, the check in whole numbers)
is in its own time. The model is made outside the floor. For 5,000 slots: how long the plan takes,
the longest wait between two reports, and how soon a cancelled one ends.
"""

import sys
from collections.abc import Sequence
from itertools import pairwise
from statistics import median
from time import perf_counter

import numpy as np
from scipy.optimize import milp

from core.errors import Cancelled
from core.planning.aim import GAPS, KEYS, POINTS, TARGETS, Aim, mix
from core.planning.model import build
from core.planning.plan import plan
from core.planning.search import joined
from core.planning.solver import bare_model
from core.planning.wants import PlanInput
from tests.planning_material import many_linked, many_slots

ROUNDS = 9
GOAL = 1.5
LONGEST_WAIT_S = 0.25
AIMS = (GAPS, TARGETS, POINTS, KEYS, mix(3, 2, 1))


def bare(given: PlanInput, budget: int, aim: Aim) -> tuple[float, tuple[int, ...]]:
    """Seconds in the solver alone, and the figures it reaches."""
    model = build(given)
    rows = joined(model.limits, model.rows).plus(model.cost, most=budget)
    seconds, figures = 0.0, []
    for step in aim.steps:
        weights = model.gains(step)
        if not weights.any():
            figures.append(0)
            continue
        ready = bare_model(weights.astype(np.float64), rows)
        start = perf_counter()
        answer = milp(**ready, options={"mip_rel_gap": 0.0})
        seconds += perf_counter() - start
        figures.append(round(-answer.fun))
        rows = rows.plus(weights, least=figures[-1])
    return seconds, tuple(figures)


def compare(name: str, given: PlanInput, budget: int) -> bool:
    """Print the ratio of each aim; whether all meet the goal."""
    met = True
    for aim in AIMS:
        plan(given, budget, aim)
        ratios, floors, mine = [], [], []
        for _ in range(ROUNDS):
            floor, figures = bare(given, budget, aim)
            start = perf_counter()
            made = plan(given, budget, aim)
            mine.append(perf_counter() - start)
            floors.append(floor)
            ratios.append(mine[-1] / floor)
            assert made.is_proven
            assert made.figures == figures
        ratio = median(ratios)
        met &= ratio <= GOAL
        print(
            f"{name}, {aim.name}: ratio {ratio:.2f}, goal at most {GOAL} (solver alone "
            f"{1000 * median(floors):.0f} ms, plan {1000 * median(mine):.0f} ms)"
        )
    return met


class Watch:
    """Takes reports; cancels at the first one that comes when its time is over."""

    def __init__(self, cancel_after_s: float | None = None) -> None:
        self.told = [perf_counter()]
        self._after_s = cancel_after_s

    def __call__(self, share: float) -> None:
        self.told.append(perf_counter())
        if self._after_s is not None and self.told[-1] - self.told[0] > self._after_s:
            raise Cancelled

    @property
    def longest_s(self) -> float:
        """Longest time without a report, up to now."""
        return max(after - before for before, after in pairwise([*self.told, perf_counter()]))


def watch(given: PlanInput, budget: int, aims: Sequence[Aim]) -> bool:
    """Print how long a large plan takes, how often it reports, how soon a cancelled one ends."""
    met = True
    for aim in aims:
        whole = Watch()
        made = plan(given, budget, aim, 60.0, whole)
        wait_s, took_s = whole.longest_s, perf_counter() - whole.told[0]
        half = Watch(took_s / 2)
        try:
            plan(given, budget, aim, 60.0, half)
            ended = "cancelled too late"
        except Cancelled:
            late_s = perf_counter() - half.told[0] - took_s / 2
            ended = f"cancelled half-way, it ended after {1000 * late_s:.0f} ms"
        met &= wait_s <= LONGEST_WAIT_S
        proven = "proven best" if made.is_proven else f"off by at most {made.gap:.1%}"
        print(
            f"{len(given.wants):,} slots × 6 grades, {aim.name}: {took_s:.1f} s, {proven}; longest "
            f"wait between reports {1000 * wait_s:.0f} ms, goal at most "
            f"{1000 * LONGEST_WAIT_S:.0f}; {ended}"
        )
    return met


def main() -> int:
    names = sys.argv[1:] or ["500", "5000"]
    met = True
    if "500" in names:
        met &= compare("500 slots × 6 grades", many_slots(500), 25_000)
        met &= compare("the same with offers and coins that go on", many_linked(500), 25_000)
    if "5000" in names:
        met &= watch(many_slots(5_000), 250_000, AIMS)
        met &= watch(many_linked(5_000), 250_000, AIMS)
    return 0 if met else 1


if __name__ == "__main__":
    raise SystemExit(main())
