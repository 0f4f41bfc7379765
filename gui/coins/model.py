"""The coins table as an item model over the rows that are shown."""

import html
from typing import Any

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QObject, QPersistentModelIndex, Qt
from PySide6.QtGui import QColor

from core.app.views import CoinRow
from core.glyph.codes import GlyphCode
from core.model.coin import CoinId, CoinStatus
from gui.coins.rows import COLUMNS, CoinTable, Column, Part, text_of
from gui.theme import current_palette

AnyIndex = QModelIndex | QPersistentModelIndex
_ROOT = QModelIndex()
_Role = Qt.ItemDataRole
_DISPLAY, _ALIGNMENT, _FOREGROUND = _Role.DisplayRole, _Role.TextAlignmentRole, _Role.ForegroundRole
_DECORATION, _TOOL_TIP, _ACCESSIBLE = (
    _Role.DecorationRole,
    _Role.ToolTipRole,
    _Role.AccessibleTextRole,
)
_ANSWERED = frozenset({_DISPLAY, _ALIGNMENT, _FOREGROUND, _DECORATION, _TOOL_TIP, _ACCESSIBLE})
_RIGHT = int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
_LEFT = int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
_HORIZONTAL = Qt.Orientation.Horizontal
FLAG_PX = 14
FEW = 8


class CoinModel(QAbstractTableModel):
    """Shows a `CoinTable` in an order; cells are told when asked, nothing is kept a cell."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.table = CoinTable(())
        self.order: list[int] = []
        self.typed, self.part = "", Part.ALL
        self.column, self.is_descending = Column.NUMBER, True

    def show_table(self, table: CoinTable) -> None:
        """Other rows, in the order and with the filter as they are."""
        self.beginResetModel()
        self.table = table
        self._find()
        self.endResetModel()

    def show_part(self, typed: str, part: Part) -> None:
        """Show only rows of a part that meet every word typed."""
        if (typed, part) == (self.typed, self.part):
            return
        self.beginResetModel()
        self.typed, self.part = typed, part
        self._find()
        self.endResetModel()

    def order_by(self, column: Column, is_descending: bool) -> None:
        """Sort; the view's own `sort` ends here too."""
        if (column, is_descending) == (self.column, self.is_descending):
            return
        self.beginResetModel()
        self.column, self.is_descending = column, is_descending
        self._find()
        self.endResetModel()

    def _find(self) -> None:
        self.order = self.table.shown(self.typed, self.part, self.column, self.is_descending)

    def coin_row(self, place: int) -> CoinRow:
        """The row shown at a place."""
        return self.table.rows[self.order[place]]

    def place_of(self, coin: CoinId) -> int:
        """Where a coin is shown, -1 for nowhere."""
        return next(iter(self.places_of({coin})), -1)

    def places_of(self, coins: set[CoinId]) -> list[int]:
        """Where these coins are shown, in order."""
        sought = set(self.table.at_of(coins))
        if len(sought) > FEW:
            return [place for place, at in enumerate(self.order) if at in sought]
        places = []
        for at in sought:
            try:
                places.append(self.order.index(at))
            except ValueError:
                continue  # the filter hides it
        return sorted(places)

    def rowCount(self, parent: AnyIndex = _ROOT) -> int:
        return 0 if parent.isValid() else len(self.order)

    def columnCount(self, parent: AnyIndex = _ROOT) -> int:
        return 0 if parent.isValid() else len(COLUMNS)

    def data(self, index: AnyIndex, role: int = _DISPLAY) -> Any:
        if role not in _ANSWERED or not index.isValid() or index.row() >= len(self.order):
            return None
        row, column = self.coin_row(index.row()), COLUMNS[index.column()]
        if role == _DISPLAY:
            return self.table.cell_text(row, column)
        if role == _ALIGNMENT:
            return _RIGHT if column is Column.NUMBER else _LEFT
        if role == _FOREGROUND:
            return self._colour(row, column)
        if role == _DECORATION:
            return self._flag(row, column)
        return self._words(row, column, role)

    @staticmethod
    def _colour(row: CoinRow, column: Column) -> QColor | None:
        is_gone = row.coin.status is CoinStatus.GONE
        is_mute = column not in (Column.COIN, Column.GRADE)
        return QColor(current_palette().mute) if is_gone or is_mute else None

    @staticmethod
    def _flag(row: CoinRow, column: Column) -> Any:
        if column is not Column.COIN or not row.coin.is_flagged:
            return None
        from gui.paint import glyph_icon

        return glyph_icon(int(GlyphCode.TO_VERIFY), FLAG_PX, current_palette())

    @staticmethod
    def _words(row: CoinRow, column: Column, role: int) -> str | None:
        text = text_of(row, column)
        if column is Column.COIN:
            flag = ", to verify" if row.coin.is_flagged else ""
            text = f"{text}, {row.series_title}{flag}"
        if role == _TOOL_TIP:
            return html.escape(text) if text else None
        return text or f"no {column.value}"

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = _DISPLAY) -> Any:
        if orientation != _HORIZONTAL:
            return None
        column = COLUMNS[section]
        if role == _DISPLAY:
            arrow = ("  ↓" if self.is_descending else "  ↑") if column is self.column else ""
            return column.value + arrow
        if role == _ACCESSIBLE:
            way = "descending" if self.is_descending else "ascending"
            return f"{column.value}, sorted {way}" if column is self.column else column.value
        if role == _ALIGNMENT:
            return _RIGHT if column is Column.NUMBER else _LEFT
        return None
