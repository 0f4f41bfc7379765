"""Colours against the Web Content Accessibility Guidelines.

Source of formula and bounds: Web Content Accessibility Guidelines 2.2, W3C Recommendation, 2023:
definitions "contrast ratio" and "relative luminance"; success criteria 1.4.3 (text 4.5:1) and
1.4.11 (graphics that carry meaning 3:1).
"""

import re
from dataclasses import fields
from itertools import product

import pytest

from core.glyph.codes import GlyphCode
from core.glyph.palette import (
    DARK,
    LIGHT,
    PAPER,
    Palette,
    channels,
    contrast,
    luminance,
    state_colour,
)
from gui.style_sheet import style_sheet

PALETTES = {"light": LIGHT, "dark": DARK, "paper": PAPER}
STATES = [code for code in GlyphCode if code is not GlyphCode.SPACER]
GROUNDS = ("card", "paper", "hover", "select")


# The guidelines define the range, 1 to 21. The other ratios are the ones commonly published with
# the formula: the last grey that passes for text on white and the first that does not, and the
# pure colours on white.
@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [
        ("#000000", "#ffffff", 21.0),
        ("#ffffff", "#ffffff", 1.0),
        ("#777777", "#ffffff", 4.48),
        ("#767676", "#ffffff", 4.54),
        ("#ff0000", "#ffffff", 4.00),
        ("#0000ff", "#ffffff", 8.59),
        ("#ffff00", "#ffffff", 1.07),
    ],
)
def test_the_formula_gives_published_ratios(one: str, other: str, ratio: float) -> None:
    assert contrast(one, other) == pytest.approx(ratio, abs=0.005)
    assert contrast(other, one) == contrast(one, other)


# The coefficients of the definition, seen one at a time.
@pytest.mark.parametrize(
    ("colour", "value"),
    [("#ff0000", 0.2126), ("#00ff00", 0.7152), ("#0000ff", 0.0722), ("#000000", 0.0)],
)
def test_luminance_of_pure_colours(colour: str, value: float) -> None:
    assert luminance(colour) == pytest.approx(value, abs=1e-9)


@pytest.mark.parametrize("name", PALETTES)
def test_every_colour_is_plain_hex(name: str) -> None:
    palette = PALETTES[name]
    for field in fields(palette):
        assert len(channels(getattr(palette, field.name))) == 3


@pytest.mark.parametrize("colour", ["#fff", "red", "123456", "#12345g"])
def test_any_other_form_of_colour_is_refused(colour: str) -> None:
    with pytest.raises(ValueError, match=colour[1:]):
        channels(colour)


@pytest.mark.parametrize("name", PALETTES)
@pytest.mark.parametrize("code", STATES)
def test_glyphs_stand_out_on_all_they_stand_on(name: str, code: GlyphCode) -> None:
    palette = PALETTES[name]
    for ground in GROUNDS:
        assert contrast(state_colour(palette, code), getattr(palette, ground)) >= 3.0


@pytest.mark.parametrize("name", PALETTES)
def test_text_can_be_read_on_all_it_stands_on(name: str) -> None:
    palette = PALETTES[name]
    for text, ground in product(("ink", "mute"), (*GROUNDS, "shelf")):
        assert contrast(getattr(palette, text), getattr(palette, ground)) >= 4.5


@pytest.mark.parametrize("name", PALETTES)
def test_accent_text_can_be_read_where_it_is_used(name: str) -> None:
    palette = PALETTES[name]
    assert contrast(palette.accent, palette.card) >= 4.5
    assert contrast(palette.accent, palette.paper) >= 4.5
    assert contrast(palette.shelf_accent, palette.shelf) >= 4.5
    assert contrast(palette.accent_ink, palette.accent) >= 4.5


@pytest.mark.parametrize("palette", [LIGHT, DARK])
def test_a_selections_edge_stands_out_from_card_and_selection(palette: Palette) -> None:
    assert contrast(palette.accent, palette.card) >= 3.0
    assert contrast(palette.ink, palette.select) >= 3.0


def test_paper_is_black_on_white() -> None:
    assert {getattr(PAPER, field.name) for field in fields(PAPER)} == {"#000000", "#ffffff"}
    assert all(state_colour(PAPER, code) == "#000000" for code in STATES)


def test_a_spacer_has_the_colour_of_the_card() -> None:
    assert state_colour(DARK, GlyphCode.SPACER) == DARK.card


def test_marks_and_levels_do_not_change_a_states_colour() -> None:
    below = {state_colour(LIGHT, code) for code in (2, 3, 4, 2 | 16, 3 | 32, 4 | 64)}
    assert below == {LIGHT.below}


@pytest.mark.parametrize("palette", [LIGHT, DARK])
def test_the_chosen_one_of_a_few_is_told_by_its_edge_in_both_themes(palette: Palette) -> None:
    """As it stands in the style sheet; success criterion 1.4.11, on both sides of the edge."""
    found = re.search(r'kind="segment"\]:checked \{([^}]*)\}', style_sheet(palette))
    assert found
    fill, ink, edge = (
        colour
        for name in ("background", r"[^-]color", "border")
        for colour in re.findall(rf"{name}: [^;]*?(#[0-9a-fA-F]{{6}})", found[1])
    )
    assert contrast(edge, palette.paper) >= 3.0
    assert contrast(edge, fill) >= 3.0
    assert contrast(ink, fill) >= 4.5
