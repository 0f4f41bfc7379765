"""Whatever is done and however it is corrected, the leaf as of a day is a replay of the changes.

The replay is the test's own: a list of what went in and out when, walked evening by evening over a
dict. It knows nothing of the program's tables, spans or views.
"""

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from pathlib import Path

from hypothesis import event, given, settings
from hypothesis import strategies as st

from core.app.collection import Collection
from core.app.operations import clear_slots, place_coin, swap_slots
from core.app.operations_past import correct_placement
from core.app.past import SlotChange
from core.errors import Refused
from core.model.coin import CoinId
from tests.collection_material import (
    DAY,
    Clock,
    a_collection,
    an_album,
    differences,
    fresh,
    with_coins,
)


@dataclass(frozen=True)
class Stay:
    """What the test noted: `number` is the program's, only used to name the stay to it."""

    slot: str
    coin: int
    came: date
    left: date | None
    number: int


@dataclass
class Notes:
    """All stays noted so far."""

    stays: list[Stay] = field(default_factory=list)

    def holder(self, slot: str) -> Stay | None:
        return next((s for s in self.stays if s.slot == slot and s.left is None), None)

    def place(self, coin: int) -> Stay | None:
        return next((s for s in self.stays if s.coin == coin and s.left is None), None)

    def end(self, stay: Stay | None, day: date) -> None:
        if stay is not None:
            self.stays[self.stays.index(stay)] = replace(stay, left=day)

    def evenings(self, first: date, last: date) -> dict[date, dict[str, int]]:
        """What stood in each slot at each evening, walked from one evening to the next."""
        standing: dict[str, int] = {}
        found = {}
        day = first
        while day <= last:
            for stay in self.stays:
                if stay.left == day and standing.get(stay.slot) == stay.coin:
                    del standing[stay.slot]
            for stay in self.stays:
                if stay.came == day and stay.left != day:
                    assert stay.slot not in standing, "two coins in one slot"
                    assert stay.coin not in standing.values(), "one coin in two slots"
                    standing[stay.slot] = stay.coin
            found[day] = dict(standing)
            day += timedelta(1)
        return found

    def may_be(self, stay: Stay, came: date, left: date | None, today: date) -> bool:
        """Whether a correction is lawful, by which evenings each stay takes."""
        if came > today or (left is not None and (left < came or left > today)):
            return False
        end = today + timedelta(1)
        mine = evenings_of(came, left, end)
        for other in self.stays:
            if other is stay or (other.slot != stay.slot and other.coin != stay.coin):
                continue
            theirs = evenings_of(other.came, other.left, end)
            if mine & theirs:
                return False
            # In and out within one day takes no evening, yet not while another is there all day.
            if not mine and {came - timedelta(1), came} <= theirs:
                return False
            if not theirs and {other.came - timedelta(1), other.came} <= mine:
                return False
        return True


def evenings_of(came: date, left: date | None, end: date) -> set[date]:
    last = end if left is None else left - timedelta(1)
    return {came + timedelta(n) for n in range((last - came).days + 1)}


class World:
    """An open collection beside the test's own notes."""

    def __init__(self, collection: Collection, clock: Clock) -> None:
        self.collection, self.clock = collection, clock
        self.album = collection.albums()[0].id
        view = collection.album_view(self.album)
        self.slots = {s.slot.label: s.slot.id for s in view.slots}
        self.labels = {slot_id: label for label, slot_id in self.slots.items()}
        self.first = clock.day
        self.notes = Notes()
        self.done: list[Notes] = []
        self.undone: list[Notes] = []

    def label(self, at: int) -> str:
        return sorted(self.slots)[at % len(self.slots)]

    def remember(self) -> None:
        self.done.append(Notes(list(self.notes.stays)))
        self.undone.clear()

    def newest(self, slot: str) -> int:
        lines = self.collection.slot_card(self.slots[slot]).history
        return max(line.placement or 0 for line in lines)

    def put(self, coin: int, slot: str) -> None:
        try:
            self.collection.run(place_coin(CoinId(coin), self.slots[slot], may_be_wrong=True))
        except Refused:
            assert self.notes.holder(slot) == self.notes.place(coin)
            return
        self.remember()
        day = self.clock.day
        self.notes.end(self.notes.place(coin), day)
        self.notes.end(self.notes.holder(slot), day)
        self.notes.stays.append(Stay(slot, coin, day, None, self.newest(slot)))

    def take(self, slot: str) -> None:
        if (stay := self.notes.holder(slot)) is not None:
            self.collection.run(clear_slots([self.slots[slot]]))
            self.remember()
            self.notes.end(stay, self.clock.day)

    def swap(self, one: str, other: str) -> None:
        first, second = self.notes.holder(one), self.notes.holder(other)
        try:
            self.collection.run(swap_slots(self.slots[one], self.slots[other]))
        except Refused:
            return  # a coin does not fit there, or nothing is in either
        self.remember()
        for stay in (first, second):
            self.notes.end(stay, self.clock.day)
        for stay, to in ((first, other), (second, one)):
            if stay is not None:
                number = self.newest(to)
                self.notes.stays.append(Stay(to, stay.coin, self.clock.day, None, number))

    def correct(self, at: int, back: int, lasts: int | None) -> None:
        """Set a stay to begin `back` days ago and to last so long; None: it goes on."""
        if not self.notes.stays:
            return
        stay = self.notes.stays[at % len(self.notes.stays)]
        came = self.clock.day - timedelta(back)
        left = None if lasts is None else came + timedelta(lasts)
        is_lawful = self.notes.may_be(stay, came, left, self.clock.day)
        before = self.collection.rows_hash()
        entries = self.collection.entries(1)
        try:
            self.collection.run(correct_placement(stay.number, came, left))
        except Refused:
            event("a correction refused")
            assert not is_lawful, (stay, came, left, self.notes)
            assert self.collection.rows_hash() == before
            assert self.collection.entries(1) == entries
            return
        event("a correction accepted")
        assert is_lawful, (stay, came, left, self.notes)
        if (stay.came, stay.left) != (came, left):
            self.remember()
            at = self.notes.stays.index(stay)
            self.notes.stays[at] = replace(stay, came=came, left=left)

    def undo(self) -> None:
        if self.done:
            assert self.collection.undo() is not None
            self.undone.append(self.notes)
            self.notes = self.done.pop()

    def redo(self) -> None:
        if self.undone:
            assert self.collection.redo() is not None
            self.done.append(self.notes)
            self.notes = self.undone.pop()

    def compare(self) -> None:
        """The leaf as of each evening, and what changed since, against the replay."""
        today = self.clock.day
        first = min([self.first, *(s.came for s in self.notes.stays)]) - timedelta(1)
        evenings = self.notes.evenings(first, today)
        past = self.collection.album_past(self.album)
        for day, standing in evenings.items():
            view = past.view_on(day)
            seen = {s.slot.label: int(s.coin.id) for s in view.slots if s.coin is not None}
            assert seen == standing, day
            assert view.headline.have == len(standing)
            for label, slot_id in self.slots.items():
                cell = view.plan.cell_of_slot(slot_id)
                assert view.plan.codes[cell] == view.by_id[slot_id].code, (day, label)
            told = {self.labels[s]: c for s, c in past.changed_since(day).items()}
            assert {s: kind(c) for s, c in told.items()} == self.since(
                day, standing, evenings[today]
            )
        noted = {s.came for s in self.notes.stays} | {s.left for s in self.notes.stays}
        days = sorted(day for day in noted if day is not None)
        assert self.collection.past_days(self.album) == tuple(days)

    def since(self, day: date, before: dict[str, int], now: dict[str, int]) -> dict[str, str]:
        touched = {
            s.slot
            for s in self.notes.stays
            if s.came > day or (s.left is not None and s.left > day)
        }
        found = {}
        for slot in touched:
            was, has = before.get(slot), now.get(slot)
            if was == has:
                found[slot] = "in and out"
            elif was is None:
                found[slot] = "new"
            else:
                found[slot] = "out" if has is None else "another"
        return found


