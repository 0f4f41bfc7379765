import pytest

from core.errors import Cancelled, Refused
from core.fill.proposal import Aim, Move, apply_moves, partial, propose, without
from core.fill.solve import solve
from core.model.album import AlbumId, SlotId, Target, Wish
from core.model.coin import CoinId, Finding, Problem
from tests.strategies_fill import DOUBLED, REPUNCHED, a_coin, a_fill, a_slot

LOWER = AlbumId(2)


def lines(given):
    """Each move as slot, coin, coin leaving, aim, reason."""
    return [(m.slot, m.coin, m.leaving, m.aim, m.reason) for m in propose(given).moves]


def test_a_spare_fills_a_gap():
    given = a_fill([a_slot(1, 1901, "D")], [a_coin(7, 1901, "D")])
    assert lines(given) == [(1, 7, None, Aim.FILLS_GAP, "Fills the gap.")]


def test_a_wanted_slot_comes_before_an_optional_one():
    slots = [a_slot(1, 1901, "D", wish=Wish.OPTIONAL), a_slot(2, 1901, "D")]
    given = a_fill(slots, [a_coin(7, 1901, "D")], {1: 7})
    proposal = propose(given)
    (move,) = proposal.moves
    assert (move.slot, move.from_slot, move.aim) == (2, 1, Aim.FILLS_GAP)
    assert move.reason == "A wanted slot comes before 1901-D no. 1, optional."
    assert proposal.after == {2: 7}


def test_one_more_optional_slot_never_costs_a_wanted_one():
    slots = [
        a_slot(1, 1901, "D"),
        a_slot(2, 1901, wish=Wish.OPTIONAL),
        a_slot(3, 1901, "S", wish=Wish.OPTIONAL),
    ]
    given = a_fill(slots, [a_coin(7, 1901, "D")])
    assert solve(given).pairs == {1: 7}


def test_a_sound_coin_replaces_a_hole_filler_even_if_its_grade_is_lower():
    slot = a_slot(1, 1901, "D", target=Target(20))
    coins = [a_coin(7, 1901, "D", points=45, problems=(Problem.HOLED,)), a_coin(8, 1901, "D")]
    assert lines(a_fill([slot], coins, {1: 7})) == [
        (1, 8, 7, Aim.REPLACES_HOLE_FILLER, "Sound; coin 7 is a hole filler (holed).")
    ]


def test_a_slot_that_allows_problems_keeps_the_better_damaged_coin():
    slot = a_slot(1, 1901, "D", target=Target(20, allows_problems=True))
    coins = [
        a_coin(7, 1901, "D", points=45, problems=(Problem.HOLED,)),
        a_coin(8, 1901, "D", points=12),
    ]
    assert lines(a_fill([slot], coins, {1: 7})) == []


def test_a_coin_that_meets_the_target_replaces_one_that_does_not():
    slot = a_slot(1, 1901, "D", target=Target(20))
    coins = [a_coin(7, 1901, "D", points=12), a_coin(8, 1901, "D", points=20)]
    assert lines(a_fill([slot], coins, {1: 7})) == [
        (1, 8, 7, Aim.MEETS_TARGET, "Meets the target VF-20; coin 7 (F-12) does not.")
    ]


def test_a_better_grade_replaces_a_lower_one_where_there_is_no_target():
    coins = [a_coin(7, 1901, "D", points=12), a_coin(8, 1901, "D", points=20)]
    assert lines(a_fill([a_slot(1, 1901, "D")], coins, {1: 7})) == [
        (1, 8, 7, Aim.BETTER_GRADE, "VF-20 instead of F-12.")
    ]


def test_points_above_the_target_count_only_when_uncapped():
    slot = a_slot(1, 1901, "D", target=Target(12))
    coins = [a_coin(7, 1901, "D", points=12), a_coin(8, 1901, "D", points=45)]
    assert lines(a_fill([slot], coins, {1: 7})) == []
    assert lines(a_fill([slot], coins, {1: 7}, uncapped=True)) == [
        (1, 8, 7, Aim.BETTER_GRADE, "XF-45 instead of F-12.")
    ]


def test_the_better_coin_goes_where_its_points_count():
    slots = [a_slot(1, 1901, "D", target=Target(4)), a_slot(2, 1901, "D", target=Target(40))]
    coins = [a_coin(7, 1901, "D", points=20), a_coin(8, 1901, "D", points=12)]
    given = a_fill(slots, coins, {1: 7, 2: 8})
    assert lines(given) == [
        (1, 8, 7, Aim.FREES, "Frees coin 7 for 1901-D no. 2."),
        (2, 7, 8, Aim.BETTER_GRADE, "VF-20 instead of F-12."),
    ]


