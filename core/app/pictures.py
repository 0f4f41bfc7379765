"""An album's view as a sheet, a picture or a card: PDF, PNG or SVG, from one drawing."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from core.app.checklists import day_text, state_counts
from core.app.past import SlotChange
from core.app.picture_order import PALETTES, Kind, PictureOrder, RealOrder, What
from core.app.real_size import real_size_of
from core.app.views import AlbumView, SlotView
from core.errors import BadEntry
from core.glyph.legend import MARKS, counted, key
from core.model.album import AlbumId, SlotId
from core.printing.drawn_page import check_least, page_pdf, page_png
from core.printing.leaf_picture import Heading, album_page
from core.printing.leaf_sheets import lay_out_leaves
from core.printing.pdf import measure, pages_pdf
from core.printing.placed import Page
from core.printing.real_size import lay_out_real_size
from core.printing.share_card import CardNews, NewOnCard, card_page
from core.printing.svg import page_svg

if TYPE_CHECKING:
    from core.app.collection import Collection


_WORDS = {
    SlotChange.NEW: "new",
    SlotChange.BETTER: "better",
    SlotChange.OTHER: "other coin",
    SlotChange.OUT: "out",
}


@dataclass(frozen=True, slots=True)
class Drawn:
    """What is drawn and said: the view, the day it is of, and what changed since another.

    `is_past` where that day is gone by.
    """

    view: AlbumView
    day: date
    collection: str
    is_past: bool = False
    since: date | None = None
    changes: Mapping[SlotId, SlotChange] | None = None

    @property
    def shown_changes(self) -> dict[SlotId, SlotChange]:
        """The changes that leave a slot other than it was."""
        changes = self.changes or {}
        return {slot: change for slot, change in changes.items() if change in _WORDS}


def drawn_of(
    collection: "Collection", album: AlbumId, as_of: date | None = None, since: date | None = None
) -> Drawn:
    """An album as it is, or at the end of a day gone by, with what changed after `since`.

    Raises BadEntry where `since` does not lie before that day.
    """
    today = collection.today
    day = as_of or today
    if since is not None and since >= day and as_of is not None:
        raise BadEntry(
            f"Nothing lies between {since.isoformat()} and {day.isoformat()}: choose an earlier "
            "day to tell what changed since."
        )
    if as_of is None and since is None:
        return Drawn(collection.album_view(album), day, collection.name)
    past = collection.album_past(album)
    view = past.present if as_of is None else past.view_on(as_of)
    changes = None
    if since is not None:
        changes = past.changed_since(since, as_of) if as_of else past.changed_since(since)
    return Drawn(view, day, collection.name, day < today, since, changes)


def draw(drawn: Drawn, order: PictureOrder) -> bytes:
    """The file. Raises BadEntry for a leaf that is not there or a size that cannot be drawn."""
    if order.kind is Kind.PDF and order.what is What.ALBUM:
        return _sheets(drawn, order) if order.real is None else _real_sheets(drawn, order)
    page = picture_page(drawn, order)
    name = drawn.view.album.name
    palette = PALETTES[order.theme]
    match order.kind:
        case Kind.PDF:
            return page_pdf(page, name, palette, _created(drawn))
        case Kind.PNG:
            return page_png(page, palette, scale_of(page, order))
        case Kind.SVG:
            check_least(page, scale_of(page, order))
            width = page.width * scale_of(page, order)
            return page_svg(page, name, drawn.view.headline.whole_text, palette, width)


def picture_page(drawn: Drawn, order: PictureOrder) -> Page:
    """The scene of a picture or card. Raises BadEntry for a leaf that is not there."""
    view = drawn.view
    changed = _changed_cells(drawn)
    has_ground = not order.is_transparent
    if order.what is What.CARD:
        heading = heading_of(drawn)
        return card_page(
            heading, view.plan, measure, news_of(drawn), changed, has_ground=has_ground
        )
    leaf = _leaf_index(view, order.leaf)
    heading = heading_of(drawn, leaf)
    return album_page(heading, view.plan, measure, leaf, changed, has_ground=has_ground)


def scale_of(page: Page, order: PictureOrder) -> float:
    """Dots a unit of the page."""
    return order.width_px / page.width if order.width_px else order.scale


def heading_of(drawn: Drawn, leaf: int | None = None) -> Heading:
    """What stands around the leaves; the key is that of a leaf (from 0) if it is drawn alone."""
    head = drawn.view.headline
    has_ring = bool(drawn.shown_changes) and drawn.since is not None
    since = f"changed since {day_text(drawn.since)}" if has_ring and drawn.since else ""
    return Heading(
        drawn.view.album.name,
        head.text,
        f"at target {head.at_target}",
        f"as of {day_text(drawn.day)}" if drawn.is_past else day_text(drawn.day),
        _all_counts(drawn.view) if leaf is None else _leaf_counts(drawn.view, leaf),
        head.have / head.wanted if head.wanted else 0.0,
        head.at_target / head.wanted if head.wanted else 0.0,
        since,
    )


def _leaf_counts(view: AlbumView, leaf: int) -> tuple[tuple[int, str], ...]:
    rows = view.leaves[leaf].rows
    slots = [view.slots[c.slot] for row in rows for c in row.cells if c.slot is not None]
    states = key(Counter(s.state for s in slots))
    return (*((entry.code, words) for entry, words in states), *_mark_counts(slots))


def _all_counts(view: AlbumView) -> tuple[tuple[int, str], ...]:
    return (*state_counts(view), *_mark_counts(view.slots))


def _mark_counts(slots: Iterable[SlotView]) -> tuple[tuple[int, str], ...]:
    """The key's entries for the marks that are drawn."""
    counts = Counter(mark for slot in slots for mark in slot.marks)
    return tuple((e.code, counted(e, counts[e.mark])) for e in MARKS if counts[e.mark])


