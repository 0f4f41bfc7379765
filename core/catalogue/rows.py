"""Reads `issues.csv`: one row an issue, and the totals that are not split between issues."""

import csv
import re
from collections import Counter
from dataclasses import dataclass, field
from enum import StrEnum
from io import StringIO
from typing import TypeVar

from core.catalogue.faults import CONTROL, Faults
from core.catalogue.head import Head
from core.model.issue import Confidence, Facet, Issue, Release, Strike, Total

COLUMNS = (
    "row",
    "date",
    "year",
    "mint",
    "mark",
    "design",
    "composition",
    "strike",
    "release",
    "choices",
    "mintage",
    "note",
    "source",
    "confidence",
)
MOST_BYTES = 4 * 1024 * 1024
MOST_DIGITS = 15
MOST_CELL = 2_000
MOST_QUOTED = 60
MOST_ISSUES = 10_000
NOT_IN_A_TOTAL = ("year", "mark", "design", "composition", "strike", "release", "choices")

Row = dict[str, str]
Choices = tuple[tuple[str, str], ...]
_Word = TypeVar("_Word", bound=StrEnum)
_CHOICE_NAME = re.compile(r"[^\W_][\w .'-]*")
_SEPARATORS = {";": "semicolons", "\t": "tabs", "|": "bars"}
_FIXED = frozenset(f.value for f in Facet)
_STRIKES = {word.value: word for word in Strike}
_RELEASES = {word.value: word for word in Release}
_CONFIDENCES = {word.value: word for word in Confidence}


@dataclass(slots=True)
class Body:
    """What `issues.csv` says, in its order."""

    issues: list[Issue] = field(default_factory=list)
    totals: list[Total] = field(default_factory=list)


def read_rows(text: str, head: Head | None, faults: Faults) -> Body:
    """The issues and totals; faults are noted. Without a head the ids go unchecked."""
    reading = _Reading(head, faults)
    size = len(text.encode("utf-8", "replace"))
    if size > MOST_BYTES:
        faults.add(1, f"the file is larger than {MOST_BYTES // 1024 // 1024} MB; shorten it")
        return reading.body
    lines = csv.reader(StringIO(text, newline=""), strict=True)
    columns: list[str] | None = None
    line = 1
    try:
        for cells in lines:
            if columns is None:
                columns = _columns(cells, line, faults)
                if columns is None:
                    return reading.body
            elif faults.are_too_many:
                return reading.body
            elif len(reading.body.issues) > MOST_ISSUES:
                faults.add(line, f"there are more than {MOST_ISSUES:,} issues; split the series")
                return reading.body
            elif len(cells) == len(columns):
                reading.take(line, dict(zip(columns, map(str.strip, cells), strict=True)))
            elif cells:
                faults.add(
                    line,
                    f"there are {len(cells)} cells for {len(columns)} columns; "
                    "put a text that has commas in double quotes",
                )
            line = lines.line_num + 1
    except csv.Error as error:
        faults.add(line, f"this is not a row of CSV ({error}); check its double quotes")
        return reading.body
    if columns is None:
        faults.add(1, f"the file is empty; begin with the line {','.join(COLUMNS)}")
        return reading.body
    reading.finish()
    return reading.body


def _columns(cells: list[str], line: int, faults: Faults) -> list[str] | None:
    """The names of the columns, None where one is missing or stands twice."""
    names = [cell.strip() for cell in cells]
    if len(names) == 1 and (cut := next((s for s in _SEPARATORS if s in names[0]), "")):
        text = f"the cells are separated by {_SEPARATORS[cut]}; save the file with commas"
        faults.add(line, text)
        return None
    missing = [name for name in COLUMNS if name not in names]
    twice = sorted(name for name, times in Counter(names).items() if times > 1)
    extra = [name for name in dict.fromkeys(names) if name not in COLUMNS]
    for name in missing:
        faults.add(line, f"column {name!r} is missing; begin with {','.join(COLUMNS)}")
    for name in twice:
        faults.add(line, f"column {name!r} stands twice; keep one")
    for name in extra:
        faults.add(line, f"column {name!r} is not known; take it out")
    if missing or twice:
        return None
    if not extra and tuple(names) != COLUMNS:
        faults.add(line, f"the columns are in another order; write {','.join(COLUMNS)}")
    return names


