"""Coins in and out as a sheet (CSV): the columns are those of `exchange_cells`.

Out and in again, into a collection with the same albums, gives the same content hash.
"""

import csv
import io
import os
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from core.app.changes import Changes
from core.app.exchange_cells import (
    WRITTEN,
    Column,
    StayText,
    facet_cells,
    grade_texts,
    paid_text,
    safe,
    stays_text,
    varieties_text,
    weight_text,
)
from core.app.exchange_days import Span, meeting
from core.app.exchange_here import AlbumHere
from core.app.exchange_read import SheetDraft, SheetRow
from core.app.order import Context, Operation, misfit
from core.app.work import Progress
from core.errors import FileTrouble, Refused
from core.model.album import Placement, Slot, SlotId
from core.model.coin import Coin, CoinId, CoinStatus, Origin
from core.model.issue import Description, Series, SeriesId
from core.model.label import coin_name
from core.store.copies import require_folder, settle
from core.store.read import Reader
from core.store.unit import Unit

_EVERY = 512  # rows between two looks at the progress
_SQLITE = b"SQLite format 3\0"

# ---- out --------------------------------------------------------------------------------------


def _csv_line(cells: Iterable[str]) -> str:
    text = io.StringIO(newline="")
    csv.writer(text, lineterminator="\r\n").writerow(cells)
    return text.getvalue()


class CoinsSheet:
    """All coins of a collection, read at once and written line by line afterwards.

    Descriptions, being few, are told once.
    """

    def __init__(self, reader: Reader, series_of: Callable[[SeriesId], Series]) -> None:
        self._series_of = series_of
        self._coins = reader.all_coins()
        self._told: dict[Description, dict[Column, str]] = {}
        self._slots: dict[SlotId, tuple[Slot, AlbumHere]] = {}
        for album in reader.albums():
            shown = AlbumHere(album, reader.slots(album.id))
            self._slots |= {slot.id: (slot, shown) for slot in shown.slots}
        self._placed: dict[CoinId, Placement] = {}
        self._earlier: dict[CoinId, list[StayText]] = {}
        stays = reader.all_placements()
        self._crossed = _crossed(stays)
        for stay in stays:
            if stay.until is None:
                self._placed[stay.coin] = stay
            else:
                album_name, slot_name = self._name(stay.slot)
                told = StayText(stay.since, stay.until, album_name, slot_name)
                self._earlier.setdefault(stay.coin, []).append(told)
        self._meant = {one.coin: one.slot for one in reader.all_reservations()}

    def _name(self, slot_id: SlotId) -> tuple[str, str]:
        slot, shown = self._slots[slot_id]
        return shown.album.name, shown.names[slot.id]

    def lines(self, progress: Progress | None = None) -> Iterator[str]:
        """The lines of the sheet, each with its end, the first naming the columns.

        Raises Refused for a coin whose place no sheet can tell, Cancelled through `progress`.
        """
        watch = progress or Progress()
        yield _csv_line([column.value for column in WRITTEN])
        for done, coin in enumerate(self._coins):
            if done % _EVERY == 0:
                watch.report(done / len(self._coins), "Writing the coins")
            cells = self.cells(coin)
            yield _csv_line([safe(cells.get(column, "")) for column in WRITTEN])

    def cells(self, coin: Coin) -> Mapping[Column, str]:
        """The cells of a coin that are not empty."""
        facets = self._facets(coin.description)
        issuer = self._series_of(coin.description.series).issuer
        cells = {Column.NUMBER: str(coin.id), **coin_cells(coin, facets, issuer)}
        self._add_place(coin, cells)
        if coin.id in self._crossed:
            cells[Column.PLACED_ANYWAY] = "yes"
        if coin.id in self._earlier:
            cells[Column.EARLIER] = stays_text(self._earlier[coin.id])
        return cells

    def _facets(self, description: Description) -> dict[Column, str]:
        told = self._told.get(description)
        if told is None:
            told = self._told[description] = facet_cells(description.facets)
        return told

    def _add_place(self, coin: Coin, cells: dict[Column, str]) -> None:
        standing, meant = self._placed.get(coin.id), self._meant.get(coin.id)
        slot_id = standing.slot if standing else meant
        if slot_id is None:
            return
        slot, _ = self._slots[slot_id]
        status = CoinStatus.HELD if standing else CoinStatus.ON_ORDER
        if coin.status is not status or (standing and meant) or coin.is_lot:
            raise Refused(
                f"Coin {coin.id} is {coin.status.value} and yet has a place at slot {slot.label}, "
                "which no sheet can tell. Take it out of the slot or cancel its order, then "
                "export again."
            )
        cells[Column.ALBUM], cells[Column.SLOT] = self._name(slot_id)
        if standing is not None:
            cells[Column.SINCE] = standing.since.isoformat()
        if misfit(self._series_of, slot, coin):
            cells[Column.PLACED_ANYWAY] = "yes"


