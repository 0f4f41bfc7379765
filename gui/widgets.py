"""Small widgets shared by all panels: cards, buttons, chips, labels, empty states."""

from collections.abc import Sequence
from typing import TypeVar

from PySide6.QtCore import QEvent, QPoint, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QFont, QKeyEvent, QKeySequence, QResizeEvent
from PySide6.QtWidgets import (
    QApplication,
    QBoxLayout,
    QFrame,
    QHBoxLayout,
    QLabel,
    QLayout,
    QMenu,
    QPushButton,
    QScrollArea,
    QSizePolicy,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from core.glyph.palette import Palette
from gui.flow_layout import FlowLayout
from gui.theme import XL, XS, L, M, S, current_palette, set_style

Box = TypeVar("Box", bound=QBoxLayout)
CHIP_PX = 32
FOLLOWED_MS = 100
_TAB_FOCUS = Qt.FocusPolicy.TabFocus
"""A click on a button leaves the keys where they were: on the album."""


def key_text(key: str | QKeySequence) -> str:
    """A shortcut as this system writes it: Ctrl+N, ⌘N."""
    return QKeySequence(key).toString(QKeySequence.SequenceFormat.NativeText)


def column(
    parent: QWidget | None = None, margins: Sequence[int] = (0, 0, 0, 0), spacing: int = S
) -> QVBoxLayout:
    """A vertical layout; margins are left, top, right, bottom."""
    return _set(QVBoxLayout(parent) if parent is not None else QVBoxLayout(), margins, spacing)


def row(
    parent: QWidget | None = None, margins: Sequence[int] = (0, 0, 0, 0), spacing: int = S
) -> QHBoxLayout:
    """A horizontal layout; margins are left, top, right, bottom."""
    return _set(QHBoxLayout(parent) if parent is not None else QHBoxLayout(), margins, spacing)


def _set(box: Box, margins: Sequence[int], spacing: int) -> Box:
    left, top, right, bottom = margins
    box.setContentsMargins(left, top, right, bottom)
    box.setSpacing(spacing)
    return box


def clear_layout(layout: QLayout) -> None:
    """Take everything out of a layout; the widgets go when the event loop next turns."""
    while (item := layout.takeAt(0)) is not None:
        if (widget := item.widget()) is not None:
            widget.hide()
            widget.deleteLater()
        elif (inner := item.layout()) is not None:
            clear_layout(inner)


class Label(QLabel):
    """Plain text in one of the styles of the sheet: title, heading, strong, body, small …"""

    def __init__(
        self,
        text: str = "",
        style: str = "body",
        parent: QWidget | None = None,
        *,
        wraps: bool = False,
        selectable: bool = False,
    ) -> None:
        super().__init__(parent)
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setProperty("look", style)
        self.setText(text)
        self.setWordWrap(wraps)
        if wraps:
            policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Preferred)
            policy.setHeightForWidth(True)
            self.setSizePolicy(policy)
        if selectable:
            self.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)

    def minimumSizeHint(self) -> QSize:
        """Text that wraps may be as narrow as it must, whatever its longest word."""
        hint = super().minimumSizeHint()
        return QSize(1, hint.height()) if self.wordWrap() else hint


class ElidedLabel(Label):
    """One line that ends in … where it does not fit; a tip then shows it whole.

    `keeps_end` cuts it in its middle instead.
    """

    keeps_end = False

    def __init__(self, text: str = "", style: str = "body", parent: QWidget | None = None) -> None:
        super().__init__("", style, parent)
        self._whole = ""
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.show_text(text)

    def show_text(self, text: str) -> None:
        """Show another text."""
        self._whole = text
        self.setAccessibleName(text)
        self._fit()

    @property
    def whole_text(self) -> str:
        """The text as it was given."""
        return self._whole

    def sizeHint(self) -> QSize:
        hint = super().sizeHint()
        return QSize(self.fontMetrics().horizontalAdvance(self._whole) + 2, hint.height())

    def minimumSizeHint(self) -> QSize:
        return QSize(24, super().minimumSizeHint().height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange):
            self._fit()

    def _fit(self) -> None:
        mode = Qt.TextElideMode.ElideMiddle if self.keeps_end else Qt.TextElideMode.ElideRight
        shown = self.fontMetrics().elidedText(self._whole, mode, max(0, self.width()))
        if shown != self.text():
            self.setText(shown)
        tip = ""
        if shown != self._whole:
            import html  # large tables, rarely needed

            tip = html.escape(self._whole)
        self.setToolTip(tip)


