"""Reads one entry line as collectors write it: `43-D vf20`, `1982 d 3.11g`, `3 x 58d corroded`.

A line is read for each series it may belong to, in two steps: its words become claims, whatever
their order; then the claims are put together with a date, and what they leave open is the coin.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from core.errors import BadEntry
from core.lookup.assemble import Assembled, assemble
from core.lookup.claims import Claims, read_claims
from core.lookup.graded import without_table_names
from core.lookup.short_words import SPOKEN, written_out
from core.lookup.trouble import Trouble
from core.lookup.vocabulary import Vocabulary, singular, vocabulary
from core.lookup.words import Claim, cut
from core.model.coin import Coin
from core.model.issue import Series, SeriesId, VarietyId

_MOST_NEIGHBOURS = 6
MOST_NAMED = 3
"""How many series a message names; it tells how many more there are."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One reading of an entry line.

    `coin` is a template without a number (id 0) that carries the quantity; `said` tells what was
    assumed, "" for nothing; `compare` is "<", "=" or ">" (to the coin in the slot), or "".
    `one_of` are the varieties of which the coin is one, not settled which; `is_ender`: it lay at
    the end of a roll.
    """

    coin: Coin
    series: SeriesId
    quantity: int = 1
    said: str = ""
    compare: str = ""
    one_of: tuple[VarietyId, ...] = ()
    is_ender: bool = False


def parse_entry(text: str, series: Sequence[Series], prefer: SeriesId | None = None) -> Entry:
    """Read an entry that has one meaning.

    `prefer` is the series meant where the line names no denomination. Raises BadEntry: an unknown
    word, a date never struck, facts that disagree, or several readings, each listed.
    """
    found = readings(text, series, prefer)
    if len(found) == 1:
        return found[0]
    by_id = {s.id: s for s in series}
    meant = [by_id[i] for i in dict.fromkeys(entry.series for entry in found)]
    dates = [entry.coin.description.only("date") or "a date not known" for entry in found]
    if len(meant) == 1:
        raise BadEntry(
            f"“{text.strip()}” can be {' or '.join(dict.fromkeys(dates))}; write the date in full."
        )
    titles = _first_few([s.title for s in meant])
    raise BadEntry(
        f"“{text.strip()}” can be of {titles}; put the denomination in front, "
        f"such as “{_own_name(meant[0], meant[1:])} {text.strip()}”."
    )


def readings(
    text: str, series: Sequence[Series], prefer: SeriesId | None = None
) -> tuple[Entry, ...]:
    """Every reading of an entry, in the order of the series and their dates; at least one.

    Two-digit dates that stand for two years give both where both were struck. Raises BadEntry
    as `parse_entry` does where there is none.
    """
    words, note = cut(text)
    if not words:
        raise BadEntry("The entry is empty; write a date and letter, such as 1943-D vf20.")
    found, refused = read_words(words, note, series, prefer)
    if refused is not None:
        raise BadEntry(refused.told(text))
    return found


@dataclass(frozen=True, slots=True)
class Refused:
    """Why no series reads a line: the trouble of each one tried, and who else would read it."""

    troubles: tuple[Trouble, ...]
    elsewhere: str = ""
    others: tuple[Entry, ...] = ()

    @property
    def furthest(self) -> Trouble | None:
        """The trouble of the series that came furthest with the line, and knows most beside it."""
        return max(self.troubles, key=_furthest, default=None)

    @property
    def neighbours(self) -> tuple[str, ...]:
        """What was struck beside, in every series that came as far with the line as any."""
        furthest = self.furthest
        if furthest is None:
            return ()
        alike = [t for t in self.troubles if _same(t, furthest)]
        return tuple(dict.fromkeys(n for t in alike for n in t.neighbours))[:_MOST_NEIGHBOURS]

    @property
    def unknown(self) -> str:
        """The first word that says nothing in any series tried, "" where it is not the words."""
        furthest = self.furthest
        return _unknown_to_all(self.troubles, furthest) if furthest else ""

    def told(self, text: str) -> str:
        """What to tell of it."""
        return _worst(text, self.troubles, self.furthest) + self.elsewhere


def read_words(
    words: list[str],
    note: str,
    series: Sequence[Series],
    prefer: SeriesId | None = None,
    is_in_hand: bool = False,
) -> tuple[tuple[Entry, ...], Refused | None]:
    """Every reading of a line's words, or why there is none; `is_in_hand` as of `assemble`."""
    known = [vocabulary(s) for s in series]
    words = written_out(words, SPOKEN, lambda word: any(v.has_word(word) for v in known))
    chosen, is_named = _meant(words, known)
    if not is_named and any(v.series.id == prefer for v in chosen):
        chosen = [v for v in chosen if v.series.id == prefer]
    found, troubles = _read(words, note, chosen, False, is_in_hand)
    if not found:  # only where no series has it for banks
        sold = [v for v in chosen if v.series.has_collectors_issues]
        found, more = _read(words, note, sold, True, is_in_hand)
        furthest = max((trouble.stage for trouble in troubles), default=0)
        troubles += [trouble for trouble in more if trouble.stage > furthest]
    if found:
        return tuple(found), None
    others, _ = _read(words, note, [v for v in known if v not in chosen], False, is_in_hand)
    return (), Refused(tuple(troubles), _elsewhere(others, known), tuple(others))


