"""A coins workspace on a small collection, and how tests take hold of its cells."""

from dataclasses import replace
from pathlib import Path
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtTest import QAbstractItemModelTester
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from core.app.operations import place_coin
from core.model.album import SlotId
from core.model.coin import Coin, CoinId, Origin, Problem
from gui.coins.rows import COLUMNS, Column
from gui.coins.workspace import CoinsWorkspace
from gui.desk import Desk
from gui.settings import Settings
from gui.work import Runs
from tests.builders import a_coin
from tests.gui.desk_material import DAY, NICKELS, a_desk, an_album, collection_of, with_coins

Key = Qt.Key


def nickel(day: str = "1943", mint: str = "D", grade: str = "", **fields: Any) -> Coin:
    """A nickel, not yet in the collection."""
    coin = a_coin(day, mint, grade, **fields)
    return replace(coin, description=replace(coin.description, series=NICKELS))


def a_filled_desk(folder: Path, runner: Runs | None = None) -> Desk:
    """Four rows: 1943-D VF-20; 1938 G-4 bent; a lot of 1946-S; 1950-D XF-40 in its slot."""
    desk = a_desk(folder, runner)
    an_album(desk)
    with_coins(
        desk,
        [
            nickel("1943", "D", "vf20", note="from the harbour jar"),
            nickel("1938", "P", "g4", place="tray B4", problems=(Problem.BENT,)),
            nickel("1946", "S", "", quantity=30, came_from="box 12", origin=Origin.FOUND),
            nickel("1950", "D", "xf40", acquired=DAY),
        ],
    )
    collection_of(desk).run(place_coin(CoinId(4), slot_of(desk, "1950-D")))
    return desk


def slot_of(desk: Desk, label: str) -> SlotId:
    """A slot of the first album by its label."""
    collection = collection_of(desk)
    return collection.find_slot(collection.albums()[0], label).id


def a_panel(qtbot: QtBot, desk: Desk, settings: Settings | None = None) -> CoinsWorkspace:
    """The workspace, shown, with its item model under test."""
    panel = CoinsWorkspace(desk, settings)
    qtbot.addWidget(panel)
    panel.resize(1280, 700)
    QAbstractItemModelTester(panel.model)
    panel.show()
    panel.activateWindow()
    return panel


def shown(panel: CoinsWorkspace, column: Column = Column.NUMBER) -> list[str]:
    """The texts of a column, from the top."""
    place = COLUMNS.index(column)
    return [panel.model.index(n, place).data() for n in range(panel.model.rowCount())]


def stand_on(panel: CoinsWorkspace, number: int, column: Column) -> None:
    """Make a cell the one that keys act on, and its row the only one chosen."""
    panel.table.setFocus()
    panel.table.choose({CoinId(number)}, CoinId(number), column)


def choose(panel: CoinsWorkspace, *numbers: int) -> None:
    """Choose rows by their coins' numbers."""
    panel.table.choose({CoinId(n) for n in numbers}, CoinId(numbers[0]))


def coin(desk: Desk, number: int) -> Coin:
    """A coin as it is in the collection."""
    return collection_of(desk).coin(CoinId(number))


def field(panel: CoinsWorkspace) -> QWidget:
    """What is typed in on the cell."""
    assert panel.editing.is_open
    return panel.editing.editor.field


def type_cell(
    panel: CoinsWorkspace, qtbot: QtBot, number: int, column: Column, text: str, key: Key
) -> None:
    """Stand on a cell, F2, type over what is there, and press a key."""
    stand_on(panel, number, column)
    qtbot.keyClick(panel.table, Key.Key_F2)
    qtbot.keyClick(field(panel), Key.Key_A, Qt.KeyboardModifier.ControlModifier)
    if text:
        qtbot.keyClicks(field(panel), text)
    else:
        qtbot.keyClick(field(panel), Key.Key_Delete)
    qtbot.keyClick(field(panel), key)
