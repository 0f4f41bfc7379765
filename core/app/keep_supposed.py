"""What was supposed under *What if*, kept in the albums by one order: undo takes back the whole."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from core.app.across import usual_label
from core.app.changes import Changes
from core.app.operations import set_target, set_wish
from core.app.order import Context, Operation
from core.app.supposed import Kept
from core.errors import Refused
from core.model.album import AlbumId, Slot, SlotId, Wish
from core.model.issue import VarietyId
from core.model.plan_album import free_label
from core.store.unit import Unit


def keep_supposed(kept: Kept) -> Operation:
    """Set the targets, skip the slots and add those of varieties; all or nothing.

    Raises Refused where nothing would change, NotFound for a slot that is gone.
    """
    if kept.is_nothing:
        raise Refused("Nothing that is supposed would change the albums.")

    def work(unit: Unit, context: Context) -> Changes:
        orders = [set_target(slots, target) for target, slots in kept.targets]
        if kept.skipped:
            orders.append(set_wish(kept.skipped, Wish.SKIPPED))
        by_album: dict[AlbumId, dict[SlotId, list[VarietyId]]] = {}
        for album, beside, variety in kept.varieties:
            by_album.setdefault(album, {}).setdefault(beside, []).append(variety)
        added = [_add_varieties(unit, context, album, its) for album, its in by_album.items()]
        done = [*added, *(order.work(unit, context) for order in orders)]
        return Changes(
            albums=frozenset(album for one in done for album in one.albums),
            slots=frozenset(slot for one in done for slot in one.slots),
            is_shelf=bool(added),
            is_reshaped=bool(added),
        )

    return Operation("keep what was supposed", work)


def _add_varieties(
    unit: Unit,
    context: Context,
    album_id: AlbumId,
    varieties: Mapping[SlotId, Sequence[VarietyId]],
) -> Changes:
    """A slot for each variety behind the slot that it belongs to."""
    album, here = unit.read.album(album_id), unit.read.slots(album_id)
    labels = {slot.label for slot in here}
    by_id = {slot.id: slot for slot in here}
    has = {(slot.accepts.series, slot.variety) for slot in here}
    for number, its in varieties.items():
        beside = by_id.get(number) or unit.read.slot(number)
        series = context.series.require(unit, beside.accepts.series)
        known = {variety.id for variety in series.varieties}
        if beside.album != album_id or not known.issuperset(its):
            what = f"Slot {beside.label} is no longer as it was supposed"
            raise Refused(f"{what}; nothing was changed. Suppose it again.")
        if any((series.id, variety) in has for variety in its):
            raise Refused(
                f"{album.name} has a slot for such a variety beside {beside.label} by now; nothing "
                "was changed. Suppose it again."
            )
    moved: list[Slot] = []
    new: list[Slot] = []
    for slot in here:
        at = slot.position + len(new)
        if new:
            moved.append(replace(slot, position=at))
        for variety in varieties.get(slot.id, ()):
            at += 1
            show_p = album.arrangement.show_p
            usual = usual_label(context.series.get, here, slot.accepts, variety, show_p)
            label = free_label(usual, labels)
            labels.add(label)
            new.append(
                Slot(SlotId(0), album_id, at, label, slot.accepts, variety, slot.wish, slot.target)
            )
    unit.update_slots(moved)
    made = unit.add_slots(new)
    touched = frozenset([*made, *(slot.id for slot in moved)])
    return Changes(albums=frozenset([album_id]), slots=touched)
