"""In which order the slots of an album are laid out; pure."""

from collections.abc import Sequence
from typing import NamedTuple

from core.model.arrangement import Arrangement, Order

NO_LETTER = "none"
"""Stands for a mint to which the trade gives no letter, where "" stands for any mint."""


class OrderKey(NamedTuple):
    """What the order asks of a slot: the rank of its date, from 0; its mint, as in a `GridSlot`."""

    date: int
    mint: str


def in_order(keys: Sequence[OrderKey], arrangement: Arrangement, mints: Sequence[str]) -> list[int]:
    """The indexes of the slots in the order in which they are laid out.

    `mints`: the ids in the series' own order; the arrangement's goes before it, slots for any mint
    before all. Slots alike in date and mint stay as listed. In a matrix the mints stand side by
    side, so it goes by date.
    """
    if arrangement.order is Order.AS_LISTED:
        return list(range(len(keys)))
    known = dict.fromkeys(mint or NO_LETTER for mint in (*arrangement.mints, *mints))
    ranks = {mint: at for at, mint in enumerate(["", *known])}
    placed = [(key.date, ranks.setdefault(key.mint, len(ranks))) for key in keys]
    if arrangement.order is Order.MINT and not arrangement.kind.is_matrix:
        return sorted(range(len(keys)), key=lambda at: (placed[at][1], placed[at][0]))
    return sorted(range(len(keys)), key=placed.__getitem__)
