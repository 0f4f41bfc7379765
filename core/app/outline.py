"""What a collection file is, in a few figures: to choose among copies."""

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from core.store.store import Store, open_store


@dataclass(frozen=True, slots=True)
class Outline:
    """A file's name, albums from the top of the shelf, coins, and when it was changed last.

    `changed` is in UTC; None for a collection in which nothing was done yet.
    """

    path: Path
    name: str
    albums: tuple[str, ...]
    coins: int
    changed: datetime | None


def outline_of(store: Store) -> Outline:
    """The outline of an opened file."""
    newest = store.history(1)
    with store.reading() as reader:
        return Outline(
            store.path,
            reader.name(),
            tuple(album.name for album in reader.albums()),
            reader.coin_count(),
            newest[0].at if newest else None,
        )


def outline_of_file(path: Path) -> Outline:
    """The outline of a file that is not open; raises FileTrouble where it is no collection."""
    store = open_store(path, read_only=True, verify=False)
    try:
        return outline_of(store)
    finally:
        store.close()
