"""What `make run` does where there is no display: a picture of the window, and the checklist."""

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from core.app.views import AlbumView

OUT = Path("out")
PICTURE, PAPER = "first-album.png", "gap-checklist.pdf"
SIZE_PX = (1440, 900)


def write_pictures(path: Path | None = None, out: Path = OUT) -> int:
    """Draw the first album of a collection (the demo's by default) and its checklist into `out`.

    Says so, and names both files. The exit code: 0, or 1 with a plain line where a file cannot be
    read or written.
    """
    from core.errors import CollectionError

    sys.stdout.write("No display is at hand, so Slotleaf draws instead of opening its window.\n")
    try:
        written = _write(path, out)
    except (CollectionError, OSError) as error:
        sys.stderr.write(f"slotleaf: {error}\n")
        return 1
    for file in written:
        sys.stdout.write(f"Written: {file}\n")
    sys.stdout.write("With a display, the same command opens the window.\n")
    return 0


def _write(path: Path | None, out: Path) -> list[Path]:
    from core.app.checklists import ListName, album_checklist
    from core.app.collection import Collection
    from core.app.demo import ensure_demo
    from core.errors import NotFound
    from core.printing.checklist import Paper
    from core.printing.pdf import checklist_pdf, write_pdf
    from gui.settings import demo_file

    if path is None:
        path = demo_file()
        ensure_demo(path)
    out.mkdir(parents=True, exist_ok=True)
    with Collection.open(path, read_only=True) as collection:
        albums = collection.albums()
        if not albums:
            raise NotFound(f"{path.name} has no album yet; make one with: slotleaf album new")
        view = collection.album_view(albums[0].id)
        name, today = collection.name, collection.today
    checklist = album_checklist(view, ListName.OPEN, today, name)
    paper = out / PAPER
    write_pdf(paper, checklist_pdf(checklist, Paper.A4))
    return [_draw(path, view, out / PICTURE), paper]


def _draw(path: Path, view: "AlbumView", target: Path) -> Path:
    os.environ["QT_QPA_PLATFORM"] = "offscreen"
    from PySide6.QtWidgets import QApplication

    from gui.portrait import draw_window

    app = QApplication.instance() or QApplication(sys.argv[:1])
    draw_window(app, path, int(view.album.id), SIZE_PX, target)
    return target
