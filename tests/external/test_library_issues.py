"""Which issues of the further series exist: counts, known gaps, letters, designs.

Source of the sizes of complete sets: common practice, as collectors count them. Source of the
years in which a mint struck none: annual reports of the Director of the Mint, as the trade's lists
give them. Where a test rests on something else it says so beside the check.
"""

import pytest

from core.catalogue.load import load_series
from core.model.issue import BANK_ISSUE, Description, Issue, SeriesId, Strike


def for_banks(name: str, **facets: str) -> tuple[Issue, ...]:
    """The circulation strikes for banks that agree."""
    code = SeriesId(name)
    return load_series(code).matching(Description.of(code, {**BANK_ISSUE, **facets}))


def years_of(name: str, mint: str) -> set[int]:
    return {issue.year for issue in for_banks(name, mint=mint)}


def span(*pairs: tuple[int, int]) -> set[int]:
    return {year for first, last in pairs for year in range(first, last + 1)}


@pytest.mark.parametrize(
    ("name", "size"),
    [
        ("us-cent-indian", 54),
        ("us-nickel-liberty", 33),
        ("us-nickel-buffalo", 64),
        ("us-dime-barber", 74),  # without the 24 of San Francisco 1894
        ("us-dime-mercury", 77),
        ("us-quarter-barber", 74),
        ("us-quarter-state-territory", 112),
        ("us-half-barber", 73),
        ("us-half-walking-liberty", 65),
        ("us-half-franklin", 35),
        ("us-dollar-morgan", 97),
        ("us-dollar-peace", 24),
    ],
)
def test_a_complete_set_has_the_size_that_collectors_know(name, size):
    assert len({(i.date, i.mint, i.design, i.composition) for i in for_banks(name)}) == size


@pytest.mark.parametrize(
    ("name", "mint", "years"),
    [
        ("us-cent-indian", "P", span((1859, 1909))),
        ("us-cent-indian", "S", {1908, 1909}),
        ("us-nickel-liberty", "D", {1912}),
        ("us-nickel-liberty", "S", {1912}),
        ("us-nickel-buffalo", "P", span((1913, 1937)) - {1922, 1931, 1932, 1933}),
        ("us-nickel-buffalo", "D", span((1913, 1938)) - {1921, 1922, 1923} - span((1930, 1933))),
        ("us-dime-mercury", "P", span((1916, 1945)) - {1922, 1932, 1933}),
        ("us-half-franklin", "P", span((1948, 1963))),
        ("us-half-franklin", "D", span((1948, 1963)) - {1955, 1956}),
        ("us-half-franklin", "S", {1949} | span((1951, 1954))),
        ("us-dollar-morgan", "CC", span((1878, 1885), (1889, 1893))),
        ("us-dollar-morgan", "O", span((1879, 1904))),
        ("us-dollar-morgan", "D", {1921}),
        ("us-dollar-peace", "P", span((1921, 1928), (1934, 1935))),
        ("us-dollar-peace", "D", {1922, 1923, 1926, 1927, 1934}),
        ("us-half-kennedy", "P", span((1964, 1967), (1971, 2001), (2021, 2025)) - {1975, 1987}),
        ("us-half-kennedy", "D", span((1964, 2001), (2021, 2025)) - {1970, 1975, 1987}
         - span((1965, 1967))),
        ("us-half-kennedy", "S", set()),
        ("uk-penny-bronze", "H", {1912, 1918, 1919}),
        ("uk-penny-bronze", "KN", {1918, 1919}),
    ],
)  # fmt: skip
def test_a_mint_struck_for_banks_in_these_years(name, mint, years):
    assert years_of(name, mint) == years


