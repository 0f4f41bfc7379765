"""The layout of checklists, with a measure that needs no font."""

import subprocess
import sys
from dataclasses import replace
from itertools import groupby

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.printing.checklist import (
    DEFAULT_COLUMNS,
    ChecklistLeaf,
    LeftOut,
    ListColumn,
    Look,
    Paper,
)
from core.printing.page_edges import frame_of
from core.printing.pages import balanced_height, column_ends, lay_out, left_out
from core.printing.placed import Style
from core.printing.text_runs import wrap_text
from core.printing.type_sizes import PLAIN, type_sizes
from tests.paper_cases import (
    CASES,
    LEGEND,
    a_checklist,
    a_row,
    leaf_of,
    matrix_map,
    rows_of,
    running_map,
)
from tests.paper_checks import assert_nothing_overlaps, assert_within_margins

PAPERS = list(Paper)
LABEL, CELL, NOTE, VARIETY = PLAIN.label, PLAIN.cell, PLAIN.note, PLAIN.variety
LEAF_TITLE = PLAIN.group_title


def measure(text: str, style: Style) -> float:
    return 0.57 * style.size * len(text)


def wrap(text: str, style: Style, width: float) -> tuple[str, ...]:
    return wrap_text(text, width, lambda part: measure(part, style))


def pages_of(checklist, paper=Paper.A4, look=Look()):  # noqa: B008 (frozen)
    return lay_out(checklist, paper, measure, wrap, look)


def texts_in(pages, style):
    return [text.text for page in pages for text in page.texts if text.style == style]


LOOKS = {"plain": Look(), "large": Look(is_large=True)}
looks = st.builds(
    Look, st.lists(st.sampled_from(ListColumn), unique=True).map(tuple), st.booleans()
)
row_counts = st.lists(st.integers(0, 60), min_size=1, max_size=9)
notes = st.text("abc déf語 \n", max_size=160)


@given(row_counts, st.sampled_from(PAPERS), looks, st.lists(notes, min_size=1, max_size=7))
def test_any_list_flows_over_pages_whole_and_without_orphans(counts, paper, look, some_notes):
    if paper is Paper.INDEX_CARD:  # two rows with long notes do not always fit on one
        some_notes = [note.replace("\n", " ")[:8] for note in some_notes]
    number = iter(range(10_000))
    leaves = []
    for n, count in enumerate(counts):
        rows = tuple(
            replace(a_row(i), label=f"{i}", note=some_notes[i % len(some_notes)])
            for i in (next(number) for _ in range(count))
        )
        leaves.append(leaf_of(n, rows, matrix_map(1900, 3 + 11 * n % 40) if n % 3 else None))
    pages = pages_of(a_checklist(*leaves), paper, look)

    sizes = type_sizes(paper, look.is_large)
    labels = [row.label for leaf in leaves for row in leaf.rows]
    assert texts_in(pages, sizes.label) == labels
    assert [len(page.boxes) for page in pages] == [
        sum(text.style == sizes.label for text in page.texts) for page in pages
    ]
    for page in pages:
        assert_within_margins(page, frame_of(paper, look.is_large))
        assert_nothing_overlaps(page)
    least = 1 if paper is Paper.INDEX_CARD and look.is_large else 2  # a card holds two or three
    counted = {f"Leaf {n}": min(count, least) for n, count in enumerate(counts)}
    _assert_no_orphans(pages, counted, sizes)


@pytest.mark.parametrize("is_large", [False, True])
def test_a_map_that_leaves_no_room_for_two_rows_is_cut_and_its_rows_follow_it(is_large):
    """In large print on A5 three strips of a map and two rows are taller than a page."""
    leaves = [
        leaf_of(n, (), matrix_map(1900, 3 + 11 * n % 40) if n % 3 else None) for n in range(7)
    ]
    leaves.append(leaf_of(7, (a_row(0), a_row(1)), matrix_map(1900, 40)))
    pages = pages_of(a_checklist(*leaves), Paper.A5, Look(is_large=is_large))
    sizes = type_sizes(Paper.A5, is_large)

    _assert_no_orphans(pages, {f"Leaf {n}": 2 * (n == 7) for n in range(8)}, sizes)
    strips = [_maps_below(page, "Leaf 7", sizes) for page in pages]
    assert sum(map(bool, strips)) == (2 if is_large else 1)


