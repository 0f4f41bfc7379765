"""What the coin in hand is worth to the set: the answers of the look-up line. Pure.

An answer names the best album for the coin, what is there, and what keeping the coin would change;
it changes nothing itself. Which answers count as of use is the collector's rule.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from core.app.album_view import slot_view
from core.app.look_up_index import MOST_ISSUES, LookUpIndex
from core.app.slot_card import coin_text, look_closer
from core.app.use_rule import Scope as Scope  # noqa: PLC0414 (given on)
from core.app.use_rule import UseRule as UseRule  # noqa: PLC0414 (given on)
from core.app.views import AlbumView, Headline, LookCloser, SlotView
from core.glyph.codes import GlyphCode
from core.lookup.commands import Command
from core.lookup.completions import completions
from core.lookup.line import Line, read_line
from core.lookup.parse import Entry
from core.model.album import AlbumId, AlbumKind, Slot, SlotId, Wish
from core.model.coin import Coin, Finding
from core.model.fit import (
    Fit,
    does_better,
    fit,
    has_barred_problem,
    meets_target,
    needs_comparing,
    open_facets,
)
from core.model.grade import WORDS
from core.model.issue import Facet, Series, SeriesId, VarietyId
from core.model.label import coin_name, join_and
from core.model.state import SlotState


class Verdict(StrEnum):
    """What the coin in hand is to the set, from the best on."""

    FILLS = "Fills a gap"
    UPGRADE = "Upgrade"
    SPARE = "Spare"
    NO_USE = "No use"
    NOT_SOUGHT = "Not sought"

    @property
    def is_of_use(self) -> bool:
        """Whether the collector's rule would keep the coin."""
        return self in (Verdict.FILLS, Verdict.UPGRADE, Verdict.SPARE)


_ORDER = tuple(Verdict)
_NO_HEADLINE = Headline(0, 0, 0)


@dataclass(frozen=True, slots=True)
class Answer:
    """What one reading of the line is worth.

    `before` and `after` are glyph bytes of the slot, `before_text` and `after_text` what stands
    under them; `have_before` and `have_after` count the album, but for spares that wait. `sentence`
    says where and what is there, `second` the target and the spares. `closer` are varieties and
    signs still open, the likely ones first; `more_albums` others in which the coin would be of use;
    `said` what was assumed in reading. `settle` are the varieties that Compare can tell apart.
    `spare` is the one held that waits for the slot, where it decides the answer.
    """

    verdict: Verdict
    sentence: str
    second: str
    album: AlbumId | None
    slot: SlotId | None
    where: str
    before: int
    after: int
    before_text: str
    after_text: str
    have_before: Headline
    have_after: Headline
    closer: tuple[LookCloser, ...]
    more_albums: int
    entry: Entry
    said: str
    name: str = ""
    is_sure: bool = True
    settle: tuple[VarietyId, ...] = ()
    spare: Coin | None = None

    @property
    def have_text(self) -> str:
        """have 88 of 140, then 89; have 88 of 140, no change; "" without an album."""
        if self.album is None:
            return ""
        after = self.have_after.have
        change = "no change" if after == self.have_before.have else f"then {after}"
        return f"{self.have_before.text}, {change}"

    @property
    def closer_text(self) -> str:
        """The second line: what is still open for this coin."""
        names = list(dict.fromkeys(line.name for line in self.closer if line.is_open))
        if not names:
            return "Look closer: nothing known for this date"
        more = f" and {len(names) - _MOST_CLOSER} more" if len(names) > _MOST_CLOSER else ""
        return f"Look closer: {', '.join(names[:_MOST_CLOSER])}{more}"

    @property
    def more_text(self) -> str:
        """+2 more albums, "" for none."""
        many = self.more_albums
        return f"+{many} more album{'s' * (many > 1)}" if many else ""


MOST_READINGS = 8
"""Readings that are answered; a line that could be more coins than that names too little."""
_MOST_CLOSER = 3
_MOST_DATES = 3


