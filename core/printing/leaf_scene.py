"""Leaves as drawn, once for every paper and picture: pure, in units of the page they stand on.

`core.printing.leaf_sizes` holds the proportions, which are those of the screen; here they are
placed, at any scale, as shapes, glyphs and lines of text.
"""

from collections.abc import Collection
from dataclasses import dataclass, replace

from core.arrange.flow import Flow
from core.arrange.plan import SPACER_CODE, STATE_BITS, LeafPlan, PlanLeaf
from core.arrange.text_room import LABEL_INSET, in_lines, one_line
from core.printing.leaf_sizes import (
    CORNER,
    EDGE,
    HEAD_GAP,
    HEAD_SHARE,
    HEAD_STYLE,
    LABEL_STYLE,
    LINE,
    ROW_STYLE,
    ROW_SUB_STYLE,
    SHORT_HEAD,
    SUB_STYLE,
    TITLE_STYLE,
    WIDE_HEAD_SHARE,
    LeafSizes,
    heads_in_lines,
)
from core.printing.placed import Ink, Sheet, Style, frame, rounded, short

MIDDLE = 0.388
"""How far the baseline lies below the middle of a line, in sizes: half of what the font's ascent
(1.069) is more than its descent (0.293)."""
TEXT_HEIGHT = 1.362
RING_INSET, RING_WEIGHT, RING_CORNER = 1.5, 2.0, 8.0
_HEAD_INKS: tuple[Ink, Ink] = "ink", "mute"
LEAST_RING = 1.1
"""The ring around a changed slot is never thinner than this, in units of the page."""


@dataclass(frozen=True, slots=True)
class LeafPart:
    """A leaf, or what of it stands on one page: rows of the plan, and places of a row."""

    leaf: int
    rows: range
    places: range
    is_begin: bool = True

    def width(self, sizes: LeafSizes) -> int:
        """Width of its card."""
        return sizes.flow.left_in + len(self.places) * sizes.flow.cell_w + sizes.pad

    def height(self, sizes: LeafSizes) -> int:
        """Height of its card."""
        flow = sizes.flow
        return flow.top_in + len(self.rows) * flow.cell_h + flow.bottom_in


