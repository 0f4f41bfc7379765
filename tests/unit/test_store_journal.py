"""What would go round the journal does not; what it records it gives back; migrations keep it."""

import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import (
    BigInteger,
    Boolean,
    Column,
    Connection,
    Date,
    Float,
    ForeignKey,
    Integer,
    LargeBinary,
    MetaData,
    Table,
    Text,
    delete,
    exc,
    insert,
    select,
    text,
    update,
)

from core.model.arrangement import NO_LEAD
from core.model.coin import CoinId
from core.model.issue import VarietyId
from core.model.prices import PriceRules
from core.model.search import Campaign, Container, Tally
from core.store.engine import writing_engine
from core.store.journal import Journal
from core.store.migrate import VERSIONS, migrate, upgrade
from core.store.schema import HEAD, finish, journal
from core.store.store import Store, create, open_store, utc_now
from core.store.tables import JOURNALLED, SCHEMA_NO, coin, metadata, placement, slot
from tests.store_material import (
    DAY,
    TOKENS,
    Small,
    a_coin,
    a_log,
    a_store,
    add_choices,
    add_prices,
    delete_prices,
    fill,
)


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    opened = a_store(tmp_path / "jar.slotleaf")
    yield opened
    opened.close()


@pytest.fixture
def small(store: Store) -> Small:
    return fill(store)


# Nothing goes round


OUTSIDE = (
    "INSERT INTO collection (id, name) VALUES (77, 'y')",
    "INSERT OR IGNORE INTO collection (id, name) VALUES (77, 'y')",
    "INSERT OR REPLACE INTO collection (id, name) VALUES (1, 'y')",
    "INSERT INTO collection (id, name) VALUES (1, 'y') ON CONFLICT (id) DO UPDATE SET name = 'q'",
    "REPLACE INTO collection (id, name) VALUES (1, 'y')",
    "UPDATE coin SET note = 'z'",
    "UPDATE OR IGNORE coin SET note = 'z'",
    "UPDATE OR REPLACE coin SET id = 3 WHERE id = 4",
    "DELETE FROM reservation",
    "DELETE FROM placement WHERE id = 1",
)


@pytest.mark.parametrize("statement", OUTSIDE)
def test_no_write_goes_round_the_journal(store: Store, small: Small, statement: str):
    before = store.rows_hash()
    with (
        store._writes.connect() as conn,
        pytest.raises(exc.IntegrityError, match="outside an operation"),
    ):
        conn.execute(text(statement))
    assert store.rows_hash() == before


@pytest.mark.parametrize("table", JOURNALLED, ids=lambda table: table.name)
def test_every_table_is_guarded(store: Store, small: Small, table: Table):
    for statement in (f"UPDATE {table.name} SET id = id", f"DELETE FROM {table.name}"):
        with store._writes.connect() as conn:
            conn.exec_driver_sql("PRAGMA defer_foreign_keys=ON")
            with pytest.raises(exc.IntegrityError, match="outside an operation"):
                conn.exec_driver_sql(statement)


def test_a_write_is_refused_when_the_journals_one_row_is_gone(store: Store, small: Small):
    with store._writes.begin() as conn:
        conn.exec_driver_sql("DELETE FROM journal_now")
    with (
        store._writes.connect() as conn,
        pytest.raises(exc.IntegrityError, match="outside an operation"),
    ):
        conn.execute(delete(placement))
    with pytest.raises(Exception, match="not in order"), store.operation("x"):
        pass
    assert "The journal was left open by another program." in store.check()


def test_replace_and_upsert_are_undone(store: Store, small: Small):
    before = store.rows_hash()
    with store._writing() as conn, journal.recording(conn, "By hand", utc_now()):
        conn.execute(text("INSERT OR REPLACE INTO collection (id, name) VALUES (1, 'new')"))
        conn.execute(
            text(
                "INSERT INTO coin (id, description_id, is_genuine, is_flagged, status, quantity, "
                "origin) VALUES (2, 1, 1, 1, 'held', 1, 'found') "
                "ON CONFLICT (id) DO UPDATE SET note = 'q'"
            )
        )
    after = store.rows_hash()
    assert after != before
    store.undo()
    assert store.rows_hash() == before
    store.redo()
    assert store.rows_hash() == after


