"""What the leaf asks when a coin is dragged from it or held over it; no decision is made here."""

from typing import Protocol

from PySide6.QtCore import QMimeData, QPoint, Qt
from PySide6.QtGui import QDrag, QPixmap
from PySide6.QtWidgets import QWidget

HOT_SPOT = QPoint(-8, -8)

COINS_MIME = "application/x-slotleaf-coins"
"""Coin numbers in ASCII, joined by commas."""


class DropHandler(Protocol):
    """Decides for the leaf; slots by their ids, 0 for no slot."""

    def can_carry(self, slot: int) -> bool:
        """Whether the slot's coin may be dragged away."""

    def carry(self, slot: int) -> None:
        """Drag it; comes back when it has been put down."""

    def enter(self, data: QMimeData) -> bool:
        """Something is dragged onto the leaf: whether it is a coin that may be put down here."""

    def over(self, slot: int, point: QPoint) -> str:
        """It is held over a slot, at a point of the viewport: drop, swap, refuse, or ""."""

    def leave(self) -> None:
        """It is no longer held over the leaf."""

    def put_down(self, slot: int) -> bool:
        """It is let go over a slot: whether anything is done."""


def coin_data(coins: list[int]) -> QMimeData:
    """Coins as they are dragged."""
    data = QMimeData()
    data.setData(COINS_MIME, ",".join(map(str, coins)).encode("ascii"))
    return data


def coins_in(data: QMimeData) -> list[int]:
    """The coin numbers that are dragged; [] where it is something else."""
    if not data.hasFormat(COINS_MIME):
        return []
    parts = bytes(data.data(COINS_MIME).data()).split(b",")
    return [int(part) for part in parts] if all(part.isdigit() for part in parts) else []


def run_drag(source: QWidget, data: QMimeData, picture: QPixmap) -> None:
    """Drag it until it is let go; tests put something else here."""
    drag = QDrag(source)
    drag.setMimeData(data)
    drag.setPixmap(picture)
    drag.setHotSpot(HOT_SPOT)
    drag.exec(Qt.DropAction.MoveAction)
