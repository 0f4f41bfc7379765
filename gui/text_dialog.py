"""Asks for one or two short texts, such as a name."""

from collections.abc import Callable, Sequence

from PySide6.QtWidgets import QDialog, QLineEdit, QWidget

from gui.small_dialog import SmallDialog
from gui.theme import XL, M, S
from gui.widgets import KeyHint, Label, PrimaryButton, QuietButton, column, row

Fault = Callable[[list[str]], str]
"""Why texts cannot be taken, in plain words; "" where they can."""


class TextDialog(SmallDialog):
    """A title, a sentence, one line to type in for each field, and what Enter does."""

    def __init__(
        self,
        parent: QWidget | None,
        title: str,
        sentence: str,
        fields: Sequence[tuple[str, str]],
        action: str,
        fault: Fault | None = None,
    ) -> None:
        super().__init__(parent)
        self._fault_of = fault
        self.setWindowTitle(title)
        self.setMinimumWidth(400)
        box = column(self, (XL, XL, XL, XL), S)
        box.addWidget(Label(title, "heading", self))
        if sentence:
            box.addWidget(Label(sentence, "mute", self, wraps=True))
        box.addSpacing(S)
        self.fields: list[QLineEdit] = []
        for name, text in fields:
            field = QLineEdit(text, self)
            field.setAccessibleName(name)
            field.textChanged.connect(self._on_changed)
            if len(fields) > 1:
                box.addWidget(Label(name, "small", self))
            box.addWidget(field)
            self.fields.append(field)
        self.fault = Label("", "fault", self, wraps=True)
        self.fault.hide()
        box.addWidget(self.fault)
        box.addSpacing(M)
        box.addStretch(1)  # takes the room of a fault that is told no more
        line = row(spacing=S)
        line.addStretch(1)
        cancel = QuietButton("Cancel", self)
        cancel.clicked.connect(self.reject)
        self.give_button = PrimaryButton(action, self)
        self.give_button.setDefault(True)
        self.give_button.clicked.connect(self.accept)
        line.addWidget(KeyHint("Esc", self))
        line.addWidget(cancel)
        line.addSpacing(S)
        line.addWidget(KeyHint("Enter", self))
        line.addWidget(self.give_button)
        box.addLayout(line)
        self.fields[0].selectAll()
        self._on_changed()

    @property
    def texts(self) -> list[str]:
        """What is typed, without the spaces around it."""
        return [field.text().strip() for field in self.fields]

    def _on_changed(self) -> None:
        fault = self._fault_of(self.texts) if self._fault_of is not None else ""
        told = fault if any(self.texts) else ""  # an empty box is no fault yet
        self.fault.setText(told)
        self.fault.setVisible(bool(told))
        self.give_button.setEnabled(all(self.texts) and not fault)

    @classmethod
    def ask(
        cls,
        parent: QWidget | None,
        title: str,
        fields: Sequence[tuple[str, str]],
        action: str,
        sentence: str = "",
        fault: Fault | None = None,
    ) -> list[str] | None:
        """The texts, or None when it was cancelled; `fault` is told while one types."""
        dialog = cls(parent, title, sentence, fields, action, fault)
        is_given = dialog.exec() == QDialog.DialogCode.Accepted
        texts = dialog.texts
        dialog.deleteLater()
        return texts if is_given else None