def test_three_tall_rows_that_no_page_holds_below_their_map_follow_it_together():
    rows = tuple(replace(a_row(i), label=f"{i}", note="a\na\na") for i in range(3))
    leaf = leaf_of(1, rows, matrix_map(1900, 14))
    pages = pages_of(a_checklist(leaf), Paper.A5, Look((ListColumn.NOTE,), is_large=True))
    sizes = type_sizes(Paper.A5, is_large=True)

    assert [texts_in([page], sizes.label) for page in pages if _maps_below(page, "Leaf 1", sizes)]
    assert max(len(texts_in([page], sizes.label)) for page in pages) == 3


def _assert_no_orphans(pages, least, sizes):
    """Every heading, and every page that goes on with a leaf, holds the least of its rows.

    A further page may begin with a leaf's map and hold none of its rows: no page holds both then.
    """
    for at, page in enumerate(pages):
        leaf, rows_here = None, {}
        for text in page.texts:
            if text.style == sizes.group_title:
                leaf = text.text
                rows_here[leaf] = 0
            elif text.style == sizes.label:
                rows_here[leaf] += 1
        for leaf, here in rows_here.items():
            is_map_alone = (
                here == 0 and at > 0 and [*rows_here] == [leaf] and _maps_below(page, leaf, sizes)
            )
            assert here >= least[leaf] or is_map_alone, (leaf, here)


def _maps_below(page, leaf, sizes):
    """How many marks of a leaf's map stand on a page, between its heading and the next one."""
    heads = [text for text in page.texts if text.style == sizes.group_title]
    tops = [text.y for text in heads if text.text == leaf]
    if not tops:
        return 0
    below = min((text.y for text in heads if text.y > tops[0]), default=page.height)
    return sum(
        glyph.diameter == sizes.map_glyph and tops[0] < glyph.y < below for glyph in page.glyphs
    )


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("look", LOOKS)
@pytest.mark.parametrize("name", CASES)
def test_every_case_stays_in_its_margins_and_nothing_overlaps(name, look, paper):
    for page in pages_of(CASES[name](), paper, LOOKS[look]):
        assert_within_margins(page, frame_of(paper, LOOKS[look].is_large))
        assert_nothing_overlaps(page)


@pytest.mark.parametrize("paper", PAPERS)
def test_three_thousand_rows_flow_over_full_pages(paper):
    pages = pages_of(a_checklist(leaf_of(1, rows_of(3000), matrix_map(1900, 100))), paper)
    assert texts_in(pages, LABEL) == [row.label for row in rows_of(3000)]
    assert [page.texts[-1].text for page in pages] == [
        f"page {n} of {len(pages)}" for n in range(1, len(pages) + 1)
    ]
    counts = [len(page.boxes) for page in pages]
    assert set(counts[1:-1]) == {max(counts)}


@pytest.mark.parametrize("paper", PAPERS)
def test_one_row_stands_under_its_heading_on_one_page(paper):
    (page,) = pages_of(a_checklist(leaf_of(1, rows_of(1), matrix_map(1938, 9))), paper)
    assert len(page.boxes) == 1


def test_a_leaf_without_rows_says_so_and_keeps_its_map():
    (page,) = pages_of(a_checklist(leaf_of(1, (), matrix_map(1938, 9))))
    assert "complete at target" in [text.text for text in page.texts]
    assert len(page.glyphs) == 27 + len(LEGEND)
    assert not page.boxes


def test_a_list_without_leaves_says_so():
    (page,) = pages_of(a_checklist())
    assert "nothing to list here" in [text.text for text in page.texts]


def test_legend_date_and_page_number_stand_on_every_page():
    pages = pages_of(a_checklist(leaf_of(1, rows_of(200), None)))
    assert len(pages) > 2
    for number, page in enumerate(pages, 1):
        words = [text.text for text in page.texts]
        assert all(text in words for _, text in LEGEND)
        assert any("25 November 2026" in text for text in words)
        assert words[-1] == f"page {number} of {len(pages)}"
        assert words[-2] == "Harbour Museum coin jar"


def test_the_label_of_an_optional_slot_stands_in_brackets():
    (page,) = pages_of(a_checklist(leaf_of(1, (a_row(0, is_optional=True), a_row(1)), None)))
    assert texts_in([page], LABEL) == ["(1938)", "1938-D"]


