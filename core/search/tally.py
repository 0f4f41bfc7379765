"""Tallies of a box: how many now, on pace, likely and usual; and counts by date."""

from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import groupby
from statistics import fmean, quantiles
from typing import TypeVar, cast

from core.model.issue import Description, Series, SeriesId, VarietyId
from core.model.search import BoxId, Tally, TallyRule
from core.search.facts import SO_FAR, BoxFacts, Seen
from core.search.likely import likely

FEWEST_BOXES = 3
"""“Usual” is not told from fewer comparable boxes."""

SO_FAR_NOTE = f"* {SO_FAR}"
"""Stands under tallies of which one is marked with the star."""

_Made = TypeVar("_Made")


class Tallier:
    """Counts by rules. Keeps what it worked out for a box while it is handed the same facts."""

    def __init__(self, series: Mapping[SeriesId, Series]) -> None:
        self._series = series
        self._masks: dict[tuple[TallyRule, SeriesId], int] = {}
        self._kept: dict[tuple[BoxId, Hashable], tuple[BoxFacts, object]] = {}
        self._dates: dict[tuple[SeriesId, int], tuple[SeriesId, str, int] | None] = {}

    def holds(self, rule: TallyRule, one: Seen) -> bool:
        """Whether every part of the rule holds of what was seen.

        All that a coin may still be must lie in the rule's facets and years: a coin that only may
        be dated before 1940 is not counted as such.
        """
        if rule.counters and one.counter not in rule.counters:
            return False
        if rule.verdicts and not set(rule.verdicts) & set(one.verdicts):
            return False
        if rule.varieties and not set(rule.varieties) & set(one.varieties):
            return False
        if rule.series and one.series not in rule.series:
            return False
        if not rule.facets and rule.from_year is None and rule.to_year is None:
            return True
        if one.series is None or not one.mask:
            return False
        return not one.mask & ~self._mask(rule, one.series)

    def _mask(self, rule: TallyRule, series_id: SeriesId) -> int:
        """The issues of a series that facets and years of a rule allow."""
        found = self._masks.get((rule, series_id))
        if found is None:
            series = self._series.get(series_id)
            found = 0 if series is None else _rule_mask(rule, series)
            self._masks[rule, series_id] = found
        return found

    def count(self, rule: TallyRule, seen: Iterable[Seen]) -> int:
        """How many coins the rule counts; of a rule over verdicts, how many slots they came to.

        A find that bettered one slot and whose freed coin filled another counts as each of them.
        """
        return sum(one.quantity * _times(rule, one) for one in seen if self.holds(rule, one))

    def in_box(self, rule: TallyRule, box: BoxFacts) -> int:
        """How many of a box the rule counts."""
        return self.kept(
            box, rule, lambda: self.count(rule, box.finds) + self.count(rule, box.sightings)
        )

    def kept(self, box: BoxFacts, key: Hashable, make: Callable[[], _Made]) -> _Made:
        """What `make` gave for these very facts of a box under that key, made once."""
        found = self._kept.get((box.box, key))
        if found is None or found[0] is not box:
            found = self._kept[box.box, key] = box, make()
        return cast("_Made", found[1])

    def dates(self, one: Seen) -> tuple[SeriesId, str, int] | None:
        """Series, date as struck and year of what was seen, where they are certain."""
        if one.series is None or not one.mask:
            return None
        key = one.series, one.mask
        if key not in self._dates:
            series = self._series.get(one.series)
            issues = () if series is None else series.issues_of(one.mask)
            dates = {(issue.date, issue.year) for issue in issues}
            self._dates[key] = (one.series, *dates.pop()) if len(dates) == 1 else None
        return self._dates[key]

    def variety_name(self, series_id: SeriesId | None, variety_id: VarietyId) -> str:
        """A variety's name, its id where the series does not know it."""
        series = None if series_id is None else self._series.get(series_id)
        variety = None if series is None else series.variety(variety_id)
        return variety_id if variety is None else variety.name

    def dates_between(
        self, series_id: SeriesId, first: int | None, last: int | None
    ) -> tuple[tuple[str, int], ...]:
        """The dates of a series between two years, both included; None is open."""
        series = self._series.get(series_id)
        return tuple(
            (date, year)
            for date, year in (() if series is None else series.dates)
            if (first is None or first <= year) and (last is None or year <= last)
        )


def _times(rule: TallyRule, one: Seen) -> int:
    return sum(word in rule.verdicts for word in one.verdicts) if rule.verdicts else 1


def _rule_mask(rule: TallyRule, series: Series) -> int:
    mask = series.may_be(Description(series.id, rule.facets))
    first, last = rule.from_year, rule.to_year
    return sum(
        1 << issue.number
        for issue in series.issues_of(mask)
        if (first is None or first <= issue.year) and (last is None or issue.year <= last)
    )


@dataclass(frozen=True, slots=True)
class TallyLine:
    """A tally of one box. What is not known is None.

    `on_pace` is now × rolls ÷ rolls opened. `likely`: between which four of five such boxes end.
    `usual` and its `band` (10–90 %) are of `count_of_boxes` comparable ones, told as a box of this
    one's rolls. `is_so_far`: the box is open, and it is counted by the answers given so far.
    """

    name: str
    now: int
    on_pace: float | None
    likely: tuple[int, int] | None
    usual: float | None
    band: tuple[float, float] | None
    count_of_boxes: int
    is_so_far: bool = False

    @property
    def marked(self) -> str:
        """The name, with a star that `SO_FAR_NOTE` explains where it is counted by answers."""
        return f"{self.name} *" if self.is_so_far else self.name


