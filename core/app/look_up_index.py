"""The albums ready to be asked where a coin would go: slots found by the issues they accept."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from core.app.spares import SpareIndex
from core.app.views import AlbumView, SlotView
from core.lookup.line import OwnCodes, known_words
from core.lookup.parse import names_series
from core.model.album import AlbumId, SlotId
from core.model.issue import Series, SeriesId

ByIssue = Mapping[SeriesId, Mapping[int, Sequence[SlotView]]]


@dataclass(slots=True)
class LookUpIndex:
    """What look-up asks, kept from key to key; slots are found by the issues they accept.

    `views` gives the albums, as drawn and in shelf order, that take coins of a series; `spares`
    its spares; `series` are those of the collection, `others` what else a line may name; `codes`
    are own reference codes of varieties.
    """

    views: Callable[[SeriesId], Sequence[AlbumView]]
    spares: Callable[[SeriesId], SpareIndex]
    series: Sequence[Series]
    others: Sequence[Series] = ()
    codes: OwnCodes = field(default_factory=dict)
    _found: dict[AlbumId, tuple[AlbumView, ByIssue]] = field(default_factory=dict, repr=False)

    def slots_for(self, view: AlbumView, series: Series, mask: int) -> Iterator[SlotView]:
        """An album's slots that accept one of these issues at least, once each."""
        kept, by_series = self._found.get(view.album.id, (None, {}))
        if kept is not view:
            by_series = _by_issue(view)
            self._found[view.album.id] = view, by_series
        here = by_series.get(series.id)
        if not here:
            return
        found: dict[SlotId, SlotView] = {}
        while mask:
            low = mask & -mask
            found |= {s.slot.id: s for s in here.get(low.bit_length() - 1, ())}
            mask ^= low
        yield from found.values()

    def warm_up(self) -> None:
        """Read the words of every series once, so that no key waits for them."""
        every = [*self.series, *self.others]
        known_words(every)
        names_series(["1900"], every)


def among(views: Sequence[AlbumView]) -> Callable[[SeriesId], Sequence[AlbumView]]:
    """Of these albums those that take coins of a series."""
    return lambda series: [v for v in views if series in {one.id for one in v.all_series}]


def _by_issue(view: AlbumView) -> ByIssue:
    found: dict[SeriesId, dict[int, list[SlotView]]] = {}
    for shown in view.slots:
        series = view.series_of(shown.slot)
        rows = found.setdefault(series.id, {})
        mask = series.may_be(shown.slot.accepts)
        while mask:
            low = mask & -mask
            rows.setdefault(low.bit_length() - 1, []).append(shown)
            mask ^= low
    return found
