"""A dialog of a few fields shows all it says, also what it comes to say later."""

from datetime import date

import pytest
from PySide6.QtCore import Qt, QTimer
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from gui.album.show_since import SinceDialog
from gui.text_dialog import TextDialog
from gui.widgets import MenuButton

TODAY = date(2026, 6, 20)


def test_a_fault_told_later_has_room_below_its_field(qapp: QApplication) -> None:
    dialog = SinceDialog(None, [date(2026, 6, 15)], TODAY, None)
    dialog.show()
    qapp.processEvents()
    before = dialog.height()
    dialog.field.setText("31 feb")
    dialog.give_button.click()
    qapp.processEvents()
    entry = dialog._entry
    assert dialog.fault
    assert dialog.height() > before
    layout = entry.layout()
    assert layout is not None
    assert entry.height() >= layout.heightForWidth(entry.width())
    dialog.close()


@pytest.mark.parametrize("words", ["short", "a fault of many words that runs over lines " * 4])
def test_a_dialog_of_one_line_grows_with_the_fault(qapp: QApplication, words: str) -> None:
    dialog = TextDialog(
        None, "Name", "", [("Name", "a")], "Give", lambda texts: words * (texts[0] == "b")
    )
    dialog.show()
    qapp.processEvents()
    dialog.fields[0].setText("b")
    qapp.processEvents()
    assert dialog.fault.height() >= dialog.fault.heightForWidth(dialog.fault.width())
    dialog.close()


def test_enter_presses_the_button_that_has_the_focus(qapp: QApplication) -> None:
    dialog = SinceDialog(None, [date(2026, 6, 15)], TODAY, None)
    dialog.show()
    dialog.activateWindow()
    QTest.qWaitForWindowActive(dialog)
    dialog.quick[1].setFocus()
    QTest.keyClick(dialog.quick[1], Qt.Key.Key_Return)
    assert dialog.day == date(2026, 5, 21)
    assert not dialog.fault


def test_enter_opens_the_menu_of_a_choice(qapp: QApplication) -> None:
    button = MenuButton("Show", "everything")
    button.choices.addAction("Gaps")
    seen: list[bool] = []
    button.choices.aboutToShow.connect(lambda: seen.append(True))
    button.choices.aboutToShow.connect(lambda: QTimer.singleShot(0, button.choices.close))
    button.show()
    QTest.keyClick(button, Qt.Key.Key_Return)
    assert seen
    button.close()
