import pytest

from core.errors import BadEntry
from core.model.issue import (
    Description,
    Issue,
    RollOdds,
    SeriesId,
    Sign,
    Total,
    VarietyId,
)
from tests.builders import (
    DDO_1955,
    RPM_1944,
    WIDE_AM_1998,
    a_description,
    a_variety,
    all_series,
    cents,
    nickels,
    quarters,
    tokens,
)


def named(series, mask) -> list[str]:
    return [f"{i.date}{i.mark}" for i in series.issues_of(mask)]


@pytest.mark.parametrize("series", [*all_series(), tokens()], ids=lambda s: s.id)
def test_issues_are_numbered_by_their_place(series) -> None:
    assert [i.number for i in series.issues] == list(range(len(series.issues)))


def test_an_issue_gives_its_value_of_every_facet() -> None:
    issue = Issue(0, "1960", 1960, "D", "D", "memorial", "bronze", choices=(("date size", "big"),))
    values = [issue.value(f) for f in ("date", "mint", "mark", "design", "composition", "strike")]
    assert values == ["1960", "D", "D", "memorial", "bronze", "circulation"]
    assert issue.value("release") == "banks"
    assert issue.value("date size") == "big"
    assert issue.value("edge") is None


def test_a_description_is_the_same_in_whatever_order_it_is_given() -> None:
    one = Description.of(SeriesId("a"), {"mint": ["S", "D", "S"], "date": "1944", "design": ()})
    two = Description.of(SeriesId("a"), {"date": ("1944",), "mint": ("D", "S")})
    assert one == two
    assert hash(one) == hash(two)
    assert one.values("mint") == ("D", "S")
    assert one.only("date") == "1944"
    assert one.only("mint") is None
    assert one.values("design") == ()


def test_a_facet_can_be_set_and_forgotten() -> None:
    plain = a_description(date="1944")
    minted = plain.with_facet("mint", "D")
    assert minted.only("mint") == "D"
    assert minted.with_facet("mint", ()) == plain
    assert plain.with_facet("mark", "").values("mark") == ("",)


def test_no_letter_is_a_value_and_not_a_gap_in_knowledge() -> None:
    assert named(nickels(), nickels().may_be(a_description(nickels(), date="1942", mark=""))) == [
        "1942"
    ]
    assert named(nickels(), nickels().may_be(a_description(nickels(), date="1942"))) == [
        "1942", "1942D", "1942P", "1942S",
    ]  # fmt: skip


def test_may_be_is_the_issues_that_agree_with_every_facet() -> None:
    series = cents()
    assert named(series, series.may_be(a_description(date=("1944", "1958"), mint=("D", "S")))) == [
        "1944D", "1944S", "1958D",
    ]  # fmt: skip
    assert series.may_be(a_description(nickels(), date="1944")) == 0
    assert series.may_be(Description.of(series.id, {})) == series.everything


def test_a_choice_rules_out_the_issues_that_offer_none() -> None:
    assert cents().may_be(a_description(date="1944", date_size="small")) == 0


def test_matching_gives_the_issues_themselves() -> None:
    assert [i.mint for i in cents().matching(a_description(date="1922"))] == ["D"]


def test_the_shortest_set_of_facts_that_disagree_is_named() -> None:
    series = cents()
    bad = a_description(date="1943", mint="D", composition="bronze", design="wheat")
    assert series.facts_against(bad) == ("composition", "date")
    assert series.facts_against(a_description(date="1950")) == ("date",)
    assert series.facts_against(a_description(date="1943")) == ()


def test_require_returns_a_description_that_some_issue_meets() -> None:
    good = a_description(date="1943", mint="D")
    assert cents().require(good) is good
    with pytest.raises(BadEntry, match="date 1922 and mint P or S"):
        cents().require(a_description(date="1922", mint=("S", "P")))
    with pytest.raises(BadEntry, match="letter none"):
        cents().require(a_description(date="1922", mark=""))


def test_varieties_are_those_known_on_some_of_the_issues() -> None:
    series = cents()
    open_to = series.varieties_open_to(series.may_be(a_description(date="1955")))
    assert [v.id for v in open_to] == [DDO_1955]
    assert series.varieties_open_to(series.may_be(a_description(date="1955", mint="D"))) == ()
    assert series.variety(RPM_1944) is not None
    assert series.variety(VarietyId("none such")) is None


@pytest.mark.parametrize(
    ("odds", "is_main"),
    [
        (RollOdds.FINDABLE, True),
        (RollOdds.POSSIBLE, True),
        (RollOdds.VERY_RARE, False),
        (RollOdds.NOT_IN_ROLLS, False),
    ],
)
def test_main_are_those_that_searchers_do_find(odds, is_main) -> None:
    assert a_variety(WIDE_AM_1998, "wide AM", "design", odds, date="1998").is_main is is_main
    assert Sign("date size", "small", "the date", "level tops", odds).is_main is is_main


def with_figures(series, figures, totals=()):
    """The series with mintages for some issues by number, and totals."""
    from dataclasses import replace

    issues = tuple(replace(i, mintage=figures.get(i.number)) for i in series.issues)
    return replace(series, issues=issues, totals=tuple(totals), _masks={})


def test_a_mintage_is_the_sum_of_its_parts_or_the_total_over_them_or_not_known() -> None:
    series = quarters()
    mask = series.may_be(a_description(series, date="1932"))
    numbers = [i.number for i in series.issues_of(mask)]
    assert with_figures(series, dict(zip(numbers, (5, 6, 7), strict=True))).mintage_of(mask) == (
        18, "",
    )  # fmt: skip
    assert with_figures(series, {numbers[0]: 5}).mintage_of(mask) == (None, "")


def test_a_total_says_of_what_it_is_a_total() -> None:
    series = cents()
    total = Total("1982", "D", 300, "a list", series.designs[0].confidence)
    counted = with_figures(series, {}, [total])
    brass = counted.may_be(a_description(date="1982", mint="D", composition="brass"))
    whole = counted.may_be(a_description(date="1982", mint="D"))
    assert counted.mintage_of(brass) == (300, "of all 1982-D")
    assert counted.mintage_of(whole) == (300, "")
    assert counted.mintage_of(counted.may_be(a_description(date="1982"))) == (None, "")


def test_designs_metals_and_mints_are_found_by_id() -> None:
    series = cents()
    assert series.design("shield").title == "Shield"
    assert series.composition("steel").weight_g == 2.689
    assert series.mint("D").name == "Denver"


def test_dates_come_once_each_with_their_years() -> None:
    assert tokens().dates[0] == ("Tide 9", 1901)
    assert ("1776-1976", 1976) in quarters().dates
    assert len(dict(quarters().dates)) == len(quarters().dates)


def test_a_sign_speaks_of_the_issues_that_have_its_value() -> None:
    series = cents()
    sign = Sign("date size", "small", "date", "tops", RollOdds.FINDABLE, (("date", ("1960",)),))
    assert set(named(series, series.sign_mask(sign))) == {"1960", "1960D"}
    assert len(named(series, series.sign_mask(sign))) == 2
