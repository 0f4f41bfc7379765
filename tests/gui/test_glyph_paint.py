"""Glyphs translated to Qt: the same outlines, shared, and pictures of the right size."""

import pytest
from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QColor, QImage, QPainter

from core.glyph.codes import SPARE_BIT, GlyphCode
from core.glyph.palette import LIGHT
from core.glyph.shapes import glyph, reach
from gui.paint import glyph_icon, glyph_paths, glyph_pixmap, paint_glyph

pytestmark = pytest.mark.usefixtures("qapp")


def test_each_part_becomes_one_even_odd_path() -> None:
    paths = glyph_paths(GlyphCode.GAP | SPARE_BIT, 20)
    assert [role for role, _ in paths] == ["ink", "mark"]
    assert all(path.fillRule() == Qt.FillRule.OddEvenFill for _, path in paths)
    assert len(paths[0][1].toSubpathPolygons()) == len(glyph(GlyphCode.GAP, 20)[0].contours)


def test_paths_are_shared_by_sizes_that_look_alike() -> None:
    assert glyph_paths(GlyphCode.GAP, 20) is glyph_paths(GlyphCode.GAP, 300.5)
    assert glyph_paths(GlyphCode.GAP, 13.2) is glyph_paths(GlyphCode.GAP, 13.9)
    assert glyph_paths(GlyphCode.GAP, 13) is not glyph_paths(GlyphCode.GAP, 14)


def test_a_painter_is_left_as_it_was() -> None:
    image = QImage(40, 40, QImage.Format.Format_ARGB32_Premultiplied)
    image.fill(0)
    painter = QPainter(image)
    before = painter.transform(), painter.renderHints()
    paint_glyph(painter, GlyphCode.FILLED, 20, 20, 30, LIGHT)
    assert (painter.transform(), painter.renderHints()) == before
    painter.end()
    assert image.pixelColor(20, 20) == QColor(LIGHT.filled)
    assert image.pixelColor(1, 1).alpha() == 0


def test_a_mark_has_the_colour_of_text() -> None:
    pixmap = glyph_pixmap(GlyphCode.FILLED | SPARE_BIT, 100, LIGHT)
    at = pixmap.width() // 2 + 47, pixmap.height() // 2 - 42
    assert pixmap.toImage().pixelColor(*at) == QColor(LIGHT.ink)


@pytest.mark.parametrize("dpr", [1.0, 1.25, 2.0])
def test_a_picture_has_room_for_its_marks_and_the_screens_dots(dpr: float) -> None:
    plain = glyph_pixmap(GlyphCode.GAP, 24, LIGHT, dpr)
    marked = glyph_pixmap(GlyphCode.GAP | SPARE_BIT, 24, LIGHT, dpr)
    assert plain.devicePixelRatio() == dpr
    assert plain.width() == plain.height() == 24 * dpr
    assert 0 <= marked.width() - 24 * dpr * reach(24 * dpr) < 2


def test_a_spacer_is_a_clear_picture() -> None:
    image = glyph_pixmap(GlyphCode.SPACER | SPARE_BIT, 16, LIGHT).toImage()
    assert all(
        image.pixelColor(x, y).alpha() == 0
        for x in range(image.width())
        for y in range(image.height())
    )


def test_an_icon_is_sharp_at_every_ratio() -> None:
    icon = glyph_icon(GlyphCode.FILLED, 16, LIGHT)
    size = QSize(16, 16)
    assert [icon.pixmap(size, ratio).size() for ratio in (1.0, 2.0, 3.0)] == [
        QSize(16, 16),
        QSize(32, 32),
        QSize(48, 48),
    ]
