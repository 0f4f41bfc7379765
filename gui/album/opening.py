"""What a freshly opened collection shows first, and what is read of it afterwards bit by bit."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from core.app.views import AlbumView
from core.errors import NotFound
from core.model.album import Album, AlbumId
from gui.desk import Desk
from gui.work import Job

if TYPE_CHECKING:
    from core.app.collection import Collection


@dataclass(frozen=True, slots=True)
class Opening:
    """The albums on the shelf, and the one that is shown, without its marks."""

    albums: tuple[Album, ...]
    view: AlbumView | None


def read_opening(collection: "Collection", wanted: int) -> Opening:
    """The albums and the one wanted, or the first one where it is not there."""
    albums = tuple(collection.albums())
    ids = [album.id for album in albums]
    if not ids:
        return Opening(albums, None)
    chosen = AlbumId(wanted) if wanted in ids else ids[0]
    return Opening(albums, collection.album_view(chosen, with_marks=False))


class ReadAhead(QObject):
    """Reads what the albums' marks ask for, in short steps: a key typed meanwhile waits for one."""

    ready = Signal(int)
    """All that this album (its id) asks for is there."""

    def __init__(self, desk: Desk, parent: QObject) -> None:
        super().__init__(parent)
        self._desk = desk
        self._left: list[AlbumId] = []
        self._job: Job | None = None
        self._is_going = False

    def begin(self, albums: Sequence[AlbumId]) -> None:
        """Read for these albums, in their order; what is under way stops."""
        drop(self._job)
        self._desk.ask(lambda collection: collection.look_up_index(), _nothing)
        self._left = list(dict.fromkeys(albums))
        self._go_on()

    def _go_on(self) -> None:
        self._is_going = True
        while self._left:
            self._job = self._ask(self._left[0])
            if self._job is None or not self._job.is_done:
                break  # it goes on when the answer is here
        self._is_going = False

    def _ask(self, album: AlbumId) -> Job | None:
        return self._desk.ask(
            lambda collection: collection.make_ready(album), self._on_read, self._on_failed
        )

    def _on_read(self, is_ready: bool) -> None:
        if is_ready:
            self.ready.emit(self._left.pop(0))
        self._step()

    def _on_failed(self, error: Exception) -> None:
        if isinstance(error, NotFound):  # the album is gone by now
            self._left.pop(0)
        else:
            self._left.clear()
            self._desk.show_failure(error)
        self._step()

    def _step(self) -> None:
        if not self._is_going:
            self._go_on()


def _nothing(_index: object) -> None:
    """The words that look-up knows are read by now."""


def drop(job: Job | None) -> None:
    """A newer question makes this one's answer stale."""
    if job is not None:
        job.cancel()
