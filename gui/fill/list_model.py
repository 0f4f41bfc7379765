"""The lines of a fill as a list, and how each is painted."""

import html
from collections.abc import Sequence
from typing import Any

from PySide6.QtCore import (
    QAbstractListModel,
    QEvent,
    QModelIndex,
    QPersistentModelIndex,
    QPointF,
    QRect,
    QRectF,
    QSize,
    Qt,
    Signal,
)
from PySide6.QtGui import QColor, QFont, QFontMetrics, QMouseEvent, QPainter, QPen
from PySide6.QtWidgets import QListView, QStyle, QStyledItemDelegate, QStyleOptionViewItem, QWidget

from core.glyph.palette import Palette
from gui.fill.lines import FillLine, LineKind
from gui.paint import paint_glyph
from gui.theme import L, M, S, current_palette

AnyIndex = QModelIndex | QPersistentModelIndex
_ROOT = QModelIndex()
_Role = Qt.ItemDataRole
LINE_ROLE = int(_Role.UserRole)
TICK_PX, GLYPH_PX = 18, 20
GLYPHS_AT = M + TICK_PX + M
_WRAP = int(Qt.TextFlag.TextWordWrap | Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop)
_MOST_HEIGHTS = 10_000
TEXT_AT = GLYPHS_AT + 2 * GLYPH_PX + 28


