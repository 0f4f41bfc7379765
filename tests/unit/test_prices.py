"""The price list: which price counts, grades in between, shares, rates, varieties, metals."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest

from core.catalogue.load import load_series
from core.errors import BadEntry
from core.model.coin import Coin, CoinId, Finding, Problem
from core.model.grade import parse_grade
from core.model.issue import BANK_ISSUE, Composition, Description, VarietyId
from core.model.money import read_money
from core.model.prices import (
    UNGRADED,
    Choose,
    Offer,
    OfferId,
    Price,
    PriceId,
    PriceRules,
    Rate,
    SpotPrice,
    Weight,
    read_rate,
    require_offer,
    require_price,
    require_rate,
    require_rules,
)
from core.planning.bullion import Spots, bullion, contents, spots_of
from core.planning.prices import NoPrice, PriceList, Told, in_between, share_of
from tests.builders import DDO_1955, cents

TODAY = date(2026, 3, 2)
RULES = PriceRules("USD", 365)
FIFTEEN = parse_grade("F-15")


def described(date_: str, mint: str = "P", **facets: str) -> Description:
    return Description.of(cents().id, {**BANK_ISSUE, "date": date_, "mint": mint, **facets})


def a_price(minor: int, grade: int = 12, number: int = 1, **changes: object) -> Price:
    plain = Price(PriceId(number), described("1955"), grade, minor, "USD", TODAY, "the fair")
    return replace(plain, **changes)  # type: ignore[arg-type]  # fields by name, in tests only


def a_coin(grade: str = "", **changes: object) -> Coin:
    plain = Coin(CoinId(1), described("1955"), parse_grade(grade) if grade else None)
    return replace(plain, **changes)  # type: ignore[arg-type]  # fields by name, in tests only


def listed(*prices: Price, rules: PriceRules = RULES, rates: tuple[Rate, ...] = ()) -> PriceList:
    return PriceList(prices, TODAY, rates, rules)


def told(prices: PriceList, coin: Coin) -> int | NoPrice:
    found = prices.price(cents(), coin)
    return found.minor if isinstance(found, Told) else found


def test_a_grade_between_two_of_the_list_lies_on_a_log_scale_and_is_marked() -> None:
    prices = listed(a_price(100, 4), a_price(400, 8, 2), a_price(6400, 20, 3))
    assert told(prices, a_coin("g6")) == 200
    between = prices.price(cents(), a_coin("f12"))
    assert isinstance(between, Told)
    assert (between.minor, between.is_between, between.marks) == (1008, True, ("in between",))
    assert (told(prices, a_coin("vg8")), told(prices, a_coin("vf20"))) == (400, 6400)


def test_a_coin_without_a_grade_costs_what_is_said_of_such_a_one_and_lends_no_grade_its_price():
    bare = a_price(50, UNGRADED, 3)
    prices = listed(a_price(100, 4), a_price(400, 8, 2), bare)
    assert (told(prices, a_coin()), told(prices, a_coin("g4"))) == (50, 100)
    assert told(prices, a_coin("ag3")) is NoPrice.BEYOND  # 0 is no grade to reckon from
    assert told(prices, a_coin(problems=(Problem.CLEANED,))) == 25
    assert prices.brings(cents(), a_coin()) == share_of(50, RULES.resale_share)
    assert told(listed(bare), a_coin("g4")) is NoPrice.NOT_LISTED
    any_mint = Description.of(cents().id, {**BANK_ISSUE, "date": "1955"})
    broad = a_price(100, 4, 4, description=any_mint)
    assert told(listed(bare, broad), a_coin("g4")) == 100  # the narrower has no prices by grade
    require_price(bare)
    assert (bare.grade_text, a_price(1).grade_text) == ("no grade", "F-12")
    older = replace(bare, id=PriceId(5), minor=70, day=date(2020, 1, 1))
    assert told(listed(older, bare), a_coin()) == 50
    assert listed(older, bare).is_replaced(older)


def test_nothing_is_said_beyond_the_list_of_no_grade_or_of_other_coins() -> None:
    prices = listed(a_price(100, 4), a_price(400, 8, 2))
    assert told(prices, a_coin("ag3")) is NoPrice.BEYOND
    assert told(prices, a_coin("f12")) is NoPrice.BEYOND
    assert told(prices, a_coin()) is NoPrice.NO_GRADE
    assert told(prices, a_coin("g4", is_genuine=False)) is NoPrice.NOT_GENUINE
    assert told(prices, a_coin("g4", description=described("1955", "D"))) is NoPrice.NOT_LISTED
    either = Description.of(cents().id, {**BANK_ISSUE, "date": "1955", "mint": ["P", "D"]})
    assert told(prices, a_coin("g4", description=either)) is NoPrice.NOT_LISTED


def test_sources_are_kept_apart_and_the_newest_or_the_median_counts() -> None:
    old = date(2025, 12, 1)
    prices = (
        a_price(900, day=old, source="a book"),
        a_price(700, number=2, source="the fair"),
        a_price(100, number=3, day=old, source="the fair"),
        a_price(800, number=4, day=old, source="a friend"),
    )
    assert told(listed(*prices), a_coin("f12")) == 700
    median = replace(RULES, choose=Choose.MEDIAN)
    assert told(listed(*prices, rules=median), a_coin("f12")) == 800
    even = listed(*prices[:2], rules=median)
    assert told(even, a_coin("f12")) == 800
    half = listed(a_price(1, source="a"), a_price(2, number=2, source="b"), rules=median)
    assert told(half, a_coin("f12")) == 2  # 1.5, half to even


def test_old_prices_are_told_and_counted() -> None:
    prices = listed(a_price(100, 4, day=date(2025, 3, 1)), a_price(400, 8, 2))
    found = prices.price(cents(), a_coin("g6"))
    assert isinstance(found, Told)
    assert (found.is_old, prices.old_count) == (True, 1)
    assert found.marks == ("in between", "old, of 2025-03-01")
    older, other = a_price(90, 4, 3, day=date(2025, 2, 1)), a_price(95, 4, 4, source="another")
    replaced = listed(older, a_price(100, 4, day=date(2025, 3, 1)), other)
    assert (replaced.is_replaced(older), replaced.is_replaced(other)) == (True, False)
    assert replaced.old_count == 1  # which has a newer one does not count any more


def test_a_problem_coin_costs_the_share_the_collector_set() -> None:
    prices = listed(a_price(25), rules=replace(RULES, problem_share=30))
    assert told(prices, a_coin("f12", problems=(Problem.BENT,))) == 8  # 7.5, half to even
    assert told(prices, a_coin("f12 details")) == 8
    assert prices.brings(cents(), a_coin("f12")) == 15
    assert prices.brings(cents(), a_coin()) is None


def test_a_variety_takes_its_issues_price_only_when_told_and_never_the_other_way() -> None:
    doubled = a_coin("f12", varieties=((DDO_1955, Finding.CONFIRMED),))
    issue, variety = a_price(100), a_price(90_000, number=2, variety=DDO_1955)
    assert told(listed(issue), doubled) is NoPrice.NOT_LISTED
    lets = replace(RULES, inherits=((cents().id, DDO_1955),))
    found = listed(issue, rules=lets).price(cents(), doubled)
    assert isinstance(found, Told)
    assert (found.minor, found.is_inherited) == (100, True)
    assert found.marks == ("price of the issue",)
    assert told(listed(issue, rules=replace(RULES, inherits_all=True)), doubled) == 100
    higher = a_price(400, 20, 3)
    between = listed(issue, higher, rules=lets).price(cents(), replace(doubled, grade=FIFTEEN))
    assert isinstance(between, Told)
    assert between.marks == ("in between", "price of the issue")
    assert told(listed(issue, variety, rules=lets), doubled) == 90_000
    assert told(listed(variety, rules=lets), a_coin("f12")) is NoPrice.NOT_LISTED
    suspected = a_coin("f12", varieties=((DDO_1955, Finding.SUSPECTED),))
    assert told(listed(issue, variety), suspected) == 100


def test_the_narrowest_price_of_a_coin_counts_and_proofs_are_a_list_of_their_own() -> None:
    both = Description.of(cents().id, {**BANK_ISSUE, "date": "1955"})
    wide = a_price(50, description=both)
    assert told(listed(wide), a_coin("f12")) == 50
    assert told(listed(wide, a_price(70, number=2)), a_coin("f12")) == 70
    proof = a_price(500, 65, is_proof=True)
    assert told(listed(proof), a_coin("ms65")) is NoPrice.NOT_LISTED


def test_rates_turn_amounts_exactly_and_what_has_none_is_left_out_and_named() -> None:
    rates = (Rate("EUR", "USD", "1.08", TODAY), Rate("JPY", "USD", "0.0065", TODAY))
    prices = listed(a_price(1250, currency="EUR"), a_price(9, 20, 2, currency="CHF"), rates=rates)
    assert told(prices, a_coin("f12")) == 1350
    assert [one.currency for one in prices.without_rate] == ["CHF"]
    assert prices.in_base(1000, "JPY") == 650
    assert prices.in_base(25, "EUR") == 27
    assert listed(rates=(Rate("EUR", "USD", "0.5", TODAY),)).in_base(5, "EUR") == 2  # 2.5 to even
    kept_apart = listed(rates=(Rate("EUR", "CHF", "0.9", TODAY),))
    assert kept_apart.in_base(5, "EUR") is None


def test_shares_and_steps_are_whole_minor_units() -> None:
    assert [share_of(minor, 50) for minor in (1, 3, 5)] == [0, 2, 2]
    assert in_between(100, 100, 1, 3) == 100
    assert in_between(10**15, 10**15 + 1, 1, 2) in (10**15, 10**15 + 1)


def test_what_cannot_be_is_refused_in_words() -> None:
    offer = Offer(OfferId(0), described("1955"), 5, "USD", TODAY)
    rate = Rate("EUR", "USD", "1.08", TODAY)
    refused = [
        lambda: require_price(a_price(0)),
        lambda: require_price(a_price(5, grade=5)),
        lambda: require_price(a_price(5, currency="usd")),
        lambda: require_price(a_price(10**16)),
        lambda: require_offer(replace(offer, quantity=0)),
        lambda: require_offer(replace(offer, until=date(2026, 1, 1))),
        lambda: require_rate(replace(rate, base="EUR")),
        lambda: require_rate(replace(rate, per="-1")),
        lambda: require_rules(replace(RULES, problem_share=101)),
        lambda: require_rules(replace(RULES, oldest_days=0)),
        lambda: require_rules(replace(RULES, silver=a_spot(0))),
        lambda: read_rate("1e5"),
        lambda: read_rate("0.00"),
        lambda: read_money("1.234", "USD"),
        lambda: read_money("1.5", "JPY"),
        lambda: read_money("1,000.00", "USD"),
    ]
    for order in refused:
        with pytest.raises(BadEntry):
            order()
    assert (read_rate(" 1,08 "), read_money("12,5", "USD"), read_money("7", "BHD")) == (
        "1.08", 1250, 7000,
    )  # fmt: skip


# ---- metals -----------------------------------------------------------------------------------


SPOTS = Spots(Fraction(3000), Fraction(900))


def a_spot(minor: int, currency: str = "USD", weight: Weight = Weight.OUNCE) -> SpotPrice:
    return SpotPrice(minor, currency, weight, TODAY)


def test_a_spot_price_is_reckoned_from_its_own_currency_and_weight_exactly() -> None:
    rules = PriceRules(silver=a_spot(100_000, "EUR", Weight.KILO), copper=a_spot(28))
    found = spots_of(rules, (Rate("EUR", "USD", "1.08", TODAY),))
    assert found.silver == Fraction(108_000) * Fraction("0.0311034768")
    assert found.copper == Fraction(28) / Fraction("0.0311034768")
    bare = spots_of(rules)
    assert (bare.silver, bare.without_rate, bare.is_any) == (None, ("EUR",), True)
    assert spots_of(PriceRules(silver=a_spot(3000))).silver == 3000


def test_metals_are_read_off_the_compositions_and_cost_what_the_spot_says() -> None:
    dime = load_series("us-dime-mercury")
    silver = dime.composition("silver")
    held = contents(silver)
    assert (held.silver_ozt, held.copper_g) == (Decimal("0.07234"), Decimal("0.25"))
    worth = bullion(dime, silver, SPOTS, 100)
    assert (worth.silver_minor, worth.copper_minor, worth.minor) == (21702, 22, 21724)
    assert "31 CFR 82.1" in worth.caution
    assert bullion(dime, silver, Spots()).minor is None


def test_a_metal_that_is_not_told_is_not_known_and_none_is_worth_nothing() -> None:
    series = load_series("us-cent-lincoln")
    zinc = series.composition("zinc")
    assert contents(zinc).copper_g is None
    assert contents(zinc).silver_ozt == 0
    assert bullion(series, zinc, SPOTS).copper_minor is None
    assert bullion(series, zinc, SPOTS).caution == ""
    bronze = bullion(series, series.composition("bronze"), SPOTS, 1000)
    assert (bronze.copper_minor, bronze.caution != "") == (2659, True)
    bare = Composition("x", "x", 10.0, None, None, "silver 40 %")
    assert contents(bare).silver_ozt == Decimal(4) / Decimal("31.1034768")
    assert contents(replace(bare, sign="white")).silver_ozt is None


def test_varieties_of_other_series_do_not_inherit() -> None:
    rules = replace(RULES, inherits=((cents().id, VarietyId("another")),))
    doubled = a_coin("f12", varieties=((DDO_1955, Finding.CONFIRMED),))
    assert told(listed(a_price(100), rules=rules), doubled) is NoPrice.NOT_LISTED
