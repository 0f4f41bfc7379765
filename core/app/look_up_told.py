"""The answer of the look-up line in sentences, for the slot where the coin does best. Pure."""

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from core.app.album_view import slot_view
from core.app.compare import was_one_of
from core.app.look_up_answer import Answer, Verdict
from core.app.look_up_index import LookUpIndex
from core.app.look_up_places import Place, albums_asked
from core.app.slot_card import look_closer
from core.app.use_rule import UseRule
from core.app.views import AlbumView, Headline, SlotView
from core.lookup.parse import Entry
from core.model.album import AlbumKind, Slot, Wish
from core.model.coin import Coin, Finding
from core.model.fit import meets_target, open_facets
from core.model.issue import Facet, Series, VarietyId
from core.model.label import coin_name, describe, found_text, join_and, join_or
from core.model.state import SlotState

NO_HEADLINE = Headline(0, 0, 0)
_WHICH = re.compile(r"(?<=\?) \([^)]*\)")
"""The ends of several suspected, which a sentence leaves out."""
_MOST_ALBUMS = 3
_MOST_DATES = 3


def reading_name(series: Series, entry: Entry) -> str:
    """1943-D, with its variety; where the date is worn, its first and last: 1950–1959, D."""
    worn = _worn_name(series, entry.coin)
    if worn:
        return worn.replace(" (", ", ").rstrip(")")
    return coin_name(series, entry.coin, _is_one_of(entry))


def found_of(series: Series, entry: Entry) -> str:
    """The varieties of an entry in words, "" for none."""
    return found_text(series, entry.coin, _is_one_of(entry)) if entry.coin.varieties else ""


def _is_one_of(entry: Entry) -> bool:
    """Whether the varieties suspected of a coin are a set of which it is one."""
    return bool(entry.one_of) or was_one_of(entry.coin.note)


def _spoken_name(series: Series, entry: Entry, name: str) -> str:
    """The coin within a sentence: what is open of it and its variety stand in brackets.

    1944 (no letter, D or S); 1955 (doubled die obverse?); one of unknown date (wheat ears).
    `name` is its `reading_name`, which will do where nothing is open.
    """
    coin = entry.coin
    is_dated = 0 < len(coin.description.values(Facet.DATE)) <= _MOST_DATES
    if is_dated and not coin.varieties and "?" not in name:
        return name
    worn = _worn_name(series, coin)
    if worn:
        return worn
    plain = describe(series, coin.description)
    if plain.startswith("date not known"):
        _, _, rest = plain.partition(", ")
        return f"one of unknown date ({rest})" if rest else "one of unknown date"
    head, mark, rest = plain.partition("?")
    if mark:
        issues = series.matching(coin.description)
        date = join_or(list(dict.fromkeys(issue.date for issue in issues)))
        plain = f"{date} ({head.removeprefix(date).removeprefix(', ')}){rest}"
    told = [(v, f) for v, f in coin.varieties if f is not Finding.RULED_OUT]
    if not told:
        return plain
    variety = series.variety(told[0][0]) if len(told) == 1 else None
    if variety is None or told[0][1] is Finding.SUSPECTED:
        found = found_text(series, coin, _is_one_of(entry))
        return f"{plain} ({_WHICH.sub('', found)})"
    words = [w for w in variety.name.split(", ") if not plain.endswith(f" {w}")]
    return f"{plain} ({', '.join(words)})"


def _worn_name(series: Series, coin: Coin) -> str:
    """A coin whose date is worn: 1950–1959 (D); "" for any other."""
    if len(coin.description.values(Facet.DATE)) <= _MOST_DATES:
        return ""
    issues = series.matching(coin.description)
    years = sorted({issue.year for issue in issues})
    if len(years) <= _MOST_DATES:
        return ""
    marks = {issue.mark for issue in issues} or {""}
    letter = f" ({marks.pop()})" if len(marks) == 1 and "" not in marks else ""
    return f"{years[0]}–{years[-1]}{letter}"


def no_album(series: Series, of_rule: bool = False) -> str:
    """That no album takes a series' coins."""
    return f"No album {'of your rule ' * of_rule}asks for {series.title}."


def nowhere(
    index: LookUpIndex, series: Series, blank: Answer, rule: UseRule
) -> tuple[Verdict, str]:
    """Why no slot takes the coin of an answer."""
    albums = [view.album.name for view in albums_asked(index, series, rule)]
    if not albums:
        return Verdict.NOT_SOUGHT, no_album(series, bool(rule.albums))
    name = _spoken_name(series, blank.entry, blank.name)
    told = join_and(albums) if len(albums) <= _MOST_ALBUMS else f"{len(albums)} albums"
    return Verdict.NO_USE, _sentence(f"{name} has no slot in {told}.")


