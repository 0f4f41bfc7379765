"""What of a leaf stands on which sheet where it is printed at real size.

All measures in points, but those that say mm. Rows set off by half a place move to a whole one
where a leaf is cut between places, so that every cut is straight and meets no hole.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import accumulate, pairwise

from core.arrange.plan import LeafPlan
from core.errors import BadEntry
from core.model.arrangement import HOLE_MM
from core.printing.checklist import Paper
from core.printing.placed import MM, Measure, Style, short
from core.printing.text_runs import Face, wrap_text

CLEARANCE_MM, GAP_MM = 0.4, 4.0
MOST_CLEARANCE_MM, MOST_GAP_MM = 20.0, 60.0
PAPERS = (Paper.A4, Paper.LETTER, Paper.A5)

TITLE, COLUMN_HEAD = Style(Face.BOLD, 12.0), Style(Face.BOLD, 9.0)
ROW_HEAD, ROW_SUB = Style(Face.BOLD, 11.0), Style(Face.REGULAR, 7.6)
LABEL, NOTE = Style(Face.REGULAR, 8.4), Style(Face.REGULAR, 6.4)
LEADING = 1.2
PAD, LABEL_GAP = 2.0 * MM, 2.4
TITLE_ROW = 20.0
"""The height of a row in which nothing but the titles of blocks stands."""
HEAD, HEAD_TO_LEAF, FOOT_HEIGHT, LEAF_TO_FOOT = 20.0, 16.0, 44.0, 14.0
_MARGINS_MM = {Paper.A4: 10.0, Paper.LETTER: 10.0, Paper.A5: 8.0}
_MOST_LABEL_LINES = 2
_ROW_HEAD, _MOST_ROW_HEAD = 18.0 * MM, 30.0 * MM
"""A longer head takes more lines; only a longer word makes more room."""


@dataclass(frozen=True, slots=True)
class RealSize:
    """What the holes are: the coin's diameter and more, all in millimetres.

    `gap_mm` is the least between two holes; labels get room of their own. `is_wide` lays the paper
    lengthwise, None as fewer sheets need it. By slot id: `diameters` of coins other than `hole_mm`,
    `labels` in place of the slots' names, `notes` as a small second line where there is room.
    """

    hole_mm: float
    clearance_mm: float = CLEARANCE_MM
    gap_mm: float = GAP_MM
    is_wide: bool | None = None
    diameters: Mapping[int, float] = field(default_factory=dict)
    labels: Mapping[int, str] = field(default_factory=dict)
    notes: Mapping[int, str] = field(default_factory=dict)

    def hole(self, slot_id: int) -> float:
        """A slot's hole in points, clearance and all."""
        return (self.diameters.get(slot_id, self.hole_mm) + self.clearance_mm) * MM


@dataclass(frozen=True, slots=True)
class Room:
    """A paper lying one way: its size and its margin."""

    paper: Paper
    width: float
    height: float
    margin: float

    @property
    def inner(self) -> float:
        """Width between the margins."""
        return self.width - 2 * self.margin

    @property
    def top(self) -> float:
        """Where a leaf begins."""
        return self.margin + HEAD + HEAD_TO_LEAF

    @property
    def high(self) -> float:
        """Height for a leaf."""
        return self.height - self.margin - FOOT_HEIGHT - LEAF_TO_FOOT - self.top


@dataclass(frozen=True, slots=True)
class Grid:
    """A leaf in points from its top left corner.

    `left` and `top` are where the first place and the first row begin; `holes` are the largest of
    each row, `heights` what a row takes with its labels, `under` what stands below a hole.
    """

    leaf: int
    columns: int
    pitch: float
    left: float
    top: float
    holes: tuple[float, ...]
    heights: tuple[float, ...]
    under: float

    @property
    def rows_at(self) -> tuple[float, ...]:
        """Where each row begins, and where the last one ends."""
        return tuple(accumulate(self.heights, initial=self.top))

    @property
    def widths(self) -> tuple[float, ...]:
        """The width of each place."""
        return (self.pitch,) * self.columns


@dataclass(frozen=True, slots=True)
class Part:
    """What of a leaf stands on one sheet, and where its edges lie in the leaf."""

    grid: Grid
    columns: range
    rows: range
    is_cut_across: bool
    number: int = 1
    of: int = 1

    @property
    def left(self) -> float:
        """Its left edge: the leaf's own, or between two places."""
        return self.grid.left + self.columns.start * self.grid.pitch if self.columns.start else 0.0

    @property
    def right(self) -> float:
        """Its right edge."""
        end = self.grid.left + self.columns.stop * self.grid.pitch
        return end + (PAD if self.columns.stop == self.grid.columns else 0.0)

    @property
    def top(self) -> float:
        """Its upper edge: the leaf's own, or between two rows."""
        return self.grid.rows_at[self.rows.start] if self.rows.start else 0.0

    @property
    def bottom(self) -> float:
        """Its lower edge."""
        is_last = self.rows.stop == len(self.grid.heights)
        return self.grid.rows_at[self.rows.stop] + (PAD if is_last else 0.0)

    @property
    def seams(self) -> tuple[bool, bool, bool, bool]:
        """Whether another sheet joins on the left, above, on the right and below."""
        return (
            self.columns.start > 0,
            self.rows.start > 0,
            self.columns.stop < self.grid.columns,
            self.rows.stop < len(self.grid.heights),
        )


