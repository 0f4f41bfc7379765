"""A linked group of any size whose best fill is known by how it is made, and greed goes wrong."""

import random
from dataclasses import replace

from core.fill.value import FillInput
from core.model.album import AlbumId, Slot, SlotId, Target
from core.model.coin import Coin, CoinId
from core.model.grade import SCALE, Grade
from core.model.issue import BANK_ISSUE, Description
from tests.strategies_fill import HARBOUR, a_coin, a_slot, harbour_series

FIRST_YEAR = 1001
_STEPS = [points for points in SCALE if points < 65]
ALSO = 6  # earlier dates that a slot takes too


def planted(count: int, seed: int = 1) -> tuple[FillInput, dict[SlotId, CoinId]]:
    """Slot n takes the coin of year n and those of some earlier years; a coin of each year.

    So the first slot has one coin to choose from; that one taken, the second has one left, and so
    on: only one assignment fills all slots, each with its own year's coin. Coins get worse from
    year to year, so that every slot likes an earlier year's better; in the album the last year
    stands first.
    """
    rng = random.Random(seed)
    years = range(FIRST_YEAR, FIRST_YEAR + count)
    slots: list[Slot] = []
    coins: list[Coin] = []
    for number, year in enumerate(years, start=1):
        near = range(max(FIRST_YEAR, year - 60), year)
        # The year before is always taken, so that all hang together.
        also = {year - 1, *rng.sample(near, min(ALSO - 1, len(near)))} if near else set()
        taken = Description.of(HARBOUR, BANK_ISSUE | {"date": [str(y) for y in (*also, year)]})
        slots.append(
            replace(
                a_slot(number, year, album=AlbumId(1), target=Target(20)),
                accepts=taken,
                position=count - number,
            )
        )
        points = _STEPS[len(_STEPS) * (count - number) // count]
        coins.append(replace(a_coin(number, year), grade=Grade(points, points)))
    series = harbour_series(years, "P")
    given = FillInput({HARBOUR: series}, (AlbumId(1),), tuple(slots), tuple(coins), {})
    return given, {slot.id: coin.id for slot, coin in zip(slots, coins, strict=True)}


def greedy(given: FillInput) -> int:
    """How many slots are filled where each in turn takes the best coin that is left."""
    series = given.series[HARBOUR]
    left = {series.may_be(coin.description): coin for coin in given.coins}
    filled = 0
    for slot in sorted(given.slots, key=lambda s: s.position):
        accepted = series.may_be(slot.accepts)
        near = [
            (coin.points or 0, -coin.id, mask) for mask, coin in left.items() if mask & accepted
        ]
        if near:
            del left[max(near)[2]]
            filled += 1
    return filled
