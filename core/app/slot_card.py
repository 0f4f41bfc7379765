"""The slot card: everything there is to say of one slot, in words."""

from collections.abc import Sequence
from dataclasses import replace
from math import dist

from core.app.album_view import why_text
from core.app.spares import SpareIndex
from core.app.views import (
    AlbumView,
    HistoryLine,
    LookCloser,
    MarkerLine,
    SlotCard,
    SlotView,
    SpareLine,
)
from core.glyph.legend import spoken
from core.lookup.line import OwnCodes
from core.model.album import Placement, Slot, SlotId, Wish
from core.model.coin import Coin, CoinId, Finding, Origin
from core.model.fit import does_better, has_barred_problem, meets_target, needs_comparing
from core.model.issue import Composition, Issue, Marker, Series, VarietyId
from core.model.label import FOR_COLLECTORS, choice_text, describe, join_or

MOST_SPARES = 8
SAME = 0.1
"""Markers nearer to one another than this, on a disc of radius 1, are one spot."""


def slot_card(
    view: AlbumView,
    slot_id: SlotId,
    spares: SpareIndex,
    placements: Sequence[Placement],
    coins: dict[CoinId, Coin],
    codes: OwnCodes | None = None,
) -> SlotCard:
    """Put one slot's card together; `placements` newest first, `coins` all that they name.

    `codes` are own codes of varieties.
    """
    slot_view = view.by_id[slot_id]
    slot = slot_view.slot
    series = view.series_of(slot)
    open_issues, place = _open_issues(series, slot_view), view.place_text(slot_id)
    return SlotCard(
        view=slot_view,
        album=view.album,
        series=series,
        where=f"{series.title} · {place}" if view.others else place,
        accepts=accepts_text(series, slot),
        state_text=spoken(slot_view.state, slot_view.marks),
        why=why_text(series, slot, slot_view.coin),
        facts=tuple(_facts(series, slot_view)),
        look_closer=tuple(look_closer(series, open_issues, slot_view.coin, slot.variety, codes)),
        spares=tuple(spare_lines(series, slot_view, spares)),
        history=tuple(history_lines(placements, coins)),
    )


def _open_issues(series: Series, view: SlotView) -> int:
    """The issues to look at: what the coin may be, else what the slot accepts."""
    if view.coin is not None and (mask := series.may_be(view.coin.description)):
        return mask
    return series.may_be(view.slot.accepts)


def accepts_text(series: Series, slot: Slot) -> str:
    """What a slot takes, in one line."""
    text = _sold_to(series, slot, describe(series, slot.accepts))
    text = text.replace("date not known", "any date", 1)
    variety = series.variety(slot.variety) if slot.variety else None
    wish = "" if slot.wish is Wish.WANTED else f" ({slot.wish})"
    return f"takes {text}{', ' + variety.name if variety else ''}{wish}"


def _sold_to(series: Series, slot: Slot, text: str) -> str:
    """1970-D, sold to collectors; and where a slot takes both kinds, that it does."""
    issues = series.matching(slot.accepts)
    theirs = [series.is_for_collectors(issue) for issue in issues]
    if not any(theirs):
        return text
    if all(theirs):
        return f"{text.removesuffix(' ' + FOR_COLLECTORS).rstrip(',')}, sold to collectors"
    return f"{text}, also one sold to collectors"


def coin_text(coin: Coin) -> str:
    """A coin's condition: VF-20, cleaned; or no grade yet."""
    words = [coin.grade.text if coin.grade else "no grade yet", *map(str, coin.problems)]
    if not coin.is_genuine:
        words.append("not genuine")
    return ", ".join(words)


def came_from(coin: Coin) -> str:
    """found, box 12 roll 31."""
    words = [str(coin.origin)] if coin.origin is not Origin.UNKNOWN else []
    if coin.came_from:
        words.append(coin.came_from)
    return ", ".join(words) or "not known"


def _facts(series: Series, view: SlotView) -> list[tuple[str, str]]:
    facts: list[tuple[str, str]] = []
    mask = _open_issues(series, view)
    if (coin := view.coin) is not None:
        facts.append(("In the slot", coin_text(coin)))
        if coin.description != view.slot.accepts:
            facts.append(("Read as", describe(series, coin.description)))
        facts.append(("Coin number", str(coin.id)))
        facts.append(("Came from", came_from(coin)))
    if (ordered := view.ordered) is not None:
        facts.append(("On order", f"{coin_text(ordered)} · {came_from(ordered)}"))
    facts.append(("Mintage", mintage_text(series, mask)))
    facts += metal_facts(series, list(series.issues_of(mask)), coin)
    return facts


def mintage_text(series: Series, mask: int) -> str:
    """15,294,000; or not known; with “of all 1982-D” where parts are not told apart."""
    number, of_what = series.mintage_of(mask)
    if number is None:
        return "not known"
    return f"{number:,}" + (f" ({of_what})" if of_what else "")


def metal_facts(
    series: Series, issues: Sequence[Issue], coin: Coin | None
) -> list[tuple[str, str]]:
    """Composition, weight with its tolerance, silver; one value each, or each that is open."""
    metals = [series.composition(c) for c in dict.fromkeys(i.composition for i in issues)]
    facts = [("Composition", join_or([m.title for m in metals]))]
    weights = list(dict.fromkeys(weight_text(m) for m in metals))
    facts.append(("Weight", join_or(weights)))
    if coin is not None and coin.weight_mg is not None:
        facts.append(("Weighed", f"{coin.weight_mg / 1000:.2f} g"))
    if any(m.silver_ozt != 0 for m in metals):
        facts.append(("Silver", join_or(list(dict.fromkeys(silver_text(m) for m in metals)))))
    return facts


