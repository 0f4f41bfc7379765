"""What a plan tells and refuses, its curve, schedule, next buys, percentages and what-ifs."""

import ctypes
import random
import sys
from dataclasses import replace
from fractions import Fraction
from math import log

import pytest

from core.errors import BadEntry, Cancelled
from core.planning import frontier
from core.planning.aim import (
    GAPS,
    GAPS_CLOSED,
    KEYS,
    PLAIN_AIMS,
    POINTS,
    POINTS_GAINED,
    TARGETS,
    TARGETS_MET,
    Aim,
    mix,
    read_aim,
)
from core.planning.bound import Bound
from core.planning.curve import (
    Amount,
    best_buys,
    cost_of_share,
    cost_to_finish,
    cost_to_targets,
    curve,
    next_buys,
)
from core.planning.difficulty import (
    Standing,
    by_count,
    by_price,
    by_scarcity,
    grades,
    scarcity,
)
from core.planning.plan import Bought, Moved, PinsRefused, after, plan
from core.planning.quiet import quiet_output
from core.planning.schedule import schedule
from core.planning.wants import Piece, PlanInput, Purchase, Seat, Spot, Want, not_priced
from core.planning.what_if import with_key_target, with_more, without_optional
from tests.planning_material import a_small_case, every_plan, many_linked, many_slots

SETTLED = PlanInput(
    # A gap, a slot below its target, one at target, and a gap without a price.
    (Want(1, 1, 12), Want(2, 1, 20, 8), Want(3, 2, 8, 8), Want(4, 2, 8)),
    (
        Purchase(10, (Seat(1, 4),), 300),
        Purchase(11, (Seat(1, 12),), 900),
        Purchase(12, (Seat(2, 20),), 700),
        Purchase(13, (Seat(4, 20),), None),
    ),
    (Piece(100, (Seat(1, 8), Seat(4, 8)), from_slot=2, brings=150),),
)


def test_a_freed_coin_fills_the_slot_that_has_no_price():
    made = plan(SETTLED, 1_000, GAPS)
    assert made.purchases == (Bought(10, 1, 4, 300), Bought(12, 2, 20, 700))
    assert made.moves == (Moved(100, 2, 4, 8),)
    assert (made.spent, made.freed, made.brings) == (1_000, (), 0)
    assert (made.gains.gaps, made.gains.targets, made.gains.points) == (2, 2, 4 + 12 + 8)
    assert (made.is_proven, made.is_least, made.gap) == (True, True, 0.0)
    assert made.not_priced == (4,)


def test_a_freed_coin_that_goes_nowhere_tells_what_it_may_bring():
    alone = PlanInput(SETTLED.wants[1:2], SETTLED.purchases, SETTLED.pieces)
    made = plan(alone, 700, TARGETS)
    assert (made.freed, made.brings, made.spent) == ((100,), 150, 700)
    assert plan(alone, 699, TARGETS).purchases == ()  # what it may bring is no money to spend


def test_a_slot_without_a_price_is_neither_free_nor_endless():
    assert not_priced(SETTLED) == (4,)
    assert plan(SETTLED, 0, GAPS).purchases == ()
    cost = cost_to_finish(SETTLED)
    assert (cost.money, cost.wanted, cost.reached, cost.not_priced) == (1_000, 2, 2, ())
    unpriced = PlanInput(SETTLED.wants, SETTLED.purchases)
    cost = cost_to_finish(unpriced)
    assert (cost.money, cost.reached, cost.not_priced, cost.out_of_reach) == (300, 1, (4,), 0)


def test_cost_to_reach_targets_counts_what_no_priced_coin_reaches():
    cheap = PlanInput(SETTLED.wants, SETTLED.purchases[:1])
    cost = cost_to_targets(cheap)
    # Slot 1 has a price, yet none of a coin at target; slots 2 and 4 have none at all.
    assert (cost.wanted, cost.reached, cost.not_priced, cost.out_of_reach) == (3, 0, (2, 4), 1)


