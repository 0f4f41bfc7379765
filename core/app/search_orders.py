"""Everything that changes the search log: each function returns an Operation for `Collection.run`.

A find and its coin are one entry of the journal. `seconds` is time spent since it was written
last; it goes into the same entry. Nothing here is named by more than a box and a roll in history.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace

from core.app.changes import Changes
from core.app.operations import edit_coins
from core.app.order import Context, Operation
from core.errors import BadEntry, Refused
from core.model.coin import Coin, CoinId, CoinStatus, Origin
from core.model.issue import Description, Facet, SeriesId
from core.model.search import (
    Box,
    BoxId,
    Campaign,
    CampaignId,
    Claim,
    Find,
    Roll,
    Search,
    SearchId,
    Sighting,
    Weighing,
    require_box,
    require_campaign,
    require_claim,
    require_roll,
    require_search,
    require_sighting,
    require_weighing,
)
from core.store.read import Reader
from core.store.unit import Unit

MOST_AT_ONCE = 1_000
"""Coins that can be kept with one entry."""

# ---- campaigns and searches ---------------------------------------------------------------------


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
        boxes = (
            unit.read.log.boxes(campaign.id) if after.rolls_run_on != before.rolls_run_on else []
        )
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
    one = replace(campaign, name=_tidy(campaign.name), note=campaign.note.strip())
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
    one = replace(search, name=_tidy(search.name), series=tuple(dict.fromkeys(search.series)))
    require_search(one)
    unit.read.log.campaign(one.campaign)
    for code in one.series:
        context.series.get(code)
    return one


def _put_search(unit: Unit, context: Context, search: Search) -> int:
    return unit.log.add(_search(unit, context, search))


# ---- boxes --------------------------------------------------------------------------------------


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
        denomination=_tidy(box.denomination),
        came_from=_tidy(box.came_from),
        wrapper=_tidy(box.wrapper),
        goes_to=_tidy(box.goes_to),
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


def _edit_box(
    label: str, box_id: BoxId, edit: Callable[[Unit, Box], Box], seconds: int = 0
) -> Operation:
    """Change a box's own row; nothing is written where nothing changes."""

    def work(unit: Unit, _context: Context) -> Changes:
        before = unit.read.log.box(box_id)
        after = _spent(edit(unit, before), seconds)
        if after == before:
            return Changes()
        require_box(after)
        unit.log.update(after)
        at = f", roll {_shown(unit.read, after, after.at_roll)}"
        unit.about = f"box {after.number}" + (at if after.at_roll != before.at_roll else "")
        is_listed = after.is_done != before.is_done
        return Changes(boxes=frozenset([box_id]), is_log=is_listed)

    return Operation(label, work)


def _spent(box: Box, seconds: int) -> Box:
    if seconds < 0:
        raise BadEntry("Time spent cannot be below 0.")
    return replace(box, seconds=box.seconds + seconds) if seconds else box


def add_time(box_id: BoxId, seconds: int) -> Operation:
    """Add to the time spent on a box."""
    return _edit_box("time spent", box_id, lambda _, box: box, seconds)


def set_time(box_id: BoxId, seconds: int) -> Operation:
    """Correct the time spent on a box."""
    return _edit_box("set the time spent", box_id, lambda _, box: replace(box, seconds=seconds))


def finish_box(box_id: BoxId, seconds: int = 0) -> Operation:
    """The box is through; refused where it is already. Rolls never reached stay unopened."""

    def edit(_unit: Unit, box: Box) -> Box:
        if box.is_done:
            raise Refused(f"Box {box.number} is finished already.")
        return replace(box, is_done=True)

    return _edit_box("finish", box_id, edit, seconds)


def reopen_box(box_id: BoxId) -> Operation:
    """Take a finished box up again on the roll where it was left."""

    def edit(_unit: Unit, box: Box) -> Box:
        if not box.is_done:
            raise Refused(f"Box {box.number} is not finished; there is nothing to take up again.")
        return replace(box, is_done=False)

    return _edit_box("take up again", box_id, edit)


def _require_open(box: Box) -> None:
    if box.is_done:
        raise Refused(f"Box {box.number} is finished. Take it up again to add to it.")


# ---- rolls --------------------------------------------------------------------------------------


