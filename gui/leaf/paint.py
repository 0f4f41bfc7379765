"""Paints the exposed part of an album from tiles: one pass, nothing worked out a slot twice.

Coordinates are device pixels of the whole album; `Window` says which part of it shows where.
"""

from bisect import bisect_right
from dataclasses import dataclass, field

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen, QPixmap

from core.arrange.flow import Box, Flow
from core.arrange.plan import NO_CELL, NOT_STRUCK_CODE, SPACER_CODE, STATE_BITS, LeafPlan
from core.printing.leaf_sizes import CORNER, SHORT_HEAD
from gui.leaf.leaf_cells import DrawnCells
from gui.leaf.scale import Level, Scale

KEPT_TILES = 10_000
"""Tiles in the ready lists of rows; past it they are all dropped."""
LONG_ROW = 64
FEW_SELECTED = 64
MANY_CELLS = 4_000
_ANTIALIASING = QPainter.RenderHint.Antialiasing
_NO_BRUSH = Qt.BrushStyle.NoBrush
_UNSELECTABLE = frozenset({SPACER_CODE, NOT_STRUCK_CODE})

Placed = tuple[int, int, QPixmap]


@dataclass(frozen=True, slots=True)
class Window:
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
        self._rows: dict[int, list[Placed]] = {}
        self._kept = 0
        self._caps: dict[int, tuple[QPixmap, QPixmap]] = {}
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
        if self.scale.level is Level.OVERVIEW:
            self._paint_overview(painter, window)
            self._paint_under(painter, window, marks)
        else:
            self.paint_ground(painter, window)
            self._paint_under(painter, window, marks)
            self.paint_tiles(painter, window)
        self._paint_over(painter, window, marks)

    # --- paper, cards, titles

    def paint_ground(self, painter: QPainter, window: Window) -> None:
        """Paper, cards, titles and column heads."""
        flow, fill = self.flow, painter.fillRect
        x0, x1, y1 = window.x0, window.x1, window.y1
        dx, dy, width = window.dx, window.dy, window.x1 - window.x0
        paper = self.scale.colours["paper"]
        # One row-major pass first: narrow strips are cheap only after it.
        fill(x0 - dx, window.y0 - dy, width, y1 - window.y0, self.scale.colours["card"])
        y = window.y0
        first = max(0, bisect_right(flow.band_y, y) - 1)
        for band in range(first, bisect_right(flow.band_y, y1 - 1)):
            top = flow.band_y[band]
            if top > y:
                fill(x0 - dx, y - dy, width, top - y, paper)
                y = top
            y = self._paint_cards(painter, window, band, y)
            if self.scale.title_h and top + flow.sizes.top_in > window.y0:
                self._paint_titles(painter, window, band)
        if y < y1:
            fill(x0 - dx, y - dy, width, y1 - y, paper)
        if x1 > flow.width:
            fill(flow.width - dx, window.y0 - dy, x1 - flow.width, y1 - window.y0, paper)

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
            painter.drawPixmap(-window.dx, top - window.dy, cap_top)
            y = top + radius
        low = min(end - radius, window.y1)
        if low > y:
            self._paint_strips(painter, window, count, (y, low))
        if end - radius < window.y1:
            painter.drawPixmap(-window.dx, end - radius - window.dy, cap_bottom)
        return end

    def _paint_strips(
        self, painter: QPainter, window: Window, count: int, span: tuple[int, int]
    ) -> None:
        """Paper and card edges beside and between the cards; the card colour is there already."""
        flow, edge, fill = self.flow, self._edge, painter.fillRect
        line, paper = self.scale.colours["line"], self.scale.colours["paper"]
        y, height, dx = span[0] - window.dy, span[1] - span[0], window.dx
        x = 0
        for beside in range(count + 1):
            end = flow.left + beside * flow.pitch if beside < count else max(flow.width, window.x1)
            start, stop = max(x, window.x0), min(end, window.x1)
            if start < stop:
                fill(start - dx, y, stop - start, height, paper)
            for left in (x - edge, end):
                if left < window.x1 and left + edge > window.x0:
                    fill(left - dx, y, edge, height, line)
            x = end + flow.sizes.leaf_w

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
            self._paint_title(painter, window, band * flow.columns + beside)

    def _paint_title(self, painter: QPainter, window: Window, number: int) -> None:
        scale, leaf, draw = self.scale, self.plan.leaves[number], painter.drawPixmap
        x, y = self.flow.leaf_at(number)
        x, y = x - window.dx + scale.pad, y - window.dy + scale.pad // 2
        title, sub = scale.texts["title", leaf.title], scale.texts["sub", leaf.subtitle]
        title_y = y + (scale.title_h - title.height()) // 2
        draw(x, title_y, title)
        sub_x = title.width() + scale.title_h // 3
        if sub_x + sub.width() <= self.flow.sizes.leaf_w - 2 * scale.pad:
            draw(x + sub_x, title_y + (title.height() - sub.height()) * 3 // 4, sub)
        if scale.heads_h:
            x += scale.row_head_w
            for column, head in enumerate(leaf.heads):
                beside = (*leaf.heads[max(0, column - 1) : column], *leaf.heads[column + 1 :][:1])
                has_room = all(len(other) <= SHORT_HEAD for other in beside)
                tile = scale.texts["wide_head" if has_room else "head", head]
                head_y = y + scale.title_h + (scale.heads_h - tile.height()) // 2
                head_x = x + column * scale.cell_w + (scale.cell_w - tile.width()) // 2
                draw(head_x, head_y, tile)

    # --- slots

    def paint_tiles(self, painter: QPainter, window: Window) -> None:
        """Glyphs and labels, from a ready list of (x, y, pixmap) a row."""
        scale, flow, sizes = self.scale, self.flow, self.flow.sizes
        x0, y0, x1, y1 = window.x0, window.y0, window.x1, window.y1
        draw, rows = painter.drawPixmap, self._rows
        area = (x1 - x0) * (y1 - y0)
        is_plain = (
            scale.level < Level.LABELS
            and not scale.row_head_w
            and area > MANY_CELLS * sizes.cell_w * sizes.cell_h
        )
        painter.translate(-window.dx, -window.dy)
        for number in flow.leaves_in(x0, y0, x1, y1):
            leaf = self.plan.leaves[number]
            x, y = flow.leaf_at(number)
            if x >= x1 or x + sizes.leaf_w <= x0:
                continue
            x, y = x + sizes.left_in, y + sizes.top_in
            first = max(0, (y0 - y) // sizes.cell_h)
            end = min(leaf.rows, (y1 - 1 - y) // sizes.cell_h + 1)
            if is_plain:
                self._paint_plain(
                    painter, range(leaf.first_row + first, leaf.first_row + end), x, y
                )
                continue
            for down in range(first, end):
                row = leaf.first_row + down
                ready = rows.get(row)
                if ready is None:
                    ready = self._row_list(row, x, y + down * sizes.cell_h, (x0, x1))
                for left, top, pixmap in ready:
                    draw(left, top, pixmap)
        painter.translate(window.dx, window.dy)

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

    def _row_list(self, row: int, x: int, y: int, exposed: tuple[int, int]) -> list[Placed]:
        """All tiles of a row in album coordinates, kept for the next frames."""
        plan, width = self.plan, self.scale.cell_w
        ready = self._row_head(row, x, y) if self.scale.row_head_w else []
        first, end = plan.row_first[row], plan.row_first[row + 1]
        x += plan.row_indent[row] * width // 2
        is_long = end - first > LONG_ROW
        if is_long:  # only what is exposed, and not kept
            skipped = max(0, (exposed[0] - x) // width)
            end = max(first, min(end, first + (exposed[1] - 1 - x) // width + 1))
            first, x = first + skipped, x + skipped * width
        ready += self._cell_tiles(first, end, x, y)
        if not is_long and not self.scale.is_late:
            self._keep(row, ready)
        return ready

    def _cell_tiles(self, first: int, end: int, x: int, y: int) -> list[Placed]:
        scale, cells = self.scale, self.cells
        width, glyphs, top = scale.cell_w, scale.glyphs, y + scale.glyph_y
        lefts = range(x, x + (end - first) * width, width)
        ready = [
            (left + scale.glyph_x, top, glyphs[code])
            for left, code in zip(lefts, cells.codes[first:end], strict=False)
            if code != SPACER_CODE
        ]
        top = y + scale.label_y
        for tiles, numbers in zip(
            (scale.labels_1, scale.labels_2)[: scale.lines], (cells.l1, cells.l2), strict=False
        ):
            ready += [
                (left, top, tiles[number])
                for left, number in zip(lefts, numbers[first:end], strict=False)
                if number
            ]
            top += scale.line_h
        return ready

    def _row_head(self, row: int, x: int, y: int) -> list[Placed]:
        scale, plan = self.scale, self.plan
        x -= scale.row_head_w
        head = scale.texts["row", plan.row_head[row]]
        middle = y + scale.centre_y
        sub = scale.texts["row_sub", plan.row_sub[row]]
        both = head.height() + sub.height()
        if not plan.row_sub[row] or both > scale.cell_h:
            return [(x, middle - head.height() // 2, head)]
        if not plan.row_head[row]:
            return [(x, middle - sub.height() // 2, sub)]
        top = max(y, middle - both // 2)
        return [(x, top, head), (x, top + head.height(), sub)]

    def _keep(self, row: int, ready: list[Placed]) -> None:
        self._kept += len(ready)
        if self._kept > KEPT_TILES:
            self._rows.clear()
            self._kept = len(ready)
        self._rows[row] = ready

    # --- marks

    def _paint_under(self, painter: QPainter, window: Window, marks: FrameMarks) -> None:
        """Hover, selection and what is proposed lie under the glyphs."""
        if marks.hover >= 0 and self.scale.level is not Level.OVERVIEW:
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
            painter.drawPixmap(x - window.dx, y - window.dy, self.scale.marks[kind])

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
                    left = x + (cell - first) * width
                    painter.drawPixmap(left - window.dx, y - window.dy, tile)
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
            painter.drawRect(x - window.dx, y - window.dy, width - 1, height - 1)

    # --- the whole album in one pixmap

    def _paint_overview(self, painter: QPainter, window: Window) -> None:
        if self._overview is None:
            self._overview = self._make_overview()
        x, y = window.x0, window.y0
        width, height = window.x1 - x, window.y1 - y
        if window.x1 > self._overview.width() or window.y1 > self._overview.height():
            paper = self.scale.colours["paper"]
            painter.fillRect(x - window.dx, y - window.dy, width, height, paper)
        painter.drawPixmap(x - window.dx, y - window.dy, self._overview, x, y, width, height)

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
