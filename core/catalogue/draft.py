"""A series in the making: all its parts as they are typed, checked by the rules of the loader.

A draft is written as the two texts of a series folder and read back; the faults that the loader
finds are told with the part, row and column of the draft. There is no second set of rules.
"""

import csv
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields, replace
from functools import lru_cache
from io import StringIO
from math import isnan

from core.catalogue.draft_paste import CsvRows as CsvRows  # noqa: PLC0414 (given on)
from core.catalogue.draft_paste import pasted as pasted  # noqa: PLC0414 (given on)
from core.catalogue.draft_paste import rows_from_csv as rows_from_csv  # noqa: PLC0414 (given on)
from core.catalogue.draft_paste import rows_from_text as rows_from_text  # noqa: PLC0414 (given on)
from core.catalogue.draft_rows import ALL_MINTS as ALL_MINTS  # noqa: PLC0414 (given on)
from core.catalogue.draft_rows import BY_HAND, DraftRow, DraftTotal
from core.catalogue.draft_rows import ROW_COLUMNS as ROW_COLUMNS  # noqa: PLC0414 (given on)
from core.catalogue.draft_rows import Rule as Rule  # noqa: PLC0414 (given on)
from core.catalogue.draft_rows import Span as Span  # noqa: PLC0414 (given on)
from core.catalogue.draft_rows import exceptions_text as exceptions_text  # noqa: PLC0414 (given on)
from core.catalogue.draft_rows import generate as generate  # noqa: PLC0414 (given on)
from core.catalogue.draft_rows import (
    parse_exceptions as parse_exceptions,  # noqa: PLC0414 (given on)
)
from core.catalogue.faults import Told
from core.catalogue.load import examine
from core.catalogue.rows import COLUMNS
from core.catalogue.write import head_text
from core.errors import BadEntry
from core.model.issue import (
    Composition,
    Confidence,
    Design,
    Issue,
    Mint,
    Series,
    SeriesId,
    Sign,
    Total,
    Variety,
)

HEAD, ROWS, TOTAL = "head", "rows", "total"
PARTS = ("mint", "design", "composition", "variety", "sign")
"""What a fault may be about besides: a part of the series, by its place in its tuple."""

Applies = tuple[tuple[str, tuple[str, ...]], ...]
_LINE_END = re.compile(r"\r\n|\r|\n")
_TABLE = re.compile(r"^\[\[[\w.]+\]\] \d+: ")
_IN_LINE = re.compile(r"\bin line (\d+)")
_ADD_A = re.compile(r"or add a \[\[(\w+)\]\] there")
_NOT_A_WORD = re.compile(r"[^a-z0-9]+")


@dataclass(frozen=True, slots=True)
class SeriesDraft:
    """A series in the making.

    `face_value` is in minor units of `currency` (25 for a quarter of a dollar), `diameter_mm` ""
    where not known; both as typed. `rows` are the issues; `totals` figures of a date and mint.
    """

    id: str = ""
    title: str = ""
    issuer: str = ""
    denomination: str = ""
    currency: str = ""
    face_value: str = ""
    diameter_mm: str = ""
    note: str = ""
    words: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()
    is_invented: bool = False
    mints: tuple[Mint, ...] = ()
    designs: tuple[Design, ...] = ()
    compositions: tuple[Composition, ...] = ()
    varieties: tuple[Variety, ...] = ()
    signs: tuple[Sign, ...] = ()
    rows: tuple[DraftRow, ...] = ()
    totals: tuple[DraftTotal, ...] = ()


@dataclass(frozen=True, slots=True)
class DraftFault:
    """What is wrong with a draft, and what to do.

    `where`: "head", "rows", "total", or one of PARTS; `row` the place in that tuple, None for the
    head or the rows as a whole; `column` the field, "" where it is about the whole row or part.
    """

    where: str
    row: int | None
    column: str
    text: str

    @property
    def told(self) -> str:
        """row 3, mintage: …; mint 1, name: …; title: …"""
        called = "row" if self.where == ROWS else self.where
        place = [] if self.row is None else [f"{called} {self.row + 1}"]
        names = [self.column] if self.column else []
        where = ", ".join([*place, *names])
        return f"{where}: {self.text}" if where else self.text


@dataclass(frozen=True, slots=True)
class DraftCheck:
    """All that is wrong with a draft, in the order of its parts; the series where nothing is."""

    faults: tuple[DraftFault, ...]
    series: Series | None

    def of_row(self, row: int) -> tuple[DraftFault, ...]:
        """The faults of one row of the table."""
        return tuple(f for f in self.faults if f.where == ROWS and f.row == row)


def empty_draft() -> SeriesDraft:
    """A new series: one mint without a letter, one design and one metal, to be named by hand."""
    told = Confidence.RECALLED
    return SeriesDraft(
        sources=(BY_HAND,),
        mints=(Mint("", "the mint", ""),),
        designs=(Design("usual", "usual design", source=BY_HAND, confidence=told),),
        compositions=(
            Composition(
                "usual", "usual metal", None, None, None,
                source=BY_HAND, confidence=told, tolerance_confidence=told,
            ),
        ),
    )  # fmt: skip


