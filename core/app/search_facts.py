"""Boxes of the log as the plain figures that the reckoning asks for."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from core.model.coin import Coin, CoinId, Finding
from core.model.issue import Description, Series, SeriesId
from core.model.label import describe
from core.model.search import Box, Claim, Find, Looked, Roll, Search, Sighting
from core.search.facts import FILLS, SPARE, UPGRADES, BoxFacts, Seen

Known = tuple[int, str]
"""What a coin may still be, as a mask over the issues of its series, and how it is written."""


@dataclass(frozen=True, slots=True)
class BoxParts:
    """A box as it is kept; `coins` are those of its finds.

    `came` is what came of finds in the albums (`BoxSlots.came`); nothing while the box is open.
    """

    box: Box
    search: Search
    rolls: Sequence[Roll]
    finds: Sequence[Find]
    coins: Mapping[CoinId, Coin]
    sightings: Sequence[Sighting]
    claims: Sequence[Claim]
    came: Mapping[CoinId, Sequence[str]] = field(default_factory=dict)


def known_of(series_of: Callable[[SeriesId], Series], description: Description) -> Known:
    """What is known of a description."""
    series = series_of(description.series)
    return series.may_be(description), describe(series, description)


def box_facts(parts: BoxParts, known: Callable[[Description], Known]) -> BoxFacts:
    """The figures of one box."""
    box, search = parts.box, parts.search
    told = {roll.number: roll for roll in parts.rolls}
    skipped = {number for number, roll in told.items() if roll.is_skipped}
    searched = [number for number in range(1, box.rolls + 1) if number not in skipped]

    def coins_in(numbers: Iterable[int]) -> int:
        return sum(roll_coins(box, told.get(number)) for number in numbers)

    return BoxFacts(
        box.id,
        box.search,
        search.campaign,
        box.number,
        box.begun,
        box.denomination,
        box.kind,
        box.rolls,
        sum(number <= box.reached for number in searched),
        coins_in(number for number in searched if number <= box.reached),
        coins_in(number for number in searched if number > box.reached),
        len(skipped),
        box.is_done,
        box.came_from,
        box.wrapper,
        box.fees_minor,
        box.currency,
        box.seconds,
        box.at_roll,
        _finds(parts, known),
        tuple(_sighting(sighting, known) for sighting in parts.sightings),
        tuple(parts.claims),
    )


def roll_coins(box: Box, roll: Roll | None) -> int:
    """How many coins a roll has: as many as the others unless it is told."""
    return box.per_roll if roll is None or roll.coins is None else roll.coins


def _finds(parts: BoxParts, known: Callable[[Description], Known]) -> tuple[Seen, ...]:
    came = dict(parts.came)
    finds: list[Seen] = []
    for find in parts.finds:
        slots = came.pop(find.coin, ())  # of finds that lie in one lot, the first
        told = _came(find, slots) if parts.box.is_done else None
        finds.append(_find(find, parts.coins[find.coin], known, told))
    return tuple(finds)


def _came(find: Find, slots: Sequence[str]) -> tuple[str, ...]:
    """What came of a find: a spare where its answer spoke of a slot and no slot changed."""
    if slots:
        return tuple(slots)
    answer = SPARE if find.answer in (FILLS, UPGRADES) else find.answer
    return (answer,) if answer else ()


def _find(
    find: Find,
    coin: Coin,
    known: Callable[[Description], Known],
    came: tuple[str, ...] | None,
) -> Seen:
    mask, said = known(coin.description)
    return Seen(
        find.roll,
        find.place,
        coin.description.series,
        mask,
        coin.description,
        tuple(v for v, finding in coin.varieties if finding is Finding.CONFIRMED),
        find.answer,
        is_kept=True,
        is_ender=find.is_ender,
        said=said,
        came=came,
    )


def _sighting(one: Sighting, known: Callable[[Description], Known]) -> Seen:
    is_it = one.variety is not None and one.looked is Looked.NOTHING
    mask, said = (0, one.counter) if one.description is None else known(one.description)
    return Seen(
        one.roll,
        one.place,
        one.description.series if one.description else None,
        mask,
        one.description,
        (one.variety,) if is_it and one.variety is not None else (),
        "",
        one.counter,
        one.quantity,
        is_ender=one.is_ender,
        said=said,
    )
