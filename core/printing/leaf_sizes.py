"""The proportions of a leaf, one set for screen, paper and pictures.

Units are logical pixels at zoom 1; the screen rounds them to whole device pixels.
"""

from dataclasses import dataclass
from math import ceil

from core.arrange.flow import Sizes
from core.arrange.plan import LeafPlan
from core.arrange.text_room import LABEL_PX, USUAL_CELL, in_lines, text_em
from core.glyph.shapes import reach
from core.printing.placed import Style
from core.printing.text_runs import Face

CELL_ONE_LINE, CELL_TWO_LINES = (90, 72), (USUAL_CELL, 84)
MARGIN, GAP, PAD, TITLE, HEADS = 20, 20, 22, 34, 24
ROW_HEAD, ROW_HEAD_MOST, HEAD_GAP = 66, 190, 8
FEW_LONGEST = 8
"""Of so many heads, the longest by their characters, the widest is found."""
GLYPH_ONE_LINE, GLYPH_TWO_LINES = 40, 35
TEXT, LINE = LABEL_PX, 17
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


def cell_size(plan: LeafPlan) -> tuple[int, int]:
    """Width and height of a place with labels; wider and higher where long ones ask for it."""
    if not plan.has_two_lines:
        return CELL_ONE_LINE
    return plan.label_cell, CELL_TWO_LINES[1] + (plan.label_lines - 1) * LINE


def heads_in_lines(
    texts: tuple[str, str],
    sizes: tuple[float, float],
    heights: tuple[float, float],
    room: float,
    height: float,
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The lines of a head and of what stands under it: two of either where there is height.

    `sizes` of their texts and `heights` of their lines, the head's first; where not even a line of
    each fits, the head stands alone.
    """
    head: tuple[str, ...] = ()
    for most in ((2, 2), (2, 1), (1, 1)):
        head = in_lines(texts[0], room / sizes[0], most[0], is_bold=True) if texts[0] else ()
        sub = in_lines(texts[1], room / sizes[1], most[1]) if texts[1] else ()
        if len(head) * heights[0] + len(sub) * heights[1] <= height:
            return head, sub
    return (head, ()) if head else (head, sub)


def row_head_width(plan: LeafPlan, sizes: tuple[float, float], k: float) -> float:
    """Room for the longest head and what stands under one, in texts of these sizes at a scale."""
    widest = ROW_HEAD * k
    for size, texts, is_bold in ((sizes[0], plan.row_head, True), (sizes[1], plan.row_sub, False)):
        longest = sorted(set(texts), key=len)[-FEW_LONGEST:]
        em = max((text_em(text, is_bold=is_bold) for text in longest), default=0.0)
        widest = max(widest, em * size + HEAD_GAP * k)
    return min(widest, ROW_HEAD_MOST * k)


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


def labelled(plan: LeafPlan) -> LeafSizes:
    """The leaf as the screen draws it at zoom 1."""
    width, height = cell_size(plan)
    lines = plan.label_lines + 1 if plan.has_two_lines else 1
    diameter = GLYPH_TWO_LINES if plan.has_two_lines else GLYPH_ONE_LINE
    clear = min(MARK_CLEAR, FOCUS_AND_MORE)
    places = glyph_place(height, diameter, lines * LINE, LABEL_GAP, clear, 2)
    return _sizes(plan, (width, height), (diameter, *places, lines), has_titles=True)


def without_labels(plan: LeafPlan) -> LeafSizes:
    """Glyphs close together under titles and heads, for a picture made small."""
    return _bare(plan, SMALL_CELL, has_titles=True)


def glyphs_alone(plan: LeafPlan) -> LeafSizes:
    """Glyphs and the edges of the leaves, nothing else, for a very large album."""
    return _bare(plan, SMALLEST_CELL, has_titles=False)


def _bare(plan: LeafPlan, side: int, *, has_titles: bool) -> LeafSizes:
    diameter = round(side * GLYPH_SHARE)
    place = (diameter, side // 2, side, 0)
    return _sizes(plan, (side, side), place, has_titles=has_titles)


def _sizes(
    plan: LeafPlan,
    cell: tuple[int, int],
    glyph: tuple[int, int, int, int],
    *,
    has_titles: bool,
) -> LeafSizes:
    pad = PAD if has_titles else 8
    gap = GAP if has_titles else 10
    title_h = TITLE if has_titles else 0
    heads_h = HEADS if has_titles and any(leaf.heads for leaf in plan.leaves) else 0
    row_head_w = 0
    if has_titles and plan.has_row_heads:
        row_head_w = ceil(row_head_width(plan, (ROW_STYLE.size, ROW_SUB_STYLE.size), 1.0))
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
