"""What the page of prices shows, read on the worker. No Qt."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from core.app.offers import offered, to_list_text
from core.app.own_codes import variety_name
from core.app.price_book import PriceBook, amount_text
from core.model.coin import Coin, CoinId, Finding
from core.model.grade import Grade
from core.model.issue import Description, Series, SeriesId, VarietyId
from core.model.label import coin_name
from core.model.prices import Offer, Price

if TYPE_CHECKING:
    from core.app.collection import Collection
    from core.app.views import SlotView

PRICE_HEADS = ("Coin", "Grade", "Source", "Price", "Day", "")
OFFER_HEADS = ("Coin", "Grade", "Where", "To your list", "Price", "Until", "")
RATE_HEADS = ("Currency", "One of it is", "Day")
VARIETY_HEADS = ("Variety", "Without its own price", "Own prices")
TAKES, NOT_PRICED = "its issue's price", "not priced"
RUN_OUT, OLD, NO_RATE, TAKEN, REPLACED = "ran out", "old", "no rate", "taken", "replaced"


@dataclass(frozen=True, slots=True)
class PriceSheet:
    """Prices, offers and varieties with the texts of their rows, in the same order.

    `quiet_prices` are old, have a newer one or cannot be reckoned with; `quiet_offers` no longer
    stand. `told` is said above all of them.
    """

    book: PriceBook
    prices: tuple[Price, ...]
    price_rows: tuple[tuple[str, ...], ...]
    offers: tuple[Offer, ...]
    offer_rows: tuple[tuple[str, ...], ...]
    varieties: tuple[tuple[SeriesId, VarietyId], ...]
    variety_rows: tuple[tuple[str, ...], ...]
    quiet_prices: frozenset[int]
    quiet_offers: frozenset[int]
    told: str


def _told(book: PriceBook) -> str:
    """How many there are, and what has to be said of them."""
    many, seen = len(book.prices), len(book.standing)
    said = [
        f"{many:,} price{'s' * (many != 1)}",
        f"{seen:,} offer{'s' * (seen != 1)} that stand{'s' * (seen == 1)}",
        book.run_out_text,
        book.invented_text,
        book.old_text,
        book.without_rate_text,
    ]
    return " · ".join(filter(None, said))


def _marked(rows: Sequence[Sequence[str]], marks: Sequence[str]) -> frozenset[int]:
    return frozenset(at for at, cells in enumerate(rows) if cells[-1] in marks)


def read_prices_page(collection: "Collection", words: str = "") -> PriceSheet:
    """All prices and offers, the newest first, and the varieties; those that hold all words."""
    book = collection.price_book()
    sought = words.casefold().split()
    names: dict[tuple[Description, VarietyId | None], str] = {}

    def name(one: Price | Offer) -> str:
        key = one.description, one.variety
        if key not in names:
            title = collection.series(one.description.series).title
            names[key] = f"{named(collection, one)}, {title}"
        return names[key]

    def has_all(cells: Sequence[str]) -> bool:
        text = " ".join(cells).casefold()
        return all(word in text for word in sought)

    listed = sorted(book.prices, key=lambda p: (p.day, p.id), reverse=True)
    noted = sorted(book.offers, key=lambda o: (o.seen, o.id), reverse=True)
    prices = [(p, _price_row(book, p, name(p))) for p in listed]
    offers = [(o, _offer_row(collection, book, o, name(o))) for o in noted]
    kept = [pair for pair in prices if has_all(pair[1])]
    seen = [pair for pair in offers if has_all(pair[1])]
    varieties = [pair for pair in _varieties(collection, book) if has_all(pair[1])]
    price_rows = tuple(cells for _, cells in kept)
    offer_rows = tuple(cells for _, cells in seen)
    return PriceSheet(
        book,
        tuple(one for one, _ in kept),
        price_rows,
        tuple(one for one, _ in seen),
        offer_rows,
        tuple(one for one, _ in varieties),
        tuple(cells for _, cells in varieties),
        _marked(price_rows, (OLD, NO_RATE, REPLACED)),
        _marked(offer_rows, (RUN_OUT, TAKEN)),
        _told(book),
    )


def _varieties(
    collection: "Collection", book: PriceBook
) -> Sequence[tuple[tuple[SeriesId, VarietyId], tuple[str, ...]]]:
    """The varieties of the series in use, what they cost without a price, how many they have."""
    priced = Counter((one.series, one.variety) for one in book.prices if one.variety is not None)
    found = []
    for series in collection.series_in_use:
        for variety in series.varieties:
            key = series.id, variety.id
            takes = book.rules.lets_inherit(*key)
            name = f"{variety_name(series, variety.id)}, {series.title}"
            many = f"{priced[key]:,}" if priced[key] else "none"
            found.append((key, (name, TAKES if takes else NOT_PRICED, many)))
    return found


def named(collection: "Collection", one: Price | Offer) -> str:
    """What the coin of a price or an offer is called, without its grade."""
    series = collection.series(one.description.series)
    varieties = () if one.variety is None else ((one.variety, Finding.CONFIRMED),)
    return coin_name(series, Coin(CoinId(0), one.description, varieties=varieties))


def coin_to_price(shown: "SlotView", series: Mapping[SeriesId, Series]) -> tuple[Coin, str]:
    """The coin of a slot, or one that it asks for, as a price is told of it, and its name."""
    slot = shown.slot
    known = series[slot.accepts.series]
    if shown.coin is not None:
        kept = tuple(pair for pair in shown.coin.varieties if pair[1] is Finding.CONFIRMED)
        coin = replace(shown.coin, varieties=kept)
    else:
        least = slot.target.least if slot.target is not None else None
        varieties = () if slot.variety is None else ((slot.variety, Finding.CONFIRMED),)
        grade = None if least is None else Grade(least, least)
        coin = Coin(CoinId(0), slot.accepts, grade, varieties=varieties)
    return coin, f"{coin_name(known, coin)}, {known.title}"


def _price_row(book: PriceBook, one: Price, name: str) -> tuple[str, ...]:
    has_rate = book.list.in_base(one.minor, one.currency) is not None
    mark = NO_RATE if not has_rate else ""
    if has_rate and book.list.is_replaced(one):
        mark = REPLACED
    elif has_rate and book.list.is_old(one):
        mark = OLD
    return (
        name, one.grade_text, one.source or "—",
        amount_text(one.minor, one.currency), one.day.isoformat(), mark,
    )  # fmt: skip


def _offer_row(collection: "Collection", book: PriceBook, one: Offer, name: str) -> tuple[str, ...]:
    mark = TAKEN if one.is_taken else "" if one.stands_on(book.today) else RUN_OUT
    if not mark and one.quantity > 1:
        mark = f"{one.quantity:,} of it"
    coin = offered(one)
    grade = coin.grade.text if coin.grade else "no grade"
    told = to_list_text(book.list, collection.series(one.description.series), one)
    problems = " ".join(map(str, one.problems))
    return (
        name, f"{grade} {problems}".strip(), one.where or "—", told,
        amount_text(one.minor, one.currency),
        one.until.isoformat() if one.until else "open", mark,
    )  # fmt: skip
