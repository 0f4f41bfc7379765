"""Random operations: undo all gives the first hash, redo all the last, also across restarts."""

import random
import tempfile
from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from core.errors import CollectionError
from core.model.album import AlbumId, SlotId
from core.model.coin import Coin, CoinId, CoinStatus, Finding, Problem
from core.model.issue import VarietyId
from core.store.store import Store, create, open_store
from core.store.unit import Unit
from tests.store_material import (
    DAY,
    TOKEN_TEXTS,
    a_coin,
    a_full_coin,
    a_full_slot,
    a_slot,
    an_album,
)

words = st.text(st.characters(exclude_categories=["Cs"]), max_size=8)
seeds = st.randoms(use_true_random=False)
coins = st.builds(
    a_coin,
    year=st.integers(1901, 1912),
    grade=st.sampled_from(["", "vf20", "ms65 rd", "g-vg"]),
    note=words,
    problems=st.sampled_from([(), (Problem.BENT,), (Problem.HOLED, Problem.BENT)]),
    varieties=st.sampled_from([(), ((VarietyId("doubled"), Finding.SUSPECTED),)]),
    quantity=st.sampled_from([1, 1, 1, 4]),
    status=st.sampled_from(list(CoinStatus)),
    weight_mg=st.none() | st.integers(-(2**63), 2**63 - 1),
    acquired=st.none() | st.dates(),
)


class Stop(Exception):
    """An operation broken off by its caller."""


