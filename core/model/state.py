"""What is true of a slot: the only place where a state is decided."""

from dataclasses import dataclass
from enum import StrEnum


class SlotState(StrEnum):
    """The states of `design.md`, in their order of precedence."""

    NOT_STRUCK = "not struck"
    SKIPPED = "skipped"
    ON_ORDER = "on order"
    GAP = "gap"
    TO_VERIFY = "to verify"
    HOLE_FILLER = "hole filler"
    BELOW_TARGET = "below target"
    FILLED = "filled"


class Mark(StrEnum):
    """What may stand beside any state, in its own corner of the glyph."""

    SPARE_WAITING = "spare waiting"
    BETTER_ON_ORDER = "better coin on order"
    PINNED = "pinned"


@dataclass(frozen=True, slots=True)
class SlotFacts:
    """All that decides a slot's state, as plain claims.

    `points` is the low end of the grade, None where the coin has no grade; `target_points` is the
    least grade asked, None where the slot has no target.
    """

    is_struck: bool = True
    is_skipped: bool = False
    has_coin: bool = False
    is_ordered: bool = False
    surely_fits: bool = True
    is_flagged: bool = False
    has_barred_problem: bool = False
    has_target: bool = False
    meets_target: bool = True
    points: int | None = None
    target_points: int | None = None


def slot_state(facts: SlotFacts) -> SlotState:
    """The first state that applies, by the precedence of the class above."""
    if not facts.is_struck:
        return SlotState.NOT_STRUCK
    if facts.is_skipped:
        return SlotState.SKIPPED
    if not facts.has_coin:
        return SlotState.ON_ORDER if facts.is_ordered else SlotState.GAP
    if not facts.surely_fits or facts.is_flagged:
        return SlotState.TO_VERIFY
    if facts.has_barred_problem:
        return SlotState.HOLE_FILLER
    if facts.has_target and not facts.meets_target:
        return SlotState.BELOW_TARGET
    return SlotState.FILLED


def fill_level(points: int | None, target_points: int | None) -> int:
    """How far a coin below its target has come: 25, 50 or 75 (per cent).

    (points − 1)/(target − 1), rounded down to a quarter, at least 25 and at most 75. A coin
    without a grade, or a target that asks no points, gives 25.
    """
    if points is None or target_points is None or target_points <= 1:
        return 25
    share = 100 * (points - 1) // (target_points - 1)
    return max(25, min(75, share // 25 * 25))
