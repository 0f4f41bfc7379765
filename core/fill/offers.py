"""Which coins may go where, worked out once for each kind and look of coin, not for each coin.

A kind is what decides where a coin fits (what it may still be, its varieties); a look is what
decides how good it is there (grade, problems). Both are few, so that the work per coin is two
dictionary look-ups. Coins that sit in a slot, or that the collector said something of, are
treated singly.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from core.fill.value import (
    FillInput,
    Worth,
    is_filled_in,
    is_offered,
    newcomer_worth,
    standing_worth,
)
from core.model.album import Slot, SlotId
from core.model.coin import Coin, CoinId, CoinStatus
from core.model.fit import Fit, fit
from core.model.issue import Series, SeriesId


@dataclass(frozen=True, slots=True)
class Standing:
    """Where coins sit, and which must not be touched.

    `home` is slot by coin, `index` the place of a slot among those to fill. `graded` is by that
    place: whether the slot's own coin has a grade, None where it holds none that is sound and
    surely fits. `sort_of` numbers slots of one target and one variety asked alike: they value every
    newcomer alike.
    """

    home: Mapping[CoinId, SlotId]
    index: Mapping[SlotId, int]
    graded: Sequence[bool | None]
    sort_of: Sequence[int]
    withheld: frozenset[CoinId]


@dataclass(frozen=True, slots=True)
class Single:
    """A coin on its own: its worth to each slot (by place) that it may go to, or stay in."""

    coin: Coin
    worths: Mapping[int, Worth]
    by_eye: tuple[int, ...]
    pieces: int = 1


@dataclass(frozen=True, slots=True)
class Offers:
    """All that may go somewhere. The first three lists run alike, one entry a loose coin.

    `kinds` and `looks` hold one coin that stands for all; `fits` is by kind: the slots, by place,
    that surely accept it.
    """

    coins: Sequence[Coin]
    kind_of: Sequence[int]
    look_of: Sequence[int]
    kinds: Sequence[Coin]
    fits: Sequence[tuple[int, ...]]
    looks: Sequence[Coin]
    singles: Sequence[Single]


def slots_to_fill(given: FillInput) -> list[Slot]:
    """The wanted and optional slots that are not pinned, by shelf and reading order."""
    shelf = {album: at for at, album in enumerate(given.albums)}
    chosen = (s for s in given.slots if is_filled_in(s) and s.album in shelf)
    return sorted(chosen, key=lambda s: (shelf[s.album], s.position, s.id))


def standing(given: FillInput, slots: Sequence[Slot]) -> Standing:
    """Who sits where; withheld are coins in pinned slots and those in albums not chosen.

    Raises ValueError where a placed coin is not among the coins given.
    """
    home = {coin: slot for slot, coin in given.placed.items()}
    chosen = set(given.albums)
    open_to_fill = {s.id for s in given.slots if s.album in chosen and not s.is_pinned}
    withheld = {coin for coin, slot in home.items() if slot not in open_to_fill}
    placed = {c.id: c for c in given.coins if c.id in home}
    for slot in given.slots:
        coin_id = given.placed.get(slot.id)
        if coin_id is not None and coin_id not in placed:
            raise ValueError(f"coin {coin_id} sits in slot {slot.id} but is not among the coins")
    graded: list[bool | None] = []
    for slot in slots:
        coin_id = given.placed.get(slot.id)
        if coin_id is None:
            graded.append(None)
            continue
        coin = placed[coin_id]
        is_sound = standing_worth(given.series, slot, coin).sound
        graded.append((coin.grade is not None) if is_sound else None)
    index = {slot.id: at for at, slot in enumerate(slots)}
    sorts: dict[object, int] = {}
    sort_of = [sorts.setdefault((s.target, s.variety), len(sorts)) for s in slots]
    return Standing(home, index, graded, sort_of, frozenset(withheld) | given.elsewhere)


class _Kinds:
    """The kinds of coin that surely fit some slot, numbered as they come."""

    def __init__(self, series: Mapping[SeriesId, Series], slots: Sequence[Slot]) -> None:
        self.coins: list[Coin] = []
        self.fits: list[tuple[int, ...]] = []
        self._series = series
        self._slots = slots
        self._numbers: dict[tuple[SeriesId, int, object], int] = {}
        self._taking: dict[SeriesId, dict[int, list[tuple[int, int]]]] = {}
        masks: dict[object, int] = {}
        for at, slot in enumerate(slots):
            known = series.get(slot.accepts.series)
            if known is None:
                continue
            mask = masks.get(slot.accepts)
            if mask is None:
                mask = masks[slot.accepts] = known.may_be(slot.accepts)
            by_issue = self._taking.setdefault(known.id, defaultdict(list))
            for bit in _bits(mask):
                by_issue[bit].append((at, mask))

    def number(self, coin: Coin) -> int:
        """The number of this coin's kind, -1 where no slot surely accepts it."""
        name = coin.description.series
        series = self._series.get(name)
        mask = series.may_be(coin.description) if series else 0
        if series is None or not mask:
            return -1
        key = (name, mask, coin.varieties)
        if key not in self._numbers:
            near = self._taking.get(name, {}).get((mask & -mask).bit_length(), ())
            fits = tuple(
                at
                for at, accepted in near
                if not mask & ~accepted and fit(series, self._slots[at], coin) is Fit.FITS
            )
            self._numbers[key] = len(self.coins) if fits else -1
            if fits:
                self.coins.append(coin)
                self.fits.append(fits)
        return self._numbers[key]


