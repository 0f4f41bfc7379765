"""What the collector corrects of the past: from when until when a coin sat in its slot."""

from datetime import date

from core.app.changes import Changes
from core.app.order import Context, Operation, changes_of, require_held, require_holder
from core.errors import Refused
from core.model.album import Placement
from core.model.coin import Coin
from core.store.unit import Unit


def correct_placement(placement: int, since: date, until: date | None) -> Operation:
    """Set from when until when a coin sat in its slot; `until` None: it still does.

    On the day `until` it came out, so that another may have come in that very day. With a day
    for `until` a coin that sits there comes out and becomes a spare; with None one that came out
    goes back, as long as the slot is empty and the coin is here and in no slot. Refused where
    the stay would run backwards or into the future, or meet another of the same slot or coin.
    """

    def work(unit: Unit, context: Context) -> Changes:
        stay = unit.read.placement(placement)
        coin = unit.read.coin(stay.coin)
        slots = [stay.slot]
        if (stay.since, stay.until) != (since, until):
            _require_in_order(since, until, context.today)
            _require_alone(unit, stay, since, until)
            if until is None and stay.until is not None:
                _require_may_return(unit, stay, coin)
            unit.correct_placement(stay.id, since, until)
        return changes_of(unit, slots, [coin.id])

    return Operation("correct from when until when a coin sat in a slot", work, is_named=True)


def span_text(since: date, until: date | None) -> str:
    """From 2024-05-01 until 2024-06-02; or on."""
    return f"from {since.isoformat()} {'on' if until is None else f'until {until.isoformat()}'}"


def meets(stay: Placement, since: date, until: date | None) -> bool:
    """Whether a stay and a span of days overlap; on the day one ends the other may begin."""
    begins_before_end = until is None or stay.since < until
    ends_after_begin = stay.until is None or since < stay.until
    return begins_before_end and ends_after_begin


def _require_in_order(since: date, until: date | None, today: date) -> None:
    if until is not None and until < since:
        raise Refused(
            f"A coin cannot leave its slot before it came in ({span_text(since, until)}). "
            "Choose a later day for its leaving, or an earlier one for its coming."
        )
    late = max(since, until or since)
    if late > today:
        raise Refused(
            f"{late.isoformat()} is still to come; today is {today.isoformat()}. "
            "Choose today or a day before it."
        )


def _require_alone(unit: Unit, stay: Placement, since: date, until: date | None) -> None:
    label = unit.read.slot(stay.slot).label
    for other in unit.read.placements_of_slot(stay.slot):
        if other.id != stay.id and meets(other, since, until):
            whose = "the same coin" if other.coin == stay.coin else f"coin {other.coin}"
            raise Refused(
                f"Slot {label} held {whose} {span_text(other.since, other.until)}, and a slot "
                "holds one coin at a time. Choose days outside these, or correct that stay first."
            )
    for other in unit.read.placements_of_coin(stay.coin):
        if other.id != stay.id and meets(other, since, until):
            slot = unit.read.slot(other.slot)
            where = f"slot {slot.label} of {unit.read.album(slot.album).name}"
            raise Refused(
                f"Coin {stay.coin} sat in {where} {span_text(other.since, other.until)}, and a "
                "coin is in one slot at a time. Choose days outside these, or correct that stay "
                "first."
            )


def _require_may_return(unit: Unit, stay: Placement, coin: Coin) -> None:
    """Refuse to let a stay go on that ended, where the coin could not be put in now."""
    require_held(coin)
    require_holder(unit, unit.read.slot(stay.slot))
    if coin.is_lot:
        raise Refused(
            f"Number {coin.id} is a lot of {coin.quantity} coins now, which cannot sit in a slot. "
            "Leave the day on which it came out, or put one coin of the lot in."
        )
