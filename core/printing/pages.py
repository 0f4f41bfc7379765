"""A checklist laid out on pages: pure, no file format, all measures in points.

Two columns of rows on A4 and Letter, one on smaller papers, in large print, and where two are too
narrow for what was chosen. A group's heading stands with at least two of its rows, and no single
row is carried over to a page or left behind; a map that leaves no room for two rows on a page is
cut, and the rows follow its last strip. Index cards have no maps of leaves.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import accumulate

from core.printing.checklist import Checklist, ChecklistLeaf, LeftOut, ListColumn, Look, Paper
from core.printing.leaf_map import BAND_GAP, Band, draw_band, map_bands
from core.printing.page_edges import (
    COLUMN_GAP,
    Frame,
    draw_footer,
    draw_header,
    draw_running_header,
    frame_of,
)
from core.printing.placed import Measure, Page, Sheet, Style, Wrap, short
from core.printing.row_columns import (
    Columns,
    RowLines,
    columns_for,
    draw_heads,
    draw_row,
    row_lines,
)
from core.printing.type_sizes import TypeSizes

LEAST_ROWS = 2
"""So many rows stand with a heading, and so many are carried over, where there are that many."""
_LEAF_GAP = 24.0
_HEAD_TO_ROWS = 6.0
_SUBTITLE_GAP = 8.0
_LITTLE_ROOM = 0.25
"""The share of a page under which a group is not cut if the next page holds it whole."""
_TALLEST_PIECE, _TALLEST_LARGE = 0.2, 0.3
"""The share of a page that a piece of a row may take; of a card, or a page of large print."""
_PLAIN_LOOK = Look()


def lay_out(
    checklist: Checklist, paper: Paper, measure: Measure, wrap: Wrap, look: Look = _PLAIN_LOOK
) -> tuple[Page, ...]:
    """Lay a checklist out on as many pages as it needs, at least one."""
    frame, columns = _frame_and_columns(checklist, paper, look, measure)
    if frame.is_card:
        checklist = replace(checklist, leaves=tuple(map(_without_map, checklist.leaves)))
    flow = _Flow(checklist, frame, columns, measure, wrap)
    if not checklist.leaves:
        flow.plain_line(checklist.empty_text)
    for leaf in checklist.leaves:
        flow.leaf(leaf)
    return flow.finished_pages()


def left_out(checklist: Checklist, paper: Paper, measure: Measure, look: Look) -> LeftOut:
    """Which of the chosen columns a list does not have on that paper, and why."""
    return _frame_and_columns(checklist, paper, look, measure)[1].left_out


def _frame_and_columns(
    checklist: Checklist, paper: Paper, look: Look, measure: Measure
) -> tuple[Frame, Columns]:
    """One column of rows where two are too narrow for what was chosen, notes aside."""
    frame = frame_of(paper, look.is_large)
    columns = _columns(checklist, frame, look, measure)
    missing = columns.left_out
    if frame.column_count > 1 and {*missing.no_room, *missing.below} - {ListColumn.NOTE}:
        frame = replace(frame, column_count=1)
        columns = _columns(checklist, frame, look, measure)
    return frame, columns


def _columns(checklist: Checklist, frame: Frame, look: Look, measure: Measure) -> Columns:
    share = _TALLEST_LARGE if frame.is_card or look.is_large else _TALLEST_PIECE
    tallest = share * frame.height
    return columns_for(checklist, look, frame.sizes, frame.column_width, tallest, measure)


def _without_map(leaf: ChecklistLeaf) -> ChecklistLeaf:
    return replace(leaf, map=None)


class _Flow:
    """Fills sheets from the top; `y` is where the next thing may begin."""

    def __init__(
        self, checklist: Checklist, frame: Frame, columns: Columns, measure: Measure, wrap: Wrap
    ) -> None:
        self._checklist = checklist
        self._frame = frame
        self._columns = columns
        self._measure = measure
        self._wrap = wrap
        self._sheets = [Sheet(measure)]
        self._y = self._top = draw_header(self._sheet, checklist, frame, wrap)

    @property
    def _sheet(self) -> Sheet:
        return self._sheets[-1]

    @property
    def _heads(self) -> float:
        return self._frame.sizes.heads_height

    @property
    def _room(self) -> float:
        return self._frame.bottom - self._y

    @property
    def _is_fresh(self) -> bool:
        return self._y <= self._top

    def plain_line(self, text: str) -> None:
        """One line of plain words."""
        style = self._frame.sizes.plain
        base = self._y + 1.1 * style.size
        self._sheet.short_text(self._frame.left, base, text, style, self._frame.width)
        self._y += 1.8 * style.size

    def leaf(self, leaf: ChecklistLeaf) -> None:
        """A leaf with its heading, its map and its rows."""
        if not self._is_fresh:
            self._y += _LEAF_GAP * min(self._frame.sizes.head_stretch, 1.0)
        head = _LeafHead.of(leaf, self._frame, self._measure, self._wrap)
        rows = self._row_pieces(leaf)
        if not self._may_begin_here(head, rows):
            self._next_page()
        self._head(head, least_below=self._least_height(rows))
        if rows:
            self._rows(rows, head)

    def finished_pages(self) -> tuple[Page, ...]:
        """All pages with their footers."""
        count = len(self._sheets)
        for number, sheet in enumerate(self._sheets, 1):
            draw_footer(sheet, self._checklist.footer, f"page {number} of {count}", self._frame)
        return tuple(
            sheet.page(self._frame.paper_width, self._frame.paper_height) for sheet in self._sheets
        )

    def _next_page(self) -> None:
        self._sheets.append(Sheet(self._measure))
        self._y = self._top = draw_running_header(self._sheet, self._checklist, self._frame)

    def _row_pieces(self, leaf: ChecklistLeaf) -> list[RowLines]:
        return [
            piece
            for row in leaf.rows
            for piece in row_lines(row, self._columns, self._measure, self._wrap)
        ]

    def _least_height(self, rows: Sequence[RowLines]) -> float:
        """The height of column heads and the first rows that stand with a heading."""
        if not rows:
            return 0.0
        is_whole = len(rows) < 2 * LEAST_ROWS  # any cut would leave a single row on a page
        count = len(rows) if is_whole else self._frame.column_count * LEAST_ROWS
        heights = [row.height for row in rows[:count]]
        return self._heads + balanced_height(heights, self._frame.column_count)

    def _may_begin_here(self, head: "_LeafHead", rows: Sequence[RowLines]) -> bool:
        """Whether a leaf begins on this page: its least part fits, and it is not better whole.

        A leaf that a fresh page holds whole goes there when little of this one is left. The header
        of the first page may leave too little room; no further page holds more than a fresh one.
        """
        if head.height + self._least_height(rows) > self._room:
            return self._is_fresh and len(self._sheets) > 1
        if self._is_fresh:
            return True
        heights = [row.height for row in rows]
        whole = head.height + self._heads + balanced_height(heights, self._frame.column_count)
        page = self._frame.height
        return whole <= self._room or self._room > _LITTLE_ROOM * page or whole > 0.9 * page

    def _head(self, head: "_LeafHead", least_below: float) -> None:
        """The heading with its map; a map taller than the page goes on over the next ones."""
        left, right = self._frame.left, self._frame.right
        head.draw_words(self._sheet, left, self._y)
        if head.stands_beside:
            for band in head.bands:
                draw_band(self._sheet, right - band.width, self._y, band)
            self._y += head.height
            return
        self._y += head.words_height
        for i, band in enumerate(head.bands):
            is_last = i == len(head.bands) - 1
            goes_with_rows = is_last and i > 0 and least_below > 0.0  # a first one with its words
            below = BAND_GAP + _HEAD_TO_ROWS + least_below if goes_with_rows else 0.0
            if band.height + below > self._room:
                self._next_page()
                self._continued(head)
            draw_band(self._sheet, left, self._y, band)
            self._y += band.height + BAND_GAP
        self._y += _HEAD_TO_ROWS

    def _continued(self, head: "_LeafHead") -> None:
        frame = self._frame
        self._y = head.draw_continued(self._sheet, frame.left, self._y, frame.width)

    def _rows(self, rows: list[RowLines], head: "_LeafHead") -> None:
        """Rows in columns, on as many pages as they need."""
        stands_above = head.bands and not head.stands_beside
        least = self._least_height(rows) if stands_above else self._heads + rows[0].height
        if least > self._room:  # a tall map left too little
            self._next_page()
            self._continued(head)
        while rows:
            room = self._room - self._heads
            ends = column_ends([row.height for row in rows], room, self._frame.column_count)
            start, lowest = 0, 0.0
            for i, end in enumerate(ends):
                if end > start:
                    x = self._frame.left + i * (self._frame.column_width + COLUMN_GAP)
                    lowest = max(lowest, self._column(x, rows[start:end]))
                start = end
            self._y = lowest
            rows = rows[start:]
            if rows:
                self._next_page()
                self._continued(head)

    def _column(self, x: float, rows: Sequence[RowLines]) -> float:
        """One column of rows under its heads; gives where it ends."""
        draw_heads(self._sheet, x, self._y, self._columns)
        y = self._y + self._heads
        for row in rows:
            draw_row(self._sheet, x, y, row, self._columns)
            y += row.height
        return y


# --- breaking rows ---------------------------------------------------------------------------


def column_ends(heights: Sequence[float], room: float, column_count: int) -> list[int]:
    """Where each column of a page ends, as counts of rows from the first.

    Rows that all fit are shared out evenly; otherwise the columns are filled in turn, and the last
    gives up a row where only one would be carried over. At least one row is taken.
    """
    if balanced_height(heights, column_count) <= room:
        return _balanced_ends(heights, column_count)
    ends: list[int] = []
    at = 0
    for _ in range(column_count):
        used = 0.0
        while at < len(heights) and used + heights[at] <= room:
            used += heights[at]
            at += 1
        ends.append(at)
    left_over = len(heights) - at
    if left_over < LEAST_ROWS and at > LEAST_ROWS:
        at -= LEAST_ROWS - left_over
    at = max(at, 1)
    return [min(end, at) for end in ends[:-1]] + [at]


def balanced_height(heights: Sequence[float], column_count: int) -> float:
    """The least height in which rows, kept in order, fit so many columns (one or two)."""
    ends = _balanced_ends(heights, column_count)
    starts = [0, *ends[:-1]]
    return max(sum(heights[a:b]) for a, b in zip(starts, ends, strict=True))


def _balanced_ends(heights: Sequence[float], column_count: int) -> list[int]:
    """Column ends that make the taller column as low as can be, the first the longer one."""
    if column_count == 1:
        return [len(heights)]
    sums = [0.0, *accumulate(heights)]
    total = sums[-1]
    best = min(range(len(sums)), key=lambda i: (round(max(sums[i], total - sums[i]), 3), -i))
    return [best, len(heights)]


# --- headings --------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _LeafHead:
    """A leaf's heading, measured: words, the bands of its map, and the height of both."""

    sizes: TypeSizes
    title: str
    subtitle: str
    below_title: tuple[str, ...]
    empty_text: str
    bands: tuple[Band, ...]
    stands_beside: bool
    words_height: float
    height: float

    @classmethod
    def of(cls, leaf: ChecklistLeaf, frame: Frame, measure: Measure, wrap: Wrap) -> "_LeafHead":
        """Measure a heading; a long subtitle stands below the title, on two lines at most."""
        sizes = frame.sizes
        title = short(leaf.title, sizes.group_title, frame.width, measure)
        title_width = measure(title, sizes.group_title)
        style = sizes.group_subtitle
        width = title_width + _SUBTITLE_GAP + measure(leaf.subtitle, style)
        below: tuple[str, ...] = ()
        if leaf.subtitle and width > frame.width * (1.0 if leaf.map is None else 2 / 3):
            below = _two_lines(leaf.subtitle, style, frame.width, measure, wrap)
            width = max([title_width, *(measure(line, style) for line in below)])
        empty_width = frame.width if leaf.map is None else frame.width / 2
        empty_text = "" if leaf.rows else short(leaf.empty_text, sizes.plain, empty_width, measure)
        g = _head_stretch(sizes)
        words_height = 17.0 * g if title or leaf.subtitle else 0.0
        words_height += 13.0 * g * len(below) + (19.0 * g if empty_text else 0.0)
        if leaf.map is None:
            bands: tuple[Band, ...] = ()
            beside = True
        else:
            words = max(width, measure(empty_text, sizes.plain))
            bands, beside = map_bands(
                leaf.map, frame.width - words - 24.0, frame.width, sizes, measure
            )
        if beside:
            height = max([words_height, *(band.height + 2.0 for band in bands)])
        else:
            words_height += 3.0
            height = words_height + sum(band.height + BAND_GAP for band in bands)
        gap = _HEAD_TO_ROWS if leaf.rows and height else 0.0
        return cls(
            sizes,
            title,
            leaf.subtitle,
            below,
            empty_text,
            bands,
            beside,
            words_height,
            height + gap,
        )

    def draw_words(self, sheet: Sheet, x: float, y: float) -> None:
        """Title, subtitle, and what stands in place of rows."""
        g = _head_stretch(self.sizes)
        if self.title or self.subtitle:
            y = self._draw_titles(sheet, x, y, self.subtitle, self.below_title) + 6.0 * g
        sheet.text(x, y + 13.0 * g, self.empty_text, self.sizes.plain)

    def draw_continued(self, sheet: Sheet, x: float, y: float, width: float) -> float:
        """The heading of a group's further pages; gives where rows begin.

        The subtitle goes where it has no room beside “continued”.
        """
        if not self.title and not self.subtitle:
            return y
        style = self.sizes.group_subtitle
        words = f"{self.subtitle} · continued" if self.subtitle else "continued"
        before = sheet.measure(self.title, self.sizes.group_title) + _SUBTITLE_GAP
        if before + sheet.measure(words, style) > width:
            words = "continued"
        is_below = before + sheet.measure(words, style) > width
        y = self._draw_titles(sheet, x, y, words, (words,) if is_below else ())
        return y + 5.0 * _head_stretch(self.sizes) + _HEAD_TO_ROWS

    def _draw_titles(
        self, sheet: Sheet, x: float, y: float, beside: str, below: tuple[str, ...]
    ) -> float:
        """The title, with words beside it or lines below; gives their lowest baseline."""
        g, style = _head_stretch(self.sizes), self.sizes.group_subtitle
        y += 11.0 * g
        end = sheet.text(x, y, self.title, self.sizes.group_title)
        if not below:
            sheet.text(end + (_SUBTITLE_GAP if self.title else 0.0), y, beside, style)
        for line in below:
            y += 13.0 * g
            sheet.text(x, y, line, style)
        return y


def _two_lines(
    text: str, style: Style, width: float, measure: Measure, wrap: Wrap
) -> tuple[str, ...]:
    lines = wrap(text, style, width)
    if len(lines) <= 2:
        return lines
    return lines[0], short(f"{lines[1]} {lines[2]}", style, width, measure)


def _head_stretch(sizes: TypeSizes) -> float:
    return sizes.group_title.size / 12.0
