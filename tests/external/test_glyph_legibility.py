"""Can the states be told apart when glyphs are small, and do screen and paper agree?

The pictures come from Qt's rasteriser and, for paper, from a PDF drawn back to pixels; the readers
here are deliberately simple and know nothing of how a glyph is built.
"""

import io
from collections.abc import Mapping
from itertools import combinations
from typing import TypeVar

import numpy as np
import numpy.typing as npt
import pypdfium2
import pytest
from PySide6.QtGui import QColor, QImage, QPainter
from reportlab.pdfgen.canvas import Canvas

from core.glyph.codes import ORDER_BIT, PINNED_BIT, SPARE_BIT, GlyphCode
from core.glyph.palette import DARK, LIGHT, PAPER, Palette
from core.glyph.shapes import glyph
from gui.paint import paint_glyph

pytestmark = pytest.mark.usefixtures("qapp")

Dots = npt.NDArray[np.bool_]
Numbers = npt.NDArray[np.float64]

# One glyph a state: under 20 dots all three levels of "below target" are drawn as this one.
STATES = [
    GlyphCode.GAP,
    GlyphCode.FILLED,
    GlyphCode.BELOW_50,
    GlyphCode.HOLE_FILLER,
    GlyphCode.ON_ORDER,
    GlyphCode.TO_VERIFY,
    GlyphCode.SKIPPED,
    GlyphCode.NOT_STRUCK,
]
SMALL_PX = (10, 11, 12, 13, 14)
LEAST_DOTS = 12
SIDE_PX = 22
SHIFTS = [(dy, dx) for dy in (-1, 0, 1) for dx in (-1, 0, 1)]


def grid(count: int) -> list[tuple[float, float]]:
    """Sub-pixel offsets, `count` to the pixel each way."""
    return [(x / count, y / count) for x in range(count) for y in range(count)]


def draw(
    code: int,
    diameter: float,
    offset: tuple[float, float] = (0, 0),
    palette: Palette = PAPER,
    side: int = SIDE_PX,
) -> Numbers:
    """Red, green and blue, 0 to 1, of a glyph on the card."""
    image = QImage(side, side, QImage.Format.Format_RGB32)
    image.fill(QColor(palette.card))
    painter = QPainter(image)
    centre = side // 2
    paint_glyph(painter, code, centre + offset[0], centre + offset[1], diameter, palette)
    painter.end()
    dots = np.frombuffer(image.constBits(), np.uint8).reshape(side, side, 4)
    return dots[:, :, 2::-1] / 255


def one_bit(code: int, diameter: float, offset: tuple[float, float]) -> Dots:
    return draw(code, diameter, offset)[:, :, 0] < 0.5


Pictures = TypeVar("Pictures", Dots, Numbers)


def shifted(pictures: Pictures, shift: tuple[int, int]) -> Pictures:
    return np.roll(pictures, shift, axis=(-2, -1))


def least_difference(ones: Dots, others: Dots) -> int:
    """The fewest dots that differ between any two pictures, best aligned within a pixel."""
    a = ones.reshape(len(ones), -1).astype(np.float32)
    least = a.shape[1]
    for shift in SHIFTS:
        b = shifted(others, shift).reshape(len(others), -1).astype(np.float32)
        differing = a.sum(1)[:, None] + b.sum(1)[None, :] - 2 * a @ b.T
        least = min(least, int(differing.min()))
    return least


@pytest.mark.parametrize("size", SMALL_PX)
def test_every_pair_of_states_differs_in_twelve_dots_at_any_offset(size: int) -> None:
    pictures = {code: np.array([one_bit(code, size, at) for at in grid(8)]) for code in STATES}
    least = {
        (one.name, other.name): least_difference(pictures[one], pictures[other])
        for one, other in combinations(STATES, 2)
    }
    assert len(least) == 28
    too_alike = {pair: dots for pair, dots in least.items() if dots < LEAST_DOTS}
    assert not too_alike


def test_the_measure_of_difference_can_fail() -> None:
    filled = np.array([one_bit(GlyphCode.FILLED, 12, (0, 0))])
    moved = np.array([one_bit(GlyphCode.FILLED, 12, (1, 0))])
    assert least_difference(filled, moved) == 0


