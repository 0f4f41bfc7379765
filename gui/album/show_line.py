"""The line over the legend that counts the words under the slots: 4 new, 2 better, 1 out."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFrame, QWidget

from gui.album.show_words import Since, SlotWords
from gui.theme import XS, M, S
from gui.widgets import ElidedLabel, QuietButton, row


class ShowLine(QFrame):
    """Shown only while words are."""

    other_day_asked = Signal()
    everything_asked = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("kind", "inset")
        self.setAccessibleName("What is shown")
        box = row(self, (M, XS, XS, XS), S)
        self.label = ElidedLabel("", "strong_small", self)
        box.addWidget(self.label, 1)
        self.other_day = QuietButton("Other day…", self, "quiet")
        self.other_day.setToolTip("Choose the day since when (H)")
        self.other_day.clicked.connect(self.other_day_asked)
        box.addWidget(self.other_day)
        everything = QuietButton("Show everything", self, "quiet")
        everything.setToolTip("Show everything (E)")
        everything.clicked.connect(self.everything_asked)
        box.addWidget(everything)
        self.hide()

    def show_words(self, words: SlotWords | None) -> None:
        """Show the counts; None hides the line."""
        self.setVisible(words is not None)
        if words is not None:
            self.label.show_text(words.line)
            self.other_day.setVisible(isinstance(words.telling, Since))