def next_roll(box_id: BoxId, seconds: int = 0) -> Operation:
    """Open the next roll, past those marked skipped; refused after the last."""

    def edit(unit: Unit, box: Box) -> Box:
        _require_open(box)
        skipped = _skipped(unit.read, box_id)
        ahead = [n for n in range(box.at_roll + 1, box.rolls + 1) if n not in skipped]
        if not ahead:
            raise Refused(
                f"Roll {_shown(unit.read, box, box.at_roll)} is the last of box {box.number}. "
                "Finish the box, or give it more rolls."
            )
        return replace(box, at_roll=ahead[0], reached=max(box.reached, ahead[0]))

    return _edit_box("next roll", box_id, edit, seconds)


def go_to_roll(box_id: BoxId, number: int, seconds: int = 0) -> Operation:
    """Take a roll of the box in hand, counted in the box from 1; rolls before it count as opened.

    One that was marked skipped is skipped no more.
    """

    def work(unit: Unit, context: Context) -> Changes:
        def edit(_unit: Unit, box: Box) -> Box:
            return replace(box, at_roll=number, reached=max(box.reached, number))

        box = unit.read.log.box(box_id)
        _require_open(box)
        _require_roll_of(unit, box, number)
        done = _edit_box("go to a roll", box_id, edit, seconds).work(unit, context)
        if number in _skipped(unit.read, box_id):
            _write_roll(unit, box, number, is_skipped=False)
            done = Changes(boxes=frozenset([box_id]))
        return done

    return Operation("go to a roll", work)


def back_roll(box_id: BoxId, seconds: int = 0) -> Operation:
    """Back to the roll before, past those marked skipped; refused at the first.

    The furthest roll counts as opened no more if nothing is in it.
    """

    def edit(unit: Unit, box: Box) -> Box:
        _require_open(box)
        skipped = _skipped(unit.read, box_id)
        behind = [n for n in range(1, box.at_roll) if n not in skipped]
        if not behind:
            raise Refused(
                f"Roll {_shown(unit.read, box, box.at_roll)} is the first of box {box.number}."
            )
        is_slip = box.at_roll == box.reached and not _holds(unit.read, box_id, box.at_roll)
        return replace(box, at_roll=behind[-1], reached=behind[-1] if is_slip else box.reached)

    return _edit_box("back a roll", box_id, edit, seconds)


def skip_roll(box_id: BoxId, number: int, is_skipped: bool = True) -> Operation:
    """Mark a roll as not searched, or take the mark off; refused where something lies in it.

    The roll in hand gives way to the next one, if there is one.
    """

    def work(unit: Unit, _context: Context) -> Changes:
        box = unit.read.log.box(box_id)
        _require_open(box)
        _require_roll_of(unit, box, number)
        shown = _shown(unit.read, box, number)
        if is_skipped and _holds(unit.read, box_id, number):
            raise Refused(
                f"Something was kept or counted in roll {shown} of box {box.number}; take it out "
                "first, or leave the roll as opened."
            )
        if (number in _skipped(unit.read, box_id)) == is_skipped:
            return Changes()
        _write_roll(unit, box, number, is_skipped=is_skipped)
        if is_skipped and number == box.at_roll:
            skipped = _skipped(unit.read, box_id)
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
        _require_roll_of(unit, box, number)
        told = None if coins == box.per_roll else coins
        now = next((r.coins for r in unit.read.log.rolls(box_id) if r.number == number), None)
        if now == told:
            return Changes()
        _write_roll(unit, box, number, coins=told)
        unit.about = f"box {box.number}, roll {_shown(unit.read, box, number)}"
        return Changes(boxes=frozenset([box_id]))

    return Operation("count the coins of a roll", work)


def _write_roll(
    unit: Unit,
    box: Box,
    number: int,
    is_skipped: bool | None = None,
    coins: int | str | None = "as it is",
) -> None:
    """Keep what is different of a roll, or drop its row where nothing is."""
    there = next((r for r in unit.read.log.rolls(box.id) if r.number == number), None)
    before = there or Roll(0, box.id, number)
    after = replace(
        before,
        is_skipped=before.is_skipped if is_skipped is None else is_skipped,
        coins=before.coins if isinstance(coins, str) else coins,
    )
    require_roll(after, box)
    if after.coins is None and not after.is_skipped:
        if there is not None:
            unit.log.delete(Roll, [there.id])
    elif there is None:
        unit.log.add(after)
    else:
        unit.log.update(after)


