"""A picture as it will be saved, made to fit; what is clear shows squares."""

from PySide6.QtCore import QRect, QSize, Qt, Signal
from PySide6.QtGui import QBrush, QColor, QImage, QPainter, QPaintEvent, QPixmap, QResizeEvent
from PySide6.QtWidgets import QWidget

from gui.theme import XL, current_palette

SQUARE_PX = 10
_LIGHT_SQUARES, _DARK_SQUARES = ("#f4f4f4", "#dadada"), ("#2b2b2d", "#3a3a3d")


class PictureView(QWidget):
    """Shows one picture as large as it fits; `resized` asks for one of the new size."""

    resized = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._pixmap = QPixmap()
        self._is_clear = False
        self.setMinimumSize(240, 180)
        self.setAccessibleName("Preview")

    @property
    def pixmap(self) -> QPixmap:
        """What is shown; null where nothing is."""
        return self._pixmap

    def room(self) -> QSize:
        """How many device pixels a picture may take."""
        inner = self.rect().adjusted(XL, XL, -XL, -XL).size()
        return inner.expandedTo(QSize(64, 64)) * self.devicePixelRatioF()

    def show_image(self, image: QImage, words: str, *, is_clear: bool) -> None:
        """Show a picture; `words` are what a screen reader says of it."""
        self._pixmap = QPixmap.fromImage(image)
        self._pixmap.setDevicePixelRatio(self.devicePixelRatioF())
        self._is_clear = is_clear
        self.setAccessibleDescription(words)
        self.update()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.resized.emit()

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        try:
            self._paint(painter)
        finally:
            painter.end()

    def _paint(self, painter: QPainter) -> None:
        colours = current_palette()
        painter.fillRect(self.rect(), QColor(colours.shelf))
        if self._pixmap.isNull():
            return
        room = self.rect().adjusted(XL, XL, -XL, -XL)
        size = self._pixmap.deviceIndependentSize().toSize()
        if size.width() > room.width() or size.height() > room.height():
            size.scale(room.size(), Qt.AspectRatioMode.KeepAspectRatio)
        place = QRect(room.topLeft(), size)
        place.moveCenter(room.center())
        if self._is_clear:
            _paint_squares(painter, place, QColor(colours.paper).lightness() < 128)
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        painter.drawPixmap(place, self._pixmap)
        painter.setPen(QColor(colours.line))
        painter.drawRect(place.adjusted(-1, -1, 0, 0))


def _paint_squares(painter: QPainter, place: QRect, is_dark: bool) -> None:
    one, other = _DARK_SQUARES if is_dark else _LIGHT_SQUARES
    tile = QPixmap(2 * SQUARE_PX, 2 * SQUARE_PX)
    tile.fill(QColor(one))
    filler = QPainter(tile)
    filler.fillRect(0, 0, SQUARE_PX, SQUARE_PX, QColor(other))
    filler.fillRect(SQUARE_PX, SQUARE_PX, SQUARE_PX, SQUARE_PX, QColor(other))
    filler.end()
    painter.setBrushOrigin(place.topLeft())
    painter.fillRect(place, QBrush(tile))
