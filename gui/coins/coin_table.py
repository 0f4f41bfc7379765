"""The table of coins: rows of 34 px, hairlines, keys of its own."""

from collections.abc import Iterable, Iterator
from contextlib import contextmanager

from PySide6.QtCore import (
    QItemSelection,
    QItemSelectionModel,
    QModelIndex,
    QPersistentModelIndex,
    QRect,
    Qt,
    QTimer,
    Signal,
)
from PySide6.QtGui import QColor, QKeyEvent, QKeySequence, QPainter, QPen, QPixmap
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHeaderView,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableView,
    QWidget,
)

from core.app.views import CoinRow
from core.model.coin import CoinId, CoinStatus
from gui.coins.columns import Layout
from gui.coins.model import CoinModel
from gui.coins.rows import COLUMNS, Column, coin_name
from gui.leaf.leaf_drag import coin_data, run_drag
from gui.theme import L, M, current_palette

ROW_PX = 34
RING_PX = 2
LAST_PX, BESIDE_PX = 96, 16
"""The last column may be that narrow; edges and the scroll bar take that much."""
SPARE_COLUMNS = (Column.CAME_FROM, Column.ACQUIRED, Column.NOTE)
"""Left out where there is little room and nobody chose columns."""
_Select = QItemSelectionModel.SelectionFlag
_ENTER = frozenset({Qt.Key.Key_Return, Qt.Key.Key_Enter})
_SHIFT = Qt.KeyboardModifier.ShiftModifier | Qt.KeyboardModifier.KeypadModifier


