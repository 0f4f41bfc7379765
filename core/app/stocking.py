"""Stocking an album one already owns: keys in, orders out. Pure, so a script can count the keys.

Space (or a click) makes a coin of the slot's issue and moves on. Letters begin a grade that then
counts for every next coin until another is typed (`vf20` Space); digits begin a date to jump to;
`?` marks the coin to verify; Backspace takes back the last slot; Esc leaves.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from core.errors import BadGrade
from core.model.album import SlotId
from core.model.grade import Grade
from core.model.grade_tables import read_grade_of


class Act(StrEnum):
    """What a key asks for."""

    NOTHING = "nothing"
    STOCK = "stock"
    JUMP = "jump"
    TAKE_BACK = "take back"
    LEAVE = "leave"


@dataclass(frozen=True, slots=True)
class Typed:
    """What has been typed and not yet used, and what still holds.

    `grade` holds for the next coins; `entry` is the grade or date being typed; `is_flagged` holds
    for the next coin only; `fault` says why the entry was not taken. A grade is read by the words
    of the `issuer`.
    """

    entry: str = ""
    grade: Grade | None = None
    is_flagged: bool = False
    fault: str = ""
    issuer: str = ""

    @property
    def is_date(self) -> bool:
        """Whether a date is being typed."""
        return self.entry[:1].isdigit()

    @property
    def grade_text(self) -> str:
        """The grade the next coin gets, in words."""
        return self.grade.text if self.grade else "no grade"


@dataclass(frozen=True, slots=True)
class Answer:
    """What to do now, and what is typed afterwards. `date` is the text to jump to."""

    act: Act
    typed: Typed
    date: str = ""


SPACE, BACKSPACE, ESCAPE, ENTER = " ", "\b", "\x1b", "\r"


def press(typed: Typed, key: str) -> Answer:
    """Answer one key: a character, or SPACE, BACKSPACE, ESCAPE, ENTER."""
    match key:
        case "\x1b":
            if typed.entry or typed.fault:
                return Answer(Act.NOTHING, replace(typed, entry="", fault=""))
            return Answer(Act.LEAVE, typed)
        case "\b":
            if typed.entry:
                return Answer(Act.NOTHING, replace(typed, entry=typed.entry[:-1], fault=""))
            return Answer(Act.TAKE_BACK, replace(typed, fault=""))
        case " " | "\r":
            return _use(typed, stocks=key == SPACE)
        case "?":
            return Answer(Act.NOTHING, replace(typed, is_flagged=not typed.is_flagged, fault=""))
    if key.isprintable() and len(key) == 1:
        entry = typed.entry + key
        jump = entry if entry.isdigit() else ""
        return Answer(
            Act.JUMP if jump else Act.NOTHING, replace(typed, entry=entry, fault=""), jump
        )
    return Answer(Act.NOTHING, typed)


def _use(typed: Typed, stocks: bool) -> Answer:
    """Take the entry: a date has jumped already, a grade holds from now on."""
    if typed.is_date:
        fresh = replace(typed, entry="", fault="")
        return Answer(Act.STOCK if stocks else Act.JUMP, fresh, typed.entry)
    if typed.entry:
        if typed.entry.casefold() in ("-", "none"):
            typed = replace(typed, grade=None)
        else:
            try:
                typed = replace(typed, grade=read_grade_of(typed.entry, typed.issuer))
            except BadGrade as fault:
                return Answer(Act.NOTHING, replace(typed, entry="", fault=str(fault)))
    fresh = replace(typed, entry="", fault="")
    return Answer(Act.STOCK if stocks else Act.NOTHING, fresh)


def next_slot(order: Sequence[SlotId], here: SlotId, empty: set[SlotId]) -> SlotId | None:
    """The next empty slot after `here` in reading order, None when there is none further on."""
    at = order.index(here)
    return next((s for s in order[at + 1 :] if s in empty), None)
