"""Where the leaves of an album lie: bands of leaves side by side, in whole units of any size."""

from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass

from core.arrange.plan import NO_CELL, LeafPlan

# Left, top, width, height.
Box = tuple[int, int, int, int]


@dataclass(frozen=True, slots=True)
class Sizes:
    """What the flow needs to know of a scale, all whole: device pixels on the screen.

    `top_in` and `bottom_in` are the room above and below a leaf's rows, `left_in` the room left of
    its first column, row heads included. `cell_w` is even, so that half cells are whole.
    """

    cell_w: int
    cell_h: int
    margin: int
    gap: int
    leaf_w: int
    left_in: int
    top_in: int
    bottom_in: int


class Flow:
    """Leaves in bands of `columns` (as many as fit the width where that is 0).

    Costs grow with the leaves, never with the slots; a point is found by bisection and division.
    """

    def __init__(self, plan: LeafPlan, sizes: Sizes, width: int, columns: int = 0) -> None:
        self.plan, self.sizes = plan, sizes
        leaves = plan.leaves
        self.pitch = sizes.leaf_w + sizes.gap
        fitting = max(1, (width - 2 * sizes.margin + sizes.gap) // self.pitch)
        self.columns = max(1, min(columns or fitting, len(leaves) or 1))
        used = 2 * sizes.margin + self.columns * self.pitch - sizes.gap
        self.left = sizes.margin
        self.width = max(used, width)
        self.used_width = used
        self.band_y: list[int] = []
        self.band_h: list[int] = []
        self.height = self._stack_bands()

    def _stack_bands(self) -> int:
        sizes, leaves = self.sizes, self.plan.leaves
        y = sizes.margin
        for first in range(0, len(leaves), self.columns):
            rows = max(leaf.rows for leaf in leaves[first : first + self.columns])
            height = rows * sizes.cell_h + sizes.top_in + sizes.bottom_in
            self.band_y.append(y)
            self.band_h.append(height)
            y += height + sizes.gap
        return y - sizes.gap + sizes.margin if leaves else 0

    def leaf_at(self, leaf: int) -> tuple[int, int]:
        """Left and top of a leaf."""
        return self.left + leaf % self.columns * self.pitch, self.band_y[leaf // self.columns]

    def leaf_box(self, leaf: int) -> Box:
        """Where a leaf's card lies."""
        return (*self.leaf_at(leaf), self.sizes.leaf_w, self.band_h[leaf // self.columns])

    def row_at(self, row: int) -> tuple[int, int]:
        """Left of a row's first cell and top of the row."""
        plan, sizes = self.plan, self.sizes
        leaf = plan.row_leaf[row]
        x, y = self.leaf_at(leaf)
        x += sizes.left_in + plan.row_indent[row] * sizes.cell_w // 2
        return x, y + sizes.top_in + (row - plan.leaves[leaf].first_row) * sizes.cell_h

    def cell_box(self, cell: int) -> Box:
        """Where a cell lies."""
        row, column = self.plan.where(cell)
        x, y = self.row_at(row)
        return x + column * self.sizes.cell_w, y, self.sizes.cell_w, self.sizes.cell_h

    def hit(self, x: int, y: int) -> int:
        """The cell at a point, or NO_CELL."""
        band = bisect_right(self.band_y, y) - 1
        if band < 0 or x < self.left:
            return NO_CELL
        beside = (x - self.left) // self.pitch
        number = band * self.columns + beside
        if beside >= self.columns or number >= len(self.plan.leaves):
            return NO_CELL
        leaf = self.plan.leaves[number]
        down = (y - self.band_y[band] - self.sizes.top_in) // self.sizes.cell_h
        if not 0 <= down < leaf.rows:
            return NO_CELL
        row = leaf.first_row + down
        return self.plan.cell_at(row, (x - self.row_at(row)[0]) // self.sizes.cell_w)

    def leaves_in(self, x0: int, y0: int, x1: int, y1: int) -> Iterator[int]:
        """The leaves that may meet a rectangle, band by band."""
        if not self.band_y:
            return
        first_band = max(0, bisect_right(self.band_y, y0) - 1)
        first = max(0, (x0 - self.left) // self.pitch)
        end = min(self.columns, (x1 - self.left) // self.pitch + 1)
        for band in range(first_band, bisect_right(self.band_y, y1)):
            start = band * self.columns
            yield from range(start + first, min(start + end, len(self.plan.leaves)))

    def spans_in(self, x0: int, y0: int, x1: int, y1: int) -> Iterator[tuple[int, int, int]]:
        """(row, first column, end column) for every row that meets a rectangle, ends included."""
        plan, sizes = self.plan, self.sizes
        for number in self.leaves_in(x0, y0, x1, y1):
            leaf = plan.leaves[number]
            top = self.leaf_at(number)[1] + sizes.top_in
            first = max(0, (y0 - top) // sizes.cell_h)
            for down in range(first, min(leaf.rows, (y1 - top) // sizes.cell_h + 1)):
                row = leaf.first_row + down
                left = self.row_at(row)[0]
                length = plan.row_first[row + 1] - plan.row_first[row]
                start = max(0, (x0 - left) // sizes.cell_w)
                end = min(length, (x1 - left) // sizes.cell_w + 1)
                if start < end:
                    yield row, start, end
