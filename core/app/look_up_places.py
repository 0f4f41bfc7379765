"""The slots that take the coin in hand or may, and what it would be in each. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from core.app.look_up_answer import Verdict
from core.app.look_up_index import MOST_ISSUES, LookUpIndex
from core.app.slot_card import coin_text
from core.app.use_rule import UseRule
from core.app.views import AlbumView, SlotView
from core.lookup.parse import Entry
from core.model.album import AlbumKind, Slot, Wish
from core.model.coin import Coin
from core.model.fit import (
    Fit,
    does_better,
    fit,
    has_barred_problem,
    meets_target,
    needs_comparing,
)
from core.model.grade import WORDS
from core.model.issue import Series

_ORDER = tuple(Verdict)


@dataclass(frozen=True, slots=True)
class Place:
    """A slot the coin would or may go into, and what it would be there.

    The sentence is `lead`, the coin's name (left out where `lead` tells all), `words`, the album's
    name with the place, `tail`; `hint` is a sentence after it. `spare` is the one held that waits
    for the slot; `is_freed`: one waits for it that could as well go to another gap.
    """

    verdict: Verdict
    view: AlbumView
    shown: SlotView
    is_sure: bool
    words: str
    tail: str = ""
    lead: str = ""
    hint: str = ""
    is_named: bool = True
    spare: Coin | None = None
    is_freed: bool = False

    @property
    def is_use(self) -> bool:
        """Whether the coin would go into the slot."""
        return self.verdict in (Verdict.FILLS, Verdict.UPGRADE)


def albums_asked(index: LookUpIndex, series: Series, rule: UseRule) -> list[AlbumView]:
    """The albums that are asked about a series' coins."""
    return [v for v in index.views(series.id) if not rule.albums or v.album.id in rule.albums]


def places_for(
    index: LookUpIndex, series: Series, entry: Entry, mask: int, rule: UseRule
) -> list[Place]:
    """Every slot that takes the coin or may, the best first."""
    chosen = albums_asked(index, series, rule)
    if rule.albums:
        chosen.sort(key=lambda v: rule.albums.index(v.album.id))
    ranked: list[tuple[tuple[object, ...], Place]] = []
    for at, view in enumerate(chosen):
        for shown in index.slots_for(view, series, mask):
            if shown.slot.wish is Wish.SKIPPED:
                continue
            place = _place(series, view, shown, entry, rule)
            if place is not None and place.is_use and view.album.kind is AlbumKind.HOLDER:
                place = _after_spares(index, series, chosen, place, entry, rule)
            if place is not None:
                ranked.append((_rank(place, series, entry.coin, at), place))
    ranked.sort(key=lambda pair: pair[0])
    return [place for _, place in ranked]


def _after_spares(
    index: LookUpIndex, series: Series, chosen: Sequence[AlbumView], place: Place, entry: Entry,
    rule: UseRule,
) -> Place:  # fmt: skip
    """The place as it is when the spares held have gone where Fill would put them."""
    view, shown = place.view, place.shown
    here = series.may_be(entry.coin.description)
    if here.bit_count() > MOST_ISSUES:
        return place
    mask = here if place.is_sure else here & series.may_be(shown.slot.accepts)
    spoken = index.spoken_for(chosen, series, mask)
    spare = spoken.spare_for(shown.slot)
    if spare is None:
        return replace(place, is_freed=shown.slot.id in spoken.opened)
    called = _spare_name(spare)
    article = "An" if called.startswith("ungraded") else "A"
    told = f"{article} {called} waits for {shown.label.strip('[]')} in"
    sure = place.is_sure
    waits = Place(Verdict.NO_USE, view, shown, sure, told, is_named=False, spare=spare)
    if not sure:
        return waits
    judged = _against(view, shown, spare, entry, series, rule)
    if judged.verdict is Verdict.UPGRADE:
        words = f"beats the {called} that waits for its slot in"
        return Place(Verdict.UPGRADE, view, shown, True, words, spare=spare)
    tail = judged.tail if judged.tail.startswith(";") else ""
    return replace(waits, tail=tail, hint=judged.hint)


def _rank(place: Place, series: Series, coin: Coin, at: int) -> tuple[object, ...]:
    """Sort key, in the order of Fill's aims: use, wanted, target, shelf, the narrowest slot."""
    slot = place.shown.slot
    use = _ORDER.index(place.verdict) if place.is_sure else 2
    return (
        use if place.is_use else 3 if place.spare else 4 + (not place.is_sure),
        place.is_freed,
        place.view.album.kind is AlbumKind.OVERVIEW,
        slot.wish is not Wish.WANTED,
        not meets_target(slot, coin),
        at,
        slot.variety is None,
        series.may_be(slot.accepts).bit_count(),
    )


