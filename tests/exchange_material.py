"""What tests of coins sheets share: a twin collection without coins, and the rows of a sheet."""

import csv
import io
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path

from core.app.collection import Collection, make_collection
from core.app.exchange import import_coins
from core.app.exchange_read import SheetDraft
from core.store.store import open_store
from tests.collection_material import DAY


def an_empty_twin(
    source: Collection, path: Path, today: Callable[[], date] = lambda: DAY
) -> Collection:
    """A new collection with the albums, slots and series of another, and none of its coins."""
    make_collection(path, "The twin")
    with source._store.reading() as reader:
        series = reader.series_texts()
        albums = [(album, reader.slots(album.id)) for album in reader.albums()]
    store = open_store(path)
    with store.operation("Begin") as unit:
        for row in series:
            unit.add_series(row.code, row.title, row.series_toml, row.issues_csv)
        for album, slots in albums:
            made = unit.add_album(album)
            unit.add_slots([replace(slot, album=made) for slot in slots])
    store.close()
    return Collection.open(path, today=today)


def sheet_of(collection: Collection) -> str:
    """All coins as a sheet."""
    return "".join(collection.coins_sheet().lines())


def taken_in(collection: Collection, text: str) -> SheetDraft:
    """Import a sheet that has no fault."""
    draft = collection.read_sheet(text)
    assert [fault.text for fault in draft.faults] == []
    if draft.rows:
        collection.run(import_coins(draft))
    return draft


def rows_of(text: str) -> list[list[str]]:
    """The rows of a sheet, the first naming the columns."""
    return list(csv.reader(io.StringIO(text, newline=""), strict=True))


def text_of(rows: Sequence[Sequence[str]], delimiter: str = ",") -> str:
    """Rows as a sheet."""
    text = io.StringIO(newline="")
    csv.writer(text, delimiter=delimiter, lineterminator="\r\n").writerows(rows)
    return text.getvalue()


def line_of(rows: Sequence[Sequence[str]], at: int) -> int:
    """The line on which a row begins, from 1."""
    before = text_of(rows[:at])
    return 1 + sum(1 for _ in io.StringIO(before, newline=""))
