"""Coins: an entry line, filters, the table of every coin, and the form of one."""

from typing import TYPE_CHECKING

from PySide6.QtCore import QPoint, Qt, Signal
from PySide6.QtGui import QKeyEvent, QKeySequence, QResizeEvent, QShortcut, QShowEvent
from PySide6.QtWidgets import QStackedWidget, QWidget

from core.app.changes import Changes
from core.app.views import CoinRow
from core.app.work import Progress
from core.errors import CollectionError
from core.model.album import SlotId
from core.model.coin import Coin, CoinId
from core.model.issue import Series, SeriesId
from gui.coins.bar import CoinsBar, CoinsHead
from gui.coins.cells import FIXED, KnownSeries
from gui.coins.coin_table import CoinTableView
from gui.coins.columns import layout_text, read_layout
from gui.coins.editing import CellEditing
from gui.coins.entry_line import EntryLine
from gui.coins.foot import CoinsFoot
from gui.coins.form import CoinForm
from gui.coins.model import CoinModel
from gui.coins.orders import CoinOrders
from gui.coins.reader import CoinsReader
from gui.coins.reading import Read
from gui.coins.rows import CoinTable, Column, Part
from gui.desk import Desk
from gui.settings import Settings
from gui.theme import XL, L, M
from gui.widgets import EmptyState, column, make_menu, row
from gui.work import Job

if TYPE_CHECKING:
    from gui.coins.columns import Layout

SORTS_AT_ONCE = 5000
"""Fewer rows are sorted within a moment; more are sorted off the screen."""
NO_COINS = (
    "No coins yet",
    "Type what you hold in the line above, such as 1943-D vf20, and press Enter. "
    "Paste rows of a spreadsheet (Ctrl+V), or stock an album: its coins come with it.",
    "Add a coin",
    "Ins",
)
NOT_READ = ("The coins were not read", "You stopped the reading.", "Read them", "F5")


