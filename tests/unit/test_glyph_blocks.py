"""Pattern blocks of the overview."""

from itertools import combinations

import pytest

from core.glyph.blocks import CLEAR, FAINT, FULL, block
from core.glyph.codes import PINNED_BIT, SPARE_BIT, GlyphCode

LEVELS = (GlyphCode.BELOW_25, GlyphCode.BELOW_50, GlyphCode.BELOW_75)
STATES = [code for code in GlyphCode if code is not GlyphCode.SPACER and code not in LEVELS]


@pytest.mark.parametrize("width", range(2, 9))
@pytest.mark.parametrize("height", range(2, 9))
def test_all_states_differ_and_levels_from_four_dots(width: int, height: int) -> None:
    some_level = [*STATES, GlyphCode.BELOW_50]
    codes = some_level if min(width, height) < 4 else [*STATES, *LEVELS]
    for one, other in combinations(codes, 2):
        assert block(one, width, height) != block(other, width, height)


def test_a_block_has_the_size_asked_for_and_known_dots() -> None:
    for code in GlyphCode:
        rows = block(code, 7, 5)
        assert len(rows) == 5
        assert all(len(row) == 7 for row in rows)
        assert set(b"".join(rows)) <= {CLEAR, FULL, FAINT}


def test_filled_is_full_and_a_spacer_clear() -> None:
    assert block(GlyphCode.FILLED, 3, 2) == (b"\1\1\1", b"\1\1\1")
    assert block(GlyphCode.SPACER, 3, 2) == (b"\0\0\0", b"\0\0\0")


def test_levels_rise_from_below() -> None:
    full_rows = [sum(FULL in row for row in block(code, 4, 4)) for code in LEVELS]
    assert full_rows == [1, 2, 3]
    assert block(GlyphCode.BELOW_25, 4, 4)[-1] == b"\1\1\1\1"


def test_marks_do_not_change_a_block() -> None:
    assert block(GlyphCode.GAP | SPARE_BIT | PINNED_BIT, 5, 5) == block(GlyphCode.GAP, 5, 5)


def test_a_block_without_dots_is_refused() -> None:
    with pytest.raises(ValueError, match="0 × 4"):
        block(GlyphCode.GAP, 0, 4)
