"""A leaf at real size: holes to lay coins on or to cut out, cut over sheets where it must be.

All measures in points. Every sheet has a bar of 50 mm to check the print by; where a leaf is cut,
the edges to trim are dashed, and a small map shows which part of the leaf this is.
"""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

from core.arrange.plan import LeafPlan
from core.printing.checklist import Paper
from core.printing.leaf_picture import Heading
from core.printing.leaf_scene import MIDDLE
from core.printing.placed import (
    MM,
    Ink,
    Measure,
    Page,
    PlacedRule,
    Sheet,
    Style,
    frame,
    rounded,
    short,
)
from core.printing.real_size_parts import (
    COLUMN_HEAD,
    FOOT_HEIGHT,
    HEAD,
    LABEL,
    LABEL_GAP,
    LEADING,
    NOTE,
    PAD,
    ROW_HEAD,
    ROW_SUB,
    TITLE,
    Grid,
    Part,
    RealSize,
    Room,
    is_title_row,
    label_of,
    lines_of,
    mm_text,
    parts_of,
)
from core.printing.text_runs import Face, wrap_text

BAR_MM, TICK_MM = 50, 10
LINE = 0.25
"""A hole's line, 0.09 mm: its inner and its outer edge too are within 0.1 mm of the diameter."""
NAME, WHERE = Style(Face.BOLD, 13.0), Style(Face.REGULAR, 9.4)
SUBTITLE, CAPTION = Style(Face.REGULAR, 9.4), Style(Face.BOLD, 10.4)
FOOT, MAP_FIGURE = Style(Face.REGULAR, 7.4), Style(Face.REGULAR, 6.0)
_CORNER, _CROSS = 8.0, 2.4 * MM
_MARK_FROM, _MARK, _DASH, _MARK_WEIGHT = 0.8 * MM, 3.0 * MM, 2.0 * MM, 0.4
_MAP_WIDTH, _MAP_HEIGHT, _MAP_GAP = 26.0 * MM, 32.0, 12.0
_BAR_WORDS = f"This bar is {BAR_MM} mm. If not, print at 100 %, no fitting to the page."


def lay_out_real_size(
    plan: LeafPlan,
    heading: Heading,
    leaves: Collection[int] | None,
    paper: Paper,
    measure: Measure,
    look: RealSize,
) -> tuple[Page, ...]:
    """Pages of leaves (by their numbers from 0, None for all) at real size, at least one page.

    Raises BadEntry where a size is out of reason or a hole has no room on the paper, IndexError for
    a leaf that is not there.
    """
    numbers = range(len(plan.leaves)) if leaves is None else sorted(leaves)
    room, parts = parts_of(plan, numbers, paper, measure, look)
    pages = []
    for at, part in enumerate(parts, 1):
        sheet = Sheet(measure)
        here = [other for other in parts if other.grid is part.grid]
        x = room.margin + max(0.0, (room.inner - (part.right - part.left)) / 2)
        _draw_head(sheet, heading, _where(part), room)
        _draw_edges(sheet, part, x, room.top)
        _draw_part(_Pen(sheet, plan, look, x - part.left, room.top - part.top), part)
        _draw_foot(sheet, room, _foot_texts(plan, part, here, look), f"page {at} of {len(parts)}")
        if part.of > 1:
            _draw_map(sheet, part, here, room)
        pages.append(sheet.page(room.width, room.height))
    return tuple(pages) or (_empty_page(heading, room, measure),)


# --- drawing ---------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Pen:
    """A sheet, and where the leaf's own corner would lie on it."""

    sheet: Sheet
    plan: LeafPlan
    look: RealSize
    x: float
    y: float

    def centred(
        self, x: float, top: float, lines: Sequence[str], style: Style, ink: Ink = "ink"
    ) -> None:
        """Lines one under the other about their middle, from a height downwards."""
        lead = style.size * LEADING
        for at, line in enumerate(lines):
            base = top + (at + 0.5) * lead + MIDDLE * style.size
            self.sheet.text_about(self.x + x, self.y + base, line, style, ink)


