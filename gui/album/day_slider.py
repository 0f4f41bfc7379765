"""A slider over days: a tick for each day on which something changed, the years under it."""

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Sequence
from datetime import date, timedelta

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QAccessible,
    QAccessibleValueChangeEvent,
    QColor,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QWheelEvent,
)
from PySide6.QtWidgets import QSizePolicy, QSlider, QWidget

from core.glyph.palette import Palette
from gui.day_words import MONTHS, long_day
from gui.theme import L, M, current_palette

HANDLE_PX, GROOVE_PX, TICK_PX = 18, 4, 7
HEIGHT_PX = 46
_FOCUS = Qt.FocusReason.MouseFocusReason


class DaySlider(QSlider):
    """Its value is a day's ordinal. Left and right step from change to change.

    `chosen` tells a day that a person chose; `show_day` tells nobody.
    """

    chosen = Signal(object)
    play_asked = Signal()
    escaped = Signal()
    typed = Signal(str)
    """The first figure of a day that is being typed."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(Qt.Orientation.Horizontal, parent)
        self.setAccessibleName("Day")
        self.setToolTip(
            "Left and right: the change before and after. Page Up and Page Down: a month."
        )
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self._ticks: tuple[int, ...] = ()
        self._is_telling = True
        self.valueChanged.connect(self._on_value)

    def show_days(self, days: Sequence[date], today: date) -> None:
        """The days of change, oldest first; the slider goes from the first to today."""
        self._ticks = tuple(sorted({day.toordinal() for day in days if day <= today}))
        first = self._ticks[0] if self._ticks else today.toordinal()
        self._is_telling = False
        self.setRange(first, today.toordinal())
        self._is_telling = True
        self.update()

    def show_day(self, day: date) -> None:
        """Stand on a day, without telling anyone."""
        self._is_telling = False
        self.setValue(day.toordinal())
        self._is_telling = True
        self._speak()

    @property
    def day(self) -> date:
        """The day it stands on."""
        return date.fromordinal(max(1, self.value()))

    @property
    def first(self) -> date:
        """The first day of change."""
        return date.fromordinal(max(1, self.minimum()))

    @property
    def last(self) -> date:
        """Today."""
        return date.fromordinal(max(1, self.maximum()))

    @property
    def change_days(self) -> tuple[date, ...]:
        """The days with a tick, oldest first."""
        return tuple(date.fromordinal(tick) for tick in self._ticks)

    def change_before(self) -> date:
        """The change before this day; the first where there is none."""
        at = bisect_left(self._ticks, self.value())
        return date.fromordinal(self._ticks[at - 1]) if at else self.first

    def change_after(self, many: int = 1) -> date:
        """The change after this day, or so many on; today where there is none."""
        at = bisect_right(self._ticks, self.value()) + many - 1
        return date.fromordinal(self._ticks[at]) if at < len(self._ticks) else self.last

    def go_to(self, day: date) -> None:
        """Choose a day, the nearest within the history, and tell it."""
        self.setValue(day.toordinal())

    # ---- events -------------------------------------------------------------------------------

    def _on_value(self) -> None:
        self.update()
        if self._is_telling:
            self._speak()
            self.chosen.emit(self.day)

    def _speak(self) -> None:
        self.setAccessibleDescription(long_day(self.day))
        told = QAccessibleValueChangeEvent(self, long_day(self.day))
        QAccessible.updateAccessibility(told)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        goes: dict[int, Callable[[], date]] = {
            Qt.Key.Key_Left: self.change_before,
            Qt.Key.Key_Down: self.change_before,
            Qt.Key.Key_Right: self.change_after,
            Qt.Key.Key_Up: self.change_after,
            Qt.Key.Key_PageUp: lambda: a_month_from(self.day, 1),
            Qt.Key.Key_PageDown: lambda: a_month_from(self.day, -1),
            Qt.Key.Key_Home: lambda: self.first,
            Qt.Key.Key_End: lambda: self.last,
        }
        go = goes.get(event.key())
        if event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier:
            super().keyPressEvent(event)
        elif go is not None:
            self.go_to(go())
        elif event.key() == Qt.Key.Key_Space:
            self.play_asked.emit()
        elif event.key() == Qt.Key.Key_Escape:
            self.escaped.emit()
        elif event.text().isdigit():
            self.typed.emit(event.text())
        else:
            event.ignore()

    def wheelEvent(self, event: QWheelEvent) -> None:
        down = event.angleDelta().y() or event.angleDelta().x()
        if down:
            self.go_to(self.change_before() if down > 0 else self.change_after())
        event.accept()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self.setFocus(_FOCUS)
            self.setSliderDown(True)
            self._follow(event)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self.isSliderDown():
            self._follow(event)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self.setSliderDown(False)
            self.update()

    def _follow(self, event: QMouseEvent) -> None:
        share = (event.position().x() - HANDLE_PX / 2) / max(1, self.width() - HANDLE_PX)
        span = self.maximum() - self.minimum()
        self.setValue(self.minimum() + round(min(1.0, max(0.0, share)) * span))

    # ---- drawing ------------------------------------------------------------------------------

    def sizeHint(self) -> QSize:
        return QSize(320, HEIGHT_PX)

    def minimumSizeHint(self) -> QSize:
        return QSize(120, HEIGHT_PX)

    def x_of(self, ordinal: int) -> float:
        """Where a day stands, logical pixels from the left."""
        span = max(1, self.maximum() - self.minimum())
        return HANDLE_PX / 2 + (self.width() - HANDLE_PX) * (ordinal - self.minimum()) / span

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        try:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            self._paint(painter, current_palette())
        finally:
            painter.end()

    def _paint(self, painter: QPainter, colours: Palette) -> None:
        middle, here = HANDLE_PX / 2 + 2, self.x_of(self.value())
        left, width = HANDLE_PX / 2, self.width() - HANDLE_PX
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(colours.line))
        groove = QRectF(left, middle - GROOVE_PX / 2, width, GROOVE_PX)
        painter.drawRoundedRect(groove, 2, 2)
        painter.setBrush(QColor(colours.accent))
        groove.setRight(here)
        painter.drawRoundedRect(groove, 2, 2)
        top = middle + HANDLE_PX / 2
        painter.setPen(QPen(QColor(colours.mute), 1))
        for x in sorted({round(self.x_of(tick)) for tick in self._ticks}):
            painter.drawLine(QPointF(x + 0.5, top), QPointF(x + 0.5, top + TICK_PX))
        self._paint_years(painter, colours, round(top + TICK_PX))
        is_focused = self.hasFocus()
        painter.setPen(QPen(QColor(colours.ink if is_focused else colours.accent), 2))
        painter.setBrush(QColor(colours.card))
        radius = HANDLE_PX / 2 - 1
        painter.drawEllipse(QPointF(here, middle), radius, radius)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(colours.accent))
        painter.drawEllipse(QPointF(here, middle), 3.5, 3.5)

    def _paint_years(self, painter: QPainter, colours: Palette, top: int) -> None:
        font = self.font()
        font.setPixelSize(11)
        painter.setFont(font)
        painter.setPen(QColor(colours.mute))
        taken: list[tuple[float, float]] = []
        for ordinal, text in marks_between(self.first, self.last):
            wide = painter.fontMetrics().horizontalAdvance(text)
            x = min(max(0.0, self.x_of(ordinal) - wide / 2), float(self.width() - wide))
            if all(x > right or x + wide < left for left, right in taken):
                painter.drawText(QPointF(x, top + L - 3), text)
                taken.append((x - M, x + wide + M))


def a_month_from(day: date, months: int) -> date:
    """The same day of another month, or its last where it is shorter."""
    at = day.year * 12 + day.month - 1 + months
    year, month = divmod(at, 12)
    for number in range(day.day, 27, -1):
        try:
            return date(year, month + 1, number)
        except ValueError:
            continue
    return date(year, month + 1, min(day.day, 27))


def marks_between(first: date, last: date) -> list[tuple[int, str]]:
    """What is written under the slider: both ends, and years between, or months of a short time."""
    if first == last:
        return [(first.toordinal(), "today")]
    is_short = (last - first) < timedelta(days=400)
    ends = [
        (first.toordinal(), _month(first)),
        *(
            [(day.toordinal(), MONTHS[day.month - 1][:3] if is_short else str(day.year))
             for day in _starts(first, last, is_short)]
        ),
        (last.toordinal(), "today"),
    ]  # fmt: skip
    return [ends[0], ends[-1], *ends[1:-1]]


def _month(day: date) -> str:
    return f"{MONTHS[day.month - 1][:3]} {day.year}"


def _starts(first: date, last: date, is_short: bool) -> list[date]:
    """The first days of years, or of months, strictly between."""
    if not is_short:
        return [date(year, 1, 1) for year in range(first.year + 1, last.year + 1)]
    found, day = [], a_month_from(first.replace(day=1), 1)
    while day < last:
        found.append(day)
        day = a_month_from(day, 1)
    return found
