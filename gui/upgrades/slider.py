"""A slider in the look of the window: a groove, its part in the accent, a round handle."""

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QSlider, QWidget

from gui.theme import current_palette

HANDLE_PX, GROOVE_PX, HIGH_PX = 16, 4, 26


class PlainSlider(QSlider):
    """Whole numbers from left to right; a click goes there."""

    def __init__(self, name: str, most: int, parent: QWidget | None = None) -> None:
        super().__init__(Qt.Orientation.Horizontal, parent)
        self.setAccessibleName(name)
        self.setRange(0, most)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setCursor(Qt.CursorShape.PointingHandCursor)

    def sizeHint(self) -> QSize:
        return QSize(160, HIGH_PX)

    def minimumSizeHint(self) -> QSize:
        return QSize(60, HIGH_PX)

    def _x(self, value: int) -> float:
        room = self.width() - HANDLE_PX - 4
        return 2 + HANDLE_PX / 2 + room * value / max(1, self.maximum())

    def paintEvent(self, event: QPaintEvent) -> None:
        colours = current_palette()
        painter = QPainter(self)
        try:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            middle, x = self.height() / 2, self._x(self.value())
            painter.setPen(Qt.PenStyle.NoPen)
            groove = QRectF(2, middle - GROOVE_PX / 2, self.width() - 4, GROOVE_PX)
            painter.setBrush(QColor(colours.line))
            painter.drawRoundedRect(groove, 2, 2)
            is_on = self.isEnabled()
            accent = QColor(colours.accent if is_on else colours.mute)
            painter.setBrush(accent)
            groove.setRight(x)
            painter.drawRoundedRect(groove, 2, 2)
            painter.setBrush(QColor(colours.card))
            painter.setPen(QPen(accent, 3 if self.hasFocus() else 2))
            radius = HANDLE_PX / 2 - 1
            painter.drawEllipse(QPointF(x, middle), radius, radius)
            if self.hasFocus():
                painter.setBrush(accent)
                painter.drawEllipse(QPointF(x, middle), 3, 3)
        finally:
            painter.end()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self.setFocus(Qt.FocusReason.MouseFocusReason)
            self._go(event.position().x())
            self.setSliderDown(True)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self.isSliderDown():
            self._go(event.position().x())

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        self.setSliderDown(False)

    def _go(self, x: float) -> None:
        room = max(1.0, self.width() - HANDLE_PX - 4.0)
        self.setValue(round((x - 2 - HANDLE_PX / 2) / room * self.maximum()))
