"""Where slots go when they are moved on the leaf, and what stands before them. No Qt here."""

from collections.abc import Collection, Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import groupby

from core.app.album_view import shown_order
from core.app.grid_slots import grid_slots
from core.app.views import AlbumView
from core.arrange.breaks import block_rule, gathered, key_of
from core.arrange.layout import GridSlot
from core.model.album import SlotId
from core.model.arrangement import MOST_CELLS, ArrangementKind, Lead, Order


@dataclass(frozen=True, slots=True)
class Move:
    """These slots, in this order, before another one; None for the end."""

    slots: tuple[SlotId, ...]
    before: SlotId | None


@dataclass(frozen=True, slots=True)
class Shown:
    """The album's slots in the order in which they are seen.

    `turn`: as they are laid out, before decades or designs are gathered into blocks; `blocks` says
    which block each is of, and is empty where there are none. `rows`: in a matrix the slots of each
    date, or of each design of a date: what stands together whatever moves.
    """

    order: Sequence[SlotId] = ()
    turn: Sequence[SlotId] = ()
    blocks: Mapping[SlotId, Hashable] = field(default_factory=dict)
    rows: Sequence[Sequence[SlotId]] = ()

    def rows_of(self, slots: Iterable[SlotId]) -> list[int]:
        """The rows of a matrix in which slots stand, in order."""
        asked = set(slots)
        return [at for at, row in enumerate(self.rows) if not asked.isdisjoint(row)]

    def in_rows(self, slots: Iterable[SlotId]) -> list[SlotId]:
        """The slots that stand in a row with these, themselves too."""
        return [slot for row in self.rows_of(slots) for slot in self.rows[row]]

    def would_change(self, move: Move) -> bool:
        """Whether a move would be seen: a slot stays in its decade or design."""
        if not self.blocks:
            return True
        moving = set(move.slots)
        rest = [slot for slot in self.turn if slot not in moving]
        at = len(rest) if move.before is None else rest.index(move.before)
        groups: dict[Hashable, list[SlotId]] = {}
        for slot in (*rest[:at], *move.slots, *rest[at:]):
            groups.setdefault(self.blocks[slot], []).append(slot)
        return [slot for group in groups.values() for slot in group] != list(self.order)


def shown(view: AlbumView) -> Shown:
    """The order of an album as it is drawn."""
    slots, shape = [one.slot for one in view.slots], view.album.arrangement
    series = {slot.accepts.series: view.series_of(slot) for slot in slots}
    turn = shown_order(series.__getitem__, slots, shape)
    ids = [slots[at].id for at in turn]
    key = key_of(block_rule(shape.kind))
    if key is None and not shape.kind.is_matrix:
        return Shown(ids, ids)
    cells = grid_slots(series.__getitem__, slots, shape, has_words=False)
    if key is None:
        rows = _matrix_rows(cells, turn, is_by_design=shape.kind is ArrangementKind.BY_DESIGN)
        named = [[slots[at].id for at in row] for row in rows]
        return Shown([slot for row in named for slot in row], ids, {}, named)
    groups = gathered(cells, turn, key, is_by_date=shape.order is not Order.AS_LISTED)
    order = [slots[at].id for group in groups for at in group]
    return Shown(order, ids, {slot.id: key(cell) for slot, cell in zip(slots, cells, strict=True)})


def _matrix_rows(
    cells: Sequence[GridSlot], turn: Sequence[int], *, is_by_design: bool
) -> Iterator[list[int]]:
    """Slots of one date after another, in a row a design those of each design."""
    for _date, dated in groupby(turn, key=lambda at: cells[at].date):
        if is_by_design:
            yield from gathered(cells, list(dated), lambda cell: cell.design)
        else:
            yield list(dated)


def moved_before(
    order: Sequence[SlotId], chosen: Collection[SlotId], before: SlotId | None
) -> Move | None:
    """The chosen slots before another one; None where all would stand as they do.

    Where that one is chosen itself, the next that is not stands for it.
    """
    moving = tuple(slot for slot in order if slot in chosen)
    at = len(order) if before is None else order.index(before)
    while at < len(order) and order[at] in chosen:
        at += 1
    target = order[at] if at < len(order) else None
    rest = [slot for slot in order if slot not in chosen]
    place = len(rest) if target is None else rest.index(target)
    if [*rest[:place], *moving, *rest[place:]] == list(order):
        return None
    return Move(moving, target)


def moved_along(order: Sequence[SlotId], chosen: Collection[SlotId], step: int) -> Move | None:
    """The chosen slots one place on (step 1) or back (-1), past their neighbour."""
    places = [at for at, slot in enumerate(order) if slot in chosen]
    if not places:
        return None
    if step < 0:
        others = [at for at in range(places[0]) if order[at] not in chosen]
        return moved_before(order, chosen, order[others[-1]]) if others else None
    behind = [at for at in range(places[-1] + 1, len(order)) if order[at] not in chosen]
    return moved_past(order, chosen, order[behind[0]]) if behind else None


def moved_past(order: Sequence[SlotId], chosen: Collection[SlotId], other: SlotId) -> Move | None:
    """The chosen slots just after another one."""
    at = order.index(other) + 1
    return moved_before(order, chosen, order[at] if at < len(order) else None)


def moved_onto(order: Sequence[SlotId], chosen: Collection[SlotId], other: SlotId) -> Move | None:
    """The chosen slots to where another one stands: it makes room towards where they were."""
    if other in chosen:
        return None
    first = next((slot for slot in order if slot in chosen), other)
    if order.index(other) < order.index(first):
        return moved_before(order, chosen, other)
    return moved_past(order, chosen, other)


# ---- what stands before a slot ----------------------------------------------------------------


def spaced(lead: Lead, more: int) -> Lead:
    """With a spacer more, or less; at most as many as a row has places."""
    return replace(lead, spacers=max(0, min(MOST_CELLS, lead.spacers + more)))


def with_row(lead: Lead, is_on: bool) -> Lead:
    """With or without a row begun here."""
    return replace(lead, new_row=is_on, new_leaf=lead.new_leaf and not is_on)


def with_leaf(lead: Lead, is_on: bool) -> Lead:
    """With or without a leaf begun here."""
    return replace(lead, new_leaf=is_on, new_row=lead.new_row and not is_on)
