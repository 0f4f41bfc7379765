"""Checklists as PDF, read back by programs that are not ours: pdfplumber, pypdf, fontTools, PDFium.

What is read is compared with the checklist itself, not with how it was laid out.
"""

import hashlib
import io
import os
import re
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from statistics import median
from typing import Any

import numpy as np
import pdfplumber
import pypdf
import pypdfium2
import pytest
from fontTools.ttLib import TTFont
from PIL import Image

from core.errors import FileTrouble, Refused
from core.glyph.codes import ORDER_BIT, PINNED_BIT, SPARE_BIT, GlyphCode
from core.glyph.shapes import Contour, glyph
from core.printing.checklist import (
    ListColumn,
    ListKind,
    Look,
    Paper,
)
from core.printing.page_edges import frame_of
from core.printing.pages import lay_out
from core.printing.pdf import checklist_left_out, checklist_pdf, measure, pages_pdf, wrap, write_pdf
from core.printing.placed import Page, PlacedGlyph
from core.printing.png import page_count, page_sizes, pdf_page_png, render_page
from core.printing.type_sizes import LARGE, PLAIN, TypeSizes, type_sizes
from tests.paper_cases import CASES, a_checklist, a_row, leaf_of, matrix_map, rows_of
from tests.paper_checks import assert_nothing_overlaps, assert_within_margins
from tests.paper_reading import bare, expected_row, read_back

PAPERS = list(Paper)
LOOKS = {"plain": Look(), "large print": Look(is_large=True)}


def _reader(data: bytes) -> Any:
    return pypdf.PdfReader(io.BytesIO(data))


# --- the paper itself ------------------------------------------------------------------------


@pytest.mark.parametrize(("paper", "number"), [(Paper.A4, 4), (Paper.A5, 5)])
def test_a_sizes_are_those_of_iso_216(paper, number):
    """ISO 216:2007: A0 is 841 mm × 1189 mm; each next size halves the longer side, rounded down."""
    width, height = 841, 1189
    for _ in range(number):
        width, height = height // 2, width
    assert paper.size_mm == (width, height)


def test_letter_is_eight_and_a_half_by_eleven_inches():
    """ANSI/ASME Y14.1, size A; an inch is 25.4 mm (international yard and pound, 1959)."""
    assert Paper.LETTER.size_mm == pytest.approx((8.5 * 25.4, 11 * 25.4))


def test_an_index_card_is_three_by_five_inches():
    """PWG 5101.1-2013, Media Standardized Names 2.0: the names of sheets say their own size, the
    side that goes in first, then the other; the card's is na_index-3x5_3x5in."""
    width, height = "na_index-3x5_3x5in".rpartition("_")[2].removesuffix("in").split("x")
    assert Paper.INDEX_CARD.size_mm == pytest.approx((float(width) * 25.4, float(height) * 25.4))


@pytest.mark.parametrize("paper", PAPERS)
def test_large_print_is_large_print_by_the_standard(paper):
    """UK Association for Accessible Formats, Minimum standards: clear and large print (MS03, June
    2012): 16 points at least for large print, 12 for clear print, no italics."""
    sizes = type_sizes(paper, is_large=True)
    rows = (sizes.label, sizes.cell, sizes.figure, sizes.variety, sizes.note)
    assert min(style.size for style in rows) >= 16
    data = checklist_pdf(CASES["many"](), paper, LOOKS["large print"])
    with pdfplumber.open(io.BytesIO(data)) as document:
        chars = [char for page in document.pages for char in page.chars]
    assert min(char["size"] for char in chars) >= 12 - 1e-6
    assert not [char for char in chars if "Italic" in char["fontname"]]


def test_every_glyph_and_every_type_is_larger_in_large_print():
    for paper in Paper:
        plain, large = type_sizes(paper), type_sizes(paper, is_large=True)
        for name in TypeSizes.__slots__:
            a, b = getattr(plain, name), getattr(large, name)
            if hasattr(a, "size"):
                assert b.size > a.size, (paper, name)
            elif name.endswith("glyph") or name in {"tick", "stretch"}:
                assert b > a, (paper, name)
        assert large.row_height > plain.row_height