def _draw_part(pen: _Pen, part: Part) -> None:
    grid = part.grid
    leaf = pen.plan.leaves[grid.leaf]
    if not part.rows.start:
        if not part.columns.start:
            _draw_title(pen, leaf.title, leaf.subtitle, part.right - 2 * PAD)
        _draw_column_heads(pen, part, leaf.heads)
    for down in part.rows:
        row = leaf.first_row + down
        top = grid.rows_at[down] + pen.look.gap_mm * MM / 2
        middle = top + grid.holes[down] / 2
        if not part.columns.start:
            heads = pen.plan.row_head[row], pen.plan.row_sub[row]
            _draw_heads(pen, heads, (PAD, middle, grid.holes[down]), grid.left - PAD - 2.0)
        indent = pen.plan.row_indent[row]
        first = indent // 2 if part.is_cut_across else indent / 2
        for at, cell in enumerate(pen.plan.cells_of_row(row)):
            place = first + at
            if not part.columns.start <= place < part.columns.stop:
                continue
            left = grid.left + place * grid.pitch
            if pen.plan.is_caption(cell):
                places = min(pen.plan.caption_room(cell) / 2, part.columns.stop - place)
                spot = left + 2.0, middle, grid.holes[down]
                _draw_caption(pen, cell, spot, places * grid.pitch - 6.0, grid.rows_at[down + 1])
            elif pen.plan.is_slot(cell):
                _draw_slot(pen, grid, cell, (left + grid.pitch / 2, middle, grid.holes[down]))


def _draw_slot(pen: _Pen, grid: Grid, cell: int, at: tuple[float, float, float]) -> None:
    """A hole with its label and figure; `at` is its centre, and the largest hole of its row."""
    plan, look = pen.plan, pen.look
    x, middle, row_hole = at
    slot = plan.slot_ids[cell]
    _draw_hole(pen.sheet, pen.x + x, pen.y + middle, look.hole(slot))
    top = middle + row_hole / 2 + LABEL_GAP
    lines = lines_of(label_of(plan, cell, look), LABEL, grid.pitch, pen.sheet.measure)
    pen.centred(x, top, lines, LABEL)
    note, below = look.notes.get(slot, ""), len(lines) * LABEL.size * LEADING
    has_room = below + NOTE.size * LEADING <= grid.under + 0.01
    if note and has_room and pen.sheet.measure(note, NOTE) <= grid.pitch - 2.0:
        pen.centred(x, top + below, (note,), NOTE, "mute")


def _draw_hole(sheet: Sheet, x: float, y: float, diameter: float) -> None:
    """A circle whose line runs along the diameter, and a cross in its centre."""
    outer = diameter + LINE
    left, top = x - outer / 2, y - outer / 2
    sheet.shape("ink", *frame(left, top, outer, outer, outer / 2, LINE))
    arm, half = min(_CROSS, diameter / 4) / 2, LINE / 2
    cross = [rounded(x - arm, y - half, 2 * arm, LINE)]
    cross += [rounded(x - half, end, LINE, arm - half) for end in (y - arm, y + half)]
    sheet.shape("mute", *cross)


def _draw_caption(
    pen: _Pen, cell: int, at: tuple[float, float, float], room: float, bottom: float
) -> None:
    """A block's title at the bottom of its row, or a head beside holes; `at` as `_draw_heads`."""
    plan, sheet = pen.plan, pen.sheet
    texts = plan.lines[plan.l1[cell]], plan.lines[plan.l2[cell]]
    if is_title_row(plan, plan.where(cell)[0]):
        base = pen.y + bottom - 0.5 * CAPTION.size
        sheet.short_text(pen.x + at[0], base, " ".join(texts).rstrip(), CAPTION, room)
    else:
        _draw_heads(pen, texts, at, room)


def _draw_title(pen: _Pen, title: str, subtitle: str, width: float) -> None:
    sheet, left = pen.sheet, pen.x + PAD
    base = pen.y + PAD + TITLE.size * 0.8 + MIDDLE * TITLE.size
    end = sheet.short_text(left, base, title, TITLE, width)
    start = end + 8.0 if title else left
    if start + sheet.measure(subtitle, SUBTITLE) <= left + width:
        sheet.text(start, base, subtitle, SUBTITLE, "mute")


def _draw_column_heads(pen: _Pen, part: Part, heads: Sequence[str]) -> None:
    grid, lead = part.grid, COLUMN_HEAD.size * LEADING
    for column in part.columns:
        if column < len(heads):
            lines = lines_of(heads[column], COLUMN_HEAD, grid.pitch, pen.sheet.measure)
            x = grid.left + (column + 0.5) * grid.pitch
            pen.centred(x, grid.top - len(lines) * lead, lines, COLUMN_HEAD, "mute")


def _draw_heads(
    pen: _Pen, texts: tuple[str, str], at: tuple[float, float, float], width: float
) -> None:
    """A date and what differs under it; `at`: the left, the middle, and how high the holes are."""
    left, middle, high = at
    measure = pen.sheet.measure
    most = max(1, min(3, int(high / (ROW_HEAD.size * LEADING)) - 1))
    lines = [(text, ROW_HEAD) for text in lines_of(texts[0], ROW_HEAD, width + 2.0, measure, most)]
    lines += [(text, ROW_SUB) for text in lines_of(texts[1], ROW_SUB, width + 2.0, measure, most)]
    y = pen.y + middle - sum(style.size * LEADING for _, style in lines) / 2
    for text, style in lines:
        base = y + style.size * LEADING / 2 + MIDDLE * style.size
        pen.sheet.text(pen.x + left, base, text, style)
        y += style.size * LEADING


