"""Puts the program together: fonts, theme, settings, window; then runner and desk."""

import gc
import sys
from collections.abc import Callable
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication

from gui.main_window import MainWindow
from gui.settings import APP, Settings, demo_file
from gui.theme import STYLED, Theme, apply_theme, load_first_fonts, load_later_fonts

if TYPE_CHECKING:
    from gui.desk import Desk
    from gui.work import Runs

WARM_UP_AFTER_MS = 700
PANELS = (
    "gui.fill.panel",
    "gui.album.stocking",
    "gui.album.new_album",
    "gui.album.time_band",
    "gui.album.time_mode",
    "gui.album.show_words",
    "gui.album.show_line",
    "gui.history.dialog",
    "gui.restore",
    "gui.checklist.preview",
    "gui.pictures.dialog",
    "gui.coins.workspace",
    "gui.search.workspace",
    "gui.search.compare",
    "gui.search.finish",
    "gui.search.report_dialog",
    "gui.search.sheet_dialog",
    "gui.search.dashboard_page",
    "gui.upgrades.workspace",
    "gui.upgrades.prices_page",
    "gui.upgrades.want_list_dialog",
    "gui.series.dialog",
    "gui.series.editor",
)


class Program:
    """The parts of a running window."""

    def __init__(self, app: QApplication, settings: Settings, runner: "Runs | None" = None) -> None:
        """`runner` instead of threads: for tests and pictures."""
        self.app, self.settings = app, settings
        load_first_fonts(app)
        apply_theme(app, Theme.named(settings.theme))
        self._runner = runner
        self._desk: Desk | None = None
        self.window = MainWindow(settings, self._make_desk)

    @property
    def desk(self) -> "Desk":
        """The desk, which stands once the window has its duties."""
        return self.window.duties.desk

    def _make_desk(self) -> "Desk":
        from gui.desk import Desk
        from gui.work import Runner

        if self._runner is None:
            self._runner = Runner(self._on_unexpected, self.app)
        return Desk(self._runner, self.app)

    def _on_unexpected(self, error: Exception) -> None:
        self.desk.show_failure(error)

    def start(self, path: Path | None, is_demo: bool = False) -> None:
        """Show the window; a collection is read after its first paint."""
        self.window.first_painted.connect(lambda: self._begin(path, is_demo))
        self.window.show()

    def _begin(self, path: Path | None, is_demo: bool) -> None:
        from gui.failure import ExceptionHook

        duties = self.window.duties
        load_later_fonts()
        self.hook = ExceptionHook(duties.show_fault, self.app)
        self.hook.install()
        chosen = path or self.settings.last_file
        if is_demo:
            self.desk.open_demo(demo_file())
        elif chosen is not None:
            self.desk.open(chosen)
        else:
            duties.show_first_start()
            self._on_shown()
            return
        # Code and file are read on threads of their own meanwhile: the window answers.
        self.desk.runner.submit_drawing(
            lambda _progress: import_module("gui.album.workspace"),
            lambda _module: self._make_albums(),
        )

    def _make_albums(self) -> None:
        """A part a turn; the code they need was read before."""
        duties = self.window.duties
        if duties.build_albums():
            QTimer.singleShot(0, self._make_albums)
        else:
            duties.make_albums().shown_first.connect(self._on_shown)

    def _on_shown(self) -> None:
        """Something is on screen: collect what the start left, and read ahead."""
        gc.enable()
        QTimer.singleShot(WARM_UP_AFTER_MS, self._warm_up)

    def _warm_up(self) -> None:
        """Read the code of panels not opened yet, off the main thread: their first use is quick."""
        self.desk.runner.submit_drawing(lambda progress: _read_panels(progress.check))


def _read_panels(check: Callable[[], None]) -> None:
    for name in PANELS:
        check()
        import_module(name)


def run(path: Path | None = None, is_demo: bool = False) -> int:
    """Open the window and work until it is closed; the exit code."""
    gc.disable()  # a start makes much and drops little; collecting it took a sixth of the time
    # As an argument: QApplication.setStyle gives a QStyle, whose 566 enum members take their time.
    app = QApplication([*sys.argv[:1], "-style", "Fusion"])
    app.setProperty(STYLED, True)
    app.setApplicationName(APP)
    app.setApplicationDisplayName("Slotleaf")
    app.setDesktopFileName(APP)
    program = Program(app, Settings())
    program.start(path, is_demo)
    code = app.exec()
    program.desk.shut_down()
    return code
