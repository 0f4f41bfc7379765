"""What the editor of series lays out in tables, and what an edit brings with it. No window here."""

from dataclasses import replace

from core.catalogue.draft import HEAD, ROW_COLUMNS, ROWS, draft_of, empty_draft
from core.catalogue.load import library_ids, load_series
from core.model.issue import SeriesId
from gui.series.sheets import (
    COLUMNS,
    DESIGNS,
    METALS,
    MINTS,
    VARIETIES,
    Sheets,
    chosen_mints,
    mints_text,
    sheets_of,
)
from gui.series.sheets_check import check_sheets
from gui.series.sheets_edit import edited, followed, made_text, merged, without_unused
from gui.series.tables import (
    Table,
    block_of,
    block_text,
    changed_span,
    cleared,
    filled_down,
    laid,
    pasted,
    with_cells,
    with_row,
    without_rows,
)
from gui.series.timeline import Timeline
from tests.gui.series_material import harbour_draft

ABC: Table = (("a", "b", "c"), ("d", "e", "f"), ("g", "h", "i"))


def cell(sheets: Sheets, row: int, column: str) -> str:
    return sheets.rows[row][ROW_COLUMNS.index(column)]


# ---- tables -------------------------------------------------------------------------------------


def test_cells_beyond_the_end_make_rows_and_rows_that_stay_are_the_same_objects() -> None:
    table = with_cells(ABC, {(4, 1): "x", (0, 0): "A"}, 3)
    assert table[0] == ("A", "b", "c")
    assert table[3:] == (("", "", ""), ("", "x", ""))
    assert table[1] is ABC[1]
    assert with_cells(ABC, {(0, 0): "a"}, 3) is ABC


def test_what_a_spreadsheet_gives_comes_back_cell_for_cell() -> None:
    odd: Table = (("a\tb", 'say "x"', ""), ("1,5", "", "ä"))
    assert block_of(block_text(odd, 0, 0, 1, 2)) == (("a b", 'say "x"', ""), ("1,5", "", "ä"))
    assert block_of("1\r\n2\r\n") == (("1",), ("2",))


def test_one_cell_is_pasted_into_all_chosen_and_a_block_where_it_begins() -> None:
    assert pasted(ABC, (0, 1), (2, 1), (("x",),), 3) == (
        ("a", "x", "c"), ("d", "x", "f"), ("g", "x", "i"),
    )  # fmt: skip
    grown = laid(ABC, 2, (2, 0), (("1", "2"), ("3", "4")), 3)
    assert grown[2:] == (("2", "h", "1"), ("4", "", "3"))


def test_filling_down_takes_the_first_row_or_what_stands_above() -> None:
    assert filled_down(ABC, 0, 2, (1,), 3)[2] == ("g", "b", "i")
    assert filled_down(ABC, 1, 1, (0,), 3)[1] == ("a", "e", "f")
    assert filled_down(ABC, 0, 0, (0,), 3) is ABC


def test_rows_are_put_in_taken_out_and_emptied() -> None:
    assert with_row(ABC, 1, ("", "", ""))[1:3] == (("", "", ""), ABC[1])
    assert without_rows(ABC, (0, 2)) == (ABC[1],)
    assert cleared(ABC, ((0, 0), (5, 5)), 3)[0] == ("", "b", "c")
    assert changed_span(ABC, without_rows(ABC, (1,))) == (1, 1, 0)
    assert changed_span(ABC, with_row(ABC, 3, ("", "", ""))) == (3, 0, 1)


# ---- a series laid out --------------------------------------------------------------------------


def test_every_series_of_the_library_comes_out_of_the_tables_as_it_went_in() -> None:
    wrong = []
    for series_id in library_ids():
        series = load_series(series_id)
        checked = check_sheets(sheets_of(draft_of(series)), str(series_id))
        if checked.series != series:
            wrong.append(f"{series_id}: {[f.text for f in checked.faults][:2]}")
    assert wrong == []


def test_a_fault_is_told_at_its_cell_and_blank_rows_do_not_shift_it() -> None:
    sheets = sheets_of(harbour_draft())
    rows = list(sheets.rows)
    rows.insert(0, ("",) * len(ROW_COLUMNS))
    rows[3] = tuple(
        "-4" if n == "mintage" else c for n, c in zip(ROW_COLUMNS, rows[3], strict=True)
    )
    checked = check_sheets(sheets.with_table(ROWS, tuple(rows)), "harbour-pennies")
    assert checked.series is None
    assert [(f.part, f.row, ROW_COLUMNS[f.column]) for f in checked.faults] == [
        (ROWS, 3, "mintage")
    ]
    assert checked.faults[0].where == "Row 4, mintage"


