"""Reads the look-up line: a coin in hand as it is typed, or a command of the search log.

The grammar is that of `core.lookup.parse`, read forgivingly: a misspelt word gets the nearest one
within one edit, a country's word in front names its series, one's own codes name varieties, and a
coin may go without a date. Nothing is assumed without being said; dates and letters never are.
"""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import product

from core.errors import BadEntry
from core.lookup.commands import Command, read_command
from core.lookup.graded import is_own_word
from core.lookup.parse import Entry, Refused, names_series, read_words
from core.lookup.short_words import COUNTRIES, SPOKEN
from core.lookup.vocabulary import Vocabulary, vocabulary
from core.lookup.words import CLAIMS, GRADE_PHRASES, PROBLEMS, cut, fold, grade_words
from core.model.coin import Finding
from core.model.issue import Facet, Series, SeriesId, VarietyId
from core.model.label import describe, join_and, join_or

LONGEST = 300
"""Characters a line may have."""
MOST_WORDS = 14
"""Words a line may have beside its note; at every key each is read anew."""
OwnCodes = Mapping[str, tuple[SeriesId, VarietyId]]

_LEAST_LETTERS = 4
"""A shorter word is too near to others to be corrected."""
_MOST_CORRECTED = 2
_MOST_TITLES = 3
MOST_CODE_WORDS = 3
"""Words an own code may have."""
_LETTERS = "abcdefghijklmnopqrstuvwxyz"
_PART_OF_DATE = re.compile(r"\d|\d{3}")
_PART_OF_NUMBER = re.compile(r"[a-z]{1,2}-?\d|\d\.?")
_DATE_IN_WORD = re.compile(r"\d")
_WHOLE_DATE = re.compile(r"\d{4}(?!\d)")


@dataclass(frozen=True, slots=True)
class Line:
    """What a line says: readings of a coin, or a command, or why it cannot be read.

    `neighbours` are labels of what was struck beside a date or letter that never was;
    `unfinished` is a last word that is still being typed, left out of the readings. `is_sought`
    is False where the coin is of a series that is not being searched.
    """

    entries: tuple[Entry, ...] = ()
    command: Command | None = None
    trouble: str = ""
    said: str = ""
    neighbours: tuple[str, ...] = ()
    unfinished: str = ""
    is_sought: bool = True


def read_line(
    text: str,
    series: Sequence[Series],
    others: Sequence[Series] = (),
    codes: OwnCodes | None = None,
    counters: tuple[str, ...] = (),
) -> Line:
    """Read a line; never raises.

    `series` are those being searched, `others` the rest that a line may name; `codes` are own
    reference codes of varieties; `counters` the collector's own.
    """
    if not text.strip():
        return Line()
    if len(text) > LONGEST:
        return Line(trouble=f"The line is longer than {LONGEST} characters; write one coin.")
    ordered = read_command(text, counters)
    if ordered is not None:
        return Line(command=ordered.command, trouble=ordered.trouble, said=ordered.said)
    words, note = cut(text)
    if not words:
        return Line(trouble="The line holds no coin; write a date and letter, such as 43d.")
    if len(words) > MOST_WORDS:
        return Line(
            trouble=f"The line has more than {MOST_WORDS} words; write one coin, and put what else "
            "there is to say in quotes at the end."
        )
    return _Reader(text, note, series, others, codes or {}).read(words)