class CoinsWorkspace(QWidget):
    """Keeps a real collection: add, find, edit, place and let go of coins."""

    slot_asked = Signal(int, int)
    """Show this album (its id) at this slot (its id)."""

    def __init__(
        self, desk: Desk, settings: Settings | None = None, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setProperty("kind", "paper")
        self._desk, self._settings = desk, settings
        self._series: dict[SeriesId, Series] = {}
        self._sorting: Job | None = None
        self._sort_to = Column.NUMBER, True
        self._wanted: CoinId | None = None
        self._sorted_before = Column.NUMBER, True
        self._build()
        desk.changed.connect(self._on_changed)
        desk.opened.connect(self._on_opened)
        desk.labels_changed.connect(self._allow)
        self.setFocusProxy(self.entry.field)

    # --- building

    def _build(self) -> None:
        self.model = CoinModel(self)
        self.reader = CoinsReader(self._desk, self.model, self)
        self.reader.arrived.connect(self._show_read)
        self.reader.stopped.connect(self._on_stopped)
        outer = row(self, (XL, XL, XL, L), L)
        left = column(spacing=M)
        self.head = CoinsHead(self)
        self.filter = self.head.filter
        self.filter.textChanged.connect(self._on_filter)
        left.addWidget(self.head)
        self.entry = EntryLine(self)
        self.entry.add_asked.connect(self._on_add)
        self.entry.left_down.connect(self._to_table)
        self.entry.rows_pasted.connect(self.paste)
        left.addWidget(self.entry)
        self.bar = CoinsBar(self)
        self.chips, self.sort = self.bar.chips, self.bar.sort
        self.bar.part_chosen.connect(self._on_filter)
        self.bar.sort_chosen.connect(self._on_sort)
        self.bar.columns_asked.connect(self.choose_columns)
        self.bar.paste.clicked.connect(self.paste)
        self.bar.slot_left.connect(self.leave_slot)
        left.addWidget(self.bar)
        left.addWidget(self._build_pages(), 1)
        self.foot = CoinsFoot(self)
        left.addWidget(self.foot)
        outer.addLayout(left, 1)
        self._outer = outer
        self._form: CoinForm | None = None
        self.orders = CoinOrders(self._desk, self)
        self.editing = CellEditing(self._desk, self.table)
        self.editing.said.connect(self.foot.say)
        self._connect_foot()
        self._build_keys()

    @property
    def form(self) -> CoinForm:
        """The form of one coin, made when it is first needed: it has many parts."""
        if self._form is None:
            form = self._form = CoinForm(self)
            form.hide()
            form.saved.connect(self._on_saved)
            form.left.connect(self.close_form)
            self._outer.addWidget(form)
        return self._form

    @property
    def is_form_open(self) -> bool:
        """Whether a coin's form is shown."""
        return self._form is not None and self._form.isVisible()

    def _build_pages(self) -> QWidget:
        self.pages = QStackedWidget(self)
        table = self.table = CoinTableView(self.model, self)
        if self._settings is not None:
            table.show_layout(read_layout(self._settings.coin_columns))
        table.enter_pressed.connect(self._on_enter)
        table.double_clicked.connect(self._on_double_click)
        table.edit_asked.connect(self._edit_cell)
        table.letter_typed.connect(self._on_letter)
        table.let_go_asked.connect(self.let_go)
        table.up_asked.connect(self._to_entry)
        table.sort_clicked.connect(self._on_sort)
        table.layout_changed.connect(self._keep_layout)
        table.columns_asked.connect(self.choose_columns)
        table.copy_asked.connect(self.copy)
        table.paste_asked.connect(self.paste)
        table.customContextMenuRequested.connect(self._on_menu)
        table.selectionModel().selectionChanged.connect(lambda *_: self._allow())
        table.cell_changed.connect(lambda: self.foot.say(""))
        self.pages.addWidget(table)
        self.empty = EmptyState("Reading the coins …", "", parent=self)
        self.empty.acted.connect(self._on_empty_acted)
        self.pages.addWidget(self.empty)
        self.pages.setCurrentIndex(1)
        return self.pages

    def _connect_foot(self) -> None:
        foot = self.foot
        self.edit_button, self.put_button = foot.edit_button, foot.put_button
        self.go_button = foot.go_button
        foot.edit_button.clicked.connect(self.edit)
        foot.put_button.clicked.connect(self.ask_places)
        foot.go_button.clicked.connect(self.let_go)
        foot.slot_button.clicked.connect(self.put_into_slot)

    def _build_keys(self) -> None:
        for keys, act in (
            ("Ctrl+F", self._to_filter),
            ("Ins", self._to_entry),
            ("Ctrl+E", self.edit),
            ("Ctrl+G", self.ask_places),
            ("Alt+S", self.sort.showMenu),
            ("Alt+C", self.choose_columns),
            ("Ctrl+Shift+V", self.paste),
            ("F5", self.read_anew),
        ):
            shortcut = QShortcut(QKeySequence(keys), self)
            shortcut.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
            shortcut.activated.connect(act)

    # --- reading

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.reader.read()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        taken = 2 * XL + (self.form.width() + L if self.is_form_open else 0)
        self.table.show_columns_for(self.width() - taken)
        self.editing.follow()

    def _on_opened(self) -> None:
        self.reader.forget()
        self.editing.drop()
        self.close_form()
        self.model.show_table(CoinTable(()))
        self.bar.show_slot(None)
        self.entry.field.clear()
        if self.isVisible():
            self.reader.read()

    def _on_changed(self, changes: Changes) -> None:
        self.reader.note(changes)
        if self.isVisible():
            self.reader.read()

    def read_anew(self) -> None:
        """Read every coin anew, such as after a reading was stopped."""
        self.reader.need_all()
        self.reader.read()

    def _on_stopped(self) -> None:
        """The collector stopped the reading: what was shown stays, and it can be read again."""
        if not self.model.table.rows:
            self._show_page()
        self.foot.say("The reading was stopped; what is shown may be of before. F5 reads anew.")

    def _show_read(self, read: Read) -> None:
        chosen, current = set(self.table.chosen_coins()), self.table.current_coin()
        column = self.table.current_column()
        offset = self.table.verticalScrollBar().value()
        had_finds = self.model.finds is not None
        had_foreign = self.model.table.has_foreign_grades
        self._series = {s.id: s for s in read.known}
        self.entry.show_series(read.in_use, read.known)
        self.editing.show_series(KnownSeries(read.in_use, read.known))
        is_sought = self.reader.slot is not None
        self.model.show_table(read.table, read.finds if is_sought else None)
        self.bar.show_slot(self.model.finds)
        has_foreign = self.model.table.has_foreign_grades
        if had_finds != (self.model.finds is not None) or had_foreign != has_foreign:
            self._fit()
        if self._wanted is not None:
            chosen, current = {self._wanted}, self._wanted
        self.table.choose(chosen, current, column)
        if self._wanted is None:
            self.table.verticalScrollBar().setValue(offset)
        self._wanted = None
        self.bar.show_counts(read.counts)
        self.head.count.setText(f"{read.pieces:,} held" if read.table.rows else "")
        self._show_page()
        if self.model.finds is not None and not had_finds and self.model.order:
            self.table.go_to_row(0)
            if not self.filter.hasFocus():
                self._to_table()
        self.editing.follow()
        self._allow()
        self.reader.read()

    def _show_page(self) -> None:
        arrow = "↓" if self.model.is_descending else "↑"
        self.sort.show_value(f"{self.model.column.value} {arrow}")
        if self.model.order:
            self.pages.setCurrentIndex(0)
            return
        finds = self.model.finds
        if finds is not None and not finds.coins:
            where = f"{finds.label}, {finds.album_name}"
            words = "Spares that fit would be shown here, and coins in other slots."
            self.empty.say(f"No coin you hold fits {where}", words, "Show all coins", "Esc")
        elif self.model.table.rows:
            self.empty.say("No coin is like that", "Type fewer words, or show all.", "Show all")
        else:
            self.empty.say(*(NOT_READ if self.reader.was_stopped else NO_COINS))
        self.pages.setCurrentIndex(1)

    def _on_empty_acted(self) -> None:
        finds = self.model.finds
        if finds is not None and not finds.coins:
            self.leave_slot()
        elif self.model.table.rows:
            self.filter.clear()
            self.chips[Part.ALL].click()
        elif self.reader.was_stopped:
            self.reader.read()
        else:
            self._to_entry()

    # --- finding and sorting

    @property
    def part(self) -> Part:
        """Which coins are shown."""
        return self.bar.part

    def _on_filter(self, _typed: str = "") -> None:
        with self.table.same_choice():
            self.model.show_part(self.filter.text(), self.part)
        self._show_page()
        self.editing.follow()
        self._allow()

    def _type_filter(self, text: str) -> None:
        self.filter.setText(text)
        self._to_filter()
        self.filter.end(False)

    def _on_sort(self, name: Column) -> None:
        is_again = name is self.model.column
        is_descending = not self.model.is_descending if is_again else name is Column.GRADE
        table = self.model.table
        is_ready = name is Column.GAIN or table.is_sorted_by(name)
        if is_ready or len(table.rows) < SORTS_AT_ONCE:
            self._show_sorted(name, is_descending)
            return
        if self._sorting is not None:
            self._sorting.cancel()

        def work(_progress: Progress) -> None:
            table.sort_by(name)

        self._sort_to = name, is_descending
        self._sorting = self._desk.runner.submit_drawing(work, self._on_sorted)

    def _on_sorted(self, _nothing: None) -> None:
        self._show_sorted(*self._sort_to)

    def _show_sorted(self, name: Column, is_descending: bool) -> None:
        with self.table.same_choice():
            self.model.order_by(name, is_descending)
        self.editing.follow()
        self._show_page()

    # --- columns

    def choose_columns(self) -> None:
        """Ask which columns to show, in which order."""
        from gui.coins.columns_dialog import ColumnsDialog

        chosen = ColumnsDialog.ask(self, self.table.columns)
        if chosen is not None:
            self.table.show_layout(chosen)
            self._keep_layout(chosen)
            self.editing.follow()

    def _keep_layout(self, layout: "Layout") -> None:
        if self._settings is not None:
            self._settings.coin_columns = layout_text(layout)

    # --- moving about

    def _to_table(self) -> None:
        if not self.model.order:
            return
        self.table.setFocus(Qt.FocusReason.OtherFocusReason)
        if self.table.currentIndex().row() < 0:
            self.table.go_to_row(0)

    def _to_entry(self) -> None:
        self.entry.field.setFocus(Qt.FocusReason.ShortcutFocusReason)

    def _to_filter(self) -> None:
        self.filter.setFocus(Qt.FocusReason.ShortcutFocusReason)
        self.filter.selectAll()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        is_escape = event.key() == Qt.Key.Key_Escape
        if event.key() == Qt.Key.Key_Down and self.filter.hasFocus():
            self._to_table()
        elif is_escape and self.is_form_open:
            self.close_form()
        elif is_escape and self.filter.text():
            self.filter.clear()
        elif is_escape and self.reader.slot is not None:
            self.leave_slot()
        else:
            super().keyPressEvent(event)

    # --- coins for a slot

    def find_for(self, slot: SlotId) -> None:
        """Show only the coins that fit a slot, best for it first; Enter puts one in."""
        if self.reader.slot is None:
            self._sorted_before = self.model.column, self.model.is_descending
        self.reader.slot = slot
        self.model.order_by(Column.GAIN, is_descending=False)
        self.filter.clear()
        if self.part is not Part.ALL:
            self.chips[Part.ALL].click()
        self.reader.read()
        self.table.setFocus(Qt.FocusReason.OtherFocusReason)

    def leave_slot(self) -> None:
        """Show all coins again."""
        self.reader.slot = None
        self.bar.show_slot(None)
        with self.table.same_choice():
            self.model.show_table(self.model.table)
            self.model.order_by(*self._sorted_before)
            self._fit()
        self._show_page()
        self._allow()
        self._to_table()

    def put_into_slot(self) -> None:
        """The chosen coin goes into the slot sought for; then back to the album."""
        finds, chosen = self.model.finds, self.table.chosen_coins()
        if finds is None or len(chosen) != 1 or not self.foot.slot_button.isEnabled():
            return
        coin = chosen[0]

        def back() -> None:
            self.leave_slot()
            self.slot_asked.emit(int(finds.album), int(finds.slot))

        said = f"Coin {coin} is in {finds.album_name}, {finds.label}."
        self.orders.put(coin, finds.slot, said, back)

    # --- what is chosen

    def _allow(self) -> None:
        is_free = self._desk.is_open and not self._desk.is_read_only
        self.foot.allow(self.table.count_chosen(), len(self.model.order), is_free, self.model.finds)
        self.entry.field.setEnabled(is_free)
        self.bar.paste.setEnabled(is_free)

    def _on_menu(self, where: QPoint) -> None:
        if not self.table.selectionModel().hasSelection():
            return
        menu = make_menu(self)
        column = self.table.current_column()
        one = self.table.count_chosen() == 1
        for text, is_on, act in (
            (f"Edit {column.value}\tF2", one and column not in FIXED, self._edit_cell),
            (f"{self.foot.edit_button.text()}\tCtrl+E", self.edit_button.isEnabled(), self.edit),
            ("Where could it go…\tCtrl+G", self.put_button.isEnabled(), self.ask_places),
            ("Copy\tCtrl+C", True, self.copy),
            ("Paste rows…\tCtrl+V", self.entry.field.isEnabled(), self.paste),
            ("Let go\tDel", self.go_button.isEnabled(), self.let_go),
        ):
            action = menu.addAction(text)
            action.setEnabled(is_on)
            action.triggered.connect(act)
        menu.aboutToHide.connect(menu.deleteLater)
        menu.popup(self.table.viewport().mapToGlobal(where))

    # --- cells

    def keep(self) -> None:
        """Take what is being typed on a cell, before the window closes."""
        self.editing.take()

    def _edit_cell(self, typed: str = "") -> bool:
        row_now = self.table.current_row()
        if row_now is None:
            return False
        if self._desk.is_read_only:
            self.foot.say("This collection can only be looked at.")
            return False
        return self.editing.begin(row_now, self.table.current_column(), typed)

    def _on_enter(self) -> None:
        if self.model.finds is not None:
            self.put_into_slot()
        else:
            self._on_double_click()

    def _on_double_click(self) -> None:
        """Edit the cell; a cell that follows from others opens the form, which has the rest."""
        if not self._edit_cell() and self.table.current_column() in FIXED:
            self.edit()

    def _on_letter(self, text: str) -> None:
        """Typing on a cell edits it; on one that is not typed in, it finds."""
        if self.table.current_column() in FIXED:
            self._type_filter(text)
        else:
            self._edit_cell(text)

    # --- orders

    def _on_add(self, coin: Coin) -> None:
        self.orders.add(coin, self._on_made, self._not_added)

    def _on_made(self, changes: Changes) -> None:
        made = self._wanted = changes.made_coins[0]
        self._desk.ask(lambda collection: collection.coin_rows([made]), self._on_added)

    def _on_added(self, rows: list[CoinRow]) -> None:
        if rows:
            self.entry.show_added(rows[0].coin, f"{rows[0].text} {rows[0].grade}".strip())
            self.table.choose({rows[0].coin.id}, rows[0].coin.id)
            self._wanted = None

    def _not_added(self, error: Exception) -> None:
        if isinstance(error, CollectionError):
            self.entry.show_fault(str(error))
        else:
            self._desk.show_failure(error)

    def edit(self) -> None:
        """Open the form of the chosen coin; the one for many where several are chosen."""
        rows = self.table.chosen_rows()
        if not rows or not self.edit_button.isEnabled():
            return
        if len(rows) > 1:
            self.orders.edit_many(rows, self._series)
            return
        coin = rows[0].coin
        series = self._series.get(coin.description.series)
        if series is None:
            return
        self.form.show()
        self.form.show_coin(coin, series, rows[0].state == "in an album")
        self._fit()

    def close_form(self) -> None:
        """Leave the form; the keys go back to the table."""
        if self.is_form_open:
            self.form.hide()
            self._fit()
            self._to_table()

    def _on_saved(self, coin: Coin) -> None:
        if coin == self.form.coin:
            self.close_form()
            return
        self.orders.save(coin, lambda _changes: self.close_form(), self._not_saved)

    def _not_saved(self, error: Exception) -> None:
        if isinstance(error, CollectionError):
            self.form.show_trouble(str(error))
        else:
            self._desk.show_failure(error)

    def let_go(self) -> None:
        """The chosen coins are gone: sold, spent, given away."""
        if self.go_button.isEnabled():
            self.orders.let_go(self.table.chosen_rows())

    def ask_places(self) -> None:
        """Show where the chosen coin could go: to go there, or to put it in."""
        rows = self.table.chosen_rows()
        if len(rows) == 1 and self.put_button.isEnabled():
            self.orders.ask_places(rows[0], self.slot_asked.emit)

    def paste(self) -> None:
        """Add what is on the clipboard: rows of a spreadsheet, or lines as in the entry line."""
        if self.entry.field.isEnabled():
            self.orders.paste(self.entry.in_use, self.entry.preferred)

    def copy(self) -> None:
        """The chosen rows as text that a spreadsheet takes, and that pastes back."""
        rows = self.table.chosen_rows()
        if rows:
            self.orders.copy(rows, self._series)