class SectionLabel(Label):
    """A heading in small capitals, muted: SPARES THAT FIT."""

    def __init__(self, text: str, parent: QWidget | None = None) -> None:
        super().__init__(text.upper(), "section", parent)
        self.setAccessibleName(text)
        font = self.font()
        font.setLetterSpacing(QFont.SpacingType.PercentageSpacing, 104)
        self.setFont(font)


class KeyHint(Label):
    """A key in a small box."""

    def __init__(
        self, key: str, parent: QWidget | None = None, *, is_written: bool = False
    ) -> None:
        """`is_written`: shown as it is where it names no key (`Type it`, `vf20`)."""
        super().__init__((key_text(key) or key) if is_written else key_text(key), "key", parent)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)


class Card(QFrame):
    """A white sheet with a hairline edge; `kind` card, inset or band. Fill `self.box`."""

    def __init__(
        self,
        parent: QWidget | None = None,
        kind: str = "card",
        margins: Sequence[int] = (L, L, L, L),
        spacing: int = S,
    ) -> None:
        super().__init__(parent)
        self.setProperty("kind", kind)
        self.box = column(self, margins, spacing)


class Hairline(QFrame):
    """A line across, one pixel."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("kind", "line")
        self.setFixedHeight(1)


class _PressButton(QPushButton):
    """Enter presses it where it has the focus, in every window, as Space does."""

    def keyPressEvent(self, event: QKeyEvent) -> None:
        is_enter = event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter)
        if not is_enter or event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier:
            super().keyPressEvent(event)
        elif self.menu() is not None:
            self.showMenu()
        elif self.isChecked() and self.group() is not None:
            event.ignore()  # chosen already: Enter is the window's, as it is beside any field
        else:
            self.click()


class PrimaryButton(_PressButton):
    """The one thing to do next; at most one to a panel."""

    def __init__(self, text: str, parent: QWidget | None = None) -> None:
        super().__init__(text, parent)
        self.setProperty("kind", "primary")
        self.setFocusPolicy(_TAB_FOCUS)
        self.setCursor(Qt.CursorShape.PointingHandCursor)


class QuietButton(_PressButton):
    """A button among others: `kind` field (white with an edge), quiet (no edge) or link."""

    def __init__(self, text: str, parent: QWidget | None = None, kind: str = "field") -> None:
        super().__init__(text, parent)
        self.setProperty("kind", kind)
        self.setFocusPolicy(_TAB_FOCUS)


class IconButton(QToolButton):
    """A picture for a button, with its name for the tip and for screen readers."""

    def __init__(self, icon_name: str, text: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._icon_name = icon_name
        self.setProperty("kind", "icon")
        self.setAccessibleName(text)
        self.setToolTip(text)
        self.setFocusPolicy(_TAB_FOCUS)
        self.setIconSize(QSize(16, 16))
        self._drawn_in: Palette | None = None
        self._colour()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange:
            self._colour()

    def _colour(self) -> None:
        from gui.icons import icon

        colours = current_palette()
        if colours is not self._drawn_in:  # one change of theme is told a dozen times
            self._drawn_in = colours
            self.setIcon(icon(self._icon_name, colours.mute))


class MenuButton(_PressButton):
    """A choice that opens as a menu: “Show  everything ▾”. Fill `self.choices`."""

    def __init__(self, text: str, value: str = "", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._text = text
        self.setProperty("kind", "field")
        self.setFocusPolicy(_TAB_FOCUS)
        self.choices = make_menu(self)
        self.setMenu(self.choices)
        self.choices.aboutToShow.connect(self._on_opening)
        self.show_value(value)

    def _on_opening(self) -> None:
        """Opened by a key, it stands on the choice made, or on the first one."""
        if QApplication.mouseButtons() == Qt.MouseButton.NoButton:
            QTimer.singleShot(0, self.choices, self._stand)

    def _stand(self) -> None:
        lines = [line for line in self.choices.actions() if line.isEnabled() and line.text()]
        chosen = next((line for line in lines if line.isChecked()), lines[0] if lines else None)
        if chosen is not None and self.choices.activeAction() is None:
            self.choices.setActiveAction(chosen)

    def show_value(self, value: str) -> None:
        """Show another choice on the button."""
        self.setText(f"{self._text}  {value} ▾" if value else f"{self._text} ▾")
        self.setAccessibleName(f"{self._text}: {value}" if value else self._text)


def make_menu(parent: QWidget) -> QMenu:
    """An empty menu in the program's look, tips shown."""
    menu = QMenu(parent)
    menu.setToolTipsVisible(True)
    return menu


