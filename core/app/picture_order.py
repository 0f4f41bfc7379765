"""What to draw of an album and how: the words that window and command line share.

Light: nothing here loads what draws.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from core.errors import BadEntry
from core.glyph.palette import DARK, LIGHT, PAPER, Palette
from core.printing.checklist import Paper
from core.printing.real_size_parts import CLEARANCE_MM, MOST_CLEARANCE_MM


class Kind(StrEnum):
    """The files that can be made, by their endings."""

    PDF = "pdf"
    PNG = "png"
    SVG = "svg"


class What(StrEnum):
    """What is drawn: leaf sheets or a picture of all leaves or one, or the 16:9 card."""

    ALBUM = "album"
    CARD = "card"


PALETTES: Mapping[str, Palette] = {"light": LIGHT, "dark": DARK, "paper": PAPER}


@dataclass(frozen=True, slots=True)
class RealOrder:
    """Sheets at real size, in millimetres; a hole of None is the coin's own diameter.

    `is_wide` lays the paper lengthwise, None as the album is shaped or as fewer sheets need it.
    """

    hole_mm: float | None = None
    clearance_mm: float = CLEARANCE_MM
    is_wide: bool | None = None


@dataclass(frozen=True, slots=True)
class PictureOrder:
    """How to draw an album.

    `leaf` is a leaf's number from 1, None for all. `theme` is light, dark or paper (black on
    white). A width in pixels goes before `scale`, which is dots a unit of the screen; both count
    for PNG and SVG only. `paper` counts for leaf sheets, which are always black; `real` makes them
    sheets of holes at real size.
    """

    kind: Kind
    what: What = What.ALBUM
    leaf: int | None = None
    theme: str = "light"
    width_px: int | None = None
    scale: float = 1.0
    is_transparent: bool = False
    paper: Paper = Paper.A4
    real: RealOrder | None = None


def read_clearance(text: str) -> float:
    """How much wider than its coin a hole is, in millimetres: 0.4, 0,4 or 0.4 mm.

    Raises BadEntry where it is no such figure or more than a hole may be wider.
    """
    found = re.fullmatch(r"(\d{1,2})(?:[.,](\d{1,2}))?(?: ?mm)?", text.strip(), re.ASCII)
    size = float(f"{found[1]}.{found[2] or 0}") if found else -1.0
    if not 0 <= size <= MOST_CLEARANCE_MM:
        raise BadEntry(
            f"“{text}” is no clearance; write millimetres, 0 to {MOST_CLEARANCE_MM:g}, such as "
            f"{CLEARANCE_MM:g}."
        )
    return size
