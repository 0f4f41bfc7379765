"""The choices beside a checklist's pages: groups, columns, paper, large print."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from core.app.checklists import ListGroup
from core.printing.checklist import COLUMNS_OF, ListColumn, ListKind, Look, Paper
from gui.checklist.choices import Choices
from gui.flow_layout import FlowLayout
from gui.segmented import Segmented
from gui.theme import XS, M, S
from gui.widgets import Chip, SectionLabel, column

GROUPS = tuple(ListGroup)
PAPERS = tuple(Paper)
_PAPER_NAMES = {Paper.INDEX_CARD: "Card"}
_COLUMN_NAMES = {
    ListColumn.VARIETY: "Variety",
    ListColumn.MINTAGE: "Mintage",
    ListColumn.HELD: "Held",
    ListColumn.WANTED: "Wanted",
    ListColumn.PIECES: "Pieces",
    ListColumn.PRICE: "Price",
    ListColumn.NOTE: "Note",
}
_TIPS = {
    ListColumn.VARIETY: "The variety that a slot asks for, below its date",
    ListColumn.MINTAGE: "How many were struck, where that is known",
    ListColumn.HELD: "What lies in the slot now; the grade of a spare",
    ListColumn.WANTED: "The target of the slot",
    ListColumn.PIECES: "How many coins a lot holds",
    ListColumn.PRICE: "Room to write a price",
    ListColumn.NOTE: "Your notes, and room to write more",
}


class OptionsPane(QWidget):
    """Shows and changes choices; `changed` tells that the pages are to be made anew."""

    changed = Signal()

    def __init__(self, choices: Choices, paper: Paper, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        box = column(self, spacing=S)
        box.addWidget(SectionLabel("Paper", self))
        self.paper = Segmented([_PAPER_NAMES.get(p, p.shown_name) for p in PAPERS], "Paper", self)
        self.paper.buttons[PAPERS.index(Paper.INDEX_CARD)].setAccessibleName("Paper: index card")
        self.paper.buttons[PAPERS.index(Paper.INDEX_CARD)].setToolTip("Index cards, 3 × 5 inches")
        self.paper.choose(PAPERS.index(choices.paper or paper))
        box.addWidget(self.paper)
        self.large = Chip("Large print", parent=self)
        self.large.setToolTip("Type of 16 points and more (Ctrl+L)")
        self.large.setChecked(choices.look.is_large)
        below = FlowLayout()
        below.addWidget(self.large)
        box.addLayout(below)
        self.large.toggled.connect(lambda _is_on: self.changed.emit())
        box.addSpacing(M)
        box.addWidget(SectionLabel("Group by", self))
        self.group = Segmented([g.capitalize() for g in GROUPS], "Group by", self)
        self.group.setToolTip("What the rows stand under (Ctrl+G for the next)")
        self.group.choose(GROUPS.index(choices.group))
        box.addWidget(self.group)
        box.addSpacing(M)
        box.addWidget(SectionLabel("Columns", self))
        flow = FlowLayout(spacing_x=XS, spacing_y=XS)
        self.columns: dict[ListColumn, Chip] = {}
        for one in ListColumn:
            chip = Chip(_COLUMN_NAMES[one], parent=self)
            chip.setToolTip(_TIPS[one])
            chip.setChecked(one in choices.look.columns)
            chip.toggled.connect(lambda _is_on: self.changed.emit())
            flow.addWidget(chip)
            self.columns[one] = chip
        box.addLayout(flow)
        for choice in (self.group, self.paper):
            choice.chosen.connect(lambda _place: self.changed.emit())

    @property
    def choices(self) -> Choices:
        """What is chosen now."""
        columns = tuple(c for c, chip in self.columns.items() if chip.isChecked())
        group = GROUPS[max(0, self.group.choice())]
        paper = PAPERS[max(0, self.paper.choice())]
        return Choices(group, paper, Look(columns, self.large.isChecked()))

    def show_kind(self, kind: ListKind) -> None:
        """Offer the columns that a kind of list can have."""
        for one, chip in self.columns.items():
            chip.setVisible(one in COLUMNS_OF[kind])

    def next_group(self) -> None:
        """Group by the next thing, after the last by the first again."""
        self.group.choose((self.group.choice() + 1) % len(GROUPS))
        self.changed.emit()
