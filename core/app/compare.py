"""Compare: which of several varieties the coin in hand is, by ticking what is seen on it. Pure.

Candidates are columns, markers are rows; each row is ticked seen, not seen or cannot tell. The
rules, and there are no others:

1. A marker that excludes a candidate, seen: the candidate falls.
2. A marker that decides, seen: the coin is that candidate, and its rivals fall.
3. Every marker that decides a candidate, not seen: the candidate falls. One that cannot be told
   keeps it, for another die may show only that one.
4. A marker that supports, seen or not, settles nothing alone.
5. Where the coin is known to be one of the candidates, the last one left standing is it.

Rivals are candidates of one kind (two doubled dies of one side) or values of one facet (small and
large date): a coin is one of them at most. Ticks that contradict one another settle nothing.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from math import dist

from core.app.slot_card import SAME, sign_name
from core.lookup.line import OwnCodes
from core.lookup.parse import Entry
from core.model.coin import Coin, Finding
from core.model.issue import Description, Evidence, Face, Marker, Series, Sign, Variety, VarietyId
from core.model.label import join_or


class Tick(StrEnum):
    """What was found at a marker's place; a row without one was not looked at."""

    SEEN = "seen"
    NOT_SEEN = "not seen"
    CANNOT_TELL = "cannot tell"


class Standing(StrEnum):
    """How a candidate stands after the ticks."""

    OPEN = "open"
    IS_IT = "it is this one"
    FALLEN = "not this one"


@dataclass(frozen=True, slots=True)
class Candidate:
    """What the coin may be: a variety, or a value of a facet. `rivals` names what excludes it.

    `codes` are the collector's own reference codes of it.
    """

    name: str
    where: str
    look: str
    odds: str
    variety: VarietyId | None = None
    facet: str = ""
    value: str = ""
    rivals: str = ""
    codes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class MarkerRow:
    """One thing to look for; `evidence` stands by candidate, None where it says nothing of it.

    `number` is that of its spot on the disc, shared by rows at one place; 0 without a spot.
    """

    place: str
    see: str
    face: Face
    x: float
    y: float
    evidence: tuple[Evidence | None, ...]
    number: int = 0

    @property
    def key(self) -> str:
        """What a tick is kept under: the place and what is seen there."""
        return f"{self.place}: {self.see}"


@dataclass(frozen=True, slots=True)
class Comparison:
    """Candidates as columns and markers as rows.

    `is_one_of`: the coin is one of the candidates, only not known which.
    """

    candidates: tuple[Candidate, ...]
    rows: tuple[MarkerRow, ...]
    is_one_of: bool = False


@dataclass(frozen=True, slots=True)
class Outcome:
    """What the ticks say: by candidate its standing and why, and the whole in a sentence."""

    standings: tuple[Standing, ...]
    reasons: tuple[str, ...]
    text: str
    is_contradiction: bool = False

    @property
    def is_settled(self) -> bool:
        """Whether no candidate is open any more."""
        return Standing.OPEN not in self.standings


Ticks = Mapping[str, Tick]
_MARK = {Tick.SEEN: "+", Tick.NOT_SEEN: "-", Tick.CANNOT_TELL: "?"}
_TICK = {mark: tick for tick, mark in _MARK.items()}
_KEPT = "Compared: "
_ONE_OF = "one of "
_FACES = tuple(Face)


