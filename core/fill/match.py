"""One independent group, solved exactly: the lexicographically greatest matching.

Every aim is a whole number that adds up over the pairs. As many aims as fit are packed into one
weight, digit by digit, each digit's base being the spread its sum can have; the library's
assignment solver works in floating point, exactly so below 2^53. Where not all aims fit, the
group is solved some aims at a time. A best matching yields prices (its dual), worked out and
checked in 64-bit integers; a matching keeps the aims reached if and only if it uses pairs without
slack, and every piece that has a price. To that the aims after are held.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from core.fill.groups import Edges
from core.fill.spares import Ints
from core.model.album import Slot, Wish

EXACT = 1 << 53
# Along an alternating path the solver adds and takes off a few matchings' weights.
_HEADROOM = 8
_DENSE_CELLS = 1_000_000


def best_matching(slots: Sequence[Slot], group: Edges, limit: int = EXACT) -> Edges:
    """The rows of a group's best matching.

    `limit`: the weights that the solver adds up stay below it.
    Raises ValueError where one aim alone would pass it.
    """
    names, rows = np.unique(group.slot, return_inverse=True)
    pieces, cols = np.unique(group.piece, return_inverse=True)
    # Every slot has a piece of its own at the end, worth nothing: it stays empty.
    empty = np.arange(len(names))
    rows = np.concatenate([rows, empty])
    cols = np.concatenate([cols, len(pieces) + empty])
    digits = [np.concatenate([d, 0 * empty]) for d in aim_digits(slots, group)]
    priced = np.zeros(len(pieces) + len(names), dtype=bool)
    alive = np.arange(len(rows))
    while True:
        row, col = rows[alive], cols[alive]
        weight, used = _packed([d[alive] for d in digits], row, priced[col], limit)
        taken = _assign(row, col, weight)
        digits = digits[used:]
        if not digits:
            break
        has_no_slack, priced = _prices(row, col, weight, taken, len(priced))
        alive = alive[has_no_slack]
    chosen = alive[taken]
    return group.rows(chosen[chosen < len(group)])


def aim_digits(slots: Sequence[Slot], group: Edges) -> list[Ints]:
    """Per aim, in order, what each row adds to it; aims to which none adds are left out."""
    places, where = np.unique(group.slot, return_inverse=True)
    albums = [slots[at].album for at in places.tolist()]
    album = np.array(albums, dtype=np.int64)[where]
    wished = [slots[at].wish is Wish.WANTED for at in places.tolist()]
    wanted = np.array(wished, dtype=np.int64)[where]
    sound, met, points, stays, plain = group.worth.T
    own = [wanted, 1 - wanted, sound, met]
    digits = list(own)
    # Slots come by shelf. Totals being held, the last album's figures follow from the others'.
    for one in list(dict.fromkeys(albums))[:-1]:
        digits += [figure * (album == one) for figure in own]
    # Aim 1 settles how many pieces are used, so their numbers may be counted from the lowest.
    digits += [points, stays, plain, group.number.min() - group.number]
    return [digit for digit in digits if digit.any()]


def _packed(
    digits: Sequence[Ints], rows: Ints, must: NDArray[np.bool_], limit: int
) -> tuple[Ints, int]:
    """The leading aims as one weight a row, and how many aims they are.

    Before them all comes how many of the pieces are used that `must` be.
    """
    order = np.argsort(rows, kind="stable")
    starts = np.flatnonzero(np.diff(rows[order], prepend=-1))
    before = [must.astype(np.int64)] if must.any() else []
    weight = np.zeros(len(rows), dtype=np.int64)
    spread = _HEADROOM
    used = 0
    for digit in [*before, *digits]:
        by_row = digit[order]
        high = np.maximum(np.maximum.reduceat(by_row, starts), 0).tolist()
        low = np.minimum(np.minimum.reduceat(by_row, starts), 0).tolist()
        base = sum(high) - sum(low) + 1
        if spread * base > limit:
            break
        spread *= base
        weight = weight * base + digit
        used += 1
    if used <= len(before):
        raise ValueError("one aim alone passes what the solver adds up exactly")
    return weight, used - len(before)


def _assign(rows: Ints, cols: Ints, weight: Ints) -> Ints:
    """The positions that make the matching of every row with the greatest weight."""
    from scipy.optimize import linear_sum_assignment
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import min_weight_full_bipartite_matching

    names, where = np.unique(cols, return_inverse=True)
    shape = (int(rows.max()) + 1, len(names))
    if shape[0] * shape[1] <= _DENSE_CELLS:
        table = np.full(shape, np.inf)
        table[rows, where] = -weight
        _, column_of = linear_sum_assignment(table)
    else:
        # Weights must not be nought here; every row is matched, so all may be raised alike.
        cost = (weight.max() + 1 - weight).astype(np.float64)
        sparse = coo_array((cost, (rows, where)), shape=shape).tocsr()
        _, column_of = min_weight_full_bipartite_matching(sparse)
    return np.flatnonzero(np.asarray(column_of)[rows] == where)


def _prices(
    rows: Ints, cols: Ints, weight: Ints, taken: Ints, pieces: int
) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Which positions have no slack, and which pieces a price, under the least prices.

    Raises ArithmeticError if the matching is not a best one: prices prove that it is.
    """
    own_weight = np.zeros(int(rows.max()) + 1, dtype=np.int64)
    own_col = np.zeros_like(own_weight)
    own_weight[rows[taken]] = weight[taken]
    own_col[rows[taken]] = cols[taken]
    gain = weight - own_weight[rows]
    price = np.zeros(pieces, dtype=np.int64)
    for _ in range(len(own_col) + 2):
        raised = price.copy()
        np.maximum.at(raised, cols, price[own_col[rows]] + gain)
        if np.array_equal(raised, price):
            break
        price = raised
    else:
        raise ArithmeticError("the solver's matching is not a best one")
    is_taken = np.zeros(pieces, dtype=bool)
    is_taken[own_col] = True
    if price[~is_taken].any():
        raise ArithmeticError("the solver's matching leaves a better piece unused")
    # What a row would lose by this piece, at these prices, against its own.
    slack = price[cols] - price[own_col[rows]] - gain
    return slack == 0, price > 0
