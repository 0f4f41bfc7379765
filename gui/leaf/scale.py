"""What depends on zoom, device pixel ratio, palette and font: whole device pixels, and tiles."""

from dataclasses import fields
from enum import IntEnum
from math import ceil

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QFont, QPainter, QPen, QPixmap

from core.arrange.flow import Sizes
from core.arrange.plan import NOT_STRUCK_CODE, SPACER_CODE, STATE_BITS, LeafPlan
from core.arrange.text_room import LABEL_INSET, in_lines, one_line
from core.glyph.blocks import block
from core.glyph.palette import Palette, state_colour
from core.glyph.shapes import largest_diameter, reach
from core.printing.leaf_sizes import (
    FOCUS_AND_MORE,
    GAP,
    GLYPH_ONE_LINE,
    GLYPH_SHARE,
    GLYPH_TWO_LINES,
    HEAD_GAP,
    HEAD_SHARE,
    HEADS,
    LABEL_GAP,
    MARGIN,
    MARK_CLEAR,
    PAD,
    TEXT,
    TITLE,
    WIDE_HEAD_SHARE,
    cell_size,
    glyph_place,
    heads_in_lines,
    line_height,
    row_head_width,
)
from gui.leaf.leaf_cells import DIM_BIT
from gui.leaf.leaf_tiles import Pen, Tiles, clear_pixmap, stacked
from gui.paint import paint_glyph

TEXT_LEAST = 9
TITLES_FROM_ZOOM = 0.3
OVERVIEW_BELOW, LABELS_FROM = 8, 32
CORNER_MARKS_FROM = 16
LEAST_OVER_TWO, LEAST_OVER_THREE = 20, 28
"""What labels of two and of three lines leave for the glyph above them, in logical pixels."""

GLYPH_BYTES, LABEL_BYTES, TEXT_BYTES, MARK_BYTES = 8 << 20, 16 << 20, 1 << 20, 8 << 20
DIM_ALPHA, FAINT_ALPHA = 120, 90
_ANTIALIASING = QPainter.RenderHint.Antialiasing
_NO_PEN, _NO_BRUSH = Qt.PenStyle.NoPen, Qt.BrushStyle.NoBrush
_TEXT_PX = {"row": 17, "row_sub": 12, "head": 13, "wide_head": 13, "title": 17, "sub": 13}
_BOLD = frozenset({"row", "head", "wide_head", "title"})
_MUTED = frozenset({"row_sub", "head", "wide_head", "sub"})
_HEAD_SHARE = {"head": HEAD_SHARE, "wide_head": WIDE_HEAD_SHARE}
"""How much of a column a head may take."""


class Level(IntEnum):
    """How much of a slot is drawn."""

    OVERVIEW = 0
    GLYPHS = 1
    LABELS = 2


