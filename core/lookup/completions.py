"""What a line may go on to say: whole lines to take over while a word is being typed."""

from collections.abc import Iterable, Iterator, Sequence

from core.lookup.line import Line
from core.lookup.parse import Entry, read_words
from core.lookup.short_words import SPOKEN
from core.lookup.vocabulary import ABBREVIATIONS, Thing, vocabulary
from core.lookup.words import CLAIMS, GRADE_PHRASES, PROBLEMS, cut
from core.model.issue import Facet, Series
from core.model.search import COUNTERS

MOST = 6
_MOST_TRIED = 16
_SHORT = 3
_LEAST = 2
"""Letters typed before words are offered that this coin does not call for itself."""


def completions(
    text: str, series: Sequence[Series], line: Line, counters: tuple[str, ...] = ()
) -> tuple[str, ...]:
    """Whole lines that begin as this one does, likeliest first; each of them can be read.

    What is open on the coin read so far comes first: `98 w` goes on to `98 wide am`.
    """
    plain = text.lstrip()
    if plain.startswith("+"):
        begun = plain[1:].lstrip().casefold()
        known = dict.fromkeys((*COUNTERS, *counters))
        return tuple(f"+{c}" for c in known if c.casefold().startswith(begun) and c != begun)[:MOST]
    if not plain or plain != plain.rstrip() or plain.startswith("/") or '"' in plain:
        return ()
    head, _, last = plain.rpartition(" ")
    if last[-1].isdigit():
        return tuple(_letters(plain, series, line))[:MOST]
    begun = last.lstrip("-").casefold()
    sign = last[: len(last) - len(begun)]
    if not begun.isalpha():
        return ()
    by_id = {s.id: s for s in series}
    before = line.entries if line.unfinished else _before(head, series)
    ids = dict.fromkeys(entry.series for entry in before[:2])
    meant = [by_id[i] for i in ids if i in by_id]
    found: list[str] = []
    tried = 0
    for word in dict.fromkeys(_words(begun, before, series)):
        if word == begun or tried == _MOST_TRIED or len(found) == MOST:
            continue
        tried += 1
        whole = " ".join(part for part in (head, sign + word) if part)
        words, note = cut(whole)
        # a problem can stand beside whatever was read before it
        is_sure = not before or (word in PROBLEMS and not sign)
        if is_sure or read_words(words, note, meant, is_in_hand=True)[0]:
            found.append(whole)
    return tuple(found)


def _before(head: str, series: Sequence[Series]) -> tuple[Entry, ...]:
    words, note = cut(head)
    return read_words(words, note, series, is_in_hand=True)[0] if words else ()


def _letters(plain: str, series: Sequence[Series], line: Line) -> Iterator[str]:
    """The date with each letter it was struck with: `43` goes on to `43d`."""
    by_id = {s.id: s for s in series}
    for entry in line.entries[:1]:
        known = by_id.get(entry.series)
        date = entry.coin.description.only(Facet.DATE)
        if known is None or date is None or not date.endswith(plain.rpartition(" ")[2]):
            continue
        usual = entry.coin.description.with_facet(Facet.MINT, ()).with_facet(Facet.MARK, ())
        marks = dict.fromkeys(issue.mark for issue in known.matching(usual))
        yield from (f"{plain}{mark.casefold()}" for mark in marks if mark)


def _words(begun: str, before: Sequence[Entry], series: Sequence[Series]) -> Iterator[str]:
    by_id = {s.id: s for s in series}
    for entry in before[:2]:
        known = by_id.get(entry.series)
        if known is None:
            continue
        date = entry.coin.description.values(Facet.DATE)
        here = known.facet_mask(Facet.DATE, date) if date else known.everything
        yield from _things(begun, (t for t in vocabulary(known).things if t.mask & here))
    if len(begun) < _LEAST and before:
        return
    fixed = sorted({*PROBLEMS, *CLAIMS, *GRADE_PHRASES}) if before else []
    yield from (phrase for phrase in fixed if phrase.startswith(begun))
    if not before:
        yield from (word for word in SPOKEN if word.startswith(begun))
        for one in series:
            yield from sorted(w for w in vocabulary(one).strong if w.startswith(begun))


def _things(begun: str, things: Iterable[Thing]) -> Iterator[str]:
    """One word or name for each thing that begins so, the short ones first."""
    found: list[tuple[int, str]] = []
    for thing in things:
        short = sorted(w for w in thing.keys & ABBREVIATIONS.keys() if w.startswith(begun))
        name = " ".join(thing.name)
        longer = sorted(w for w in thing.keys if w.startswith(begun) and len(w) > _SHORT)
        if short:
            found.append((0, short[0]))
        elif name.startswith(begun):
            found.append((1, name))
        elif longer:
            found.append((2, longer[0]))
    yield from (word for _, word in sorted(found))
