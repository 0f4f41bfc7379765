"""The primitives of a laid-out page, and the sheet that gathers them.

Points (1/72 inch), origin at the top left of the paper, x to the right, y down.
"""

from dataclasses import dataclass, field
from typing import Protocol

from core.printing.text_runs import Face, shortened

MM = 72 / 25.4
"""Points in a millimetre."""
ASCENT, DESCENT = 0.76, 0.23
"""How far ink of Latin text goes above and below its baseline, in sizes; marks on capitals may
go further."""


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
class Page:
    """One finished page; texts stand in the order they are read."""

    width: float
    height: float
    texts: tuple[PlacedText, ...]
    rules: tuple[PlacedRule, ...]
    boxes: tuple[PlacedBox, ...]
    glyphs: tuple[PlacedGlyph, ...]


@dataclass(slots=True)
class Sheet:
    """A page while it is being filled."""

    measure: Measure
    texts: list[PlacedText] = field(default_factory=list)
    rules: list[PlacedRule] = field(default_factory=list)
    boxes: list[PlacedBox] = field(default_factory=list)
    glyphs: list[PlacedGlyph] = field(default_factory=list)

    def text(self, x: float, y: float, text: str, style: Style) -> float:
        """Write one line from its left end; gives where it ends."""
        width = self.measure(text, style)
        if text:
            self.texts.append(PlacedText(x, y, text, style, width))
        return x + width

    def text_to(self, x: float, y: float, text: str, style: Style) -> float:
        """Write one line up to its right end; gives where it begins."""
        width = self.measure(text, style)
        if text:
            self.texts.append(PlacedText(x - width, y, text, style, width))
        return x - width

    def text_about(self, x: float, y: float, text: str, style: Style) -> None:
        """Write one line about its middle."""
        self.text(x - self.measure(text, style) / 2, y, text, style)

    def short_text(self, x: float, y: float, text: str, style: Style, width: float) -> float:
        """Write one line, cut short with … where it is wider than so many points; gives its end."""
        return self.text(x, y, short(text, style, width, self.measure), style)

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
        )


def short(text: str, style: Style, width: float, measure: Measure) -> str:
    """A text cut short with … where it is wider than so many points."""
    return shortened(text, width, lambda part: measure(part, style))
