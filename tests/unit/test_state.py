"""Every state and its precedence, each met with all that ranks below it."""

from dataclasses import replace

import pytest

from core.model.state import SlotFacts, SlotState, fill_level, slot_state

# All that may be true at once; taking claims away in the order of the design uncovers each state.
EVERYTHING = SlotFacts(
    is_struck=False,
    is_skipped=True,
    has_coin=False,
    is_ordered=True,
    surely_fits=False,
    is_flagged=True,
    has_barred_problem=True,
    has_target=True,
    meets_target=False,
    points=10,
    target_points=20,
)


def test_the_first_state_that_applies_is_shown() -> None:
    facts = EVERYTHING
    steps = [
        ({}, SlotState.NOT_STRUCK),
        ({"is_struck": True}, SlotState.SKIPPED),
        ({"is_skipped": False}, SlotState.ON_ORDER),
        ({"is_ordered": False}, SlotState.GAP),
        ({"has_coin": True}, SlotState.TO_VERIFY),
        ({"surely_fits": True}, SlotState.TO_VERIFY),  # still flagged
        ({"is_flagged": False}, SlotState.HOLE_FILLER),
        ({"has_barred_problem": False}, SlotState.BELOW_TARGET),
        ({"meets_target": True}, SlotState.FILLED),
    ]
    for change, state in steps:
        facts = replace(facts, **change)
        assert slot_state(facts) is state


def test_every_state_is_reached() -> None:
    assert len(SlotState) == 8
    assert [s.value for s in SlotState] == [
        "not struck", "skipped", "on order", "gap", "to verify", "hole filler", "below target",
        "filled",
    ]  # fmt: skip


def test_a_coin_in_a_skipped_slot_leaves_it_skipped() -> None:
    assert slot_state(SlotFacts(is_skipped=True, has_coin=True)) is SlotState.SKIPPED


def test_a_better_coin_on_order_leaves_the_state_of_a_slot_that_has_one() -> None:
    assert slot_state(SlotFacts(has_coin=True, is_ordered=True)) is SlotState.FILLED


def test_without_a_target_a_sound_coin_fills() -> None:
    facts = SlotFacts(has_coin=True, has_target=False, meets_target=False)
    assert slot_state(facts) is SlotState.FILLED


@pytest.mark.parametrize(
    ("points", "target", "level"),
    [
        (1, 20, 25),  # 0 %, at least 25
        (4, 20, 25),  # 15 %
        (10, 20, 25),  # 47 %
        (11, 21, 50),  # exactly 50 %
        (12, 20, 50),  # 57 %
        (15, 20, 50),  # 73 %
        (16, 21, 75),  # exactly 75 %
        (45, 58, 75),  # 77 %
        (64, 65, 75),  # 98 %, at most 75
        (66, 65, 75),  # above, below target for another reason
        (None, 20, 25),
        (12, None, 25),
        (1, 1, 25),
    ],
)
def test_levels_are_quarters_rounded_down_between_25_and_75(points, target, level) -> None:
    assert fill_level(points, target) == level
