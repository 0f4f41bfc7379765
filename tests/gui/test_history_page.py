"""The page of history: pages read as one scrolls, runs folded, undo back to any entry."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from PySide6.QtCore import QModelIndex, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from core.app.collection import Collection, make_collection
from core.store.store import Entry
from gui.desk import Desk
from gui.history.dialog import PAGE, HistoryDialog
from gui.history.lines import Line, added, standing_after
from gui.work import InlineRunner
from tests.gui.desk_material import collection_of
from tests.gui.past_material import long_history
from tests.gui.window_material import OpenWindow

Key = Qt.Key
ENTRIES = 450


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A file with 450 entries, 30 of them one run; made once, copied by each test."""
    return long_history(tmp_path_factory.mktemp("history") / "much.slotleaf", ENTRIES)


@pytest.fixture
def desk(qapp: QApplication, written: Path, tmp_path: Path) -> Iterator[Desk]:
    """A desk on a file of its own."""
    path = tmp_path / "much.slotleaf"
    path.write_bytes(written.read_bytes())
    desk = Desk(InlineRunner())
    desk.open(path)
    yield desk
    desk.shut_down()


@pytest.fixture
def page(desk: Desk) -> Iterator[HistoryDialog]:
    """The page on it, shown."""
    dialog = HistoryDialog(None, desk)
    dialog.show()
    yield dialog
    dialog.close()
    dialog.deleteLater()


def read_all(page: HistoryDialog) -> None:
    while page.model.canFetchMore(QModelIndex()):
        page.model.fetchMore(QModelIndex())


def row_of(page: HistoryDialog, title: str) -> int:
    return next(at for at, line in enumerate(page.model.lines) if line.title == title)


def choose(page: HistoryDialog, title: str) -> None:
    page.list.setCurrentIndex(page.model.index(row_of(page, title)))


# ---- reading ------------------------------------------------------------------------------------


def test_one_page_is_read_first_and_the_next_when_one_comes_near_its_end(
    page: HistoryDialog,
) -> None:
    assert page.model.entries == PAGE
    page.list.scrollToBottom()
    QApplication.processEvents()
    assert PAGE < page.model.entries < ENTRIES
    read_all(page)
    assert page.model.entries == ENTRIES


def test_a_run_is_one_line_that_unfolds(page: HistoryDialog) -> None:
    read_all(page)
    at = row_of(page, "Stocking")
    line = page.model.lines[at]
    assert len(line.entries) == 30
    assert "30 entries" in line.spoken
    lines = len(page.model.lines)
    page.list.setCurrentIndex(page.model.index(at))
    QTest.keyClick(page.list, Key.Key_Right)
    assert len(page.model.lines) == lines + 30
    assert page.model.entries == ENTRIES
    QTest.keyClick(page.list, Key.Key_Left)
    assert len(page.model.lines) == lines


def test_a_run_that_crosses_pages_is_still_one_line() -> None:
    noon = datetime(2026, 3, 2, 12, tzinfo=UTC)
    entries = [
        Entry(number, noon - timedelta(minutes=40 - number), "stocking", False, 5)
        for number in range(40, 4, -1)
    ]
    for cut in (1, 7, 35):
        lines = added([], entries[:cut])
        lines += added(lines, entries[cut:])
        assert [len(line.entries) for line in lines if not line.is_heading] == [36], cut


def test_days_head_the_lines_newest_first(page: HistoryDialog) -> None:
    read_all(page)
    lines = page.model.lines
    assert lines[0].is_heading
    assert not page.model.flags(page.model.index(0)) & Qt.ItemFlag.ItemIsSelectable
    ids = [entry.id for line in lines for entry in line.entries]
    assert ids == sorted(ids, reverse=True)
    assert page.chosen is lines[1]


def test_a_collection_in_which_nothing_was_done_says_so(qapp: QApplication, tmp_path: Path) -> None:
    make_collection(tmp_path / "new.slotleaf", "New")
    desk = Desk(InlineRunner())
    desk.open(tmp_path / "new.slotleaf")
    dialog = HistoryDialog(None, desk)
    assert dialog.pages.currentWidget() is dialog.empty
    assert not dialog.back.isEnabled()
    dialog.deleteLater()
    desk.shut_down()


# ---- undo back ----------------------------------------------------------------------------------


@pytest.mark.parametrize("back", [1, 3, 40])
def test_undo_back_asks_once_tells_how_many_go_and_redo_brings_them_back(
    desk: Desk, page: HistoryDialog, back: int
) -> None:
    collection = collection_of(desk)
    before = collection.content_hash()
    page.list.setCurrentIndex(page.model.index(1 + back))
    goal = page.model.lines[1 + back].entries[0].id
    QTest.keyClick(page.list, Key.Key_U)
    assert page.question.isVisible()
    assert collection.content_hash() == before
    many = "1 entry" if back == 1 else f"{back} entries"
    assert page.asks.text().startswith(f"{many} made after")
    assert f"Redo brings {'it' if back == 1 else 'them'} back" in page.asks.text()
    QTest.keyClick(page.yes, Key.Key_Return)
    assert collection.content_hash() != before
    standing = [entry.id for entry in collection.entries(500) if not entry.is_undone]
    assert max(standing) == goal
    assert sum(line.is_undone for line in page.model.lines) == back
    while collection.redo_label is not None:
        desk.redo()
    assert collection.content_hash() == before


