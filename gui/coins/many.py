"""Editing many coins at once: what they share, and the one change that is typed. No Qt here."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, fields, replace
from enum import StrEnum

from core.app.operations_coins import KEEP, CoinChange
from core.app.views import CoinRow
from core.errors import BadEntry
from core.model.coin import Origin
from gui.coins.cells import grade_or_none, plain, read_paid, read_problems
from gui.coins.draft import FieldFault, read_day, read_weight
from gui.coins.rows import Column, text_of

VARIOUS = "various"


class Field(StrEnum):
    """What may be typed for many coins; the value heads it."""

    GRADE = "Grade"
    PROBLEMS = "Problems"
    CAME_FROM = "Came from"
    ACQUIRED = "Acquired"
    PLACE = "Lies in"
    PAID = "Paid, each"
    WEIGHT = "Weight, grams, each"
    NOTE = "Note"


_COLUMN_OF = {
    Field.GRADE: Column.GRADE,
    Field.PROBLEMS: Column.PROBLEMS,
    Field.ACQUIRED: Column.ACQUIRED,
    Field.PLACE: Column.PLACE,
    Field.PAID: Column.PAID,
    Field.WEIGHT: Column.WEIGHT,
    Field.NOTE: Column.NOTE,
}


@dataclass(frozen=True, slots=True)
class Shared:
    """What coins have in common; None where they differ. `currency`, `issuer` "" then."""

    count: int
    texts: Mapping[Field, str | None]
    origin: Origin | None
    is_flagged: bool | None
    is_genuine: bool | None
    currency: str = ""
    issuer: str = ""


@dataclass(frozen=True, slots=True)
class ManyDraft:
    """What is typed for many coins; "" and None leave each coin's own."""

    texts: Mapping[Field, str] = field(default_factory=dict)
    origin: Origin | None = None
    is_flagged: bool | None = None
    is_genuine: bool | None = None


def shared(
    rows: Sequence[CoinRow],
    usual_currency: Callable[[CoinRow], str],
    issuer_of: Callable[[CoinRow], str] = lambda _row: "",
) -> Shared:
    """What these rows have in common; `usual_currency` for coins of which no price is known."""

    def one(of: Callable[[CoinRow], object]) -> object | None:
        first = of(rows[0])
        return first if all(of(row) == first for row in rows) else None

    texts: dict[Field, str | None] = {}
    for each in Field:
        column = _COLUMN_OF.get(each)
        value = one((lambda r: r.coin.came_from) if column is None else _text_in(column))
        texts[each] = value if isinstance(value, str) else None
    origin, flagged = one(lambda r: r.coin.origin), one(lambda r: r.coin.is_flagged)
    genuine = one(lambda r: r.coin.is_genuine)
    currency = one(lambda r: r.coin.currency or usual_currency(r))
    issuer = one(issuer_of)
    return Shared(
        len(rows),
        texts,
        origin if isinstance(origin, Origin) else None,
        flagged if isinstance(flagged, bool) else None,
        genuine if isinstance(genuine, bool) else None,
        currency if isinstance(currency, str) else "",
        issuer if isinstance(issuer, str) else "",
    )


def _text_in(column: Column) -> Callable[[CoinRow], str]:
    return lambda row: text_of(row, column)


def hint_of(common: Shared, which: Field) -> str:
    """What stands greyed in an empty field: the value of all, or that they differ."""
    text = common.texts[which]
    if text is None:
        return VARIOUS
    return f"{text} (all)" if text else "not known" if which is not Field.NOTE else "no note"


def read_many(
    draft: ManyDraft, currency: str, issuer: str = ""
) -> tuple[CoinChange, list[FieldFault]]:
    """The one change that is typed, and what cannot be read.

    `currency` is that of a bare amount, `issuer` whose grade words need no table named.
    """
    readers: Mapping[Field, Callable[[str], CoinChange]] = {
        Field.GRADE: lambda text: CoinChange(grade=grade_or_none(text, issuer=issuer)),
        Field.PROBLEMS: lambda text: read_problems(text, is_whole=False),
        Field.CAME_FROM: lambda text: CoinChange(came_from=plain(text)),
        Field.ACQUIRED: lambda text: CoinChange(acquired=read_day(plain(text))),
        Field.PLACE: lambda text: CoinChange(place=plain(text)),
        Field.PAID: lambda text: read_paid(text, currency),
        Field.WEIGHT: lambda text: CoinChange(weight_mg=read_weight(plain(text))),
        Field.NOTE: lambda text: CoinChange(note=plain(text)),
    }
    change, faults = CoinChange(), []
    for which, text in draft.texts.items():
        if not text.strip():
            continue
        try:
            change = joined(change, readers[which](text))
        except BadEntry as fault:
            faults.append(FieldFault(which, str(fault)))
    if draft.origin is not None:
        change = replace(change, origin=draft.origin)
    if draft.is_flagged is not None:
        change = replace(change, is_flagged=draft.is_flagged)
    if draft.is_genuine is not None:
        change = replace(change, is_genuine=draft.is_genuine)
    return change, faults


def joined(one: CoinChange, other: CoinChange) -> CoinChange:
    """Both changes as one; where both name a fact the later holds."""
    named = {
        f.name: value
        for f in fields(other)
        if (value := getattr(other, f.name)) is not KEEP and value != ()
    }
    if other.problems == ():
        named["problems"] = ()
    return replace(one, **named)
