"""Do PNG, SVG and PDF of a leaf show what the screen shows? Place by place, at 1× and at 3×.

The screen is the leaf view itself, drawn by Qt at that scale in a process of its own. PNG and PDF
come from PDFium, the SVG is drawn by QtSvg and, independently of it, by resvg. As for the glyphs
alone (`test_glyph_legibility.py`) the ink must overlap by 0.92 everywhere and 0.98 in the middle.
"""

import io
import json
import os
import subprocess
import sys
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache

import numpy as np
import numpy.typing as npt
import pypdfium2
import pytest
import resvg_py
from PIL import Image
from PySide6.QtCore import QByteArray, Qt
from PySide6.QtGui import QImage, QPainter
from PySide6.QtSvg import QSvgRenderer

from core.arrange.plan import SPACER_CODE, STATE_BITS, LeafPlan
from core.glyph.palette import DARK, LIGHT, PAPER, Palette, channels, state_colour
from core.printing.checklist import Paper
from core.printing.drawn_page import page_pdf, page_png
from core.printing.leaf_picture import Heading, album_page
from core.printing.leaf_sheets import lay_out_leaves
from core.printing.pdf import measure, pages_pdf
from core.printing.placed import Page
from core.printing.svg import page_svg
from tests.cli_material import ROOT
from tests.external.leaf_screen import ALBUMS

pytestmark = pytest.mark.usefixtures("qapp")

Numbers = npt.NDArray[np.float64]
SCALES = (1, 3)
REACH_UNITS = 26
HEADING = Heading(
    "Nickels", "have 40 of 54", "at target 30", "25 November 2026", ((1, "30 filled"),)
)
FINER = 4
SHEET_FINER = {1: 8, 3: 4}
"""Sheets are drawn so many times finer, so that their places fall on whole dots, or nearly."""


@dataclass(frozen=True)
class Screen:
    """A picture of the leaf view: coverage by ink, 0 to 1, and where the places lie."""

    ink: Numbers
    boxes: list[tuple[int, int, int, int]]
    label_y: int
    centre_y: int


@pytest.fixture(scope="module")
def screens(tmp_path_factory: pytest.TempPathFactory) -> Mapping[tuple[str, int], Screen]:
    found = {}
    for scale in SCALES:
        folder = tmp_path_factory.mktemp(f"screen{scale}")
        environment = {
            **os.environ, "QT_SCALE_FACTOR": str(scale), "QT_QPA_PLATFORM": "offscreen",
        }  # fmt: skip
        command = [sys.executable, "-m", "tests.external.leaf_screen", str(folder)]
        subprocess.run(command, cwd=ROOT, env=environment, check=True, timeout=120)
        for name in ALBUMS:
            told = json.loads((folder / f"{name}.json").read_text("utf-8"))
            assert told["ratio"] == scale
            ink = ink_of((folder / f"{name}.png").read_bytes())
            boxes = [tuple(box) for box in told["boxes"]]
            found[name, scale] = Screen(ink, boxes, told["label_y"], told["centre_y"])
    return found


def ink_of(png: bytes) -> Numbers:
    """Coverage by ink, 0 to 1, of a picture in black on white."""
    picture = Image.open(io.BytesIO(png)).convert("RGBA")
    white = Image.new("RGBA", picture.size, "white")
    white.alpha_composite(picture)
    dots: Numbers = np.asarray(white.convert("L"), dtype=np.float64)
    return 1 - dots / 255


def by_png(page: Page, scale: int) -> Numbers:
    return ink_of(page_png(page, PAPER, scale))


def by_pdf(page: Page, scale: int) -> Numbers:
    data = page_pdf(page, "A leaf", PAPER, "D:20261125000000Z")
    with pypdfium2.PdfDocument(data) as document:
        dots = document[0].render(scale=scale, grayscale=True).to_numpy()
    shown: Numbers = 1 - np.asarray(dots, dtype=np.float64).reshape(dots.shape[:2]) / 255
    return shown


def by_qt_svg(page: Page, scale: int) -> Numbers:
    renderer = QSvgRenderer(QByteArray(svg(page)))
    assert renderer.isValid()
    image = QImage(
        round(page.width * scale), round(page.height * scale), QImage.Format.Format_Grayscale8
    )
    image.fill(Qt.GlobalColor.white)
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    renderer.render(painter)
    painter.end()
    dots = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), image.bytesPerLine())
    return 1 - dots[:, : image.width()] / 255


