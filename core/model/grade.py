"""Grades: 1–70 with its words, kept as a range whose low end decides."""

import re
from dataclasses import dataclass, replace
from enum import StrEnum

from core.errors import BadGrade


class Colour(StrEnum):
    """Colour words of copper, from least to most red."""

    BN = "BN"
    RB = "RB"
    RD = "RD"


COLOUR_ORDER = (Colour.BN, Colour.RB, Colour.RD)
STRIKE_IMPLIES = {
    "6FS": ("5FS", "FS"),
    "5FS": ("FS",),
    "FT": ("FB",),
    "DMPL": ("PL",),
    "DCAM": ("CAM",),
}
"""Strike words that hold others: six full steps are five full steps too."""
STRIKE_WORDS = ("FS", "5FS", "6FS", "FB", "FT", "FBL", "FH", "PL", "DMPL", "CAM", "DCAM")

# The scale of the trade, points to code. Common practice in the United States since the 1970s;
# the steps are those of "Grading parameters", a specialist token guide, and dealers' grading pages.
SCALE: dict[int, str] = {
    1: "P-1", 2: "FR-2", 3: "AG-3", 4: "G-4", 6: "G-6", 8: "VG-8", 10: "VG-10", 12: "F-12",
    15: "F-15", 20: "VF-20", 25: "VF-25", 30: "VF-30", 35: "VF-35", 40: "XF-40", 45: "XF-45",
    50: "AU-50", 53: "AU-53", 55: "AU-55", 58: "AU-58", 60: "MS-60", 61: "MS-61", 62: "MS-62",
    63: "MS-63", 64: "MS-64", 65: "MS-65", 66: "MS-66", 67: "MS-67", 68: "MS-68", 69: "MS-69",
    70: "MS-70",
}  # fmt: skip

# A word alone stands for the points from its own step up to the next word's.
WORDS: dict[str, tuple[int, int]] = {
    "P": (1, 1), "PO": (1, 1), "FR": (2, 2), "FA": (2, 2), "AG": (3, 3), "G": (4, 6),
    "VG": (8, 10), "F": (12, 15), "VF": (20, 35), "XF": (40, 45), "EF": (40, 45),
    "AU": (50, 58), "MS": (60, 70), "UNC": (60, 70), "BU": (60, 70),
}  # fmt: skip
_PROOF_WORDS = ("PF", "PR", "PROOF")
_PIECE = re.compile(r"^([A-Z]+)?[- ]?(\d{1,2})?(\+)?$")
_ALIASES = {"DPL": "DMPL", "UCAM": "DCAM"}


@dataclass(frozen=True, slots=True)
class Grade:
    """A grade or a range of grades; `low` decides.

    `is_details`: points as if undamaged, but a problem is named. `is_proof`: proof numbers meet
    only proof targets. `entered` keeps another country's words as they were written, `table` the
    name of the table that gives them their range, "" where none was named.
    """

    low: int
    high: int
    is_proof: bool = False
    is_plus: bool = False
    is_details: bool = False
    colour: Colour | None = None
    strike_words: tuple[str, ...] = ()
    entered: str = ""
    table: str = ""

    @property
    def text(self) -> str:
        """As collectors write it: VF-20, VF-20 to XF-40, AU-50 details, gVF (British, 40–53)."""
        if self.entered and not self.table:
            return self.entered
        return self._with_flags(
            f"{self.entered} ({self.table}, {self.range_text})"
            if self.table
            else _span(self.low, self.high, self.is_proof, self.is_plus)
        )

    @property
    def short_text(self) -> str:
        """The same without the table and its range, for under a slot: gVF."""
        return self._with_flags(self.entered) if self.table else self.text

    @property
    def range_text(self) -> str:
        """Its range in points: 40–53, PF 60–70."""
        span = str(self.low) if self.low == self.high else f"{self.low}–{self.high}"
        return f"PF {span}" if self.is_proof else span

    def _with_flags(self, grade: str) -> str:
        words = [grade]
        if self.is_details:
            words.append("details")
        if self.colour:
            words.append(self.colour.value)
        return " ".join([*words, *self.strike_words])


def has_strike_words(wanted: tuple[str, ...], given: tuple[str, ...]) -> bool:
    """Whether strike words, with those they hold, are all that is wanted."""
    held = {w for word in given for w in (word, *STRIKE_IMPLIES.get(word, ()))}
    return set(wanted) <= held