def test_each_kind_of_cell_that_cannot_be_read_is_told_where_it_is() -> None:
    sheets = sheets_of(harbour_draft()).with_text("currency", "pounds")
    sheets = sheets.with_text("diameter_mm", "wide").with_rule("first", "soon")
    metal = dict(zip(COLUMNS[METALS], sheets.metals[0], strict=True))
    metal |= {"weight_g": "heavy", "first": "1905", "last": "1901", "confidence": "sure"}
    sheets = replace(sheets, metals=(tuple(metal.values()),))
    odd = {"name": "odd", "id": "odd", "odds": "often", "applies": "1905", "kind": "crack"}
    odd |= {"where": "rim", "look": "a line"}
    variety = tuple(odd.get(name, "") for name in COLUMNS[VARIETIES])
    checked = check_sheets(sheets.with_table(VARIETIES, (variety,)), "harbour-pennies")
    told = {
        (f.part, COLUMNS[f.part][f.column] if f.part in COLUMNS else f.column)
        for f in checked.faults
    }
    assert {
        (HEAD, 3), (HEAD, 5), (METALS, "weight_g"), (METALS, "last"),
        (METALS, "confidence"), (VARIETIES, "odds"), (VARIETIES, "applies"),
    } <= told  # fmt: skip
    assert checked.rule_fault.startswith("“soon” is no year")
    assert checked.of(METALS)[0, COLUMNS[METALS].index("weight_g")]


def test_a_rule_that_makes_no_sense_leaves_the_rows_as_right_as_they_are() -> None:
    sheets = sheets_of(harbour_draft()).with_rule("without", "1901 Q")
    checked = check_sheets(sheets, "harbour-pennies")
    assert "no mint “Q”" in checked.rule_fault
    assert checked.series is not None


# ---- what an edit brings with it ----------------------------------------------------------------


def test_a_date_typed_below_the_last_row_fills_in_what_follows_from_it() -> None:
    sheets = sheets_of(replace(harbour_draft(), rows=()))
    new = ("1913", "", "L", *[""] * (len(ROW_COLUMNS) - 3))
    sheets = edited(sheets, ROWS, (new,))
    assert {n: cell(sheets, 0, n) for n in ("year", "mark", "design", "strike", "confidence")} == {
        "year": "1913", "mark": "L", "design": "usual", "strike": "circulation",
        "confidence": "recalled",
    }  # fmt: skip
    moved = edited(sheets, ROWS, (("1914", "1913", "N", *sheets.rows[0][3:]),))
    assert [cell(moved, 0, n) for n in ("year", "mint", "mark")] == ["1914", "N", "N"]


def test_a_figure_in_groups_of_three_is_put_together() -> None:
    sheets = sheets_of(harbour_draft())
    at = ROW_COLUMNS.index("mintage")
    row = (*sheets.rows[0][:at], "1,234,567", *sheets.rows[0][at + 1 :])
    assert cell(edited(sheets, ROWS, (row, *sheets.rows[1:])), 0, "mintage") == "1234567"


def test_a_mint_whose_id_is_typed_anew_keeps_its_rows_and_a_title_gets_an_id() -> None:
    sheets = sheets_of(harbour_draft())
    sheets = edited(sheets, MINTS, (("Q", "North Quay", "N"), sheets.mints[1]))
    assert {cell(sheets, at, "mint") for at in range(len(sheets.rows))} == {"Q", "L"}
    titled = ("Ship under sail", *[""] * 6)
    sheets = edited(sheets, DESIGNS, (*sheets.designs, titled))
    assert sheets.designs[1][COLUMNS[DESIGNS].index("id")] == "ship-under-sail"


