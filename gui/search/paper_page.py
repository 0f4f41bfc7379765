"""A page of a dialog that shows something as it will be printed, and saves it."""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QStandardPaths, Signal
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QHBoxLayout, QWidget

from core.app.work import Progress
from core.errors import CollectionError
from core.printing.checklist import Paper
from gui.checklist.pages_view import PagesView
from gui.desk import Desk
from gui.file_choice import choose_new_file
from gui.segmented import Segmented
from gui.theme import XS, M, S
from gui.widgets import IconButton, Label, SaidLine, column, key_line, row
from gui.work import Job

if TYPE_CHECKING:
    from core.app.collection import Collection

Make = Callable[[Paper], bytes]
Keys = Sequence[tuple[str, str]]
PAPER_KEY = "Alt+P"
PAPERS = (Paper.A4, Paper.LETTER)
Drawn = tuple[bytes, tuple[tuple[float, float], ...]]


class PaperPage(QWidget):
    """`show_sheet` reads, then draws; `aside` and `foot` take further switches and buttons."""

    ready = Signal(bool)
    """Whether what is shown is whole and can be saved."""

    def __init__(
        self, desk: Desk, name: str, parent: QWidget | None = None, keys: Keys = ()
    ) -> None:
        """`keys` tell what further keys do, beside those of the pages and the paper."""
        super().__init__(parent)
        self._desk = desk
        self._make: Make | None = None
        self._job: Job | None = None
        self._keeping: Job | None = None
        box = column(self, spacing=S)
        head = row(spacing=M)
        self.told = Label("", "mute", self)
        head.addWidget(self.told)
        head.addStretch(1)
        self.aside: QHBoxLayout = row(spacing=M)
        head.addLayout(self.aside)
        self.papers = Segmented([paper.shown_name for paper in PAPERS], "Paper", self)
        self.papers.choose(0)
        self.papers.chosen.connect(lambda _place: self._draw())
        head.addWidget(self.papers)
        QShortcut(QKeySequence(PAPER_KEY), self).activated.connect(self._next_paper)
        for icon, text, step in (("chevron-left", "Page back (Page Up)", -1),
                                 ("chevron-right", "Next page (Page Down)", 1)):  # fmt: skip
            button = IconButton(icon, text, self)
            button.clicked.connect(lambda _on=False, step=step: self.turn(step))
            head.addWidget(button)
        box.addLayout(head)
        self.pages = PagesView(desk.runner, self._failed, self)
        self.pages.setAccessibleName(name)
        box.addWidget(self.pages, 1)
        self.said = SaidLine(self)
        box.addWidget(self.said)
        self.foot: QHBoxLayout = row(spacing=S)
        box.addSpacing(XS)
        shown = (("PgUp PgDown", "pages"), (PAPER_KEY, "paper"), *keys)
        box.addLayout(key_line(self, shown))
        box.addLayout(self.foot)

    @property
    def paper(self) -> Paper:
        """The paper chosen."""
        return PAPERS[max(0, self.papers.choice())]

    @property
    def make(self) -> Make | None:
        """What makes the sheet that is shown."""
        return self._make

    @property
    def is_ready(self) -> bool:
        """Whether it can be saved."""
        return self.pages.pages > 0 and (self._keeping is None or self._keeping.is_done)

    def _next_paper(self) -> None:
        self.papers.choose((self.papers.choice() + 1) % len(PAPERS))
        self._draw()

    def turn(self, step: int) -> None:
        """Another page."""
        self.pages.go_to_page(self.pages.page + step)

    def show_sheet(self, read: "Callable[[Collection], Make]") -> None:
        """Read what makes the sheet, and show it."""
        self._cancel()
        self._make = None
        self.pages.show_pdf(b"", ())
        self.told.setText("Reading …")
        self.ready.emit(False)
        self._job = self._desk.ask(read, self._on_read, self._failed)

    def _on_read(self, make: Make) -> None:
        self._make = make
        self._draw()

    def _draw(self) -> None:
        make, paper = self._make, self.paper
        if make is None:
            return
        self._cancel()
        self.told.setText("Drawing …")
        self.ready.emit(False)

        def work(_progress: Progress) -> Drawn:
            from core.printing.png import page_sizes

            data = make(paper)
            return data, page_sizes(data)

        self._job = self._desk.runner.submit_drawing(work, self._show, self._failed)

    def _show(self, drawn: Drawn) -> None:
        data, sizes = drawn
        self.pages.show_pdf(data, sizes)
        count = len(sizes)
        pages = f"{count:,} page{'' if count == 1 else 's'}"
        self.told.setText(f"{pages} on {self.paper.shown_name}, black on white")
        self.ready.emit(True)

    def save(
        self, title: str, name: str, ending: str, kinds: str, write: Callable[[Path], None]
    ) -> None:
        """Ask for a name, and have the file written; a line says what became of it."""
        place = QStandardPaths.StandardLocation.DocumentsLocation
        start = str(Path(QStandardPaths.writableLocation(place)) / name)
        path = choose_new_file(self, title, start, kinds, ending)
        if path is None:
            return

        def work(_progress: Progress) -> Path:
            write(path)
            return path

        self.said.say("Saving …")
        self._keeping = self._desk.runner.submit_drawing(work, self._on_saved, self._failed)

    def _on_saved(self, path: Path) -> None:
        self._keeping = None
        self.said.say(f"Saved as {path.name}.")

    def _failed(self, error: Exception) -> None:
        self._keeping = None
        if not isinstance(error, CollectionError):
            self._desk.show_failure(error)
            return
        if self._make is None:
            self.told.setText("")
        self.said.say(str(error), is_fault=True)

    def _cancel(self) -> None:
        if self._job is not None:
            self._job.cancel()
            self._job = None

    def stop(self) -> None:
        """Draw nothing any more."""
        self._cancel()
        self.pages.stop()
