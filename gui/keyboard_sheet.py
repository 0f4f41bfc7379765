"""The keyboard sheet (F1): every command with its keys, read from the one table of commands."""

from collections.abc import Sequence
from itertools import groupby

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QDialog, QGridLayout, QWidget

from gui.actions import COMMANDS, LEAF, SHELF, SLOT, WINDOW, Command
from gui.design.band import SHEET as DESIGN_KEYS
from gui.theme import XL, XS, L
from gui.widgets import (
    KeyHint,
    Label,
    PrimaryButton,
    ScrollColumn,
    SectionLabel,
    column,
    row,
)

STOCKING_KEYS = (
    ("A coin of the slot's issue, and on", "Space"),
    ("A grade: the letters of it, then Space", "vf20"),
    ("Jump to a date", "1943"),
    ("Mark to verify", "?"),
    ("A whole row", "Shift+Space"),
    ("Take back the last slot", "Backspace"),
    ("Leave", "Esc"),
)

COIN_KEYS = (
    ("Add a coin", "Ins"),
    ("Find", "Ctrl+F"),
    ("Edit the cell: or type on it", "Enter"),
    ("The next cell, while editing", "Tab"),
    ("Edit the whole coin, or all chosen", "Ctrl+E"),
    ("Where could it go", "Ctrl+G"),
    ("Copy the rows", "Ctrl+C"),
    ("Paste rows; from anywhere with Shift", "Ctrl+V"),
    ("Let go", "Del"),
    ("Sort", "Alt+S"),
    ("Columns", "Alt+C"),
    ("Read all anew", "F5"),
)

SEARCH_KEYS = (
    ("Keep the coin on the line", "Enter"),
    ("Count it, do not keep it", "Shift+Enter"),
    ("Next roll, on the empty line", "Space"),
    ("Back a roll, on the empty line", "Backspace"),
    ("To a roll", "/37"),
    ("Complete the word", "Tab"),
    ("Clear the line", "Esc"),
    ("Count foreign, damaged …", "F5"),
    ("What was kept: edit, take back", "Down"),
    ("Where a coin kept sits, in the list", "Ctrl+Enter"),
    ("Look closer", "Ctrl+Down"),
    ("Compare: which variety it is", "F4"),
    ("Tally the coin on the line", "Ctrl+T"),
    ("New box", "Ctrl+B"),
    ("New campaign", "Ctrl+Shift+B"),
    ("Edit the box", "Ctrl+E"),
    ("What else the box can do", "Alt+B"),
)

UPGRADE_KEYS = (
    ("Budget", "Alt+B"),
    ("Aim", "Alt+A"),
    ("Albums", "Alt+L"),
    ("Sort", "Alt+S"),
    ("Find", "Ctrl+F"),
    ("Priced lines alone", "Alt+O"),
    ("Another grade", "Left, Right"),
    ("Pin", "P"),
    ("Forbid", "X"),
    ("Into the plan, or out", "Space"),
    ("Bought, or put in", "B"),
    ("What it is worth, or costs", "W"),
    ("All that can be done", "Alt+M"),
    ("Go to the slot", "Enter"),
    ("Take all pins off", "Alt+U"),
    ("The plan, months, what if", "Alt+1 2 3"),
    ("The curve as a table", "Alt+T"),
    ("Save the curve as PDF", "Alt+D"),
    ("Its paper", "Alt+F"),
    ("Go to the next best purchase", "Alt+N"),
    ("Suppose key dates, optional, varieties", "Alt+K W V"),
    ("Keep what is supposed", "Alt+E"),
    ("Prices and offers", "Alt+P"),
)

PRICE_KEYS = (
    ("Prices, offers, rules, metal", "Alt+1 2 3 4"),
    ("The line", "Alt+E"),
    ("From the line to the rows", "Down"),
    ("Find", "Ctrl+F"),
    ("Paste rows", "Ctrl+V"),
    ("Import a sheet", "Alt+I"),
    ("Change a row", "Enter"),
    ("An offer's line in the plan", "Alt+B"),
    ("Take a row out", "Del"),
    ("Set a rate", "Alt+R"),
    ("Change the rules", "Alt+G"),
    ("A variety at its issue's price", "Alt+V"),
    ("Prices of metal", "Alt+M"),
    ("All coins, or the spares", "Alt+A"),
    ("Back to the plan", "Esc"),
)

