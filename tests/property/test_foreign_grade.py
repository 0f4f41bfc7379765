"""Any word of any grade table reads back to itself, wherever it is kept or typed."""

from dataclasses import replace
from itertools import pairwise

import hypothesis.strategies as st
from hypothesis import given

from core.app.exchange_cells import grade_texts
from core.app.exchange_cells import read_grade as read_cells
from core.lookup.parse import parse_entry
from core.model.foreign_grade import GradeTable
from core.model.grade import SCALE, STRIKE_WORDS, WORDS, Colour, Grade, parse_grade
from core.model.grade_tables import read_grade_of, shipped_tables
from core.store.mapping import read_grade, write_grade
from tests.builders import a_series

TABLES = st.sampled_from(shipped_tables())
CENTS = a_series()


@st.composite
def grades(draw: st.DrawFn) -> Grade:
    """Any word of any table, with what may stand beside it."""
    table = draw(TABLES)
    spelling = draw(st.sampled_from(sorted(table.index.values(), key=lambda s: s.text)))
    grade = table.grade(spelling)
    strikes = draw(st.sets(st.sampled_from(STRIKE_WORDS), max_size=2))
    return replace(
        grade,
        is_details=draw(st.booleans()),
        colour=draw(st.none() | st.sampled_from(Colour)),
        strike_words=tuple(sorted(strikes)),
    )


@given(grades())
def test_a_grade_reads_back_from_its_own_text_from_the_file_and_from_a_sheet(grade):
    assert read_grade_of(grade.text) == grade
    assert read_grade_of(grade.text.lower()) == grade
    assert read_grade(write_grade(grade)) == grade
    assert read_cells(*grade_texts(grade)) == grade


@given(grades())
def test_an_entry_that_names_the_table_reads_any_of_its_words(grade):
    for line in (f"1941 {grade.text}", f"1941 {grade.table} {grade.short_text}"):
        if not grade.is_proof:
            assert parse_entry(line, [CENTS]).coin.grade == grade


@given(TABLES, st.data())
def test_every_range_lies_on_the_scale_and_is_ordered(table: GradeTable, data):
    spelling = data.draw(st.sampled_from(sorted(table.index.values(), key=lambda s: s.text)))
    assert 1 <= spelling.low <= spelling.high <= 70
    assert {spelling.low, spelling.high} <= set(SCALE)


@given(TABLES)
def test_words_follow_each_other_from_worn_to_new(table: GradeTable):
    steps = [w for w in table.words if w.is_step]
    for lower, higher in pairwise(steps):
        assert lower.high < higher.low, (table.name, lower.word, higher.word)


@given(TABLES, st.data())
def test_a_range_of_two_words_runs_from_the_lower_to_the_higher_and_not_back(table, data):
    steps = [w for w in table.words if w.is_step]
    first, last = data.draw(
        st.tuples(st.integers(0, len(steps) - 1), st.integers(0, len(steps) - 1))
    )
    written = f"{steps[first].word}/{steps[last].word}"
    found = table.find(written)
    if first < last:
        assert found
        assert (found.low, found.high) == (steps[first].low, steps[last].high)
    else:
        assert found is None


ISSUERS = st.sampled_from(sorted({i for t in shipped_tables() for i in t.issuers} | {"Nowhere"}))


@st.composite
def scale_grades(draw: st.DrawFn) -> Grade:
    """Any word or step of the 1–70 scale, with what may stand beside it."""
    word = draw(st.sampled_from(sorted([*WORDS, *SCALE.values(), "PF-65", "PF", "VF-XF"])))
    extras = draw(st.sets(st.sampled_from(["details", "RD", "FS", "FB"]), max_size=2))
    return parse_grade(" ".join([word, *sorted(extras)]))


@given(grades() | scale_grades(), ISSUERS)
def test_a_sheet_keeps_any_grade_on_a_coin_of_any_issuer(grade, issuer):
    assert read_cells(*grade_texts(grade, issuer), issuer) == grade
