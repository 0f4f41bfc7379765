"""The report of a box in the window: seen as it prints, saved as PDF, Markdown or PNG."""

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QWidget

from core.model.search import BoxId
from core.printing.checklist import Paper
from gui.desk import Desk
from gui.search.paper_page import Make, PaperPage
from gui.widgets import Chip, PrimaryButton, QuietButton

if TYPE_CHECKING:
    from core.app.collection import Collection
    from core.printing.box_report import BoxReport

KINDS = (
    ("pdf", "Save as PDF…", "PDF (*.pdf)", "Ctrl+S"),
    ("md", "Markdown…", "Markdown (*.md)", "Ctrl+M"),
    ("png", "PNG…", "PNG (*.png)", "Ctrl+G"),
)
_KEYS = (
    ("Alt+O", "private too"),
    ("Ctrl+S", "PDF"),
    ("Ctrl+M", "Markdown"),
    ("Ctrl+G", "PNG"),
    ("Esc", "close"),
)


@dataclass(frozen=True, slots=True)
class _Maker:
    """A report that makes itself a PDF on a paper."""

    report: "BoxReport"

    def __call__(self, paper: Paper) -> bytes:
        """The file."""
        from core.app.box_report import ReportKind, report_file

        return report_file(self.report, ReportKind.PDF, paper)


class ReportPage(PaperPage):
    """Show a box's report; `closed` when it was looked at."""

    closed = Signal()

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(desk, "Report of the box", parent, _KEYS)
        self._box = BoxId(0)
        self._number = 0
        self._report: BoxReport | None = None
        self.private = Chip("with where from, cost and notes", None, self)
        self.private.setToolTip("What only you may want to see (Alt+O)")
        self.private.toggled.connect(lambda _is_on: self._read_anew())
        self.aside.addWidget(self.private)
        QShortcut(QKeySequence("Alt+O"), self).activated.connect(self.private.toggle)
        self.buttons: dict[str, QuietButton | PrimaryButton] = {}
        self.foot.addStretch(1)
        self.close_button = QuietButton("Close", self)
        self.close_button.setToolTip("Close (Esc)")
        self.close_button.clicked.connect(self.closed)
        self.close_button.setAutoDefault(False)
        self.foot.addWidget(self.close_button)
        for ending, text, _kinds, key in reversed(KINDS):
            is_first = ending == "pdf"
            button = PrimaryButton(text, self) if is_first else QuietButton(text, self)
            button.setToolTip(f"{text.removesuffix('…')} ({key})")
            button.setAutoDefault(False)
            button.clicked.connect(lambda _on=False, ending=ending: self.keep(ending))
            self.foot.addWidget(button)
            self.buttons[ending] = button
            shortcut = QShortcut(QKeySequence(key), self)
            shortcut.activated.connect(lambda ending=ending: self.keep(ending))
        self.ready.connect(self._allow)
        self._allow(False)

    def show_box(self, box: BoxId, number: int) -> None:
        """Read and show the report of a box."""
        self._box, self._number = box, number
        self._read_anew()
        self.pages.setFocus()

    def _read_anew(self) -> None:
        box, private = self._box, self.private.isChecked()
        if not box:
            return
        self.said.say("")
        self._report = None

        def read(collection: "Collection") -> Make:
            from core.app.box_report import box_report

            return _Maker(box_report(collection, box, private))

        self.show_sheet(read)

    def _on_read(self, make: Make) -> None:
        if isinstance(make, _Maker):
            self._report = make.report
        super()._on_read(make)

    def _allow(self, is_ready: bool) -> None:
        for button in self.buttons.values():
            button.setEnabled(is_ready)

    def keep(self, ending: str) -> None:
        """Save the report as a file with that ending."""
        report = self._report
        if report is None or not self.is_ready:
            return
        kinds = next(kinds for known, _, kinds, _ in KINDS if known == ending)
        paper: Paper = self.paper

        def write(path: Path) -> None:
            from core.app.box_report import ReportKind, write_report

            write_report(path, report, ReportKind(ending), paper)

        self.save("Save the report", f"box-{self._number}.{ending}", f".{ending}", kinds, write)
