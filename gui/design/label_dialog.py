"""Asks what a slot is to be called; its usual label can be had back."""

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDialog, QLineEdit, QWidget

from gui.form_field import FormField
from gui.small_dialog import SmallDialog
from gui.theme import XL, M, S
from gui.widgets import Label, PrimaryButton, QuietButton, column, row


class LabelDialog(SmallDialog):
    """One line; empty stands for the usual label."""

    def __init__(
        self, parent: QWidget | None, label: str, is_own: bool, others: Sequence[str]
    ) -> None:
        super().__init__(parent)
        self._others = {other.casefold(): other for other in others}
        self.setWindowTitle("Label the slot")
        self.setAccessibleName("Label the slot")
        self.setMinimumWidth(400)
        box = column(self, (XL, XL, XL, XL), M)
        box.addWidget(Label(f"Label of {label}", "heading", self, wraps=True))
        self.field = QLineEdit(label, self)
        self.field.setMaxLength(60)
        self.field.setPlaceholderText("the usual label")
        self.field.textChanged.connect(self._on_changed)
        self._form = FormField(
            "Label", self.field, self, "Your own; no template changes it. Empty: the usual one."
        )
        box.addWidget(self._form)
        line = row(spacing=S)
        usual = QuietButton("The usual label", self, "quiet")
        usual.setEnabled(is_own)
        usual.clicked.connect(self._give_usual)
        cancel = QuietButton("Cancel", self)
        cancel.clicked.connect(self.reject)
        self.give = PrimaryButton("Label it", self)
        self.give.setDefault(True)
        self.give.clicked.connect(self.accept)
        line.addWidget(usual)
        line.addStretch(1)
        line.addWidget(cancel)
        line.addWidget(self.give)
        box.addLayout(line)
        for button in (usual, cancel):
            button.setAutoDefault(False)
        self.field.selectAll()
        self.field.setFocus(Qt.FocusReason.OtherFocusReason)

    @property
    def label(self) -> str:
        """What is typed, in one line."""
        return " ".join(self.field.text().split())

    def _on_changed(self) -> None:
        taken = self._others.get(self.label.casefold())
        self._form.show_fault(f"There is a slot {taken} already; write another." if taken else "")
        self.give.setEnabled(taken is None)

    def _give_usual(self) -> None:
        self.field.clear()
        self.accept()

    @classmethod
    def ask(
        cls, parent: QWidget | None, label: str, is_own: bool, others: Sequence[str]
    ) -> str | None:
        """The label, "" for the usual one; None when it was cancelled."""
        dialog = cls(parent, label, is_own, others)
        is_given = dialog.exec() == QDialog.DialogCode.Accepted
        given = dialog.label
        dialog.deleteLater()
        return given if is_given else None
