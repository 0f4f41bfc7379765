"""Work off the main thread: one worker for the collection, another for drawing and solving.

A job is a function that takes `Progress` and gives a value. What it gave, or the error it raised,
arrives on the main thread. The function sees no widget.
"""

import sys
from collections.abc import Callable
from typing import Protocol, TypeVar

from PySide6.QtCore import QObject, QRunnable, QThreadPool, Signal, Slot
from shiboken6 import isValid

from core.app.work import Progress
from core.errors import Cancelled

T = TypeVar("T")
SWITCH_S = 0.0002
"""How long a worker keeps the interpreter while the window waits for it: short of Python's 5 ms,
which the window would wait again and again within one turn."""
Told = Callable[[float, str], None]
Failed = Callable[[Exception], None]


class Job:
    """One piece of work under way; `cancel` asks it to stop and drops what it gives."""

    def __init__(self, progress: Progress) -> None:
        self._progress = progress
        self.is_cancelled = False
        self.is_done = False

    def cancel(self) -> None:
        """Stop as soon as the work next asks; nothing of it arrives any more."""
        self.is_cancelled = True
        self._progress.cancel()

    def stop(self) -> None:
        """Stop as soon as the work next asks; if it was done before, what it gave arrives."""
        self._progress.cancel()


class Runs(Protocol):
    """What `Desk` and dialogs need of a runner."""

    def submit(
        self,
        function: Callable[[Progress], T],
        then: Callable[[T], None] | None = None,
        failed: Failed | None = None,
        told: Told | None = None,
        cancelled: Callable[[], None] | None = None,
    ) -> Job:
        """Work for the collection's one worker: jobs run one after another, in order."""
        ...

    def submit_drawing(
        self,
        function: Callable[[Progress], T],
        then: Callable[[T], None] | None = None,
        failed: Failed | None = None,
        told: Told | None = None,
        cancelled: Callable[[], None] | None = None,
    ) -> Job:
        """Drawing or solving, which touches no collection."""
        ...

    def wait(self, timeout_ms: int = 10_000) -> bool:
        """Wait until no work is under way; False when the time ran out."""
        ...


class Runner(QObject):
    """Runs jobs on two threads; make it, and keep it, on the main thread."""

    _arrived = Signal(object)

    def __init__(self, unexpected: Failed, parent: QObject | None = None) -> None:
        """`unexpected` is told, on the main thread, of errors that a job's owner does not take."""
        super().__init__(parent)
        sys.setswitchinterval(SWITCH_S)
        self._unexpected = unexpected
        self._for_collection, self._for_drawing = QThreadPool(self), QThreadPool(self)
        for pool in (self._for_collection, self._for_drawing):
            pool.setMaxThreadCount(1)
            pool.setExpiryTimeout(-1)
        self._arrived.connect(self._deliver)

    def submit(
        self,
        function: Callable[[Progress], T],
        then: Callable[[T], None] | None = None,
        failed: Failed | None = None,
        told: Told | None = None,
        cancelled: Callable[[], None] | None = None,
    ) -> Job:
        """Work for the collection's one worker."""
        return self._start(self._for_collection, function, then, failed, told, cancelled)

    def submit_drawing(
        self,
        function: Callable[[Progress], T],
        then: Callable[[T], None] | None = None,
        failed: Failed | None = None,
        told: Told | None = None,
        cancelled: Callable[[], None] | None = None,
    ) -> Job:
        """Drawing or solving, which touches no collection."""
        return self._start(self._for_drawing, function, then, failed, told, cancelled)

    def wait(self, timeout_ms: int = 10_000) -> bool:
        """Wait until both workers are idle; results still arrive by the event loop."""
        return self._for_collection.waitForDone(timeout_ms) and self._for_drawing.waitForDone(
            timeout_ms
        )

    def _start(
        self,
        pool: QThreadPool,
        function: Callable[[Progress], T],
        then: Callable[[T], None] | None,
        failed: Failed | None,
        told: Told | None,
        cancelled: Callable[[], None] | None,
    ) -> Job:
        def tell(share: float, doing: str) -> None:
            if told is not None:
                self._arrived.emit(_Arrival(told, lambda: told(share, doing)))

        progress = Progress(tell)
        job = Job(progress)
        take_failure = failed or self._unexpected

        def work() -> None:
            try:
                progress.check()
                result = function(progress)
            except Cancelled:
                self._arrived.emit(_Arrival(cancelled, lambda: _finish_cancelled(job, cancelled)))
            except Exception as error:  # noqa: BLE001 - every error is handed to its owner
                failure = error
                self._arrived.emit(_Arrival(take_failure, lambda: _finish_failed(failure)))
            else:
                self._arrived.emit(_Arrival(then, lambda: _finish(result)))

        def _finish(result: T) -> None:
            job.is_done = True
            if job.is_cancelled:
                _finish_cancelled(job, cancelled)
            elif then is not None:
                then(result)

        def _finish_failed(error: Exception) -> None:
            job.is_done = True
            if job.is_cancelled:
                _finish_cancelled(job, cancelled)
            else:
                take_failure(error)

        pool.start(_Task(work))
        return job

    @Slot(object)
    def _deliver(self, arrival: "_Arrival") -> None:
        arrival.deliver()


class InlineRunner:
    """For tests and pictures: each job runs at once, on the calling thread."""

    def __init__(self, unexpected: Failed | None = None) -> None:
        self._unexpected = unexpected

    def submit(
        self,
        function: Callable[[Progress], T],
        then: Callable[[T], None] | None = None,
        failed: Failed | None = None,
        told: Told | None = None,
        cancelled: Callable[[], None] | None = None,
    ) -> Job:
        """Run now."""
        progress = Progress(told)
        job = Job(progress)
        try:
            result = function(progress)
        except Cancelled:
            _finish_cancelled(job, cancelled)
            return job
        except Exception as error:
            job.is_done = True
            take = failed or self._unexpected
            if take is None:
                raise
            take(error)
            return job
        job.is_done = True
        if then is not None:
            then(result)
        return job

    submit_drawing = submit

    def wait(self, timeout_ms: int = 10_000) -> bool:
        """Nothing is ever under way."""
        return True


class _Task(QRunnable):
    def __init__(self, work: Callable[[], None]) -> None:
        super().__init__()
        self._work = work

    def run(self) -> None:
        self._work()


class _Arrival:
    """A result on its way to the main thread; dropped when the widget that waits for it is gone."""

    def __init__(self, receiver: object, deliver: Callable[[], None]) -> None:
        self._owner = getattr(receiver, "__self__", None)
        self._deliver = deliver

    def deliver(self) -> None:
        if isinstance(self._owner, QObject) and not isValid(self._owner):
            return
        self._deliver()


def _finish_cancelled(job: Job, cancelled: Callable[[], None] | None) -> None:
    job.is_done = True
    if cancelled is not None:
        cancelled()
