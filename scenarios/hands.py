"""The hands that walk a story: through the core alone here, through the window in `tests/gui`.

A story asks only for what a person at the desk can do and see, so that the same story is walked
by both. Slots are named by their labels, albums by their names; states by the names on screen.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Protocol, Self

from core.app.checklists import ListName
from core.app.collection import Collection
from core.app.design import misfit_of
from core.app.fill_lines import FillLine, compare_lines, fill_lines
from core.app.operations import (
    Operation,
    add_album,
    add_and_place,
    add_coins,
    apply_fill,
    clear_slots,
    coin_arrived,
    order_coin,
    place_coin,
    set_flagged,
    set_note,
    set_target,
    set_wish,
    stock_slots,
)
from core.app.operations_past import correct_placement
from core.app.stocking import Act, Typed, next_slot, press
from core.app.views import AlbumView, SlotCard, SlotView
from core.errors import InUse, Refused
from core.fill.proposal import Proposal, propose
from core.lookup.parse import parse_entry
from core.model.album import AlbumId, Slot, SlotId, Wish, parse_target
from core.model.arrangement import parse_arrangement
from core.model.coin import Origin
from core.model.issue import SeriesId
from core.model.plan_album import AlbumPlan
from core.model.state import Mark, SlotState
from core.printing.checklist import Paper
from core.printing.pdf import checklist_pdf, write_pdf
from scenarios.buying import Buyer, Chosen
from scenarios.designing import DesignAct, Drawing, drawn_rows
from scenarios.sitting import Seen, Table, TableAct, do_and_be_killed

Told = Callable[[int], None]
"""Called at the beginning of each numbered step of a story."""


class Hands(Protocol):
    """What a person at the desk can do and see."""

    def shelf(self) -> list[tuple[str, str]]:
        """Each album's name and count: have 58 of 70."""

    def open_album(self, name: str) -> None:
        """Choose an album on the shelf."""

    def headline(self) -> str:
        """The count above the album: have 58 of 70 · at target 44."""

    def labels(self) -> list[str]:
        """The labels of the album's slots in reading order."""

    def state(self, label: str) -> str:
        """A slot's state and marks by their names: below target, spare waiting."""

    def card(self, label: str) -> dict[str, str]:
        """The card's facts by their names."""

    def spares(self, label: str) -> list[str]:
        """The spares that fit a slot, best first: VF-20, meets target."""

    def history(self, label: str) -> list[str]:
        """A slot's past, newest first: 2026-03-02 VG-8 put in."""

    def on_day(self, day: date) -> None:
        """From here on today is this day."""

    def change_days(self) -> list[date]:
        """The days on which a coin came into the open album or left it, oldest first."""

    def leaves(self, days: Iterable[date]) -> list[dict[str, str]]:
        """The open album as of each day: the slots that hold a coin, and what stands under it."""

    def changed_since(self, day: date) -> dict[str, str]:
        """The slots that changed since a day, and what became of them: new, better, out."""

    def correct(self, label: str, at: int, since: date, until: date | None) -> str:
        """Correct the days of a line of a slot's past, 0 the newest; what is said against it."""

    def new_album(self, name: str, series: str, first: int, last: int, target: str) -> None:
        """Make an album of some years, every mint, and open it."""

    def stock(self, keys: Iterable[str]) -> None:
        """Stock the open album: these keys from its first empty slot on, then leave."""

    def put_in(self, label: str, entry: str) -> None:
        """Enter a coin straight into a slot."""

    def put_best_spare(self, label: str) -> None:
        """Put the best spare in; what was there becomes a spare."""

    def take_out(self, label: str) -> None:
        """The coin comes out and becomes a spare."""

    def order(self, label: str, grade: str, came_from: str) -> None:
        """A coin for the slot is under way."""

    def arrived(self, label: str) -> None:
        """The ordered coin is here."""

    def toggle_verify(self, label: str) -> None:
        """Mark the slot's coin to verify, or take the mark off."""

    def skip(self, label: str) -> None:
        """The slot is not sought any more."""

    def set_target(self, label: str, target: str) -> None:
        """Say what is wanted in a slot."""

    def write_note(self, label: str, note: str) -> None:
        """Write a slot's note."""

    def undo(self) -> str | None:
        """Take the newest change back; what it was."""

    def redo(self) -> str | None:
        """Do it again; what it was."""

    def add_coins(self, entries: Sequence[str], series: str) -> None:
        """Enter finds as spares."""

    def paste_coins(self, entries: Sequence[str], series: str) -> None:
        """Paste lines that were copied elsewhere: spares, all in one entry."""

    def fill_proposal(self) -> tuple[list[str], list[str]]:
        """What Fill would move in the open album, and what it leaves to the eye; slot labels."""

    def fill(self, without: Sequence[str] = ()) -> None:
        """Accept what Fill proposes for the open album, but for these slots."""

    def checklist(self, which: str, paper: str, to: Path) -> None:
        """Print a list of the open album to a PDF file."""

    def prices(self) -> int:
        """How many prices there are."""

    def take_prices(self, sheet: Path) -> None:
        """Import a sheet of prices."""

    def plan(self, budget: str, pins: Sequence[str] = ()) -> Chosen:
        """The best purchases for the open album that close gaps; `pins` are slots to buy for."""

    def want_list(self, budget: str, pins: Sequence[str], pay: str, paper: str, to: Path) -> None:
        """Print what such a plan buys to a PDF file."""

    def buy(self, label: str) -> None:
        """What the plan made last buys for a slot is bought."""

    def save_copy(self, to: Path) -> None:
        """Save a copy of the collection."""

    def design(self, acts: Sequence[DesignAct]) -> None:
        """Do these while the open album is designed, each by its strokes."""

    def drawn(self) -> list[list[str]]:
        """Leaf by leaf and row by row what stands on the open album's leaves: `drawn_rows`."""

    def misfit(self) -> str:
        """What is told of a row map that does not fit; "" where it does."""

    def asked(self) -> str:
        """What a person is asked before coins leave their slots; "" where nothing is asked."""

    def sit(self, acts: Sequence[TableAct]) -> None:
        """Do these at the sorting table, each by its keys."""

    def sit_until_killed(self, acts: Sequence[TableAct]) -> None:
        """Do these; then the program is ended from outside, and begun again on the same file."""

    def table(self) -> Seen:
        """What stands at the table."""

    def in_figures(self) -> str:
        """The campaign in a line: its boxes, have n of m, and all coins searched."""

    def somebody_else(self) -> Self:
        """A second pair of hands on the same file, while this one has it open."""

    def may_change(self) -> bool:
        """Whether these hands may change the collection."""

    def close(self) -> None:
        """Be done."""


