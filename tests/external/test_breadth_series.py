"""The further series of the library against facts that a specialist would test.

Beside each fact stands what it rests on: a law by its number, a mint's own account, a printed
work, or "common practice", which every list of the trade has alike.
"""

from pathlib import Path

import pytest

import resources
from core.app.album_view import lay_out
from core.app.exchange_cells import Column
from core.app.exchange_facets import Describer
from core.catalogue.load import check_folder, load_series
from core.cli.albums import read_mints
from core.errors import BadEntry
from core.lookup.parse import parse_entry, readings
from core.model.arrangement import Arrangement
from core.model.issue import BANK_ISSUE, Confidence, Description, Facet, SeriesId
from core.model.label import describe
from core.model.plan_album import AlbumPlan, plan_slots
from tests.cli_material import slotleaf

PARKS, LATER = SeriesId("us-quarter-national-parks"), SeriesId("us-quarter-2021-2025")
STANDING = SeriesId("us-quarter-standing-liberty")
LARGE, SMALL = SeriesId("us-dollar-eisenhower"), SeriesId("us-dollar-small")
PRESIDENTS, INVENTIONS = SeriesId("us-dollar-presidential"), SeriesId("us-dollar-innovation")
CANADA, BRITAIN, IRELAND = map(SeriesId, ("ca-five-cents", "uk-penny-decimal", "ie-penny"))
AUSTRALIA, GERMANY = SeriesId("au-penny"), SeriesId("de-two-euro")
SWITZERLAND, MEXICO = SeriesId("ch-franc"), SeriesId("mx-twenty-centavos-bronze")
JAPAN = SeriesId("jp-hundred-yen")
BREADTH = (
    *(PARKS, LATER, STANDING, LARGE, SMALL, PRESIDENTS, INVENTIONS),
    *(CANADA, BRITAIN, IRELAND, AUSTRALIA, GERMANY, SWITZERLAND, MEXICO, JAPAN),
)
EITHER = {"strike": "circulation"}


def found(series_id, **facets):
    """The issues with these facets, whatever the strike and release."""
    return load_series(series_id).matching(Description.of(series_id, facets))


def for_banks(series_id, **facets):
    return found(series_id, **{**BANK_ISSUE, **facets})


def years(issues):
    return {issue.year for issue in issues}


def span(*pairs):
    return {year for first, last in pairs for year in range(first, last + 1)}


def label_of(series, issue):
    facets = {f.value: issue.value(f) or "" for f in Facet} | dict(issue.choices)
    return describe(series, Description.of(series.id, facets))


@pytest.mark.parametrize("series_id", BREADTH)
def test_a_series_passes_its_check(series_id):
    folder = Path(resources.__file__).parent / "catalogue" / series_id
    assert check_folder(folder) == load_series(series_id)


def test_a_series_says_what_it_leaves_out():
    told = slotleaf("series", "show", "ch-franc").out
    assert "  note: The silver francs to 1967 are not listed. None is dated 1972." in told
    assert "rows: 100 % recalled; 100 % without a figure" in told


@pytest.mark.parametrize("series_id", BREADTH)
def test_no_figure_beats_a_recalled_one(series_id):
    series = load_series(series_id)
    assert series.note
    assert not series.totals
    for issue in series.issues:
        assert issue.mintage is None
        assert issue.confidence is Confidence.RECALLED


@pytest.mark.parametrize("series_id", BREADTH)
def test_each_issues_own_label_reads_back(series_id):
    """As itself alone; “for collectors” leaves the strike open, so there among its like."""
    series = load_series(series_id)
    for issue in series.issues:
        label = label_of(series, issue)
        read = series.may_be(parse_entry(label, [series]).coin.description)
        assert read & 1 << issue.number, label
        if "for collectors" not in label:
            assert read == 1 << issue.number, label


@pytest.mark.parametrize("series_id", BREADTH)
def test_a_new_album_has_a_hole_for_each_date_mint_and_design(series_id):
    series = load_series(series_id)
    usual = {(i.date, i.mint, i.design) for i in series.issues if series.is_usual(i)}
    slots = plan_slots(series, AlbumPlan())
    assert len(slots) == len(usual) == len({slot.label for slot in slots})


