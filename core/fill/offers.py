"""Which coins may go where, worked out once for each kind and look of coin, not for each coin.

A kind is what decides where a coin fits (what it may still be, its varieties); a look is what
decides how good it is there (grade, problems). Both are few, so that the work per coin is done in
columns. Coins that sit in a slot, or that the collector said something of, are treated singly.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from core.fill.spares import Ints, SpareKind, Spares
from core.fill.value import (
    FillInput,
    Worth,
    is_filled_in,
    is_offered,
    must_compare,
    newcomer_worth,
    standing_worth,
)
from core.model.album import Slot, SlotId
from core.model.coin import Coin, CoinId, Finding
from core.model.fit import Fit, fit, has_barred_problem
from core.model.issue import Description, Series, SeriesId, VarietyId


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


class Single(NamedTuple):
    """A coin on its own: its worth to each slot (by place) that it may go to, or stay in."""

    coin: Coin
    worths: Mapping[int, Worth]
    by_eye: tuple[int, ...]
    pieces: int = 1


@dataclass(frozen=True, slots=True)
class Offers:
    """All that may go somewhere. The first four columns run alike, one entry a loose coin.

    `kind_of` is a place in `kinds`, `look_of` in `looks`, which has one coin that stands for all.
    `fits` is by kind: the slots, by place, that surely accept it.
    """

    number: Ints
    quantity: Ints
    kind_of: Ints
    look_of: Ints
    kinds: Sequence[SpareKind]
    fits: Sequence[tuple[int, ...]]
    looks: "Looks"
    singles: Sequence[Single]

    def coin(self, at: int) -> Coin:
        """A loose coin, as far as Fill looks at it."""
        kind, look = self.kinds[self.kind_of[at]], self.looks.coins[self.look_of[at]]
        return Coin(
            CoinId(int(self.number[at])),
            kind.description,
            look.grade,
            look.problems,
            varieties=kind.varieties,
        )


class Masks:
    """What descriptions may still be; each worked out once, found again by the very object.

    Descriptions are interned where they are read, and finding one by its parts costs more than all
    else that is done with it here.
    """

    def __init__(self, series: Mapping[SeriesId, Series]) -> None:
        self._series = series
        self._known: dict[int, tuple[int, Description]] = {}

    def of(self, what: Description) -> int:
        """The issues as a mask; 0 where the series is not at hand."""
        known = self._known.get(id(what))
        if known is not None:
            return known[0]
        series = self._series.get(what.series)
        mask = series.may_be(what) if series else 0
        self._known[id(what)] = mask, what  # the object is kept, so that its id stays its own
        return mask

    def surely_fits(self, slot: Slot, coin: Coin) -> bool:
        """As `fit` decides."""
        if slot.variety is not None or slot.accepts.series != coin.description.series:
            series = self._series.get(slot.accepts.series)
            return series is not None and fit(series, slot, coin) is Fit.FITS
        mask = self.of(coin.description)
        return coin.is_genuine and bool(mask) and mask & self.of(slot.accepts) == mask


def slots_to_fill(given: FillInput) -> list[Slot]:
    """The wanted and optional slots that are not pinned, by shelf and reading order."""
    shelf = {album: at for at, album in enumerate(given.albums)}
    chosen = (s for s in given.slots if is_filled_in(s) and s.album in shelf)
    return sorted(chosen, key=lambda s: (shelf[s.album], s.position, s.id))


def standing(given: FillInput, slots: Sequence[Slot], masks: Masks) -> Standing:
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
        is_sound = (
            not coin.is_flagged
            and masks.surely_fits(slot, coin)
            and not has_barred_problem(slot, coin)
        )
        graded.append((coin.grade is not None) if is_sound else None)
    index = {slot.id: at for at, slot in enumerate(slots)}
    sorts: dict[object, int] = {}
    sort_of = [sorts.setdefault((s.target, s.variety), len(sorts)) for s in slots]
    return Standing(home, index, graded, sort_of, frozenset(withheld) | given.elsewhere)


class Kinds:
    """The kinds of coin that surely fit some slot, numbered as they come."""

    def __init__(self, masks: Masks, slots: Sequence[Slot]) -> None:
        self.kinds: list[SpareKind] = []
        self.fits: list[tuple[int, ...]] = []
        self._slots = slots
        self._masks = masks
        self._numbers: dict[object, int] = {}
        self._asking = {at for at, slot in enumerate(slots) if slot.variety is not None}
        # By series and the number of an issue: the slots that accept it, and all they accept.
        self._taking: dict[SeriesId, dict[int, list[tuple[int, int]]]] = defaultdict(dict)
        for at, slot in enumerate(slots):
            mask = masks.of(slot.accepts)
            by_issue = self._taking[slot.accepts.series]
            for bit in _bits(mask):
                near = by_issue.get(bit)
                if near is None:
                    by_issue[bit] = [(at, mask)]
                else:
                    near.append((at, mask))

    def number(self, kind: SpareKind) -> int:
        """The number of this kind, -1 where no slot surely accepts it."""
        what, varieties = kind
        key = (id(what), varieties) if varieties else id(what)
        number = self._numbers.get(key)
        if number is None:
            fits = self._fitting(what, varieties)
            number = self._numbers[key] = len(self.kinds) if fits else -1
            if fits:
                self.kinds.append(kind)
                self.fits.append(fits)
        return number

    def _fitting(
        self, what: Description, varieties: tuple[tuple[VarietyId, Finding], ...]
    ) -> tuple[int, ...]:
        mask = self._masks.of(what)  # which keeps the object, so that its id stays its own
        by_issue = self._taking.get(what.series)
        if not mask or by_issue is None:
            return ()
        low = mask & -mask
        near = by_issue.get(low.bit_length(), ())
        if low == mask:  # one issue: all that stand by it accept it
            fits = tuple([at for at, _ in near])
        else:
            fits = tuple([at for at, accepted in near if mask & accepted == mask])
        if self._asking and not self._asking.isdisjoint(fits):
            coin = Coin(CoinId(0), what, varieties=varieties)
            fits = tuple(at for at in fits if self._masks.surely_fits(self._slots[at], coin))
        return fits


def _bits(mask: int) -> list[int]:
    found = []
    while mask:
        low = mask & -mask
        found.append(low.bit_length())
        mask ^= low
    return found


class Looks:
    """The looks of coins, numbered as they come; what each is worth to a slot of some target."""

    def __init__(self, uncapped: bool) -> None:
        self.coins: list[Coin] = []
        self._numbers: dict[object, int] = {}
        self._by_part: dict[tuple[int, int], tuple[int, Coin]] = {}
        self._worths: dict[tuple[int, int, int], tuple[Worth, Slot]] = {}
        self._uncapped = uncapped

    def number(self, coin: Coin) -> int:
        """The number of this coin's look."""
        # By the very objects first: the same few grades serve thousands of coins.
        parts = id(coin.grade), id(coin.problems)
        known = self._by_part.get(parts)
        if known is not None:
            return known[0]
        number = self._numbers.setdefault((coin.grade, bool(coin.problems)), len(self.coins))
        if number == len(self.coins):
            self.coins.append(Coin(coin.id, coin.description, coin.grade, coin.problems))
        self._by_part[parts] = number, coin  # kept, so that the ids of its parts stay theirs
        return number

    def worth(self, slot: Slot, look: int, stays: int = 0) -> Worth:
        """What a coin of this look, of no variety, is worth to a slot: by its target alone."""
        key = id(slot.target), look, stays
        known = self._worths.get(key)
        if known is not None:
            return known[0]
        worth = newcomer_worth(slot, self.coins[look], self._uncapped, stays)
        self._worths[key] = worth, slot
        return worth