# --- the edges of a part ---------------------------------------------------------------------


def _draw_edges(sheet: Sheet, part: Part, x: float, y: float) -> None:
    """The leaf's own edges as lines, those to trim dashed, with marks at the corners beyond."""
    width, height = part.right - part.left, part.bottom - part.top
    if part.of == 1:
        sheet.shape("line", *frame(x, y, width, height, _CORNER, 0.5))
        return
    left, above, right, below = part.seams
    for has_seam, at in ((above, y), (below, y + height)):
        _edge(sheet, (x, at, width), has_seam, is_upright=False)
    for has_seam, at in ((left, x), (right, x + width)):
        _edge(sheet, (at, y, height), has_seam, is_upright=True)
    for seam, at in ((left, x), (right, x + width)):
        if seam:
            _mark(sheet, at, y - _MARK_FROM - _MARK, is_upright=True)
            _mark(sheet, at, y + height + _MARK_FROM, is_upright=True)
    for seam, at in ((above, y), (below, y + height)):
        if seam:
            _mark(sheet, x - _MARK_FROM - _MARK, at, is_upright=False)
            _mark(sheet, x + width + _MARK_FROM, at, is_upright=False)


def _edge(
    sheet: Sheet, at: tuple[float, float, float], has_seam: bool, *, is_upright: bool
) -> None:
    """A line from its beginning, so long; dashed where it is to be trimmed."""
    x, y, length = at
    half = LINE / 2
    runs = _dashes(length) if has_seam else iter([(0.0, length)])
    if is_upright:
        sheet.shape("line", *(rounded(x - half, y + start, LINE, long) for start, long in runs))
    else:
        sheet.shape("line", *(rounded(x + start, y - half, long, LINE) for start, long in runs))


def _dashes(length: float) -> Iterator[tuple[float, float]]:
    """Dashes along a line that begin and end it."""
    count = max(1, round((length / _DASH + 1) / 2))
    each = length / (2 * count - 1)
    for number in range(count):
        yield 2 * number * each, each


def _mark(sheet: Sheet, x: float, y: float, *, is_upright: bool) -> None:
    half = _MARK_WEIGHT / 2
    box = (x - half, y, _MARK_WEIGHT, _MARK) if is_upright else (x, y - half, _MARK, _MARK_WEIGHT)
    sheet.shape("ink", rounded(*box))


# --- around the leaf -------------------------------------------------------------------------


def _where(part: Part) -> str:
    """leaf 2 · sheet 1 of 4 (columns 1–4, rows 1–5)."""
    leaf = f"leaf {part.grid.leaf + 1}"
    if part.of == 1:
        return leaf
    spans = [_span("column", part.columns), _span("row", part.rows)]
    return f"{leaf} · sheet {part.number} of {part.of} ({', '.join(spans)})"


def _span(word: str, places: range) -> str:
    if len(places) == 1:
        return f"{word} {places.start + 1}"
    return f"{word}s {places.start + 1}–{places.stop}"


def _draw_head(sheet: Sheet, heading: Heading, where: str, room: Room) -> None:
    """The album's name and which sheet this is, over a line."""
    base, right = room.margin + 11.0, room.width - room.margin
    most = room.inner * 0.66
    start = sheet.text_to(right, base, short(where, WHERE, most, sheet.measure), WHERE)
    sheet.short_text(room.margin, base, heading.name, NAME, start - 14.0 - room.margin)
    sheet.rules.append(PlacedRule(room.margin, room.margin + HEAD, room.inner, 1.0))


def _foot_texts(
    plan: LeafPlan, part: Part, parts: Sequence[Part], look: RealSize
) -> tuple[str, str]:
    """What the holes are, and how this sheet is joined to the others."""
    leaf = plan.leaves[part.grid.leaf]
    cells = (c for r in range(leaf.rows) for c in plan.cells_of_row(leaf.first_row + r))
    coins = {look.hole(plan.slot_ids[c]) for c in cells if plan.is_slot(c)}
    more = f"{look.clearance_mm:g} mm of clearance"
    if len(coins) > 1:
        least, most = (mm_text(coin) for coin in (min(coins), max(coins)))
        holes = f"Holes of {least} to {most} mm: each its coin and {more}."
    else:
        hole = next(iter(coins), look.hole(0))
        coin = mm_text(hole - look.clearance_mm * MM)
        holes = f"Holes of {mm_text(hole)} mm: {coin} mm and {more}."
    return holes, _joining(part, parts)