def test_rows_follow_the_rule_with_designs_by_year_until_one_is_typed() -> None:
    sheets = sheets_of(replace(harbour_draft(), rows=()))
    for name, text in (
        ("first", "1900"),
        ("last", "1903"),
        ("without", "1901 L"),
        ("plus", "1910"),
    ):
        sheets = sheets.with_rule(name, text)
    sheets = followed(sheets)
    assert len(sheets.rows) == 9
    two = (("quay", "quay", "", "1901", *[""] * 3), ("ship", "ship", "1902", "", *[""] * 3))
    sheets = edited(sheets, DESIGNS, two)
    assert [cell(sheets, at, "design") for at in (0, 8)] == ["quay", "ship"]
    typed = edited(sheets, ROWS, (("1899", *sheets.rows[0][1:]), *sheets.rows[1:]))
    assert not typed.follows_rule
    assert edited(typed, DESIGNS, sheets.designs[:1]).rows is typed.rows


def test_making_rows_keeps_those_of_the_same_date_and_mint_as_they_stand() -> None:
    sheets = sheets_of(harbour_draft(1900, 1903))
    proof = tuple(
        {"strike": "proof", "release": "collectors"}.get(name, text)
        for name, text in zip(ROW_COLUMNS, sheets.rows[0], strict=True)
    )
    rows = (sheets.rows[0], proof, *sheets.rows[1:])
    made = sheets_of(harbour_draft(1900, 1902)).rows
    assert merged(rows, made)[:2] == (sheets.rows[0], proof)
    assert made_text(rows, made) == "Would take out 2 rows."
    assert made_text(rows[1:4], made) == "Would add 3 rows."


def test_what_no_row_names_is_taken_out_but_never_all() -> None:
    sheets = sheets_of(draft_of(load_series(SeriesId("us-nickel-jefferson"))))
    early = sheets.with_table(ROWS, sheets.rows[:20])
    left = without_unused(early)
    assert left.ids(DESIGNS) == ("monticello",)
    assert left.ids(METALS) == ("cupronickel",)
    assert without_unused(sheets) is sheets
    empty = sheets.with_table(ROWS, ())
    assert without_unused(empty) is empty


def test_mints_of_a_rule_are_kept_though_one_has_no_letter() -> None:
    sheets = replace(sheets_of(empty_draft()), mints=(("", "here", ""), ("D", "there", "D")))
    assert chosen_mints(sheets) == ("", "D")
    assert chosen_mints(sheets.with_rule("mints", mints_text([""]))) == ("",)


# ---- undo ---------------------------------------------------------------------------------------


def test_undo_goes_back_step_by_step_and_letters_of_a_field_are_one() -> None:
    first = sheets_of(harbour_draft())
    time = Timeline(first)
    for text in ("H", "Ha", "Har"):
        time.put(first.with_text("title", text), "type", HEAD, "head title")
    time.put(edited(time.present, ROWS, time.present.rows[:1]), "delete rows", ROWS)
    assert time.is_changed
    assert time.undo() == ROWS
    assert time.present.text("title") == "Har"
    assert time.undo() == HEAD
    assert time.present == first
    assert not time.is_changed
    assert time.undo() is None
    assert [time.redo(), time.redo(), time.redo()] == [HEAD, ROWS, None]
    assert len(time.present.rows) == 1


def test_a_variety_keeps_its_markers_when_its_words_are_typed_anew() -> None:
    series = load_series(SeriesId("us-cent-lincoln"))
    at = next(at for at, v in enumerate(series.varieties) if v.markers)
    sheets = sheets_of(draft_of(series))
    rows = list(sheets.varieties)
    rows[at] = ("another name", *rows[at][1:])
    checked = check_sheets(edited(sheets, VARIETIES, tuple(rows)), str(series.id))
    assert checked.series is not None
    assert checked.series.varieties[at].markers == series.varieties[at].markers
    assert checked.series.varieties[at].name == "another name"


def test_an_id_typed_into_a_new_row_takes_no_rows_from_the_mint_without_a_letter() -> None:
    """A row that is inserted above is blank, and the mint without a letter has no id either."""
    draft = empty_draft()
    sheets = sheets_of(draft)
    row = tuple("1901" if name in ("date", "year") else "" for name in ROW_COLUMNS)
    sheets = edited(sheets, ROWS, (row,))
    assert cell(sheets, 0, "mint") == ""
    width = len(COLUMNS[MINTS])
    sheets = edited(sheets, MINTS, with_row(sheets.mints, 1, ("",) * width))
    sheets = edited(sheets, MINTS, with_cells(sheets.mints, {(1, 0): "D"}, width))
    assert cell(sheets, 0, "mint") == ""
    sheets = edited(sheets, MINTS, with_cells(sheets.mints, {(0, 0): "P"}, width))
    assert cell(sheets, 0, "mint") == "P"
