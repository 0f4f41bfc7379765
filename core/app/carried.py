"""A coin being carried to a slot: what putting it there would do, said before it is done. Pure."""

from dataclasses import dataclass
from enum import Enum, auto

from core.app.views import AlbumView
from core.errors import CollectionError
from core.model.album import AlbumKind, Slot, SlotId
from core.model.coin import Coin, CoinStatus
from core.model.fit import Fit, fit, open_facets
from core.model.issue import Series
from core.model.label import coin_name


class Drop(Enum):
    """What putting the coin down would do."""

    NOTHING = auto()
    MOVE = auto()
    PUT_IN = auto()
    REPLACE = auto()
    SWAP = auto()
    REFUSED = auto()

    @property
    def is_allowed(self) -> bool:
        """Whether anything would be done."""
        return self not in {Drop.NOTHING, Drop.REFUSED}


@dataclass(frozen=True, slots=True)
class Carried:
    """The coin in hand, its series, and the slot it sits in (None: it is a spare)."""

    coin: Coin
    series: Series
    slot: Slot | None = None
    slot_series: Series | None = None
    album: str = ""

    @property
    def name(self) -> str:
        """1943-D VF-20."""
        return piece_name(self.series, self.coin)


@dataclass(frozen=True, slots=True)
class Outlook:
    """What would come of it, in a line; `words` begin in lower case."""

    drop: Drop
    words: str


def piece_name(series: Series, coin: Coin) -> str:
    """A coin by what it is and its grade: 1943-D VF-20; a lot says that one of it is meant."""
    grade = coin.grade.text if coin.grade else "ungraded"
    name = f"{coin_name(series, coin)} {grade}"
    return f"one of {coin.quantity} {name}" if coin.is_lot else name


def outlook(view: AlbumView, slot_id: SlotId, carried: Carried) -> Outlook:
    """What putting the carried coin into a slot of this album would do."""
    there = view.by_id.get(slot_id)
    if there is None:
        return Outlook(Drop.NOTHING, "")
    slot, coin = there.slot, carried.coin
    if view.album.kind is AlbumKind.OVERVIEW:
        return Outlook(Drop.REFUSED, f"{view.album.name} is an overview and holds no coins")
    if coin.status is not CoinStatus.HELD:
        return Outlook(
            Drop.REFUSED, f"this coin is {coin.status.value}: only coins you hold can go"
        )
    if carried.slot is not None and carried.slot.id == slot_id:
        return Outlook(Drop.NOTHING, "its own slot")
    series = view.series_of(slot)
    if fit(series, slot, coin) is Fit.DOES_NOT_FIT:
        reason = _misfit(slot, coin, series, carried.series)
        return Outlook(Drop.REFUSED, f"does not fit {slot.label}: {reason}")
    doubt = _doubt(series, slot, coin)
    if there.coin is None:
        if carried.slot is not None:
            return Outlook(Drop.MOVE, f"moves to {slot.label}{doubt}")
        return Outlook(Drop.PUT_IN, f"goes into {slot.label}{doubt}")
    name = piece_name(series, there.coin) if _is_told(series, there.coin) else "its coin"
    if carried.slot is None:
        return Outlook(Drop.REPLACE, f"takes the place of {name}, which becomes a spare{doubt}")
    return _swapped(carried, there.coin, name, doubt)


def _swapped(carried: Carried, other: Coin, name: str, doubt: str) -> Outlook:
    """Whether the coin there can go to the slot that the carried one would leave."""
    slot, series = carried.slot, carried.slot_series
    if slot is None or series is None:
        raise ValueError("a coin that sits nowhere swaps with none")
    if fit(series, slot, other) is Fit.DOES_NOT_FIT:
        reason = _misfit(slot, other, series, carried.series)
        return Outlook(Drop.REFUSED, f"{name} would not fit {slot.label}: {reason}")
    back = _doubt(series, slot, other)
    more = doubt or (back and f"; that one {back.removeprefix(', ')}")
    return Outlook(Drop.SWAP, f"swaps with {name}{more}")


def _doubt(series: Series, slot: Slot, coin: Coin) -> str:
    """“, to verify: the mint would settle it” where a coin only may fit."""
    if fit(series, slot, coin) is not Fit.MAY_FIT:
        return ""
    asked = " and ".join(open_facets(series, slot, coin))
    return f", to verify: the {asked} would settle it" if asked else ", to verify"


def _misfit(slot: Slot, coin: Coin, *known: Series) -> str:
    """Why the coin surely does not fit; of a series that is not known here only that much."""
    from core.app.order import misfit  # brings the store, which must not delay the first paint

    by_id = {series.id: series for series in known}
    if coin.description.series not in by_id:
        return "it is of another series"
    return misfit(by_id.__getitem__, slot, coin)


def _is_told(series: Series, coin: Coin) -> bool:
    """Whether the series can name the coin; one put in by hand may be of another."""
    try:
        series.require(coin.description)
    except CollectionError:
        return False
    return coin.description.series == series.id
