"""What an edit elsewhere means for a fill under way: a few coins to solve anew, or all. No Qt."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from core.app.changes import Changes
from core.model.coin import Coin, CoinId
from gui.fill.lines import FillTask

if TYPE_CHECKING:
    from core.app.collection import Collection

_MOST_COINS = 100
"""More edited coins than these are read anew with all others."""


@dataclass(frozen=True, slots=True)
class Edits:
    """Coins that are now so, None for one that is gone; and the task with the albums as now."""

    task: FillTask
    coins: Mapping[CoinId, Coin | None]


def are_few(changes: Changes) -> bool:
    """Whether only what is known of a few coins may have changed."""
    is_shape = changes.is_shelf or changes.is_reshaped or changes.is_everything
    return not is_shape and 0 < len(changes.coins) <= _MOST_COINS


def read_edits(collection: "Collection", task: FillTask, changes: Changes) -> Edits | None:
    """The edited coins; None where a slot changed, or what sits in it."""
    given = task.given
    by_id = {slot.id: slot for slot in given.slots}
    views = {album: collection.album_view(album) for album in given.albums}
    now = {view.slot.id: view for album in views.values() for view in album.slots}
    for slot in changes.slots & by_id.keys():
        if slot not in now or now[slot].slot != by_id[slot]:
            return None
    home = {coin: slot for slot, coin in given.placed.items()}
    read = collection.coins_by_number(changes.coins)
    coins: dict[CoinId, Coin | None] = {}
    for number in changes.coins:
        sits_in = collection.slot_of_coin(number) if number in read else None
        if (sits_in.id if sits_in and sits_in.id in by_id else None) != home.get(number):
            return None
        is_elsewhere = sits_in is not None and sits_in.id not in by_id
        coins[number] = None if is_elsewhere else read.get(number)
    held = {v.coin.id: v.coin for view in views.values() for v in view.slots if v.coin is not None}
    spoken_of = {n: coin for n, coin in task.coins.items() if n not in changes.coins}
    return Edits(replace(task, views=views, coins={**spoken_of, **held}), coins)