def draft_of(series: Series) -> SeriesDraft:
    """A series to be changed; written unchanged it gives an equal series."""
    return SeriesDraft(
        id=str(series.id),
        title=series.title,
        issuer=series.issuer,
        denomination=series.denomination,
        currency=series.currency,
        face_value=str(series.face_value_minor),
        diameter_mm="" if series.diameter_mm is None else f"{series.diameter_mm!r}",
        note=series.note,
        words=series.words,
        sources=series.sources,
        is_invented=series.is_invented,
        mints=series.mints,
        designs=series.designs,
        compositions=series.compositions,
        varieties=series.varieties,
        signs=series.signs,
        rows=tuple(map(draft_row, series.issues)),
        totals=tuple(map(draft_total, series.totals)),
    )


def draft_row(issue: Issue) -> DraftRow:
    """An issue as its texts."""
    return DraftRow(
        date=issue.date,
        year=str(issue.year),
        mint=issue.mint,
        mark=issue.mark,
        design=issue.design,
        composition=issue.composition,
        strike=issue.strike.value,
        release=issue.release.value,
        choices="; ".join(f"{name}={value}" for name, value in issue.choices),
        mintage=_figure(issue.mintage),
        note=issue.note,
        source=issue.source,
        confidence=issue.confidence.value,
    )


def draft_total(total: Total) -> DraftTotal:
    """A total as its texts."""
    return DraftTotal(
        total.date, total.mint, _figure(total.mintage), total.note, total.source,
        total.confidence.value,
    )  # fmt: skip


def _figure(mintage: int | None) -> str:
    return "" if mintage is None else str(mintage)


def in_order(rows: Sequence[DraftRow]) -> tuple[DraftRow, ...]:
    """The rows by year, as a series wants them; one without a year stays behind its neighbour."""
    year, keyed = 0, []
    for row in rows:
        year = int(row.year) if row.year.isascii() and row.year.isdecimal() else year
        keyed.append((year, row))
    return tuple(row for _, row in sorted(keyed, key=lambda pair: pair[0]))


# ---- as texts ---------------------------------------------------------------------------------


def draft_texts(draft: SeriesDraft) -> tuple[str, str]:
    """`series.toml` and `issues.csv` of a draft, faults and all."""
    return _head_text(replace(draft, rows=(), totals=())), "".join(
        text for text, _ in _lines(draft)
    )


@lru_cache(16)  # while rows are typed the head stays the same, and is the dearer of the two
def _head_text(draft: SeriesDraft) -> str:
    from tomlkit import string

    face, diameter = _number(draft.face_value), _number(draft.diameter_mm)
    series = Series(
        id=SeriesId(draft.id),
        title=draft.title,
        issuer=draft.issuer,
        denomination=draft.denomination,
        face_value_minor=face if isinstance(face, int) else 0,
        currency=draft.currency,
        diameter_mm=diameter,
        mints=draft.mints,
        designs=draft.designs,
        compositions=draft.compositions,
        issues=(),
        varieties=draft.varieties,
        sources=draft.sources,
        is_invented=draft.is_invented,
        signs=draft.signs,
        words=draft.words,
        note=draft.note,
    )
    text = head_text(series)
    if not isinstance(face, int):  # the loader says what is wrong with it
        typed = f"face_value_minor = {string(draft.face_value).as_string()}"
        text = re.sub(r"^face_value_minor = 0$", lambda _: typed, text, count=1, flags=re.MULTILINE)
    if diameter is None and draft.diameter_mm.strip():
        text = f"diameter_mm = {string(draft.diameter_mm).as_string()}\n{text}"
    return text


def _number(text: str) -> int | float | None:
    """A number as typed, None where it is none."""
    bare = text.strip()
    if not bare.isascii() or "_" in bare:
        return None
    for kind in (int, float):
        try:
            return kind(bare)
        except ValueError:
            continue
    return None


def _lines(draft: SeriesDraft) -> Iterator[tuple[str, tuple[str, int | None]]]:
    """The lines of `issues.csv`, each with what it stands for: the head, a row or a total.

    A total stands after the first row that it covers, in the order of the totals.
    """
    yield _csv_line(COLUMNS), (ROWS, None)
    places: dict[tuple[str, str], int] = {}
    for at, row in enumerate(draft.rows):
        places.setdefault((row.date.strip(), row.mint.strip()), at)
    after: dict[int, list[int]] = {}
    last, place = max(len(draft.rows) - 1, 0), 0
    for at, total in enumerate(draft.totals):
        place = max(place, places.get((total.date.strip(), total.mint.strip()), last))
        after.setdefault(place, []).append(at)
    for at, row in enumerate(draft.rows):
        yield _csv_line(["issue", *(getattr(row, name) for name in ROW_COLUMNS)]), (ROWS, at)
        for number in after.pop(at, ()):
            yield _total_line(draft.totals[number]), (TOTAL, number)
    for number in (n for left in after.values() for n in left):
        yield _total_line(draft.totals[number]), (TOTAL, number)


