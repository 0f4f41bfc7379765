"""What a key does to a row map at a slot's place. No Qt here."""

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

from core.app.views import AlbumView
from core.arrange.row_map import (
    Place,
    break_leaf,
    break_row,
    join_leaf,
    join_row,
    put_spacer,
    take_spacer,
)
from core.model.album import SlotId
from core.model.arrangement import RowMap

if TYPE_CHECKING:
    from core.app.operations import Operation

MapStep = Callable[[RowMap, Place], RowMap]
BEYOND = "This slot stands beyond the map; add places for it in the Shape panel."


def place_of(view: AlbumView, slot: SlotId) -> Place | None:
    """Leaf, row and place from 0; None beyond the map."""
    leaf, row, place = view.places[slot]
    is_beyond = leaf > len(view.album.arrangement.row_map)
    return None if is_beyond else (leaf - 1, row - 1, place - 1)


def spacer_put(row_map: RowMap, at: Place) -> RowMap:
    """A spacer before the place."""
    return put_spacer(row_map, *at)


def spacer_taken(row_map: RowMap, at: Place) -> RowMap:
    """Without the spacer before the place."""
    return take_spacer(row_map, *at)


def row_toggled(row_map: RowMap, at: Place) -> RowMap:
    """A new row begins at the place; where one does, it joins the row above."""
    return join_row(row_map, *at) if at[2] == 0 else break_row(row_map, *at)


def leaf_toggled(row_map: RowMap, at: Place) -> RowMap:
    """A new leaf begins at the place; where one does, it joins the leaf before."""
    return join_leaf(row_map, *at) if at[1:] == (0, 0) else break_leaf(row_map, *at)


def map_changed(view: AlbumView, slot: SlotId, step: MapStep) -> "Operation | str":
    """The order that edits the album's map at a slot; why not, where it cannot be."""
    from core.app.operations import rearrange_album

    place = place_of(view, slot)
    if place is None:
        return BEYOND
    shape = view.album.arrangement
    row_map = step(shape.row_map, place)
    if row_map == shape.row_map:
        return "Nothing can be changed there."
    return rearrange_album(view.album.id, replace(shape, row_map=row_map))


def misfit_text(view: AlbumView) -> str:
    """How the album's map does not fit its slots; "" where it does, or there is no map."""
    from core.app.design import misfit_of

    found = misfit_of(view)
    return found.text if found is not None else ""