# Quarters of the United States


def test_the_parks_are_56_one_for_each_state_district_and_territory():
    # Public Law 110-456: 50 states, the District of Columbia, five territories; five a year.
    series = load_series(PARKS)
    assert len(series.designs) == 56
    by_year = {y: len({i.design for i in series.issues if i.year == y}) for y in range(2010, 2022)}
    assert by_year == {**dict.fromkeys(range(2010, 2021), 5), 2021: 1}


def test_west_point_put_quarters_into_circulation_in_two_years():
    # Common practice: the W quarters of 2019 and 2020, all five designs of each year.
    west = for_banks(PARKS, mint="W")
    assert {(i.year, i.mark) for i in west} == {(2019, "W"), (2020, "W")}
    assert len(west) == 10


def test_san_francisco_struck_park_quarters_for_collectors_only():
    # Common practice: S quarters in rolls and bags from 2012; proofs every year.
    assert not for_banks(PARKS, mint="S")
    assert min(years(found(PARKS, mint="S", **EITHER))) == 2012
    assert years(found(PARKS, mint="S", strike="proof")) == span((2010, 2021))


def test_the_silver_proofs_are_finer_from_2019():
    # Common practice; for 2021, Coin World: both quarters of the set in .999 silver.
    assert years(found(PARKS, composition="silver")) == span((2010, 2018))
    assert years(found(PARKS, composition="fine-silver")) == span((2019, 2021))


def test_the_crossing_and_twenty_women_follow():
    # Public Law 110-456 (the crossing, 2021), Public Law 116-330 (up to five a year, 2022-2025).
    series = load_series(LATER)
    counts = {y: len({i.design for i in series.issues if i.year == y}) for y in range(2021, 2026)}
    assert counts == {2021: 1, **dict.fromkeys(range(2022, 2026), 5)}
    assert {(i.mint, i.mark) for i in for_banks(LATER)} == {("P", "P"), ("D", "D")}


def test_both_types_of_1917_were_struck_at_three_mints():
    # Common practice: type 1 of 1916 and 1917 without stars under the eagle, type 2 from 1917.
    pairs = {(i.mint, i.design) for i in for_banks(STANDING, date="1917")}
    assert pairs == {(m, d) for m in "PDS" for d in ("type-1", "type-2")}
    assert [(i.mint, i.design) for i in for_banks(STANDING, date="1916")] == [("P", "type-1")]


def test_the_set_of_standing_liberty_quarters_has_37_coins():
    # Common practice, without the overdate; none is dated 1922.
    assert len(for_banks(STANDING)) == 37
    assert years(for_banks(STANDING)) == span((1916, 1930)) - {1922}
    assert {i.mint for i in for_banks(STANDING, date="1921")} == {"P"}
    assert {i.mint for i in for_banks(STANDING, date=["1923", "1930"])} == {"P", "S"}


# Dollars of the United States


def test_no_large_dollar_is_dated_1975():
    # Public Law 93-127: the coins of 1975 and 1976 are dated 1776-1976.
    assert years(found(LARGE)) == span((1971, 1974), (1976, 1978))
    assert {i.date for i in found(LARGE) if i.year == 1976} == {"1776-1976"}


def test_the_dollars_of_1973_and_1981_came_in_sets_only():
    # Common practice.
    assert not for_banks(LARGE, date="1973")
    assert {i.mint for i in found(LARGE, date="1973", composition="clad", **EITHER)} == {"P", "D"}
    assert not for_banks(SMALL, date="1981")
    assert {i.mint for i in found(SMALL, date="1981", **EITHER)} == {"P", "D", "S"}


def test_silver_dollars_of_the_seventies_are_from_san_francisco():
    # Public Law 91-607: clad dollars for use, up to 150 million of 40 % silver besides.
    silver = found(LARGE, composition="silver-40")
    assert {i.mint for i in silver} == {"S"}
    assert not for_banks(LARGE, mint="S")


