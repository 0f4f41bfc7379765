"""Where cells lie and where the arrow keys lead: no widget needed."""

import pytest

from core.arrange.flow import Flow, Sizes
from core.arrange.plan import LeafPlan
from gui.leaf.leaf_cells import DIM_BIT, DrawnCells
from gui.leaf.leaf_moves import Step, Walk
from gui.leaf.leaf_zoom import LEAST, best_zoom, whole_pixels
from tests.gui.leaf_material import matrix, running


def sizes_for(plan: LeafPlan) -> Sizes:
    width = max((leaf.width for leaf in plan.leaves), default=0) * 10
    return Sizes(20, 30, 8, 6, width + 30, 20, 14, 5)


def flow_of(plan: LeafPlan, width: int = 900, columns: int = 0) -> Flow:
    return Flow(plan, sizes_for(plan), width, columns)


PLANS = [
    running(400),
    running(7),
    running(300, counts=(40,), rows_a_leaf=2),
    matrix(list(range(1909, 1990)), missing=frozenset({(1922, "P"), (1965, "S")})),
]


@pytest.mark.parametrize("plan", PLANS, ids=lambda plan: plan.name)
@pytest.mark.parametrize("columns", [0, 1, 3])
def test_every_corner_of_a_cell_hits_that_cell(plan: LeafPlan, columns: int) -> None:
    flow = flow_of(plan, columns=columns)
    for cell in range(plan.cells):
        x, y, width, height = flow.cell_box(cell)
        for corner in ((x, y), (x + width - 1, y), (x, y + height - 1)):
            assert flow.hit(*corner) == cell


def test_a_point_hits_a_cell_exactly_where_one_lies() -> None:
    plan = running(100)
    flow = flow_of(plan, width=500)
    boxes = [flow.cell_box(cell) for cell in range(plan.cells)]
    for x in range(-40, flow.width + 40, 7):
        for y in range(-40, flow.height + 40, 11):
            inside = [
                cell
                for cell, (left, top, width, height) in enumerate(boxes)
                if left <= x < left + width and top <= y < top + height
            ]
            assert flow.hit(x, y) == (inside[0] if inside else -1)