def _crossed(stays: Iterable[Placement]) -> set[CoinId]:
    """The coins that came into a slot while it held another, or while they sat elsewhere."""
    spans: dict[tuple[str, int], list[Span]] = {}
    for stay in stays:
        span = Span(stay.since, stay.until, stay.coin)
        spans.setdefault(("slot", stay.slot), []).append(span)
        spans.setdefault(("coin", stay.coin), []).append(span)
    pairs = (pair for found in spans.values() if len(found) > 1 for pair in meeting(found))
    return {CoinId(later.place) for later, _ in pairs}


def coin_cells(coin: Coin, facets: Mapping[Column, str], issuer: str = "") -> dict[Column, str]:
    """What a coin is and what is known of it, without its number and its place."""
    cells = {Column.SERIES: str(coin.description.series), **facets}
    if coin.varieties:
        cells[Column.VARIETIES] = varieties_text(coin.varieties)
    if coin.grade is not None:
        cells[Column.GRADE], cells[Column.GRADE_ENTERED] = grade_texts(coin.grade, issuer)
    if coin.problems:
        cells[Column.PROBLEMS] = "; ".join(coin.problems)
    if not coin.is_genuine:
        cells[Column.GENUINE] = "no"
    if coin.is_flagged:
        cells[Column.TO_VERIFY] = "yes"
    if coin.weight_mg is not None:
        cells[Column.WEIGHT] = weight_text(coin.weight_mg)
    if coin.status is not CoinStatus.HELD:
        cells[Column.STATUS] = coin.status.value
    if coin.quantity != 1:
        cells[Column.QUANTITY] = str(coin.quantity)
    if coin.origin is not Origin.UNKNOWN:
        cells[Column.ORIGIN] = coin.origin.value
    if coin.acquired is not None:
        cells[Column.ACQUIRED] = coin.acquired.isoformat()
    if coin.paid_minor is not None:
        cells[Column.PAID] = paid_text(coin.paid_minor, coin.currency)
    cells[Column.CAME_FROM], cells[Column.PLACE] = coin.came_from, coin.place
    cells[Column.CURRENCY], cells[Column.NOTE] = coin.currency, coin.note
    return cells


def rows_text(
    coins: Iterable[Coin],
    progress: Progress | None = None,
    series: Mapping[SeriesId, Series] | None = None,
) -> str:
    """Coins as tab-separated rows under their heads, for a clipboard; reads back as a sheet.

    `series` tell whose grade words a coin's are, as far as they are at hand.
    Numbers and slots are left out: what is pasted are further coins, and spares.
    """
    watch = progress or Progress()
    told: dict[Description, dict[Column, str]] = {}
    rows: list[dict[Column, str]] = []
    for done, coin in enumerate(coins):
        if done % _EVERY == 0:
            watch.check()
        facets = told.get(coin.description)
        if facets is None:
            facets = told[coin.description] = facet_cells(coin.description.facets)
        known = (series or {}).get(coin.description.series)
        rows.append(coin_cells(coin, facets, known.issuer if known else ""))
    used = [column for column in WRITTEN if any(row.get(column) for row in rows)]
    text = io.StringIO(newline="")
    writer = csv.writer(text, delimiter="\t", lineterminator="\n")
    writer.writerow([column.value for column in used])
    writer.writerows([safe(row.get(column, "")) for column in used] for row in rows)
    return text.getvalue()


def write_sheet(path: Path, lines: Iterable[str]) -> int:
    """Write a sheet under a temporary name, then give it its name; how many coins it holds.

    UTF-8 with the mark by which spreadsheets know it. Raises FileTrouble, and Refused for a
    folder or a collection file; what was there then stays as it was.
    """
    if path.is_dir():
        raise Refused(f"“{path}” is a folder. Choose a name for the sheet.")
    require_folder(path)
    draft = path.with_name(f".{path.name}.{os.getpid()}.new")
    count = -1  # the first line names the columns
    try:
        if path.exists():
            with path.open("rb") as file:
                if file.read(len(_SQLITE)) == _SQLITE:
                    raise Refused(f"“{path}” is a collection. Choose another name for the sheet.")
        with draft.open("w", encoding="utf-8-sig", newline="") as file:
            for line in lines:
                file.write(line)
                count += 1
        settle(draft, path, replace=True)
    except OSError as error:
        raise FileTrouble(
            f"“{path}” could not be written ({error.strerror}). Choose another folder."
        ) from error
    finally:
        with suppress(OSError):
            draft.unlink(missing_ok=True)
    return count


# ---- in ---------------------------------------------------------------------------------------


def import_coins(draft: SheetDraft, progress: Progress | None = None) -> Operation:
    """Take in the coins of a sheet, all or none: into their slots, with their past.

    Refused where the sheet has a fault, or where a slot or number was taken since it was read.
    """
    rows = draft.rows
    watch = progress or Progress()

    def work(unit: Unit, context: Context) -> Changes:
        _require_ready(draft)
        watch.report(0.0, "Taking in the coins")
        for description in {row.coin.description for row in rows}:
            context.series.require(unit, description.series).require(description)
        _require_free(unit, rows)
        made = unit.add_numbered([row.coin for row in rows])
        watch.report(0.6, "Putting them in their slots")
        stays = _stays(rows, made, context)
        unit.add_stays(stays)
        watch.report(0.9, "Keeping the orders")
        for row, number in zip(rows, made, strict=True):
            if row.is_ordered and row.slot is not None:
                unit.reserve(row.slot, number)
        slots = {stay.slot for stay in stays} | {r.slot for r in rows if r.slot is not None}
        albums = {slot.album for slot in unit.read.slots_by_ids(slots).values()}
        watch.check()
        return Changes(
            albums=frozenset(albums),
            slots=frozenset(slots),
            coins=frozenset(made),
            descriptions=frozenset(row.coin.description for row in rows),
            made_coins=tuple(made),
        )

    many = sum(row.coin.quantity for row in rows)
    return Operation("import a coin" if many == 1 else f"import {many:,} coins", work)


