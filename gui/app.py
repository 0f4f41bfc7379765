"""Puts the program together: fonts, theme, settings, runner, desk, window."""

import sys
from collections.abc import Callable
from importlib import import_module
from pathlib import Path

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication

from gui.desk import Desk
from gui.main_window import MainWindow
from gui.settings import APP, Settings, demo_file
from gui.theme import Theme, apply_theme, load_first_fonts, load_later_fonts
from gui.work import Runner, Runs

WARM_UP_AFTER_MS = 700
PANELS = (
    "gui.fill.panel",
    "gui.album.stocking",
    "gui.album.new_album",
    "gui.checklist.preview",
    "gui.coins.workspace",
)


class Program:
    """The parts of a running window."""

    def __init__(self, app: QApplication, settings: Settings, runner: Runs | None = None) -> None:
        """`runner` instead of threads: for tests and pictures."""
        self.app, self.settings = app, settings
        load_first_fonts(app)
        apply_theme(app, Theme.named(settings.theme))
        self.runner: Runs = runner or Runner(self._on_unexpected, app)
        self.desk = Desk(self.runner, app)
        self.window = MainWindow(self.desk, settings)

    def _on_unexpected(self, error: Exception) -> None:
        self.desk.show_failure(error)

    def start(self, path: Path | None, is_demo: bool = False) -> None:
        """Show the window; a collection is read after its first paint."""
        self.window.first_painted.connect(lambda: self._begin(path, is_demo))
        self.window.show()

    def _begin(self, path: Path | None, is_demo: bool) -> None:
        from gui.failure import ExceptionHook

        load_later_fonts()
        self.window.duties  # noqa: B018 - made now, to hear what the desk tells
        self.hook = ExceptionHook(self.window.duties.show_fault, self.app)
        self.hook.install()
        chosen = path or self.settings.last_file
        if is_demo:
            self.desk.open_demo(demo_file())
        elif chosen is not None:
            self.desk.open(chosen)
        else:
            self.window.duties.show_first_start()
            return
        # The file is opened on its own thread meanwhile.
        QTimer.singleShot(0, self._make_albums)

    def _make_albums(self) -> None:
        albums = self.window.duties.make_albums()
        albums.shown_first.connect(lambda: QTimer.singleShot(WARM_UP_AFTER_MS, self._warm_up))

    def _warm_up(self) -> None:
        """Read the code of panels not opened yet, off the main thread: their first use is quick."""
        self.runner.submit_drawing(lambda progress: _read_panels(progress.check))


def _read_panels(check: Callable[[], None]) -> None:
    for name in PANELS:
        check()
        import_module(name)


def run(path: Path | None = None, is_demo: bool = False) -> int:
    """Open the window and work until it is closed; the exit code."""
    app = QApplication(sys.argv[:1])
    app.setApplicationName(APP)
    app.setApplicationDisplayName("Slotleaf")
    app.setDesktopFileName(APP)
    program = Program(app, Settings())
    program.start(path, is_demo)
    code = app.exec()
    program.desk.shut_down()
    return code
