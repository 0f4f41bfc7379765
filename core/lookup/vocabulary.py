"""The words of one series: its dates, letters, designs, metals, choices and varieties."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property, lru_cache

from core.lookup.short_words import SHORT
from core.lookup.words import fold, grade_words, name_words, written_name
from core.model.issue import Facet, Series, SeriesId, Variety, VarietyId
from core.model.label import choice_text

_FILLERS = frozenset(
    [
        *("a", "an", "and", "at", "by", "for", "from", "in", "no", "not", "of", "on", "or", "the"),
        *("to", "with", "coin", "date", "die", "ears", "letter", "mark", "mint", "planchet"),
        *("side", "size", "strike", "struck", "style"),
    ]
)
"""Words of names that say too little to stand alone in an entry."""
_COPPER = frozenset({"copper", "bronze", "brass"})
ABBREVIATIONS = {
    "ddo": "doubled die obverse",
    "ddr": "doubled die reverse",
    "rpm": "repunched mint mark",
    "omm": "over mint mark",
    "rpd": "repunched date",
    "mpd": "misplaced date",
    "tdo": "tripled die obverse",
    "qdo": "quadrupled die obverse",
}
_FIGURES = {"two": "2", "three": "3", "four": "4", "five": "5", "six": "6", "seven": "7"}
_MOST_TYPES = 3
"""A series of so few designs is spoken of by their order: type 1, type 2."""
_ERAS = {
    "明治": ("meiji", "m"),
    "大正": ("taisho", "t"),
    "昭和": ("showa", "s"),
    "平成": ("heisei", "h"),
    "令和": ("reiwa", "r"),
}
"""Eras of Japan with their names and initials in Latin letters, for who has no such keys."""
_FIRST_YEAR = "元"
_YEAR = "年"
_MOST_LIKE = 500
"""Worn dates whose years are kept."""
_PLATED = re.compile(r"\b\w+[- ](?:plated|coated|clad)\b(?=.*\w)")
_PERCENT = re.compile(r"(\d+(?:\.\d+)?)\s*%\s*([^,;)]*)")


@dataclass(frozen=True, slots=True)
class Thing:
    """Something of the series that an entry may name: a facet's value, or a variety.

    `mask` are the issues it is known on; `words` may all be written, one of `keys` must be;
    `sure` are words that name it outright, before another thing they also fit. `name` is its whole
    name as labels write it, which may hold words that say nothing alone.
    """

    facet: str
    value: str
    variety: VarietyId | None
    mask: int
    words: frozenset[str]
    keys: frozenset[str]
    sure: frozenset[str]
    name: tuple[str, ...]


class Vocabulary:
    """What may be written of one series, folded for looking up."""

    def __init__(self, series: Series) -> None:
        self.series = series
        self.mints = dict(_mint_keys(series))
        self._dates: dict[str, list[str]] = {}
        self._short: dict[str, list[str]] = {}
        self._like: dict[str, tuple[str, ...]] = {}
        for date, year in series.dates:
            for key in _date_keys(date, year):
                self._dates.setdefault(key, []).append(date)
            if year >= 1000:
                self._short.setdefault(f"{year % 100:02}", []).append(date)
        self.date_words = max(len(date.split()) for date, _ in series.dates)
        self.strong, self.weak = _series_words(series)
        self.things = tuple(t for t in self._all_things() if t.keys or len(t.name) > 1)
        self._by_word: dict[str, frozenset[int]] = {}
        for at, thing in enumerate(self.things):
            for word in thing.words:
                self._by_word[word] = self._by_word.get(word, frozenset()) | {at}
        self.short = {
            short: full
            for short, full in SHORT.items()
            if not self.has_word(short) and any(self.has_word(word) for word in full.split())
        }
        if not self.has_word("type") and 1 < len(series.designs) <= _MOST_TYPES:
            for at, design in enumerate(series.designs, 1):
                full = " ".join(name_words(design.id))
                self.short |= dict.fromkeys((f"type {at}", f"ty {at}", f"ty{at}", f"t{at}"), full)
        self.names = frozenset(t.name for t in self.things if len(t.name) > 1)
        self.most_name_words = max(map(len, self.names), default=0)

    def dates(self, key: str) -> tuple[str, ...]:
        """The dates a written date may mean, () for none: `43`, `1943`, `1776-1976`, `bicen`.

        A short year counts only where no date is struck with that number itself.
        """
        plain = date_key(key)
        return tuple(dict.fromkeys(self._dates.get(plain) or self._short.get(plain) or ()))

    def dates_like(self, worn: str) -> tuple[str, ...]:
        """The dates whose year may be one with digits not known: `195?`, `19??`."""
        found = self._like.get(worn)
        if found is None:
            if len(self._like) >= _MOST_LIKE:
                self._like.clear()
            found = tuple(date for date, year in self.series.dates if _is_like(str(year), worn))
            self._like[worn] = found
        return found

    def has_word(self, word: str) -> bool:
        """Whether a word says something of this series by itself."""
        return word in self.mints or word in self._by_word or word in self.strong

    @cached_property
    def written_words(self) -> frozenset[str]:
        """Every word of letters that says something of this series, but its letters and dates."""
        words = {*self._by_word, *self.short}
        words |= {w for phrase in (*self.strong, *self.weak) for w in phrase.split()}
        return frozenset(w for w in words if w.isalpha() and w not in self.mints)

    def is_key(self, word: str) -> bool:
        """Whether a word alone may name something."""
        return any(word in self.things[at].keys for at in self.things_with(word))

    def is_surely(self, *words: str) -> bool:
        """Whether these words together name something outright: `no cents`."""
        return any(set(words) <= thing.sure and len(words) > 1 for thing in self.things)

    def things_with(self, word: str) -> frozenset[int]:
        """Indexes into `things` of all that a word may belong to."""
        return self._by_word.get(word, frozenset())

    def _all_things(self) -> Iterator[Thing]:
        series = self.series
        for design in series.designs:
            ids, title = set(name_words(design.id)), set(name_words(design.title))
            yield self._facet(Facet.DESIGN, design.id, design.title, ids | title, ids)
        for metal in series.compositions:
            ids = set(name_words(_PLATED.sub("", metal.id.replace("-", " "))))
            words = ids | set(name_words(_main_metal(metal.title)))
            words.discard("silver")
            if metal.silver_ozt:
                words.add("silver")
            more: frozenset[str] = _COPPER if words & _COPPER else frozenset()
            yield self._facet(Facet.COMPOSITION, metal.id, metal.title, words, words, more)
        choices = dict.fromkeys(choice for issue in series.issues for choice in issue.choices)
        for name, value in choices:
            called = choice_text(name, value)
            yield self._facet(name, value, called, set(name_words(value)), set(), name_words(name))
        for variety in series.varieties:
            yield self._variety(variety)

    def _facet(
        self,
        facet: str,
        value: str,
        called: str,
        words: set[str],
        sure: set[str],
        more: frozenset[str] | list[str] = frozenset(),
    ) -> Thing:
        mask = self.series.facet_mask(facet, (value,))
        keys = frozenset(words) | (more if isinstance(more, frozenset) else frozenset())
        every = self._writable(keys | frozenset(more))
        return Thing(
            str(facet), value, None, mask, every, every & keys - _FILLERS, frozenset(sure) & every,
            written_name(called),
        )  # fmt: skip

    def _variety(self, variety: Variety) -> Thing:
        name = name_words(variety.name)
        words = {*name, *name_words(variety.kind), *name_words(variety.id)}
        told = " ".join(name)
        for short, full in ABBREVIATIONS.items():
            if short in words or full in told:
                words |= {short, *full.split()}
        if "doubled" in words and "die" in words:
            words.add("dd")
        words |= {_FIGURES[w] for w in words & _FIGURES.keys()}
        if "off" in words or "planchet" in words:
            words |= _COPPER if words & _COPPER else set()
        every = self._writable(frozenset(words))
        mask = self.series.variety_mask(variety)
        keys, called = every - _FILLERS, written_name(variety.name)
        return Thing("", "", variety.id, mask, every, keys, frozenset(name), called)

    def _writable(self, words: frozenset[str]) -> frozenset[str]:
        """Words without those that an entry reads as a letter, a date or a grade."""
        return frozenset(
            w
            for w in words
            if w not in self.mints
            and not re.fullmatch(r"\d{2,}|[a-z]", w)
            and not (grade_words(w) and len(w) < 4)
        )


@lru_cache(4096)
def date_key(text: str) -> str:
    """A date as it is looked up: folded, without spaces and full stops; 昭和42年 as 昭和42."""
    plain = fold(text).replace("/", "-").replace(" ", "").replace(".", "")
    return plain.removesuffix(_YEAR)


def _date_keys(date: str, year: int) -> Iterator[str]:
    plain = date_key(date)
    yield plain
    if str(year) != plain:
        yield str(year)
    era, count = plain[:2], plain[2:].replace(_FIRST_YEAR, "1")
    if era in _ERAS:
        for name in (era, *_ERAS[era]):
            yield from (f"{name}{count}", f"{name}-{count}")
    dual = re.fullmatch(r"(\d{4})-(\d{4})", plain)
    if dual:
        yield f"{dual[1]}-{dual[2][2:]}"
        if int(dual[2]) - int(dual[1]) == 200:
            yield from ("bicen", "bicent", "bicentennial")
    elif not plain.isdigit():
        numbers = re.findall(r"\d+", plain)
        if numbers:
            yield numbers[-1]


def _mint_keys(series: Series) -> Iterator[tuple[str, tuple[str, ...]]]:
    """A letter or name to the ids of the mints it may mean."""
    keys: dict[str, list[str]] = {}
    for mint in series.mints:
        for key in {fold(mint.id), fold(mint.mark), fold(mint.name)} - {""}:
            keys.setdefault(key, []).append(mint.id)
    for issue in series.issues:
        key = fold(issue.mark)
        if key and issue.mint not in keys.setdefault(key, []):
            keys[key].append(issue.mint)
    for key, ids in keys.items():
        yield key, tuple(ids)


def _main_metal(title: str) -> str:
    """The words of a metal's title that name the coin: the largest part, not its plating."""
    parts = [(float(found[1]), found[2]) for found in _PERCENT.finditer(title)]
    if parts:
        share, words = max(parts, key=lambda part: part[0])
        return f"{share:g}% {words}"
    return _PLATED.sub("", title)


def singular(word: str) -> str:
    """`pennies` as `penny`, `cents` as `cent`."""
    if word.endswith("ies") and len(word) > 4:
        return word[:-3] + "y"
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word


def _series_words(series: Series) -> tuple[frozenset[str], frozenset[str]]:
    """Words that name the series' coins, and words of its title, all in the singular."""
    named = [fold(w) for w in (*series.words, series.denomination, series.title)]
    strong = {singular(w) for w in named[:-1]}
    weak = {singular(w) for w in name_words(series.title) if len(w) > 2}
    return frozenset(strong), frozenset({*weak, singular(named[-1])} - _FILLERS)


_read: dict[SeriesId, Vocabulary] = {}


def vocabulary(series: Series) -> Vocabulary:
    """The series' vocabulary, read once for each series object."""
    known = _read.get(series.id)
    if known is None or known.series is not series:
        known = _read[series.id] = Vocabulary(series)
    return known


def _is_like(year: str, worn: str) -> bool:
    """Whether a year may be one of which some digits are `?`."""
    return len(year) == len(worn) and all(w in ("?", y) for y, w in zip(year, worn, strict=True))
