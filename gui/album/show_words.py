"""Words under the slots: what changed since a day, or how each coin came. No Qt here.

A slot of which nothing is told is dimmed; one of which something is told bears the word in the
second line of its label, so that nothing hangs on a colour.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import ClassVar

from core.app.past import AlbumPast, CameBy, SlotChange, origin_of
from core.app.views import AlbumView
from core.arrange.plan import LeafPlan
from core.model.album import SlotId
from gui.album.time_band import NOTHING
from gui.day_words import day_words

MOST_NAMED = 3
"""Slots named in the sentence on a day's changes; the rest are counted."""


@dataclass(frozen=True, slots=True)
class Since:
    """Show what changed after this day."""

    day: date
    command: ClassVar[str] = "show_since"

    @property
    def words(self) -> str:
        """What the Show button says."""
        return f"changed since {day_words(self.day)}"


@dataclass(frozen=True, slots=True)
class FoundBought:
    """Show found against bought."""

    words: ClassVar[str] = "found against bought"
    command: ClassVar[str] = "show_origin"


@dataclass(frozen=True, slots=True)
class ForMoney:
    """Show what a purchase gains for its money."""

    words: ClassVar[str] = "gain for the money"
    command: ClassVar[str] = "show_gain"


Telling = Since | FoundBought | ForMoney


@dataclass(frozen=True, slots=True)
class SlotWords:
    """The word of each slot, and the line that counts them."""

    telling: Telling
    by_slot: Mapping[SlotId, str]
    line: str
    spoken: Mapping[SlotId, str] = field(default_factory=dict)


def slot_words(telling: Telling, past: AlbumPast, view: AlbumView, day: date) -> SlotWords:
    """What is told of an album as it stood at the end of `day`."""
    if isinstance(telling, ForMoney):
        return SlotWords(telling, {}, "Gain for the money: prices are of today, this day is past.")
    if isinstance(telling, FoundBought):
        return found_bought(view)
    return since_words(telling.day, changes_between(past, telling.day, day), day)


def changes_between(past: AlbumPast, since: date, day: date) -> dict[SlotId, SlotChange]:
    """What became of each slot from the end of `since` to the end of `day`."""
    if since >= day:
        return {}
    if not past.days or day >= past.days[-1]:
        return past.changed_since(since)
    return past.changed_since(since, day)


def since_words(since: date, changes: Mapping[SlotId, SlotChange], day: date) -> SlotWords:
    """The words of changed slots: new, better, out."""
    if since >= day:
        line = f"Changed since {day_words(since)}: choose a day before {day_words(day)}."
        return SlotWords(Since(since), {}, line)
    counts = Counter(changes.values())
    told = [f"{counts[change]:,} {change}" for change in SlotChange if counts[change]]
    line = f"Changed since {day_words(since)}: {', '.join(told) or 'nothing'}"
    words = {slot: str(change) for slot, change in changes.items()}
    spoken = {slot: f"{word} since {day_words(since)}" for slot, word in words.items()}
    return SlotWords(Since(since), words, line, spoken)


def found_bought(view: AlbumView) -> SlotWords:
    """Found or bought; coins that came otherwise are only counted."""
    came = {v.slot.id: origin_of(v.coin) for v in view.slots if v.coin is not None}
    counts = Counter(came.values())
    words = {slot: str(by) for slot, by in came.items() if by is not CameBy.OTHER}
    line = f"{counts[CameBy.FOUND]:,} found, {counts[CameBy.BOUGHT]:,} bought"
    if others := counts[CameBy.OTHER]:
        line += f", {others:,} came otherwise or not known"
    return SlotWords(FoundBought(), words, line, words)


def day_story(past: AlbumPast, day: date) -> str:
    """What changed on a day, a sentence: 1943-D VF-20 put in, 1944 taken out."""
    before, after = past.coins_on(day - timedelta(days=1)), past.coins_on(day)
    told = []
    for seen in past.present.slots:
        old, new = before.get(seen.slot.id), after.get(seen.slot.id)
        if old == new:
            continue
        grade = new.grade.text if new is not None and new.grade else ""
        if new is None:
            what = "taken out"
        elif old is None:
            what = f"{grade} put in".lstrip()
        else:
            what = f"now {grade}" if grade else "now another coin"
        told.append(f"{seen.slot.label} {what}")
    return _listed(told) or NOTHING


def _listed(told: Sequence[str]) -> str:
    shown = ", ".join(told[:MOST_NAMED])
    more = len(told) - MOST_NAMED
    return f"{shown}, and {more:,} more" if more > 0 else shown


def told_plan(plan: LeafPlan, words: SlotWords) -> LeafPlan:
    """A copy of a plan with a word in the second line of each slot that has one."""
    told = plan.copy()
    told.has_two_lines = True
    if not plan.has_two_lines:
        told.l2 = told.l2[:0]
        told.l2.frombytes(bytes(plan.l2.itemsize * plan.cells))
        for caption in plan.captions:
            told.l2[caption] = plan.l2[caption]
    for slot, word in words.by_slot.items():
        cell = plan.cell_of_slot(int(slot))
        if cell >= 0:
            told.l2[cell] = told.line(word)
            spoken = words.spoken.get(slot, "")
            detail = plan.lines[plan.details[cell]]
            told.details[cell] = told.line(", ".join(w for w in (detail, spoken) if w))
    return told
