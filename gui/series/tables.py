"""Tables of texts as one edits them in a spreadsheet: each edit gives a new table. No Qt here."""

import csv
from collections.abc import Mapping, Sequence
from io import StringIO

Row = tuple[str, ...]
Table = tuple[Row, ...]
Place = tuple[int, int]
"""Row and column, both from 0."""


def is_blank(row: Row) -> bool:
    """Whether nothing stands in a row."""
    return not any(cell.strip() for cell in row)


def with_cells(table: Table, cells: Mapping[Place, str], width: int) -> Table:
    """The table with other texts in some cells; rows beyond its end are added."""
    if not cells:
        return table
    rows = [list(row) for row in table]
    rows += [[""] * width for _ in range(max(at for at, _ in cells) + 1 - len(rows))]
    for (at, column), text in cells.items():
        rows[at][column] = text
    changed = {at for at, _ in cells}
    new = tuple(
        table[at] if at < len(table) and at not in changed else tuple(row)
        for at, row in enumerate(rows)
    )
    return table if new == table else new


def cleared(table: Table, places: Sequence[Place], width: int) -> Table:
    """The table with these cells empty."""
    return with_cells(table, {p: "" for p in places if p[0] < len(table)}, width)


def filled_down(table: Table, top: int, bottom: int, columns: Sequence[int], width: int) -> Table:
    """The cells of row `top` down to `bottom`; of one row alone, what stands above it."""
    source = top if bottom > top else top - 1
    if not 0 <= source < len(table):
        return table
    cells = {
        (at, column): table[source][column]
        for at in range(source + 1, bottom + 1)
        for column in columns
    }
    return with_cells(table, cells, width)


def pasted(table: Table, place: Place, last: Place, block: Table, width: int) -> Table:
    """The one cell of a block put into all cells from `place` to `last`."""
    (top, left), (bottom, right) = place, last
    text = block[0][0]
    spread = {
        (at, column): text for at in range(top, bottom + 1) for column in range(left, right + 1)
    }
    return with_cells(table, spread, width)


def laid(table: Table, top: int, columns: Sequence[int], block: Table, width: int) -> Table:
    """A block laid from row `top` on, each of its cells in its column."""
    cells = {
        (top + at, column): text
        for at, row in enumerate(block)
        for column, text in zip(columns, row, strict=False)
    }
    return with_cells(table, cells, width)


def with_row(table: Table, at: int, row: Row) -> Table:
    """The table with one row more, which then stands at `at`."""
    return (*table[:at], row, *table[at:])


def without_rows(table: Table, places: Sequence[int]) -> Table:
    """The table without these rows."""
    gone = set(places)
    return tuple(row for at, row in enumerate(table) if at not in gone)


def block_text(table: Table, top: int, left: int, bottom: int, right: int) -> str:
    """Cells as a spreadsheet takes them: tabs between cells, one line a row."""
    text = StringIO(newline="")
    writer = csv.writer(text, delimiter="\t", lineterminator="\n")
    writer.writerows(row[left : right + 1] for row in table[top : bottom + 1])
    return text.getvalue().removesuffix("\n")


def block_of(text: str) -> Table:
    """Cells as a spreadsheet gives them; a break within a cell becomes a space."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n").removesuffix("\n")
    rows = csv.reader(StringIO(lines, newline=""), delimiter="\t")
    return tuple(tuple(" ".join(cell.split()) for cell in row) or ("",) for row in rows)


def changed_span(old: Table, new: Table) -> tuple[int, int, int]:
    """Where two tables differ: the first row, and how many rows from there of the old and new."""
    most = min(len(old), len(new))
    start = 0
    while start < most and old[start] is new[start]:
        start += 1
    same = 0
    while same < most - start and old[len(old) - 1 - same] is new[len(new) - 1 - same]:
        same += 1
    return start, len(old) - start - same, len(new) - start - same
