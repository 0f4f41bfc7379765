"""Sheets for the sorting table: what to look closer at, and a blank sheet to tally on."""

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QDialog, QWidget

from core.app.table_sheets import SheetKind, sheet_maker
from core.model.search import Box
from gui.desk import Desk
from gui.search.paper_page import Make, PaperPage
from gui.segmented import Segmented
from gui.theme import XL, L, S
from gui.widgets import Label, PrimaryButton, QuietButton, column

if TYPE_CHECKING:
    from core.app.collection import Collection

KINDS = (SheetKind.CLOSER, SheetKind.TALLY)
_WORDS = {SheetKind.CLOSER: "look closer", SheetKind.TALLY: "tally"}
KIND_KEYS = ("Alt+K", "Alt+Y")
"""Those that open the sheets at the table."""
_KEYS = (
    *((key, _WORDS[kind]) for key, kind in zip(KIND_KEYS, KINDS, strict=True)),
    ("Ctrl+S", "save"),
    ("Esc", "close"),
)
_FILES = {SheetKind.CLOSER: "look-closer", SheetKind.TALLY: "tally-sheet"}
_TELLS = {
    SheetKind.CLOSER: "What is known to look for in these coins, those of open slots first.",
    SheetKind.TALLY: "A row a roll, a column a tally; then the open slots with room to strike.",
}


class SheetDialog(QDialog):
    """Shows a sheet of a box, for the goal album of its campaign, and saves it."""

    def __init__(self, parent: QWidget | None, desk: Desk, box: Box, kind: SheetKind) -> None:
        super().__init__(parent)
        self._box, self._kind = box, kind
        self.setWindowTitle("Sheet for the table")
        self.resize(860, 720)
        outer = column(self, (XL, XL, XL, L), S)
        outer.addWidget(Label(f"Sheet for box {box.number}", "title", self))
        self.tells = Label("", "mute", self, wraps=True)
        outer.addWidget(self.tells)
        self.page = PaperPage(desk, "Sheet for the table", self, _KEYS)
        self.kinds = Segmented([_WORDS[one] for one in KINDS], "Sheet", self)
        self.kinds.choose(KINDS.index(kind))
        self.kinds.chosen.connect(lambda place: self.show_kind(KINDS[place]))
        self.page.aside.addWidget(self.kinds)
        for place, key in enumerate(KIND_KEYS):
            shortcut = QShortcut(QKeySequence(key), self)
            shortcut.activated.connect(lambda place=place: self._choose(place))
        outer.addWidget(self.page, 1)
        self.page.foot.addStretch(1)
        self.close_button = QuietButton("Close", self)
        self.close_button.setToolTip("Close (Esc)")
        self.close_button.clicked.connect(self.accept)
        self.save_button = PrimaryButton("Save as PDF…", self)
        self.save_button.setToolTip("Save as PDF (Ctrl+S)")
        self.save_button.clicked.connect(self.keep)
        for button in (self.close_button, self.save_button):
            button.setAutoDefault(False)
            self.page.foot.addWidget(button)
        self.page.ready.connect(self.save_button.setEnabled)
        QShortcut(QKeySequence("Ctrl+S"), self).activated.connect(self.keep)
        desk.closed.connect(self.reject)
        self.show_kind(kind)
        self.page.pages.setFocus()

    def _choose(self, place: int) -> None:
        self.kinds.choose(place)
        self.show_kind(KINDS[place])

    def show_kind(self, kind: SheetKind) -> None:
        """Show one of the sheets."""
        self._kind = kind
        self.tells.setText(_TELLS[kind])
        number = self._box.id

        def read(collection: "Collection") -> Make:
            return sheet_maker(collection, kind, None, number)

        self.page.said.say("")
        self.page.show_sheet(read)

    def keep(self) -> None:
        """Save what is shown."""
        make, paper = self.page.make, self.page.paper
        if make is None or not self.page.is_ready:
            return

        def write(path: Path) -> None:
            from core.printing.whole_file import write_whole

            write_whole(path, make(paper), "PDF", "The sheet")

        name = f"{_FILES[self._kind]}-box-{self._box.number}.pdf"
        self.page.save("Save the sheet", name, ".pdf", "PDF (*.pdf)", write)

    def done(self, result: int) -> None:
        self.page.stop()
        super().done(result)

    @classmethod
    def ask(cls, parent: QWidget | None, desk: Desk, box: Box, kind: SheetKind) -> None:
        """Show it until it is closed."""
        dialog = cls(parent, desk, box, kind)
        dialog.exec()
        dialog.deleteLater()