def test_a_chain_frees_a_coin_for_the_gap_that_only_it_fits():
    slots = [a_slot(1, 1901), a_slot(2, 1901, "S")]
    coins = [a_coin(7, 1901, "S"), a_coin(8, 1901)]
    first, second = propose(a_fill(slots, coins, {1: 7})).moves
    assert (first.slot, first.coin, first.aim) == (1, 8, Aim.FREES)
    assert first.reason == "Frees coin 7 for 1901-S no. 2."
    assert (second.slot, second.coin, second.from_slot, second.aim) == (2, 7, 1, Aim.FILLS_GAP)
    assert second.reason == "Fills the gap; another coin takes 1901- no. 1."
    assert first.chain == second.chain


def test_moves_that_do_not_need_each_other_are_chains_of_their_own():
    slots = [a_slot(1, 1901, "D"), a_slot(2, 1902, "D")]
    moves = propose(a_fill(slots, [a_coin(7, 1901, "D"), a_coin(8, 1902, "D")])).moves
    assert len({move.chain for move in moves}) == 2


def test_a_tie_goes_to_the_album_higher_on_the_shelf():
    slots = [a_slot(1, 1901, "D", album=LOWER), a_slot(2, 1901, "D")]
    coins = [a_coin(7, 1901, "D")]
    given = a_fill(slots, coins, {1: 7}, albums=(AlbumId(1), LOWER))
    (move,) = propose(given).moves
    assert (move.slot, move.coin, move.from_slot, move.aim) == (2, 7, 1, Aim.SHELF)
    assert "higher on the shelf" in move.reason
    assert "1901-D no. 1 of another album" in move.reason
    upside_down = a_fill(slots, coins, {1: 7}, albums=(LOWER, AlbumId(1)))
    assert propose(upside_down).moves == ()


def test_the_shelf_settles_ties_only():
    """Two filled slots in the lower album outweigh one in the upper."""
    slots = [
        a_slot(1, 1901, album=AlbumId(1)),
        a_slot(2, 1901, "D", album=LOWER),
        a_slot(3, 1901, "S", album=LOWER),
    ]
    given = a_fill(slots, [a_coin(7, 1901, "D"), a_coin(8, 1901, "S"), a_coin(9, 1901)])
    assert solve(given).pairs == {1: 9, 2: 7, 3: 8}


def test_of_equal_coins_the_one_in_the_slot_stays():
    coins = [a_coin(3, 1901, "D", points=20), a_coin(7, 1901, "D", points=20)]
    assert lines(a_fill([a_slot(1, 1901, "D")], coins, {1: 7})) == []


def test_of_equal_spares_the_lowest_number_goes():
    coins = [a_coin(n, 1901, "D") for n in (9, 3, 7)]
    assert solve(a_fill([a_slot(1, 1901, "D")], coins)).pairs == {1: 3}


def test_a_confirmed_variety_is_saved_for_a_slot_that_asks_for_it():
    varied = a_coin(3, 1901, "D", varieties=((DOUBLED, Finding.CONFIRMED),))
    plain = a_coin(7, 1901, "D")
    assert solve(a_fill([a_slot(1, 1901, "D")], [varied, plain])).pairs == {1: 7}
    asks = a_slot(2, 1901, "D", variety=DOUBLED)
    given = a_fill([a_slot(1, 1901, "D"), asks], [varied, plain])
    assert solve(given).pairs == {1: 7, 2: 3}


def test_a_coin_of_two_varieties_is_at_home_in_a_slot_that_asks_for_one():
    both = a_coin(
        3, 1901, "D", varieties=((DOUBLED, Finding.CONFIRMED), (REPUNCHED, Finding.CONFIRMED))
    )
    slot = a_slot(1, 1901, "D", variety=REPUNCHED)
    assert solve(a_fill([slot], [both])).value[-2:] == (0, -3)


def test_a_suspected_variety_does_not_fill_a_slot_that_asks_for_it():
    suspected = a_coin(3, 1901, "D", varieties=((DOUBLED, Finding.SUSPECTED),))
    assert solve(a_fill([a_slot(1, 1901, "D", variety=DOUBLED)], [suspected])).pairs == {}


