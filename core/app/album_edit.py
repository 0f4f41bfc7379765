"""Editing an album: which slots stay, which come, which go, and which coins would fall out.

A slot is the same hole as long as it takes the same issues and asks for the same variety.
"""

from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from core.app.across import HoleAcross, hole_across, present_across, with_letters
from core.app.album_view import album_view
from core.app.changes import Changes
from core.app.order import Context, Operation, changes_of, free_name
from core.app.slot_card import coin_text
from core.app.views import AlbumView
from core.app.volumes import gather
from core.errors import Refused
from core.model.album import Album, AlbumId, AlbumKind, Slot, SlotId, Target
from core.model.arrangement import Arrangement, ShowP
from core.model.coin import Coin, CoinId
from core.model.issue import Facet, Series, SeriesId, VarietyId
from core.model.plan_across import AcrossPlan, plan_across
from core.model.plan_album import (
    ANY_MINT,
    AlbumPlan,
    Varieties,
    numbered,
    plan_slots,
    regular_issues,
)
from core.store.unit import Unit

Plan = AlbumPlan | AcrossPlan

Hole = tuple[int, VarietyId | None]
"""What makes a slot the same hole: the issues it takes, as a mask, and its variety."""

MOST_NAMED = 12


@dataclass(frozen=True, slots=True)
class EditChoice:
    """All that an edit may set. `plan.target` is the album's usual target: see `plan_edit`.

    `across` stands in the plan's place where the album is one across series. `volumes` is the
    title of the run of albums that it is a volume of, "" for none.
    """

    name: str
    note: str
    plan: AlbumPlan
    arrangement: Arrangement
    across: AcrossPlan | None = None
    volumes: str = ""

    @property
    def slots_plan(self) -> AlbumPlan | AcrossPlan:
        """The plan that counts."""
        return self.across or self.plan


@dataclass(frozen=True, slots=True)
class FallingOut:
    """A coin whose slot would go: it becomes a spare."""

    slot: SlotId
    label: str
    coin: CoinId
    what: str
    is_pinned: bool

    @property
    def text(self) -> str:
        """1943-D (VF-20); 1943-D (VF-20, pinned)."""
        return f"{self.label} ({self.what}{', pinned' if self.is_pinned else ''})"


@dataclass(frozen=True, slots=True)
class AlbumEdit:
    """What an edit would do; nothing is done yet.

    `slots`: all slots as they will stand, in order, new ones with id 0. `kept` and `added` are
    parts of it, `dropped` the slots that go. `waiting`: slots that would go though a coin is on
    order for them; then the edit is refused.
    """

    album: Album
    slots: tuple[Slot, ...]
    kept: tuple[Slot, ...]
    added: tuple[Slot, ...]
    dropped: tuple[Slot, ...]
    falling_out: tuple[FallingOut, ...]
    waiting: tuple[Slot, ...]


# ---- what the album is now --------------------------------------------------------------------


def present_choice(view: AlbumView) -> EditChoice:
    """What the album would be made from if it were made now: read off its slots."""
    album, slots = view.album, [v.slot for v in view.slots]
    now = _present(_known_of(view), album, slots)
    plan = AlbumPlan(target=now.target) if isinstance(now, AcrossPlan) else now
    return EditChoice(
        album.name,
        album.note,
        plan,
        album.arrangement,
        now if isinstance(now, AcrossPlan) else None,
        album.volumes,
    )


def _known_of(view: AlbumView) -> dict[SeriesId, Series]:
    return {series.id: series for series in view.all_series}


def _present(
    known: Mapping[SeriesId, Series], album: Album, slots: Sequence[Slot]
) -> AlbumPlan | AcrossPlan:
    """The plan that gives an album's slots, or comes nearest to them."""
    across = present_across(known, slots, usual_target(slots))
    return across or present_plan(known[album.series], slots)


def usual_target(slots: Sequence[Slot]) -> Target | None:
    """The target that most slots have."""
    counts = Counter(slot.target for slot in slots)
    return counts.most_common(1)[0][0] if counts else None


