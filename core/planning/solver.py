"""Programmes given to HiGHS, through scipy, so that they can be waited for and left.

A solver call cannot be broken off from outside. It runs in a thread of its own, which gives the
interpreter free; whoever waits is told twenty times a second that time goes by and may raise to
leave. What the call then still does is dropped, and its time limit, which is one slice, ends it.
"""

from collections.abc import Callable
from dataclasses import dataclass
from threading import Thread
from typing import Any, TypeVar

import numpy as np

from core.planning.rows import Bools, Floats, Rows

T = TypeVar("T")
POLL_S = 0.05
_OPTIMAL, _LIMIT, _INFEASIBLE, _OTHER = 0, 1, 2, 4


@dataclass(frozen=True, slots=True)
class Found:
    """The best choice found, if any; whether it is proven; that none exists at all; the bound."""

    chosen: Bools | None
    is_done: bool
    is_impossible: bool
    most: float


def maximise(weights: Floats, rows: Rows, limit_s: float, tell: Callable[[], None]) -> Found:
    """The choice of the greatest sum of weights that keeps to the rows, sought for `limit_s`."""
    return _waited(lambda: _solve(weights, rows, limit_s), tell)


def row_prices(weights: Floats, rows: Rows, tell: Callable[[], None]) -> Floats:
    """What one more of each row's bound would add if choices could be made in part.

    Positive for a most that binds, negative for a least. Zeros where nothing holds the rows.
    """
    return _waited(lambda: _prices(weights, rows), tell)


def _waited(work: Callable[[], T], tell: Callable[[], None]) -> T:
    answers: list[T] = []
    faults: list[BaseException] = []

    def run() -> None:
        try:
            answers.append(work())
        except BaseException as error:  # noqa: BLE001 - raised again where it is waited for
            faults.append(error)

    thread = Thread(target=run, name="plan", daemon=True)
    thread.start()
    while True:
        thread.join(POLL_S)
        if not thread.is_alive():
            break
        tell()
    for fault in faults:
        raise fault
    return answers[0]


def bare_model(weights: Floats, rows: Rows) -> dict[str, Any]:
    """What scipy's `milp` is given."""
    from scipy.optimize import Bounds, LinearConstraint
    from scipy.sparse import csr_array

    times = rows.times.astype(np.float64)
    matrix = csr_array((times, (rows.row, rows.at)), shape=(len(rows), len(weights)))
    return {
        "c": -weights,
        "integrality": np.ones(len(weights)),
        "bounds": Bounds(0, 1),
        "constraints": [LinearConstraint(matrix, rows.least, rows.most)] if len(rows) else [],
    }


def _solve(weights: Floats, rows: Rows, limit_s: float) -> Found:
    from scipy.optimize import milp

    options = {"time_limit": limit_s, "mip_rel_gap": 0.0}
    answer = milp(**bare_model(weights, rows), options=options)
    is_impossible = answer.status == _INFEASIBLE or (
        answer.status == _OTHER and "infeasible" in answer.message  # nothing here is unbounded
    )
    if answer.status not in {_OPTIMAL, _LIMIT} and not is_impossible:
        raise RuntimeError(f"the solver could not go on: {answer.message}")
    chosen = None if answer.x is None else np.asarray(answer.x > 0.5)
    most = np.inf if answer.mip_dual_bound is None else -float(answer.mip_dual_bound)
    return Found(chosen, answer.status == _OPTIMAL, is_impossible, most)


def _prices(weights: Floats, rows: Rows) -> Floats:
    from scipy.optimize import linprog
    from scipy.sparse import csr_array, vstack

    times = rows.times.astype(np.float64)
    matrix = csr_array((times, (rows.row, rows.at)), shape=(len(rows), len(weights)))
    upper, lower = np.isfinite(rows.most), np.isfinite(rows.least)
    answer = linprog(
        -weights,
        A_ub=vstack([matrix[upper], -matrix[lower]]),
        b_ub=np.concatenate([rows.most[upper], -rows.least[lower]]),
        bounds=(0, 1),
        method="highs",
    )
    prices = np.zeros(len(rows))
    if answer.status == _OPTIMAL:
        found = -np.asarray(answer.ineqlin.marginals)
        count = int(upper.sum())
        prices[upper] = found[:count]
        prices[lower] -= found[count:]
    return prices
