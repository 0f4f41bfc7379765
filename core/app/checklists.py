"""Checklists from an album's view: which slots each list holds, their groups, and the rows."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from enum import StrEnum

from core.app.album_view import headline
from core.app.slot_card import came_from, coin_text
from core.app.views import AlbumView, SlotView
from core.arrange.grid import LeafLayout
from core.arrange.unfold import unfolded
from core.errors import BadEntry
from core.glyph.codes import GlyphCode
from core.glyph.legend import STATES, counted
from core.model.album import Wish
from core.model.coin import Coin, Origin
from core.model.issue import Description, Mint, Series
from core.model.label import coin_name
from core.model.plan_across import short_names
from core.model.state import SlotState
from core.printing.checklist import (
    Checklist,
    ChecklistLeaf,
    ChecklistRow,
    LeafMap,
    LeftOut,
    ListColumn,
    ListKind,
    Paper,
)


class ListName(StrEnum):
    """The lists that can be printed."""

    OPEN = "open"
    GAPS = "gaps"
    BELOW = "below"
    ALL = "all"
    SPARES = "spares"


class ListGroup(StrEnum):
    """How the rows of a list are grouped."""

    LEAF = "leaf"
    DECADE = "decade"
    MINT = "mint"


TITLES = {
    ListName.OPEN: "Gaps and upgrades",
    ListName.GAPS: "Gaps",
    ListName.BELOW: "Upgrades",
    ListName.ALL: "Every slot",
    ListName.SPARES: "Spares",
}
_BELOW = (SlotState.BELOW_TARGET, SlotState.HOLE_FILLER, SlotState.TO_VERIFY)
_HELD = {
    ListName.GAPS: (SlotState.GAP,),
    ListName.BELOW: _BELOW,
    ListName.OPEN: (SlotState.GAP, *_BELOW),
    ListName.ALL: tuple(SlotState),
}
_EMPTY = {
    ListName.GAPS: "no gaps",
    ListName.BELOW: "nothing below target",
    ListName.OPEN: "complete at target",
    ListName.ALL: "no slots",
}


_MONTHS = (
    *("January", "February", "March", "April", "May", "June", "July", "August"),
    *("September", "October", "November", "December"),
)


def list_columns(text: str) -> tuple[ListColumn, ...]:
    """Columns as they are written: `mintage,price`; `none` for the bare dates.

    Raises BadEntry with the names there are.
    """
    names = [word.strip().casefold() for word in text.split(",") if word.strip()]
    if names == ["none"]:
        return ()
    known = ", ".join(ListColumn)
    if not names:
        raise BadEntry(f"No column is named; write some of {known}, or none.")
    for name in names:
        if name not in list(ListColumn):
            raise BadEntry(f"“{name}” is no column; choose from {known}, or write none.")
    return tuple(column for column in ListColumn if column in names)


def left_out_text(missing: LeftOut, paper: Paper) -> str:
    """What to say of columns that had no room on the paper, "" where all had."""
    told = []
    if missing.no_room:
        names = ", ".join(missing.no_room)
        advice = "choose fewer columns, or larger paper"
        told.append(f"No room on {paper.shown_name} for {names}: {advice}.")
    if missing.below:
        told.append(f"On a line below for want of room: {', '.join(missing.below)}.")
    return " ".join(told)


def listed(view: AlbumView, which: ListName) -> list[SlotView]:
    """The slots a list holds, in the order of the album."""
    return [v for v in view.slots if v.state in _HELD[which]]


def album_checklist(
    view: AlbumView,
    which: ListName,
    day: date,
    collection: str,
    group: ListGroup = ListGroup.LEAF,
) -> Checklist:
    """A list of slots in groups: leaves with their small maps, decades or mints with counts."""
    if group is ListGroup.LEAF:
        leaves = [_leaf_group(leaf, view, which) for leaf in view.leaves]
    else:
        leaves = _slot_groups(view, which, group)
    return Checklist(
        title=view.album.name,
        list_name=TITLES[which],
        headline=view.headline.whole_text,
        day=day,
        day_text=day_text(day),
        counts=state_counts(view),
        leaves=tuple(leaves),
        footer=collection,
    )


def _leaf_group(leaf: LeafLayout, view: AlbumView, which: ListName) -> ChecklistLeaf:
    slots = [view.slots[c.slot] for row in leaf.rows for c in row.cells if c.slot is not None]
    rows = tuple(_rows(view, slots, which))
    return ChecklistLeaf(leaf.title, leaf.subtitle, _leaf_map(leaf, view), rows, _EMPTY[which])


def _slot_groups(view: AlbumView, which: ListName, group: ListGroup) -> list[ChecklistLeaf]:
    """The slots by decade or mint, each group in the order of the album, with its counts."""
    groups = []
    meant = [v.slot.accepts for v in view.slots]
    for title, places in _grouped(view.all_series, meant, group):
        slots = [view.slots[at] for at in places]
        rows = tuple(_rows(view, slots, which))
        groups.append(ChecklistLeaf(title, headline(slots).whole_text, None, rows, _EMPTY[which]))
    return groups


def _rows(view: AlbumView, slots: Sequence[SlotView], which: ListName) -> Iterator[ChecklistRow]:
    """The rows of those slots that the list holds; across series each says of which it is."""
    names = short_names(view.all_series) if view.others else {}
    for shown in slots:
        if shown.state in _HELD[which]:
            series = view.series_of(shown.slot)
            yield _row(series, shown, names.get(series.id, ""))


def _grouped(
    known: Sequence[Series], meant: Sequence[Description], group: ListGroup
) -> list[tuple[str, list[int]]]:
    """The titles of the groups in order, each with the places of its descriptions.

    What may be of several decades, or of several mints, stands in a group of its own at the end.
    Mints come as the first series that has them lists them.
    """
    by_id = {series.id: series for series in known}
    mints: dict[str, int] = {}
    for series in known:
        for mint in series.mints:
            mints.setdefault(_mint_title(mint), len(mints))
    found: dict[tuple[int, str], list[int]] = {}
    for at, description in enumerate(meant):
        series = by_id.get(description.series, known[0])
        mask = series.may_be(description)
        if group is ListGroup.DECADE:
            key = _decade_key(series, mask)
        else:
            key = _mint_key(series, mask, mints)
        found.setdefault(key, []).append(at)
    return [(title, found[order, title]) for order, title in sorted(found)]


_LAST = 1 << 30


def _decade_key(series: Series, mask: int) -> tuple[int, str]:
    decades = {issue.year // 10 * 10 for issue in series.issues_of(mask)}
    if len(decades) == 1:
        (decade,) = decades
        return decade, f"{decade}s"
    return _LAST, "More than one decade" if decades else "No issue of the series"


def _mint_key(series: Series, mask: int, order: Mapping[str, int]) -> tuple[int, str]:
    mints = {issue.mint for issue in series.issues_of(mask)}
    if len(mints) == 1:
        title = _mint_title(series.mint(mints.pop()))
        return order[title], title
    return _LAST, "More than one mint" if mints else "No issue of the series"


def _mint_title(mint: Mint) -> str:
    return mint.name if mint.name == mint.id else f"{mint.name} ({mint.id})"


def state_counts(view: AlbumView) -> tuple[tuple[int, str], ...]:
    """The legend: each state that occurs, with its count in words."""
    states = view.headline.states
    return tuple(
        (entry.code, counted(entry, states[entry.state])) for entry in STATES if states[entry.state]
    )


def _row(series: Series, view: SlotView, of: str = "") -> ChecklistRow:
    """One slot; `of` is what coins of its series are called, where the list has several."""
    slot = view.slot
    variety = series.variety(slot.variety) if slot.variety else None
    name = variety.name if variety else ""
    label = slot.label.removesuffix(name).rstrip() if name else slot.label
    return ChecklistRow(
        code=view.code,
        label=f"{label}, {of}" if of and of not in label else label,
        variety=name,
        held=held_in_full(view),
        wanted=slot.target.text if slot.target else "",
        is_optional=slot.wish is Wish.OPTIONAL,
        note=slot.note,
        mintage=mintage_told(series, series.may_be(slot.accepts), label if variety else ""),
    )


def held_in_full(view: SlotView) -> str:
    """What a slot holds, a grade of another country with its table and range."""
    held = view.held_text.partition(" ▸")[0]
    grade = view.coin.grade if view.coin else None
    return grade.text if grade and grade.table and held == grade.short_text else held


def mintage_told(series: Series, mask: int, part_of: str = "") -> str:
    """A mintage as a list prints it: 15,294,000; 880,000 of all 1982-D; or not known.

    With `part_of`, for one variety, the figure is of all coins so named: what was struck of a
    variety alone is in no report.
    """
    number, of_what = series.mintage_of(mask)
    if number is None:
        return "not known"
    said = of_what or (f"of all {part_of}" if part_of else "")
    return f"{number:,} {said}".rstrip()


def _leaf_map(laid: LeafLayout, view: AlbumView) -> LeafMap:
    leaf = unfolded(laid)
    codes = []
    for row in leaf.rows:
        line = [int(GlyphCode.SPACER)] * (row.indent // 2)
        for cell in row.cells:
            if cell.slot is not None:
                line.append(view.slots[cell.slot].code & 15)
            else:
                line.append(int(GlyphCode.SPACER if cell.is_spacer else GlyphCode.NOT_STRUCK))
        codes.append(tuple(line))
    row_heads = tuple(row.head for row in leaf.rows)
    return LeafMap(leaf.heads, row_heads if any(row_heads) else (), tuple(codes))


def spares_checklist(
    title: str,
    known: Sequence[Series],
    spares: Iterable[tuple[Coin, int]],
    day: date,
    collection: str,
    group: ListGroup = ListGroup.LEAF,
) -> Checklist:
    """Held coins of these series that are in no slot: what they are, grade, how many, where.

    Grouped by leaf they are one group a series, as they lie on none.
    """
    by_id = {series.id: series for series in known}
    turn = {code: at for at, code in enumerate(by_id)}

    def order(spare: tuple[Coin, int]) -> tuple[int, tuple[int, int, int]]:
        code = spare[0].description.series
        return turn[code], _coin_order(by_id[code], spare[0])

    ordered = sorted(spares, key=order)
    names = short_names(known) if len(by_id) > 1 else {}
    by_leaf = group is ListGroup.LEAF
    rows = [
        _spare_row(by_id[code], coin, count, "" if by_leaf else names.get(code, ""))
        for coin, count in ordered
        for code in [coin.description.series]
    ]
    if by_leaf:
        places: dict[str, list[int]] = {}
        for at, (coin, _) in enumerate(ordered):
            places.setdefault(by_id[coin.description.series].title, []).append(at)
        groups = list(places.items())
    else:
        groups = _grouped(known, [coin.description for coin, _ in ordered], group)
    leaves = []
    for name, ats in groups:
        some = tuple(rows[at] for at in ats)
        told = "" if by_leaf and len(groups) < 2 else _spares_text(some)
        leaves.append(ChecklistLeaf(name, told, None, some, "no spares"))
    return Checklist(
        title=title,
        list_name=TITLES[ListName.SPARES],
        headline=_spares_text(rows),
        day=day,
        day_text=day_text(day),
        counts=(),
        leaves=tuple(leaves),
        footer=collection,
        kind=ListKind.SPARES,
        empty_text="no spares",
    )


def _spares_text(rows: Sequence[ChecklistRow]) -> str:
    pieces = sum(row.count for row in rows)
    return f"{pieces} spare{'' if pieces == 1 else 's'}"


def _spare_row(series: Series, coin: Coin, count: int, of: str = "") -> ChecklistRow:
    mask = series.may_be(coin.description)
    struck = {(issue.date, issue.mint) for issue in series.issues_of(mask)}
    return ChecklistRow(
        code=int(GlyphCode.FILLED),
        label=", ".join(filter(None, (coin_name(series, coin), of))),
        held=coin_text(coin),
        note=", ".join(w for w in (coin.place, coin.note) if w) or _origin(coin),
        mintage=mintage_told(series, mask) if len(struck) == 1 else "date or mint open",
        count=count,
    )


def _origin(coin: Coin) -> str:
    known = coin.origin is not Origin.UNKNOWN or coin.came_from
    return came_from(coin) if known else ""


def _coin_order(series: Series, coin: Coin) -> tuple[int, int, int]:
    mask = series.may_be(coin.description)
    return ((mask & -mask).bit_length(), -(coin.points or 0), int(coin.id))


def day_text(day: date) -> str:
    """25 November 2026, whatever the language of the system."""
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}"
