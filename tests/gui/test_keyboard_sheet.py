"""The sheet of keys: all of them are reached, on a small screen too."""

import pytest
from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QScreen
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from gui import keyboard_sheet
from gui.keyboard_sheet import KeyboardSheet


def test_a_small_screen_holds_the_sheet_and_its_keys_scroll(
    qapp: QApplication, monkeypatch: pytest.MonkeyPatch
) -> None:
    room = QRect(0, 0, 1280, 600)
    monkeypatch.setattr(QScreen, "availableGeometry", lambda _screen: room)
    sheet = KeyboardSheet()
    sheet.show()
    qapp.processEvents()
    assert sheet.height() <= 600 - keyboard_sheet.FRAME_PX
    bar = sheet.keys.verticalScrollBar()
    assert bar.maximum() > 0
    QTest.keyClick(sheet, Qt.Key.Key_End)
    assert bar.value() == bar.maximum()
    QTest.keyClick(sheet, Qt.Key.Key_Up)
    assert bar.value() < bar.maximum()
    sheet.close()


def test_a_large_screen_shows_it_all_at_once(
    qapp: QApplication, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(QScreen, "availableGeometry", lambda _screen: QRect(0, 0, 2000, 1400))
    sheet = KeyboardSheet()
    sheet.show()
    qapp.processEvents()
    assert sheet.keys.verticalScrollBar().maximum() == 0
    assert sheet.keys.viewport().width() >= sheet.keys.inside.sizeHint().width()
    sheet.close()
