"""Are leaves at real size as large as they say? Measured in the PDF by programs that are not ours.

pdfplumber reads lines, curves and words from the file, PDFium draws it. All that is measured must
be right within 0.1 mm. Diameters: 31 U.S.C. 5112(a), United States Code: (2) half dollar 1.205
inches, (6) one-cent coin 0.75 inch.
"""

import io
import re
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import combinations, pairwise

import numpy as np
import numpy.typing as npt
import pdfplumber
import pypdfium2
import pytest

from core.arrange.plan import SPACER_CELL, LeafPlan, PlanBuilder, PlanCell, PlanRow, caption_cell
from core.catalogue.load import load_series
from core.errors import BadEntry
from core.glyph.codes import GlyphCode
from core.model.issue import SeriesId
from core.printing.checklist import Paper
from core.printing.leaf_picture import Heading
from core.printing.pdf import measure, pages_pdf
from core.printing.real_size import lay_out_real_size
from core.printing.real_size_parts import RealSize
from tests.gui.leaf_material import matrix, running

MM_PER_INCH = 25.4  # the international yard and pound, 1959
POINT = MM_PER_INCH / 72  # ISO 32000-1:2008, 8.3.2.3: a unit of a page is 1/72 inch
TOLERANCE = 0.1
PAPERS = (Paper.A4, Paper.LETTER, Paper.A5)
STATUTE_MM = {"us-cent-lincoln": 0.75 * MM_PER_INCH, "us-half-kennedy": 1.205 * MM_PER_INCH}
HEADING = Heading("Halves of the jar", "have 3 of 4", "at target 3", "25 November 2026", ())
CLEARANCE, GAP = 0.4, 4.0
UNPRINTED = 5.0
"""Millimetres at every edge of the paper that printers may leave white."""
DOTS_PER_INCH = 300

Box = tuple[float, float, float, float]
"""Left, top, right, bottom in millimetres from the top left of a page."""
Place = tuple[float, float, float]
"""The centre and the diameter of a hole in millimetres."""


@dataclass(frozen=True)
class ReadSheet:
    """A page as read: holes, straight bars, words; and what of which leaf it says it holds."""

    size: tuple[float, float]
    circles: tuple[tuple[Place, Place], ...]
    bars: tuple[Box, ...]
    words: tuple[tuple[str, Box], ...]
    text: str

    @property
    def holes(self) -> list[Place]:
        """Midway between the inner and the outer edge of each line."""
        return [(a[0], a[1], (a[2] + b[2]) / 2) for a, b in self.circles]

    @property
    def part(self) -> Box:
        """The edges to trim along, and the leaf's own: what all the finest lines lie within."""
        fine = [b for b in self.bars if min(b[2] - b[0], b[3] - b[1]) < 0.1]
        half = min(b[3] - b[1] for b in fine) / 2
        ends = [f(b[i] for b in fine) for i, f in enumerate((min, min, max, max))]
        return ends[0] + half, ends[1] + half, ends[2] - half, ends[3] - half

    @property
    def spans(self) -> tuple[int, tuple[int, int], tuple[int, int]]:
        """The leaf, the first and last column, and the first and last row it names."""
        found = re.search(
            r"leaf (\d+)(?: · sheet \d+ of \d+ \(columns? (\S+), rows? (\S+)\))?", self.text
        )
        assert found
        columns, rows = ([int(n) for n in (t or "1").split("–")] for t in (found[2], found[3]))
        return int(found[1]), (columns[0], columns[-1]), (rows[0], rows[-1])


def sheets_of(
    plan: LeafPlan, look: RealSize, paper: Paper, leaves: set[int] | None = None
) -> tuple[bytes, list[ReadSheet]]:
    pages = lay_out_real_size(plan, HEADING, leaves, paper, measure, look)
    data = pages_pdf(pages, "Leaves at real size", "D:20261125000000Z")
    with pdfplumber.open(io.BytesIO(data)) as document:
        return data, [_read(page) for page in document.pages]


def _read(page: pdfplumber.page.Page) -> ReadSheet:
    def box(thing: dict[str, float]) -> Box:
        left, top, right, bottom = (thing[end] * POINT for end in ("x0", "top", "x1", "bottom"))
        return left, top, right, bottom

    rounds = sorted((_place(box(c)) for c in page.curves if _is_round(box(c))), key=lambda c: c[2])
    circles = []
    for outer in reversed(rounds):
        inner = [
            c
            for c in rounds
            if c[2] < outer[2] and np.hypot(c[0] - outer[0], c[1] - outer[1]) < 0.01
        ]
        circles += [(inner[0], outer)] if inner else []
    return ReadSheet(
        (float(page.width) * POINT, float(page.height) * POINT),
        tuple(circles),
        tuple(box(rect) for rect in page.rects),
        tuple((word["text"], box(word)) for word in page.extract_words()),
        page.extract_text(),
    )


