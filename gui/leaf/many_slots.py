"""What several slots have in common, for the card and the menu. No Qt here."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TypeVar

from core.app.views import SlotView
from core.model.album import Wish

VARIOUS = "various"
Value = TypeVar("Value")


@dataclass(frozen=True, slots=True)
class InCommon:
    """The value that all have; None where they have several. `pinned` counts those of `count`."""

    count: int
    target: str | None
    wish: Wish | None
    note: str | None
    pinned: int

    @property
    def target_text(self) -> str:
        """The target, or that there are several."""
        return VARIOUS if self.target is None else self.target

    @property
    def pinned_text(self) -> str:
        """Pinned; Pinned: 5 of 12 where some are."""
        some = 0 < self.pinned < self.count
        return f"Pinned: {self.pinned:,} of {self.count:,}" if some else "Pinned"


def in_common(views: Sequence[SlotView]) -> InCommon:
    """What these slots have in common; there is at least one."""
    slots = [view.slot for view in views]
    return InCommon(
        len(slots),
        _one(slot.target.text if slot.target else "none" for slot in slots),
        _one(slot.wish for slot in slots),
        _one(slot.note for slot in slots),
        sum(slot.is_pinned for slot in slots),
    )


def _one(values: Iterable[Value]) -> Value | None:
    found = set(values)
    return found.pop() if len(found) == 1 else None
