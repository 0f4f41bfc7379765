"""Pixmaps made when first drawn and kept within a bound; and the two ways to make one."""

from collections.abc import Callable, Sequence
from time import perf_counter
from typing import Generic, TypeVar

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QFont, QFontMetrics, QPainter, QPixmap

KeyT = TypeVar("KeyT")
BYTES_A_PIXEL = 4
_CLEAR = QColor(0, 0, 0, 0)
_ELIDE = Qt.TextElideMode.ElideRight
_MIDDLE = Qt.AlignmentFlag.AlignVCenter | Qt.TextFlag.TextSingleLine
CENTRED = int(Qt.AlignmentFlag.AlignHCenter | _MIDDLE)
AT_LEFT = int(Qt.AlignmentFlag.AlignLeft | _MIDDLE)


class Tiles(dict[KeyT, QPixmap], Generic[KeyT]):
    """Pixmaps by key, all dropped together when they would pass `bound` bytes.

    After `deadline` (of `perf_counter`) nothing more is made in this frame: a clear dot is given
    instead, and `is_late` says so.
    """

    def __init__(self, make: Callable[[KeyT], QPixmap], bound: int) -> None:
        super().__init__()
        self._make, self._bound, self._bytes = make, bound, 0
        self._blank = clear_pixmap(1, 1)
        self.deadline: float | None = None
        self.is_late = False

    def __missing__(self, key: KeyT) -> QPixmap:
        if self.deadline is not None and perf_counter() > self.deadline:
            self.is_late = True
            return self._blank
        pixmap = self._make(key)
        size = pixmap.width() * pixmap.height() * BYTES_A_PIXEL
        if self._bytes + size > self._bound:
            self.clear()
            self._bytes = 0
        self._bytes += size
        self[key] = pixmap
        return pixmap


def clear_pixmap(width: int, height: int) -> QPixmap:
    """A transparent pixmap, at least one pixel each way."""
    pixmap = QPixmap(max(1, width), max(1, height))
    pixmap.fill(_CLEAR)
    return pixmap


class Pen:
    """One font in one colour: turns lines of text into pixmaps of its own height."""

    def __init__(self, font: QFont, colour: QColor, height: int | None = None) -> None:
        self._font, self._colour = font, colour
        self._metrics = QFontMetrics(font)
        self.height = height or self._metrics.height()
        self._widest = max(1, self._metrics.horizontalAdvance("M"))

    def line(self, text: str, width: int, align: int = CENTRED) -> QPixmap:
        """A line in a given width, cut short where it is longer."""
        if not text:
            return clear_pixmap(1, 1)
        room = width - 2
        # Measuring costs more than drawing: short lines cannot be too wide.
        if len(text) * self._widest > room and self._metrics.horizontalAdvance(text) > room:
            text = self._metrics.elidedText(text, _ELIDE, room)
        pixmap = clear_pixmap(width, self.height)
        painter = QPainter(pixmap)
        try:
            painter.setFont(self._font)
            painter.setPen(self._colour)
            painter.drawText(0, 0, width, self.height, align, text)
        finally:
            painter.end()
        return pixmap

    def lines(self, texts: Sequence[str], width: int) -> QPixmap:
        """Lines below each other in a given width."""
        if len(texts) == 1:
            return self.line(texts[0], width)
        return stacked([self.line(text, width) for text in texts])

    def free_line(self, text: str, limit: int) -> QPixmap:
        """A line as wide as it is, at most `limit` pixels."""
        if not text:
            return clear_pixmap(1, 1)
        width = self._metrics.horizontalAdvance(text) + 4
        return self.line(text, max(8, min(limit, width)), AT_LEFT)


def stacked(parts: Sequence[QPixmap]) -> QPixmap:
    """Pixmaps below each other, from the left."""
    if not parts:
        return clear_pixmap(1, 1)
    whole = clear_pixmap(max(part.width() for part in parts), sum(part.height() for part in parts))
    painter, y = QPainter(whole), 0
    try:
        for part in parts:
            painter.drawPixmap(0, y, part)
            y += part.height()
    finally:
        painter.end()
    return whole
