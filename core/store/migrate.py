"""Bring an older collection file to the present schema. Imported only when one is met."""

import os
import sqlite3
from collections.abc import Sequence
from pathlib import Path

from alembic import command
from alembic.config import Config
from sqlalchemy import Connection

from core.errors import FileTrouble
from core.store.copies import copies_beside, copies_elsewhere, plain_name, write_copy
from core.store.engine import writing_engine
from core.store.journal import Journal
from core.store.schema import journal as present
from core.store.schema import mark
from core.store.tables import SCHEMA_NO
from core.store.trouble import damaged, plain_words

_HERE = Path(__file__).with_name("migrations")
VERSIONS = (_HERE / "versions",)


def upgrade(conn: Connection, versions: Sequence[Path] = VERSIONS) -> None:
    """Run every revision the file has not seen, in the caller's transaction."""
    config = Config()
    config.set_main_option("script_location", str(_HERE).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    places = os.pathsep.join(str(folder) for folder in versions)
    config.set_main_option("version_locations", places.replace("%", "%%"))
    config.attributes["connection"] = conn
    command.upgrade(config, "head")


def migrate(
    path: Path,
    journal: Journal = present,
    schema_no: int = SCHEMA_NO,
    versions: Sequence[Path] = VERSIONS,
) -> Path:
    """Keep a copy, then renew the file in one transaction; returns where the copy lies.

    The history stays readable, but nothing from before can be undone. Raises FileTrouble; the file
    is then as it was.
    """
    kept = _keep_copy(path, schema_no)
    engine = writing_engine(path)
    try:
        with plain_words(path), engine.connect() as conn:
            dbapi = conn.connection.driver_connection
            assert isinstance(dbapi, sqlite3.Connection)
            dbapi.execute("PRAGMA foreign_keys=OFF")  # inside a transaction it would be ignored
            with conn.begin():
                journal.drop_triggers(conn)
                journal.drop_images(conn)
                upgrade(conn, versions)
                journal.install(conn)
                if conn.exec_driver_sql("PRAGMA foreign_key_check").all():
                    raise FileTrouble(damaged(path))
                mark(conn, schema_no)
    finally:
        engine.dispose()
    return kept


def _keep_copy(path: Path, schema_no: int) -> Path:
    """The way back: the file as it was, beside it or in the user's data folder."""
    name = f"{plain_name(path)} before schema {schema_no}.slotleaf"
    beside, elsewhere = copies_beside(path) / name, copies_elsewhere(path) / name
    try:
        beside.parent.mkdir(parents=True, exist_ok=True)
        write_copy(path, beside, replace=True)
    except (OSError, FileTrouble):
        elsewhere.parent.mkdir(parents=True, exist_ok=True)
        write_copy(path, elsewhere, replace=True)
        return elsewhere
    return beside
