"""The sizes of type of a list on paper: plain, large print, and both on index cards.

All in points. Source for large print: UK Association for Accessible Formats, "Minimum standards:
clear and large print" (MS03, 2012): 16 points at least, no italics, 12 points for any clear print.
"""

from dataclasses import dataclass, replace

from core.printing.checklist import Paper
from core.printing.placed import Style
from core.printing.text_runs import Face

_LEADING = 1.24
"""From baseline to baseline, in sizes of the type."""


@dataclass(frozen=True, slots=True)
class TypeSizes:
    """Every style of a list, the glyphs and the tick box.

    `stretch` and `spread` say how many times the distances of plain print are taken downwards and
    across, `head_stretch` those of the header of the first page.
    """

    title: Style
    list_name: Style
    headline: Style
    legend: Style
    running: Style
    running_title: Style
    small_legend: Style
    footer: Style
    group_title: Style
    group_subtitle: Style
    plain: Style
    label: Style
    cell: Style
    figure: Style
    variety: Style
    note: Style
    column_head: Style
    map_head: Style
    legend_glyph: float
    small_legend_glyph: float
    glyph: float
    map_glyph: float
    tick: float
    stretch: float = 1.0
    spread: float = 1.0
    head_stretch: float = 1.0

    @property
    def row_height(self) -> float:
        """The height of a row of one line."""
        return 18.0 * self.stretch

    @property
    def heads_height(self) -> float:
        """The height of the heads of the columns, their line included."""
        return 14.0 * self.stretch


def leading(style: Style) -> float:
    """From one baseline of a text to the next, in points."""
    return _LEADING * style.size


def _plain(size: float) -> Style:
    return Style(Face.REGULAR, size)


def _bold(size: float) -> Style:
    return Style(Face.BOLD, size)


PLAIN = TypeSizes(
    title=_bold(19.0),
    list_name=_plain(12.0),
    headline=_plain(8.8),
    legend=_plain(8.6),
    running=_plain(8.2),
    running_title=_bold(8.6),
    small_legend=_plain(7.4),
    footer=_plain(7.4),
    group_title=_bold(12.0),
    group_subtitle=_plain(9.4),
    plain=_plain(9.0),
    label=_bold(10.4),
    cell=_plain(8.6),
    figure=_plain(7.4),
    variety=_plain(8.2),
    note=Style(Face.ITALIC, 7.8),
    column_head=_plain(6.6),
    map_head=_plain(6.2),
    legend_glyph=11.0,
    small_legend_glyph=10.0,
    glyph=11.6,  # 48 dots at 300 to the inch
    map_glyph=10.0,  # 41 dots, enough for the hatching
    tick=9.4,
)
LARGE = TypeSizes(
    title=_bold(28.0),
    list_name=_plain(18.0),
    headline=_plain(16.0),
    legend=_plain(16.0),
    running=_plain(14.0),
    running_title=_bold(14.0),
    small_legend=_plain(14.0),
    footer=_plain(14.0),
    group_title=_bold(20.0),
    group_subtitle=_plain(16.0),
    plain=_plain(16.0),
    label=_bold(19.0),
    cell=_plain(17.0),
    figure=_plain(16.0),
    variety=_plain(16.0),
    note=_plain(16.0),
    column_head=_plain(14.0),
    map_head=_plain(12.0),
    legend_glyph=19.0,
    small_legend_glyph=17.0,
    glyph=21.0,
    map_glyph=16.0,
    tick=17.0,
    stretch=1.8,
    spread=1.5,
    head_stretch=1.55,
)
CARD = replace(
    PLAIN,
    title=_bold(11.0),
    list_name=_plain(8.4),
    headline=_plain(7.4),
    legend=_plain(7.0),
    running=_plain(7.4),
    running_title=_bold(8.0),
    small_legend=_plain(7.0),
    footer=_plain(7.0),
    group_title=_bold(10.0),
    group_subtitle=_plain(7.8),
    plain=_plain(8.0),
    legend_glyph=10.0,
    spread=0.6,
    head_stretch=0.62,
)
LARGE_CARD = replace(
    LARGE,
    title=_bold(16.0),
    list_name=_plain(13.0),
    headline=_plain(12.0),
    legend=_plain(12.0),
    running=_plain(12.0),
    running_title=_bold(12.0),
    small_legend=_plain(12.0),
    footer=_plain(12.0),
    group_title=_bold(15.0),
    group_subtitle=_plain(12.0),
    plain=_plain(14.0),
    label=_bold(17.0),
    cell=_plain(16.0),
    column_head=_plain(12.0),
    legend_glyph=13.0,
    small_legend_glyph=13.0,
    glyph=18.0,
    tick=15.0,
    stretch=1.55,
    spread=0.75,
    head_stretch=1.0,
)


def type_sizes(paper: Paper, is_large: bool = False) -> TypeSizes:
    """The sizes for a paper, in plain or in large print."""
    if paper is Paper.INDEX_CARD:
        return LARGE_CARD if is_large else CARD
    return LARGE if is_large else PLAIN
