import pytest

from core.arrange.grid import SPACER, Column, GridSlot, arrange
from core.model.arrangement import Arrangement, ArrangementKind

COLUMNS = (Column("P", "P (no letter)"), Column("D", "D"), Column("S", "S"))
NOT_STRUCK = {("1945", "S")}


def was_struck(date: str, mint: str) -> bool:
    return (date, mint) not in NOT_STRUCK


def slot(date: str, mint: str, differs: str = "") -> GridSlot:
    return GridSlot(date, mint, differs, f"{date}-{mint} {differs}".strip())


def matrix(*slots: GridSlot, rows_per_leaf: int | None = None):
    return arrange(slots, Arrangement(rows_per_leaf=rows_per_leaf), COLUMNS, was_struck)


def running(count: int, per_row: int, rows: int | None):
    slots = [slot(str(1900 + n), "P") for n in range(count)]
    shape = Arrangement(ArrangementKind.RUNNING, per_row, rows)
    return arrange(slots, shape, COLUMNS, was_struck)


def cells(leaves):
    return [cell for leaf in leaves for row in leaf.rows for cell in row.cells]


def years(count: int) -> list[GridSlot]:
    return [slot(str(1900 + n), "P") for n in range(count)]


def test_a_row_a_year_a_column_a_mint() -> None:
    (leaf,) = matrix(slot("1944", "P"), slot("1944", "D"), slot("1944", "S"), slot("1945", "D"))
    assert leaf.heads == ("P (no letter)", "D", "S")
    assert [(r.head, r.differs, [c.slot for c in r.cells]) for r in leaf.rows] == [
        ("1944", "", [0, 1, 2]),
        ("1945", "", [None, 3, None]),
    ]
    assert leaf.title == "Leaf 1"
    assert leaf.subtitle == "1944–1945"


def test_what_was_never_struck_is_crossed_and_what_is_not_in_the_album_left_out() -> None:
    (leaf,) = matrix(slot("1944", "S"), slot("1945", "P"))
    spacer, crossed = leaf.rows[0].cells[0], leaf.rows[1].cells[1]
    assert spacer == SPACER
    assert spacer.is_spacer
    assert (crossed.slot, crossed.is_struck, crossed.name) == (None, False, "1945-S")
    assert not crossed.is_spacer


def test_only_the_mints_of_the_album_get_a_column() -> None:
    (leaf,) = matrix(slot("1944", "D"))
    assert leaf.heads == ("D",)


def test_a_mint_without_a_column_of_its_own_gets_one() -> None:
    (leaf,) = matrix(slot("1944", "D"), slot("1944", "O"), slot("1944", ""))
    assert leaf.heads == ("D", "O", "any mint")
    assert [c.slot for c in leaf.rows[0].cells] == [0, 1, 2]


def test_several_slots_in_one_place_give_the_date_further_rows_headed_by_what_differs() -> None:
    leaf, = matrix(
        slot("1960", "P"), slot("1960", "D"),
        slot("1960", "P", "large date"), slot("1960", "P", "small date"),
        slot("1960", "D", "large date"), slot("1960", "D", "small date"),
    )  # fmt: skip
    assert [(r.head, r.differs, [c.slot for c in r.cells]) for r in leaf.rows] == [
        ("1960", "", [0, 1]),
        ("1960", "large date", [2, 4]),
        ("1960", "small date", [3, 5]),
    ]


def test_two_slots_alike_in_all_still_get_a_row_each() -> None:
    (leaf,) = matrix(slot("1960", "P"), slot("1960", "P"))
    assert [[c.slot for c in r.cells] for r in leaf.rows] == [[0], [1]]


def test_running_fills_row_after_row_and_centres_the_remainder() -> None:
    leaves = running(23, 9, 2)
    assert [[len(r.cells) for r in leaf.rows] for leaf in leaves] == [[9, 9], [5]]
    assert [[r.indent for r in leaf.rows] for leaf in leaves] == [[0, 0], [4]]
    assert [c.slot for c in cells(leaves)] == list(range(23))
    assert [leaf.subtitle for leaf in leaves] == ["1900-P–1917-P", "1918-P–1922-P"]


def test_a_running_album_shorter_than_a_row_is_not_indented() -> None:
    (leaf,) = running(4, 9, 5)
    assert [r.indent for r in leaf.rows] == [0]


def test_running_has_five_rows_a_leaf_where_none_are_named() -> None:
    assert [len(leaf.rows) for leaf in running(60, 10, None)] == [5, 1]


@pytest.mark.parametrize(
    ("count", "rows"),
    [(1, [1]), (10, [10]), (11, [6, 5]), (20, [10, 10]), (21, [7, 7, 7]), (25, [9, 9, 7])],
)
def test_leaves_are_few_and_even(count, rows) -> None:
    assert [len(leaf.rows) for leaf in matrix(*years(count))] == rows


def test_the_collector_may_set_the_rows_of_a_leaf() -> None:
    assert [len(leaf.rows) for leaf in matrix(*years(11), rows_per_leaf=4)] == [4, 4, 3]


def test_the_rows_of_a_date_stay_together_on_a_leaf() -> None:
    slots = [*years(3), slot("1903", "P"), slot("1903", "P", "small"), slot("1904", "P")]
    leaves = matrix(*slots, rows_per_leaf=4)
    assert [[r.head for r in leaf.rows] for leaf in leaves] == [
        ["1900", "1901", "1902"], ["1903", "1903", "1904"],
    ]  # fmt: skip


def test_a_date_with_more_rows_than_a_leaf_goes_on_overleaf() -> None:
    slots = [slot("1900", "P", str(n)) for n in range(5)]
    assert [len(leaf.rows) for leaf in matrix(*slots, rows_per_leaf=2)] == [2, 2, 1]


@pytest.mark.parametrize("kind", list(ArrangementKind))
def test_no_slots_no_leaves(kind) -> None:
    assert arrange([], Arrangement(kind), COLUMNS, was_struck) == ()
