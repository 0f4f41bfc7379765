"""What the grid is told of an album's slots and mints: dates, designs, columns. Pure."""

from collections.abc import Callable, Sequence

from core.arrange.breaks import block_rule
from core.arrange.layout import Column, GridSlot
from core.arrange.order import NO_LETTER
from core.model.album import Slot
from core.model.arrangement import Arrangement, ArrangementKind, Break, Order, ShowP
from core.model.issue import Description, Facet, Series, SeriesId, Strike
from core.model.label import what_differs
from core.model.plan_across import is_type_slot, short_names

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


def slot_ranks(series_of: SeriesOf, slots: Sequence[Slot]) -> list[int]:
    """The rank of each slot's date, or of the first that it takes; of a date, series by series."""
    known = series_of_slots(series_of, slots)
    ranks, turn = date_ranks(known), {series.id: at for at, series in enumerate(known)}
    out = []
    for slot in slots:
        series, date = series_of(slot.accepts.series), slot.accepts.only(Facet.DATE)
        if date is None:
            date = next((issue.date for issue in series.matching(slot.accepts)), "")
        out.append(ranks.get(date, len(ranks)) * len(known) + turn[series.id])
    return out


Heads = Callable[[Series, str], str]
"""What the row of a series and a date is headed by."""


def row_heads(series_of: SeriesOf, slots: Sequence[Slot]) -> Heads:
    """The date alone in an album of one series; Dime in a year set; else 1943 dime."""
    known = series_of_slots(series_of, slots)
    if len(known) < 2:
        return lambda _series, date: date
    names = short_names(known)
    if len(_years(series_of, slots)) == 1:
        heads = {code: name[:1].upper() + name[1:] for code, name in names.items()}
        return lambda series, _date: heads.get(series.id, series.title)
    return lambda series, date: f"{date} {names.get(series.id, series.title)}"


def grid_slots(
    series_of: SeriesOf,
    slots: Sequence[Slot],
    arrangement: Arrangement,
    *,
    has_words: bool = True,
) -> list[GridSlot]:
    """The slots as the grid sees them; rank, year and design only where the arrangement asks.

    What differs in a date is asked by a matrix alone, and by none without `has_words`.
    """
    rules = {block_rule(arrangement.kind), arrangement.leaf_break, arrangement.row_break}
    asks_design = Break.DESIGN in rules or arrangement.kind is ArrangementKind.BY_DESIGN
    asks_year = Break.DECADE in rules
    is_across = len({slot.accepts.series for slot in slots}) > 1
    head = row_heads(series_of, slots) if arrangement.kind.is_matrix else _as_dated
    ranks = [0] * len(slots)
    if arrangement.order is not Order.AS_LISTED:
        ranks = slot_ranks(series_of, slots)
    out = []
    for slot, rank in zip(slots, ranks, strict=True):
        series, date = series_of(slot.accepts.series), slot.accepts.only(Facet.DATE)
        design, title = _design(series, slot) if asks_design else ("", "")
        if is_across and arrangement.kind is ArrangementKind.BY_TYPE:
            design, title = series.id, series.title
        differs = ""
        if arrangement.kind.is_matrix and has_words:
            variety = series.variety(slot.variety) if slot.variety else None
            differs = what_differs(series, slot.accepts, variety.name if variety else "")
        if arrangement.kind is ArrangementKind.BY_DESIGN:  # the head says it
            differs = differs.removeprefix(title).lstrip()
        row_head = head(series, date) if date else slot.label
        if arrangement.kind.is_matrix and is_type_slot(slot.accepts):
            row_head, title, differs = _type_heads(series, slot, arrangement.kind, is_across)
        out.append(
            GridSlot(
                row_head,
                mint_of(slot),
                differs,
                slot.label,
                rank,
                _year(series, slot) if asks_year else None,
                design,
                title,
                slot.lead,
            )
        )
    return out


def _type_heads(
    series: Series, slot: Slot, kind: ArrangementKind, is_across: bool
) -> tuple[str, str, str]:
    """Row head, title and what differs of a slot for a design: its title over its series."""
    if kind is ArrangementKind.BY_DESIGN:
        return series.title, slot.label, ""
    return slot.label, "", series.title if is_across else ""


def _as_dated(_series: Series, date: str) -> str:
    return date


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


def struck_pairs(series_of: SeriesOf, slots: Sequence[Slot]) -> set[tuple[str, str]]:
    """Rows and mints struck for circulation, whether let go to banks or to collectors.

    Of several series only in the years of the slots, as a row of a year set names no date.
    """
    known, head = series_of_slots(series_of, slots), row_heads(series_of, slots)
    years = _years(series_of, slots) if len(known) > 1 else None
    pairs = set()
    for series in known:
        struck = series.may_be(Description.of(series.id, {Facet.STRIKE: Strike.CIRCULATION}))
        pairs |= {
            (head(series, i.date), i.mint or NO_LETTER)
            for i in series.issues_of(struck)
            if years is None or i.year in years
        }
    return pairs


def _years(series_of: SeriesOf, slots: Sequence[Slot]) -> set[int]:
    taken = ((series_of(slot.accepts.series), slot.accepts) for slot in slots)
    return {issue.year for series, accepts in taken for issue in series.matching(accepts)}
