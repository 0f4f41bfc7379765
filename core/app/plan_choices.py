"""What the collector chooses of a plan by hand: purchases pinned, forbidden, looked at."""

from collections.abc import Collection

from core.app.changes import Changes
from core.app.order import Context, Operation, require_holder
from core.errors import Refused
from core.model.album import SlotId
from core.model.grade import code_of
from core.model.plan_choice import ChoiceKind, Chosen, Listed, PlanChoice, require_choice
from core.store.unit import Unit

_LABELS = {
    ChoiceKind.PINNED: "pin a purchase",
    ChoiceKind.FORBIDDEN: "forbid a purchase",
    ChoiceKind.SHOWN: "look at another purchase",
}


def choose_purchase(slot_id: SlotId, of: Chosen, kind: ChoiceKind) -> Operation:
    """Pin a purchase for a slot, forbid it there, or let the slot's line show it.

    Of the purchases for one slot one is pinned: it takes the place of another. Raises NotFound;
    refused for a slot of an overview, a coin of another series, or an offer that was taken.
    """
    one = PlanChoice(slot_id, kind, of)

    def work(unit: Unit, context: Context) -> Changes:
        require_choice(one)
        slot = unit.read.slot(slot_id)
        require_holder(unit, slot)
        if isinstance(of, Listed):
            description = of.description
            context.series.require(unit, description.series).require(description)
        else:
            offer = unit.read.prices.offer(of)
            description = offer.description
            if offer.is_taken:
                raise Refused("This offer was taken already; there is nothing to choose of it.")
        if description.series != slot.accepts.series:
            raise Refused(f"Slot {slot.label} is of another series than this purchase.")
        there = unit.read.prices.choices()
        if one in there:
            return Changes()
        if kind is ChoiceKind.PINNED:
            unit.prices.drop_choices([p for p in there if p.slot == slot_id and p.kind is kind])
        unit.prices.set_choice(one)
        unit.about = f"{slot.label}, {_words(of)}"
        return Changes(is_choices=True)

    return Operation(_LABELS[kind], work)


def free_purchase(slot_id: SlotId, of: Chosen) -> Operation:
    """Neither pinned nor forbidden for a slot any more; nothing happens where it was neither."""

    def work(unit: Unit, _context: Context) -> Changes:
        slot = unit.read.slot(slot_id)
        ends = [
            one
            for one in unit.read.prices.choices()
            if (one.slot, one.of) == (slot_id, of) and one.kind is not ChoiceKind.SHOWN
        ]
        if not ends:
            return Changes()
        unit.prices.drop_choices(ends)
        unit.about = f"{slot.label}, {_words(of)}"
        return Changes(is_choices=True)

    return Operation("leave a purchase to the plan", work)


def unpin(slots: Collection[SlotId]) -> Operation:
    """Take all pins of these slots off."""

    def work(unit: Unit, _context: Context) -> Changes:
        chosen = frozenset(slots)
        pins = [
            one
            for one in unit.read.prices.choices()
            if one.slot in chosen and one.kind is ChoiceKind.PINNED
        ]
        if not pins:
            return Changes()
        unit.prices.drop_choices(pins)
        return Changes(is_choices=True)

    return Operation("take all pins off", work)


def _words(of: Chosen) -> str:
    return code_of(of.grade, of.is_proof) if isinstance(of, Listed) else "an offer"
