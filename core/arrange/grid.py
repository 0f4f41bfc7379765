"""Slots to leaves of rows; pure: no database, no Qt."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby

from core.arrange.order import NO_LETTER
from core.model.arrangement import Arrangement

MOST_ROWS = 10


@dataclass(frozen=True, slots=True)
class GridSlot:
    """What the grid needs of a slot: date, mint ("" for any), what differs, its label."""

    date: str
    mint: str
    differs: str
    label: str


@dataclass(frozen=True, slots=True)
class Cell:
    """One place of a row: a slot (by its index), a not-struck place, or a spacer."""

    slot: int | None = None
    is_struck: bool = True
    name: str = ""

    @property
    def is_spacer(self) -> bool:
        """Whether nothing is drawn here."""
        return self.slot is None and self.is_struck


SPACER = Cell()


@dataclass(frozen=True, slots=True)
class RowLayout:
    """One row: its head, what differs (a second, quieter line), indent in half cells, cells."""

    head: str
    differs: str
    indent: int
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class LeafLayout:
    """One leaf: title, span, column heads ("" where there are none) and rows."""

    title: str
    subtitle: str
    heads: tuple[str, ...]
    rows: tuple[RowLayout, ...]


@dataclass(frozen=True, slots=True)
class Column:
    """A mint's column: its id and its head, such as “P (no letter)”."""

    mint: str
    head: str


def arrange(
    slots: Sequence[GridSlot],
    arrangement: Arrangement,
    columns: Sequence[Column],
    was_struck: Callable[[str, str], bool],
) -> tuple[LeafLayout, ...]:
    """Lay slots out; every slot stands in exactly one cell, in the order given.

    `was_struck(date, mint)` tells not-struck places from spacers in a matrix.
    """
    if arrangement.kind.is_matrix:
        return _matrix(slots, arrangement, columns, was_struck)
    return _running(slots, arrangement)


def _running(slots: Sequence[GridSlot], arrangement: Arrangement) -> tuple[LeafLayout, ...]:
    per_row, rows_per_leaf = arrangement.per_row, arrangement.rows_per_leaf or 5
    leaves = []
    for number, first in enumerate(range(0, len(slots), per_row * rows_per_leaf), 1):
        here = range(first, min(len(slots), first + per_row * rows_per_leaf))
        rows = []
        for start in range(here.start, here.stop, per_row):
            cells = tuple(
                Cell(i, name=slots[i].label) for i in range(start, min(here.stop, start + per_row))
            )
            rows.append(RowLayout("", "", min(per_row, len(slots)) - len(cells), cells))
        span = _span(slots[here.start].label, slots[here.stop - 1].label)
        leaves.append(LeafLayout(f"Leaf {number}", span, (), tuple(rows)))
    return tuple(leaves)


def _matrix(
    slots: Sequence[GridSlot],
    arrangement: Arrangement,
    columns: Sequence[Column],
    was_struck: Callable[[str, str], bool],
) -> tuple[LeafLayout, ...]:
    used = {slot.mint for slot in slots}
    shown = [c for c in columns if c.mint in used]
    listed = {c.mint for c in shown}
    shown += [
        Column(mint, mint or "any mint")
        for mint in dict.fromkeys(s.mint for s in slots)
        if mint not in listed
    ]
    place = {column.mint: at for at, column in enumerate(shown)}
    blocks = []
    for date, group in groupby(range(len(slots)), key=lambda i: slots[i].date):
        blocks.append(_date_rows(date, list(group), slots, shown, place, was_struck))
    heads = tuple(column.head for column in shown)
    return tuple(
        LeafLayout(f"Leaf {number}", _span(rows[0].head, rows[-1].head), heads, tuple(rows))
        for number, rows in enumerate(_split(blocks, arrangement.rows_per_leaf), 1)
    )


def _date_rows(
    date: str,
    group: Iterable[int],
    slots: Sequence[GridSlot],
    columns: Sequence[Column],
    place: dict[str, int],
    was_struck: Callable[[str, str], bool],
) -> list[RowLayout]:
    """The rows of one date: one for each thing that differs, more where a cell is taken."""
    rows: list[tuple[str, list[Cell | None]]] = []
    for index in group:
        slot = slots[index]
        at = place[slot.mint]
        for differs, cells in rows:
            if differs == slot.differs and cells[at] is None:
                cells[at] = Cell(index, name=slot.label)
                break
        else:
            fresh: list[Cell | None] = [None] * len(columns)
            fresh[at] = Cell(index, name=slot.label)
            rows.append((slot.differs, fresh))
    out = []
    for differs, cells in rows:
        filled = tuple(
            cell or _empty(date, column, was_struck)
            for cell, column in zip(cells, columns, strict=True)
        )
        out.append(RowLayout(date, differs, 0, filled))
    return out


def _empty(date: str, column: Column, was_struck: Callable[[str, str], bool]) -> Cell:
    if not column.mint or was_struck(date, column.mint):
        return SPACER
    return Cell(None, False, date if column.mint == NO_LETTER else f"{date}-{column.mint}")


def _split(blocks: Sequence[list[RowLayout]], rows_per_leaf: int | None) -> list[list[RowLayout]]:
    """Blocks of rows into leaves, a date's rows kept together where they fit.

    Where the rows of a leaf are not set, the fewest leaves of at most ten rows, as even as can be.
    """
    if not blocks:
        return []
    if rows_per_leaf:
        return _cut(blocks, rows_per_leaf)
    fewest = len(_cut(blocks, MOST_ROWS))
    tries = (_cut(blocks, most) for most in range(1, MOST_ROWS + 1))
    return next(leaves for leaves in tries if len(leaves) <= fewest)


def _cut(blocks: Sequence[list[RowLayout]], most: int) -> list[list[RowLayout]]:
    leaves: list[list[RowLayout]] = [[]]
    for block in blocks:
        if leaves[-1] and len(leaves[-1]) + len(block) > most:
            leaves.append([])
        for row in block:
            if len(leaves[-1]) >= most:
                leaves.append([])
            leaves[-1].append(row)
    return leaves


def _span(first: str, last: str) -> str:
    return first if first == last else f"{first}–{last}"