@dataclass(slots=True)
class _Reader:
    text: str
    note: str
    series: Sequence[Series]
    others: Sequence[Series]
    codes: OwnCodes

    def read(self, words: list[str]) -> Line:
        coded, words = self._without_codes(words)
        if coded:
            return self._read_coded(coded, words)
        abroad, words = self._without_country(words)
        searched = self.series if abroad is None else [s for s in self.series if s in abroad]
        beyond = self.others if abroad is None else [s for s in abroad if s not in self.series]
        if not words:
            return Line(trouble="The line names a country alone; write the coin after it.")
        if not searched and not beyond:
            return Line(trouble="No series is being searched; add one, or name it in the search.")
        line = self._read_in(words, searched) if searched else Line()
        if line.entries or not beyond:
            return line
        named = names_series(words, [*searched, *beyond]) if searched else beyond
        away = [s for s in named if s in beyond]
        if away:
            elsewhere = self._read_in(words, away)
            if elsewhere.entries or len(away) == len(named):
                return replace(elsewhere, is_sought=False)
            return line
        return self._misnamed(words, beyond) or self._of_older_kind(words, searched, beyond) or line

    def _misnamed(self, words: list[str], beyond: Sequence[Series]) -> Line | None:
        """The line with a misspelt denomination of a series that is not searched: `40 nickle`."""
        for at, word in enumerate(words):
            if word in _every_word(self.series):
                continue
            for near in near_words(word, beyond):
                put = [*words[:at], near, *words[at + 1 :]]
                away = names_series(put, beyond)
                read = self._read_in(put, away) if 0 < len(away) < len(beyond) else Line()
                if read.entries:
                    told = "; ".join(filter(None, (f"read {word} as {near}", read.said)))
                    return replace(read, said=told, is_sought=False)
        return None

    def _of_older_kind(
        self, words: list[str], searched: Sequence[Series], beyond: Sequence[Series]
    ) -> Line | None:
        """A whole date that none searched bears, of another series of their denomination: 1905."""
        kinds = {(one.issuer, one.denomination) for one in searched}
        beside = [s for s in beyond if (s.issuer, s.denomination) in kinds]
        if not beside or any(vocabulary(s).dates(w) for s in searched for w in words):
            return None
        if not any(_WHOLE_DATE.match(word) for word in words):
            return None
        found, _ = read_words(words, self.note, beside, is_in_hand=True)
        dated = tuple(e for e in found if len(e.coin.description.values(Facet.DATE)) == 1)
        return Line(dated, is_sought=False) if dated else None

    def _read_in(self, words: list[str], series: Sequence[Series]) -> Line:
        if self._is_being_typed(words, series):
            found, _ = read_words(words[:-1], self.note, series, is_in_hand=True)
            if found:
                return Line(found, unfinished=words[-1].lstrip("-"))
        found, refused = read_words(words, self.note, series, is_in_hand=True)
        if refused is None:
            return Line(found)
        corrected = self._corrected(words, series)
        if corrected is not None:
            return corrected
        unfinished = self._unfinished(words, series, refused)
        if unfinished is not None:
            return unfinished
        return Line(trouble=self._told(refused, series), neighbours=refused.neighbours)

    def _told(self, refused: Refused, series: Sequence[Series]) -> str:
        """Why a line is not read, and whose word it holds where only another series knows it."""
        word = refused.unknown.strip("-?")
        beyond = [s for s in self.others if s not in series] if word else []
        titles = [s.title for s in beyond if _is_own(vocabulary(s), word)]
        if not titles:
            return refused.told(self.text)
        named = titles[:_MOST_TITLES] + ["others"] * (len(titles) > _MOST_TITLES)
        return (
            f"“{word}” is not a word known here. {join_and(named)} have it: put their denomination "
            "in front."
        )

    def _corrected(self, words: list[str], series: Sequence[Series]) -> Line | None:
        """The line with misspelt words read as their nearest ones, None where none is near."""
        wrong = _unknown_words(words, series)
        if not 0 < len(wrong) <= _MOST_CORRECTED:
            return None
        choices = [
            [near for near in near_words(plain, series) if not _drops_a_letter(plain, near, series)]
            for plain in (word.strip("-?") for word in wrong)
        ]
        read: dict[tuple[str, ...], tuple[Entry, ...]] = {}
        for chosen in product(*choices):
            put = dict(zip(wrong, chosen, strict=True))
            fixed = [
                word.replace(word.strip("-?"), put[word]) if word in put else word for word in words
            ]
            found, _ = read_words(fixed, self.note, series, is_in_hand=True)
            if found and not any(_same_coins(found, other) for other in read.values()):
                read[chosen] = found
        if len(read) > 1:
            told = join_or([" ".join(chosen) for chosen in read])
            return Line(trouble=f"“{' '.join(wrong)}” may be {told}; write which.")
        for chosen, found in read.items():
            said = ", ".join(f"read {w} as {c}" for w, c in zip(wrong, chosen, strict=True))
            return Line(found, said=said)
        return None

    def _unfinished(
        self, words: list[str], series: Sequence[Series], refused: Refused
    ) -> Line | None:
        """The line without a last word that may become a known one, as it is being typed."""
        last = words[-1].lstrip("-")
        if self.text[-1].isspace():
            return None
        if len(words) == 1:
            return Line(unfinished=last) if _PART_OF_DATE.fullmatch(last) else None
        is_open = any(trouble.word == words[-1] for trouble in refused.troubles)
        if not (is_open and _may_become(last, series)) and not _PART_OF_NUMBER.fullmatch(last):
            return None
        found, _ = read_words(words[:-1], self.note, series, is_in_hand=True)
        return Line(found, unfinished=last) if found else None

    def _is_being_typed(self, words: list[str], series: Sequence[Series]) -> bool:
        """Whether the last word says nothing yet and begins one that would."""
        last = words[-1].lstrip("-")
        if len(words) == 1 or not last.isalpha() or self.text[-1].isspace():
            return False
        if not _may_become(last, series) or last in _every_word(series) or grade_words(last):
            return False
        return not any(
            last in known.mints or known.dates(last) or is_own_word(last, known.series.issuer)
            for known in map(vocabulary, series)
        )

    def _without_country(self, words: list[str]) -> tuple[list[Series] | None, list[str]]:
        """The series of the country that a line names in front of the coin, None for none."""
        every = [*self.series, *self.others]
        issuers = dict.fromkeys(one.issuer for one in every)
        for at in range(len(words)):
            for size in (3, 2, 1):
                issuer = _issuer(" ".join(words[at : at + size]), issuers)
                if issuer and at + size <= len(words) and self._leads(words, at + size, every):
                    return (
                        [s for s in every if s.issuer == issuer],
                        words[:at] + words[at + size :],
                    )
        return None, words

    def _leads(self, words: list[str], at: int, every: Sequence[Series]) -> bool:
        """Whether a date or a denomination stands next, and not a grade: `us vf` is none."""
        if at >= len(words):
            return False
        word = words[at]
        if _DATE_IN_WORD.match(word):
            return True
        joined = ["".join(words[at : at + size]) for size in (1, 2)]
        if any(vocabulary(one).dates(date) for one in every for date in joined):
            return True
        two = " ".join(words[at : at + 2])
        return any(
            singular in known.strong or singular in known.weak
            for known in map(vocabulary, every)
            for singular in (word, word.removesuffix("s"), two, two.removesuffix("s"))
        )

    def _without_codes(
        self, words: list[str]
    ) -> tuple[list[tuple[SeriesId, VarietyId, Finding]], list[str]]:
        """The varieties that own codes name, and the words that are left."""
        if not self.codes:
            return [], words
        folded = {code_words(code): named for code, named in self.codes.items()}
        found: list[tuple[SeriesId, VarietyId, Finding]] = []
        left: list[str] = []
        at = 0
        while at < len(words):
            for size in range(min(MOST_CODE_WORDS, len(words) - at), 0, -1):
                phrase = " ".join(words[at : at + size])
                plain = phrase if phrase in folded else phrase.removeprefix("-").removesuffix("?")
                if plain in folded:
                    finding = Finding.SUSPECTED if phrase != plain else Finding.CONFIRMED
                    is_out = phrase != plain and phrase.startswith("-")
                    found.append((*folded[plain], Finding.RULED_OUT if is_out else finding))
                    at += size
                    break
            else:
                left.append(words[at])
                at += 1
        return found, left

    def _read_coded(
        self, coded: list[tuple[SeriesId, VarietyId, Finding]], words: list[str]
    ) -> Line:
        """A line with own codes: what the varieties apply to, and what else is written."""
        known = {s.id: s for s in (*self.series, *self.others)}
        series = known.get(coded[0][0])
        varieties = [series.variety(v) for s, v, _ in coded if series and s == series.id]
        if series is None or len(varieties) < len(coded) or None in varieties:
            return Line(trouble="The codes name varieties of series that are not at hand.")
        first = next(v for v in varieties if v is not None)
        extra = list(words)
        mask = series.variety_mask(first)
        dates = {i.date for i in series.issues_of(mask)}
        if len(dates) == 1 and not _holds_date(words, series):
            extra = [dates.pop(), *extra]
        mints = {i.mint for i in series.issues_of(mask)}
        found: tuple[Entry, ...]
        found, refused = read_words(extra, self.note, [series], is_in_hand=True)
        if len(mints) == 1 and not any(series.may_be(e.coin.description) & mask for e in found):
            extra += map(fold, mints)
            found, refused = read_words(extra, self.note, [series], is_in_hand=True)
        if refused is not None:
            return Line(trouble=refused.told(self.text))
        entries = tuple(self._with_varieties(e, series, coded) for e in found)
        kept = tuple(e for e in entries if e is not None)
        if not kept:
            label = describe(series, found[0].coin.description)
            return Line(trouble=f"{first.name} is not known on {label}; check the date and letter.")
        return Line(kept, is_sought=series in self.series)

    def _with_varieties(
        self, entry: Entry, series: Series, coded: Iterable[tuple[SeriesId, VarietyId, Finding]]
    ) -> Entry | None:
        coin = entry.coin
        for _, variety_id, finding in coded:
            variety = series.variety(variety_id)
            if variety is None:
                return None
            narrowed = coin.description
            for facet, values in variety.applies:
                had = set(narrowed.values(facet))
                narrowed = narrowed.with_facet(facet, had & set(values) if had else values)
            if not series.may_be(coin.description) & series.variety_mask(variety):
                return None
            if finding is Finding.CONFIRMED and series.may_be(narrowed):
                coin = replace(coin, description=narrowed)
            coin = coin.with_finding(variety_id, finding)
        return replace(entry, coin=coin)


