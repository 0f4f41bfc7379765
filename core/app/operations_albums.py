"""The shelf's order and the notes of albums; other operations are in `core/app/operations.py`."""

from collections.abc import Sequence
from dataclasses import replace

from core.app.changes import Changes
from core.app.order import Context, Operation
from core.app.shelf_entries import kept_together
from core.errors import Refused
from core.model.album import AlbumId
from core.store.unit import Unit


def order_albums(order: Sequence[AlbumId]) -> Operation:
    """Put the shelf in this order, from the top; albums that are not named follow as they stood.

    Volumes of one title stay together, where the first of them stands then.
    Raises NotFound for an album that is not there, Refused where one is named twice.
    """

    def work(unit: Unit, _context: Context) -> Changes:
        albums = {a.id: a for a in unit.read.albums()}
        if len(set(order)) < len(order):
            raise Refused("An album stands twice in that order; name each once.")
        named = [albums.get(a) or unit.read.album(a) for a in order]
        rest = [a for a in albums.values() if a.id not in set(order)]
        ordered = kept_together([*named, *rest])
        moved = [(place, a) for place, a in enumerate(ordered) if a.shelf != place]
        for place, album in moved:
            unit.update_album(replace(album, shelf=place))
        return Changes(is_shelf=True, albums=frozenset(a.id for _, a in moved))

    return Operation("order the shelf", work)


def set_album_note(album_id: AlbumId, note: str) -> Operation:
    """Write an album's note."""

    def work(unit: Unit, _context: Context) -> Changes:
        album = unit.read.album(album_id)
        if note.strip() != album.note:
            unit.update_album(replace(album, note=note.strip()))
        return Changes(albums=frozenset([album_id]), is_shelf=True)

    return Operation("write the album's note", work)
