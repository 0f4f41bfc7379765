"""What to buy or swap next: a collection as the planner sees it, and slot by slot in words.

Purchases of the list are told apart by their curve and grade, offers have numbers below zero; what
the collector chose by hand is kept by what is bought, and stays good whatever the list says. Of a
slot's prices only those are useful that no other beats: none as good in the slot costs as little.
"""

from collections.abc import Callable, Mapping, Sequence
from collections.abc import Collection as Numbers
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from core.app.price_book import PriceBook
from core.app.views import SlotView
from core.app.work import Progress
from core.model.album import AlbumId, AlbumKind, Slot
from core.model.coin import Coin, CoinId
from core.model.fit import has_barred_problem, meets_target
from core.model.issue import SeriesId, VarietyId
from core.model.plan_choice import Chosen, Listed, PlanChoice
from core.model.prices import Offer
from core.planning.prices import Told
from core.planning.wants import PlanInput, Spot, not_priced

if TYPE_CHECKING:
    from core.app.collection import Collection

GRADES = 100
"""A purchase of the list is its curve's id times this, and the grade points."""
COPIES = 10**9
"""The second, third … coin of a lot is its number and so many times this."""
KEY_SHARE = 5
"""A key date is one of which fewer were struck than so many per cent of its album's mean."""


@dataclass(frozen=True, slots=True)
class Buyable:
    """What a purchase stands for: a coin of the list in one grade, or an offer.

    `coin` is the one that is then on order, without a number; `cost` in minor units of the base,
    None without a rate; `told` the list's price of it where there is one.
    """

    id: int
    name: str
    coin: Coin
    cost: int | None
    told: Told | None = None
    offer: Offer | None = None

    @property
    def where(self) -> str:
        """Where it was seen, "" for a price of the list."""
        return self.offer.where if self.offer else ""

    @property
    def of(self) -> Chosen:
        """What it is in the file, whatever the list says of it."""
        if self.offer is not None:
            return self.offer.id
        grade, coin = self.coin.grade, self.coin
        assert grade is not None, "a purchase of the list has a grade"
        variety = coin.varieties[0][0] if coin.varieties else None
        return Listed(coin.description, grade.low, variety, grade.is_proof)


@dataclass(frozen=True, slots=True)
class UpgradeStep:
    """One useful purchase for a slot, and what it gains there.

    `points` are those gained as far as the target counts them.
    """

    buy: Buyable
    grade: int | None
    points: int
    closes_gap: bool
    meets_target: bool

    @property
    def per_point(self) -> float | None:
        """Points for a unit of money, to compare marks by; None without either."""
        return self.points / self.buy.cost if self.buy.cost else None


@dataclass(frozen=True, slots=True)
class UpgradeRow:
    """A slot with what it holds, its target and what would better it, the cheapest first.

    `held` are its coin's points as they count there, None for a gap. `spare` is a spare that would
    better it for nothing; `brings` what its coin may bring, None where that is not priced.
    `asks` is what the list asks for the cheapest coin that meets its target, whatever it holds.
    """

    slot: SlotView
    album: AlbumId
    album_name: str
    held: int | None
    target: int | None
    steps: tuple[UpgradeStep, ...]
    spare: Coin | None
    brings: int | None
    asks: int | None
    is_met: bool
    is_priced: bool
    is_key: bool

    @property
    def is_open(self) -> bool:
        """Whether it still wants a coin, or a better one."""
        return not self.is_met

    @property
    def is_ordered(self) -> bool:
        """Whether a coin for it is on its way."""
        return self.slot.ordered is not None


@dataclass(frozen=True, slots=True)
class Choices:
    """What was chosen by hand for the slots looked at; `shown` by slot the purchase of its line.

    `idle` are pins that mean nothing now: no price any more, or the slot has as good a coin.
    """

    pinned: frozenset[Spot] = frozenset()
    forbidden: frozenset[Spot] = frozenset()
    shown: Mapping[int, int] = field(default_factory=dict)
    idle: tuple[PlanChoice, ...] = ()

    @property
    def texts(self) -> tuple[str, ...]:
        """2 pinned, 1 forbidden; and how many pins mean nothing now."""
        many = ((len(self.pinned), "pinned"), (len(self.forbidden), "forbidden"))
        idle = len(self.idle)
        return tuple(
            filter(
                None,
                (
                    ", ".join(f"{number:,} {word}" for number, word in many if number),
                    f"{idle:,} pinned purchase{'s have' if idle != 1 else ' has'} no price now, or "
                    f"no slot to better; {'they are' if idle != 1 else 'it is'} left out"
                    if idle
                    else "",
                ),
            )
        )