def news_of(drawn: Drawn) -> CardNews | None:
    """What the card tells of a day; None where no day was asked for."""
    if drawn.since is None:
        return None
    changes, day = drawn.shown_changes, day_text(drawn.since)
    order = {change: at for at, change in enumerate(_WORDS)}
    seen = [view for view in drawn.view.slots if view.slot.id in changes]
    seen.sort(key=lambda view: order[changes[view.slot.id]])
    counts = Counter(_WORDS[change] for change in changes.values())
    summary = " · ".join(f"{counts[word]:,} {word}" for word in _WORDS.values() if counts[word])
    lines = tuple(_line(view, _WORDS[changes[view.slot.id]]) for view in seen)
    return CardNews(f"Since {day}", summary, lines, f"Nothing changed since {day}.")


def _line(view: SlotView, word: str) -> NewOnCard:
    return NewOnCard(view.code, view.slot.label, word)


def _changed_cells(drawn: Drawn) -> frozenset[int]:
    plan = drawn.view.plan
    cells = (plan.cell_of_slot(int(slot)) for slot in drawn.shown_changes)
    return frozenset(cell for cell in cells if cell >= 0)


def _leaf_index(view: AlbumView, number: int | None) -> int | None:
    if number is None:
        return None
    count = len(view.plan.leaves)
    if not 1 <= number <= count:
        has = f"{count} leaves, counted from 1" if count > 1 else "one leaf, number 1"
        raise BadEntry(
            f"{view.album.name} has no leaf {number}; it has {has if count else 'none'}."
        )
    return number - 1


def _sheets(drawn: Drawn, order: PictureOrder) -> bytes:
    view = drawn.view
    leaf = _leaf_index(view, order.leaf)
    pages = lay_out_leaves(
        heading_of(drawn, leaf),
        drawn.collection,
        view.plan,
        order.paper,
        measure,
        leaf,
        _changed_cells(drawn),
    )
    return pages_pdf(pages, f"{view.album.name}: leaves", _created(drawn), "Leaf sheets")


def _real_sheets(drawn: Drawn, order: PictureOrder) -> bytes:
    view = drawn.view
    leaf = _leaf_index(view, order.leaf)
    look = real_size_of(view, order.real or RealOrder())
    leaves = None if leaf is None else {leaf}
    pages = lay_out_real_size(view.plan, heading_of(drawn), leaves, order.paper, measure, look)
    title = f"{view.album.name}: leaves at real size"
    return pages_pdf(pages, title, _created(drawn), "Leaf sheets at real size")


def _created(drawn: Drawn) -> str:
    return f"D:{drawn.day:%Y%m%d}000000Z"
