"""What surrounds the rows of every page: margins, headers, legend and footer."""

from collections.abc import Sequence
from dataclasses import dataclass

from core.glyph.codes import STATE_BITS
from core.glyph.shapes import REACH
from core.printing.checklist import Checklist, Paper
from core.printing.placed import MM, PlacedRule, Sheet, Style, Wrap, short
from core.printing.type_sizes import TypeSizes, type_sizes

COLUMN_GAP = 19.0
_MOST_TITLE_LINES = 3
_LEGEND_SHARE = 0.36
"""The most of a page that a legend takes; words that would take more are cut short."""


@dataclass(frozen=True, slots=True)
class Frame:
    """The printable part of a paper: its edges, how many columns of rows, and the sizes of type."""

    paper_width: float
    paper_height: float
    left: float
    right: float
    top: float
    bottom: float
    footer_base: float
    column_count: int
    is_card: bool
    sizes: TypeSizes

    @property
    def width(self) -> float:
        """Width between the margins."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """Height of what stands above the footer."""
        return self.bottom - self.top

    @property
    def column_width(self) -> float:
        """Width of one column of rows."""
        return (self.width - (self.column_count - 1) * COLUMN_GAP) / self.column_count


_MARGINS_MM = {Paper.A4: 14, Paper.LETTER: 14, Paper.A5: 11, Paper.INDEX_CARD: 6}


def frame_of(paper: Paper, is_large: bool = False) -> Frame:
    """The frame of a paper: margins of 14 mm, of 11 mm on A5, of 6 mm on cards.

    Rows stand in two columns on A4 and Letter, in one on smaller papers and in large print.
    """
    width, height = (side * MM for side in paper.size_mm)
    margin = _MARGINS_MM[paper] * MM
    sizes = type_sizes(paper, is_large)
    is_wide = paper in (Paper.A4, Paper.LETTER) and not is_large
    return Frame(
        width,
        height,
        left=margin,
        right=width - margin,
        top=margin,
        bottom=height - margin - sizes.footer.size - 8.6 * min(1.0, margin / (11 * MM)),
        footer_base=height - margin - 0.245 * sizes.footer.size,
        column_count=2 if is_wide else 1,
        is_card=paper is Paper.INDEX_CARD,
        sizes=sizes,
    )


def draw_header(sheet: Sheet, checklist: Checklist, frame: Frame, wrap: Wrap) -> float:
    """Title, list, counts, date and legend of the first page; gives where they end."""
    sizes, h = frame.sizes, frame.sizes.head_stretch
    headline = " · ".join(part for part in (checklist.headline, checklist.day_text) if part)
    measure = sheet.measure
    aside = max(measure(checklist.list_name, sizes.list_name), measure(headline, sizes.headline))
    if aside + 24.0 * h + measure(checklist.title, sizes.title) <= frame.width:
        y = frame.top + 17.0 * h
        sheet.text(frame.left, y, checklist.title, sizes.title)
        sheet.text_to(frame.right, y - 6.0 * h, checklist.list_name, sizes.list_name)
        sheet.text_to(frame.right, y + 7.4 * h, headline, sizes.headline)
        y += 14.6 * h
    else:
        y = _draw_stacked_titles(sheet, checklist, frame, wrap)
    sheet.rules.append(PlacedRule(frame.left, y, frame.width, 1.1))
    y += 6.0 * h
    counts = checklist.counts
    return _draw_legend(sheet, counts, frame, y, sizes.legend, sizes.legend_glyph) + 12.0 * h


def _draw_stacked_titles(sheet: Sheet, checklist: Checklist, frame: Frame, wrap: Wrap) -> float:
    """A long title over the list's name, counts and day; gives where they end."""
    sizes, h = frame.sizes, frame.sizes.head_stretch
    lines = wrap(checklist.title, sizes.title, frame.width)
    y = frame.top - 6.0 * h
    for i, line in enumerate(lines[:_MOST_TITLE_LINES]):
        y += 23.0 * h
        is_cut = i == _MOST_TITLE_LINES - 1 and len(lines) > _MOST_TITLE_LINES
        text = f"{line} {lines[i + 1]}" if is_cut else line
        sheet.short_text(frame.left, y, text, sizes.title, frame.width)
    y += 20.0 * h
    end = sheet.short_text(frame.left, y, checklist.list_name, sizes.list_name, frame.width)
    beside, below = _about_list(checklist, frame.right - end - 16.0 * h, frame.width, sheet, sizes)
    sheet.text_to(frame.right, y, beside, sizes.headline)
    for line in below:
        y += 13.6 * h
        sheet.short_text(frame.left, y, line, sizes.headline, frame.width)
    return y + 7.2 * h


def _about_list(
    checklist: Checklist, room: float, width: float, sheet: Sheet, sizes: TypeSizes
) -> tuple[str, list[str]]:
    """Counts and day: what stands beside the list's name, and the lines below it."""
    parts = [part for part in (checklist.headline, checklist.day_text) if part]
    whole = " · ".join(parts)
    if sheet.measure(whole, sizes.headline) <= room:
        return whole, []
    if sheet.measure(whole, sizes.headline) <= width:
        return "", [whole]
    if sheet.measure(checklist.day_text, sizes.headline) <= room:
        return checklist.day_text, [part for part in (checklist.headline,) if part]
    return "", parts


