"""Sheets for the sorting table: what to look closer at, and a blank sheet to tally on. Pure."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil

from core.glyph.codes import GlyphCode
from core.model.issue import Evidence, Face
from core.printing.checklist import Paper
from core.printing.flow_blocks import Block, Room, fill_pages, finished, gap
from core.printing.leaf_scene import MIDDLE
from core.printing.page_edges import COLUMN_GAP, Frame, draw_footer, frame_of
from core.printing.placed import Measure, Page, PlacedRule, Sheet, Style, frame, rounded
from core.printing.spot_signs import apart, draw_disc, draw_spot, on_disc
from core.printing.text_runs import Face as Font
from core.printing.text_runs import wrap_text

TITLE, ASIDE = Style(Font.BOLD, 19.0), Style(Font.REGULAR, 12.0)
SMALL, TINY = Style(Font.REGULAR, 8.2), Style(Font.REGULAR, 7.2)
SECTION, NAME = Style(Font.BOLD, 12.0), Style(Font.BOLD, 9.8)
PLAIN, STRONG = Style(Font.REGULAR, 8.6), Style(Font.BOLD, 8.6)
DISC, SPOT, LOW = 30.0, 5.4, 11.4
BETWEEN_SPOTS, FROM_RIM = 2.6, 1.5
"""What stays free between two spots of a disc, and between a spot and the rim."""
"""Radius of a disc and of a spot, and from baseline to baseline, in points."""
_STRONGEST = (Evidence.DECIDES, Evidence.SUPPORTS, Evidence.EXCLUDES)
_DISC_GAP = 10.0


@dataclass(frozen=True, slots=True)
class SheetMarker:
    """A place to look at, as on the slot card; `number` is that of its spot, 0 for none."""

    number: int
    place: str
    see: str
    evidence: Evidence
    face: Face
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class CloserEntry:
    """One thing to look for: the date, its name, how likely, the open slots it fits, and markers.

    `look` tells it where there are no markers.
    """

    date: str
    name: str
    odds: str
    slots: tuple[str, ...]
    markers: tuple[SheetMarker, ...]
    look: str = ""


@dataclass(frozen=True, slots=True)
class CloserSheet:
    """What to look closer at: for open slots first, then the rest of these coins."""

    title: str
    footer: str
    day_text: str
    for_slots: tuple[CloserEntry, ...]
    others: tuple[CloserEntry, ...]


@dataclass(frozen=True, slots=True)
class OpenRow:
    """A date with the open slots of each mint: the label where one is open, "" where none is."""

    date: str
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class TallySheet:
    """A blank sheet for a box: a row a roll, a column a tally; then the open slots to strike.

    `about` stands under the title. `rolls` are told from `first_roll` on.
    """

    title: str
    footer: str
    about: str
    rolls: int
    first_roll: int
    tallies: tuple[str, ...]
    mints: tuple[str, ...]
    open_rows: tuple[OpenRow, ...]
    others: tuple[str, ...]


# ---- look closer


def closer_pages(sheet: CloserSheet, paper: Paper, measure: Measure) -> tuple[Page, ...]:
    """The look-closer sheet on a paper."""
    edges = frame_of(paper)
    width = edges.column_width
    blocks: list[Block] = []
    for title, entries in (
        ("For open slots", sheet.for_slots),
        ("Also in these coins", sheet.others),
    ):
        if entries:
            blocks += [gap(8), _section(title)]
            blocks += [_closer_block(one, width, measure) for one in entries]
    if not blocks:
        blocks.append(_words("Nothing to look closer at is known of these coins.", width))
    aside = sheet.day_text
    top = edges.top + 54.0
    lefts = tuple(
        edges.left + at * (width + COLUMN_GAP) for at in range(edges.column_count)
    )  # fmt: skip
    sheets = fill_pages(blocks, Room(lefts, top, edges.bottom), measure)
    for number, page in enumerate(sheets, 1):
        _header(page, edges, sheet.title, "Look closer", aside)
        _evidence_key(page, edges)
        draw_footer(page, sheet.footer, f"page {number} of {len(sheets)}", edges)
    return finished(sheets, edges.paper_width, edges.paper_height)


def _header(page: Sheet, edges: Frame, title: str, name: str, aside: str) -> None:
    base = edges.top + 17.0
    beside = max(page.measure(name, ASIDE), page.measure(aside, SMALL))
    page.short_text(edges.left, base, title, TITLE, edges.width - beside - 20)
    page.text_to(edges.right, base - 6.0, name, ASIDE)
    page.text_to(edges.right, base + 7.4, aside, SMALL, "mute")
    page.rules.append(PlacedRule(edges.left, base + 14.6, edges.width, 1.1))


def _evidence_key(page: Sheet, edges: Frame) -> None:
    x, middle = edges.left, edges.top + 39.5
    for evidence, words in zip(
        _STRONGEST, ("decides", "supports", "excludes"), strict=True
    ):  # fmt: skip
        draw_spot(page, (x + 4.0, middle), 0, evidence, 3.6)
        x = page.text(x + 11.0, middle + MIDDLE * SMALL.size, words, SMALL) + 12.0
    gap_code = int(GlyphCode.GAP)
    page.glyph(gap_code, x + 4.0, middle, 8.4)
    page.text(x + 11.0, middle + MIDDLE * SMALL.size, "open in the album", SMALL)


def _section(text: str) -> Block:
    def draw(sheet: Sheet, x: float, y: float) -> None:
        sheet.text(x, y + 11.0, text, SECTION)

    return Block(20.0, draw, keeps_next=True)


def _words(text: str, width: float) -> Block:
    def draw(sheet: Sheet, x: float, y: float) -> None:
        sheet.short_text(x, y + 12.0, text, PLAIN, width)

    return Block(18.0, draw)


def _closer_block(entry: CloserEntry, width: float, measure: Measure) -> Block:
    """Discs on the left, on the right name, odds and markers."""
    faces = [
        face
        for face in (Face.OBVERSE, Face.REVERSE)
        if any(m.number and m.face is face for m in entry.markers)
    ]
    left = 2 * DISC + _DISC_GAP
    room = width - left

    def wrapped(text: str, style: Style, wide: float) -> tuple[str, ...]:
        return wrap_text(text, wide, lambda part: measure(part, style))

    title = wrapped(f"{entry.date} {entry.name}".strip(), NAME, room)
    odds = wrapped(entry.odds, SMALL, room)
    opens = wrapped(", ".join(entry.slots), SMALL, room - 13.0)
    told = [(m, wrapped(f"{m.place}: {m.see}", PLAIN, room - 16.0)) for m in entry.markers]
    look = () if told else wrapped(entry.look, PLAIN, room)
    words = 12.4 * len(title) + LOW * (len(odds) + len(opens) + len(look))
    words += sum(LOW * max(1, len(lines)) + 2.4 for _, lines in told)
    discs = len(faces) * (2 * DISC + 11.0)
    height = max(words, discs) + 11.0

    def draw(sheet: Sheet, x: float, y: float) -> None:
        sheet.shape("line", rounded(x, y, width, 0.35))
        top = y + 5.0
        for at, face in enumerate(faces):
            _draw_face(sheet, entry, face, (x + DISC, top + at * (2 * DISC + 11.0) + DISC))
        at_x, base = x + left, top - 2.4
        for line in title:
            base += 12.4
            sheet.text(at_x, base, line, NAME)
        for line in odds:
            base += LOW
            sheet.text(at_x, base, line, SMALL, "mute")
        for number, line in enumerate(opens):
            base += LOW
            if not number:
                sheet.glyph(int(GlyphCode.GAP), at_x + 4.2, base - MIDDLE * SMALL.size, 8.4)
            sheet.text(at_x + 13.0, base, line, SMALL)
        for line in look:
            base += LOW
            sheet.text(at_x, base, line, PLAIN)
        for marker, lines in told:
            base += 2.4
            middle = base + LOW - MIDDLE * PLAIN.size
            small = SPOT if marker.number else SPOT - 2.0
            draw_spot(sheet, (at_x + SPOT, middle), marker.number, marker.evidence, small)
            for line in lines or ("",):
                base += LOW
                sheet.text(at_x + 16.0, base, line, PLAIN)

    return Block(height, draw)


def _draw_face(sheet: Sheet, entry: CloserEntry, face: Face, middle: tuple[float, float]) -> None:
    x, y = middle
    draw_disc(sheet, x, y, DISC)
    by_number: dict[int, list[SheetMarker]] = {}
    for marker in entry.markers:
        if marker.number and marker.face is face:
            by_number.setdefault(marker.number, []).append(marker)
    places = {
        number: on_disc(markers[0].x, markers[0].y, DISC, SPOT + FROM_RIM)
        for number, markers in sorted(by_number.items())
    }
    shown = apart(places, 2 * SPOT + BETWEEN_SPOTS, DISC - SPOT - FROM_RIM)
    for number, (across, down) in shown.items():
        evidence = min((m.evidence for m in by_number[number]), key=_STRONGEST.index)
        draw_spot(sheet, (x + across, y + down), number, evidence)
    sheet.text_about(x, y + DISC + 8.0, str(face), TINY, "mute")


# ---- the tally sheet


ROLL_ROW, LEAST_ROLL_ROW, ALL_ROW, OPEN_ROW, HEAD_LINES = 12.6, 10.8, 18.0, 17.0, 3
_ROLL_WIDTH, _LEAST_COLUMN, _MOST_COLUMN = 30.0, 34.0, 74.0
_TOP = 58.0
MOST_TALLIES = 12


def tally_pages(sheet: TallySheet, paper: Paper, measure: Measure) -> tuple[Page, ...]:
    """The blank tally sheet on a paper: the rolls, then the open slots."""
    edges = frame_of(paper)
    room = Room((edges.left,), edges.top + _TOP, edges.bottom)
    sheets = fill_pages(
        list(_roll_rows(sheet, edges.width, room.bottom - room.top, measure)), room, measure
    )
    if sheet.open_rows or sheet.others:
        sheets += _open_pages(sheet, edges, measure)
    for number, page in enumerate(sheets, 1):
        _header(page, edges, sheet.title, "Tally sheet", sheet.about)
        _blanks(page, edges)
        draw_footer(page, sheet.footer, f"page {number} of {len(sheets)}", edges)
    return finished(sheets, edges.paper_width, edges.paper_height)


def _blanks(page: Sheet, edges: Frame) -> None:
    """Lines to write on."""
    base, each = edges.top + 47.0, edges.width / 3
    for at, word in enumerate(("box", "day", "begun and ended")):
        x = edges.left + at * each
        end = page.text(x, base, word, SMALL, "mute") + 5.0
        page.rules.append(PlacedRule(end, base + 1.5, x + each - 12.0 - end, 0.5))


def _roll_rows(sheet: TallySheet, width: float, height: float, measure: Measure) -> Iterator[Block]:
    """A row a roll, a little lower where all then stand on one page."""
    names = sheet.tallies[:MOST_TALLIES]
    each = (width - _ROLL_WIDTH) / max(1, len(names), ceil((width - _ROLL_WIDTH) / _MOST_COLUMN))
    wrapped = [
        wrap_text(name, each - 6.0, lambda part: measure(part, TINY))[:HEAD_LINES] for name in names
    ]
    lines = max(map(len, wrapped), default=1)
    columns = [_ROLL_WIDTH + at * each for at in range(len(names) + 1)]
    wide = columns[-1] if names else width

    def upright(page: Sheet, x: float, y: float, height: float) -> None:
        page.shape("line", *(rounded(x + at, y, 0.35, height) for at in columns))

    def heads(page: Sheet, x: float, y: float) -> None:
        high = lines * 8.6 + 4.0
        page.text(x, y + high - 4.0, "roll", TINY, "mute")
        for left, told in zip(columns, wrapped, strict=False):
            for at, line in enumerate(told):
                base = y + high - 4.0 - (len(told) - 1 - at) * 8.6
                page.text(x + left + 4.0, base, line, TINY)
        page.rules.append(PlacedRule(x, y + high, wide, 0.9))

    head = Block(lines * 8.6 + 4.5, heads, keeps_next=True)

    even = (height - head.height - ALL_ROW - 0.5) / sheet.rolls
    roll_row = even if LEAST_ROLL_ROW <= even < ROLL_ROW else ROLL_ROW

    def row(text: str, weight: float, style: Style = PLAIN, high: float = roll_row) -> Block:
        def draw(page: Sheet, x: float, y: float) -> None:
            page.text(x, y + high / 2 + MIDDLE * style.size, text, style)
            upright(page, x, y, high)
            page.rules.append(PlacedRule(x, y + high, wide, weight))

        return Block(high, draw, head=head)

    yield head
    for at in range(sheet.rolls):
        number = sheet.first_roll + at
        yield row(f"{number:,}", 0.8 if number % 5 == 0 else 0.25)
    yield row("all", 0.9, STRONG, ALL_ROW)


def _open_pages(sheet: TallySheet, edges: Frame, measure: Measure) -> list[Sheet]:
    """The open slots, dates by mints, with a box to strike in for each."""
    many = len(sheet.mints)
    date_room, cell = 38.0, 40.0
    wide = date_room + many * cell
    count = max(1, int((edges.width + 18.0) / (wide + 18.0))) if many else 1

    def heads(page: Sheet, x: float, y: float) -> None:
        for at, mint in enumerate(sheet.mints):
            page.text_about(x + date_room + (at + 0.5) * cell, y + 8.0, mint, STRONG)

    head = Block(13.0, heads, keeps_next=True)

    def row(one: OpenRow) -> Block:
        def draw(page: Sheet, x: float, y: float) -> None:
            page.text(x, y + OPEN_ROW / 2 + MIDDLE * STRONG.size, one.date, STRONG)
            for at, label in enumerate(one.cells):
                if label:
                    left = x + date_room + at * cell
                    box = left + 1.5, y + 1.2, cell - 3.0, OPEN_ROW - 2.4
                    page.shape("mute", *frame(*box, 2.0, 0.6))

        return Block(OPEN_ROW, draw, head=head)

    blocks: list[Block] = [_section("Open slots")]
    if sheet.open_rows:
        blocks += [head, *map(row, sheet.open_rows)]
    if sheet.others:
        room = wide if many else edges.width
        blocks += [
            gap(8),
            *(_strike_line(text, max(room, 150.0), measure) for text in sheet.others),
        ]
    step = wide + 18.0
    lefts = tuple(edges.left + at * step for at in range(count))
    return fill_pages(blocks, Room(lefts, edges.top + _TOP, edges.bottom), measure)


def _strike_line(text: str, width: float, measure: Measure) -> Block:
    lines: Sequence[str] = wrap_text(text, width - 46.0, lambda part: measure(part, PLAIN))[:2]

    def draw(page: Sheet, x: float, y: float) -> None:
        page.shape("mute", *frame(x, y + 1.2, 37.0, OPEN_ROW - 2.4, 2.0, 0.6))
        for at, line in enumerate(lines):
            base = y + OPEN_ROW / 2 + MIDDLE * PLAIN.size + at * LOW
            page.text(x + 44.0, base, line, PLAIN)

    return Block(OPEN_ROW + LOW * (len(lines) - 1), draw)