def parts_of(
    plan: LeafPlan, numbers: Sequence[int], paper: Paper, measure: Measure, look: RealSize
) -> tuple[Room, list[Part]]:
    """How the paper lies, and what of which leaf stands on each sheet.

    Raises BadEntry where a size is out of reason or a hole has no room on the paper.
    """
    _check(paper, look)
    grids = [_grid(plan, number, measure, look) for number in numbers]
    return _fewest(grids, _rooms(paper, look.is_wide))


def _check(paper: Paper, look: RealSize) -> None:
    if paper not in PAPERS:
        raise BadEntry(f"{paper.shown_name} is too small for real size; choose A4, Letter or A5.")
    for hole in (look.hole_mm, *look.diameters.values()):
        least, most = HOLE_MM
        if not least <= hole <= most:
            raise BadEntry(
                f"A hole of {hole:g} mm cannot be printed; choose {least:g} to {most:g} mm."
            )
    if not 0 <= look.clearance_mm <= MOST_CLEARANCE_MM:
        raise BadEntry(
            f"A clearance of {look.clearance_mm:g} mm cannot be printed; choose 0 to "
            f"{MOST_CLEARANCE_MM:g} mm, such as {CLEARANCE_MM:g}."
        )
    if not 0 <= look.gap_mm <= MOST_GAP_MM:
        raise BadEntry(
            f"A gap of {look.gap_mm:g} mm between holes cannot be printed; choose 0 to "
            f"{MOST_GAP_MM:g} mm."
        )


# --- the leaf --------------------------------------------------------------------------------


