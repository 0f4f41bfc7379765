"""The columns of a coins sheet, and how each value reads as the text of a cell."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from enum import StrEnum
from functools import lru_cache
from typing import TypeVar

from core.errors import BadEntry
from core.lookup.words import PROBLEMS
from core.model.coin import CoinStatus, Finding, Origin, Problem
from core.model.grade import Grade, parse_grade
from core.model.grade_tables import read_grade_of, table_named, tables_of_issuer
from core.model.issue import BANK_ISSUE, Facet, VarietyId
from core.model.money import money_text, read_money


class Column(StrEnum):
    """Every column of a sheet, in the order in which they are written."""

    NUMBER = "number"
    COIN = "coin"
    SERIES = "series"
    DATE = "date"
    MINT = "mint"
    MARK = "mark"
    DESIGN = "design"
    COMPOSITION = "composition"
    STRIKE = "strike"
    RELEASE = "release"
    CHOICES = "choices"
    VARIETIES = "varieties"
    GRADE = "grade"
    GRADE_ENTERED = "grade_entered"
    PROBLEMS = "problems"
    GENUINE = "genuine"
    TO_VERIFY = "to_verify"
    WEIGHT = "weight_g"
    STATUS = "status"
    QUANTITY = "quantity"
    ORIGIN = "origin"
    CAME_FROM = "came_from"
    ACQUIRED = "acquired"
    PLACE = "place"
    PAID = "paid"
    CURRENCY = "currency"
    NOTE = "note"
    ALBUM = "album"
    SLOT = "slot"
    SINCE = "since"
    PLACED_ANYWAY = "placed_anyway"
    EARLIER = "earlier"


WRITTEN = tuple(column for column in Column if column is not Column.COIN)
"""What an export holds: `coin` is for sheets made by hand, the facets say the same exactly."""
FACETS: Mapping[Column, str] = {
    Column.DATE: Facet.DATE.value,
    Column.MINT: Facet.MINT.value,
    Column.MARK: Facet.MARK.value,
    Column.DESIGN: Facet.DESIGN.value,
    Column.COMPOSITION: Facet.COMPOSITION.value,
    Column.STRIKE: Facet.STRIKE.value,
    Column.RELEASE: Facet.RELEASE.value,
}
NOT_KNOWN = "any"
NO_LETTER = "none"

T = TypeVar("T")
Facets = tuple[tuple[str, tuple[str, ...]], ...]

# ---- cells ------------------------------------------------------------------------------------

# A spreadsheet takes a cell that begins so for a formula, and runs it.
_FORMULA = frozenset("=+-@\t\r\n＝＋－＠")
_GUARDED = _FORMULA | {"'"}


def safe(text: str) -> str:
    """A cell that no spreadsheet runs: an apostrophe in front where it would be a formula."""
    return f"'{text}" if text and text[0] in _GUARDED else text


def plain(cell: str) -> str:
    """The text that `safe` was given."""
    return cell[1:] if len(cell) > 1 and cell[0] == "'" and cell[1] in _GUARDED else cell


# ---- lists within a cell ----------------------------------------------------------------------

_QUOTED = re.compile(r'"(?:[^"]|"")*"')
_OR = re.compile(r"\s+or\s+", re.IGNORECASE)
_OR_WITHIN = re.compile(r"(?:^|\s)or(?:\s|$)", re.IGNORECASE)


def _pieces(text: str, separator: re.Pattern[str], at_most: int = 0) -> list[str]:
    """The text cut at a separator that stands outside quotation marks."""
    masked = _QUOTED.sub(lambda met: "\0" * len(met.group()), text)
    pieces, start = [], 0
    for met in separator.finditer(masked):
        pieces.append(text[start : met.start()])
        start = met.end()
        if at_most and len(pieces) == at_most:
            break
    return [*pieces, text[start:]]


def _quote(value: str, words: Iterable[str] = ()) -> str:
    """A value as it stands in a list; in quotation marks where it could be misread."""
    is_plain = (
        value
        and value == value.strip()
        and not set('";=\0') & set(value)
        and value.casefold() not in words
        and not _OR_WITHIN.search(value)
    )
    return value if is_plain else '"' + value.replace('"', '""') + '"'


def _unquote(piece: str) -> str:
    typed = piece.strip()
    if _QUOTED.fullmatch(typed):
        return typed[1:-1].replace('""', '"')
    if '"' in typed:
        raise BadEntry(
            f"“{typed}” holds a quotation mark; put the whole in quotation marks and double it."
        )
    return typed


_SEMICOLON = re.compile(";")
_EQUALS = re.compile("=")
_FACET_WORDS = (NOT_KNOWN, NO_LETTER)


@lru_cache(1 << 14)
def values_text(values: tuple[str, ...]) -> str:
    """The open values of a facet: `P`, `D or S`, `none` for no letter."""
    return " or ".join(_quote(v, _FACET_WORDS) if v else NO_LETTER for v in values)


@lru_cache(1 << 14)
def read_values(cell: str) -> tuple[str, ...]:
    """What `values_text` wrote, sorted; () for nothing or `any`. Raises BadEntry."""
    typed = cell.strip()
    if not typed or typed.casefold() == NOT_KNOWN:
        return ()
    found = []
    for piece in _pieces(typed, _OR):
        if piece.strip().casefold() == NO_LETTER:
            found.append("")
            continue
        value = _unquote(piece)
        if not value and '"' not in piece:
            raise BadEntry(f"“{typed}” has nothing beside an “or”; write values such as D or S.")
        found.append(value)
    return tuple(sorted(set(found)))


def choices_text(choices: Facets) -> str:
    """Exclusive choices: `date size=large or small; rim=wide`."""
    return "; ".join(f"{_quote(name)}={values_text(values)}" for name, values in choices)


@lru_cache(1 << 12)
def read_choices(cell: str) -> Facets:
    """What `choices_text` wrote; raises BadEntry."""
    found: dict[str, tuple[str, ...]] = {}
    for piece in filter(str.strip, _pieces(cell, _SEMICOLON)):
        name, *rest = _pieces(piece, _EQUALS, at_most=1)
        values = read_values(rest[0]) if rest else ()
        if not values:
            raise BadEntry(f"“{piece.strip()}” is no choice; write one such as date size=large.")
        if _unquote(name) in found:
            raise BadEntry(f"“{_unquote(name)}” is said twice; write it once.")
        found[_unquote(name)] = values
    return tuple(sorted(found.items()))


def facet_cells(facets: Facets) -> dict[Column, str]:
    """What a coin is, facet by facet: the cells that are not empty.

    A sheet that says nothing of strike or release means a circulation strike released to banks,
    so a coin of which neither is known says `any`.
    """
    known = dict(facets)
    cells = {
        column: values_text(known.pop(name)) for column, name in FACETS.items() if name in known
    }
    if Column.STRIKE not in cells and Column.RELEASE not in cells:
        cells[Column.STRIKE] = NOT_KNOWN
    if known:
        cells[Column.CHOICES] = choices_text(tuple(sorted(known.items())))
    return cells


class BadCell(BadEntry):
    """A cell that cannot be read, by the name of its column."""

    def __init__(self, column: str, reason: str) -> None:
        super().__init__(reason)
        self.column = column


def is_usual_meant(cells: Mapping[Column, str]) -> bool:
    """Whether a row says nothing of strike and release."""
    return not any(cells.get(column, "").strip() for column in (Column.STRIKE, Column.RELEASE))


def facets_meant(cells: Mapping[Column, str], usual: Mapping[str, str] = BANK_ISSUE) -> Facets:
    """The facets that cells say, their values unchecked; raises BadCell.

    `usual` are the facets of a row that says nothing of strike and release.
    """
    found: dict[str, tuple[str, ...]] = {}
    for column, name in FACETS.items():
        try:
            values = read_values(cells.get(column, ""))
        except BadEntry as bad:
            raise BadCell(column.value, str(bad)) from bad
        if values:
            found[name] = values
    if is_usual_meant(cells):
        found.update({name: (value,) for name, value in usual.items()})
    try:
        choices = read_choices(cells.get(Column.CHOICES, ""))
    except BadEntry as bad:
        raise BadCell(Column.CHOICES.value, str(bad)) from bad
    for name, values in choices:
        if name in FACETS.values():
            raise BadCell(Column.CHOICES.value, f"{name} has a column of its own; write it there.")
        found[name] = values
    return tuple(sorted(found.items()))


Varieties = tuple[tuple[VarietyId, Finding], ...]
_FINDINGS = {finding.value: finding for finding in Finding}


def varieties_text(varieties: Varieties) -> str:
    """`1955-ddo=confirmed; 1955-rpm=ruled out`."""
    return "; ".join(f"{_quote(variety)}={finding.value}" for variety, finding in varieties)


@lru_cache(1 << 12)
def read_varieties(cell: str) -> Varieties:
    """What `varieties_text` wrote; an id alone is confirmed. Raises BadEntry."""
    found: dict[VarietyId, Finding] = {}
    for piece in filter(str.strip, _pieces(cell, _SEMICOLON)):
        name, *rest = _pieces(piece, _EQUALS, at_most=1)
        word = " ".join(rest[0].casefold().split()) if rest else Finding.CONFIRMED.value
        variety = VarietyId(_unquote(name))
        if word not in _FINDINGS:
            raise BadEntry(f"“{word}” is no finding; write confirmed, suspected or ruled out.")
        if not variety or ";" in variety:
            raise BadEntry(f"“{piece.strip()}” names no variety; write its id, then =confirmed.")
        if variety in found:
            raise BadEntry(f"“{variety}” is named twice; write it once.")
        found[variety] = _FINDINGS[word]
    return tuple(sorted(found.items()))


_NAMES_TABLE = re.compile(r"(.+) \(([^()]+)\)")

# ---- single values ----------------------------------------------------------------------------


@lru_cache(1 << 12)
def grade_texts(grade: Grade, issuer: str = "") -> tuple[str, str]:
    """The points as the scale has them, and the words entered of another country or "".

    After the words stands the table they are of, where one was named: gVF (British). Points that
    the issuer's table would read as its own words are told apart: US VF.
    """
    words = f"{grade.entered} ({grade.table})" if grade.table else grade.entered
    points = replace(grade, entered="", table="").text
    is_plain = bool(words) or read_grade_of(points, issuer) == grade
    return points if is_plain else f"US {points}", words


@lru_cache(1 << 12)
def read_grade(cell: str, entered: str, issuer: str = "") -> Grade | None:
    """A grade as collectors write it for a coin of this issuer; raises BadGrade, a BadEntry.

    Words entered of a table need no points; points beside them are kept as they stand.
    """
    typed = " ".join(cell.split())
    if not entered:
        return read_grade_of(typed, issuer) if typed else None
    if not typed:
        return _of_table(entered, issuer)
    points = parse_grade(typed)
    named = _NAMES_TABLE.fullmatch(entered)
    table = table_named(named[2]) if named else None
    if named and table and table.find(named[1]):
        return replace(points, entered=named[1], table=table.name)
    return replace(points, entered=entered)


def _of_table(entered: str, issuer: str) -> Grade:
    """The grade of words alone, by the table they name or the issuer's."""
    named = _NAMES_TABLE.fullmatch(entered)
    if tables_of_issuer(issuer) or (named and table_named(named[2])):
        grade = read_grade_of(entered, issuer)
        if grade.table:
            return grade
    raise BadEntry("These words need the points they stand for under grade.")