class CoinTableView(QTableView):
    """Tells what its keys ask for; the workspace does it."""

    enter_pressed = Signal()
    edit_asked = Signal()
    """F2 on a cell."""
    double_clicked = Signal()
    letter_typed = Signal(str)
    """Something was typed on a cell."""
    let_go_asked = Signal()
    up_asked = Signal()
    """The up key in the first row: on to the line above."""
    copy_asked = Signal()
    paste_asked = Signal()
    cell_changed = Signal()
    sort_clicked = Signal(object)
    """A Column."""
    layout_changed = Signal(object)
    """A Layout: columns were dragged or made wider."""
    columns_asked = Signal()

    def __init__(self, model: CoinModel, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._coins = model
        self._layout = Layout()
        self._room_px = 0
        self._is_laying_out = False
        self.setModel(model)
        self.setAccessibleName("Coins")
        self.setShowGrid(False)
        self.setWordWrap(False)
        self.setTabKeyNavigation(False)
        self.setAlternatingRowColors(False)
        self.setMouseTracking(True)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setContextMenuPolicy(Qt.ContextMenuPolicy.CustomContextMenu)
        self.setDragEnabled(True)
        self.setDragDropMode(QAbstractItemView.DragDropMode.DragOnly)
        self.setItemDelegate(CellRing(self))
        self._build_headers()
        self.doubleClicked.connect(lambda _index: self.double_clicked.emit())

    def _build_headers(self) -> None:
        rows, head = self.verticalHeader(), self.horizontalHeader()
        rows.hide()
        rows.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        rows.setDefaultSectionSize(ROW_PX)
        head.setHighlightSections(False)
        # A header that shares the table's selection asks the model for every cell of it.
        head.setSelectionModel(QItemSelectionModel(self._coins, head))
        head.setSectionsClickable(True)
        head.setSectionsMovable(True)
        head.setStretchLastSection(True)
        head.setMinimumSectionSize(48)
        head.setAccessibleName("Columns: a click sorts, a drag moves")
        head.setToolTip("A click sorts, a drag moves; Alt+C chooses columns")
        head.setContextMenuPolicy(Qt.ContextMenuPolicy.CustomContextMenu)
        head.customContextMenuRequested.connect(lambda _where: self.columns_asked.emit())
        head.sectionClicked.connect(lambda place: self.sort_clicked.emit(COLUMNS[place]))
        head.sectionMoved.connect(lambda *_: self._on_moved())
        head.sectionResized.connect(self._on_resized)
        self._tell_layout = QTimer(self)
        self._tell_layout.setSingleShot(True)
        self._tell_layout.setInterval(400)
        self._tell_layout.timeout.connect(lambda: self.layout_changed.emit(self._layout))
        self.show_layout(Layout())

    # --- columns

    @property
    def columns(self) -> Layout:
        """The columns as they are laid out."""
        return self._layout

    def show_layout(self, layout: Layout) -> None:
        """Show these columns, in this order, this wide."""
        self._layout = layout
        head = self.horizontalHeader()
        self._is_laying_out = True
        order = [Column.GAIN, *layout.shown]
        order = [*order, *(c for c in COLUMNS if c not in order)]
        for place, name in enumerate(order):
            head.moveSection(head.visualIndex(COLUMNS.index(name)), place)
        for place, name in enumerate(COLUMNS):
            head.resizeSection(place, self._width(name))
        self._is_laying_out = False
        self.show_columns_for(self._room_px)

    def _width(self, name: Column) -> int:
        return self._layout.width(name, self._coins.table.has_foreign_grades)

    def show_columns_for(self, width_px: int) -> None:
        """Leave out the last columns where there is little room; the form has them all."""
        self._room_px = width_px
        has_gain = self._coins.finds is not None
        hidden: set[Column] = {
            c for c in COLUMNS if c not in self._layout.shown and c is not Column.GAIN
        }
        if not has_gain:
            hidden.add(Column.GAIN)
        if self._layout.is_usual and width_px:
            room = width_px - BESIDE_PX - (self._width(Column.GAIN) if has_gain else 0)
            for name in self._layout.shown:
                room -= self._width(name)
                if name in SPARE_COLUMNS and room < min(0, LAST_PX - self._width(name)):
                    hidden.add(name)
        self._is_laying_out = True
        for place, name in enumerate(COLUMNS):
            if self.isColumnHidden(place) != (name in hidden):
                self.setColumnHidden(place, name in hidden)
        if self._layout.is_usual and width_px:
            self._narrow_last()
        elif Column.GRADE in self.visible_columns()[:-1]:
            head = self.horizontalHeader()
            head.resizeSection(COLUMNS.index(Column.GRADE), self._width(Column.GRADE))
        self._is_laying_out = False

    def _narrow_last(self) -> None:
        """Let the last column take what room is left, which may be less than its width."""
        head, shown = self.horizontalHeader(), self.visible_columns()
        for name in shown:
            width = self._width(name)
            is_last = name is shown[-1]
            head.resizeSection(COLUMNS.index(name), min(width, LAST_PX) if is_last else width)

    def visible_columns(self) -> list[Column]:
        """The columns on screen, from the left."""
        head = self.horizontalHeader()
        order = [head.logicalIndex(place) for place in range(len(COLUMNS))]
        return [COLUMNS[place] for place in order if not self.isColumnHidden(place)]

    def _on_moved(self) -> None:
        if self._is_laying_out:
            return
        head = self.horizontalHeader()
        order = [COLUMNS[head.logicalIndex(place)] for place in range(len(COLUMNS))]
        shown = [c for c in order if c in self._layout.shown]
        self._layout = self._layout.with_shown(shown)
        self._tell_layout.start()

    def _on_resized(self, place: int, _before: int, width_px: int) -> None:
        head = self.horizontalHeader()
        is_last = self.visible_columns()[-1:] == [COLUMNS[place]]
        if self._is_laying_out or not width_px or is_last or not head.isVisible():
            return  # the last one takes what is left
        self._layout = self._layout.with_width(COLUMNS[place], width_px)
        self._tell_layout.start()

    # --- which coins, which cell

    def current_coin(self) -> CoinId | None:
        """The coin the keys act on."""
        row = self.current_row()
        return row.coin.id if row is not None else None

    def current_row(self) -> CoinRow | None:
        """The row the keys act on."""
        place = self.currentIndex().row()
        return self._coins.coin_row(place) if 0 <= place < len(self._coins.order) else None

    def current_column(self) -> Column:
        """The column of the cell the keys act on."""
        return COLUMNS[max(0, self.currentIndex().column())]

    def count_chosen(self) -> int:
        """How many rows are chosen; by ranges, so that all of 100,000 cost no more than one."""
        selection = self.selectionModel().selection().toList()
        return sum(part.bottom() - part.top() + 1 for part in selection)

    def chosen_rows(self) -> list[CoinRow]:
        """The chosen rows in the order shown."""
        rows = self._coins.table.rows
        return [rows[at] for at in self._chosen_ats()]

    def chosen_coins(self) -> list[CoinId]:
        """The chosen coins in the order shown."""
        rows = self._coins.table.rows
        return [rows[at].coin.id for at in self._chosen_ats()]

    def _chosen_ats(self) -> list[int]:
        """The places of the chosen rows among all rows of the table; slices, so quick for many."""
        parts = sorted((p.top(), p.bottom()) for p in self.selectionModel().selection().toList())
        order = self._coins.order
        return [at for top, bottom in parts for at in order[top : bottom + 1]]

    def choose(
        self, coins: set[CoinId], current: CoinId | None, column: Column | None = None
    ) -> None:
        """Choose these coins again after the rows were read anew, as far as they are shown."""
        self._choose_places(self._coins.places_of(coins), current, column)

    @contextmanager
    def same_choice(self) -> Iterator[None]:
        """Choose the same coins again after the same rows were ordered or filtered otherwise."""
        chosen, current = set(self._chosen_ats()), self.current_coin()
        column = self.current_column()
        yield
        self._choose_places(self._coins.places_at(chosen), current, column)

    def _choose_places(
        self, places: list[int], current: CoinId | None, column: Column | None
    ) -> None:
        place = self._coins.place_of(current) if current is not None else -1
        if place >= 0:
            index = self._coins.index(place, COLUMNS.index(column or self.current_column()))
            self.selectionModel().setCurrentIndex(index, _Select.NoUpdate)
        last = self._coins.columnCount() - 1
        selection = QItemSelection()
        for top, bottom in runs(places):
            selection.select(self._coins.index(top, 0), self._coins.index(bottom, last))
        self.selectionModel().select(selection, _Select.ClearAndSelect)

    def go_to_row(self, place: int, column: Column | None = None) -> None:
        """Make a row current and the only one chosen."""
        if 0 <= place < len(self._coins.order):
            at = COLUMNS.index(column) if column is not None else self._first_column()
            self.selectionModel().setCurrentIndex(
                self._coins.index(place, at), _Select.ClearAndSelect | _Select.Rows
            )

    def _first_column(self) -> int:
        return COLUMNS.index(self.visible_columns()[0])

    def cell_rect(self, coin: CoinId, column: Column) -> QRect | None:
        """Where a cell is in the viewport; None where it is not shown."""
        place = self._coins.place_of(coin)
        at = COLUMNS.index(column)
        if place < 0 or self.isColumnHidden(at):
            return None
        return self.visualRect(self._coins.index(place, at))

    def currentChanged(
        self,
        current: QModelIndex | QPersistentModelIndex,
        previous: QModelIndex | QPersistentModelIndex,
    ) -> None:
        super().currentChanged(current, previous)
        self.cell_changed.emit()

    # --- keys

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key, is_plain = event.key(), not event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier
        is_typed = not event.modifiers() & ~_SHIFT and event.text().isprintable()
        if key in _ENTER and is_plain:
            self.enter_pressed.emit()
        elif key == Qt.Key.Key_F2 and is_plain:
            self.edit_asked.emit()
        elif key == Qt.Key.Key_Delete:
            self.let_go_asked.emit()
        elif event.matches(QKeySequence.StandardKey.Copy):
            self.copy_asked.emit()
        elif event.matches(QKeySequence.StandardKey.Paste):
            self.paste_asked.emit()
        elif key == Qt.Key.Key_Up and is_plain and self.currentIndex().row() <= 0:
            self.up_asked.emit()
        elif is_typed and event.text().strip():
            self.letter_typed.emit(event.text())
        else:
            super().keyPressEvent(event)

    def keyboardSearch(self, search: str) -> None:
        """Typing edits a cell, or finds."""

    # --- dragging

    def dragged_rows(self) -> list[CoinRow]:
        """The chosen coins that can be put somewhere."""
        return [row for row in self.chosen_rows() if row.coin.status is CoinStatus.HELD]

    def startDrag(self, actions: Qt.DropAction) -> None:
        del actions  # coins are moved, never copied
        rows = self.dragged_rows()
        if not rows:
            return
        # Not the model's own way: it would ask for every cell of every chosen row.
        run_drag(self, coin_data([int(row.coin.id) for row in rows]), drag_pixmap(rows, self))


class CellRing(QStyledItemDelegate):
    """A ring around the cell that keys act on, while the table has them."""

    def paint(
        self,
        painter: QPainter,
        option: QStyleOptionViewItem,
        index: QModelIndex | QPersistentModelIndex,
    ) -> None:
        super().paint(painter, option, index)
        table = self.parent()
        if not isinstance(table, QTableView) or not table.hasFocus():
            return
        current = table.currentIndex()
        if (current.row(), current.column()) != (index.row(), index.column()):
            return
        rect: QRect = option.rect
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(QColor(current_palette().accent), RING_PX))
        painter.drawRoundedRect(rect.adjusted(1, 2, -2, -2), 4, 4)
        painter.restore()


