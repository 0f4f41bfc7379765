"""The coins table without a screen: columns, sorting, filtering; quick with 100,000 coins."""

from collections import Counter
from collections.abc import Callable, Iterable
from datetime import date
from enum import StrEnum

from core.app.exchange_cells import weight_text as grams_text
from core.app.slot_card import came_from
from core.app.views import CoinRow
from core.model.coin import CoinId, CoinStatus
from core.model.grade_tables import rank_of
from core.model.money import money_text


class Column(StrEnum):
    """The columns, in their order; the value heads it."""

    NUMBER = "no."
    COIN = "coin"
    GRADE = "grade"
    PROBLEMS = "problems"
    STATE = "state"
    WHERE = "where"
    CAME_FROM = "came from"
    ACQUIRED = "acquired"
    NOTE = "note"
    QUANTITY = "how many"
    PLACE = "lies in"
    PAID = "paid"
    WEIGHT = "weight"
    VARIETIES = "varieties"
    SERIES = "series"
    GAIN = "in this slot"
    """What a coin would gain in the slot one seeks coins for; shown then only."""


COLUMNS = tuple(Column)


class Part(StrEnum):
    """Which coins the table shows."""

    ALL = "all"
    IN_ALBUM = "in an album"
    SPARES = "spares"
    LOTS = "lots"
    ON_ORDER = "on order"
    GONE = "gone"


PARTS = tuple(Part)
_STATE_OF = {
    Part.IN_ALBUM: "in an album",
    Part.SPARES: "spare",
    Part.LOTS: "lot",
    Part.ON_ORDER: "on order",
    Part.GONE: "gone",
}
STATES = tuple(_STATE_OF.values())
_PLACE_OF_STATE = {state: place for place, state in enumerate(STATES)}


def problems_text(row: CoinRow) -> str:
    """cleaned, bent; not genuine."""
    words = [str(problem) for problem in row.coin.problems]
    if not row.coin.is_genuine:
        words.append("not genuine")
    return ", ".join(words)


def source_text(row: CoinRow) -> str:
    """found, box 12 roll 31; "" where nothing is known."""
    text = came_from(row.coin)
    return "" if text == "not known" else text


def coin_name(row: CoinRow) -> str:
    """3 × 1943-D."""
    return f"{row.coin.quantity:,} × {row.text}" if row.coin.is_lot else row.text


def paid_text(row: CoinRow) -> str:
    """12.50 USD."""
    coin = row.coin
    if coin.paid_minor is None:
        return ""
    return f"{money_text(coin.paid_minor, coin.currency)} {coin.currency}".strip()


def weight_text(row: CoinRow) -> str:
    """3.11 g."""
    weight = row.coin.weight_mg
    return f"{grams_text(weight)} g" if weight is not None else ""


_TEXTS: dict[Column, Callable[[CoinRow], str]] = {
    Column.NUMBER: lambda row: str(row.coin.id),
    Column.COIN: coin_name,
    Column.GRADE: lambda row: row.grade,
    Column.PROBLEMS: problems_text,
    Column.STATE: lambda row: row.state,
    Column.WHERE: lambda row: row.where,
    Column.CAME_FROM: source_text,
    Column.ACQUIRED: lambda row: row.coin.acquired.isoformat() if row.coin.acquired else "",
    Column.NOTE: lambda row: " ".join(row.coin.note.split()),
    Column.QUANTITY: lambda row: f"{row.coin.quantity:,}",
    Column.PLACE: lambda row: row.coin.place,
    Column.PAID: paid_text,
    Column.WEIGHT: weight_text,
    Column.VARIETIES: lambda row: row.varieties,
    Column.SERIES: lambda row: row.series_title,
    Column.GAIN: lambda _row: "",
}


def text_of(row: CoinRow, column: Column) -> str:
    """What a cell shows."""
    return _TEXTS[column](row)


def _sort_key(column: Column) -> Callable[[CoinRow], object]:
    match column:
        case Column.NUMBER:
            return lambda row: row.coin.id
        case Column.COIN:
            return lambda row: (*row.sort_key[:2], row.coin.points or 0, rank_of(row.coin.grade))
        case Column.GRADE:
            return lambda row: (row.coin.points or 0, rank_of(row.coin.grade), row.grade)
        case Column.STATE:
            return lambda row: _PLACE_OF_STATE.get(row.state, len(STATES))
        case Column.ACQUIRED:
            return lambda row: row.coin.acquired or date.min
        case Column.QUANTITY:
            return lambda row: row.coin.quantity
        case Column.WEIGHT:
            return lambda row: row.coin.weight_mg or 0
        case Column.PAID:
            return lambda row: (row.coin.currency, row.coin.paid_minor or 0)
        case _:
            text = _TEXTS[column]
            return lambda row: text(row).casefold()


