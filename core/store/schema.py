"""The whole schema of a collection file: its tables, its journal, its marks."""

from sqlalchemy import (
    Column,
    Connection,
    MetaData,
    PrimaryKeyConstraint,
    String,
    Table,
    insert,
)

from core.store.journal import Journal
from core.store.tables import JOURNALLED, SCHEMA_NO, metadata

APPLICATION_ID = 0x534C4F54  # "SLOT"
HEAD = f"{SCHEMA_NO:04}"  # the newest revision in core/store/migrations

journal = Journal(JOURNALLED, SCHEMA_NO)

# As Alembic itself makes it; a test compares.
_version_metadata = MetaData()
alembic_version = Table(
    "alembic_version",
    _version_metadata,
    Column("version_num", String(32), nullable=False),
    PrimaryKeyConstraint("version_num", name="alembic_version_pkc"),
)


def make_tables(conn: Connection) -> None:
    """Make every table of an empty file, without its triggers: rows may still be put in."""
    metadata.create_all(conn)
    journal.metadata.create_all(conn)
    _version_metadata.create_all(conn)
    conn.execute(insert(alembic_version).values(version_num=HEAD))


def finish(conn: Connection) -> None:
    """Set the triggers and the file's marks."""
    journal.install(conn)
    mark(conn)


def mark(conn: Connection, schema_no: int = SCHEMA_NO) -> None:
    """Write whose file this is, and of which schema."""
    conn.exec_driver_sql(f"PRAGMA application_id={APPLICATION_ID}")
    conn.exec_driver_sql(f"PRAGMA user_version={schema_no}")
