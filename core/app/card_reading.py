"""The card of a slot, read from an opened collection."""

from dataclasses import replace

from core.app.album_view import marked
from core.app.kept_views import KeptViews
from core.app.slot_card import slot_card
from core.app.views import Seat, SlotCard
from core.model.album import AlbumKind, SlotId
from core.store.read import Reader


def read_card(reader: Reader, kept: KeptViews, slot_id: SlotId) -> SlotCard:
    """Everything the card says of a slot; of the album's marks only the slot's own are asked."""
    slot = reader.slot(slot_id)
    placements = reader.placements_of_slot(slot_id)
    coins = reader.coins([p.coin for p in placements])
    view, spares = kept.view(slot.album, with_marks=False), kept.spares(slot.accepts.series)
    view = replace(view, by_id={**view.by_id, slot_id: marked(view, slot_id, spares)})
    card = slot_card(view, slot_id, spares, placements, coins, reader.own_codes())
    coin = view.by_id[slot_id].coin
    if coin is None or view.album.kind is not AlbumKind.OVERVIEW:
        return card
    at = reader.slot_of_coin(coin.id)
    return replace(card, seat=read_seat(reader, at.id if at else None))


def read_seat(reader: Reader, slot_id: SlotId | None) -> Seat:
    """Where the coin that an overview shows sits, in words; None: it is a spare."""
    if slot_id is None:
        return Seat()
    slot = reader.slot(slot_id)
    name = reader.album(slot.album).name
    return Seat(slot.album, slot_id, f"{slot.label} in {name}")
