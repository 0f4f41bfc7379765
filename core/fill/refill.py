"""A fill kept in mind: after an edit only what hangs together with it is solved again.

Slots that share no coin are independent. So once all is solved, a coin that changes concerns the
slots that it fitted, those that it fits now, and what hangs together with them; the rest stays as
it was. What hangs together is noted for every kind of coin ever seen: more than now does at most,
which is as right, and never less.
"""

from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace

import numpy as np

from core.fill.collecting import no_collecting
from core.fill.offers import Kinds, Known, offers, standing
from core.fill.solve import Solved, work_out
from core.fill.spares import Ints, SpareKind, Spares
from core.fill.value import FillInput, Pair, Worth
from core.model.album import SlotId, Wish
from core.model.coin import Coin, CoinId

Row = tuple[CoinId, Worth]


class Filling:
    """A whole fill, and its answers to edits. Solving it takes what `solve` takes."""

    def __init__(self, given: FillInput, progress: Callable[[float], None] | None = None) -> None:
        if given.only is not None:
            raise ValueError("a fill limited to some pairs is solved anew each time")
        with no_collecting():
            known = given.known
            if known is None or not known.serves(given.series, given.uncapped):
                known = Known(given.series, given.uncapped)
            self._known = known
            self._first = given = replace(given, known=known)
            solved = work_out(given, progress)
            self._slots = solved.slots
            self._place = solved.now.index
            self._rows: dict[int, Row] = {at: (coin, worth) for at, coin, worth in solved.rows}
            self._kinds = Kinds(self._known.masks, self._slots)
            self._barred = given.barred
            self._placed = dict(given.placed)
            self._home = {coin: slot for slot, coin in given.placed.items()}
            # Coins by object: those in slots, those given so, and those edited since.
            self._coins = {coin.id: coin for coin in given.coins}
            self._by_slot = {slot.id: slot for slot in given.slots}
            self._spares = _Shelf(given.spares or Spares.of(()), self._kinds)
            self._links = _Links(len(self._slots))
            self._link_all()

    # ---- what stands

    @property
    def pairs(self) -> dict[SlotId, CoinId]:
        """Which coin each slot holds after the fill."""
        return {self._slots[at].id: coin for at, (coin, _) in sorted(self._rows.items())}

    @property
    def given(self) -> FillInput:
        """What Fill is given by now, every edit in it."""
        return replace(
            self._first,
            coins=tuple(self._coins.values()),
            placed=dict(self._placed),
            barred=self._barred,
            spares=self._spares.left(),
        )

    def solved(self) -> Solved:
        """What stands, as a whole fill would have worked it out."""
        given = self.given
        with no_collecting():
            now = standing(given, self._slots, self._known.masks)
            rows = [(at, coin, worth) for at, (coin, worth) in sorted(self._rows.items())]
            return Solved(self._slots, now, offers(given, self._slots, now, self._known), rows)

    # ---- edits

    def edit(self, coins: Mapping[CoinId, Coin | None]) -> None:
        """These coins are now so; None for one that is gone, or sits in an album not chosen.

        Where they sit does not change.
        """
        touched: set[int] = set()
        for number, coin in coins.items():
            before = self._coins.pop(number, None) or self._spares.take(number)
            touched |= self._fits(before)
            home = self._home.get(number)
            if coin is None and home is not None:
                raise ValueError(f"coin {number} is gone but sits in slot {home}")
            if coin is not None:
                self._coins[number] = coin
                touched |= self._link(coin)
        self._solve(touched)

    def bar(self, pairs: Iterable[Pair]) -> None:
        """These pairs, and no others, were taken off by the collector."""
        after = frozenset(pairs)
        changed = after ^ self._barred
        self._barred = after
        self._solve({self._place[slot] for slot, _ in changed if slot in self._place})

    def linked_to(self, coin: Coin) -> int:
        """How many slots are solved again when this coin changes, and stays what it is."""
        return len(self._links.with_all(self._fits(coin))[0])

    # ---- inside

    def _fits(self, coin: Coin | None) -> set[int]:
        """The places of the slots that a coin surely fits, and of its own."""
        if coin is None:
            return set()
        kind = self._kinds.number(SpareKind(coin.description, coin.varieties))
        home = self._home.get(coin.id)
        own = {self._place[home]} if home is not None and home in self._place else set()
        return own | set(self._kinds.fits[kind] if kind >= 0 else ())

    def _link(self, coin: Coin) -> set[int]:
        """The slots of a coin, which from now on hang together."""
        fits = self._fits(coin)
        self._links.join(fits, coin.id)
        return fits

    def _link_all(self) -> None:
        for coin in self._coins.values():
            self._link(coin)
        for kind in self._spares.of_kind:
            self._links.join(self._kinds.fits[kind], None)

    def _solve(self, touched: set[int]) -> None:
        """Solve again what hangs together with these slots, by place."""
        places, held = self._links.with_all(touched)
        if not places:
            return
        slots = [self._slots[at] for at in sorted(places)]
        wanted = {slot.id for slot in slots}
        coins: dict[CoinId, Coin] = {}
        for number in held:
            coin = self._coins.get(number)
            if coin is not None and not places.isdisjoint(self._fits(coin)):
                coins[number] = coin
        # A coin may come out of a skipped slot; one in a pinned slot or another album may not.
        homes = {self._home[number] for number in coins if number in self._home} - wanted
        others = [self._by_slot[slot] for slot in homes]
        rest = [slot for slot in others if slot.wish is Wish.SKIPPED and not slot.is_pinned]
        coins = {
            number: coin
            for number, coin in coins.items()
            if self._home.get(number) is None
            or self._home[number] in wanted
            or any(slot.id == self._home[number] for slot in rest)
        }
        here = [*slots, *rest]
        part = replace(
            self._first,
            slots=tuple(here),
            coins=tuple(coins.values()),
            placed={s.id: self._placed[s.id] for s in here if s.id in self._placed},
            barred=frozenset(pair for pair in self._barred if pair[0] in wanted),
            spares=self._spares.for_slots(places, self._barred),
        )
        for at in places:
            self._rows.pop(at, None)
        done = work_out(part)
        for at, coin_id, worth in done.rows:
            self._rows[self._place[done.slots[at].id]] = coin_id, worth


