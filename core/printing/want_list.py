"""A want list on paper: what is sought, on lines to be read at arm's length and written on. Pure.

A line of the list stands in a block: a box to strike it out, what it is, the most to pay; the least
grade and what is held now; room for a dealer and a price. Two columns on large paper, one on small.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import StrEnum

from core.glyph.shapes import REACH
from core.printing.flow_blocks import Block, Room, fill_pages, finished, gap
from core.printing.leaf_scene import MIDDLE
from core.printing.page_edges import COLUMN_GAP
from core.printing.placed import (
    MM,
    Measure,
    Page,
    PlacedBox,
    PlacedRule,
    Sheet,
    Style,
    Wrap,
)
from core.printing.text_runs import Face


class WantPaper(StrEnum):
    """The papers of a want list; the last is as high and wide as a page on a phone."""

    A4 = "a4"
    LETTER = "letter"
    A6 = "a6"
    PHONE = "phone"

    @property
    def shown_name(self) -> str:
        """The name to show: "A4", "Letter", "A6", "Phone"."""
        return self.value.capitalize()

    @property
    def size_mm(self) -> tuple[float, float]:
        """Width and height of an upright sheet in millimetres.

        Sources: ISO 216:2007, table of the A series; ANSI/ASME Y14.1, size A, 8.5 × 11 inches. The
        phone's is our own choice, one to two.
        """
        return _SIZES_MM[self]


_SIZES_MM = {
    WantPaper.A4: (210.0, 297.0),
    WantPaper.LETTER: (215.9, 279.4),
    WantPaper.A6: (105.0, 148.0),
    WantPaper.PHONE: (90.0, 180.0),
}


@dataclass(frozen=True, slots=True)
class WantRow:
    """A coin sought: `code` is the glyph byte of its slot.

    `least` "VF-20 or better", `problems` "sound only", `held` "now G-4" or "gap"; `pay` an amount,
    letters that stand for one, or "" where it is hidden or there is none.
    """

    code: int
    label: str
    least: str
    problems: str
    held: str
    pay: str = ""


@dataclass(frozen=True, slots=True)
class WantPart:
    """Rows of one priority in one album: `title` "Key dates", `subtitle` the album's name.

    The subtitle is "" where the whole list is of one album.
    """

    title: str
    subtitle: str
    rows: tuple[WantRow, ...]


@dataclass(frozen=True, slots=True)
class WantSheet:
    """A whole want list, ready to be laid out; parts stand by priority, the first ones first.

    `notes` are said once, above the rows; `pay_head` "most to pay, USD" or "" where it is hidden;
    `footer` stands at the foot of each page, after `caution` where both have room; `empty_text`
    where there is no row.
    """

    title: str
    day_text: str
    notes: tuple[str, ...]
    pay_head: str
    parts: tuple[WantPart, ...]
    caution: str
    footer: str
    empty_text: str = "nothing to list here"


@dataclass(frozen=True, slots=True)
class _Look:
    """Margins and type of a paper, all in points.

    What is read at arm's length is 12 points and more; source: UK Association for Accessible
    Formats, "Minimum standards: clear and large print" (MS03, 2012), 12 points for clear print.
    """

    margin: float
    columns: int
    title: Style
    aside: Style
    part: Style
    label: Style
    fact: Style
    small: Style

    @property
    def line(self) -> float:
        """From baseline to baseline of the facts."""
        return 1.24 * self.fact.size

    @property
    def is_wide(self) -> bool:
        """Whether the list's name stands beside the title."""
        return self.columns > 1


def _look(
    margin_mm: float, columns: int, title: float, aside: float, fact: float, small: float
) -> _Look:
    return _Look(
        margin_mm * MM,
        columns,
        Style(Face.BOLD, title),
        Style(Face.REGULAR, aside),
        Style(Face.BOLD, fact),
        Style(Face.BOLD, fact + 2.0),
        Style(Face.REGULAR, fact),
        Style(Face.REGULAR, small),
    )


_LOOKS = {
    WantPaper.A4: _look(14, 2, 19, 12, 12, 8.6),
    WantPaper.LETTER: _look(14, 2, 19, 12, 12, 8.6),
    WantPaper.A6: _look(6, 1, 15, 10, 12, 8.2),
    WantPaper.PHONE: _look(5, 1, 15, 11, 12, 8.8),
}
_TO_WORDS = 20.0
_BOX = 12.0
_ABOVE, _BELOW = 4.0, 5.0
_WRITING = 18.0
"""Room over a line that is written on."""
_PRICE_SHARE = 0.36
_LONG_TITLE = 0.66
"""The share of its size that a title on two lines has."""
_MOST_ALBUM_LINES = 2
NO_PRICE = "no price"
"""Stands where amounts are, for a coin without one."""


