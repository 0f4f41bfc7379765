"""The order of an album's slots: only what stands elsewhere is written, in one statement."""

from collections.abc import Sequence
from typing import NamedTuple

from sqlalchemy import Connection, bindparam, case, or_, select, update

from core.errors import NotFound
from core.model.album import AlbumId, SlotId
from core.store.tables import slot

_MOST_RUNS = 60
"""More runs than that are written slot by slot."""


class Run(NamedTuple):
    """Slots that stand one after another, `first` to `last`, and all move by so many places."""

    first: int
    last: int
    by: int


def reorder(conn: Connection, album_id: AlbumId, order: Sequence[SlotId]) -> list[SlotId]:
    """Number an album's slots from 0 in this order; which of them stand elsewhere now.

    Raises NotFound where the order does not name each slot of the album once.
    """
    stands = select(slot.c.id, slot.c.position).where(slot.c.album_id == album_id)
    before = {SlotId(row[0]): int(row[1]) for row in conn.execute(stands)}
    if len(order) != len(before) or before.keys() != set(order):
        raise NotFound("The album has other slots by now. Look again what is there.")
    moved = [(before[one], at, one) for at, one in enumerate(order) if before[one] != at]
    if not moved:
        return []
    are_apart = len(set(before.values())) == len(before)
    found = runs([(old, new) for old, new, _ in moved])
    if are_apart and len(found) <= _MOST_RUNS:
        here = slot.c.position
        to = case(*((here.between(r.first, r.last), here + r.by) for r in found), else_=here)
        theirs = or_(*(here.between(r.first, r.last) for r in found))
        conn.execute(update(slot).where(slot.c.album_id == album_id, theirs).values(position=to))
    else:
        each = update(slot).where(slot.c.id == bindparam("of")).values(position=bindparam("to"))
        conn.execute(each, [{"of": one, "to": new} for _, new, one in moved])
    return [one for _, _, one in moved]


def runs(moved: Sequence[tuple[int, int]]) -> list[Run]:
    """What moves, as pairs of old and new place, gathered where neighbours move alike."""
    found: list[Run] = []
    for old, new in sorted(moved):
        if found and found[-1].last == old - 1 and found[-1].by == new - old:
            found[-1] = found[-1]._replace(last=old)
        else:
            found.append(Run(old, old, new - old))
    return found
