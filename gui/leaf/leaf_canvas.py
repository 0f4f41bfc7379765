"""The album as a picture that scrolls and zooms: layout, coordinates and painting.

`QTableView` is beneath for its accessible table, its selection model and its keys only. Its headers
lay out nothing: every override takes positions from `Flow` instead. `LeafView` adds what the
collector does with keys and mouse.
"""

from collections.abc import Callable
from time import perf_counter
from typing import Protocol, cast

from PySide6.QtCore import (
    QEvent,
    QModelIndex,
    QPersistentModelIndex,
    QPoint,
    QRect,
    Qt,
    QTimer,
    Signal,
)
from PySide6.QtGui import QPainter, QPaintEvent, QWheelEvent
from PySide6.QtWidgets import QAbstractButton, QAbstractItemView, QTableView, QWidget

from core.arrange.flow import Box, Flow
from core.arrange.plan import NO_CELL, LeafPlan, empty_plan
from core.arrange.text_room import USUAL_CELL
from core.glyph.palette import LIGHT, Palette
from gui.leaf.leaf_cells import DrawnCells
from gui.leaf.leaf_moves import Walk
from gui.leaf.leaf_port import LeafPort
from gui.leaf.leaf_zoom import (
    CLOSER,
    LEAST_CLOSER,
    LEAST_READING,
    LEAST_WIDE,
    LEAST_WIDEST,
    MOST_READING,
    best_zoom,
    whole_pixels,
    within_bounds,
)
from gui.leaf.model import LeafTableModel
from gui.leaf.paint import FrameMarks, LeafPainter, Window
from gui.leaf.scale import Level, Scale

SCROLL_MARGIN_PX = 24
SCROLL_STEP_PX = 24
LABEL_BUDGET_S = 0.007
"""A zoom step makes labels no longer than this in a frame; the rest comes with the next frames."""

AnyIndex = QModelIndex | QPersistentModelIndex

# Looking up a member of a Qt enum costs about a microsecond, so hot overrides use these.
_LOOKS = frozenset({QEvent.Type.FontChange, QEvent.Type.StyleChange})
_CTRL = Qt.KeyboardModifier.ControlModifier
_Hint = QAbstractItemView.ScrollHint
_VISIBLE = _Hint.EnsureVisible


class Overlay(Protocol):
    """Paints over the album after all else, in device pixels of the album."""

    def paint(self, painter: QPainter, flow: Flow, window: Window) -> None:
        """Paint what lies in the window; the painter's origin is the album's."""


