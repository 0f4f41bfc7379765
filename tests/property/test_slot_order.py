"""The order of slots, written run by run, against every slot written whole."""

import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.errors import NotFound
from core.model.album import AlbumId, Slot, SlotId
from core.store.store import Store
from core.store.unit import Unit
from core.store.write_positions import runs
from tests.store_material import TOKEN_TEXTS, a_slot, a_store, an_album

MANY = 90
Order = list[SlotId]


@contextmanager
def two_albums(positions: Sequence[int]) -> Iterator[tuple[Store, AlbumId]]:
    """A file with an album whose slots stand in these places, and another one below it."""
    with tempfile.TemporaryDirectory() as folder:
        store = a_store(Path(folder) / "jar.slotleaf")
        with store.operation("Begin") as unit:
            unit.add_series(*TOKEN_TEXTS)
            album, other = unit.add_album(an_album()), unit.add_album(an_album("More", 1))
            unit.add_slots([slot_at(album, at, place) for at, place in enumerate(positions)])
            unit.add_slots([a_slot(other, at) for at in range(5)])
        yield store, album
        store.close()


def slot_at(album: AlbumId, at: int, place: int) -> Slot:
    return replace(a_slot(album, at % 20), position=place, label=f"hole {at}")


def whole(unit: Unit, album: AlbumId, order: Order) -> list[SlotId]:
    """The plain way: each slot that stands elsewhere is written with all it holds."""
    here = {slot.id: slot for slot in unit.read.slots(album)}
    moved = [replace(here[s], position=at) for at, s in enumerate(order) if here[s].position != at]
    unit.update_slots(moved)
    return [slot.id for slot in moved]


def stirred(order: Order, how: Random) -> Order:
    """One slot moved, a few, or all of them anyhow."""
    order = list(order)
    if how.random() < 0.4:
        how.shuffle(order)
        return order
    for _ in range(how.randint(1, 3)):
        order.insert(how.randrange(len(order)), order.pop(how.randrange(len(order))))
    return order


@settings(max_examples=8, deadline=None)
@given(st.integers(2, MANY), st.randoms(use_true_random=False), st.sampled_from([0, 1, 2]))
def test_an_order_is_the_same_whichever_way_it_is_written(many: int, how: Random, by: int) -> None:
    """`by` 0: places apart with gaps between; 1: from 0 on; 2: two slots share each place."""
    places = [2 * at if by == 0 else at if by == 1 else at // 2 for at in range(many)]
    with two_albums(places) as (store, album):
        with store.reading() as read:
            order, before = stirred(read.slot_ids(album), how), read.slots(album)
        rows = store.rows_hash()
        said: dict[str, tuple[list[SlotId], str, str]] = {}
        ways: dict[str, Callable[[Unit], list[SlotId]]] = {
            "plainly": lambda unit: whole(unit, album, order),
            "by runs": lambda unit: unit.reorder_slots(album, order),
        }
        for name, way in ways.items():
            with store.operation(name) as unit:
                moved = way(unit)
            said[name] = sorted(moved), store.rows_hash(), store.content_hash()
            with store.reading() as read:
                assert read.slot_ids(album) == order
                assert [slot.position for slot in read.slots(album)] == list(range(many))
            if unit.entry is None:
                assert not moved
                continue
            with store._snapshot() as conn:
                changed = conn.exec_driver_sql(
                    "SELECT count(*) FROM journal_change WHERE entry = ?", (unit.entry,)
                ).scalar()
            assert (
                changed == len(moved) == len([s for s in before if s.position != order.index(s.id)])
            )
            store.undo()
            assert store.rows_hash() == rows
            store.redo()
            assert store.rows_hash() == said[name][1]
            store.undo()
        assert said["plainly"] == said["by runs"]


def test_one_slot_moved_is_two_runs_and_the_order_names_each_slot_once() -> None:
    moved = [(0, 3), (1, 0), (2, 1), (3, 2)]
    assert runs(moved) == [(0, 0, 3), (1, 3, -1)]
    with two_albums(range(6)) as (store, album):
        with store.reading() as read:
            order = read.slot_ids(album)
        for wrong in (order[1:], [*order, order[0]], [*order[1:], SlotId(99)]):
            with pytest.raises(NotFound), store.operation("Wrong") as unit:
                unit.reorder_slots(album, wrong)
