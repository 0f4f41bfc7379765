"""Beside the table: the curve with its table, the set before and after, what it costs to finish."""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QSpinBox, QWidget

from core.app.plan_tables import curve_proof, curve_table, nothing_text, plan_proof
from core.app.standings import Standings
from core.model.money import money_text
from core.planning.aim import GAPS_CLOSED, TARGETS_MET
from core.planning.curve import Cost, cost_of_share, missing_for_share
from core.planning.difficulty import Percentage
from core.planning.drawn import curve_stairs, drawn_curve, figure_name
from gui.segmented import Segmented
from gui.theme import L, M, S
from gui.upgrades.chart_card import ChartWithTable, Page
from gui.upgrades.lines import points_text
from gui.upgrades.reading import Asked, Further, Planned, Sheet, Weighed
from gui.widgets import Card, FactRow, Label, QuietButton, clear_layout, column, row

if TYPE_CHECKING:
    from core.printing.curve_page import CurveSheet

FAIR = "Prices are the collector's own; estimates, not appraisals."


class CurveCard(Card):
    """What each amount buys; a click on the curve chooses the budget."""

    budget_chosen = Signal(object)
    file_name = "What each amount buys"

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent, "card", (L, M, L, M), S)
        self.title = Label("What each amount buys", "strong", self)
        self.box.addWidget(self.title)
        self.told = Label("", "small", self, wraps=True)
        self.box.addWidget(self.told)
        self.shown = ChartWithTable("What each amount buys", self)
        self.chart, self.behind, self.table = (
            self.shown.chart, self.shown.behind, self.shown.table,
        )  # fmt: skip
        self.chart.chosen.connect(self.budget_chosen)
        self.box.addWidget(self.shown)
        self._sheet: Sheet | None = None
        self._further: Further | None = None
        self._asked = Asked()
        self._planned: Planned | None = None

    def show_further(self, further: Further | None, sheet: Sheet, asked: Asked) -> None:
        """Show the curve; None: it is on its way."""
        self._sheet, self._further, self._asked = sheet, further, asked
        if further is None:
            self.told.setText("Working it out …")
            self.shown.show_none("The curve is being worked out.", is_for_now=True)
            return
        stairs = curve_stairs(further.curve, further.aim.unit)
        if len(stairs) < 2:
            why_not = nothing_text(figure_name(further.aim))
            self.told.setText(why_not)
            self.shown.show_none(why_not)
            return
        drawn = drawn_curve(stairs, further.aim, sheet.currency)
        proof = curve_proof(further.curve)
        self.told.setText(f"{drawn.figure}, by money spent · {proof}")
        self.shown.show_curve(drawn, curve_table(stairs, sheet.currency))
        self.chart.show_budget(asked.budget)

    def show_budget(self, budget: int | None) -> None:
        """Mark the budget."""
        self._asked = replace(self._asked, budget=budget)
        self.chart.show_budget(budget)

    def show_plan(self, planned: Planned) -> None:
        """Mark the budget of a plan, which the page tells too."""
        self._planned = planned
        self.show_budget(planned.asked.budget)

    def page(self) -> Page | None:
        """What makes the page on paper."""
        sheet, further, asked, planned = self._sheet, self._further, self._asked, self._planned
        if sheet is None or further is None or not self.shown.has_curve:
            return None
        is_its_plan = planned is not None and (planned.asked.budget, planned.asked.aim) == (
            asked.budget, further.aim,
        )  # fmt: skip
        made = planned.plan if planned is not None and is_its_plan else None
        pins = "the plan holds them, the curve is of all choices"

        def make(collection: str) -> "CurveSheet":
            from core.app.plan_pages import About, curve_sheet

            about = About(collection, sheet.found)
            told = pins if asked.pinned else ""
            return curve_sheet(about, further.aim, further.curve, asked.budget, made, told)

        return make


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
            ("gaps", f"{now.gaps:,}", f"{then.gaps:,}"),
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
                (after.by_price, "by price: no price at their target"),
            )
            if one.left_out
        ]
        without = then.filled.grades.without
        parts += [f"{without} without a grade"] if without else []
        bare, coming = now.optional_gaps, then.arrived
        if bare:
            parts.append(f"{bare} optional gap{'s are' if bare > 1 else ' is'} not counted")
        if coming:
            parts.append(f"{coming} on order counted as there then")
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
        given = sheet.found.given
        cost = cost_of_share(given, found, step, share)
        if missing_for_share(given, step, share) <= 0:
            text = "is reached"
        elif cost is None:
            text = "no priced coins lead there"
        elif cost == 0:
            text = "nothing: coins you hold lead there"
        else:
            is_exact = found.is_complete and found.is_proven
            amount = f"{money_text(cost, sheet.currency)} {sheet.currency}"
            text = f"{amount}{'' if is_exact else ', at most'}"
        self.way.setText(text)


def cost_text(cost: Cost, currency: str) -> str:
    """840.00 HBT, 3 slots not priced."""
    many = len(cost.not_priced)
    said = [f"{money_text(cost.money, currency)} {currency}"]
    if many and not cost.money:
        said = [f"{many:,} slot{'s' if many > 1 else ''}, none priced"]
    elif many:
        said.append(f"{many:,} slot{'s' if many > 1 else ''} not priced")
    if cost.out_of_reach:
        said.append(f"{cost.out_of_reach} out of reach of your prices")
    if not cost.is_proven:
        said.append("not proven least")
    return ", ".join(said)


def foot_text(sheet: Sheet, planned: Planned) -> Sequence[str]:
    """What a plan comes to, part by part."""
    made, currency = planned.plan, sheet.currency
    many, moved = len(made.purchases), len(made.moves)
    if not many and not moved:
        priced = any(row.steps for row in sheet.found.rows)
        return ["nothing to buy within this budget" if priced else "nothing is priced yet"]
    said = [f"{many} to buy" + (f", {moved} to move in" if moved else "")]
    said.append(f"{money_text(made.spent, currency)} spent")
    if planned.asked.budget is not None:
        said.append(f"{money_text(planned.asked.budget - made.spent, currency)} left")
    if made.brings:
        said.append(f"{money_text(made.brings, currency)} may come back")
    said.append(plan_proof(made))
    return said
