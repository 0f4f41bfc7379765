"""Beside the table: the curve with its table, the set before and after, what it costs to finish."""

from collections.abc import Sequence
from fractions import Fraction

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QSpinBox, QWidget

from core.app.standings import Standings
from core.model.money import money_text
from core.planning.aim import GAPS_CLOSED, POINTS_GAINED, TARGETS_MET, Aim
from core.planning.curve import Cost, cost_of_share
from core.planning.difficulty import Percentage
from gui.search.plain_table import PlainTable
from gui.theme import L, M, S
from gui.upgrades.chart import BudgetChart
from gui.upgrades.lines import points_text
from gui.upgrades.reading import Further, Planned, Sheet, Weighed
from gui.widgets import Card, FactRow, Label, QuietButton, Segmented, clear_layout, column, row

MOST_IN_TABLE = 200
FAIR = "Prices are the collector's own; estimates, not appraisals."


def figure_name(aim: Aim) -> str:
    """What a curve of an aim counts."""
    if aim.shown == GAPS_CLOSED:
        return "gaps closed"
    if aim.shown == TARGETS_MET:
        return "slots brought to target"
    return "grade points gained" if aim.shown == POINTS_GAINED else "sum of the mix"


class CurveCard(Card):
    """What each amount buys; a click on the curve chooses the budget."""

    budget_chosen = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent, "card", (L, M, L, M), S)
        line = row(spacing=S)
        self.title = Label("What each amount buys", "strong", self)
        line.addWidget(self.title, 1)
        self.behind = QuietButton("Table", self, "quiet")
        self.behind.setCheckable(True)
        self.behind.setShortcut("Alt+T")
        self.behind.setToolTip("The table behind the curve (Alt+T)")
        self.behind.setAccessibleName("The table behind the curve")
        line.addWidget(self.behind)
        self.box.addLayout(line)
        self.told = Label("", "small", self, wraps=True)
        self.box.addWidget(self.told)
        self.chart = BudgetChart(self)
        self.chart.chosen.connect(self.budget_chosen)
        self.box.addWidget(self.chart)
        self.table = PlainTable("What each amount buys", self)
        self.table.setFixedHeight(268)
        self.table.horizontalHeader().setResizeContentsPrecision(40)
        self.table.hide()
        self.box.addWidget(self.table)
        self.behind.toggled.connect(self._on_behind)

    def _on_behind(self, is_on: bool) -> None:
        self.table.setVisible(is_on)
        self.chart.setVisible(not is_on)

    def show_further(self, further: Further | None, currency: str, budget: int | None) -> None:
        """Show the curve; None: it is on its way."""
        if further is None:
            self.told.setText("Working it out …")
            self.chart.show_curve((), "", currency)
            self.table.show_rows((), ())
            return
        unit, found = further.aim.unit, further.curve
        steps = [(step.spent, step.figure / unit) for step in found.steps]
        has_steps = len(steps) > 1
        self.chart.setVisible(has_steps and not self.behind.isChecked())
        self.behind.setEnabled(has_steps)
        if not has_steps:
            self.behind.setChecked(False)
            self.chart.hide()
            self.told.setText("Nothing that has a price is left to buy.")
            self.chart.show_curve((), "", currency)
            self.table.show_rows((), ())
            return
        name = figure_name(further.aim)
        exact = (
            "" if found.is_complete and found.is_proven else " · at some amounts only, not exact"
        )
        self.told.setText(f"{name}, by money spent{exact}")
        self.chart.show_curve(steps, name, currency)
        self.chart.show_budget(budget)
        rows = [
            (money_text(money, currency), f"{value:g}", f"{value - before:+g}")
            for (money, value), before in zip(
                steps, [0.0, *(value for _, value in steps)], strict=False
            )
        ]
        more = len(rows) - MOST_IN_TABLE
        if more > 0:
            rows = [*rows[:MOST_IN_TABLE], (f"and {more:,} more steps", "", "")]
        self.table.show_rows((f"Spent, {currency}", "Buys", "More"), rows)