def test_a_coin_that_only_may_fit_is_not_put_in():
    assert solve(a_fill([a_slot(1, 1901, "D")], [a_coin(7, 1901)])).pairs == {}


@pytest.mark.parametrize(
    "standing",
    [a_coin(7, 1901, points=45), a_coin(7, 1901, "D", points=45, is_flagged=True)],
    ids=["may fit", "flagged"],
)
def test_a_coin_to_verify_stays_until_one_that_surely_fits_turns_up(standing):
    slot = a_slot(1, 1901, "D", target=Target(20))
    assert solve(a_fill([slot], [standing], {1: 7})).pairs == {1: 7}
    assert lines(a_fill([slot], [standing, a_coin(8, 1901, "D")], {1: 7})) == [
        (1, 8, 7, Aim.REPLACES_UNSURE, "Surely fits; coin 7 is still to verify.")
    ]


def test_flagged_and_false_coins_are_not_put_in():
    coins = [
        a_coin(7, 1901, "D", is_flagged=True),
        a_coin(8, 1901, "D", is_genuine=False),
    ]
    assert solve(a_fill([a_slot(1, 1901, "D")], coins)).pairs == {}


def test_a_lot_gives_as_many_coins_as_its_quantity():
    slots = [a_slot(n, 1901, "D") for n in (1, 2, 3)]
    given = a_fill(slots, [a_coin(7, 1901, "D", quantity=2)])
    assert sorted(solve(given).pairs.values()) == [7, 7]
    assert len(propose(given).moves) == 2


def test_pinned_slots_and_their_coins_are_left_alone():
    slots = [a_slot(1, 1901, "D", is_pinned=True), a_slot(2, 1901, "D")]
    proposal = propose(a_fill(slots, [a_coin(7, 1901, "D")], {1: 7}))
    assert proposal.moves == ()
    assert proposal.have_before == proposal.have_after == {1: 1}


def test_a_coin_in_a_skipped_slot_serves_elsewhere_but_a_spare_goes_first():
    slots = [a_slot(1, 1901, "D", wish=Wish.SKIPPED), a_slot(2, 1901, "D")]
    (move,) = propose(a_fill(slots, [a_coin(7, 1901, "D")], {1: 7})).moves
    assert (move.slot, move.coin, move.from_slot) == (2, 7, 1)
    assert move.reason == "Fills the gap; 1901-D no. 1 is skipped."
    spare = a_fill(slots, [a_coin(7, 1901, "D"), a_coin(9, 1901, "D")], {1: 7})
    assert solve(spare).pairs == {2: 9}


def test_coins_in_albums_not_chosen_are_not_offered():
    given = a_fill([a_slot(1, 1901, "D")], [a_coin(7, 1901, "D")], elsewhere=frozenset({CoinId(7)}))
    assert solve(given).pairs == {}


def test_graded_and_ungraded_sound_coins_are_compared_by_eye():
    slot = a_slot(1, 1901, "D", target=Target(20))
    coins = [
        a_coin(7, 1901, "D"),
        *(a_coin(n, 1901, "D", points=p) for n, p in ((8, 12), (9, 45), (5, 45))),
    ]
    proposal = propose(a_fill([slot], coins, {1: 7}))
    assert proposal.moves == ()
    (compare,) = proposal.compares
    assert (compare.slot, compare.held, compare.newcomer, compare.others) == (1, 7, 5, 2)


def test_an_ungraded_spare_is_compared_unless_the_slot_has_all_it_asks():
    coins = [a_coin(7, 1901, "D", points=20), a_coin(8, 1901, "D")]
    for target, is_listed in ((None, True), (Target(40), True), (Target(20), False)):
        proposal = propose(a_fill([a_slot(1, 1901, "D", target=target)], coins, {1: 7}))
        assert proposal.moves == ()
        assert bool(proposal.compares) is is_listed


def test_a_coin_in_use_elsewhere_is_not_listed_for_comparing():
    slots = [a_slot(1, 1901, "D"), a_slot(2, 1901, "D")]
    coins = [a_coin(7, 1901, "D"), a_coin(8, 1901, "D", points=20)]
    proposal = propose(a_fill(slots, coins, {1: 7, 2: 8}))
    assert proposal.moves == ()
    assert proposal.compares == ()


