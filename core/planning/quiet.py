"""Keeps the solver's own words off the standard output of a command."""

import ctypes
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def quiet_output() -> Iterator[None]:
    """Nothing that libraries print on the standard output meanwhile comes through.

    HiGHS 1.12 now and then prints a line that was left in it by mistake, whatever it is told. For
    commands, which have one thread that prints; the window has no use for it.
    """
    try:
        sys.stdout.flush()
        kept = os.dup(1)
    except (OSError, AttributeError):  # a program without a standard output
        yield
        return
    nowhere = os.open(os.devnull, os.O_WRONLY)
    try:
        _flush()
        os.dup2(nowhere, 1)
        yield
    finally:
        sys.stdout.flush()
        _flush()
        os.dup2(kept, 1)
        os.close(nowhere)
        os.close(kept)


def _flush() -> None:
    """Write out what C has buffered, which else would come through later."""
    try:
        ctypes.CDLL("ucrtbase" if sys.platform == "win32" else None).fflush(None)
    except (OSError, AttributeError):
        return  # then a line of noise may come through, no more than that
