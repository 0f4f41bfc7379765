"""Which issues exist: mints by year, letters, counts and known gaps, against the trade's record.

Source of the years in which a mint struck none: annual reports of the Director of the Mint, as
the trade's lists give them; where a test rests on something else it says so beside the check.
"""

import pytest

from core.catalogue.load import load_series
from core.model.issue import BANK_ISSUE, Description, SeriesId

CENTS, NICKELS = SeriesId("us-cent-lincoln"), SeriesId("us-nickel-jefferson")
DIMES, QUARTERS = SeriesId("us-dime-roosevelt"), SeriesId("us-quarter-washington")


def for_banks(series_id, **facets):
    series = load_series(series_id)
    return series.matching(Description.of(series_id, {**BANK_ISSUE, **facets}))


def years_of(series_id, mint):
    return {issue.year for issue in for_banks(series_id, mint=mint)}


def span(*pairs):
    return {year for first, last in pairs for year in range(first, last + 1)}


@pytest.mark.parametrize(
    ("series_id", "mint", "years"),
    [
        (CENTS, "P", span((1909, 2025)) - {1922}),
        (CENTS, "D", span((1911, 2025)) - {1921, 1923} - span((1965, 1967))),
        (CENTS, "S", span((1909, 1921), (1923, 1931), (1935, 1955), (1968, 1974))),
        (NICKELS, "P", span((1938, 1967), (1971, 2025))),
        (NICKELS, "D", span((1938, 1964), (1968, 2025))),
        (NICKELS, "S", span((1938, 1949), (1951, 1954), (1968, 1970))),
        (DIMES, "P", span((1946, 2025))),
        (DIMES, "D", span((1946, 1964), (1968, 2025))),
        (DIMES, "S", span((1946, 1955))),
        (DIMES, "W", set()),  # the 1996-W was given in mint sets only
        (QUARTERS, "P", span((1932, 1998)) - {1933, 1975}),
        (QUARTERS, "D", span((1932, 1964), (1968, 1998)) - {1933, 1938, 1975}),
        (QUARTERS, "S", span((1932, 1932), (1935, 1948), (1950, 1954))),
    ],
)
def test_a_mint_struck_for_banks_in_these_years(series_id, mint, years):
    assert years_of(series_id, mint) == years


@pytest.mark.parametrize("mint", ["P", "S"])
def test_no_cent_of_1922_is_regular_but_the_denver_one(mint):
    assert not for_banks(CENTS, date="1922", mint=mint)
    assert [i.mark for i in for_banks(CENTS, date="1922")] == ["D"]


@pytest.mark.parametrize("date", ["1933", "1975"])
def test_no_quarter_bears_this_date(date):
    assert not load_series(QUARTERS).matching(Description.of(QUARTERS, {"date": date}))


@pytest.mark.parametrize("date", ["1950", "1955"])
def test_no_nickel_of_this_date_was_struck_at_san_francisco(date):
    series = load_series(NICKELS)
    assert not series.matching(Description.of(NICKELS, {"date": date, "mint": "S"}))


@pytest.mark.parametrize("year", range(1956, 1968))
def test_no_cent_was_struck_at_san_francisco_from_1956_to_1967(year):
    assert not for_banks(CENTS, date=str(year), mint="S")


@pytest.mark.parametrize("series_id", [CENTS, NICKELS, DIMES, QUARTERS])
@pytest.mark.parametrize("date", ["1965", "1966", "1967"])
def test_1965_to_1967_have_one_issue_without_a_letter(series_id, date):
    # Coinage Act of 1965 (Public Law 89-81), section 204: no mint marks for up to five years.
    (issue,) = for_banks(series_id, date=date)
    assert issue.mark == ""
    assert issue.note == "struck at several mints, none with a letter"


# Philadelphia's letter: on the silver five cents of 1942-1945; on all but the cent from 1980; on
# the cent in 2017 only. Denver and San Francisco always had theirs but in 1965-1967.
# Source: a published overview of US mint marks; the 2017 cent, hobby article of that year.
@pytest.mark.parametrize("series_id", [CENTS, NICKELS, DIMES, QUARTERS])
def test_letters_stand_where_the_mints_put_them(series_id):
    for issue in load_series(series_id).issues:
        is_silver_nickel = (series_id, issue.composition) == (NICKELS, "silver")
        if 1965 <= issue.year <= 1967:
            expected = ""
        elif issue.mint != "P":
            expected = issue.mint
        elif series_id == CENTS:
            expected = "P" if issue.year == 2017 else ""
        else:
            expected = "P" if issue.year >= 1980 or is_silver_nickel else ""
        assert issue.mark == expected, issue


