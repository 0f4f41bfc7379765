"""Lets undo, redo and Ctrl+E go on to the window; a field of text would take them for itself."""

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QKeyEvent, QKeySequence

_CTRL = Qt.KeyboardModifier.ControlModifier


class NoOwnUndo(QObject):
    """An event filter for fields in a window that has a history of more than their texts."""

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            keys = QKeySequence.StandardKey
            is_export = event.key() == Qt.Key.Key_E and event.modifiers() == _CTRL  # its line's end
            if is_export or event.matches(keys.Undo) or event.matches(keys.Redo):
                event.ignore()
                return True
        return False
