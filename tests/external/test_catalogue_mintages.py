"""Mintages of the shipped series against totals that others published.

Each figure stands beside where it was read; none comes from our own files. A year's total speaks
for every coin in it, also for those whose own figure is only recalled.
"""

import pytest

from core.catalogue.load import load_series
from core.model.issue import Issue, Release, Series, SeriesId, Strike

CENTS, NICKELS = SeriesId("us-cent-lincoln"), SeriesId("us-nickel-jefferson")
DIMES, QUARTERS = SeriesId("us-dime-roosevelt"), SeriesId("us-quarter-washington")


def struck(series: Series, first: int, last: int, composition: str = "") -> list[Issue]:
    """The circulation strikes for banks of a span of years."""
    return [
        i
        for i in series.issues
        if first <= i.year <= last
        and (i.strike, i.release) == (Strike.CIRCULATION, Release.BANKS)
        and composition in ("", i.composition)
    ]


def sum_of(series: Series, issues: list[Issue]) -> tuple[int, set[tuple[str, str]]]:
    """What they add up to, a date and mint that is not split counted once; and the unknown ones."""
    totals = {(t.date, t.mint): t.mintage for t in series.totals}
    figures: dict[tuple[str, str, int], int | None] = {}
    for issue in issues:
        pair = issue.date, issue.mint
        if pair in totals:
            figures[*pair, 0] = totals[pair]
        else:
            figures[*pair, issue.number] = issue.mintage
    unknown = {(date, mint) for (date, mint, _), figure in figures.items() if figure is None}
    return sum(figure or 0 for figure in figures.values()), unknown


REPORT = "US Mint production report for the year, as printed in the trade press"
SPANS = [
    (CENTS, 1943, 1943, "steel", 1_093_838_670, "published total, collectors' site"),
    (NICKELS, 1942, 1945, "silver", 869_896_100, "published total, collectors' site"),
    (NICKELS, 2004, 2005, "", 3_186_240_000, "published total of eight coins, collectors' site"),
    (DIMES, 1946, 1964, "silver", 6_595_617_673, "published total, dealer's list"),
    (CENTS, 2009, 2009, "", 2_354_000_000, "published total, collectors' site"),
    (CENTS, 2010, 2010, "", 4_010_830_000, REPORT),
    (NICKELS, 2010, 2010, "", 490_560_000, REPORT),
    (DIMES, 2010, 2010, "", 1_119_000_000, REPORT),
    (CENTS, 2011, 2011, "", 4_938_540_000, REPORT),
    (NICKELS, 2011, 2011, "", 990_240_000, REPORT),
    (DIMES, 2011, 2011, "", 1_502_000_000, REPORT),
    (CENTS, 2012, 2012, "", 6_015_200_000, REPORT),
    (NICKELS, 2012, 2012, "", 1_023_600_000, REPORT),
    (DIMES, 2012, 2012, "", 1_676_000_000, REPORT),
    (CENTS, 2013, 2013, "", 7_070_000_000, REPORT),
    (NICKELS, 2013, 2013, "", 1_223_040_000, REPORT),
    (DIMES, 2013, 2013, "", 2_112_000_000, REPORT),
    (CENTS, 2014, 2014, "", 8_146_400_000, REPORT),
    (NICKELS, 2014, 2014, "", 1_206_240_000, REPORT),
    (DIMES, 2014, 2014, "", 2_302_500_000, REPORT),
    (CENTS, 2015, 2015, "", 9_365_300_000, REPORT),
    (NICKELS, 2015, 2015, "", 1_599_600_000, REPORT),
    (DIMES, 2015, 2015, "", 3_041_010_000, REPORT),
    (CENTS, 2017, 2017, "", 8_634_020_000, REPORT),
    (NICKELS, 2017, 2017, "", 1_373_280_000, REPORT),
    (DIMES, 2017, 2017, "", 2_728_000_000, REPORT),
    (CENTS, 2018, 2018, "", 7_803_200_000, REPORT),
    (NICKELS, 2018, 2018, "", 1_256_400_000, REPORT),
    (DIMES, 2018, 2018, "", 2_199_000_000, REPORT),
    (NICKELS, 2019, 2019, "", 1_094_894_400, REPORT),
    (CENTS, 2020, 2020, "", 7_596_400_000, REPORT),
    (CENTS, 2021, 2021, "", 7_908_620_000, REPORT),
]


@pytest.mark.parametrize(("series_id", "first", "last", "composition", "total", "source"), SPANS)
def test_a_span_adds_up_to_its_published_total(series_id, first, last, composition, total, source):
    series = load_series(series_id)
    issues = struck(series, first, last, composition)
    assert sum_of(series, issues) == (total, set()), source


