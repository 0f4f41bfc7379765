"""Faults of a series' files, gathered so that all are told at once, with file, line, what to do."""

import re
from collections.abc import Iterable
from dataclasses import dataclass

from core.errors import CatalogueFault

MOST_FAULTS = 1_000
"""So many faults of a file are told; a file with more is no series yet."""

CONTROL = re.compile(
    "[\\x00-\\x1f\\x7f-\\x9f\\u2028\\u2029\\u202a-\\u202e\\u2066-\\u2069\\ufeff\\ud800-\\udfff]"
)
"""What no cell and no text may have: line breaks, and signs that turn or break what is shown."""

_HEADER = re.compile(r"\s*\[\[?\s*([A-Za-z0-9_.\-]+)\s*\]\]?")
_KEY = re.compile(r"\s*(?:\"([^\"]*)\"|([A-Za-z0-9_\-]+))\s*[.=]")


@dataclass(frozen=True, slots=True)
class Told:
    """One fault: its line, what is wrong and what to do, and the cell or key that it speaks of.

    `table` and `index` name a table of `series.toml` ("" and 0: the top); in `issues.csv` both
    stand empty. `key` is "" where the fault is about a whole table, row or file.
    """

    line: int
    text: str
    table: str = ""
    index: int = 0
    key: str = ""


class Faults:
    """The faults of one file, in the order in which they were found."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.found: list[Told] = []

    def add(self, line: int, text: str, column: str = "") -> None:
        """Note one fault: `text` says what is wrong and what to do."""
        self._note(Told(line, text, key=column))

    @property
    def are_too_many(self) -> bool:
        """Whether so many were found that looking further is of no use."""
        return len(self.found) > MOST_FAULTS

    def _note(self, told: Told) -> None:
        if len(self.found) < MOST_FAULTS:
            self.found.append(told)
        elif len(self.found) == MOST_FAULTS:
            more = f"there are more than {MOST_FAULTS:,} faults; correct those told here first"
            self.found.append(Told(told.line, more))

    def lines(self) -> list[str]:
        """One line of text a fault, by line number, each once."""
        found = sorted((fault.line, at, fault.text) for at, fault in enumerate(self.found))
        told = dict.fromkeys((line, text) for line, _, text in found)
        return [f"{self.file} line {line}: {text}" for line, text in told]


class TomlFaults(Faults):
    """Faults of a TOML file, which are known by table and key; the line is looked up."""

    def __init__(self, file: str, text: str) -> None:
        super().__init__(file)
        self._text = text
        self._places: dict[tuple[str, int, str], int] | None = None

    def at(self, table: str, index: int, key: str, text: str) -> None:
        """Note a fault of a key in the index-th table of that name ("" and 0: the top)."""
        if not self.are_too_many:
            self._note(Told(self.line_of(table, index, key), text, table, index, key))

    def line_of(self, table: str, index: int, key: str) -> int:
        """The line of a key, or of its table where the key is not written, or 1."""
        if self._places is None:
            self._places = _places(self._text)
        tries = [(table, index, key), (table, index, ""), ("", 0, table)]
        if not table:
            tries.append((key, 0, ""))  # a table that stands where a key is meant
        if table.count(".") == 2:  # a table within another, see `within`
            name, at, below = table.split(".")
            tries += [(name, int(at), below), (name, int(at), "")]
        return next((self._places[t] for t in tries if t in self._places), 1)


def within(name: str, index: int, below: str) -> str:
    """How the tables `below` of the index-th table of a name are called here: variety.3.marker."""
    return f"{name}.{index}.{below}"


def _places(text: str) -> dict[tuple[str, int, str], int]:
    """The line of every table header and key: (table, which of that name, key or "") to line.

    A table within another, such as [variety.applies] or [[variety.marker]], belongs to the table
    before it, as its key; its own keys are found by `within`.
    """
    places: dict[tuple[str, int, str], int] = {}
    counts: dict[str, int] = {}
    table, index = "", 0
    quote = ""
    for number, line in enumerate(text.split("\n"), start=1):
        was_quoted = bool(quote)
        quote = _open_quote(line, quote)
        if was_quoted:
            continue
        header = _HEADER.match(line)
        key = _KEY.match(line)
        if key:
            places.setdefault((table, index, key[1] or key[2]), number)
        elif header:
            name, _, below = header[1].partition(".")
            if below:
                above = counts.get(name, 1) - 1
                places.setdefault((name, above, below), number)
                name = within(name, above, below)
            table, index = name, counts.get(name, 0)
            counts[name] = index + 1
            places.setdefault((table, index, ""), number)
    return places


def _open_quote(line: str, quote: str) -> str:
    """The kind of many-line string that is open after a line, "" for none."""
    at = 0
    while True:
        if quote:
            end = line.find(quote, at)
            if end < 0:
                return quote
            at, quote = end + 3, ""
        starts = [(line.find(q, at), q) for q in ('"""', "'''") if line.find(q, at) >= 0]
        if not starts:
            return ""
        at, quote = min(starts)
        at += 3


def raise_if_any(*files: Faults) -> None:
    """Raise CatalogueFault with every fault, one a line, where there is one."""
    told: Iterable[str] = [line for faults in files for line in faults.lines()]
    if told:
        raise CatalogueFault("\n".join(told))
