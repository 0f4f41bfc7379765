"""Copy rows, paste rows: a look at what would come, all faults, and then one operation."""

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from pytestqt.qtbot import QtBot

from core.app.exchange_cells import Column as SheetColumn
from core.app.operations import let_go
from core.lookup.parse import parse_entry
from core.model.coin import CoinId, Problem
from core.model.grade import parse_grade
from gui.coins.paste import as_sheet, is_headed
from gui.coins.paste_dialog import PasteDialog
from gui.coins.rows import Column
from gui.coins.workspace import CoinsWorkspace
from gui.desk import Desk
from tests.gui.coins_material import Key, a_filled_desk, a_panel, choose, coin, shown
from tests.gui.desk_material import CENTS, NICKELS, an_album, collection_of, with_coins

CTRL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return a_filled_desk(tmp_path)


@pytest.fixture
def panel(qtbot: QtBot, desk: Desk) -> CoinsWorkspace:
    return a_panel(qtbot, desk)


def dialog_for(qtbot: QtBot, desk: Desk, text: str) -> PasteDialog:
    series = tuple(collection_of(desk).series_in_use)
    dialog = PasteDialog(None, desk, text, series, NICKELS)
    qtbot.addWidget(dialog)
    with qtbot.waitActive(dialog):
        dialog.show()
        dialog.activateWindow()
    return dialog


def texts(dialog: PasteDialog) -> list[list[str]]:
    table = dialog.pages.currentWidget()
    assert table in (dialog.rows, dialog.faults)
    return [list(row) for row in table.texts.rows]


# ---- copying ----------------------------------------------------------------------------------


