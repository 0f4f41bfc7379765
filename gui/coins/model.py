"""The coins table as an item model over the rows that are shown."""

import html
from collections.abc import Sequence
from typing import Any

from PySide6.QtCore import (
    QAbstractTableModel,
    QMimeData,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    Qt,
)
from PySide6.QtGui import QColor

from core.app.finding import Gain, SlotFinds
from core.app.views import CoinRow
from core.glyph.codes import GlyphCode
from core.model.coin import CoinId, CoinStatus
from gui.coins.cells import FIXED
from gui.coins.rows import COLUMNS, CoinTable, Column, Part, text_of
from gui.leaf.leaf_drag import COINS_MIME, coin_data
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
_ON_THE_RIGHT = frozenset({Column.NUMBER, Column.QUANTITY, Column.PAID, Column.WEIGHT})
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
        self.finds: SlotFinds | None = None
        """Where set, only the coins found for a slot are shown, and what they gain there."""
        self._ranks: dict[CoinId, int] = {}

    def show_table(self, table: CoinTable, finds: SlotFinds | None = None) -> None:
        """Other rows, in the order and with the filter as they are; or those found for a slot."""
        self.beginResetModel()
        self.table, self.finds = table, finds
        found = finds.coins if finds is not None else ()
        self._ranks = {coin.coin: rank for rank, coin in enumerate(found)}
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
        is_by_gain = self.column is Column.GAIN
        by = Column.NUMBER if is_by_gain else self.column
        order = self.table.shown(self.typed, self.part, by, self.is_descending)
        if self.finds is not None:
            ranks, rows = self._ranks, self.table.rows
            order = [at for at in order if rows[at].coin.id in ranks]
            if is_by_gain:
                order.sort(key=lambda at: ranks[rows[at].coin.id], reverse=self.is_descending)
        self.order = order

    def coin_row(self, place: int) -> CoinRow:
        """The row shown at a place."""
        return self.table.rows[self.order[place]]

    def place_of(self, coin: CoinId) -> int:
        """Where a coin is shown, -1 for nowhere."""
        return next(iter(self.places_of({coin})), -1)

    def places_of(self, coins: set[CoinId]) -> list[int]:
        """Where these coins are shown, in order."""
        return self.places_at(set(self.table.at_of(coins)))

    def places_at(self, sought: set[int]) -> list[int]:
        """Where rows are shown, in order, by their places among all rows of the table."""
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
            return self.cell_text(row, column)
        if role == _ALIGNMENT:
            return _RIGHT if column in _ON_THE_RIGHT else _LEFT
        if role == _FOREGROUND:
            return self._colour(row, column)
        if role == _DECORATION:
            return self._flag(row, column)
        return self._words(row, column, role)

    def cell_text(self, row: CoinRow, column: Column) -> str:
        """What a cell shows."""
        if column is not Column.GAIN:
            return self.table.cell_text(row, column)
        rank = self._ranks.get(row.coin.id)
        return "" if self.finds is None or rank is None else self.finds.coins[rank].text

    def gain_of(self, coin: CoinId) -> Gain | None:
        """What a coin would gain in the slot sought for, None where none is."""
        rank = self._ranks.get(coin)
        return None if self.finds is None or rank is None else self.finds.coins[rank].gain

    def _colour(self, row: CoinRow, column: Column) -> QColor | None:
        if column is Column.GAIN:
            is_better = self.gain_of(row.coin.id) in (Gain.GAP, Gain.UPGRADE)
            palette = current_palette()
            return QColor(palette.accent if is_better else palette.mute)
        is_gone = row.coin.status is CoinStatus.GONE
        is_mute = column not in (Column.COIN, Column.GRADE)
        return QColor(current_palette().mute) if is_gone or is_mute else None

    @staticmethod
    def _flag(row: CoinRow, column: Column) -> Any:
        if column is not Column.COIN or not row.coin.is_flagged:
            return None
        from gui.paint import glyph_icon

        return glyph_icon(int(GlyphCode.TO_VERIFY), FLAG_PX, current_palette())

    def _words(self, row: CoinRow, column: Column, role: int) -> str | None:
        text = self.cell_text(row, column) if column is Column.GAIN else text_of(row, column)
        if column is Column.COIN:
            flag = ", to verify" if row.coin.is_flagged else ""
            text = f"{text}, {row.series_title}{flag}"
        if role == _TOOL_TIP:
            lines = [line for line in (text, FIXED.get(column, "")) if line]
            return "<br>".join(map(html.escape, lines)) if lines else None
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
            return _RIGHT if column in _ON_THE_RIGHT else _LEFT
        return None

    # --- dragging

    def flags(self, index: AnyIndex) -> Qt.ItemFlag:
        plain = Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable
        if not index.isValid() or index.row() >= len(self.order):
            return Qt.ItemFlag.NoItemFlags
        is_held = self.coin_row(index.row()).coin.status is CoinStatus.HELD
        return plain | Qt.ItemFlag.ItemIsDragEnabled if is_held else plain

    def supportedDragActions(self) -> Qt.DropAction:
        return Qt.DropAction.MoveAction

    def mimeTypes(self) -> list[str]:
        return [COINS_MIME]

    def mimeData(self, indexes: Sequence[QModelIndex]) -> QMimeData:
        places = dict.fromkeys(index.row() for index in indexes if index.isValid())
        return coin_data([int(self.coin_row(place).coin.id) for place in places])
