"""A plain disc of our own with numbered spots: where on a coin to look, and what seeing it says.

No picture of any coin: a rim, a line within it, and the spots. What a marker says is told by the
shape of its spot: filled decides, a ring supports, a crossed ring excludes.
"""

import html
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import ceil, hypot

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QFocusEvent,
    QFont,
    QHelpEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
)
from PySide6.QtWidgets import QSizePolicy, QToolTip, QWidget

from core.app.views import LookCloser, MarkerLine
from core.glyph.palette import Palette
from core.model.issue import Evidence, Face
from core.printing.spot_signs import apart, on_disc
from gui.theme import XS, L, M, S, current_palette

SPOT_PX = 9.0
"""Radius of a spot."""
PICKED_PX = 10.5
MOST_PX, LEAST_PX = 150, 96
"""Diameter of a disc, at most and at least."""
CAPTION_PX = 20
APART_PX, RIM_PX = 5, 3
"""Between two spots, with the stroke of one that excludes; and between a spot and the rim."""
_AIR_PX = 6
"""Between the discs and the ring of the focus."""
_STRONGEST = (Evidence.DECIDES, Evidence.SUPPORTS, Evidence.EXCLUDES)
_NUMBER_PX = 11


@dataclass(frozen=True, slots=True)
class Spot:
    """A numbered place on a face; `tells` has a line for each marker there."""

    number: int
    face: Face
    x: float
    y: float
    evidence: Evidence
    place: str
    tells: tuple[str, ...]


def spots_of(entries: Iterable[LookCloser]) -> tuple[Spot, ...]:
    """The spots of these lines, by number; a place with several markers shows the weightiest."""
    found: dict[int, list[tuple[MarkerLine, str]]] = {}
    for entry in entries:
        for marker in entry.markers:
            if marker.number:
                found.setdefault(marker.number, []).append((marker, entry.name))
    spots = []
    for number, markers in sorted(found.items()):
        first = markers[0][0]
        evidence = min((m.evidence for m, _name in markers), key=_STRONGEST.index)
        places = tuple(dict.fromkeys(m.place for m, _name in markers))
        tells = tuple(f"{name}: {m.see} ({m.evidence})" for m, name in markers)
        spots.append(
            Spot(number, first.face, first.x, first.y, evidence, " / ".join(places), tells)
        )
    return tuple(spots)


