"""What a plan aims at: steps in their order, each a sum of figures with whole-number weights.

A later step decides only between plans that are equally good by all steps before it. After the
last step less money decides, then fewer purchases, then more points gained for nothing, then fewer
moves; `plan` adds these itself.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from core.errors import BadEntry
from core.planning.wants import Want

TENTHS = 10
"""A mix counts in tenths, so that ten grade points count as one of its units."""
MOST_WEIGHT = 100


class Of(StrEnum):
    """Which slots a step counts."""

    ALL = "all slots"
    WANTED = "wanted slots"
    OPTIONAL = "optional slots"
    KEY = "key dates"

    def counts(self, want: Want) -> bool:
        """Whether a slot is one of them."""
        if self is Of.ALL:
            return True
        if self is Of.KEY:
            return want.is_key
        return want.is_wanted is (self is Of.WANTED)


@dataclass(frozen=True, slots=True)
class Step:
    """What a gap closed, a target newly met and a grade point gained each count."""

    gap: int = 0
    target: int = 0
    point: int = 0
    of: Of = Of.ALL

    def gain(self, want: Want, points: int) -> int:
        """What a coin of these points adds in a slot, above what the slot holds."""
        if not self.of.counts(want):
            return 0
        return (
            self.gap * (want.held is None)
            + self.target * (want.meets(points) - want.meets(want.held))
            + self.point * (want.counted(points) - want.counted(want.held))
        )


GAPS_CLOSED = Step(gap=1)
TARGETS_MET = Step(target=1)
POINTS_GAINED = Step(point=1)


@dataclass(frozen=True, slots=True)
class Aim:
    """Steps from first to last, the figure its curve shows, and both written out.

    A figure of `shown` divided by `unit` is what a reader is told.
    """

    name: str
    steps: tuple[Step, ...]
    shown: Step
    words: str
    unit: int = 1


_TIES = "Plans that are equal in this are told apart by less money, then by fewer purchases."
GAPS = Aim(
    "gaps",
    (Step(gap=1, of=Of.WANTED), Step(gap=1, of=Of.OPTIONAL), TARGETS_MET),
    GAPS_CLOSED,
    "Close as many gaps as possible, wanted slots before optional ones; then meet as many targets"
    f" as possible. {_TIES}",
)
TARGETS = Aim(
    "targets",
    (Step(target=1, of=Of.WANTED), Step(target=1, of=Of.OPTIONAL), GAPS_CLOSED),
    TARGETS_MET,
    "Meet as many targets as possible, wanted slots before optional ones; then close as many gaps"
    f" as possible. {_TIES}",
)
POINTS = Aim(
    "points",
    (POINTS_GAINED,),
    POINTS_GAINED,
    "Gain as many grade points as possible, in each slot no more than its target asks for."
    f" {_TIES}",
)
KEYS = Aim(
    "keys",
    (Step(gap=1, of=Of.KEY), Step(target=1, of=Of.KEY), GAPS_CLOSED, TARGETS_MET),
    GAPS_CLOSED,
    "Close the gaps of key dates first, then meet the targets of key dates; then close as many"
    f" other gaps and meet as many other targets as possible. {_TIES}",
)
PLAIN_AIMS = {aim.name: aim for aim in (GAPS, TARGETS, POINTS, KEYS)}


def mix(gaps: int, targets: int, points: int) -> Aim:
    """One step of all three figures, each with its weight, 0 to 100.

    Raises BadEntry for a weight out of range, or where all are 0.
    """
    weights = (gaps, targets, points)
    if min(weights) < 0 or max(weights) > MOST_WEIGHT or not any(weights):
        raise BadEntry(
            f"The weights of a mix are whole numbers from 0 to {MOST_WEIGHT}, not all of them 0; "
            f"{gaps},{targets},{points} is not. Write for example mix:3,2,1."
        )
    step = Step(gap=TENTHS * gaps, target=TENTHS * targets, point=points)
    return Aim(
        f"mix:{gaps},{targets},{points}",
        (step,),
        step,
        f"A gap closed counts {gaps}, a target met {targets}, every ten grade points gained"
        f" {points}; a coin that closes a gap at its target counts for all three. The greatest sum"
        f" is sought. {_TIES}",
        TENTHS,
    )


def read_aim(text: str) -> Aim:
    """`gaps`, `targets`, `points`, `keys` or `mix:3,2,1`; raises BadEntry for anything else."""
    word = text.strip().casefold()
    if word in PLAIN_AIMS:
        return PLAIN_AIMS[word]
    if word.startswith("mix:"):
        weights = _whole_numbers(word.removeprefix("mix:"))
        if len(weights) == 3:
            return mix(*weights)
    raise BadEntry(
        f'"{text}" is no aim of a plan. Choose gaps, targets, points, keys, or a mix with the '
        "weights of gaps, targets and points, such as mix:3,2,1."
    )


def _whole_numbers(text: str) -> Sequence[int]:
    parts = [part.strip() for part in text.split(",")]
    return [int(p) for p in parts] if all(p.isascii() and p.isdigit() for p in parts) else []
