"""The line: large type, always with the focus; keys become what the sitting is asked to do."""

from collections.abc import Sequence

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QKeySequence
from PySide6.QtWidgets import QFrame, QLineEdit, QWidget

from gui.theme import L, M, S, set_style
from gui.widgets import ElidedLabel, Label, row

HINT = "Enter keeps · Shift+Enter counts · Space next roll"
_KEYPAD = Qt.KeyboardModifier.KeypadModifier
_SHIFT = Qt.KeyboardModifier.ShiftModifier
_CONTROL = Qt.KeyboardModifier.ControlModifier
_ENTERS = (Qt.Key.Key_Return, Qt.Key.Key_Enter)
FIRST_COUNTER_KEY = 5
"""Counters are on F5, F6, F7 …"""
LAST_COUNTER_KEY = 9


MOST_LETTERS = 400
"""A little beyond what a line may say, so that a longer one is told of, not cut."""


class LineField(QLineEdit):
    """What is typed, and the keys of the table. `hold` keeps keys back until `go_on`.

    Undo belongs to the collection: Ctrl+Z is left to the window.
    """

    kept = Signal()
    counted = Signal()
    next_asked = Signal()
    back_asked = Signal()
    left_down = Signal()
    cleared = Signal()
    completion_asked = Signal(int)
    """Take over a completion: 0 the next, 1 the one after it …; -1 back up."""
    counter_asked = Signal(int)
    """The counter of this place."""
    reading_asked = Signal(int)
    """One of several readings, from 0, where the line asks for it."""
    compare_asked = Signal()
    undo_asked = Signal()
    pressed_key = Signal()

    def __init__(self, parent: QWidget | None = None, kind: str = "line") -> None:
        super().__init__(parent)
        self.setProperty("kind", kind)
        self.setMaxLength(MOST_LETTERS)
        self.setAccessibleName("The coin in hand")
        self.is_asking = False
        self.has_rolls = True
        self.choices = 0
        self._is_held = False
        self._waiting: list[QKeyEvent] = []
        self.setContextMenuPolicy(Qt.ContextMenuPolicy.NoContextMenu)

    # --- keys that came too early

    def hold(self) -> None:
        """An answer is on its way: keep what is typed meanwhile."""
        self._is_held = True

    def go_on(self) -> None:
        """The answer came: do what was typed meanwhile, in its order."""
        self._is_held = False
        while self._waiting and not self._is_held:
            self.keyPressEvent(self._waiting.pop(0))

    def event(self, event: QEvent) -> bool:
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            is_step = event.matches(QKeySequence.StandardKey.Undo) or event.matches(
                QKeySequence.StandardKey.Redo
            )
            if self._is_held and event.matches(QKeySequence.StandardKey.Undo):
                event.accept()
                return True
            is_edit = event.key() == Qt.Key.Key_E and event.modifiers() == _CONTROL
            if is_step or is_edit:  # Ctrl+E would go to the line's end on some systems
                event.ignore()
                return False
            if event.key() == Qt.Key.Key_F4:  # it waits its turn here, behind what was typed
                event.accept()
                return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        self.pressed_key.emit()
        if self._is_held:
            copy = QKeyEvent(
                event.type(), event.key(), event.modifiers(), event.text(), event.isAutoRepeat()
            )
            self._waiting.append(copy)
        elif event.matches(QKeySequence.StandardKey.Undo):
            self.undo_asked.emit()
        elif not self._answers(event) and not self._does(event):
            super().keyPressEvent(event)

    def _answers(self, event: QKeyEvent) -> bool:
        """Where the line asks which reading is meant, a digit says it; all else ends the asking."""
        if not self.is_asking:
            return False
        place = "123456789".find(event.text()) if event.text() else -1
        if 0 <= place < self.choices:
            self.reading_asked.emit(place)
            return True
        if event.key() in _ENTERS:
            return True
        if event.text() or event.key() == Qt.Key.Key_Escape:
            self.is_asking = False
            self.reading_asked.emit(-1)
            return event.key() == Qt.Key.Key_Escape
        return False

    def _does(self, event: QKeyEvent) -> bool:
        key, held = event.key(), event.modifiers() & ~_KEYPAD
        is_empty = not self.text()
        if key in _ENTERS and held in (Qt.KeyboardModifier.NoModifier, _SHIFT):
            (self.counted if held & _SHIFT else self.kept).emit()
            return True
        if held:
            return False
        if key == Qt.Key.Key_Space and is_empty and self.has_rolls:
            self.next_asked.emit()
        elif key == Qt.Key.Key_Backspace and is_empty and self.has_rolls:
            self.back_asked.emit()
        elif key == Qt.Key.Key_Escape and not is_empty:
            self.clear()
            self.cleared.emit()
        elif key == Qt.Key.Key_Down:
            self.left_down.emit() if is_empty else self.completion_asked.emit(1)
        elif key == Qt.Key.Key_Up and not is_empty:
            self.completion_asked.emit(-1)
        elif key == Qt.Key.Key_Tab and not is_empty:
            self.completion_asked.emit(0)
        elif key == Qt.Key.Key_F4:
            self.compare_asked.emit()
        elif key == Qt.Key.Key_Asterisk and event.modifiers() & _KEYPAD:
            self.insert(" x ")
        elif self.has_rolls and _counter_place(key) is not None:
            self.counter_asked.emit(_counter_place(key))
        else:
            return False
        return True

    def focusNextPrevChild(self, is_next: bool) -> bool:
        """Tab takes a completion over while there is something to complete."""
        return False if is_next and self.text() else super().focusNextPrevChild(is_next)


