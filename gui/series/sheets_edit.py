"""What an edit brings with it: ids, letters, years, rows that follow their rule. No Qt here."""

import re
from collections.abc import Mapping
from dataclasses import replace

from core.catalogue.draft import ROW_COLUMNS, ROWS, applies_text, id_of, parse_applies
from core.catalogue.draft_rows import BY_HAND
from core.errors import BadEntry
from core.model.issue import Confidence, Release, Strike
from gui.series.sheets import (
    A_YEAR,
    COLUMNS,
    DESIGNS,
    METALS,
    MINTS,
    SIGNS,
    TOTALS,
    VARIETIES,
    Sheets,
)
from gui.series.sheets_check import Reading, made_rows, spans_of
from gui.series.tables import Row, Table, is_blank

_GROUPED = re.compile(r"\d{1,3}(?:[ ,.'’\u00a0\u202f]\d{3})+")
_DATE, _MINT = ROW_COLUMNS.index("date"), ROW_COLUMNS.index("mint")
_KIND = tuple(ROW_COLUMNS.index(name) for name in ("date", "mint", "design", "composition"))


def merged(rows: Table, made: Table) -> Table:
    """What the rule makes, with all rows that there are of its dates and mints as they stand."""
    there: dict[tuple[str, str], list[Row]] = {}
    for row in rows:
        there.setdefault((row[_DATE], row[_MINT]), []).append(row)
    kinds = {tuple(row[at] for at in _KIND) for row in rows}
    found: list[Row] = []
    for row in made:
        found += there.pop((row[_DATE], row[_MINT]), ())
        if tuple(row[at] for at in _KIND) not in kinds:
            found.append(row)
    return tuple(found)


def made_text(rows: Table, made: Table) -> str:
    """What making the rows would do: Would add 6 rows and take out 2."""
    old = {row for row in rows if not is_blank(row)}
    after = set(merged(rows, made))
    new, gone = len(after - old), len(old - after)
    if new and gone:
        return f"Would add {new:,} row{'' if new == 1 else 's'} and take out {gone:,}."
    count, does = (new, "add") if new else (gone, "take out")
    return f"Would {does} {count:,} row{'' if count == 1 else 's'}." if count else ""


def edited(sheets: Sheets, part: str, table: Table) -> Sheets:
    """The sheets with another table, and what follows from it: ids, letters, years, renames."""
    before = sheets.table(part)
    if part == ROWS:
        return with_rows(sheets, _rows_completed(sheets, before, table))
    if part in (DESIGNS, METALS, VARIETIES):
        table = _with_ids(part, table)
    after = sheets.with_table(part, table)
    if part in (MINTS, DESIGNS, METALS):
        after = _renamed(after, part, before, table)
        if sheets.follows_rule and sheets.made:
            after = followed(after)
    return after


def with_rows(sheets: Sheets, rows: Table) -> Sheets:
    """The sheets with other rows, without what spoke only of dates that are gone by that.

    Where no row is left nothing else goes: one makes them anew.
    """
    after = sheets.with_table(ROWS, rows)
    pairs = {(row[_DATE], row[_MINT]) for row in rows}
    gone = {(row[_DATE], row[_MINT]) for row in sheets.rows} - pairs
    if not gone or not any(not is_blank(row) for row in rows):
        return after
    dates = {date for date, _mint in gone} - {date for date, _mint in pairs}
    totals = tuple(row for row in sheets.totals if (row[0], row[1]) not in gone)
    after = after.with_table(TOTALS, totals)
    for part in (VARIETIES, SIGNS):
        after = after.with_table(part, _without_dates(part, sheets.table(part), dates))
    return after


def _without_dates(part: str, table: Table, dates: set[str]) -> Table:
    """Varieties or signs without these dates; those that are known on no other go."""
    at = COLUMNS[part].index("applies")
    found: list[Row] = []
    for row in table:
        try:
            applies = dict(parse_applies(row[at]))
        except BadEntry:
            applies = {}
        left = tuple(date for date in applies.get("date", ()) if date not in dates)
        if left == applies.get("date", ()):
            found.append(row)
        elif left:
            kept = applies_text(tuple(sorted({**applies, "date": left}.items())))
            found.append((*row[:at], kept, *row[at + 1 :]))
    return tuple(found)


def fewer_text(before: Sheets, after: Sheets) -> str:
    """What went with rows: 3 varieties, signs or totals of dates that are gone went too."""
    count = sum(
        len(before.table(part)) - len(after.table(part)) for part in (VARIETIES, SIGNS, TOTALS)
    )
    if count <= 0:
        return ""
    told = "A variety, sign or total" if count == 1 else f"{count:,} varieties, signs or totals"
    return f"{told} of dates that are gone went with them; Ctrl+Z brings all back."


