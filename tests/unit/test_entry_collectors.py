"""Entries whose date and mint never went to banks read as the coins sold to collectors."""

import pytest

from core.catalogue.load import load_series
from core.errors import BadEntry
from core.lookup.parse import parse_entry, readings
from core.model.issue import COLLECTORS_ISSUE, Facet, Release, SeriesId, Strike

KENNEDY = load_series(SeriesId("us-half-kennedy"))
CENTS = load_series(SeriesId("us-cent-lincoln"))
PARKS = load_series(SeriesId("us-quarter-national-parks"))
HALVES = (KENNEDY, CENTS)
NOTE = "no {} went to banks: read as the one sold to collectors"


def issues_of(entry, series=KENNEDY):
    return [(i.date, i.mint, i.strike, i.release)
            for i in series.matching(entry.coin.description)]  # fmt: skip


@pytest.mark.parametrize(
    ("line", "mints", "said"),
    [
        ("2005-D half", "D", NOTE.format("2005-D")),
        ("05d half ms65", "D", NOTE.format("2005-D") + "; read 05 as 2005"),
        ("2005-D half circulation strike", "D", NOTE.format("2005-D")),
        ("1970 half", "D", NOTE.format("1970")),
        ("2005 half", "PD",
         NOTE.format("2005") + "; every 2005 bore a letter: mint not known"),
    ],
)  # fmt: skip
def test_what_never_went_to_banks_is_what_was_sold_to_collectors(line, mints, said) -> None:
    entry = parse_entry(line, HALVES)
    assert entry.said == said
    assert [i[1:] for i in issues_of(entry)] == [
        (mint, Strike.CIRCULATION, Release.COLLECTORS) for mint in mints
    ]


def test_where_a_bank_issue_exists_nothing_changes() -> None:
    entry = parse_entry("1971-D half", HALVES)
    assert (entry.said, entry.coin.description.only(Facet.RELEASE)) == ("", Release.BANKS)
    for line in ("2005-D", "1970-D"):  # the cent went to banks, the half did not
        (entry,) = readings(line, HALVES)
        assert (entry.series, entry.said) == (CENTS.id, "")
        (entry,) = readings(line, HALVES, prefer=KENNEDY.id)
        assert (entry.series, entry.said) == (KENNEDY.id, NOTE.format(line))
    denali = parse_entry("2012-D denali", [PARKS])
    assert denali.coin.description.only(Facet.RELEASE) == Release.BANKS


def test_of_two_dates_that_a_bank_issue_bears_is_meant() -> None:
    """2025-D cents with the privy mark went to collectors, those without to banks."""
    read = {i.release for e in readings("25-d cent", HALVES)
            for i in CENTS.matching(e.coin.description)}  # fmt: skip
    assert read == {Release.BANKS}
    (entry,) = readings("19-W cent", HALVES)
    assert issues_of(entry, CENTS) == [
        ("2019", "W", Strike.CIRCULATION, Release.COLLECTORS)
    ]  # fmt: skip


def test_a_quarter_of_the_parks_is_not_its_proof() -> None:
    entry = parse_entry("2012-S denali quarter", [PARKS])
    (issue,) = PARKS.matching(entry.coin.description)
    assert (issue.strike, issue.mark) == (Strike.CIRCULATION, "S")
    proofs = PARKS.matching(parse_entry("2012-S denali proof", [PARKS]).coin.description)
    assert {i.strike for i in proofs} == {Strike.PROOF}


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("2005-S half", r"no 2005-S was struck for circulation .* Add “proof” if it is one"),
        ("1970-P half", r"no 1970-P was struck"),
        ("2005-D half proof", r"no 2005-D proof was struck"),
        ("2005-D half silver", r"metal silver .* and date 2005"),
        ("2005-D half xyzzy", r"“xyzzy” is not a word known for Kennedy halves"),
    ],
)
def test_what_was_never_struck_so_is_still_refused(line, told) -> None:
    with pytest.raises(BadEntry, match=told):
        parse_entry(line, [KENNEDY])


def test_every_date_and_mint_sold_to_collectors_alone_reads_so() -> None:
    banks = {(i.date, i.mint) for i in KENNEDY.issues if KENNEDY.is_usual(i)}
    alone = [i for i in KENNEDY.issues if KENNEDY.is_for_collectors(i)]
    assert len(alone) == 42
    for issue in alone:
        assert (issue.date, issue.mint) not in banks
        entry = parse_entry(f"{issue.date}-{issue.mark} half", HALVES)
        assert KENNEDY.matching(entry.coin.description) == (issue,)
        for facet, value in COLLECTORS_ISSUE.items():
            assert entry.coin.description.only(facet) == value