def _counter_place(key: int) -> int | None:
    first = Qt.Key.Key_F1 + FIRST_COUNTER_KEY - 1
    last = Qt.Key.Key_F1 + LAST_COUNTER_KEY - 1
    return key - first if first <= key <= last else None


class LineCard(QFrame):
    """The line in its frame, what it may go on to say, and what its keys do."""

    def __init__(self, parent: QWidget | None = None, hint: str = HINT) -> None:
        super().__init__(parent)
        self.setProperty("kind", "line_card")
        self._hint = hint
        box = row(self, (L + 2, S, L, S), M)
        self.field = LineField(self)
        self.field.installEventFilter(self)
        box.addWidget(self.field, 3)
        self.more = ElidedLabel("", "mute", self)
        self.more.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        self.more.setAccessibleName("Completions")
        box.addWidget(self.more, 2)
        self.hint = Label(hint, "small", self)
        box.addWidget(self.hint)
        self.setFixedHeight(62)
        self._completions: tuple[str, ...] = ()
        self._at = -1
        self._typed = ""
        self.field.completion_asked.connect(self._take_over)

    def show_completions(self, completions: Sequence[str]) -> None:
        """What the line may go on to say, after what is typed; no more while one is taken over."""
        if self._at >= 0 and self._completions and self.field.text() in self._completions:
            return
        self._completions, self._at = tuple(completions), -1
        self._typed = self.field.text()
        self._show()

    def _show(self) -> None:
        rest = [one for one in self._completions if one != self.field.text()]
        self.more.show_text(" · ".join(rest[:4]))
        self.more.setVisible(bool(rest))
        self.hint.setVisible(not rest or self.width() > 560)

    @property
    def completions(self) -> tuple[str, ...]:
        """What is offered now."""
        return self._completions

    def _take_over(self, step: int) -> None:
        if not self._completions:
            return
        last = len(self._completions) - 1
        at = max(self._at, 0) if step == 0 else min(max(self._at + step, -1), last)
        self._at = at
        self.field.setText(self._typed if at < 0 else self._completions[at])
        if step == 0:
            self._at = -1
        self._show()

    def eventFilter(self, watched: object, event: QEvent) -> bool:
        if isinstance(event, QFocusEvent):
            set_style(self, "state", "on" if event.gotFocus() else "off")
        return False
