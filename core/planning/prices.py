"""What a coin costs by the collector's own list: sources, grades in between, shares, rates. Pure.

All is told in whole minor units of the base currency. Shares, rates and means are exact fractions,
rounded once, half to even. Between two grades of the list the logarithm of the price runs straight
over the grade points, reckoned in decimals of forty digits; beyond the list's first and last grade
nothing is said.
"""

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import ROUND_HALF_EVEN, Decimal, localcontext
from enum import StrEnum
from fractions import Fraction

from core.model.coin import Coin, Finding
from core.model.issue import Description, Series, SeriesId, VarietyId
from core.model.money import minor_digits
from core.model.prices import UNGRADED, Choose, Price, PriceRules, Rate

CurveKey = tuple[Description, VarietyId | None, bool]
"""What a curve is of: description, variety, whether of proofs."""


class PriceMark(StrEnum):
    """What is said of a price in a word, where there is room for no more."""

    OLD = "old"
    ISSUE = "issue's"
    BETWEEN = "between"


@dataclass(frozen=True, slots=True)
class Told:
    """A price of the list in minor units of the base currency, and what it rests on.

    `day` is that of the oldest price it rests on, `sources` theirs. `is_between`: interpolated;
    `is_old`: older than the collector's limit; `is_inherited`: an issue's price for its variety;
    `is_problem`: a share of a sound coin's price.
    """

    minor: int
    points: int
    day: date
    sources: tuple[str, ...] = ()
    is_between: bool = False
    is_old: bool = False
    is_inherited: bool = False
    is_problem: bool = False

    @property
    def short_marks(self) -> tuple[PriceMark, ...]:
        """What has to be said beside it in a word each; `marks` says it in full."""
        said = (
            (self.is_old, PriceMark.OLD),
            (self.is_inherited, PriceMark.ISSUE),
            (self.is_between, PriceMark.BETWEEN),
        )
        return tuple(mark for is_so, mark in said if is_so)

    @property
    def marks(self) -> tuple[str, ...]:
        """What has to be said beside it, in words."""
        said = (
            (self.is_between, "in between"),
            (self.is_old, f"old, of {self.day.isoformat()}"),
            (self.is_inherited, "price of the issue"),
            (self.is_problem, "share of a sound coin's"),
        )
        return tuple(words for is_so, words in said if is_so)


class NoPrice(StrEnum):
    """Why the list gives no price."""

    NO_GRADE = "it has no grade, and the list does not say what it costs without one"
    NOT_LISTED = "the list has no price of it"
    BEYOND = "its grade lies beyond those of the list"
    NOT_GENUINE = "it is marked not genuine"


@dataclass(frozen=True, slots=True)
class Curve:
    """The prices of one coin by grade, `points` ascending. `id` is that of its first price.

    `ungraded` is what the collector says that one without a grade costs; no grade's price is
    reckoned from it, nor it from theirs.
    """

    id: int
    description: Description
    variety: VarietyId | None
    is_proof: bool
    points: tuple[int, ...]
    steps: tuple[Told, ...]
    ungraded: Told | None = None

    def for_variety(self) -> "Curve":
        """The same prices as they are told where a variety takes them from its issue."""
        bare = self.ungraded
        return replace(
            self,
            steps=tuple(replace(one, is_inherited=True) for one in self.steps),
            ungraded=None if bare is None else replace(bare, is_inherited=True),
        )

    def at(self, points: int) -> Told | None:
        """The price in a grade, or `UNGRADED`; None beyond the first and last of the list."""
        if points == UNGRADED:
            return self.ungraded
        place = bisect_left(self.points, points)
        if place < len(self.points) and self.points[place] == points:
            return self.steps[place]
        if place in (0, len(self.points)):
            return None
        return _between(self.steps[place - 1], self.steps[place], points)


def _between(low: Told, high: Told, points: int) -> Told:
    return Told(
        in_between(low.minor, high.minor, points - low.points, high.points - low.points),
        points,
        min(low.day, high.day),
        tuple(dict.fromkeys((*low.sources, *high.sources))),
        is_between=True,
        is_old=low.is_old or high.is_old,
        is_inherited=low.is_inherited or high.is_inherited,
    )


