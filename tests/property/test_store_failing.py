"""Whichever database call of whatever operation fails, the collection is as it was."""

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from sqlalchemy import event

from core.errors import FileTrouble
from core.store.store import Store
from tests.store_material import CHANGES, Small, a_store, fill, swap


class Faults:
    """Lets the n-th call to the database fail, BEGIN and COMMIT counted among them."""

    def __init__(self, store: Store) -> None:
        self.at = 0
        self.calls = 0
        self._engine = store._writes

    def _count(self, *_: object) -> None:
        self.calls += 1
        if self.calls == self.at:
            error = sqlite3.OperationalError("disk I/O error")
            error.sqlite_errorname = "SQLITE_IOERR_WRITE"
            raise error

    @contextmanager
    def failing(self, at: int) -> Iterator[None]:
        self.at, self.calls = at, 0
        event.listen(self._engine, "before_cursor_execute", self._count)
        event.listen(self._engine, "commit", self._count)
        try:
            yield
        finally:
            event.remove(self._engine, "before_cursor_execute", self._count)
            event.remove(self._engine, "commit", self._count)


def changed(name: str) -> Callable[[Store, Small], object]:
    def work(store: Store, small: Small) -> None:
        with store.operation(name) as unit:
            CHANGES[name](unit, small)

    return work


def swapped(store: Store, small: Small) -> None:
    with store.operation("Swap") as unit:
        swap(unit, small)


def undone(store: Store, small: Small) -> None:
    assert store.undo() is not None


def redone(store: Store, small: Small) -> None:
    assert store.redo() is not None


WORKS = {name: changed(name) for name in CHANGES} | {
    "swap": swapped,
    "undo": undone,
    "redo": redone,
}


def traces(store: Store) -> object:
    """All that an operation could leave behind."""
    return store.rows_hash(), store.history(99), store.undo_label, store.redo_label


@pytest.mark.parametrize("name", sorted(WORKS))
def test_a_failing_call_leaves_no_trace(tmp_path: Path, name: str):
    store = a_store(tmp_path / "jar.slotleaf")
    small = fill(store)
    with store.operation("Earlier") as unit:
        swap(unit, small)
        unit.delete_coins(small.coins[5:7])
    if name != "undo":  # a redo to do, and one that a new operation would forget
        store.undo()
    before = traces(store)
    faults = Faults(store)

    def succeeds(at: int) -> bool:
        try:
            with faults.failing(at):
                WORKS[name](store, small)
        except FileTrouble:
            return False
        return True

    at = 1
    while not succeeds(at):
        assert traces(store) == before
        at += 1
    assert at > 6
    assert faults.calls == at - 1  # every call had its turn
    assert traces(store) != before
    assert store.check() == []
    store.close()
