"""How long jobs report how far they are, and stop when asked."""

from collections.abc import Callable
from threading import Event

from core.errors import Cancelled


class Progress:
    """Handed to a long job: `report` how far, `check` often (at least every 100 ms)."""

    def __init__(self, tell: Callable[[float, str], None] | None = None) -> None:
        self._tell = tell
        self._stop = Event()

    def report(self, share: float, doing: str = "") -> None:
        """Say how far the job is (0 to 1); raises Cancelled when it shall stop."""
        self.check()
        if self._tell is not None:
            self._tell(share, doing)

    def check(self) -> None:
        """Raise Cancelled when the job shall stop."""
        if self._stop.is_set():
            raise Cancelled

    def cancel(self) -> None:
        """Ask the job to stop."""
        self._stop.set()
