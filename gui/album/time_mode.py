"""Goes through an album's past: reads it in the worker, keeps to the newest day asked for."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from core.app.views import AlbumView
from core.model.album import AlbumId, AlbumKind, SlotId
from gui.album.time_band import TimeBand
from gui.desk import Desk
from gui.work import Failed, Job

if TYPE_CHECKING:
    from core.app.collection import Collection
    from core.app.past import AlbumPast
    from core.app.views import SlotCard
    from gui.album.show_words import SlotWords, Telling

LOOK_ONLY = "The album is shown as of a past day. Press Esc in it to return to today."


@dataclass(frozen=True, slots=True)
class Standing:
    """An album as it stood at a day's end, and the words under its slots."""

    day: date
    view: AlbumView
    story: str
    words: "SlotWords | None"


@dataclass(frozen=True, slots=True)
class _Read:
    """What one reading brings."""

    past: "AlbumPast"
    today: date
    standing: Standing


class TimeMode(QObject):
    """Whether the band is open, which day is shown, and what is told under the slots.

    At most one day is being worked out; of those asked for meanwhile only the newest follows.
    """

    stood = Signal(object)
    """A Standing to draw."""
    moved = Signal()
    """Today was left, or come back to."""

    def __init__(self, desk: Desk, band: TimeBand, failed: Failed) -> None:
        super().__init__(band)
        self._desk, self.band, self._failed = desk, band, failed
        self.telling: Telling | None = None
        self._album: AlbumId | None = None
        self._past: AlbumPast | None = None
        self._day: date | None = None
        self._wanted: date | None = None
        self._job: Job | None = None
        self._reading = 0
        band.day_chosen.connect(self.go_to)

    # ---- what is on ---------------------------------------------------------------------------

    @property
    def is_open(self) -> bool:
        """Whether the band is there."""
        return not self.band.isHidden()

    @property
    def is_needed(self) -> bool:
        """Whether the album is to be read with its past."""
        return self.is_open or self.telling is not None

    @property
    def is_running(self) -> bool:
        """Whether day follows upon day: it plays, or the slider is dragged."""
        return self.is_open and (self.band.is_playing or self.band.slider.isSliderDown())

    @property
    def day(self) -> date | None:
        """The past day that is shown; None for today."""
        return self._day

    @property
    def days(self) -> tuple[date, ...]:
        """The days of change of the album read last, oldest first."""
        return self._past.days if self._past is not None else ()

    def open(self) -> None:
        """Show the band; the album is to be read then."""
        self.band.show()

    def close(self) -> None:
        """Hide the band, back to today; the album is to be read anew then."""
        self.band.hide()
        self._set_day(None)
        self._drop()

    def end(self) -> None:
        """Hide the band and tell nothing any more: another collection, say."""
        self.telling = None
        self.close()
        self._album = self._past = None

    # ---- reading ------------------------------------------------------------------------------

    def read(self, album: AlbumId) -> None:
        """Read an album with its past and stand on the same day again."""
        if album != self._album:
            self._past = None
        day, telling = self._wanted or self._day, self.telling
        self._drop()
        self._album, number = album, self._reading

        def work(collection: "Collection") -> _Read:
            past, today = collection.album_past(album), collection.today
            return _Read(
                past, today, standing(collection, past, _within(past, day, today), today, telling)
            )

        self._job = self._desk.ask(
            work, lambda read: self._on_read(number, read), self._failed, "Reading the past"
        )

    def _on_read(self, number: int, read: _Read) -> None:
        if number != self._reading:
            return
        self._past = read.past
        self.band.show_days(read.past.days, read.today)
        if self._wanted is None:
            self.band.slider.show_day(read.standing.day)
        self._stand(read.standing)
        if self._wanted is not None:
            self._ask()

    def go_to(self, day: date) -> None:
        """Show the album as it stood at a day's end."""
        self._wanted = day
        is_asking = self._job is not None and not self._job.is_done
        if not is_asking and self._past is not None:
            self._ask()

    def _ask(self) -> None:
        past, day, telling, number = self._past, self._wanted, self.telling, self._reading
        if past is None or day is None:
            return
        self._wanted = None
        today = self.band.slider.last
        work: Callable[[Collection], Standing] = lambda c: standing(c, past, day, today, telling)  # noqa: E731 - named for its type
        self._job = self._desk.ask(
            work, lambda stood: self._on_stood(number, stood), self._failed, "Reading the past"
        )

    def _on_stood(self, number: int, stood: Standing) -> None:
        if number != self._reading:
            return  # of another album, or of before the band was closed
        self._stand(stood)
        if self._wanted is not None:
            self._ask()

    def _stand(self, stood: Standing) -> None:
        self._set_day(None if stood.day >= self.band.slider.last else stood.day)
        self.band.show_day(stood.day, stood.view.headline.text, stood.story)
        self.stood.emit(stood)

    def _set_day(self, day: date | None) -> None:
        was_past, self._day = self._day is not None, day
        if was_past != (day is not None):
            self._desk.look_back(LOOK_ONLY if day is not None else "")
            self.moved.emit()

    def _drop(self) -> None:
        """Whatever is on its way is stale."""
        self._reading += 1
        self._wanted = None
        if self._job is not None:
            self._job.cancel()
            self._job = None

    # ---- the card -----------------------------------------------------------------------------

    def card_of(self, slot: SlotId) -> "Callable[[Collection], SlotCard] | None":
        """How to read a slot's card as of the day shown; None for today."""
        past, day = self._past, self._day
        if past is None or day is None:
            return None
        return lambda collection: card_on(collection, past, slot, day)


def standing(
    collection: "Collection",
    past: "AlbumPast",
    day: date,
    today: date,
    telling: "Telling | None",
) -> Standing:
    """An album as of a day, with what changed that day and the words asked for."""
    from gui.album.show_words import ForMoney, day_story, slot_words

    view = past.present if day >= today else past.view_on(day)
    words = slot_words(telling, past, view, day) if telling is not None else None
    if isinstance(telling, ForMoney) and day >= today:
        from gui.album.show_gain import gain_words

        words = gain_words(collection, view)
    return Standing(day, view, day_story(past, day), words)


def _within(past: "AlbumPast", day: date | None, today: date) -> date:
    """The day to stand on in this album: not before its history, today where none is named."""
    if day is None or not past.days:
        return today
    return min(max(day, past.days[0]), today)


def card_on(collection: "Collection", past: "AlbumPast", slot: SlotId, day: date) -> "SlotCard":
    """A slot's card as of a day: its coin of then, its history so far; spares are today's alone."""
    from dataclasses import replace

    from core.app.slot_card import slot_card
    from core.app.spares import SpareIndex

    view = past.view_on(day)
    history = tuple(line for line in collection.slot_card(slot).history if line.day <= day)
    coin = view.by_id[slot].coin
    card = slot_card(view, slot, SpareIndex(view.series_of(view.by_id[slot].slot), []), [], {})
    if coin is None or view.album.kind is not AlbumKind.OVERVIEW:
        return replace(card, history=history)
    seat = collection.seat(past.slot_of(coin.id, day))
    return replace(card, history=history, seat=seat)
