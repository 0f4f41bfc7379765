"""A field of a form: its name above it, what is wrong with it below it."""

from PySide6.QtWidgets import QLayout, QWidget

from gui.theme import XS, set_style
from gui.widgets import Label, column


class FormField(QWidget):
    """Holds one control, or a layout of several; `fault` shows a sentence beside it."""

    def __init__(
        self, name: str, content: QWidget | QLayout, parent: QWidget | None = None, hint: str = ""
    ) -> None:
        super().__init__(parent)
        box = column(self, spacing=XS)
        self.name = Label(name, "section", self)
        self.name.setText(name.upper())
        self.name.setAccessibleName(name)
        box.addWidget(self.name)
        if isinstance(content, QWidget):
            content.setParent(self)
            box.addWidget(content)
            if not content.accessibleName():
                content.setAccessibleName(name)
            self.name.setBuddy(content)
        else:
            box.addLayout(content)
        self._hint = hint
        self._words = Label(hint, "small", self, wraps=True)
        self._words.setVisible(bool(hint))
        box.addWidget(self._words)

    @property
    def fault(self) -> str:
        """What is wrong, "" where nothing is."""
        return self._words.text() if self._words.property("look") == "fault" else ""

    def show_fault(self, text: str) -> None:
        """Say what is wrong; "" shows the hint again."""
        self._say(text or self._hint, "fault" if text else "small")

    def show_hint(self, text: str) -> None:
        """Say something of use below the field, unless a fault stands there."""
        self._hint = text
        if not self.fault:
            self._say(text, "small")

    def _say(self, text: str, look: str) -> None:
        set_style(self._words, "look", look)
        self._words.setText(text)
        self._words.setVisible(bool(text))