def told(
    index: LookUpIndex, series: Series, places: Sequence[Place], blank: Answer, rule: UseRule
) -> Answer:
    """The answer for the best of the places; `blank` is what it says of any."""
    best, entry = places[0], blank.entry
    view, shown = best.view, index.marked(best.view, best.shown)
    coin, slot, verdict = entry.coin, shown.slot, best.verdict
    if coin.quantity != 1:
        coin = replace(coin, quantity=1)
    mask = series.may_be(coin.description)
    held = index.spares(series.id).held(mask)
    is_welcome = rule.hole_fillers or not coin.problems
    if verdict is Verdict.NO_USE and is_welcome and held < rule.spares_of_each:
        verdict = Verdict.SPARE
    after = shown
    if best.is_use:
        spares = index.spares(series.id)
        after = slot_view(series, slot, coin, shown.ordered, spares, view.album.arrangement)
    hint = best.hint if best.is_sure else _doubt(series, slot, coin)
    seconds = [hint, _target_text(shown, after), _spares_text(held)]
    seconds.append(_rest_text(entry.quantity, best.is_use))
    have = view.headline
    if have.spares_waiting:
        have = replace(have, spares_waiting=0)
    sought = _sought(index, series, best)
    useful = {place.view.album.id for place in places if place.is_use}
    return replace(
        blank,
        verdict=verdict,
        sentence=_place_sentence(best, _spoken_name(series, entry, blank.name), _gaps(places)),
        second=" ".join(filter(None, seconds)),
        album=view.album.id,
        slot=slot.id,
        where=view.place_text(slot.id),
        before=shown.code,
        after=after.code,
        before_text=shown.held_text,
        after_text=after.held_text if after is shown else _under(series, coin, best, after),
        have_before=have,
        have_after=headline_after(have, shown, after),
        closer=tuple(look_closer(series, mask, coin, sought, index.codes))
        if sought
        else blank.closer,
        more_albums=len(useful - {view.album.id}),
        is_sure=best.is_sure,
        is_for_the_eye=bool(best.hint),
        spare=best.spare,
        is_counted=slot.wish is Wish.WANTED,
    )


def _gaps(places: Sequence[Place]) -> int:
    """How many gaps of the best place's album the coin may fill, 0 where it surely fits one."""
    best = places[0]
    if best.is_sure or best.verdict is not Verdict.FILLS:
        return 0
    here = best.view.album.id
    return sum(p.verdict is best.verdict and p.view.album.id == here for p in places)


def _place_sentence(place: Place, name: str, gaps: int) -> str:
    """Which coin, what it is there, in which album, leaf and row; or how many gaps it may fill."""
    if gaps > 1:
        return _sentence(f"{name} may fill one of {gaps:,} gaps in {_album_name(place.view)}.")
    leaf, row, _ = place.view.places[place.shown.slot.id]
    words = [place.lead, name if place.is_named else "", place.words, _album_name(place.view)]
    return _sentence(f"{' '.join(filter(None, words))}, leaf {leaf}, row {row}{place.tail}.")


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]


def _album_name(view: AlbumView) -> str:
    overview = view.album.kind is AlbumKind.OVERVIEW
    return f"the overview {view.album.name}" if overview else view.album.name


def _under(series: Series, coin: Coin, best: Place, after: SlotView) -> str:
    """What stands under the slot with the coin in it."""
    return after.held_text if best.is_sure or _is_dated(series, coin) else "date?"


def _is_dated(series: Series, coin: Coin) -> bool:
    """Whether all that a coin may be bears one date."""
    return len({i.date for i in series.issues_of(series.may_be(coin.description))}) == 1


def _doubt(series: Series, slot: Slot, coin: Coin) -> str:
    """What would settle whether a coin fits; found for one slot only, as it takes its time."""
    is_dated = _is_dated(series, coin)
    asked = join_and(list(open_facets(series, slot, coin))) if is_dated else "date"
    return f"The {asked} would settle it." if asked else ""


def _sought(index: LookUpIndex, series: Series, best: Place) -> VarietyId | None:
    """A variety that an empty slot for the same issues seeks."""
    here = series.may_be(best.shown.slot.accepts)
    return next(
        (
            shown.slot.variety
            for shown in index.slots_for(best.view, series, here)
            if shown.coin is None and shown.slot.variety and shown.slot.wish is not Wish.SKIPPED
        ),
        None,
    )


def _target_text(shown: SlotView, after: SlotView) -> str:
    target = shown.slot.target
    if target is None:
        return ""
    if after is shown:
        met = shown.coin is not None and meets_target(shown.slot, shown.coin)
        return f"Target {target.text} is met already." if met else ""
    if after.coin is None or meets_target(after.slot, after.coin):
        return f"Target {target.text} met."
    is_ungraded = after.coin.grade is None and not after.coin.problems
    return f"Target {target.text} not met{': no grade yet' if is_ungraded else ''}."


def _spares_text(held: int) -> str:
    if not held:
        return "You hold no spare."
    return f"You hold {held:,} spare{'s' * (held > 1)}."


def _rest_text(quantity: int, is_use: bool) -> str:
    """What becomes of several coins alike where one has a place at most; "" for one alone."""
    left = quantity - is_use
    if quantity == 1:
        return ""
    if left == quantity:
        return f"All {quantity:,} would be spares."
    return f"{left:,} of the {quantity:,} would be {'a spare' if left == 1 else 'spares'}."


def headline_after(before: Headline, shown: SlotView, after: SlotView) -> Headline:
    """The album's counts when one of its slots is as `after` instead of as `shown`.

    Spares that wait are not counted: an album as look-up knows it has no marks.
    """
    if after is shown:
        return before
    states = Counter(before.states)
    states[shown.state] -= 1
    states[after.state] += 1
    have, target = before.have, before.at_target
    if shown.counts:
        have += (after.coin is not None) - (shown.coin is not None)
        target += (after.state is SlotState.FILLED) - (shown.state is SlotState.FILLED)
    return Headline(have, before.wanted, target, +states)
