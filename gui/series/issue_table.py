"""The rows of a series to read: sorted by any column, found by words and what they rest on."""

from collections.abc import Callable, Sequence
from typing import Any

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, Qt
from PySide6.QtGui import QColor, QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QWidget

from gui.exchange.sheet_table import SheetModel, SheetTable
from gui.series.known import (
    COMPOSITION,
    DATE,
    DESIGN,
    HEADS,
    KIND,
    MINT,
    MINTAGE,
    NOT_KNOWN,
    PART_OF,
    RESTS_ON,
    SOURCE,
    IssueRow,
)
from gui.theme import current_palette

_Index = QModelIndex | QPersistentModelIndex
_RIGHT = int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
_MUTE = frozenset({SOURCE, RESTS_ON})
_GROW = ((DESIGN, 160), (KIND, 64), (MINT, 48), (COMPOSITION, 64))
CELL_ROOM_PX = 28
"""What a cell has beside its words."""
WIDTHS = (72, 132, 124, 100, 100, 112, 108, 60)


class _IssueModel(SheetModel):
    """Figures at the right; what is not known, and where it stands, muted."""

    column, is_descending = DATE, False

    def data(self, index: _Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        if role == Qt.ItemDataRole.TextAlignmentRole and index.column() == MINTAGE:
            return _RIGHT
        if role == Qt.ItemDataRole.ToolTipRole and index.column() == MINTAGE:
            text = self.rows[index.row()][MINTAGE]
            if text.startswith(PART_OF):
                whole = text.removeprefix(PART_OF)
                return f"{whole} of this date and mint in all, not split between its rows"
        if role == Qt.ItemDataRole.ForegroundRole and index.isValid():
            text = self.rows[index.row()][index.column()]
            is_mute = (
                index.column() in _MUTE
                or text == NOT_KNOWN
                or (index.column() == MINTAGE and text.startswith(PART_OF))
            )
            return QColor(current_palette().mute) if is_mute else None
        return super().data(index, role)

    def headerData(
        self,
        section: int,
        orientation: Qt.Orientation,
        role: int = Qt.ItemDataRole.DisplayRole,
    ) -> Any:
        if orientation is not Qt.Orientation.Horizontal:
            return None
        is_sorted = section == self.column
        if role == Qt.ItemDataRole.DisplayRole:
            arrow = ("  ↓" if self.is_descending else "  ↑") if is_sorted else ""
            return HEADS[section] + arrow
        if role == Qt.ItemDataRole.AccessibleTextRole:
            way = "descending" if self.is_descending else "ascending"
            return f"{HEADS[section]}, sorted {way}" if is_sorted else HEADS[section]
        if role == Qt.ItemDataRole.TextAlignmentRole and section == MINTAGE:
            return _RIGHT
        return super().headerData(section, orientation, role)


class IssueTable(SheetTable):
    """The table; `shown` rows of all are on screen."""

    def __init__(self, parent: QWidget) -> None:
        self._issues = _IssueModel(HEADS, parent)
        super().__init__("Rows of the series", HEADS, WIDTHS, parent, texts=self._issues)
        self._rows: Sequence[IssueRow] = ()
        self._needs: dict[int, int] = {}
        self._words: Sequence[str] = ()
        self._kept = "all"
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAsNeeded)
        self.setHorizontalScrollMode(self.ScrollMode.ScrollPerPixel)
        head = self.horizontalHeader()
        head.setSectionsClickable(True)
        head.setToolTip("A click sorts; Alt+S sorts by the column of the current cell")
        head.sectionClicked.connect(self.sort_by)

    def show_issues(self, rows: Sequence[IssueRow]) -> None:
        """Another series, in its own order, by the filter as it is."""
        self._rows = rows
        self._issues.column, self._issues.is_descending = DATE, False
        self.setColumnHidden(KIND, not any(row.cells[KIND] for row in rows))
        for column in (MINT, DESIGN, COMPOSITION):
            self.setColumnHidden(column, len({row.cells[column] for row in rows}) < 2)
        self._needs = {column: self._need(column) for column, _most in _GROW}
        self._share_room()
        self._find()

    def show_kept(self, typed: str, kept: str) -> None:
        """Only rows that have these words, of one of FILTERS."""
        self._words, self._kept = typed.casefold().split(), kept
        self._find()

    def sort_by(self, column: int) -> None:
        """Sort by a column; by the same one again, the other way."""
        model = self._issues
        is_same = model.column == column
        model.is_descending = not model.is_descending if is_same else column == MINTAGE
        model.column = column
        self._find()
        self.selectionModel().setCurrentIndex(
            model.index(0, column), self.selectionModel().SelectionFlag.ClearAndSelect
            | self.selectionModel().SelectionFlag.Rows,
        )  # fmt: skip

    @property
    def shown(self) -> int:
        """How many rows are shown."""
        return len(self._issues.rows)

    @property
    def current_source(self) -> str:
        """What the current row rests on, in words; "" where there is none."""
        at = self.currentIndex().row()
        if not 0 <= at < self.shown:
            return ""
        cells = self._issues.rows[at]
        which = " ".join(text for text in (cells[DATE], cells[MINT], cells[KIND]) if text)
        rests = cells[RESTS_ON].lstrip("■◇◆ ")
        return f"{which}: {rests}, {cells[SOURCE]}"

    def _find(self) -> None:
        met = [row for row in self._rows if row.is_met_by(self._words, self._kept)]
        column = self._issues.column
        met.sort(key=_key(column), reverse=self._issues.is_descending)
        self.show_rows([row.cells for row in met])

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._share_room()

    def _need(self, column: int) -> int:
        """How many pixels the longest words of a column take."""
        metrics = self.fontMetrics()
        words = {row.cells[column] for row in self._rows}
        return max((metrics.horizontalAdvance(text) for text in words), default=0) + CELL_ROOM_PX

    def _share_room(self) -> None:
        """What room is left goes to the words that are cut first; the source takes the rest."""
        shown = [at for at in range(len(HEADS)) if not self.isColumnHidden(at)]
        room = self.viewport().width() - sum(WIDTHS[at] for at in shown)
        for column, most in _GROW:
            lacking = self._needs.get(column, 0) - WIDTHS[column]
            more = max(0, min(most, room, lacking)) if column in shown else 0
            self.setColumnWidth(column, WIDTHS[column] + more)
            room -= more

    def keyPressEvent(self, event: QKeyEvent) -> None:
        is_alt = event.modifiers() == Qt.KeyboardModifier.AltModifier
        if is_alt and event.key() == Qt.Key.Key_S and self.shown:
            self.sort_by(max(0, self.currentIndex().column()))
            return
        super().keyPressEvent(event)

    def keyboardSearch(self, search: str) -> None:
        """Typing finds a date."""
        for at, cells in enumerate(self._issues.rows):
            if cells[DATE].casefold().startswith(search.casefold()):
                self.setCurrentIndex(self._issues.index(at, max(0, self.currentIndex().column())))
                return


def _key(column: int) -> Callable[[IssueRow], tuple[object, ...]]:
    if column == DATE:
        return lambda row: (row.number,)
    if column == MINTAGE:
        return lambda row: (-1 if row.mintage is None else row.mintage, row.number)
    return lambda row: (row.cells[column].casefold(), row.number)
