"""The checklist dialog: choose list and paper, look at the real pages, save or open them."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QLocale, QStandardPaths, Qt, QUrl
from PySide6.QtGui import QDesktopServices, QKeyEvent
from PySide6.QtWidgets import (
    QButtonGroup,
    QDialog,
    QHBoxLayout,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from core.app.checklists import TITLES, ListName, day_text, left_out_text
from core.app.work import Progress
from core.errors import CollectionError
from core.model.album import AlbumId
from core.printing.checklist import Checklist, ListKind, Paper
from gui.checklist.choices import read_choices
from gui.checklist.options import PAPERS, OptionsPane
from gui.checklist.pages_view import PagesView
from gui.desk import Desk
from gui.file_choice import choose_new_file
from gui.settings import Settings
from gui.theme import XL, XS, L, M, S
from gui.widgets import (
    IconButton,
    Label,
    PrimaryButton,
    QuietButton,
    SaidLine,
    ScrollColumn,
    SectionLabel,
    column,
    row,
)
from gui.work import Job

if TYPE_CHECKING:
    from core.app.collection import Collection

LISTS = (ListName.OPEN, ListName.GAPS, ListName.BELOW, ListName.ALL, ListName.SPARES)
HINTS = {
    ListName.OPEN: "Every gap, and every coin below target, holding a place or to verify.",
    ListName.GAPS: "Only what is missing.",
    ListName.BELOW: "Coins below target, hole fillers, coins to verify.",
    ListName.ALL: "The whole album, filled slots too.",
    ListName.SPARES: "Coins of this series that are in no slot.",
}
# Territories whose usual paper is US Letter. Source: Common Locale Data Repository,
# supplemental data "measurementData/paperSize", Unicode Consortium, 2024.
LETTER_TERRITORIES = frozenset(
    ("BZ", "CA", "CL", "CO", "CR", "GT", "MX", "NI", "PA", "PH", "PR", "SV", "US", "VE")
)
SIDE_PX = 264
_BARRED = '<>:"/\\|?*'


@dataclass(frozen=True, slots=True)
class _Known:
    """The album's name, and how many rows each list has."""

    album: str
    counts: dict[ListName, int]


@dataclass(frozen=True, slots=True)
class _Made:
    """A file laid out: its bytes, the sizes of its pages in points, its rows, what had no room."""

    data: bytes
    sizes: tuple[tuple[float, float], ...]
    rows: int
    missing: str


def default_paper(locale: QLocale | None = None) -> Paper:
    """Letter where that is the usual paper, else A4."""
    territory = (locale or QLocale.system()).territory()
    code = QLocale.territoryToCode(territory)
    return Paper.LETTER if code in LETTER_TERRITORIES else Paper.A4


def file_name(album: str, which: ListName) -> str:
    """A name that every system takes: “Nickels 1938–1964, gaps and upgrades.pdf”."""
    text = f"{album}, {TITLES[which].lower()}"
    safe = "".join("-" if c in _BARRED or not c.isprintable() else c for c in text)
    return f"{safe.strip(' .')[:120]}.pdf"


def show_file(path: Path) -> bool:
    """Have the system's own program show a file; False where none does. Tests replace it."""
    return QDesktopServices.openUrl(QUrl.fromLocalFile(str(path)))


