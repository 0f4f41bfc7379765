"""Everything that changes prices, offers, rates and their rules, for `Collection.run`."""

from collections.abc import Sequence
from dataclasses import replace

from core.app.changes import Changes
from core.app.operations import order_coin
from core.app.order import Context, Operation
from core.app.price_sheet import PriceDraft, require_ready
from core.errors import BadEntry, NotFound, Refused
from core.model.album import SlotId
from core.model.coin import Coin, CoinId, CoinStatus, Finding, Origin
from core.model.issue import SeriesId, VarietyId
from core.model.prices import (
    Offer,
    OfferId,
    Price,
    PriceId,
    PriceRules,
    Rate,
    read_rate,
    require_offer,
    require_price,
    require_rate,
    require_rules,
)
from core.store.unit import Unit


def _checked(unit: Unit, context: Context, described: Sequence[Price | Offer]) -> Changes:
    """Check what prices and offers are of; series that are new here are carried from now on."""
    is_new = False
    for one in {(one.description, one.variety) for one in described}:
        description, variety = one
        is_new |= context.series.texts(description.series) is None
        series = context.series.require(unit, description.series)
        series.require(description)
        if variety is not None:
            known = series.variety(variety)
            if known is None or not series.variety_mask(known) & series.may_be(description):
                raise BadEntry(
                    f"{series.title}: the variety “{variety}” is not known on this coin. Choose "
                    "one that is, or none."
                )
    return Changes(is_shelf=is_new, is_prices=True)


def set_prices(prices: Sequence[Price]) -> Operation:
    """Keep prices; one of the same coin, grade, source and day is replaced. All or none."""

    def work(unit: Unit, context: Context) -> Changes:
        for one in prices:
            require_price(one)
        done = _checked(unit, context, prices)
        made = unit.prices.set_prices(prices)
        return replace(done, made_prices=tuple(made)) if made else Changes(is_shelf=done.is_shelf)

    many = "a price" if len(prices) == 1 else f"{len(prices)} prices"
    return Operation(f"enter {many}", work)


def import_prices(draft: PriceDraft) -> Operation:
    """Take in the prices of a sheet, all or none; refused where the sheet has a fault."""
    prices = draft.prices

    def work(unit: Unit, context: Context) -> Changes:
        require_ready(draft)
        return set_prices(prices).work(unit, context)

    many = "a price" if len(prices) == 1 else f"{len(prices)} prices"
    return Operation(f"import {many}", work)


def edit_price(number: PriceId, new: Price) -> Operation:
    """Write a price anew, as if it had been entered so; raises NotFound."""

    def work(unit: Unit, context: Context) -> Changes:
        before = unit.read.prices.prices_by_id({number}).get(number)
        if before is None:
            raise NotFound(f"There is no price number {number} any more. Look again what is there.")
        if replace(new, id=number) == before:
            return Changes()
        if new.key != before.key:
            unit.prices.delete_prices([number])
        return set_prices([new]).work(unit, context)

    return Operation("edit a price", work)


def delete_prices(ids: Sequence[PriceId]) -> Operation:
    """Take prices out of the list."""

    def work(unit: Unit, _context: Context) -> Changes:
        if not ids:
            raise Refused("No price is chosen; there is nothing to delete.")
        unit.prices.delete_prices(list(dict.fromkeys(ids)))
        return Changes(is_prices=True)

    many = "a price" if len(ids) == 1 else f"{len(ids)} prices"
    return Operation(f"delete {many}", work)


# Rates and rules


def set_rate(currency: str, per: str) -> Operation:
    """One unit of a currency is worth so many of the base, as of today."""

    def work(unit: Unit, context: Context) -> Changes:
        base = unit.read.prices.rules().base
        one = Rate(currency.strip().upper(), base, read_rate(per), context.today)
        require_rate(one)
        if one in unit.read.prices.rates():
            return Changes()
        unit.prices.set_rate(one)
        return Changes(is_prices=True)

    return Operation(f"set the rate of {currency.strip().upper()}", work)