# Set sizes as collectors count them, one coin a date, mint and design: 48 silver dimes, 83 silver
# quarters, 11 wartime silver nickels (common practice); eight nickels of 2004 and 2005 (Club
# members perform nickel search, Numismatic News); eight cents of 2009 (hobby article, 10 March
# 2018); three steel cents (their published total names P, D and S).
@pytest.mark.parametrize(
    ("series_id", "first", "last", "composition", "size"),
    [
        (DIMES, 1946, 1964, "silver", 48),
        (QUARTERS, 1932, 1964, "silver", 83),
        (NICKELS, 1942, 1945, "silver", 11),
        (NICKELS, 2004, 2005, "cupronickel", 8),
        (CENTS, 2009, 2009, "zinc", 8),
        (CENTS, 1943, 1943, "steel", 3),
    ],
)
def test_a_set_has_the_size_that_collectors_know(series_id, first, last, composition, size):
    holes = {
        (i.date, i.mint, i.design)
        for i in for_banks(series_id, composition=composition)
        if first <= i.year <= last
    }
    assert len(holes) == size


def test_1982_has_its_seven_regular_cents():
    # COINage Profile: 1982-D Small Date Bronze, COINage magazine: seven regular combinations; the
    # eighth, a small-date D in copper, is a striking error of which a handful are known.
    found = {
        (i.mint, i.composition, dict(i.choices)["date size"]) for i in for_banks(CENTS, date="1982")
    }
    every = {(m, c, s) for m in "PD" for c in ("brass", "zinc") for s in ("large", "small")}
    assert every - found == {("D", "brass", "small")}
    assert len(found) == 7


def test_the_alloy_of_the_cents_changed_in_these_years():
    # Cent weights and alloy history, collectors' discussion, 13 July 2019.
    alloys = {
        "bronze": span((1909, 1942), (1947, 1962)),
        "steel": {1943},
        "shell-case": span((1944, 1946)),
        "brass": span((1962, 1982)),
        "zinc": span((1982, 2025)),
    }
    for alloy, years in alloys.items():
        assert {i.year for i in for_banks(CENTS, composition=alloy)} == years


@pytest.mark.parametrize(("series_id", "silver"), [(DIMES, "silver"), (QUARTERS, "silver")])
def test_silver_ended_with_the_date_1964(series_id, silver):
    # Coinage Act of 1965 (Public Law 89-81).
    assert max(i.year for i in for_banks(series_id, composition=silver)) == 1964


def test_both_alloys_of_1942_nickels_are_told_by_their_letter():
    # Act of 27 March 1942; the large letter above the dome marked the silver alloy.
    found = {(i.mint, i.mark, i.composition) for i in for_banks(NICKELS, date="1942")}
    assert found == {
        ("P", "", "cupronickel"),
        ("D", "D", "cupronickel"),
        ("P", "P", "silver"),
        ("S", "S", "silver"),
    }


def test_the_bicentennial_quarters_bear_two_dates():
    # Act of 18 October 1973 (Public Law 93-127): dated 1776-1976, struck in 1975 and 1976.
    found = [i for i in load_series(QUARTERS).issues if i.year == 1976]
    assert {i.date for i in found} == {"1776-1976"}
    assert {i.mint for i in found if i.release == "banks"} == {"P", "D"}
    assert {i.composition for i in found if i.mint == "S"} == {"clad", "silver-40"}


def test_spans_are_whole():
    spans = {
        series_id: (load_series(series_id).issues[0].year, load_series(series_id).issues[-1].year)
        for series_id in (CENTS, NICKELS, DIMES, QUARTERS)
    }
    assert spans == {
        CENTS: (1909, 2025),
        NICKELS: (1938, 2025),
        DIMES: (1946, 2025),
        QUARTERS: (1932, 1998),
    }
