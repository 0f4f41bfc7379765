"""Series, issues and descriptions: what was struck, and what a coin may still be.

A series is a list of issues; a description gives, per facet, the values that are still open (or
nothing: not known). The issues that agree with every facet are what the coin may still be, kept
as a bit mask over the series' issues, so that every question of fitting is one subset test.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from functools import cached_property
from itertools import combinations
from typing import NewType

from core.errors import BadEntry

SeriesId = NewType("SeriesId", str)
VarietyId = NewType("VarietyId", str)


class Strike(StrEnum):
    """How a coin was struck."""

    CIRCULATION = "circulation"
    PROOF = "proof"
    SPECIMEN = "specimen"


class Release(StrEnum):
    """To whom an issue was let go: to banks, or to collectors only."""

    BANKS = "banks"
    COLLECTORS = "collectors"


class RollOdds(StrEnum):
    """How likely a searcher meets a variety in circulated rolls."""

    FINDABLE = "findable"
    POSSIBLE = "possible"
    VERY_RARE = "very rare"
    NOT_IN_ROLLS = "not in rolls"


class Confidence(StrEnum):
    """What a shipped fact rests on."""

    PUBLISHED = "published"
    RECALLED = "recalled"
    PRACTICE = "common practice"
    INVENTED = "invented"


class Evidence(StrEnum):
    """What seeing a marker says of the coin in hand.

    DECIDES settles that it is the variety; SUPPORTS fits it but settles nothing alone; EXCLUDES
    rules it out.
    """

    DECIDES = "decides"
    SUPPORTS = "supports"
    EXCLUDES = "excludes"


class Face(StrEnum):
    """Where on a coin a marker lies; WHOLE is told without a spot: weight, colour, magnet."""

    OBVERSE = "obverse"
    REVERSE = "reverse"
    EDGE = "edge"
    WHOLE = "whole coin"

    @property
    def has_spots(self) -> bool:
        """Whether a place on it can be shown as a spot on a disc."""
        return self in (Face.OBVERSE, Face.REVERSE)


class Facet(StrEnum):
    """The fixed facets of an issue; exclusive choices (`date size`, …) are facets by their name."""

    DATE = "date"
    MINT = "mint"
    MARK = "mark"
    DESIGN = "design"
    COMPOSITION = "composition"
    STRIKE = "strike"
    RELEASE = "release"


@dataclass(frozen=True, slots=True)
class Mint:
    """A plant: `id` is the letter the trade uses, `mark` its usual letter on coins ("" none)."""

    id: str
    name: str
    mark: str


@dataclass(frozen=True, slots=True)
class Design:
    """A type within the series; `sign` says how to tell it."""

    id: str
    title: str
    sign: str = ""
    source: str = ""
    confidence: Confidence = Confidence.PUBLISHED


@dataclass(frozen=True, slots=True)
class Composition:
    """A metal; grams, and troy ounces of fine silver in a coin (0: no silver, None: not known)."""

    id: str
    title: str
    weight_g: float | None
    tolerance_g: float | None
    silver_ozt: float | None
    sign: str = ""
    source: str = ""
    confidence: Confidence = Confidence.PUBLISHED
    tolerance_confidence: Confidence = Confidence.PUBLISHED


@dataclass(frozen=True, slots=True)
class Issue:
    """What was struck under one date, at one mint, in one composition and design.

    `number` is its place in the series, from 0. `mark` is the letter on the coin, "" for none.
    `choices` are exclusive alternatives such as (("date size", "large"),). `mintage` is None where
    it is not known.
    """

    number: int
    date: str
    year: int
    mint: str
    mark: str
    design: str
    composition: str
    strike: Strike = Strike.CIRCULATION
    release: Release = Release.BANKS
    choices: tuple[tuple[str, str], ...] = ()
    mintage: int | None = None
    note: str = ""
    source: str = ""
    confidence: Confidence = Confidence.PUBLISHED

    def value(self, facet: str) -> str | None:
        """This issue's value of a facet, None where it offers no such choice."""
        match facet:
            case "date":
                return self.date
            case "mint":
                return self.mint
            case "mark":
                return self.mark
            case "design":
                return self.design
            case "composition":
                return self.composition
            case "strike":
                return self.strike.value
            case "release":
                return self.release.value
        return dict(self.choices).get(facet)


@dataclass(frozen=True, slots=True)
class Total:
    """A known figure for a date and mint that is not split between its parts."""

    date: str
    mint: str
    mintage: int | None
    source: str
    confidence: Confidence
    note: str = ""