def _is_round(box: Box) -> bool:
    return abs((box[2] - box[0]) - (box[3] - box[1])) < 0.01


def _place(box: Box) -> Place:
    return (box[0] + box[2]) / 2, (box[1] + box[3]) / 2, box[2] - box[0]


def slots_in(plan: LeafPlan) -> list[str]:
    return sorted(plan.lines[plan.names[c]] for c in range(plan.cells) if plan.is_slot(c))


def labelled_holes(sheet: ReadSheet) -> list[tuple[str, Place]]:
    """Each hole with the nearest word below its edge that stands about its middle."""
    found = []
    for x, y, diameter in sheet.holes:
        below = [
            (box[1], word)
            for word, box in sheet.words
            if abs((box[0] + box[2]) / 2 - x) < 1.5 and -0.5 < box[1] - y - diameter / 2 < 15
        ]
        found.append((min(below)[1], (x, y, diameter)))
    return found


def joined(sheets: Sequence[ReadSheet]) -> list[tuple[str, Place]]:
    """The holes of one leaf where they come to lie, its sheets trimmed and put edge to edge."""
    widths = {s.spans[1]: s.part[2] - s.part[0] for s in sheets}
    heights = {s.spans[2]: s.part[3] - s.part[1] for s in sheets}
    out = []
    for sheet in sheets:
        _, columns, rows = sheet.spans
        left = sum(wide for span, wide in widths.items() if span[1] < columns[0]) - sheet.part[0]
        top = sum(high for span, high in heights.items() if span[1] < rows[0]) - sheet.part[1]
        out += [(name, (x + left, y + top, d)) for name, (x, y, d) in labelled_holes(sheet)]
    return out


# --- how large ---------------------------------------------------------------------------------


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("series", STATUTE_MM)
def test_holes_and_check_bar_measure_right_on_every_sheet(series: str, paper: Paper) -> None:
    hole = load_series(SeriesId(series)).diameter_mm
    assert hole is not None
    plan = matrix(range(1938, 1946), rows_a_leaf=4, missing=frozenset({(1940, "S")}))
    _, sheets = sheets_of(plan, RealSize(hole), paper)
    asked = STATUTE_MM[series] + CLEARANCE
    for sheet in sheets:
        assert sorted(sheet.size) == pytest.approx(sorted(paper.size_mm), abs=0.01)
        assert sheet.circles
        for inner, outer in sheet.circles:
            assert inner[2] == pytest.approx(asked, abs=TOLERANCE)
            assert outer[2] == pytest.approx(asked, abs=TOLERANCE)
        pitches = [
            abs(a[0] - b[0]) for a, b in combinations(sheet.holes, 2) if abs(a[1] - b[1]) < 1
        ]
        assert min(pitches) == pytest.approx(asked + GAP, abs=TOLERANCE)
        (bar,) = [b for b in sheet.bars if abs(b[2] - b[0] - 50) < 5 and b[3] - b[1] < 1]
        assert bar[2] - bar[0] == pytest.approx(50, abs=TOLERANCE)
        ticks = sorted(b for b in sheet.bars if abs(b[3] - bar[1]) < 0.01 and b[2] - b[0] < 1)
        ends = [ticks[0][0], *(sum(b[::2]) / 2 for b in ticks[1:-1]), ticks[-1][2]]
        assert [b - a for a, b in pairwise(ends)] == pytest.approx([10] * 5, abs=TOLERANCE)
        assert "This bar is 50 mm." in " ".join(sheet.text.split())
        assert "print at 100 %" in " ".join(sheet.text.split())