class SetCard(Card):
    """The set now and once the plan is carried out."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent, "card", (L, M, L, M), S)
        line = row(spacing=S)
        line.addWidget(Label("The set then", "strong", self), 1)
        self.which = Segmented(("filled", "at target"), "Percentages of the slots", self)
        self.which.choose(0)
        self.which.chosen.connect(lambda _place: self._show())
        line.addWidget(self.which)
        self.box.addLayout(line)
        self.grid = QGridLayout()
        self.grid.setHorizontalSpacing(M)
        self.grid.setVerticalSpacing(S)
        self.grid.setColumnStretch(0, 1)
        self.box.addLayout(self.grid)
        self.left_out = Label("", "small", self, wraps=True)
        self.box.addWidget(self.left_out)
        self._now: Weighed | None = None
        self._then: Weighed | None = None

    def show_set(self, now: Weighed, then: Weighed | None) -> None:
        """Show both; no plan shows the present alone."""
        self._now, self._then = now, then
        self._show()

    @property
    def texts(self) -> list[str]:
        """What is shown, line by line."""
        return self._told

    _told: list[str] = []  # noqa: RUF012 (replaced whole)

    def _show(self) -> None:
        now = self._now
        if now is None:
            return
        then = self._then or now
        at = self.which.choice()
        before, after = (w.at_target if at else w.filled for w in (now, then))
        rows = [
            ("have", f"{now.have:,} of {now.wanted:,}", f"{then.have:,} of {then.wanted:,}"),
            ("at target", f"{now.met:,}", f"{then.met:,}"),
            ("gaps", f"{now.wanted - now.have:,}", f"{then.wanted - then.have:,}"),
            ("by count", _percent(before.by_count), _percent(after.by_count)),
            ("by scarcity", _percent(before.by_scarcity), _percent(after.by_scarcity)),
            ("by price", _percent(before.by_price), _percent(after.by_price)),
            ("average grade", points_text(now.filled.grades.mean),
             points_text(then.filled.grades.mean)),
            ("spread, points", _spread(now.filled), _spread(then.filled)),
        ]  # fmt: skip
        clear_layout(self.grid)
        self._told = []
        right = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
        for place, (name, first, last) in enumerate(rows):
            self._told.append(f"{name}: {first} → {last}")
            label = Label(name, "body", self)
            label.setAccessibleName(self._told[-1])
            self.grid.addWidget(label, place, 0)
            self.grid.addWidget(Label(first, "mute", self), place, 1, right)
            self.grid.addWidget(Label("→", "mute", self), place, 2)
            self.grid.addWidget(Label(last, "strong", self), place, 3, right)
        parts = [
            f"{one.left_out} left out {why}"
            for one, why in (
                (after.by_scarcity, "by scarcity: mintage not known"),
                (after.by_price, "by price: not priced at target"),
            )
            if one.left_out
        ]
        without = then.filled.grades.without
        parts += [f"{without} without a grade"] if without else []
        self.left_out.setText(" · ".join(parts))
        self.left_out.setVisible(bool(parts))


def _percent(one: Percentage) -> str:
    return "—" if one.per_cent is None else f"{one.per_cent:.0f} %"


def _spread(one: Standings) -> str:
    return "—" if one.grades.spread is None else f"± {one.grades.spread:.1f}"


class CostCard(Card):
    """Next best purchase, cost to finish and to reach the targets, cheapest way to a percentage."""

    buy_asked = Signal(int)
    """Stand on this slot."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent, "card", (L, M, L, M), S)
        self.box.addWidget(Label("What it costs", "strong", self))
        self.next = QuietButton("", self, "link")
        self.next.setShortcut("Alt+N")
        self.next.setToolTip("Go to its line (Alt+N)")
        self.next.clicked.connect(self._on_next)
        self.box.addWidget(self.next)
        self.rows = column(spacing=S)
        self.box.addLayout(self.rows)
        line = row(spacing=S)
        line.addWidget(Label("cheapest way to", "mute", self))
        self.share = QSpinBox(self)
        self.share.setRange(1, 100)
        self.share.setValue(90)
        self.share.setSuffix(" %")
        self.share.setAccessibleName("Share of all slots")
        self.share.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.share.setFixedWidth(72)
        self.share.valueChanged.connect(lambda _value: self._show_share())
        line.addWidget(self.share)
        self.which = Segmented(("filled", "at target"), "What the share is of", self)
        self.which.choose(0)
        self.which.chosen.connect(lambda _place: self._show_share())
        line.addWidget(self.which)
        line.addStretch(1)
        self.box.addLayout(line)
        self.way = Label("", "strong", self, wraps=True)
        self.box.addWidget(self.way)
        self._sheet: Sheet | None = None
        self._further: Further | None = None
        self._next_slot = 0

    def show_costs(self, sheet: Sheet, further: Further | None) -> None:
        """Show them; None: they are on their way."""
        self._sheet, self._further = sheet, further
        clear_layout(self.rows)
        self.next.setVisible(further is not None and bool(further.next_buys))
        if further is None:
            self.rows.addWidget(Label("Working it out …", "mute", self))
            self.way.setText("")
            return
        if further.next_buys:
            best = further.next_buys[0]
            buy = sheet.found.buys[best.purchase]
            self._next_slot = best.slot
            cost = money_text(best.cost, sheet.currency)
            self.next.setText(f"Next best: {buy.name} for {cost}".replace("&", "&&"))
        for name, whole in (("to fill every gap", further.finish),
                           ("to reach every target", further.reach)):  # fmt: skip
            self.rows.addWidget(FactRow(name, cost_text(whole, sheet.currency), self))
        self._show_share()

    def _on_next(self) -> None:
        self.buy_asked.emit(self._next_slot)

    def _show_share(self) -> None:
        sheet, further = self._sheet, self._further
        if sheet is None or further is None:
            return
        is_target = self.which.choice() == 1
        step, found = (TARGETS_MET, further.targets) if is_target else (GAPS_CLOSED, further.gaps)
        share = Fraction(self.share.value(), 100)
        cost = cost_of_share(sheet.found.given, found, step, share)
        if cost is None:
            text = "no priced coins lead there"
        else:
            text = f"{money_text(cost, sheet.currency)} {sheet.currency}" if cost else "is reached"
        exact = "" if found.is_complete and found.is_proven else ", at most"
        self.way.setText(text + exact)