def _require_roll_of(unit: Unit, box: Box, number: int) -> None:
    if not 1 <= number <= box.rolls:
        first, last = (_shown(unit.read, box, n) for n in (1, box.rolls))
        raise Refused(
            f"Box {box.number} has the rolls {first} to {last}; there is no roll "
            f"{_shown(unit.read, box, number)}."
        )


def _skipped(reader: Reader, box_id: BoxId) -> frozenset[int]:
    return frozenset(r.number for r in reader.log.rolls(box_id) if r.is_skipped)


def _holds(reader: Reader, box_id: BoxId, number: int) -> bool:
    finds, seen = reader.log.finds(box_id), reader.log.sightings(box_id)
    return any(one.roll == number for one in finds) or any(one.roll == number for one in seen)


def rolls_before(reader: Reader, box: Box) -> int:
    """How many rolls lie before a box where its campaign numbers them through, else 0."""
    campaign = reader.log.campaign(reader.log.search(box.search).campaign)
    if not campaign.rolls_run_on:
        return 0
    mine = (box.number, box.id)
    return sum(o.rolls for o in reader.log.boxes(campaign.id) if (o.number, o.id) < mine)


def _shown(reader: Reader, box: Box, roll: int) -> int:
    """A roll's number as its collector counts it."""
    return roll + rolls_before(reader, box)


# ---- finds and sightings ------------------------------------------------------------------------


def keep_find(
    box_id: BoxId,
    coin: Coin,
    quantity: int | None = None,
    is_ender: bool = False,
    answer: str = "",
    name: str = "",
    roll: int | None = None,
    seconds: int = 0,
) -> Operation:
    """Keep a coin from the roll in hand (or from `roll`): it is in the collection at once.

    Several alike (`quantity`, the coin's own unless given) become as many coins and finds, in one
    entry. `answer` is the verdict as it was said, `name` what the history calls the coin. The coin
    is held, found, and came from “box 33”.
    """
    many = coin.quantity if quantity is None else quantity

    def work(unit: Unit, context: Context) -> Changes:
        if not 1 <= many <= MOST_AT_ONCE:
            raise Refused(f"1 to {MOST_AT_ONCE:,} coins can be kept at once, not {many:,}.")
        box = unit.read.log.box(box_id)
        _require_open(box)
        at = box.at_roll if roll is None else roll
        _require_roll_of(unit, box, at)
        context.series.require(unit, coin.description.series).require(coin.description)
        kept = replace(
            coin,
            status=CoinStatus.HELD,
            quantity=1,
            origin=Origin.FOUND,
            came_from=f"box {box.number}",
            acquired=coin.acquired or context.today,
        )
        made = unit.add_coins([kept] * many)
        place = unit.read.log.last_place(box_id)
        now = context.now.replace(microsecond=0)
        for step, number in enumerate(made, start=1):
            unit.log.add(Find(0, box_id, at, place + step, number, is_ender, answer, now))
        _entered(unit, box, at, seconds)
        return Changes(
            coins=frozenset(made),
            descriptions=frozenset([coin.description]),
            made_coins=tuple(made),
            boxes=frozenset([box_id]),
        )

    times = f"{many} x " if many > 1 else ""
    return Operation(f"keep {times}{name or plain_name(coin.description)}", work)


def _entered(unit: Unit, box: Box, at: int, seconds: int) -> None:
    """Something lies in a roll: it is opened, and not skipped; time goes with it."""
    if at in _skipped(unit.read, box.id):
        _write_roll(unit, box, at, is_skipped=False)
    after = _spent(replace(box, reached=max(box.reached, at)), seconds)
    if after != box:
        unit.log.update(after)
    unit.about = f"box {box.number}, roll {_shown(unit.read, box, at)}"


def plain_name(description: Description) -> str:
    """A coin's date and letter without asking its series: 1943-D; a coin, where that is open."""
    date, mint = description.only(Facet.DATE), description.only(Facet.MINT)
    if date is None:
        return "a coin"
    return f"{date}-{mint}" if mint and mint != "P" else date


