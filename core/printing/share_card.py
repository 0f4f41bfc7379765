"""The 16:9 card: an album in small, its counts, and what changed since a day, ready to be shown.

Units are pixels of a picture 1600 wide. Nothing private is on it: no price, no place, no note.
"""

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass

from core.arrange.flow import Flow
from core.arrange.plan import LeafPlan
from core.glyph.shapes import Contour
from core.printing.leaf_picture import Heading
from core.printing.leaf_scene import MIDDLE, Pen, draw_album
from core.printing.leaf_sizes import LeafSizes, glyphs_alone, labelled, without_labels
from core.printing.legend_line import draw_legend, draw_ring_sign, lay_legend
from core.printing.placed import Measure, Page, Sheet, Style, frame, rounded, short
from core.printing.text_runs import Face, wrap_text

WIDTH, HEIGHT = 1600.0, 900.0
MARGIN = 64.0
PANEL_WIDTH, PANEL_GAP, PANEL_PAD = 400.0, 40.0, 32.0
NAMES = tuple(Style(Face.BOLD, size) for size in (50.0, 44.0, 38.0))
HEADLINE, TARGET = Style(Face.BOLD, 40.0), Style(Face.REGULAR, 22.0)
SECTION, SUMMARY = Style(Face.BOLD, 15.0), Style(Face.REGULAR, 17.0)
LABEL, WORDS = Style(Face.BOLD, 20.0), Style(Face.REGULAR, 17.0)
KEY, SMALL = Style(Face.REGULAR, 19.0), Style(Face.REGULAR, 16.0)
_LINE, _GLYPH, _KEY_GLYPH = 38.0, 24.0, 24.0
_BAR = 18.0
_MOST_SCALE, _MOST_COLUMNS = 1.5, 60
# Sizes from the fullest to the barest, each with the least scale at which its text can be read.
_LOOKS: tuple[tuple[Callable[[LeafPlan], LeafSizes], float], ...] = (
    (labelled, 0.8),
    (without_labels, 0.62),
    (glyphs_alone, 0.0),
)

Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class NewOnCard:
    """A slot that changed: its glyph byte, its label, and what became of it ("new", "better")."""

    code: int
    label: str
    words: str


@dataclass(frozen=True, slots=True)
class CardNews:
    """What changed since a day: `title` "Since 1 June 2026", `summary` "7 new · 2 better"."""

    title: str
    summary: str
    lines: tuple[NewOnCard, ...]
    empty_text: str


def card_page(
    heading: Heading,
    plan: LeafPlan,
    measure: Measure,
    news: CardNews | None = None,
    changed: Collection[int] = frozenset(),
    *,
    has_ground: bool = True,
) -> Page:
    """The card; without `news` the key stands in its place."""
    sheet = Sheet(measure)
    if has_ground:
        sheet.shape("paper", rounded(-2, -2, WIDTH + 4, HEIGHT + 4))  # past the last dot
    room = WIDTH - 2 * MARGIN - PANEL_WIDTH - PANEL_GAP
    top = _draw_name(sheet, heading.name, room)
    bottom = HEIGHT - MARGIN
    if news is not None:  # which tells what a ring means
        legend = lay_legend(sheet, heading.counts, room, KEY, _KEY_GLYPH)
        bottom -= legend.height + 20
        draw_legend(sheet, legend, MARGIN, bottom + 20)
    _draw_small(sheet, plan, changed, (MARGIN, top, room, bottom - top))
    _draw_panel(sheet, heading, news)
    return sheet.page(WIDTH, HEIGHT)


def _draw_name(sheet: Sheet, name: str, room: float) -> float:
    """The name on one line, else on two smaller ones; gives where the album may begin."""
    measure = sheet.measure
    style = next((s for s in NAMES if measure(name, s) <= room), NAMES[-1])
    lines = wrap_text(name, room, lambda part: measure(part, style))[:3]
    if len(lines) > 2:
        lines = lines[0], short(f"{lines[1]}{lines[2]}", style, room, measure)
    y = MARGIN
    for line in lines:
        sheet.text(MARGIN, y + 0.86 * style.size, line, style)
        y += style.size * 1.22
    return y + 20.0


# --- the album -------------------------------------------------------------------------------


def _draw_small(sheet: Sheet, plan: LeafPlan, changed: Collection[int], box: Box) -> None:
    """The album as large as it fits, with as much text as can be read then."""
    x, y, width, height = box
    if not plan.leaves:
        sheet.text(x, y + 30, "This album has no slots.", TARGET, "mute")
        return
    sizes, flow, scale = _fitted(plan, width, height)
    margin = sizes.flow.margin * scale
    draw_album(Pen(sheet, scale, changed), plan, sizes, flow, x - margin, y - margin)


def _fitted(plan: LeafPlan, width: float, height: float) -> tuple[LeafSizes, Flow, float]:
    """The fullest look that can be read, with so many leaves beside each other as make it large."""
    for look, least in _LOOKS:
        sizes = look(plan)
        tries = [
            Flow(plan, sizes.flow, 0, count)
            for count in range(1, min(len(plan.leaves), _MOST_COLUMNS) + 1)
        ]
        scale, number = max(
            (_scale(flow, width, height), -number) for number, flow in enumerate(tries)
        )
        if scale >= least:
            return sizes, tries[-number], scale
    raise AssertionError("the barest look has no least scale")


def _scale(flow: Flow, width: float, height: float) -> float:
    margin = 2 * flow.sizes.margin
    return min(_MOST_SCALE, width / (flow.used_width - margin), height / (flow.height - margin))


