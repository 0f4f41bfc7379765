import pytest

from core.arrange import plan as plans
from core.arrange.plan import (
    NO_CELL,
    SPACER_CELL,
    LeafPlan,
    PlanBuilder,
    PlanCell,
    PlanRow,
    caption_cell,
    empty_plan,
)
from core.glyph.codes import MARK_BITS, STATE_OF_CODE, GlyphCode, glyph_code
from core.model.state import Mark, SlotState


def a_plan() -> LeafPlan:
    builder = PlanBuilder("Harbour tokens", has_two_lines=False)
    first = PlanRow(
        [
            PlanCell(GlyphCode.GAP, "1909", "", "", "", 11),
            SPACER_CELL,
            PlanCell(GlyphCode.NOT_STRUCK, "1909-S"),
        ],
        head="1909",
    )
    below = glyph_code(
        SlotState.BELOW_TARGET, 50, (Mark.SPARE_WAITING, Mark.PINNED, Mark.BETTER_ON_ORDER)
    )
    second = PlanRow(
        [PlanCell(below, "1943-D", "VG-8 ▸ 20", "", "VG-8, target VF-20", 7)],
        indent=1,
        head="1943",
        sub="small date",
    )
    builder.add_leaf("Leaf 1", "1909–1943", [first, second], ("P", "D", "S"))
    builder.add_leaf("Leaf 2", "", [PlanRow([PlanCell(GlyphCode.FILLED, "1944", slot_id=9)])])
    return builder.build()


def test_the_bytes_are_those_of_the_glyph_codes() -> None:
    assert plans.SPACER_CODE == GlyphCode.SPACER
    assert plans.NOT_STRUCK_CODE == GlyphCode.NOT_STRUCK
    assert dict(enumerate(plans.STATE_WORDS)) == {int(c): s for c, s in STATE_OF_CODE.items()}
    bits = [bit for bit, _ in plans.MARK_WORDS]
    assert bits == [MARK_BITS[m] for m in (Mark.SPARE_WAITING, Mark.BETTER_ON_ORDER, Mark.PINNED)]


def test_rows_lie_one_after_another() -> None:
    plan = a_plan()
    assert list(plan.row_first) == [0, 3, 4, 5]
    assert [leaf.width for leaf in plan.leaves] == [6, 2]
    assert [(leaf.first_row, leaf.rows) for leaf in plan.leaves] == [(0, 2), (2, 1)]
    assert list(plan.row_leaf) == [0, 0, 1]
    assert plan.max_columns == 3
    assert plan.has_row_heads


def test_places_and_cells_answer_each_other() -> None:
    plan = a_plan()
    for cell in range(plan.cells):
        assert plan.cell_at(*plan.where(cell)) == cell
    assert plan.cell_at(1, 1) == NO_CELL
    assert plan.cell_at(0, -1) == NO_CELL
    assert plan.cell_at(3, 0) == NO_CELL
    assert plan.cell_at(-1, 0) == NO_CELL


def test_a_slot_is_found_by_its_id_and_no_slot_by_none() -> None:
    plan = a_plan()
    assert [plan.cell_of_slot(slot) for slot in (11, 7, 9)] == [0, 3, 4]
    assert [plan.cell_of_slot(slot) for slot in (0, 8, 12, -3)] == [NO_CELL] * 4


def test_spacers_are_not_drawn_and_not_struck_cells_are_no_slots() -> None:
    plan = a_plan()
    assert [plan.is_drawn(cell) for cell in range(5)] == [True, False, True, True, True]
    assert [plan.is_slot(cell) for cell in range(5)] == [True, False, False, True, True]
    assert list(plan.drawn_in_row(0)) == [0, 2]
    assert plan.first_drawn() == 0


@pytest.mark.parametrize(
    ("cell", "said"),
    [
        (0, "1909, gap"),
        (1, "no slot here"),
        (2, "1909-S, not struck"),
        (
            3,
            "1943-D, below target, VG-8, target VF-20, a spare is waiting, "
            "a better coin is on order, pinned",
        ),
        (4, "1944, filled"),
    ],
)
def test_a_cell_is_said_in_one_sentence(cell: int, said: str) -> None:
    assert a_plan().sentence(cell) == said


def test_a_changed_cell_keeps_its_name_and_slot() -> None:
    plan = a_plan()
    plan.set_cell(0, glyph_code(SlotState.FILLED), "VF-20", "", "VF-20")
    assert plan.sentence(0) == "1909, filled, VF-20"
    assert plan.lines[plan.l1[0]] == "VF-20"
    assert plan.slot_ids[0] == 11


def test_equal_lines_are_kept_once() -> None:
    plan = a_plan()
    assert plan.line("1909") == plan.names[0]
    assert len(plan.lines) == len(set(plan.lines))


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ("43", "1943-D"),
        ("1943", "1943-D"),
        ("1943d", "1943-D"),
        ("43-d", "1943-D"),
        ("19", "1909"),
        ("44", "1944"),
        ("1909-s", "1909-S"),
        ("9s", "1909-S"),
    ],
)
def test_a_typed_date_finds_its_first_cell(typed: str, name: str) -> None:
    plan = a_plan()
    assert plan.lines[plan.names[plan.find_date(typed)]] == name


@pytest.mark.parametrize("typed", ["", " ", "-", "1955", "small"])
def test_what_no_name_holds_is_not_found(typed: str) -> None:
    assert a_plan().find_date(typed) == NO_CELL


def test_a_full_year_goes_before_a_short_one() -> None:
    builder = PlanBuilder("x", has_two_lines=True)
    names = ("1920", "2001", "2020")
    builder.add_leaf("", "", [PlanRow([PlanCell(GlyphCode.GAP, name) for name in names])])
    plan = builder.build()
    assert plan.find_date("20") == 1
    assert plan.find_date("2020") == 2
    assert plan.find_date("192") == 0


def test_an_empty_plan_has_nothing_to_find() -> None:
    plan = empty_plan()
    assert (plan.rows, plan.cells, plan.first_drawn()) == (0, 0, NO_CELL)
    assert plan.find_date("1943") == NO_CELL
    assert plan.cell_of_slot(5) == NO_CELL


def with_caption() -> LeafPlan:
    """A caption with two free places after it, and one at the end of its row."""
    builder = PlanBuilder("x", has_two_lines=False)
    coin = PlanCell(GlyphCode.GAP, "1943")
    rows = [
        PlanRow([coin, caption_cell("1944", "large"), SPACER_CELL, SPACER_CELL, coin]),
        PlanRow([coin, caption_cell("1945")], 1),
    ]
    builder.add_leaf("Leaf 1", "", rows)
    return builder.build()


def test_a_caption_is_told_but_is_no_slot_and_no_date_leads_to_it() -> None:
    plan = with_caption()
    assert list(plan.captions) == [1, 6]
    assert [cell for cell in range(plan.cells) if plan.is_caption(cell)] == [1, 6]
    assert plan.sentence(1) == "1944 large"
    assert plan.sentence(2) == "no slot here"
    assert not plan.is_drawn(1)
    assert not plan.is_slot(1)
    assert plan.find_date("1944") == NO_CELL
    assert list(plan.drawn_in_row(0)) == [0, 4]


def test_a_caption_reaches_over_the_free_places_after_it() -> None:
    plan = with_caption()
    assert plan.caption_room(1) == 6
    assert plan.caption_room(6) == 7  # to the end of the widest row, half a place more for its own
