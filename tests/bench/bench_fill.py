"""G13, G14: read and match a whole fill, against fetching the same rows and doing nothing.

`python -m tests.bench.bench_fill [G13|G14|whole]` prints for 250 slots × 10,000 coins and for
5,000 × 100,000 the ratio and its goal. The floor sends the very statements that the product sent,
by Python's own sqlite3 on the same file, and fetches all rows. `whole` adds 250 and 5,000 slots in
a collection of 1,000,000 coins, which has no goal.
"""

import sqlite3
import sys
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from statistics import median
from time import perf_counter

from core.app.collection import Collection
from core.fill.proposal import propose
from core.fill.solve import Solved, work_out
from core.model.album import AlbumId
from tests.bench.material import MANY_COINS, MANY_SLOTS, a_collection

ROUNDS = 9


def statements_of(collection: Collection, album: AlbumId) -> list[str]:
    """The questions that reading for a fill sends, with their values in them."""
    sent: list[str] = []
    with collection._store._snapshot() as conn:
        driver = conn.connection.driver_connection
        assert isinstance(driver, sqlite3.Connection)
        driver.set_trace_callback(sent.append)
    collection.fill_input([album])
    driver.set_trace_callback(None)
    asked = [sql for sql in sent if sql.startswith("SELECT")]
    assert len(asked) >= 4, "the trace saw another connection"
    return asked


def _seconds(work: Callable[[], object]) -> float:
    start = perf_counter()
    work()
    return perf_counter() - start


def measure(name: str, path: Path, at: int, goal: float | None) -> bool:
    """Print one row of the table; whether its goal is met."""
    with Collection.open(path, read_only=True, verify=False) as collection:
        album = collection.albums()[at].id
        asked = statements_of(collection, album)
        with closing(sqlite3.connect(f"file:{path}?mode=ro", uri=True)) as base:

            def fetch() -> list[list[object]]:
                return [base.execute(sql).fetchall() for sql in asked]

            def fill() -> Solved:
                return work_out(collection.fill_input([album]))

            given = collection.fill_input([album])
            assert len(fill().rows) > len(given.placed)
            times = [
                (
                    _seconds(fetch),
                    _seconds(fill),
                    _seconds(lambda: work_out(given)),
                    _seconds(lambda: propose(given)),
                )
                for _ in range(ROUNDS)
            ]
    ratio = median(mine / bare for bare, mine, *_ in times)
    floor, whole, match, told = (1000 * median(column) for column in zip(*times, strict=True))
    slots, spares = len(given.slots), len(given.spares or ())
    wanted = f"goal at most {goal}" if goal else "no goal"
    print(
        f"{name} {slots:,} slots × {spares + len(given.coins):,} coins they may hold: "
        f"ratio {ratio:.2f}, {wanted} (rows {floor:.0f} ms, read and match {whole:.0f} ms, of which"
        f" match {match:.0f} ms; with reasons for each move {whole - match + told:.0f} ms)"
    )
    return goal is None or ratio <= goal


def main() -> int:
    names = sys.argv[1:] or ["G13", "G14", "whole"]
    met = True
    if "G13" in names:
        met &= measure("G13", a_collection(10_000, (250,)), 0, 1.6)
    if "G14" in names:
        met &= measure("G14", a_collection(100_000, (5_000,)), 0, 2.0)
    if "whole" in names:
        path = a_collection(MANY_COINS, MANY_SLOTS)
        for at, size in enumerate(MANY_SLOTS):
            if size <= 5_000:
                measure("in a collection of 1,000,000 coins,", path, at, None)
    return 0 if met else 1


if __name__ == "__main__":
    raise SystemExit(main())
