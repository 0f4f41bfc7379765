"""The history as a list that reads on as one scrolls, and how a line is painted."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import (
    QAbstractListModel,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    QRect,
    QRectF,
    QSize,
    Qt,
    Signal,
)
from PySide6.QtGui import QColor, QFont, QFontMetrics, QPainter, QPen
from PySide6.QtWidgets import QAbstractItemView, QStyle, QStyledItemDelegate, QStyleOptionViewItem

from core.glyph.palette import Palette
from gui.history.lines import Line, added
from gui.theme import L, M, S, current_palette

if TYPE_CHECKING:
    from core.app.collection import Entry

AnyIndex = QModelIndex | QPersistentModelIndex
_ROOT = QModelIndex()
_Role = Qt.ItemDataRole
LINE_ROLE = int(_Role.UserRole)
LINE_PX, TIME_PX, INDENT_PX, ARROW_PX = 38, 92, 24, 20


class HistoryModel(QAbstractListModel):
    """The lines read so far; `more_asked` asks for older entries than the last one's."""

    more_asked = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.lines: list[Line] = []
        self._has_more = False
        self._is_asking = False

    @property
    def oldest(self) -> int | None:
        """The id of the oldest entry read; None where none is."""
        return next((line.entries[-1].id for line in reversed(self.lines) if line.entries), None)

    @property
    def entries(self) -> int:
        """How many entries were read."""
        return sum(len(line.entries) for line in self.lines if line.part_of is None)

    def start(self) -> None:
        """Forget all that was read."""
        self.beginResetModel()
        self.lines, self._has_more, self._is_asking = [], False, False
        self.endResetModel()

    def add(self, entries: "Sequence[Entry]", has_more: bool) -> None:
        """Older entries, newest first; a run goes on where the last page ended."""
        self._is_asking, self._has_more = False, has_more
        last = len(self.lines) - 1
        if last >= 0 and self.lines[last].part_of is not None:
            self._fold(self.lines.index(self.lines[last].part_of or self.lines[last]))
            last = len(self.lines) - 1
        new = added(self.lines, entries)
        if last >= 0:
            self.dataChanged.emit(self.index(last), self.index(last))
        if new:
            self.beginInsertRows(_ROOT, last + 1, last + len(new))
            self.lines += new
            self.endInsertRows()

    def toggle(self, row: int) -> None:
        """Unfold a run, or fold it up again."""
        line = self.lines[row]
        if line.is_unfolded:
            self._fold(row)
        elif line.is_run:
            parts = [Line(line.day, [entry], line) for entry in line.entries]
            line.is_unfolded = True
            self.beginInsertRows(_ROOT, row + 1, row + len(parts))
            self.lines[row + 1 : row + 1] = parts
            self.endInsertRows()
            self.dataChanged.emit(self.index(row), self.index(row))

    def _fold(self, row: int) -> None:
        line = self.lines[row]
        end = row + 1
        while end < len(self.lines) and self.lines[end].part_of is line:
            end += 1
        line.is_unfolded = False
        self.beginRemoveRows(_ROOT, row + 1, end - 1)
        del self.lines[row + 1 : end]
        self.endRemoveRows()
        self.dataChanged.emit(self.index(row), self.index(row))

    def rowCount(self, parent: AnyIndex = _ROOT) -> int:
        return 0 if parent.isValid() else len(self.lines)

    def canFetchMore(self, parent: AnyIndex) -> bool:
        return not parent.isValid() and self._has_more and not self._is_asking

    def fetchMore(self, parent: AnyIndex) -> None:
        if self.canFetchMore(parent):
            self._is_asking = True
            self.more_asked.emit()

    def flags(self, index: AnyIndex) -> Qt.ItemFlag:
        if not index.isValid() or self.lines[index.row()].is_heading:
            return Qt.ItemFlag.NoItemFlags
        return Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable

    def data(self, index: AnyIndex, role: int = _Role.DisplayRole) -> Any:
        if not index.isValid():
            return None
        line = self.lines[index.row()]
        if role in (_Role.DisplayRole, _Role.AccessibleTextRole):
            return line.spoken
        return line if role == LINE_ROLE else None


class HistoryDelegate(QStyledItemDelegate):
    """The time, what was done, how many entries; undone lines are struck through and say so."""

    def __init__(self, parent: QAbstractItemView) -> None:
        super().__init__(parent)
        self._view = parent

    def sizeHint(self, option: QStyleOptionViewItem, index: AnyIndex) -> QSize:
        return QSize(200, LINE_PX)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: AnyIndex) -> None:
        line: Line = index.data(LINE_ROLE)
        colours = current_palette()
        rect: QRect = option.rect
        painter.save()
        try:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            if line.is_heading:
                self._heading(painter, rect, line, colours)
            else:
                self._ground(painter, rect, option.state, colours)
                self._words(painter, rect, line, colours)
        finally:
            painter.restore()

    def _heading(self, painter: QPainter, rect: QRect, line: Line, colours: Palette) -> None:
        font = self._font(11, is_bold=True)
        painter.setFont(font)
        painter.setPen(QColor(colours.mute))
        inner = rect.adjusted(M, 0, -M, -S)
        painter.drawText(inner, int(Qt.AlignmentFlag.AlignBottom), line.title.upper())

    def _ground(
        self, painter: QPainter, rect: QRect, state: QStyle.StateFlag, colours: Palette
    ) -> None:
        is_chosen = bool(state & QStyle.StateFlag.State_Selected)
        box = QRectF(rect).adjusted(2.5, 1.5, -2.5, -1.5)
        if is_chosen or state & QStyle.StateFlag.State_MouseOver:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(QColor(colours.select if is_chosen else colours.hover))
            painter.drawRoundedRect(box, 6, 6)
        if self._view.hasFocus() and state & QStyle.StateFlag.State_HasFocus:
            painter.setPen(QPen(QColor(colours.accent), 2))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(box, 6, 6)

    def _words(self, painter: QPainter, rect: QRect, line: Line, colours: Palette) -> None:
        inner = rect.adjusted(M + INDENT_PX * (line.part_of is not None), 0, -L, 0)
        small, body = self._font(12), self._font(13)
        middle = int(Qt.AlignmentFlag.AlignVCenter)
        painter.setFont(small)
        painter.setPen(QColor(colours.mute))
        painter.drawText(inner, middle, line.time)
        beside_px = QFontMetrics(small).horizontalAdvance(line.beside)
        painter.drawText(inner, middle | int(Qt.AlignmentFlag.AlignRight), line.beside)
        left = inner.left() + TIME_PX
        if line.is_run:
            painter.drawText(
                QRect(left, inner.top(), ARROW_PX, inner.height()),
                middle,
                "▾" if line.is_unfolded else "▸",
            )
        left += ARROW_PX
        body.setStrikeOut(line.is_undone)
        painter.setFont(body)
        painter.setPen(QColor(colours.mute if line.is_undone else colours.ink))
        room = inner.right() - beside_px - L - left
        text = QFontMetrics(body).elidedText(line.title, Qt.TextElideMode.ElideRight, room)
        painter.drawText(QRect(left, inner.top(), room, inner.height()), middle, text)

    def _font(self, pixels: int, is_bold: bool = False) -> QFont:
        font = QFont(self._view.font())
        font.setPixelSize(pixels)
        if is_bold:
            font.setWeight(QFont.Weight.Bold)
        return font
