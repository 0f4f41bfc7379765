"""What a checklist says, before anything is laid out: a title, a legend, leaves of rows.

The application fills these; `pages.py` lays them out and `pdf.py` writes them. Every text is ready
to print and plain: no markup, line breaks only in notes.
"""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Literal

MAP_SPACER = 15
"""The glyph byte of a place of a leaf map where nothing is drawn: `GlyphCode.SPACER`."""


class ListKind(StrEnum):
    """What the rows of a checklist are; it decides their columns."""

    SLOTS = "slots"
    SPARES = "spares"


class Paper(StrEnum):
    """The paper sizes that checklists are made for."""

    A4 = "a4"
    LETTER = "letter"
    A5 = "a5"

    @property
    def shown_name(self) -> str:
        """The name to show: "A4", "Letter"."""
        return self.value.capitalize()

    @property
    def size_mm(self) -> tuple[float, float]:
        """Width and height of an upright sheet in millimetres.

        Sources: ISO 216:2007, table of the A series; ANSI/ASME Y14.1, size A, 8.5 × 11 inches.
        """
        return _SIZES_MM[self]


_SIZES_MM = {
    Paper.A4: (210.0, 297.0),
    Paper.LETTER: (215.9, 279.4),
    Paper.A5: (148.0, 210.0),
}


@dataclass(frozen=True, slots=True)
class ChecklistRow:
    """One line: a slot, or in a list of spares a coin or lot.

    `code` is a glyph byte of `core.glyph.codes`. For a slot, `label` is what stands under the hole
    ("1943-D"), `variety` what it asks beyond that, `held` what sits there ("VG-8", "S or D?", ""
    for nothing) and `wanted` its target ("" for none). An optional slot's label is printed in
    brackets; give it here without. For a spare, `held` is its grade, `count` how many the lot
    holds, and `wanted` is left empty. The whole note is printed, on more lines where it is long.
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
    """One leaf's rows: `title` "Leaf 1", `subtitle` "1938–1946".

    `empty_text` stands where there are no rows: "complete at target".
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
    its count ("have 58 of 70 · at target 44"), `day_text` the day as it is printed, `counts` the
    legend (glyph byte and "44 filled"), `footer` the collection's name. `empty_text` stands where
    there is no leaf at all.
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
