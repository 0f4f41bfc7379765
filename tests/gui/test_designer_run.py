"""The whole designer by keyboard, and the focus is seen at every step."""

from pathlib import Path

from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from core.model.album import Slot, Wish
from core.model.arrangement import Arrangement, Lead
from tests.gui.design_run import STEPS, shows_focus, walk
from tests.gui.window_material import close_window, open_window, small_collection


def test_the_designer_is_worked_by_keys_alone(qapp: QApplication, tmp_path: Path) -> None:
    opened = open_window(qapp, tmp_path, small_collection(tmp_path / "drawer.slotleaf"))
    opened.window.activateWindow()
    QTest.qWaitForWindowActive(opened.window)
    told: dict[str, tuple[Arrangement, dict[str, Slot]]] = {}
    opened.albums.centre.leaf.setFocus()

    def seen(number: int, words: str) -> None:
        view = opened.view
        told[words] = (view.album.arrangement, {v.slot.label: v.slot for v in view.slots})
        widget = qapp.focusWidget()
        assert widget is not None, words
        assert shows_focus(widget), f"{number}: {words}"

    walk(opened.program, seen)
    assert len(told) == len(STEPS)
    shape, _ = told["by date, then mint"]
    assert shape.text == "running:4x5; order=date"
    assert list(told["move it two places back"][1])[2] == "1943-D"
    _, slots = told["a row, then a leaf begins with it"]
    assert slots["1943-D"].lead == Lead(1, new_leaf=True)
    _, slots = told["select its mint; optional"]
    assert {s.wish for s in slots.values() if s.label.endswith("-D")} == {Wish.OPTIONAL}
    assert len(told["a further slot for it"][1]) == 13
    assert "my" in told["a label for the first"][1]
    assert "my" in told["take it out: asked first"][1]
    assert "my" in told["leave it in"][1]
    assert len(told["take back the label and the slot"][1]) == 12
    assert told["typed, and some slots are over"][0].text == "map:4 2_2"
    assert not opened.albums.design.is_on
    close_window(opened)