@pytest.mark.parametrize("paper", PAPERS)
def test_the_file_asks_for_that_paper(paper):
    reader = _reader(checklist_pdf(CASES["many"](), paper))
    for page in reader.pages:
        size = (float(page.mediabox.width) * 25.4 / 72, float(page.mediabox.height) * 25.4 / 72)
        assert size == pytest.approx(paper.size_mm, abs=0.01)


# --- the text read back ----------------------------------------------------------------------


_LISTS = {name: CASES[name] for name in ("few", "many", "long", "optional", "complete")}


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("look", LOOKS)
@pytest.mark.parametrize("name", _LISTS)
def test_text_read_back_equals_the_list_row_for_row(name, look, paper):
    checklist = _LISTS[name]()
    sizes = type_sizes(paper, LOOKS[look].is_large)
    rows, heads = read_back(checklist_pdf(checklist, paper, LOOKS[look]), sizes)
    assert rows == [
        expected_row(row, heads, LOOKS[look]) for leaf in checklist.leaves for row in leaf.rows
    ]


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("look", LOOKS)
@pytest.mark.parametrize("name", CASES)
def test_text_is_read_in_order_leaf_by_leaf_and_row_by_row(name, look, paper):
    checklist = CASES[name]()
    has_held = ListColumn.HELD not in checklist_left_out(checklist, paper, LOOKS[look]).no_room
    pages = _reader(checklist_pdf(checklist, paper, LOOKS[look])).pages
    text = bare("".join(page.extract_text() for page in pages))
    at = 0
    for leaf in checklist.leaves:
        at = _found(text, leaf.title[: 12 if paper is Paper.INDEX_CARD else 30], at)
        for row in leaf.rows:
            at = _found(text, row.label if len(row.label) < 12 else row.label.split()[0], at)
            has_variety = checklist.kind is ListKind.SLOTS
            for part in (row.held or "—" if has_held else "", row.variety if has_variety else ""):
                at = _found(text, part, at)
        if not leaf.rows:
            at = _found(text, leaf.empty_text, at)


def _found(text: str, part: str, at: int) -> int:
    """Where a part ends in the text from there on; it must be there."""
    place = text.find(bare(part), at)
    assert place >= 0, part
    return place + len(bare(part))


@pytest.mark.parametrize("paper", PAPERS)
def test_every_page_says_its_number_its_day_and_its_counts(paper):
    checklist = CASES["many"]()
    pages = _page_texts(checklist_pdf(checklist, paper))
    for number, text in enumerate(pages, 1):
        assert f"page {number} of {len(pages)}" in text
        assert "25 November 2026" in text
        for _, words in checklist.counts:
            is_short = paper is Paper.INDEX_CARD and number > 1
            assert (words.split()[0] if is_short else words) in text


@pytest.mark.parametrize("paper", PAPERS)
def test_three_thousand_rows_are_all_there_in_order(paper):
    rows = tuple(replace(a_row(n), label=f"no{n}.") for n in range(3000))
    data = checklist_pdf(a_checklist(leaf_of(1, rows, matrix_map(1900, 100))), paper)
    labels = re.findall(r"no\d+\.", "".join(_page_texts(data)))
    assert labels == [row.label for row in rows]


def _page_texts(data: bytes) -> list[str]:
    """The text of every page as PDFium reads it, which is quick."""
    document = pypdfium2.PdfDocument(data)
    texts = [page.get_textpage().get_text_range() for page in document]
    document.close()
    return texts


# --- characters ------------------------------------------------------------------------------

