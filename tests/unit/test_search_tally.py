"""Tallies: what counts, on pace, likely, usual, by date."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.model.search import BoxId, BoxKind, Claim, TallyRule, parse_rule
from core.search.likely import LIKELY_LEVEL, likely
from core.search.rates import Gamma
from core.search.tally import TallyLine, by_date, comparable, scale_to, tally_lines
from tests.builders import DDO_1955, cents, nickels
from tests.search_facts import CENT, TALLIER, box, cent, counter, seen, tally

WORN = seen(cents(), date=("1941", "1943", "1944"), kept=False)
"""A coin dated 194 and a last figure that cannot be read, with no letter."""


@pytest.mark.parametrize(
    ("rule", "one", "is_counted"),
    [
        ("", cent("1941"), True),
        ("", counter("foreign"), True),
        ("years=..1940", cent("1922", "D"), True),
        ("years=..1943", WORN, False),  # it may be a 1944
        ("years=1941..1944", WORN, True),
        ("mint=S", cent("1941", "S"), True),
        ("mint=S", cent("1941", ("D", "S")), False),
        ("composition=steel", cent("1943"), True),
        ("date size=small", cent("1960"), False),  # either size
        ("date size=small", cent("1960", date_size="small"), True),
        ("date size=small", cent("1941"), False),
        ("series=us-nickel-jefferson", cent("1941"), False),
        ("design=shield", seen(nickels(), date="1938"), False),
        ("counter=foreign", counter("foreign"), True),
        ("counter=foreign", counter("damaged"), False),
        ("years=..2000", counter("foreign"), False),
        ("answer=Fills a gap", cent("1941", answer="Fills a gap"), True),
        ("answer=Fills a gap", cent("1941", answer="Spare"), False),
        ("variety=1955-ddo", cent("1955", varieties=[DDO_1955]), True),
        ("variety=1955-ddo", cent("1955"), False),
        ("mint=S; years=..1940", cent("1941", "S"), False),
    ],
)
def test_a_rule_counts_what_is_certain_in_every_part(rule, one, is_counted):
    assert TALLIER.holds(parse_rule(rule), one) is is_counted


def test_quantities_of_sightings_count_and_a_series_not_at_hand_does_not():
    facts = box(1, [cent("1958", kept=False, quantity=3), cent("1958"), counter("foreign")])
    assert TALLIER.in_box(parse_rule("years=..1958"), facts) == 4
    elsewhere = seen(cents(), date="1941")
    assert not type(TALLIER)({}).holds(parse_rule("years=..1958"), elsewhere)


def test_a_box_is_counted_anew_when_its_facts_changed():
    rule = TallyRule.of()
    assert TALLIER.in_box(rule, box(7, [cent("1941")])) == 1
    assert TALLIER.in_box(rule, box(7, [cent("1941"), cent("1943")])) == 2


# Six in 23 of 50 rolls are on pace for 6 × 50 ÷ 23; three boxes of 8, 9 and 13 are usual 10.
def test_a_line_tells_now_on_pace_and_usual():
    past = [box(n, [cent("1941", kept=False, quantity=q)]) for n, q in ((1, 8), (2, 9), (3, 13))]
    now = box(4, [cent("1958", kept=False, quantity=6)], opened=23, done=False)
    (line,) = tally_lines(TALLIER, [tally("Wheat", to_year=1958)], now, [*past, now])
    assert (line.name, line.now, line.count_of_boxes) == ("Wheat", 6, 3)
    assert line.on_pace == 6 * 50 / 23
    assert line.usual == 10
    # tenths of 8, 9, 13 on the straight lines between them: 8.2 and 12.2
    assert line.band == pytest.approx((8.2, 12.2))
    assert line.likely is not None
    assert line.likely[0] <= line.now + 27 * 10 / 50 <= line.likely[1]


def test_lines_come_in_the_order_of_their_places_for_the_denomination_alone():
    tallies = [tally("b", 1), tally("a", 0), tally("dimes", 2, "US 10c")]
    lines = tally_lines(TALLIER, tallies, box(1), [])
    assert [line.name for line in lines] == ["a", "b"]


def test_usual_is_silent_below_three_boxes_and_counts_only_finished_ones_like_it_before():
    now = box(9, done=False, opened=3)
    others = [
        box(1),
        box(2, kind=BoxKind.NEW),
        box(3, kind=BoxKind.OWN),
        box(4, kind=BoxKind.MIXED),
        box(5, denomination="US 5c"),
        box(6, done=False, opened=20),
        box(7),
        now,
        box(10),
    ]
    assert [one.number for one in comparable(now, others)] == [1, 7]
    (line,) = tally_lines(TALLIER, [tally()], now, others)
    assert (line.usual, line.band, line.count_of_boxes) == (None, None, 2)
    assert comparable(box(11, kind=BoxKind.NEW), others) == ()


def test_usual_is_told_as_a_box_of_these_rolls():
    past = [box(n, [cent("1941", kept=False, quantity=4)], rolls=25, opened=25) for n in range(3)]
    (line,) = tally_lines(TALLIER, [tally()], box(5), [*past, box(5)])
    assert line.usual == 8


@given(st.integers(0, 500), st.integers(1, 100), st.integers(0, 99))
def test_on_pace_is_exact_and_ends_at_the_count(count, opened, closed):
    what = [cent("1941", kept=False, quantity=count)] if count else []
    now = box(1, what, opened=opened, rolls=opened + closed, done=False)
    (line,) = tally_lines(TALLIER, [tally()], now, [now])
    assert line.on_pace == count * (opened + closed) / opened
    assert line.likely is not None
    assert line.likely[0] >= count
    if not closed:
        assert line.on_pace == count
        assert line.likely == (count, count)


def test_skipped_rolls_are_not_waited_for():
    now = box(1, [cent("1941")], opened=40, skipped=10, done=False)
    (line,) = tally_lines(TALLIER, [tally()], now, [now])
    assert line.on_pace == 1


counts = st.integers(0, 400)


@given(counts, st.integers(50, 2450), st.lists(st.tuples(counts, st.just(2500)), max_size=6))
def test_likely_holds_what_is_expected_and_ends_at_the_count(count, coins, past):
    now = likely(count, coins, 2500 - coins, past)
    assert now is not None
    assert count <= now[0] <= now[1]
    if not past:
        expected = Gamma(0.5 + count, coins).mean * (2500 - coins)
        assert now[0] - 1 < count + expected < now[1] + 1  # whole coins about a part of one
    assert likely(count, coins, 0, past) == (count, count)


def test_nothing_is_likely_before_the_first_coin_of_the_first_box():
    assert likely(0, 0, 2500) is None
    assert likely(0, 0, 2500, [(9, 2500), (7, 2500)]) is not None


# Boxes drawn as the model has them and otherwise; the seed is fixed, so is the outcome.
def test_four_of_five_boxes_end_where_they_were_likely_to():
    chance = np.random.default_rng(20240309)
    hits, boxes = 0, 0
    for spread, mean, earlier in ((0.1, 40, 12), (0.3, 40, 4), (0.5, 200, 20), (0.3, 200, 0)):
        for _ in range(100):
            rates = chance.gamma(spread**-2, spread**2, earlier + 1) * mean / 2500
            past = [(int(chance.poisson(rate * 2500)), 2500) for rate in rates[1:]]
            now, rest = (int(chance.poisson(rates[0] * coins)) for coins in (1000, 1500))
            told = likely(now, 1000, 1500, past)
            assert told is not None
            hits += told[0] <= now + rest <= told[1]
            boxes += 1
    # at least the level, as counts are whole, and not far above it; 2 deviations of 400 are 0.04
    assert LIKELY_LEVEL - 0.04 <= hits / boxes <= LIKELY_LEVEL + 0.09


def test_boxes_that_differ_widely_make_the_likely_wider():
    alike = likely(9, 1000, 1500, [(20, 2500), (22, 2500), (18, 2500), (21, 2500)])
    unlike = likely(9, 1000, 1500, [(2, 2500), (60, 2500), (18, 2500), (1, 2500)])
    assert alike is not None
    assert unlike is not None
    assert unlike[1] - unlike[0] > alike[1] - alike[0]


@pytest.mark.parametrize(
    ("now", "on_pace", "band_end", "end"),
    [(0, None, None, 1), (6, 13.04, 14.0, 15), (214, 465, 470, 500), (1, 2, 2.1, 3)],
)
def test_the_bar_of_a_row_ends_at_a_round_figure_that_holds_it(now, on_pace, band_end, end):
    band = None if band_end is None else (0.0, band_end)
    assert scale_to(TallyLine("", now, on_pace, None, None, band, 0)) == end


def test_by_date_counts_a_roll_a_box_or_all_and_leaves_open_dates_out():
    first = box(1, [cent("1941", "D"), cent("1941", roll=2), WORN, counter("foreign")])
    second = box(2, [cent("1941", kept=False, quantity=4), cent("1922", "D")])
    told = by_date(TALLIER, [first, second])
    assert [(one.date, one.kept, one.seen) for one in told] == [("1922", 1, 1), ("1941", 2, 6)]
    assert told[1].said == (("1941", 5), ("1941-D", 1))
    assert [(one.date, one.seen) for one in by_date(TALLIER, [first], roll=2)] == [("1941", 1)]


def test_a_date_fully_logged_in_every_box_is_told_with_none():
    series = cents().id
    claims = (Claim(1, BoxId(1), series, None, 1922),)
    both = [box(1, claims=claims), box(2, [cent("1922", "D")], claims=claims)]
    told = by_date(TALLIER, both)
    assert [(one.date, one.seen, one.is_logged) for one in told] == [
        ("1909", 0, True),
        ("1922", 1, True),
    ]
    assert by_date(TALLIER, [*both, box(3)])[0].is_logged is False


def test_denominations_are_told_apart_by_their_key():
    assert tally_lines(TALLIER, [tally(denomination=CENT)], box(1, denomination="US 5c"), []) == ()