def test_golden_dollars_went_to_banks_in_five_years_only():
    # Encyclopedia article on the golden dollar: circulation 2000-2001 and 2009-2011, else
    # collectors only. Coin World, March 2020: none for circulation since December 2011.
    assert years(for_banks(SMALL, composition="golden")) == {2000, 2001, 2009, 2010, 2011}
    assert years(found(SMALL, composition="golden", **EITHER)) == span((2000, 2025))
    assert years(for_banks(SMALL, composition="clad")) == {1979, 1980, 1999}


def test_four_presidents_a_year_until_three_were_left():
    # Public Law 109-145: in the order of their terms, four a year; 2020 by a later act.
    series = load_series(PRESIDENTS)
    each = {y: len({i.design for i in series.issues if i.year == y}) for y in years(series.issues)}
    assert each == {**dict.fromkeys(range(2007, 2016), 4), 2016: 3, 2020: 1}
    assert max(years(for_banks(PRESIDENTS))) == 2011


def test_four_states_a_year_follow_the_introductory_dollar():
    # Public Law 115-197: the introductory coin of 2018, then four a year in the order of statehood.
    series = load_series(INVENTIONS)
    each = {y: len({i.design for i in series.issues if i.year == y}) for y in years(series.issues)}
    assert each == {2018: 1, **dict.fromkeys(range(2019, 2026), 4)}
    assert not for_banks(INVENTIONS)
    assert [d.title for d in series.designs[1:5]] == [
        "Delaware",
        "Pennsylvania",
        "New Jersey",
        "Georgia",
    ]


def test_a_series_that_never_went_to_banks_is_entered_and_albumed_like_any():
    series = load_series(INVENTIONS)
    entry = parse_entry("2019-D Georgia ms65", [series])
    (issue,) = series.matching(entry.coin.description)
    assert (issue.mint, issue.design, issue.strike) == ("D", "georgia", "circulation")
    assert [slot.label for slot in plan_slots(series, AlbumPlan(years=(2018, 2018)))] == [
        "2018-P",
        "2018-D",
    ]
    cells = {Column.DATE: "2019", Column.MINT: "D", Column.DESIGN: "georgia"}
    assert series.matching(Describer([series]).description(series, cells)) == (issue,)
    proof = parse_entry("2019-S Georgia proof", [series])
    assert [i.strike for i in series.matching(proof.coin.description)] == ["proof"]


# Canada, Britain, Ireland, Australia


def test_the_canadian_five_cents_changed_metal_in_these_years():
    # Encyclopedia article on the Canadian nickel: nickel from 1922; tombac in late 1942 and in
    # 1943; steel 1944-1945 and from 1951 to 1954; nickel again; cupronickel from 1982.
    metals = {
        "nickel": span((1922, 1942), (1946, 1951), (1955, 1981)),
        "tombac": {1942, 1943},
        "steel": {1944, 1945} | span((1951, 1954)),
        "cupronickel": span((1982, 1999)),
    }
    for metal, known in metals.items():
        assert years(for_banks(CANADA, composition=metal)) == known


def test_the_five_cents_of_1947_come_plain_with_a_dot_or_with_a_leaf():
    # Common practice.
    choices = [dict(i.choices)["after the date"] for i in for_banks(CANADA, date="1947")]
    assert choices == ["nothing", "dot", "maple leaf"]


def test_the_new_penny_of_1972_came_in_sets_only():
    # Common practice: 1971 to 1981 NEW PENNY, 1972 as a proof only.
    assert not for_banks(BRITAIN, date="1972")
    assert years(found(BRITAIN, design="new-penny")) == span((1971, 1981))


def test_the_british_penny_is_steel_from_1992_and_a_shield_from_2008():
    # Encyclopedia article on the decimal penny.
    assert years(for_banks(BRITAIN, composition="bronze")) == span((1971, 1991)) - {1972}
    assert years(for_banks(BRITAIN, composition="steel")) == span((1992, 2017))
    assert {i.design for i in for_banks(BRITAIN, date="2008")} == {
        "portcullis-third-portrait",
        "shield-third-portrait",
    }
    assert load_series(BRITAIN).composition("bronze").weight_g == 3.56  # Coinage Act 1971


