"""How far a set is, not only by count: scarce and dear slots weigh more. And its average grade."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import fsum, log, sqrt


@dataclass(frozen=True, slots=True)
class Standing:
    """A slot as percentages see it.

    `is_done` says whether it is filled, or at target, as the caller asks. `share` is its issue's
    part of all that was struck of its series, above 0 and at most 1, None where the mintage is not
    known; `price` what a coin at target costs, in minor units, None where it is not priced.
    """

    is_done: bool
    share: float | None = None
    price: int | None = None


@dataclass(frozen=True, slots=True)
class Percentage:
    """Per cent done of the slots that could be weighed; `left_out` could not. None without any."""

    per_cent: float | None
    counted: int
    left_out: int


@dataclass(frozen=True, slots=True)
class Grades:
    """Average grade in points with its spread (standard deviation), least and most.

    `without` filled slots hold a coin that has no grade. All None where no coin has one.
    """

    mean: float | None
    spread: float | None
    least: int | None
    most: int | None
    graded: int
    without: int


def by_count(slots: Sequence[Standing]) -> Percentage:
    """Every slot weighs the same."""
    return _percentage((one.is_done, 1.0) for one in slots)


def by_scarcity(slots: Sequence[Standing]) -> Percentage:
    """Each slot weighs -log of its share of the mintage: halving a share adds always the same.

    An issue that is all of its series weighs nothing.
    """
    return _percentage((one.is_done, scarcity(one.share)) for one in slots)


def by_price(slots: Sequence[Standing]) -> Percentage:
    """Each slot weighs what a coin for it costs."""
    return _percentage(
        (one.is_done, None if one.price is None else float(one.price)) for one in slots
    )


def scarcity(share: float | None) -> float | None:
    """-log of a share of the mintage; None where it is not known.

    Raises ValueError for a share that is not above 0 and at most 1.
    """
    if share is None:
        return None
    if not 0 < share <= 1:
        raise ValueError("a share of the mintage is above 0 and at most 1")
    return -log(share)


def grades(points: Iterable[int | None]) -> Grades:
    """Of the coins in filled slots, by their points; None for a coin without a grade."""
    held = list(points)
    known = [one for one in held if one is not None]
    if not known:
        return Grades(None, None, None, None, 0, len(held))
    mean = fsum(known) / len(known)
    spread = sqrt(fsum((one - mean) ** 2 for one in known) / len(known))
    return Grades(mean, spread, min(known), max(known), len(known), len(held) - len(known))


def _percentage(slots: Iterable[tuple[bool, float | None]]) -> Percentage:
    found = list(slots)
    weights = [(is_done, weight) for is_done, weight in found if weight is not None]
    whole = fsum(weight for _, weight in weights)
    done = fsum(weight for is_done, weight in weights if is_done)
    per_cent = 100 * done / whole if whole > 0 else None
    return Percentage(per_cent, len(weights), len(found) - len(weights))
