"""The outlines keep the rules of their drawing: measured on the curves, not on pixels."""

from collections.abc import Iterator
from itertools import combinations, pairwise
from math import cos, hypot, pi, sin

import pytest

from core.glyph.codes import ORDER_BIT, PINNED_BIT, SPARE_BIT, GlyphCode
from core.glyph.shapes import (
    REACH,
    Contour,
    Glyph,
    R,
    glyph,
    largest_diameter,
    outline_size,
    reach,
)

Point = tuple[float, float]

STATES = [code for code in GlyphCode if code is not GlyphCode.SPACER]
LEVELS = {GlyphCode.BELOW_25: 0.25, GlyphCode.BELOW_50: 0.50, GlyphCode.BELOW_75: 0.75}
ALL_MARKS = SPARE_BIT | ORDER_BIT | PINNED_BIT
SIZES = range(8, 21)


def flat(contour: Contour, steps: int = 12) -> list[Point]:
    """The contour as a polygon."""
    points: list[Point] = []
    for segment in contour:
        if segment[0] == "C":
            x0, y0 = points[-1]
            _, x1, y1, x2, y2, x3, y3 = segment
            for i in range(1, steps + 1):
                t = i / steps
                a, b, c, d = (1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3
                points.append(
                    (a * x0 + b * x1 + c * x2 + d * x3, a * y0 + b * y1 + c * y2 + d * y3)
                )
        else:
            points.append((segment[1], segment[2]))
    return points


def edges(points: list[Point]) -> Iterator[tuple[Point, Point]]:
    yield from pairwise([*points, points[0]])


def is_inside(polygons: list[list[Point]], x: float, y: float) -> bool:
    """Even-odd."""
    inside = False
    for polygon in polygons:
        for (ax, ay), (bx, by) in edges(polygon):
            if (ay > y) != (by > y) and x < ax + (y - ay) / (by - ay) * (bx - ax):
                inside = not inside
    return inside


def runs(drawn: Glyph, points: list[Point]) -> list[tuple[bool, int]]:
    """Along a line of points: whether there is ink, and for how many points."""
    polygons = [flat(contour) for contour in drawn[0].contours]
    out: list[tuple[bool, int]] = []
    for x, y in points:
        inside = is_inside(polygons, x, y)
        if out and out[-1][0] == inside:
            out[-1] = (inside, out[-1][1] + 1)
        else:
            out.append((inside, 1))
    return out


def cross(a: tuple[Point, Point], b: tuple[Point, Point]) -> bool:
    """Two edges that pass through each other."""

    def side(p: Point, q: Point, r: Point) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    (a0, a1), (b0, b1) = a, b
    return (
        side(a0, a1, b0) * side(a0, a1, b1) < -1e-14
        and side(b0, b1, a0) * side(b0, b1, a1) < -1e-14
    )


def boxes_meet(one: list[Point], other: list[Point]) -> bool:
    return all(
        min(p[k] for p in one) <= max(p[k] for p in other)
        and min(p[k] for p in other) <= max(p[k] for p in one)
        for k in (0, 1)
    )


@pytest.mark.parametrize("state", STATES)
@pytest.mark.parametrize("size", [8, 10, 11, 12, 13, 14, 15, 16, 18, 20])
def test_no_two_contours_cross_whatever_the_marks(state: GlyphCode, size: int) -> None:
    polygons = [
        flat(contour, 6) for part in glyph(state | ALL_MARKS, size) for contour in part.contours
    ]
    for one, other in combinations(polygons, 2):
        if boxes_meet(one, other):
            assert not any(cross(a, b) for a in edges(one) for b in edges(other))


@pytest.mark.parametrize("state", STATES)
def test_every_contour_begins_with_a_move_and_has_no_other(state: GlyphCode) -> None:
    for size in SIZES:
        for part in glyph(state | ALL_MARKS, size):
            for contour in part.contours:
                assert [s[0] for s in contour].count("M") == 1
                assert contour[0][0] == "M"
                assert len(contour) > 2


@pytest.mark.parametrize("state", STATES)
def test_ink_stays_in_the_unit_circle_and_marks_within_reach(state: GlyphCode) -> None:
    for size in SIZES:
        ink, marks = glyph(state | ALL_MARKS, size)
        assert (ink.role, marks.role) == ("ink", "mark")
        assert all(hypot(*p) <= 1.0 for c in ink.contours for p in flat(c))
        assert all(
            max(abs(x), abs(y)) <= reach(size) + 1e-9 for c in marks.contours for x, y in flat(c)
        )


def test_sizes_over_twenty_dots_are_alike() -> None:
    for state in STATES:
        assert glyph(state | ALL_MARKS, 20) == glyph(state | ALL_MARKS, 57.3)
        assert glyph(state, 13.9) == glyph(state, 13)


def test_a_spacer_draws_nothing_even_with_marks() -> None:
    assert glyph(GlyphCode.SPACER, 20) == ()
    assert glyph(GlyphCode.SPACER | ALL_MARKS, 10) == ()


def test_a_byte_that_is_no_glyph_is_refused() -> None:
    with pytest.raises(ValueError, match="11"):
        glyph(11, 20)


def test_the_gap_has_eight_dashes() -> None:
    for size in SIZES:
        drawn = glyph(GlyphCode.GAP, size)
        assert len(drawn[0].contours) == 8
        radius = R - 0.06
        angles = [k / 1000 * 2 * pi + pi / 8 for k in range(1000)]
        circle = [(radius * cos(angle), radius * sin(angle)) for angle in angles]
        found = runs(drawn, circle)
        assert sum(is_ink for is_ink, _ in found) == 8


def test_under_twenty_dots_every_level_is_drawn_as_fifty() -> None:
    for size in range(8, 20):
        half = glyph(GlyphCode.BELOW_50, size)
        assert glyph(GlyphCode.BELOW_25, size) == half == glyph(GlyphCode.BELOW_75, size)


@pytest.mark.parametrize(("code", "share"), LEVELS.items())
def test_from_twenty_dots_the_fill_shows_its_level(code: GlyphCode, share: float) -> None:
    line = [(0.0, -1 + k / 1000) for k in range(2001)]
    found = runs(glyph(code, 20), line)
    # From the top: clear, rim, hollow, fill, seam, rim, clear.
    assert [is_ink for is_ink, _ in found] == [False, True, False, True, False, True, False]
    hollow, fill, seam = (found[i][1] for i in (2, 3, 4))
    assert fill / (hollow + fill - seam) == pytest.approx(share, abs=0.01)


def test_the_rim_is_clear_of_the_fill_where_a_clear_dot_fits() -> None:
    for size in range(12, 21):
        line = [(0.0, k / 1000) for k in range(1, 1000)]
        found = runs(glyph(GlyphCode.BELOW_50, size), line)
        assert [is_ink for is_ink, _ in found] == [True, False, True, False]
        assert found[1][1] / 1000 * size / 2 >= 0.89


@pytest.mark.parametrize("size", range(10, 21))
def test_the_hatching_is_at_least_two_dots_on_and_off(size: int) -> None:
    """Across the strips, from upper left to lower right; strips run from lower left up."""
    steps = 4000
    line = [(k / steps * 2 - 1, k / steps * 2 - 1) for k in range(steps + 1)]
    dots_a_step = 2 / steps * 2**0.5 * size / 2
    found = runs(glyph(GlyphCode.HOLE_FILLER, size), line)[1:-1]
    within = found[1:-1]
    assert len(within) >= 3
    assert all(length * dots_a_step >= 1.98 for _, length in within)


def test_the_cross_spans_seven_tenths_of_the_cell() -> None:
    for size in SIZES:
        points = flat(glyph(GlyphCode.NOT_STRUCK, size)[0].contours[0])
        for k in (0, 1):
            assert max(p[k] for p in points) - min(p[k] for p in points) == pytest.approx(0.7 * 2)


def test_the_ring_of_an_order_is_open_at_the_top_where_its_arrow_goes_in() -> None:
    line = [(k / 500 - 1, -R + 0.05) for k in range(1001)]
    found = runs(glyph(GlyphCode.ON_ORDER, 20), line)
    assert [is_ink for is_ink, _ in found] == [False, True, False]
    assert found[1][1] / 500 == pytest.approx(0.26, abs=0.01)


MARK_PLACES = {SPARE_BIT: (1, -1), ORDER_BIT: (-1, -1), PINNED_BIT: (1, 1)}


@pytest.mark.parametrize(("bit", "corner"), MARK_PLACES.items())
def test_from_sixteen_dots_a_mark_stands_in_its_own_corner(bit: int, corner: Point) -> None:
    for size in range(16, 21):
        (contour,) = glyph(GlyphCode.FILLED | bit, size)[1].contours
        for x, y in flat(contour):
            assert hypot(x, y) > R
            assert x * corner[0] > 0.6
            assert y * corner[1] > 0.6


@pytest.mark.parametrize(
    ("bit", "side"), [(SPARE_BIT, (1, 0)), (ORDER_BIT, (-1, 0)), (PINNED_BIT, (0, 1))]
)
def test_below_sixteen_dots_a_mark_is_a_bar_two_dots_wide_on_its_edge(
    bit: int, side: Point
) -> None:
    for size in range(10, 16):
        (contour,) = glyph(GlyphCode.FILLED | bit, size)[1].contours
        out = [x * side[0] + y * side[1] for x, y in flat(contour)]
        assert (max(out) - min(out)) * size / 2 == pytest.approx(2)
        assert (min(out) - R) * size / 2 >= 0.5


def test_marks_can_stand_together() -> None:
    for size in (10, 20):
        assert len(glyph(GlyphCode.GAP | ALL_MARKS, size)[1].contours) == 3


def test_reach_grows_only_where_marks_are_bars() -> None:
    assert reach(16) == reach(300) == REACH
    assert all(reach(size) > REACH for size in range(8, 16))


def test_the_largest_diameter_leaves_room_for_marks() -> None:
    for side in range(8, 120):
        diameter = largest_diameter(side)
        assert diameter * reach(diameter) <= side + 1e-9
        assert (diameter + 1) * reach(diameter + 1) > side


def test_outline_size_is_whole_and_bounded() -> None:
    assert [outline_size(d) for d in (1, 8.9, 13.99, 20, 400)] == [8, 8, 13, 20, 20]
