"""Keeping and counting coins of a box; claims and weighed piles: each returns an Operation.

A find and its coin are one entry of the journal. `seconds` is time spent since it was written last;
it goes into the same entry.
"""

from dataclasses import replace

from core.app.changes import Changes
from core.app.operations import edit_coins
from core.app.order import Context, Operation
from core.app.search_common import (
    require_open,
    require_roll_of,
    roll_of,
    shown_roll,
    spent,
    tidy,
    write_roll,
)
from core.errors import BadEntry, Refused
from core.model.coin import Coin, CoinId, CoinStatus, Origin
from core.model.issue import Description, Facet, SeriesId
from core.model.search import (
    Box,
    BoxId,
    Claim,
    Find,
    Sighting,
    Weighing,
    require_claim,
    require_sighting,
    require_weighing,
)
from core.search.facts import FILLS, UPGRADES
from core.store.unit import Unit

MOST_AT_ONCE = 1_000
"""Coins that can be kept with one entry."""
_OF_ONE_SLOT, _SPARE = (FILLS, UPGRADES), "Spare"


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
    entry. `answer` is the verdict as it was said; of several alike the first fills the slot, and
    the others are spares. `name` is what the history calls the coin. The coin is held, found, and
    came from “box 33”.
    """
    many = coin.quantity if quantity is None else quantity

    def work(unit: Unit, context: Context) -> Changes:
        if not 1 <= many <= MOST_AT_ONCE:
            raise Refused(f"1 to {MOST_AT_ONCE:,} coins can be kept at once, not {many:,}.")
        box = unit.read.log.box(box_id)
        require_open(box)
        at = box.at_roll if roll is None else roll
        require_roll_of(unit, box, at)
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
            said = answer if step == 1 or answer not in _OF_ONE_SLOT else _SPARE
            unit.log.add(Find(0, box_id, at, place + step, number, is_ender, said, now))
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
    roll = roll_of(unit.read, box.id, at)
    if roll.is_skipped:
        write_roll(unit, box, replace(roll, is_skipped=False))
    after = spent(replace(box, reached=max(box.reached, at)), seconds)
    if after != box:
        unit.log.update(after)
    unit.about = f"box {box.number}, roll {shown_roll(unit.read, box, at)}"


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
        require_open(box)
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
        unit.about = (
            f"{_seen_name(one)}, box {box.number}, roll {shown_roll(unit.read, box, one.roll)}"
        )
        return Changes(boxes=frozenset([box.id]))

    return Operation("take out a coin counted", work)


def _require_seen(unit: Unit, context: Context, box: Box, one: Sighting) -> frozenset[Description]:
    """Refuse what cannot be counted; the description, where its series is new to the file."""
    require_sighting(one)
    require_roll_of(unit, box, one.roll)
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
    return replace(one, counter=tidy(one.counter), text=one.text.strip())


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
        require_roll_of(unit, box, after.roll)
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
        at = shown_roll(unit.read, box, find.roll)
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


# ---- claims and weighings


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
