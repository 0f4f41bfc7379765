"""Coins go in and out of the window as sheets: looked at first, all or none, one undo."""

import csv
from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QAbstractItemModelTester
from PySide6.QtWidgets import QDialog
from pytestqt.qtbot import QtBot

import gui.file_choice
from gui.exchange import flow
from gui.exchange.import_dialog import ImportDialog
from gui.exchange.sheet_table import SheetModel
from gui.work import Runner
from tests.gui.desk_material import a_desk, an_album, collection_of
from tests.gui.exchange_scenes import FAULTY, HAND
from tests.gui.window_material import OpenWindow


@pytest.fixture
def dialog_on(qtbot: QtBot, tmp_path: Path) -> Callable[[str], ImportDialog]:
    """A dialog on a sheet of this text, over a collection with one album of nickels."""

    def make(text: str) -> ImportDialog:
        desk = a_desk(tmp_path)
        an_album(desk)
        path = tmp_path / "tin.csv"
        path.write_text(text, encoding="utf-8")
        dialog = ImportDialog(None, desk, path)
        qtbot.addWidget(dialog)
        dialog.show()
        return dialog

    return make


def texts_of(layout_owner: ImportDialog) -> list[str]:
    sums = layout_owner.sums
    items = [sums.itemAt(at) for at in range(sums.count())]
    return [item.widget().text() for item in items if item is not None]  # type: ignore[union-attr]


def test_a_good_sheet_is_shown_with_what_comes_and_where_it_goes(
    dialog_on: Callable[[str], ImportDialog],
) -> None:
    dialog = dialog_on(HAND)
    assert dialog.pages.currentWidget() is dialog.coming
    assert texts_of(dialog) == [
        "8 coins in 6 rows",
        "2 into Nickels 1938–1964",
        "6 to the spares",
    ]
    rows = dialog.rows.texts.rows
    assert list(rows[0]) == ["2", "", "nickel 1943-D", "VF-20", "into Nickels 1938–1964, 1943-D"]
    assert len(rows) == 6
    assert dialog.give_button.isEnabled()
    assert dialog.give_button.text() == "Import 8 coins"
    assert dialog.draft is not None
    assert "tray" in dialog.draft.notes[0]
    assert not dialog.notes_head.isHidden()


