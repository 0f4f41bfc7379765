"""A bar that shows what the rows of a series rest on: solid, hatched, dotted, outlined."""

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from core.glyph.palette import Palette
from core.model.issue import Confidence
from gui.theme import current_palette

HEIGHT_PX, STEP_PX = 10, 5


class ShareBar(QWidget):
    """Published solid, recalled hatched, common practice dotted, invented only outlined."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._parts: tuple[tuple[Confidence, int], ...] = ()
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setFixedHeight(HEIGHT_PX)

    def show_parts(self, parts: tuple[tuple[Confidence, int], ...], text: str) -> None:
        """Show other shares; `text` says them."""
        self._parts = parts
        self.setAccessibleName(text)
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(160, HEIGHT_PX)

    def paintEvent(self, event: QPaintEvent) -> None:
        whole = sum(count for _kind, count in self._parts)
        if not whole:
            return
        painter = QPainter(self)
        colours = current_palette()
        try:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            edge = QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5)
            clip = QPainterPath()
            clip.addRoundedRect(edge, HEIGHT_PX / 2, HEIGHT_PX / 2)
            painter.setClipPath(clip)
            painter.fillRect(self.rect(), QColor(colours.card))
            left = edge.left()
            for kind, count in self._parts:
                width = edge.width() * count / whole
                self._part(painter, QRectF(left, edge.top(), width, edge.height()), kind, colours)
                left += width
            painter.setClipping(False)
            painter.setPen(QPen(QColor(colours.accent), 1))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(edge, HEIGHT_PX / 2, HEIGHT_PX / 2)
        finally:
            painter.end()

    @staticmethod
    def _part(painter: QPainter, rect: QRectF, kind: Confidence, colours: Palette) -> None:
        accent = QColor(colours.accent)
        if kind is Confidence.PUBLISHED:
            painter.fillRect(rect, accent)
            return
        painter.setPen(QPen(accent, 1.4))
        steps = int(rect.width() / STEP_PX) + 3
        for at in range(steps):
            x = rect.left() + at * STEP_PX
            if kind is Confidence.RECALLED and x - HEIGHT_PX < rect.right():
                painter.save()
                painter.setClipRect(rect, Qt.ClipOperation.IntersectClip)
                painter.drawLine(QPointF(x - HEIGHT_PX, rect.bottom()), QPointF(x, rect.top()))
                painter.restore()
            elif kind is Confidence.PRACTICE and x + 2 < rect.right():
                painter.drawPoint(QPointF(x + 2, rect.center().y()))
        painter.drawLine(rect.topRight(), rect.bottomRight())
