"""A sum each month: what to buy when, and the month in which each slot closes."""

from datetime import date

from PySide6.QtCore import Qt, QTimer
from PySide6.QtWidgets import QLineEdit, QSpinBox, QWidget

from core.app.work import Progress
from core.errors import BadEntry, CollectionError
from core.model.money import minor_digits, money_text, read_money
from core.planning.schedule import Schedule, schedule
from gui.day_words import MONTHS
from gui.desk import Desk
from gui.search.plain_table import PlainTable
from gui.theme import L, M, S
from gui.upgrades.reading import Asked, Sheet
from gui.upgrades.solving import Solver
from gui.widgets import Card, Label, SaidLine, column, row

USUAL_MONTHLY, USUAL_MONTHS, MOST_MONTHS = 25, 12, 120
LIMIT_S = 5.0
LATER_MS = 300
HEADS = ("Month", "Slot, and what comes in", "Cost")


class MonthsCard(Card):
    """Works it out when it is shown, and again when the amount, the months or the plan change."""

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
        line = row(spacing=M)
        left, right = column(spacing=S), column(spacing=S)
        self.name = Label("A month", "small", self)
        left.addWidget(self.name)
        self.amount = QLineEdit(self)
        self.amount.setMaxLength(16)
        self.amount.textEdited.connect(lambda _text: self._later.start())
        left.addWidget(self.amount)
        right.addWidget(Label("Months", "small", self))
        self.months = QSpinBox(self)
        self.months.setRange(1, MOST_MONTHS)
        self.months.setValue(USUAL_MONTHS)
        self.months.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.months.setAccessibleName("Months looked at")
        self.months.valueChanged.connect(lambda _value: self._later.start())
        right.addWidget(self.months)
        line.addLayout(left, 1)
        line.addLayout(right, 1)
        self.box.addLayout(line)
        self.told = SaidLine(self)
        self.box.addWidget(self.told)
        self.table = PlainTable("Month by month", self)
        self.table.setMinimumHeight(300)
        self.table.horizontalHeader().setResizeContentsPrecision(40)
        self.box.addWidget(self.table, 1)

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
            self.told.say(str(bad), is_fault=True)
            return
        self._is_stale = False
        many, given = self.months.value(), asked.given(sheet.found)

        def solve(progress: Progress) -> Schedule:
            def tell(share: float) -> None:
                progress.report(share, "Going through the months")

            return schedule(given, monthly, asked.aim, many, LIMIT_S, tell)

        self.solver.ask(solve, self._show, self._on_failed, "Going through the months")

    def _on_working(self, is_on: bool, share: float, doing: str) -> None:
        if is_on:
            self.told.say(f"{doing}: {share:.0%}")

    def _on_failed(self, error: Exception) -> None:
        if not isinstance(error, CollectionError):
            self._desk.show_failure(error)
            return
        self.made = None
        self.table.show_rows(HEADS, (), texts=2)
        self.told.say(str(error), is_fault=True)

    def _show(self, made: Schedule) -> None:
        sheet = self._sheet
        if sheet is None:
            return
        self.made = made
        currency, today = sheet.currency, sheet.found.book.today
        rows: list[tuple[str, str, str]] = []
        for month in made.months:
            when = month_text(today, month.number)
            for moved in month.moves:
                coin = sheet.found.coin(moved.coin)
                grade = coin.grade.text if coin.grade else "no grade"
                kind = "spare" if moved.from_slot is None else "freed"
                label = sheet.found.row_of(moved.to_slot).slot.label
                rows.append((when, f"{label}: {kind} {grade}", "—"))
            for bought in month.purchases:
                buy = sheet.found.buys[bought.purchase]
                grade = buy.coin.grade.text if buy.coin.grade else "no grade"
                label = sheet.found.row_of(bought.slot).slot.label
                rows.append((when, f"{label}: {grade}", money_text(bought.cost, currency)))
        self.table.show_rows(HEADS, rows, texts=2)
        self.told.say(told_of_months(made, currency))

    def hide_now(self) -> None:
        """Nobody looks: give up what is under way."""
        if self.solver.is_working:
            self._is_stale = True
        self.solver.drop()


def month_text(today: date, number: int) -> str:
    """Month 1 is this one: Nov 2026."""
    at = today.year * 12 + today.month - 1 + number - 1
    return f"{MONTHS[at % 12][:3]} {at // 12}"


def told_of_months(made: Schedule, currency: str) -> str:
    """How many slots close, for how much, and what is left over."""
    many = len(made.closes)
    said = [f"{many} slot{'s' * (many != 1)} close" + "s" * (many == 1),
            f"{money_text(made.spent, currency)} spent"]  # fmt: skip
    if made.later:
        said.append(f"{len(made.later)} need more months")
    if made.not_priced:
        said.append(f"{len(made.not_priced)} not priced, left out")
    said.append("proven best" if made.is_proven else "not proven best")
    return " · ".join(said)
