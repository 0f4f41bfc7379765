"""Searches: campaigns and boxes, the sorting table with its line, the reckoning beside it."""

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtGui import QHideEvent, QKeyEvent, QKeySequence, QShortcut, QShowEvent
from PySide6.QtWidgets import QStackedWidget, QWidget

from core.app.changes import Changes
from core.app.look_up import Answer, UseRule
from core.app.search_views import BoxView, CampaignView, FindLine
from core.errors import BadEntry
from core.model.search import Box, BoxId, CampaignId
from gui.desk import Desk
from gui.search.answer_card import AnswerCard
from gui.search.box_head import ACTIONS, NEW_BOX_KEY, NEW_CAMPAIGN_KEY, BoxHead
from gui.search.boxes import BoxShelf
from gui.search.clock import SittingClock
from gui.search.counter_bar import CounterBar
from gui.search.deeds import Deeds
from gui.search.entries import EntryList, EntryRow, rows_of
from gui.search.line import HINT, LineCard
from gui.search.reading import Table, TableReader, asked_text
from gui.search.roll_strip import RollKey, RollStrip
from gui.search.side import BoxSide, can_finish
from gui.search.sitting import Sitting
from gui.settings import Settings
from gui.theme import XL, L, M, S
from gui.widgets import Card, ElidedLabel, EmptyState, SectionLabel, column, row
from gui.work import Job

if TYPE_CHECKING:
    from core.app.collection import Collection
    from gui.search.dashboard_page import DashboardPage

CLOCK_MS = 15_000
WORTH_WRITING_S = 20
"""Less time than this is not worth an entry of its own when the table is left."""
NO_BOXES = (
    "No boxes yet",
    "A box from the bank, roll by roll: type the coin in hand and know at once whether it fills a "
    "gap. What you keep is in the collection at once.",
    "New box",
    NEW_BOX_KEY,
)
LINE_EMPTY = (
    "The coin in hand",
    "Type what you see: 43d, 1955 ddo, 70s small date, 58d corroded. +foreign counts a foreign "
    "coin, /\u206037 goes to roll 37.",
)


