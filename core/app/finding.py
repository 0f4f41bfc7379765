"""What fits where: the coins for a slot, and the slots of all albums for a coin. Pure."""

from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass
from enum import StrEnum

from core.app.slot_card import coin_text, gain_text
from core.app.spares import rank
from core.app.views import AlbumView, SlotView
from core.model.album import AlbumId, AlbumKind, SlotId, Wish
from core.model.coin import Coin, CoinId, CoinStatus
from core.model.fit import Fit, does_better, fit, needs_comparing, open_facets
from core.model.label import join_or
from core.model.state import SlotState

MOST_PLACES = 400
"""More slots than that are counted and not listed: nobody reads them."""
_EVERY = 2000


class Gain(StrEnum):
    """What a coin would do in a slot, from the best on; the value says it."""

    GAP = "fills the gap"
    UPGRADE = "upgrade"
    COMPARE = "compare by eye"
    NONE = "no gain"


_GAINS = tuple(Gain)


@dataclass(frozen=True, slots=True)
class FoundCoin:
    """A coin that fits a slot, or only may; `text` says what it would gain there."""

    coin: CoinId
    fit: Fit
    gain: Gain
    text: str


@dataclass(frozen=True, slots=True)
class SlotFinds:
    """Coins for one slot, the best for it first; `there` says what it holds now."""

    slot: SlotId
    album: AlbumId
    album_name: str
    label: str
    there: str
    coins: tuple[FoundCoin, ...]


@dataclass(frozen=True, slots=True)
class CoinPlace:
    """A slot that takes a coin: where it lies, its glyph, what is in it, what would be gained."""

    slot: SlotId
    album: AlbumId
    album_name: str
    label: str
    where: str
    code: int
    there: str
    fit: Fit
    gain: Gain
    text: str
    is_here: bool = False


@dataclass(frozen=True, slots=True)
class CoinPlaces:
    """The slots for a coin, those it would gain most in first; `left_out` are counted only."""

    coin: Coin
    places: tuple[CoinPlace, ...]
    left_out: int = 0


def _nothing() -> None:
    """Nobody asks to stop."""


def coins_for_slot(
    view: AlbumView,
    slot_id: SlotId,
    coins: Iterable[Coin],
    placed: Collection[CoinId] = frozenset(),
    check: Callable[[], None] = _nothing,
) -> SlotFinds:
    """Held coins that fit a slot or may fit it: sure ones first, spares before placed ones.

    `placed` are coins that sit in some slot. `check` is called often and may raise to stop.
    """
    shown = view.by_id[slot_id]
    slot = shown.slot
    series = view.series_of(slot)
    told: dict[object, Fit] = {}
    met: list[tuple[tuple[object, ...], FoundCoin]] = []
    for number, coin in enumerate(coins):
        if number % _EVERY == 0:
            check()
        if coin.status is not CoinStatus.HELD or coin.description.series != series.id:
            continue
        if shown.coin is not None and shown.coin.id == coin.id:
            continue
        alike = coin.description, coin.varieties, coin.is_genuine
        how = told.get(alike)
        if how is None:
            how = told[alike] = fit(series, slot, coin)
        if how is Fit.DOES_NOT_FIT:
            continue
        gain, text = _gain(view, shown, coin, how)
        is_sure, is_placed = how is Fit.FITS, coin.id in placed
        order = (not is_sure, is_placed, _GAINS.index(gain), *rank(slot, coin))
        text = f"{text}, from its slot" if is_placed else text
        met.append((order, FoundCoin(coin.id, how, gain, text)))
    met.sort(key=lambda each: each[0])
    found = tuple(coin for _order, coin in met)
    album = view.album
    return SlotFinds(slot_id, album.id, album.name, slot.label, there_text(shown), found)


def places_for_coin(
    views: Iterable[AlbumView],
    coin: Coin,
    check: Callable[[], None] = _nothing,
    most: int = MOST_PLACES,
) -> CoinPlaces:
    """The slots of these albums that take a coin or may take it; overviews hold none.

    Sure ones first, in each the gaps, then upgrades; alike ones as on the shelf.
    """
    found: list[CoinPlace] = []
    for view in views:
        if view.album.kind is not AlbumKind.HOLDER:
            continue
        for number, shown in enumerate(view.slots):
            if number % _EVERY == 0:
                check()
            if shown.slot.accepts.series != coin.description.series:
                continue
            how = fit(view.series_of(shown.slot), shown.slot, coin)
            if how is not Fit.DOES_NOT_FIT:
                found.append(_place(view, shown, coin, how))
    found.sort(key=lambda p: (not p.is_here, p.fit is not Fit.FITS, _GAINS.index(p.gain)))
    return CoinPlaces(coin, tuple(found[:most]), max(0, len(found) - most))


def _place(view: AlbumView, shown: SlotView, coin: Coin, how: Fit) -> CoinPlace:
    slot, album = shown.slot, view.album
    is_here = shown.coin is not None and shown.coin.id == coin.id
    gain, text = (Gain.NONE, "it is here") if is_here else _gain(view, shown, coin, how)
    return CoinPlace(
        slot.id,
        album.id,
        album.name,
        slot.label,
        view.place_text(slot.id),
        shown.code,
        there_text(shown),
        how,
        gain,
        text,
        is_here,
    )


def _gain(view: AlbumView, shown: SlotView, coin: Coin, how: Fit) -> tuple[Gain, str]:
    """What a coin would gain, as one of few and in words."""
    slot, held = shown.slot, shown.coin
    series = view.series_of(slot)
    if how is Fit.MAY_FIT:
        asked = join_or(list(open_facets(series, slot, coin))).replace(" or ", " and ")
        gain = Gain.GAP if held is None and slot.wish is not Wish.SKIPPED else Gain.NONE
        return gain, f"may fit: {asked} not known" if asked else "may fit"
    if slot.wish is Wish.SKIPPED:
        return Gain.NONE, "you skip this slot"
    if held is not None and needs_comparing(slot, held, coin):
        return Gain.COMPARE, gain_text(series, shown, coin)
    if not does_better(series, slot, held, coin):
        return Gain.NONE, gain_text(series, shown, coin)
    gain = Gain.GAP if held is None else Gain.UPGRADE
    text = gain_text(series, shown, coin)
    if gain is Gain.GAP and text != str(Gain.GAP):
        text = f"{Gain.GAP}, {text}"
    return gain, f"{text}, pinned" if slot.is_pinned else text


def there_text(shown: SlotView) -> str:
    """What a slot holds now: a gap; on order; VF-20, below target."""
    if shown.coin is None:
        return "a gap" if shown.state is SlotState.GAP else str(shown.state)
    return f"{coin_text(shown.coin)}, {shown.state}"
