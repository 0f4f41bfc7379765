"""Rows of a series in the making, as texts, and the rule that makes them."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from core.errors import BadEntry
from core.model.issue import Confidence, Mint, Release, Strike

ALL_MINTS = "*"
"""In an exception: every mint of the rule."""

BY_HAND = "entered by hand"
FIRST_YEAR, LAST_YEAR = 1, 9999
MOST_YEARS = 1_000
_PIECE = re.compile(r"(\d{1,4})(?:\s*[-–—]\s*(\d{1,4}))?(?:\s*-?\s*([^\d\s-].*))?")


@dataclass(frozen=True, slots=True)
class DraftRow:
    """One issue as its texts: the columns of `issues.csv`, right or wrong."""

    date: str
    year: str
    mint: str
    mark: str
    design: str
    composition: str
    strike: str = Strike.CIRCULATION.value
    release: str = Release.BANKS.value
    choices: str = ""
    mintage: str = ""
    note: str = ""
    source: str = ""
    confidence: str = ""


@dataclass(frozen=True, slots=True)
class DraftTotal:
    """A figure that is not split between the issues of a date and mint, as its texts."""

    date: str
    mint: str
    mintage: str
    note: str = ""
    source: str = ""
    confidence: str = ""


ROW_COLUMNS = tuple(DraftRow.__slots__)
"""The columns of a row, in the order of `issues.csv`."""


@dataclass(frozen=True, slots=True)
class Span:
    """A design or composition by its id, and the first and last year in which it was struck."""

    first: int
    last: int
    id: str


@dataclass(frozen=True, slots=True)
class Rule:
    """Which years were struck where.

    `mints`: ids, () for all of the series. `without` and `plus`: years taken out and put in, each
    with a mint by its id, name or letter, or ALL_MINTS; what is put in may lie outside the years.
    """

    first: int
    last: int
    mints: tuple[str, ...]
    without: tuple[tuple[int, str], ...] = ()
    plus: tuple[tuple[int, str], ...] = ()


def parse_exceptions(text: str) -> tuple[tuple[int, str], ...]:
    """Read `1922, 1931 D, 1965-1967 S` as years with mints; without a mint it means all mints.

    Several mints of one year are written `1931 D S`. Raises BadEntry, naming the piece.
    """
    found: dict[tuple[int, str], None] = {}
    for piece in filter(None, (" ".join(p.split()) for p in re.split(r"[,;\n]", text))):
        found.update(dict.fromkeys(_exception(piece)))
    return tuple(found)


def _exception(piece: str) -> Iterator[tuple[int, str]]:
    match = _PIECE.fullmatch(piece)
    if match is None:
        raise BadEntry(f"“{piece}” is no year; write 1922, 1931 D or 1965-1967 S.")
    first, last = int(match[1]), int(match[2] or match[1])
    if last < first:
        raise BadEntry(f"“{piece}” ends before it begins; write the earlier year first.")
    if last - first >= MOST_YEARS:
        raise BadEntry(f"“{piece}” is longer than {MOST_YEARS:,} years; shorten it.")
    for year in range(first, last + 1):
        for mint in (match[3] or ALL_MINTS).split():
            yield year, mint


def exceptions_text(exceptions: Sequence[tuple[int, str]]) -> str:
    """Exceptions as `parse_exceptions` reads them: 1922, 1931 D."""
    return ", ".join(str(y) if m == ALL_MINTS else f"{y} {m}" for y, m in exceptions)


def generate(
    rule: Rule,
    mints: Sequence[Mint],
    design: str | Sequence[Span],
    composition: str | Sequence[Span],
) -> tuple[DraftRow, ...]:
    """A row for each year and mint of a rule, by year, then in the rule's order of mints.

    `design` and `composition` are ids, or spans of years; a year of several has a row for each,
    a year of none an empty cell. Raises BadEntry where the rule makes no sense.
    """
    _require_years(rule)
    known = {mint.id: mint for mint in mints}
    chosen = [_mint_named(name, mints).id for name in rule.mints] or list(known)
    without = set(_pairs(rule.without, chosen, mints))
    struck = {(year, mint) for year in range(rule.first, rule.last + 1) for mint in chosen}
    struck = (struck - without) | set(_pairs(rule.plus, chosen, mints))
    place = {mint: at for at, mint in enumerate(dict.fromkeys([*chosen, *known]))}
    rows = []
    for year, mint in sorted(struck, key=lambda pair: (pair[0], place[pair[1]])):
        for design_id in _in_year(design, year):
            for composition_id in _in_year(composition, year):
                mark = known[mint].mark
                rows.append(
                    DraftRow(
                        str(year), str(year), mint, mark, design_id, composition_id,
                        source=BY_HAND, confidence=Confidence.RECALLED.value,
                    )
                )  # fmt: skip
    return tuple(rows)


def _require_years(rule: Rule) -> None:
    if not FIRST_YEAR <= rule.first <= LAST_YEAR or not FIRST_YEAR <= rule.last <= LAST_YEAR:
        raise BadEntry(f"The years must lie between {FIRST_YEAR} and {LAST_YEAR}.")
    if rule.last < rule.first:
        raise BadEntry(
            f"The last year {rule.last} lies before the first, {rule.first}; exchange them."
        )
    if rule.last - rule.first >= MOST_YEARS:
        raise BadEntry(
            f"{rule.first} to {rule.last} is more than {MOST_YEARS:,} years; shorten it."
        )


def _mint_named(name: str, mints: Sequence[Mint]) -> Mint:
    """A mint by its id, else by its letter or name, whatever the case; raises BadEntry."""
    exact = [m for m in mints if m.id == name]
    folded = name.casefold()
    like = [m for m in mints if folded in (m.id.casefold(), m.mark.casefold(), m.name.casefold())]
    for found in (exact, like):
        if found:
            return found[0]
    known = ", ".join(m.id or m.name for m in mints) or "none yet"
    raise BadEntry(f"There is no mint “{name}”; the series has {known}.")


def _pairs(
    exceptions: Sequence[tuple[int, str]], chosen: Sequence[str], mints: Sequence[Mint]
) -> Iterator[tuple[int, str]]:
    for year, name in exceptions:
        for mint in chosen if name == ALL_MINTS else [_mint_named(name, mints).id]:
            yield year, mint


def _in_year(given: str | Sequence[Span], year: int) -> list[str]:
    if isinstance(given, str):
        return [given]
    found = [span.id for span in given if span.first <= year <= span.last]
    return list(dict.fromkeys(found)) or [""]