def want_pages(
    sheet: WantSheet, paper: WantPaper, measure: Measure, wrap: Wrap
) -> tuple[Page, ...]:
    """The want list on a paper, on as many pages as it needs."""
    look = _LOOKS[paper]
    width, height = (side * MM for side in paper.size_mm)
    inner = width - 2 * look.margin
    column = (inner - (look.columns - 1) * COLUMN_GAP) / look.columns
    title = _title(sheet, look, inner, measure, wrap)
    above = 41.0 if look.is_wide else look.title.size + look.aside.size + 15.0
    top = look.margin + above + title.more
    bottom = height - look.margin - look.small.size - 7.0
    lefts = tuple(look.margin + at * (column + COLUMN_GAP) for at in range(look.columns))
    blocks = list(_blocks(sheet, look, column, measure, wrap))
    sheets = fill_pages(blocks, Room(lefts, top, bottom), measure)
    for number, page in enumerate(sheets, 1):
        _draw_header(page, sheet, title, look, inner)
        base = height - look.margin - 0.245 * look.small.size
        told = f"page {number} of {len(sheets)}"
        right = look.margin + inner
        room = page.text_to(right, base, told, look.small) - look.margin - 2 * look.small.size
        whole = f"{sheet.caution} · {sheet.footer}"
        foot = whole if measure(whole, look.small) <= room else sheet.caution
        page.short_text(look.margin, base, foot, look.small, room)
    return finished(sheets, width, height)


@dataclass(frozen=True, slots=True)
class _Title:
    """The title as it stands: on one line, or a long one smaller on two; `more` is its room."""

    lines: tuple[str, ...]
    style: Style
    width: float
    more: float = 0.0


def _title(sheet: WantSheet, look: _Look, width: float, measure: Measure, wrap: Wrap) -> _Title:
    beside = max(measure("Want list", look.aside), measure(sheet.day_text, look.small)) + 20.0
    room = width - beside if look.is_wide else width
    if measure(sheet.title, look.title) <= room:
        return _Title((sheet.title,), look.title, room)
    style = replace(look.title, size=look.title.size * _LONG_TITLE)
    lines = wrap(sheet.title, style, room)
    more = 0.0 if look.is_wide else 0.5 * look.title.size
    return _Title((lines[0], " ".join(lines[1:])), style, room, more)


def _draw_header(page: Sheet, sheet: WantSheet, title: _Title, look: _Look, width: float) -> None:
    """Title, name of the list and day, over a line; beside or below each other."""
    left, right = look.margin, look.margin + width
    base = look.margin + 0.9 * look.title.size
    step = 1.16 * title.style.size
    up = step * (len(title.lines) - 1) - title.more
    low = base + (0.3 * look.title.size if look.is_wide and up else 0.0)
    for at, line in enumerate(title.lines):
        page.short_text(left, low - up + at * step, line, title.style, title.width)
    base += title.more
    if look.is_wide:
        page.text_to(right, base - 6.0, "Want list", look.aside)
        page.text_to(right, base + 7.4, sheet.day_text, look.small, "mute")
        base += 14.6
    else:
        base += look.aside.size + 5.0
        end = page.text(left, base, "Want list", look.aside)
        room = right - end - 10.0
        if page.measure(sheet.day_text, look.small) <= room:
            page.text_to(right, base, sheet.day_text, look.small, "mute")
        base += 6.0
    page.rules.append(PlacedRule(left, base, width, 1.1))


def _blocks(
    sheet: WantSheet, look: _Look, width: float, measure: Measure, wrap: Wrap
) -> Iterator[Block]:
    if sheet.notes:
        yield _notes(sheet.notes, look, width, wrap)
    before = ""
    for part in sheet.parts:
        title = _part_title(part, sheet.pay_head, look, width)
        album = _part_album(part, sheet.pay_head, look, width, measure, wrap)
        head = _both(title, album)
        yield gap(9.0)
        yield head if part.title != before else replace(album, head=title)
        for row in part.rows:
            yield _row(row, sheet.pay_head, look, width, head, measure, wrap)
        before = part.title
    if not sheet.parts:
        yield gap(6.0)
        yield _notes((sheet.empty_text,), look, width, wrap, look.fact)


def _notes(
    notes: tuple[str, ...], look: _Look, width: float, wrap: Wrap, style: Style | None = None
) -> Block:
    used = style or look.small
    lines = wrap(" ".join(notes), used, width)
    step = 1.36 * used.size

    def draw(sheet: Sheet, x: float, y: float) -> None:
        for at, line in enumerate(lines, 1):
            sheet.text(x, y + at * step - 0.3 * used.size, line, used, "mute")

    return Block(len(lines) * step + 2.0, draw)


