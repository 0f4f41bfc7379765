"""Rows of a sheet whose date and mint never went to banks are the coins sold to collectors."""

import pytest

from core.app.exchange_read import SheetDraft, read_sheet
from core.catalogue.load import load_series
from core.lookup.parse import parse_entry
from core.model.issue import Description, Facet, Release, Series, SeriesId, Strike

HALVES = load_series(SeriesId("us-half-kennedy"))
CENTS = load_series(SeriesId("us-cent-lincoln"))
PARKS = load_series(SeriesId("us-quarter-national-parks"))
INVENTIONS = load_series(SeriesId("us-dollar-innovation"))


def read(series: Series, head: str, cells: str) -> SheetDraft:
    return read_sheet(f"{head}\n{cells}\n", [series])


def description_in(draft: SheetDraft) -> Description:
    assert [fault.text for fault in draft.faults] == []
    (row,) = draft.rows
    return row.coin.description


@pytest.mark.parametrize(
    ("series", "cells", "entry", "name"),
    [
        (HALVES, "2005,D", "2005-D", "2005-D"),
        (HALVES, "1970,D", "1970-D", "1970-D"),
        (HALVES, "1987,P", "1987-P", "1987-P"),
        (HALVES, "2005,", "2005", "2005"),
        (CENTS, "2019,W", "2019-W", "2019-W"),
        (PARKS, "2012,S", "2012-S", "2012-S"),
    ],
)
def test_a_row_means_what_the_same_entry_means(series, cells, entry, name):
    draft = read(series, "date,mint", cells)
    found = {(i.date, i.mint, i.design) for i in series.matching(description_in(draft))}
    typed = series.matching(parse_entry(entry, [series]).coin.description)
    assert found == {(i.date, i.mint, i.design) for i in typed}
    assert description_in(draft).only(Facet.RELEASE) == Release.COLLECTORS
    assert description_in(draft).only(Facet.STRIKE) == Strike.CIRCULATION
    assert draft.notes == (f"Line 2: no {name} went to banks: read as the one sold to collectors.",)


def test_other_columns_count_too():
    draft = read(PARKS, "date,mint,design", "2012,S,denali")
    (issue,) = PARKS.matching(description_in(draft))
    assert (issue.mint, issue.design, issue.strike) == ("S", "denali", Strike.CIRCULATION)
    omega = read(CENTS, "date,mint,choices", "2025,D,privy mark=omega")
    assert [i.mintage for i in CENTS.matching(description_in(omega))] == [232]


@pytest.mark.parametrize(
    ("series", "cells"), [(HALVES, "1971,D"), (CENTS, "2025,D"), (PARKS, "2019,W")]
)
def test_where_a_bank_issue_exists_it_is_meant_and_nothing_is_said(series, cells):
    draft = read(series, "date,mint", cells)
    assert description_in(draft).only(Facet.RELEASE) == Release.BANKS
    assert draft.notes == ()


@pytest.mark.parametrize(
    ("head", "cells", "column"),
    [
        ("date,mint", "2005,S", "date"),  # a proof alone
        ("date,mint", "1970,P", "date"),
        ("date,mint,composition", "2005,D,silver", "date"),
        ("date,mint,release", "2005,D,banks", "date"),
        ("date,mint,strike", "2005,D,proof", "mint"),
    ],
)
def test_what_was_not_struck_so_is_refused_as_before(head, cells, column):
    (fault,) = read(HALVES, head, cells).faults
    assert fault.line == 2
    assert fault.column == column


def test_a_row_without_a_date_stays_a_bank_issue():
    draft = read(HALVES, "mint,note", "D,from the jar")
    assert description_in(draft).only(Facet.RELEASE) == Release.BANKS


def test_of_a_series_that_never_went_to_banks_nothing_is_said():
    draft = read(INVENTIONS, "date,mint,design", "2019,D,georgia")
    (issue,) = INVENTIONS.matching(description_in(draft))
    assert issue.release is Release.COLLECTORS
    assert draft.notes == ()
