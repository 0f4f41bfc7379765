"""Published knapsack sets: a plan within their capacity reaches the known optimum.

A knapsack is a plan whose slots are all empty and have one coin each: its weight is the price, its
profit the coin's points. The two ways to the optimum are asked alike: the integer programme of the
plan, and the steps of the budget curve, which come from least money for each figure.
"""

from typing import NamedTuple

import numpy as np
import pytest

from core.planning.aim import POINTS, POINTS_GAINED
from core.planning.curve import curve
from core.planning.plan import plan
from core.planning.rows import RowList
from core.planning.solver import maximise
from core.planning.wants import PlanInput, Purchase, Seat, Want


class Set(NamedTuple):
    name: str
    capacity: int
    weights: tuple[int, ...]
    profits: tuple[int, ...]
    best: int


SETS = (
    # KNAPSACK_01 test set, several of them from Knapsack Problems: Algorithms and Computer
    # Implementations, 1990. Recalled; dynamic programming and HiGHS agree with each optimum.
    Set(
        "0-1 knapsack P01",
        165,
        (23, 31, 29, 44, 53, 38, 63, 85, 89, 82),
        (92, 57, 49, 68, 60, 43, 67, 84, 87, 72),
        309,
    ),
    Set("0-1 knapsack P02", 26, (12, 7, 11, 8, 9), (24, 13, 23, 15, 16), 51),
    Set("0-1 knapsack P03", 190, (56, 59, 80, 64, 75, 17), (50, 50, 64, 46, 50, 5), 150),
    Set("0-1 knapsack P04", 50, (31, 10, 20, 19, 4, 3, 6), (70, 20, 39, 37, 7, 5, 10), 107),
    Set(
        "0-1 knapsack P06",
        170,
        (41, 50, 49, 59, 55, 57, 60),
        (442, 525, 511, 593, 546, 564, 617),
        1735,
    ),
    # The Knapsack Problem, OR-Tools guide: data published, the printed optimum recalled.
    Set(
        "50-item knapsack",
        850,
        (
            7,
            0,
            30,
            22,
            80,
            94,
            11,
            81,
            70,
            64,
            59,
            18,
            0,
            36,
            3,
            8,
            15,
            42,
            9,
            0,
            42,
            47,
            52,
            32,
            26,
            48,
            55,
            6,
            29,
            84,
            2,
            4,
            18,
            56,
            7,
            29,
            93,
            44,
            71,
            3,
            86,
            66,
            31,
            65,
            0,
            79,
            20,
            65,
            52,
            13,
        ),
        (
            360,
            83,
            59,
            130,
            431,
            67,
            230,
            52,
            93,
            125,
            670,
            892,
            600,
            38,
            48,
            147,
            78,
            256,
            63,
            17,
            120,
            164,
            432,
            35,
            92,
            110,
            22,
            42,
            50,
            323,
            514,
            28,
            87,
            73,
            78,
            15,
            26,
            78,
            210,
            36,
            85,
            189,
            274,
            43,
            33,
            10,
            19,
            389,
            276,
            312,
        ),
        7534,
    ),
    # Knapsack example of the optimisation tutorial in the SciPy manual. Recalled.
    Set(
        "8-item knapsack",
        100,
        (21, 11, 15, 9, 34, 25, 41, 52),
        (22, 12, 16, 10, 35, 26, 42, 53),
        105,
    ),
)


def as_plan(one: Set) -> PlanInput:
    """An empty slot without a target for each thing to pack."""
    return PlanInput(
        tuple(Want(at, 0) for at in range(len(one.weights))),
        tuple(
            Purchase(at, (Seat(at, profit),), weight)
            for at, (weight, profit) in enumerate(zip(one.weights, one.profits, strict=True))
        ),
    )


@pytest.mark.parametrize("one", SETS, ids=lambda one: one.name)
def test_a_plan_reaches_the_published_optimum(one):
    given = as_plan(one)
    made = plan(given, one.capacity, POINTS)
    weights = sum(one.weights[bought.purchase] for bought in made.purchases)
    profits = sum(one.profits[bought.purchase] for bought in made.purchases)
    assert (profits, made.figures, made.is_proven) == (one.best, (one.best,), True)
    assert weights == made.spent <= one.capacity
    steps = curve(given, POINTS_GAINED)
    assert steps.figure_at(one.capacity) == one.best
    assert steps.cost_of(one.best) == made.spent


def test_the_solver_answers_the_two_variable_programme_of_its_manual():
    """scipy.optimize.milp, SciPy 1.17 reference, its example: greatest y is 2, relaxed 2.8.

    y - x <= 1, 3x + 2y <= 12, 2x + 3y <= 12, whole numbers; each unit is a choice of its own here.
    """
    x, y = list(range(6)), list(range(6, 12))
    rows = RowList()
    rows.add(y, less=x, most=1)
    rows.add(x * 3 + y * 2, most=12)
    rows.add(x * 2 + y * 3, most=12)
    found = maximise(np.array([0.0] * 6 + [1.0] * 6), rows.rows(), 10.0, lambda: None)
    assert found.is_done
    assert found.chosen is not None
    assert found.chosen[6:].sum() == 2