def _part_title(part: WantPart, pay_head: str, look: _Look, width: float) -> Block:
    """The priority; beside it what the amounts are, where no album stands below."""

    def draw(sheet: Sheet, x: float, y: float) -> None:
        sheet.short_text(x, y + look.part.size, part.title, look.part, width)
        if not part.subtitle:
            sheet.text_to(x + width, y + look.part.size, pay_head, look.small, "mute")

    return Block(1.2 * look.part.size, draw, keeps_next=True)


def _part_album(
    part: WantPart, pay_head: str, look: _Look, width: float, measure: Measure, wrap: Wrap
) -> Block:
    """The album, and what the amounts on the right are, over a line."""
    small = look.small
    room = width - (measure(pay_head, small) + 8.0 if pay_head else 0.0)
    lines = wrap(part.subtitle, small, room)
    if len(lines) > _MOST_ALBUM_LINES:
        last = " ".join(lines[_MOST_ALBUM_LINES - 1 :])
        lines = (*lines[: _MOST_ALBUM_LINES - 1], last)
    step = 1.2 * small.size
    high = 2.0 + (1.5 * small.size + step * (len(lines) - 1) if lines else 0.0)

    def draw(sheet: Sheet, x: float, y: float) -> None:
        base = y + 1.1 * small.size
        for at, line in enumerate(lines):
            sheet.short_text(x, base + at * step, line, small, room, "mute")
        if lines:
            sheet.text_to(x + width, base + step * (len(lines) - 1), pay_head, small, "mute")
        sheet.rules.append(PlacedRule(x, y + high - 0.9, width, 0.9))

    return Block(high, draw, keeps_next=True)


def _both(above: Block, below: Block) -> Block:
    def draw(sheet: Sheet, x: float, y: float) -> None:
        above.draw(sheet, x, y)
        below.draw(sheet, x, y + above.height)

    return Block(above.height + below.height, draw, keeps_next=True)


def _beside(text: str, style: Style, first: float, room: float, wrap: Wrap) -> tuple[str, ...]:
    """Lines of which only the first has less room, for what stands beside it."""
    line = (*wrap(text, style, first), "")[0]
    if not text.startswith(line):  # spaces were put together
        return wrap(text, style, first)
    return (line, *wrap(text[len(line) :].lstrip(), style, room))


def _row(
    row: WantRow,
    pay_head: str,
    look: _Look,
    width: float,
    head: Block,
    measure: Measure,
    wrap: Wrap,
) -> Block:
    """One coin sought; the hairline stands under it."""
    room = width - _TO_WORDS
    pay, pay_style = (row.pay, look.label) if row.pay or not pay_head else (NO_PRICE, look.small)
    cut = room - (measure(pay, pay_style) + 10.0 if pay else 0.0)
    label = _beside(row.label, look.label, cut, room, wrap)
    asked = f"{row.least}, {row.problems}"
    diameter = 0.86 * look.fact.size
    to_held = REACH * diameter + 3.0
    beside = measure(asked, look.fact) + measure(row.held, look.fact) + to_held + 9.0 <= room
    lines = wrap(asked, look.fact, room)
    held = () if beside else wrap(row.held, look.fact, room - to_held)
    step = 1.2 * look.label.size
    facts = len(lines) + len(held)
    high = _ABOVE + step * len(label) + look.line * facts + _WRITING + _BELOW

    def draw_held(sheet: Sheet, x: float, base: float, text: str) -> None:
        middle = base - MIDDLE * look.fact.size
        sheet.glyph(row.code, x + REACH * diameter / 2, middle, diameter)
        sheet.text(x + to_held, base, text, look.fact)

    def draw(sheet: Sheet, x: float, y: float) -> None:
        left, right = x + _TO_WORDS, x + width
        base = y + _ABOVE + 0.86 * look.label.size
        sheet.boxes.append(PlacedBox(x, base - _BOX + 1.2, _BOX, 0.8))
        for at, line in enumerate(label):
            sheet.text(left, base + at * step, line, look.label)
        sheet.text_to(right, base, pay, pay_style, "ink" if row.pay else "mute")
        base += step * (len(label) - 1) + 0.14 * look.label.size
        for line in lines:
            base += look.line
            sheet.text(left, base, line, look.fact)
        if beside:
            begin = right - measure(row.held, look.fact) - to_held
            draw_held(sheet, begin, base, row.held)
        for at, line in enumerate(held):
            base += look.line
            if at:
                sheet.text(left + to_held, base, line, look.fact)
            else:
                draw_held(sheet, left, base, line)
        base += _WRITING
        middle = right - room * _PRICE_SHARE
        for begin, end, word in ((left, middle - 8.0, "dealer"), (middle, right, "price")):
            after = sheet.text(begin, base, word, look.small, "mute") + 4.0
            sheet.rules.append(PlacedRule(after, base + 1.5, end - after, 0.5))
        sheet.rules.append(PlacedRule(x, y + high, width, 0.25))

    return Block(high, draw, head=head)
