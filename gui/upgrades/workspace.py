"""Upgrades: what to buy or swap next, slot by slot, within a budget."""

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QPoint, Qt, QTimer, Signal
from PySide6.QtGui import (
    QAction,
    QHideEvent,
    QKeyEvent,
    QKeySequence,
    QResizeEvent,
    QShortcut,
    QShowEvent,
)
from PySide6.QtWidgets import QHBoxLayout, QProgressBar, QStackedWidget, QVBoxLayout, QWidget

from core.app.changes import Changes
from core.app.work import Progress
from core.errors import CollectionError
from core.model.album import AlbumId, SlotId, Target, Wish
from core.planning.aim import Aim
from core.planning.plan import PinsRefused
from gui.desk import Desk
from gui.settings import Settings
from gui.theme import XL, L, M, S
from gui.upgrades.budget_card import BudgetCard
from gui.upgrades.head import UpgradesBar, UpgradesHead
from gui.upgrades.lines import Choice, Line, Part, chosen_lines, counts, make_lines, told_of
from gui.upgrades.months_card import MonthsCard
from gui.upgrades.reading import (
    Asked,
    Further,
    Planned,
    Sheet,
    look_further,
    make_plan,
    read_sheet,
)
from gui.upgrades.side import FAIR, CostCard, CurveCard, SetCard, foot_text
from gui.upgrades.solving import Solver
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
    Segmented,
    column,
    make_menu,
    row,
)
from gui.work import Job

if TYPE_CHECKING:
    from core.app.collection import Collection
    from core.app.order import Operation
    from gui.upgrades.prices_page import PricesPage

LATER_MS, UNPLANNED_MS = 180, 600
SIDE_PX = 372
WIDE_SIDE_PX = 470
NARROW_PX, WIDE_PX, LOW_PX = 1180, 1500, 620
USUAL_BUDGET = 250
NO_ALBUM = (
    "No album yet",
    "The slots of your albums stand here, each with what would better it. Begin with an album of "
    "the series you collect.",
    "New album",
    "Ctrl+N",
)
NO_PRICES = (
    "No prices yet: a handful is enough to plan with. Until then only coins you hold already are "
    "shown as upgrades."
)
SIDES = ("The plan", "Months", "What if")
KEYS = "P pins · X forbids · Left, Right: grade · B bought · Enter: the slot"


