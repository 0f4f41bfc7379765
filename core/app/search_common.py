"""What the orders of the search log share: a box's row, its rolls, and the checks on them."""

from collections.abc import Callable
from dataclasses import replace

from core.app.changes import Changes
from core.app.order import Context, Operation
from core.errors import BadEntry, Refused
from core.model.search import (
    Box,
    BoxId,
    Campaign,
    Roll,
    require_box,
    require_roll,
)
from core.store.read import Reader
from core.store.unit import Unit


def tidy(text: str) -> str:
    """A text without blanks round it or doubled in it."""
    return " ".join(text.split())


def require_open(box: Box) -> None:
    """Refuse to add to a box that is finished."""
    if box.is_done:
        raise Refused(f"Box {box.number} is finished. Take it up again to add to it.")


def edit_box_row(
    label: str, box_id: BoxId, edit: Callable[[Unit, Box], Box], seconds: int = 0
) -> Operation:
    """Change a box's own row; nothing is written where nothing changes."""

    def work(unit: Unit, _context: Context) -> Changes:
        before = unit.read.log.box(box_id)
        after = spent(edit(unit, before), seconds)
        if after == before:
            return Changes()
        require_box(after)
        unit.log.update(after)
        at = f", roll {shown_roll(unit.read, after, after.at_roll)}"
        unit.about = f"box {after.number}" + (at if after.at_roll != before.at_roll else "")
        is_listed = after.is_done != before.is_done
        return Changes(boxes=frozenset([box_id]), is_log=is_listed)

    return Operation(label, work)


def spent(box: Box, seconds: int) -> Box:
    """The box with time added."""
    if seconds < 0:
        raise BadEntry("Time spent cannot be below 0.")
    return replace(box, seconds=box.seconds + seconds) if seconds else box


def roll_of(reader: Reader, box_id: BoxId, number: int) -> Roll:
    """What is told of a roll; id 0 where nothing is."""
    rolls = (roll for roll in reader.log.rolls(box_id) if roll.number == number)
    return next(rolls, Roll(0, box_id, number))


def write_roll(unit: Unit, box: Box, roll: Roll) -> None:
    """Keep what is different of a roll, or drop its row where nothing is."""
    require_roll(roll, box)
    is_different = roll.coins is not None or roll.is_skipped
    if roll.id and is_different:
        unit.log.update(roll)
    elif roll.id:
        unit.log.delete(Roll, [roll.id])
    elif is_different:
        unit.log.add(roll)


def require_roll_of(unit: Unit, box: Box, number: int) -> None:
    """Refuse a roll that the box has not."""
    if not 1 <= number <= box.rolls:
        first, last = (shown_roll(unit.read, box, n) for n in (1, box.rolls))
        raise Refused(
            f"Box {box.number} has the rolls {first} to {last}; there is no roll "
            f"{shown_roll(unit.read, box, number)}."
        )


def skipped_rolls(reader: Reader, box_id: BoxId) -> frozenset[int]:
    """The rolls of a box that were marked as not searched."""
    return frozenset(r.number for r in reader.log.rolls(box_id) if r.is_skipped)


def holds_anything(reader: Reader, box_id: BoxId, number: int) -> bool:
    """Whether anything was kept or counted in a roll."""
    finds, seen = reader.log.finds(box_id), reader.log.sightings(box_id)
    return any(one.roll == number for one in finds) or any(one.roll == number for one in seen)


def rolls_before(reader: Reader, box: Box) -> int:
    """How many rolls lie before a box where its campaign numbers them through, else 0."""
    campaign = reader.log.campaign(reader.log.search(box.search).campaign)
    return rolls_before_in(reader, box, campaign)


def rolls_before_in(reader: Reader, box: Box, campaign: Campaign) -> int:
    """`rolls_before` where its campaign is at hand."""
    if not campaign.rolls_run_on:
        return 0
    mine = (box.number, box.id)
    return sum(o.rolls for o in reader.log.boxes(campaign.id) if (o.number, o.id) < mine)


def shown_roll(reader: Reader, box: Box, roll: int) -> int:
    """A roll's number as its collector counts it."""
    return roll + rolls_before(reader, box)