@lru_cache(4096)
def code_words(code: str) -> str:
    """An own code as a line's words stand beside one another."""
    return " ".join(cut(code)[0])


def means_something(code: str, series: Sequence[Series]) -> bool:
    """Whether a line would read what is to be a code in some other way."""
    if read_command(code, ()) is not None or read_line(f"{code} ", series).entries:
        return True
    known = [vocabulary(one) for one in series]
    return all(
        word in _every_word(series)
        or word.isdecimal()
        or bool(grade_words(word))
        or any(word in one.mints or one.dates(word) for one in known)
        for word in code_words(code).split()
    )


def near_words(word: str, series: Sequence[Series]) -> list[str]:
    """The known words within one edit of a word, never letters or dates; () for a short one."""
    if len(word) < _LEAST_LETTERS or not word.isalpha():
        return []
    known = _every_word(series)
    return sorted({w for w in _one_edit_from(word) if w in known and len(w) >= _LEAST_LETTERS - 1})


def _one_edit_from(word: str) -> Iterator[str]:
    for at in range(len(word) + 1):
        before, after = word[:at], word[at:]
        for letter in _LETTERS:
            yield before + letter + after
            if after:
                yield before + letter + after[1:]
        if after:
            yield before + after[1:]
        if len(after) > 1:
            yield before + after[1] + after[0] + after[2:]


