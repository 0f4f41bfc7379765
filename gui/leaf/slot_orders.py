"""What card, keys and menu order for slots; each is one operation, so one step of undo.

The operations are imported where they are used: they bring the store, which must not delay the
window's first paint. By the time a slot can be ordered about, the collection has loaded them.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date

from core.app.changes import Changes
from core.app.views import LookCloser, SlotCard, SlotView
from core.errors import BadEntry, CollectionError
from core.model.album import Slot, SlotId, Wish, parse_target
from core.model.coin import Coin, CoinId, Finding, Origin
from core.model.issue import Series
from gui.desk import Desk

Then = Callable[[Changes], None]
Failed = Callable[[Exception], None]


@dataclass(frozen=True, slots=True)
class OrderForm:
    """What is typed for a coin under way: its grade, from where, and the price with its cents."""

    grade: str
    came_from: str
    price: str


class SlotOrders:
    """Orders for one slot or several."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def set_target(
        self,
        slots: Sequence[SlotId],
        text: str,
        then: Then | None = None,
        failed: Failed | None = None,
    ) -> None:
        """Set the target as typed; `none` takes it away."""
        from core.app.operations import set_target

        try:
            target = parse_target(text)
        except CollectionError as error:
            (failed or self._desk.show_failure)(error)
            return
        self._desk.run(set_target(slots, target), then, failed=failed)

    def set_wish(self, slots: Sequence[SlotId], wish: Wish) -> None:
        """Wanted, optional or skipped."""
        from core.app.operations import set_wish

        self._desk.run(set_wish(slots, wish))

    def toggle_wish(self, views: Sequence[SlotView], wish: Wish) -> None:
        """All of them to that wish; back to wanted where all have it already."""
        if views:
            has_all = all(v.slot.wish is wish for v in views)
            self.set_wish([v.slot.id for v in views], Wish.WANTED if has_all else wish)

    def toggle_pin(self, views: Sequence[SlotView]) -> None:
        """Pin all; unpin where all are pinned already."""
        if views:
            has_all = all(v.slot.is_pinned for v in views)
            self.set_pinned([v.slot.id for v in views], not has_all)

    def set_pinned(self, slots: Sequence[SlotId], is_pinned: bool) -> None:
        """Pin or unpin all of them."""
        from core.app.operations import set_pinned

        self._desk.run(set_pinned(slots, is_pinned))

    def toggle_verify(self, views: Sequence[SlotView]) -> None:
        """Flag the coins in these slots; take the flag off where all have it already."""
        from core.app.operations import set_flagged

        coins = [v.coin for v in views if v.coin is not None]
        if not coins:
            self._desk.failed.emit("There is no coin in the slot to mark; put one in first.")
            return
        has_all = all(coin.is_flagged for coin in coins)
        self._desk.run(set_flagged([coin.id for coin in coins], not has_all))

    def take_out(self, slots: Sequence[SlotId]) -> None:
        """The coins come out and become spares."""
        from core.app.operations import clear_slots

        self._desk.run(clear_slots(slots))

    def put_spare(self, coin: CoinId, slot: SlotId) -> None:
        """A spare goes in; what was there becomes a spare."""
        from core.app.operations import place_coin

        self._desk.run(place_coin(coin, slot))

    def enter(
        self,
        text: str,
        card: SlotCard,
        then: Then | None = None,
        failed: Failed | None = None,
    ) -> None:
        """Enter a coin and put it in; a line without a date means the slot's own issue."""
        from core.app.operations import add_and_place

        try:
            coin = read_coin(text, card.series, card.view.slot)
        except CollectionError as error:
            (failed or self._desk.show_failure)(error)
            return
        self._desk.run(add_and_place(coin, card.view.slot.id), then, failed=failed)

    def order(
        self,
        form: OrderForm,
        card: SlotCard,
        then: Then | None = None,
        failed: Failed | None = None,
    ) -> None:
        """A coin for the slot is under way."""
        from core.app.operations import order_coin

        try:
            coin = ordered_coin(form, card.series, card.view.slot)
        except CollectionError as error:
            (failed or self._desk.show_failure)(error)
            return
        self._desk.run(order_coin(coin, card.view.slot.id), then, failed=failed)

    def arrived(self, slot: SlotId) -> None:
        """The ordered coin is here."""
        from core.app.operations import coin_arrived

        self._desk.run(coin_arrived(slot))

    def cancel_order(self, slot: SlotId) -> None:
        """The ordered coin will not come."""
        from core.app.operations import cancel_order

        self._desk.run(cancel_order(slot))

    def correct_stay(
        self,
        placement: int,
        since: date,
        until: date | None,
        then: Then | None = None,
        failed: Failed | None = None,
    ) -> None:
        """From when until when a coin was in its slot; None: it still is."""
        from core.app.operations_past import correct_placement

        self._desk.run(correct_placement(placement, since, until), then, failed=failed)

    def set_code(self, look: LookCloser, code: str, then: Then, failed: Failed) -> None:
        """Keep an own code for a variety; an empty one takes away what it has."""
        from core.app.own_codes import remove_own_code, set_own_code

        if look.series is None or look.variety is None or code == look.code:
            then(Changes())
        elif code:
            self._desk.run(set_own_code(look.series, look.variety, code), then, failed=failed)
        else:
            self._desk.run(remove_own_code(look.series, look.variety), then, failed=failed)

    def write_notes(self, slots: Sequence[SlotId], note: str) -> None:
        """The same note for all of them."""
        from core.app.operations import set_notes

        self._desk.run(set_notes(slots, note))


