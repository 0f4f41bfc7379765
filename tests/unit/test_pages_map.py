"""The small map at a leaf's heading."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.printing.checklist import LeafMap
from core.printing.leaf_map import TALLEST_ROWS, draw_band, map_bands, short_head
from core.printing.placed import Sheet, Style
from core.printing.type_sizes import PLAIN
from tests.paper_cases import matrix_map, running_map

HEAD, PITCH = PLAIN.map_head, 13.8


def measure(text: str, style: Style) -> float:
    return 0.57 * style.size * len(text)


def drawn(leaf_map, beside_width=300.0, full_width=500.0):
    """The sheet with the map's bands one below the other, and the bands."""
    bands, beside = map_bands(leaf_map, beside_width, full_width, PLAIN, measure)
    sheet = Sheet(measure)
    y = 0.0
    for band in bands:
        draw_band(sheet, 0.0, y, band)
        y += band.height
    return sheet, bands, beside


def test_a_matrix_lies_on_its_side_with_mints_down_and_short_dates_across():
    leaf_map = LeafMap(("P", "D"), ("1938", "1939", "1776–1976"), ((0, 1), (2, 3), (4, 5)))
    sheet, _, beside = drawn(leaf_map)
    assert beside
    assert [glyph.code for glyph in sheet.glyphs] == [0, 2, 4, 1, 3, 5]
    assert [text.text for text in sheet.texts] == ["P", "D", "38", "39", "76"]
    assert [text.x for text in sheet.texts][2:] == sorted(text.x for text in sheet.texts[2:])


def test_a_running_leaf_is_drawn_as_it_lies():
    sheet, (band,), beside = drawn(running_map(5, 9))
    assert beside
    assert len(sheet.glyphs) == 5 * 9 - 2
    assert not sheet.texts
    assert len({glyph.y for glyph in sheet.glyphs}) == 5
    assert band.width == pytest.approx(9 * PITCH)


def test_a_spacer_is_left_blank():
    sheet, _, _ = drawn(LeafMap((), (), ((1, 15, 1),)))
    first, second = sheet.glyphs
    assert second.x - first.x == pytest.approx(2 * PITCH)


def test_a_map_of_spacers_alone_is_no_map():
    assert map_bands(LeafMap((), (), ((15, 15), ())), 300, 500, PLAIN, measure) == ((), True)
    assert map_bands(LeafMap((), (), ()), 300, 500, PLAIN, measure) == ((), True)


def test_a_long_matrix_goes_below_its_heading_in_even_bands():
    _, bands, beside = drawn(matrix_map(1909, 50))
    assert not beside
    assert [band.blocks[0].places for band in bands] == [25, 25]


def test_a_tall_running_leaf_is_cut_into_blocks_side_by_side():
    _, (band,), beside = drawn(running_map(10, 5))
    assert beside
    assert [len(block.codes) for block in band.blocks] == [5, 5]


@given(st.integers(1, 70), st.integers(1, 60), st.booleans(), st.floats(60, 340))
def test_every_place_is_drawn_once_inside_its_band(rows, places, is_matrix, beside_width):
    codes = tuple(tuple((r + p) % 9 for p in range(places)) for r in range(rows))
    heads = tuple(f"M{n}" for n in range(places)) if is_matrix else ()
    dates = tuple(str(1800 + n) for n in range(rows)) if is_matrix else ()
    sheet, bands, beside = drawn(LeafMap(heads, dates, codes), beside_width)
    assert len(sheet.glyphs) == rows * places
    assert len({(round(g.x, 3), round(g.y, 3)) for g in sheet.glyphs}) == rows * places
    width = beside_width if beside else 500.0
    assert all(band.width <= width + 1e-6 for band in bands)
    assert all(glyph.x + glyph.diameter / 2 <= width + 1e-6 for glyph in sheet.glyphs)
    if not is_matrix:
        assert all(len(block.codes) <= TALLEST_ROWS for band in bands for block in band.blocks)


@pytest.mark.parametrize(
    ("head", "short"),
    [
        ("1938", "38"),
        ("1776–1976", "76"),
        ("1960 small date", "60"),
        ("AH 1327", "27"),
        ("昭和42", "42"),
        ("undated", "undated"),
        ("", ""),
    ],
)
def test_a_date_is_shortened_to_the_last_digits_of_its_year(head, short):
    assert short_head(head) == short


def test_a_head_wider_than_its_place_is_cut_short():
    sheet, _, _ = drawn(LeafMap(("Philadelphia and others", "D"), ("昭和四十二年",), ((0, 1),)))
    for text in sheet.texts:
        assert text.style == HEAD
        assert text.width <= 46.0
    assert sheet.texts[0].text.endswith("…")
    assert sheet.texts[2].width <= PITCH