@lru_cache(1 << 12)
def read_problems(cell: str) -> tuple[Problem, ...]:
    """Problems separated by ; in the words of the scale or of an entry line."""
    found = []
    for piece in filter(str.strip, re.split("[;,]", cell)):
        word = " ".join(piece.casefold().split())
        if word not in PROBLEMS:
            raise BadEntry(
                f"“{piece.strip()}” is no problem known here; write for example cleaned, "
                "scratched or damaged."
            )
        found.append(PROBLEMS[word])
    return tuple(found)


_YES = ("yes", "y", "true", "1", "x")
_NO = ("no", "n", "false", "0")


def read_yes(cell: str, otherwise: bool) -> bool:
    """Yes or no; `otherwise` for an empty cell. Raises BadEntry."""
    word = cell.strip().casefold()
    if not word:
        return otherwise
    if word not in _YES and word not in _NO:
        raise BadEntry(f"“{cell.strip()}” is neither yes nor no; write one of them.")
    return word in _YES


def _one_of(cell: str, kind: type[CoinStatus] | type[Origin], empty: str, what: str) -> str:
    word = " ".join(cell.casefold().split()) or empty
    if word not in [str(one) for one in kind]:
        known = ", ".join(str(one) for one in kind)
        raise BadEntry(f"“{cell.strip()}” is no {what}; write one of {known}.")
    return word


