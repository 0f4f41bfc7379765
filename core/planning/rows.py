"""Rows of an integer programme as flat arrays: sums of choices between a least and a most."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Rows:
    """Entry by entry the row, the choice and how often it counts; of each row least and most.

    Bounds are whole or endless. Sums stay below 2^53, so that their reckoning is exact.
    """

    row: Ints
    at: Ints
    times: Ints
    least: Floats
    most: Floats

    def __len__(self) -> int:
        return len(self.least)

    def hold(self, chosen: Bools) -> bool:
        """Whether a choice keeps to every row."""
        sums = np.bincount(self.row, self.times * chosen[self.at], len(self))
        return bool(((sums >= self.least) & (sums <= self.most)).all())

    def plus(self, times: Ints, least: float = -np.inf, most: float = np.inf) -> "Rows":
        """One row more, which counts every choice; choices that count 0 are left out."""
        at = np.flatnonzero(times)
        return Rows(
            np.concatenate([self.row, np.full(len(at), len(self))]),
            np.concatenate([self.at, at]),
            np.concatenate([self.times, times[at]]),
            np.append(self.least, least),
            np.append(self.most, most),
        )

    def bind(self, allowed: Bools) -> Bools:
        """Which rows some choice among the allowed ones would break."""
        kept = allowed[self.at]
        row, times = self.row[kept], self.times[kept]
        high = np.bincount(row, np.maximum(times, 0), len(self))
        low = np.bincount(row, np.minimum(times, 0), len(self))
        return np.asarray((high > self.most) | (low < self.least))

    def of(self, allowed: Bools, binding: Bools) -> "Rows":
        """These rows over the allowed choices alone, both numbered anew."""
        kept = allowed[self.at] & binding[self.row]
        new_place, new_row = np.cumsum(allowed) - 1, np.cumsum(binding) - 1
        return Rows(
            new_row[self.row[kept]],
            new_place[self.at[kept]],
            self.times[kept],
            self.least[binding],
            self.most[binding],
        )

    def priced(self, prices: Floats, size: int) -> Floats:
        """What each of `size` choices costs where each row has a price of its own."""
        charged = np.bincount(self.at, prices[self.row] * self.times, size)
        return charged.astype(np.float64)


class RowList:
    """Gathers rows one by one."""

    def __init__(self) -> None:
        self._at: list[Sequence[int]] = []
        self._times: list[Sequence[int]] = []
        self._least: list[float] = []
        self._most: list[float] = []

    def add(
        self,
        at: Sequence[int],
        less: Sequence[int] = (),
        least: float = -np.inf,
        most: float = np.inf,
    ) -> None:
        """The choices `at` count 1 each, those of `less` count -1."""
        self._at.append([*at, *less])
        self._times.append([1] * len(at) + [-1] * len(less))
        self._least.append(least)
        self._most.append(most)

    def rows(self) -> Rows:
        """All that were added, in their order."""
        sizes = [len(at) for at in self._at]
        return Rows(
            np.repeat(np.arange(len(sizes)), sizes),
            _flat(self._at),
            _flat(self._times),
            np.array(self._least, np.float64),
            np.array(self._most, np.float64),
        )


def _flat(parts: Sequence[Sequence[int]]) -> Ints:
    return np.array([one for part in parts for one in part], np.int64)