def present_plan(series: Series, slots: Sequence[Slot]) -> AlbumPlan:
    """The plan that gives these slots, or comes nearest to them."""
    target = usual_target(slots)
    here = Counter(hole_of(series, slot) for slot in slots)
    best, least = AlbumPlan(target=target), -1
    for plan in _likely_plans(series, slots):
        if not regular_issues(series, plan):
            continue
        there = Counter(hole_of(series, slot) for slot in plan_slots(series, plan))
        off = (there - here).total() + (here - there).total()
        if least < 0 or off < least:
            best, least = replace(plan, target=target), off
        if off == 0:
            break
    return _with_letters(series, best, slots)


def _likely_plans(series: Series, slots: Sequence[Slot]) -> Iterator[AlbumPlan]:
    """Plans that may give these slots, the plainest first."""
    issues = series.issues if series.has_collectors_issues else ()
    theirs = sum(1 << issue.number for issue in issues if series.is_for_collectors(issue))
    takes_theirs = any(series.may_be(slot.accepts) & theirs for slot in slots)
    for with_collectors in (True, False) if takes_theirs else (False,):
        years = _present_years(series, slots, with_collectors)
        for mints in _likely_mints(series, slots, years, with_collectors):
            for varieties in Varieties:
                yield AlbumPlan(years, mints, varieties, with_collectors=with_collectors)


def _with_letters(series: Series, plan: AlbumPlan, slots: Sequence[Slot]) -> AlbumPlan:
    """The plan whose labels show Philadelphia's P as these slots do."""
    labels = {slot.label for slot in slots if not slot.has_own_label}
    for show_p in (plan.show_p, *ShowP):
        shown = replace(plan, show_p=show_p)
        if not regular_issues(series, shown):
            return plan
        if labels <= {slot.label for slot in plan_slots(series, shown)}:
            return shown
    return plan


def hole_of(series: Series, slot: Slot) -> Hole:
    """What makes the slot the same hole."""
    return series.may_be(slot.accepts), slot.variety


def _present_years(
    series: Series, slots: Sequence[Slot], with_collectors: bool
) -> tuple[int, int] | None:
    """First and last year that a slot takes; None where that is all that a plan can hold."""
    masks = [series.may_be(slot.accepts) for slot in slots]
    years = {issue.year for mask in masks for issue in series.issues_of(mask)}
    if not years:
        return None
    whole = {
        issue.year for issue in regular_issues(series, AlbumPlan(with_collectors=with_collectors))
    }
    is_whole = bool(whole) and min(years) <= min(whole) and max(years) >= max(whole)
    return None if is_whole else (min(years), max(years))


def _likely_mints(
    series: Series,
    slots: Sequence[Slot],
    years: tuple[int, int] | None,
    with_collectors: bool,
) -> list[tuple[str, ...]]:
    """All mints first, then those that the slots name, then one slot a date."""
    plan = AlbumPlan(years, with_collectors=with_collectors)
    struck = {issue.mint for issue in regular_issues(series, plan)}
    named = {mint for slot in slots if (mint := slot.accepts.only(Facet.MINT)) is not None}
    chosen = tuple(mint.id for mint in series.mints if mint.id in named)
    some = [chosen] if named and named != struck else []
    return [(), *some, ANY_MINT]


# ---- what it would become ---------------------------------------------------------------------


def plan_edit(
    view: AlbumView,
    choice: EditChoice,
    now: AlbumPlan | None = None,
    more: Sequence[Series] = (),
) -> AlbumEdit:
    """What an edit would do. Raises Refused where no slot would be left.

    `now` is the plan of `present_choice`, where it is known already; `more` are series that
    `choice.across` takes in.
    Slots that stay keep their ids, wishes, notes, pins, coins and past. A new usual target goes to
    the slots that have the usual one now; slots with a target of their own keep it.
    """
    views = view.slots
    coins = {v.slot.id: v.coin for v in views if v.coin is not None}
    waiting = {v.slot.id for v in views if v.ordered is not None}
    slots = [v.slot for v in views]
    known = {**_known_of(view), **{one.id: one for one in more}}
    plan = now if now and not choice.across else _present(known, view.album, slots)
    return _planned(known, view.album, slots, coins, waiting, choice, plan)


def _slots_of(known: Mapping[SeriesId, Series], album: Album, plan: Plan) -> list[Slot]:
    """The slots that a plan gives."""
    if isinstance(plan, AcrossPlan):
        return plan_across(list(known.values()), plan)
    return plan_slots(known[album.series], plan)


