"""The page of series: all there are at the left, the card of one at the right."""

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QObject, Qt, QTimer
from PySide6.QtGui import QAction, QKeyEvent, QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QAbstractItemView,
    QDialog,
    QHBoxLayout,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QStackedWidget,
    QWidget,
)

from core.app.work import Progress
from core.errors import CollectionError, Refused
from core.model.issue import SeriesId
from gui.desk import Desk
from gui.series.card import SeriesCard
from gui.series.exporting import ask_export
from gui.series.known import Facts, SeriesLine, facts_of, following, grow_text, read_known
from gui.series.no_own_undo import NoOwnUndo
from gui.series.screen_size import fit_to_screen
from gui.theme import XL, L, M, S
from gui.two_lines import DETAIL_ROLE, TwoLines
from gui.widgets import (
    Band,
    EmptyState,
    KeyHint,
    Label,
    MenuButton,
    QuietButton,
    SaidLine,
    column,
    row,
)
from gui.work import Job

if TYPE_CHECKING:
    from core.app.changes import Changes
    from core.app.collection import Collection
    from core.app.operations import Operation
    from core.catalogue.draft import SeriesDraft

LIST_PX = 296
SHOW_AFTER_MS = 40
MOST_LINES = 4
"""Differences that the band names one by one."""


