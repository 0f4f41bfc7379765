"""The one file that imports pyqtgraph: a curve with axes, drawn when the first one is there.

Nothing in it takes the mouse or the keys; `BudgetChart` around it does.
"""

from collections.abc import Sequence
from functools import partial

import pyqtgraph
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPen
from PySide6.QtWidgets import QFrame, QGraphicsItem, QGraphicsView, QVBoxLayout, QWidget

from core.glyph.palette import Palette
from core.planning.drawn import Drawn
from gui.theme import S

FOOT_PX, TOP_PX, RIGHT_PX = 28.0, 11.0, 8.0
DOT_PX, RING_PX = 14, 3
Corners = Sequence[tuple[float, float]]


class Plot:
    """A curve, one dashed beside it, a mark with a plumb line; corners and ticks are `Drawn`'s."""

    def __init__(self, parent: QWidget) -> None:
        self._view = pyqtgraph.PlotWidget(parent, background=None)
        self.widget: QGraphicsView = self._view
        self.widget.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.widget.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.widget.setFrameShape(QFrame.Shape.NoFrame)
        self._item = self._view.getPlotItem()
        self._item.setMenuEnabled(False)
        self._item.hideButtons()
        self._item.setMouseEnabled(False, False)
        self._item.layout.setContentsMargins(0.0, TOP_PX, RIGHT_PX, 0.0)
        self._box = self._item.getViewBox()
        self._box.setDefaultPadding(0.0)
        # A dot on an axis is seen whole; nothing else reaches beyond them.
        self._box.setFlag(QGraphicsItem.GraphicsItemFlag.ItemClipsChildrenToShape, False)
        self._left, self._bottom = self._item.getAxis("left"), self._item.getAxis("bottom")
        for axis in (self._left, self._bottom):
            axis.setPen(QPen(Qt.PenStyle.NoPen))  # None is a pen of its own there
            axis.setTickPen(QPen(Qt.PenStyle.NoPen))
            axis.setStyle(tickLength=0, autoExpandTextSpace=False, autoReduceTextSpace=False)
        self._left.setStyle(tickTextOffset=int(S))
        self._bottom.setStyle(tickTextOffset=6, hideOverlappingLabels=int(RIGHT_PX))
        self._bottom.setHeight(FOOT_PX)
        self._levels = pyqtgraph.PlotCurveItem(connect="pairs")
        self._beside = pyqtgraph.PlotCurveItem(antialias=True)
        self._full = pyqtgraph.PlotCurveItem(antialias=True)
        self._plumb = pyqtgraph.PlotCurveItem()
        self._dot = pyqtgraph.ScatterPlotItem(antialias=True)
        for item in (self._levels, self._beside, self._full, self._plumb, self._dot):
            self._box.addItem(item, ignoreBounds=True)

    def draw(self, drawn: Drawn, mark: float | None, colours: Palette, font: QFont) -> None:
        """Draw all of it anew."""
        self._view.setBackground(QColor(colours.card))
        metrics = QFontMetricsF(font)
        wide = max((metrics.horizontalAdvance(tick.text) for tick in drawn.ticks_up), default=0.0)
        self._left.setWidth(wide + S)
        for axis, ticks in ((self._left, drawn.ticks_up), (self._bottom, drawn.ticks_across)):
            axis.setTicks([[(tick.at, tick.text) for tick in ticks]])
            axis.setTextPen(QColor(colours.mute))
            axis.setStyle(tickFont=font)
        self._box.setRange(xRange=(0.0, drawn.most), yRange=(0.0, drawn.high), padding=0.0)
        pen = partial(_pen, self.widget.devicePixelRatioF())
        levels = [(across, tick.at) for tick in drawn.ticks_up for across in (0.0, drawn.most)]
        self._levels.setPen(pen(colours.line, 1))
        _put(self._levels, levels)
        self._beside.setPen(pen(colours.mute, 1.5, Qt.PenStyle.DashLine))
        _put(self._beside, drawn.corners_beside)
        self._full.setPen(pen(colours.accent, 2.5))
        _put(self._full, drawn.corners)
        plumb: Corners = ()
        if mark is not None:
            across, figure = min(mark, drawn.most), drawn.figure_at(mark)
            plumb = ((across, 0.0), (across, figure))
        self._plumb.setPen(pen(colours.ink, 1, Qt.PenStyle.DashLine))
        _put(self._plumb, plumb)
        self._dot.setData(
            [one for one, _ in plumb[1:]], [one for _, one in plumb[1:]], size=DOT_PX,
            brush=QColor(colours.accent), pen=pen(colours.card, 2),
        )  # fmt: skip

    def at(self, across: float, figure: float) -> QPointF:
        """Where a point of the curve is, in dots of the widget around it."""
        scene: QPointF = self._box.mapViewToScene(QPointF(across, figure))
        return self.widget.viewportTransform().map(scene) + QPointF(self.widget.pos())

    def across_at(self, x: float) -> float:
        """What is across at a dot of the widget around it, however far outside the axes."""
        inverse, _ = self.widget.viewportTransform().inverted()
        scene = inverse.map(QPointF(x - self.widget.x(), 0.0))
        view: QPointF = self._box.mapSceneToView(scene)
        return view.x()


def _pen(
    ratio: float, colour: str, wide: float, style: Qt.PenStyle = Qt.PenStyle.SolidLine
) -> QPen:
    """A pen so many dots of the screen wide for each of the window's, whatever the axes measure."""
    pen = QPen(QColor(colour), wide * ratio, style)
    pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
    pen.setCosmetic(True)
    return pen


def _put(item: pyqtgraph.PlotCurveItem, corners: Corners) -> None:
    item.setData([across for across, _ in corners], [figure for _, figure in corners])


def in_layout(plot: Plot, parent: QWidget) -> None:
    """Let a plot fill a widget, all but its ring of focus."""
    box = QVBoxLayout(parent)
    box.setContentsMargins(RING_PX, RING_PX, RING_PX, RING_PX)
    box.addWidget(plot.widget)
