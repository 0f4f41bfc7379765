"""The journal: kept by triggers, undone row by row.

Each operation is one entry; its changes are the rows of `journal_change` from `first` to `last`.
An insert notes its key, an update or delete the row as it was; what a row became is noted when the
change is first undone, because undo goes strictly backward. Row images lie in typed tables
`journal_<table>`, at `2 * seq` before and `2 * seq + 1` after the change.
"""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import (
    BigInteger,
    Boolean,
    CheckConstraint,
    Column,
    ColumnElement,
    Connection,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    Row,
    Table,
    Text,
    UniqueConstraint,
    bindparam,
    delete,
    func,
    insert,
    select,
    update,
)

from core.errors import FileTrouble, NotFound, Refused

_BIG = BigInteger().with_variant(Integer, "sqlite")  # so that it is the rowid on SQLite


@dataclass(slots=True)
class Recording:
    """An operation under way; `entry` and `run` are None in the end if nothing was changed.

    `run` is the id of the first entry of the run this one belongs to. `label` may be made more
    telling while it lasts.
    """

    entry: int | None
    run: int | None
    label: str


@dataclass(frozen=True, slots=True)
class Replayed:
    """Entries undone or redone together; their changes are `first` to `last`."""

    label: str
    entries: tuple[int, ...]
    first: int
    last: int