def _require_ready(draft: SheetDraft) -> None:
    if draft.faults:
        raise Refused(
            f"Nothing was imported: {faulty_text(draft)}. {draft.faults[0].text} Put the sheet "
            "right and import it again."
        )
    if not draft.rows:
        raise Refused("The sheet holds no coins; nothing was imported.")


def _require_free(unit: Unit, rows: Iterable[SheetRow]) -> None:
    """Refuse where a slot was filled or an order made since the sheet was read."""
    filled = set(unit.read.placed_ids().values())
    reserved = {one.slot for one in unit.read.all_reservations()}
    for row in rows:
        if row.slot is not None and row.slot in (reserved if row.is_ordered else filled):
            raise Refused(
                f"{row.where} was filled since the sheet was read. Read the sheet again; nothing "
                "was imported."
            )


def _stays(rows: Iterable[SheetRow], made: Iterable[CoinId], context: Context) -> list[Placement]:
    """All stays of the rows, oldest first; of one day those that are over first."""
    stays = []
    for row, number in zip(rows, made, strict=True):
        stays += [Placement(0, s.slot, number, s.since, s.until) for s in row.earlier]
        if row.slot is not None and not row.is_ordered:
            stays.append(Placement(0, row.slot, number, row.since or context.today))
    stays.sort(key=lambda stay: (stay.since, stay.until is None))
    return stays


# ---- in words ---------------------------------------------------------------------------------


def faulty_text(draft: SheetDraft) -> str:
    """3 rows are faulty."""
    many = len({fault.line for fault in draft.faults})
    return "1 row is faulty" if many == 1 else f"{many:,} rows are faulty"


def coming_text(draft: SheetDraft) -> tuple[str, ...]:
    """What would come, a line each: how many coins, and where they go."""
    total, many = sum(row.coin.quantity for row in draft.rows), len(draft.rows)
    coins, rows = "coin" if total == 1 else "coins", "row" if many == 1 else "rows"
    lines = [f"{total:,} {coins} in {many:,} {rows}"]
    seated = Counter(row.album for row in draft.rows if row.slot and not row.is_ordered)
    lines += [f"{count:,} into {name}" for name, count in seated.items()]
    ordered = sum(row.is_ordered for row in draft.rows)
    gone = sum(r.coin.quantity for r in draft.rows if r.coin.status is CoinStatus.GONE)
    waiting = sum(
        r.coin.quantity for r in draft.rows if r.coin.status is CoinStatus.ON_ORDER and not r.slot
    )
    spares = total - seated.total() - ordered - gone - waiting
    lines += [f"{spares:,} to the spares"] * bool(spares)
    lines += [f"{ordered:,} on order for a slot"] * bool(ordered)
    lines += [f"{waiting:,} on order"] * bool(waiting)
    lines += [f"{gone:,} that are gone, for the record"] * bool(gone)
    past = sum(len(row.earlier) for row in draft.rows)
    lines += [f"{past:,} earlier stay{'' if past == 1 else 's'} in slots"] * bool(past)
    return tuple(lines)


@dataclass(frozen=True, slots=True)
class ComingRow:
    """A row of a sheet in words: `number` "" for the next free one, `goes` where the coin goes."""

    line: int
    number: str
    coin: str
    condition: str
    goes: str

    @property
    def text(self) -> str:
        """3 × 1943-D, VF-20, bent: to the spares."""
        named = f"coin {self.number}, " if self.number else ""
        return f"{named}{self.coin}, {self.condition}: {self.goes}"


def coming_row(row: SheetRow, series: Series) -> ComingRow:
    """A row in words; `series` is that of its coin."""
    coin = row.coin
    many = f"{coin.quantity:,} × " if coin.is_lot else ""
    words = [coin.grade.text if coin.grade else "no grade", *map(str, coin.problems)]
    words += ["not genuine"] * (not coin.is_genuine) + ["to verify"] * coin.is_flagged
    if row.slot is None:
        goes = {
            CoinStatus.HELD: "to the spares",
            CoinStatus.ON_ORDER: "on order",
            CoinStatus.GONE: "gone",
        }[coin.status]
    else:
        goes = ("on order for " if row.is_ordered else "into ") + row.where
    name = series.words[0] if series.words else series.denomination
    what = f"{many}{name} {coin_name(series, coin)}"
    return ComingRow(row.line, str(coin.id or ""), what, ", ".join(words), goes)