def paint_spot(
    painter: QPainter,
    middle: QPointF,
    number: int,
    evidence: Evidence,
    colours: Palette,
    ground: str,
    *,
    is_picked: bool = False,
    radius: float = SPOT_PX,
) -> None:
    """Paint a spot; `ground` is the colour it lies on, `number` 0 leaves it without one."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    accent, ink = QColor(colours.accent), QColor(colours.accent_ink)
    tint = QColor(colours.mute) if evidence is Evidence.EXCLUDES else accent
    if evidence is Evidence.DECIDES:
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(accent)
        painter.drawEllipse(middle, radius, radius)
    else:
        painter.setPen(QPen(tint, 1.6))
        painter.setBrush(QColor(ground))
        painter.drawEllipse(middle, radius - 0.8, radius - 0.8)
    if evidence is Evidence.EXCLUDES:
        _cross(painter, middle, radius, tint, ground, bool(number))
    if number:
        painter.setPen(ink if evidence is Evidence.DECIDES else tint)
        font = QFont(painter.font())
        font.setPixelSize(_NUMBER_PX if number < 10 else _NUMBER_PX - 1)
        font.setBold(True)
        painter.setFont(font)
        box = QRectF(middle.x() - radius, middle.y() - radius, 2 * radius, 2 * radius)
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, str(number))
    if is_picked:
        painter.setPen(QPen(QColor(colours.ink), 2))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawEllipse(middle, radius + 2.5, radius + 2.5)
    painter.restore()


def _cross(
    painter: QPainter, middle: QPointF, radius: float, tint: QColor, ground: str, has_number: bool
) -> None:
    """A stroke through a ring, broken where the number stands."""
    out = (radius + 1.5) * 0.7071
    painter.setPen(QPen(tint, 1.6, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap))
    painter.drawLine(middle + QPointF(-out, out), middle + QPointF(out, -out))
    if has_number:
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(ground))
        painter.drawEllipse(middle, radius * 0.62, radius * 0.62)


class SpotBadge(QWidget):
    """The spot of a marker beside its words, as on the disc."""

    SIDE_PX = 22

    def __init__(self, marker: MarkerLine, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._marker = marker
        self.ground = ""
        self.setFixedSize(self.SIDE_PX, self.SIDE_PX)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        colours, middle = current_palette(), QPointF(self.SIDE_PX / 2, self.SIDE_PX / 2)
        try:
            radius = SPOT_PX if self._marker.number else SPOT_PX - 3
            paint_spot(
                painter,
                middle,
                self._marker.number,
                self._marker.evidence,
                colours,
                self.ground or colours.card,
                radius=radius,
            )
        finally:
            painter.end()


class EvidenceKey(QWidget):
    """One line that tells the shapes in use: ● decides  ○ supports  ⊘ excludes."""

    HEIGHT_PX, RADIUS_PX = 20, 5.0

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._used: tuple[Evidence, ...] = ()
        self.setFixedHeight(self.HEIGHT_PX)

    def show_used(self, used: Iterable[Evidence]) -> None:
        """Tell these shapes, the weightiest first."""
        self._used = tuple(sorted(set(used), key=_STRONGEST.index))
        words = {
            Evidence.DECIDES: "filled spot decides",
            Evidence.SUPPORTS: "ring supports",
            Evidence.EXCLUDES: "crossed ring excludes",
        }
        self.setAccessibleName("Key: " + ", ".join(words[e] for e in self._used))
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        colours = current_palette()
        try:
            font = QFont(self.font())
            font.setPixelSize(12)
            painter.setFont(font)
            metrics = painter.fontMetrics()
            spot = ceil(2 * self.RADIUS_PX)
            widths = [spot + XS + 2 + metrics.horizontalAdvance(str(e)) for e in self._used]
            gap = max(S, min(L, (self.width() - sum(widths)) // max(1, len(widths))))
            left = max(0, (self.width() - sum(widths) - gap * (len(widths) - 1)) // 2)
            for evidence, width in zip(self._used, widths, strict=True):
                middle = QPointF(left + self.RADIUS_PX, self.HEIGHT_PX / 2)
                paint_spot(
                    painter, middle, 0, evidence, colours, colours.paper, radius=self.RADIUS_PX
                )
                painter.setPen(QColor(colours.mute))
                words = QRectF(left + spot + XS + 2, 0, width, self.HEIGHT_PX)
                painter.drawText(words, Qt.AlignmentFlag.AlignVCenter, str(evidence))
                left += width + gap
        finally:
            painter.end()


class SpotDisc(QWidget):
    """One disc, or two side by side where spots lie on both faces.

    `pointed` tells the number of the spot under the pointer or chosen by the keys, 0 for none.
    """

    pointed = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.spots: tuple[Spot, ...] = ()
        self.picked: frozenset[int] = frozenset()
        self._faces: tuple[Face, ...] = ()
        self._at = 0  # the place, in `spots`, of the one the keys have reached
        self._under = 0
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)

    # ---- what is shown ------------------------------------------------------------------------

    def show_spots(self, spots: Sequence[Spot]) -> None:
        """Show other spots, none of them picked out."""
        self.spots = tuple(spots)
        self._faces = tuple(
            f for f in (Face.OBVERSE, Face.REVERSE) if any(s.face is f for s in spots)
        )
        self._at, self._under, self.picked = 0, 0, frozenset()
        self._speak()
        self.updateGeometry()
        self.update()
        if self.hasFocus():
            self._reach(0)

    def pick_out(self, numbers: Iterable[int]) -> None:
        """Let these spots stand out."""
        picked = frozenset(numbers)
        if picked != self.picked:
            self.picked = picked
            self.update()

    def _speak(self) -> None:
        parts = []
        for face in self._faces:
            places = ", ".join(f"{s.number} {s.place}" for s in self.spots if s.face is face)
            parts.append(f"{str(face).capitalize()}: {places}")
        self.setAccessibleName("Where to look. " + ". ".join(parts))
        self.setAccessibleDescription("Left and right go from spot to spot.")

    # ---- where things lie ---------------------------------------------------------------------

    def sizeHint(self) -> QSize:
        width = 2 * MOST_PX
        return QSize(width, self.heightForWidth(width))

    def minimumSizeHint(self) -> QSize:
        return QSize(LEAST_PX, LEAST_PX + CAPTION_PX + 2 * _AIR_PX)

    def hasHeightForWidth(self) -> bool:
        return True

    def heightForWidth(self, width: int) -> int:
        return ceil(self._diameter(width)) + CAPTION_PX + 2 * _AIR_PX

    def _diameter(self, width: float) -> float:
        count = max(1, len(self._faces))
        share = (width - 2 * _AIR_PX - M * (count - 1)) / count
        return float(max(LEAST_PX, min(MOST_PX, share)))

    def middle_of(self, face: Face) -> QPointF:
        """The middle of a face's disc, in the widget."""
        diameter, count = self._diameter(self.width()), max(1, len(self._faces))
        whole = diameter * count + M * (count - 1)
        left = (self.width() - whole) / 2
        return QPointF(
            left + self._faces.index(face) * (diameter + M) + diameter / 2, diameter / 2 + _AIR_PX
        )

    def places(self) -> dict[int, QPointF]:
        """The middle of every spot, in the widget; spots that would overlap stand side by side."""
        radius = self._diameter(self.width()) / 2
        found = {}
        for face in self._faces:
            middle = self.middle_of(face)
            here = {
                spot.number: on_disc(spot.x, spot.y, radius, SPOT_PX + RIM_PX)
                for spot in self.spots
                if spot.face is face
            }
            shown = apart(here, 2 * SPOT_PX + APART_PX, radius - SPOT_PX - RIM_PX)
            for number, (x, y) in shown.items():
                found[number] = middle + QPointF(x, y)
        return found

    def spot_at(self, point: QPointF) -> int:
        """The number of the spot under a point, 0 for none."""
        for number, middle in self.places().items():
            if hypot(point.x() - middle.x(), point.y() - middle.y()) <= SPOT_PX + 3:
                return number
        return 0

    # ---- pointer and keys ---------------------------------------------------------------------

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        self._point(self.spot_at(event.position()))

    def leaveEvent(self, event: QEvent) -> None:
        self._point(0)

    def _point(self, number: int) -> None:
        if number != self._under:
            self._under = number
            reached = self.spots[self._at].number if self.hasFocus() and self.spots else 0
            self.pointed.emit(number or reached)

    def event(self, event: QEvent) -> bool:
        if isinstance(event, QHelpEvent) and event.type() == QEvent.Type.ToolTip:
            number = self.spot_at(QPointF(event.pos()))
            spot = next((s for s in self.spots if s.number == number), None)
            QToolTip.showText(event.globalPos(), spot_tip(spot) if spot else "", self)
            return True
        return super().event(event)

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self._reach(0)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.pointed.emit(0)
        self.update()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        step = {Qt.Key.Key_Right: 1, Qt.Key.Key_Down: 1, Qt.Key.Key_Left: -1, Qt.Key.Key_Up: -1}
        by = step.get(Qt.Key(event.key()))
        if by is None or not self.spots:
            super().keyPressEvent(event)
        else:
            self._reach(by)

    def _reach(self, by: int) -> None:
        """Go to the next spot but `by`, round and round."""
        if not self.spots:
            return
        self._at = (self._at + by) % len(self.spots)
        spot = self.spots[self._at]
        self.setAccessibleDescription(f"{spot.number} {spot.place}. {'. '.join(spot.tells)}")
        self.pointed.emit(spot.number)
        self.update()

    # ---- painting -----------------------------------------------------------------------------

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        colours = current_palette()
        try:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            for face in self._faces:
                self._paint_face(painter, face, colours)
            self._paint_spots(painter, colours)
            if self.hasFocus():
                painter.setPen(QPen(QColor(colours.accent), 2))
                painter.setBrush(Qt.BrushStyle.NoBrush)
                painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), 6, 6)
        finally:
            painter.end()

    def _paint_face(self, painter: QPainter, face: Face, colours: Palette) -> None:
        middle, radius = self.middle_of(face), self._diameter(self.width()) / 2
        painter.setPen(QPen(QColor(colours.mute), 1.2))
        painter.setBrush(QColor(colours.card))
        painter.drawEllipse(middle, radius - 0.6, radius - 0.6)
        painter.setPen(QPen(QColor(colours.line), 1))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawEllipse(middle, radius - 5, radius - 5)
        font = QFont(self.font())
        font.setPixelSize(12)
        painter.setFont(font)
        painter.setPen(QColor(colours.mute))
        box = QRectF(middle.x() - radius, middle.y() + radius + 2, 2 * radius, CAPTION_PX)
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, str(face))

    def _paint_spots(self, painter: QPainter, colours: Palette) -> None:
        """The ones picked out last, over the others, which step back meanwhile."""
        places = self.places()
        for spot in sorted(self.spots, key=lambda s: s.number in self.picked):
            is_picked = spot.number in self.picked
            painter.setOpacity(1.0 if is_picked or not self.picked else 0.45)
            paint_spot(
                painter,
                places[spot.number],
                spot.number,
                spot.evidence,
                colours,
                colours.card,
                is_picked=is_picked,
            )
        painter.setOpacity(1.0)


def spot_tip(spot: Spot) -> str:
    """What a spot tells, as a tip."""
    lines = (f"<b>{spot.number} {html.escape(spot.place)}</b>", *map(html.escape, spot.tells))
    return "<br>".join(lines)
