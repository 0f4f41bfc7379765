"""The column work beneath a fill, against the plain way to do the same."""

import numpy as np
import pytest

from core.fill.groups import _expand, _order


@pytest.mark.parametrize("most", [3, 1000, 1 << 40, (1 << 62) - 1])
def test_keys_are_ordered_and_those_alike_stay_as_they_were(most: int) -> None:
    rnd = np.random.default_rng(most)
    for count in (0, 1, 2, 511, 512, 3000):
        key = rnd.integers(0, most, count, dtype=np.int64, endpoint=True)
        expected = sorted(range(count), key=key.tolist().__getitem__)
        assert _order(key).tolist() == expected


def test_rows_are_spread_over_the_lists_they_name() -> None:
    which = np.array([4, 0, 2, 3, 4], dtype=np.int64)
    row, entry = _expand(which, 2, [[7, 9], [], [5]])
    assert list(zip(row.tolist(), entry.tolist(), strict=True)) == [
        (0, 5),
        (1, 0),
        (2, 7),
        (2, 9),
        (4, 5),
    ]
