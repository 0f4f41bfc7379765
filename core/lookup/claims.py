"""The words of an entry line as claims about a coin of one series, in any order."""

import re
from dataclasses import dataclass, field
from enum import StrEnum

from core.lookup.graded import (
    TableWord,
    is_own_word,
    may_name_a_table,
    named_word_at,
    own_word_at,
)
from core.lookup.short_words import written_out
from core.lookup.vocabulary import Vocabulary, singular
from core.lookup.words import (
    CIRCULATION_TOO,
    CLAIMS,
    GRADE_PHRASES,
    MOST_WORDS,
    PROBLEMS,
    PROOF_CODES,
    Claim,
    grade_words,
    is_bare_grade,
)
from core.model.coin import Problem
from core.model.grade import SCALE, WORDS
from core.model.grade_tables import tables_of_issuer

MOST_QUANTITY = 100_000
_DATE_LIKE = re.compile(r"-?[a-z]{0,2}-?(?:\d{4}|\d{2})(?:-?[a-z]{1,2})?\??")
_TIMES = re.compile(r"(\d+)x|x(\d+)")
_WHOLE, _NUMBER = re.compile(r"\d{4}(-\d{4})?|\d{2}"), re.compile(r"\d{4}|\d{2}")
_OVERDATE = re.compile(r"(\d{4}|\d{2})/(\d{1,4})([a-z]{0,2})")
_JOINED = re.compile(r"(\d+x|\?)(.+)")
_GLUED, _LETTER = re.compile(r"(\d{4}|\d{2})(\D.*)"), re.compile(r"[a-z]")
_WEIGHT = re.compile(r"(\d+\.\d+|\d)(?:g|gm|grams?|grammes?)?|(\d+(?:\.\d+)?)mg")
_WORN_DATE = re.compile(r"(?=\d*[x?_]|\d\d--)(\d[\d?_][\dx?_-][\dx?_-])(?:-?([a-z]{1,2}))?")
"""195x, 19?4, 19--, 1?44: a digit that cannot be read stands anywhere but first."""
_WORN_DIGIT = str.maketrans(dict.fromkeys("x_-", "?"))
_GRAMS = ("g", "gm", "gram", "grams", "gramme", "grammes")


class Sense(StrEnum):
    """How a named thing is meant: seen, suspected (`ddo?`), or ruled out (`-ddo`)."""

    SEEN = "seen"
    SUSPECTED = "suspected"
    RULED_OUT = "ruled out"


@dataclass(frozen=True, slots=True)
class Named:
    """Words that name a design, metal, choice or variety, and how they are meant."""

    words: tuple[str, ...]
    sense: Sense


@dataclass(slots=True)
class Claims:
    """What the words of a line say, before they are put together.

    `dates` holds, for each date written, the word and the dates it may mean (none: never
    struck); `mints` likewise the ids that each letter may mean; `worn_dates` are all the dates
    that a date with a worn last digit may be.
    """

    dates: list[tuple[str, tuple[str, ...]]] = field(default_factory=list)
    mints: list[tuple[str, ...]] = field(default_factory=list)
    grades: list[str] = field(default_factory=list)
    table_words: list[TableWord] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    named: list[Named] = field(default_factory=list)
    said: set[Claim] = field(default_factory=set)
    unknown: list[str] = field(default_factory=list)
    weight_mg: int | None = None
    quantity: int = 1
    compare: str = ""
    is_letter_doubted: bool = False
    worn_dates: tuple[str, ...] = ()


def read_claims(words: list[str], known: Vocabulary) -> Claims:
    """The claims of a line's words; words that mean nothing in this series are in `unknown`."""
    reader = _Reader(written_out(words, known.short, _is_fixed), known)
    reader.read()
    return reader.claims


def _is_fixed(word: str) -> bool:
    """Whether a word has its own meaning everywhere: `sms` is no plural of `sm`."""
    return word in CLAIMS or word in PROBLEMS or word in GRADE_PHRASES


