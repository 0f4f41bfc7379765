"""What a checklist says, before anything is laid out: a title, a legend, leaves of rows.

The application fills these; `pages.py` lays them out and `pdf.py` writes them. Every text is ready
to print and plain: no markup, line breaks only in notes.
"""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Literal


class ListKind(StrEnum):
    """What the rows of a checklist are; it decides their columns."""

    SLOTS = "slots"
    SPARES = "spares"


class Paper(StrEnum):
    """The paper sizes that checklists are made for."""

    A4 = "a4"
    LETTER = "letter"
    A5 = "a5"
    INDEX_CARD = "index-card"

    @property
    def shown_name(self) -> str:
        """The name to show: "A4", "Letter", "Index card"."""
        return self.value.replace("-", " ").capitalize()

    @property
    def size_mm(self) -> tuple[float, float]:
        """Width and height of an upright sheet in millimetres.

        Sources: ISO 216:2007, table of the A series; ANSI/ASME Y14.1, size A, 8.5 × 11 inches; PWG
        5101.1-2013, Media Standardized Names, na_index-3x5_3x5in, 3 × 5 inches.
        """
        return _SIZES_MM[self]


_SIZES_MM = {
    Paper.A4: (210.0, 297.0),
    Paper.LETTER: (215.9, 279.4),
    Paper.A5: (148.0, 210.0),
    Paper.INDEX_CARD: (76.2, 127.0),
}


class ListColumn(StrEnum):
    """What a list can tell of a row beside its name, each on or off."""

    VARIETY = "variety"
    MINTAGE = "mintage"
    HELD = "held"
    WANTED = "wanted"
    PIECES = "pieces"
    PRICE = "price"
    NOTE = "note"


COLUMNS_OF = {
    ListKind.SLOTS: tuple(c for c in ListColumn if c is not ListColumn.PIECES),
    ListKind.SPARES: tuple(
        c for c in ListColumn if c not in (ListColumn.VARIETY, ListColumn.WANTED)
    ),
}
"""The columns that each kind of list can have."""
DEFAULT_COLUMNS = tuple(c for c in ListColumn if c is not ListColumn.MINTAGE)


@dataclass(frozen=True, slots=True)
class Look:
    """How a list is printed: which columns, and whether in large print.

    The price is room to write in; the note is what the collector wrote, and room for more. A column
    that no row fills is not printed.
    """

    columns: tuple[ListColumn, ...] = DEFAULT_COLUMNS
    is_large: bool = False


@dataclass(frozen=True, slots=True)
class LeftOut:
    """Chosen columns that are not there: for want of room, or as no row fills them.

    Those `below` had no room beside the others and stand on a line under each row.
    """

    no_room: tuple[ListColumn, ...] = ()
    below: tuple[ListColumn, ...] = ()
    not_filled: tuple[ListColumn, ...] = ()


@dataclass(frozen=True, slots=True)
class ChecklistRow:
    """One line: a slot, or in a list of spares a coin or lot.

    `code` is a glyph byte of `core.glyph.codes`. For a slot, `label` is what stands under the hole
    ("1943-D"), `variety` what it asks beyond that, `held` what sits there ("VG-8", "S or D?", ""
    for nothing) and `wanted` its target ("" for none). An optional slot's label is printed in
    brackets; give it here without. For a spare, `held` is its grade, `count` how many the lot
    holds, and `wanted` is left empty. The whole note is printed, on more lines where it is long.
    `mintage` is ready to print too: "5,376,000", "not known", "880,000 of all 1982-D".
    """

    code: int
    label: str
    variety: str = ""
    held: str = ""
    wanted: str = ""
    is_optional: bool = False
    note: str = ""
    mintage: str = ""
    count: int = 1


@dataclass(frozen=True, slots=True)
class LeafMap:
    """A leaf in small: rows of glyph bytes as they lie, with the heads of its places and rows.

    Rows of `codes` may differ in length; 15 is a spacer. With `heads` and
    `row_heads` both given the leaf is a matrix (a row a year, a place a mint) and is drawn lying
    on its side, mints down and dates across; without either it is drawn as it lies.
    """

    heads: tuple[str, ...]
    row_heads: tuple[str, ...]
    codes: tuple[tuple[int, ...], ...]


@dataclass(frozen=True, slots=True)
class ChecklistLeaf:
    """A group of rows, a leaf's or any other: `title` "Leaf 1", `subtitle` "1938–1946".

    Only a leaf has a map. `empty_text` stands where there are no rows: "complete at target".
    """

    title: str
    subtitle: str
    map: LeafMap | None
    rows: tuple[ChecklistRow, ...]
    empty_text: str = "nothing to list here"


@dataclass(frozen=True, slots=True)
class Checklist:
    """A whole list, ready to be laid out.

    `title` is the album's name, `list_name` which list this is ("Gaps and upgrades"), `headline`
    its count ("have 58 of 70 · at target 44"), `day_text` the day as it is printed ("25 November
    2026", or of a day gone by "as of 3 May 2025"), `counts` the legend (glyph byte and "44
    filled"), `footer` the collection's name. `empty_text` stands where there is no leaf at all.
    """

    title: str
    list_name: str
    headline: str
    day: date
    day_text: str
    counts: tuple[tuple[int, str], ...]
    leaves: tuple[ChecklistLeaf, ...]
    footer: str
    kind: ListKind | Literal["slots", "spares"] = ListKind.SLOTS
    empty_text: str = "nothing to list here"