class FillModel(QAbstractListModel):
    """The lines; a tick is put on and off by the check-state role."""

    tick_asked = Signal(int)
    """The row whose tick shall change."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.lines: list[FillLine] = []

    def show_lines(self, lines: Sequence[FillLine]) -> None:
        """Replace all."""
        self.beginResetModel()
        self.lines = list(lines)
        self.endResetModel()

    def rowCount(self, parent: AnyIndex = _ROOT) -> int:
        return 0 if parent.isValid() else len(self.lines)

    def flags(self, index: AnyIndex) -> Qt.ItemFlag:
        if not index.isValid():
            return Qt.ItemFlag.NoItemFlags
        kind = self.lines[index.row()].kind
        if kind is LineKind.HEADING:
            return Qt.ItemFlag.NoItemFlags
        flags = Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable
        return flags | Qt.ItemFlag.ItemIsUserCheckable if kind is LineKind.MOVE else flags

    def data(self, index: AnyIndex, role: int = _Role.DisplayRole) -> Any:
        if not index.isValid():
            return None
        line = self.lines[index.row()]
        if role in (_Role.DisplayRole, _Role.AccessibleTextRole):
            return line.spoken
        if role == _Role.ToolTipRole and line.kind is not LineKind.HEADING:
            return html.escape(f"{line.coin}. {line.reason}")
        if role == LINE_ROLE:
            return line
        if role == _Role.CheckStateRole and line.kind is LineKind.MOVE:
            return Qt.CheckState.Checked if line.is_ticked else Qt.CheckState.Unchecked
        return None

    def setData(self, index: AnyIndex, value: Any, role: int = _Role.EditRole) -> bool:
        if role != _Role.CheckStateRole or not index.isValid():
            return False
        self.tick_asked.emit(index.row())
        return True


class FillDelegate(QStyledItemDelegate):
    """Tick, glyph before → after, slot and coin; below them where from, what leaves, and why."""

    def __init__(self, parent: QListView) -> None:
        super().__init__(parent)
        self._view = parent
        # Few texts are told of many lines, and a list asks for the height of each.
        self._heights: dict[tuple[str, int], int] = {}

    def sizeHint(self, option: QStyleOptionViewItem, index: AnyIndex) -> QSize:
        line: FillLine = index.data(LINE_ROLE)
        height = self._view.fontMetrics().height()
        if line.kind is LineKind.HEADING:
            return QSize(200, height + L + S)
        width = self._view.viewport().width() - TEXT_AT - M
        below = sum(self._height(text, width) for text in (line.detail, line.reason) if text)
        return QSize(200, height + 1 + below + 2 * S + 4)

    def _small(self) -> QFont:
        font = QFont(self._view.font())
        font.setPixelSize(12)
        return font

    def _height(self, text: str, width: int) -> int:
        """How high a text below the title is, at most three lines."""
        known = self._heights.get((text, width))
        if known is not None:
            return known
        metrics = QFontMetrics(self._small())
        high = line = metrics.height() + 1
        if metrics.horizontalAdvance(text) > width:
            box = metrics.boundingRect(0, 0, max(1, width), 999, _WRAP, text)
            high = min(3 * line, box.height() + 1)
        if len(self._heights) >= _MOST_HEIGHTS:
            self._heights.clear()
        self._heights[text, width] = high
        return high

    def editorEvent(
        self, event: QEvent, model: Any, option: QStyleOptionViewItem, index: AnyIndex
    ) -> bool:
        """A click on the tick, or Space, puts it on or off."""
        if event.type() == QEvent.Type.MouseButtonRelease and isinstance(event, QMouseEvent):
            rect: QRect = option.rect
            is_at_tick = event.position().x() < rect.left() + GLYPHS_AT
            line: FillLine = index.data(LINE_ROLE)
            if is_at_tick and line.kind is LineKind.MOVE:
                return bool(model.setData(index, 0, _Role.CheckStateRole))
        return False

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: AnyIndex) -> None:
        line: FillLine = index.data(LINE_ROLE)
        colours = current_palette()
        rect: QRect = option.rect
        painter.save()
        try:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            if line.kind is LineKind.HEADING:
                self._heading(painter, rect, line.title, colours)
                return
            state = option.state
            self._ground(painter, rect, colours, state, self._view.hasFocus())
            self._glyphs(painter, rect, line, colours)
            self._words(painter, rect, line, colours)
        finally:
            painter.restore()

    def _heading(self, painter: QPainter, rect: QRect, text: str, colours: Palette) -> None:
        font = QFont(self._view.font())
        font.setPixelSize(11)
        font.setWeight(QFont.Weight.Bold)
        painter.setFont(font)
        painter.setPen(QColor(colours.mute))
        inner = rect.adjusted(M, 0, -M, -S // 2)
        painter.drawText(inner, int(Qt.AlignmentFlag.AlignBottom), text.upper())

    def _ground(
        self,
        painter: QPainter,
        rect: QRect,
        colours: Palette,
        state: QStyle.StateFlag,
        has_focus: bool,
    ) -> None:
        is_chosen = bool(state & QStyle.StateFlag.State_Selected)
        box = QRectF(rect).adjusted(2.5, 1.5, -2.5, -1.5)
        if is_chosen or state & QStyle.StateFlag.State_MouseOver:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(QColor(colours.select if is_chosen else colours.hover))
            painter.drawRoundedRect(box, 6, 6)
        if has_focus and state & QStyle.StateFlag.State_HasFocus:
            painter.setPen(QPen(QColor(colours.accent), 2))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(box, 6, 6)
        painter.setPen(QPen(QColor(colours.line), 1))
        painter.drawLine(rect.left() + M, rect.bottom(), rect.right() - M, rect.bottom())

    def _glyphs(self, painter: QPainter, rect: QRect, line: FillLine, colours: Palette) -> None:
        top = rect.top() + S + 2
        middle = top + self._view.fontMetrics().height() / 2
        if line.kind is LineKind.MOVE:
            paint_tick(painter, rect.left() + M, middle, line.is_ticked, colours)
        at = rect.left() + GLYPHS_AT + GLYPH_PX / 2
        if not line.is_ticked:
            painter.setOpacity(0.45)
        paint_glyph(painter, line.before, at, middle, GLYPH_PX, colours)
        if line.kind is LineKind.MOVE:
            after = at + GLYPH_PX + 20
            _arrow(painter, at + GLYPH_PX / 2 + 5, middle, colours)
            paint_glyph(painter, line.after, after, middle, GLYPH_PX, colours)
        painter.setOpacity(1.0)

    def _words(self, painter: QPainter, rect: QRect, line: FillLine, colours: Palette) -> None:
        left = rect.left() + TEXT_AT
        inner = QRect(left, rect.top() + S + 2, rect.width() - TEXT_AT - M, rect.height())
        body, bold = QFont(self._view.font()), QFont(self._view.font())
        bold.setWeight(QFont.Weight.Bold)
        height = QFontMetrics(body).height() + 1
        ink = colours.ink if line.is_ticked else colours.mute
        title_px = min(
            QFontMetrics(bold).horizontalAdvance(line.title) + M + 4, inner.width() * 3 // 5
        )
        _line(
            painter, QRect(inner.left(), inner.top(), title_px - M, height), bold, ink, line.title
        )
        coin_at = QRect(inner.left() + title_px, inner.top(), inner.width() - title_px, height)
        _line(painter, coin_at, body, ink, line.coin, is_right=True)
        below = inner.top() + height
        painter.setFont(self._small())
        painter.setPen(QColor(colours.mute))
        for text in filter(None, (line.detail, line.reason)):
            tall = self._height(text, inner.width())
            painter.drawText(QRect(inner.left(), below, inner.width(), tall), _WRAP, text)
            below += tall


def paint_tick(
    painter: QPainter, left: float, middle: float, is_on: bool, colours: Palette
) -> None:
    """A tick box of 18 px, its middle at that height."""
    box = QRectF(left + 0.5, middle - TICK_PX / 2 + 0.5, TICK_PX - 1, TICK_PX - 1)
    painter.setPen(QPen(QColor(colours.accent if is_on else colours.mute), 1.4))
    painter.setBrush(QColor(colours.accent) if is_on else QColor(colours.card))
    painter.drawRoundedRect(box, 4, 4)
    if is_on:
        painter.setPen(
            QPen(
                QColor(colours.accent_ink),
                2,
                Qt.PenStyle.SolidLine,
                Qt.PenCapStyle.RoundCap,
                Qt.PenJoinStyle.RoundJoin,
            )
        )
        x, y = left, middle - TICK_PX / 2
        painter.drawPolyline([QPointF(x + 4.5, y + 9.5), QPointF(x + 7.5, y + 12.5),
                              QPointF(x + 13.5, y + 5.5)])  # fmt: skip


def _arrow(painter: QPainter, left: float, middle: float, colours: Palette) -> None:
    painter.setPen(QPen(QColor(colours.mute), 1.3, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap))
    right = left + 10
    painter.drawLine(QPointF(left, middle), QPointF(right, middle))
    painter.drawLine(QPointF(right - 3, middle - 3), QPointF(right, middle))
    painter.drawLine(QPointF(right - 3, middle + 3), QPointF(right, middle))


def _line(
    painter: QPainter, rect: QRect, font: QFont, colour: str, text: str, is_right: bool = False
) -> None:
    painter.setFont(font)
    painter.setPen(QColor(colour))
    fits = QFontMetrics(font).elidedText(text, Qt.TextElideMode.ElideRight, rect.width())
    side = Qt.AlignmentFlag.AlignRight if is_right else Qt.AlignmentFlag.AlignLeft
    painter.drawText(rect, int(side | Qt.AlignmentFlag.AlignVCenter), fits)
