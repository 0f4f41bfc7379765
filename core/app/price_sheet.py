"""Price sheets: rows of named columns to prices, every faulty row with its reason."""

import csv
import io
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from core.app.exchange_cells import NO_LETTER, BadCell, Column, plain, read_day
from core.app.exchange_facets import Describer
from core.app.exchange_here import same
from core.app.exchange_sheet import SheetFault
from core.app.price_lines import read_price_line
from core.app.work import Progress
from core.errors import BadEntry, CollectionError
from core.lookup.offer_terms import split_terms
from core.lookup.parse import names_series
from core.model.grade import Grade, parse_grade
from core.model.issue import Description, Facet, Series, SeriesId, VarietyId
from core.model.money import read_money
from core.model.prices import UNGRADED, Price, PriceId, require_price

COLUMNS = ("series", "date", "mint", "variety", "grade", "price", "currency", "day", "source")
"""The columns in their usual order, which rows without a first line are read in."""
_FACETS = {
    "date": Column.DATE,
    "mint": Column.MINT,
    "mark": Column.MARK,
    "design": Column.DESIGN,
    "composition": Column.COMPOSITION,
    "strike": Column.STRIKE,
    "release": Column.RELEASE,
    "choices": Column.CHOICES,
}
_NO_GRADE = frozenset({"ungraded", "no grade", "none"})
_KNOWN = frozenset({*COLUMNS, *_FACETS})
_NEEDED = ("date", "grade", "price")
_EVERY = 512
MOST_NAMED = 3
SEPARATORS = ",;\t"


@dataclass(frozen=True, slots=True)
class PriceRow:
    """A row that can be read, and the line it stands on."""

    line: int
    price: Price