def by_resvg(page: Page, scale: int) -> Numbers:
    """Its own smoothing has few steps: at 1× it draws finer, and the dots are brought together."""
    times = FINER if scale == 1 else 1
    zoom = times * scale
    ink = ink_of(bytes(resvg_py.svg_to_bytes(svg_string=svg(page).decode(), zoom=zoom)))
    return coarser(ink[: ink.shape[0] // times * times, : ink.shape[1] // times * times], times)


def svg(page: Page) -> bytes:
    return page_svg(page, "Nickels", "have 40 of 54", PAPER)


WRITERS: Mapping[str, Callable[[Page, int], Numbers]] = {
    "PNG": by_png,
    "PDF": by_pdf,
    "SVG by Qt": by_qt_svg,
    "SVG by resvg": by_resvg,
}


@cache
def drawn(writer: str, name: str, scale: int) -> tuple[LeafPlan, Page, Numbers]:
    """An album, its page, and that page drawn."""
    plan = ALBUMS[name]()
    page = album_page(HEADING, plan, measure)
    return plan, page, WRITERS[writer](page, scale)


def drawn_cells(plan: LeafPlan) -> list[int]:
    return [cell for cell, code in enumerate(plan.codes) if code & STATE_BITS != SPACER_CODE]


def places(page: Page, plan: LeafPlan) -> list[tuple[int, float, float]]:
    """Cell, and the middle of its glyph on a page of the whole album; the key comes last."""
    cells = drawn_cells(plan)
    glyphs = page.glyphs[: len(cells)]
    assert [glyph.code for glyph in glyphs] == [plan.codes[cell] for cell in cells]
    return [(cell, glyph.x, glyph.y) for cell, glyph in zip(cells, glyphs, strict=True)]


def overlap(one: Numbers, other: Numbers) -> float:
    """Ink in both, of the ink in either."""
    return float(np.minimum(one, other).sum() / np.maximum(one, other).sum())


def cut(ink: Numbers, left: int, top: int, width: int, height: int) -> Numbers:
    return ink[top : top + height, left : left + width]


def glyph_overlaps(
    picture: Numbers, page: Page, plan: LeafPlan, screen: Screen, scale: int
) -> dict[int, float]:
    """By cell: the overlap of its glyph and marks, above the label."""
    found = {}
    for cell, x, y in places(page, plan):
        left, top, width, _ = screen.boxes[cell]
        half = min(REACH_UNITS * scale, width // 2)
        size = 2 * half, screen.label_y
        seen = cut(screen.ink, left + width // 2 - half, top, *size)
        shown = cut(picture, round(x * scale) - half, round(y * scale) - screen.centre_y, *size)
        found[cell] = overlap(seen, shown)
    return found


@pytest.mark.parametrize("scale", SCALES)
@pytest.mark.parametrize("name", ALBUMS)
@pytest.mark.parametrize("writer", WRITERS)
def test_every_place_shows_the_ink_that_the_screen_shows(
    writer: str, name: str, scale: int, screens: Mapping[tuple[str, int], Screen]
) -> None:
    screen = screens[name, scale]
    plan, page, picture = drawn(writer, name, scale)
    found = glyph_overlaps(picture, page, plan, screen, scale)
    assert len(found) == len(drawn_cells(plan)) > 50
    assert {cell: share for cell, share in found.items() if share < 0.92} == {}
    assert np.median(list(found.values())) >= 0.98


@pytest.mark.parametrize("scale", SCALES)
@pytest.mark.parametrize("name", ALBUMS)
@pytest.mark.parametrize("writer", WRITERS)
def test_labels_stand_where_they_stand_on_the_screen(
    writer: str, name: str, scale: int, screens: Mapping[tuple[str, int], Screen]
) -> None:
    """The middle of a label's ink lies within a unit and a half, and there is as much of it."""
    screen = screens[name, scale]
    plan, page, picture = drawn(writer, name, scale)
    seen_one = 0
    for cell, x, y in places(page, plan):
        left, top, width, height = screen.boxes[cell]
        down = screen.label_y + 2 * scale
        if not plan.l1[cell] or plan.codes[cell] & ~STATE_BITS:  # a mark may reach the label
            continue
        size = width, height - down
        seen = cut(screen.ink, left, top + down, *size)
        start = round(x * scale) - width // 2, round(y * scale) - screen.centre_y + down
        shown = cut(picture, *start, *size)
        seen_one += 1
        assert abs(middle(seen)[0] - middle(shown)[0]) <= 1.5 * scale, plan.lines[plan.l1[cell]]
        assert abs(middle(seen)[1] - middle(shown)[1]) <= 1.5 * scale, plan.lines[plan.l1[cell]]
        assert shown.sum() == pytest.approx(seen.sum(), rel=0.25)
    assert seen_one > 20


@pytest.mark.parametrize("scale", SCALES)
@pytest.mark.parametrize("writer", WRITERS)
def test_captions_stand_where_they_stand_on_the_screen(
    writer: str, scale: int, screens: Mapping[tuple[str, int], Screen]
) -> None:
    """The head of a row beside another, and what differs below it."""
    screen = screens["matrix", scale]
    plan, page, picture = drawn(writer, "matrix", scale)
    at = {cell: (x, y) for cell, x, y in places(page, plan)}
    assert len(plan.captions) == 8
    for cell in plan.captions:
        left, top, width, height = screen.boxes[cell]
        seen = cut(screen.ink, left, top, width, height)
        x, y = at[cell + 1]
        start = round(x * scale) - width * 3 // 2, round(y * scale) - screen.centre_y
        shown = cut(picture, *start, width, height)
        assert abs(middle(seen)[0] - middle(shown)[0]) <= 1.5 * scale, plan.lines[plan.l1[cell]]
        assert abs(middle(seen)[1] - middle(shown)[1]) <= 1.5 * scale, plan.lines[plan.l1[cell]]
        assert shown.sum() == pytest.approx(seen.sum(), rel=0.25)


def middle(ink: Numbers) -> tuple[float, float]:
    """Across and down, of the ink."""
    rows, columns = np.indices(ink.shape)
    return float((columns * ink).sum() / ink.sum()), float((rows * ink).sum() / ink.sum())


@pytest.mark.parametrize("scale", SCALES)
@pytest.mark.parametrize("name", ALBUMS)
def test_a_sheet_of_paper_shows_the_same_ink_at_its_own_size(
    name: str, scale: int, screens: Mapping[tuple[str, int], Screen]
) -> None:
    """The sheet is drawn finer, each place brought to the screen's size, then compared."""
    plan, screen = ALBUMS[name](), screens[name, scale]
    pages = lay_out_leaves(HEADING, "", plan, Paper.A4, measure)
    usual = album_page(HEADING, plan, measure).glyphs[0].diameter
    data = pages_pdf(pages, "Sheets", "D:20261125000000Z", "Leaf sheets", PAPER, 1200)
    key, times = len(HEADING.counts), SHEET_FINER[scale]
    found: list[float] = []
    cells = iter(drawn_cells(plan))
    with pypdfium2.PdfDocument(data) as document:
        for number, page in enumerate(pages):
            finer = times * scale * usual / page.glyphs[key].diameter
            dots = document[number].render(scale=finer, grayscale=True).to_numpy()
            ink = 1 - np.asarray(dots, dtype=np.float64).reshape(dots.shape[:2]) / 255
            for glyph in page.glyphs[key:]:
                cell = next(cells)
                assert glyph.code == plan.codes[cell]
                left, top, width, _ = screen.boxes[cell]
                half = min(REACH_UNITS * scale, width // 2)
                size = 2 * half, screen.label_y
                seen = cut(screen.ink, left + width // 2 - half, top, *size)
                at = (
                    round(glyph.x * finer) - times * half,
                    round(glyph.y * finer) - times * screen.centre_y,
                )
                shown = coarser(cut(ink, *at, times * size[0], times * size[1]), times)
                found.append(overlap(seen, shown))
    assert next(cells, None) is None
    assert min(found) >= 0.92
    assert np.median(found) >= 0.98


def coarser(ink: Numbers, times: int) -> Numbers:
    """Each dot the mean of so many each way."""
    height, width = ink.shape
    squares = ink.reshape(height // times, times, width // times, times)
    mean: Numbers = squares.mean(axis=(1, 3))
    return mean


@pytest.mark.parametrize("palette", [LIGHT, DARK], ids=["light", "dark"])
def test_every_writer_uses_the_colours_of_the_palette(palette: Palette) -> None:
    """The commonest colour other than the card's around a glyph of each state is its own."""
    plan = ALBUMS["matrix"]()
    page = album_page(HEADING, plan, measure)
    data = svg_in(page, palette)
    pictures = {
        "PNG": rgb(page_png(page, palette, 3)),
        "SVG by resvg": rgb(bytes(resvg_py.svg_to_bytes(svg_string=data.decode(), zoom=3))),
    }
    for name, picture in pictures.items():
        first = {plan.codes[cell] & STATE_BITS: (cell, x, y) for cell, x, y in places(page, plan)}
        assert len(first) > 8
        for cell, x, y in first.values():
            near = picture[
                round(y * 3) - 60 : round(y * 3) + 60, round(x * 3) - 60 : round(x * 3) + 60
            ]
            colours, counts = np.unique(near.reshape(-1, 3), axis=0, return_counts=True)
            by_count = [tuple(int(v) for v in colours[i]) for i in counts.argsort()[::-1]]
            inks = [c for c in by_count if c != channels(palette.card)]
            assert inks[0] == channels(state_colour(palette, plan.codes[cell])), (name, cell)


def svg_in(page: Page, palette: Palette) -> bytes:
    return page_svg(page, "Nickels", "have 40 of 54", palette)


def rgb(png: bytes) -> npt.NDArray[np.uint8]:
    return np.asarray(Image.open(io.BytesIO(png)).convert("RGB"))


def test_the_comparison_can_fail(screens: Mapping[tuple[str, int], Screen]) -> None:
    """One slot in another state, and a ring a unit aside, are both seen."""
    plan, screen = ALBUMS["matrix"](), screens["matrix", 1]
    page = album_page(HEADING, plan, measure)
    cell = next(c for c in drawn_cells(plan) if plan.codes[c] & STATE_BITS == 1)
    changed = ALBUMS["matrix"]()
    changed.codes[cell] = 0
    other = album_page(HEADING, changed, measure)
    found = glyph_overlaps(by_png(other, 1), page, plan, screen, 1)
    assert [c for c, share in found.items() if share < 0.92] == [cell]
    aside = np.roll(by_png(page, 1), 1, axis=1)
    assert min(glyph_overlaps(aside, page, plan, screen, 1).values()) < 0.92
