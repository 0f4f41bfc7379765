"""The album on screen: a table to screen readers, a picture of tiles to the eye."""

from collections.abc import Callable, Iterable, Mapping

from PySide6.QtCore import (
    QElapsedTimer,
    QItemSelection,
    QItemSelectionModel,
    QItemSelectionRange,
    QModelIndex,
    QPoint,
    QRect,
    Qt,
    QTimer,
    Signal,
)
from PySide6.QtGui import (
    QAccessible,
    QAccessibleAnnouncementEvent,
    QContextMenuEvent,
    QDragEnterEvent,
    QDragLeaveEvent,
    QDragMoveEvent,
    QDropEvent,
    QFocusEvent,
    QKeyEvent,
    QMouseEvent,
    QRegion,
)
from PySide6.QtWidgets import QAbstractItemView, QApplication, QWidget

from core.arrange.plan import NO_CELL, LeafPlan
from core.glyph.palette import Palette
from gui.leaf.leaf_band import Band, runs_of, selection_in
from gui.leaf.leaf_canvas import AnyIndex, LeafCanvas
from gui.leaf.leaf_cells import DrawnCells, Proposal
from gui.leaf.leaf_drag import DropHandler
from gui.leaf.leaf_moves import Step
from gui.leaf.leaf_port import PlainKeys
from gui.leaf.paint import FrameMarks

EDGE_PX = 16
FEW_CELLS = 64
MANY_CHANGED = 400

ModeHandler = Callable[[QKeyEvent], bool]

# Looking up a member of a Qt enum costs about a microsecond, so hot overrides use these.
_CTRL, _SHIFT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.ShiftModifier
_LEFT_BUTTON = Qt.MouseButton.LeftButton
_ENTER = frozenset({Qt.Key.Key_Return, Qt.Key.Key_Enter})
MODIFIERS = frozenset(
    {Qt.Key.Key_Shift, Qt.Key.Key_Control, Qt.Key.Key_Alt, Qt.Key.Key_Meta, Qt.Key.Key_AltGr}
)
_CLEAR = QItemSelectionModel.SelectionFlag.Clear
_REPLACE = QItemSelectionModel.SelectionFlag.ClearAndSelect
_Action = QAbstractItemView.CursorAction
_STEPS = {
    _Action.MoveLeft: Step.LEFT,
    _Action.MovePrevious: Step.LEFT,
    _Action.MoveRight: Step.RIGHT,
    _Action.MoveNext: Step.RIGHT,
    _Action.MoveUp: Step.UP,
    _Action.MovePageUp: Step.UP,
    _Action.MoveDown: Step.DOWN,
    _Action.MovePageDown: Step.DOWN,
}
_PAGES = frozenset({_Action.MovePageUp, _Action.MovePageDown})


