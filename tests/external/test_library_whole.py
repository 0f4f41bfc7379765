"""The library as a whole: every series sound, its rows' sources told, its breadth as asked for."""

import re
from pathlib import Path

import pytest

import resources
from core.catalogue.load import check_folder, library_ids, load_series
from core.catalogue.shares import confidence_shares
from core.errors import CatalogueFault
from core.model.issue import Confidence, SeriesId
from tests.cli_material import slotleaf
from tests.external.test_library_mintages import SIZES

FOLDER = Path(resources.__file__).parent / "catalogue"
INVENTED = {"harbour-token"}

# The kinds of series beyond the nineteen with mintages: what shows the breadth, and which do.
BREADTH = {
    "quarters 2010-2025": ("us-quarter-national-parks", "us-quarter-2021-2025"),
    "dollars 1971-2025": (
        *("us-dollar-eisenhower", "us-dollar-small"),
        *("us-dollar-presidential", "us-dollar-innovation"),
    ),
    "Standing Liberty quarters": ("us-quarter-standing-liberty",),
    "Canadian five cents": ("ca-five-cents",),
    "British decimal pennies": ("uk-penny-decimal",),
    "Irish pennies": ("ie-penny",),
    "Australian pennies": ("au-penny",),
    "a euro country with five mint letters": ("de-two-euro",),
    "a Swiss series": ("ch-franc",),
    "a Mexican series": ("mx-twenty-centavos-bronze",),
    "one dated in another calendar": ("jp-hundred-yen",),
}
BEYOND = [SeriesId(name) for names in BREADTH.values() for name in names]


def issues_between(first: int, last: int, names: tuple[str, ...]) -> set[int]:
    """The years of a span of which some of these series have an issue."""
    found = {issue.year for name in names for issue in load_series(SeriesId(name)).issues}
    return found & set(range(first, last + 1))


def test_every_series_passes_its_check():
    """As `slotleaf series check` reads it; the faults of all series at once."""
    faults: list[str] = []
    for series_id in library_ids():
        try:
            checked = check_folder(FOLDER / series_id)
        except CatalogueFault as fault:
            faults += [f"{series_id}: {line}" for line in str(fault).splitlines()]
            continue
        if checked != load_series(series_id):
            faults.append(f"{series_id}: another series than the one that is loaded")
    assert not faults, "\n".join(faults)


def test_a_fault_in_a_series_of_the_library_would_be_told(tmp_path):
    source = FOLDER / "us-dollar-peace"
    for path in source.iterdir():
        (tmp_path / path.name).write_bytes(path.read_bytes())
    rows = tmp_path / "issues.csv"
    rows.write_text(rows.read_text(encoding="utf-8").replace(",1006473,", ",-1,"), encoding="utf-8")
    with pytest.raises(CatalogueFault, match=r"issues\.csv line \d+"):
        check_folder(tmp_path)


def test_the_library_has_the_nineteen_series_and_at_least_eleven_beyond():
    assert {str(i) for i in library_ids()} >= {*SIZES, *BEYOND, *INVENTED}
    assert len(SIZES) == 19
    assert len(set(BEYOND) - set(SIZES)) == len(BEYOND) >= 11


def test_the_series_beyond_are_of_the_kinds_that_they_are_listed_under():
    """What makes them of that kind, asked of the issues themselves."""
    quarters = BREADTH["quarters 2010-2025"]
    assert issues_between(2010, 2025, quarters) == set(range(2010, 2026))
    dollars = BREADTH["dollars 1971-2025"]
    assert (
        not set(range(1971, 2026))
        - issues_between(1971, 2025, dollars)
        - {
            1975,  # dated 1776-1976: Public Law 93-127
            *range(1982, 1999),  # none was struck between the small dollars of 1981 and 1999
        }
    )
    (germany,) = BREADTH["a euro country with five mint letters"]
    assert {i.mark for i in load_series(SeriesId(germany)).issues} == set("ADFGJ")
    (japan,) = BREADTH["one dated in another calendar"]
    assert not [i.date for i in load_series(SeriesId(japan)).issues if str(i.year) in i.date]
    countries = {load_series(name).issuer for name in BEYOND}
    assert {c.partition(",")[0] for c in countries} >= {
        *("United States", "Canada", "United Kingdom", "Ireland", "Australia"),
        *("Germany", "Switzerland", "Mexico", "Japan"),
    }


def test_no_figure_beats_a_recalled_one():
    """A series beyond the nineteen has no mintage, or says that it is recalled."""
    wrong = [
        f"{series_id} {issue.date}-{issue.mint}: {issue.mintage} is {issue.confidence}"
        for series_id in BEYOND
        for issue in load_series(series_id).issues
        if issue.mintage is not None and issue.confidence is not Confidence.RECALLED
    ]
    wrong += [
        f"{series_id} {total.date}-{total.mint}: a total"
        for series_id in BEYOND
        for total in load_series(series_id).totals
        if total.mintage is not None and total.confidence is not Confidence.RECALLED
    ]
    assert not wrong


def test_show_gives_every_rows_source_and_confidence_and_the_share_that_is_recalled():
    for series_id in library_ids():
        series = load_series(series_id)
        shares = confidence_shares(series)
        said = slotleaf("series", "show", series_id)
        assert said.code == 0, series_id
        assert f"  {shares.text}\n" in said.out, series_id
        if shares.recalled:
            assert re.search(r"\d % recalled", said.out), series_id
        rows = slotleaf("series", "show", series_id, "--json").rows
        assert [(row["source"], row["confidence"]) for row in rows] == [
            (issue.source, issue.confidence.value) for issue in series.issues
        ], series_id
        assert all(row["source"].strip() and row["confidence"] for row in rows), series_id


def test_show_says_what_share_of_the_cents_is_recalled_by_its_own_count():
    rows = slotleaf("series", "show", "us-cent-lincoln", "--json").rows
    recalled = sum(row["confidence"] == "recalled" for row in rows)
    said = slotleaf("series", "show", "us-cent-lincoln").out
    told = re.search(r"(\d+) rows: \d+ % published, (\d+) % recalled", said)
    assert told is not None
    assert int(told[1]) == len(rows)
    assert abs(int(told[2]) - 100 * recalled / len(rows)) <= 0.5
