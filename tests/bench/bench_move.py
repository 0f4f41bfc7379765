"""One slot moved in an album of 25,000: what is written, against every moved slot written whole.

`python -m tests.bench.bench_move` prints the median of the paired ratios for a move over ten slots
and for one through the whole album. Times are the processor's, commit and journal included; goals
there are none.
"""

import shutil
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from statistics import median
from time import thread_time

from core.app.collection import Collection
from core.app.design import move_slots
from core.model.album import AlbumId, SlotId
from tests.bench.material import a_collection, folder

ROUNDS, SLOTS = 9, 25_000


def seconds(work: Callable[[], object]) -> float:
    start = thread_time()
    work()
    return thread_time() - start


def whole(collection: Collection, album: AlbumId, order: list[SlotId]) -> None:
    """Read every slot, and write those that stand elsewhere with all they hold."""
    with collection._store.operation("Move") as unit:
        here = {slot.id: slot for slot in unit.read.slots(album)}
        unit.update_slots(
            [replace(here[s], position=at) for at, s in enumerate(order) if here[s].position != at]
        )


def main() -> None:
    """Measure both moves, forth and back again by undo."""
    path = folder() / "moves.slotleaf"
    shutil.copy(a_collection(SLOTS, (SLOTS,)), path)
    with Collection.open(path, verify=False) as collection:
        album = collection.albums()[0].id
        ids = [shown.slot.id for shown in collection.album_view(album).slots]
        for what, moved, to in (("over ten slots", 100, 111), ("from the end to the front", -1, 0)):
            order = [one for one in ids if one != ids[moved]]
            order.insert(order.index(ids[to]), ids[moved])
            move = move_slots(album, [ids[moved]], ids[to])
            times = []
            for _ in range(ROUNDS):
                plain = seconds(partial(whole, collection, album, order))
                collection.undo()
                mine = seconds(partial(collection.run, move))
                collection.undo()
                times.append((mine, plain))
            own, other = (1000 * median(column) for column in zip(*times, strict=True))
            ratio = median(one / two for one, two in times)
            print(
                f"a slot moved {what} of {len(ids):,}: {own:.0f} ms, each moved slot written whole "
                f"{other:.0f} ms, ratio {ratio:.2f}"
            )


if __name__ == "__main__":
    main()
