"""Editing cells in place: begins, reads what is typed, orders the change, or says what is wrong."""

from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtCore import QObject, Qt, Signal

from core.app.views import CoinRow
from core.errors import BadEntry, CollectionError
from core.model.coin import CoinId
from gui.coins.cell_editor import CellEditor
from gui.coins.cells import FIXED, HINTS, KnownSeries, read_cell, reading_of, start_text
from gui.coins.coin_table import CoinTableView
from gui.coins.rows import Column
from gui.desk import Desk


@dataclass(frozen=True, slots=True)
class _Cell:
    """The cell being edited, with the row as it was when that began."""

    row: CoinRow
    column: Column
    text: str

    @property
    def coin(self) -> CoinId:
        return self.row.coin.id

    @property
    def key(self) -> tuple[CoinId, Column]:
        return self.row.coin.id, self.column


class CellEditing(QObject):
    """One editor for the whole table; each text taken is one operation, so one undo."""

    said = Signal(str)
    """Why a cell is not typed in, or "" to say nothing any more."""

    def __init__(self, desk: Desk, table: CoinTableView) -> None:
        super().__init__(table)
        self._desk, self._table = desk, table
        self._known = KnownSeries()
        self._cell: _Cell | None = None
        self._sent: dict[tuple[CoinId, Column], str] = {}
        """Texts on their way into the collection, of which the rows do not tell yet."""
        self.editor = CellEditor(table.viewport())
        self.editor.given.connect(self.take)
        self.editor.left.connect(self.leave)
        self.editor.typed.connect(self._on_typed)
        self.editor.wandered.connect(self._on_wandered)
        for bar in (table.verticalScrollBar(), table.horizontalScrollBar()):
            bar.valueChanged.connect(lambda _value: self.follow())
        head = table.horizontalHeader()
        head.sectionResized.connect(lambda *_: self.follow())
        head.sectionMoved.connect(lambda *_: self.follow())

    def show_series(self, known: KnownSeries) -> None:
        """The rows were read anew; the series that entries are read against."""
        self._known = known
        self._sent.clear()

    @property
    def is_open(self) -> bool:
        """Whether a cell is being edited."""
        return self._cell is not None

    # --- beginning

    def begin(self, row: CoinRow, column: Column, typed: str = "") -> bool:
        """Edit a cell; False, and said why, where its column is not typed in."""
        if column in FIXED:
            self.said.emit(FIXED[column])
            return False
        if self._desk.is_read_only or not self._known.has(row.coin):
            return False
        if self.is_open and not self.take(0):
            return False
        self.said.emit("")
        text = self._sent.get((row.coin.id, column))
        if text is None:
            text = start_text(row, column, self._known.of(row.coin))
        self._cell = _Cell(row, column, text)
        rect = self._table.cell_rect(row.coin.id, column)
        if rect is None:
            self._cell = None
            return False
        self._table.scrollTo(self._table.currentIndex())
        name = f"{column.value} of coin {row.coin.id}"
        self.editor.begin(typed or text, name, column is Column.NOTE, bool(typed))
        self.follow()
        self.editor.field.setFocus(Qt.FocusReason.OtherFocusReason)
        self._on_typed()
        return True

    def follow(self) -> None:
        """Stay on the cell when the rows scroll, sort or are read anew."""
        if self._cell is None:
            return
        rect = self._table.cell_rect(self._cell.coin, self._cell.column)
        self.editor.stand_on(rect if rect is not None else self.editor.geometry())

    # --- typing

    def _on_typed(self) -> None:
        """A hint while nothing is wrong; how a coin reads while it is typed."""
        if self._cell is None:
            return
        column, text = self._cell.column, self.editor.text
        if column is Column.COIN and text.strip() and text != self._cell.text:
            try:
                self.editor.say(reading_of(text, self._cell.row.coin, self._known), "accent")
            except BadEntry as fault:
                self.editor.say(str(fault), "fault")
            return
        if not self.editor.fault or self._reads(text):
            self.editor.say(HINTS.get(column, ""))

    def _reads(self, text: str) -> bool:
        assert self._cell is not None
        try:
            read_cell(text, self._cell.column, self._cell.row.coin, self._known)
        except BadEntry:
            return False
        return True

    # --- taking and leaving

    def take(self, step: int = 0) -> bool:
        """Order what is typed and go on; False where it cannot be read: it stays, and says why.

        The keys are free at once. Should the collection refuse, the text comes back to its cell.
        """
        cell = self._cell
        if cell is None:
            return True
        text = self.editor.text
        if text == cell.text:
            self._finish(step)
            return True
        try:
            change = read_cell(text, cell.column, cell.row.coin, self._known)
        except BadEntry as fault:
            self.editor.say(str(fault), "fault")
            return False
        is_known = cell.key not in self._sent
        self._finish(0)
        if not is_known or change.of(cell.row.coin) != cell.row.coin:
            from core.app.operations_coins import change_coins

            self._sent[cell.key] = text
            self._desk.run(change_coins([cell.coin], change), failed=self._come_back(cell, text))
        if step and not self.is_open:
            self._go_on(cell, step)
        return True

    def _come_back(self, cell: _Cell, text: str) -> Callable[[Exception], None]:
        """What to do where the collection refuses: open the cell again, with the text."""

        def refused(error: Exception) -> None:
            self._sent.pop(cell.key, None)
            if not isinstance(error, CollectionError):
                self._desk.show_failure(error)
                return
            is_idle = self._cell is None or self.editor.text == self._cell.text
            if is_idle and self._table.cell_rect(cell.coin, cell.column) is not None:
                self.leave()
                self._table.choose({cell.coin}, cell.coin, cell.column)
                if self.begin(cell.row, cell.column, text):
                    self.editor.say(str(error), "fault")
                    return
            what = f"Coin {cell.coin} keeps its {cell.column.value}, not “{text}”"
            self._desk.failed.emit(f"{what}. {error}")

        return refused

    def leave(self) -> None:
        """Leave the cell as it was."""
        self._finish(0)

    def drop(self) -> None:
        """Another collection: what was typed here has no coin any more."""
        self._cell = None
        self._sent.clear()
        self.editor.close_editor()

    def _finish(self, step: int) -> None:
        cell, self._cell = self._cell, None
        had_focus = self.editor.field.hasFocus()
        self.editor.close_editor()
        if had_focus:
            self._table.setFocus(Qt.FocusReason.OtherFocusReason)
        if cell is not None and step:
            self._go_on(cell, step)

    def _go_on(self, cell: _Cell, step: int) -> None:
        """On to the next cell that is typed in, in the same row."""
        columns = [c for c in self._table.visible_columns() if c not in FIXED]
        at = columns.index(cell.column) + step if cell.column in columns else -1
        row = self._table.current_row()
        if row is None or row.coin.id != cell.coin or not 0 <= at < len(columns):
            return
        self._table.choose({cell.coin}, cell.coin, columns[at])
        self.begin(row, columns[at])

    def _on_wandered(self) -> None:
        """A click elsewhere takes what can be read; what cannot stays where it is."""
        if self._cell is not None:
            self.take(0)
