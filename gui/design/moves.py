"""From keys and mouse to the orders that move slots and put gaps before them; no widget here.

An order that cannot be given is the reason why, in words.
"""

from collections.abc import Callable, Collection, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from core.app.views import AlbumView
from core.arrange.plan import LeafPlan
from core.model.album import SlotId
from core.model.arrangement import Lead
from core.model.issue import Facet
from gui.design.marks import Gap
from gui.design.shape_panel import in_their_order, mints_in
from gui.design.steps import (
    Move,
    Shown,
    moved_along,
    moved_before,
    moved_onto,
    moved_past,
)
from gui.leaf.leaf_moves import Step

if TYPE_CHECKING:
    from core.app.operations import Operation

NOT_HERE = "In a shape with columns of mints there is no place for a spacer; R gives a free row."
STAYS = "In this form a slot stays with its block; another form lets it go further."
AT_THE_EDGE = "There is no place further that way."
_BACK = frozenset({Step.LEFT, Step.UP})
Towards = Callable[[int, Step], int]
"""The cell that an arrow key reaches from another."""


def moved(
    view: AlbumView,
    now: Shown,
    chosen: Sequence[SlotId],
    step: Step,
    towards: Towards,
) -> "Operation | str":
    """Slots one place or row on; in a matrix their rows, or the column of their mint."""
    is_level = step in (Step.LEFT, Step.RIGHT)
    on = -1 if step in _BACK else 1
    if view.album.arrangement.kind.is_matrix:
        if is_level:
            return _mint_moved(view, chosen[0], on)
        return ordered(view, now, _rows_moved(now, chosen, on))
    if is_level is not view.album.arrangement.is_down:
        return ordered(view, now, moved_along(now.order, set(chosen), on))
    return ordered(view, now, _moved_across(view.plan, now.order, chosen, step, towards))


def ordered(view: AlbumView, now: Shown, move: Move | None) -> "Operation | str":
    """The order for a move."""
    from core.app.design import move_slots

    if move is None:
        return AT_THE_EDGE
    return move_slots(view.album.id, move.slots, move.before) if now.would_change(move) else STAYS


def _moved_across(
    plan: LeafPlan,
    order: Sequence[SlotId],
    chosen: Sequence[SlotId],
    step: Step,
    towards: Towards,
) -> Move | None:
    """To the slot that the arrow key would reach from the outermost chosen one."""
    moving = set(chosen)
    places = [slot for slot in order if slot in moving]
    cell = plan.cell_of_slot(int(places[0] if step in _BACK else places[-1]))
    reached = towards(cell, step)
    other = SlotId(plan.slot_ids[reached])
    if reached == cell or not other:
        return moved_along(order, moving, -1 if step in _BACK else 1)
    return moved_onto(order, moving, other)


def _rows_moved(now: Shown, chosen: Sequence[SlotId], on: int) -> Move | None:
    rows = now.rows_of(chosen)
    beside = rows[-1] + 1 if on > 0 else rows[0] - 1
    while beside in rows:
        beside += on
    if not 0 <= beside < len(now.rows):
        return None
    moving = {slot for row in rows for slot in now.rows[row]}
    if on < 0:
        return moved_before(now.order, moving, now.rows[beside][0])
    return moved_past(now.order, moving, now.rows[beside][-1])


def _mint_moved(view: AlbumView, slot: SlotId, on: int) -> "Operation | str":
    from core.app.operations import rearrange_album

    mint = view.by_id[slot].slot.accepts.only(Facet.MINT)
    shape = view.album.arrangement
    order = [m.id for m in in_their_order(mints_in(view), shape.mints)]
    if mint not in order:
        return "This column is of any mint; it has no place among the others."
    at = order.index(mint)
    if not 0 <= at + on < len(order):
        return AT_THE_EDGE
    order[at], order[at + on] = order[at + on], order[at]
    return rearrange_album(view.album.id, replace(shape, mints=tuple(order)))


def lead_changed(
    view: AlbumView, slots: Sequence[SlotId], change: Callable[[Lead], Lead]
) -> "Operation | None":
    """The order that changes what stands before slots; None where nothing would change."""
    from core.app.design import set_leads

    now = {slot: view.by_id[slot].slot.lead for slot in slots}
    leads = {slot: new for slot, lead in now.items() if (new := change(lead)) != lead}
    return set_leads(view.album.id, leads) if leads else None


# ---- by the mouse -----------------------------------------------------------------------------


def in_hand(view: AlbumView, now: Shown, chosen: Sequence[SlotId]) -> set[SlotId]:
    """What goes along when chosen slots are dragged: in a matrix their rows."""
    return set(now.in_rows(chosen) if view.album.arrangement.kind.is_matrix else chosen)


def gap_beside(view: AlbumView, now: Shown, cell: int, across: float, down: float) -> Gap | None:
    """The gap beside a cell that is nearest to a point; `across` and `down` it, 0 to 1."""
    shape, plan, order = view.album.arrangement, view.plan, now.order
    is_upright = shape.kind.is_matrix or shape.is_down
    is_after = (down if is_upright else across) > 0.5
    side = ("top", "bottom")[is_after] if is_upright else ("left", "right")[is_after]
    slot = _slot_in(plan, cell)
    if shape.kind.is_matrix:
        slot = slot or _nearest_slot(plan, cell)
        if slot is None:
            return None
        row = now.in_rows([slot])
        at = order.index(row[-1]) + 1 if is_after else order.index(row[0])
    elif slot is None:
        return Gap(_next_slot(plan, cell), cell, side)
    else:
        at = order.index(slot) + int(is_after)
    return Gap(order[at] if at < len(order) else None, cell, side)


def _slot_in(plan: LeafPlan, cell: int) -> SlotId | None:
    return SlotId(plan.slot_ids[cell]) if plan.slot_ids[cell] and plan.is_slot(cell) else None


def _nearest_slot(plan: LeafPlan, cell: int) -> SlotId | None:
    """The slot of the same row that is nearest to a place where none is."""
    cells = plan.cells_of_row(plan.where(cell)[0])
    near = sorted(cells, key=lambda other: abs(other - cell))
    return next((slot for other in near if (slot := _slot_in(plan, other)) is not None), None)


def _next_slot(plan: LeafPlan, cell: int) -> SlotId | None:
    """The first slot after a spacer, in reading order."""
    for other in range(cell + 1, plan.cells):
        if (slot := _slot_in(plan, other)) is not None:
            return slot
    return None


def stays_beside(order: Sequence[SlotId], going: Sequence[SlotId]) -> SlotId | None:
    """The slot that stays where others go, after them or else before, so that the keys go on."""
    gone = set(going)
    places = [at for at, slot in enumerate(order) if slot in gone]
    if not places:
        return None
    after = (slot for slot in order[places[-1] + 1 :] if slot not in gone)
    before = (slot for slot in reversed(order[: places[0]]) if slot not in gone)
    return next(after, None) or next(before, None)


def came_back(before: AlbumView | None, view: AlbumView, gone: Collection[SlotId]) -> SlotId | None:
    """The first of the slots taken out that is there again, as by undo."""
    old = before.by_id if before is not None else {}
    back = [slot for slot in gone if slot in view.by_id and slot not in old]
    return min(back, key=view.places.__getitem__, default=None)
