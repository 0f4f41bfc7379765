"""The whole designer by keyboard: one run, step by step, as a test and as pictures."""

from collections.abc import Callable

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QKeySequence
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractScrollArea, QApplication, QDialog, QWidget

from gui.app import Program

Seen = Callable[[int, str], None]
"""A step is done: its number and what it was."""

STEPS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("begin", ("Q",)),
    ("go to the Shape panel", ("Return",)),
    ("the slots run on", ("Down",)),
    ("four to a row", ("Tab", *("Down",) * 5)),
    ("by date, then mint", ("Tab", "Tab", "Tab", "Right")),
    ("back to the leaf, to a date", ("Esc", "1", "9", "4", "3", "D")),
    ("move it two places back", ("Ctrl+Left", "Ctrl+Left")),
    ("two spacers before it, one taken", ("Space", "Space", "Backspace")),
    ("a row, then a leaf begins with it", ("R", "L")),
    ("select its mint; optional", ("Shift+M", "O")),
    ("a further slot for it", ("Ins", "> Down", "> Return")),
    ("a label for the first", ("Left", "F2", "> M", "> Y", "> Return")),
    ("take it out: asked first", ("Del",)),
    ("leave it in", ("Esc",)),
    ("take back the label and the slot", ("Ctrl+Z", "Ctrl+Z")),
    ("a row map", ("Return", "End", "Tab")),
    ("typed, and some slots are over", ("Ctrl+A", "4", "Space", "2", "_", "2", "Esc")),
    ("done", ("Q",)),
)
_NAMES = {"Esc": "Escape", "Ins": "Insert", "Del": "Delete"}


def walk(program: Program, seen: Seen) -> None:
    """Press every key of the run; `seen` is told after each step."""
    for number, (words, keys) in enumerate(STEPS, 1):
        plain = [key for key in keys if not key.startswith("> ")]
        inside = [key.removeprefix("> ") for key in keys if key.startswith("> ")]
        if inside:
            QTimer.singleShot(0, lambda inside=inside: _in_dialog(inside))
        for key in plain:
            _press(key)
        if inside:  # a desktop gives the keys back to the window by itself
            program.window.activateWindow()
            QTest.qWaitForWindowActive(program.window)
        program.app.processEvents()
        seen(number, words)


def _in_dialog(keys: list[str]) -> None:
    """The dialog that a key opened has the keys now."""
    dialog = QApplication.activeModalWidget()
    if not isinstance(dialog, QDialog):  # it is not open yet
        QTimer.singleShot(1, lambda: _in_dialog(keys))
        return
    QTest.qWaitForWindowActive(dialog)
    try:
        for key in keys:
            _press(key, dialog.focusWidget() or dialog)
    finally:
        dialog.done(dialog.result())  # never left open


def _press(name: str, to: QWidget | None = None) -> None:
    target = to or QApplication.focusWidget()
    assert target is not None
    if name == "_":
        QTest.keyClicks(target, name)
        return
    pressed = QKeySequence(_NAMES.get(name, name))[0]
    QTest.keyClick(target, pressed.key(), pressed.keyboardModifiers())


def shows_focus(widget: QWidget) -> bool:
    """Whether a widget is in view and looks otherwise with the keys than without."""
    port = widget.viewport() if isinstance(widget, QAbstractScrollArea) else widget
    if port.visibleRegion().isEmpty():
        return False
    with_keys = widget.grab().toImage()
    widget.clearFocus()
    QApplication.processEvents()
    without = widget.grab().toImage()
    widget.setFocus(Qt.FocusReason.OtherFocusReason)
    QApplication.processEvents()
    return with_keys != without
