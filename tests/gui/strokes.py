"""Keys and clicks given one by one to whatever has the focus, dialogs and menus too.

Each stroke is given from the event loop, so that it also reaches a dialog or a menu that the stroke
before it opened. Nothing is called behind the window's back.
"""

from collections.abc import Callable, Iterable, Iterator
from time import monotonic

from PySide6.QtCore import QEvent, QEventLoop, QPoint, QPointF, Qt, QTimer
from PySide6.QtGui import QMouseEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QAbstractButton,
    QApplication,
    QListWidget,
    QMenu,
    QScrollArea,
    QWidget,
)

from scenarios.designing import WHEEL, Stroke
from tests.gui.window_material import OpenWindow

MOST_WAIT_S, TURNS = 10.0, 4
_HELD = {
    "Ctrl": Qt.KeyboardModifier.ControlModifier,
    "Shift": Qt.KeyboardModifier.ShiftModifier,
    "Alt": Qt.KeyboardModifier.AltModifier,
}


class Fingers:
    """Gives strokes to a window; `look` is called when each has been taken and shown."""

    def __init__(self, opened: OpenWindow, look: Callable[[Stroke], None] | None = None) -> None:
        self._opened, self._look = opened, look
        self._left: Iterator[Stroke] = iter(())
        self._last: Stroke | None = None
        self._loop: QEventLoop | None = None
        self._failed: Exception | None = None
        self._held: QPoint | None = None
        self._until = 0.0
        self.given = 0

    def give(self, strokes: Iterable[Stroke]) -> None:
        """Give strokes in turn; returns when all are taken and no dialog is open.

        They are asked for one by one, each when the one before it is shown.
        """
        self._left, self._failed, self._last = iter(strokes), None, None
        self._until = monotonic() + MOST_WAIT_S
        self._loop = QEventLoop()
        QTimer.singleShot(0, self._next)
        self._loop.exec()
        self._loop = None
        if self._failed is not None:
            raise self._failed

    def _next(self) -> None:
        if self._loop is None:
            return
        if self._failed is not None:
            self._loop.quit()
            return
        try:
            if self._is_busy():
                assert monotonic() < self._until, f"nothing came of {self._last}"
                QTimer.singleShot(5, self._next)  # one looks at what the last key did first
                return
            self._until = monotonic() + MOST_WAIT_S
            if self._last is not None and self._look is not None:
                for _ in range(TURNS):
                    QApplication.sendPostedEvents()  # what came and went is laid out
                self._look(self._last)
            stroke = self._last = next(self._left, None)
            QTimer.singleShot(0, self._next)
            if stroke is None:
                self._leave_none_open()
                self._left = iter(())
                self._loop.quit()
            else:
                self.given += 1
                self._give(stroke)
        except Exception as error:  # noqa: BLE001 - a slot may not raise; `give` raises it anew
            self._failed = error
            self._leave_none_open()
            QTimer.singleShot(0, self._next)

    def _leave_none_open(self) -> None:
        """A menu or dialog that waits for an answer nobody gives would stop everything."""
        for waiting in (QApplication.activePopupWidget(), QApplication.activeModalWidget()):
            if waiting is not None:
                self._failed = self._failed or AssertionError(f"{waiting} was left open")
                waiting.close()

    def _is_busy(self) -> bool:
        """Whether what the last stroke did is not shown yet, or a dialog has not the keys yet."""
        mode = self._opened.albums.design.mode
        if mode is not None and mode.orders.is_busy:
            return True
        menu = QApplication.activePopupWidget()
        if isinstance(menu, QMenu):
            is_by_mouse = self._last is None or bool(self._last.on)
            return menu.activeAction() is None and not is_by_mouse
        top, holder = QApplication.activeModalWidget(), QApplication.focusWidget()
        if holder is None:
            (top or self._opened.window).activateWindow()  # as a window manager does
        return holder is None or (top is not None and holder.window() is not top)

    def _give(self, stroke: Stroke) -> None:
        if stroke == WHEEL:
            return  # turned as far as what is clicked next asks for
        if stroke.on == "slot":
            self._on_slot(stroke)
        elif stroke.on:
            self._click(stroke)
        elif stroke.is_letter:
            QTest.keyClicks(focused(), stroke.what)
        else:
            press(stroke.what)

    # ---- the mouse ----------------------------------------------------------------------------

    def _on_slot(self, stroke: Stroke) -> None:
        leaf = self._opened.albums.centre.leaf
        rect = leaf.slot_rect(int(self._opened.slot(stroke.what).id))
        inner = leaf.viewport().rect()
        if not inner.contains(rect):
            for bar, by in (
                (leaf.verticalScrollBar(), rect.center().y() - inner.center().y()),
                (leaf.horizontalScrollBar(), rect.center().x() - inner.center().x()),
            ):
                bar.setValue(bar.value() + by)
            rect = leaf.slot_rect(int(self._opened.slot(stroke.what).id))
        port = leaf.viewport()
        if not stroke.is_drag:
            leaf.setFocus(Qt.FocusReason.MouseFocusReason)
            QTest.mouseClick(port, Qt.MouseButton.LeftButton, pos=rect.center())
        elif self._held is None:
            self._held = rect.center()
            send_mouse(port, QEvent.Type.MouseButtonPress, self._held)
            send_mouse(port, QEvent.Type.MouseMove, self._held + QPoint(30, 0))
        else:
            self._held = None
            past = QPoint(rect.right() - 3, rect.center().y())
            send_mouse(port, QEvent.Type.MouseMove, past)
            send_mouse(port, QEvent.Type.MouseButtonRelease, past)

    def _click(self, stroke: Stroke) -> None:
        menu = QApplication.activePopupWidget()
        if isinstance(menu, QMenu):
            action = next(a for a in menu.actions() if a.text().split("\t")[0] == stroke.what)
            QTest.mouseClick(
                menu, Qt.MouseButton.LeftButton, pos=menu.actionGeometry(action).center()
            )
            return
        widget = self._called(stroke.on)
        self._bring_into_sight(widget)
        where = widget.rect().center()
        target = widget
        if isinstance(widget, QListWidget):
            (item,) = widget.findItems(stroke.what, Qt.MatchFlag.MatchExactly)
            where, target = widget.visualItemRect(item).center(), widget.viewport()
        assert not widget.visibleRegion().isEmpty(), f"{stroke.on} cannot be seen"
        widget.setFocus(Qt.FocusReason.MouseFocusReason)
        QTest.mouseClick(target, Qt.MouseButton.LeftButton, pos=where)

    def _called(self, name: str) -> QWidget:
        """The control that is spoken of by a name, in the dialog where one is open."""
        top = QApplication.activeModalWidget() or self._opened.window
        for widget in top.findChildren(QWidget):
            is_control = isinstance(widget, QAbstractButton)  # Tab need not stop at it
            is_control |= widget.focusPolicy() != Qt.FocusPolicy.NoFocus
            if widget.window() is not top or not is_control:
                continue
            said = widget.accessibleName()
            text = widget.text() if isinstance(widget, QAbstractButton) else ""
            if widget.isVisible() and (name in (said, text) or said.startswith(f"{name}: ")):
                return widget
        raise AssertionError(f"nothing is called {name}")

    @staticmethod
    def _bring_into_sight(widget: QWidget) -> None:
        above = widget.parentWidget()
        while above is not None and not isinstance(above, QScrollArea):
            above = above.parentWidget()
        if isinstance(above, QScrollArea):
            above.ensureWidgetVisible(widget)


def focused() -> QWidget:
    """What has the keys."""
    popup = QApplication.activePopupWidget()
    menu = popup if isinstance(popup, QMenu) else None  # what completes a name leaves the keys
    found = menu or QApplication.focusWidget() or QApplication.activeWindow()
    assert found is not None, "nothing has the keys"
    return found


def press(name: str) -> None:
    """Press a key by its name, such as Ctrl+Right, where the focus is."""
    *held, key = name.split("+")
    modifiers = Qt.KeyboardModifier.NoModifier
    for one in held:
        modifiers |= _HELD[one]
    QTest.keyClick(focused(), Qt.Key[f"Key_{key}"], modifiers)


def send_mouse(port: QWidget, kind: QEvent.Type, at: QPoint) -> None:
    """A mouse event of the left button on a widget."""
    left, none = Qt.MouseButton.LeftButton, Qt.MouseButton.NoButton
    button = none if kind == QEvent.Type.MouseMove else left
    held = none if kind == QEvent.Type.MouseButtonRelease else left
    where = QPointF(port.mapToGlobal(at))
    event = QMouseEvent(kind, QPointF(at), where, button, held, Qt.KeyboardModifier.NoModifier)
    QApplication.sendEvent(port, event)
