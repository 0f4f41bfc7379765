"""What the database says, in words a collector can act on."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy.exc import DBAPIError

from core.errors import BadEntry, CollectionError, FileTrouble, ReadOnly, Refused

# Constraint, as SQLite names it in its message, to what it means.
_RULES = {
    "placement.slot_id": "That slot already holds a coin. Take it out first, or swap them.",
    "placement.coin_id": "That coin already sits in a slot. Take it out there first.",
    "reservation.slot_id": "Another ordered coin is already meant for that slot. Let it go first.",
    "reservation.coin_id": "That ordered coin is already meant for another slot. Let it go first.",
    "series.code": "This collection already holds a series of that name.",
    "ck_placement_order": (
        "A coin cannot leave a slot before the day it came in. Choose a later day."
    ),
    "ck_coin_quantity": "A lot holds at least one coin. Enter a quantity of 1 or more.",
}
_RULES_BY_KIND = {
    "SQLITE_CONSTRAINT_FOREIGNKEY": (
        "This change names a coin, slot, album or series that is not in the collection, or takes "
        "away one that is still in use. Look again what is there, then repeat the change."
    ),
    "SQLITE_CONSTRAINT_NOTNULL": "Something that must be known was left empty. Fill it in.",
}


def _file_trouble(name: str, path: Path) -> CollectionError | None:
    """The error for SQLite's name of an error kind, None for a mistake of the program."""
    match name.split("_")[1] if "_" in name else "":
        case "FULL":
            return FileTrouble(
                f"The disk that holds “{path}” is full. Nothing was changed; make room, then "
                "repeat the change."
            )
        case "BUSY" | "LOCKED" | "PROTOCOL":
            return FileTrouble(
                f"“{path}” is in use by another program. Nothing was changed; try again in a "
                "moment."
            )
        case "READONLY" | "PERM" | "AUTH":
            return ReadOnly(
                f"“{path}” can be read but not written. Nothing was changed; allow writing to the "
                "file and its folder, or save a copy elsewhere."
            )
        case "NOTADB":
            return FileTrouble(f"“{path}” is not a Slotleaf collection. Choose another file.")
        case "CORRUPT":
            return FileTrouble(damaged(path))
        case "IOERR":
            return FileTrouble(
                f"The disk reported an error at “{path}”. Nothing was changed; check the disk or "
                "the connection to it, then try again."
            )
        case "CANTOPEN":
            return FileTrouble(
                f"“{path}” cannot be opened. Check that it is still there and that you may read it."
            )
    return None


def damaged(path: Path) -> str:
    """What is said of a file whose contents do not hold together."""
    return (
        f"“{path}” is damaged and was left as it is. Open the newest of its daily copies, if there "
        f"is a folder “{path.stem} copies” beside it, or a copy of your own."
    )


def in_plain_words(error: sqlite3.Error, path: Path) -> CollectionError | None:
    """The error to show for a database error, None for a mistake of the program itself."""
    name = getattr(error, "sqlite_errorname", "") or ""
    if isinstance(error, sqlite3.IntegrityError):
        said = str(error)
        for rule, words in _RULES.items():
            if said.endswith(f"failed: {rule}"):
                return Refused(words)
        words = _RULES_BY_KIND.get(name, "")
        return Refused(words) if words else None
    if not name and isinstance(error, sqlite3.DatabaseError) and "not a database" in str(error):
        name = "SQLITE_NOTADB"
    return _file_trouble(name, path)


@contextmanager
def plain_words(path: Path) -> Iterator[None]:
    """Let database errors leave the block as errors fit to show; others travel on unchanged."""
    try:
        yield
    except DBAPIError as error:
        if isinstance(error.orig, sqlite3.Error):
            plain = in_plain_words(error.orig, path)
            if plain is not None:
                raise plain from error
        raise
    except sqlite3.Error as error:
        plain = in_plain_words(error, path)
        if plain is not None:
            raise plain from error
        raise
    except UnicodeEncodeError as error:
        raise BadEntry(
            "The text holds half of a character, which cannot be kept. Type it again."
        ) from error
    except OverflowError as error:
        raise BadEntry("That number is too large to be kept. Enter a smaller one.") from error
