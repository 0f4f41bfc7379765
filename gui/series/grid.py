"""A table of texts edited like a spreadsheet: type over, F2, Tab, copy, paste, fill down."""

import html
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

from PySide6.QtCore import (
    QAbstractTableModel,
    QEvent,
    QItemSelection,
    QItemSelectionModel,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    QPoint,
    QPointF,
    QRect,
    Qt,
    Signal,
)
from PySide6.QtGui import (
    QColor,
    QFocusEvent,
    QGuiApplication,
    QKeyEvent,
    QKeySequence,
    QPainter,
    QPolygonF,
)
from PySide6.QtWidgets import (
    QAbstractItemView,
    QCompleter,
    QHeaderView,
    QStyleOptionViewItem,
    QTableView,
    QWidget,
)

from core.errors import BadEntry
from gui.coins.cell_editor import CellEditor
from gui.coins.coin_table import CellRing
from gui.coins.paste import MOST_CHARS
from gui.series.tables import (
    Place,
    Row,
    Table,
    block_of,
    block_text,
    changed_span,
    cleared,
    filled_down,
    is_blank,
    laid,
    pasted,
    with_cells,
    with_row,
    without_rows,
)
from gui.theme import current_palette
from gui.widgets import make_menu

AnyIndex = QModelIndex | QPersistentModelIndex
_ROOT = QModelIndex()
_Role = Qt.ItemDataRole
_Select = QItemSelectionModel.SelectionFlag
_Key = Qt.Key
_ENTER = frozenset({_Key.Key_Return, _Key.Key_Enter})
_SHIFT = Qt.KeyboardModifier.ShiftModifier | Qt.KeyboardModifier.KeypadModifier
_LEFT = int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
_RIGHT = int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
_STAYS = (Qt.FocusReason.PopupFocusReason, Qt.FocusReason.ActiveWindowFocusReason)
ROW_PX, MARK_PX = 32, 9


@dataclass(frozen=True, slots=True)
class GridColumn:
    """A column: its name in the file, its head, how wide, what is said while one types there."""

    name: str
    title: str
    width_px: int
    hint: str = ""
    choices: tuple[str, ...] = ()
    is_number: bool = False


class GridModel(QAbstractTableModel):
    """The rows, then an empty one for the next; faults by row and column."""

    def __init__(self, columns: Sequence[GridColumn], parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.columns = tuple(columns)
        self.rows: Table = ()
        self.faults: Mapping[Place, str] = {}

    @property
    def width(self) -> int:
        """How many columns."""
        return len(self.columns)

    def show_rows(self, rows: Table) -> None:
        """Show other rows; those that are the same stay untouched."""
        start, gone, come = changed_span(self.rows, rows)
        kept = min(gone, come)
        if gone > come:
            self.beginRemoveRows(_ROOT, start + kept, start + gone - 1)
            self.rows = rows
            self.endRemoveRows()
        elif come > gone:
            self.beginInsertRows(_ROOT, start + kept, start + come - 1)
            self.rows = rows
            self.endInsertRows()
        else:
            self.rows = rows
        if kept:
            self.dataChanged.emit(
                self.index(start, 0), self.index(start + kept - 1, self.width - 1)
            )

    def show_faults(self, faults: Mapping[Place, str]) -> None:
        """Mark other cells."""
        if faults == self.faults:
            return
        touched = [at for at, _ in (*self.faults, *faults)]
        self.faults = faults
        last = self.index(min(max(touched), len(self.rows)), self.width - 1)
        self.dataChanged.emit(self.index(max(0, min(touched)), 0), last)

    def text(self, row: int, column: int) -> str:
        """What stands in a cell."""
        return self.rows[row][column] if 0 <= row < len(self.rows) else ""

    def rowCount(self, parent: AnyIndex = _ROOT) -> int:
        return 0 if parent.isValid() else len(self.rows) + 1

    def columnCount(self, parent: AnyIndex = _ROOT) -> int:
        return 0 if parent.isValid() else len(self.columns)

    def data(self, index: AnyIndex, role: int = _Role.DisplayRole) -> Any:
        if not index.isValid():
            return None
        column = self.columns[index.column()]
        match role:
            case _Role.DisplayRole:
                return self.text(index.row(), index.column())
            case _Role.TextAlignmentRole:
                return _RIGHT if column.is_number else _LEFT
            case _Role.ToolTipRole:
                text = self.text(index.row(), index.column())
                fault = self.faults.get((index.row(), index.column()), "")
                lines = [html.escape(line) for line in (text, fault) if line]
                return "<br>".join(lines) or None
            case _Role.AccessibleTextRole:
                return self._spoken(index.row(), index.column())
        return None

    def _spoken(self, row: int, column: int) -> str:
        name = self.columns[column].title
        if row == len(self.rows):
            return f"new row, {name}"
        fault = self.faults.get((row, column), "")
        told = f"row {row + 1}, {name}: {self.text(row, column) or 'empty'}"
        return f"{told}, faulty: {fault}" if fault else told

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = _Role.DisplayRole
    ) -> Any:
        if orientation == Qt.Orientation.Vertical:
            if role == _Role.TextAlignmentRole:
                return _RIGHT
            is_new = section == len(self.rows)
            return ("+" if is_new else str(section + 1)) if role == _Role.DisplayRole else None
        column = self.columns[section]
        if role == _Role.DisplayRole:
            return column.title
        if role == _Role.TextAlignmentRole:
            return _RIGHT if column.is_number else _LEFT
        if role == _Role.ToolTipRole:
            return html.escape(column.hint) or None
        return None


