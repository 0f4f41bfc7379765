"""Designing an album on its leaf: what moves, comes or goes there, and shapes kept under a name.

Coins keep their slots through all of it; a slot with a coin goes only where that was agreed to.
"""

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from core.app.across import usual_label
from core.app.album_edit import (
    EditChoice,
    FallingOut,
    edit_album,
    hole_of,
    out_of_slots,
    present_choice,
    require_agreed,
    require_none_waiting,
)
from core.app.album_view import shown_order
from core.app.changes import Changes
from core.app.operations import rearrange_album
from core.app.order import Context, Operation, changes_of, known_slots
from core.app.views import AlbumView
from core.app.volumes import put_first_series
from core.arrange.row_map import Misfit, in_turn, map_of, misfit
from core.errors import BadEntry, NotFound, Refused
from core.model.album import Album, AlbumId, AlbumKind, Slot, SlotId, Wish
from core.model.arrangement import (
    MOST_CELLS,
    NO_LEAD,
    Arrangement,
    ArrangementKind,
    Lead,
    Order,
)
from core.model.coin import CoinId
from core.model.issue import Description, Facet, Issue, Series, VarietyId
from core.model.plan_album import ANY_MINT, AlbumPlan, Varieties, free_label, plan_slots
from core.store.unit import Unit

MOST_LABEL = 60


@dataclass(frozen=True, slots=True)
class ExtraSlot:
    """A slot to be added by hand; `label` "" for the usual one."""

    accepts: Description
    label: str = ""
    variety: VarietyId | None = None
    wish: Wish = Wish.OPTIONAL


class Likeness(StrEnum):
    """What slots may share with a slot, to be chosen together."""

    ROW = "row"
    LEAF = "leaf"
    DECADE = "decade"
    MINT = "mint"
    DESIGN = "design"
    ALL = "all"


# ---- order and gaps ---------------------------------------------------------------------------


def move_slots(album_id: AlbumId, slots: Sequence[SlotId], before: SlotId | None) -> Operation:
    """Let slots stand, in this order, before another one or (None) at the end.

    What was shown is what is moved in: the album's order becomes "as listed". Raises NotFound.
    """

    def work(unit: Unit, context: Context) -> Changes:
        album = unit.read.album(album_id)
        listed = _shown_ids(unit, context, album)
        there = set(listed)
        moved = [_require_in(there, slot) for slot in dict.fromkeys(slots)]
        moving = set(moved)
        if before in moving:
            return Changes(albums=frozenset([album_id]))
        rest = [slot for slot in listed if slot not in moving]
        at = len(rest) if before is None else rest.index(_require_in(there, before))
        shape = replace(album.arrangement, order=Order.AS_LISTED)
        if shape != album.arrangement:
            unit.update_album(replace(album, arrangement=shape))
        return _relisted(unit, album_id, [*rest[:at], *moved, *rest[at:]])

    many = "a slot" if len(slots) == 1 else f"{len(slots)} slots"
    return Operation(f"move {many}", work, is_named=True)


def _shown_ids(unit: Unit, context: Context, album: Album) -> list[SlotId]:
    """An album's slots in the order in which they are laid out; as listed, they need no reading."""
    if album.arrangement.order is Order.AS_LISTED:
        return unit.read.slot_ids(album.id)
    here = unit.read.slots(album.id)
    return [here[at].id for at in shown_order(context.series.get, here, album.arrangement)]


def _require_in(there: Collection[SlotId], slot: SlotId) -> SlotId:
    if slot not in there:
        raise NotFound(f"There is no slot number {slot} in this album. Look again what is there.")
    return slot


def _in_album(slots: Mapping[SlotId, Slot], slot: SlotId) -> Slot:
    return slots[_require_in(slots, slot)]


def _relisted(unit: Unit, album_id: AlbumId, listed: Sequence[SlotId]) -> Changes:
    """Number the positions anew; writes the slots that stand elsewhere now."""
    moved = frozenset(unit.reorder_slots(album_id, listed))
    return Changes(albums=frozenset([album_id]), slots=moved, is_reshaped=True)


def set_leads(album_id: AlbumId, leads: Mapping[SlotId, Lead]) -> Operation:
    """Put spacers, a row break or a leaf break before slots.

    Raises NotFound, and BadEntry for more spacers than a row has places.
    """

    def work(unit: Unit, _context: Context) -> Changes:
        most = max((lead.spacers for lead in leads.values()), default=0)
        if most > MOST_CELLS:
            raise BadEntry(f"{most} spacers before a slot are too many; put at most {MOST_CELLS}.")
        slots = known_slots(unit, list(leads))
        changed = [replace(s, lead=leads[s.id]) for s in slots if s.lead != leads[s.id]]
        unit.update_slots(changed)
        return Changes(
            albums=frozenset([album_id]),
            slots=frozenset(slot.id for slot in changed),
            is_reshaped=True,
        )

    return Operation("space the slots", work, is_named=True)


