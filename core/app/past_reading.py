"""An album's past, read from an opened collection."""

from datetime import date

from core.app.past import AlbumPast, days_of
from core.app.views import AlbumView
from core.model.album import AlbumId, AlbumKind
from core.model.coin import Coin, CoinId
from core.store.read import Reader


def read_past(reader: Reader, present: AlbumView, today: date) -> AlbumPast:
    """The whole past of an album that is shown; of an overview that of its series' coins."""
    if present.album.kind is AlbumKind.OVERVIEW:
        codes = [one.id for one in present.all_series]
        stays = [stay for code in codes for stay in reader.stays_of_series(code)]
        coins: dict[CoinId, Coin] = {}
        for code in codes:
            coins |= reader.coins_of_series_that_sat(code)
    else:
        stays = reader.stays_in_album(present.album.id)
        coins = reader.coins_that_sat(present.album.id)
    return AlbumPast(present, stays, coins, today)


def read_days(reader: Reader, album_id: AlbumId) -> tuple[date, ...]:
    """The days on which a coin came into or left an album, ascending, each once."""
    album = reader.album(album_id)
    if album.kind is AlbumKind.OVERVIEW:
        codes = {album.series, *(slot.accepts.series for slot in reader.slots(album_id))}
        return days_of(stay for code in codes for stay in reader.stays_of_series(code))
    return days_of(reader.stays_in_album(album_id))
