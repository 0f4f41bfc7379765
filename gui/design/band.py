"""The band above the leaf while it is designed: what is chosen, what can be done, every key."""

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QAction, QKeyEvent
from PySide6.QtWidgets import QPushButton, QWidget

from gui.leaf.leaf_port import PlainKeys
from gui.theme import L, M, S, set_style
from gui.widgets import (
    Card,
    ElidedLabel,
    Label,
    MenuButton,
    PrimaryButton,
    QuietButton,
    column,
    key_line,
    row,
)

KEYS = (
    ("Ctrl+Arrows", "move"),
    ("Space", "spacer"),
    ("Backspace", "take one"),
    ("R", "new row"),
    ("L", "new leaf"),
    ("Ins", "add"),
    ("Del", "take out"),
    ("F2", "label"),
    ("T O X W", "target, wish"),
    ("Enter", "shape"),
    ("Esc", "done"),
)
ANSWERS = (("Enter", "yes, do it"), ("Esc", "leave it as it is"))
SHEET = (
    ("Move the slots one place, or one row", "Ctrl+Arrows"),
    ("Put a spacer before", "Space"),
    ("Take a spacer from before", "Backspace"),
    ("Begin a new row here, or not", "R"),
    ("Begin a new leaf here, or not", "L"),
    ("Add a slot", "Ins"),
    ("Take slots out", "Del"),
    ("Label the slot", "F2"),
    ("Target, optional, skip, wanted", "T O X W"),
    ("Select row, leaf, decade, mint, type", "Shift+R L D M T"),
    ("Go to the Shape panel and back", "Enter"),
    ("Leave", "Esc"),
)
"""For the sheet of all keys."""


class DesignBand(Card):
    """Says what is being done; asks before coins fall out of their slots."""

    done_pressed = Signal()
    shape_pressed = Signal()
    agreed = Signal()
    kept = Signal()
    left = Signal()
    """Back to the leaf."""

    def __init__(
        self,
        select: Sequence[QAction | None],
        slot: Sequence[QAction | None],
        parent: QWidget | None = None,
    ) -> None:
        """The actions of its two menus; None for a line between."""
        super().__init__(parent, "band", (L, M, L, M), M)
        self.setAccessibleName("Designing the leaf")
        self.title = Label("Designing the leaf", "strong", self)
        self.words = ElidedLabel("", "small", self)
        self.select = MenuButton("Select", "", self)
        self.select.setToolTip("Select slots that have something in common")
        self.slot = MenuButton("Slots", "", self)
        self.slot.setToolTip("What can be done with the selected slots")
        for button, actions in ((self.select, select), (self.slot, slot)):
            _fill(button, actions)
        self.shape = QuietButton("Shape", self)
        self.shape.setToolTip("Go to the Shape panel (Enter)")
        self.shape.clicked.connect(self.shape_pressed)
        self.shape.hide()
        self.has_shape_button = False
        self.done = QuietButton("Done", self)
        self.done.setToolTip("Leave designing (Esc)")
        self.done.clicked.connect(self.done_pressed)
        self.agree = PrimaryButton("Take out", self)
        self.agree.setToolTip("The coins become spares (Enter)")
        self.agree.clicked.connect(self.agreed)
        self.keep = QuietButton("Keep them", self)
        self.keep.setToolTip("Nothing is changed (Esc)")
        self.keep.clicked.connect(self.kept)
        text = column(spacing=0)
        text.addWidget(self.title)
        text.addWidget(self.words)
        top = row(spacing=S)
        top.addLayout(text, 1)
        self.buttons: tuple[QPushButton, ...] = (
            self.select, self.slot, self.shape, self.done, self.agree, self.keep,
        )  # fmt: skip
        for part in self.buttons:
            top.addWidget(part)
        self.box.addLayout(top)
        self.question = Label("", "body", self, wraps=True)
        self.box.addWidget(self.question)
        self._keys, self._answers = QWidget(self), QWidget(self)
        for line, keys in ((self._keys, KEYS), (self._answers, ANSWERS)):
            column(line, spacing=0).addLayout(key_line(line, keys))
            self.box.addWidget(line)
        self._told = ""
        self.ask("")
        self.installEventFilter(PlainKeys(self))  # a letter here starts no command of the album

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            (self.kept if self.is_asking else self.left).emit()
            return
        super().keyPressEvent(event)

    @property
    def is_asking(self) -> bool:
        """Whether a question waits for an answer."""
        return not self.agree.isHidden()

    def show_chosen(self, words: str) -> None:
        """Tell what the keys would act on, or what was just told of."""
        self._told = words
        if not self.is_asking:
            self.words.show_text(words)
            set_style(self.words, "look", "small")

    def tell(self, words: str) -> None:
        """Say why nothing came of a key, until something else is chosen."""
        if not self.is_asking:
            self.words.show_text(words)
            set_style(self.words, "look", "fault")

    def ask(self, title: str, words: str = "", agree: str = "Take out") -> None:
        """Ask before something is done; "" ends the question."""
        is_asking = bool(title)
        self.title.setText(title or "Designing the leaf")
        self.words.show_text(words if is_asking else self._told)
        set_style(self.words, "look", "small")
        self.question.setText(words)  # whole: every coin that would fall out is named
        self.words.setVisible(not is_asking)
        self.question.setVisible(is_asking)
        self.agree.setText(agree)
        self._keys.setVisible(not is_asking)
        self._answers.setVisible(is_asking)
        for is_shown, parts in (
            (is_asking, (self.agree, self.keep)),
            (not is_asking, (self.select, self.slot, self.done)),
        ):
            for part in parts:
                part.setVisible(is_shown)
        self.shape.setVisible(not is_asking and self.has_shape_button)

    def offer_shape(self, is_offered: bool) -> None:
        """Where the panel does not stand beside the leaf a button brings it out."""
        self.has_shape_button = is_offered
        self.shape.setVisible(is_offered and not self.is_asking)


def _fill(button: MenuButton, actions: Sequence[QAction | None]) -> None:
    for action in actions:
        if action is None:
            button.choices.addSeparator()
        else:
            button.choices.addAction(action)
