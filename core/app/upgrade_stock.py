"""Gathers what a plan looks at: wants, purchases, coins in hand. Made by `plan_input` alone."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from core.app.price_orders import coin_of_offer
from core.app.upgrades import (
    COPIES,
    GRADES,
    Buyable,
    Choices,
    UpgradeRow,
    Upgrades,
    UpgradeStep,
    least_of,
    seat_points,
)
from core.app.views import AlbumView, SlotView
from core.app.work import Progress
from core.model.album import Slot, SlotId, Wish
from core.model.coin import Coin, CoinId, CoinStatus, Finding, Origin
from core.model.fit import Fit, fit, has_barred_problem
from core.model.grade import Grade, code_of
from core.model.issue import Series, SeriesId, VarietyId
from core.model.label import coin_name
from core.model.plan_choice import ChoiceKind, Chosen, PlanChoice
from core.model.prices import Offer
from core.model.state import SlotState
from core.planning.prices import Curve, NoPrice, PriceList, Told
from core.planning.wants import Mark, Piece, PlanInput, Purchase, Seat, Spot, Want, not_priced

if TYPE_CHECKING:
    from core.app.collection import Collection

Marks = Mapping[Chosen, ChoiceKind]
"""What was said of the purchases for one slot."""
_NO_MARKS: Marks = {}


@dataclass(slots=True)
class Hole:
    """A slot that coins may come into."""

    view: AlbumView
    shown: SlotView
    series: Series
    accepts: int
    held: int | None
    is_closed: bool  # nothing is planned for it
    seats: list[tuple[int, int, Buyable]] = field(default_factory=list)
    useful: list[tuple[int, int, Buyable]] | None = None  # without any choice; once asked
    row: UpgradeRow | None = None  # the newest, good for as long as its steps are the same

    @property
    def slot(self) -> Slot:
        """The slot itself."""
        return self.shown.slot

    def counted(self, points: int) -> int:
        """Points as far as the slot's target counts them."""
        return points if self.slot.target is None else min(points, least_of(self.slot))