class UpgradesWorkspace(QWidget):
    """The table with the plan, and what it comes to beside it."""

    slot_asked = Signal(int, int)
    """Show this album (its id) at this slot (its id)."""
    command_asked = Signal(str)
    """A command of the window."""
    said = Signal(str)

    def __init__(self, desk: Desk, settings: Settings, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("kind", "paper")
        self._desk, self._settings = desk, settings
        self.asked = Asked()
        self.sheet: Sheet | None = None
        self.planned: Planned | None = None
        self.further: Further | None = None
        self._planned_of: Sheet | None = None
        self._further_of: tuple[object, ...] = ()
        self._shown: dict[int, int] = {}
        self._lines: tuple[Line, ...] = ()
        self._counted: tuple[Line, ...] | None = None
        self._job: Job | None = None
        self._is_stale = True
        self._has_budget = False
        self.prices: PricesPage | None = None
        self.solver = Solver(desk, self)
        self.solver.working.connect(self._on_working)
        self.solver.stopped.connect(self._on_stopped)
        self._later = QTimer(self)
        self._later.setSingleShot(True)
        self._later.setInterval(LATER_MS)
        self._later.timeout.connect(self.solve)
        self._unplanned = QTimer(self)
        self._unplanned.setSingleShot(True)
        self._unplanned.setInterval(UNPLANNED_MS)
        self._unplanned.timeout.connect(self._show_unplanned)
        self._build()
        self._build_keys()
        desk.changed.connect(self._on_changed)
        desk.opened.connect(self._on_opened)
        self.setFocusProxy(self.table)

    # --- building

    def _build(self) -> None:
        outer = column(self, spacing=0)
        self.pages = QStackedWidget(self)
        outer.addWidget(self.pages)
        self.main = QWidget(self.pages)
        line = row(self.main, (XL, L, L, L), L)
        line.addLayout(self._build_left(self.main), 1)
        line.addWidget(self._build_side(self.main))
        self.pages.addWidget(self.main)
        self.empty = EmptyState(*NO_ALBUM, parent=self.pages)
        self.empty.acted.connect(lambda: self.command_asked.emit("new_album"))
        self.pages.addWidget(self.empty)

    def _build_left(self, page: QWidget) -> QVBoxLayout:
        left = column(spacing=M)
        self.head = UpgradesHead(page)
        self.head.albums_chosen.connect(self._on_albums)
        self.head.prices_asked.connect(self.show_prices)
        left.addWidget(self.head)
        self.band = Band(page, "Enter prices")
        self.band.acted.connect(self.show_prices)
        self.band.say("")
        left.addWidget(self.band)
        self.budget = BudgetCard(page)
        self.budget.budget_chosen.connect(self._on_budget)
        self.budget.aim_chosen.connect(self._on_aim)
        self.budget.left.connect(self.to_table)
        left.addWidget(self.budget)
        self.bar = UpgradesBar(self.head.tools, page)
        self.bar.changed.connect(self._show_kept)
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
        table = self.table
        table.tick_asked.connect(self.tick)
        table.pin_asked.connect(self.pin)
        table.forbid_asked.connect(self.forbid)
        table.bought_asked.connect(self.buy)
        table.grade_asked.connect(self.look_at_grade)
        table.go_asked.connect(self._go)
        table.up_asked.connect(self.bar.filter.setFocus)
        table.line_changed.connect(self._show_line)
        table.menu_asked.connect(self._open_menu)
        self.bar.filter.returnPressed.connect(self.to_table)
        return left

    def _build_foot(self, card: QWidget) -> QHBoxLayout:
        foot = row(spacing=S)
        self.foot = Label("", "strong_small", card, wraps=True)
        foot.addWidget(self.foot, 1)
        self.working = QProgressBar(card)
        self.working.setTextVisible(False)
        self.working.setFixedWidth(120)
        self.working.setAccessibleName("How far the plan is")
        self.cancel = QuietButton("Cancel", card)
        self.cancel.setToolTip("Stop working it out (Esc)")
        self.cancel.clicked.connect(self.solver.stop)
        self.bought = QuietButton("Bought", card)
        self.bought.setToolTip("Put it on order in its slot (B)")
        self.bought.clicked.connect(self.buy)
        self.more = QuietButton("More ▾", card)
        self.more.setAccessibleName("What can be done with this line")
        self.more.setToolTip("Pin, forbid, another grade (Alt+M)")
        self.more.clicked.connect(lambda: self._open_menu(None))
        self.print_button = QuietButton("Want list…", card)
        self.print_button.setToolTip("What is sought, on paper (Ctrl+Shift+W)")
        self.print_button.clicked.connect(lambda: self.command_asked.emit("want_list"))
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
        self.curve.budget_chosen.connect(self.take_budget)
        self.set = SetCard(columns[0].inside)
        self.costs = CostCard(columns[0].inside)
        self.costs.buy_asked.connect(self.go_to)
        self.months = MonthsCard(self._desk, columns[1].inside)
        self.what_if = WhatIfCard(self._desk, columns[2].inside)
        self.what_if.targets_asked.connect(self._keep_targets)
        self.what_if.skip_asked.connect(self._keep_skips)
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

    def _build_keys(self) -> None:
        keys: tuple[tuple[str, Callable[[], object]], ...] = (
            ("Ctrl+F", self.bar.filter.setFocus),
            ("Alt+B", self.budget.focus_amount),
            ("Alt+A", self.budget.aims.showMenu),
            ("Alt+L", self.head.albums.showMenu),
            ("Alt+S", self.bar.sort.showMenu),
            ("Alt+P", self.show_prices),
            ("Alt+1", partial(self.show_side, 0)),
            ("Alt+2", partial(self.show_side, 1)),
            ("Alt+3", partial(self.show_side, 2)),
            ("Alt+M", lambda: self._open_menu(None)),
            ("Alt+U", self.unpin_all),
        )
        for key, act in keys:
            shortcut = QShortcut(QKeySequence(key), self)
            shortcut.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
            shortcut.activated.connect(act)

    # --- reading

    def read(self) -> None:
        """Read the slots anew, then plan."""
        if not self._desk.is_open:
            return
        if self._job is not None:
            self._job.cancel()
            self._job = None
        self._is_stale = False
        asked = self.asked

        def question(collection: "Collection", progress: Progress) -> Sheet:
            return read_sheet(collection, asked, progress)

        job = self._desk.ask_long(question, self._on_read, self._on_not_read, "Reading the prices")
        self._job = None if job is None or job.is_done else job

    def _on_not_read(self, error: Exception) -> None:
        self._job = None
        self._desk.show_failure(error)

    def _on_read(self, sheet: Sheet) -> None:
        self._job = None
        self.sheet = sheet
        self.head.show_albums(sheet.albums, self.asked.albums)
        self.head.told.setText(self._told(sheet))
        self.budget.show_currency(sheet.currency)
        if not self._has_budget:
            from core.model.money import minor_digits

            self._has_budget = True
            budget = USUAL_BUDGET * 10 ** minor_digits(sheet.currency)
            self._ask(budget=budget)
            self.budget.show_budget(budget)
        if not sheet.found.rows:
            self.solver.drop()
            self.pages.setCurrentWidget(self.empty)
            return
        if self.pages.currentWidget() is self.empty:
            self.pages.setCurrentWidget(self.main)
        self.band.say("" if sheet.has_prices else NO_PRICES)
        self.solve()
        if self.solver.is_working:
            self._unplanned.start()

    @staticmethod
    def _told(sheet: Sheet) -> str:
        book = sheet.found.book
        parts = [book.invented_text, *sheet.found.notes]
        return " · ".join(filter(None, parts))

    def solve(self) -> None:
        """Plan anew for what is asked now."""
        self._later.stop()
        sheet, asked = self.sheet, self.asked
        if sheet is None or not sheet.found.rows:
            return
        shown = dict(self._shown)

        def work(progress: Progress) -> tuple[Planned, tuple[Line, ...]]:
            planned = make_plan(sheet, asked, progress)
            marked = asked.pinned, asked.forbidden
            return planned, make_lines(sheet.found, planned.plan, *marked, shown)

        self.solver.ask(work, self._on_planned, self._on_refused, "Planning")

    def _show_unplanned(self) -> None:
        """The plan takes its time: show the slots without it meanwhile."""
        if self.sheet is not None and (self.planned is None or self._planned_of is not self.sheet):
            self.planned = None
            self._show_lines()

    def _on_planned(self, answer: tuple[Planned, tuple[Line, ...]]) -> None:
        planned, lines = answer
        if planned.asked is not self.asked or self.sheet is None:
            return
        is_first = self.planned is None and self.table.current is None
        self._unplanned.stop()
        self.planned, self._planned_of, self._lines = planned, self.sheet, lines
        self._show_kept()
        if is_first and self.table.model_.lines:
            self.table.go_to(self.table.model_.lines[0].slot)
        self.set.show_set(self.sheet.now, planned.then)
        self._say(" · ".join(foot_text(self.sheet, planned)))
        self.months.show_sheet(self.sheet, self.asked)
        self.curve.chart.show_budget(planned.asked.budget)
        self._look_further()

    def _on_refused(self, error: Exception) -> None:
        self._unplanned.stop()
        self.planned = None
        self._show_lines()
        if self.sheet is not None:
            self.set.show_set(self.sheet.now, None)
        if not isinstance(error, CollectionError):
            self._desk.show_failure(error)
            return
        way = " Alt+U takes all pins off." if isinstance(error, PinsRefused) else ""
        self._say(f"{error}{way}", is_fault=True)
        self._look_further()

    def _look_further(self) -> None:
        sheet, asked = self.sheet, self.asked
        if sheet is None:
            return
        key = (sheet, asked.aim, asked.forbidden)
        if self._further_of == key and self.further is not None:
            return
        self._further_of = key
        self.further = None
        self._show_further()
        self.solver.ask(
            lambda progress: look_further(sheet, asked, progress),
            self._on_further, self._on_not_further, "Drawing the curve",
        )  # fmt: skip

    def _on_further(self, further: Further) -> None:
        self.further = further
        self._show_further()

    def _on_not_further(self, error: Exception) -> None:
        self._further_of = ()
        self._desk.show_failure(error)

    def _show_further(self) -> None:
        sheet = self.sheet
        if sheet is None:
            return
        self.months.show_sheet(sheet, self.asked)
        self.what_if.show_sheet(sheet, self.asked, self.further)
        self.curve.show_further(self.further, sheet.currency, self.asked.budget)
        self.costs.show_costs(sheet, self.further)
        if self.further is not None:
            self.budget.show_top(self.further.curve.steps[-1].spent)

    def _on_working(self, is_on: bool, share: float, doing: str) -> None:
        self.working.setVisible(is_on)
        self.cancel.setVisible(is_on)
        self.working.setRange(0, 1000)
        self.working.setValue(round(share * 1000))
        if is_on:
            self._say(f"{doing} …")
        elif self.planned is not None and self.sheet is not None:
            self._say(" · ".join(foot_text(self.sheet, self.planned)))

    def _on_stopped(self) -> None:
        self._further_of = () if self.further is None else self._further_of
        self._say("Stopped. A new budget, aim or pin plans anew.")

    def _say(self, text: str, is_fault: bool = False) -> None:
        from gui.theme import set_style

        set_style(self.foot, "look", "fault" if is_fault else "strong_small")
        self.foot.setText(text)

    # --- showing

    def _show_lines(self) -> None:
        sheet = self.sheet
        if sheet is None:
            return
        made = self.planned.plan if self.planned else None
        marked = self.asked.pinned, self.asked.forbidden
        self._lines = make_lines(sheet.found, made, *marked, self._shown)
        self._show_kept()

    def _show_kept(self) -> None:
        """Show those of the lines that were chosen, in the order chosen."""
        sheet, lines = self.sheet, self._lines
        if sheet is None:
            return
        if self._counted is not lines:
            self._counted = lines
            self.bar.show_counts(counts(lines))
        bar = self.bar
        kept = chosen_lines(lines, bar.part, bar.order, bar.filter.text(), bar.priced.isChecked())
        self.table.show_lines(kept, sheet.currency, len({r.album for r in sheet.found.rows}) > 1)
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

    def to_table(self) -> None:
        """Give the table the keys; where there is none, what the page begins with."""
        page = self.pages.currentWidget()
        first: QWidget = self.table
        if page is self.empty:
            first = self.empty.button
        elif page is self.prices and self.prices is not None:
            first = self.prices.line.field
        first.setFocus(Qt.FocusReason.OtherFocusReason)

    # --- choosing

    def _ask(self, **new: object) -> None:
        from dataclasses import replace

        self.asked = replace(self.asked, **new)  # type: ignore[arg-type]  # each by its own name

    def _on_albums(self, albums: tuple[AlbumId, ...]) -> None:
        self._ask(albums=albums)
        self.read()

    def _on_budget(self, budget: int | None) -> None:
        self._ask(budget=budget)
        self.curve.chart.show_budget(budget)
        self._later.start()

    def take_budget(self, budget: int) -> None:
        """Plan for an amount that was chosen elsewhere."""
        self.budget.show_budget(budget)
        self._on_budget(budget)

    def _on_aim(self, aim: Aim) -> None:
        self._ask(aim=aim)
        self._later.start()

    def _mark(self, number: int, choice: Choice) -> None:
        pinned, forbidden = self.asked.pinned - {number}, self.asked.forbidden - {number}
        if choice is Choice.PINNED:
            pinned |= {number}
        elif choice is Choice.FORBIDDEN:
            forbidden |= {number}
        self._ask(pinned=pinned, forbidden=forbidden)
        self.solve()

    def _turn(self, choice: Choice) -> None:
        line = self.table.current
        if line is None or line.step is None:
            self.said.emit("There is no purchase on this line to choose.")
            return
        self._mark(line.step.buy.id, Choice.FREE if line.choice is choice else choice)

    def pin(self) -> None:
        """Buy what the line shows in every plan, or no longer."""
        self._turn(Choice.PINNED)

    def forbid(self) -> None:
        """Never buy what the line shows, or allow it again."""
        self._turn(Choice.FORBIDDEN)

    def tick(self) -> None:
        """Take a purchase out of the plan, or into it."""
        line = self.table.current
        if line is None or line.step is None or line.is_move:
            self.said.emit("A coin you hold moves in for nothing; there is nothing to choose.")
        elif line.choice is not Choice.FREE:
            self._mark(line.step.buy.id, Choice.FREE)
        else:
            self._turn(Choice.FORBIDDEN if line.is_in_plan else Choice.PINNED)

    def unpin_all(self) -> None:
        """Take all pins off."""
        self._ask(pinned=frozenset())
        self.solve()

    def look_at_grade(self, by: int) -> None:
        """Show the purchase of another grade on the line."""
        line = self.table.current
        if line is None or not line.row.steps:
            return
        steps = line.row.steps
        at = next((n for n, step in enumerate(steps) if step is line.step), 0)
        at = min(max(at + by, 0), len(steps) - 1)
        self._shown[line.slot] = steps[at].buy.id
        self._show_lines()

    def _open_menu(self, where: QPoint | None) -> None:
        line, sheet = self.table.current, self.sheet
        if line is None or sheet is None:
            return
        menu = make_menu(self)

        def add(text: str, act: Callable[[], object]) -> None:
            action = QAction(text.replace("&", "&&"), menu)
            action.triggered.connect(lambda _on=False: act())
            menu.addAction(action)

        for step in line.row.steps:
            name, number = step.buy.name, step.buy.id
            if number in self.asked.pinned or number in self.asked.forbidden:
                word = "Unpin" if number in self.asked.pinned else "Allow"
                add(f"{word} {name}", partial(self._mark, number, Choice.FREE))
            else:
                add(f"Pin {name}", partial(self._mark, number, Choice.PINNED))
                add(f"Forbid {name}", partial(self._mark, number, Choice.FORBIDDEN))
        if line.row.steps:
            menu.addSeparator()
        if self.bought.isEnabled():
            add(f"{self.bought.text()} (B)", self.buy)
        add("Go to the slot (Enter)", self._go)
        corner = self.more.mapToGlobal(QPoint(0, 0)) if where is None else (
            self.table.viewport().mapToGlobal(where)
        )  # fmt: skip
        menu.popup(corner)

    # --- doing

    def _go(self) -> None:
        line = self.table.current
        if line is not None:
            self.slot_asked.emit(int(line.row.album), line.slot)

    def buy(self) -> None:
        """The line's purchase is made: a coin on order in its slot. A spare is put in."""
        line = self.table.current
        if line is None or self.sheet is None:
            return
        if line.is_move:
            self._put_in(line)
            return
        if line.step is None:
            self.said.emit("There is no purchase on this line.")
            return
        from core.app.want_list import bought

        buy, slot = line.step.buy, line.row.slot
        told = f"{buy.name} is on order for {slot.slot.label}. Undo takes it back."
        self._run(bought(buy, slot.slot.id, self.sheet.currency), told, buy.id)

    def _put_in(self, line: Line) -> None:
        from core.app.operations import place_coin

        moved = line.doing.moved if line.doing else None
        if moved is None or self.sheet is None:
            return
        if moved.from_slot is not None:
            home = self.sheet.found.row_of(moved.from_slot).slot.label
            self.said.emit(f"It sits in {home} still; it is free once the better coin is there.")
            return
        number = self.sheet.found.number(moved.coin)
        told = f"A spare went into {line.row.slot.label}. Undo takes it back."
        self._run(place_coin(number, SlotId(line.slot)), told, None)

    def _run(self, operation: "Operation", told: str, number: int | None) -> None:
        def done(_changes: Changes) -> None:
            if number is not None:
                self._ask(pinned=self.asked.pinned - {number})
            self.said.emit(told)

        self._desk.run(operation, done)

    def _keep_targets(self, targets: "list[tuple[Target, list[SlotId]]]") -> None:
        from core.app.operations import set_target

        self._run_all([set_target(slots, target) for target, slots in targets],
                      "The key dates ask for less now.")  # fmt: skip

    def _keep_skips(self, slots: list[SlotId]) -> None:
        from core.app.operations import set_wish

        self._run_all([set_wish(slots, Wish.SKIPPED)], "The optional slots are skipped now.")

    def _run_all(self, operations: "list[Operation]", told: str) -> None:
        """One after another as one step to undo."""
        if not operations:
            return

        def begun(run: int) -> None:
            for at, operation in enumerate(operations):
                is_last = at == len(operations) - 1
                self._desk.run(operation, done if is_last else None, run)

        def done(_changes: Changes) -> None:
            self.what_if.forget()
            self.said.emit(f"{told} Undo takes it back.")

        self._desk.ask(lambda collection: collection.start_run(), begun)

    def show_prices(self) -> None:
        """Show the list, offers, rates and rules."""
        if self.prices is None:
            from gui.upgrades.prices_page import PricesPage

            self.prices = PricesPage(self._desk, self.pages)
            self.prices.left.connect(self._leave_prices)
            self.prices.said.connect(self.said)
            self.pages.addWidget(self.prices)
        self.prices.read()
        self.pages.setCurrentWidget(self.prices)
        self.prices.line.field.setFocus(Qt.FocusReason.OtherFocusReason)

    def _leave_prices(self) -> None:
        is_bare = self.sheet is not None and not self.sheet.found.rows
        self.pages.setCurrentWidget(self.empty if is_bare else self.main)
        if self._is_stale:
            self.read()
        self.to_table()

    # --- events

    def _on_changed(self, _changes: Changes) -> None:
        self._is_stale = True
        if self.isVisible() and self.pages.currentWidget() is not self.prices:
            self.read()

    def _on_opened(self) -> None:
        self.solver.drop()
        self.what_if.forget()
        self.asked = Asked(aim=self.budget.aim)
        self.sheet, self.planned, self.further = None, None, None
        self._lines = ()
        self._further_of, self._shown, self._has_budget = (), {}, False
        self._is_stale = True
        self.pages.setCurrentWidget(self.main)
        if self.isVisible():
            self.read()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.head.title.setVisible(self.width() > NARROW_PX)
        self.budget.words.setVisible(self.height() > LOW_PX)
        self.side.setFixedWidth(WIDE_SIDE_PX if self.width() > WIDE_PX else SIDE_PX)

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        if self._is_stale and self.pages.currentWidget() is not self.prices:
            self.read()

    def hideEvent(self, event: QHideEvent) -> None:
        super().hideEvent(event)
        self.solver.drop()
        self.months.hide_now()
        self.what_if.hide_now()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape and self.solver.is_working:
            self.solver.stop()
        elif event.key() == Qt.Key.Key_Escape and self.bar.filter.text():
            self.bar.filter.clear()
            self.to_table()
        else:
            super().keyPressEvent(event)
