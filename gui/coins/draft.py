"""What a form knows of a coin, as texts, and the coin that they make. No Qt here."""

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal, InvalidOperation
from typing import TypeVar

from core.app.exchange_cells import weight_text
from core.errors import BadEntry
from core.model.coin import Coin, Finding, Origin, Problem
from core.model.grade import Grade
from core.model.grade_tables import read_grade_of
from core.model.issue import Description, Facet, Series, VarietyId
from core.model.label import choice_text
from core.model.money import minor_digits, money_text

T = TypeVar("T")
FIXED_ORDER = ("mint", "design", "composition", "strike", "release")


@dataclass(frozen=True, slots=True)
class FieldFault:
    """What is wrong with one field, by its name."""

    field: str
    text: str


@dataclass(frozen=True, slots=True)
class CoinDraft:
    """A coin as typed; `description`, `problems`, `varieties` and `origin` are chosen."""

    description: Description
    grade: str = ""
    problems: tuple[Problem, ...] = ()
    is_genuine: bool = True
    is_flagged: bool = False
    varieties: tuple[tuple[VarietyId, Finding], ...] = ()
    weight: str = ""
    quantity: int = 1
    origin: Origin = Origin.UNKNOWN
    came_from: str = ""
    acquired: str = ""
    place: str = ""
    paid: str = ""
    currency: str = ""
    note: str = ""


def draft_of(coin: Coin) -> CoinDraft:
    """A coin as a form shows it."""
    return CoinDraft(
        coin.description,
        coin.grade.text if coin.grade else "",
        coin.problems,
        coin.is_genuine,
        coin.is_flagged,
        coin.varieties,
        weight_text(coin.weight_mg) if coin.weight_mg is not None else "",
        coin.quantity,
        coin.origin,
        coin.came_from,
        coin.acquired.isoformat() if coin.acquired else "",
        coin.place,
        money_text(coin.paid_minor, coin.currency) if coin.paid_minor is not None else "",
        coin.currency,
        coin.note,
    )


def read_draft(draft: CoinDraft, coin: Coin, series: Series) -> tuple[Coin, list[FieldFault]]:
    """The coin with all that can be read of a draft, and what cannot."""
    faults: list[FieldFault] = []
    try:
        series.require(draft.description)
    except BadEntry as fault:
        faults.append(FieldFault("description", str(fault)))
    grade = _tried(
        faults, "grade", coin.grade, lambda: read_grade(draft.grade, coin.grade, series.issuer)
    )
    weight = _tried(faults, "weight", coin.weight_mg, lambda: read_weight(draft.weight))
    day = _tried(faults, "acquired", coin.acquired, lambda: read_day(draft.acquired))
    currency = draft.currency.strip().upper()
    paid = _tried(faults, "paid", coin.paid_minor, lambda: read_money(draft.paid, currency))
    read = replace(
        coin,
        description=draft.description,
        grade=grade,
        problems=draft.problems,
        is_genuine=draft.is_genuine,
        is_flagged=draft.is_flagged,
        varieties=draft.varieties,
        weight_mg=weight,
        quantity=draft.quantity,
        origin=draft.origin,
        came_from=draft.came_from.strip(),
        acquired=day,
        place=draft.place.strip(),
        paid_minor=paid,
        currency=currency if paid is not None else "",
        note=draft.note.strip(),
    )
    return read, faults


def _tried(faults: list[FieldFault], name: str, before: T, read: Callable[[], T]) -> T:
    try:
        return read()
    except BadEntry as fault:
        faults.append(FieldFault(name, str(fault)))
        return before


def read_grade(text: str, before: Grade | None, issuer: str = "") -> Grade | None:
    """A grade as collectors write it for a coin of this issuer; words of its table stay as typed.

    Raises BadGrade, a BadEntry.
    """
    typed = " ".join(text.split())
    if not typed or typed.casefold() in ("none", "-"):
        return None
    if before is not None and typed == before.text:
        return before
    return read_grade_of(typed, issuer)


def read_weight(text: str) -> int | None:
    """Grams to milligrams: 3.11, 3,11 g."""
    typed = text.strip().removesuffix("g").strip().replace(",", ".")
    if not typed:
        return None
    try:
        grams = Decimal(typed)
    except InvalidOperation:
        raise BadEntry(f"“{text.strip()}” is no weight; write grams, such as 3.11.") from None
    if not 0 < grams <= 5000:
        raise BadEntry("A weight lies between 0 and 5,000 grams.")
    return int((grams * 1000).to_integral_value())


def read_day(text: str) -> date | None:
    """A day as 2026-03-02 or 2.3.2026."""
    typed = text.strip()
    if not typed:
        return None
    if met := re.fullmatch(r"(\d{4})-(\d{1,2})-(\d{1,2})", typed):
        parts = met.groups()
    elif met := re.fullmatch(r"(\d{1,2})\.\s?(\d{1,2})\.\s?(\d{4})", typed):
        parts = met.groups()[::-1]
    else:
        raise BadEntry(f"“{typed}” is no day; write year, month and day, such as 2026-03-02.")
    try:
        return date(*map(int, parts))
    except ValueError:
        raise BadEntry(f"There is no day {typed}.") from None


