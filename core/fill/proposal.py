"""What Fill proposes: moves with their reasons, to accept whole or in part.

Moves that need each other form a chain: a coin's move into a slot, and that of the coin which it
frees or whose place it takes. Taking a line off solves the rest again (`without`); accepting some
lines only is the best that these lines allow (`partial`). Both are lawful as they stand.
"""

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TYPE_CHECKING

from core.errors import Refused
from core.fill.collecting import no_collecting
from core.fill.solve import Solved, work_out
from core.fill.value import (
    FillInput,
    Pair,
    Worth,
    capped_points,
    is_unsure,
    must_compare,
    newcomer_worth,
    standing_worth,
    value_of,
)
from core.model.album import AlbumId, Slot, SlotId, Wish
from core.model.coin import Coin, CoinId
from core.model.fit import meets_target, state_and_level
from core.model.state import SlotState

if TYPE_CHECKING:
    from core.fill.offers import Offers


class Aim(StrEnum):
    """What decided a move, in the order in which Fill asks; last, a coin that makes way."""

    FILLS_GAP = "fills a gap"
    REPLACES_UNSURE = "replaces a coin to verify"
    REPLACES_HOLE_FILLER = "replaces a hole filler"
    MEETS_TARGET = "meets the target"
    SHELF = "higher on the shelf"
    BETTER_GRADE = "better grade"
    FREES = "frees a coin"


@dataclass(frozen=True, slots=True)
class Move:
    """One line of a proposal: a coin goes into a slot.

    `from_slot` is where it sits now, None for a spare; `leaving` the coin that sits in `slot` now.
    Moves of one `chain` belong together.
    """

    slot: SlotId
    coin: CoinId
    from_slot: SlotId | None
    leaving: CoinId | None
    aim: Aim
    reason: str
    chain: int = 0

    @property
    def pair(self) -> Pair:
        """The slot and the coin."""
        return self.slot, self.coin


@dataclass(frozen=True, slots=True)
class Compare:
    """A slot's coin and the best spare that only the eye can judge; `others`: how many more."""

    slot: SlotId
    held: CoinId
    newcomer: CoinId
    others: int = 0


@dataclass(frozen=True, slots=True)
class Proposal:
    """The moves in shelf and reading order, what to compare by eye, and figures by album.

    `have` counts wanted slots that hold a coin, `target` those at target, pinned ones included, as
    in *have n of m, at target k*. `after` is what each slot that Fill looks at then holds.
    """

    moves: tuple[Move, ...]
    compares: tuple[Compare, ...]
    after: Mapping[SlotId, CoinId]
    have_before: Mapping[AlbumId, int]
    have_after: Mapping[AlbumId, int]
    target_before: Mapping[AlbumId, int]
    target_after: Mapping[AlbumId, int]


def propose(given: FillInput, progress: Callable[[float], None] | None = None) -> Proposal:
    """The best lawful assignment, as moves from what stands."""
    with no_collecting():
        return proposal_of(given, work_out(given, progress))


def proposal_of(given: FillInput, solved: Solved) -> Proposal:
    """What was worked out, as moves from what stands."""
    table = _Table(given, solved)
    pinned = {s.id: given.placed[s.id] for s in given.slots if s.is_pinned and s.id in given.placed}
    have_before, target_before = table.figures(given.placed)
    have_after, target_after = table.figures(pinned | table.after)
    return Proposal(
        tuple(table.moves()),
        tuple(_compares(table, solved)),
        table.after,
        have_before,
        have_after,
        target_before,
        target_after,
    )


def without(given: FillInput, pair: Pair) -> FillInput:
    """The same task less one pair: solve it again when the collector takes that line off."""
    return replace(given, barred=given.barred | {pair})


def partial(given: FillInput, accepted: Iterable[Move]) -> Proposal:
    """The best that the accepted moves allow: no other move is in it, and it is always lawful.

    An accepted move is left out where it helps nothing without one that was not accepted, such as
    a coin that would only have freed another.
    """
    return propose(replace(given, only=frozenset(move.pair for move in accepted)))


def apply_moves(given: FillInput, moves: Iterable[Move]) -> dict[SlotId, CoinId]:
    """What sits where after these moves, made all at once.

    Raises Refused where a slot would hold two coins, or a coin sit in two slots.
    """
    chosen = list(moves)
    if len({move.slot for move in chosen}) < len(chosen):
        raise Refused("Two of these moves put a coin into the same slot. Take one of them off.")
    touched = {move.from_slot for move in chosen} | {move.slot for move in chosen}
    after = {slot: coin for slot, coin in given.placed.items() if slot not in touched}
    after |= {move.slot: move.coin for move in chosen}
    seated = set(given.placed.values())
    coins = given.coins_of(after.values())
    for coin, times in Counter(after.values()).items():
        if times > (1 if coin in seated else coins[coin].quantity):
            raise Refused(f"Coin {coin} would sit in two slots. Take one of the moves off.")
    return after


