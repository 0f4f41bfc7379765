"""The album through time, as the albums workspace has it: the band, the words, and their commands.

Band and mode are made when they are first asked for.
"""

from collections.abc import Callable
from datetime import date
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from core.model.album import AlbumId, SlotId
from gui.actions import Actions
from gui.album.centre import AlbumCentre
from gui.desk import Desk
from gui.work import Failed

if TYPE_CHECKING:
    from core.app.changes import Changes
    from core.app.collection import Collection
    from core.app.views import SlotCard
    from gui.album.show_words import Telling
    from gui.album.time_mode import TimeMode


class ThroughTime(QObject):
    """Binds the commands.

    `read` reads the album anew, `make_room` ends what has the keys of the leaf.
    """

    stood = Signal(object)
    """A Standing to draw."""
    moved = Signal()
    """Today was left for a day that can only be looked at, or is back."""
    closed = Signal()

    def __init__(
        self,
        host: QWidget,
        desk: Desk,
        actions: Actions,
        centre: AlbumCentre,
        album: Callable[[], AlbumId | None],
        read: Callable[[], None],
        make_room: Callable[[], None],
        failed: Failed,
    ) -> None:
        super().__init__(host)
        self._host, self._desk, self._centre = host, desk, centre
        self._album, self._read, self._make_room, self._failed = album, read, make_room, failed
        self.mode: TimeMode | None = None
        centre.words_dropped.connect(self._on_words_dropped)
        desk.changed.connect(self._on_changed)
        commands: dict[str, Callable[[], object]] = {
            "as_of": self.toggle,
            "show_since": self.ask_since,
            "show_origin": self.show_origin,
            "show_gain": self.show_gain,
        }
        for name, handler in commands.items():
            actions.bind(name, handler)

    def _made(self) -> "TimeMode":
        if self.mode is None:
            from gui.album.time_band import TimeBand
            from gui.album.time_mode import TimeMode

            band = TimeBand(self._centre)
            band.close_asked.connect(self.close)
            self._centre.bands.insertWidget(0, band)
            self.mode = TimeMode(self._desk, band, self._failed)
            self.mode.stood.connect(self.stood)
            self.mode.moved.connect(self.moved)
        return self.mode

    # ---- what is on ---------------------------------------------------------------------------

    @property
    def is_open(self) -> bool:
        """Whether the band is there."""
        return self.mode is not None and self.mode.is_open

    @property
    def is_running(self) -> bool:
        """Whether day follows upon day: it plays, or the slider is dragged."""
        return self.mode is not None and self.mode.is_running

    @property
    def day(self) -> date | None:
        """The past day that is shown; None for today."""
        return self.mode.day if self.mode is not None else None

    def card_of(self, slot: SlotId) -> "Callable[[Collection], SlotCard]":
        """How to read a slot's card as of the day shown."""
        past = self.mode.card_of(slot) if self.mode is not None else None
        return past or (lambda collection: collection.slot_card(slot))

    def take_over(self, album: AlbumId) -> bool:
        """Read the album with its past where band or words need it; whether they do."""
        if self.mode is None or not self.mode.is_needed:
            return False
        self.mode.read(album)
        return True

    # ---- the band -----------------------------------------------------------------------------

    def toggle(self) -> None:
        """Open the band that goes through the album's history; close it where it has the keys."""
        if self._centre.view is None:
            return
        mode = self._made()
        if mode.is_open and mode.band.has_keys():
            self.close()
            return
        if not mode.is_open:
            self._make_room()
            mode.open()
            self._centre.fit_again()
            self._read()
        mode.band.focus_slider()

    def close(self) -> None:
        """Back to today."""
        if self.mode is not None and self.mode.is_open:
            self.mode.close()
            self._centre.fit_again()
            self._read()
            self.closed.emit()

    def end(self) -> None:
        """Another collection: neither band nor words."""
        if self.mode is not None:
            self.mode.end()

    # ---- words under the slots ----------------------------------------------------------------

    def ask_since(self) -> None:
        """Ask since when, then show what changed."""
        from gui.album.show_since import SinceDialog
        from gui.album.show_words import Since

        album = self._album()
        if album is None:
            return
        telling = self.mode.telling if self.mode is not None else None
        now = telling.day if isinstance(telling, Since) else None

        def arrived(found: tuple[tuple[date, ...], date]) -> None:
            if (day := SinceDialog.ask(self._host, *found, now)) is not None:
                self.tell(Since(day))

        self._desk.ask(lambda c: (c.past_days(album), c.today), arrived)

    def show_origin(self) -> None:
        """Show found against bought."""
        from gui.album.show_words import FoundBought

        self.tell(FoundBought())

    def show_gain(self) -> None:
        """Show what a purchase gains for its money."""
        from gui.album.show_words import ForMoney

        self.tell(ForMoney())

    def _on_changed(self, changes: "Changes") -> None:
        """Other prices are other words, and so is what was forbidden."""
        telling = self.mode.telling if self.mode is not None else None
        is_other = changes.is_prices or changes.is_choices
        if is_other and telling is not None and telling.command == "show_gain":
            self._read()

    def tell(self, telling: "Telling") -> None:
        """Show these words under the slots."""
        if self._album() is not None:
            self._made().telling = telling
            self._read()

    def _on_words_dropped(self) -> None:
        if self.mode is not None:
            self.mode.telling = None
