"""Mintages of the library against totals and figures that others published.

Each figure stands beside where it was read; none comes from our own files. Where ours and a
published total differ and nobody knows why, the difference itself is held, so that it is seen.
"""

from dataclasses import dataclass, replace
from itertools import product

import pytest

from core.catalogue.load import load_series
from core.model.issue import Issue, Release, Series, SeriesId, Strike
from tests.external.mintage_sums import (
    EQUAL,
    KNOWN_DISCREPANCIES,
    ONLY_NATIONAL,
    REPORT,
    Total,
    added,
)

HALVES = SeriesId("us-half-kennedy")


def business(series: Series, first: int, last: int) -> list[Issue]:
    """The circulation strikes of a span of years, whoever got them."""
    found = series.issues
    return [i for i in found if first <= i.year <= last and i.strike is Strike.CIRCULATION]


def is_paid_out(issue: Issue) -> bool:
    """Whether it was for banks."""
    return issue.release is Release.BANKS


def faults_of(totals: list[Total]) -> list[str]:
    """Each total that our figures do not make, or make with other gaps than it says."""
    faults = []
    for total in totals:
        made, empty = total.ours()
        if (made, empty) != (total.published + total.more, total.empty):
            faults.append(
                f"{total.words}: {total.published:,} ({total.source}); ours make {made:,}, which "
                f"is {made - total.published:,} more, not {total.more:,}; empty: {sorted(empty)}"
            )
    return faults


def test_every_total_that_agrees_still_agrees():
    assert not [t.words for t in EQUAL if t.more or t.empty]
    assert faults_of(EQUAL) == []


def test_every_known_discrepancy_is_as_large_as_we_say():
    assert all(t.more for t in KNOWN_DISCREPANCIES)
    assert faults_of(KNOWN_DISCREPANCIES) == []


def test_a_wrong_figure_is_told():
    (wrong,) = faults_of([replace(EQUAL[0], published=EQUAL[0].published + 1)])
    assert "steel cents of 1943" in wrong
    assert "1,093,838,670" in wrong


def test_no_pairing_of_the_printed_figures_closes_the_barber_quarters():
    # 1892-O, 1903 and 1907, as lists print them: two ways each. Total: dealer's list.
    made, _ = added("us-quarter-barber", 1892, 1916)
    ways = product((2_460_000, 2_640_000), (9_759_309, 9_669_309), (7_132_000, 7_192_000))
    off = [made + sum(way) - 264_670_880 for way in ways]
    assert 0 not in off
    assert min(map(abs, off)) == 88


def test_the_series_itself_tells_the_totals_that_it_does_not_make():
    """So that `series show` and the window show them; each as its number stands here."""
    told = {
        "us-cent-lincoln": "415,314 more",
        "us-half-barber": "560 more",
        "us-dime-mercury": "about 630,000 more",
        "us-dollar-morgan": "50,209 more",
        "us-quarter-washington": "142,132,000 less",
        "us-quarter-barber": "does not close",
    }
    missing = {
        name: words
        for name, words in told.items()
        if not any(words in work for work in load_series(SeriesId(name)).sources)
    }
    assert not missing


def test_what_was_printed_for_the_nation_alone_has_no_figure_by_mint():
    # 2020 and 2021 cents and 2021 and 2022 halves were printed by mint, too.
    for name, (first, last) in ONLY_NATIONAL.items():
        issues = [i for i in business(load_series(SeriesId(name)), first, last) if is_paid_out(i)]
        assert {i.mintage for i in issues} == {None}, name
        assert {(i.year, i.mint) for i in issues} == {
            (year, mint) for year in range(first, last + 1) for mint in "PD"
        }, name


# The sizes of the nineteen lists gathered for the trade: circulation strikes a list, and by how
# many issues ours has more, with the reason.
@dataclass(frozen=True, slots=True)
class Size:
    """How many circulation strikes a list has, and our issues beyond it."""

    listed: int
    more: int = 0
    reason: str = ""


SIZES = {
    "us-cent-lincoln": Size(284, 13, "date sizes of one figure, 2019-W, the omega of 2025"),
    "us-nickel-jefferson": Size(194, 3, "two reverses of 1939, three mints"),
    "us-dime-roosevelt": Size(168),
    "us-quarter-washington": Size(147),
    "us-quarter-state-territory": Size(112),
    "us-nickel-buffalo": Size(64),
    "us-dime-mercury": Size(77),
    "us-half-walking-liberty": Size(65),
    "us-half-franklin": Size(35),
    "us-half-kennedy": Size(117),
    "us-cent-indian": Size(54),
    "us-nickel-liberty": Size(33),
    "us-dime-barber": Size(75),
    "us-quarter-barber": Size(74),
    "us-half-barber": Size(73),
    "us-dollar-peace": Size(24),
    "us-dollar-morgan": Size(97),
    "ca-cent-small": Size(94, 19, "pairings of 1965, two alloys of a date, two designs of a date"),
    "uk-penny-bronze": Size(56),
}


