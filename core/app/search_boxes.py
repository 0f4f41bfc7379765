"""Changing campaigns, searches and boxes of the search log: each returns an Operation."""

from collections.abc import Sequence
from dataclasses import replace

from core.app.changes import Changes
from core.app.order import Context, Operation
from core.app.search_common import edit_box_row, tidy
from core.errors import Refused
from core.model.search import (
    Box,
    BoxId,
    Campaign,
    CampaignId,
    Search,
    SearchId,
    require_box,
    require_campaign,
    require_search,
)
from core.store.read import Reader
from core.store.unit import Unit


def add_campaign(campaign: Campaign) -> Operation:
    """Begin a campaign; its id is ignored."""

    def work(unit: Unit, _context: Context) -> Changes:
        return Changes(is_log=True, made_log=(_put_campaign(unit, campaign),))

    return Operation(f"new campaign {campaign.name.strip()}", work)


def edit_campaign(campaign: Campaign) -> Operation:
    """Set all that is told of a campaign."""

    def work(unit: Unit, _context: Context) -> Changes:
        before = unit.read.log.campaign(campaign.id)
        after = _campaign(unit, campaign)
        if after == before:
            return Changes()
        unit.log.update(after)
        boxes = unit.read.log.boxes(campaign.id)
        return Changes(is_log=True, boxes=frozenset(one.id for one in boxes))

    return Operation(f"edit campaign {campaign.name.strip()}", work)


def delete_campaign(campaign_id: CampaignId) -> Operation:
    """Take away a campaign and its searches; refused while there are boxes."""

    def work(unit: Unit, _context: Context) -> Changes:
        name = unit.read.log.campaign(campaign_id).name
        _require_no_boxes(f"the campaign “{name}”", unit.read.log.boxes(campaign_id))
        unit.log.delete(Campaign, [campaign_id])
        unit.about = name
        return Changes(is_log=True)

    return Operation("delete a campaign", work)


def add_search(search: Search) -> Operation:
    """Begin a search of a campaign; its id is ignored."""

    def work(unit: Unit, context: Context) -> Changes:
        return Changes(is_log=True, made_log=(_put_search(unit, context, search),))

    return Operation(f"new search {search.name.strip()}", work)


def edit_search(search: Search) -> Operation:
    """Set all that is told of a search."""

    def work(unit: Unit, context: Context) -> Changes:
        before = unit.read.log.search(search.id)
        after = _search(unit, context, search)
        if after == before:
            return Changes()
        unit.log.update(after)
        mine = [box.id for box in unit.read.log.boxes(search.campaign) if box.search == search.id]
        return Changes(is_log=True, boxes=frozenset(mine))

    return Operation(f"edit search {search.name.strip()}", work)


def delete_search(search_id: SearchId) -> Operation:
    """Take away a search; refused while it has boxes."""

    def work(unit: Unit, _context: Context) -> Changes:
        search = unit.read.log.search(search_id)
        boxes = [one for one in unit.read.log.boxes(search.campaign) if one.search == search_id]
        _require_no_boxes(f"the search “{search.name}”", boxes)
        unit.log.delete(Search, [search_id])
        unit.about = search.name
        return Changes(is_log=True)

    return Operation("delete a search", work)


def _require_no_boxes(of: str, boxes: Sequence[Box]) -> None:
    if boxes:
        named = ", ".join(str(one.number) for one in boxes[:5])
        more = "" if len(boxes) <= 5 else f" and {len(boxes) - 5} more"
        word = "box" if len(boxes) == 1 else "boxes"
        raise Refused(f"Delete {word} {named}{more} of {of} first.")


def _campaign(unit: Unit, campaign: Campaign) -> Campaign:
    one = replace(campaign, name=tidy(campaign.name), note=campaign.note.strip())
    require_campaign(one)
    if one.album is not None:
        unit.read.album(one.album)
    for other in unit.read.log.campaigns():
        if other.id != one.id and other.name.casefold() == one.name.casefold():
            raise Refused(f"There is a campaign called {other.name} already; choose another name.")
    return one


def _put_campaign(unit: Unit, campaign: Campaign) -> int:
    return unit.log.add(_campaign(unit, replace(campaign, id=CampaignId(0))))


def _search(unit: Unit, context: Context, search: Search) -> Search:
    one = replace(search, name=tidy(search.name), series=tuple(dict.fromkeys(search.series)))
    require_search(one)
    unit.read.log.campaign(one.campaign)
    for code in one.series:
        context.series.get(code)
    return one


def _put_search(unit: Unit, context: Context, search: Search) -> int:
    return unit.log.add(_search(unit, context, search))


# ---- boxes


