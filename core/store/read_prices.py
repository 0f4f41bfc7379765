"""Questions about prices, offers, rates and rules, and about what was chosen of plans."""

from collections.abc import Iterable, Iterator
from typing import Any

from sqlalchemy import Connection, Select, select

from core.errors import NotFound
from core.model.issue import SeriesId
from core.model.plan_choice import PlanChoice
from core.model.prices import Offer, OfferId, Price, PriceId, PriceRules, Rate
from core.store.mapping_prices import (
    OFFER,
    PRICE,
    RATE,
    RULES,
    offer_of,
    price_of,
    rate_of,
    rules_of,
)
from core.store.plan_choices import read_choices
from core.store.read import chunks
from core.store.tables import description, offer, price, rate, series

_PRICES = select(*PRICE).join_from(price, description)
_OFFERS = select(*OFFER).join_from(offer, description)


class PriceReader:
    """Answers from the transaction of its `Reader`."""

    def __init__(self, conn: Connection) -> None:
        self._conn = conn

    def _rows(self, statement: Select[*tuple[Any, ...]]) -> Any:
        return self._conn.execute(statement)

    def prices(self, code: SeriesId | None = None) -> list[Price]:
        """All prices as they were entered, or those of a series."""
        asked = _PRICES.order_by(price.c.id)
        if code is not None:
            asked = asked.join(series).where(series.c.code == code)
        return [price_of(row) for row in self._rows(asked)]

    def prices_by_id(self, ids: Iterable[PriceId]) -> dict[PriceId, Price]:
        """Those of the prices that are there."""
        found = {}
        for chunk in chunks(ids):
            for row in self._rows(_PRICES.where(price.c.id.in_(chunk))):
                found[PriceId(row[0])] = price_of(row)
        return found

    def offers(self) -> list[Offer]:
        """All offers as they were entered, those taken included."""
        return [offer_of(row) for row in self._rows(_OFFERS.order_by(offer.c.id))]

    def offer(self, number: OfferId) -> Offer:
        """One offer; raises NotFound."""
        for row in self._rows(_OFFERS.where(offer.c.id == number)):
            return offer_of(row)
        raise NotFound(
            f"There is no offer number {number} in this collection any more. Look again what is "
            "there."
        )

    def rates(self) -> list[Rate]:
        """All rates, by currency."""
        rows = self._rows(select(*RATE).order_by(rate.c.currency, rate.c.base))
        return [rate_of(row) for row in rows]

    def rules(self) -> PriceRules:
        """The rules, those of a new collection where none were set."""
        for row in self._rows(select(*RULES)):
            return rules_of(row)
        return PriceRules()

    def choices(self) -> list[PlanChoice]:
        """What was chosen of plans, as it was chosen."""
        return read_choices(self._conn)

    def texts(self) -> Iterator[tuple[str, str]]:
        """Every text that somebody typed, with where it stands in words."""
        for source in self._rows(select(price.c.source).distinct()).scalars():
            yield f"the source “{source}” of prices", source
        for one in self.offers():
            yield f"offer {one.id}", "\n".join(filter(None, (one.where, one.note)))