def cost_text(cost: Cost, currency: str) -> str:
    """840.00 HBT, 3 slots not priced."""
    said = [f"{money_text(cost.money, currency)} {currency}"]
    many = len(cost.not_priced)
    if many:
        said.append(f"{many:,} slot{'s' if many > 1 else ''} not priced")
    if cost.out_of_reach:
        said.append(f"{cost.out_of_reach} out of reach of your prices")
    if not cost.is_proven:
        said.append("not proven least")
    return ", ".join(said)


def proof_text(planned: Planned) -> str:
    """proven best; or how far from it."""
    made = planned.plan
    if made.is_proven:
        return "proven best" if made.is_least else "proven best, perhaps not the cheapest"
    return f"not proven: one could be better by up to {made.gap:.1%}"


def foot_text(sheet: Sheet, planned: Planned) -> Sequence[str]:
    """What a plan comes to, part by part."""
    made, currency = planned.plan, sheet.currency
    many, moved = len(made.purchases), len(made.moves)
    said = [f"{many} to buy" + (f", {moved} to move in" if moved else "")]
    said.append(f"{money_text(made.spent, currency)} spent")
    if planned.asked.budget is not None:
        said.append(f"{money_text(planned.asked.budget - made.spent, currency)} left")
    if made.brings:
        said.append(f"{money_text(made.brings, currency)} may come back")
    said.append(proof_text(planned))
    return said