def whole_leaf(plan: LeafPlan, number: int) -> LeafPart:
    """All of a leaf."""
    leaf = plan.leaves[number]
    return LeafPart(
        number, range(leaf.first_row, leaf.first_row + leaf.rows), range((leaf.width + 1) // 2)
    )


@dataclass(frozen=True, slots=True)
class Pen:
    """Where leaves are drawn: a sheet, and how many of its units one unit of a leaf is.

    `changed` are cells to be ringed.
    """

    sheet: Sheet
    scale: float
    changed: Collection[int] = frozenset()

    def style(self, style: Style) -> Style:
        """A style at this scale."""
        return replace(style, size=style.size * self.scale)

    def line(self, at: tuple[float, float], text: str, style: Style, ink: Ink) -> None:
        """One line from its left end, about its middle."""
        scaled = self.style(style)
        self.sheet.text(at[0], at[1] + MIDDLE * scaled.size, text, scaled, ink)


def draw_album(pen: Pen, plan: LeafPlan, sizes: LeafSizes, flow: Flow, x: float, y: float) -> None:
    """Every leaf where the flow has it, from a top left corner."""
    for number in range(len(plan.leaves)):
        left, top, width, height = flow.leaf_box(number)
        card = (
            x + left * pen.scale, y + top * pen.scale, width * pen.scale, height * pen.scale,
        )  # fmt: skip
        draw_card(pen, card)
        draw_part(pen, plan, sizes, whole_leaf(plan, number), card[0], card[1])


def draw_card(pen: Pen, box: tuple[float, float, float, float]) -> None:
    """The card that a leaf lies on: left, top, width and height."""
    radius, edge = CORNER * pen.scale, max(0.5, EDGE * min(1.0, pen.scale))
    pen.sheet.shape("card", rounded(*box, radius))
    pen.sheet.shape("line", *frame(*box, radius, edge))


def draw_part(
    pen: Pen, plan: LeafPlan, sizes: LeafSizes, part: LeafPart, x: float, y: float
) -> None:
    """A leaf without its card, from its top left corner: title, heads, rows."""
    leaf, k = plan.leaves[part.leaf], pen.scale
    if sizes.title_h:
        _draw_title(pen, sizes, part, leaf, x, y)
    if sizes.heads_h:
        _draw_heads(pen, sizes, part, leaf, x, y)
    for down, row in enumerate(part.rows):
        top = y + (sizes.flow.top_in + down * sizes.flow.cell_h) * k
        left = x + sizes.flow.left_in * k
        if sizes.row_head_w:
            _draw_row_head(pen, plan, sizes, row, (left, top))
        _draw_row(pen, plan, sizes, part, row, (left, top))


def _draw_title(
    pen: Pen, sizes: LeafSizes, part: LeafPart, leaf: PlanLeaf, x: float, y: float
) -> None:
    k, sheet = pen.scale, pen.sheet
    style, sub = pen.style(TITLE_STYLE), pen.style(SUB_STYLE)
    middle = y + (sizes.pad // 2 + sizes.title_h / 2) * k
    room = (part.width(sizes) - 2 * sizes.pad) * k
    title = leaf.title if part.is_begin else f"{leaf.title}, continued"
    left = x + sizes.pad * k
    text = short(title, style, room, sheet.measure)
    end = sheet.text(left, middle + MIDDLE * style.size, text, style)
    end += sizes.title_h // 3 * k
    if end + sheet.measure(leaf.subtitle, sub) <= left + room:
        lower = (style.size - sub.size) * TEXT_HEIGHT / 4
        sheet.text(end, middle + lower + MIDDLE * sub.size, leaf.subtitle, sub, "mute")


def _draw_heads(
    pen: Pen, sizes: LeafSizes, part: LeafPart, leaf: PlanLeaf, x: float, y: float
) -> None:
    k, sheet, cell_w = pen.scale, pen.sheet, sizes.flow.cell_w
    style = pen.style(HEAD_STYLE)
    base = y + (sizes.pad // 2 + sizes.title_h + sizes.heads_h / 2) * k + MIDDLE * style.size
    for at, place in enumerate(part.places[: len(leaf.heads)]):
        beside = (*leaf.heads[max(0, place - 1) : place], *leaf.heads[place + 1 :][:1])
        has_room = all(len(other) <= SHORT_HEAD for other in beside)
        room = cell_w * (WIDE_HEAD_SHARE if has_room else HEAD_SHARE) * k
        text = short(leaf.heads[place], style, room, sheet.measure)
        centre = x + (sizes.flow.left_in + (at + 0.5) * cell_w) * k
        sheet.text_about(centre, base, text, style, "mute")


def _draw_row_head(
    pen: Pen, plan: LeafPlan, sizes: LeafSizes, row: int, at: tuple[float, float]
) -> None:
    """The date of a row and what differs, about the height of its glyphs."""
    k = pen.scale
    room = (sizes.row_head_w - HEAD_GAP / 2) * k
    left = at[0] - sizes.row_head_w * k, at[1]
    _draw_two_heads(pen, sizes, (plan.row_head[row], plan.row_sub[row]), left, room)


def _draw_two_heads(
    pen: Pen, sizes: LeafSizes, texts: tuple[str, str], at: tuple[float, float], room: float
) -> None:
    """A head and the quieter lines below it, from the top left corner of their row."""
    k, head, sub = pen.scale, pen.style(ROW_STYLE), pen.style(ROW_SUB_STYLE)
    heights = head.size * TEXT_HEIGHT, sub.size * TEXT_HEIGHT
    lines = heads_in_lines(texts, (head.size, sub.size), heights, room, sizes.flow.cell_h * k)
    both = len(lines[0]) * heights[0] + len(lines[1]) * heights[1]
    top = at[1] + max(0.0, sizes.centre_y * k - both / 2)
    for part, style, high, ink in zip(lines, (head, sub), heights, _HEAD_INKS, strict=True):
        for text in part:
            base = top + high / 2 + MIDDLE * style.size
            pen.sheet.short_text(at[0], base, text, style, room + HEAD_GAP / 2 * k, ink)
            top += high


def _draw_row(
    pen: Pen, plan: LeafPlan, sizes: LeafSizes, part: LeafPart, row: int, at: tuple[float, float]
) -> None:
    k, sheet, flow = pen.scale, pen.sheet, sizes.flow
    for place in part.places:
        cell = plan.cell_at(row, place)
        if cell < 0:
            continue
        left = at[0] + (plan.row_indent[row] / 2 + place - part.places.start) * flow.cell_w * k
        if plan.codes[cell] & STATE_BITS == SPACER_CODE:
            if plan.names[cell] and sizes.lines:
                on_part = 2 * (part.places.stop - place) - plan.row_indent[row]
                room = min(plan.caption_room(cell), max(2, on_part)) * flow.cell_w / 2 - HEAD_GAP
                words = plan.lines[plan.l1[cell]], plan.lines[plan.l2[cell]]
                _draw_two_heads(pen, sizes, words, (left, at[1]), room * k)
            continue
        centre = left + flow.cell_w / 2 * k
        if cell in pen.changed:
            _draw_ring(pen, (left, at[1], flow.cell_w * k, flow.cell_h * k))
        sheet.glyph(plan.codes[cell], centre, at[1] + sizes.centre_y * k, sizes.diameter * k)
        _draw_labels(pen, plan, sizes, cell, (centre, at[1]))


def _draw_labels(
    pen: Pen, plan: LeafPlan, sizes: LeafSizes, cell: int, at: tuple[float, float]
) -> None:
    """The lines under a glyph, `at` the middle of its cell's top: a label, and what it holds."""
    if not sizes.lines:
        return
    k, style = pen.scale, pen.style(LABEL_STYLE)
    room = (sizes.flow.cell_w - 2 * LABEL_INSET) / LABEL_STYLE.size
    first = in_lines(plan.lines[plan.l1[cell]], room, max(1, sizes.lines - 1))
    lines: list[tuple[str, Ink]] = [(t, "ink" if plan.has_two_lines else "mute") for t in first]
    if sizes.lines > 1:
        lines.append((one_line(plan.lines[plan.l2[cell]], room), "mute"))
    for number, (text, ink) in enumerate(lines):
        if text:
            middle = at[1] + (sizes.label_y + (number + 0.5) * LINE) * k
            drawn = short(text, style, (sizes.flow.cell_w - 2) * k, pen.sheet.measure)
            pen.sheet.text_about(at[0], middle + MIDDLE * style.size, drawn, style, ink)


def _draw_ring(pen: Pen, cell: tuple[float, float, float, float]) -> None:
    """A frame around a changed slot."""
    inset = RING_INSET * pen.scale
    box = cell[0] + inset, cell[1] + inset, cell[2] - 2 * inset, cell[3] - 2 * inset
    weight = max(LEAST_RING, RING_WEIGHT * pen.scale)
    pen.sheet.shape("select", rounded(*box, RING_CORNER * pen.scale))
    pen.sheet.shape("accent", *frame(*box, RING_CORNER * pen.scale, weight))
