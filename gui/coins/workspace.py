"""Coins: an entry line, filters, the table of every coin, and the form of one."""

import gc
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QAction, QKeyEvent, QKeySequence, QResizeEvent, QShortcut, QShowEvent
from PySide6.QtWidgets import (
    QButtonGroup,
    QHBoxLayout,
    QLineEdit,
    QStackedWidget,
    QWidget,
)

from core.app.changes import Changes
from core.app.views import CoinRow
from core.app.work import Progress
from core.errors import BadEntry, CollectionError
from core.model.coin import Coin, CoinId, CoinStatus
from core.model.issue import Series, SeriesId
from gui.coins.coin_table import CoinTableView
from gui.coins.entry_line import EntryLine, read_line
from gui.coins.form import CoinForm
from gui.coins.model import CoinModel
from gui.coins.places import Place, places_for
from gui.coins.rows import COLUMNS, PARTS, CoinTable, Column, Part
from gui.desk import Desk
from gui.flow_layout import FlowLayout
from gui.paint import glyph_icon
from gui.theme import XL, L, M, S, current_palette
from gui.widgets import (
    Chip,
    EmptyState,
    KeyHint,
    Label,
    MenuButton,
    QuietButton,
    column,
    make_menu,
    row,
)
from gui.work import Job

if TYPE_CHECKING:
    from core.app.collection import Collection
    from core.app.operations import Operation

SORTS_AT_ONCE = 5000
"""Fewer rows are sorted within a moment; more are sorted off the screen."""
NO_COINS = (
    "No coins yet",
    "Type what you hold in the line above, such as 1943-D vf20, and press Enter. "
    "Or stock an album: its coins come with it.",
    "Add a coin",
    "Ins",
)


@dataclass(frozen=True, slots=True)
class _Read:
    """What the worker read: the rows and their counts, and every series."""

    table: CoinTable
    counts: dict[Part, int]
    pieces: int
    in_use: tuple[Series, ...]
    known: tuple[Series, ...]


