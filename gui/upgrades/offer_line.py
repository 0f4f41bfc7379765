"""A line for an offer or a price, 1914-d f12 @ 210, answered while one types."""

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QGuiApplication, QKeyEvent, QKeySequence
from PySide6.QtWidgets import QLineEdit, QWidget

from core.app.look_up import Scope
from gui.desk import Desk
from gui.theme import L, M, S, set_style
from gui.widgets import Card, Label, QuietButton, clear_layout, column, row
from gui.work import Job

if TYPE_CHECKING:
    from core.app.collection import Collection
    from core.app.offers import OfferAnswer, OfferLooked

MOST_READINGS = 4
EXAMPLE = "1914-d f12 @ 210"


class OfferLine(Card):
    """Tells which reading was given by Enter, or by a click where there are several."""

    given = Signal(object)
    """An OfferAnswer."""
    left = Signal()
    rows_pasted = Signal()
    """Rows of prices, which are on the clipboard."""

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent, "card", (L, M, L, M), S)
        self._desk = desk
        self._job: Job | None = None
        self._looked: tuple[str, OfferLooked] | None = None
        self._waits = False
        self.name = Label("", "small", self)
        self.box.addWidget(self.name)
        line = row(spacing=M)
        self.field = _Field(self)
        self.field.setPlaceholderText(EXAMPLE)
        self.field.textChanged.connect(self._on_typed)
        self.field.returnPressed.connect(self.give)
        self.field.left_down.connect(self.left)
        self.field.rows_pasted.connect(self._on_rows)
        line.addWidget(self.field, 2)
        self.source = QLineEdit(self)
        self.source.setPlaceholderText("source, such as a list's name")
        self.source.setAccessibleName("Source of the price")
        self.source.setMaxLength(80)
        self.source.returnPressed.connect(self.give)
        line.addWidget(self.source, 1)
        self.box.addLayout(line)
        self.told = Label("", "strong", self, wraps=True)
        self.box.addWidget(self.told)
        self.readings = column(spacing=S)
        self.box.addLayout(self.readings)
        self.is_price = False
        self.show_kind(False)

    def show_kind(self, is_price: bool) -> None:
        """Whether prices are typed, or offers."""
        self.is_price = is_price
        self.source.setVisible(is_price)
        words = "A price: coin, grade @ amount" if is_price else (
            "An offer: coin, grade @ amount, then where and until when"
        )  # fmt: skip
        self.name.setText(f"{words} (Alt+E)")
        self.field.setAccessibleName(words)
        self._say_rest()

    def _say_rest(self) -> None:
        if not self.field.text().strip():
            does = (
                "Enter puts it on the list. Of a coin without a grade write: 1914-d no grade @ 90"
                if self.is_price
                else "Enter notes it"
            )
            self._say(f"{does}.", "mute")

    def _say(self, text: str, look: str) -> None:
        set_style(self.told, "look", look)
        self.told.setText(text)

    def _on_typed(self, text: str) -> None:
        if self._job is not None:
            self._job.cancel()
            self._job = None
        self._looked, self._waits = None, False
        clear_layout(self.readings)
        if not text.strip():
            self._say_rest()
            return
        self._ask(text)

    def _ask(self, text: str) -> None:
        def question(collection: "Collection") -> "OfferLooked":
            from core.app.offers import offer_answer

            return offer_answer(collection, text, Scope())

        job = self._desk.ask(question, partial(self._on_answer, text))
        self._job = job if job is not None and not job.is_done else None

    def _on_answer(self, text: str, looked: "OfferLooked") -> None:
        self._job = None
        if text != self.field.text():
            return
        self._looked = text, looked
        waits, self._waits = self._waits, False
        meant = looked.meant
        if looked.trouble:
            self._say(looked.trouble, "mute")
        elif meant is not None:
            self._say(f"{meant.answer.name}: {meant.text}", "strong")
        else:
            self._say("Which one is meant?", "strong")
            for answer in looked.readings[:MOST_READINGS]:
                button = QuietButton(
                    f"{answer.answer.name}: {answer.text}".replace("&", "&&"), self
                )
                button.clicked.connect(lambda _on=False, answer=answer: self._give(answer))
                self.readings.addWidget(button)
        if waits:
            self.give()

    def _on_rows(self) -> None:
        if self.is_price:
            self.rows_pasted.emit()
        else:
            self._say("An offer is one line; sheets of prices go to the prices.", "fault")

    def give(self) -> None:
        """Take what is typed, once it is read."""
        text = self.field.text()
        if not text.strip():
            return
        if self._looked is None or self._looked[0] != text:
            self._waits = True
            return
        meant = self._looked[1].meant
        if meant is not None:
            self._give(meant)

    def _give(self, answer: "OfferAnswer") -> None:
        self.given.emit(answer)

    def refuse(self, text: str) -> None:
        """Tell why it was not taken."""
        self._say(text, "fault")

    def done(self, text: str) -> None:
        """It was taken: ready for the next one."""
        self.field.clear()
        self._say(text, "mute")


def _holds_rows() -> bool:
    """Whether several rows, or the cells of one, are on the clipboard."""
    text = QGuiApplication.clipboard().text().strip()
    return "\n" in text or "\t" in text


class _Field(QLineEdit):
    """Esc clears what is typed first; down goes to the table. Undo is the collection's.

    Rows of a sheet are no line: they are told of instead of being run together.
    """

    left_down = Signal()
    rows_pasted = Signal()

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setMaxLength(400)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape and self.text():
            self.clear()
        elif event.key() == Qt.Key.Key_Down:
            self.left_down.emit()
        elif event.matches(QKeySequence.StandardKey.Paste) and _holds_rows():
            self.rows_pasted.emit()
        else:
            super().keyPressEvent(event)
