"""An opened collection file: make it, open it, ask it, change it, undo, copy, check."""

import os
import sqlite3
import threading
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path

from sqlalchemy import Connection, Engine, func, insert, select
from sqlalchemy.exc import OperationalError

from core.errors import FileTrouble, NotFound, ReadOnly, Refused
from core.store import check as checks
from core.store import content
from core.store.copies import copy_of_the_day, require_folder, settle, write_copy
from core.store.engine import reading_engine, writing_engine
from core.store.journal import Replayed
from core.store.lock import WriterLock
from core.store.read import Reader
from core.store.schema import APPLICATION_ID, finish, journal, make_tables
from core.store.tables import JOURNALLED, SCHEMA_NO, collection
from core.store.touched import touched_rows
from core.store.trouble import damaged, plain_words
from core.store.unit import Unit

_HEADER = b"SQLite format 3\0"
_TRIES = 3  # of a reader that meets a writer


def utc_now() -> datetime:
    """The clock, in UTC."""
    return datetime.now(UTC)


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry of the history. `at` is in UTC; `run` is the first entry of its run, or None.

    `rows` counts the rows it touched. `is_settled`: it was made before the file was renewed for a
    newer program, so it is read but never undone, and its rows are no longer counted (0).
    """

    id: int
    at: datetime
    label: str
    is_undone: bool
    run: int | None
    rows: int = 0
    is_settled: bool = False


@dataclass(frozen=True, slots=True)
class Step:
    """What one undo or redo did.

    `touched` names, by table, the rows it changed and those they belong to: the slot and the coin
    of a placement, the album of a slot.
    """

    label: str
    entries: tuple[int, ...]
    touched: Mapping[str, frozenset[int]]


def create(path: Path, name: str, made: date | None = None) -> None:
    """Make an empty collection file; `made` is today unless given.

    Raises Refused if something of that name is there, FileTrouble if it cannot be written.
    """
    path = Path(path)
    if path.exists():
        raise Refused(f"“{path}” is there already. Open it, or choose another name.")
    require_folder(path)
    draft = path.with_name(f".{path.name}.{os.getpid()}.new")
    day = made or utc_now().astimezone().date()
    try:
        with plain_words(path):
            draft.unlink(missing_ok=True)
            engine = writing_engine(draft, "rwc")
            try:
                with engine.begin() as conn:
                    make_tables(conn)
                    conn.execute(insert(collection).values(name=name, made=day))
                    finish(conn)
            finally:
                engine.dispose()
        settle(draft, path, replace=False)
    except OSError as error:
        raise FileTrouble(
            f"“{path}” could not be written ({error.strerror}). Choose another folder."
        ) from error
    finally:
        draft.unlink(missing_ok=True)


# Closing any plain handle on a file lets go of all locks that this process has on it, those of
# SQLite in another thread included. So a file that a Store has open is never opened plainly.
_opening = threading.RLock()
_opened: Counter[Path] = Counter()


def open_store(
    path: Path,
    read_only: bool = False,
    verify: bool = True,
    now: Callable[[], datetime] = utc_now,
) -> "Store":
    """Open a collection, for writing unless `read_only` or the file or its folder forbids it.

    `verify`: read the file through first; without it call `Store.verify` soon. Raises InUse if
    another window or command writes it, FileTrouble for a file that cannot be opened; its bytes
    are left as they are.
    """
    with _opening:
        return _open(Path(path), read_only, verify, now)


def _open(path: Path, read_only: bool, verify: bool, now: Callable[[], datetime]) -> "Store":
    schema_no = SCHEMA_NO if path.resolve() in _opened else require_collection(path)
    lock: WriterLock | None = None
    reason = "It was opened for reading only." if read_only else None
    may_write = os.access(path, os.W_OK) and os.access(path.resolve().parent, os.W_OK)
    if not read_only:
        if may_write:
            lock = WriterLock(path)
            may_write = lock.take()
        if not may_write:
            lock = None
            reason = (
                f"“{path}” or its folder may not be written. To change it, allow that or save a "
                "copy elsewhere."
            )
    try:
        if schema_no < SCHEMA_NO:
            _migrate(path, reason)
        store = Store(path, lock, reason, may_write, now)
    except BaseException:
        if lock is not None:
            lock.free()
        raise
    try:
        store.look(verify)
    except BaseException:
        store.close()
        raise
    return store


def is_open_here(path: Path) -> bool:
    """Whether this process has the file open, for writing or for reading."""
    with _opening:
        return path.resolve() in _opened


def require_collection(path: Path) -> int:
    """The file's schema number, read from its first bytes; raises FileTrouble if it is not ours."""
    if path.is_dir():
        raise FileTrouble(f"“{path}” is a folder. Choose a collection file in it.")
    try:
        with path.open("rb") as file:
            head = file.read(100)
    except FileNotFoundError as error:
        raise FileTrouble(
            f"There is no file “{path}”. Look for it elsewhere, or start a new collection."
        ) from error
    except OSError as error:
        raise FileTrouble(
            f"“{path}” cannot be read ({error.strerror}). Check the file and the disk."
        ) from error
    foreign = FileTrouble(f"“{path}” is not a Slotleaf collection. Choose another file.")
    if len(head) < 100 or not head.startswith(_HEADER):
        raise foreign
    schema_no, application_id = (int.from_bytes(head[at : at + 4], "big") for at in (60, 68))
    if application_id != APPLICATION_ID:
        raise foreign
    if schema_no > SCHEMA_NO:
        raise FileTrouble(
            f"“{path}” was written by a newer Slotleaf (file schema {schema_no}, this program "
            f"reads up to {SCHEMA_NO}). Install the newer program to open it."
        )
    if schema_no < 1:
        raise FileTrouble(damaged(path))
    return schema_no