class CoinsWorkspace(QWidget):
    """Keeps a real collection: add, find, edit, place and let go of coins."""

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("kind", "paper")
        self._desk = desk
        self._series: dict[SeriesId, Series] = {}
        self._stale: set[CoinId] = set()
        """Coins to read anew when the panel next shows; all of them where `_needs_all`."""
        self._needs_all = True
        self._is_reading = False
        self._sorting: Job | None = None
        self._sort_to = Column.NUMBER, True
        self._wanted: CoinId | None = None
        self._build()
        desk.changed.connect(self._on_changed)
        desk.opened.connect(self._on_opened)
        desk.labels_changed.connect(self._allow)
        self.setFocusProxy(self.entry.field)

    # --- building

    def _build(self) -> None:
        self.model = CoinModel(self)
        outer = row(self, (XL, XL, XL, L), L)
        left = column(spacing=M)
        left.addLayout(self._build_head())
        self.entry = EntryLine(self)
        self.entry.add_asked.connect(self._on_add)
        self.entry.left_down.connect(self._to_table)
        left.addWidget(self.entry)
        left.addLayout(self._build_filters())
        left.addWidget(self._build_pages(), 1)
        left.addLayout(self._build_foot())
        outer.addLayout(left, 1)
        self.form = CoinForm(self)
        self.form.hide()
        self.form.saved.connect(self._on_saved)
        self.form.left.connect(self.close_form)
        outer.addWidget(self.form)
        for keys, act in (("Ctrl+F", self._to_filter), ("Ins", self._to_entry)):
            shortcut = QShortcut(QKeySequence(keys), self)
            shortcut.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
            shortcut.activated.connect(act)

    def _build_head(self) -> QHBoxLayout:
        head = row(spacing=S)
        head.addWidget(Label("Coins", "title", self))
        self._count = Label("", "beside", self)
        head.addSpacing(S)
        head.addWidget(self._count)
        head.addStretch(1)
        self.filter = QLineEdit(self)
        self.filter.setProperty("kind", "search")
        self.filter.setPlaceholderText("Find: all words you type")
        self.filter.setAccessibleName("Find coins")
        self.filter.setFixedWidth(264)
        self.filter.textChanged.connect(self._on_filter)
        head.addWidget(self.filter)
        head.addWidget(KeyHint("Ctrl+F", self))
        return head

    def _build_filters(self) -> QHBoxLayout:
        line = row(spacing=S)
        chips = FlowLayout(spacing_x=S, spacing_y=S)
        self._group = QButtonGroup(self)
        self.chips: dict[Part, Chip] = {}
        for place, part in enumerate(PARTS):
            chip = Chip(str(part), None, self)
            self._group.addButton(chip, place)
            chips.addWidget(chip)
            self.chips[part] = chip
        self.chips[Part.ALL].setChecked(True)
        self._group.idClicked.connect(lambda _place: self._on_filter())
        self.sort = MenuButton("Sort", "", self)
        for name in COLUMNS:
            action = QAction(name.value, self.sort.choices)
            action.triggered.connect(partial(self._on_sort, name))
            self.sort.choices.addAction(action)
        line.addLayout(chips, 1)
        line.addWidget(self.sort, 0, Qt.AlignmentFlag.AlignTop)
        return line

    def _build_pages(self) -> QWidget:
        self.pages = QStackedWidget(self)
        self.table = CoinTableView(self.model, self)
        self.table.edit_asked.connect(self.edit)
        self.table.let_go_asked.connect(self.let_go)
        self.table.put_asked.connect(self.ask_places)
        self.table.sort_asked.connect(self.sort.showMenu)
        self.table.up_asked.connect(self._to_entry)
        self.table.letter_typed.connect(self._type_filter)
        self.table.sort_clicked.connect(self._on_sort)
        self.table.customContextMenuRequested.connect(self._on_menu)
        self.table.selectionModel().selectionChanged.connect(lambda *_: self._allow())
        self.pages.addWidget(self.table)
        self.empty = EmptyState("Reading the coins …", "", parent=self)
        self.empty.acted.connect(self._on_empty_acted)
        self.pages.addWidget(self.empty)
        self.pages.setCurrentIndex(1)
        return self.pages

    def _build_foot(self) -> QHBoxLayout:
        foot = row(spacing=S)
        self._chosen = Label("", "mute", self)
        self.edit_button = QuietButton("Edit", self)
        self.put_button = QuietButton("Put into a slot ▾", self)
        self.go_button = QuietButton("Let go", self)
        self.go_button.setToolTip(
            "Sold, spent or given away: kept as history. Undo brings it back."
        )
        self.edit_button.clicked.connect(self.edit)
        self.put_button.clicked.connect(self.ask_places)
        self.go_button.clicked.connect(self.let_go)
        foot.addWidget(self._chosen)
        foot.addStretch(1)
        for key, button in (("Enter", self.edit_button), ("P", self.put_button),
                            ("Del", self.go_button)):  # fmt: skip
            foot.addSpacing(S)
            foot.addWidget(KeyHint(key, self))
            foot.addWidget(button)
        return foot

    # --- reading

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._read()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        taken = 2 * XL + (self.form.width() + L if self.form.isVisible() else 0)
        self.table.show_columns_for(self.width() - taken)

    def _on_opened(self) -> None:
        self._needs_all = True
        self._stale.clear()
        self.close_form()
        self.model.show_table(CoinTable(()))
        self.entry.field.clear()
        if self.isVisible():
            self._read()

    def _on_changed(self, changes: Changes) -> None:
        if changes.is_shelf or changes.is_reshaped or not (changes.coins or changes.slots):
            self._needs_all = True
        else:
            self._stale |= changes.coins
            if changes.slots:
                rows = self.model.table.rows
                self._stale |= {r.coin.id for r in rows if r.state == "in an album"}
        if self.isVisible():
            self._read()

    def _read(self) -> None:
        """Read all rows, or those that changed; one reading at a time."""
        if self._is_reading or not (self._needs_all or self._stale):
            return
        sort_by, table, stale = self.model.column, self.model.table, self._stale
        needs_all = self._needs_all
        self._needs_all, self._stale = False, set()

        def question(collection: "Collection") -> _Read:
            if needs_all:
                return _read_all(collection, sort_by)
            return _read_again(collection, table, stale, sort_by)

        self._is_reading = True
        self._desk.ask(question, self._show_read, self._not_read, "Reading the coins")

    def _not_read(self, error: Exception) -> None:
        self._is_reading = False
        self._needs_all = True
        self._desk.show_failure(error)

    def _show_read(self, read: _Read) -> None:
        self._is_reading = False
        chosen, current = set(self.table.chosen_coins()), self.table.current_coin()
        offset = self.table.verticalScrollBar().value()
        self._series = {s.id: s for s in read.known}
        self.entry.show_series(read.in_use, read.known)
        self.model.show_table(read.table)
        if self._wanted is not None:
            chosen, current = {self._wanted}, self._wanted
        self.table.choose(chosen, current)
        if self._wanted is None:
            self.table.verticalScrollBar().setValue(offset)
        self._wanted = None
        self._show_counts(read)
        self._allow()
        self._read()

    def _show_counts(self, read: _Read) -> None:
        for part, chip in self.chips.items():
            chip.show_text(f"{part}  {read.counts[part]:,}")
        self._count.setText(f"{read.pieces:,} held" if read.table.rows else "")
        self._show_page()

    def _show_page(self) -> None:
        arrow = "↓" if self.model.is_descending else "↑"
        self.sort.show_value(f"{self.model.column.value} {arrow}")
        if self.model.order:
            self.pages.setCurrentIndex(0)
            return
        if self.model.table.rows:
            self.empty.say("No coin is like that", "Type fewer words, or show all.", "Show all")
        else:
            self.empty.say(*NO_COINS)
        self.pages.setCurrentIndex(1)

    def _on_empty_acted(self) -> None:
        if self.model.table.rows:
            self.filter.clear()
            self.chips[Part.ALL].click()
        else:
            self._to_entry()

    # --- finding and sorting

    @property
    def part(self) -> Part:
        """Which coins are shown."""
        return PARTS[max(0, self._group.checkedId())]

    def _on_filter(self, _typed: str = "") -> None:
        chosen, current = set(self.table.chosen_coins()), self.table.current_coin()
        self.model.show_part(self.filter.text(), self.part)
        self.table.choose(chosen, current)
        self._show_page()
        self._allow()

    def _type_filter(self, text: str) -> None:
        self.filter.setText(text)
        self._to_filter()
        self.filter.end(False)

    def _on_sort(self, name: Column, _is_checked: bool = False) -> None:
        is_again = name is self.model.column
        is_descending = not self.model.is_descending if is_again else name is Column.GRADE
        table = self.model.table
        if table.is_sorted_by(name) or len(table.rows) < SORTS_AT_ONCE:
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
        chosen, current = set(self.table.chosen_coins()), self.table.current_coin()
        self.model.order_by(name, is_descending)
        self.table.choose(chosen, current)
        self._show_page()

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
        if event.key() == Qt.Key.Key_Down and self.filter.hasFocus():
            self._to_table()
        elif event.key() == Qt.Key.Key_Escape and self.form.isVisible():
            self.close_form()
        elif event.key() == Qt.Key.Key_Escape and self.filter.text():
            self.filter.clear()
        else:
            super().keyPressEvent(event)

    # --- what is chosen

    def _allow(self) -> None:
        count = self.table.count_chosen()
        is_open = self._desk.is_open and not self._desk.is_read_only
        shown = len(self.model.order)
        words = f"{shown:,} coin{'' if shown == 1 else 's'} shown"
        self._chosen.setText(f"{count:,} of {shown:,} chosen" if count else words)
        self.edit_button.setEnabled(is_open and count == 1)
        self.put_button.setEnabled(is_open and count == 1)
        self.go_button.setEnabled(is_open and count > 0)
        self.entry.field.setEnabled(is_open)
        for button in (self.edit_button, self.put_button):
            button.setToolTip("Choose one coin" if count > 1 else "")

    def _on_menu(self, where: QPoint) -> None:
        if not self.table.selectionModel().hasSelection():
            return
        menu = make_menu(self)
        for text, button, act in (
            ("Edit\tEnter", self.edit_button, self.edit),
            ("Put into a slot …\tP", self.put_button, self.ask_places),
            ("Let go\tDel", self.go_button, self.let_go),
        ):
            action = menu.addAction(text)
            action.setEnabled(button.isEnabled())
            action.triggered.connect(act)
        menu.aboutToHide.connect(menu.deleteLater)
        menu.popup(self.table.viewport().mapToGlobal(where))

    # --- orders

    def _on_add(self, coin: Coin) -> None:
        from core.app.operations import add_coins

        self._desk.run(add_coins([coin]), self._on_made, failed=self._not_added)

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
        """Open the form of the chosen coin."""
        rows = self.table.chosen_rows()
        if len(rows) != 1 or not self.edit_button.isEnabled():
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
        if self.form.isVisible():
            self.form.hide()
            self._fit()
            self._to_table()

    def _on_saved(self, coin: Coin) -> None:
        from core.app.operations import edit_coins

        if coin == self.form.coin:
            self.close_form()
            return
        self._desk.run(edit_coins([coin]), self._on_edited, failed=self._not_saved)

    def _on_edited(self, _changes: Changes) -> None:
        self.close_form()

    def _not_saved(self, error: Exception) -> None:
        if isinstance(error, CollectionError):
            self.form.show_trouble(str(error))
        else:
            self._desk.show_failure(error)

    def let_go(self) -> None:
        """The chosen coins are gone: sold, spent, given away."""
        from core.app.operations import let_go

        coins = [
            r.coin.id for r in self.table.chosen_rows() if r.coin.status is not CoinStatus.GONE
        ]
        if not coins or not self.go_button.isEnabled():
            return
        count = "A coin is" if len(coins) == 1 else f"{len(coins):,} coins are"
        said = f"{count} let go. Ctrl+Z brings back what is gone."
        self._run(let_go(coins), said)

    def ask_places(self) -> None:
        """Show the slots that the chosen coin fits, to put it into one."""
        rows = self.table.chosen_rows()
        if len(rows) != 1 or not self.put_button.isEnabled():
            return
        coin = rows[0].coin
        self._desk.ask(
            lambda collection: (coin.id, places_for(collection, coin)), self._show_places
        )

    def _show_places(self, found: tuple[CoinId, list[Place]]) -> None:
        coin, places = found
        self.places_menu = menu = make_menu(self)
        if not places:
            menu.addAction("No slot of your albums takes this coin").setEnabled(False)
        before_unsure = True
        for place in places:
            if not place.is_sure and before_unsure:
                before_unsure = False
                menu.addSection("It may fit")
            text = f"{place.text}{'  ▲' if place.is_better else ''}".replace("&", "&&")
            action = menu.addAction(glyph_icon(place.code, 15, current_palette()), text)
            action.triggered.connect(partial(self._put, coin, place))
        menu.aboutToHide.connect(menu.deleteLater)
        menu.popup(self.put_button.mapToGlobal(QPoint(0, -menu.sizeHint().height())))

    def _put(self, coin: CoinId, place: Place, _is_checked: bool = False) -> None:
        from core.app.operations import place_coin

        self._run(place_coin(coin, place.slot), f"Coin {coin} is in {place.text.split(':')[0]}.")

    def _run(self, operation: "Operation", said: str) -> None:
        self._desk.run(operation, lambda _changes: self._desk.told.emit(said))


