"""The collector's prices: the list, offers seen, rates and rules, the worth of metal."""

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
from gui.segmented import Segmented
from gui.theme import XL, L, M, S
from gui.upgrades.metal_page import MetalPage
from gui.upgrades.offer_line import OfferLine
from gui.upgrades.price_reading import (
    OFFER_HEADS,
    PRICE_HEADS,
    RATE_HEADS,
    VARIETY_HEADS,
    PriceSheet,
    read_prices_page,
)
from gui.upgrades.side import FAIR
from gui.widgets import Card, EmptyState, FactRow, Label, QuietButton, clear_layout, column, row

if TYPE_CHECKING:
    from core.app.offers import OfferAnswer
    from core.app.order import Operation

READ_AFTER_MS, TABS_PX = 150, 520
SHEETS = "Sheets (*.csv *.tsv *.txt);;All files (*)"
ROWS_MEASURED, LEAST_NAME_PX = 40, 200
"""Columns are as wide as so many rows ask: to measure every row of a long list takes its time."""
TABS = ("Prices", "Offers", "Rates and rules", "Metal")
PRICES, OFFERS, RULES, METAL = range(4)
EMPTY = (
    ("No prices yet", "A handful is enough to plan with. Type one on the line above, paste rows "
     "(Ctrl+V), or take in a sheet.", "Import a sheet…", "Alt+I"),
    ("No offers yet", "Type what you have seen on the line above: 1914-d f12 @ 210. You are told "
     "at once what it is to your set.", "Type an offer", "Alt+E"),
)  # fmt: skip
NONE_FOUND = ("Nothing found", "No line holds all the words you typed.", "Show all", "Esc")
NOTHING_FOUND = "Nothing holds all these words."
NO_VARIETIES = "No varieties yet: those of your albums' series stand here (Ctrl+1: the albums)."


