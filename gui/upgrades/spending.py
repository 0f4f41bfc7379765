"""What was bought from the plan comes off the budget, and undone goes back onto it. No Qt."""

from collections.abc import Iterable
from dataclasses import dataclass

from core.app.upgrades import COPIES, UpgradeRow
from core.model.coin import CoinId


@dataclass(slots=True)
class _Paid:
    slot: int
    cost: int
    off: int | None = None
    """How much of it is off the budget now; None while the purchase does not stand."""


class Spending:
    """The purchases made from the plan since a collection was opened, and whether they stand."""

    def __init__(self) -> None:
        self._paid: dict[CoinId, _Paid] = {}

    def bought(self, coins: Iterable[CoinId], slot: int, cost: int) -> None:
        """Coins are on order for a slot, at this cost in minor units of the base in all."""
        for coin in coins:
            self._paid[coin] = _Paid(slot, cost)
            cost = 0

    def settled(self, budget: int, rows: Iterable[UpgradeRow], pieces: Iterable[int] = ()) -> int:
        """The budget, in minor units, once it follows what stands in these rows; never below 0.

        `pieces` are the numbers of the coins in hand: a coin that went on is paid for still. A
        purchase whose slot is not among the rows is left as it was.
        """
        shown = [row.slot for row in rows]
        slots = {int(one.slot.id) for one in shown}
        there = {coin.id for one in shown for coin in (one.ordered, one.coin) if coin is not None}
        there |= {CoinId(number % COPIES) for number in pieces}
        for coin, paid in self._paid.items():
            if coin in there and paid.off is None:
                paid.off = min(paid.cost, budget)
                budget -= paid.off
            elif coin not in there and paid.off is not None and paid.slot in slots:
                budget += paid.off
                paid.off = None
        return budget
