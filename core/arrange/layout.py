"""What slots are laid out from and into: slots of a grid, cells, rows and leaves. Pure."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from core.model.arrangement import NO_LEAD, Lead

WasStruck = Callable[[str, str], bool]
"""Whether coins of a date were struck at a mint."""


@dataclass(frozen=True, slots=True)
class GridSlot:
    """What the grid needs of a slot: date, mint ("" for any), what differs, its label.

    `rank` is the place of its date in the order of dates. `year` is the Gregorian year, None where
    several decades are open; `design` and its `title` are "" where several designs are.
    """

    date: str
    mint: str
    differs: str
    label: str
    rank: int = 0
    year: int | None = None
    design: str = ""
    title: str = ""
    lead: Lead = NO_LEAD


@dataclass(frozen=True, slots=True)
class Cell:
    """One place of a row: a slot (by its index), a not-struck place, a spacer or a caption.

    A caption is a spacer with a name: a text that stands there instead of a slot, with a second,
    quieter line `sub`.
    """

    slot: int | None = None
    is_struck: bool = True
    name: str = ""
    sub: str = ""

    @property
    def is_spacer(self) -> bool:
        """Whether no glyph is drawn here."""
        return self.slot is None and self.is_struck

    @property
    def is_caption(self) -> bool:
        """Whether it is a spacer with a text."""
        return self.slot is None and self.is_struck and bool(self.name or self.sub)


SPACER: Final = Cell()


@dataclass(frozen=True, slots=True)
class RowLayout:
    """One row: its head, what differs (a second, quieter line), indent in half cells, cells.

    `group` is what it has in common with the rows about it, told once by `told_once`.
    """

    head: str
    differs: str
    indent: int
    cells: tuple[Cell, ...]
    group: str = ""


@dataclass(frozen=True, slots=True)
class LeafLayout:
    """One leaf: title, span, column heads ("" where there are none) and rows."""

    title: str
    subtitle: str
    heads: tuple[str, ...]
    rows: tuple[RowLayout, ...]


@dataclass(frozen=True, slots=True)
class Column:
    """A mint's column: its id, its head, such as “P (no letter)”, and the mint's name."""

    mint: str
    head: str
    name: str = ""
