"""Walks every row of the shipped series: sources, words, and what each may not hold."""

import re

import pytest

import resources
from core.catalogue.load import library_ids, library_texts, load_series
from core.model.issue import Confidence, Release, RollOdds, Strike

IDS = library_ids()
REAL = [i for i in IDS if not load_series(i).is_invented]

# Every capital letter in a source belongs to one of these: laws, the mint, printed periodicals and
# their titles, months, mints and names of designs. A name that is not here is somebody's.
MAY_BE_NAMED = {
    *("US", "United", "States", "Mint", "Coin", "Specifications", "U", "S", "C", "Code"),
    *("Coin", "World", "Numismatic", "News", "COINage"),
    *("January", "February", "March", "April", "May", "June", "July", "August", "September"),
    *("October", "November", "December"),
    *("Varieties", "Notebook", "Collectible", "Lincoln", "Profile", "Small", "Date", "Bronze"),
    *("Mirrored", "Field", "Clue", "Club", "Found", "Rolls", "Double", "Circulation", "Hobby"),
    *("The", "Underappreciated", "Roosevelt", "Dime", "Washington"),
    *("P", "D", "W", "AM", "CC", "Act", "Canada", "Canadian", "Circulating"),
    *("Public", "Law", "Coinage", "Council", "Regulation", "EC", "No"),
}


def sourced(series):
    """Everything that carries a source, with a name to show."""
    yield from ((f"issue {i.number}", i) for i in series.issues)
    yield from ((f"total {t.date} {t.mint}", t) for t in series.totals)
    yield from ((f"variety {v.id}", v) for v in series.varieties)
    yield from ((f"sign {s.facet} {s.value}", s) for s in series.signs)
    told = (*series.varieties, *series.signs)
    yield from ((f"marker {m.place}", m) for one in told for m in one.markers if m.source)
    yield from ((f"design {d.id}", d) for d in series.designs)
    yield from ((f"composition {c.id}", c) for c in series.compositions)


def test_the_library_has_the_series_that_it_names():
    assert set(IDS) >= {
        "ca-cent-small",
        "harbour-token",
        "uk-penny-bronze",
        *("us-cent-indian", "us-cent-lincoln"),
        *("us-nickel-liberty", "us-nickel-buffalo", "us-nickel-jefferson"),
        *("us-dime-barber", "us-dime-mercury", "us-dime-roosevelt"),
        *("us-quarter-barber", "us-quarter-washington", "us-quarter-state-territory"),
        *("us-half-barber", "us-half-walking-liberty", "us-half-franklin", "us-half-kennedy"),
        *("us-dollar-morgan", "us-dollar-peace"),
    }
    assert list(IDS) == sorted(IDS)


@pytest.mark.parametrize("series_id", IDS)
def test_every_fact_has_a_source_and_a_confidence(series_id):
    for name, fact in sourced(load_series(series_id)):
        assert fact.source.strip(), name
        assert fact.confidence in Confidence, name


@pytest.mark.parametrize("series_id", IDS)
def test_no_text_holds_an_address(series_id):
    address = re.compile(
        r"://|www\.|\w\.(com|org|net|edu|gov|info|wiki|io|blog|co\.uk)\b", re.IGNORECASE
    )
    for text in library_texts(series_id):
        assert not address.search(text), address.search(text)


@pytest.mark.parametrize("series_id", IDS)
def test_sources_name_nobody_but_laws_the_mint_and_printed_works(series_id):
    series = load_series(series_id)
    for text in [*(fact.source for _, fact in sourced(series)), *series.sources]:
        named = set(re.findall(r"\b[A-Za-z]*[A-Z][A-Za-z]*", text))
        assert named <= MAY_BE_NAMED, (named - MAY_BE_NAMED, text)


@pytest.mark.parametrize("series_id", REAL)
def test_a_mintage_that_is_empty_is_not_called_published_as_a_figure(series_id):
    series = load_series(series_id)
    totals = {(t.date, t.mint) for t in series.totals}
    for issue in series.issues:
        if issue.mintage is None and (issue.date, issue.mint) not in totals:
            assert issue.confidence is Confidence.RECALLED, issue
            assert "not known" in issue.source, issue


@pytest.mark.parametrize("series_id", REAL)
def test_no_shipped_fact_of_a_real_series_is_invented(series_id):
    for name, fact in sourced(load_series(series_id)):
        assert fact.confidence is not Confidence.INVENTED, name
        assert "invented" not in fact.source, name


def test_every_fact_of_the_demo_series_says_that_it_is_invented():
    series = load_series("harbour-token")
    assert series.is_invented
    assert len(series.mints) == 3
    for name, fact in sourced(series):
        assert fact.confidence is Confidence.INVENTED, name
        assert fact.source == "invented for the demo", name


def test_the_invented_era_stands_beside_the_year():
    series = load_series("harbour-token")
    for issue in series.issues:
        era, _, count = issue.date.rpartition(" ")
        assert (era, int(count) + 1909) == ("H.E.", issue.year)


def test_the_invented_mints_did_not_all_strike_in_every_year():
    series = load_series("harbour-token")
    struck = {(i.year, i.mint) for i in series.issues}
    years = {i.year for i in series.issues}
    assert len(years) == 15
    assert any((y, m.id) not in struck for y in years for m in series.mints)


@pytest.mark.parametrize("series_id", IDS)
def test_a_proof_is_for_collectors_only(series_id):
    for issue in load_series(series_id).issues:
        if issue.strike is Strike.PROOF:
            assert issue.release is Release.COLLECTORS, issue


@pytest.mark.parametrize("series_id", REAL)
def test_a_figure_in_a_source_that_is_recalled_is_not_published(series_id):
    for name, fact in sourced(load_series(series_id)):
        if fact.source.startswith("recalled") or "usually printed" in fact.source:
            assert fact.confidence is Confidence.RECALLED, name


@pytest.mark.parametrize("series_id", IDS)
def test_varieties_and_signs_speak_of_issues_and_say_where_and_what(series_id):
    series = load_series(series_id)
    for variety in series.varieties:
        assert series.variety_mask(variety), variety.id
        assert variety.where
        assert variety.look
        assert variety.is_main == (variety.odds in (RollOdds.FINDABLE, RollOdds.POSSIBLE))
    for sign in series.signs:
        assert series.sign_mask(sign), sign
        assert sign.where
        assert sign.look


@pytest.mark.parametrize("series_id", IDS)
def test_a_choice_that_parts_one_date_and_mint_has_signs_to_tell_it(series_id):
    """Whoever must choose between two date sizes is told what to see."""
    series = load_series(series_id)
    for issue in series.issues:
        for name, value in issue.choices:
            if name != "finish":  # proof or reverse proof: plain at a glance
                open_to = series.signs_open_to(1 << issue.number)
                assert [s for s in open_to if (s.facet, s.value) == (name, value)], issue


@pytest.mark.parametrize("series_id", IDS)
def test_files_are_plain_and_end_with_a_line_end(series_id):
    for name in ("series.toml", "issues.csv"):
        content = resources.read_bytes(f"catalogue/{series_id}/{name}")
        assert b"\r" not in content
        assert content.endswith(b"\n")
        assert b" \n" not in content
