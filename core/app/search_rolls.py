"""Moving from roll to roll of a box, and what is told of a roll: each returns an Operation."""

from dataclasses import replace

from core.app.changes import Changes
from core.app.order import Context, Operation
from core.app.search_common import (
    edit_box_row,
    holds_anything,
    require_open,
    require_roll_of,
    roll_of,
    shown_roll,
    skipped_rolls,
    write_roll,
)
from core.errors import Refused
from core.model.search import (
    Box,
    BoxId,
)
from core.store.unit import Unit


def next_roll(box_id: BoxId, seconds: int = 0) -> Operation:
    """Open the next roll, past those marked skipped; refused after the last."""

    def edit(unit: Unit, box: Box) -> Box:
        require_open(box)
        skipped = skipped_rolls(unit.read, box_id)
        ahead = [n for n in range(box.at_roll + 1, box.rolls + 1) if n not in skipped]
        if not ahead:
            raise Refused(
                f"Roll {shown_roll(unit.read, box, box.at_roll)} is the last of box {box.number}. "
                "Finish the box, or give it more rolls."
            )
        return replace(box, at_roll=ahead[0], reached=max(box.reached, ahead[0]))

    return edit_box_row("next roll", box_id, edit, seconds)


def go_to_roll(box_id: BoxId, number: int, seconds: int = 0) -> Operation:
    """Take a roll of the box in hand, counted in the box from 1; rolls before it count as opened.

    One that was marked skipped is skipped no more.
    """

    def work(unit: Unit, context: Context) -> Changes:
        def edit(_unit: Unit, box: Box) -> Box:
            return replace(box, at_roll=number, reached=max(box.reached, number))

        box = unit.read.log.box(box_id)
        require_open(box)
        require_roll_of(unit, box, number)
        done = edit_box_row("go to a roll", box_id, edit, seconds).work(unit, context)
        if number in skipped_rolls(unit.read, box_id):
            write_roll(unit, box, replace(roll_of(unit.read, box_id, number), is_skipped=False))
            done = Changes(boxes=frozenset([box_id]))
        return done

    return Operation("go to a roll", work)


def back_roll(box_id: BoxId, seconds: int = 0) -> Operation:
    """Back to the roll before, past those marked skipped; refused at the first.

    The furthest roll counts as opened no more if nothing is in it.
    """

    def edit(unit: Unit, box: Box) -> Box:
        require_open(box)
        skipped = skipped_rolls(unit.read, box_id)
        behind = [n for n in range(1, box.at_roll) if n not in skipped]
        if not behind:
            raise Refused(
                f"Roll {shown_roll(unit.read, box, box.at_roll)} is the first of box {box.number}."
            )
        is_slip = box.at_roll == box.reached and not holds_anything(unit.read, box_id, box.at_roll)
        return replace(box, at_roll=behind[-1], reached=behind[-1] if is_slip else box.reached)

    return edit_box_row("back a roll", box_id, edit, seconds)


def skip_roll(box_id: BoxId, number: int, is_skipped: bool = True) -> Operation:
    """Mark a roll as not searched, or take the mark off; refused where something lies in it.

    The roll in hand gives way to the next one, if there is one.
    """

    def work(unit: Unit, _context: Context) -> Changes:
        box = unit.read.log.box(box_id)
        require_open(box)
        require_roll_of(unit, box, number)
        shown = shown_roll(unit.read, box, number)
        if is_skipped and holds_anything(unit.read, box_id, number):
            raise Refused(
                f"Something was kept or counted in roll {shown} of box {box.number}; take it out "
                "first, or leave the roll as opened."
            )
        if (number in skipped_rolls(unit.read, box_id)) == is_skipped:
            return Changes()
        write_roll(unit, box, replace(roll_of(unit.read, box_id, number), is_skipped=is_skipped))
        if is_skipped and number == box.at_roll:
            skipped = skipped_rolls(unit.read, box_id)
            ahead = [n for n in range(number + 1, box.rolls + 1) if n not in skipped]
            to = ahead[0] if ahead else number
            unit.log.update(replace(box, at_roll=to, reached=max(box.reached, to)))
        unit.about = f"box {box.number}, roll {shown}"
        return Changes(boxes=frozenset([box_id]))

    return Operation("skip a roll" if is_skipped else "no longer skip a roll", work)


def set_roll_coins(box_id: BoxId, number: int, coins: int | None) -> Operation:
    """How many coins a short, long or wrong roll had; None for as many as the others."""

    def work(unit: Unit, _context: Context) -> Changes:
        box = unit.read.log.box(box_id)
        require_roll_of(unit, box, number)
        told = None if coins == box.per_roll else coins
        now = roll_of(unit.read, box_id, number)
        if now.coins == told:
            return Changes()
        write_roll(unit, box, replace(now, coins=told))
        unit.about = f"box {box.number}, roll {shown_roll(unit.read, box, number)}"
        return Changes(boxes=frozenset([box_id]))

    return Operation("count the coins of a roll", work)
