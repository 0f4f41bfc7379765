"""Rows of the search log to model objects and back, column by column."""

from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime
from typing import Any, NamedTuple

from sqlalchemy import Table

from core.errors import CollectionError
from core.model.album import AlbumId
from core.model.coin import CoinId
from core.model.issue import Description, SeriesId, VarietyId
from core.model.search import (
    Box,
    BoxId,
    BoxKind,
    Campaign,
    CampaignId,
    Claim,
    Container,
    Find,
    Looked,
    Roll,
    Search,
    SearchId,
    Sighting,
    Tally,
    Weighing,
    parse_rule,
)
from core.store.mapping import read_day, unreadable
from core.store.tables import (
    box,
    campaign,
    claim,
    container,
    find,
    roll,
    search,
    sighting,
    tally,
    weighing,
)

Values = Sequence[Any]


def _day(text: str) -> date:
    return read_day(text)


def _time(text: str | None) -> datetime | None:
    return datetime.fromisoformat(text) if text else None


def _time_text(at: datetime | None) -> str | None:
    return at.isoformat() if at else None


def _codes(text: str) -> tuple[SeriesId, ...]:
    return tuple(SeriesId(code) for code in text.split(";")) if text else ()


def _campaign(row: Values) -> Campaign:
    number, name, album, note, boxes, coins, have, wanted, run_on = row
    goal = None if album is None else AlbumId(album)
    return Campaign(CampaignId(number), name, goal, note, boxes, coins, have, wanted, bool(run_on))


def _campaign_values(one: Campaign) -> Values:
    return (
        one.name, one.album, one.note, one.opening_boxes, one.opening_coins, one.opening_have,
        one.opening_wanted, one.rolls_run_on,
    )  # fmt: skip


def _search(row: Values) -> Search:
    number, of, name, begun, series, nothing_before = row
    return Search(
        SearchId(number), CampaignId(of), name, _day(begun), _codes(series), nothing_before
    )


def _search_values(one: Search) -> Values:
    return one.campaign, one.name, one.begun, ";".join(one.series), one.nothing_before


def _box(row: Values) -> Box:
    (
        number, of, shown, begun, denomination, rolls, per_roll, came_from, wrapper, kind, face,
        fees, currency, goes_to, seconds, at_roll, reached, is_done, nothing_before, note,
    ) = row  # fmt: skip
    return Box(
        BoxId(number), SearchId(of), shown, _day(begun), denomination, rolls, per_roll, came_from,
        wrapper, BoxKind(kind), face, fees, currency, goes_to, seconds, at_roll, reached,
        bool(is_done), nothing_before, note,
    )  # fmt: skip


def _box_values(one: Box) -> Values:
    return (
        one.search, one.number, one.begun, one.denomination, one.rolls, one.per_roll,
        one.came_from, one.wrapper, one.kind.value, one.face_minor, one.fees_minor, one.currency,
        one.goes_to, one.seconds, one.at_roll, one.reached, one.is_done, one.nothing_before,
        one.note,
    )  # fmt: skip


def _roll(row: Values) -> Roll:
    number, of, shown, coins, is_skipped = row
    return Roll(number, BoxId(of), shown, coins, bool(is_skipped))


def _roll_values(one: Roll) -> Values:
    return one.box, one.number, one.coins, one.is_skipped


def _find(row: Values) -> Find:
    number, of, at_roll, place, coin, is_ender, answer, at = row
    return Find(number, BoxId(of), at_roll, place, CoinId(coin), bool(is_ender), answer, _time(at))


def _find_values(one: Find) -> Values:
    at = _time_text(one.at)
    return one.box, one.roll, one.place, one.coin, one.is_ender, one.answer, at


def sighting_of(row: Values, described: Mapping[int, Description]) -> Sighting:
    """A sighting from the columns of its table."""
    (
        number, of, at_roll, place, description, counter, quantity, variety, looked, text,
        is_ender, at,
    ) = row  # fmt: skip
    try:
        return Sighting(
            number, BoxId(of), at_roll, place,
            None if description is None else described[description],
            counter, quantity, None if variety is None else VarietyId(variety), Looked(looked),
            text, bool(is_ender), _time(at),
        )  # fmt: skip
    except (ValueError, TypeError, KeyError) as error:
        raise unreadable(f"A sighting (number {number})", error) from error


def sighting_values(one: Sighting, description_id: int | None) -> Values:
    """The values of all its columns but the id."""
    return (
        one.box, one.roll, one.place, description_id, one.counter, one.quantity, one.variety,
        one.looked.value, one.text, one.is_ender, _time_text(one.at),
    )  # fmt: skip


def _claim(row: Values) -> Claim:
    number, of, series, first, last, text = row
    return Claim(number, BoxId(of), SeriesId(series), first, last, text)


def _claim_values(one: Claim) -> Values:
    return one.box, one.series, one.from_, one.up_to, one.text


def _tally(row: Values) -> Tally:
    number, denomination, name, rule, place = row
    return Tally(number, denomination, name, parse_rule(rule), place)


def _tally_values(one: Tally) -> Values:
    return one.denomination, one.name, one.rule.text, one.place


def _weighing(row: Values) -> Weighing:
    number, of, coins, grams_mg, series, counted, result, spread, text, at = row
    return Weighing(
        number, BoxId(of), coins, grams_mg, SeriesId(series), counted, result, spread, text,
        _time(at),
    )  # fmt: skip


def _weighing_values(one: Weighing) -> Values:
    at = _time_text(one.at)
    return (
        one.box, one.coins, one.grams_mg, one.of, one.counted, one.result, one.spread, one.text, at,
    )  # fmt: skip


def _container(row: Values) -> Container:
    return Container(*row)


def _container_values(one: Container) -> Values:
    return one.name, one.holds, one.eighths, one.denomination, one.holds_spread, one.note


class Kept(NamedTuple):
    """How one kind of thing is kept: its table, what it is called, row to object and back."""

    table: Table
    called: str
    read: Callable[[Values], Any]
    values: Callable[[Any], Values]

    def of(self, row: Values) -> Any:
        """The object of a row; raises FileTrouble for one this program did not write like that."""
        try:
            return self.read(row)
        except (ValueError, TypeError, CollectionError) as error:
            raise unreadable(f"A {self.called} (number {row[0]})", error) from error


KEPT: Mapping[type, Kept] = {
    Campaign: Kept(campaign, "campaign", _campaign, _campaign_values),
    Search: Kept(search, "search", _search, _search_values),
    Box: Kept(box, "box", _box, _box_values),
    Roll: Kept(roll, "roll", _roll, _roll_values),
    Find: Kept(find, "find", _find, _find_values),
    Claim: Kept(claim, "claim", _claim, _claim_values),
    Tally: Kept(tally, "tally", _tally, _tally_values),
    Weighing: Kept(weighing, "weighing", _weighing, _weighing_values),
    Container: Kept(container, "container", _container, _container_values),
}
"""Every kind but sightings, whose descriptions are kept by their key."""

SIGHTING_NAMES = tuple(c.name for c in sighting.c if c.name != "id")