# Years of which no coin of the series was struck for use, as collectors' lists have them.
@pytest.mark.parametrize(
    ("name", "gaps"),
    [
        ("us-nickel-buffalo", {1922, 1932, 1933}),
        ("us-dime-mercury", {1922, 1932, 1933}),
        ("us-half-walking-liberty", {1922, *span((1924, 1926), (1930, 1932))}),
        ("us-half-kennedy", {1975}),
        ("us-dollar-morgan", span((1905, 1920))),
        ("us-dollar-peace", span((1929, 1933))),
        (
            "uk-penny-bronze",
            {1933, 1952, *span((1923, 1925), (1941, 1943), (1954, 1960))},
        ),
        ("ca-cent-small", set()),
        ("us-quarter-state-territory", set()),
        ("us-cent-indian", set()),
    ],
)
def test_the_known_gaps_are_gaps_and_there_is_no_other(name, gaps):
    struck = {i.year for i in load_series(SeriesId(name)).issues}
    assert set(range(min(struck), max(struck) + 1)) - struck == gaps


def test_four_dates_of_the_walking_half_are_of_san_francisco_alone():
    for date in ("1923", "1927", "1928", "1933"):
        assert [i.mint for i in for_banks("us-half-walking-liberty", date=date)] == ["S"]
    assert {i.mint for i in for_banks("us-half-walking-liberty", date="1929")} == {"D", "S"}


def test_the_last_buffalo_nickel_is_of_denver_alone():
    assert [i.mint for i in for_banks("us-nickel-buffalo", date="1938")] == ["D"]
    assert [i.mint for i in for_banks("us-nickel-buffalo", date="1931")] == ["S"]


# Types of one date: the mound and the line of 1913 (published story of the three-legged nickel);
# V alone and with CENTS of 1883, the letter of 1917 on either side: common practice.
@pytest.mark.parametrize(
    ("name", "date", "mint", "designs"),
    [
        *(("us-nickel-buffalo", "1913", mint, ["mound", "line"]) for mint in "PDS"),
        ("us-nickel-liberty", "1883", "P", ["no-cents", "with-cents"]),
        ("us-half-walking-liberty", "1917", "D", ["obverse-letter", "reverse-letter"]),
        ("us-half-walking-liberty", "1917", "S", ["obverse-letter", "reverse-letter"]),
        ("us-half-walking-liberty", "1917", "P", ["reverse-letter"]),
        ("us-dollar-morgan", "1878", "P", ["eight-feathers", "seven-feathers"]),
        ("us-dollar-morgan", "1878", "CC", ["seven-feathers"]),
        ("ca-cent-small", "1947", "", ["george-6-emperor", "george-6-leaf"]),
    ],
)
def test_a_date_has_the_designs_that_collectors_part(name, date, mint, designs):
    found = [i.design for i in for_banks(name, date=date, mint=mint)]
    assert found == designs


def test_both_alloys_of_the_cents_of_1864_stand_apart():
    # Act of 22 April 1864.
    cents = for_banks("us-cent-indian")
    assert {i.composition for i in cents if i.year < 1864} == {"copper-nickel"}
    assert {i.composition for i in cents if i.year == 1864} == {"copper-nickel", "bronze"}
    assert {i.composition for i in cents if i.year > 1864} == {"bronze"}


def test_there_are_fifty_six_states_and_territories_each_of_two_mints():
    # Public Law 105-124 (fifty states, five a year) and Public Law 110-161 (six of 2009).
    quarters = for_banks("us-quarter-state-territory")
    by_year: dict[int, set[str]] = {}
    for issue in quarters:
        by_year.setdefault(issue.year, set()).add(issue.design)
    assert {year: len(designs) for year, designs in by_year.items()} == {
        **dict.fromkeys(range(1999, 2009), 5),
        2009: 6,
    }
    assert {(i.design, i.mint) for i in quarters} == {
        (d, m) for designs in by_year.values() for d in designs for m in "PD"
    }


# Philadelphia's letter stands on halves and quarters from 1980 on, never before; none of 1965-1967
# bears any: a published overview of US mint marks.
@pytest.mark.parametrize(
    "name",
    [
        *("us-cent-indian", "us-nickel-liberty", "us-nickel-buffalo", "us-dime-barber"),
        *("us-dime-mercury", "us-quarter-barber", "us-quarter-state-territory", "us-half-barber"),
        *("us-half-walking-liberty", "us-half-franklin", "us-half-kennedy"),
        *("us-dollar-morgan", "us-dollar-peace"),
    ],
)
def test_letters_stand_where_the_mints_put_them(name):
    for issue in load_series(SeriesId(name)).issues:
        has_letter = issue.mint != "P" or issue.year >= 1980
        assert issue.mark == (issue.mint if has_letter else ""), issue