def _planned(
    known: Mapping[SeriesId, Series],
    album: Album,
    slots: Sequence[Slot],
    coins: Mapping[SlotId, Coin],
    waiting: Collection[SlotId],
    choice: EditChoice,
    now: Plan,
) -> AlbumEdit:
    plan = choice.slots_plan
    is_same = replace(plan, target=now.target) == now
    planned = slots if is_same else _slots_of(known, album, plan)
    standing: dict[HoleAcross, list[Slot]] = {}
    for slot in slots:
        standing.setdefault(hole_across(known, slot), []).append(slot)
    stays: dict[SlotId, Slot] = {}
    news: dict[SlotId | None, list[Slot]] = {}
    before: SlotId | None = None
    for slot in planned:
        old = standing.get(hole_across(known, slot))
        if old:
            same = _as_planned(old.pop(0), slot, now.target, plan.target)
            stays[same.id] = same
            before = same.id
        else:
            news.setdefault(before, []).append(replace(slot, album=album.id))
    if not is_same:
        usual = _counted(known, album, now)
        stays = {s.id: s for s in _by_hand(known, slots, plan, usual)} | stays
    listed = news.get(None, [])
    for slot in slots:
        if slot.id in stays:
            listed += [stays[slot.id], *news.get(slot.id, ())]
    letters = plan.show_p, choice.arrangement.show_p
    out = numbered(with_letters(known.__getitem__, listed, *letters))
    kept = [slot for slot in out if slot.id]
    added = [slot for slot in out if not slot.id]
    gone = {slot.id for slot in slots if slot.id not in stays}
    dropped = tuple(slot for slot in slots if slot.id in gone)
    is_holder = album.kind is AlbumKind.HOLDER
    codes = dict.fromkeys(slot.accepts.series for slot in out)
    named = replace(
        album,
        name=" ".join(choice.name.split()),
        series=album.series if album.series in codes else next(iter(codes), album.series),
        note=choice.note.strip(),
        arrangement=choice.arrangement,
        volumes=" ".join(choice.volumes.split()),
    )
    return AlbumEdit(
        named,
        tuple(out),
        tuple(kept),
        tuple(added),
        dropped,
        out_of_slots(dropped, coins if is_holder else {}),
        tuple(s for s in dropped if s.id in waiting),
    )


def _counted(known: Mapping[SeriesId, Series], album: Album, plan: Plan) -> Counter[HoleAcross]:
    """The holes of a plan; none where it has no slots, as all was made by hand then."""
    try:
        return Counter(hole_across(known, slot) for slot in _slots_of(known, album, plan))
    except Refused:
        return Counter()


def _by_hand(
    known: Mapping[SeriesId, Series],
    slots: Sequence[Slot],
    plan: Plan,
    usual: Counter[HoleAcross],
) -> list[Slot]:
    """The slots that no plan has put there: added by hand, they stay.

    Save those of which every year, or the series, lies outside the new plan's.
    """
    left = Counter(usual)
    stay = []
    for slot in slots:
        hole = hole_across(known, slot)
        if left[hole] > 0:
            left[hole] -= 1
        elif any(_is_within(plan, slot, issue.year)
                 for issue in known[hole[0]].issues_of(hole[1])):  # fmt: skip
            stay.append(slot)
    return stay


def _is_within(plan: Plan, slot: Slot, year: int) -> bool:
    """Whether a slot's coin of a year lies within a plan."""
    if isinstance(plan, AcrossPlan):
        return slot.accepts.series in plan.series and plan.year in (None, year)
    return plan.years is None or plan.years[0] <= year <= plan.years[1]


def _as_planned(old: Slot, new: Slot, usual: Target | None, target: Target | None) -> Slot:
    """A slot that stays, where the new plan has it and as it calls it."""
    return replace(
        old,
        label=old.label if old.has_own_label else new.label,
        accepts=new.accepts,
        target=target if old.target == usual else old.target,
    )


def out_of_slots(slots: Sequence[Slot], coins: Mapping[SlotId, Coin]) -> tuple[FallingOut, ...]:
    """The coins that fall out where slots go; `coins` by the slot in which they sit."""
    return tuple(
        FallingOut(slot.id, slot.label, coin.id, coin_text(coin), slot.is_pinned)
        for slot in slots
        if (coin := coins.get(slot.id)) is not None
    )


