"""“This box”: what was kept and counted in it, newest first; a line is edited or taken back."""

import html
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from PySide6.QtCore import (
    QAbstractListModel,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    QPoint,
    QPointF,
    QRect,
    QSize,
    Qt,
    Signal,
)
from PySide6.QtGui import QColor, QContextMenuEvent, QFont, QKeyEvent, QPainter, QPen
from PySide6.QtWidgets import (
    QAbstractItemView,
    QListView,
    QMenu,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QWidget,
)

from core.app.search_views import BoxView, FindLine, SeenLine
from core.search.facts import FILLS, UPGRADES
from gui.paint import paint_glyph
from gui.theme import L, M, S, current_palette
from gui.widgets import key_text, make_menu

ROW_PX = 38
GLYPH_PX = 17
Index = QModelIndex | QPersistentModelIndex
LINE_ROLE = int(Qt.ItemDataRole.UserRole) + 1
_ROLL_PX, _LABEL_PX, _DETAIL_PX = 90, 128, 212


@dataclass(frozen=True, slots=True)
class EntryRow:
    """A line of the list; `line` is what it shows."""

    line: FindLine | SeenLine
    roll: int
    label: str
    detail: str
    answer: str
    where: str
    code: int | None = None
    is_strong: bool = False
    is_ender: bool = False

    @property
    def is_find(self) -> bool:
        """Whether the coin was kept."""
        return isinstance(self.line, FindLine)

    @property
    def key(self) -> tuple[bool, int]:
        """What tells it from the others."""
        one = self.line.find if isinstance(self.line, FindLine) else self.line.sighting
        return self.is_find, one.id

    @property
    def spoken(self) -> str:
        """The line as a screen reader says it."""
        ender = "at the end" if self.is_ender else ""
        told = (f"roll {self.roll}", self.label, self.detail, self.answer, self.where, ender)
        return ", ".join(filter(None, told))


def rows_of(view: BoxView) -> list[EntryRow]:
    """The lines of a box, newest first."""
    lines: list[tuple[int, EntryRow]] = []
    for find in view.finds:
        detail = ", ".join(filter(None, (find.grade, find.problems)))
        is_strong = find.answer in (FILLS, UPGRADES)
        row = EntryRow(
            find, find.roll, find.label, detail, find.answer, find.where, find.code, is_strong,
            find.find.is_ender,
        )  # fmt: skip
        lines.append((find.find.place, row))
    for seen in view.sightings:
        one = seen.sighting
        looked = {"looked": "looked, not it", "suspected": "suspected"}.get(
            str(one.looked.value), ""
        )
        row = EntryRow(
            seen, seen.roll, seen.label, seen.text, looked or "seen", "", is_ender=one.is_ender
        )
        lines.append((one.place, row))
    lines.sort(key=lambda pair: -pair[0])
    return [row for _, row in lines]


