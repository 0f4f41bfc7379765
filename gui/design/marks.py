"""What lies over the leaf while it is designed: spacers, breaks, and where a dragged slot would go.

Painted by the leaf after its own picture, in device pixels of the album; never part of a tile.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF

from core.app.views import AlbumView
from core.arrange.flow import Box, Flow
from core.arrange.plan import NO_CELL, LeafPlan
from core.model.album import SlotId
from core.model.arrangement import NO_LEAD, ArrangementKind, RowMap
from gui.leaf.paint import Window
from gui.theme import current_palette

SPACER, ROW, LEAF, FREE = 1, 2, 3, 4
"""A spacer, a row or a leaf begun by hand, a hole of the map that no slot fills."""


@dataclass(frozen=True, slots=True)
class Gap:
    """A place between two slots: before `before` (None: at the end), drawn at an edge of a cell.

    `side`: left, right, top or bottom of that cell.
    """

    before: SlotId | None
    cell: int
    side: str


@dataclass(slots=True)
class DesignMarks:
    """Which cells bear which marks; `gap` where a dragged slot would go, `held` those in hand."""

    by_cell: Mapping[int, int] = field(default_factory=dict)
    gap: Gap | None = None
    held: frozenset[int] = frozenset()
    is_asking_of: frozenset[int] = frozenset()

    def paint(self, painter: QPainter, flow: Flow, window: Window) -> None:
        """Paint what of it lies in the window; the painter's origin is the album's."""
        painter.save()
        try:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            accent = QColor(current_palette().accent)
            for row, start, end in flow.spans_in(window.x0, window.y0, window.x1, window.y1):
                first = flow.plan.row_first[row]
                for cell in range(first + start, first + end):
                    if mark := self.by_cell.get(cell, 0):
                        _paint_mark(painter, flow.cell_box(cell), mark, accent)
                    if cell in self.held or cell in self.is_asking_of:
                        _paint_held(painter, flow.cell_box(cell), accent)
            if self.gap is not None:
                _paint_gap(painter, flow.cell_box(self.gap.cell), self.gap.side, accent)
        finally:
            painter.restore()


def marks_of(view: AlbumView, plan: LeafPlan) -> dict[int, int]:
    """The cells of a plan that bear a mark: spacers put in, rows and leaves begun by hand."""
    found: dict[int, int] = {}
    kind = view.album.arrangement.kind
    if kind is ArrangementKind.ROW_MAP:
        return _map_marks(view.album.arrangement.row_map, plan)
    for shown in view.slots:
        lead = shown.slot.lead
        if lead == NO_LEAD:
            continue
        cell = plan.cell_of_slot(int(shown.slot.id))
        if cell == NO_CELL:
            continue
        found[cell] = LEAF if lead.new_leaf else ROW if lead.new_row else 0
        if not kind.is_matrix:
            before = cell
            for _ in range(lead.spacers):
                before = _place_before(plan, before, is_down=view.album.arrangement.is_down)
                if before == NO_CELL or plan.is_drawn(before) or plan.l1[before]:
                    break
                found[before] = SPACER
    return found


def _place_before(plan: LeafPlan, cell: int, *, is_down: bool) -> int:
    """The place that is filled before another one, on its leaf."""
    row, column = plan.where(cell)
    leaf = plan.leaves[plan.row_leaf[row]]
    if not is_down:
        return cell - 1 if cell > plan.row_first[leaf.first_row] else NO_CELL
    if row > leaf.first_row:
        return plan.cell_at(row - 1, column)
    last = leaf.first_row + leaf.rows - 1
    beside = (plan.cell_at(at, column - 1) for at in range(last, leaf.first_row - 1, -1))
    return next((other for other in beside if other != NO_CELL), NO_CELL)


def _map_marks(row_map: RowMap, plan: LeafPlan) -> dict[int, int]:
    found: dict[int, int] = {}
    for leaf, rows in zip(plan.leaves, row_map, strict=False):
        for down, places in enumerate(rows):
            for at, is_hole in enumerate(places):
                cell = plan.cell_at(leaf.first_row + down, at)
                if cell != NO_CELL and not plan.is_drawn(cell):
                    found[cell] = FREE if is_hole else SPACER
    return found


def _paint_mark(painter: QPainter, box: Box, mark: int, accent: QColor) -> None:
    x, y, width, height = box
    pen = max(1.0, width / 48)
    if mark in (SPACER, FREE):
        faint = QColor(accent)
        faint.setAlpha(150)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        middle = QPointF(x + width / 2, y + min(width, height) / 2)
        if mark == FREE:
            radius = min(width, height) * 0.22
            painter.setPen(QPen(faint, pen))
            painter.drawEllipse(middle, radius, radius)
        else:
            radius = min(width, height) * 0.08
            painter.setPen(QPen(faint, pen))
            painter.drawLine(middle - QPointF(radius, 0), middle + QPointF(radius, 0))
            painter.drawLine(middle - QPointF(0, radius), middle + QPointF(0, radius))
        return
    size = max(4.0, width * 0.13)
    left, top = x + pen, y + pen + size * 0.3
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(accent)
    for at in range(2 if mark == LEAF else 1):
        shift = at * size * 0.8
        points = (
            QPointF(left + shift, top),
            QPointF(left + shift + size * 0.8, top + size / 2),
            QPointF(left + shift, top + size),
        )
        painter.drawPolygon(QPolygonF(points))


def _paint_held(painter: QPainter, box: Box, accent: QColor) -> None:
    x, y, width, height = box
    pen = max(1.0, width / 40)
    inset = 3 * pen  # the frame of the slot that has the keys stays seen
    painter.setPen(QPen(accent, pen, Qt.PenStyle.DashLine))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    inner = QRectF(
        x + inset, y + inset, width - 2 * inset, height - inset - pen
    )  # words stay clear
    painter.drawRoundedRect(inner, 6, 6)


def _paint_gap(painter: QPainter, box: Box, side: str, accent: QColor) -> None:
    """A bar between two cells with a knob at each end."""
    x, y, width, height = box
    pen = max(2.0, width / 24)
    knob = pen * 1.3
    if side in ("left", "right"):
        at = x if side == "left" else x + width
        ends = QPointF(at, y + knob), QPointF(at, y + height - knob)
    else:
        level = y if side == "top" else y + height
        ends = QPointF(x + knob, level), QPointF(x + width - knob, level)
    painter.setPen(QPen(accent, pen))
    painter.drawLine(*ends)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(accent)
    for end in ends:
        painter.drawEllipse(end, knob, knob)