def portable(view: AlbumView) -> Arrangement:
    """The album's arrangement as other albums may use it.

    What stands before slots by hand is theirs alone, so a shape with such gaps becomes the row map
    that gives it. A matrix, which has none but breaks of its leaves, is as it is, and so is a map,
    in which they are not used.
    """
    shape = view.album.arrangement
    has_leads = any(shown.slot.lead != NO_LEAD for shown in view.slots)
    is_map = shape.kind is ArrangementKind.ROW_MAP
    if shape.kind.is_matrix or is_map or not has_leads:
        return shape
    return replace(as_map(view), order=shape.order)


def as_map(view: AlbumView) -> Arrangement:
    """The row map that gives the album's present shape, its order left as it is."""
    shape = view.album.arrangement
    is_down = shape.is_down and not shape.kind.is_matrix
    return replace(
        shape, kind=ArrangementKind.ROW_MAP, row_map=map_of(view.leaves), is_down=is_down
    )


def take_as_map(view: AlbumView) -> Operation:
    """Give the album the row map of its present shape; every slot stays where it is seen.

    A map is filled row by row. Where the leaves show their slots in another order, as a matrix or
    blocks abreast do, the slots are listed as they are seen.
    """
    shape = as_map(view)
    seen = [
        view.slots[at].slot.id
        for leaf in view.leaves
        for at in in_turn(leaf, is_down=shape.is_down)
    ]
    turn = shown_order(lambda code: view.others.get(code, view.series), *_listed(view))
    if seen == [view.slots[at].slot.id for at in turn]:
        return rearrange_album(view.album.id, shape)
    album_id, listed_shape = view.album.id, replace(shape, order=Order.AS_LISTED)

    def work(unit: Unit, _context: Context) -> Changes:
        album, here = unit.read.album(album_id), unit.read.slot_ids(album_id)
        listed = [_require_in(here, slot) for slot in seen]
        unit.update_album(replace(album, arrangement=listed_shape))
        there = set(seen)
        return _relisted(unit, album_id, [*listed, *(s for s in here if s not in there)])

    return Operation("arrange the album", work)


# ---- slots come, go, are called otherwise -----------------------------------------------------


def add_slot(album_id: AlbumId, extra: ExtraSlot, after: SlotId | None) -> Operation:
    """Add a slot after another one, or (None) at the end.

    Refused where no issue is meant by it, or its label is taken.
    """

    def work(unit: Unit, context: Context) -> Changes:
        album, here = unit.read.album(album_id), unit.read.slots(album_id)
        series = context.series.require(unit, extra.accepts.series)
        if not series.may_be(extra.accepts):
            raise Refused(f"{series.title}: no issue is like that, so the slot could take no coin.")
        own = _checked_label(extra.label, here)
        show_p = album.arrangement.show_p
        usual = usual_label(context.series.get, here, extra.accepts, extra.variety, show_p)
        label = own or free_label(usual, {slot.label for slot in here})
        at = len(here)
        if after is not None:
            at = here.index(_in_album({slot.id: slot for slot in here}, after)) + 1
        last = max((slot.position for slot in here), default=-1) + 1
        new = Slot(SlotId(0), album.id, last, label, extra.accepts, extra.variety, extra.wish)
        made = unit.add_slots([replace(new, has_own_label=bool(own))])
        order = [slot.id for slot in here]
        moved = unit.reorder_slots(album_id, [*order[:at], *made, *order[at:]])
        touched = frozenset([*made, *moved])
        return Changes(albums=frozenset([album_id]), slots=touched, is_shelf=True, is_reshaped=True)

    return Operation("add a slot", work)


def _checked_label(text: str, slots: Sequence[Slot]) -> str:
    """A label tidied, "" where none was written; refused where one of the slots has it."""
    label = " ".join(text.split())
    if len(label) > MOST_LABEL:
        raise BadEntry(f"A label has at most {MOST_LABEL} letters; this one has {len(label)}.")
    for slot in slots:
        if label and slot.label.casefold() == label.casefold():
            raise Refused(f"There is a slot {slot.label} in this album already; write another.")
    return label


