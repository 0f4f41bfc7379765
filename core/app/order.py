"""What every operation is made of: its kind, what it is told, and the checks that many share."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from core.app.changes import Changes
from core.app.series_shelf import SeriesShelf
from core.errors import Refused
from core.model.album import AlbumId, AlbumKind, Slot, SlotId
from core.model.coin import Coin, CoinId, CoinStatus
from core.model.fit import Fit, fit
from core.model.issue import Series, SeriesId
from core.model.label import describe
from core.store.read import Reader
from core.store.unit import Unit


@dataclass(frozen=True, slots=True)
class Context:
    """What an operation may ask besides the file: the series, today's (local) date, and the time.

    `now` is aware.
    """

    series: SeriesShelf
    today: date
    now: datetime


@dataclass(frozen=True, slots=True)
class Operation:
    """An order: what undo calls it, and the work.

    `is_named`: the history names the slots too, where there are one or two.
    """

    label: str
    work: Callable[[Unit, Context], Changes]
    is_named: bool = False


def about(reader: Reader, changes: Changes) -> str:
    """What the history says of an operation: the labels of one or two slots, "" for more."""
    if len(changes.slots) > 2:
        return ""
    slots = reader.slots_by_ids(changes.slots).values()
    return ", ".join(slot.label for slot in sorted(slots, key=lambda slot: slot.position))


def require_fit(context: Context, slot: Slot, coin: Coin, called: str) -> None:
    """Refuse a coin that surely does not fit a slot, saying why."""
    reason = misfit(context.series.get, slot, coin)
    if reason:
        raise Refused(f"{called} does not fit slot {slot.label}: {reason}. Choose another slot.")


def misfit(series_of: Callable[[SeriesId], Series], slot: Slot, coin: Coin) -> str:
    """Why a coin surely does not fit a slot; "" where it fits or may fit."""
    series = series_of(slot.accepts.series)
    if fit(series, slot, coin) is not Fit.DOES_NOT_FIT:
        return ""
    if not coin.is_genuine:
        return "it is marked not genuine"
    if coin.description.series != series.id:
        return f"it is of another series, {series_of(coin.description.series).title}"
    if not series.may_be(coin.description) & series.may_be(slot.accepts):
        return f"it is {describe(series, coin.description)}"
    return "the variety that the slot asks for is ruled out on it"


def require_held(coin: Coin) -> None:
    """Refuse a coin that is not here to be placed."""
    if coin.status is not CoinStatus.HELD:
        raise Refused(f"Coin {coin.id} is {coin.status.value}; only a coin you hold can be placed.")


def require_holder(unit: Unit, slot: Slot) -> None:
    """Refuse a slot of an overview, which holds no coins of its own."""
    album = unit.read.album(slot.album)
    if album.kind is AlbumKind.OVERVIEW:
        raise Refused(
            f"{album.name} is an overview: it shows coins wherever they sit and holds none. "
            "Put the coin in an album that holds coins."
        )


def coin_in(unit: Unit, slot_id: SlotId) -> CoinId | None:
    """The coin that sits in a slot now."""
    standing = (p.coin for p in unit.read.placements_of_slot(slot_id) if p.until is None)
    return next(standing, None)


def places_of(unit: Unit, coins: Sequence[CoinId]) -> dict[CoinId, SlotId]:
    """The slots of those of the coins that sit in one."""
    if len(coins) > 50:  # then one look over all that sit is sooner than a look for each
        wanted = set(coins)
        return {c: s for c, s in unit.read.placed_ids().items() if c in wanted}
    at = {c: unit.read.slot_of_coin(c) for c in coins}
    return {c: slot.id for c, slot in at.items() if slot is not None}


def single_of(unit: Unit, coin: Coin) -> CoinId:
    """The coin itself, or one taken out of the lot as its own row."""
    if not coin.is_lot:
        return coin.id
    unit.update_coins([replace(coin, quantity=coin.quantity - 1)])
    (single,) = unit.add_coins([replace(coin, quantity=1)])
    return single


def changes_of(unit: Unit, slots: Sequence[SlotId], coins: Sequence[CoinId]) -> Changes:
    """What a change of these slots and coins touched; every coin freed by it must be named."""
    albums = frozenset(s.album for s in unit.read.slots_by_ids(slots).values())
    described = frozenset(c.description for c in unit.read.coins(coins).values())
    return Changes("", albums, frozenset(slots), frozenset(coins), described)


def known_coins(unit: Unit, coins: Sequence[CoinId]) -> list[Coin]:
    """These coins in this order; raises NotFound for a number that is not there."""
    found = unit.read.coins(coins)
    return [found.get(c) or unit.read.coin(c) for c in coins]


def known_slots(unit: Unit, slots: Sequence[SlotId]) -> list[Slot]:
    """These slots in this order, each once; raises NotFound for one that is not there."""
    found = unit.read.slots_by_ids(slots)
    return [found.get(s) or unit.read.slot(s) for s in dict.fromkeys(slots)]


def free_name(unit: Unit, name: str, but: AlbumId | None = None) -> str:
    """The name, tidied; raises Refused where it is empty or another album's."""
    title = " ".join(name.split())
    if not title:
        raise Refused("An album needs a name.")
    for album in unit.read.albums():
        if album.id != but and album.name.casefold() == title.casefold():
            raise Refused(f"There is an album called {album.name} already; choose another name.")
    return title
