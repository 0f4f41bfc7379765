"""One independent group, solved exactly: the lexicographically greatest matching.

Every aim is a whole number that adds up over the pairs. As many aims as fit are packed into one
weight, digit by digit, each digit's base being the spread its sum can have; the library's
assignment solver works in floating point, exactly so below 2^53. Where not all aims fit, the
group is solved some aims at a time. A best matching yields prices (its dual), worked out and
checked in 64-bit integers; a matching keeps the aims reached if and only if it uses pairs without
slack, and every piece that has a price. To that the aims after are held.
"""

from collections.abc import Callable, Sequence
from threading import Thread
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from core.fill.groups import Edges
from core.fill.spares import Ints
from core.model.album import Slot, Wish

Solution = TypeVar("Solution")

EXACT = 1 << 53
# Along an alternating path the solver adds and takes off a few matchings' weights.
_HEADROOM = 8
# A table of so many cells takes 320 MB. The sparse solver, for larger ones, needs little room, but
# where many slots like the same coins it outbids itself in steps as small as the least aim.
_DENSE_CELLS = 40_000_000
_LONG_CELLS = 1_000_000  # from here on it takes long enough to be asked to stop
_POLL_S = 0.05


def best_matching(
    slots: Sequence[Slot],
    group: Edges,
    limit: int = EXACT,
    check: Callable[[], None] | None = None,
) -> Edges:
    """The rows of a group's best matching.

    `limit`: the weights that the solver adds up stay below it. `check` is called now and then, and
    may raise to cancel. Raises ValueError where one aim alone would pass the limit.
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
        taken = _assign(row, col, weight, check)
        digits = digits[used:]
        if not digits:
            break
        has_no_slack, priced = _prices(row, col, weight, taken, len(priced), check)
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


def _assign(rows: Ints, cols: Ints, weight: Ints, check: Callable[[], None] | None = None) -> Ints:
    """The positions that make the matching of every row with the greatest weight."""
    from scipy.optimize import linear_sum_assignment
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import min_weight_full_bipartite_matching

    names, where = np.unique(cols, return_inverse=True)
    shape = (int(rows.max()) + 1, len(names))
    cells = shape[0] * shape[1]
    if cells <= _DENSE_CELLS:
        table = np.full(shape, np.inf)
        table[rows, where] = -weight
        if check is None or cells < _LONG_CELLS:
            _, column_of = linear_sum_assignment(table)
        else:
            _, column_of = _beside(lambda: linear_sum_assignment(table), check)
    else:
        # Weights must not be nought here; every row is matched, so all may be raised alike.
        cost = (weight.max() + 1 - weight).astype(np.float64)
        sparse = coo_array((cost, (rows, where)), shape=shape).tocsr()
        _, column_of = min_weight_full_bipartite_matching(sparse)
    return np.flatnonzero(np.asarray(column_of)[rows] == where)


def _beside(work: Callable[[], Solution], check: Callable[[], None]) -> Solution:
    """What the work gives, done on another thread while this one looks whether to go on.

    The library's solver lets others run, but cannot be stopped: cancelled, it is left to come to
    its end by itself, and what it gives is dropped.
    """
    given: list[Solution] = []
    failed: list[BaseException] = []

    def run() -> None:
        try:
            given.append(work())
        except BaseException as error:  # noqa: BLE001 - raised again below, on the thread that asked
            failed.append(error)

    thread = Thread(target=run, daemon=True)
    thread.start()
    while thread.is_alive():
        check()
        thread.join(_POLL_S)
    if failed:
        raise failed[0]
    return given[0]


def _prices(
    rows: Ints,
    cols: Ints,
    weight: Ints,
    taken: Ints,
    pieces: int,
    check: Callable[[], None] | None = None,
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
    for turn in range(len(own_col) + 2):
        if check is not None and turn % 64 == 0:
            check()
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
