"""Asks for a file to open or a name to save under; tests replace both functions."""

from pathlib import Path

from PySide6.QtWidgets import QFileDialog, QWidget


def choose_file(parent: QWidget | None, title: str, folder: str, kinds: str) -> Path | None:
    """A file that is there, or None."""
    name, _kind = QFileDialog.getOpenFileName(parent, title, str(_there(Path(folder))), kinds)
    return Path(name) if name else None


def choose_new_file(
    parent: QWidget | None, title: str, start: str, kinds: str, ending: str
) -> Path | None:
    """A name for a new file, with the ending put on where there is none; or None."""
    wished = Path(start)
    at = _there(wished.parent) / wished.name
    name, _kind = QFileDialog.getSaveFileName(parent, title, str(at), kinds)
    if not name:
        return None
    path = Path(name)
    return path if path.suffix else path.with_suffix(ending)


def _there(folder: Path) -> Path:
    """The folder, or the nearest above it that is there: else the dialog begins anywhere."""
    return next((f for f in (folder, *folder.parents) if f.is_dir()), Path.home())