@lru_cache(64)
def read_status(cell: str) -> CoinStatus:
    """Held where the cell is empty; raises BadEntry."""
    return CoinStatus(_one_of(cell, CoinStatus, CoinStatus.HELD.value, "status"))


@lru_cache(64)
def read_origin(cell: str) -> Origin:
    """Not known where the cell is empty; raises BadEntry."""
    return Origin(_one_of(cell, Origin, Origin.UNKNOWN.value, "origin"))


def weight_text(weight_mg: int) -> str:
    """Milligrams as grams: 3110 as 3.11."""
    grams = f"{Decimal(weight_mg).scaleb(-3):.3f}"
    return grams.rstrip("0").rstrip(".")


_WEIGHT = re.compile(r"([0-9]{1,9}(?:[.,][0-9]{1,3})?)\s*g?")


@lru_cache(1 << 12)
def read_weight(cell: str) -> int | None:
    """Grams to milligrams; raises BadEntry."""
    typed = cell.strip()
    if not typed:
        return None
    met = _WEIGHT.fullmatch(typed)
    if met is None:
        raise BadEntry(f"“{typed}” is no weight; write grams such as 3.11.")
    return int(Decimal(met.group(1).replace(",", ".")).scaleb(3))


def paid_text(minor: int, currency: str) -> str:
    """What was paid, with the decimals of its currency."""
    return money_text(minor, currency)