@dataclass(frozen=True, slots=True)
class Looked:
    """The line's answers, one a reading; or its command, or its trouble.

    `neighbours` are what was struck beside a date or letter that never was; `completions` whole
    lines to take over; `unfinished` a word still being typed, which no answer takes into account.
    """

    readings: tuple[Answer, ...] = ()
    command: Command | None = None
    trouble: str = ""
    neighbours: tuple[str, ...] = ()
    completions: tuple[str, ...] = ()
    unfinished: str = ""
    said: str = ""

    @property
    def must_ask(self) -> bool:
        """Whether keeping the coin depends on the reading, so that the collector must say which."""
        coins = {answer.entry.coin for answer in self.readings}
        return len(coins) > 1 and any(answer.verdict.is_of_use for answer in self.readings)

    @property
    def meant(self) -> Answer | None:
        """The reading that Enter takes where nothing must be asked: the latest date."""
        return self.readings[-1] if self.readings and not self.must_ask else None


def look_up(index: LookUpIndex, text: str, scope: Scope) -> Looked:
    """Everything the line says, at any key; never raises for what is typed."""
    searched, others = _searched(index, scope)
    line = read_line(text, searched, others, index.codes, scope.counters)
    more = completions(text, searched, line, scope.counters)
    if line.command or line.trouble or not line.entries:
        return Looked(
            (), line.command, line.trouble, line.neighbours, more, line.unfinished, line.said
        )
    entries = _not_before(line.entries, scope.nothing_before, index)
    answers = _with_slots([_answer(index, line, e, scope) for e in entries[:MOST_READINGS]])
    said = line.said
    if len(entries) > MOST_READINGS:
        left = f"{len(entries) - MOST_READINGS} more readings: write the denomination in front"
        said = "; ".join(filter(None, (said, left)))
    return Looked(answers, None, "", (), more, line.unfinished, said)


def look_up_again(index: LookUpIndex, answer: Answer, coin: Coin, scope: Scope) -> Answer:
    """The answer once more is known of its coin than the line said, as when Compare settled it."""
    searched, _ = _searched(index, scope)
    is_sought = any(one.id == answer.entry.series for one in searched)
    entry = replace(answer.entry, coin=coin, one_of=(), said="")
    return _answer(index, Line((entry,), is_sought=is_sought), entry, scope)


def _with_slots(answers: Sequence[Answer]) -> tuple[Answer, ...]:
    """Without the readings of a series that no album asks for, where another one is asked for."""
    asked = {a.entry.series for a in answers if a.slot is not None}
    return tuple(a for a in answers if not asked or a.entry.series in asked)


def _searched(index: LookUpIndex, scope: Scope) -> tuple[list[Series], list[Series]]:
    """The series asked about, all there are in an empty collection; and those a line may name."""
    every = {s.id: s for s in (*index.series, *index.others)}
    asked = scope.series or tuple(s.id for s in index.series) or tuple(every)
    searched = [every[i] for i in asked if i in every]
    return searched, [s for s in every.values() if s.id not in asked]


def _year(index: LookUpIndex, entry: Entry) -> int | None:
    """The latest year the coin may bear, None where its date is not known."""
    series = _series(index, entry.series)
    if not entry.coin.description.values(Facet.DATE):
        return None
    return max((i.year for i in series.matching(entry.coin.description)), default=None)


def _not_before(entries: Sequence[Entry], first: int | None, index: LookUpIndex) -> Sequence[Entry]:
    """The readings that can lie in the box; all of them where none can."""
    if first is None:
        return entries
    kept = [e for e in entries if (year := _year(index, e)) is None or year >= first]
    return kept or entries


def _series(index: LookUpIndex, wanted: SeriesId) -> Series:
    return next(s for s in (*index.series, *index.others) if s.id == wanted)


@dataclass(frozen=True, slots=True)
class _Place:
    """A slot the coin would or may go into, and what it would be there."""

    verdict: Verdict
    view: AlbumView
    shown: SlotView
    is_sure: bool
    words: str
    """What is there and what becomes of it, to be put between the coin and the album's name."""
    tail: str = ""
    is_told: bool = False
    """Whether the words begin the sentence, without the coin's name."""
    spare: Coin | None = None
    is_freed: bool = False
    """Whether a spare waits for the slot that could as well go to another gap."""

    @property
    def is_use(self) -> bool:
        """Whether the coin would go into the slot."""
        return self.verdict in (Verdict.FILLS, Verdict.UPGRADE)


