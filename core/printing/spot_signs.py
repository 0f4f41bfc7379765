"""A plain disc with numbered spots as placed shapes: where on a coin to look, for paper.

What a marker says is told by the shape of its spot, as on the screen: filled decides, a ring
supports, a crossed ring excludes. No picture of any coin.
"""

from collections.abc import Mapping
from math import hypot

from core.glyph.shapes import Contour
from core.model.issue import Evidence
from core.printing.leaf_scene import MIDDLE
from core.printing.placed import Ink, Sheet, Style, rounded
from core.printing.text_runs import Face

Point = tuple[float, float]
NUMBER = Style(Face.BOLD, 6.6)


def circle(x: float, y: float, radius: float) -> Contour:
    """A circle about a point."""
    return rounded(x - radius, y - radius, 2 * radius, 2 * radius, radius)


def draw_disc(sheet: Sheet, x: float, y: float, radius: float) -> None:
    """The rim about its middle, and a line within it."""
    sheet.shape("mute", circle(x, y, radius), circle(x, y, radius - 0.7))
    inner = radius - 2.6
    sheet.shape("line", circle(x, y, inner), circle(x, y, inner - 0.3))


def draw_spot(
    sheet: Sheet, at: Point, number: int, evidence: Evidence, radius: float = 5.4
) -> None:
    """A spot about a point; number 0 leaves it without one."""
    x, y = at
    if evidence is Evidence.DECIDES:
        sheet.shape("accent", circle(x, y, radius))
    else:
        ink: Ink = "mute" if evidence is Evidence.EXCLUDES else "accent"
        sheet.shape("card", circle(x, y, radius))
        sheet.shape(ink, circle(x, y, radius), circle(x, y, radius - 0.9))
    if evidence is Evidence.EXCLUDES:
        sheet.shape("mute", _stroke(x, y, (radius + 1.2) * 0.7071, 0.55))
        if number:
            sheet.shape("card", circle(x, y, radius * 0.66))
    if number:
        on_spot: Ink = "accent_ink" if evidence is Evidence.DECIDES else "ink"
        size = NUMBER.size if number < 10 else NUMBER.size - 1
        style = Style(NUMBER.face, size)
        sheet.text_about(x, y + MIDDLE * size, str(number), style, on_spot)


def _stroke(x: float, y: float, out: float, half: float) -> Contour:
    """A slanted stroke from the lower left to the upper right."""
    k = half * 0.7071
    return (
        ("M", x - out - k, y + out - k),
        ("L", x - out + k, y + out + k),
        ("L", x + out + k, y - out + k),
        ("L", x + out - k, y - out - k),
    )


def on_disc(x: float, y: float, radius: float, spot: float) -> Point:
    """A place on a disc of radius 1 as one on this disc, so that the spot stays on it."""
    return _within(x * radius, y * radius, radius - spot)


def apart(places: Mapping[int, Point], least: float, inner: float) -> dict[int, Point]:
    """The same places, moved from one another until each two are `least` apart, or nearly so.

    They are counted from the middle of the disc; none comes to lie beyond `inner`.
    """
    found = dict(places)
    numbers = list(found)
    for _turn in range(24):
        has_moved = False
        for at, one in enumerate(numbers):
            for other in numbers[at + 1 :]:
                (x1, y1), (x2, y2) = found[one], found[other]
                far = hypot(x2 - x1, y2 - y1)
                if far >= least:
                    continue
                way = ((x2 - x1) / far, (y2 - y1) / far) if far > 0.01 else (1.0, 0.0)
                by = (least - far) / 2 + 0.02
                found[one] = _within(x1 - way[0] * by, y1 - way[1] * by, inner)
                found[other] = _within(x2 + way[0] * by, y2 + way[1] * by, inner)
                has_moved = True
        if not has_moved:
            break
    return found


def _within(x: float, y: float, inner: float) -> Point:
    far = max(1.0, hypot(x, y) / inner)
    return x / far, y / far
