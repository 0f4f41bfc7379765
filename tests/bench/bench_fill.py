"""G13, G14: read and match a whole fill, against fetching the same rows and doing nothing.

`python -m tests.bench.bench_fill` prints, for 250 slots × 10,000 coins and 5,000 × 100,000, the
ratio and its goal, and how much of it is reading rows into coins and how much matching.
"""

import random
import sqlite3
from collections.abc import Callable
from statistics import median
from time import perf_counter

from core.fill.solve import Assignment, FillInput, solve
from core.model.album import AlbumId, Slot, Target, Wish
from core.model.coin import CoinId, Problem
from core.model.issue import Description
from core.store.mapping import coin_of, coin_tuple
from tests.strategies_fill import HARBOUR, a_coin, a_slot, harbour_series

ROUNDS = 9
MINTS = "PDSCO"
POINTS = (None, 4, 6, 8, 10, 12, 15, 20, 25, 30, 35, 40, 45, 50)


def a_jar(n_slots: int, n_coins: int) -> FillInput:
    """Albums of 250 slots, some for any mint, six in ten filled; one coin in twenty has no mint."""
    rng = random.Random(n_slots)
    years = range(1701, 1701 + n_slots // len(MINTS))
    series = harbour_series(years, MINTS)
    places = [(year, mint) for year in years for mint in MINTS]
    slots: list[Slot] = []
    for number, (year, mint) in enumerate(places, start=1):
        slots.append(
            a_slot(
                number,
                year,
                mint if rng.random() > 0.05 else "",
                album=AlbumId(1 + number // 250),
                wish=Wish.OPTIONAL if rng.random() < 0.2 else Wish.WANTED,
                target=rng.choice([None, Target(20), Target(40)]),
            )
        )
    coins = [
        a_coin(
            number,
            rng.choice(years),
            rng.choice(MINTS) if rng.random() > 0.05 else "",
            points=rng.choice(POINTS),
            problems=(Problem.CLEANED,) if rng.random() < 0.1 else (),
        )
        for number in range(1, n_coins + 1)
    ]
    by_description: dict[Description, list[CoinId]] = {}
    for coin in coins:
        by_description.setdefault(coin.description, []).append(coin.id)
    placed = {}
    for slot in slots:
        fitting = by_description.get(slot.accepts)
        if fitting and rng.random() < 0.6:
            placed[slot.id] = fitting.pop()
    albums = tuple(dict.fromkeys(slot.album for slot in slots))
    return FillInput({HARBOUR: series}, albums, tuple(slots), tuple(coins), placed)


def a_table(given: FillInput) -> sqlite3.Connection:
    """The coins as rows, with the columns that the collection file has."""
    numbers = {d: n for n, d in enumerate({c.description for c in given.coins})}
    rows = [(c.id, *coin_tuple(c, numbers[c.description])) for c in given.coins]
    base = sqlite3.connect(":memory:")
    columns = ", ".join(f"c{at}" for at in range(len(rows[0])))
    base.execute(f"create table coin ({columns})")
    base.executemany(f"insert into coin values ({', '.join('?' * len(rows[0]))})", rows)
    return base


def _seconds(work: Callable[[], object]) -> float:
    start = perf_counter()
    work()
    return perf_counter() - start


def measure(name: str, n_slots: int, n_coins: int, goal: float) -> None:
    """Print one row of the table."""
    given = a_jar(n_slots, n_coins)
    base = a_table(given)
    described = dict(enumerate({c.description for c in given.coins}))
    names = ", ".join(f"c{at}" for at in range(18) if at != 3)

    def fetch() -> list[tuple]:
        return base.execute(f"select {names} from coin").fetchall()

    def read() -> FillInput:
        coins = tuple(coin_of(row, described.__getitem__) for row in fetch())
        return FillInput(given.series, given.albums, given.slots, coins, given.placed)

    def fill() -> Assignment:
        return solve(read())

    assert fill().value == solve(given).value
    times = [
        (_seconds(fetch), _seconds(fill), _seconds(lambda: solve(given))) for _ in range(ROUNDS)
    ]
    floor, whole, match = (median(column) for column in zip(*times, strict=True))
    print(
        f"{name} {n_slots:,} slots × {n_coins:,} coins: ratio "
        f"{median(mine / bare for bare, mine, _ in times):.2f}, goal at most {goal}"
        f" (rows {1000 * floor:.0f} ms, read and match {1000 * whole:.0f} ms,"
        f" of which match {1000 * match:.0f} ms)"
    )


def main() -> None:
    measure("G13", 250, 10_000, 1.6)
    measure("G14", 5_000, 100_000, 2.0)


if __name__ == "__main__":
    main()