def test_cells_never_overlap_and_stay_in_their_leaf() -> None:
    plan = running(500)
    flow = flow_of(plan)
    seen: set[tuple[int, int]] = set()
    for cell in range(plan.cells):
        x, y, width, height = flow.cell_box(cell)
        leaf_x, leaf_y, leaf_w, leaf_h = flow.leaf_box(plan.row_leaf[plan.where(cell)[0]])
        assert leaf_x <= x
        assert x + width <= leaf_x + leaf_w
        assert leaf_y <= y
        assert y + height <= leaf_y + leaf_h
        halves = {(x + dx, y) for dx in range(0, width, width // 2)}
        assert not seen & halves
        seen |= halves


def test_spans_are_the_cells_that_meet_a_rectangle() -> None:
    plan = running(300)
    flow = flow_of(plan)
    for corners in ((0, 0, 100, 100), (333, 217, 700, 500), (-50, -50, 5, 5), (60, 300, 60, 300)):
        x0, y0, x1, y1 = corners
        got = {
            plan.cell_at(row, column)
            for row, start, end in flow.spans_in(*corners)
            for column in range(start, end)
        }
        wanted = set()
        for cell in range(plan.cells):
            x, y, width, height = flow.cell_box(cell)
            if x <= x1 and y <= y1 and x + width > x0 and y + height > y0:
                wanted.add(cell)
        assert got == wanted


def test_an_empty_plan_takes_no_room() -> None:
    flow = flow_of(running(0))
    assert flow.height == 0
    assert flow.hit(10, 10) == -1
    assert list(flow.leaves_in(0, 0, 100, 100)) == []


@pytest.mark.parametrize("plan", PLANS, ids=lambda plan: plan.name)
@pytest.mark.parametrize("columns", [0, 1])
def test_every_slot_is_reached_by_arrows_alone(plan: LeafPlan, columns: int) -> None:
    walk = Walk(flow_of(plan, columns=columns))
    reached = {plan.first_drawn()}
    waiting = list(reached)
    while waiting:
        cell = waiting.pop()
        for step in Step:
            walk.forget_goal()
            other = walk.step(cell, step)
            assert plan.is_drawn(other)
            if other not in reached:
                reached.add(other)
                waiting.append(other)
    assert reached == {cell for cell in range(plan.cells) if plan.is_drawn(cell)}


def test_down_and_up_keep_the_column_they_began_in() -> None:
    plan = running(400)
    walk = Walk(flow_of(plan, columns=1))
    start = plan.cell_at(0, 0)
    cell = start
    for _ in range(20):
        cell = walk.step(cell, Step.DOWN)
    for _ in range(20):
        cell = walk.step(cell, Step.UP)
    assert cell == start


def test_left_and_right_go_to_the_leaf_beside_and_stop_at_the_edge() -> None:
    plan = matrix(list(range(1938, 1956)))
    walk = Walk(flow_of(plan, columns=2))
    last_of_row = plan.cell_at(4, 2)
    assert walk.step(last_of_row, Step.RIGHT) == plan.cell_at(13, 0)
    assert walk.step(plan.cell_at(13, 0), Step.LEFT) == last_of_row
    assert walk.step(plan.cell_at(13, 2), Step.RIGHT) == plan.cell_at(13, 2)
    assert walk.step(plan.cell_at(4, 0), Step.LEFT) == plan.cell_at(4, 0)


def test_a_page_goes_as_far_as_asked() -> None:
    plan = running(400)
    flow = flow_of(plan, columns=1)
    start = plan.cell_at(0, 4)
    reached = Walk(flow).step(start, Step.DOWN, 200)
    assert flow.cell_box(reached)[1] - flow.cell_box(start)[1] in range(200, 260)


def test_a_filter_hides_labels_and_marks_and_comes_off_without_trace() -> None:
    plan = running(60)
    drawn = DrawnCells(plan)
    shown = bytes(cell % 2 for cell in range(plan.cells))
    drawn.set_shown(shown)
    for cell in range(plan.cells):
        if shown[cell]:
            assert drawn.codes[cell] == plan.codes[cell]
            assert drawn.l1[cell] == plan.l1[cell]
        elif plan.is_drawn(cell):
            assert drawn.codes[cell] == plan.codes[cell] & 15 | DIM_BIT
            assert drawn.l1[cell] == drawn.l2[cell] == 0
        else:
            assert drawn.codes[cell] == plan.codes[cell]
    drawn.set_shown(None)
    assert drawn.codes is plan.codes


def test_a_mask_of_another_length_is_refused() -> None:
    with pytest.raises(ValueError, match="3 bytes for"):
        DrawnCells(running(60)).set_shown(b"\1\1\1")


def test_a_preview_shows_above_a_filter_and_leaves_the_plan_alone() -> None:
    plan = running(60)
    before = bytes(plan.codes)
    drawn = DrawnCells(plan)
    drawn.set_shown(bytes(plan.cells))
    drawn.set_proposals({5: (1, "1850", "VF-20")})
    assert drawn.codes[5] == 1
    assert plan.lines[drawn.l2[5]] == "VF-20"
    drawn.set_proposals({})
    assert drawn.codes[5] & DIM_BIT
    assert bytes(plan.codes) == before


def test_a_changed_cell_shows_through_filter_and_preview() -> None:
    plan = running(60)
    drawn = DrawnCells(plan)
    drawn.set_shown(b"\1" * plan.cells)
    plan.set_cell(7, 8, "new")
    drawn.refresh([7])
    assert drawn.codes[7] == 8
    assert plan.lines[drawn.l1[7]] == "new"


def test_the_best_zoom_is_the_largest_that_fits() -> None:
    assert best_zoom(lambda zoom: zoom <= 0.75) == pytest.approx(0.75, abs=1e-3)
    assert best_zoom(lambda zoom: zoom <= 0.75, 0.7, 0.72) == pytest.approx(0.72, abs=1e-3)
    assert best_zoom(lambda _: False) == LEAST


@pytest.mark.parametrize(
    ("ratio", "pixels"), [(1.0, 1), (2.0, 1), (1.25, 4), (1.75, 4), (1.5, 2), (1.1, 1)]
)
def test_scroll_steps_are_whole_device_pixels(ratio: float, pixels: int) -> None:
    assert whole_pixels(ratio) == pixels
