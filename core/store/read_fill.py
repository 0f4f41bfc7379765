"""The spares of a series for Fill: narrow rows, read in pieces into columns, no object a coin."""

from collections.abc import Collection, Iterable, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

from sqlalchemy import Connection, literal_column, select

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

_PIECE = 4096

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


class _Pieces:
    """Takes pieces of rows and puts them into columns."""

    def __init__(self, ids: Iterable[int]) -> None:
        """`ids` of the descriptions that count."""
        import numpy as np

        self._columns: list[tuple[Ints, Ints, Ints, Ints]] = []
        self._kinds = _Numbers()
        self._looks = _Numbers()
        wanted = np.array(sorted(ids), dtype=np.int64)
        # By description: the number of its kind without varieties, -1 where it does not count.
        self._plain = np.full(int(wanted.max(initial=0)) + 1, -1, dtype=np.int64)
        self._plain[wanted] = [self._kinds[one, ""] for one in wanted.tolist()]

    def take(self, rows: Sequence[Any]) -> None:
        """Further rows of SPARE_ROWS, in their order."""
        import numpy as np

        numbers, described, grades, problems, varieties, quantities = zip(*rows, strict=True)
        what = np.array(described, dtype=np.int64)
        what[what >= len(self._plain)] = 0
        kind = self._plain[what]
        look = np.array(list(map(self._looks.__getitem__, zip(grades, problems, strict=True))))
        if any(varieties):
            for at, text in enumerate(varieties):
                if text and kind[at] >= 0:
                    kind[at] = self._kinds[described[at], text]
        number = np.array(numbers, dtype=np.int64)
        self._columns.append((number, np.array(quantities, dtype=np.int64), kind, look))

    def columns(self, described: dict[int, str], placed: Collection[int]) -> SpareColumns:
        """All of them together, without the coins that sit in a slot."""
        import numpy as np

        empty = [np.zeros(0, dtype=np.int64)] * 4
        number, quantity, kind, look = map(np.concatenate, zip(empty, *self._columns, strict=True))
        counts = kind >= 0
        if placed and len(number):
            seated = np.array(list(placed), dtype=np.int64)
            at = np.minimum(np.searchsorted(number, seated), len(number) - 1)
            counts[at[number[at] == seated]] = False
        kind_of, kinds = _used(kind[counts], list(self._kinds))
        look_of, looks = _used(look[counts], list(self._looks))
        try:
            return SpareColumns(
                number[counts],
                quantity[counts],
                kind_of,
                look_of,
                [(read_description(described[one]), read_varieties(text)) for one, text in kinds],
                [(read_grade(grade), read_problems(text)) for grade, text in looks],
            )
        except (LookupError, ValueError, TypeError, CollectionError) as error:
            raise unreadable("A spare", error) from error


def _used(places: "Ints", entries: list[Any]) -> tuple["Ints", list[Any]]:
    """The entries that are referred to, and where each place now is."""
    import numpy as np

    is_used = np.zeros(len(entries), dtype=bool)
    is_used[places] = True
    moved = np.cumsum(is_used) - 1
    return moved[places], [entries[at] for at in np.flatnonzero(is_used).tolist()]


def read_spares(
    conn: Connection, codes: Collection[SeriesId], placed: Collection[int]
) -> SpareColumns:
    """Spares of these series; `placed` are the coins that sit in a slot.

    Raises FileTrouble where the file holds what cannot be read.
    """
    asked = select(description.c.id, description.c.key).join_from(description, series)
    rows = conn.execute(asked.where(series.c.code.in_(codes)))
    described = {row[0]: row[1] for row in rows}
    pieces = _Pieces(described)
    cursor = conn.connection.cursor()
    try:
        cursor.execute(str(SPARE_ROWS.compile(dialect=conn.dialect)))
        while piece := cursor.fetchmany(_PIECE):
            pieces.take(piece)
    finally:
        cursor.close()
    return pieces.columns(described, placed)
