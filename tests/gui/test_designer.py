"""Designing the leaf: keys, menus and the mouse, each change one operation that undo takes back."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

from core.app.design import ExtraSlot
from core.app.operations import add_album
from core.model.album import Target, Wish
from core.model.arrangement import (
    Arrangement,
    ArrangementKind,
    Break,
    Lead,
    ShowP,
    map_text,
    parse_arrangement,
    parse_map,
)
from core.model.plan_album import AlbumPlan
from gui import file_choice
from gui.design.add_slot import AddSlotDialog, extra_name, read_extra
from gui.design.label_dialog import LabelDialog
from gui.design.mode import DesignMode
from gui.design.shape_panel import ShapePanel
from gui.leaf.view import LeafView
from gui.text_dialog import TextDialog
from tests.gui.window_material import (
    NICKELS,
    OpenWindow,
    close_window,
    open_window,
    small_collection,
)

Key = Qt.Key
Ctrl, Shift = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.ShiftModifier
RUNNING = parse_arrangement("running:4x3")


class Hands:
    """A window whose leaf is designed, with short ways to press and to look."""

    def __init__(self, opened: OpenWindow) -> None:
        self.opened = opened
        opened.window.activateWindow()
        QTest.qWaitForWindowActive(opened.window)
        self.leaf.setFocus()
        QTest.keyClick(self.leaf, Key.Key_Q)
        assert self.mode.is_on

    @property
    def leaf(self) -> LeafView:
        return self.opened.albums.centre.leaf

    @property
    def mode(self) -> DesignMode:
        mode = self.opened.albums.design.mode
        assert mode is not None
        return mode

    @property
    def panel(self) -> ShapePanel:
        return self.mode.panel

    @property
    def shape(self) -> Arrangement:
        return self.opened.view.album.arrangement

    def take(self, shape: Arrangement) -> None:
        self.mode.reshape(lambda _now: shape)

    def at(self, label: str) -> None:
        self.leaf.go_to_slot(int(self.opened.slot(label).id))

    def press(self, key: Key, held: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
        QTest.keyClick(QApplication.focusWidget() or self.leaf, key, held)

    def rows(self, leaf: int = 0) -> list[str]:
        """Labels row by row, a dash for a spacer."""
        view = self.opened.view
        return [
            " ".join(
                "-" if cell.slot is None else view.slots[cell.slot].slot.label for cell in row.cells
            )
            for row in view.leaves[leaf].rows
        ]

    def lead(self, label: str) -> Lead:
        return self.opened.slot(label).lead

    def selected(self) -> list[str]:
        view = self.opened.view
        names = {int(v.slot.id): v.slot.label for v in view.slots}
        return [names[slot] for slot in self.leaf.selected_slots()]

    def undo(self) -> None:
        self.opened.duties.actions["undo"].trigger()

    def middle(self, label: str) -> QPoint:
        return self.leaf.slot_rect(int(self.opened.slot(label).id)).center()

    def edge(self, label: str, *, is_right: bool) -> QPoint:
        rect = self.leaf.slot_rect(int(self.opened.slot(label).id))
        return QPoint(rect.right() - 3 if is_right else rect.left() + 3, rect.center().y())


@pytest.fixture
def opened(qapp: QApplication, tmp_path: Path) -> Iterator[OpenWindow]:
    window = open_window(qapp, tmp_path, small_collection(tmp_path / "drawer.slotleaf"))
    yield window
    close_window(window)


@pytest.fixture
def hands(opened: OpenWindow) -> Hands:
    found = Hands(opened)
    found.take(RUNNING)
    return found


def test_the_panel_and_the_band_come_and_go(opened: OpenWindow) -> None:
    hands = Hands(opened)
    albums = opened.albums
    assert albums.side.stack.currentWidget() is hands.panel
    assert hands.mode.band.isVisible()
    hands.press(Key.Key_Return)
    assert QApplication.focusWidget() is hands.panel.form
    hands.press(Key.Key_Escape)
    assert QApplication.focusWidget() is hands.leaf
    hands.press(Key.Key_Escape)
    assert not hands.mode.is_on
    assert not hands.mode.band.isVisible()
    assert albums.side.stack.currentWidget() is albums.card
    assert hands.leaf.mode_handler is None


def test_in_a_narrow_window_the_panel_is_a_drawer(opened: OpenWindow) -> None:
    opened.window.resize(1000, 700)
    QApplication.processEvents()
    hands = Hands(opened)
    side, band = opened.albums.side, hands.mode.band
    assert side.is_drawer
    assert not side.isVisible()
    band.shape.click()
    assert side.isVisible()
    assert QApplication.focusWidget() is hands.panel.form
    hands.press(Key.Key_Escape)
    assert not side.isVisible()
    assert QApplication.focusWidget() is hands.leaf
    opened.window.resize(1300, 700)
    QApplication.processEvents()
    assert side.isVisible()
    assert not band.shape.isVisible()
    hands.mode.end()
    assert side.is_drawer


def test_slots_move_by_keys_and_undo_takes_each_back(hands: Hands) -> None:
    before = hands.rows()
    assert before[0] == "1942 1942-D 1942-S 1943-P"
    hands.at("1942-D")
    hands.press(Key.Key_Right, Ctrl)
    assert hands.rows()[0] == "1942 1942-S 1942-D 1943-P"
    assert hands.leaf.current_slot() == int(hands.opened.slot("1942-D").id)
    hands.press(Key.Key_Left, Ctrl)
    hands.press(Key.Key_Left, Ctrl)
    assert hands.rows()[0] == "1942-D 1942 1942-S 1943-P"
    hands.press(Key.Key_Left, Ctrl)  # the edge: nothing, and it says so
    assert "no place further" in hands.mode.band.words.whole_text
    hands.press(Key.Key_Down, Ctrl)
    assert hands.rows()[:2] == ["1942 1942-S 1943-P 1943-D", "1942-D 1943-S 1944-P 1944-D"]
    hands.press(Key.Key_Up, Ctrl)
    for _ in range(5):
        hands.undo()
    assert hands.rows() == before
    assert hands.mode.is_on
    coin = hands.opened.view.by_id[hands.opened.slot("1943-D").id].coin
    assert coin is not None


def test_several_slots_move_together_and_stay_selected(hands: Hands) -> None:
    hands.at("1942")
    hands.press(Key.Key_Right, Shift)
    assert hands.selected() == ["1942", "1942-D"]
    hands.press(Key.Key_Right, Ctrl)
    assert hands.rows()[0] == "1942-S 1942 1942-D 1943-P"
    assert hands.selected() == ["1942", "1942-D"]


def test_order_by_mint_becomes_as_listed_when_a_slot_is_moved(hands: Hands) -> None:
    hands.panel.order.buttons[2].click()
    assert "order=mint" in hands.shape.text
    shown = " ".join(hands.rows()).split()
    hands.at(shown[0])
    hands.press(Key.Key_Right, Ctrl)
    assert "order" not in hands.shape.text
    assert " ".join(hands.rows()).split() == [shown[1], shown[0], *shown[2:]]


def test_a_slot_is_dragged_to_where_the_mark_stands(hands: Hands) -> None:
    port = hands.leaf.viewport()
    start, end = hands.middle("1942"), hands.edge("1942-S", is_right=True)
    _mouse(port, QEvent.Type.MouseButtonPress, start)
    _mouse(port, QEvent.Type.MouseMove, start + QPoint(30, 0))
    _mouse(port, QEvent.Type.MouseMove, end)
    gap = hands.mode.marks.gap
    assert gap is not None
    assert (gap.side, gap.before) == ("right", hands.opened.slot("1943-P").id)
    _mouse(port, QEvent.Type.MouseButtonRelease, end)
    assert hands.rows()[0] == "1942-D 1942-S 1942 1943-P"
    assert hands.mode.marks.gap is None
    hands.undo()
    assert hands.rows()[0] == "1942 1942-D 1942-S 1943-P"


def test_a_drag_takes_all_that_is_selected_along(hands: Hands) -> None:
    port = hands.leaf.viewport()
    hands.at("1943-D")
    hands.press(Key.Key_R, Shift)
    row = hands.selected()
    for kind, at in (
        (QEvent.Type.MouseButtonPress, hands.middle("1943-S")),
        (QEvent.Type.MouseMove, hands.middle("1943-P")),
        (QEvent.Type.MouseMove, hands.edge("1942", is_right=False)),
        (QEvent.Type.MouseButtonRelease, hands.edge("1942", is_right=False)),
    ):
        _mouse(port, kind, at)
    assert hands.rows()[0].split() == row
    assert hands.selected() == row


def test_esc_drops_what_is_dragged(hands: Hands) -> None:
    port, before = hands.leaf.viewport(), hands.rows()
    _mouse(port, QEvent.Type.MouseButtonPress, hands.middle("1942"))
    _mouse(port, QEvent.Type.MouseMove, hands.middle("1943-S"))
    assert hands.mode.drag.is_holding
    hands.press(Key.Key_Escape)
    _mouse(port, QEvent.Type.MouseButtonRelease, hands.middle("1943-S"))
    assert hands.rows() == before
    assert hands.mode.is_on


def test_rows_and_columns_move_in_a_matrix(opened: OpenWindow) -> None:
    hands = Hands(opened)
    heads = [row.head for row in opened.view.leaves[0].rows]
    hands.at("1943-D")
    hands.press(Key.Key_Down, Ctrl)
    now = [row.head for row in opened.view.leaves[0].rows]
    at = heads.index("1943")
    assert now[at : at + 2] == [heads[at + 1], "1943"]
    assert opened.view.leaves[0].heads[:2] == ("P", "D")
    hands.press(Key.Key_Left, Ctrl)
    assert opened.view.leaves[0].heads[:2] == ("D", "P")
    hands.press(Key.Key_Space)
    assert "no place for a spacer" in hands.mode.band.words.whole_text
    hands.undo()
    hands.undo()
    assert [row.head for row in opened.view.leaves[0].rows] == heads


def test_spacers_and_breaks(hands: Hands) -> None:
    hands.at("1942-S")
    hands.press(Key.Key_Space)
    hands.press(Key.Key_Space)
    assert hands.rows()[0] == "1942 1942-D - -"
    assert hands.lead("1942-S") == Lead(2)
    hands.press(Key.Key_Backspace)
    assert hands.rows()[0] == "1942 1942-D - 1942-S"
    hands.press(Key.Key_R)
    assert hands.rows()[0] == "1942 1942-D"
    hands.press(Key.Key_L)
    assert hands.lead("1942-S") == Lead(1, new_leaf=True)
    assert hands.rows(1)[0].endswith("- 1942-S 1943-P 1943-D")
    assert hands.mode.marks.by_cell
    hands.press(Key.Key_L)
    hands.press(Key.Key_Backspace)
    assert hands.lead("1942-S") == Lead()
    assert not hands.mode.marks.by_cell


def test_wishes_and_targets_of_a_selection(hands: Hands, monkeypatch: pytest.MonkeyPatch) -> None:
    def wishes() -> set[Wish]:
        return {v.slot.wish for v in hands.opened.view.slots}

    hands.press(Key.Key_A, Ctrl)
    hands.press(Key.Key_O)
    assert wishes() == {Wish.OPTIONAL}
    hands.press(Key.Key_X)
    assert wishes() == {Wish.SKIPPED}
    hands.press(Key.Key_W)
    assert wishes() == {Wish.WANTED}
    monkeypatch.setattr(TextDialog, "ask", lambda *_args, **_kept: ["xf40"])
    hands.press(Key.Key_T)
    assert {v.slot.target for v in hands.opened.view.slots} == {Target(40)}


def test_slots_alike_are_selected(hands: Hands) -> None:
    hands.at("1943-D")
    hands.press(Key.Key_R, Shift)
    assert hands.selected() == ["1943-D", "1943-S", "1944-P", "1944-D"]
    hands.press(Key.Key_M, Shift)
    assert hands.selected() == ["1942-D", "1943-D", "1944-D", "1945-D"]
    hands.press(Key.Key_L, Shift)
    assert len(hands.selected()) == 12
    hands.press(Key.Key_D, Shift)
    assert len(hands.selected()) == len(hands.opened.view.slots)
    hands.mode.actions["select_design"].trigger()
    assert hands.selected()


def test_a_date_is_jumped_to_and_letters_start_nothing_else(hands: Hands) -> None:
    QTest.keyClicks(hands.leaf, "1944d")
    assert hands.leaf.current_slot() == int(hands.opened.slot("1944-D").id)
    hands.mode._since_digit.invalidate()
    QTest.keyClicks(hands.leaf, "csfpvn")
    assert hands.mode.is_on
    assert hands.leaf.current_slot() == int(hands.opened.slot("1944-D").id)
    assert hands.opened.albums.side.stack.currentWidget() is hands.panel


def test_a_slot_is_added_near_the_current_one(
    hands: Hands, monkeypatch: pytest.MonkeyPatch
) -> None:
    offered: list[str] = []

    def ask(_parent: QWidget, _series: object, _near: str, found: object) -> ExtraSlot:
        assert isinstance(found, tuple)
        offered.extend(words for words, _extra in found)
        return found[0][1]

    monkeypatch.setattr(AddSlotDialog, "ask", ask)
    hands.at("1943-D")
    hands.press(Key.Key_Insert)
    assert offered[0].startswith("another 1943-D")
    assert "any 1943" in offered
    labels = [v.slot.label for v in hands.opened.view.slots]
    assert labels[labels.index("1943-D") + 1] == "1943-D (2)"
    assert hands.leaf.current_slot() == int(hands.opened.slot("1943-D (2)").id)
    hands.undo()
    assert "1943-D (2)" not in [v.slot.label for v in hands.opened.view.slots]


def test_the_dialog_adds_what_is_chosen_or_typed(hands: Hands) -> None:
    view = hands.opened.view
    near = hands.opened.slot("1943-D")
    offers = (("another 1943-D", ExtraSlot(near.accepts)),)
    dialog = AddSlotDialog(hands.opened.window, view.series, "1943-D", offers)
    assert dialog.extra == ExtraSlot(near.accepts)
    dialog.words.setText("1950-D")
    assert dialog.extra is not None
    assert extra_name(dialog.extra, view.series) == "1950-D"
    dialog.words.setText("1950-Q")
    assert dialog.extra is None
    assert dialog.words_field.fault
    assert not dialog.add.isEnabled()
    dialog.words.setText("any 1950")
    dialog.label.setText("the fifties")
    dialog.wish.buttons[1].click()
    assert dialog.extra is not None
    assert (dialog.extra.label, dialog.extra.wish) == ("the fifties", Wish.WANTED)
    dialog.deleteLater()
    assert read_extra("any 1950", view.series).accepts.only("mint") is None


def test_taking_a_slot_out_asks_first_where_a_coin_would_fall_out(hands: Hands) -> None:
    count = len(hands.opened.view.slots)
    hands.at("1943-S")
    hands.press(Key.Key_Delete)  # empty: at once
    assert len(hands.opened.view.slots) == count - 1
    hands.at("1943-D")
    hands.press(Key.Key_Delete)
    band = hands.mode.band
    assert band.is_asking
    assert "1943-D (VG-8)" in band.words.whole_text
    assert len(hands.opened.view.slots) == count - 1
    hands.press(Key.Key_Escape)
    assert not band.is_asking
    assert hands.mode.is_on
    hands.press(Key.Key_Delete)
    hands.press(Key.Key_Return)
    assert len(hands.opened.view.slots) == count - 2
    assert not band.is_asking
    hands.undo()
    slot = hands.opened.slot("1943-D")
    assert hands.opened.view.by_id[slot.id].coin is not None
    assert hands.leaf.current_slot() == int(slot.id)
    hands.undo()
    assert hands.leaf.current_slot() == int(hands.opened.slot("1943-S").id)


def test_a_slot_is_labelled_and_called_as_usual_again(
    hands: Hands, monkeypatch: pytest.MonkeyPatch
) -> None:
    answers = iter(["No mark", ""])
    monkeypatch.setattr(LabelDialog, "ask", lambda *_args: next(answers))
    hands.at("1942")
    hands.press(Key.Key_F2)
    slot = hands.opened.slot("No mark")
    assert slot.has_own_label
    hands.press(Key.Key_F2)
    assert not hands.opened.slot("1942").has_own_label


def test_every_control_of_the_panel_changes_the_shape(hands: Hands) -> None:
    panel = hands.panel
    panel.per_row.field.setValue(5)
    panel.rows.field.setValue(2)
    assert (hands.shape.per_row, hands.shape.rows_per_leaf) == (5, 2)
    panel.blocks.field.setValue(2)
    panel.direction.buttons[1].click()
    panel.leaf_break.choices.actions()[2].trigger()
    panel.row_break.choices.actions()[1].trigger()
    panel.show_p.buttons[2].click()
    panel.wide.buttons[1].click()
    shape = hands.shape
    assert (shape.blocks, shape.is_down, shape.is_wide) == (2, True, True)
    assert (shape.leaf_break, shape.row_break) == (Break.DECADE, Break.DATE)
    assert shape.show_p is ShowP.ALWAYS
    panel.hole.setText("21,5")
    panel.hole_typing.tell_now()
    assert hands.shape.hole_mm == 21.5
    panel.hole.setText("700")
    panel.hole_typing.tell_now()
    assert panel.hole_field.fault
    assert hands.shape.hole_mm == 21.5
    panel.hole.setText("")
    panel.hole_typing.tell_now()
    assert hands.shape.hole_mm is None
    panel.label.buttons["date"].click()
    assert hands.shape.label == "{date}"
    panel.label.field.setText("{dat")
    panel.label.typing.tell_now()
    assert panel.label.fault
    assert hands.shape.label == "{date}"
    panel.form.setCurrentRow(0)
    assert hands.shape.kind is ArrangementKind.YEARS_BY_MINTS
    assert not panel.per_row.isVisibleTo(panel)
    panel.closed.buttons[1].click()
    assert hands.shape.is_closed
    panel.mints.chips[0].setFocus()
    QTest.keyClick(panel.mints.chips[0], Key.Key_Right)
    assert hands.shape.mints[:2] == ("D", "P")
    assert panel.mints.chips[1].mint == "P"


def test_the_panel_follows_undo(hands: Hands) -> None:
    hands.panel.per_row.field.setValue(7)
    hands.undo()
    assert hands.panel.per_row.field.value() == 4
    hands.undo()
    assert hands.panel.form.currentRow() == 0


def test_a_row_map_is_typed_edited_on_the_leaf_and_its_misfit_told(hands: Hands) -> None:
    panel = hands.panel
    panel.form.setCurrentRow(6)
    assert map_text(hands.shape.row_map).startswith("4 4 4")
    count = len(hands.opened.view.slots)
    panel.map_field.field.setPlainText("4 2_2\n3")
    panel.map_field.typing.tell_now()
    assert hands.shape.row_map == parse_map("4 2_2 / 3")
    assert hands.rows()[1] == "1943-D 1943-S - 1944-P 1944-D"
    over = count - 11
    assert panel.map_field.fault.startswith(f"{over} slot")
    panel.map_field.field.setPlainText("4 x")
    panel.map_field.typing.tell_now()
    assert "row 2" in panel.map_field.fault
    assert hands.shape.row_map == parse_map("4 2_2 / 3")
    hands.at("1942-D")
    hands.press(Key.Key_Space)
    assert map_text(hands.shape.row_map) == "1_3 2_2 / 3"
    hands.press(Key.Key_Backspace)
    hands.press(Key.Key_R)
    assert map_text(hands.shape.row_map) == "1 3 2_2 / 3"
    hands.press(Key.Key_L)
    assert map_text(hands.shape.row_map) == "1 / 3 2_2 / 3"
    hands.undo()
    hands.press(Key.Key_R)
    assert map_text(hands.shape.row_map) == "4 2_2 / 3"
    panel.map_field.field.setPlainText(f"{count}*2")
    panel.map_field.typing.tell_now()
    assert panel.map_field.fault.startswith(f"{count} holes")


def test_dates_only_names_the_coins_that_fall_out_first(hands: Hands) -> None:
    panel = hands.panel
    count = len(hands.opened.view.slots)
    panel.form.setCurrentRow(5)
    band = hands.mode.band
    assert band.is_asking
    assert "1943-D" in band.words.whole_text
    assert len(hands.opened.view.slots) == count
    assert panel.form.currentRow() == 1
    hands.leaf.setFocus()
    hands.press(Key.Key_Escape)
    assert panel.form.currentRow() == 1  # not taken, not shown
    panel.form.setCurrentRow(5)
    hands.leaf.setFocus()
    hands.press(Key.Key_Return)
    assert hands.shape.kind is ArrangementKind.DATES_ONLY
    assert len(hands.opened.view.slots) < count
    hands.undo()
    assert len(hands.opened.view.slots) == count


def test_a_kept_arrangement_is_used_for_another_album(
    hands: Hands, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(TextDialog, "ask", lambda *_args, **_kept: ["Four by three"])
    kept, name = hands.panel.kept, hands.opened.view.album.name
    height = kept.sizeHint().height()
    kept.keep.click()
    assert kept.sizeHint().height() == height  # nothing moves under the pointer
    assert [a.text().split("\t")[0] for a in kept.use.choices.actions()] == ["Four by three"]
    path = tmp_path / "shape.arrangement.toml"
    monkeypatch.setattr(file_choice, "choose_new_file", lambda *_args: path)
    kept.export.click()
    assert "slots_per_row = 4" in path.read_text("utf-8")
    albums = hands.opened.albums
    other = albums.shelf.model.albums[1].id
    albums.open_album(other)
    assert not hands.mode.is_on
    hands = Hands(hands.opened)
    assert hands.shape.kind is ArrangementKind.YEARS_BY_MINTS
    hands.panel.kept.use.choices.actions()[0].trigger()
    assert hands.shape.text == "running:4x3"
    hands.undo()
    monkeypatch.setattr(file_choice, "choose_file", lambda *_args: path)
    told: list[str] = []
    hands.opened.albums.design.said.connect(told.append)
    hands.panel.kept.import_.click()
    assert told == [f"Kept as {name}; Use gives it to the album."]
    assert hands.shape.kind is ArrangementKind.YEARS_BY_MINTS
    hands.panel.kept.use.choices.actions()[-1].trigger()
    assert hands.shape.text == "running:4x3"
    forget = hands.panel.kept.forget
    while actions := forget.choices.actions():
        actions[0].trigger()
    assert not forget.isEnabled()


def test_the_past_and_files_only_looked_at_refuse_it(opened: OpenWindow) -> None:
    told: list[str] = []
    opened.desk.failed.connect(told.append)
    opened.desk.look_back("The album is shown as of a past day.")
    opened.albums.design.toggle()
    assert not opened.albums.design.is_on
    assert "past day" in told[0]
    opened.desk.look_back("")
    opened.albums.design.toggle()
    assert opened.albums.design.is_on
    opened.desk.look_back("The album is shown as of a past day.")
    assert not opened.albums.design.is_on
    opened.desk.look_back("")


def _mouse(port: QWidget, kind: QEvent.Type, at: QPoint) -> None:
    left, none = Qt.MouseButton.LeftButton, Qt.MouseButton.NoButton
    button = none if kind == QEvent.Type.MouseMove else left
    held = none if kind == QEvent.Type.MouseButtonRelease else left
    where = QPointF(port.mapToGlobal(at))
    event = QMouseEvent(kind, QPointF(at), where, button, held, Qt.KeyboardModifier.NoModifier)
    QApplication.sendEvent(port, event)


def test_a_leaf_break_of_a_matrix_is_of_its_row(opened: OpenWindow) -> None:
    hands = Hands(opened)
    hands.at("1944-P")
    hands.press(Key.Key_L)
    assert [len(leaf.rows) for leaf in opened.view.leaves] == [2, 2]
    hands.at("1944-D")
    hands.press(Key.Key_L)
    assert len(opened.view.leaves) == 1
    assert hands.lead("1944-D") == hands.lead("1944-P") == Lead()


def test_letters_in_the_panel_start_no_command_of_the_album(opened: OpenWindow) -> None:
    hands = Hands(opened)
    hands.press(Key.Key_Return)
    QTest.keyClicks(hands.panel.form, "sf")
    assert hands.mode.is_on
    assert opened.albums.side.stack.currentWidget() is hands.panel
    hands.mode.band.done.setFocus()
    QTest.keyClicks(hands.mode.band.done, "s")
    assert hands.mode.is_on
    QTest.keyClick(hands.panel.form, Key.Key_Q)
    assert not hands.mode.is_on


def test_what_was_just_typed_stands_when_the_mode_is_left(hands: Hands) -> None:
    hands.panel.hole.setText("20")
    hands.mode.end()
    assert hands.shape.hole_mm == 20


def test_a_map_just_typed_stands_when_the_keys_go_back_to_the_leaf(hands: Hands) -> None:
    hands.panel.form.setCurrentRow(6)
    field = hands.panel.map_field.field
    field.setFocus()
    field.setPlainText("4 2_2")
    QTest.keyClick(field, Key.Key_Escape)
    assert QApplication.focusWidget() is hands.leaf
    assert hands.shape.text == "map:4 2_2"


def test_in_blocks_a_slot_stays_with_its_decade(opened: OpenWindow) -> None:
    shape = parse_arrangement("by-decade:6x5")
    plan = AlbumPlan(years=(1938, 1941))
    opened.desk.run(add_album("Two decades", NICKELS, plan, shape))
    hands = Hands(opened)
    before = hands.rows()
    assert before[0] == "1938 1938-D 1938-S 1939 1939-D 1939-S"
    hands.at("1939-S")
    hands.press(Key.Key_Right, Ctrl)
    assert "stays with its block" in hands.mode.band.words.whole_text
    assert hands.rows() == before
    hands.press(Key.Key_Left, Ctrl)
    assert hands.rows()[0] == "1938 1938-D 1938-S 1939 1939-S 1939-D"


def test_in_a_matrix_of_blocks_side_by_side_only_the_own_row_moves(opened: OpenWindow) -> None:
    hands = Hands(opened)
    hands.take(parse_arrangement("years-by-mints:2; blocks=2"))
    assert [row.head for row in opened.view.leaves[0].rows] == ["1942", "1943"]
    hands.at("1942-D")
    hands.press(Key.Key_Down, Ctrl)
    order = list(dict.fromkeys(v.slot.label[:4] for v in opened.view.slots))
    assert order == ["1943", "1942", "1944", "1945"]
    port = hands.leaf.viewport()
    rect = hands.leaf.slot_rect(int(opened.slot("1944-P").id))
    below = QPoint(rect.center().x(), rect.bottom() - 3)
    for kind, at in (
        (QEvent.Type.MouseButtonPress, hands.middle("1942-D")),
        (QEvent.Type.MouseMove, hands.middle("1943-D")),
        (QEvent.Type.MouseMove, below),
        (QEvent.Type.MouseButtonRelease, below),
    ):
        _mouse(port, kind, at)
    order = list(dict.fromkeys(v.slot.label[:4] for v in opened.view.slots))
    assert order == ["1943", "1944", "1942", "1945"]


def test_spacers_are_marked_where_they_stand(hands: Hands) -> None:
    hands.take(parse_arrangement("running:4x3; down"))
    hands.at("1942-S")
    hands.press(Key.Key_Space)
    plan = hands.opened.view.plan
    places = {plan.where(cell) for cell, mark in hands.mode.marks.by_cell.items() if mark}
    row, column = plan.where(plan.cell_of_slot(int(hands.opened.slot("1942-S").id)))
    assert (row, column) == (0, 1)
    assert places == {(2, 0)}
