"""The tables by themselves: what they need loaded, and that PostgreSQL could hold them."""

import subprocess
import sys

PROBE = """
import sys
import core.store.store
assert not any(name.startswith("sqlalchemy.dialects.postgresql") for name in sys.modules)
from sqlalchemy.dialects import postgresql
from sqlalchemy.schema import CreateIndex
from core.store.tables import placement, say_open_to_postgresql
say_open_to_postgresql()
for index in placement.indexes:
    if index.unique:
        print(CreateIndex(index).compile(dialect=postgresql.dialect()))
"""


def test_a_start_loads_no_other_dialect_and_postgresql_gets_the_same_partial_indexes() -> None:
    done = subprocess.run(
        [sys.executable, "-c", PROBE], capture_output=True, text=True, check=True, timeout=60
    )
    lines = sorted(done.stdout.splitlines())
    assert lines == [
        f"CREATE UNIQUE INDEX uq_placement_open_{column} ON placement ({column}_id) "
        "WHERE until IS NULL"
        for column in ("coin", "slot")
    ]
