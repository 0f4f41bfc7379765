"""Work during which Python's collector of garbage waits."""

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def no_collecting() -> Iterator[None]:
    """A fill makes much that stays and nothing that goes round in circles.

    Looking all of it through again and again took a third of the time, in which no other thread,
    and so not the window, could run.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()
