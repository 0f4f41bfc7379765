"""From coins and slots to small independent groups: who may go where, and which can matter.

Coins that look alike (same facts, grade, soundness and varieties) form a pool, so that the work per
coin is one dictionary look-up. Of the coins that may go into the same k slots, each slot needs only
the k it likes best: were it to take another, one of those would be free and better. Slots that
then share no coin are independent.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from heapq import nlargest, nsmallest
from operator import attrgetter

from core.fill.value import (
    FillInput,
    Pair,
    Worth,
    is_filled_in,
    is_offered,
    newcomer_worth,
    standing_worth,
)
from core.model.album import Slot, SlotId
from core.model.coin import Coin, CoinId
from core.model.fit import Fit, fit
from core.model.issue import Series, SeriesId

_by_number = attrgetter("id")
_Look = tuple[SeriesId, int, object, object, bool]


@dataclass(frozen=True, slots=True)
class Pool:
    """Coins that are alike to every slot, and what one of them brings to each that may take it.

    `worths` and `by_eye` are by slot index; `by_eye` are slots whose own coin only the eye can
    compare with these.
    """

    coins: Sequence[Coin]
    worths: Mapping[int, Worth]
    by_eye: tuple[int, ...] = ()

    def pieces(self, most: int) -> list[CoinId]:
        """The lowest coin numbers, a lot's as often as it has pieces, at most so many."""
        found: list[CoinId] = []
        coins = nsmallest(most, self.coins, _by_number) if len(self.coins) > 1 else self.coins
        for coin in coins:
            found += [coin.id] * min(coin.quantity, most - len(found))
            if len(found) >= most:
                break
        return found


@dataclass(frozen=True, slots=True)
class Edge:
    """One lawful choice: this piece into this slot. `piece` is unique to a single piece."""

    slot: int
    piece: int
    coin: CoinId
    worth: Worth


@dataclass(frozen=True, slots=True)
class Standing:
    """Where coins sit: slot by coin, and per slot index whether a sound sure coin is graded."""

    home: Mapping[CoinId, SlotId]
    index: Mapping[SlotId, int]
    graded: Sequence[bool | None]
    withheld: frozenset[CoinId]


def slots_to_fill(given: FillInput) -> list[Slot]:
    """The wanted and optional slots that are not pinned, by shelf and reading order."""
    shelf = {album: at for at, album in enumerate(given.albums)}
    chosen = (s for s in given.slots if is_filled_in(s) and s.album in shelf)
    return sorted(chosen, key=lambda s: (shelf[s.album], s.position, s.id))


def standing(given: FillInput, slots: Sequence[Slot]) -> Standing:
    """Who sits where, and which coins Fill must not touch: pinned ones and those elsewhere.

    Raises ValueError where a placed coin is not among the coins given.
    """
    home = {coin: slot for slot, coin in given.placed.items()}
    index = {slot.id: at for at, slot in enumerate(slots)}
    chosen = set(given.albums)
    loose = {s.id for s in given.slots if s.album in chosen and not s.is_pinned}
    withheld = {coin for coin, slot in home.items() if slot not in loose}
    placed = {c.id: c for c in given.coins if c.id in home}
    graded: list[bool | None] = [None] * len(slots)
    for at, slot in enumerate(slots):
        coin_id = given.placed.get(slot.id)
        if coin_id is None:
            continue
        coin = placed.get(coin_id)
        if coin is None:
            raise ValueError(f"coin {coin_id} sits in slot {slot.id} but is not among the coins")
        is_sound = standing_worth(given.series, slot, coin).sound
        graded[at] = (coin.grade is not None) if is_sound else None
    return Standing(home, index, graded, frozenset(withheld) | given.elsewhere)


class Eligible:
    """Which slots surely accept a coin: computed once for each kind of coin, not for each coin."""

    def __init__(self, series: Mapping[SeriesId, Series], slots: Sequence[Slot]) -> None:
        self._series = series
        self._slots = slots
        self._taking: dict[SeriesId, dict[int, list[tuple[int, int]]]] = {}
        self._known: dict[tuple[SeriesId, int, object], tuple[int, ...]] = {}
        for at, slot in enumerate(slots):
            self._index(at, slot)

    def _index(self, at: int, slot: Slot) -> None:
        series = self._series.get(slot.accepts.series)
        if series is None:
            return
        by_issue = self._taking.setdefault(series.id, defaultdict(list))
        mask = rest = series.may_be(slot.accepts)
        while rest:
            low = rest & -rest
            by_issue[low].append((at, mask))
            rest ^= low

    def mask(self, coin: Coin) -> int:
        """What the coin may still be; 0 also for a coin of no series at hand."""
        series = self._series.get(coin.description.series)
        return series.may_be(coin.description) if series else 0

    def slots(self, coin: Coin, mask: int) -> tuple[int, ...]:
        """The indices of the slots that the coin surely fits, in order."""
        if not mask:
            return ()
        name = coin.description.series
        key = (name, mask, coin.varieties)
        found = self._known.get(key)
        if found is None:
            near = self._taking.get(name, {}).get(mask & -mask, ())
            series = self._series[name]
            found = tuple(
                at
                for at, accepted in near
                if not mask & ~accepted and fit(series, self._slots[at], coin) is Fit.FITS
            )
            self._known[key] = found
        return found


