"""Rates and their intervals: the gamma that learns from counts, exact intervals, drift."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from math import exp, log, sqrt


@dataclass(frozen=True, slots=True)
class Gamma:
    """What is known of a rate: a gamma distribution of that shape, `rate` in units of exposure.

    Shape 0 and rate 0 is the improper start that knows nothing.
    """

    shape: float
    rate: float

    def after(self, counts: Iterable[int], exposure: float | None = None) -> "Gamma":
        """What is known after these counts, one unit of exposure each unless told in all."""
        seen = list(counts)
        spent = len(seen) if exposure is None else exposure
        return Gamma(self.shape + sum(seen), self.rate + spent)

    @property
    def mean(self) -> float:
        """The expected rate."""
        return self.shape / self.rate

    def interval(self, level: float) -> tuple[float, float]:
        """The middle interval that holds the rate with this chance."""
        from scipy.special import gammaincinv

        low, high = gammaincinv(self.shape, [(1 - level) / 2, (1 + level) / 2])
        return float(low) / self.rate, float(high) / self.rate

    def at_most(self, count: int, exposure: float) -> float:
        """The chance of no more than so many in that much exposure (negative binomial)."""
        from scipy.special import betainc

        if count < 0:
            return 0.0
        return float(betainc(self.shape, count + 1, self.rate / (self.rate + exposure)))

    def count_interval(self, exposure: float, level: float) -> tuple[int, int]:
        """The counts between which that much exposure will yield with this chance."""
        tail = (1 - level) / 2
        top = self.mean * exposure
        low = first_count(lambda n: self.at_most(n, exposure) >= tail, top)
        return low, first_count(lambda n: self.at_most(n, exposure) >= 1 - tail, top)


def first_count(holds: Callable[[int], bool], guess: float) -> int:
    """The smallest count for which `holds`, which stays true from there on; `guess` is near it."""
    high = max(int(guess), 1)
    while not holds(high):
        high *= 2
    low = -1
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if holds(middle) else (middle, high)
    return high


def share_interval(count: int, of: int, level: float) -> tuple[float, float]:
    """The exact interval of a share, `count` in `of` (Clopper and Pearson, Biometrika 26, 1934)."""
    from scipy.special import betaincinv

    tail = (1 - level) / 2
    low = 0.0 if count == 0 else float(betaincinv(count, of - count + 1, tail))
    high = 1.0 if count == of else float(betaincinv(count + 1, of - count, 1 - tail))
    return low, high


def none_seen_limit(of: int, level: float) -> float:
    """The share that is at most there, one-sided, when none of `of` coins was such a one."""
    return float(1 - (1 - level) ** (1 / of))


def count_interval(count: int, level: float) -> tuple[float, float]:
    """The exact interval of what a count was expected to be (Garwood, Biometrika 28, 1936)."""
    from scipy.special import gammaincinv

    tail = (1 - level) / 2
    low = 0.0 if count == 0 else float(gammaincinv(count, tail))
    return low, float(gammaincinv(count + 1, 1 - tail))


@dataclass(frozen=True, slots=True)
class Drift:
    """The slope of a log rate per step of x, its standard error and what scatters beyond chance.

    `scatter` is Pearson's sum of squares, `freedom` its degrees; where the counts scatter more
    than chance alone the error given is widened by it.
    """

    slope: float
    error: float
    scatter: float
    freedom: int

    def interval(self, level: float) -> tuple[float, float]:
        """The interval of the slope: Student's t, the error widened where counts scatter more."""
        from scipy.special import stdtrit

        wide = self.error * sqrt(max(1.0, self.scatter / self.freedom))
        reach = float(stdtrit(self.freedom, (1 + level) / 2)) * wide
        return self.slope - reach, self.slope + reach


def drift(x: Sequence[float], counts: Sequence[int], exposure: Sequence[float]) -> Drift | None:
    """Poisson regression of log(count ÷ exposure) on x; None where the counts cannot tell a slope.

    They cannot with fewer than three of them, or with something seen at fewer than two places.
    """
    import numpy as np
    from scipy.optimize import minimize

    told = {at for at, count in zip(x, counts, strict=True) if count}
    if len(x) < 3 or len(told) < 2:
        return None
    y, spent = np.asarray(counts, float), np.asarray(exposure, float)
    centre, reach = float(np.mean(x)), float(np.ptp(x)) / 2
    steps = np.column_stack([np.ones(len(x)), (np.asarray(x, float) - centre) / reach])
    start = np.array([log(y.sum() / spent.sum()), 0.0])

    def expected(at: "np.ndarray") -> "np.ndarray":
        return np.asarray(spent * np.exp(steps @ at))

    found = minimize(
        lambda at: float(expected(at).sum() - y @ (steps @ at)) / y.sum(),
        start,
        jac=lambda at: steps.T @ (expected(at) - y) / y.sum(),
        hess=lambda at: steps.T @ (steps * expected(at)[:, None]) / y.sum(),
        method="trust-exact",
        options={"gtol": 1e-10},
    )
    mean = expected(found.x)
    error = sqrt(float(np.linalg.inv(steps.T @ (steps * mean[:, None]))[1, 1]))
    scatter = float(((y - mean) ** 2 / mean).sum())
    return Drift(float(found.x[1]) / reach, error / reach, scatter, len(x) - 2)


def as_change(slope: float) -> float:
    """A slope of a log rate as a share of change per step: 0.05 is 5 % more."""
    return exp(slope) - 1
