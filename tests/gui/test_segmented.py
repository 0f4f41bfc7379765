"""A choice of a few side by side: where Tab comes to, and what the arrow keys choose."""

import os
import subprocess
import sys
from collections.abc import Callable

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QDialog, QLineEdit, QPushButton, QVBoxLayout, QWidget

from gui.segmented import Segmented
from gui.widgets import PrimaryButton
from tests.gui.segment_widths import ROWS

TAB, BACK = Qt.Key.Key_Tab, Qt.Key.Key_Backtab
RIGHT, LEFT = Qt.Key.Key_Right, Qt.Key.Key_Left


def test_tab_comes_to_the_chosen_one_and_to_it_alone(qapp: QApplication) -> None:
    window = QWidget()
    box = QVBoxLayout(window)
    before, choice, after = QLineEdit(), Segmented(["a", "b", "c"], "Letter"), QLineEdit()
    for part in (before, choice, after):
        box.addWidget(part)
    choice.choose(1)
    window.show()
    window.activateWindow()
    qapp.processEvents()
    before.setFocus()
    press = presser()
    seen = [press(key) for key in (TAB, TAB, BACK, RIGHT, RIGHT, LEFT)]
    assert seen == ["b", "", "b", "c", "c", "b"]
    choice.choose(0)  # by what happened elsewhere, while the keys are on another
    assert [press(TAB), press(BACK)] == ["", "a"]
    choice.buttons[2].click()
    assert QApplication.focusWidget() is choice.buttons[2], (
        "the keys are among them, so they follow"
    )
    before.setFocus()
    choice.buttons[0].click()
    assert before.hasFocus()
    choice.choose(-1)
    choice.buttons[0].setEnabled(False)
    before.setFocus()
    assert [press(TAB), press(TAB)] == ["b", ""], "none is chosen: the first that can be"
    window.close()


def test_home_and_end_choose_and_enter_on_the_chosen_one_gives_the_form(qapp: QApplication) -> None:
    window = QDialog()
    box = QVBoxLayout(window)
    choice, give = Segmented(["a", "b", "c"], "Letter"), PrimaryButton("Save")
    give.setDefault(True)
    given: list[int] = []
    give.clicked.connect(lambda: given.append(choice.choice()))
    box.addWidget(choice)
    box.addWidget(give)
    choice.choose(1)
    window.show()
    window.activateWindow()
    qapp.processEvents()
    choice.buttons[1].setFocus()
    press = presser()
    assert [press(key) for key in (Qt.Key.Key_End, Qt.Key.Key_Return)] == ["c", "c"]
    assert [press(key) for key in (Qt.Key.Key_Home, Qt.Key.Key_Enter)] == ["a", "a"]
    assert given == [2, 0]
    window.close()


def presser() -> Callable[[Qt.Key], str]:
    """Press a key where the keys are; the name of the button they are on then, "" for a line."""

    def press(key: Qt.Key) -> str:
        here = QApplication.focusWidget()
        assert here is not None
        QTest.keyClick(here, key)
        now = QApplication.focusWidget()
        return now.text() if isinstance(now, QPushButton) else ""

    return press


@pytest.mark.parametrize("scale", [1, 2])
def test_the_chosen_word_written_bold_is_never_cut(scale: int) -> None:
    """In a process of its own, because the scale is read once; both themes, each word chosen."""
    environment = {
        **os.environ, "QT_SCALE_FACTOR": str(scale), "QT_QPA_PLATFORM": "offscreen",
    }  # fmt: skip
    found = subprocess.run(
        [sys.executable, "-m", "tests.gui.segment_widths"],
        env=environment, capture_output=True, text=True, timeout=120, check=True,
    )  # fmt: skip
    assert found.stdout.splitlines()[-1] == f"{2 * len(ROWS)} rows seen at {scale}.0"
    assert [line for line in found.stdout.splitlines() if "cut" in line] == []