def count_seen(box_id: BoxId, sighting: Sighting, name: str = "", seconds: int = 0) -> Operation:
    """Count a coin that is not kept, in the roll in hand (or in `sighting.roll`, if above 0)."""

    def work(unit: Unit, context: Context) -> Changes:
        box = unit.read.log.box(box_id)
        _require_open(box)
        at = sighting.roll or box.at_roll
        one = replace(
            sighting,
            id=0,
            box=box_id,
            roll=at,
            place=unit.read.log.last_place(box_id) + 1,
            at=context.now.replace(microsecond=0),
        )
        new = _require_seen(unit, context, box, one)
        made = unit.log.add(_tidy_seen(one))
        _entered(unit, box, at, seconds)
        return Changes(boxes=frozenset([box_id]), descriptions=new, made_log=(made,))

    times = f"{sighting.quantity} x " if sighting.quantity > 1 else ""
    return Operation(f"count {times}{name or _seen_name(sighting)}", work)


def edit_sighting(sighting: Sighting) -> Operation:
    """Set all that is told of a coin that was counted; its box and order stay."""

    def work(unit: Unit, context: Context) -> Changes:
        before = unit.read.log.sighting(sighting.id)
        box = unit.read.log.box(before.box)
        after = _tidy_seen(replace(sighting, box=before.box, place=before.place, at=before.at))
        if after == before:
            return Changes()
        new = _require_seen(unit, context, box, after)
        unit.log.update(after)
        _entered(unit, box, after.roll, 0)
        return Changes(boxes=frozenset([box.id]), descriptions=new)

    return Operation(f"edit {_seen_name(sighting)} counted", work)


def remove_sighting(number: int) -> Operation:
    """Take a counted coin out of its box."""

    def work(unit: Unit, _context: Context) -> Changes:
        one = unit.read.log.sighting(number)
        box = unit.read.log.box(one.box)
        unit.log.delete(Sighting, [number])
        unit.about = f"{_seen_name(one)}, box {box.number}, roll {_shown(unit.read, box, one.roll)}"
        return Changes(boxes=frozenset([box.id]))

    return Operation("take out a coin counted", work)


def _require_seen(unit: Unit, context: Context, box: Box, one: Sighting) -> frozenset[Description]:
    """Refuse what cannot be counted; the description, where its series is new to the file."""
    require_sighting(one)
    _require_roll_of(unit, box, one.roll)
    if one.description is None:
        return frozenset()
    code = one.description.series
    is_new = context.series.texts(code) is None
    series = context.series.require(unit, code)
    series.require(one.description)
    if one.variety is not None and series.variety(one.variety) is None:
        raise BadEntry(f"{series.title} have no variety “{one.variety}”.")
    return frozenset([one.description]) if is_new else frozenset()


def _tidy_seen(one: Sighting) -> Sighting:
    return replace(one, counter=_tidy(one.counter), text=one.text.strip())


def _seen_name(one: Sighting) -> str:
    return one.counter if one.description is None else plain_name(one.description)


def edit_find(find: Find, coin: Coin | None = None) -> Operation:
    """Set roll, ender and answer of a find, and all that is known of its coin, in one entry.

    Its box and order stay. `find.coin` may name another coin, as when it went into a lot.
    """

    def work(unit: Unit, context: Context) -> Changes:
        before = unit.read.log.find(find.id)
        box = unit.read.log.box(before.box)
        after = replace(find, box=before.box, place=before.place, at=before.at)
        _require_roll_of(unit, box, after.roll)
        unit.read.coin(after.coin)
        done = Changes()
        if coin is not None:
            if coin.id != after.coin:
                raise BadEntry(f"Coin {coin.id} is not the coin of this find, {after.coin}.")
            if coin != unit.read.coin(coin.id):
                done = edit_coins([coin]).work(unit, context)
        if after != before:
            unit.log.update(after)
        elif done.is_nothing:
            return done
        _entered(unit, box, after.roll, 0)
        touched = done.coins | {before.coin, after.coin}
        return replace(done, boxes=frozenset([box.id]), coins=frozenset(touched))

    return Operation("edit a find", work)


def mark_ender(number: int, is_ender: bool = True) -> Operation:
    """A find was seen at its roll's end, or was not."""

    def work(unit: Unit, context: Context) -> Changes:
        find = replace(unit.read.log.find(number), is_ender=is_ender)
        return edit_find(find).work(unit, context)

    return Operation("mark an ender" if is_ender else "no longer an ender", work)