def comparison(
    series: Series,
    coin: Coin,
    chosen: Sequence[VarietyId] = (),
    facet: str = "",
    is_one_of: bool = False,
    codes: OwnCodes | None = None,
) -> Comparison:
    """The candidates and markers for a coin.

    `chosen` varieties, or the values of a `facet` that are still open; without either, what is
    suspected, or else every variety still open. Candidates without a marker stand too: nothing
    that is seen settles them.
    """
    mask = series.may_be(coin.description)
    if facet:
        told: dict[Candidate, tuple[Marker, ...]] = {}
        for sign in series.signs_open_to(mask):
            if sign.facet == facet and all(sign.value != c.value for c in told):
                told[_of_sign(series, sign)] = sign.markers
        open_values = {issue.value(facet) for issue in series.issues_of(mask)}
        return _compared(list(told.items()), open_values <= {c.value for c in told})
    here = series.varieties_open_to(mask)
    suspected = [v for v in here if coin.finding(v.id) is Finding.SUSPECTED]
    wanted = [v for v in here if v.id in chosen]
    ruled_out = [v for v in here if coin.finding(v.id) is Finding.RULED_OUT]
    rest = [v for v in here if v not in ruled_out]
    varieties = wanted or suspected or rest
    own = codes or {}
    return _compared([(_of_variety(series, v, own), v.markers) for v in varieties], is_one_of)


def open_choices(series: Series, coin: Coin) -> tuple[str, ...]:
    """The facets with signs for more than one value that this coin may still have."""
    mask = series.may_be(coin.description)
    values: dict[str, set[str]] = {}
    for sign in series.signs_open_to(mask):
        values.setdefault(sign.facet, set()).add(sign.value)
    return tuple(facet for facet, found in values.items() if len(found) > 1)


def _of_variety(series: Series, variety: Variety, codes: OwnCodes) -> Candidate:
    mine = tuple(c for c, named in codes.items() if named == (series.id, variety.id))
    return Candidate(
        variety.name, variety.where, variety.look, str(variety.odds), variety.id,
        rivals=variety.kind, codes=mine,
    )  # fmt: skip


def _of_sign(series: Series, sign: Sign) -> Candidate:
    return Candidate(
        sign_name(sign.facet, sign.value, series), sign.where, sign.look, str(sign.odds),
        facet=sign.facet, value=sign.value, rivals=sign.facet,
    )  # fmt: skip


def _compared(
    columns: Sequence[tuple[Candidate, tuple[Marker, ...]]], is_one_of: bool
) -> Comparison:
    candidates = tuple(candidate for candidate, _ in columns)
    rows: dict[tuple[Face, str, str], MarkerRow] = {}
    for at, (_, markers) in enumerate(columns):
        for marker in markers:
            key = marker.face, marker.place, marker.see
            row = rows.get(key) or MarkerRow(
                marker.place, marker.see, marker.face, marker.x, marker.y, (None,) * len(candidates)
            )
            said = (*row.evidence[:at], marker.evidence, *row.evidence[at + 1 :])
            rows[key] = replace(row, evidence=said)
    ordered = sorted(rows.values(), key=lambda row: _FACES.index(row.face))
    return Comparison(candidates, tuple(_numbered(ordered)), is_one_of)


def _numbered(rows: Sequence[MarkerRow]) -> list[MarkerRow]:
    spots: list[MarkerRow] = []
    found: list[MarkerRow] = []
    for row in rows:
        if not row.face.has_spots:
            found.append(row)
            continue
        near = next(
            (s for s in spots if s.face is row.face and dist((s.x, s.y), (row.x, row.y)) < SAME),
            None,
        )
        if near is None:
            near = replace(row, number=len(spots) + 1)
            spots.append(near)
        found.append(replace(row, number=near.number))
    return found


def outcome(compared: Comparison, ticks: Ticks) -> Outcome:
    """What the ticks say of each candidate, by the rules above."""
    found = [_alone(compared, at, ticks) for at in range(len(compared.candidates))]
    clash = _contradiction(compared, found)
    if clash:
        opened = tuple((Standing.OPEN, "") if s is Standing.IS_IT else (s, why) for s, why in found)
        return _told(compared, opened, clash)
    found = _without_rivals(compared, found)
    standing = [at for at, (s, _) in enumerate(found) if s is not Standing.FALLEN]
    if compared.is_one_of and len(standing) == 1 and found[standing[0]][0] is Standing.OPEN:
        found[standing[0]] = Standing.IS_IT, "the only one left"
    return _told(compared, tuple(found), "")