def test_pinned_purchases_that_cannot_be_made_say_what_they_need():
    pinned = PlanInput(SETTLED.wants, SETTLED.purchases, pinned=frozenset([11, 12]))
    with pytest.raises(PinsRefused, match="more than the budget") as refused:
        plan(pinned, 1_599, GAPS)
    assert refused.value.least == 1_600
    assert {one.purchase for one in plan(pinned, 1_600, GAPS).purchases} == {11, 12}
    both = PlanInput(SETTLED.wants, SETTLED.purchases, pinned=frozenset([10, 11]))
    with pytest.raises(PinsRefused, match="want one slot"):
        plan(both, None, GAPS)
    for faulty in (
        PlanInput(SETTLED.wants, SETTLED.purchases, pinned=frozenset([13])),
        PlanInput(SETTLED.wants, SETTLED.purchases, (), frozenset([10]), frozenset([10])),
        PlanInput(SETTLED.wants, SETTLED.purchases, (), frozenset([Spot(10, 1)]), frozenset([10])),
        PlanInput(SETTLED.wants, SETTLED.purchases, pinned=frozenset([Spot(10, 2)])),
    ):
        with pytest.raises(PinsRefused):
            plan(faulty, None, GAPS)


def test_key_dates_come_first_and_optional_slots_last():
    wants = (Want(1, 1, is_wanted=False), Want(2, 1), Want(3, 1, is_key=True))
    prices = tuple(
        Purchase(slot, (Seat(slot, 8),), cost) for slot, cost in ((1, 1), (2, 5), (3, 9))
    )
    given = PlanInput(wants, prices)
    assert [one.slot for one in plan(given, 9, KEYS).purchases] == [3]
    assert [one.slot for one in plan(given, 6, GAPS).purchases] == [1, 2]
    assert [one.slot for one in plan(given, 5, GAPS).purchases] == [2]


def test_money_of_any_size_is_exact():
    dear = 10**12
    wants = tuple(Want(slot, 1) for slot in range(3))
    prices = tuple(Purchase(slot, (Seat(slot, 8),), dear + slot) for slot in range(3))
    assert plan(PlanInput(wants, prices), 2 * dear, GAPS).spent == dear
    assert plan(PlanInput(wants, prices), 2 * dear + 1, GAPS).spent == 2 * dear + 1
    assert curve(PlanInput(wants, prices), GAPS_CLOSED).cost_of(3) == 3 * dear + 3


def test_aims_are_read_and_say_in_words_what_their_weights_mean():
    assert [read_aim(f" {name.upper()} ") for name in PLAIN_AIMS] == list(PLAIN_AIMS.values())
    assert read_aim("mix:3,2,1") == mix(3, 2, 1)
    assert "A gap closed counts 3, a target met 2, every ten grade points gained 1" in (
        mix(3, 2, 1).words
    )
    for text in (
        "",
        "gap",
        "mix:",
        "mix:1,2",
        "mix:0,0,0",
        "mix:-1,2,3",
        "mix:1,2,101",
        "mix:a,b,c",
    ):
        with pytest.raises(BadEntry, match=r"mix:3,2,1"):
            read_aim(text)


def test_a_plan_that_is_cancelled_ends_and_one_out_of_time_says_how_far_off_it_may_be():
    given = many_linked(200)

    def cancel(share: float) -> None:
        assert 0 <= share <= 1
        raise Cancelled

    with pytest.raises(Cancelled):
        plan(given, 10_000, POINTS, progress=cancel)
    best, hasty = plan(given, 10_000, POINTS), plan(given, 10_000, POINTS, time_limit=0.0)
    assert best.is_proven
    assert not hasty.is_proven
    assert hasty.spent <= 10_000
    could_be = round(hasty.figures[0] / (1 - hasty.gap))
    assert hasty.figures[0] <= best.figures[0] <= could_be


@pytest.mark.skipif(sys.platform == "win32", reason="asks the C library of the process by its name")
def test_what_the_solver_prints_stays_off_the_standard_output(capfd):
    libc = ctypes.CDLL(None)
    with quiet_output():
        libc.puts(b"noise of a library")
    print("an answer", flush=True)
    libc.fflush(None)
    assert capfd.readouterr().out == "an answer\n"


def test_what_the_bounds_leave_out_never_costs_the_best_plan(monkeypatch):
    """All choices left to the solver, and as many as may be left out: the same figures."""
    given = many_linked(80)
    short = [plan(given, 4_000, aim) for aim in (GAPS, POINTS)]

    def nothing_out(self, least):
        return self.loss >= -1

    monkeypatch.setattr(Bound, "can_reach", nothing_out)
    for aim, made in zip((GAPS, POINTS), short, strict=True):
        full = plan(given, 4_000, aim)
        assert (full.figures, full.spent, len(full.purchases), full.gains.points) == (
            made.figures,
            made.spent,
            len(made.purchases),
            made.gains.points,
        )