def drag_pixmap(rows: list[CoinRow], widget: QWidget) -> QPixmap:
    """What hangs at the pointer: 1943-D VF-20, or 12 coins."""
    first = rows[0]
    one = f"{coin_name(first)} {first.grade}".strip()
    text = one if len(rows) == 1 else f"{len(rows):,} coins"
    metrics, colours = widget.fontMetrics(), current_palette()
    text = metrics.elidedText(text, Qt.TextElideMode.ElideRight, 280)
    width, height = metrics.horizontalAdvance(text) + 2 * L, metrics.height() + M
    ratio = widget.devicePixelRatioF()
    pixmap = QPixmap(round(width * ratio), round(height * ratio))
    pixmap.setDevicePixelRatio(ratio)
    pixmap.fill(Qt.GlobalColor.transparent)
    painter = QPainter(pixmap)
    try:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setFont(widget.font())
        painter.setPen(QPen(QColor(colours.accent), 1))
        painter.setBrush(QColor(colours.card))
        painter.drawRoundedRect(QRect(0, 0, width, height).adjusted(1, 1, -1, -1), 8, 8)
        painter.setPen(QColor(colours.ink))
        painter.drawText(QRect(0, 0, width, height), Qt.AlignmentFlag.AlignCenter, text)
    finally:
        painter.end()
    return pixmap


def runs(places: Iterable[int]) -> list[tuple[int, int]]:
    """Ascending places as runs of neighbours: first and last of each."""
    found: list[tuple[int, int]] = []
    for place in places:
        if found and found[-1][1] == place - 1:
            found[-1] = found[-1][0], place
        else:
            found.append((place, place))
    return found