class ChecklistDialog(QDialog):
    """Shows an album's checklist as it will be printed."""

    def __init__(
        self,
        parent: QWidget | None,
        desk: Desk,
        album: AlbumId,
        settings: Settings | None = None,
        day: date | None = None,
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle("Checklist")
        self.setAccessibleName("Checklist")
        self.resize(1120, 740)
        self._desk, self._album, self._settings, self._day = desk, album, settings, day
        self._name = ""
        self._made: _Made | None = None
        self._job: Job | None = None
        self._keeping: Job | None = None
        self._build()
        for button in self.findChildren(QPushButton):
            button.setAutoDefault(button is self.save_button)
        desk.ask(
            lambda collection: _read_known(collection, album, day), self._show_known, self._failed
        )
        self._remake()
        self.lists[ListName.OPEN].setFocus(Qt.FocusReason.OtherFocusReason)

    @staticmethod
    def ask(
        parent: QWidget | None,
        desk: Desk,
        album: AlbumId,
        settings: Settings | None = None,
        day: date | None = None,
    ) -> None:
        """Show the dialog until it is left: of a day gone by, or of today.

        The settings keep what was chosen.
        """
        dialog = ChecklistDialog(parent, desk, album, settings, day)
        try:
            dialog.exec()
        finally:
            dialog.deleteLater()

    # --- building

    def _build(self) -> None:
        box = row(self, (XL, XL, 0, 0), 0)
        side = column(spacing=S, margins=(0, 0, 0, L))
        upper = ScrollColumn(self, spacing=S)
        upper.setFixedWidth(SIDE_PX)
        words, inside = upper.box, upper.inside
        words.addWidget(Label("Checklist", "title", inside))
        self._album_name = Label("", "mute", inside, wraps=True)
        words.addWidget(self._album_name)
        words.addSpacing(M)
        self._build_lists(words, inside)
        words.addSpacing(M)
        choices = read_choices(self._settings.checklist if self._settings else "")
        self.options = OptionsPane(choices, default_paper(), inside)
        self.options.show_kind(ListKind.SLOTS)
        self.options.changed.connect(self._on_options)
        self.paper = self.options.paper
        words.addWidget(self.options)
        words.addStretch(1)
        side.addWidget(upper, 1)
        self._build_keeping(side, self)
        box.addLayout(side)
        box.addLayout(self._build_pages(), 1)

    def _build_lists(self, words: QVBoxLayout, side: QWidget) -> None:
        words.addWidget(SectionLabel("List", side))
        self._group = QButtonGroup(self)
        self.lists: dict[ListName, QPushButton] = {}
        choices = column(spacing=2)
        for place, which in enumerate(LISTS):
            button = QuietButton(TITLES[which], side, "choice")
            button.setCheckable(True)
            button.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
            button.setToolTip(HINTS[which])
            self._group.addButton(button, place)
            choices.addWidget(button)
            self.lists[which] = button
        if self._day is not None:
            self.lists[ListName.SPARES].setEnabled(False)
            self.lists[ListName.SPARES].setToolTip("Spares of a day gone by are not recorded")
        self.lists[ListName.OPEN].setChecked(True)
        self._group.idToggled.connect(self._on_list)
        words.addLayout(choices)

    def _build_keeping(self, words: QVBoxLayout, side: QWidget) -> None:
        self._said = SaidLine(side)
        self.save_button = PrimaryButton("Save as…", side)
        self.save_button.setDefault(True)
        self.save_button.clicked.connect(self._on_save)
        self.open_button = QuietButton("Open", side)
        self.open_button.setToolTip("Show it in your PDF program, which prints the pages as here")
        self.open_button.clicked.connect(self._on_open)
        self.leave_button = QuietButton("Close", side)
        self.leave_button.clicked.connect(self.reject)
        words.addWidget(self._said)
        words.addSpacing(XS)
        words.addWidget(self.save_button)
        pair = row(spacing=S)
        pair.addWidget(self.open_button, 1)
        pair.addWidget(self.leave_button, 1)
        words.addLayout(pair)

    def _build_pages(self) -> QVBoxLayout:
        box = column(spacing=S)
        self.pages = PagesView(self._desk.runner, self._failed, self)
        self.pages.page_changed.connect(self._show_page)
        self._page = Label("", "mute", self)
        self._page.setMinimumWidth(96)
        self._page.setAlignment(Qt.AlignmentFlag.AlignCenter)
        head = row(margins=(XL, 0, XL, 0), spacing=XS)
        self._rows = Label("", "mute", self)
        head.addWidget(self._rows)
        head.addStretch(1)
        self._button(head, "chevron-left", "Page back (Page Up)", self._page_step(-1))
        head.addWidget(self._page)
        self._button(head, "chevron-right", "Next page (Page Down)", self._page_step(1))
        head.addSpacing(M)
        self._button(head, "zoom-out", "Smaller (Ctrl+−)", self._zoom_step(1 / 1.25))
        self._button(head, "maximize", "Width of the window (Ctrl+0)", self._zoom_step(0))
        self._button(head, "zoom-in", "Larger (Ctrl++)", self._zoom_step(1.25))
        box.addLayout(head)
        below = row(margins=(XL, 0, XL, 0))
        self._missing = Label("", "small", self, wraps=True)
        self._missing.setVisible(False)
        below.addWidget(self._missing)
        box.addLayout(below)
        box.addWidget(self.pages, 1)
        return box

    def _button(self, box: QHBoxLayout, icon: str, text: str, act: Callable[[], None]) -> None:
        button = IconButton(icon, text, self)
        button.clicked.connect(act)
        box.addWidget(button)

    def _page_step(self, step: int) -> Callable[[], None]:
        return lambda: self.pages.go_to_page(self.pages.page + step)

    def _zoom_step(self, factor: float) -> Callable[[], None]:
        return lambda: self.pages.set_zoom(self.pages.zoom * factor if factor else 1.0)

    # --- what there is to choose

    def _show_known(self, known: _Known) -> None:
        self._name = known.album
        since = f", as of {day_text(self._day)}" if self._day else ""
        self._album_name.setText(known.album + since)
        for which, count in known.counts.items():
            text = f"{TITLES[which]}   {count:,}"
            self.lists[which].setText(text)
            self.lists[which].setAccessibleName(f"{TITLES[which]}, {count:,} rows")

    @property
    def which(self) -> ListName:
        """The list chosen."""
        return LISTS[max(0, self._group.checkedId())]

    @property
    def chosen_paper(self) -> Paper:
        """The paper chosen."""
        return PAPERS[max(0, self.paper.choice())]

    def _on_list(self, place: int, is_on: bool) -> None:
        if is_on:
            is_spares = LISTS[place] is ListName.SPARES
            self.options.show_kind(ListKind.SPARES if is_spares else ListKind.SLOTS)
            self._remake()

    def _on_options(self) -> None:
        if self._settings is not None:
            self._settings.checklist = self.options.choices.text
        self._remake()

    # --- making the file

    def _remake(self) -> None:
        if self._job is not None:
            self._job.cancel()
        self._made = None
        self._said.say("")
        self._rows.setText("Setting the pages …")
        self._allow_keeping()
        which, album, day = self.which, self._album, self._day
        group = self.options.choices.group
        self._job = self._desk.ask(
            lambda collection: collection.checklist(album, which, as_of=day, group=group),
            self._lay_out,
            self._failed,
        )

    def _lay_out(self, checklist: Checklist) -> None:
        paper, look = self.chosen_paper, self.options.choices.look

        def work(progress: Progress) -> _Made:
            from core.printing.pdf import checklist_left_out, checklist_pdf
            from core.printing.png import page_sizes

            data = checklist_pdf(checklist, paper, look)
            progress.check()
            rows = sum(len(leaf.rows) for leaf in checklist.leaves)
            missing = left_out_text(checklist_left_out(checklist, paper, look), paper)
            return _Made(data, page_sizes(data), rows, missing if rows else "")

        self._job = self._desk.runner.submit_drawing(work, self._show_made, self._failed)

    def _show_made(self, made: _Made) -> None:
        self._made = made
        self.pages.show_pdf(made.data, made.sizes)
        rows = (
            f"{made.rows:,} row{'' if made.rows == 1 else 's'}" if made.rows else "nothing to list"
        )
        self._rows.setText(f"{rows} on {self.chosen_paper.shown_name}")
        self._missing.setText(made.missing)
        self._missing.setVisible(bool(made.missing))
        self._show_page(self.pages.page)
        self._allow_keeping()

    def _show_page(self, page: int) -> None:
        self._page.setText(f"page {page + 1} of {self.pages.pages}")

    def _allow_keeping(self) -> None:
        is_ready = self._made is not None and (self._keeping is None or self._keeping.is_done)
        self.save_button.setEnabled(is_ready)
        self.open_button.setEnabled(is_ready)

    # --- keeping the file

    def _on_save(self) -> None:
        if self._made is None:
            return
        folder = QStandardPaths.writableLocation(QStandardPaths.StandardLocation.DocumentsLocation)
        start = str(Path(folder) / file_name(self._name, self.which))
        path = choose_new_file(self, "Save the checklist", start, "PDF (*.pdf)", ".pdf")
        if path is not None:
            self._keep(path, self._on_saved)

    def _on_saved(self, path: Path) -> None:
        self._keeping = None
        self._allow_keeping()
        self._said.say(f"Saved as {path.name}.")

    def _on_open(self) -> None:
        folder = QStandardPaths.writableLocation(QStandardPaths.StandardLocation.TempLocation)
        self._keep(Path(folder) / "Slotleaf" / file_name(self._name, self.which), self._on_kept)

    def _on_kept(self, path: Path) -> None:
        self._keeping = None
        self._allow_keeping()
        if show_file(path):
            self._said.say(f"Opened {path.name}.")
        else:
            self._said.say(
                "No program here opens PDF files. Save the checklist instead, and open it where "
                "one does.",
                is_fault=True,
            )

    def _keep(self, path: Path, then: Callable[[Path], None]) -> None:
        made = self._made
        if made is None:
            return
        data = made.data

        def work(_progress: Progress) -> Path:
            from core.printing.pdf import write_pdf

            path.parent.mkdir(parents=True, exist_ok=True)
            write_pdf(path, data)
            return path

        self._said.say("")
        self._keeping = self._desk.runner.submit_drawing(work, then, self._not_kept)
        self._allow_keeping()

    def _not_kept(self, error: Exception) -> None:
        self._keeping = None
        if isinstance(error, OSError):
            text = f"The folder cannot be written to: {error.strerror or error}."
            self._said.say(f"{text} Choose another place.", is_fault=True)
        else:
            self._failed(error)
        self._allow_keeping()

    def _failed(self, error: Exception) -> None:
        if not isinstance(error, CollectionError):
            self._desk.show_failure(error)
            return
        self._rows.setText("")
        self._said.say(str(error), is_fault=True)

    # --- keys

    def keyPressEvent(self, event: QKeyEvent) -> None:
        is_ctrl = bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier)
        key = event.key()
        if is_ctrl and key == Qt.Key.Key_S:
            self.save_button.click()
        elif is_ctrl and key == Qt.Key.Key_L:
            self.options.large.toggle()
        elif is_ctrl and key == Qt.Key.Key_G:
            self.options.next_group()
        elif is_ctrl and key in (Qt.Key.Key_O, Qt.Key.Key_P):
            self.open_button.click()
        elif key in (Qt.Key.Key_PageDown, Qt.Key.Key_PageUp) or (
            is_ctrl and key in (Qt.Key.Key_Plus, Qt.Key.Key_Equal, Qt.Key.Key_Minus, Qt.Key.Key_0)
        ):
            self.pages.keyPressEvent(event)
        else:
            super().keyPressEvent(event)

    def done(self, result: int) -> None:
        if self._job is not None:
            self._job.cancel()
        self.pages.stop()
        super().done(result)


def _read_known(collection: "Collection", album: AlbumId, day: date | None) -> _Known:
    lists = [which for which in LISTS if day is None or which is not ListName.SPARES]
    counts = {
        which: sum(len(leaf.rows) for leaf in collection.checklist(album, which, day).leaves)
        for which in lists
    }
    return _Known(collection.album_view(album).album.name, counts)
