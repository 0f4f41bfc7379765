"""The report of a box on paper and as one picture: pure, in points, no file format.

First what changed in the albums, leaves before and after with the changes ringed; then the tallies
against what is usual, records, and the finds in order. What is private stands in it only where
`BoxReport.facts` was given it.
"""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from math import ceil

from core.arrange.plan import LeafPlan
from core.glyph.shapes import Contour
from core.printing.checklist import Paper
from core.printing.flow_blocks import Block, Room, fill_pages, finished, gap, total_height
from core.printing.leaf_scene import MIDDLE, LeafPart, Pen, draw_card, draw_part, whole_leaf
from core.printing.leaf_sizes import LeafSizes, glyphs_alone, labelled, without_labels
from core.printing.legend_line import draw_ring_sign
from core.printing.page_edges import draw_footer, frame_of
from core.printing.placed import Measure, Page, PlacedRule, Sheet, Style, frame, rounded
from core.printing.text_runs import Face, wrap_text
from core.search.tally import FEWEST_BOXES, SO_FAR_NOTE, TallyLine, scale_to

TITLE, ASIDE = Style(Face.BOLD, 19.0), Style(Face.REGULAR, 12.0)
SMALL, TINY = Style(Face.REGULAR, 8.6), Style(Face.REGULAR, 7.2)
SECTION, PLAIN, STRONG = Style(Face.BOLD, 12.0), Style(Face.REGULAR, 9.4), Style(Face.BOLD, 9.4)
FIGURE = Style(Face.BOLD, 10.4)
HEAD = Style(Face.REGULAR, 7.2)
ROW, LOW_ROW, GLYPH = 17.0, 13.5, 11.6
BETWEEN, PAIR_GAP, ARROW, CAPTION = 24.0, 18.0, 12.0, 19.0
MOST_SCALE = 0.57
"""Points a unit of a leaf at most: labels of 7.4 points."""
LONE_WAYS = ((labelled, 1, 0.5), (without_labels, 1, 0.42), (glyphs_alone, 1, 0.42))
WAYS = ((without_labels, 2, 0.42), (without_labels, 1, 0.42), (glyphs_alone, 1, 0.42))
"""Looks, pairs of leaves across, and the least scale at which each can be read, best first."""
MOST_PIECE = 0.62
"""The share of a page that a pair of leaves may take in height; a higher one is cut by rows."""
PICTURE_WIDTH, PICTURE_MARGIN, PICTURE_PIECE = 640.0, 36.0, 900.0
MOST_IN_PICTURE = 60
"""More finds than these are told in a picture by their number."""


@dataclass(frozen=True, slots=True)
class SlotLine:
    """A slot that changed: glyph bytes and words before and after, and what became of it."""

    label: str
    before: int
    after: int
    before_text: str
    after_text: str
    words: str


@dataclass(frozen=True, slots=True)
class AlbumChange:
    """An album before and after a box, drawn alike; `changed` are the cells to ring.

    The texts are headlines: have 88 of 140 · at target 44.
    """

    name: str
    before: LeafPlan
    after: LeafPlan
    changed: frozenset[int]
    before_text: str
    after_text: str
    lines: tuple[SlotLine, ...]


@dataclass(frozen=True, slots=True)
class FindRow:
    """A find in order: where it lay, what it is, what was said of it, and where it is now."""

    roll: int
    label: str
    detail: str
    answer: str
    where: str
    code: int | None = None
    is_ender: bool = False


@dataclass(frozen=True, slots=True)
class BoxReport:
    """All that the report of a box tells. `facts` are names and values in order.

    `usual_text` says what is usual was told from; `is_done` leaves out the pace of what is not.
    """

    title: str
    campaign: str
    day_text: str
    created: str
    footer: str
    facts: tuple[tuple[str, str], ...]
    summary: str
    albums: tuple[AlbumChange, ...]
    tallies: tuple[TallyLine, ...]
    usual_text: str
    is_done: bool
    records: tuple[str, ...]
    finds: tuple[FindRow, ...]
    seen: tuple[str, ...]
    notes: tuple[str, ...] = ()


