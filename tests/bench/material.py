"""Collections for the benches, each generated once a run and kept in a temporary folder.

`SLOTLEAF_BENCH_FOLDER` names a folder to keep them in between runs; what is there is used again.
"""

import atexit
import os
import shutil
import tempfile
from functools import lru_cache
from pathlib import Path

from scenarios.big_collection import write_big_collection

FOLDER = "SLOTLEAF_BENCH_FOLDER"
MANY_COINS, MANY_SLOTS = 1_000_000, (250, 5_000, 19_750)


@lru_cache(1)
def folder() -> Path:
    """Where they are kept; a temporary one is taken away at the end."""
    named = os.environ.get(FOLDER)
    if named:
        Path(named).mkdir(parents=True, exist_ok=True)
        return Path(named)
    own = Path(tempfile.mkdtemp(prefix="slotleaf-bench-"))
    atexit.register(shutil.rmtree, own, ignore_errors=True)
    return own


def a_collection(coins: int, sizes: tuple[int, ...]) -> Path:
    """A collection of so many coins and of albums of these sizes; only to be read."""
    name = f"{coins}-{'-'.join(map(str, sizes))}"
    path = folder() / f"{name}.slotleaf"
    if not path.exists():
        draft = folder() / f"{name}.{os.getpid()}.draft"
        write_big_collection(draft, coins, sizes)
        draft.replace(path)
        draft.with_name(f".{draft.name}.lock").unlink(missing_ok=True)
    return path
