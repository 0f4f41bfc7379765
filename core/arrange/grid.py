"""Slots to leaves of rows; pure: no database, no Qt."""

from collections.abc import Sequence

from core.arrange.layout import (
    SPACER,
    Cell,
    Column,
    GridSlot,
    LeafLayout,
    RowLayout,
    WasStruck,
)
from core.arrange.matrix import matrix
from core.arrange.order import NO_LETTER, OrderKey, in_order
from core.arrange.row_map import by_map
from core.arrange.running import running
from core.model.arrangement import Arrangement, ArrangementKind, Order

__all__ = [
    "NO_LETTER",
    "SPACER",
    "Cell",
    "Column",
    "GridSlot",
    "LeafLayout",
    "RowLayout",
    "arrange",
]


def arrange(
    slots: Sequence[GridSlot],
    arrangement: Arrangement,
    columns: Sequence[Column],
    was_struck: WasStruck,
) -> tuple[LeafLayout, ...]:
    """Lay slots out; every slot stands in exactly one cell, in the arrangement's order.

    `columns` are the mints in the series' order; `was_struck(date, mint)` tells not-struck places
    from spacers in a matrix. No slots give no leaves.
    """
    if not slots:
        return ()
    turn: Sequence[int] = range(len(slots))
    if arrangement.order is not Order.AS_LISTED:
        keys = [OrderKey(slot.rank, slot.mint) for slot in slots]
        turn = in_order(keys, arrangement, [column.mint for column in columns])
    if arrangement.kind.is_matrix:
        return matrix(slots, turn, arrangement, columns, was_struck)
    if arrangement.kind is ArrangementKind.ROW_MAP:
        return by_map(slots, turn, arrangement)
    return running(slots, turn, arrangement, columns)
