"""What if: other targets for key dates, no optional slots, varieties too. Nothing is saved."""

from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QTimer, Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QWidget

from core.app.plan_tables import beside_table, curve_table
from core.app.supposed import Kept
from core.app.upgrade_varieties import missing_varieties, with_varieties
from core.app.work import Progress
from core.model.album import AlbumId, Slot, SlotId, Target, Wish
from core.model.grade import SCALE, code_of
from core.model.issue import VarietyId
from core.planning.curve import Cost, Curve, cost_to_finish, cost_to_targets, curve
from core.planning.drawn import curve_stairs, drawn_curve
from core.planning.what_if import with_key_target, without_optional
from gui.desk import Desk
from gui.flow_layout import FlowLayout
from gui.theme import L, M, S
from gui.upgrades.chart import warm
from gui.upgrades.chart_card import ChartWithTable, Page
from gui.upgrades.reading import Asked, Further, Sheet
from gui.upgrades.side import cost_text
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

if TYPE_CHECKING:
    from core.printing.curve_page import CurveSheet

LATER_MS, LIMIT_S, CHART_PX = 150, 5.0, 220
KEEP_KEY = "Alt+E"
GRADES = (4, 8, 12, 20, 30, 40, 50, 60, 63, 65)
USUAL_GRADE = 8
NOT_YET = "What is supposed is being worked out."
PRESENT = "Suppose something first; the present curve is saved from The plan (Alt+1)."


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
    varieties: tuple[tuple[AlbumId, SlotId, VarietyId], ...] = ()
    """Each variety with its album and the slot it would stand behind."""


def suppose(sheet: Sheet, asked: Asked, what: WhatIf, progress: Progress) -> Supposed:
    """Work out the curve and the whole costs of a supposition."""
    given = replace(asked.given(sheet.found), pinned=frozenset[int]())
    bare = 0
    new: tuple[tuple[AlbumId, SlotId, VarietyId], ...] = ()
    if what.adds_varieties:
        varied = with_varieties(sheet.found, given, sheet.series, sheet.varied)
        given, bare = varied.given, varied.not_priced
        new = tuple(
            (row.album, row.slot.slot.id, variety.id)
            for row, variety in missing_varieties(sheet.found, sheet.series)
            if not (what.drops_optional and row.slot.slot.wish is Wish.OPTIONAL)
        )
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
        len(new),
        min(bare, len(new)),
        new,
    )


class WhatIfCard(Card):
    """The curve of a supposition beside the present one."""

    keep_asked = Signal(object)
    """Keep this in the albums: a Kept."""
    file_name = "What if"

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
            if chip is self.keys:
                chips.addWidget(self._build_grade())
        self.box.addLayout(chips)
        self.told = SaidLine(self)
        self.box.addWidget(self.told)
        self.key = Label("full line: what is supposed · dashed: now", "small", self)
        self.box.addWidget(self.key)
        self.shown = ChartWithTable("What if", self, CHART_PX, is_choosing=False)
        self.chart = self.shown.chart
        self.box.addWidget(self.shown)
        self.facts = column(spacing=S)
        self.box.addLayout(self.facts)
        self.keep = QuietButton("Keep what is supposed", self)
        self.keep.setShortcut(KEEP_KEY)
        self.keep.clicked.connect(lambda: self.keep_asked.emit(self.kept()))
        self.box.addWidget(self.keep)
        self._later = QTimer(self)
        self._later.setSingleShot(True)
        self._later.setInterval(LATER_MS)
        self._later.timeout.connect(self.work)
        self._show_choices()

    def _build_grade(self) -> MenuButton:
        self.grade = MenuButton("at most", code_of(self.points), self)
        self.grade.setToolTip("What key dates then ask for")
        for points in GRADES:
            if points in SCALE:
                action = QAction(code_of(points), self.grade.choices)
                action.triggered.connect(partial(self._on_grade, points))
                self.grade.choices.addAction(action)
        return self.grade

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
        self.shown.refuse(NOT_YET)

        def work(progress: Progress) -> Supposed:
            warm()
            return suppose(sheet, asked, what, progress)

        self.solver.ask(
            work,
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
        present = curve_stairs(now.curve, unit)
        then = curve_stairs(supposed.curve, unit) if supposed else present
        drawn = drawn_curve(then, now.aim, sheet.currency, present if supposed else ())
        self.key.setVisible(supposed is not None)
        self.shown.show_curve(
            drawn,
            beside_table(drawn) if supposed else curve_table(present, sheet.currency),
        )
        self.chart.show_budget(self._asked.budget)
        if supposed is None:
            self.shown.refuse(PRESENT)
        self._show_choices()
        clear_layout(self.facts)
        for name, text in self._costs(sheet, now, supposed):
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

    @staticmethod
    def _costs(sheet: Sheet, now: Further, supposed: Supposed | None) -> list[tuple[str, str]]:
        """What it costs to fill and to reach all, now and as supposed."""
        told = []
        for name, before, after in (
            ("to fill every gap", now.finish, (supposed or now).finish),
            ("to reach every target", now.reach, (supposed or now).reach),
        ):
            text = cost_text(after, sheet.currency)
            if supposed is not None:
                text = f"{cost_text(before, sheet.currency)}  →  {text}"
            told.append((name, text))
        return told

    def page(self) -> Page | None:
        """What makes the page on paper."""
        sheet, now, supposed = self._sheet, self._now, self.supposed
        if sheet is None or now is None or supposed is None or not self.shown.has_curve:
            return None
        budget = self._asked.budget
        facts = [("Supposed", self._told(supposed)), *self._costs(sheet, now, supposed)]

        def make(collection: str) -> "CurveSheet":
            from core.app.plan_pages import About, what_if_sheet

            about = About(collection, sheet.found)
            return what_if_sheet(about, now.aim, now.curve, supposed.curve, budget, facts)

        return make

    # --- keeping

    def _show_choices(self) -> None:
        kept = self.kept()
        is_ready = self.supposed is not None
        may = is_ready and not self._desk.is_read_only
        self.keep.setVisible(not self.what.is_nothing)
        self.keep.setEnabled(may and not kept.is_nothing)
        if self._desk.is_read_only:
            why_not = "The collection can only be read."
        elif not is_ready:
            why_not = NOT_YET
        else:
            why_not = "Nothing that is supposed would change the albums."
        words = f"In the albums: {kept.words}. One undo takes it back. ({KEEP_KEY})"
        self.keep.setToolTip(why_not if not self.keep.isEnabled() else words)
        self.keep.setAccessibleDescription(self.keep.toolTip())

    def kept(self) -> Kept:
        """What would be kept in the albums."""
        targets = [(target, tuple(slots)) for target, slots in self.lowered()]
        return Kept(
            tuple(targets) if self.keys.isChecked() else (),
            tuple(self._optional()) if self.optional.isChecked() else (),
            self.supposed.varieties if self.supposed is not None else (),
        )

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