def delete_rate(currency: str, base: str = "") -> Operation:
    """Forget the rate of a currency in the base, or in one named; raises NotFound."""

    def work(unit: Unit, _context: Context) -> Changes:
        unit.prices.delete_rate(currency, base or unit.read.prices.rules().base)
        return Changes(is_prices=True)

    return Operation(f"delete the rate of {currency}", work)


def set_rules(rules: PriceRules) -> Operation:
    """Reckon by these rules from now on."""

    def work(unit: Unit, _context: Context) -> Changes:
        before = unit.read.prices.rules()
        new = replace(rules, inherits=tuple(sorted(set(rules.inherits))))
        require_rules(new)
        if new == before:
            return Changes()
        unit.prices.set_rules(new)
        return Changes(is_prices=True)

    return Operation("change the rules of prices", work)


def let_inherit(series: SeriesId, variety: VarietyId, yes: bool = True) -> Operation:
    """Let a variety without a price of its own cost what its issue does, or no longer."""

    def work(unit: Unit, context: Context) -> Changes:
        if context.series.get(series).variety(variety) is None:
            raise NotFound(f"There is no variety “{variety}” in this series.")
        rules = unit.read.prices.rules()
        if rules.inherits_all:
            raise Refused(
                "Every variety takes its issue's price; switch that off in the rules before you "
                "choose them one by one."
            )
        others = [one for one in rules.inherits if one != (series, variety)]
        new = [*others, (series, variety)] if yes else others
        return set_rules(replace(rules, inherits=tuple(new))).work(unit, context)

    return Operation("let a variety have its issue's price" if yes else "price a variety", work)


# Offers


def add_offer(offer: Offer) -> Operation:
    """Keep an offer that was seen."""

    def work(unit: Unit, context: Context) -> Changes:
        require_offer(offer)
        done = _checked(unit, context, [offer])
        return replace(done, made_prices=tuple(unit.prices.add_offers([offer])))

    return Operation("note an offer", work)


def edit_offer(offer: Offer) -> Operation:
    """Write all that is known of an offer, found by its id; raises NotFound."""

    def work(unit: Unit, context: Context) -> Changes:
        require_offer(offer)
        if unit.read.prices.offer(offer.id) == offer:
            return Changes()
        done = _checked(unit, context, [offer])
        unit.prices.update_offer(offer)
        return done

    return Operation("edit an offer", work)


def take_back_offers(ids: Sequence[OfferId]) -> Operation:
    """Forget offers that no longer stand."""

    def work(unit: Unit, _context: Context) -> Changes:
        if not ids:
            raise Refused("No offer is chosen; there is nothing to take back.")
        unit.prices.delete_offers(list(dict.fromkeys(ids)))
        return Changes(is_prices=True)

    many = "an offer" if len(ids) == 1 else f"{len(ids)} offers"
    return Operation(f"take back {many}", work)


def take_offer(number: OfferId, slot: SlotId) -> Operation:
    """Buy what is offered: a coin on order for a slot; the offer counts one less."""

    def work(unit: Unit, context: Context) -> Changes:
        offer = unit.read.prices.offer(number)
        if offer.is_taken:
            raise Refused("This offer was taken already; note it anew if there is another coin.")
        if not offer.stands_on(context.today):
            raise Refused(f"This offer ended on {offer.until}; correct the day if it still stands.")
        done = order_coin(coin_of_offer(offer), slot).work(unit, context)
        left = offer.quantity - 1
        unit.prices.update_offer(
            replace(offer, quantity=left) if left else replace(offer, is_taken=True)
        )
        return replace(done, is_prices=True)

    return Operation("take an offer", work, is_named=True)


def coin_of_offer(offer: Offer) -> Coin:
    """The coin that an offer is of, bought at its price, without a number."""
    varieties = () if offer.variety is None else ((offer.variety, Finding.CONFIRMED),)
    return Coin(
        CoinId(0),
        offer.description,
        offer.grade,
        offer.problems,
        varieties=varieties,
        status=CoinStatus.ON_ORDER,
        origin=Origin.BOUGHT,
        came_from=offer.where,
        paid_minor=offer.minor,
        currency=offer.currency,
        note=offer.note,
    )