def test_a_hole_and_the_bar_measure_right_in_dots() -> None:
    """PDFium at 300 dots to the inch: a dot is 0.085 mm, so lines are weighed, not counted."""
    plan = matrix(range(1964, 1966), mints=("P", "D"))
    hole = STATUTE_MM["us-half-kennedy"]
    data, (sheet,) = sheets_of(plan, RealSize(hole), Paper.LETTER)
    with pypdfium2.PdfDocument(data) as document:
        dots = document[0].render(scale=DOTS_PER_INCH / 72, grayscale=True).to_numpy()
    ink = 1 - np.asarray(dots, dtype=np.float64).reshape(dots.shape[:2]) / 255
    to_dots = DOTS_PER_INCH / MM_PER_INCH
    x, y, diameter = (value * to_dots for value in sheet.holes[0])
    row = round(y + 3 * to_dots)  # beside the cross
    chord = _middle(ink[row], x + diameter / 2, 12) - _middle(ink[row], x - diameter / 2, 12)
    across = np.hypot(chord, 2 * (row + 0.5 - y)) / to_dots
    assert across == pytest.approx(hole + CLEARANCE, abs=TOLERANCE)
    (bar,) = [b for b in sheet.bars if abs(b[2] - b[0] - 50) < 5 and b[3] - b[1] < 1]
    line = ink[round((bar[1] + bar[3]) / 2 * to_dots)]
    start, end = round(bar[0] * to_dots) - 9, round(bar[2] * to_dots) + 9
    assert line[start:end].sum() / line.max() / to_dots == pytest.approx(50, abs=TOLERANCE)


def _middle(line: npt.NDArray[np.float64], about: float, reach: int) -> float:
    """Where ink stands in a row of dots, by weight, near a place."""
    near = slice(round(about) - reach, round(about) + reach)
    places = np.arange(line.size)[near] + 0.5
    return float((places * line[near]).sum() / line[near].sum())


# --- where it is cut ---------------------------------------------------------------------------


CUT = {
    "matrix": (matrix(range(1900, 1912), ("P", "D", "S", "O", "CC"), rows_a_leaf=6), 30.61),
    "running": (running(90, rows_a_leaf=6, seed=3), 38.1),
}


@cache
def cut_sheets(name: str, paper: Paper) -> list[ReadSheet]:
    """The sheets of an album whose leaves are too large for any paper, with figures."""
    plan, hole = CUT[name]
    notes = {slot: "1,234,567" for slot in plan.slot_ids if slot}
    return sheets_of(plan, RealSize(hole, notes=notes), paper)[1]


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", CUT)
def test_the_sheets_of_a_leaf_hold_every_slot_once_and_join_exactly(
    name: str, paper: Paper
) -> None:
    (plan, hole), sheets = CUT[name], cut_sheets(name, paper)
    found: list[str] = []
    for leaf in range(1, len(plan.leaves) + 1):
        mine = [sheet for sheet in sheets if sheet.spans[0] == leaf]
        assert len(mine) > 1
        holes = joined(mine)
        found += [label for label, _ in holes]
        pitch = hole + CLEARANCE + GAP
        steps = [_steps(place[axis] for _, place in holes) for axis in (0, 1)]
        assert steps[0] == pytest.approx([pitch] * len(steps[0]), abs=TOLERANCE)
        assert steps[1] == pytest.approx([steps[1][0]] * len(steps[1]), abs=TOLERANCE)
        assert steps[1][0] > pitch
    assert sorted(found) == slots_in(plan)


def _steps(places: Iterable[float]) -> list[float]:
    """From each place to the next, those less than a millimetre apart taken as one."""
    return [b - a for a, b in pairwise(sorted(places)) if b - a > 1]