def _joining(part: Part, parts: Sequence[Part]) -> str:
    """Which sheets join where; "" where the leaf is on one."""
    if part.of == 1:
        return ""
    sides = ((other.number, _side(part, other)) for other in parts)
    joins = ", ".join(f"sheet {number} {side}" for number, side in sides if side)
    return f"Trim along the dashes and join {joins}."


def _side(part: Part, other: Part) -> str:
    """On which side of a part another joins, "" where they do not meet along an edge."""
    if other.rows == part.rows:
        if other.columns.stop == part.columns.start:
            return "on the left"
        return "on the right" if other.columns.start == part.columns.stop else ""
    if other.columns == part.columns:
        if other.rows.stop == part.rows.start:
            return "above"
        return "below" if other.rows.start == part.rows.stop else ""
    return ""


def _draw_foot(sheet: Sheet, room: Room, texts: Sequence[str], page: str) -> None:
    """The check bar with its words, what the holes are, how to join, and the page."""
    left, top = room.margin, room.height - room.margin - FOOT_HEIGHT
    end = draw_bar(sheet, left, top + 13.0)
    width = room.inner - _MAP_WIDTH - _MAP_GAP - (end - left) - 10.0
    lines = _even_lines(_BAR_WORDS, width, sheet.measure)
    lead = FOOT.size * LEADING
    for at, line in enumerate(lines):
        y = top + 6.0 + (at - (len(lines) - 1) / 2) * lead + MIDDLE * FOOT.size
        sheet.text(end + 10.0, y, line, FOOT)
    base = room.height - room.margin - 1.8
    holes, joining = texts
    at_page = sheet.text_to(room.width - room.margin, base, page, FOOT)
    sheet.short_text(left, base - lead, holes, FOOT, room.inner - _MAP_WIDTH - _MAP_GAP)
    sheet.short_text(left, base, joining, FOOT, at_page - _MAP_GAP - left)


def _even_lines(text: str, width: float, measure: Measure) -> tuple[str, ...]:
    """A text on as few lines as it needs, the longest as short as can be."""

    def wrapped(room: float) -> tuple[str, ...]:
        return wrap_text(text, room, lambda part: measure(part, FOOT))

    lines = wrapped(width)
    rooms = (width * share / 100 for share in range(50, 100, 5))
    return next((even for room in rooms if len(even := wrapped(room)) == len(lines)), lines)


def draw_bar(sheet: Sheet, x: float, y: float) -> float:
    """A bar of exactly 50 mm with a tick every 10 mm, on a height; gives its right end."""
    length, weight, tick = BAR_MM * MM, 0.8, 0.5
    parts = [rounded(x, y - weight, length, weight)]
    for mm in range(0, BAR_MM + 1, TICK_MM):
        high = 7.0 if mm in (0, BAR_MM) else 4.5
        at = {0: 0.0, BAR_MM: length - tick}.get(mm, mm * MM - tick / 2)
        parts.append(rounded(x + at, y - weight - high, tick, high))
    sheet.shape("ink", *parts)
    return x + length


def _draw_map(sheet: Sheet, part: Part, parts: Sequence[Part], room: Room) -> None:
    """The leaf in small, cut as it is, this sheet filled and the others numbered."""
    width, height = max(p.right for p in parts), max(p.bottom for p in parts)
    scale = min(_MAP_WIDTH / width, _MAP_HEIGHT / height)
    x = room.width - room.margin - width * scale
    y = room.height - room.margin - FOOT_HEIGHT + _MAP_HEIGHT - height * scale
    for other in parts:
        box = (
            x + other.left * scale, y + other.top * scale,
            (other.right - other.left) * scale, (other.bottom - other.top) * scale,
        )  # fmt: skip
        if other is part:
            sheet.shape("ink", rounded(*box))
            continue
        sheet.shape("line", *frame(*box, 0.0, 0.4))
        number = str(other.number)
        if sheet.measure(number, MAP_FIGURE) + 2 <= box[2] and MAP_FIGURE.size + 1 <= box[3]:
            middle = box[1] + box[3] / 2 + MIDDLE * MAP_FIGURE.size
            sheet.text_about(box[0] + box[2] / 2, middle, number, MAP_FIGURE)


def _empty_page(heading: Heading, room: Room, measure: Measure) -> Page:
    sheet = Sheet(measure)
    _draw_head(sheet, heading, "", room)
    sheet.text(room.margin, room.top + 12.0, "This album has no slots.", WHERE)
    _draw_foot(sheet, room, ("", ""), "page 1 of 1")
    return sheet.page(room.width, room.height)
