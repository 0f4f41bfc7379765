"""G11, G16: opening an album from a large collection, and a large import.

`python -m tests.bench.bench_store [COINS] [IMPORTED]` (1,000,000 and 100,000 unless given). Floors
are Python's own sqlite3 with the same SQL on the same file: for G11 fetching the rows of the album,
for G16 an executemany of ready rows into the same tables without triggers, its commit included.
"""

import random
import sqlite3
import sys
import tempfile
from collections.abc import Callable, Sequence
from contextlib import closing
from pathlib import Path
from statistics import median
from time import perf_counter

from sqlalchemy import Select
from sqlalchemy.dialects.sqlite import pysqlite

from core.model.album import AlbumId
from core.model.coin import Coin
from core.store.mapping import COIN_NAMES, coin_tuple
from core.store.read import ALBUM_COINS, ALBUM_SLOTS, Reader
from core.store.schema import journal
from core.store.store import Store, open_store
from core.store.unit import Unit
from tests.bench.material import MANY_COINS, MANY_SLOTS, a_collection
from tests.store_material import DAY, TOKEN_TEXTS, a_coin, a_store

ROUNDS = 9
_COLUMNS = ", ".join(("id", *COIN_NAMES))
RAW_INSERT = f"INSERT INTO coin ({_COLUMNS}) VALUES ({', '.join('?' * (len(COIN_NAMES) + 1))})"


def some_coins(count: int) -> list[Coin]:
    """Coins as roll finds are: mostly without a grade, of 120 dates."""
    rng = random.Random(count)
    return [
        a_coin(
            rng.randrange(1901, 2021),
            rng.choice(("", "", "", "g4", "vf20", "vf-xf", "ms63 rb")),
            came_from="box 12",
            acquired=DAY,
        )
        for _ in range(count)
    ]


def seconds(work: Callable[..., object], *given: object, times: int = 1) -> float:
    """How long the work takes, of several times the mean."""
    start = perf_counter()
    for _ in range(times):
        work(*given)
    return (perf_counter() - start) / times


def paired(floor: Callable[[], object], product: Callable[[], object]) -> tuple[float, float]:
    """The median ratio of product to floor, run in turn, and the floor's median seconds."""
    floor(), product()
    times = max(1, round(0.05 / seconds(floor)))  # too short a span measures the machine's unrest
    pairs = [(seconds(floor, times=times), seconds(product, times=times)) for _ in range(ROUNDS)]
    return median(own / bare for bare, own in pairs), median(bare for bare, _ in pairs)


def literal(statement: Select, album: AlbumId) -> tuple[str, tuple[object, ...]]:
    """The statement as its driver sends it, with what fills its places."""
    compiled = statement.compile(dialect=pysqlite.dialect())
    values = compiled.construct_params({"of": album})
    return str(compiled), tuple(values[name] for name in compiled.positiontup or ())


def bench_albums(count: int) -> None:
    path = a_collection(count, MANY_SLOTS)
    with closing(open_store(path, read_only=True, verify=False)) as store:
        with store.reading() as reader:
            albums = reader.albums()
        for album, size in zip(albums, MANY_SLOTS, strict=True):
            print(f"G11 album of {size:,} slots among {count:,} coins")
            bench_album(store, album.id)


def touched(rows: Sequence[Sequence[object]]) -> int:
    """Look at each row by index, as who draws it does."""
    return sum(1 for row in rows if row[0] is not None and row[3] is not None)


def bench_album(store: Store, album: AlbumId) -> None:
    statements = (ALBUM_SLOTS, ALBUM_COINS)
    raw = [literal(statement, album) for statement in statements]
    with closing(sqlite3.connect(store.path)) as base, store._snapshot() as conn:

        def floor() -> list[int]:
            return [touched(base.execute(sql, values).fetchall()) for sql, values in raw]

        def rows() -> list[int]:
            return [touched(read.screen_rows(one, album)) for one in statements]

        read = Reader(conn)

        def objects() -> list[int]:
            with store.reading() as reader:
                return [len(reader.slots(album)), len(reader.coins_in_album(album))]

        assert floor() == rows() == objects()
        ratio, bare = paired(floor, rows)
        print(f"  rows by index: {ratio:.2f} of {bare * 1000:.1f} ms (goal at most 1.2)")
        ratio, _ = paired(floor, objects)
        print(f"  as slots and coins, transaction included: {ratio:.2f}")


def bench_import(folder: Path, count: int) -> None:
    coins = some_coins(count)
    path = folder / "import.slotleaf"

    def fresh(with_journal: bool) -> tuple[Store, list[tuple[object, ...]]]:
        """An empty collection that knows the descriptions, and the rows as they go in."""
        path.unlink(missing_ok=True)
        store = a_store(path)
        with store.operation("Begin") as unit:
            unit.add_series(*TOKEN_TEXTS)
            described = unit._intern(coin.description for coin in coins)
            rows = [
                (number, *coin_tuple(coin, described[coin.description]))
                for number, coin in enumerate(coins, start=1)
            ]
        if not with_journal:
            with store._writes.begin() as conn:
                journal.drop_triggers(conn)
        return store, rows

    def floor(store: Store, rows: list[tuple[object, ...]]) -> None:
        with closing(sqlite3.connect(store.path, isolation_level=None)) as base:
            for pragma in ("synchronous=EXTRA", "foreign_keys=ON", "cache_spill=50000"):
                base.execute("PRAGMA " + pragma)
            base.execute("BEGIN IMMEDIATE")
            base.executemany(RAW_INSERT, rows)
            base.execute("COMMIT")

    def by_unit(store: Store, rows: list[tuple[object, ...]]) -> None:
        with store._writes.begin() as conn:
            Unit(conn)._insert(coin_table, ("id", *COIN_NAMES), rows)

    def with_journal(store: Store, rows: list[tuple[object, ...]]) -> None:
        with store.operation("Import") as unit:
            unit._insert(coin_table, ("id", *COIN_NAMES), rows)

    def whole(store: Store, rows: list[tuple[object, ...]]) -> None:
        with store.operation("Import") as unit:
            unit.add_coins(coins)

    coin_table = journal.tables["coin"]
    works = {
        "ready rows, no journal (goal at most 1.3)": (by_unit, False),
        "ready rows, with the journal": (with_journal, True),
        "coins as objects, with the journal": (whole, True),
    }
    print(f"G16 insert of {count} coins, commit included")
    ratios: dict[str, list[float]] = {name: [] for name in works}
    bare: list[float] = []
    for _ in range(ROUNDS):
        store, rows = fresh(with_journal=False)
        bare.append(seconds(floor, store, rows))
        store.close()
        for name, (work, journalled) in works.items():
            store, rows = fresh(journalled)
            ratios[name].append(seconds(work, store, rows) / bare[-1])
            store.close()
    print(f"  floor: {median(bare):.2f} s")
    for name, found in ratios.items():
        print(f"  {name}: {median(found):.2f}")


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else MANY_COINS
    imported = int(sys.argv[2]) if len(sys.argv) > 2 else 100_000
    bench_albums(count)
    with tempfile.TemporaryDirectory() as folder:
        bench_import(Path(folder), imported)


if __name__ == "__main__":
    main()
