"""What is to be kept of a supposition; `keep_supposed` makes an order of it."""

from dataclasses import dataclass

from core.model.album import AlbumId, SlotId, Target
from core.model.issue import VarietyId


@dataclass(frozen=True, slots=True)
class Kept:
    """What is to be kept: new targets of slots, slots to skip, and a slot more for each variety.

    `varieties` names the slot that each stands behind, and shares target and wish with.
    """

    targets: tuple[tuple[Target, tuple[SlotId, ...]], ...] = ()
    skipped: tuple[SlotId, ...] = ()
    varieties: tuple[tuple[AlbumId, SlotId, VarietyId], ...] = ()

    @property
    def is_nothing(self) -> bool:
        """Whether nothing would change."""
        return self == Kept()

    @property
    def words(self) -> str:
        """2 key dates ask for less, 3 optional slots are skipped, 5 slots for varieties are added;
        without a full stop.
        """
        lowered, skipped, added = self._counts
        said = []
        if lowered:
            said.append(f"{lowered} key date{'s ask' if lowered > 1 else ' asks'} for less")
        if skipped:
            is_many = "s are" if skipped > 1 else " is"
            said.append(f"{skipped} optional slot{is_many} skipped")
        if added:
            said.append(f"{added} slot{'s' * (added > 1)} for varieties "
                        f"{'are' if added > 1 else 'is'} added")  # fmt: skip
        return ", ".join(said)

    @property
    def _counts(self) -> tuple[int, int, int]:
        lowered = sum(len(slots) for _, slots in self.targets)
        return lowered, len(self.skipped), len(self.varieties)
