"""The budget curve: money across, what it buys upwards, in steps; a click or a key chooses."""

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from itertools import pairwise
from math import ceil, floor, log10

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QFocusEvent,
    QFont,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QPolygonF,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from core.model.money import minor_digits, money_text
from gui.theme import S, current_palette

HIGH_PX = 268
LEFT_PX, FOOT_PX, TOP_PX = 40.0, 28.0, 14.0
Steps = Sequence[tuple[int, float]]
"""Least money in minor units, and the figure it buys; both rise."""


class BudgetChart(QWidget):
    """Draws one curve, and another dashed beside it; the budget is a dot with a plumb line."""

    chosen = Signal(object)
    """An amount in minor units."""

    def __init__(self, parent: QWidget | None = None, high_px: int = HIGH_PX) -> None:
        super().__init__(parent)
        self._steps: tuple[tuple[int, float], ...] = ()
        self._beside: tuple[tuple[int, float], ...] = ()
        self._currency, self._figure = "USD", ""
        self._budget: int | None = None
        self._most = 1
        self.setMinimumHeight(high_px)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setToolTip("A click chooses the budget; Left and Right go from step to step")

    def show_curve(
        self, steps: Steps, figure: str, currency: str, beside: Steps = (), offset: float = 0
    ) -> None:
        """Show a curve of a figure, named; `beside` dashed; `offset` is what is had already."""
        self._steps = tuple((money, value + offset) for money, value in steps)
        self._beside = tuple((money, value + offset) for money, value in beside)
        self._figure, self._currency = figure, currency
        ends = [money for money, _ in (*self._steps, *self._beside)]
        self._most = max([*ends, 1])
        self._tell()
        self.update()

    def show_budget(self, budget: int | None) -> None:
        """Mark the budget; None: as much as it takes."""
        self._budget = budget
        self._tell()
        self.update()

    def _tell(self) -> None:
        spent = self._most if self._budget is None else self._budget
        value = _value(self._steps, spent)
        told = f"{_plain(value)} {self._figure} for {money_text(spent, self._currency)}"
        last = self._steps[-1] if self._steps else (0, 0.0)
        whole = f"at most {_plain(last[1])} for {money_text(last[0], self._currency)}"
        self.setAccessibleName(f"What each amount buys: {told}; {whole}" if self._steps else
                               "What each amount buys: nothing to draw")  # fmt: skip

    @property
    def steps(self) -> tuple[tuple[int, float], ...]:
        """The curve as drawn."""
        return self._steps

    def sizeHint(self) -> QSize:
        return QSize(400, self.minimumHeight())

    # ---- where things are ---------------------------------------------------------------------

    def _area(self) -> QRectF:
        return QRectF(
            LEFT_PX, TOP_PX, max(10.0, self.width() - LEFT_PX - S),
            max(10.0, self.height() - TOP_PX - FOOT_PX),
        )  # fmt: skip

    def _x(self, money: float) -> float:
        area = self._area()
        return area.left() + area.width() * min(1.0, money / self._most)

    def _ends(self) -> tuple[float, float]:
        values = [value for _, value in (*self._steps, *self._beside)] or [0.0, 1.0]
        return 0.0, max(*values, 1.0) if len(values) > 1 else max(values[0], 1.0)

    def _y(self, value: float) -> float:
        area, (low, high) = self._area(), self._ends()
        step = nice_step(high - low, least=1.0)
        top = step * ceil((high - low) / step)
        return area.bottom() - area.height() * (value - low) / top

    # ---- painting -----------------------------------------------------------------------------

    def paintEvent(self, event: QPaintEvent) -> None:
        colours = current_palette()
        painter = QPainter(self)
        try:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            font = QFont(self.font())
            font.setPixelSize(11)
            painter.setFont(font)
            self._paint_ground(painter)
            if self._beside:
                self._paint_steps(painter, self._beside, QPen(
                    QColor(colours.mute), 1.5, Qt.PenStyle.DashLine))  # fmt: skip
            if self._steps:
                self._paint_steps(painter, self._steps, QPen(QColor(colours.accent), 2.5))
                self._paint_budget(painter)
            if self.hasFocus():
                painter.setPen(QPen(QColor(colours.accent), 2))
                painter.setBrush(Qt.BrushStyle.NoBrush)
                painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), 8, 8)
        finally:
            painter.end()

    def _paint_ground(self, painter: QPainter) -> None:
        colours, area = current_palette(), self._area()
        low, high = self._ends()
        step = nice_step(high - low, least=1.0)
        for number in range(ceil((high - low) / step) + 1):
            y = self._y(low + number * step)
            painter.setPen(QPen(QColor(colours.line), 1))
            painter.drawLine(QPointF(area.left(), y), QPointF(area.right(), y))
            painter.setPen(QColor(colours.mute))
            place = QRectF(0, y - 8, LEFT_PX - S, 16)
            painter.drawText(place, int(Qt.AlignmentFlag.AlignRight), _plain(low + number * step))
        unit = 10 ** minor_digits(self._currency)
        money_step = max(nice_step(self._most / unit, 5), 1.0 / unit)
        for number in range(floor(self._most / unit / money_step) + 1):
            money = number * money_step
            text = _plain(money)
            wide = painter.fontMetrics().horizontalAdvance(text)
            x = min(self._x(money * unit), self.width() - wide / 2 - 1)
            painter.drawText(QPointF(x - wide / 2, area.bottom() + 20), text)

    def _paint_steps(self, painter: QPainter, steps: Steps, pen: QPen) -> None:
        pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
        painter.setPen(pen)
        points = QPolygonF()
        points.append(QPointF(self._x(steps[0][0]), self._y(steps[0][1])))
        for (_, before), (money, value) in pairwise(steps):
            points.append(QPointF(self._x(money), self._y(before)))
            points.append(QPointF(self._x(money), self._y(value)))
        points.append(QPointF(self._area().right(), self._y(steps[-1][1])))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawPolyline(points)

    def _paint_budget(self, painter: QPainter) -> None:
        colours = current_palette()
        spent = self._most if self._budget is None else self._budget
        if spent < self._steps[0][0]:
            return
        at = QPointF(self._x(spent), self._y(_value(self._steps, spent)))
        painter.setPen(QPen(QColor(colours.ink), 1, Qt.PenStyle.DashLine))
        painter.drawLine(at, QPointF(at.x(), self._area().bottom()))
        painter.setPen(QPen(QColor(colours.card), 2))
        painter.setBrush(QColor(colours.accent))
        painter.drawEllipse(at, 7, 7)

    # ---- choosing -----------------------------------------------------------------------------

    def mousePressEvent(self, event: QMouseEvent) -> None:
        area = self._area()
        share = (event.position().x() - area.left()) / area.width()
        if self._steps and event.button() == Qt.MouseButton.LeftButton:
            self._choose(round(min(1.0, max(0.0, share)) * self._most))

    def _choose(self, money: int) -> None:
        """The least amount that buys as much."""
        at = bisect_right(self._steps, money, key=lambda step: step[0]) - 1
        self.chosen.emit(self._steps[max(0, at)][0])

    def keyPressEvent(self, event: QKeyEvent) -> None:
        here = self._most if self._budget is None else self._budget
        moneys = [money for money, _ in self._steps]
        key = event.key()
        if moneys and key in (Qt.Key.Key_Right, Qt.Key.Key_Up):
            at = bisect_right(moneys, here)
            self.chosen.emit(moneys[min(at, len(moneys) - 1)])
        elif moneys and key in (Qt.Key.Key_Left, Qt.Key.Key_Down):
            self.chosen.emit(moneys[max(0, bisect_left(moneys, here) - 1)])
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


def _value(steps: Steps, money: int) -> float:
    at = bisect_right(steps, money, key=lambda step: step[0])
    return steps[at - 1][1] if at else 0.0


def _plain(value: float) -> str:
    return f"{value:,.0f}" if value == round(value) else f"{value:,.1f}"


def nice_step(span: float, most: int = 4, least: float = 0.0) -> float:
    """1, 2 or 5 times a power of ten, so that a span has at most so many steps."""
    rough = max(span, 1e-9) / most
    power = 10.0 ** floor(log10(rough))
    found = next(power * times for times in (1, 2, 5, 10) if power * times >= rough * 0.9999)
    return max(least, found)
