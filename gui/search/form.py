"""What the small forms of the searches share: their frame, and fields that read themselves."""

from collections.abc import Callable, Sequence
from itertools import pairwise

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QAction, QKeyEvent, QShowEvent
from PySide6.QtWidgets import (
    QAbstractSpinBox,
    QDialog,
    QGridLayout,
    QLineEdit,
    QSpinBox,
    QStyleOptionButton,
    QWidget,
)

from core.errors import BadEntry, CollectionError
from gui.album.album_fields import AlbumFoot
from gui.form_field import FormField
from gui.segmented import Segmented
from gui.small_dialog import SmallDialog
from gui.theme import XL, L, M, S
from gui.widgets import Chip, Label, MenuButton, QuietButton, column, key_line, key_text


class Form(SmallDialog):
    """A title, a sentence, fields in a grid of two columns, Cancel and the button that does it.

    `make` reads the fields; what it raises is told beside its field, or above the buttons.
    """

    def __init__(
        self,
        parent: QWidget | None,
        title: str,
        sentence: str = "",
        action: str = "Save",
        width_px: int = 560,
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle(title)
        self.setMinimumWidth(width_px)
        self.answer: object = None
        self.fields: dict[str, FormField] = {}
        box = column(self, (XL, XL, XL, L), M)
        box.addWidget(Label(title, "heading", self))
        if sentence:
            box.addWidget(Label(sentence, "mute", self, wraps=True))
        self.grid = QGridLayout()
        self.grid.setHorizontalSpacing(L)
        self.grid.setVerticalSpacing(M)
        self.grid.setColumnStretch(0, 1)
        self.grid.setColumnStretch(1, 1)
        box.addLayout(self.grid)
        self.below = column(spacing=S)
        box.addLayout(self.below)
        box.addSpacing(S)
        box.addStretch(1)
        self.keys = QWidget(self)
        box.addWidget(self.keys)
        self.foot = AlbumFoot(self, action, self._give)
        self.foot.give.setEnabled(True)
        box.addLayout(self.foot.line)
        self.starts_on: QWidget | None = None
        """Where the keys begin; None: at the first field that is typed into."""
        self._at = 0

    def add(self, name: str, content: QWidget, hint: str = "", is_wide: bool = False) -> FormField:
        """Put a field into the next cell, or across both columns."""
        field = FormField(name, content, self, hint)
        self.fields[name] = field
        if is_wide:
            self._at += self._at % 2
            self.grid.addWidget(field, self._at // 2, 0, 1, 2)
            self._at += 2
        else:
            top = Qt.AlignmentFlag.AlignTop  # a hint below one leaves its neighbour where it is
            self.grid.addWidget(field, self._at // 2, self._at % 2, top)
            self._at += 1
        return field

    def line(self, text: str = "", placeholder: str = "") -> QLineEdit:
        """A line to type in."""
        field = QLineEdit(text, self)
        field.setMaxLength(200)
        field.setPlaceholderText(placeholder)
        return field

    def count(self, value: int, least: int, most: int) -> QSpinBox:
        """A whole number."""
        field = QSpinBox(self)
        field.setRange(least, most)
        field.setValue(value)
        field.setGroupSeparatorShown(True)
        field.setAlignment(Qt.AlignmentFlag.AlignCenter)
        return field

    def event(self, event: QEvent) -> bool:
        """Tell the keys once all fields are there, before the form knows its size."""
        if event.type() == QEvent.Type.Polish and self.keys.layout() is None:
            self.keys.setLayout(key_line(self.keys, self._keys_of_fields()))
        return super().event(event)

    def showEvent(self, event: QShowEvent) -> None:
        """The keys begin where something is typed, so that Enter gives the form as it is, and end
        with the buttons, which were made first.
        """
        super().showEvent(event)
        foot = (self.foot.cancel, self.foot.give)
        stops = [
            one
            for one in self.findChildren(QWidget)
            if one.focusPolicy() & Qt.FocusPolicy.TabFocus
            and one not in foot
            and not isinstance(one.parent(), QAbstractSpinBox)
        ]
        if stops:
            for before, after in pairwise([*stops, *foot]):
                QWidget.setTabOrder(before, after)
            typed = (one for one in stops if isinstance(one, QLineEdit | QAbstractSpinBox))
            first = self.starts_on or next(typed, stops[0])
            first.setFocus(Qt.FocusReason.OtherFocusReason)

    def _keys_of_fields(self) -> list[tuple[str, str]]:
        """What the keys do on the kinds of fields that the form has, and on its own buttons."""
        kinds = ((Segmented, ("← →", "choose")), (MenuButton, ("Space", "open a list")),
                 (Chip, ("Space", "switch")))  # fmt: skip
        told = [("Tab", "next field")]
        told += [told for kind, told in kinds if self.findChild(kind) is not None]
        for button in self.findChildren(QuietButton):
            if not button.isHidden() and not button.shortcut().isEmpty():
                told.append((key_text(button.shortcut()), button.text().removesuffix("…").lower()))
        return told

    def read(self) -> object:
        """What the fields say; raises CollectionError. Written by each form."""
        raise NotImplementedError

    def fault(self, name: str, text: str) -> None:
        """Tell what is wrong beside a field."""
        self.fields[name].show_fault(text)

    def _give(self) -> None:
        for field in self.fields.values():
            field.show_fault("")
        self.foot.trouble.setText("")
        try:
            self.answer = self.read()
        except FieldTrouble as trouble:
            self.fault(trouble.field, str(trouble))
            return
        except CollectionError as trouble:
            self.foot.trouble.setText(str(trouble))
            return
        self.accept()

    def run(self) -> object:
        """Show the form; what was given, or None."""
        is_given = self.exec() == QDialog.DialogCode.Accepted
        answer = self.answer if is_given else None
        self.deleteLater()
        return answer


class FieldTrouble(BadEntry):
    """What is wrong with one field, by its name."""

    def __init__(self, field: str, text: str) -> None:
        super().__init__(text)
        self.field = field


class Choice(MenuButton):
    """One of several values, each with its words."""

    def __init__(
        self,
        choices: Sequence[tuple[object, str]],
        chosen: object = None,
        parent: QWidget | None = None,
        changed: Callable[[], None] | None = None,
    ) -> None:
        super().__init__("", "", parent)
        self.setProperty("kind", "pick")
        self.setAutoDefault(False)  # else it is the form's button while it has the keys
        self._words = choices
        self.value = chosen if chosen is not None else (choices[0][0] if choices else None)
        self._changed = changed
        for value, text in choices:
            action = QAction(text.replace("&", "&&"), self.choices)
            action.triggered.connect(lambda _on=False, value=value: self.choose(value))
            self.choices.addAction(action)
        self._show()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            event.ignore()  # it gives the form, as beside any field; Space opens the list
        else:
            super().keyPressEvent(event)

    def initStyleOption(self, option: QStyleOptionButton) -> None:
        """Drawn as a button without a menu: Qt leaves no room at the edge of one that has."""
        super().initStyleOption(option)
        option.features &= ~QStyleOptionButton.ButtonFeature.HasMenu

    def _stand(self) -> None:
        """Opened by a key, the list stands on the value that is chosen."""
        lines = self.choices.actions()
        place = next((at for at, (value, _) in enumerate(self._words) if value == self.value), 0)
        if lines and self.choices.activeAction() is None:
            self.choices.setActiveAction(lines[place])

    def choose(self, value: object) -> None:
        """Take another value."""
        self.value = value
        self._show()
        if self._changed is not None:
            self._changed()

    def _show(self) -> None:
        text = next((words for value, words in self._words if value == self.value), "none")
        self.setText(f"{text.replace('&', '&&')}  ▾")


def year_of(field: QLineEdit, name: str) -> int | None:
    """A year, None where nothing is typed; raises FieldTrouble."""
    text = field.text().strip()
    if not text:
        return None
    if not text.isdecimal() or not 1 <= int(text) <= 9999:
        raise FieldTrouble(name, f"“{text}” is no year; write one such as 1940, or nothing.")
    return int(text)


def whole_of(field: QLineEdit, name: str) -> int | None:
    """A whole number, None where nothing is typed; raises FieldTrouble."""
    text = field.text().strip().replace(",", "")
    if not text:
        return None
    if not text.isdecimal():
        raise FieldTrouble(name, f"“{text}” is no whole number; write digits, or nothing.")
    return int(text)
