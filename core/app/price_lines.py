"""A price as it is typed, 1914-d f12 @ 210: of the coin told before the @, by what stands after."""

from collections.abc import Sequence
from datetime import date

from core.errors import BadEntry
from core.lookup.offer_terms import EXAMPLE, part_ungraded, read_terms, split_terms
from core.lookup.parse import parse_entry
from core.model.coin import Coin, Finding
from core.model.issue import Series, SeriesId
from core.model.prices import UNGRADED, Price, PriceId


def price_of_coin(
    coin: Coin, is_ungraded: bool, amount: tuple[int, str], day: date, source: str
) -> Price:
    """What a coin so described costs: minor units, their currency; raises BadEntry.

    It is of one grade, or of none where `is_ungraded` says so, sound and of one variety at most.
    """
    grade = coin.grade
    if grade is not None and is_ungraded:
        raise BadEntry(f"A coin is {grade.text} or has no grade; leave one of them out.")
    if grade is None and not is_ungraded:
        raise BadEntry(
            "A price is of one grade; write it after the coin, such as 1914-d f12 @ 210, or that "
            "it has none: 1914-d no grade @ 90."
        )
    if coin.problems or (grade is not None and grade.is_details):
        raise BadEntry("A price is of a sound coin; problem coins cost the share set in the rules.")
    confirmed = [v for v, finding in coin.varieties if finding is Finding.CONFIRMED]
    if len(confirmed) > 1:
        raise BadEntry("A price names one variety; leave the others out.")
    return Price(
        PriceId(0),
        coin.description,
        UNGRADED if grade is None else grade.low,
        *amount,
        day,
        " ".join(source.split()),
        confirmed[0] if confirmed else None,
        grade is not None and grade.is_proof,
    )


def read_price_line(
    text: str,
    series: Sequence[Series],
    prefer: SeriesId | None,
    currency: str,
    day: date,
    source: str,
) -> Price:
    """The price of one line, in a currency it names or in `currency`; raises BadEntry."""
    parted = split_terms(text)
    if parted is None:
        raise BadEntry(f"The line names no price; write it after an @, such as {EXAMPLE}.")
    bare, is_ungraded = part_ungraded(parted[0])
    coin = parse_entry(bare, series, prefer).coin
    terms = read_terms(parted[1], currency)
    return price_of_coin(coin, is_ungraded, (terms.minor, terms.currency), day, source)