def _bits(mask: int) -> list[int]:
    found = []
    while mask:
        low = mask & -mask
        found.append(low.bit_length())
        mask ^= low
    return found


def offers(given: FillInput, slots: Sequence[Slot], now: Standing) -> Offers:
    """Sort the coins by kind and look; those that need it are treated singly."""
    asked = given.barred if given.only is None else given.barred | given.only
    apart = {coin for _, coin in asked} | now.home.keys() | now.withheld
    kinds = _Kinds(given.series, slots)
    looks: dict[tuple[object, bool], int] = {}
    look_coins: list[Coin] = []
    # By identity first: the same few description and grade objects serve thousands of coins.
    kind_at: dict[tuple[int, int], int] = {}
    look_at: dict[tuple[int, int], int] = {}
    coins: list[Coin] = []
    kind_of: list[int] = []
    look_of: list[int] = []
    alone: list[Coin] = []
    takes_loose = given.only is None
    held = CoinStatus.HELD
    for coin in given.coins:
        if coin.id in apart:
            alone.append(coin)
            continue
        if coin.is_flagged or not coin.is_genuine or coin.status is not held or not takes_loose:
            continue
        same = (id(coin.description), id(coin.varieties))
        kind = kind_at.get(same)
        if kind is None:
            kind = kind_at[same] = kinds.number(coin)
        if kind < 0:
            continue
        same = (id(coin.grade), id(coin.problems))
        look = look_at.get(same)
        if look is None:
            look = looks.setdefault((coin.grade, bool(coin.problems)), len(looks))
            look_at[same] = look
            if look == len(look_coins):
                look_coins.append(coin)
        coins.append(coin)
        kind_of.append(kind)
        look_of.append(look)
    singles = [_single(given, slots, now, c, kinds) for c in alone if c.id not in now.withheld]
    singles = [s for s in singles if s.worths or s.by_eye]
    return Offers(coins, kind_of, look_of, kinds.coins, kinds.fits, look_coins, singles)


def _single(
    given: FillInput, slots: Sequence[Slot], now: Standing, coin: Coin, kinds: _Kinds
) -> Single:
    home = now.home.get(coin.id)
    own = None if home is None else now.index.get(home)
    worths: dict[int, Worth] = {}
    by_sort: dict[int, Worth] = {}
    by_eye: list[int] = []
    kind = kinds.number(coin) if is_offered(coin) else -1
    out_of_skipped = home is not None and own is None
    for at in kinds.fits[kind] if kind >= 0 else ():
        pair = (slots[at].id, coin.id)
        if at == own or pair in given.barred:
            continue
        if given.only is not None and pair not in given.only:
            continue
        sort = now.sort_of[at]
        worth = by_sort.get(sort)
        if worth is None:
            worth = newcomer_worth(slots[at], coin, given.uncapped, -int(out_of_skipped))
            by_sort[sort] = worth
        if worth.sound and must_compare(now.graded[at], coin):
            by_eye.append(at)
        else:
            worths[at] = worth
    if own is not None:
        worths[own] = standing_worth(given.series, slots[own], coin, given.uncapped)
    return Single(coin, worths, tuple(by_eye), 1 if home is not None else coin.quantity)


def must_compare(held_graded: bool | None, newcomer: Coin) -> bool:
    """Whether a sound newcomer and the slot's own sound coin can only be compared by eye."""
    return held_graded is not None and held_graded is not (newcomer.grade is not None)