def read_money(text: str, currency: str) -> int | None:
    """An amount to minor units of its currency: 12.50 USD is 1250."""
    typed = text.strip().replace(",", ".") if text.count(",") < 2 else text.strip()
    if not typed:
        return None
    if not currency:
        raise BadEntry("Name the currency too, such as USD.")
    if not re.fullmatch(r"[A-Z]{3,8}", currency):
        raise BadEntry(f"“{currency}” is no currency; write its letters, such as USD.")
    digits = minor_digits(currency)
    try:
        amount = Decimal(typed)
    except InvalidOperation:
        raise BadEntry(f"“{text.strip()}” is no amount; write it as 12.50.") from None
    minor = amount.scaleb(digits)
    if minor != minor.to_integral_value() or not 0 <= minor < 10**12:
        raise BadEntry(f"“{text.strip()}” is no amount in {currency}; it has {digits} decimals.")
    return int(minor)


# ---- facets -----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class FacetChoice:
    """One facet to choose values of: its name, and each value in words, open or chosen."""

    name: str
    values: tuple[tuple[str, str], ...]
    chosen: tuple[str, ...]


def facet_choices(series: Series, description: Description) -> list[FacetChoice]:
    """The facets in which the coin could still differ, given all else that is known of it.

    A facet with one possible value follows from the others and is left out; a value that was
    chosen always stands, even where it contradicts the rest.
    """
    names = [*FIXED_ORDER, *((Facet.MARK.value,) if description.values(Facet.MARK) else ())]
    names += dict.fromkeys(name for issue in series.issues for name, _ in issue.choices)
    out = []
    for name in names:
        chosen = description.values(name)
        loose = series.may_be(description.with_facet(name, ()))
        possible = [issue.value(name) for issue in series.issues_of(loose)]
        values = dict.fromkeys([*(v for v in possible if v is not None), *chosen])
        is_odd = bool(chosen) and not set(chosen) & set(possible)
        if len(values) < 2 and not is_odd:
            continue
        told = tuple((v, value_text(series, name, v)) for v in _in_order(series, name, values))
        out.append(FacetChoice(name, told, chosen))
    return out


def _in_order(series: Series, name: str, values: Iterable[str]) -> list[str]:
    ranks: dict[str, int] = {}
    match name:
        case "mint":
            ranks = {mint.id: at for at, mint in enumerate(series.mints)}
        case "design":
            ranks = {design.id: at for at, design in enumerate(series.designs)}
        case "composition":
            ranks = {metal.id: at for at, metal in enumerate(series.compositions)}
    return sorted(values, key=lambda v: ranks.get(v, len(ranks)))


def value_text(series: Series, name: str, value: str) -> str:
    """A facet's value in words."""
    match name:
        case "mint":
            return f"{value}  {series.mint(value).name}"
        case "design":
            return series.design(value).title
        case "composition":
            return series.composition(value).title
        case "mark":
            return f"letter {value}" if value else "no letter"
        case "strike":
            return "circulation strike" if value == "circulation" else value
        case "release":
            return "released to banks" if value == "banks" else "for collectors only"
    return choice_text(name, value)


def toggled(description: Description, name: str, value: str, is_more: bool) -> Description:
    """The description with a value chosen for a facet, or forgotten where it was the one chosen.

    `is_more` puts it beside those chosen, or takes it from among them: it may be either.
    """
    before = set(description.values(name))
    if is_more:
        return description.with_facet(name, before ^ {value})
    return description.with_facet(name, set() if before == {value} else {value})


def with_dates(series: Series, description: Description, text: str) -> Description:
    """The description with the dates typed; raises BadEntry for one the series does not have."""
    typed = [part.strip() for part in re.split(r",| or |/", text) if part.strip()]
    if typed in ([], ["?"]):
        return description.with_facet(Facet.DATE.value, ())
    known = {_key(date): date for date, _ in series.dates}
    years: dict[str, str] = {}
    for struck, year in series.dates:
        years.setdefault(str(year), struck)
    found = []
    for part in typed:
        date_there = known.get(_key(part)) or years.get(part)
        if date_there is None:
            first, last = series.dates[0][0], series.dates[-1][0]
            raise BadEntry(f"“{part}” is no date of {series.title}, which run {first}–{last}.")
        found.append(date_there)
    return description.with_facet(Facet.DATE.value, found)


def _key(date: str) -> str:
    """A date as it is compared: dashes alike, whatever the case."""
    return date.casefold().replace("–", "-")


def dates_text(description: Description) -> str:
    """The open dates, "" where not known."""
    return ", ".join(description.values(Facet.DATE.value))
