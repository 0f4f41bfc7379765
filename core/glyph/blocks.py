"""Pattern blocks for the whole album at once, where a cell is too small for a circle to be one."""

from collections.abc import Callable

from core.glyph.codes import STATE_BITS, GlyphCode

CLEAR, FULL, FAINT = 0, 1, 2
"""What a dot of a block holds: nothing, the state's colour, or a pale tint of it."""
FAINT_ALPHA = 90
"""How much of the colour a faint dot shows, of 255."""

Block = tuple[bytes, ...]


def block(code: int, width_dots: int, height_dots: int) -> Block:
    """The pattern of a state as rows from the top, one byte a dot; marks are not drawn.

    From 2 × 2 dots all states differ, from 4 × 4 all levels too. A spacer is clear. Raises
    ValueError for a byte that is no glyph or a block without dots.
    """
    if width_dots < 1 or height_dots < 1:
        raise ValueError(f"a block has at least one dot, not {width_dots} × {height_dots}")
    rule = _RULES[GlyphCode(code & STATE_BITS)]
    return tuple(
        bytes(rule(x, y, width_dots, height_dots) for x in range(width_dots))
        for y in range(height_dots)
    )


_Rule = Callable[[int, int, int, int], int]


def _on_edge(x: int, y: int, w: int, h: int) -> bool:
    return x in {0, w - 1} or y in {0, h - 1}


def _in_middle(at: int, size: int) -> bool:
    """The middle dot, or the middle two."""
    return abs(2 * at - (size - 1)) <= 1


def _filled_from_below(quarters: int) -> _Rule:
    def rule(_x: int, y: int, _w: int, h: int) -> int:
        return FULL if y >= h - max(1, h * quarters // 4) else FAINT

    return rule


def _dotted_edge(x: int, y: int, w: int, h: int) -> int:
    return FULL if _on_edge(x, y, w, h) and (x + y) % 2 == 0 else CLEAR


def _hatched(x: int, y: int, _w: int, _h: int) -> int:
    return FULL if (x + y) % 3 == 0 else CLEAR


def _stem_on_foot(x: int, y: int, w: int, h: int) -> int:
    stem = x == 0 if w < 3 else _in_middle(x, w)
    return FULL if stem or y == h - 1 else CLEAR


def _hollow(x: int, y: int, w: int, h: int) -> int:
    return CLEAR if _in_middle(x, w) and _in_middle(y, h) else FULL


def _bar(_x: int, y: int, _w: int, h: int) -> int:
    return FULL if y == h // 2 else CLEAR


def _pale_dot(x: int, y: int, w: int, h: int) -> int:
    return FAINT if _in_middle(x, w) and _in_middle(y, h) else CLEAR


_RULES: dict[GlyphCode, _Rule] = {
    GlyphCode.GAP: _dotted_edge,
    GlyphCode.FILLED: lambda *_: FULL,
    GlyphCode.BELOW_25: _filled_from_below(1),
    GlyphCode.BELOW_50: _filled_from_below(2),
    GlyphCode.BELOW_75: _filled_from_below(3),
    GlyphCode.HOLE_FILLER: _hatched,
    GlyphCode.ON_ORDER: _stem_on_foot,
    GlyphCode.TO_VERIFY: _hollow,
    GlyphCode.SKIPPED: _bar,
    GlyphCode.NOT_STRUCK: _pale_dot,
    GlyphCode.SPACER: lambda *_: CLEAR,
}