def in_between(low: int, high: int, steps: int, of: int) -> int:
    """The amount so many `of` the steps on from `low` to `high` on a log scale, half to even."""
    if low == high:
        return low
    with localcontext() as context:
        context.prec = 40
        first, last = Decimal(low).ln(), Decimal(high).ln()
        exact = (first + (last - first) * steps / of).exp()
        return int(exact.to_integral_value(ROUND_HALF_EVEN))


def share_of(minor: int, per_cent: int) -> int:
    """So many per cent of an amount, half to even."""
    return round(Fraction(minor * per_cent, 100))


def exact_converter(
    rates: Iterable[Rate], base: str
) -> Callable[[Fraction | int, str], Fraction | None]:
    """From minor units of a currency to those of the base, exactly; None without a rate."""
    per = {rate.currency: rate.exact for rate in rates if rate.base == base} | {base: Fraction(1)}
    digits = minor_digits(base)

    def in_base(minor: Fraction | int, currency: str) -> Fraction | None:
        if currency not in per:
            return None
        scale = Fraction(10) ** (digits - minor_digits(currency))
        return minor * per[currency] * scale

    return in_base


def converter(rates: Iterable[Rate], base: str) -> Callable[[int, str], int | None]:
    """From minor units of a currency to those of the base, half to even; None without a rate."""
    exactly = exact_converter(rates, base)

    def in_base(minor: int, currency: str) -> int | None:
        if currency == base:
            return minor
        found = exactly(minor, currency)
        return None if found is None else round(found)

    return in_base


