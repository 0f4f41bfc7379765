"""The line icons, in the colours of the theme."""

from functools import lru_cache

from PySide6.QtCore import QByteArray, QRectF, Qt
from PySide6.QtGui import QIcon, QPainter, QPixmap

import resources

_RATIOS = (1.0, 2.0, 3.0)


@lru_cache(maxsize=256)
def icon(name: str, colour: str, size_px: int = 16) -> QIcon:
    """One of `resources/icons` by its name without `.svg`, drawn in a colour."""
    result = QIcon()
    for ratio in _RATIOS:
        result.addPixmap(_pixmap(name, colour, size_px, ratio))
    return result


def _pixmap(name: str, colour: str, size_px: int, ratio: float) -> QPixmap:
    from PySide6.QtSvg import QSvgRenderer

    text = resources.read_text(f"icons/{name}.svg").replace("currentColor", colour)
    renderer = QSvgRenderer(QByteArray(text.encode()))
    side = round(size_px * ratio)
    pixmap = QPixmap(side, side)
    pixmap.fill(Qt.GlobalColor.transparent)
    painter = QPainter(pixmap)
    try:
        renderer.render(painter, QRectF(0, 0, side, side))
    finally:
        painter.end()
    pixmap.setDevicePixelRatio(ratio)
    return pixmap