def _hay(row: CoinRow) -> str:
    """All that typing is sought in, in small letters."""
    coin = row.coin
    words = [str(coin.id), row.text, row.series_title, row.grade, row.state, row.where]
    words += [problems_text(row), source_text(row), coin.place, coin.note, row.varieties]
    if coin.is_flagged:
        words.append("to verify")
    if coin.acquired:
        words.append(coin.acquired.isoformat())
    return "\n".join(words).casefold()


class CoinTable:
    """All rows, with what makes sorting and filtering quick. Made and changed off the screen."""

    def __init__(self, rows: Iterable[CoinRow]) -> None:
        self.rows = list(rows)
        self.hays = [_hay(row) for row in self.rows]
        self._at: dict[CoinId, int] = {}
        self._many: bool | None = None
        self._foreign: bool | None = None
        self._sorted: dict[Column, list[int]] = {}
        self._last: tuple[Part, Column, str] | None = None
        self._met: list[int] = []

    def updated(self, asked: Iterable[CoinId], fresh: Iterable[CoinRow]) -> "CoinTable":
        """The table with these coins read anew; those asked for and not found are gone from it."""
        new = {row.coin.id: row for row in fresh}
        dropped = set(asked) - set(new)
        table = CoinTable(())
        for row, hay in zip(self.rows, self.hays, strict=True):
            number = row.coin.id
            if number in dropped:
                continue
            if (changed := new.pop(number, None)) is not None:
                table.rows.append(changed)
                table.hays.append(_hay(changed))
            else:
                table.rows.append(row)
                table.hays.append(hay)
        for row in new.values():
            table.rows.append(row)
            table.hays.append(_hay(row))
        return table

    def counts(self) -> dict[Part, int]:
        """How many rows each part has."""
        states = Counter(row.state for row in self.rows)
        counts = {part: states[state] for part, state in _STATE_OF.items()}
        return {Part.ALL: len(self.rows), **counts}

    @property
    def has_many_series(self) -> bool:
        """Whether coins must tell their series too."""
        if self._many is None:
            self._many = len({row.series_title for row in self.rows}) > 1
        return self._many

    @property
    def has_foreign_grades(self) -> bool:
        """Whether a grade is in another country's words, which show their table and range."""
        if self._foreign is None:
            grades = (row.coin.grade for row in self.rows)
            self._foreign = any(grade is not None and grade.table for grade in grades)
        return self._foreign

    def cell_text(self, row: CoinRow, column: Column) -> str:
        """What a cell shows in this table: a coin with its series, where there are several."""
        text = text_of(row, column)
        if column is Column.COIN and self.has_many_series:
            return f"{text}  ·  {row.series_title}"
        return text

    def at_of(self, coins: Iterable[CoinId]) -> list[int]:
        """The places of these coins among all rows, those that are there."""
        if len(self._at) != len(self.rows):
            self._at = {row.coin.id: at for at, row in enumerate(self.rows)}
        return [at for coin in coins if (at := self._at.get(coin)) is not None]

    @property
    def pieces(self) -> int:
        """How many pieces are held, each of a lot counted."""
        held = CoinStatus.HELD
        return sum(row.coin.quantity for row in self.rows if row.coin.status is held)

    def is_sorted_by(self, column: Column) -> bool:
        """Whether the order by this column is at hand."""
        return column in self._sorted

    def sort_by(self, column: Column) -> None:
        """Work out the order by a column; equal rows stay by number."""
        if column not in self._sorted:
            order = sorted(range(len(self.rows)), key=lambda at: int(self.rows[at].coin.id))
            if column is not Column.NUMBER:
                keys = [_sort_key(column)(row) for row in self.rows]
                order.sort(key=keys.__getitem__)  # type: ignore[arg-type]  # keys of one kind
            self._sorted[column] = order

    def shown(self, typed: str, part: Part, column: Column, is_descending: bool) -> list[int]:
        """Places of the rows to show, in order: every word typed must be met."""
        self.sort_by(column)
        words = typed.casefold()
        last = self._last
        if last and last[:2] == (part, column) and last[2] and words.startswith(last[2]):
            order = self._met  # typing on narrows what was found
        else:
            order = self._of_part(part, self._sorted[column])
        hays = self.hays
        for word in words.split():
            order = [at for at in order if word in hays[at]]
        self._last, self._met = (part, column, words), order
        return order[::-1] if is_descending else list(order)

    def _of_part(self, part: Part, order: list[int]) -> list[int]:
        if part is Part.ALL:
            return order
        state = _STATE_OF[part]
        return [at for at in order if self.rows[at].state == state]
