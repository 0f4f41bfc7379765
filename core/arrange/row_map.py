"""Row maps: the counts of the folder on the desk, filled with slots, and edited hole by hole. Pure.

Leaves, rows and places are counted from 0 here; texts for people count from 1.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from core.arrange.breaks import span_text
from core.arrange.layout import SPACER, Cell, GridSlot, LeafLayout, RowLayout
from core.model.arrangement import (
    MOST_CELLS,
    MOST_LEAVES,
    MOST_ROWS,
    Arrangement,
    MapRow,
    RowMap,
)

BEYOND = "Beyond the map"

Place = tuple[int, int, int]
"""Leaf, row and place."""


@dataclass(frozen=True, slots=True)
class Misfit:
    """How a map does not fit its slots: so many slots `over`, or holes left (`short`).

    The place is the first free hole, or of slots that are over where the map ends; `label` is the
    first slot beyond it.
    """

    over: int
    short: int
    leaf: int
    row: int
    place: int
    label: str = ""

    @property
    def text(self) -> str:
        """How many, and where the first stands, in one sentence."""
        where = f"leaf {self.leaf + 1}, row {self.row + 1}, place {self.place + 1}"
        if self.over:
            slots = "1 slot is" if self.over == 1 else f"{self.over:,} slots are"
            return f"{slots} over: the map ends at {where}; the first beyond it is {self.label}."
        holes = "1 hole is" if self.short == 1 else f"{self.short:,} holes are"
        return f"{holes} left over; the first is {where}."


def misfit(row_map: RowMap, labels: Sequence[str], *, is_down: bool = False) -> Misfit | None:
    """How a map does not fit slots with these labels, in the order they are laid out."""
    holes = [place for leaf in _holes(row_map, is_down) for place in leaf]
    if len(labels) == len(holes):
        return None
    if len(labels) < len(holes):
        return Misfit(0, len(holes) - len(labels), *holes[len(labels)])
    end = holes[-1] if holes else (0, 0, 0)
    return Misfit(len(labels) - len(holes), 0, *end, labels[len(holes)])


def _holes(row_map: RowMap, is_down: bool) -> Iterator[list[Place]]:
    """The holes of each leaf in the order they are filled: row by row, or the first of each row."""
    for leaf_no, leaf in enumerate(row_map):
        places = [
            (leaf_no, row_no, at)
            for row_no, row in enumerate(leaf)
            for at, is_hole in enumerate(row)
            if is_hole
        ]
        yield sorted(places, key=lambda place: place[2]) if is_down else places


def by_map(
    slots: Sequence[GridSlot], turn: Sequence[int], arrangement: Arrangement
) -> tuple[LeafLayout, ...]:
    """The map's leaves with slots in its holes; slots that are over on a last leaf of their own.

    Holes left over stay free.
    """
    row_map = arrangement.row_map
    width = max((len(row) for leaf in row_map for row in leaf), default=arrangement.per_row)
    leaves, done = [], 0
    for number, holes in enumerate(_holes(row_map, arrangement.is_down)):
        here = turn[done : done + len(holes)]
        done += len(holes)
        filled = {
            place[1:]: Cell(index, name=slots[index].label)
            for place, index in zip(holes, here, strict=False)
        }
        rows = [
            [filled.get((row_no, at), SPACER) for at in range(len(row))]
            for row_no, row in enumerate(row_map[number])
        ]
        leaves.append(_leaf(f"Leaf {number + 1}", _span(slots, here), rows, width))
    over = turn[done:]
    for number, start in enumerate(range(0, len(over), width * MOST_ROWS), 1):
        here = over[start : start + width * MOST_ROWS]
        title = BEYOND if number == 1 else f"{BEYOND} ({number})"
        cells = [Cell(index, name=slots[index].label) for index in here]
        rows = [cells[at : at + width] for at in range(0, len(cells), width)]
        leaves.append(_leaf(title, _span(slots, here), rows, width))
    return tuple(leaves)


def _leaf(title: str, span: str, rows: Sequence[Sequence[Cell]], width: int) -> LeafLayout:
    """Rows centred on each other."""
    laid = (RowLayout("", "", width - len(row), tuple(row)) for row in rows)
    return LeafLayout(title, span, (), tuple(laid))


def _span(slots: Sequence[GridSlot], here: Sequence[int]) -> str:
    return span_text(slots[here[0]].label, slots[here[-1]].label) if here else ""


def map_of(leaves: Sequence[LeafLayout]) -> RowMap:
    """The map that gives these leaves: a hole where a slot stands, else a spacer."""
    return tuple(
        tuple(tuple(cell.slot is not None for cell in row.cells) for row in leaf.rows)
        for leaf in leaves
    )


def in_turn(leaf: LeafLayout, *, is_down: bool = False) -> list[int]:
    """The slots of a leaf in the order in which its map's holes are filled."""
    found = [
        (at, cell.slot)
        for row in leaf.rows
        for at, cell in enumerate(row.cells)
        if cell.slot is not None
    ]
    return [slot for _at, slot in (sorted(found, key=lambda one: one[0]) if is_down else found)]


