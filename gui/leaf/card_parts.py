"""The pieces of the slot card: the glyph, a value to change, a spare, a past event."""

from collections.abc import Callable, Sequence

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QAction, QPainter, QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QSizePolicy, QWidget

from core.app.views import HistoryLine, SpareLine
from gui.paint import paint_glyph
from gui.theme import XS, M, S, current_palette
from gui.widgets import ElidedLabel, IconButton, Label, QuietButton, column, row

DAY_PX = 84


class GlyphBox(QWidget):
    """A slot's glyph, large, with its marks."""

    SIDE_PX, DIAMETER_PX = 60, 42

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._code = 0
        self.setFixedSize(self.SIDE_PX, self.SIDE_PX)

    def show_code(self, code: int, spoken: str) -> None:
        """Show another glyph."""
        self._code = code
        self.setAccessibleName(spoken)
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        try:
            middle = self.SIDE_PX / 2
            paint_glyph(painter, self._code, middle, middle, self.DIAMETER_PX, current_palette())
        finally:
            painter.end()


class ValueRow(QWidget):
    """A fact that a press changes: the name at the left, the value as a button at the right."""

    def __init__(self, name: str, tip: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._name = name
        box = row(self, spacing=M)
        box.addWidget(Label(name, "mute", self))
        box.addStretch(1)
        self.button = QuietButton("", self, "value")
        self.button.setToolTip(tip)
        box.addWidget(self.button)

    def show_value(self, value: str) -> None:
        """Show another value."""
        self.button.setText(f"{value}  ✎")
        self.button.setAccessibleName(f"{self._name}: {value}. Press to change.")


class SpareButton(QPushButton):
    """A spare that fits: its grade, what it would gain, where it lies. A press puts it in."""

    def __init__(self, spare: SpareLine, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.spare = spare
        self.setProperty("kind", "inset")
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setAccessibleName(f"Spare {spare.title}, {spare.gain}, {spare.detail}. Put it in.")
        self.setToolTip("Put this coin in the slot; the coin there becomes a spare.")
        box = column(self, (M, S, M, S), 0)
        top = row(spacing=S)
        top.addWidget(ElidedLabel(spare.title, "strong", self), 1)
        top.addWidget(Label(spare.gain, "accent" if spare.is_better else "small", self))
        box.addLayout(top)
        box.addWidget(ElidedLabel(spare.detail, "small", self))
        for label in self.findChildren(Label):
            label.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        layout = self.layout()
        return QSize(120, layout.sizeHint().height() if layout is not None else 0)


class HistoryRow(QWidget):
    """One event: the day, what happened, and a quiet way to correct its days."""

    def __init__(
        self,
        line: HistoryLine,
        correct: Callable[[HistoryLine], None] | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.line = line
        box = row(self, spacing=S)
        day = Label(line.day.isoformat(), "small", self)
        day.setFixedWidth(DAY_PX)
        day.setAlignment(Qt.AlignmentFlag.AlignTop)
        box.addWidget(day)
        text = Label(line.text, "body", self, wraps=True)
        text.setAlignment(Qt.AlignmentFlag.AlignTop)
        box.addWidget(text, 1)
        if correct is not None and line.placement is not None:
            for label in (day, text):  # the words stand beside the middle of the pencil
                label.setContentsMargins(0, XS + 2, 0, 0)
            self._offer_correcting(box, correct)

    def _offer_correcting(self, box: QHBoxLayout, correct: Callable[[HistoryLine], None]) -> None:
        line = self.line
        self.button = IconButton("pencil", f"Correct {line.day.isoformat()}, {line.text}…", self)
        self.button.setToolTip("Correct from when until when (K: the newest)")
        self.button.clicked.connect(lambda _on=False: correct(line))
        box.addWidget(self.button, 0, Qt.AlignmentFlag.AlignTop)
        action = QAction("Correct…", self)
        action.triggered.connect(lambda _on=False: correct(line))
        self.addAction(action)
        self.setContextMenuPolicy(Qt.ContextMenuPolicy.ActionsContextMenu)


class ShortList(QWidget):
    """The first few of many, and a button for the rest; `unfolded` when it was pressed."""

    unfolded = Signal()

    def __init__(
        self,
        makers: Sequence[Callable[[QWidget], QWidget]],
        most: int,
        spacing: int = S,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._box = column(self, spacing=spacing)
        self._rest = makers[most:]
        for make in makers[:most]:
            self._box.addWidget(make(self))
        self._more = QuietButton(f"Show {len(self._rest)} more", self, "quiet")
        self._more.clicked.connect(self._show_rest)
        self._more.setVisible(bool(self._rest))
        self._box.addWidget(self._more, 0, Qt.AlignmentFlag.AlignLeft)

    def _show_rest(self) -> None:
        self._more.hide()
        for make in self._rest:
            self._box.addWidget(make(self))
        self.unfolded.emit()
