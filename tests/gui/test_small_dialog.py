"""A dialog of a few fields shows all it says, also what it comes to say later."""

from datetime import date

import pytest
from PySide6.QtWidgets import QApplication

from gui.album.show_since import SinceDialog
from gui.text_dialog import TextDialog

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
    assert entry.height() >= entry.layout().heightForWidth(entry.width())
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