class Journal:
    """The journal's own tables, triggers and moves, for tables with one integer key `id`."""

    def __init__(self, tables: Sequence[Table], schema_no: int) -> None:
        self.tables = {table.name: table for table in tables}
        self.schema_no = schema_no
        for table in tables:
            _require_fit(table)
        self.metadata = MetaData()
        self.never = Table("journal_never", self.metadata, Column("id", Integer, primary_key=True))
        # NULL: closed. n: recording into entry n. 0: replay, the triggers are silent. What it
        # points at is always empty and checked at COMMIT: a commit inside an operation is refused.
        self.now = Table(
            "journal_now",
            self.metadata,
            Column("one", Integer, CheckConstraint("one = 1"), primary_key=True),
            Column(
                "entry",
                Integer,
                ForeignKey("journal_never.id", deferrable=True, initially="DEFERRED"),
            ),
        )
        self.entry = Table(
            "journal_entry",
            self.metadata,
            Column("id", _BIG, primary_key=True),
            Column("at", Text, nullable=False),
            Column("label", Text, nullable=False),
            Column("run", _BIG),
            Column("first", _BIG),
            Column("last", _BIG),
            Column("undone", Boolean, nullable=False),
            Column("captured", Boolean, nullable=False),
            Column("schema_no", Integer, nullable=False),
            sqlite_autoincrement=True,
        )
        self.change = Table(
            "journal_change",
            self.metadata,
            Column("seq", _BIG, primary_key=True),
            Column("entry", _BIG, nullable=False),
            Column("tbl", Text, nullable=False),
            Column("key", _BIG, nullable=False),
            Column("op", Text, nullable=False),
        )
        self.image = {
            table.name: Table(
                f"journal_{table.name}",
                self.metadata,
                Column("image", _BIG, primary_key=True, autoincrement=False),
                *(Column(c.name, c.type, nullable=True) for c in table.c),
            )
            for table in tables
        }

    # What is installed

    def install(self, conn: Connection) -> None:
        """Make what is missing of the journal's tables, and all triggers anew."""
        self.metadata.create_all(conn)
        if conn.execute(select(func.count()).select_from(self.now)).scalar_one() == 0:
            conn.execute(insert(self.now).values(one=1))
        self.drop_triggers(conn)
        for ddl in self.triggers().values():
            conn.exec_driver_sql(ddl)

    def drop_triggers(self, conn: Connection) -> None:
        """Take away every trigger of the journal, whatever its text."""
        for name, kind in _found(conn):
            if kind == "trigger" and name.startswith("journal_"):
                conn.exec_driver_sql(f'DROP TRIGGER "{name}"')

    def drop_images(self, conn: Connection) -> None:
        """Forget all changes and images; entries that stand keep their labels as history."""
        kept = ("journal_never", "journal_now", "journal_entry", "journal_change")
        names = conn.exec_driver_sql("SELECT name FROM sqlite_master WHERE type = 'table'").all()
        for (name,) in names:
            if name.startswith("journal_") and name not in kept:
                conn.exec_driver_sql(f'DROP TABLE "{name}"')
        conn.execute(delete(self.change))
        conn.execute(delete(self.entry).where(self.entry.c.undone))
        # Changes are counted from 1 again: no entry may point at the new ones.
        conn.execute(update(self.entry).values(first=None, last=None))

    def strange(self, conn: Connection) -> list[str]:
        """Names of triggers and views that are not exactly ours, or missing."""
        found = {
            str(name): str(text)
            for name, text in conn.exec_driver_sql(
                "SELECT name, sql FROM sqlite_master WHERE type IN ('trigger', 'view')"
            ).all()
        }
        ours = self.triggers()
        return sorted({name for name, _ in found.items() ^ ours.items()})

    def triggers(self) -> dict[str, str]:
        """Every trigger by its name, letter by letter as it stands in the file."""
        found: dict[str, str] = {}
        for table in self.tables.values():
            for op in ("INSERT", "UPDATE", "DELETE"):
                found[f"journal_{table.name}_{op.lower()}"] = _trigger(table, op)
        return found

    # Operations

    @contextmanager
    def recording(
        self, conn: Connection, label: str, at: datetime, run: int | None = None
    ) -> Iterator[Recording]:
        """Record all that is written inside the block as one entry.

        `run`: the first entry of the run this one joins, 0 to begin a run, None for neither.
        Whatever was undone before is forgotten, because it cannot be redone on top of this.
        """
        start = self._top(conn)
        entry = conn.execute(
            insert(self.entry)
            .values(
                at=at.isoformat(timespec="milliseconds"),
                label=label,
                undone=False,
                captured=False,
                schema_no=self.schema_no,
            )
            .returning(self.entry.c.id)
        ).scalar_one()
        recording = Recording(entry, entry if run == 0 else run, label)
        self._mode(conn, entry)
        yield recording
        self._mode(conn, None)
        last = self._top(conn)
        if last == start:
            conn.execute(delete(self.entry).where(self.entry.c.id == entry))
            recording.entry = recording.run = None
            return
        conn.execute(
            update(self.entry)
            .where(self.entry.c.id == entry)
            .values(first=start + 1, last=last, run=recording.run, label=recording.label)
        )
        self._forget(conn, self.entry.c.undone, self.entry.c.id < entry)

    def _mode(self, conn: Connection, entry: int | None) -> None:
        if conn.execute(update(self.now).values(entry=entry)).rowcount != 1:
            raise FileTrouble(
                "The collection's journal is not in order, so nothing was changed. Run the check, "
                "or open the newest daily copy."
            )

    def _top(self, conn: Connection) -> int:
        return conn.execute(select(func.max(self.change.c.seq))).scalar() or 0

    def _forget(self, conn: Connection, *where: ColumnElement[bool]) -> None:
        columns = (self.entry.c.id, self.entry.c.first, self.entry.c.last)
        for entry, first, last in conn.execute(select(*columns).where(*where)).all():
            for image in self.image.values():
                conn.execute(delete(image).where(image.c.image.between(first * 2, last * 2 + 1)))
            conn.execute(delete(self.change).where(self.change.c.seq.between(first, last)))
            conn.execute(delete(self.entry).where(self.entry.c.id == entry))

    def forget_all(self, conn: Connection) -> None:
        """Take the whole history out: entries, changes and images."""
        for table in (*self.image.values(), self.change, self.entry):
            conn.execute(delete(table))

    # Undo and redo

    def newest(self, conn: Connection) -> tuple[int, int | None] | None:
        """The newest entry that stands, with its run; None where there is none."""
        rows = self._group(conn, False, False)
        return (rows[0].id, rows[0].run) if rows else None

    def label(self, conn: Connection, forward: bool) -> str | None:
        """What would be undone, or redone if `forward`; None for nothing."""
        rows = self._group(conn, forward, True)
        return min(rows, key=lambda row: int(row.id)).label if rows else None

    def _group(
        self, conn: Connection, forward: bool, whole_run: bool
    ) -> Sequence[Row[*tuple[Any, ...]]]:
        """The entries to replay, in order of replay; none across a migration."""
        entry = self.entry.c
        side = entry.undone if forward else ~entry.undone
        order = entry.id.asc() if forward else entry.id.desc()
        rows = conn.execute(select(self.entry).where(side).order_by(order).limit(1)).all()
        if not rows or rows[0].schema_no != self.schema_no:
            return []
        if not whole_run or rows[0].run is None:
            return rows
        same_run = (side, entry.run == rows[0].run, entry.schema_no == self.schema_no)
        return conn.execute(select(self.entry).where(*same_run).order_by(order)).all()

    def replay(self, conn: Connection, forward: bool, whole_run: bool = True) -> Replayed | None:
        """Undo the newest entry that stands, or redo the oldest undone one if `forward`.

        Neighbouring entries of one run go together if `whole_run`. None for nothing to do. Raises
        Refused if rows were changed outside the journal; the caller rolls back.
        """
        group = self._group(conn, forward, whole_run)
        return self._replay(conn, group, forward) if group else None

    def _replay(
        self, conn: Connection, group: Sequence[Row[*tuple[Any, ...]]], forward: bool
    ) -> Replayed:
        conn.exec_driver_sql("PRAGMA defer_foreign_keys=ON")
        self._mode(conn, 0)
        for entry in group:
            capture = not forward and not entry.captured
            for name, op, seqs in self._runs(conn, entry.first, entry.last, forward):
                self._apply(conn, name, op, seqs, forward, capture)
            conn.execute(
                update(self.entry)
                .where(self.entry.c.id == entry.id)
                .values(undone=not forward, captured=True)
            )
        self._mode(conn, None)
        return Replayed(
            label=min(group, key=lambda row: int(row.id)).label,
            entries=tuple(row.id for row in group),
            first=min(row.first for row in group),
            last=max(row.last for row in group),
        )

    def undo_to(self, conn: Connection, entry: int) -> list[Replayed]:
        """Undo, newest first, every entry that stands after this one, which itself stands on.

        0 is before the first entry. Runs are cut where the entry lies within one. Raises NotFound
        for an entry that is not there, Refused for one that is undone or where a migration lies
        between; the caller rolls back.
        """
        c = self.entry.c
        if entry != 0:
            found = conn.execute(select(c.label, c.undone).where(c.id == entry)).first()
            if found is None:
                raise NotFound(f"There is no entry {entry} in the history of this collection.")
            if found[1]:
                raise Refused(
                    f"Entry {entry} ({found[0]}) is undone itself. Choose one that stands, or do "
                    "it again with redo."
                )
        older = select(func.max(c.id)).where(c.id > entry, ~c.undone, c.schema_no != self.schema_no)
        settled = conn.execute(older).scalar()
        if settled is not None:
            raise Refused(
                f"Entry {settled} was made before this file was renewed for a newer Slotleaf, and "
                f"undo does not go back past that: it reaches to entry {settled} itself. The way "
                "further back is the copy kept then, in the folder of copies."
            )
        stands = conn.execute(
            select(self.entry).where(c.id > entry, ~c.undone).order_by(c.id.desc())
        ).all()
        return [self._replay(conn, [one], forward=False) for one in stands]

    def _runs(
        self, conn: Connection, first: int, last: int, forward: bool
    ) -> Iterator[tuple[str, str, list[int]]]:
        """Consecutive changes of one table, one kind and distinct keys, in order of replay."""
        change = self.change.c
        order = change.seq.asc() if forward else change.seq.desc()
        rows = conn.execute(
            select(change.seq, change.tbl, change.op, change.key)
            .where(change.seq.between(first, last))
            .order_by(order)
        ).all()
        head, seqs, keys = ("", ""), list[int](), set[int]()
        for seq, name, op, key in rows:
            if head != (name, op) or key in keys:
                if seqs:
                    yield *head, seqs
                head, seqs, keys = (name, op), [], set()
            seqs.append(seq)
            keys.add(key)
        if seqs:
            yield *head, seqs

    def _apply(
        self, conn: Connection, name: str, op: str, seqs: list[int], forward: bool, capture: bool
    ) -> None:
        """Replay one run of changes."""
        table, seq = self.tables[name], self.change.c.seq
        span = seq.between(min(seqs), max(seqs))
        if capture and op != "D":
            self._capture(conn, table, span)
        removes = op == ("D" if forward else "I")
        if removes:
            keys = select(self.change.c.key).where(span)
            done = conn.execute(delete(table).where(table.c.id.in_(keys))).rowcount
        elif op == "U":
            done = self._set(conn, table, seqs, span, after=forward)
        else:
            image = self.image[name]
            at = self.change.join(image, self._at(image, after=op == "I"))
            rows = select(*(image.c[c.name] for c in table.c)).select_from(at).where(span)
            names = [c.name for c in table.c]
            done = conn.execute(
                insert(table).from_select(names, rows.order_by(seq if forward else seq.desc())),
                execution_options={"preserve_rowcount": True},  # else -1 for an INSERT
            ).rowcount
        if done != len(seqs):
            raise Refused(
                "This step cannot be taken: the collection was changed by another program, past "
                f"its own history ({name}: {len(seqs)} expected, {done} found). Nothing was "
                "changed; run the check, or open a daily copy."
            )

    def _at(self, image: Table, after: bool) -> ColumnElement[bool]:
        return image.c.image == self.change.c.seq * 2 + (1 if after else 0)

    def _set(
        self,
        conn: Connection,
        table: Table,
        seqs: list[int],
        span: ColumnElement[bool],
        after: bool,
    ) -> int:
        image, seq = self.image[table.name], self.change.c.seq
        values = {c.name: image.c[c.name] for c in table.c if c.name != "id"}
        where = (table.c.id == self.change.c.key, self._at(image, after))
        statement = update(table).values(values).where(*where)
        if not has_unique(table):
            return conn.execute(statement.where(span)).rowcount
        # Row by row, in order: a swap under a unique key must retrace its steps.
        one = statement.where(seq == bindparam("at_seq"))
        return conn.execute(one, [{"at_seq": at} for at in seqs]).rowcount

    def _capture(self, conn: Connection, table: Table, span: ColumnElement[bool]) -> None:
        """Note what the rows of these changes are now, before they are undone."""
        image = self.image[table.name]
        rows = (
            select(self.change.c.seq * 2 + 1, *table.c)
            .select_from(self.change.join(table, table.c.id == self.change.c.key))
            .where(span)
        )
        conn.execute(insert(image).from_select([c.name for c in image.c], rows))


