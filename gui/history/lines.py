"""Entries of the history as lines: a heading a day, a line an entry, one line a run. No Qt here."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import TYPE_CHECKING

from gui.day_words import long_day

if TYPE_CHECKING:
    from core.app.collection import Entry


@dataclass(slots=True)
class Line:
    """One line: a day's heading where there are no entries; else an entry, or a run folded up.

    `part_of` is the folded line that an opened run's entry belongs to.
    """

    day: date
    entries: "list[Entry]" = field(default_factory=list)
    part_of: "Line | None" = None
    is_unfolded: bool = False

    @property
    def is_heading(self) -> bool:
        """Whether it only names a day."""
        return not self.entries

    @property
    def is_run(self) -> bool:
        """Whether it stands for several entries."""
        return len(self.entries) > 1

    @property
    def is_undone(self) -> bool:
        """Whether it was taken back."""
        return bool(self.entries) and self.entries[0].is_undone

    @property
    def title(self) -> str:
        """What was done, or the day."""
        if not self.entries:
            return long_day(self.day)
        labels = list(dict.fromkeys(entry.label for entry in reversed(self.entries)))
        text = labels[0][:1].upper() + labels[0][1:]
        return text if len(labels) == 1 else f"{text} and more"

    @property
    def time(self) -> str:
        """When: 18:30, or 18:30 to 18:42."""
        if not self.entries:
            return ""
        last, first = (_clock(self.entries[at]) for at in (0, -1))
        return first if first == last else f"{first}–{last}"

    @property
    def beside(self) -> str:
        """What stands at the right: how many entries, whether undone."""
        words = [f"{len(self.entries):,} entries"] if self.is_run else []
        return " · ".join([*words, *["undone"] * self.is_undone])

    @property
    def spoken(self) -> str:
        """What a screen reader says."""
        return ", ".join(part for part in (self.time, self.title, self.beside) if part)


def local_day(entry: "Entry") -> date:
    """The day an entry was made, by the clock on the wall."""
    return entry.at.astimezone().date()


def _clock(entry: "Entry") -> str:
    return f"{entry.at.astimezone():%H:%M}"


def added(lines: Sequence[Line], entries: "Sequence[Entry]") -> list[Line]:
    """The lines of further, older entries; the last line of `lines` may grow by its run."""
    new: list[Line] = []
    last = lines[-1] if lines else None
    for entry in entries:
        day = local_day(entry)
        if last is not None and _is_of_run(last, entry):
            last.entries.append(entry)
            continue
        if last is None or last.day != day:
            new.append(Line(day))
        last = Line(day, [entry])
        new.append(last)
    return new


def _is_of_run(line: Line, entry: "Entry") -> bool:
    return (
        bool(line.entries)
        and line.part_of is None
        and entry.run is not None
        and line.entries[-1].run == entry.run
        and line.is_undone == entry.is_undone
    )


def standing_after(lines: Sequence[Line], at: int) -> int:
    """How many entries above a line are not undone: those that undo back to it takes."""
    above = (line for line in lines[:at] if line.part_of is None)
    chosen = lines[at].part_of or lines[at]
    count = sum(len(line.entries) for line in above if not line.is_undone and line is not chosen)
    if lines[at].part_of is not None and not chosen.is_undone:
        count += next(n for n, e in enumerate(chosen.entries) if e.id == lines[at].entries[0].id)
    return count