def test_the_nineteen_series_have_as_many_circulation_strikes_as_the_lists():
    wrong = {}
    for name, size in SIZES.items():
        issues = load_series(SeriesId(name)).issues
        found = sum(issue.strike is Strike.CIRCULATION for issue in issues)
        if found != size.listed + size.more:
            wrong[name] = found
    assert len(SIZES) == 19
    assert not wrong
    assert all(bool(size.more) == bool(size.reason) for size in SIZES.values())


# Doubtful figures that two lists print differently, or that nobody gave split: they stay empty.
@pytest.mark.parametrize(
    ("name", "first", "last", "empty"),
    [
        ("us-quarter-barber", 1892, 1916, {("1892", "O"), ("1903", "P"), ("1907", "P")}),
        ("us-half-kennedy", 1986, 1986, {("1986", "D")}),
        ("us-half-kennedy", 2023, 2025, {(str(y), m) for y in (2023, 2024, 2025) for m in "PD"}),
        (
            "uk-penny-bronze",
            1902,
            1967,
            {(year, mint) for year in ("1918", "1919") for mint in ("H", "KN")}
            | {(year, "") for year in ("1937", "1962", "1963", "1967")},
        ),
    ],
)
def test_what_lists_disagree_on_stays_empty(name, first, last, empty):
    assert added(name, first, last)[1] == empty


def test_the_split_of_the_dollars_of_1878_is_not_given_as_known():
    # Encyclopedia of US silver dollars: 10,510,300 in all; the split by tail feathers is estimated.
    series = load_series(SeriesId("us-dollar-morgan"))
    found = [i for i in business(series, 1878, 1878) if i.mint == "P"]
    assert [i.mintage for i in found] == [None, None]
    assert [(t.date, t.mint, t.mintage) for t in series.totals] == [("1878", "P", 10_510_300)]


SINGLE = [
    ("us-dime-mercury", "1916", "P", 22_180_080, "COINage magazine, profile of the 1916-D dime"),
    ("us-dime-mercury", "1916", "D", 264_000, "COINage magazine, profile of the 1916-D dime"),
    ("us-dime-mercury", "1916", "S", 10_450_000, "COINage magazine, profile of the 1916-D dime"),
    ("us-dime-barber", "1894", "S", 24, "encyclopedia article on the silver coins of 1892-1916"),
    ("us-half-walking-liberty", "1921", "D", 208_000, "encyclopedia article; collectors' site"),
    ("us-half-kennedy", "1964", "D", 156_205_446, "two tables, which agree"),
    ("us-half-kennedy", "2012", "P", 1_800_000, REPORT),
    ("us-nickel-buffalo", "1926", "S", 970_000, "collectors' site; general site"),
    ("us-nickel-liberty", "1885", "P", 1_472_700, "trade column, 25 January 2013"),
    ("us-dollar-morgan", "1878", "CC", 2_212_000, "encyclopedia of US silver dollars"),
    ("us-dollar-morgan", "1889", "CC", 350_000, "reader guide; collectors' site"),
    ("us-dollar-morgan", "1893", "S", 100_000, "reader guide; collectors' site"),
    ("us-dollar-morgan", "1880", "CC", 591_000, "trade press article, official figure"),
    ("us-dollar-peace", "1921", "P", 1_006_473, "collectors' site; dealer's list"),
    ("us-dollar-peace", "1928", "P", 360_649, "collectors' site; dealer's list"),
    ("us-cent-indian", "1877", "P", 852_500, "collectors' site"),
    ("us-cent-indian", "1909", "S", 309_000, "collectors' site"),
    ("ca-cent-small", "1920", "", 15_483_923, "general article on the small cent of Canada"),
    ("uk-penny-bronze", "1950", "", 240_000, "forum discussion, 2025"),
]


@pytest.mark.parametrize(("name", "date", "mint", "mintage", "source"), SINGLE)
def test_a_figure_agrees_with_what_was_printed(name, date, mint, mintage, source):
    series = load_series(SeriesId(name))
    found = [
        i.mintage
        for i in series.issues
        if (i.date, i.mint, i.strike) == (date, mint, Strike.CIRCULATION)
    ]
    assert found == [mintage], source


def test_halves_for_collectors_keep_their_figures():
    # Circulating production rises, Coin World, about 2011: none paid out since 2002; both 1970-D
    # and 1987 came in sets only, published articles on the halves.
    series = load_series(HALVES)
    for_collectors = {
        i.year for i in business(series, 1964, 2025) if i.release is Release.COLLECTORS
    }
    assert for_collectors == {1970, 1976, 1987, *range(2002, 2021)}
    assert {i.mint for i in business(series, 1970, 1970)} == {"D"}
