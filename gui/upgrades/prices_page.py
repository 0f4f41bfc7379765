"""The collector's prices: the list, offers seen, rates and rules."""

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtGui import QGuiApplication, QKeyEvent, QKeySequence, QShortcut
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QStackedWidget, QWidget

from core.app.changes import Changes
from core.errors import CollectionError
from core.model.money import money_text
from core.model.prices import PriceRules
from gui.desk import Desk
from gui.file_choice import choose_file
from gui.search.plain_table import PlainTable
from gui.theme import XL, L, M, S
from gui.upgrades.offer_line import OfferLine
from gui.upgrades.price_forms import RateForm, RulesForm
from gui.upgrades.price_reading import (
    OFFER_HEADS,
    PRICE_HEADS,
    RATE_HEADS,
    PriceSheet,
    as_price,
    read_prices_page,
)
from gui.upgrades.price_sheet_dialog import PriceSheetDialog
from gui.upgrades.side import FAIR
from gui.widgets import (
    Card,
    EmptyState,
    FactRow,
    Label,
    QuietButton,
    Segmented,
    clear_layout,
    column,
    row,
)

if TYPE_CHECKING:
    from core.app.offers import OfferAnswer
    from core.app.order import Operation

READ_AFTER_MS, TABS_PX = 150, 408
SHEETS = "Sheets (*.csv *.tsv *.txt);;All files (*)"
ROWS_MEASURED = 40
"""Columns are as wide as so many rows ask: to measure every row of a long list takes its time."""
TABS = ("Prices", "Offers", "Rates and rules")
EMPTY = (
    ("No prices yet", "A handful is enough to plan with. Type one on the line above, paste rows "
     "(Ctrl+V), or take in a sheet.", "Import a sheet…", "Alt+I"),
    ("No offers yet", "Type what you have seen on the line above: 1914-d f12 @ 210. You are told "
     "at once what it is to your set.", "", ""),
)  # fmt: skip


