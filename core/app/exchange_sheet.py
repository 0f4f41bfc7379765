"""A coins sheet cut into lines of cells under known columns; no cell is understood here."""

import csv
import io
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from core.app.exchange_cells import FACETS, Column, plain
from core.errors import FileTrouble

SEPARATORS = ",;\t"
_NO_SEPARATOR = "\x1f"  # a sheet of one column is not cut at all
_LONGEST = 2**31 - 1
_NAMED = re.compile(r"sep=([^\r\n])\r?\n?", re.IGNORECASE)
_GAPS = re.compile(r"[\s_-]+")
_BY_NAME = {column.value: column for column in Column}
SAYS_WHAT = frozenset({Column.COIN, Column.CHOICES, *FACETS})
"""Columns of which a sheet needs at least one."""


@dataclass(frozen=True, slots=True)
class SheetFault:
    """What is wrong on a line of a sheet, counted from 1, and what to do.

    `column` is "" where it is about the whole line.
    """

    line: int
    column: str
    reason: str

    @property
    def text(self) -> str:
        """line 7, since: …"""
        where = f"line {self.line}" + (f", {self.column}" if self.column else "")
        return f"{where}: {self.reason}"


@dataclass(frozen=True, slots=True)
class Line:
    """One row of a sheet: the line it begins on, and its cells that are not empty."""

    number: int
    cells: Mapping[Column, str]


@dataclass(slots=True)
class Sheet:
    """The lines of a sheet, what of it could not be cut, and what is worth telling."""

    lines: list[Line] = field(default_factory=list)
    faults: list[SheetFault] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)


def sheet_text(path: Path) -> str:
    """The text of a file in UTF-8; raises FileTrouble."""
    try:
        data = path.read_bytes()
    except OSError as error:
        raise FileTrouble(
            f"“{path}” cannot be read ({error.strerror}). Check the name and the disk."
        ) from error
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise FileTrouble(
            f"“{path}” is not UTF-8 (line {line}). Save it anew as CSV in UTF-8."
        ) from error


def cut(text: str, columns: Sequence[Column] | None = None) -> Sheet:
    """Cut a sheet at comma, semicolon or tab, whichever its first line uses.

    `columns` names them for a text that has no such first line. Never raises.
    """
    text = text.removeprefix("\ufeff")
    sheet = Sheet()
    first = 1
    named = _NAMED.match(text)
    if named:
        text = text[named.end() :]
        first = 2
    if columns is None:
        separator = named.group(1) if named else _separator(text)
    else:
        separator = "\t" if "\t" in text or len(columns) > 1 else _NO_SEPARATOR
    if separator in '"\r\n':
        separator = ","
    rows = _rows(text, separator, first, sheet)
    head = list(columns) if columns is not None else _head(next(rows, None), sheet)
    for number, cells in rows:
        _add(sheet, number, cells, head)
    if sheet.faults:
        sheet.faults.sort(key=lambda fault: fault.line)
    return sheet


def _rows(text: str, separator: str, first: int, sheet: Sheet) -> Iterator[tuple[int, list[str]]]:
    """The rows that are not empty, each with the line it begins on."""
    before = csv.field_size_limit(_LONGEST)
    try:
        yield from _cut_rows(text, separator, first, sheet)
    finally:
        csv.field_size_limit(before)  # it is the whole process's


def _cut_rows(
    text: str, separator: str, first: int, sheet: Sheet
) -> Iterator[tuple[int, list[str]]]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    begins = first
    while True:
        try:
            cells = next(reader, None)
        except csv.Error:
            sheet.faults.append(
                SheetFault(
                    begins,
                    "",
                    "its quotation marks do not close as they should, so nothing from here on "
                    "could be read; a quotation mark within a quoted cell is written twice.",
                )
            )
            return
        if cells is None:
            return
        if any(map(str.strip, cells)):
            yield begins, cells
        begins = first + reader.line_num


def _separator(text: str) -> str:
    """The separator under which the first line names most columns we know."""
    lines = (line for line in io.StringIO(text, newline="") if line.strip())
    head = next(lines, "")
    best, most = _NO_SEPARATOR, (0, 0)
    for separator in SEPARATORS:
        try:
            names = next(csv.reader([head], delimiter=separator), [])
        except csv.Error:
            continue
        known = sum(_name(name) in _BY_NAME for name in names)
        if len(names) > 1 and (known, len(names)) > most:
            best, most = separator, (known, len(names))
    return best


def _name(cell: str) -> str:
    return _GAPS.sub("_", plain(cell).strip().casefold())


def _head(row: tuple[int, list[str]] | None, sheet: Sheet) -> list[Column | None]:
    """The column of each cell, None for one that is not ours."""
    if row is None:
        sheet.faults.append(
            SheetFault(1, "", "the sheet is empty; its first line names the columns, such as coin.")
        )
        return []
    number, cells = row
    head: list[Column | None] = []
    for cell in cells:
        column = _BY_NAME.get(_name(cell))
        if column is not None and column in head:
            sheet.faults.append(
                SheetFault(number, column, "this column stands twice; take one of the two out.")
            )
        if column is None and cell.strip():
            sheet.notes.append(
                f"The column “{cell.strip()}” is not one that a coin has; it is left out."
            )
        head.append(column)
    if not SAYS_WHAT & {column for column in head if column}:
        sheet.faults.append(
            SheetFault(
                number,
                "",
                "no column says what the coins are; name one coin (entry lines such as "
                "1943-D vf20), or date and mint.",
            )
        )
    return head


def _add(sheet: Sheet, number: int, cells: list[str], head: Sequence[Column | None]) -> None:
    if any(cell.strip() for cell in cells[len(head) :]):
        sheet.faults.append(
            SheetFault(
                number,
                "",
                f"it has {len(cells)} cells, the first line names {len(head)}; put a cell that "
                "holds a separator in quotation marks.",
            )
        )
        return
    found = {
        column: plain(cell)
        for column, cell in zip(head, cells, strict=False)
        if column is not None and cell
    }
    if found:
        sheet.lines.append(Line(number, found))
