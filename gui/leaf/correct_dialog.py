"""Asks from when until when a coin was in its slot; what cannot be is said beside the fields."""

from collections.abc import Callable
from datetime import date

from PySide6.QtWidgets import QDialog, QLineEdit, QWidget

from core.app.views import HistoryLine
from core.errors import CollectionError
from gui.day_words import typed_day
from gui.form_field import FormField
from gui.small_dialog import SmallDialog
from gui.theme import XL, L, M, S
from gui.widgets import Label, PrimaryButton, QuietButton, column, row

Give = Callable[[date, date | None, Callable[[], None], Callable[[Exception], None]], None]
"""Orders the correction: from, until, what follows, and who is told of a refusal."""
DAY_HINT = "such as 2025-05-03 or 3 May 2025"


class CorrectDialog(SmallDialog):
    """The days as the file has them, to be typed over."""

    def __init__(
        self, parent: QWidget | None, slot: str, line: HistoryLine, today: date, give: Give
    ) -> None:
        super().__init__(parent)
        self._today, self._give = today, give
        self.setWindowTitle("Correct the history")
        self.setMinimumWidth(400)
        box = column(self, (XL, XL, XL, XL), S)
        box.addWidget(Label("Correct the history", "heading", self))
        piece = line.text.removesuffix(" put in").removesuffix(" taken out")
        sentence = f"{slot}: {piece}. From when until when was it in the slot?"
        box.addWidget(Label(sentence, "mute", self, wraps=True))
        box.addSpacing(M)
        self.since = QLineEdit(line.since.isoformat() if line.since else "", self)
        self.until = QLineEdit(line.until.isoformat() if line.until else "", self)
        self.until.setPlaceholderText("still in the slot")
        self._since = FormField("Put in on", self.since, self, DAY_HINT)
        self._until = FormField("Taken out on", self.until, self, "empty: it is still in the slot")
        for name, field in (("Put in on", self.since), ("Taken out on", self.until)):
            field.setAccessibleName(name)
            field.textEdited.connect(self._on_edited)
        for part in (self._since, self._until):
            box.addWidget(part)
        self.fault = Label("", "fault", self, wraps=True)
        self.fault.hide()
        box.addWidget(self.fault)
        box.addSpacing(L)
        end = row(spacing=S)
        end.addStretch(1)
        cancel = QuietButton("Cancel", self)
        cancel.setAutoDefault(False)
        cancel.clicked.connect(self.reject)
        self.give_button = PrimaryButton("Correct", self)
        self.give_button.setDefault(True)
        self.give_button.clicked.connect(self.give)
        end.addWidget(cancel)
        end.addWidget(self.give_button)
        box.addLayout(end)
        self.since.selectAll()

    def _on_edited(self) -> None:
        for part in (self._since, self._until):
            part.show_fault("")
        self.fault.hide()

    def give(self) -> None:
        """Order the correction where both days can be read."""
        self._on_edited()
        try:
            since = typed_day(self.since.text(), self._today)
        except CollectionError as error:
            self._since.show_fault(str(error))
            return
        until: date | None = None
        try:
            if self.until.text().strip():
                until = typed_day(self.until.text(), self._today)
        except CollectionError as error:
            self._until.show_fault(str(error))
            return
        self._give(since, until, self.accept, self._on_refused)

    def _on_refused(self, error: Exception) -> None:
        if not isinstance(error, CollectionError):
            raise error
        self.fault.setText(str(error))
        self.fault.show()

    @property
    def faults(self) -> list[str]:
        """All that is said to be wrong."""
        said = [self._since.fault, self._until.fault]
        return [text for text in [*said, self.fault.text() * self.fault.isVisibleTo(self)] if text]

    @classmethod
    def ask(
        cls, parent: QWidget | None, slot: str, line: HistoryLine, today: date, give: Give
    ) -> bool:
        """Whether it was corrected."""
        dialog = cls(parent, slot, line, today, give)
        is_given = dialog.exec() == QDialog.DialogCode.Accepted
        dialog.deleteLater()
        return is_given
