"""Albums across series: made, and read off their slots."""

import re
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from core.app.changes import Changes
from core.app.order import Context, Operation, free_name
from core.app.volumes import gather
from core.errors import Refused
from core.model.album import Album, AlbumId, AlbumKind, Slot, Target
from core.model.arrangement import Arrangement, ShowP
from core.model.issue import Description, Series, SeriesId, VarietyId
from core.model.label import slot_name
from core.model.plan_across import (
    AcrossPlan,
    is_type_slot,
    label_across,
    likely_plans,
    plan_across,
    short_names,
    usual_shape,
)
from core.model.plan_album import free_label
from core.store.unit import Unit

HoleAcross = tuple[SeriesId, int, VarietyId | None]
"""What makes a slot the same hole: its series, the issues it takes, as a mask, its variety."""


def add_album_across(
    name: str,
    plan: AcrossPlan,
    arrangement: Arrangement | None = None,
    kind: AlbumKind = AlbumKind.HOLDER,
    volumes: str = "",
) -> Operation:
    """A new type album or year set at the bottom of the shelf; its series are copied in."""

    def work(unit: Unit, context: Context) -> Changes:
        known = [context.series.get(code) for code in plan.series]
        title, slots = free_name(unit, name), plan_across(known, plan)
        codes = list(dict.fromkeys(slot.accepts.series for slot in slots))
        for code in codes:
            context.series.require(unit, code)
        shape = usual_shape(plan) if arrangement is None else arrangement
        shelf = len(unit.read.albums())
        made = unit.add_album(
            Album(AlbumId(0), title, codes[0], shelf, kind, shape, volumes=volumes.strip())
        )
        slots = with_letters(context.series.get, slots, plan.show_p, shape.show_p)
        unit.add_slots([replace(slot, album=made) for slot in slots])
        moved = gather(unit, [made]) if volumes.strip() else frozenset()
        return Changes(albums=moved | {made}, is_shelf=True, is_reshaped=True, made_album=made)

    return Operation(f"new album {name.strip()}", work)


def hole_across(known: Mapping[SeriesId, Series], slot: Slot) -> HoleAcross:
    """What makes the slot the same hole."""
    series = known[slot.accepts.series]
    return series.id, series.may_be(slot.accepts), slot.variety


def present_across(
    known: Mapping[SeriesId, Series], slots: Sequence[Slot], target: Target | None = None
) -> AcrossPlan | None:
    """The plan across series that gives these slots or comes nearest; None for one series' album.

    `known` are the series of the slots; `target` the album's usual one.
    """
    here = Counter(hole_across(known, slot) for slot in slots)
    best, least = None, -1
    for plan in likely_plans(known, slots):
        try:
            planned = plan_across(list(known.values()), plan)
        except Refused:  # none of it went to banks
            continue
        there = Counter(hole_across(known, slot) for slot in planned)
        off = (there - here).total() + (here - there).total()
        if least < 0 or off < least:
            best, least = plan, off
    return None if best is None else replace(best, target=target)


def usual_label(
    series_of: Callable[[SeriesId], Series],
    slots: Sequence[Slot],
    accepts: Description,
    variety: VarietyId | None,
    show_p: ShowP,
) -> str:
    """What a slot is called by itself among the other slots of its album."""
    codes = dict.fromkeys([*(slot.accepts.series for slot in slots), accepts.series])
    name = _names([series_of(code) for code in codes]).get(accepts.series, "")
    label = _label(series_of(accepts.series), accepts, name, variety, show_p)
    is_taken = is_type_slot(accepts) and label in {slot.label for slot in slots}
    return f"{label}, {name}" if is_taken and name else label


def _names(known: Sequence[Series]) -> Mapping[SeriesId, str]:
    """What the series of an album across series are called in labels; none of one alone."""
    return short_names(known) if len(known) > 1 else {}


def _label(
    series: Series, accepts: Description, name: str, variety: VarietyId | None, show_p: ShowP
) -> str:
    if name or is_type_slot(accepts):
        return label_across(series, accepts, name, variety, show_p)
    known = series.variety(variety) if variety else None
    return slot_name(series, accepts, known.name if known else "", show_p)


_COUNTED = re.compile(r"( \(\d+\))?")


def with_letters(
    series_of: Callable[[SeriesId], Series], slots: Sequence[Slot], before: ShowP, after: ShowP
) -> list[Slot]:
    """An album's slots as they are called where Philadelphia's P is shown otherwise.

    Labels of one's own stay, and so does a label that is not the usual one `before`.
    """
    if before is after:
        return list(slots)
    codes = dict.fromkeys(slot.accepts.series for slot in slots)
    names = _names([series_of(code) for code in codes])
    wanted: dict[int, str] = {}
    for at, slot in enumerate(slots):
        what = slot.accepts.series, slot.accepts, slot.variety
        was, label = (
            _label(series_of(what[0]), what[1], names.get(what[0], ""), what[2], show_p)
            for show_p in (before, after)
        )
        is_usual = slot.label.startswith(was) and _COUNTED.fullmatch(slot.label[len(was) :])
        if was != label and is_usual and not slot.has_own_label:
            wanted[at] = label
    taken = {slot.label for at, slot in enumerate(slots) if at not in wanted}
    out = list(slots)
    for at, label in wanted.items():
        out[at] = replace(slots[at], label=free_label(label, taken))
        taken.add(out[at].label)
    return out
