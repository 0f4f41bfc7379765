"""Leaves as pictures, sheets and cards: nothing lost, nothing outside, nothing cut in two."""

from itertools import pairwise

import pytest

from core.arrange.plan import SPACER_CODE, STATE_BITS, LeafPlan
from core.glyph.shapes import reach
from core.printing.checklist import Paper
from core.printing.leaf_picture import album_page
from core.printing.leaf_sheets import lay_out_leaves
from core.printing.pdf import measure
from core.printing.placed import MM, Page
from core.printing.share_card import HEIGHT, WIDTH, card_page
from tests.picture_cases import PICTURE_CASES, PictureCase

CUT_BETWEEN_PLACES = {"one-wide-leaf", "two-thousand"}
PAPERS = (Paper.A4, Paper.LETTER, Paper.A5)


def drawn_codes(plan: LeafPlan, leaf: int | None = None) -> list[int]:
    """The codes of all that is drawn, row by row."""
    leaves = plan.leaves if leaf is None else [plan.leaves[leaf]]
    return [
        plan.codes[cell]
        for one in leaves
        for row in range(one.first_row, one.first_row + one.rows)
        for cell in plan.cells_of_row(row)
        if plan.codes[cell] & STATE_BITS != SPACER_CODE
    ]


def assert_inside(page: Page, margin: float = 0.0) -> None:
    """Every glyph with its marks and every text lies within the page."""
    for glyph in page.glyphs:
        half = glyph.diameter / 2 * reach(glyph.diameter)
        assert half + margin <= glyph.x <= page.width - margin - half
        assert half + margin <= glyph.y <= page.height - margin - half
    for text in page.texts:
        assert margin - 0.01 <= text.x, text.text
        assert text.x + text.width <= page.width - margin + 0.01, text.text
        assert margin <= text.y <= page.height - margin + 0.01, text.text


@pytest.mark.parametrize("name", PICTURE_CASES)
def test_a_picture_shows_every_place_once_and_all_within_it(name: str) -> None:
    case = PICTURE_CASES[name]()
    page = album_page(case.heading, case.plan, measure, changed=case.changed)
    codes = [glyph.code for glyph in page.glyphs]
    assert codes == drawn_codes(case.plan) + [code for code, _ in case.heading.counts]
    assert_inside(page)


def test_a_picture_of_a_leaf_shows_that_leaf_only() -> None:
    case = PICTURE_CASES["usual"]()
    page = album_page(case.heading, case.plan, measure, 1)
    key = len(case.heading.counts)
    assert [glyph.code for glyph in page.glyphs[:-key]] == drawn_codes(case.plan, 1)
    assert "Leaf 2" in {text.text for text in page.texts}
    assert "Leaf 1" not in {text.text for text in page.texts}
    with pytest.raises(IndexError):
        album_page(case.heading, case.plan, measure, 3)


def test_a_name_that_there_is_room_for_is_not_cut() -> None:
    case = PICTURE_CASES["usual"]()
    for leaf in (None, 0):
        page = album_page(case.heading, case.plan, measure, leaf)
        assert case.heading.name in {text.text for text in page.texts}


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", PICTURE_CASES)
def test_sheets_show_every_place_once_and_all_within_the_margins(name: str, paper: Paper) -> None:
    case = PICTURE_CASES[name]()
    pages = lay_out_leaves(case.heading, "The jar", case.plan, paper, measure, None, case.changed)
    key = len(case.heading.counts)
    codes = [glyph.code for page in pages for glyph in page.glyphs[key:]]
    if name in CUT_BETWEEN_PLACES:  # so in another order
        assert sorted(codes) == sorted(drawn_codes(case.plan))
    else:
        assert codes == drawn_codes(case.plan)
    width, height = (side * MM for side in paper.size_mm)
    for number, page in enumerate(pages, 1):
        assert sorted((page.width, page.height)) == pytest.approx(sorted((width, height)))
        assert_inside(page, 10 * MM)
        assert f"page {number} of {len(pages)}" in {text.text for text in page.texts}


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", PICTURE_CASES)
def test_no_glyph_on_a_sheet_meets_another_or_a_label(name: str, paper: Paper) -> None:
    case = PICTURE_CASES[name]()
    key = len(case.heading.counts)
    for page in lay_out_leaves(case.heading, "The jar", case.plan, paper, measure):
        rows: dict[float, list[float]] = {}
        for glyph in page.glyphs[key:]:
            rows.setdefault(round(glyph.y, 2), []).append(glyph.x)
        for places in rows.values():
            diameter = page.glyphs[key].diameter
            steps = [b - a for a, b in pairwise(places)]
            assert all(step >= diameter * 1.1 for step in steps)
        small = {text.style.size for text in page.texts}
        assert min(small) >= 6.0, "labels can be read"


