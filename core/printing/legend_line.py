"""The key under a picture and over a sheet: glyphs with their counted words, on as many lines as
they need."""

from collections.abc import Sequence
from dataclasses import dataclass

from core.glyph.codes import STATE_BITS
from core.glyph.shapes import REACH
from core.printing.leaf_scene import MIDDLE
from core.printing.placed import Sheet, Style, frame, short

RING = -1
"""Stands for the ring around a changed slot, where a glyph byte is asked for."""


@dataclass(frozen=True, slots=True)
class Legend:
    """Entries laid out: what stands on each line, and how high a line is."""

    lines: tuple[tuple[tuple[float, int, str], ...], ...]
    line_height: float
    diameter: float
    place: float
    style: Style

    @property
    def height(self) -> float:
        """Of all lines."""
        return len(self.lines) * self.line_height


def lay_legend(
    sheet: Sheet, entries: Sequence[tuple[int, str]], width: float, style: Style, diameter: float
) -> Legend:
    """Entries (glyph byte and words) on lines no wider than so much."""
    has_marks = any(code >= 0 and code & ~STATE_BITS for code, _ in entries)
    place = diameter * (REACH if has_marks else 1.0)
    gap, to_words = 1.8 * style.size, 0.5 * style.size
    lines: list[list[tuple[float, int, str]]] = [[]]
    x = 0.0
    for code, text in entries:
        words = short(text, style, width - place - to_words, sheet.measure)
        wide = place + to_words + sheet.measure(words, style)
        if lines[-1] and x + wide > width:
            lines.append([])
            x = 0.0
        lines[-1].append((x, code, words))
        x += wide + gap
    kept = tuple(tuple(line) for line in lines if line)
    return Legend(kept, max(diameter * 1.5, style.size * 1.8), diameter, place, style)


def draw_legend(sheet: Sheet, legend: Legend, x: float, y: float) -> None:
    """Draw a legend from its top left corner."""
    size, style = legend.diameter, legend.style
    for number, line in enumerate(legend.lines):
        middle = y + (number + 0.5) * legend.line_height
        for left, code, words in line:
            if code == RING:
                draw_ring_sign(sheet, x + left, middle, size)
            else:
                sheet.glyph(code, x + left + legend.place / 2, middle, size)
            start = x + left + legend.place + 0.5 * style.size
            sheet.text(start, middle + MIDDLE * style.size, words, style)


def draw_ring_sign(sheet: Sheet, x: float, middle: float, size: float) -> None:
    """The ring around a changed slot, small."""
    box = x, middle - size / 2, size, size
    sheet.shape("accent", *frame(*box, size * 0.22, max(1.0, size * 0.1)))
