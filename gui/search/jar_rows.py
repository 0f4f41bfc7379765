"""Containers beside the table: a digit is the level of the one stood on, in eighths."""

from collections.abc import Sequence

from PySide6.QtCore import QRectF, Qt, Signal
from PySide6.QtGui import QColor, QFocusEvent, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from core.model.search import FULL_EIGHTHS, Container
from core.search.containers import held_in
from gui.theme import XS, S, current_palette
from gui.widgets import ElidedLabel, Label, clear_layout, column, row

_ENTERS = (Qt.Key.Key_Return, Qt.Key.Key_Enter)


def level_text(jar: Container) -> str:
    """3 of 8, or full."""
    return "full" if jar.eighths == FULL_EIGHTHS else f"{jar.eighths} of 8"


def level_of(event: QKeyEvent) -> int | None:
    """The eighths that a key means, None where it is no digit of 0 to 8."""
    held = event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier
    place = "012345678".find(event.text()) if event.text() and not held else -1
    return place if place >= 0 else None


class JarRow(QWidget):
    """One container: its name and level, what it holds by that; a stop of the keys."""

    level_given = Signal(int)
    edit_asked = Signal()
    step_asked = Signal(int)
    letter_typed = Signal(str)
    left = Signal()

    def __init__(self, jar: Container, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.jar = jar
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        box = row(self, (XS, XS, XS, XS), S)
        self._name, self._held = ElidedLabel("", "body", self), Label("", "body", self)
        box.addWidget(self._name, 1)
        box.addWidget(self._held)
        self.setToolTip("0 to 8 sets its level in eighths, Enter opens it")
        self.show_jar(jar)

    def show_jar(self, jar: Container) -> None:
        """Show it as it is now."""
        self.jar = jar
        self._name.show_text(f"{jar.name}, {level_text(jar)}")
        self._held.setText(held_in(jar).text)
        self.setAccessibleName(f"{jar.name}, {level_text(jar)}: {held_in(jar).text}")

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key, level = event.key(), level_of(event)
        if level is not None:
            self.level_given.emit(level)
        elif key in _ENTERS or key == Qt.Key.Key_F2:
            self.edit_asked.emit()
        elif key in (Qt.Key.Key_Up, Qt.Key.Key_Down):
            self.step_asked.emit(1 if key == Qt.Key.Key_Down else -1)
        elif key == Qt.Key.Key_Escape:
            self.left.emit()
        elif event.text().isalpha():
            self.letter_typed.emit(event.text())
        else:
            super().keyPressEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self.edit_asked.emit()

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        if not self.hasFocus():
            return
        painter = QPainter(self)
        try:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.setPen(QPen(QColor(current_palette().accent), 2))
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), 6, 6)
        finally:
            painter.end()


class JarRows(QWidget):
    """The containers, first ones first. The first letter of a name goes to it."""

    level_given = Signal(int, int)
    """A container (its id) and its level in eighths."""
    edit_asked = Signal(int)
    """Open a container, by its id."""
    reached = Signal(QWidget)
    left = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._box = column(self, spacing=XS)
        self.rows: list[JarRow] = []

    def show_jars(self, jars: Sequence[Container]) -> None:
        """Show these; the keys stay on the one they were on."""
        if [one.jar.id for one in self.rows] == [jar.id for jar in jars]:
            for line, jar in zip(self.rows, jars, strict=True):
                line.show_jar(jar)
            return
        stood = next((one.jar.id for one in self.rows if one.hasFocus()), None)
        clear_layout(self._box)
        self.rows = []
        for jar in jars:
            line = JarRow(jar, self)
            line.level_given.connect(lambda level, at=jar.id: self.level_given.emit(at, level))
            line.edit_asked.connect(lambda at=jar.id: self.edit_asked.emit(at))
            line.step_asked.connect(self._step)
            line.letter_typed.connect(self._to_letter)
            line.left.connect(self.left)
            self.rows.append(line)
            self._box.addWidget(line)
            if jar.id == stood:
                line.show()  # what is not seen yet takes no keys
                line.setFocus(Qt.FocusReason.OtherFocusReason)

    @property
    def holds_keys(self) -> bool:
        """Whether a container is stood on."""
        return any(one.hasFocus() for one in self.rows)

    def begin(self) -> None:
        """Stand on the first one."""
        if self.rows:
            self._stand_on(0)

    def _stand_on(self, place: int) -> None:
        line = self.rows[place % len(self.rows)]
        line.setFocus(Qt.FocusReason.OtherFocusReason)
        self.reached.emit(line)

    def _at(self) -> int:
        return next((at for at, one in enumerate(self.rows) if one.hasFocus()), 0)

    def _step(self, by: int) -> None:
        self._stand_on(self._at() + by)

    def _to_letter(self, letter: str) -> None:
        """The next one whose name begins so."""
        at, many = self._at(), len(self.rows)
        for place in range(at + 1, at + 1 + many):
            if self.rows[place % many].jar.name.casefold().startswith(letter.casefold()):
                self._stand_on(place)
                return
