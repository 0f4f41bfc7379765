"""The slots that a coin fits or may fit, for the menu that puts it there. No Qt here."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from core.app.views import SlotView
from core.model.album import AlbumKind, SlotId, Wish
from core.model.coin import Coin
from core.model.fit import Fit, fit, improves
from core.model.state import SlotState

if TYPE_CHECKING:
    from core.app.collection import Collection

MOST = 14


@dataclass(frozen=True, slots=True)
class Place:
    """One slot for a coin: its album and label, what is there, and how the coin would do."""

    slot: SlotId
    text: str
    code: int
    is_sure: bool
    is_better: bool


def places_for(collection: "Collection", coin: Coin) -> list[Place]:
    """Slots that a coin fits, then those it may fit; within each the ones it improves first."""
    found = []
    for album in collection.albums():
        if album.series != coin.description.series or album.kind is not AlbumKind.HOLDER:
            continue
        view = collection.album_view(album.id)
        for shown in view.slots:
            how = fit(view.series, shown.slot, coin)
            is_here = shown.coin is not None and shown.coin.id == coin.id
            if how is Fit.DOES_NOT_FIT or is_here or shown.slot.wish is Wish.SKIPPED:
                continue
            is_better = improves(view.series, shown.slot, shown.coin, coin)
            text = f"{album.name}, {shown.label}: {_what(shown)}"
            found.append(Place(shown.slot.id, text, shown.code, how is Fit.FITS, is_better))
    found.sort(key=lambda place: (not place.is_sure, not place.is_better))
    return found[:MOST]


def _what(view: SlotView) -> str:
    if view.state is SlotState.GAP:
        return "a gap"
    if view.coin is None:
        return str(view.state)
    return f"{view.state}, {view.held_text}" if view.held_text else str(view.state)
