"""The collector's prices as they are asked: the list reckoned, offers that stand, amounts told."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from core.app.price_sheet import PriceDraft, Usual, read_prices
from core.app.work import Progress
from core.model.issue import Series, SeriesId
from core.model.money import money_text
from core.model.prices import Offer, Price, PriceRules, Rate
from core.planning.prices import PriceList
from core.store.read import Reader

INVENTED = "invented"
"""So begins the source of prices that were made up, as the demo's are."""


@dataclass(frozen=True, slots=True)
class PriceBook:
    """Everything that is known of prices on a day; `list` reckons in the base currency."""

    prices: tuple[Price, ...]
    offers: tuple[Offer, ...]
    rates: tuple[Rate, ...]
    rules: PriceRules
    today: date
    list: PriceList

    @property
    def standing(self) -> tuple[Offer, ...]:
        """The offers that can still be taken."""
        return tuple(offer for offer in self.offers if offer.stands_on(self.today))

    @property
    def old_text(self) -> str:
        """3 prices are older than 730 days; "" for none."""
        many = self.list.old_count
        if not many:
            return ""
        is_many = "s are" if many > 1 else " is"
        return f"{many:,} price{is_many} older than {self.rules.oldest_days} days"

    @property
    def without_rate_text(self) -> str:
        """2 prices are left out: no rate of EUR; "" for none."""
        left = self.list.without_rate
        if not left:
            return ""
        codes = ", ".join(sorted({one.currency for one in left}))
        return (
            f"{len(left):,} price{'s are' if len(left) > 1 else ' is'} left out: no rate of {codes}"
        )

    @property
    def run_out(self) -> tuple[Offer, ...]:
        """Offers whose day is past, though nobody took them; no plan reckons with one."""
        return tuple(o for o in self.offers if not o.is_taken and not o.stands_on(self.today))

    @property
    def run_out_text(self) -> str:
        """2 offers ran out and are not planned with; "" for none."""
        many = len(self.run_out)
        if not many:
            return ""
        return f"{many:,} offer{'s' * (many > 1)} ran out and {'are' if many > 1 else 'is'} " + (
            "not planned with"
        )

    @property
    def invented_text(self) -> str:
        """What every screen and page says of the demo's prices; "" where none is invented."""
        many = sum(one.source.casefold().startswith(INVENTED) for one in self.prices)
        if not many:
            return ""
        return f"{'The' if many == len(self.prices) else 'Some of the'} prices are invented"

    def told(self, minor: int) -> str:
        """An amount of the base currency, 210.00 USD."""
        return amount_text(minor, self.rules.base)


def amount_text(minor: int, currency: str) -> str:
    """An amount with its currency, 210.00 EUR."""
    return f"{money_text(minor, currency)} {currency}"


def price_book(reader: Reader, today: date) -> PriceBook:
    """All that a file holds of prices."""
    read = reader.prices
    prices, rates, rules = read.prices(), read.rates(), read.rules()
    offers = tuple(read.offers())
    listed = PriceList(prices, today, rates, rules)
    return PriceBook(tuple(prices), offers, tuple(rates), rules, today, listed)


def read_price_sheet(
    text: str,
    series: Sequence[Series],
    book: PriceBook,
    source: str = "",
    only: SeriesId | None = None,
    progress: Progress | None = None,
    in_use: Sequence[SeriesId] = (),
) -> PriceDraft:
    """Read a price sheet; empty cells mean the base currency, today, this source, this series.

    A word such as cent means one of the series `in_use` before any other.
    """
    usual = Usual(book.rules.base, book.today, source, only, tuple(in_use))
    draft = read_prices(text, series, usual, progress)
    bare = Counter(
        one.currency for one in draft.prices if book.list.in_base(one.minor, one.currency) is None
    )
    notes = [
        f"{many:,} {'are' if many > 1 else 'is'} in {code}, of which there is no rate; without one "
        "it is left out of all that is reckoned."
        for code, many in sorted(bare.items())
    ]
    return replace(draft, notes=(*draft.notes, *notes))
