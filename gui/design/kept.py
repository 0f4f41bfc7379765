"""Arrangements kept under a name, used for any album, and given away as small files."""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from core.app.views import AlbumView
from core.model.arrangement import Arrangement, SavedArrangement
from gui.design.mode import DesignMode
from gui.desk import Desk

if TYPE_CHECKING:
    from core.app.collection import Collection
    from core.app.operations import Operation

ENDING = ".arrangement.toml"
FILES = f"Arrangements (*{ENDING});;All files (*)"


class KeptShapes(QObject):
    """Does what the foot of the Shape panel asks for."""

    said = Signal(str)

    def __init__(self, host: QWidget, desk: Desk, mode: DesignMode) -> None:
        super().__init__(host)
        self._host, self._desk, self._mode = host, desk, mode
        self._kept: tuple[SavedArrangement, ...] = ()
        box = mode.panel.kept
        box.keep_asked.connect(self.keep)
        box.used.connect(self.use)
        box.forgotten.connect(self.forget)
        box.export_asked.connect(self.export)
        box.import_asked.connect(self.take_in)

    def read(self) -> None:
        """Read the list anew."""

        def ask(collection: "Collection") -> tuple[SavedArrangement, ...]:
            return tuple(collection.saved_arrangements())

        self._desk.ask(ask, self._show)

    def _show(self, kept: Sequence[SavedArrangement]) -> None:
        self._kept = tuple(kept)
        self._mode.panel.show_kept(list(self._kept))

    def _portable(self) -> Arrangement | None:
        from core.app.design import portable

        view = self._mode.view
        return portable(view) if view is not None else None

    # ---- under a name -------------------------------------------------------------------------

    def keep(self) -> None:
        """Ask for a name and keep the shape."""
        from gui.text_dialog import TextDialog

        shape, view = self._portable(), self._mode.view
        if shape is None or view is None:
            return
        texts = TextDialog.ask(
            self._host,
            "Keep the arrangement",
            [("Name", view.album.name)],
            "Keep",
            f"{shape.text}. One of the same name gives way.",
        )
        if texts:
            self._keep(texts[0], shape, f"The arrangement is kept as {texts[0]}.")

    def _keep(self, name: str, shape: Arrangement, said: str) -> None:
        from core.app.design import keep_arrangement

        self._desk.run(keep_arrangement(name, shape), lambda _changes: self._told(said))

    def _told(self, words: str) -> None:
        self.read()
        self.said.emit(words)

    def use(self, kept: SavedArrangement) -> None:
        """Give the album a shape that was kept."""

        def ask(view: AlbumView) -> "Operation | None":
            return self._mode.take_shape(view, kept.arrangement)

        self._mode.orders.order(ask, "form")

    def forget(self, kept: SavedArrangement) -> None:
        """Take one off the list."""
        from core.app.design import forget_arrangement

        said = f"{kept.name} is forgotten. Undo brings it back: Ctrl+Z."
        self._desk.run(forget_arrangement(kept.id), lambda _changes: self._told(said))

    # ---- files --------------------------------------------------------------------------------

    def _folder(self) -> str:
        path = self._desk.path
        return str(path.parent if path is not None else Path.home())

    def export(self) -> None:
        """Write the shape to a file."""
        from core.app.arrangement_files import write_arrangement
        from gui.file_choice import choose_new_file

        shape, view = self._portable(), self._mode.view
        if shape is None or view is None:
            return
        name = view.album.name
        start = str(Path(self._folder()) / f"{_file_name(name)}{ENDING}")
        path = choose_new_file(self._host, "Export the arrangement", start, FILES, ENDING)
        if path is not None:
            self._desk.ask(
                lambda _collection: write_arrangement(path, name, shape),
                lambda _none: self.said.emit(f"The arrangement is in {path}."),
                doing="Writing the arrangement",
            )

    def take_in(self) -> None:
        """Read a shape from a file and keep it; the album takes it by Use."""
        from core.app.arrangement_files import read_arrangement
        from gui.file_choice import choose_file

        path = choose_file(self._host, "Import an arrangement", self._folder(), FILES)
        if path is None:
            return

        def arrived(found: tuple[str, Arrangement]) -> None:
            name, shape = found
            self._keep(name, shape, f"Kept as {name}; Use gives it to the album.")

        self._desk.ask(
            lambda _collection: read_arrangement(path), arrived, doing="Reading the arrangement"
        )


def _file_name(name: str) -> str:
    """A name that every system takes for a file."""
    kept = "".join(c if c.isalnum() or c in " -_" else "-" for c in name)
    return " ".join(kept.split())[:60] or "arrangement"
