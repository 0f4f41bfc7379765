"""Fill is optimal: as good as the best of all lawful assignments, found by trying every one.

The search below follows the text of design.md and shares no code with core.fill; it takes from the
model only what fits, what is a forbidden problem and what meets a target.
"""

from collections import Counter
from collections.abc import Iterator, Mapping

import pytest

from core.fill.solve import FillInput, solve
from core.model.album import Slot, Wish
from core.model.coin import Coin, CoinStatus, Finding
from core.model.fit import Fit, fit, has_barred_problem, meets_target
from tests.strategies_fill import random_fill

CASES = 300
AIMS = ("wanted", "optional", "sound", "target", "shelf", "points", "left", "plain", "numbers")


def to_verify(given: FillInput, slot: Slot, coin: Coin) -> bool:
    return coin.is_flagged or fit(given.series[slot.accepts.series], slot, coin) is not Fit.FITS


def is_lawful(given: FillInput, slot: Slot, coin: Coin) -> bool:
    """May this coin be in this slot after Fill?"""
    slots = {s.id: s for s in given.slots}
    coins = {c.id: c for c in given.coins}
    if given.placed.get(slot.id) == coin.id:
        return True
    home = next((slots[s] for s, c in given.placed.items() if c == coin.id), None)
    if home is not None and home.is_pinned:
        return False
    if coin.id in given.elsewhere or coin.status is not CoinStatus.HELD:
        return False
    if (slot.id, coin.id) in given.barred:
        return False
    if not coin.is_genuine or to_verify(given, slot, coin):
        return False
    stands = given.placed.get(slot.id)
    held = None if stands is None else coins[stands]
    if held is not None and not to_verify(given, slot, held):
        both_sound = not has_barred_problem(slot, held) and not has_barred_problem(slot, coin)
        if both_sound and (held.grade is None) != (coin.grade is None):
            return False
    return True


def every_assignment(given: FillInput) -> Iterator[dict]:
    slots = [s for s in given.slots if s.wish is not Wish.SKIPPED and not s.is_pinned]
    left = Counter({c.id: c.quantity for c in given.coins})
    choices = [[c for c in given.coins if is_lawful(given, s, c)] for s in slots]

    def extend(at: int, pairs: dict) -> Iterator[dict]:
        if at == len(slots):
            yield dict(pairs)
            return
        yield from extend(at + 1, pairs)
        for coin in choices[at]:
            if left[coin.id]:
                left[coin.id] -= 1
                pairs[slots[at].id] = coin.id
                yield from extend(at + 1, pairs)
                del pairs[slots[at].id]
                left[coin.id] += 1

    return extend(0, {})


def figures(given: FillInput, pairs: Mapping, album=None) -> tuple[int, int, int, int]:
    """Aims 1, 2, 3, of one album or of all."""
    coins = {c.id: c for c in given.coins}
    wanted = optional = sound = met = 0
    for slot in given.slots:
        if slot.id not in pairs or album not in (None, slot.album):
            continue
        coin = coins[pairs[slot.id]]
        wanted += slot.wish is Wish.WANTED
        optional += slot.wish is Wish.OPTIONAL
        if not to_verify(given, slot, coin):
            sound += not has_barred_problem(slot, coin)
            met += meets_target(slot, coin)
    return wanted, optional, sound, met


def value(given: FillInput, pairs: Mapping) -> tuple:
    """The six aims of design.md, in order: nine entries, named by AIMS."""
    coins = {c.id: c for c in given.coins}
    slots = {s.id: s for s in given.slots}
    points = off = 0
    for slot_id, coin_id in pairs.items():
        slot, coin = slots[slot_id], coins[coin_id]
        if coin.grade is not None and not to_verify(given, slot, coin):
            least = slot.target.least if slot.target else None
            cap = 70 if least is None or given.uncapped else least
            points += min(coin.grade.low, cap)
        confirmed = {v for v, found in coin.varieties if found is Finding.CONFIRMED}
        off += bool(confirmed) and slot.variety not in confirmed
    left = sum(pairs.get(slot_id) == coin_id for slot_id, coin_id in given.placed.items())
    for slot_id, coin_id in given.placed.items():
        if slots[slot_id].wish is Wish.SKIPPED and not slots[slot_id].is_pinned:
            left += coin_id not in pairs.values()
    return (
        *figures(given, pairs),
        tuple(figures(given, pairs, album) for album in given.albums),
        points,
        left,
        -off,
        -sum(pairs.values()),
    )


def flat(row: tuple) -> tuple[int, ...]:
    return (*row[:4], *(x for own in row[4] for x in own), *row[5:])


@pytest.mark.parametrize("limit", [1 << 53, 1 << 14], ids=["in one step", "aim by aim"])
def test_fill_equals_a_search_through_every_lawful_assignment(limit):
    for seed in range(CASES):
        given = random_fill(seed)
        best = max(value(given, pairs) for pairs in every_assignment(given))
        found = solve(given, limit=limit)
        assert value(given, dict(found.pairs)) == best, f"case {seed}"
        assert found.value == flat(best), f"case {seed}"
        slots = {s.id: s for s in given.slots}
        coins = {c.id: c for c in given.coins}
        for slot_id, coin_id in found.pairs.items():
            assert is_lawful(given, slots[slot_id], coins[coin_id]), f"case {seed}"
        used = Counter(found.pairs.values())
        assert all(used[c] <= coins[c].quantity for c in used), f"case {seed}"


def test_the_cases_put_every_aim_to_the_test():
    """In at least five of the cases each aim, after all those before it, rules something out."""
    decided: Counter[str] = Counter()
    for seed in range(CASES):
        given = random_fill(seed)
        rows = {value(given, pairs) for pairs in every_assignment(given)}
        best = max(rows)
        for at, aim in enumerate(AIMS):
            tied = {row for row in rows if row[:at] == best[:at]}
            decided[aim] += any(row[at] != best[at] for row in tied)
    assert all(decided[aim] >= 5 for aim in AIMS), decided
