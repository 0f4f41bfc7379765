"""Grade words of other countries in an entry line: where they stand, and which table reads them."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from core.lookup.words import grade_words
from core.model.foreign_grade import (
    US_NAMES,
    GradeTable,
    Spelling,
    fold_grade,
    is_us_word,
    table_called,
)
from core.model.grade_tables import shipped_tables, tables_of_issuer

_MOST_WORDS = 5
"""The longest grade in words: `very fine to extremely fine`."""
_MOST_NAME_WORDS = 2


@dataclass(frozen=True, slots=True)
class TableWord:
    """A grade word found at a place of a line; `size` words long, its table's name included.

    `table` is None where the line names the 1–70 scale itself (`us vf`); `us` is then the word.
    """

    size: int
    table: GradeTable | None
    spelling: Spelling | None = None
    us: str = ""
    is_named: bool = False

    @property
    def said(self) -> str:
        """What to tell of the reading: the table, its range, and how to mean the other scale."""
        if self.table is None or self.spelling is None:
            return ""
        told = self.table.grade(self.spelling)
        said = f"{told.entered} is a word of the {self.table.name} table: {told.range_text}"
        if not self.is_named and is_us_word(told.entered):
            return f"{said}; write US {told.entered} for the 1–70 scale"
        return said


def named_word_at(words: Sequence[str], at: int) -> TableWord | None:
    """A grade at this place with its table beside it: `german vz`, `vz (german)`, `us vf`."""
    for size in range(_MOST_NAME_WORDS, 0, -1):
        name = _name(words[at : at + size])
        if name and (found := _word_of(name, words, at + size)) is not None:
            return TableWord(size + found.size, found.table, found.spelling, found.us, True)
    for size in range(_MOST_WORDS, 0, -1):
        for more in range(_MOST_NAME_WORDS, 0, -1):
            name = _name(words[at + size : at + size + more])
            found = _word_of(name, words[: at + size], at) if name else None
            if found is not None and found.size == size:
                last = at + size + more
                is_open = words[at + size][0] == "(" and words[last - 1][-1] != ")"
                shown = _range_after(words, last) if is_open else 0
                return TableWord(size + more + shown, found.table, found.spelling, found.us, True)
    return None


def own_word_at(words: Sequence[str], at: int, issuer: str) -> TableWord | None:
    """A grade at this place that belongs to a table of the issuer; a bare number is none here."""
    if words[at][0].isdigit():
        return None
    for table in tables_of_issuer(issuer):
        found = _longest(table, words, at)
        if found is not None:
            return found
    return None


def is_own_word(word: str, issuer: str) -> bool:
    """Whether one written word is a grade of a table of the issuer."""
    return any(table.find(word) is not None for table in tables_of_issuer(issuer))


def without_table_names(words: Sequence[str]) -> list[str]:
    """The words of a line without the grades that name their table."""
    if not may_name_a_table(words):
        return list(words)
    left: list[str] = []
    at = 0
    while at < len(words):
        found = named_word_at(words, at)
        if found is None:
            left.append(words[at])
        at += found.size if found else 1
    return left


@lru_cache(1)
def _names() -> tuple[frozenset[str], frozenset[str]]:
    """Every name of a table, folded, and the first words of them."""
    names = {fold_grade(n) for t in shipped_tables() for n in (t.name, *t.spoken)} | {*US_NAMES}
    return frozenset(names), frozenset(name.split()[0] for name in names)


def may_name_a_table(words: Sequence[str]) -> bool:
    """Whether any word begins the name of a table; most lines name none, and are read fast."""
    first = _names()[1]
    return any(word in first or word.strip("(),") in first for word in words)


def _name(words: Sequence[str]) -> str:
    """The name of a table, "" where these words are none; `(german,` is one as it is shown."""
    name = " ".join(words).strip("(),")
    return name if name in _names()[0] else ""


def _word_of(name: str, words: Sequence[str], at: int) -> TableWord | None:
    if name in US_NAMES:
        is_word = at < len(words) and bool(grade_words(words[at]))
        return TableWord(1, None, us=words[at]) if is_word else None
    table = table_called(name, shipped_tables())
    return _longest(table, words, at) if table else None


def _longest(table: GradeTable, words: Sequence[str], at: int) -> TableWord | None:
    for size in range(min(_MOST_WORDS, len(words) - at), 0, -1):
        spelling = table.find(" ".join(words[at : at + size]))
        if spelling is not None:
            return TableWord(size, table, spelling)
    return None


def _range_after(words: Sequence[str], at: int) -> int:
    """How many words of a shown range follow a table's name: `40-53)`, `pf 60-70)`."""
    for size in (1, 2):
        if len(words) >= at + size and words[at + size - 1].endswith(")"):
            return size
    return 0