_NOTES = (
    "Größe prüfen, naïve façade, ñandú, łódź, ěščřžýáíé, İstanbul, ő",
    "Ψάχνω για καλύτερο: ΑΒΓ αβγ ώ ή",
    "Проверить ещё раз: Ђорђе, Їжак, Ёлка",
    "裏面に小さな傷。もう一枚探す・カタカナ",
    "检查日期和铸造标记，繁體中文",
    "한국어 메모: 다시 확인",
    "★ ☐ ✓ → ⅛ ½ № € £ ¥ “quotes” — … • × ≥",
    "\U0001f5f8 \U0001fbc5 beyond the first plane",
)


@pytest.mark.parametrize("paper", PAPERS)
def test_no_glyph_is_missing_for_notes_in_many_scripts(paper):
    rows = tuple(a_row(n, note=note) for n, note in enumerate(_NOTES))
    data = checklist_pdf(a_checklist(leaf_of(1, rows, None)), paper)
    read, heads = read_back(data, type_sizes(paper))
    assert read == [expected_row(row, heads, Look()) for row in rows]
    assert "□" not in "".join(row.below for row in read)
    _assert_every_code_has_a_glyph(data)


def _assert_every_code_has_a_glyph(data: bytes) -> None:
    """No embedded font maps a code of the text to .notdef; each has an outline, but for spaces."""
    reader = _reader(data)
    fonts = {}
    for page in reader.pages:
        for name, reference in page["/Resources"]["/Font"].items():
            fonts[name] = reference.get_object()
    assert len(fonts) >= 4
    for font in fonts.values():
        file = TTFont(io.BytesIO(font["/FontDescriptor"]["/FontFile2"].get_data()))
        table = file["cmap"].tables[0].cmap
        to_text = font["/ToUnicode"].get_data().decode("ascii")
        codes = [
            (int(line[1:3], 16), bytes.fromhex(line.split("<")[2].rstrip(">")).decode("utf-16-be"))
            for line in to_text.splitlines()
            if line.startswith("<")
        ]
        assert codes
        for code, character in codes:
            name = table[code]
            assert name != file.getGlyphOrder()[0], (font["/BaseFont"], character)
            if not character.isspace():
                assert file["glyf"][name].numberOfContours != 0, character


def test_a_character_in_no_font_is_printed_as_a_box():
    row = a_row(0, note="a \U00012000 b")
    (read,), _ = read_back(checklist_pdf(a_checklist(leaf_of(1, (row,), None)), Paper.A4))
    assert read.below == "a□b"


# --- the page as drawn -----------------------------------------------------------------------


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("look", LOOKS)
@pytest.mark.parametrize("name", CASES)
def test_nothing_overlaps_or_leaves_the_margins_by_the_real_fonts(name, look, paper):
    for page in lay_out(CASES[name](), paper, measure, wrap, LOOKS[look]):
        assert_within_margins(page, frame_of(paper, LOOKS[look].is_large))
        assert_nothing_overlaps(page)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", CASES)
def test_no_ink_outside_the_margins_of_the_drawn_page(name, paper):
    data = checklist_pdf(CASES[name](), paper)
    frame = frame_of(paper)
    for number in range(page_count(data)):
        width, height, dots = render_page(data, number, 2.0)
        picture = Image.frombytes("RGBA", (width, height), dots, "raw", "BGRA").convert("L")
        box = picture.point(lambda v: 255 if v < 250 else 0).getbbox()
        assert box is not None
        left, top, right, bottom = box
        assert left >= 2 * frame.left - 3
        assert right <= 2 * frame.right + 3
        assert top >= 2 * frame.top - 3
        assert bottom <= height - 2 * frame.top + 3


def test_paper_is_black_only():
    """Every dot is a grey on the way from black ink to white paper."""
    data = checklist_pdf(CASES["many"](), Paper.A4)
    width, height, dots = render_page(data, 0, 1.5)
    assert len(dots) == 4 * width * height
    assert dots[0::4] == dots[1::4] == dots[2::4]
    assert set(dots[3::4]) == {255}
    content = _reader(data).pages[0].get_contents().get_data().split()
    assert not {b"rg", b"RG", b"g", b"G", b"k", b"K", b"gs"} & set(content)  # black unless told


