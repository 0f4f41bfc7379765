"""What a box came to in the albums: the slots that its finds filled or bettered, from the stays.

This is the one source of "slots filled" and "upgrades" of a finished box, in the log, the tallies,
the campaign's figures, the records and the report. The answers given at the table are no part of
it: they are a forecast, which stands only while the box is open.

- A slot is filled by a box when a coin of the box was the first in it while it was empty, or when
  the coin that had to leave for a find went on into an empty slot. So a find that betters one slot,
  whose freed coin fills a gap of another album, made one upgrade and filled one slot.
- A slot is bettered when the coin that came does better there than the one that left
  (`does_better`), or where only the eye could tell and the find was said to be better at the table
  (`>`). Another coin is neither.
- Of a find the first stay counts that was no slip (put in and taken out on one day). It counts
  whenever it began and however it came about, so a spare of the box that is put into a gap by hand
  weeks later counts from then on. Where it goes later changes nothing, and a slot that is emptied
  again was filled all the same. Each find has one such stay, so two finds for one gap fill one.
- What is known only by stays goes with them: of an album that was deleted, or a slot taken out of
  it, nothing counts any more. Undo brings stays and figures back.
- A coin taken out of a lot is a coin of its own and no find any more.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from collections.abc import Collection as Several
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from heapq import heapify, heappop, heappush

from core.app.look_up_places import is_for_the_eye
from core.model.album import Placement, Slot, SlotId
from core.model.coin import Coin, CoinId
from core.model.fit import does_better
from core.model.issue import Series, SeriesId
from core.search.facts import FILLS, UPGRADES
from core.store.read import Reader

FEW = 400
"""The stays of so many coins are looked up one by one; of more, all stays are read at once."""


class Became(StrEnum):
    """What a coin that came made of its slot."""

    NEW = "new"
    BETTER = "better"
    OTHER = "other coin"


AS_ANSWER = {Became.NEW: FILLS, Became.BETTER: UPGRADES}
"""The answer that would have been right."""


@dataclass(frozen=True, slots=True)
class SlotStep:
    """A slot that a box changed: its coin before (None: empty) and after, and the find behind it.

    `find` is the coin that came itself, or the find that the coin had to make way for.
    """

    before: CoinId | None
    after: CoinId
    day: date
    find: CoinId


class Stays:
    """Stays by coin and by slot, in the order in which they were begun."""

    def __init__(
        self,
        of_coin: Callable[[CoinId], Iterable[Placement]],
        of_slot: Callable[[SlotId], Iterable[Placement]],
    ) -> None:
        self._of_coin, self._of_slot = of_coin, of_slot
        self._coins: dict[CoinId, list[Placement]] = {}
        self._slots: dict[SlotId, list[Placement]] = {}

    @staticmethod
    def among(stays: Iterable[Placement]) -> "Stays":
        """Those of a list that holds all."""
        coins: defaultdict[CoinId, list[Placement]] = defaultdict(list)
        slots: defaultdict[SlotId, list[Placement]] = defaultdict(list)
        for stay in stays:
            coins[stay.coin].append(stay)
            slots[stay.slot].append(stay)
        return Stays(lambda coin: coins.get(coin, ()), lambda slot: slots.get(slot, ()))

    @staticmethod
    def read(reader: Reader, coins: int) -> "Stays":
        """Those of the file, to be asked within the reading, for so many coins."""
        if coins > FEW:
            return Stays.among(reader.all_placements())
        return Stays(reader.placements_of_coin, reader.placements_of_slot)

    def of_coin(self, coin: CoinId) -> Sequence[Placement]:
        """All of a coin."""
        if coin not in self._coins:
            self._coins[coin] = sorted(self._of_coin(coin), key=_begun)
        return self._coins[coin]

    def of_slot(self, slot: SlotId) -> Sequence[Placement]:
        """All in a slot."""
        if slot not in self._slots:
            self._slots[slot] = sorted(self._of_slot(slot), key=_begun)
        return self._slots[slot]


def _begun(stay: Placement) -> tuple[date, int]:
    return stay.since, stay.id


def slot_steps(finds: Iterable[CoinId], stays: Stays) -> dict[SlotId, SlotStep]:
    """What these finds changed in slots: their own, and those that coins went to for them.

    A coin that makes way leaves its slot the day the find comes in; where it goes into another
    slot that day, that one changed too. Of a slot that finds of the box changed twice the coin
    before the first of them and the coin after the last are told.
    """
    order = tuple(dict.fromkeys(finds))
    own = frozenset(order)
    firsts = ((coin, _first(stays.of_coin(coin), stays)) for coin in order)
    waiting = [(*_begun(stay), stay, coin) for coin, stay in firsts if stay is not None]
    heapify(waiting)
    found: dict[SlotId, SlotStep] = {}
    done: set[int] = set()
    while waiting:
        _, number, stay, find = heappop(waiting)
        if number in done:
            continue
        done.add(number)
        known = found.get(stay.slot)
        before = known.before if known else _before(stay, own, stays)
        found[stay.slot] = SlotStep(before, stay.coin, stay.since, find)
        left = _made_way(stay, stays)
        onward = left and _onward(left, stay, stays)
        if left and onward:
            heappush(waiting, (*_begun(onward), onward, left.coin if left.coin in own else find))
    return found


def _first(mine: Iterable[Placement], stays: Stays) -> Placement | None:
    return next((stay for stay in mine if not _is_slip(stay, stays)), None)


def _is_slip(stay: Placement, stays: Stays) -> bool:
    """Whether a coin came out the day it went in, and not to make way for another."""
    if stay.until is None or stay.until > stay.since:
        return False
    beside = stays.of_slot(stay.slot)
    return not any(other.id > stay.id and other.since == stay.until for other in beside)


def _made_way(stay: Placement, stays: Stays) -> Placement | None:
    """The stay that ended in a slot the day another coin came in."""
    ended = [
        other
        for other in stays.of_slot(stay.slot)
        if other.id < stay.id and other.until == stay.since and other.coin != stay.coin
    ]
    return ended[-1] if ended else None


def _before(stay: Placement, own: Several[CoinId], stays: Stays) -> CoinId | None:
    """The coin that made way; where it was a find of the box too, the one before it."""
    left = _made_way(stay, stays)
    while left is not None and left.coin in own:
        left = _made_way(left, stays)
    return left.coin if left else None


def _onward(left: Placement, stay: Placement, stays: Stays) -> Placement | None:
    """Where a coin that made way went that day."""
    later = (
        other
        for other in stays.of_coin(left.coin)
        if other.since == stay.since and other.id > left.id and other.slot != stay.slot
    )
    return _first(later, stays)


def became(
    series: Series, slot: Slot, before: Coin | None, after: Coin, was_said: bool = False
) -> Became:
    """What a coin made of a slot that held another one before, or none.

    `was_said`: it was said to be better, which counts where only the eye can tell.
    """
    if before is None:
        return Became.NEW
    is_better = does_better(series, slot, before, after)
    is_better |= was_said and is_for_the_eye(slot, before, after)
    return Became.BETTER if is_better else Became.OTHER


@dataclass(frozen=True, slots=True)
class BoxSlots:
    """What a box came to in the albums.

    `steps` by slot, and in `words` what each coin made of its slot. `came` tells for each find that
    changed something what it came to, in the words of the answers: one for each slot filled or
    bettered. `slots` and `coins` are all that this rests on.
    """

    steps: Mapping[SlotId, SlotStep]
    words: Mapping[SlotId, Became]
    came: Mapping[CoinId, tuple[str, ...]]
    slots: frozenset[SlotId]
    coins: frozenset[CoinId]


def box_slots(
    reader: Reader,
    finds: Sequence[CoinId],
    stays: Stays,
    series_of: Callable[[SeriesId], Series],
    said_better: Several[CoinId] = frozenset(),
) -> BoxSlots:
    """What the finds of a box changed in the albums, read from the stays of the file.

    `said_better` are those that were kept as upgrades.
    """
    steps = slot_steps(finds, stays)
    where = {stay.slot for coin in finds for stay in stays.of_coin(coin)}
    beside = {stay.coin for number in steps for stay in stays.of_slot(number)}
    numbers = {step.after for step in steps.values()}
    numbers |= {step.before for step in steps.values() if step.before is not None}
    coins = reader.coins(numbers)
    slots = reader.slots_by_ids(steps)
    came: defaultdict[CoinId, list[str]] = defaultdict(list)
    words: dict[SlotId, Became] = {}
    for number, step in steps.items():
        slot = slots[number]
        before = None if step.before is None else coins[step.before]
        series, after = series_of(slot.accepts.series), coins[step.after]
        word = words[number] = became(series, slot, before, after, step.after in said_better)
        if word in AS_ANSWER:
            came[step.find].append(AS_ANSWER[word])
    told = {coin: tuple(words) for coin, words in came.items()}
    return BoxSlots(
        steps, words, told, frozenset(where | set(steps)), frozenset(beside | set(finds))
    )
