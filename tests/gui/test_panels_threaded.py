"""Panels and dialogs over the real runner: answers come late, and nothing is left behind."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from core.model.album import Target
from gui.album.new_album import NewAlbumDialog
from gui.album.stocking import StockingMode
from gui.checklist.preview import ChecklistDialog
from gui.coins.rows import Column
from gui.coins.workspace import CoinsWorkspace
from gui.desk import Desk
from gui.fill.panel import FillPanel
from gui.leaf.view import LeafView
from gui.theme import current_palette
from gui.work import Runner
from tests.gui.desk_material import a_desk, an_album, collection_of, with_coins
from tests.gui.test_coins import nickel


@pytest.fixture
def desk(qtbot: QtBot, tmp_path: Path) -> Iterator[Desk]:
    made = a_desk(tmp_path)
    an_album(made, target=Target(20))
    with_coins(made, [nickel(str(day), "D", "vf20") for day in range(1938, 1950)])
    path = made.path
    assert path is not None
    made.close()
    unexpected: list[Exception] = []
    runner = Runner(unexpected.append)
    desk = Desk(runner)
    desk.open(path)
    qtbot.waitUntil(lambda: desk.is_open)
    yield desk
    desk.shut_down()
    assert unexpected == []


def test_every_key_of_a_fast_typist_is_written(qtbot: QtBot, desk: Desk) -> None:
    album = collection_of(desk).albums()[0].id
    view = collection_of(desk).album_view(album)
    leaf = LeafView()
    qtbot.addWidget(leaf)
    leaf.resize(900, 700)
    leaf.show_plan(view.plan, current_palette())
    mode = StockingMode(desk, leaf)
    qtbot.addWidget(mode.band)
    mode.start(view)
    qtbot.keyClicks(leaf, "vf20" + " " * 40)
    qtbot.keyClick(leaf, Qt.Key.Key_Backspace)
    qtbot.keyClick(leaf, Qt.Key.Key_Escape)
    qtbot.waitUntil(lambda: not mode.is_writing)
    assert collection_of(desk).album_view(album).headline.have == 39
    desk.undo()
    qtbot.waitUntil(lambda: desk.redo_label is not None)
    assert collection_of(desk).album_view(album).headline.have == 0


def test_coins_are_read_added_and_sorted(qtbot: QtBot, desk: Desk) -> None:
    panel = CoinsWorkspace(desk)
    qtbot.addWidget(panel)
    panel.show()
    qtbot.waitUntil(lambda: panel.model.rowCount() == 12)
    panel.entry.field.setText("1950-d ms63")
    qtbot.keyClick(panel.entry.field, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: panel.entry.reading.startswith("Added"))
    qtbot.waitUntil(lambda: panel.model.rowCount() == 13)
    panel._on_sort(Column.GRADE)
    assert panel.model.coin_row(0).grade == "MS-63"


def test_a_fill_is_worked_out_and_accepted(qtbot: QtBot, desk: Desk) -> None:
    panel = FillPanel(desk)
    qtbot.addWidget(panel)
    panel.start(None)
    qtbot.waitUntil(lambda: len(panel.model.lines) == 12)
    with qtbot.waitSignal(panel.closed):
        panel.accept()
    album = collection_of(desk).albums()[0].id
    assert collection_of(desk).album_view(album).headline.have == 12


def test_a_fill_left_at_once_proposes_nothing(qtbot: QtBot, desk: Desk) -> None:
    panel = FillPanel(desk)
    qtbot.addWidget(panel)
    panel.start(None)
    panel.leave()
    desk.runner.wait()
    panel.start(None)
    panel.leave()
    qtbot.waitUntil(lambda: not desk._jobs)
    assert panel.model.lines == []


def test_dialogs_that_go_early_leave_nothing_behind(qtbot: QtBot, desk: Desk) -> None:
    album = collection_of(desk).albums()[0].id
    for make in (lambda: NewAlbumDialog(None, desk), lambda: ChecklistDialog(None, desk, album)):
        dialog = make()
        gone: list[bool] = []
        dialog.destroyed.connect(lambda *_, told=gone: told.append(True))
        dialog.show()
        dialog.reject()
        dialog.deleteLater()
        qtbot.waitUntil(lambda told=gone: bool(told))  # type: ignore[misc]
    desk.runner.wait()
    qtbot.waitUntil(lambda: not desk._jobs)


def test_pages_come_late_and_are_drawn(qtbot: QtBot, desk: Desk) -> None:
    dialog = ChecklistDialog(None, desk, collection_of(desk).albums()[0].id)
    qtbot.addWidget(dialog)
    dialog.show()
    qtbot.waitUntil(lambda: dialog.pages.pages > 0 and dialog.pages.is_drawn)
    dialog.pages.set_zoom(2.0)
    qtbot.waitUntil(lambda: dialog.pages.is_drawn)
    assert dialog.save_button.isEnabled()