def test_copied_rows_paste_back_as_the_same_coins(
    panel: CoinsWorkspace, qtbot: QtBot, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    choose(panel, 1, 2, 3)
    qtbot.keyClick(panel.table, Key.Key_C, CTRL)
    text = QGuiApplication.clipboard().text()
    assert text.splitlines()[0].split("\t")[:3] == ["series", "date", "mint"]
    dialog = dialog_for(qtbot, desk, text)
    assert dialog.draft is not None, (dialog.said.text(), dialog.text.toPlainText(), text)
    assert [fault.text for fault in dialog.draft.faults] == []
    assert dialog.give_button.text() == "Add 32 coins"
    dialog.give()
    columns = (Column.COIN, Column.GRADE, Column.PROBLEMS, Column.CAME_FROM, Column.NOTE)
    rows = list(zip(*(shown(panel, c) for c in columns), strict=True))
    copied, pasted = rows[-3:], rows[:3]
    assert pasted == copied[::-1]


# ---- pasting ----------------------------------------------------------------------------------


def test_lines_as_in_the_entry_line_are_looked_at_and_added_in_one_operation(
    qtbot: QtBot, desk: Desk, panel: CoinsWorkspace
) -> None:
    dialog = dialog_for(qtbot, desk, "1943-D vf20\n\n3 x 1944-p corroded\n")
    assert [row[0] for row in texts(dialog)] == ["1", "3"]
    assert [row[2] for row in texts(dialog)] == ["VF-20", "no grade, corroded"]
    assert len(shown(panel)) == 4
    qtbot.keyClick(dialog.text, Key.Key_Return, CTRL)
    assert not dialog.isVisible()
    assert len(shown(panel)) == 6
    assert coin(desk, 6).problems == (Problem.CORRODED,)
    assert desk.undo_label == "import 4 coins"
    desk.undo()
    assert len(shown(panel)) == 4


def test_every_faulty_line_is_named_and_nothing_is_added(
    qtbot: QtBot, desk: Desk, panel: CoinsWorkspace
) -> None:
    before = collection_of(desk).content_hash()
    dialog = dialog_for(qtbot, desk, "1943-D vf20\n1950-S\n1944-P vf21\nnonsense")
    assert [row[0] for row in texts(dialog)] == ["2", "3", "4"]
    assert all(row[1] for row in texts(dialog))
    assert not dialog.give_button.isEnabled()
    dialog.give()
    assert dialog.isVisible()
    assert collection_of(desk).content_hash() == before
    assert dialog.text.toPlainText().startswith("1943-D vf20")


def test_a_fault_leads_to_its_line_and_put_right_it_reads(qtbot: QtBot, desk: Desk) -> None:
    dialog = dialog_for(qtbot, desk, "1943-D vf20\n1944-P vf21")
    dialog._go_to_fault(0)
    assert dialog.text.textCursor().selectedText() == "1944-P vf21"
    qtbot.keyClicks(dialog.text, "1944-P vf25")
    assert not dialog.give_button.isEnabled()  # not before the line is read again
    qtbot.waitUntil(dialog.give_button.isEnabled, timeout=3000)
    dialog.give()
    assert coin(desk, 6).grade == parse_grade("vf25")


def test_the_series_that_lines_mean_is_chosen(qtbot: QtBot, desk: Desk) -> None:
    an_album(desk, "Cents", CENTS, (1941, 1958))
    dialog = dialog_for(qtbot, desk, "1944-D f12")
    assert "nickel" in texts(dialog)[0][1]
    action = next(a for a in dialog.series.choices.actions() if a.text() == "Lincoln cents")
    action.trigger()
    assert "cent" in texts(dialog)[0][1]


def test_what_is_refused_keeps_the_dialog_and_its_text(
    qtbot: QtBot, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    from core.errors import Refused

    dialog = dialog_for(qtbot, desk, "1943-D vf20")
    monkeypatch.setattr(
        collection_of(desk), "run", lambda *_: (_ for _ in ()).throw(Refused("The disk is full."))
    )
    dialog.give()
    assert dialog.isVisible()
    assert dialog.said.text() == "The disk is full."
    assert dialog.text.toPlainText() == "1943-D vf20"


def test_an_empty_text_says_what_to_do(qtbot: QtBot, desk: Desk) -> None:
    dialog = dialog_for(qtbot, desk, "1943-D")
    dialog.text.clear()
    dialog.read()
    assert dialog.pages.currentWidget() is dialog.empty
    assert not dialog.give_button.isEnabled()


@pytest.mark.parametrize("place", ["table", "anywhere", "entry", "button"])
def test_pasting_is_asked_for_from_table_entry_line_and_button(
    panel: CoinsWorkspace, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, place: str
) -> None:
    asked: list[str] = []

    def ask(_parent: object, _desk: object, text: str, *_more: object) -> int:
        asked.append(text)
        return 2

    monkeypatch.setattr(PasteDialog, "ask", ask)
    QGuiApplication.clipboard().setText("1943-D vf20\n1944-P")
    with qtbot.waitSignal(panel._desk.told) as told:
        match place:
            case "table":
                panel._to_table()
                qtbot.keyClick(panel.table, Key.Key_V, CTRL)
            case "entry":
                panel.entry.field.setFocus()
                qtbot.keyClick(panel.entry.field, Key.Key_V, CTRL)
            case "button":
                panel.bar.paste.click()
            case _:
                panel.filter.setFocus()
                qtbot.keyClick(panel.filter, Key.Key_V, CTRL | Qt.KeyboardModifier.ShiftModifier)
    assert asked == ["1943-D vf20\n1944-P"]
    assert told.args == ["2 coins are added. One undo takes all back: Ctrl+Z."]


def test_one_line_is_pasted_into_the_entry_line_itself(
    panel: CoinsWorkspace, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(PasteDialog, "ask", lambda *_: pytest.fail("one line is no sheet"))
    QGuiApplication.clipboard().setText("1943-D vf20\n")
    panel.entry.field.setFocus()
    qtbot.keyClick(panel.entry.field, Key.Key_V, CTRL)
    assert panel.entry.entry is not None


@pytest.mark.parametrize(
    ("text", "told"),
    [("   \n", "There is no text"), ("1943-D\n" * 200_000, "too much to paste")],
)
def test_what_cannot_be_pasted_says_why(
    panel: CoinsWorkspace, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, text: str, told: str
) -> None:
    monkeypatch.setattr(PasteDialog, "ask", lambda *_: pytest.fail("nothing to look at"))
    QGuiApplication.clipboard().setText(text)
    with qtbot.waitSignal(panel._desk.told) as said:
        panel.paste()
    assert said.args is not None
    assert told in said.args[0]


# ---- without a screen -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "is_head"),
    [
        ("1943-D vf20", False),
        ("\n1943-D\tvf20\n", False),
        ("coin\tgrade\n1943-D\tvf20", True),
        ("date,mint\n1943,D", True),
        ("\n\ndate;mint", True),
        ("", False),
    ],
)
def test_a_first_line_of_columns_is_told_from_a_coin(text: str, is_head: bool) -> None:
    assert is_headed(text) is is_head


def test_cells_side_by_side_without_heads_are_one_entry(desk: Desk) -> None:
    text, columns = as_sheet("1943-D\tvf20\tbent\n1944-P\t\tg4\n")
    assert columns == (SheetColumn.COIN,)
    assert text.splitlines() == ["1943-D vf20 bent", "1944-P g4"]
    draft = collection_of(desk).read_sheet(text, renumber=True, columns=columns, prefer=NICKELS)
    series = list(collection_of(desk).series_in_use)
    assert [r.coin for r in draft.rows] == [
        parse_entry(line, series, NICKELS).coin for line in text.splitlines()
    ]


def test_a_preferred_series_does_not_overrule_a_named_one(desk: Desk) -> None:
    an_album(desk, "Cents", CENTS, (1941, 1958))
    with_coins(desk, [])
    desk.run(let_go([CoinId(1)]))
    draft = collection_of(desk).read_sheet(
        "coin\n1944-D\ncent 1944-D", renumber=True, prefer=NICKELS
    )
    assert [r.coin.description.series for r in draft.rows] == [NICKELS, CENTS]