def test_the_irish_penny_names_the_free_state_until_1937():
    # Encyclopedia article on the Irish penny: Saorstát Éireann 1928-1937, then Éire to 1968.
    assert max(years(for_banks(IRELAND, design="saorstat-eireann"))) == 1937
    assert min(years(for_banks(IRELAND, design="eire"))) == 1940
    assert years(for_banks(IRELAND)) == {
        *(1928, 1931, 1933, 1935, 1937, 1940, 1941, 1942, 1943, 1946, 1948, 1949, 1950, 1952),
        *range(1962, 1969),
    }


def test_australian_pennies_bear_the_marks_of_the_mints_that_helped():
    # Common practice: H of Heaton, I of Calcutta to 1918 and of Bombay in the war, PL of London.
    marked: dict[tuple[str, str], set[int]] = {}
    for issue in load_series(AUSTRALIA).issues:
        if issue.mark not in ("", "dot"):
            marked.setdefault((issue.mint, issue.mark), set()).add(issue.year)
    assert marked == {
        ("H", "H"): {1912, 1915},
        ("C", "I"): {1916, 1917, 1918},
        ("B", "I"): {1942, 1943},
        ("L", "PL"): {1951},
    }


def test_the_pennies_of_1919_to_1936_do_not_tell_their_mint():
    # Royal Australian Mint, on the penny of 1919: dies went to and fro between the branches.
    between = [i for i in load_series(AUSTRALIA).issues if 1919 <= i.year <= 1936]
    assert [(i.year, i.mint, i.mark) for i in between] == [(y, "", "") for y in range(1919, 1937)]
    assert not found(AUSTRALIA, date=["1937", "1954"])


def test_a_letter_of_two_mints_means_the_one_that_struck_that_date():
    series = load_series(AUSTRALIA)
    mints = [
        parse_entry(text, [series]).coin.description.only("mint") for text in ("1917-I", "43i")
    ]
    assert mints == ["C", "B"]


# Germany, Switzerland, Mexico, Japan


def test_german_coins_bear_one_of_five_letters():
    # Common practice: A Berlin, D Munich, F Stuttgart, G Karlsruhe, J Hamburg.
    series = load_series(GERMANY)
    assert [(m.id, m.name) for m in series.mints] == [
        ("A", "Berlin"),
        ("D", "Munich"),
        ("F", "Stuttgart"),
        ("G", "Karlsruhe"),
        ("J", "Hamburg"),
    ]
    designs = {i.design for i in series.issues}
    assert {(i.design, i.mark) for i in for_banks(GERMANY)} == {
        (d, m) for d in designs for m in "ADFGJ"
    }
    assert series.composition("bimetal").weight_g == 8.5  # Council Regulation (EC) No 975/98
    assert series.diameter_mm == 25.75  # the same


def test_the_federal_states_ran_from_2006_to_2022():
    # The Federal Council's own account: 17 coins, Holstentor 2006 to Wartburg 2022.
    dates = years(for_banks(GERMANY))
    assert dates == {2002, *range(2006, 2023)}
    assert [i.design for i in for_banks(GERMANY, date="2006", mint="A")] == ["schleswig-holstein"]


@pytest.mark.parametrize(
    ("text", "mint", "grade"),
    [
        ("2002-A", "A", ""),
        ("2002 f", "F", ""),
        ("2002-A f", "A", "F"),
        ("2002 j g", "J", "G"),
        ("2002 f f", "F", "F"),
        ("2002-g vf20", "G", "VF-20"),
    ],
)
def test_f_and_g_are_letters_alone_and_grades_beside_one(text, mint, grade):
    coin = parse_entry(text, [load_series(GERMANY)]).coin
    assert coin.description.only("mint") == mint
    assert ("" if coin.grade is None else str(coin.grade.text)) == grade


