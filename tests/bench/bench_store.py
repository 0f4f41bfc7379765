"""G11, G16: opening an album from a large collection, and a large import.

`python -m tests.bench.bench_store [COINS]` (100,000 unless given). Floors are Python's own sqlite3
with the same SQL on the same file: for G11 fetching the rows of the album, for G16 an executemany
of ready rows into the same tables without triggers, its commit included.
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
from core.store.store import Store
from core.store.unit import Unit
from tests.store_material import DAY, TOKEN_TEXTS, a_coin, a_slot, a_store, an_album

ROUNDS = 9
SIZES = (250, 5_000)
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


def bench_albums(folder: Path, count: int) -> None:
    store = a_store(folder / "albums.slotleaf")
    albums = {}
    with store.operation("Begin") as unit:
        unit.add_series(*TOKEN_TEXTS)
        coins = unit.add_coins(some_coins(count))
        free = iter(coins)
        for size in SIZES:
            albums[size] = unit.add_album(an_album(f"{size}"))
            slots = unit.add_slots([a_slot(albums[size], at, label=f"{at}") for at in range(size)])
            unit.place_many([(one, next(free)) for one in slots[: size * 3 // 5]], DAY)
    for size, album in albums.items():
        print(f"G11 album of {size} slots among {count} coins")
        bench_album(store, album)
    store.close()


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
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    with tempfile.TemporaryDirectory() as folder:
        bench_albums(Path(folder), count)
        bench_import(Path(folder), count)


if __name__ == "__main__":
    main()