def test_a_commit_inside_an_operation_is_refused(store: Store, small: Small):
    def commit_early(conn: Connection, by_driver: bool) -> None:
        with journal.recording(conn, "Half", utc_now()):
            conn.execute(update(coin).values(note="half"))
            if by_driver:
                conn.exec_driver_sql("COMMIT")
            else:
                conn.commit()

    def attempt(by_driver: bool) -> None:
        with store._writes.begin() as conn:
            commit_early(conn, by_driver)

    before = store.rows_hash()
    for by_driver in (True, False):
        with pytest.raises(exc.IntegrityError, match="FOREIGN KEY"):
            attempt(by_driver)
        assert store.rows_hash() == before
    with store.operation("After") as unit:  # the connection is fit for use again
        unit.set_name("x")
    store.undo()
    assert store.rows_hash() == before


def test_a_key_may_not_change(store: Store, small: Small):
    before = store.rows_hash()
    with (
        pytest.raises(exc.IntegrityError, match="may not change"),
        store._writes.begin() as conn,
        journal.recording(conn, "Key", utc_now()),
    ):
        conn.execute(update(coin).where(coin.c.id == 9).values(id=99))
    assert store.rows_hash() == before


def test_a_change_of_case_alone_is_recorded(store: Store, small: Small):
    with store.operation("Rename") as unit:
        unit.set_name("THE JAR")
    store.undo()
    with store.reading() as read:
        assert read.name() == "The jar"


def test_a_row_added_changed_and_deleted_in_one_entry(store: Store, small: Small):
    before = store.rows_hash()
    with store._writing() as conn, journal.recording(conn, "Twice", utc_now()):
        for name in ("one", "two"):
            conn.execute(insert(metadata.tables["collection"]).values(id=5, name=name))
            conn.execute(text("UPDATE collection SET name = name || '!' WHERE id = 5"))
            conn.execute(text("DELETE FROM collection WHERE id = 5"))
        conn.execute(insert(metadata.tables["collection"]).values(id=5, name="three"))
    after = store.rows_hash()
    for _ in range(2):
        store.undo()
        assert store.rows_hash() == before
        store.redo()
        assert store.rows_hash() == after


def test_swaps_under_a_unique_key_retrace_their_steps(store: Store, small: Small):
    before = store.rows_hash()
    with store._writing() as conn, journal.recording(conn, "Swap", utc_now()):
        one, two = placement.c.id == 1, placement.c.id == 2
        conn.execute(update(placement).where(one).values(until=DAY))
        conn.execute(update(placement).where(two).values(coin_id=small.coins[0]))
        conn.execute(update(placement).where(one).values(coin_id=small.coins[1], until=None))
    after = store.rows_hash()
    for _ in range(2):
        store.undo()
        assert store.rows_hash() == before
        store.redo()
        assert store.rows_hash() == after


def test_children_before_parents_are_undone(store: Store, small: Small):
    with store._writing() as conn, journal.recording(conn, "Late parent", utc_now()):
        conn.exec_driver_sql("PRAGMA defer_foreign_keys=ON")
        conn.execute(update(slot).where(slot.c.id == 1).values(album_id=9))
        conn.execute(
            text(
                "INSERT INTO album (id, series_id, name, shelf, kind, arrangement, show_p) "
                "VALUES (9, 1, 'Late', 3, 'holder', 'years-by-mints', 'never')"
            )
        )
    after = store.rows_hash()
    store.undo()
    assert store.check() == []
    store.redo()
    assert store.rows_hash() == after


def test_entries_cover_their_changes_without_gaps(store: Store, small: Small):
    for n in range(4):
        with store.operation(f"Add {n}") as unit:
            unit.add_coins([a_coin(1950 + n)])
        if n == 1:
            store.undo()
    with store._snapshot() as conn:
        spans = conn.execute(
            select(journal.entry.c.first, journal.entry.c.last).order_by(journal.entry.c.id)
        ).all()
        seqs = conn.execute(select(journal.change.c.seq).order_by(journal.change.c.seq)).scalars()
        covered = [seq for first, last in spans for seq in range(first, last + 1)]
        assert list(seqs) == covered
        for name, image in journal.image.items():
            for at in conn.execute(select(image.c.image)).scalars():
                assert at // 2 in covered, name


