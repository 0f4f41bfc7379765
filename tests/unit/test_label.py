from dataclasses import replace

import pytest

from core.catalogue.load import load_series
from core.model.arrangement import ShowP
from core.model.coin import Finding
from core.model.issue import Description
from core.model.label import (
    choice_text,
    coin_name,
    describe,
    found_text,
    join_or,
    letter,
    slot_name,
    strike_text,
    what_differs,
)
from tests.builders import DDO_1955, a_coin, a_description, cents, nickels, quarters, tokens


def label(series, show_p=ShowP.AS_ON_COIN, variety="", **facets) -> str:
    return slot_name(series, a_description(series, **facets), variety, show_p)


@pytest.mark.parametrize(
    ("facets", "show_p", "text"),
    [
        ({"date": "1944", "mint": "P"}, ShowP.AS_ON_COIN, "1944"),
        ({"date": "1944", "mint": "P"}, ShowP.NEVER, "1944"),
        ({"date": "1944", "mint": "P"}, ShowP.ALWAYS, "1944-P"),
        ({"date": "1944", "mint": "D"}, ShowP.NEVER, "1944-D"),
        ({"date": "1944", "mint": "D"}, ShowP.AS_ON_COIN, "1944-D"),
        ({"date": "1944", "mint": "D"}, ShowP.ALWAYS, "1944-D"),
        ({"date": "2017", "mint": "P"}, ShowP.AS_ON_COIN, "2017-P"),
        ({"date": "2017", "mint": "P"}, ShowP.NEVER, "2017"),
        ({"date": "1944"}, ShowP.AS_ON_COIN, "1944 any mint"),
        ({"date": "1965"}, ShowP.AS_ON_COIN, "1965"),
        ({"date": "1960", "mint": "D", "date_size": "small"}, ShowP.AS_ON_COIN,
         "1960-D small date"),
        ({"date": "1960", "date_size": "small"}, ShowP.AS_ON_COIN, "1960 any mint small date"),
        ({"date": "1982", "mint": "D", "composition": "zinc"}, ShowP.AS_ON_COIN,
         "1982-D copper-plated zinc"),
        ({"date": "1909", "mint": "S", "design": "wheat-vdb"}, ShowP.AS_ON_COIN,
         "1909-S Wheat ears, with VDB"),
        ({"date": "1970", "mint": "S", "strike": "proof", "release": "collectors"},
         ShowP.AS_ON_COIN, "1970-S proof"),
    ],
)  # fmt: skip
def test_a_slots_label(facets, show_p, text) -> None:
    assert label(cents(), show_p, **facets) == text


def test_a_slot_that_takes_coins_with_and_without_a_letter_shows_none() -> None:
    assert label(nickels(), date="1942", mint="P") == "1942"
    assert label(nickels(), date="1942", mint="P", composition="silver").startswith("1942-P 56 %")
    assert label(nickels(), ShowP.ALWAYS, date="1942", mint="P") == "1942-P"


def test_a_varietys_name_follows() -> None:
    assert label(cents(), variety="wide AM", date="1998", mint="P") == "1998 wide AM"


def test_dates_are_text_as_struck() -> None:
    assert label(quarters(), date="1776-1976", mint="D") == "1776-1976-D"
    assert label(tokens(), date="Tide 9", mint="K") == "Tide 9-K"
    assert label(tokens(), date="Tide 9", mint="H") == "Tide 9"


def test_a_type_slot_reads_by_its_design() -> None:
    assert label(cents(), design="memorial") == "date not known, Memorial"


@pytest.mark.parametrize(
    ("facets", "text"),
    [
        ({"date": "1944", "mint": "D"}, "1944-D"),
        ({"date": "1944", "mint": "P"}, "1944"),
        ({"date": "1944"}, "1944, no letter, D or S?"),
        ({"date": "1944", "mint": ("D", "S")}, "1944, D or S?"),
        ({"date": ("1943", "1944"), "mint": "D"}, "1943 or 1944-D"),
        ({"date": ("1965", "1966", "1967")}, "1965, 1966 or 1967"),
        ({"mint": "S"}, "date not known, S"),
        ({"mint": "P", "design": "wheat"}, "date not known, no letter, Wheat ears"),
        ({"composition": "zinc"}, "date not known, copper-plated zinc"),
        ({"composition": ("zinc", "steel")},
         "date not known, zinc-coated steel or copper-plated zinc"),
        ({"date": "1970", "mint": "S"}, "1970-S"),
        ({"date": "1970", "mint": "S", "date_size": "large"}, "1970-S large date"),
        ({"mint": "S", "strike": "proof", "release": "collectors"},
         "1970, 1982 or 1998-S proof"),
    ],
)  # fmt: skip
def test_a_description_reads_as_collectors_write_it(facets, text) -> None:
    assert describe(cents(), a_description(**facets)) == text


