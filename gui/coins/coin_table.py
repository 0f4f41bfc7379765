"""The table of coins: rows of 34 px, hairlines, keys of its own."""

from collections.abc import Iterable

from PySide6.QtCore import QItemSelection, QItemSelectionModel, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QTableView, QWidget

from core.app.views import CoinRow
from core.model.coin import CoinId
from gui.coins.model import CoinModel
from gui.coins.rows import COLUMNS, Column

ROW_PX = 34
WIDTHS = {
    Column.NUMBER: 72,
    Column.COIN: 232,
    Column.GRADE: 88,
    Column.PROBLEMS: 112,
    Column.STATE: 96,
    Column.WHERE: 200,
    Column.CAME_FROM: 168,
    Column.ACQUIRED: 96,
    Column.NOTE: 160,
}
_Select = QItemSelectionModel.SelectionFlag
_ENTER = frozenset({Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_F2})


class CoinTableView(QTableView):
    """Tells what its keys ask for; the workspace does it."""

    edit_asked = Signal()
    let_go_asked = Signal()
    put_asked = Signal()
    sort_asked = Signal()
    up_asked = Signal()
    """The up key in the first row: on to the line above."""
    letter_typed = Signal(str)
    """A letter or digit: the collector wants to find something."""
    sort_clicked = Signal(object)
    """A Column."""

    def __init__(self, model: CoinModel, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._coins = model
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
        self._build_headers()
        self.doubleClicked.connect(lambda _index: self.edit_asked.emit())

    def _build_headers(self) -> None:
        rows, head = self.verticalHeader(), self.horizontalHeader()
        rows.hide()
        rows.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        rows.setDefaultSectionSize(ROW_PX)
        head.setHighlightSections(False)
        # A header that shares the table's selection asks the model for every cell of it.
        head.setSelectionModel(QItemSelectionModel(self._coins, head))
        head.setSectionsClickable(True)
        head.setStretchLastSection(True)
        head.setMinimumSectionSize(48)
        head.setAccessibleName("Columns: a click sorts")
        for place, name in enumerate(COLUMNS):
            head.resizeSection(place, WIDTHS[name])
        head.sectionClicked.connect(lambda place: self.sort_clicked.emit(COLUMNS[place]))

    def show_columns_for(self, width_px: int) -> None:
        """Leave out the last columns where there is little room; the form has them all."""
        room = width_px
        for place, name in enumerate(COLUMNS):
            room -= WIDTHS[name]
            is_spare = name in (Column.CAME_FROM, Column.ACQUIRED, Column.NOTE)
            self.setColumnHidden(place, is_spare and room < -WIDTHS[name] // 2)

    # --- which coins

    def current_coin(self) -> CoinId | None:
        """The coin the keys act on."""
        place = self.currentIndex().row()
        return self._coins.coin_row(place).coin.id if 0 <= place < len(self._coins.order) else None

    def count_chosen(self) -> int:
        """How many rows are chosen; by ranges, so that all of 100,000 cost no more than one."""
        selection = self.selectionModel().selection().toList()
        return sum(part.bottom() - part.top() + 1 for part in selection)

    def chosen_rows(self) -> list[CoinRow]:
        """The chosen rows in the order shown."""
        parts = sorted((p.top(), p.bottom()) for p in self.selectionModel().selection().toList())
        last = len(self._coins.order) - 1
        return [
            self._coins.coin_row(place)
            for top, bottom in parts
            for place in range(top, min(bottom, last) + 1)
        ]

    def chosen_coins(self) -> list[CoinId]:
        """The chosen coins in the order shown."""
        return [row.coin.id for row in self.chosen_rows()]

    def choose(self, coins: set[CoinId], current: CoinId | None) -> None:
        """Choose these coins again after the rows were read anew, as far as they are shown."""
        place = self._coins.place_of(current) if current is not None else -1
        if place >= 0:
            index = self._coins.index(place, 0)
            self.selectionModel().setCurrentIndex(index, _Select.NoUpdate)
        last = self._coins.columnCount() - 1
        selection = QItemSelection()
        for top, bottom in runs(self._coins.places_of(coins)):
            selection.select(self._coins.index(top, 0), self._coins.index(bottom, last))
        self.selectionModel().select(selection, _Select.ClearAndSelect)

    def go_to_row(self, place: int) -> None:
        """Make a row current and the only one chosen."""
        if 0 <= place < len(self._coins.order):
            self.selectionModel().setCurrentIndex(
                self._coins.index(place, 0), _Select.ClearAndSelect | _Select.Rows
            )

    # --- keys

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key, is_plain = event.key(), not event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier
        if key in _ENTER and is_plain:
            self.edit_asked.emit()
        elif key == Qt.Key.Key_Delete:
            self.let_go_asked.emit()
        elif key == Qt.Key.Key_P and is_plain:
            self.put_asked.emit()
        elif key == Qt.Key.Key_S and is_plain:
            self.sort_asked.emit()
        elif key == Qt.Key.Key_Up and is_plain and self.currentIndex().row() <= 0:
            self.up_asked.emit()
        elif is_plain and event.text().isdigit():
            self.letter_typed.emit(event.text())
        else:
            super().keyPressEvent(event)

    def keyboardSearch(self, search: str) -> None:
        """Typing is for the filter, which meets all columns."""


def runs(places: Iterable[int]) -> list[tuple[int, int]]:
    """Ascending places as runs of neighbours: first and last of each."""
    found: list[tuple[int, int]] = []
    for place in places:
        if found and found[-1][1] == place - 1:
            found[-1] = found[-1][0], place
        else:
            found.append((place, place))
    return found
