"""A leaf or a whole album as one picture: name and counts above, leaves, the key below."""

from collections.abc import Collection
from dataclasses import dataclass

from core.arrange.flow import Flow
from core.arrange.plan import LeafPlan
from core.printing.leaf_scene import (
    MIDDLE,
    Pen,
    draw_album,
    draw_card,
    draw_part,
    whole_leaf,
)
from core.printing.leaf_sizes import GAP, MARGIN, LeafSizes, labelled
from core.printing.legend_line import RING, draw_legend, lay_legend
from core.printing.placed import Measure, Page, Sheet, Style, rounded, short
from core.printing.text_runs import Face

NAME = Style(Face.BOLD, 22.0)
COUNTS = Style(Face.REGULAR, 14.0)
KEY = Style(Face.REGULAR, 13.0)
KEY_GLYPH = 18.0
BEST_SHAPE = 1.45
"""Width to height of the whole album, as near as its leaves allow."""
MARGIN_OUT = 30.0
_HEAD_HEIGHT = 54.0
_MOST_COLUMNS = 40


@dataclass(frozen=True, slots=True)
class Heading:
    """What stands around an album: `headline` "have 58 of 70", `target_line` "at target 44".

    `counts` is the key (glyph byte and "44 filled"), `since_text` what a ring means ("changed since
    1 June 2026", "" where nothing is ringed), the shares are of the wanted slots, 0 to 1.
    """

    name: str
    headline: str
    target_line: str
    day_text: str
    counts: tuple[tuple[int, str], ...]
    has_share: float = 0.0
    target_share: float = 0.0
    since_text: str = ""

    @property
    def entries(self) -> tuple[tuple[int, str], ...]:
        """The key, with the ring where one is drawn."""
        ring = ((RING, self.since_text),) if self.since_text else ()
        return (*self.counts, *ring)


def album_page(
    heading: Heading,
    plan: LeafPlan,
    measure: Measure,
    leaf: int | None = None,
    changed: Collection[int] = frozenset(),
    *,
    has_ground: bool = True,
) -> Page:
    """One picture of a leaf (by its number from 0), or of all; in units of the screen at zoom 1.

    Without a ground, what lies around the cards is left clear. Raises IndexError for a leaf that is
    not there.
    """
    sizes = labelled(plan)
    part = whole_leaf(plan, leaf) if leaf is not None else None
    flow = Flow(plan, sizes.flow, 0, best_columns(plan, sizes))
    if part is not None:
        wide, high = float(part.width(sizes)), float(part.height(sizes))
    else:
        wide, high = float(flow.used_width - 2 * MARGIN), float(max(0, flow.height - 2 * MARGIN))
    sheet = Sheet(measure)
    width = max(wide, _least_width(heading, measure)) + 2 * MARGIN_OUT
    legend = lay_legend(sheet, heading.entries, width - 2 * MARGIN_OUT, KEY, KEY_GLYPH)
    height = MARGIN_OUT + _HEAD_HEIGHT + high + GAP + legend.height + MARGIN_OUT
    if has_ground:
        sheet.shape("paper", rounded(-2, -2, width + 4, height + 4))  # past the last dot
    _draw_heading(sheet, heading, width)
    top = MARGIN_OUT + _HEAD_HEIGHT
    pen = Pen(sheet, 1.0, changed)
    if part is not None:
        draw_card(pen, (MARGIN_OUT, top, wide, high))
        draw_part(pen, plan, sizes, part, MARGIN_OUT, top)
    else:
        draw_album(pen, plan, sizes, flow, MARGIN_OUT - MARGIN, top - MARGIN)
    draw_legend(sheet, legend, MARGIN_OUT, top + high + GAP)
    return sheet.page(width, height)


def best_columns(plan: LeafPlan, sizes: LeafSizes, shape: float = BEST_SHAPE) -> int:
    """So many leaves side by side that the whole is nearest to a shape, width to height."""
    most = min(len(plan.leaves), _MOST_COLUMNS) or 1
    return min(range(1, most + 1), key=lambda count: _off_shape(plan, sizes, count, shape))


def _off_shape(plan: LeafPlan, sizes: LeafSizes, count: int, shape: float) -> float:
    flow = Flow(plan, sizes.flow, 0, count)
    ratio = flow.used_width / max(1, flow.height) / shape
    return max(ratio, 1 / ratio)


def _least_width(heading: Heading, measure: Measure) -> float:
    """Wide enough for what stands above, within reason."""
    name = min(measure(heading.name, NAME), 520.0)
    return max(300.0, name + 17 + measure(_counts_text(heading), COUNTS))


def _counts_text(heading: Heading) -> str:
    return "   ".join(part for part in (heading.headline, heading.target_line) if part)


def _draw_heading(sheet: Sheet, heading: Heading, width: float) -> None:
    middle = MARGIN_OUT + 14.0
    text = _counts_text(heading)
    room = width - 2 * MARGIN_OUT
    name = short(heading.name, NAME, room - 16 - sheet.measure(text, COUNTS), sheet.measure)
    base = middle + MIDDLE * NAME.size
    end = sheet.text(MARGIN_OUT, base, name, NAME)
    end = sheet.text(end + 16, base, text, COUNTS, "mute")
    if end + 24 + sheet.measure(heading.day_text, COUNTS) <= MARGIN_OUT + room:
        sheet.text_to(MARGIN_OUT + room, base, heading.day_text, COUNTS, "mute")
