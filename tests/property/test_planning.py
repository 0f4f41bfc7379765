"""Plans against trying every one of them, and what holds for any budget."""

import random
from collections import Counter

import pytest
from hypothesis import given as for_all
from hypothesis import settings
from hypothesis import strategies as st

from core.planning.aim import GAPS, KEYS, POINTS, TARGETS, mix
from core.planning.plan import PinsRefused, plan
from core.planning.wants import PlanInput, Spot
from tests.planning_material import a_small_case, best_of_all

AIMS = (GAPS, TARGETS, POINTS, KEYS, mix(3, 2, 1))


def value(made):
    """As `best_of_all` reckons it."""
    return (
        *made.figures,
        -made.spent,
        -len(made.purchases),
        made.gains.points,
        -len(made.moves),
    )


def test_300_small_cases_are_as_good_as_the_best_of_all_plans():
    seen: Counter[str] = Counter()
    for seed in range(300):
        given, budget = a_small_case(random.Random(seed))
        aim = AIMS[seed % len(AIMS)]
        best = best_of_all(given, budget, aim)
        if best is None:
            with pytest.raises(PinsRefused):
                plan(given, budget, aim)
            seen["refused"] += 1
            continue
        made = plan(given, budget, aim)
        assert (value(made), made.is_proven, made.is_least) == (best, True, True), seed
        offers = {p.id for p in given.purchases if p.is_offer}
        seen["pinned"] += bool(given.pinned)
        seen["pinned in a slot"] += any(isinstance(mark, Spot) for mark in given.pinned)
        seen["forbidden in a slot"] += any(isinstance(mark, Spot) for mark in given.forbidden)
        seen["offers"] += any(bought.purchase in offers for bought in made.purchases)
        seen["cascades"] += any(moved.from_slot is not None for moved in made.moves)
        seen["money short"] += best < (best_of_all(given, None, aim) or ())
    assert min(seen.values()) >= 10, seen
    assert seen["money short"] >= 40, seen


@st.composite
def cases(draw):
    given, _ = a_small_case(random.Random(draw(st.integers(0, 10**9))))
    return PlanInput(given.wants, given.purchases, given.pieces, frozenset(), given.forbidden)


@settings(max_examples=60)
@for_all(cases(), st.integers(0, 80), st.integers(0, 80), st.sampled_from(AIMS))
def test_a_plan_keeps_to_its_budget_and_more_money_is_never_worse(given, budget, more, aim):
    less, greater = plan(given, budget, aim), plan(given, budget + more, aim)
    assert less.spent <= budget
    assert less.spent == sum(bought.cost for bought in less.purchases)
    assert greater.spent <= budget + more
    assert greater.figures >= less.figures