def draw_running_header(sheet: Sheet, checklist: Checklist, frame: Frame) -> float:
    """The small header of further pages; gives where it ends.

    Where one line is too short for title, list and day they take two or three. The legend of a
    further card has no words, only each glyph's count.
    """
    sizes, measure = frame.sizes, sheet.measure
    h = sizes.running_title.size / 8.6
    y = frame.top + 8.4 * h
    title, name, day = checklist.title, checklist.list_name, checklist.day_text
    gaps = 32.0 * h
    needed = measure(title, sizes.running_title) + measure(day, sizes.running)
    needed += measure(name, sizes.running) + gaps
    if needed <= frame.width:
        end = sheet.text(frame.left, y, title, sizes.running_title)
        sheet.text(end + 8.0 * h, y, name, sizes.running)
        whole = " · ".join(part for part in (checklist.headline, day) if part)
        has_room = needed - measure(day, sizes.running) + measure(whole, sizes.running)
        sheet.text_to(frame.right, y, whole if has_room <= frame.width else day, sizes.running)
    else:
        y = _draw_running_lines(sheet, checklist, frame, y, h)
    sheet.rules.append(PlacedRule(frame.left, y + 5.6 * h, frame.width, 0.7))
    y += 8.6 * h
    counts = checklist.counts
    if frame.is_card:
        counts = tuple((code, text.partition(" ")[0]) for code, text in counts)
    legend_end = _draw_legend(sheet, counts, frame, y, sizes.small_legend, sizes.small_legend_glyph)
    return legend_end + 10.0 * sizes.head_stretch


def _draw_running_lines(
    sheet: Sheet, checklist: Checklist, frame: Frame, y: float, h: float
) -> float:
    """The title with the day or the list's name beside it, else below; gives the last baseline."""
    sizes, measure, day = frame.sizes, sheet.measure, checklist.day_text
    left, right = frame.left, frame.right
    end = sheet.short_text(left, y, checklist.title, sizes.running_title, frame.width)
    is_day_beside = end + 8.0 * h + measure(day, sizes.running) <= right
    if is_day_beside:
        sheet.text_to(right, y, day, sizes.running)
    y += 11.4 * h
    end = sheet.short_text(left, y, checklist.list_name, sizes.running, frame.width)
    beside = checklist.headline if is_day_beside else day
    if end + 12.0 * h + measure(beside, sizes.running) <= right:
        sheet.text_to(right, y, beside, sizes.running)
    elif not is_day_beside:
        y += 11.4 * h
        sheet.short_text(left, y, day, sizes.running, frame.width)
    return y


def _draw_legend(
    sheet: Sheet,
    counts: Sequence[tuple[int, str]],
    frame: Frame,
    y: float,
    style: Style,
    diameter: float,
) -> float:
    """Glyphs with their counted words, in as few even lines as hold them; gives where they end."""
    has_marks = any(code & ~STATE_BITS for code, _ in counts)
    place = diameter * (REACH if has_marks else 1.0)
    to_words = place + 0.4 * diameter
    height = diameter + 6.0 * min(1.0, frame.sizes.head_stretch)
    most_lines = max(1, int(_LEGEND_SHARE * frame.height / height))
    for in_a_line in range(1, len(counts) + 1):  # words are cut only where there are many
        room = frame.width / in_a_line - to_words - 0.8 * style.size
        words = [
            short(text, style, room if in_a_line > 1 else frame.width - to_words, sheet.measure)
            for _, text in counts
        ]
        widths = [to_words + sheet.measure(text, style) for text in words]
        gap, line_ends = _legend_lines(widths, frame.width, style.size)
        if len(line_ends) <= most_lines:
            break
    else:
        return y
    start = 0
    for end in line_ends:
        x = frame.left
        for at in range(start, end):
            sheet.glyph(counts[at][0], x + place / 2, y + height / 2, diameter)
            sheet.text(x + to_words, y + height / 2 + 0.36 * style.size, words[at], style)
            x += widths[at] + gap
        start = end
        y += height
    return y


def _legend_lines(widths: Sequence[float], room: float, size: float) -> tuple[float, list[int]]:
    """The gap between entries, and where each line ends.

    The gap narrows where that saves a line; lines are then made as even as they can be.
    """
    gap = 1.5 * size
    ends = _greedy_ends(widths, room, gap)
    narrow = 0.8 * size
    while gap > narrow and len(_greedy_ends(widths, room, narrow)) < len(ends):
        gap -= 0.1 * size
        ends = _greedy_ends(widths, room, gap)
    for per_cent in range(50, 100, 5):
        even = _greedy_ends(widths, room * per_cent / 100, gap)
        if len(even) == len(ends):
            return gap, even
    return gap, ends


def _greedy_ends(widths: Sequence[float], room: float, gap: float) -> list[int]:
    ends: list[int] = []
    used = 0.0
    for i, width in enumerate(widths):
        if i and used + gap + width > room:
            ends.append(i)
            used = width
        else:
            used += width + (gap if i else 0.0)
    return [*ends, len(widths)] if widths else []


def draw_footer(sheet: Sheet, left: str, right: str, frame: Frame) -> None:
    """One line at the foot of a page."""
    footer = frame.sizes.footer
    room = frame.width - sheet.measure(right, footer) - min(24.0, 2 * footer.size)
    sheet.short_text(frame.left, frame.footer_base, left, footer, room)
    sheet.text_to(frame.right, frame.footer_base, right, footer)
