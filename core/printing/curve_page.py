"""A curve of the upgrades on paper: the chart, and below it the table of the same figures. Pure.

All in points. The curve is a thick full line, one beside it thin and dashed, so that they are told
apart without colour; corners and ticks are those of `core.planning.drawn`, as on screen.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from core.glyph.shapes import Contour
from core.planning.drawn import Drawn
from core.printing.checklist import Paper
from core.printing.page_edges import Frame, draw_footer, frame_of
from core.printing.placed import (
    Measure,
    Page,
    PlacedRule,
    Sheet,
    Style,
    Wrap,
    rounded,
)
from core.printing.text_runs import Face

CURVE_PAPERS = (Paper.A4, Paper.LETTER, Paper.A5)
TITLE, ASIDE = Style(Face.BOLD, 19.0), Style(Face.REGULAR, 12.0)
PLAIN, STRONG = Style(Face.REGULAR, 9.4), Style(Face.BOLD, 9.4)
SMALL, HEAD = Style(Face.REGULAR, 8.6), Style(Face.REGULAR, 7.2)
TICK = Style(Face.REGULAR, 8.0)
LINE, ROW, HEADS = 13.5, 14.5, 14.0
CHART_SHARE, CHART_LEAST = 0.34, 150.0
THICK, THIN = 1.8, 1.0
DASH, SPACE = 5.0, 3.2
COLUMN_GAP, CELL_GAP, MOST_COLUMNS = 26.0, 14.0, 3
MOST_ALBUM_LINES = 2
FEW_ROWS = 6
"""So few rows stand in one column."""
Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Marked:
    """A place across that is marked with a plumb line, a dot and words: the budget."""

    across: float
    text: str


@dataclass(frozen=True, slots=True)
class CurveTable:
    """The figures behind a curve; the first `texts` columns are words, the others figures."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    texts: int = 0


@dataclass(frozen=True, slots=True)
class CurveSheet:
    """A curve, ready to be laid out.

    `facts` are names and values below the title; `names` what the full and the dashed line are, ""
    for the second where there is none; `up_name` and `across_name` name the axes. `notes` stand
    below the chart, `empty_text` instead of chart and table where nothing is drawn.
    """

    title: str
    kind: str
    albums: str
    day_text: str
    facts: tuple[tuple[str, str], ...]
    drawn: Drawn
    across_name: str
    names: tuple[str, str]
    marked: Marked | None
    table: CurveTable
    notes: tuple[str, ...]
    footer: str
    empty_text: str = "There is nothing to draw."

    @property
    def is_empty(self) -> bool:
        """Whether there is no curve to draw: nothing is bought at any amount."""
        return len(self.drawn.stairs) < 2 and len(self.drawn.beside) < 2


def curve_pages(sheet: CurveSheet, paper: Paper, measure: Measure, wrap: Wrap) -> tuple[Page, ...]:
    """The curve and its table on as many pages of a paper as they need."""
    edges = frame_of(paper)
    pages = [Sheet(measure)]
    y = _draw_head(pages[0], sheet, edges, wrap)
    notes = wrap(" ".join(sheet.notes), SMALL, edges.width)
    if sheet.is_empty:
        y = _draw_lines(pages[0], edges.left, y + 6.0, wrap(sheet.empty_text, PLAIN, edges.width))
        _draw_lines(pages[0], edges.left, y + 4.0, notes, SMALL)
    else:
        high = max(CHART_LEAST, CHART_SHARE * edges.height)
        y = _draw_legend(pages[0], sheet, edges.left, y)
        draw_chart(pages[0], sheet, (edges.left, y, edges.width, high))
        y = _draw_lines(pages[0], edges.left, y + high + 4.0, notes, SMALL)
        _draw_table(pages, sheet, edges, y + 8.0, wrap)
    for number, page in enumerate(pages, 1):
        draw_footer(page, sheet.footer, f"page {number} of {len(pages)}", edges)
    return tuple(page.page(edges.paper_width, edges.paper_height) for page in pages)


