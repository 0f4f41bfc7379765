"""What if an album had a slot for each of its varieties: more wants, with their prices. Pure."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from core.app.upgrades import GRADES, UpgradeRow, Upgrades, seat_points
from core.model.album import AlbumId, Slot, SlotId
from core.model.coin import Coin, Finding
from core.model.grade import Grade
from core.model.issue import Series, SeriesId, Variety
from core.planning.prices import Curve
from core.planning.wants import Piece, PlanInput, Purchase, Seat, Want
from core.planning.what_if import with_more

FIRST_PURCHASE = 10**15
"""Purchases of these slots are numbered from here on, so that none is another's."""


@dataclass(frozen=True, slots=True)
class Varied:
    """The input with more slots, and how many there are; `not_priced` of them have no price."""

    given: PlanInput
    added: int
    not_priced: int


def with_varieties(
    found: Upgrades, given: PlanInput, series: Mapping[SeriesId, Series], coins: Iterable[Coin] = ()
) -> Varied:
    """A slot more for each variety that lies within a slot of an album and has none there.

    It asks for what the slot beside it asks for. `coins` are spares that may be of a variety; of
    the coins that `given` moves already, those with the variety confirmed fit as well.
    """
    wants: list[Want] = []
    purchases: list[Purchase] = []
    seats: dict[int, list[Seat]] = {}
    pieces = dict(found.coins) | {int(coin.id): coin for coin in coins}
    for row, variety in missing_varieties(found, series):
        one = series[row.slot.slot.accepts.series]
        slot = replace(row.slot.slot, id=SlotId(-1 - len(wants)), variety=variety.id)
        inside = one.may_be(slot.accepts) & one.variety_mask(variety)
        least = None if slot.target is None else (slot.target.least or 1)
        wants.append(Want(int(slot.id), int(row.album), least, None, row.slot.counts))
        for curve in _curves(found, one, variety, inside):
            purchases += _purchases(slot, curve, FIRST_PURCHASE + len(purchases))
        for number, coin in pieces.items():
            mask = one.may_be(coin.description) if coin.description.series == one.id else 0
            has_it = (variety.id, Finding.CONFIRMED) in coin.varieties
            if has_it and mask and not mask & ~inside and not coin.is_flagged:
                seats.setdefault(number, []).append(Seat(int(slot.id), seat_points(slot, coin)))
    there = {piece.coin for piece in given.pieces}
    moved = tuple(
        replace(piece, seats=(*piece.seats, *seats.get(piece.coin, ()))) for piece in given.pieces
    )
    more = [Piece(number, tuple(its)) for number, its in seats.items() if number not in there]
    priced = {seat.slot for purchase in purchases for seat in purchase.seats}
    varied = with_more(replace(given, pieces=moved), wants, purchases, more)
    return Varied(varied, len(wants), sum(want.slot not in priced for want in wants))


def missing_varieties(
    found: Upgrades, series: Mapping[SeriesId, Series]
) -> list[tuple[UpgradeRow, Variety]]:
    """Varieties that lie within a slot for any coin of their issue, the first such slot each.

    One whose own slot is skipped is not missing.
    """
    has = {(row.album, row.slot.slot.accepts.series, row.slot.slot.variety) for row in found.rows}
    has |= found.skipped
    missing: dict[tuple[AlbumId, SeriesId, str], tuple[UpgradeRow, Variety]] = {}
    for row in found.rows:
        slot = row.slot.slot
        if slot.variety is not None:
            continue
        one = series[slot.accepts.series]
        mask = one.may_be(slot.accepts)
        for variety in one.varieties:
            key = row.album, one.id, variety.id
            if key not in has and key not in missing and mask & one.variety_mask(variety):
                missing[key] = row, variety
    return list(missing.values())


def _curves(found: Upgrades, series: Series, variety: Variety, inside: int) -> list[Curve]:
    """The variety's own curves; its issue's where it has none and may take them."""
    own: dict[int, Curve] = {}
    plain: dict[int, Curve] = {}
    listed = found.book.list.of_series(series)
    for issue in series.issues_of(inside):
        for _, mask, curve in listed.get(issue.number, ()):
            if mask & ~inside == 0 and curve.points:  # not of ungraded coins alone
                if curve.variety == variety.id:
                    own[curve.id] = curve
                elif curve.variety is None:
                    plain[curve.id] = curve
    lets = found.book.rules.lets_inherit(series.id, variety.id)
    taken = [curve.for_variety() for curve in plain.values()] if lets else []
    return list(own.values()) or taken


def _purchases(slot: Slot, curve: Curve, first: int) -> list[Purchase]:
    target = slot.target
    least = None if target is None else (target.least or 1)
    grades = {*curve.points, *([least] if least else [])}
    made = []
    for points in sorted(grades):
        told = curve.at(points)
        if told is None:
            continue
        counts = points
        if target is not None and least is not None:
            is_met = target.is_met_by(Grade(points, points, curve.is_proof), has_problem=False)
            counts = max(points, least) if is_met else min(points, least - 1)
        seat = Seat(int(slot.id), counts)
        made.append(Purchase(first * GRADES + points, (seat,), told.minor))
    return made
