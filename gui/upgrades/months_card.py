"""A sum each month: what to buy when, and the month in which each slot closes."""

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, QTimer
from PySide6.QtWidgets import QGridLayout, QLineEdit, QSpinBox, QWidget

from core.app.plan_tables import months_table, told_of_months
from core.app.work import Progress
from core.errors import BadEntry, CollectionError
from core.model.money import minor_digits, money_text, read_money
from core.planning.drawn import drawn_months
from core.planning.schedule import Schedule, schedule
from gui.desk import Desk
from gui.theme import L, M, S
from gui.upgrades.chart import warm
from gui.upgrades.chart_card import ChartWithTable, Page
from gui.upgrades.reading import Asked, Sheet
from gui.upgrades.solving import Solver
from gui.widgets import Card, Label, SaidLine

if TYPE_CHECKING:
    from core.printing.curve_page import CurveSheet

USUAL_MONTHLY, USUAL_MONTHS, MOST_MONTHS = 25, 12, 120
LIMIT_S = 5.0
LATER_MS, CHART_PX = 300, 150
NOTHING = "In these months nothing can be bought or moved in."


class MonthsCard(Card):
    """Works it out when it is shown, and again when the amount, the months or the plan change."""

    file_name = "A sum each month"

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent, "card", (L, M, L, M), S)
        self._sheet: Sheet | None = None
        self._asked = Asked()
        self._is_stale = True
        self.made: Schedule | None = None
        self._later = QTimer(self)
        self._later.setSingleShot(True)
        self._later.setInterval(LATER_MS)
        self._later.timeout.connect(self.work)
        self._desk = desk
        self.solver = Solver(desk, self)
        self.solver.working.connect(self._on_working)
        self.box.addWidget(Label("A sum each month", "strong", self))
        words = (
            "The best plan for all of it, spread over the months: each month the best that the "
            "money at hand pays for. What is left is kept."
        )
        self.box.addWidget(Label(words, "small", self, wraps=True))
        fields = QGridLayout()
        fields.setHorizontalSpacing(M)
        fields.setVerticalSpacing(S)
        self.name = Label("A month", "small", self)
        fields.addWidget(self.name, 0, 0)
        self.amount = QLineEdit(self)
        self.amount.setMaxLength(16)
        self.amount.textEdited.connect(lambda _text: self._later.start())
        fields.addWidget(self.amount, 1, 0)
        fields.addWidget(Label("Months", "small", self), 0, 1)
        self.months = QSpinBox(self)
        self.months.setRange(1, MOST_MONTHS)
        self.months.setValue(USUAL_MONTHS)
        self.months.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.months.setAccessibleName("Months looked at")
        self.months.valueChanged.connect(lambda _value: self._later.start())
        fields.addWidget(self.months, 1, 1)
        fields.setColumnStretch(0, 1)
        fields.setColumnStretch(1, 1)
        self.box.addLayout(fields)
        self.told = SaidLine(self)
        self.box.addWidget(self.told)
        self.shown = ChartWithTable("Slots closed month by month", self, CHART_PX, False, True)
        self.table = self.shown.table
        self.table.setMinimumHeight(300)
        self.box.addWidget(self.shown, 1)
        self.box.addStretch()
        self._page: Page | None = None

    def show_sheet(self, sheet: Sheet, asked: Asked) -> None:
        """What it is worked out over; done at once where the card is seen."""
        new, old = (
            (s, a.aim, a.pinned, a.forbidden)
            for s, a in ((sheet, asked), (self._sheet, self._asked))
        )
        if new == old:
            return
        if self._sheet is None or self._sheet.currency != sheet.currency:
            minor = USUAL_MONTHLY * 10 ** minor_digits(sheet.currency)
            self.amount.setText(money_text(minor, sheet.currency))
        self._sheet, self._asked, self._is_stale = sheet, asked, True
        self.name.setText(f"A month, {sheet.currency}")
        self.amount.setAccessibleName(f"A month, in {sheet.currency}")
        if self.isVisible():
            self._later.start()

    def look(self) -> None:
        """The card is seen now: work out what is stale."""
        if self._is_stale:
            self.work()

    def work(self) -> None:
        """Work the months out anew."""
        self._later.stop()
        sheet, asked = self._sheet, self._asked
        if sheet is None:
            return
        try:
            monthly = read_money(self.amount.text(), sheet.currency)
            if monthly <= 0:
                raise BadEntry("Set something aside each month: an amount above 0.")
        except BadEntry as bad:
            self.solver.drop()
            self._show_none(str(bad), is_fault=True)
            return
        self._is_stale = False
        many, given = self.months.value(), asked.given(sheet.found)
        self._page = None
        self.shown.refuse("The months are being worked out.")

        def solve(progress: Progress) -> Schedule:
            warm()

            def tell(share: float) -> None:
                progress.report(share, "Going through the months")

            return schedule(given, monthly, asked.aim, many, LIMIT_S, tell)

        def show(made: Schedule) -> None:
            self._show(sheet, asked, made, monthly, many)

        self.solver.ask(solve, show, self._on_failed, "Going through the months")

    def _on_working(self, is_on: bool, share: float, doing: str) -> None:
        if is_on:
            self.told.say(f"{doing}: {share:.0%}")

    def _on_failed(self, error: Exception) -> None:
        if not isinstance(error, CollectionError):
            self._desk.show_failure(error)
            return
        self._show_none(str(error), is_fault=True)

    def _show_none(self, why_not: str, is_fault: bool = False) -> None:
        self.made, self._page = None, None
        self.shown.show_none(why_not)
        self.told.say(why_not, is_fault=is_fault)

    def _show(self, sheet: Sheet, asked: Asked, made: Schedule, monthly: int, many: int) -> None:
        self.made = made
        if not made.months:
            self._show_none(NOTHING)
            self.made = made
            return
        self.shown.show_curve(
            drawn_months(made, sheet.found.book.today, many),
            months_table(sheet.found, made, has_kept=False),
        )
        self.told.say(told_of_months(made, sheet.currency))

        def make(collection: str) -> "CurveSheet":
            from core.app.plan_pages import About, months_sheet

            return months_sheet(About(collection, sheet.found), asked.aim, made, monthly, many)

        self._page = make

    def page(self) -> Page | None:
        """What makes the page on paper."""
        return self._page

    def hide_now(self) -> None:
        """Nobody looks: give up what is under way."""
        if self.solver.is_working:
            self._is_stale = True
        self.solver.drop()
