"""What there is before a collection: three ways to begin, each with its key."""

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QPushButton, QWidget

from gui.theme import XL, XS, L, M, S
from gui.widgets import KeyHint, Label, column, row

TILE_PX = QSize(256, 170)
CHOICES = (
    (
        "demo",
        "Open the demo",
        "A harbour museum's donation jar, sorted into four albums. Change what you like: "
        "it is yours.",
        "Ctrl+Shift+D",
    ),
    (
        "new_collection",
        "Start a collection",
        "A new, empty file for your own albums and coins.",
        "Ctrl+Shift+N",
    ),
    (
        "open",
        "Open a file",
        "A collection you have: its name ends in .slotleaf.",
        "Ctrl+O",
    ),
)


class _Tile(QPushButton):
    """One way to begin."""

    def __init__(self, title: str, sentence: str, key: str, parent: QWidget) -> None:
        super().__init__(parent)
        self.setProperty("kind", "tile")
        self.setAccessibleName(f"{title}. {sentence}")
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setFixedSize(TILE_PX)
        box = column(self, (L + XS, L, L + XS, L), S)
        box.addWidget(Label(title, "heading", self))
        box.addWidget(Label(sentence, "mute", self, wraps=True))
        box.addStretch(1)
        box.addWidget(KeyHint(key, self))
        for label in self.findChildren(Label):
            label.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.click()
            return
        super().keyPressEvent(event)


class FirstStart(QWidget):
    """The whole window while no collection is open; `chosen` names the command."""

    chosen = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("kind", "paper")
        box = column(self, (XL, XL, XL, XL), 0)
        box.addStretch(2)
        for text, style, below in (
            ("Your albums, slot by slot", "title", XS),
            ("See what you have, what is missing, and what would be better.", "mute", XL),
        ):
            label = Label(text, style, self)
            label.setAlignment(Qt.AlignmentFlag.AlignHCenter)
            box.addWidget(label)
            box.addSpacing(below)
        line = row(spacing=L)
        line.addStretch(1)
        self.tiles: dict[str, QPushButton] = {}
        for command, title, sentence, key in CHOICES:
            tile = _Tile(title, sentence, key, self)
            tile.clicked.connect(lambda _checked=False, name=command: self.chosen.emit(name))
            self.tiles[command] = tile
            line.addWidget(tile)
        line.addStretch(1)
        box.addLayout(line)
        box.addSpacing(XL + M)
        note = Label("Values shown are estimates, not appraisals.", "small", self)
        note.setAlignment(Qt.AlignmentFlag.AlignHCenter)
        box.addWidget(note)
        box.addStretch(3)
