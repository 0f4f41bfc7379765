"""What the upgrades workspace is built of; it shows, and decides nothing."""

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QProgressBar, QStackedWidget, QVBoxLayout, QWidget

from gui.desk import Desk
from gui.segmented import Segmented
from gui.theme import XL, L, M, S, set_style
from gui.upgrades.budget_card import BudgetCard
from gui.upgrades.head import UpgradesBar, UpgradesHead
from gui.upgrades.lines import Part
from gui.upgrades.months_card import MonthsCard
from gui.upgrades.side import FAIR, CostCard, CurveCard, SetCard
from gui.upgrades.table import LineTable
from gui.upgrades.what_if_card import WhatIfCard
from gui.widgets import (
    Band,
    Card,
    EmptyState,
    Hairline,
    Label,
    QuietButton,
    ScrollColumn,
    column,
    row,
)

if TYPE_CHECKING:
    from gui.upgrades.prices_page import PricesPage

SIDE_PX = 372
WIDE_SIDE_PX = 470
NARROW_PX, WIDE_PX, LOW_PX = 1180, 1500, 620
NO_ALBUM = (
    "No album yet",
    "The slots of your albums stand here, each with what would better it. Begin with an album of "
    "the series you collect.",
    "New album",
    "Ctrl+N",
)
SIDES = ("The plan", "Months", "What if")


class UpgradesFace(QWidget):
    """Head, budget, bar and table with their foot; beside them the plan, the months, what if."""

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("kind", "paper")
        self._desk = desk
        self.prices: PricesPage | None = None
        outer = column(self, spacing=0)
        self.pages = QStackedWidget(self)
        outer.addWidget(self.pages)
        self.main = QWidget(self.pages)
        line = row(self.main, (XL, L, L, L), L)
        line.addLayout(self._build_left(self.main), 1)
        line.addWidget(self._build_side(self.main))
        self.pages.addWidget(self.main)
        self.empty = EmptyState(*NO_ALBUM, parent=self.pages)
        self.pages.addWidget(self.empty)
        self.setFocusProxy(self.table)

    def _build_left(self, page: QWidget) -> QVBoxLayout:
        left = column(spacing=M)
        self.head = UpgradesHead(page)
        left.addWidget(self.head)
        self.band = Band(page, "Enter prices")
        self.band.say("")
        left.addWidget(self.band)
        self.budget = BudgetCard(page)
        left.addWidget(self.budget)
        self.bar = UpgradesBar(self.head.tools, page)
        left.addWidget(self.bar)
        card = Card(page, "card", (S, S, S, S), S)
        self.list_pages = QStackedWidget(card)
        self.table = LineTable(card)
        self.list_pages.addWidget(self.table)
        self.nothing = EmptyState("Nothing here", "", parent=card)
        self.nothing.acted.connect(lambda: self.bar.choose(Part.ALL))
        self.list_pages.addWidget(self.nothing)
        card.box.addWidget(self.list_pages, 1)
        card.box.addWidget(Hairline(card))
        self.line_told = Label("", "small", card, wraps=True, selectable=True)
        self.line_told.setMinimumHeight(34)
        self.line_told.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        inside = column(margins=(S, 0, S, 0), spacing=S)
        inside.addWidget(self.line_told)
        inside.addLayout(self._build_foot(card))
        card.box.addLayout(inside)
        left.addWidget(card, 1)
        return left

    def _build_foot(self, card: QWidget) -> QHBoxLayout:
        foot = row(spacing=S)
        self.foot = Label("", "strong_small", card, wraps=True)
        foot.addWidget(self.foot, 1)
        self.working = QProgressBar(card)
        self.working.setTextVisible(False)
        self.working.setFixedWidth(120)
        self.working.setRange(0, 1000)
        self.working.setAccessibleName("How far the plan is")
        self.cancel = QuietButton("Cancel", card)
        self.cancel.setToolTip("Stop working it out (Esc)")
        self.bought = QuietButton("Bought", card)
        self.bought.setToolTip("Put it on order in its slot (B)")
        self.more = QuietButton("More ▾", card)
        self.more.setAccessibleName("What can be done with this line")
        self.more.setToolTip("Pin, forbid, another grade (Alt+M)")
        self.print_button = QuietButton("Want list…", card)
        self.print_button.setToolTip("What is sought, on paper (Ctrl+Shift+W)")
        for widget in (self.working, self.cancel, self.bought, self.more, self.print_button):
            foot.addWidget(widget)
        self.working.hide()
        self.cancel.hide()
        return foot

    def _build_side(self, page: QWidget) -> QWidget:
        self.side = QWidget(page)
        self.side.setFixedWidth(SIDE_PX)
        box = column(self.side, spacing=M)
        self.tabs = Segmented(SIDES, "Beside the table", self.side)
        self.tabs.chosen.connect(self.show_side)
        for at, button in enumerate(self.tabs.buttons):
            button.setToolTip(f"{SIDES[at]} (Alt+{at + 1})")
        box.addWidget(self.tabs)
        self.sides = QStackedWidget(self.side)
        columns = [ScrollColumn(self.sides, (0, 0, S, 0), M) for _ in SIDES]
        self.curve = CurveCard(columns[0].inside)
        self.set = SetCard(columns[0].inside)
        self.costs = CostCard(columns[0].inside)
        self.months = MonthsCard(self._desk, columns[1].inside)
        self.what_if = WhatIfCard(self._desk, columns[2].inside)
        cards = ((self.curve, self.set, self.costs), (self.months,), (self.what_if,))
        for place, its in enumerate(cards):
            for card in its:
                columns[place].box.addWidget(card, int(card is self.months))
            if place != 1:
                columns[place].box.addStretch(1)
            self.sides.addWidget(columns[place])
        box.addWidget(self.sides, 1)
        self.fair = Label(FAIR, "small", self.side, wraps=True)
        box.addWidget(self.fair)
        self.tabs.choose(0)
        return self.side

    def show_side(self, place: int) -> None:
        """The plan, the months or what if, beside the table."""
        self.tabs.choose(place)
        self.sides.setCurrentIndex(place)
        if place == 1:
            self.months.look()
        elif place == 2:
            self.what_if.look()

    def say(self, text: str, is_fault: bool = False) -> None:
        """Under the table: what the plan comes to, or why there is none."""
        set_style(self.foot, "look", "fault" if is_fault else "strong_small")
        self.foot.setText(text)

    def to_table(self) -> None:
        """Give the table the keys; where there is none, what the page begins with."""
        page = self.pages.currentWidget()
        first: QWidget = self.table
        if page is self.empty:
            first = self.empty.button
        elif page is self.prices and self.prices is not None:
            first = self.prices.line.field
        first.setFocus(Qt.FocusReason.OtherFocusReason)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.head.title.setVisible(self.width() > NARROW_PX)
        self.budget.words.setVisible(self.height() > LOW_PX)
        self.side.setFixedWidth(WIDE_SIDE_PX if self.width() > WIDE_PX else SIDE_PX)
