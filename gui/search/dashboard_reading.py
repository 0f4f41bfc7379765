"""What the worker reads for a campaign's page: its dashboard, and each box's counts."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from core.app.search_views import CampaignView
from core.model.money import money_text
from core.model.search import CampaignId, Tally
from core.search.dashboard import SLOTS, SLOTS_NAME, Dashboard, PerSlot, Rate, Trend, dashboard
from core.search.facts import SO_FAR
from core.search.tally import Tallier, usual_of

if TYPE_CHECKING:
    from core.app.collection import Collection


@dataclass(frozen=True, slots=True)
class BoxBar:
    """A box in a picture: its number, its count, whether it belongs to what is usual."""

    number: int
    coins: int
    count: int
    is_usual: bool
    is_done: bool


@dataclass(frozen=True, slots=True)
class Series:
    """A tally over the boxes of a campaign; `usual` and `band` (10–90 %) None under three boxes.

    `is_of_slots`: it counts what came of finds, of a box not finished by the answers so far.
    """

    name: str
    boxes: tuple[BoxBar, ...]
    usual: float | None
    band: tuple[float, float] | None
    is_of_slots: bool = False

    def count_text(self, bar: BoxBar) -> str:
        """1,204; 2, so far by the answers."""
        is_so_far = self.is_of_slots and not bar.is_done
        return f"{bar.count:,}, {SO_FAR}" if is_so_far else f"{bar.count:,}"


@dataclass(frozen=True, slots=True)
class CampaignPage:
    """A campaign in figures."""

    view: CampaignView
    board: Dashboard
    series: tuple[Series, ...]


def read_page(collection: "Collection", campaign: CampaignId) -> CampaignPage:
    """The page of a campaign; raises NotFound."""
    log = collection.log
    view = log.campaign(campaign)
    denominations = dict.fromkeys(box.denomination for box in view.facts.boxes)
    tallies = tuple(t for key in denominations for t in log.tallies(key))
    tallier = Tallier({one.id: one for one in collection.all_series()})
    board = dashboard(tallier, tallies, view.facts)
    kept = [t for t in tallies if t.rule != SLOTS]
    series = [_series(tallier, view, SLOTS_NAME, None)]
    series += [_series(tallier, view, t.name, t) for t in kept]
    return CampaignPage(view, board, tuple(series))


def _series(tallier: Tallier, view: CampaignView, name: str, tally: Tally | None) -> Series:
    rule = SLOTS if tally is None else tally.rule
    boxes = [b for b in view.facts.boxes if tally is None or b.denomination == tally.denomination]
    bars = tuple(
        BoxBar(b.number, b.coins_opened, tallier.in_box(rule, b), b.kind.is_usual, b.is_done)
        for b in boxes
    )
    usual, band = usual_of([bar.count for bar in bars if bar.is_usual and bar.is_done])
    return Series(name, bars, usual, band, bool(rule.verdicts))


# ---- words ------------------------------------------------------------------------------------


def so_far_text(board: Dashboard) -> str:
    """Box 33 is not finished: its slots are told so far by the answers; "" where all are."""
    numbers = [f"{number:,}" for number in board.open_boxes]
    if not numbers:
        return ""
    if len(numbers) == 1:
        return f"Box {numbers[0]} is not finished: its slots are told {SO_FAR}."
    named = f"Boxes {', '.join(numbers[:-1])} and {numbers[-1]}"
    return f"{named} are not finished: their slots are told {SO_FAR}."


def rate_text(rate: Rate) -> str:
    """2.4; · where no box was opened."""
    return "·" if rate.per_box is None else f"{rate.per_box:.1f}"


def rate_tip(rate: Rate) -> str:
    """9 in 3.5 boxes, 95 % of 1.2 to 4.9 a box."""
    if rate.low is None or rate.high is None:
        return "no box opened yet"
    boxes = f"{rate.boxes:.1f}".removesuffix(".0")
    word = "box" if boxes == "1" else "boxes"
    return f"{rate.count:,} in {boxes} {word}, 95 %: {rate.low:.1f} to {rate.high:.1f} a box"


def per_slot_text(one: PerSlot) -> tuple[str, str]:
    """Name and value of what a new slot took."""
    if one.unit == "h":
        name, show = "Hours a new slot", _hours
    else:
        name = f"Fees a new slot, {one.unit}" if one.unit else "Fees a new slot"

        def show(value: float) -> str:
            return money_text(round(value), one.unit)

    if one.value is None:
        return name, f"more than {show(one.low)}; none filled yet in {_boxes(one.of_boxes)}"
    high = "" if one.high is None else f" to {show(one.high)}"
    return name, f"{show(one.value)}   95 %: {show(one.low)}{high}, of {_boxes(one.of_boxes)}"


def _boxes(count: int) -> str:
    return "1 box" if count == 1 else f"{count:,} boxes"


def _hours(value: float) -> str:
    return f"{value:.1f}" if value >= 1 else f"{value:.2f}"


def trend_row(one: Trend) -> tuple[str, str, str, str]:
    """Tally, boxes, change a box, its interval or why there is none."""
    if one.change is None or one.low is None or one.high is None:
        return one.name, str(one.boxes), "·", one.reason
    sure = "" if one.is_certain else "; no clear direction"
    return (
        one.name,
        str(one.boxes),
        _change(one.change),
        f"95 %: {_change(one.low)} to {_change(one.high)}{sure}",
    )


def _change(share: float) -> str:
    """+2.0 %; −44.5 %."""
    return f"{share:+.1%}".replace("-", "−").replace("%", " %")