def relabel_slot(slot_id: SlotId, label: str) -> Operation:
    """Call a slot otherwise; "" gives its usual label back. Refused where another has it."""

    def work(unit: Unit, context: Context) -> Changes:
        slot = unit.read.slot(slot_id)
        here = [other for other in unit.read.slots(slot.album) if other.id != slot_id]
        own = _checked_label(label, here)
        new = replace(slot, label=own, has_own_label=True)
        if not own:
            show_p = unit.read.album(slot.album).arrangement.show_p
            known = context.series.get
            usual = usual_label(known, here, slot.accepts, slot.variety, show_p)
            label_now = free_label(usual, {other.label for other in here})
            new = replace(slot, label=label_now, has_own_label=False)
        if new != slot:
            unit.update_slots([new])
        return Changes(albums=frozenset([slot.album]), slots=frozenset([slot_id]), is_reshaped=True)

    return Operation("label a slot", work, is_named=True)


def falling_out(view: AlbumView, slots: Collection[SlotId]) -> tuple[FallingOut, ...]:
    """The coins that would become spares if these slots went."""
    if view.album.kind is AlbumKind.OVERVIEW:
        return ()
    coins = {s: c for s in slots if (c := view.by_id[s].coin) is not None}
    return out_of_slots([view.by_id[s].slot for s in slots], coins)


def take_out_slots(
    album_id: AlbumId, slots: Sequence[SlotId], may_fall_out: Collection[CoinId] = ()
) -> Operation:
    """Take slots out of an album; coins that were agreed to become spares.

    Refused where a coin would fall out that is not named, a coin is on order for such a slot, or no
    slot would be left.
    """

    def work(unit: Unit, _context: Context) -> Changes:
        album, here = unit.read.album(album_id), unit.read.slots(album_id)
        by_id = {slot.id: slot for slot in here}
        going = [_in_album(by_id, slot) for slot in dict.fromkeys(slots)]
        gone = {slot.id for slot in going}
        if len(gone) == len(here):
            raise Refused(
                f"No slot would be left in {album.name}; delete the album, or leave a slot."
            )
        is_holder = album.kind is AlbumKind.HOLDER
        coins = unit.read.coins_in_album(album_id) if is_holder else {}
        waiting = unit.read.reserved_in_album(album_id)
        require_none_waiting(album, [slot for slot in going if slot.id in waiting])
        falling = out_of_slots(going, coins)
        require_agreed(album, falling, may_fall_out)
        unit.delete_slots(list(gone))
        left = [slot for slot in here if slot.id not in gone]
        put_first_series(unit, album_id, left)
        moved = _relisted(unit, album_id, [slot.id for slot in left])
        done = changes_of(unit, [], [f.coin for f in falling])
        return replace(
            done,
            albums=frozenset([album_id]),
            slots=moved.slots | gone,
            is_shelf=True,
            is_reshaped=True,
        )

    many = "a slot" if len(slots) == 1 else f"{len(slots)} slots"
    return Operation(f"take out {many}", work)


def extra_slots(view: AlbumView, near: SlotId) -> tuple[tuple[str, ExtraSlot], ...]:
    """What could be added near a slot, each in words; the likeliest first.

    A second coin of the same, then what of that date has no slot yet, then wider ones: any mint of
    the date, any date of the mint, of the design, of each other design.
    """
    slot = view.by_id[near].slot
    series = view.series_of(slot)
    mask = series.may_be(slot.accepts)
    issues = list(series.issues_of(mask))
    found = [
        (f"another {slot.label} (a second coin)", ExtraSlot(slot.accepts, "", slot.variety)),
        *_without_slot(view, series, issues),
        *_wider(series, issues),
    ]
    here = {hole_of(series, v.slot) for v in view.slots if view.series_of(v.slot) is series}
    kept = [found[0]]
    for words, extra in found[1:]:
        hole = series.may_be(extra.accepts), extra.variety
        if hole[0] and hole not in here:
            here.add(hole)
            kept.append((words, extra))
    return tuple(kept)


def _without_slot(
    view: AlbumView, series: Series, issues: Sequence[Issue]
) -> list[tuple[str, ExtraSlot]]:
    """The date sizes, metals and varieties of one date, as a new album of all has them."""
    dates = {issue.date for issue in issues}
    if len(dates) != 1:
        return []
    year = issues[0].year
    show_p = view.album.arrangement.show_p
    out = []
    for with_collectors in (False, True):
        plan = AlbumPlan(
            (year, year),
            varieties=Varieties.ALL,
            show_p=show_p,
            with_collectors=with_collectors and series.has_collectors_issues,
        )
        try:
            planned = plan_slots(series, plan)
        except Refused:  # none went to banks that year
            continue
        out += [(s.label, ExtraSlot(s.accepts, "", s.variety)) for s in planned]
    return out


