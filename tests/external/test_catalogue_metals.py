"""Weights, diameters, tolerances and silver of the shipped series against statute and mint."""

import pytest

from core.catalogue.load import load_series
from core.model.issue import SeriesId

MM_PER_INCH = 25.4  # exact: international inch
G_PER_GRAIN = 0.06479891  # exact: international grain
G_PER_TROY_OUNCE = 31.1034768  # exact: 480 grains

CENTS, NICKELS = SeriesId("us-cent-lincoln"), SeriesId("us-nickel-jefferson")
DIMES, QUARTERS = SeriesId("us-dime-roosevelt"), SeriesId("us-quarter-washington")


def metal(series_id, composition):
    return load_series(series_id).composition(composition)


# 31 U.S.C. 5112(a)(3)-(6), United States Code: "a quarter dollar coin that is 0.955 inch in
# diameter and weighs 5.67 grams", and so on.
@pytest.mark.parametrize(
    ("series_id", "inches", "composition", "grams"),
    [
        (QUARTERS, 0.955, "clad", 5.67),
        (DIMES, 0.705, "clad", 2.268),
        (NICKELS, 0.835, "cupronickel", 5.0),
        (CENTS, 0.75, "brass", 3.11),
        (CENTS, 0.75, "bronze", 3.11),
    ],
)
def test_diameter_and_weight_are_those_of_the_statute(series_id, inches, composition, grams):
    diameter_mm = load_series(series_id).diameter_mm
    assert diameter_mm == pytest.approx(inches * MM_PER_INCH, abs=0.005)
    assert metal(series_id, composition).weight_g == grams


# Coin Specifications, United States Mint: millimetres and grams of the coins now struck.
@pytest.mark.parametrize(
    ("series_id", "composition", "mm", "grams"),
    [
        (CENTS, "zinc", 19.05, 2.5),
        (NICKELS, "cupronickel", 21.21, 5.0),
        (DIMES, "clad", 17.91, 2.268),
        (QUARTERS, "clad", 24.26, 5.67),
    ],
)
def test_diameter_and_weight_are_those_of_the_mint(series_id, composition, mm, grams):
    assert load_series(series_id).diameter_mm == mm
    assert metal(series_id, composition).weight_g == grams


# 31 U.S.C. 5113(a), United States Code: five-cent coin 0.194 gram, one-cent coin 0.13 gram.
@pytest.mark.parametrize(
    ("series_id", "composition", "grams"),
    [
        (NICKELS, "cupronickel", 0.194),
        (CENTS, "bronze", 0.13),
        (CENTS, "brass", 0.13),
        (CENTS, "shell-case", 0.13),
        (CENTS, "steel", 0.13),
    ],
)
def test_tolerance_is_that_of_the_statute(series_id, composition, grams):
    assert metal(series_id, composition).tolerance_g == grams


def test_the_weights_of_1982_leave_a_gap_between_zinc_and_copper():
    # Cent weights and alloy history, collectors' discussion, 2019: zinc 2.500 g +/- 0.100 g. With
    # the statute's 3.11 g +/- 0.13 g this gives the usual rule: to 2.60 g zinc, from 2.98 g copper.
    zinc, copper = metal(CENTS, "zinc"), metal(CENTS, "brass")
    assert zinc.weight_g + zinc.tolerance_g == pytest.approx(2.60)
    assert copper.weight_g - copper.tolerance_g == pytest.approx(2.98)


# The older statutes, in the units in which they were passed.
@pytest.mark.parametrize(
    ("series_id", "composition", "grams", "statute"),
    [
        (CENTS, "bronze", 48 * G_PER_GRAIN, "Act of 22 April 1864: cent, 48 grains"),
        (
            NICKELS,
            "cupronickel",
            77.16 * G_PER_GRAIN,
            "Act of 16 May 1866: five cents, 77.16 grains",
        ),
        (DIMES, "silver", 12.5 / 5, "Act of 12 February 1873: one fifth of 12.5 grams"),
        (QUARTERS, "silver", 12.5 / 2, "Act of 12 February 1873: one half of 12.5 grams"),
    ],
)
def test_weight_is_that_of_the_older_statute(series_id, composition, grams, statute):
    assert metal(series_id, composition).weight_g == pytest.approx(grams, abs=0.001), statute


# Fineness by statute: 900 parts of 1,000 (Act of 12 February 1873); quarters of 1976 for
# collectors 40 % (Act of 18 October 1973); wartime five cents 35 % (tables of US silver coins).
# Trade tables cut the fifth decimal where rounding would raise it: 0.00002 is accepted.
@pytest.mark.parametrize(
    ("series_id", "composition", "fineness"),
    [
        (NICKELS, "silver", 0.35),
        (DIMES, "silver", 0.90),
        (QUARTERS, "silver", 0.90),
        (QUARTERS, "silver-40", 0.40),
        (CENTS, "bronze", 0),
        (CENTS, "zinc", 0),
        (DIMES, "clad", 0),
    ],
)
def test_fine_silver_is_weight_times_fineness(series_id, composition, fineness):
    found = metal(series_id, composition)
    assert found.silver_ozt == pytest.approx(
        found.weight_g * fineness / G_PER_TROY_OUNCE, abs=0.00002
    )


def test_face_values_are_those_of_the_statute():
    # 31 U.S.C. 5112(a), United States Code: quarter dollar, dime, 5-cent coin, one-cent coin.
    values = [load_series(s).face_value_minor for s in (CENTS, NICKELS, DIMES, QUARTERS)]
    assert values == [1, 5, 10, 25]
    assert {load_series(s).currency for s in (CENTS, NICKELS, DIMES, QUARTERS)} == {"USD"}