class SearchesWorkspace(QWidget):
    """The sorting table. The line has the focus whenever nothing else was asked for."""

    slot_asked = Signal(int, int)
    """Show this album (its id) at this slot (its id)."""
    said = Signal(str)

    def __init__(self, desk: Desk, settings: Settings, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("kind", "paper")
        self._desk, self._settings = desk, settings
        self.clock = SittingClock()
        self._reader = TableReader()
        self._table: Table | None = None
        self._wanted: BoxId | None = None
        self._job: Job | None = None
        self._is_stale = False
        self._has_entered = False
        self._dashboard: DashboardPage | None = None
        self._build()
        self.deeds = Deeds(desk, self)
        self.deeds.rule_chosen.connect(self._on_rule)
        self.deeds.said.connect(self.said)
        self.deeds.open_menu_at(self.line)
        self._build_keys()
        desk.changed.connect(self._on_changed)
        desk.opened.connect(self._on_opened)
        desk.labels_changed.connect(self._show_hint)
        self._ticks = QTimer(self)
        self._ticks.setInterval(CLOCK_MS)
        self._ticks.timeout.connect(self._show_time)
        self.setFocusProxy(self.line.field)

    # --- building

    def _build(self) -> None:
        outer = row(self, spacing=0)
        self.shelf = BoxShelf(self)
        self.shelf.box_chosen.connect(self.choose_box)
        self.shelf.new_box_asked.connect(self.new_box)
        self.shelf.new_campaign_asked.connect(self.new_campaign)
        self.shelf.edit_asked.connect(self.edit_campaign)
        self.shelf.page_asked.connect(self.show_page)
        outer.addWidget(self.shelf)
        self.pages = QStackedWidget(self)
        self.pages.addWidget(self._build_table())
        self.empty = EmptyState(*NO_BOXES, parent=self.pages)
        self.empty.acted.connect(self._on_empty)
        self.pages.addWidget(self.empty)
        outer.addWidget(self.pages, 1)

    def _build_table(self) -> QWidget:
        page = QWidget(self.pages)
        outer = row(page, (XL, L, L, L), XL)
        middle = column(spacing=S)
        self.head = BoxHead(page)
        self.head.acted.connect(self.act)
        middle.addWidget(self.head)
        self.strip = RollStrip(page)
        self.strip.edit_asked.connect(self.edit_roll)
        self.strip.left.connect(self.to_line)
        middle.addWidget(self.strip)
        line = row(spacing=M)
        self.key = RollKey(page)
        line.addWidget(self.key)
        self.asked = ElidedLabel("", "small", page)
        self.asked.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        line.addWidget(self.asked, 1)
        middle.addLayout(line)
        self.line = LineCard(page)
        middle.addWidget(self.line)
        self.counters = CounterBar(page)
        middle.addWidget(self.counters)
        middle.addSpacing(S)
        self.card = AnswerCard(page, LINE_EMPTY)
        self.card.closer_asked.connect(self.look_closer)
        middle.addWidget(self.card)
        middle.addSpacing(M)
        middle.addWidget(SectionLabel("This box", page))
        middle.addWidget(self._build_entries(page), 1)
        outer.addLayout(middle, 1)
        self.side = BoxSide(page)
        for signal, name in (
            (self.side.weigh_asked, "weigh"),
            (self.side.jars_asked, "jars"),
            (self.side.tallies_asked, "tallies"),
            (self.side.dates_asked, "dates"),
            (self.side.finish_asked, "finish"),
        ):
            signal.connect(lambda name=name: self.act(name))
        self.side.jar_rows.level_given.connect(self._set_level)
        self.side.jar_rows.edit_asked.connect(self._edit_jar)
        self.side.jar_rows.left.connect(self.to_line)
        outer.addWidget(self.side)
        self.sitting = Sitting(self._desk, self.line, self.card, self.clock, self)
        self.sitting.entered.connect(self._on_entered)
        self.strip.roll_asked.connect(self._on_roll)
        self.counters.chosen.connect(self.sitting.count_place)
        self.line.field.left_down.connect(self.entries.go_in)
        self._of_box = (self.head, self.strip, self.key, self.counters, self.side)
        for part in self._of_box:
            policy = part.sizePolicy()
            policy.setRetainSizeWhenHidden(True)
            part.setSizePolicy(policy)
        self._show_parts(False)
        return page

    def _show_parts(self, is_read: bool) -> None:
        """Nothing is said of a box, and none of it offered, before it is read."""
        for part in self._of_box:
            part.setVisible(is_read)
        self.list_pages.setVisible(is_read)

    def _build_entries(self, page: QWidget) -> QWidget:
        card = Card(page, "card", (0, S, 0, S), 0)
        self.list_pages = QStackedWidget(card)
        self.entries = EntryList(card)
        self.entries.edit_asked.connect(self._edit_entry)
        self.entries.delete_asked.connect(self._delete_entry)
        self.entries.go_asked.connect(self._go_to_coin)
        self.entries.compare_asked.connect(self.compare)
        self.entries.left_up.connect(self.to_line)
        self.entries.typed.connect(self._type_on)
        self.nothing = EmptyState(
            "Nothing kept or counted yet",
            "Finds and sightings of this box stand here.",
            parent=card,
        )
        self.list_pages.addWidget(self.entries)
        self.list_pages.addWidget(self.nothing)
        card.box.addWidget(self.list_pages)
        card.setMinimumHeight(64)
        return card

    def _build_keys(self) -> None:
        keys: list[tuple[str, Callable[[], object]]] = [
            (key, self._to_jars if name == "jars" else partial(self.act, name))
            for name, _, key in ACTIONS
            if key
        ]
        keys += [
            (NEW_BOX_KEY, self.new_box),
            (NEW_CAMPAIGN_KEY, self.new_campaign),
            ("Alt+B", self.head.menu.showMenu),
            ("Ctrl+Down", self.look_closer),
        ]
        for key, act in keys:
            shortcut = QShortcut(QKeySequence(key), self)
            shortcut.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
            shortcut.activated.connect(act)

    # --- reading

    @property
    def table(self) -> Table | None:
        """What is shown."""
        return self._table

    @property
    def rule(self) -> UseRule:
        """What is of use to the collector; the usual where the settings make no sense."""
        try:
            return UseRule.from_text(self._settings.use_rule)
        except BadEntry:
            return UseRule()

    def read(self) -> None:
        """Read the table; once more where it changes meanwhile."""
        if not self._desk.is_open:
            return
        if self._job is not None:
            self._is_stale = True
            return
        self._is_stale = False
        reader, wanted, rule = self._reader, self._wanted, self.rule

        def question(collection: "Collection") -> Table:
            return reader.read(collection, wanted, rule)

        job = self._desk.ask(question, self._show, self._on_not_read, "Reading the search log")
        if job is not None and not job.is_done:
            self._job = job

    def _on_not_read(self, error: Exception) -> None:
        self._job = None
        self._desk.show_failure(error)

    def _show(self, table: Table) -> None:
        self._job = None
        self._table = table
        view = table.box
        box = view.box.id if view else None
        self.shelf.show_campaigns(table.campaigns, box)
        if view is None:
            if self.pages.currentWidget() is not self.empty:
                self.pages.setCurrentWidget(self.empty)
                self.to_line()
            return
        if self.pages.currentWidget() is self.empty:
            self.pages.setCurrentIndex(0)
            self.to_line()
        self.head.show_box(view, can_finish())
        self.strip.show_rolls(view.rolls)
        self.key.show_used(view.rolls)
        self.asked.show_text(asked_text(table))
        rows = rows_of(view)
        self.entries.show_rows(rows)
        self.list_pages.setCurrentIndex(0 if rows else 1)
        self.counters.show_counters(table.counters, view)
        self.side.show_table(table)
        self._show_parts(True)
        self._show_hint()
        self.sitting.show_table(table)
        if self._has_entered:
            self._has_entered = False
            self.sitting.announce(table.announced)
        self._show_time()
        if self._is_stale:
            self.read()

    def _show_hint(self) -> None:
        view = self._table.box if self._table else None
        if view is not None:
            self.line.hint.setText(self._hint(view))

    def _hint(self, view: BoxView) -> str:
        """What Enter does in this box."""
        if self._desk.is_read_only:
            return "only to look up: nothing can be kept here now"
        return "finished · Alt+G takes it up again" if view.box.is_done else HINT

    def _on_changed(self, _changes: Changes) -> None:
        if not self.isVisible():
            return
        self.read()
        page = self._dashboard
        if page is not None and page.isVisible() and page.campaign is not None:
            page.show_campaign(page.campaign)

    def _on_entered(self) -> None:
        self._has_entered = True

    def _on_opened(self) -> None:
        self._reader = TableReader()
        self._table, self._wanted, self._job = None, None, None
        self.clock.forget()
        self.line.field.clear()
        self.sitting.forget()
        self._show_parts(False)
        self.pages.setCurrentIndex(0)
        if self.isVisible():
            self.read()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._ticks.start()
        self.read()

    def hideEvent(self, event: QHideEvent) -> None:
        super().hideEvent(event)
        self._ticks.stop()
        self.keep_time()

    def _show_time(self) -> None:
        view = self._table.box if self._table else None
        if view is not None:
            seconds = view.box.seconds + self.clock.seconds
            self.head.show_time(seconds, self.clock.is_running, view.box.is_done)

    def keep_time(self) -> None:
        """Write the time spent since the last entry, where it is worth it."""
        box = self.sitting.box
        self.clock.stop()
        if box is None or box.is_done or self._desk.is_read_only or not self._desk.is_open:
            return
        if self.clock.seconds >= WORTH_WRITING_S:
            from core.app.search_orders import add_time

            self._desk.run(add_time(box.id, self.clock.take()))

    # --- what is done

    def to_line(self) -> None:
        """Give the line the focus; where another page is shown, what that one begins with."""
        page = self.pages.currentWidget()
        first: QWidget = self.line.field
        if page is self.empty:
            first = self.empty.button
        elif page is self._dashboard and page is not None:
            first = page
        first.setFocus(Qt.FocusReason.OtherFocusReason)

    def _type_on(self, event: QKeyEvent) -> None:
        self.to_line()
        self.line.field.keyPressEvent(event)

    def choose_box(self, number: int) -> None:
        """Take a box in hand, by its id."""
        if self.sitting.box is not None and self.sitting.box.id != number:
            self.keep_time()
            self.clock.forget()
        self._wanted = BoxId(number)
        self.pages.setCurrentIndex(0)
        self.read()
        self.to_line()

    def _on_roll(self, number: int) -> None:
        self.sitting.go_to(number)
        self.to_line()

    def _on_empty(self) -> None:
        self.new_box()

    def new_box(self, campaign: int = 0) -> None:
        """Ask for a new box of a campaign (its id), or of the one in hand."""
        chosen = CampaignId(campaign) if campaign else None
        self.deeds.new_box(self._table, chosen, self._on_made)
        self.to_line()

    def _on_made(self, changes: Changes) -> None:
        self.keep_time()
        self._wanted = BoxId(changes.made_log[-1])
        self.pages.setCurrentIndex(0)
        self.read()
        self.to_line()

    def new_campaign(self) -> None:
        """Ask for a new campaign."""
        self.deeds.new_campaign(self._on_made)
        self.to_line()

    def edit_campaign(self, number: int) -> None:
        """Edit a campaign, by its id."""
        view = self._campaign(number)
        if view is not None:
            self.deeds.edit_campaign(view)

    def _campaign(self, number: int) -> CampaignView | None:
        campaigns = self._table.campaigns if self._table else ()
        return next((one for one in campaigns if one.campaign.id == number), None)

    def edit_roll(self, number: int) -> None:
        """Correct a roll, counted in the box from 1."""
        if self._table is not None and self._table.box is not None:
            self.deeds.edit_roll(self._table.box, number)
            self.to_line()

    def _edit_entry(self, row_: EntryRow) -> None:
        if self._table is not None:
            self.deeds.edit_entry(self._table, row_)

    def _delete_entry(self, row_: EntryRow) -> None:
        self.deeds.delete_entry(row_)

    def _go_to_coin(self, row_: EntryRow) -> None:
        line = row_.line
        if isinstance(line, FindLine) and line.album is not None and line.slot is not None:
            self.slot_asked.emit(int(line.album), int(line.slot))
        else:
            self.said.emit(f"{row_.label} sits in no slot.")

    def look_closer(self, answer: Answer | None = None) -> None:
        """Show where to look and what to see for the coin on the line."""
        shown = answer or (self.card.readings[0].answer if self.card.readings else None)
        if shown is not None:
            self.deeds.look_closer(shown)
            self.to_line()

    def compare(self) -> None:
        """Settle which variety a coin kept is, where one stands on its line; else the one typed."""
        chosen = self.entries.chosen if self.entries.hasFocus() else None
        if chosen is None:
            self.sitting.compare()
        elif isinstance(chosen.line, FindLine):
            self.deeds.compare(chosen.line)
        else:
            self.said.emit("Only a coin that was kept can be compared again.")

    def show_page(self, number: int = 0) -> None:
        """Show a campaign's figures: by its id, or the one of the box in hand."""
        if self._dashboard is None:
            from gui.search.dashboard_page import DashboardPage

            self._dashboard = DashboardPage(self._desk, self.pages)
            self._dashboard.left.connect(self._leave_page)
            self.pages.addWidget(self._dashboard)
        self._dashboard.show_campaign(CampaignId(number))
        self.pages.setCurrentWidget(self._dashboard)
        self._dashboard.setFocus(Qt.FocusReason.OtherFocusReason)

    def _leave_page(self) -> None:
        self.pages.setCurrentIndex(0)
        self.read()
        self.to_line()

    def _on_rule(self, rule: UseRule) -> None:
        self._settings.use_rule = rule.text
        self.read()

    def finish(self) -> None:
        """Finish the box in hand: fill, report."""
        box = self.sitting.box
        if box is None or box.is_done or not can_finish():
            return
        self.keep_time()
        self._wanted = box.id  # finished, it stays in hand: Alt+G takes it up again
        from gui.search.finish import FinishDialog

        FinishDialog.ask(self, self._desk, box)
        self.to_line()

    def _show_paper(self, name: str, box: Box) -> None:
        """A sheet for the table, or the report of a box as it stands."""
        from core.app.table_sheets import SheetKind
        from gui.search.report_dialog import ReportDialog
        from gui.search.sheet_dialog import SheetDialog

        self.keep_time()
        if name == "report":
            ReportDialog.ask(self, self._desk, box)
        else:
            kind = SheetKind.CLOSER if name == "closer" else SheetKind.TALLY
            SheetDialog.ask(self, self._desk, box, kind)

    def _to_jars(self) -> None:
        """The keys go to the containers; where they are there, or none is, the form opens."""
        rows = self.side.jar_rows
        if self.pages.currentIndex() == 0 and rows.rows and not rows.holds_keys:
            rows.begin()
        else:
            self.act("jars")

    def _set_level(self, jar: int, eighths: int) -> None:
        if self._table is not None:
            self.deeds.set_level(self._table, jar, eighths)
            self.to_line()

    def _edit_jar(self, jar: int) -> None:
        if self._table is not None and self._table.box is not None:
            self.deeds.edit_jar(self._table, self._table.box, jar)
            self.to_line()

    def act(self, name: str) -> None:
        """Do one of ACTIONS."""
        table = self._table
        if table is None or table.box is None:
            return
        if name == "page":
            self.show_page(int(table.box.campaign.id))
            return
        if name == "compare":
            self.compare()
        elif name == "finish":
            self.finish()
        elif name in ("closer", "sheet", "report"):
            self._show_paper(name, table.box.box)
        else:
            self.deeds.act(name, table, self.sitting.looked, self.rule)
        self.to_line()