class _Cell(CellRing):
    """The ring of the cell that the keys act on, and a corner on a cell that is faulty."""

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: AnyIndex) -> None:
        super().paint(painter, option, index)
        model = index.model()
        if not isinstance(model, GridModel):
            return
        if (index.row(), index.column()) not in model.faults:
            return
        rect: QRect = option.rect
        right, top = rect.right() - 1, rect.top() + 1
        corner = [QPoint(right - MARK_PX, top), QPoint(right, top), QPoint(right, top + MARK_PX)]
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(current_palette().below))
        painter.drawPolygon(QPolygonF([QPointF(point) for point in corner]))
        line = QRect(rect.left() + 6, rect.bottom() - 3, rect.width() - 12, 2)
        painter.drawRect(line)
        painter.restore()


class Grid(QTableView):
    """The table; what one does to it is told as a new table, which its owner then shows."""

    edited = Signal(object, str)
    """The new Table, and what was done: “paste”."""
    said = Signal(str, bool)
    """A line worth showing, and whether it says what is wrong."""
    left = Signal(bool)
    """Tab or F6 went beyond the last cell (True), or before the first."""

    def __init__(self, name: str, columns: Sequence[GridColumn], parent: QWidget) -> None:
        super().__init__(parent)
        self.texts = GridModel(columns, self)
        self._choices = {c.name: c.choices for c in columns}
        self._cell: Place | None = None
        self._kept: tuple[int, int, int, int] | None = None
        self.setModel(self.texts)
        self.setAccessibleName(name)
        self.setShowGrid(False)
        self.setWordWrap(False)
        self.setTabKeyNavigation(False)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectItems)
        self.setSelectionMode(QAbstractItemView.SelectionMode.ContiguousSelection)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setItemDelegate(_Cell(self))
        self._build_heads(columns)
        self.editor = CellEditor(self.viewport())
        self.editor.given.connect(self._on_given)
        self.editor.left.connect(self.leave)
        self.editor.typed.connect(self._on_typed)
        self.editor.wandered.connect(self.take)
        self.doubleClicked.connect(lambda _index: self.begin())
        self.setContextMenuPolicy(Qt.ContextMenuPolicy.CustomContextMenu)
        self.customContextMenuRequested.connect(self.open_menu)
        for bar in (self.verticalScrollBar(), self.horizontalScrollBar()):
            bar.valueChanged.connect(lambda _value: self._follow())
        self.horizontalHeader().sectionResized.connect(lambda *_: self._follow())

    def _build_heads(self, columns: Sequence[GridColumn]) -> None:
        rows, head = self.verticalHeader(), self.horizontalHeader()
        rows.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        rows.setDefaultSectionSize(ROW_PX)
        rows.setHighlightSections(False)
        rows.setProperty("kind", "numbers")
        rows.setAccessibleName("Rows: a click chooses the whole row")
        head.setHighlightSections(False)
        head.setStretchLastSection(True)
        head.setMinimumSectionSize(40)
        for place, column in enumerate(columns):
            self.setColumnWidth(place, column.width_px)

    # ---- what is shown ------------------------------------------------------------------------

    def show_rows(self, rows: Table) -> None:
        """Show other rows; the cell that the keys act on stays where it is."""
        if rows is not self.texts.rows:
            self.texts.show_rows(rows)
            self._follow()
        if not self.currentIndex().isValid():
            self.selectionModel().setCurrentIndex(self.texts.index(0, 0), _Select.NoUpdate)
            self._kept = (0, 0, 0, 0)

    def show_faults(self, faults: Mapping[Place, str]) -> None:
        """Mark other cells as faulty."""
        self.texts.show_faults(faults)

    def show_choices(self, name: str, choices: Sequence[str]) -> None:
        """The words that a column takes."""
        self._choices[name] = tuple(choices)

    def go_to(self, row: int, column: int) -> None:
        """Make a cell the one that the keys act on."""
        self.take()
        row = max(0, min(row, len(self.texts.rows)))
        index = self.texts.index(row, max(0, column))
        self._kept = None
        self.selectionModel().setCurrentIndex(index, _Select.ClearAndSelect)
        self.scrollTo(index)

    @property
    def is_editing(self) -> bool:
        """Whether a cell is being typed in."""
        return self._cell is not None

    def _chosen(self) -> tuple[int, int, int, int]:
        """Top, left, bottom and right of the chosen cells."""
        parts = self.selectionModel().selection().toList()
        index = self.currentIndex()
        if not parts and self._kept is not None:
            return self._kept
        if not parts:
            row, column = max(0, index.row()), max(0, index.column())
            return row, column, row, column
        return (
            min(p.top() for p in parts), min(p.left() for p in parts),
            max(p.bottom() for p in parts), max(p.right() for p in parts),
        )  # fmt: skip

    def _choose(self, top: int, left: int, bottom: int, right: int) -> None:
        at, self._kept = self.texts.index, None
        self.selectionModel().setCurrentIndex(at(top, left), _Select.NoUpdate)
        self.selectionModel().select(
            QItemSelection(at(top, left), at(bottom, right)), _Select.ClearAndSelect
        )

    # ---- one cell -----------------------------------------------------------------------------

    def begin(self, typed: str = "") -> None:
        """Type in the current cell: all anew from `typed`, or what stands there."""
        index = self.currentIndex()
        if not index.isValid() or not self.take():
            return
        place = self._cell = index.row(), index.column()
        column = self.texts.columns[place[1]]
        self.scrollTo(index)
        name = f"{column.title}, row {place[0] + 1}"
        self.editor.begin(typed or self.texts.text(*place), name, False, bool(typed))
        choices = self._choices.get(column.name, ())
        completer = QCompleter(list(choices), self.editor) if choices else None
        if completer is not None:
            completer.setCompletionMode(QCompleter.CompletionMode.InlineCompletion)
            completer.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
        self.editor.line.setCompleter(completer)  # type: ignore[arg-type]  # None takes it off
        self._follow()
        self.editor.field.setFocus(Qt.FocusReason.OtherFocusReason)
        self._on_typed()

    def _follow(self) -> None:
        if self._cell is not None:
            self.editor.stand_on(self.visualRect(self.texts.index(*self._cell)))

    def _on_typed(self) -> None:
        if self._cell is None:
            return
        column = self.texts.columns[self._cell[1]]
        fault = self.texts.faults.get(self._cell, "")
        if fault and self.editor.text == self.texts.text(*self._cell):
            self.editor.say(fault, "fault")
            return
        choices = self._choices.get(column.name, ())
        told = ", ".join(choice for choice in choices if choice)
        self.editor.say(column.hint or (f"one of: {told}" if told else ""))

    def take(self) -> bool:
        """Put what is typed into its cell."""
        place, self._cell = self._cell, None
        if place is None:
            return True
        had_focus = self.editor.field.hasFocus()
        text = " ".join(self.editor.text.split())
        self.editor.close_editor()
        if had_focus:
            self.setFocus(Qt.FocusReason.OtherFocusReason)
        if text != self.texts.text(*place):
            self._give(with_cells(self.texts.rows, {place: text}, self.texts.width), "type")
        return True

    def leave(self) -> None:
        """Leave the cell as it was."""
        self._cell = None
        self.editor.close_editor()
        self.setFocus(Qt.FocusReason.OtherFocusReason)

    def _on_given(self, step: int) -> None:
        if self._cell is None:
            return
        row, column = self._cell
        self.take()
        if step:
            self._step(step)
        else:
            self.go_to(row + 1, column)

    def _give(self, rows: Table, what: str) -> None:
        if rows is not self.texts.rows:
            self.edited.emit(rows, what)

    # ---- many cells ---------------------------------------------------------------------------

    def copy(self) -> None:
        """The chosen cells, as a spreadsheet takes them."""
        top, left, bottom, right = self._chosen()
        bottom = min(bottom, len(self.texts.rows) - 1)
        if bottom < top:
            self.said.emit("There is nothing to copy in an empty row.", False)
            return
        QGuiApplication.clipboard().setText(block_text(self.texts.rows, top, left, bottom, right))
        cells = (bottom - top + 1) * (right - left + 1)
        self.said.emit("A cell is copied." if cells == 1 else f"{cells:,} cells are copied.", False)

    def paste(self) -> None:
        """What a spreadsheet gave, from the current cell on."""
        text = QGuiApplication.clipboard().text()
        if not text.strip():
            self.said.emit("There is no text on the clipboard.", False)
            return
        if len(text) > MOST_CHARS:
            self.said.emit("That is too much to paste. Save it as a file and import it.", True)
            return
        top, left, bottom, right = self._chosen()
        try:
            columns, block = self._block(text, left)
        except BadEntry as fault:
            self.said.emit(str(fault), True)
            return
        width = self.texts.width
        if len(block) == 1 and len(block[0]) == 1:
            self._give(pasted(self.texts.rows, (top, left), (bottom, right), block, width), "paste")
            return
        self._give(laid(self.texts.rows, top, columns, block, width), "paste")
        last = min(top + len(block), len(self.texts.rows)) - 1
        self._choose(top, min(columns), max(top, last), max(columns))

    def _block(self, text: str, left: int) -> tuple[Sequence[int], Table]:
        """The columns and cells that a pasted text means; a first line may name the columns.

        Raises BadEntry for what does not fit.
        """
        plain = block_of(text)
        if len(plain) == 1 and len(plain[0]) == 1:
            return (left,), plain
        from core.catalogue.draft import pasted as read_pasted

        names = [column.name for column in self.texts.columns]
        whole = read_pasted(text, names) if len(plain[0]) <= len(names) else None
        if whole is not None and len(whole.rows) < sum(not is_blank(row) for row in plain):
            found = whole
        else:
            found = read_pasted(text, names[left:])
        return [names.index(name) for name in found.columns], found.rows

    def clear(self) -> None:
        """Empty the chosen cells."""
        top, left, bottom, right = self._chosen()
        places = [(at, c) for at in range(top, bottom + 1) for c in range(left, right + 1)]
        self._give(cleared(self.texts.rows, places, self.texts.width), "clear")

    def fill_down(self) -> None:
        """The first chosen row into those below it; a single cell takes what stands above."""
        top, left, bottom, right = self._chosen()
        bottom = min(bottom, len(self.texts.rows) - 1) if bottom > top else bottom
        columns = range(left, right + 1)
        rows = filled_down(self.texts.rows, top, bottom, columns, self.texts.width)
        self._give(rows, "fill down")

    def insert_row(self) -> None:
        """An empty row above the current one."""
        at = min(max(0, self.currentIndex().row()), len(self.texts.rows))
        empty: Row = ("",) * self.texts.width
        self._give(with_row(self.texts.rows, at, empty), "insert a row")
        self.go_to(at, self.currentIndex().column())

    def delete_rows(self) -> None:
        """Take out the rows of the chosen cells."""
        top, left, bottom, _right = self._chosen()
        self._give(without_rows(self.texts.rows, range(top, bottom + 1)), "delete rows")
        self.go_to(top, left)

    # ---- keys ---------------------------------------------------------------------------------

    def _step(self, step: int) -> None:
        """On to the next cell, or the one before; beyond the table the focus leaves it."""
        index, width = self.currentIndex(), self.texts.width
        at = index.row() * width + index.column() + step
        if 0 <= at < (len(self.texts.rows) + 1) * width:
            self.go_to(at // width, at % width)
        else:
            self.left.emit(step > 0)

    def offer_choices(self) -> None:
        """A menu of the words that the current column takes."""
        index = self.currentIndex()
        choices = self._choices.get(self.texts.columns[max(0, index.column())].name, ())
        if not choices or not index.isValid() or not self.take():
            return
        menu = make_menu(self)
        for choice in choices:
            action = menu.addAction((choice or "(none)").replace("&", "&&"))
            action.triggered.connect(partial(self._put_choice, choice))
        below = self.visualRect(index).bottomLeft()
        menu.aboutToHide.connect(menu.deleteLater)
        menu.popup(self.viewport().mapToGlobal(below))

    def open_menu(self, where: QPoint) -> None:
        """All that can be done with the chosen cells, with the keys that do it."""
        index = self.indexAt(where)
        if index.isValid() and not self.selectionModel().isSelected(index):
            self.go_to(index.row(), index.column())
        menu = make_menu(self)
        column = self.texts.columns[max(0, self.currentIndex().column())]
        has_choices = bool(self._choices.get(column.name))
        for text, key, act in (
            ("Edit the cell", "F2", self.begin),
            *((("Pick a word", "Alt+Down", self.offer_choices),) * has_choices),
            ("", "", None),
            ("Copy", "Ctrl+C", self.copy),
            ("Paste", "Ctrl+V", self.paste),
            ("Fill down", "Ctrl+D", self.fill_down),
            ("Empty", "Del", self.clear),
            ("", "", None),
            ("Insert a row", "Ins", self.insert_row),
            ("Delete the rows", "Ctrl+Del", self.delete_rows),
        ):
            if act is None:
                menu.addSeparator()
            else:
                menu.addAction(f"{text}\t{key}").triggered.connect(lambda _on=False, act=act: act())
        menu.aboutToHide.connect(menu.deleteLater)
        menu.popup(self.viewport().mapToGlobal(where))

    def _put_choice(self, choice: str, _is_checked: bool = False) -> None:
        top, left, bottom, right = self._chosen()
        cells = {(at, c): choice for at in range(top, bottom + 1) for c in range(left, right + 1)}
        self._give(with_cells(self.texts.rows, cells, self.texts.width), "type")

    def event(self, event: QEvent) -> bool:
        is_ours = isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress
        if is_ours and isinstance(event, QKeyEvent) and self._on_tab(event):
            return True
        return super().event(event)

    def _on_tab(self, event: QKeyEvent) -> bool:
        if event.modifiers() & ~_SHIFT or event.key() not in (_Key.Key_Tab, _Key.Key_Backtab):
            return False
        self._step(1 if event.key() == _Key.Key_Tab else -1)
        return True

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key, held = event.key(), event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier
        is_typed = not event.modifiers() & ~_SHIFT and event.text().isprintable()
        control, alt = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.AltModifier
        matches = event.matches
        if key in (*_ENTER, _Key.Key_F2) and not held:
            self.begin()
        elif key in (_Key.Key_Delete, _Key.Key_Backspace) and not held:
            self.clear()
        elif key == _Key.Key_Delete and held == control:
            self.delete_rows()
        elif key == _Key.Key_Insert and not held:
            self.insert_row()
        elif matches(QKeySequence.StandardKey.Copy):
            self.copy()
        elif matches(QKeySequence.StandardKey.Cut):
            self.copy()
            self.clear()
        elif matches(QKeySequence.StandardKey.Paste):
            self.paste()
        elif key == _Key.Key_D and held == control:
            self.fill_down()
        elif key == _Key.Key_Down and held == alt:
            self.offer_choices()
        elif is_typed and event.text().strip():
            self.begin(event.text())
        else:
            super().keyPressEvent(event)

    def keyboardSearch(self, search: str) -> None:
        """Typing edits a cell."""

    def focusInEvent(self, event: QFocusEvent) -> None:
        kept, self._kept = self._kept, None
        if kept is not None and not self.selectionModel().hasSelection():
            last = len(self.texts.rows)
            top, left, bottom, right = kept
            self._choose(min(top, last), left, min(bottom, last), right)
        super().focusInEvent(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Cells are shown as chosen only where the keys are; which they were is kept."""
        super().focusOutEvent(event)
        if event.reason() not in _STAYS and not self.is_editing:
            self._kept = self._chosen()
            self.clearSelection()
