"""Back to the state right after an entry of the history, all at once; and its pages."""

from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from sqlalchemy import event, update

from core.app.collection import Collection
from core.app.operations import rename_collection, stock_slots
from core.errors import NotFound, ReadOnly, Refused
from core.store.engine import writing_engine
from core.store.schema import journal
from tests.collection_material import Heard, a_collection, an_album, differences, fresh, with_coins


@pytest.fixture
def jar(tmp_path: Path) -> Collection:
    collection = a_collection(tmp_path)
    an_album(collection)
    return collection


def stands(jar: Collection) -> list[tuple[int, str]]:
    return [(e.id, e.label) for e in jar.entries() if not e.is_undone]


def test_after_going_back_the_collection_is_as_it_was_right_after_the_entry(
    jar: Collection,
) -> None:
    hashes = {jar.entries(1)[0].id: jar.rows_hash()}
    for entry in ("1941 vf20", "1942-D", "1943 g4", "1943-D"):
        with_coins(jar, entry)
        hashes[jar.entries(1)[0].id] = jar.rows_hash()
    numbers = sorted(hashes)
    for back_to in (numbers[2], numbers[0]):
        jar.undo_to(back_to)
        assert jar.rows_hash() == hashes[back_to]
        assert next(number for number, _ in stands(jar)) == back_to
    for number in numbers[1:]:
        jar.redo()
        assert jar.rows_hash() == hashes[number]


def test_it_tells_what_was_undone_newest_first_and_the_listeners_once(jar: Collection) -> None:
    entry = jar.entries(1)[0].id
    jar.run(rename_collection("One"))
    with_coins(jar, "1941")
    heard = Heard(jar)
    assert jar.undo_to(entry) == ["add a coin", "rename the collection"]
    assert [c.is_everything for c in heard.changes] == [True]
    with fresh(jar) as other:
        assert differences(jar, other) == []


def test_zero_is_before_the_first_entry(jar: Collection, tmp_path: Path) -> None:
    with_coins(jar, "1941")
    assert len(jar.undo_to(0)) == 2
    assert jar.shelf() == ()
    assert jar.undo_label is None


def test_back_to_the_newest_entry_is_nothing(jar: Collection) -> None:
    heard = Heard(jar)
    assert jar.undo_to(jar.entries(1)[0].id) == []
    assert heard.changes == []


def test_a_run_is_cut_where_the_entry_lies_within_it(jar: Collection) -> None:
    ids = [s.slot.id for s in jar.album_view(jar.albums()[0].id).slots]
    run = jar.start_run()
    for slot_id in ids[:4]:
        jar.run(stock_slots([slot_id]), run_id=run)
    third = jar.entries(4)[1]
    assert jar.undo_to(third.id) == ["stocking"]
    assert jar.shelf()[0].headline.have == 3
    assert jar.redo() == "stocking"
    assert jar.shelf()[0].headline.have == 4
    assert jar.undo() == "stocking"
    assert jar.shelf()[0].headline.have == 0


def test_an_entry_that_is_not_there_or_is_undone_is_refused(jar: Collection) -> None:
    with_coins(jar, "1941")
    newest = jar.entries(1)[0].id
    jar.undo()
    before = jar.rows_hash()
    with pytest.raises(NotFound, match="There is no entry 999"):
        jar.undo_to(999)
    with pytest.raises(NotFound, match="There is no entry -1"):
        jar.undo_to(-1)
    with pytest.raises(Refused, match=rf"Entry {newest} \(add a coin\) is undone itself"):
        jar.undo_to(newest)
    assert jar.rows_hash() == before


def test_it_stops_before_a_renewal_of_the_file_and_says_so(jar: Collection, tmp_path: Path) -> None:
    first = jar.entries(1)[0].id
    with_coins(jar, "1941")
    second = jar.entries(1)[0].id
    jar.close()
    engine = writing_engine(jar.path)
    with engine.begin() as conn:  # as a migration leaves older entries
        conn.execute(update(journal.entry).values(schema_no=0, first=None, last=None))
    engine.dispose()
    with Collection.open(jar.path) as again:
        with_coins(again, "1942")
        before = again.rows_hash()
        with pytest.raises(Refused, match=f"it reaches to entry {second} itself"):
            again.undo_to(first)
        with pytest.raises(Refused, match="renewed for a newer Slotleaf"):
            again.undo_to(0)
        assert again.rows_hash() == before
        assert [e.is_settled for e in again.entries()] == [False, True, True]
        assert again.undo_to(second) == ["add a coin"]


def test_going_back_is_all_or_nothing(jar: Collection) -> None:
    """A row changed behind the journal stops the second step; the first is not taken either."""
    entry = jar.entries(1)[0].id
    (coin,) = with_coins(jar, "1941")
    with_coins(jar, "1942-D")
    engine = writing_engine(jar.path)
    with engine.begin() as conn:
        conn.execute(update(journal.now).values(entry=0))
        conn.exec_driver_sql(f"DELETE FROM coin WHERE id = {coin}")
        conn.execute(update(journal.now).values(entry=None))
    engine.dispose()
    before, standing = jar.rows_hash(), stands(jar)
    with pytest.raises(Refused, match="changed by another program"):
        jar.undo_to(entry)
    assert (jar.rows_hash(), stands(jar)) == (before, standing)


def test_who_only_looks_cannot_go_back(jar: Collection) -> None:
    with fresh(jar) as other, pytest.raises(ReadOnly):
        other.undo_to(0)


def test_the_history_comes_in_pages(jar: Collection) -> None:
    for year in range(1938, 1945):
        with_coins(jar, str(year))
    whole = jar.entries(99)
    pages = []
    before = None
    while page := jar.entries(3, before):
        pages += page
        before = page[-1].id
    assert pages == whole
    assert [e.label for e in whole] == ["add a coin"] * 7 + ["new album Nickels"]


def test_an_entry_says_when_and_how_much(jar: Collection) -> None:
    at = datetime(2025, 5, 6, 7, 8, tzinfo=UTC)
    jar.run(rename_collection("Two"), at=at)
    (entry,) = jar.entries(1)
    assert (entry.at, entry.rows, entry.run, entry.is_undone) == (at, 1, None, False)
    assert jar.entries(1)[0].at.date() == date(2025, 5, 6)


def test_the_history_is_looked_through_once_however_many_entries_go(jar: Collection) -> None:
    """Looked through anew for each entry, going back over thousands would take minutes."""
    asked: list[int] = []
    for many in (2, 9):
        back_to = stands(jar)[0][0]
        for number in range(many):
            jar.run(rename_collection(f"Jar {many} {number}"))
        looks: list[str] = []

        def look(_conn: object, _cursor: object, statement: str, *_rest: object) -> None:
            if "FROM journal_entry" in statement:
                looks.append(statement)  # noqa: B023 (called before the next turn)

        engine = jar._store._writes
        event.listen(engine, "before_cursor_execute", look)
        assert len(jar.undo_to(back_to)) == many
        event.remove(engine, "before_cursor_execute", look)
        asked.append(len(looks))
    assert asked[0] == asked[1] > 0