class PriceList:
    """The curves of a list, found by what a coin may be."""

    def __init__(
        self,
        prices: Iterable[Price],
        today: date,
        rates: Iterable[Rate] = (),
        rules: PriceRules | None = None,
    ) -> None:
        self.rules = rules or PriceRules()
        self.today = today
        self.in_base = converter(rates, self.rules.base)
        self.without_rate: list[Price] = []
        self.old_count = 0
        self._latest: dict[CurveKey, dict[int, dict[str, Price]]] = defaultdict(dict)
        self.curves = self._curves(prices)
        self._by_issue: dict[SeriesId, dict[int, list[tuple[int, int, Curve]]]] = {}

    def _curves(self, prices: Iterable[Price]) -> Mapping[CurveKey, Curve]:
        """One curve a coin; of each source the newest price of a grade alone."""
        latest = self._latest
        first: dict[CurveKey, int] = {}
        for one in prices:
            if self.in_base(one.minor, one.currency) is None:
                self.without_rate.append(one)
                continue
            key = (one.description, one.variety, one.is_proof)
            first[key] = min(first.get(key, one.id), one.id)
            of_grade = latest[key].setdefault(one.grade, {})
            known = of_grade.get(one.source)
            if known is None or (known.day, known.id) <= (one.day, one.id):
                of_grade[one.source] = one
        curves = {}
        for key, grades in latest.items():
            points = tuple(sorted(set(grades) - {UNGRADED}))
            bare = grades.get(UNGRADED)
            steps = tuple(self._chosen(at, list(grades[at].values())) for at in points)
            self.old_count += sum(
                self.is_old(one) for of_grade in grades.values() for one in of_grade.values()
            )
            ungraded = self._chosen(UNGRADED, list(bare.values())) if bare else None
            curves[key] = Curve(first[key], *key, points, steps, ungraded)
        return curves

    def _chosen(self, points: int, of_sources: Sequence[Price]) -> Told:
        """The price that counts of one grade, of the newest of each source."""
        by_age = sorted(of_sources, key=lambda one: (one.day, one.id))
        used = by_age[-1:]
        if self.rules.choose is Choose.MEDIAN:
            by_price = sorted(by_age, key=self._minor)
            middle = len(by_price) // 2
            used = by_price[middle : middle + 1]
            if len(by_price) % 2 == 0:
                used = by_price[middle - 1 : middle + 1]
        day = min(one.day for one in used)
        return Told(
            round(Fraction(sum(map(self._minor, used)), len(used))),
            points,
            day,
            tuple(dict.fromkeys(one.source for one in used if one.source)),
            is_old=(self.today - day).days > self.rules.oldest_days,
        )

    def is_old(self, one: Price) -> bool:
        """Whether a price is older than the collector's limit."""
        return (self.today - one.day).days > self.rules.oldest_days

    def is_replaced(self, one: Price) -> bool:
        """Whether the same source has a newer price of the same coin and grade."""
        latest = self._latest.get((one.description, one.variety, one.is_proof), {})
        newest = latest.get(one.grade, {}).get(one.source)
        return newest is not None and newest.id != one.id

    def _minor(self, one: Price) -> int:
        minor = self.in_base(one.minor, one.currency)
        assert minor is not None, "prices without a rate are left out"
        return minor

    def of_series(self, series: Series) -> Mapping[int, Sequence[tuple[int, int, Curve]]]:
        """Curves by the number of each issue they are of: how many issues, their mask, the curve.

        The narrowest come first. Curves that no issue of the series agrees with are left out.
        """
        found = self._by_issue.get(series.id)
        if found is None:
            found = self._by_issue[series.id] = defaultdict(list)
            for curve in self.curves.values():
                mask = series.may_be(curve.description)
                for issue in series.issues_of(mask):
                    found[issue.number].append((mask.bit_count(), mask, curve))
            for curves in found.values():
                curves.sort(key=lambda one: (one[0], one[2].id))
        return found

    def curve_for(
        self,
        series: Series,
        mask: int,
        variety: VarietyId | None,
        is_proof: bool,
        is_graded: bool = True,
    ) -> Curve | None:
        """The narrowest curve that is of everything a coin may be; None where there is none.

        It has prices by grade or, where `is_graded` is not so, that of a coin without one.
        """
        lowest = (mask & -mask).bit_length() - 1
        for _, covered, curve in self.of_series(series).get(lowest, ()):
            is_meant = curve.variety == variety and curve.is_proof is is_proof
            has_it = bool(curve.points) if is_graded else curve.ungraded is not None
            if is_meant and has_it and not mask & ~covered:
                return curve
        return None

    def price(self, series: Series, coin: Coin) -> Told | NoPrice:
        """What a coin costs by the list, by the low end of its grade; or why that is not known.

        A coin with varieties confirmed costs what the dearest of those priced does; where none is
        priced, what its issue does, if one of them was let inherit. A variety's price never serves
        a coin without it. A coin without a grade costs what the list says of such a one.
        """
        if not coin.is_genuine:
            return NoPrice.NOT_GENUINE
        grade = coin.grade
        told = self.price_of(
            series,
            series.may_be(coin.description),
            UNGRADED if grade is None else grade.low,
            [v for v, finding in coin.varieties if finding is Finding.CONFIRMED],
            grade is not None and grade.is_proof,
        )
        if grade is None and isinstance(told, NoPrice):
            return NoPrice.NO_GRADE
        if isinstance(told, Told) and (coin.problems or (grade and grade.is_details)):
            share = share_of(told.minor, self.rules.problem_share)
            return replace(told, minor=share, is_problem=True)
        return told

    def price_of(
        self,
        series: Series,
        mask: int,
        points: int,
        varieties: Sequence[VarietyId] = (),
        is_proof: bool = False,
    ) -> Told | NoPrice:
        """What a sound coin costs of which is known what it may be, its grade and varieties.

        `points` is `UNGRADED` for one without a grade.
        """
        if not mask:
            return NoPrice.NOT_LISTED
        asked: Sequence[VarietyId | None] = varieties or (None,)
        is_graded = points != UNGRADED
        curves = [
            curve
            for variety in asked
            if (curve := self.curve_for(series, mask, variety, is_proof, is_graded)) is not None
        ]
        if not curves and any(self.rules.lets_inherit(series.id, v) for v in varieties):
            issue = self.curve_for(series, mask, None, is_proof, is_graded)
            curves = [issue.for_variety()] if issue else []
        if not curves:
            return NoPrice.NOT_LISTED
        found = [told for curve in curves if (told := curve.at(points)) is not None]
        if not found:
            return NoPrice.BEYOND
        return max(found, key=lambda told: told.minor)

    def brings(self, series: Series, coin: Coin) -> int | None:
        """What a freed coin may bring: the collector's share of its price; None: not priced."""
        told = self.price(series, coin)
        if isinstance(told, NoPrice):
            return None
        return share_of(told.minor, self.rules.resale_share)