# ---- words


def _draw_head(page: Sheet, sheet: CurveSheet, edges: Frame, wrap: Wrap) -> float:
    """Title, albums, day and facts; gives where they end."""
    left, right = edges.left, edges.right
    base = edges.top + 17.0
    beside = max(page.measure(sheet.kind, ASIDE), page.measure(sheet.day_text, SMALL))
    page.short_text(left, base, sheet.title, TITLE, edges.width - beside - 20.0)
    page.text_to(right, base - 6.0, sheet.kind, ASIDE)
    page.text_to(right, base + 7.4, sheet.day_text, SMALL, "mute")
    page.rules.append(PlacedRule(left, base + 14.6, edges.width, 1.1))
    y = base + 20.0
    lines = wrap(sheet.albums, STRONG, edges.width)
    for at, line in enumerate(lines[:MOST_ALBUM_LINES], 1):
        is_cut = at == MOST_ALBUM_LINES and len(lines) > at
        text = f"{line} {lines[at]}" if is_cut else line
        page.short_text(left, y + 10.0, text, STRONG, edges.width)
        y += LINE
    room = max((page.measure(name, SMALL) for name, _ in sheet.facts), default=0.0) + 10.0
    for name, value in sheet.facts:
        page.text(left, y + 10.0, name, SMALL, "mute")
        y = _draw_lines(page, left + room, y, wrap(value, PLAIN, edges.width - room))
    return y + 8.0


def _draw_lines(
    page: Sheet, x: float, y: float, lines: Sequence[str], style: Style = PLAIN
) -> float:
    for line in lines:
        page.text(x, y + 10.0, line, style)
        y += LINE
    return y


def _draw_legend(page: Sheet, sheet: CurveSheet, x: float, y: float) -> float:
    """What is counted; where there are two curves, which line is which."""
    base = y + 9.0
    end = page.text(x, base, f"{sheet.drawn.figure}, by {sheet.across_name}", STRONG)
    full, dashed = sheet.names
    if dashed:
        for name, is_dashed in ((full, False), (dashed, True)):
            begin, middle = end + 18.0, base - 3.2
            points = [(begin, middle), (begin + 22.0, middle)]
            page.shape("mute" if is_dashed else "accent", *_line(points, is_dashed))
            end = page.text(begin + 27.0, base, name, SMALL)
    return y + 17.0


def _draw_running(page: Sheet, sheet: CurveSheet, edges: Frame) -> float:
    """The small header of further pages; gives where it ends."""
    base = edges.top + 8.4
    begin = page.text_to(edges.right, base, sheet.day_text, SMALL)
    end = page.short_text(edges.left, base, sheet.title, STRONG, begin - edges.left - 10.0)
    page.short_text(end + 8.0, base, sheet.albums, SMALL, begin - end - 18.0)
    page.rules.append(PlacedRule(edges.left, base + 5.6, edges.width, 0.7))
    return base + 14.0


# ---- the chart


def draw_chart(page: Sheet, sheet: CurveSheet, box: tuple[float, float, float, float]) -> None:
    """The axes, both curves and the mark within x, y, width and height."""
    drawn, measure = sheet.drawn, page.measure
    x, y, width, height = box
    room = max(measure(tick.text, TICK) for tick in drawn.ticks_up) + 7.0
    left, top, bottom = x + room, y + 5.0, y + height - 16.0
    right = x + width

    def at(point: Point) -> Point:
        across, figure = point
        share = min(1.0, across / drawn.most)
        return left + (right - left) * share, bottom - (bottom - top) * figure / drawn.high

    for tick in drawn.ticks_up:
        _, level = at((0.0, tick.at))
        page.rules.append(PlacedRule(left, level, right - left, 0.9 if not tick.at else 0.25))
        page.text_to(left - 5.0, level + 2.9, tick.text, TICK, "mute")
    end = x
    for tick in drawn.ticks_across:
        place, _ = at((tick.at, 0.0))
        page.shape("line", rounded(place - 0.25, bottom, 0.5, 3.5))
        wide = measure(tick.text, TICK)
        begin = min(place - wide / 2, right - wide)
        if begin >= end:  # else there is no room for it
            end = page.text(begin, bottom + 12.5, tick.text, TICK, "mute") + 6.0
    if drawn.beside:
        page.shape("mute", *_line([at(corner) for corner in drawn.corners_beside], True))
    page.shape("accent", *_line([at(corner) for corner in drawn.corners], False))
    if sheet.marked is not None:
        point = at((sheet.marked.across, drawn.figure_at(sheet.marked.across)))
        _draw_mark(page, sheet.marked.text, point, bottom, right)