class Known:
    """What serves one fill after another: masks, looks and their worths."""

    def __init__(self, series: Mapping[SeriesId, Series], uncapped: bool) -> None:
        self.masks = Masks(series)
        self.looks = Looks(uncapped)
        self._series = dict(series)
        self._uncapped = uncapped

    def serves(self, series: Mapping[SeriesId, Series], uncapped: bool) -> bool:
        """Whether it was worked out for the very same series, and the same cap."""
        return (
            self._uncapped == uncapped
            and self._series.keys() == series.keys()
            and all(self._series[code] is one for code, one in series.items())
        )


def offers(given: FillInput, slots: Sequence[Slot], now: Standing, known: Known) -> Offers:
    """Sort the coins by kind and look; those that need it are treated singly."""
    asked = given.barred if given.only is None else given.barred | given.only
    named = {coin for _, coin in asked}
    apart = named | now.home.keys() | now.withheld
    kinds, looks = Kinds(known.masks, slots), known.looks
    takes_loose = given.only is None
    alone: list[Coin] = []
    loose: list[tuple[int, int, int, int]] = []
    for coin in given.coins:
        if coin.id in apart:
            alone.append(coin)
        elif takes_loose and is_offered(coin):
            kind = kinds.number(SpareKind(coin.description, coin.varieties))
            if kind >= 0:
                loose.append((coin.id, coin.quantity, kind, looks.number(coin)))
    columns = np.array(loose, dtype=np.int64).reshape(-1, 4).T
    if given.spares is not None:
        named_at = given.spares.places(named)
        alone += [given.spares.coin(at) for at in named_at.tolist()]
        if takes_loose:
            further = _of_spares(given.spares, kinds, looks, named_at)
            columns = np.concatenate([columns, further], axis=1)
    singles = [_single(given, slots, now, c, kinds, looks) for c in alone]
    singles = [s for s in singles if s.worths or s.by_eye]
    number, quantity, kind_of, look_of = columns
    return Offers(number, quantity, kind_of, look_of, kinds.kinds, kinds.fits, looks, singles)


