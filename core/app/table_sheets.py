"""What the sheets for the sorting table tell: varieties to look closer at, and a blank tally."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from enum import StrEnum
from typing import TYPE_CHECKING

from core.app.checklists import day_text
from core.app.search_views import BoxView
from core.app.slot_card import numbered, sign_name
from core.app.views import AlbumView, LookCloser, MarkerLine, SlotView
from core.errors import Refused
from core.model.album import AlbumId, Wish
from core.model.arrangement import ShowP
from core.model.issue import Marker, Series
from core.model.label import letter
from core.model.plan_across import short_names
from core.model.search import BoxId
from core.model.state import SlotState
from core.printing.checklist import Paper
from core.printing.pdf import measure, pages_pdf
from core.printing.table_sheets import (
    CloserEntry,
    CloserSheet,
    OpenRow,
    SheetMarker,
    TallySheet,
    closer_pages,
    tally_pages,
)
from core.search.packaging import packaging, packagings

if TYPE_CHECKING:
    from core.app.collection import Collection

_NEVER = "not in rolls"
_OPEN = (SlotState.GAP, SlotState.BELOW_TARGET, SlotState.HOLE_FILLER, SlotState.TO_VERIFY)
USUAL_ROLLS = 50
_Dated = tuple[tuple[int, str], CloserEntry]


class SheetKind(StrEnum):
    """The sheets there are."""

    CLOSER = "closer"
    TALLY = "tally"


def sheet_pdf(
    collection: "Collection",
    kind: SheetKind,
    album: AlbumId | None = None,
    box: BoxId | None = None,
    paper: Paper = Paper.A4,
) -> bytes:
    """A sheet for an album's open slots, or for a box and the goal of its campaign.

    Refused where neither says which coins are meant, and on an index card.
    """
    return sheet_maker(collection, kind, album, box)(paper)


def sheet_maker(
    collection: "Collection",
    kind: SheetKind,
    album: AlbumId | None = None,
    box: BoxId | None = None,
) -> Callable[[Paper], bytes]:
    """Reads all that a sheet tells; what is given then makes it on any paper, elsewhere too."""
    view = collection.log.box_view(box) if box is not None else None
    if album is None and view is not None:
        album = view.campaign.album
    shown = collection.album_view(album) if album is not None else None
    if shown is None and view is None:
        raise Refused("Say for which album the sheet is, or for which box.")
    created = f"D:{collection.today:%Y%m%d}000000Z"
    if kind is SheetKind.CLOSER:
        closer = closer_sheet(collection, shown, view)
        return lambda paper: pages_pdf(
            closer_pages(closer, _large_enough(paper), measure),
            f"{closer.title}: look closer",
            created,
            "Look-closer sheet",
        )
    blank = tally_sheet(collection, shown, view)
    return lambda paper: pages_pdf(
        tally_pages(blank, _large_enough(paper), measure),
        f"{blank.title}: tally sheet",
        created,
        "Tally sheet",
    )


def _large_enough(paper: Paper) -> Paper:
    if paper is Paper.INDEX_CARD:
        raise Refused("An index card is too small for this sheet; choose a larger paper.")
    return paper


def _known_series(
    collection: "Collection", shown: AlbumView | None, view: BoxView | None
) -> list[Series]:
    """The album's series, then the others here that may lie in the same box."""
    known = {one.id: one for one in (shown.all_series if shown else ())}
    told = packaging(view.box.denomination) if view else None
    for one in collection.series_in_use:
        values = [(s.currency, s.face_value_minor) for s in known.values()]
        is_alike = (one.currency, one.face_value_minor) in values and one.face_value_minor
        if is_alike or (told is not None and told.holds(one)):
            known.setdefault(one.id, one)
    if view is not None and view.search.series:
        for code in view.search.series:
            known.setdefault(code, collection.series(code))
    return list(known.values())


def _title(shown: AlbumView | None, view: BoxView | None) -> str:
    return shown.album.name if shown else f"Box {view.box.number}" if view else ""


def open_slots(shown: AlbumView | None) -> list[SlotView]:
    """The slots that still want a coin, or a better one."""
    slots = shown.slots if shown else ()
    return [one for one in slots if one.state in _OPEN and one.slot.wish is not Wish.SKIPPED]


# ---- look closer


def closer_sheet(
    collection: "Collection", shown: AlbumView | None, view: BoxView | None = None
) -> CloserSheet:
    """What is known to look for in these coins, those of open slots apart, by date."""
    wanted = open_slots(shown)
    known = _known_series(collection, shown, view)
    names = short_names(known) if len(known) > 1 else {}
    mine: list[_Dated] = []
    others: list[_Dated] = []
    for series in known:
        slots = [one for one in wanted if one.slot.accepts.series == series.id]
        for order, entry in _entries(series, slots, names.get(series.id, "")):
            (mine if entry.slots else others).append((order, entry))
    by_date = (tuple(entry for _, entry in sorted(some, key=_first)) for some in (mine, others))
    return CloserSheet(
        _title(shown, view), collection.name, day_text(collection.today), *by_date
    )  # fmt: skip


