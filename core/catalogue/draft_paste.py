"""Rows of a series out of a sheet: cells pasted from one, or a whole CSV with at least a date."""

import csv
import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from io import StringIO

from core.catalogue.draft_rows import ROW_COLUMNS, DraftRow, DraftTotal
from core.errors import BadEntry
from core.model.issue import Composition, Confidence, Design, Mint, Release, Strike

MOST_CHARACTERS = 4 * 1024 * 1024
MOST_ROWS = 10_000
IMPORTED = "imported from a sheet"
_DIGITS = re.compile(r"\d{1,4}")
_GAPS = re.compile(r"[\s_.-]+")
_GROUPS = re.compile(r"\d{1,3}([ ,.'\u00a0\u202f\u2019])\d{3}(?:\1\d{3})*")
_NAMES = {
    **{name: name for name in (*ROW_COLUMNS, "row")},
    "mint mark": "mark",
    "mintmark": "mark",
    "letter": "mark",
    "metal": "composition",
    "type": "design",
    "minted": "mintage",
    "quantity": "mintage",
    "struck": "mintage",
    "notes": "note",
    "variety": "note",
    "variety note": "note",
    "remark": "note",
    "remarks": "note",
    "sources": "source",
}


@dataclass(frozen=True, slots=True)
class Pasted:
    """Cells out of a sheet under known columns, each row as long as `columns`."""

    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(slots=True)
class CsvRows:
    """The rows of a CSV; `faults` names, by line, those that could not be taken."""

    rows: list[DraftRow] = field(default_factory=list)
    totals: list[DraftTotal] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)


def rows_from_text(text: str, at: Sequence[str] = ROW_COLUMNS) -> tuple[tuple[str, ...], ...]:
    """Rows of cells pasted from a sheet, ready to be laid over the columns `at`, left to right.

    A first line of names of columns brings each cell under its own name; then every row has a cell
    for each of `at`, "" where the sheet has none. Raises BadEntry for what does not fit.
    """
    found = pasted(text, at)
    if found.columns == tuple(at[: len(found.columns)]):
        return found.rows
    places = [found.columns.index(name) if name in found.columns else None for name in at]
    return tuple(tuple("" if p is None else row[p] for p in places) for row in found.rows)


def pasted(text: str, at: Sequence[str] = ROW_COLUMNS) -> Pasted:
    """Cells pasted from a sheet, and the columns of `at` in which they belong.

    Cut at tabs, else semicolons, else commas. Raises BadEntry for more columns than there are,
    names that are not columns here, or far too many rows.
    """
    lines = _cut(text)
    if not lines:
        return Pasted((), ())
    names = _names(lines[0], at)
    if names is not None:
        lines = lines[1:]
    width = max(map(len, lines), default=len(names or ()))
    columns = tuple(at[:width]) if names is None else names
    if width > len(columns):
        room = "a column" if len(columns) == 1 else f"{len(columns)} columns"
        raise BadEntry(
            f"The rows have {width} cells, but there is room for {room} here; paste further left, "
            "or copy fewer columns."
        )
    rows = [tuple(cells) + ("",) * (len(columns) - len(cells)) for cells in lines]
    kept = [at for at, name in enumerate(columns) if name]
    if len(kept) < len(columns):  # columns without a name are left out
        rows = [tuple(row[place] for place in kept) for row in rows]
        columns = tuple(columns[place] for place in kept)
    return Pasted(columns, tuple(rows))


def _cut(text: str) -> list[list[str]]:
    """The rows of cells of a text, empty rows left out."""
    if len(text) > MOST_CHARACTERS:
        raise BadEntry(f"That is more than {MOST_CHARACTERS // 2**20} MB; paste it in parts.")
    text = text.removeprefix("\ufeff")
    first = next((line for line in text.splitlines() if line.strip()), "")
    separator = next((s for s in "\t;," if s in first), "\t")
    is_quoted = ('"' in text and separator != "\t") or text.count('"') % 2 == 0
    reader = csv.reader(
        StringIO(text, newline=""),
        delimiter=separator,
        quoting=csv.QUOTE_MINIMAL if is_quoted else csv.QUOTE_NONE,
    )
    try:
        lines = [[cell.strip() for cell in cells] for cells in reader if any(map(str.strip, cells))]
    except csv.Error as error:
        raise BadEntry(f"The rows cannot be read ({error}); check their double quotes.") from error
    if len(lines) > MOST_ROWS:
        raise BadEntry(f"These are more than {MOST_ROWS:,} rows; paste them in parts.")
    return lines


