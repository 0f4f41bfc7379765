"""The want list's dialog: what can be chosen, a word that is refused, the file that is written."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from pypdf import PdfReader
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from core.app.demo import ensure_demo
from gui.upgrades import want_list_dialog
from gui.upgrades.want_list_dialog import LETTERS, SHOWN, WantListDialog, wanted_of
from tests.gui.window_material import OpenWindow, close_window, open_window


@pytest.fixture(scope="module")
def window(qapp: QApplication, tmp_path_factory: pytest.TempPathFactory) -> Iterator[OpenWindow]:
    folder = tmp_path_factory.mktemp("wants")
    path = folder / "demo.slotleaf"
    ensure_demo(path)
    opened = open_window(qapp, folder, path)
    opened.duties.show_workspace("upgrades")
    yield opened
    close_window(opened)


@pytest.fixture
def dialog(window: OpenWindow) -> Iterator[WantListDialog]:
    wanted = wanted_of(window.duties.make_upgrades())
    assert wanted is not None
    made = WantListDialog(window.window, window.desk, wanted)
    made.show()
    yield made
    made.close()
    made.deleteLater()


def test_the_plan_is_chosen_and_the_most_to_pay_hidden_at_first(dialog: WantListDialog) -> None:
    assert dialog.which.buttons[0].isChecked()
    assert dialog.pay.buttons[0].isChecked()
    assert not dialog.word_field.isVisible()
    assert dialog.foot.give.isEnabled()
    for part in (dialog.which, dialog.paper, dialog.pay, dialog.word):
        assert part.accessibleName()


def test_a_word_with_a_letter_twice_is_refused_before_anything_is_saved(
    dialog: WantListDialog,
) -> None:
    dialog.pay.buttons[LETTERS].click()
    assert dialog.word_field.isVisible()
    assert not dialog.foot.give.isEnabled()
    assert dialog.word_field.fault == ""
    QTest.keyClicks(dialog.word, "blackhorss")
    assert "S more than once" in dialog.word_field.fault
    assert not dialog.foot.give.isEnabled()
    QTest.keyClick(dialog.word, Qt.Key.Key_Backspace)
    QTest.keyClicks(dialog.word, "e")
    assert dialog.word_field.fault == ""
    assert dialog.foot.give.isEnabled()
    dialog.word.clear()
    dialog.pay.buttons[SHOWN].click()
    assert dialog.foot.give.isEnabled()


def test_the_chosen_coins_are_written_and_what_cannot_be_is_told(
    dialog: WantListDialog, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    here = [tmp_path]  # a folder, which no file can be
    monkeypatch.setattr(want_list_dialog, "choose_new_file", lambda *_: here[0])
    dialog.foot.give.click()
    assert dialog.written is None
    assert dialog.foot.trouble.text()
    assert dialog.foot.give.isEnabled()
    here[0] = tmp_path / "wants.pdf"
    counts: list[int] = []
    for place in (0, 1):
        dialog.which.buttons[place].click()
        dialog.save()
        assert dialog.written == here[0]
        text = " ".join(page.extract_text() for page in PdfReader(here[0]).pages)
        assert "invented" in text
        counts.append(text.count("dealer"))
    found = dialog._wanted
    assert found.made is not None
    assert counts[0] == len(found.made.purchases)
    assert counts[1] > counts[0]


def test_without_a_plan_every_open_slot_is_printed(window: OpenWindow) -> None:
    wanted = wanted_of(window.duties.make_upgrades())
    assert wanted is not None
    made = WantListDialog(window.window, window.desk, replace(wanted, made=None))
    assert not made.which.buttons[0].isEnabled()
    assert made.which.buttons[1].isChecked()
    made.deleteLater()
