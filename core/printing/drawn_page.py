"""A page as a picture file: PNG by way of PDF, so that both hold the same."""

from dataclasses import replace
from math import isfinite

from core.errors import BadEntry
from core.glyph.palette import Palette
from core.printing.pdf import pages_pdf
from core.printing.placed import Page
from core.printing.png import picture_png

LEAST_PX, MOST_PX = 16, 16_384
LEAST_TEXT_PX = 2.0
MOST_DOTS = 120_000_000
"""More dots than this are not drawn at once: about half a gigabyte while it is made."""


def page_pdf(page: Page, title: str, palette: Palette, created: str, scale: float = 4.0) -> bytes:
    """The page as a PDF of one page, glyphs as fine as so many dots a unit allow."""
    return pages_pdf([page], title, created, "Picture", palette, 72 * scale)


def page_png(page: Page, palette: Palette, scale: float) -> bytes:
    """The page as a PNG of so many dots a unit, clear where nothing is drawn.

    Text less than two dots high is left out: nobody reads it, and a large album has much of it.
    Raises BadEntry where the picture would be too small or too large.
    """
    check_size(page, scale)
    texts = tuple(text for text in page.texts if text.style.size * scale >= LEAST_TEXT_PX)
    seen = replace(page, texts=texts)
    data = page_pdf(seen, "", palette, "D:20000101000000Z", scale)
    return picture_png(data, scale)


def check_size(page: Page, scale: float) -> None:
    """Raise BadEntry where the picture would be too small or too large to draw."""
    check_least(page, scale)
    width, height = page.width * scale, page.height * scale
    if max(width, height) > MOST_PX or width * height > MOST_DOTS:
        raise BadEntry(
            f"A picture of {_shown(page, scale)} is too large to draw; ask for a smaller one, a "
            "leaf at a time, or an SVG, which may be of any size."
        )


def check_least(page: Page, scale: float) -> None:
    """Raise BadEntry where the picture would be too small, or of no size at all."""
    if not isfinite(scale):
        raise BadEntry(f"“{scale}” is no size of a picture; give a number such as 2.")
    if min(page.width, page.height) * scale < LEAST_PX:
        raise BadEntry(
            f"A picture of {_shown(page, scale)} is too small to draw; ask for a larger one."
        )


def _shown(page: Page, scale: float) -> str:
    return f"{page.width * scale:,.0f} × {page.height * scale:,.0f} pixels"