def scale_to(line: TallyLine) -> float:
    """Where the bar of a row ends: the next round figure that holds now, on pace and the band."""
    most = max(line.now, line.on_pace or 0, line.usual or 0, line.band[1] if line.band else 0, 1)
    step = 1.0
    while True:
        for round_one in (1, 1.5, 2, 3, 4, 5, 6, 8):
            if round_one * step >= most and float(round_one * step).is_integer():
                return round_one * step
        step *= 10


def comparable(box: BoxFacts, boxes: Sequence[BoxFacts]) -> tuple[BoxFacts, ...]:
    """The finished boxes begun before this one, of its denomination and kind, as they were begun.

    `boxes` in any order, of any campaign, this one among them or not. A box of new coins, or of
    what one returned oneself, has none.
    """
    if not box.kind.is_usual:
        return ()
    alike = (
        other
        for other in boxes
        if other.denomination == box.denomination and other.kind is box.kind
        if other.is_done and other.opened and _begun(other) < _begun(box)
    )
    return tuple(sorted(alike, key=_begun))


def _begun(box: BoxFacts) -> tuple[date, BoxId]:
    return box.begun, box.box


def tally_lines(
    tallier: Tallier, tallies: Sequence[Tally], box: BoxFacts, boxes: Sequence[BoxFacts]
) -> tuple[TallyLine, ...]:
    """A line for each tally of the box's denomination, in their order."""
    past = comparable(box, boxes)
    mine = sorted((t for t in tallies if t.denomination == box.denomination), key=_place)
    return tuple(_line(tallier, tally, box, past) for tally in mine)


def _place(tally: Tally) -> tuple[int, int]:
    return tally.place, tally.id


def _line(tallier: Tallier, tally: Tally, box: BoxFacts, past: Sequence[BoxFacts]) -> TallyLine:
    now = tallier.in_box(tally.rule, box)
    counts = [tallier.in_box(tally.rule, one) for one in past]
    seen = [(count, one.coins_opened) for count, one in zip(counts, past, strict=True)]
    to_come = 0 if box.is_done else box.coins_to_come
    usual, band = usual_of(
        [
            count * box.rolls_searched / one.opened
            for count, one in zip(counts, past, strict=True)
        ]
    )  # fmt: skip
    return TallyLine(
        tally.name,
        now,
        on_pace(now, box),
        likely(now, box.coins_opened, to_come, seen),
        usual,
        band,
        len(past),
        bool(tally.rule.verdicts) and not box.is_done,
    )


def on_pace(now: int, box: BoxFacts) -> float | None:
    """What the box would have if it went on so: now × its rolls ÷ those opened."""
    return now * box.rolls_searched / box.opened if box.opened else None


def usual_of(counts: Sequence[float]) -> tuple[float | None, tuple[float, float] | None]:
    """Mean, and 10–90 %, of comparable boxes; None of fewer than three."""
    if len(counts) < FEWEST_BOXES:
        return None, None
    tenths = quantiles(counts, n=10, method="inclusive")
    return fmean(counts), (tenths[0], tenths[-1])


@dataclass(frozen=True, slots=True)
class DateCount:
    """What was seen of a date: kept, and counted in all. `said` are the coins as they are written.

    `is_logged`: every coin so dated was to be logged in every box counted, so that 0 means none.
    """

    series: SeriesId
    date: str
    year: int
    kept: int
    seen: int
    said: tuple[tuple[str, int], ...] = ()
    is_logged: bool = False


def by_date(
    tallier: Tallier, boxes: Sequence[BoxFacts], roll: int | None = None
) -> tuple[DateCount, ...]:
    """Counts by date over these boxes, or one roll of them, by series and year.

    A date that was claimed as fully logged in every box is there also with 0. Coins whose date is
    not certain are left out.
    """
    found: dict[tuple[SeriesId, str, int], list[Seen]] = {}
    for box in boxes:
        for one in (*box.finds, *box.sightings):
            date = tallier.dates(one)
            if date is not None and roll in (None, one.roll):
                found.setdefault(date, []).append(one)
    logged = _logged(tallier, boxes)
    return tuple(
        _date_count(date, found.get(date, []), date in logged)
        for date in sorted({*found, *logged}, key=lambda one: (one[0], one[2], one[1]))
    )


def _logged(tallier: Tallier, boxes: Sequence[BoxFacts]) -> set[tuple[SeriesId, str, int]]:
    claimed = [
        {
            (claim.series, *date)
            for claim in box.claims
            for date in tallier.dates_between(claim.series, claim.from_, claim.up_to)
        }
        for box in boxes
    ]
    return set.intersection(*claimed) if claimed else set()


def _date_count(
    date: tuple[SeriesId, str, int], seen: Sequence[Seen], is_logged: bool
) -> DateCount:
    said = sorted((one.said, one.quantity) for one in seen)
    alike = groupby(said, key=lambda pair: pair[0])
    return DateCount(
        *date,
        kept=sum(one.is_kept for one in seen),
        seen=sum(one.quantity for one in seen),
        said=tuple((name, sum(count for _, count in pairs)) for name, pairs in alike),
        is_logged=is_logged,
    )