class LeafCanvas(QTableView):
    """Shows a plan at a zoom; knows where every cell lies.

    A child class ends its constructor with `setModel(self._model)`, when it is ready for calls.
    """

    zoom_changed = Signal(float)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._port = LeafPort()
        self.setViewport(self._port)
        # Asking Qt for these at every step would make new Python objects of them.
        self._bars = self.horizontalScrollBar(), self.verticalScrollBar()
        self._plan: LeafPlan = empty_plan()
        self._colours: Palette = LIGHT
        self._cells = DrawnCells(self._plan)
        self._painter: LeafPainter | None = None
        self._marks = FrameMarks()
        self._walk: Walk | None = None
        self._overlay: Overlay | None = None
        self._zoom, self._columns = 1.0, 0
        self._offset = 0, 0
        self._whole = 1.0, 1
        self._is_resetting = self._are_bars_moving = self._is_in_hurry = False
        self._builds_labels_at_once = False
        self._model = LeafTableModel(self)
        self._build_timers()
        self._build_frame()

    def _build_timers(self) -> None:
        self._repaint_timer, self._layout_timer = QTimer(self), QTimer(self)
        for timer in (self._repaint_timer, self._layout_timer):
            timer.setSingleShot(True)
        self._repaint_timer.timeout.connect(self.viewport().update)
        self._layout_timer.timeout.connect(self._lay_out)

    def _build_frame(self) -> None:
        self.setProperty("kind", "leaf")  # without the frame that the style gives to other tables
        for header in (self.horizontalHeader(), self.verticalHeader()):
            header.hide()
            header.setMinimumSectionSize(1)
        # The corner button: only the base's updateGeometries would hide it.
        for button in self.findChildren(
            QAbstractButton, options=Qt.FindChildOption.FindDirectChildrenOnly
        ):
            button.hide()
        self.setShowGrid(False)
        self.setCornerButtonEnabled(False)
        self.setFrameStyle(0)
        self.setTabKeyNavigation(False)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setMouseTracking(True)
        self.viewport().setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.setAccessibleName("Album")

    def set_builds_labels_at_once(self, value: bool) -> None:
        """Whether all labels are made in the first frame after a zoom: for pictures."""
        self._builds_labels_at_once = value

    def set_columns(self, columns: int) -> None:
        """So many leaves side by side; 0 as many as fit."""
        self._columns = columns
        self._lay_out()

    def set_overlay(self, overlay: Overlay | None) -> None:
        """Have something painted over the album from now on; None for nothing."""
        self._overlay = overlay
        self.viewport().update()

    def content_left(self) -> int:
        """Where the first card begins, logical pixels: a title above the view lines up with it."""
        if self._painter is None:
            return 0
        return int(self._painter.flow.left // self._ratio()) - self.horizontalOffset()

    def current_cell(self) -> int:
        """The cell the keys act on, or NO_CELL."""
        return self._model.cell(self.currentIndex())

    # --- layout

    def _ratio(self) -> float:
        return self._port.devicePixelRatio()

    def _whole_px(self) -> int:
        """Scroll offsets are multiples of this: so many logical pixels are whole device pixels."""
        ratio = self._port.devicePixelRatio()
        if ratio != self._whole[0]:
            self._whole = ratio, whole_pixels(ratio)
        return self._whole[1]

    def _lay_out(self) -> None:
        ratio = self._ratio()
        painter = self._painter
        scale = painter.scale if painter is not None else None
        is_same = (
            scale is not None
            and scale.plan is self._plan
            and (scale.zoom, scale.ratio) == (self._zoom, ratio)
            and scale.palette == self._colours
        )
        if scale is None or not is_same:
            scale = self._scale_at(self._zoom)
        width = round(self.viewport().width() * ratio)
        flow = Flow(self._plan, scale.sizes, width, self._columns)
        self._painter = LeafPainter(self._cells, scale, flow)
        self._walk = Walk(flow)
        self._set_bar_ranges(flow)
        self.viewport().update()

    def _scale_at(self, zoom: float) -> Scale:
        return Scale(self._plan, zoom, self._ratio(), self._colours, self.font())

    def _set_bar_ranges(self, flow: Flow) -> None:
        ratio, whole, size = self._ratio(), self._whole_px(), self.viewport().size()
        bars = (
            (self.horizontalScrollBar(), flow.width, size.width()),
            (self.verticalScrollBar(), flow.height, size.height()),
        )
        self._are_bars_moving = True
        try:
            for bar, length, page in bars:
                most = max(0, -(-int(length / ratio + 0.999) // whole) * whole - page)
                bar.setPageStep(page)
                bar.setSingleStep(-(-SCROLL_STEP_PX // whole) * whole)
                bar.setRange(0, -(-most // whole) * whole)
        finally:
            self._are_bars_moving = False
        self._offset = self.horizontalOffset(), self.verticalOffset()

    def _bar_values(self) -> tuple[int, int]:
        return self.horizontalScrollBar().value(), self.verticalScrollBar().value()

    def _set_bar_values(self, values: tuple[int, int]) -> None:
        """Scroll without a blit: all is painted anew."""
        self._are_bars_moving = True
        try:
            self.horizontalScrollBar().setValue(values[0])
            self.verticalScrollBar().setValue(values[1])
        finally:
            self._are_bars_moving = False
        self._offset = self.horizontalOffset(), self.verticalOffset()

    def updateGeometries(self) -> None:
        # Never the base: it lays out headers and sets other ranges.
        if not self._is_resetting and self._painter is not None:
            self._lay_out_around(self._anchor_cell())

    def _anchor_cell(self) -> int:
        """The current cell where it is in view, else the first slot there is."""
        current = self.current_cell()
        shown = self.viewport().rect()
        if self._painter is None or self._cell_rect(current).intersects(shown):
            return current
        flow, (x, y) = self._painter.flow, self._device(QPoint(0, 0))
        right, bottom = self._device(shown.bottomRight())
        spans = flow.spans_in(x, y, right, bottom)
        return next((self._plan.cell_at(row, column) for row, column, _ in spans), NO_CELL)

    def _lay_out_around(self, cell: int) -> None:
        """Lay out anew; where leaves move to other bands, a cell keeps its height in the view."""
        before = self._painter
        y = self._cell_rect(cell).top()
        self._lay_out()
        if before is None or self._painter is None or cell < 0:
            return
        if before.flow.columns != self._painter.flow.columns:
            moved = self._cell_rect(cell).top() - y
            self._set_bar_values((self._bar_values()[0], self._bar_values()[1] + moved))

    def horizontalOffset(self) -> int:
        value = self._bars[0].value()
        return value - value % self._whole_px()

    def verticalOffset(self) -> int:
        value = self._bars[1].value()
        return value - value % self._whole_px()

    def scrollContentsBy(self, dx: int, dy: int) -> None:
        # Not the base, which would move headers; and by the offsets as rounded.
        x, y = self._offset
        self._offset = to_x, to_y = self.horizontalOffset(), self.verticalOffset()
        if self._are_bars_moving or (x == to_x and y == to_y):
            return
        self._port.scroll(x - to_x, y - to_y)
        if self._marks.hover >= 0:
            self._hover_anew()

    def _hover_anew(self) -> None:
        """Another slot may have come under a pointer that stands still."""

    # --- coordinates

    def _device(self, point: QPoint) -> tuple[int, int]:
        """A viewport point in device pixels of the album."""
        ratio = self._ratio()
        x, y = point.x() + self.horizontalOffset(), point.y() + self.verticalOffset()
        return round(x * ratio), round(y * ratio)

    def _cell_at(self, point: QPoint) -> int:
        """The drawn cell at a viewport point, or NO_CELL."""
        if self._painter is None:
            return NO_CELL
        cell = self._painter.flow.hit(*self._device(point))
        return cell if cell >= 0 and self._plan.is_drawn(cell) else NO_CELL

    def place_at(self, point: QPoint) -> tuple[int, float, float] | None:
        """The cell of a leaf's row nearest to a viewport point, and how far across and down it.

        0 is its left or top edge, 1 the other; None where no leaf is there.
        """
        if self._painter is None:
            return None
        flow, (x, y) = self._painter.flow, self._device(point)
        for leaf in flow.leaves_in(x, y, x, y):
            rows = self._plan.leaves[leaf]
            down = (y - flow.leaf_at(leaf)[1] - flow.sizes.top_in) // flow.sizes.cell_h
            row = rows.first_row + max(0, min(down, rows.rows - 1))
            cells = self._plan.cells_of_row(row) if rows.rows else range(0)
            if not cells:
                continue
            across = (x - flow.row_at(row)[0]) // flow.sizes.cell_w
            cell = cells[max(0, min(across, len(cells) - 1))]
            left, top, width, height = flow.cell_box(cell)
            return cell, (x - left) / width, (y - top) / height
        return None

    def _logical(self, box: Box) -> QRect:
        x, y, width, height = box
        ratio = self._ratio()
        left, top = int(x // ratio), int(y // ratio)
        right, bottom = -int(-(x + width) // ratio), -int(-(y + height) // ratio)
        dx, dy = self.horizontalOffset(), self.verticalOffset()
        return QRect(left - dx, top - dy, right - left, bottom - top)

    def _cell_rect(self, cell: int) -> QRect:
        if cell < 0 or self._painter is None:
            return QRect()
        return self._logical(self._painter.flow.cell_box(cell))

    def indexAt(self, point: QPoint) -> QModelIndex:
        return self._model.index_of(self._cell_at(point))

    def visualRect(self, index: AnyIndex) -> QRect:
        return self._cell_rect(self._model.cell(index))

    def scrollTo(self, index: AnyIndex, hint: QAbstractItemView.ScrollHint = _VISIBLE) -> None:
        rect, size = self.visualRect(index), self.viewport().size()
        if rect.isEmpty():
            return
        margin = min(SCROLL_MARGIN_PX, size.height() // 6)
        rect = self._with_title(rect, self._model.cell(index), size.height() - 2 * margin)
        sides = (
            (self.horizontalScrollBar(), rect.left(), rect.width(), size.width()),
            (self.verticalScrollBar(), rect.top(), rect.height(), size.height()),
        )
        for bar, start, length, page in sides:
            by = _scroll_by((start, length, page), margin, hint)
            bar.setValue(bar.value() + by + (self._whole_px() - 1 if by > 0 else 0))

    def _with_title(self, rect: QRect, cell: int, most_high: int) -> QRect:
        """A slot's place; in a leaf's first row with what stands above it, where both fit."""
        row = self._plan.where(cell)[0]
        leaf = self._plan.row_leaf[row]
        if self._painter is None or row != self._plan.leaves[leaf].first_row:
            return rect
        top = self._logical(self._painter.flow.leaf_box(leaf)).top()
        whole = rect.adjusted(0, top - rect.top(), 0, 0)
        return whole if whole.height() <= most_high else rect

    # --- zoom

    def zoom(self) -> float:
        """1 is the size of the design; a cell is then 68 or 78 px high."""
        return self._zoom

    def zoom_by(self, factor: float, at: QPoint | None = None) -> None:
        """Make everything larger or smaller by a factor."""
        self.set_zoom(self._zoom * factor, at)

    def set_zoom(self, zoom: float, at: QPoint | None = None) -> None:
        """What lies at a viewport point (else the current slot, else the middle) stays there."""
        zoom = within_bounds(zoom)
        if self._painter is None or abs(zoom - self._zoom) < 1e-9:
            self._zoom = zoom
            return
        cell, at = self._zoom_anchor(at)
        x, y = self._device(at)
        left, top, width, height = self._anchor_box(cell, self._painter.flow)
        across, down = (x - left) / width, (y - top) / height
        self._zoom = zoom
        self._lay_out()
        left, top, width, height = self._anchor_box(cell, self._painter.flow)
        ratio = self._ratio()
        self._set_bar_values(
            (
                round((left + across * width) / ratio - at.x()),
                round((top + down * height) / ratio - at.y()),
            )
        )
        self._is_in_hurry = not self._builds_labels_at_once
        self.viewport().update()
        self.zoom_changed.emit(zoom)

    def _zoom_anchor(self, at: QPoint | None) -> tuple[int, QPoint]:
        if at is not None:
            return self._cell_at(at), at
        current = self._cell_rect(self.current_cell())
        if current.intersects(self.viewport().rect()):
            return self.current_cell(), current.center()
        return NO_CELL, self.viewport().rect().center()

    @staticmethod
    def _anchor_box(cell: int, flow: Flow) -> Box:
        if cell >= 0:
            return flow.cell_box(cell)
        return 0, 0, max(1, flow.width), max(1, flow.height)

    def fit_album(self) -> None:
        """The largest zoom at which the whole album is in view."""
        self._fit(self._plan_fits)
        self._set_bar_values((0, 0))

    def fit_leaf(self) -> None:
        """The largest zoom at which the current leaf is in view, and go there."""
        cell = self.current_cell()
        if cell < 0:
            return
        leaf = self._plan.row_leaf[self._plan.where(cell)[0]]
        self._fit(lambda flow: self._leaf_fits(flow, leaf))
        if self._painter is None:
            return
        rect = self._logical(self._painter.flow.leaf_box(leaf))
        at = self._bar_values()
        margin = rect.center() - self.viewport().rect().center()
        self._set_bar_values((at[0] + margin.x(), at[1] + margin.y()))
        self.viewport().update()

    def fit_reading(self) -> None:
        """The zoom that shows the largest leaf whole, within what reads well; and go there.

        Somewhat smaller where that brings a further leaf beside the others.
        """
        if not self._plan.leaves:
            return
        width, height = self._viewport_px()

        def is_in_view(zoom: float) -> bool:
            flow = self._flow_at(zoom)
            is_high_enough = max(flow.band_h) + 2 * flow.sizes.margin <= height
            return is_high_enough and flow.used_width <= width

        def is_wide_enough(zoom: float) -> bool:
            return self._flow_at(zoom).used_width <= width

        zoom = best_zoom(is_in_view, LEAST_READING, MOST_READING)
        if not is_wide_enough(zoom):  # no leaf runs off the right if that can be helped
            least = LEAST_WIDE * USUAL_CELL / self._plan.label_cell
            zoom = best_zoom(is_wide_enough, max(LEAST_WIDEST, least), zoom)
        more = self._flow_at(zoom).columns + 1
        least = min(zoom, max(LEAST_CLOSER, CLOSER * zoom))
        closer = best_zoom(lambda z: self._flow_at(z).columns >= more, least, zoom)
        self.set_zoom(closer if closer > least else zoom)
        self._is_in_hurry = False  # all labels at once: nobody is turning a wheel
        self._bring_leaf_up()

    def runs_off(self) -> bool:
        """Whether leaves run off the right, or are drawn small so that they do not."""
        is_small = self.zoom() < LEAST_READING
        return is_small or self._flow_at(self.zoom()).used_width > self._viewport_px()[0]

    def _bring_leaf_up(self) -> None:
        """Scroll up or down until the current leaf's title is in view, if its slot stays so."""
        cell = self.current_cell()
        if self._painter is None or cell < 0:
            return
        box = self._painter.flow.leaf_box(self._plan.row_leaf[self._plan.where(cell)[0]])
        rect, shown = self._logical(box), self.viewport().rect()
        if rect.height() <= shown.height() and not shown.contains(rect.center().x(), rect.top()):
            self._set_bar_values((self._bar_values()[0], self._bar_values()[1] + rect.top()))

    def _flow_at(self, zoom: float) -> Flow:
        width = round(self.viewport().width() * self._ratio())
        return Flow(self._plan, self._scale_at(zoom).sizes, width, self._columns)

    def _fit(self, is_fitting: Callable[[Flow], bool]) -> None:
        if not self._plan.leaves:
            return
        self.set_zoom(best_zoom(lambda zoom: is_fitting(self._flow_at(zoom))))

    def _viewport_px(self) -> tuple[int, int]:
        size, ratio = self.viewport().size(), self._ratio()
        return round(size.width() * ratio), round(size.height() * ratio)

    def _plan_fits(self, flow: Flow) -> bool:
        width, height = self._viewport_px()
        return flow.used_width <= width and flow.height <= height

    def _leaf_fits(self, flow: Flow, leaf: int) -> bool:
        width, height = self._viewport_px()
        _, _, leaf_w, leaf_h = flow.leaf_box(leaf)
        margin = 2 * flow.sizes.margin
        return leaf_w + margin <= width and leaf_h + margin <= height

    def wheelEvent(self, event: QWheelEvent) -> None:
        if not event.modifiers() & _CTRL:
            super().wheelEvent(event)
            return
        if turned := event.angleDelta().y():
            self.zoom_by(1.1 ** (turned / 120), event.position().toPoint())
        event.accept()

    # --- events and painting

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() in _LOOKS and self._painter is not None:
            self._painter = None
            self._lay_out()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self._port)
        try:
            self._paint(painter, event.rect())
        finally:
            painter.end()  # an open painter and an exception would end the program

    def _paint(self, painter: QPainter, exposed: QRect) -> None:
        """One pass over the bounding rectangle: a tile drawn twice blends its soft edge twice."""
        leaf = self._painter
        ratio = self._ratio()
        if leaf is None or leaf.scale.ratio != ratio:  # no plan yet, or another screen
            painter.fillRect(exposed, self.palette().base())
            self._layout_timer.start()
            return
        scale = leaf.scale
        if ratio != 1:
            _to_device_pixels(painter, ratio)
        if self._is_in_hurry:
            scale.set_deadline(perf_counter() + LABEL_BUDGET_S)
        window = self._window(exposed, ratio)
        leaf.paint(painter, window, self._marks)
        if self._overlay is not None and scale.level is not Level.OVERVIEW:
            painter.translate(-window.dx, -window.dy)
            self._overlay.paint(painter, leaf.flow, window)
        if self._is_in_hurry:
            self._is_in_hurry = scale.is_late
            scale.set_deadline(None)
            if self._is_in_hurry:
                self._repaint_timer.start()

    def _window(self, exposed: QRect, ratio: float) -> Window:
        dx, dy = self._offset
        box = cast("tuple[int, int, int, int]", exposed.getRect())
        left, top, width, height = box
        if ratio == 1:
            x, y = left + dx, top + dy
            return Window(x, y, x + width, y + height, dx, dy)
        dx, dy = round(dx * ratio), round(dy * ratio)
        more = int(ratio % 1 > 0)
        x0, y0 = int(left * ratio // 1) - more, int(top * ratio // 1) - more
        x1 = -int(-(left + width) * ratio // 1) + more
        y1 = -int(-(top + height) * ratio // 1) + more
        return Window(x0 + dx, y0 + dy, x1 + dx, y1 + dy, dx, dy)


def _to_device_pixels(painter: QPainter, ratio: float) -> None:
    """One unit a device pixel, though the viewport may begin between two of them."""
    transform = painter.deviceTransform()
    x, y = transform.dx(), transform.dy()
    painter.scale(1 / ratio, 1 / ratio)
    painter.translate(round(x) - x, round(y) - y)


def _scroll_by(side: tuple[int, int, int], margin: int, hint: QAbstractItemView.ScrollHint) -> int:
    """How far to scroll so that (start, length) shows in a page of that size, all logical px."""
    start, length, page = side
    if hint == _Hint.PositionAtCenter or length + 2 * margin > page:
        return start + length // 2 - page // 2
    if hint == _Hint.PositionAtTop or (hint == _VISIBLE and start < margin):
        return start - margin
    if hint == _Hint.PositionAtBottom or start + length > page - margin:
        return start + length + margin - page
    return 0
