"""What the leaf draws in each cell: the plan's own arrays, or a copy where a filter or a preview
changes them. No Qt here.
"""

from array import array
from collections.abc import Iterable, Mapping

from core.arrange.plan import SPACER_CODE, STATE_BITS, LeafPlan

DIM_BIT = 128
"""Set in a code: the filter hides this cell, so only a faint dot is drawn."""

Proposal = tuple[int, str, str]
"""A proposed cell: glyph byte, first and second line."""


class DrawnCells:
    """Codes and line numbers as drawn; the painter reads these three arrays and nothing else."""

    def __init__(self, plan: LeafPlan) -> None:
        self._plan = plan
        self._shown: bytes | None = None
        self.proposals: Mapping[int, Proposal] = {}
        self.codes, self.l1, self.l2 = plan.codes, plan.l1, plan.l2

    def set_shown(self, shown: bytes | None) -> None:
        """One byte a cell, 0 for cells that are only hinted at; None shows all.

        Raises ValueError where the length is not that of the plan.
        """
        if shown is not None and len(shown) != self._plan.cells:
            raise ValueError(f"{len(shown)} bytes for {self._plan.cells} cells")
        self._shown = shown
        self._copy()

    def set_proposals(self, proposals: Mapping[int, Proposal]) -> None:
        """Draw cells as they would be; an empty mapping draws what is."""
        self.proposals = dict(proposals)
        self._copy()

    def refresh(self, cells: Iterable[int]) -> None:
        """Take over what the plan now holds in these cells."""
        if self.codes is self._plan.codes:
            return
        for cell in cells:
            self._take(cell)

    def _copy(self) -> None:
        plan = self._plan
        self.codes, self.l1, self.l2 = plan.codes, plan.l1, plan.l2
        if self._shown is None and not self.proposals:
            return
        self.codes = bytearray(plan.codes)
        self.l1, self.l2 = array("I", plan.l1), array("I", plan.l2)
        for cell in self._hidden():
            self._hide(cell)
        for cell in self.proposals:
            self._take(cell)

    def _hidden(self) -> Iterable[int]:
        cell = self._shown.find(0) if self._shown is not None else -1
        while self._shown is not None and cell >= 0:
            yield cell
            cell = self._shown.find(0, cell + 1)

    def _hide(self, cell: int) -> None:
        code = self._plan.codes[cell]
        if code & STATE_BITS == SPACER_CODE:  # nothing there to hide, and captions stay
            self.codes[cell] = SPACER_CODE
            return
        self.codes[cell] = code & STATE_BITS | DIM_BIT
        self.l1[cell] = self.l2[cell] = 0

    def _take(self, cell: int) -> None:
        plan = self._plan
        if (proposal := self.proposals.get(cell)) is not None:
            code, line_1, line_2 = proposal
            self.codes[cell] = code
            self.l1[cell], self.l2[cell] = plan.line(line_1), plan.line(line_2)
        elif self._shown is not None and not self._shown[cell]:
            self._hide(cell)
        else:
            self.codes[cell] = plan.codes[cell]
            self.l1[cell], self.l2[cell] = plan.l1[cell], plan.l2[cell]
