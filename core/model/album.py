"""Albums, slots, targets, placements and reservations."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import NewType

from core.errors import BadGrade
from core.model.arrangement import NO_LEAD, PLAIN, Arrangement, Lead
from core.model.coin import CoinId
from core.model.grade import (
    COLOUR_ORDER,
    STRIKE_WORDS,
    Colour,
    Grade,
    code_of,
    has_strike_words,
    parse_grade,
)
from core.model.issue import Description, SeriesId, VarietyId

AlbumId = NewType("AlbumId", int)
SlotId = NewType("SlotId", int)


class Wish(StrEnum):
    """Whether the collector seeks a slot."""

    WANTED = "wanted"
    OPTIONAL = "optional"
    SKIPPED = "skipped"


class AlbumKind(StrEnum):
    """A holder's coins sit in it; an overview shows the best held coin wherever it sits."""

    HOLDER = "holder"
    OVERVIEW = "overview"


@dataclass(frozen=True, slots=True)
class Target:
    """What the collector wants in a slot: least grade, and optionally more.

    `least` in points, None to ask only for a sound coin of the other wishes.
    """

    least: int | None
    is_proof: bool = False
    colour: Colour | None = None
    strike_words: tuple[str, ...] = ()
    allows_problems: bool = False

    @property
    def text(self) -> str:
        """As collectors write it: VF-20, MS-65 RD FS, G-4 problems allowed."""
        words = [code_of(self.least, self.is_proof)] if self.least else []
        if self.colour:
            words.append(self.colour.value)
        words += self.strike_words
        if self.allows_problems:
            words.append("problems allowed")
        return " ".join(words) or "sound"

    def is_met_by(self, grade: Grade | None, has_problem: bool) -> bool:
        """Whether a fitting coin of this grade meets the target.

        A details grade gives its points but never meets a target that allows no problems; proof
        numbers meet only proof targets.
        """
        if has_problem and not self.allows_problems:
            return False
        if grade is None:
            return self.least is None and self.colour is None and not self.strike_words
        if grade.is_details and not self.allows_problems:
            return False
        if self.least is not None and (grade.is_proof != self.is_proof or grade.low < self.least):
            return False
        if self.colour and (
            grade.colour is None
            or COLOUR_ORDER.index(grade.colour) < COLOUR_ORDER.index(self.colour)
        ):
            return False
        return has_strike_words(self.strike_words, grade.strike_words)


def parse_target(text: str) -> Target | None:
    """Read a target as `Target.text` writes it or a collector does: `vf20`, `MS-65 RD`, `none`.

    Raises BadGrade for what is not on the scale.
    """
    words = " ".join(text.split())
    allows = words.lower().endswith("problems allowed")
    if allows:
        words = words[: -len("problems allowed")].strip()
    if words.lower() in ("", "none") and not allows:
        return None
    if words.lower() in ("", "sound"):
        return Target(None, allows_problems=allows)
    extras = {*Colour.__members__, *STRIKE_WORDS}
    if extras.issuperset(words.upper().split()):
        grade = parse_grade("P-1 " + words)
        return Target(None, False, grade.colour, grade.strike_words, allows)
    grade = parse_grade(words)
    if grade.is_plus or grade.is_details:
        raise BadGrade(
            f"“{text}”: a target has no + and no details; write a step such as MS-65, "
            "or add “problems allowed”."
        )
    return Target(grade.low, grade.is_proof, grade.colour, grade.strike_words, allows)


@dataclass(frozen=True, slots=True)
class Slot:
    """One hole of a leaf: which coins it accepts, and what the collector wants there.

    `label` is unique in its album; `position` counts from 0 in the order of the album's list.
    `has_own_label`: the collector wrote it, so no template and no new plan changes it.
    """

    id: SlotId
    album: AlbumId
    position: int
    label: str
    accepts: Description
    variety: VarietyId | None = None
    wish: Wish = Wish.WANTED
    target: Target | None = None
    is_pinned: bool = False
    note: str = ""
    lead: Lead = NO_LEAD
    has_own_label: bool = False


@dataclass(frozen=True, slots=True)
class Album:
    """The set being built. `shelf` is its place on the shelf, from 0.

    `series` is its first one: a type album or year set has slots of others too (`Slot.accepts`
    names each slot's). Albums of the same `volumes`, one after another, are one entry of the
    shelf.
    """

    id: AlbumId
    name: str
    series: SeriesId
    shelf: int
    kind: AlbumKind = AlbumKind.HOLDER
    arrangement: Arrangement = PLAIN
    note: str = ""
    volumes: str = ""


@dataclass(frozen=True, slots=True)
class Placement:
    """A coin sits in a slot from a day until a day (None: it still does)."""

    id: int
    slot: SlotId
    coin: CoinId
    since: date
    until: date | None = None


@dataclass(frozen=True, slots=True)
class Reservation:
    """A coin on order that is meant for a slot; not a placement."""

    id: int
    slot: SlotId
    coin: CoinId
