"""Reckoning over searches against statute, textbooks, a Reserve Bank's table, collectors' logs.

`find_observations.csv` holds counts that collectors published; the work each row is from stands in
its column `source`.
"""

import csv
from collections import Counter
from pathlib import Path

import pytest

from core.catalogue.load import load_series
from core.model.issue import Description, SeriesId
from core.model.search import Tally, TallyRule, parse_rule
from core.search.dashboard import Rate, dashboard
from core.search.facts import Seen
from core.search.packaging import default_tallies, packaging
from core.search.rates import Gamma, count_interval, drift, none_seen_limit, share_interval
from core.search.tally import Tallier, by_date
from core.search.weighing import Pile, one_coin, two_metals, weigh
from tests.search_facts import box, campaign, counter

CENTS, NICKELS, BUFFALO = map(
    SeriesId, ("us-cent-lincoln", "us-nickel-jefferson", "us-nickel-buffalo")
)
SERIES = {one: load_series(one) for one in (CENTS, NICKELS, BUFFALO)}
TALLIER = Tallier(SERIES)
COPPER, ZINC = two_metals(SERIES[CENTS])
G_PER_LB = 453.59237  # exact: international pound
ROWS = tuple(
    csv.DictReader(
        Path(__file__).with_name("find_observations.csv").read_text("utf-8").splitlines()
    )
)


# Weighing. 31 U.S.C. 5112(a)(6), United States Code: the one-cent coin weighs 3.11 grams; by
# 5112(c) the Secretary may change its alloy: 2.5 g, Coin Specifications, United States Mint.
# 31 U.S.C. 5113(a): a one-cent coin may be 0.13 gram off; 0.100 g for zinc, cent weights and alloy
# history, collectors' discussion, 13 July 2019.


def test_the_weights_are_those_of_statute_and_mint():
    assert (COPPER.weight_g, COPPER.tolerance_g) == (3.11, 0.13)
    assert (ZINC.weight_g, ZINC.tolerance_g) == (2.5, 0.10)


@pytest.mark.parametrize(
    ("coins", "grams", "copper"),
    [
        (2500, 6555.0, 500),  # 500 × 3.11 + 2000 × 2.5: a fifth is copper
        (2500, 2500 * 3.11, 2500),
        (2500, 2500 * 2.5, 0),
        (50, 50 * 2.5 + 13 * 0.61, 13),
        (412, 1173.6, 235),  # (1173.6 - 412 × 2.5) ÷ 0.61 = 235.4
    ],
)
def test_the_copper_in_a_pile_is_what_the_statutory_weights_make(coins, grams, copper):
    assert weigh(Pile(coins, grams), COPPER, ZINC).count == copper


# 13.78 lb of zinc cents, 50 rolls of 50 (Coin Specifications, United States Mint), are all zinc;
# a full box of copper weighs 2500 × 3.11 g = 17.14 lb.
def test_a_full_box_of_zinc_and_one_of_copper_weigh_what_is_published():
    zinc, copper = 13.77889139 * G_PER_LB, 17.14 * G_PER_LB
    assert weigh(Pile(2500, zinc), COPPER, ZINC).count == 0
    assert weigh(Pile(2500, copper), COPPER, ZINC).between[1] == 2500


# The rule for 1982, from the two tolerances: 2.60 g tops zinc, 2.98 g is the least of copper; what
# lies between needs a second test. Halfway, 2.79 g, is neither.
@pytest.mark.parametrize(
    ("grams", "metals"),
    [
        (2.39, ()), (2.40, (ZINC,)), (2.50, (ZINC,)), (2.60, (ZINC,)), (2.61, ()),
        (2.79, ()), (2.97, ()), (2.98, (COPPER,)), (3.11, (COPPER,)), (3.24, (COPPER,)),
        (3.25, ()),
    ],
)  # fmt: skip
def test_a_1982_cent_is_told_by_weight_outside_the_gap_alone(grams, metals):
    assert one_coin(grams, (COPPER, ZINC), scale_g=0) == metals
    dated = Description.of(CENTS, {**SERIES[CENTS].usual, "date": "1982"})
    struck = {issue.composition for issue in SERIES[CENTS].matching(dated)}
    assert struck == {"brass", "zinc"}  # both of 1982 are there to be told apart


# Gamma–Poisson.


# Johnson, Ott and Dogucu, Bayes Rules!, 2022, chapter 5: gamma(10, 2), then 6, 2, 2, 1 calls.
def test_gamma_10_2_after_four_days_is_gamma_21_6():
    known = Gamma(10, 2).after([6, 2, 2, 1])
    assert (known.shape, known.rate, known.mean) == (21, 6, 3.5)
    assert known.interval(0.95) == pytest.approx((2.16656, 5.14806), rel=1e-4)