def _answer(index: LookUpIndex, line: Line, entry: Entry, scope: Scope) -> Answer:
    series = _series(index, entry.series)
    coin = entry.coin
    mask = series.may_be(coin.description)
    name = _name(series, coin)
    said = "; ".join(filter(None, (line.said, entry.said)))
    closer = tuple(look_closer(series, mask, coin, codes=index.codes))
    blank = Answer(
        Verdict.NOT_SOUGHT, "", "", None, None, "", int(GlyphCode.SPACER), int(GlyphCode.SPACER),
        "", "", _NO_HEADLINE, _NO_HEADLINE, closer, 0, entry, said, name,
        settle=_settle(series, entry, mask),
    )  # fmt: skip
    if not line.is_sought:
        return replace(blank, sentence=f"{series.title} are not being searched.")
    first, year = scope.nothing_before, _year(index, entry)
    if first is not None and year is not None and year < first:
        told = f"There should be nothing before {first} here; look at the date again."
        return replace(blank, sentence=told)
    if not coin.is_genuine:
        return replace(blank, verdict=Verdict.NO_USE, sentence="A coin not genuine fits no slot.")
    places = _places(index, series, entry, mask, scope.rule)
    if not places:
        verdict, told = _nowhere(index, series, name, scope.rule)
        return replace(blank, verdict=verdict, sentence=told)
    best = places[0]
    useful = {p.view.album.id for p in places if p.is_use}
    return _told(index, series, entry, best, len(useful - {best.view.album.id}), blank, scope.rule)


def _name(series: Series, coin: Coin) -> str:
    """1943-D, with its variety; where the date is worn, its first and last: 1950–1959, D."""
    issues = series.matching(coin.description)
    years = sorted({issue.year for issue in issues})
    if not coin.description.values(Facet.DATE) or len(years) <= _MOST_DATES:
        told = [(v, f) for v, f in coin.varieties if f is not Finding.RULED_OUT]
        named = tuple(told) if len(told) == 1 else ()
        return coin_name(series, replace(coin, varieties=named))
    marks = {issue.mark for issue in issues} or {""}
    letter = f", {marks.pop()}" if len(marks) == 1 and "" not in marks else ""
    return f"{years[0]}–{years[-1]}{letter}"


def _settle(series: Series, entry: Entry, mask: int) -> tuple[VarietyId, ...]:
    """The varieties that Compare can settle: those suspected, or the ones named together."""
    suspected = {v for v, found in entry.coin.varieties if found is Finding.SUSPECTED}
    return tuple(v.id for v in series.varieties_open_to(mask) if v.id in suspected)


def _asked(index: LookUpIndex, series: Series, rule: UseRule) -> list[AlbumView]:
    """The albums that are asked about a series' coins."""
    return [v for v in index.views(series.id) if not rule.albums or v.album.id in rule.albums]


def _places(
    index: LookUpIndex, series: Series, entry: Entry, mask: int, rule: UseRule
) -> list[_Place]:
    """Every slot that takes the coin or may, the best first."""
    chosen = _asked(index, series, rule)
    if rule.albums:
        chosen.sort(key=lambda v: rule.albums.index(v.album.id))
    ranked: list[tuple[tuple[object, ...], _Place]] = []
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
    index: LookUpIndex, series: Series, chosen: Sequence[AlbumView], place: _Place, entry: Entry,
    rule: UseRule,
) -> _Place:  # fmt: skip
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
    if not place.is_sure:
        return _Place(Verdict.SPARE, view, shown, False, told, is_told=True, spare=spare)
    judged = _against(view, shown, spare, entry, series, rule)
    if judged.verdict is Verdict.UPGRADE:
        words = f"beats the {called} that waits for its slot in"
        return _Place(Verdict.UPGRADE, view, shown, True, words, spare=spare)
    return _Place(Verdict.SPARE, view, shown, True, told, judged.tail, is_told=True, spare=spare)