def figure(value: float | None) -> str:
    """A count as it is told: 13, 9.2, 430; – where it is not known."""
    if value is None:
        return "–"
    if value >= 100 or float(value).is_integer():
        return f"{round(value):,}"
    return f"{value:.1f}"


def band_text(line: TallyLine) -> str:
    """10–90 % of comparable boxes: 4–12; 2 where both ends are told alike."""
    if line.band is None:
        return "–"
    low, high = map(figure, line.band)
    return low if low == high else f"{low}–{high}"


def nothing_changed(is_done: bool) -> str:
    """What stands where the albums are as they were."""
    return f"Nothing changed in the albums{'' if is_done else ' yet'}."


def likely_text(line: TallyLine) -> str:
    """Between which counts four of five such boxes end: 9–14."""
    if line.likely is None:
        return "–"
    low, high = line.likely
    return f"{low:,}" if low == high else f"{low:,}–{high:,}"


def report_pages(report: BoxReport, paper: Paper, measure: Measure) -> tuple[Page, ...]:
    """The report on as many pages of a paper as it needs."""
    edges = frame_of(paper)
    blocks = _blocks(report, edges.width, MOST_PIECE * edges.height, measure)
    sheets = fill_pages(blocks, Room((edges.left,), edges.top, edges.bottom), measure)
    for number, sheet in enumerate(sheets, 1):
        draw_footer(sheet, report.footer, f"page {number} of {len(sheets)}", edges)
    return finished(sheets, edges.paper_width, edges.paper_height)


def report_picture(report: BoxReport, measure: Measure) -> Page:
    """The report as one tall page, 640 wide, on its ground."""
    width = PICTURE_WIDTH - 2 * PICTURE_MARGIN
    blocks = _blocks(report, width, PICTURE_PIECE, measure, MOST_IN_PICTURE)
    height = total_height(blocks) + 2 * PICTURE_MARGIN
    sheet = Sheet(measure)
    sheet.shape("paper", rounded(-2, -2, PICTURE_WIDTH + 4, height + 4))  # past the last dot
    y = PICTURE_MARGIN
    for block in blocks:
        block.draw(sheet, PICTURE_MARGIN, y)
        y += block.height
    return sheet.page(PICTURE_WIDTH, height)


def _blocks(
    report: BoxReport, width: float, most_high: float, measure: Measure, most: int | None = None
) -> list[Block]:
    blocks = [_header(report, width, measure), *_facts(report.facts, width, measure)]
    blocks += [gap(14), *_albums(report, width, most_high)]
    if report.tallies:
        blocks += [gap(16), *_tallies(report, width)]
    if report.records:
        blocks += [gap(16), _section("Records")]
        blocks += [one for text in report.records for one in _lines(text, width, measure)]
    blocks += [gap(16), *_finds(report, width, most)]
    if report.seen:
        blocks += [gap(16), _section("Counted, not kept")]
        blocks += _lines(" · ".join(report.seen), width, measure)
    if report.notes:
        blocks += [gap(16), _section("Also noted")]
        blocks += [one for text in report.notes for one in _lines(text, width, measure)]
    return blocks


# ---- words


def _header(report: BoxReport, width: float, measure: Measure) -> Block:
    aside = min(width * 0.5, measure(report.campaign, ASIDE))
    summary = wrap_text(report.summary, width, lambda part: measure(part, PLAIN))

    def draw(sheet: Sheet, x: float, y: float) -> None:
        base = y + 17.0
        sheet.short_text(x, base, report.title, TITLE, width - aside - 24)
        start = x + width - aside
        sheet.short_text(start, base - 6.0, report.campaign, ASIDE, aside + 0.5)
        sheet.text_to(x + width, base + 7.4, report.day_text, SMALL, "mute")
        sheet.rules.append(PlacedRule(x, base + 14.6, width, 1.1))
        for at, line in enumerate(summary):
            sheet.text(x, base + 30.0 + at * LOW_ROW, line, PLAIN)

    return Block(17.0 + 14.6 + 8.0 + len(summary) * LOW_ROW + 4.0, draw, keeps_next=True)


