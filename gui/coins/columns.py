"""Which columns the coins table shows, in which order and how wide; as kept in the settings."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from gui.coins.rows import COLUMNS, Column

LEAST_PX, MOST_PX = 48, 900
WIDTHS: Mapping[Column, int] = {
    Column.NUMBER: 72,
    Column.COIN: 232,
    Column.GRADE: 88,
    Column.PROBLEMS: 112,
    Column.STATE: 96,
    Column.WHERE: 200,
    Column.CAME_FROM: 168,
    Column.ACQUIRED: 96,
    Column.NOTE: 160,
    Column.QUANTITY: 88,
    Column.PLACE: 128,
    Column.PAID: 104,
    Column.WEIGHT: 80,
    Column.VARIETIES: 200,
    Column.SERIES: 160,
    Column.GAIN: 184,
}
FOREIGN_GRADE_PX = 168
"""How wide the grades usually are where one shows its table: gVF (British, 40–53)."""
USUAL = COLUMNS[: COLUMNS.index(Column.NOTE) + 1]
CHOICES = tuple(c for c in COLUMNS if c is not Column.GAIN)
"""Columns one may choose among; the gain in a slot shows itself."""
NEEDED = Column.COIN
"""A row must say what it is."""


@dataclass(frozen=True, slots=True)
class Layout:
    """The columns shown, in order, and widths that differ from the usual, logical pixels."""

    shown: tuple[Column, ...] = USUAL
    widths: Mapping[Column, int] = field(default_factory=dict)

    def width(self, column: Column, has_foreign_grades: bool = False) -> int:
        """How wide a column is."""
        is_wider = column is Column.GRADE and has_foreign_grades
        return self.widths.get(column, FOREIGN_GRADE_PX if is_wider else WIDTHS[column])

    @property
    def is_usual(self) -> bool:
        """Whether nobody chose columns: then few may be left out where there is little room."""
        return self.shown == USUAL

    def with_shown(self, shown: Iterable[Column]) -> "Layout":
        """Other columns in another order; what a coin is always shows."""
        chosen = tuple(c for c in dict.fromkeys(shown) if c in CHOICES)
        return replace(self, shown=chosen if NEEDED in chosen else (NEEDED, *chosen))

    def with_width(self, column: Column, width_px: int) -> "Layout":
        """A column made wider or narrower."""
        widths = {**self.widths, column: max(LEAST_PX, min(MOST_PX, width_px))}
        return replace(self, widths={c: w for c, w in widths.items() if w != WIDTHS[c]})


def layout_text(layout: Layout) -> str:
    """As the settings keep it: NUMBER COIN:260 GRADE … | widths of hidden ones."""
    shown = [_one(layout, column) for column in layout.shown]
    hidden = [_one(layout, c) for c in COLUMNS if c not in layout.shown and c in layout.widths]
    return " ".join([*shown, *(["|", *hidden] if hidden else [])])


def _one(layout: Layout, column: Column) -> str:
    width = layout.widths.get(column)
    return column.name if width is None else f"{column.name}:{width}"


def read_layout(text: str) -> Layout:
    """What the settings keep; words that make no sense are passed over, none is the usual."""
    front, _, back = text.partition("|")
    layout = Layout()
    shown: list[Column] = []
    for part, is_shown in ((front, True), (back, False)):
        for word in part.split():
            name, _, width = word.partition(":")
            column = Column.__members__.get(name)
            if column is None:
                continue
            if is_shown:
                shown.append(column)
            if width.isascii() and width.isdigit():
                layout = layout.with_width(column, int(width))
    return layout.with_shown(shown) if shown else layout
