"""The album as an item model: what screen readers, the selection and tooltips ask."""

import html
from collections.abc import Mapping
from typing import Any

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QObject, QPersistentModelIndex, Qt

from core.arrange.plan import NO_CELL, LeafPlan, empty_plan, say
from gui.leaf.leaf_cells import Proposal

AnyIndex = QModelIndex | QPersistentModelIndex

_ROOT = QModelIndex()
_DISPLAY = Qt.ItemDataRole.DisplayRole
_TOOL_TIP = Qt.ItemDataRole.ToolTipRole
_ACCESSIBLE_TEXT = Qt.ItemDataRole.AccessibleTextRole
_ACCESSIBLE_DESCRIPTION = Qt.ItemDataRole.AccessibleDescriptionRole
_SPOKEN = frozenset({_DISPLAY, _ACCESSIBLE_TEXT})
_ANSWERED = frozenset({_DISPLAY, _ACCESSIBLE_TEXT, _TOOL_TIP, _ACCESSIBLE_DESCRIPTION})
_HORIZONTAL = Qt.Orientation.Horizontal
_NO_FLAGS = Qt.ItemFlag.NoItemFlags
_STANDABLE = Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemNeverHasChildren
_SLOT = _STANDABLE | Qt.ItemFlag.ItemIsSelectable


class LeafTableModel(QAbstractTableModel):
    """Rows and columns are the rows and places of all leaves in reading order.

    Everything is worked out from the plan's arrays when asked; nothing is kept a slot.
    """

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._plan = empty_plan()
        self._heads: tuple[str, ...] = ()
        self._proposals: Mapping[int, Proposal] = {}

    def set_plan(self, plan: LeafPlan) -> None:
        """Replace the album; views are reset."""
        self.beginResetModel()
        self._plan = plan
        self._proposals = {}
        self._heads = _common_heads(plan)
        self.endResetModel()

    def set_proposals(self, proposals: Mapping[int, Proposal]) -> None:
        """What Fill proposes, by cell: sentences tell it too."""
        touched = [*self._proposals, *proposals]
        self._proposals = proposals
        if touched:
            self.tell_changed(min(touched), max(touched))

    def tell_changed(self, first: int, last: int) -> None:
        """Tell views and screen readers that cells from first to last have changed."""
        top, bottom = self._plan.where(first)[0], self._plan.where(last)[0]
        left, right = 0, self._plan.max_columns - 1
        if first == last:
            left = right = self._plan.where(first)[1]
        self.dataChanged.emit(self.index(top, left), self.index(bottom, right))

    def index_of(self, cell: int) -> QModelIndex:
        """The index of a cell; an invalid one for no cell."""
        return QModelIndex() if cell < 0 else self.index(*self._plan.where(cell))

    def cell(self, index: AnyIndex) -> int:
        """The cell of an index, or NO_CELL."""
        return self._plan.cell_at(index.row(), index.column()) if index.isValid() else NO_CELL

    def rowCount(self, parent: AnyIndex = _ROOT) -> int:
        return 0 if parent.isValid() else self._plan.rows

    def columnCount(self, parent: AnyIndex = _ROOT) -> int:
        return 0 if parent.isValid() else self._plan.max_columns

    def flags(self, index: AnyIndex) -> Qt.ItemFlag:
        cell = self.cell(index)
        if cell < 0 or not self._plan.is_drawn(cell):
            return _NO_FLAGS
        return _SLOT if self._plan.is_slot(cell) else _STANDABLE

    def data(self, index: AnyIndex, role: int = _DISPLAY) -> Any:
        if role not in _ANSWERED or not index.isValid():
            return None
        cell = self.cell(index)
        if cell < 0 or not self._plan.is_drawn(cell):
            if role not in _SPOKEN:
                return None
            return self._plan.sentence(cell) if cell >= 0 else "no slot here"
        if role == _ACCESSIBLE_DESCRIPTION:
            return "Enter opens the slot" if self._plan.is_slot(cell) else ""
        sentence = self.sentence(cell)
        return html.escape(sentence) if role == _TOOL_TIP else sentence

    def sentence(self, cell: int) -> str:
        """What is said of a cell, with what is proposed for it."""
        sentence = self._plan.sentence(cell)
        if (proposal := self._proposals.get(cell)) is None:
            return sentence
        code, line_1, line_2 = proposal
        label = line_2 if self._plan.has_two_lines else line_1
        return f"{sentence}; proposed: {say('', code, label)}"

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = _DISPLAY) -> Any:
        if role not in _SPOKEN:
            return None
        if orientation == _HORIZONTAL:
            return self._heads[section] if section < len(self._heads) else f"place {section + 1}"
        return self._row_name(section) if 0 <= section < self._plan.rows else None

    def _row_name(self, row: int) -> str:
        plan = self._plan
        head = " ".join(part for part in (plan.row_head[row], plan.row_sub[row]) if part)
        leaf = plan.leaves[plan.row_leaf[row]]
        return head or f"{leaf.title}, row {row - leaf.first_row + 1}"


def _common_heads(plan: LeafPlan) -> tuple[str, ...]:
    """The column heads, where all leaves have the same."""
    heads = {leaf.heads for leaf in plan.leaves}
    return heads.pop() if len(heads) == 1 else ()