def names_series(words: Sequence[str], series: Sequence[Series]) -> tuple[Series, ...]:
    """The series that a line names by its denomination, () where it names none."""
    known = [vocabulary(s) for s in series]
    spoken = written_out(words, SPOKEN, lambda word: any(v.has_word(word) for v in known))
    phrases = _phrases(spoken)
    if not any(p in v.strong for v in known for p in phrases):
        return ()
    return tuple(v.series for v in _meant(spoken, known)[0])


def _read(
    words: list[str],
    note: str,
    chosen: Iterable[Vocabulary],
    may_be_collectors: bool,
    is_in_hand: bool,
) -> tuple[list[Entry], list[Trouble]]:
    found: list[Entry] = []
    troubles: list[Trouble] = []
    for known in chosen:
        claims = read_claims(words, known)
        try:
            built = assemble(known, claims, may_be_collectors, is_in_hand)
        except Trouble as trouble:
            troubles.append(trouble)
        else:
            found += [_entry(one, claims, note, known.series.id) for one in built]
    return found, troubles


def _entry(built: Assembled, claims: Claims, note: str, series: SeriesId) -> Entry:
    coin = built.coin
    if note or claims.quantity != 1:
        coin = replace(coin, note=note, quantity=claims.quantity)
    said = "; ".join(dict.fromkeys(built.said))
    is_ender = Claim.ENDER in claims.said
    return Entry(coin, series, claims.quantity, said, claims.compare, built.one_of, is_ender)


def _meant(words: list[str], known: list[Vocabulary]) -> tuple[list[Vocabulary], bool]:
    """The series a line may belong to, and whether it names them."""
    phrases = _phrases(words)
    strong = [v for v in known if any(p in v.strong for p in phrases)]
    told = {p for p in phrases if any(p in v.strong for v in strong)}
    weak = [v for v in strong or known if any(p in v.weak for p in phrases if p not in told)]
    chosen = weak or strong or known
    return chosen, len(chosen) < len(known)


def _phrases(words: list[str]) -> list[str]:
    words = without_table_names(words)
    return [singular(" ".join(words[i:j])) for i in range(len(words)) for j in (i + 1, i + 2)]


def _worst(text: str, troubles: Sequence[Trouble], furthest: Trouble | None) -> str:
    """The message of the series that came furthest with the line."""
    if furthest is None:
        return f"“{text.strip()}” cannot be read: this collection has no series yet; add one first."
    if furthest.word and len({str(trouble) for trouble in troubles}) > 1:
        word = _unknown_to_all(troubles, furthest)
        within = f" in “{text.strip()}”" if word != text.strip().casefold() else ""
        return (
            f"“{word}”{within} is not a word known for these series. Write a "
            "date, letter, grade, weight, problem, design or variety, or put a note in quotes."
        )
    alike = [t.title for t in troubles if t.title and _same(t, furthest)]
    if len(alike) < 2:
        return str(furthest)
    return f"{_first_few(alike)}: {furthest.rest}"


def _furthest(trouble: Trouble) -> tuple[int, float, int]:
    return trouble.stage, -trouble.away, len(trouble.neighbours)


def _same(one: Trouble, other: Trouble) -> bool:
    return (one.stage, one.rest, one.away) == (other.stage, other.rest, other.away)


def _unknown_to_all(troubles: Sequence[Trouble], furthest: Trouble) -> str:
    """The first word that no series knows, else the first that the nearest one does not."""
    every = [t.words for t in troubles if t.words]
    return next((w for w in furthest.words if all(w in words for words in every)), furthest.word)


def _elsewhere(found: Sequence[Entry], known: Sequence[Vocabulary]) -> str:
    """A hint where another series reads the line."""
    others = {entry.series for entry in found}
    if not others:
        return ""
    names = list(dict.fromkeys(_name(v.series) for v in known if v.series.id in others))
    named = names[:MOST_NAMED] + (["another"] if len(names) > MOST_NAMED else [])
    return f" Is it a {' or '.join(named)}? Write that word in front."


def _first_few(titles: Sequence[str]) -> str:
    """Lincoln cents, Roosevelt dimes, Franklin halves and 12 more: three at most by name."""
    more = len(titles) - MOST_NAMED
    named = ", ".join(titles[:MOST_NAMED])
    return f"{named} and {more} more" if more > 0 else named


def _name(series: Series) -> str:
    """The word to put in front of an entry of this series."""
    return series.words[0] if series.words else singular(series.title.split()[-1])


def _own_name(series: Series, others: Sequence[Series]) -> str:
    """The word to put in front that none of the others shares; cents of two kinds go by title."""
    name = _name(series)
    is_shared = any(name in (*other.words, other.denomination) for other in others)
    return series.title.split()[0].lower() if is_shared else name