def test_few_leaves_share_a_page_and_a_single_one_is_not_blown_up() -> None:
    usual = PICTURE_CASES["usual"]()
    pages = lay_out_leaves(usual.heading, "", usual.plan, Paper.A4, measure)
    assert len(pages) == 1
    assert pages[0].width > pages[0].height, "three leaves beside each other lie lengthwise"
    twelve = PICTURE_CASES["twelve"]()
    (page,) = lay_out_leaves(twelve.heading, "", twelve.plan, Paper.A4, measure)
    assert max(glyph.diameter for glyph in page.glyphs) <= 40


def test_changed_places_are_ringed_and_the_key_says_so() -> None:
    case = PICTURE_CASES["usual"]()
    plain = album_page(case.heading, case.plan, measure)
    ringed = album_page(case.heading, case.plan, measure, changed=case.changed)
    assert len(ringed.shapes) == len(plain.shapes) + 2 * len(case.changed)
    assert "changed since 1 May 2026" in {text.text for text in ringed.texts}
    by_place = {(glyph.x, glyph.y) for glyph in ringed.glyphs}
    rings = [shape for shape in ringed.shapes if shape.ink == "select"]
    for ring in rings:
        xs = [value for contour in ring.contours for segment in contour for value in segment[1::2]]
        ys = [value for contour in ring.contours for segment in contour for value in segment[2::2]]
        inside = [
            place
            for place in by_place
            if min(xs) < place[0] < max(xs) and min(ys) < place[1] < max(ys)
        ]
        assert len(inside) == 1


def test_only_a_ground_is_missing_where_it_is_clear() -> None:
    case = PICTURE_CASES["usual"]()
    for make in (_album, _card):
        whole, clear = make(case, True), make(case, False)
        assert whole.shapes[0].ink == "paper"
        assert whole.shapes[1:] == clear.shapes
        assert (whole.glyphs, whole.texts) == (clear.glyphs, clear.texts)


def _album(case: PictureCase, has_ground: bool) -> Page:
    return album_page(case.heading, case.plan, measure, has_ground=has_ground)


def _card(case: PictureCase, has_ground: bool) -> Page:
    return card_page(
        case.heading, case.plan, measure, case.news, case.changed, has_ground=has_ground
    )


@pytest.mark.parametrize("name", PICTURE_CASES)
def test_a_card_holds_the_whole_album_and_all_within_it(name: str) -> None:
    case = PICTURE_CASES[name]()
    page = _card(case, True)
    assert (page.width, page.height) == (WIDTH, HEIGHT)
    assert page.width * 9 == page.height * 16
    assert_inside(page, 30.0)
    codes = [glyph.code for glyph in page.glyphs]
    wanted = drawn_codes(case.plan)
    starts = [at for at in range(len(codes)) if codes[at : at + len(wanted)] == wanted]
    assert starts or not wanted, "every place, in order"
    texts = {text.text for text in page.texts}
    assert case.heading.headline in texts
    assert case.heading.target_line in texts


@pytest.mark.parametrize("name", [name for name in PICTURE_CASES if PICTURE_CASES[name]().news])
def test_a_card_names_what_is_new_and_counts_the_rest(name: str) -> None:
    case = PICTURE_CASES[name]()
    assert case.news is not None
    texts = [text.text for text in _card(case, True).texts]
    assert "SINCE 1 MAY 2026" in texts
    named = texts.count("new")
    more = next((int(t.split()[1]) for t in texts if t.startswith("and ")), 0)
    assert named + more == len(case.news.lines)
    assert (more > 0) == (len(case.news.lines) > named)
    assert more != 1, "a single one more is named instead"
    if not case.news.lines:
        assert case.news.empty_text in texts


def test_texts_of_a_card_do_not_meet() -> None:
    """Lines of text lie beside or above one another, whatever the names."""
    for name, make in PICTURE_CASES.items():
        page = _card(make(), True)
        boxes = [
            (t.x, t.y - 0.7 * t.style.size, t.x + t.width, t.y + 0.05 * t.style.size, t.text)
            for t in page.texts
            if t.style.size >= 14
        ]
        for at, one in enumerate(boxes):
            for other in boxes[at + 1 :]:
                apart = (
                    one[2] <= other[0] or other[2] <= one[0]
                    or one[3] <= other[1] or other[3] <= one[1]
                )  # fmt: skip
                assert apart, (name, one[4], other[4])