def _first(pair: _Dated) -> tuple[int, str]:
    return pair[0]


def _entries(series: Series, slots: Sequence[SlotView], of: str) -> Iterator[_Dated]:
    """Signs and varieties that may turn up in rolls, each with its year to sort by."""
    for sign in series.signs:
        if str(sign.odds) != _NEVER:
            mask = series.sign_mask(sign)
            name = sign_name(sign.facet, sign.value, series)
            fits = [s for s in slots if s.slot.variety is None and _meets(series, s, mask)]
            told = str(sign.odds), f"{sign.where}: {sign.look}", sign.markers
            yield _entry(series, mask, name, of, fits, told)
    for variety in series.varieties:
        if str(variety.odds) != _NEVER:
            mask = series.variety_mask(variety)
            fits = [
                s for s in slots if s.slot.variety in (None, variety.id) and _meets(series, s, mask)
            ]
            told = str(variety.odds), f"{variety.where}: {variety.look}", variety.markers
            yield _entry(series, mask, variety.name, of, fits, told)


def _meets(series: Series, shown: SlotView, mask: int) -> bool:
    return bool(series.may_be(shown.slot.accepts) & mask)


def _entry(
    series: Series,
    mask: int,
    name: str,
    of: str,
    fits: Iterable[SlotView],
    told: tuple[str, str, Sequence[Marker]],
) -> _Dated:
    odds, look, markers = told
    issues = list(series.issues_of(mask))
    dates = sorted({issue.date for issue in issues})
    letters = {letter(issue, ShowP.NEVER) for issue in issues}
    date = dates[0] if len(dates) == 1 else f"{dates[0]}–{dates[-1]}" if dates else ""
    if len(dates) == 1 and len(letters) == 1 and (mint := letters.pop()):
        date = f"{date}-{mint}"
    plain = tuple(MarkerLine(0, m.place, m.see, m.evidence, m.face, m.x, m.y) for m in markers)
    (line,) = numbered([LookCloser(name, "", "", odds, "", "", plain)])
    year = min((issue.year for issue in issues), default=0)
    entry = CloserEntry(
        date,
        ", ".join(filter(None, (name, of))),
        f"{odds} in rolls",
        tuple(one.slot.label for one in fits),
        tuple(
            SheetMarker(m.number, m.place, m.see, m.evidence, m.face, m.x, m.y)
            for m in line.markers
        ),
        look,
    )  # fmt: skip
    return (year, date), entry


# ---- the tally sheet


def tally_sheet(
    collection: "Collection", shown: AlbumView | None, view: BoxView | None = None
) -> TallySheet:
    """A blank sheet for a box, or for a usual one of the album's coins, with its open slots."""
    if view is not None:
        denomination, rolls, first = view.box.denomination, view.box.rolls, view.rolls[0].shown
        about = f"{denomination} · {view.box.rolls} rolls of {view.box.per_roll}"
    else:
        assert shown is not None
        told = next((one for one in packagings() if one.holds(shown.series)), None)
        denomination = told.key if told else ""
        rolls, first = (told.rolls if told and told.rolls else USUAL_ROLLS), 1
        about = f"{denomination} · {rolls} rolls of {told.per_roll}" if told else ""
    names = tuple(one.name for one in collection.log.tallies(denomination))
    mints, rows, others = _open_table(shown)
    return TallySheet(
        _title(shown, view), collection.name, about, rolls, first, names, mints, rows, others
    )  # fmt: skip


def _open_table(
    shown: AlbumView | None,
) -> tuple[tuple[str, ...], tuple[OpenRow, ...], tuple[str, ...]]:
    """The open slots of one date and one mint as a table; what asks for more, by its label."""
    rows: dict[tuple[int, str], dict[str, str]] = {}
    mints: dict[str, int] = {}
    others = []
    for one in open_slots(shown):
        assert shown is not None
        series = shown.series_of(one.slot)
        issues = list(series.issues_of(series.may_be(one.slot.accepts)))
        dates = {(issue.year, issue.date) for issue in issues}
        letters = {letter(issue, ShowP.ALWAYS) for issue in issues}
        is_plain = len(dates) == len(letters) == 1 and one.slot.variety is None
        if not is_plain or series.id != shown.series.id:
            others.append(one.slot.label)
            continue
        (date,), (mint,) = dates, letters
        cells = rows.setdefault(date, {})
        if mint in cells:  # another coin of the same date and mint: two designs, say
            others.append(one.slot.label)
            continue
        cells[mint] = one.slot.label
        mints.setdefault(mint, _mint_place(series, mint))
    heads = tuple(sorted(mints, key=lambda mint: (mints[mint], mint)))
    table = tuple(
        OpenRow(date, tuple(cells.get(mint, "") for mint in heads))
        for (_, date), cells in sorted(rows.items())
    )
    return heads, table, tuple(others)


def _mint_place(series: Series, mint: str) -> int:
    return next((at for at, one in enumerate(series.mints) if one.id == mint), len(series.mints))
