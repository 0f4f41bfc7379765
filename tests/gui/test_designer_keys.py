"""The whole designer by keys alone; after every key one sees where the next one goes."""

from pathlib import Path

import pytest
from PySide6.QtTest import QTest

from tests.gui.designer_keys import DesignerKeys
from tests.gui.seen_focus import FocusWatch
from tests.gui.strokes import Fingers, press
from tests.gui.window_material import OpenWindow


# Tests work at once: a menu is filled anew while it still has the Return that chose in it.
@pytest.mark.qt_log_ignore("Keyboard event not accepted", extend=True)
def test_the_whole_designer_by_keys_with_the_focus_seen_after_each(
    opened: OpenWindow, tmp_path: Path
) -> None:
    opened.window.activateWindow()
    QTest.qWaitForWindowActive(opened.window)
    opened.albums.centre.leaf.setFocus()
    watch, steps = FocusWatch(), list[str]()
    fingers = Fingers(opened, lambda _stroke: watch.look())
    fingers.give(DesignerKeys(opened, tmp_path, steps.append).run())
    assert watch.looks == fingers.given
    assert fingers.given > 250
    assert len(steps) > 50


def test_a_focus_that_cannot_be_seen_is_found_out(opened: OpenWindow) -> None:
    opened.window.activateWindow()
    QTest.qWaitForWindowActive(opened.window)
    opened.albums.centre.leaf.setFocus()
    press("Q")
    mode = opened.albums.design.mode
    assert mode is not None
    watch = FocusWatch()
    watch.look()
    order = mode.panel.order.buttons[0]
    order.setFocus()
    watch.look()
    order.setStyleSheet("border: 1px solid gray;")
    with pytest.raises(AssertionError, match="of a ring"):
        watch.look()
    mode.panel.kept.keep.setFocus()  # below what the panel shows, and not scrolled to
    with pytest.raises(AssertionError, match="is cut"):
        watch.look()
