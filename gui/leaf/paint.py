"""Paints the exposed part of an album from tiles: one pass, nothing worked out a slot twice.

Coordinates are device pixels of the whole album; `Window` says which part of it shows where. What
stands still between frames (titles, tiles, edges of cards) is kept as lists of finished calls.
"""

from bisect import bisect_right
from collections import deque
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from itertools import chain, starmap
from typing import NamedTuple

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen, QPixmap

from core.arrange.flow import Box, Flow
from core.arrange.plan import NO_CELL, NOT_STRUCK_CODE, SPACER_CODE, STATE_BITS, LeafPlan
from core.printing.leaf_sizes import CORNER, SHORT_HEAD
from gui.leaf.leaf_cells import DrawnCells
from gui.leaf.scale import Level, Scale

KEPT_TILES = 10_000
"""Tiles in the ready lists of rows; past it they are all dropped."""
KEPT_TITLES = 48
"""Leaves whose titles are kept ready; past it they are all dropped."""
LONG_ROW = 64
FEW_SELECTED = 64
MANY_CELLS = 4_000
_ANTIALIASING = QPainter.RenderHint.Antialiasing
_NO_BRUSH = Qt.BrushStyle.NoBrush
_OVERVIEW, _LABELS = Level.OVERVIEW, Level.LABELS
_UNSELECTABLE = frozenset({SPACER_CODE, NOT_STRUCK_CODE})

Placed = tuple[int, int, QPixmap]
Part = tuple[int, int, list[Placed]]
"""Tiles between two heights, the second one past the lowest of them."""
Strip = tuple[int, int, QColor]
"""Left, width and colour of something as high as a card."""


class Window(NamedTuple):
    """The exposed part of the album, and the album's offset at the widget's top left."""

    x0: int
    y0: int
    x1: int
    y1: int
    dx: int
    dy: int


@dataclass(slots=True)
class FrameMarks:
    """What lies over the slots: kept by the view, read by the painter.

    `selected` has one byte a cell. `focus` is NO_CELL while the view has no focus.
    `lifted` is the slot of the coin in hand, `drop` the one it is held over,
    `drop_kind` how it would go there: drop, swap or refuse.
    """

    selected: bytearray = field(default_factory=bytearray)
    count: int = 0
    hover: int = NO_CELL
    focus: int = NO_CELL
    band: Box | None = None
    lifted: int = NO_CELL
    drop: int = NO_CELL
    drop_kind: str = "drop"


