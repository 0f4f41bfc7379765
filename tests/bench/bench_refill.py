"""G15: solve again after one edited coin whose group has at most 20 slots, at any size.

`python -m tests.bench.bench_refill [COINS …]` (10,000 and 1,000,000 unless given): all albums of a
collection are filled once and kept in mind; then spares and coins in slots get another grade, one
after another, and each refill is timed. Prints the median and the goal.
"""

import random
import sys
from dataclasses import replace
from statistics import median
from time import perf_counter

from core.app.collection import Collection
from core.fill.refill import Filling
from core.model.coin import Coin
from core.model.grade import parse_grade
from tests.bench.material import MANY_COINS, MANY_SLOTS, a_collection

GOAL_MS, EDITS, MOST_SLOTS = 2.0, 300, 20
SIZES = {10_000: (250,) * 4, MANY_COINS: MANY_SLOTS}


def measure(coins: int, sizes: tuple[int, ...]) -> bool:
    """Print one row; whether the goal is met."""
    with Collection.open(a_collection(coins, sizes), read_only=True, verify=False) as collection:
        given = collection.fill_input()
    start = perf_counter()
    filling = Filling(given)
    whole = perf_counter() - start
    rng = random.Random(1)
    spares = given.spares
    assert spares is not None
    grades = [parse_grade(text) for text in ("g4", "f12", "vf20", "xf40", "ms63")]
    took: list[float] = []
    group: list[int] = []
    while len(took) < EDITS:
        coin: Coin = rng.choice(given.coins)
        if rng.random() < 0.8:
            coin = spares.coin(rng.randrange(len(spares)))
        slots = filling.linked_to(coin)
        if not 0 < slots <= MOST_SLOTS:
            continue
        edited = replace(coin, grade=rng.choice(grades))
        start = perf_counter()
        filling.edit({coin.id: edited})
        took.append(perf_counter() - start)
        group.append(slots)
    got, nine_in_ten = 1000 * median(took), 1000 * sorted(took)[EDITS * 9 // 10]
    print(
        f"G15 refill after one edited coin, {len(given.slots):,} slots × {coins:,} coins: median"
        f" {got:.2f} ms, goal at most {GOAL_MS:.0f} ms (nine in ten {nine_in_ten:.2f} ms;"
        f" groups of {min(group)} to {max(group)} slots; filled whole once in {whole:.1f} s)"
    )
    return got <= GOAL_MS


def main() -> int:
    asked = [int(word) for word in sys.argv[1:]] or list(SIZES)
    met = [measure(coins, SIZES.get(coins, MANY_SLOTS)) for coins in asked]
    return 0 if all(met) else 1


if __name__ == "__main__":
    raise SystemExit(main())
