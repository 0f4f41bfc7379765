"""What if: other targets for key dates, no optional slots, varieties too. Nothing is saved."""

from dataclasses import dataclass, replace
from functools import partial

from PySide6.QtCore import QTimer, Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QWidget

from core.app.upgrade_varieties import with_varieties
from core.app.work import Progress
from core.model.album import Slot, SlotId, Target, Wish
from core.model.grade import SCALE, code_of
from core.planning.curve import Cost, Curve, cost_to_finish, cost_to_targets, curve
from core.planning.what_if import with_key_target, without_optional
from gui.desk import Desk
from gui.flow_layout import FlowLayout
from gui.theme import L, M, S
from gui.upgrades.chart import BudgetChart
from gui.upgrades.reading import Asked, Further, Sheet
from gui.upgrades.side import cost_text, figure_name
from gui.upgrades.solving import Solver
from gui.widgets import (
    Card,
    Chip,
    Label,
    MenuButton,
    QuietButton,
    SaidLine,
    clear_layout,
    column,
)

LATER_MS, LIMIT_S, CHART_PX = 150, 5.0, 220
GRADES = (4, 8, 12, 20, 30, 40, 50, 60, 63, 65)
USUAL_GRADE = 8


@dataclass(frozen=True, slots=True)
class WhatIf:
    """What is supposed; `key_points` None leaves the targets of key dates as they are."""

    key_points: int | None = None
    drops_optional: bool = False
    adds_varieties: bool = False

    @property
    def is_nothing(self) -> bool:
        """Whether it is the present."""
        return self == WhatIf()


@dataclass(frozen=True, slots=True)
class Supposed:
    """What comes of it."""

    curve: Curve
    finish: Cost
    reach: Cost
    added: int
    added_bare: int


def suppose(sheet: Sheet, asked: Asked, what: WhatIf, progress: Progress) -> Supposed:
    """Work out the curve and the whole costs of a supposition."""
    given = replace(asked.given(sheet.found), pinned=frozenset[int]())
    added = bare = 0
    if what.adds_varieties:
        varied = with_varieties(sheet.found, given, sheet.series, sheet.varied)
        given, added, bare = varied.given, varied.added, varied.not_priced
    if what.key_points is not None:
        given = with_key_target(given, what.key_points)
    if what.drops_optional:
        given = without_optional(given)

    def tell(share: float) -> None:
        progress.report(share, "Supposing")

    return Supposed(
        curve(given, asked.aim.shown, LIMIT_S, tell),
        cost_to_finish(given, LIMIT_S, tell),
        cost_to_targets(given, LIMIT_S, tell),
        added,
        bare,
    )


