"""Groups too large to try every assignment: against an independent matching in whole numbers.

networkx's maximum-weight matching (Edmonds' blossom algorithm) adds Python integers, which never
round; the aims are packed into one such integer a pair, whatever its size.
"""

import random
from itertools import pairwise
from time import monotonic

import networkx as nx
import pytest

from core.errors import Cancelled
from core.fill import match
from core.fill.groups import edges, groups
from core.fill.offers import Known, offers, slots_to_fill, standing
from core.fill.solve import FillInput, solve
from core.model.album import AlbumId, Target, Wish
from core.model.coin import Finding, Problem
from tests.planted_fill import greedy, planted
from tests.property.test_fill_optimal import flat, is_lawful, value
from tests.strategies_fill import DOUBLED, a_coin, a_fill, a_slot


def a_large_group(seed: int, n_slots: int, n_coins: int) -> FillInput:
    """Few dates, many slots that accept several of them, coin numbers up to ten million."""
    rng = random.Random(seed)
    albums = (AlbumId(5), AlbumId(2), AlbumId(9))
    slots = [
        a_slot(
            no,
            rng.choice([1901, 1902, None]),
            rng.choice(["D", "S", ""]),
            album=rng.choice(albums),
            wish=rng.choice([Wish.WANTED, Wish.WANTED, Wish.OPTIONAL]),
            target=rng.choice([None, Target(8), Target(20)]),
        )
        for no in range(1, n_slots + 1)
    ]
    points = (None, 4, 8, 12, 20, 25)
    coins = [
        a_coin(
            no,
            rng.choice([1901, 1902]),
            rng.choice(["D", "S", ""]),
            points=rng.choice(points),
            problems=(Problem.CLEANED,) if rng.random() < 0.25 else (),
            varieties=((DOUBLED, Finding.CONFIRMED),) if rng.random() < 0.1 else (),
        )
        for no in rng.sample(range(1, 10_000_000), n_coins)
    ]
    loose = [c.id for c in coins]
    rng.shuffle(loose)
    placed = {}
    for slot in slots:
        if loose and rng.random() < 0.4:
            placed[slot.id] = loose.pop()
    return a_fill(slots, coins, placed, albums=albums)


def best_by_blossoms(given: FillInput) -> tuple[int, ...]:
    """The best value, by a matching over exact integers."""
    pairs = [(s, c) for s in given.slots for c in given.coins if is_lawful(given, s, c)]
    nothing = flat(value(given, {}))
    rows = {(s.id, c.id): flat(value(given, {s.id: c.id})) for s, c in pairs}
    base = 1 << 32  # no sum of any aim comes near it
    graph = nx.Graph()
    for (slot, coin), row in rows.items():
        weight = 0
        for figure, none in zip(row, nothing, strict=True):
            weight = weight * base + figure - none
        graph.add_edge(("slot", slot), ("coin", coin), weight=weight)
    chosen = {}
    for one, two in nx.max_weight_matching(graph):
        (_, slot), (_, coin) = sorted((one, two), reverse=True)
        chosen[slot] = coin
    return flat(value(given, chosen))


@pytest.fixture
def steps(monkeypatch):
    """Counts how often aims reached were held for the aims after."""
    counted = []
    prices = match._prices

    def counting(*args):
        counted.append(1)
        return prices(*args)

    monkeypatch.setattr(match, "_prices", counting)
    return counted


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("cells", [match._DENSE_CELLS, 0], ids=["dense", "sparse"])
def test_a_group_whose_weights_pass_2_to_the_53_is_solved_aim_by_aim(
    seed, cells, steps, monkeypatch
):
    monkeypatch.setattr(match, "_DENSE_CELLS", cells)
    given = a_large_group(seed, n_slots=24, n_coins=24 + 4 * seed)
    found = solve(given)
    assert steps, "the whole group fitted into one step: the case proves nothing"
    assert found.value == best_by_blossoms(given)


