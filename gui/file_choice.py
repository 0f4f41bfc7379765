"""Asks for a file to open, a name to save under, or a folder; tests replace these functions."""

from pathlib import Path

from PySide6.QtWidgets import QFileDialog, QWidget

_DRAWN = (".pdf", ".png", ".svg")
"""Endings that say what is in the file: another one would be untrue."""


def choose_file(parent: QWidget | None, title: str, folder: str, kinds: str) -> Path | None:
    """A file that is there, or None."""
    name, _kind = QFileDialog.getOpenFileName(parent, title, str(_there(Path(folder))), kinds)
    return Path(name) if name else None


def choose_folder(parent: QWidget | None, title: str, folder: str) -> Path | None:
    """A folder that is there, or None."""
    name = QFileDialog.getExistingDirectory(parent, title, str(_there(Path(folder))))
    return Path(name) if name else None


def choose_new_file(
    parent: QWidget | None, title: str, start: str, kinds: str, ending: str
) -> Path | None:
    """A name for a new file with its ending, or None; one that is there was agreed to replace.

    Where the ending is put on here and that file is there, the dialog comes again with its name,
    so that it asks before it is replaced.
    """
    wished = Path(start)
    at = _there(wished.parent) / wished.name
    while True:
        name, _kind = QFileDialog.getSaveFileName(parent, title, str(at), kinds)
        if not name:
            return None
        at = _ended(Path(name), ending)
        if at == Path(name) or not at.exists():
            return at


def _ended(path: Path, ending: str) -> Path:
    """The name with its ending: pictures and sheets always bear their own."""
    if ending in _DRAWN:
        if path.suffix.lower() == ending:
            return path
        if path.suffix.lower() in _DRAWN:
            return path.with_suffix(ending)
        return path.with_name(path.name + ending)
    return path if path.suffix else path.with_suffix(ending)


def _there(folder: Path) -> Path:
    """The folder, or the nearest above it that is there: else the dialog begins anywhere."""
    return next((f for f in (folder, *folder.parents) if f.is_dir()), Path.home())