_CODES = [
    *(int(code) for code in GlyphCode if code is not GlyphCode.SPACER),
    GlyphCode.FILLED | SPARE_BIT | ORDER_BIT | PINNED_BIT,
]


@pytest.mark.parametrize("diameter", [PLAIN.map_glyph, PLAIN.glyph, LARGE.glyph])
def test_glyphs_on_paper_are_those_of_the_geometry(diameter):
    """At 300 dots to the inch, against the same outlines filled even-odd by counting crossings."""
    side, scale = 24.0, 300 / 72
    places = [PlacedGlyph(code, side * (n + 0.5), 12.0, diameter) for n, code in enumerate(_CODES)]
    page = Page(side * len(_CODES), side, (), (), (), tuple(places))
    data = pages_pdf([page], "glyphs", "D:20261125000000Z")
    width, height, dots = render_page(data, 0, scale)
    paper = 1 - np.frombuffer(dots, np.uint8).reshape(height, width, 4)[:, :, 0] / 255
    shares = []
    for number, placed in enumerate(places):
        ours = paper[20:80, 100 * number + 20 : 100 * number + 80]  # reaches past the corner marks
        want = _filled(placed.code, diameter * scale, 60)
        shares.append(np.minimum(ours, want).sum() / np.maximum(ours, want).sum())
    assert min(shares) >= 0.92
    assert median(shares) >= 0.98


def _filled(code: int, dots: float, side: int) -> np.ndarray:
    """How much of each dot of a square a glyph in its middle covers, from 6 × 6 points a dot."""
    fine = 6
    at = ((np.arange(side * fine) + 0.5) / fine - side / 2) * 2 / dots
    x, y = np.meshgrid(at, at)
    covered = np.zeros_like(x, bool)
    for part in glyph(code, dots):
        inside = np.zeros_like(covered)
        for contour in part.contours:
            points = _flattened(contour)
            for (ax, ay), (bx, by) in zip(points, [*points[1:], points[0]], strict=True):
                if ay != by:
                    crosses = (ay > y) != (by > y)
                    inside ^= crosses & (x < (bx - ax) * (y - ay) / (by - ay) + ax)
        covered |= inside
    return covered.reshape(side, fine, side, fine).mean(axis=(1, 3))


def _flattened(contour: Contour) -> list[tuple[float, float]]:
    points: list[tuple[float, float]] = []
    for segment in contour:
        if segment[0] != "C":
            points.append(segment[1:])
            continue
        (ax, ay), (_, bx, by, cx, cy, dx, dy) = points[-1], segment
        for step in range(1, 13):
            t, u = step / 12, 1 - step / 12
            a, b, c, d = u**3, 3 * u * u * t, 3 * u * t * t, t**3
            points.append((a * ax + b * bx + c * cx + d * dx, a * ay + b * by + c * cy + d * dy))
    return points


# --- the file --------------------------------------------------------------------------------


@pytest.mark.parametrize("paper", PAPERS)
def test_the_same_list_gives_the_same_bytes(paper):
    assert checklist_pdf(CASES["long"](), paper) == checklist_pdf(CASES["long"](), paper)


def test_the_same_list_gives_the_same_bytes_in_another_process():
    code = (
        "import hashlib; from tests.paper_cases import CASES;"
        " from core.printing.checklist import Paper; from core.printing.pdf import checklist_pdf;"
        " print(hashlib.sha256(checklist_pdf(CASES['long'](), Paper.A4)).hexdigest())"
    )
    digests = {hashlib.sha256(checklist_pdf(CASES["long"](), Paper.A4)).hexdigest()}
    for seed in ("1", "2"):
        run = subprocess.run(
            [sys.executable, "-c", code],
            env=os.environ | {"PYTHONHASHSEED": seed, "TZ": "Asia/Tokyo"},
            capture_output=True,
            text=True,
            check=True,
        )
        digests.add(run.stdout.strip())
    assert len(digests) == 1