def add_box(box: Box, search: Search | None = None, campaign: Campaign | None = None) -> Operation:
    """Begin a box; number 0 takes the campaign's next one. Its id is ignored.

    A `search`, and a `campaign` too, are begun with it in the same entry, whatever ids they name.
    `made_log` ends with the box.
    """

    def work(unit: Unit, context: Context) -> Changes:
        made: list[int] = []
        of = box.search
        if search is not None:
            under = search.campaign
            if campaign is not None:
                under = CampaignId(_put_campaign(unit, campaign))
                made.append(under)
            of = SearchId(_put_search(unit, context, replace(search, campaign=under)))
            made.append(of)
        mine = unit.read.log.search(of).campaign
        number = box.number or next_box_number(unit.read, mine)
        one = _box(unit, replace(box, id=BoxId(0), search=of, number=number))
        made.append(unit.log.add(one))
        unit.about = f"box {number}"
        return Changes(is_log=True, made_log=tuple(made), boxes=frozenset([BoxId(made[-1])]))

    return Operation("new box", work)


def next_box_number(reader: Reader, campaign_id: CampaignId) -> int:
    """The number after the last box of a campaign, or after those before the log."""
    last = max((one.number for one in reader.log.boxes(campaign_id)), default=0)
    return max(last, reader.log.campaign(campaign_id).opening_boxes) + 1


def edit_box(box: Box) -> Operation:
    """Set what is told of a box; the roll in hand, time spent and being done stay as they are.

    Refused where it would have fewer rolls than are opened.
    """

    def work(unit: Unit, _context: Context) -> Changes:
        now = unit.read.log.box(box.id)
        moved = replace(
            box,
            at_roll=now.at_roll,
            reached=now.reached,
            seconds=now.seconds,
            is_done=now.is_done,
        )
        used = max(now.reached, unit.read.log.last_roll(box.id))
        if box.rolls < used:
            raise Refused(
                f"Roll {used} of box {now.number} is opened or has something in it; the box cannot "
                f"have {box.rolls} rolls."
            )
        after = _box(unit, moved)
        if after == now:
            return Changes()
        unit.log.update(after)
        unit.about = f"box {after.number}"
        touched = {box.id, *_later_boxes(unit, after)} if after.rolls != now.rolls else {box.id}
        return Changes(is_log=True, boxes=frozenset(touched))

    return Operation("edit a box", work)


def _later_boxes(unit: Unit, box: Box) -> list[BoxId]:
    """The other boxes of its campaign, where rolls are numbered through all."""
    campaign = unit.read.log.campaign(unit.read.log.search(box.search).campaign)
    return [one.id for one in unit.read.log.boxes(campaign.id)] if campaign.rolls_run_on else []


def _box(unit: Unit, box: Box) -> Box:
    one = replace(
        box,
        denomination=tidy(box.denomination),
        came_from=tidy(box.came_from),
        wrapper=tidy(box.wrapper),
        goes_to=tidy(box.goes_to),
        note=box.note.strip(),
    )
    require_box(one)
    for other in unit.read.log.boxes(unit.read.log.search(one.search).campaign):
        if other.id != one.id and other.number == one.number:
            raise Refused(
                f"There is a box {one.number} of this campaign already; choose another number."
            )
    return one


def delete_box(box_id: BoxId) -> Operation:
    """Take a box out of the log with all that was counted in it; coins kept stay as coins."""

    def work(unit: Unit, _context: Context) -> Changes:
        box = unit.read.log.box(box_id)
        others = _later_boxes(unit, box)
        coins = frozenset(one.coin for one in unit.read.log.finds(box_id))
        unit.log.delete(Box, [box_id])
        unit.about = f"box {box.number}"
        return Changes(is_log=True, boxes=frozenset([box_id, *others]), coins=coins)

    return Operation("delete a box", work)


def add_time(box_id: BoxId, seconds: int) -> Operation:
    """Add to the time spent on a box."""
    return edit_box_row("time spent", box_id, lambda _, box: box, seconds)


def set_time(box_id: BoxId, seconds: int) -> Operation:
    """Correct the time spent on a box."""
    return edit_box_row("set the time spent", box_id, lambda _, box: replace(box, seconds=seconds))


def finish_box(box_id: BoxId, seconds: int = 0) -> Operation:
    """The box is through; refused where it is already. Rolls never reached stay unopened."""

    def edit(_unit: Unit, box: Box) -> Box:
        if box.is_done:
            raise Refused(f"Box {box.number} is finished already.")
        return replace(box, is_done=True)

    return edit_box_row("finish", box_id, edit, seconds)


def reopen_box(box_id: BoxId) -> Operation:
    """Take a finished box up again on the roll where it was left."""

    def edit(_unit: Unit, box: Box) -> Box:
        if not box.is_done:
            raise Refused(f"Box {box.number} is not finished; there is nothing to take up again.")
        return replace(box, is_done=False)

    return edit_box_row("take up again", box_id, edit)