_FIXED = frozenset(
    word
    for phrase in (*CLAIMS, *PROBLEMS, *GRADE_PHRASES, *SPOKEN)
    for word in phrase.split()
    if word.isalpha()
)
_ALL_WORDS: dict[tuple[SeriesId, ...], frozenset[str]] = {}


def _every_word(series: Sequence[Series]) -> frozenset[str]:
    """Every word that means something in any of these series, kept for the next key."""
    key = tuple(s.id for s in series)
    known = _ALL_WORDS.get(key)
    if known is None:
        known = _FIXED.union(*(vocabulary(s).written_words for s in series))
        _ALL_WORDS[key] = known
    return known


def known_words(series: Sequence[Series]) -> frozenset[str]:
    """Every word that a line may hold of these series, but dates, letters and grades."""
    return _every_word(series)


def _unknown_words(words: list[str], series: Sequence[Series]) -> list[str]:
    known = _every_word(series)
    plain = [(word, word.strip("-?")) for word in words]
    wrong = [w for w, p in plain if p.isalpha() and len(p) >= _LEAST_LETTERS and p not in known]
    is_mint = {name for s in series for name in vocabulary(s).mints}
    wrong = [w for w in wrong if w.strip("-?") not in is_mint]
    return list(dict.fromkeys(wrong))


def _is_own(known: Vocabulary, word: str) -> bool:
    """Whether a word says something of a series by itself, its title's words included."""
    return known.has_word(word) or word in known.weak or bool(known.dates(word))


def _may_become(last: str, series: Sequence[Series]) -> bool:
    return any(word.startswith(last) and word != last for word in _every_word(series))


def _drops_a_letter(word: str, near: str, series: Sequence[Series]) -> bool:
    """Whether reading `svdb` as `vdb` would leave out a mint's letter.

    `coppers` is a plural, and of `cleanedd` a letter was typed twice.
    """
    edge = word[0] if near == word[1:] else word[-1] if near == word[:-1] else ""
    is_twice = edge in (near[0], near[-1])
    is_plural = edge == "s" and near == word[:-1] and len(near) > _LEAST_LETTERS
    if not edge or is_twice or is_plural:
        return False
    return any(edge in vocabulary(one).mints for one in series)


def _same_coins(one: Sequence[Entry], other: Sequence[Entry]) -> bool:
    return [e.coin for e in one] == [e.coin for e in other]


@lru_cache(512)
def _issuer_names(issuer: str) -> frozenset[str]:
    """What an issuer may be called in a line, folded."""
    whole = fold(issuer)
    short = (name for name, named in COUNTRIES.items() if named == issuer)
    return frozenset({whole, whole.partition(" (")[0], *short})


def _issuer(phrase: str, issuers: Iterable[str]) -> str:
    """The issuer a phrase names, "" for none."""
    return next((issuer for issuer in issuers if phrase in _issuer_names(issuer)), "")


def _holds_date(words: Sequence[str], series: Series) -> bool:
    known = vocabulary(series)
    return any(known.dates(word) or re.match(r"\d{2}", word) for word in words)


def entry_label(entry: Entry, series: Series) -> str:
    """What an entry is, without its grade: 1943-D, or its facets."""
    return describe(series, entry.coin.description)


def one_reading(line: Line) -> Entry:
    """The only reading of a line; raises BadEntry where it has none or several."""
    if len(line.entries) == 1:
        return line.entries[0]
    if line.trouble:
        raise BadEntry(line.trouble)
    dates = [e.coin.description.only(Facet.DATE) or "a date not known" for e in line.entries]
    raise BadEntry(f"The line can be {join_or(dates)}; write the date in full.")
