"""Grade words of other countries: tables of words, each with its range on the 1–70 scale.

A word belongs to a table, and only its table gives it a range: the same letters mean different
grades elsewhere. A grade read here keeps the word as entered and names the table.
"""

import unicodedata
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from core.errors import BadGrade
from core.model.grade import STRIKE_WORDS, WORDS, Colour, Grade, parse_grade
from core.model.issue import Confidence

US_NAMES = ("us", "american")
"""What names the words of the 1–70 scale itself, where the issuer's table has the same word."""
_HALVES = ("about", "near", "good")
_SHORT = 4
_EXTRAS = frozenset(
    w.casefold() for w in (*Colour.__members__, *STRIKE_WORDS, "DPL", "UCAM", "details", "det")
)


@dataclass(frozen=True, slots=True)
class GradeWord:
    """One word of a table; `low` and `high` are steps of the 1–70 scale, both included.

    `also` are other spellings. `is_step` words follow each other from worn to new, so that one is
    the next lower of another. `published` is what the source gives, where it ends between steps.
    """

    word: str
    also: tuple[str, ...]
    low: int
    high: int
    is_proof: bool
    is_step: bool
    meaning: str
    published: str
    source: str
    confidence: Confidence


@dataclass(frozen=True, slots=True)
class Spelling:
    """A word as it is kept, and the range it has in its table.

    `rank` orders those of one range: the word itself 0, good 1, about or near the next word 2.
    """

    text: str
    low: int
    high: int
    is_proof: bool = False
    rank: int = 0


@dataclass(frozen=True, slots=True)
class GradeTable:
    """The words of one country or trade; `issuers` are those whose coins it reads unnamed.

    `spoken` are the names that choose it in an entry. `index` holds every way to write a word,
    folded.
    """

    name: str
    title: str
    spoken: tuple[str, ...]
    issuers: tuple[str, ...]
    note: str
    words: tuple[GradeWord, ...]
    index: Mapping[str, Spelling]

    def find(self, written: str) -> Spelling | None:
        """What a written word or a range of two means here; None where it is no word of it."""
        key = fold_grade(written)
        found = self.index.get(key)
        if found is not None:
            return found
        for mark in ("-", "/", " to "):
            first, _, last = key.partition(mark)
            low, high = self.index.get(first.strip()), self.index.get(last.strip())
            if low and high and low.low < high.low and low.is_proof == high.is_proof:
                return Spelling(f"{low.text}{mark}{high.text}", low.low, high.high, low.is_proof)
        return None

    def grade(self, spelling: Spelling, extras: Iterable[str] = ()) -> Grade:
        """The grade of a spelling, with colour, strike words and details. Raises BadGrade."""
        told = parse_grade(" ".join(["P-1", *extras]))
        return replace(
            told,
            low=spelling.low,
            high=spelling.high,
            is_proof=spelling.is_proof,
            entered=spelling.text,
            table=self.name,
        )

    @property
    def listed(self) -> str:
        """Its words, from worn to new, for a message."""
        return ", ".join(w.word for w in self.words)


def fold_grade(text: str) -> str:
    """A written grade made alike in case, dashes and spaces."""
    plain = unicodedata.normalize("NFKC", text).replace("–", "-").casefold()
    return " ".join(plain.split())


def grade_index(words: Sequence[GradeWord], has_half_steps: bool) -> dict[str, Spelling]:
    """Every way to write the words of a table, half steps (aVF, nEF, gVF) included.

    No table gives half steps numbers. `good` lies within its word's range and keeps it; `about`
    and `near` fall short of it, so theirs is the range of the next lower word.
    """
    index: dict[str, Spelling] = {}
    below: GradeWord | None = None
    for word in words:
        for text in (word.word, *word.also):
            index[fold_grade(text)] = Spelling(text, word.low, word.high, word.is_proof)
            if has_half_steps and word.is_step and below is not None:
                for half in _half_steps(text, word, below):
                    index[fold_grade(half.text)] = half
        if word.is_step:
            below = word
    return index