def weight_text(metal: Composition) -> str:
    """5.00 g ± 0.19."""
    if metal.weight_g is None:
        return "not known"
    spread = f" ± {metal.tolerance_g:.2f}" if metal.tolerance_g is not None else ""
    return f"{metal.weight_g:.2f} g{spread}"


def silver_text(metal: Composition) -> str:
    """0.0563 troy oz."""
    if metal.silver_ozt is None:
        return "not known"
    return f"{metal.silver_ozt:.4f} troy oz" if metal.silver_ozt else "none"


def look_closer(
    series: Series,
    mask: int,
    coin: Coin | None,
    sought: VarietyId | None = None,
    codes: OwnCodes | None = None,
) -> list[LookCloser]:
    """What is suspected or `sought`, the other open signs and varieties, then what is settled."""
    own = {variety: code for code, (of, variety) in (codes or {}).items() if of == series.id}
    lines = [
        (
            LookCloser(
                name=sign_name(sign.facet, sign.value, series),
                where=sign.where,
                look=sign.look,
                odds=str(sign.odds),
                known="as described" if is_told else "",
                source=sign.source,
                markers=_unnumbered(sign.markers),
                is_open=not is_told,
            ),
            False,
        )
        for sign in series.signs_open_to(mask)
        for is_told in [coin is not None and not mask & ~series.sign_mask(sign)]
    ]
    for variety in series.varieties_open_to(mask):
        finding = coin.finding(variety.id) if coin is not None else None
        line = LookCloser(
            name=variety.name,
            where=variety.where,
            look=variety.look,
            odds=str(variety.odds),
            known=str(finding) if finding else "",
            source=variety.source,
            markers=_unnumbered(variety.markers),
            is_open=finding not in (Finding.CONFIRMED, Finding.RULED_OUT),
            series=series.id,
            variety=variety.id,
            code=own.get(variety.id, ""),
        )
        lines.append((line, finding is Finding.SUSPECTED or variety.id == sought))
    lines.sort(key=lambda pair: (not pair[0].is_open, not pair[1]))
    return numbered([line for line, _is_first in lines])


def _unnumbered(markers: Sequence[Marker]) -> tuple[MarkerLine, ...]:
    return tuple(MarkerLine(0, m.place, m.see, m.evidence, m.face, m.x, m.y) for m in markers)


def numbered(lines: Sequence[LookCloser]) -> list[LookCloser]:
    """The lines with their open markers numbered from 1; markers at one place share a number."""
    spots: list[MarkerLine] = []

    def with_number(marker: MarkerLine) -> MarkerLine:
        if not marker.face.has_spots:
            return marker
        for spot in spots:
            if spot.face is marker.face and dist((spot.x, spot.y), (marker.x, marker.y)) < SAME:
                return replace(marker, number=spot.number)
        spots.append(replace(marker, number=len(spots) + 1))
        return spots[-1]

    return [
        replace(line, markers=tuple(map(with_number, line.markers))) if line.is_open else line
        for line in lines
    ]


def sign_name(facet: str, value: str, series: Series) -> str:
    """A facet's value in words."""
    match facet:
        case "composition":
            return series.composition(value).title
        case "design":
            return series.design(value).title

    return choice_text(facet, value)


def spare_lines(series: Series, view: SlotView, spares: SpareIndex) -> list[SpareLine]:
    """Spares that surely fit, best first, each with what it would gain."""
    return [
        SpareLine(
            coin.id,
            coin_text(coin),
            ", ".join(w for w in (came_from(coin), coin.place) if w),
            gain_text(series, view, coin),
            does_better(series, view.slot, view.coin, coin),
        )
        for coin in spares.fitting(view.slot)[:MOST_SPARES]
    ]


def gain_text(series: Series, view: SlotView, coin: Coin) -> str:
    """What a spare would gain in a slot."""
    slot, held = view.slot, view.coin
    if held is not None and needs_comparing(slot, held, coin):
        return "compare by eye"
    if not does_better(series, slot, held, coin):
        return "no better"
    if slot.target is not None and meets_target(slot, coin):
        return "meets target"
    if held is None:
        return "fills the gap"
    if has_barred_problem(slot, held) and not has_barred_problem(slot, coin):
        return "no problem"
    gain = (coin.points or 0) - (held.points or 0)
    return f"+{gain} points" if gain > 0 else "better"


def _piece_text(coin: Coin) -> str:
    """A coin as one thing that moves: VF-20, cleaned; bent coin; ungraded coin."""
    if coin.grade is not None or not coin.is_genuine:
        return coin_text(coin)
    return f"{', '.join(map(str, coin.problems)) or 'ungraded'} coin"


def history_lines(placements: Sequence[Placement], coins: dict[CoinId, Coin]) -> list[HistoryLine]:
    """Coins put in and taken out, newest first."""
    lines = []
    for placement in placements:
        text = _piece_text(coins[placement.coin])
        stay = placement.id, placement.since, placement.until
        if placement.until is not None:
            lines.append(HistoryLine(placement.until, f"{text} taken out", *stay))
        lines.append(HistoryLine(placement.since, f"{text} put in", *stay))
    return sorted(lines, key=lambda line: line.day, reverse=True)