def read_paid(cell: str, currency: str) -> int | None:
    """An amount to minor units of its currency; raises BadEntry."""
    return read_money(cell, currency) if cell.strip() else None


_WHOLE = re.compile("[0-9]{1,15}")


def read_whole(cell: str, what: str, least: int = 1) -> int:
    """A whole number; raises BadEntry."""
    typed = cell.strip()
    if not _WHOLE.fullmatch(typed) or int(typed) < least:
        raise BadEntry(f"“{typed}” is no {what}; write a whole number from {least}.")
    return int(typed)


_DAY = re.compile("[0-9]{4}-[0-9]{2}-[0-9]{2}")


@lru_cache(1 << 12)
def read_day(cell: str) -> date | None:
    """A day as 2026-03-02, None for nothing; raises BadEntry."""
    typed = cell.strip()
    if not typed:
        return None
    if not _DAY.fullmatch(typed):
        raise BadEntry(f"“{typed}” is no day; write year, month and day such as 2026-03-02.")
    return _day(typed)


def _day(typed: str) -> date:
    try:
        return date.fromisoformat(typed)
    except ValueError:
        raise BadEntry(f"There is no day {typed} in the calendar; write one there is.") from None


# ---- earlier stays ----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class StayText:
    """A stay that is over, as a sheet tells it."""

    since: date
    until: date
    album: str
    slot: str


_STAY = re.compile(
    r"\s*([0-9]{4}-[0-9]{2}-[0-9]{2})\s+to\s+([0-9]{4}-[0-9]{2}-[0-9]{2})\s*:\s*"
    r'("(?:[^"]|"")*")\s*("(?:[^"]|"")*")\s*'
)


def stays_text(stays: Iterable[StayText]) -> str:
    """`2025-01-04 to 2025-03-01: "Nickels" "1943-D"`, several separated by ;."""
    return "; ".join(
        f"{s.since} to {s.until}: {_always_quoted(s.album)} {_always_quoted(s.slot)}" for s in stays
    )


def read_stays(cell: str) -> tuple[StayText, ...]:
    """What `stays_text` wrote; raises BadEntry."""
    found = []
    for piece in filter(str.strip, _pieces(cell, _SEMICOLON)):
        met = _STAY.fullmatch(piece)
        if met is None:
            raise BadEntry(
                f"“{piece.strip()}” is no stay; write it such as "
                '2025-01-04 to 2025-03-01: "Nickels" "1943-D".'
            )
        since, until = _day(met.group(1)), _day(met.group(2))
        if until < since:
            raise BadEntry(f"A coin cannot leave on {until} before it came on {since}.")
        found.append(StayText(since, until, _unquote(met.group(3)), _unquote(met.group(4))))
    return tuple(found)


def _always_quoted(text: str) -> str:
    return '"' + text.replace('"', '""') + '"'
