"""Collection: an opened file. Run operations, undo and redo, ask for views, listen to changes.

Used from one worker thread at a time; listeners are called on the thread that ran the operation.
What the first album on screen does not need is imported where it is used.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Self

from core.app.changes import Changes
from core.app.coin_rows import coin_rows
from core.app.kept_views import KeptViews
from core.app.series_shelf import SeriesShelf
from core.app.views import AlbumSummary, AlbumView, CoinRow, Seat, SlotCard
from core.app.work import Progress
from core.errors import ReadOnly
from core.model.album import Album, AlbumId, Slot, SlotId
from core.model.coin import Coin, CoinId
from core.model.issue import Series, SeriesId, VarietyId
from core.store.store import Entry as Entry  # noqa: PLC0414 (given on)
from core.store.store import Step, Store, create, open_store

if TYPE_CHECKING:
    from core.app.checklists import ListGroup, ListName
    from core.app.exchange import CoinsSheet, ComingRow
    from core.app.exchange_cells import Column
    from core.app.exchange_read import SheetDraft
    from core.app.finding import CoinPlaces, SlotFinds
    from core.app.look_up import Answer, Looked, Scope
    from core.app.look_up_index import LookUpIndex
    from core.app.operations import Operation
    from core.app.outline import Outline
    from core.app.own_series import SeriesDifference
    from core.app.past import AlbumPast, SlotChange
    from core.app.price_book import PriceBook
    from core.app.search_views import SearchLog
    from core.fill.offers import Known
    from core.fill.value import FillInput
    from core.model.arrangement import SavedArrangement
    from core.model.plan_choice import PlanChoice
    from core.printing.checklist import Checklist

Listener = Callable[[Changes], None]


def make_collection(path: Path, name: str, made: date | None = None) -> None:
    """Make a new, empty collection file, today unless told; refused where one is there already."""
    create(path, name, made)


class Collection:
    """An opened collection file."""

    def __init__(self, store: Store, today: Callable[[], date] = date.today) -> None:
        self._store = store
        self._today = today
        self._listeners: list[Listener] = []
        self._shelf = SeriesShelf()
        self._kept = KeptViews(store, self._shelf)
        self._known: Known | None = None  # what Fill keeps from one time to the next
        self._log: SearchLog | None = None
        self._prices: PriceBook | None = None
        self._stand = store.stand()
        with store.reading() as reader:
            self._shelf.refresh(reader)

    @classmethod
    def open(
        cls,
        path: Path,
        read_only: bool = False,
        today: Callable[[], date] = date.today,
        verify: bool = True,
    ) -> Self:
        """Open a file; errors are FileTrouble with a message that says what to do."""
        return cls(open_store(path, read_only=read_only, verify=verify), today)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the file and its lock."""
        self._store.close()

    @property
    def path(self) -> Path:
        """The file."""
        return self._store.path

    @property
    def is_read_only(self) -> bool:
        """Whether it can only be looked at; `read_only_reason` says why."""
        return self._store.is_read_only

    @property
    def read_only_reason(self) -> str:
        """Why it can only be looked at, "" where it can be changed."""
        return self._store.read_only_reason or ""

    @property
    def copy_trouble(self) -> str:
        """Why today's copy could not be kept, "" if it was kept or was not due."""
        return self._store.copy_trouble or ""

    @property
    def name(self) -> str:
        """What the collection is called."""
        with self._store.reading() as reader:
            return reader.name()

    @property
    def today(self) -> date:
        """Today's local date, as operations use it."""
        return self._today()

    # ---- changing -----------------------------------------------------------------------------

    def listen(self, listener: Listener) -> None:
        """Be told of every change."""
        self._listeners.append(listener)

    def start_run(self) -> int:
        """Begin a run of operations that undo takes back together (stocking an album)."""
        return self._store.start_run()

    def run(
        self, operation: "Operation", run_id: int | None = None, at: datetime | None = None
    ) -> Changes:
        """Commit an operation, journal it, tell the listeners; all or nothing."""
        self._must_be_writable()
        day = at.astimezone().date() if at is not None else self._today()
        from core.app.order import Context, about

        context = Context(self._shelf, day, at or datetime.now(UTC))
        with self._store.operation(operation.label, run_id=run_id, at=at) as unit:
            done = operation.work(unit, context)
            if operation.is_named:
                unit.about = about(unit.read, done)
        changes = replace(done, label=operation.label)
        self._forget(changes)
        self._tell(changes)
        return changes

    def undo(self) -> str | None:
        """Take back the newest entry (or its whole run); its label, None if there is none."""
        self._must_be_writable()
        return self._stepped(self._store.undo())

    def redo(self) -> str | None:
        """Do again what was undone last; its label, None if there is none."""
        self._must_be_writable()
        return self._stepped(self._store.redo())

    def undo_to(self, entry: int) -> list[str]:
        """Take back all that was done after an entry of the history; what, newest first.

        The entry itself stands: the collection is then as it was right after it (0: before the
        first). All or nothing; each can be done again with redo. Refused for an entry that is not
        there, is undone itself, or lies before the file was renewed for a newer program.
        """
        self._must_be_writable()
        labels = [step.label for step in self._store.undo_to(entry)]
        if labels:
            many = "a change" if len(labels) == 1 else f"{len(labels)} changes"
            changes = Changes.everything(f"back by {many}")
            self._forget(changes)
            self._tell(changes)
        return labels

    def _stepped(self, step: Step | None) -> str | None:
        if step is None:
            return None
        changes = Changes.everything(step.label)
        self._forget(changes)
        self._tell(changes)
        return step.label

    @property
    def undo_label(self) -> str | None:
        """What undo would take back."""
        return self._store.undo_label

    @property
    def redo_label(self) -> str | None:
        """What redo would do again."""
        return self._store.redo_label

    def entries(self, limit: int = 100, before: int | None = None) -> list[Entry]:
        """A page of the journal, newest first; `before` an entry's id, the entries older than it.

        An entry's `at` is in UTC.
        """
        return self._store.history(limit, before)

    def copy_to(self, path: Path) -> None:
        """Save a verified copy under another name."""
        self._store.copy_to(path)

    def verify(self) -> str:
        """Read the file through, for one opened without; why it is read-only from now on, or ""."""
        return self._store.verify() or ""

    def check(self) -> list[str]:
        """What is wrong with the file, in plain words; empty when it is sound."""
        return self._store.check()

    def unprintable(self) -> list[str]:
        """Characters of the collection's texts that no font draws, a line each."""
        from core.app.unprintable import unprintable

        with self._store.reading() as reader:
            return unprintable(reader.texts())

    def outline(self) -> "Outline":
        """The collection in a few figures."""
        from core.app.outline import outline_of

        return outline_of(self._store)

    def content_hash(self) -> str:
        """A hash over what the collection holds: equal for equal coins in equal albums."""
        return self._store.content_hash()

    def rows_hash(self) -> str:
        """A hash over every row of the file but its history: equal only where nothing changed."""
        return self._store.rows_hash()

    def _must_be_writable(self) -> None:
        if self._store.is_read_only:
            raise ReadOnly(f"Nothing was changed. {self._store.read_only_reason}")

    def _forget(self, changes: Changes) -> None:
        """Drop what is no longer true of the kept views and spares, and of the search log."""
        if self._log is not None:
            self._log.forget(changes)
        if changes.is_prices or changes.is_shelf:
            self._prices = None
        with self._store.reading() as reader:
            carried = {series.id for series in self._shelf.in_use}
            is_new = changes.is_shelf or bool({d.series for d in changes.descriptions} - carried)
            if is_new:
                self._shelf.refresh(reader)
            self._kept.forget(reader, changes, is_new)

    def keep_up(self) -> bool:
        """Whether another program changed the file since it was asked last; only for looking."""
        if not self._store.is_read_only:
            return False
        stand = self._store.stand()
        if stand == self._stand:
            return False
        self._stand = stand
        self._forget(Changes.everything())
        return True

    def _tell(self, changes: Changes) -> None:
        for listener in self._listeners:
            listener(changes)

    # ---- asking -------------------------------------------------------------------------------

    @property
    def series_in_use(self) -> Sequence[Series]:
        """The collection's own series."""
        self.keep_up()
        return self._shelf.in_use

    def all_series(self) -> Sequence[Series]:
        """Every series a new album may use."""
        return self._shelf.all_known()

    def series_texts(self, series_id: SeriesId) -> tuple[str, str] | None:
        """`series.toml` and `issues.csv` as this collection carries them, None for none."""
        return self._shelf.texts(series_id)

    def series_differences(self) -> "tuple[SeriesDifference, ...]":
        """What the library says otherwise now than the copies of its series that are here."""
        from core.app.own_series import series_differences

        return series_differences(self)

    def series(self, series_id: SeriesId) -> Series:
        """A series by id."""
        return self._shelf.get(series_id)

    def shelf(self, with_marks: bool = True) -> tuple[AlbumSummary, ...]:
        """The albums from the top of the shelf; without marks sooner, and no spares are counted."""
        views = [self.album_view(album.id, with_marks) for album in self.albums()]
        return tuple(AlbumSummary(v.album, v.series_title, v.headline) for v in views)

    def albums(self) -> list[Album]:
        """The albums from the top of the shelf, without their counts."""
        with self._store.reading() as reader:
            return reader.albums()

    @property
    def log(self) -> "SearchLog":
        """The search log: campaigns, searches, boxes, what was kept and counted in them."""
        from core.app.search_views import SearchLog

        self.keep_up()
        if self._log is None:
            self._log = SearchLog(self, self._store)
        return self._log

    def album_view(self, album_id: AlbumId, with_marks: bool = True) -> AlbumView:
        """An album as drawn; without marks it is there sooner."""
        self.keep_up()
        return self._kept.view(album_id, with_marks)

    def make_ready(self, album_id: AlbumId) -> bool:
        """Read a little more of what an album's marks ask for; whether all of it is there."""
        self.keep_up()
        return self._kept.make_ready(album_id)

    def saved_arrangements(self) -> "list[SavedArrangement]":
        """The arrangements kept under a name, by name."""
        with self._store.reading() as reader:
            return reader.saved_arrangements()

    def album_past(self, album_id: AlbumId) -> "AlbumPast":
        """An album's whole past, read once: any day's view without reading again."""
        from core.app.past_reading import read_past

        present = self.album_view(album_id)
        with self._store.reading() as reader:
            return read_past(reader, present, self._today())

    def album_view_on(self, album_id: AlbumId, day: date) -> AlbumView:
        """An album at a day's end, with today's targets and arrangement; not kept."""
        return self.album_past(album_id).view_on(day)

    def changed_since(self, album_id: AlbumId, day: date) -> "dict[SlotId, SlotChange]":
        """The slots in which a coin came or went after a day, and what became of each."""
        return self.album_past(album_id).changed_since(day)

    def past_days(self, album_id: AlbumId) -> tuple[date, ...]:
        """The days on which a coin came into or left the album, ascending, each once."""
        from core.app.past_reading import read_days

        self.keep_up()
        with self._store.reading() as reader:
            return read_days(reader, album_id)

    def slot_card(self, slot_id: SlotId) -> SlotCard:
        """Everything the card says of a slot."""
        from core.app.card_reading import read_card

        self.keep_up()
        with self._store.reading() as reader:
            return read_card(reader, self._kept, slot_id)

    def seat(self, slot_id: SlotId | None) -> Seat:
        """Where the coin that an overview shows sits, in words; None: it is a spare."""
        from core.app.card_reading import read_seat

        with self._store.reading() as reader:
            return read_seat(reader, slot_id)

    def spares_of(self, series_id: SeriesId) -> list[Coin]:
        """Held coins of a series that are in no slot, by what they are."""
        with self._store.reading() as reader:
            groups = reader.spare_groups(series_id)
        return [group.coin for group in groups]

    def held_coins(self, series_id: SeriesId) -> list[Coin]:
        """Every held coin and lot of a series, placed or not, by number."""
        with self._store.reading() as reader:
            return reader.held_coins(series_id)

    def placed_coins(self) -> dict[CoinId, SlotId]:
        """Every coin that sits in a slot, and which."""
        with self._store.reading() as reader:
            return reader.placed_ids()

    def coins_for_slot(
        self,
        slot_id: SlotId,
        coins: Iterable[Coin] | None = None,
        progress: Progress | None = None,
    ) -> "SlotFinds":
        """Held coins that fit a slot or may, best first; from these coins, or from all."""
        from core.app.finding import coins_for_slot

        with self._store.reading() as reader:
            slot = reader.slot(slot_id)
            placed = reader.placed_ids()
            if coins is None:
                coins = reader.held_coins(slot.accepts.series)
        view = self.album_view(slot.album)
        return coins_for_slot(view, slot_id, coins, placed, (progress or Progress()).check)

    def places_for_coin(self, coin_id: CoinId, progress: Progress | None = None) -> "CoinPlaces":
        """The slots over all albums that take a coin or may, those it gains most in first."""
        from core.app.finding import places_for_coin

        coin = self.coin(coin_id)
        with self._store.reading() as reader:
            taking = reader.albums_of_series(coin.description.series)
        views = (self.album_view(a.id) for a in self.albums() if a.id in taking)
        return places_for_coin(views, coin, (progress or Progress()).check)

    def look_up(self, text: str, scope: "Scope | None" = None) -> "Looked":
        """What the look-up line answers to a text, at any key; see `core.app.look_up`."""
        from core.app.look_up import Scope, look_up

        return look_up(self.look_up_index(), text, scope or Scope())

    def look_up_again(self, answer: "Answer", coin: Coin, scope: "Scope") -> "Answer":
        """The answer for a coin of which more is known now; see `core.app.look_up`."""
        from core.app.look_up import look_up_again

        return look_up_again(self.look_up_index(), answer, coin, scope)

    def own_codes(self) -> dict[str, tuple[SeriesId, VarietyId]]:
        """The collector's own codes of varieties, each with the series and what it names."""
        with self._store.reading() as reader:
            return reader.own_codes()

    def price_book(self) -> "PriceBook":
        """Prices, offers, rates and rules, kept until one of them changes or the day does."""
        from core.app.price_book import price_book

        self.keep_up()
        if self._prices is None or self._prices.today != self._today():
            with self._store.reading() as reader:
                self._prices = price_book(reader, self._today())
        return self._prices

    def plan_choices(self) -> "list[PlanChoice]":
        """What was pinned, forbidden or shown of the plans, as it was chosen."""
        self.keep_up()
        with self._store.reading() as reader:
            return reader.prices.choices()

    def look_up_index(self) -> "LookUpIndex":
        """What look-up asks, kept as long as the series are the same."""
        self.keep_up()
        return self._kept.look_up_index()

    def coin(self, coin_id: CoinId) -> Coin:
        """A coin by its number."""
        with self._store.reading() as reader:
            return reader.coin(coin_id)

    def coin_count(self) -> int:
        """How many rows of coins there are; a lot counts as one."""
        with self._store.reading() as reader:
            return reader.coin_count()

    def coins_by_number(self, numbers: Iterable[CoinId]) -> dict[CoinId, Coin]:
        """Those of these coins that are there."""
        with self._store.reading() as reader:
            return reader.coins(numbers)

    def slot_of_coin(self, coin_id: CoinId) -> Slot | None:
        """The slot a coin sits in, None for a spare."""
        with self._store.reading() as reader:
            return reader.slot_of_coin(coin_id)

    def coin_rows(
        self, only: Iterable[CoinId] | None = None, progress: Progress | None = None
    ) -> list[CoinRow]:
        """Every coin, ready for the table; or those of these coins that are there."""
        self.keep_up()
        told_to = progress or Progress()
        with self._store.reading() as reader:
            if only is None:
                most = max(1, reader.coin_count())
                coins = reader.all_coins(lambda read: told_to.report(0.8 * read / most))
            else:
                coins = list(reader.coins(only).values())
            where = reader.coin_numbers_all_slots()
            names = {a.id: a.name for a in reader.albums()}
        return coin_rows(coins, where, names, self._shelf.get, told_to.check)

    def find_album(self, name: str) -> Album:
        """An album by its name or a unique beginning of it, whatever the case."""
        from core.app.by_name import album_by_name

        return album_by_name(self.albums(), name)

    def find_slot(self, album: Album, label: str) -> Slot:
        """A slot by its label, whatever the case."""
        from core.app.by_name import slot_by_label

        return slot_by_label(self.album_view(album.id), label)

    def checklist(
        self,
        album_id: AlbumId,
        which: "ListName",
        as_of: date | None = None,
        group: "ListGroup | None" = None,
    ) -> "Checklist":
        """A printable list of an album, grouped by leaf or as told: of today, or of a day gone by.

        Refused for the spares of a day gone by, which are not recorded.
        """
        from core.app.checklist_of import checklist_of
        from core.app.checklists import ListGroup

        by = group or ListGroup.LEAF
        return checklist_of(self, self._store, album_id, which, as_of, by)

    def read_sheet(
        self,
        text: str,
        renumber: bool = False,
        columns: "Sequence[Column] | None" = None,
        progress: "Progress | None" = None,
        prefer: SeriesId | None = None,
    ) -> "SheetDraft":
        """Read a coins sheet against what is here; nothing is taken in yet.

        `columns` names the columns of rows without a first line; `renumber` gives new numbers;
        `prefer` is the series meant where an entry line names none.
        """
        from core.app.exchange_here import here
        from core.app.exchange_read import read_sheet

        self.keep_up()
        with self._store.reading() as reader:
            stand = here(reader, self._today())
        return read_sheet(
            text,
            self.all_series(),
            stand,
            entries_in=self._shelf.in_use,
            prefer=prefer,
            columns=columns,
            renumber=renumber,
            progress=progress,
        )

    def coming_rows(self, draft: "SheetDraft", most: int) -> "tuple[ComingRow, ...]":
        """The first rows of a sheet in words."""
        from core.app.exchange import coming_row

        return tuple(
            coming_row(row, self._shelf.get(row.coin.description.series))
            for row in draft.rows[:most]
        )

    def coins_sheet(self) -> "CoinsSheet":
        """All coins as they stand now, to be written as a sheet."""
        from core.app.exchange import CoinsSheet

        self.keep_up()
        with self._store.reading() as reader:
            return CoinsSheet(reader, self._shelf.get)

    def export_coins(self, path: Path, progress: "Progress | None" = None) -> int:
        """Write all coins to a sheet, whole or not at all; how many rows of coins it holds."""
        from core.app.exchange import write_sheet

        return write_sheet(path, self.coins_sheet().lines(progress))

    def fill_input(
        self,
        albums: Sequence[AlbumId] = (),
        uncapped: bool = False,
        barred: frozenset[tuple[SlotId, CoinId]] = frozenset(),
    ) -> "FillInput":
        """What Fill works on: the chosen albums (all holders by default), in shelf order."""
        from core.app.fill_reading import read_fill

        self.keep_up()
        with self._store.reading() as reader:
            given = read_fill(reader, self._shelf.get, albums, uncapped, barred, self._known)
        self._known = given.known
        return given
