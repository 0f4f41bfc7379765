"""The entries of the shelf: albums, and volumes of one title that stand together. Pure."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from core.model.album import Album, AlbumId


@dataclass(frozen=True, slots=True)
class ShelfEntry:
    """One entry of the shelf: an album, or the volumes of one title in their order."""

    title: str
    albums: tuple[Album, ...]

    @property
    def is_run(self) -> bool:
        """Whether it is several volumes."""
        return len(self.albums) > 1


def shelf_entries(albums: Iterable[Album]) -> tuple[ShelfEntry, ...]:
    """The entries of the shelf, from the top: albums of one volumes title that stand together."""
    entries: list[ShelfEntry] = []
    for title, group in groupby(albums, key=lambda album: album.volumes):
        if title:
            entries.append(ShelfEntry(title, tuple(group)))
        else:
            entries += [ShelfEntry(album.name, (album,)) for album in group]
    return tuple(entries)


def kept_together(albums: Sequence[Album]) -> list[Album]:
    """The same order with the volumes of each title behind the first of them that stands there."""
    runs: dict[str, list[Album]] = {}
    for album in albums:
        runs.setdefault(album.volumes or f"\n{album.id}", []).append(album)
    return [album for run in runs.values() for album in run]


def moved_entry(
    albums: Sequence[Album], album_id: AlbumId, down: int, *, whole: bool = False
) -> tuple[AlbumId, ...]:
    """The shelf's order with an album one place up or down (`down` -1 or 1).

    A volume moves within its run; at the run's end, or with `whole`, the run moves past an entry.
    """
    entries = list(shelf_entries(albums))
    at = next((n for n, e in enumerate(entries) if album_id in [a.id for a in e.albums]), -1)
    if at < 0:
        return tuple(album.id for album in albums)
    here = list(entries[at].albums)
    place = [album.id for album in here].index(album_id)
    if not whole and 0 <= place + down < len(here):
        here.insert(place + down, here.pop(place))
        entries[at] = replace(entries[at], albums=tuple(here))
    elif 0 <= at + down < len(entries):
        entries.insert(at + down, entries.pop(at))
    return tuple(album.id for entry in entries for album in entry.albums)
