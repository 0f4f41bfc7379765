"""The rolls of a box, up to a hundred: what was kept and seen in each; a click goes there."""

from collections.abc import Sequence
from math import ceil

from PySide6.QtCore import QEvent, QPoint, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QFont,
    QFontMetrics,
    QHelpEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QResizeEvent,
)
from PySide6.QtWidgets import QSizePolicy, QToolTip, QWidget

from core.app.search_views import RollView
from core.glyph.palette import Palette
from gui.theme import XS, current_palette

GAP_PX, MOST_CELL_PX, CELL_HIGH_PX, LOW_CELL_PX = 4, 29, 33, 29
PER_ROW = (25, 20, 10)
MOST_DOTS, MOST_STROKES = 3, 4
DOT_PX, SMALL_DOT_PX = 7, 5
LONG_STRIP = 50


def spoken_roll(roll: RollView) -> str:
    """roll 7: 2 kept, 3 seen, 41 coins."""
    told = []
    if roll.is_skipped:
        told.append("skipped")
    elif not roll.is_opened:
        told.append("not opened yet")
    if roll.kept:
        told.append(f"{roll.kept} kept")
    if roll.seen:
        told.append(f"{roll.seen} seen")
    if roll.enders:
        told.append(f"{roll.enders} at its end")
    if roll.is_told:
        told.append(f"{roll.coins} coins")
    now = ", the roll in hand" if roll.is_now else ""
    return f"roll {roll.shown}{now}: {', '.join(told) or 'nothing kept or counted'}"