@dataclass(frozen=True, slots=True)
class PriceDraft:
    """What a sheet holds: prices, all its faults, and notes worth telling."""

    rows: tuple[PriceRow, ...]
    faults: tuple[SheetFault, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def is_ready(self) -> bool:
        """Whether it can be taken in: nothing is faulty, and there is something in it."""
        return bool(self.rows) and not self.faults

    @property
    def prices(self) -> list[Price]:
        """The prices of its rows."""
        return [row.price for row in self.rows]


@dataclass(frozen=True, slots=True)
class Usual:
    """What is meant where a cell is empty or its column missing."""

    currency: str
    day: date
    source: str = ""
    series: SeriesId | None = None
    in_use: tuple[SeriesId, ...] = ()
    """A word such as cent means one of these before any other."""


def read_prices(
    text: str, series: Sequence[Series], usual: Usual, progress: Progress | None = None
) -> PriceDraft:
    """Read the text of a price sheet, or rows pasted from one; never raises for any text.

    The first line names the columns, of which date, grade and price are needed, and series unless
    it is told in `usual`. Rows without such a line are read in the order of `COLUMNS`; where the
    first holds an @ each is a price as it is typed, 1914-d f12 @ 210. Raises Cancelled through
    `progress`.
    """
    text = text.removeprefix("\ufeff")
    reading, watch = _Reading(series, usual), progress or Progress()
    if _is_typed(next((line for line in text.splitlines() if line.strip()), "")):
        typed = text.splitlines()
        for number, line in enumerate(typed, 1):
            if number % _EVERY == 1:
                watch.report(number / len(typed), "Reading the prices")
            reading.add_typed(number, line)
        return PriceDraft(tuple(reading.rows), tuple(reading.faults))
    sheet = _cut(text)
    if sheet is None:
        return PriceDraft((), (SheetFault(1, "", "the sheet is empty; copy some rows."),))
    head, lines, faults = sheet
    notes = [_left_out(head[1])] if head[1] else []
    for done, (number, cells) in enumerate(lines):
        if done % _EVERY == 0:
            watch.report(done / len(lines), "Reading the prices")
        if any(cell.strip() for cell in cells[len(head[0]) :]):
            reason = f"it has {len(cells)} cells, the columns are {len(head[0])}."
            faults.append(SheetFault(number, "", reason))
            continue
        named = {
            name: plain(cell).strip() for name, cell in zip(head[0], cells, strict=False) if name
        }
        reading.add(number, named)
    faults = sorted([*faults, *reading.faults], key=lambda fault: fault.line)
    if not reading.rows and not faults:
        notes.append("The sheet holds no prices.")
    return PriceDraft(tuple(reading.rows), tuple(faults), tuple(notes))


def _is_typed(line: str) -> bool:
    """Whether a line is a price as one types it, and no row of cells with an @ in one of them."""
    parted = split_terms(line)
    return parted is not None and not any(mark in parted[0] for mark in SEPARATORS)


def _left_out(names: Sequence[str]) -> str:
    """The column “colour” is not one of a price; it is left out. Three by name, no more."""
    if len(names) == 1:
        return f"The column “{names[0]}” is not one of a price; it is left out."
    named = [f"“{name}”" for name in names[:MOST_NAMED]]
    more = len(names) - len(named)
    last = f"{more} more" if more else named.pop()
    return f"The columns {', '.join(named)} and {last} are not those of a price; they are left out."


_Lines = list[tuple[int, list[str]]]


def _cut(text: str) -> tuple[tuple[list[str], list[str]], _Lines, list[SheetFault]] | None:
    """The columns (and those not known), the lines of cells, what of the sheet is faulty."""
    first = next((line for line in io.StringIO(text) if line.strip()), "")
    if not first:
        return None
    separator = max(SEPARATORS, key=first.count)
    faults: list[SheetFault] = []
    lines = list(_rows(text, separator, faults))
    if not lines:
        return ([], []), [], faults
    names = [plain(cell).strip().casefold() for cell in lines[0][1]]
    if not set(names) & {"grade", "price"}:
        return (list(COLUMNS), []), lines, faults
    number = lines.pop(0)[0]
    twice = [name for name in sorted(_KNOWN & set(names)) if names.count(name) > 1]
    missing = [name for name in _NEEDED if name not in names]
    faults += [
        SheetFault(number, name, "this column stands twice; take one out.") for name in twice
    ]
    faults += [
        SheetFault(number, name, "this column is missing; a price needs it.") for name in missing
    ]
    if twice or missing:
        lines = []
    unknown = [name for name in names if name and name not in _KNOWN]
    return ([name if name in _KNOWN else "" for name in names], unknown), lines, faults


def _rows(text: str, separator: str, faults: list[SheetFault]) -> Iterator[tuple[int, list[str]]]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    begins = 1
    try:
        for cells in reader:
            if any(map(str.strip, cells)):
                yield begins, cells
            begins = reader.line_num + 1
    except csv.Error:
        faults.append(
            SheetFault(
                begins, "", "its quotation marks do not close; from here on nothing could be read."
            )
        )


class _Reading:
    """Gathers prices and faults line by line."""

    def __init__(self, series: Sequence[Series], usual: Usual) -> None:
        self._describer = Describer(series)
        self._usual = usual
        self._used = [one for one in series if one.id in usual.in_use]
        self._all = series
        self._at: dict[object, int] = {}
        self.rows: list[PriceRow] = []
        self.faults: list[SheetFault] = []

    def add(self, line: int, cells: Mapping[str, str]) -> None:
        """Read one row, whole or as a fault."""
        self._keep(line, lambda: self._price(cells))

    def add_typed(self, line: int, text: str) -> None:
        """Read one price as it is typed, whole or as a fault; a blank line is none."""
        usual = self._usual
        if text.strip():
            self._keep(
                line,
                lambda: read_price_line(
                    text,
                    self._used or self._all,
                    usual.series,
                    usual.currency,
                    usual.day,
                    usual.source,
                ),
            )

    def _keep(self, line: int, read: Callable[[], Price]) -> None:
        try:
            one = read()
            require_price(one)
        except BadCell as bad:
            self.faults.append(SheetFault(line, bad.column, str(bad)))
            return
        except CollectionError as error:
            self.faults.append(SheetFault(line, "", str(error)))
            return
        before = self._at.setdefault(one.key, line)
        if before != line:
            reason = f"line {before} has this coin, grade, source and day too; take one out."
            self.faults.append(SheetFault(line, "", reason))
            return
        self.rows.append(PriceRow(line, one))

    def _price(self, cells: Mapping[str, str]) -> Price:
        series = self._series(cells.get("series", ""))
        cell = cells.get("grade", "")
        grade = None if cell.casefold() in _NO_GRADE else self._grade(cell)
        is_proof = grade is not None and grade.is_proof
        currency = cells.get("currency", "").upper() or self._usual.currency
        with _In("price"):
            minor = read_money(cells.get("price", ""), currency)
        with _In("day"):
            day = read_day(cells.get("day", "")) or self._usual.day
        return Price(
            PriceId(0),
            self._description(series, cells, is_proof),
            UNGRADED if grade is None else grade.low,
            minor,
            currency,
            day,
            " ".join((cells.get("source", "") or self._usual.source).split()),
            _variety(series, cells.get("variety", "")),
            is_proof,
        )

    def _series(self, cell: str) -> Series:
        if cell:
            try:
                return self._describer.series(cell)
            except BadCell:
                for those in (self._used, self._all):
                    named = names_series(cell.casefold().split(), those)
                    if len(named) == 1:
                        return named[0]
                raise
        if self._usual.series is None:
            raise BadCell("series", "it names no series; write one, such as us-cent-lincoln.")
        return self._describer.get(self._usual.series)

    def _grade(self, cell: str) -> Grade:
        if not cell:
            raise BadCell(
                "grade", "it is empty; write a grade such as VF-20, or ungraded for a coin without."
            )
        with _In("grade"):
            grade = parse_grade(cell)
        if grade.is_details or grade.is_plus or grade.colour or grade.strike_words:
            raise BadCell(
                "grade", f"“{cell}” is more than a grade; a price is of a step, such as VF-20."
            )
        return grade

    def _description(self, series: Series, cells: Mapping[str, str], is_proof: bool) -> Description:
        """What the facet cells say; a date without a letter is the issue that bears none."""
        if not cells.get("date", ""):
            raise BadCell("date", "it has no date; write the date as struck.")
        told = {column: cells[name] for name, column in _FACETS.items() if cells.get(name)}
        if is_proof and Column.STRIKE not in told:
            told |= {Column.STRIKE: "proof"}
        made = self._describer.description(series, told)
        if Column.MINT in told or Column.MARK in told:
            return made
        bare = made.with_facet(Facet.MARK.value, "")
        return (
            self._describer.description(series, told | {Column.MARK: NO_LETTER})
            if (series.may_be(bare))
            else made
        )


def _variety(series: Series, cell: str) -> VarietyId | None:
    """A variety of the series by its id or name."""
    if not cell:
        return None
    found = [v for v in series.varieties if same(cell) in (same(v.id), same(v.name))]
    if len(found) == 1:
        return found[0].id
    known = ", ".join(v.id for v in series.varieties) or "none"
    raise BadCell("variety", f"{series.title} has no variety “{cell}”; there is {known}.")


class _In:
    """What is refused within is about this column."""

    def __init__(self, column: str) -> None:
        self._column = column

    def __enter__(self) -> None:
        pass

    def __exit__(self, _kind: object, error: BaseException | None, _trace: object) -> None:
        if isinstance(error, CollectionError) and not isinstance(error, BadCell):
            raise BadCell(self._column, str(error)) from error


def require_ready(draft: PriceDraft) -> None:
    """Refuse a draft that has a fault or holds nothing; raises BadEntry."""
    if draft.faults:
        many = len(draft.faults)
        raise BadEntry(
            f"{many} row{'s are' if many > 1 else ' is'} faulty, so nothing was taken in; the first"
            f" is {draft.faults[0].text}"
        )
    if not draft.rows:
        raise BadEntry("The sheet holds no prices; nothing was taken in.")