def test_after_a_plan_its_coins_are_in_place_and_its_offers_gone():
    offers = (
        Purchase(1, (Seat(1, 20), Seat(2, 20)), 5, is_offer=True, quantity=2),
        Purchase(2, (Seat(1, 30),), 500, is_offer=True),
        Purchase(3, (Seat(2, 12),), 9),
    )
    given = PlanInput(SETTLED.wants, offers, SETTLED.pieces)
    made = plan(given, 5, GAPS)
    then = after(given, made)
    assert len(made.purchases) == 1
    assert [(p.id, p.quantity) for p in then.purchases] == [(1, 1), (2, 1), (3, 1)]
    filled = {one.slot: one.points for one in made.purchases}
    filled |= {one.to_slot: one.points for one in made.moves}
    assert {w.slot: w.held for w in then.wants if w.slot in filled} == filled
    assert plan(then, 0, GAPS).moves == ()
    assert {one.from_slot for one in then.pieces} <= {None, 4}


def brute_curve(given, step):
    """Best figure by money, from every plan there is."""
    best: list[Amount] = []
    plans = sorted(
        (money, -sum(step.gain(want, points) for want, points in filled))
        for money, _, _, filled in every_plan(given)
    )
    for money, figure in plans:
        if not best or -figure > best[-1].figure:
            best.append(Amount(money, -figure))
    return tuple(best)


def test_every_step_of_the_curve_is_that_of_trying_all_plans():
    steps = (GAPS_CLOSED, TARGETS_MET, POINTS_GAINED, mix(3, 2, 1).shown)
    for seed in range(1_000, 1_060):
        given, _ = a_small_case(random.Random(seed))
        expected = brute_curve(given, steps[seed % 4])
        found = curve(given, steps[seed % 4])
        assert (found.steps, found.is_complete, found.is_proven) == (expected, True, True), seed


def test_the_curve_of_separate_slots_is_that_of_plans_at_its_steps():
    """Least money by figure, against the integer programme, at steps and just below them."""
    given = many_slots(120)
    for aim in (POINTS, Aim("", (TARGETS_MET,), TARGETS_MET, "")):
        found = curve(given, aim.shown)
        for amount in random.Random(3).sample(found.steps[1:], 4):
            made = plan(given, amount.spent, aim)
            assert (made.figures[0], made.spent) == (amount.figure, amount.spent)
            less = plan(given, amount.spent - 1, aim).figures[0]
            assert less == found.figure_at(amount.spent - 1)
            assert less < amount.figure


def test_a_curve_out_of_time_gives_true_steps_and_says_that_there_are_more(monkeypatch):
    given = many_linked(60)
    whole = curve(given, GAPS_CLOSED)

    def too_long(*args):
        raise frontier.TooLong

    monkeypatch.setattr(frontier, "_of_linked", too_long)
    part = curve(given, GAPS_CLOSED)
    assert whole.is_complete
    assert not part.is_complete
    assert len(part.steps) > 1
    assert all(whole.figure_at(spent) == figure for spent, figure in part.steps)


def test_the_cheapest_way_to_a_percentage():
    found = curve(SETTLED, GAPS_CLOSED)
    assert [
        cost_of_share(SETTLED, found, GAPS_CLOSED, Fraction(n, 100)) for n in (50, 75, 100)
    ] == [
        0,
        300,
        1_000,
    ]
    targets = curve(SETTLED, TARGETS_MET)
    assert cost_of_share(SETTLED, targets, TARGETS_MET, Fraction(1, 2)) == 700
    assert targets.figure_at(0) == 0


def test_the_next_best_purchase_counts_what_its_freed_coin_adds():
    buys = best_buys(SETTLED, GAPS_CLOSED)
    assert [(buy.purchase, buy.gain) for buy in buys] == [(10, 1), (12, 1), (11, 1)]
    assert buys[1].moves == (Moved(100, 2, 1, 8),)
    assert [buy.purchase for buy in best_buys(SETTLED, POINTS_GAINED, budget=800)] == [12, 10]


