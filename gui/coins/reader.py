"""Keeps the coins table up with the collection: reads what changed, one reading at a time."""

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from core.app.changes import Changes
from core.app.work import Progress
from core.model.album import SlotId
from core.model.coin import CoinId
from gui.coins.model import CoinModel
from gui.coins.reading import Asked, Read, read_coins
from gui.desk import Desk

if TYPE_CHECKING:
    from core.app.collection import Collection


class CoinsReader(QObject):
    """Reads for the model it is given, which still shows what was read before."""

    arrived = Signal(object)
    """A Read, to be shown."""
    stopped = Signal()
    """The collector stopped the reading; `read` begins it again."""

    def __init__(self, desk: Desk, model: CoinModel, parent: QObject) -> None:
        super().__init__(parent)
        self._desk, self._model = desk, model
        self._stale: set[CoinId] = set()
        """Coins to read anew; all of them where `_needs_all`."""
        self._needs_all = True
        self._needs_finds = False
        self.is_reading = False
        self.was_stopped = False
        self.slot: SlotId | None = None
        """Where set, the coins that fit this slot are looked for too."""

    @property
    def is_behind(self) -> bool:
        """Whether something is yet to be read."""
        finds = self._model.finds
        is_other_slot = self.slot != (finds.slot if finds is not None else None)
        return self._needs_all or self._needs_finds or bool(self._stale) or is_other_slot

    def forget(self) -> None:
        """Another collection: all is to be read, for no slot; what is on its way never arrives."""
        self._needs_all = True
        self.is_reading = False
        self._stale.clear()
        self.slot = None

    def need_all(self) -> None:
        """All rows are to be read anew."""
        self._needs_all = True

    def note(self, changes: Changes) -> None:
        """Keep in mind which coins an operation touched."""
        if changes.is_shelf or changes.is_reshaped or not (changes.coins or changes.slots):
            self._needs_all = True
        else:
            self._stale |= changes.coins
            self._needs_finds = self._needs_finds or self.slot in changes.slots

    def read(self) -> None:
        """Read all rows, or those that changed; nothing where a reading goes on."""
        if self.is_reading or not self.is_behind:
            return
        model = self._model
        asked = Asked(model.table, self._needs_all, frozenset(self._stale), model.column, self.slot)
        self._needs_all, self._needs_finds, self._stale = False, False, set()

        def question(collection: "Collection", progress: Progress) -> Read:
            return read_coins(collection, asked, progress)

        self.is_reading = True
        self.was_stopped = False
        doing = "Reading the coins" if asked.needs_all else "Looking through the coins"
        job = self._desk.ask_long(question, self._on_read, self._on_failed, doing, self._on_stopped)
        if job is None:  # none is open just now, such as while a copy is restored
            self.is_reading, self._needs_all = False, True

    def _on_read(self, read: Read) -> None:
        self.is_reading = False
        if read.is_slot_gone:
            self.slot = None
            self._desk.told.emit("The slot you sought coins for is gone; all coins are shown.")
        self.arrived.emit(read)

    def _on_failed(self, error: Exception) -> None:
        self.is_reading = False
        self._needs_all = True
        self._desk.show_failure(error)

    def _on_stopped(self) -> None:
        self.is_reading = False
        self._needs_all = self.was_stopped = True
        self.stopped.emit()
