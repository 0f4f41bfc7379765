"""The editor of a series of one's own: what it is, rows by a rule and by hand, varieties."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QCloseEvent, QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QPushButton,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from core.app.work import Progress
from core.catalogue.draft import HEAD, ROW_COLUMNS, ROWS, SeriesDraft, id_of, in_order
from core.catalogue.draft_rows import DraftRow
from core.errors import BadEntry, CollectionError
from core.model.issue import SeriesId
from gui.desk import Desk
from gui.segmented import Segmented
from gui.series.card import bold_width
from gui.series.editor_parts import PAGES, ROWS_AT, Looked, look, page_of
from gui.series.exporting import ask_export
from gui.series.fault_list import FaultList
from gui.series.grid import Grid
from gui.series.head_page import HeadPage
from gui.series.rows_page import RowsPage
from gui.series.screen_size import fit_to_screen
from gui.series.sheets import (
    MINTS,
    RULE_PART,
    SIGNS,
    TOTALS,
    VARIETIES,
    Checked,
    Fault,
    Sheets,
    sheets_of,
)
from gui.series.sheets_check import made_rows
from gui.series.sheets_edit import edited, fewer_text, merged, with_rows, without_unused
from gui.series.tables import Table, is_blank
from gui.series.tables_page import TablesPage
from gui.series.timeline import Timeline
from gui.theme import NEXT_TURN_MS, XL, L, M, S
from gui.widgets import (
    Card,
    ElidedLabel,
    IconButton,
    KeyHint,
    Label,
    PrimaryButton,
    QuietButton,
    SaidLine,
    column,
    row,
)
from gui.work import Job

if TYPE_CHECKING:
    from core.app.changes import Changes

CHECK_AFTER_MS = 80
Page = HeadPage | RowsPage | TablesPage
UNDO_KEYS = (("Ctrl+Z", "undo"), ("Ctrl+Shift+Z", "redo"), ("Ctrl+Y", "redo"))


class SeriesEditor(QDialog):
    """Edits a draft; `saved` is the id under which the collection then carries it."""

    def __init__(
        self,
        parent: QWidget | None,
        desk: Desk,
        draft: SeriesDraft,
        taken: Sequence[str],
        is_new: bool,
        is_imported: bool = False,
    ) -> None:
        """`taken`: ids of other series, which a new one may not have.

        `is_imported`: leaving it unsaved would lose it, though nothing was typed here yet.
        """
        super().__init__(parent)
        self._desk, self._taken, self._is_new = desk, tuple(taken), is_new
        self._id = draft.id
        self.saved: SeriesId | None = None
        self.time = Timeline(sheets_of(draft), is_begun=is_imported)
        self._is_begun = not is_new
        """Whether empty fields are faults already: once it was to be saved."""
        self._rows_page: RowsPage | None = None
        self._varieties_page: TablesPage | None = None
        self._more_page: TablesPage | None = None
        self._looked: Looked | None = None
        self._then: Callable[[Checked], None] | None = None
        self._job: Job | None = None
        self.setWindowTitle("A series of your own")
        self.setAccessibleName("A series of your own")
        fit_to_screen(self)
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(CHECK_AFTER_MS)
        self._timer.timeout.connect(self._check)
        box = column(self, (XL, L, XL, L), M)
        box.addLayout(self._build_head())
        box.addWidget(self._build_pages(), 1)
        self.faults = FaultList(self)
        self.faults.chosen.connect(self.go_to)
        self.faults.unused_asked.connect(self.take_out_unused)
        box.addWidget(self.faults)
        box.addWidget(self._build_question())
        self._build_foot(box)
        for button in self.findChildren(QPushButton):
            button.setAutoDefault(False)
            button.setDefault(False)
        self._bind_keys()
        self._show()
        self._check()
        self.head_page.focus_field(0)
        if is_new and draft.id in self._taken:
            self.said.say(f"Saving this replaces the series “{draft.id}” of this collection.")
        QTimer.singleShot(NEXT_TURN_MS, self, self._build_next)

    @classmethod
    def ask(
        cls,
        parent: QWidget | None,
        desk: Desk,
        draft: SeriesDraft,
        taken: Sequence[str],
        is_new: bool,
        is_imported: bool = False,
    ) -> SeriesId | None:
        """Edit a draft; the id of what was saved, None where it was left."""
        dialog = cls(parent, desk, draft, taken, is_new, is_imported)
        dialog.exec()
        saved = dialog.saved
        dialog.deleteLater()
        return saved

    # ---- building -----------------------------------------------------------------------------

    def _build_head(self) -> QHBoxLayout:
        line = row(spacing=M)
        self.title = ElidedLabel("", "title", self)
        line.addWidget(self.title, 1)
        self.undo_button = IconButton("undo-2", "Undo", self)
        self.redo_button = IconButton("redo-2", "Redo", self)
        self.undo_button.clicked.connect(self.undo)
        self.redo_button.clicked.connect(self.redo)
        line.addWidget(self.undo_button)
        line.addWidget(self.redo_button)
        self.tabs = Segmented(PAGES, "Page", self)
        self.tabs.choose(0)
        self.tabs.chosen.connect(self.show_page)
        for place, button in enumerate(self.tabs.buttons):
            button.setToolTip(f"{PAGES[place]} (Alt+{place + 1})")
            button.setMinimumWidth(bold_width(button) + 2 * XL)
        line.addWidget(self.tabs)
        return line

    def _build_pages(self) -> QStackedWidget:
        self.pages = QStackedWidget(self)
        self.head_page = HeadPage(self)
        self.head_page.typed.connect(self._on_field)
        self._add_page(self.head_page)
        return self.pages

    def _add_page(self, page: Page) -> None:
        page.edited.connect(self._on_edited)
        for grid in page.grids.values():
            grid.said.connect(self._on_said)
            grid.left.connect(self._on_left)
        self.pages.addWidget(page)
        for button in page.findChildren(QPushButton):
            button.setAutoDefault(False)
            button.setDefault(False)

    def _build_next(self) -> None:
        """Build the next page: each in a turn of its own, or when it is first asked for."""
        match self.pages.count():
            case 1:
                self._rows_page = RowsPage(self)
                self._rows_page.typed.connect(self._on_rule)
                self._rows_page.make_asked.connect(self.make_rows)
                self._rows_page.order_asked.connect(self.put_in_order)
                self._add_page(self._rows_page)
            case 2:
                self._varieties_page = TablesPage(self, VARIETIES)
                self._add_page(self._varieties_page)
            case 3:
                self._more_page = TablesPage(self, SIGNS, TOTALS)
                self._add_page(self._more_page)
            case _:
                return
        self._show()
        if self._looked is not None:
            self._show_looked(self._looked)
        if self.pages.count() < len(PAGES):
            QTimer.singleShot(NEXT_TURN_MS, self, self._build_next)

    @property
    def rows_page(self) -> RowsPage:
        """The page of rows."""
        while self._rows_page is None:
            self._build_next()
        return self._rows_page

    @property
    def _built(self) -> tuple[Page, ...]:
        """The pages that are built by now."""
        pages = (self.head_page, self._rows_page, self._varieties_page, self._more_page)
        return tuple(page for page in pages if page is not None)

    @property
    def grids(self) -> tuple[Grid, ...]:
        """All tables that are built by now."""
        return tuple(grid for page in self._built for grid in page.grids.values())

    def _build_question(self) -> Card:
        self.question = Card(self, "band", (L, M, M, M), S)
        self.question.setAccessibleName("Leave without saving?")
        line = row(spacing=S)
        self.asks = Label("", "body", self.question, wraps=True)
        line.addWidget(self.asks, 1)
        self.stay = QuietButton("Go on editing", self.question)
        self.stay.clicked.connect(self._stay)
        self.drop = QuietButton("Leave without saving", self.question)
        self.drop.clicked.connect(self._leave)
        line.addWidget(self.drop)
        line.addWidget(self.stay)
        self.question.box.addLayout(line)
        self.question.hide()
        return self.question

    def _build_foot(self, box: QVBoxLayout) -> None:
        line = row(spacing=S)
        self.export_button = QuietButton("Export…", self)
        self.export_button.setToolTip("Write it as two files into a folder (Ctrl+E)")
        self.export_button.clicked.connect(self.export)
        line.addWidget(self.export_button)
        self.said = SaidLine(self)
        line.addWidget(self.said, 1)
        line.addStretch(0)
        cancel = QuietButton("Close", self)
        cancel.clicked.connect(self.reject)
        self.save_button = PrimaryButton("Save in this collection", self)
        self.save_button.setToolTip("Save in this collection (Ctrl+S)")
        self.save_button.clicked.connect(self.save)
        line.addWidget(KeyHint("Esc", self))
        line.addWidget(cancel)
        line.addSpacing(S)
        line.addWidget(KeyHint("Ctrl+S", self))
        line.addWidget(self.save_button)
        box.addLayout(line)

    def _bind_keys(self) -> None:
        keys: list[tuple[str, Callable[[], object]]] = [
            ("Ctrl+S", self.save),
            ("Ctrl+E", self.export),
            ("Ctrl+R", self.make_rows),
            ("Ctrl+Shift+O", self.put_in_order),
            ("Ctrl+U", self.take_out_unused),
            ("F8", partial(self.faults.go, 1)),
            ("Shift+F8", partial(self.faults.go, -1)),
            ("F6", partial(self._next_part, 1)),
            ("Shift+F6", partial(self._next_part, -1)),
            ("Ctrl+PgDown", partial(self._turn, 1)),
            ("Ctrl+PgUp", partial(self._turn, -1)),
        ]
        keys += [(key, getattr(self, name)) for key, name in UNDO_KEYS]
        keys += [(f"Alt+{at + 1}", partial(self.show_page, at)) for at in range(len(PAGES))]
        for key, handler in keys:
            QShortcut(QKeySequence(key), self, lambda handler=handler: handler())

    # ---- what is typed ------------------------------------------------------------------------

    @property
    def sheets(self) -> Sheets:
        """All that is typed."""
        return self.time.present

    def _on_field(self, name: str, text: str) -> None:
        self._put(self.sheets.with_text(name, text), "type", HEAD, f"head {name}")

    def _on_rule(self, name: str, text: str) -> None:
        self._put(self.sheets.with_rule(name, text), "the rule", RULE_PART, RULE_PART)

    def _on_edited(self, part: str, table: Table, what: str) -> None:
        before = self.sheets
        self._put(edited(before, part, table), what, part)
        self.said.say(fewer_text(before, self.sheets) if part == ROWS else "")

    def _put(self, sheets: Sheets, what: str, part: str, key: str = "") -> None:
        self.said.say("")
        self.time.put(sheets, what, part, key)
        self._show()
        self._timer.start()

    def _on_said(self, text: str, is_fault: bool) -> None:
        self.said.say(text, is_fault)

    def make_rows(self) -> None:
        """Make the rows of the rule; those that are there of its dates and mints stay."""
        self.take()
        try:
            made = made_rows(self.sheets)
        except BadEntry as fault:
            self.said.say(str(fault), True)
            return
        rows = merged(self.sheets.rows, made)
        before = self.sheets
        after = replace(with_rows(before, rows), made=made if rows == made else before.made)
        self._put(after, "make the rows", ROWS)
        self.show_page(ROWS_AT)
        self.said.say(fewer_text(before, after))

    def put_in_order(self) -> None:
        """The rows by year, as a series wants them."""
        self.take()
        filled = [DraftRow(*cells) for cells in self.sheets.rows if not is_blank(cells)]
        rows = tuple(tuple(getattr(one, name) for name in ROW_COLUMNS) for one in in_order(filled))
        self._put(self.sheets.with_table(ROWS, rows), "put in order", ROWS)
        self.show_page(ROWS_AT)

    def take_out_unused(self) -> None:
        """Mints, designs and metals that no row names go."""
        self.take()
        self._put(without_unused(self.sheets), "take out what no row uses", MINTS)

    def undo(self) -> None:
        """Take back the last step."""
        self._move(self.time.undo)

    def redo(self) -> None:
        """Do again what was taken back."""
        self._move(self.time.redo)

    def _move(self, step: Callable[[], str | None]) -> None:
        self.take()
        part = step()
        if part is not None:
            self._show()
            self.show_page(page_of(part))
            self._timer.start()

    def take(self) -> None:
        """Put what is typed in a cell into it."""
        for grid in self.grids:
            grid.take()

    # ---- what is shown ------------------------------------------------------------------------

    def _show(self) -> None:
        sheets = self.sheets
        for page in self._built:
            page.show_sheets(sheets)
        self.title.show_text(sheets.text("title") or "A series of your own")
        for button, name, label in (
            (self.undo_button, "Undo", self.time.undo_label),
            (self.redo_button, "Redo", self.time.redo_label),
        ):
            button.setEnabled(bool(label))
            told = f"{name}: {label}" if label else f"Nothing to {name.lower()}"
            button.setToolTip(f"{told} ({'Ctrl+Z' if name == 'Undo' else 'Ctrl+Shift+Z'})")
            button.setAccessibleName(told)

    def show_page(self, place: int) -> None:
        """The series, its rows, its varieties."""
        if place != self.pages.currentIndex():
            self.take()
            while self.pages.count() <= place:
                self._build_next()
            self.tabs.choose(place)
            self.pages.setCurrentIndex(place)
            self._focus_page()
        self.tabs.choose(place)

    def _focus_page(self) -> None:
        match self.pages.currentIndex():
            case 0:
                self.head_page.focus_field(0)
            case 1 if not self.sheets.rows:
                self.rows_page.fields["first"].setFocus(Qt.FocusReason.OtherFocusReason)
            case 1:
                self.rows_page.grid.setFocus(Qt.FocusReason.OtherFocusReason)
            case at:
                first = next(iter(self._built[at].grids.values()))
                first.setFocus(Qt.FocusReason.OtherFocusReason)

    def _turn(self, step: int) -> None:
        self.show_page((self.pages.currentIndex() + step) % len(PAGES))

    def _stops(self) -> list[tuple[QWidget, QWidget]]:
        """The parts of the page shown, and where each takes the keys, for F6."""
        page = self._built[self.pages.currentIndex()]
        stops: list[tuple[QWidget, QWidget]] = [(grid, grid) for grid in page.grids.values()]
        if isinstance(page, HeadPage):
            stops.insert(0, (page.form, page.fields["title"]))
        elif isinstance(page, RowsPage):
            stops.insert(0, (page.rule, page.fields["first"]))
        return stops

    def _next_part(self, step: int) -> None:
        """From one part of the page to the next, then the list and the buttons."""
        self.take()
        stops = [*self._stops(), (self.faults, self.faults.list), (self.save_button,) * 2]
        stops = [stop for stop in stops if stop[1].isVisible()]
        now = self.focusWidget()
        has = [part is now or part.isAncestorOf(now) for part, _target in stops]
        at = has.index(True) if True in has else 0 if step < 0 else -1
        stops[(at + step) % len(stops)][1].setFocus(Qt.FocusReason.TabFocusReason)

    def _on_left(self, is_forward: bool) -> None:
        self._next_part(1 if is_forward else -1)

    # ---- checking -----------------------------------------------------------------------------

    def series_id(self) -> str:
        """The id it has, or will have: made of its title, unlike all others."""
        return self._id or id_of(self.sheets.text("title"), self._taken)

    def _check(self) -> None:
        self._timer.stop()
        if self._job is not None:
            self._job.cancel()
        sheets, series_id = self.sheets, self.series_id()

        def work(progress: Progress) -> Looked:
            return look(sheets, series_id, progress)

        self._job = self._desk.runner.submit_drawing(
            work, self._on_checked, self._desk.show_failure
        )

    def _on_checked(self, looked: Looked) -> None:
        self._job = None
        if looked.sheets is not self.sheets:
            return
        if self._follow_rule(looked):
            return
        self._looked = looked
        self._show_looked(looked)
        then, self._then = self._then, None
        if then is not None:
            then(looked.checked)

    def _show_looked(self, looked: Looked) -> None:
        checked = looked.checked
        for page in self._built:
            page.show_faults(checked, self._is_begun)
        self._show_counts(checked)
        if self._rows_page is not None:
            self._rows_page.show_looked(looked)
        well = ""
        if checked.series is not None:
            count = len(checked.series.issues)
            well = f"{count:,} issue{'' if count == 1 else 's'}, ready to be saved."
        has_unused = bool(checked.faults) and without_unused(looked.sheets) != looked.sheets
        self.faults.show_faults(checked.faults, well, has_unused)

    def _follow_rule(self, looked: Looked) -> bool:
        """Rows that nobody touched become those of the rule; whether they did."""
        sheets = looked.sheets
        is_untouched = not sheets.rows or (bool(sheets.made) and sheets.follows_rule)
        if looked.made is None or not is_untouched or looked.made == sheets.rows:
            return False
        self.time.put(
            replace(sheets, rows=looked.made, made=looked.made), "the rule", RULE_PART, RULE_PART
        )
        self._show()
        self._check()
        return True

    def _show_counts(self, checked: Checked) -> None:
        """How many are to be put right on each page."""
        counts = [0] * len(PAGES)
        for fault in checked.faults:
            counts[page_of(fault.part)] += 1
        for button, name, count in zip(self.tabs.buttons, PAGES, counts, strict=True):
            button.setText(f"{name}  ▲{count}" if count else name)
            button.setAccessibleName(f"Page: {name}, {count} to put right" if count else name)

    def go_to(self, fault: Fault) -> None:
        """Go to the cell or field of a fault."""
        self.show_page(page_of(fault.part))
        if fault.part == HEAD:
            self.head_page.focus_field(fault.column)
            return
        grid = self._grid(fault.part)
        row = len(grid.texts.rows) if fault.row is None else fault.row
        grid.go_to(row, fault.column)
        grid.setFocus(Qt.FocusReason.OtherFocusReason)

    def _grid(self, part: str) -> Grid:
        return self._built[page_of(part)].grids[part]

    # ---- saving and leaving -------------------------------------------------------------------

    def _once_checked(self, then: Callable[[Checked], None]) -> None:
        """Do something once all that is typed is checked."""
        self._is_begun = True
        self.take()
        self._stay(is_focusing=False)
        self._then = then
        self._check()

    def save(self) -> None:
        """Carry the series in the collection; where something is wrong, go there."""
        if self.save_button.isEnabled():
            self._once_checked(self._on_ready_to_save)

    def _is_faultless(self, checked: Checked) -> bool:
        if checked.series is not None:
            return True
        count = len(checked.faults)
        told = "Something is" if count == 1 else f"{count:,} things are"
        self.said.say(f"{told} to be put right first.", True)
        self.faults.go(1)
        return False

    def _on_ready_to_save(self, checked: Checked) -> None:
        if not self._is_faultless(checked):
            return
        from core.app.own_series import save_series

        self.save_button.setEnabled(False)
        series_id = SeriesId(checked.draft.id)

        def saved(_changes: "Changes") -> None:
            self.saved = series_id
            self.accept()

        self._desk.run(save_series(checked.draft), saved, failed=self._on_not_saved)

    def _on_not_saved(self, error: Exception) -> None:
        self.save_button.setEnabled(True)
        if isinstance(error, CollectionError):
            self.said.say(str(error), True)
        else:
            self._desk.show_failure(error)

    def export(self) -> None:
        """Write the two files into a folder; where something is wrong, go there."""
        self._once_checked(self._on_ready_to_export)

    def _on_ready_to_export(self, checked: Checked) -> None:
        series = checked.series
        if self._is_faultless(checked) and series is not None:
            ask_export(self, self._desk, series, self._on_exported, self._on_not_saved)

    def _on_exported(self, paths: list[Path]) -> None:
        self.said.say(f"It is in {paths[0].parent}; in this collection only once it is saved.")

    def reject(self) -> None:
        """Leave; what is not saved asks first."""
        self.take()
        if not self.question.isHidden():
            self._stay()
        elif self.time.is_changed:
            rows = sum(not is_blank(cells) for cells in self.sheets.rows)
            what = f"What you changed, {rows:,} rows in all," if rows else "What you typed"
            self.asks.setText(f"{what} is not in this collection yet. Leave without saving?")
            self.question.show()
            self.stay.setFocus(Qt.FocusReason.OtherFocusReason)
        else:
            self._leave()

    def _stay(self, _is_on: bool = False, is_focusing: bool = True) -> None:
        if not self.question.isHidden():
            self.question.hide()
            if is_focusing:
                self._focus_page()

    def _leave(self) -> None:
        super().reject()

    def closeEvent(self, event: QCloseEvent) -> None:
        if self.isVisible() and self.time.is_changed and self.saved is None:
            event.ignore()
            if self.question.isHidden():
                self.reject()
            return
        super().closeEvent(event)

    def done(self, result: int) -> None:
        """Leave; what is being checked is let go."""
        self._timer.stop()
        if self._job is not None:
            self._job.cancel()
        super().done(result)