class RollStrip(QWidget):
    """A cell a roll. Arrows move along it, Enter goes to the roll, the menu key corrects it."""

    roll_asked = Signal(int)
    """Go to this roll, counted in the box."""
    edit_asked = Signal(int)
    left = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._rolls: tuple[RollView, ...] = ()
        self._at = 0
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setMouseTracking(True)
        policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        self.setAccessibleName("Rolls")

    def show_rolls(self, rolls: Sequence[RollView]) -> None:
        """Show the rolls of a box."""
        shown = tuple(rolls)
        if shown == self._rolls:
            return
        if len(shown) != len(self._rolls):
            self.updateGeometry()
        self._rolls = shown
        self._at = next((i for i, roll in enumerate(shown) if roll.is_now), 0)
        self._say()
        self.setFixedHeight(self.heightForWidth(self.width()))
        self.update()

    @property
    def rolls(self) -> tuple[RollView, ...]:
        """What is shown."""
        return self._rolls

    # --- where the cells lie

    def _per_row(self) -> int:
        longest = len(str(self._rolls[-1].shown)) if self._rolls else 2
        least = 3 + 6 * longest
        if len(self._rolls) < PER_ROW[0]:  # few rolls have room for their marks
            return max(PER_ROW[-1], len(self._rolls))
        for many in PER_ROW:
            if (self.width() + GAP_PX) / many - GAP_PX >= least:
                return many
        return PER_ROW[-1]

    def _cell(self) -> tuple[float, int]:
        many = self._per_row()
        wide = (self.width() + GAP_PX) / many - GAP_PX
        return min(wide, 2 * MOST_CELL_PX), (
            CELL_HIGH_PX if len(self._rolls) <= LONG_STRIP else LOW_CELL_PX
        )

    def rect_of(self, place: int) -> QRectF:
        """Where the cell of a place (from 0) lies."""
        wide, high = self._cell()
        line, at = divmod(place, self._per_row())
        return QRectF(at * (wide + GAP_PX) + 0.5, line * (high + GAP_PX + 1) + 0.5, wide - 1, high)

    def place_at(self, point: QPoint) -> int | None:
        """The place of the cell under a point."""
        found = (i for i in range(len(self._rolls)) if self.rect_of(i).contains(QPointF(point)))
        return next(found, None)

    def hasHeightForWidth(self) -> bool:
        return True

    def heightForWidth(self, width: int) -> int:
        _, high = self._cell()
        lines = ceil(len(self._rolls) / self._per_row()) if self._rolls else 0
        return max(1, lines * (high + GAP_PX + 1))

    def sizeHint(self) -> QSize:
        return QSize(400, self.heightForWidth(self.width()))

    def minimumSizeHint(self) -> QSize:
        return QSize(200, self.heightForWidth(self.width()))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.setFixedHeight(self.heightForWidth(self.width()))

    # --- keys and mouse

    def _say(self) -> None:
        told = spoken_roll(self._rolls[self._at]) if self._rolls else "none"
        self.setAccessibleName(f"Rolls: {told}")

    def keyPressEvent(self, event: QKeyEvent) -> None:
        steps = {
            Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1,
            Qt.Key.Key_Up: -self._per_row(), Qt.Key.Key_Down: self._per_row(),
        }  # fmt: skip
        key = Qt.Key(event.key())
        if key in steps and self._rolls:
            self._at = min(max(self._at + steps[key], 0), len(self._rolls) - 1)
            self._say()
            self.update()
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self._rolls:
            self.roll_asked.emit(self._rolls[self._at].number)
        elif key in (Qt.Key.Key_Menu, Qt.Key.Key_F2) and self._rolls:
            self.edit_asked.emit(self._rolls[self._at].number)
        elif key == Qt.Key.Key_Escape:
            self.left.emit()
        else:
            super().keyPressEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        place = self.place_at(event.position().toPoint())
        if place is None:
            return
        number = self._rolls[place].number
        if event.button() == Qt.MouseButton.RightButton:
            self.edit_asked.emit(number)
        else:
            self.roll_asked.emit(number)

    def event(self, event: QEvent) -> bool:
        if isinstance(event, QHelpEvent):
            place = self.place_at(event.pos())
            told = spoken_roll(self._rolls[place]) if place is not None else ""
            QToolTip.showText(event.globalPos(), told, self)
            return True
        return super().event(event)

    # --- painting

    def paintEvent(self, event: QPaintEvent) -> None:
        colours = current_palette()
        painter = QPainter(self)
        try:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            font = QFont(self.font())
            font.setPixelSize(10)
            painter.setFont(font)
            for place, roll in enumerate(self._rolls):
                if self.rect_of(place).intersects(QRectF(event.rect())):
                    self._paint_cell(painter, place, roll, colours)
        finally:
            painter.end()

    def _paint_cell(self, painter: QPainter, place: int, roll: RollView, colours: Palette) -> None:
        rect = self.rect_of(place)
        edge = QPen(QColor(colours.ink if roll.is_now else colours.line), 2 if roll.is_now else 1)
        if self.hasFocus() and place == self._at:
            edge = QPen(QColor(colours.accent), 2)
        painter.setPen(edge)
        painter.setBrush(QColor(colours.card if roll.is_opened else colours.paper))
        painter.drawRoundedRect(rect.adjusted(0.5, 0.5, -0.5, -0.5), 5, 5)
        if roll.is_skipped:
            painter.setPen(QPen(QColor(colours.mute), 1))
            painter.drawLine(rect.bottomLeft() + QPointF(5, -5), rect.topRight() + QPointF(-5, 5))
        if roll.is_told:
            self._notch(painter, rect, colours)
        font = QFont(painter.font())
        font.setBold(roll.is_now)
        painter.setFont(font)
        painter.setPen(QColor(colours.ink if roll.is_now or roll.is_opened else colours.mute))
        if not roll.is_now and roll.is_opened:
            painter.setPen(QColor(colours.mute))
        top = rect.adjusted(0, 3, 0, 0)
        painter.drawText(
            top, int(Qt.AlignmentFlag.AlignHCenter | Qt.AlignmentFlag.AlignTop), str(roll.shown)
        )
        self._paint_marks(painter, rect, roll, colours)

    @staticmethod
    def _notch(painter: QPainter, rect: QRectF, colours: Palette) -> None:
        """A roll that is short or long: a corner cut off."""
        painter.setPen(QPen(QColor(colours.below), 1.5))
        corner = rect.topRight() + QPointF(-2, 2)
        painter.drawLine(corner + QPointF(-6, 0), corner + QPointF(0, 6))

    @staticmethod
    def _paint_marks(painter: QPainter, rect: QRectF, roll: RollView, colours: Palette) -> None:
        """A dot each kept and a stroke each seen; where they are too many, one with its number."""
        strokes = roll.seen
        wide = _wide(roll.kept, strokes)
        y = rect.bottom() - 10
        if roll.kept > MOST_DOTS or strokes > MOST_STROKES or wide > rect.width() - XS:
            _paint_numbers(painter, rect, roll, colours)
            return
        x = rect.center().x() - wide / 2
        for _ in range(roll.kept):
            _dot(painter, x, y, colours)
            x += DOT_PX + 2
        x += (XS - 2) if roll.kept else 0
        for _ in range(strokes):
            _stroke(painter, x, y, colours)
            x += 4.5