# --- the panel -------------------------------------------------------------------------------


def _draw_panel(sheet: Sheet, heading: Heading, news: CardNews | None) -> None:
    """The counts, and below them what is new or the key."""
    left, top = WIDTH - MARGIN - PANEL_WIDTH, MARGIN
    box = left, top, PANEL_WIDTH, HEIGHT - 2 * MARGIN
    sheet.shape("card", rounded(*box, 14))
    sheet.shape("line", *frame(*box, 14, 1.2))
    x, room = left + PANEL_PAD, PANEL_WIDTH - 2 * PANEL_PAD
    y = top + PANEL_PAD
    size = min(HEADLINE.size, HEADLINE.size * room / sheet.measure(heading.headline, HEADLINE))
    style = Style(Face.BOLD, size)
    sheet.text(x, y + 30, heading.headline, style)
    y += 52
    _draw_bar(sheet, (x, y, room, _BAR), heading)
    y += _BAR + 16
    sheet.short_text(x, y + 18, heading.target_line, TARGET, room, "mute")
    y += 52
    sheet.shape("line", rounded(x, y, room, 1.2))
    y += 26
    foot = top + box[3] - PANEL_PAD
    sheet.short_text(x, foot, heading.day_text, SMALL, room, "mute")
    if news is None:
        _draw_key(sheet, heading.counts, (x, y, room, foot - 30 - y))
    else:
        _draw_news(sheet, news, (x, y, room, foot - 30 - y))


def _draw_bar(sheet: Sheet, box: Box, heading: Heading) -> None:
    """How much is there: solid where at target, hatched where not."""
    x, y, width, height = box
    sheet.shape("accent", *frame(x, y, width, height, 0, 1.4))
    has, at_target = (
        width * min(1.0, max(0.0, share)) for share in (heading.has_share, heading.target_share)
    )
    if at_target:
        sheet.shape("accent", rounded(x, y, at_target, height))
    strips = _strips(x + at_target, x + has, y, height)
    if strips:
        sheet.shape("accent", *strips)
    if at_target < has < width:
        sheet.shape("accent", rounded(x + has - 1.4, y, 1.4, height))


def _strips(start: float, end: float, y: float, height: float) -> list[Contour]:
    """Slanted strips between two heights, cut off at both ends."""
    strips: list[Contour] = []
    thick, step = 2.4, 7.0
    x = start - height
    while x < end:
        corners = [
            (x, y + height),
            (x + thick, y + height),
            (x + thick + height, y),
            (x + height, y),
        ]
        cut = _cut_at(_cut_at(corners, start, 1), end, -1)
        if len(cut) > 2:
            first, *rest = cut
            strips.append((("M", *first), *(("L", *point) for point in rest)))
        x += step
    return strips


def _cut_at(
    corners: Sequence[tuple[float, float]], at: float, side: int
) -> list[tuple[float, float]]:
    """The part of a polygon right (side 1) or left (side -1) of an upright line."""
    kept: list[tuple[float, float]] = []
    for (x1, y1), (x2, y2) in zip(corners, [*corners[1:], *corners[:1]], strict=True):
        is_in, is_next_in = (x1 - at) * side >= 0, (x2 - at) * side >= 0
        if is_in:
            kept.append((x1, y1))
        if is_in != is_next_in:
            kept.append((at, y1 + (y2 - y1) * (at - x1) / (x2 - x1)))
    return kept


def _draw_key(sheet: Sheet, counts: Sequence[tuple[int, str]], box: Box) -> None:
    x, y, room, _ = box
    if not counts:
        return
    sheet.text(x, y + 12, "IN THE ALBUM", SECTION, "mute")
    y += 36
    for code, words in counts:
        middle = y + _LINE / 2
        sheet.glyph(code, x + _KEY_GLYPH / 2, middle, _KEY_GLYPH)
        sheet.short_text(x + 44, middle + MIDDLE * KEY.size, words, KEY, room - 44)
        y += _LINE + 4


def _draw_news(sheet: Sheet, news: CardNews, box: Box) -> None:
    """The changed slots by name, as many as there is room for, and how many more there are."""
    x, y, room, high = box
    draw_ring_sign(sheet, x, y + 6, 18)
    sheet.short_text(x + 28, y + 12, news.title.upper(), SECTION, room - 28, "mute")
    y += 26
    summary = news.summary if news.lines else news.empty_text
    for told in wrap_text(summary, room, lambda part: sheet.measure(part, SUMMARY))[:3]:
        y += 26
        sheet.text(x, y - 6, told, SUMMARY)
    y += 12
    fitting = max(1, int((box[1] + high - y) / _LINE))
    shown = news.lines if len(news.lines) <= fitting else news.lines[: fitting - 1]
    for line in shown:
        middle = y + _LINE / 2
        sheet.glyph(line.code, x + _GLYPH / 2 + 2, middle, _GLYPH)
        words = sheet.measure(line.words, WORDS)
        name_room = room - 44 - words - 12
        sheet.short_text(x + 44, middle + MIDDLE * LABEL.size, line.label, LABEL, name_room)
        sheet.text_to(x + room, middle + MIDDLE * WORDS.size, line.words, WORDS, "mute")
        y += _LINE
    if more := len(news.lines) - len(shown):
        sheet.text(x + 44, y + _LINE / 2 + MIDDLE * WORDS.size, f"and {more:,} more", WORDS, "mute")