class LeafView(LeafCanvas):
    """Shows a `LeafPlan`. Slots go in and out by their ids; 0 stands for no slot."""

    slot_activated = Signal(int)
    """Enter or a double click on a slot."""
    slot_clicked = Signal(int)
    """A click on a slot while a mode handler is set."""
    escaped = Signal()
    """Esc, where nothing here was to be ended."""
    current_slot_changed = Signal(int)
    selection_slots_changed = Signal(list)
    context_menu_requested = Signal(int, QPoint)
    """Slot and global position."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._band: Band | None = None
        self._pointer = QPoint()
        self._pressed_cell, self._pressed_at = NO_CELL, QPoint()
        self._mode_handler: ModeHandler | None = None
        self._plain_keys = PlainKeys(self)
        self._drops: DropHandler | None = None
        self._is_held_over = False
        self._told_slot = 0
        self._typed, self._typing = "", QElapsedTimer()
        self._edge_timer = QTimer(self)
        self._edge_timer.setInterval(40)
        self._edge_timer.timeout.connect(self._scroll_at_edge)
        self._port.left.connect(lambda: self._set_hover(NO_CELL))
        self.setModel(self._model)

    # --- what is shown

    def show_plan(self, plan: LeafPlan, palette: Palette, keep_position: bool = True) -> None:
        """Replace the album; filter, preview and selection end.

        With `keep_position` the current slot stays current, where the new plan has it, and the
        view stays where it was; else the first cell is current and the view goes to the top.
        """
        slot, offsets = self.current_slot(), self._bar_values()
        had_selection = self._marks.count > 0
        self._end_band()
        self._plan, self._colours = plan, palette
        self._cells = DrawnCells(plan)
        self._marks = FrameMarks(selected=bytearray(plan.cells))
        self._painter = self._walk = None
        self._pressed_cell = NO_CELL
        self.setAccessibleName(plan.name or "Album")
        self._is_resetting = True
        try:
            self._model.set_plan(plan)
        finally:
            self._is_resetting = False
        self._lay_out()
        kept = plan.cell_of_slot(slot) if keep_position else NO_CELL
        self._set_bar_values(offsets if keep_position else (0, 0))
        # A table without a current cell crashes some screen readers: set it at once.
        self._go_to(kept if kept >= 0 else plan.first_drawn(), is_scrolling=kept < 0)
        self._tell_current()
        if had_selection and not self._marks.count:
            self.selection_slots_changed.emit([])

    def set_palette_colours(self, palette: Palette) -> None:
        """Draw in other colours from now on."""
        if palette != self._colours:
            self._colours = palette
            self._lay_out()

    def update_slots(self, slot_ids: Iterable[int]) -> None:
        """The plan holds something new for these slots: repaint them and tell screen readers."""
        cells = [cell for slot in slot_ids if (cell := self._plan.cell_of_slot(slot)) >= 0]
        if not cells:
            return
        self._cells.refresh(cells)
        if len(cells) > MANY_CHANGED:  # to find each place would take longer than to paint all
            self._redraw()
        else:
            for cell in cells:
                if self._painter is not None:
                    self._painter.forget(cell)
                self.viewport().update(self._cell_rect(cell).adjusted(-1, -1, 1, 1))
        self._model.tell_changed(min(cells), max(cells))
        one = len(cells) == 1
        self.announce(self._model.sentence(cells[0]) if one else f"{len(cells)} slots changed")

    def set_shown(self, shown: bytes | None) -> None:
        """Draw only some cells in full: one byte a cell, 0 for those to hint at; None for all.

        Raises ValueError where the length is not that of the plan.
        """
        self._cells.set_shown(shown)
        self._redraw()

    def set_preview(self, changes: Mapping[int, Proposal]) -> None:
        """Draw cells as they would be, each in a ring: cell to (code, first line, second line)."""
        self._cells.set_proposals(changes)
        self._model.set_proposals(self._cells.proposals)
        self._redraw()

    def clear_preview(self) -> None:
        """Draw what is."""
        self.set_preview({})

    def announce(self, text: str) -> None:
        """Have a screen reader say something."""
        QAccessible.updateAccessibility(QAccessibleAnnouncementEvent(self, text))

    def set_mode_handler(self, handler: ModeHandler | None) -> None:
        """A handler that gets each key first and returns whether it has used it; None ends that.

        Plain keys then come here before any menu.
        """
        self._mode_handler = handler
        self.removeEventFilter(self._plain_keys)
        if handler is not None:
            self.installEventFilter(self._plain_keys)

    @property
    def mode_handler(self) -> ModeHandler | None:
        """The handler that gets each key first, where there is one."""
        return self._mode_handler

    def set_drop_handler(self, handler: DropHandler) -> None:
        """From now on coins may be dragged from slots and put down on them, as the handler says."""
        self._drops = handler
        self.setAcceptDrops(True)
        self.viewport().setAcceptDrops(True)

    def show_drop(self, slot_id: int, kind: str) -> None:
        """Ring the slot that a coin is held over: drop, swap or refuse; no slot for 0 or ""."""
        cell = self._plan.cell_of_slot(slot_id) if kind else NO_CELL
        before = self._marks.drop, self._marks.drop_kind
        self._marks.drop, self._marks.drop_kind = cell, kind or "drop"
        if before != (cell, self._marks.drop_kind):
            self._repaint_cells(before[0], cell)

    def show_lifted(self, slot_id: int) -> None:
        """Mark the slot that the coin in hand comes from; 0 for none."""
        cell = self._plan.cell_of_slot(slot_id) if slot_id else NO_CELL
        before, self._marks.lifted = self._marks.lifted, cell
        if before != cell:
            self._repaint_cells(before, cell)

    def _repaint_cells(self, *cells: int) -> None:
        for cell in cells:
            if cell >= 0:
                self.viewport().update(self._cell_rect(cell).adjusted(-1, -1, 1, 1))

    def _redraw(self) -> None:
        if self._painter is not None:
            self._painter.forget_all()
            self._painter.cells = self._cells
        self.viewport().update()

    # --- slots in and out

    def current_slot(self) -> int:
        """The slot the keys act on, 0 for none."""
        return self._slot_of(self.current_cell())

    def selected_slots(self) -> list[int]:
        """The selected slots in reading order."""
        slots = []
        cell = self._marks.selected.find(1)
        while cell >= 0:
            if self._plan.is_slot(cell) and self._plan.slot_ids[cell]:
                slots.append(self._plan.slot_ids[cell])
            cell = self._marks.selected.find(1, cell + 1)
        return slots

    def go_to_slot(self, slot_id: int) -> bool:
        """Make a slot current and bring it into view; False where the album has no such slot."""
        cell = self._plan.cell_of_slot(slot_id)
        self._go_to(cell)
        return cell >= 0

    def select_slots(self, slot_ids: Iterable[int]) -> None:
        """Select these slots and no others; the current slot stays."""
        selection = QItemSelection()
        cells = sorted(c for slot in slot_ids if (c := self._plan.cell_of_slot(slot)) >= 0)
        for cell, end in runs_of(cells, self._plan):
            first, last = self._model.index_of(cell), self._model.index_of(end)
            selection.append(QItemSelectionRange(first, last))
        self.selectionModel().select(selection, _REPLACE)

    def cell_towards(self, cell: int, step: Step) -> int:
        """The cell that an arrow key would go to from a cell; the same one at the edge."""
        if self._walk is None:
            return cell
        reached = self._walk.step(cell, step)
        self._walk.forget_goal()
        return reached

    def slot_at(self, point: QPoint) -> int:
        """The slot at a viewport point, 0 for none."""
        return self._slot_of(self._cell_at(point))

    def slot_rect(self, slot_id: int) -> QRect:
        """Where a slot shows in the viewport, empty where the album has no such slot."""
        return self._cell_rect(self._plan.cell_of_slot(slot_id))

    def _slot_of(self, cell: int) -> int:
        return self._plan.slot_ids[cell] if cell >= 0 else 0

    def _go_to(self, cell: int, *, is_scrolling: bool = True) -> None:
        if cell < 0:
            return
        if self._walk is not None:
            self._walk.forget_goal()
        index = self._model.index_of(cell)
        command = _REPLACE if self._plan.is_slot(cell) else _CLEAR
        had_scroll = self.hasAutoScroll()
        self.setAutoScroll(had_scroll and is_scrolling)
        self.selectionModel().setCurrentIndex(index, command)
        self.setAutoScroll(had_scroll)

    def _tell_current(self) -> None:
        slot = self.current_slot()
        if slot != self._told_slot:
            self._told_slot = slot
            self.current_slot_changed.emit(slot)

    # --- selection

    def setSelection(self, rect: QRect, command: QItemSelectionModel.SelectionFlag) -> None:
        if self._painter is None:
            return
        rect = rect.normalized()
        corners = (*self._device(rect.topLeft()), *self._device(rect.bottomRight()))
        selection = selection_in(self._model, self._painter.flow, corners)
        self.selectionModel().select(selection, command)

    def selectAll(self) -> None:
        if self._painter is None:
            return
        flow = self._painter.flow
        selection = selection_in(self._model, flow, (0, 0, flow.width, flow.height))
        self.selectionModel().select(selection, _REPLACE)

    def selectionChanged(self, selected: QItemSelection, deselected: QItemSelection) -> None:
        # The painter reads this mask and never asks the selection model.
        if len(self._marks.selected) == self._plan.cells:
            self._mark_ranges(deselected, 0)
            self._mark_ranges(selected, 1)
            self._marks.count = self._marks.selected.count(1)
        super().selectionChanged(selected, deselected)  # repaints by visualRegionForSelection
        self.selection_slots_changed.emit(self.selected_slots())

    def _mark_ranges(self, ranges: QItemSelection, value: int) -> None:
        first, mask = self._plan.row_first, self._marks.selected
        for part in ranges.toList():
            for row in range(part.top(), min(part.bottom() + 1, self._plan.rows)):
                start = first[row] + part.left()
                end = min(first[row] + part.right() + 1, first[row + 1])
                if start < end:
                    mask[start:end] = bytes((value,)) * (end - start)

    def visualRegionForSelection(self, selection: QItemSelection) -> QRegion:
        # Not the base, which reads header positions.
        ranges = selection.toList()
        if sum(part.width() * part.height() for part in ranges) > FEW_CELLS:
            return QRegion(self.viewport().rect())
        region = QRegion()
        for index in selection.indexes():
            region = region.united(self.visualRect(index))
        return region

    def currentChanged(self, current: AnyIndex, previous: AnyIndex) -> None:
        super().currentChanged(current, previous)
        self._marks.focus = self._model.cell(current) if self.hasFocus() else NO_CELL
        for index in (current, previous):
            if index.isValid():
                self.viewport().update(self.visualRect(index).adjusted(-1, -1, 1, 1))
        if not self._is_resetting:
            self._tell_current()

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self._marks.focus = self.current_cell()
        self.viewport().update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self._marks.focus = NO_CELL
        self.viewport().update()

    # --- keys

    def moveCursor(
        self, action: QAbstractItemView.CursorAction, modifiers: Qt.KeyboardModifier
    ) -> QModelIndex:
        walk = self._walk
        cell = self.current_cell()
        if cell < 0:
            cell = self._plan.first_drawn()
        if walk is None or cell < 0:
            return QModelIndex()
        if action in {_Action.MoveHome, _Action.MoveEnd}:
            is_last = action is _Action.MoveEnd
            if modifiers & _CTRL:
                return self._model.index_of(walk.album_end(is_last=is_last))
            return self._model.index_of(walk.row_end(cell, is_last=is_last))
        least = self._page_px() if action in _PAGES else 0
        return self._model.index_of(walk.step(cell, _STEPS[action], least))

    def _page_px(self) -> int:
        """A page is as far as the view, less two rows; device pixels."""
        if self._painter is None:
            return 0
        page = round(self.viewport().height() * self._ratio())
        return max(0, page - 2 * self._painter.scale.cell_h)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if not event.text().strip() and event.key() not in MODIFIERS:
            self._typed = ""  # another key ends the date
        if self._mode_handler is not None and self._mode_handler(event):
            event.accept()
            return
        if event.key() == Qt.Key.Key_Escape and self._band is not None:
            self._end_band()
        elif event.key() == Qt.Key.Key_Escape:
            self.escaped.emit()
        elif event.modifiers() & _CTRL and self._press_with_ctrl(event):
            event.accept()
        elif event.key() in _ENTER:
            self._activate(self.current_cell())
        else:
            super().keyPressEvent(event)

    def _press_with_ctrl(self, event: QKeyEvent) -> bool:
        """Zoom keys, and the ends of the album (the base would ask the model cell by cell)."""
        match event.key():
            case Qt.Key.Key_Plus | Qt.Key.Key_Equal:
                self.zoom_by(1.2)
            case Qt.Key.Key_Minus:
                self.zoom_by(1 / 1.2)
            case Qt.Key.Key_0:
                self.set_zoom(1.0)
            case Qt.Key.Key_9:
                self.fit_album()
            case Qt.Key.Key_Home | Qt.Key.Key_End if self._walk and not event.modifiers() & _SHIFT:
                self._go_to(self._walk.album_end(is_last=event.key() == Qt.Key.Key_End))
            case _:
                return False
        return True

    def keyboardSearch(self, search: str) -> None:
        """Typing a date jumps; keys that follow soon lengthen it."""
        if not search.strip():
            return
        is_late = not self._typing.isValid()
        if is_late or self._typing.restart() > QApplication.keyboardInputInterval():
            self._typed = ""
        if is_late:
            self._typing.start()
        self._typed += search
        self._go_to(self._plan.find_date(self._typed))

    def _activate(self, cell: int) -> None:
        if (slot := self._slot_of(cell)) and self._plan.is_slot(cell):
            self.slot_activated.emit(slot)

    # --- mouse

    def mousePressEvent(self, event: QMouseEvent) -> None:
        point = event.position().toPoint()
        self._pressed_cell, self._pressed_at = self._cell_at(point), point
        if self._walk is not None:
            self._walk.forget_goal()
        if event.button() == _LEFT_BUTTON and self._pressed_cell < 0 and self._painter:
            self._begin_band(point, event.modifiers())
        else:
            super().mousePressEvent(event)

    def _begin_band(self, point: QPoint, modifiers: Qt.KeyboardModifier) -> None:
        if not modifiers & (_CTRL | _SHIFT):
            self.clearSelection()
        kept = QItemSelection(self.selectionModel().selection()) if modifiers & _CTRL else None
        at = self._device(point)
        self._band = Band(*at, *at, kept)
        self.setFocus(Qt.FocusReason.MouseFocusReason)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        point = event.position().toPoint()
        if self._band is not None:
            self._stretch_band(point)
            return
        if not event.buttons():
            self._set_hover(self._cell_at(point))
        elif self._begins_to_carry(event):
            return
        super().mouseMoveEvent(event)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if self._band is not None:
            self._end_band()
            return
        super().mouseReleaseEvent(event)
        cell, pressed = self._cell_at(event.position().toPoint()), self._pressed_cell
        self._pressed_cell = NO_CELL
        is_click = event.button() == _LEFT_BUTTON and cell >= 0 and cell == pressed
        if is_click and self._mode_handler is not None and (slot := self._slot_of(cell)):
            self.slot_clicked.emit(slot)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        super().mouseDoubleClickEvent(event)
        if event.button() == _LEFT_BUTTON and self._mode_handler is None:
            self._activate(self._cell_at(event.position().toPoint()))

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        if event.reason() is QContextMenuEvent.Reason.Keyboard:
            cell = self.current_cell()
            where = self.viewport().mapToGlobal(self._cell_rect(cell).center())
        else:
            cell, where = self._cell_at(event.pos()), event.globalPos()
        if slot := self._slot_of(cell):
            self.context_menu_requested.emit(slot, where)
        event.accept()

    # --- a coin in hand

    def _begins_to_carry(self, event: QMouseEvent) -> bool:
        """Whether this move drags the pressed slot's coin, or may soon do so."""
        drops, slot = self._drops, self._slot_of(self._pressed_cell)
        is_plain = event.buttons() == _LEFT_BUTTON and not event.modifiers() & (_CTRL | _SHIFT)
        if drops is None or not slot or not is_plain or self._mode_handler is not None:
            return False
        if not drops.can_carry(slot):
            return False
        moved = (event.position().toPoint() - self._pressed_at).manhattanLength()
        if moved >= QApplication.startDragDistance():
            self._pressed_cell = NO_CELL
            self._set_hover(NO_CELL)
            drops.carry(slot)
        return True

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        self._is_held_over = self._drops is not None and self._drops.enter(event.mimeData())
        event.setAccepted(self._is_held_over)

    def dragMoveEvent(self, event: QDragMoveEvent) -> None:
        self._pointer = event.position().toPoint()
        event.setAccepted(self._hold_over(self._pointer))
        self._watch_edges(self._pointer)

    def dragLeaveEvent(self, event: QDragLeaveEvent) -> None:
        self._end_holding()
        event.accept()

    def dropEvent(self, event: QDropEvent) -> None:
        slot = self._slot_of(self._cell_at(event.position().toPoint()))
        is_done = self._drops is not None and self._drops.put_down(slot)
        self._end_holding()
        event.setAccepted(is_done)

    def _hold_over(self, point: QPoint) -> bool:
        if self._drops is None or not self._is_held_over:
            return False
        slot = self._slot_of(self._cell_at(point))
        kind = self._drops.over(slot, point)
        self.show_drop(slot, kind)
        return kind in {"drop", "swap"}

    def _end_holding(self) -> None:
        self._edge_timer.stop()
        self._is_held_over = False
        self.show_drop(0, "")
        if self._drops is not None:
            self._drops.leave()

    def _watch_edges(self, point: QPoint) -> None:
        """Near an edge the album scrolls."""
        inner = self.viewport().rect().adjusted(EDGE_PX, EDGE_PX, -EDGE_PX, -EDGE_PX)
        if inner.contains(point):
            self._edge_timer.stop()
        elif not self._edge_timer.isActive():
            self._edge_timer.start()

    def _stretch_band(self, point: QPoint) -> None:
        band = self._band
        if band is None or self._painter is None:
            return
        before = self._logical(band.box)
        band.to_x, band.to_y = self._device(point)
        self._marks.band = band.box
        self._pointer = point
        self.selectionModel().select(band.selection(self._model, self._painter.flow), _REPLACE)
        touched = before.united(self._logical(band.box))
        self.viewport().update(touched.adjusted(-2, -2, 2, 2))
        self._watch_edges(point)

    def _end_band(self) -> None:
        self._edge_timer.stop()
        if self._band is None:
            return
        touched = self._logical(self._band.box)
        self._band = self._marks.band = None
        self.viewport().update(touched.adjusted(-2, -2, 2, 2))

    def _scroll_at_edge(self) -> None:
        point, size = self._pointer, self.viewport().size()
        sides = (
            (self.horizontalScrollBar(), point.x(), size.width()),
            (self.verticalScrollBar(), point.y(), size.height()),
        )
        for bar, at, length in sides:
            if at < EDGE_PX:
                bar.setValue(bar.value() - bar.singleStep())
            elif at > length - EDGE_PX:
                bar.setValue(bar.value() + bar.singleStep())
        self._stretch_band(point)
        self._hold_over(point)

    def _set_hover(self, cell: int) -> None:
        before = self._marks.hover
        if cell == before:
            return
        self._marks.hover = cell
        for changed in (before, cell):
            if changed >= 0:
                self.viewport().update(self._cell_rect(changed))

    def _hover_anew(self) -> None:
        self._set_hover(self._cell_at(self.viewport().mapFromGlobal(self.cursor().pos())))