def test_what_to_buy_next_serves_the_aim_and_leaves_to_spares_what_they_do_for_nothing():
    cheap = Purchase(20, (Seat(1, 4),), 10)
    keys = (Want(1, 1, 4), Want(2, 1, 20, 8, is_key=True), Want(3, 2, 8), Want(5, 1, 8))
    given = PlanInput(
        keys,
        (cheap, *SETTLED.purchases[2:3], Purchase(21, (Seat(5, 8),), 400)),
        (Piece(101, (Seat(1, 4),)),),
    )
    assert [buy.purchase for buy in best_buys(given, GAPS_CLOSED)] == [20, 21]
    assert [buy.purchase for buy in next_buys(given, GAPS)] == [21]  # 101 fills slot 1
    assert [buy.purchase for buy in next_buys(given, KEYS)] == [12]
    pinned = replace(given, pinned=frozenset([21]))
    assert [buy.purchase for buy in next_buys(pinned, GAPS)] == [21]


def test_a_schedule_buys_each_coin_once_and_keeps_what_is_left():
    made = schedule(SETTLED, 400, TARGETS)
    assert [(one.number, one.spent, one.left) for one in made.months] == [
        (2, 700, 100),
        (4, 900, 0),
    ]
    assert made.closes == {2: 2, 4: 2, 1: 4}
    assert (made.spent, made.later, made.dropped) == (1_600, (), ())
    short = schedule(SETTLED, 400, TARGETS, months=3)
    assert short.spent <= 1_200
    assert set(short.closes.values()) <= {1, 2, 3}
    pinned = PlanInput(SETTLED.wants, SETTLED.purchases, pinned=frozenset([10]))
    assert {b.purchase for m in schedule(pinned, 400, TARGETS).months for b in m.purchases} == {
        10,
        12,
    }
    in_slot = PlanInput(
        SETTLED.wants, SETTLED.purchases,
        pinned=frozenset([Spot(10, 1)]), forbidden=frozenset([Spot(12, 2)]),
    )  # fmt: skip
    assert {b.purchase for m in schedule(in_slot, 400, TARGETS).months for b in m.purchases} == {10}
    assert {buy.purchase for buy in best_buys(in_slot, TARGETS_MET)} == {11}
    with pytest.raises(ValueError, match="money each month"):
        schedule(SETTLED, 0, TARGETS)


def test_a_schedule_is_never_over_what_was_set_aside_by_then():
    given = many_linked(60)
    made = schedule(given, 3_000, GAPS, months=6)
    gone = 0
    for month in made.months:
        gone += month.spent
        assert gone + month.left == 3_000 * month.number
    whole = plan(given, 18_000, GAPS)
    assert gone == made.spent <= whole.spent


def test_percentages_weigh_slots_by_count_scarcity_and_price():
    slots = [
        Standing(True, 0.5, 100),
        Standing(True, 0.25, 300),
        Standing(False, 0.125, None),
        Standing(False, None, 600),
    ]
    assert by_count(slots).per_cent == 50
    # -log of a half, a quarter, an eighth weigh as 1, 2, 3.
    scarce = by_scarcity(slots)
    assert scarce.per_cent == pytest.approx(100 * 3 / 6)
    assert (scarce.counted, scarce.left_out) == (3, 1)
    assert by_price(slots).per_cent == pytest.approx(40)
    assert scarcity(0.1) == pytest.approx(log(10))
    assert by_price([Standing(True)]).per_cent is None
    with pytest.raises(ValueError, match="share"):
        scarcity(0.0)


def test_the_average_grade_has_its_spread():
    found = grades([4, 12, None, 20])
    assert (found.mean, found.least, found.most, found.graded, found.without) == (12, 4, 20, 3, 1)
    assert found.spread == pytest.approx((128 / 3) ** 0.5)
    assert grades([None]).mean is None


def test_what_ifs_change_targets_and_slots_and_nothing_else():
    given = PlanInput(
        (Want(1, 1, 20, is_key=True), Want(2, 1, 20), Want(3, 1, None, 4, is_wanted=False)),
        (Purchase(1, (Seat(1, 12),), 9), Purchase(3, (Seat(3, 8),), 1)),
        pinned=frozenset([1, 3, Spot(1, 1), Spot(3, 3)]),
    )
    assert [want.target for want in with_key_target(given, 12).wants] == [12, 20, None]
    assert [want.target for want in with_key_target(given, 40).wants] == [20, 20, None]
    fewer = without_optional(given)
    assert [want.slot for want in fewer.wants] == [1, 2]
    assert fewer.pinned == frozenset([1, Spot(1, 1)])
    more = with_more(given, [Want(4, 1)], [Purchase(4, (Seat(4, 8),), 5)])
    assert plan(more, 15, GAPS).gains.gaps == 2
