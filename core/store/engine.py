"""Connections to a collection file: one engine that writes, one that only reads."""

import os
import sqlite3
from collections.abc import Callable
from functools import cache
from pathlib import Path
from urllib.parse import quote

from sqlalchemy import Connection, Dialect, Engine, create_engine, event
from sqlalchemy.pool import QueuePool
from sqlalchemy.util import LRUCache

BUSY_MS = 5000
# Pages a writer holds in memory before it must lock readers out (200 MB); else a long import would
# do so long before its commit.
_SPILL_PAGES = 50_000
_PRAGMAS: tuple[str, ...] = (
    "synchronous=EXTRA",
    "foreign_keys=ON",
    "recursive_triggers=ON",
    "trusted_schema=OFF",
    "cell_size_check=ON",
    f"busy_timeout={BUSY_MS}",
)


# Statements once compiled serve every engine; their keys name the dialect, so that is shared too.
_compiled: LRUCache[object, object] = LRUCache(1000)


@cache
def _dialect() -> Dialect:
    """SQLite as all engines speak it, told once of the library's version."""
    engine = create_engine("sqlite://")
    engine.connect().close()
    engine.dispose()
    return engine.dialect


def uri_of(path: Path, mode: str) -> str:
    """The file as SQLite's URI; `mode` is ro, rw (never makes a file) or rwc."""
    plain = quote(os.fsencode(path.absolute().as_posix()))
    return f"file://{plain if plain.startswith('/') else '/' + plain}?mode={mode}"


def connect(path: Path, mode: str) -> sqlite3.Connection:
    """A bare connection that sends no BEGIN of its own."""
    return sqlite3.connect(
        uri_of(path, mode), uri=True, isolation_level=None, check_same_thread=False
    )


def _engine(creator: Callable[[], sqlite3.Connection], begin: str) -> Engine:
    engine = create_engine("sqlite://", creator=creator, poolclass=QueuePool, pool_size=4)
    engine.dialect = _dialect()
    engine.update_execution_options(compiled_cache=_compiled)

    @event.listens_for(engine, "begin")
    def _begin(conn: Connection) -> None:
        conn.exec_driver_sql(begin)

    @event.listens_for(engine, "reset")
    def _reset(dbapi: sqlite3.Connection, _record: object, _state: object) -> None:
        # After a COMMIT that failed the connection is still inside its transaction.
        if dbapi.in_transaction:
            dbapi.rollback()

    return engine


def writing_engine(path: Path, mode: str = "rw") -> Engine:
    """The engine for operations: every transaction is a writer's from its first statement."""

    def creator() -> sqlite3.Connection:
        dbapi = connect(path, mode)
        for pragma in ("journal_mode=DELETE", f"cache_spill={_SPILL_PAGES}", *_PRAGMAS):
            dbapi.execute("PRAGMA " + pragma)
        return dbapi

    return _engine(creator, "BEGIN IMMEDIATE")


def reading_engine(path: Path, may_write: bool) -> Engine:
    """The engine for questions; it changes nothing.

    `may_write`: the file and its folder may be written, so that a reader can take back what a
    crashed writer left half done, as SQLite does before its first read.
    """

    def creator() -> sqlite3.Connection:
        dbapi = connect(path, "rw" if may_write else "ro")
        for pragma in (*_PRAGMAS, "query_only=ON"):
            dbapi.execute("PRAGMA " + pragma)
        return dbapi

    return _engine(creator, "BEGIN")
