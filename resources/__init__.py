"""The files that travel with the program: fonts, icons, series, the demo.

Paths are relative to this folder, with forward slashes: `fonts/NotoSans-Regular.ttf`.
"""

from importlib.resources import files
from importlib.resources.abc import Traversable


class ResourceError(Exception):
    """A resource that is not there, or a path that may not be asked for: a fault of the program."""


def read_text(path: str) -> str:
    """The text of one resource, read as UTF-8. Raises ResourceError."""
    try:
        return read_bytes(path).decode("utf-8")
    except UnicodeDecodeError as error:
        raise ResourceError(
            f"Resource {path} is not UTF-8 text (byte {error.start}); read it with read_bytes."
        ) from error


def read_bytes(path: str) -> bytes:
    """The bytes of one resource. Raises ResourceError."""
    place = _locate(path)
    if not place.is_file():
        raise ResourceError(f"There is no resource file {path}; check its name, or install again.")
    return place.read_bytes()


def names(folder: str) -> tuple[str, ...]:
    """The names of the files and folders in one resource folder, sorted; "" is the top.

    Names only, without the folder; Python's own (`__init__.py`, `__pycache__`) are left out.
    Raises ResourceError.
    """
    place = _locate(folder) if folder else files(__name__)
    if not place.is_dir():
        raise ResourceError(
            f"There is no resource folder {folder}; check its name, or install again."
        )
    return tuple(sorted(n for n in (entry.name for entry in place.iterdir()) if n[:2] != "__"))


def _locate(path: str) -> Traversable:
    """Where a resource lies. Raises ResourceError for a path that leads out of this folder."""
    parts = path.split("/")
    if "\\" in path or ":" in path or any(part in ("", ".", "..") for part in parts):
        raise ResourceError(
            f"Resource path {path!r} is not allowed; use a relative path with forward slashes"
            " and without '..', such as icons/pin.svg."
        )
    return files(__name__).joinpath(*parts)
