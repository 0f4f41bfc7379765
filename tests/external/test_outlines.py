"""The outlines read from the fonts, against fontTools, which reads them independently."""

import re

import pytest
from fontTools.pens.areaPen import AreaPen
from fontTools.pens.boundsPen import ControlBoundsPen
from fontTools.pens.svgPathPen import SVGPathPen
from fontTools.svgLib.path import parse_path
from fontTools.ttLib import TTFont

from core.printing.outlines import font_outlines
from core.printing.text_runs import Face
from tests.cli_material import ROOT

CHARACTERS = {
    Face.REGULAR: "AgÅßœ4%&Ωж–…▸",
    Face.BOLD: "AgÅßœ4%&Ωж–…",
    Face.ITALIC: "AgÅßœ4%&Ωж–…",
    Face.SYMBOLS: "☞♻⌖",
    Face.WIDE: "Ag▲◆ﬁ؟",
    Face.EAST_ASIAN: "日本語硬貨の",
}


@pytest.mark.parametrize("face", Face)
def test_every_outline_is_the_fonts_own(face: Face) -> None:
    with TTFont(ROOT / "resources" / face.path) as font:
        glyphs, names, units = font.getGlyphSet(), font.getBestCmap(), font["head"].unitsPerEm
        compared = 0
        for character in CHARACTERS[face]:
            name = names.get(ord(character))
            if name is None:
                continue
            ours = font_outlines(face).outline(character)
            assert ours.advance == pytest.approx(glyphs[name].width / units)
            bounds, area = ControlBoundsPen(glyphs), AreaPen(glyphs)
            glyphs[name].draw(bounds)
            glyphs[name].draw(area)
            our_bounds, our_area = ControlBoundsPen(None), AreaPen(None)
            parse_path(ours.path, our_bounds)
            parse_path(ours.path, our_area)
            assert our_bounds.bounds == pytest.approx(bounds.bounds, abs=0.6)
            assert our_area.value == pytest.approx(area.value, rel=1e-3)
            theirs = SVGPathPen(glyphs)
            glyphs[name].draw(theirs)
            assert ours.path.count("M") == len(re.findall("M", theirs.getCommands()))
            compared += 1
        assert compared >= 2


def test_a_character_that_no_font_has_is_drawn_as_the_fonts_own_box() -> None:
    outline = font_outlines(Face.REGULAR).outline("\U0010fffd")
    assert outline.path
    assert outline.advance > 0
    assert font_outlines(Face.REGULAR).outline(" ").path == ""
