"""A table to read: rows of texts under heads, whole rows selected and copied."""

import html
from collections.abc import Sequence
from typing import Any

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, Qt
from PySide6.QtGui import QGuiApplication, QKeyEvent, QKeySequence
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QTableView, QWidget

LINE_PX = 34
TWO_LINES_PX = 48
_TOP = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
_Index = QModelIndex | QPersistentModelIndex
_NOWHERE = QModelIndex()


class SheetModel(QAbstractTableModel):
    """Rows of texts; `show_rows` puts others in."""

    def __init__(self, heads: Sequence[str], parent: QWidget) -> None:
        super().__init__(parent)
        self._heads = tuple(heads)
        self.rows: Sequence[Sequence[str]] = ()

    def show_rows(self, rows: Sequence[Sequence[str]]) -> None:
        """Show other rows."""
        self.beginResetModel()
        self.rows = rows
        self.endResetModel()

    def rowCount(self, parent: _Index = _NOWHERE) -> int:
        return 0 if parent.isValid() else len(self.rows)

    def columnCount(self, parent: _Index = _NOWHERE) -> int:
        return 0 if parent.isValid() else len(self._heads)

    def data(self, index: _Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        if not index.isValid():
            return None
        text = self.rows[index.row()][index.column()]
        match role:
            case Qt.ItemDataRole.DisplayRole:
                return " ".join(text.split())
            case Qt.ItemDataRole.ToolTipRole:
                return html.escape(text)
            case Qt.ItemDataRole.AccessibleTextRole:
                return f"{self._heads[index.column()]}: {text or 'empty'}"
            case Qt.ItemDataRole.TextAlignmentRole:
                return _TOP
        return None

    def headerData(
        self,
        section: int,
        orientation: Qt.Orientation,
        role: int = Qt.ItemDataRole.DisplayRole,
    ) -> Any:
        if orientation is Qt.Orientation.Horizontal and role == Qt.ItemDataRole.DisplayRole:
            return self._heads[section]
        if orientation is Qt.Orientation.Horizontal and role == Qt.ItemDataRole.TextAlignmentRole:
            return _TOP
        return None


class SheetTable(QTableView):
    """The table; `widths` in logical px, the last column takes what is left.

    `wraps`: rows are two lines high, for sentences.
    """

    def __init__(
        self,
        name: str,
        heads: Sequence[str],
        widths: Sequence[int],
        parent: QWidget,
        wraps: bool = False,
        texts: SheetModel | None = None,
    ) -> None:
        super().__init__(parent)
        self.texts = texts or SheetModel(heads, self)
        self.setModel(self.texts)
        self.setAccessibleName(name)
        self.setShowGrid(False)
        self.setWordWrap(wraps)
        self.setTabKeyNavigation(False)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        rows, head = self.verticalHeader(), self.horizontalHeader()
        rows.hide()
        rows.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        rows.setDefaultSectionSize(TWO_LINES_PX if wraps else LINE_PX)
        head.setHighlightSections(False)
        head.setSectionsClickable(False)
        head.setStretchLastSection(True)
        for place, width in enumerate(widths):
            self.setColumnWidth(place, width)

    def show_rows(self, rows: Sequence[Sequence[str]]) -> None:
        """Show other rows, from the first."""
        self.texts.show_rows(rows)
        self.scrollToTop()
        if rows:
            self.setCurrentIndex(self.texts.index(0, 0))

    def chosen_text(self) -> str:
        """The chosen rows as lines with tabs."""
        chosen = sorted(index.row() for index in self.selectionModel().selectedRows())
        return "\n".join("\t".join(self.texts.rows[at]) for at in chosen)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.matches(QKeySequence.StandardKey.Copy):
            QGuiApplication.clipboard().setText(self.chosen_text())
            return
        super().keyPressEvent(event)
