"""Slots dragged on the leaf while it is designed, with a mark where they would go."""

from collections.abc import Callable

from PySide6.QtCore import QEvent, QObject, QPoint, Qt, QTimer
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QApplication

from gui.leaf.view import EDGE_PX, LeafView

_SELECTING = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier


class SlotDrag(QObject):
    """Watches the mouse over the leaf; `hold` and `let_go` get a viewport point.

    `hold` None: the slots are no longer in hand.
    """

    def __init__(
        self,
        leaf: LeafView,
        take: Callable[[int], bool],
        hold: Callable[[QPoint | None], None],
        let_go: Callable[[QPoint], None],
    ) -> None:
        super().__init__(leaf)
        self._leaf = leaf
        self._take, self._hold, self._let_go = take, hold, let_go
        self._pressed_at: QPoint | None = None
        self._at = QPoint()
        self.is_holding = False
        self._edge_timer = QTimer(self)
        self._edge_timer.setInterval(40)
        self._edge_timer.timeout.connect(self._scroll_at_edge)

    def begin(self) -> None:
        """Watch from now on."""
        self._leaf.viewport().installEventFilter(self)

    def end(self) -> None:
        """Watch no more."""
        self.drop()
        self._leaf.viewport().removeEventFilter(self)

    def drop(self) -> None:
        """Whatever is in hand stays where it is."""
        self._pressed_at = None
        self._edge_timer.stop()
        if self.is_holding:
            self.is_holding = False
            self._leaf.viewport().unsetCursor()
            self._hold(None)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if not isinstance(event, QMouseEvent):
            return False
        point = event.position().toPoint()
        match event.type():
            case QEvent.Type.MouseButtonPress:
                is_plain = not event.modifiers() & _SELECTING
                is_left = event.button() == Qt.MouseButton.LeftButton
                self._pressed_at = point if is_plain and is_left else None
                return False
            case QEvent.Type.MouseMove if event.buttons() == Qt.MouseButton.LeftButton:
                return self._on_moved(point)
            case QEvent.Type.MouseButtonRelease:
                return self._on_released(point)
        return False

    def _on_moved(self, point: QPoint) -> bool:
        pressed = self._pressed_at
        if pressed is None:
            return False
        if not self.is_holding:
            slot = self._leaf.slot_at(pressed)
            if not slot:
                return False  # between slots: the rubber band
            if (point - pressed).manhattanLength() < QApplication.startDragDistance():
                return True
            if not self._take(slot):
                self._pressed_at = None
                return True
            self.is_holding = True
            self._leaf.viewport().setCursor(Qt.CursorShape.ClosedHandCursor)
        self._at = point
        self._hold(point)
        inner = self._leaf.viewport().rect().adjusted(EDGE_PX, EDGE_PX, -EDGE_PX, -EDGE_PX)
        if inner.contains(point):
            self._edge_timer.stop()
        elif not self._edge_timer.isActive():
            self._edge_timer.start()
        return True

    def _on_released(self, point: QPoint) -> bool:
        if not self.is_holding:
            self._pressed_at = None
            return False
        self._edge_timer.stop()
        self.is_holding = False
        self._pressed_at = None
        self._leaf.viewport().unsetCursor()
        self._let_go(point)
        self._hold(None)
        return True

    def _scroll_at_edge(self) -> None:
        size = self._leaf.viewport().size()
        for bar, at, length in (
            (self._leaf.horizontalScrollBar(), self._at.x(), size.width()),
            (self._leaf.verticalScrollBar(), self._at.y(), size.height()),
        ):
            if at < EDGE_PX:
                bar.setValue(bar.value() - bar.singleStep())
            elif at > length - EDGE_PX:
                bar.setValue(bar.value() + bar.singleStep())
        self._hold(self._at)