class Chip(QToolButton):
    """A toggle with a glyph and words: ◌ 11 gaps. `code` None draws no glyph."""

    GLYPH_PX = 15

    def __init__(self, text: str, code: int | None = None, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._code = code
        self.setProperty("kind", "chip" if code is None else "glyph_chip")
        self.setCheckable(True)
        self.setFocusPolicy(_TAB_FOCUS)
        self.show_text(text)
        self.setToolButtonStyle(
            Qt.ToolButtonStyle.ToolButtonTextOnly
            if code is None
            else Qt.ToolButtonStyle.ToolButtonTextBesideIcon
        )
        self.setIconSize(QSize(20, 20))
        self._drawn_in: Palette | None = None
        self._colour()

    def show_text(self, text: str) -> None:
        """Show other words."""
        # A no-break space keeps the words off the glyph: style sheets have no word for it.
        self.setText(("" if self._code is None else "\u00a0") + text.replace("&", "&&"))
        self.setAccessibleName(text)
        self.updateGeometry()

    def sizeHint(self) -> QSize:
        """As wide as the words ask: what the style adds beside a glyph is lopsided."""
        words = self.fontMetrics().horizontalAdvance(self.text().replace("&&", "&"))
        glyph = 0 if self._code is None else self.iconSize().width() - XS
        return QSize(words + glyph + 2 * M + 4, CHIP_PX)

    def minimumSizeHint(self) -> QSize:
        return self.sizeHint()

    def show_code(self, code: int) -> None:
        """Draw another glyph."""
        if code != self._code:
            self._code = code
            self._drawn_in = None
            self._colour()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange:
            self._colour()

    def _colour(self) -> None:
        colours = current_palette()
        if self._code is None or colours is self._drawn_in:
            return
        from gui.paint import glyph_icon

        self._drawn_in = colours
        self.setIcon(glyph_icon(self._code, self.GLYPH_PX, colours))


class FactRow(QWidget):
    """A name at the left, its value at the right; a long value wraps."""

    def __init__(self, name: str, value: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        box = row(self, spacing=M)
        label = Label(name, "mute", self)
        label.setAlignment(Qt.AlignmentFlag.AlignTop)
        label.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Preferred)
        self.value = Label(value, "body", self, wraps=True, selectable=True)
        self.value.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignTop)
        self.value.setAccessibleName(f"{name}: {value}")
        box.addWidget(label)
        box.addWidget(self.value, 1)