def has_unique(table: Table) -> bool:
    """Whether the table has a unique key besides `id`."""
    return any(index.unique for index in table.indexes) or any(
        isinstance(rule, UniqueConstraint) for rule in table.constraints
    )


def unique_indexes(table: Table) -> list[Index]:
    """The named unique indexes of a table."""
    return [index for index in table.indexes if index.unique]


def _require_fit(table: Table) -> None:
    """Hold a table to what undo relies on; a fault is a mistake of the program."""
    if [c.name for c in table.primary_key] != ["id"]:
        raise ValueError(f"{table.name}: the journal needs one integer key “id”")
    for key in table.foreign_keys:
        if key.ondelete not in (None, "NO ACTION") or not key.deferrable:
            raise ValueError(f"{table.name}.{key.parent.name}: deferrable, no ON DELETE action")
    if any(c.computed is not None for c in table.c):
        raise ValueError(f"{table.name}: computed columns are not journalled")


def _found(conn: Connection) -> list[tuple[str, str]]:
    rows = conn.exec_driver_sql("SELECT name, type FROM sqlite_master").all()
    return [(str(name), str(kind)) for name, kind in rows]


def _trigger(table: Table, op: str) -> str:
    name, row = table.name, "new" if op == "INSERT" else "old"
    columns = ", ".join(f'"{c.name}"' for c in table.c)
    # RAISE(ABORT), not a NOT NULL column: INSERT OR IGNORE would pass over a constraint here.
    body = [
        f"SELECT RAISE(ABORT, 'write to {name} outside an operation') "
        "WHERE (SELECT entry FROM journal_now) IS NULL;"
    ]
    if op == "UPDATE":
        body.append(
            f"SELECT RAISE(ABORT, 'the key of {name} may not change') WHERE old.id IS NOT new.id;"
        )
    body.append(
        "INSERT INTO journal_change (entry, tbl, key, op) "
        f"SELECT entry, '{name}', {row}.id, '{op[0]}' FROM journal_now;"
    )
    if op != "INSERT":
        old = ", ".join(f'old."{c.name}"' for c in table.c)
        body.append(
            f"INSERT INTO journal_{name} (image, {columns}) "
            f"VALUES (last_insert_rowid() * 2, {old});"
        )
    lines = "\n  ".join(body)
    return (
        f"CREATE TRIGGER journal_{name}_{op.lower()} AFTER {op} ON {name}\n"
        f"WHEN (SELECT entry FROM journal_now) IS NOT 0\nBEGIN\n  {lines}\nEND"
    )
