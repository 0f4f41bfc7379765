"""Slots row after row, or column after column: running albums, decades, types. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from core.arrange.breaks import (
    SlotKey,
    Titles,
    beside_head,
    block_rule,
    block_title,
    cut_at,
    gathered,
    has_block_titles,
    has_leads,
    is_short_head,
    key_of,
    span_text,
)
from core.arrange.layout import SPACER, Cell, Column, GridSlot, LeafLayout, RowLayout
from core.model.arrangement import Arrangement, Break, Order

MOST_RUNNING_ROWS = 5
"""Rows of a leaf where none are named."""

Row = list[Cell]


def running(
    slots: Sequence[GridSlot],
    turn: Sequence[int],
    arrangement: Arrangement,
    columns: Sequence[Column],
) -> tuple[LeafLayout, ...]:
    """Leaves of rows in the order of `turn`; each index of it stands in exactly one cell."""
    shape = arrangement
    is_plain = (
        block_rule(shape.kind) is Break.NONE
        and shape.leaf_break is Break.NONE
        and shape.row_break is Break.NONE
        and shape.blocks == 1
        and not shape.is_down
        and not has_leads(slots)
    )
    if is_plain:
        return _plain(slots, turn, shape)
    return _Running(slots, shape, columns).leaves(turn)


def _plain(
    slots: Sequence[GridSlot], turn: Sequence[int], arrangement: Arrangement
) -> tuple[LeafLayout, ...]:
    """Full rows on full leaves, the last row centred: the lean way for what has nothing else."""
    per_row, rows_per_leaf = arrangement.per_row, arrangement.rows_per_leaf or MOST_RUNNING_ROWS
    leaves = []
    for number, first in enumerate(range(0, len(turn), per_row * rows_per_leaf), 1):
        here = turn[first : first + per_row * rows_per_leaf]
        rows = []
        for start in range(0, len(here), per_row):
            cells = tuple(Cell(i, name=slots[i].label) for i in here[start : start + per_row])
            rows.append(RowLayout("", "", min(per_row, len(turn)) - len(cells), cells))
        span = span_text(slots[here[0]].label, slots[here[-1]].label)
        leaves.append(LeafLayout(f"Leaf {number}", span, (), tuple(rows)))
    return tuple(leaves)


@dataclass(slots=True)
class _Part:
    """Rows that stand under each other, at most those of a leaf; heads by the row they begin."""

    rows: list[Row]
    heads: dict[int, tuple[str, str]] = field(default_factory=dict)

    def add(self, rows: Sequence[Row], head: str, sub: str) -> None:
        """Rows of a block below those there are."""
        if head:
            self.heads[len(self.rows)] = head, sub
        self.rows += rows


class _Running:
    """Lays out with blocks, breaks, spacers, and down the columns."""

    def __init__(
        self, slots: Sequence[GridSlot], arrangement: Arrangement, columns: Sequence[Column]
    ) -> None:
        self._slots, self._shape, self._columns = slots, arrangement, columns
        self._rows = arrangement.rows_per_leaf or MOST_RUNNING_ROWS
        self._row_key = key_of(arrangement.row_break)
        self._block_key = key_of(block_rule(arrangement.kind))
        self._has_titles = has_block_titles(arrangement)
        self._are_short = True

    def leaves(self, turn: Sequence[int]) -> tuple[LeafLayout, ...]:
        """All leaves, in order."""
        shape = self._shape
        if self._block_key is not None:
            is_by_date = shape.order is not Order.AS_LISTED
            groups = gathered(self._slots, turn, self._block_key, is_by_date=is_by_date)
            turn = [index for group in groups for index in group]
        drawn: list[tuple[list[int], list[_Part]]] = []
        cuts = cut_at(self._slots, turn, key_of(shape.leaf_break), _begins_leaf)
        for chunk in cuts:
            parts = self._runs(chunk) if self._block_key is None else self._stacked(chunk)
            done = 0
            for first in range(0, len(parts), shape.blocks):
                beside = parts[first : first + shape.blocks]
                here = sum(cell.slot is not None for p in beside for row in p.rows for cell in row)
                drawn.append((chunk[done : done + here], beside))
                done += here
        heads = [head for _, parts in drawn for part in parts for head in part.heads.values()]
        self._are_short = all(is_short_head(*head) for head in heads)
        width = max((len(row) for _, parts in drawn for p in parts for row in p.rows), default=0)
        titles = Titles(shape.leaf_break, self._columns)
        return tuple(self._leaf(titles, here, parts, width) for here, parts in drawn)

    # --- one leaf

    def _leaf(
        self, titles: Titles, here: Sequence[int], parts: Sequence[_Part], width: int
    ) -> LeafLayout:
        first = self._slots[here[0]] if here else None
        title, subtitle = titles.next(first, self._span(here))
        is_centred = (
            self._block_key is None
            and self._row_key is None
            and self._shape.blocks == 1
            and not self._shape.is_down
        )
        rows = []
        own_width = max(len(row) for part in parts for row in part.rows)
        for down in range(max(len(part.rows) for part in parts)):
            head, sub = parts[0].heads.get(down, ("", ""))
            cells = tuple(self._across(parts, down, own_width))
            rows.append(RowLayout(head, sub, width - len(cells) if is_centred else 0, cells))
        return LeafLayout(title, subtitle, (), tuple(rows))

    def _across(self, parts: Sequence[_Part], down: int, width: int) -> Row:
        """A row across parts side by side, between them a free place and the head of a block."""
        cells: Row = []
        for number, part in enumerate(parts):
            if down >= len(part.rows):
                continue
            if number:
                between: tuple[Cell, ...] = (SPACER,)
                if self._has_titles:
                    head = part.heads.get(down, ("", ""))
                    between = beside_head(*head, are_short=self._are_short)
                begin = number * (width + len(between))
                cells += [SPACER] * (begin - len(between) - len(cells)) + [*between]
            cells += part.rows[down]
        return cells or [SPACER]

    def _span(self, here: Sequence[int]) -> str:
        """What a leaf reaches from and to: blocks where it has several, else slots."""
        if not here:
            return ""
        first, last = self._slots[here[0]], self._slots[here[-1]]
        if self._block_key is not None and self._block_key(first) != self._block_key(last):
            kind = self._shape.kind
            return span_text(block_title(kind, first), block_title(kind, last))
        return span_text(first.label, last.label)

    # --- rows

    def _runs(self, chunk: Sequence[int]) -> list[_Part]:
        """Lines as long as may be, as many as may be to a part."""
        length, count = self._shape.per_row, self._rows
        if self._shape.is_down:
            length, count = count, length
        return self._parts(self._lines(chunk, length), count)

    def _stacked(self, chunk: Sequence[int]) -> list[_Part]:
        """Block under block; one that fits a leaf is not cut, a longer one begins a part."""
        stacks: list[_Part] = []
        for block in cut_at(self._slots, chunk, self._block_key):
            title = block_title(self._shape.kind, self._slots[block[0]]) if self._has_titles else ""
            for number, part in enumerate(self._block_parts(block)):
                if number or not stacks or len(stacks[-1].rows) + len(part.rows) > self._rows:
                    stacks.append(_Part([]))
                stacks[-1].add(part.rows, title, "continued" if number else "")
        return stacks

    def _block_parts(self, block: Sequence[int]) -> list[_Part]:
        """The rows of a block, a leaf's at most together; down the columns, as low as can be."""
        per_row, most = self._shape.per_row, self._rows
        if not self._shape.is_down:
            return self._parts(self._lines(block, per_row), most)
        for height in range(min(most, -(-len(block) // per_row)), most):
            lines = self._lines(block, height)
            if len(lines) <= per_row:
                return self._parts(lines, per_row)
        return self._parts(self._lines(block, most), per_row)

    def _parts(self, lines: list[Row], count: int) -> list[_Part]:
        parts = [lines[at : at + count] for at in range(0, len(lines), count)]
        return [_Part(_upright(part) if self._shape.is_down else part) for part in parts]

    def _lines(self, run: Sequence[int], length: int) -> list[Row]:
        """Slots and the spacers before them, in lines of at most that length."""
        return _lines(self._slots, run, length, self._row_key)


def _begins_leaf(slot: GridSlot) -> bool:
    return slot.lead.new_leaf


def _lines(
    slots: Sequence[GridSlot], run: Sequence[int], length: int, row_key: SlotKey | None
) -> list[Row]:
    lines: list[Row] = [[]]
    before: GridSlot | None = None
    for index in run:
        slot = slots[index]
        changes = row_key is not None and before is not None and row_key(before) != row_key(slot)
        if lines[-1] and (changes or slot.lead.new_row):
            lines.append([])
        for cell in (*[SPACER] * slot.lead.spacers, Cell(index, name=slot.label)):
            if len(lines[-1]) >= length:
                lines.append([])
            lines[-1].append(cell)
        before = slot
    return lines


def _upright(lines: Sequence[Row]) -> list[Row]:
    """Lines stood up as columns; places that none reaches are left out at the end of a row."""
    rows = []
    for down in range(max(map(len, lines), default=0)):
        last = max(at for at, line in enumerate(lines) if down < len(line))
        rows.append([line[down] if down < len(line) else SPACER for line in lines[: last + 1]])
    return rows
