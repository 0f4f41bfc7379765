"""A writer that pauses 20 ms between operations beside twenty readers in another process."""

import json
import subprocess
import sys
import time
from pathlib import Path

from core.store.store import open_store
from tests.store_material import DAY, a_store, fill

ROOT = Path(__file__).resolve().parents[2]

# Each reader looks 8 times, each time in its own store as a command does, and tries again once.
READERS = """
import json, sys, threading
from pathlib import Path
from core.errors import FileTrouble
from core.store.store import open_store

path, lost, twice, seen = Path(sys.argv[1]), [], [], []

def look(store):
    with store.reading() as read:
        album = read.albums()[0].id
        coins = read.coins_in_album(album)
        stays = read.placements_in_album(album)
        assert set(coins) == set(stays)
        seen.append(len(coins))

def reader():
    for _ in range(8):
        try:
            store = open_store(path, read_only=True, verify=False)
            look(store)
        except FileTrouble:
            twice.append(1)
            try:
                look(store)
            except FileTrouble as error:
                lost.append(str(error))
        store.close()

threads = [threading.Thread(target=reader) for _ in range(20)]
print("go", flush=True)
for thread in threads: thread.start()
for thread in threads: thread.join()
print(json.dumps([len(seen), len(twice), lost, sorted(set(seen))]))
"""


def test_a_writer_and_twenty_readers_do_not_hinder_each_other(tmp_path: Path):
    path = tmp_path / "jar.slotleaf"
    store = a_store(path)
    small = fill(store)
    readers = subprocess.Popen(
        [sys.executable, "-c", READERS, str(path)], cwd=ROOT, stdout=subprocess.PIPE, text=True
    )
    assert readers.stdout is not None
    assert readers.stdout.readline() == "go\n"
    done = 0
    slowest = 0.0
    while readers.poll() is None and done < 2000:
        start = time.monotonic()
        with store.operation("Put in") as unit:
            unit.place_many(list(zip(small.slots[5:8], small.coins[5:8], strict=True)), DAY)
        with store.operation("Take out") as unit:
            unit.end_placements(small.slots[5:8], DAY)
        slowest = max(slowest, time.monotonic() - start)
        done += 2
        time.sleep(0.02)
    looks, twice, lost, counts = json.loads(readers.stdout.read())
    readers.stdout.close()
    assert readers.wait() == 0
    print(f"{done} operations, slowest pair {slowest:.2f} s; {looks} looks, {twice} tried twice")
    assert (looks, lost) == (20 * 8, [])
    assert set(counts) <= {4, 7}
    assert done >= 10
    store.close()
    again = open_store(path)
    assert again.check() == []
    assert len(again.history(9999)) == done + 1
    again.close()