def kind(change: SlotChange) -> str:
    """The word, a better coin and another coin as one: the test does not grade."""
    return "another" if change in (SlotChange.BETTER, SlotChange.OTHER) else change.value


@contextmanager
def a_world() -> Iterator[World]:
    clock = Clock(DAY)
    with tempfile.TemporaryDirectory() as folder, a_collection(Path(folder), clock) as collection:
        an_album(collection, "Nickels", years=(1940, 1941))
        with_coins(collection, "1940 vf20", "1940 g4", "1941 ?", "1941-D au50", "1940-S")
        yield World(collection, clock)


small = st.integers(0, 12)
puts = st.tuples(st.just("put"), st.integers(1, 5), st.integers(0, 5))
takes = st.tuples(st.just("take"), small, small)
swaps = st.tuples(st.just("swap"), st.integers(0, 5), st.integers(0, 5))
days = st.tuples(st.just("day"), st.integers(1, 4), small)
corrections = st.tuples(
    st.just("correct"), small, st.tuples(st.integers(-1, 14), st.none() | st.integers(-1, 9))
)
back = st.tuples(st.sampled_from(["undo", "redo"]), small, small)
begun = st.lists(st.one_of(puts, puts, days), min_size=5, max_size=10)
later = st.lists(
    st.one_of(puts, puts, takes, swaps, days, corrections, corrections, corrections, back),
    min_size=4,
    max_size=14,
)
walks = st.tuples(begun, later).map(lambda parts: [*parts[0], *parts[1]])


@settings(max_examples=25)
@given(walks)
def test_the_leaf_as_of_each_day_is_a_replay_of_the_changes(walk: list[tuple]) -> None:
    with a_world() as world:
        for what, a, b in walk:
            match what:
                case "put":
                    world.put(a, world.label(b))
                case "take":
                    world.take(world.label(a))
                case "swap":
                    world.swap(world.label(a), world.label(b))
                case "day":
                    world.clock.day += timedelta(a)
                case "correct":
                    world.correct(a, *b)
                    world.compare()
                case "undo":
                    world.undo()
                case "redo":
                    world.redo()
        world.compare()
        assert world.collection.check() == []
        with fresh(world.collection) as other:
            assert differences(world.collection, other) == []


def test_the_oracle_knows_a_lawful_correction_from_an_unlawful_one() -> None:
    """So that the test above does not agree with the program by refusing nothing."""
    day = [DAY + timedelta(n) for n in range(10)]
    one, two = Stay("a", 1, day[1], day[4], 1), Stay("a", 2, day[6], None, 2)
    notes = Notes([one, two])
    cases = {
        (day[0], day[6]): True,
        (day[0], day[7]): False,
        (day[7], day[7]): False,
        (day[6], day[6]): True,
        (day[1], None): False,
        (day[3], day[2]): False,
        (day[1], day[9]): False,
    }
    assert {c: notes.may_be(one, *c, today=day[8]) for c in cases} == cases
    assert list(notes.evenings(day[0], day[7]).values()) == [
        {}, {"a": 1}, {"a": 1}, {"a": 1}, {}, {}, {"a": 2}, {"a": 2},
    ]  # fmt: skip