class Stock:
    """Gathers wants, purchases and pieces."""

    def __init__(
        self,
        collection: "Collection",
        views: Sequence[AlbumView],
        marks: tuple[frozenset[int], frozenset[int]],
        key_share: int,
    ) -> None:
        self._collection = collection
        self._book = collection.price_book()
        self._prices: PriceList = self._book.list
        self._pinned, self._forbidden = marks
        self._buys: dict[int, Buyable] = {}
        self._names: dict[tuple[object, ...], str] = {}
        self._curves: dict[tuple[SeriesId, int, VarietyId | None], list[Curve]] = {}
        self._coins: dict[int, Coin] = {}
        self._pieces: list[Piece] = []
        self._spare_of: dict[SlotId, tuple[int, Coin]] = {}
        self._keys = _key_dates(views, key_share)
        self._holes = [
            self._hole(view, shown)
            for view in views
            for shown in view.slots
            if shown.slot.wish is not Wish.SKIPPED
        ]
        self._skipped = frozenset(
            (view.album.id, shown.slot.accepts.series, shown.slot.variety)
            for view in views
            for shown in view.slots
            if shown.slot.wish is Wish.SKIPPED and shown.slot.variety is not None
        )
        self._by_issue: dict[tuple[SeriesId, int], list[Hole]] = defaultdict(list)
        for hole in self._holes:
            for issue in hole.series.issues_of(hole.accepts):
                self._by_issue[hole.series.id, issue.number].append(hole)

    def _hole(self, view: AlbumView, shown: SlotView) -> Hole:
        slot, coin = shown.slot, shown.coin
        series = view.series_of(slot)
        held = None if coin is None else self._points(series, slot, coin)
        if shown.ordered is not None:
            held = max(held or 0, self._points(series, slot, shown.ordered))
        by_eye = (
            coin is not None
            and slot.target is None
            and coin.grade is None
            and not has_barred_problem(slot, coin)
        )
        is_closed = by_eye or (slot.is_pinned and coin is not None)
        return Hole(view, shown, series, series.may_be(slot.accepts), held, is_closed)

    @staticmethod
    def _points(series: Series, slot: Slot, coin: Coin) -> int:
        if coin.is_flagged or fit(series, slot, coin) is not Fit.FITS:
            return 0
        return seat_points(slot, coin)

    def read(self, watch: Progress) -> None:
        """Find what each slot may be given."""
        for done, hole in enumerate(self._holes):
            if done % 100 == 0:
                watch.report(0.1 + 0.6 * done / len(self._holes), "Looking up prices")
            if not hole.is_closed:
                self._listed(hole)
        for offer in self._book.standing:
            self._offered(offer)
        watch.report(0.8, "Looking through the coins")
        self._in_hand(watch)

    # Purchases

    def _listed(self, hole: Hole) -> None:
        """Every grade of the list that would better a slot, its target's own among them."""
        slot = hole.slot
        for curve in self._curves_for(hole):
            grades = set(curve.points)
            if slot.target is not None and slot.target.least is not None:
                grades.add(slot.target.least)
            for points in grades:
                told = curve.at(points)
                if told is None:
                    continue
                grade = Grade(points, points, curve.is_proof)
                counts = self._counts(slot, grade)
                if hole.held is None or counts > hole.held:
                    buy = self._buy(hole, curve, grade, told)
                    hole.seats.append((counts, told.minor, buy))

    @staticmethod
    def _counts(slot: Slot, grade: Grade) -> int:
        if slot.target is None:
            return grade.low
        least = least_of(slot)
        if slot.target.is_met_by(grade, has_problem=False):
            return max(grade.low, least)
        return min(grade.low, least - 1)

    def _asks(self, hole: Hole) -> int | None:
        """The least that a coin of the list costs which meets a slot's target."""
        least = 1 if hole.slot.target is None else least_of(hole.slot)
        known = [
            told.minor
            for curve in self._curves_for(hole)
            for points in {*curve.points, least}
            if (told := curve.at(points)) is not None
            and self._counts(hole.slot, Grade(points, points, curve.is_proof)) >= least
        ]
        return min(known, default=None)

    def _curves_for(self, hole: Hole) -> list[Curve]:
        """The curves whose coins surely fit a slot."""
        variety = hole.slot.variety
        key = hole.series.id, hole.accepts, variety
        if key not in self._curves:
            series, inside = hole.series, hole.accepts
            known = series.variety(variety) if variety else None
            if known is not None:
                inside &= series.variety_mask(known)
            found: dict[int, Curve] = {}
            plain: dict[int, Curve] = {}
            listed = self._prices.of_series(series)
            for issue in series.issues_of(inside):
                for _, mask, curve in listed.get(issue.number, ()):
                    if mask & ~inside == 0 and curve.points:  # not of ungraded coins alone
                        if curve.variety == variety:
                            found[curve.id] = curve
                        elif curve.variety is None:
                            plain[curve.id] = curve
            lets = variety and self._prices.rules.lets_inherit(series.id, variety)
            if not found and lets:
                found = {number: curve.for_variety() for number, curve in plain.items()}
            self._curves[key] = list(found.values())
        return self._curves[key]

    def _buy(self, hole: Hole, curve: Curve, grade: Grade, told: Told) -> Buyable:
        number = curve.id * GRADES + grade.low
        variety = hole.slot.variety
        if variety is not None and curve.variety is None:
            # The issue's price for a variety is another purchase than the issue's own.
            at = [v.id for v in hole.series.varieties].index(variety) + 1
            number += at * COPIES * GRADES
        known = self._buys.get(number)
        if known is None:
            varieties = () if variety is None else ((variety, Finding.CONFIRMED),)
            coin = Coin(
                CoinId(0),
                curve.description,
                grade,
                varieties=varieties,
                status=CoinStatus.ON_ORDER,
                origin=Origin.BOUGHT,
                paid_minor=told.minor,
                currency=self._book.rules.base,
            )
            name = f"{self._name(hole.series, coin)} {code_of(grade.low, grade.is_proof)}"
            known = self._buys[number] = Buyable(number, name, coin, told.minor, told)
        return known

    def _name(self, series: Series, coin: Coin) -> str:
        key = coin.description, coin.varieties
        if key not in self._names:
            self._names[key] = coin_name(series, coin)
        return self._names[key]

    def _offered(self, offer: Offer) -> None:
        series = self._collection.series(offer.description.series)
        coin = coin_of_offer(offer)
        cost = self._prices.in_base(offer.minor, offer.currency)
        listed = self._prices.price(series, coin)
        grade = f" {offer.grade.text}" if offer.grade else ""
        buy = Buyable(
            -offer.id,
            f"{self._name(series, coin)}{grade}",
            coin,
            cost,
            None if isinstance(listed, NoPrice) else listed,
            offer,
        )
        self._buys[buy.id] = buy
        for hole in self._places(series, coin):
            points = self._points(series, hole.slot, coin)
            if not hole.is_closed and (hole.held is None or points > hole.held):
                hole.seats.append((points, 0 if cost is None else cost, buy))

    def _useful(self, hole: Hole, marks: Marks) -> list[tuple[int, int, Buyable]]:
        """A slot's purchases by cost, without list prices that another beats.

        Offers, which are there but once, and what was chosen by hand always stay; a forbidden
        purchase beats nothing.
        """
        if not marks and hole.useful is not None:
            return hole.useful
        kept: list[tuple[int, int, Buyable]] = []
        best = -1
        by_cost = sorted(hole.seats, key=lambda seat: (seat[1], -hole.counted(seat[0]), seat[2].id))
        for points, cost, buy in by_cost:
            is_named = buy.id in self._pinned or buy.id in self._forbidden
            if buy.offer is not None or is_named or (marks and buy.of in marks):
                kept.append((points, cost, buy))
            elif hole.counted(points) > best:
                best = hole.counted(points)
                kept.append((points, cost, buy))
        if not marks:
            hole.useful = kept
        return kept

    # Coins in hand

    def _places(self, series: Series, coin: Coin) -> Iterable[Hole]:
        """The slots that a coin surely fits."""
        mask = series.may_be(coin.description)
        if not mask:
            return ()
        lowest = (mask & -mask).bit_length() - 1
        return [
            hole
            for hole in self._by_issue.get((series.id, lowest), ())
            if not mask & ~hole.accepts and fit(series, hole.slot, coin) is Fit.FITS
        ]

    def _in_hand(self, watch: Progress) -> None:
        """The coins of the slots, which go on where they are replaced, and the spares."""
        at_home = {hole.shown.coin.id for hole in self._holes if hole.shown.coin is not None}
        for done, hole in enumerate(self._holes):
            if done % 100 == 0:
                watch.check()
            coin = hole.shown.coin
            if coin is not None and not hole.slot.is_pinned:
                seats = self._seats_for(hole.series, coin, hole.slot.id)
                brings = self._prices.brings(hole.series, coin) or 0
                self._pieces.append(Piece(coin.id, seats, hole.slot.id, brings))
                self._coins[coin.id] = coin
        seen: dict[tuple[object, ...], int] = defaultdict(int)
        placed = self._collection.placed_coins()
        for series in {hole.series.id: hole.series for hole in self._holes}.values():
            watch.check()
            for coin in self._collection.held_coins(series.id):
                if coin.id not in placed and coin.id not in at_home and not coin.is_flagged:
                    self._spare(series, coin, seen)

    def _spare(self, series: Series, coin: Coin, seen: dict[tuple[object, ...], int]) -> None:
        """A spare as a piece for each of its quantity, as far as there are slots for its like."""
        alike = coin.description, coin.grade, coin.problems, coin.varieties, coin.is_genuine
        seats = self._seats_for(series, coin)
        for copy in range(coin.quantity):
            if seen[alike] >= len(seats):
                return
            seen[alike] += 1
            number = coin.id + copy * COPIES
            self._pieces.append(Piece(number, seats))
            self._coins[number] = coin
            for seat in seats:
                known = self._spare_of.get(SlotId(seat.slot))
                if known is None or seat.points > known[0]:
                    self._spare_of[SlotId(seat.slot)] = seat.points, coin

    def _seats_for(
        self, series: Series, coin: Coin, home: SlotId | None = None
    ) -> tuple[Seat, ...]:
        seats = []
        for hole in self._places(series, coin):
            if hole.slot.id == home or hole.is_closed or coin.is_flagged:
                continue
            points = seat_points(hole.slot, coin)
            if hole.held is None or points > hole.held:
                seats.append(Seat(hole.slot.id, points))
        return tuple(seats)

    # What comes of it

    def upgrades(self, choices: Sequence[PlanChoice] = ()) -> Upgrades:
        """All that was gathered, with what was chosen by hand."""
        marks: dict[SlotId, dict[Chosen, ChoiceKind]] = defaultdict(dict)
        for choice in choices:
            if choice.kind is not ChoiceKind.SHOWN:
                marks[choice.slot][choice.of] = choice.kind
        useful = [self._useful(hole, marks.get(hole.slot.id, _NO_MARKS)) for hole in self._holes]
        seats: dict[int, list[Seat]] = defaultdict(list)
        for hole, its in zip(self._holes, useful, strict=True):
            for points, _, buy in its:
                seats[buy.id].append(Seat(hole.slot.id, points))
        purchases = tuple(
            Purchase(
                number,
                tuple(seats[number]),
                self._buys[number].cost,
                is_offer=(offer := self._buys[number].offer) is not None,
                quantity=offer.quantity if offer else 1,
            )
            for number in seats
        )
        wants = tuple(
            Want(
                hole.slot.id,
                hole.view.album.id,
                None if hole.slot.target is None else least_of(hole.slot),
                hole.held,
                hole.shown.counts,
                hole.slot.id in self._keys,
            )
            for hole in self._holes
        )
        chosen = self._chosen(choices, useful)
        alone = {seats[one][0].slot for one in self._pinned & seats.keys() if len(seats[one]) == 1}
        pinned = {
            one
            for one in chosen.pinned
            if one.purchase not in self._forbidden
            and (one.slot not in alone or one.purchase in self._pinned)
        }
        forbidden = {one for one in chosen.forbidden if one.purchase not in self._pinned}
        given = PlanInput(
            wants,
            purchases,
            tuple(self._pieces),
            frozenset[Mark](self._pinned | pinned),
            frozenset[Mark](self._forbidden | forbidden),
        )
        missing = frozenset(not_priced(given))
        rows = tuple(
            self._row(missing, hole, want, its)
            for hole, want, its in zip(self._holes, wants, useful, strict=True)
        )
        ungraded = sum(
            hole.shown.coin is not None
            and hole.shown.coin.grade is None
            and hole.shown.state is SlotState.BELOW_TARGET
            for hole in self._holes
        )
        return Upgrades(
            given,
            self._buys,
            rows,
            self._coins,
            self._book,
            ungraded,
            chosen,
            self._skipped,
            self.upgrades,
        )

    def _chosen(
        self, choices: Iterable[PlanChoice], useful: Sequence[Sequence[tuple[int, int, Buyable]]]
    ) -> Choices:
        """What was chosen for these slots, with the purchases it means today."""
        at = {hole.slot.id: place for place, hole in enumerate(self._holes)}
        spots: dict[ChoiceKind, set[Spot]] = {kind: set() for kind in ChoiceKind}
        idle = []
        for choice in choices:
            if choice.slot not in at:
                continue
            meant = [
                buy.id
                for _, _, buy in useful[at[choice.slot]]
                if buy.of == choice.of
                and (buy.cost is not None or choice.kind is not ChoiceKind.PINNED)
            ]
            spots[choice.kind] |= {Spot(number, int(choice.slot)) for number in meant}
            if not meant and choice.kind is ChoiceKind.PINNED:
                idle.append(choice)
        return Choices(
            frozenset(spots[ChoiceKind.PINNED]),
            frozenset(spots[ChoiceKind.FORBIDDEN]),
            {slot: number for number, slot in spots[ChoiceKind.SHOWN]},
            tuple(idle),
        )

    def _row(
        self,
        missing: frozenset[int],
        hole: Hole,
        want: Want,
        useful: Sequence[tuple[int, int, Buyable]],
    ) -> UpgradeRow:
        is_priced, coin = hole.slot.id not in missing, hole.shown.coin
        last = hole.row
        if last is not None and last.is_priced is is_priced:
            bought = [step.buy.id for step in last.steps]
            if bought == [buy.id for _, _, buy in useful]:
                return last
        steps = tuple(
            UpgradeStep(
                buy,
                buy.coin.points,
                max(0, want.counted(points) - want.counted(want.held)),
                want.held is None,
                want.meets(points) and not want.meets(want.held),
            )
            for points, _, buy in useful
        )
        hole.row = UpgradeRow(
            hole.shown,
            hole.view.album.id,
            hole.view.album.name,
            hole.held,
            want.target,
            steps,
            self._spare_of.get(hole.slot.id, (0, None))[1],
            None if coin is None else self._prices.brings(hole.series, coin),
            self._asks(hole),
            want.meets(want.held),
            is_priced,
            want.is_key,
        )
        return hole.row


def _key_dates(views: Sequence[AlbumView], share: int) -> frozenset[SlotId]:
    """Slots of which fewer coins were struck than so many per cent of their album's mean.

    Known figures alone count; a slot of several issues counts their sum.
    """
    keys: set[SlotId] = set()
    for view in views:
        struck: dict[SlotId, int] = {}
        for shown in view.slots:
            series = view.series_of(shown.slot)
            figure, _ = series.mintage_of(series.may_be(shown.slot.accepts))
            if figure is not None and shown.slot.variety is None:
                struck[shown.slot.id] = figure
        if struck:
            # share / 100 of the mean, in whole numbers
            total = sum(struck.values())
            keys |= {
                s for s, figure in struck.items() if figure * len(struck) * 100 < total * share
            }
    return frozenset(keys)