# Every type, to the bit


def test_every_kind_of_value_comes_back_to_the_bit(tmp_path: Path):
    kinds = MetaData()
    kind = Table(
        "kind",
        kinds,
        Column("id", Integer, primary_key=True),
        Column("big", BigInteger),
        Column("words", Text),
        Column("day", Date),
        Column("flag", Boolean),
        Column("bytes", LargeBinary),
        Column("real", Float),
    )
    rows: list[dict[str, Any]] = [
        {"id": 1, "big": 2**63 - 1, "words": "", "day": DAY, "flag": True, "bytes": b"\0\xff"},
        {"id": 2, "big": -(2**63), "words": "é\x00北", "day": None, "flag": False, "bytes": b""},
        {"id": 3, "big": None, "words": None, "day": DAY, "flag": None, "bytes": None},
    ]
    reals = (0.1 + 0.2, 1e300 / 7, -0.0)
    kept = Journal([kind], 1)
    engine = writing_engine(tmp_path / "kinds", "rwc")

    def content(conn: Connection) -> list[tuple[object, ...]]:
        quoted = ", ".join(f'typeof("{c.name}"), quote("{c.name}")' for c in kind.c)
        found = conn.exec_driver_sql(f"SELECT {quoted} FROM kind ORDER BY id").all()
        exact = conn.exec_driver_sql("SELECT real FROM kind ORDER BY id").scalars()
        return [*map(tuple, found), tuple(repr(one) for one in exact)]

    def change(what: str) -> None:
        with kept.recording(conn, what, utc_now()):
            match what:
                case "insert":
                    conn.execute(
                        insert(kind),
                        [row | {"real": real} for row, real in zip(rows, reals, strict=True)],
                    )
                case "update":
                    for row, other in zip(rows, rows[1:] + rows[:1], strict=True):
                        conn.execute(
                            update(kind)
                            .where(kind.c.id == row["id"])
                            .values(other | {"id": row["id"], "real": 1 / 3})
                        )
                case "delete":
                    conn.execute(delete(kind))

    with engine.begin() as conn:
        kinds.create_all(conn)
        kept.install(conn)
        states = [content(conn)]
        for what in ("insert", "update", "delete"):
            change(what)
            states.append(content(conn))
        assert states[3] == states[0]
        assert len({repr(state) for state in states}) == 3
        for want in (states[2], states[1], states[0]):
            kept.replay(conn, forward=False)
            assert content(conn) == want
        for want in states[1:]:
            kept.replay(conn, forward=True)
            assert content(conn) == want
    engine.dispose()


def test_tables_that_undo_could_not_serve_are_refused():
    faulty = MetaData()
    parent = Table("parent", faulty, Column("id", Integer, primary_key=True))
    cascade = ForeignKey("parent.id", ondelete="CASCADE", deferrable=True)
    strict = ForeignKey("parent.id")
    for at, key in enumerate((cascade, strict)):
        child = Table(
            f"child{at}",
            faulty,
            Column("id", Integer, primary_key=True),
            Column("parent_id", Integer, key),
        )
        with pytest.raises(ValueError, match="deferrable, no ON DELETE"):
            Journal([parent, child], 1)
    with pytest.raises(ValueError, match="one integer key"):
        Journal([Table("odd", faulty, Column("name", Text, primary_key=True))], 1)


# The schema and its revisions


