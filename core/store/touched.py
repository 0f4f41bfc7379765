"""Which rows a stretch of the journal changed, and which rows those belong to."""

from collections.abc import Iterable, Mapping

from sqlalchemy import Column, Connection, Table, select

from core.store.journal import Journal
from core.store.read import chunks
from core.store.schema import journal
from core.store.tables import (
    box,
    claim,
    find,
    placement,
    reservation,
    roll,
    search,
    sighting,
    slot,
    weighing,
)

# What a screen shows of a row when another changes: children before their parents.
_BELONGS: tuple[tuple[Table, str, str], ...] = (
    (placement, "slot_id", "slot"),
    (placement, "coin_id", "coin"),
    (reservation, "slot_id", "slot"),
    (reservation, "coin_id", "coin"),
    (slot, "album_id", "album"),
    (find, "coin_id", "coin"),
    *((part, "box_id", "box") for part in (roll, find, sighting, claim, weighing)),
    (box, "search_id", "search"),
    (search, "campaign_id", "campaign"),
)


def touched_rows(conn: Connection, first: int, last: int) -> Mapping[str, frozenset[int]]:
    """Ids by table: rows changed by the changes `first` to `last`, and what they belong to.

    A row that moved belongs to both where it was and where it is.
    """
    found: dict[str, set[int]] = {}
    change = journal.change.c
    rows = conn.execute(
        select(change.tbl, change.key).where(change.seq.between(first, last)).distinct()
    )
    for name, key in rows:
        found.setdefault(name, set()).add(key)
    for table, column, parent in _BELONGS:
        ids = found.get(table.name)
        if ids:
            into = found.setdefault(parent, set())
            into |= _seen_in(conn, journal, table, column, first, last)
            into |= _now_in(conn, table.c[column], table.c.id, ids)
    return {name: frozenset(ids) for name, ids in found.items()}


def _seen_in(
    conn: Connection, kept: Journal, table: Table, column: str, first: int, last: int
) -> set[int]:
    image = kept.image[table.name].c
    rows = conn.execute(
        select(image[column]).where(image.image.between(first * 2, last * 2 + 1)).distinct()
    )
    return set(rows.scalars())


def _now_in(
    conn: Connection, column: Column[int], key: Column[int], ids: Iterable[int]
) -> set[int]:
    found: set[int] = set()
    for chunk in chunks(ids):
        found |= set(conn.execute(select(column).where(key.in_(chunk)).distinct()).scalars())
    return found