class EmptyState(QWidget):
    """What to say where there is nothing: a title, a sentence, the next step and its key."""

    acted = Signal()

    def __init__(
        self,
        title: str,
        sentence: str,
        action: str = "",
        key: str = "",
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        box = column(self, (XL, XL, XL, XL), S)
        box.addStretch(2)
        self.title = Label(title, "heading", self, wraps=True)
        self.sentence = Label(sentence, "mute", self, wraps=True)
        for label in (self.title, self.sentence):
            label.setAlignment(Qt.AlignmentFlag.AlignHCenter)
            box.addWidget(label)
        self.button = PrimaryButton(action, self)
        self.button.clicked.connect(self.acted)
        self.button.setVisible(bool(action))
        self.hint = KeyHint(key, self)
        self.hint.setVisible(bool(key))
        line = row(spacing=S)
        line.addStretch(1)
        line.addWidget(self.button)
        line.addWidget(self.hint)
        line.addStretch(1)
        box.addSpacing(S)
        box.addLayout(line)
        box.addStretch(3)

    def say(self, title: str, sentence: str, action: str = "", key: str = "") -> None:
        """Say something else."""
        self.title.setText(title)
        self.sentence.setText(sentence)
        self.button.setText(action)
        self.button.setVisible(bool(action))
        self.hint.setText(key_text(key))
        self.hint.setVisible(bool(key))


class ScrollColumn(QScrollArea):
    """A column that scrolls down only; fill `self.box`."""

    def __init__(
        self,
        parent: QWidget | None = None,
        margins: Sequence[int] = (0, 0, 0, 0),
        spacing: int = S,
    ) -> None:
        super().__init__(parent)
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.viewport().setAutoFillBackground(False)
        self.inside = QWidget(self)
        self.inside.setProperty("kind", "clear")
        self.inside.setAutoFillBackground(False)
        self.box = column(self.inside, margins, spacing)
        self.setWidget(self.inside)
        self._followed: QWidget | None = None
        self.verticalScrollBar().rangeChanged.connect(self._scroll_to_followed)

    def show_whole(self, part: QWidget) -> None:
        """Scroll to where all of a part is seen, its top where it is long.

        It may be on its way to another size: what the next moment lays out is followed.
        """
        self._followed = part
        QTimer.singleShot(0, part, self._scroll_to_followed)
        QTimer.singleShot(FOLLOWED_MS, part, self._follow_no_more)

    def _follow_no_more(self) -> None:
        self._followed = None

    def _scroll_to_followed(self) -> None:
        part, bar = self._followed, self.verticalScrollBar()
        if part is not None:
            top = part.mapTo(self.inside, QPoint(0, 0)).y()
            lowest = top + part.height() - self.viewport().height()
            bar.setValue(min(top, max(lowest, bar.value())))


class Band(QFrame):
    """A line across a panel that tells something and may offer a button and a way to be rid of it.

    `kind` band (something goes on) or note.
    """

    acted = Signal()
    dismissed = Signal()

    def __init__(self, parent: QWidget | None = None, action: str = "", dismiss: str = "") -> None:
        super().__init__(parent)
        self.setProperty("kind", "band")
        box = row(self, (M, S, S, S), M)
        self.label = Label("", "body", self, wraps=True)
        box.addWidget(self.label, 1)
        self.button = QuietButton(action, self)
        self.button.setVisible(bool(action))
        self.button.clicked.connect(self.acted)
        box.addWidget(self.button)
        self.dismiss = IconButton("x", dismiss or "Dismiss", self)
        self.dismiss.setVisible(bool(dismiss))
        self.dismiss.clicked.connect(self.dismissed)
        box.addWidget(self.dismiss)

    def say(self, text: str) -> None:
        """Show a text; the band hides where there is none."""
        self.label.setText(text)
        self.setVisible(bool(text))


class SaidLine(Label):
    """A line beside the buttons that tells what became of a click; hidden while it is empty."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__("", "small", parent, wraps=True, selectable=True)
        self.hide()

    def say(self, text: str, is_fault: bool = False) -> None:
        """Tell something, or what is wrong; "" clears it."""
        set_style(self, "look", "fault" if is_fault else "small")
        self.setText(text)
        self.setVisible(bool(text))


def key_line(parent: QWidget, keys: Sequence[tuple[str, str]]) -> FlowLayout:
    """Keys with what each does, on as many lines as they need."""
    line = FlowLayout(spacing_x=L, spacing_y=XS)
    for key, does in keys:
        hint = QWidget(parent)
        pair = row(hint, spacing=XS)
        cap = KeyHint("", hint)
        cap.setText(key)
        pair.addWidget(cap)
        pair.addWidget(Label(does, "small", hint))
        line.addWidget(hint)
    return line
