"""G19: the look-up line's answer after a key, with 1,000, 100,000 and 1,000,000 coins.

`python -m tests.bench.bench_lookup [report|first]` types lines as a collector does, letter by
letter, and asks for the answer at every key: plain finds, ambiguous dates, varieties, misspelt
words, a coin of another series, dates never struck. Searched are eight series of the library in
nine albums, with as many coins of them as the size says, 100,000 at most, beside the coins, albums
and series of the other benches. Times are the processor's, so that other programs on the machine do
not count; a key's is that of its quickest round, and the goal is on the slowest key of all. Told
beside it, without a goal: the first after an album changed, which reads that album anew.

First answer: from the opened collection of 100,000 coins to the answer, each in a process of its
own, with the words of all series read in it; beside it the same with all albums, their marks and
all spares read before it, as it was once. `first` measures this alone; `report` tells and never
fails.
"""

import random
import shutil
import sys
from collections.abc import Callable
from pathlib import Path
from statistics import median
from subprocess import run
from time import perf_counter, thread_time

from core.app.changes import Changes
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

ROUNDS, FIRST_ROUNDS = 5, 3
GOAL_MS = 16.0
FIRST_GOAL_MS = 500.0
FIRST_LINES = ("43d", "wheatie g4", "merc 42")
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
        times = {
            key: min(_ms(collection, key, scope, thread_time) for _ in range(ROUNDS))
            for key in dict.fromkeys(keys)
        }
        answered = sum(bool(collection.look_up(line, scope).readings) for line in LINES)
        assert answered > len(LINES) // 2, "the lines name nothing of this collection"
        album = next(a.id for a in collection.albums() if a.name == SERIES[0])
        collection._forget(Changes(albums=frozenset([album])))
        renewed = _ms(collection, LINES[0], scope, perf_counter)
    slowest = max(times, key=times.__getitem__)
    in_order = sorted(times[key] for key in keys)
    print(
        f"G19 {coins:,} coins, {albums} albums: slowest of {len(times)} keys "
        f"{times[slowest]:.1f} ms (“{slowest}”), goal at most {GOAL_MS:g} ms; half within "
        f"{median(in_order):.1f}, 95 % within {in_order[int(0.95 * len(in_order))]:.1f} ms; after "
        f"a change of the cents' album {renewed:.0f} ms"
    )
    return times[slowest] <= GOAL_MS


def first(path: Path, line: str) -> None:
    """Print the milliseconds of a first answer, and of the same where all was read before."""
    scope = Scope(rule=UseRule(spares_of_each=2))
    took = []
    for is_whole in (False, True):
        with Collection.open(path, verify=False) as collection:
            start = thread_time()
            if is_whole:
                collection.shelf()
            assert collection.look_up(f"{line} ", scope).readings
            took.append(1000 * (thread_time() - start))
    print(*took)


def measure_first(path: Path, coins: int) -> bool:
    """Print one row for the first answer; whether every line met the goal."""
    slowest = 0.0
    for line in FIRST_LINES:
        call = [sys.executable, "-m", "tests.bench.bench_lookup", "of", str(path), line]
        runs = [
            [
                float(ms)
                for ms in run(call, capture_output=True, check=True, text=True).stdout.split()
            ]
            for _ in range(FIRST_ROUNDS)
        ]
        mine, whole = (median(column) for column in zip(*runs, strict=True))
        ratio = median(one / other for one, other in runs)
        slowest = max(slowest, mine)
        print(
            f"first answer among {coins:,} coins, “{line}”: {mine:.0f} ms, goal at most "
            f"{FIRST_GOAL_MS:g} ms; all read before it {whole:.0f} ms, ratio {ratio:.2f}"
        )
    return slowest <= FIRST_GOAL_MS


def main() -> int:
    """Measure at each size."""
    if sys.argv[1:2] == ["of"]:
        first(Path(sys.argv[2]), sys.argv[3])
        return 0
    met = measure_first(a_searched(100_000, (5_000,)), 100_000)
    if sys.argv[1:] == ["first"]:
        return 0 if met else 1
    met &= measure(a_searched(1_000, (250,)), 1_000)
    met &= measure(a_searched(100_000, (5_000,)), 100_000)
    met &= measure(a_searched(MANY_COINS, MANY_SLOTS), MANY_COINS)
    return 0 if met or sys.argv[1:] == ["report"] else 1


if __name__ == "__main__":
    raise SystemExit(main())
