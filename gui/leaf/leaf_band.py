"""The rubber band: a rectangle of album coordinates drawn out with the mouse."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from PySide6.QtCore import QItemSelection, QItemSelectionModel, QItemSelectionRange

from core.arrange.flow import Box, Flow
from core.arrange.plan import LeafPlan
from gui.leaf.model import LeafTableModel

_SELECT = QItemSelectionModel.SelectionFlag.Select


@dataclass(slots=True)
class Band:
    """From where the button went down to where the pointer is; `kept` was selected before."""

    from_x: int
    from_y: int
    to_x: int
    to_y: int
    kept: QItemSelection | None = None

    @property
    def box(self) -> Box:
        """The rectangle, at least a pixel each way."""
        left, top = min(self.from_x, self.to_x), min(self.from_y, self.to_y)
        return left, top, abs(self.to_x - self.from_x) + 1, abs(self.to_y - self.from_y) + 1

    def selection(self, model: LeafTableModel, flow: Flow) -> QItemSelection:
        """What the band selects, with what was selected before where that is kept."""
        left, top, width, height = self.box
        selection = selection_in(model, flow, (left, top, left + width - 1, top + height - 1))
        if self.kept is not None:
            selection.merge(self.kept, _SELECT)
        return selection


def selection_in(
    model: LeafTableModel, flow: Flow, corners: tuple[int, int, int, int]
) -> QItemSelection:
    """All cells that meet a rectangle (x0, y0, x1, y1); equal rows become one range."""
    selection = QItemSelection()
    run: list[int] = []  # first row, last row, first column, end column
    for row, start, end in flow.spans_in(*corners):
        if run and run[1] == row - 1 and run[2:] == [start, end]:
            run[1] = row
            continue
        if run:
            selection.append(_range(model, run))
        run = [row, row, start, end]
    if run:
        selection.append(_range(model, run))
    return selection


def _range(model: LeafTableModel, run: list[int]) -> QItemSelectionRange:
    first, last, start, end = run
    return QItemSelectionRange(model.index(first, start), model.index(last, end - 1))


def runs_of(cells: Sequence[int], plan: LeafPlan) -> Iterator[tuple[int, int]]:
    """First and last cell of each run side by side in a row; the cells come in order."""
    start = end = -1
    for cell in cells:
        if start >= 0 and cell == end + 1 and cell < plan.row_first[plan.where(start)[0] + 1]:
            end = cell
            continue
        if start >= 0:
            yield start, end
        start = end = cell
    if start >= 0:
        yield start, end