class _Table:
    """What stands, what is to be, and what a coin is worth where."""

    def __init__(self, given: FillInput, solved: Solved) -> None:
        self.given = given
        self.after = solved.pairs
        self.slots = {s.id: s for s in given.slots}
        self.coins = given.coins_of({*given.placed.values(), *self.after.values()})
        self.home = {coin: slot for slot, coin in given.placed.items()}
        self.changed = [s for s, coin in self.after.items() if given.placed.get(s) != coin]

    def worth(self, slot_id: SlotId, coin_id: CoinId) -> Worth:
        """What this coin brings here; in its own slot it stands."""
        slot, coin = self.slots[slot_id], self.coins[coin_id]
        if self.given.placed.get(slot_id) == coin_id:
            return standing_worth(self.given.series, slot, coin, self.given.uncapped)
        return newcomer_worth(slot, coin, self.given.uncapped)

    def figures(
        self, placed: Mapping[SlotId, CoinId]
    ) -> tuple[dict[AlbumId, int], dict[AlbumId, int]]:
        """By album: the wanted slots that hold a coin, and those of them at target."""
        have = dict.fromkeys(self.given.albums, 0)
        target = dict.fromkeys(self.given.albums, 0)
        for slot in self.given.slots:
            coin_id = placed.get(slot.id)
            if coin_id is None or slot.wish is not Wish.WANTED or slot.album not in have:
                continue
            have[slot.album] += 1
            series = self.given.series.get(slot.accepts.series)
            if series is not None:
                state, _ = state_and_level(series, slot, self.coins[coin_id])
                target[slot.album] += state is SlotState.FILLED
        return have, target

    def moves(self) -> Iterator[Move]:
        """Every changed slot's line, numbered by chains."""
        chains = self._chains()
        goes_to = {self.after[slot]: slot for slot in self.changed}
        aims = [self._aim_of(chain) for chain in chains]
        number_of = {slot: no for no, chain in enumerate(chains) for slot in chain}
        for slot in self.changed:
            coin, leaving = self.after[slot], self.given.placed.get(slot)
            number = number_of[slot]
            if leaving is None:
                aim, reason = self._why_into_empty(slot, coin, aims[number])
            else:
                freed_for = goes_to.get(leaving)
                aim, reason = self._why_instead(slot, coin, leaving, freed_for, aims[number])
            yield Move(slot, coin, self.home.get(coin), leaving, aim, reason, number)

    def _chains(self) -> list[list[SlotId]]:
        """The slots that change or are left, together where one coin links them."""
        linked: dict[SlotId, list[SlotId]] = {slot: [] for slot in self.changed}
        for slot in self.changed:
            left = self.home.get(self.after[slot])
            if left is not None:
                linked[slot].append(left)
                linked.setdefault(left, []).append(slot)
        found: list[list[SlotId]] = []
        seen: set[SlotId] = set()
        for start in linked:
            chain: list[SlotId] = []
            waiting = [start]
            while waiting:
                slot = waiting.pop()
                if slot not in seen:
                    seen.add(slot)
                    chain.append(slot)
                    waiting += linked[slot]
            if chain:
                found.append(chain)
        return found

    def _aim_of(self, chain: Iterable[SlotId]) -> Aim:
        """The first aim in which a chain gains."""
        slots = [s for s in chain if self.slots[s].wish is not Wish.SKIPPED]
        before, after = (
            value_of(
                self.given.albums,
                ((self.slots[s], held[s], self.worth(s, held[s])) for s in slots if s in held),
                0,
            )
            for held in (self.given.placed, self.after)
        )
        at = next(at for at, pair in enumerate(zip(before, after, strict=True)) if len({*pair}) > 1)
        first = (Aim.FILLS_GAP, Aim.FILLS_GAP, Aim.REPLACES_HOLE_FILLER, Aim.MEETS_TARGET)
        if at < len(first):
            return first[at]
        return Aim.SHELF if at < len(first) * (1 + len(self.given.albums)) else Aim.BETTER_GRADE

    def _why_into_empty(self, slot_id: SlotId, coin_id: CoinId, chain: Aim) -> tuple[Aim, str]:
        left = self.home.get(coin_id)
        if chain is Aim.FILLS_GAP:
            if left is None:
                return chain, "Fills the gap."
            if self.slots[left].wish is Wish.SKIPPED:
                return chain, f"Fills the gap; {self._called(left, slot_id)} is skipped."
            if left not in self.after:
                return chain, f"A wanted slot comes before {self._called(left, slot_id)}, optional."
            return chain, f"Fills the gap; another coin takes {self._called(left, slot_id)}."
        where = self._called(left, slot_id) if left is not None else "the box of spares"
        told = {
            Aim.SHELF: f"This album is higher on the shelf than that of {where}.",
            Aim.MEETS_TARGET: f"Here it serves a target better than in {where}.",
            Aim.BETTER_GRADE: f"Here its grade counts for more than in {where}.",
        }
        return chain, told.get(chain, f"Here it serves better than in {where}.")

    def _why_instead(
        self,
        slot_id: SlotId,
        coin_id: CoinId,
        leaving_id: CoinId,
        freed_for: SlotId | None,
        chain: Aim,
    ) -> tuple[Aim, str]:
        slot, coin, leaving = self.slots[slot_id], self.coins[coin_id], self.coins[leaving_id]
        new, old = self.worth(slot_id, coin_id), self.worth(slot_id, leaving_id)
        if new[:3] > old[:3]:
            if is_unsure(self.given.series, slot, leaving):
                return Aim.REPLACES_UNSURE, f"Surely fits; coin {leaving_id} is still to verify."
            if new.sound > old.sound:
                return (
                    Aim.REPLACES_HOLE_FILLER,
                    f"Sound; coin {leaving_id} is a hole filler ({_problem(leaving)}).",
                )
            if new.met > old.met and slot.target is not None:
                return (
                    Aim.MEETS_TARGET,
                    f"Meets the target {slot.target.text}; coin {leaving_id} "
                    f"({_grade(leaving)}) does not.",
                )
            return Aim.BETTER_GRADE, f"{_grade(coin)} instead of {_grade(leaving)}."
        if freed_for is not None:
            return Aim.FREES, f"Frees coin {leaving_id} for {self._called(freed_for, slot_id)}."
        return chain, "Makes the most of the coins at hand, all slots taken together."

    def _called(self, slot_id: SlotId, beside: SlotId) -> str:
        slot = self.slots[slot_id]
        is_other = slot.album != self.slots[beside].album
        return f"{slot.label} of another album" if is_other else slot.label


