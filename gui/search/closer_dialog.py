"""Look closer at the coin in hand: where to look, what to see, what each marker says."""

from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QDialog, QWidget

from core.app.look_up import Answer
from gui.leaf.look_closer import LookCloserList
from gui.theme import XL, L, M
from gui.widgets import EmptyState, Label, PrimaryButton, ScrollColumn, column, row


class CloserDialog(QDialog):
    """The markers of what is still open for a coin."""

    def __init__(self, parent: QWidget | None, answer: Answer) -> None:
        super().__init__(parent)
        self.setWindowTitle("Look closer")
        self.resize(520, 640)
        box = column(self, (XL, XL, XL, L), M)
        box.addWidget(Label(f"Look closer: {answer.name}", "heading", self))
        box.addWidget(Label(answer.closer_text, "mute", self, wraps=True))
        self.list: LookCloserList | None = None
        if answer.closer:
            scroll = ScrollColumn(self)
            self.list = LookCloserList(scroll.inside)
            self.list.fill(answer.closer)
            scroll.box.addWidget(self.list)
            scroll.box.addStretch(1)
            box.addWidget(scroll, 1)
        else:
            empty = EmptyState(
                "Nothing known for this date", "No variety needs a look.", parent=self
            )
            box.addWidget(empty, 1)
        line = row()
        line.addStretch(1)
        close = PrimaryButton("Close", self)
        close.setDefault(True)
        close.clicked.connect(self.accept)
        line.addWidget(close)
        box.addLayout(line)
        QShortcut(QKeySequence("Ctrl+Up"), self).activated.connect(self.reject)

    @classmethod
    def ask(cls, parent: QWidget | None, answer: Answer) -> None:
        """Show them until they are closed."""
        dialog = cls(parent, answer)
        dialog.exec()
        dialog.deleteLater()
