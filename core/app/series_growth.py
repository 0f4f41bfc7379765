"""Albums that follow their series, and how they grow when it gains issues."""

from collections.abc import Sequence
from dataclasses import replace

from core.app.album_edit import hole_of, present_plan
from core.app.views import AlbumView
from core.model.album import AlbumId, Slot, Wish
from core.model.issue import Series
from core.model.plan_album import AlbumPlan, Varieties, free_label, plan_slots, regular_issues
from core.store.unit import Unit


def albums_that_follow(*views: AlbumView) -> tuple[AlbumView, ...]:
    """Those of the albums that grow when their series gains a year.

    They hold every usual slot of their years and mints, and these years end with the series.
    """
    return tuple(
        view for view in views if followed(view.series, [v.slot for v in view.slots]) is not None
    )


def followed(series: Series, slots: Sequence[Slot]) -> AlbumPlan | None:
    """The plan by which an album follows its series, None where it does not."""
    if not slots or any(slot.accepts.series != series.id for slot in slots):
        return None
    plan = present_plan(series, slots)
    issues = regular_issues(series, plan)
    whole = regular_issues(series, AlbumPlan(with_collectors=plan.with_collectors))
    if not issues or (plan.years is not None and plan.years[1] < whole[-1].year):
        return None
    regular = plan_slots(series, replace(plan, varieties=Varieties.NONE))
    there = {hole_of(series, slot) for slot in slots}
    return plan if all(hole_of(series, slot) in there for slot in regular) else None


def grow_albums(unit: Unit, old: Series, new: Series) -> None:
    """Give each album that followed the old series the slots that the new one has besides."""
    for album in unit.read.albums():
        slots = unit.read.slots(album.id)
        plan = followed(old, slots) if album.series == old.id else None
        if plan is not None:
            _grow(unit, slots, grown_slots(old, new, album.id, slots, plan))


def grown_slots(
    old: Series, new: Series, album: AlbumId, slots: Sequence[Slot], plan: AlbumPlan
) -> list[Slot]:
    """An album's slots with those of the series' new issues and varieties, which have id 0.

    Each new one comes after the slot that the plan has before it; none that stands is changed but
    in its position.
    """
    years = None
    if plan.years is not None:
        years = (plan.years[0], max(i.year for i in new.issues))
    grown = plan_slots(new, replace(plan, years=years))
    known = {(slot.accepts, slot.variety) for slot in plan_slots(old, plan)}
    known |= {(slot.accepts, slot.variety) for slot in slots}
    taken = 0
    for slot in slots:
        taken |= new.may_be(slot.accepts) if slot.variety is None else 0
    places = {hole_of(new, slot): at for at, slot in enumerate(slots)}
    labels = {slot.label for slot in slots}
    after: dict[int, list[Slot]] = {}
    place = len(slots) - 1
    for slot in grown:
        place = places.get(hole_of(new, slot), place)
        is_covered = slot.variety is None and slot.wish is Wish.WANTED
        if (slot.accepts, slot.variety) in known:
            continue
        if is_covered and new.may_be(slot.accepts) & taken:
            continue
        label = free_label(slot.label, labels)
        labels.add(label)
        after.setdefault(place, []).append(replace(slot, album=album, label=label))
    out = list(after.get(-1, ()))
    for at, slot in enumerate(slots):
        out += [slot, *after.get(at, ())]
    return [replace(slot, position=at) for at, slot in enumerate(out)]


def _grow(unit: Unit, before: Sequence[Slot], slots: Sequence[Slot]) -> None:
    standing = {slot.id: slot for slot in before}
    unit.add_slots([slot for slot in slots if not slot.id])
    unit.update_slots([slot for slot in slots if slot.id and slot != standing[slot.id]])
