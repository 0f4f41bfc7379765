"""Which cells of a plan look otherwise, and when it is another shape altogether."""

from collections.abc import Callable

import pytest

from core.arrange.plan import SPACER_CELL, LeafPlan, PlanBuilder, PlanCell, PlanRow, caption_cell
from core.model.album import SlotId
from gui.album.show_words import FoundBought, SlotWords, told_plan
from gui.album.shown import changed_cells, take_over


def plan(name: str = "1943", line: str = "VF-20", caption: str = "1944") -> LeafPlan:
    builder = PlanBuilder("x", has_two_lines=False)
    head = caption_cell(caption, "large") if caption else SPACER_CELL
    builder.add_leaf("Leaf 1", "", [PlanRow([PlanCell(1, name, line, "", line, 7), head])])
    return builder.build()


def test_a_cell_with_another_line_is_changed_by_itself() -> None:
    old, new = plan(), plan(line="AU-50")
    assert changed_cells(old, new) == [0]
    take_over(old, new, [0])
    assert changed_cells(old, new) == []


@pytest.mark.parametrize(
    "other",
    [
        lambda: plan(name="from the jar"),
        lambda: plan(caption="1945"),
        lambda: plan(caption=""),
    ],
    ids=["slot called otherwise", "caption says otherwise", "caption gone"],
)
def test_what_is_called_otherwise_is_another_shape(other: Callable[[], LeafPlan]) -> None:
    assert changed_cells(plan(), other()) is None


def test_words_below_slots_leave_the_second_line_of_a_caption() -> None:
    words = SlotWords(FoundBought(), {SlotId(7): "new"}, "1 new")
    told = told_plan(plan(), words)
    assert [told.lines[n] for n in told.l2] == ["new", "large"]
