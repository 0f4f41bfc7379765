"""Reads `series.toml`: what the series is, its mints, designs, compositions, varieties and signs.

Checked by hand rather than by a schema library: a series is read before the window's first
paint, and importing one would take ten times as long as the reading.
"""

import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from math import hypot, isnan
from typing import TypeVar

from core.catalogue.faults import CONTROL, TomlFaults, within
from core.model.issue import (
    Composition,
    Confidence,
    Design,
    Evidence,
    Face,
    Marker,
    Mint,
    RollOdds,
    SeriesId,
    Sign,
    Variety,
    VarietyId,
)

MOST_BYTES = 256 * 1024
MOST_LINE = 2_000
MOST_NUMBER = 10_000
MOST_WHOLE = 10**12
MOST_DEPTH = 20

Applies = tuple[tuple[str, tuple[str, ...]], ...]
_Word = TypeVar("_Word", bound=StrEnum)
_ID = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
_CURRENCY = re.compile(r"[A-Z][A-Z0-9]{1,7}")
_DOTTED = re.compile(r"""[\s\[]*(?:(?:[A-Za-z0-9_-]+|"[^"]*"|'[^']*')\s*\.\s*){9}""")
_PLACE = re.compile(r"\(at line (\d+), column \d+\)")
_LISTS = ("mint", "design", "composition", "variety", "sign")
_LEAST_ONE = ("mint", "design", "composition")


@dataclass(slots=True)
class Head:
    """What `series.toml` says; a faulty part is left out or stands empty."""

    id: str = ""
    title: str = ""
    issuer: str = ""
    denomination: str = ""
    face_value_minor: int = 0
    currency: str = ""
    diameter_mm: float | None = None
    is_invented: bool = False
    sources: tuple[str, ...] = ()
    words: tuple[str, ...] = ()
    note: str = ""
    mints: list[Mint] = field(default_factory=list)
    designs: list[Design] = field(default_factory=list)
    compositions: list[Composition] = field(default_factory=list)
    varieties: list[Variety] = field(default_factory=list)
    signs: list[Sign] = field(default_factory=list)
    unread: frozenset[str] = frozenset()
    """Lists of which an id or a letter could not be read, so that rows cannot be held to them."""

    @property
    def series_id(self) -> SeriesId:
        """The id, as the type that the model uses."""
        return SeriesId(self.id)


