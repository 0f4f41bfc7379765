"""What a line at the sorting table may say that is no coin: the next roll, a coin counted."""

import re
from dataclasses import dataclass
from enum import StrEnum

from core.lookup.claims import MOST_QUANTITY
from core.lookup.words import fold
from core.model.search import COUNTERS

MOST_ROLLS = 100_000
"""Where the rolls of a campaign run on through its boxes."""
_ROLL = re.compile(r"/\s*(\d*)\s*")
_TIMES = r"(?:(\d+)\s*x\s*)?"
_COUNT = re.compile(rf"\s*{_TIMES}\+\s*{_TIMES}([^\W\d][\w' -]*?)\s*(?:x\s*(\d+)\s*)?(?::\s*(.*))?")
_SPOKEN = re.compile(r"\s*([^\W\d][\w' -]*?)\s*:\s*(.*)")


class CommandKind(StrEnum):
    """What a command does: goes to a roll, or counts a coin that is not kept."""

    ROLL = "roll"
    COUNT = "count"


@dataclass(frozen=True, slots=True)
class Command:
    """A command of the line; `roll` None is the next one, `note` what is told of a counted coin."""

    kind: CommandKind
    roll: int | None = None
    counter: str = ""
    note: str = ""
    quantity: int = 1

    @property
    def text(self) -> str:
        """In words: next roll, roll 37, count foreign: worn, count 3 damaged."""
        if self.kind is CommandKind.ROLL:
            return "next roll" if self.roll is None else f"roll {self.roll}"
        times = f"{self.quantity} " if self.quantity > 1 else ""
        return f"count {times}{self.counter}" + (f": {self.note}" if self.note else "")


@dataclass(frozen=True, slots=True)
class CommandRead:
    """A command, or why it is none; `said` tells what was assumed."""

    command: Command | None = None
    trouble: str = ""
    said: str = ""


def read_command(text: str, counters: tuple[str, ...] = ()) -> CommandRead | None:
    """The command of a line, None where the line is no command.

    `counters` are the collector's own, beside those that every search has. A new name after `+`
    is a new counter; the beginning of a counter's name, or one letter beside it, means that one,
    and is said.
    """
    plain = text.strip()
    if plain.startswith("/") and not plain.startswith("//"):
        return _roll(plain)
    found = _COUNT.fullmatch(text)
    if found:
        before, after, name, times, note = found.groups()
        return _count(name, before or after or times, note or "", counters, True)
    if plain.startswith("+"):
        return CommandRead(trouble=f"“{plain}” names no counter; write + and a name: +foreign.")
    spoken = _SPOKEN.fullmatch(text)
    if spoken:
        return _count(spoken[1], None, spoken[2], counters, False)
    return None


def _roll(plain: str) -> CommandRead:
    found = _ROLL.fullmatch(plain)
    if found is None:
        told = f"“{plain}” is no roll; write / for the next roll, or its number: /37."
        return CommandRead(trouble=told)
    if not found[1]:
        return CommandRead(Command(CommandKind.ROLL))
    if len(found[1]) > len(str(MOST_ROLLS)) or not 0 < int(found[1]) <= MOST_ROLLS:
        return CommandRead(
            trouble=f"There is no roll {found[1]}; rolls run from 1 to {MOST_ROLLS:,}."
        )
    return CommandRead(Command(CommandKind.ROLL, int(found[1])))


def _count(
    name: str, times: str | None, note: str, counters: tuple[str, ...], is_new_welcome: bool
) -> CommandRead | None:
    if times and (len(times) > len(str(MOST_QUANTITY)) or not 0 < int(times) <= MOST_QUANTITY):
        told = f"“{times} x” is no quantity; write 1 to {MOST_QUANTITY:,}, such as 3 x +foreign."
        return CommandRead(trouble=told)
    known = dict.fromkeys((*COUNTERS, *counters))
    key = " ".join(fold(name).split())
    called = {fold(c): c for c in known}
    said = ""
    if key not in called:
        near = [c for k, c in called.items() if k.startswith(key)] if is_new_welcome else []
        near = near or [c for k, c in called.items() if is_one_edit(key, k)]
        if len(near) == 1:
            key, said = fold(near[0]), f"read {name} as {near[0]}"
        elif not is_new_welcome:
            return None
    counter = called.get(key, " ".join(name.split()))
    quantity = int(times) if times else 1
    return CommandRead(Command(CommandKind.COUNT, None, counter, note.strip(), quantity), "", said)


def is_one_edit(one: str, other: str) -> bool:
    """Whether two words differ by one letter put in, left out, changed or swapped."""
    if one == other or abs(len(one) - len(other)) > 1:
        return False
    if len(one) > len(other):
        one, other = other, one
    at = next((i for i, letter in enumerate(one) if letter != other[i]), len(one))
    if len(one) != len(other):
        return one[at:] == other[at + 1 :]
    swapped = one[:at] + one[at + 1 : at + 2] + one[at : at + 1] + one[at + 2 :]
    return one[at + 1 :] == other[at + 1 :] or swapped == other