class WhatIfCard(Card):
    """The curve of a supposition beside the present one."""

    targets_asked = Signal(object)
    """Keep these targets: pairs of a Target and its SlotIds."""
    skip_asked = Signal(object)
    """Skip these optional slots: SlotIds."""

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent, "card", (L, M, L, M), S)
        self._sheet: Sheet | None = None
        self._asked = Asked()
        self._now: Further | None = None
        self.points = USUAL_GRADE
        self.supposed: Supposed | None = None
        self.solver = Solver(desk, self)
        self._desk = desk
        self.box.addWidget(Label("What if", "strong", self))
        words = "Suppose something; nothing is saved until you ask for it below."
        self.box.addWidget(Label(words, "small", self, wraps=True))
        chips = FlowLayout(spacing_x=S, spacing_y=S)
        self.keys = Chip("key dates ask for less", None, self)
        self.optional = Chip("no optional slots", None, self)
        self.varieties = Chip("varieties too", None, self)
        for chip, key in (
            (self.keys, "Alt+K"),
            (self.optional, "Alt+W"),
            (self.varieties, "Alt+V"),
        ):
            chip.setShortcut(key)
            chip.setToolTip(f"Suppose it, or not ({key})")
            chip.toggled.connect(self._on_chosen)
            chips.addWidget(chip)
        self.grade = MenuButton("at most", code_of(self.points), self)
        self.grade.setToolTip("What key dates then ask for")
        for points in GRADES:
            if points in SCALE:
                action = QAction(code_of(points), self.grade.choices)
                action.triggered.connect(partial(self._on_grade, points))
                self.grade.choices.addAction(action)
        chips.addWidget(self.grade)
        self.box.addLayout(chips)
        self.told = SaidLine(self)
        self.box.addWidget(self.told)
        self.key = Label("dashed: now · full: what is supposed", "small", self)
        self.box.addWidget(self.key)
        self.chart = BudgetChart(self, CHART_PX)
        self.chart.setEnabled(False)
        self.chart.setToolTip("")
        self.box.addWidget(self.chart)
        self.facts = column(spacing=S)
        self.box.addLayout(self.facts)
        self.keep_targets = QuietButton("Keep these targets", self)
        self.keep_targets.setToolTip("Set the targets of the key dates; undo takes it back")
        self.keep_targets.clicked.connect(self._keep_targets)
        self.keep_skips = QuietButton("Skip the optional slots", self)
        self.keep_skips.setToolTip("Skip them in their albums; undo takes it back")
        self.keep_skips.clicked.connect(self._keep_skips)
        for button in (self.keep_targets, self.keep_skips):
            self.box.addWidget(button)
        self._later = QTimer(self)
        self._later.setSingleShot(True)
        self._later.setInterval(LATER_MS)
        self._later.timeout.connect(self.work)
        self._show_choices()

    @property
    def what(self) -> WhatIf:
        """What is supposed now."""
        return WhatIf(
            self.points if self.keys.isChecked() else None,
            self.optional.isChecked(),
            self.varieties.isChecked(),
        )

    def show_sheet(self, sheet: Sheet, asked: Asked, now: Further | None) -> None:
        """What is supposed of, and the present curve."""
        self._sheet, self._asked, self._now = sheet, asked, now
        self.supposed = None
        self._show_choices()
        if self.isVisible():
            self._later.start()

    def look(self) -> None:
        """The card is seen now."""
        if self.supposed is None:
            self.work()

    def hide_now(self) -> None:
        """Nobody looks: give up what is under way."""
        self.solver.drop()

    def forget(self) -> None:
        """Suppose nothing any more."""
        for chip in (self.keys, self.optional, self.varieties):
            chip.setChecked(False)

    def _on_chosen(self, _is_on: bool) -> None:
        self.supposed = None
        self._show_choices()
        self._later.start()

    def _on_grade(self, points: int, _is_checked: bool = False) -> None:
        self.points = points
        self.grade.show_value(code_of(points))
        if self.keys.isChecked():
            self._on_chosen(True)
        else:
            self.keys.setChecked(True)

    def work(self) -> None:
        """Work out what is supposed."""
        self._later.stop()
        sheet, asked, what = self._sheet, self._asked, self.what
        if sheet is None or self._now is None:
            return
        if what.is_nothing:
            self.solver.drop()
            self._show(None)
            return
        self.told.say("Working it out …")
        self.solver.ask(
            lambda progress: suppose(sheet, asked, what, progress),
            self._show,
            self._desk.show_failure,
            "Supposing",
        )

    # --- showing

    def _show(self, supposed: Supposed | None) -> None:
        sheet, now = self._sheet, self._now
        self.supposed = supposed
        if sheet is None or now is None:
            return
        unit = now.aim.unit
        present = [(step.spent, step.figure / unit) for step in now.curve.steps]
        then = present
        if supposed is not None:
            then = [(step.spent, step.figure / unit) for step in supposed.curve.steps]
        self.chart.show_curve(
            then, figure_name(now.aim), sheet.currency, present if supposed else ()
        )
        self.chart.show_budget(self._asked.budget)
        clear_layout(self.facts)
        finish, reach = (supposed or now).finish, (supposed or now).reach
        for name, before, after in (
            ("to fill every gap", now.finish, finish),
            ("to reach every target", now.reach, reach),
        ):
            text = cost_text(after, sheet.currency)
            if supposed is not None:
                text = f"{cost_text(before, sheet.currency)}  →  {text}"
            self.facts.addWidget(Label(name, "mute", self))
            self.facts.addWidget(Label(text, "strong_small", self, wraps=True))
        self.told.say(self._told(supposed))

    def _told(self, supposed: Supposed | None) -> str:
        if supposed is None:
            return "Nothing is supposed: this is the present."
        said = []
        if self.varieties.isChecked():
            many = supposed.added
            bare = f", {supposed.added_bare} of them not priced" if supposed.added_bare else ""
            said.append(f"{many} slot{'s' * (many != 1)} more for varieties{bare}")
        if self.keys.isChecked():
            many = sum(len(slots) for _, slots in self.lowered())
            said.append(f"{many} key date{'s' * (many != 1)} with a lower target")
        if self.optional.isChecked():
            many = len(self._optional())
            said.append(f"{many} optional slot{'s' * (many != 1)} left out")
        return " · ".join(said)

    def _show_choices(self) -> None:
        may = self._sheet is not None and not self._desk.is_read_only
        self.keep_targets.setVisible(self.keys.isChecked())
        self.keep_targets.setEnabled(may and bool(self.lowered()))
        self.keep_skips.setVisible(self.optional.isChecked())
        self.keep_skips.setEnabled(may and bool(self._optional()))

    # --- keeping

    def lowered(self) -> list[tuple[Target, list[SlotId]]]:
        """The new targets of key dates that ask for more now, with their slots."""
        by_target: dict[Target, list[SlotId]] = {}
        for slot in self._slots(is_key=True):
            target = slot.target
            if target is not None and target.least is not None and target.least > self.points:
                by_target.setdefault(replace(target, least=self.points), []).append(slot.id)
        return list(by_target.items())

    def _optional(self) -> list[SlotId]:
        return [slot.id for slot in self._slots() if slot.wish is Wish.OPTIONAL]

    def _slots(self, is_key: bool = False) -> list[Slot]:
        rows = self._sheet.found.rows if self._sheet else ()
        return [row.slot.slot for row in rows if row.is_key or not is_key]

    def _keep_targets(self) -> None:
        self.targets_asked.emit(self.lowered())

    def _keep_skips(self) -> None:
        self.skip_asked.emit(self._optional())
