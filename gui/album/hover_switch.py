"""While a coin is dragged: what it is held over for a moment opens, as if it had been pressed."""

from collections.abc import Callable

from PySide6.QtCore import QEvent, QObject, QTimer
from PySide6.QtGui import QDragEnterEvent
from PySide6.QtWidgets import QWidget

from gui.leaf.leaf_drag import coins_in

AFTER_MS = 500


class HoverSwitch(QObject):
    """Watches a widget, such as a tab; `does` is called once each time a coin rests on it."""

    def __init__(self, widget: QWidget, does: Callable[[], object]) -> None:
        super().__init__(widget)
        self.timer = QTimer(self)
        self.timer.setSingleShot(True)
        self.timer.setInterval(AFTER_MS)
        self.timer.timeout.connect(does)
        widget.setAcceptDrops(True)
        widget.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        match event.type():
            case QEvent.Type.DragEnter if isinstance(event, QDragEnterEvent):
                if not coins_in(event.mimeData()):
                    return False
                event.accept()
                self.timer.start()
                return True
            case QEvent.Type.DragLeave:
                self.timer.stop()
            case QEvent.Type.Drop:
                self.timer.stop()
                event.ignore()
                return True
        return False