def _of_spares(spares: Spares, kinds: Kinds, looks: Looks, named_at: Ints) -> Ints:
    """The four columns of those spares that fit some slot and were not named."""
    any_kind = spares.kinds[0].description if spares.kinds else Description(SeriesId(""))
    look_numbers = [
        looks.number(Coin(CoinId(0), any_kind, look.grade, look.problems)) for look in spares.looks
    ]
    kind_number = np.array([kinds.number(kind) for kind in spares.kinds], dtype=np.int64)
    look_number = np.array(look_numbers, dtype=np.int64)
    kind_of = kind_number[spares.kind_of] if len(spares) else spares.kind_of
    fits = kind_of >= 0
    fits[named_at] = False
    if not fits.any():
        return np.zeros((4, 0), dtype=np.int64)
    look_of = look_number[spares.look_of[fits]]
    return np.stack([spares.number[fits], spares.quantity[fits], kind_of[fits], look_of])


def _single(
    given: FillInput,
    slots: Sequence[Slot],
    now: Standing,
    coin: Coin,
    kinds: Kinds,
    looks: Looks,
) -> Single:
    home = now.home.get(coin.id)
    own = None if home is None else now.index.get(home)
    worths: dict[int, Worth] = {}
    by_eye: list[int] = []
    if coin.id in now.withheld:
        return Single(coin, worths, ())
    kind = kinds.number(SpareKind(coin.description, coin.varieties)) if is_offered(coin) else -1
    out_of_skipped = home is not None and own is None
    is_plain = not coin.varieties and not out_of_skipped
    look = looks.number(coin)
    barred, only = given.barred, given.only
    for at in kinds.fits[kind] if kind >= 0 else ():
        if at == own or (barred and (slots[at].id, coin.id) in barred):
            continue
        if only is not None and (slots[at].id, coin.id) not in only:
            continue
        if is_plain:
            worth = looks.worth(slots[at], look)
        else:
            worth = newcomer_worth(slots[at], coin, given.uncapped, -int(out_of_skipped))
        if worth.sound and must_compare(now.graded[at], coin):
            by_eye.append(at)
        else:
            worths[at] = worth
    if own is not None:
        if kind >= 0 and is_plain and own in kinds.fits[kind]:
            worths[own] = looks.worth(slots[own], look, 1)
        else:
            worths[own] = standing_worth(given.series, slots[own], coin, given.uncapped)
    return Single(coin, worths, tuple(by_eye), 1 if home is not None else coin.quantity)
