"""How arrangements are written in one line, and what a faulty one is told."""

import pytest

from core.errors import BadEntry
from core.model.arrangement import (
    Arrangement,
    ArrangementKind,
    Break,
    Lead,
    Order,
    ShowP,
    check_label,
    parse_arrangement,
    parse_lead,
    parse_map,
    read_hole,
)

K = ArrangementKind

READ = {
    "years-by-mints": Arrangement(),
    "Years-By-Mints : 8": Arrangement(rows_per_leaf=8),
    "running:9x5": Arrangement(K.RUNNING, 9, 5),
    "running:9X5 ; down": Arrangement(K.RUNNING, 9, 5, is_down=True),
    "by-decade": Arrangement(K.BY_DECADE),
    "by-type:7x4; blocks=2": Arrangement(K.BY_TYPE, 7, 4, blocks=2),
    "by-design:10; closed": Arrangement(K.BY_DESIGN, rows_per_leaf=10, is_closed=True),
    "dates-only; wide": Arrangement(K.DATES_ONLY, is_wide=True),
    'map:"9 4_4 / 10"': Arrangement(K.ROW_MAP, row_map=parse_map("9 4_4 / 10")),
    "running:9x5; order=mint; mints=D,-,P": Arrangement(
        K.RUNNING, 9, 5, order=Order.MINT, mints=("D", "", "P")
    ),
    "running:9x5; order=listed": Arrangement(K.RUNNING, 9, 5),
    "by-decade; leaf-break=decade; row-break=date": Arrangement(
        K.BY_DECADE, leaf_break=Break.DECADE, row_break=Break.DATE
    ),
    "years-by-mints; hole=19,05 mm": Arrangement(hole_mm=19.05),
    "years-by-mints; p=always": Arrangement(show_p=ShowP.ALWAYS),
    "running:9x5; label={date}; {mark}": Arrangement(K.RUNNING, 9, 5, label="{date}; {mark}"),
}


@pytest.mark.parametrize("text", READ)
def test_an_arrangement_is_read_as_it_is_meant(text: str) -> None:
    assert parse_arrangement(text) == READ[text]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "“” is no arrangement; write years-by-mints, running:9x5"),
        ("spiral", "“spiral” is no arrangement; write years-by-mints"),
        ("running", "“running” is no arrangement; write"),
        ("running:9x0", "1 to 60 each"),
        ("running:61x5", "1 to 60 each"),
        ("years-by-mints:9x5", "is no arrangement; write"),
        ("by-decade; sideways", "“sideways” is no part of an arrangement; write one of down,"),
        ("by-decade; down=yes", "“down=yes” is no part of an arrangement"),
        ("by-decade; order", "“order” is no part of an arrangement"),
        ("by-decade; order=size", "write order=date, order=mint or order=listed"),
        ("by-decade; mints=P,D,P", "names a mint twice; name each once, as mints=P,D,S"),
        ("by-decade; leaf-break=year", "“year” is no place for a break; write none, date, decade"),
        ("by-decade; blocks=7", "write how many stand side by side, 1 to 6"),
        ("by-decade; hole=0", "“0” is no hole; write millimetres, 5 to 120"),
        ("by-decade; hole=121", "“121” is no hole"),
        ("by-decade; p=maybe", "write never, as on the coin, always"),
        ("by-decade; label={year}", "“{year}” is no field of a label; write {date}, {mark}"),
        ("by-decade; label={date", "a brace is not closed; write fields as {date}"),
        ("by-decade; label={date:>9}", "“{date}” is no field of a label"),
        ("map:", "Leaf 1 of the row map has no row"),
    ],
)
def test_a_faulty_arrangement_says_what_to_write(text: str, said: str) -> None:
    with pytest.raises(BadEntry) as found:
        parse_arrangement(text)
    assert said in str(found.value)


def test_a_label_is_one_line() -> None:
    assert check_label("  {date}\n {mark}  ") == "{date} {mark}"


@pytest.mark.parametrize(("text", "size"), [("19.05", 19.05), ("5", 5.0), ("120 mm", 120.0)])
def test_a_hole_is_read_in_millimetres(text: str, size: float) -> None:
    assert read_hole(text) == size


@pytest.mark.parametrize("text", ["", "wide", "-3", "19.055", "4.99", "1e2"])
def test_what_is_no_hole_is_refused(text: str) -> None:
    with pytest.raises(BadEntry, match="is no hole"):
        read_hole(text)


@pytest.mark.parametrize(
    ("text", "lead"),
    [("", Lead()), ("2", Lead(2)), ("row", Lead(new_row=True)), ("leaf 3", Lead(3, False, True))],
)
def test_what_stands_before_a_slot_is_read(text: str, lead: Lead) -> None:
    assert parse_lead(text) == lead


@pytest.mark.parametrize("text", ["61", "page", "row leaf", "-1"])
def test_what_may_not_stand_before_a_slot_is_refused(text: str) -> None:
    with pytest.raises(BadEntry, match="does not say what stands before a slot"):
        parse_lead(text)
