"""The scenes that the contact sheets of panels and dialogs show."""

from collections.abc import Callable
from pathlib import Path

from PySide6.QtWidgets import QApplication, QVBoxLayout, QWidget

from gui.album.new_album import NewAlbumDialog
from gui.album.stocking import StockingMode
from gui.leaf.view import LeafView
from gui.theme import current_palette
from tests.gui.desk_material import a_desk, an_album, collection_of


def settle() -> None:
    """Let timers of a few milliseconds run."""
    from PySide6.QtTest import QTest

    QTest.qWait(150)
    QApplication.processEvents()


def new_album(folder: Path) -> QWidget:
    desk = a_desk(folder)
    an_album(desk)
    dialog = NewAlbumDialog(None, desk)
    dialog.show()
    dialog.last.setText("1964")
    dialog.target.setText("vf20")
    settle()
    return dialog


def new_album_faults(folder: Path) -> QWidget:
    desk = a_desk(folder)
    an_album(desk)
    dialog = NewAlbumDialog(None, desk)
    dialog.resize(1000, 720)
    dialog.show()
    dialog.name.setText("Nickels 1938–1964")
    dialog._on_name_edited(dialog.name.text())
    dialog.first.setText("19x8")
    dialog.target.setText("vf21")
    for chip in dialog.mint_chips.values():
        chip.setChecked(False)
    settle()
    return dialog


def new_album_cents(folder: Path) -> QWidget:
    desk = a_desk(folder)
    dialog = NewAlbumDialog(None, desk)
    dialog.show()
    dialog.search.setText("cents")
    dialog.varieties.buttons[2].click()
    dialog.arrangement.buttons[1].click()
    settle()
    return dialog


def stocking(folder: Path) -> QWidget:
    from PySide6.QtCore import Qt
    from PySide6.QtTest import QTest

    desk = a_desk(folder)
    album = an_album(desk)
    panel = QWidget()
    panel.setObjectName("window")
    panel.resize(900, 760)
    box = QVBoxLayout(panel)
    leaf = LeafView(panel)
    leaf.setProperty("kind", "leaf")
    mode = StockingMode(desk, leaf, panel)
    box.addWidget(mode.band)
    box.addWidget(leaf)
    view = collection_of(desk).album_view(album)
    leaf.show_plan(view.plan, current_palette())
    panel.show()
    mode.start(view)
    QTest.keyClicks(leaf, "vf20 ")
    for _ in range(9):
        QTest.keyClick(leaf, Qt.Key.Key_Space)
    QTest.keyClicks(leaf, "?au5")
    settle()
    return panel


SCENES: dict[str, Callable[[Path], QWidget]] = {
    "new-album": new_album,
    "new-album-faults": new_album_faults,
    "new-album-cents": new_album_cents,
    "stocking": stocking,
}