def test_a_line_taken_off_solves_the_rest_without_that_pair():
    slots = [a_slot(1, 1901, "D"), a_slot(2, 1901, "D", target=Target(40))]
    coins = [a_coin(7, 1901, "D", points=45), a_coin(8, 1901, "D", points=12)]
    given = a_fill(slots, coins)
    assert solve(given).pairs == {1: 8, 2: 7}
    fewer = without(given, (SlotId(2), CoinId(7)))
    assert solve(fewer).pairs == {1: 7, 2: 8}
    assert solve(without(fewer, (SlotId(2), CoinId(8)))).pairs == {1: 7}


def test_barring_the_pair_that_stands_does_not_take_it_out():
    given = without(
        a_fill([a_slot(1, 1901, "D")], [a_coin(7, 1901, "D")], {1: 7}), (SlotId(1), CoinId(7))
    )
    assert solve(given).pairs == {1: 7}


def test_accepting_one_line_of_a_chain_makes_no_other_move():
    slots = [a_slot(1, 1901), a_slot(2, 1901, "S")]
    given = a_fill(slots, [a_coin(7, 1901, "S"), a_coin(8, 1901)], {1: 7})
    frees, fills = propose(given).moves
    assert partial(given, [frees]).moves == ()  # alone it would gain nothing
    assert partial(given, [fills]).moves == ()  # nor that: it would only empty the other slot
    assert [m.pair for m in partial(given, [frees, fills]).moves] == [frees.pair, fills.pair]


def test_moves_that_would_share_a_slot_or_a_coin_are_refused():
    given = a_fill([a_slot(1), a_slot(2)], [a_coin(7, 1901), a_coin(8, 1901)])
    one = Move(SlotId(1), CoinId(7), None, None, Aim.FILLS_GAP, "")
    with pytest.raises(Refused, match="same slot"):
        apply_moves(given, [one, Move(SlotId(1), CoinId(8), None, None, Aim.FILLS_GAP, "")])
    with pytest.raises(Refused, match="two slots"):
        apply_moves(given, [one, Move(SlotId(2), CoinId(7), None, None, Aim.FILLS_GAP, "")])
    assert apply_moves(given, [one]) == {1: 7}


def test_figures_by_album_count_wanted_slots_before_and_after():
    slots = [
        a_slot(1, 1901, "D", target=Target(20)),
        a_slot(2, 1901, "S"),
        a_slot(3, 1902, "D", album=LOWER, wish=Wish.OPTIONAL),
        a_slot(4, 1902, "S", album=LOWER, is_pinned=True),
    ]
    coins = [
        a_coin(7, 1901, "D", points=12),
        a_coin(8, 1901, "D", points=20),
        a_coin(9, 1901, "S", problems=(Problem.BENT,)),
        a_coin(10, 1902, "D"),
        a_coin(11, 1902, "S"),
    ]
    proposal = propose(a_fill(slots, coins, {1: 7, 4: 11}))
    assert proposal.have_before == {1: 1, 2: 1}
    assert proposal.have_after == {1: 2, 2: 1}
    assert proposal.target_before == {1: 0, 2: 1}
    assert proposal.target_after == {1: 1, 2: 1}
    assert proposal.after == {1: 8, 2: 9, 3: 10}


def test_nothing_to_fill_or_nothing_to_fill_with_proposes_nothing():
    assert propose(a_fill([], [a_coin(7, 1901, "D")])).moves == ()
    empty = propose(a_fill([a_slot(1, 1901, "D")], []))
    assert empty.moves == ()
    assert empty.have_after == {1: 0}


def test_coins_and_slots_of_a_series_not_at_hand_are_left_alone():
    given = a_fill([a_slot(1, 1901, "D")], [a_coin(7, 1901, "D")], {1: 7})
    strange = type(given)({}, given.albums, given.slots, given.coins, given.placed)
    assert solve(strange).pairs == {1: 7}
    loose = type(given)({}, given.albums, given.slots, given.coins, {})
    assert solve(loose).pairs == {}


def test_a_placed_coin_that_was_not_given_is_a_mistake_of_the_caller():
    with pytest.raises(ValueError, match="coin 7 sits in slot 1"):
        solve(a_fill([a_slot(1, 1901, "D")], [], {1: 7}))


def test_progress_runs_to_the_end_and_can_cancel():
    given = a_fill([a_slot(1, 1901, "D")], [a_coin(7, 1901, "D")])
    told: list[float] = []
    solve(given, told.append)
    assert told[0] == 0.0
    assert told[-1] == 1.0
    assert told == sorted(told)

    def cancel(share: float) -> None:
        raise Cancelled

    with pytest.raises(Cancelled):
        solve(given, cancel)
