"""Price sheets: rows of named columns to prices, every faulty row with its reason."""

import csv
import io
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from core.app.exchange_cells import NO_LETTER, BadCell, Column, plain, read_day
from core.app.exchange_facets import Describer
from core.app.exchange_here import same
from core.app.exchange_sheet import SheetFault
from core.app.work import Progress
from core.errors import BadEntry, CollectionError
from core.model.grade import Grade, parse_grade
from core.model.issue import Description, Facet, Series, SeriesId, VarietyId
from core.model.money import read_money
from core.model.prices import Price, PriceId, require_price

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
_KNOWN = frozenset({*COLUMNS, *_FACETS})
_NEEDED = ("date", "grade", "price")
_EVERY = 512


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


def read_prices(
    text: str, series: Sequence[Series], usual: Usual, progress: Progress | None = None
) -> PriceDraft:
    """Read the text of a price sheet, or rows pasted from one; never raises for any text.

    The first line names the columns, of which date, grade and price are needed, and series unless
    it is told in `usual`. Rows without such a line are read in the order of `COLUMNS`. Raises
    Cancelled through `progress`.
    """
    sheet = _cut(text.removeprefix("\ufeff"))
    if sheet is None:
        return PriceDraft((), (SheetFault(1, "", "the sheet is empty; copy some rows."),))
    head, lines, faults = sheet
    notes = [f"The column “{name}” is not one of a price; it is left out." for name in head[1]]
    reading = _Reading(Describer(series), usual)
    watch = progress or Progress()
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


_Lines = list[tuple[int, list[str]]]


def _cut(text: str) -> tuple[tuple[list[str], list[str]], _Lines, list[SheetFault]] | None:
    """The columns (and those not known), the lines of cells, what of the sheet is faulty."""
    first = next((line for line in io.StringIO(text) if line.strip()), "")
    if not first:
        return None
    separator = max(",;\t", key=first.count)
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

    def __init__(self, describer: Describer, usual: Usual) -> None:
        self._describer = describer
        self._usual = usual
        self._at: dict[object, int] = {}
        self.rows: list[PriceRow] = []
        self.faults: list[SheetFault] = []

    def add(self, line: int, cells: Mapping[str, str]) -> None:
        """Read one row, whole or as a fault."""
        try:
            one = self._price(cells)
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
        grade = self._grade(cells.get("grade", ""))
        currency = cells.get("currency", "").upper() or self._usual.currency
        with _In("price"):
            minor = read_money(cells.get("price", ""), currency)
        with _In("day"):
            day = read_day(cells.get("day", "")) or self._usual.day
        return Price(
            PriceId(0),
            self._description(series, cells, grade.is_proof),
            grade.low,
            minor,
            currency,
            day,
            " ".join((cells.get("source", "") or self._usual.source).split()),
            _variety(series, cells.get("variety", "")),
            grade.is_proof,
        )

    def _series(self, cell: str) -> Series:
        if cell:
            return self._describer.series(cell)
        if self._usual.series is None:
            raise BadCell("series", "it names no series; write one, such as us-cent-lincoln.")
        return self._describer.get(self._usual.series)

    def _grade(self, cell: str) -> Grade:
        if not cell:
            raise BadCell("grade", "it has no grade; a price is of one, such as VF-20.")
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
