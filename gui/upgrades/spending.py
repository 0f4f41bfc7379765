"""What was bought from the plan comes off the budget, and undone goes back onto it. No Qt."""

from collections.abc import Iterable
from dataclasses import dataclass

from core.app.upgrades import UpgradeRow
from core.model.coin import CoinId


@dataclass(slots=True)
class _Paid:
    slot: int
    cost: int
    is_off: bool = False
    """Whether it is off the budget now."""


class Spending:
    """The purchases made from the plan since a collection was opened, and whether they stand."""

    def __init__(self) -> None:
        self._paid: dict[CoinId, _Paid] = {}

    def bought(self, coins: Iterable[CoinId], slot: int, cost: int) -> None:
        """Coins are on order for a slot, at this cost in minor units of the base in all."""
        for coin in coins:
            self._paid[coin] = _Paid(slot, cost)
            cost = 0

    def settled(self, budget: int, rows: Iterable[UpgradeRow]) -> int:
        """The budget, in minor units, once it follows what stands in these rows; never below 0.

        A purchase whose slot is not among them is left as it was.
        """
        by_slot = {int(row.slot.slot.id): row.slot for row in rows}
        for coin, paid in self._paid.items():
            shown = by_slot.get(paid.slot)
            if shown is None:
                continue
            is_there = any(
                one is not None and one.id == coin for one in (shown.ordered, shown.coin)
            )
            if is_there != paid.is_off:
                paid.is_off = is_there
                budget += -paid.cost if is_there else paid.cost
        return max(0, budget)
