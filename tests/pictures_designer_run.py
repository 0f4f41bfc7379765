"""The designer worked by keys alone, a numbered picture a step and one contact sheet of them all.

`python -m tests.pictures_designer_run [FOLDER] [light|dark]` writes them, by default into
out/pictures/designer-run. After every single key it is checked that one sees where the next one
goes: the ring of what has the focus is looked for in what is drawn, and where the focus was before
none may be left.
"""

import os
import sys
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from PySide6.QtGui import QImage

    from tests.gui.window_material import OpenWindow

OUT = Path("out/pictures/designer-run")
SIZE = (1280, 800)
COLUMNS, CELL_PX, GAP_PX, WORDS_PX = 6, 640, 12, 30


def draw_run(folder: Path, theme: str) -> int:
    """Write the frames and the sheet; how many frames there are. Raises where no focus is seen."""
    from PySide6.QtGui import QImage
    from PySide6.QtTest import QTest
    from PySide6.QtWidgets import QApplication

    from gui.app import Program
    from gui.portrait import settle
    from gui.settings import Settings
    from gui.theme import load_later_fonts
    from gui.work import InlineRunner
    from tests.gui.designer_keys import DesignerKeys
    from tests.gui.seen_focus import FocusWatch
    from tests.gui.strokes import Fingers
    from tests.gui.window_material import OpenWindow, small_collection

    app = QApplication.instance() or QApplication([])
    assert isinstance(app, QApplication)
    folder.mkdir(parents=True, exist_ok=True)
    for old in folder.glob("[0-9][0-9]-*.png"):
        old.unlink()
    frames: list[tuple[str, QImage]] = []
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as name:
        settings = Settings(Path(name) / "window.ini")
        settings.theme = theme
        program = Program(app, settings, InlineRunner())
        load_later_fonts()
        program.window.resize(*SIZE)
        program.window.show()
        program.window.duties.make_albums()
        program.desk.open(small_collection(Path(name) / "drawer.slotleaf"))
        settle()
        opened, watch = OpenWindow(program), FocusWatch()

        def frame(words: str) -> None:
            watch.look()
            image = whole(opened)
            image.save(str(folder / f"{len(frames) + 1:02}-{_file_name(words)}.png"))
            frames.append((words, image))

        program.window.activateWindow()
        QTest.qWaitForWindowActive(program.window)
        opened.albums.centre.leaf.setFocus()
        fingers = Fingers(opened, lambda _stroke: watch.look())
        fingers.give(DesignerKeys(opened, Path(name), frame).run())
        program.window.close()
        program.window.deleteLater()
        settle(10)
    sheet(frames).save(str(folder / "sheet.png"))
    print(
        f"{len(frames)} pictures of {fingers.given} keys, the focus seen {watch.looks} times on "
        f"{len(watch.names)} controls: {folder}"
    )
    return len(frames)


def whole(opened: "OpenWindow") -> "QImage":
    """The window with whatever dialogs and menus lie over it."""
    from PySide6.QtGui import QPainter
    from PySide6.QtWidgets import QApplication

    window = opened.window
    picture = window.grab()
    painter = QPainter(picture)
    for over in (QApplication.activeModalWidget(), QApplication.activePopupWidget()):
        if over is not None:
            painter.drawPixmap(window.mapFromGlobal(over.pos()), over.grab())
    painter.end()
    return picture.toImage()


def sheet(frames: "list[tuple[str, QImage]]") -> "QImage":
    """All frames in rows, each under its number and words."""
    from PySide6.QtCore import QRect, Qt
    from PySide6.QtGui import QColor, QFont, QImage, QPainter

    high = round(CELL_PX * SIZE[1] / SIZE[0])
    rows = -(-len(frames) // COLUMNS)
    page = QImage(
        COLUMNS * (CELL_PX + GAP_PX) + GAP_PX,
        rows * (high + WORDS_PX + GAP_PX) + GAP_PX,
        QImage.Format.Format_RGB32,
    )
    page.fill(QColor("#707070"))
    painter = QPainter(page)
    painter.setPen(QColor("#ffffff"))
    font = QFont(painter.font())
    font.setPixelSize(17)
    painter.setFont(font)
    for at, (words, image) in enumerate(frames):
        left = GAP_PX + at % COLUMNS * (CELL_PX + GAP_PX)
        top = GAP_PX + at // COLUMNS * (high + WORDS_PX + GAP_PX)
        line = QRect(left, top, CELL_PX, WORDS_PX)
        painter.drawText(line, int(Qt.AlignmentFlag.AlignVCenter), f"{at + 1}  {words}")
        small = image.scaledToWidth(CELL_PX, Qt.TransformationMode.SmoothTransformation)
        painter.drawImage(left, top + WORDS_PX, small)
    painter.end()
    return page


def _file_name(words: str) -> str:
    kept = "".join(c if c.isalnum() else "-" for c in words.casefold())
    return "-".join(part for part in kept.split("-") if part)[:40]


def main() -> int:
    """Draw the run in one theme, or in both."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    words = sys.argv[1:]
    themes = [word for word in words if word in ("light", "dark")] or ["light", "dark"]
    folders = [word for word in words if word not in ("light", "dark")]
    for theme in themes:
        draw_run(Path(folders[0] if folders else OUT) / theme, theme)
    return 0


if __name__ == "__main__":
    sys.exit(main())