def _half_steps(text: str, word: GradeWord, below: GradeWord) -> Iterator[Spelling]:
    for half in _HALVES:
        of, rank = (word, 1) if half == "good" else (below, 2)
        written = [f"{half} {text}"]
        if len(text) <= _SHORT and text.isupper():
            written += [f"{half[0]}{text}", f"{half[0]} {text}"]
        for one in written:
            yield Spelling(one, of.low, of.high, rank=rank)


def tables_of(issuer: str, tables: Sequence[GradeTable]) -> tuple[GradeTable, ...]:
    """The tables that read an issuer's coins without being named."""
    return tuple(t for t in tables if issuer in t.issuers)


def table_called(name: str, tables: Sequence[GradeTable]) -> GradeTable | None:
    """The table of a name as it is shown or spoken."""
    key = fold_grade(name)
    return next((t for t in tables if key == fold_grade(t.name) or key in t.spoken), None)


def read_foreign(text: str, issuer: str, tables: Sequence[GradeTable]) -> Grade:
    """Read a grade of a coin of this issuer: `gVF`, `vz (German)`, `british vf`, `vf20`, `us vf`.

    The table that is named decides, else the issuer's; what neither knows is read on the 1–70
    scale. `gVF (British, 40–53)`, as it is shown, reads back. Raises BadGrade, which lists the
    words of the table asked for.
    """
    named, words, shown = _named(fold_grade(text), tables)
    if named == US_NAMES[0]:
        return parse_grade(" ".join(words))
    table = table_called(named, tables) if named else None
    asked = (table,) if table else tables_of(issuer, tables)
    for one in asked:
        found = _with_extras(words, one)
        if found is not None:
            _refuse_other_range(found, shown, one)
            return found
    if table is not None:
        raise BadGrade(f"The {table.name} table has no “{' '.join(words)}”; it has {table.listed}.")
    try:
        return parse_grade(text)
    except BadGrade as bad:
        if not asked:
            raise
        own = "; ".join(f"the {t.name} table has {t.listed}" for t in asked)
        raise BadGrade(f"{bad} For coins of {issuer} {own}.") from bad


def _with_extras(words: Sequence[str], table: GradeTable) -> Grade | None:
    """A word of the table, and after it only colour, strike words and details."""
    for size in range(len(words), 0, -1):
        found = table.find(" ".join(words[:size]))
        if found is not None and _EXTRAS.issuperset(words[size:]):
            return table.grade(found, words[size:])
    return None


def _named(key: str, tables: Sequence[GradeTable]) -> tuple[str, list[str], str]:
    """The table a grade names ("" none), the words without its name, and the range shown."""
    names = {n: t.spoken[0] for t in tables for n in (fold_grade(t.name), *t.spoken)}
    names |= dict.fromkeys(US_NAMES, US_NAMES[0])
    before, opened, rest = key.partition("(")
    if opened:
        inside, _, after = rest.partition(")")
        name, _, shown = inside.partition(",")
        if name.strip() in names:
            return names[name.strip()], [*before.split(), *after.split()], shown.strip()
    for name in sorted(names, key=len, reverse=True):
        if key.startswith(name + " "):
            return names[name], key.removeprefix(name).split(), ""
        if key.endswith(" " + name):
            return names[name], key.removesuffix(name).split(), ""
    return "", key.replace(",", " ").split(), ""


def _refuse_other_range(found: Grade, shown: str, table: GradeTable) -> None:
    if shown and fold_grade(found.range_text) != shown:
        raise BadGrade(
            f"The {table.name} table gives {found.entered} {found.range_text}, not {shown}; "
            "leave the range out."
        )


def is_grade_extra(word: str) -> bool:
    """Whether a word says colour, strike or details, beside a grade."""
    return word.casefold() in _EXTRAS


def is_us_word(text: str) -> bool:
    """Whether a word means something on the 1–70 scale too."""
    return text.upper() in WORDS
