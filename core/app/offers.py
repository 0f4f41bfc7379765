"""What an offer is worth to the set, answered at once: gap / +8 points / over your list by 12 %."""

from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction
from typing import TYPE_CHECKING

from core.app.changes import Changes
from core.app.look_up import Answer, Looked, Scope, Verdict
from core.app.order import Context, Operation
from core.app.price_lines import price_of_coin
from core.app.price_orders import add_offer
from core.errors import BadEntry
from core.lookup.offer_terms import (
    EXAMPLE,
    OfferTerms,
    has_terms,
    part_ungraded,
    read_terms,
    split_terms,
)
from core.lookup.parse import Entry
from core.model.coin import Coin, CoinId, Finding
from core.model.issue import Series
from core.model.prices import Offer, OfferId, Price, require_offer
from core.planning.prices import NoPrice, PriceList, Told
from core.store.unit import Unit

if TYPE_CHECKING:
    from core.app.collection import Collection


_UNPRICED = {
    NoPrice.NO_GRADE: "not in your list without a grade",
    NoPrice.BEYOND: "beyond the grades of your list",
}


@dataclass(frozen=True, slots=True)
class OfferAnswer:
    """One reading of an offer, ready to be noted (`offer.id` 0).

    `parts` are what it is to the set and what its price is to the list. `gain` in grade points, 0
    where it is none or not known; `cost` in minor units of the base, None without a rate; `listed`
    is the list's price of the same coin. `over` is how much more than that is asked, in whole per
    cent (below 0: less), None without either. `is_ungraded`: the line says that the coin has
    no grade.
    """

    answer: Answer
    offer: Offer
    parts: tuple[str, ...]
    gain: int
    cost: int | None
    listed: Told | NoPrice
    over: int | None
    is_ungraded: bool = False

    @property
    def text(self) -> str:
        """+8 points / over your list by 12 %."""
        return " / ".join(self.parts)


@dataclass(frozen=True, slots=True)
class OfferLooked:
    """The answers to a line that holds an offer, one a reading, or its trouble."""

    looked: Looked
    readings: tuple[OfferAnswer, ...] = ()
    trouble: str = ""

    @property
    def meant(self) -> OfferAnswer | None:
        """The reading that is noted where nothing must be asked."""
        return self.readings[0] if len(self.readings) == 1 else None


def offer_answer(collection: "Collection", text: str, scope: Scope | None = None) -> OfferLooked:
    """What a line such as `1914-d f12 @ 210` says; never raises for what is typed."""
    parted = split_terms(text)
    if parted is None:
        trouble = f"The line names no price; write it after an @, such as {EXAMPLE}."
        return OfferLooked(Looked(), (), trouble)
    after = parted[1]
    coin_text, is_ungraded = part_ungraded(parted[0])
    looked = collection.look_up(f"{coin_text} ", scope)
    book = collection.price_book()
    if looked.trouble or not looked.readings:
        return OfferLooked(looked, (), looked.trouble or "Write the coin before the @.")
    try:
        terms = read_terms(after, book.rules.base)
        readings = tuple(
            _answered(
                collection,
                book.list,
                answer,
                _offer(answer.entry, terms, collection.today),
                is_ungraded,
            )
            for answer in looked.readings
        )
    except BadEntry as bad:
        return OfferLooked(looked, (), str(bad))
    return OfferLooked(looked, readings)


def look_up_with_offers(collection: "Collection", text: str, scope: Scope | None = None) -> Looked:
    """What the look-up line answers to a coin, or to an offer: a coin, an @ and its price."""
    if not has_terms(text):
        return collection.look_up(text, scope)
    found = offer_answer(collection, text, scope)
    if found.trouble:
        return replace(found.looked, readings=(), trouble=found.trouble)
    invented = collection.price_book().invented_text
    end = f" {invented}." if invented else ""
    told = tuple(
        replace(
            one.answer,
            second=f"{one.text[0].upper()}{one.text[1:]}.{end} {one.answer.second}".rstrip(),
        )
        for one in found.readings
    )
    return replace(found.looked, readings=told)


