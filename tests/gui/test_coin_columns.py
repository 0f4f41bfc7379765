"""The columns of the coins table: chosen, ordered, kept, and put back; and dragging coins out."""

from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, QModelIndex, QPoint, QPointF, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from core.model.coin import CoinId
from gui.coins.coin_table import drag_pixmap
from gui.coins.columns import CHOICES, NEEDED, USUAL, Layout, layout_text, read_layout
from gui.coins.columns_dialog import ColumnsDialog
from gui.coins.rows import COLUMNS, Column
from gui.coins.workspace import CoinsWorkspace
from gui.desk import Desk
from gui.leaf.leaf_drag import COINS_MIME, coins_in
from gui.settings import Settings
from tests.gui.coins_material import Key, a_filled_desk, a_panel, choose

ALT = Qt.KeyboardModifier.AltModifier


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return a_filled_desk(tmp_path)


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    return Settings(tmp_path / "window.ini")


@pytest.fixture
def panel(qtbot: QtBot, desk: Desk, settings: Settings) -> CoinsWorkspace:
    return a_panel(qtbot, desk, settings)


# ---- the layout -------------------------------------------------------------------------------


def test_a_layout_reads_back_as_it_was_written() -> None:
    layout = Layout().with_shown([Column.GRADE, Column.COIN, Column.PAID])
    layout = layout.with_width(Column.COIN, 300).with_width(Column.NOTE, 77)
    assert read_layout(layout_text(layout)) == layout
    assert read_layout(layout_text(Layout())) == Layout()


@pytest.mark.parametrize("text", ["", "   ", "NONSENSE:12", "|", "GRADE:x COIN"])
def test_settings_that_make_no_sense_do_no_harm(text: str) -> None:
    layout = read_layout(text)
    assert NEEDED in layout.shown
    assert all(48 <= layout.width(column) <= 900 for column in COLUMNS)


def test_what_a_coin_is_always_shows_and_the_gain_is_no_choice() -> None:
    assert Layout().with_shown([Column.GRADE, Column.GAIN]).shown == (Column.COIN, Column.GRADE)
    assert Column.GAIN not in CHOICES


# ---- the dialog -------------------------------------------------------------------------------


def test_keys_move_and_hide_columns(qtbot: QtBot) -> None:
    dialog = ColumnsDialog(None, Layout())
    qtbot.addWidget(dialog)
    dialog.show()
    columns = dialog.list
    columns.setCurrentRow(2)
    qtbot.keyClick(columns, Key.Key_Up, ALT)
    qtbot.keyClick(columns, Key.Key_Up, ALT)
    assert columns.currentRow() == 0
    columns.setCurrentRow(len(USUAL))
    qtbot.keyClick(columns, Key.Key_Space)
    columns.setCurrentRow(1)
    qtbot.keyClick(columns, Key.Key_Space)
    shown = dialog.chosen.shown
    assert shown[:2] == (Column.GRADE, Column.COIN)
    assert Column.NUMBER not in shown
    assert shown[-1] is Column.QUANTITY
    dialog.reset_button.click()
    assert dialog.chosen == Layout()


def test_what_a_coin_is_cannot_be_unticked(qtbot: QtBot) -> None:
    dialog = ColumnsDialog(None, Layout())
    qtbot.addWidget(dialog)
    dialog.show()
    dialog.list.setCurrentRow(USUAL.index(NEEDED))
    qtbot.keyClick(dialog.list, Key.Key_Space)
    assert NEEDED in dialog.list.chosen()


# ---- the table --------------------------------------------------------------------------------


