"""What the collector chose of a plan: purchases pinned, forbidden, or looked at in their slots."""

from dataclasses import dataclass
from enum import StrEnum

from core.errors import BadEntry
from core.model.album import SlotId
from core.model.grade import SCALE
from core.model.issue import Description, VarietyId
from core.model.prices import OfferId


class ChoiceKind(StrEnum):
    """Always bought, never bought, or the grade that a slot's line shows."""

    PINNED = "pinned"
    FORBIDDEN = "forbidden"
    SHOWN = "shown"


@dataclass(frozen=True, slots=True)
class Listed:
    """A coin of the price list in one grade (points): what a list's curve is of.

    It names the coin, not a price: whatever the list says of it, later too, is meant.
    """

    description: Description
    grade: int
    variety: VarietyId | None = None
    is_proof: bool = False


Chosen = Listed | OfferId
"""What is bought: a coin of the list, or an offer."""


@dataclass(frozen=True, slots=True)
class PlanChoice:
    """A purchase for a slot, and what the collector said of it."""

    slot: SlotId
    kind: ChoiceKind
    of: Chosen


def require_choice(one: PlanChoice) -> None:
    """Refuse a choice that cannot be; raises BadEntry."""
    if isinstance(one.of, Listed) and one.of.grade not in SCALE:
        raise BadEntry(f"A purchase is of a step of the grade scale; {one.of.grade} is none.")