# Bayesian compendium, section 1.3: prior 1/theta, observations 20, 24, 23.
def test_the_improper_start_takes_the_counts_as_they_are():
    known = Gamma(0, 0).after([20, 24, 23])
    assert (known.shape, known.rate) == (67, 3)
    assert known.mean == pytest.approx(22.33, abs=0.005)


# Negative-binomial predictive, closed form (5/6)^9, and 1 less the chances of 0 and 1 with 5/7.
def test_the_next_boxes_are_foretold_by_the_negative_binomial():
    known = Gamma(9, 5)
    assert known.at_most(0, 1) == pytest.approx(0.1938066995, abs=1e-9)
    assert 1 - known.at_most(1, 2) == pytest.approx(0.8271419348, abs=1e-9)


# Clopper and Pearson, Biometrika 26, 1934, on the counts of “Club members perform nickel search”,
# Numismatic News (14 members, ten weeks, about 2006): silver, Buffalo or older, S mint; and none
# in a box.
@pytest.mark.parametrize(
    ("count", "of", "interval"),
    [
        (8, 26_800, (0.00012888286, 0.00058809352)),
        (36, 26_800, (0.00094099116, 0.0018591905)),
        (55, 26_800, (0.0015463898, 0.0026704439)),
        (0, 2500, (0.0, 0.0014744637)),
    ],
)
def test_the_interval_of_a_share_is_exact(count, of, interval):
    assert share_interval(count, of, 0.95) == pytest.approx(interval, rel=1e-6)


# The rule of three: Hanley and Lippman-Hand, JAMA 1983; 3 ÷ 2500 = 0.0012.
def test_none_in_a_box_leaves_about_three_of_its_coins():
    assert none_seen_limit(2500, 0.95) == pytest.approx(0.001197575243, rel=1e-6)


# Garwood, Biometrika 28, 1936.
@pytest.mark.parametrize(
    ("count", "interval"), [(0, (0.0, 3.68888)), (8, (3.45383, 15.7632))]
)  # fmt: skip
def test_the_interval_of_a_count_is_exact(count, interval):
    assert count_interval(count, 0.95) == pytest.approx(interval, rel=1e-4)


# New Deposit Option for Coin, Notice 02-12, Federal Reserve Bank of Dallas, 11 March 2002 (the
# quantities of Operating Circular 2): coins a bag, its face value in dollars, its weight in kg.
RESERVE_BANK_BAGS = {
    "US 1c": (5000, 50, 12.5),
    "US 5c": (4000, 200, 20.0),
    "US 10c": (10_000, 1000, 22.68),
    "US 25c": (4000, 1000, 22.68),
    "US 50c": (2000, 1000, 22.68),
    "US $1": (2000, 2000, 16.2),
}


def test_bags_are_those_of_the_reserve_bank():
    faults = []
    for key, (coins, dollars, kilograms) in RESERVE_BANK_BAGS.items():
        one = packaging(key)
        assert one is not None, key
        told = (one.bag, (one.bag or 0) * one.face_minor, (one.bag or 0) * one.coin_mg)
        if told != (coins, dollars * 100, round(kilograms * 1_000_000)):
            faults.append((key, told))
    assert not faults


# The rates that collectors published, from their logs.


def logged(name: str) -> list[dict[str, str]]:
    return [row for row in ROWS if row["set"] == name]


def sighting(series_id: SeriesId, quantity: int, **facets: str | list[str]) -> Seen:
    series = SERIES[series_id]
    one = Description.of(series_id, {**series.usual, **facets})
    mask = series.may_be(one)
    assert mask, facets
    said = f"{facets.get('date')} {facets.get('mint')}"
    return Seen(1, 1, series_id, mask, one, quantity=quantity, said=said)


def cents_of(name: str) -> list[Seen]:
    return [
        sighting(CENTS, int(row["count"]), date=row["date"], mint=row["mint"])
        for row in logged(name)
    ]


def rates(tallies: list[Tally], *boxes) -> dict[str, Rate]:
    return {one.name: one for one in dashboard(TALLIER, tallies, campaign(*boxes)).whole.rates}


# Hobby blog, 16 April 2009: 91 wheat cents in 10,000, the 73 Canadian ones beside them; 22.75 and
# 18 a box.
def test_the_wheat_cents_of_2009_make_22_75_a_box():
    seen = [*cents_of("wheat-list-2009"), counter("foreign", quantity=73)]
    tallies = [one for one in default_tallies() if one.denomination == "US 1c"]
    told = rates(tallies, box(1, seen), box(2), box(3), box(4))
    assert told["Wheat reverse"].count == 91
    assert told["Wheat reverse"].per_box == 22.75
    assert told["Foreign"].per_box == 18.25
    assert told["S mint"].count == 3
    assert told["Copper"].count == 90  # all but the one of 1943