def falling_text(falling: Sequence[FallingOut]) -> str:
    """1943-D (VF-20), 1944 (F-12, pinned) and 3 more; pinned ones first."""
    ordered = sorted(falling, key=lambda f: not f.is_pinned)
    named = ", ".join(f.text for f in ordered[:MOST_NAMED])
    more = len(ordered) - MOST_NAMED
    return f"{named} and {more} more" if more > 0 else named


def edited_view(view: AlbumView, edit: AlbumEdit, more: Sequence[Series] = ()) -> AlbumView:
    """The album as it would stand after an edit, its coins in it; new slots get ids of the view.

    `more` as in `plan_edit`.
    """
    top = max((int(v.slot.id) for v in view.slots), default=0)
    slots = [s if s.id else replace(s, id=SlotId(top + at)) for at, s in enumerate(edit.slots, 1)]
    coins = {v.slot.id: v.coin for v in view.slots if v.coin is not None}
    ordered = {v.slot.id: v.ordered for v in view.slots if v.ordered is not None}
    known = {**_known_of(view), **{one.id: one for one in more}}
    others = {s.accepts.series: known[s.accepts.series] for s in slots}
    first = others.pop(edit.album.series, view.series)
    return album_view(edit.album, first, slots, coins, ordered, None, others)


# ---- doing it ---------------------------------------------------------------------------------


def edit_album(
    album_id: AlbumId, choice: EditChoice, may_fall_out: Collection[CoinId] = ()
) -> Operation:
    """Edit an album as `plan_edit` tells; refused where a coin would fall out that is not named."""

    def work(unit: Unit, context: Context) -> Changes:
        album = unit.read.album(album_id)
        free_name(unit, choice.name, album_id)
        is_holder = album.kind is AlbumKind.HOLDER
        before = unit.read.slots(album_id)
        codes = [album.series, *(slot.accepts.series for slot in before)]
        codes += choice.across.series if choice.across else ()
        known = {code: context.series.get(code) for code in dict.fromkeys(codes)}
        edit = _planned(
            known,
            album,
            before,
            unit.read.coins_in_album(album_id) if is_holder else {},
            unit.read.reserved_in_album(album_id),
            choice,
            _present(known, album, before),
        )
        require_none_waiting(album, edit.waiting)
        require_agreed(album, edit.falling_out, may_fall_out)
        old = {slot.id: slot for slot in before}
        changed = [slot for slot in edit.kept if slot != old[slot.id]]
        for code in dict.fromkeys(slot.accepts.series for slot in edit.added):
            context.series.require(unit, code)
        made = unit.add_slots(edit.added)  # before any goes: an id is never that of another hole
        unit.delete_slots([slot.id for slot in edit.dropped])
        unit.update_slots(changed)
        if edit.album != album:
            unit.update_album(edit.album)
        if edit.album.volumes != album.volumes:
            gather(unit, [album_id])
        touched = [*(slot.id for slot in changed), *made]
        done = changes_of(unit, touched, [f.coin for f in edit.falling_out])
        return replace(
            done,
            albums=frozenset([album_id]),
            slots=done.slots | {slot.id for slot in edit.dropped},
            is_shelf=True,
            is_reshaped=True,
        )

    return Operation("edit the album", work)


def require_none_waiting(album: Album, waiting: Sequence[Slot]) -> None:
    """Refuse where a coin is on order for slots that would go."""
    if waiting:
        where = ", ".join(slot.label for slot in waiting)
        many = "A coin is" if len(waiting) == 1 else f"{len(waiting)} coins are"
        raise Refused(
            f"{many} on order for slots of {album.name} that would go ({where}); "
            "mark what has arrived and cancel the other orders first."
        )


def require_agreed(album: Album, falling: Sequence[FallingOut], agreed: Collection[CoinId]) -> None:
    """Refuse where a coin would fall out that was not agreed to."""
    unnamed = [f for f in falling if f.coin not in agreed]
    if unnamed:
        coins = "A coin" if len(unnamed) == 1 else f"{len(unnamed)} coins"
        raise Refused(
            f"{coins} would fall out of {album.name}: {falling_text(unnamed)}. "
            "Say that they may become spares, or keep their slots."
        )
