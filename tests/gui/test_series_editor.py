"""The editor of series: typing, pasting, filling down, the rule, faults, saving, leaving."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from time import perf_counter

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible, QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QMenu, QWidget

from core.app.work import Progress
from core.catalogue.draft import HEAD, ROW_COLUMNS, ROWS, SeriesDraft, draft_of, empty_draft
from core.catalogue.load import load_series
from core.model.issue import SeriesId
from gui.desk import Desk
from gui.series import editor as editor_module
from gui.series.editor import SeriesEditor
from gui.series.editor_parts import Looked, look
from gui.series.grid import Grid
from gui.series.import_dialog import ImportSeriesDialog
from gui.series.sheets import Sheets
from tests.gui.desk_material import a_desk, collection_of
from tests.gui.series_material import harbour_draft

Key, Held = Qt.Key, Qt.KeyboardModifier
HARBOUR = SeriesId("harbour-pennies")
MINTAGE, DATE, MINT = (ROW_COLUMNS.index(name) for name in ("mintage", "date", "mint"))


@pytest.fixture
def desk(qapp: QApplication, tmp_path: Path) -> Iterator[Desk]:
    desk = a_desk(tmp_path)
    yield desk
    desk.shut_down()


def open_editor(
    desk: Desk, draft: SeriesDraft | None = None, *, is_new: bool = True
) -> SeriesEditor:
    editor = SeriesEditor(None, desk, draft or replace(harbour_draft(), id=""), (), is_new)
    editor.show()
    QApplication.processEvents()
    return editor


@pytest.fixture
def editor(desk: Desk) -> Iterator[SeriesEditor]:
    editor = open_editor(desk)
    yield editor
    editor.hide()
    editor.deleteLater()


@pytest.fixture
def grid(editor: SeriesEditor) -> Grid:
    """The table of rows, with the keys."""
    editor.show_page(1)
    editor.rows_page.grid.setFocus()
    editor.rows_page.grid.go_to(0, 0)
    return editor.rows_page.grid


def press(
    widget: QWidget, *keys: Qt.Key, held: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier
) -> None:
    for key in keys:
        QTest.keyClick(widget, key, held)


def type_in(widget: QWidget, text: str) -> None:
    """Letters where the keys are: the first opens a cell, the others go into it."""
    for letter in text:
        QTest.keyClicks(QApplication.focusWidget() or widget, letter)


def told(editor: SeriesEditor) -> list[str]:
    """Where something is to be put right."""
    return list(dict.fromkeys(fault.where for fault in editor.faults.faults))


# ---- the table ----------------------------------------------------------------------------------


def test_one_types_over_a_cell_and_tab_and_enter_go_on(editor: SeriesEditor, grid: Grid) -> None:
    grid.go_to(0, MINTAGE)
    type_in(grid, "84,000")
    press(grid.editor.field, Key.Key_Return)
    assert editor.sheets.rows[0][MINTAGE] == "84000"
    assert (grid.currentIndex().row(), grid.currentIndex().column()) == (1, MINTAGE)
    type_in(grid, "7")
    press(grid.editor.field, Key.Key_Tab)
    assert editor.sheets.rows[1][MINTAGE] == "7"
    assert grid.currentIndex().column() == MINTAGE + 1
    press(grid, Key.Key_Backtab, Key.Key_F2)
    assert grid.editor.text == "7"
    press(grid.editor.field, Key.Key_Escape)
    press(grid, Key.Key_Delete)
    assert editor.sheets.rows[1][MINTAGE] == ""


def test_a_block_of_a_spreadsheet_is_pasted_and_one_undo_takes_it_back(
    editor: SeriesEditor, grid: Grid
) -> None:
    before = editor.sheets.rows
    grid.go_to(1, MINTAGE)
    QGuiApplication.clipboard().setText("1,000\tfirst\n2,000\tsecond\n")
    press(grid, Key.Key_V, held=Held.ControlModifier)
    assert [row[MINTAGE : MINTAGE + 2] for row in editor.sheets.rows[1:3]] == [
        ("1000", "first"), ("2000", "second"),
    ]  # fmt: skip
    press(grid, Key.Key_C, held=Held.ControlModifier)
    assert QGuiApplication.clipboard().text() == "1000\tfirst\n2000\tsecond"
    press(editor, Key.Key_Z, held=Held.ControlModifier)
    assert editor.sheets.rows == before
    press(editor, Key.Key_Z, held=Held.ControlModifier | Held.ShiftModifier)
    assert editor.sheets.rows[2][MINTAGE] == "2000"


def test_pasted_rows_with_names_of_columns_go_under_them_and_leave_the_others(
    editor: SeriesEditor, grid: Grid
) -> None:
    source = editor.sheets.rows[0][ROW_COLUMNS.index("source")]
    QGuiApplication.clipboard().setText("minted\tdate\n5\t1900\n6\t1900")
    press(grid, Key.Key_V, held=Held.ControlModifier)
    assert [row[MINTAGE] for row in editor.sheets.rows[:3]] == ["5", "6", ""]
    assert editor.sheets.rows[0][ROW_COLUMNS.index("source")] == source
    QGuiApplication.clipboard().setText("\t".join("x" * 20))
    before = editor.sheets
    press(grid, Key.Key_V, held=Held.ControlModifier)
    assert editor.sheets is before
    assert "20 cells" in editor.said.text()


def test_cells_are_filled_down_and_rows_put_in_and_taken_out(
    editor: SeriesEditor, grid: Grid
) -> None:
    count = len(editor.sheets.rows)
    grid.go_to(0, MINTAGE)
    type_in(grid, "9")
    press(grid.editor.field, Key.Key_Return)
    grid.go_to(0, MINTAGE)
    press(grid, Key.Key_Down, Key.Key_Down, held=Held.ShiftModifier)
    press(grid, Key.Key_D, held=Held.ControlModifier)
    assert [row[MINTAGE] for row in editor.sheets.rows[:4]] == ["9", "9", "9", ""]
    press(grid, Key.Key_Delete, held=Held.ControlModifier)
    assert len(editor.sheets.rows) == count - 3
    press(grid, Key.Key_Insert)
    assert editor.sheets.rows[0] == ("",) * len(ROW_COLUMNS)


def test_a_word_out_of_a_few_may_be_chosen_from_a_menu(editor: SeriesEditor, grid: Grid) -> None:
    grid.go_to(0, ROW_COLUMNS.index("strike"))
    press(grid, Key.Key_Down, held=Held.AltModifier)
    menu = QApplication.activePopupWidget()
    assert menu is not None
    next(action for action in menu.actions() if action.text() == "proof").trigger()
    menu.close()
    assert editor.sheets.rows[0][ROW_COLUMNS.index("strike")] == "proof"


def test_the_mouse_finds_in_a_menu_what_the_keys_do(editor: SeriesEditor, grid: Grid) -> None:
    count = len(editor.sheets.rows)
    grid.open_menu(grid.visualRect(grid.texts.index(3, DATE)).center())
    menu = QApplication.activePopupWidget()
    assert isinstance(menu, QMenu)
    next(a for a in menu.actions() if a.text().startswith("Delete the rows")).trigger()
    menu.close()
    assert len(editor.sheets.rows) == count - 1
    assert grid.currentIndex().row() == 3


def test_signs_totals_and_varieties_of_dates_that_go_go_with_their_rows(desk: Desk) -> None:
    series = load_series(SeriesId("harbour-token"))
    editor = open_editor(desk, replace(draft_of(series), id=""))
    before = editor.sheets
    rows = tuple(row for row in before.rows if row[DATE] not in ("H.E. 14", "H.E. 16"))
    editor._on_edited(ROWS, rows, "delete rows")
    gone = [v.id for v in series.varieties if dict(v.applies).get("date") == ("H.E. 14",)]
    assert len(gone) == 1
    assert len(editor.sheets.varieties) == len(before.varieties) - 1
    assert len(editor.sheets.signs) == len(before.signs) - 2
    assert len(editor.sheets.totals) == len(before.totals) - 1
    assert editor.said.text().startswith("4 varieties, signs or totals")
    editor._check()
    assert told(editor) == []
    editor.undo()
    assert editor.sheets == before
    editor.show_page(3)
    grid = editor._grid("sign")
    grid.go_to(0, 1)
    type_in(grid, "unheard of")
    press(grid.editor.field, Key.Key_Return)
    editor._check()
    assert told(editor) == ["Sign 1, which is"]
    press(editor, Key.Key_F8)
    assert (grid.currentIndex().row(), grid.currentIndex().column()) == (0, 1)
    editor.hide()
    editor.deleteLater()


def test_a_faulty_cell_is_marked_told_and_reached_by_f8(editor: SeriesEditor, grid: Grid) -> None:
    grid.go_to(4, MINTAGE)
    type_in(grid, "many")
    press(grid.editor.field, Key.Key_Return)
    editor._check()
    assert told(editor) == ["Row 5, mintage"]
    index = grid.texts.index(4, MINTAGE)
    assert "not a whole number" in index.data(Qt.ItemDataRole.ToolTipRole)
    assert "faulty" in index.data(Qt.ItemDataRole.AccessibleTextRole)
    assert editor.tabs.buttons[1].accessibleName() == "Page: Rows, 1 to put right"
    editor.show_page(0)
    press(editor, Key.Key_F8)
    assert editor.pages.currentIndex() == 1
    assert (grid.currentIndex().row(), grid.currentIndex().column()) == (4, MINTAGE)
    type_in(grid, "12")
    press(grid.editor.field, Key.Key_Return)
    editor._check()
    assert told(editor) == []
    assert "26 issues" in editor.faults.nothing.text()


# ---- a new series -------------------------------------------------------------------------------


def test_a_series_is_made_by_keys_alone_and_the_collection_carries_it(desk: Desk) -> None:
    editor = open_editor(desk, empty_draft())
    assert editor.focusWidget() is editor.head_page.fields["title"]
    for name, text in (
        ("title", "Harbour pennies"), ("issuer", "Harbour Office"), ("denomination", "penny"),
        ("currency", "XHB"), ("face_value", "1"),
    ):  # fmt: skip
        assert editor.focusWidget() is editor.head_page.fields[name]
        QTest.keyClicks(editor.focusWidget(), text)
        press(editor.focusWidget(), Key.Key_Tab)
    editor.head_page.fields["title"].setFocus()
    press(editor, Key.Key_F6)
    for cell in ("N", "North Quay", "N"):
        type_in(editor.head_page.grids["mint"], cell)
        press(editor.head_page.grids["mint"].editor.field, Key.Key_Tab)
    press(editor, Key.Key_2, held=Held.AltModifier)
    assert editor.focusWidget() is editor.rows_page.fields["first"]
    QTest.keyClicks(editor.focusWidget(), "1900")
    press(editor.focusWidget(), Key.Key_Tab)
    QTest.keyClicks(editor.focusWidget(), "1911")
    press(editor, Key.Key_F6)
    assert editor.focusWidget() is editor.rows_page.grid
    editor._check()
    assert len(editor.sheets.rows) == 12
    QTest.keyClicks(editor.rows_page.fields["without"], "1905")
    editor._check()
    assert len(editor.sheets.rows) == 11
    assert told(editor) == []
    press(editor, Key.Key_S, held=Held.ControlModifier)
    assert editor.saved == HARBOUR
    assert len(collection_of(desk).series(HARBOUR).issues) == 11
    desk.undo()
    assert HARBOUR not in {series.id for series in collection_of(desk).all_series()}
    editor.deleteLater()


def test_rows_changed_by_hand_change_no_more_with_the_rule_unless_asked(
    editor: SeriesEditor, grid: Grid
) -> None:
    grid.go_to(0, MINTAGE)
    type_in(grid, "5")
    press(grid.editor.field, Key.Key_Return)
    editor._on_rule("last", "1913")
    editor._check()
    assert len(editor.sheets.rows) == 26
    assert editor.rows_page.makes.text() == "Would add 2 rows."
    press(editor, Key.Key_R, held=Held.ControlModifier)
    assert len(editor.sheets.rows) == 28
    assert editor.sheets.rows[0][MINTAGE] == "5"
    editor.undo()
    assert len(editor.sheets.rows) == 26


def test_what_is_faulty_is_not_saved_and_shown_instead(desk: Desk) -> None:
    editor = open_editor(desk, empty_draft())
    form = editor.head_page._forms["title"]
    assert not form.fault
    editor.save()
    assert editor.saved is None
    assert form.fault
    assert editor.focusWidget() is editor.head_page.fields["title"]
    assert "put right first" in editor.said.text()
    editor.hide()
    editor.deleteLater()


def test_a_series_in_use_keeps_the_rows_that_coins_are_of(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    from core.app.operations import add_coins
    from core.app.own_series import save_series
    from core.lookup.parse import parse_entry

    collection = collection_of(desk)
    collection.run(save_series(harbour_draft()))
    series = collection.series(HARBOUR)
    collection.run(add_coins([parse_entry("1900-N", [series]).coin]))
    editor = open_editor(desk, harbour_draft(), is_new=False)
    editor._on_edited(ROWS, editor.sheets.rows[1:], "delete rows")
    editor.save()
    assert editor.saved is None
    assert "coin 1" in editor.said.text()
    editor.undo()
    assert not editor.time.is_changed
    editor._on_field("title", "Pennies of the harbour")
    editor.save()
    assert collection.series(HARBOUR).title == "Pennies of the harbour"
    editor.deleteLater()


# ---- leaving ------------------------------------------------------------------------------------


def test_leaving_with_something_typed_asks_first_and_esc_stays(editor: SeriesEditor) -> None:
    editor._on_field("title", "Pennies")
    press(editor, Key.Key_Escape)
    assert editor.isVisible()
    assert "26 rows" in editor.asks.text()
    press(editor, Key.Key_Escape)
    assert not editor.question.isVisible()
    editor.close()
    assert editor.isVisible()
    assert editor.question.isVisible()
    editor.drop.click()
    assert not editor.isVisible()


def test_a_cell_still_open_counts_as_typed(editor: SeriesEditor, grid: Grid) -> None:
    grid.go_to(0, MINTAGE)
    type_in(grid, "5")
    assert not editor.time.is_changed
    editor.reject()
    assert editor.isVisible()
    assert editor.sheets.rows[0][MINTAGE] == "5"
    editor._leave()


def test_what_was_imported_is_asked_about_though_nothing_was_typed(desk: Desk) -> None:
    editor = SeriesEditor(None, desk, replace(harbour_draft(), id=""), (), True, True)
    editor.show()
    press(editor, Key.Key_Escape)
    assert editor.question.isVisible()
    editor.drop.click()
    assert not editor.isVisible()
    editor.deleteLater()


def test_designs_that_no_row_uses_go_by_a_key(editor: SeriesEditor) -> None:
    more = ("Ship", "ship", *[""] * 5)
    editor._on_edited("design", (*editor.sheets.designs, more), "type")
    editor._check()
    assert editor.faults.unused_button.isVisible()
    press(editor, Key.Key_U, held=Held.ControlModifier)
    editor._check()
    assert editor.sheets.ids("design") == ("usual",)
    assert not editor.faults.unused_button.isVisible()


def test_nothing_typed_is_nothing_to_ask_about(editor: SeriesEditor) -> None:
    press(editor, Key.Key_Escape)
    assert not editor.isVisible()


def test_undo_works_while_a_field_has_the_keys(editor: SeriesEditor) -> None:
    field = editor.head_page.fields["issuer"]
    field.setFocus()
    QTest.keyClicks(field, "!")
    press(field, Key.Key_Z, held=Held.ControlModifier)
    assert editor.sheets.text("issuer") == "Harbour Office (invented)"
    assert editor.time.redo_label == "type"


# ---- files --------------------------------------------------------------------------------------


def test_export_and_import_give_the_same_series(
    editor: SeriesEditor, desk: Desk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from core.catalogue.draft import check_draft
    from core.catalogue.load import check_folder
    from gui.series import import_dialog

    monkeypatch.setattr("gui.file_choice.choose_folder", lambda *_: tmp_path)
    editor.export()
    folder = tmp_path / HARBOUR
    assert check_folder(folder).title == "Harbour pennies"
    monkeypatch.setattr(import_dialog, "choose_folder", lambda *_: folder)
    dialog = ImportSeriesDialog(None, desk)
    dialog.choose_folder()
    assert dialog.draft is not None
    assert check_draft(dialog.draft).series == check_folder(folder)
    (folder / "issues.csv").write_text("row,date\n", encoding="utf-8")
    dialog.choose_folder()
    assert dialog.draft is None
    assert not dialog.give_button.isEnabled()
    assert len(dialog.faults.texts.rows) > 5
    dialog.deleteLater()


def test_pasted_rows_bring_their_mints_designs_and_metals(desk: Desk) -> None:
    dialog = ImportSeriesDialog(None, desk)
    dialog.text.setPlainText('date,mint,metal,mintage\n1900,N,Fine bronze,"1,200"\n1901,L,iron,3\n')
    dialog.read()
    draft = dialog.draft
    assert draft is not None
    assert [m.id for m in draft.mints] == ["N", "L"]
    assert [c.title for c in draft.compositions] == ["Fine bronze", "iron"]
    assert draft.rows[0].composition == draft.compositions[0].id
    dialog.text.setPlainText("date\n\n1900\nH.E. 1\n")
    dialog.read()
    assert dialog.draft is None
    assert len(dialog.faults.texts.rows) == 1
    dialog.faults.activated.emit(dialog.faults.texts.index(0, 0))
    assert dialog.text.textCursor().block().text() == "H.E. 1"
    dialog.text.setPlainText("no date at all")
    dialog.read()
    assert len(dialog.faults.texts.rows) == 1
    dialog.deleteLater()


# ---- as a whole ---------------------------------------------------------------------------------


def test_every_control_of_the_editor_has_a_name(editor: SeriesEditor) -> None:
    nameless = []
    for widget in editor.findChildren(QWidget):
        if widget.focusPolicy() & Qt.FocusPolicy.TabFocus and widget.isEnabled():
            face = QAccessible.queryAccessibleInterface(widget)
            if not face.text(QAccessible.Text.Name):
                nameless.append(type(widget).__name__)
    assert nameless == ["_Line", "_Page"] * nameless.count("_Line")


def test_three_thousand_rows_are_typed_in_without_waiting(desk: Desk) -> None:
    editor = open_editor(desk, replace(harbour_draft(1, 1000), id=""))
    many = tuple(("", *row[1:]) for row in editor.sheets.rows) + editor.sheets.rows[:1000]
    editor._on_edited(ROWS, many, "paste")
    editor.show_page(1)
    grid = editor.rows_page.grid
    times = []
    for at in range(5):
        grid.go_to(1500 + at, DATE)
        grid.begin("1")
        start = perf_counter()
        grid.take()
        times.append(perf_counter() - start)
    assert min(times) < 0.1
    assert len(editor.sheets.rows) == 3000
    editor.hide()
    editor.deleteLater()


def test_checking_waits_until_typing_pauses(
    editor: SeriesEditor, monkeypatch: pytest.MonkeyPatch
) -> None:
    looked: list[str] = []

    def counted(sheets: Sheets, series_id: str, progress: Progress) -> Looked:
        looked.append(sheets.text("issuer"))
        return look(sheets, series_id, progress)

    monkeypatch.setattr(editor_module, "look", counted)
    for text in ("a", "ab", "abc"):
        editor._on_field("issuer", text)
    assert looked == []
    editor._timer.timeout.emit()
    assert looked == ["abc"]
    assert editor.time.undo() == HEAD
