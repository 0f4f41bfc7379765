"""Fits and may fit: which coin belongs in which slot, and the facts that decide a slot's state."""

from collections.abc import Collection
from enum import StrEnum
from itertools import combinations

from core.model.album import Slot, Wish
from core.model.coin import Coin, Finding
from core.model.issue import Issue, Series
from core.model.state import SlotFacts, SlotState, fill_level, slot_state


class Fit(StrEnum):
    """How a coin stands to a slot."""

    FITS = "fits"
    MAY_FIT = "may fit"
    DOES_NOT_FIT = "does not fit"


def fit(series: Series, slot: Slot, coin: Coin) -> Fit:
    """A coin fits when all that it may still be is accepted; when only part is, it may fit.

    A coin that is not genuine, or that no issue agrees with, fits nothing. A slot that requires
    a variety takes a coin with that variety confirmed; one not ruled out may fit.
    """
    if not coin.is_genuine:
        return Fit.DOES_NOT_FIT
    may_be = series.may_be(coin.description)
    accepted = series.may_be(slot.accepts)
    if not may_be & accepted:
        return Fit.DOES_NOT_FIT
    whole = may_be & ~accepted == 0
    if slot.variety is None:
        return Fit.FITS if whole else Fit.MAY_FIT
    finding = coin.finding(slot.variety)
    if finding is Finding.RULED_OUT:
        return Fit.DOES_NOT_FIT
    variety = series.variety(slot.variety)
    if variety is not None and not may_be & accepted & series.variety_mask(variety):
        return Fit.DOES_NOT_FIT
    return Fit.FITS if whole and finding is Finding.CONFIRMED else Fit.MAY_FIT


def open_facets(series: Series, slot: Slot, coin: Coin) -> tuple[str, ...]:
    """What would settle whether the coin fits: the fewest facets that tell inside from outside.

    () where it surely fits or does not fit. A variety that the slot requires comes last, by name.
    """
    if fit(series, slot, coin) is not Fit.MAY_FIT:
        return ()
    may_be, accepted = series.may_be(coin.description), series.may_be(slot.accepts)
    inside = list(series.issues_of(may_be & accepted))
    outside = list(series.issues_of(may_be & ~accepted))
    found = list(_telling_facets(inside, outside))
    if slot.variety is not None and coin.finding(slot.variety) is not Finding.CONFIRMED:
        variety = series.variety(slot.variety)
        found.append(variety.name if variety else str(slot.variety))
    return tuple(found)


def _telling_facets(inside: list[Issue], outside: list[Issue]) -> tuple[str, ...]:
    names = ["date", "mint", "design", "composition", "mark", "strike", "release"]
    names += sorted({name for issue in inside + outside for name, _ in issue.choices})
    values = [name for name in names if len({i.value(name) for i in inside + outside}) > 1]
    for size in range(len(values) + 1):
        for chosen in combinations(values, size):
            here = {tuple(i.value(name) for name in chosen) for i in inside}
            if not any(tuple(i.value(name) for name in chosen) in here for i in outside):
                return chosen
    return tuple(values)


def has_barred_problem(slot: Slot, coin: Coin) -> bool:
    """Whether the coin has a problem that this slot does not allow."""
    damaged = bool(coin.problems) or (coin.grade is not None and coin.grade.is_details)
    return damaged and not (slot.target is not None and slot.target.allows_problems)


def meets_target(slot: Slot, coin: Coin) -> bool:
    """Whether a fitting coin meets the slot's target; without one any sound coin does."""
    if slot.target is None:
        return not has_barred_problem(slot, coin)
    return slot.target.is_met_by(coin.grade, bool(coin.problems))


def slot_facts(
    series: Series, slot: Slot, coin: Coin | None, is_ordered: bool = False
) -> SlotFacts:
    """The claims from which `slot_state` decides."""
    if coin is None:
        return SlotFacts(
            is_skipped=slot.wish is Wish.SKIPPED, is_ordered=is_ordered, has_coin=False
        )
    return SlotFacts(
        is_skipped=slot.wish is Wish.SKIPPED,
        has_coin=True,
        is_ordered=is_ordered,
        surely_fits=fit(series, slot, coin) is Fit.FITS,
        is_flagged=coin.is_flagged,
        has_barred_problem=has_barred_problem(slot, coin),
        has_target=slot.target is not None,
        meets_target=meets_target(slot, coin),
        points=coin.points,
        target_points=slot.target.least if slot.target else None,
    )


def state_and_level(
    series: Series, slot: Slot, coin: Coin | None, is_ordered: bool = False
) -> tuple[SlotState, int]:
    """A slot's state, and its level (25, 50, 75) where it is below target."""
    facts = slot_facts(series, slot, coin, is_ordered)
    return slot_state(facts), fill_level(facts.points, facts.target_points)


def improves(series: Series, slot: Slot, held: Coin | None, spare: Coin) -> bool:
    """Whether Fill would put a spare into a slot: it would do better in one that Fill may fill."""
    is_left_alone = slot.wish is Wish.SKIPPED or slot.is_pinned
    return not is_left_alone and does_better(series, slot, held, spare)


def does_better(series: Series, slot: Slot, held: Coin | None, spare: Coin) -> bool:
    """Whether a coin would do better in a slot than what it holds: sound, at target, more points.

    The order of the aims of Fill; a pin or a wish does not matter. A coin that only may fit, does
    not fit or is flagged counts as neither. An ungraded coin never beats a sound one, nor a graded
    one an ungraded sound coin: those are compared by eye.
    """
    if spare.is_flagged or fit(series, slot, spare) is not Fit.FITS:
        return False
    if held is None:
        return True
    if held.is_flagged or fit(series, slot, held) is not Fit.FITS:
        return _worth(slot, spare) > (False, False, 0)
    if needs_comparing(slot, held, spare):
        return False
    return _worth(slot, spare) > _worth(slot, held)


def _worth(slot: Slot, coin: Coin) -> tuple[bool, bool, int]:
    """Sound, at target, and points up to the target's."""
    points = coin.points or 0
    if slot.target is not None and slot.target.least is not None:
        points = min(points, slot.target.least)
    return not has_barred_problem(slot, coin), meets_target(slot, coin), points


def needs_comparing(slot: Slot, held: Coin, spare: Coin) -> bool:
    """Whether only the eye can tell: both sound, and exactly one of them is ungraded."""
    both_sound = not has_barred_problem(slot, held) and not has_barred_problem(slot, spare)
    return both_sound and (held.grade is None) != (spare.grade is None)


def open_tags(series: Series, coin: Coin, mask: int) -> Collection[str]:
    """Names of varieties still open on a coin: known on its issues, neither seen nor ruled out."""
    settled = {v for v, f in coin.varieties if f is not Finding.SUSPECTED}
    return [v.name for v in series.varieties_open_to(mask) if v.id not in settled]
