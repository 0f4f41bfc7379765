"""Small forms inside the slot card: the target, a coin to put in, one to order, the note."""

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QSizeF, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent
from PySide6.QtWidgets import QLineEdit, QPlainTextEdit, QWidget

from gui.flow_layout import FlowLayout
from gui.leaf.slot_orders import OrderForm
from gui.theme import XS, M, S
from gui.widgets import Card, Label, PrimaryButton, QuietButton, row

QUICK_TARGETS = ("G-4", "VG-8", "F-12", "VF-20", "XF-40", "AU-50", "MS-63", "none")


class InlineForm(Card):
    """A titled inset with fields; Enter gives it, Esc closes it. What is wrong shows under it."""

    closed = Signal()

    def __init__(self, title: str, action: str, parent: QWidget | None = None) -> None:
        super().__init__(parent, "inset", (M, M, M, M), S)
        self.title = Label(title, "strong_small", self)
        self.box.addWidget(self.title)
        self._fields: list[QLineEdit] = []
        self.fault = Label("", "fault", self, wraps=True)
        self.fault.hide()
        self.give_button = PrimaryButton(action, self)
        self.give_button.clicked.connect(self.give)
        self._cancel = QuietButton("Cancel", self, "quiet")
        self._cancel.clicked.connect(self.close_form)
        self.hide()

    def add_field(self, name: str, placeholder: str) -> QLineEdit:
        """One line to type in."""
        field = QLineEdit(self)
        field.setPlaceholderText(placeholder)
        field.setAccessibleName(name)
        field.returnPressed.connect(self.give)
        self._fields.append(field)
        self.box.addWidget(field)
        return field

    def add_end(self) -> None:
        """Fault line and buttons, after all fields."""
        self.box.addWidget(self.fault)
        line = row(spacing=S)
        line.addWidget(self.give_button)
        line.addWidget(self._cancel)
        line.addStretch(1)
        self.box.addLayout(line)

    def open_form(self, texts: Sequence[str] = ()) -> None:
        """Come up with these texts, ready to type."""
        for field, text in zip(self._fields, [*texts, *[""] * len(self._fields)], strict=False):
            field.setText(text)
        self.fault.hide()
        self.show()
        self._fields[0].setFocus(Qt.FocusReason.OtherFocusReason)
        self._fields[0].selectAll()

    def close_form(self) -> None:
        """Go, without doing anything."""
        if not self.isHidden():
            self.hide()
            self.closed.emit()

    def show_fault(self, error: Exception) -> None:
        """Say under the fields what is wrong; what was typed stays."""
        self.fault.setText(str(error))
        self.fault.show()

    def give(self) -> None:
        """Hand over what was typed; a child says to whom."""
        raise NotImplementedError

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.close_form()
            event.accept()
            return
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            event.accept()  # its line has given the form: the button of a dialog has no part in it
            return
        super().keyPressEvent(event)


class TargetForm(InlineForm):
    """A line for any target, and the usual ones to press."""

    given = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("Target", "Set the target", parent)
        self.field = self.add_field("Target", "such as vf20 or ms65 rd")
        quick = QWidget(self)
        flow = FlowLayout(quick, XS, XS)
        self.quick: list[QuietButton] = []
        for text in QUICK_TARGETS:
            button = QuietButton(text, quick, "small_field")
            button.setAccessibleName(f"Target {text}")
            button.clicked.connect(lambda _checked=False, text=text: self.given.emit(text))
            flow.addWidget(button)
            self.quick.append(button)
        self.box.addWidget(quick)
        self.add_end()

    def give(self) -> None:
        self.given.emit(self.field.text())


class CodeForm(InlineForm):
    """A reference code of one's own for a variety; an empty line takes it away."""

    given = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("Own code", "Keep the code", parent)
        self.field = self.add_field("Own code", "such as K12; empty for none")
        self.add_end()

    def give(self) -> None:
        self.given.emit()


class EntryForm(InlineForm):
    """A coin to put in, written as collectors write it; the slot's own issue needs only a grade."""

    given = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("Put in a coin", "Put in", parent)
        self.field = self.add_field("Coin", "grade or coin, such as vf20")
        self.add_end()

    def give(self) -> None:
        self.given.emit(self.field.text())


class OrderingForm(InlineForm):
    """A coin bought and under way."""

    given = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("Order a coin", "On order", parent)
        self.grade = self.add_field("Grade", "grade, such as xf40")
        self.came_from = self.add_field("From where", "from where")
        self.price = self.add_field("Price", "price, such as 12.50")
        self.add_end()

    def give(self) -> None:
        self.given.emit(OrderForm(self.grade.text(), self.came_from.text(), self.price.text()))


class NoteEdit(QPlainTextEdit):
    """The slot's note; kept when the focus leaves or by Ctrl+Enter, left as it was by Esc."""

    written = Signal(str)
    left = Signal()
    differs = Signal(bool)
    """Whether something typed is not kept yet, told whenever that may have changed."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._kept = ""
        self.textChanged.connect(self._tell)
        self.setPlaceholderText("Write a note")
        self.setAccessibleName("Note")
        self.setTabChangesFocus(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.document().documentLayout().documentSizeChanged.connect(self._fit)
        self._fit()

    @property
    def is_being_written(self) -> bool:
        """Whether something typed is not kept yet."""
        return self.hasFocus() and self.toPlainText().strip() != self._kept

    def show_note(self, note: str) -> None:
        """Show what the file holds."""
        self._kept = note
        self.setPlaceholderText("Write a note")
        if self.toPlainText() != note:
            self.setPlainText(note)

    def show_various(self) -> None:
        """Several slots have several notes: one that is written takes the place of all."""
        self.show_note("")
        self.setPlaceholderText("Various notes; one written here replaces them all")

    def keep(self) -> None:
        """Have what was typed written, if it is new."""
        text = self.toPlainText().strip()
        if text != self._kept and not self.isReadOnly():
            self._kept = text
            self.written.emit(text)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        if event.reason() != Qt.FocusReason.PopupFocusReason:
            self.keep()
        self._tell()

    def _tell(self) -> None:
        self.differs.emit(self.is_being_written)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        is_enter = event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter)
        if is_enter and event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            self.keep()
            self.left.emit()
        elif event.key() == Qt.Key.Key_Escape:
            self.setPlainText(self._kept)
            self.left.emit()
        else:
            super().keyPressEvent(event)

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange):
            self._fit()

    def _fit(self, _size: QSizeF | None = None) -> None:
        """Two lines high at least, six at most."""
        lines = max(2, min(6, int(self.document().size().height())))
        self.setFixedHeight(lines * self.fontMetrics().lineSpacing() + 22)
