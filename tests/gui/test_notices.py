"""The lines at the foot of the window."""

from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from gui.notices import MOST_WIDE_PX, TOLD_FOR_MS, Notices


def a_ground(qtbot: QtBot) -> tuple[QWidget, Notices]:
    ground = QWidget()
    qtbot.addWidget(ground)
    ground.resize(1200, 700)
    notices = Notices(ground)
    ground.show()
    return ground, notices


def test_a_short_line_is_no_wider_than_its_text_and_a_long_one_wraps(qtbot: QtBot) -> None:
    _ground, notices = a_ground(qtbot)
    notices.show_told("Undone: set the target.")
    QApplication.processEvents()
    label = notices.message.label
    line = label.fontMetrics().lineSpacing()
    assert notices.width() < MOST_WIDE_PX // 2
    assert label.height() < 2 * line
    notices.show_told("A checked copy is in a folder. " * 8)
    QApplication.processEvents()
    assert notices.width() == MOST_WIDE_PX
    assert label.height() >= 2 * line


def test_the_work_under_way_stands_on_one_line(qtbot: QtBot) -> None:
    _ground, notices = a_ground(qtbot)
    notices.show_work(is_busy=True, doing="Opening the demo collection", can_cancel=True)
    QApplication.processEvents()
    label = notices.work.label
    assert label.height() < 2 * label.fontMetrics().lineSpacing() + 8
    assert label.width() >= label.fontMetrics().horizontalAdvance(label.text())


def test_a_long_line_stays_longer_and_a_failure_until_dismissed(qtbot: QtBot) -> None:
    _ground, notices = a_ground(qtbot)
    notices.show_told("Undone: set the target.")
    assert notices._timer.interval() == TOLD_FOR_MS
    notices.show_told("x" * 130)
    assert notices._timer.interval() == 3 * TOLD_FOR_MS
    notices.show_failure("The slot is empty.")
    assert not notices._timer.isActive()