class _Table:
    """One table of the file: takes its keys one by one, and notes what is wrong with each."""

    def __init__(
        self, values: Mapping[str, object], name: str, index: int, faults: TomlFaults
    ) -> None:
        self._values, self._name, self._index, self._faults = values, name, index, faults
        self._asked: set[str] = set()
        self._told = _told(name, index)

    def fault(self, key: str, text: str) -> None:
        """Note that something is wrong with a key."""
        self._faults.at(self._name, self._index, key, self._told + text)

    def has(self, key: str) -> bool:
        """Whether a key is written at all."""
        return key in self._values

    def expect(self, key: str) -> None:
        """Let a key stand that is read elsewhere."""
        self._asked.add(key)

    def _take(self, key: str, is_needed: bool) -> object:
        self._asked.add(key)
        value = self._values.get(key)
        if value is None and is_needed:
            self.fault(key, f"there is no {key}; add a line {key} = …")
        return value

    def text(self, key: str, *, is_needed: bool = True, may_be_empty: bool = False) -> str:
        """A line of text, "" where it is missing or wrong."""
        value = self._take(key, is_needed)
        if value is None:
            return ""
        if not isinstance(value, str):
            self.fault(key, f"{key} is not text; put it in double quotes")
            return ""
        value = value.strip()
        if CONTROL.search(value):
            self.fault(key, f"{key} has a line break or control character; write it on one line")
        if not value and is_needed and not may_be_empty:
            self.fault(key, f"{key} is empty; fill it in")
        return value

    def number(self, key: str, *, may_be_zero: bool = False) -> float | None:
        """A number above 0 (or from 0), None where it is not given: not known."""
        value = self._take(key, is_needed=False)
        if value is None:
            return None
        if isinstance(value, bool) or not isinstance(value, int | float) or _is_nan(value):
            self.fault(key, f"{key} is not a number; write it with a point, without quotes")
            return None
        if value < 0 or (value == 0 and not may_be_zero):
            least = "0 or more" if may_be_zero else "more than 0"
            self.fault(key, f"{key} {value} must be {least}; leave the line out if not known")
            return None
        if value > MOST_NUMBER:
            self.fault(key, f"{key} is larger than {MOST_NUMBER:,}; check its unit")
            return None
        return float(value)

    def whole(self, key: str) -> int:
        """A whole number from 0."""
        value = self._take(key, is_needed=True)
        if value is None:
            return 0
        if isinstance(value, bool) or not isinstance(value, int):
            self.fault(key, f"{key} is not a whole number; write digits only, without quotes")
            return 0
        if value < 0:
            self.fault(key, f"{key} {value} is negative; write 0 or more")
        elif value > MOST_WHOLE:
            self.fault(key, f"{key} is larger than {MOST_WHOLE:,}; check it")
        return value

    def claim(self, key: str) -> bool:
        """True or false; false where it is not given."""
        value = self._take(key, is_needed=False)
        if value is not None and not isinstance(value, bool):
            self.fault(key, f"{key} is neither true nor false; write one of these without quotes")
        return value is True

    def word(self, key: str, words: type[_Word], default: _Word, *, is_needed: bool) -> _Word:
        """One of a closed set of words."""
        value = self.text(key, is_needed=is_needed)
        if not value:
            return default
        try:
            return words(value)
        except ValueError:
            self.fault(key, f"{key} {value!r} is not known; use {', '.join(words)}")
            return default

    def texts(self, key: str, *, is_needed: bool) -> tuple[str, ...]:
        """A list of lines of text, at least one where it is needed."""
        value = self._take(key, is_needed)
        if value is None:
            return ()
        if not isinstance(value, list) or not all(isinstance(v, str) and v.strip() for v in value):
            self.fault(key, f'{key} is not a list of texts; write {key} = ["…", "…"]')
            return ()
        if not value and is_needed:
            self.fault(key, f"{key} is empty; name at least one")
        if any(CONTROL.search(v) for v in value):
            self.fault(key, f"{key} has a line break or control character; write one line each")
        return tuple(v.strip() for v in value)

    def applies(self, *, is_needed: bool) -> Applies:
        """Facets to the values open there; the names and values are checked with the issues."""
        value = self._take("applies", is_needed)
        if value is None:
            return ()
        if not isinstance(value, dict):
            self.fault("applies", 'applies is not a table; write applies = { date = "1955" }')
            return ()
        if not value and is_needed:
            self.fault("applies", "applies is empty; name the date or another facet")
        return tuple(sorted(self._open_values(value)))

    def _open_values(self, table: Mapping[str, object]) -> Iterator[tuple[str, tuple[str, ...]]]:
        for facet, given in table.items():
            values = [given] if isinstance(given, str) else given
            if isinstance(values, list) and values and all(isinstance(v, str) for v in values):
                yield facet, tuple(sorted({v.strip() for v in values}))
            else:
                self.fault(
                    "applies",
                    f'applies: {facet} must be a text or a list of texts; write {facet} = "…"',
                )

    def spot(self, key: str, *, is_needed: bool) -> tuple[float, float]:
        """A spot on a disc of radius 1, x to the right, y down; 0, 0 where missing or wrong."""
        value = self._take(key, is_needed)
        if value is None:
            return 0.0, 0.0
        if not isinstance(value, list) or len(value) != 2 or not all(map(_is_number, value)):
            self.fault(key, f"{key} is not two numbers; write {key} = [0.5, -0.2]: right, down")
            return 0.0, 0.0
        x, y = float(value[0]), float(value[1])
        if hypot(x, y) > 1:
            self.fault(
                key,
                f"{key} [{x:g}, {y:g}] lies outside the coin, a disc of radius 1;"
                " move it towards [0, 0], the centre",
            )
            return 0.0, 0.0
        return x, y

    def tables(self, key: str) -> list["_Table"]:
        """The tables within this one, written as [[variety.marker]]."""
        self._asked.add(key)
        value = self._values.get(key, [])
        name = f"{self._name}.{key}"
        if not isinstance(value, list) or not all(isinstance(v, dict) for v in value):
            self.fault(key, f"{key} is not a list of tables; write each as [[{name}]]")
            return []
        here = within(self._name, self._index, key)
        return [_Table(v, here, at, self._faults) for at, v in enumerate(value)]

    def finish(self) -> None:
        """Note the keys that nobody asked for."""
        for key in self._values:
            if key not in self._asked:
                known = ", ".join(sorted(self._asked))
                self.fault(key, f"{key} is not known here; use {known}, or take it out")


