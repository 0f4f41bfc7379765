"""An album through time: the leaf as of a past day, and what changed since one. Pure.

A coin stands in a slot at a day's end when it came in on that day or before and left after it: one
that comes out on a day no longer stands there at that day's end. Targets, wishes and arrangement
are today's. What was among the spares or on order is not recorded, so no past view speaks of it.
"""

from bisect import bisect_right
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from enum import StrEnum

from core.app.album_view import headline, leaf_plan, slot_view
from core.app.spares import best_of_series
from core.app.views import AlbumView, SlotView
from core.model.album import AlbumKind, Placement, SlotId
from core.model.coin import Coin, CoinId, Origin
from core.model.fit import does_better


class SlotChange(StrEnum):
    """What became of a slot since a day."""

    NEW = "new"
    BETTER = "better"
    OTHER = "other coin"
    OUT = "out"
    MOVED_THROUGH = "in and out"


class CameBy(StrEnum):
    """How a slot's coin came, as far as found against bought goes."""

    FOUND = "found"
    BOUGHT = "bought"
    OTHER = "other"


def origin_of(coin: Coin) -> CameBy:
    """Found, bought, or other: given, already owned, not known."""
    match coin.origin:
        case Origin.FOUND:
            return CameBy.FOUND
        case Origin.BOUGHT:
            return CameBy.BOUGHT
    return CameBy.OTHER


def days_of(stays: Iterable[Placement]) -> tuple[date, ...]:
    """The days on which a stay began or ended, ascending, each once."""
    days = {stay.since for stay in stays}
    days |= {stay.until for stay in stays if stay.until is not None}
    return tuple(sorted(days))


def stands_on(stay: Placement, day: date) -> bool:
    """Whether the coin stood in the slot at the day's end."""
    return stay.since <= day and (stay.until is None or stay.until > day)


def changed_after(stay: Placement, day: date) -> bool:
    """Whether the stay began or ended after the day."""
    return stay.since > day or (stay.until is not None and stay.until > day)


class AlbumPast:
    """An album's whole past, read once; any day's view needs no more reading.

    `present` is the album as it is now. `stays` are all that the view is made of: those in the
    album's own slots, or for an overview, which holds none, those of its series' coins anywhere:
    as of a day it shows the best of the coins that sat in some album then.
    """

    def __init__(
        self,
        present: AlbumView,
        stays: Sequence[Placement],
        coins: Mapping[CoinId, Coin],
        today: date,
    ) -> None:
        self.present = present
        self.days = days_of(stays)
        """The days on which something came or went, ascending."""
        self._stays = sorted(stays, key=lambda stay: (stay.since, stay.id))
        self._begins = [stay.since for stay in self._stays]
        self._coins = coins
        self._today = today
        self._is_overview = present.album.kind is AlbumKind.OVERVIEW
        self._seen: dict[tuple[SlotId, CoinId | None], SlotView] = {}

    def view_on(self, day: date) -> AlbumView:
        """The album at the day's end; from today on it is the album as it is."""
        if day >= self._today and (not self.days or day >= self.days[-1]):
            return self.present
        return self.view_with(self.coins_on(day))

    @property
    def stays(self) -> Sequence[Placement]:
        """All stays, by the day they began."""
        return self._stays

    def coin(self, number: CoinId) -> Coin:
        """A coin of one of the stays, as it is known now."""
        return self._coins[number]

    def view_with(self, standing: Mapping[SlotId, Coin]) -> AlbumView:
        """The album with these coins in its slots, all others empty."""
        now = self.present
        views = tuple(self._view(seen, standing.get(seen.slot.id)) for seen in now.slots)
        return AlbumView(
            now.album,
            now.series,
            views,
            now.leaves,
            leaf_plan(now.album.name, now.leaves, views, now.album.arrangement),
            headline(views),
            {view.slot.id: view for view in views},
            now.places,
            now.others,
        )

    def _view(self, now: SlotView, coin: Coin | None) -> SlotView:
        """A slot with the coin of then; made once for each coin that ever stood there."""
        key = now.slot.id, coin.id if coin else None
        view = self._seen.get(key)
        if view is None:
            shape = self.present.album.arrangement
            view = slot_view(self.present.series_of(now.slot), now.slot, coin, None, None, shape)
            self._seen[key] = view
        return view

    def coins_on(self, day: date) -> dict[SlotId, Coin]:
        """The coin that stood in each slot at the day's end; empty slots are left out."""
        begun = self._stays[: bisect_right(self._begins, day)]
        standing = [stay for stay in begun if stands_on(stay, day)]
        if self._is_overview:
            coins = [self._coins[number] for number in dict.fromkeys(s.coin for s in standing)]
            return best_of_series(
                self.present.all_series, coins, [s.slot for s in self.present.slots]
            )
        return {stay.slot: self._coins[stay.coin] for stay in standing}

    def slot_of(self, coin: CoinId, day: date) -> SlotId | None:
        """The slot in which a coin stood at the day's end, as far as the album's stays tell."""
        mine = (stay for stay in self._stays if stay.coin == coin and stands_on(stay, day))
        return next((stay.slot for stay in mine), None)

    def changed_since(self, day: date, until: date = date.max) -> dict[SlotId, SlotChange]:
        """What became of each slot in which a stay began or ended after the day.

        Up to the end of another day, only of those whose coin is another then.
        """
        before, after = self.coins_on(day), self.coins_on(until)
        if self._is_overview or until != date.max:
            touched = {s for s in {*before, *after} if before.get(s) != after.get(s)}
        else:
            touched = {stay.slot for stay in self._stays if changed_after(stay, day)}
        return {
            seen.slot.id: self._change(seen, before.get(seen.slot.id), after.get(seen.slot.id))
            for seen in self.present.slots
            if seen.slot.id in touched
        }

    def _change(self, seen: SlotView, before: Coin | None, after: Coin | None) -> SlotChange:
        if before == after:
            return SlotChange.MOVED_THROUGH
        if before is None:
            return SlotChange.NEW
        if after is None:
            return SlotChange.OUT
        is_better = does_better(self.present.series_of(seen.slot), seen.slot, before, after)
        return SlotChange.BETTER if is_better else SlotChange.OTHER
