"""The clock of a sitting: it runs while keys are pressed, and pauses itself."""

from collections.abc import Callable
from time import monotonic

PAUSES_AFTER_S = 120.0
"""Without a key for so long the collector is away; that time is not counted."""


class SittingClock:
    """Seconds of work since they were last taken. Each key counts the time since the one before,
    where that is no more than two minutes ago; a longer pause counts nothing.
    """

    def __init__(self, now: Callable[[], float] = monotonic) -> None:
        self._now = now
        self._last: float | None = None
        self._spent = 0.0

    @property
    def is_running(self) -> bool:
        """Whether a key was pressed within two minutes."""
        return self._last is not None and self._now() - self._last <= PAUSES_AFTER_S

    @property
    def seconds(self) -> int:
        """What was spent and not yet taken, whole seconds."""
        return int(self._spent + self._since())

    def _since(self) -> float:
        if self._last is None:
            return 0.0
        gone = self._now() - self._last
        return gone if gone <= PAUSES_AFTER_S else 0.0

    def touch(self) -> None:
        """A key was pressed."""
        self._spent += self._since()
        self._last = self._now()

    def take(self) -> int:
        """The whole seconds to be written now; the rest stays."""
        self._spent += self._since()
        if self._last is not None:
            self._last = self._now()
        whole = int(self._spent)
        self._spent -= whole
        return whole

    def give_back(self, seconds: int) -> None:
        """They could not be written."""
        self._spent += seconds

    def stop(self) -> None:
        """Another box, or the table is left: count no further until a key."""
        self._spent += self._since()
        self._last = None

    def forget(self) -> None:
        """Nothing of what is left belongs to the box that comes."""
        self._last, self._spent = None, 0.0


def clock_text(seconds: int) -> str:
    """1:05 h, 0:07 h: to the nearest minute, as the report tells it."""
    hours, minutes = divmod(round(seconds / 60), 60)
    return f"{hours}:{minutes:02} h"


def read_time(text: str) -> int | None:
    """1:05 to seconds; 2 is two hours. None where it is no time."""
    hours, _, minutes = text.strip().removesuffix("h").strip().partition(":")
    minutes = minutes or "0"
    if not hours.isdecimal() or not minutes.isdecimal() or int(minutes) > 59 or len(hours) > 4:
        return None
    return int(hours) * 3600 + int(minutes) * 60
