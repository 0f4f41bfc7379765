"""Changing a few facts of many coins at once: what is not named stays as each coin has it."""

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from datetime import date
from enum import Enum
from typing import Final

from core.app.changes import Changes
from core.app.operations import edit_coins
from core.app.order import Context, Operation, known_coins
from core.errors import Refused
from core.model.coin import Coin, CoinId, Finding, Origin, Problem
from core.model.grade import Grade
from core.model.issue import Description, VarietyId
from core.store.unit import Unit


class Keep(Enum):
    """Stands for a fact that is to stay as it is; None is a fact of its own (not known)."""

    IT = "as it is"


KEEP: Final = Keep.IT
_ASIDE = frozenset({"more_problems", "fewer_problems"})


@dataclass(frozen=True, slots=True)
class CoinChange:
    """What shall be known of coins from now on; `KEEP` leaves each coin's own.

    `more_problems` and `fewer_problems` come after `problems`: a problem may be added to coins
    that have others. `paid_minor` in minor units of `currency`.
    """

    description: Description | Keep = KEEP
    grade: Grade | Keep | None = KEEP
    problems: tuple[Problem, ...] | Keep = KEEP
    more_problems: tuple[Problem, ...] = ()
    fewer_problems: tuple[Problem, ...] = ()
    is_genuine: bool | Keep = KEEP
    is_flagged: bool | Keep = KEEP
    varieties: tuple[tuple[VarietyId, Finding], ...] | Keep = KEEP
    weight_mg: int | Keep | None = KEEP
    quantity: int | Keep = KEEP
    origin: Origin | Keep = KEEP
    came_from: str | Keep = KEEP
    acquired: date | Keep | None = KEEP
    place: str | Keep = KEEP
    paid_minor: int | Keep | None = KEEP
    currency: str | Keep = KEEP
    note: str | Keep = KEEP

    @property
    def is_nothing(self) -> bool:
        """Whether every coin stays as it is."""
        return self == CoinChange()

    def of(self, coin: Coin) -> Coin:
        """The coin with the change made."""
        return self.of_all([coin])[0]

    def of_all(self, coins: Sequence[Coin]) -> list[Coin]:
        """The coins with the change made."""
        named = {
            field.name: value
            for field in fields(self)
            if field.name not in _ASIDE and (value := getattr(self, field.name)) is not KEEP
        }
        new = [replace(coin, **named) for coin in coins] if named else list(coins)
        if self.more_problems or self.fewer_problems:
            new = [replace(coin, problems=self._problems(coin.problems)) for coin in new]
        return new

    def _problems(self, before: tuple[Problem, ...]) -> tuple[Problem, ...]:
        stay = [problem for problem in before if problem not in self.fewer_problems]
        return tuple(dict.fromkeys([*stay, *self.more_problems]))


def change_coins(coins: Sequence[CoinId], change: CoinChange) -> Operation:
    """Make one change to all of these coins, as they are when it is carried out; all or none."""
    asked = list(dict.fromkeys(coins))

    def work(unit: Unit, context: Context) -> Changes:
        if not asked:
            raise Refused("No coin is chosen; there is nothing to edit.")
        new = change.of_all(known_coins(unit, asked))
        return edit_coins(new).work(unit, context)

    many = "a coin" if len(asked) == 1 else f"{len(asked)} coins"
    return Operation(f"edit {many}", work)
