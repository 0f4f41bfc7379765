"""Whatever part of a proposal is accepted, what is applied is lawful and never a loss."""

from collections import Counter
from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from core.fill.proposal import apply_moves, partial, propose, without
from core.fill.solve import FillInput, solve
from core.model.album import Wish
from core.model.coin import CoinStatus
from core.model.fit import improves
from tests.property.test_fill_optimal import figures, is_lawful, value
from tests.strategies_fill import SERIES, random_fill

fills = st.integers(0, 1 << 32).map(random_fill)


def assert_lawful(task: FillInput, after: dict) -> None:
    slots = {s.id: s for s in task.slots}
    coins = {c.id: c for c in task.coins}
    for slot_id, coin_id in after.items():
        stands = task.placed.get(slot_id) == coin_id
        assert stands or is_lawful(task, slots[slot_id], coins[coin_id])
    for coin_id, times in Counter(after.values()).items():
        assert times <= coins[coin_id].quantity


def to_fill(task: FillInput, placed) -> dict:
    skip = {s.id for s in task.slots if s.is_pinned or s.wish is Wish.SKIPPED}
    return {slot: coin for slot, coin in placed.items() if slot not in skip}


@settings(max_examples=150, deadline=None)
@given(fills)
def test_the_moves_lead_from_what_stands_to_the_best_assignment(task):
    proposal = propose(task)
    after = apply_moves(task, proposal.moves)
    assert to_fill(task, after) == dict(solve(task).pairs) == proposal.after
    assert_lawful(task, after)
    for move in proposal.moves:
        assert move.leaving == task.placed.get(move.slot)
        assert move.from_slot == {c: s for s, c in task.placed.items()}.get(move.coin)
        assert move.reason.endswith(".")


@settings(max_examples=150, deadline=None)
@given(fills, st.data())
def test_any_lines_accepted_give_a_lawful_outcome_made_of_these_lines_only(task, data):
    moves = propose(task).moves
    accepted = data.draw(st.sets(st.sampled_from(moves)) if moves else st.just(set()))
    part = partial(task, accepted)
    assert {m.pair for m in part.moves} <= {m.pair for m in accepted}
    after = apply_moves(task, part.moves)
    assert_lawful(task, after)
    assert value(task, to_fill(task, after)) >= value(task, to_fill(task, task.placed))
    # Also made just as they are, no coin sits twice and no slot holds two.
    assert_lawful(task, apply_moves(task, accepted))


@settings(max_examples=150, deadline=None)
@given(fills, st.data())
def test_whole_chains_accepted_are_made_as_they_are(task, data):
    moves = propose(task).moves
    chains = sorted({move.chain for move in moves})
    chosen = data.draw(st.sets(st.sampled_from(chains)) if chains else st.just(set()))
    accepted = [move for move in moves if move.chain in chosen]
    part = partial(task, accepted)
    assert [m.pair for m in part.moves] == [m.pair for m in accepted]


@settings(max_examples=100, deadline=None)
@given(fills)
def test_a_line_taken_off_does_not_come_back_and_gains_no_slot(task):
    for move in propose(task).moves:
        rest = propose(without(task, move.pair))
        assert move.pair not in {m.pair for m in rest.moves}
        assert figures(task, rest.after) <= figures(task, solve(task).pairs)


@settings(max_examples=100, deadline=None)
@given(fills, st.randoms(use_true_random=False))
def test_the_order_in_which_coins_and_slots_are_given_does_not_matter(task, rng):
    coins, slots = list(task.coins), list(task.slots)
    rng.shuffle(coins)
    rng.shuffle(slots)
    assert solve(replace(task, coins=tuple(coins), slots=tuple(slots))) == solve(task)


@settings(max_examples=300, deadline=None)
@given(fills)
def test_a_spare_is_marked_as_waiting_if_and_only_if_fill_would_put_it_in(task):
    """One slot and one spare, so that nothing else can be the reason for a move."""
    coins = {c.id: c for c in task.coins}
    for slot in task.slots:
        stands = task.placed.get(slot.id)
        for spare in task.coins:
            if spare.status is not CoinStatus.HELD or spare.id in task.placed.values():
                continue
            alone = replace(
                task,
                albums=(slot.album,),
                slots=(slot,),
                coins=tuple(task.coins),
                placed={} if stands is None else {slot.id: stands},
                elsewhere=frozenset(coins) - {spare.id, stands},
                uncapped=False,
                barred=frozenset(),
            )
            held = None if stands is None else coins[stands]
            is_waiting = improves(SERIES, slot, held, spare)
            assert bool(propose(alone).moves) is is_waiting
