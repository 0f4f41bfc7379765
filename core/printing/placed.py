"""The primitives of a laid-out page, and the sheet that gathers them.

Points (1/72 inch), origin at the top left of the paper, x to the right, y down.
"""

from dataclasses import dataclass, field
from typing import Literal, Protocol

from core.glyph.shapes import Contour
from core.printing.text_runs import Face, shortened

MM = 72 / 25.4
"""Points in a millimetre."""
ASCENT, DESCENT = 0.76, 0.23
"""How far ink of Latin text goes above and below its baseline, in sizes; marks on capitals may
go further."""


Ink = Literal[
    "paper", "card", "line", "ink", "mute", "accent", "accent_ink", "shelf", "select", "hover"
]
"""What a thing is drawn in: the name of a colour of `core.glyph.palette.Palette`."""


@dataclass(frozen=True, slots=True)
class Style:
    """A font and its size in points."""

    face: Face
    size: float


class Measure(Protocol):
    """The width of a text in points; the width of a whole is that of its parts together."""

    def __call__(self, text: str, style: Style, /) -> float:
        """Give the width of one line."""


class Wrap(Protocol):
    """The lines of a text no wider than so many points; no line for an empty text."""

    def __call__(self, text: str, style: Style, width: float, /) -> tuple[str, ...]:
        """Break a text into lines."""


@dataclass(frozen=True, slots=True)
class PlacedText:
    """One line of text: its left end on the baseline, and its measured width."""

    x: float
    y: float
    text: str
    style: Style
    width: float
    ink: Ink = "ink"


@dataclass(frozen=True, slots=True)
class PlacedRule:
    """A horizontal line."""

    x: float
    y: float
    width: float
    weight: float


@dataclass(frozen=True, slots=True)
class PlacedBox:
    """The outline of a tick box: top left corner and side."""

    x: float
    y: float
    side: float
    weight: float


@dataclass(frozen=True, slots=True)
class PlacedGlyph:
    """A glyph byte of `core.glyph.codes` in a circle: its centre and diameter."""

    code: int
    x: float
    y: float
    diameter: float


@dataclass(frozen=True, slots=True)
class PlacedShape:
    """Contours filled together by the even-odd rule."""

    contours: tuple[Contour, ...]
    ink: Ink


@dataclass(frozen=True, slots=True)
class Page:
    """One finished page; texts stand in the order they are read, shapes lie below all else."""

    width: float
    height: float
    texts: tuple[PlacedText, ...]
    rules: tuple[PlacedRule, ...]
    boxes: tuple[PlacedBox, ...]
    glyphs: tuple[PlacedGlyph, ...]
    shapes: tuple[PlacedShape, ...] = ()


@dataclass(slots=True)
class Sheet:
    """A page while it is being filled."""

    measure: Measure
    texts: list[PlacedText] = field(default_factory=list)
    rules: list[PlacedRule] = field(default_factory=list)
    boxes: list[PlacedBox] = field(default_factory=list)
    glyphs: list[PlacedGlyph] = field(default_factory=list)
    shapes: list[PlacedShape] = field(default_factory=list)

    def text(self, x: float, y: float, text: str, style: Style, ink: Ink = "ink") -> float:
        """Write one line from its left end; gives where it ends."""
        width = self.measure(text, style)
        if text:
            self.texts.append(PlacedText(x, y, text, style, width, ink))
        return x + width

    def text_to(self, x: float, y: float, text: str, style: Style, ink: Ink = "ink") -> float:
        """Write one line up to its right end; gives where it begins."""
        width = self.measure(text, style)
        if text:
            self.texts.append(PlacedText(x - width, y, text, style, width, ink))
        return x - width

    def text_about(self, x: float, y: float, text: str, style: Style, ink: Ink = "ink") -> None:
        """Write one line about its middle."""
        self.text(x - self.measure(text, style) / 2, y, text, style, ink)

    def short_text(
        self, x: float, y: float, text: str, style: Style, width: float, ink: Ink = "ink"
    ) -> float:
        """Write one line, cut short with … where it is wider than so many points; gives its end."""
        return self.text(x, y, short(text, style, width, self.measure), style, ink)

    def shape(self, ink: Ink, *contours: Contour) -> None:
        """Fill contours together, over the shapes before them."""
        self.shapes.append(PlacedShape(contours, ink))

    def glyph(self, code: int, x: float, y: float, diameter: float) -> None:
        """Draw a glyph about its centre."""
        self.glyphs.append(PlacedGlyph(code, x, y, diameter))

    def page(self, width: float, height: float) -> Page:
        """The page as it stands."""
        return Page(
            width,
            height,
            tuple(self.texts),
            tuple(self.rules),
            tuple(self.boxes),
            tuple(self.glyphs),
            tuple(self.shapes),
        )


def short(text: str, style: Style, width: float, measure: Measure) -> str:
    """A text cut short with … where it is wider than so many points."""
    return shortened(text, width, lambda part: measure(part, style))


_ROUND = 0.5522847498
"""How far the handles of a quarter circle's cubic reach, in radii."""


def rounded(x: float, y: float, width: float, height: float, radius: float = 0.0) -> Contour:
    """A rectangle with round corners, no rounder than its shorter side allows."""
    r = min(radius, width / 2, height / 2)
    right, bottom, k = x + width, y + height, r * (1 - _ROUND)
    if r <= 0:
        return (("M", x, y), ("L", right, y), ("L", right, bottom), ("L", x, bottom))
    return (
        ("M", x + r, y),
        ("L", right - r, y),
        ("C", right - k, y, right, y + k, right, y + r),
        ("L", right, bottom - r),
        ("C", right, bottom - k, right - k, bottom, right - r, bottom),
        ("L", x + r, bottom),
        ("C", x + k, bottom, x, bottom - k, x, bottom - r),
        ("L", x, y + r),
        ("C", x, y + k, x + k, y, x + r, y),
    )


def frame(
    x: float, y: float, width: float, height: float, radius: float, weight: float
) -> tuple[Contour, Contour]:
    """The edge of a rounded rectangle, so thick and lying inside it."""
    inner = rounded(
        x + weight, y + weight, width - 2 * weight, height - 2 * weight, max(0.0, radius - weight)
    )
    return rounded(x, y, width, height, radius), inner
