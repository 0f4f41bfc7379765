"""Rows to model objects and back.

Dates and flags are read as SQLite keeps them and turned here, each distinct value once: that is
what makes 100,000 rows quick.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from functools import lru_cache
from typing import Any

from sqlalchemy import Boolean, Column, Date, Integer, Text, type_coerce
from sqlalchemy.sql.elements import ColumnElement

from core.errors import BadEntry, BadGrade, CollectionError, FileTrouble
from core.model.album import (
    Album,
    AlbumId,
    AlbumKind,
    Placement,
    Slot,
    SlotId,
    Target,
    Wish,
    parse_target,
)
from core.model.arrangement import (
    NO_LEAD,
    Arrangement,
    SavedArrangement,
    ShowP,
    parse_arrangement,
    parse_lead,
)
from core.model.coin import Coin, CoinId, CoinStatus, Finding, Origin, Problem
from core.model.grade import Grade, parse_grade
from core.model.issue import Description, SeriesId, VarietyId
from core.store.tables import album, coin, description, placement, series, slot

_MANY = 1 << 16


def raw(column: Column[Any]) -> ColumnElement[Any]:
    """The column as the database holds it: a day as its text, a flag as 0 or 1."""
    if isinstance(column.type, Date):
        return type_coerce(column, Text)
    if isinstance(column.type, Boolean):
        return type_coerce(column, Integer)
    return column


# Parts, each read once


@lru_cache(_MANY)
def read_description(key: str) -> Description:
    """The description of a key, the same object each time."""
    return Description.from_key(key)


@lru_cache(_MANY)
def read_grade(text: str) -> Grade | None:
    """A grade as `write_grade` keeps it; "" for none.

    Words entered of another country follow the points after a tab, and after a further tab the
    table they are of.
    """
    if not text:
        return None
    plain, _, words = text.partition("\t")
    entered, _, table = words.partition("\t")
    grade = parse_grade(plain)
    return replace(grade, entered=entered, table=table) if entered else grade


@lru_cache(_MANY)
def write_grade(grade: Grade | None) -> str:
    """The text that `read_grade` turns into an equal grade; raises BadEntry if there is none."""
    if grade is None:
        return ""
    plain = replace(grade, entered="", table="").text
    words = (grade.entered, grade.table) if grade.table else (grade.entered,)
    text = "\t".join((plain, *words)) if grade.entered else plain
    try:
        same = read_grade(text) == grade
    except BadGrade as error:
        raise BadEntry(f"The grade “{grade.text}” cannot be kept: {error}") from error
    if not same:
        raise BadEntry(f"The grade “{grade.text}” cannot be kept; write it as one grade or range.")
    return text


@lru_cache(_MANY)
def read_target(text: str | None) -> Target | None:
    """A target as `Target.text` writes it, None for none."""
    return None if text is None else parse_target(text)


@lru_cache(_MANY)
def write_target(target: Target | None) -> str | None:
    """The text that `read_target` turns into an equal target; raises BadEntry if there is none."""
    if target is None:
        return None
    if read_target(target.text) != target:
        raise BadEntry(f"The target “{target.text}” cannot be kept; choose another.")
    return target.text


@lru_cache(_MANY)
def read_problems(text: str) -> tuple[Problem, ...]:
    """Problems joined by ";", none for an empty text."""
    return tuple(Problem(word) for word in text.split(";")) if text else ()


@lru_cache(_MANY)
def read_varieties(text: str) -> tuple[tuple[VarietyId, Finding], ...]:
    """Varieties joined by ";", each with what was found; none for an empty text."""
    pairs = (part.rpartition("=") for part in text.split(";")) if text else ()
    return tuple((VarietyId(variety), Finding(finding)) for variety, _, finding in pairs)


@lru_cache(_MANY)
def _write_varieties(varieties: tuple[tuple[VarietyId, Finding], ...]) -> str:
    for variety, _ in varieties:
        if not variety or ";" in variety:
            raise BadEntry(f"“{variety}” is no name of a variety. Choose one of the series.")
    return ";".join(f"{variety}={finding.value}" for variety, finding in sorted(varieties))


@lru_cache(_MANY)
def read_day(text: str) -> date:
    """A day as the database holds it."""
    return date.fromisoformat(text)


def _arrangement(text: str, show_p: str) -> Arrangement:
    return replace(parse_arrangement(text), show_p=ShowP(show_p))


_STATUS = {status.value: status for status in CoinStatus}
_ORIGIN = {origin.value: origin for origin in Origin}
_WISH = {wish.value: wish for wish in Wish}

# Whole rows. The second column of a coin, and the fifth of a slot, is what `description_of` takes:
# the description's key where the statement joins, else its id.

_COIN_REST = tuple(raw(c) for c in coin.c if c.name not in ("id", "description_id", "grade_low"))
COIN_BY_KEY = (coin.c.id, description.c.key, *_COIN_REST)
COIN_BY_ID = (coin.c.id, coin.c.description_id, *_COIN_REST)
SLOT_BY_KEY = (
    slot.c.id,
    slot.c.album_id,
    slot.c.position,
    slot.c.label,
    description.c.key,
    slot.c.variety,
    slot.c.wish,
    slot.c.target,
    raw(slot.c.is_pinned),
    slot.c.note,
    slot.c.lead,
    raw(slot.c.has_own_label),
)
ALBUM = (
    album.c.id,
    album.c.name,
    series.c.code,
    album.c.shelf,
    album.c.kind,
    album.c.arrangement,
    album.c.show_p,
    album.c.note,
    album.c.volumes,
)
PLACEMENT = tuple(raw(c) for c in placement.c)

Values = Sequence[Any]


def unreadable(what: str, error: Exception) -> FileTrouble:
    """What is said of a row that this program did not write like that."""
    return FileTrouble(
        f"{what} holds something this program cannot read ({error}). Run the check, or open the "
        "newest daily copy."
    )


def coin_of(row: Values, description_of: Callable[[Any], Description] = read_description) -> Coin:
    """A coin from COIN_BY_KEY, or from COIN_BY_ID and where descriptions are found by id."""
    (
        number, described, grade, problems, is_genuine, is_flagged, varieties, weight_mg,
        status, quantity, origin, came_from, acquired, place, paid_minor, currency, note,
    ) = row  # fmt: skip
    try:
        return Coin(
            number,
            description_of(described),
            read_grade(grade) if grade else None,
            read_problems(problems) if problems else (),
            bool(is_genuine),
            bool(is_flagged),
            read_varieties(varieties) if varieties else (),
            weight_mg,
            _STATUS[status],
            quantity,
            _ORIGIN[origin],
            came_from,
            read_day(acquired) if acquired else None,
            place,
            paid_minor,
            currency,
            note,
        )
    except (LookupError, ValueError, TypeError, CollectionError) as error:
        raise unreadable(f"Coin {number}", error) from error


def slot_of(row: Values) -> Slot:
    """A slot from SLOT_BY_KEY."""
    (
        number, in_album, position, label, accepts, variety, wish, target, is_pinned, note,
        lead, has_own_label,
    ) = row  # fmt: skip
    try:
        return Slot(
            number,
            in_album,
            position,
            label,
            read_description(accepts),
            variety,
            _WISH[wish],
            None if target is None else read_target(target),
            bool(is_pinned),
            note,
            parse_lead(lead) if lead else NO_LEAD,
            bool(has_own_label),
        )
    except (LookupError, ValueError, TypeError, CollectionError) as error:
        raise unreadable(f"Slot “{label}”", error) from error


def album_of(row: Values) -> Album:
    """An album from ALBUM."""
    number, name, code, shelf, kind, arrangement, show_p, note, volumes = row
    try:
        return Album(
            AlbumId(number),
            name,
            SeriesId(code),
            shelf,
            AlbumKind(kind),
            _arrangement(arrangement, show_p),
            note,
            volumes,
        )
    except (ValueError, TypeError, CollectionError) as error:
        raise unreadable(f"Album “{name}”", error) from error


def saved_arrangement_of(row: Values) -> SavedArrangement:
    """A kept arrangement from the columns of its table."""
    number, name, shape = row
    try:
        return SavedArrangement(number, name, parse_arrangement(shape))
    except (ValueError, TypeError, CollectionError) as error:
        raise unreadable(f"The arrangement “{name}”", error) from error


def placement_of(row: Values) -> Placement:
    """A placement from PLACEMENT."""
    number, slot_id, coin_id, since, until = row
    try:
        return Placement(
            number,
            SlotId(slot_id),
            CoinId(coin_id),
            read_day(since),
            read_day(until) if until else None,
        )
    except (ValueError, TypeError) as error:
        raise unreadable(f"The stay of coin {coin_id} in a slot", error) from error


# Model objects to values by column name

Written = dict[str, Any]


COIN_NAMES = tuple(c.name for c in coin.c if c.name != "id")


def coin_tuple(one: Coin, description_id: int) -> tuple[Any, ...]:
    """The values of COIN_NAMES."""
    grade = one.grade
    return (
        description_id,
        write_grade(grade) if grade else "",
        grade.low if grade else None,
        ";".join(one.problems) if one.problems else "",
        int(one.is_genuine),
        int(one.is_flagged),
        _write_varieties(one.varieties) if one.varieties else "",
        one.weight_mg,
        str(one.status),
        one.quantity,
        str(one.origin),
        one.came_from,
        one.acquired.isoformat() if one.acquired else None,
        one.place,
        one.paid_minor,
        one.currency,
        one.note,
    )


SLOT_NAMES = tuple(c.name for c in slot.c if c.name != "id")


def slot_tuple(one: Slot, accepts_id: int) -> tuple[Any, ...]:
    """The values of SLOT_NAMES."""
    return (
        one.album,
        one.position,
        one.label,
        accepts_id,
        one.variety,
        one.wish.value,
        write_target(one.target),
        one.target.least if one.target else None,
        int(one.is_pinned),
        one.note,
        one.lead.text,
        int(one.has_own_label),
    )


def album_values(one: Album, series_id: int) -> Written:
    """All columns of an album but its id."""
    arrangement = one.arrangement
    parse_arrangement(arrangement.text)  # refuses counts that could not be read back
    return {
        "series_id": series_id,
        "name": one.name,
        "shelf": one.shelf,
        "kind": one.kind.value,
        "arrangement": arrangement.text,
        "show_p": arrangement.show_p.value,
        "note": one.note,
        "volumes": one.volumes,
    }


def by_id(rows: Iterable[Values]) -> Mapping[int, Description]:
    """Descriptions by their id, from rows of id and key."""
    return {row[0]: read_description(row[1]) for row in rows}
