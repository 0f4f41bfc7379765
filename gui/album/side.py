"""The right side: slot card or fill, standing beside the album, or as a drawer over it."""

from PySide6.QtCore import QEvent, QObject, QRect, Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QStackedWidget, QWidget

from gui.theme import XL, L
from gui.widgets import column

WIDTH_PX = 300
DOCKED_FROM_PX = 1360
"""A window narrower than this has a drawer instead."""


class Side(QFrame):
    """Holds the panels; `host` is the workspace whose row it stands in when there is room."""

    moved = Signal(bool)
    """Whether it is a drawer now."""

    def __init__(self, host: QWidget, line: QHBoxLayout) -> None:
        super().__init__(host)
        self._host, self._line = host, line
        self.is_drawer = False
        self.docked_from = DOCKED_FROM_PX
        self._box = column(self, (0, L, XL, XL), 0)
        self.stack = QStackedWidget(self)
        self._box.addWidget(self.stack)
        line.addWidget(self)
        self.setFixedWidth(WIDTH_PX + XL)
        host.installEventFilter(self)

    def open_drawer(self) -> None:
        """Come out, where it is a drawer."""
        if self.is_drawer:
            self._place()
            self.show()
            self.raise_()

    def close_drawer(self) -> None:
        """Go in, where it is a drawer."""
        if self.is_drawer:
            self.hide()

    def dock_as_usual(self) -> None:
        """Nothing that must stand beside the leaf is shown any more."""
        self.docked_from = DOCKED_FROM_PX
        self.fit()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.Resize and watched is self._host:
            self.fit()
        return False

    def fit(self) -> None:
        """Stand beside the album or over it, as the window's width has it."""
        is_drawer = self._host.width() < self.docked_from
        if is_drawer != self.is_drawer:
            self.is_drawer = is_drawer
            if is_drawer:
                self._line.removeWidget(self)
                self.hide()
            else:
                self._line.addWidget(self)
                self.show()
            self.moved.emit(is_drawer)
        if is_drawer:
            self._place()

    def _place(self) -> None:
        host = self._host.rect()
        width = WIDTH_PX + XL
        self.setGeometry(QRect(host.right() + 1 - width, 0, width, host.height()))
