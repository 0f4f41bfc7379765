"""Coins as rows of the table; what coins alike are is told once. Pure."""

from collections.abc import Callable, Iterable, Mapping

from core.app.compare import was_one_of
from core.app.views import CoinRow
from core.model.album import AlbumId
from core.model.coin import Coin, CoinId, CoinStatus
from core.model.issue import Series, SeriesId
from core.model.label import coin_name, varieties_text

_EVERY = 2000
_Told = tuple[str, str, int, str]


def coin_rows(
    coins: Iterable[Coin],
    where: Mapping[CoinId, tuple[AlbumId, str]],
    albums: Mapping[AlbumId, str],
    series_of: Callable[[SeriesId], Series],
    check: Callable[[], None],
) -> list[CoinRow]:
    """A row a coin, in their order; `where` are those in a slot, by album and label of the slot.

    `check` is called often and may raise to stop.
    """
    told: dict[object, _Told] = {}
    rows = []
    for number, coin in enumerate(coins):
        if number % _EVERY == 0:
            check()
        alike = coin.description, coin.varieties
        if alike not in told:
            told[alike] = _what(series_of(coin.description.series), coin)
        rows.append(_coin_row(coin, told[alike], where.get(coin.id), albums))
    return rows


def _what(series: Series, coin: Coin) -> _Told:
    """What a coin is: its series' title, its name, its place in the series, its varieties."""
    issues = series.may_be(coin.description)
    place = (issues & -issues).bit_length()
    return (
        series.title,
        coin_name(series, coin, was_one_of(coin.note)),
        place,
        varieties_text(series, coin),
    )


def _coin_row(
    coin: Coin, told: _Told, at: tuple[AlbumId, str] | None, albums: Mapping[AlbumId, str]
) -> CoinRow:
    title, text, place, varieties = told
    if coin.status is CoinStatus.HELD:
        state = "in an album" if at else ("lot" if coin.is_lot else "spare")
    else:
        state = str(coin.status)
    grade = coin.grade.text if coin.grade else ""
    where = f"{albums[at[0]]}, {at[1]}" if at else coin.place
    return CoinRow(coin, title, text, grade, state, where, (title, place, grade), varieties)
