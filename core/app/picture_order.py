"""What to draw of an album and how: the words that window and command line share.

Light: nothing here loads what draws.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from core.glyph.palette import DARK, LIGHT, PAPER, Palette
from core.printing.checklist import Paper


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
class PictureOrder:
    """How to draw an album.

    `leaf` is a leaf's number from 1, None for all. `theme` is light, dark or paper (black on
    white). A width in pixels goes before `scale`, which is dots a unit of the screen; both count
    for PNG and SVG only. `paper` counts for leaf sheets, which are always black.
    """

    kind: Kind
    what: What = What.ALBUM
    leaf: int | None = None
    theme: str = "light"
    width_px: int | None = None
    scale: float = 1.0
    is_transparent: bool = False
    paper: Paper = Paper.A4
