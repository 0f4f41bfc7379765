"""Albums, slots, targets, placements and reservations."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import NewType

from core.errors import BadEntry, BadGrade
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


class ShowP(StrEnum):
    """When labels show Philadelphia's P."""

    NEVER = "never"
    AS_ON_COIN = "as on the coin"
    ALWAYS = "always"


class ArrangementKind(StrEnum):
    """How slots turn into leaves of rows."""

    YEARS_BY_MINTS = "years by mints"
    RUNNING = "running"


@dataclass(frozen=True, slots=True)
class Arrangement:
    """An album's shape.

    `per_row` and `rows_per_leaf` count cells and rows; years by mints uses only
    `rows_per_leaf` (None: as many as make even leaves of at most ten).
    """

    kind: ArrangementKind = ArrangementKind.YEARS_BY_MINTS
    per_row: int = 9
    rows_per_leaf: int | None = None
    show_p: ShowP = ShowP.AS_ON_COIN

    @property
    def text(self) -> str:
        """As the command line writes it: years-by-mints, running:9x5."""
        if self.kind is ArrangementKind.RUNNING:
            return f"running:{self.per_row}x{self.rows_per_leaf or 5}"
        return "years-by-mints" + (f":{self.rows_per_leaf}" if self.rows_per_leaf else "")


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


def parse_arrangement(text: str) -> Arrangement:
    """Read an arrangement: `years-by-mints`, `years-by-mints:8`, `running:9x5`.

    Raises BadEntry with what may be written.
    """
    kind, _, sizes = text.strip().lower().partition(":")
    if kind == "years-by-mints" and (not sizes or (sizes.isdigit() and 0 < int(sizes) <= 60)):
        return Arrangement(rows_per_leaf=int(sizes) if sizes else None)
    per_row, _, rows = sizes.partition("x")
    counts = per_row.isdigit() and rows.isdigit()
    if kind == "running" and counts and 0 < int(per_row) <= 60 and 0 < int(rows) <= 60:
        return Arrangement(ArrangementKind.RUNNING, int(per_row), int(rows))
    raise BadEntry(
        f"“{text}” is no arrangement; write years-by-mints, years-by-mints:ROWS, "
        "or running:SLOTSxROWS such as running:9x5 (1 to 60 each)."
    )


@dataclass(frozen=True, slots=True)
class Slot:
    """One hole of a leaf: which coins it accepts, and what the collector wants there.

    `label` is unique in its album; `position` counts from 0 in reading order.
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


@dataclass(frozen=True, slots=True)
class Album:
    """The set being built. `shelf` is its place on the shelf, from 0."""

    id: AlbumId
    name: str
    series: SeriesId
    shelf: int
    kind: AlbumKind = AlbumKind.HOLDER
    arrangement: Arrangement = Arrangement()
    note: str = ""


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
