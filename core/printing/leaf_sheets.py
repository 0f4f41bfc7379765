"""The album as drawn, on paper: as many leaves on a page as can be read, upright or lengthwise.

All measures in points. A leaf too large for one page is cut between rows and places.
"""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from math import ceil

from core.arrange.plan import LeafPlan
from core.printing.checklist import Paper
from core.printing.leaf_picture import Heading
from core.printing.leaf_scene import LeafPart, Pen, draw_card, draw_part, whole_leaf
from core.printing.leaf_sizes import GAP, LeafSizes, labelled
from core.printing.legend_line import Legend, draw_legend, lay_legend
from core.printing.placed import MM, Measure, Page, PlacedRule, Sheet, Style, short
from core.printing.text_runs import Face

MOST_SCALE, LEAST_SCALE = 1.0, 0.5
"""Points a unit of a leaf: labels are between 13 and 6.5 points high, a ring 14 to 7 mm wide."""
NAME, COUNTS = Style(Face.BOLD, 16.0), Style(Face.REGULAR, 9.4)
KEY, FOOTER = Style(Face.REGULAR, 8.6), Style(Face.REGULAR, 7.4)
KEY_GLYPH = 11.0
_MARGINS_MM = {Paper.A4: 14.0, Paper.LETTER: 14.0, Paper.A5: 11.0}
_SMALL_MARGIN_MM = 7.0
_HEAD, _HEAD_TO_LEAVES, _FOOT = 25.0, 12.0, 18.0
_MOST_SIDE = 6


@dataclass(frozen=True, slots=True)
class _Room:
    """A paper lying one way: its size, the margin, and where the leaves may stand."""

    width: float
    height: float
    margin: float
    legend: Legend

    @property
    def inner(self) -> float:
        """Width between the margins."""
        return self.width - 2 * self.margin

    @property
    def top(self) -> float:
        """Where the leaves begin."""
        return self.margin + _HEAD + 5.0 + self.legend.height + _HEAD_TO_LEAVES

    @property
    def high(self) -> float:
        """Height for the leaves."""
        return self.height - self.margin - _FOOT - self.top


@dataclass(frozen=True, slots=True)
class _Grid:
    """Leaves on a page: so many across and down at a scale, on a paper lying one way."""

    room: _Room
    across: int
    down: int
    scale: float

    @property
    def each(self) -> int:
        """How many stand on a page."""
        return self.across * self.down


def lay_out_leaves(
    heading: Heading,
    footer: str,
    plan: LeafPlan,
    paper: Paper,
    measure: Measure,
    leaf: int | None = None,
    changed: Collection[int] = frozenset(),
) -> tuple[Page, ...]:
    """Pages of an album's leaves, or of one (by its number from 0), at least one page.

    `footer` stands at the foot of each page; cells that are `changed` are ringed. Raises IndexError
    for a leaf that is not there.
    """
    sizes = labelled(plan)
    numbers = [leaf] if leaf is not None else range(len(plan.leaves))
    whole = [whole_leaf(plan, number) for number in numbers]
    rooms = [_room(heading, paper, measure, is_wide) for is_wide in (False, True)]
    parts, grid = _fitted(whole, rooms, sizes)
    pages = [parts[at : at + grid.each] for at in range(0, len(parts), grid.each)] or [[]]
    made = []
    for number, here in enumerate(pages, 1):
        sheet = Sheet(measure)
        _draw_edges(sheet, heading, grid.room)
        _draw_footer(sheet, footer, f"page {number} of {len(pages)}", grid.room)
        _draw_parts(Pen(sheet, grid.scale, changed), plan, sizes, here, grid)
        if not here:
            sheet.text(grid.room.margin, grid.room.top + 12, "This album has no slots.", COUNTS)
        made.append(sheet.page(grid.room.width, grid.room.height))
    return tuple(made)


def _room(heading: Heading, paper: Paper, measure: Measure, is_wide: bool) -> _Room:
    sides = tuple(side * MM for side in paper.size_mm)
    width, height = sides[::-1] if is_wide else sides
    margin = _MARGINS_MM.get(paper, _SMALL_MARGIN_MM) * MM
    legend = lay_legend(Sheet(measure), heading.entries, width - 2 * margin, KEY, KEY_GLYPH)
    return _Room(width, height, margin, legend)


