"""How large a page over the window is: as large as is of use, never larger than the screen."""

from PySide6.QtCore import QSize
from PySide6.QtWidgets import QDialog

LEAST, MOST = QSize(1216, 720), QSize(1520, 960)
BESIDE_PX, ABOVE_PX = 64, 72
"""What is left free beside it and above it."""


def fit_to_screen(dialog: QDialog) -> None:
    """Size a page by the screen it is to stand on."""
    room = dialog.screen().availableSize() - QSize(BESIDE_PX, ABOVE_PX)
    dialog.resize(room.boundedTo(MOST).expandedTo(LEAST.boundedTo(dialog.screen().size())))