def test_swiss_francs_bear_a_b_but_for_sixteen_years():
    # Common practice: London helped in 1968, without a letter; 1970 to 1985 Bern had none either.
    assert years(for_banks(SWITZERLAND, mark="B")) == {1968, 1969} | span((1986, 1991))
    assert years(for_banks(SWITZERLAND, mark="")) == {1968} | span((1970, 1985)) - {1972}
    assert [i.mint for i in for_banks(SWITZERLAND, mark="", date="1968")] == ["L"]
    assert years(for_banks(SWITZERLAND, design="twenty-three-stars")) == span((1983, 1991))


def test_mexican_bronze_bears_mo_and_changed_its_arms_twice():
    # Common practice: first arms 1943-1955, second 1955-1971, third 1971-1974.
    assert {i.mark for i in for_banks(MEXICO)} == {"Mo"}
    spans = {}
    for design in ("first-arms", "second-arms", "third-arms"):
        dates = years(for_banks(MEXICO, design=design))
        spans[design] = (min(dates), max(dates))
    assert spans == {
        "first-arms": (1943, 1955),
        "second-arms": (1955, 1971),
        "third-arms": (1971, 1974),
    }


def test_the_eras_of_japan_stand_beside_the_years():
    # Common practice: Showa 1 is 1926, Heisei 1 is 1989, Reiwa 1 is 2019; two dates in 2019.
    first = {"昭和": 1926, "平成": 1989, "令和": 2019}
    for issue in load_series(JAPAN).issues:
        era, count = issue.date[:2], issue.date[2:].replace("元", "1")
        assert first[era] + int(count) - 1 == issue.year
    assert [i.date for i in for_banks(JAPAN) if i.year == 2019] == ["平成31", "令和元"]
    assert not found(JAPAN, date="昭和64")


@pytest.mark.parametrize(
    ("text", "date"),
    [
        ("昭和42", "昭和42"),
        ("昭和42年", "昭和42"),
        ("昭和 42", "昭和42"),
        ("1967", "昭和42"),
        ("67", "昭和42"),
        ("s42 vf20", "昭和42"),
        ("Showa 42", "昭和42"),
        ("平成元", "平成元"),
        ("平成1", "平成元"),
        ("平成元年 ms65", "平成元"),
        ("h1", "平成元"),
        ("heisei 31", "平成31"),
        ("R1", "令和元"),
        ("令和4年", "令和4"),
    ],
)
def test_a_date_of_an_era_is_read_however_it_is_written(text, date):
    coin = parse_entry(text, [load_series(JAPAN)]).coin
    assert coin.description.only("date") == date


def test_a_year_of_two_eras_gives_both():
    dates = [e.coin.description.only("date") for e in readings("2019", [load_series(JAPAN)])]
    assert dates == ["平成31", "令和元"]


def test_columns_are_headed_by_the_mint_with_the_mark_it_put():
    series = load_series(AUSTRALIA)
    plan = AlbumPlan(years=(1938, 1951))
    (first, *_) = lay_out(series, plan_slots(series, plan), Arrangement())
    assert first.heads == ("L", "M (no letter)", "P (dot)", "B (I)")


def test_a_mint_without_a_letter_has_its_crosses_and_is_not_any_mint():
    series = load_series(AUSTRALIA)
    plan = AlbumPlan(years=(1917, 1920))
    (leaf,) = lay_out(series, plan_slots(series, plan), Arrangement())
    assert leaf.heads == ("C (I)", "(no letter)")
    assert [[cell.name for cell in row.cells] for row in leaf.rows] == [
        ["1917-I", "1917"],
        ["1918-I", "1918"],
        ["1919-C", "1919"],
        ["1920-C", "1920"],
    ]
    assert [[cell.slot is None for cell in row.cells] for row in leaf.rows] == [
        *[[False, True]] * 2,
        *[[True, False]] * 2,
    ]
    whatever = AlbumPlan(years=(1943, 1943), mints=("any",))
    (leaf,) = lay_out(series, plan_slots(series, whatever), Arrangement())
    assert leaf.heads == ("any mint",)


def test_the_mint_without_a_letter_is_none_on_the_command_line():
    known = [mint.id for mint in load_series(AUSTRALIA).mints]
    assert read_mints("none,m", known) == ("", "M")
    with pytest.raises(BadEntry, match="choose from L, H, C, none, M, P, B"):
        read_mints("x", known)
