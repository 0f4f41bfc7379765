"""Squares under the slots: what the best purchase for each gains for its money. No Qt here.

The slots with a price are told apart in fifths of the album: five squares for the fifth that gains
most for the money, one for the last. A spare that would do it for nothing bears a word.
"""

from collections.abc import Set as AbstractSet
from typing import TYPE_CHECKING

from core.app.upgrades import UpgradeRow, UpgradeStep, plan_input
from core.app.views import AlbumView
from core.model.album import AlbumKind, SlotId
from core.model.money import money_text
from core.planning.wants import Mark, is_marked
from gui.album.show_words import ForMoney, SlotWords

if TYPE_CHECKING:
    from core.app.collection import Collection

FIFTHS = 5
SQUARE, FREE = "▪", "spare"


def gain_words(collection: "Collection", view: AlbumView) -> SlotWords:
    """The squares of an album's slots, by the collector's prices."""
    if view.album.kind is not AlbumKind.HOLDER:
        line = "Gain for the money: an overview has no slots of its own to buy for."
        return SlotWords(ForMoney(), {}, line)
    found = plan_input(collection, [view.album.id])
    spares = {row.slot.slot.id for row in found.rows if row.spare is not None and row.is_open}
    best: dict[SlotId, UpgradeStep] = {}
    for row in found.rows:
        step = best_step(row, found.given.forbidden)
        if step is not None and row.slot.slot.id not in spares:
            best[row.slot.slot.id] = step
    squares = fifths({slot: step.per_point or 0.0 for slot, step in best.items()})
    base = found.book.rules.base
    words = {slot: SQUARE * many for slot, many in squares.items()} | dict.fromkeys(spares, FREE)
    spoken = {
        slot: f"{_gain(step)} for {money_text(step.buy.cost or 0, base)} {base}, "
        f"{squares[slot]} of {FIFTHS} for the money"
        for slot, step in best.items()
    } | dict.fromkeys(spares, "a spare would better it for nothing")
    said = [
        f"Gain for the money: {SQUARE * FIFTHS} best of {len(best):,} priced",
        f"{len(spares):,} by a spare" if spares else "",
        f"{len(found.not_priced):,} not priced" if found.not_priced else "",
        found.book.invented_text,
        "estimates, not appraisals",
    ]
    return SlotWords(ForMoney(), words, " · ".join(filter(None, said)), spoken)


def best_step(row: UpgradeRow, forbidden: AbstractSet[Mark]) -> UpgradeStep | None:
    """The useful purchase that gains most for its money; None where none gains anything.

    What the collector forbade there is no purchase.
    """
    if not row.is_open:
        return None
    slot = row.slot.slot.id
    gaining = [
        step
        for step in row.steps
        if step.points > 0 and step.buy.cost and not is_marked(forbidden, step.buy.id, slot)
    ]
    return max(gaining, key=lambda step: step.per_point or 0.0, default=None)


def fifths(values: dict[SlotId, float]) -> dict[SlotId, int]:
    """1 for the least fifth of the values to 5 for the greatest; equal values share the better."""
    order = sorted(values.values())
    places = {value: at for at, value in enumerate(order)}
    return {
        slot: 1 + FIFTHS * places[value] // max(1, len(order)) for slot, value in values.items()
    }


def _gain(step: UpgradeStep) -> str:
    return "closes the gap" if step.closes_gap else f"+{step.points} points"
