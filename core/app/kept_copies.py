"""The copies kept of a collection: before the first change of a day, and before each restore."""

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from core.store.copies import copies_beside, copies_elsewhere, daily_copies, plain_name


@dataclass(frozen=True, slots=True)
class KeptCopy:
    """A copy and the day it bears; not a daily one was kept when another was restored over it."""

    path: Path
    day: date
    is_daily: bool


def folder_of_copies(path: Path) -> Path:
    """Where the copies of a collection lie, unless its own folder cannot be written."""
    return copies_beside(path)


def kept_copies(path: Path) -> list[KeptCopy]:
    """The copies of a collection, newest first; on one day the daily one is the oldest."""
    found: list[tuple[str, KeptCopy]] = []
    before = f"{plain_name(path)} before "
    for folder in (copies_beside(path), copies_elsewhere(path)):
        for copy in daily_copies(path, folder):
            told = copy.stem[-len("2026-03-03") :]
            if (day := _day(told)) is not None:
                found.append((told, KeptCopy(copy, day, True)))
        for copy in folder.glob("*.slotleaf") if folder.is_dir() else ():
            told = copy.stem.removeprefix(before)
            if copy.name.startswith(before) and (day := _day(told[:10])) is not None:
                found.append((f"{told} ", KeptCopy(copy, day, False)))
    return [kept for _, kept in sorted(found, key=lambda one: one[0], reverse=True)]


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None
