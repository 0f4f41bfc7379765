"""The spares of a series for Fill: narrow rows, read in pieces into columns, no object a coin."""

import struct
from collections.abc import Collection, Sequence
from functools import lru_cache
from itertools import compress, count
from typing import TYPE_CHECKING, Any, NamedTuple

from sqlalchemy import Connection, Dialect, literal_column, select

from core.errors import CollectionError
from core.model.coin import CoinStatus, Finding, Problem
from core.model.grade import Grade
from core.model.issue import Description, SeriesId, VarietyId
from core.store.mapping import (
    raw,
    read_description,
    read_grade,
    read_problems,
    read_varieties,
    unreadable,
)
from core.store.tables import coin, description, series

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Ints = NDArray[np.int64]

_PIECE = 512
_PACKED = struct.Struct(f"{_PIECE}q")
_DESCRIBED = select(description.c.id, description.c.key, series.c.code).join_from(
    description, series
)

SPARE_ROWS = (
    select(
        coin.c.id,
        coin.c.description_id,
        coin.c.grade,
        coin.c.problems,
        coin.c.varieties,
        coin.c.quantity,
    )
    .where(
        coin.c.status == literal_column(f"'{CoinStatus.HELD.value}'"),
        raw(coin.c.is_genuine) == literal_column("1"),
        raw(coin.c.is_flagged) == literal_column("0"),
    )
    .order_by(coin.c.id)
)
"""Every coin, of every series, that Fill may move and that may be a spare; by rising number.

Reading them all in their order takes half as long as picking one series' by the index.
"""


class SpareColumns(NamedTuple):
    """Spares by rising number: the first four run alike, an entry a coin or lot.

    `kind_of` and `look_of` are places in `kinds` (description, varieties) and `looks` (grade,
    problems).
    """

    number: "Ints"
    quantity: "Ints"
    kind_of: "Ints"
    look_of: "Ints"
    kinds: list[tuple[Description, tuple[tuple[VarietyId, Finding], ...]]]
    looks: list[tuple[Grade | None, tuple[Problem, ...]]]


class _Numbers(dict[Any, int]):
    """Numbers things as they are first asked for."""

    def __missing__(self, key: object) -> int:
        number = self[key] = len(self)
        return number


def read_spares(
    conn: Connection, codes: Collection[SeriesId], placed: Collection[int]
) -> SpareColumns:
    """Spares of these series; `placed` are the coins that sit in a slot.

    Raises FileTrouble where the file holds what cannot be read.
    """
    base = conn.connection.cursor()
    try:
        of_descriptions, of_spares = _as_sent(conn.dialect)
        described = {
            number: key for number, key, code in base.execute(of_descriptions) if code in codes
        }
        base.execute(of_spares)
        rows = _Rows()
        # Pieces so small that their tuples are gone before the collector of garbage looks at them.
        while piece := base.fetchmany(_PIECE):
            rows.take(piece)
    except struct.error as error:
        raise unreadable("A spare", error) from error
    finally:
        base.close()
    return _together(rows, described, placed)


@lru_cache(maxsize=4)
def _as_sent(dialect: Dialect) -> tuple[str, str]:
    """The text of both questions; to word them anew takes as long as thousands of rows."""
    return str(_DESCRIBED.compile(dialect=dialect)), str(SPARE_ROWS.compile(dialect=dialect))


class _Rows:
    """Rows as columns; `other` are the varieties of the few that have any, by place.

    A column is packed piece by piece: an array that grows takes three times as long.
    """

    def __init__(self) -> None:
        self.count = 0
        self.number, self.described = bytearray(), bytearray()
        self.look, self.quantity = bytearray(), bytearray()
        self.other: dict[int, str] = {}
        self.looks = _Numbers()

    def take(self, piece: Sequence[Any]) -> None:
        """Further rows of SPARE_ROWS, in their order."""
        numbers, described, grades, problems, varieties, quantities = zip(*piece, strict=True)
        pack = _PACKED.pack if len(piece) == _PIECE else struct.Struct(f"{len(piece)}q").pack
        if any(varieties):
            for at in compress(count(), varieties):
                self.other[self.count + at] = varieties[at]
        self.number += pack(*numbers)
        self.described += pack(*described)
        self.look += pack(*map(self.looks.__getitem__, zip(grades, problems, strict=True)))
        self.quantity += pack(*quantities)
        self.count += len(piece)


def _together(rows: _Rows, described: dict[int, str], placed: Collection[int]) -> SpareColumns:
    """The columns, without the coins of other series and those that sit in a slot."""
    import numpy as np

    number, what, look, quantity = (
        np.frombuffer(column, dtype=np.int64)
        for column in (rows.number, rows.described, rows.look, rows.quantity)
    )
    what = what.copy()
    looks = rows.looks
    counts = np.zeros(int(max(what.max(initial=0), *described, 0)) + 1, dtype=bool)
    counts[list(described)] = True
    kept = counts[what]
    if placed and len(number):
        seated = np.fromiter(placed, dtype=np.int64, count=len(placed))
        at = np.minimum(np.searchsorted(number, seated), len(number) - 1)
        kept[at[number[at] == seated]] = False
    # A kind is a description, numbered by its row; with varieties it has a number after them all.
    others = _Numbers()
    first = len(counts)
    for place, text in rows.other.items():
        if kept[place]:
            what[place] = first + others[int(what[place]), text]
    kind_of, kinds = _used(what[kept], first + len(others))
    look_of, used = _used(look[kept], len(looks))
    with_others, all_looks = list(others), list(looks)
    try:
        return SpareColumns(
            number[kept],
            quantity[kept],
            kind_of,
            look_of,
            [
                (read_description(described[one]), ())
                if one < first
                else (
                    read_description(described[with_others[one - first][0]]),
                    read_varieties(with_others[one - first][1]),
                )
                for one in kinds
            ],
            [(read_grade(all_looks[one][0]), read_problems(all_looks[one][1])) for one in used],
        )
    except (LookupError, ValueError, TypeError, CollectionError) as error:
        raise unreadable("A spare", error) from error


def _used(places: "Ints", most: int) -> tuple["Ints", list[int]]:
    """Where each place is among those that occur, of so many; and which these are."""
    import numpy as np

    is_used = np.zeros(most, dtype=bool)
    is_used[places] = True
    moved = np.cumsum(is_used) - 1
    return moved[places], np.flatnonzero(is_used).tolist()
