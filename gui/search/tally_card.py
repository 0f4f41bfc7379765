"""Tallies of the box: now, on pace, usual; their bar on one labelled scale a row; records below."""

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFont, QHelpEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QToolTip, QWidget

from core.glyph.palette import Palette
from core.search.facts import SO_FAR
from core.search.tally import FEWEST_BOXES, SO_FAR_NOTE, TallyLine, scale_to
from gui.style_sheet import mix
from gui.theme import XS, M, S, current_palette

ROW_PX, HEAD_PX, FOOT_PX, NOTE_PX = 50, 24, 40, 15
_NOW, _PACE, _USUAL = 0, 1, 2
NARROW_ROW_PX = 42


def figure(value: float | None) -> str:
    """A count as it is shown: 13, 9.2, 430; · where it is not known."""
    if value is None:
        return "·"
    if value >= 100 or float(value).is_integer():
        return f"{round(value):,}"
    return f"{value:.1f}"


def paced(value: float) -> int:
    """A count on pace as a whole number, a half up: 2.5 is 3."""
    return int(value + 0.5)


def spoken_line(line: TallyLine) -> str:
    """A tally in words."""
    told = [f"{line.name}: {line.now:,} now{f' {SO_FAR}' if line.is_so_far else ''}"]
    if line.on_pace is not None:
        told.append(f"{paced(line.on_pace):,} on pace")
    if line.likely is not None:
        told.append(f"likely {line.likely[0]:,} to {line.likely[1]:,}")
    if line.usual is not None and line.band is not None:
        low, high = (figure(one) for one in line.band)
        told.append(
            f"usual {figure(line.usual)}, 10 to 90 % {low} to {high}, "
            f"of {line.count_of_boxes} boxes"
        )
    else:
        told.append(f"usual is told from {FEWEST_BOXES} finished boxes on")
    return ", ".join(told)


