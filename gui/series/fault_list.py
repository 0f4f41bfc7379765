"""What is to be put right in a series: a list of which each line leads to its cell."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QStackedWidget, QWidget

from gui.exchange.sheet_table import SheetTable
from gui.series.sheets import Fault
from gui.theme import M, S
from gui.widgets import KeyHint, Label, QuietButton, SectionLabel, column, key_line, row

LIST_PX, MOST_SHOWN = 104, 500
KEYS = (
    ("Enter", "edits a cell"),
    ("Tab", "the next cell"),
    ("Ctrl+C", "copies"),
    ("Ctrl+V", "pastes from a spreadsheet"),
    ("Ctrl+D", "fills down"),
    ("Del", "empties"),
    ("Ins", "a row more"),
    ("Ctrl+Del", "a row less"),
    ("Alt+↓", "picks a word"),
    ("F6", "the next table"),
    ("Ctrl+Z", "undo"),
)


class FaultList(QWidget):
    """Always of one height, so that nothing jumps while one types."""

    chosen = Signal(object)
    """The Fault to go to."""
    unused_asked = Signal()

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.faults: tuple[Fault, ...] = ()
        self._at = -1
        box = column(self, spacing=S)
        head = row(spacing=S)
        self.head = SectionLabel("To put right", self)
        head.addWidget(self.head)
        head.addStretch(1)
        self.unused_button = QuietButton("Take out what no row uses", self, "small_field")
        self.unused_button.setToolTip("Mints, designs and metals that no row names (Ctrl+U)")
        self.unused_button.clicked.connect(self.unused_asked)
        self.unused_button.hide()
        head.addWidget(self.unused_button)
        self.next_button = QuietButton("Next", self, "small_field")
        self.next_button.setToolTip("Go to the next cell to put right (F8; Shift+F8 goes back)")
        self.next_button.clicked.connect(lambda _on=False: self.go(1))
        head.addWidget(self.next_button)
        head.addWidget(KeyHint("F8", self))
        box.addLayout(head)
        self.pages = QStackedWidget(self)
        self.pages.setFixedHeight(LIST_PX)
        self.list = SheetTable(
            "To put right", ("Where", "What is wrong, and what to do"), (184, 400), self
        )
        self.list.horizontalHeader().hide()
        self.list.activated.connect(lambda index: self._go_to(index.row()))
        self.list.clicked.connect(lambda index: self._go_to(index.row()))
        self.pages.addWidget(self.list)
        calm = QWidget(self)
        inner = column(calm, spacing=M)
        self.nothing = Label("", "body", calm, wraps=True)
        inner.addWidget(self.nothing)
        inner.addLayout(key_line(calm, KEYS))
        inner.addStretch(1)
        self.pages.addWidget(calm)
        box.addWidget(self.pages)

    def show_faults(self, faults: tuple[Fault, ...], well: str, has_unused: bool) -> None:
        """Show other faults; `well` says how it stands where there is none.

        `has_unused`: some are mints, designs or metals that no row names.
        """
        self.unused_button.setVisible(has_unused)
        before = self.faults[self._at] if 0 <= self._at < len(self.faults) else None
        self.faults = faults
        self._at = faults.index(before) if before in faults else -1
        count = f"{len(faults):,} to put right" if faults else "Nothing to put right"
        self.head.setText(count.upper())
        self.head.setAccessibleName(count)
        self.next_button.setEnabled(bool(faults))
        self.nothing.setText(well)
        self.pages.setCurrentIndex(0 if faults else 1)
        self.list.show_rows([(fault.where, fault.text) for fault in faults[:MOST_SHOWN]])

    def go(self, step: int) -> None:
        """On to the next fault, or the one before, round and round."""
        if self.faults:
            at = self._at + step if self._at >= 0 or step > 0 else -1
            self._go_to(at % len(self.faults))

    def _go_to(self, at: int) -> None:
        if not 0 <= at < len(self.faults):
            return
        self._at = at
        if at < MOST_SHOWN:
            self.list.setCurrentIndex(self.list.texts.index(at, 0))
        self.chosen.emit(self.faults[at])
