"""The editor that stands on a cell: one line (a note has several), what is wrong below it."""

from PySide6.QtCore import QEvent, QRect, QSize, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QTextCursor
from PySide6.QtWidgets import QLineEdit, QPlainTextEdit, QWidget

from gui.theme import M, S, set_style
from gui.widgets import Card, Label

LEAST_PX = 176
NOTE_PX = QSize(280, 84)
BUBBLE_PX = 320
_AWAY = (Qt.FocusReason.PopupFocusReason, Qt.FocusReason.ActiveWindowFocusReason)
_Key = Qt.Key


class CellEditor(QWidget):
    """Holds the text until it is taken or left; placed by who made it, on a viewport."""

    given = Signal(int)
    """Take the text; then go on by so many cells to the right (0: stay)."""
    left = Signal()
    typed = Signal()
    wandered = Signal()
    """The focus went elsewhere by a click or a key."""

    def __init__(self, viewport: QWidget) -> None:
        super().__init__(viewport)
        self._viewport = viewport
        self._cell = QRect()
        self._is_note = False
        self.line = _Line(self)
        self.line.setProperty("kind", "cell")
        self.line.setMaxLength(400)
        self.line.textEdited.connect(lambda _text: self.typed.emit())
        self.page = _Page(self)
        self.page.setProperty("kind", "cell")
        self.page.textChanged.connect(self.typed.emit)
        for field in (self.line, self.page):
            field.installEventFilter(self)
        self.bubble = Card(viewport, "card", (M, S, M, S), 0)
        self.words = Label("", "small", self.bubble, wraps=True)
        self.bubble.box.addWidget(self.words)
        self.bubble.hide()
        self.hide()

    def begin(self, text: str, name: str, is_note: bool, is_fresh: bool) -> None:
        """Begin with a text, all of it chosen; `is_fresh`: it was just typed, go on behind it."""
        self._is_note = is_note
        self.line.setVisible(not is_note)
        self.page.setVisible(is_note)
        field = self.field
        field.setAccessibleName(name)
        if is_note:
            self.page.blockSignals(True)
            self.page.setPlainText(text)
            self.page.blockSignals(False)
            if is_fresh:
                self.page.moveCursor(QTextCursor.MoveOperation.End)
            else:
                self.page.selectAll()
        else:
            self.line.setText(text)
            if is_fresh:
                self.line.end(False)
            else:
                self.line.selectAll()
        self.say("")

    @property
    def field(self) -> QWidget:
        """What is typed in."""
        return self.page if self._is_note else self.line

    @property
    def text(self) -> str:
        """What is typed."""
        return self.page.toPlainText() if self._is_note else self.line.text()

    @property
    def fault(self) -> str:
        """What is wrong, "" where nothing is."""
        return self.words.text() if self.words.property("look") == "fault" else ""

    def say(self, text: str, look: str = "small") -> None:
        """Say something below the cell: a hint, how it reads, or what is wrong."""
        set_style(self.words, "look", look)
        self.words.setText(text)
        self.bubble.setVisible(bool(text) and self.isVisible())
        self._place_bubble()

    def stand_on(self, cell: QRect) -> None:
        """Cover a cell, in the viewport's pixels; inside it as far as there is room."""
        self._cell = cell
        room = self._viewport.rect()
        size = QSize(max(cell.width(), LEAST_PX), cell.height())
        if self._is_note:
            size = size.expandedTo(NOTE_PX)
        left = max(0, min(cell.left(), room.width() - size.width()))
        top = max(0, min(cell.top(), room.height() - size.height()))
        self.setGeometry(left, top, size.width(), size.height())
        self.field.setGeometry(self.rect())
        self.show()
        self.raise_()
        self.bubble.setVisible(bool(self.words.text()))
        self._place_bubble()

    def _place_bubble(self) -> None:
        if self.bubble.isHidden():
            return
        room = self._viewport.rect()
        width = min(room.width(), max(self.width(), BUBBLE_PX))
        inside = width - 2 * M - 2
        height = self.words.heightForWidth(inside) + 2 * S + 2
        left = max(0, min(self.x(), room.width() - width))
        below = self.geometry().bottom() + 4
        is_room_below = below + height <= room.height() or self.y() - height - 4 < 0
        self.bubble.setGeometry(
            left, below if is_room_below else self.y() - height - 4, width, height
        )
        self.bubble.raise_()

    def close_editor(self) -> None:
        """Go away; the text is done with."""
        self.bubble.hide()
        self.hide()

    def eventFilter(self, watched: object, event: QEvent) -> bool:
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress:
            return self._on_key(event)
        is_focus = isinstance(event, QFocusEvent) and event.type() == QEvent.Type.FocusOut
        if is_focus and isinstance(event, QFocusEvent) and event.reason() not in _AWAY:
            self.wandered.emit()
        return False

    def _on_key(self, event: QKeyEvent) -> bool:
        match event.key():
            case _Key.Key_Escape:
                self.left.emit()
            case _Key.Key_Return | _Key.Key_Enter:
                if self._is_note and event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier:
                    self.page.insertPlainText("\n")
                else:
                    self.given.emit(0)
            case _Key.Key_Tab:
                self.given.emit(1)
            case _Key.Key_Backtab:
                self.given.emit(-1)
            case _Key.Key_F2:
                pass
            case _Key.Key_Up | _Key.Key_Down if not self._is_note:
                pass  # not to leave the line by accident
            case _:
                return False
        return True


class _Line(QLineEdit):
    """One line; Tab is for the next cell."""

    def event(self, event: QEvent) -> bool:
        if isinstance(event, QKeyEvent) and event.key() in (_Key.Key_Tab, _Key.Key_Backtab):
            event.accept()
            return True
        return super().event(event)


class _Page(QPlainTextEdit):
    """Several lines."""