class TallyRows(QWidget):
    """The rows, painted. Solid: now; outline: on pace; hatched band: usual 10–90 %."""

    pressed = Signal(str)
    """A tally was clicked, by its name."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._lines: tuple[TallyLine, ...] = ()
        self._row_px = ROW_PX
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)

    def show_lines(self, lines: Sequence[TallyLine]) -> None:
        """Show the tallies of a box."""
        self._lines = tuple(lines)
        self._row_px = ROW_PX if len(self._lines) <= 7 else NARROW_ROW_PX
        foot = (FOOT_PX + NOTE_PX * self._has_note) if lines else 0
        self.setFixedHeight(HEAD_PX + len(self._lines) * self._row_px + foot)
        self.setAccessibleName("Tallies. " + ". ".join(map(spoken_line, self._lines)))
        self.update()

    @property
    def _has_note(self) -> bool:
        """Whether one of the tallies is counted by answers, which the foot says then."""
        return any(line.is_so_far for line in self._lines)

    @property
    def lines(self) -> tuple[TallyLine, ...]:
        """What is shown."""
        return self._lines

    def sizeHint(self) -> QSize:
        return QSize(268, self.height())

    def event(self, event: QEvent) -> bool:
        if isinstance(event, QHelpEvent):
            at = (event.pos().y() - HEAD_PX) // self._row_px
            told = spoken_line(self._lines[at]) if 0 <= at < len(self._lines) else ""
            QToolTip.showText(event.globalPos(), told.replace(", ", "\n"), self)
            return True
        return super().event(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        at = (event.position().toPoint().y() - HEAD_PX) // self._row_px
        if 0 <= at < len(self._lines):
            self.pressed.emit(self._lines[at].name)

    # --- painting

    def _columns(self) -> tuple[float, float, float]:
        """The right edges of now, on pace and usual."""
        right = float(self.width())
        return right - 102, right - 50, right

    def paintEvent(self, event: QPaintEvent) -> None:
        colours = current_palette()
        painter = QPainter(self)
        try:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            self._heads(painter, colours)
            for place, line in enumerate(self._lines):
                self._row(painter, HEAD_PX + place * self._row_px, line, colours)
            if self._lines:
                self._foot(painter, colours)
        finally:
            painter.end()

    def _font(self, size: int, is_bold: bool = False) -> QFont:
        font = QFont(self.font())
        font.setPixelSize(size)
        font.setBold(is_bold)
        return font

    @staticmethod
    def _right(painter: QPainter, right: float, base: float, text: str) -> None:
        wide = painter.fontMetrics().horizontalAdvance(text)
        painter.drawText(QPointF(right - wide, base), text)

    def _heads(self, painter: QPainter, colours: Palette) -> None:
        painter.setFont(self._font(11))
        painter.setPen(QColor(colours.mute))
        for right, text in zip(self._columns(), ("now", "on pace", "usual"), strict=True):
            self._right(painter, right, 12, text)
        painter.setFont(self._font(11, True))
        painter.drawText(QPointF(0, 12), "TALLY")

    def _row(self, painter: QPainter, top: float, line: TallyLine, colours: Palette) -> None:
        now, pace, usual = self._columns()
        base = top + 21
        painter.setPen(QColor(colours.ink))
        painter.setFont(self._font(17, True))
        figures = figure(line.now)
        room = now - painter.fontMetrics().horizontalAdvance(figures) - S
        self._right(painter, now, base, figures)
        painter.setFont(self._font(14))
        name = painter.fontMetrics().elidedText(line.marked, Qt.TextElideMode.ElideRight, int(room))
        painter.drawText(QPointF(0, base), name)
        on_pace = None if line.on_pace is None else float(paced(line.on_pace))
        self._right(painter, pace, base, figure(on_pace))
        painter.setPen(QColor(colours.mute))
        self._right(painter, usual, base, figure(line.usual))
        self._bar(painter, top + 29, line, colours)

    def _bar(self, painter: QPainter, top: float, line: TallyLine, colours: Palette) -> None:
        end = scale_to(line)
        wide = float(self.width()) - 26

        def x(value: float) -> float:
            return min(value / end, 1.0) * wide

        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(mix(colours.card, colours.line, 0.5)))
        painter.drawRect(QRectF(0, top, wide, 7))
        if line.band is not None:
            low, high = line.band
            painter.setBrush(QColor(mix(colours.line, colours.mute, 0.18)))
            band = QRectF(x(low), top, max(x(high) - x(low), 2), 7)
            painter.drawRect(band)
            self._hatch(painter, band, colours)
        painter.setBrush(QColor(colours.accent))
        painter.drawRect(QRectF(0, top, x(line.now), 7))
        if line.on_pace is not None and line.on_pace > 0:
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(QColor(colours.accent), 1.5))
            painter.drawRect(QRectF(0.75, top - 0.25, max(x(line.on_pace) - 1.5, 1), 7.5))
        if line.likely is not None and line.likely[0] < line.likely[1]:
            low, high = (x(value) for value in line.likely)
            painter.setPen(QPen(QColor(colours.ink), 1.2))
            painter.drawLine(QPointF(low, top + 10.5), QPointF(high, top + 10.5))
            is_beyond = line.likely[1] > end  # then the line has no end on this scale
            for at in (low,) if is_beyond else (low, high):
                painter.drawLine(QPointF(at, top + 8.5), QPointF(at, top + 12.5))
        painter.setFont(self._font(10))
        painter.setPen(QColor(colours.mute))
        self._right(painter, float(self.width()), top + 8, figure(end))

    @staticmethod
    def _hatch(painter: QPainter, band: QRectF, colours: Palette) -> None:
        """Strokes across the band, so that it is told apart without its shade."""
        painter.save()
        painter.setClipRect(band)
        painter.setPen(QPen(QColor(colours.mute), 0.8))
        x = band.left() - 7
        while x < band.right():
            painter.drawLine(QPointF(x, band.bottom()), QPointF(x + 7, band.top()))
            x += 5
        painter.restore()

    def _foot(self, painter: QPainter, colours: Palette) -> None:
        """What solid, outline and band mean, and the star."""
        base = self.height() - 22
        if self._has_note:
            base -= NOTE_PX
        painter.setFont(self._font(11))
        painter.setPen(QColor(colours.mute))
        painter.drawText(QPointF(0, base), "solid: now · outline: on pace · band: usual 10–90 %")
        painter.drawText(QPointF(0, base + 15), "line below: likely, four of five times")
        if self._has_note:
            painter.drawText(QPointF(0, base + 30), SO_FAR_NOTE)


__all__ = ["XS", "M", "TallyRows", "figure", "spoken_line"]
