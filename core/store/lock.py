"""One writer: a small locked file beside the collection. It is free again when its owner ends."""

import sqlite3
from pathlib import Path

from core.errors import InUse
from core.store.engine import connect


def lock_path(path: Path) -> Path:
    """Where the lock of a collection lies; one for all names of the file."""
    real = path.resolve()
    return real.with_name(f".{real.name}.lock")


class WriterLock:
    """Held from `take` to `free`, or until the process ends however it ends."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._held: sqlite3.Connection | None = None

    def take(self) -> bool:
        """Whether the lock could be taken; False where its folder cannot be written.

        Raises InUse if another window or command holds it.
        """
        try:
            held = connect(lock_path(self._path), "rwc")
        except sqlite3.OperationalError:
            return False
        try:
            held.execute("PRAGMA busy_timeout=0")
            held.execute("BEGIN EXCLUSIVE")
        except sqlite3.Error as error:
            held.close()
            if str(getattr(error, "sqlite_errorname", "")).startswith("SQLITE_BUSY"):
                raise InUse(
                    f"“{self._path}” is open in another window or command. Close it there, or "
                    "open it here for reading only."
                ) from error
            return False
        self._held = held
        return True

    def free(self) -> None:
        """Let others write. The small file stays: taking it away would open a gap for two."""
        if self._held is not None:
            self._held.close()
            self._held = None