def _facts(facts: Sequence[tuple[str, str]], width: float, measure: Measure) -> Iterator[Block]:
    """Names and values, two beside each other."""
    name_room, half = 86.0, (width - 20.0) / 2

    def pair(two: Sequence[tuple[str, str]]) -> Block:
        wrapped = [
            wrap_text(value, half - name_room, lambda part: measure(part, PLAIN)) or ("",)
            for _, value in two
        ]

        def draw(sheet: Sheet, x: float, y: float) -> None:
            for at, ((name, _), lines) in enumerate(zip(two, wrapped, strict=True)):
                left = x + at * (half + 20.0)
                sheet.short_text(left, y + 10.0, name, SMALL, name_room - 6, "mute")
                for down, line in enumerate(lines):
                    sheet.text(left + name_room, y + 10.0 + down * LOW_ROW, line, PLAIN)

        return Block(max(map(len, wrapped)) * LOW_ROW, draw)

    for at in range(0, len(facts), 2):
        yield pair(facts[at : at + 2])


def _section(text: str, aside: str = "") -> Block:
    def draw(sheet: Sheet, x: float, y: float) -> None:
        end = sheet.text(x, y + 11.0, text, SECTION)
        sheet.text(end + 8.0, y + 11.0, aside, SMALL, "mute")

    return Block(20.0, draw, keeps_next=True)


def _line(text: str, style: Style = PLAIN, ink_is_mute: bool = False) -> Block:
    def draw(sheet: Sheet, x: float, y: float) -> None:
        sheet.text(x, y + 10.0, text, style, "mute" if ink_is_mute else "ink")

    return Block(LOW_ROW, draw)


def _lines(text: str, width: float, measure: Measure) -> list[Block]:
    wrapped = wrap_text(text, width, lambda part: measure(part, PLAIN))
    return [_line(line) for line in wrapped]


# ---- albums


def _albums(report: BoxReport, width: float, most_high: float) -> Iterator[Block]:
    yield _section("In the albums")
    if not report.albums:
        yield _line(nothing_changed(report.is_done))
    for number, album in enumerate(report.albums):
        if number:
            yield gap(14)
        yield _album_head(album, width)
        head = _slot_heads(width)
        yield head
        for line in album.lines:
            yield _slot_row(line, width, head)
        yield gap(10)
        for pair in _pairs(album, width, most_high):
            yield pair
            yield gap(8)


def _album_head(album: AlbumChange, width: float) -> Block:
    def draw(sheet: Sheet, x: float, y: float) -> None:
        end = sheet.short_text(x, y + 10.0, album.name, STRONG, width * 0.5)
        told = f"{album.before_text}  →  {album.after_text}"
        sheet.short_text(end + 10.0, y + 10.0, told, PLAIN, x + width - end - 10.0)

    return Block(20.0, draw, keeps_next=True)


def _pairs(album: AlbumChange, width: float, most_high: float) -> Iterator[Block]:
    """The leaves in which something changed, before and after; high ones cut between rows.

    A single leaf has its labels; of several, two pairs stand beside each other where there is room.
    """
    plan = album.after
    rows = {plan.where(cell)[0] for cell in album.changed}
    leaves = [whole_leaf(plan, number) for number in sorted({plan.row_leaf[row] for row in rows})]
    if not leaves:
        return
    high = most_high - CAPTION
    across, sizes, scale = _look(plan, leaves, width, high)
    room = (width - PAIR_GAP * (across - 1)) / across
    half = (room - BETWEEN) / 2
    parts = [
        part
        for leaf in leaves
        for part in _cut(leaf, sizes, half / scale, high / scale)
        if any(_is_in(plan, part, cell) for cell in album.changed)
    ]
    for at in range(0, len(parts), across):
        pairs = [_pair(album, part, sizes, scale) for part in parts[at : at + across]]
        yield _beside(pairs, room + PAIR_GAP)


def _look(
    plan: LeafPlan, leaves: Sequence[LeafPart], width: float, high: float
) -> tuple[int, LeafSizes, float]:
    """How many pairs beside each other, in which look and scale.

    The first way in which all leaves fit whole and can be read; else they are cut.
    """
    ways = LONE_WAYS if len(leaves) == 1 else WAYS
    for look, across, least in ways:
        sizes = look(plan)
        half = ((width - PAIR_GAP * (across - 1)) / across - BETWEEN) / 2
        fits = (
            min(half / part.width(sizes), high / part.height(sizes), MOST_SCALE) for part in leaves
        )
        scale = min(fits)
        if scale >= least:
            return across, sizes, scale
    return 1, without_labels(plan), 0.42


