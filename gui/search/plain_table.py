"""A table of texts: headed columns, numbers to the right; for figures behind pictures."""

import html
from collections.abc import Collection, Sequence

from PySide6.QtCore import (
    QAbstractTableModel,
    QEvent,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    Qt,
)
from PySide6.QtGui import QColor, QResizeEvent, QShowEvent
from PySide6.QtWidgets import QAbstractItemView, QFrame, QHeaderView, QTableView, QWidget

from gui.theme import current_palette

ROW_PX = 34
Index = QModelIndex | QPersistentModelIndex
_LEFT = int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
_RIGHT = int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)


class PlainModel(QAbstractTableModel):
    """Rows of texts under headings."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.heads: tuple[str, ...] = ()
        self.rows: tuple[tuple[str, ...], ...] = ()
        self._texts = 1
        self._quiet: Collection[int] = ()
        self._tips: Sequence[Sequence[str]] = ()

    def show(
        self,
        heads: Sequence[str],
        rows: Sequence[Sequence[str]],
        texts: int = 1,
        quiet: Collection[int] = (),
        tips: Sequence[Sequence[str]] = (),
    ) -> None:
        """Show these rows; the first `texts` columns are words, the others figures.

        Those whose places are `quiet` are greyed. `tips` are of the cells, "" for none; () for none
        at all.
        """
        self.beginResetModel()
        self.heads, self.rows = tuple(heads), tuple(map(tuple, rows))
        self._texts, self._quiet, self._tips = texts, quiet, tips
        self.endResetModel()

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 (as Qt has it)
        return 0 if parent.isValid() else len(self.rows)

    def columnCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 (as Qt has it)
        return 0 if parent.isValid() else len(self.heads)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole):
            return self.rows[index.row()][index.column()]
        if role in (Qt.ItemDataRole.ToolTipRole, Qt.ItemDataRole.AccessibleDescriptionRole):
            tip = self._tip(index, is_whole=role == Qt.ItemDataRole.ToolTipRole)
            return (html.escape(tip) if role == Qt.ItemDataRole.ToolTipRole else tip) or None
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return _LEFT if index.column() < self._texts else _RIGHT
        if role == Qt.ItemDataRole.ForegroundRole and index.row() in self._quiet:
            return QColor(current_palette().mute)
        return None

    def _tip(self, index: Index, is_whole: bool) -> str:
        """The tip of a cell; of words without one, which may be cut, all of them (`is_whole`)."""
        at, column = index.row(), index.column()
        tip = self._tips[at][column] if self._tips else ""
        if tip or not is_whole or column >= self._texts:
            return tip
        return self.rows[at][column]

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> object:
        if orientation is not Qt.Orientation.Horizontal:
            return None
        if role == Qt.ItemDataRole.DisplayRole and section < len(self.heads):
            return self.heads[section]
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return _LEFT if section < self._texts else _RIGHT
        return None


class PlainTable(QTableView):
    """Shows a `PlainModel` without a grid; the columns are as wide as they need."""

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.rows = PlainModel(self)
        self._texts = 1
        self._is_whole = False
        self._is_drawn = False
        self._least_px = 0
        self._needs: list[int] = []
        self.setModel(self.rows)
        self.setAccessibleName(name)
        self.setShowGrid(False)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        head = self.horizontalHeader()
        head.setHighlightSections(False)
        head.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        self.verticalHeader().hide()
        self.verticalHeader().setDefaultSectionSize(ROW_PX)
        self.setTabKeyNavigation(False)

    def show_rows(
        self,
        heads: Sequence[str],
        rows: Sequence[Sequence[str]],
        texts: int = 1,
        quiet: Collection[int] = (),
        tips: Sequence[Sequence[str]] = (),
    ) -> None:
        """Show these rows, the `quiet` ones greyed, with the `tips` of their cells."""
        self.rows.show(heads, rows, texts, quiet, tips)
        self._texts = texts
        self._measure()

    def _measure(self) -> None:
        """What each column needs; asked once for the same rows and letters, for it takes its time.

        Before it is shown the letters are not yet those that are drawn.
        """
        head = self.horizontalHeader()
        columns = range(self.rows.columnCount())
        self._needs = [max(self.sizeHintForColumn(at), head.sectionSizeHint(at)) for at in columns]
        self._fit()

    def _fit(self) -> None:
        """As wide as the contents need; what is over goes to the last column of words.

        What is wanting is taken from the first column, where `shorten_first` lets it.
        """
        head, needs = self.horizontalHeader(), list(self._needs)
        over = self.viewport().width() - sum(needs)
        if needs and over > 0:
            needs[self._texts - 1] += over
        elif needs and self._least_px and needs[0] + over >= self._least_px:
            needs[0] += over
        has_room = sum(needs) <= self.viewport().width()
        for at, px in enumerate(needs):
            head.resizeSection(at, px)
        if self._is_whole:
            bar = 0 if has_room else self.horizontalScrollBar().sizeHint().height()
            rows = self.rows.rowCount() * ROW_PX
            self.setFixedHeight(head.sizeHint().height() + rows + bar + 2)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        if not self._is_drawn:
            self._is_drawn = True
            self._measure()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange) and self._is_drawn:
            self._measure()

    def shorten_first(self, least_px: int) -> None:
        """Rather than scroll sideways cut long names of the first column, down to so many px."""
        self._least_px = least_px
        self._fit()

    def fit_height(self) -> None:
        """As high as all of its rows need, with nothing to scroll."""
        self._is_whole = True
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._fit()
