"""Gives one order after another: each is worked out on the album as the one before it left it."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from core.app.changes import Changes
from core.app.views import AlbumView
from gui.desk import Desk

if TYPE_CHECKING:
    from core.app.operations import Operation

Ask = Callable[[AlbumView], "Operation | None"]
"""Works an order out on the album as it is then; None where there is nothing to do."""


@dataclass(frozen=True, slots=True)
class _Waiting:
    part: str
    ask: Ask


class OrderLine(QObject):
    """`order` gives or queues; `expect` is told when the album changed, `adopt` when it is read."""

    rested = Signal()
    """All that was asked is done and shown."""

    def __init__(self, desk: Desk, parent: QObject) -> None:
        super().__init__(parent)
        self._desk = desk
        self._view: AlbumView | None = None
        self._waiting: list[_Waiting] = []
        self._is_giving = self._is_reading = False

    @property
    def is_busy(self) -> bool:
        """Whether the album shown is not yet what was asked for."""
        return self._is_giving or self._is_reading or bool(self._waiting)

    def begin(self, view: AlbumView) -> None:
        """From now on orders are for this album."""
        self._view = view
        self._waiting.clear()
        self._is_giving = self._is_reading = False

    def order(self, ask: Ask, part: str = "") -> None:
        """Give an order now, or once the album shows what those before it did.

        A newer one of the same named part stands for one that still waits.
        """
        if part:
            self._waiting = [one for one in self._waiting if one.part != part]
        self._waiting.append(_Waiting(part, ask))
        self._next()

    def expect(self) -> None:
        """The collection changed: the album is being read anew."""
        if self._view is not None:
            self._is_reading = True

    def adopt(self, view: AlbumView) -> None:
        """The album as it is now."""
        self._view, self._is_reading = view, False
        self._next()

    def end(self) -> None:
        """Nothing that waits is asked any more."""
        self._view = None
        self._waiting.clear()

    def _next(self) -> None:
        while self._view is not None and not (self._is_giving or self._is_reading):
            if not self._waiting:
                self.rested.emit()
                return
            operation = self._waiting.pop(0).ask(self._view)
            if operation is not None:
                self._is_giving = True
                self._desk.run(operation, self._on_done, failed=self._on_failed)

    def _on_done(self, _changes: Changes) -> None:
        self._is_giving = False
        self._next()

    def _on_failed(self, error: Exception) -> None:
        """What would follow was asked of an album that is not to be."""
        self._is_giving = False
        self._waiting.clear()
        self._desk.show_failure(error)
        self._next()