def test_an_empty_slot_and_no_target_are_said():
    (page,) = pages_of(
        a_checklist(
            leaf_of(1, (a_row(0, wanted=""), a_row(1, held="VG-8", wanted="F-12")), None),
            counts=(),
        )
    )
    assert texts_in([page], CELL) == ["—", "any", "VG-8", "F-12"]


@pytest.mark.parametrize(("field", "head"), [("held", "holds"), ("wanted", "want")])
def test_a_column_that_no_row_uses_is_left_out(field, head):
    with_it = pages_of(a_checklist(leaf_of(1, rows_of(4), None)))
    without = pages_of(
        a_checklist(leaf_of(1, tuple(a_row(n, **{field: ""}) for n in range(4)), None))
    )
    assert head in [text.text for text in with_it[0].texts]
    assert head not in [text.text for text in without[0].texts]


@pytest.mark.parametrize("paper", PAPERS)
def test_a_note_of_many_pages_is_printed_whole(paper):
    note = " ".join(f"word{n}" for n in range(4000))
    rows = (a_row(0), a_row(1, note=note), a_row(2))
    pages = pages_of(a_checklist(leaf_of(1, rows, None)), paper)
    assert " ".join(texts_in(pages, NOTE)) == note
    assert texts_in(pages, LABEL) == ["1938", "1938-D", "1938-S"]
    for page in pages:
        assert_within_margins(page, frame_of(paper))


def test_a_short_note_stands_beside_its_row_and_a_long_one_below():
    rows = (a_row(0, note="ask"), a_row(1, note="a longer note that needs the room below"))
    (page,) = pages_of(a_checklist(leaf_of(1, rows, None)))
    base = {text.text: text.y for text in page.texts}
    assert base["ask"] == base["1938"]
    assert base["a longer note that needs the room below"] > base["1938-D"]


def test_a_variety_stands_below_its_date():
    (page,) = pages_of(a_checklist(leaf_of(1, (a_row(0, variety="doubled die"),), None)))
    (label,) = (text for text in page.texts if text.style == LABEL)
    (variety,) = (text for text in page.texts if text.style == VARIETY)
    assert (variety.x, variety.text) == (label.x, "doubled die")
    assert variety.y > label.y


def test_the_mintage_is_printed_where_chosen_beside_the_rest_or_below():
    rows = tuple(a_row(n, mintage="1,234,567,890", held="VF-30 details") for n in range(4))
    listing = a_checklist(leaf_of(1, rows, None))
    chosen = Look((*DEFAULT_COLUMNS, ListColumn.MINTAGE))
    wide = pages_of(listing, Paper.A5, chosen)
    narrow = pages_of(listing, Paper.INDEX_CARD, chosen)
    assert "1,234,567,890" in [text.text for text in wide[0].texts]
    assert texts_in(narrow, VARIETY) == ["mintage 1,234,567,890"] * 4
    assert ListColumn.MINTAGE in left_out(listing, Paper.INDEX_CARD, measure, chosen).below
    assert not any("1,234,567,890" in t.text for t in pages_of(listing, Paper.A5)[0].texts)


def test_rows_stand_in_one_column_where_two_are_too_narrow_for_what_was_chosen():
    rows = tuple(a_row(n, mintage="1,234,567,890", held="VF-30 details") for n in range(6))
    listing = a_checklist(leaf_of(1, rows, None))
    for look, columns in ((Look(), 2), (Look((*DEFAULT_COLUMNS, ListColumn.MINTAGE)), 1)):
        (page,) = pages_of(listing, Paper.A4, look)
        assert len({box.x for box in page.boxes}) == columns
    assert "1,234,567,890" in [text.text for text in page.texts]


_HEADS = {
    ListColumn.MINTAGE: "mintage",
    ListColumn.HELD: "holds",
    ListColumn.WANTED: "want",
    ListColumn.PRICE: "pay up to",
    ListColumn.NOTE: "note",
}


