"""The key to the glyphs: their order and their words, one source for screen, paper and picture."""

from collections.abc import Mapping
from dataclasses import dataclass

from core.glyph.codes import MARK_BITS, GlyphCode, glyph_code
from core.model.state import Mark, SlotState


@dataclass(frozen=True, slots=True)
class StateEntry:
    """One state in the key; `meaning` is a sentence for a tip or a help page."""

    state: SlotState
    singular: str
    plural: str
    meaning: str

    @property
    def code(self) -> int:
        """The glyph that stands for the state; below target it is half full."""
        return glyph_code(self.state)


@dataclass(frozen=True, slots=True)
class MarkEntry:
    """One mark in the key, shown beside a filled slot."""

    mark: Mark
    singular: str
    plural: str
    meaning: str

    @property
    def code(self) -> int:
        """A filled slot that bears the mark."""
        return GlyphCode.FILLED | MARK_BITS[self.mark]


STATES = (
    StateEntry(
        SlotState.FILLED,
        "filled",
        "filled",
        "Its coin meets what you want there.",
    ),
    StateEntry(
        SlotState.BELOW_TARGET,
        "below target",
        "below target",
        "Its coin is sound but under the target, or not graded yet. The fill shows how near it is.",
    ),
    StateEntry(
        SlotState.HOLE_FILLER,
        "hole filler",
        "hole fillers",
        "Its coin has a problem and keeps the slot until a sound one turns up.",
    ),
    StateEntry(
        SlotState.TO_VERIFY,
        "to verify",
        "to verify",
        "Its coin may not belong here; the slot card says why.",
    ),
    StateEntry(
        SlotState.ON_ORDER,
        "on order",
        "on order",
        "Empty, and a coin for it is on its way.",
    ),
    StateEntry(SlotState.GAP, "gap", "gaps", "Empty and wanted."),
    StateEntry(SlotState.SKIPPED, "skipped", "skipped", "You do not seek a coin for it."),
    StateEntry(
        SlotState.NOT_STRUCK,
        "not struck",
        "not struck",
        "No such coin exists; the place keeps the columns straight.",
    ),
)
"""All states, in the order of the key."""

MARKS = (
    MarkEntry(
        Mark.SPARE_WAITING,
        "spare waiting",
        "spares waiting",
        "A coin you hold in no slot would be better here.",
    ),
    MarkEntry(
        Mark.BETTER_ON_ORDER,
        "better coin on order",
        "better coins on order",
        "A better coin for this slot is on its way.",
    ),
    MarkEntry(
        Mark.PINNED,
        "pinned",
        "pinned",
        "Fill leaves this slot and its coin alone.",
    ),
)
"""All marks, in the order of the key."""

_STATES = {entry.state: entry for entry in STATES}
_MARKS = {entry.mark: entry for entry in MARKS}


def state_entry(state: SlotState) -> StateEntry:
    """The key's entry for a state."""
    return _STATES[state]


def mark_entry(mark: Mark) -> MarkEntry:
    """The key's entry for a mark."""
    return _MARKS[mark]


def counted(entry: StateEntry | MarkEntry, count: int) -> str:
    """A count with its word: "44 filled", "1 gap", "1,204 gaps", "0 hole fillers"."""
    return f"{count:,} {entry.singular if count == 1 else entry.plural}"


def key(
    counts: Mapping[SlotState, int], always: tuple[SlotState, ...] = ()
) -> list[tuple[StateEntry, str]]:
    """The entries that a leaf or album needs, each with its counted words, in the key's order.

    A state that does not occur is left out unless it is among `always`.
    """
    return [
        (entry, counted(entry, counts.get(entry.state, 0)))
        for entry in STATES
        if counts.get(entry.state, 0) or entry.state in always
    ]


def spoken(state: SlotState, marks: frozenset[Mark] = frozenset()) -> str:
    """A slot's state and marks in words, as a screen reader says them: "gap", "filled, pinned"."""
    words = [_STATES[state].singular]
    words += [entry.singular for entry in MARKS if entry.mark in marks]
    return ", ".join(words)
