"""Designing over the real runner: keys faster than the file, and what is under way when it ends."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from core.model.arrangement import Arrangement, parse_arrangement, parse_map
from gui.design.mode import DesignMode
from gui.theme import the_app
from gui.work import Runner
from tests.gui.window_material import OpenWindow, close_window, open_window, small_collection

Ctrl = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def opened(qtbot: QtBot, tmp_path: Path) -> Iterator[OpenWindow]:
    unexpected: list[Exception] = []
    path = small_collection(tmp_path / "drawer.slotleaf")
    window = open_window(the_app(), tmp_path, path, Runner(unexpected.append))
    qtbot.waitUntil(lambda: window.albums.centre.view is not None)
    qtbot.waitUntil(lambda: window.albums.by_hand is not None)
    yield window
    qtbot.waitUntil(lambda: not window.desk._jobs)
    window.desk.shut_down()
    qtbot.waitUntil(lambda: not window.desk._jobs)
    close_window(window)
    assert unexpected == []


def designing(qtbot: QtBot, opened: OpenWindow, shape: Arrangement) -> DesignMode:
    opened.albums.design.toggle()
    mode = opened.albums.design.mode
    assert mode is not None
    mode.reshape(lambda _now: shape)
    qtbot.waitUntil(lambda: opened.view.album.arrangement == shape)
    return mode


def order(opened: OpenWindow) -> list[str]:
    return [v.slot.label for v in opened.view.slots]


def test_each_of_many_fast_keys_counts(qtbot: QtBot, opened: OpenWindow) -> None:
    mode = designing(qtbot, opened, parse_arrangement("running:6x4"))
    before = order(opened)
    leaf = opened.albums.centre.leaf
    leaf.go_to_slot(int(opened.slot("1942").id))
    for _ in range(5):
        qtbot.keyClick(leaf, Qt.Key.Key_Right, Ctrl)
    qtbot.keyClick(leaf, Qt.Key.Key_Space)
    qtbot.keyClick(leaf, Qt.Key.Key_Space)
    assert mode.orders.is_busy
    qtbot.waitUntil(lambda: not mode.orders.is_busy)
    assert order(opened) == [*before[1:6], "1942", *before[6:]]
    assert opened.slot("1942").lead.spacers == 2


def test_of_shapes_asked_for_meanwhile_only_the_newest_is_made(
    qtbot: QtBot, opened: OpenWindow
) -> None:
    mode = designing(qtbot, opened, parse_arrangement("running:6x4"))
    for slots in (5, 4, 3, 2):
        mode.panel.per_row.field.setValue(slots)
    qtbot.waitUntil(lambda: not mode.orders.is_busy)
    assert opened.view.album.arrangement.per_row == 2
    assert mode.panel.per_row.field.value() == 2
    opened.desk.undo()
    qtbot.waitUntil(lambda: opened.view.album.arrangement.per_row == 5)
    opened.desk.undo()
    qtbot.waitUntil(lambda: opened.view.album.arrangement.per_row == 6)


def test_what_fails_is_said_and_nothing_waits_for_it(qtbot: QtBot, opened: OpenWindow) -> None:
    mode = designing(qtbot, opened, parse_arrangement("running:6x4"))
    told: list[str] = []
    opened.desk.failed.connect(told.append)
    leaf = opened.albums.centre.leaf
    leaf.selectAll()
    mode._go_out(tuple(mode.chosen()), tuple(v.coin.id for v in opened.view.slots if v.coin))
    mode.reshape(lambda now: now)
    qtbot.waitUntil(lambda: bool(told))
    assert "No slot would be left" in told[0]
    assert not mode.orders.is_busy
    mode.panel.form.setCurrentRow(6)
    qtbot.waitUntil(lambda: opened.view.album.arrangement.row_map == parse_map("6 6"))


def test_it_ends_while_something_is_under_way(qtbot: QtBot, opened: OpenWindow) -> None:
    mode = designing(qtbot, opened, parse_arrangement("running:6x4"))
    mode.panel.per_row.field.setValue(3)
    mode.end()
    qtbot.waitUntil(lambda: opened.view.album.arrangement.per_row == 3)
    assert not mode.is_on
    mode = designing(qtbot, opened, parse_arrangement("running:4x4"))
    assert mode.panel.per_row.field.value() == 4