def test_a_coins_name_tells_its_varieties() -> None:
    seen = a_coin("1955", "P").with_finding(DDO_1955, Finding.CONFIRMED)
    assert coin_name(cents(), seen) == "1955 doubled die obverse"
    suspected = seen.with_finding(DDO_1955, Finding.SUSPECTED)
    assert coin_name(cents(), suspected) == "1955 doubled die obverse?"
    assert coin_name(cents(), seen.with_finding(DDO_1955, Finding.RULED_OUT)) == "1955"


def test_varieties_of_one_name_on_several_dates_are_named_once() -> None:
    series = load_series("us-cent-lincoln")
    coin = replace(a_coin("1970", "S"), varieties=())
    for variety in series.varieties:
        if variety.id in ("1970-s-ddo", "1982-ddo"):
            assert variety.name == "doubled die obverse"
            coin = coin.with_finding(variety.id, Finding.SUSPECTED)
    assert len(coin.varieties) == 2
    assert found_text(series, coin) == "doubled die obverse?"


def test_a_description_that_no_issue_meets_reads_fact_by_fact() -> None:
    bad = a_description(date="1944", composition="steel")
    assert describe(cents(), bad) == (
        "composition steel, date 1944, release banks, strike circulation"
    )


def test_metals_of_coins_for_collectors_are_told_apart() -> None:
    silver = a_description(
        quarters(), date="1776-1976", strike="proof", release="collectors",
        composition="silver-clad",
    )  # fmt: skip
    assert describe(quarters(), silver) == "1776-1976-S 40 % silver clad proof"


def test_words_for_what_is_not_an_ordinary_strike() -> None:
    issues = quarters().matching(
        a_description(quarters(), date="1776-1976", mint="S", release="collectors")
    )
    assert strike_text(issues) == ["for collectors"]
    proofs = cents().matching(a_description(date="1970", strike="proof", release="collectors"))
    assert strike_text(proofs) == ["proof"]
    assert strike_text(cents().matching(a_description(date="1944"))) == []


def test_further_rows_are_headed_by_what_differs() -> None:
    def differs(series, variety="", **facets) -> str:
        return what_differs(series, a_description(series, **facets), variety)

    assert differs(cents(), date="1944", mint="D") == ""
    assert differs(cents(), date="1960", mint="D", date_size="small") == "small date"
    assert differs(cents(), "wide AM", date="1998", mint="P") == "wide AM"
    assert differs(nickels(), date="2005", mint="D", design="bison") == "American bison"


def test_small_words() -> None:
    assert [join_or(x) for x in ([], ["P"], ["P", "D"], ["P", "D", "S"])] == [
        "", "P", "P or D", "P, D or S",
    ]  # fmt: skip
    assert choice_text("date size", "small") == "small date"
    assert choice_text("edge", "plain") == "plain edge"
    assert choice_text("reverse", "1940") == "reverse of 1940"
    assert choice_text("finish", "matte") == "matte finish"
    assert choice_text("finish", "reverse proof") == "reverse proof"


def test_a_strike_is_told_once():
    series = load_series("us-cent-lincoln")
    dated = {"date": "2019", "mint": "W"}
    issues = series.matching(Description.of(series.id, dated))
    asked = [{**dated, "strike": i.strike, "finish": str(i.value("finish"))} for i in issues]
    told = {slot_name(series, Description.of(series.id, one)) for one in asked}
    assert told >= {"2019-W proof finish", "2019-W reverse proof"}
    assert not [name for name in told if name.count("proof") > 1]


def test_the_letter_of_an_issue() -> None:
    plain = cents().matching(a_description(date="1944", mint="P"))[0]
    lettered = cents().matching(a_description(date="2017", mint="P"))[0]
    assert [letter(plain, p) for p in ShowP] == ["", "", "P"]
    assert [letter(lettered, p) for p in ShowP] == ["", "P", "P"]