@dataclass(frozen=True, slots=True)
class SlotTold:
    """A slot that takes the coin of an answer or may: its album, label, place, what is there."""

    album: str
    label: str
    where: str
    verdict: Verdict
    is_sure: bool
    there: str


def slots_told(index: LookUpIndex, answer: Answer, scope: Scope) -> tuple[SlotTold, ...]:
    """Every slot that takes an answer's coin or may, the best first."""
    series = _series(index, answer.entry.series)
    mask = series.may_be(answer.entry.coin.description)
    return tuple(
        SlotTold(
            place.view.album.name,
            place.shown.label,
            place.view.place_text(place.shown.slot.id),
            place.verdict,
            place.is_sure,
            _piece(place.shown.coin) if place.shown.coin else str(place.shown.state),
        )
        for place in _places(index, series, answer.entry, mask, scope.rule)
    )


def _rank(place: _Place, series: Series, coin: Coin, at: int) -> tuple[object, ...]:
    """Sort key, in the order of Fill's aims: use, wanted, target, shelf, the narrowest slot."""
    slot = place.shown.slot
    use = _ORDER.index(place.verdict) if place.is_sure else 2
    is_spare = place.verdict is Verdict.SPARE
    return (
        use if place.is_use else 3 if is_spare else 4 + (not place.is_sure),
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
) -> _Place | None:
    slot, held, coin = shown.slot, shown.coin, entry.coin
    how = fit(series, slot, coin)
    if how is Fit.DOES_NOT_FIT:
        return None
    if how is Fit.MAY_FIT and slot.variety and coin.finding(slot.variety) is None:
        return None  # the variety is among what to look closer at
    if how is Fit.MAY_FIT:
        if held is None and rule.gaps and _is_welcome(rule, slot, coin) and not slot.is_pinned:
            return _Place(Verdict.FILLS, view, shown, False, "may fill a gap in")
        words = f"may be no more than the {_piece(held)} in" if held else "may be one for"
        return _Place(Verdict.NO_USE, view, shown, False, words)
    if slot.is_pinned:
        words = f"would be with the {_piece(held)} in" if held else "would fill a gap in"
        return _Place(Verdict.NO_USE, view, shown, True, words, "; the slot is pinned")
    if held is None:
        if rule.gaps and _is_welcome(rule, slot, coin):
            words = "fills a gap in"
            if has_barred_problem(slot, coin):
                words = "is a hole filler in"
            return _Place(Verdict.FILLS, view, shown, True, words)
        why = "takes no coin with a problem" if rule.gaps else "seeks no gaps"
        why = f"; your rule {why}"
        return _Place(Verdict.NO_USE, view, shown, True, "would fill a gap in", why)
    return _against(view, shown, held, entry, series, rule)


def _is_welcome(rule: UseRule, slot: Slot, coin: Coin) -> bool:
    return rule.hole_fillers or not has_barred_problem(slot, coin)


def _against(
    view: AlbumView, shown: SlotView, held: Coin, entry: Entry, series: Series, rule: UseRule
) -> _Place:
    """What the coin is against the one that is in the slot."""
    slot, coin = shown.slot, entry.coin
    is_better = does_better(series, slot, held, coin)
    is_for_the_eye = needs_comparing(slot, held, coin) or _are_ungraded(slot, held, coin)
    if entry.compare and is_for_the_eye:
        is_better = entry.compare == ">"
        is_for_the_eye = False
    piece = _piece(held)
    if is_better and _is_enough(slot, held, coin, rule):
        return _Place(Verdict.UPGRADE, view, shown, True, f"beats the {piece} in")
    if is_better:
        short = "; your rule asks for more" if rule.upgrade_points else "; your rule seeks gaps"
        return _Place(Verdict.NO_USE, view, shown, True, f"beats the {piece} in", short)
    if is_for_the_eye:
        words = f"is to be compared by eye with the {piece} in"
        return _Place(Verdict.NO_USE, view, shown, True, words, "; add > if it is better")
    told = "; the grades decide, not the sign" if entry.compare == ">" else ""
    return _Place(Verdict.NO_USE, view, shown, True, f"is no better than the {piece} in", told)


def _are_ungraded(slot: Slot, held: Coin, coin: Coin) -> bool:
    """Whether both are sound and without a grade, so that only the eye can tell."""
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