def _wide(dots: int, strokes: int) -> float:
    return (
        dots * DOT_PX
        + max(dots - 1, 0) * 2
        + (XS if dots and strokes else 0)
        + strokes * 1.5
        + max(strokes - 1, 0) * 3
    )


def _dot(painter: QPainter, x: float, y: float, colours: Palette) -> None:
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QColor(colours.filled))
    painter.drawEllipse(QRectF(x, y - DOT_PX / 2, DOT_PX, DOT_PX))


def _stroke(painter: QPainter, x: float, y: float, colours: Palette) -> None:
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QColor(colours.mute))
    painter.drawRect(QRectF(x, y - 4, 1.5, 8))


def _paint_numbers(painter: QPainter, rect: QRectF, roll: RollView, colours: Palette) -> None:
    """A dot for what is kept, a stroke for what is seen, with their numbers where there is room."""
    painter.save()
    font = QFont(painter.font())
    font.setPixelSize(8 if rect.width() < 26 else 9)
    font.setBold(False)
    painter.setFont(font)
    measure = painter.fontMetrics().horizontalAdvance
    kept, seen = (str(count) if count > 1 else "" for count in (roll.kept, roll.seen))
    for texts in ((kept, seen), (kept, ""), ("", "")):
        wide = _numbers_wide(roll, [measure(text) for text in texts])
        if wide <= rect.width() - 2:
            break
    x, y = rect.center().x() - wide / 2, rect.bottom() - 9
    if roll.kept:
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(colours.filled))
        painter.drawEllipse(QRectF(x, y - SMALL_DOT_PX / 2, SMALL_DOT_PX, SMALL_DOT_PX))
        x += SMALL_DOT_PX + 1
        painter.setPen(QColor(colours.ink))
        painter.drawText(QPointF(x, y + 3), texts[0])
        x += measure(texts[0]) + 1
    if roll.seen:
        _stroke(painter, x, y, colours)
        painter.setPen(QColor(colours.mute))
        painter.drawText(QPointF(x + 2.5, y + 3), texts[1])
    painter.restore()


def _numbers_wide(roll: RollView, texts: Sequence[int]) -> float:
    dot = SMALL_DOT_PX + 2 + texts[0] if roll.kept else 0
    return dot + (2.5 + texts[1] if roll.seen else 0)


class RollKey(QWidget):
    """What the marks of the strip mean; only those that are used."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFixedHeight(20)
        self._parts: tuple[str, ...] = ()
        self.show_used(())

    def show_used(self, rolls: Sequence[RollView]) -> None:
        """Tell of the marks that these rolls bear."""
        parts = ["kept", "seen, not kept"]
        if any(roll.is_skipped for roll in rolls):
            parts.append("skipped")
        if any(roll.is_told for roll in rolls):
            parts.append("short or long")
        self._parts = tuple(parts)
        font = QFont(self.font())
        font.setPixelSize(12)
        measure = QFontMetrics(font).horizontalAdvance
        self.setFixedWidth(sum(30 + measure(part) for part in parts))
        self.setAccessibleName("Marks: a dot is kept, a stroke is seen and not kept")
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        colours = current_palette()
        painter = QPainter(self)
        try:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            font = QFont(self.font())
            font.setPixelSize(12)
            painter.setFont(font)
            x, middle = 0.0, self.height() / 2
            for part in self._parts:
                self._mark(painter, part, x, middle, colours)
                painter.setPen(QColor(colours.mute))
                painter.drawText(QPointF(x + 14, middle + 4.5), part)
                x += 14 + painter.fontMetrics().horizontalAdvance(part) + 16
        finally:
            painter.end()

    @staticmethod
    def _mark(painter: QPainter, part: str, x: float, y: float, colours: Palette) -> None:
        painter.setPen(Qt.PenStyle.NoPen)
        if part == "kept":
            painter.setBrush(QColor(colours.filled))
            painter.drawEllipse(QRectF(x, y - 3.5, 7, 7))
        elif part == "seen, not kept":
            painter.setBrush(QColor(colours.mute))
            painter.drawRect(QRectF(x + 4, y - 4, 1.5, 8))
        else:
            is_skip = part == "skipped"
            painter.setPen(QPen(QColor(colours.mute if is_skip else colours.below), 1.5))
            ends = (QPointF(x, y + 4), QPointF(x + 8, y - 4))
            if not is_skip:
                ends = (QPointF(x, y - 4), QPointF(x + 8, y + 4))
            painter.drawLine(*ends)