class Scale:
    """Sizes in device pixels and the tiles drawn at that size; a new one for every zoom step."""

    def __init__(
        self, plan: LeafPlan, zoom: float, ratio: float, palette: Palette, font: QFont
    ) -> None:
        self.plan, self.zoom, self.ratio, self.palette = plan, zoom, ratio, palette
        self._base_font, self._k = font, zoom * ratio
        self.colours = {item.name: QColor(getattr(palette, item.name)) for item in fields(palette)}
        self._size_cell()
        self._size_labels()
        self._size_glyph()
        self.sizes = self._size_leaf()
        self._make_caches()

    # --- sizes

    def _size_cell(self) -> None:
        base_w, base_h = cell_size(self.plan)
        self.cell_w = max(4, 2 * round(base_w * self._k / 2))
        self.cell_h = max(4, round(base_h * self._k))
        side = min(self.cell_w, self.cell_h) / self.ratio
        self.level = (
            Level.OVERVIEW
            if side < OVERVIEW_BELOW
            else Level.GLYPHS
            if side < LABELS_FROM
            else Level.LABELS
        )

    def _size_labels(self) -> None:
        text_px = max(TEXT_LEAST * self.ratio, TEXT * self._k)
        self._label_font = self._font(text_px)
        self.line_h = line_height(text_px)
        self.lines = 0
        if self.level is Level.LABELS:
            wanted = self.plan.label_lines + 1 if self.plan.has_two_lines else 1
            for lines, glyph in ((3, LEAST_OVER_THREE), (2, LEAST_OVER_TWO), (1, 0)):
                high = lines * self.line_h + glyph * self.ratio
                if lines <= wanted and high <= self.cell_h:
                    self.lines = lines
                    break
            self.lines = max(1, self.lines)
        self.label_lines = max(1, self.lines - 1)
        self._label_em = (self.cell_w - 2 * self._px(LABEL_INSET)) / round(text_px)

    def _size_glyph(self) -> None:
        labels = self.lines * self.line_h
        gap = self._px(LABEL_GAP) if labels else 0
        clear = min(self._px(MARK_CLEAR), round(FOCUS_AND_MORE * self.ratio))
        self.diameter = self._diameter(self.cell_h - labels, gap + clear + self._px(1))
        self.centre_y, self.label_y = glyph_place(
            self.cell_h, self.diameter, labels, gap, clear, self._px(2)
        )
        # The tile has room for the marks but never leaves its cell.
        half = -int(-self.diameter * reach(self.diameter) / 2 // 1) + 1
        self.glyph_x = max(0, self.cell_w // 2 - half)
        self.glyph_y = max(0, self.centre_y - half)
        self.glyph_w = self.cell_w - 2 * self.glyph_x
        self.glyph_h = min(self.cell_h, self.centre_y + half) - self.glyph_y
        if self.level is Level.OVERVIEW:
            self.glyph_x = self.glyph_y = 0
            self.glyph_w, self.glyph_h = self.cell_w, self.cell_h

    def _diameter(self, room: int, taken: int) -> int:
        """The ring's, where labels leave so much room and `taken` of it is to stay empty."""
        if self.level is Level.LABELS:
            usual = round((GLYPH_TWO_LINES if self.lines > 1 else GLYPH_ONE_LINE) * self._k)
            with_marks = int((room - taken) * 2 / (1 + reach(usual)))
            least = min(room - self._px(6), CORNER_MARKS_FROM)
            return max(8, min(usual, max(with_marks, least)))
        side = min(self.cell_w, self.cell_h)
        if self.level is Level.OVERVIEW or side * GLYPH_SHARE >= CORNER_MARKS_FROM:
            return round(side * GLYPH_SHARE)
        return max(round(side * 0.75), largest_diameter(side))

    def _size_leaf(self) -> Sizes:
        plan = self.plan
        self.pad = self._px(PAD)
        has_titles = self.level > Level.OVERVIEW and self.zoom > TITLES_FROM_ZOOM
        has_heads = has_titles and any(leaf.heads for leaf in plan.leaves)
        self.title_h = self._px(TITLE) if has_titles else 0
        self.heads_h = self._px(HEADS) if has_heads else 0
        self.row_head_w = self._row_head_width() if has_titles and plan.has_row_heads else 0
        inner = max((leaf.width for leaf in plan.leaves), default=0) * self.cell_w // 2
        return Sizes(
            cell_w=self.cell_w,
            cell_h=self.cell_h,
            margin=self._px(MARGIN),
            gap=self._px(GAP),
            leaf_w=inner + self.row_head_w + 2 * self.pad,
            left_in=self.pad + self.row_head_w,
            top_in=self.pad // 2 + self.title_h + self.heads_h,
            bottom_in=self.pad * 2 // 3,
        )

    def _row_head_width(self) -> int:
        """Room for the longest head and what stands under one."""
        return ceil(row_head_width(self.plan, self._head_sizes(), self._k))

    def _head_sizes(self) -> tuple[float, float]:
        """Sizes of the texts of a head and of what stands under one."""
        head, sub = (
            max(TEXT_LEAST * self.ratio, _TEXT_PX[k] * self._k) for k in ("row", "row_sub")
        )
        return head, sub

    def _px(self, length: float) -> int:
        return max(1, round(length * self._k))

    # --- fonts

    def _font(self, size_px: float, *, is_bold: bool = False) -> QFont:
        font = QFont(self._base_font)
        font.setPixelSize(max(1, round(size_px)))
        font.setBold(is_bold)
        return font

    def _kind_font(self, kind: str) -> QFont:
        size = max(TEXT_LEAST * self.ratio, _TEXT_PX[kind] * self._k)
        return self._font(size, is_bold=kind in _BOLD)

    # --- tiles

    def _make_caches(self) -> None:
        first = "ink" if self.plan.has_two_lines else "mute"
        self._pen_1 = Pen(self._label_font, self.colours[first], self.line_h)
        self._pen_2 = Pen(self._label_font, self.colours["mute"], self.line_h)
        self._text_pens: dict[str, Pen] = {}
        self.glyphs = Tiles(self._glyph, GLYPH_BYTES)
        self.labels_1 = Tiles(self._label_1, LABEL_BYTES)
        self.labels_2 = Tiles(self._label_2, LABEL_BYTES)
        self.texts = Tiles(self._text, TEXT_BYTES)
        self.heads = Tiles(self._head, TEXT_BYTES)
        self.marks = Tiles(self._mark, MARK_BYTES)

    def set_deadline(self, deadline: float | None) -> None:
        """Make no labels after that moment of `perf_counter`."""
        for tiles in (self.labels_1, self.labels_2):
            tiles.deadline, tiles.is_late = deadline, False

    @property
    def is_late(self) -> bool:
        """Whether labels were left out of the last frame."""
        return self.labels_1.is_late or self.labels_2.is_late

    def _label_1(self, number: int) -> QPixmap:
        lines = in_lines(self.plan.lines[number], self._label_em, self.label_lines)
        return self._pen_1.lines(lines, self.cell_w)

    def _label_2(self, number: int) -> QPixmap:
        return self._pen_2.line(one_line(self.plan.lines[number], self._label_em), self.cell_w)

    def _text_pen(self, kind: str) -> Pen:
        pen = self._text_pens.get(kind)
        if pen is None:
            colour = self.colours["mute" if kind in _MUTED else "ink"]
            pen = self._text_pens[kind] = Pen(self._kind_font(kind), colour)
        return pen

    def caption_room(self, half_cells: int) -> int:
        """The room of a caption over so many half cells."""
        return half_cells * self.cell_w // 2 - self._px(HEAD_GAP)

    @property
    def head_room(self) -> int:
        """The room of a head left of its row."""
        return self.row_head_w - self._px(HEAD_GAP) // 2

    def _head(self, key: tuple[str, str, int]) -> QPixmap:
        """A head and what stands under it, by both texts and their room; as high as they are."""
        head, sub, room = key
        pens = self._text_pen("row"), self._text_pen("row_sub")
        heights = pens[0].height, pens[1].height
        lines = heads_in_lines((head, sub), self._head_sizes(), heights, room, self.cell_h)
        return stacked(
            [
                pen.free_line(text, room + self._px(HEAD_GAP) // 2)
                for pen, part in zip(pens, lines, strict=True)
                for text in part
            ]
        )

    def _text(self, key: tuple[str, str]) -> QPixmap:
        """Heads and titles by (kind, text)."""
        kind, text = key
        pen = self._text_pen(kind)
        if kind in {"head", "wide_head"}:
            return pen.free_line(text, round(self.cell_w * _HEAD_SHARE[kind]))
        return pen.free_line(text, self.sizes.leaf_w - 2 * self.pad)

    def _glyph(self, code: int) -> QPixmap:
        pixmap = clear_pixmap(self.glyph_w, self.glyph_h)
        if code & STATE_BITS == SPACER_CODE:
            return pixmap
        painter = QPainter(pixmap)
        try:
            if code & DIM_BIT:
                self._paint_dim(painter, code)
            elif self.level is Level.OVERVIEW:
                self._paint_block(painter, code)
            else:
                centre = self.glyph_w / 2, self.centre_y - self.glyph_y
                paint_glyph(painter, code, *centre, self.diameter, self.palette)
        finally:
            painter.end()
        return pixmap

    def _paint_dim(self, painter: QPainter, code: int) -> None:
        """A faint dot: something is there that the filter leaves out."""
        if code & STATE_BITS == NOT_STRUCK_CODE:
            return
        colour = QColor(self.colours["mute"])
        colour.setAlpha(DIM_ALPHA)
        if self.level is Level.OVERVIEW:
            side = 1 if min(self.cell_w, self.cell_h) < 6 else 2
            left, top = (self.cell_w - side) // 2, (self.cell_h - side) // 2
            painter.fillRect(left, top, side, side, colour)
            return
        painter.setRenderHint(_ANTIALIASING)
        painter.setPen(_NO_PEN)
        painter.setBrush(colour)
        radius = max(1.0, self.diameter * 0.11)
        x, y = self.glyph_w / 2, self.centre_y - self.glyph_y
        painter.drawEllipse(QRectF(x - radius, y - radius, 2 * radius, 2 * radius))

    def _paint_block(self, painter: QPainter, code: int) -> None:
        side = min(self.cell_w, self.cell_h)
        side -= 1 if side < 6 else 2
        left, top = (self.cell_w - side) // 2, (self.cell_h - side) // 2
        full = QColor(state_colour(self.palette, code))
        faint = QColor(full)
        faint.setAlpha(FAINT_ALPHA)
        for y, row in enumerate(block(code, side, side)):
            for x, value in enumerate(row):
                if value:
                    painter.fillRect(left + x, top + y, 1, 1, full if value == 1 else faint)

    # --- marks over a whole cell

    def _mark(self, kind: str) -> QPixmap:
        """A mark by its kind: hover, select, proposed, focus; drop, swap, refuse under a coin."""
        pixmap = clear_pixmap(self.cell_w, self.cell_h)
        painter = QPainter(pixmap)
        try:
            painter.setRenderHint(_ANTIALIASING)
            match kind:
                case "hover":
                    self._paint_hover(painter)
                case "select":
                    self._paint_select(painter)
                case "proposed":
                    self._paint_proposed(painter)
                case "drop" | "swap" | "refuse":
                    self._paint_drop(painter, kind)
                case _:
                    self._paint_focus(painter)
        finally:
            painter.end()
        return pixmap

    def _mark_box(self) -> tuple[QRectF, float, float]:
        """Box of a mark, its inset from the cell and the radius of its corners."""
        inset = 0.0 if self.cell_h < 60 * self.ratio else 2.0 * self.ratio
        box = QRectF(0, 0, self.cell_w, self.cell_h).adjusted(inset, inset, -inset, -inset)
        return box, inset, min(8 * self.ratio, self.cell_h * 0.16)

    def _paint_hover(self, painter: QPainter) -> None:
        box, _, radius = self._mark_box()
        painter.setPen(_NO_PEN)
        painter.setBrush(self.colours["hover"])
        painter.drawRoundedRect(box, radius, radius)

    def _paint_select(self, painter: QPainter) -> None:
        box, _, radius = self._mark_box()
        width = max(1.0, 1.25 * self.ratio)
        is_overview = self.level is Level.OVERVIEW
        fill = QColor(self.colours["accent" if is_overview else "select"])
        fill.setAlpha(110 if is_overview else 255)
        painter.setBrush(fill)
        painter.setPen(QPen(self.colours["accent"], width))
        painter.drawRoundedRect(_inside(box, width / 2), radius, radius)

    def _paint_proposed(self, painter: QPainter) -> None:
        """A soft ring of accent around what a fill would change."""
        width = (1.0 if self.level is Level.OVERVIEW else 2.0) * self.ratio
        edge, fill = QColor(self.colours["accent"]), QColor(self.colours["accent"])
        edge.setAlpha(190)
        fill.setAlpha(40)
        painter.setPen(QPen(edge, width))
        painter.setBrush(fill)
        if self.level < Level.LABELS:
            painter.drawRect(_inside(QRectF(0, 0, self.cell_w, self.cell_h), width / 2))
            return
        radius = self.diameter / 2 + 1.5 * width
        x, y = self.cell_w / 2, float(self.centre_y)
        radius = min(radius, y - width / 2)
        painter.drawEllipse(QRectF(x - radius, y - radius, 2 * radius, 2 * radius))

    def _paint_focus(self, painter: QPainter) -> None:
        """A ring of ink inside a ring of card colour: seen on anything."""
        box, inset, radius = self._mark_box()
        is_small = min(self.cell_w, self.cell_h) < 24 * self.ratio
        width = (1 if is_small else 2) * self.ratio
        painter.setBrush(_NO_BRUSH)
        painter.setPen(QPen(self.colours["card"], width))
        outer = _inside(box, width / 2 - inset / 2)
        painter.drawRoundedRect(outer, radius + inset / 2, radius + inset / 2)
        painter.setPen(QPen(self.colours["ink"], width))
        painter.drawRoundedRect(_inside(box, width / 2), radius, radius)

    def _paint_drop(self, painter: QPainter, kind: str) -> None:
        """One thick ring: it goes in; two rings: it swaps; a dashed ring: it may not."""
        box, _, radius = self._mark_box()
        is_small = min(self.cell_w, self.cell_h) < 24 * self.ratio
        width = (1.5 if is_small else 3) * self.ratio
        ring = _inside(box, width / 2)
        painter.setBrush(_NO_BRUSH)
        if kind == "refuse":
            pen = QPen(self.colours["ink"], width * 2 / 3)
            pen.setDashPattern([3, 2])
            painter.setPen(pen)
            painter.drawRoundedRect(ring, radius, radius)
            return
        fill = QColor(self.colours["accent"])
        fill.setAlpha(38)
        painter.setBrush(fill)
        painter.setPen(QPen(self.colours["accent"], width))
        painter.drawRoundedRect(ring, radius, radius)
        if kind == "swap" and not is_small:
            painter.setBrush(_NO_BRUSH)
            painter.setPen(QPen(self.colours["accent"], width / 3))
            painter.drawRoundedRect(_inside(ring, width), radius * 0.7, radius * 0.7)


def _inside(box: QRectF, inset: float) -> QRectF:
    return box.adjusted(inset, inset, -inset, -inset)
