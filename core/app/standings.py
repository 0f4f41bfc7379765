"""How far the albums are, weighed by count, by scarcity and by price, and their average grade."""

from collections.abc import Callable
from dataclasses import dataclass

from core.app.upgrades import UpgradeRow, Upgrades
from core.model.album import SlotId
from core.model.issue import Series, SeriesId
from core.planning.difficulty import (
    Grades,
    Percentage,
    Standing,
    by_count,
    by_price,
    by_scarcity,
    grades,
)


@dataclass(frozen=True, slots=True)
class Standings:
    """The percentages of the wanted slots, and the grades of the coins in them."""

    by_count: Percentage
    by_scarcity: Percentage
    by_price: Percentage
    grades: Grades


def standings(
    found: Upgrades, series_of: Callable[[SeriesId], Series], at_target: bool = False
) -> Standings:
    """Weigh the wanted slots of an input: those filled, or those at target.

    The share of a slot is what was struck of all that it accepts, of all that was struck of its
    series as far as that is known; optional slots and those that want a variety are left out.
    """
    wanted = [r for r in found.rows if r.slot.counts and r.slot.slot.variety is None]
    shares = _shares(wanted, series_of)

    def one(row: UpgradeRow) -> Standing:
        is_done = row.is_met if at_target else row.slot.coin is not None
        return Standing(is_done, shares.get(row.slot.slot.id), row.asks)

    slots = [one(row) for row in wanted]
    held = [row.slot.coin.points for row in wanted if row.slot.coin is not None]
    return Standings(by_count(slots), by_scarcity(slots), by_price(slots), grades(held))


def _shares(rows: list[UpgradeRow], series_of: Callable[[SeriesId], Series]) -> dict[SlotId, float]:
    """The share of each slot of which the figure is known."""
    totals: dict[SeriesId, int] = {}
    shares: dict[SlotId, float] = {}
    for row in rows:
        slot = row.slot.slot
        series = series_of(slot.accepts.series)
        if series.id not in totals:
            totals[series.id] = _struck(series)
        figure, of_more = series.mintage_of(series.may_be(slot.accepts))
        if figure and not of_more and figure <= totals[series.id]:
            shares[slot.id] = figure / totals[series.id]
    return shares


def _struck(series: Series) -> int:
    """All that is known to have been struck of a series' usual issues, each figure once."""
    masks: dict[tuple[str, str], int] = {}
    for issue in series.issues:
        if series.is_usual(issue):
            key = issue.date, issue.mint
            masks[key] = masks.get(key, 0) | 1 << issue.number
    return sum(series.mintage_of(mask)[0] or 0 for mask in masks.values())
