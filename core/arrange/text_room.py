"""How labels and heads take the room there is: their lines, and how wide a slot's place is. Pure.

The widths are the advances of the fonts in `resources/fonts`, so screen and paper break and cut
alike.
"""

import re
from collections.abc import Collection, Iterator
from typing import Final

USUAL_CELL, MOST_CELL = 72, 120
"""Width of a place with a label, and the most that long labels make of it."""
ONE_LINE_CELL = 84
"""As wide as that a place may get before its label takes two lines instead."""
CELL_STEP = 4
LABEL_PX, LABEL_INSET = 13, 5
"""Size of a label's text, and how far it keeps from the sides of its place: clear of the frame
of the focus."""
_TAIL = 0.45
"""The share of a line cut in its middle that its end keeps."""
_BEYOND, _WIDE = 0.62, 1.0
_WIDE_FROM = "\u2e80"
_JOINS = "-–—/"
_BREAK = re.compile(r" |(?<=[^\W\d]{3}[-–—/])(?=[^\W\d]{3})")

# Thousandths of the size, from the space to the tilde.
_REGULAR = (
    260, 269, 408, 646, 572, 831, 732, 225, 300, 300, 551, 572, 268, 322, 268, 372, 572, 572, 572,
    572, 572, 572, 572, 572, 572, 572, 268, 268, 572, 572, 572, 434, 899, 639, 650, 632, 730, 556,
    519, 728, 741, 339, 273, 619, 524, 907, 760, 781, 605, 781, 622, 549, 556, 731, 600, 930, 586,
    566, 572, 329, 372, 329, 572, 444, 281, 561, 615, 480, 615, 564, 344, 615, 618, 258, 258, 534,
    258, 935, 618, 605, 615, 615, 413, 479, 361, 618, 508, 786, 529, 510, 470, 380, 551, 380, 572,
)  # fmt: skip
_BOLD = (
    260, 282, 479, 646, 572, 902, 750, 266, 339, 339, 542, 572, 285, 320, 281, 415, 572, 572, 572,
    572, 572, 572, 572, 572, 572, 572, 281, 285, 572, 572, 572, 477, 898, 692, 665, 642, 732, 560,
    549, 724, 765, 389, 331, 664, 559, 943, 813, 791, 621, 791, 656, 551, 577, 756, 650, 967, 670,
    626, 579, 331, 415, 331, 572, 411, 365, 599, 632, 516, 632, 597, 387, 632, 650, 299, 298, 620,
    298, 975, 650, 625, 632, 632, 447, 502, 434, 650, 571, 856, 578, 571, 493, 394, 551, 394, 572,
)  # fmt: skip


class _Widths(dict[str, float]):
    """The width of each character in sizes; those that are not listed by the kind they are of."""

    def __missing__(self, character: str) -> float:
        width = _WIDE if character >= _WIDE_FROM else _BEYOND
        self[character] = width
        return width


def _widths(thousandths: tuple[int, ...], others: dict[str, float]) -> _Widths:
    known = {chr(32 + at): width / 1000 for at, width in enumerate(thousandths)}
    return _Widths(known | others)


_OF: Final = {
    False: _widths(_REGULAR, {"…": 0.791, "–": 0.5, "—": 1.0, "·": 0.268}),
    True: _widths(_BOLD, {"…": 0.855, "–": 0.5, "—": 1.0, "·": 0.281}),
}


def text_em(text: str, *, is_bold: bool = False) -> float:
    """The width of a text in sizes of its font."""
    return sum(map(_OF[is_bold].__getitem__, text))


def one_line(text: str, room: float, *, is_bold: bool = False) -> str:
    """A text cut at its end where it is wider than `room` sizes; a closing bracket stays."""
    if text_em(text, is_bold=is_bold) <= room:
        return text
    end = "…]" if text[:1] == "[" and text[-1:] == "]" else "…"
    kept = _as_much(text, room - text_em(end, is_bold=is_bold), is_bold=is_bold)
    return text[:kept].rstrip(" ,-") + end


def in_lines(text: str, room: float, most: int = 2, *, is_bold: bool = False) -> tuple[str, ...]:
    """A text in a line, or in two of which neither is wider than `room` sizes.

    The second is cut in its middle where both together are too short for it.
    """
    if most < 2 or text_em(text, is_bold=is_bold) <= room:
        return (one_line(text, room, is_bold=is_bold),)
    halves = [
        (max(text_em(a, is_bold=is_bold), text_em(b, is_bold=is_bold)), a, b)
        for a, b in _halves(text)
    ]
    whole = [half for half in halves if half[0] <= room]
    if whole:
        _, first, second = min(whole, key=lambda half: half[0] + _dislike(half[1]))
        return first, second
    begun = [(a, b) for _, a, b in halves if text_em(a, is_bold=is_bold) <= room]
    if not begun:
        at = max(1, _as_much(text, room, is_bold=is_bold))
        begun = [(text[:at], text[at:].lstrip())]
    first, second = begun[-1]
    return first, _cut_inside(second, room, is_bold=is_bold)


def _halves(text: str) -> Iterator[tuple[str, str]]:
    """A text broken where it may be, from the left."""
    for found in _BREAK.finditer(text):
        first, second = text[: found.start()].rstrip(), text[found.end() :].lstrip()
        if first and second:
            yield first, second


def _dislike(first: str) -> float:
    """How much wider another break may be and still be liked more: commas before all else."""
    return -2.0 if first.endswith(",") else 2.0 if first[-1:] in _JOINS else 0.0


def _as_much(text: str, room: float, *, is_bold: bool) -> int:
    """How many characters from the left fit."""
    widths, used = _OF[is_bold], 0.0
    for at, character in enumerate(text):
        used += widths[character]
        if used > room:
            return at
    return len(text)


def _cut_inside(text: str, room: float, *, is_bold: bool) -> str:
    """A text cut in its middle where it is too wide, so that its end still tells."""
    if text_em(text, is_bold=is_bold) <= room:
        return text
    left = room - text_em("…", is_bold=is_bold)
    tail = _as_much(text[::-1], left * _TAIL, is_bold=is_bold)
    end = text[len(text) - tail :].lstrip(" ,-")
    head = _as_much(text, left - text_em(end, is_bold=is_bold), is_bold=is_bold)
    return f"{text[:head].rstrip(' ,-')}…{end}"


def _em_in_two(text: str) -> float:
    """The least width at which a text fits two lines."""
    whole = text_em(text)
    return min((max(text_em(a), text_em(b)) for a, b in _halves(text)), default=whole)


def label_room(labels: Collection[str]) -> tuple[int, int]:
    """How wide the place of a slot is for these labels to be read, and how many lines they take.

    The brackets of an optional slot have room with any label, so that a wish moves nothing.
    """
    bare = {label[1:-1] if label[:1] == "[" else label for label in labels}
    brackets = text_em("[]")
    usual = (USUAL_CELL - 2 * LABEL_INSET) / LABEL_PX - brackets
    long = [label for label in bare if text_em(label) > usual]
    if not long:
        return USUAL_CELL, 1
    cell = _cell_for(max(map(text_em, long)) + brackets)
    in_two = _cell_for(max(map(_em_in_two, long)) + brackets)
    if cell <= ONE_LINE_CELL or cell <= min(in_two, MOST_CELL):
        return cell, 1
    return min(MOST_CELL, in_two), 2


def _cell_for(room: float) -> int:
    """The width of a place for a text of so many sizes, in whole steps."""
    steps = -int(-(room * LABEL_PX + 2 * LABEL_INSET) // CELL_STEP)
    return max(USUAL_CELL, CELL_STEP * steps)