def _alone(compared: Comparison, at: int, ticks: Ticks) -> tuple[Standing, str]:
    """A candidate by its own markers."""
    mine = [(row, row.evidence[at], ticks.get(row.key)) for row in compared.rows]
    for row, evidence, tick in mine:
        if evidence is Evidence.EXCLUDES and tick is Tick.SEEN:
            return Standing.FALLEN, f"seen, which rules it out: {row.key}"
    for row, evidence, tick in mine:
        if evidence is Evidence.DECIDES and tick is Tick.SEEN:
            return Standing.IS_IT, f"seen, which decides: {row.key}"
    deciding = [(row, tick) for row, evidence, tick in mine if evidence is Evidence.DECIDES]
    if deciding and all(tick is Tick.NOT_SEEN for _, tick in deciding):
        return Standing.FALLEN, f"not there: {'; '.join(row.key for row, _ in deciding)}"
    return Standing.OPEN, ""


def _contradiction(compared: Comparison, found: Sequence[tuple[Standing, str]]) -> str:
    """Two rivals that are both decided, in words; "" for none."""
    decided: dict[str, list[str]] = {}
    for candidate, (standing, _) in zip(compared.candidates, found, strict=True):
        if standing is Standing.IS_IT:
            decided.setdefault(candidate.rivals, []).append(candidate.name)
    clash = next((names for names in decided.values() if len(names) > 1), None)
    return f"The ticks decide for {' and '.join(clash)}; look again." if clash else ""


def _without_rivals(
    compared: Comparison, found: Sequence[tuple[Standing, str]]
) -> list[tuple[Standing, str]]:
    decided = {
        candidate.rivals: candidate.name
        for candidate, (standing, _) in zip(compared.candidates, found, strict=True)
        if standing is Standing.IS_IT
    }
    told = []
    for candidate, (standing, why) in zip(compared.candidates, found, strict=True):
        rival = decided.get(candidate.rivals)
        is_beaten = standing is Standing.OPEN and rival is not None
        told.append((Standing.FALLEN, f"it is {rival}") if is_beaten else (standing, why))
    return told


def _told(compared: Comparison, found: Sequence[tuple[Standing, str]], clash: str) -> Outcome:
    standings = tuple(s for s, _ in found)
    names = [c.name for c in compared.candidates]
    settled = [n for n, s in zip(names, standings, strict=True) if s is Standing.IS_IT]
    still = [n for n, s in zip(names, standings, strict=True) if s is Standing.OPEN]
    if clash:
        text = clash
    elif settled:
        text = f"It is {' and '.join(settled)}." + (
            f" Still open: {join_or(still)}." if still else ""
        )
    elif len(still) > 1 and compared.is_one_of:
        text = f"One of {len(still)}: {join_or(still)}."
    elif still:
        text = f"May be {join_or(still)}."
    else:
        text = "None of these." if names else "Nothing is known to tell apart here."
    return Outcome(standings, tuple(why for _, why in found), text, bool(clash))


def settled_coin(series: Series, coin: Coin, compared: Comparison, ticks: Ticks) -> Coin:
    """The coin with what the ticks settled, and the ticks themselves in its note.

    A variety that it is becomes confirmed, one that fell ruled out, one still open suspected where
    it was ticked for or the coin is one of the candidates; of a facet the values left stay.
    Contradicting ticks change only the note.
    """
    told = outcome(compared, ticks)
    described = coin.description
    if not told.is_contradiction:
        for candidate, standing in zip(compared.candidates, told.standings, strict=True):
            if candidate.variety is not None:
                coin = coin.with_finding(
                    candidate.variety, _finding(compared, candidate, coin, standing, ticks)
                )
        described = _narrowed(series, coin, compared, told)
    return replace(coin, description=described, note=with_ticks(coin.note, compared, ticks))


def kept_coin(entry: Entry) -> Coin:
    """The coin of an entry as it is kept: one of a set not settled yet says so in its note."""
    if not entry.one_of:
        return entry.coin
    own = own_note(entry.coin.note)
    told = f"{_KEPT}{_ONE_OF}{len(entry.one_of)}"
    return replace(entry.coin, note=" ".join(filter(None, (own, told))))


