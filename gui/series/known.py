"""What the page of series lists, and what its card tells of one. No Qt here."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from core.app.slot_card import look_closer, numbered, sign_name
from core.app.views import LookCloser
from core.catalogue.shares import confidence_shares
from core.model.album import Album
from core.model.issue import Confidence, Issue, Release, Series, SeriesId, Strike
from gui.album.album_choice import SeriesChoice, span_text

if TYPE_CHECKING:
    from core.app.collection import Collection
    from core.app.own_series import SeriesDifference

MARKS: Mapping[Confidence, str] = {
    Confidence.PUBLISHED: "■",
    Confidence.RECALLED: "◇",
    Confidence.PRACTICE: "◆",
    Confidence.INVENTED: "○",
}
"""A shape before the word, so that no colour has to tell them apart."""
NOT_KNOWN, PART_OF = "not known", "of "
HEADS = ("Date", "Mint", "Design", "Composition", "What it is", "Mintage", "Rests on", "Source")
DATE, MINT, DESIGN, COMPOSITION, KIND, MINTAGE, RESTS_ON, SOURCE = range(len(HEADS))
FILTERS = ("all", "published", "recalled", "no figure")


@dataclass(frozen=True, slots=True)
class SeriesLine:
    """A series in the list. `is_own`: not of the library; `update`: what the library has newer.

    `albums` use it; `followers` are those of them that grow with it, known where it can grow now.
    """

    choice: SeriesChoice
    is_own: bool
    update: "SeriesDifference | None" = None
    albums: tuple[str, ...] = ()
    followers: tuple[str, ...] = ()

    @property
    def series(self) -> Series:
        """The series."""
        return self.choice.series

    @property
    def detail(self) -> str:
        """1938–2025 · 233 issues · in use."""
        series = self.series
        count = len(series.issues)
        words = [span_text(series), f"{count:,} issue{'' if count == 1 else 's'}"]
        if self.is_own:
            words.append("your own")
        if self.albums:
            words.append("in use")
        elif self.choice.is_in_use and not self.is_own:
            words.append("in this collection")
        if self.update is not None:
            words.insert(0, "newer figures in the library")
        return " · ".join(words)


@dataclass(frozen=True, slots=True)
class Facts:
    """What the card says of a series, all as texts, its rows ready to be shown."""

    line: SeriesLine
    title: str
    beside: str
    facts: tuple[tuple[str, str], ...]
    note: str
    shares: str
    parts: tuple[tuple[Confidence, int], ...]
    rows: tuple["IssueRow", ...]
    details: tuple[tuple[str, ...], ...]
    varieties: tuple["LookRow", ...]


@dataclass(frozen=True, slots=True)
class LookRow:
    """A variety or a sign: its cells, and how it is told, markers numbered from 1."""

    cells: tuple[str, ...]
    look: LookCloser


@dataclass(frozen=True, slots=True)
class IssueRow:
    """A row of the card: its cells, and by what it is found and sorted."""

    cells: tuple[str, ...]
    confidence: Confidence
    mintage: int | None
    number: int
    hay: str

    def is_met_by(self, words: Sequence[str], kept: str) -> bool:
        """Whether it has every word, in small letters, and is of the kind chosen."""
        match kept:
            case "published" if self.confidence is not Confidence.PUBLISHED:
                return False
            case "recalled" if self.confidence is not Confidence.RECALLED:
                return False
            case "no figure" if self.mintage is not None:
                return False
        return all(word in self.hay for word in words)


def facts_of(line: SeriesLine) -> Facts:
    """All that the card tells of a series."""
    series = line.series
    shares = confidence_shares(series)
    beside = [series.issuer, series.denomination, span_text(series)]
    if series.diameter_mm is not None:
        beside.append(f"{series.diameter_mm:g} mm")
    kinds = (
        (Confidence.PUBLISHED, shares.published),
        (Confidence.RECALLED, shares.recalled),
        (Confidence.PRACTICE, shares.practice),
        (Confidence.INVENTED, shares.invented),
    )
    return Facts(
        line,
        series.title,
        " · ".join(beside),
        _facts(series),
        series.note,
        shares.text,
        tuple((kind, n) for kind, n in kinds if n),
        issue_rows(series),
        _details(series),
        _varieties(series),
    )


def _facts(series: Series) -> tuple[tuple[str, str], ...]:
    mints = ", ".join(f"{m.name} ({m.id})" if m.id else m.name for m in series.mints)
    metals = ", ".join(_metal(c.title, c.weight_g) for c in series.compositions)
    found = [
        ("Mints", mints),
        ("Designs", _counted([d.title for d in series.designs])),
        ("Compositions", metals),
        ("Sources", "; ".join(series.sources)),
    ]
    return tuple((name, text) for name, text in found if text)


def _metal(title: str, weight_g: float | None) -> str:
    return title if weight_g is None else f"{title} {weight_g:g} g"


def _counted(titles: Sequence[str]) -> str:
    told = ", ".join(titles)
    return told if len(titles) <= 4 else f"{len(titles)}: {told}"


def issue_rows(series: Series) -> tuple[IssueRow, ...]:
    """Every issue as a row, in the order of the series."""
    totals = {(t.date, t.mint): t.mintage for t in series.totals if t.mintage is not None}
    found = []
    for issue in series.issues:
        cells = (
            issue.date,
            _mint_text(series, issue),
            series.design(issue.design).title,
            series.composition(issue.composition).title,
            kind_text(issue),
            _mintage_text(issue, totals.get((issue.date, issue.mint))),
            _mark(issue.confidence),
            issue.source,
        )
        hay = " ".join((*cells, issue.mint)).casefold()
        found.append(IssueRow(cells, issue.confidence, issue.mintage, issue.number, hay))
    return tuple(found)


def _mint_text(series: Series, issue: Issue) -> str:
    mint = series.mint(issue.mint)
    is_usual = issue.mark == mint.mark
    return mint.name if is_usual else f"{mint.name}, {issue.mark or 'no letter'}"


def kind_text(issue: Issue) -> str:
    """Proof, small date; and what is noted of it. Nothing for a plain circulation strike."""
    words = [] if issue.strike is Strike.CIRCULATION else [issue.strike.value]
    if issue.release is Release.COLLECTORS and issue.strike is Strike.CIRCULATION:
        words.append("for collectors")
    words += [f"{name} {value}" for name, value in issue.choices]
    return "; ".join(filter(None, (", ".join(words), issue.note)))


def _mintage_text(issue: Issue, total: int | None) -> str:
    if issue.mintage is not None:
        return f"{issue.mintage:,}"
    is_part = total is not None and issue.strike is Strike.CIRCULATION
    if is_part and issue.release is Release.BANKS:
        return f"{PART_OF}{total:,}"
    return NOT_KNOWN


def _details(series: Series) -> tuple[tuple[str, ...], ...]:
    """Mints, designs and compositions, one a row: what, its name, more of it, what it rests on."""
    rows = [
        ("mint", m.name, f"letter {m.mark}" if m.mark else "no letter", "") for m in series.mints
    ]
    rows += [("design", d.title, d.sign, _rests(d.confidence, d.source)) for d in series.designs]
    for c in series.compositions:
        weight = "weight not known" if c.weight_g is None else f"{c.weight_g:g} g"
        if c.weight_g is not None and c.tolerance_g is not None:
            weight += f" ± {c.tolerance_g:g}"
        silver = f"{c.silver_ozt:g} oz of fine silver" if c.silver_ozt else ""
        more = "; ".join(part for part in (weight, silver, c.sign) if part)
        rows.append(("composition", c.title, more, _rests(c.confidence, c.source)))
    rows += [("source", work, "", "") for work in series.sources]
    return tuple(rows)


def _rests(confidence: Confidence, source: str) -> str:
    told = _mark(confidence)
    return f"{told}: {source}" if source and source != confidence.value else told


def _varieties(series: Series) -> tuple[LookRow, ...]:
    """The varieties, then the signs that tell one value of a facet from another."""
    found = []
    for v in series.varieties:
        cells = (v.name, v.kind, applies_text(v.applies), v.odds.value, _mark(v.confidence))
        lines = look_closer(series, series.variety_mask(v), None, v.id)
        found.append(_look_row(cells, lines, v.name))
    for s in series.signs:
        name = sign_name(s.facet, s.value, series)
        cells = (name, s.facet, applies_text(s.applies), s.odds.value, _mark(s.confidence))
        found.append(_look_row(cells, look_closer(series, series.sign_mask(s), None), name))
    return tuple(found)


def _look_row(cells: tuple[str, ...], lines: Sequence[LookCloser], name: str) -> LookRow:
    line = next(line for line in lines if line.name == name)
    return LookRow(cells, numbered([line])[0])


def _mark(confidence: Confidence) -> str:
    return f"{MARKS[confidence]} {confidence.value}"


def applies_text(applies: Sequence[tuple[str, tuple[str, ...]]]) -> str:
    """The issues that a variety is known on, in short: 1955, P."""
    told = [
        ", ".join(value or "no letter" for value in values)
        for facet, values in applies
        if facet not in ("strike", "release")
    ]
    return " · ".join(told) or "every issue"


def read_known(collection: "Collection") -> tuple[SeriesLine, ...]:
    """Every series: those of this collection first; asked on the worker."""
    from core.app.own_series import series_differences
    from core.catalogue.load import library_ids

    in_use = {series.id for series in collection.series_in_use}
    albums: dict[SeriesId, list[Album]] = {}
    for album in collection.albums():
        albums.setdefault(album.series, []).append(album)
    updates = {d.series: d for d in series_differences(collection) if is_newer(d)}
    of_library = set(library_ids())
    return tuple(
        SeriesLine(
            SeriesChoice(series, series.id in in_use),
            series.id not in of_library,
            updates.get(series.id),
            tuple(album.name for album in albums.get(series.id, ())),
            following(collection, albums.get(series.id, ())) if series.id in updates else (),
        )
        for series in collection.all_series()
    )


def is_newer(update: "SeriesDifference") -> bool:
    """Whether the library has more than the copy here; what was added here by hand is no more."""
    more = (update.added, update.corrected, update.varieties_added, update.varieties_removed)
    return any(more) or update.is_other


def following(collection: "Collection", albums: "Sequence[Album]") -> tuple[str, ...]:
    """The names of those albums that grow with their series."""
    from core.app.own_series import albums_that_follow

    views = albums_that_follow(*(collection.album_view(album.id) for album in albums))
    return tuple(view.album.name for view in views)


def grow_text(names: Sequence[str]) -> str:
    """Which albums grow, as a sentence; "" where none does."""
    if not names:
        return ""
    told = names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
    return f"{told} {'grows' if len(names) == 1 else 'grow'} by the new slots."
