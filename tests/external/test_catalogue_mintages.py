"""Single mintages of the shipped series against figures that others published.

Each figure stands beside where it was read; none comes from our own files. Totals stand in
`mintage_sums.py`, and are asked for in `test_library_mintages.py`.
"""

import pytest

from core.catalogue.load import load_series
from core.model.issue import Release, SeriesId, Strike

CENTS, NICKELS = SeriesId("us-cent-lincoln"), SeriesId("us-nickel-jefferson")
DIMES, QUARTERS = SeriesId("us-dime-roosevelt"), SeriesId("us-quarter-washington")


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
