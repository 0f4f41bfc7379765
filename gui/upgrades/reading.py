"""What the upgrades show, read and worked out away from the window. No Qt."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from core.app.standings import Standings, standings
from core.app.upgrades import UpgradeRow, Upgrades, plan_input
from core.app.work import Progress
from core.model.album import AlbumId, AlbumKind
from core.model.coin import Coin, Finding
from core.model.issue import Series, SeriesId
from core.model.plan_choice import PlanChoice
from core.model.state import SlotState
from core.planning.aim import GAPS, GAPS_CLOSED, TARGETS_MET, Aim
from core.planning.curve import (
    Buy,
    Cost,
    Curve,
    cost_to_finish,
    cost_to_targets,
    curve,
    next_buys,
)
from core.planning.plan import TIME_LIMIT_S, Bought, Moved, Plan, plan
from core.planning.wants import Mark, PlanInput

if TYPE_CHECKING:
    from core.app.collection import Collection


@dataclass(frozen=True, slots=True)
class Asked:
    """What is planned: over which albums (none: all), for how much, towards what.

    `budget` in minor units of the base currency, None for as much as it takes. `pinned` and
    `forbidden` are what was chosen by hand, as the sheet that was planned over has it.
    """

    albums: tuple[AlbumId, ...] = ()
    budget: int | None = None
    aim: Aim = GAPS
    pinned: frozenset[Mark] = frozenset()
    forbidden: frozenset[Mark] = frozenset()

    def given(self, found: Upgrades) -> PlanInput:
        """The input with these pins."""
        return replace(found.given, pinned=self.pinned, forbidden=self.forbidden)

    def over(self, found: Upgrades) -> "Asked":
        """The same with what was chosen by hand."""
        given = found.given
        if (self.pinned, self.forbidden) == (given.pinned, given.forbidden):
            return self
        return replace(self, pinned=given.pinned, forbidden=given.forbidden)


@dataclass(frozen=True, slots=True)
class Weighed:
    """How far the slots are, by those filled and by those at target.

    `gaps` are the wanted slots that are empty with no coin on order, `optional_gaps` the others;
    `arrived` the coins on order that are counted as if they were there.
    """

    filled: Standings
    at_target: Standings
    have: int
    met: int
    wanted: int
    gaps: int
    optional_gaps: int
    arrived: int = 0


@dataclass(frozen=True, slots=True, eq=False)
class Sheet:
    """What was read of the collection: slots, prices, albums that can be chosen, how far it is."""

    found: Upgrades
    albums: tuple[tuple[AlbumId, str], ...]
    series: Mapping[SeriesId, Series]
    now: Weighed
    varied: tuple[Coin, ...] = ()
    """Spares with a variety confirmed."""
    read_as: object = field(default_factory=object)
    """The same for all that were made of one reading."""

    def with_choices(self, choices: Sequence[PlanChoice]) -> "Sheet":
        """The same slots and prices, with what is chosen by hand now."""
        return replace(self, found=self.found.with_choices(choices))

    @property
    def currency(self) -> str:
        """The base currency."""
        return self.found.book.rules.base

    @property
    def has_prices(self) -> bool:
        """Whether there is anything to plan with."""
        return bool(self.found.book.prices or self.found.book.standing)


@dataclass(frozen=True, slots=True)
class Planned:
    """A plan and how far the set is once it is carried out."""

    asked: Asked
    plan: Plan
    then: Weighed


@dataclass(frozen=True, slots=True)
class Further:
    """What is worked out beside a plan: the curve of its aim, of gaps and targets; whole costs."""

    aim: Aim
    curve: Curve
    gaps: Curve
    targets: Curve
    finish: Cost
    reach: Cost
    next_buys: tuple[Buy, ...]


def read_sheet(collection: "Collection", asked: Asked, progress: Progress) -> Sheet:
    """Read the slots of the chosen albums with all that would better them."""
    albums = tuple(
        (one.id, one.name) for one in collection.albums() if one.kind is AlbumKind.HOLDER
    )
    there = {number for number, _ in albums}
    found = plan_input(collection, [a for a in asked.albums if a in there], progress=progress)
    ids = {row.slot.slot.accepts.series for row in found.rows}
    series = {one: collection.series(one) for one in ids}
    varied = tuple(
        coin
        for one in series
        for coin in collection.spares_of(one)
        if any(finding is Finding.CONFIRMED for _, finding in coin.varieties)
    )
    return Sheet(found, albums, series, weigh(as_it_is(found), series), varied)


def weigh(found: Upgrades, series: Mapping[SeriesId, Series]) -> Weighed:
    """How far the wanted slots are."""
    wanted = [row for row in found.rows if row.slot.counts]
    return Weighed(
        standings(found, series.__getitem__),
        standings(found, series.__getitem__, at_target=True),
        sum(row.slot.coin is not None for row in wanted),
        sum(row.is_met for row in wanted),
        len(wanted),
        sum(_is_gap(row) for row in wanted),
        sum(_is_gap(row) and not row.slot.counts for row in found.rows),
    )


def _is_gap(row: UpgradeRow) -> bool:
    return row.slot.coin is None and row.slot.ordered is None


def as_it_is(found: Upgrades) -> Upgrades:
    """The rows without what is on order, as the albums count them."""

    def now(row: UpgradeRow) -> UpgradeRow:
        if row.slot.ordered is None:
            return row
        return replace(row, is_met=row.slot.state is SlotState.FILLED)

    return replace(found, rows=tuple(map(now, found.rows)))


def with_arrived(found: Upgrades) -> tuple[Upgrades, int]:
    """The rows once every coin on order is in its slot, and how many come into wanted slots."""
    many = 0

    def then(row: UpgradeRow) -> UpgradeRow:
        nonlocal many
        coin, ordered = row.slot.coin, row.slot.ordered
        if ordered is None or (coin is not None and (coin.points or 0) >= (row.held or 0)):
            return row
        many += row.slot.counts
        return replace(row, slot=replace(row.slot, coin=ordered, ordered=None))

    return replace(found, rows=tuple(map(then, found.rows))), many


def make_plan(sheet: Sheet, asked: Asked, progress: Progress) -> Planned:
    """The best plan; raises PinsRefused, Refused, and Cancelled through `progress`."""
    given = asked.given(sheet.found)
    made = plan(given, asked.budget, asked.aim, TIME_LIMIT_S, _teller(progress, "Planning"))
    arrived, many = with_arrived(after_plan(sheet.found, made))
    return Planned(asked, made, replace(weigh(arrived, sheet.series), arrived=many))


def after_plan(found: Upgrades, made: Plan) -> Upgrades:
    """The rows as they are once a plan is carried out."""
    coins = {one.slot: (found.buys[one.purchase].coin, one.points) for one in made.purchases}
    coins |= {one.to_slot: (found.coin(one.coin), one.points) for one in made.moves}
    wants = {want.slot: want for want in found.given.wants}

    def after(row: UpgradeRow) -> UpgradeRow:
        number = row.slot.slot.id
        if number not in coins:
            return row
        coin, points = coins[number]
        shown = replace(row.slot, coin=coin, ordered=None)
        return replace(row, slot=shown, held=points, is_met=wants[number].meets(points))

    return replace(found, rows=tuple(map(after, found.rows)))


def look_further(sheet: Sheet, asked: Asked, progress: Progress) -> Further:
    """The curves and whole costs of the same choices; the budget and the pins do not matter."""
    given = replace(asked.given(sheet.found), pinned=frozenset[Mark]())
    shown = asked.aim.shown
    limit = TIME_LIMIT_S / 4

    def tell(doing: str) -> Callable[[float], None]:
        return _teller(progress, doing)

    own = curve(given, shown, limit, tell("Drawing the curve"))
    gaps = own if shown == GAPS_CLOSED else curve(given, GAPS_CLOSED, limit, tell("Reckoning"))
    targets = own if shown == TARGETS_MET else curve(given, TARGETS_MET, limit, tell("Reckoning"))
    return Further(
        asked.aim,
        own,
        gaps,
        targets,
        cost_to_finish(given, limit, tell("Reckoning what it costs to finish")),
        cost_to_targets(given, limit, tell("Reckoning what it costs to finish")),
        next_buys(given, asked.aim, limit)[:24],
    )


def _teller(progress: Progress, doing: str) -> Callable[[float], None]:
    return lambda share: progress.report(share, doing)


@dataclass(frozen=True, slots=True)
class Doing:
    """What a plan does to one slot: a purchase, or a coin that moves in; `place` in its order."""

    place: int
    bought: Bought | None = None
    moved: Moved | None = None


def doings(made: Plan | None) -> dict[int, Doing]:
    """By slot: spares for nothing first, then each purchase with the moves it sets off."""
    if made is None:
        return {}
    by_home = {one.from_slot: one for one in made.moves if one.from_slot is not None}
    order: list[tuple[int, Bought | None, Moved | None]] = [
        (one.to_slot, None, one) for one in made.moves if one.from_slot is None
    ]
    order += [(one.slot, one, None) for one in made.purchases]
    told: dict[int, Doing] = {}
    for slot, bought, moved in order:
        told[slot] = Doing(len(told), bought, moved)
        home = slot
        while (going := by_home.get(home)) is not None and going.to_slot not in told:
            told[going.to_slot] = Doing(len(told), None, going)
            home = going.to_slot
    return told
