"""What waits until a part of the window was painted once."""

from collections.abc import Callable

from PySide6.QtCore import QEvent, QObject, QTimer
from PySide6.QtWidgets import QWidget


class FirstPaint(QObject):
    """Calls once what waits for a widget's next paint; at once where it cannot be seen."""

    def __init__(self, widget: QWidget, then: Callable[[], None]) -> None:
        super().__init__(widget)
        self._then = then
        if widget.isVisible():
            widget.installEventFilter(self)
        else:
            self._go()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.Paint:
            watched.removeEventFilter(self)
            QTimer.singleShot(0, self, self._go)
        return False

    def _go(self) -> None:
        self._then()
        self.deleteLater()
