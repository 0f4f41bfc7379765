"""A curve as it is drawn, the same on screen and on paper: its corners, and ticks at round figures.

Across runs money in minor units, or months from this one; upwards what is had for it. Pure.
"""

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from math import ceil, floor, log10
from typing import NamedTuple

from core.model.money import minor_digits, money_text
from core.planning.aim import GAPS_CLOSED, POINTS_GAINED, TARGETS_MET, Aim
from core.planning.curve import Curve
from core.planning.schedule import Schedule

MOST_ACROSS, MOST_UP = 5, 5
_MONTH_STEPS = (1, 2, 3, 6, 12, 24, 60, 120, 240)
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


class Stair(NamedTuple):
    """From here on, across, a figure is had."""

    across: int
    figure: float


class Tick(NamedTuple):
    """A place of an axis, and what stands there."""

    at: float
    text: str


@dataclass(frozen=True, slots=True)
class Drawn:
    """A curve, and one beside it where there is one; both axes begin at 0.

    `most` and `high` are where they end. `figure` names what is counted upwards.
    """

    stairs: tuple[Stair, ...] = ()
    beside: tuple[Stair, ...] = ()
    most: float = 1.0
    high: float = 1.0
    ticks_across: tuple[Tick, ...] = ()
    ticks_up: tuple[Tick, ...] = ()
    figure: str = ""
    unit: str = ""
    """What is counted across: the code of a currency, or months."""

    @property
    def corners(self) -> tuple[tuple[float, float], ...]:
        """The corners of the curve, from its first stair to the end of the axis."""
        return corners(self.stairs, self.most)

    @property
    def corners_beside(self) -> tuple[tuple[float, float], ...]:
        """The corners of the curve beside it."""
        return corners(self.beside, self.most)

    def figure_at(self, across: float) -> float:
        """What is had there; 0 before the first stair."""
        return figure_at(self.stairs, across)


def figure_at(stairs: Sequence[Stair], across: float) -> float:
    """What is had there; 0 before the first stair."""
    at = bisect_right(stairs, across, key=lambda stair: stair.across)
    return stairs[at - 1].figure if at else 0.0


def corners(stairs: Sequence[Stair], most: float) -> tuple[tuple[float, float], ...]:
    """A curve's corners: along each stair, then straight up to the next; none for no stair."""
    if not stairs:
        return ()
    found = [(float(stairs[0].across), stairs[0].figure)]
    for before, stair in pairwise(stairs):
        found += [(float(stair.across), before.figure), (float(stair.across), stair.figure)]
    return (*found, (most, stairs[-1].figure))


def figure_name(aim: Aim) -> str:
    """What a curve of an aim counts."""
    if aim.shown == GAPS_CLOSED:
        return "gaps closed"
    if aim.shown == TARGETS_MET:
        return "slots brought to target"
    return "grade points gained" if aim.shown == POINTS_GAINED else "sum of the mix"


def figure_text(figure: float) -> str:
    """A figure as it is told: 12, 1,240, 3.4."""
    return f"{figure:,.0f}" if figure == round(figure) else f"{figure:,.1f}"


def counted(figure: float, name: str) -> str:
    """A figure with what it counts: 1 gap closed, 12 gaps closed."""
    return f"{figure_text(figure)} {name.replace('s ', ' ', 1) if figure == 1 else name}"


def curve_stairs(found: Curve, unit: int = 1) -> tuple[Stair, ...]:
    """The steps of a curve; its figures divided by `Aim.unit`."""
    return tuple(Stair(step.spent, step.figure / unit) for step in found.steps)


def drawn_curve(
    stairs: Iterable[Stair], aim: Aim, currency: str, beside: Iterable[Stair] = ()
) -> Drawn:
    """A budget curve, with another beside it that counts the same."""
    mine, other = tuple(stairs), tuple(beside)
    ends = [stair.across for stair in (*mine, *other)]
    most = _roomy(max([*ends, 1]))
    high, up = _ticks_up([stair.figure for stair in (*mine, *other)])
    across = _money_ticks(most, currency)
    return Drawn(mine, other, most, high, across, up, figure_name(aim), currency)


def drawn_months(made: Schedule, today: date, looked_at: int) -> Drawn:
    """How many slots are closed month by month, `looked_at` of them; month 1 is today's."""
    closed = sorted(made.closes.values())
    steps = (Stair(number, float(bisect_right(closed, number))) for number in sorted(set(closed)))
    stairs = [Stair(0, 0.0), *steps]
    most = max(looked_at, stairs[-1].across, 1)
    high, up = _ticks_up([stair.figure for stair in stairs])
    step = next((one for one in _MONTH_STEPS if most / one <= MOST_ACROSS), _MONTH_STEPS[-1])
    ticks = tuple(
        Tick(float(number), month_text(today, number)) for number in range(1, most + 1, step)
    )
    return Drawn(tuple(stairs), (), most + 0.5, high, ticks, up, "slots closed", "months")


def month_text(today: date, number: int) -> str:
    """Month 1 is this one: Nov 2026."""
    at = today.year * 12 + today.month - 1 + number - 1
    return f"{_MONTHS[at % 12]} {at // 12}"


def nice_step(span: float, most: int = MOST_UP, least: float = 0.0) -> float:
    """1, 2 or 5 times a power of ten, so that a span has at most so many steps."""
    rough = max(span, 1e-9) / most
    power = 10.0 ** floor(log10(rough))
    found = next(power * times for times in (1, 2, 5, 10) if power * times >= rough * 0.9999)
    return max(least, found)


def _roomy(end: int) -> float:
    """A little beyond the last step, so that what it gains is seen to stay."""
    return end * 1.04


def _ticks_up(figures: Sequence[float]) -> tuple[float, tuple[Tick, ...]]:
    """Where the axis ends, a tick at or above the highest figure, and the ticks."""
    top = max([*figures, 1.0])
    step = nice_step(top, MOST_UP, least=1.0)
    many = ceil(top / step - 1e-9)
    ticks = tuple(Tick(at * step, figure_text(at * step)) for at in range(many + 1))
    return many * step, ticks


def _money_ticks(most: float, currency: str) -> tuple[Tick, ...]:
    """Round amounts from 0 on, with decimals only where a step is no whole unit."""
    step = max(1, round(nice_step(most, MOST_ACROSS)))
    whole = 10 ** minor_digits(currency)
    is_whole = step % whole == 0
    return tuple(
        Tick(float(at), f"{at // whole:,}" if is_whole else money_text(at, currency))
        for at in range(0, floor(most) + 1, step)
    )
