"""Weights, diameters, tolerances and silver of the further series against statute and mint."""

import pytest

from core.catalogue.load import load_series
from core.model.issue import Composition, SeriesId
from tests.external.test_catalogue_metals import G_PER_GRAIN, G_PER_TROY_OUNCE, MM_PER_INCH


def metal(name: str, composition: str) -> Composition:
    return load_series(SeriesId(name)).composition(composition)


# 31 U.S.C. 5112(a)(2)-(3), United States Code: half dollar 1.205 inch and 11.34 grams, quarter
# dollar 0.955 inch and 5.67 grams.
@pytest.mark.parametrize(
    ("name", "inches", "grams"),
    [("us-half-kennedy", 1.205, 11.34), ("us-quarter-state-territory", 0.955, 5.67)],
)
def test_diameter_and_weight_are_those_of_the_statute(name, inches, grams):
    diameter_mm = load_series(SeriesId(name)).diameter_mm
    assert diameter_mm == pytest.approx(inches * MM_PER_INCH, abs=0.005)
    assert metal(name, "clad").weight_g == grams


# Diameters in millimetres. US coins: United States Mint coin sizes, encyclopedia article, and
# tables of US silver coins; the Canadian cent: published table of its compositions.
@pytest.mark.parametrize(
    ("name", "mm"),
    [
        ("us-cent-indian", 19.05),
        ("us-nickel-liberty", 21.2),
        ("us-nickel-buffalo", 21.2),
        ("us-dime-barber", 17.9),
        ("us-dime-mercury", 17.9),
        ("us-quarter-barber", 24.3),
        ("us-half-walking-liberty", 30.6),
        ("us-half-franklin", 30.6),
        ("us-dollar-morgan", 38.1),
        ("us-dollar-peace", 38.1),
        ("ca-cent-small", 19.05),
    ],
)
def test_diameter_is_the_published_one(name, mm):
    assert load_series(SeriesId(name)).diameter_mm == mm


# The older statutes, in the units in which they were passed.
@pytest.mark.parametrize(
    ("name", "composition", "grams", "statute"),
    [
        ("us-cent-indian", "copper-nickel", 72 * G_PER_GRAIN, "Act of 21 February 1857: 72 grains"),
        ("us-cent-indian", "bronze", 48 * G_PER_GRAIN, "Act of 22 April 1864: 48 grains"),
        ("us-nickel-liberty", "cupronickel", 77.16 * G_PER_GRAIN, "Act of 16 May 1866"),
        ("us-nickel-buffalo", "cupronickel", 77.16 * G_PER_GRAIN, "Act of 16 May 1866"),
        ("us-dime-barber", "silver", 12.5 / 5, "Act of 12 February 1873: a fifth of 12.5 grams"),
        ("us-dime-mercury", "silver", 12.5 / 5, "Act of 12 February 1873"),
        ("us-quarter-barber", "silver", 12.5 / 2, "Act of 12 February 1873: half of 12.5 grams"),
        ("us-half-barber", "silver", 12.5, "Act of 12 February 1873: 12.5 grams"),
        ("us-half-walking-liberty", "silver", 12.5, "Act of 12 February 1873"),
        ("us-half-franklin", "silver", 12.5, "Act of 12 February 1873"),
        ("us-half-kennedy", "silver", 12.5, "Act of 12 February 1873"),
        ("us-dollar-morgan", "silver", 412.5 * G_PER_GRAIN, "Act of 28 February 1878: 412½ grains"),
        ("us-dollar-peace", "silver", 412.5 * G_PER_GRAIN, "Act of 28 February 1878: 412½ grains"),
    ],
)
def test_weight_is_that_of_the_older_statute(name, composition, grams, statute):
    assert metal(name, composition).weight_g == pytest.approx(grams, abs=0.005), statute


# 31 U.S.C. 5113(a), United States Code: five-cent coin 0.194 gram, one-cent coin 0.13 gram.
@pytest.mark.parametrize(
    ("name", "composition", "grams"),
    [
        ("us-nickel-liberty", "cupronickel", 0.194),
        ("us-nickel-buffalo", "cupronickel", 0.194),
        ("us-cent-indian", "bronze", 0.13),
    ],
)
def test_tolerance_is_that_of_the_statute(name, composition, grams):
    assert metal(name, composition).tolerance_g == grams


# Fineness 900 parts of 1,000 (Act of 18 January 1837, kept in 1873); halves of 1965-1970 400 parts
# (Coinage Act of 1965; Coin World, 4 December 2011: 0.1479 troy ounce each).
@pytest.mark.parametrize(
    ("name", "composition", "fineness"),
    [
        *((f"us-{name}", "silver", 0.9) for name in ("dime-barber", "dime-mercury")),
        *((f"us-{name}", "silver", 0.9) for name in ("quarter-barber", "half-barber")),
        *((f"us-half-{name}", "silver", 0.9) for name in ("walking-liberty", "franklin")),
        ("us-half-kennedy", "silver", 0.9),
        ("us-half-kennedy", "silver-40", 0.4),
        ("us-half-kennedy", "clad", 0),
        ("us-dollar-morgan", "silver", 0.9),
        ("us-dollar-peace", "silver", 0.9),
        ("us-quarter-state-territory", "clad", 0),
        ("us-cent-indian", "bronze", 0),
    ],
)
def test_fine_silver_is_weight_times_fineness(name, composition, fineness):
    found = metal(name, composition)
    assert found.weight_g is not None
    assert found.silver_ozt == pytest.approx(
        found.weight_g * fineness / G_PER_TROY_OUNCE, abs=0.00002
    )


# Canadian one-cent compositions, published tables: grams of each alloy. A twelve-sided bronze cent
# is as heavy as a zinc cent of the United States, so weight alone cannot part a mixed roll.
@pytest.mark.parametrize(
    ("composition", "grams"),
    [
        ("bronze-95", 3.24),
        ("bronze-98", 3.24),
        ("bronze-light", 2.8),
        ("bronze-twelve", 2.5),
        ("zinc", 2.25),
        ("steel", 2.35),
    ],
)
def test_the_canadian_cents_weigh_what_the_tables_say(composition, grams):
    assert metal("ca-cent-small", composition).weight_g == grams


def test_a_twelve_sided_cent_weighs_as_much_as_a_zinc_one_of_the_united_states():
    assert (
        metal("ca-cent-small", "bronze-twelve").weight_g
        == metal("us-cent-lincoln", "zinc").weight_g
    )


def test_what_has_no_published_tolerance_has_none():
    for name in ("ca-cent-small", "uk-penny-bronze"):
        for composition in load_series(SeriesId(name)).compositions:
            assert composition.tolerance_g is None, composition


def test_face_values_are_those_of_the_statute():
    # 31 U.S.C. 5112(a), United States Code. The British penny was demonetised on 31 August 1971.
    values = {
        "us-cent-indian": 1,
        "us-nickel-liberty": 5,
        "us-dime-mercury": 10,
        "us-quarter-state-territory": 25,
        "us-half-kennedy": 50,
        "us-dollar-peace": 100,
        "uk-penny-bronze": 0,
    }
    found = {name: load_series(SeriesId(name)).face_value_minor for name in values}
    assert found == values
