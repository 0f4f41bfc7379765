"""The keyboard sheet (F1): every command with its keys, read from the one table of commands."""

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
        for side in ((WINDOW,), (LEAF, SHELF), (SLOT,)):
            part = column(spacing=L)
            for group in side:
                part.addLayout(self._group(group, groups[group]))
            if side == (LEAF, SHELF):
                part.addLayout(self._stocking())
            if side == (SLOT,):
                keys: list[tuple[str, tuple[str, ...]]] = [(t, (k,)) for t, k in SEARCH_KEYS]
                part.addLayout(self._grid("The sorting table", keys))
                part.addLayout(self._grid("Designing", [(t, (key,)) for t, key in DESIGN_KEYS]))
            if side == (WINDOW,):
                part.addLayout(self._grid("The coins", [(t, (key,)) for t, key in COIN_KEYS]))
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

    def _stocking(self) -> QGridLayout:
        return self._grid(
            "While stocking an album", [(text, (key,)) for text, key in STOCKING_KEYS]
        )

    def _grid(self, name: str, lines: list[tuple[str, tuple[str, ...]]]) -> QGridLayout:
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