class PricesPage(QWidget):
    """Shows and changes them; Esc or Back goes to the plan."""

    left = Signal()
    said = Signal(str)

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk = desk
        self.sheet: PriceSheet | None = None
        outer = column(self, (XL, L, L, L), M)
        outer.addLayout(self._build_head())
        self.told = Label("", "small", self, wraps=True)
        outer.addWidget(self.told)
        self.line = OfferLine(desk, self)
        self.line.given.connect(self._on_given)
        self.line.left.connect(self.to_table)
        outer.addWidget(self.line)
        outer.addLayout(self._build_tools())
        card = Card(self, "card", (S, S, S, S), 0)
        self.pages = QStackedWidget(card)
        self.tables = (PlainTable("Prices", card), PlainTable("Offers", card))
        self.empties = tuple(EmptyState(*words, parent=card) for words in EMPTY)
        self.empties[0].acted.connect(self.import_sheet)
        for table in self.tables:
            table.setProperty("kind", "lines")
            table.horizontalHeader().setResizeContentsPrecision(ROWS_MEASURED)
            self.pages.addWidget(table)
        for empty in self.empties:
            self.pages.addWidget(empty)
        self.pages.addWidget(self._build_rules(card))
        card.box.addWidget(self.pages)
        outer.addWidget(card, 1)
        outer.addWidget(Label(FAIR, "small", self))
        self._later = QTimer(self)
        self._later.setSingleShot(True)
        self._later.setInterval(READ_AFTER_MS)
        self._later.timeout.connect(self.read)
        self.filter.textChanged.connect(lambda _text: self._later.start())
        self._build_keys()
        desk.changed.connect(self._on_changed)
        self.tabs.choose(0)
        self._on_tab(0)
        self.setFocusProxy(self.line.field)

    def _build_head(self) -> QHBoxLayout:
        line = row(spacing=M)
        line.addWidget(Label("Prices and offers", "title", self))
        line.addStretch(1)
        self.tabs = Segmented(TABS, "What is shown", self)
        self.tabs.chosen.connect(self._on_tab)
        self.tabs.setMinimumWidth(TABS_PX)
        line.addWidget(self.tabs)
        self.back = QuietButton("Back to the plan", self)
        self.back.setToolTip("Esc")
        self.back.clicked.connect(self.left)
        line.addWidget(self.back)
        return line

    def _build_tools(self) -> QHBoxLayout:
        line = row(spacing=S)
        self.filter = QLineEdit(self)
        self.filter.setProperty("kind", "search")
        self.filter.setPlaceholderText("Find: all words you type")
        self.filter.setAccessibleName("Find prices and offers")
        self.filter.setToolTip("Ctrl+F")
        self.filter.setMaximumWidth(280)
        line.addWidget(self.filter, 1)
        line.addStretch(1)
        self.paste_button = QuietButton("Paste…", self)
        self.paste_button.setToolTip("Rows on the clipboard, after a look at them (Ctrl+V)")
        self.paste_button.clicked.connect(self.paste)
        self.import_button = QuietButton("Import a sheet…", self)
        self.import_button.setToolTip("Alt+I")
        self.import_button.clicked.connect(self.import_sheet)
        self.delete_button = QuietButton("Delete", self)
        self.delete_button.setToolTip("Delete")
        self.delete_button.clicked.connect(self.delete)
        self.rate_button = QuietButton("Set a rate…", self)
        self.rate_button.setToolTip("Alt+R")
        self.rate_button.clicked.connect(self.set_rate)
        self.rules_button = QuietButton("Change the rules…", self)
        self.rules_button.setToolTip("Alt+G")
        self.rules_button.clicked.connect(self.change_rules)
        for button in (
            self.paste_button, self.import_button, self.delete_button, self.rate_button,
            self.rules_button,
        ):  # fmt: skip
            line.addWidget(button)
        return line

    def _build_rules(self, card: QWidget) -> QWidget:
        page = QWidget(card)
        line = row(page, (M, M, M, M), XL)
        facts = column(spacing=M)
        facts.addWidget(Label("Rules", "strong", page))
        self.facts = column(spacing=S)
        facts.addLayout(self.facts)
        facts.addStretch(1)
        rates = column(spacing=M)
        rates.addWidget(Label("Rates", "strong", page))
        self.rates = PlainTable("Rates", page)
        self.rates.setProperty("kind", "lines")
        rates.addWidget(self.rates, 1)
        self.no_rates = Label("No rates yet: prices in other currencies are left out. Alt+R sets "
                              "one.", "mute", page, wraps=True)  # fmt: skip
        rates.addWidget(self.no_rates)
        self._below_rates = QWidget(page)
        rates.addWidget(self._below_rates, 1)
        line.addLayout(facts, 1)
        line.addLayout(rates, 1)
        return page

    def _build_keys(self) -> None:
        keys: tuple[tuple[str, Callable[[], object]], ...] = (
            ("Ctrl+F", self.filter.setFocus),
            ("Alt+E", self.line.field.setFocus),
            ("Alt+I", self.import_sheet),
            ("Alt+R", self.set_rate),
            ("Alt+G", self.change_rules),
            ("Alt+1", lambda: self.choose_tab(0)),
            ("Alt+2", lambda: self.choose_tab(1)),
            ("Alt+3", lambda: self.choose_tab(2)),
        )
        for key, act in keys:
            shortcut = QShortcut(QKeySequence(key), self)
            shortcut.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
            shortcut.activated.connect(act)
        for at, name in enumerate(TABS):
            self.tabs.buttons[at].setToolTip(f"{name} (Alt+{at + 1})")

    # --- reading

    def read(self) -> None:
        """Read and show all anew."""
        words = self.filter.text()
        self._desk.ask(lambda collection: read_prices_page(collection, words), self._show)

    def _on_changed(self, changes: Changes) -> None:
        if self.isVisible() and (changes.is_prices or changes.label):
            self.read()

    def _show(self, sheet: PriceSheet) -> None:
        self.sheet = sheet
        self.told.setText(sheet.told)
        at = [table.currentIndex().row() for table in self.tables]
        self.tables[0].show_rows(PRICE_HEADS, sheet.price_rows, texts=3)
        self.tables[1].show_rows(OFFER_HEADS, sheet.offer_rows, texts=3)
        for table, place in zip(self.tables, at, strict=True):
            rows = table.rows.rowCount()
            if rows:
                table.setCurrentIndex(table.rows.index(min(max(place, 0), rows - 1), 0))
        rates = [(r.currency, f"{r.per} {r.base}", r.day.isoformat()) for r in sheet.book.rates]
        self.rates.show_rows(RATE_HEADS, rates, texts=1)
        self.rates.setVisible(bool(rates))
        self.no_rates.setVisible(not rates)
        self._below_rates.setVisible(not rates)
        clear_layout(self.facts)
        for name, value in rule_facts(sheet.book.rules):
            self.facts.addWidget(FactRow(name, value, self))
        self._show_tab()

    def _on_tab(self, place: int) -> None:
        self._show_tab()
        first: QWidget = self.rules_button if place == 2 else self.line.field
        first.setFocus(Qt.FocusReason.OtherFocusReason)

    def choose_tab(self, place: int) -> None:
        """Prices, offers, or rates and rules."""
        self.tabs.choose(place)
        self._on_tab(place)

    def _show_tab(self) -> None:
        place = self.tabs.choice()
        is_rules = place == 2
        sheet = self.sheet
        has_any = sheet is not None and not is_rules and bool(
            (sheet.price_rows, sheet.offer_rows)[place] or self.filter.text()
        )  # fmt: skip
        self.pages.setCurrentIndex(4 if is_rules else place if has_any else 2 + place)
        self.line.setVisible(not is_rules)
        self.line.show_kind(place == 0)
        may = not self._desk.is_read_only
        for button, is_on in (
            (self.paste_button, place == 0), (self.import_button, place == 0),
            (self.delete_button, True), (self.rate_button, is_rules),
            (self.rules_button, is_rules),
        ):  # fmt: skip
            button.setVisible(is_on)
            button.setEnabled(may)
        if is_rules:
            self.delete_button.setEnabled(may and sheet is not None and bool(sheet.book.rates))
        self.delete_button.setText("Forget the rate" if is_rules else "Delete")
        self.filter.setVisible(not is_rules)

    def to_table(self) -> None:
        """Give the rows the keys."""
        place = self.tabs.choice()
        table = self.rates if place == 2 else self.tables[place]
        table.setFocus(Qt.FocusReason.OtherFocusReason)

    # --- doing

    def _on_given(self, answer: "OfferAnswer") -> None:
        from core.app.price_orders import add_offer, set_prices

        try:
            operation = (
                set_prices([as_price(answer, self.line.source.text())])
                if self.line.is_price
                else add_offer(answer.offer)
            )
        except CollectionError as error:
            self.line.refuse(str(error))
            return
        amount = money_text(answer.offer.minor, answer.offer.currency)
        told = f"{answer.answer.name} at {amount} is noted. Undo takes it back."
        self._desk.run(
            operation,
            lambda _changes: self.line.done(told),
            failed=lambda error: self.line.refuse(str(error)),
        )

    def paste(self) -> None:
        """Take in the rows on the clipboard, after a look at them."""
        self._take_in(QGuiApplication.clipboard().text(), "")

    def import_sheet(self) -> None:
        """Take in a sheet, after a look at it."""
        from core.app.exchange_sheet import sheet_text

        path = choose_file(self, "Import a sheet of prices", str(Path.home()), SHEETS)
        if path is None:
            return
        try:
            text = sheet_text(path)
        except CollectionError as error:
            self._desk.show_failure(error)
            return
        self._take_in(text, path.stem)

    def _take_in(self, text: str, source: str) -> None:
        from core.app.price_orders import import_prices

        draft = PriceSheetDialog.ask(self, self._desk, text, source)
        if draft is not None:
            self._run(import_prices(draft), f"{len(draft.rows):,} prices are taken in.")

    def delete(self) -> None:
        """Delete the price, the offer or the rate that is chosen."""
        from core.app.price_orders import delete_prices, delete_rate, take_back_offers

        sheet, place = self.sheet, self.tabs.choice()
        if sheet is None:
            return
        table = self.rates if place == 2 else self.tables[place]
        at = table.currentIndex().row()
        if at < 0:
            self.said.emit("Choose a row first.")
        elif place == 0:
            self._run(delete_prices([sheet.prices[at].id]), "The price is deleted.")
        elif place == 1:
            self._run(take_back_offers([sheet.offers[at].id]), "The offer is forgotten.")
        else:
            self._run(delete_rate(sheet.book.rates[at].currency), "The rate is forgotten.")

    def set_rate(self) -> None:
        """Ask for a rate and keep it."""
        from core.app.price_orders import set_rate

        if self.sheet is None:
            return
        answer = RateForm.ask(self, self.sheet.book.rules.base)
        if answer is not None:
            self._run(set_rate(*answer), f"The rate of {answer[0]} is kept.")

    def change_rules(self) -> None:
        """Ask for the rules and keep them."""
        from core.app.price_orders import set_rules

        if self.sheet is None:
            return
        rules = RulesForm.ask(self, self.sheet.book.rules, self.sheet.book.today)
        if rules is not None:
            self._run(set_rules(rules), "The rules are changed.")

    def _run(self, operation: "Operation", told: str) -> None:
        self._desk.run(operation, lambda _changes: self.said.emit(f"{told} Undo takes it back."))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            if self.filter.text():
                self.filter.clear()
            else:
                self.left.emit()
        elif event.key() == Qt.Key.Key_Delete:
            self.delete()
        elif event.matches(QKeySequence.StandardKey.Paste) and self.tabs.choice() == 0:
            self.paste()
        else:
            super().keyPressEvent(event)


def rule_facts(rules: PriceRules) -> tuple[tuple[str, str], ...]:
    """The rules in words."""

    def spot(minor: int | None) -> str:
        return "not entered" if minor is None else f"{money_text(minor, rules.base)} {rules.base}"

    many = len(rules.inherits)
    return (
        ("base currency", rules.base),
        ("a price is old after", f"{rules.oldest_days:,} days"),
        ("of several sources", f"the {rules.choose} counts"),
        ("a problem coin costs", f"{rules.problem_share} % of a sound one"),
        ("a freed coin brings", f"{rules.resale_share} % of its price"),
        ("varieties that take their issue's price", str(many) if many else "none"),
        ("silver, a troy ounce", spot(rules.silver_minor)),
        ("copper, a kilogram", spot(rules.copper_minor)),
    )  # fmt: skip
