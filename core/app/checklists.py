"""Checklists from an album's view: which slots each list holds, and the rows it prints."""

from collections.abc import Iterable
from datetime import date
from enum import StrEnum

from core.app.slot_card import came_from, coin_text
from core.app.views import AlbumView, SlotView
from core.arrange.grid import LeafLayout
from core.glyph.codes import GlyphCode
from core.glyph.legend import STATES, counted
from core.model.album import Wish
from core.model.coin import Coin, Origin
from core.model.issue import Series
from core.model.label import coin_name
from core.model.state import SlotState
from core.printing.checklist import Checklist, ChecklistLeaf, ChecklistRow, LeafMap, ListKind


class ListName(StrEnum):
    """The lists that can be printed."""

    OPEN = "open"
    GAPS = "gaps"
    BELOW = "below"
    ALL = "all"
    SPARES = "spares"


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


def listed(view: AlbumView, which: ListName) -> list[SlotView]:
    """The slots a list holds, in the order of the album."""
    return [v for v in view.slots if v.state in _HELD[which]]


def album_checklist(view: AlbumView, which: ListName, day: date, collection: str) -> Checklist:
    """A list of slots, grouped by leaf, each leaf with its small map."""
    leaves = []
    for leaf in view.leaves:
        slots = [view.slots[c.slot] for row in leaf.rows for c in row.cells if c.slot is not None]
        rows = tuple(_row(view.series, v) for v in slots if v.state in _HELD[which])
        leaves.append(
            ChecklistLeaf(leaf.title, leaf.subtitle, _leaf_map(leaf, view), rows, _EMPTY[which])
        )
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


def state_counts(view: AlbumView) -> tuple[tuple[int, str], ...]:
    """The legend: each state that occurs, with its count in words."""
    states = view.headline.states
    return tuple(
        (entry.code, counted(entry, states[entry.state])) for entry in STATES if states[entry.state]
    )


def _row(series: Series, view: SlotView) -> ChecklistRow:
    slot = view.slot
    variety = series.variety(slot.variety) if slot.variety else None
    name = variety.name if variety else ""
    return ChecklistRow(
        code=view.code,
        label=slot.label.removesuffix(name).rstrip() if name else slot.label,
        variety=name,
        held=view.held_text.partition(" ▸")[0],
        wanted=slot.target.text if slot.target else "",
        is_optional=slot.wish is Wish.OPTIONAL,
        note=slot.note,
    )


def _leaf_map(leaf: LeafLayout, view: AlbumView) -> LeafMap:
    codes = []
    for row in leaf.rows:
        line = [int(GlyphCode.SPACER)] * (row.indent // 2)
        for cell in row.cells:
            if cell.slot is not None:
                line.append(view.slots[cell.slot].code & 15)
            else:
                line.append(int(GlyphCode.SPACER if cell.is_spacer else GlyphCode.NOT_STRUCK))
        codes.append(tuple(line))
    return LeafMap(leaf.heads, tuple(row.head for row in leaf.rows if row.head), tuple(codes))


def spares_checklist(
    title: str, series: Series, spares: Iterable[tuple[Coin, int]], day: date, collection: str
) -> Checklist:
    """Held coins of a series that are in no slot: what they are, their grade, how many, where."""
    ordered = sorted(spares, key=lambda s: _coin_order(series, s[0]))
    rows = tuple(
        ChecklistRow(
            code=int(GlyphCode.FILLED),
            label=coin_name(series, coin),
            held=coin_text(coin),
            note=", ".join(w for w in (coin.place, coin.note) if w) or _origin(coin),
            count=count,
        )
        for coin, count in ordered
    )
    pieces = sum(row.count for row in rows)
    leaf = ChecklistLeaf(series.title, "", None, rows, "no spares")
    return Checklist(
        title=title,
        list_name=TITLES[ListName.SPARES],
        headline=f"{pieces} spare{'' if pieces == 1 else 's'}",
        day=day,
        day_text=day_text(day),
        counts=(),
        leaves=(leaf,) if rows else (),
        footer=collection,
        kind=ListKind.SPARES,
        empty_text="no spares",
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
