"""Two watchers that cost a frame nothing: for the pointer that leaves, and for keys of a mode.

Overrides of `event` and `viewportEvent` would run Python code for every paint of every step.
"""

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QWidget

_SHORTCUT_OVERRIDE = QEvent.Type.ShortcutOverride
_COMMANDS = (
    Qt.KeyboardModifier.ControlModifier
    | Qt.KeyboardModifier.AltModifier
    | Qt.KeyboardModifier.MetaModifier
)


class LeafPort(QWidget):
    """The viewport of the leaf view; tells when the pointer leaves it."""

    left = Signal()

    def leaveEvent(self, event: QEvent) -> None:
        super().leaveEvent(event)
        self.left.emit()


_OF_THE_WINDOW = frozenset({Qt.Key.Key_F1, Qt.Key.Key_F10})


class PlainKeys(QObject):
    """While it filters a widget's events, plain keys come to the widget before any menu.

    F1 and F10 stay with the window: help and menu are there in every mode.
    """

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if (
            event.type() == _SHORTCUT_OVERRIDE
            and isinstance(event, QKeyEvent)
            and not event.modifiers() & _COMMANDS
            and event.key() not in _OF_THE_WINDOW
        ):
            event.accept()
            return True
        return super().eventFilter(watched, event)