def read_head(text: str, faults: TomlFaults) -> Head | None:
    """What a `series.toml` says, None where it is no TOML at all; faults are noted."""
    values = _parse(text, faults)
    if values is None:
        return None
    top = _Table(values, "", 0, faults)
    head = Head(
        id=top.text("id"),
        title=top.text("title"),
        issuer=top.text("issuer"),
        denomination=top.text("denomination"),
        face_value_minor=top.whole("face_value_minor"),
        currency=top.text("currency"),
        diameter_mm=top.number("diameter_mm"),
        is_invented=top.claim("is_invented"),
        sources=top.texts("sources", is_needed=True),
        words=top.texts("words", is_needed=False),
        note=top.text("note", is_needed=False),
    )
    if head.id and not _ID.fullmatch(head.id):
        top.fault(
            "id", f"id {head.id!r} must be small letters, digits and single hyphens; write it so"
        )
    if head.currency and not _CURRENCY.fullmatch(head.currency):
        top.fault(
            "currency",
            f"currency {head.currency!r} must be a code such as USD; write 2 to 8 capitals",
        )
    tables = {name: _tables(top, values, name, faults) for name in _LISTS}
    head.mints = [_mint(table) for table in tables["mint"]]
    head.designs = [_design(table) for table in tables["design"]]
    head.compositions = [_composition(table) for table in tables["composition"]]
    head.varieties = [_variety(table) for table in tables["variety"]]
    head.signs = [_sign(table) for table in tables["sign"]]
    for table in (t for many in tables.values() for t in many):
        table.finish()
    top.finish()
    head.unread = frozenset(
        told.table for told in faults.found if told.table and told.key in ("id", "mark")
    )
    _note_twice("mint", [m.id for m in head.mints], tables["mint"])
    _note_twice("design", [d.id for d in head.designs], tables["design"])
    _note_twice("composition", [c.id for c in head.compositions], tables["composition"])
    _note_twice("variety", [v.id for v in head.varieties], tables["variety"])
    return head


def _parse(text: str, faults: TomlFaults) -> dict[str, object] | None:
    """The bare values, or None with the fault noted that kept them from being read."""
    if len(text.encode("utf-8", "replace")) > MOST_BYTES:
        faults.add(1, f"the file is larger than {MOST_BYTES // 1024} KB; shorten it")
        return None
    lines = list(enumerate(text.split("\n"), start=1))
    for number, line in lines:
        if len(line) > MOST_LINE:
            told = f"the line has more than {MOST_LINE:,} characters; break or shorten it"
            faults.add(number, told)
        elif _DOTTED.match(line):  # reading such keys takes the square of their depth
            faults.add(number, "names are nested too deeply; write the tables without nesting")
    if faults.found:
        return None
    try:
        return dict(tomllib.loads(text))
    except tomllib.TOMLDecodeError as error:
        told = str(error)
        place = _PLACE.search(told)
        last = len(text.rstrip("\n").split("\n"))
        what = told.partition(" (at ")[0]
        at = int(place[1]) if place else last
        faults.add(at, f"this is not TOML ({what}); correct this line or the one before")
    except RecursionError:
        deepest = next((n for n, depth in _depths(lines) if depth > MOST_DEPTH), 1)
        faults.add(deepest, "brackets are nested too deeply; write the tables without nesting")
    return None


def _depths(lines: Iterable[tuple[int, str]]) -> Iterator[tuple[int, int]]:
    """Each line's number with how many brackets are open at its end, those in texts included."""
    depth = 0
    for number, line in lines:
        depth += sum(map(line.count, "[{")) - sum(map(line.count, "]}"))
        yield number, depth


def _tables(
    top: _Table, values: Mapping[str, object], name: str, faults: TomlFaults
) -> list[_Table]:
    """The tables written as [[name]]."""
    top.expect(name)
    value = values.get(name, [])
    if not isinstance(value, list) or not all(isinstance(v, dict) for v in value):
        top.fault(name, f"{name} is not a list of tables; write each as [[{name}]]")
        return []
    if not value and name in _LEAST_ONE:
        top.fault(name, f"there is no [[{name}]]; add at least one")
    return [_Table(v, name, at, faults) for at, v in enumerate(value)]


