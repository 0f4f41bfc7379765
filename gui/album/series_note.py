"""A remark on a series in small type: a few lines at most, the whole of it in a tip."""

import html

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QResizeEvent, QTextLayout
from PySide6.QtWidgets import QWidget

from gui.widgets import Label

MOST_LINES = 3


class SeriesNote(Label):
    """Text that wraps and ends in … where it takes more than three lines; hidden where empty."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("", "small", parent, wraps=True)
        self.whole_text = ""
        self.hide()

    def show_text(self, text: str) -> None:
        """Show another note; "" hides it."""
        self.whole_text = text
        self.setAccessibleName(text)
        self.setVisible(bool(text))
        self._fit()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange):
            self._fit()

    def _fit(self) -> None:
        shown = self._cut(self.whole_text, self.contentsRect().width())
        if shown != self.text():
            self.setText(shown)
        self.setToolTip(html.escape(self.whole_text) if shown != self.whole_text else "")

    def _cut(self, text: str, width_px: int) -> str:
        """The text, or what of it goes into three lines of this width, with …"""
        layout = QTextLayout(text, self.font())
        layout.beginLayout()
        starts: list[int] = []
        while (line := layout.createLine()).isValid():
            line.setLineWidth(max(1, width_px))
            starts.append(line.textStart())
        layout.endLayout()
        if len(starts) <= MOST_LINES:
            return text
        at = starts[MOST_LINES - 1]
        room = max(0, width_px - self.fontMetrics().horizontalAdvance("…"))
        last = self.fontMetrics().elidedText(
            text[at:].replace("\n", " "), Qt.TextElideMode.ElideRight, room
        )
        return text[:at] + last
