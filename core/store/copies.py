"""Copies of a collection file: checked before they get their name, seven days kept."""

import glob
import hashlib
import os
import re
import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import date
from pathlib import Path

import platformdirs

from core.errors import FileTrouble, Refused
from core.store.engine import BUSY_MS, connect
from core.store.lock import WriterLock
from core.store.trouble import plain_words

KEPT = 7
ENDING = ".slotleaf"


def plain_name(path: Path) -> str:
    """The file's name without the ending of a collection."""
    return path.stem if path.suffix == ENDING else path.name


def copies_beside(path: Path) -> Path:
    """The folder of daily copies beside the collection."""
    return path.with_name(f"{plain_name(path)} copies")


def copies_elsewhere(path: Path) -> Path:
    """The folder of daily copies where the collection's own folder cannot be written."""
    told = hashlib.sha256(os.fsencode(path.resolve())).hexdigest()[:8]
    folder = platformdirs.user_data_path("slotleaf", appauthor=False)
    return folder / "copies" / f"{plain_name(path)} {told}"


def daily_name(path: Path, day: date) -> str:
    """What the copy of a day is called."""
    return f"{plain_name(path)} {day.isoformat()}{ENDING}"


def daily_copies(path: Path, folder: Path) -> list[Path]:
    """The daily copies in a folder, oldest first."""
    name = re.escape(plain_name(path)) + r" \d{4}-\d\d-\d\d" + re.escape(ENDING)
    if not folder.is_dir():
        return []
    return sorted(found for found in folder.iterdir() if re.fullmatch(name, found.name))


def copy_of_the_day(path: Path, day: date) -> Path:
    """Keep the collection as it is now as this day's copy, and of all copies the newest seven.

    A day that has its copy keeps it. Raises FileTrouble if no folder takes one.
    """
    places = (copies_beside(path), copies_elsewhere(path))
    for folder in places:
        there = folder / daily_name(path, day)
        if there.is_file():
            return there
    for last, folder in ((False, places[0]), (True, places[1])):
        there = folder / daily_name(path, day)
        try:
            folder.mkdir(parents=True, exist_ok=True)
            for draft in folder.glob(f".{glob.escape(plain_name(path))}*.new"):
                draft.unlink()  # of a process that was ended while it copied
            write_copy(path, there, replace=True)
        except (OSError, FileTrouble) as error:
            if last:
                why = error.strerror if isinstance(error, OSError) else str(error).split(". ")[0]
                raise FileTrouble(
                    f"Today's copy of “{path}” could not be written, neither beside it nor in "
                    f"“{folder}” ({why}). Make room there, or allow writing."
                ) from error
            continue
        for old in daily_copies(path, folder)[:-KEPT]:
            old.unlink(missing_ok=True)
        return there
    raise AssertionError("the last place returns or raises")


def require_folder(to: Path) -> None:
    """Raise FileTrouble where no file of that name can be made for want of a folder."""
    folder = to.absolute().parent
    if not folder.is_dir():
        raise FileTrouble(f"There is no folder “{folder}”. Make it first, or choose another.")
    if not os.access(folder, os.W_OK):
        raise FileTrouble(f"The folder “{folder}” may not be written. Choose another folder.")


def write_copy(
    path: Path,
    to: Path,
    replace: bool = False,
    change: Callable[[Path], None] | None = None,
) -> None:
    """Copy a collection under a temporary name, check the copy, then give it its name.

    `change` may rework the copy before it is checked. Raises Refused where something of that name
    is there and `replace` is not given, or for the collection itself; FileTrouble if it cannot be
    written; then nothing is left behind.
    """
    if to.exists() and path.samefile(to):
        raise Refused(f"“{to}” is the collection itself. Choose another name for the copy.")
    if to.is_dir():
        raise Refused(f"“{to}” is a folder. Choose a name for the copy.")
    require_folder(to)
    lock = WriterLock(to)
    if replace and to.exists():
        lock.take()
    draft = to.with_name(f".{to.name}.{os.getpid()}.new")
    try:
        with plain_words(to):
            checked_draft(path, draft, change)
        settle(draft, to, replace)
    except OSError as error:
        raise FileTrouble(
            f"“{to}” could not be written ({error.strerror}). Choose another folder."
        ) from error
    finally:
        draft.unlink(missing_ok=True)
        lock.free()


def checked_draft(path: Path, draft: Path, change: Callable[[Path], None] | None = None) -> None:
    """Copy a collection to a file of its own and check that; it has no name of note yet.

    Raises what the database says; `plain_words` puts it into words.
    """
    draft.unlink(missing_ok=True)
    with closing(connect(path, "ro")) as source:
        source.execute(f"PRAGMA busy_timeout={BUSY_MS}")
        source.execute("PRAGMA trusted_schema=OFF")
        source.execute("VACUUM INTO ?", (str(draft),))
    if change is not None:
        change(draft)
    require_sound(draft)


def require_sound(copy: Path) -> None:
    """Read a file through; raises what the database says where it does not hold together."""
    with closing(connect(copy, "ro")) as found:
        faults = [row[0] for row in found.execute("PRAGMA quick_check")]
        keys = found.execute("PRAGMA foreign_key_check").fetchall()
    if faults != ["ok"] or keys:
        raise sqlite3.DatabaseError("database disk image is malformed")


def settle(draft: Path, to: Path, replace: bool) -> None:
    """Bring a finished file to the disk, then give it its name in one step.

    Raises Refused if something of that name is there and `replace` is not given.
    """
    with draft.open("rb+") as file:
        os.fsync(file.fileno())
    if replace:
        draft.replace(to)
    else:
        try:
            _name_anew(draft, to)
        except FileExistsError as error:
            raise Refused(f"“{to}” is there already. Choose another name.") from error
    if os.name == "posix":
        folder = os.open(to.parent, os.O_RDONLY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)


def _name_anew(draft: Path, to: Path) -> None:
    """Rename without ever replacing a file; raises FileExistsError."""
    if os.name == "nt":
        draft.rename(to)
        return
    try:
        os.link(draft, to)
    except FileExistsError:
        raise
    except OSError:  # a disk without second names for a file
        if to.exists():
            raise FileExistsError(str(to)) from None
        draft.rename(to)
        return
    draft.unlink()
