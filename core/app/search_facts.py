"""Boxes of the log as the plain figures that the reckoning asks for."""

from collections.abc import Callable, Iterable, Mapping, Sequence

from core.model.coin import Coin, CoinId, Finding
from core.model.issue import Series, SeriesId
from core.model.label import describe
from core.model.search import Box, Claim, Find, Looked, Roll, Search, Sighting
from core.search.facts import BoxFacts, Seen

SeriesOf = Callable[[SeriesId], Series]


def box_facts(
    box: Box,
    search: Search,
    rolls: Iterable[Roll],
    finds: Sequence[Find],
    coins: Mapping[CoinId, Coin],
    sightings: Sequence[Sighting],
    claims: Sequence[Claim],
    series_of: SeriesOf,
) -> BoxFacts:
    """One box; `coins` are those of its finds."""
    told = {roll.number: roll for roll in rolls}
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
        tuple(seen_of_find(find, coins[find.coin], series_of) for find in finds),
        tuple(seen_of_sighting(sighting, series_of) for sighting in sightings),
        tuple(claims),
    )


def roll_coins(box: Box, roll: Roll | None) -> int:
    """How many coins a roll has: as many as the others unless it is told."""
    return box.per_roll if roll is None or roll.coins is None else roll.coins


def seen_of_find(find: Find, coin: Coin, series_of: SeriesOf) -> Seen:
    """A coin kept."""
    series = series_of(coin.description.series)
    return Seen(
        find.roll,
        find.place,
        series.id,
        series.may_be(coin.description),
        coin.description,
        tuple(v for v, finding in coin.varieties if finding is Finding.CONFIRMED),
        find.answer,
        is_kept=True,
        is_ender=find.is_ender,
        said=describe(series, coin.description),
    )


def seen_of_sighting(one: Sighting, series_of: SeriesOf) -> Seen:
    """Coins counted."""
    known = one.variety is not None and one.looked is Looked.NOTHING
    varieties = (one.variety,) if known and one.variety is not None else ()
    if one.description is None:
        return Seen(
            one.roll,
            one.place,
            counter=one.counter,
            quantity=one.quantity,
            is_ender=one.is_ender,
            said=one.counter,
        )
    series = series_of(one.description.series)
    return Seen(
        one.roll,
        one.place,
        series.id,
        series.may_be(one.description),
        one.description,
        varieties,
        "",
        one.counter,
        one.quantity,
        is_ender=one.is_ender,
        said=describe(series, one.description),
    )