def read_coin(text: str, series: Series, slot: Slot) -> Coin:
    """The coin that a line typed at a slot means. Raises BadEntry.

    An empty line or one that names no date is a coin of the slot's own issue; its variety, where
    the slot asks for one, is taken as confirmed then.
    """
    from core.lookup.parse import parse_entry

    words = text.strip()
    if not words:
        return _own_coin(slot)
    try:
        coin = parse_entry(words, [series], series.id).coin
    except BadEntry:
        own = _graded(words, series, slot)
        if own is None:
            raise
        return own
    if coin.description.only("date") is None and (own := _graded(words, series, slot)) is not None:
        return own
    return replace(coin, quantity=1)


def _own_coin(slot: Slot) -> Coin:
    found = ((slot.variety, Finding.CONFIRMED),) if slot.variety else ()
    return Coin(CoinId(0), slot.accepts, varieties=found)


def _graded(words: str, series: Series, slot: Slot) -> Coin | None:
    """The slot's own issue where the line is a grade and nothing else."""
    from core.model.grade_tables import read_grade_of

    try:
        return replace(_own_coin(slot), grade=read_grade_of(words, series.issuer))
    except CollectionError:
        return None


def ordered_coin(form: OrderForm, series: Series, slot: Slot) -> Coin:
    """A coin under way, of the slot's own issue unless the grade field says more."""
    coin = read_coin(form.grade, series, slot)
    price = read_price(form.price)
    return replace(
        coin,
        origin=Origin.BOUGHT,
        came_from=" ".join(form.came_from.split()),
        paid_minor=price,
        currency="" if price is None else series.currency,
    )


def read_price(text: str) -> int | None:
    """A price in minor units: `12.50` is 1250; "" is not known. Raises BadEntry."""
    words = text.strip().replace(",", ".").lstrip("$€£ ")
    if not words:
        return None
    whole, _, cents = words.partition(".")
    if (
        not whole.isascii()
        or not whole.isdigit()
        or len(cents) > 2
        or (cents and not cents.isdigit())
    ):
        raise BadEntry(f"“{text.strip()}” is no price; write it such as 12.50, or leave it empty.")
    return int(whole) * 100 + int(cents.ljust(2, "0") or 0)