class _Links:
    """Which slots hang together, and the numbers of coins kept as objects that may go there."""

    def __init__(self, slots: int) -> None:
        self._group = [{at} for at in range(slots)]
        self._coins: list[set[CoinId]] = [set() for _ in range(slots)]

    def join(self, places: Iterable[int], coin: CoinId | None) -> None:
        """From now on these slots, by place, hang together; by this coin."""
        found = list(places)
        if not found:
            return
        first = found[0]
        group, coins = self._group[first], self._coins[first]
        if coin is not None:
            coins.add(coin)
        for at in found[1:]:
            other, others = self._group[at], self._coins[at]
            if other is group:
                continue
            if len(other) > len(group):
                group, other, coins, others = other, group, others, coins
            group |= other
            coins |= others
            for moved in other:
                self._group[moved], self._coins[moved] = group, coins

    def with_all(self, places: Iterable[int]) -> tuple[set[int], set[CoinId]]:
        """All that hang together with these, and the coins that may go there."""
        slots: set[int] = set()
        coins: set[CoinId] = set()
        for at in places:
            if at not in slots:
                slots |= self._group[at]
                coins |= self._coins[at]
        return slots, coins


class _Shelf:
    """Spares as columns, found by kind and look without looking through them all."""

    def __init__(self, spares: Spares, kinds: Kinds) -> None:
        self._all = spares
        self._fits = kinds.fits
        self._gone: set[int] = set()  # places in the columns
        self._gone_of = Counter[int]()  # by kind, how many
        number_of = np.array([kinds.number(kind) for kind in spares.kinds], dtype=np.int64)
        self._number_of = number_of
        kind = number_of[spares.kind_of] if len(spares) else spares.kind_of
        alike = kind * (len(spares.looks) + 1) + spares.look_of
        order = np.argsort(alike, kind="stable")  # numbers rise within
        order = order[np.searchsorted(kind[order], 0) :]
        self._order = order
        starts = np.flatnonzero(np.diff(alike[order], prepend=-1))
        self._run_start, self._run_end = starts, np.append(starts, len(order))[1:]
        # By kind: its runs of coins alike.
        run_kind = kind[order][starts] if len(order) else starts
        firsts = np.flatnonzero(np.diff(run_kind, prepend=-1))
        ends = np.append(firsts, len(run_kind))[1:].tolist()
        self.of_kind: dict[int, tuple[int, int]] = {
            int(run_kind[first]): (first, end)
            for first, end in zip(firsts.tolist(), ends, strict=True)
        }
        self._kinds_at: dict[int, list[int]] = {}
        for one in self.of_kind:
            for at in kinds.fits[one]:
                self._kinds_at.setdefault(at, []).append(one)

    def take(self, number: CoinId) -> Coin | None:
        """A spare by its number, from now on no longer among these; None if it is not."""
        for at in self._all.places([number]).tolist():
            if at not in self._gone:
                self._gone.add(at)
                self._gone_of[self._number_of[self._all.kind_of[at]]] += 1
                return self._all.coin(at)
        return None

    def left(self) -> Spares:
        """Those not taken."""
        kept = np.ones(len(self._all), dtype=bool)
        kept[list(self._gone)] = False
        return self._some(np.flatnonzero(kept))

    def for_slots(self, places: set[int], barred: Iterable[Pair]) -> Spares:
        """Of the spares that fit these slots, by place, as many of each look as can matter."""
        kinds = sorted({kind for at in places for kind in self._kinds_at.get(at, ())})
        barred_pairs = len(frozenset(barred))
        found: list[int] = []
        for kind in kinds:
            gone = self._gone_of[kind]
            most = len(self._fits[kind]) + barred_pairs + gone
            some = self._first_of(kind, most).tolist()
            found += some if not gone else (at for at in some if at not in self._gone)
        return self._some(np.array(sorted(found), dtype=np.int64))

    def _first_of(self, kind: int, most: int) -> Ints:
        """The places in the columns of the first of each run of a kind."""
        first, end = self.of_kind[kind]
        starts, ends = self._run_start[first:end], self._run_end[first:end]
        longest = min(most, int((ends - starts).max()))
        at = starts[:, None] + np.arange(longest)
        places: Ints = self._order[at[at < ends[:, None]]]
        return places

    def _some(self, at: Ints) -> Spares:
        spares = self._all
        if len(at) * 4 > len(spares):
            kinds, looks = spares.kinds, spares.looks
            return Spares(
                spares.number[at],
                spares.quantity[at],
                spares.kind_of[at],
                spares.look_of[at],
                kinds,
                looks,
            )
        kind, kind_of = np.unique(spares.kind_of[at], return_inverse=True)
        look, look_of = np.unique(spares.look_of[at], return_inverse=True)
        return Spares(
            spares.number[at],
            spares.quantity[at],
            kind_of,
            look_of,
            [spares.kinds[one] for one in kind.tolist()],
            [spares.looks[one] for one in look.tolist()],
        )
