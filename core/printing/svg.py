"""A page as SVG: text as outlines, so that it looks the same wherever it is opened.

Source: Scalable Vector Graphics (SVG) 1.1, second edition, W3C 2011; only what its profile Tiny 1.2
has too is used.
"""

from collections.abc import Iterable
from xml.sax.saxutils import escape, quoteattr

from core.glyph.palette import Palette, state_colour
from core.glyph.shapes import Contour, glyph, outline_size
from core.printing.outlines import font_outlines
from core.printing.placed import Page, PlacedGlyph, PlacedShape, PlacedText
from core.printing.text_runs import Face, text_runs

_THICK_EM = 0.03
"""By how much characters of a font that has no bold are thickened."""


def page_svg(
    page: Page, title: str, description: str, palette: Palette, width_px: float = 0.0
) -> bytes:
    """The page as an SVG file, as wide as asked (its own width where that is 0).

    `title` and `description` are what a screen reader says of it. The same page gives the same
    bytes.
    """
    writer = _Writer(palette, _dots_a_unit(page, width_px))
    body = [*map(writer.shape, page.shapes)]
    body += [_rules(page, palette), _boxes(page, palette)]
    body += map(writer.glyph, page.glyphs)
    body += map(writer.text, page.texts)
    width = width_px or page.width
    head = (
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
        f' version="1.1" width="{_n(width)}" height="{_n(width * page.height / page.width)}"'
        f' viewBox="0 0 {_n(page.width)} {_n(page.height)}" role="img">'
    )
    lines = ['<?xml version="1.0" encoding="UTF-8"?>', head]
    lines += [f"<title>{_said(title)}</title>", f"<desc>{_said(description)}</desc>"]
    lines += ["<defs>", *writer.defs.values(), "</defs>"]
    lines += [part for part in body if part]
    return "\n".join([*lines, "</svg>", ""]).encode()


class _Writer:
    """Draws one page; what is drawn twice is defined once."""

    def __init__(self, palette: Palette, dots_a_unit: float) -> None:
        self._palette, self._dots = palette, dots_a_unit
        self.defs: dict[str, str] = {}
        self._characters: dict[tuple[Face, str], tuple[str, float]] = {}

    def shape(self, shape: PlacedShape) -> str:
        colour = getattr(self._palette, shape.ink)
        return f'<path fill="{colour}" fill-rule="evenodd" d="{path_data(shape.contours)}"/>'

    def glyph(self, placed: PlacedGlyph) -> str:
        dots = placed.diameter * self._dots
        name = f"g{placed.code}-{outline_size(dots)}"
        if name not in self.defs:
            self.defs[name] = self._glyph_def(name, placed.code, dots)
        radius = _n(placed.diameter / 2)
        at = f"translate({_n(placed.x)} {_n(placed.y)}) scale({radius})"
        return f'<use xlink:href="#{name}" transform="{at}"/>'

    def _glyph_def(self, name: str, code: int, dots: float) -> str:
        palette = self._palette
        paths = [
            f'<path fill="{palette.ink if part.role == "mark" else state_colour(palette, code)}"'
            f' fill-rule="evenodd" d="{path_data(part.contours)}"/>'
            for part in glyph(code, dots)
        ]
        return f'<g id="{name}">{"".join(paths)}</g>'

    def text(self, placed: PlacedText) -> str:
        """One line as a group of outlines, named by its words."""
        colour = getattr(self._palette, placed.ink)
        x, parts = placed.x, []
        for run in text_runs(placed.text, placed.style.face):
            units = font_outlines(run.face).units_per_em
            scale = placed.style.size / units
            is_thick = placed.style.face is Face.BOLD and run.face is not Face.BOLD
            thick = f' stroke="{colour}" stroke-width="{_n(_THICK_EM * units)}"' if is_thick else ""
            uses, along = [], 0.0
            for character in run.text:
                name, advance = self._character(run.face, character)
                if name:
                    uses.append(f'<use xlink:href="#{name}" x="{_n(along * units)}"/>')
                along += advance
            at = f"translate({_n(x)} {_n(placed.y)}) scale({scale:.6f} {-scale:.6f})"
            parts.append(f'<g transform="{at}"{thick}>{"".join(uses)}</g>')
            x += along * placed.style.size
        label = quoteattr(_shown(placed.text))
        return f'<g role="img" aria-label={label} fill="{colour}">{"".join(parts)}</g>'

    def _character(self, face: Face, character: str) -> tuple[str, float]:
        """The name of a character's definition, "" where it has no ink; and its advance in ems."""
        known = self._characters.get((face, character))
        if known is not None:
            return known
        outline = font_outlines(face).outline(character)
        name = f"c{list(Face).index(face)}-{ord(character):x}" if outline.path else ""
        if name:
            self.defs[name] = f'<path id="{name}" d="{outline.path}"/>'
        self._characters[face, character] = name, outline.advance
        return name, outline.advance


def path_data(contours: Iterable[Contour]) -> str:
    """Contours as SVG path data."""
    parts = []
    for contour in contours:
        for segment in contour:
            kind, *numbers = segment
            parts.append(f"{kind}{' '.join(map(_n, numbers))}")
        parts.append("Z")
    return "".join(parts)


def _rules(page: Page, palette: Palette) -> str:
    d = "".join(
        f"M{_n(r.x)} {_n(r.y - r.weight / 2)}h{_n(r.width)}v{_n(r.weight)}h{_n(-r.width)}Z"
        for r in page.rules
    )
    return f'<path fill="{palette.ink}" d="{d}"/>' if d else ""


def _boxes(page: Page, palette: Palette) -> str:
    return "".join(
        f'<rect x="{_n(b.x)}" y="{_n(b.y)}" width="{_n(b.side)}" height="{_n(b.side)}" fill="none"'
        f' stroke="{palette.ink}" stroke-width="{_n(b.weight)}"/>'
        for b in page.boxes
    )


def _dots_a_unit(page: Page, width_px: float) -> float:
    """Glyphs are outlined for the size asked, at least as the screen has them."""
    return max(1.0, width_px / page.width if width_px else 1.0)


def _shown(text: str) -> str:
    return "".join(run.text for run in text_runs(text))


def _said(text: str) -> str:
    return escape(_shown(text))


def _n(value: float) -> str:
    """A number with up to four places; nought without a sign."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text
