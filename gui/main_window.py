"""The window's frame: bar, ground, room for pages. It is painted before anything else is read.

What the window does is in `gui.window_duties`, which is made after the first paint, since its
imports would delay it. For the same reason nothing here names `Qt`: its 1,200 enum members alone
take a sixth of the time that a bare window needs to show.
"""

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QSize, QTimer, Signal
from PySide6.QtGui import QCloseEvent, QPaintEvent
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QMainWindow,
    QPushButton,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from gui.settings import Settings
from gui.theme import XS, L, M

if TYPE_CHECKING:
    from gui.desk import Desk
    from gui.window_duties import Duties

BAR_PX, SHELF_PX = 54, 248
SMALLEST = QSize(960, 600)
USUAL = QSize(1440, 900)
WORKSPACES = (("albums", "Albums"), ("coins", "Coins"), ("searches", "Searches"),
              ("upgrades", "Upgrades"))  # fmt: skip


class Ground(QFrame):
    """The shelf and the sheet before anything is read; tells when it was painted first."""

    painted = Signal()

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._was_painted = False
        self.setProperty("kind", "paper")
        line = QHBoxLayout(self)
        line.setContentsMargins(0, 0, 0, 0)
        shelf = QFrame(self)
        shelf.setProperty("kind", "shelf")
        shelf.setFixedWidth(SHELF_PX)
        line.addWidget(shelf)
        line.addStretch(1)

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        if not self._was_painted:
            self._was_painted = True
            QTimer.singleShot(0, self.painted.emit)


class MainWindow(QMainWindow):
    """The frame. `duties` is the rest of the window, made when it is first asked for."""

    first_painted = Signal()

    def __init__(self, settings: Settings, make_desk: Callable[[], "Desk"]) -> None:
        """`make_desk` is called once, after the first paint."""
        super().__init__()
        self.settings = settings
        self._make_desk = make_desk
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

            self._duties = Duties(self, self._make_desk())
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
        self.ground.painted.connect(self._stay_on_screen)
        self.ground.painted.connect(self.first_painted)
        self.pages.addWidget(self.ground)
        self.box.addWidget(self.pages, 1)
        self.setCentralWidget(centre)

    def _build_bar(self, parent: QWidget) -> QWidget:
        bar = QFrame(parent)
        bar.setProperty("kind", "bar")
        bar.setFixedHeight(BAR_PX)
        self.bar_line = QHBoxLayout(bar)
        self.bar_line.setContentsMargins(M, 0, L, 0)
        self.bar_line.setSpacing(XS)
        self.tabs: dict[str, QPushButton] = {}
        for name, text in WORKSPACES:
            tab = QPushButton(bar)  # giving the text here would bring all of QIcon along
            tab.setText(text)
            tab.setProperty("kind", "workspace")
            tab.setCheckable(True)
            tab.setAutoExclusive(True)
            tab.setAutoDefault(True)  # Enter presses it, as Space does
            self.tabs[name] = tab
            self.bar_line.addWidget(tab)
        self.tabs["albums"].setChecked(True)
        self.bar_line.addStretch(1)
        self.menu_button = QPushButton(bar)
        self.menu_button.setText("Slotleaf ▾")
        self.menu_button.setAutoDefault(True)
        self.menu_button.setProperty("kind", "quiet")
        self.menu_button.setMaximumWidth(360)
        self.bar_line.addWidget(self.menu_button)
        return bar

    def _stay_on_screen(self) -> None:
        """Make room for the frame that the desktop puts round the window."""
        free, frame = self.screen().availableGeometry(), self.frameGeometry()
        over = (frame.size() - free.size()).expandedTo(QSize(0, 0))
        if not over.isNull() and not self.isMaximized() and not self.isFullScreen():
            self.resize(self.size() - over)
            self.move(free.topLeft())

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        is_activation = event.type() == QEvent.Type.ActivationChange
        if is_activation and self.isActiveWindow() and self._duties is not None:
            self._duties.desk.look_again()

    def closeEvent(self, event: QCloseEvent) -> None:
        if self._duties is not None and not self._duties.is_ready_to_close():
            event.ignore()
            QTimer.singleShot(20, self.close)
            return
        self.settings.geometry = self.saveGeometry()
        self.settings.save()
        if self._duties is not None:
            self._duties.desk.shut_down()
        super().closeEvent(event)
