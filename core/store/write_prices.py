"""What an operation may write of prices, offers, rates, rules, and the choices of a plan."""

from collections.abc import Collection, Sequence
from typing import Any

from sqlalchemy import Connection, Table, delete, insert, select, update

from core.errors import NotFound, Refused
from core.model.issue import SeriesId
from core.model.plan_choice import Listed, PlanChoice
from core.model.prices import Offer, OfferId, Price, PriceId, PriceRules, Rate
from core.store.mapping_prices import (
    OFFER_NAMES,
    PRICE_NAMES,
    offer_values,
    price_values,
    rules_values,
)
from core.store.plan_choices import Intern, delete_choice, delete_of_offers, write_choice
from core.store.read import chunks
from core.store.tables import description, offer, price, price_rules, rate, series, slot


class PriceWriter:
    """What an operation may do to prices, in the transaction of its `Unit`."""

    def __init__(self, conn: Connection, intern: Intern) -> None:
        self._conn = conn
        self._intern = intern

    def set_prices(self, many: Sequence[Price]) -> list[PriceId]:
        """Keep prices; one takes the place of another of the same `Price.key`, its id with it.

        Their own ids are ignored; returned are the ids of those that are new or now differ.
        """
        asked = {one.key: one for one in many}
        described = self._intern(one.description for one in asked.values())
        there = self._there({described[one.description] for one in asked.values()})
        fresh: list[dict[str, Any]] = []
        touched: list[PriceId] = []
        for one in asked.values():
            values = price_values(one, described[one.description])
            known = there.get(tuple(values[:-2]))
            if known is None:
                fresh.append(dict(zip(PRICE_NAMES, values, strict=True)))
            elif known[1:] != tuple(values[-2:]):
                changed = update(price).where(price.c.id == known[0])
                self._conn.execute(changed.values(minor=one.minor, currency=one.currency))
                touched.append(PriceId(known[0]))
        if fresh:
            made = insert(price).returning(price.c.id, sort_by_parameter_order=True)
            touched += [PriceId(number) for number in self._conn.execute(made, fresh).scalars()]
        return touched

    def _there(self, described: Collection[int]) -> dict[tuple[Any, ...], tuple[Any, ...]]:
        """The prices of these descriptions: key columns to id, minor and currency."""
        columns = [price.c[name] for name in PRICE_NAMES]
        found = {}
        for chunk in chunks(described):
            mine = select(price.c.id, *columns).where(price.c.description_id.in_(chunk))
            for number, *key, minor, currency in self._conn.execute(mine):
                found[tuple(key)] = (number, minor, currency)
        return found

    def delete_prices(self, ids: Collection[PriceId]) -> None:
        """Take prices out of the list; raises NotFound."""
        self._delete(price, ids)

    def add_offers(self, many: Sequence[Offer]) -> list[OfferId]:
        """Keep offers; their ids are ignored, the new ones returned in order."""
        return [
            OfferId(
                self._conn.execute(insert(offer).values(row).returning(offer.c.id)).scalar_one()
            )
            for row in map(self._offer_row, many)
        ]

    def update_offer(self, one: Offer) -> None:
        """Write all that is known of an offer, found by its id; raises NotFound.

        What was chosen of an offer ends once it is taken.
        """
        changed = update(offer).where(offer.c.id == one.id).values(self._offer_row(one))
        if self._conn.execute(changed).rowcount != 1:
            raise _not_there("offer", one.id)
        if one.is_taken:
            delete_of_offers(self._conn, [one.id])

    def _offer_row(self, one: Offer) -> dict[str, Any]:
        values = offer_values(one, self._intern([one.description])[one.description])
        return dict(zip(OFFER_NAMES, values, strict=True))

    def delete_offers(self, ids: Collection[OfferId]) -> None:
        """Take offers out of the collection, with what was chosen of them; raises NotFound."""
        delete_of_offers(self._conn, ids)
        self._delete(offer, ids)

    def set_rate(self, one: Rate) -> None:
        """Keep a rate, in the place of the one between the same currencies."""
        values = {"per": one.per, "day": one.day}
        both = (rate.c.currency == one.currency, rate.c.base == one.base)
        if self._conn.execute(update(rate).where(*both).values(values)).rowcount != 1:
            named = {"currency": one.currency, "base": one.base, **values}
            self._conn.execute(insert(rate).values(named))

    def delete_rate(self, currency: str, base: str) -> None:
        """Forget a rate; raises NotFound."""
        both = (rate.c.currency == currency, rate.c.base == base)
        if self._conn.execute(delete(rate).where(*both)).rowcount != 1:
            raise NotFound(f"There is no rate of {currency} in {base}.")

    def set_choice(self, one: PlanChoice) -> None:
        """Keep a choice of a plan, in place of what was said of this purchase in its slot.

        A slot shows one purchase. Raises NotFound where the slot or the offer is not there.
        """
        self._require(slot, [one.slot])
        if not isinstance(one.of, Listed):
            self._require(offer, [one.of])
        write_choice(self._conn, self._intern, one)

    def drop_choices(self, many: Collection[PlanChoice]) -> None:
        """Say these no longer; those that were not said stay so."""
        for one in many:
            delete_choice(self._conn, self._intern, one)

    def set_rules(self, one: PriceRules) -> None:
        """Keep the rules; those of a new collection are kept as none."""
        if one == PriceRules():
            self._conn.execute(delete(price_rules))
            return
        values = rules_values(one)
        if self._conn.execute(update(price_rules).values(values)).rowcount == 0:
            self._conn.execute(insert(price_rules).values(values))

    def require_unnamed(self, code: SeriesId) -> None:
        """Refuse where a price or an offer is of this series."""
        for table, what in ((price, "The price list has prices"), (offer, "There are offers")):
            mine = select(table.c.id).join_from(table, description).join(series)
            if self._conn.execute(mine.where(series.c.code == code)).first() is not None:
                raise Refused(f"{what} of this series. Delete them first.")

    def _require(self, table: Table, ids: Collection[int]) -> None:
        for chunk in chunks(ids):
            there = select(table.c.id).where(table.c.id.in_(chunk))
            left = set(chunk) - set(self._conn.execute(there).scalars())
            if left:
                raise _not_there(table.name, min(left))

    def _delete(self, table: Table, ids: Collection[int]) -> None:
        self._require(table, ids)
        for chunk in chunks(ids):
            self._conn.execute(delete(table).where(table.c.id.in_(chunk)))


def _not_there(what: str, number: int) -> NotFound:
    return NotFound(
        f"There is no {what} number {number} in this collection any more. Look again what is "
        "there, then repeat the change."
    )