def pools(given: FillInput, slots: Sequence[Slot], now: Standing) -> list[Pool]:
    """Every coin that may go, or stay, somewhere: alike ones together, the others alone."""
    eligible = Eligible(given.series, slots)
    asked = given.barred if given.only is None else given.barred | given.only
    alone = {coin for _, coin in asked} | now.home.keys()
    singles: list[Coin] = []
    alike = _alike(given, alone, now.withheld, eligible, singles)
    found = [_pool(given, slots, now, coins, eligible) for coins in alike]
    found += [_single(given, slots, now, coin, eligible) for coin in singles]
    return [pool for pool in found if pool.worths or pool.by_eye]


def _alike(
    given: FillInput,
    alone: set[CoinId],
    withheld: frozenset[CoinId],
    eligible: Eligible,
    singles: list[Coin],
) -> Iterable[list[Coin]]:
    # First by identity: the same few description and grade objects are shared by thousands of
    # coins. Then by value, for those that are equal without being shared.
    same: dict[tuple[int, int, int, int], list[Coin]] = defaultdict(list)
    for coin in given.coins:
        if coin.id in withheld:
            continue
        if coin.id in alone:
            singles.append(coin)
        elif given.only is None and is_offered(coin):
            parts = (coin.description, coin.grade, coin.problems, coin.varieties)
            same[id(parts[0]), id(parts[1]), id(parts[2]), id(parts[3])].append(coin)
    equal: dict[_Look, list[Coin]] = {}
    for coins in same.values():
        first = coins[0]
        mask = eligible.mask(first)
        if not eligible.slots(first, mask):
            continue
        look = (
            first.description.series,
            mask,
            first.varieties,
            first.grade,
            bool(first.problems),
        )
        equal.setdefault(look, []).extend(coins)
    return equal.values()


def _pool(
    given: FillInput, slots: Sequence[Slot], now: Standing, coins: list[Coin], eligible: Eligible
) -> Pool:
    first = coins[0]
    wanted_at = eligible.slots(first, eligible.mask(first))
    worths, by_eye = _newcomers(given, slots, now, first, wanted_at)
    return Pool(coins, worths, by_eye)


def _single(
    given: FillInput, slots: Sequence[Slot], now: Standing, coin: Coin, eligible: Eligible
) -> Pool:
    """A coin on its own: it sits in a slot, or the collector said something of it."""
    home = now.home.get(coin.id)
    own = None if home is None else now.index.get(home)
    worths: dict[int, Worth] = {}
    by_eye: tuple[int, ...] = ()
    if is_offered(coin):
        fits_at = eligible.slots(coin, eligible.mask(coin))
        free_at = [at for at in fits_at if at != own and _is_free(given, (slots[at].id, coin.id))]
        out_of_skipped = home is not None and own is None
        worths, by_eye = _newcomers(given, slots, now, coin, free_at, -int(out_of_skipped))
    if own is not None:
        worths[own] = standing_worth(given.series, slots[own], coin, given.uncapped)
    return Pool((coin,), worths, by_eye)


def _is_free(given: FillInput, pair: Pair) -> bool:
    return pair not in given.barred and (given.only is None or pair in given.only)


def _newcomers(
    given: FillInput,
    slots: Sequence[Slot],
    now: Standing,
    coin: Coin,
    fits_at: Iterable[int],
    stays: int = 0,
) -> tuple[dict[int, Worth], tuple[int, ...]]:
    """The worth to each slot that may take the coin, and the slots that must be compared by eye."""
    worths: dict[int, Worth] = {}
    by_eye = []
    is_graded = coin.grade is not None
    for at in fits_at:
        worth = newcomer_worth(slots[at], coin, given.uncapped, stays)
        held = now.graded[at]
        if worth.sound and held is not None and held is not is_graded:
            by_eye.append(at)
        else:
            worths[at] = worth
    return worths, tuple(by_eye)


def edges(found: Sequence[Pool]) -> list[Edge]:
    """The choices that can matter: of coins for the same k slots, each slot's best k."""
    classes: dict[tuple[int, ...], list[Pool]] = defaultdict(list)
    for pool in found:
        if pool.worths:
            classes[tuple(sorted(pool.worths))].append(pool)
    chosen: list[Edge] = []
    first = 0
    for places, members in classes.items():
        pieces = [(coin, pool) for pool in members for coin in pool.pieces(len(places))]
        for at in places:
            ranked = [(pool.worths[at], -coin, -no) for no, (coin, pool) in enumerate(pieces)]
            best = nlargest(len(places), ranked) if len(places) > 1 else [max(ranked)]
            chosen += [Edge(at, first - no, CoinId(-coin), worth) for worth, coin, no in best]
        first += len(pieces)
    return chosen


def groups(chosen: Sequence[Edge]) -> list[list[Edge]]:
    """Edges that hang together by a slot or a piece, each group sorted by slot."""
    root: dict[int, int] = {}

    def top(at: int) -> int:
        while root[at] != at:
            root[at] = root[root[at]]
            at = root[at]
        return at

    holder: dict[int, int] = {}
    for edge in chosen:
        root.setdefault(edge.slot, edge.slot)
        other = holder.setdefault(edge.piece, edge.slot)
        if other != edge.slot:
            one, two = top(other), top(edge.slot)
            root[max(one, two)] = min(one, two)
    together: dict[int, list[Edge]] = defaultdict(list)
    for edge in sorted(chosen, key=lambda e: (e.slot, e.coin, e.piece)):
        together[top(edge.slot)].append(edge)
    return list(together.values())