# “What I found in a $25 box of pennies”, CoinWeek, about 2016: 12, 1 in 208.
def test_the_wheat_cents_of_one_box_are_one_in_208():
    (row,) = [r for r in logged("single-samples") if r["count"] == "12"]
    coins = int(row["searched_total"])
    wheat = Tally(1, "US 1c", "wheat", parse_rule("design=wheat|wheat-vdb"))
    told = rates([wheat], box(1, [sighting(CENTS, int(row["count"]), design="wheat")]))
    assert told["wheat"].per_box == 12
    assert round(coins / told["wheat"].count) == 208


# “Club members perform nickel search”, Numismatic News: 26,800 coins, 670 rolls of 40. A box of
# 2,000: 0.597 silver (1 in 3,350), 2.7 Buffalo or older (1 in 744), 29 before 1960, 4.1 with an S.
def test_the_nickels_of_a_club_make_its_rates():
    count = {row["variety"]: int(row["count"]) for row in logged("club-nickel-survey")}
    before_1960 = [issue.date for issue in SERIES[NICKELS].issues if issue.year < 1960]
    seen = {
        "composition=silver": sighting(
            NICKELS, count["wartime silver alloy"], composition="silver"
        ),
        "series=us-nickel-buffalo": sighting(BUFFALO, count["Buffalo type or older"]),
        "years=..1959": sighting(NICKELS, count["dated before 1960"], date=before_1960),
        "mint=S": sighting(NICKELS, count["S mint mark"], mint="S"),
        "counter=foreign": counter("foreign", quantity=count["foreign coin or token"]),
    }
    per_box = {}
    for rule, one in seen.items():  # the club's classes overlap, so each stands alone
        tally = Tally(1, "US 5c", rule, parse_rule(rule))
        boxes = [
            box(n, [one] if n == 1 else [], per_roll=40, denomination="US 5c",
                opened=20 if n == 14 else 50, done=n < 14)
            for n in range(1, 15)
        ]  # fmt: skip
        told = rates([tally], *boxes)[rule]
        assert told.boxes == pytest.approx(670 / 50)
        per_box[rule] = told.per_box
    assert per_box == pytest.approx(
        {
            "composition=silver": 0.5970149254,
            "series=us-nickel-buffalo": 2000 / 744,
            "years=..1959": 0.5820895522 * 50,  # 0.58 a roll
            "mint=S": 4.1,
            "counter=foreign": 22 / 13.4,
        },
        rel=0.003,  # the printed rates are rounded
    )


# Collector's log of copper Memorial cents, about 2015: 1,911, of which 531 are of Denver, 27.8 %.
def test_the_log_of_copper_cents_sums_by_mint_and_date():
    facts = box(1, cents_of("memorial-copper-log"))
    counts = {
        mint: TALLIER.in_box(TallyRule.of(facets={"mint": mint}), facts) for mint in "PDS"
    }  # fmt: skip
    assert counts == {"P": 1362, "D": 531, "S": 18}
    assert counts["D"] / 1911 == pytest.approx(0.2778649922, abs=1e-6)
    assert sum(one.seen for one in by_date(TALLIER, [facts])) == 1911


# Brooklyn Pennies, American Numismatic Society, 2012 to 2013: 223 of 261 without a letter.
def test_the_brooklyn_cents_without_a_letter_are_85_percent():
    count = {
        row["variety"]: (int(row["count"]), int(row["searched_total"]))
        for row in logged("single-samples")
    }
    plain, of = count["without mint mark among pre-1982"]
    assert plain / of == pytest.approx(0.8544061303, abs=1e-6)
    low, high = share_interval(plain, of, 0.95)
    assert low < 0.8544061303 < high


# The same log over the yearly cent mintages of a hobby blog, November 2011: the log of count ÷
# struck rises by 0.0293 a year, standard error 0.0045, Pearson 20.0 on 20 degrees, by iteratively
# reweighted least squares, 1960 to 1981.
def test_the_drift_of_the_copper_log_is_that_worked_out_by_other_means():
    count: Counter[int] = Counter()
    for row in logged("memorial-copper-log"):
        count[int(row["date"])] += int(row["count"])
    struck = {int(row["date"]): int(row["count"]) for row in logged("cent-yearly-mintage")}
    years = range(1960, 1982)
    found = drift(years, [count[y] for y in years], [struck[y] for y in years])
    assert found is not None
    assert found.slope == pytest.approx(0.0293, abs=0.0002)
    assert found.error == pytest.approx(0.0045, abs=0.00005)
    assert found.scatter == pytest.approx(20.0, abs=0.05)
    assert found.freedom == 20
