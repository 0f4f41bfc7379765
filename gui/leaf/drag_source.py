"""Lets a coin be dragged from a widget that names it: a spare, or the coin line of the card."""

from collections.abc import Callable

from PySide6.QtCore import QEvent, QObject, QPoint, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QAbstractButton, QApplication, QWidget

from core.model.coin import CoinId
from gui.leaf.drop import carried_picture
from gui.leaf.leaf_drag import coin_data, run_drag


class DragSource(QObject):
    """Watches a widget and all in it; pulling at it drags the coin instead of pressing it."""

    def __init__(
        self, widget: QWidget, coin: CoinId, name: str, is_allowed: Callable[[], bool]
    ) -> None:
        super().__init__(widget)
        self._widget, self._coin, self._name = widget, coin, name
        self._is_allowed = is_allowed
        self._pressed_at: QPoint | None = None
        for part in (widget, *widget.findChildren(QWidget)):
            part.installEventFilter(self)
        tip = self._own_tip = widget.toolTip()
        widget.setToolTip(f"{tip} Or drag it to a slot." if tip else "Drag this coin to a slot (M)")

    def end(self) -> None:
        """The widget names no coin any more."""
        for part in (self._widget, *self._widget.findChildren(QWidget)):
            part.removeEventFilter(self)
        self._widget.setToolTip(self._own_tip)
        self.deleteLater()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if not isinstance(event, QMouseEvent):
            return False
        match event.type():
            case QEvent.Type.MouseButtonPress if event.button() == Qt.MouseButton.LeftButton:
                self._pressed_at = event.globalPosition().toPoint()
            case QEvent.Type.MouseButtonRelease:
                self._pressed_at = None
            case QEvent.Type.MouseMove if self._pressed_at is not None:
                moved = event.globalPosition().toPoint() - self._pressed_at
                if moved.manhattanLength() >= QApplication.startDragDistance():
                    self._drag()
                return True
        return False

    def _drag(self) -> None:
        self._pressed_at = None
        if not self._is_allowed():
            return
        if isinstance(self._widget, QAbstractButton):
            self._widget.setDown(False)  # let go elsewhere, it is not pressed
        picture = carried_picture(self._name, self._widget.devicePixelRatioF())
        run_drag(self._widget, coin_data([int(self._coin)]), picture)