@pytest.mark.parametrize("paper", PAPERS)
def test_marks_stand_at_every_corner_that_is_trimmed(paper: Paper) -> None:
    sheets = [sheet for sheet in cut_sheets("matrix", paper) if sheet.spans[0] == 1]
    columns = max(sheet.spans[1][1] for sheet in sheets)
    rows = max(sheet.spans[2][1] for sheet in sheets)
    for sheet in sheets:
        left, top, right, bottom = sheet.part
        _, across, down = sheet.spans
        upright = [
            x for x, is_cut in ((left, across[0] > 1), (right, across[1] < columns)) if is_cut
        ]
        level = [y for y, is_cut in ((top, down[0] > 1), (bottom, down[1] < rows)) if is_cut]
        marks = [
            b
            for b in sheet.bars
            if sorted((b[2] - b[0], b[3] - b[1])) == pytest.approx([0.14, 3.0], abs=0.02)
        ]
        at = sorted((b[0] + b[2]) / 2 for b in marks if b[3] - b[1] > 1)
        assert at == pytest.approx(sorted(2 * upright), abs=TOLERANCE / 10)
        at = sorted((b[1] + b[3]) / 2 for b in marks if b[2] - b[0] > 1)
        assert at == pytest.approx(sorted(2 * level), abs=TOLERANCE / 10)
        for b in marks:
            assert b[3] <= top or b[1] >= bottom or b[2] <= left or b[0] >= right


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", CUT)
def test_nothing_overlaps_and_all_can_be_printed(name: str, paper: Paper) -> None:
    for sheet in cut_sheets(name, paper):
        width, height = sheet.size
        left, top, right, bottom = sheet.part
        for a, b in combinations(sheet.holes, 2):
            assert np.hypot(a[0] - b[0], a[1] - b[1]) >= (a[2] + b[2]) / 2 + GAP - TOLERANCE
        for x, y, d in sheet.holes:
            assert left <= x - d / 2 <= x + d / 2 <= right
            assert top <= y - d / 2 <= y + d / 2 <= bottom
        boxes = [box for _, box in sheet.words]
        for box in [*boxes, *sheet.bars]:
            assert min(box[0], box[1], width - box[2], height - box[3]) >= UNPRINTED
        for x, y, d in sheet.holes:
            for box in boxes:
                aside = max(box[0] - x, 0, x - box[2]), max(box[1] - y, 0, y - box[3])
                assert np.hypot(*aside) >= d / 2 - 0.3, box  # a word's box is higher than its ink
        for (one, here), (other, there) in combinations(sheet.words, 2):
            wide = min(here[2], there[2]) - max(here[0], there[0])
            high = min(here[3], there[3]) - max(here[1], there[1])
            assert wide < 0.1 or high < 1.0, (one, other)


def test_rows_set_off_by_half_a_place_keep_it_where_no_cut_meets_them() -> None:
    plan = running(19, counts=(10, 9), rows_a_leaf=2, seed=5)
    _, (sheet,) = sheets_of(plan, RealSize(19.05), Paper.A4)
    rows = sorted({round(y) for _, y, _ in sheet.holes})
    upper, lower = ([x for x, y, _ in sheet.holes if round(y) == row] for row in rows)
    assert min(lower) - min(upper) == pytest.approx((19.05 + CLEARANCE + GAP) / 2, abs=TOLERANCE)
    for part in sheets_of(plan, RealSize(19.05), Paper.A5)[1]:
        xs = sorted({round(x, 1) for x, _, _ in part.holes})
        assert min(b - a for a, b in pairwise(xs)) > 19


def test_paper_lies_as_fewer_sheets_need_it_or_as_chosen() -> None:
    plan = running(20, counts=(10,), rows_a_leaf=2, seed=8)
    assert [s.size[0] > s.size[1] for s in sheets_of(plan, RealSize(19.05), Paper.A4)[1]] == [True]
    upright = sheets_of(plan, RealSize(19.05, is_wide=False), Paper.A4)[1]
    assert [s.size[0] > s.size[1] for s in upright] == [False, False]
    tall = matrix(range(1938, 1944), ("P", "D"), rows_a_leaf=6)
    assert [s.size[0] > s.size[1] for s in sheets_of(tall, RealSize(21.2), Paper.A4)[1]] == [False]


# --- what stands there -------------------------------------------------------------------------


def a_type_album() -> tuple[LeafPlan, dict[int, float]]:
    """Two rows of coins of several sizes, a caption, a free place and one not struck."""
    sizes = {1: 17.91, 2: 24.26, 3: 38.1, 4: 19.05, 5: 21.21}
    names = ("", "Dime", "Quarter", "Dollar", "Cent", "Nickel")
    slots = [PlanCell(int(GlyphCode.GAP), name, slot_id=at) for at, name in enumerate(names)]
    builder = PlanBuilder("Types", has_two_lines=True)
    caption = caption_cell("Small coins", "cent and nickel")
    rows = [
        PlanRow([caption_cell("All that were struck in the year and are larger than a button")]),
        PlanRow([slots[1], slots[2], slots[3], SPACER_CELL]),
        PlanRow([caption, slots[4], PlanCell(int(GlyphCode.NOT_STRUCK), "1950-S"), slots[5]]),
    ]
    builder.add_leaf("Leaf 1", "types", rows)
    return builder.build(), sizes