def code_of(points: int, is_proof: bool = False) -> str:
    """The code of one step of the scale, such as VF-20 or PF-65."""
    if is_proof:
        return f"PF-{points}"
    return SCALE[points]


def _span(low: int, high: int, is_proof: bool, is_plus: bool) -> str:
    plus = "+" if is_plus else ""
    if low == high:
        return code_of(low, is_proof) + plus
    for word, span in WORDS.items():
        if span == (low, high) and not is_proof:
            return word + plus
    return f"{code_of(low, is_proof)}{plus} to {code_of(high, is_proof)}"


def parse_grade(text: str) -> Grade:
    """Read a grade as collectors write it: `vf20`, `VF-30`, `vf-xf`, `au details`, `ms65+ rd fs`.

    Raises BadGrade, which names the word that is not on the scale.
    """
    words = text.upper().replace("–", "-").replace(",", " ").split()
    words = _joined(words)
    grade: Grade | None = None
    colour: Colour | None = None
    strikes: list[str] = []
    details = False
    for written in words:
        word = _ALIASES.get(written, written)
        if word in ("DETAILS", "DET"):
            details = True
        elif word in Colour.__members__:
            colour = Colour(word)
        elif word in STRIKE_WORDS:
            strikes.append(word)
        elif grade is None:
            grade = _points(word, text)
        else:
            raise BadGrade(f"“{text}” holds two grades; write a range as vf-xf or vf20-xf40.")
    if grade is None:
        raise BadGrade(f"“{text}” names no grade; write for example vf20, au or ms63.")
    return replace(
        grade, is_details=details, colour=colour, strike_words=tuple(sorted(set(strikes)))
    )


def _joined(words: list[str]) -> list[str]:
    """Put a grade word and its number together: `VF 20` reads as `VF20`."""
    out: list[str] = []
    for word in words:
        known = out and (out[-1] in WORDS or out[-1] in _PROOF_WORDS)
        if known and re.fullmatch(r"\d{1,2}\+?(-.*)?", word):
            out[-1] += word
        elif word in ("TO", "-") and out:
            out[-1] += "-"
        elif out and out[-1].endswith("-"):
            out[-1] += word
        else:
            out.append(word)
    return out


def _points(word: str, whole: str) -> Grade:
    """One word of points: a step, a word, or a range of either."""
    single = _PIECE.match(word)
    if single and single.group(1):
        return _step(single.group(1), single.group(2), bool(single.group(3)), whole)
    pieces = re.fullmatch(r"([A-Z]+-?\d{0,2}\+?)-([A-Z]+-?\d{0,2}\+?|\d{1,2})", word)
    if not pieces:
        raise BadGrade(f"“{word}” is not on the grade scale (1–70: P-1 … VF-20 … MS-70).")
    first = _points(pieces.group(1), whole)
    last_text = pieces.group(2)
    if last_text.isdigit():
        last_text = re.sub(r"[^A-Z]", "", pieces.group(1)) + last_text
    last = _points(last_text, whole)
    if last.low < first.low or last.is_proof != first.is_proof:
        raise BadGrade(f"“{whole}”: a range runs from the lower grade to the higher.")
    if last.is_plus:
        raise BadGrade(f"“{whole}”: in a range only the lower grade may have a +; leave it out.")
    return Grade(first.low, last.high, first.is_proof, first.is_plus)


def _step(word: str, number: str | None, is_plus: bool, whole: str) -> Grade:
    is_proof = word in _PROOF_WORDS
    if not is_proof and word not in WORDS:
        raise BadGrade(
            f"“{word}” in “{whole}” is not on the grade scale "
            "(P, FR, AG, G, VG, F, VF, XF, AU, MS)."
        )
    low, high = (60, 70) if is_proof else WORDS[word]
    if number is None:
        return Grade(low, high, is_proof, is_plus)
    points = int(number)
    top = 58 if word == "AU" else high
    if points not in SCALE or (not is_proof and not low <= points <= top):
        steps = ", ".join(str(p) for p in SCALE if is_proof or low <= p <= top)
        raise BadGrade(f"{word} has no step {points}; its steps are {steps}.")
    return Grade(points, points, is_proof, is_plus)
