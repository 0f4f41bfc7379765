"""The want list: which coins, on what paper, how the most to pay is written; saved as PDF."""

from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QStandardPaths, Qt
from PySide6.QtWidgets import QLineEdit, QWidget

from core.app.work import Progress
from core.errors import BadEntry, CollectionError
from core.printing.want_list import WantPaper
from gui.album.album_fields import AlbumFoot
from gui.checklist.preview import default_paper
from gui.desk import Desk
from gui.file_choice import choose_new_file
from gui.form_field import FormField
from gui.segmented import Segmented
from gui.small_dialog import SmallDialog
from gui.theme import XL, L, M
from gui.widgets import Label, column

if TYPE_CHECKING:
    from core.app.collection import Collection
    from core.app.upgrades import Upgrades
    from core.app.want_list import Pay
    from core.planning.plan import Plan
    from gui.upgrades.workspace import UpgradesWorkspace

PAPERS = tuple(WantPaper)
PLAN, OPEN = "What the plan buys", "Every open slot"
PAYS = ("Hidden", "Shown", "In letters")
HIDDEN, SHOWN, LETTERS = range(3)
WORD_HINT = (
    "A word of ten different letters: the first stands for 1, the ninth for 9, the last for 0. "
    "It is on no page."
)
PRIVATE = (
    "By priority: key dates, gaps, upgrades, optional slots. What you paid and where an offer was "
    "seen is not on it. Prices are estimates, not appraisals."
)


@dataclass(frozen=True, slots=True)
class Wanted:
    """What the list is made of: all that was looked up, and the plan where there is one."""

    found: "Upgrades"
    made: "Plan | None"
    budget: int | None


def wanted_of(space: "UpgradesWorkspace") -> Wanted | None:
    """What the workspace looks at, with its plan where that is made; None where no slot is read."""
    sheet, asked, planned = space.sheet, space.asked, space.planned
    if sheet is None or not sheet.found.rows:
        return None
    made = planned.plan if planned is not None and planned.asked is asked else None
    return Wanted(replace(sheet.found, given=asked.given(sheet.found)), made, asked.budget)


class WantListDialog(SmallDialog):
    """Asks how the list is to be, and writes it; `written` is the file then."""

    def __init__(self, parent: QWidget | None, desk: Desk, wanted: Wanted) -> None:
        super().__init__(parent)
        self._desk, self._wanted = desk, wanted
        self.written: Path | None = None
        self.setWindowTitle("Want list")
        self.setAccessibleName("Want list")
        self.resize(520, 0)
        box = column(self, (XL, XL, XL, L), M)
        box.addWidget(Label("Want list", "heading", self))
        box.addWidget(Label(PRIVATE, "mute", self, wraps=True))
        self.which = Segmented((PLAN, OPEN), "Which coins", self)
        self.which.buttons[0].setEnabled(wanted.made is not None)
        self.which.choose(0 if wanted.made is not None else 1)
        box.addWidget(FormField("Which coins", self.which, self))
        self.paper = Segmented([paper.shown_name for paper in PAPERS], "Paper", self)
        self.paper.choose(PAPERS.index(WantPaper(default_paper().value)))
        box.addWidget(FormField("Paper", self.paper, self))
        self.pay = Segmented(PAYS, "The most to pay", self)
        self.pay.choose(HIDDEN)
        self.pay.chosen.connect(self._on_pay)
        box.addWidget(FormField("The most to pay", self.pay, self))
        self.word = QLineEdit(self)
        self.word.textChanged.connect(self._check)
        self.word_field = FormField("Word for the letters", self.word, self, WORD_HINT)
        box.addWidget(self.word_field)
        self.word_field.hide()
        box.addStretch(1)
        self.foot = AlbumFoot(self, "Save as PDF…", self.save)
        box.addLayout(self.foot.line)
        self._check()
        self.which.buttons[0 if wanted.made is not None else 1].setFocus(
            Qt.FocusReason.OtherFocusReason
        )

    @staticmethod
    def ask(parent: QWidget | None, desk: Desk, wanted: Wanted) -> Path | None:
        """The file that was written, or None."""
        dialog = WantListDialog(parent, desk, wanted)
        dialog.exec()
        dialog.deleteLater()
        return dialog.written

    def _place(self, choice: Segmented) -> int:
        return next(at for at, button in enumerate(choice.buttons) if button.isChecked())

    def _on_pay(self, place: int) -> None:
        self.word_field.setVisible(place == LETTERS)
        if place == LETTERS:
            self.word.setFocus(Qt.FocusReason.OtherFocusReason)
        self._check()

    def _check(self) -> None:
        """A word is told to be wrong once it is begun; without a good one nothing is saved."""
        fault = ""
        try:
            self._read_pay()
        except BadEntry as bad:
            fault = str(bad)
        self.word_field.show_fault(fault if self.word.text().strip() else "")
        self.foot.give.setEnabled(not fault)
        self.foot.trouble.setText("")

    def _read_pay(self) -> "Pay":
        from core.app.want_list import Pay, PayKind, code_word

        kind = (PayKind.HIDDEN, PayKind.SHOWN, PayKind.CODED)[self._place(self.pay)]
        return Pay(kind, code_word(self.word.text()) if kind is PayKind.CODED else "")

    def save(self) -> None:
        """Ask for a name and write the list there."""
        pay, paper = self._read_pay(), PAPERS[self._place(self.paper)]
        wanted = self._wanted
        made = wanted.made if self._place(self.which) == 0 else None
        folder = QStandardPaths.writableLocation(QStandardPaths.StandardLocation.DocumentsLocation)
        start = str(Path(folder) / "Want list.pdf")
        to = choose_new_file(self, "Save the want list", start, "PDF files (*.pdf)", ".pdf")
        if to is None:
            return

        def question(collection: "Collection", _progress: Progress) -> Path:
            from core.app.want_list import want_lines, want_pdf, want_sheet
            from core.printing.whole_file import write_whole

            lines = want_lines(wanted.found, made)
            sheet = want_sheet(collection, wanted.found, lines, pay, made, wanted.budget)
            write_whole(to, want_pdf(sheet, paper, collection.today), "PDF", "The want list")
            return to

        self.foot.give.setEnabled(False)
        self._desk.ask_long(question, self._done, self._failed, "Making the want list")

    def _done(self, to: Path) -> None:
        self.written = to
        self.accept()

    def _failed(self, error: Exception) -> None:
        self.foot.give.setEnabled(True)
        if isinstance(error, CollectionError):
            self.foot.trouble.setText(str(error))
        else:
            self._desk.broke.emit(error)