@given(looks, st.sampled_from(PAPERS))
def test_a_chosen_column_is_there_or_said_to_be_left_out(look, paper):
    rows = tuple(a_row(n, mintage="12,345,678", held="VG-8", note="ask") for n in range(3))
    listing = a_checklist(leaf_of(1, rows, None))
    missing = left_out(listing, paper, measure, look)
    style = type_sizes(paper, look.is_large).column_head
    heads = texts_in(pages_of(listing, paper, look), style)
    for column, head in _HEADS.items():
        is_missing = column in missing.no_room or column in missing.below
        is_there = head in heads or (column is ListColumn.PRICE and "pay" in heads)
        assert is_there == (column in look.columns and not is_missing), column
    if ListColumn.MINTAGE in missing.below:
        said = "".join(text.text for page in pages_of(listing, paper, look) for text in page.texts)
        assert said.count("12,345,678") == 3
    assert set(missing.not_filled) == {ListColumn.VARIETY} & set(look.columns)


def test_a_column_without_room_is_named():
    rows = tuple(a_row(n, held="VG-8") for n in range(3))
    listing = a_checklist(leaf_of(1, rows, None))
    missing = left_out(listing, Paper.INDEX_CARD, measure, Look(is_large=True))
    assert missing == LeftOut(
        (ListColumn.HELD, ListColumn.PRICE), (ListColumn.NOTE,), (ListColumn.VARIETY,)
    )


def test_columns_switched_off_are_not_printed():
    rows = tuple(a_row(n, note="ask", variety="doubled die", mintage="12") for n in range(3))
    (page,) = pages_of(a_checklist(leaf_of(1, rows, None), counts=()), look=Look(()))
    words = [text.text for text in page.texts]
    assert not {"holds", "want", "pay up to", "note", "ask", "doubled die", "12"} & set(words)
    assert texts_in([page], LABEL) == [row.label for row in rows]


def test_a_spare_shows_grade_and_pieces_and_no_glyph():
    (first, *_) = pages_of(CASES["spares"]())
    words = [text.text for text in first.texts]
    assert {"coin", "grade", "pieces", "ask", "note"} <= set(words)
    assert not first.glyphs


def test_texts_stand_in_reading_order_column_by_column():
    (page,) = pages_of(a_checklist(leaf_of(1, rows_of(5), None)))
    labels = [text for text in page.texts if text.style == LABEL]
    assert [label.text for label in labels] == [row.label for row in rows_of(5)]
    columns = [list(group) for _, group in groupby(labels, key=lambda label: label.x)]
    assert [len(column) for column in columns] == [3, 2]


def test_a_leaf_that_the_next_page_holds_whole_is_not_cut_at_the_end_of_this_one():
    leaves = (leaf_of(1, rows_of(62), None), leaf_of(2, rows_of(20), None))
    first, second = pages_of(a_checklist(*leaves))
    assert (len(first.boxes), len(second.boxes)) == (62, 20)


def test_a_map_taller_than_a_page_goes_on_over_the_next_ones():
    leaf = ChecklistLeaf("Leaf 1", "", running_map(900, 40), rows_of(3))
    pages = pages_of(a_checklist(leaf, counts=()))
    assert len(pages) > 2
    assert sum(len(page.glyphs) for page in pages) == 900 * 40 - 2 + 3
    for page in pages:
        assert_within_margins(page, frame_of(Paper.A4))


heights = st.lists(st.floats(5, 60), min_size=1, max_size=80)


@given(heights, st.floats(130, 700), st.sampled_from([1, 2]))
def test_columns_are_cut_so_that_they_fit_and_leave_no_single_row(some, room, count):
    ends = column_ends(some, room, count)
    starts = [0, *ends[:-1]]
    assert ends == sorted(ends)
    assert len(ends) == count
    assert all(sum(some[a:b]) <= room + 1e-6 for a, b in zip(starts, ends, strict=True))
    assert ends[-1] >= min(2, len(some))
    assert len(some) - ends[-1] != 1 or len(some) == 3


@given(heights)
def test_two_columns_are_as_low_as_can_be(some):
    best = min(max(sum(some[:k]), sum(some[k:])) for k in range(len(some) + 1))
    assert balanced_height(some, 2) == pytest.approx(best, abs=2e-3)


def test_laying_out_needs_no_pdf_library():
    code = (
        "import sys; import core.printing.pages, core.printing.text_runs;"
        " sys.exit(any(m.split('.')[0] in {'reportlab', 'PySide6'} for m in sys.modules))"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
