"""The albums' views, the spares and what look-up asks: kept as long as they are true.

Look-up is answered from albums without their marks and from the spares of the dates asked about,
so that the first answer after opening does not wait for what it does not tell.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from core.app.album_view import album_view
from core.app.changes import Changes
from core.app.series_shelf import SeriesShelf
from core.app.spares import SpareIndex, best_of_series
from core.app.views import AlbumView
from core.fill.collecting import no_collecting
from core.model.album import Album, AlbumId, AlbumKind, Slot
from core.model.coin import Coin
from core.model.issue import Description, Series, SeriesId
from core.store.read import Reader, SpareGroup
from core.store.store import Store

if TYPE_CHECKING:
    from core.app.look_up_index import LookUpIndex

_A_LITTLE = 200
"""Descriptions whose spares are read at a time, so that what is asked meanwhile need not wait."""


class KeptViews:
    """What was read of the albums and spares of a collection; `forget` after every change."""

    def __init__(self, store: Store, shelf: SeriesShelf) -> None:
        self._store, self._shelf = store, shelf
        self._spares: dict[SeriesId, SpareIndex] = {}
        self._marked: dict[AlbumId, AlbumView] = {}
        self._bare: dict[AlbumId, AlbumView] = {}
        """Views without marks, of albums that have none in `_marked`."""
        self._takers: dict[SeriesId, list[AlbumId]] = {}
        self._look_up: LookUpIndex | None = None

    # ---- asking -------------------------------------------------------------------------------

    def view(self, album_id: AlbumId, with_marks: bool = True) -> AlbumView:
        """An album as drawn; without marks it is there sooner."""
        kept = self._marked.get(album_id)
        if kept is None and not with_marks:
            kept = self._bare.get(album_id)
        if kept is not None:
            return kept
        with self._store.reading() as reader:
            view = self._read(reader, album_id, with_marks)
        if with_marks:
            self._marked[album_id] = view
            self._bare.pop(album_id, None)
        else:
            self._bare[album_id] = view
        return view

    def _read(self, reader: Reader, album_id: AlbumId, with_marks: bool) -> AlbumView:
        album = reader.album(album_id)
        slots = reader.slots(album_id)
        coins = reader.coins_in_album(album_id)
        ordered = reader.reserved_in_album(album_id)
        series, others = self._series_of(album, slots)
        known = (series, *others.values())
        spares = {s.id: self._whole_spares(s.id) for s in known} if with_marks else None
        if album.kind is AlbumKind.OVERVIEW:
            held = [coin for one in known for coin in reader.held_coins(one.id)]
            coins = best_of_series(known, held, slots)
        return album_view(album, series, slots, coins, ordered, spares, others)

    def _series_of(
        self, album: Album, slots: Sequence[Slot]
    ) -> tuple[Series, dict[SeriesId, Series]]:
        """An album's first series, and those of its other slots as they come."""
        codes = dict.fromkeys(slot.accepts.series for slot in slots)
        first = self._shelf.get(album.series)
        return first, {code: self._shelf.get(code) for code in codes if code != album.series}

    def spares(self, series_id: SeriesId) -> SpareIndex:
        """The spares of a series, read as they are asked for."""
        index = self._spares.get(series_id)
        if index is None:
            series, source = self._shelf.get(series_id), _Source(self._store, series_id)
            with self._store.reading() as reader:
                waiting = reader.descriptions_of(series_id)
            index = self._spares[series_id] = SpareIndex(series, (), waiting, source)
        return index

    def _whole_spares(self, series_id: SeriesId) -> SpareIndex:
        index = self.spares(series_id)
        index.read_all()
        return index

    def make_ready(self, album_id: AlbumId) -> bool:
        """Read a little of what an album's marks ask; whether all of it is there now."""
        if album_id in self._marked:
            return True
        series = self.view(album_id, with_marks=False).all_series
        return all(self.spares(one.id).read_some(_A_LITTLE) for one in series)

    def taking(self, series_id: SeriesId) -> list[AlbumView]:
        """The albums that take coins of a series, in shelf order, with or without marks."""
        taking = self._takers.get(series_id)
        if taking is None:
            with self._store.reading() as reader:
                here = reader.albums_of_series(series_id)
                taking = [album.id for album in reader.albums() if album.id in here]
            self._takers[series_id] = taking
        with no_collecting():
            return [self.view(album_id, with_marks=False) for album_id in taking]

    def look_up_index(self) -> "LookUpIndex":
        """What look-up asks, kept as long as the series are the same."""
        from core.app.look_up_index import LookUpIndex

        if self._look_up is None:
            with no_collecting(), self._store.reading() as reader:
                carried = tuple(self._shelf.in_use)
                here = {series.id for series in carried}
                others = [one for one in self._shelf.all_known() if one.id not in here]
                codes = reader.own_codes()
            self._look_up = LookUpIndex(self.taking, self.spares, carried, others, codes)
            self._look_up.warm_up()
        return self._look_up

    # ---- after a change -----------------------------------------------------------------------

    def forget(self, reader: Reader, changes: Changes, is_new_shelf: bool) -> None:
        """Drop or renew what a change touched; `is_new_shelf`: the series were read anew."""
        if changes.albums or changes.is_shelf:
            self._takers.clear()
        if is_new_shelf:
            self._look_up = None
        elif changes.is_codes and self._look_up is not None:
            self._look_up.codes = reader.own_codes()
        if changes.is_everything:
            self._spares.clear()
            self._marked.clear()
            self._bare.clear()
        places = {a.id: a.shelf for a in reader.albums()} if changes.is_shelf else {}
        touched = {d.series for d in changes.descriptions}
        for code in touched & set(self._spares):
            groups = reader.spare_groups(code, changes.descriptions)
            mine = [d for d in changes.descriptions if d.series == code]
            self._spares[code].renew(mine, kinds_of(groups))
        still_there = list(reader.coins(changes.coins).values()) if touched else []
        self._renew(self._marked, changes, still_there, self._spares, places)
        self._renew(self._bare, changes, still_there, {}, places)

    def _renew(
        self,
        views: dict[AlbumId, AlbumView],
        changes: Changes,
        still_there: Sequence[Coin],
        spares: Mapping[SeriesId, SpareIndex],
        places: Mapping[AlbumId, int],
    ) -> None:
        """Bring kept views up to date, or drop those of which more than spares changed."""
        from core.app.renewed import renewed, shows_any

        touched = {d.series for d in changes.descriptions}
        before = changes.coins - frozenset(changes.made_coins)
        for album_id, view in list(views.items()):
            if album_id in changes.albums:
                del views[album_id]
            elif touched & {one.id for one in view.all_series}:
                is_current = all(self._shelf.get(one.id) is one for one in view.all_series)
                if changes.is_shelf or not is_current or shows_any(view, before):
                    del views[album_id]
                else:
                    views[album_id] = renewed(view, changes.descriptions, still_there, spares)
            elif album_id in places and view.album.shelf != places[album_id]:
                moved = replace(view.album, shelf=places[album_id])
                views[album_id] = replace(view, album=moved)


class _Source:
    """Reads the spares of a series for an index that is not whole."""

    def __init__(self, store: Store, series_id: SeriesId) -> None:
        self._store, self._series = store, series_id

    def coins(self, descriptions: Collection[Description]) -> list[Coin]:
        with self._store.reading() as reader:
            return kinds_of(reader.spare_groups(self._series, descriptions))

    def counts(self, descriptions: Collection[Description]) -> Mapping[Description, int]:
        with self._store.reading() as reader:
            return reader.spare_counts(descriptions)


def kinds_of(groups: Iterable[SpareGroup]) -> list[Coin]:
    """One coin a kind of spare, its quantity how many are alike."""
    return [
        g.coin if g.coin.quantity == g.count else replace(g.coin, quantity=g.count) for g in groups
    ]
