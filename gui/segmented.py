"""A choice of a few, side by side, and what a group of buttons does with the keys."""

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QObject, QSize, Qt, Signal
from PySide6.QtGui import QFont, QFontMetrics, QKeyEvent
from PySide6.QtWidgets import QAbstractButton, QButtonGroup, QFrame, QPushButton, QWidget

from gui.widgets import QuietButton, row

SEGMENT_EDGES_PX = 2 * (8 + 1) + 4
"""What the style sheet puts beside the word of a segment, and two dots each side to spare."""
_TAB_FOCUS = Qt.FocusPolicy.TabFocus
_MAY_LEAD_TAB = (
    QEvent.Type.FocusOut,
    QEvent.Type.EnabledChange,
    QEvent.Type.ShowToParent,
    QEvent.Type.HideToParent,
)


def let_keys_follow(group: QButtonGroup) -> None:
    """A click on one of a group takes the keys along where they are on another of it."""

    def follow(clicked: QAbstractButton) -> None:
        if any(button.hasFocus() for button in group.buttons()):
            clicked.setFocus(Qt.FocusReason.MouseFocusReason)

    group.buttonClicked.connect(follow)


class _Segment(QuietButton):
    """As wide as its word written bold, which it is while it is chosen."""

    def __init__(self, text: str, parent: QWidget | None = None) -> None:
        super().__init__(text, parent, "segment")

    def _with_bold(self, asked: QSize) -> QSize:
        bold = QFont(self.font())
        bold.setBold(True)
        words = QFontMetrics(bold).horizontalAdvance(self.text().replace("&&", "&"))
        return QSize(max(asked.width(), words + SEGMENT_EDGES_PX), asked.height())

    def sizeHint(self) -> QSize:
        return self._with_bold(super().sizeHint())

    def minimumSizeHint(self) -> QSize:
        return self._with_bold(super().minimumSizeHint())


class Segmented(QFrame):
    """A choice of a few, side by side; `chosen` tells the place of the new one."""

    chosen = Signal(int)

    def __init__(self, names: Sequence[str], label: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("kind", "inset")
        self.setAccessibleName(label)
        box = row(self, (2, 2, 2, 2), 2)
        self._group = QButtonGroup(self)
        self.buttons: list[QPushButton] = []
        for place, name in enumerate(names):
            button = _Segment(name, self)
            button.setCheckable(True)
            button.setAutoDefault(False)  # Enter on the chosen one gives the form
            button.setAccessibleName(f"{label}: {name}")
            button.installEventFilter(self)
            self._group.addButton(button, place)
            box.addWidget(button, 1)
            self.buttons.append(button)
        let_keys_follow(self._group)
        self._group.idClicked.connect(self.chosen)
        self._group.idToggled.connect(self._lead_tab)
        self._lead_tab()

    def choose(self, place: int) -> None:
        """Show a choice without telling anyone; -1 shows none."""
        if 0 <= place < len(self.buttons):
            self.buttons[place].setChecked(True)
            return
        self._group.setExclusive(False)
        for button in self.buttons:
            button.setChecked(False)
        self._group.setExclusive(True)
        self._lead_tab()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() in _MAY_LEAD_TAB:
            self._lead_tab()
        elif isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress:
            return self._press(event.key()) or super().eventFilter(watched, event)
        return super().eventFilter(watched, event)

    def _press(self, key: int) -> bool:
        """Home and End choose the first and the last; whether the key was one of them."""
        if key not in (Qt.Key.Key_Home, Qt.Key.Key_End):
            return False
        usable = [b for b in self.buttons if b.isEnabled() and not b.isHidden()]
        if usable:
            end = usable[0 if key == Qt.Key.Key_Home else -1]
            end.setFocus(Qt.FocusReason.TabFocusReason)
            end.click()
        return True

    def _lead_tab(self) -> None:
        """Let Tab come to the chosen one, or else the first; the arrow keys go on from there.

        Qt by itself lets it come to the one that had the keys last.
        """
        usable = [b for b in self.buttons if b.isEnabled() and not b.isHidden()]
        chosen = [button for button in usable if button.isChecked()] or usable
        for button in self.buttons:
            is_first = button in chosen[:1]
            button.setFocusPolicy(_TAB_FOCUS if is_first else Qt.FocusPolicy.NoFocus)

    def choice(self) -> int:
        """The place of the choice shown, -1 for none."""
        return self._group.checkedId()