def _note_twice(name: str, ids: list[str], tables: list[_Table]) -> None:
    seen: set[str] = set()
    for this, table in zip(ids, tables, strict=True):
        if this in seen:
            table.fault("id", f"id {this!r} stands twice; give each {name} its own")
        seen.add(this)


def _confidence(table: _Table) -> Confidence:
    return table.word("confidence", Confidence, Confidence.RECALLED, is_needed=True)


def _is_nan(value: int | float) -> bool:
    """Whether a number is none; asked of floats only, as whole numbers may be too large for one."""
    return isinstance(value, float) and isnan(value)


def _is_number(value: object) -> bool:
    """Whether a value of the file is a number that can be reckoned with."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return False
    return -MOST_NUMBER <= value <= MOST_NUMBER


def _told(name: str, index: int) -> str:
    """How a fault names its table, as a person counts: from 1."""
    if name.count(".") == 2:
        above, at, below = name.split(".")
        return f"[[{above}.{below}]] {index + 1} of [[{above}]] {int(at) + 1}: "
    return f"[[{name}]] {index + 1}: " if name else ""


def _mint(table: _Table) -> Mint:
    return Mint(
        id=table.text("id", may_be_empty=True),
        name=table.text("name"),
        mark=table.text("mark", may_be_empty=True),
    )


def _design(table: _Table) -> Design:
    return Design(
        id=table.text("id"),
        title=table.text("title"),
        sign=table.text("sign", is_needed=False),
        source=table.text("source"),
        confidence=_confidence(table),
    )


def _composition(table: _Table) -> Composition:
    confidence = _confidence(table)
    return Composition(
        id=table.text("id"),
        title=table.text("title"),
        weight_g=table.number("weight_g"),
        tolerance_g=table.number("tolerance_g"),
        silver_ozt=table.number("silver_ozt", may_be_zero=True),
        sign=table.text("sign", is_needed=False),
        source=table.text("source"),
        confidence=confidence,
        tolerance_confidence=table.word(
            "tolerance_confidence", Confidence, confidence, is_needed=False
        ),
    )


def _markers(table: _Table, source: str, confidence: Confidence) -> tuple[Marker, ...]:
    """What to look for, in the file's order; `source` and `confidence` are the variety's own."""
    found = []
    for marker in table.tables("marker"):
        found.append(_marker(marker, source, confidence))
        marker.finish()
    return tuple(found)


def _marker(table: _Table, source: str, confidence: Confidence) -> Marker:
    """One marker; what names neither source nor confidence rests on what its variety rests on."""
    own = table.text("source", is_needed=False)
    has_own = table.has("source") or table.has("confidence")
    face = table.word("face", Face, Face.WHOLE, is_needed=True)
    x, y = table.spot("spot", is_needed=face.has_spots)
    return Marker(
        place=table.text("place"),
        see=table.text("see"),
        evidence=table.word("evidence", Evidence, Evidence.SUPPORTS, is_needed=True),
        face=face,
        x=x if face.has_spots else 0.0,
        y=y if face.has_spots else 0.0,
        source=own if has_own else source,
        confidence=table.word("confidence", Confidence, confidence, is_needed=False),
    )


def _variety(table: _Table) -> Variety:
    variety_id = table.text("id")
    if variety_id and not _ID.fullmatch(variety_id):
        table.fault(
            "id", f"id {variety_id!r} must be small letters, digits and single hyphens; write it so"
        )
    source, confidence = table.text("source"), _confidence(table)
    return Variety(
        id=VarietyId(variety_id),
        name=table.text("name"),
        kind=table.text("kind"),
        where=table.text("where"),
        look=table.text("look"),
        odds=table.word("odds", RollOdds, RollOdds.NOT_IN_ROLLS, is_needed=True),
        applies=table.applies(is_needed=True),
        source=source,
        confidence=confidence,
        note=table.text("note", is_needed=False),
        markers=_markers(table, source, confidence),
    )


def _sign(table: _Table) -> Sign:
    source, confidence = table.text("source"), _confidence(table)
    return Sign(
        facet=table.text("facet"),
        value=table.text("value", may_be_empty=True),
        where=table.text("where"),
        look=table.text("look"),
        odds=table.word("odds", RollOdds, RollOdds.NOT_IN_ROLLS, is_needed=True),
        applies=table.applies(is_needed=False),
        source=source,
        confidence=confidence,
        markers=_markers(table, source, confidence),
    )
