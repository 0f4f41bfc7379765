"""Years by mints, and a row a design: a column a mint. Pure."""

from collections.abc import Callable, Hashable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from core.arrange.breaks import (
    Titles,
    beside_head,
    design_of,
    gathered,
    has_leads,
    is_short_head,
    key_of,
    span_text,
)
from core.arrange.layout import (
    SPACER,
    Cell,
    Column,
    GridSlot,
    LeafLayout,
    RowLayout,
    WasStruck,
)
from core.arrange.order import NO_LETTER
from core.model.arrangement import Arrangement, ArrangementKind, Break

MOST_ROWS = 10
"""Rows of a leaf where none are named."""


@dataclass(slots=True)
class _Block:
    """Rows kept together; whether a leaf begins with them, or a free row stands before them."""

    rows: list[RowLayout]
    begins_leaf: bool = False
    is_apart: bool = False


def matrix(
    slots: Sequence[GridSlot],
    turn: Sequence[int],
    arrangement: Arrangement,
    columns: Sequence[Column],
    was_struck: WasStruck,
) -> tuple[LeafLayout, ...]:
    """Leaves of rows in the order of `turn`; each index of it stands in exactly one cell."""
    shown = _shown(slots, arrangement, columns)
    chunks: list[list[_Block]] = []
    for block in _Matrix(slots, arrangement, shown, was_struck).blocks(turn):
        if block.begins_leaf or not chunks:
            chunks.append([])
        chunks[-1].append(block)
    heads = () if arrangement.is_closed else tuple(column.head for column in shown)
    rule = arrangement.leaf_break
    titles = Titles(Break.NONE if rule is Break.MINT else rule)
    leaves = []
    split = [
        [told_once(run) for run in _split(chunk, arrangement.rows_per_leaf)] for chunk in chunks
    ]
    are_short = all(
        is_short_head(row.head, row.differs) for runs in split for run in runs for row in run
    )
    for runs in split:
        width = max((len(row.cells) for rows in runs for row in rows), default=0)
        for at in range(0, len(runs), arrangement.blocks):
            beside = runs[at : at + arrangement.blocks]
            rows = (
                beside[0] if len(beside) == 1 else _side_by_side(beside, width, are_short=are_short)
            )
            title = titles.next(slots[_first_slot(beside[0])], _span(slots, beside))
            leaves.append(LeafLayout(*title, _heads_of(heads, len(beside)), tuple(rows)))
    return tuple(leaves)


def _shown(
    slots: Sequence[GridSlot], arrangement: Arrangement, columns: Sequence[Column]
) -> list[Column]:
    """The columns of the album: mints chosen first, then the series' own, then all others."""
    used = dict.fromkeys(slot.mint for slot in slots)
    known = {column.mint: column for column in columns}
    chosen = [mint or NO_LETTER for mint in arrangement.mints]
    ranked = dict.fromkeys((*chosen, *known, *used))
    return [known.get(m) or Column(m, m or "any mint") for m in ranked if m in used]


# ---- rows -------------------------------------------------------------------------------------


class _Matrix:
    """Makes the rows of one date after another."""

    def __init__(
        self,
        slots: Sequence[GridSlot],
        arrangement: Arrangement,
        columns: Sequence[Column],
        was_struck: WasStruck,
    ) -> None:
        self._slots, self._shape = slots, arrangement
        self._columns, self._was_struck = columns, was_struck
        self._place = {column.mint: at for at, column in enumerate(columns)}
        self._is_by_design = arrangement.kind is ArrangementKind.BY_DESIGN
        self._heads_dates = self._is_by_design and _have_several_dates(slots)

    def blocks(self, turn: Sequence[int]) -> Iterator[_Block]:
        """The rows of all dates, and where leaves begin and free rows stand."""
        slots, has_hands = self._slots, has_leads(self._slots)
        begins_leaf = _watch(self._shape.leaf_break, sees_dates=True)
        is_apart = _watch(self._shape.row_break, sees_dates=self._is_by_design)
        for date, dated in groupby(turn, key=lambda i: slots[i].date):
            group = list(dated)
            groups = [group]
            if self._is_by_design:
                groups = gathered(slots, group, lambda slot: slot.design)
            for group in groups:
                first = slots[group[0]]
                block = _Block(self._rows(date, group), begins_leaf(first), is_apart(first))
                if has_hands:
                    yield from self._cut_by_hand(block)
                else:
                    yield block

    def _rows(self, date: str, group: Sequence[int]) -> list[RowLayout]:
        """One row for each thing that differs, more where a cell is taken."""
        slots, columns, place = self._slots, self._columns, self._place
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
        design = design_of(slots[group[0]])
        return [self._row(date, design, differs, cells) for differs, cells in rows]

    def _row(self, date: str, design: str, differs: str, cells: Sequence[Cell | None]) -> RowLayout:
        head, sub, group = date, differs, ""
        if self._heads_dates:
            group = design
        elif self._is_by_design:
            head, sub = design, f"{date} {differs}".rstrip()
        filled = tuple(
            cell or _empty(date, column, self._was_struck)
            for cell, column in zip(cells, self._columns, strict=True)
        )
        if self._shape.is_closed:
            filled = tuple(cell for cell in cells if cell is not None)
        return RowLayout(head, sub, 0, filled, group)

    def _cut_by_hand(self, block: _Block) -> Iterator[_Block]:
        """The block cut before each row with a slot that was set apart by hand."""
        now = _Block([], block.begins_leaf, block.is_apart)
        for row in block.rows:
            leads = [self._slots[c.slot].lead for c in row.cells if c.slot is not None]
            begins_leaf = any(lead.new_leaf for lead in leads)
            is_apart = any(lead.new_row for lead in leads)
            if now.rows and (begins_leaf or is_apart):
                yield now
                now = _Block([])
            now.begins_leaf |= begins_leaf
            now.is_apart |= is_apart
            now.rows.append(row)
        yield now


