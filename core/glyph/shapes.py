"""Glyphs as filled outlines in a unit circle: no Qt and no PDF here.

A glyph is drawn by filling each part's contours together by the even-odd rule. Contours never
cross one another, and there are no strokes, dashes or clips, so every back end fills the same
picture. The unit circle has its centre at 0, 0; x runs right and y runs down.
"""

from dataclasses import dataclass
from math import asin, ceil, cos, pi, sin, sqrt, tan
from typing import Literal

from core.glyph.codes import ORDER_BIT, PINNED_BIT, SPARE_BIT, STATE_BITS, GlyphCode

Move = tuple[Literal["M"], float, float]
Line = tuple[Literal["L"], float, float]
Cubic = tuple[Literal["C"], float, float, float, float, float, float]
Segment = Move | Line | Cubic
Contour = tuple[Segment, ...]
Role = Literal["ink", "mark"]

R = 0.90
"""Radius of the rings and the disc."""
REACH = 1.20
"""How far corner marks leave the unit circle, from 16 dots; `reach` tells it for any size."""
FULL_SIZE_DOTS = 20
"""From this diameter on the outline no longer changes."""
SMALL_SIZE_DOTS = 8
"""Nor does it below this one: finer lines than a dot would be lost."""
CORNER_MARKS_FROM_DOTS = 16
"""Below this diameter marks are bars on an edge."""


@dataclass(frozen=True, slots=True)
class Part:
    """Contours of one colour: `ink` in the state's colour, `mark` in that of text."""

    role: Role
    contours: tuple[Contour, ...]


Glyph = tuple[Part, ...]


def glyph(code: int, diameter_dots: float) -> Glyph:
    """The outlines for a byte of `core.glyph.codes`.

    `diameter_dots` is the width of the unit circle in dots of the device (on paper: at 300 to the
    inch); it decides how fine a line may be, and whole dots from 20 on give one outline. A spacer
    gives no parts. Raises ValueError for a byte that is no glyph.
    """
    size = outline_size(diameter_dots)
    state = GlyphCode(code & STATE_BITS)
    if state is GlyphCode.SPACER:
        return ()
    parts = [Part("ink", _state_contours(state, size))]
    if marks := _mark_contours(code, size):
        parts.append(Part("mark", marks))
    return tuple(parts)


def outline_size(diameter_dots: float) -> int:
    """The size that stands for a diameter: whole dots from 8 to 20."""
    return max(SMALL_SIZE_DOTS, min(int(diameter_dots), FULL_SIZE_DOTS))


def reach(diameter_dots: float) -> float:
    """How far marks go from the centre, in radii of the unit circle: 1.2, more below 16 dots."""
    size = outline_size(diameter_dots)
    if size >= CORNER_MARKS_FROM_DOTS:
        return REACH
    return min(1.45, R + 5.5 / size)


def largest_diameter(side_dots: int) -> int:
    """The greatest diameter whose marks stay inside a square of that side, at least 4 dots."""
    diameter = side_dots
    while diameter > 4 and diameter * reach(diameter) > side_dots + 1e-9:
        diameter -= 1
    return max(4, diameter)


# --- building blocks -------------------------------------------------------------------------


def _arc(r: float, start: float, end: float) -> list[Segment]:
    """Cubics along the circle of radius r between two angles (radians), at most 45° each."""
    count = max(1, ceil(abs(end - start) / (pi / 4) - 1e-9))
    step = (end - start) / count
    k = 4 / 3 * tan(step / 4)
    out: list[Segment] = []
    for i in range(count):
        a, b = start + i * step, start + (i + 1) * step
        out.append(
            (
                "C",
                r * (cos(a) - k * sin(a)),
                r * (sin(a) + k * cos(a)),
                r * (cos(b) + k * sin(b)),
                r * (sin(b) - k * cos(b)),
                r * cos(b),
                r * sin(b),
            )
        )
    return out


def _move(r: float, angle: float) -> Segment:
    return ("M", r * cos(angle), r * sin(angle))


def _line(r: float, angle: float) -> Segment:
    return ("L", r * cos(angle), r * sin(angle))


def _circle(r: float) -> Contour:
    return (_move(r, 0), *_arc(r, 0, 2 * pi))


def _ring(width: float) -> tuple[Contour, Contour]:
    return (_circle(R), _circle(R - width))


def _polygon(*points: tuple[float, float]) -> Contour:
    (x, y), *rest = points
    lines: list[Segment] = [("L", px, py) for px, py in rest]
    return (("M", x, y), *lines)


def _rectangle(left: float, top: float, right: float, bottom: float) -> Contour:
    """Its corners are cut by a hair: PDF rasterisers move a bare rectangle to whole dots."""
    c = 0.02
    return _polygon(
        (left, top + c), (left + c, top), (right - c, top), (right, top + c),
        (right, bottom - c), (right - c, bottom), (left + c, bottom), (left, bottom - c),
    )  # fmt: skip


def _square_on_corner(half: float) -> Contour:
    return _polygon((0, -half), (half, 0), (0, half), (-half, 0))


def _ring_piece(width: float, start: float, end: float) -> Contour:
    """A piece of the ring between two angles."""
    inner = R - width
    return (
        _move(R, start),
        *_arc(R, start, end),
        _line(inner, end),
        *_arc(inner, end, start),
    )


def _bowl(r: float, y: float) -> Contour:
    """The part of the disc of radius r below the level y."""
    angle = asin(max(-1.0, min(1.0, y / r)))
    return (_move(r, angle), *_arc(r, angle, pi - angle))