def _beside(pairs: Sequence[Block], step: float) -> Block:
    """Blocks in one row, a step from left edge to left edge."""

    def draw(sheet: Sheet, x: float, y: float) -> None:
        for at, pair in enumerate(pairs):
            pair.draw(sheet, x + at * step, y)

    return Block(max(pair.height for pair in pairs), draw)


def _cut(leaf: LeafPart, sizes: LeafSizes, wide: float, high: float) -> Iterator[LeafPart]:
    """A leaf in even pieces of rows and places that fit."""
    flow = sizes.flow
    most_rows = max(1, int((high - flow.top_in - flow.bottom_in) / flow.cell_h + 0.01))
    most_places = max(1, int((wide - flow.left_in - sizes.pad) / flow.cell_w + 0.01))
    for rows in _even(leaf.rows, most_rows):
        for places in _even(leaf.places, most_places):
            is_begin = rows.start == leaf.rows.start and places.start == leaf.places.start
            yield LeafPart(leaf.leaf, rows, places, is_begin)


def _even(whole: range, most: int) -> Iterator[range]:
    each = max(1, ceil(len(whole) / max(1, ceil(len(whole) / most))))
    for start in range(whole.start, whole.stop, each):
        yield range(start, min(whole.stop, start + each))


def _is_in(plan: LeafPlan, part: LeafPart, cell: int) -> bool:
    row, place = plan.where(cell)
    return row in part.rows and place in part.places


def _pair(album: AlbumChange, part: LeafPart, sizes: LeafSizes, scale: float) -> Block:
    wide, high = part.width(sizes) * scale, part.height(sizes) * scale
    right = wide + BETWEEN

    def draw(sheet: Sheet, x: float, y: float) -> None:
        sheet.text(x, y + 9.0, "before", SMALL, "mute")
        end = sheet.text(x + right, y + 9.0, "after", SMALL, "mute")
        draw_ring_sign(sheet, end + 8.0, y + 6.2, 8.0)
        sheet.text(end + 19.0, y + 9.0, "changed", SMALL, "mute")
        top = y + CAPTION - 4.0
        _leaf(sheet, album.before, part, sizes, scale, (x, top), ())
        _leaf(sheet, album.after, part, sizes, scale, (x + right, top), album.changed)
        _arrow(sheet, x + wide + (BETWEEN - ARROW) / 2, top + high / 2)

    return Block(CAPTION + high, draw)


def _leaf(
    sheet: Sheet,
    plan: LeafPlan,
    part: LeafPart,
    sizes: LeafSizes,
    scale: float,
    at: tuple[float, float],
    changed: Collection[int],
) -> None:
    pen = Pen(sheet, scale, changed)
    draw_card(pen, (*at, part.width(sizes) * scale, part.height(sizes) * scale))
    draw_part(pen, plan, sizes, part, *at)


def _arrow(sheet: Sheet, x: float, y: float, long: float = ARROW) -> None:
    tip = x + long
    sheet.shape("mute", rounded(x, y - 0.5, long - 2.0, 1.0))
    head: Contour = (("M", tip, y), ("L", tip - 4.2, y - 2.6), ("L", tip - 4.2, y + 2.6))
    sheet.shape("mute", head)


_SLOT_AT = (0.0, 0.30, 0.56)
"""Where label, before and after begin, as shares of the width; what became of it stands right."""


def _slot_heads(width: float) -> Block:
    def draw(sheet: Sheet, x: float, y: float) -> None:
        for at, text in zip(_SLOT_AT, ("slot", "before", "after"), strict=True):
            sheet.text(x + at * width, y + 8.0, text, HEAD, "mute")
        sheet.rules.append(PlacedRule(x, y + 11.5, width, 0.5))

    return Block(14.0, draw, keeps_next=True)