class EntryModel(QAbstractListModel):
    """The lines, replaced only where they differ."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.rows: list[EntryRow] = []

    def show(self, rows: Sequence[EntryRow]) -> None:
        """Show these lines."""
        new, old = list(rows), self.rows
        more = len(new) - len(old)
        if more > 0 and new[more:] == old:  # the usual case: something was entered
            self.beginInsertRows(QModelIndex(), 0, more - 1)
            self.rows = new
            self.endInsertRows()
        elif len(new) == len(old):
            self.rows = new
            for at, (one, other) in enumerate(zip(new, old, strict=True)):
                if one != other:
                    self.dataChanged.emit(self.index(at, 0), self.index(at, 0))
        else:
            self.beginResetModel()
            self.rows = new
            self.endResetModel()

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 (as Qt has it)
        return 0 if parent.isValid() else len(self.rows)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        if not index.isValid():
            return None
        row = self.rows[index.row()]
        if role == LINE_ROLE:
            return row
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole):
            return row.spoken
        if role == Qt.ItemDataRole.ToolTipRole:  # what is cut in a narrow list
            return html.escape(row.spoken)
        return None


class EntryPainter(QStyledItemDelegate):
    """roll 14 · 1934-D · F-12 · Fills a gap · where · glyph, with a hairline below."""

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        return QSize(320, ROW_PX)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        row = index.data(LINE_ROLE)
        if not isinstance(row, EntryRow):
            return
        colours = current_palette()
        rect: QRect = option.rect
        painter.save()
        try:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            if option.state & QStyle.StateFlag.State_Selected:
                painter.setPen(Qt.PenStyle.NoPen)
                painter.setBrush(QColor(colours.select))
                painter.drawRoundedRect(rect.adjusted(4, 2, -4, -2), 6, 6)
            painter.setPen(QPen(QColor(colours.line), 1))
            y = rect.bottom() + 0.5
            painter.drawLine(QPointF(rect.left() + L, y), QPointF(rect.right() - L, y))
            self._texts(painter, rect, row)
            if row.code is not None:
                paint_glyph(
                    painter, row.code, rect.right() - 2 * L, rect.center().y(), GLYPH_PX, colours
                )
        finally:
            painter.restore()

    def _texts(self, painter: QPainter, rect: QRect, row: EntryRow) -> None:
        colours = current_palette()
        left = rect.left() + 26
        wide = rect.width() - 26 - 4 * L
        is_narrow = wide < 620
        label, detail = (116, 120) if is_narrow else (_LABEL_PX, _DETAIL_PX)
        roll = 70 if is_narrow else _ROLL_PX
        end = ", end" if row.is_ender else ""
        self._cell(painter, left, roll, rect, f"roll {row.roll}{end}", colours.mute)
        left += roll
        if not row.detail:
            both = label + detail - S
            self._cell(painter, left, both, rect, row.label, colours.ink, row.is_find)
        else:
            self._cell(painter, left, label - S, rect, row.label, colours.ink, row.is_find)
            self._cell(painter, left + label, detail - S, rect, row.detail, colours.ink)
        left += label + detail
        ink = colours.ink if row.is_find else colours.mute
        answer = 116
        self._cell(painter, left, answer, rect, row.answer, ink, row.is_strong)
        left += answer + M
        room = rect.right() - 3 * L - left
        if room > 60:
            self._cell(painter, left, room, rect, row.where, colours.mute)

    def _cell(
        self,
        painter: QPainter,
        left: int,
        wide: int,
        rect: QRect,
        text: str,
        colour: str,
        is_bold: bool = False,
    ) -> None:
        font = QFont(painter.font())
        font.setPixelSize(13)
        font.setBold(is_bold)
        painter.setFont(font)
        painter.setPen(QColor(colour))
        fits = painter.fontMetrics().elidedText(text, Qt.TextElideMode.ElideRight, wide)
        box = QRect(left, rect.top(), wide, rect.height())
        painter.drawText(box, int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft), fits)


class EntryList(QListView):
    """Enter or F2 edits the line, Delete takes it back, Ctrl+Enter goes where its coin sits.

    A right click, or the menu key, offers the same. Up from the first goes back to the line.
    """

    edit_asked = Signal(object)
    delete_asked = Signal(object)
    go_asked = Signal(object)
    """Go where the coin of the line sits."""
    compare_asked = Signal()
    """Compare the coin of the line stood on."""
    left_up = Signal()
    typed = Signal(QKeyEvent)
    """A key that belongs to the line."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("kind", "lines")
        self.rows = EntryModel(self)
        self.setModel(self.rows)
        self.setItemDelegate(EntryPainter(self))
        self.setUniformItemSizes(True)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setAccessibleName("This box: kept and counted")
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.doubleClicked.connect(lambda _index: self._edit())

    @property
    def chosen(self) -> EntryRow | None:
        """The line stood on."""
        row = self.currentIndex().data(LINE_ROLE)
        return row if isinstance(row, EntryRow) else None

    def show_rows(self, rows: Sequence[EntryRow]) -> None:
        """Show the lines; the one stood on stays, or the next one where it was taken out."""
        chosen, at = self.chosen, self.currentIndex().row()
        self.rows.show(rows)
        if chosen is None:
            return
        place = next((i for i, row in enumerate(self.rows.rows) if row.key == chosen.key), None)
        if place is None and self.hasFocus() and rows:
            place = min(at, len(rows) - 1)
        if place is not None and place != self.currentIndex().row():
            self.setCurrentIndex(self.rows.index(place, 0))

    def go_in(self) -> None:
        """Take the focus, on the newest line."""
        if self.rows.rows:
            self.setCurrentIndex(self.rows.index(0, 0))
            self.setFocus(Qt.FocusReason.OtherFocusReason)

    def _edit(self) -> None:
        if self.chosen is not None:
            self.edit_asked.emit(self.chosen)

    def menu_of(self, row: EntryRow) -> QMenu:
        """What can be done with a line, with its keys."""
        menu = make_menu(self)
        deeds: list[tuple[str, str, Callable[[], object]]] = [
            ("Edit…", "Enter", lambda: self.edit_asked.emit(row)),
            ("Take back", "Del", lambda: self.delete_asked.emit(row)),
        ]
        if row.is_find:
            deeds.insert(1, ("Compare what it may be…", "F4", self.compare_asked.emit))
        if row.code is not None:
            deeds.append(("Go to its slot", "Ctrl+Enter", lambda: self.go_asked.emit(row)))
        for text, key, do in deeds:
            action = menu.addAction(f"{text}\t{key_text(key)}")
            action.triggered.connect(lambda _on=False, do=do: do())
        return menu

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        is_mouse = event.reason() == QContextMenuEvent.Reason.Mouse
        index = self.indexAt(event.pos()) if is_mouse else self.currentIndex()
        if not index.isValid():
            return
        self.setCurrentIndex(index)
        self.setFocus(Qt.FocusReason.OtherFocusReason)
        row = self.chosen
        if row is None:
            return
        at = event.globalPos() if is_mouse else self._below(index)
        menu = self.menu_of(row)
        menu.exec(at)
        menu.deleteLater()

    def _below(self, index: Index) -> QPoint:
        return self.viewport().mapToGlobal(self.visualRect(index).bottomLeft())

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = event.key()
        is_held = event.modifiers() & Qt.KeyboardModifier.ControlModifier
        if is_held and key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            if self.chosen is not None:
                self.go_asked.emit(self.chosen)
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_F2):
            self._edit()
        elif key in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace):
            if self.chosen is not None:
                self.delete_asked.emit(self.chosen)
        elif (key == Qt.Key.Key_Up and self.currentIndex().row() <= 0) or key == Qt.Key.Key_Escape:
            self.left_up.emit()
        elif event.text().strip() and not is_held:
            self.typed.emit(event)
        else:
            super().keyPressEvent(event)