@pytest.mark.parametrize("seed", range(100, 150))
def test_fifty_middle_sized_cases_are_as_good_as_an_independent_matching(seed):
    """Two dozen to a hundred slots that hang together, all aims in their order."""
    n_slots = 96 if seed % 10 == 9 else seed - 76
    given = a_large_group(seed, n_slots, n_coins=n_slots * (7 + seed % 6) // 10)
    assert solve(given).value == best_by_blossoms(given)


def test_a_linked_group_of_3000_slots_is_filled_as_it_was_planted(steps):
    """Its best fill is known by how it is made; taking the best coin slot by slot leaves gaps."""
    given, best = planted(3_000)
    slots = slots_to_fill(given)
    known = Known(given.series, given.uncapped)
    now = standing(given, slots, known.masks)
    decided, parts = groups(edges(slots, now, offers(given, slots, now, known)))
    assert len(decided) == 0
    assert [len(set(part.slot.tolist())) for part in parts] == [3_000]
    assert greedy(given) < 2_900
    assert solve(given).pairs == best
    assert steps


def test_a_long_fill_stops_within_a_second_of_being_cancelled():
    given, _ = planted(3_000)
    asked: list[float] = []

    def cancel_in_the_solver(share: float) -> None:
        asked.append(monotonic())
        if len(asked) > 10:
            raise Cancelled

    with pytest.raises(Cancelled):
        solve(given, cancel_in_the_solver)
    assert monotonic() - asked[-1] < 1
    assert max(after - before for before, after in pairwise(asked[2:])) < 1


def test_smaller_steps_lead_to_the_same_outcome(steps):
    given = a_large_group(1, n_slots=40, n_coins=70)
    outcomes = []
    for limit in (1 << 53, 1 << 44, 1 << 38):
        del steps[:]
        outcomes.append((solve(given, limit=limit).value, len(steps)))
    values, counts = zip(*outcomes, strict=True)
    assert len(set(values)) == 1
    assert counts[0] < counts[-1]


def test_an_aim_too_large_for_any_step_is_reported_not_rounded():
    with pytest.raises(ValueError, match="one aim alone"):
        solve(a_large_group(1, n_slots=24, n_coins=30), limit=1 << 12)


def test_prices_prove_a_matching_wrong_that_is_not_the_best():
    import numpy as np

    rows, cols = np.array([0, 0, 1, 1]), np.array([0, 1, 0, 1])
    weight = np.array([5, 1, 1, 5])
    best, worse = np.array([0, 3]), np.array([1, 2])
    has_no_slack, priced = match._prices(rows, cols, weight, best, 2)
    assert has_no_slack.tolist() == [True, False, False, True]
    assert not priced.any()
    with pytest.raises(ArithmeticError):
        match._prices(rows, cols, weight, worse, 2)


def test_hundreds_of_slots_that_hang_together_are_filled_as_far_as_can_be():
    """As many filled as a plain bipartite matching fills, by another library."""
    given = a_large_group(3, n_slots=400, n_coins=420)
    graph = nx.Graph()
    tops = [s.id for s in given.slots]
    graph.add_nodes_from(("slot", s) for s in tops)
    for slot in given.slots:
        for coin in given.coins:
            if is_lawful_quick(given, slot, coin):
                graph.add_edge(("slot", slot.id), ("coin", coin.id))
    most = nx.bipartite.hopcroft_karp_matching(graph, [("slot", s) for s in tops])
    assert sum(solve(given).value[:2]) == len(most) // 2


def is_lawful_quick(given, slot, coin) -> bool:
    """By date, mint, grade alone: no coin here is false, flagged, pinned or elsewhere."""
    if given.placed.get(slot.id) == coin.id:
        return True
    for facet in ("date", "mint"):
        asked = slot.accepts.values(facet)
        if asked and coin.description.values(facet) != asked:
            return False
    return True