class PricesPage(QWidget):
    """Shows and changes them; Esc or Back goes to the plan."""

    left = Signal()
    said = Signal(str)
    offer_asked = Signal(object)
    """Show what this offer does in the plan."""

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
        self.line.rows_pasted.connect(self.paste)
        outer.addWidget(self.line)
        outer.addLayout(self._build_tools())
        card = Card(self, "card", (S, S, S, S), 0)
        self.pages = QStackedWidget(card)
        self.tables = (PlainTable("Prices", card), PlainTable("Offers", card))
        self.empties = tuple(EmptyState(*words, parent=card) for words in EMPTY)
        self.empties[0].acted.connect(self.import_sheet)
        self.empties[1].acted.connect(self.line.field.setFocus)
        for table in self.tables:
            table.setProperty("kind", "lines")
            table.horizontalHeader().setResizeContentsPrecision(ROWS_MEASURED)
            table.shorten_first(LEAST_NAME_PX)
            table.setToolTip("Enter or a double click changes it")
            table.activated.connect(lambda _index: self.change())
            self.pages.addWidget(table)
        for empty in self.empties:
            self.pages.addWidget(empty)
        self.pages.addWidget(self._build_rules(card))
        self.metal = MetalPage(desk, card)
        self.pages.addWidget(self.metal)
        self.none_found = EmptyState(*NONE_FOUND, parent=card)
        self.none_found.acted.connect(self.filter.clear)
        self.pages.addWidget(self.none_found)
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
        self.filter.setAccessibleName("Find prices, offers and varieties")
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
        self.plan_button = QuietButton("In the plan", self)
        self.plan_button.setToolTip("The slot it would better most, to buy it there (Alt+B)")
        self.plan_button.clicked.connect(self.to_plan)
        self.change_button = QuietButton("Change…", self)
        self.change_button.setToolTip("Enter on its row (Alt+C)")
        self.change_button.clicked.connect(self.change)
        self.delete_button = QuietButton("Delete", self)
        self.delete_button.setToolTip("Delete")
        self.delete_button.clicked.connect(self.delete)
        self.rate_button = QuietButton("Set a rate…", self)
        self.rate_button.setToolTip("Alt+R")
        self.rate_button.clicked.connect(self.set_rate)
        self.rules_button = QuietButton("Change the rules…", self)
        self.rules_button.setToolTip("Alt+G")
        self.rules_button.clicked.connect(self.change_rules)
        self.spot_button = QuietButton("Set the prices of metal…", self)
        self.spot_button.setToolTip("Alt+M")
        self.spot_button.clicked.connect(self.set_spot)
        self.variety_button = QuietButton("Its issue's price", self)
        self.variety_button.setToolTip(
            "Whether the variety chosen takes its issue's price (Alt+V, or Enter on its row)"
        )
        self.variety_button.clicked.connect(self.turn_variety)
        for button in (
            self.paste_button, self.import_button, self.variety_button, self.plan_button,
            self.change_button,
            self.delete_button, self.rate_button, self.rules_button, self.spot_button,
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
        rates.addWidget(Label("Varieties", "strong", page))
        self.varieties = PlainTable("Varieties", page)
        self.varieties.setProperty("kind", "lines")
        self.varieties.horizontalHeader().setResizeContentsPrecision(ROWS_MEASURED)
        self.varieties.shorten_first(LEAST_NAME_PX)
        self.varieties.setToolTip("Enter or a double click: its issue's price, or its own alone")
        self.varieties.activated.connect(lambda _index: self.turn_variety())
        rates.addWidget(self.varieties, 3)
        self.no_varieties = Label(NO_VARIETIES, "mute", page, wraps=True)
        rates.addWidget(self.no_varieties)
        self._below_varieties = QWidget(page)
        rates.addWidget(self._below_varieties, 3)
        line.addLayout(facts, 2)
        line.addLayout(rates, 3)
        return page

    def _build_keys(self) -> None:
        keys: tuple[tuple[str, Callable[[], object]], ...] = (
            ("Ctrl+F", self.filter.setFocus),
            ("Alt+E", self.line.field.setFocus),
            ("Alt+I", self.import_sheet),
            ("Alt+B", self.to_plan),
            ("Alt+R", self.set_rate),
            ("Alt+G", self.change_rules),
            ("Alt+1", lambda: self.choose_tab(0)),
            ("Alt+2", lambda: self.choose_tab(1)),
            ("Alt+3", lambda: self.choose_tab(2)),
            ("Alt+4", lambda: self.choose_tab(3)),
            ("Alt+M", self.set_spot),
            ("Alt+V", self.turn_variety),
            ("Alt+C", self.change),
            ("Alt+A", self._turn_metal),
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
        kept = (*self.tables, self.varieties)
        at = [table.currentIndex().row() for table in kept]
        quiet = sheet.quiet_prices
        self.tables[0].show_rows(PRICE_HEADS, sheet.price_rows, texts=3, quiet=quiet)
        quiet = sheet.quiet_offers
        self.tables[1].show_rows(OFFER_HEADS, sheet.offer_rows, texts=4, quiet=quiet)
        self.varieties.show_rows(VARIETY_HEADS, sheet.variety_rows, texts=2)
        for table, place in zip(kept, at, strict=True):
            rows = table.rows.rowCount()
            if rows:
                table.setCurrentIndex(table.rows.index(min(max(place, 0), rows - 1), 0))
        rates = [(r.currency, f"{r.per} {r.base}", r.day.isoformat()) for r in sheet.book.rates]
        self.rates.show_rows(RATE_HEADS, rates, texts=1)
        self.rates.setVisible(bool(rates))
        self.no_rates.setVisible(not rates)
        has_varieties = bool(sheet.variety_rows)
        self.varieties.setVisible(has_varieties)
        self.no_varieties.setText(NOTHING_FOUND if self.filter.text() else NO_VARIETIES)
        self.no_varieties.setVisible(not has_varieties)
        self._below_varieties.setVisible(not has_varieties)
        clear_layout(self.facts)
        for name, value in rule_facts(sheet.book.rules):
            self.facts.addWidget(FactRow(name, value, self))
        if self.metal.isVisible():
            self.metal.read()
        self._show_tab()

    def _on_tab(self, place: int) -> None:
        self._show_tab()
        first: QWidget = self.line.field
        if place == RULES:
            first = self.rules_button
        elif place == METAL:
            first = self.metal.table if self.metal.table.isVisible() else self.spot_button
        first.setFocus(Qt.FocusReason.OtherFocusReason)

    def choose_tab(self, place: int) -> None:
        """Prices, offers, rates and rules, or metal."""
        self.tabs.choose(place)
        self._on_tab(place)

    def _show_tab(self) -> None:
        place = self.tabs.choice()
        is_rules, is_list = place == RULES, place < RULES
        sheet = self.sheet
        self.pages.setCurrentIndex(place if is_list else place + len(EMPTY))
        if is_list and (sheet is None or not (sheet.price_rows, sheet.offer_rows)[place]):
            is_sought = bool(self.filter.text())
            self.pages.setCurrentWidget(self.none_found if is_sought else self.empties[place])
        self.line.setVisible(is_list)
        self.line.show_kind(place == PRICES)
        may = not self._desk.is_read_only
        for button, is_on in (
            (self.paste_button, place == PRICES), (self.import_button, place == PRICES),
            (self.plan_button, place == OFFERS),
            (self.change_button, is_list), (self.delete_button, place != METAL),
            (self.rate_button, is_rules), (self.rules_button, is_rules),
            (self.variety_button, is_rules), (self.spot_button, place == METAL),
        ):  # fmt: skip
            button.setVisible(is_on)
            button.setEnabled(may)
        if sheet is not None and place != METAL:
            shown = (sheet.prices, sheet.offers, sheet.book.rates)[place]
            self.delete_button.setEnabled(may and bool(shown))
            self.change_button.setEnabled(may and bool(shown))
        self.plan_button.setEnabled(sheet is not None and bool(sheet.offers))
        if is_rules:
            self.variety_button.setEnabled(may and sheet is not None and bool(sheet.varieties))
        self.delete_button.setText("Forget the rate" if is_rules else "Delete")
        self.filter.setVisible(place != METAL)
        self.filter.setPlaceholderText("Find a variety" if is_rules else "Find: all words you type")

    def to_table(self) -> None:
        """Give the rows the keys."""
        place = self.tabs.choice()
        table = (*self.tables, self.rates, self.metal.table)[place]
        table.setFocus(Qt.FocusReason.OtherFocusReason)

    # --- doing

    def _on_given(self, answer: "OfferAnswer") -> None:
        from core.app.offers import as_price
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

        if not self._may_change():
            return
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
        from gui.upgrades.price_sheet_dialog import PriceSheetDialog

        if not self._may_change():
            return
        draft = PriceSheetDialog.ask(self, self._desk, text, source)
        if draft is not None:
            many = len(draft.rows)
            told = "A price is taken in." if many == 1 else f"{many:,} prices are taken in."
            self._run(import_prices(draft), told)

    def delete(self) -> None:
        """Delete the price, the offer or the rate that is chosen."""
        from core.app.price_orders import delete_prices, delete_rate, take_back_offers

        sheet, place = self.sheet, self.tabs.choice()
        if sheet is None or place == METAL:
            return
        table = self.rates if place == RULES else self.tables[place]
        at = table.currentIndex().row()
        if at < 0:
            self.said.emit("Choose a row first.")
        elif place == 0:
            self._run(delete_prices([sheet.prices[at].id]), "The price is deleted.")
        elif place == 1:
            self._run(take_back_offers([sheet.offers[at].id]), "The offer is forgotten.")
        else:
            rate = sheet.book.rates[at]
            self._run(delete_rate(rate.currency, rate.base), "The rate is forgotten.")

    def change(self) -> None:
        """Ask what is otherwise of the price or the offer that is chosen, and keep it."""
        from core.app.price_orders import edit_offer, edit_price
        from gui.upgrades.price_forms import OfferForm, PriceForm

        sheet, place = self.sheet, self.tabs.choice()
        if sheet is None or place not in (PRICES, OFFERS) or not self._may_change():
            return
        at = self.tables[place].currentIndex().row()
        if at < 0:
            self.said.emit("Choose a row first.")
            return
        name = ", ".join((sheet.price_rows, sheet.offer_rows)[place][at][:2])
        if place == PRICES:
            price = PriceForm.ask(self, sheet.prices[at], name, sheet.book.today)
            if price is not None:
                self._run(edit_price(price.id, price), "The price is changed.")
            return
        offer = OfferForm.ask(self, sheet.offers[at], name, sheet.book.today)
        if offer is not None:
            self._run(edit_offer(offer), "The offer is changed.")

    def to_plan(self) -> None:
        """Go to the line of the plan where the offer chosen would gain most."""
        sheet, at = self.sheet, self.tables[OFFERS].currentIndex().row()
        if sheet is None or self.tabs.choice() != OFFERS:
            return
        if not 0 <= at < len(sheet.offers):
            self.said.emit("Choose a row first.")
        else:
            self.offer_asked.emit(sheet.offers[at])

    def set_rate(self) -> None:
        """Ask for a rate and keep it."""
        from core.app.price_orders import set_rate
        from gui.upgrades.price_forms import RateForm

        if self.sheet is None or not self._may_change():
            return
        answer = RateForm.ask(self, self.sheet.book.rules.base)
        if answer is not None:
            self._run(set_rate(*answer), f"The rate of {answer[0]} is kept.")

    def change_rules(self) -> None:
        """Ask for the rules and keep them."""
        from core.app.price_orders import set_rules
        from gui.upgrades.price_forms import RulesForm

        if self.sheet is None or not self._may_change():
            return
        rules = RulesForm.ask(self, self.sheet.book.rules, self.sheet.book.today)
        if rules is not None:
            self._run(set_rules(rules), "The rules are changed.")

    def set_spot(self) -> None:
        """Ask what silver and copper cost and keep it."""
        from core.app.price_orders import set_rules
        from gui.upgrades.price_forms import SpotForm

        if self.sheet is None or not self._may_change():
            return
        rules = SpotForm.ask(self, self.sheet.book.rules, self.sheet.book.today)
        if rules is not None:
            self._run(set_rules(rules), "The prices of metal are kept.")

    def turn_variety(self) -> None:
        """Let the variety chosen take its issue's price, or no longer."""
        from core.app.price_orders import let_inherit

        sheet, at = self.sheet, self.varieties.currentIndex().row()
        if sheet is None or self.tabs.choice() != RULES:
            return
        if not 0 <= at < len(sheet.varieties):
            self.said.emit("Choose a variety first.")
            return
        series, variety = sheet.varieties[at]
        takes = sheet.book.rules.lets_inherit(series, variety)
        told = "It is not priced without a price of its own" if takes else (
            "It takes its issue's price"
        )  # fmt: skip
        self._run(let_inherit(series, variety, not takes), f"{told}.")

    def _turn_metal(self) -> None:
        if self.tabs.choice() == METAL:
            self.metal.turn()

    def _may_change(self) -> bool:
        """Whether the collection can be changed; where not, the reason is shown."""
        if self._desk.is_read_only:
            self._desk.failed.emit(f"Nothing was changed. {self._desk.read_only_reason}")
            return False
        return True

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

    many = len(rules.inherits)
    taking = "all" if rules.inherits_all else f"{many:,}" if many else "none"
    return (
        ("base currency", rules.base),
        ("a price is old after", f"{rules.oldest_days:,} days"),
        ("of several sources", f"the {rules.choose} counts"),
        ("a problem coin costs", f"{rules.problem_share} % of a sound one"),
        ("a freed coin brings", f"{rules.resale_share} % of its price"),
        ("varieties that take their issue's price", taking),
    )  # fmt: skip