def test_each_slot_has_its_own_hole_about_the_middle_of_its_place() -> None:
    plan, sizes = a_type_album()
    _, (sheet,) = sheets_of(plan, RealSize(19.05, diameters=sizes), Paper.A4)
    holes = dict(labelled_holes(sheet))
    names = dict(zip(("Dime", "Quarter", "Dollar", "Cent", "Nickel"), sizes.values(), strict=True))
    assert {name: hole[2] for name, hole in holes.items()} == pytest.approx(
        {name: size + CLEARANCE for name, size in names.items()}, abs=TOLERANCE
    )
    pitch = 38.1 + CLEARANCE + GAP
    assert holes["Quarter"][0] - holes["Dime"][0] == pytest.approx(pitch, abs=TOLERANCE)
    assert holes["Cent"][0] == pytest.approx(holes["Quarter"][0], abs=TOLERANCE)
    assert holes["Nickel"][0] - holes["Cent"][0] == pytest.approx(2 * pitch, abs=TOLERANCE)
    assert holes["Dime"][1] == pytest.approx(holes["Dollar"][1], abs=TOLERANCE)
    assert "Small coins" in sheet.text
    assert "cent and nickel" in sheet.text
    assert "All that were struck in the year and are larger than a button" in sheet.text
    assert holes["Dime"][1] - holes["Dollar"][2] / 2 - sheet.part[1] < 25  # titles take little room
    assert "1950-S" not in sheet.text
    assert "Holes of 18.31 to 38.5 mm" in sheet.text


def test_heads_stand_once_on_the_leaf_and_figures_where_there_is_room() -> None:
    plan = matrix(
        range(1940, 1949), ("P", "D", "S", "O", "CC"), rows_a_leaf=9, subs={1941: "small date"}
    )
    notes = {slot: "5,376,000" for slot in plan.slot_ids if slot}
    notes[1] = "880,000 of all that were struck at all mints in that year"
    words = Counter[str]()
    for sheet in sheets_of(plan, RealSize(30.61, notes=notes), Paper.A5)[1]:
        words.update(word for word, _ in sheet.words)
    assert words["5,376,000"] == 44
    assert not words["880,000"]
    assert words["1941-D"] == words["CC"] == words["small"] == 1
    assert words["1941"] == 2  # the row's head, and the slot of Philadelphia


def test_long_labels_take_two_lines_and_are_cut_short_after_them() -> None:
    builder = PlanBuilder("Varieties", has_two_lines=False)
    names = ("1942/1-D", "1909-S with the designer's initials", "1960 " + "small date " * 9)
    cells = [PlanCell(0, name, slot_id=at) for at, name in enumerate(names, 1)]
    builder.add_leaf("Leaf 1", "", [PlanRow(cells)])
    _, (sheet,) = sheets_of(builder.build(), RealSize(19.05), Paper.A5)
    assert "…" in sheet.text
    assert len(sheet.holes) == 3
    boxes = [box for word, box in sheet.words if word in ("1942/1-D", "1909-S", "1960")]
    assert len({round(box[1], 1) for box in boxes}) == 1


def test_an_album_without_slots_says_so() -> None:
    _, (sheet,) = sheets_of(
        PlanBuilder("None", has_two_lines=False).build(), RealSize(20), Paper.A5
    )
    assert "This album has no slots." in sheet.text


def test_the_same_leaf_gives_the_same_bytes() -> None:
    plan, hole = CUT["running"]
    assert (
        sheets_of(plan, RealSize(hole), Paper.A4, {1})[0]
        == sheets_of(plan, RealSize(hole), Paper.A4, {1})[0]
    )


@pytest.mark.parametrize(
    ("look", "paper", "said"),
    [
        (RealSize(118), Paper.A5, "A hole of 118.4 mm is too large for A5 lengthwise"),
        (RealSize(118, is_wide=False), Paper.A5, "is too large for A5 upright"),
        (RealSize(2), Paper.A4, "A hole of 2 mm cannot be printed; choose 5 to 120 mm"),
        (RealSize(float("nan")), Paper.A4, "cannot be printed"),
        (RealSize(20, diameters={1: 300.0}), Paper.A4, "A hole of 300 mm cannot be printed"),
        (RealSize(20, -1), Paper.A4, "A clearance of -1 mm cannot be printed"),
        (RealSize(20, gap_mm=-1), Paper.A4, "A gap of -1 mm between holes cannot be printed"),
        (RealSize(20), Paper.INDEX_CARD, "Index card is too small for real size"),
    ],
)  # fmt: skip
def test_what_cannot_be_printed_is_refused_in_plain_words(
    look: RealSize, paper: Paper, said: str
) -> None:
    plan = matrix(range(1940, 1944), ("P", "D"))
    with pytest.raises(BadEntry, match=re.escape(said)):
        lay_out_real_size(plan, HEADING, None, paper, measure, look)
