"""The keys of the coins workspace clash with none that the whole window listens to."""

from pathlib import Path

from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from gui.actions import COMMANDS, SHELF, WINDOW
from gui.coins.rows import Column
from gui.coins.workspace import CoinsWorkspace
from tests.gui.coins_material import Key, a_filled_desk, a_panel, stand_on
from tests.gui.window_material import close_window, open_window, small_collection


def test_no_key_of_the_coins_is_a_key_of_the_window(qtbot: QtBot, tmp_path: Path) -> None:
    panel = a_panel(qtbot, a_filled_desk(tmp_path))
    mine = {s.key().toString() for s in panel.findChildren(QShortcut)}
    window = {
        QKeySequence(key).toString()
        for command in COMMANDS
        if command.group in (WINDOW, SHELF) and command.is_bound and not command.is_local
        for key in command.keys
    }
    assert {"Ctrl+E", "Ctrl+G", "Alt+C"} <= mine
    assert mine & window == set()
    assert not {"F2", "Ctrl+C", "Ctrl+V", "Del"} & window


def test_in_the_window_too_f2_edits_the_cell(
    qapp: QApplication, qtbot: QtBot, tmp_path: Path
) -> None:
    window = open_window(qapp, tmp_path, small_collection(tmp_path / "drawer.slotleaf"))
    window.duties.show_workspace("coins")
    coins = window.duties.pages.currentWidget()
    assert isinstance(coins, CoinsWorkspace)
    with qtbot.waitActive(window.window):
        window.window.activateWindow()
    stand_on(coins, 1, Column.GRADE)
    qtbot.keyClick(coins.table, Key.Key_F2)
    assert coins.editing.is_open
    assert coins.editing.editor.text == "VG-8"
    qtbot.keyClick(coins.editing.editor.field, Key.Key_F2)
    assert coins.editing.is_open
    coins.editing.leave()
    close_window(window)