def test_ctrl_z_and_ctrl_shift_z_go_one_step_while_the_page_is_open(
    desk: Desk, page: HistoryDialog
) -> None:
    ctrl, shift = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.ShiftModifier
    page.activateWindow()
    QTest.qWaitForWindowActive(page)
    for undone in (1, 2):
        QTest.keyClick(page.list, Key.Key_Z, ctrl)
        assert sum(line.is_undone for line in page.model.lines) == undone
    QTest.keyClick(page.list, Key.Key_Z, ctrl | shift)
    assert sum(line.is_undone for line in page.model.lines) == 1
    assert desk.redo_label is not None


def test_keeping_all_changes_nothing(desk: Desk, page: HistoryDialog) -> None:
    before = collection_of(desk).content_hash()
    page.list.setCurrentIndex(page.model.index(9))
    for leave in (lambda: QTest.keyClick(page.yes, Key.Key_Escape), page.no.click):
        page.back.click()
        assert page.question.isVisible()
        leave()
        assert page.isVisible()
        assert not page.question.isVisible()
    assert collection_of(desk).content_hash() == before


def test_undo_back_to_a_run_keeps_the_whole_run(desk: Desk, page: HistoryDialog) -> None:
    read_all(page)
    choose(page, "Stocking")
    assert page._goes() == ENTRIES - 31
    page.back.click()
    page.yes.click()
    collection = collection_of(desk)
    view = collection.album_view(collection.albums()[0].id)
    assert view.headline.have == 30
    assert view.slots[0].slot.note == ""


def test_undo_back_into_an_unfolded_run_counts_what_goes(page: HistoryDialog) -> None:
    read_all(page)
    at = row_of(page, "Stocking")
    page.model.toggle(at)
    for inside in (1, 2, 30):
        assert standing_after(page.model.lines, at + inside) == ENTRIES - 31 + inside - 1


def test_undo_back_into_a_run_leaves_its_earlier_entries(desk: Desk, page: HistoryDialog) -> None:
    read_all(page)
    at = row_of(page, "Stocking")
    page.model.toggle(at)
    page.list.setCurrentIndex(page.model.index(at + 21))
    page.back.click()
    page.yes.click()
    collection = collection_of(desk)
    assert collection.album_view(collection.albums()[0].id).headline.have == 10


def test_the_count_is_that_of_the_entries_that_go(desk: Desk, page: HistoryDialog) -> None:
    collection = collection_of(desk)
    desk.undo()
    desk.undo()
    page._read_anew()
    before = {entry.id for entry in collection.entries(500) if not entry.is_undone}
    page.list.setCurrentIndex(page.model.index(12))
    goes = page._goes()
    page.back.click()
    page.yes.click()
    after = {entry.id for entry in collection.entries(500) if not entry.is_undone}
    assert len(before - after) == goes


def test_undone_entries_say_so_and_cannot_be_gone_back_to(desk: Desk, page: HistoryDialog) -> None:
    desk.undo()
    page._read_anew()
    line = page.model.lines[1]
    assert line.is_undone
    assert "undone" in line.spoken
    page.list.setCurrentIndex(page.model.index(1))
    assert not page.back.isEnabled()
    assert "redo brings it back" in page.hint.text()
    page.list.setCurrentIndex(page.model.index(2))
    assert not page.back.isEnabled()  # nothing that stands was done after it


def test_the_page_only_shows_where_the_collection_can_only_be_looked_at(
    qapp: QApplication, written: Path, tmp_path: Path
) -> None:
    path = tmp_path / "much.slotleaf"
    path.write_bytes(written.read_bytes())
    with Collection.open(path):
        desk = Desk(InlineRunner())
        desk.open(path)
        page = HistoryDialog(None, desk)
        page.list.setCurrentIndex(page.model.index(5))
        assert not page.back.isEnabled()
        assert page.hint.text().startswith("Only to look at.")
        page.deleteLater()
        desk.shut_down()


def test_the_window_opens_the_page_by_key_and_tells_what_was_undone(
    opened: OpenWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    def undo_all(page: HistoryDialog) -> int:
        page.show()
        page.list.setCurrentIndex(page.model.index(2))
        page.ask_undo()
        page.yes.click()
        return 1

    monkeypatch.setattr(HistoryDialog, "exec", undo_all)
    opened.window.activateWindow()
    QTest.qWaitForWindowActive(opened.window)
    QTest.keyClick(opened.window, Key.Key_H, Qt.KeyboardModifier.ControlModifier)
    assert opened.duties.notices.text == "1 entry was undone. Redo brings it back: Ctrl+Shift+Z."
    assert opened.view.headline.spares_waiting == 0


def test_a_line_says_how_long_a_run_took_and_what_it_was() -> None:
    noon = datetime.now().astimezone().replace(hour=12, minute=0)
    entries = [Entry(9, noon + timedelta(minutes=12), "stocking", True, 8),
               Entry(8, noon, "stocking", True, 8)]  # fmt: skip
    line = Line(noon.date(), entries)
    assert line.spoken == "12:00–12:12, Stocking, 2 entries · undone"