def _piece(coin: Coin) -> str:
    """The coin in a slot as one is told of it: VG-8; VG-8, cleaned; ungraded coin."""
    if coin.grade is None and not coin.problems and coin.is_genuine:
        return "ungraded coin"
    return coin_text(coin).removeprefix("no grade yet, ")


def _spare_name(coin: Coin) -> str:
    """A spare as one is told of it: spare VF-20; ungraded spare; spare (VG-8, cleaned)."""
    piece = _piece(coin)
    if piece == "ungraded coin":
        return "ungraded spare"
    return f"spare {piece}" if coin.grade and not coin.problems else f"spare ({piece})"


def _nowhere(index: LookUpIndex, series: Series, name: str, rule: UseRule) -> tuple[Verdict, str]:
    """Why no slot takes a coin."""
    albums = [view.album.name for view in _asked(index, series, rule)]
    if not albums:
        which = "of your rule " if rule.albums else ""
        return Verdict.NOT_SOUGHT, f"No album {which}is kept for {series.title}."
    told = (
        join_and(albums[:_MOST_CLOSER]) if len(albums) <= _MOST_CLOSER else f"{len(albums)} albums"
    )
    return Verdict.NO_USE, f"{name} has no slot in {told}."


def _told(
    index: LookUpIndex, series: Series, entry: Entry, best: _Place, more: int, blank: Answer,
    rule: UseRule,
) -> Answer:  # fmt: skip
    """The answer for the best place."""
    view, shown = best.view, index.marked(best.view, best.shown)
    coin, slot, verdict = replace(entry.coin, quantity=1), shown.slot, best.verdict
    mask = series.may_be(coin.description)
    held = index.spares(series.id).held(mask)
    is_welcome = rule.hole_fillers or not coin.problems
    if verdict is Verdict.NO_USE and is_welcome and held < rule.spares_of_each:
        verdict = Verdict.SPARE
    after = shown
    if verdict in (Verdict.FILLS, Verdict.UPGRADE):
        spares = index.spares(series.id)
        after = slot_view(series, slot, coin, shown.ordered, spares, view.album.arrangement)
    leaf, row, _ = view.places[slot.id]
    name = "" if best.is_told else f"{blank.name} "
    tail = best.tail if best.is_sure else _doubt(series, slot, coin)
    seconds = [_target_text(shown, after), _spares_text(held)]
    if entry.quantity > 1:
        left = entry.quantity - (verdict in (Verdict.FILLS, Verdict.UPGRADE))
        seconds.append(f"{left} of the {entry.quantity} would be spares.")
    have = replace(view.headline, spares_waiting=0)
    sought = _sought(index, series, best)
    return replace(
        blank,
        verdict=verdict,
        sentence=f"{name}{best.words} {_album_name(view)}, leaf {leaf}, row {row}{tail}.",
        second=" ".join(filter(None, seconds)),
        album=view.album.id,
        slot=slot.id,
        where=view.place_text(slot.id),
        before=shown.code,
        after=after.code,
        before_text=shown.held_text,
        after_text=after.held_text,
        have_before=have,
        have_after=headline_after(have, shown, after),
        closer=tuple(look_closer(series, mask, coin, sought, index.codes))
        if sought
        else blank.closer,
        more_albums=more,
        is_sure=best.is_sure,
        spare=best.spare,
    )


def _album_name(view: AlbumView) -> str:
    overview = view.album.kind is AlbumKind.OVERVIEW
    return f"the overview {view.album.name}" if overview else view.album.name


def _doubt(series: Series, slot: Slot, coin: Coin) -> str:
    """What would settle whether a coin fits; found for one slot only, as it takes its time."""
    asked = join_and(list(open_facets(series, slot, coin)))
    return f"; the {asked} would settle it" if asked else ""


def _sought(index: LookUpIndex, series: Series, best: _Place) -> VarietyId | None:
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
    return f"Target {target.text} not met{' while it has no grade' if is_ungraded else ''}."


def _spares_text(held: int) -> str:
    if not held:
        return "You hold no spare."
    return f"You hold {held:,} spare{'s' * (held > 1)}."


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
