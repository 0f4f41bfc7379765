"""Colours of the screen, light and dark, and of paper; and how well two of them stand apart.

Shape and pattern carry a state; these colours only repeat it. Every colour is `#rrggbb`.
"""

from dataclasses import dataclass
from string import hexdigits

from core.glyph.codes import state_of
from core.model.state import SlotState


@dataclass(frozen=True, slots=True)
class Palette:
    """All colours of one appearance."""

    paper: str
    """What cards lie on."""
    card: str
    line: str
    """Edges of cards and fields; decoration only."""
    ink: str
    mute: str
    accent: str
    accent_ink: str
    """Text on an accent button."""
    shelf: str
    """The bar and the shelf."""
    shelf_accent: str
    """Accent text on the shelf."""
    select: str
    hover: str
    gap: str
    filled: str
    below: str
    filler: str
    order: str
    verify: str
    skipped: str
    not_struck: str


LIGHT = Palette(
    paper="#fbf9f4",
    card="#ffffff",
    line="#ddd8cc",
    ink="#1f2328",
    mute="#5b6470",
    accent="#0072B2",
    accent_ink="#ffffff",
    shelf="#f1ede3",
    shelf_accent="#006CA9",
    select="#dcebf6",
    hover="#f1efe8",
    gap="#5b6470",
    filled="#0072B2",
    below="#B25E00",
    filler="#8A4B9A",
    order="#007A5E",
    verify="#7A6A00",
    skipped="#70757d",
    not_struck="#70757d",
)

DARK = Palette(
    paper="#17181a",
    card="#202225",
    line="#35383d",
    ink="#eceae4",
    mute="#a7adb6",
    accent="#5CB2E6",
    accent_ink="#17181a",
    shelf="#15171a",
    shelf_accent="#5CB2E6",
    select="#1d3a4e",
    hover="#2a2d31",
    gap="#a3aab4",
    filled="#4AA5DD",
    below="#E2934A",
    filler="#C795D6",
    order="#45BD98",
    verify="#C9B64A",
    skipped="#9298a1",
    not_struck="#9298a1",
)

PAPER = Palette(
    paper="#ffffff",
    card="#ffffff",
    line="#000000",
    ink="#000000",
    mute="#000000",
    accent="#000000",
    accent_ink="#ffffff",
    shelf="#ffffff",
    shelf_accent="#000000",
    select="#ffffff",
    hover="#ffffff",
    gap="#000000",
    filled="#000000",
    below="#000000",
    filler="#000000",
    order="#000000",
    verify="#000000",
    skipped="#000000",
    not_struck="#000000",
)


def state_colour(palette: Palette, code: int) -> str:
    """The colour of a glyph's ink; a spacer, which draws none, gives the card's."""
    match state_of(code):
        case None:
            return palette.card
        case SlotState.GAP:
            return palette.gap
        case SlotState.FILLED:
            return palette.filled
        case SlotState.BELOW_TARGET:
            return palette.below
        case SlotState.HOLE_FILLER:
            return palette.filler
        case SlotState.ON_ORDER:
            return palette.order
        case SlotState.TO_VERIFY:
            return palette.verify
        case SlotState.SKIPPED:
            return palette.skipped
        case SlotState.NOT_STRUCK:
            return palette.not_struck


def channels(colour: str) -> tuple[int, int, int]:
    """Red, green and blue, 0 to 255, of `#rrggbb`. Raises ValueError for anything else."""
    if len(colour) != 7 or colour[0] != "#" or not set(colour[1:]) <= set(hexdigits):
        raise ValueError(f"not a colour of the form #rrggbb: {colour!r}")
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)


def luminance(colour: str) -> float:
    """Relative luminance, 0 (black) to 1 (white).

    Source: Web Content Accessibility Guidelines 2.2, W3C 2023, definition of relative luminance.
    """
    red, green, blue = (_linear(channel / 255) for channel in channels(colour))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio, 1 to 21, in either order.

    Source: Web Content Accessibility Guidelines 2.2, W3C 2023, definition of contrast ratio.
    """
    darker, lighter = sorted((luminance(one), luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


def _linear(value: float) -> float:
    return value / 12.92 if value <= 0.04045 else float(((value + 0.055) / 1.055) ** 2.4)
