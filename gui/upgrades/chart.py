"""The budget curve: money across, what it buys upwards, in steps; a click or a key chooses.

Corners and ticks are those of `core.planning.drawn`, which the page on paper is drawn from too.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterable

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QFocusEvent,
    QFont,
    QFontMetricsF,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QPolygonF,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from core.model.money import money_text
from core.planning.drawn import Drawn, Stair, counted, figure_at
from gui.theme import S, current_palette

HIGH_PX = 268
FOOT_PX, TOP_PX, FONT_PX = 28.0, 14.0, 11
NOTHING = Drawn()


class BudgetChart(QWidget):
    """Draws one curve, and another dashed beside it; the budget is a dot with a plumb line.

    One that is not `is_choosing` is only looked at: of months, or of what is supposed.
    """

    chosen = Signal(object)
    """An amount in minor units."""

    def __init__(
        self,
        name: str,
        parent: QWidget | None = None,
        high_px: int = HIGH_PX,
        is_choosing: bool = True,
    ) -> None:
        super().__init__(parent)
        self._name, self._is_choosing = name, is_choosing
        self.drawn = NOTHING
        self._budget: int | None = None
        self._has_mark = False
        self.setMinimumHeight(high_px)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        if is_choosing:
            self.setCursor(Qt.CursorShape.PointingHandCursor)
            self.setToolTip("A click chooses the budget; Left and Right go from step to step")
        self._tell()

    def show_curve(self, drawn: Drawn) -> None:
        """Show a curve, with what is beside it."""
        self.drawn = drawn
        self._tell()
        self.update()

    def show_budget(self, budget: int | None) -> None:
        """Mark the budget; None: as much as it takes."""
        self._budget, self._has_mark = budget, True
        self._tell()
        self.update()

    @property
    def marked(self) -> float:
        """Where the mark stands: the budget, or without one the last step."""
        if self._budget is not None:
            return self._budget
        return self.drawn.stairs[-1].across if self.drawn.stairs else 0

    def _tell(self) -> None:
        drawn = self.drawn
        if len(drawn.stairs) < 2 and len(drawn.beside) < 2:
            self.setAccessibleName(f"{self._name}: nothing to draw")
            return
        last = drawn.stairs[-1]
        if drawn.unit == "months":
            told = f"{counted(last.figure, drawn.figure)} in {last.across} months"
        else:
            here = round(self.marked)
            told = "; at most ".join(
                f"{counted(drawn.figure_at(at), drawn.figure)} for {money_text(at, drawn.unit)}"
                for at in dict.fromkeys((here, last.across))
            )
        if drawn.beside:
            now = counted(figure_at(drawn.beside, self.marked), drawn.figure)
            told += f"; beside it, dashed: {now}"
        self.setAccessibleName(f"{self._name}: {told}")

    def sizeHint(self) -> QSize:
        return QSize(400, self.minimumHeight())

    # ---- where things are ---------------------------------------------------------------------

    def _font(self) -> QFont:
        font = QFont(self.font())
        font.setPixelSize(FONT_PX)
        return font

    def _area(self) -> QRectF:
        measure = QFontMetricsF(self._font())
        wide = max([measure.horizontalAdvance(tick.text) for tick in self.drawn.ticks_up] or [0.0])
        left = wide + S
        return QRectF(
            left, TOP_PX, max(10.0, self.width() - left - S),
            max(10.0, self.height() - TOP_PX - FOOT_PX),
        )  # fmt: skip

    def _at(self, across: float, figure: float, within: QRectF | None = None) -> QPointF:
        area = within or self._area()
        return QPointF(
            area.left() + area.width() * min(1.0, across / self.drawn.most),
            area.bottom() - area.height() * figure / self.drawn.high,
        )

    def points(self, is_beside: bool = False) -> list[QPointF]:
        """The corners of the curve, or of that beside it, in dots of the widget."""
        corners = self.drawn.corners_beside if is_beside else self.drawn.corners
        area = self._area()  # a curve may have thousands
        return [self._at(*corner, area) for corner in corners]

    # ---- painting -----------------------------------------------------------------------------

    def paintEvent(self, event: QPaintEvent) -> None:
        colours = current_palette()
        painter = QPainter(self)
        try:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.setFont(self._font())
            self._paint_ground(painter)
            if self.drawn.beside:
                self._paint_line(painter, self.points(is_beside=True), QPen(
                    QColor(colours.mute), 1.5, Qt.PenStyle.DashLine))  # fmt: skip
            if self.drawn.stairs:
                self._paint_line(painter, self.points(), QPen(QColor(colours.accent), 2.5))
                self._paint_budget(painter)
            if self.hasFocus():
                painter.setPen(QPen(QColor(colours.accent), 2))
                painter.setBrush(Qt.BrushStyle.NoBrush)
                painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), 8, 8)
        finally:
            painter.end()

    def _paint_ground(self, painter: QPainter) -> None:
        colours, area = current_palette(), self._area()
        for tick in self.drawn.ticks_up:
            y = self._at(0, tick.at).y()
            painter.setPen(QPen(QColor(colours.line), 1))
            painter.drawLine(QPointF(area.left(), y), QPointF(area.right(), y))
            painter.setPen(QColor(colours.mute))
            place = QRectF(0, y - 8, area.left() - S, 16)
            painter.drawText(place, int(Qt.AlignmentFlag.AlignRight), tick.text)
        end = 0.0
        for tick in self.drawn.ticks_across:
            wide = painter.fontMetrics().horizontalAdvance(tick.text)
            x = self._at(tick.at, 0).x()
            begin = min(x - wide / 2, self.width() - wide - 1)
            painter.setPen(QPen(QColor(colours.line), 1))
            painter.drawLine(QPointF(x, area.bottom()), QPointF(x, area.bottom() + 4))
            if begin >= end:  # else there is no room for it
                painter.setPen(QColor(colours.mute))
                painter.drawText(QPointF(begin, area.bottom() + 20), tick.text)
                end = begin + wide + S

    @staticmethod
    def _paint_line(painter: QPainter, points: Iterable[QPointF], pen: QPen) -> None:
        pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
        painter.setPen(pen)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawPolyline(QPolygonF(list(points)))

    def _paint_budget(self, painter: QPainter) -> None:
        colours = current_palette()
        if not self._has_mark or self.marked < self.drawn.stairs[0].across:
            return
        at = self._at(self.marked, self.drawn.figure_at(self.marked))
        painter.setPen(QPen(QColor(colours.ink), 1, Qt.PenStyle.DashLine))
        painter.drawLine(at, QPointF(at.x(), self._area().bottom()))
        painter.setPen(QPen(QColor(colours.card), 2))
        painter.setBrush(QColor(colours.accent))
        painter.drawEllipse(at, 7, 7)

    # ---- choosing -----------------------------------------------------------------------------

    def mousePressEvent(self, event: QMouseEvent) -> None:
        area = self._area()
        share = (event.position().x() - area.left()) / area.width()
        if self._may_choose() and event.button() == Qt.MouseButton.LeftButton:
            self._choose(min(1.0, max(0.0, share)) * self.drawn.most)

    def _may_choose(self) -> bool:
        return self._is_choosing and bool(self.drawn.stairs)

    def _choose(self, money: float) -> None:
        """The least amount that buys as much."""
        at = bisect_right(self.drawn.stairs, money, key=_money) - 1
        self.chosen.emit(self.drawn.stairs[max(0, at)].across)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        moneys = [stair.across for stair in self.drawn.stairs] if self._is_choosing else []
        key = event.key()
        if moneys and key in (Qt.Key.Key_Right, Qt.Key.Key_Up):
            at = bisect_right(moneys, self.marked)
            self.chosen.emit(moneys[min(at, len(moneys) - 1)])
        elif moneys and key in (Qt.Key.Key_Left, Qt.Key.Key_Down):
            self.chosen.emit(moneys[max(0, bisect_left(moneys, self.marked) - 1)])
        elif moneys and key in (Qt.Key.Key_Home, Qt.Key.Key_End):
            self.chosen.emit(moneys[0 if key == Qt.Key.Key_Home else -1])
        else:
            super().keyPressEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.update()


def _money(stair: Stair) -> int:
    return stair.across