@dataclass(frozen=True, slots=True)
class Description:
    """The open values per facet, sorted; a facet that is absent is not known.

    `facets` is canonical, so equal descriptions are equal objects and can be interned by `key`.
    """

    series: SeriesId
    facets: tuple[tuple[str, tuple[str, ...]], ...] = ()

    @staticmethod
    def of(series: SeriesId, facets: Mapping[str, str | Iterable[str]]) -> "Description":
        """Build one from facet to a value or several; an empty iterable means not known."""
        rows = []
        for name, values in facets.items():
            chosen = (values,) if isinstance(values, str) else tuple(sorted(set(values)))
            if chosen:
                rows.append((str(name), chosen))
        return Description(series, tuple(sorted(rows)))

    def values(self, facet: str) -> tuple[str, ...]:
        """The open values of a facet, () where it is not known."""
        return dict(self.facets).get(facet, ())

    def only(self, facet: str) -> str | None:
        """The one value of a facet, None where it is open or not known."""
        values = self.values(facet)
        return values[0] if len(values) == 1 else None

    def with_facet(self, facet: str, values: str | Iterable[str]) -> "Description":
        """The same description with one facet set, or forgotten when `values` is empty."""
        facets: dict[str, str | Iterable[str]] = dict(self.facets)
        facets[facet] = values
        return Description.of(self.series, facets)

    @property
    def key(self) -> str:
        """One line of text that names this description; equal descriptions give equal keys."""
        parts = (
            f"{_escape(name)}={'|'.join(_escape(v) for v in values)}"
            for name, values in self.facets
        )
        return f"{self.series};" + ";".join(parts)

    @staticmethod
    def from_key(key: str) -> "Description":
        """Read `key` back."""
        series, _, rest = key.partition(";")
        facets: dict[str, str | Iterable[str]] = {}
        is_plain = "%" not in key
        for part in filter(None, rest.split(";")):
            name, _, text = part.partition("=")
            if is_plain:
                facets[name] = text.split("|") if "|" in text else text
            else:
                facets[_unescape(name)] = [_unescape(v) for v in text.split("|")]
        return Description.of(SeriesId(series), facets)


def _escape(value: str) -> str:
    for at, plain in enumerate("%;|="):
        value = value.replace(plain, f"%{at}")
    return value


def _unescape(value: str) -> str:
    for at, plain in reversed(list(enumerate("%;|="))):
        value = value.replace(f"%{at}", plain)
    return value


@dataclass(frozen=True, slots=True)
class Marker:
    """One thing to look for: the place, what is to be seen there, and what seeing it says.

    `x` and `y` are a spot on the face as a disc of radius 1, x to the right, y down; 0, 0 where
    the face has no spots. `source` is "" where none is named.
    """

    place: str
    see: str
    evidence: Evidence
    face: Face = Face.OBVERSE
    x: float = 0.0
    y: float = 0.0
    source: str = ""
    confidence: Confidence = Confidence.PUBLISHED


@dataclass(frozen=True, slots=True)
class Variety:
    """A recognised difference beyond the issue: where to look, what to see.

    `applies` names the issues it is known on, as facet to values. `is_main` marks those that
    searchers do find (roll odds findable or possible).
    """

    id: VarietyId
    name: str
    kind: str
    where: str
    look: str
    odds: RollOdds
    applies: tuple[tuple[str, tuple[str, ...]], ...]
    source: str = ""
    confidence: Confidence = Confidence.PUBLISHED
    note: str = ""
    markers: tuple[Marker, ...] = ()

    @property
    def is_main(self) -> bool:
        """Whether searchers do find it."""
        return self.odds in (RollOdds.FINDABLE, RollOdds.POSSIBLE)


@dataclass(frozen=True, slots=True)
class Sign:
    """How to tell one value of a facet: "date size" small, composition zinc, design keelboat.

    `applies` names the issues it speaks of, as facet to values, beside `facet` = `value` itself.
    """

    facet: str
    value: str
    where: str
    look: str
    odds: RollOdds
    applies: tuple[tuple[str, tuple[str, ...]], ...] = ()
    source: str = ""
    confidence: Confidence = Confidence.PUBLISHED
    markers: tuple[Marker, ...] = ()

    @property
    def is_main(self) -> bool:
        """Whether searchers do find it."""
        return self.odds in (RollOdds.FINDABLE, RollOdds.POSSIBLE)


