"""Reads a coins sheet: every row that can be read, and every fault of those that cannot."""

from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, fields, replace
from datetime import date
from typing import TypeVar

from core.app.exchange_cells import (
    FACETS,
    BadCell,
    Column,
    StayText,
    read_day,
    read_grade,
    read_origin,
    read_paid,
    read_problems,
    read_status,
    read_stays,
    read_varieties,
    read_weight,
    read_whole,
    read_yes,
)
from core.app.exchange_days import Span, meeting
from core.app.exchange_facets import Describer
from core.app.exchange_here import AlbumHere, Here
from core.app.exchange_sheet import Line, SheetFault, cut
from core.app.order import misfit
from core.app.work import Progress
from core.errors import BadEntry
from core.lookup.parse import Entry, parse_entry
from core.model.album import AlbumKind, Slot, SlotId
from core.model.coin import Coin, CoinId, CoinStatus
from core.model.issue import Description, Series, SeriesId

_EVERY = 256  # rows between two looks at the progress
_HIGHEST = 10**12
_MANY_NOTES = 200
_WHAT = frozenset({*FACETS, Column.CHOICES})
_NOWHERE = Coin(CoinId(0), Description(SeriesId("")))
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Stay:
    """A stay in a slot that is over."""

    slot: SlotId
    since: date
    until: date


@dataclass(frozen=True, slots=True)
class SheetRow:
    """A row that can be read.

    `coin.id` is 0 where the next free number is meant. `slot` is where it sits or, for a coin on
    order, the slot it is meant for; `album` and `label` name it. `since` None: from today.
    """

    line: int
    coin: Coin
    slot: SlotId | None = None
    since: date | None = None
    earlier: tuple[Stay, ...] = ()
    album: str = ""
    label: str = ""

    @property
    def where(self) -> str:
        """Nickels, 1943-D; "" for a coin with no slot."""
        return f"{self.album}, {self.label}" if self.slot is not None else ""

    @property
    def is_ordered(self) -> bool:
        """Whether the slot is one that the coin is meant for."""
        return self.slot is not None and self.coin.status is CoinStatus.ON_ORDER


