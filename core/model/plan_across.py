"""The slots of an album across series: one a design (a type album), or those of one year."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from core.errors import Refused
from core.model.album import AlbumId, Slot, SlotId, Target
from core.model.arrangement import Arrangement, ArrangementKind, ShowP
from core.model.issue import Description, Facet, Series, SeriesId, VarietyId
from core.model.label import join_and, slot_name
from core.model.plan_album import ANY_MINT, AlbumPlan, numbered, plan_slots, regular_issues


@dataclass(frozen=True, slots=True)
class AcrossPlan:
    """What an album across series shall hold.

    `year` None: one slot a design of each series; else the coins of that Gregorian year, one a
    series and design, or one a mint too. `with_collectors`: also what was sold to collectors.
    """

    series: tuple[SeriesId, ...]
    year: int | None = None
    each_mint: bool = False
    target: Target | None = None
    show_p: ShowP = ShowP.AS_ON_COIN
    with_collectors: bool = False

    @property
    def is_types(self) -> bool:
        """Whether it is a type album, not a year set."""
        return self.year is None


def short_names(series: Sequence[Series]) -> dict[SeriesId, str]:
    """What coins of each series are called beside the others: dime; by title where two are alike.

    The name is the last word of what collectors call them first: dime of “mercury dime”.
    """
    nouns = {one.id: _noun(one) for one in series}
    counts = Counter(nouns.values())
    return {one.id: nouns[one.id] if counts[nouns[one.id]] == 1 else one.title for one in series}


def _noun(series: Series) -> str:
    words = series.words[0].split() if series.words else []
    return words[-1] if words else series.denomination


def is_type_slot(accepts: Description) -> bool:
    """Whether a slot takes one design of any date and mint."""
    is_open = not accepts.values(Facet.DATE) and not accepts.values(Facet.MINT)
    return is_open and accepts.only(Facet.DESIGN) is not None


def type_title(series: Series, design: str) -> str:
    """What a slot for a design is called: Wheat ears."""
    title = series.design(design).title
    return title[:1].upper() + title[1:]


def label_across(
    series: Series,
    accepts: Description,
    name: str,
    variety: VarietyId | None = None,
    show_p: ShowP = ShowP.AS_ON_COIN,
) -> str:
    """A slot's label among slots of other series: 1943-S dime, 2005-D nickel bison, 1964 half.

    A slot for a design is called by its title alone: the leaf says of which series it is.
    """
    design = accepts.only(Facet.DESIGN)
    if design is not None and is_type_slot(accepts):
        return type_title(series, design)
    known = series.variety(variety) if variety else None
    text = slot_name(series, accepts, known.name if known else "", show_p)
    date = accepts.only(Facet.DATE) or ""
    if not date or not text.startswith(date):
        return f"{name}, {text}" if name else text
    mark, _, rest = text.removeprefix(date).partition(" ")
    rest = rest.removeprefix("any mint").strip()
    return " ".join(filter(None, (date + mark, name, rest)))


def plan_across(series: Sequence[Series], plan: AcrossPlan) -> list[Slot]:
    """The slots of a plan; ids are 0. Raises Refused where nothing is left, saying why."""
    by_id = {one.id: one for one in series}
    chosen = [by_id[code] for code in dict.fromkeys(plan.series)]
    if not chosen:
        raise Refused("No series is chosen; choose at least one.")
    if plan.year is None:
        return plan_types(chosen, plan.target, with_collectors=plan.with_collectors)
    return plan_year(
        chosen,
        plan.year,
        plan.target,
        each_mint=plan.each_mint,
        show_p=plan.show_p,
        with_collectors=plan.with_collectors,
    )


def plan_types(
    series: Sequence[Series], target: Target | None = None, *, with_collectors: bool = False
) -> list[Slot]:
    """One slot a design, series by series, each design where its first year puts it.

    Only designs of what went to banks, or `with_collectors` of all struck for circulation. Designs
    called alike get the name of their series beside it. Raises Refused where none is left.
    """
    found: list[tuple[Series, str, dict[str, str]]] = []
    for one in series:
        first: dict[str, int] = {}
        usual: set[str] = set()
        for issue in regular_issues(one, AlbumPlan(with_collectors=with_collectors)):
            first[issue.design] = min(first.get(issue.design, issue.year), issue.year)
            if one.is_usual(issue):
                usual.add(issue.design)
        for design in sorted(first, key=first.__getitem__):
            kind = one.usual if design in usual else {Facet.STRIKE.value: "circulation"}
            found.append((one, design, {**kind, Facet.DESIGN.value: design}))
    if not found:
        raise Refused(f"{_titles(series)}: none went to banks; take in those sold to collectors.")
    names = short_names(series)
    titles_of = Counter(type_title(one, design) for one, design, _ in found)
    slots = []
    for one, design, facets in found:
        label = type_title(one, design)
        if titles_of[label] > 1:
            label = f"{label}, {names[one.id]}"
        accepts = Description.of(one.id, facets)
        slots.append(Slot(SlotId(0), AlbumId(0), 0, label, accepts, target=target))
    return numbered(slots)


def plan_year(
    series: Sequence[Series],
    year: int,
    target: Target | None = None,
    *,
    each_mint: bool = False,
    show_p: ShowP = ShowP.AS_ON_COIN,
    with_collectors: bool = False,
) -> list[Slot]:
    """One slot a series and design of a year, or one a mint too; series without it have none.

    Raises Refused where none was struck that year, naming the nearest years.
    """
    plan = AlbumPlan(
        (year, year),
        () if each_mint else ANY_MINT,
        target=target,
        show_p=show_p,
        with_collectors=with_collectors,
    )
    struck = [one for one in series if regular_issues(one, plan)]
    if not struck:
        raise Refused(_none_that_year(series, year, with_collectors=with_collectors))
    names = short_names(struck)
    slots = []
    for one in struck:
        for slot in plan_slots(one, plan):
            label = label_across(one, slot.accepts, names[one.id], slot.variety, show_p)
            slots.append(replace(slot, label=label))
    return numbered(slots)


def _titles(series: Sequence[Series]) -> str:
    """The series by title, or how many they are."""
    if len(series) > 3:
        return f"These {len(series)} series"
    return join_and([one.title for one in series])


def without_that_year(
    series: Sequence[Series], year: int, *, with_collectors: bool = False
) -> list[Series]:
    """Those of the series that have no slot in a year set."""
    plan = AlbumPlan((year, year), with_collectors=with_collectors)
    return [one for one in series if not regular_issues(one, plan)]


def _none_that_year(series: Sequence[Series], year: int, *, with_collectors: bool) -> str:
    """Why a year set is empty: 1955 of it is not there, but 1954 and 1956 are."""
    titles = _titles(series)
    theirs = AlbumPlan((year, year), with_collectors=True)
    if not with_collectors and any(regular_issues(one, theirs) for one in series):
        return (
            f"{titles}: in {year} none went to banks; take in those sold to collectors, "
            "or choose another year."
        )
    plan = AlbumPlan(with_collectors=with_collectors)
    years = {issue.year for one in series for issue in regular_issues(one, plan)}
    near = [max((y for y in years if y < year), default=None),
            min((y for y in years if y > year), default=None)]  # fmt: skip
    told = join_and([str(y) for y in near if y is not None])
    hint = f"The nearest years are {told}." if " " in told else f"The nearest year is {told}."
    return f"{titles}: none was struck in {year}. " + (hint if told else "Choose other series.")


def usual_shape(plan: AcrossPlan) -> Arrangement:
    """Types in a block a series; a year set in a row a series."""
    if plan.is_types:
        return Arrangement(
            ArrangementKind.BY_TYPE if len(plan.series) > 1 else ArrangementKind.RUNNING, 5, 8
        )
    return Arrangement()


def likely_plans(known: Mapping[SeriesId, Series], slots: Sequence[Slot]) -> tuple[AcrossPlan, ...]:
    """The plans across series that may give these slots, the plainest first; targets are left out.

    None for an album of one series whose slots are no types.
    """
    codes = tuple(dict.fromkeys(slot.accepts.series for slot in slots))
    types = sum(is_type_slot(slot.accepts) for slot in slots)
    if types * 2 > len(slots):
        return AcrossPlan(codes), AcrossPlan(codes, with_collectors=True)
    if len(codes) < 2:
        return ()
    years: Counter[int] = Counter()
    for slot in slots:
        years.update({issue.year for issue in known[slot.accepts.series].matching(slot.accepts)})
    if not years:
        return (AcrossPlan(codes),)
    (year, _), *_ = years.most_common(1)
    return tuple(
        AcrossPlan(codes, year, each_mint, with_collectors=theirs)
        for theirs in (False, True)
        for each_mint in (False, True)
    )