COINS, UPGRADES, PRICES = "The coins", "Upgrades", "Prices and offers"
SORTING, STOCKING, DESIGNING = "The sorting table", "While stocking an album", "Designing"
OWN_KEYS = (
    (COINS, COIN_KEYS),
    (UPGRADES, UPGRADE_KEYS),
    (PRICES, PRICE_KEYS),
    (SORTING, SEARCH_KEYS),
    (STOCKING, STOCKING_KEYS),
    (DESIGNING, DESIGN_KEYS),
)
"""Keys of one place, which are no commands of the window."""
SIDES = (
    (WINDOW, COINS, UPGRADES),
    (LEAF, SHELF, STOCKING, PRICES),
    (SLOT, SORTING, DESIGNING),
)
WIDE_SIDES = (
    (WINDOW, COINS, DESIGNING),
    (LEAF, SHELF, STOCKING),
    (SLOT, SORTING),
    (UPGRADES, PRICES),
)
WIDE_PX = 1500
"""From this width of the screen on there is room for four columns."""
FRAME_PX = 48
"""What the desktop's frame round the dialog may take of the screen's height."""


class KeyboardSheet(QDialog):
    """All keys, by where they work."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Keyboard")
        box = column(self, (XL, XL, XL, L), L)
        box.addWidget(Label("Keyboard", "title", self))
        columns = row(margins=(0, 0, L, 0), spacing=XL)
        groups = {
            group: list(commands)
            for group, commands in groupby(COMMANDS, key=lambda command: command.group)
        }
        own = {name: [(text, (key,)) for text, key in lines] for name, lines in OWN_KEYS}
        is_wide = self.screen().availableGeometry().width() >= WIDE_PX
        for side in WIDE_SIDES if is_wide else SIDES:
            part = column(spacing=L)
            for name in side:
                part.addLayout(
                    self._grid(name, own[name]) if name in own else self._group(name, groups[name])
                )
            part.addStretch(1)
            columns.addLayout(part)
        self.keys = ScrollColumn(self)
        self.keys.box.addLayout(columns)
        box.addWidget(self.keys)
        line = row()
        line.addStretch(1)
        close = PrimaryButton("Close", self)
        close.setDefault(True)
        close.clicked.connect(self.accept)
        line.addWidget(close)
        box.addLayout(line)
        self._fit()

    def _fit(self) -> None:
        """As large as all the keys need, but never beyond the screen."""
        inside = self.keys.inside.sizeHint()
        self.keys.setMinimumWidth(inside.width())
        around = self.sizeHint().height() - self.keys.sizeHint().height()
        room = self.screen().availableGeometry().height() - FRAME_PX
        self.resize(self.sizeHint().width(), min(inside.height() + around, room))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        bar = self.keys.verticalScrollBar()
        page = bar.pageStep()
        steps = {
            Qt.Key.Key_Up: -XL, Qt.Key.Key_Down: XL, Qt.Key.Key_PageUp: -page,
            Qt.Key.Key_PageDown: page, Qt.Key.Key_Home: -bar.maximum(),
            Qt.Key.Key_End: bar.maximum(),
        }  # fmt: skip
        step = steps.get(Qt.Key(event.key()))
        if step is None:
            super().keyPressEvent(event)
        else:
            bar.setValue(bar.value() + step)

    def _group(self, name: str, commands: list[Command]) -> QGridLayout:
        keyed = [(command.text.rstrip("…"), command.keys) for command in commands if command.keys]
        return self._grid(name, keyed)

    def _grid(self, name: str, lines: Sequence[tuple[str, tuple[str, ...]]]) -> QGridLayout:
        grid = QGridLayout()
        grid.setHorizontalSpacing(L)
        grid.setVerticalSpacing(XS)
        grid.addWidget(SectionLabel(name, self), 0, 0, 1, 2)
        for line, (text, keys) in enumerate(lines, 1):
            grid.addWidget(Label(text, "body", self), line, 0)
            cell = row(spacing=XS)
            for key in keys[:1]:
                cell.addWidget(KeyHint(key, self, is_written=True))
            cell.addStretch(1)
            grid.addLayout(cell, line, 1)
        return grid

    @classmethod
    def ask(cls, parent: QWidget | None) -> None:
        """Show the sheet until it is closed."""
        dialog = cls(parent)
        dialog.exec()
        dialog.deleteLater()