def schema_of(path: Path) -> dict[tuple[str, str], list[str]]:
    """What makes each thing of a schema: a table's columns in order, then its rules in any order.

    A table that a revision made anew has its name in quotes, a default in brackets and its foreign
    keys turned round.
    """
    with closing(sqlite3.connect(path)) as found:
        rows = found.execute("SELECT type, name, sql FROM sqlite_master").fetchall()
    out = {}
    for kind, name, sql in rows:
        plain = (sql or "").replace('"', "").replace("('')", "''")
        parts = [part.strip(" \t\n)") for part in plain.split(", \n")]
        rules = sorted(part for part in parts if part.startswith("CONSTRAINT"))
        out[kind, name] = [part for part in parts if part not in rules] + rules
    return out


def test_a_new_file_and_the_revisions_give_the_same_schema(tmp_path: Path):
    create(tmp_path / "new", "x")
    engine = writing_engine(tmp_path / "renewed", "rwc")
    with engine.begin() as conn:
        upgrade(conn)
        finish(conn)
    engine.dispose()
    assert schema_of(tmp_path / "renewed") == schema_of(tmp_path / "new")
    for path in (tmp_path / "new", tmp_path / "renewed"):
        with closing(sqlite3.connect(path)) as found:
            assert found.execute("SELECT version_num FROM alembic_version").fetchall() == [(HEAD,)]
            assert found.execute("PRAGMA user_version").fetchone() == (SCHEMA_NO,)


def test_the_triggers_in_a_file_are_the_generated_ones(store: Store):
    with store._snapshot() as conn:
        assert journal.strange(conn) == []
    assert len(journal.triggers()) == 3 * len(JOURNALLED)


LATER_NO = SCHEMA_NO + 1
LATER = '''"""A later schema, for this test: coins get an edge, placements lose nothing."""

import sqlalchemy as sa
from alembic import op

revision = "{no:04}"
down_revision = "{before:04}"


def upgrade():
    with op.batch_alter_table("coin", recreate="always") as batch:
        batch.add_column(sa.Column("edge", sa.Text))
        batch.alter_column("note", new_column_name="remark")
    {more}
'''


def a_later_schema(folder: Path, more: str = "") -> Journal:
    """Write one more revision; returns the journal of the schema it leads to."""
    folder.mkdir()
    text = LATER.format(more=more, no=LATER_NO, before=SCHEMA_NO)
    (folder / f"r{LATER_NO:04}.py").write_text(text)
    later = MetaData(naming_convention=metadata.naming_convention)
    tables = [table.to_metadata(later) for table in JOURNALLED]
    old = later.tables["coin"]
    columns = [
        Column("remark", Text)
        if c.name == "note"
        else Column(c.name, c.type, primary_key=c.primary_key)
        for c in old.c
    ]
    later.remove(old)
    new = Table("coin", later, *columns, Column("edge", Text))
    return Journal([new if table.name == "coin" else table for table in tables], LATER_NO)


def test_a_migration_keeps_rows_history_and_rules_but_not_undo(tmp_path: Path):
    path = tmp_path / "jar.slotleaf"
    store = a_store(path)
    fill(store)
    for name in ("one", "two", "three"):
        with store.operation(name) as unit:
            unit.set_name(name)
    store.undo()
    with store.reading() as read:
        stays = len(read.placed_ids())
    store.close()
    before = path.read_bytes()
    later = a_later_schema(tmp_path / "versions")
    kept = migrate(path, later, LATER_NO, (*VERSIONS, tmp_path / "versions"))

    assert kept.name == f"jar before schema {LATER_NO}.slotleaf"
    old = open_store(kept, read_only=True)
    assert (old.undo_label, old.redo_label) == ("two", "three")
    old.close()
    with pytest.raises(Exception, match="newer Slotleaf"):
        open_store(path)
    engine = writing_engine(path)
    with engine.begin() as conn:
        assert later.strange(conn) == []
        assert conn.exec_driver_sql("PRAGMA foreign_key_check").all() == []
        notes = conn.exec_driver_sql("SELECT count(*) FROM coin WHERE remark = ''").scalar()
        assert notes == 13
        assert conn.execute(select(placement.c.id)).scalars().all() == list(range(1, stays + 1))
        labels = conn.execute(select(later.entry.c.label)).scalars().all()
        assert labels == ["Begin", "one", "two"]
        assert later.replay(conn, forward=False) is None
        assert later.replay(conn, forward=True) is None
        for label in ("edge", "again"):
            with later.recording(conn, label, utc_now()):
                conn.exec_driver_sql(f"UPDATE coin SET edge = '{label}' WHERE id < 4")
        assert later.replay(conn, forward=False) is not None
        with later.recording(conn, "other", utc_now()):
            conn.exec_driver_sql("UPDATE coin SET edge = 'plain' WHERE id = 1")
        for _ in range(2):
            assert later.replay(conn, forward=False) is not None
        assert later.replay(conn, forward=False) is None
        edges = conn.exec_driver_sql("SELECT count(edge) FROM coin").scalar()
        assert edges == 0
    engine.dispose()
    assert path.read_bytes() != before


