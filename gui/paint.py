"""Glyphs on the screen: outlines become painter paths; nothing here decides how a state looks."""

from functools import lru_cache
from math import ceil

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QIcon, QPainter, QPainterPath, QPixmap

from core.glyph.codes import STATE_BITS
from core.glyph.palette import Palette, state_colour
from core.glyph.shapes import Contour, Role, glyph, outline_size, reach

_ANTIALIASING = QPainter.RenderHint.Antialiasing
_EVEN_ODD = Qt.FillRule.OddEvenFill
_NO_COLOUR = Qt.GlobalColor.transparent
_ICON_RATIOS = (1.0, 2.0, 3.0)


def glyph_paths(code: int, diameter_px: float) -> list[tuple[Role, QPainterPath]]:
    """The paths of a glyph in its unit circle, y down; do not change them, they are shared."""
    return _paths(code, outline_size(diameter_px))


def paint_glyph(
    painter: QPainter, code: int, cx: float, cy: float, diameter_px: float, palette: Palette
) -> None:
    """Paint a glyph around a centre; lengths in the painter's units."""
    painter.save()
    painter.setRenderHint(_ANTIALIASING)
    painter.translate(cx, cy)
    painter.scale(diameter_px / 2, diameter_px / 2)
    for role, path in glyph_paths(code, diameter_px):
        colour = palette.ink if role == "mark" else state_colour(palette, code)
        painter.fillPath(path, _colour(colour))
    painter.restore()


def glyph_pixmap(code: int, diameter_px: float, palette: Palette, dpr: float = 1.0) -> QPixmap:
    """A glyph alone on a clear ground, in the middle of a square with room for its marks.

    `diameter_px` in logical pixels; the picture has `dpr` dots to each.
    """
    diameter = diameter_px * dpr
    share = reach(diameter) if code & ~STATE_BITS else 1.0
    side = 2 * max(1, ceil(diameter * share / 2))
    pixmap = QPixmap(side, side)
    pixmap.fill(_NO_COLOUR)
    painter = QPainter(pixmap)
    try:
        paint_glyph(painter, code, side / 2, side / 2, diameter, palette)
    finally:
        painter.end()
    pixmap.setDevicePixelRatio(dpr)
    return pixmap


def glyph_icon(code: int, diameter_px: float, palette: Palette) -> QIcon:
    """A glyph as an icon, sharp at one, two and three dots to the pixel."""
    icon = QIcon()
    for ratio in _ICON_RATIOS:
        icon.addPixmap(glyph_pixmap(code, diameter_px, palette, ratio))
    return icon


@lru_cache(maxsize=4096)
def _paths(code: int, size: int) -> list[tuple[Role, QPainterPath]]:
    return [(part.role, _path(part.contours)) for part in glyph(code, size)]


def _path(contours: tuple[Contour, ...]) -> QPainterPath:
    path = QPainterPath()
    path.setFillRule(_EVEN_ODD)
    for contour in contours:
        for segment in contour:
            if segment[0] == "M":
                path.moveTo(QPointF(segment[1], segment[2]))
            elif segment[0] == "L":
                path.lineTo(QPointF(segment[1], segment[2]))
            else:
                _, x1, y1, x2, y2, x, y = segment
                path.cubicTo(QPointF(x1, y1), QPointF(x2, y2), QPointF(x, y))
        path.closeSubpath()
    return path


@lru_cache(maxsize=256)
def _colour(name: str) -> QColor:
    return QColor(name)