def _grid(plan: LeafPlan, number: int, measure: Measure, look: RealSize) -> Grid:
    """A leaf's proportions: places as wide as its largest hole, each row as high as its own."""
    leaf, gap = plan.leaves[number], look.gap_mm * MM
    rows = range(leaf.first_row, leaf.first_row + leaf.rows)
    slots = [[cell for cell in plan.cells_of_row(row) if plan.is_slot(cell)] for row in rows]
    plain = (look.hole_mm + look.clearance_mm) * MM
    holes = [max((look.hole(plan.slot_ids[c]) for c in row), default=plain) for row in slots]
    largest = max((hole for hole, row in zip(holes, slots, strict=True) if row), default=plain)
    pitch = largest + gap
    labels = [label_of(plan, cell, look) for row in slots for cell in row]
    lines = max((len(lines_of(text, LABEL, pitch, measure)) for text in labels), default=0)
    under = lines * LABEL.size * LEADING
    if any(look.notes.get(plan.slot_ids[cell]) for row in slots for cell in row):
        under = max(under, (LABEL.size + NOTE.size) * LEADING)
    between = gap + (LABEL_GAP + under if under else 0.0)
    heads = [lines_of(head, COLUMN_HEAD, pitch, measure) for head in leaf.heads if head]
    head_lines = max(map(len, heads), default=0)
    title = TITLE.size * 1.6 if leaf.title or leaf.subtitle else 0.0
    top = PAD + title + head_lines * COLUMN_HEAD.size * LEADING
    heights = tuple(
        TITLE_ROW if is_title_row(plan, row) else hole + between
        for row, hole in zip(rows, holes, strict=True)
    )
    left = PAD + _row_head_width(plan, rows, measure)
    columns = max(1, (leaf.width + 1) // 2)
    return Grid(number, columns, pitch, left, top, tuple(holes), heights, under)


def is_title_row(plan: LeafPlan, row: int) -> bool:
    """Whether a row holds titles of blocks and nothing else; free rows are as high as others."""
    cells = plan.cells_of_row(row)
    return any(map(plan.is_caption, cells)) and not any(map(plan.is_drawn, cells))


def _row_head_width(plan: LeafPlan, rows: range, measure: Measure) -> float:
    heads = [plan.row_head[row] for row in rows]
    words = [measure(word, ROW_HEAD) for head in heads for word in head.split()]
    words += [measure(word, ROW_SUB) for row in rows for word in plan.row_sub[row].split()]
    whole = max((measure(head, ROW_HEAD) for head in heads), default=0.0)
    widest = max((*words, min(whole, _ROW_HEAD)), default=0.0)
    return min(_MOST_ROW_HEAD, widest) + 4.0 if widest else 0.0


def label_of(plan: LeafPlan, cell: int, look: RealSize) -> str:
    """What stands under a hole."""
    return look.labels.get(plan.slot_ids[cell]) or plan.lines[plan.names[cell]]


def lines_of(
    text: str, style: Style, width: float, measure: Measure, most: int = _MOST_LABEL_LINES
) -> tuple[str, ...]:
    """A text on so many lines at most, the last one cut short where there would be more."""
    room = width - 2.0
    lines = wrap_text(text, room, lambda part: measure(part, style))
    if len(lines) <= most:
        return lines
    rest = short(" ".join(lines[most - 1 :]), style, room, measure)
    return (*lines[: most - 1], rest)


# --- what stands on which sheet --------------------------------------------------------------


def _rooms(paper: Paper, is_wide: bool | None) -> tuple[Room, ...]:
    """The paper as it may lie, upright first."""
    ways = (False, True) if is_wide is None else (is_wide,)
    width, height = (side * MM for side in paper.size_mm)
    margin = _MARGINS_MM[paper] * MM
    return tuple(
        Room(paper, height, width, margin) if wide else Room(paper, width, height, margin)
        for wide in ways
    )


def _fewest(grids: Sequence[Grid], rooms: Sequence[Room]) -> tuple[Room, list[Part]]:
    """The way to lay the paper that needs fewest sheets, and what stands on each."""
    found: list[tuple[Room, list[Part]]] = []
    fault: BadEntry | None = None
    for room in rooms:
        try:
            found.append((room, [part for grid in grids for part in _parts(grid, room)]))
        except BadEntry as error:
            fault = error
    if not found and fault is not None:
        raise fault
    return min(found, key=lambda way: len(way[1]))


def _parts(grid: Grid, room: Room) -> list[Part]:
    """A leaf cut into parts that fit a sheet, as few and as even as can be."""
    across = _cut(grid.widths, grid.left, room.inner)
    down = _cut(grid.heights, grid.top, room.high)
    if across is None:
        raise _too_large(grid, room, grid.left + grid.pitch + PAD, room.inner, "across")
    if down is None:
        highest = max(grid.heights) + grid.top + PAD
        raise _too_large(grid, room, highest, room.high, "down")
    pairs = [(columns, rows) for rows in down for columns in across]
    return [
        Part(grid, columns, rows, len(across) > 1, number, len(pairs))
        for number, (columns, rows) in enumerate(pairs, 1)
    ]


def _too_large(grid: Grid, room: Room, needed: float, has: float, way: str) -> BadEntry:
    lying = "lengthwise" if room.width > room.height else "upright"
    return BadEntry(
        f"A hole of {mm_text(max(grid.holes))} mm is too large for {room.paper.shown_name} "
        f"{lying}: with what stands beside it on leaf {grid.leaf + 1} it needs "
        f"{needed / MM:.0f} mm {way}, and {has / MM:.0f} mm can be "
        "printed. Choose a larger paper or a smaller hole."
    )


def _cut(sizes: Sequence[float], before: float, room: float) -> list[range] | None:
    """Runs of sizes that fit a room, the first with what lies before it; None if one does not.

    The last one has the edge of the leaf behind it.
    """
    fewest = _greedy(sizes, before, room, len(sizes))
    if fewest is None:
        return None
    balanced = _balanced(len(sizes), len(fewest))
    if _fits(sizes, before, room, balanced):
        return balanced
    tries = (_greedy(sizes, before, room, most) for most in range(1, len(sizes)))
    return next((runs for runs in tries if runs and len(runs) == len(fewest)), fewest)


def _balanced(count: int, runs: int) -> list[range]:
    """So many runs whose lengths differ by one at most, the longer ones first."""
    each, more = divmod(count, runs)
    ends = list(accumulate((each + (run < more) for run in range(runs)), initial=0))
    return [range(start, end) for start, end in pairwise(ends)]


def _fits(sizes: Sequence[float], before: float, room: float, runs: Sequence[range]) -> bool:
    def needed(run: range) -> float:
        after = PAD if run.stop == len(sizes) else 0.0
        return (0.0 if run.start else before) + sum(sizes[run.start : run.stop]) + after

    return all(needed(run) <= room for run in runs)


def _greedy(sizes: Sequence[float], before: float, room: float, most: int) -> list[range] | None:
    runs: list[range] = []
    start, used = 0, before
    for at, size in enumerate(sizes):
        after = PAD if at == len(sizes) - 1 else 0.0
        if at > start and (used + size + after > room or at - start >= most):
            runs.append(range(start, at))
            start, used = at, 0.0
        if used + size + after > room:
            return None
        used += size
    return [*runs, range(start, len(sizes))]


def mm_text(points: float) -> str:
    """Points as millimetres, no more places than are needed: 19.45."""
    return f"{points / MM:.2f}".rstrip("0").rstrip(".")
