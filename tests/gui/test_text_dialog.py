"""The dialog that asks for a short text."""

from pytestqt.qtbot import QtBot

from gui.text_dialog import TextDialog


def test_a_text_that_cannot_be_taken_is_told_while_one_types(qtbot: QtBot) -> None:
    def fault(texts: list[str]) -> str:
        return "There is one already." if texts == ["Dimes"] else ""

    dialog = TextDialog(None, "Rename", "", [("Name", "Nickels")], "Rename", fault)
    qtbot.addWidget(dialog)
    dialog.show()
    assert dialog.give_button.isEnabled()
    dialog.fields[0].setText(" Dimes ")
    assert dialog.fault.isVisible()
    assert dialog.fault.text() == "There is one already."
    assert not dialog.give_button.isEnabled()
    dialog.fields[0].setText("Dimes 2")
    assert not dialog.fault.isVisible()
    assert dialog.give_button.isEnabled()
    dialog.fields[0].setText("  ")
    assert not dialog.give_button.isEnabled()