def note_offer(entry: Entry, after: str) -> Operation:
    """Keep an offer of a coin that a line told, by what stood after its @."""

    def work(unit: Unit, context: Context) -> Changes:
        terms = read_terms(after, unit.read.prices.rules().base)
        return add_offer(_offer(entry, terms, context.today)).work(unit, context)

    return Operation("note an offer", work)


def _offer(entry: Entry, terms: OfferTerms, today: date) -> Offer:
    coin = entry.coin
    confirmed = [v for v, finding in coin.varieties if finding is Finding.CONFIRMED]
    if len(confirmed) > 1:
        raise BadEntry("An offer names one variety; leave the others to its note.")
    if not coin.is_genuine:
        raise BadEntry("A coin that is not genuine is no offer.")
    offer = Offer(
        OfferId(0),
        coin.description,
        terms.minor,
        terms.currency,
        today,
        coin.grade,
        coin.problems,
        confirmed[0] if confirmed else None,
        terms.where,
        terms.until,
        max(terms.quantity, entry.quantity),
        coin.note,
    )
    require_offer(offer)
    return offer


def _answered(
    collection: "Collection", prices: PriceList, answer: Answer, offer: Offer, is_ungraded: bool
) -> OfferAnswer:
    if is_ungraded and offer.grade is not None:
        raise BadEntry(f"A coin is {offer.grade.text} or has no grade; leave one of them out.")
    series = collection.series(answer.entry.series)
    gain = _gain(collection, answer)
    cost = prices.in_base(offer.minor, offer.currency)
    listed = prices.price(series, offered(offer))
    over = _over(cost, listed)
    parts = (_use(answer, gain), _told(cost, offer, listed, over))
    return OfferAnswer(answer, offer, parts, gain, cost, listed, over, is_ungraded)


def offered(offer: Offer) -> Coin:
    """The coin of an offer as one looks at it."""
    varieties = () if offer.variety is None else ((offer.variety, Finding.CONFIRMED),)
    return Coin(CoinId(0), offer.description, offer.grade, offer.problems, varieties=varieties)


def _gain(collection: "Collection", answer: Answer) -> int:
    """Grade points above the coin of the slot that the answer names, or the spare that waits."""
    points = answer.entry.coin.points
    if answer.album is None or answer.slot is None or points is None:
        return 0
    held = answer.spare or collection.album_view(answer.album).by_id[answer.slot].coin
    if held is None or held.points is None:
        return 0
    return max(0, points - held.points)


def _use(answer: Answer, gain: int) -> str:
    match answer.verdict:
        case Verdict.FILLS:
            return "gap" if answer.is_sure else "may fill a gap"
        case Verdict.UPGRADE if gain:
            return f"+{gain} point{'s' * (gain != 1)}"
        case verdict:
            return str(verdict).casefold()


def _over(cost: int | None, listed: Told | NoPrice) -> int | None:
    if cost is None or isinstance(listed, NoPrice) or listed.minor == 0:
        return None
    return round(Fraction((cost - listed.minor) * 100, listed.minor))


def _told(cost: int | None, offer: Offer, listed: Told | NoPrice, over: int | None) -> str:
    if cost is None:
        return f"no rate of {offer.currency}"
    if isinstance(listed, NoPrice):
        return _UNPRICED.get(listed, "not in your list")
    marks = f" ({', '.join(listed.marks)})" if listed.marks else ""
    if over is None:
        return f"worth nothing by your list{marks}"
    if cost == listed.minor:
        return f"at your list's price{marks}"
    side = "over" if cost > listed.minor else "under"
    return f"{side} your list by {abs(over) or 'less than 1'} %{marks}"


def to_list_text(prices: PriceList, series: Series, offer: Offer) -> str:
    """What an offer is to the list: over your list by 12 %; not in your list."""
    cost = prices.in_base(offer.minor, offer.currency)
    listed = prices.price(series, offered(offer))
    return _told(cost, offer, listed, _over(cost, listed))


def as_price(answer: OfferAnswer, source: str = "") -> Price:
    """What was typed as an offer, as a price of the list; raises BadEntry where it cannot be."""
    offer = answer.offer
    amount = offer.minor, offer.currency
    return price_of_coin(offered(offer), answer.is_ungraded, amount, offer.seen, source)
