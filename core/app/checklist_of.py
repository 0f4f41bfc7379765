"""The checklist of an album as it is asked for: which list, of what day, grouped how."""

from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

from core.app.checklists import ListGroup, ListName, album_checklist, day_text, spares_checklist
from core.errors import Refused
from core.model.album import AlbumId
from core.printing.checklist import Checklist

if TYPE_CHECKING:
    from core.app.collection import Collection
    from core.store.store import Store


def checklist_of(
    collection: "Collection",
    store: "Store",
    album_id: AlbumId,
    which: ListName,
    as_of: date | None,
    group: ListGroup,
) -> Checklist:
    """A list of today, or of a day gone by.

    Raises Refused for the spares of a day gone by, which are not recorded.
    """
    today, is_spares = collection.today, which is ListName.SPARES
    if is_spares and as_of is not None and as_of < today:
        raise Refused(
            "What lay among the spares on a day gone by is not recorded. Ask for another list."
        )
    if as_of is None:
        view = collection.album_view(album_id)
    else:
        view = collection.album_view_on(album_id, as_of)
    if is_spares:
        with store.reading() as reader:
            groups = [group for one in view.all_series for group in reader.spare_groups(one.id)]
        spares = [(g.coin, g.count) for g in groups]
        title, known = view.album.name, view.all_series
        return spares_checklist(title, known, spares, today, collection.name, group)
    listing = album_checklist(view, which, as_of or today, collection.name, group)
    if as_of is not None:
        listing = replace(listing, day_text=f"as of {day_text(as_of)}")
    return listing