def own_note(note: str) -> str:
    """A note without what Compare wrote into it."""
    return note.partition(_KEPT)[0].rstrip()


def was_one_of(note: str) -> bool:
    """Whether a note says that the coin was compared as one of a set."""
    return note.partition(_KEPT)[2].startswith(_ONE_OF)


def set_compared(series: Series, coin: Coin) -> tuple[VarietyId, ...]:
    """The varieties that a coin was compared among; what was ruled out otherwise is not of them."""
    told = comparison(series, coin, [variety for variety, _ in coin.varieties])
    standings = outcome(told, ticks_of(coin.note)).standings
    return tuple(
        candidate.variety
        for candidate, standing in zip(told.candidates, standings, strict=True)
        if candidate.variety is not None
        and (
            standing is not Standing.OPEN
            or coin.finding(candidate.variety) not in (None, Finding.RULED_OUT)
        )
    )


def _finding(
    compared: Comparison, candidate: Candidate, coin: Coin, standing: Standing, ticks: Ticks
) -> Finding | None:
    if standing is Standing.IS_IT:
        return Finding.CONFIRMED
    if standing is Standing.FALLEN:
        return Finding.RULED_OUT
    at = compared.candidates.index(candidate)
    is_seen = any(
        row.evidence[at] is not None
        and row.evidence[at] is not Evidence.EXCLUDES
        and ticks.get(row.key) is Tick.SEEN
        for row in compared.rows
    )
    had = coin.finding(candidate.variety) if candidate.variety else None
    return Finding.SUSPECTED if is_seen or compared.is_one_of else had


def _narrowed(series: Series, coin: Coin, compared: Comparison, told: Outcome) -> Description:
    """The description with the facet's values that are left, and those of a confirmed variety."""
    described = coin.description
    for candidate, standing in zip(compared.candidates, told.standings, strict=True):
        variety = series.variety(candidate.variety) if candidate.variety else None
        if variety is not None and standing is Standing.IS_IT:
            for facet, values in variety.applies:
                described = _with_values(series, described, facet, set(values))
    for facet in dict.fromkeys(c.facet for c in compared.candidates if c.facet):
        mine = [
            (candidate.value, standing)
            for candidate, standing in zip(compared.candidates, told.standings, strict=True)
            if candidate.facet == facet
        ]
        is_it = {value for value, standing in mine if standing is Standing.IS_IT}
        fallen = {value for value, standing in mine if standing is Standing.FALLEN}
        here = {issue.value(facet) or "" for issue in series.matching(described)}
        if is_it or fallen:
            described = _with_values(series, described, facet, is_it or here - fallen)
    return described


def _with_values(
    series: Series, described: Description, facet: str, values: set[str]
) -> Description:
    """A facet narrowed to some values, where an issue is left then."""
    had = set(described.values(facet))
    narrower = described.with_facet(facet, had & values if had else values)
    return narrower if values and series.may_be(narrower) else described


def with_ticks(note: str, compared: Comparison, ticks: Ticks) -> str:
    """A note with the ticks written at its end, in place of those it held; none for no ticks.

    Before them stands that the coin is one of the candidates, where it is.
    """
    own = own_note(note)
    kept = [f"{_ONE_OF}{len(compared.candidates)}"] if compared.is_one_of else []
    kept += [f"{_MARK[ticks[row.key]]} {row.key}" for row in compared.rows if row.key in ticks]
    return " ".join(filter(None, (own, _KEPT + " | ".join(kept) if kept else "")))


def ticks_of(note: str) -> dict[str, Tick]:
    """The ticks that a note holds, by their row's key."""
    kept = note.partition(_KEPT)[2]
    found: dict[str, Tick] = {}
    for part in filter(None, kept.split(" | ")):
        mark, _, key = part.partition(" ")
        if mark in _TICK and key:
            found[key.strip()] = _TICK[mark]
    return found