def _slot_row(line: SlotLine, width: float, head: Block) -> Block:
    label, before, after = (at * width for at in _SLOT_AT)

    def draw(sheet: Sheet, x: float, y: float) -> None:
        middle = y + ROW / 2
        base = middle + MIDDLE * PLAIN.size
        sheet.short_text(x + label, base, line.label, STRONG, before - label - 10)
        words = sheet.text_to(x + width, base, line.words, PLAIN, "mute")
        for left, end, code, text in (
            (before, x + after - 24, line.before, line.before_text),
            (after, words - 10, line.after, line.after_text),
        ):
            sheet.glyph(code, x + left + GLYPH / 2, middle, GLYPH)
            start = x + left + GLYPH + 6.0
            sheet.short_text(start, base, text, PLAIN, end - start)
        _arrow(sheet, x + after - 18.0, middle, 9.0)
        sheet.rules.append(PlacedRule(x, y + ROW, width, 0.25))

    return Block(ROW, draw, head=head)


# ---- tallies


def _tallies(report: BoxReport, width: float) -> Iterator[Block]:
    columns: tuple[str, ...] = ("now", "usual", "10–90 %")
    if not report.is_done:
        columns = ("now", "on pace", "likely", *columns[1:])
    name_room = width * (0.26 if report.is_done else 0.22)
    each = 46.0
    bar_at = name_room + each * len(columns) + 14.0
    bar_room = width - bar_at - 34.0

    def heads(sheet: Sheet, x: float, y: float) -> None:
        sheet.text(x, y + 8.0, "tally", HEAD, "mute")
        for at, text in enumerate(columns, 1):
            sheet.text_to(x + name_room + at * each, y + 8.0, text, HEAD, "mute")
        _key(sheet, x + bar_at, y + 8.0, report.is_done)
        sheet.rules.append(PlacedRule(x, y + 11.5, width, 0.5))

    head = Block(14.0, heads, keeps_next=True)

    def row(line: TallyLine) -> Block:
        pace = None if line.on_pace is None else float(round(line.on_pace))
        likely = likely_text(line)
        told = [figure(line.usual), band_text(line)]
        if not report.is_done:
            told = [figure(pace), likely, *told]

        def draw(sheet: Sheet, x: float, y: float) -> None:
            middle = y + ROW / 2
            base = middle + MIDDLE * PLAIN.size
            sheet.short_text(x, base, line.marked, PLAIN, name_room - 6)
            sheet.text_to(x + name_room + each, base, figure(line.now), FIGURE)
            for at, text in enumerate(told, 2):
                sheet.text_to(x + name_room + at * each, base, text, PLAIN)
            _bar(sheet, line, (x + bar_at, middle - 4.0, bar_room, 8.0), report.is_done)
            end = figure(scale_to(line))
            sheet.text(x + bar_at + bar_room + 5.0, middle + MIDDLE * TINY.size, end, TINY, "mute")
            sheet.rules.append(PlacedRule(x, y + ROW, width, 0.25))

        return Block(ROW, draw, head=head)

    yield _section("Tallies", report.usual_text)
    yield head
    yield from map(row, report.tallies)
    if any(line.is_so_far for line in report.tallies):
        yield gap(3)
        yield _line(SO_FAR_NOTE, PLAIN, ink_is_mute=True)


def _key(sheet: Sheet, x: float, y: float, is_done: bool) -> None:
    """What the parts of the bars mean."""
    middle = y - MIDDLE * HEAD.size
    sheet.shape("accent", rounded(x, middle - 2.0, 10.0, 4.0))
    x = sheet.text(x + 13.0, y, "now", HEAD, "mute") + 10.0
    if not is_done:
        sheet.shape("accent", *frame(x, middle - 3.0, 10.0, 6.0, 0, 0.8))
        x = sheet.text(x + 13.0, y, "on pace", HEAD, "mute") + 10.0
    _band(sheet, x, x + 12.0, middle - 3.0, 6.0)
    sheet.text(x + 15.0, y, "usual, 10–90 %", HEAD, "mute")