class _Reading:
    """Takes the rows one by one, with what must be remembered between them."""

    def __init__(self, head: Head | None, faults: Faults) -> None:
        self.body = Body()
        self._faults = faults
        known = Head() if head is None else head
        self._mints = {m.id: m for m in known.mints if "mint" not in known.unread}
        self._known = {
            "mint": tuple(self._mints),
            "design": tuple(d.id for d in known.designs if "design" not in known.unread),
            "composition": tuple(
                c.id for c in known.compositions if "composition" not in known.unread
            ),
        }
        self._seen: dict[tuple[object, ...], int] = {}
        self._years: dict[str, tuple[int, int]] = {}
        self._last_year: int | None = None
        self._total_lines: list[int] = []

    def take(self, line: int, row: Row) -> None:
        """Read one row of either kind."""
        for name, cell in row.items():
            if len(cell) > MOST_CELL:
                text = f"{name} has more than {MOST_CELL:,} characters; shorten it"
                self._faults.add(line, text, name)
        if CONTROL.search("".join(row.values())):
            for name in (name for name, cell in row.items() if CONTROL.search(cell)):
                self._faults.add(
                    line,
                    f"{name} has a line break or control character; write it on one line",
                    name,
                )
        match row["row"]:
            case "issue":
                self._issue(line, row)
            case "total":
                self._total(line, row)
            case other:
                self._faults.add(line, f"row {other!r} is not known; use issue or total")

    def _issue(self, line: int, row: Row) -> None:
        issue = Issue(
            number=len(self.body.issues),
            date=self._date(line, row),
            year=self._year(line, row),
            mint=self._id(line, row, "mint"),
            mark=self._mark(line, row),
            design=self._id(line, row, "design"),
            composition=self._id(line, row, "composition"),
            strike=self._word(line, row, "strike", _STRIKES, Strike.CIRCULATION),
            release=self._word(line, row, "release", _RELEASES, Release.BANKS),
            choices=self._choices(line, row["choices"]),
            mintage=self._mintage(line, row),
            note=row["note"],
            source=self._source(line, row),
            confidence=self._word(line, row, "confidence", _CONFIDENCES, Confidence.RECALLED),
        )
        key = (
            *(issue.date, issue.mint, issue.mark, issue.design, issue.composition),
            *(issue.strike, issue.release, issue.choices),
        )
        self._once(line, key, "issue")
        self.body.issues.append(issue)

    def _total(self, line: int, row: Row) -> None:
        for name in NOT_IN_A_TOTAL:
            if row[name]:
                self._faults.add(line, f"a total has no {name}; leave {row[name]!r} out", name)
        total = Total(
            date=self._date(line, row),
            mint=self._id(line, row, "mint"),
            mintage=self._mintage(line, row),
            source=self._source(line, row),
            confidence=self._word(line, row, "confidence", _CONFIDENCES, Confidence.RECALLED),
            note=row["note"],
        )
        if not row["mintage"]:
            self._faults.add(
                line, "a total has no mintage; write the figure, or leave the row out", "mintage"
            )
        self._once(line, ("total", total.date, total.mint), "total")
        self.body.totals.append(total)
        self._total_lines.append(line)

    def _once(self, line: int, key: tuple[object, ...], kind: str) -> None:
        first = self._seen.setdefault(key, line)
        if first != line:
            self._faults.add(
                line,
                f"this {kind} stands in line {first} already; take one out or tell them apart",
                "row",
            )

    def _date(self, line: int, row: Row) -> str:
        if not row["date"]:
            self._faults.add(line, "date is empty; write it as it stands on the coin", "date")
        return row["date"]

    def _year(self, line: int, row: Row) -> int:
        year = self._whole(line, "year", row["year"], most_digits=4)
        if year is None:
            if not row["year"]:
                self._faults.add(line, "year is empty; write the Gregorian year", "year")
            return self._last_year or 0
        if year == 0:
            self._faults.add(line, "year 0 is no year; write the Gregorian year", "year")
            return self._last_year or 0
        if self._last_year is not None and year < self._last_year:
            self._faults.add(
                line,
                f"year {year} comes after {self._last_year}; keep the rows in order of year",
                "year",
            )
        self._last_year = year
        known, first = self._years.setdefault(row["date"], (year, line))
        if known != year:
            self._faults.add(
                line,
                f"date {row['date']!r} has year {year} here and {known} in line {first}; "
                "correct one",
                "year",
            )
        return year

    def _mintage(self, line: int, row: Row) -> int | None:
        return self._whole(line, "mintage", row["mintage"], MOST_DIGITS)

    def _whole(self, line: int, name: str, cell: str, most_digits: int) -> int | None:
        """Digits as a number, None where the cell is empty or faulty."""
        if not cell:
            return None
        if cell[0] == "-" and cell[1:].isdecimal():
            self._faults.add(line, f"{name} {cell} is negative; write 0 or more", name)
        elif not (cell.isascii() and cell.isdecimal()):
            text = f"{name} {_short(cell)!r} is not a whole number; write digits only"
            self._faults.add(line, text, name)
        elif len(cell) > most_digits:
            text = f"{name} {cell[:20]} has more than {most_digits} digits; correct it"
            self._faults.add(line, text, name)
        else:
            return int(cell)
        return None

    def _id(self, line: int, row: Row, name: str) -> str:
        known = self._known[name]
        if known and row[name] not in known:
            named = ", ".join(filter(None, known))
            ways = [f"use {named}" if named else "", "leave it empty" if "" in known else ""]
            told = ", ".join((*filter(None, ways), f"or add a [[{name}]] there"))
            text = f"{name} {_short(row[name])!r} is not in series.toml; {told}"
            self._faults.add(line, text, name)
        return row[name]

    def _mark(self, line: int, row: Row) -> str:
        mark, mint = row["mark"], self._mints.get(row["mint"])
        if not mark or not self._mints:
            return mark
        if not any(mark in (m.id, m.mark) for m in self._mints.values()):
            self._faults.add(
                line,
                f"mark {_short(mark)!r} is the letter of no mint; use a mint's letter, or none",
                "mark",
            )
        elif mint is not None and mark not in (mint.id, mint.mark):
            self._faults.add(
                line,
                f"mark {mark!r} is not a letter of mint {mint.id}; correct mark or mint",
                "mark",
            )
        return mark

    def _word(
        self, line: int, row: Row, name: str, words: dict[str, _Word], default: _Word
    ) -> _Word:
        found = words.get(row[name])
        if found is None:
            cell = _short(row[name])
            told = f"{name} {cell!r} is not known" if cell else f"{name} is empty"
            self._faults.add(line, f"{told}; use {', '.join(words)}", name)
            return default
        return found

    def _choices(self, line: int, cell: str) -> Choices:
        """ "date size=large; reverse=1938" as pairs, sorted by name."""
        if not cell:
            return ()
        found: dict[str, str] = {}
        for part in filter(None, map(str.strip, cell.split(";"))):
            name, equals, value = (bit.strip() for bit in part.partition("="))
            if not equals or not value or "=" in value:
                text = f"choice {_short(part)!r} is not of the form date size=large"
                self._faults.add(line, f"{text}; write it so", "choices")
            elif name in _FIXED:
                text = f"choice {name!r} has a column of its own; put it there"
                self._faults.add(line, text, "choices")
            elif not _CHOICE_NAME.fullmatch(name):
                text = f"choice name {_short(name)!r} must be letters, digits and spaces; rename it"
                self._faults.add(line, text, "choices")
            elif name in found:
                text = f"choice {_short(name)!r} stands twice; keep one"
                self._faults.add(line, text, "choices")
            else:
                found[name] = value
        return tuple(sorted(found.items()))

    def _source(self, line: int, row: Row) -> str:
        if not row["source"]:
            text = "source is empty; write what the row rests on, or 'not known'"
            self._faults.add(line, text, "source")
        return row["source"]

    def finish(self) -> None:
        """Check what only the whole file tells."""
        if not self.body.issues:
            self._faults.add(1, "there is no issue; add a row for each")
        parts: dict[tuple[str, str], list[Issue]] = {}
        for issue in self.body.issues:
            parts.setdefault((issue.date, issue.mint), []).append(issue)
        for line, total in zip(self._total_lines, self.body.totals, strict=True):
            self._check_total(line, total, parts.get((total.date, total.mint), []))

    def _check_total(self, line: int, total: Total, parts: list[Issue]) -> None:
        told = f"{total.date}-{total.mint}" if total.mint else total.date
        struck = [i for i in parts if i.strike is Strike.CIRCULATION and i.release is Release.BANKS]
        if not struck:
            self._faults.add(
                line,
                f"there is no issue {told} for banks to which this total belongs; correct it",
                "date",
            )
            return
        known = [i.mintage for i in struck if i.mintage is not None]
        left = (total.mintage or 0) - sum(known)
        if total.mintage is not None and (left < 0 or (left > 0 and len(known) == len(struck))):
            self._faults.add(
                line,
                f"total {total.mintage} does not agree with its parts, {sum(known)}; correct one",
                "mintage",
            )


def _short(cell: str) -> str:
    """A cell as a fault quotes it: cut off where it is long."""
    return cell if len(cell) <= MOST_QUOTED else f"{cell[: MOST_QUOTED - 1]}…"