def _strip(r: float, low: float, high: float, turn: float) -> Contour:
    """The part of the disc between two parallel chords, turned by an angle."""
    a, b = asin(max(-1.0, low / r)), asin(min(1.0, high / r))
    return (
        _move(r, a + turn),
        *_arc(r, a + turn, b + turn),
        _line(r, pi - b + turn),
        *_arc(r, pi - b + turn, pi - a + turn),
    )


# --- states ----------------------------------------------------------------------------------


def _state_contours(state: GlyphCode, size: int) -> tuple[Contour, ...]:
    dot = 2 / size
    rim = max(0.135, 1.25 * dot)
    if state is GlyphCode.GAP:
        return _dashed_ring(rim)
    if state is GlyphCode.FILLED:
        return (_circle(R),)
    if state in _LEVELS:
        return _level(_LEVELS[state] if size >= FULL_SIZE_DOTS else 0.50, rim, dot)
    if state is GlyphCode.HOLE_FILLER:
        return _hatched(rim, dot)
    if state is GlyphCode.ON_ORDER:
        return _arrow_going_in(rim, dot)
    if state is GlyphCode.TO_VERIFY:
        return (
            _square_on_corner(0.98),
            _square_on_corner(0.98 - 1.5 * rim),
            _circle(max(0.23, 1.2 * dot)),
        )
    if state is GlyphCode.SKIPPED:
        return _barred_ring(max(0.10, 1.1 * dot), dot)
    return (_cross(0.70, max(0.14, 1.3 * dot)),)


_LEVELS = {GlyphCode.BELOW_25: 0.25, GlyphCode.BELOW_50: 0.50, GlyphCode.BELOW_75: 0.75}


def _dashed_ring(rim: float) -> tuple[Contour, ...]:
    """Eight dashes, each a little longer than the space beside it."""
    step, half = pi / 4, pi / 4 * 0.29
    return tuple(_ring_piece(rim, i * step - half, i * step + half) for i in range(8))


def _level(share: float, rim: float, dot: float) -> tuple[Contour, ...]:
    """A ring and, clear of it, a fill from below up to a share of the height.

    Under 12 dots, where no clear dot fits between them, ring and fill are one.
    """
    inner = R - rim
    if dot > 2 / 12:
        angle = asin(1 - 2 * share)
        return (_circle(R), (_move(inner, angle), *_arc(inner, angle, -pi - angle)))
    r = inner - max(0.09, 0.9 * dot)
    return (*_ring(rim), _bowl(r, r * (1 - 2 * share)))


def _hatched(rim: float, dot: float) -> tuple[Contour, ...]:
    """A ring hatched at 45°: the disc less as many clear strips as find two dots each.

    The ink between the strips is as wide as they are, or up to a third wider where there is room;
    what is left over joins the ring.
    """
    r = R - rim
    count = max(1, int((2 * r / (2 * dot) + 1) / 2))
    clear = max(2 * dot, 2 * r / (2 * count - 0.2))
    filled = clear
    if count > 1:
        filled = max(clear, min(1.3 * clear, (2 * r - count * clear) / (count - 1)))
    first = -(count * clear + (count - 1) * filled) / 2
    lows = [first + i * (clear + filled) for i in range(count)]
    return (_circle(R), *(_strip(r, low, low + clear, -pi / 4) for low in lows))


def _arrow_going_in(rim: float, dot: float) -> tuple[Contour, ...]:
    """A ring open at the top; the arrow goes in through the opening."""
    t = max(0.13, 0.8 * dot)
    arrow = _polygon(
        (-t, -R), (t, -R), (t, -0.06), (0.44, -0.06), (0, 0.48), (-0.44, -0.06), (-t, -0.06)
    )
    return (_ring_piece(rim, -pi / 2 + 0.75, 1.5 * pi - 0.75), arrow)


def _barred_ring(rim: float, dot: float) -> tuple[Contour, ...]:
    """A ring with a level bar that does not touch it."""
    half = max(0.52, min(3.3 * dot, R - rim - 0.2 * dot))
    width = max(0.075, 0.8 * dot)
    return (*_ring(rim), _rectangle(-half, -width, half, width))


def _cross(half: float, width: float) -> Contour:
    """An × in the square of that half side, its lines so wide."""
    t = width / sqrt(2)
    a = half - t
    return _polygon(
        (-a, -half), (-half, -a), (-t, 0), (-half, a), (-a, half), (0, t),
        (a, half), (half, a), (t, 0), (half, -a), (a, -half), (0, -t),
    )  # fmt: skip


# --- marks -----------------------------------------------------------------------------------


def _mark_contours(code: int, size: int) -> tuple[Contour, ...]:
    bits = [bit for bit in (SPARE_BIT, ORDER_BIT, PINNED_BIT) if code & bit]
    shapes = _CORNERS if size >= CORNER_MARKS_FROM_DOTS else _bars(size)
    return tuple(shapes[bit] for bit in bits)


_CORNERS = {
    SPARE_BIT: _polygon((0.68, -0.70), (1.20, -0.70), (0.94, -1.20)),
    ORDER_BIT: _polygon((-0.68, -1.20), (-1.20, -1.20), (-0.94, -0.70)),
    PINNED_BIT: _rectangle(0.76, 0.76, 1.18, 1.18),
}


def _bars(size: int) -> dict[int, Contour]:
    """Bars two dots wide on the right, the left and the bottom edge, clear of the ring."""
    dot, outer = 2 / size, reach(size)
    inner = max(R + 0.5 * dot, outer - 2 * dot)
    return {
        SPARE_BIT: _rectangle(inner, -R, outer, R),
        ORDER_BIT: _rectangle(-outer, -R, -inner, R),
        PINNED_BIT: _rectangle(-R, inner, R, outer),
    }