def _bar(
    sheet: Sheet, line: TallyLine, box: tuple[float, float, float, float], is_done: bool
) -> None:
    """One labelled scale from 0: hatched the usual band, outlined on pace, solid now."""
    x, y, wide, high = box
    share = wide / scale_to(line)
    sheet.shape("line", rounded(x, y + high, wide, 0.5), rounded(x, y - 1.0, 0.5, high + 1.5))
    sheet.shape("line", rounded(x + wide - 0.5, y + high - 2.5, 0.5, 3.0))
    if line.band is not None:
        low, top = (min(wide, value * share) for value in line.band)
        _band(sheet, x + low, x + max(top, low + 1.0), y, high)
    if line.usual is not None:
        sheet.shape("ink", rounded(x + min(wide, line.usual * share) - 0.6, y - 1.0, 1.2, high + 2))
    if not is_done and line.on_pace is not None and line.on_pace > 0:
        reach = min(wide, line.on_pace * share)
        sheet.shape("accent", *frame(x, y + 1.0, max(2.0, reach), high - 2.0, 0, 0.8))
    if line.now:
        sheet.shape("accent", rounded(x, y + high / 2 - 2.0, min(wide, line.now * share), 4.0))


def _band(sheet: Sheet, left: float, right: float, y: float, high: float) -> None:
    """A frame hatched upright, so that it is told apart without colour."""
    sheet.shape("mute", *frame(left, y, right - left, high, 0, 0.5))
    strips = []
    x = left + 2.4
    while x < right - 0.8:
        strips.append(rounded(x, y + 0.5, 0.4, high - 1.0))
        x += 2.4
    if strips:
        sheet.shape("mute", *strips)


# ---- finds


_FIND_AT = (0.0, 0.08, 0.29, 0.50, 0.66)


def _finds(report: BoxReport, width: float, most: int | None) -> Iterator[Block]:
    many = len(report.finds)
    yield _section("Finds in order", f"{many:,} kept" if many else "")
    if not many:
        yield _line("Nothing was kept of this box.")
        return

    def heads(sheet: Sheet, x: float, y: float) -> None:
        names = ("roll", "coin", "grade", "answer", "where it is")
        for at, text in zip(_FIND_AT, names, strict=True):
            sheet.text(x + at * width, y + 8.0, text, HEAD, "mute")
        sheet.rules.append(PlacedRule(x, y + 11.5, width, 0.5))

    head = Block(14.0, heads, keeps_next=True)
    yield head
    shown = report.finds if most is None or many <= most else report.finds[:most]
    for find in shown:
        yield _find_row(find, width, head)
    if len(shown) < many:
        yield _line(f"and {many - len(shown):,} more, in the log", PLAIN, ink_is_mute=True)


def _find_row(find: FindRow, width: float, head: Block) -> Block:
    starts = [at * width for at in _FIND_AT]
    room = [end - start - 8 for start, end in zip(starts, [*starts[1:], width + 8], strict=True)]

    def draw(sheet: Sheet, x: float, y: float) -> None:
        middle = y + ROW / 2
        base = middle + MIDDLE * PLAIN.size
        roll = f"{find.roll:,}{' end' if find.is_ender else ''}"
        texts = (roll, find.label, find.detail, find.answer)
        for at, (text, style) in enumerate(zip(texts, (SMALL, STRONG, PLAIN, PLAIN), strict=True)):
            sheet.short_text(x + starts[at], base, text, style, room[at])
        left, wide = x + starts[4], room[4]
        if find.code is not None:
            sheet.glyph(find.code, left + GLYPH / 2, middle, GLYPH)
            left, wide = left + GLYPH + 5.0, wide - GLYPH - 5.0
        sheet.short_text(left, base, find.where, PLAIN, wide)
        sheet.rules.append(PlacedRule(x, y + ROW, width, 0.25))

    return Block(ROW, draw, head=head)


def usual_words(tallies: Sequence[TallyLine], is_usual_kind: bool) -> str:
    """What “usual” was told from."""
    if not is_usual_kind:
        return "such a box is not compared with others"
    boxes = max((line.count_of_boxes for line in tallies), default=0)
    if boxes < FEWEST_BOXES:
        return f"“usual” is told from {FEWEST_BOXES} finished boxes on; there are {boxes} so far"
    return f"usual: mean and 10–90 % of {boxes} boxes before"
