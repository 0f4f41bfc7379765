"""Row maps: how one does not fit, and editing it hole by hole."""

import pytest

from core.arrange.layout import SPACER, Cell, LeafLayout, RowLayout
from core.arrange.row_map import (
    break_leaf,
    break_row,
    join_leaf,
    join_row,
    map_of,
    misfit,
    put_spacer,
    take_spacer,
)
from core.errors import BadEntry
from core.model.arrangement import map_text, parse_map

EDITS = {
    edit.__name__: edit
    for edit in (put_spacer, take_spacer, break_row, join_row, break_leaf, join_leaf)
}


def labels(count: int) -> list[str]:
    return [str(1900 + n) for n in range(count)]


def test_a_map_that_fits_has_no_misfit() -> None:
    assert misfit(parse_map("3 2_1 / 4"), labels(10)) is None


def test_slots_over_are_counted_and_the_first_is_named() -> None:
    found = misfit(parse_map("3 2 / 4 _"), labels(12))
    assert found is not None
    assert (found.over, found.short, found.label) == (3, 0, "1909")
    assert (found.leaf, found.row, found.place) == (1, 0, 3)
    assert found.text == (
        "3 slots are over: the map ends at leaf 2, row 1, place 4; the first beyond it is 1909."
    )


def test_holes_left_over_are_counted_and_the_first_is_named() -> None:
    found = misfit(parse_map("3 2 / 2_2"), labels(7))
    assert found is not None
    assert (found.over, found.short) == (0, 2)
    assert found.text == "2 holes are left over; the first is leaf 2, row 1, place 4."
    one = misfit(parse_map("3"), labels(2))
    assert one is not None
    assert one.text == "1 hole is left over; the first is leaf 1, row 1, place 3."


def test_down_the_first_hole_left_over_is_another() -> None:
    found = misfit(parse_map("2 2"), labels(1), is_down=True)
    assert found is not None
    assert (found.row, found.place) == (1, 0)


def test_a_map_of_spacers_alone_takes_none() -> None:
    found = misfit(parse_map("_"), labels(1))
    assert found is not None
    assert found.text.startswith("1 slot is over")


@pytest.mark.parametrize(
    ("edit", "at", "before", "after"),
    [
        ("put_spacer", (0, 0, 2), "4 3", "2_2 3"),
        ("put_spacer", (0, 1, 0), "4 3", "4 _3"),
        ("put_spacer", (0, 1, 3), "4 3", "4 3_"),
        ("put_spacer", (0, 1, 4), "4 3", "4 3"),
        ("put_spacer", (0, 0, 1), "60", "60"),
        ("take_spacer", (0, 0, 2), "2_2", "4"),
        ("take_spacer", (0, 0, 3), "2_2", "4"),
        ("take_spacer", (0, 0, 1), "2_2", "2_2"),
        ("take_spacer", (0, 0, 3), "3_", "3"),
        ("take_spacer", (0, 0, 4), "3_", "3"),
        ("take_spacer", (0, 1, 0), "3 _ 2", "3 2"),
        ("take_spacer", (0, 0, 0), "_", "_"),
        ("break_row", (0, 0, 3), "9 2", "3 6 2"),
        ("break_row", (0, 0, 0), "9 2", "9 2"),
        ("break_row", (0, 0, 1), "2*60", "2*60"),
        ("join_row", (0, 1, 5), "3 6 / 2", "9 / 2"),
        ("join_row", (1, 0, 0), "3 6 / 2", "3 6 / 2"),
        ("join_row", (0, 1, 0), "30 31", "30 31"),
        ("break_leaf", (0, 1, 0), "3 6 2", "3 / 6 2"),
        ("break_leaf", (0, 1, 4), "3 6 2", "3 4 / 2 2"),
        ("break_leaf", (0, 0, 0), "3 / 6", "3 / 6"),
        ("break_leaf", (1, 0, 2), "3 / 6", "3 / 2 / 4"),
        ("join_leaf", (1, 2, 3), "3 / 6 2 / 1", "3 6 2 / 1"),
        ("join_leaf", (0, 0, 0), "3 / 6", "3 / 6"),
        ("join_leaf", (1, 0, 0), "1*31 / 1*30", "1*31 / 1*30"),
    ],
)
def test_a_map_is_edited_at_a_place(
    edit: str, at: tuple[int, int, int], before: str, after: str
) -> None:
    assert EDITS[edit](parse_map(before), *at) == parse_map(after)


@pytest.mark.parametrize("edit", EDITS)
@pytest.mark.parametrize("at", [(-1, 0, 0), (2, 0, 0), (0, 5, 0), (0, -1, 0), (0, 0, -1)])
def test_where_the_map_has_no_such_place_nothing_changes(
    edit: str, at: tuple[int, int, int]
) -> None:
    row_map = parse_map("3 _2 / 4")
    expected = row_map
    assert EDITS[edit](row_map, *at) == expected


def test_the_map_of_leaves_has_holes_where_slots_stand() -> None:
    row = RowLayout("1944", "", 0, (Cell(0), Cell(None, False, "1944-D"), SPACER, Cell(1)))
    captioned = RowLayout("", "", 0, (Cell(name="1940s"), Cell(2)))
    leaf = LeafLayout("Leaf 1", "", (), (row, captioned))
    assert map_text(map_of([leaf])) == "1__1 _1"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "Leaf 1 of the row map has no row; write a count such as 9."),
        ("9 / ", "Leaf 2 of the row map has no row"),
        ("9 0", "Leaf 1, row 2 of the row map: “0” slots; a row has 1 to 60."),
        ("9 / 9 nine", "Leaf 2, row 2 of the row map: “nine” is no count"),
        ("61", "“61” slots; a row has 1 to 60."),
        ("40_40", "Leaf 1, row 1 of the row map has 81 places; a row has at most 60."),
        ("9*61", "Leaf 1 has 61 rows; at most 60 fit a leaf."),
        ("1 /" * 2000 + "1", "The row map has 2001 leaves; at most 2000 may be written."),
    ],
)
def test_a_faulty_map_says_where_and_what_to_write(text: str, said: str) -> None:
    with pytest.raises(BadEntry) as found:
        parse_map(text)
    assert said in str(found.value)
