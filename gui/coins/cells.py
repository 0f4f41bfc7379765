"""Editing one cell: the text to begin with, and the change that the typed text means. No Qt here.

The same readers serve the form that edits many coins at once.
"""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from core.app.operations_coins import KEEP, CoinChange
from core.app.views import CoinRow
from core.errors import BadEntry
from core.lookup.words import PROBLEMS
from core.model.coin import Coin, Finding, Origin, Problem
from core.model.grade import Grade
from core.model.issue import Series, VarietyId
from core.model.label import describe
from gui.coins.draft import read_day, read_grade, read_money, read_weight
from gui.coins.entry_line import read_line, reading_text
from gui.coins.rows import Column, text_of

EMPTY = ("none", "-", "–")
"""Words that empty a field, where leaving it blank keeps what is there."""
MOST_PIECES = 999_999
NOT_GENUINE = "not genuine"
FIXED: Mapping[Column, str] = {
    Column.NUMBER: "A coin keeps its number for good.",
    Column.STATE: "The state follows from where the coin is; it is not typed.",
    Column.WHERE: "Where a coin is follows from its slot, or from the column “lies in”.",
    Column.VARIETIES: "Varieties are settled in the form: Ctrl+E.",
    Column.SERIES: "The series follows from what the coin is.",
    Column.GAIN: "What a coin gains in the slot follows from its grade and the target.",
}
"""Columns that follow from others, and why each is not typed in."""
HINTS: Mapping[Column, str] = {
    Column.COIN: "date and letter, such as 1943-D; a grade or problem may follow",
    Column.GRADE: "VF-20, vf-xf, MS-64 FS, or as in its country: gVF, vz; nothing for no grade",
    Column.PROBLEMS: "cleaned, bent, not genuine",
    Column.CAME_FROM: "found, bought, given or already owned, then from where: found, box 12",
    Column.ACQUIRED: "2026-03-02 or 2.3.2026",
    Column.QUANTITY: "more than 1 makes a lot",
    Column.PAID: "12.50 USD",
    Column.WEIGHT: "grams, such as 3.11",
    Column.NOTE: "Shift+Enter for a new line",
}


@dataclass(frozen=True, slots=True)
class KnownSeries:
    """What an entry is read against: the collection's own series, and all."""

    in_use: tuple[Series, ...] = ()
    known: tuple[Series, ...] = ()

    def of(self, coin: Coin) -> Series:
        """The coin's series."""
        return next(s for s in self.known if s.id == coin.description.series)

    def has(self, coin: Coin) -> bool:
        """Whether the coin's series is at hand yet."""
        return any(s.id == coin.description.series for s in self.known)


def start_text(row: CoinRow, column: Column, series: Series) -> str:
    """What stands in the editor first: all of it, as it may be typed."""
    match column:
        case Column.COIN:
            return describe(series, row.coin.description)
        case Column.NOTE:
            return row.coin.note
        case Column.QUANTITY:
            return str(row.coin.quantity)
    return text_of(row, column)


def read_cell(text: str, column: Column, coin: Coin, known: KnownSeries) -> CoinChange:
    """What the text in a cell means for its coin; raises BadEntry with what is wrong."""
    if column in FIXED:
        raise BadEntry(FIXED[column])
    if column is Column.COIN:
        return _read_coin(text, coin, known)
    if column is Column.PAID:
        series = known.of(coin)
        return read_paid(text, coin.currency or series.currency)
    if column is Column.GRADE:
        issuer = known.of(coin).issuer if known.has(coin) else ""
        return CoinChange(grade=read_grade(text, coin.grade, issuer))
    return _READERS[column](text)


def reading_of(text: str, coin: Coin, known: KnownSeries) -> str:
    """How a coin typed in its cell reads."""
    entry = read_line(text, known.in_use, known.known, coin.description.series)
    series = next(s for s in known.known if s.id == entry.series)
    told = reading_text(entry, series)
    return told.replace(": no grade yet, a spare", "").removesuffix(", a spare")


def _read_coin(text: str, coin: Coin, known: KnownSeries) -> CoinChange:
    """What a coin is: what the entry names is set, all else stays where it still can."""
    series = known.of(coin)
    if text.strip() == describe(series, coin.description):
        return CoinChange()
    entry = read_line(text, known.in_use, known.known, series.id)
    typed = entry.coin
    meant = next(s for s in known.known if s.id == entry.series)
    named: dict[str, object] = {}
    if typed.grade is not None:
        named["grade"] = typed.grade
    if typed.weight_mg is not None:
        named["weight_mg"] = typed.weight_mg
    if typed.is_lot:
        named["quantity"] = typed.quantity
    if typed.is_flagged:
        named["is_flagged"] = True
    if not typed.is_genuine:
        named["is_genuine"] = False
    if typed.note:
        named["note"] = "\n".join(filter(None, (coin.note, typed.note)))
    return CoinChange(
        description=typed.description,
        varieties=_varieties(meant, typed, coin),
        more_problems=typed.problems,
        **named,  # type: ignore[arg-type]  # each under the name of its field
    )