def test_faulty_rows_are_all_listed_and_nothing_can_be_imported(
    dialog_on: Callable[[str], ImportDialog], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    dialog = dialog_on(FAULTY)
    assert dialog.pages.currentWidget() is dialog.faulty
    assert not dialog.give_button.isEnabled()
    rows = [tuple(row[:2]) for row in dialog.faults.texts.rows]
    assert rows == [
        ("2", "since"), ("3", "coin"), ("4", "grade"), ("4", "since"), ("4", "quantity"),
        ("5", "number"), ("5", "album"), ("6", "slot"), ("8", "slot"), ("9", ""),
    ]  # fmt: skip
    dialog.copy_button.click()
    copied = QGuiApplication.clipboard().text().splitlines()
    assert len(copied) == len(rows)
    assert copied[0].startswith("line 2, since: “soon” is no day")
    kept = tmp_path / "list.txt"
    monkeypatch.setattr(gui.file_choice, "choose_new_file", lambda *_: kept)
    dialog.save_button.click()
    assert kept.read_text("utf-8-sig").splitlines() == copied
    assert str(kept) in dialog.said.text()


def test_the_list_of_faults_is_never_written_over_a_collection(
    dialog_on: Callable[[str], ImportDialog], monkeypatch: pytest.MonkeyPatch
) -> None:
    dialog = dialog_on(FAULTY)
    path = dialog._desk.path
    assert path is not None
    before = path.read_bytes()
    monkeypatch.setattr(gui.file_choice, "choose_new_file", lambda *_: path)
    dialog.save_button.click()
    assert "is a collection" in dialog.said.text()
    assert path.read_bytes() == before


def test_the_chosen_faults_are_copied_by_the_keys(
    dialog_on: Callable[[str], ImportDialog], qtbot: QtBot
) -> None:
    dialog = dialog_on(FAULTY)
    qtbot.keyClick(dialog.faults, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    assert QGuiApplication.clipboard().text().startswith("2\tsince\t")


@pytest.mark.parametrize("text", ["", "coin,note\n", "\n\n"])
def test_a_sheet_without_coins_says_so_and_offers_another(
    dialog_on: Callable[[str], ImportDialog], text: str
) -> None:
    dialog = dialog_on(text)
    assert not dialog.give_button.isEnabled()
    assert dialog.pages.currentWidget() in (dialog.failed, dialog.faulty)


def test_a_file_that_is_no_text_is_told_in_the_dialog(
    dialog_on: Callable[[str], ImportDialog], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    dialog = dialog_on(HAND)
    bad = tmp_path / "bad.csv"
    bad.write_bytes(b"coin\n\xff\xfe\n")
    monkeypatch.setattr(gui.file_choice, "choose_file", lambda *_: bad)
    dialog.other.click()
    assert dialog.pages.currentWidget() is dialog.failed
    assert "is not UTF-8 (line 2)" in dialog.trouble.sentence.text()
    assert not dialog.give_button.isEnabled()
    good = tmp_path / "tin.csv"
    monkeypatch.setattr(gui.file_choice, "choose_file", lambda *_: good)
    dialog.trouble.button.click()
    assert dialog.pages.currentWidget() is dialog.coming


def test_new_numbers_put_aside_those_of_the_sheet(
    dialog_on: Callable[[str], ImportDialog],
) -> None:
    dialog = dialog_on("number,coin\n12,nickel 1941\n")
    assert dialog.rows.texts.rows[0][1] == "12"
    dialog.numbers.buttons[1].click()
    assert dialog.rows.texts.rows[0][1] == ""
    assert dialog.give_button.isEnabled()


def test_reading_goes_on_beside_the_window_and_is_let_go_when_left(
    qtbot: QtBot, tmp_path: Path
) -> None:
    wrong: list[Exception] = []
    runner = Runner(wrong.append)
    desk = a_desk(tmp_path, runner)
    qtbot.waitUntil(lambda: desk.is_open)
    path = tmp_path / "tin.csv"
    path.write_text(
        "coin\n" + "".join(f'nickel {1940 + at % 20} "{at}"\n' for at in range(4000)), "utf-8"
    )
    dialog = ImportDialog(None, desk, path)
    qtbot.addWidget(dialog)
    assert dialog.pages.currentWidget() is dialog.wait
    dialog.reject()
    desk.shut_down()
    assert dialog.draft is None
    assert wrong == []


def test_the_tables_keep_the_rules_of_their_models(qtbot: QtBot) -> None:
    dialog = QDialog()
    qtbot.addWidget(dialog)
    model = SheetModel(("Line", "Coin"), dialog)
    tester = QAbstractItemModelTester(model, QAbstractItemModelTester.FailureReportingMode.Fatal)
    model.show_rows([("1", "a\nb"), ("2", "<b>")])
    model.show_rows([("1", "a")])
    assert tester.model() is model


# ---- from the menu ----------------------------------------------------------------------------


def choose(monkeypatch: pytest.MonkeyPatch, path: Path | None) -> None:
    monkeypatch.setattr(gui.file_choice, "choose_file", lambda *_: path)
    monkeypatch.setattr(gui.file_choice, "choose_new_file", lambda *_: path)


def accept_at_once(dialog: ImportDialog) -> int:
    dialog.give_button.click()
    return int(dialog.result())


def test_import_from_the_menu_is_one_undo_and_one_line(
    opened: OpenWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    sheet = tmp_path / "tin.csv"
    sheet.write_text("coin;album;slot\nnickel 1942-S vf20;War nickels;1942-S\nnickel 1950-D;;\n")
    choose(monkeypatch, sheet)
    monkeypatch.setattr(ImportDialog, "exec", accept_at_once)
    before = collection_of(opened.desk).rows_hash()
    opened.duties.actions["import_coins"].trigger()
    assert "filled" in opened.state("1942-S")
    assert opened.duties.notices.text == (
        "Imported 2 coins in 2 rows; 1 into War nickels; 1 to the spares. Ctrl+Z takes it back."
    )
    assert opened.desk.undo_label == "import 2 coins"
    opened.duties.actions["undo"].trigger()
    assert collection_of(opened.desk).rows_hash() == before
    assert "gap" in opened.state("1942-S")


def test_leaving_the_dialog_or_the_choice_changes_nothing(
    opened: OpenWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = collection_of(opened.desk).rows_hash()
    choose(monkeypatch, None)
    opened.duties.actions["import_coins"].trigger()
    sheet = tmp_path / "tin.csv"
    sheet.write_text("coin\nnickel 1950-D\n")
    choose(monkeypatch, sheet)
    monkeypatch.setattr(ImportDialog, "exec", lambda dialog: int(dialog.result()))
    opened.duties.actions["import_coins"].trigger()
    assert collection_of(opened.desk).rows_hash() == before


def test_export_from_the_menu_writes_every_coin_and_tells_where(
    opened: OpenWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    sheet = tmp_path / "out.csv"
    choose(monkeypatch, sheet)
    opened.duties.actions["export_coins"].trigger()
    rows = list(csv.DictReader(sheet.read_text("utf-8-sig").splitlines()))
    assert [row["date"] for row in rows] == ["1943", "1943", "1944", "1944"]
    assert rows[0]["slot"] == "1943-D"
    assert opened.duties.notices.text == f"4 rows of coins are in {sheet}."


def test_export_over_a_collection_is_refused(
    opened: OpenWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = opened.desk.path
    assert path is not None
    choose(monkeypatch, path)
    opened.duties.actions["export_coins"].trigger()
    assert "is a collection" in opened.duties.notices.text
    choose(monkeypatch, tmp_path / "nowhere" / "x.csv")
    opened.duties.actions["export_coins"].trigger()
    assert "There is no folder" in opened.duties.notices.text


def test_a_name_for_the_sheet_is_one_that_every_system_takes() -> None:
    assert flow._file_stem('a/b:"c"?') == "a-b--c--"
    assert flow._file_stem(" .. ") == "My"
