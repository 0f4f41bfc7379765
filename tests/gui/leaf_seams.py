"""Scrolls a leaf view, walks in it and changes it; compares its picture with one painted anew.

Run by `test_leaf_painting` in its own process, because QT_SCALE_FACTOR is read once. Prints the
device pixel ratio, how many steps were compared and how many pictures differed.
"""

import sys

from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QImage
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLabel, QVBoxLayout, QWidget

from core.glyph.palette import LIGHT
from gui.leaf.view import LeafView
from tests.gui.leaf_material import running

NO_MODIFIER = Qt.KeyboardModifier.NoModifier
ZOOMS = (1.0, 0.6, 0.21, 0.09, 1.7)
STEPS = (24, 7, 100, -33, 11, 64, -5, 1)


def window_with_view() -> tuple[QWidget, LeafView]:
    """A view that begins at an odd place of its window."""
    window = QWidget()
    layout = QVBoxLayout(window)
    layout.setContentsMargins(3, 0, 5, 0)
    layout.setSpacing(0)
    label = QLabel("above", window)
    label.setFixedHeight(37)
    view = LeafView(window)
    layout.addWidget(label)
    layout.addWidget(view)
    window.resize(803, 501)
    return window, view


def settle() -> None:
    for _ in range(6):
        QApplication.processEvents()


def on_screen(window: QWidget) -> QImage:
    """What the window shows now, without painting it again."""
    pixmap = window.screen().grabWindow(window.winId())
    return pixmap.toImage().convertToFormat(QImage.Format.Format_RGB32)


def touch(view: LeafView, step: int) -> None:
    """Move the current slot, the selection and the hover, and change a slot in view."""
    middle = view.viewport().rect().center()
    if cell := max(0, view._cell_at(middle)):
        view._go_to(cell)
        modifier = Qt.KeyboardModifier.ShiftModifier
        QTest.keyClick(view, Qt.Key.Key_Left, modifier if step % 2 else NO_MODIFIER)
        view._set_hover(view._cell_at(middle + QPoint(80, 0)))
        view._plan.set_cell(cell, step % 10, "1909", "VF-20")
        view.update_slots([view._plan.slot_ids[cell]])


def compare() -> tuple[int, int]:
    """Steps compared, and how many differed."""
    window, view = window_with_view()
    view.set_builds_labels_at_once(True)
    view.show_plan(running(600), LIGHT)
    window.show()
    view.setFocus()
    settle()
    compared = differing = 0
    blank = QImage(on_screen(window))
    for zoom in ZOOMS:
        view.set_zoom(zoom)
        settle()
        for step in STEPS:
            for bar in (view.verticalScrollBar(), view.horizontalScrollBar()):
                bar.setValue(bar.value() + step)
            settle()
            touch(view, step)
            settle()
            scrolled = on_screen(window)
            view.viewport().update()
            settle()
            compared += 1
            differing += scrolled != on_screen(window)
            blank = scrolled
    if blank.allGray():
        raise SystemExit("the picture of the window is empty")
    return compared, differing


if __name__ == "__main__":
    app = QApplication(sys.argv)
    compared_steps, differing_steps = compare()
    print(app.primaryScreen().devicePixelRatio(), compared_steps, differing_steps)