# Year totals that include the coins of the proof sets, and the number of those sets.
# 1977-1983: published totals, collectors' forum; 1986-1989: published totals, general value
# articles. The numbers of proof sets: as usually printed in trade guides.
WITH_PROOFS = [
    (1977, 8_667_243_452, 3_251_152),
    (1978, 9_841_966_181, 3_127_781),
    (1979, 10_161_549_429, 3_677_175),
    (1980, 12_558_358_466, 3_554_806),
    (1981, 12_869_048_760, 4_063_083),
    (1982, 16_729_361_847, 3_857_479),
    (1983, 14_222_833_554, 3_279_126),
    (1986, 8_937_272_688, 3_010_497),
    (1987, 9_566_084_173, 4_227_728),
    (1988, 11_349_813_391, 3_262_948),
    (1989, 12_610_222_305, 3_220_194),
]


@pytest.mark.parametrize(("year", "with_proofs", "proof_sets"), WITH_PROOFS)
def test_the_cents_of_a_year_and_its_proof_sets_make_the_published_total(
    year, with_proofs, proof_sets
):
    series = load_series(CENTS)
    assert sum_of(series, struck(series, year, year)) == (with_proofs - proof_sets, set())


def test_the_copper_memorial_cents_make_the_published_total():
    # Published total of the copper-alloy cents 1959-1982, collectors' site: 149,787,716,889. It
    # agrees to the coin where half of the cents of 1982 is counted as copper, as that page seems
    # to do; how they really split is not known.
    series = load_series(CENTS)
    before, unknown = sum_of(series, struck(series, 1959, 1981))
    of_1982, unknown_of_1982 = sum_of(series, struck(series, 1982, 1982))
    assert not unknown | unknown_of_1982
    assert before + of_1982 // 2 == 149_787_716_889


def test_the_silver_quarters_make_the_published_total_but_for_one():
    # Published total 1932-1964, collectors' site: 3,776,126,601. Lists disagree on 1947-D:
    # 15,338,400 or 15,388,000; only the second makes the total, and it is left empty.
    series = load_series(QUARTERS)
    found, unknown = sum_of(series, struck(series, 1932, 1964, "silver"))
    assert unknown == {("1947", "D")}
    assert found == 3_776_126_601 - 15_388_000


# Single figures, each read in a publication that names the date and the mint.
SINGLE = [
    (CENTS, "1914", "D", 1_193_000, "Numismatic News, article on the 1914-D cent"),
    (CENTS, "1910", "S", 6_045_000, "Numismatic News, article on the 1910-S cent"),
    (CENTS, "2019", "P", 3_542_800_000, "Coin World, 2020"),
    (CENTS, "2019", "D", 3_497_600_000, "Coin World, 2020"),
    (NICKELS, "1938", "P", 19_496_000, "COINage magazine, 1938 nickels"),
    (NICKELS, "1938", "D", 5_376_000, "COINage magazine, 1938 nickels"),
    (NICKELS, "1938", "S", 4_105_000, "COINage magazine, 1938 nickels"),
    (NICKELS, "2010", "P", 260_640_000, "Numismatic News, 2011"),
    (NICKELS, "2011", "D", 540_240_000, "Numismatic News, 2012"),
    (NICKELS, "2019", "P", 567_854_400, "Coin World, 2020"),
    (DIMES, "1950", "S", 20_440_000, "Numismatic News, article on the 1950-S dime"),
    (DIMES, "1949", "S", 13_510_000, "Numismatic News, article on the 1949-S dime"),
    (DIMES, "2019", "D", 1_001_500_000, "Coin World, 2020"),
    (QUARTERS, "1932", "P", 5_404_000, "COINage magazine, 1932 quarters"),
    (QUARTERS, "1932", "D", 436_800, "COINage magazine, 1932 quarters"),
    (QUARTERS, "1932", "S", 408_000, "COINage magazine, 1932 quarters"),
    (QUARTERS, "1936", "D", 5_374_000, "Numismatic News, article on the 1936-D quarter"),
    (QUARTERS, "1938", "S", 2_832_000, "Numismatic News, article on the 1938-S quarter"),
]


@pytest.mark.parametrize(("series_id", "date", "mint", "mintage", "source"), SINGLE)
def test_a_figure_agrees_with_what_was_printed(series_id, date, mint, mintage, source):
    series = load_series(series_id)
    found = [
        i.mintage
        for i in series.issues
        if (i.date, i.mint, i.strike) == (date, mint, Strike.CIRCULATION)
        and i.release is Release.BANKS
    ]
    assert found == [mintage], source


@pytest.mark.parametrize("series_id", [CENTS, NICKELS, DIMES])
@pytest.mark.parametrize("year", [2022, 2023, 2024, 2025])
def test_what_is_not_known_by_mint_stays_empty(series_id, year):
    # Only national totals were seen in print for these years.
    assert [i.mintage for i in struck(load_series(series_id), year, year)] == [None, None]