def _line(points: Sequence[Point], is_dashed: bool) -> Iterator[Contour]:
    if is_dashed:
        for dash in dashes(points):
            yield ribbon(dash, THIN)
    else:
        yield ribbon(points, THICK)


def ribbon(points: Sequence[Point], weight: float) -> Contour:
    """The outline of a line that only goes right and up, so thick.

    Each corner is moved by half the weight to either side of the way it goes: since the line never
    turns back its outline never crosses itself, however short the stairs are.
    """
    half = weight / 2
    above = [(x - half, y - half) for x, y in points]
    below = [(x + half, y + half) for x, y in points]
    for end, other in ((0, 1), (-1, -2)):  # cut off at right angles
        (x, y), (_, beyond) = points[end], points[other]
        if y == beyond:
            above[end], below[end] = (x, y - half), (x, y + half)
        else:
            above[end], below[end] = (x - half, y), (x + half, y)
    (first_x, first_y), *others = [*above, *reversed(below)]
    return (("M", first_x, first_y), *(("L", x, y) for x, y in others))


def dashes(points: Sequence[Point]) -> Iterator[list[Point]]:
    """A line of right angles cut into dashes, each with the corners it goes round."""
    now: list[Point] = [points[0]]
    is_on, left = True, DASH
    for (x, y), (to_x, to_y) in pairwise(points):
        gone, long = 0.0, abs(to_x - x) + abs(to_y - y)
        if not long:
            continue
        while long - gone > left:
            gone += left
            share = gone / long
            place = (x + (to_x - x) * share, y + (to_y - y) * share)
            if is_on:
                yield [*now, place]
            is_on = not is_on
            now, left = [place], DASH if is_on else SPACE
        left -= long - gone
        now.append((to_x, to_y))
    if is_on and len(now) > 1:
        yield now


def _draw_mark(page: Sheet, text: str, point: Point, bottom: float, right: float) -> None:
    """A dotted plumb line down to the axis, a dot on the curve, and words beside the line.

    To the right of the line and below the dot there is never a curve that rises; where the words
    have no room there they stand to its left.
    """
    x, y = point
    level = bottom - 1.4
    dots = []
    while level > y + 4.0:
        dots.append(rounded(x - 0.4, level - 1.4, 0.8, 1.4))
        level -= 3.4
    if dots:
        page.shape("ink", *dots)
    page.shape("paper", rounded(x - 4.6, y - 4.6, 9.2, 9.2, 4.6))
    page.shape("accent", rounded(x - 3.4, y - 3.4, 6.8, 6.8, 3.4))
    if x + 5.0 + page.measure(text, SMALL) <= right:
        page.text(x + 5.0, bottom - 5.0, text, SMALL)
    else:
        page.text_to(x - 5.0, bottom - 5.0, text, SMALL)


# ---- the table


@dataclass(frozen=True, slots=True)
class _Columns:
    """How the table stands: so many times beside itself, and the width of each of its columns."""

    times: int
    widths: tuple[float, ...]
    step: float


