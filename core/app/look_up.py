"""What the coin in hand is worth to the set: the answers of the look-up line. Pure.

An answer names the best album for the coin, what is there, and what keeping the coin would change;
it changes nothing itself. Which answers count as of use is the collector's rule.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from core.app.look_up_answer import Answer as Answer  # noqa: PLC0414 (given on)
from core.app.look_up_answer import Looked as Looked  # noqa: PLC0414 (given on)
from core.app.look_up_answer import Verdict as Verdict  # noqa: PLC0414 (given on)
from core.app.look_up_index import LookUpIndex
from core.app.look_up_places import piece, places_for
from core.app.look_up_told import NO_HEADLINE, found_of, no_album, nowhere, reading_name, told
from core.app.slot_card import look_closer
from core.app.use_rule import Scope as Scope  # noqa: PLC0414 (given on)
from core.app.use_rule import UseRule as UseRule  # noqa: PLC0414 (given on)
from core.glyph.codes import GlyphCode
from core.lookup.completions import completions
from core.lookup.line import Line, read_line
from core.lookup.parse import Entry
from core.model.coin import Coin, Finding
from core.model.issue import Facet, Series, SeriesId, VarietyId

_SEEN = re.compile(r"\s*seen(?:\s+(?!seen\b)|\s*$)", re.IGNORECASE)
"""Before a coin: it is counted and not kept."""
_READ = re.compile(r"read (\d+) as (.+)")
MOST_READINGS = 8
"""Readings that are answered; a line that could be more coins than that names too little."""


def look_up(index: LookUpIndex, text: str, scope: Scope) -> Looked:
    """Everything the line says, at any key; never raises for what is typed."""
    seen = _SEEN.match(text)
    if seen is None:
        return _looked(index, text, scope)
    rest = text[seen.end() :]
    if not rest:
        return Looked(unfinished=text.strip())
    looked = _looked(index, rest, scope)
    more = tuple(seen[0] + one for one in looked.completions)
    return replace(looked, is_seen=True, completions=more)


def _looked(index: LookUpIndex, text: str, scope: Scope) -> Looked:
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


def _answer(index: LookUpIndex, line: Line, entry: Entry, scope: Scope) -> Answer:
    series = _series(index, entry.series)
    coin = entry.coin
    mask = series.may_be(coin.description)
    said = "; ".join(part for part in (line.said, _said(entry)) if part)
    closer = tuple(look_closer(series, mask, coin, codes=index.codes))
    nothing = int(GlyphCode.SPACER)
    blank = Answer(
        Verdict.NOT_SOUGHT, "", "", None, None, "", nothing, nothing, "", "",
        NO_HEADLINE, NO_HEADLINE, closer, 0, entry, said, reading_name(series, entry),
        settle=_settle(series, entry, mask), of="" if line.is_sought else series.title,
        found=found_of(series, entry),
    )  # fmt: skip
    if not line.is_sought:
        is_searching = bool(scope.series)
        why = f"This search is not for {series.title}." if is_searching else no_album(series)
        return replace(blank, sentence=why)
    first, year = scope.nothing_before, _year(index, entry)
    if first is not None and year is not None and year < first:
        why = f"There should be nothing before {first} here; look at the date again."
        return replace(blank, sentence=why)
    if not coin.is_genuine:
        return replace(blank, verdict=Verdict.NO_USE, sentence="A coin not genuine fits no slot.")
    places = places_for(index, series, entry, mask, scope.rule)
    if not places:
        verdict, why = nowhere(index, series, blank, scope.rule)
        return replace(blank, verdict=verdict, sentence=why)
    return told(index, series, places, blank, scope.rule)


def _said(entry: Entry) -> str:
    """What was assumed, without a short date's year, which the answer names: read 43 as 1943."""
    date = entry.coin.description.only(Facet.DATE) or ""
    told = (one for one in entry.said.split("; ") if not _is_short_date(one, date))
    return "; ".join(told)


def _is_short_date(said: str, date: str) -> bool:
    found = _READ.fullmatch(said)
    return found is not None and found[2] == date and date.endswith(found[1])


def _settle(series: Series, entry: Entry, mask: int) -> tuple[VarietyId, ...]:
    """The varieties that Compare can settle: those suspected, or the ones named together."""
    suspected = {v for v, found in entry.coin.varieties if found is Finding.SUSPECTED}
    if not suspected:
        return ()
    return tuple(v.id for v in series.varieties_open_to(mask) if v.id in suspected)


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
            piece(place.shown.coin) if place.shown.coin else str(place.shown.state),
        )
        for place in places_for(index, series, answer.entry, mask, scope.rule)
    )
