"""Weighing, containers and the command: what is told, with what spread, and what cannot be."""

from math import sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.catalogue.load import load_series
from core.errors import BadEntry
from core.model.issue import SeriesId
from core.model.search import Container
from core.search.containers import held_in, held_in_all
from core.search.weighing import (
    Metal,
    Pile,
    melting_caution,
    metals_of,
    two_metals,
    weigh,
)
from tests.cli_material import slotleaf

COPPER = Metal("copper", ("brass",), 3.11, 0.13, is_copper=True)
ZINC = Metal("zinc", ("zinc",), 2.5, 0.1)


def shipped(code):
    return load_series(SeriesId(code))


def test_both_parts_of_the_spread_are_told():
    told = weigh(Pile(412, 1173.6), COPPER, ZINC)
    assert told.text == "235 ± 5, shared wear adds ± 20"
    assert told.between == (215, 255)
    assert told.spread == pytest.approx(sqrt(told.chance**2 + told.wear**2))


def test_a_perfect_scale_and_no_wear_leave_the_coins_own_tolerance():
    told = weigh(Pile(100, 280.5, scale_g=0, wear_g=0), COPPER, ZINC)
    assert told.exact == pytest.approx(50)
    one_each = (0.13**2 + 0.1**2) / 3
    assert told.chance == pytest.approx(2 * sqrt(50 * one_each) / 0.61)
    assert told.wear == 0
    assert told.text.endswith("shared wear adds ± 0")


@given(st.integers(2, 5000), st.floats(0, 1), st.floats(0, 1))
def test_a_heavier_pile_never_holds_fewer_of_the_heavier(coins, first, second):
    light, heavy = sorted((first, second))
    piles = [Pile(coins, coins * (2.5 + 0.61 * share)) for share in (light, heavy)]
    fewer, more = (weigh(pile, COPPER, ZINC) for pile in piles)
    assert fewer.exact <= more.exact
    assert 0 <= more.between[0] <= more.between[1] <= coins
    assert weigh(piles[0], ZINC, COPPER).exact == pytest.approx(coins - fewer.exact, abs=1e-6)


@given(st.integers(1, 3000), st.data())
def test_a_pile_of_known_counts_is_told_again(coins, data):
    copper = data.draw(st.integers(0, coins))
    grams = copper * COPPER.weight_g + (coins - copper) * ZINC.weight_g
    assert weigh(Pile(coins, grams), COPPER, ZINC).count == copper


@pytest.mark.parametrize(
    ("pile", "words"),
    [
        (Pile(412, 900), "lighter than all zinc, 1,030.00 g, less"),
        (Pile(412, 1400), "heavier than all copper, 1,281.32 g, plus"),
        (Pile(0, 10), "1 to 10,000,000 coins"),
        (Pile(5, 0), "above 0 g"),
        (Pile(5, float("nan")), "above 0 g"),
        (Pile(5, 14, scale_g=-1), "bound of the scale"),
        (Pile(5, 14, wear_g=-1), "bound of the wear"),
    ],
)
def test_what_cannot_be_says_why(pile, words):
    with pytest.raises(BadEntry, match=words):
        weigh(pile, COPPER, ZINC)


def test_a_pile_a_little_beyond_all_of_one_metal_is_all_of_it():
    assert weigh(Pile(50, 124.2), COPPER, ZINC).count == 0
    assert weigh(Pile(50, 156.4), COPPER, ZINC).count == 50


def test_a_tolerance_that_is_not_known_is_said():
    counted, other = two_metals(shipped("ca-cent-small"), ["bronze-98", "zinc"])
    told = weigh(Pile(10, 27), counted, other)
    assert any("tolerance of" in note for note in told.notes)


def test_metals_of_one_weight_are_one_and_the_two_most_common_are_meant():
    cents = shipped("us-cent-lincoln")
    assert [metal.title for metal in metals_of(cents)] == [
        "copper", "copper-plated zinc", "zinc-coated steel",
    ]  # fmt: skip
    assert [one.title for one in two_metals(cents)] == ["copper", "copper-plated zinc"]
    assert two_metals(cents, ["zinc", "bronze"])[0].title == "copper-plated zinc"
    assert two_metals(shipped("us-dime-roosevelt"))[0].is_silver


@pytest.mark.parametrize(
    ("code", "named", "words"),
    [
        ("us-nickel-jefferson", [], "weigh 5 g"),
        ("us-cent-lincoln", ["brass", "bronze"], "weigh the same"),
        ("us-cent-lincoln", ["brass"], "two metals"),
        ("us-cent-lincoln", ["brass", "gold"], "no metal “gold”"),
        ("us-dollar-innovation", [], "weight of its coins is not known"),
    ],
)
def test_metals_that_weight_cannot_tell_apart_are_refused(code, named, words):
    with pytest.raises(BadEntry, match=words):
        two_metals(shipped(code), named)


def test_the_melting_caution_stands_where_copper_or_silver_is_counted():
    cents = shipped("us-cent-lincoln")
    assert "31 CFR 82.1" in melting_caution(cents, two_metals(cents)[0])
    assert melting_caution(cents, two_metals(cents, ["zinc", "steel"])[0]) == ""
    canada = shipped("ca-cent-small")
    assert "Currency Act" in melting_caution(canada, two_metals(canada)[0])
    dimes = shipped("us-dime-roosevelt")
    assert melting_caution(dimes, two_metals(dimes)[0])


# Read to the nearest eighth: up to a sixteenth off, 2 ÷ √3 of it as two deviations; known to ± 20.
def test_a_jar_is_told_by_its_level_and_surely_at_the_brim():
    jar = Container(1, "blue jar", 800, eighths=4, holds_spread=20)
    assert held_in(jar).count == 400
    assert held_in(jar).spread == round(sqrt((2 / sqrt(3) * 50) ** 2 + 10**2))
    full = Container(2, "cup", 640, eighths=8)
    assert held_in(full).text == "640"
    assert held_in(Container(3, "cup", 640)).text == "0"
    assert held_in_all((jar, full)).count == 1040


def test_the_command_tells_count_spread_and_caution():
    said = slotleaf("weigh", "--coins", "412", "--grams", "1173.6", "--of", "us-cent-lincoln")
    assert said.out.splitlines()[:2] == [
        "copper: 235 ± 5, shared wear adds ± 20",
        "between 215 and 255 of 412 coins, the rest copper-plated zinc",
    ]
    assert "31 CFR 82.1" in said.out


def test_the_command_tells_one_coin_or_that_it_cannot():
    one = ("weigh", "--coins", "1", "--of", "us-cent-lincoln", "--grams")
    assert "is copper by its weight" in slotleaf(*one, "3.05").out
    assert "does not settle it" in slotleaf(*one, "2.79").out


def test_the_command_refuses_in_one_line():
    said = slotleaf("weigh", "--coins", "10", "--grams", "3", "--of", "us-cent-lincoln")
    assert (said.code, said.out) == (1, "")
    assert "lighter than all" in said.err
