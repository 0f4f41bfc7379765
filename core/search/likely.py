"""How many a box will likely have when it is through, from itself and one's own past boxes.

Each box has its own rate per coin, drawn from a gamma about the rate of all boxes (gamma–Poisson).
How far boxes differ is learned from the past boxes: a grid over that spread and over the common
rate carries what they say, weighed; every point of it foretells the rest of the box with a negative
binomial. Without past boxes that falls together into one gamma of shape count + 1/2.
"""

from collections.abc import Sequence
from functools import lru_cache
from math import sqrt
from typing import TYPE_CHECKING

from core.search.rates import Gamma, first_count

if TYPE_CHECKING:
    import numpy as np

    Numbers = np.ndarray[tuple[int, ...], np.dtype[np.float64]]

LIKELY_LEVEL = 0.8
START_SHAPE = 0.5
"""What is known before the first coin: the shape that Jeffreys' rule gives to a rate."""
USUAL_SPREAD = 0.5
"""Deviation of a box's rate factor about 1 that is held plausible before there are past boxes."""

_SPREADS = tuple(0.02 * 1.4**step for step in range(14))  # 0.02 … 1.6
_STEPS = 17  # points of the common rate for each spread, four deviations to both sides


def likely(
    count: int, coins: int, to_come: int, past: Sequence[tuple[int, int]] = ()
) -> tuple[int, int] | None:
    """The whole count of the box between which four of five such boxes end.

    `count` among the `coins` seen so far; `to_come` are still closed; `past` are count and coins of
    one's own boxes of the kind. None while nothing at all was seen.
    """
    known = tuple((n, spent) for n, spent in past if spent > 0)
    if not to_come:
        return count, count
    if not known:
        if not coins:
            return None
        low, high = Gamma(START_SHAPE + count, coins).count_interval(to_come, LIKELY_LEVEL)
        return count + low, count + high
    return _from_past(count, coins, to_come, known)


@lru_cache(maxsize=1024)
def _from_past(
    count: int, coins: int, to_come: int, past: tuple[tuple[int, int], ...]
) -> tuple[int, int]:
    import numpy as np
    from scipy.special import betainc

    shape, rate, weight = _learned(past)
    now = weight + _chance(shape, rate, count, coins)
    share = np.exp(now - now.max())
    share /= share.sum()
    kept = share > 1e-9
    share, shape, rate = share[kept], shape[kept] + count, rate[kept] + coins
    odds = rate / (rate + to_come)
    expected = float(share @ (shape / rate)) * to_come

    def at_most(more: int) -> float:
        return float(share @ betainc(shape, more + 1, odds))

    tail = (1 - LIKELY_LEVEL) / 2
    low = first_count(lambda more: at_most(more) >= tail, expected)
    high = first_count(lambda more: at_most(more) >= 1 - tail, expected)
    return count + low, count + high


@lru_cache(maxsize=256)
def _learned(past: tuple[tuple[int, int], ...]) -> "tuple[Numbers, Numbers, Numbers]":
    """Shape and rate of the boxes' gamma at each grid point, and the log of its weight."""
    import numpy as np

    seen, spent = sum(n for n, _ in past), sum(coins for _, coins in past)
    middle = np.log((seen + START_SHAPE) / spent)
    around = np.linspace(-4, 4, _STEPS)
    shapes, means, weights = [], [], []
    for spread in _SPREADS:
        deviation = sqrt(1 / (seen + START_SHAPE) + spread**2 / len(past))
        mean = np.exp(middle + around * deviation)
        shape = np.full(_STEPS, spread**-2)
        weight = START_SHAPE * np.log(mean) + np.log(deviation * spread)
        weight -= (spread / USUAL_SPREAD) ** 2 / 2
        for count, coins in past:
            weight = weight + _chance(shape, shape / mean, count, coins)
        shapes.append(shape)
        means.append(mean)
        weights.append(weight)
    shape = np.concatenate(shapes)
    return shape, shape / np.concatenate(means), np.concatenate(weights)


def _chance(shape: "Numbers", rate: "Numbers", count: int, coins: int) -> "Numbers":
    """Log chance of so many in so many coins, at each grid point; a constant left out."""
    import numpy as np
    from scipy.special import gammaln

    stays = np.log(rate) - np.log(rate + coins)
    return np.asarray(
        gammaln(shape + count) - gammaln(shape) + shape * stays - count * np.log(rate + coins)
    )
