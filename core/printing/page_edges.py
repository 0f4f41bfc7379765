"""What surrounds the rows of every page: margins, headers, legend and footer."""

from collections.abc import Sequence
from dataclasses import dataclass

from core.glyph.codes import STATE_BITS
from core.glyph.shapes import REACH
from core.printing.checklist import Checklist, Paper
from core.printing.placed import MM, PlacedRule, Sheet, Style, Wrap, short
from core.printing.text_runs import Face

TITLE = Style(Face.BOLD, 19.0)
LIST_NAME = Style(Face.REGULAR, 12.0)
HEADLINE = Style(Face.REGULAR, 8.8)
LEGEND = Style(Face.REGULAR, 8.6)
RUNNING = Style(Face.REGULAR, 8.2)
RUNNING_TITLE = Style(Face.BOLD, 8.6)
SMALL_LEGEND = Style(Face.REGULAR, 7.4)
FOOTER = Style(Face.REGULAR, 7.4)
COLUMN_GAP = 19.0
_LEGEND_GLYPH, _SMALL_LEGEND_GLYPH = 11.0, 10.0
_MOST_TITLE_LINES = 3


@dataclass(frozen=True, slots=True)
class Frame:
    """The printable part of a paper: its edges, and how many columns of rows stand in it."""

    paper_width: float
    paper_height: float
    left: float
    right: float
    top: float
    bottom: float
    footer_base: float
    column_count: int

    @property
    def width(self) -> float:
        """Width between the margins."""
        return self.right - self.left

    @property
    def column_width(self) -> float:
        """Width of one column of rows."""
        return (self.width - (self.column_count - 1) * COLUMN_GAP) / self.column_count


def frame_of(paper: Paper) -> Frame:
    """The frame of a paper: margins of 14 mm, of 11 mm on A5."""
    width, height = (side * MM for side in paper.size_mm)
    margin = (11 if paper is Paper.A5 else 14) * MM
    return Frame(
        width,
        height,
        left=margin,
        right=width - margin,
        top=margin,
        bottom=height - margin - 16.0,
        footer_base=height - margin - 1.8,
        column_count=1 if paper is Paper.A5 else 2,
    )


def draw_header(sheet: Sheet, checklist: Checklist, frame: Frame, wrap: Wrap) -> float:
    """Title, list, counts, date and legend of the first page; gives where they end."""
    headline = " · ".join(part for part in (checklist.headline, checklist.day_text) if part)
    measure = sheet.measure
    aside = max(measure(checklist.list_name, LIST_NAME), measure(headline, HEADLINE))
    if aside + 24.0 + measure(checklist.title, TITLE) <= frame.width:
        y = frame.top + 17.0
        sheet.text(frame.left, y, checklist.title, TITLE)
        sheet.text_to(frame.right, y - 6.0, checklist.list_name, LIST_NAME)
        sheet.text_to(frame.right, y + 7.4, headline, HEADLINE)
        y += 14.6
    else:
        y = _draw_stacked_titles(sheet, checklist, headline, frame, wrap)
    sheet.rules.append(PlacedRule(frame.left, y, frame.width, 1.1))
    y += 6.0
    return _draw_legend(sheet, checklist, frame, y, LEGEND, _LEGEND_GLYPH) + 12.0


def _draw_stacked_titles(
    sheet: Sheet, checklist: Checklist, headline: str, frame: Frame, wrap: Wrap
) -> float:
    """A long title over the list's name and counts; gives where they end."""
    lines = wrap(checklist.title, TITLE, frame.width)
    y = frame.top - 6.0
    for i, line in enumerate(lines[:_MOST_TITLE_LINES]):
        y += 23.0
        is_cut = i == _MOST_TITLE_LINES - 1 and len(lines) > _MOST_TITLE_LINES
        sheet.short_text(frame.left, y, line + lines[i + 1] if is_cut else line, TITLE, frame.width)
    y += 20.0
    end = sheet.short_text(frame.left, y, checklist.list_name, LIST_NAME, frame.width)
    if end + 16.0 + sheet.measure(headline, HEADLINE) > frame.right:
        y += 13.6
        sheet.short_text(frame.left, y, headline, HEADLINE, frame.width)
    else:
        sheet.text_to(frame.right, y, headline, HEADLINE)
    return y + 7.2


def draw_running_header(sheet: Sheet, checklist: Checklist, frame: Frame) -> float:
    """The small header of further pages; gives where it ends.

    Where the line is too short for all of it the counts go, then the end of the title.
    """
    measure = sheet.measure
    y = frame.top + 8.4
    name = short(checklist.list_name, RUNNING, frame.width * 0.4, measure)
    room = frame.width - measure(name, RUNNING) - 32.0
    day = short(checklist.day_text, RUNNING, frame.width * 0.3, measure)
    right = " · ".join(part for part in (checklist.headline, day) if part)
    if measure(checklist.title, RUNNING_TITLE) + measure(right, RUNNING) > room:
        right = day
    title_room = room - measure(right, RUNNING)
    end = sheet.short_text(frame.left, y, checklist.title, RUNNING_TITLE, title_room)
    sheet.text(end + 8.0, y, name, RUNNING)
    sheet.text_to(frame.right, y, right, RUNNING)
    sheet.rules.append(PlacedRule(frame.left, y + 5.6, frame.width, 0.7))
    legend_end = _draw_legend(sheet, checklist, frame, y + 8.6, SMALL_LEGEND, _SMALL_LEGEND_GLYPH)
    return legend_end + 10.0


def _draw_legend(
    sheet: Sheet, checklist: Checklist, frame: Frame, y: float, style: Style, diameter: float
) -> float:
    """Glyphs with their counted words, in as few even lines as hold them; gives where they end."""
    has_marks = any(code & ~STATE_BITS for code, _ in checklist.counts)
    place = diameter * (REACH if has_marks else 1.0)
    to_words = place + 4.0
    entries = [
        (code, short(text, style, frame.width - to_words, sheet.measure))
        for code, text in checklist.counts
    ]
    widths = [to_words + sheet.measure(words, style) for _, words in entries]
    gap, line_ends = _legend_lines(widths, frame.width, style.size)
    height = diameter + 6.0
    start = 0
    for end in line_ends:
        x = frame.left
        for (code, words), width in zip(entries[start:end], widths[start:end], strict=True):
            sheet.glyph(code, x + place / 2, y + height / 2, diameter)
            sheet.text(x + to_words, y + height / 2 + 0.36 * style.size, words, style)
            x += width + gap
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
    room = frame.width - sheet.measure(right, FOOTER) - 24.0
    sheet.short_text(frame.left, frame.footer_base, left, FOOTER, room)
    sheet.text_to(frame.right, frame.footer_base, right, FOOTER)
