"""A campaign as a table: boxes, coins, finds and slots a box, by branch; cost; trends."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from core.model.search import Tally, TallyRule
from core.search.facts import FILLS, BoxFacts, CampaignFacts
from core.search.rates import (
    Drift,
    as_change,
    count_interval,
    drift,
    none_seen_limit,
    share_interval,
)
from core.search.tally import Tallier

RATE_LEVEL = 0.95
FEWEST_FOR_TREND = 8
"""Nothing is said of a trend over fewer boxes."""
FEWEST_COUNTED = 5
"""Nor from fewer coins counted in all of them."""

SLOTS = TallyRule.of(verdicts=[FILLS])
SLOTS_NAME = "Slots filled"


@dataclass(frozen=True, slots=True)
class Rate:
    """A count over so many boxes (parts of boxes told), a box, and its 95 % interval.

    Of a count of 0, `high` is what 95 % lie below. `per_box`, `low` and `high` are None where no
    box was opened.
    """

    name: str
    count: int
    boxes: float
    per_box: float | None
    low: float | None
    high: float | None


@dataclass(frozen=True, slots=True)
class Row:
    """A line of the table: all boxes, or those of one branch or wrapper.

    `boxes` and `coins` are all there are. The rates are of the usual boxes alone: `left_out` of
    them hold new coins or what one returned oneself.
    """

    group: str
    boxes: int
    coins: int
    left_out: int
    rates: tuple[Rate, ...]
    slots: Rate


@dataclass(frozen=True, slots=True)
class PerSlot:
    """What a new slot took, in minor units of money or in hours, with its 95 % interval.

    `value` and `high` are None while nothing was filled: it took more than `low`. `of_boxes`
    tells how many boxes had the figure.
    """

    unit: str
    spent: float
    slots: int
    value: float | None
    low: float
    high: float | None
    of_boxes: int


@dataclass(frozen=True, slots=True)
class Trend:
    """How a count a coin changed from box to box: shares (0.02: 2 % more each box), 95 % interval.

    `change` is None where the boxes cannot tell it, and `reason` says why.
    """

    name: str
    boxes: int
    change: float | None = None
    low: float | None = None
    high: float | None = None
    reason: str = ""

    @property
    def is_certain(self) -> bool:
        """Whether the interval leaves no doubt of the direction."""
        return self.low is not None and self.high is not None and not self.low <= 0 <= self.high


@dataclass(frozen=True, slots=True)
class Dashboard:
    """All of a campaign. `boxes` and `coins` in all hold those before the log, the rows do not.

    `open_boxes` are the numbers of those not finished that are among the figures: their slots are
    counted by the answers so far.
    """

    boxes_in_all: int
    coins_in_all: int
    whole: Row
    by_branch: tuple[Row, ...]
    by_wrapper: tuple[Row, ...]
    cost_per_slot: tuple[PerSlot, ...]
    hours_per_slot: PerSlot | None
    trends: tuple[Trend, ...]
    open_boxes: tuple[int, ...] = ()


def dashboard(tallier: Tallier, tallies: Sequence[Tally], campaign: CampaignFacts) -> Dashboard:
    """The table and figures of a campaign. A tally is counted in boxes of its denomination."""
    boxes = campaign.boxes

    def row(group: str, some: Sequence[BoxFacts]) -> Row:
        usual = [box for box in some if box.kind.is_usual]
        rates = tuple(
            _rate(tallier, t.name, t.rule, [b for b in usual if b.denomination == t.denomination])
            for t in tallies
        )
        return Row(
            group,
            len(some),
            sum(box.coins_opened for box in some),
            len(some) - len(usual),
            rates,
            _rate(tallier, SLOTS_NAME, SLOTS, usual),
        )

    def by(key: Callable[[BoxFacts], str]) -> tuple[Row, ...]:
        groups: dict[str, list[BoxFacts]] = {}
        for box in boxes:
            groups.setdefault(key(box).strip(), []).append(box)
        told = sorted(groups.items(), key=lambda pair: (not pair[0], pair[0].casefold()))
        return tuple(row(group, some) for group, some in told)

    rules = [(t.name, t.rule, t.denomination) for t in tallies]
    if all(rule != SLOTS for _, rule, _ in rules):
        rules.append((SLOTS_NAME, SLOTS, ""))
    return Dashboard(
        campaign.boxes_in_all,
        campaign.coins_in_all,
        row("all", boxes),
        by(lambda box: box.came_from),
        by(lambda box: box.wrapper),
        _cost_per_slot(boxes),
        _hours_per_slot(boxes),
        tuple(trend(tallier, name, rule, boxes, of) for name, rule, of in rules),
        tuple(box.number for box in boxes if not box.is_done),
    )


def _rate(tallier: Tallier, name: str, rule: TallyRule, boxes: Sequence[BoxFacts]) -> Rate:
    count = sum(tallier.in_box(rule, box) for box in boxes)
    size = sum(box.opened / box.rolls_searched for box in boxes if box.opened)
    if not size:
        return Rate(name, count, 0.0, None, None, None)
    coins = sum(box.coins_opened for box in boxes)
    low, high = _share(min(count, coins), coins)
    a_box = coins / size
    return Rate(name, count, size, count / size, low * a_box, high * a_box)


def _share(count: int, coins: int) -> tuple[float, float]:
    """The 95 % interval of a share; of none seen, the one bound above."""
    if not coins:
        return 0.0, 1.0
    if not count:
        return 0.0, none_seen_limit(coins, RATE_LEVEL)
    return share_interval(count, coins, RATE_LEVEL)


def _cost_per_slot(boxes: Sequence[BoxFacts]) -> tuple[PerSlot, ...]:
    """Fees a new slot by currency, over the boxes of which the fees are known (0 counts)."""
    currencies = sorted({box.currency for box in boxes if box.fees_minor is not None})
    found = []
    for currency in currencies:
        told = [b for b in boxes if b.fees_minor is not None and b.currency == currency]
        fees = sum(box.fees_minor or 0 for box in told)
        found.append(_per_slot(currency, fees, told))
    return tuple(found)


def _hours_per_slot(boxes: Sequence[BoxFacts]) -> PerSlot | None:
    told = [box for box in boxes if box.seconds]
    return _per_slot("h", sum(box.seconds for box in told) / 3600, told) if told else None


def _per_slot(unit: str, spent: float, boxes: Sequence[BoxFacts]) -> PerSlot:
    slots = sum(box.slots_filled for box in boxes)
    low, high = count_interval(slots, RATE_LEVEL)
    return PerSlot(
        unit,
        spent,
        slots,
        spent / slots if slots else None,
        spent / high,
        spent / low if slots else None,
        len(boxes),
    )


def trend(
    tallier: Tallier,
    name: str,
    rule: TallyRule,
    boxes: Sequence[BoxFacts],
    denomination: str = "",
) -> Trend:
    """How a tally changed over the finished usual boxes, by Poisson regression on their order."""
    told = [
        box
        for box in boxes
        if box.is_done and box.kind.is_usual and box.coins_opened
        if denomination in ("", box.denomination)
    ]
    if len(told) < FEWEST_FOR_TREND:
        return Trend(name, len(told), reason=f"A trend needs {FEWEST_FOR_TREND} finished boxes.")
    counts = [tallier.in_box(rule, box) for box in told]
    slope: Drift | None = None
    if sum(counts) >= FEWEST_COUNTED:
        slope = drift(range(len(told)), counts, [box.coins_opened for box in told])
    if slope is None:
        return Trend(name, len(told), reason="Too few were counted to tell a trend.")
    low, high = slope.interval(RATE_LEVEL)
    return Trend(name, len(told), as_change(slope.slope), as_change(low), as_change(high))