def _grade(coin: Coin) -> str:
    return coin.grade.text if coin.grade else "no grade"


def _problem(coin: Coin) -> str:
    return ", ".join(coin.problems) or "details grade"


def _compares(table: _Table, solved: Solved) -> Iterator[Compare]:
    """For each slot that keeps its coin, the best spare that must be compared with it by eye."""
    waiting: dict[int, list[tuple[Coin, int]]] = defaultdict(list)
    for at, coin, count in _by_eye(solved, Counter(table.after.values())):
        waiting[at].append((coin, count))
    for at, coins in sorted(waiting.items()):
        slot = solved.slots[at]
        held = table.after.get(slot.id)
        if held is None or held != table.given.placed.get(slot.id):
            continue
        if _has_all(slot, table.coins[held], table.given.uncapped):
            continue
        best, _ = max(coins, key=lambda row: (row[0].points or 0, -row[0].id))
        yield Compare(slot.id, held, best.id, sum(count for _, count in coins) - 1)


def _has_all(slot: Slot, held: Coin, uncapped: bool) -> bool:
    """Whether no coin could do better here: at target, with all the points that count."""
    if uncapped or slot.target is None or slot.target.least is None:
        return False
    return meets_target(slot, held) and capped_points(slot, held) == slot.target.least


def _by_eye(solved: Solved, used: Mapping[CoinId, int]) -> Iterator[tuple[int, Coin, int]]:
    """By place of a slot: unused sound coins that only the eye can compare there.

    Of coins that are alike the lowest number, and how many they are.
    """
    offered, graded = solved.offers, solved.now.graded
    for first, count in _alike(offered, graded, used):
        for at in offered.fits[offered.kind_of[first]]:
            coin = offered.coin(first)
            if must_compare(graded[at], coin) and newcomer_worth(solved.slots[at], coin).sound:
                yield at, coin, count
    for single in offered.singles:
        if not used.get(single.coin.id):
            yield from ((at, single.coin, 1) for at in single.by_eye)


def _alike(
    offered: "Offers", graded: Sequence[bool | None], used: Mapping[CoinId, int]
) -> list[tuple[int, int]]:
    """Loose coins left over, whose kind fits a slot with a sound coin, by kind and look.

    For each kind and look the place of the coin with the lowest number, and how many coins.
    """
    import numpy as np

    if not len(offered.number):
        return []
    watched = np.array([any(graded[at] is not None for at in fits) for fits in offered.fits])
    times = np.zeros(len(offered.number), dtype=np.int64)
    order = np.argsort(offered.number)
    rising = offered.number[order]
    for coin, count in used.items():
        at = int(np.searchsorted(rising, coin))
        if at < len(rising) and rising[at] == coin:
            times[order[at]] = count
    left = order[(watched[offered.kind_of] & (times < offered.quantity))[order]]
    code = offered.kind_of[left] * len(offered.looks.coins) + offered.look_of[left]
    _, first, count = np.unique(code, return_index=True, return_counts=True)
    return list(zip(left[first].tolist(), count.tolist(), strict=True))