def _have_several_dates(slots: Sequence[GridSlot]) -> bool:
    """Whether a design is of more dates than one, so that rows are told apart by their dates."""
    dates: dict[str, str] = {}
    return any(dates.setdefault(s.design, s.date) != s.date for s in slots if s.design)


def told_once(rows: Sequence[RowLayout]) -> list[RowLayout]:
    """Rows that name what they have in common in the first of them alone, before what differs."""
    out: list[RowLayout] = []
    before = ""
    for row in rows:
        is_first = bool(row.group) and row.group != before
        words = " · ".join(filter(None, (row.group, row.differs)))
        out.append(replace(row, differs=words) if is_first else row)
        before = row.group or before
    return out


def _watch(rule: Break, *, sees_dates: bool) -> Callable[[GridSlot], bool]:
    """Tells of one slot after another whether what the rule compares has changed.

    Mints stand side by side, so they never break; nor do dates where each has its own rows anyway.
    """
    key = key_of(rule)
    if key is None or rule is Break.MINT or (rule is Break.DATE and not sees_dates):
        return lambda _slot: False
    before: list[Hashable] = []

    def changes(slot: GridSlot) -> bool:
        found = key(slot)
        is_other = bool(before) and before[0] != found
        before[:] = [found]
        return is_other

    return changes


def _empty(date: str, column: Column, was_struck: WasStruck) -> Cell:
    if not column.mint or was_struck(date, column.mint):
        return SPACER
    return Cell(None, False, date if column.mint == NO_LETTER else f"{date}-{column.mint}")


# ---- leaves -----------------------------------------------------------------------------------


def _split(blocks: Sequence[_Block], rows_per_leaf: int | None) -> list[list[RowLayout]]:
    """Blocks of rows into runs for a leaf, a date's rows kept together where they fit.

    Where the rows of a leaf are not set, the fewest runs of at most ten rows, as even as can be.
    """
    if not blocks:
        return []
    if rows_per_leaf:
        return _cut(blocks, rows_per_leaf)
    fewest = len(_cut(blocks, MOST_ROWS))
    tries = (_cut(blocks, most) for most in range(1, MOST_ROWS + 1))
    return next(runs for runs in tries if len(runs) <= fewest)


def _cut(blocks: Sequence[_Block], most: int) -> list[list[RowLayout]]:
    runs: list[list[RowLayout]] = [[]]
    for block in blocks:
        rows = block.rows
        if block.is_apart and runs[-1]:
            rows = [RowLayout("", "", 0, (SPACER,) * len(rows[0].cells)), *rows]
        if runs[-1] and len(runs[-1]) + len(rows) > most:
            runs.append([])
            rows = block.rows  # no free row at the top
        for row in rows:
            if len(runs[-1]) >= most:
                runs.append([])
            runs[-1].append(row)
    return runs


def _side_by_side(
    runs: Sequence[Sequence[RowLayout]], width: int, *, are_short: bool
) -> list[RowLayout]:
    """Runs of rows beside each other, each further one after a free place and its heads."""
    out = []
    for down in range(max(map(len, runs))):
        head, sub = "", ""
        cells: list[Cell] = []
        for number, rows in enumerate(runs):
            row = rows[down] if down < len(rows) else RowLayout("", "", 0, ())
            if number == 0:
                head, sub = row.head, row.differs
            else:
                cells += beside_head(row.head, row.differs, are_short=are_short)
            cells += row.cells
            cells += [SPACER] * ((number + 1) * (width + 2) - 2 - len(cells))
        out.append(RowLayout(head, sub, 0, tuple(cells)))
    return out


def _heads_of(heads: tuple[str, ...], runs: int) -> tuple[str, ...]:
    """Column heads of runs side by side."""
    return heads + ("", "", *heads) * (runs - 1) if heads else ()


def _first_slot(rows: Sequence[RowLayout]) -> int:
    return next(c.slot for row in rows for c in row.cells if c.slot is not None)


def _span(slots: Sequence[GridSlot], runs: Sequence[Sequence[RowLayout]]) -> str:
    """The first and the last date of a leaf."""
    last = next(c.slot for row in reversed(runs[-1]) for c in row.cells if c.slot is not None)
    return span_text(slots[_first_slot(runs[0])].date, slots[last].date)
