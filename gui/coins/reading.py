"""What the worker reads for the coins workspace; it reports, and stops when asked."""

import gc
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING

from core.app.finding import SlotFinds
from core.app.work import Progress
from core.errors import BadEntry, NotFound
from core.model.album import SlotId
from core.model.coin import CoinId
from core.model.issue import Series
from gui.coins.entry_line import read_line
from gui.coins.rows import CoinTable, Column, Part

if TYPE_CHECKING:
    from core.app.collection import Collection


@dataclass(frozen=True, slots=True)
class Asked:
    """What to read: all rows anew, or only these coins; and what fits the slot, where one is."""

    table: CoinTable
    needs_all: bool
    coins: frozenset[CoinId]
    sort_by: Column
    slot: SlotId | None = None


@dataclass(frozen=True, slots=True)
class Read:
    """Rows and their counts, and every series; `finds` None where no slot is sought for."""

    table: CoinTable
    counts: dict[Part, int]
    pieces: int
    in_use: tuple[Series, ...]
    known: tuple[Series, ...]
    finds: SlotFinds | None = None
    is_slot_gone: bool = False


def read_coins(collection: "Collection", asked: Asked, progress: Progress) -> Read:
    """Carry out a reading; raises Cancelled."""
    known, in_use = tuple(collection.all_series()), tuple(collection.series_in_use)
    if asked.needs_all:
        with _no_pauses():
            _warm(in_use, known)
            rows = collection.coin_rows(progress=progress)
            progress.report(0.85)
            table = CoinTable(rows)
    elif asked.coins:
        table = asked.table.updated(asked.coins, collection.coin_rows(asked.coins))
    else:
        table = asked.table
    progress.report(0.9)
    table.sort_by(Column.NUMBER if asked.sort_by is Column.GAIN else asked.sort_by)
    progress.report(0.95)
    table.at_of(())
    _ = table.has_many_series, table.has_foreign_grades
    finds, is_slot_gone = _finds(collection, table, asked.slot, progress)
    counts = table.counts()
    return Read(table, counts, table.pieces, in_use, known, finds, is_slot_gone)


def _finds(
    collection: "Collection", table: CoinTable, slot: SlotId | None, progress: Progress
) -> tuple[SlotFinds | None, bool]:
    if slot is None:
        return None, False
    try:
        return collection.coins_for_slot(slot, (row.coin for row in table.rows), progress), False
    except NotFound:
        return None, True


@contextmanager
def _no_pauses() -> Iterator[None]:
    """Make many rows without the cycle collector: it would stop the window for 0.3 s at a time.

    Rows hold no cycles; afterwards it need not walk those that are there. For many rows only: what
    is garbage by then stays for good.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        gc.freeze()
        if was_on:
            gc.enable()


def _warm(in_use: Iterable[Series], known: Iterable[Series]) -> None:
    """Have every series' words ready, so that the first key in the entry line does not wait."""
    try:
        read_line("1", tuple(in_use), tuple(known), None)
    except BadEntry:
        return
