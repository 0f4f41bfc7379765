"""What the grid is told of an album's slots and mints: dates, designs, columns. Pure."""

from collections.abc import Callable, Mapping, Sequence

from core.arrange.breaks import block_rule
from core.arrange.layout import Column, GridSlot
from core.arrange.order import NO_LETTER
from core.model.album import Slot
from core.model.arrangement import Arrangement, ArrangementKind, Break, Order, ShowP
from core.model.issue import Description, Facet, Series, SeriesId, Strike
from core.model.label import what_differs

SeriesOf = Callable[[SeriesId], Series]


def series_of_slots(series_of: SeriesOf, slots: Sequence[Slot]) -> list[Series]:
    """The series that slots take coins of, as they are first met."""
    return [series_of(code) for code in dict.fromkeys(slot.accepts.series for slot in slots)]


def date_ranks(known: Sequence[Series]) -> dict[str, int]:
    """The place of each date in the order of years; of one year, as their series has them."""
    ranks: dict[str, int] = {}
    for date, _ in sorted((d for s in known for d in s.dates), key=lambda dated: dated[1]):
        ranks.setdefault(date, len(ranks))
    return ranks


def mint_of(slot: Slot) -> str:
    """A slot's mint as the grid has it: "" for any, `NO_LETTER` for one without a letter."""
    mint = slot.accepts.only(Facet.MINT)
    return "" if mint is None else mint or NO_LETTER


def rank_of(ranks: Mapping[str, int], series: Series, slot: Slot) -> int:
    """The rank of a slot's date, or of the first that it takes."""
    date = slot.accepts.only(Facet.DATE)
    if date is None:
        date = next((issue.date for issue in series.matching(slot.accepts)), "")
    return ranks.get(date, len(ranks))


def grid_slots(
    series_of: SeriesOf, slots: Sequence[Slot], arrangement: Arrangement
) -> list[GridSlot]:
    """The slots as the grid sees them; rank, year and design only where the arrangement asks."""
    rules = {block_rule(arrangement.kind), arrangement.leaf_break, arrangement.row_break}
    asks_design = Break.DESIGN in rules or arrangement.kind is ArrangementKind.BY_DESIGN
    asks_year = Break.DECADE in rules
    ranks: dict[str, int] = {}
    if arrangement.order is not Order.AS_LISTED:
        ranks = date_ranks(series_of_slots(series_of, slots))
    out = []
    for slot in slots:
        series = series_of(slot.accepts.series)
        design, title = _design(series, slot) if asks_design else ("", "")
        variety = series.variety(slot.variety) if slot.variety else None
        differs = what_differs(series, slot.accepts, variety.name if variety else "")
        if arrangement.kind is ArrangementKind.BY_DESIGN:  # the head says it
            differs = differs.removeprefix(title).lstrip()
        out.append(
            GridSlot(
                slot.accepts.only(Facet.DATE) or slot.label,
                mint_of(slot),
                differs,
                slot.label,
                rank_of(ranks, series, slot) if ranks else 0,
                _year(series, slot) if asks_year else None,
                design,
                title,
                slot.lead,
            )
        )
    return out


def _year(series: Series, slot: Slot) -> int | None:
    """The first Gregorian year that a slot takes, None where it takes several decades."""
    years = [issue.year for issue in series.matching(slot.accepts)]
    return min(years) if len({year // 10 for year in years}) == 1 else None


def _design(series: Series, slot: Slot) -> tuple[str, str]:
    """A key and the title of the one design that a slot takes, "" where it takes several."""
    designs = {issue.design for issue in series.matching(slot.accepts)}
    if len(designs) != 1:
        return "", ""
    (design,) = designs
    return f"{series.id}/{design}", series.design(design).title


def columns(known: Sequence[Series], show_p: ShowP) -> list[Column]:
    """A column a mint, headed by its letter; where coins bear none, or another, it says so."""
    found: dict[str, Column] = {}
    for series in known:
        for mint in series.mints:
            if (mint.id or NO_LETTER) in found:
                continue
            marks = {i.mark for i in series.issues if i.mint == mint.id}
            head = mint.id
            if marks == {""} or (show_p is ShowP.NEVER and mint.id == "P"):
                head = f"{mint.id} (no letter)".strip()
            elif len(marks) == 1 and mint.id not in marks:
                head = f"{mint.id} ({marks.pop()})"
            found[mint.id or NO_LETTER] = Column(mint.id or NO_LETTER, head, mint.name)
    return list(found.values())


def struck_pairs(known: Sequence[Series]) -> set[tuple[str, str]]:
    """Dates and mints struck for circulation, whether let go to banks or to collectors."""
    pairs = set()
    for series in known:
        struck = series.may_be(Description.of(series.id, {Facet.STRIKE: Strike.CIRCULATION}))
        pairs |= {(i.date, i.mint or NO_LETTER) for i in series.issues_of(struck)}
    return pairs