def without_unused(sheets: Sheets) -> Sheets:
    """The sheets without the mints, designs and metals that no row names; all while none does."""
    for part in (MINTS, DESIGNS, METALS):
        at, column = COLUMNS[part].index("id"), ROW_COLUMNS.index(part)
        used = {row[column].strip() for row in sheets.rows if not is_blank(row)}
        table = tuple(row for row in sheets.table(part) if row[at].strip() in used)
        if used and table != sheets.table(part):
            sheets = sheets.with_table(part, table)
    return sheets


def followed(sheets: Sheets) -> Sheets:
    """The sheets with the rows that the rule now makes, where it makes sense."""
    try:
        made = made_rows(sheets)
    except BadEntry:
        return sheets
    return replace(sheets, rows=made, made=made)


def _with_ids(part: str, table: Table) -> Table:
    """An id for each row that has a title or name and none yet."""
    columns = COLUMNS[part]
    at, named = columns.index("id"), columns.index("name" if part == VARIETIES else "title")
    taken = [row[at] for row in table if row[at]]
    found = []
    for row in table:
        if row[named].strip() and not row[at].strip():
            code = id_of(row[named], taken)
            taken.append(code)
            row = (*row[:at], code, *row[at + 1 :])  # noqa: PLW2901 - the row with its id
        found.append(row)
    return tuple(found)


def _renamed(sheets: Sheets, part: str, before: Table, after: Table) -> Sheets:
    """Rows go on naming a mint, design or composition whose id was typed anew."""
    at = COLUMNS[part].index("id")
    if len(before) != len(after):
        return sheets
    changed = [(a, b[at]) for a, b in zip(before, after, strict=True) if a[at] != b[at]]
    ids = {row[at] for row in before}
    if len(changed) != 1 or changed[0][1] in ids or is_blank(changed[0][0]):
        return sheets
    old, new = changed[0][0][at], changed[0][1]
    column = ROW_COLUMNS.index(part)
    rows = tuple(
        (*row[:column], new, *row[column + 1 :])
        if row[column] == old and not is_blank(row)
        else row
        for row in sheets.rows
    )
    is_made = sheets.rows is sheets.made
    return replace(sheets, rows=rows, made=rows if is_made else sheets.made)


def _rows_completed(sheets: Sheets, before: Table, after: Table) -> Table:
    """Cells that follow from what was typed: only in rows that are new or whose date or mint is."""
    known = set(before)
    marks = {row[0].strip(): row[2].strip() for row in sheets.mints if not is_blank(row)}
    is_same_long = len(before) == len(after)
    found = []
    for at, row in enumerate(after):
        if row in known or is_blank(row):
            found.append(row)
            continue
        old = before[at] if is_same_long or at < len(before) else None
        is_new = old is None or is_blank(old)
        found.append(_completed(sheets, marks, row, None if is_new else old))
    return tuple(found)


def _completed(sheets: Sheets, marks: Mapping[str, str], row: Row, old: Row | None) -> Row:
    cells = dict(zip(ROW_COLUMNS, row, strict=True))
    if _GROUPED.fullmatch(cells["mintage"]):
        cells["mintage"] = re.sub(r"\D", "", cells["mintage"])
    was = dict(zip(ROW_COLUMNS, old, strict=True)) if old is not None else {}
    if A_YEAR.fullmatch(cells["date"]) and cells["year"] in ("", was.get("date")):
        cells["year"] = cells["date"]
    if was:
        if cells["mint"] != was["mint"] and cells["mark"] == marks.get(was["mint"], ""):
            cells["mark"] = marks.get(cells["mint"], "")
        return tuple(cells.values())
    if not cells["date"]:
        return tuple(cells.values())
    year = int(cells["year"]) if A_YEAR.fullmatch(cells["year"]) else None
    for part in (MINTS, DESIGNS, METALS):
        if not cells[part]:
            cells[part] = _likely(sheets, part, year)
    cells["mark"] = cells["mark"] or marks.get(cells["mint"], "")
    for name, usual in (
        ("strike", Strike.CIRCULATION.value),
        ("release", Release.BANKS.value),
        ("source", BY_HAND),
        ("confidence", Confidence.RECALLED.value),
    ):
        cells[name] = cells[name] or usual
    return tuple(cells.values())


def _likely(sheets: Sheets, part: str, year: int | None) -> str:
    """The only mint, or the first design or composition of a year; "" where none is meant."""
    ids = sheets.ids(part)
    if part == MINTS or len(ids) < 2:
        return ids[0] if len(ids) == 1 else ""
    spans = spans_of(Reading(sheets), part)
    return next((s.id for s in spans if year is not None and s.first <= year <= s.last), "")