@dataclass(frozen=True, slots=True)
class SheetDraft:
    """What a sheet holds: rows, all its faults, and notes worth telling before it is taken in."""

    rows: tuple[SheetRow, ...]
    faults: tuple[SheetFault, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def is_ready(self) -> bool:
        """Whether it can be taken in: nothing is faulty, and there is something in it."""
        return bool(self.rows) and not self.faults


def read_sheet(
    text: str,
    series: Sequence[Series],
    here: Here | None = None,
    *,
    entries_in: Sequence[Series] | None = None,
    prefer: SeriesId | None = None,
    columns: Sequence[Column] | None = None,
    renumber: bool = False,
    progress: Progress | None = None,
) -> SheetDraft:
    """Read the text of a coins sheet; never raises for any text.

    `series` are those a coin may be of, `entries_in` those that an entry line is tried for first
    (all, unless told), `prefer` the one meant where nothing else tells. `columns` names them for
    rows without a first line. `renumber` gives every coin a new number. Raises Cancelled through
    `progress`.
    """
    sheet = cut(text, columns)
    reading = _Reading(series, here or Here(), entries_in or series, prefer, renumber)
    watch = progress or Progress()
    for done, line in enumerate(sheet.lines):
        if done % _EVERY == 0:
            watch.report(done / len(sheet.lines), "Reading the sheet")
        reading.add(line)
    reading.look_at_days()
    faults = sorted([*sheet.faults, *reading.faults], key=lambda fault: fault.line)
    notes = [*sheet.notes, *reading.notes[:_MANY_NOTES]]
    if len(reading.notes) > _MANY_NOTES:
        notes.append(f"and {len(reading.notes) - _MANY_NOTES} more remarks of this kind.")
    if not reading.rows and not faults:
        notes.append("The sheet holds no coins.")
    return SheetDraft(tuple(reading.rows), tuple(faults), tuple(notes))


class _Reading:
    """Gathers rows and faults line by line, and keeps what earlier lines have taken."""

    def __init__(
        self,
        series: Sequence[Series],
        here: Here,
        entries_in: Sequence[Series],
        prefer: SeriesId | None,
        renumber: bool,
    ) -> None:
        self.rows: list[SheetRow] = []
        self.faults: list[SheetFault] = []
        self.notes: list[str] = []
        self._describer = Describer(series)
        self._all_series = series
        self._here = here
        self._entries_in, self._prefer = entries_in, prefer
        self._renumber = renumber
        self._entries: dict[tuple[str, SeriesId | None, bool], Entry | BadEntry] = {}
        self._numbers: dict[CoinId, int] = {}
        self._seated: dict[tuple[SlotId, bool], int] = {}
        self._spans: dict[SlotId, list[Span]] = {}
        self._anyway: set[int] = set()

    def add(self, line: Line) -> None:
        """Read one row: into `rows`, or what is wrong with it into `faults`."""
        row = _Row(line, self._describer)
        told = line.cells
        number, slot, album = CoinId(0), None, None
        earlier: tuple[Stay, ...] = ()
        since: date | None = None
        if Column.NUMBER in told:
            number = row.tried(Column.NUMBER, lambda: self._number(row), number)
        if Column.ALBUM in told:
            album = row.tried(Column.ALBUM, lambda: self._album(row), None)
        if Column.SLOT in told:
            slot = row.tried(Column.SLOT, lambda: self._slot(row, album), None)
        coin = self._coin(row, number, album, slot)
        if Column.EARLIER in told:
            earlier = row.tried(Column.EARLIER, lambda: self._earlier(row), earlier)
        if Column.SINCE in told:
            since = row.tried(Column.SINCE, lambda: self._since(row), None)
        if coin is not None and slot is not None:
            self._seat(row, coin, slot)
        standing = slot if coin is not None and coin.status is CoinStatus.HELD else None
        self._keep_days(row, earlier, standing, since)
        if row.faults or coin is None:
            self.faults += row.faults
            return
        self.notes += row.notes
        self.rows.append(
            SheetRow(
                line.number,
                coin,
                slot.id if slot else None,
                since,
                earlier,
                self._here.album_of(slot).album.name if slot else "",
                slot.label if slot else "",
            )
        )

    # ---- the number -----------------------------------------------------------------------

    def _number(self, row: "_Row") -> CoinId:
        cell = row.cell(Column.NUMBER)
        if not cell or self._renumber:
            return CoinId(0)
        number = CoinId(read_whole(cell, "number of a coin"))
        if number > _HIGHEST:
            raise BadEntry(f"Numbers of coins end at {_HIGHEST:,}; leave the cell empty.")
        before = self._numbers.setdefault(number, row.line)
        if before != row.line:
            raise BadEntry(
                f"Line {before} has coin {number} too; leave one of the two cells empty."
            )
        if number in self._here.numbers:
            raise BadEntry(
                f"There is a coin {number} here already; leave the cell empty to give this one "
                "the next number, or take the row out."
            )
        return number

    # ---- the coin -------------------------------------------------------------------------

    def _coin(
        self, row: "_Row", number: CoinId, album: AlbumHere | None, slot: Slot | None
    ) -> Coin | None:
        typed = row.cell(Column.COIN)
        facets = [column for column in row.cells if column in _WHAT and row.cell(column)]
        try:
            if typed and facets:
                names = ", ".join(column.value for column in facets)
                raise BadCell(
                    Column.COIN.value,
                    f"The row says what the coin is here and under {names}; leave one of them "
                    "empty.",
                )
            if typed:
                return row.properties(self._entered(row, typed, album, slot), number)
            if not facets:
                raise BadCell(
                    "", "It does not say what the coin is; fill in coin, or date and mint."
                )
            known = self._series(row, album, slot)
            description = self._describer.description(known, row.cells)
            said = self._describer.remark(known, row.cells, description)
            if said:
                row.note(said)
        except BadCell as bad:
            row.fault(bad.column, str(bad))
            row.properties(_NOWHERE, number)
            return None
        return row.properties(Coin(number, description), number)

    def _series(self, row: "_Row", album: AlbumHere | None, slot: Slot | None) -> Series:
        typed = row.cell(Column.SERIES)
        if typed:
            return self._describer.series(typed)
        meant = slot.accepts.series if slot else album.album.series if album else self._prefer
        if meant is not None and self._describer.knows(meant):
            return self._describer.get(meant)
        if len(self._entries_in) == 1:  # all that the collection has is of one series
            return self._entries_in[0]
        raise BadCell(Column.SERIES.value, "Name the series of this coin, or its album.")

    def _entered(self, row: "_Row", typed: str, album: AlbumHere | None, slot: Slot | None) -> Coin:
        named = self._describer.series(row.cell(Column.SERIES)) if row.cell(Column.SERIES) else None
        meant = slot.accepts.series if slot else album.album.series if album else self._prefer
        prefer = named.id if named else meant
        key = (typed, prefer, named is not None)
        entry = self._entries.get(key)
        if entry is None:
            entry = self._entries[key] = self._parsed(typed, [named] if named else [], prefer)
        if isinstance(entry, BadEntry):
            raise BadCell(Column.COIN.value, str(entry)) from entry
        if not named and entry.series not in {s.id for s in self._entries_in}:
            title = self._describer.get(entry.series).title
            row.note(f"“{typed.strip()}” is of {title}, a series that is not here yet.")
        if entry.said:
            row.note(f"“{typed.strip()}”: {entry.said}")
        if entry.compare:
            row.note(f"“{entry.compare}” in “{typed.strip()}” compares by eye; it is left out.")
        return entry.coin

    def _parsed(
        self, typed: str, named: Sequence[Series], prefer: SeriesId | None
    ) -> Entry | BadEntry:
        """The entry of the named series or of those in use, else of any other; or its fault."""
        try:
            return parse_entry(typed, named or self._entries_in, prefer)
        except BadEntry as bad:
            if not named and len(self._entries_in) < len(self._all_series):
                with suppress(BadEntry):
                    return parse_entry(typed, self._all_series)
            return bad

    # ---- where it sits --------------------------------------------------------------------

    def _album(self, row: "_Row") -> AlbumHere | None:
        cell = row.cell(Column.ALBUM)
        if not cell:
            return None
        album = self._here.album(cell)
        if not row.cell(Column.SLOT):
            raise BadCell(Column.SLOT.value, "Name the slot too, or leave the album empty.")
        if album.album.kind is AlbumKind.OVERVIEW:
            raise BadEntry(
                f"{album.album.name} is an overview: it shows coins wherever they sit and holds "
                "none. Name an album that holds coins."
            )
        return album

    def _slot(self, row: "_Row", album: AlbumHere | None) -> Slot | None:
        cell = row.cell(Column.SLOT)
        if not cell or (album is None and row.cell(Column.ALBUM)):
            return None
        chosen = album or self._here.only_album()
        if chosen is None:
            raise BadCell(Column.ALBUM.value, "Name the album too.")
        return chosen.slot(cell)

    def _since(self, row: "_Row") -> date | None:
        since = read_day(row.cell(Column.SINCE))
        if since is not None and not row.cell(Column.SLOT):
            raise BadEntry("It says since when, but no slot; name album and slot, or leave it out.")
        if since is not None and self._here.today is not None and since > self._here.today:
            row.note(f"{since} under {Column.SINCE} is still to come; it is kept as written.")
        return since

    def _earlier(self, row: "_Row") -> tuple[Stay, ...]:
        return tuple(self._stay(told) for told in read_stays(row.cell(Column.EARLIER)))

    def _stay(self, told: StayText) -> Stay:
        return Stay(self._here.album(told.album).slot(told.slot).id, told.since, told.until)

    def _seat(self, row: "_Row", coin: Coin, slot: Slot) -> None:
        """Whether the coin may sit in the slot or be on order for it."""
        if coin.status is CoinStatus.GONE:
            row.fault(
                Column.STATUS,
                "A coin that is gone sits in no slot; leave album and slot empty, or write held.",
            )
            return
        is_ordered = coin.status is CoinStatus.ON_ORDER
        if coin.is_lot:
            row.fault(
                Column.QUANTITY,
                f"A lot of {coin.quantity} sits in no slot; give the one that does a row of its "
                "own.",
            )
        if is_ordered and row.cell(Column.SINCE):
            row.fault(Column.SINCE, "A coin on order sits in no slot yet; leave this cell empty.")
        before = self._seated.setdefault((slot.id, is_ordered), row.line)
        holder = (self._here.reserved if is_ordered else self._here.filled).get(slot.id)
        if before != row.line:
            what = "orders a coin for" if is_ordered else "puts a coin in"
            row.fault(
                Column.SLOT,
                f"Line {before} {what} slot {slot.label} too; leave album and slot empty in one "
                "of the two.",
            )
        elif holder is not None:
            what = f"Coin {holder} is on order for" if is_ordered else f"Coin {holder} sits in"
            row.fault(
                Column.SLOT,
                f"{what} slot {slot.label} already; leave album and slot empty, or take that coin "
                "out first.",
            )
        if not row.is_anyway:
            reason = self._misfit(slot, coin)
            if reason:
                row.fault(
                    Column.SLOT,
                    f"The coin does not fit slot {slot.label}: {reason}. Name another slot, or "
                    f"write yes under {Column.PLACED_ANYWAY}.",
                )

    def _keep_days(
        self, row: "_Row", earlier: Sequence[Stay], slot: Slot | None, since: date | None
    ) -> None:
        """Keep when the coin was where, and look whether it was in two slots at a time."""
        mine = [(stay.slot, Span(stay.since, stay.until, row.line)) for stay in earlier]
        begun = since or self._here.today
        if slot is not None and begun is not None:
            mine.append((slot.id, Span(begun, None, row.line)))
        for at, span in mine:
            self._spans.setdefault(at, []).append(span)
        if row.is_anyway:
            self._anyway.add(row.line)
        elif len(mine) > 1:
            for later, first in meeting(span for _, span in mine):
                row.fault(
                    Column.EARLIER if later.until else Column.SINCE,
                    f"The coin comes on {later.since} while it sits elsewhere from {first.since} "
                    f"{_until(first)}. {_MEND_DAYS}",
                )

    def look_at_days(self) -> None:
        """Once all rows are read: faults where a slot held two coins at a time."""
        for slot_id, spans in self._spans.items():
            here = [
                Span(stay.since, stay.until, 0, f"coin {stay.coin}")
                for stay in self._here.stays.get(slot_id, ())
            ]
            for later, first in meeting([*here, *spans]):
                blamed, other = (first, later) if later.told else (later, first)
                if blamed.told or blamed.place in self._anyway or blamed.place == other.place:
                    continue
                if blamed.until is None and other.until is None:
                    continue  # told already: the slot is filled
                column = Column.EARLIER if blamed.until else Column.SINCE
                whose = other.told or f"the coin of line {other.place}"
                reason = (
                    f"The slot held {whose} from {other.since} {_until(other)}, and a slot holds "
                    f"one coin at a time. {_MEND_DAYS}"
                )
                self.faults.append(SheetFault(blamed.place, column.value, reason))

    def _misfit(self, slot: Slot, coin: Coin) -> str:
        if not self._describer.knows(slot.accepts.series):
            return "the series of that slot is not here"
        return misfit(self._describer.get, slot, coin)


_MEND_DAYS = (
    f"Put the days under {Column.SINCE} and {Column.EARLIER} right, or write yes under "
    f"{Column.PLACED_ANYWAY}."
)


def _until(span: Span) -> str:
    return f"until {span.until}" if span.until else "on"


_PROPERTIES: Mapping[str, Column] = {
    "varieties": Column.VARIETIES,
    "grade": Column.GRADE,
    "problems": Column.PROBLEMS,
    "is_genuine": Column.GENUINE,
    "is_flagged": Column.TO_VERIFY,
    "weight_mg": Column.WEIGHT,
    "status": Column.STATUS,
    "quantity": Column.QUANTITY,
    "origin": Column.ORIGIN,
    "came_from": Column.CAME_FROM,
    "acquired": Column.ACQUIRED,
    "place": Column.PLACE,
    "paid_minor": Column.PAID,
    "currency": Column.CURRENCY,
    "note": Column.NOTE,
}
_NAMES = {column: name for name, column in _PROPERTIES.items()}
_DEFAULTS = {f.name: f.default for f in fields(Coin) if f.name in _PROPERTIES}


class _Row:
    """One row while it is read: its cells, and what is wrong or worth telling."""

    def __init__(self, line: Line, describer: Describer) -> None:
        self.line = line.number
        self.cells = line.cells
        self.faults: list[SheetFault] = []
        self.notes: list[str] = []
        self._describer = describer
        self.is_anyway = False
        if Column.PLACED_ANYWAY in self.cells:
            cell = self.cells[Column.PLACED_ANYWAY]
            self.is_anyway = self.tried(
                Column.PLACED_ANYWAY, lambda: read_yes(cell, otherwise=False), False
            )

    def cell(self, column: Column) -> str:
        """A cell, "" where it is empty or holds nothing but spaces."""
        text = self.cells.get(column)
        return text if text and not text.isspace() else ""

    def fault(self, column: str, reason: str) -> None:
        """Something is wrong with the row."""
        self.faults.append(SheetFault(self.line, str(column), reason))

    def note(self, text: str) -> None:
        """Something is worth telling of the row."""
        self.notes.append(f"Line {self.line}: {text}")

    def tried(self, column: Column, read: Callable[[], T], otherwise: T) -> T:
        """What can be read; else a fault of the column it is about, and the other value."""
        try:
            return read()
        except BadCell as bad:
            self.fault(bad.column, str(bad))
        except BadEntry as bad:
            self.fault(column, str(bad))
        return otherwise

    def properties(self, coin: Coin, number: CoinId) -> Coin:
        """The coin with its number and all that can be read of what the other columns say of it."""
        told: dict[str, object] = {} if coin.id == number else {"id": number}
        for written in self.cells:
            column = Column.GRADE if written is Column.GRADE_ENTERED else written
            name = _NAMES.get(column)
            if name is None or (column is not written and column in self.cells):
                continue
            try:
                value = self._value(name, column, coin)
            except BadEntry as bad:
                self.fault(column, str(bad))
                continue
            given = getattr(coin, name)
            if given not in (_DEFAULTS[name], value):
                self.fault(column, f"The entry under {Column.COIN} says otherwise; say it once.")
            elif value != given:
                told[name] = value
        made = replace(coin, **told) if told else coin  # type: ignore[arg-type]  # fields by name
        if made.varieties and coin is not _NOWHERE:
            self._look_at_varieties(made)
        return made

    def _look_at_varieties(self, coin: Coin) -> None:
        known = self._describer.get(coin.description.series)
        for variety, _ in coin.varieties:
            if known.variety(variety) is None:
                self.note(f"{known.title} has no variety “{variety}”; it is kept as written.")

    def _value(self, name: str, column: Column, coin: Coin) -> object:
        text = self.cells.get(column, "")
        match name:
            case "varieties":
                return read_varieties(text)
            case "grade":
                code = coin.description.series
                issuer = self._describer.get(code).issuer if self._describer.knows(code) else ""
                return read_grade(text, self.cells.get(Column.GRADE_ENTERED, ""), issuer)
            case "problems":
                return read_problems(text)
            case "is_genuine":
                return read_yes(text, otherwise=True)
            case "is_flagged":
                return read_yes(text, otherwise=False)
            case "weight_mg":
                return read_weight(text)
            case "status":
                return read_status(text)
            case "quantity":
                return read_whole(text, "quantity") if text.strip() else coin.quantity
            case "origin":
                return read_origin(text)
            case "acquired":
                return read_day(text)
            case "paid_minor":
                return read_paid(text, self.cells.get(Column.CURRENCY, ""))
            case _:
                return text
