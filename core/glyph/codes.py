"""A slot's glyph as one byte: its state and level in the low four bits, its marks above."""

from collections.abc import Collection
from enum import IntEnum

from core.model.state import Mark, SlotState


class GlyphCode(IntEnum):
    """The ten glyphs, and the spacer that draws nothing."""

    GAP = 0
    FILLED = 1
    BELOW_25 = 2
    BELOW_50 = 3
    BELOW_75 = 4
    HOLE_FILLER = 5
    ON_ORDER = 6
    TO_VERIFY = 7
    SKIPPED = 8
    NOT_STRUCK = 9
    SPACER = 15


SPARE_BIT, ORDER_BIT, PINNED_BIT = 16, 32, 64
STATE_BITS = 15

MARK_BITS = {
    Mark.SPARE_WAITING: SPARE_BIT,
    Mark.BETTER_ON_ORDER: ORDER_BIT,
    Mark.PINNED: PINNED_BIT,
}
STATE_OF_CODE = {
    GlyphCode.GAP: SlotState.GAP,
    GlyphCode.FILLED: SlotState.FILLED,
    GlyphCode.BELOW_25: SlotState.BELOW_TARGET,
    GlyphCode.BELOW_50: SlotState.BELOW_TARGET,
    GlyphCode.BELOW_75: SlotState.BELOW_TARGET,
    GlyphCode.HOLE_FILLER: SlotState.HOLE_FILLER,
    GlyphCode.ON_ORDER: SlotState.ON_ORDER,
    GlyphCode.TO_VERIFY: SlotState.TO_VERIFY,
    GlyphCode.SKIPPED: SlotState.SKIPPED,
    GlyphCode.NOT_STRUCK: SlotState.NOT_STRUCK,
}
_LEVELS = {25: GlyphCode.BELOW_25, 50: GlyphCode.BELOW_50, 75: GlyphCode.BELOW_75}
_CODES = {state: code for code, state in STATE_OF_CODE.items()}


def glyph_code(state: SlotState, level: int = 50, marks: Collection[Mark] = ()) -> int:
    """The byte for a state; `level` (25, 50 or 75) counts only below target."""
    code = int(_LEVELS[level] if state is SlotState.BELOW_TARGET else _CODES[state])
    for mark in marks:
        code |= MARK_BITS[mark]
    return code


def state_of(code: int) -> SlotState | None:
    """The state in a byte, None for a spacer."""
    return STATE_OF_CODE.get(GlyphCode(code & STATE_BITS))
