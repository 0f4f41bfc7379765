"""Plans and curves on the second worker: the newest question alone counts, and may be stopped."""

from collections.abc import Callable
from typing import TypeVar

from PySide6.QtCore import QObject, QTimer, Signal

from core.app.work import Progress
from gui.desk import Desk
from gui.work import Job

T = TypeVar("T")
SHOWN_AFTER_MS = 300


class Solver(QObject):
    """Runs one question at a time; a new one takes the place of the one before it."""

    working = Signal(bool, float, str)
    """Whether it works for longer than a moment, the share done, and on what."""
    stopped = Signal()
    """The collector stopped it."""

    def __init__(self, desk: Desk, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._desk = desk
        self._job: Job | None = None
        self._doing = ""
        self._share = 0.0
        self._later = QTimer(self)
        self._later.setSingleShot(True)
        self._later.setInterval(SHOWN_AFTER_MS)
        self._later.timeout.connect(self._show)
        self._is_shown = False

    @property
    def is_working(self) -> bool:
        """Whether a question is under way."""
        return self._job is not None

    def ask(
        self,
        work: Callable[[Progress], T],
        then: Callable[[T], None],
        failed: Callable[[Exception], None],
        doing: str,
    ) -> None:
        """Work something out; what was under way is dropped."""
        self.drop()
        self._doing, self._share = doing, 0.0
        self._later.start()

        def arrived(answer: T) -> None:
            self._done()
            then(answer)

        def went_wrong(error: Exception) -> None:
            self._done()
            failed(error)

        job = self._desk.runner.submit_drawing(work, arrived, went_wrong, self._on_told)
        self._job = None if job.is_done else job

    def drop(self) -> None:
        """Give up what is under way, without a word."""
        if self._job is not None:
            self._job.cancel()
        self._done()

    def stop(self) -> None:
        """The collector wants no more of it."""
        if self._job is not None:
            self.drop()
            self.stopped.emit()

    def _done(self) -> None:
        self._job = None
        self._later.stop()
        if self._is_shown:
            self._is_shown = False
            self.working.emit(False, 1.0, "")

    def _on_told(self, share: float, doing: str) -> None:
        self._share, self._doing = share, doing or self._doing
        if self._is_shown:
            self.working.emit(True, self._share, self._doing)

    def _show(self) -> None:
        if self._job is not None:
            self._is_shown = True
            self.working.emit(True, self._share, self._doing)
