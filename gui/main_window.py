"""The window's frame: bar, ground, room for pages. It is painted before anything else is read.

What the window does is in `gui.window_duties`, which is made after the first paint, since its
imports would delay it.
"""

from typing import TYPE_CHECKING

from PySide6.QtCore import QSize, Qt, QTimer, Signal
from PySide6.QtGui import QCloseEvent, QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import (
    QHBoxLayout,
    QMainWindow,
    QPushButton,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from gui.desk import Desk
from gui.settings import Settings
from gui.theme import XS, L, M, current_palette

if TYPE_CHECKING:
    from gui.window_duties import Duties

BAR_PX, SHELF_PX = 54, 248
SMALLEST = QSize(960, 600)
USUAL = QSize(1440, 900)
WORKSPACES = (("albums", "Albums"), ("coins", "Coins"))


class Ground(QWidget):
    """The shelf and the sheet before anything is read; tells when it was painted first."""

    painted = Signal()

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._was_painted = False

    def paintEvent(self, event: QPaintEvent) -> None:
        colours = current_palette()
        painter = QPainter(self)
        try:
            painter.fillRect(self.rect(), QColor(colours.paper))
            painter.fillRect(0, 0, SHELF_PX, self.height(), QColor(colours.shelf))
        finally:
            painter.end()
        if not self._was_painted:
            self._was_painted = True
            QTimer.singleShot(0, self.painted.emit)


class MainWindow(QMainWindow):
    """The frame. `duties` is the rest of the window, made when it is first asked for."""

    first_painted = Signal()

    def __init__(self, desk: Desk, settings: Settings) -> None:
        super().__init__()
        self.desk, self.settings = desk, settings
        self._duties: Duties | None = None
        self.setWindowTitle("Slotleaf")
        self.setMinimumSize(SMALLEST)
        self._build()
        geometry = settings.geometry
        if geometry is None or not self.restoreGeometry(geometry):
            self.resize(USUAL.boundedTo(self.screen().availableSize()))

    @property
    def duties(self) -> "Duties":
        """What the window does; made now where it is not yet."""
        if self._duties is None:
            from gui.window_duties import Duties

            self._duties = Duties(self)
        return self._duties

    def _build(self) -> None:
        centre = self.centre = QWidget(self)
        centre.setObjectName("window")
        self.box = QVBoxLayout(centre)
        self.box.setContentsMargins(0, 0, 0, 0)
        self.box.setSpacing(0)
        self.box.addWidget(self._build_bar(centre))
        self.pages = QStackedWidget(centre)
        self.ground = Ground(self.pages)
        self.ground.painted.connect(self.first_painted)
        self.pages.addWidget(self.ground)
        self.box.addWidget(self.pages, 1)
        self.setCentralWidget(centre)

    def _build_bar(self, parent: QWidget) -> QWidget:
        bar = QWidget(parent)
        bar.setProperty("kind", "bar")
        bar.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        bar.setFixedHeight(BAR_PX)
        self.bar_line = QHBoxLayout(bar)
        self.bar_line.setContentsMargins(M, 0, L, 0)
        self.bar_line.setSpacing(XS)
        self.tabs: dict[str, QPushButton] = {}
        for name, text in WORKSPACES:
            tab = QPushButton(text, bar)
            tab.setProperty("kind", "workspace")
            tab.setCheckable(True)
            tab.setAutoExclusive(True)
            tab.setFocusPolicy(Qt.FocusPolicy.TabFocus)
            self.tabs[name] = tab
            self.bar_line.addWidget(tab)
        self.tabs["albums"].setChecked(True)
        self.bar_line.addStretch(1)
        self.menu_button = QPushButton("Slotleaf ▾", bar)
        self.menu_button.setProperty("kind", "quiet")
        self.menu_button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.menu_button.setMaximumWidth(360)
        self.bar_line.addWidget(self.menu_button)
        return bar

    def closeEvent(self, event: QCloseEvent) -> None:
        if self._duties is not None and not self._duties.is_ready_to_close():
            event.ignore()
            QTimer.singleShot(20, self.close)
            return
        self.settings.geometry = self.saveGeometry()
        self.settings.save()
        self.desk.shut_down()
        super().closeEvent(event)