class Collecting(RuleBasedStateMachine):
    """Keeps the hash before every entry that stands (`past`) and after every undone one."""

    @initialize()
    def begin(self) -> None:
        self.folder = tempfile.TemporaryDirectory()
        self.path = Path(self.folder.name) / "jar.slotleaf"
        create(self.path, "The jar", DAY)
        self.store = open_store(self.path)
        self.past: list[str] = []
        self.future: list[str] = []
        self.here = self.store.rows_hash()

        def start(unit: Unit) -> None:
            unit.add_series(*TOKEN_TEXTS)
            album = unit.add_album(an_album())
            unit.add_slots([a_slot(album, at) for at in range(4)])
            unit.add_coins([a_coin(1901 + at) for at in range(4)])

        self.do("Begin", start)

    def teardown(self) -> None:
        if not hasattr(self, "store"):
            return
        while self.future:
            self.step(Store.redo, self.future, self.past)
        end, entries = self.here, len(self.past)
        first = self.past[0]
        self.reopen()
        undone = 0
        while self.store.undo(whole_run=False) is not None:
            undone += 1
        assert undone == entries
        assert self.store.rows_hash() == first
        self.reopen()
        while self.store.redo(whole_run=False) is not None:
            undone -= 1
        assert undone == 0
        assert self.store.rows_hash() == end
        assert [told for told in self.store.check() if "are called" not in told] == []
        self.store.close()
        self.folder.cleanup()

    def reopen(self) -> None:
        self.store.close()
        self.store = open_store(self.path)

    def do(self, label: str, work: Callable[[Unit], object], fail: bool = False) -> None:
        """One operation, known to be one entry if it changed anything, and all or nothing."""
        try:
            with self.store.operation(label) as unit:
                work(unit)
                if fail:
                    raise Stop
        except (CollectionError, Stop):
            assert self.store.rows_hash() == self.here
            return
        if unit.entry is not None:
            self.past.append(self.here)
            self.future.clear()
        self.here = self.store.rows_hash()

    def step(self, move: Callable[[Store, bool], object], source: list[str], to: list[str]) -> None:
        assert move(self.store, False) is not None
        to.append(self.here)
        self.here = source.pop()

    def some(self, unit: Unit, r: random.Random) -> tuple[AlbumId, list[SlotId], list[CoinId]]:
        """An album, its slots and all coins; numbers that are not there where there are none."""
        albums = [one.id for one in unit.read.albums()] or [AlbumId(99)]
        album = r.choice(albums)
        slots = [one.id for one in unit.read.slots(album)] or [SlotId(99)]
        numbers = [one.id for one in unit.read.all_coins()] or [CoinId(99)]
        return album, r.sample(slots, len(slots)), r.sample(numbers, len(numbers))

    @rule(name=words, fail=st.booleans())
    def rename(self, name: str, fail: bool) -> None:
        self.do("Rename", lambda unit: unit.set_name(name), fail)

    @rule(many=st.lists(coins, max_size=5), fail=st.booleans())
    def add_coins(self, many: list[Coin], fail: bool) -> None:
        self.do("Add coins", lambda unit: unit.add_coins(many), fail and len(many) > 3)

    @rule(r=seeds, new=coins, twice=st.booleans())
    def edit_coins(self, r: random.Random, new: Coin, twice: bool) -> None:
        def work(unit: Unit) -> None:
            _, _, numbers = self.some(unit, r)
            if twice:
                full = a_full_coin()
                unit.update_coins([_numbered(full, number) for number in numbers[:3]])
            unit.update_coins([_numbered(new, number) for number in numbers[:2]])

        self.do("Edit coins", work)

    @rule(r=seeds, count=st.integers(1, 4))
    def delete_coins(self, r: random.Random, count: int) -> None:
        self.do("Delete coins", lambda unit: unit.delete_coins(self.some(unit, r)[2][:count]))

    @rule(name=words, count=st.integers(0, 5))
    def add_album(self, name: str, count: int) -> None:
        def work(unit: Unit) -> None:
            album = unit.add_album(an_album(name, count))
            unit.add_slots([a_slot(album, at) for at in range(count)] + [a_full_slot(album, 9)])

        self.do("Add album", work)

    @rule(r=seeds, shelf=st.integers(-5, 5), name=words)
    def edit_album(self, r: random.Random, shelf: int, name: str) -> None:
        def work(unit: Unit) -> None:
            unit.update_album(an_album(name, shelf, id=self.some(unit, r)[0]))

        self.do("Edit album", work)

    @rule(r=seeds)
    def delete_album(self, r: random.Random) -> None:
        self.do("Delete album", lambda unit: unit.delete_album(self.some(unit, r)[0]))

    @rule(r=seeds, by=st.sampled_from([-1, 1, 50]))
    def shift_slots(self, r: random.Random, by: int) -> None:
        def work(unit: Unit) -> None:
            album, slots, _ = self.some(unit, r)
            unit.update_slots([a_slot(album, at + by, id=one) for at, one in enumerate(slots)])

        self.do("Shift slots", work)

    @rule(r=seeds, count=st.integers(1, 3))
    def delete_slots(self, r: random.Random, count: int) -> None:
        self.do("Delete slots", lambda unit: unit.delete_slots(self.some(unit, r)[1][:count]))

    @rule(r=seeds, day=st.integers(0, 9), lift=st.booleans(), count=st.integers(1, 3))
    def place(self, r: random.Random, day: int, lift: bool, count: int) -> None:
        def work(unit: Unit) -> None:
            _, slots, numbers = self.some(unit, r)
            since = DAY + timedelta(days=day)
            pairs = list(zip(slots[:count], numbers, strict=False))
            if lift:
                where = unit.read.placed_ids()
                held = [where[number] for _, number in pairs if number in where]
                unit.end_placements([*held, *(one for one, _ in pairs)], since)
            unit.place_many(pairs, since)

        self.do("Place", work)

    @rule(r=seeds, day=st.dates(date(2026, 2, 25), date(2026, 3, 20)))
    def take(self, r: random.Random, day: date) -> None:
        self.do("Take", lambda unit: unit.end_placements(self.some(unit, r)[1][:2], day))

    @rule(r=seeds)
    def forget_a_stay(self, r: random.Random) -> None:
        def work(unit: Unit) -> None:
            _, slots, _ = self.some(unit, r)
            stays = unit.read.placements_of_slot(slots[0])
            unit.remove_placement(r.choice(stays).id if stays else 99)

        self.do("Forget", work)

    @rule(r=seeds, free=st.booleans())
    def reserve(self, r: random.Random, free: bool) -> None:
        def work(unit: Unit) -> None:
            _, slots, numbers = self.some(unit, r)
            if free:
                unit.unreserve(slots)
            unit.reserve(slots[0], numbers[0])

        self.do("Reserve", work)

    @precondition(lambda self: len(self.past) > 1)
    @rule(count=st.integers(1, 4))
    def undo(self, count: int) -> None:
        for _ in range(min(count, len(self.past) - 1)):
            self.step(Store.undo, self.past, self.future)
            assert self.store.rows_hash() == self.here

    @precondition(lambda self: self.future)
    @rule(count=st.integers(1, 4))
    def redo(self, count: int) -> None:
        for _ in range(min(count, len(self.future))):
            self.step(Store.redo, self.future, self.past)
            assert self.store.rows_hash() == self.here

    @rule()
    def restart(self) -> None:
        self.reopen()

    @invariant()
    def nothing_moved_by_itself(self) -> None:
        if hasattr(self, "store"):
            assert self.store.rows_hash() == self.here
            assert (self.store.redo_label is None) == (not self.future)


def _numbered(coin: Coin, number: CoinId) -> Coin:
    return replace(coin, id=number)


def test_random_operations_are_undone_and_redone():
    run_state_machine_as_test(
        Collecting,
        settings=settings(
            max_examples=12,
            stateful_step_count=20,
            suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
        ),
    )
