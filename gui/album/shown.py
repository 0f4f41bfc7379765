"""Which slots of an album are drawn in full: by state, or where a spare waits. No Qt here."""

from dataclasses import dataclass
from operator import ne

from core.app.views import AlbumView, SlotView
from core.arrange.plan import LeafPlan
from core.model.state import Mark, SlotState

BELOW = frozenset({SlotState.BELOW_TARGET, SlotState.HOLE_FILLER, SlotState.TO_VERIFY})


@dataclass(frozen=True, slots=True)
class Shown:
    """A choice of slots: those in any of the states, or with any of the marks; nothing shows all.

    Not-struck places keep the columns straight, so they are hinted at, never chosen.
    """

    states: frozenset[SlotState] = frozenset()
    marks: frozenset[Mark] = frozenset()

    @property
    def is_all(self) -> bool:
        """Whether nothing is left out."""
        return not (self.states or self.marks)

    @property
    def words(self) -> str:
        """What the Show button says."""
        return next((words for words, shown in CHOICES if shown == self), "your choice")

    def holds(self, view: SlotView) -> bool:
        """Whether a slot is drawn in full."""
        return self.is_all or view.state in self.states or bool(self.marks & view.marks)

    def with_state(self, state: SlotState, is_shown: bool) -> "Shown":
        """With one state more, or less."""
        states = self.states | {state} if is_shown else self.states - {state}
        return Shown(states, self.marks)

    def with_mark(self, mark: Mark, is_shown: bool) -> "Shown":
        """With one mark more, or less."""
        return Shown(self.states, self.marks | {mark} if is_shown else self.marks - {mark})


EVERYTHING = Shown()
GAPS = Shown(frozenset({SlotState.GAP}))
BELOW_TARGET = Shown(BELOW)
SPARES_WAITING = Shown(marks=frozenset({Mark.SPARE_WAITING}))
CHOICES = (
    ("everything", EVERYTHING),
    ("gaps", GAPS),
    ("below target", BELOW_TARGET),
    ("spare waiting", SPARES_WAITING),
)


def shown_cells(shown: Shown, view: AlbumView, plan: LeafPlan) -> bytes | None:
    """One byte a cell for `LeafView.set_shown`; None where nothing is left out."""
    if shown.is_all:
        return None
    chosen = {int(v.slot.id) for v in view.slots if shown.holds(v)}
    return bytes(slot in chosen for slot in plan.slot_ids)


def changed_cells(old: LeafPlan, new: LeafPlan) -> list[int] | None:
    """The cells that look otherwise in a new plan of the same shape; None for another shape.

    Slots or captions that are called otherwise make another shape.
    """
    if (
        old.slot_ids != new.slot_ids
        or old.row_first != new.row_first
        or old.row_indent != new.row_indent
        or old.row_head != new.row_head
        or old.leaves != new.leaves
        or old.name != new.name
        or old.has_two_lines != new.has_two_lines
        or (old.label_cell, old.label_lines) != (new.label_cell, new.label_lines)
        or old.captions != new.captions
    ):
        return None
    here = old.numbers_of(new.lines).__getitem__
    if any(map(ne, old.names, map(here, new.names))):  # names are not changed cell by cell
        return None
    pairs = zip(
        old.codes,
        new.codes,
        old.l1,
        map(here, new.l1),
        old.l2,
        map(here, new.l2),
        old.details,
        map(here, new.details),
        strict=True,
    )
    return [
        cell
        for cell, (code, now, a, b, c, d, e, f) in enumerate(pairs)
        if code != now or a != b or c != d or e != f
    ]


def take_over(old: LeafPlan, new: LeafPlan, cells: list[int]) -> None:
    """Put what the new plan says of some cells into the old one."""
    for cell in cells:
        code, line_1, line_2, detail = _looks(new, cell)
        old.set_cell(cell, code, line_1, line_2, detail)


def _looks(plan: LeafPlan, cell: int) -> tuple[int, str, str, str]:
    lines = plan.lines
    return (
        plan.codes[cell],
        lines[plan.l1[cell]],
        lines[plan.l2[cell]],
        lines[plan.details[cell]],
    )
