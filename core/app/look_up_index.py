"""The albums ready to be asked where a coin would go: slots found by the issues they accept."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from operator import is_

from core.app.album_view import marked
from core.app.spares import SpareIndex
from core.app.spoken_for import SpokenFor, spoken_for
from core.app.views import AlbumView, SlotView
from core.lookup.line import OwnCodes, known_words
from core.lookup.parse import names_series
from core.model.album import AlbumId, AlbumKind
from core.model.issue import Series, SeriesId

MOST_ISSUES = 16
"""A coin that may be more than that is judged without the spares."""
_MOST_KEPT = 500
_Asked = tuple[SeriesId, int, tuple[AlbumId, ...]]
_Stand = tuple[object, ...]
ByIssue = Mapping[SeriesId, Mapping[int, Sequence[int]]]
"""Where in an album's order the slots are that accept an issue of a series."""


@dataclass(slots=True)
class LookUpIndex:
    """What look-up asks, kept from key to key; slots are found by the issues they accept.

    `views` gives the albums, in shelf order, that take coins of a series, with their marks or
    without: `marked` adds those of one slot. `spares` gives the series' spares; `series` are those
    of the collection, `others` what else a line may name; `codes` are own reference codes of
    varieties.
    """

    views: Callable[[SeriesId], Sequence[AlbumView]]
    spares: Callable[[SeriesId], SpareIndex]
    series: Sequence[Series]
    others: Sequence[Series] = ()
    codes: OwnCodes = field(default_factory=dict)
    _found: dict[AlbumId, tuple[AlbumView, ByIssue]] = field(default_factory=dict, repr=False)
    _spoken: dict[_Asked, tuple[_Stand, SpokenFor]] = field(default_factory=dict, repr=False)

    def slots_for(self, view: AlbumView, series: Series, mask: int) -> Iterator[SlotView]:
        """An album's slots that accept one of these issues at least, once each."""
        kept, by_series = self._found.get(view.album.id, (None, {}))
        if kept is None or kept.leaves is not view.leaves:  # else only marks are new: `renewed`
            by_series = _by_issue(view)
            self._found[view.album.id] = view, by_series
        here = by_series.get(series.id)
        if not here:
            return
        found: dict[int, None] = {}
        while mask:
            low = mask & -mask
            found |= dict.fromkeys(here.get(low.bit_length() - 1, ()))
            mask ^= low
        yield from map(view.slots.__getitem__, found)

    def marked(self, view: AlbumView, shown: SlotView) -> SlotView:
        """A slot of an album with its marks."""
        return marked(view, shown.slot.id, self.spares(view.series_of(shown.slot).id))

    def spoken_for(self, views: Sequence[AlbumView], series: Series, mask: int) -> SpokenFor:
        """Which slots of these albums are spoken for by spares of these issues.

        What is known of a coin in little more than its series is not asked: nothing is then.
        """
        if mask.bit_count() > MOST_ISSUES:
            return SpokenFor({})
        holders = [v for v in views if v.album.kind is AlbumKind.HOLDER]
        spares = self.spares(series.id)
        asked = series.id, mask, tuple(v.album.id for v in holders)
        stand = (spares, spares.changes, *holders)
        kept = self._spoken.get(asked)
        if kept is not None and _is_same(kept[0], stand):
            return kept[1]
        if len(self._spoken) >= _MOST_KEPT:
            self._spoken.clear()
        slots = [(s.slot, s.coin) for v in holders for s in self.slots_for(v, series, mask)]
        found = spoken_for(series, slots, spares, mask)
        self._spoken[asked] = stand, found
        return found

    def warm_up(self) -> None:
        """Read the words of every series once, so that no key waits for them."""
        every = [*self.series, *self.others]
        known_words(every)
        names_series(["1900"], every)


def _is_same(one: _Stand, other: _Stand) -> bool:
    """Whether it is the very same spares, renewed as often, and the very same views."""
    return len(one) == len(other) and all(map(is_, one, other))


def among(views: Sequence[AlbumView]) -> Callable[[SeriesId], Sequence[AlbumView]]:
    """Of these albums those that take coins of a series."""
    return lambda series: [v for v in views if series in {one.id for one in v.all_series}]


def _by_issue(view: AlbumView) -> ByIssue:
    found: dict[SeriesId, dict[int, list[int]]] = {}
    for at, shown in enumerate(view.slots):
        series = view.series_of(shown.slot)
        rows = found.setdefault(series.id, {})
        mask = series.may_be(shown.slot.accepts)
        while mask:
            low = mask & -mask
            rows.setdefault(low.bit_length() - 1, []).append(at)
            mask ^= low
    return found