def _read_all(collection: "Collection", sort_by: Column) -> _Read:
    known = tuple(collection.all_series())
    in_use = tuple(collection.series_in_use)
    _warm(in_use, known)
    with _no_pauses():
        table = CoinTable(collection.coin_rows())
    return _prepared(table, sort_by, in_use, known)


def _read_again(
    collection: "Collection", table: CoinTable, coins: Iterable[CoinId], sort_by: Column
) -> _Read:
    asked = list(coins)
    with _no_pauses():
        fresh = table.updated(asked, collection.coin_rows(asked))
    in_use, known = tuple(collection.series_in_use), tuple(collection.all_series())
    return _prepared(fresh, sort_by, in_use, known)


def _prepared(
    table: CoinTable, sort_by: Column, in_use: tuple[Series, ...], known: tuple[Series, ...]
) -> _Read:
    table.sort_by(sort_by)
    table.at_of(())
    _ = table.has_many_series
    return _Read(table, table.counts(), table.pieces, in_use, known)


@contextmanager
def _no_pauses() -> Iterator[None]:
    """Make many rows without the cycle collector: it would stop the window for 0.3 s at a time.

    Rows hold no cycles; afterwards it need not walk those that are there.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        gc.freeze()
        if was_on:
            gc.enable()


def _warm(in_use: tuple[Series, ...], known: tuple[Series, ...]) -> None:
    """Have every series' words ready, so that the first key in the entry line does not wait."""
    try:
        read_line("1", in_use, known, None)
    except BadEntry:
        return
