"""The slots of a new album: which issues get one, what each accepts, and its label."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from core.errors import Refused
from core.model.album import AlbumId, Slot, SlotId, Target, Wish
from core.model.arrangement import ShowP
from core.model.issue import (
    COLLECTORS_ISSUE,
    Description,
    Facet,
    Issue,
    RollOdds,
    Series,
    Strike,
    VarietyId,
)
from core.model.label import slot_name

FINDABLE = (RollOdds.FINDABLE, RollOdds.POSSIBLE)


ANY_MINT = ("any",)


class Varieties(StrEnum):
    """How many varieties get optional slots of their own."""

    NONE = "none"
    MAIN = "main"
    ALL = "all"


@dataclass(frozen=True, slots=True)
class AlbumPlan:
    """What a new album shall hold.

    `years`: first and last Gregorian year, None for all. `mints`: ids, () for all, ("any",) for
    one slot a date whatever the mint. `with_collectors`: also circulation strikes that were sold
    to collectors, in a series that otherwise went to banks.
    """

    years: tuple[int, int] | None = None
    mints: tuple[str, ...] = ()
    varieties: Varieties = Varieties.NONE
    target: Target | None = None
    show_p: ShowP = ShowP.AS_ON_COIN
    with_collectors: bool = False


def regular_issues(series: Series, plan: AlbumPlan) -> list[Issue]:
    """The issues within the plan's years and mints that get slots.

    The series' usual ones, those released to banks; where the plan says so, the collectors' too.
    """
    first, last = plan.years or (-(10**6), 10**6)
    any_mint = plan.mints in ((), ANY_MINT)
    return [
        issue
        for issue in series.issues
        if (series.is_usual(issue) or (plan.with_collectors and series.is_for_collectors(issue)))
        and first <= issue.year <= last
        and (any_mint or issue.mint in plan.mints)
    ]


def plan_slots(series: Series, plan: AlbumPlan) -> list[Slot]:
    """One slot a date, mint and design, accepting every composition and date size; varieties after.

    Ids are 0; the order is the series' own, a date's extra slots straight after its regular ones.
    Raises Refused when nothing is left, naming what to change.
    """
    issues = regular_issues(series, plan)
    if not issues:
        raise Refused(_nothing_left(series, plan))
    by_date: dict[str, list[Issue]] = {}
    for issue in issues:
        by_date.setdefault(issue.date, []).append(issue)
    slots: list[Slot] = []
    for group in by_date.values():
        slots += _regular_slots(series, plan, group)
        if plan.varieties is not Varieties.NONE:
            slots += _extra_slots(series, plan, group)
    return numbered(slots)


def _nothing_left(series: Series, plan: AlbumPlan) -> str:
    """Why a plan has no slots, and what to change."""
    if regular_issues(series, replace(plan, with_collectors=True)):
        return (
            f"{series.title}: none went to banks in those years from those mints; "
            "take in those sold to collectors, or choose other years or mints."
        )
    return (
        f"{series.title}: none was struck in those years at those mints; "
        f"the series runs from {series.dates[0][0]} to {series.dates[-1][0]}."
    )


def numbered(slots: Sequence[Slot]) -> list[Slot]:
    """Slots with their positions from 0 and labels made unique."""
    taken = {slot.label for slot in slots if slot.has_own_label}
    out = []
    for position, slot in enumerate(slots):
        label = slot.label if slot.has_own_label else free_label(slot.label, taken)
        taken.add(label)
        out.append(replace(slot, position=position, label=label))
    return out


def free_label(usual: str, taken: Collection[str]) -> str:
    """1943-D, or where that is taken 1943-D (2)."""
    label, count = usual, 1
    while label in taken:
        count += 1
        label = f"{usual} ({count})"
    return label


def _slot(
    series: Series,
    plan: AlbumPlan,
    facets: dict[str, str],
    wish: Wish,
    variety: VarietyId | None = None,
) -> Slot:
    accepts = Description.of(series.id, facets)
    known = series.variety(variety) if variety else None
    if known is None:
        label = slot_name(series, accepts, "", plan.show_p)
    else:  # one mint's variety bears its letter, though the slot asks for none
        mask = series.may_be(accepts) & series.variety_mask(known)
        mints = {issue.mint for issue in series.issues_of(mask)}
        struck = accepts.with_facet(Facet.MINT, mints) if len(mints) == 1 else accepts
        label = slot_name(series, struck, known.name, plan.show_p)
    return Slot(SlotId(0), AlbumId(0), 0, label, accepts, variety, wish, plan.target)


def _kind(series: Series, issues: Sequence[Issue]) -> dict[str, str]:
    """The strike and release that take in all of these issues."""
    if all(series.is_usual(issue) for issue in issues):
        return dict(series.usual)
    if all(series.is_for_collectors(issue) for issue in issues):
        return COLLECTORS_ISSUE
    return {Facet.STRIKE.value: Strike.CIRCULATION.value}


def _places(
    series: Series, plan: AlbumPlan, group: Sequence[Issue]
) -> list[tuple[dict[str, str], list[Issue]]]:
    """The cells of a date: facets that name each, with its issues.

    Collectors' issues have cells of their own, save where a slot takes any mint.
    """
    cells: dict[tuple[str, str | None, bool], list[Issue]] = {}
    for issue in group:
        is_any = plan.mints == ANY_MINT
        mint = None if is_any else issue.mint
        is_usual = is_any or series.is_usual(issue)
        cells.setdefault((issue.design, mint, is_usual), []).append(issue)
    designs = {issue.design for issue in group}
    out = []
    for (design, mint, _), issues in cells.items():
        facets = {**_kind(series, issues), Facet.DATE.value: issues[0].date}
        if mint is not None:
            facets[Facet.MINT.value] = mint
        if len(designs) > 1:
            facets[Facet.DESIGN.value] = design
        out.append((facets, issues))
    return out


def _regular_slots(series: Series, plan: AlbumPlan, group: Sequence[Issue]) -> list[Slot]:
    return [_slot(series, plan, facets, Wish.WANTED) for facets, _ in _places(series, plan, group)]


def _extra_slots(series: Series, plan: AlbumPlan, group: Sequence[Issue]) -> list[Slot]:
    """Optional slots: date sizes and compositions that differ within a cell, then varieties."""
    slots = []
    for facets, issues in _places(series, plan, group):
        names = [Facet.COMPOSITION.value, *dict.fromkeys(n for i in issues for n, _ in i.choices)]
        differing = [n for n in names if len({i.value(n) for i in issues}) > 1]
        seen: set[tuple[tuple[str, str], ...]] = set()
        for issue in issues:
            part = tuple((n, value) for n in differing if (value := issue.value(n)) is not None)
            if part and part not in seen and _is_sought(series, plan, issue, part):
                seen.add(part)
                slots.append(_slot(series, plan, {**facets, **dict(part)}, Wish.OPTIONAL))
    for facets, issues in _places(series, plan, group):
        numbers = sum(1 << issue.number for issue in issues)
        for variety in series.varieties:
            wanted = plan.varieties is Varieties.ALL or variety.odds in FINDABLE
            if variety.kind == "counterfeit":
                continue
            if wanted and series.variety_mask(variety) & numbers:
                slots.append(_slot(series, plan, facets, Wish.OPTIONAL, variety.id))
    return slots


def _is_sought(
    series: Series, plan: AlbumPlan, issue: Issue, part: tuple[tuple[str, str], ...]
) -> bool:
    """Whether a date size or composition gets a slot: in `main` not where its sign says rare."""
    if plan.varieties is Varieties.ALL:
        return True
    signs = series.signs_open_to(1 << issue.number)
    return all(sign.is_main for sign in signs if (sign.facet, sign.value) in part)