def remove_find(number: int) -> Operation:
    """Take a find out of its box; its coin goes with it.

    Refused where the coin sits or sat in an album, or is on order for a slot; of a lot one goes.
    """

    def work(unit: Unit, _context: Context) -> Changes:
        find = unit.read.log.find(number)
        box = unit.read.log.box(find.box)
        coin = unit.read.coin(find.coin)
        _require_never_placed(unit, coin.id)
        unit.log.delete(Find, [number])
        if coin.is_lot:
            unit.update_coins([replace(coin, quantity=coin.quantity - 1)])
        elif not unit.read.log.finds_of_coins([coin.id]):
            unit.delete_coins([coin.id])
        at = _shown(unit.read, box, find.roll)
        unit.about = f"{plain_name(coin.description)}, box {box.number}, roll {at}"
        return Changes(
            coins=frozenset([coin.id]),
            descriptions=frozenset([coin.description]),
            boxes=frozenset([box.id]),
        )

    return Operation("take out a find", work)


def _require_never_placed(unit: Unit, coin: CoinId) -> None:
    stays = unit.read.placements_of_coin(coin)
    if not stays:
        return
    slot = unit.read.slot(stays[0].slot)
    where = f"slot {slot.label} of {unit.read.album(slot.album).name}"
    if stays[0].until is None:
        raise Refused(
            f"Coin {coin} sits in {where}. Take it out of the album first, or let it go there."
        )
    raise Refused(
        f"Coin {coin} sat in {where}, which the album's past shows. Let go of the coin instead."
    )


# ---- claims and weighings -----------------------------------------------------------------------


def claim(
    box_id: BoxId,
    series: SeriesId,
    from_: int | None = None,
    up_to: int | None = None,
    text: str = "",
) -> Operation:
    """Declare that in this box every coin of a series dated so is logged."""

    def work(unit: Unit, context: Context) -> Changes:
        box = unit.read.log.box(box_id)
        made = unit.log.add(_claim(context, Claim(0, box_id, series, from_, up_to, text)))
        unit.about = f"box {box.number}"
        return Changes(boxes=frozenset([box_id]), made_log=(made,))

    return Operation("fully logged", work)


def edit_claim(one: Claim) -> Operation:
    """Set all that a claim says."""

    def work(unit: Unit, context: Context) -> Changes:
        box = unit.read.log.box(one.box)
        before = next((c for c in unit.read.log.claims(box.id) if c.id == one.id), None)
        after = _claim(context, one)
        if after == before:
            return Changes()
        unit.log.update(after)
        unit.about = f"box {box.number}"
        return Changes(boxes=frozenset([box.id]))

    return Operation("edit what is fully logged", work)


def delete_claim(one: Claim) -> Operation:
    """Declare it no longer."""

    def work(unit: Unit, _context: Context) -> Changes:
        unit.log.delete(Claim, [one.id])
        unit.about = f"box {unit.read.log.box(one.box).number}"
        return Changes(boxes=frozenset([one.box]))

    return Operation("no longer fully logged", work)


def _claim(context: Context, one: Claim) -> Claim:
    require_claim(one)
    context.series.get(one.series)
    return replace(one, text=one.text.strip())


def add_weighing(weighing: Weighing) -> Operation:
    """Keep what a weighed pile made; its id and time are set here."""

    def work(unit: Unit, context: Context) -> Changes:
        box = unit.read.log.box(weighing.box)
        require_weighing(weighing)
        context.series.get(weighing.of)
        made = unit.log.add(replace(weighing, at=context.now.replace(microsecond=0)))
        unit.about = f"{weighing.coins} coins, box {box.number}"
        return Changes(boxes=frozenset([box.id]), made_log=(made,))

    return Operation("weigh a pile", work)


def delete_weighing(weighing: Weighing) -> Operation:
    """Forget a weighed pile."""

    def work(unit: Unit, _context: Context) -> Changes:
        unit.log.delete(Weighing, [weighing.id])
        unit.about = f"box {unit.read.log.box(weighing.box).number}"
        return Changes(boxes=frozenset([weighing.box]))

    return Operation("forget a weighed pile", work)


def _tidy(text: str) -> str:
    return " ".join(text.split())
