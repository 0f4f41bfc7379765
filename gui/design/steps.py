"""Where slots go when they are moved on the leaf, and what stands before them. No Qt here."""

from collections.abc import Collection, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from core.app.album_view import shown_order
from core.app.grid_slots import grid_slots
from core.app.views import AlbumView
from core.arrange.breaks import block_rule, gathered, key_of
from core.arrange.plan import LeafPlan
from core.model.album import SlotId
from core.model.arrangement import Lead, Order


@dataclass(frozen=True, slots=True)
class Move:
    """These slots, in this order, before another one; None for the end."""

    slots: tuple[SlotId, ...]
    before: SlotId | None


@dataclass(frozen=True, slots=True)
class Shown:
    """The album's slots in the order in which they are seen.

    `turn`: as they are laid out, before decades or designs are gathered into blocks; `blocks` says
    which block each is of, and is empty where there are none.
    """

    order: Sequence[SlotId]
    turn: Sequence[SlotId]
    blocks: Mapping[SlotId, Hashable]

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
    if key is None:
        return Shown(ids, ids, {})
    cells = grid_slots(series.__getitem__, slots, shape)
    groups = gathered(cells, turn, key, is_by_date=shape.order is not Order.AS_LISTED)
    order = [slots[at].id for group in groups for at in group]
    return Shown(order, ids, {slot.id: key(cell) for slot, cell in zip(slots, cells, strict=True)})


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


# ---- rows of a matrix -------------------------------------------------------------------------


def rows_together(plan: LeafPlan, row: int) -> range:
    """The rows of one date or design, which stand together: those with the same head."""
    head = plan.row_head[row]
    first = last = row
    while first > 0 and head and plan.row_head[first - 1] == head:
        first -= 1
    while last + 1 < plan.rows and head and plan.row_head[last + 1] == head:
        last += 1
    return range(first, last + 1)


def slots_in_rows(plan: LeafPlan, rows: Iterable[int]) -> list[SlotId]:
    """The slots that stand in some rows."""
    return [
        SlotId(plan.slot_ids[cell])
        for row in rows
        for cell in plan.cells_of_row(row)
        if plan.slot_ids[cell] and plan.is_slot(cell)
    ]


def rows_of(plan: LeafPlan, slots: Iterable[SlotId]) -> list[int]:
    """The rows in which slots stand, with those that belong to them, in order."""
    rows: set[int] = set()
    for slot in slots:
        cell = plan.cell_of_slot(int(slot))
        if cell >= 0 and (row := plan.where(cell)[0]) not in rows:
            rows.update(rows_together(plan, row))
    return sorted(rows)


def rows_beside(plan: LeafPlan, rows: Sequence[int], step: int) -> range:
    """The rows that stand together above (-1) or below (1); empty at the edge, titles skipped."""
    at = rows[-1] + 1 if step > 0 else rows[0] - 1
    while 0 <= at < plan.rows:
        together = rows_together(plan, at)
        if slots_in_rows(plan, together):
            return together
        at += step
    return range(0)


# ---- what stands before a slot ----------------------------------------------------------------


def spaced(lead: Lead, more: int) -> Lead:
    """With a spacer more, or less."""
    return replace(lead, spacers=max(0, lead.spacers + more))


def with_row(lead: Lead, is_on: bool) -> Lead:
    """With or without a row begun here."""
    return replace(lead, new_row=is_on, new_leaf=lead.new_leaf and not is_on)


def with_leaf(lead: Lead, is_on: bool) -> Lead:
    """With or without a leaf begun here."""
    return replace(lead, new_leaf=is_on, new_row=lead.new_row and not is_on)
