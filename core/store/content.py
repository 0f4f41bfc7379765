"""Two hashes over a collection: over what it means, and over its very rows.

Two collections mean the same when they hold the same coins under the same numbers in the same slots
of the same albums, now and in the past. Which keys their rows happen to have does not matter, nor
which descriptions or series lie in the file that no coin, slot or album uses, nor what the
collection is called.
"""

import hashlib
from collections.abc import Callable, Iterable
from typing import Any

from sqlalchemy import Column, Connection, Select, Table, Text, select, type_coerce

from core.store.tables import (
    JOURNALLED,
    album,
    box,
    campaign,
    claim,
    coin,
    collection,
    container,
    description,
    find,
    offer,
    own_code,
    placement,
    plan_choice,
    price,
    price_rules,
    rate,
    reservation,
    roll,
    saved_arrangement,
    search,
    series,
    sighting,
    slot,
    tally,
    weighing,
)

NAMED_BY_USERS = (collection, series, description)
"""Tables that the content hash does not walk: told by the rows that use them, or left out."""
WALKED = (
    album, slot, coin, placement, reservation, saved_arrangement, campaign, search, box, roll, find,
    sighting, claim, tally, weighing, container, price, offer, rate, price_rules,
    own_code, plan_choice,
)  # fmt: skip

Told = Callable[[Any], str]


def _raw(columns: Iterable[Column[Any]]) -> Select[*tuple[Any, ...]]:
    """The columns as the database holds them: a day as its text, a flag as 0 or 1."""
    return select(*(type_coerce(c, Text).label(c.name) for c in columns))


def rows_hash(conn: Connection) -> str:
    """A hash over every row with its keys: equal only where nothing at all was changed."""
    hashed = hashlib.sha256()
    for table in JOURNALLED:
        hashed.update(table.name.encode())
        for row in conn.execute(_raw(table.c).order_by(table.c.id)):
            hashed.update(_bytes(tuple(row)))
    return hashed.hexdigest()


def content_hash(conn: Connection) -> str:
    """A hash over what the collection means.

    A coin is known by its number, a description by its key, a series by its id, an album by its
    place on the shelf, a slot by its place in its album; campaigns, searches and boxes by the order
    in which they were begun, offers by that in which they were noted.
    """
    codes = {row[0]: str(row[1]) for row in conn.execute(select(series.c.id, series.c.code))}
    keys = {
        row[0]: str(row[1]) for row in conn.execute(select(description.c.id, description.c.key))
    }
    on_shelf = conn.execute(select(album.c.id).order_by(album.c.shelf, album.c.id)).scalars()
    albums = {key: str(at) for at, key in enumerate(on_shelf)}
    slots = _slot_places(conn, albums)
    used: set[str] = set()

    def code_of(key: int) -> str:
        used.add(codes[key])
        return codes[key]

    def described(key: int) -> str:
        used.add(keys[key].partition(";")[0])
        return keys[key]

    names: dict[str, Told] = {
        "series_id": code_of,
        "description_id": described,
        "accepts_id": described,
        "album_id": albums.__getitem__,
        "slot_id": slots.__getitem__,
        "campaign_id": _ranks(conn, campaign).__getitem__,
        "search_id": _ranks(conn, search).__getitem__,
        "box_id": _ranks(conn, box).__getitem__,
        "offer_id": _ranks(conn, offer).__getitem__,
    }
    hashed = hashlib.sha256()
    for table in WALKED:
        # A coin's number is shown; the other keys are nobody's business.
        columns = [c for c in table.c if c.name != "id" or table is coin]
        told = [names.get(c.name) for c in columns]
        lines = sorted(_bytes(_meant(row, told)) for row in conn.execute(_raw(columns)))
        hashed.update(f"\n{table.name} {[c.name for c in columns]}\n".encode())
        hashed.update(b"".join(lines))
    texts = _raw(c for c in series.c if c.name != "id")
    hashed.update(b"\nseries\n")
    for code in sorted(used):
        for row in conn.execute(texts.where(series.c.code == code)):
            hashed.update(_bytes(tuple(row)))
    return hashed.hexdigest()


def _ranks(conn: Connection, table: Table) -> dict[int, str]:
    keys = conn.execute(select(table.c.id).order_by(table.c.id)).scalars()
    return {key: str(at) for at, key in enumerate(keys)}


def _slot_places(conn: Connection, albums: dict[int, str]) -> dict[int, str]:
    """Each slot by its key: its album's place on the shelf, and its own in the album."""
    found: dict[int, str] = {}
    seen: dict[int, int] = {}
    columns = select(slot.c.id, slot.c.album_id)
    for key, of in conn.execute(columns.order_by(slot.c.position, slot.c.id)):
        at = seen[of] = seen.get(of, -1) + 1
        found[key] = f"{albums[of]}:{at}"
    return found


def _meant(row: Iterable[Any], told: Iterable[Told | None]) -> tuple[Any, ...]:
    """A row's values, with what its keys stand for."""
    return tuple(
        value if meaning is None or value is None else meaning(value)
        for value, meaning in zip(row, told, strict=True)
    )


def _bytes(row: tuple[Any, ...]) -> bytes:
    return repr(row).encode("utf-8", "surrogatepass")
