"""What if: the same input with other targets, fewer or more slots. Nothing is saved."""

from collections.abc import Iterable
from dataclasses import replace

from core.planning.wants import Piece, PlanInput, Purchase, Spot, Want


def with_key_target(given: PlanInput, points: int) -> PlanInput:
    """Key dates ask for no more than these points; a lower target, or none, stays."""
    return replace(
        given,
        wants=tuple(
            replace(want, target=min(want.target, points))
            if want.is_key and want.target is not None
            else want
            for want in given.wants
        ),
    )


def without_optional(given: PlanInput) -> PlanInput:
    """Optional slots are not looked at; their coins stay in them, what is pinned for them goes."""
    wants = tuple(want for want in given.wants if want.is_wanted)
    slots = {want.slot for want in wants}
    of_use = {p.id for p in given.purchases if any(seat.slot in slots for seat in p.seats)}
    pinned = (
        mark
        for mark in given.pinned
        if (mark.slot in slots if isinstance(mark, Spot) else mark in of_use)
    )
    return replace(given, wants=wants, pinned=frozenset(pinned))


def with_more(
    given: PlanInput,
    wants: Iterable[Want],
    purchases: Iterable[Purchase] = (),
    pieces: Iterable[Piece] = (),
) -> PlanInput:
    """More slots, such as those of varieties, with their prices and with coins that fit them."""
    return replace(
        given,
        wants=(*given.wants, *wants),
        purchases=(*given.purchases, *purchases),
        pieces=(*given.pieces, *pieces),
    )
