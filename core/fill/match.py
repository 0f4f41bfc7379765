"""One independent group, solved exactly: the lexicographically greatest matching.

Every aim is an integer that adds up over the pairs. As many aims as fit are packed into one
integer weight, digit by digit, each digit's base being the spread its sum can have; the library's
assignment solver works in floating point, exactly so below 2^53. Where all aims do not fit, the
group is solved some aims at a time: from a best matching come prices (the dual), worked out and
checked in 64-bit integers, and a matching keeps the aims reached if and only if it uses pairs
without slack and every piece that has a price. That is held for the aims after.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from core.fill.groups import Edge
from core.model.album import Slot, Wish

Ints = NDArray[np.int64]
EXACT = 1 << 53
# Along an alternating path the solver adds and subtracts a few matchings' weights.
_HEADROOM = 8
_DENSE_CELLS = 1_000_000


def best_edges(slots: Sequence[Slot], group: Sequence[Edge], limit: int = EXACT) -> list[Edge]:
    """The edges of the best matching of a group, which must be sorted by slot.

    `limit`: the weights that the solver adds up without rounding stay below it.
    Raises ValueError where one aim alone passes it.
    """
    first: dict[int, Edge] = {}
    for edge in group:
        best = first.get(edge.slot)
        if best is None or (edge.worth, -edge.coin) > (best.worth, -best.coin):
            first[edge.slot] = edge
    if len({edge.piece for edge in first.values()}) == len(first):
        return list(first.values())  # each slot has its best: no matching is greater in any aim
    return _solve(slots, list(group), limit)


def _solve(slots: Sequence[Slot], group: list[Edge], limit: int) -> list[Edge]:
    places = {at: no for no, at in enumerate(dict.fromkeys(e.slot for e in group))}
    pieces = {piece: no for no, piece in enumerate(dict.fromkeys(e.piece for e in group))}
    # Every slot has a piece of its own at the end, worth nothing: it stays empty.
    rows = np.array([places[e.slot] for e in group] + list(range(len(places))), dtype=np.int64)
    cols = np.array(
        [pieces[e.piece] for e in group] + list(range(len(pieces), len(pieces) + len(places))),
        dtype=np.int64,
    )
    digits = [
        np.concatenate([d, np.zeros(len(places), dtype=np.int64)]) for d in aim_digits(slots, group)
    ]
    alive = np.arange(len(rows))
    priced = np.zeros(len(pieces) + len(places), dtype=bool)
    while True:
        weight, used = _packed(digits, rows[alive], alive, priced[cols[alive]], limit)
        taken = _assign(rows[alive], cols[alive], weight)
        digits = digits[used:]
        if not digits:
            break
        tight, priced = _prices(rows[alive], cols[alive], weight, taken, len(priced))
        alive = alive[tight]
    return [group[at] for at in alive[taken] if at < len(group)]


def aim_digits(slots: Sequence[Slot], group: Sequence[Edge]) -> list[Ints]:
    """Per aim, in order, what each edge adds to it; aims that cannot differ are left out."""
    wanted = np.array([slots[e.slot].wish is Wish.WANTED for e in group], dtype=np.int64)
    worth = np.array([e.worth for e in group], dtype=np.int64)
    numbers = np.array([e.coin for e in group], dtype=np.int64)
    album = np.array([slots[e.slot].album for e in group], dtype=np.int64)
    own = [wanted, 1 - wanted, worth[:, 0], worth[:, 1]]
    digits = list(own)
    # Slots are sorted by shelf. Totals being held, the last album's figures follow from the rest.
    for one in list(dict.fromkeys(album.tolist()))[:-1]:
        digits += [figure * (album == one) for figure in own]
    # As many pieces are used whatever comes after aim 1, so numbers may count from the lowest.
    digits += [worth[:, 2], worth[:, 3], worth[:, 4], numbers.min() - numbers]
    return [digit for digit in digits if digit.any()]


def _packed(
    digits: Sequence[Ints], rows: Ints, alive: Ints, must: NDArray[np.bool_], limit: int
) -> tuple[Ints, int]:
    """The leading aims as one weight per edge, and how many they are.

    First of all as many as can be of the pieces that `must` be used.
    """
    order = np.argsort(rows, kind="stable")
    starts = np.flatnonzero(np.diff(rows[order], prepend=-1))
    chosen = [must.astype(np.int64)] if must.any() else []
    leading = len(chosen)
    chosen += [digit[alive] for digit in digits]
    weight = np.zeros(len(rows), dtype=np.int64)
    spread = _HEADROOM
    used = 0
    for digit in chosen:
        high = np.maximum(np.maximum.reduceat(digit[order], starts), 0)
        low = np.minimum(np.minimum.reduceat(digit[order], starts), 0)
        base = sum(high.tolist()) - sum(low.tolist()) + 1
        if spread * base > limit:
            break
        spread *= base
        weight = weight * base + digit
        used += 1
    if used <= leading and digits:
        raise ValueError("one aim alone passes what the solver adds up exactly")
    return weight, used - leading


def _assign(rows: Ints, cols: Ints, weight: Ints) -> Ints:
    """Which edges make the matching of every row with the greatest weight."""
    from scipy.optimize import linear_sum_assignment
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import min_weight_full_bipartite_matching

    names, where = np.unique(cols, return_inverse=True)
    shape = (int(rows.max()) + 1, len(names))
    if shape[0] * shape[1] <= _DENSE_CELLS:
        dense = np.full(shape, np.inf)
        dense[rows, where] = -weight.astype(np.float64)
        _, column_of = linear_sum_assignment(dense)
    else:
        # No weight may be nought there, and every row is matched: all may be raised alike.
        cost = (weight.max() + 1 - weight).astype(np.float64)
        sparse = coo_array((cost, (rows, where)), shape=shape).tocsr()
        _, column_of = min_weight_full_bipartite_matching(sparse)
    return np.flatnonzero(np.asarray(column_of)[rows] == where)


def _prices(
    rows: Ints, cols: Ints, weight: Ints, taken: Ints, pieces: int
) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Which edges have no slack, and which pieces have a price, under the least dual prices.

    Raises ArithmeticError if the matching is not a best one: the prices prove that it is.
    """
    mine_weight = np.zeros(int(rows.max()) + 1, dtype=np.int64)
    mine_col = np.zeros_like(mine_weight)
    mine_weight[rows[taken]] = weight[taken]
    mine_col[rows[taken]] = cols[taken]
    gain = weight - mine_weight[rows]
    price = np.zeros(pieces, dtype=np.int64)
    for _ in range(len(mine_col) + 2):
        asked = price.copy()
        np.maximum.at(asked, cols, price[mine_col[rows]] + gain)
        if np.array_equal(asked, price):
            break
        price = asked
    else:
        raise ArithmeticError("the solver's matching is not a best one")
    is_taken = np.zeros(pieces, dtype=bool)
    is_taken[mine_col] = True
    if price[~is_taken].any():
        raise ArithmeticError("the solver's matching leaves a better piece unused")
    # The row's own weight less its price, less what this edge would leave: nought where tight.
    slack = price[cols] - price[mine_col[rows]] - gain
    return slack == 0, price > 0
