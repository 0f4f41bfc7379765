"""Upgrades: what to buy or swap next, slot by slot, within a budget."""

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QPoint, Qt, Signal
from PySide6.QtGui import QHideEvent, QKeyEvent, QKeySequence, QShortcut, QShowEvent
from PySide6.QtWidgets import QWidget

from core.app.changes import Changes
from core.errors import CollectionError
from core.model.prices import Offer, OfferId
from core.planning.aim import Aim
from core.planning.plan import PinsRefused
from gui.desk import Desk
from gui.settings import Settings
from gui.upgrades.chart_card import KEEP_KEY
from gui.upgrades.deeds import Deeds
from gui.upgrades.face import UpgradesFace
from gui.upgrades.keeping import Keepable, Keeping
from gui.upgrades.last_plan import plan_text, read_plan_text
from gui.upgrades.line_menu import open_line_menu
from gui.upgrades.lines import Choice, Part, best_place, chosen_lines, told_of
from gui.upgrades.planning import Lines, Planning
from gui.upgrades.reading import Asked, Further, Planned, Sheet
from gui.upgrades.side import foot_text
from gui.upgrades.spending import Spending

NO_PRICES = (
    "No prices yet: a handful is enough to plan with. Until then only coins you hold already are "
    "shown as upgrades."
)
KEYS = "P pins · X forbids · Left, Right: grade · B bought · W its worth · Enter: the slot"


