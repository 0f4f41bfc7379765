"""Whatever rule makes a draft reads back, and a draft of a series is that series."""

from contextlib import suppress
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.catalogue.draft import (
    ALL_MINTS,
    Rule,
    Span,
    check_draft,
    draft_of,
    draft_texts,
    empty_draft,
    exceptions_text,
    generate,
    parse_exceptions,
    pasted,
    rows_from_csv,
    rows_from_text,
)
from core.catalogue.draft_rows import ROW_COLUMNS, DraftRow, DraftTotal
from core.catalogue.load import library_ids, load_series, read_series
from core.errors import BadEntry
from core.model.issue import Composition, Confidence, Design, Mint, SeriesId

MINTS = (Mint("", "home", ""), Mint("N", "North", "N"), Mint("Mo", "Mole", "Mo"))
IDS = tuple(mint.id for mint in MINTS)
DESIGNS = ("gull", "crab")

years = st.integers(1790, 1840)
named = st.sampled_from(["N", "Mo", ALL_MINTS])
exceptions = st.lists(st.tuples(years, named), max_size=6).map(tuple)


@st.composite
def rules(draw: st.DrawFn) -> Rule:
    first, last = sorted((draw(years), draw(years)))
    mints = tuple(draw(st.lists(st.sampled_from(IDS), unique=True, max_size=3)))
    return Rule(first, last, mints, draw(exceptions), draw(exceptions))


def spans(data: st.DataObject, ids: tuple[str, ...]) -> str | list[Span]:
    """One id, or two that follow each other, overlapping by some years."""
    if data.draw(st.booleans()):
        return ids[0]
    change = data.draw(years)
    return [Span(1, change + data.draw(st.integers(0, 3)), ids[0]), Span(change, 9999, ids[1])]


@settings(max_examples=40)
@given(st.data())
def test_a_draft_made_by_a_rule_reads_back_issue_for_issue(data: st.DataObject) -> None:
    rule = data.draw(rules())
    design, metal = spans(data, DESIGNS), spans(data, ("brass", "tin"))
    rows = generate(rule, MINTS, design, metal)
    struck = [(int(row.year), row.mint) for row in rows]
    assert [year for year, _ in struck] == sorted(year for year, _ in struck)
    taken_out = {(y, m) for y, m in rule.without if m != ALL_MINTS}
    put_in = {(y, m) for y, m in rule.plus if m != ALL_MINTS}
    assert put_in <= set(struck)
    back = {y for y, m in rule.plus if m == ALL_MINTS}
    assert {p for p in taken_out - put_in if p[0] not in back}.isdisjoint(struck)
    if not rows:
        return
    told = Confidence.RECALLED
    used = {row.mint for row in rows}
    draft = empty_draft()
    whole = replace(
        draft, id="pier-penny", title="Pier pennies", issuer="Pier", denomination="a penny",
        currency="PIER", face_value="1", rows=rows,
        mints=tuple(mint for mint in MINTS if mint.id in used),
        designs=tuple(
            Design(d, d, source="x", confidence=told)
            for d in DESIGNS if any(row.design == d for row in rows)
        ),
        compositions=tuple(
            Composition(c, c, None, None, None, source="x", confidence=told)
            for c in ("brass", "tin") if any(row.composition == c for row in rows)
        ),
    )  # fmt: skip
    found = check_draft(whole)
    assert found.faults == ()
    assert found.series is not None
    assert draft_of(found.series).rows == rows
    assert read_series(*draft_texts(whole)) == found.series


@given(exceptions)
def test_exceptions_are_read_as_they_are_written(given_: tuple[tuple[int, str], ...]) -> None:
    once = tuple(dict.fromkeys(given_))
    assert parse_exceptions(exceptions_text(once)) == once


@pytest.mark.parametrize("series_id", library_ids())
def test_a_draft_of_a_library_series_is_that_series(series_id: SeriesId) -> None:
    series = load_series(series_id)
    found = check_draft(draft_of(series))
    assert (found.faults, found.series) == ((), series)


cells = st.text(st.characters(exclude_categories=("C", "Z")), min_size=1, max_size=8)


@given(st.lists(st.tuples(cells, cells, cells), min_size=1, max_size=5))
def test_cells_that_are_copied_out_of_a_sheet_come_back_as_they_were(
    rows: list[tuple[str, str, str]],
) -> None:
    plain = [tuple(cell.replace('"', "'") for cell in row) for row in rows]
    head = "\t".join(ROW_COLUMNS[:3])
    text = head + "\n" + "\n".join("\t".join(row) for row in plain) + "\n"
    found = pasted(text)
    assert found.columns == ROW_COLUMNS[:3]
    assert list(found.rows) == plain


typed = st.text(st.characters(), max_size=6) | st.sampled_from(
    ["1901", "N", "gull", "brass", "5", "-1", "a=b", '"', "\r", "\n", "\r\n", ",", "\x00", "\ud800"]
)
rows_typed = st.lists(
    st.builds(DraftRow, *[typed] * 6, choices=typed, mintage=typed, source=typed), max_size=4
)


@settings(max_examples=60)
@given(rows_typed, st.lists(st.builds(DraftTotal, typed, typed, typed), max_size=2), typed, typed)
def test_whatever_is_typed_gives_faults_of_rows_that_are_there_or_a_series(
    rows: list[DraftRow], totals: list[DraftTotal], title: str, figure: str
) -> None:
    draft = replace(
        empty_draft(), title=title, note=title, face_value=figure, diameter_mm=figure,
        rows=tuple(rows), totals=tuple(totals),
    )  # fmt: skip
    found = check_draft(draft)
    assert found.series is None  # its id is missing
    for fault in found.faults:
        many = {"rows": len(rows), "total": len(totals)}.get(fault.where, 1)
        assert fault.row is None or 0 <= fault.row < many
        if fault.where == "rows":
            assert fault.column in ("", *ROW_COLUMNS)


@given(st.text(st.sampled_from("ab1,;\t\"'\r\n\x00 é=datemint"), max_size=60))
def test_whatever_is_pasted_becomes_rows_or_is_refused_in_words(text: str) -> None:
    for read in (pasted, rows_from_text, rows_from_csv):
        with suppress(BadEntry):
            read(text)