def _place(
    series: Series, view: AlbumView, shown: SlotView, entry: Entry, rule: UseRule
) -> Place | None:
    slot, held, coin = shown.slot, shown.coin, entry.coin
    how = fit(series, slot, coin)
    if how is Fit.DOES_NOT_FIT:
        return None
    if how is Fit.MAY_FIT and slot.variety and coin.finding(slot.variety) is None:
        return None  # the variety is among what to look closer at
    gap = "a gap" if slot.wish is Wish.WANTED else "an optional slot"
    if how is Fit.MAY_FIT:
        if held is None and rule.gaps and _is_welcome(rule, slot, coin) and not slot.is_pinned:
            return Place(Verdict.FILLS, view, shown, False, f"may fill {gap} in")
        words = f"may match the {piece(held)} in" if held else "may be one for"
        return Place(Verdict.NO_USE, view, shown, False, words)
    if slot.is_pinned:
        words = f"would be with the {piece(held)} in" if held else f"would fill {gap} in"
        return Place(Verdict.NO_USE, view, shown, True, words, "; the slot is pinned")
    if held is None:
        if rule.gaps and _is_welcome(rule, slot, coin):
            words = f"fills {gap} in"
            if has_barred_problem(slot, coin):
                words = "is a hole filler in"
            return Place(Verdict.FILLS, view, shown, True, words)
        why = "takes no coin with a problem" if rule.gaps else "seeks no gaps"
        why = f"; your rule {why}"
        return Place(Verdict.NO_USE, view, shown, True, f"would fill {gap} in", why)
    return _against(view, shown, held, entry, series, rule)


def _is_welcome(rule: UseRule, slot: Slot, coin: Coin) -> bool:
    return rule.hole_fillers or not has_barred_problem(slot, coin)


def _against(
    view: AlbumView, shown: SlotView, held: Coin, entry: Entry, series: Series, rule: UseRule
) -> Place:
    """What the coin is against the one that is in the slot."""
    slot, coin = shown.slot, entry.coin
    is_better = does_better(series, slot, held, coin)
    must_compare = is_for_the_eye(slot, held, coin)
    if entry.compare and must_compare:
        is_better = entry.compare == ">"
        must_compare = False
    called = piece(held)
    if is_better and _is_enough(slot, held, coin, rule):
        return Place(Verdict.UPGRADE, view, shown, True, f"beats the {called} in")
    if is_better:
        short = "; your rule asks for more" if rule.upgrade_points else "; your rule seeks gaps"
        return Place(Verdict.NO_USE, view, shown, True, f"beats the {called} in", short)
    if must_compare:
        return Place(
            Verdict.NO_USE, view, shown, True, f"by eye with the {called} in", lead="Compare",
            hint="Add > if better.",
        )  # fmt: skip
    if _is_finer(slot, held, coin):
        words, tail = f"is finer than the {called} in", ", but the target is met"
        return Place(Verdict.NO_USE, view, shown, True, words, tail)
    if coin.is_flagged and does_better(series, slot, held, replace(coin, is_flagged=False)):
        words = f"would beat the {called} in"
        return Place(Verdict.NO_USE, view, shown, True, words, ", once it is verified")
    told = "; the grades decide, not the sign" if entry.compare == ">" else ""
    return Place(Verdict.NO_USE, view, shown, True, f"is no better than the {called} in", told)


def _is_finer(slot: Slot, held: Coin, coin: Coin) -> bool:
    """Whether a coin has more points than a sound one that meets all that is asked."""
    if coin.points is None or held.points is None or has_barred_problem(slot, coin):
        return False
    return coin.points > held.points and meets_target(slot, held)


def is_for_the_eye(slot: Slot, held: Coin, coin: Coin) -> bool:
    """Whether only the eye can tell which is better: both sound, one or both without a grade."""
    return needs_comparing(slot, held, coin) or _are_ungraded(slot, held, coin)


def _are_ungraded(slot: Slot, held: Coin, coin: Coin) -> bool:
    """Whether both are sound and without a grade."""
    sound = not has_barred_problem(slot, held) and not has_barred_problem(slot, coin)
    return sound and held.grade is None and coin.grade is None


def _is_enough(slot: Slot, held: Coin, coin: Coin, rule: UseRule) -> bool:
    """Whether an upgrade is as large as the rule asks; points count up to the target's."""
    if rule.upgrade_points == 0 and not rule.upgrade_by_word:
        return False
    if held.points is None or coin.points is None or has_barred_problem(slot, held):
        return True
    if meets_target(slot, coin) and not meets_target(slot, held):
        return True
    by_word = rule.upgrade_by_word and _word(coin.points) > _word(held.points)
    by_points = rule.upgrade_points > 0 and coin.points - held.points >= rule.upgrade_points
    return by_word or by_points


def _word(points: int) -> int:
    """The place of a number's word on the scale: VG before F."""
    return max(low for low, high in WORDS.values() if low <= points)


def piece(coin: Coin) -> str:
    """The coin in a slot as one is told of it: VG-8; VG-8 (cleaned); ungraded coin."""
    if coin.grade is None and not coin.problems and coin.is_genuine:
        return "ungraded coin"
    grade, _, rest = coin_text(coin).partition(", ")
    if coin.grade is None:
        return f"ungraded coin ({rest})"
    return f"{grade} ({rest})" if rest else grade


def _spare_name(coin: Coin) -> str:
    """A spare as one is told of it: spare VF-20; spare VG-8 (cleaned); ungraded spare."""
    called = piece(coin)
    is_ungraded = called.startswith("ungraded coin")
    return called.replace("coin", "spare", 1) if is_ungraded else f"spare {called}"