@pytest.mark.parametrize("date", ["1965", "1966", "1967"])
def test_1965_to_1967_have_one_half_without_a_letter(date):
    # Coinage Act of 1965 (Public Law 89-81), section 204.
    (issue,) = for_banks("us-half-kennedy", date=date)
    assert (issue.mark, issue.composition) == ("", "silver-40")
    assert issue.note == "struck at several mints, none with a letter"


def test_the_halves_changed_their_alloy_in_these_years():
    # Coin World, 4 December 2011 (40 % silver 1965-1970); 31 U.S.C. 5112(b) (clad thereafter).
    halves = [i for i in load_series(SeriesId("us-half-kennedy")).issues if i.mint in ("P", "D")]
    years = {
        alloy: {i.year for i in halves if i.composition == alloy}
        for alloy in ("silver", "silver-40", "clad")
    }
    assert years["silver"] == {1964}
    assert years["silver-40"] == span((1965, 1970))
    assert years["clad"] == span((1971, 2025)) - {1975}


def test_the_bicentennial_halves_bear_two_dates():
    # Act of 18 October 1973 (Public Law 93-127).
    found = [i for i in load_series(SeriesId("us-half-kennedy")).issues if i.year == 1976]
    assert {(i.date, i.design) for i in found} == {("1776-1976", "hall")}
    assert {i.mint for i in found if i.release == "banks"} == {"P", "D"}


# Canadian one-cent compositions, published tables: the last year of each alloy.
@pytest.mark.parametrize(
    ("alloy", "first", "last"),
    [
        ("bronze-95", 1920, 1941),
        ("bronze-98", 1942, 1979),
        ("bronze-light", 1980, 1981),
        ("bronze-twelve", 1982, 1996),
        ("steel", 2000, 2012),
    ],
)
def test_the_canadian_cents_changed_their_alloy_in_these_years(alloy, first, last):
    assert {i.year for i in for_banks("ca-cent-small", composition=alloy)} == span((first, last))


def test_the_cents_of_1965_have_four_pairings():
    found = [dict(i.choices) for i in for_banks("ca-cent-small", date="1965")]
    assert found == [
        {"beads": beads, "five": five}
        for beads in ("small", "large")
        for five in ("pointed", "blunt")
    ]


# Wording of the table of varieties gathered for the trade: how many of each of these series.
@pytest.mark.parametrize(
    ("name", "ids"),
    [
        (
            "us-nickel-buffalo",
            {
                *("1914-4-over-3", "1916-ddo", "1918-d-8-over-7", "1935-ddr"),
                *("1936-d-three-and-a-half-legs", "1937-d-three-legged", "1938-d-over-s"),
            },
        ),
        ("us-dime-mercury", {"1942-2-over-1", "1942-d-2-over-1", "1945-s-micro-s"}),
        ("us-half-franklin", {"1955-clashed-jaw", "1956-clashed-jaw"}),
        (
            "us-quarter-state-territory",
            {
                *("1999-delaware-die-crack", "2004-d-extra-leaf-high", "2004-d-extra-leaf-low"),
                *("2005-extra-tree", "2005-filled-t", "2009-d-doubled-name"),
            },
        ),
    ],
)
def test_the_varieties_that_the_trade_lists_are_there(name, ids):
    assert {str(v.id) for v in load_series(SeriesId(name)).varieties} == ids


def test_the_special_set_coins_are_neither_proofs_nor_for_banks():
    series = load_series(SeriesId("us-half-kennedy"))
    special = [i for i in series.issues if i.strike is Strike.SPECIMEN]
    assert [(i.date, i.release.value) for i in special] == [
        (date, "collectors") for date in ("1965", "1966", "1967")
    ]