def _fitted(
    whole: Sequence[LeafPart], rooms: Sequence[_Room], sizes: LeafSizes
) -> tuple[list[LeafPart], _Grid]:
    """The fewest pages on which all can be read, then the largest scale; cut where need be."""
    if not whole:
        return [], _Grid(rooms[0], 1, 1, MOST_SCALE)
    grids = [grid for room in rooms for grid in _grids(room, whole, sizes)]
    if grids:
        best = min(grids, key=lambda grid: (ceil(len(whole) / grid.each), -grid.scale))
        return list(whole), best
    cuts = [[part for leaf in whole for part in _cut(leaf, room, sizes)] for room in rooms]
    at = min(range(len(rooms)), key=lambda i: len(cuts[i]))
    scale = min(LEAST_SCALE, *(_scale(rooms[at], [part], 1, 1, sizes) for part in cuts[at]))
    return cuts[at], _Grid(rooms[at], 1, 1, scale)


def _grids(room: _Room, parts: Sequence[LeafPart], sizes: LeafSizes) -> Iterator[_Grid]:
    most = min(len(parts), _MOST_SIDE)
    for across in range(1, most + 1):
        for down in range(1, most + 1):
            scale = _scale(room, parts, across, down, sizes)
            if scale >= LEAST_SCALE:
                yield _Grid(room, across, down, scale)


def _scale(
    room: _Room, parts: Sequence[LeafPart], across: int, down: int, sizes: LeafSizes
) -> float:
    """The largest scale at which a page holds so many of the largest part."""
    wide = max(part.width(sizes) for part in parts) * across + GAP * (across - 1)
    high = max(part.height(sizes) for part in parts) * down + GAP * (down - 1)
    return min(MOST_SCALE, room.inner / wide, room.high / high)


def _cut(leaf: LeafPart, room: _Room, sizes: LeafSizes) -> Iterator[LeafPart]:
    """A leaf in pieces that fit a page at the least scale, as even as can be."""
    flow = sizes.flow
    wide = (room.inner / LEAST_SCALE - flow.left_in - sizes.pad) / flow.cell_w
    high = (room.high / LEAST_SCALE - flow.top_in - flow.bottom_in) / flow.cell_h
    for rows in _even(leaf.rows, max(1, int(high))):
        for places in _even(leaf.places, max(1, int(wide))):
            is_begin = rows.start == leaf.rows.start and places.start == leaf.places.start
            yield LeafPart(leaf.leaf, rows, places, is_begin)


def _even(whole: range, most: int) -> Iterator[range]:
    count = max(1, ceil(len(whole) / most))
    each = max(1, ceil(len(whole) / count))
    for start in range(whole.start, whole.stop, each):
        yield range(start, min(whole.stop, start + each))


def _draw_parts(
    pen: Pen, plan: LeafPlan, sizes: LeafSizes, parts: Sequence[LeafPart], grid: _Grid
) -> None:
    """Leaves in reading order, from the left and the top, those in a row equally high."""
    k, room = grid.scale, grid.room
    widest = max((part.width(sizes) for part in parts), default=0) * k
    used = widest * min(grid.across, len(parts)) + GAP * k * (min(grid.across, len(parts)) - 1)
    start = room.margin + max(0.0, (room.inner - used) / 2)
    y = room.top
    for first in range(0, len(parts), grid.across):
        beside = parts[first : first + grid.across]
        high = max(part.height(sizes) for part in beside) * k
        for place, part in enumerate(beside):
            x = start + place * (widest + GAP * k)
            draw_card(pen, (x, y, part.width(sizes) * k, high))
            draw_part(pen, plan, sizes, part, x, y)
        y += high + GAP * k


def _draw_edges(sheet: Sheet, heading: Heading, room: _Room) -> None:
    """Name, counts and day over a line, the key under it."""
    y, right = room.margin + 15.0, room.width - room.margin
    counts = " · ".join(part for part in (heading.headline, heading.target_line) if part)
    texts = [" · ".join(part for part in (counts, heading.day_text) if part), heading.headline]
    least = min(sheet.measure(heading.name, NAME), room.inner * 0.4)
    text = next((t for t in texts if sheet.measure(t, COUNTS) + 16 + least <= room.inner), "")
    start = sheet.text_to(right, y, text, COUNTS) if text else right
    name = short(heading.name, NAME, start - 16 - room.margin, sheet.measure)
    sheet.text(room.margin, y, name, NAME)
    sheet.rules.append(PlacedRule(room.margin, room.margin + _HEAD, room.inner, 1.0))
    draw_legend(sheet, room.legend, room.margin, room.margin + _HEAD + 5.0)


def _draw_footer(sheet: Sheet, left: str, right: str, room: _Room) -> None:
    base = room.height - room.margin - 1.8
    end = sheet.text_to(room.width - room.margin, base, right, FOOTER)
    sheet.short_text(room.margin, base, left, FOOTER, end - 24 - room.margin)