def _names(cells: Sequence[str], at: Sequence[str]) -> tuple[str, ...] | None:
    """The columns a first line names, "" for one without a name; None where it is a row.

    It names columns where one of its cells does and no cell has a digit in it.
    """
    names = [_name(cell) for cell in cells]
    if not any(name in at for name in names) or any(map(_has_digit, cells)):
        return None
    unknown = [cell for cell, name in zip(cells, names, strict=True) if cell and name not in at]
    if unknown:
        raise BadEntry(
            f"There is no column “{unknown[0]}” here; name it one of {', '.join(at)}, "
            "or leave it out."
        )
    twice = next((n for n in names if n and names.count(n) > 1), None)
    if twice is not None:
        raise BadEntry(f"The column {twice} stands twice in the first line; keep one.")
    return tuple(names)


def _name(cell: str) -> str:
    return _NAMES.get(_GAPS.sub(" ", cell).strip().lower(), "")


def _has_digit(cell: str) -> bool:
    return any(sign.isdecimal() for sign in cell)


# ---- a whole CSV ------------------------------------------------------------------------------


def rows_from_csv(
    text: str,
    mints: Sequence[Mint] = (),
    designs: Sequence[Design] = (),
    compositions: Sequence[Composition] = (),
) -> CsvRows:
    """The rows of a CSV whose first line names its columns, a date or a year among them.

    Mints, designs and metals may be named by id, name or letter; where a series has one only, an
    empty cell means it. What is empty besides is filled in: the year from the date, the letter
    from the mint. A row without a date is named in `faults`. Raises BadEntry where the first line
    has no date, or names a column that is not known.
    """
    lines = _cut(text)
    if not lines:
        raise BadEntry(
            "The sheet is empty; begin with a line that names the columns, such as date."
        )
    known = (*ROW_COLUMNS, "row")
    names = _names(lines[0], known)
    if names is None or not {"date", "year"} & set(names):
        raise BadEntry("The first line must name the columns, a date or a year among them.")
    found = CsvRows()
    for number, cells in enumerate(lines[1:], start=2):
        if len(cells) > len(names):
            found.faults.append(
                f"row {number}: there are {len(cells)} cells for {len(names)} columns; put a text "
                "that has separators in double quotes"
            )
            continue
        row = {name: cell for name, cell in zip(names, cells, strict=False) if name}
        _take(found, number, row, (mints, designs, compositions))
    return found


_Parts = tuple[Sequence[Mint], Sequence[Design], Sequence[Composition]]


def _take(found: CsvRows, number: int, row: dict[str, str], parts: _Parts) -> None:
    mints, designs, compositions = parts
    date = row.get("date") or row.get("year", "")
    year = row.get("year") or (date if _DIGITS.fullmatch(date) else "")
    if not date:
        found.faults.append(f"row {number}: there is no date; write it as it stands on the coin")
        return
    mint = _among(row.get("mint") or row.get("mark", ""), [(m.id, m.name, m.mark) for m in mints])
    mintage = _figure(row.get("mintage", ""))
    source = row.get("source") or IMPORTED
    confidence = row.get("confidence", "").lower() or Confidence.RECALLED.value
    if row.get("row", "").lower() == "total":
        total = DraftTotal(date, mint, mintage, row.get("note", ""), source, confidence)
        found.totals.append(total)
        return
    if not year:
        found.faults.append(
            f"row {number}: the date {date!r} is no year; add a column year with the Gregorian one"
        )
        return
    struck = next((m.mark for m in mints if m.id == mint), mint)
    found.rows.append(
        DraftRow(
            date=date,
            year=year,
            mint=mint,
            mark=row["mark"] if "mark" in row and "mint" in row else struck,
            design=_among(row.get("design", ""), [(d.id, d.title) for d in designs]),
            composition=_among(row.get("composition", ""), [(c.id, c.title) for c in compositions]),
            strike=row.get("strike", "").lower() or Strike.CIRCULATION.value,
            release=row.get("release", "").lower() or Release.BANKS.value,
            choices=row.get("choices", ""),
            mintage=mintage,
            note=row.get("note", ""),
            source=source,
            confidence=confidence,
        )
    )


def _among(cell: str, known: Sequence[tuple[str, ...]]) -> str:
    """The id meant by a cell: an id, else a name or letter; the only one where it is empty."""
    if cell in (names[0] for names in known):
        return cell
    folded = cell.casefold()
    for names in known:
        if cell and folded in (name.casefold() for name in names):
            return names[0]
    return known[0][0] if not cell and len(known) == 1 else cell


def _figure(cell: str) -> str:
    """A mintage with its groups of three put together: 1,234,567 is 1234567."""
    grouped = _GROUPS.fullmatch(cell)
    return cell.replace(grouped[1], "") if grouped else cell