class LeafPainter:
    """Paints one album at one scale in one flow; the view makes a new one when any changes."""

    def __init__(self, cells: DrawnCells, scale: Scale, flow: Flow) -> None:
        self.plan: LeafPlan = flow.plan
        self.cells, self.scale, self.flow = cells, scale, flow
        self._rows: dict[int, list[Part]] = {}
        self._kept = 0
        self._titles: dict[int, list[Placed]] = {}
        self._caps: dict[int, tuple[QPixmap, QPixmap]] = {}
        self._strips: dict[int, list[Strip]] = {}
        self._caption_rows = {self.plan.where(cell)[0] for cell in self.plan.captions}
        self._overview: QPixmap | None = None
        self._edge = max(1, round(scale.ratio))

    def forget(self, cell: int) -> None:
        """A cell has changed: its row is made anew, the overview gets a new block."""
        self._rows.pop(self.plan.where(cell)[0], None)
        if self._overview is not None:
            self._repaint_block(self._overview, cell)

    def forget_all(self) -> None:
        """Any cell may have changed."""
        self._rows.clear()
        self._kept = 0
        self._overview = None

    def paint(self, painter: QPainter, window: Window, marks: FrameMarks) -> None:
        """Paint everything within the window, in one pass."""
        painter.translate(-window.dx, -window.dy)
        if self.scale.level is _OVERVIEW:
            self._paint_overview(painter, window)
            self._paint_under(painter, window, marks)
        else:
            self.paint_ground(painter, window)
            self._paint_under(painter, window, marks)
            self.paint_tiles(painter, window)
        self._paint_over(painter, window, marks)
        painter.translate(window.dx, window.dy)

    # --- paper, cards, titles

    def paint_ground(self, painter: QPainter, window: Window) -> None:
        """Paper, cards, titles and column heads; the painter's origin is the album's."""
        flow, fill, band_y = self.flow, painter.fillRect, self.flow.band_y
        x0, y, x1, y1 = window.x0, window.y0, window.x1, window.y1
        width, paper = x1 - x0, self.scale.colours["paper"]
        # One row-major pass first: narrow strips are cheap only after it.
        fill(x0, y, width, y1 - y, self.scale.colours["card"])
        first = max(0, bisect_right(band_y, y) - 1)
        for band in range(first, bisect_right(band_y, y1 - 1)):
            top = band_y[band]
            if top > y:
                fill(x0, y, width, top - y, paper)
                y = top
            y = self._paint_cards(painter, window, band, y)
            if self.scale.title_h and top + flow.sizes.top_in > window.y0:
                self._paint_titles(painter, window, band)
        if y < y1:
            fill(x0, y, width, y1 - y, paper)
        if x1 > flow.width:
            fill(flow.width, window.y0, x1 - flow.width, y1 - window.y0, paper)

    def _paint_cards(self, painter: QPainter, window: Window, band: int, y: int) -> int:
        """Caps and the strips between the cards of a band, from y down; where it ends."""
        flow = self.flow
        top, end = flow.band_y[band], flow.band_y[band] + flow.band_h[band]
        if y >= end:
            return y
        count = min(flow.columns, len(self.plan.leaves) - band * flow.columns)
        cap_top, cap_bottom = self._caps_for(count)
        radius = cap_top.height()
        if y < top + radius:
            painter.drawPixmap(0, top, cap_top)
            y = top + radius
        low = min(end - radius, window.y1)
        if low > y:
            fill, height = painter.fillRect, low - y
            for left, width, colour in self._strips_for(count):
                fill(left, y, width, height, colour)
        if end - radius < window.y1:
            painter.drawPixmap(0, end - radius, cap_bottom)
        return end

    def _strips_for(self, count: int) -> list[Strip]:
        """Paper and card edges beside and between so many leaves, over the width of the album.

        The card colour is there already.
        """
        if count not in self._strips:
            flow, edge = self.flow, self._edge
            line, paper = self.scale.colours["line"], self.scale.colours["paper"]
            strips, x = [], 0
            for beside in range(count):
                left, leaf_w = flow.left + beside * flow.pitch, flow.sizes.leaf_w
                strips += [(x, left - x, paper), (left, edge, line)]
                x = left + leaf_w
                strips.append((x - edge, edge, line))
            self._strips[count] = [*strips, (x, flow.width - x, paper)]
        return self._strips[count]

    def _caps_for(self, count: int) -> tuple[QPixmap, QPixmap]:
        """Rounded tops and bottoms of a band of so many leaves, as wide as the album, opaque."""
        if count not in self._caps:
            scale = self.scale
            radius = round(CORNER * min(1.0, scale.zoom) * scale.ratio)
            radius = max(self._edge + 1, min(self.flow.sizes.leaf_w // 2, radius))
            if scale.level is Level.OVERVIEW:
                radius = self._edge
            self._caps[count] = self._cap(count, radius, 0), self._cap(count, radius, -3 * radius)
        return self._caps[count]

    def _cap(self, count: int, radius: int, y: int) -> QPixmap:
        flow, edge, colours = self.flow, self._edge, self.scale.colours
        pixmap = QPixmap(flow.width, radius)
        pixmap.fill(colours["paper"])
        painter = QPainter(pixmap)
        is_round = self.scale.level is not Level.OVERVIEW
        bend = radius - edge / 2 if is_round else 0.0
        try:
            painter.setRenderHint(_ANTIALIASING, is_round)
            painter.setPen(QPen(colours["line"], edge))
            painter.setBrush(colours["card"])
            for beside in range(count):
                left, half = flow.left + beside * flow.pitch, edge / 2
                box = QRectF(left + half, y + half, flow.sizes.leaf_w - edge, 4 * radius - edge)
                painter.drawRoundedRect(box, bend, bend)
        finally:
            painter.end()
        return pixmap

    def _paint_titles(self, painter: QPainter, window: Window, band: int) -> None:
        flow, leaves = self.flow, self.plan.leaves
        count = min(flow.columns, len(leaves) - band * flow.columns)
        first = max(0, (window.x0 - flow.left) // flow.pitch)
        for beside in range(first, min(count, (window.x1 - flow.left) // flow.pitch + 1)):
            _draw_all(painter.drawPixmap, self._title(band * flow.columns + beside))

    def _title(self, number: int) -> list[Placed]:
        """A leaf's title and column heads."""
        ready = self._titles.get(number)
        if ready is None:
            if len(self._titles) >= KEPT_TITLES:
                self._titles.clear()
            ready = self._titles[number] = self._place_title(number)
        return ready

    def _place_title(self, number: int) -> list[Placed]:
        scale, leaf = self.scale, self.plan.leaves[number]
        x, y = self.flow.leaf_at(number)
        x, y = x + scale.pad, y + scale.pad // 2
        title, sub = scale.texts["title", leaf.title], scale.texts["sub", leaf.subtitle]
        title_y = y + (scale.title_h - title.height()) // 2
        ready = [(x, title_y, title)]
        sub_x = title.width() + scale.title_h // 3
        if sub_x + sub.width() <= self.flow.sizes.leaf_w - 2 * scale.pad:
            ready.append((x + sub_x, title_y + (title.height() - sub.height()) * 3 // 4, sub))
        if scale.heads_h:
            x += scale.row_head_w
            for column, head in enumerate(leaf.heads):
                beside = (*leaf.heads[max(0, column - 1) : column], *leaf.heads[column + 1 :][:1])
                has_room = all(len(other) <= SHORT_HEAD for other in beside)
                tile = scale.texts["wide_head" if has_room else "head", head]
                head_y = y + scale.title_h + (scale.heads_h - tile.height()) // 2
                head_x = x + column * scale.cell_w + (scale.cell_w - tile.width()) // 2
                ready.append((head_x, head_y, tile))
        return ready

    # --- slots

    def paint_tiles(self, painter: QPainter, window: Window) -> None:
        """Glyphs and labels, from ready lists a row; the painter's origin is the album's."""
        scale, flow, sizes = self.scale, self.flow, self.flow.sizes
        x0, y0, x1, y1 = window.x0, window.y0, window.x1, window.y1
        cell_h, get_row = sizes.cell_h, self._rows.get
        area = (x1 - x0) * (y1 - y0)
        is_plain = (
            scale.level < _LABELS
            and not scale.row_head_w
            and area > MANY_CELLS * sizes.cell_w * cell_h
        )
        exposed: list[list[Placed]] = []
        for number in flow.leaves_in(x0, y0, x1, y1):
            leaf = self.plan.leaves[number]
            x, y = flow.leaf_at(number)
            if x >= x1 or x + sizes.leaf_w <= x0:
                continue
            x, y = x + sizes.left_in, y + sizes.top_in
            first = max(0, (y0 - y) // cell_h)
            end = min(leaf.rows, (y1 - 1 - y) // cell_h + 1)
            if is_plain:
                self._paint_plain(
                    painter, range(leaf.first_row + first, leaf.first_row + end), x, y
                )
                continue
            for down in range(first, end):
                row = leaf.first_row + down
                ready = get_row(row)
                if ready is None:
                    ready = self._row_parts(row, x, y + down * cell_h, (x0, x1))
                for top, bottom, tiles in ready:
                    if top < y1 and bottom > y0:
                        exposed.append(tiles)
        _draw_all(painter.drawPixmap, chain.from_iterable(exposed))

    def _paint_plain(self, painter: QPainter, rows: range, x: int, y: int) -> None:
        """Thousands of bare glyphs: a ready list would cost more than it saves."""
        plan, scale, draw = self.plan, self.scale, painter.drawPixmap
        width, glyphs, codes = scale.cell_w, scale.glyphs, self.cells.codes
        x += scale.glyph_x
        for row in rows:
            first_row = plan.leaves[plan.row_leaf[row]].first_row
            top = y + (row - first_row) * scale.cell_h + scale.glyph_y
            left = x + plan.row_indent[row] * width // 2
            for code in codes[plan.row_first[row] : plan.row_first[row + 1]]:
                draw(left, top, glyphs[code])
                left += width

    def _row_parts(self, row: int, x: int, y: int, exposed: tuple[int, int]) -> list[Part]:
        """All tiles of a row, part below part, kept for the next frames."""
        plan, width = self.plan, self.scale.cell_w
        parts: list[Part] = []
        if self.scale.row_head_w:
            parts.append(_part(self._row_head(row, x, y)))
        first, end = plan.row_first[row], plan.row_first[row + 1]
        x += plan.row_indent[row] * width // 2
        is_long = end - first > LONG_ROW
        if is_long:  # only what is exposed, and not kept
            skipped = max(0, (exposed[0] - x) // width)
            end = max(first, min(end, first + (exposed[1] - 1 - x) // width + 1))
            first, x = first + skipped, x + skipped * width
        if row in self._caption_rows:
            parts += self._caption_parts(range(first, end), x, y)
        else:
            parts += self._cell_parts(first, end, x, y)
        if not is_long and not self.scale.is_late:
            self._keep(row, parts)
        return parts

    def _cell_parts(self, first: int, end: int, x: int, y: int) -> list[Part]:
        """The glyphs, then each line of labels."""
        scale, cells = self.scale, self.cells
        width, glyphs, top = scale.cell_w, scale.glyphs, y + scale.glyph_y
        lefts = range(x, x + (end - first) * width, width)
        drawn = [
            (left + scale.glyph_x, top, glyphs[code])
            for left, code in zip(lefts, cells.codes[first:end], strict=False)
            if code != SPACER_CODE
        ]
        parts = [(top, top + scale.glyph_h, drawn)]
        top = y + scale.label_y
        if scale.label_lines > 1:
            return [*parts, *self._long_label_parts(range(first, end), lefts, top)]
        for tiles, numbers in zip(
            (scale.labels_1, scale.labels_2)[: scale.lines], (cells.l1, cells.l2), strict=False
        ):
            drawn = [
                (left, top, tiles[number])
                for left, number in zip(lefts, numbers[first:end], strict=False)
                if number
            ]
            parts.append((top, top + scale.line_h, drawn))
            top += scale.line_h
        return parts

    def _long_label_parts(self, here: range, lefts: range, top: int) -> list[Part]:
        """Labels of one line or two, and what each slot holds right below its own."""
        scale, line_h = self.scale, self.scale.line_h
        labels, held = self.cells.l1[here.start : here.stop], self.cells.l2[here.start : here.stop]
        first = [
            (left, top, scale.labels_1[number])
            for left, number in zip(lefts, labels, strict=False)
            if number
        ]
        second = [
            (left, top + max(line_h, scale.labels_1[label].height()), scale.labels_2[number])
            for left, label, number in zip(lefts, labels, held, strict=False)
            if number
        ]
        return [(top, top + scale.lines * line_h, first + second)] if first or second else []

    def _caption_parts(self, cells: range, x: int, y: int) -> list[Part]:
        """The slots between captions, and where labels are drawn the captions."""
        plan, width = self.plan, self.scale.cell_w
        parts: list[Part] = []
        start = cells.start
        for cell in [c for c in cells if plan.is_caption(c)]:
            parts += self._cell_parts(start, cell, x + (start - cells.start) * width, y)
            start = cell + 1
            if self.scale.lines:
                parts.append(_part(self._caption(cell, x + (cell - cells.start) * width, y)))
        return [*parts, *self._cell_parts(start, cells.stop, x + (start - cells.start) * width, y)]

    def _caption(self, cell: int, x: int, y: int) -> list[Placed]:
        """The head of a row beside another, as heads are drawn left of a leaf."""
        plan = self.plan
        texts = plan.lines[plan.l1[cell]], plan.lines[plan.l2[cell]]
        return self._head(texts, self.scale.caption_room(plan.caption_room(cell)), x, y)

    def _row_head(self, row: int, x: int, y: int) -> list[Placed]:
        texts = self.plan.row_head[row], self.plan.row_sub[row]
        return self._head(texts, self.scale.head_room, x - self.scale.row_head_w, y)

    def _head(self, texts: tuple[str, str], room: int, x: int, y: int) -> list[Placed]:
        """A head and what stands under it, about the height of the glyphs."""
        tile = self.scale.heads[(*texts, room)]
        return [(x, y + max(0, self.scale.centre_y - tile.height() // 2), tile)]

    def _keep(self, row: int, parts: list[Part]) -> None:
        tiles = sum(len(drawn) for _, _, drawn in parts)
        self._kept += tiles
        if self._kept > KEPT_TILES:
            self._rows.clear()
            self._kept = tiles
        self._rows[row] = parts

    # --- marks

    def _paint_under(self, painter: QPainter, window: Window, marks: FrameMarks) -> None:
        """Hover, selection and what is proposed lie under the glyphs."""
        if marks.hover >= 0 and self.scale.level is not _OVERVIEW:
            self._draw_mark(painter, window, marks.hover, "hover")
        if marks.count:
            self._paint_selection(painter, window, marks)
        for cell in self.cells.proposals:
            self._draw_mark(painter, window, cell, "proposed")
        if marks.lifted >= 0:
            self._draw_mark(painter, window, marks.lifted, "proposed")

    def _draw_mark(self, painter: QPainter, window: Window, cell: int, kind: str) -> None:
        x, y, width, height = self.flow.cell_box(cell)
        if x < window.x1 and y < window.y1 and x + width > window.x0 and y + height > window.y0:
            painter.drawPixmap(x, y, self.scale.marks[kind])

    def _paint_selection(self, painter: QPainter, window: Window, marks: FrameMarks) -> None:
        find, codes = marks.selected.find, self.plan.codes
        if marks.count <= FEW_SELECTED:  # ask each where it is
            cell = find(1)
            while cell >= 0:
                if codes[cell] & STATE_BITS not in _UNSELECTABLE:
                    self._draw_mark(painter, window, cell, "select")
                cell = find(1, cell + 1)
            return
        tile, width = self.scale.marks["select"], self.scale.cell_w
        for row, start, end in self.flow.spans_in(window.x0, window.y0, window.x1, window.y1):
            first = self.plan.row_first[row]
            cell = find(1, first + start, first + end)
            x, y = self.flow.row_at(row) if cell >= 0 else (0, 0)
            while cell >= 0:
                if codes[cell] & STATE_BITS not in _UNSELECTABLE:
                    painter.drawPixmap(x + (cell - first) * width, y, tile)
                cell = find(1, cell + 1, first + end)

    def _paint_over(self, painter: QPainter, window: Window, marks: FrameMarks) -> None:
        if marks.focus >= 0:
            self._draw_mark(painter, window, marks.focus, "focus")
        if marks.drop >= 0:
            self._draw_mark(painter, window, marks.drop, marks.drop_kind)
        if marks.band is not None:
            x, y, width, height = marks.band
            colour = QColor(self.scale.colours["accent"])
            painter.setPen(QPen(colour, self._edge))
            colour.setAlpha(36)
            painter.setBrush(colour)
            painter.drawRect(x, y, width - 1, height - 1)

    # --- the whole album in one pixmap

    def _paint_overview(self, painter: QPainter, window: Window) -> None:
        if self._overview is None:
            self._overview = self._make_overview()
        x, y = window.x0, window.y0
        width, height = window.x1 - x, window.y1 - y
        if window.x1 > self._overview.width() or window.y1 > self._overview.height():
            paper = self.scale.colours["paper"]
            painter.fillRect(x, y, width, height, paper)
        painter.drawPixmap(x, y, self._overview, x, y, width, height)

    def _make_overview(self) -> QPixmap:
        flow = self.flow
        pixmap = QPixmap(max(1, flow.width), max(1, flow.height))
        pixmap.fill(self.scale.colours["paper"])
        whole = Window(0, 0, flow.width, flow.height, 0, 0)
        painter = QPainter(pixmap)
        try:
            self.paint_ground(painter, whole)
            for number, leaf in enumerate(self.plan.leaves):
                x, y = flow.leaf_at(number)
                rows = range(leaf.first_row, leaf.first_row + leaf.rows)
                x, y = x + flow.sizes.left_in, y + flow.sizes.top_in
                self._paint_plain(painter, rows, x, y)
        finally:
            painter.end()
        return pixmap

    def _repaint_block(self, overview: QPixmap, cell: int) -> None:
        x, y, width, height = self.flow.cell_box(cell)
        painter = QPainter(overview)
        try:
            painter.fillRect(x, y, width, height, self.scale.colours["card"])
            painter.drawPixmap(x, y, self.scale.glyphs[self.cells.codes[cell]])
        finally:
            painter.end()


def _draw_all(draw: Callable[[int, int, QPixmap], None], placed: Iterable[Placed]) -> None:
    """Draw tile after tile; without a loop in Python, which costs a quarter of it."""
    deque(starmap(draw, placed), maxlen=0)


def _part(placed: list[Placed]) -> Part:
    bottom = max(y + pixmap.height() for _, y, pixmap in placed)
    return min(y for _, y, _ in placed), bottom, placed
