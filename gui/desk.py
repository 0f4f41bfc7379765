"""The desk: the one opened collection, and the only way the window reaches it.

Every order and question goes to the runner's worker; answers and changes arrive on the main thread.
Nothing here imports the store until a collection is opened, so that the window paints first.
"""

from collections.abc import Callable
from dataclasses import dataclass
from math import ceil
from pathlib import Path
from time import monotonic
from typing import TYPE_CHECKING, TypeVar

from PySide6.QtCore import QObject, QTimer, Signal
from shiboken6 import isValid

from core.app.work import Progress
from core.errors import CollectionError, InUse, ReadOnly
from gui.work import Failed, Job, Runs

if TYPE_CHECKING:
    from core.app.changes import Changes
    from core.app.collection import Collection
    from core.app.operations import Operation

T = TypeVar("T")
BUSY_AFTER_MS = 300
"""Work that is done sooner shows no band."""


@dataclass(frozen=True, slots=True)
class DeskState:
    """What the window shows of the collection at all times."""

    path: Path
    name: str
    is_read_only: bool
    reason: str
    undo_label: str | None
    redo_label: str | None
    copy_trouble: str = ""


class Desk(QObject):
    """Holds the collection and the runner; widgets ask, order and listen here."""

    changed = Signal(object)
    """Changes: what an order, undo or redo touched; labels are new by then."""
    opened = Signal()
    """Another collection is open; read everything anew."""
    closed = Signal()
    failed = Signal(str)
    """A message fit to show."""
    told = Signal(str)
    """Something went well and is worth a line, such as where a copy was saved."""
    broke = Signal(object)
    """An error that is no CollectionError: a fault of the program."""
    busy = Signal(bool, str)
    """Work goes on for longer than a moment, and what it does."""
    progressed = Signal(float, str)
    labels_changed = Signal()
    """The collection's name, or what undo and redo would do, may be new."""

    def __init__(self, runner: Runs, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.runner = runner
        self._collection: Collection | None = None
        self._held: Collection | None = None  # the worker's own: what it has open by now
        self._state: DeskState | None = None
        self._jobs: dict[int, _Under] = {}
        self._next_job = 0
        self._is_busy = False
        self._looks_back = ""
        self.is_quiet = False
        """A mode that types ahead of the file shows its own progress: no band for its work."""
        self._busy_timer = QTimer(self)
        self._busy_timer.setSingleShot(True)
        self._busy_timer.timeout.connect(self._on_still_busy)

    # ---- what is open -------------------------------------------------------------------------

    @property
    def is_open(self) -> bool:
        """Whether a collection is open."""
        return self._state is not None

    @property
    def path(self) -> Path | None:
        """The collection's file."""
        return self._state.path if self._state else None

    @property
    def collection_name(self) -> str:
        """What the collection is called, "" where none is open."""
        return self._state.name if self._state else ""

    @property
    def is_read_only(self) -> bool:
        """Whether the collection can only be looked at; True where none is open."""
        return self._state.is_read_only or bool(self._looks_back) if self._state else True

    @property
    def read_only_reason(self) -> str:
        """Why it can only be looked at, one sentence; "" where it can be changed."""
        return (self._state.reason or self._looks_back) if self._state else ""

    @property
    def undo_label(self) -> str | None:
        """What undo would take back; nothing while a past day is shown."""
        return self._state.undo_label if self._state and not self._looks_back else None

    @property
    def redo_label(self) -> str | None:
        """What redo would do again; nothing while a past day is shown."""
        return self._state.redo_label if self._state and not self._looks_back else None

    def look_back(self, reason: str) -> None:
        """While a past day is shown every order is refused with this reason; "" ends that."""
        if reason != self._looks_back:
            self._looks_back = reason
            self.labels_changed.emit()

    # ---- opening and closing ------------------------------------------------------------------

    def open(self, path: Path, failed: Failed | None = None) -> None:
        """Open a collection in place of this one; looked at only where another program has it.

        This one stays open where that fails.
        """
        self._open(path, lambda _progress: None, f"Opening {path.name}", failed)

    def make(self, path: Path, name: str, failed: Failed | None = None) -> None:
        """Make a new, empty collection and open it; refused where the file is there already."""

        def prepare(_progress: Progress) -> None:
            from core.app.collection import make_collection

            make_collection(path, name)

        self._open(path, prepare, "Making the collection", failed)

    def open_demo(self, path: Path, failed: Failed | None = None) -> None:
        """Open the demo, written first where it is not there yet."""

        def prepare(_progress: Progress) -> None:
            from core.app.demo import ensure_demo

            ensure_demo(path)

        self._open(path, prepare, "Opening the demo collection", failed)

    def _open(
        self,
        path: Path,
        prepare: Callable[[Progress], None],
        doing: str,
        failed: Failed | None,
    ) -> None:

        def work(progress: Progress) -> tuple["Collection", DeskState]:
            prepare(progress)
            progress.check()
            before = self._held
            if before is not None and before.path.resolve() == path.resolve():
                return before, _state_of(before, "")
            collection, reason = _open_or_look(path)
            self._held = collection
            return collection, _state_of(collection, reason)

        self._submit(work, self._on_opened, failed, doing, is_order=True)

    def _on_opened(self, opened: tuple["Collection", DeskState]) -> None:
        before = self._collection
        self._collection, self._state = opened
        if before is not None and before is not self._collection:
            self._let_go(before)  # only now: until then orders went to it
        self._looks_back = ""
        self.labels_changed.emit()
        self.opened.emit()
        self._read_through(self._collection)

    def _read_through(self, collection: "Collection") -> None:
        """Once the first album is asked for, read the whole file; a strange one is only shown."""

        def work(_progress: Progress) -> DeskState | None:
            return _state_of(collection, "") if collection.verify() else None

        def arrived(state: DeskState | None) -> None:
            if state is not None and self._collection is collection:
                self._state = state
                self.labels_changed.emit()
                self.opened.emit()

        self._submit(work, arrived, None, "Reading the file through")

    def restore(self, copy: Path, then: Callable[[Path | None], None] | None = None) -> None:
        """Put a copy in this collection's place and open it; `then` learns where this one is kept.

        Where that fails, this collection is open again as it was.
        """
        before = self._collection
        if before is None:
            return
        path = before.path
        self._collection = None  # nothing may be asked of it meanwhile

        def work(_progress: Progress) -> _Restored:
            from core.app.restore import restore

            before.close()
            self._held = None
            kept, trouble = None, None
            try:
                kept = restore(copy, path)
            except Exception as error:  # noqa: BLE001 - told once the collection is open again
                trouble = error
            collection, reason = _open_or_look(path)
            self._held = collection
            return _Restored((collection, _state_of(collection, reason)), kept, trouble)

        def arrived(result: _Restored) -> None:
            self._on_opened(result.opened)
            if result.trouble is not None:
                self.show_failure(result.trouble)
            elif then is not None:
                then(result.kept)

        def went_wrong(error: Exception) -> None:
            self._state = None
            self.labels_changed.emit()
            self.closed.emit()
            self.show_failure(error)

        self._submit(work, arrived, went_wrong, "Restoring the copy", is_order=True)

    def look_again(self) -> None:
        """Where the collection is only looked at, show what its writer did meanwhile."""

        def arrived(has_changed: bool) -> None:
            if has_changed:
                from core.app.changes import Changes

                self.changed.emit(Changes.everything())

        if self.is_read_only:
            self.ask(lambda collection: collection.keep_up(), arrived)

    def close(self) -> None:
        """Let go of the collection."""
        collection = self._collection
        if collection is None:
            return
        self._collection = self._state = None
        self._let_go(collection)
        self.labels_changed.emit()
        self.closed.emit()

    def _let_go(self, collection: "Collection") -> None:
        """Close a collection once all that was asked of it before is done."""

        def work(_progress: Progress) -> None:
            collection.close()
            if self._held is collection:
                self._held = None

        self.runner.submit(work)

    def shut_down(self) -> None:
        """Cancel what can be, close the collection, and wait for both."""
        self.cancel()
        self.close()
        self.runner.wait()

    # ---- orders and questions -----------------------------------------------------------------

    def run(
        self,
        operation: "Operation",
        then: Callable[["Changes"], None] | None = None,
        run_id: int | None = None,
        failed: Failed | None = None,
    ) -> None:
        """Give an order. `changed` is emitted first, then `then` is called, both on success only.

        Without `failed`, what went wrong is shown in the window.
        """

        def work(collection: "Collection", _progress: Progress) -> "Changes":
            return collection.run(operation, run_id)

        self._order(work, then, failed, operation.label)

    def run_long(
        self,
        make: Callable[[Progress], "Operation"],
        then: Callable[["Changes"], None] | None = None,
        failed: Failed | None = None,
        cancelled: Callable[[], None] | None = None,
        doing: str = "",
    ) -> None:
        """Give an order that may take long: `make` gives it the progress that can stop it.

        Stopped, it changes nothing and `cancelled` is called; done before that, it stands.
        """

        def work(collection: "Collection", progress: Progress) -> "Changes":
            return collection.run(make(progress))

        self._order(work, then, failed, doing, cancelled)

    def undo(self, then: Callable[[str | None], None] | None = None) -> None:
        """Take back the newest order or run."""
        self._step(lambda collection: collection.undo(), then, "Undo")

    def redo(self, then: Callable[[str | None], None] | None = None) -> None:
        """Do again what was taken back last."""
        self._step(lambda collection: collection.redo(), then, "Redo")

    def undo_to(self, entry: int, then: Callable[[], None] | None = None) -> None:
        """Take back all that was done after an entry of the history."""

        def work(collection: "Collection", _progress: Progress) -> "Changes":
            from core.app.changes import Changes

            labels = collection.undo_to(entry)
            return Changes.everything() if labels else Changes()

        def after(_changes: "Changes") -> None:
            if then is not None:
                then()

        self._order(work, after, None, "Undo")

    def _step(
        self,
        step: Callable[["Collection"], str | None],
        then: Callable[[str | None], None] | None,
        doing: str,
    ) -> None:
        def work(collection: "Collection", _progress: Progress) -> "Changes":
            from core.app.changes import Changes

            label = step(collection)
            return Changes() if label is None else Changes.everything(label)

        def after(changes: "Changes") -> None:
            if then is not None:
                then(changes.label or None)

        self._order(work, after, None, doing)

    def _order(
        self,
        order: Callable[["Collection", Progress], "Changes"],
        then: Callable[["Changes"], None] | None,
        failed: Failed | None,
        doing: str,
        cancelled: Callable[[], None] | None = None,
    ) -> None:
        collection = self._collection
        if collection is None:
            return
        if self._looks_back:
            (failed or self.show_failure)(ReadOnly(f"Nothing was changed. {self._looks_back}"))
            return
        reason = self.read_only_reason

        def work(progress: Progress) -> tuple["Changes", DeskState]:
            changes = order(collection, progress)
            return changes, _state_of(collection, reason)

        def arrived(result: tuple["Changes", DeskState]) -> None:
            changes, state = result
            if self._collection is collection:
                before, self._state = self._state, state
                self.labels_changed.emit()
                if state.copy_trouble and state.copy_trouble != (before and before.copy_trouble):
                    self.told.emit(state.copy_trouble)
                if not changes.is_nothing or changes.is_reshaped:
                    self.changed.emit(changes)
            if then is not None and _is_alive(then):
                then(changes)

        self._submit(work, arrived, failed, doing, cancelled, is_order=True)

    def ask(
        self,
        question: Callable[["Collection"], T],
        then: Callable[[T], None],
        failed: Failed | None = None,
        doing: str = "Reading the collection",
    ) -> Job | None:
        """Ask something of the collection; the job may be cancelled when the answer is stale.

        Where another collection is open by then, nothing arrives.
        """
        return self.ask_long(
            lambda collection, _progress: question(collection), then, failed, doing
        )

    def ask_long(
        self,
        question: Callable[["Collection", Progress], T],
        then: Callable[[T], None],
        failed: Failed | None = None,
        doing: str = "Working",
        cancelled: Callable[[], None] | None = None,
    ) -> Job | None:
        """Ask something that takes a while: it reports and checks its progress."""
        collection = self._collection
        if collection is None:
            return None

        def arrived(answer: T) -> None:
            if self._collection is collection and _is_alive(then):
                then(answer)

        def went_wrong(error: Exception) -> None:
            if self._collection is not collection:
                return
            if failed is None:
                self.show_failure(error)
            elif _is_alive(failed):
                failed(error)

        return self._submit(
            lambda progress: question(collection, progress), arrived, went_wrong, doing, cancelled
        )

    @property
    def can_cancel(self) -> bool:
        """Whether any of the work under way can be stopped; most orders cannot."""
        return any(under.can_stop for under in self._jobs.values())

    def cancel(self) -> None:
        """Ask all questions under way to stop, and the orders that can."""
        for under in list(self._jobs.values()):
            if not under.can_stop:
                continue
            if under.is_order:
                under.job.stop()
            else:
                under.job.cancel()

    # ---- jobs ---------------------------------------------------------------------------------

    def _submit(
        self,
        work: Callable[[Progress], T],
        then: Callable[[T], None],
        failed: Failed | None,
        doing: str,
        cancelled: Callable[[], None] | None = None,
        is_order: bool = False,
    ) -> Job:
        number = self._next_job = self._next_job + 1

        def arrived(result: T) -> None:
            self._forget(number)
            if _is_alive(then):
                then(result)

        def went_wrong(error: Exception) -> None:
            self._forget(number)
            if failed is None:
                self.show_failure(error)
            elif _is_alive(failed):
                failed(error)

        def stopped() -> None:
            self._forget(number)
            if cancelled is not None and _is_alive(cancelled):
                cancelled()

        def told(share: float, text: str) -> None:
            if self._is_busy:
                self.progressed.emit(share, text)

        if not self._busy_timer.isActive() and not self._is_busy:
            self._busy_timer.start(BUSY_AFTER_MS)
        since = monotonic()
        job = self.runner.submit(work, arrived, went_wrong, told, stopped)
        if not job.is_done:
            can_stop = not is_order or cancelled is not None
            self._jobs[number] = _Under(job, doing, is_order, can_stop, since)
        return job

    def _forget(self, number: int) -> None:
        self._jobs.pop(number, None)
        if self._jobs or not isValid(self):  # a job may end after the window is gone
            return
        self._busy_timer.stop()
        if self._is_busy:
            self._is_busy = False
            self.busy.emit(False, "")

    def _on_still_busy(self) -> None:
        """Many quick jobs in a row are no long work: only the oldest one's age counts."""
        if not self._jobs or self.is_quiet:
            return
        oldest = next(iter(self._jobs.values()))
        left_ms = BUSY_AFTER_MS - (monotonic() - oldest.since) * 1000
        if left_ms > 1:
            self._busy_timer.start(ceil(left_ms))
            return
        self._is_busy = True
        self.busy.emit(True, oldest.doing)

    def show_failure(self, error: Exception) -> None:
        """Show what went wrong: a calm line for the collector, a report for anything else."""
        if isinstance(error, CollectionError):
            self.failed.emit(str(error))
        else:
            self.broke.emit(error)


@dataclass(frozen=True, slots=True)
class _Restored:
    """What a restoring left open, where the file before it is kept, and what went wrong."""

    opened: tuple["Collection", DeskState]
    kept: Path | None
    trouble: Exception | None


@dataclass(frozen=True, slots=True)
class _Under:
    """Work under way."""

    job: Job
    doing: str
    is_order: bool
    can_stop: bool
    since: float


def _is_alive(receiver: object) -> bool:
    """Whether the widget that a bound method belongs to still stands."""
    owner = getattr(receiver, "__self__", None)
    return not isinstance(owner, QObject) or isValid(owner)


def _open_or_look(path: Path) -> tuple["Collection", str]:
    """The collection for changing, or for looking with the reason."""
    from core.app.collection import Collection

    try:
        return Collection.open(path, verify=False), ""
    except InUse:
        reason = "Another window or command has this collection open, so here you can only look."
        return Collection.open(path, read_only=True, verify=False), reason


def _state_of(collection: "Collection", reason: str) -> DeskState:
    is_read_only = collection.is_read_only
    return DeskState(
        collection.path,
        collection.name,
        is_read_only,
        (reason or collection.read_only_reason) if is_read_only else "",
        None if is_read_only else collection.undo_label,
        None if is_read_only else collection.redo_label,
        collection.copy_trouble,
    )