def test_the_file_names_its_list_and_nobody():
    data = checklist_pdf(CASES["few"](), Paper.A4)
    reader = _reader(data)
    info = reader.metadata
    assert info.title == "Nickels 1938–1964: Gaps and upgrades"
    assert {info.author, info.creator, info.producer} == {"Slotleaf"}
    assert info.creation_date.date() == CASES["few"]().day
    assert reader.trailer["/Root"]["/Lang"] == "en"


def test_glyphs_are_drawn_once_a_kind_and_text_is_one_object_a_page():
    reader = _reader(checklist_pdf(CASES["few"](), Paper.A4))
    (page,) = reader.pages
    words = page.get_contents().get_data().split()
    assert words.count(b"BT") == 1
    assert words.count(b"Do") == 81 - 9 + 25 + 6
    assert len(page["/Resources"]["/XObject"]) == 9


def test_a_file_is_put_in_place_whole(tmp_path):
    path = tmp_path / "gaps.pdf"
    write_pdf(path, b"%PDF-1.4 first")
    write_pdf(path, b"%PDF-1.4 second")
    assert path.read_bytes() == b"%PDF-1.4 second"
    assert [entry.name for entry in tmp_path.iterdir()] == ["gaps.pdf"]


def test_a_file_that_cannot_be_replaced_keeps_its_bytes(tmp_path, monkeypatch):
    path = tmp_path / "gaps.pdf"
    write_pdf(path, b"%PDF-1.4 first")

    def refuse(self, target):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "replace", refuse)
    with pytest.raises(FileTrouble, match=r"gaps\.pdf \(Permission denied\).*save again"):
        write_pdf(path, b"%PDF-1.4 second")
    assert path.read_bytes() == b"%PDF-1.4 first"
    assert [entry.name for entry in tmp_path.iterdir()] == ["gaps.pdf"]


@pytest.mark.parametrize("kept", [b"SQLite format 3\0 and more", b"a", b"words\n"])
def test_a_file_that_is_no_pdf_is_never_written_over(tmp_path, kept):
    path = tmp_path / "jar.slotleaf"
    path.write_bytes(kept)
    with pytest.raises(Refused, match=r"jar\.slotleaf.*no PDF.*another name"):
        write_pdf(path, b"%PDF-1.4")
    assert path.read_bytes() == kept


def test_an_empty_file_of_that_name_is_written_over(tmp_path):
    path = tmp_path / "gaps.pdf"
    path.touch()
    write_pdf(path, b"%PDF-1.4")
    assert path.read_bytes() == b"%PDF-1.4"


def test_a_folder_that_is_not_there_is_named(tmp_path):
    with pytest.raises(FileTrouble, match=r"nowhere"):
        write_pdf(tmp_path / "nowhere" / "gaps.pdf", b"data")


# --- pages as pictures -----------------------------------------------------------------------


def test_a_page_becomes_a_png_of_its_size():
    data = checklist_pdf(CASES["few"](), Paper.A4)
    picture = Image.open(io.BytesIO(pdf_page_png(data, 0, 100)))
    assert picture.format == "PNG"
    assert picture.size == pytest.approx((210 / 25.4 * 100, 297 / 25.4 * 100), abs=1)
    assert page_count(data) == 1
    assert page_sizes(data)[0] == pytest.approx((595.28, 841.89), abs=0.01)


def test_the_preview_draws_the_same_dots_as_the_png():
    data = checklist_pdf(CASES["few"](), Paper.A5)
    width, height, dots = render_page(data, 1, 100 / 72)
    mine = Image.frombytes("RGBA", (width, height), dots, "raw", "BGRA").convert("RGB")
    png = Image.open(io.BytesIO(pdf_page_png(data, 1, 100))).convert("RGB")
    assert mine.tobytes() == png.tobytes()


@pytest.mark.parametrize("page", [-1, 1])
def test_a_page_that_is_not_there_is_refused(page):
    data = checklist_pdf(a_checklist(leaf_of(1, rows_of(1), None)), Paper.A4)
    with pytest.raises(IndexError, match="1 pages"):
        render_page(data, page, 1.0)