def _migrate(path: Path, read_only_reason: str | None) -> None:
    if read_only_reason is not None:
        raise FileTrouble(
            f"“{path}” was written by an older Slotleaf and must be renewed before it can be read. "
            "Open it once where it may be written."
        )
    from core.store.migrate import migrate

    migrate(path)


class Store:
    """An opened collection. One operation at a time; questions may come from any thread."""

    def __init__(
        self,
        path: Path,
        lock: WriterLock | None,
        read_only_reason: str | None,
        may_write: bool,
        now: Callable[[], datetime],
    ) -> None:
        self.path = path
        self.read_only_reason = read_only_reason
        self.copy_trouble: str | None = None
        """Why today's copy could not be made, None if it was or was not due."""
        self._lock = lock
        self._now = now
        self._reads: Engine = reading_engine(path, may_write)
        self._writes: Engine = writing_engine(path)
        self._working = threading.RLock()
        self._is_working = False
        self._is_closed = False
        self._copied_on: date | None = None
        self._runs: dict[int, int | None] = {}
        self._real = path.resolve()
        self._which = self._which_file()
        _opened[self._real] += 1

    @property
    def is_read_only(self) -> bool:
        """Whether changes are refused; `read_only_reason` says why."""
        return self.read_only_reason is not None

    def look(self, verify: bool) -> None:
        """Make the first read, and read the file through if `verify`; raises FileTrouble."""
        with self._snapshot() as conn:
            known = set(
                conn.exec_driver_sql(
                    "SELECT name FROM sqlite_master WHERE type = 'table'"
                ).scalars()
            )
            wanted = {*(t.name for t in JOURNALLED), *journal.metadata.tables}
            if not wanted <= known or (verify and checks.damage(conn)):
                raise FileTrouble(damaged(self.path))
            if verify:
                self.read_only_reason = checks.strangeness(conn) or self.read_only_reason

    def verify(self) -> str | None:
        """Read the file through; from then on it is read-only if anything is amiss. Says why."""
        with self._snapshot() as conn:
            trouble = damaged(self.path) if checks.damage(conn) else checks.strangeness(conn)
        if trouble is not None:
            self.read_only_reason = trouble
        return trouble

    def close(self) -> None:
        """Let go of the file; the store is of no use afterwards."""
        if self._is_closed:
            return
        self._is_closed = True
        self._reads.dispose()
        self._writes.dispose()
        if self._lock is not None:
            self._lock.free()
        with _opening:
            _opened[self._real] -= 1
            if not _opened[self._real]:
                del _opened[self._real]

    # Questions

    @contextmanager
    def _snapshot(self) -> Iterator[Connection]:
        """One read transaction, begun anew if a writer was just committing."""
        if self._is_closed:
            raise RuntimeError("the store is closed")
        with plain_words(self.path), self._reads.connect() as conn:
            for left in reversed(range(_TRIES)):
                try:
                    conn.begin()
                    conn.exec_driver_sql("SELECT count(*) FROM sqlite_master").scalar()
                    break
                except OperationalError as error:
                    conn.rollback()
                    name = getattr(error.orig, "sqlite_errorname", "")
                    if not left or not str(name).startswith("SQLITE_BUSY"):
                        raise
            yield conn

    @contextmanager
    def reading(self) -> Iterator[Reader]:
        """Ask questions of one short snapshot; keep no Reader beyond the block."""
        with self._snapshot() as conn:
            yield Reader(conn)

    # Operations

    def start_run(self) -> int:
        """Begin a run of operations that are undone together; give its number to `operation`."""
        run = len(self._runs) + 1
        self._runs[run] = None
        return run

    @contextmanager
    def operation(
        self,
        label: str,
        run: bool = False,
        run_id: int | None = None,
        at: datetime | None = None,
    ) -> Iterator[Unit]:
        """One change: committed whole with one journal entry, or no trace of it.

        `run` joins the run begun last by `start_run`, `run_id` that one; as long as no other
        operation came between, all of a run is one undo. `at` dates the entry (aware), the clock
        unless given. Raises ReadOnly, Refused, FileTrouble.
        """
        if run and run_id is None:
            run_id = len(self._runs) or self.start_run()
        with self._writing() as conn:
            joins = None if run_id is None else self._run_to_join(conn, run_id)
            when = (at or self._now()).astimezone(UTC)
            with journal.recording(conn, label, when, joins) as recording:
                unit = Unit(conn)
                yield unit
                if unit.about:
                    recording.label = f"{label} · {unit.about}"
        unit.entry = recording.entry
        if run_id is not None and recording.run is not None:
            self._runs[run_id] = recording.run

    def _run_to_join(self, conn: Connection, run_id: int) -> int:
        """The run's first entry while the run is the newest thing done, else 0: begin anew."""
        first = self._runs.get(run_id)
        newest = journal.newest(conn)
        return first if first is not None and newest is not None and newest[1] == first else 0

    @contextmanager
    def _writing(self) -> Iterator[Connection]:
        if self._is_closed:
            raise RuntimeError("the store is closed")
        if self.read_only_reason is not None:
            raise ReadOnly(f"Nothing was changed. {self.read_only_reason}")
        with self._working:
            if self._is_working:
                raise RuntimeError("an operation was begun inside another")
            self._is_working = True
            try:
                self._copy_if_due()
                with plain_words(self.path), self._writes.begin() as conn:
                    yield conn
            finally:
                self._is_working = False

    def _copy_if_due(self) -> None:
        """Before the first change of a day keep a copy, unless there is no history to lose yet.

        A copy that cannot be made does not hold up the change: `copy_trouble` says so.
        """
        today = self._now().astimezone().date()
        if self._copied_on == today:
            return
        self._copied_on = today
        self.copy_trouble = None
        with self._snapshot() as conn:
            is_new = conn.execute(select(journal.entry.c.id).limit(1)).first() is None
        if is_new:
            return
        try:
            copy_of_the_day(self.path, today)
        except FileTrouble as error:
            self.copy_trouble = str(error)

    # Undo and redo

    def undo(self, whole_run: bool = True) -> Step | None:
        """Take back the newest operation, with its run unless told; None if there is nothing."""
        return self._replay(forward=False, whole_run=whole_run)

    def redo(self, whole_run: bool = True) -> Step | None:
        """Do again what was undone last; None if there is nothing."""
        return self._replay(forward=True, whole_run=whole_run)

    def undo_to(self, entry: int) -> list[Step]:
        """Take back all that was done after an entry, newest first, in one transaction.

        The collection is then as it was right after that entry (0: before the first). Raises
        NotFound, Refused; then nothing was changed.
        """
        with self._writing() as conn:
            return [_step(conn, done) for done in journal.undo_to(conn, entry)]

    def _replay(self, forward: bool, whole_run: bool) -> Step | None:
        with self._writing() as conn:
            done = journal.replay(conn, forward, whole_run)
            return None if done is None else _step(conn, done)

    def changes_of(self, entry: int) -> Step:
        """What one entry of the history changed; raises NotFound."""
        columns = journal.entry.c
        with self._snapshot() as conn:
            row = conn.execute(
                select(columns.label, columns.first, columns.last).where(columns.id == entry)
            ).first()
            if row is None or row[1] is None:
                raise NotFound(f"There is no entry {entry} in the history of this collection.")
            return _step(conn, Replayed(row[0], (entry,), row[1], row[2]))

    @property
    def undo_label(self) -> str | None:
        """What `undo` would take back, None if there is nothing."""
        with self._snapshot() as conn:
            return journal.label(conn, forward=False)

    @property
    def redo_label(self) -> str | None:
        """What `redo` would do again, None if there is nothing."""
        with self._snapshot() as conn:
            return journal.label(conn, forward=True)

    def stand(self) -> tuple[int, int, int]:
        """Where the file stands: which file it is, its newest entry, how many are undone; 0: none.

        The same answer twice means that nothing was changed, undone or redone in between, and no
        copy restored. From then on all that is asked is asked of the file that is there now.
        """
        which = self._which_file()
        if which != self._which:
            self._which = which
            self._reads.dispose()
        c = journal.entry.c
        undone = select(func.count()).where(c.undone).scalar_subquery()
        with self._snapshot() as conn:
            newest, many = conn.execute(select(func.max(c.id), undone)).one()
        return which, newest or 0, many

    def _which_file(self) -> int:
        """The file behind the name, by its number on the disk; 0 where there is none now."""
        try:
            return self.path.stat().st_ino
        except OSError:
            return 0

    def history(self, limit: int, before: int | None = None) -> list[Entry]:
        """At most `limit` entries, newest first, of those before an entry's id if given."""
        c = journal.entry.c
        columns = (c.id, c.at, c.label, c.undone, c.run, c.first, c.last, c.schema_no)
        statement = select(*columns).order_by(c.id.desc()).limit(limit)
        if before is not None:
            statement = statement.where(c.id < before)
        with self._snapshot() as conn:
            return [
                Entry(
                    number,
                    datetime.fromisoformat(at),
                    label,
                    undone,
                    run,
                    0 if first is None else last - first + 1,
                    schema_no != journal.schema_no,
                )
                for number, at, label, undone, run, first, last, schema_no in conn.execute(
                    statement
                )
            ]

    # Copies and checks

    def copy_to(self, path: Path, with_history: bool = True, replace: bool = False) -> None:
        """Save a checked copy; `with_history` False leaves out what was deleted or changed.

        Raises Refused if something of that name is there and `replace` is not given, FileTrouble
        if it cannot be written.
        """
        write_copy(self.path, Path(path), replace, None if with_history else _forget_history)

    def check(self) -> list[str]:
        """All that is wrong with the file, in plain words; [] if it is sound."""
        with self._snapshot() as conn:
            return checks.problems(conn)

    def content_hash(self) -> str:
        """A hash over what the collection means: see `core.store.content`."""
        with self._snapshot() as conn:
            return content.content_hash(conn)

    def rows_hash(self) -> str:
        """A hash over all rows of the collection with their keys, its history left out."""
        with self._snapshot() as conn:
            return content.rows_hash(conn)


def _step(conn: Connection, done: Replayed) -> Step:
    return Step(done.label, done.entries, touched_rows(conn, done.first, done.last))


def _forget_history(draft: Path) -> None:
    engine = writing_engine(draft)
    try:
        with engine.begin() as conn:
            journal.forget_all(conn)
        with engine.connect() as conn:
            dbapi = conn.connection.driver_connection
            assert isinstance(dbapi, sqlite3.Connection)
            dbapi.execute("VACUUM")  # what was deleted still lies in free pages
    finally:
        engine.dispose()
