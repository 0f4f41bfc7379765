"""Campaigns, searches, boxes and rolls; finds and sightings; tallies, weighings, containers.

A campaign is what the searches of one goal belong to, a search one sitting, a box what the bank
hands over. A find is a coin of the collection and where it lay; a sighting was counted, not kept.
`require_…` refuses what cannot be, in words; nothing else here checks.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from typing import NewType

from core.errors import BadEntry
from core.model.album import AlbumId
from core.model.coin import CoinId
from core.model.issue import Description, SeriesId, VarietyId

CampaignId = NewType("CampaignId", int)
SearchId = NewType("SearchId", int)
BoxId = NewType("BoxId", int)

MOST_ROLLS = 100
"""Rolls a box may have; more is two boxes."""
MOST_PER_ROLL = 10_000
MOST_COUNTED = 100_000
FULL_EIGHTHS = 8


class BoxKind(StrEnum):
    """What lies in a box; new coins and what one returned oneself say nothing of the usual box."""

    CIRCULATED = "circulated"
    NEW = "new"
    MIXED = "mixed"
    OWN = "own, returned"

    @property
    def is_usual(self) -> bool:
        """Whether its counts belong to what is usual."""
        return self in (BoxKind.CIRCULATED, BoxKind.MIXED)


class Looked(StrEnum):
    """What was found of the variety that a sighting was looked at for."""

    NOTHING = ""
    NOT_IT = "looked"
    SUSPECTED = "suspected"


FOREIGN, DAMAGED, UNREADABLE = "foreign", "damaged", "unreadable"
COUNTERS = (FOREIGN, DAMAGED, UNREADABLE)
"""The counters there are without anybody making one."""


@dataclass(frozen=True, slots=True)
class Campaign:
    """The searches that belong to one goal album.

    The opening figures are what was done before this log began: they count in totals, never in
    spreads. `rolls_run_on`: rolls are numbered through all boxes instead of from 1 in each.
    """

    id: CampaignId
    name: str
    album: AlbumId | None = None
    note: str = ""
    opening_boxes: int = 0
    opening_coins: int = 0
    opening_have: int | None = None
    opening_wanted: int | None = None
    rolls_run_on: bool = False


@dataclass(frozen=True, slots=True)
class Search:
    """One sitting, or several with the same question; `series` is what is asked about, () all.

    `nothing_before`: dates before this year are not asked about.
    """

    id: SearchId
    campaign: CampaignId
    name: str
    begun: date
    series: tuple[SeriesId, ...] = ()
    nothing_before: int | None = None


@dataclass(frozen=True, slots=True)
class Box:
    """What the bank handed over: so many rolls of so many coins.

    `denomination` is the key of a `Packaging` (US 1c). Money in minor units of `currency`;
    `seconds` of work. `at_roll` is the roll in hand, `reached` the furthest one opened: rolls up to
    it are opened, those marked skipped aside.
    """

    id: BoxId
    search: SearchId
    number: int
    begun: date
    denomination: str
    rolls: int = 50
    per_roll: int = 50
    came_from: str = ""
    wrapper: str = ""
    kind: BoxKind = BoxKind.CIRCULATED
    face_minor: int | None = None
    fees_minor: int | None = None
    currency: str = ""
    goes_to: str = ""
    seconds: int = 0
    at_roll: int = 1
    reached: int = 1
    is_done: bool = False
    nothing_before: int | None = None
    note: str = ""

    @property
    def coins(self) -> int:
        """How many coins it should hold."""
        return self.rolls * self.per_roll


@dataclass(frozen=True, slots=True)
class Roll:
    """A roll that differs from the others of its box: short or long (`coins`), or skipped."""

    id: int
    box: BoxId
    number: int
    coins: int | None = None
    is_skipped: bool = False


@dataclass(frozen=True, slots=True)
class Find:
    """A coin kept, and where it lay. `place` is its order among all entries of the box, from 1.

    `answer` is the verdict as it was ("Fills a gap"); `is_ender`: it was seen at the roll's end.
    """

    id: int
    box: BoxId
    roll: int
    place: int
    coin: CoinId
    is_ender: bool = False
    answer: str = ""
    at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Sighting:
    """Coins looked at and counted, not kept: so described, or under a counter, or both."""

    id: int
    box: BoxId
    roll: int
    place: int
    description: Description | None = None
    counter: str = ""
    quantity: int = 1
    variety: VarietyId | None = None
    looked: Looked = Looked.NOTHING
    text: str = ""
    is_ender: bool = False
    at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Claim:
    """In this box every coin of a series dated so is logged (both years included, None: open)."""

    id: int
    box: BoxId
    series: SeriesId
    from_: int | None = None
    up_to: int | None = None
    text: str = ""


@dataclass(frozen=True, slots=True)
class TallyRule:
    """What a tally counts: finds and sightings of which every part that is given holds.

    `facets` as in a description: all that a coin may still be must lie in the values of each.
    `verdicts` are the answers finds were kept with. Without any part it counts all.
    """

    series: tuple[SeriesId, ...] = ()
    facets: tuple[tuple[str, tuple[str, ...]], ...] = ()
    from_year: int | None = None
    to_year: int | None = None
    varieties: tuple[VarietyId, ...] = ()
    counters: tuple[str, ...] = ()
    verdicts: tuple[str, ...] = ()

    @staticmethod
    def of(
        series: Iterable[SeriesId] = (),
        facets: Mapping[str, str | Iterable[str]] | None = None,
        from_year: int | None = None,
        to_year: int | None = None,
        varieties: Iterable[VarietyId] = (),
        counters: Iterable[str] = (),
        verdicts: Iterable[str] = (),
    ) -> "TallyRule":
        """A rule in its one canonical order."""
        wanted = Description.of(SeriesId(""), facets or {}).facets
        return TallyRule(
            tuple(sorted(set(series))),
            wanted,
            from_year,
            to_year,
            tuple(sorted(set(varieties))),
            tuple(sorted(set(counters))),
            tuple(sorted(set(verdicts))),
        )

    @staticmethod
    def of_description(description: Description) -> "TallyRule":
        """The rule that counts just what is so described."""
        return TallyRule.of([description.series], dict(description.facets))

    @property
    def text(self) -> str:
        """One line that `parse_rule` reads back: series=us-cent-lincoln; mint=S; years=..1939."""
        parts = [*_part(_SERIES, self.series)]
        for name, values in self.facets:
            parts += _part(_escape(name), values)
        if self.from_year is not None or self.to_year is not None:
            parts.append(f"{_YEARS}={_year(self.from_year)}..{_year(self.to_year)}")
        parts += _part(_VARIETY, self.varieties)
        parts += _part(_COUNTER, self.counters)
        parts += _part(_VERDICT, self.verdicts)
        return "; ".join(parts)


_SERIES, _YEARS, _VARIETY, _COUNTER, _VERDICT = "series", "years", "variety", "counter", "answer"
_OWN_WORDS = (_SERIES, _YEARS, _VARIETY, _COUNTER, _VERDICT)


def _part(name: str, values: Iterable[str]) -> list[str]:
    written = [_escape(value) for value in values]
    return [f"{name}={'|'.join(written)}"] if written else []


def _year(year: int | None) -> str:
    return "" if year is None else str(year)


_SIGNS = "%;|="


def _escape(value: str) -> str:
    for at, plain in enumerate(_SIGNS):
        value = value.replace(plain, f"%{at}")
    return value


def _unescape(value: str) -> str:
    for at, plain in reversed(list(enumerate(_SIGNS))):
        value = value.replace(f"%{at}", plain)
    return value


def parse_rule(text: str) -> TallyRule:
    """Read a rule as `TallyRule.text` writes it; raises BadEntry.

    Parts stand between semicolons, each a name, “=” and values between bars. Names are series,
    years (1909..1939, ..1939, 1943), variety, counter, answer, or a facet such as mint or design.
    """
    parts: dict[str, tuple[str, ...]] = {}
    for part in filter(None, (part.strip() for part in text.split(";"))):
        name, is_told, values = part.partition("=")
        name = _unescape(name.strip())
        read = tuple(_unescape(value.strip()) for value in values.split("|"))
        if not is_told or not name or (name in _OWN_WORDS and not all(read)):
            raise BadEntry(
                f"“{part}” is no part of a tally's rule; write a name and a value, such as mint=S "
                "or years=..1939."
            )
        if name in parts:
            raise BadEntry(f"The tally's rule names {name} twice; put its values into one part.")
        parts[name] = read
    first, last = _years_of("|".join(parts.pop(_YEARS, ())))
    return TallyRule.of(
        map(SeriesId, parts.pop(_SERIES, ())),
        varieties=map(VarietyId, parts.pop(_VARIETY, ())),
        counters=parts.pop(_COUNTER, ()),
        verdicts=parts.pop(_VERDICT, ()),
        facets=parts,
        from_year=first,
        to_year=last,
    )


def _years_of(text: str) -> tuple[int | None, int | None]:
    if not text:
        return None, None
    first, is_span, last = text.partition("..")
    try:
        years = [int(year) if year.strip() else None for year in (first, last)]
    except ValueError:
        years = [None, None]
    if years == [None, None]:
        raise BadEntry(f"“{text}” is no span of years; write 1909..1939, ..1939 or 1943.")
    begin, end = years if is_span else (years[0], years[0])
    if begin is not None and end is not None and begin > end:
        raise BadEntry(f"The years {text} end before they begin; write the earlier one first.")
    return begin, end


@dataclass(frozen=True, slots=True)
class Tally:
    """A named count, one of the set of its denomination, in the order of `place` (from 0)."""

    id: int
    denomination: str
    name: str
    rule: TallyRule
    place: int = 0


@dataclass(frozen=True, slots=True)
class Weighing:
    """A pile weighed: so many coins, so many milligrams, and what that made.

    `counted` is the composition that was counted, `result` how many of the coins are of it,
    `spread` ± as many (two deviations); None where the figures did not allow a result. `text` says
    it in words as it was shown.
    """

    id: int
    box: BoxId
    coins: int
    grams_mg: int
    of: SeriesId
    counted: str = ""
    result: int | None = None
    spread: int | None = None
    text: str = ""
    at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Container:
    """A jar or cup known by the coins it holds when full; its level in eighths, 8 to the brim.

    `denomination` is what it was counted with. `holds_spread`: ± as many coins when full.
    """

    id: int
    name: str
    holds: int
    eighths: int = 0
    denomination: str = ""
    holds_spread: int = 0
    note: str = ""


# What cannot be


def _require(is_so: bool, message: str) -> None:
    if not is_so:
        raise BadEntry(message)


def _require_year(year: int | None, what: str) -> None:
    _require(
        year is None or 1 <= year <= 9999,
        f"{what} is a year such as 1940; {year} is none.",
    )


def require_campaign(one: Campaign) -> None:
    """Refuse a campaign that cannot be; raises BadEntry."""
    _require(bool(one.name.strip()), "A campaign needs a name.")
    for figure, what in (
        (one.opening_boxes, "boxes"),
        (one.opening_coins, "coins"),
        (one.opening_have, "slots that were filled"),
        (one.opening_wanted, "slots that are wanted"),
    ):
        _require(
            figure is None or figure >= 0,
            f"The opening figure of {what} is {figure}; it cannot be below 0.",
        )
    have, wanted = one.opening_have, one.opening_wanted
    _require(
        have is None or wanted is None or have <= wanted,
        f"The opening figures say {have} of {wanted}; no more can be filled than are wanted.",
    )


def require_search(one: Search) -> None:
    """Refuse a search that cannot be; raises BadEntry."""
    _require(bool(one.name.strip()), "A search needs a name.")
    _require_year(one.nothing_before, "“Nothing before”")


def require_box(one: Box) -> None:
    """Refuse a box that cannot be; raises BadEntry."""
    _require(one.number >= 1, f"Boxes are numbered from 1; {one.number} is no number of a box.")
    _require(bool(one.denomination), "Say what the box holds, such as US 1c.")
    _require(
        1 <= one.rolls <= MOST_ROLLS,
        f"A box has 1 to {MOST_ROLLS} rolls, not {one.rolls}; log more rolls as another box.",
    )
    _require(
        1 <= one.per_roll <= MOST_PER_ROLL,
        f"A roll has 1 to {MOST_PER_ROLL:,} coins, not {one.per_roll:,}; count one of them.",
    )
    _require_at(one, one.at_roll)
    _require_at(one, one.reached)
    _require(one.at_roll <= one.reached, "The roll in hand cannot lie beyond those opened.")
    for minor, what in ((one.face_minor, "face value"), (one.fees_minor, "fees")):
        _require(minor is None or minor >= 0, f"The {what} of a box cannot be below 0.")
    _require(one.seconds >= 0, "The time spent on a box cannot be below 0.")
    _require_year(one.nothing_before, "“Nothing before”")


def _require_at(box: Box, roll: int) -> None:
    has = "1 roll" if box.rolls == 1 else f"{box.rolls} rolls"
    _require(
        1 <= roll <= box.rolls,
        f"Box {box.number} has {has}; there is no roll {roll}.",
    )


def require_roll(one: Roll, box: Box) -> None:
    """Refuse a roll that its box cannot have; raises BadEntry."""
    _require_at(box, one.number)
    _require(
        one.coins is None or 1 <= one.coins <= MOST_PER_ROLL,
        f"Roll {one.number} cannot have {one.coins} coins; skip it if it was not there, or give 1 "
        f"to {MOST_PER_ROLL:,}.",
    )


def require_sighting(one: Sighting) -> None:
    """Refuse a sighting that says nothing or counts what cannot be; raises BadEntry."""
    _require(
        one.description is not None or bool(one.counter.strip()),
        "A coin that is counted needs a date, or a counter such as +foreign.",
    )
    _require(
        1 <= one.quantity <= MOST_COUNTED,
        f"1 to {MOST_COUNTED:,} coins can be counted at once, not {one.quantity:,}.",
    )
    _require(
        (one.variety is not None) or one.looked is Looked.NOTHING,
        "Say which variety the coin was looked at for.",
    )


def require_claim(one: Claim) -> None:
    """Refuse a claim about no dates; raises BadEntry."""
    _require_year(one.from_, "The first year that is fully logged")
    _require_year(one.up_to, "The last year that is fully logged")
    _require(
        one.from_ is None or one.up_to is None or one.from_ <= one.up_to,
        f"The years {one.from_} to {one.up_to} end before they begin.",
    )


def require_tally(one: Tally) -> None:
    """Refuse a tally without a name or denomination; raises BadEntry."""
    _require(bool(one.name.strip()), "A tally needs a name.")
    _require(bool(one.denomination), "Say for which coins the tally is, such as US 1c.")


def require_weighing(one: Weighing) -> None:
    """Refuse a pile of nothing; raises BadEntry."""
    _require(1 <= one.coins <= 10_000_000, f"A pile of {one.coins} coins cannot be weighed.")
    _require(one.grams_mg > 0, "The pile's weight must be above 0 g.")


def require_container(one: Container) -> None:
    """Refuse a container that holds nothing or is over-full; raises BadEntry."""
    _require(bool(one.name.strip()), "A container needs a name, such as the blue jar.")
    _require(
        1 <= one.holds <= MOST_COUNTED,
        f"Say how many coins {one.name.strip()} holds when full, 1 to {MOST_COUNTED:,}; "
        f"{one.holds} cannot be.",
    )
    _require(
        0 <= one.eighths <= FULL_EIGHTHS,
        f"The level is told in eighths, 0 to {FULL_EIGHTHS}; {one.eighths} cannot be.",
    )
    _require(
        0 <= one.holds_spread < one.holds,
        f"What {one.name.strip()} holds cannot be uncertain by {one.holds_spread} coins.",
    )
