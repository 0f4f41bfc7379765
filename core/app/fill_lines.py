"""A fill proposal as lines in words: album, slot, coin, what leaves, and why."""

from collections.abc import Iterable
from dataclasses import dataclass

from core.app.collection import Collection
from core.app.slot_card import coin_text
from core.fill.proposal import Proposal
from core.model.album import AlbumId, SlotId
from core.model.coin import CoinId


@dataclass(frozen=True, slots=True)
class FillLine:
    """One move in words."""

    album_id: AlbumId
    slot: SlotId
    coin: CoinId
    album: str
    label: str
    coin_text: str
    from_text: str
    leaving_text: str
    aim: str
    reason: str


def fill_lines(collection: Collection, proposal: Proposal) -> list[FillLine]:
    """The moves of a proposal, in the order of the shelf and the albums."""
    names = {album.id: album.name for album in collection.albums()}
    numbers = _numbers((m.coin, m.leaving) for m in proposal.moves)
    coins = collection.coins_by_number(numbers)
    where = {slot: view for view in map(collection.album_view, names) for slot in view.by_id}
    lines = []
    for move in proposal.moves:
        view = where[move.slot]
        source = where.get(move.from_slot) if move.from_slot is not None else None
        lines.append(
            FillLine(
                view.album.id,
                move.slot,
                move.coin,
                names[view.album.id],
                view.by_id[move.slot].slot.label,
                f"{coin_text(coins[move.coin])} (coin {move.coin})",
                f"from {source.album.name}, {source.by_id[move.from_slot].slot.label}"
                if source is not None and move.from_slot is not None
                else "",
                coin_text(coins[move.leaving]) if move.leaving is not None else "",
                move.aim.value,
                move.reason,
            )
        )
    return lines


def _numbers(pairs: Iterable[tuple[CoinId, CoinId | None]]) -> set[CoinId]:
    return {number for pair in pairs for number in pair if number is not None}


@dataclass(frozen=True, slots=True)
class CompareLine:
    """A slot's coin and a spare that only the eye can judge, in words."""

    album_id: AlbumId
    slot: SlotId
    newcomer: CoinId
    album: str
    label: str
    held_text: str
    newcomer_text: str
    reason: str


def compare_lines(collection: Collection, proposal: Proposal) -> list[CompareLine]:
    """What a proposal leaves to the eye, in the order of the shelf and the albums."""
    names = {album.id: album.name for album in collection.albums()}
    where = {slot: view for view in map(collection.album_view, names) for slot in view.by_id}
    coins = collection.coins_by_number(_numbers((c.held, c.newcomer) for c in proposal.compares))
    lines = []
    for pair in proposal.compares:
        view = where[pair.slot]
        held, newcomer = coins[pair.held], coins[pair.newcomer]
        more = f"; {pair.others} more like it" if pair.others else ""
        lines.append(
            CompareLine(
                view.album.id,
                pair.slot,
                pair.newcomer,
                names[view.album.id],
                view.by_id[pair.slot].slot.label,
                f"{coin_text(held)} (coin {held.id})",
                f"{coin_text(newcomer)} (coin {newcomer.id})",
                f"One of the two has no grade, so only the eye can tell{more}.",
            )
        )
    return lines