class UpgradesWorkspace(UpgradesFace):
    """The table with the plan, and what it comes to beside it."""

    slot_asked = Signal(int, int)
    """Show this album (its id) at this slot (its id)."""
    command_asked = Signal(str)
    """A command of the window."""
    said = Signal(str)

    def __init__(self, desk: Desk, settings: Settings, parent: QWidget | None = None) -> None:
        super().__init__(desk, parent)
        self._settings = settings
        self._counted: Lines | None = None
        self._has_budget, self._is_placed = False, False
        self._refusal = ""
        self.spending = Spending()
        self._asked_offer: OfferId | None = None
        self.planning = Planning(desk, self)
        self.deeds = Deeds(desk, self)
        self.keeping = Keeping(desk, self)
        self.curve_cards: tuple[Keepable, ...] = (self.curve, self.months, self.what_if)
        self._plan_keys: list[QShortcut] = []
        self._bind_planning()
        self._bind_widgets()
        self._bind_keys()
        desk.changed.connect(self._on_changed)
        desk.opened.connect(self._on_opened)

    @property
    def asked(self) -> Asked:
        """What is planned."""
        return self.planning.asked

    @property
    def sheet(self) -> Sheet | None:
        """The slots, prices and albums as they were read last."""
        return self.planning.sheet

    @property
    def planned(self) -> Planned | None:
        """The newest plan."""
        return self.planning.planned

    @property
    def further(self) -> Further | None:
        """The curve and the whole costs, once they are worked out."""
        return self.planning.further

    # --- binding

    def _bind_planning(self) -> None:
        planning = self.planning
        planning.sheet_read.connect(self._show_sheet)
        planning.read_stopped.connect(
            lambda: self.say("Stopped. Open Upgrades again, or change something, to read anew.")
        )
        planning.lines_made.connect(self._show_kept)
        planning.plan_made.connect(self._show_plan)
        planning.refused.connect(self._show_refusal)
        planning.further_made.connect(self._show_further)
        planning.solver.working.connect(self._show_working)
        planning.solver.stopped.connect(
            lambda: self.say("Stopped. A new budget, aim or pin plans anew.")
        )
        self.deeds.said.connect(self.said)

    def _bind_widgets(self) -> None:
        planning, table = self.planning, self.table
        self.head.albums_chosen.connect(planning.ask_albums)
        self.head.prices_asked.connect(self.show_prices)
        self.band.acted.connect(self.show_prices)
        self.empty.acted.connect(lambda: self.command_asked.emit("new_album"))
        self.budget.budget_chosen.connect(self._on_budget)
        self.budget.aim_chosen.connect(self._on_aim)
        self.budget.left.connect(self.to_table)
        self.bar.changed.connect(self._show_kept)
        self.bar.filter.returnPressed.connect(self.to_table)
        table.tick_asked.connect(self.tick)
        table.pin_asked.connect(self.pin)
        table.forbid_asked.connect(self.forbid)
        table.bought_asked.connect(self.buy)
        table.worth_asked.connect(self.say_worth)
        table.grade_asked.connect(self.look_at_grade)
        table.go_asked.connect(self._go)
        table.up_asked.connect(self.bar.filter.setFocus)
        table.line_changed.connect(self._show_line)
        table.menu_asked.connect(self._open_menu)
        self.cancel.clicked.connect(planning.solver.stop)
        self.bought.clicked.connect(self.buy)
        self.more.clicked.connect(lambda: self._open_menu(None))
        self.print_button.clicked.connect(lambda: self.command_asked.emit("want_list"))
        self.curve.budget_chosen.connect(self.take_budget)
        self.costs.buy_asked.connect(self.go_to)
        what_if, deeds = self.what_if, self.deeds
        what_if.keep_asked.connect(lambda kept: deeds.keep_supposed(kept, what_if.forget))
        for card in self.curve_cards:
            card.shown.keep_asked.connect(partial(self.keeping.keep, card))
        self.keeping.said.connect(self.said)

    def _bind_keys(self) -> None:
        keys: tuple[tuple[str, Callable[[], object]], ...] = (
            ("Ctrl+F", self.bar.filter.setFocus),
            ("Alt+B", self.budget.focus_amount),
            ("Alt+A", self.budget.open_aims),
            ("Alt+L", self.head.albums.showMenu),
            ("Alt+S", self.bar.sort.showMenu),
            ("Alt+P", self.show_prices),
            ("Alt+1", partial(self.show_side, 0)),
            ("Alt+2", partial(self.show_side, 1)),
            ("Alt+3", partial(self.show_side, 2)),
            (KEEP_KEY, lambda: self.keeping.keep(self.curve_cards[self.sides.currentIndex()])),
            ("Alt+M", lambda: self._open_menu(None)),
            ("Alt+U", self.unpin_all),
        )
        for key, act in keys:
            shortcut = QShortcut(QKeySequence(key), self)
            shortcut.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
            shortcut.activated.connect(act)
            self._plan_keys.append(shortcut)
        self.pages.currentChanged.connect(self._let_keys)

    def _let_keys(self) -> None:
        """The page of prices has keys of its own, some of them the same."""
        for shortcut in self._plan_keys:
            shortcut.setEnabled(self.pages.currentWidget() is not self.prices)

    # --- showing what was read and worked out

    def read(self) -> None:
        """Read the slots anew, then plan."""
        self.planning.read()

    def solve(self) -> None:
        """Plan anew for what is asked now."""
        self.planning.solve()

    def _show_sheet(self) -> None:
        sheet = self.sheet
        if sheet is None:
            return
        self.head.show_albums(sheet.albums, self.asked.albums)
        self._show_told(sheet)
        is_other = self.budget.currency != sheet.currency
        self.budget.show_currency(sheet.currency)
        if is_other:
            self.spending = Spending()  # what was paid is of another currency
        if is_other or not self._has_budget:
            self._has_budget = True
            aim, budget = read_plan_text(self._settings.plan, sheet.currency)
            self.planning.ask_aim(aim or self.asked.aim)
            self.planning.ask_budget(budget)
            self.budget.show_aim(self.asked.aim)
            self.budget.show_budget(budget)
        self._settle()
        if not sheet.found.rows:
            self.pages.setCurrentWidget(self.empty)
            return
        if self.pages.currentWidget() is self.empty:
            self.pages.setCurrentWidget(self.main)
        self.band.say("" if sheet.has_prices else NO_PRICES)

    def _settle(self) -> None:
        """What was bought, or taken back, comes off the budget, or goes back onto it."""
        sheet, budget = self.sheet, self.asked.budget
        if sheet is None or budget is None:
            return
        left = self.spending.settled(budget, sheet.found.rows, sheet.found.coins)
        if left != budget:
            self.take_budget(left)

    def _show_told(self, sheet: Sheet) -> None:
        found = sheet.found
        self.head.told.setText(" · ".join(filter(None, (found.book.invented_text, *found.notes))))

    def _show_plan(self) -> None:
        sheet, planned = self.sheet, self.planned
        self._refusal = ""
        if sheet is None or planned is None:
            return
        is_first = not self._is_placed and self.table.currentIndex().row() <= 0
        self._is_placed = True
        self._show_told(sheet)
        self._show_kept()
        if is_first and self.table.model_.lines:
            self.table.go_to(self.table.model_.lines[0].slot)
        self.set.show_set(sheet.now, planned.then)
        self.say(" · ".join(foot_text(sheet, planned)))
        self.months.show_sheet(sheet, self.asked)
        self.curve.show_plan(planned)
        self._show_offer()

    def _show_refusal(self, error: Exception) -> None:
        if self.sheet is not None:
            self._show_told(self.sheet)
            self.set.show_set(self.sheet.now, None)
        if isinstance(error, CollectionError):
            way = " Alt+U takes all pins off." if isinstance(error, PinsRefused) else ""
            self._refusal = f"{error}{way}"
            self.say(self._refusal, is_fault=True)

    def _show_further(self) -> None:
        sheet, further = self.sheet, self.further
        if sheet is None:
            return
        self.months.show_sheet(sheet, self.asked)
        self.what_if.show_sheet(sheet, self.asked, further)
        self.curve.show_further(further, sheet, self.asked)
        self.costs.show_costs(sheet, further)
        if further is not None:
            self.budget.show_top(further.curve.steps[-1].spent)

    def _show_working(self, is_on: bool, share: float, doing: str) -> None:
        self.working.setVisible(is_on)
        self.cancel.setVisible(is_on)
        self.working.setValue(round(share * 1000))
        if is_on:
            self.say(f"{doing} …")
        elif self.planned is not None and self.sheet is not None:
            self.say(" · ".join(foot_text(self.sheet, self.planned)))
        elif self._refusal:
            self.say(self._refusal, is_fault=True)

    def _show_kept(self) -> None:
        """Show those of the lines that were chosen, in the order chosen."""
        sheet, lines = self.sheet, self.planning.lines
        if sheet is None:
            return
        if self._counted is not lines:
            self._counted = lines
            self.bar.show_counts(lines.counts)
        bar = self.bar
        kept = chosen_lines(
            lines.all, bar.part, bar.order, bar.filter.text(), bar.priced.isChecked()
        )
        self.table.show_lines(kept, sheet.currency, lines.has_albums)
        if not kept:
            title = "Nothing to do" if bar.part is Part.OPEN and not bar.filter.text() else (
                "No slot like this"
            )  # fmt: skip
            sentence = (
                "Every slot of these albums is at its target."
                if bar.part is Part.OPEN and not bar.filter.text() and not bar.priced.isChecked()
                else "Take a word out, or show all slots."
            )
            self.nothing.say(title, sentence, "All slots")
        self.list_pages.setCurrentIndex(0 if kept else 1)
        self._show_line()

    def _show_line(self) -> None:
        line = self.table.current if self.list_pages.currentIndex() == 0 else None
        sheet = self.sheet
        self.line_told.setText(told_of(line, sheet.currency) if line and sheet else KEYS)
        self.line_told.setToolTip(KEYS)
        may = line is not None and not self._desk.is_read_only
        self.bought.setEnabled(may and line is not None and (line.step is not None or line.is_move))
        self.bought.setText("Put it in" if line is not None and line.is_move else "Bought")
        self.more.setEnabled(line is not None)

    def go_to(self, slot: int) -> None:
        """Stand on a slot's line, whatever part is shown."""
        if not self.table.go_to(slot):
            self.bar.filter.clear()
            self.bar.priced.setChecked(False)
            self.bar.choose(Part.ALL)
            self.table.go_to(slot)
        self.to_table()

    # --- choosing

    def _on_budget(self, budget: int | None) -> None:
        self.planning.ask_budget(budget)
        self._keep_plan()
        self.curve.show_budget(budget)

    def _on_aim(self, aim: Aim) -> None:
        self.planning.ask_aim(aim)
        self._keep_plan()

    def _keep_plan(self) -> None:
        """Budget and aim are there again at the next start."""
        if self.sheet is not None:
            asked, currency = self.asked, self.sheet.currency
            self._settings.plan = plan_text(asked.aim, asked.budget, currency)

    def take_budget(self, budget: int) -> None:
        """Plan for an amount that was chosen elsewhere."""
        self.budget.show_budget(budget)
        self._on_budget(budget)

    def _turn(self, choice: Choice) -> None:
        line = self.table.current
        if line is None or line.step is None:
            self.said.emit("There is no purchase on this line to choose.")
            return
        free_or = Choice.FREE if line.choice is choice else choice
        self.planning.mark(line, line.step, free_or)

    def pin(self) -> None:
        """Buy what the line shows in every plan, or no longer."""
        self._turn(Choice.PINNED)

    def forbid(self) -> None:
        """Never buy what the line shows, or allow it again."""
        self._turn(Choice.FORBIDDEN)

    def tick(self) -> None:
        """Take a purchase out of the plan, or into it."""
        line = self.table.current
        if line is not None and line.is_move:
            self.said.emit("A coin you hold moves in for nothing; there is nothing to choose.")
        elif line is None or line.step is None:
            self.said.emit("There is no purchase on this line to choose.")
        elif line.choice is not Choice.FREE:
            self.planning.mark(line, line.step, Choice.FREE)
        else:
            self._turn(Choice.FORBIDDEN if line.is_in_plan else Choice.PINNED)

    def unpin_all(self) -> None:
        """Take all pins off."""
        self.planning.unpin_all()

    def look_at_grade(self, by: int) -> None:
        """Show the purchase of another grade on the line."""
        line = self.table.current
        if line is not None:
            self.planning.look_at_grade(line, by)

    def _open_menu(self, where: QPoint | None) -> None:
        line = self.table.current
        sheet = self.sheet
        if line is None or sheet is None:
            return
        corner = self.more.mapToGlobal(QPoint(0, 0)) if where is None else (
            self.table.viewport().mapToGlobal(where)
        )  # fmt: skip
        own = [("Go to the slot (Enter)", self._go)]
        if not self._desk.is_read_only:
            is_gap = line.row.slot.coin is None
            own.insert(
                0, ("What it costs… (W)" if is_gap else "What it is worth… (W)", self.say_worth)
            )
        if self.bought.isEnabled():
            own.insert(0, (f"{self.bought.text()} (B)", self.buy))
        open_line_menu(self, line, self.planning, sheet.found, own, corner)

    # --- doing

    def _go(self) -> None:
        line = self.table.current
        if line is not None:
            self.slot_asked.emit(int(line.row.album), line.slot)

    def buy(self) -> None:
        """The line's purchase is made, or its spare put in."""
        line, sheet = self.table.current, self.sheet
        if line is None or sheet is None:
            return
        step, lines = line.step, self.table.model_.lines
        after = self.table.currentIndex().row() + 1
        following = lines[after].slot if after < len(lines) else line.slot

        def paid(changes: Changes) -> None:
            self.table.go_to(following)
            cost = step.buy.cost if step is not None else None
            self.spending.bought(changes.made_coins, line.slot, cost or 0)
            self._settle()

        self.deeds.buy(line, sheet, paid)

    def say_worth(self) -> None:
        """Ask what the line's coin is worth, or one for its gap, and put that on the list."""
        from gui.upgrades.price_forms import WorthForm
        from gui.upgrades.price_reading import coin_to_price

        line, sheet = self.table.current, self.sheet
        if line is None or sheet is None:
            return
        if self._desk.is_read_only:
            self.said.emit("Here one can only look; say what a coin is worth where it is open.")
            return
        coin, name = coin_to_price(line.row.slot, sheet.series)
        book = sheet.found.book
        price = WorthForm.ask(self, coin, name, book.rules.base, book.today)
        if price is not None:
            self.deeds.say_worth(price, name)

    def show_prices(self) -> None:
        """Show the list, offers, rates and rules."""
        if self.prices is None:
            from gui.upgrades.prices_page import PricesPage

            self.prices = PricesPage(self._desk, self.pages)
            self.prices.left.connect(self._leave_prices)
            self.prices.said.connect(self.said)
            self.prices.offer_asked.connect(self.go_to_offer)
            self.pages.addWidget(self.prices)
        self.prices.read()
        self.pages.setCurrentWidget(self.prices)
        self.prices.line.field.setFocus(Qt.FocusReason.OtherFocusReason)

    def go_to_offer(self, offer: Offer) -> None:
        """Leave the prices for the line where an offer gains most, and show it there."""
        self._asked_offer = offer.id
        is_read = not self.planning.is_stale
        self._leave_prices()
        if is_read:
            self._show_offer()

    def _show_offer(self) -> None:
        """Stand on the line of the offer that was asked for, if one was."""
        asked, self._asked_offer = self._asked_offer, None
        if asked is None or self.sheet is None:
            return
        place = best_place(asked, self.sheet.found.rows)
        if place is None:
            self.said.emit("No slot of these albums would be better with this offer.")
            return
        slot, purchase = place
        self.planning.shown[slot] = purchase
        self.planning.solve()
        self.go_to(slot)

    def _leave_prices(self) -> None:
        is_bare = self.sheet is not None and not self.sheet.found.rows
        self.pages.setCurrentWidget(self.empty if is_bare else self.main)
        if self.planning.is_stale:
            self.read()
        self.to_table()

    # --- events

    def _on_changed(self, changes: Changes) -> None:
        if self.isVisible() and self.pages.currentWidget() is not self.prices:
            self.planning.take_changes(changes)
        else:
            self.planning.is_stale = True

    def _on_opened(self) -> None:
        self.what_if.forget()
        self.planning.begin_anew(self.budget.aim)
        self._has_budget, self._is_placed, self._refusal = False, False, ""
        self.spending = Spending()
        self.table.show_lines((), "", has_albums=False)
        self.pages.setCurrentWidget(self.main)
        if self.isVisible():
            self.read()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        if self.planning.is_stale and self.pages.currentWidget() is not self.prices:
            self.read()

    def hideEvent(self, event: QHideEvent) -> None:
        super().hideEvent(event)
        self.planning.is_stale |= self.planning.solver.is_working
        self.planning.solver.drop()
        self.months.hide_now()
        self.what_if.hide_now()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape and self.planning.solver.is_working:
            self.planning.solver.stop()
        elif event.key() == Qt.Key.Key_Escape and self.bar.filter.text():
            self.bar.filter.clear()
            self.to_table()
        else:
            super().keyPressEvent(event)
