"""Kill a writer again and again and look what it left; run as a program by `test_kill`.

One process of one thread, so that it may fork: each round a child carries out the same steps on a
fresh copy, says each one done after its commit, and is killed somewhere in between. What the file
must then hold is known from carrying the steps out once undisturbed.
"""

import json
import os
import random
import shutil
import signal
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from core.app.order import Context, Operation
from core.app.search_orders import count_seen, keep_find, next_roll
from core.app.series_shelf import SeriesShelf
from core.catalogue.load import load_series
from core.lookup.parse import parse_entry
from core.model.coin import CoinId
from core.model.search import BoxId, Sighting
from core.store.store import Store, open_store
from tests.store_material import DAY, TOKENS, a_coin, a_full_coin, a_store, fill

KILLS = {"rows": 60, "sitting": 10}
Step = Callable[[Store], object]


def steps() -> list[Step]:
    """Operations that write hundreds of rows, undo and redo among them."""

    def add(store: Store) -> None:
        with store.operation("Add") as unit:
            unit.add_coins([a_coin(1901 + n % 9, note=f"{n}" * 20) for n in range(250)])

    def edit(store: Store) -> None:
        with store.operation("Edit") as unit:
            coins = [one for one in unit.read.all_coins() if one.id > 12][:200]
            unit.update_coins([replace(a_full_coin(), id=one.id) for one in coins])

    def delete(store: Store) -> None:
        with store.operation("Delete") as unit:
            unit.delete_coins([CoinId(n) for n in range(100, 220)])

    def move(store: Store) -> None:
        with store.operation("Move") as unit:
            slots = [one.id for one in unit.read.slots(unit.read.albums()[0].id)]
            unit.end_placements(slots, DAY)
            numbers = [CoinId(n) for n in range(1, 13)]
            unit.place_many(list(zip(slots, reversed(numbers), strict=True)), DAY)

    undo, redo = Store.undo, Store.redo
    return [add, edit, undo, redo, move, delete, undo, undo, redo, add]


def sitting() -> list[Step]:
    """A box at the sorting table: coins kept and counted, rolls opened, a slip taken back."""
    box, shelf = BoxId(1), SeriesShelf()
    now = datetime(2026, 3, 1, 12, tzinfo=UTC)
    token = parse_entry("H.E. 12 N vf20", [load_series(TOKENS)]).coin

    def of(order: Operation) -> Step:
        def step(store: Store) -> None:
            with store.operation(order.label) as unit:
                order.work(unit, Context(shelf, DAY, now))

        return step

    keep = of(keep_find(box, token, answer="Fills a gap", seconds=20))
    several = of(keep_find(box, token, 3, is_ender=True))
    count = of(count_seen(box, Sighting(0, box, 0, 0, token.description, quantity=5)))
    foreign = of(count_seen(box, Sighting(0, box, 0, 0, counter="foreign", text="1962")))
    roll = of(next_roll(box, 30))
    a_roll = [keep, count, roll, several, foreign, Store.undo, foreign, roll]
    return [*a_roll, *a_roll, Store.undo, Store.redo, *a_roll]


STEPS: dict[str, Callable[[], list[Step]]] = {"rows": steps, "sitting": sitting}


def look(store: Store) -> list[object]:
    """All that a step changes."""
    stands = [entry.label for entry in store.history(99) if not entry.is_undone]
    return [store.rows_hash(), stands, store.undo_label, store.redo_label]


def undisturbed(path: Path, which: str) -> tuple[list[list[object]], float]:
    """What the file holds after none, one, two … of the steps, and how long they took."""
    store = open_store(path)
    states, took = [look(store)], 0.0
    for step in STEPS[which]():
        start = time.monotonic()
        step(store)
        took += time.monotonic() - start
        states.append(look(store))
    store.close()
    return states, took


def write(path: Path, out: int, todo: list[Step]) -> None:
    """The child: open, then the steps, each told before and after."""
    store = open_store(path)
    os.write(out, b"g")
    for step in todo:
        os.write(out, b"(")
        step(store)
        os.write(out, b")")


def kill_one(path: Path, after: float, todo: list[Step]) -> tuple[int, bool]:
    """Start a writer and kill it; returns how many steps it said done, and if it was in one."""
    inlet, outlet = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            write(path, outlet, todo)
        finally:
            os._exit(0)
    os.close(outlet)
    assert os.read(inlet, 1) == b"g", "the writer could not open the file"
    time.sleep(after)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    told = os.read(inlet, 1000)
    os.close(inlet)
    return told.count(b")"), told.endswith(b"(")


def undo_all(store: Store) -> str:
    while store.undo() is not None:
        pass
    return store.rows_hash()


def main(folder: Path, which: str) -> None:
    """Rounds until the writer was killed so often inside a step; prints the tally as JSON."""
    base = folder / "base.slotleaf"
    store = a_store(base)
    fill(store)
    for n in range(2):
        with store.operation("More") as unit:
            unit.add_coins([a_coin(1901 + n, note="x" * 50) for _ in range(150)])
    bare = undo_all(store)
    while store.redo() is not None:
        pass
    store.close()
    path = folder / "jar.slotleaf"
    copies = folder / "jar copies"
    shutil.copy(base, path)
    states, took = undisturbed(path, which)
    todo, kills = STEPS[which](), KILLS[which]
    chance = random.Random(20_260_301)
    rounds = inside = hot = committed = 0
    while inside < kills and rounds < 5 * kills:
        shutil.rmtree(copies, ignore_errors=True)
        shutil.copy(base, path)
        done, was_inside = kill_one(path, chance.uniform(0, took), todo)
        rounds += 1
        inside += was_inside
        hot += Path(f"{path}-journal").exists()
        store = open_store(path)
        found = look(store)
        lawful = states[done : done + 1 + was_inside]
        assert found in lawful, f"round {rounds}: after {done} steps the file holds {found}"
        committed += found != states[done]
        if rounds % 3 == 0:
            assert store.check() == []
            assert undo_all(store) == bare
        store.close()
    print(json.dumps({"rounds": rounds, "inside": inside, "hot": hot, "committed": committed}))


if __name__ == "__main__":
    main(Path(sys.argv[1]), sys.argv[2])
