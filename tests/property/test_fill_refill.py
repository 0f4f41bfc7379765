"""After an edit a fill kept in mind is as good as one worked out from scratch."""

import random
from dataclasses import replace

import pytest
from hypothesis import given as examples
from hypothesis import settings
from hypothesis import strategies as st

from core.fill.proposal import proposal_of, propose
from core.fill.refill import Filling
from core.fill.solve import FillInput, solve
from core.fill.spares import Spares
from core.fill.value import is_offered, value_of
from core.model.album import Wish
from core.model.coin import Coin, CoinId
from tests.property.test_fill_large import a_large_group
from tests.strategies_fill import a_coin, random_fill, random_slot_and_coin


def in_columns(given: FillInput) -> FillInput:
    """The same, with the spares that may be moved as columns, as a collection gives them."""
    kept = {*given.placed.values(), *given.elsewhere}
    spares = [coin for coin in given.coins if coin.id not in kept and is_offered(coin)]
    loose = {coin.id for coin in spares}
    rest = tuple(coin for coin in given.coins if coin.id not in loose)
    return replace(given, coins=rest, spares=Spares.of(spares))


def value_kept(filling: Filling, given: FillInput) -> tuple[int, ...]:
    """The value of what is kept, as `solve` counts it."""
    solved = filling.solved()
    skipped = {s.id for s in given.slots if s.wish is Wish.SKIPPED and not s.is_pinned}
    rows = ((solved.slots[at], coin, worth) for at, coin, worth in solved.rows)
    return value_of(given.albums, rows, sum(slot in skipped for slot in given.placed))


@pytest.mark.parametrize("seed", range(150))
def test_spares_as_columns_are_filled_as_well_as_coins(seed: int) -> None:
    given = random_fill(seed, 6, 12)
    assert solve(in_columns(given)).value == solve(given).value
    assert propose(in_columns(given)).compares == propose(given).compares


def test_columns_give_back_the_coins_they_were_made_of() -> None:
    coins = [c for c in random_fill(3, 6, 12).coins if is_offered(c)]
    spares = Spares.of(coins)
    assert list(spares) == [replace(c, place="") for c in sorted(coins, key=lambda c: c.id)]
    assert spares == Spares.of(reversed(coins))
    assert spares != Spares.of(coins[1:])
    first = min(c.id for c in coins)
    assert spares.places([first, CoinId(10_000)]).tolist() == [0]


@settings(max_examples=150, deadline=None)
@examples(st.integers(0, 10_000), st.integers(1, 6), st.booleans())
def test_after_random_edits_it_equals_a_fill_from_scratch(
    seed: int, edits: int, is_large: bool
) -> None:
    rng = random.Random(seed)
    given = random_fill(seed, 8, 14) if not is_large else a_large_group(seed, 14, 24)
    given = in_columns(given)
    filling = Filling(given)
    coins: dict[CoinId, Coin] = {c.id: c for c in (*given.coins, *(given.spares or ()))}
    for _ in range(edits):
        if rng.random() < 0.3:
            pairs = {
                (rng.choice(given.slots).id, rng.choice([*coins, CoinId(1)])) for _ in range(2)
            }
            filling.bar(pairs)
            given = replace(given, barred=frozenset(pairs))
            barred = given.barred
        else:
            barred = given.barred
            number = rng.choice([*coins, CoinId(max(coins, default=0) + 1)])
            seated = number in {*given.placed.values()}
            if number in given.elsewhere:
                continue
            if rng.random() < 0.2 and not seated and number in coins:
                coins.pop(number)
                filling.edit({number: None})
            else:
                coin = random_slot_and_coin(rng, int(number))[1]
                coin = replace(coin, quantity=1) if seated else coin
                coins[number] = coin
                filling.edit({number: coin})
        given = replace(given, coins=tuple(coins.values()), spares=None, barred=barred)
        whole = solve(given)
        assert value_kept(filling, given) == whole.value
        assert solve(filling.given).value == whole.value
    again = proposal_of(filling.given, filling.solved())
    fresh = propose(filling.given)
    assert again.have_after == fresh.have_after
    assert again.target_after == fresh.target_after


def test_a_coin_that_is_gone_cannot_sit_in_a_slot() -> None:
    given = a_large_group(1, 6, 8)
    filling = Filling(given)
    seated = next(iter(given.placed.values()))
    with pytest.raises(ValueError, match="sits in slot"):
        filling.edit({seated: None})


def test_an_edit_leaves_what_does_not_hang_together_with_it() -> None:
    from tests.strategies_fill import a_fill, a_slot

    slots = [a_slot(1, 1901, "D"), a_slot(2, 1902, "D")]
    filling = Filling(a_fill(slots, [a_coin(5, 1901, "D", points=4), a_coin(6, 1902, "D")]))
    kept = filling._rows[1]
    filling.edit({CoinId(7): a_coin(7, 1901, "D", points=20)})
    assert filling.pairs == {1: 7, 2: 6}
    assert filling._rows[1] is kept
