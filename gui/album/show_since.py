"""Asks for the day since when changes are shown: quick choices, or a day typed."""

from collections.abc import Sequence
from datetime import date, timedelta

from PySide6.QtWidgets import QDialog, QLineEdit, QWidget

from core.errors import CollectionError
from gui.day_words import day_words, typed_day
from gui.form_field import FormField
from gui.small_dialog import SmallDialog
from gui.theme import XL, L, M, S
from gui.widgets import Label, PrimaryButton, QuietButton, column, row

A_DAY = timedelta(days=1)


def quick_days(days: Sequence[date], today: date) -> list[tuple[str, date]]:
    """What is offered to press: words, and the day since when.

    Changed since a day leaves that day out, so the last sitting is shown since the day before it.
    """
    choices = []
    if days:
        choices.append((f"The last sitting, {day_words(days[-1])}", days[-1] - A_DAY))
    choices.append(("The last 30 days", today - 30 * A_DAY))
    choices.append((f"This year, {today.year}", date(today.year, 1, 1) - A_DAY))
    return choices


class SinceDialog(SmallDialog):
    """Enter takes the typed day; a quick choice is taken at once."""

    def __init__(
        self, parent: QWidget | None, days: Sequence[date], today: date, now: date | None
    ) -> None:
        super().__init__(parent)
        self._today = today
        self.day: date | None = None
        self.setWindowTitle("Changed since a day")
        self.setMinimumWidth(400)
        box = column(self, (XL, XL, XL, XL), S)
        box.addWidget(Label("Changed since a day", "heading", self))
        sentence = "The album shows what came, went or got better after the day you choose."
        box.addWidget(Label(sentence, "mute", self, wraps=True))
        box.addSpacing(S)
        self.quick: list[QuietButton] = []
        for words, day in quick_days(days, today):
            button = QuietButton(words, self)
            button.clicked.connect(lambda _on=False, day=day: self._take(day))
            button.setAutoDefault(False)
            box.addWidget(button)
            self.quick.append(button)
        self.field = QLineEdit(day_words(now) if now else "", self)
        self.field.setPlaceholderText("3 May 2025, 2025-05-03 or 3.5.2025")
        self.field.textEdited.connect(lambda _text: self._entry.show_fault(""))
        self._entry: FormField = FormField("Or after the end of", self.field, self)
        box.addSpacing(M)
        box.addWidget(self._entry)
        box.addSpacing(L)
        line = row(spacing=S)
        line.addStretch(1)
        cancel = QuietButton("Cancel", self)
        cancel.setAutoDefault(False)
        cancel.clicked.connect(self.reject)
        self.give_button = PrimaryButton("Show", self)
        self.give_button.setDefault(True)
        self.give_button.clicked.connect(self._give)
        line.addWidget(cancel)
        line.addWidget(self.give_button)
        box.addLayout(line)
        self.field.setFocus()
        self.field.selectAll()

    @property
    def fault(self) -> str:
        """What is wrong with the day typed, "" for nothing."""
        return self._entry.fault

    def _give(self) -> None:
        try:
            day = typed_day(self.field.text(), self._today)
        except CollectionError as error:
            self._entry.show_fault(str(error))
            return
        if day >= self._today:
            self._entry.show_fault("Choose a day before today.")
            return
        self._take(day)

    def _take(self, day: date) -> None:
        self.day = day
        self.accept()

    @classmethod
    def ask(
        cls, parent: QWidget | None, days: Sequence[date], today: date, now: date | None = None
    ) -> date | None:
        """The day, or None when it was cancelled; `days` are those of change, oldest first."""
        dialog = cls(parent, days, today, now)
        is_given = dialog.exec() == QDialog.DialogCode.Accepted
        day = dialog.day
        dialog.deleteLater()
        return day if is_given else None