@pytest.mark.parametrize("size", SMALL_PX)
def test_a_nearest_template_reader_names_the_state_through_noise(size: int) -> None:
    """Templates at 16 offsets; 250 pictures a state at others, one dot in twenty turned over."""
    rng = np.random.default_rng(20261125 + size)
    templates = np.array([one_bit(code, size, at) for code in STATES for at in grid(4)])
    names = np.repeat(np.arange(len(STATES)), 16)
    flat = templates.reshape(len(templates), -1).astype(np.float32)
    read, shown = [], []
    for name, code in enumerate(STATES):
        for _ in range(250):
            picture = one_bit(code, size, (rng.random(), rng.random()))
            noisy = (picture ^ (rng.random(picture.shape) < 0.05)).astype(np.float32).ravel()
            distance = noisy.sum() + flat.sum(1) - 2 * flat @ noisy
            read.append(names[distance.argmin()])
            shown.append(name)
    right = np.array(read) == np.array(shown)
    assert right.mean() >= 0.99


# Severity 1.0, applied to linear red, green and blue.
# Source: G. M. Machado, M. M. Oliveira, L. A. F. Fernandes, "A Physiologically-based Model for
# Simulation of Color Vision Deficiency", IEEE Transactions on Visualization and Computer Graphics
# 15 (6), 2009, supplementary table. "grey" is the relative luminance alone (WCAG 2.2).
VISION: Mapping[str, Numbers] = {
    "protan": np.array(
        [
            [0.152286, 1.052583, -0.204868],
            [0.114503, 0.786281, 0.099216],
            [-0.003882, -0.048116, 1.051998],
        ]
    ),
    "deutan": np.array(
        [
            [0.367322, 0.860646, -0.227968],
            [0.280085, 0.672501, 0.047413],
            [-0.011820, 0.042940, 0.968881],
        ]
    ),
    "tritan": np.array(
        [
            [1.255528, -0.076749, -0.178779],
            [-0.078411, 0.930809, 0.147602],
            [0.004733, 0.691367, 0.303900],
        ]
    ),
    "grey": np.array([[0.2126, 0.7152, 0.0722]] * 3),
}
LUMINANCE = np.array([0.2126, 0.7152, 0.0722])


def seen_luminance(picture: Numbers, vision: str) -> Numbers:
    """Relative luminance of a picture as that eye sees it."""
    linear = np.where(picture <= 0.04045, picture / 12.92, ((picture + 0.055) / 1.055) ** 2.4)
    seen: Numbers = np.clip(linear @ VISION[vision].T, 0, 1) @ LUMINANCE
    return seen


@pytest.mark.parametrize("vision", VISION)
def test_the_simulations_leave_white_white(vision: str) -> None:
    assert seen_luminance(np.ones((1, 1, 3)), vision)[0, 0] == pytest.approx(1, abs=1e-4)


