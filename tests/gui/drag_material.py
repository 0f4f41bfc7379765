"""Dragging by hand in tests: what a pointer with something in hand sends to a widget."""

from collections.abc import Callable

import pytest
from PySide6.QtCore import QEvent, QMimeData, QPoint, QPointF, Qt
from PySide6.QtGui import (
    QDragEnterEvent,
    QDragLeaveEvent,
    QDragMoveEvent,
    QDropEvent,
    QMouseEvent,
    QPixmap,
)
from PySide6.QtWidgets import QApplication, QWidget

from gui.leaf import leaf_drag

_MOVE = Qt.DropAction.MoveAction
_LEFT, _NONE = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier


def enter(widget: QWidget, data: QMimeData, at: QPoint) -> bool:
    """Carry it onto a widget; whether that would take it."""
    event = QDragEnterEvent(at, _MOVE, data, _LEFT, _NONE)
    event.setAccepted(False)
    QApplication.sendEvent(widget, event)
    return event.isAccepted()


def over(widget: QWidget, data: QMimeData, at: QPoint) -> bool:
    """Hold it over a point; whether it may be let go there."""
    event = QDragMoveEvent(at, _MOVE, data, _LEFT, _NONE)
    event.setAccepted(False)
    QApplication.sendEvent(widget, event)
    return event.isAccepted()


def leave(widget: QWidget) -> None:
    """Carry it off, as Esc does too."""
    QApplication.sendEvent(widget, QDragLeaveEvent())


def let_go(widget: QWidget, data: QMimeData, at: QPoint) -> bool:
    """Let it go there; as a system does, only where holding it there was accepted."""
    if not over(widget, data, at):
        leave(widget)
        return False
    event = QDropEvent(QPointF(at), _MOVE, data, _LEFT, _NONE)
    event.setAccepted(False)
    QApplication.sendEvent(widget, event)
    return event.isAccepted()


def pull(widget: QWidget, start: QPoint, end: QPoint) -> None:
    """Press at one point and move to another with the button down."""
    for kind, at, buttons in (
        (QEvent.Type.MouseButtonPress, start, _LEFT),
        (QEvent.Type.MouseMove, end, _LEFT),
        (QEvent.Type.MouseButtonRelease, end, Qt.MouseButton.NoButton),
    ):
        button = Qt.MouseButton.NoButton if kind == QEvent.Type.MouseMove else _LEFT
        where = widget.mapToGlobal(at)
        event = QMouseEvent(kind, QPointF(at), QPointF(where), button, buttons, _NONE)
        QApplication.sendEvent(widget, event)


class Drags:
    """Stands in for the system's drag: keeps what was dragged, then does what a test says."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, *modules: object) -> None:
        self.data: list[QMimeData] = []
        self.then: Callable[[QMimeData], object] = lambda _data: None
        for module in (leaf_drag, *modules):
            monkeypatch.setattr(module, "run_drag", self._run)

    def _run(self, _source: QWidget, data: QMimeData, picture: QPixmap) -> None:
        assert not picture.isNull()
        self.data.append(data)
        self.then(data)
