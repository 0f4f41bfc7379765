"""Entries of a box, typed or read from a text: what they mean, and carrying them out.

One entry a line, as the look-up line reads it: a coin is kept, `+foreign` counts, `/` is the next
roll and `/37` roll 37. Before an entry may stand `seen` (counted, not kept) and `ender` (seen at
the roll's end). Empty lines, and those that begin with #, mean nothing.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from core.app.compare import kept_coin
from core.app.counted import sighting_of
from core.app.look_up import Answer, Scope
from core.app.search_finds import count_seen, keep_find
from core.app.search_rolls import go_to_roll
from core.errors import BadEntry, CollectionError
from core.lookup.commands import Command, CommandKind
from core.model.coin import Coin
from core.model.issue import SeriesId
from core.model.label import join_or
from core.model.search import Box, BoxId, Search, Sighting
from core.search.packaging import packaging

if TYPE_CHECKING:
    from core.app.collection import Collection

SEEN, ENDER = "seen", "ender"


@dataclass(frozen=True, slots=True)
class Step:
    """One entry: a roll to take in hand (counted in the box from 1), a coin, or a coin counted.

    `entry` is the line without what stands before the coin.
    """

    line: int
    text: str
    entry: str
    roll: int | None = None
    coin: Coin | None = None
    sighting: Sighting | None = None
    is_ender: bool = False


@dataclass(frozen=True, slots=True)
class Logged:
    """What was logged: coins kept, coins counted, and the roll in hand now."""

    kept: int
    seen: int
    roll: int


def scope_of(collection: "Collection", box: Box, search: Search) -> Scope:
    """What is asked about at a box: the search's series, or those whose coins may lie in it.

    A series that is used here goes before those of the library.
    """
    first = box.nothing_before if box.nothing_before is not None else search.nothing_before
    return Scope(
        search.series or _series_in(collection, box), first, counters=collection.log.counters()
    )


def _series_in(collection: "Collection", box: Box) -> tuple[SeriesId, ...]:
    told = packaging(box.denomination)
    if told is None:
        return ()
    used = tuple(one.id for one in collection.series_in_use if told.holds(one))
    return used or tuple(one.id for one in collection.all_series() if told.holds(one))


def sighting_of_command(command: Command) -> Sighting:
    """What `+foreign: 1962` counts."""
    return Sighting(
        0, BoxId(0), 0, 0, counter=command.counter, quantity=command.quantity, text=command.note
    )


def read_entries(collection: "Collection", box_id: BoxId, lines: Iterable[str]) -> tuple[Step, ...]:
    """What lines mean for a box; raises BadEntry that names every faulty line and why."""
    view = collection.log.box_view(box_id)
    if view.box.is_done:
        raise BadEntry(f"Box {view.box.number} is finished. Take it up again to add to it.")
    scope = scope_of(collection, view.box, view.search)
    shown = {roll.shown: roll.number for roll in view.rolls}
    skipped = {roll.number for roll in view.rolls if roll.is_skipped}
    at = view.box.at_roll
    steps: list[Step] = []
    faults: list[str] = []
    for number, line in enumerate(lines, start=1):
        text = line.strip()
        if not text or text.startswith("#"):
            continue
        try:
            step = _step(collection, scope, number, text)
            if step.coin is None and step.sighting is None:
                at = _roll(step, at, shown, skipped)
                skipped.discard(at)
                step = replace(step, roll=at)
            steps.append(step)
        except CollectionError as fault:
            faults.append(f"Line {number}, “{text}”: {fault}")
    if faults:
        raise BadEntry(" ".join([*faults, "Nothing was logged."]))
    return tuple(steps)


def _roll(step: Step, at: int, shown: dict[int, int], skipped: set[int]) -> int:
    """The roll in the box that a step takes in hand."""
    if step.roll is None:
        ahead = [n for n in shown.values() if n > at and n not in skipped]
        if not ahead:
            raise BadEntry("that was the last roll of the box.")
        return ahead[0]
    if step.roll not in shown:
        raise BadEntry(f"the box has the rolls {min(shown)} to {max(shown)}.")
    return shown[step.roll]


def _step(collection: "Collection", scope: Scope, number: int, text: str) -> Step:
    rest = text
    words: set[str] = set()
    while True:
        word, _, more = rest.partition(" ")
        if word.casefold() not in (SEEN, ENDER) or word.casefold() in words or not more.strip():
            break
        words.add(word.casefold())
        rest = more.strip()
    # The blank says that no word is still being typed.
    looked = collection.look_up(rest + " ", scope)
    if looked.is_seen:
        raise BadEntry("“seen” stands before the coin twice; once will do.")
    command = looked.command
    if command is not None and command.kind is CommandKind.ROLL:
        if words:
            raise BadEntry(f"{' and '.join(sorted(words))} goes with a coin, not with a roll.")
        return Step(number, text, rest, command.roll)
    is_ender = ENDER in words
    if command is not None:
        counted = replace(sighting_of_command(command), is_ender=is_ender)
        return Step(number, text, rest, sighting=counted)
    answer = looked.meant_seen if SEEN in words else looked.meant
    if answer is None and not looked.readings:
        raise BadEntry(looked.trouble or "it names no coin; write a date and letter, such as 43d.")
    if answer is None:
        raise BadEntry(_which(looked.readings))
    if SEEN in words:
        seen = sighting_of(answer.entry, found=answer.found)
        seen = replace(seen, is_ender=is_ender or seen.is_ender)
        return Step(number, text, rest, sighting=seen)
    return Step(number, text, rest, coin=kept_coin(answer.entry), is_ender=is_ender)


def _which(readings: Sequence[Answer]) -> str:
    if len({one.entry.series for one in readings}) > 1:
        return f"it can be {join_or([one.called for one in readings])}; write which kind it is."
    names = join_or(list(dict.fromkeys(one.name for one in readings)))
    return f"it can be {names}; write the date in full."


def log_entries(collection: "Collection", box_id: BoxId, lines: Iterable[str]) -> Logged:
    """Log all of these lines, one undo; raises BadEntry, and then nothing is logged.

    Each coin is kept with the answer it would have got at the table, those before it kept.
    """
    steps = read_entries(collection, box_id, lines)
    view = collection.log.box_view(box_id)
    scope = scope_of(collection, view.box, view.search)
    run = collection.start_run()
    is_begun = False
    kept = seen = 0
    try:
        for step in steps:
            if step.coin is not None:
                answer = _answer(collection, scope, step)
                order = keep_find(
                    box_id,
                    step.coin,
                    is_ender=step.is_ender,
                    answer=answer.verdict.value,
                    name=answer.name,
                )
                kept += step.coin.quantity
            elif step.sighting is not None:
                order = count_seen(box_id, step.sighting)
                seen += step.sighting.quantity
            else:
                order = go_to_roll(box_id, step.roll or 1)
            done = collection.run(order, run_id=run)
            is_begun = is_begun or not done.is_nothing
    except CollectionError:
        if is_begun:
            collection.undo()
        raise
    return Logged(kept, seen, collection.log.box_view(box_id).now.shown)


def _answer(collection: "Collection", scope: Scope, step: Step) -> Answer:
    """What the line answers to a coin that was read before, as things stand now."""
    answer = collection.look_up(step.entry + " ", scope).meant
    if answer is None:
        raise BadEntry(f"Line {step.line}, “{step.text}”, reads otherwise than before.")
    return answer
