"""Where the arrow keys go from a cell, by the album's own geometry. No Qt here."""

from enum import Enum, auto

from core.arrange.flow import Flow
from core.arrange.plan import NO_CELL

_FAR_RIGHT = 1 << 40


class Step(Enum):
    """One move of the current cell."""

    LEFT = auto()
    RIGHT = auto()
    UP = auto()
    DOWN = auto()


class Walk:
    """Moves over one flow. Up and Down keep the x they started from until another move is made."""

    def __init__(self, flow: Flow) -> None:
        self._flow, self._plan = flow, flow.plan
        self._goal: tuple[int, float] | None = None

    def forget_goal(self) -> None:
        """Something else moved the current cell."""
        self._goal = None

    def step(self, cell: int, step: Step, least: int = 0) -> int:
        """The cell reached; the same one at the album's edge.

        Up and Down go at least `least` device pixels where the album is long enough (pages).
        """
        if step in {Step.UP, Step.DOWN}:
            return self._upright(cell, 1 if step is Step.DOWN else -1, least)
        self._goal = None
        return self._level(cell, 1 if step is Step.RIGHT else -1)

    def row_end(self, cell: int, *, is_last: bool) -> int:
        """The first or last drawn cell of the row a cell stands in."""
        self._goal = None
        drawn = list(self._plan.drawn_in_row(self._plan.where(cell)[0]))
        return drawn[-1 if is_last else 0]

    def album_end(self, *, is_last: bool) -> int:
        """The first or last drawn cell of the album, or NO_CELL."""
        self._goal = None
        if not is_last:
            return self._plan.first_drawn()
        cells = range(self._plan.cells - 1, -1, -1)
        return next((cell for cell in cells if self._plan.is_drawn(cell)), NO_CELL)

    def _middle(self, cell: int) -> float:
        x, _, width, _ = self._flow.cell_box(cell)
        return x + width / 2

    def _nearest(self, row: int, x: float) -> int:
        """The drawn cell of a row whose middle is nearest to x."""
        drawn = self._plan.drawn_in_row(row)
        return min(drawn, key=lambda cell: abs(self._middle(cell) - x), default=NO_CELL)

    def _upright(self, cell: int, down: int, least: int) -> int:
        goal = self._goal[1] if self._goal and self._goal[0] == cell else self._middle(cell)
        row, best = self._plan.where(cell)[0], cell
        start = self._flow.row_at(row)[1]
        next_row = self._next_row(row, down)
        while next_row is not None:
            row = next_row
            found = self._nearest(row, goal)
            best = found if found >= 0 else best
            if best != cell and abs(self._flow.row_at(row)[1] - start) >= least:
                break
            next_row = self._next_row(row, down)
        self._goal = best, goal
        return best

    def _next_row(self, row: int, down: int) -> int | None:
        """The row above or below; past the leaf's edge that of the leaf in the next band."""
        plan, columns = self._plan, self._flow.columns
        number = plan.row_leaf[row]
        leaf = plan.leaves[number]
        if leaf.first_row <= row + down < leaf.first_row + leaf.rows:
            return row + down
        other = number + down * columns
        last = len(plan.leaves) - 1
        if other > last and number // columns < last // columns:
            other = last  # the last band is short
        if not 0 <= other <= last:
            return None
        leaf = plan.leaves[other]
        return leaf.first_row + (0 if down > 0 else leaf.rows - 1)

    def _level(self, cell: int, right: int) -> int:
        """The next drawn cell in the row; past its end, the leaf beside at the same height."""
        plan = self._plan
        row = plan.where(cell)[0]
        inside = plan.cells_of_row(row)
        other = cell + right
        while other in inside:
            if plan.is_drawn(other):
                return other
            other += right
        found = self._in_leaf_beside(row, right)
        return cell if found < 0 else found

    def _in_leaf_beside(self, row: int, right: int) -> int:
        plan, columns = self._plan, self._flow.columns
        number = plan.row_leaf[row]
        beside = number + right
        if not 0 <= beside < len(plan.leaves) or beside // columns != number // columns:
            return NO_CELL
        leaf = plan.leaves[beside]
        if not leaf.rows:
            return NO_CELL
        down = min(row - plan.leaves[number].first_row, leaf.rows - 1)
        edge = -1 if right > 0 else _FAR_RIGHT
        by_distance = sorted(range(leaf.rows), key=lambda other: abs(other - down))
        found = (self._nearest(leaf.first_row + other, edge) for other in by_distance)
        return next((cell for cell in found if cell >= 0), NO_CELL)  # past rows that stay free
