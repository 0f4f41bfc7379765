"""Pages written as SVG and PNG: what they say, how large they are, what is clear."""

import io
import xml.etree.ElementTree as ET

import numpy as np
import pytest
from PIL import Image

from core.errors import BadEntry
from core.glyph.palette import DARK, LIGHT, channels
from core.printing.drawn_page import page_pdf, page_png
from core.printing.leaf_picture import album_page
from core.printing.pdf import measure
from core.printing.placed import Page, Sheet, frame, rounded
from core.printing.png import page_sizes
from core.printing.share_card import card_page
from core.printing.svg import page_svg, path_data
from core.printing.text_runs import text_runs
from tests.picture_cases import MANY_SCRIPTS, PICTURE_CASES

SVG = "{http://www.w3.org/2000/svg}"
LINK = "{http://www.w3.org/1999/xlink}href"


def a_page(name: str = "usual", *, has_ground: bool = True) -> Page:
    case = PICTURE_CASES[name]()
    return album_page(case.heading, case.plan, measure, changed=case.changed, has_ground=has_ground)


@pytest.mark.parametrize("name", ["usual", "scripts", "nothing"])
def test_an_svg_is_sound_and_says_all_that_is_written(name: str) -> None:
    page = a_page(name)
    root = ET.fromstring(page_svg(page, MANY_SCRIPTS, "have 1 of 2", LIGHT))
    assert root.tag == f"{SVG}svg"
    assert root.findtext(f"{SVG}title") == MANY_SCRIPTS
    assert root.findtext(f"{SVG}desc") == "have 1 of 2"
    labels = [group.get("aria-label") for group in root.iter(f"{SVG}g") if group.get("aria-label")]
    assert labels == ["".join(run.text for run in text_runs(t.text)) for t in page.texts]
    known = {element.get("id") for element in root.iter() if element.get("id")}
    used = {use.get(LINK) for use in root.iter(f"{SVG}use")}
    assert used == {f"#{name}" for name in known}
    assert not list(root.iter(f"{SVG}text")), "text is outlines, so no font is asked for"


def test_an_svg_has_the_width_asked_and_keeps_its_shape() -> None:
    page = a_page()
    for width in (0.0, 800.0):
        root = ET.fromstring(page_svg(page, "x", "y", LIGHT, width))
        got, high = float(root.get("width", "0")), float(root.get("height", "0"))
        assert got == (width or page.width)
        assert got / high == pytest.approx(page.width / page.height, rel=1e-4)
        assert root.get("viewBox") == f"0 0 {page.width:g} {page.height:g}"


def test_the_same_page_gives_the_same_bytes() -> None:
    for _ in range(2):
        one, other = a_page("scripts"), a_page("scripts")
        assert page_svg(one, "x", "y", DARK) == page_svg(other, "x", "y", DARK)
        assert page_pdf(one, "x", DARK, "D:20261125000000Z") == page_pdf(
            other, "x", DARK, "D:20261125000000Z"
        )
        assert page_png(one, DARK, 0.5) == page_png(other, DARK, 0.5)


@pytest.mark.parametrize("scale", [0.25, 1.0, 1.7])
def test_a_png_has_so_many_dots_a_unit(scale: float) -> None:
    page = a_page()
    with Image.open(io.BytesIO(page_png(page, LIGHT, scale))) as picture:
        assert abs(picture.width - page.width * scale) <= 1
        assert abs(picture.height - page.height * scale) <= 1
        dots = picture.convert("RGBA")
        corners = [dots.getpixel((x, y)) for x in (0, dots.width - 1) for y in (0, dots.height - 1)]
    assert corners == [(*channels(LIGHT.paper), 255)] * 4


def test_a_clear_ground_is_clear_and_the_cards_are_not() -> None:
    page = a_page(has_ground=False)
    with Image.open(io.BytesIO(page_png(page, DARK, 1))) as picture:
        dots = np.asarray(picture.convert("RGBA"))
    assert dots[2, 2, 3] == 0
    assert tuple(dots[100, 60]) == (*channels(DARK.card), 255)
    inks = {tuple(dot[:3]) for dot in dots[:70].reshape(-1, 4) if dot[3] == 255}
    assert channels(DARK.ink) in inks, "text on the clear ground keeps its colour"


def test_a_card_is_sixteen_by_nine_in_every_file() -> None:
    case = PICTURE_CASES["usual"]()
    page = card_page(case.heading, case.plan, measure, case.news, case.changed)
    with Image.open(io.BytesIO(page_png(page, LIGHT, 1))) as picture:
        assert picture.size == (1600, 900)
    assert page_sizes(page_pdf(page, "x", LIGHT, "D:20261125000000Z")) == ((1600, 900),)
    root = ET.fromstring(page_svg(page, "x", "y", LIGHT))
    assert (root.get("width"), root.get("height")) == ("1600", "900")


@pytest.mark.parametrize("scale", [0.001, 40.0])
def test_sizes_that_cannot_be_drawn_are_refused(scale: float) -> None:
    with pytest.raises(BadEntry, match=r"pixels is too (small|large) to draw; ask for a"):
        page_png(a_page(), LIGHT, scale)


def test_shapes_are_closed_and_an_edge_lies_inside() -> None:
    sheet = Sheet(measure)
    sheet.shape("ink", *frame(10, 20, 100, 50, 8, 2))
    (shape,) = sheet.shapes
    d = path_data(shape.contours)
    assert d.count("Z") == 2
    assert d.startswith("M18 20L102 20C")
    assert path_data([rounded(0, 0, 4, 2)]) == "M0 0L4 0L4 2L0 2Z"
    xs = [value for contour in shape.contours for part in contour for value in part[1::2]]
    assert (min(xs), max(xs)) == (10, 110)