def _total_line(total: DraftTotal) -> str:
    cells = {"row": "total", **{f.name: getattr(total, f.name) for f in fields(total)}}
    return _csv_line([cells.get(name, "") for name in COLUMNS])


def _csv_line(cells: Sequence[str]) -> str:
    text = StringIO(newline="")
    csv.writer(text, lineterminator="\n").writerow(cells)
    return text.getvalue()


# ---- checking ---------------------------------------------------------------------------------


def check_draft(draft: SeriesDraft) -> DraftCheck:
    """Everything that is wrong with a draft, told by part, row and column; or the series."""
    head = _head_text(replace(draft, rows=(), totals=()))
    texts, places, line = [], {}, 1
    for text, place in _lines(draft):
        texts.append(text)
        places[line] = place
        line += len(_LINE_END.findall(text))
    series, of_head, of_rows = examine(head, "".join(texts))
    faults = [_head_fault(told) for told in of_head]
    faults += sorted(
        (_row_fault(told, places) for told in of_rows), key=lambda fault: fault.where == TOTAL
    )
    return DraftCheck(tuple(dict.fromkeys(faults)), series)


def _head_fault(told: Told) -> DraftFault:
    text = _in_words(told.text, {})
    name, _, rest = told.table.partition(".")
    if rest:  # a table within a part, such as a marker of a variety
        at, _, below = rest.partition(".")
        return DraftFault(name, int(at), below, f"{below} {told.index + 1}: {text}")
    if name in PARTS:
        return DraftFault(name, told.index, told.key, text)
    if told.key in PARTS:
        return DraftFault(told.key, None, "", text)
    column = "face_value" if told.key == "face_value_minor" else told.key
    return DraftFault(HEAD, None, column, text.replace("face_value_minor", "face value"))


def _row_fault(told: Told, places: dict[int, tuple[str, int | None]]) -> DraftFault:
    where, row = places.get(told.line, (ROWS, None))
    return DraftFault(
        where, row, "" if told.key == "row" else told.key, _in_words(told.text, places)
    )


def _in_words(text: str, places: dict[int, tuple[str, int | None]]) -> str:
    """A fault as told of a table of cells: without the words of files and their lines."""

    def row(match: re.Match[str]) -> str:
        where, at = places.get(int(match[1]), (ROWS, None))
        called = "row" if where == ROWS else where
        return match[0] if at is None else f"in {called} {at + 1}"

    text = (
        _TABLE.sub("", text)
        .replace(", without quotes", "")
        .replace("; put it in double quotes", "")
    )
    text = _ADD_A.sub(r"or add a \1", text).replace("is not in series.toml", "is not in the series")
    return _IN_LINE.sub(row, text)


# ---- helps for what is typed ------------------------------------------------------------------


def id_of(title: str, taken: Sequence[str] = ()) -> str:
    """An id made of a title: small letters, digits and hyphens; unlike those that are taken."""
    from unicodedata import normalize

    plain = normalize("NFKD", title).encode("ascii", "ignore").decode().lower()
    base = _NOT_A_WORD.sub("-", plain).strip("-") or "series"
    number, found = 1, base
    while found in taken:
        number += 1
        found = f"{base}-{number}"
    return found


def read_number(text: str, what: str) -> float | None:
    """A weight or diameter as typed, with a point or a comma; None where nothing is typed.

    Raises BadEntry for what is no number above 0 (silver: or 0, which the loader checks).
    """
    bare = text.strip().replace(",", ".")
    if not bare:
        return None
    number = _number(bare)
    if number is None or isnan(number) or number < 0:
        raise BadEntry(f"{what} “{text.strip()}” is not a number; write it with a point: 4.5.")
    return float(number)


def parse_applies(text: str) -> Applies:
    """Read `date=1955; mint=N, S` as facets with their values; raises BadEntry."""
    found: dict[str, tuple[str, ...]] = {}
    for part in filter(None, map(str.strip, text.split(";"))):
        name, equals, values = part.partition("=")
        several = tuple(sorted({v.strip() for v in values.split(",")}))
        if (
            not equals
            or not name.strip()
            or (several == ("",) and name.strip() not in ("mark", "mint"))
        ):
            raise BadEntry(f"“{part}” is not of the form date=1955; write it so.")
        if name.strip() in found:
            raise BadEntry(f"“{name.strip()}” stands twice; write all its values after one =.")
        found[name.strip()] = several
    return tuple(sorted(found.items()))


def applies_text(applies: Applies) -> str:
    """Facets with their values as `parse_applies` reads them."""
    return "; ".join(f"{name}={', '.join(values)}" for name, values in applies)