@pytest.mark.parametrize("palette", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("vision", VISION)
def test_states_are_told_apart_by_eyes_that_see_colours_otherwise(
    palette: Palette, vision: str
) -> None:
    """Dots whose lightness differs by a contrast of 1.5 or more, for every pair and size."""
    for size in SMALL_PX:
        seen = {
            code: np.array(
                [seen_luminance(draw(code, size, at, palette), vision) for at in grid(2)]
            )
            for code in STATES
        }
        for one, other in combinations(STATES, 2):
            least = min(
                int((np.abs(np.log((a + 0.05) / (shifted(b, shift) + 0.05))) >= np.log(1.5)).sum())
                for a in seen[one]
                for b in seen[other]
                for shift in SHIFTS
            )
            assert least >= LEAST_DOTS, (size, one.name, other.name)


@pytest.mark.parametrize("palette", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("vision", VISION)
@pytest.mark.parametrize("code", STATES)
def test_a_glyphs_ink_stands_out_to_every_eye(
    palette: Palette, vision: str, code: GlyphCode
) -> None:
    seen = seen_luminance(draw(code, 60, palette=palette, side=72), vision)
    assert (seen.max() + 0.05) / (seen.min() + 0.05) >= 3.0


# --- screen and paper ------------------------------------------------------------------------

LARGE_PX = (20, 24, 32, 40, 52, 80, 104, 200)
EVERY_PX = range(20, 61)
MARKED = [
    code | marks
    for code in GlyphCode
    if code is not GlyphCode.SPACER
    for marks in (0, SPARE_BIT, ORDER_BIT, PINNED_BIT, SPARE_BIT | ORDER_BIT | PINNED_BIT)
]


def on_paper(codes: list[int], diameter: float, side: int) -> list[Numbers]:
    """Coverage, 0 to 1, of glyphs drawn into a PDF, a page each, by another rasteriser."""
    file = io.BytesIO()
    canvas = Canvas(file, pagesize=(side, side), invariant=1)
    for code in codes:
        canvas.translate(side / 2, side / 2)
        canvas.scale(diameter / 2, -diameter / 2)
        for part in glyph(code, diameter):
            path = canvas.beginPath()
            for contour in part.contours:
                for segment in contour:
                    if segment[0] == "M":
                        path.moveTo(*segment[1:])
                    elif segment[0] == "L":
                        path.lineTo(*segment[1:])
                    else:
                        path.curveTo(*segment[1:])
                path.close()
            canvas.drawPath(path, stroke=0, fill=1, fillMode=0)
        canvas.showPage()
    canvas.save()
    with pypdfium2.PdfDocument(file.getvalue()) as document:
        pages = [page.render(scale=1, grayscale=True).to_numpy() for page in document]
    return [1 - np.asarray(page).reshape(side, side) / 255 for page in pages]


def on_screen(code: int, diameter: float, side: int) -> Numbers:
    """Coverage, 0 to 1, of a glyph painted by Qt."""
    coverage: Numbers = 1 - draw(code, diameter, side=side)[:, :, 0]
    return coverage


def overlap(one: Numbers, other: Numbers) -> float:
    """Ink in both, of the ink in either; dots of 0 and 1 are counted, parts of a dot weighed."""
    return float(np.minimum(one, other).sum() / np.maximum(one, other).sum())


def side_for(diameter: int) -> int:
    """Even, so that the centre lies between dots, with room for marks."""
    return 2 * int(diameter * 0.65 + 1)


@pytest.fixture(scope="module")
def overlaps() -> Mapping[tuple[int, int], tuple[float, float]]:
    """By size and glyph: overlap of the ink as covered, and of dots at least half covered."""
    found: dict[tuple[int, int], tuple[float, float]] = {}
    for size in sorted({*LARGE_PX, *EVERY_PX}):
        side = side_for(size)
        for code, paper in zip(MARKED, on_paper(MARKED, size, side), strict=True):
            screen = on_screen(code, size, side)
            dots = overlap(np.round(screen), np.round(paper))
            found[size, code] = overlap(screen, paper), dots
    return found


def test_paper_shows_the_same_ink_as_the_screen(
    overlaps: Mapping[tuple[int, int], tuple[float, float]],
) -> None:
    """Every size from 20 to 60 and some above, every glyph with every mark."""
    ink = {key: share for key, (share, _) in overlaps.items()}
    assert {key: share for key, share in ink.items() if share < 0.92} == {}
    assert np.median(list(ink.values())) >= 0.98


def test_paper_shows_the_same_dots_as_the_screen(
    overlaps: Mapping[tuple[int, int], tuple[float, float]],
) -> None:
    """One-bit, at common sizes only: a dot covered by just half may fall to either side."""
    dots = {key: share for key, (_, share) in overlaps.items() if key[0] in LARGE_PX}
    assert len(dots) == len(MARKED) * len(LARGE_PX)
    assert {key: share for key, share in dots.items() if share < 0.92} == {}
    assert np.median(list(dots.values())) >= 0.98


def test_overlap_can_fail() -> None:
    (gap,) = on_paper([GlyphCode.GAP], 40, side_for(40))
    assert overlap(gap, on_screen(GlyphCode.FILLED, 40, side_for(40))) < 0.3
