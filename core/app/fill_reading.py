"""What Fill works on, read from an opened collection."""

from collections.abc import Callable, Sequence

from core.fill.collecting import no_collecting
from core.fill.offers import Known
from core.fill.spares import SpareKind, SpareLook, Spares
from core.fill.value import FillInput
from core.model.album import AlbumId, AlbumKind, SlotId
from core.model.coin import CoinId
from core.model.issue import Series, SeriesId
from core.store.read import Reader


def read_fill(
    reader: Reader,
    series_of: Callable[[SeriesId], Series],
    albums: Sequence[AlbumId],
    uncapped: bool,
    barred: frozenset[tuple[SlotId, CoinId]],
    known: Known | None,
) -> FillInput:
    """The chosen albums (all holders for none), in shelf order, with all that may go into them.

    `known` is what was kept of the last fill; it is taken up where it still serves.
    """
    with no_collecting():
        chosen = [
            a
            for a in reader.albums()
            if (not albums or a.id in albums) and a.kind is AlbumKind.HOLDER
        ]
        slots = [slot for album in chosen for slot in reader.slots(album.id)]
        codes = {slot.accepts.series for slot in slots}
        here = {s: c for album in chosen for s, c in reader.coins_in_album(album.id).items()}
        spares = reader.spares_as_columns(codes)
        kinds = list(map(SpareKind._make, spares.kinds))
        looks = list(map(SpareLook._make, spares.looks))
    columns = spares.number, spares.quantity, spares.kind_of, spares.look_of
    series = {code: series_of(code) for code in codes}
    if known is None or not known.serves(series, uncapped):
        known = Known(series, uncapped)
    return FillInput(
        series=series,
        albums=tuple(a.id for a in chosen),
        slots=tuple(slots),
        coins=tuple(here.values()),
        placed={slot: coin.id for slot, coin in here.items()},
        uncapped=uncapped,
        barred=barred,
        spares=Spares(*columns, kinds, looks),
        known=known,
    )