def test_chosen_columns_show_in_their_order_and_are_kept(
    panel: CoinsWorkspace, qtbot: QtBot, desk: Desk, settings: Settings,
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    wanted = Layout().with_shown([Column.PAID, Column.COIN, Column.WEIGHT])
    monkeypatch.setattr(ColumnsDialog, "ask", lambda _parent, _layout: wanted)
    panel.choose_columns()
    assert panel.table.visible_columns() == [Column.PAID, Column.COIN, Column.WEIGHT]
    again = a_panel(qtbot, desk, settings)
    assert again.table.visible_columns() == [Column.PAID, Column.COIN, Column.WEIGHT]


def test_a_head_dragged_elsewhere_stays_there(
    panel: CoinsWorkspace, qtbot: QtBot, settings: Settings
) -> None:
    head = panel.table.horizontalHeader()
    place = COLUMNS.index(Column.GRADE)
    with qtbot.waitSignal(panel.table.layout_changed, timeout=3000):
        head.moveSection(head.visualIndex(place), 1)
        head.resizeSection(COLUMNS.index(Column.COIN), 321)
    kept = read_layout(settings.coin_columns)
    assert kept.shown[0] is Column.GRADE
    assert kept.width(Column.COIN) == 321


def test_little_room_leaves_out_columns_only_where_none_were_chosen(
    panel: CoinsWorkspace,
) -> None:
    panel.resize(900, 600)
    assert Column.NOTE not in panel.table.visible_columns()
    panel.table.show_layout(Layout().with_shown(CHOICES))
    assert panel.table.visible_columns() == list(CHOICES)


# ---- dragging ---------------------------------------------------------------------------------


def test_dragged_coins_are_their_numbers(panel: CoinsWorkspace) -> None:
    data = panel.model.mimeData([panel.model.index(0, 0), panel.model.index(0, 3),
                                 panel.model.index(2, 1)])  # fmt: skip
    assert bytes(data.data(COINS_MIME).data()) == b"4,2"
    assert coins_in(data) == [4, 2]
    assert panel.model.mimeTypes() == ["application/x-slotleaf-coins"]


def test_only_coins_at_hand_are_dragged(panel: CoinsWorkspace, desk: Desk) -> None:
    from core.app.operations import let_go

    desk.run(let_go([CoinId(1)]))
    choose(panel, 1, 2)
    assert [row.coin.id for row in panel.table.dragged_rows()] == [2]
    draggable = Qt.ItemFlag.ItemIsDragEnabled
    flags = {panel.model.coin_row(n).coin.id: bool(panel.model.index(n, 0).flags() & draggable)
             for n in range(4)}  # fmt: skip
    assert flags == {1: False, 2: True, 3: True, 4: True}
    assert not panel.model.flags(QModelIndex())


def test_a_drag_carries_the_chosen_coins_at_hand(
    panel: CoinsWorkspace, monkeypatch: pytest.MonkeyPatch
) -> None:
    carried: list[list[int]] = []
    monkeypatch.setattr(
        "gui.coins.coin_table.run_drag",
        lambda _source, data, _pixmap: carried.append(coins_in(data)),
    )
    choose(panel, 1, 4)
    panel.table.startDrag(Qt.DropAction.MoveAction)
    panel.table.clearSelection()
    panel.table.startDrag(Qt.DropAction.MoveAction)
    assert carried == [[4, 1]]


def test_the_mouse_drags_a_row_out(
    panel: CoinsWorkspace, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    carried: list[list[int]] = []
    monkeypatch.setattr(
        "gui.coins.coin_table.run_drag",
        lambda _source, data, _pixmap: carried.append(coins_in(data)),
    )
    viewport = panel.table.viewport()
    start = panel.table.visualRect(panel.model.index(2, COLUMNS.index(Column.GRADE))).center()
    qtbot.mousePress(viewport, Qt.MouseButton.LeftButton, pos=start)
    for step in (4, 20, 40):
        to = QPointF(start + QPoint(step, step))
        move = QMouseEvent(
            QEvent.Type.MouseMove, to, viewport.mapToGlobal(to), Qt.MouseButton.NoButton,
            Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier,
        )  # fmt: skip
        QApplication.sendEvent(viewport, move)
    qtbot.mouseRelease(viewport, Qt.MouseButton.LeftButton, pos=start + QPoint(40, 40))
    assert carried == [[2]]


def test_what_hangs_at_the_pointer_names_one_coin_or_how_many(panel: CoinsWorkspace) -> None:
    choose(panel, 1)
    one = drag_pixmap(panel.table.dragged_rows(), panel.table)
    choose(panel, 1, 2)
    two = drag_pixmap(panel.table.dragged_rows(), panel.table)
    assert one.width() > two.width() > 0
