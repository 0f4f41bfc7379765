"""What is asked, read and worked out for the upgrades workspace; it knows no widget."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal

from core.app.changes import Changes
from core.app.work import Progress
from core.errors import CollectionError
from core.model.album import AlbumId
from core.model.plan_choice import ChoiceKind, PlanChoice
from core.planning.aim import Aim
from core.planning.plan import Plan
from gui.desk import Desk
from gui.upgrades.chart import warm
from gui.upgrades.lines import Choice, Line, Part, counts, make_lines
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
    from core.app.upgrades import UpgradeStep

LATER_MS, UNPLANNED_MS = 180, 600
_KINDS = {Choice.PINNED: ChoiceKind.PINNED, Choice.FORBIDDEN: ChoiceKind.FORBIDDEN}


@dataclass(frozen=True, slots=True)
class Lines:
    """The lines of the table, and how many each part has."""

    all: tuple[Line, ...] = ()
    counts: Mapping[Part, int] = field(default_factory=dict)
    has_albums: bool = False
    """Whether they are of several albums."""


def _made(sheet: Sheet, made: Plan | None, shown: Mapping[int, int]) -> Lines:
    lines = make_lines(sheet.found, made, shown)
    return Lines(lines, counts(lines), len({line.row.album for line in lines}) > 1)


@dataclass(frozen=True, slots=True)
class _Answer:
    """A plan over a sheet, or why there is none, with the lines either way."""

    sheet: Sheet
    asked: Asked
    lines: Lines
    planned: Planned | None = None
    refused: CollectionError | None = None


class Planning(QObject):
    """Keeps the question and its newest answers: the sheet, the lines, the plan, what is beside.

    What is chosen by hand goes into the collection, and comes back from there.
    """

    sheet_read = Signal()
    """There is another sheet; its plan comes after it."""
    read_stopped = Signal()
    """The collector stopped the reading."""
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
        self.lines = Lines()
        self.shown: dict[int, int] = {}
        """By slot: the purchase just looked at, until the collection tells it as chosen."""
        self.is_stale = True
        """The collection changed since it was read."""
        self._choices: Sequence[PlanChoice] | None = None
        self._bare = Lines()
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

    def begin_anew(self, aim: Aim) -> None:
        """Another collection: nothing is known of it but the aim."""
        self.solver.drop()
        self.asked = Asked(aim=aim)
        self.sheet, self.planned, self.further = None, None, None
        self.lines, self._bare, self._choices = Lines(), Lines(), None
        self._further_of, self.shown = (), {}
        self.is_stale = True

    # --- what is chosen by hand

    def mark(self, line: Line, step: "UpgradeStep", choice: Choice) -> None:
        """Pin a purchase for the line's slot, forbid it there, or leave it free; then plan."""
        from core.app.plan_choices import choose_purchase, free_purchase

        slot, of = line.row.slot.slot.id, step.buy.of
        kind = _KINDS.get(choice)
        self._desk.run(choose_purchase(slot, of, kind) if kind else free_purchase(slot, of))

    def unpin_all(self) -> None:
        """Take all pins of these albums off."""
        from core.app.plan_choices import unpin

        if self.sheet is not None:
            self._desk.run(unpin([row.slot.slot.id for row in self.sheet.found.rows]))

    def look_at_grade(self, line: Line, by: int) -> None:
        """Show the purchase of another grade on a line: -1 the one before, 1 the next."""
        steps = line.row.steps
        shown = self.shown.get(line.slot, line.step.buy.id if line.step else 0)
        at = next((n for n, step in enumerate(steps) if step.buy.id == shown), 0)
        to = min(max(at + by, 0), len(steps) - 1)
        if not steps or (to == at and line.step is not None):
            return
        self.shown[line.slot] = steps[to].buy.id
        if self._desk.is_read_only:
            self.solve()
            return
        from core.app.plan_choices import choose_purchase

        of = steps[to].buy.of
        self._desk.run(choose_purchase(line.row.slot.slot.id, of, ChoiceKind.SHOWN))

    def take_changes(self, changes: Changes) -> None:
        """The collection changed while it is looked at: read it anew, or what was chosen alone."""
        if changes.is_choices_alone and self.sheet is not None and not self.is_stale:
            self._desk.ask(lambda collection: collection.plan_choices(), self._on_choices)
        else:
            self.is_stale = True
            self.read()

    def _on_choices(self, choices: Sequence[PlanChoice]) -> None:
        self._choices = choices
        self.shown.clear()
        self.solve()

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

        def question(collection: "Collection", progress: Progress) -> tuple[Sheet, Lines]:
            sheet = read_sheet(collection, asked, progress)
            progress.check()
            return sheet, _made(sheet, None, {})

        job = self._desk.ask_long(
            question, self._on_read, self._on_not_read, "Reading the prices", self._on_read_stopped
        )
        self._job = None if job is None or job.is_done else job

    def _on_not_read(self, error: Exception) -> None:
        self._job = None
        self._desk.show_failure(error)

    def _on_read_stopped(self) -> None:
        if self._job is None or self._job.is_cancelled:  # else a newer one reads
            self._job, self.is_stale = None, True
            self.read_stopped.emit()

    def _on_read(self, answer: tuple[Sheet, Lines]) -> None:
        self._job, self._choices = None, None
        self.sheet, self._bare = answer
        self.shown.clear()
        self.sheet_read.emit()
        if not self.sheet.found.rows:
            self.solver.drop()
            return
        self.solve()
        if self.solver.is_working:
            self._unplanned.start()

    # --- planning

    def solve(self) -> None:
        """Plan anew for what is asked and chosen now."""
        self._later.stop()
        sheet, asked, choices = self.sheet, self.asked, self._choices
        if sheet is None or not sheet.found.rows:
            return
        shown, last = dict(self.shown), self.planned

        def work(progress: Progress) -> _Answer:
            now = sheet if choices is None else sheet.with_choices(choices)
            over = asked.over(now.found)
            try:
                is_same = last is not None and last.asked is over and choices is not None
                planned = last if is_same and last else make_plan(now, over, progress)
            except CollectionError as error:
                return _Answer(now, over, _made(now, None, shown), refused=error)
            return _Answer(now, over, _made(now, planned.plan, shown), planned)

        def arrived(answer: _Answer) -> None:
            if asked is self.asked and choices is self._choices:
                self._on_planned(answer)

        self.solver.ask(work, arrived, self._on_failed, "Planning")

    def _show_unplanned(self) -> None:
        """The plan takes its time: show the slots without it meanwhile."""
        if self.sheet is not None and (self.planned is None or self._planned_of is not self.sheet):
            self.planned = None
            self.lines = self._bare
            self.lines_made.emit()

    def _on_planned(self, answer: _Answer) -> None:
        self._unplanned.stop()
        self.sheet, self.asked, self.lines = answer.sheet, answer.asked, answer.lines
        self.planned, self._planned_of, self._choices = answer.planned, answer.sheet, None
        if answer.refused is None:
            self.plan_made.emit()
        else:
            self.lines_made.emit()
            self.refused.emit(answer.refused)
        self._look_further()

    def _on_failed(self, error: Exception) -> None:
        self._unplanned.stop()
        self.planned = None
        self._desk.show_failure(error)

    # --- what is beside the plan

    def _look_further(self) -> None:
        sheet, asked = self.sheet, self.asked
        if sheet is None:
            return
        # What is pinned does not matter there.
        key = (sheet.read_as, asked.aim, asked.forbidden)
        if self._further_of == key and self.further is not None:
            return
        self._further_of = key
        self.further = None
        self.further_made.emit()

        def further(progress: Progress) -> Further:
            warm()
            return look_further(sheet, asked, progress)

        self.solver.ask(
            further, self._on_further, self._on_not_further, "Drawing the curve",
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