class SeriesDialog(QDialog):
    """Reads the series once and again after each change; orders go to the desk."""

    def __init__(self, parent: QWidget | None, desk: Desk, choose: SeriesId | None = None) -> None:
        super().__init__(parent)
        self._desk = desk
        self._lines: tuple[SeriesLine, ...] = ()
        self._shown: SeriesLine | None = None
        self._wanted = choose
        self._job: Job | None = None
        self.setWindowTitle("Series")
        self.setAccessibleName("Series")
        fit_to_screen(self)
        box = column(self, (XL, XL, XL, L), L)
        box.addLayout(self._build_head())
        both = row(spacing=L)
        both.addWidget(self._build_list())
        both.addWidget(self._build_right(), 1)
        box.addLayout(both, 1)
        box.addLayout(self._build_foot())
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(SHOW_AFTER_MS)
        self._timer.timeout.connect(self._read_facts)
        for button in self.findChildren(QPushButton):
            button.setAutoDefault(False)
        self._bind_keys()
        desk.changed.connect(lambda _changes: self._read())
        self._allow()
        self._read()
        self.search.setFocus(Qt.FocusReason.OtherFocusReason)

    @classmethod
    def ask(cls, parent: QWidget | None, desk: Desk, choose: SeriesId | None = None) -> None:
        """Show the series until the page is closed."""
        dialog = cls(parent, desk, choose)
        dialog.exec()
        dialog.deleteLater()

    # ---- building -----------------------------------------------------------------------------

    def _build_head(self) -> QHBoxLayout:
        line = row(spacing=S)
        line.addWidget(Label("Series", "title", self))
        self.sentence = Label("", "mute", self)
        line.addSpacing(S)
        line.addWidget(self.sentence, 1, Qt.AlignmentFlag.AlignBottom)
        self.import_button = QuietButton("Import…", self)
        self.import_button.setToolTip("Take in a folder, a sheet, or rows that you paste (Ctrl+O)")
        self.import_button.clicked.connect(self.import_series)
        line.addWidget(self.import_button)
        self.new_button = QuietButton("A series of your own…", self)
        self.new_button.setToolTip("Begin a new series (Ctrl+N)")
        self.new_button.clicked.connect(self.new_series)
        line.addWidget(self.new_button)
        line.addWidget(KeyHint("Ctrl+N", self))
        return line

    def _build_list(self) -> QWidget:
        left = QWidget(self)
        left.setFixedWidth(LIST_PX)
        box = column(left, spacing=S)
        self.search = QLineEdit(left)
        self.search.setPlaceholderText("Search by title, issuer or date")
        self.search.setAccessibleName("Search the series")
        self.search.setToolTip("Search by title, issuer or date (Ctrl+L)")
        self.search.textChanged.connect(lambda _text: self._fill_list())
        self.search.installEventFilter(self)
        box.addWidget(self.search)
        self.list_pages = QStackedWidget(left)
        self.list = QListWidget(left)
        self.list.setAccessibleName("Series")
        self.list.setItemDelegate(TwoLines(self.list))
        self.list.setMouseTracking(True)
        self.list.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.currentItemChanged.connect(self._on_chosen)
        self.list.itemActivated.connect(lambda _item: self._on_activated())
        self.list_pages.addWidget(self.list)
        self.no_match = EmptyState(
            "No series is called that",
            "Search otherwise, or begin one of your own.",
            "A series of your own…",
            "Ctrl+N",
            left,
        )
        self.no_match.acted.connect(self.new_series)
        self.list_pages.addWidget(self.no_match)
        box.addWidget(self.list_pages, 1)
        return left

    def _build_right(self) -> QWidget:
        right = QWidget(self)
        box = column(right, spacing=M)
        self.update_band = Band(right, "Take them")
        self.update_band.button.setToolTip("Take what the library has newer (Alt+T)")
        self.update_band.acted.connect(self.take_update)
        self.update_band.hide()
        box.addWidget(self.update_band)
        self.card = SeriesCard(right)
        self.edit_button = QuietButton("Edit…", self.card)
        self.edit_button.setToolTip("Edit this series (F2)")
        self.edit_button.clicked.connect(self.edit_series)
        self.copy_button = QuietButton("Copy and edit…", self.card)
        self.copy_button.setToolTip("Make a series of your own from this one (Alt+C)")
        self.copy_button.clicked.connect(self.copy_series)
        self.year_button = QuietButton("Add a year…", self.card)
        self.year_button.clicked.connect(self.add_year)
        self.more = MenuButton("More", "", self.card)
        self.export_action = QAction("Export as two files…\tCtrl+E", self.more.choices)
        self.export_action.triggered.connect(lambda _on=False: self.export_series())
        self.delete_action = QAction("Delete this series", self.more.choices)
        self.delete_action.triggered.connect(lambda _on=False: self.delete_series())
        self.more.choices.addActions([self.export_action, self.delete_action])
        for button in (self.edit_button, self.copy_button, self.year_button, self.more):
            self.card.buttons.addWidget(button)
        box.addWidget(self.card, 1)
        return right

    def _build_foot(self) -> QHBoxLayout:
        line = row(spacing=S)
        self.said = SaidLine(self)
        line.addWidget(self.said, 1)
        line.addStretch(0)
        close = QuietButton("Close", self)
        close.clicked.connect(self.accept)
        line.addWidget(KeyHint("Esc", self))
        line.addWidget(close)
        return line

    def _bind_keys(self) -> None:
        keys: tuple[tuple[str, Callable[[], object]], ...] = (
            ("Ctrl+N", self.new_series),
            ("Ctrl+O", self.import_series),
            ("Ctrl+L", self._focus_search),
            ("Ctrl+F", self.card.focus_find),
            ("F2", self.edit_series),
            ("Alt+C", self.copy_series),
            ("Alt+Y", self.add_year),
            ("Alt+T", self.take_update),
            ("Ctrl+E", self.export_series),
            ("Ctrl+Z", partial(self._step, self._desk.undo, "Undone")),
            ("Ctrl+Shift+Z", partial(self._step, self._desk.redo, "Done again")),
            ("Ctrl+Y", partial(self._step, self._desk.redo, "Done again")),
        )
        for key, handler in keys:
            QShortcut(QKeySequence(key), self, lambda handler=handler: handler())
        to_the_window = NoOwnUndo(self)
        for field in (self.search, self.card.search):
            field.installEventFilter(to_the_window)

    def _focus_search(self) -> None:
        self.search.setFocus(Qt.FocusReason.OtherFocusReason)
        self.search.selectAll()

    # ---- the list -----------------------------------------------------------------------------

    def _read(self) -> None:
        self._desk.ask(read_known, self._show_known, doing="Reading the series")

    def _show_known(self, lines: tuple[SeriesLine, ...]) -> None:
        self._lines = lines
        own = sum(line.is_own for line in lines)
        words = [f"{len(lines) - own} in the library"]
        if own:
            words.append(f"{own} of your own")
        newer = sum(line.update is not None for line in lines)
        if newer:
            words.append(f"newer figures for {newer}")
        self.sentence.setText(" · ".join(words))
        self._fill_list()

    def _fill_list(self) -> None:
        typed = self.search.text()
        kept = self._wanted or (self._shown.series.id if self._shown is not None else None)
        met = [(at, line) for at, line in enumerate(self._lines) if line.choice.is_met_by(typed)]
        met.sort(key=lambda pair: typed.casefold() not in pair[1].series.title.casefold())
        self.list.blockSignals(True)
        self.list.clear()
        chosen = 0
        for at, line in met:
            item = QListWidgetItem(line.series.title)
            item.setData(DETAIL_ROLE, line.detail)
            item.setData(Qt.ItemDataRole.UserRole, at)
            spoken = f"{line.series.title}, {line.series.issuer}, {line.detail}"
            item.setData(Qt.ItemDataRole.AccessibleTextRole, spoken)
            self.list.addItem(item)
            if line.series.id == kept:
                chosen = self.list.count() - 1
        if met:
            self.list.setCurrentRow(chosen)
        self.list.blockSignals(False)
        self.list_pages.setCurrentIndex(0 if met or not self._lines else 1)
        self.card.setVisible(bool(met))
        if not met:
            self._shown = None
            self.update_band.hide()
        self._on_chosen(self.list.currentItem())

    def _on_chosen(self, item: QListWidgetItem | None, _before: object = None) -> None:
        if item is None:
            self._allow()
            return
        line = self._lines[int(item.data(Qt.ItemDataRole.UserRole))]
        if self._shown is line:
            return
        is_other = self._shown is not None and self._shown.series.id != line.series.id
        if is_other and self._wanted is None:
            self.said.say("")
        self._shown, self._wanted = line, None
        self._allow()
        self._show_update()
        self._timer.start()

    def _read_facts(self) -> None:
        line = self._shown
        if line is None:
            return
        if self._job is not None:
            self._job.cancel()

        def work(_progress: Progress) -> Facts:
            return facts_of(line)

        self._job = self._desk.runner.submit_drawing(
            work, self.card.show_facts, self._desk.show_failure
        )

    def _allow(self) -> None:
        """Switch what can be done with the series shown."""
        line, may_change = self._shown, not self._desk.is_read_only
        is_own = line is not None and line.is_own
        self.new_button.setEnabled(may_change)
        self.import_button.setEnabled(may_change)
        self.copy_button.setEnabled(may_change and line is not None)
        self.edit_button.setVisible(is_own)
        self.edit_button.setEnabled(may_change)
        self.delete_action.setVisible(is_own)
        self.delete_action.setEnabled(may_change)
        is_here = line is not None and line.choice.is_in_use
        self.year_button.setEnabled(may_change and is_here)
        self.year_button.setToolTip(
            "Repeat the last year's coins in the next one (Alt+Y)" if is_here or line is None
            else "Make an album of this series first; then it can grow"
        )  # fmt: skip

    def _on_activated(self) -> None:
        self.card.table.setFocus(Qt.FocusReason.OtherFocusReason)

    # ---- newer figures ------------------------------------------------------------------------

    def _show_update(self) -> None:
        line = self._shown
        if line is None or line.update is None:
            self.update_band.say("")
            return
        lines = line.update.lines
        told = list(lines[:MOST_LINES])
        if len(lines) > MOST_LINES:
            told.append(f"and {len(lines) - MOST_LINES:,} more")
        first = f"The library has newer figures. {line.update.text}."
        self.update_band.say("\n".join([first, *told, grow_text(line.followers)]).strip())
        self.update_band.button.setEnabled(not self._desk.is_read_only)

    def take_update(self) -> None:
        """Exchange the collection's copy for the library's."""
        line = self._shown
        if line is None or line.update is None or self._desk.is_read_only:
            return
        from core.app.own_series import take_update

        grown = grow_text(line.followers).replace(" grows ", " grew ").replace(" grow ", " grew ")
        told = f"The newer figures are taken. {grown} Ctrl+Z takes it back.".replace("  ", " ")
        self._order(take_update(line.series.id), told)

    # ---- a year more --------------------------------------------------------------------------

    def add_year(self) -> None:
        """Ask which year, telling which albums grow."""
        line = self._shown
        if line is None or not self.year_button.isEnabled():
            return
        series_id = line.series.id

        def question(collection: "Collection") -> tuple[str, ...]:
            return following(collection, [a for a in collection.albums() if a.series == series_id])

        self._desk.ask(question, partial(self._ask_year, line), doing="Looking at the albums")

    def _ask_year(self, line: SeriesLine, followers: tuple[str, ...]) -> None:
        from core.app.own_series import add_next_year, with_year
        from gui.text_dialog import TextDialog

        series = line.series

        def fault(texts: list[str]) -> str:
            if not (texts[0].isascii() and texts[0].isdigit()) or len(texts[0]) > 4:
                return "Write a year, such as 2027."
            try:
                with_year(series, int(texts[0]))
            except Refused as error:
                return str(error)
            return ""

        grown = grow_text(followers) or "No album grows by it."
        texts = TextDialog.ask(
            self,
            f"Add a year to {series.title}",
            [("Year", str(series.dates[-1][1] + 1))],
            "Add the year",
            f"Its coins are those of the last year, without figures. {grown}",
            fault,
        )
        if texts:
            told = f"{texts[0]} is added to {series.title}. Ctrl+Z takes it back."
            self._order(add_next_year(series.id, int(texts[0])), told)

    # ---- series of one's own ------------------------------------------------------------------

    def _taken(self) -> tuple[str, ...]:
        return tuple(str(line.series.id) for line in self._lines)

    def _edit(self, draft: "SeriesDraft", is_new: bool, is_imported: bool = False) -> None:
        from gui.series.editor import SeriesEditor

        self.said.say("")
        saved = SeriesEditor.ask(self, self._desk, draft, self._taken(), is_new, is_imported)
        if saved is not None:
            self._wanted = saved
            self.search.clear()
            self._read()
            self.said.say("The series is saved in this collection. Ctrl+Z takes it back.")

    def new_series(self) -> None:
        """Begin a series of one's own."""
        if self.new_button.isEnabled():
            from core.catalogue.draft import empty_draft

            self._edit(empty_draft(), True)

    def copy_series(self) -> None:
        """A series of one's own that begins as this one is."""
        if self._shown is not None and self.copy_button.isEnabled():
            from core.catalogue.draft import draft_of

            draft = draft_of(self._shown.series)
            self._edit(replace(draft, id="", title=f"{draft.title}, my own"), True)

    def edit_series(self) -> None:
        """Edit a series of one's own."""
        if self._shown is not None and self._shown.is_own and self.edit_button.isEnabled():
            from core.catalogue.draft import draft_of

            self._edit(draft_of(self._shown.series), False)

    def import_series(self) -> None:
        """Take in a folder, a sheet or pasted rows, to be looked over in the editor."""
        if self.import_button.isEnabled():
            from gui.series.import_dialog import ImportSeriesDialog

            draft = ImportSeriesDialog.ask(self, self._desk)
            if draft is not None:
                self._edit(self._with_own_id(draft), True, True)

    def _with_own_id(self, draft: "SeriesDraft") -> "SeriesDraft":
        """A draft from elsewhere without the id of a library series, which is not one's own."""
        of_library = {str(line.series.id) for line in self._lines if not line.is_own}
        return replace(draft, id="") if draft.id in of_library else draft

    def export_series(self) -> None:
        """Write the two files of the series into a folder."""
        if self._shown is not None:
            series = self._shown.series
            ask_export(self, self._desk, series, self._on_exported, self._on_failed)

    def _on_exported(self, paths: list[Path]) -> None:
        self.said.say(f"The series is in {paths[0].parent}: {' and '.join(p.name for p in paths)}.")

    def delete_series(self) -> None:
        """Take a series of one's own out of the collection."""
        if self._shown is not None and self._shown.is_own:
            from core.app.own_series import delete_series

            title = self._shown.series.title
            told = f"{title} is deleted. Ctrl+Z brings it back."
            self._order(delete_series(self._shown.series.id), told)

    # ---- orders -------------------------------------------------------------------------------

    def _order(self, operation: "Operation", told: str) -> None:
        def done(_changes: "Changes") -> None:
            self.said.say(told)

        self._desk.run(operation, done, failed=self._on_failed)

    def _on_failed(self, error: Exception) -> None:
        if isinstance(error, CollectionError):
            self.said.say(str(error), True)
        else:
            self._desk.show_failure(error)

    def _step(self, step: Callable[[Callable[[str | None], None]], None], did: str) -> None:
        """Undo or redo, as in the window behind, whose keys wait meanwhile."""

        def stepped(label: str | None) -> None:
            self.said.say(f"{did}: {label}." if label is not None else "")

        if not self._desk.is_read_only:
            step(stepped)

    # ---- keys ---------------------------------------------------------------------------------

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        is_key = event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent)
        if watched is self.search and is_key and isinstance(event, QKeyEvent):
            step = {Qt.Key.Key_Down: 1, Qt.Key.Key_Up: -1}.get(Qt.Key(event.key()))
            if step is not None:
                last = self.list.count() - 1
                self.list.setCurrentRow(max(0, min(last, self.list.currentRow() + step)))
                return True
            if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self.list.count():
                self._on_activated()
                return True
        return super().eventFilter(watched, event)

    def done(self, result: int) -> None:
        """Leave; what is still being read is let go."""
        self._timer.stop()
        if self._job is not None:
            self._job.cancel()
        super().done(result)
