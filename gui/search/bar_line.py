"""The look-up line in the bar: what is the coin in hand worth, from anywhere in the program.

The answer drops down below it and changes nothing until Enter puts the coin into the collection.
"""

from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QObject, QPoint, Qt, QTimer, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent
from PySide6.QtWidgets import QApplication, QHBoxLayout, QWidget

from gui.desk import Desk
from gui.search.line import LineField
from gui.settings import Settings
from gui.theme import XS

if TYPE_CHECKING:
    from gui.search.look_up import QuickLook

_CONTROL = Qt.KeyboardModifier.ControlModifier
MOST_PX, LEAST_PX, DROP_PX = 440, 180, 660
PLACEHOLDER = "look up the coin in hand, or an offer: 44-s vf20 @ 12"


class BarLine(LineField):
    """Typing shows the answer; Esc goes back to where the keys were."""

    def __init__(self, parent: QWidget | None) -> None:
        super().__init__(parent, "search")
        self.has_rolls = False
        self.setPlaceholderText(PLACEHOLDER)
        self.setAccessibleName("Look up the coin in hand")
        self.setToolTip("Fills a gap, upgrade, spare, no use (Ctrl+K)")
        self.setMinimumWidth(LEAST_PX)
        self.setMaximumWidth(MOST_PX)
        self.setFocusPolicy(Qt.FocusPolicy.ClickFocus)


class BarLookUp(QObject):
    """Puts the line into the bar; makes the answer's drop when a letter is typed first."""

    told = Signal(str)
    """What Enter put into the collection."""

    def __init__(
        self, desk: Desk, settings: Settings, bar: QHBoxLayout, over: QWidget, place: int
    ) -> None:
        """`over` is what the answer drops over; `place` in the bar."""
        super().__init__(over)
        self._desk, self._settings, self._over = desk, settings, over
        self._back: QWidget | None = None
        self.look: QuickLook | None = None
        self.field = BarLine(bar.parentWidget())
        bar.insertWidget(place, self.field, 4)
        bar.insertStretch(place + 1, 1)
        self.field.textEdited.connect(self._on_typed)
        self.field.installEventFilter(self)
        desk.opened.connect(self.field.clear)
        desk.closed.connect(self.leave)

    def go(self) -> None:
        """Give the line the keys."""
        before = QApplication.focusWidget()
        if before is not self.field:
            self._back = before
        self.field.setFocus(Qt.FocusReason.ShortcutFocusReason)
        self.field.selectAll()
        if self.field.text().strip():
            self._on_typed()

    def leave(self) -> None:
        """Give the keys back to where they were."""
        if self.look is not None:
            self.look.hide()
        if not self.field.hasFocus():
            return
        if self._back is not None and self._back.isVisible():
            self._back.setFocus(Qt.FocusReason.OtherFocusReason)
        else:
            self.field.clearFocus()

    def _on_typed(self) -> None:
        if self.look is None:
            from gui.search.look_up import QuickLook

            self.look = QuickLook(self._desk, self._settings, self.field, self._over)
            self.look.left.connect(self.leave)
            self.look.told.connect(self.told)
            self.look.begin()
        corner = self.field.mapTo(self._over, QPoint(0, self.field.height() + XS))
        wide = min(DROP_PX, self._over.width() - 2 * XS)
        left = max(XS, min(corner.x() + (self.field.width() - wide) // 2,
                           self._over.width() - wide - XS))  # fmt: skip
        self.look.drop_at(QPoint(left, corner.y()), wide)

    def _on_focus_out(self) -> None:
        """A click elsewhere puts the answer away; one into it does not."""
        now = QApplication.focusWidget()
        if self.look is not None and now is not self.field and not self.look.holds(now):
            self.look.hide()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if isinstance(event, QFocusEvent) and event.lostFocus():
            QTimer.singleShot(0, self, self._on_focus_out)
        is_press = event.type() == QEvent.Type.KeyPress
        if is_press and _is_escape(event) and not self.field.is_asking:
            self.field.clear()
            self.leave()
            return True
        if is_press and _is_closer(event) and self.look is not None:
            self.look.look_closer()
            return True
        return False


def _is_closer(event: QEvent) -> bool:
    """Ctrl+Down, as at the sorting table."""
    if not isinstance(event, QKeyEvent) or event.key() != Qt.Key.Key_Down:
        return False
    return event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier == _CONTROL


def _is_escape(event: QEvent) -> bool:
    return isinstance(event, QKeyEvent) and event.key() == Qt.Key.Key_Escape