def in_words(state: SlotState, marks: Iterable[Mark]) -> str:
    """A state and its marks by their names: below target, spare waiting."""
    return ", ".join([state.value, *sorted(mark.value for mark in marks)])


class HeadlessHands:
    """Hands without a screen: everything through `core.app`."""

    def __init__(self, path: Path, today: Callable[[], date] = date.today) -> None:
        self._path, self._clock = path, today
        self._day: date | None = None
        try:
            self.collection = Collection.open(path, today=self._today)
        except InUse:
            self.collection = Collection.open(path, read_only=True, today=self._today)
        albums = self.collection.albums()
        self._album: AlbumId | None = albums[0].id if albums else None
        self._drawing: Drawing | None = None
        self._table: Table | None = None
        self._buyer: tuple[AlbumId, Buyer] | None = None

    def _today(self) -> date:
        return self._day or self._clock()

    # ---- seeing -------------------------------------------------------------------------------

    @property
    def _view(self) -> AlbumView:
        assert self._album is not None
        return self.collection.album_view(self._album)

    def _seen(self, label: str) -> SlotView:
        return self._view.by_id[self._slot(label).id]

    def _slot(self, label: str) -> Slot:
        return self.collection.find_slot(self._view.album, label)

    def _card(self, label: str) -> SlotCard:
        return self.collection.slot_card(self._slot(label).id)

    def shelf(self) -> list[tuple[str, str]]:
        return [(one.album.name, one.headline.text) for one in self.collection.shelf()]

    def open_album(self, name: str) -> None:
        self._album = self.collection.find_album(name).id

    def headline(self) -> str:
        return self._view.headline.whole_text

    def labels(self) -> list[str]:
        return [seen.slot.label for seen in self._view.slots]

    def state(self, label: str) -> str:
        seen = self._seen(label)
        return in_words(seen.state, seen.marks)

    def card(self, label: str) -> dict[str, str]:
        return dict(self._card(label).facts)

    def spares(self, label: str) -> list[str]:
        return [f"{line.title}, {line.gain}" for line in self._card(label).spares]

    def history(self, label: str) -> list[str]:
        return [f"{line.day.isoformat()} {line.text}" for line in self._card(label).history]

    # ---- the album through time ---------------------------------------------------------------

    def on_day(self, day: date) -> None:
        self._day = day

    def change_days(self) -> list[date]:
        return list(self.collection.past_days(self._view.album.id))

    def leaves(self, days: Iterable[date]) -> list[dict[str, str]]:
        past = self.collection.album_past(self._view.album.id)
        return [
            {seen.slot.label: seen.held_text for seen in past.view_on(day).slots if seen.coin}
            for day in days
        ]

    def changed_since(self, day: date) -> dict[str, str]:
        view = self._view
        found = self.collection.changed_since(view.album.id, day)
        return {view.by_id[slot].slot.label: change.value for slot, change in found.items()}

    def correct(self, label: str, at: int, since: date, until: date | None) -> str:
        line = self._card(label).history[at]
        assert line.placement is not None
        try:
            self._run(correct_placement(line.placement, since, until))
        except Refused as refusal:
            return str(refusal)
        return ""

    # ---- doing --------------------------------------------------------------------------------

    def _run(self, operation: Operation) -> None:
        self.collection.run(operation)

    def new_album(self, name: str, series: str, first: int, last: int, target: str) -> None:
        plan = AlbumPlan((first, last), target=parse_target(target))
        order = add_album(name, SeriesId(series), plan, parse_arrangement("years-by-mints"))
        self._album = self.collection.run(order).made_album

    def stock(self, keys: Iterable[str]) -> None:
        """The same rules as on screen: only wanted slots that are empty are stopped at."""
        order = [SlotId(s) for s in self._view.plan.slot_ids if s]
        run = self.collection.start_run()
        typed, done = Typed(), list[tuple[SlotId, int]]()
        empty = self._empty()
        here: SlotId | None = next((s for s in order if s in empty), None)
        for key in keys:
            answer = press(typed, key)
            typed = answer.typed
            if answer.date:
                here = self._met(answer.date) or here
            match answer.act:
                case Act.STOCK if here is not None:
                    made = self.collection.run(
                        stock_slots([here], typed.grade, typed.is_flagged), run_id=run
                    ).made_coins
                    done += [(here, number) for number in made]
                    typed = replace(typed, is_flagged=False)
                    empty.discard(here)
                    here = next_slot(order, here, empty) or here
                case Act.LEAVE:
                    return

    def _empty(self) -> set[SlotId]:
        return {
            seen.slot.id
            for seen in self._view.slots
            if seen.slot.wish is Wish.WANTED and seen.coin is None and seen.ordered is None
        }

    def _met(self, typed: str) -> SlotId | None:
        """The slot that a typed date jumps to."""
        plan = self._view.plan
        cell = plan.find_date(typed)
        return next((SlotId(s) for s in plan.slot_ids[cell:] if s), None) if cell >= 0 else None

    def put_in(self, label: str, entry: str) -> None:
        coin = parse_entry(entry, [self._view.series]).coin
        self._run(add_and_place(coin, self._slot(label).id))

    def put_best_spare(self, label: str) -> None:
        self._run(place_coin(self._card(label).spares[0].coin, self._slot(label).id))

    def take_out(self, label: str) -> None:
        self._run(clear_slots([self._slot(label).id]))

    def order(self, label: str, grade: str, came_from: str) -> None:
        coin = parse_entry(f"{label} {grade}", [self._view.series]).coin
        bought = replace(coin, origin=Origin.BOUGHT, came_from=came_from)
        self._run(order_coin(bought, self._slot(label).id))

    def arrived(self, label: str) -> None:
        self._run(coin_arrived(self._slot(label).id))

    def toggle_verify(self, label: str) -> None:
        coin = self._seen(label).coin
        assert coin is not None
        self._run(set_flagged([coin.id], not coin.is_flagged))

    def skip(self, label: str) -> None:
        self._run(set_wish([self._slot(label).id], Wish.SKIPPED))

    def set_target(self, label: str, target: str) -> None:
        self._run(set_target([self._slot(label).id], parse_target(target)))

    def write_note(self, label: str, note: str) -> None:
        self._run(set_note(self._slot(label).id, note))

    def undo(self) -> str | None:
        return self.collection.undo()

    def redo(self) -> str | None:
        return self.collection.redo()

    def add_coins(self, entries: Sequence[str], series: str) -> None:
        known = [self.collection.series(SeriesId(series))]
        self._run(add_coins([parse_entry(entry, known).coin for entry in entries]))

    def paste_coins(self, entries: Sequence[str], series: str) -> None:
        self.add_coins(entries, series)

    # ---- designing ----------------------------------------------------------------------------

    def design(self, acts: Sequence[DesignAct]) -> None:
        album = self._view.album.id
        if self._drawing is None or self._drawing.album != album:
            self._drawing = Drawing(self.collection, album)
        for act in acts:
            act.draw(self._drawing)

    def drawn(self) -> list[list[str]]:
        return drawn_rows(self._view.plan)

    def misfit(self) -> str:
        found = misfit_of(self._view)
        return found.text if found is not None else ""

    def asked(self) -> str:
        return self._drawing.asked if self._drawing is not None else ""

    # ---- the sorting table --------------------------------------------------------------------

    def sit(self, acts: Sequence[TableAct]) -> None:
        self._table = self._table or Table(self.collection)
        for act in acts:
            self._table.do(act.deed, act.given)

    def sit_until_killed(self, acts: Sequence[TableAct]) -> None:
        """Another process does them, and the system kills it."""
        today = self._today()
        self.collection.close()
        do_and_be_killed(self._path, acts, today)
        self.collection = Collection.open(self._path, today=self._today)
        self._table = None

    def table(self) -> Seen:
        assert self._table is not None
        return self._table.seen()

    def in_figures(self) -> str:
        assert self._table is not None
        return self._table.in_figures()

    # ---- fill, paper, files -------------------------------------------------------------------

    def _propose(self) -> tuple[Proposal, list[FillLine]]:
        proposal = propose(self.collection.fill_input([self._view.album.id]))
        return proposal, fill_lines(self.collection, proposal)

    def fill_proposal(self) -> tuple[list[str], list[str]]:
        proposal, lines = self._propose()
        looks = compare_lines(self.collection, proposal)
        return [line.label for line in lines], [look.label for look in looks]

    def fill(self, without: Sequence[str] = ()) -> None:
        given = self.collection.fill_input([self._view.album.id])
        _proposal, lines = self._propose()
        off = frozenset((line.slot, line.coin) for line in lines if line.label in without)
        moves = propose(replace(given, barred=off)).moves
        self._run(apply_fill([move.pair for move in moves]))

    def checklist(self, which: str, paper: str, to: Path) -> None:
        listing = self.collection.checklist(self._view.album.id, ListName(which))
        write_pdf(to, checklist_pdf(listing, Paper(paper)))

    @property
    def _buying(self) -> Buyer:
        album = self._view.album.id
        if self._buyer is None or self._buyer[0] != album:
            self._buyer = album, Buyer(self.collection, album)
        return self._buyer[1]

    def prices(self) -> int:
        return len(self.collection.price_book().prices)

    def take_prices(self, sheet: Path) -> None:
        self._buying.take_prices(sheet)

    def plan(self, budget: str, pins: Sequence[str] = ()) -> Chosen:
        return self._buying.plan(budget, pins)

    def want_list(self, budget: str, pins: Sequence[str], pay: str, paper: str, to: Path) -> None:
        self._buying.want_list(budget, pins, pay, paper, to)

    def buy(self, label: str) -> None:
        self._buying.buy(label)

    def save_copy(self, to: Path) -> None:
        self.collection.copy_to(to)

    def somebody_else(self) -> "HeadlessHands":
        return HeadlessHands(self._path, self._today)

    def may_change(self) -> bool:
        return not self.collection.is_read_only

    def close(self) -> None:
        self.collection.close()