class _Reader:
    """Reads a line from the left; each `_read_…` says how many words it took."""

    def __init__(self, words: list[str], known: Vocabulary) -> None:
        self._words = words
        self._known = known
        self._may_name_table = may_name_a_table(words)
        self._has_own_words = bool(tables_of_issuer(known.series.issuer))
        self.claims = Claims()

    def read(self) -> None:
        at = 0
        steps = (
            self._read_compare,
            self._read_worn_date,
            self._read_quantity,
            self._read_whole_name,
            self._read_table_word,
            self._read_phrase,
            self._read_weight,
            self._read_date,
            self._read_letter,
            self._read_question,
            self._read_grade,
            self._read_series,
            self._read_named,
            self._cut_further,
        )
        while at < len(self._words):
            taken = next((n for step in steps if (n := step(at)) is not None), None)
            if taken is None:
                taken = (
                    2 if self._word(at) in ("no", "not", "without") and self._word(at + 1) else 1
                )
                self.claims.unknown.append(" ".join(self._words[at : at + taken]))
            at += taken

    def _word(self, at: int) -> str:
        return self._words[at] if at < len(self._words) else ""

    def _read_compare(self, at: int) -> int | None:
        word = self._word(at)
        if word and word[-1] in "<=>":
            self.claims.compare = word[-1]
            if len(word) == 1:
                return 1
            self._words[at] = word[:-1]
            return 0
        return None

    def _read_quantity(self, at: int) -> int | None:
        word, after = self._word(at), self._word(at + 1)
        found = _TIMES.fullmatch(word)
        if found:
            number, taken = found[1] or found[2], 1
        elif word.isdecimal() and after == "x":
            number, taken = word, 2
        elif word == "x" and after.isdecimal():
            number, taken = after, 2
        else:
            return None
        if 0 < int(number) <= MOST_QUANTITY:
            self.claims.quantity = int(number)
        else:
            self.claims.unknown.append(f"{number} x")
        return taken

    def _read_weight(self, at: int) -> int | None:
        word, after = self._word(at), self._word(at + 1)
        found = _WEIGHT.fullmatch(word)
        if not found or (word.isdecimal() and after not in _GRAMS):
            return None
        grams = float(found[1]) if found[1] else float(found[2]) / 1000
        self.claims.weight_mg = round(grams * 1000)
        return 2 if after in _GRAMS and word[-1].isdigit() else 1

    def _read_whole_name(self, at: int) -> int | None:
        """A name just as labels write it, whatever words it holds: `reverse of 1940`."""
        for size in range(min(self._known.most_name_words, len(self._words) - at), 0, -1):
            text = " ".join(self._words[at : at + size])
            name = tuple(p for p in re.split(r"[ -]", text.removesuffix("?")) if p)
            if name in self._known.names:
                sense = Sense.RULED_OUT if text.startswith("-") else Sense.SEEN
                sense = Sense.SUSPECTED if text.endswith("?") else sense
                self.claims.named.append(Named(name, sense))
                return size
        return None

    def _read_table_word(self, at: int) -> int | None:
        """A grade word of a table that the line names, or else of the issuer's."""
        found = named_word_at(self._words, at) if self._may_name_table else None
        if found is None and self._has_own_words and not self._is_otherwise(at):
            found = own_word_at(self._words, at, self._known.series.issuer)
        if found is None:
            return None
        if found.table is None:
            self.claims.grades += grade_words(found.us)
        else:
            self.claims.table_words.append(found)
        return found.size

    def _is_otherwise(self, at: int) -> bool:
        """Whether a word is a strike, a step of the scale, a letter or a name, not a table's."""
        word = self._word(at)
        is_step = is_bare_grade(word) and self._takes_number(at)
        is_letter = word in self._known.mints and not self._has_letter_beside(at)
        return word in CLAIMS or is_step or is_letter or bool(self._known.things_with(word))

    def _read_phrase(self, at: int) -> int | None:
        for size in range(MOST_WORDS, 0, -1):
            phrase = " ".join(self._words[at : at + size])
            if phrase in CLAIMS and not self._is_step_of_proof(phrase, at):
                self.claims.said.add(CLAIMS[phrase])
                if phrase in CIRCULATION_TOO:
                    self.claims.said.add(Claim.CIRCULATION)
            elif phrase in PROBLEMS:
                self.claims.problems.append(PROBLEMS[phrase])
            elif phrase in GRADE_PHRASES:
                self.claims.grades.append(GRADE_PHRASES[phrase])
            else:
                continue
            return min(size, len(self._words) - at)
        return None

    def _is_step_of_proof(self, phrase: str, at: int) -> bool:
        """Whether `proof` goes on with its number, as in `proof 65`."""
        return phrase in PROOF_CODES and self._takes_number(at)

    def _takes_number(self, at: int) -> bool:
        """Whether the word after a bare grade word is its step, and not the entry's only date."""
        word = self._word(at).upper()
        after = self._word(at + 1).partition("-")[0].rstrip("+")
        if not after.isdecimal() or int(after) not in SCALE:
            return False
        low, high = WORDS.get(word, (1, 70))
        others = [w for i, w in enumerate(self._words) if i not in (at, at + 1)]
        return low <= int(after) <= high and any(self._is_dated(w) for w in others)

    def _is_dated(self, word: str) -> bool:
        return bool(_DATE_LIKE.fullmatch(word) and not grade_words(word)) or bool(
            self._known.dates(word)
        )

    def _read_worn_date(self, at: int) -> int | None:
        """A date of which digits are worn away: `195x`, `195?d`, `19?4 s`, `19--`."""
        found = _WORN_DATE.fullmatch(self._word(at))
        if not found or self.claims.worn_dates:
            return None
        if found[1][:3].isdecimal() and self._known.dates(found[1][:3]):
            return None
        if any(self._is_dated(word) for i, word in enumerate(self._words) if i != at):
            return None  # `195x 58d` counts them
        dates = self._known.dates_like(found[1].translate(_WORN_DIGIT))
        letter = found[2] or ""
        if not dates or (letter and letter not in self._known.mints):
            return None
        self.claims.worn_dates = dates
        if letter:
            self.claims.mints.append(self._known.mints[letter])
        return 1

    def _read_date(self, at: int) -> int | None:
        for size in range(min(3, len(self._words) - at), 0, -1):
            text = "".join(self._words[at : at + size])
            if size > 1 and text.isdecimal():
                continue
            dates = self._known.dates(text)
            if dates:
                self.claims.dates.append((text, dates))
                return size
            # A date of several words with its letter: `H.E. 12-N`.
            if size > 1 and self._read_date_and_letter(text) is not None:
                return size
        word = self._word(at)
        if len(word) > 1 and word.endswith("?") and self._split_letter(word[:-1].rstrip("-")):
            letters = len(self.claims.mints)
            self._read_date_and_letter(word[:-1].rstrip("-"))
            if len(self.claims.mints) > letters:
                self.claims.is_letter_doubted = True
            else:
                self.claims.said.add(Claim.LETTER_UNREAD)
            return 1
        return self._read_date_and_letter(word)

    def _read_date_and_letter(self, word: str) -> int | None:
        parts = self._split_letter(word)
        if parts is None:
            return None
        date, mints = parts
        self.claims.dates.append((date, self._known.dates(date)))
        if mints:
            self.claims.mints.append(mints)
        return 1

    def _split_letter(self, word: str) -> tuple[str, tuple[str, ...]] | None:
        """A word as date and letter: `43d`, `d-43`, `43`; None where it holds no date.

        A number of two or four digits, or a double date, counts as one though none was so struck.
        """
        if self._known.dates(word) or _WHOLE.fullmatch(word):
            return word, ()
        for letter, mints in self._known.mints.items():
            for date in (
                word.removesuffix(letter).rstrip("-") if word.endswith(letter) else "",
                word.removeprefix(letter).lstrip("-") if word.startswith(letter) else "",
            ):
                if date and (self._known.dates(date) or _NUMBER.fullmatch(date)):
                    return date, mints
        return None

    def _read_letter(self, at: int) -> int | None:
        word = self._word(at)
        for size in (3, 2):
            name = " ".join(self._words[at : at + size])
            if " " in name and name in self._known.mints:
                self.claims.mints.append(self._known.mints[name])
                return min(size, len(self._words) - at)
        plain = word.removesuffix("?").removeprefix("-")
        if plain not in self._known.mints or (is_bare_grade(plain) and self._has_letter_beside(at)):
            return None
        self.claims.mints.append(self._known.mints[plain])
        self.claims.is_letter_doubted |= word.endswith("?")
        return 1

    def _has_letter_beside(self, at: int) -> bool:
        """Whether the entry names its mint elsewhere, so that `F` beside it is the grade Fine."""
        if self.claims.mints:
            return True
        for word in self._words[at + 1 :]:
            parts = self._split_letter(word)
            if (parts and parts[1]) or (word in self._known.mints and not is_bare_grade(word)):
                return True
        return False

    def _read_question(self, at: int) -> int | None:
        """A question mark alone: the letter can't be read, or without any date, the date."""
        if self._word(at).strip("-") != "?":
            return None
        others = [w for i, w in enumerate(self._words) if i != at]
        has_date = bool(self.claims.dates) or any(self._is_dated(w) for w in others)
        self.claims.said.add(Claim.LETTER_UNREAD if has_date else Claim.NO_DATE)
        return 1

    def _read_grade(self, at: int) -> int | None:
        word = self._word(at).removeprefix("-")
        if word == "to" and self.claims.grades and grade_words(self._word(at + 1)):
            self.claims.grades.append("to")
            return 1
        found = grade_words(word)
        if not found:
            return None
        if is_bare_grade(word) and self._takes_number(at):
            self.claims.grades.append(word + self._word(at + 1))
            return 2
        self.claims.grades += found
        return 1

    def _is_grade(self, word: str) -> bool:
        return bool(grade_words(word)) or is_own_word(word, self._known.series.issuer)

    def _read_named(self, at: int) -> int | None:
        """Words that name a design, metal, choice or variety, as many as belong together."""
        word, sense, first = self._word(at), Sense.SEEN, at
        if word in ("no", "not", "without"):
            after = self._word(at + 1).removesuffix("?")
            sure = Sense.SUSPECTED if self._word(at + 1).endswith("?") else Sense.SEEN
            for together in ((f"no-{after}",), ("no", after)):
                is_one = len(together) == 1 and self._known.things_with(together[0])
                if is_one or self._known.is_surely(*together):
                    self.claims.named.append(Named(together, sure))
                    return 2
            sense, first = Sense.RULED_OUT, at + 1
        elif word.startswith("-") and len(word) > 1:
            sense = Sense.RULED_OUT
        taken: list[str] = []
        things: frozenset[int] | None = None
        here = first
        while here < len(self._words):
            plain = self._words[here].lstrip("-" if here == at else "").removesuffix("?")
            found = self._known.things_with(plain)
            both = found if things is None else things & found
            if not both or (taken and self._is_other(here)):
                break
            things = both
            taken.append(plain)
            here += 1
            if self._words[here - 1].endswith("?"):
                sense = Sense.SUSPECTED
                break
        if things is None or not any(set(taken) & self._known.things[t].keys for t in things):
            return None
        self.claims.named.append(Named(tuple(taken), sense))
        return here - at

    def _is_other(self, at: int) -> bool:
        """Whether a word is something else than a further word of a name."""
        word = self._word(at)
        return bool(self._known.dates(word)) or word in self._known.mints

    def _read_series(self, at: int) -> int | None:
        for size in (2, 1):
            phrase = singular(" ".join(self._words[at : at + size]))
            if phrase in self._known.strong or phrase in self._known.weak:
                return min(size, len(self._words) - at)
        return None

    def _cut_further(self, at: int) -> int | None:
        """Cut a word that was written together, and read its pieces instead.

        Each is shorter than the word, so that the cutting ends: `43/42` would give itself again.
        """
        pieces = self._pieces(at)
        if pieces is None or any(len(piece) >= len(self._word(at)) for piece in pieces):
            return None
        self._words[at : at + 1] = pieces
        self._may_name_table = self._may_name_table or may_name_a_table(pieces)
        return 0

    def _pieces(self, at: int) -> list[str] | None:
        word = self._word(at)
        over = _OVERDATE.fullmatch(word)
        if over:
            short = over[2][-1:] if len(over[2]) in (1, 4) else over[2]
            return [p for p in (over[1], f"{over[1][-len(short) :]}/{short}", over[3]) if p]
        if found := _JOINED.fullmatch(word):
            return [found[1], found[2]]
        glued = _GLUED.fullmatch(word)
        if glued and glued[2][0] not in "-/":
            letters = [m for m in self._known.mints if glued[2].startswith(m)]
            for letter in sorted(letters, key=len, reverse=True):
                rest = glued[2].removeprefix(letter).lstrip("-")
                is_name = len(rest) > 2 and bool(self._known.things_with(rest))
                if is_name or self._is_grade(rest):
                    return [glued[1], letter, rest]
            if self._is_grade(glued[2]) or _LETTER.fullmatch(glued[2]):
                return [glued[1], glued[2]]
        for letter in self._known.mints:
            rest = word.removeprefix(letter)
            if rest != word and len(rest) > 2 and self._known.is_key(rest):
                return [letter, rest]  # `svdb`
        if word.startswith("-") and len(word) > 1:
            return [word[1:]]
        parts = [part for part in word.split("-") if part]
        if word == "-":
            after = self._word(at + 1)
            joins = bool(after) and not self._is_other(at + 1) and not grade_words(after)
            if joins and not after.startswith("-"):
                self._words[at + 1] = "-" + after
            return []
        return parts if len(parts) > 1 else None
