"""Above the table: how many coins, the filter, the parts, the slot sought for, sort, columns."""

from collections.abc import Mapping
from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QButtonGroup, QHBoxLayout, QLineEdit, QWidget

from core.app.finding import SlotFinds
from gui.coins.columns import CHOICES
from gui.coins.rows import PARTS, Column, Part
from gui.flow_layout import FlowLayout
from gui.theme import M, S
from gui.widgets import Chip, KeyHint, Label, MenuButton, QuietButton, column, row

_TOP = Qt.AlignmentFlag.AlignTop


LONGEST = 48


def shorten(name: str) -> str:
    """A name that may be long, for a chip."""
    return name if len(name) <= LONGEST else f"{name[: LONGEST - 1].rstrip()}…"


class CoinsHead(QWidget):
    """The title, how many are held, and the filter."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        head = row(self, spacing=S)
        head.addWidget(Label("Coins", "title", self))
        self.count = Label("", "beside", self)
        head.addSpacing(S)
        head.addWidget(self.count)
        head.addStretch(1)
        self.filter = QLineEdit(self)
        self.filter.setProperty("kind", "search")
        self.filter.setPlaceholderText("Find: all words you type")
        self.filter.setAccessibleName("Find coins")
        self.filter.setFixedWidth(264)
        head.addWidget(self.filter)
        head.addWidget(KeyHint("Ctrl+F", self))


class CoinsBar(QWidget):
    """What is shown, in which order, in which columns."""

    part_chosen = Signal()
    sort_chosen = Signal(object)
    """A Column."""
    columns_asked = Signal()
    slot_left = Signal()
    """Coins for the slot are not sought any more."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        box = column(self, spacing=S)
        box.addLayout(self._build_slot())
        line = row(spacing=S)
        chips = FlowLayout(spacing_x=S, spacing_y=S)
        self._group = QButtonGroup(self)
        self.chips: dict[Part, Chip] = {}
        for place, part in enumerate(PARTS):
            chip = Chip(str(part), None, self)
            self._group.addButton(chip, place)
            chips.addWidget(chip)
            self.chips[part] = chip
        self.chips[Part.ALL].setChecked(True)
        self._group.idClicked.connect(lambda _place: self.part_chosen.emit())
        self.sort = MenuButton("Sort", "", self)
        self.sort.setToolTip("Sort (Alt+S)")
        self._gain = QAction(Column.GAIN.value, self.sort.choices)
        for name in (Column.GAIN, *CHOICES):
            action = self._gain
            if name is not Column.GAIN:
                action = QAction(name.value, self.sort.choices)
            action.triggered.connect(partial(self._on_sort, name))
            self.sort.choices.addAction(action)
        self._gain.setVisible(False)
        self.columns = QuietButton("Columns…", self)
        self.columns.setToolTip("Which columns, in which order (Alt+C)")
        self.columns.clicked.connect(self.columns_asked)
        self.paste = QuietButton("Paste…", self)
        self.paste.setToolTip("Add the rows on the clipboard, after a look at them (Ctrl+V)")
        line.addLayout(chips, 1)
        line.addWidget(self.paste, 0, _TOP)
        line.addWidget(self.sort, 0, _TOP)
        line.addWidget(self.columns, 0, _TOP)
        box.addLayout(line)

    def _build_slot(self) -> QHBoxLayout:
        line = row(spacing=S)
        self.slot = Chip("", None, self)
        self.slot.setChecked(True)
        self.slot.clicked.connect(self.slot_left)
        self.slot.setToolTip("Show all coins again (Esc)")
        self.there = Label("", "small", self)
        self.slot.hide()
        self.there.hide()
        line.addWidget(self.slot)
        line.addSpacing(M - S)
        line.addWidget(self.there)
        line.addStretch(1)
        return line

    def _on_sort(self, name: Column, _is_checked: bool = False) -> None:
        self.sort_chosen.emit(name)

    @property
    def part(self) -> Part:
        """Which coins are shown."""
        return PARTS[max(0, self._group.checkedId())]

    def show_counts(self, counts: Mapping[Part, int]) -> None:
        """How many coins each part has."""
        for part, chip in self.chips.items():
            chip.show_text(f"{part}  {counts[part]:,}")

    def show_slot(self, finds: SlotFinds | None) -> None:
        """Say for which slot coins are shown; None: for none."""
        is_on = finds is not None
        self.slot.setVisible(is_on)
        self.there.setVisible(is_on)
        self._gain.setVisible(is_on)
        if finds is not None:
            self.slot.show_text(f"fits {finds.label}, {shorten(finds.album_name)}  ×")
            self.slot.setAccessibleName(
                f"Shown: coins that fit {finds.label}, {finds.album_name}. Press to show all."
            )
            self.slot.setChecked(True)
            self.there.setText(f"in the slot now: {finds.there}")
