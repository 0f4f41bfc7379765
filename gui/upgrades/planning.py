"""What is asked, read and worked out for the upgrades workspace; it knows no widget."""

from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal

from core.app.work import Progress
from core.errors import CollectionError
from core.model.album import AlbumId
from core.planning.aim import Aim
from gui.desk import Desk
from gui.upgrades.lines import Choice, Line, make_lines
from gui.upgrades.reading import (
    Asked,
    Further,
    Planned,
    Sheet,
    look_further,
    make_plan,
    read_sheet,
)
from gui.upgrades.solving import Solver
from gui.work import Job

if TYPE_CHECKING:
    from core.app.collection import Collection

LATER_MS, UNPLANNED_MS = 180, 600


class Planning(QObject):
    """Keeps the question and its newest answers: the sheet, the lines, the plan, what is beside."""

    sheet_read = Signal()
    """There is another sheet; its plan comes after it."""
    lines_made = Signal()
    """There are other lines, without a plan or with the one before."""
    plan_made = Signal()
    refused = Signal(object)
    """There is no plan; the error says why."""
    further_made = Signal()
    """What is beside the plan is there, or no longer."""

    def __init__(self, desk: Desk, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._desk = desk
        self.asked = Asked()
        self.sheet: Sheet | None = None
        self.planned: Planned | None = None
        self.further: Further | None = None
        self.lines: tuple[Line, ...] = ()
        self.shown: dict[int, int] = {}
        """By slot: the purchase that its line shows, where the collector looks at another."""
        self.is_stale = True
        """The collection changed since it was read."""
        self._planned_of: Sheet | None = None
        self._further_of: tuple[object, ...] = ()
        self._job: Job | None = None
        self.solver = Solver(desk, self)
        self.solver.stopped.connect(self._on_stopped)
        self._later = QTimer(self)
        self._later.setSingleShot(True)
        self._later.setInterval(LATER_MS)
        self._later.timeout.connect(self.solve)
        self._unplanned = QTimer(self)
        self._unplanned.setSingleShot(True)
        self._unplanned.setInterval(UNPLANNED_MS)
        self._unplanned.timeout.connect(self._show_unplanned)

    # --- what is asked

    def ask_albums(self, albums: tuple[AlbumId, ...]) -> None:
        """Look at these albums, none for all."""
        self.asked = replace(self.asked, albums=albums)
        self.read()

    def ask_budget(self, budget: int | None) -> None:
        """Plan for another amount, in a moment."""
        self.asked = replace(self.asked, budget=budget)
        self._later.start()

    def ask_aim(self, aim: Aim) -> None:
        """Plan towards another aim, in a moment."""
        self.asked = replace(self.asked, aim=aim)
        self._later.start()

    def mark(self, number: int, choice: Choice) -> None:
        """Pin a purchase, forbid it, or leave it free; then plan."""
        pinned, forbidden = self.asked.pinned - {number}, self.asked.forbidden - {number}
        if choice is Choice.PINNED:
            pinned |= {number}
        elif choice is Choice.FORBIDDEN:
            forbidden |= {number}
        self.asked = replace(self.asked, pinned=pinned, forbidden=forbidden)
        self.solve()

    def forget_pin(self, number: int) -> None:
        """A purchase that was made is pinned no longer; the next reading plans."""
        self.asked = replace(self.asked, pinned=self.asked.pinned - {number})

    def unpin_all(self) -> None:
        """Take all pins off."""
        self.asked = replace(self.asked, pinned=frozenset())
        self.solve()

    def look_at_grade(self, line: Line, by: int) -> None:
        """Show the purchase of another grade on a line: -1 the one before, 1 the next."""
        steps = line.row.steps
        if not steps:
            return
        at = next((n for n, step in enumerate(steps) if step is line.step), 0)
        at = min(max(at + by, 0), len(steps) - 1)
        self.shown[line.slot] = steps[at].buy.id
        self.make_lines()

    def begin_anew(self, aim: Aim) -> None:
        """Another collection: nothing is known of it but the aim."""
        self.solver.drop()
        self.asked = Asked(aim=aim)
        self.sheet, self.planned, self.further = None, None, None
        self.lines = ()
        self._further_of, self.shown = (), {}
        self.is_stale = True

    # --- reading

    def read(self) -> None:
        """Read the slots anew, then plan."""
        if not self._desk.is_open:
            return
        if self._job is not None:
            self._job.cancel()
            self._job = None
        self.is_stale = False
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
        self.sheet_read.emit()
        if not sheet.found.rows:
            self.solver.drop()
            return
        self.solve()
        if self.solver.is_working:
            self._unplanned.start()

    # --- planning

    def solve(self) -> None:
        """Plan anew for what is asked now."""
        self._later.stop()
        sheet, asked = self.sheet, self.asked
        if sheet is None or not sheet.found.rows:
            return
        shown = dict(self.shown)

        def work(progress: Progress) -> tuple[Planned, tuple[Line, ...]]:
            planned = make_plan(sheet, asked, progress)
            marked = asked.pinned, asked.forbidden
            return planned, make_lines(sheet.found, planned.plan, *marked, shown)

        self.solver.ask(work, self._on_planned, self._on_refused, "Planning")

    def _show_unplanned(self) -> None:
        """The plan takes its time: show the slots without it meanwhile."""
        if self.sheet is not None and (self.planned is None or self._planned_of is not self.sheet):
            self.planned = None
            self.make_lines()

    def make_lines(self) -> None:
        """The lines once more, with the plan there is."""
        if self.sheet is None:
            return
        made = self.planned.plan if self.planned else None
        marked = self.asked.pinned, self.asked.forbidden
        self.lines = make_lines(self.sheet.found, made, *marked, self.shown)
        self.lines_made.emit()

    def _on_planned(self, answer: tuple[Planned, tuple[Line, ...]]) -> None:
        planned, lines = answer
        if planned.asked is not self.asked or self.sheet is None:
            return
        self._unplanned.stop()
        self.planned, self._planned_of, self.lines = planned, self.sheet, lines
        self.plan_made.emit()
        self._look_further()

    def _on_refused(self, error: Exception) -> None:
        self._unplanned.stop()
        self.planned = None
        self.make_lines()
        self.refused.emit(error)
        if isinstance(error, CollectionError):
            self._look_further()
        else:
            self._desk.show_failure(error)

    # --- what is beside the plan

    def _look_further(self) -> None:
        sheet, asked = self.sheet, self.asked
        if sheet is None:
            return
        key = (sheet, asked.aim, asked.forbidden)
        if self._further_of == key and self.further is not None:
            return
        self._further_of = key
        self.further = None
        self.further_made.emit()
        self.solver.ask(
            lambda progress: look_further(sheet, asked, progress),
            self._on_further, self._on_not_further, "Drawing the curve",
        )  # fmt: skip

    def _on_further(self, further: Further) -> None:
        self.further = further
        self.further_made.emit()

    def _on_not_further(self, error: Exception) -> None:
        self._further_of = ()
        self._desk.show_failure(error)

    def _on_stopped(self) -> None:
        if self.further is None:
            self._further_of = ()
