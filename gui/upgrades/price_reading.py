"""What the page of prices shows, read on the worker. No Qt."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from core.app.offers import OfferAnswer, offered
from core.app.price_book import PriceBook, amount_text
from core.errors import BadEntry
from core.model.coin import Coin, CoinId, Finding
from core.model.grade import code_of
from core.model.issue import Description, VarietyId
from core.model.label import coin_name
from core.model.prices import Offer, Price, PriceId

if TYPE_CHECKING:
    from core.app.collection import Collection

PRICE_HEADS = ("Coin", "Grade", "Source", "Price", "Day", "")
OFFER_HEADS = ("Coin", "Grade", "Where", "Price", "Until", "")
RATE_HEADS = ("Currency", "One of it is", "Day")


@dataclass(frozen=True, slots=True)
class PriceSheet:
    """Prices and offers with the texts of their rows, in the same order."""

    book: PriceBook
    prices: tuple[Price, ...]
    price_rows: tuple[tuple[str, ...], ...]
    offers: tuple[Offer, ...]
    offer_rows: tuple[tuple[str, ...], ...]

    @property
    def told(self) -> str:
        """How many there are, and what has to be said of them."""
        book = self.book
        many, seen = len(book.prices), len(book.standing)
        said = [
            f"{many:,} price{'s' * (many != 1)}",
            f"{seen:,} offer{'s' * (seen != 1)} that stand{'s' * (seen == 1)}",
            book.invented_text,
            book.old_text,
            book.without_rate_text,
        ]
        return " · ".join(filter(None, said))


def read_prices_page(collection: "Collection", words: str = "") -> PriceSheet:
    """All prices and offers, the newest first; those alone that hold all words."""
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
    offers = [(o, _offer_row(book, o, name(o))) for o in noted]
    kept = [pair for pair in prices if has_all(pair[1])]
    seen = [pair for pair in offers if has_all(pair[1])]
    return PriceSheet(
        book,
        tuple(one for one, _ in kept),
        tuple(cells for _, cells in kept),
        tuple(one for one, _ in seen),
        tuple(cells for _, cells in seen),
    )


def named(collection: "Collection", one: Price | Offer) -> str:
    """What the coin of a price or an offer is called, without its grade."""
    series = collection.series(one.description.series)
    varieties = () if one.variety is None else ((one.variety, Finding.CONFIRMED),)
    return coin_name(series, Coin(CoinId(0), one.description, varieties=varieties))


def _price_row(book: PriceBook, one: Price, name: str) -> tuple[str, ...]:
    is_old = (book.today - one.day).days > book.rules.oldest_days
    has_rate = book.list.in_base(one.minor, one.currency) is not None
    mark = "no rate" if not has_rate else "old" if is_old else ""
    return (
        name, code_of(one.grade, one.is_proof), one.source or "—",
        amount_text(one.minor, one.currency), one.day.isoformat(), mark,
    )  # fmt: skip


def _offer_row(book: PriceBook, one: Offer, name: str) -> tuple[str, ...]:
    mark = "taken" if one.is_taken else "" if one.stands_on(book.today) else "over"
    if not mark and one.quantity > 1:
        mark = f"{one.quantity:,} of it"
    coin = offered(one)
    grade = coin.grade.text if coin.grade else "no grade"
    problems = " ".join(map(str, one.problems))
    return (
        name, f"{grade} {problems}".strip(), one.where or "—",
        amount_text(one.minor, one.currency),
        one.until.isoformat() if one.until else "open", mark,
    )  # fmt: skip


def as_price(answer: OfferAnswer, source: str) -> Price:
    """What was typed as an offer, as a price of the list; raises BadEntry where it cannot be."""
    offer = answer.offer
    if offer.grade is None:
        raise BadEntry(
            "A price is of one grade; write it after the coin, such as 1914-d f12 @ 210."
        )
    if not offer.is_sound:
        raise BadEntry("A price is of a sound coin; problem coins cost the share set in the rules.")
    return Price(
        PriceId(0), offer.description, offer.grade.low, offer.minor, offer.currency, offer.seen,
        " ".join(source.split()), offer.variety, offer.grade.is_proof,
    )  # fmt: skip
