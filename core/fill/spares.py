"""Spares as columns: what Fill needs of coins by the hundred thousand, without an object each."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple, Self

import numpy as np
from numpy.typing import NDArray

from core.model.coin import Coin, CoinId, CoinStatus, Finding, Problem
from core.model.grade import Grade
from core.model.issue import Description, VarietyId

Ints = NDArray[np.int64]


class SpareKind(NamedTuple):
    """What decides where a coin fits."""

    description: Description
    varieties: tuple[tuple[VarietyId, Finding], ...] = ()


class SpareLook(NamedTuple):
    """What decides how good a coin is where it fits."""

    grade: Grade | None = None
    problems: tuple[Problem, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Spares:
    """Held, genuine, unflagged coins in no slot, an entry of each column a coin or lot.

    `number` rises. `kind_of` and `look_of` are places in `kinds` and `looks`.
    """

    number: Ints
    quantity: Ints
    kind_of: Ints
    look_of: Ints
    kinds: Sequence[SpareKind]
    looks: Sequence[SpareLook]

    @classmethod
    def of(cls, coins: Iterable[Coin]) -> Self:
        """The columns of coins given as objects."""
        kinds: dict[SpareKind, int] = {}
        looks: dict[SpareLook, int] = {}
        rows = [
            (
                coin.id,
                coin.quantity,
                kinds.setdefault(SpareKind(coin.description, coin.varieties), len(kinds)),
                looks.setdefault(SpareLook(coin.grade, coin.problems), len(looks)),
            )
            for coin in sorted(coins, key=lambda c: c.id)
        ]
        number, quantity, kind_of, look_of = np.array(rows, dtype=np.int64).reshape(-1, 4).T
        return cls(number, quantity, kind_of, look_of, tuple(kinds), tuple(looks))

    def __len__(self) -> int:
        return len(self.number)

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Spares):
            return NotImplemented
        return len(self) == len(other) and all(a == b for a, b in zip(self, other, strict=True))

    __hash__ = None  # type: ignore[assignment]  # arrays have none either

    def __iter__(self) -> Iterator[Coin]:
        return (self.coin(at) for at in range(len(self)))

    def coin(self, at: int) -> Coin:
        """The coin in a place, as far as Fill knows it."""
        kind, look = self.kinds[self.kind_of[at]], self.looks[self.look_of[at]]
        return Coin(
            CoinId(int(self.number[at])),
            kind.description,
            look.grade,
            look.problems,
            varieties=kind.varieties,
            status=CoinStatus.HELD,
            quantity=int(self.quantity[at]),
        )

    def places(self, numbers: Iterable[CoinId]) -> Ints:
        """Where those of these coins stand that are here, in rising order."""
        asked = np.array(sorted(set(numbers)), dtype=np.int64)
        at = np.searchsorted(self.number, asked)
        at[at == len(self)] = 0
        return at[self.number[at] == asked] if len(self) else at[:0]
