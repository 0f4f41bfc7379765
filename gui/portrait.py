"""A picture of the real window, drawn without a display: for the README and for `make run`."""

import tempfile
from pathlib import Path
from typing import cast

from PySide6.QtCore import QCoreApplication, QEventLoop, QTimer
from PySide6.QtWidgets import QApplication

from gui.app import Program
from gui.settings import Settings
from gui.theme import load_later_fonts
from gui.work import InlineRunner

SETTLE_MS = 200
"""The card follows the album a moment later."""
TURNS = 5


def settle(milliseconds: int = SETTLE_MS) -> None:
    """Let what is under way be shown."""
    loop = QEventLoop()
    QTimer.singleShot(milliseconds, loop.quit)
    loop.exec()
    # What the last event made is shown, and laid out, by events of its own.
    for _ in range(TURNS):
        QCoreApplication.processEvents()


def draw_window(
    app: QCoreApplication, path: Path, album: int, size_px: tuple[int, int], target: Path
) -> None:
    """Write a picture of the window with an album open; the user's settings are left alone."""
    with tempfile.TemporaryDirectory() as folder:
        settings = Settings(Path(folder) / "window.ini")
        settings.theme = "light"
        settings.last_album = album
        program = Program(cast("QApplication", app), settings, InlineRunner())
        load_later_fonts()
        window = program.window
        window.resize(*size_px)
        window.duties.make_albums()
        window.show()
        program.desk.open(path)
        settle()
        window.grab().save(str(target))
        window.close()
        window.deleteLater()
