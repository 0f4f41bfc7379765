"""What was typed in the editor, step by step, so that undo and redo go through it. No Qt here."""

from dataclasses import dataclass

from gui.series.sheets import Sheets

MOST_STEPS = 1_000


@dataclass(frozen=True, slots=True)
class _Step:
    """The sheets as they were before a step, what it did, and in which part."""

    before: Sheets
    what: str
    part: str


class Timeline:
    """The sheets as they stand, those before, and those taken back."""

    def __init__(self, sheets: Sheets, is_begun: bool = False) -> None:
        """`is_begun`: even the first sheets stand nowhere else."""
        self.present = sheets
        self._first = None if is_begun else sheets
        self._past: list[_Step] = []
        self._future: list[_Step] = []
        self._key = ""

    @property
    def is_changed(self) -> bool:
        """Whether something stands here that would be lost."""
        return self.present != self._first

    @property
    def undo_label(self) -> str:
        """What undo would take back, "" for nothing."""
        return self._past[-1].what if self._past else ""

    @property
    def redo_label(self) -> str:
        """What redo would do again, "" for nothing."""
        return self._future[-1].what if self._future else ""

    def put(self, sheets: Sheets, what: str, part: str, key: str = "") -> None:
        """Go on to other sheets; steps of one `key` in a row, such as letters of a field, are one.

        Sheets that are the same are no step.
        """
        if sheets == self.present:
            return
        if not key or key != self._key or not self._past:
            self._past.append(_Step(self.present, what, part))
            del self._past[:-MOST_STEPS]
        self._key, self.present = key, sheets
        self._future.clear()

    def undo(self) -> str | None:
        """Back by a step; the part it was in, None where there is none."""
        return self._move(self._past, self._future)

    def redo(self) -> str | None:
        """Forward again by a step; the part it was in, None where there is none."""
        return self._move(self._future, self._past)

    def _move(self, source: list[_Step], target: list[_Step]) -> str | None:
        self._key = ""
        if not source:
            return None
        step = source.pop()
        target.append(_Step(self.present, step.what, step.part))
        self.present = step.before
        return step.part