def _columns(table: CurveTable, width: float, measure: Measure) -> _Columns:
    """As many beside each other as have room; words take what figures leave over."""
    needed = [
        max([measure(head, HEAD), *(measure(row[at], PLAIN) for row in table.rows)])
        for at, head in enumerate(table.heads)
    ]
    gaps = CELL_GAP * (len(needed) - 1)
    whole = sum(needed) + gaps
    times = max(1, min(MOST_COLUMNS, int((width + COLUMN_GAP) / (whole + COLUMN_GAP))))
    room = (width - (times - 1) * COLUMN_GAP) / times
    if table.texts:
        last = table.texts - 1
        others = sum(needed) - needed[last] + gaps
        needed[last] = max(40.0, room - others)
    else:
        more = (room - whole) / len(needed)
        needed = [one + max(0.0, more) for one in needed]
    return _Columns(times, tuple(needed), room + COLUMN_GAP)


def _draw_table(pages: list[Sheet], sheet: CurveSheet, edges: Frame, y: float, wrap: Wrap) -> None:
    """Rows in columns, page by page; even on the last one."""
    table, measure = sheet.table, pages[0].measure
    columns = _columns(table, edges.width, measure)
    rows = [
        tuple(
            wrap(text, PLAIN, columns.widths[at]) or ("",) if at < table.texts else (text,)
            for at, text in enumerate(row)
        )
        for row in table.rows
    ]
    times = min(columns.times, max(1, -(-len(rows) // FEW_ROWS)))
    heights = [ROW + LINE * (max(map(len, row)) - 1) for row in rows]
    done = 0
    while done < len(rows):
        if done or y + HEADS + 2 * ROW > edges.bottom:
            pages.append(Sheet(measure))
            y = _draw_running(pages[-1], sheet, edges)
        room = edges.bottom - y - HEADS
        fits = _how_many(heights[done:], room, times)
        if fits == len(rows) - done:
            room = _least_room(heights[done:], times)
        for time in range(times):
            many = _how_many(heights[done:], room, 1)
            if not many:
                break
            x = edges.left + time * columns.step
            _draw_heads(pages[-1], table, columns, x, y)
            low = y + HEADS
            for row, high in zip(rows[done : done + many], heights[done:], strict=False):
                _draw_row(pages[-1], table, columns, row, x, low)
                low += high
                wide = columns.step - COLUMN_GAP
                pages[-1].rules.append(PlacedRule(x, low, wide, 0.25))
            done += many


def _how_many(heights: Sequence[float], room: float, times: int) -> int:
    """How many rows fit into so many columns of a height; at least one in the first."""
    many = 0
    for _ in range(times):
        used = 0.0
        begun = many
        while many < len(heights) and (used + heights[many] <= room + 0.01 or (many == begun == 0)):
            used += heights[many]
            many += 1
    return many


def _least_room(heights: Sequence[float], times: int) -> float:
    """The least height in which all rows fit into so many columns."""
    low, high = max(*heights, sum(heights) / times), sum(heights)
    while high - low > 0.5:
        middle = (low + high) / 2
        if _how_many(heights, middle, times) == len(heights):
            high = middle
        else:
            low = middle
    return high


def _cells(columns: _Columns, x: float) -> Iterator[tuple[int, float, float]]:
    """Each column's number, its left and its right end."""
    for at, width in enumerate(columns.widths):
        yield at, x, x + width
        x += width + CELL_GAP


def _draw_heads(page: Sheet, table: CurveTable, columns: _Columns, x: float, y: float) -> None:
    for at, left, right in _cells(columns, x):
        if at < table.texts:
            page.text(left, y + 8.0, table.heads[at], HEAD, "mute")
        else:
            page.text_to(right, y + 8.0, table.heads[at], HEAD, "mute")
    page.rules.append(PlacedRule(x, y + 11.5, columns.step - COLUMN_GAP, 0.5))


def _draw_row(
    page: Sheet,
    table: CurveTable,
    columns: _Columns,
    row: Sequence[Sequence[str]],
    x: float,
    y: float,
) -> None:
    for at, left, right in _cells(columns, x):
        for down, text in enumerate(row[at]):
            base = y + 10.4 + down * LINE
            if at < table.texts:
                page.text(left, base, text, PLAIN)
            else:
                page.text_to(right, base, text, PLAIN)