# ---- edited hole by hole ----------------------------------------------------------------------


def put_spacer(row_map: RowMap, leaf: int, row: int, place: int) -> RowMap:
    """A spacer before a place, or after the last; the same map where the row is full."""
    cells = _row(row_map, leaf, row)
    if cells is None or not 0 <= place <= len(cells) or len(cells) >= MOST_CELLS:
        return row_map
    return _with_rows(row_map, leaf, row, row + 1, [(*cells[:place], False, *cells[place:])])


def take_spacer(row_map: RowMap, leaf: int, row: int, place: int) -> RowMap:
    """Without the spacer at a place, or where a hole is there the one before it.

    The same map where there is none; a row of that spacer alone goes too, a leaf of that row alone
    stays.
    """
    cells = _row(row_map, leaf, row)
    if cells is None:
        return row_map
    if not 0 <= place < len(cells) or cells[place]:
        place -= 1
    if not 0 <= place < len(cells) or cells[place]:
        return row_map
    left = (*cells[:place], *cells[place + 1 :])
    if not left and len(row_map[leaf]) == 1:
        return row_map
    return _with_rows(row_map, leaf, row, row + 1, [left] if left else [])


def break_row(row_map: RowMap, leaf: int, row: int, place: int) -> RowMap:
    """A new row begins at a place; the same map where one does, or the leaf has no room for it."""
    cells = _row(row_map, leaf, row)
    if cells is None or not 0 < place < len(cells) or len(row_map[leaf]) >= MOST_ROWS:
        return row_map
    return _with_rows(row_map, leaf, row, row + 1, [cells[:place], cells[place:]])


def join_row(row_map: RowMap, leaf: int, row: int, _place: int = 0) -> RowMap:
    """A row and the one above it as one; the same map where none is, or they are too long."""
    cells, above = _row(row_map, leaf, row), _row(row_map, leaf, row - 1)
    if cells is None or above is None or len(above) + len(cells) > MOST_CELLS:
        return row_map
    return _with_rows(row_map, leaf, row - 1, row + 1, [(*above, *cells)])


def break_leaf(row_map: RowMap, leaf: int, row: int, place: int) -> RowMap:
    """A new leaf begins at a place; the same map where one does."""
    cells = _row(row_map, leaf, row)
    if cells is None or not 0 <= place < len(cells) or len(row_map) >= MOST_LEAVES:
        return row_map
    rows = row_map[leaf]
    before = (*rows[:row], *([cells[:place]] if place else []))
    after = (cells[place:], *rows[row + 1 :])
    if not before:
        return row_map
    return (*row_map[:leaf], before, after, *row_map[leaf + 1 :])


def join_leaf(row_map: RowMap, leaf: int, _row: int = 0, _place: int = 0) -> RowMap:
    """A leaf and the one before it as one; the same map where none is, or they are too long."""
    if not 0 < leaf < len(row_map) or len(row_map[leaf - 1]) + len(row_map[leaf]) > MOST_ROWS:
        return row_map
    joined = (*row_map[leaf - 1], *row_map[leaf])
    return (*row_map[: leaf - 1], joined, *row_map[leaf + 1 :])


def _row(row_map: RowMap, leaf: int, row: int) -> MapRow | None:
    """A row of the map, None where it has no such row."""
    if not 0 <= leaf < len(row_map) or not 0 <= row < len(row_map[leaf]):
        return None
    return row_map[leaf][row]


def _with_rows(row_map: RowMap, leaf: int, first: int, end: int, new: Sequence[MapRow]) -> RowMap:
    """The map with other rows from `first` to before `end` of a leaf."""
    rows = row_map[leaf]
    changed = (*rows[:first], *new, *rows[end:])
    return (*row_map[:leaf], changed, *row_map[leaf + 1 :])
