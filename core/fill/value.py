"""What Fill is given, and what a coin in a slot is worth, aim by aim.

Choices where the aims leave one:

- A coin whose slot shows *to verify* (it only may fit, does not fit, or is flagged) may stay in its
  own slot. It counts as filled, but neither as sound nor as at target, and brings no points; so a
  coin that surely fits takes its place, and it is no party to *Compare by eye*.
- A slot whose target names no least grade, or that has no target, has no cap: points count whole.
- A coin without a grade brings no points.
- A coin that sits in a skipped slot is left where it is as long as Fill does not use it: taking it
  out costs as much, under aim 5, as moving a coin out of any other slot.
- Where the slot's coin and a newcomer must be compared by eye, the newcomer is barred from that
  slot for the whole run, even if the slot's coin moves on.
- Barring a pair (and limiting to pairs) concerns new moves only: a coin may always stay.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple

from core.model.album import AlbumId, Slot, SlotId, Wish
from core.model.coin import Coin, CoinId, CoinStatus, Finding
from core.model.fit import Fit, fit, has_barred_problem, meets_target
from core.model.issue import Series, SeriesId, VarietyId

if TYPE_CHECKING:
    from core.fill.offers import Known
    from core.fill.spares import Spares

Pair = tuple[SlotId, CoinId]


@dataclass(frozen=True, slots=True)
class FillInput:
    """Everything Fill looks at.

    `albums` are the chosen ones, from the top of the shelf. `slots` are theirs, of every wish,
    pinned or not; `placed` the open placements in them. `coins` are the held coins, lots with
    their quantity; `elsewhere` those that sit in other albums and are not offered. `spares` are
    further coins, as columns; none of them is among `coins` or in a slot. `barred` pairs were taken
    off by the collector; where `only` is given no other pair may be newly made. `known` keeps from
    one fill to the next what does not change in between.
    """

    series: Mapping[SeriesId, Series]
    albums: tuple[AlbumId, ...]
    slots: tuple[Slot, ...]
    coins: tuple[Coin, ...]
    placed: Mapping[SlotId, CoinId]
    elsewhere: frozenset[CoinId] = frozenset()
    uncapped: bool = False
    barred: frozenset[Pair] = frozenset()
    only: frozenset[Pair] | None = None
    spares: "Spares | None" = None
    known: "Known | None" = field(default=None, compare=False, repr=False)

    def coins_of(self, numbers: Iterable[CoinId]) -> dict[CoinId, Coin]:
        """Those of these coins that are given, as far as Fill knows them."""
        wanted = set(numbers)
        found = {coin.id: coin for coin in self.coins if coin.id in wanted}
        if self.spares is not None:
            rest = (self.spares.coin(at) for at in self.spares.places(wanted - found.keys()))
            found |= {coin.id: coin for coin in rest}
        return found

    @property
    def has_coins(self) -> bool:
        """Whether any coin at all is given."""
        return bool(self.coins) or (self.spares is not None and len(self.spares) > 0)


class Worth(NamedTuple):
    """What one coin in one slot brings; of two coins for one slot the greater tuple is better.

    `sound` and `met` are 0 or 1; `stays` is 1 for a coin left in its slot, -1 for one taken out of
    a skipped slot; `plain` is -1 for a confirmed variety where none of its varieties is asked.
    """

    sound: int
    met: int
    points: int
    stays: int
    plain: int


def is_filled_in(slot: Slot) -> bool:
    """Whether Fill may put a coin into this slot."""
    return slot.wish is not Wish.SKIPPED and not slot.is_pinned


def is_offered(coin: Coin) -> bool:
    """Whether a coin may go into a slot it is not in, where it surely fits one."""
    return coin.is_genuine and not coin.is_flagged and coin.status is CoinStatus.HELD


def is_unsure(series: Mapping[SeriesId, Series], slot: Slot, coin: Coin) -> bool:
    """Whether the slot shows *to verify* with this coin in it."""
    known = series.get(slot.accepts.series)
    return coin.is_flagged or known is None or fit(known, slot, coin) is not Fit.FITS


def capped_points(slot: Slot, coin: Coin, uncapped: bool = False) -> int:
    """The coin's grade points, at most those of the slot's target; 0 without a grade."""
    points = coin.points or 0
    if uncapped or slot.target is None or slot.target.least is None:
        return points
    return min(points, slot.target.least)


def newcomer_worth(slot: Slot, coin: Coin, uncapped: bool = False, stays: int = 0) -> Worth:
    """What a coin that surely fits brings to a slot."""
    return Worth(
        sound=int(not has_barred_problem(slot, coin)),
        met=int(meets_target(slot, coin)),
        points=capped_points(slot, coin, uncapped),
        stays=stays,
        plain=-int(is_off_variety(slot, coin.varieties)),
    )


def standing_worth(
    series: Mapping[SeriesId, Series], slot: Slot, coin: Coin, uncapped: bool = False
) -> Worth:
    """What the coin that sits in a slot brings by staying there."""
    if is_unsure(series, slot, coin):
        return Worth(0, 0, 0, 1, -int(is_off_variety(slot, coin.varieties)))
    return newcomer_worth(slot, coin, uncapped, stays=1)


def must_compare(held_graded: bool | None, newcomer: Coin) -> bool:
    """Whether a sound newcomer and the slot's own sound coin can only be compared by eye."""
    return held_graded is not None and held_graded is not (newcomer.grade is not None)


def is_off_variety(slot: Slot, varieties: Sequence[tuple[VarietyId, Finding]]) -> bool:
    """Whether a variety is confirmed, and none that the slot asks for."""
    confirmed = [v for v, finding in varieties if finding is Finding.CONFIRMED]
    return bool(confirmed) and slot.variety not in confirmed


def value_of(
    albums: Sequence[AlbumId], filled: Iterable[tuple[Slot, CoinId, Worth]], left_in_skipped: int
) -> tuple[int, ...]:
    """An assignment's value, in the order of the aims; of two the greater tuple is the better.

    Wanted and optional slots filled, sound, at target; the same four for each album from the top
    of the shelf; points; coins left where they are; less the coins of a variety not asked for;
    less the sum of coin numbers. `left_in_skipped`: coins that sit in skipped slots beforehand.
    """
    figures = {album: [0, 0, 0, 0] for album in albums}
    points, stays, plain, numbers = 0, left_in_skipped, 0, 0
    for slot, coin_id, worth in filled:
        own = figures[slot.album]
        own[slot.wish is Wish.OPTIONAL] += 1
        own[2] += worth.sound
        own[3] += worth.met
        points += worth.points
        stays += worth.stays
        plain += worth.plain
        numbers += coin_id
    totals = [sum(own[at] for own in figures.values()) for at in range(4)]
    return (
        *totals,
        *(figure for album in albums for figure in figures[album]),
        points,
        stays,
        plain,
        -numbers,
    )