@dataclass(frozen=True, slots=True)
class Upgrades:
    """What the planner works on, and what its numbers stand for.

    `ungraded` counts the slots whose coin has no grade where a target asks for one: until it gets
    one, the plan takes them as below it. `skipped` are varieties whose slots are skipped, and have
    no row.
    """

    given: PlanInput
    buys: Mapping[int, Buyable]
    rows: tuple[UpgradeRow, ...]
    coins: Mapping[int, Coin]
    book: PriceBook
    ungraded: int = 0
    choices: Choices = Choices()
    skipped: frozenset[tuple[AlbumId, SeriesId, VarietyId]] = frozenset()
    again: Callable[[Sequence[PlanChoice]], "Upgrades"] | None = field(
        default=None, repr=False, compare=False
    )

    def with_choices(self, choices: Sequence[PlanChoice]) -> "Upgrades":
        """The same slots and prices, with what is chosen by hand now."""
        return self if self.again is None else self.again(choices)

    @property
    def not_priced(self) -> tuple[int, ...]:
        """The slots that want a coin, or a better one, and have no price."""
        return not_priced(self.given)

    def row_of(self, slot: int) -> UpgradeRow:
        """The row of a slot by its number."""
        return next(row for row in self.rows if row.slot.slot.id == slot)

    def coin(self, piece: int) -> Coin:
        """The coin of a piece's number."""
        return self.coins[piece]

    @staticmethod
    def number(piece: int) -> CoinId:
        """The coin's own number of a piece's."""
        return CoinId(piece % COPIES)

    @property
    def notes(self) -> tuple[str, ...]:
        """What has to be said beside any plan: what has no price, what is old, what is left out."""
        many = len(self.not_priced)
        said = [
            *self.choices.texts,
            f"{many:,} slot{'s that want' if many != 1 else ' that wants'} a coin or a better one "
            f"{'have' if many != 1 else 'has'} no price; a plan leaves "
            f"{'them' if many != 1 else 'it'} out"
            if many
            else "",
            self.book.old_text,
            self.book.without_rate_text,
            self.book.run_out_text,
            f"{self.ungraded:,} coin{'s' if self.ungraded != 1 else ''} without a grade count"
            f"{'' if self.ungraded != 1 else 's'} as below target"
            if self.ungraded
            else "",
        ]
        return tuple(filter(None, said))


def plan_input(
    collection: "Collection",
    albums: Sequence[AlbumId] = (),
    pinned: Numbers[int] = (),
    forbidden: Numbers[int] = (),
    key_share: int = KEY_SHARE,
    progress: Progress | None = None,
    with_choices: bool = True,
) -> Upgrades:
    """Everything a plan looks at over these albums (all that hold coins by default).

    `pinned` and `forbidden` are purchases of this plan alone, before what the collector chose by
    hand, which is left out without `with_choices`. Coins of other albums stay where they are.
    Raises Cancelled through `progress`.
    """
    from core.app.upgrade_stock import Stock

    watch = progress or Progress()
    chosen = [
        collection.album_view(a.id)
        for a in collection.albums()
        if a.kind is AlbumKind.HOLDER and (not albums or a.id in albums)
    ]
    watch.report(0.1, "Reading the prices")
    stock = Stock(collection, chosen, (frozenset(pinned), frozenset(forbidden)), key_share)
    stock.read(watch)
    return stock.upgrades(collection.plan_choices() if with_choices else ())


def upgrade_rows(
    collection: "Collection", albums: Sequence[AlbumId] = (), progress: Progress | None = None
) -> tuple[UpgradeRow, ...]:
    """Slot by slot what would better it, in the order of the albums."""
    return plan_input(collection, albums, progress=progress).rows


def seat_points(slot: Slot, coin: Coin) -> int:
    """What a coin that fits a slot counts there: below its target where it does not meet it.

    0 with a problem that the slot does not allow, and without a grade.
    """
    if has_barred_problem(slot, coin):
        return 0
    points = coin.points or 0
    if slot.target is None:
        return points
    least = least_of(slot)
    return max(points, least) if meets_target(slot, coin) else min(points, least - 1)


def least_of(slot: Slot) -> int:
    """The points a slot's target asks for; 1 where it has none."""
    return (slot.target.least if slot.target else None) or 1
