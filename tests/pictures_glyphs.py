"""Contact sheet of all glyphs, to look at: `python -m tests.pictures_glyphs [FOLDER]`."""

import sys
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QGuiApplication, QImage, QPainter

from core.glyph.codes import ORDER_BIT, PINNED_BIT, SPARE_BIT, GlyphCode
from core.glyph.palette import DARK, LIGHT, PAPER, Palette
from core.glyph.shapes import glyph
from gui.paint import paint_glyph

_SIZES_PX = (10, 11, 12, 13, 14, 16, 18, 20, 24, 32, 52)
_CODES = [
    *(int(code) for code in GlyphCode if code is not GlyphCode.SPACER),
    GlyphCode.BELOW_25 | SPARE_BIT,
    GlyphCode.FILLED | ORDER_BIT,
    GlyphCode.FILLED | PINNED_BIT,
    GlyphCode.TO_VERIFY | SPARE_BIT | ORDER_BIT | PINNED_BIT,
]
_COLUMN_PX = 84


def sheet(palette: Palette, zoom: int = 1, one_bit: bool = False) -> QImage:
    """All glyphs by size; `zoom` enlarges the dots, `one_bit` leaves no grey."""
    rows = [size for size in _SIZES_PX if zoom == 1 or size <= 20]
    column = _COLUMN_PX if zoom == 1 else 34
    height = sum(int(size * 1.45) + 8 for size in rows) + 16
    image = QImage(column * len(_CODES), height, QImage.Format.Format_RGB32)
    image.fill(QColor(palette.card))
    painter = QPainter(image)
    y = 8
    for size in rows:
        cell = int(size * 1.45) + 8
        for column_index, code in enumerate(_CODES):
            cx = column * column_index + column // 2
            paint_glyph(painter, code, cx, y + cell // 2, size, palette)
        y += cell
    painter.end()
    if one_bit:
        image = image.convertToFormat(
            QImage.Format.Format_Mono, Qt.ImageConversionFlag.ThresholdDither
        )
    return image.scaled(image.width() * zoom, image.height() * zoom)


def main(folder: Path) -> None:
    """Write the sheets and name them."""
    _application = QGuiApplication.instance() or QGuiApplication(
        ["glyphs", "-platform", "offscreen"]
    )
    folder.mkdir(parents=True, exist_ok=True)
    assert glyph(GlyphCode.SPACER, 20) == ()
    sheets = {
        "light": sheet(LIGHT),
        "dark": sheet(DARK),
        "paper": sheet(PAPER),
        "one-bit": sheet(PAPER, 4, one_bit=True),
        "small-light": sheet(LIGHT, 4),
    }
    for name, image in sheets.items():
        path = folder / f"glyphs-{name}.png"
        image.save(str(path))
        print(path)


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path("out"))