def _varieties(series: Series, typed: Coin, coin: Coin) -> tuple[tuple[VarietyId, Finding], ...]:
    """What was found before, as far as the coin now meant can have it, and what is typed."""
    mask = series.may_be(typed.description)
    found = {
        code: finding
        for code, finding in coin.varieties
        if (variety := series.variety(code)) and mask & series.variety_mask(variety)
    }
    return tuple(sorted({**found, **dict(typed.varieties)}.items()))


# ---- one reader a field -----------------------------------------------------------------------


def read_problems(text: str, is_whole: bool = True) -> CoinChange:
    """`cleaned, bent` are all the problems; `+bent` adds one, `-bent` takes one off.

    Where they are the `is_whole` truth, a coin not called “not genuine” is genuine.
    """
    typed = [part.strip() for part in re.split(r"[,;]", text) if part.strip()]
    typed = [part for part in typed if part.casefold() not in EMPTY]
    signed = [part for part in typed if part[0] in "+-−"]
    if signed and len(signed) < len(typed):
        raise BadEntry("Put + or - before every problem, or before none.")
    if signed:
        more = [_problem(p[1:]) for p in signed if p[0] == "+"]
        fewer = [_problem(p[1:]) for p in signed if p[0] != "+"]
        return CoinChange(more_problems=tuple(more), fewer_problems=tuple(fewer))
    named = [_problem(p) for p in typed if p.casefold() != NOT_GENUINE]
    is_genuine = NOT_GENUINE not in [part.casefold() for part in typed]
    return CoinChange(
        problems=tuple(dict.fromkeys(named)),
        is_genuine=is_genuine if is_whole or not is_genuine else KEEP,
    )


def _problem(text: str) -> Problem:
    word = " ".join(text.casefold().split())
    if word in PROBLEMS:
        return PROBLEMS[word]
    near = [str(p) for p in Problem if str(p).casefold().startswith(word)] if word else []
    if len(near) == 1:
        return Problem(near[0])
    some = near or [str(p) for p in list(Problem)[:8]]
    more = "" if near else ", and others as in the form"
    raise BadEntry(f"“{text.strip()}” is no problem known; one of: {', '.join(some)}{more}.")


def read_source(text: str) -> CoinChange:
    """`found, box 12`: how it came and from where; either may be missing."""
    typed = " ".join(text.split())
    if typed.casefold() in EMPTY:
        typed = ""
    first, _, rest = typed.partition(",")
    how = next((o for o in Origin if str(o) == first.strip().casefold()), None)
    if how is None:
        return CoinChange(origin=Origin.UNKNOWN, came_from=typed)
    return CoinChange(origin=how, came_from=rest.strip())


def read_paid(text: str, currency: str) -> CoinChange:
    """`12.50 USD`, or an amount in the currency given; nothing for not known."""
    typed = text.strip()
    if not typed or typed.casefold() in EMPTY:
        return CoinChange(paid_minor=None, currency="")
    letters = re.search(r"[^\W\d_]+", typed)
    if letters is not None:
        currency = letters.group().upper()
        typed = (typed[: letters.start()] + typed[letters.end() :]).strip()
    return CoinChange(paid_minor=read_money(typed, currency), currency=currency)


def read_quantity(text: str) -> CoinChange:
    """How many equal pieces, from one on."""
    typed = text.strip().replace(",", "").removesuffix("×").strip()
    if not (typed.isascii() and typed.isdigit()) or not 1 <= int(typed) <= MOST_PIECES:
        raise BadEntry(f"“{text.strip()}” is no number of pieces; write 1 to {MOST_PIECES:,}.")
    return CoinChange(quantity=int(typed))


def plain(text: str) -> str:
    """A text that may be typed as it is; none empties it."""
    return "" if text.strip().casefold() in EMPTY else text.strip()


def grade_or_none(text: str, before: Grade | None = None, issuer: str = "") -> Grade | None:
    """A grade; none, or nothing, for no grade yet."""
    return read_grade("" if text.strip().casefold() in EMPTY else text, before, issuer)


_READERS: Mapping[Column, Callable[[str], CoinChange]] = {
    Column.PROBLEMS: read_problems,
    Column.CAME_FROM: read_source,
    Column.ACQUIRED: lambda text: CoinChange(acquired=read_day(plain(text))),
    Column.PLACE: lambda text: CoinChange(place=plain(text)),
    Column.WEIGHT: lambda text: CoinChange(weight_mg=read_weight(plain(text))),
    Column.NOTE: lambda text: CoinChange(note=plain(text)),
    Column.QUANTITY: read_quantity,
}
