"""Coins and lots: what is held, what is known of it, and where it came from."""

from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum
from typing import NewType

from core.model.grade import Grade
from core.model.issue import Description, VarietyId

CoinId = NewType("CoinId", int)


class Problem(StrEnum):
    """A problem makes a coin trade below its grade."""

    CLEANED = "cleaned"
    POLISHED = "polished"
    WHIZZED = "whizzed"
    ALTERED_SURFACE = "altered surface"
    CORRODED = "corroded"
    ENVIRONMENTAL = "environmental damage"
    ZINC_ROT = "zinc rot"
    PVC_RESIDUE = "PVC residue"
    CARBON_SPOT = "carbon spot"
    SCRATCHED = "scratched"
    GRAFFITI = "graffiti"
    BENT = "bent"
    HOLED = "holed"
    PLUGGED = "plugged"
    MOUNT_REMOVED = "mount removed"
    RIM_DAMAGE = "rim damage"
    FILED_RIM = "filed rim"
    TOOLED = "tooled"
    CHOPMARKED = "chopmarked"
    COUNTERSTAMPED = "counterstamped"
    QUESTIONABLE_COLOUR = "questionable colour"
    CLIPPED = "clipped after striking"
    MACHINE_DAMAGE = "machine damage"
    DRYER_COIN = "dryer coin"
    ALTERED_DATE = "altered date or mint mark"
    IMPAIRED_PROOF = "impaired proof"
    DAMAGED = "damaged"


class CoinStatus(StrEnum):
    """Whether the coin is here: held, bought and under way, or gone."""

    HELD = "held"
    ON_ORDER = "on order"
    GONE = "gone"


class Origin(StrEnum):
    """How a coin came."""

    FOUND = "found"
    BOUGHT = "bought"
    GIVEN = "given"
    ALREADY_OWNED = "already owned"
    UNKNOWN = "not known"


class Finding(StrEnum):
    """What is known of a variety on a coin; a variety without one was not looked at."""

    CONFIRMED = "confirmed"
    SUSPECTED = "suspected"
    RULED_OUT = "ruled out"


@dataclass(frozen=True, slots=True)
class Coin:
    """A piece held, or a lot of equal pieces (`quantity` above one; a lot is never placed itself).

    `number` is shown everywhere and never reused; it is also the key. `weight_mg` in milligrams,
    `paid_minor` in minor units of `currency`; None means not known. `place` is where it lies.
    """

    id: CoinId
    description: Description
    grade: Grade | None = None
    problems: tuple[Problem, ...] = ()
    is_genuine: bool = True
    is_flagged: bool = False
    varieties: tuple[tuple[VarietyId, Finding], ...] = ()
    weight_mg: int | None = None
    status: CoinStatus = CoinStatus.HELD
    quantity: int = 1
    origin: Origin = Origin.UNKNOWN
    came_from: str = ""
    acquired: date | None = None
    place: str = ""
    paid_minor: int | None = None
    currency: str = ""
    note: str = ""

    @property
    def is_lot(self) -> bool:
        """Whether this row stands for several equal pieces."""
        return self.quantity > 1

    @property
    def points(self) -> int | None:
        """The low end of the grade, None without a grade."""
        return self.grade.low if self.grade else None

    def finding(self, variety: VarietyId) -> Finding | None:
        """What is known of a variety on this coin, None if it was not looked at."""
        return dict(self.varieties).get(variety)

    def with_finding(self, variety: VarietyId, finding: Finding | None) -> "Coin":
        """The coin with one variety's finding set, or forgotten."""
        found = {v: f for v, f in self.varieties if v != variety}
        if finding is not None:
            found[variety] = finding
        return replace(self, varieties=tuple(sorted(found.items())))