def _wider(series: Series, issues: Sequence[Issue]) -> list[tuple[str, ExtraSlot]]:
    """Slots that take more than one date or mint."""
    usual = dict(series.usual)
    out: list[tuple[str, ExtraSlot]] = []

    def offer(words: str, **facets: str) -> None:
        out.append((words, ExtraSlot(Description.of(series.id, {**usual, **facets}))))

    for date in dict.fromkeys(issue.date for issue in issues):
        offer(f"any {date}", date=date)
    for mint in dict.fromkeys(issue.mint for issue in issues):
        if mint:
            offer(f"any date of {series.mint(mint).name}", mint=mint)
    first = dict.fromkeys(issue.design for issue in issues)
    for design in dict.fromkeys([*first, *(d.id for d in series.designs)]):
        offer(f"any date of {series.design(design).title}", design=design)
    return out


# ---- choosing slots ---------------------------------------------------------------------------


def select_like(view: AlbumView, slot: SlotId, what: Likeness) -> tuple[SlotId, ...]:
    """The slots that share something with a slot, itself too, in reading order."""
    alike = _likeness(view, what)
    wanted = alike(view.by_id[slot].slot)
    ordered = sorted(view.slots, key=lambda shown: view.places[shown.slot.id])
    return tuple(shown.slot.id for shown in ordered if alike(shown.slot) == wanted)


def _likeness(view: AlbumView, what: Likeness) -> Callable[[Slot], object]:
    def first(slot: Slot) -> Issue | None:
        series = view.series_of(slot)
        return next(series.issues_of(series.may_be(slot.accepts)), None)

    def decade(slot: Slot) -> object:
        issue = first(slot)
        return issue.year // 10 if issue else None

    def design(slot: Slot) -> object:
        issue = first(slot)
        return (slot.accepts.series, issue.design) if issue else None

    match what:
        case Likeness.ROW:
            return lambda slot: view.places[slot.id][:2]
        case Likeness.LEAF:
            return lambda slot: view.places[slot.id][0]
        case Likeness.MINT:
            return lambda slot: slot.accepts.only(Facet.MINT)
        case Likeness.DECADE:
            return decade
        case Likeness.DESIGN:
            return design
        case Likeness.ALL:
            return lambda _slot: True


def needs_other_slots(view: AlbumView, arrangement: Arrangement) -> bool:
    """Whether an arrangement asks for one slot a date where the album has one a date and mint."""
    if arrangement.kind is not ArrangementKind.DATES_ONLY:
        return False
    return any(shown.slot.accepts.values(Facet.MINT) for shown in view.slots)


def dates_only_choice(view: AlbumView, arrangement: Arrangement) -> EditChoice:
    """The edit that gives an album one slot a date and this arrangement."""
    now = present_choice(view)
    across = replace(now.across, each_mint=False) if now.across else None
    plan = replace(now.plan, mints=ANY_MINT)
    return replace(now, plan=plan, across=across, arrangement=arrangement)


def arrange_album(
    view: AlbumView, arrangement: Arrangement, may_fall_out: Collection[CoinId] = ()
) -> Operation:
    """Lay an album out; where that asks for other slots, edit it, as far as that was agreed to."""
    if needs_other_slots(view, arrangement):
        choice = dates_only_choice(view, arrangement)
        return edit_album(view.album.id, choice, may_fall_out)
    return rearrange_album(view.album.id, arrangement)


def misfit_of(view: AlbumView) -> Misfit | None:
    """How an album's row map does not fit its slots; None where it fits or is no map."""
    shape = view.album.arrangement
    if shape.kind is not ArrangementKind.ROW_MAP:
        return None
    turn = shown_order(lambda code: view.others.get(code, view.series), *_listed(view))
    labels = [view.slots[at].slot.label for at in turn]
    return misfit(shape.row_map, labels, is_down=shape.is_down)


def _listed(view: AlbumView) -> tuple[list[Slot], Arrangement]:
    return [shown.slot for shown in view.slots], view.album.arrangement


# ---- arrangements under a name ----------------------------------------------------------------


def keep_arrangement(name: str, arrangement: Arrangement) -> Operation:
    """Keep an arrangement under a name for other albums; one of that name gives way."""

    def work(unit: Unit, _context: Context) -> Changes:
        title = " ".join(name.split())
        if not title:
            raise BadEntry("An arrangement that is kept needs a name.")
        unit.keep_arrangement(title, arrangement)
        return Changes()

    return Operation(f"keep the arrangement {' '.join(name.split())}", work)


def forget_arrangement(number: int) -> Operation:
    """Forget a kept arrangement; albums that use it stay as they are. Raises NotFound."""

    def work(unit: Unit, _context: Context) -> Changes:
        unit.delete_arrangement(number)
        return Changes()

    return Operation("forget an arrangement", work)
