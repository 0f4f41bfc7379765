"""A jar or cup known by what it holds when full: the coins in it by its level, with the spread."""

from dataclasses import dataclass
from math import sqrt

from core.model.search import FULL_EIGHTHS, Container

LEVEL_BOUND = 0.5
"""A level between empty and the brim is read to the nearest eighth: half of one off at most."""


@dataclass(frozen=True, slots=True)
class Held:
    """So many coins, ± two deviations."""

    count: int
    spread: int

    @property
    def text(self) -> str:
        """1,200 ± 87; a certain figure alone."""
        return f"{self.count:,} ± {self.spread:,}" if self.spread else f"{self.count:,}"


def held_in(one: Container) -> Held:
    """The coins in a container by its level.

    What it holds when full is known to ± `holds_spread`; the level adds the even spread of half an
    eighth to both sides, save when it is empty or filled to the brim.
    """
    share = one.eighths / FULL_EIGHTHS
    is_sharp = one.eighths in (0, FULL_EIGHTHS)
    level = 0.0 if is_sharp else 2 / sqrt(3) * LEVEL_BOUND / FULL_EIGHTHS * one.holds
    return Held(round(one.holds * share), round(sqrt((one.holds_spread * share) ** 2 + level**2)))


def held_in_all(containers: tuple[Container, ...]) -> Held:
    """The coins of several containers together, their spreads independent."""
    each = [held_in(one) for one in containers]
    return Held(sum(one.count for one in each), round(sqrt(sum(one.spread**2 for one in each))))
