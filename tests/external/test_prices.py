"""Prices against the world: minor units of currencies, silver in coins."""

from decimal import Decimal

import pytest

from core.catalogue.load import load_series
from core.model.money import minor_digits
from core.planning.bullion import contents, ounces

# Babel 2.18.0, `currency_fractions` of its data (Unicode CLDR): currencies whose digits are not 2.
BABEL_DIGITS = {
    0: "ADP AFN ALL BIF BYR CLP DJF ESP GNF IQD IRR ISK ITL JPY KMF KPW KRW LAK LBP LUF MGA MGF MMK"
    " MRO PYG RSD RWF SLL SOS STD SYP TMM TRL UGX UYI VND VUV XAF XOF XPF YER ZMK ZWD",
    3: "BHD JOD KWD LYD OMR TND",
    4: "CLF UYW",
}
# There CLDR has the digits people still write, ISO 4217:2015 (table A.1) those of the minor unit:
# 2, and 3 of the dinar of Iraq. A finer unit loses nothing.
UNUSED_UNIT = "AFN ALL IRR KPW LAK LBP MGA MMK RSD SOS SYP YER IQD"
# Withdrawn before 2024, so no longer in the table; kept as any unknown code, with 2.
WITHDRAWN = "ADP BYR ESP ITL LUF MGF MRO SLL STD TMM TRL ZMK ZWD"


def test_minor_units_are_those_of_babels_data() -> None:
    babel = {code: digits for digits, codes in BABEL_DIGITS.items() for code in codes.split()}
    differ = {code for code, digits in babel.items() if minor_digits(code) != digits}
    assert differ == {*UNUSED_UNIT.split(), *WITHDRAWN.split()}
    assert all(minor_digits(code) > babel[code] for code in differ)
    assert [minor_digits(code) for code in ("USD", "EUR", "GBP", "CHF", "CAD", "HBT")] == [2] * 6


# Worked examples: weight × fineness ÷ 31.1034768 g, and the figure that trade tables print, which
# they cut rather than round ("tables of US silver coins"; the 40 % half: Coin World, 4 Dec 2011).
SILVER = [
    ("us-nickel-jefferson", "silver", "5.0", "0.35", "0.0562638065", "0.05626"),
    ("us-dime-mercury", "silver", "2.5", "0.9", "0.07233917978", "0.07234"),
    ("us-quarter-washington", "silver", "6.25", "0.9", "0.1808479494", "0.18084"),
    ("us-half-franklin", "silver", "12.5", "0.9", "0.3616958989", "0.36169"),
    ("us-half-kennedy", "silver-40", "11.5", "0.4", "0.1478934342", "0.1479"),
    ("us-dollar-morgan", "silver", "26.73", "0.9", "0.7734505102", "0.77344"),
    ("us-quarter-washington", "silver-40", "5.75", "0.4", "0.07394671711", "0.07395"),
]


@pytest.mark.parametrize(("series", "metal", "grams", "fine", "exact", "printed"), SILVER)
def test_silver_contents_are_those_of_the_published_examples(
    series: str, metal: str, grams: str, fine: str, exact: str, printed: str
) -> None:
    worked = ounces(Decimal(grams) * Decimal(fine))
    assert abs(worked - Decimal(exact)) <= Decimal("1e-10")
    held = contents(load_series(series).composition(metal)).silver_ozt
    assert held is not None
    assert abs(held - Decimal(printed)) <= Decimal("2e-5")
    assert abs(held - worked) <= Decimal("2e-5")


def test_a_month_of_halves_holds_the_silver_that_was_printed() -> None:
    # "Silver lining to roll searches", Coin World, 4 Dec 2011: 27 of 90 % and 31 of 40 %,
    # 9.77 + 4.58 ounces.
    series = load_series("us-half-kennedy")
    held = [contents(series.composition(metal)).silver_ozt for metal in ("silver", "silver-40")]
    assert None not in held
    total = sum((h or 0) * coins for h, coins in zip(held, (27, 31), strict=True))
    assert abs(total - Decimal("14.35048573")) <= Decimal("0.01")
