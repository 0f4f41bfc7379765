"""The proportions of a leaf, one set for screen, paper and pictures.

Units are logical pixels at zoom 1; the screen rounds them to whole device pixels.
"""

from dataclasses import dataclass
from math import ceil

from core.arrange.flow import Sizes
from core.arrange.plan import LeafPlan
from core.glyph.shapes import reach
from core.printing.placed import Measure, Style
from core.printing.text_runs import Face

CELL_ONE_LINE, CELL_TWO_LINES = (90, 72), (72, 80)
MARGIN, GAP, PAD, TITLE, HEADS = 20, 20, 22, 34, 24
ROW_HEAD, ROW_HEAD_MOST = 66, 190
GLYPH_ONE_LINE, GLYPH_TWO_LINES = 40, 35
TEXT, LINE = 13, 17
LABEL_GAP, MARK_CLEAR = 3, 4
FOCUS_AND_MORE = 3
"""The ring of focus, 2 logical pixels at any zoom, and one more."""
CORNER, EDGE = 12, 1
GLYPH_SHARE = 0.82
"""The ring's share of the smaller side of a cell without labels."""
SMALL_CELL, SMALLEST_CELL = 46, 22
"""Sides of a cell without labels in a picture made small, with and without titles."""
SHORT_HEAD = 4
"""A column head beside heads of at most so many characters may be wider than its column."""
HEAD_SHARE, WIDE_HEAD_SHARE = 1.0, 1.4

ROW_STYLE, ROW_SUB_STYLE = Style(Face.BOLD, 17), Style(Face.REGULAR, 12)
TITLE_STYLE, SUB_STYLE = Style(Face.BOLD, 17), Style(Face.REGULAR, 13)
HEAD_STYLE, LABEL_STYLE = Style(Face.BOLD, 13), Style(Face.REGULAR, TEXT)


def line_height(text_px: float) -> int:
    """How far one line of a label lies below another, for text of that size."""
    return round(text_px * LINE / TEXT)


def glyph_place(
    cell_h: int, diameter: int, labels: int, gap: int, clear: int, least_over: int
) -> tuple[int, int]:
    """How far the ring's centre and the first label lie below the top of a cell.

    `labels` is the height of all lines. They keep clear of the marks below the ring, as far as
    there is room; marks above it keep clear of the ring of focus.
    """
    spare = cell_h - diameter - labels
    gap = min(gap, max(0, spare - least_over))
    above = ceil(diameter * reach(diameter) / 2) + clear - diameter // 2
    top = min(spare - gap, max((spare - gap) // 2, above if labels else 0))
    return top + diameter // 2, top + diameter + gap


@dataclass(frozen=True, slots=True)
class LeafSizes:
    """A leaf at zoom 1 in whole units; `lines` of label under each glyph.

    `centre_y` and `label_y` count from the top of a cell; `title_h` and `heads_h` are 0 where there
    are none, `row_head_w` where rows have no head.
    """

    flow: Sizes
    diameter: int
    centre_y: int
    label_y: int
    lines: int
    pad: int
    title_h: int
    heads_h: int
    row_head_w: int


def labelled(plan: LeafPlan, measure: Measure) -> LeafSizes:
    """The leaf as the screen draws it at zoom 1."""
    width, height = CELL_TWO_LINES if plan.has_two_lines else CELL_ONE_LINE
    lines = 2 if plan.has_two_lines else 1
    diameter = GLYPH_TWO_LINES if plan.has_two_lines else GLYPH_ONE_LINE
    clear = min(MARK_CLEAR, FOCUS_AND_MORE)
    places = glyph_place(height, diameter, lines * LINE, LABEL_GAP, clear, 2)
    return _sizes(plan, measure, (width, height), (diameter, *places, lines), has_titles=True)


def without_labels(plan: LeafPlan, measure: Measure) -> LeafSizes:
    """Glyphs close together under titles and heads, for a picture made small."""
    return _bare(plan, measure, SMALL_CELL, has_titles=True)


def glyphs_alone(plan: LeafPlan, measure: Measure) -> LeafSizes:
    """Glyphs and the edges of the leaves, nothing else, for a very large album."""
    return _bare(plan, measure, SMALLEST_CELL, has_titles=False)


def _bare(plan: LeafPlan, measure: Measure, side: int, *, has_titles: bool) -> LeafSizes:
    diameter = round(side * GLYPH_SHARE)
    place = (diameter, side // 2, side, 0)
    return _sizes(plan, measure, (side, side), place, has_titles=has_titles)


def _sizes(
    plan: LeafPlan,
    measure: Measure,
    cell: tuple[int, int],
    glyph: tuple[int, int, int, int],
    *,
    has_titles: bool,
) -> LeafSizes:
    pad = PAD if has_titles else 8
    gap = GAP if has_titles else 10
    title_h = TITLE if has_titles else 0
    heads_h = HEADS if has_titles and any(leaf.heads for leaf in plan.leaves) else 0
    row_head_w = _row_head_width(plan, measure) if has_titles and plan.has_row_heads else 0
    inner = max((leaf.width for leaf in plan.leaves), default=0) * cell[0] // 2
    flow = Sizes(
        cell_w=cell[0],
        cell_h=cell[1],
        margin=gap,
        gap=gap,
        leaf_w=inner + row_head_w + 2 * pad,
        left_in=pad + row_head_w,
        top_in=pad // 2 + title_h + heads_h if has_titles else pad,
        bottom_in=pad * 2 // 3 if has_titles else pad,
    )
    return LeafSizes(flow, *glyph, pad, title_h, heads_h, row_head_w)


def _row_head_width(plan: LeafPlan, measure: Measure) -> int:
    """Room for the longest head and what stands under one."""
    widest = float(ROW_HEAD)
    for style, texts in ((ROW_STYLE, plan.row_head), (ROW_SUB_STYLE, plan.row_sub)):
        longest = max(texts, key=len, default="")
        widest = max(widest, ceil(measure(longest, style)) + 8)
    return int(min(widest, ROW_HEAD_MOST))