def test_a_migration_that_fails_leaves_the_file_as_it_was(tmp_path: Path):
    path = tmp_path / "jar.slotleaf"
    store = a_store(path)
    fill(store)
    store.close()
    before = path.read_bytes()
    later = a_later_schema(tmp_path / "versions", more="op.execute('SELECT nonsense')")
    with pytest.raises(exc.OperationalError, match="nonsense"):
        migrate(path, later, LATER_NO, (*VERSIONS, tmp_path / "versions"))
    orphans = a_later_schema(
        tmp_path / "orphans", more="op.execute('DELETE FROM slot WHERE id = 1')"
    )
    with pytest.raises(Exception, match="damaged"):
        migrate(path, orphans, LATER_NO, (*VERSIONS, tmp_path / "orphans"))
    assert path.read_bytes() == before
    again = open_store(path)
    assert again.undo_label == "Begin"
    assert again.check() == []
    again.close()


@pytest.mark.parametrize("schema_no", range(1, SCHEMA_NO))
def test_a_file_of_an_older_schema_is_renewed_with_all_that_is_in_it(
    tmp_path: Path, schema_no: int
):
    path = tmp_path / "jar.slotleaf"
    shutil.copy(Path(__file__).parents[1] / "old" / f"schema-{schema_no}.slotleaf", path)
    store = open_store(path)
    new = a_store(tmp_path / "new.slotleaf")
    fill(new)
    with new.operation("As in the old file") as unit:
        if schema_no < 2:
            unit.delete_arrangement(1)
        if schema_no < 3:
            unit.log.delete(Campaign, [1])
            unit.log.delete(Tally, [1])
            unit.log.delete(Container, [1])
        if schema_no < 4:
            delete_prices(unit)
            unit.prices.delete_rate("EUR", "HBT")
            unit.prices.set_rules(PriceRules())
        if schema_no < 5:
            unit.set_own_code(TOKENS, VarietyId("doubled"), "")
        unit.prices.drop_choices(unit.read.prices.choices())
    assert store.content_hash() == new.content_hash()
    with store.reading() as read:
        assert {slot.lead for slot in read.slots(read.albums()[0].id)} == {NO_LEAD}
        assert read.name() == "The old jar"
        assert len(read.saved_arrangements()) == min(schema_no - 1, 1)
        assert (len(read.log.campaigns()), len(read.log.tallies())) == (schema_no // 3,) * 2
        assert bool(read.prices.prices()) is (schema_no > 3)
        assert (read.prices.rules() == PriceRules()) is (schema_no < 4)
        assert bool(read.own_codes()) is (schema_no > 4)
        assert read.prices.choices() == []
    assert [entry.label for entry in store.history(5)] == ["Name it", "Begin"]
    assert (store.undo_label, store.check()) == (None, [])
    assert (tmp_path / "jar copies" / "jar before schema 6.slotleaf").exists()
    before = store.rows_hash()
    with store.operation("Begin a search") as unit:
        unit.log.add_all(a_log(unit.read.albums()[0].id, CoinId(10), 1 + schema_no // 3))
        add_prices(unit)
        unit.set_own_code(TOKENS, VarietyId("doubled"), "K 14")
        add_choices(unit, [one.id for one in unit.read.slots(unit.read.albums()[0].id)])
    assert store.undo() is not None
    assert store.rows_hash() == before
    new.close()
    store.close()