@dataclass(frozen=True)
class Series:
    """A list of issues of one denomination by one issuer.

    `face_value` is in minor units of `currency` (ISO 4217 or an invented code); `diameter_mm` is
    None where not known. `sources` are the works the whole series rests on; `words` are what
    collectors call its coins in an entry (penny, cent); `note` says what is left out, and why.
    """

    id: SeriesId
    title: str
    issuer: str
    denomination: str
    face_value_minor: int
    currency: str
    diameter_mm: float | None
    mints: tuple[Mint, ...]
    designs: tuple[Design, ...]
    compositions: tuple[Composition, ...]
    issues: tuple[Issue, ...]
    totals: tuple[Total, ...] = ()
    varieties: tuple[Variety, ...] = ()
    sources: tuple[str, ...] = ()
    is_invented: bool = False
    signs: tuple[Sign, ...] = ()
    words: tuple[str, ...] = ()
    note: str = ""
    _masks: dict[Description, int] = field(default_factory=dict, compare=False, repr=False)

    @cached_property
    def everything(self) -> int:
        """The mask of all issues."""
        return (1 << len(self.issues)) - 1

    @cached_property
    def _by_value(self) -> dict[tuple[str, str], int]:
        found: dict[tuple[str, str], int] = {}
        names = [facet.value for facet in Facet]
        for at, issue in enumerate(self.issues):
            bit = 1 << at
            values = (
                issue.date, issue.mint, issue.mark, issue.design, issue.composition,
                issue.strike.value, issue.release.value,
            )  # fmt: skip
            for named in (*zip(names, values, strict=True), *issue.choices):
                found[named] = found.get(named, 0) | bit
        return found

    def facet_mask(self, facet: str, values: Iterable[str]) -> int:
        """The issues that agree with these open values.

        An issue that offers no such choice at all does not agree: "small date" rules out the
        issues that have only one date size.
        """
        mask = 0
        for value in values:
            mask |= self._by_value.get((facet, value), 0)
        return mask

    def may_be(self, description: Description) -> int:
        """What a coin so described may still be, as a mask over `issues`; 0: no such issue.

        A description of another series gives 0.
        """
        if description.series != self.id:
            return 0
        mask = self._masks.get(description)
        if mask is None:
            mask = self.everything
            for facet, values in description.facets:
                mask &= self.facet_mask(facet, values)
            self._masks[description] = mask
        return mask

    def issues_of(self, mask: int) -> Iterator[Issue]:
        """The issues in a mask, in the order of the series."""
        while mask:
            low = mask & -mask
            yield self.issues[low.bit_length() - 1]
            mask ^= low

    def matching(self, description: Description) -> tuple[Issue, ...]:
        """The issues that agree with a description."""
        return tuple(self.issues_of(self.may_be(description)))

    def variety_mask(self, variety: Variety) -> int:
        """The issues a variety is known on."""
        return self.may_be(Description(self.id, variety.applies))

    def varieties_open_to(self, mask: int) -> tuple[Variety, ...]:
        """The varieties known on any of these issues, in the order of the series."""
        return tuple(v for v in self.varieties if self.variety_mask(v) & mask)

    def sign_mask(self, sign: Sign) -> int:
        """The issues of which a sign speaks."""
        told = self.facet_mask(sign.facet, (sign.value,))
        return told & self.may_be(Description(self.id, sign.applies))

    def signs_open_to(self, mask: int) -> tuple[Sign, ...]:
        """The signs that speak of any of these issues, in the order of the series."""
        return tuple(s for s in self.signs if self.sign_mask(s) & mask)

    def variety(self, variety_id: VarietyId) -> Variety | None:
        """A variety by its id."""
        return self._varieties.get(variety_id)

    @cached_property
    def _varieties(self) -> dict[VarietyId, Variety]:
        return {v.id: v for v in self.varieties}

    @cached_property
    def _designs(self) -> dict[str, Design]:
        return {d.id: d for d in self.designs}

    @cached_property
    def _compositions(self) -> dict[str, Composition]:
        return {c.id: c for c in self.compositions}

    @cached_property
    def _mints(self) -> dict[str, Mint]:
        return {m.id: m for m in self.mints}

    def design(self, design_id: str) -> Design:
        """A design by its id."""
        return self._designs[design_id]

    def composition(self, composition_id: str) -> Composition:
        """A composition by its id."""
        return self._compositions[composition_id]

    def mint(self, mint_id: str) -> Mint:
        """A mint by its id."""
        return self._mints[mint_id]

    @cached_property
    def dates(self) -> tuple[tuple[str, int], ...]:
        """Every date as struck with its sortable year, in order, once each."""
        return tuple(dict.fromkeys((i.date, i.year) for i in self.issues))

    @cached_property
    def usual(self) -> Mapping[str, str]:
        """What an entry or a new album means where nothing is said of strike and release.

        Circulation strikes let go to banks; of a series that never went to banks, those for
        collectors.
        """
        struck = [i for i in self.issues if i.strike is Strike.CIRCULATION]
        if struck and all(i.release is Release.COLLECTORS for i in struck):
            return {Facet.STRIKE.value: Strike.CIRCULATION.value}
        return BANK_ISSUE

    def is_usual(self, issue: Issue) -> bool:
        """Whether an issue is one of those meant where nothing else is said."""
        return all(issue.value(facet) == value for facet, value in self.usual.items())

    def is_for_collectors(self, issue: Issue) -> bool:
        """Whether an issue was struck for circulation but sold to collectors, unlike its series."""
        is_struck_so = issue.strike is Strike.CIRCULATION and issue.release is Release.COLLECTORS
        return is_struck_so and not self.is_usual(issue)

    @cached_property
    def has_collectors_issues(self) -> bool:
        """Whether a new album may hold more than the usual issues: see `is_for_collectors`."""
        return any(self.is_for_collectors(issue) for issue in self.issues)

    def mintage_of(self, mask: int) -> tuple[int | None, str]:
        """The figure for a set of issues and what it stands for.

        A figure split to these issues is their sum, with ""; where only a total over more than
        these issues is known, that total with "of all DATE-MINT"; else (None, "").
        """
        struck = list(self.issues_of(mask))
        if struck and all(self.is_for_collectors(i) for i in struck):
            known = [i.mintage for i in struck if i.mintage is not None]
            return (sum(known), "") if len(known) == len(struck) else (None, "")
        parts = [i for i in struck if i.release is Release.BANKS]
        if parts and all(i.mintage is not None for i in parts):
            return sum(i.mintage or 0 for i in parts), ""
        pairs = {(i.date, i.mint) for i in parts}
        for total in self.totals if len(pairs) == 1 else ():
            if (total.date, total.mint) in pairs and total.mintage is not None:
                said = f"of all {total.date}" + (f"-{total.mint}" if total.mint else "")
                return total.mintage, said if self._struck_together(total) & ~mask else ""
        return None, ""

    def _struck_together(self, total: Total) -> int:
        """The circulation strikes, released to banks, of a total's date and mint."""
        facets: dict[str, str | Iterable[str]] = {
            **BANK_ISSUE,
            Facet.DATE.value: total.date,
            Facet.MINT.value: total.mint,
        }
        return self.may_be(Description.of(self.id, facets))

    def facts_against(self, description: Description) -> tuple[str, ...]:
        """The facets that cannot all be true, () where some issue agrees.

        The shortest set of facets, in their order, that no issue meets together.
        """
        if self.may_be(description) or description.series != self.id:
            return ()
        facets = description.facets
        for size in range(1, len(facets) + 1):
            for chosen in combinations(facets, size):
                if not self.may_be(Description(self.id, chosen)):
                    return tuple(name for name, _ in chosen)
        return tuple(name for name, _ in facets)

    def require(self, description: Description) -> Description:
        """The description itself, or BadEntry naming the facts that disagree."""
        bad = self.facts_against(description)
        if bad:
            told = " and ".join(self._told(name, description.values(name)) for name in bad)
            raise BadEntry(
                f"{self.title}: none was struck with {told}. Check these facts against the coin, "
                "or leave out the one you are not sure of."
            )
        return description

    def _told(self, facet: str, values: tuple[str, ...]) -> str:
        """A fact in words: `date 1982`, `design wheat ears`."""
        titles: dict[str, str] = {}
        if facet == Facet.DESIGN:
            titles = {d.id: d.title for d in self.designs}
        elif facet == Facet.COMPOSITION:
            titles = {c.id: c.title for c in self.compositions}
        words = " or ".join(titles.get(v, v) or "none" for v in values)
        return f"{_FACET_WORDS.get(facet, facet)} {words}"


_FACET_WORDS = {Facet.COMPOSITION.value: "metal", Facet.MARK.value: "letter"}

BANK_ISSUE: dict[str, str] = {
    Facet.STRIKE.value: Strike.CIRCULATION.value,
    Facet.RELEASE.value: Release.BANKS.value,
}
"""What an entry means that says nothing of strike or release."""

COLLECTORS_ISSUE: dict[str, str] = {
    Facet.STRIKE.value: Strike.CIRCULATION.value,
    Facet.RELEASE.value: Release.COLLECTORS.value,
}
"""A circulation strike that was sold to collectors and never went to banks."""
