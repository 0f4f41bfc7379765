"""G19: the look-up line's answer after a key, with 1,000, 100,000 and 1,000,000 coins.

`python -m tests.bench.bench_lookup [report]` types lines as a collector does, letter by letter,
and asks for the answer at every key: plain finds, ambiguous dates, varieties, misspelt words, a
coin of another series, dates never struck. Searched are eight series of the library in nine
albums, with as many coins of them as the size says, 100,000 at most, beside the coins, albums and
series of the other benches. A key's time is the processor time of its quickest round, so that
other programs on the machine do not count; the goal is on the slowest key of all. Told beside it,
without a goal: the first answer after opening, and the first after an album changed, which reads
that album anew. `report` tells and never fails.
"""

import random
import shutil
import sys
from collections.abc import Callable
from pathlib import Path
from statistics import median
from time import perf_counter, thread_time

from core.app.collection import Collection
from core.app.look_up import Scope, UseRule
from core.app.operations import add_album, add_coins
from core.model.album import parse_target
from core.model.arrangement import parse_arrangement
from core.model.coin import Coin, CoinId
from core.model.grade import SCALE, Grade
from core.model.issue import Description, Facet, SeriesId
from core.model.plan_album import AlbumPlan
from tests.bench.material import MANY_COINS, MANY_SLOTS, a_collection, folder

ROUNDS = 5
GOAL_MS = 16.0
LINES = (
    "43d",
    "1943-D vf20",
    "09",
    "09 vf20",
    "3 x 58d corroded",
    "55 ddo?",
    "72 ddo",
    "70s small date",
    "1982 d 3.11g",
    "44s >",
    "195x d",
    "coroded 43",
    "98 wdie am",
    "merc 42",
    "ca cent 1962",
    "war nick 43s",
    "1899",
    "1933s",
    "12 xqzzy",
    "+foreign: a worn one",
    "wheatie g4",
    "eagle d",
    "silver nickel",
)


SERIES = (
    "us-cent-lincoln",
    "us-nickel-jefferson",
    "us-dime-roosevelt",
    "us-dime-mercury",
    "us-quarter-washington",
    "us-half-kennedy",
    "us-half-walking-liberty",
    "us-cent-indian",
)
MOST_SEARCHED = 100_000


def a_searched(coins: int, sizes: tuple[int, ...]) -> Path:
    """A collection of the other benches with albums and coins of real series beside."""
    path = folder() / f"searched-{coins}.slotleaf"
    if path.exists():
        return path
    shutil.copy(a_collection(coins, sizes), path)
    chance = random.Random(19)
    with Collection.open(path, verify=False) as collection:
        for name in SERIES:
            plan = AlbumPlan(target=parse_target("VF-20"))
            shape = parse_arrangement("years-by-mints")
            collection.run(add_album(name, SeriesId(name), plan, shape))
        shape = parse_arrangement("years-by-mints")
        collection.run(add_album("more cents", SeriesId(SERIES[0]), AlbumPlan((1909, 1958)), shape))
        issues = [(s, i) for s in map(collection.series, map(SeriesId, SERIES)) for i in s.issues]
        made = []
        for _ in range(min(coins, MOST_SEARCHED)):
            series, issue = chance.choice(issues)
            facets = {facet.value: issue.value(facet) or "" for facet in Facet}
            points = chance.choice([None, *SCALE])
            grade = Grade(points, points) if points else None
            made.append(Coin(CoinId(0), Description.of(series.id, facets), grade))
        collection.run(add_coins(made))
    return path


def _ms(collection: Collection, text: str, scope: Scope, clock: Callable[[], float]) -> float:
    start = clock()
    collection.look_up(text, scope)
    return 1000 * (clock() - start)


def measure(path: Path, coins: int) -> bool:
    """Print one row of the table; whether every key met the goal."""
    scope = Scope(rule=UseRule(spares_of_each=2))
    keys = [line[:end] for line in LINES for end in range(1, len(line) + 1)]
    with Collection.open(path, verify=False) as collection:
        albums = len(collection.albums())
        opened = _ms(collection, LINES[0], scope, perf_counter)
        times = {
            key: min(_ms(collection, key, scope, thread_time) for _ in range(ROUNDS))
            for key in dict.fromkeys(keys)
        }
        answered = sum(bool(collection.look_up(line, scope).readings) for line in LINES)
        assert answered > len(LINES) // 2, "the lines name nothing of this collection"
        for view in collection._views_of(SeriesId(SERIES[0])):
            del collection._albums[view.album.id]
        renewed = _ms(collection, LINES[0], scope, perf_counter)
    slowest = max(times, key=times.__getitem__)
    in_order = sorted(times[key] for key in keys)
    print(
        f"G19 {coins:,} coins, {albums} albums: slowest of {len(times)} keys "
        f"{times[slowest]:.1f} ms (“{slowest}”), goal at most {GOAL_MS:g} ms; half within "
        f"{median(in_order):.1f}, 95 % within {in_order[int(0.95 * len(in_order))]:.1f} ms; after "
        f"opening {opened:.0f} ms, after a change of the cents' albums {renewed:.0f} ms"
    )
    return times[slowest] <= GOAL_MS


def main() -> int:
    """Measure at each size."""
    met = measure(a_searched(1_000, (250,)), 1_000)
    met &= measure(a_searched(100_000, (5_000,)), 100_000)
    met &= measure(a_searched(MANY_COINS, MANY_SLOTS), MANY_COINS)
    return 0 if met or sys.argv[1:] == ["report"] else 1


if __name__ == "__main__":
    raise SystemExit(main())
