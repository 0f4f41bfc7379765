"""The sorting table by keys alone: keeping, counting, rolls, asking, undo, editing, taking up."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QContextMenuEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QMenu

from core.app.box_report import time_text
from core.app.search_orders import add_box, finish_box
from core.lookup.parse import parse_entry
from core.model.search import BoxId
from gui.desk import Desk
from gui.search.clock import SittingClock, clock_text, read_time
from gui.search.compare import CompareDialog
from gui.search.finish import FinishDialog
from gui.search.small_forms import EntryAnswer, EntryForm
from gui.search.tally_forms import TallyMenu
from gui.search.workspace import SearchesWorkspace
from gui.settings import Settings
from gui.work import InlineRunner
from tests.gui.search_material import KEYPAD, AtTable, begin_box, begin_cents, table_window
from tests.gui.window_material import close_window, open_window, small_collection


@pytest.fixture(scope="module")
def window(qapp: QApplication, tmp_path_factory: pytest.TempPathFactory) -> Iterator[AtTable]:
    folder = tmp_path_factory.mktemp("table")
    at = table_window(qapp, folder, begin_box(folder / "drawer.slotleaf"))
    yield at
    close_window(at.window)


@pytest.fixture
def table(window: AtTable) -> Iterator[AtTable]:
    """The same window for every test, all of it taken back afterwards."""
    begun = window.window.desk.undo_label
    window.keys = 0
    window.space.line.field.clear()
    window.space.sitting.forget()
    window.window.window.activateWindow()
    QApplication.processEvents()
    window.space.to_line()
    yield window
    while window.window.desk.undo_label != begun:
        window.window.desk.undo()


def test_a_plain_find_costs_four_keys_and_is_a_coin_of_its_box_and_roll(table: AtTable) -> None:
    table.keep("43d")
    assert table.keys == 4
    assert table.kept == [(1, "1943-D", "No use")]
    found = table.space.table.box.finds[0].coin  # type: ignore[union-attr]  # a box is in hand
    assert (found.came_from, found.status.value, found.origin.value) == ("box 32", "held", "found")
    assert table.space.line.field.text() == ""


def test_the_verdict_is_that_of_the_albums_and_the_line_goes_on(table: AtTable) -> None:
    table.type("42d")
    assert "Fills a gap" in table.space.card.text
    assert "have 1 of 12, then 2" in table.space.card.text
    table.press(Qt.Key.Key_Return)
    assert table.space.card.text.startswith("Kept: 1942-D")
    table.keep("43d g4")
    assert [answer for _, _, answer in table.kept] == ["Fills a gap", "No use"]


def test_shift_enter_counts_and_keeps_nothing(table: AtTable) -> None:
    coins = table.space.table.box.facts.finds  # type: ignore[union-attr]  # a box is in hand
    table.count("3 x 59")
    table.count("58d corroded")
    assert coins == ()
    assert table.kept == []
    assert table.seen == [(1, "3 × 1959", ""), (1, "1958-D", "corroded")]


def test_rolls_by_space_backspace_and_number(table: AtTable) -> None:
    table.press(Qt.Key.Key_Space)
    table.press(Qt.Key.Key_Space)
    assert table.box.at_roll == 3
    table.press(Qt.Key.Key_Backspace)
    assert table.box.at_roll == 2
    table.keep("/37")
    assert table.box.at_roll == 37
    table.keep("/")
    assert table.box.at_roll == 38
    table.type("x")
    table.press(Qt.Key.Key_Escape)
    assert table.space.line.field.text() == ""
    assert table.box.at_roll == 38


def test_the_numeric_keypad_alone_serves_dates_and_rolls(table: AtTable) -> None:
    keypad = {"4": Qt.Key.Key_4, "3": Qt.Key.Key_3, "/": Qt.Key.Key_Slash, "7": Qt.Key.Key_7}
    for digit in "43":
        QTest.keyClick(table.space.line.field, keypad[digit], KEYPAD)
    table.press(Qt.Key.Key_Enter, KEYPAD)
    for digit in "/7":
        QTest.keyClick(table.space.line.field, keypad[digit], KEYPAD)
    table.press(Qt.Key.Key_Enter, KEYPAD)
    assert table.kept == [(1, "1943, P, D or S?", "Fills a gap")]
    assert table.box.at_roll == 7


def test_a_record_is_told_with_its_coin_while_the_next_is_typed(table: AtTable) -> None:
    table.keep("38d")
    table.space.sitting.announce(("oldest this campaign: 1938-D",))
    table.type("44")
    assert table.space.card.top.text() == "Kept: 1938-D · oldest this campaign: 1938-D"


def test_counters_by_function_key_and_by_name(table: AtTable) -> None:
    table.press(Qt.Key.Key_F5)
    table.type("worn 1962")
    table.press(Qt.Key.Key_F5)
    table.keep("+damaged")
    table.keep("+odd one")
    assert table.seen == [
        (1, "+ foreign", ""), (1, "+ foreign", "worn 1962"), (1, "+ damaged", ""),
        (1, "+ odd one", ""),
    ]  # fmt: skip
    assert [b.text() for b in table.space.counters.buttons] == [
        "+foreign  2", "+damaged  1", "+unreadable", "+odd one  1",
    ]  # fmt: skip


def test_two_readings_stand_side_by_side_and_enter_asks_where_keeping_differs(
    qapp: QApplication, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    compared: list[str] = []
    monkeypatch.setattr(
        CompareDialog, "ask", lambda _over, name, *_rest, **_: compared.append(name)
    )
    cents = table_window(qapp, tmp_path, begin_cents(tmp_path / "cents.slotleaf"))
    try:
        cents.keep("09")
        shown = [reading.answer.name for reading in cents.space.card.readings]
        assert len(shown) == 2
        assert cents.kept == []
        assert "Which is it?" in cents.space.card.text
        cents.press(Qt.Key.Key_Escape)
        assert cents.space.line.field.text() == "09"
        cents.press(Qt.Key.Key_Return)
        cents.type("1")
        cents.keep("59")  # no album asks for it, nor for 1859: nothing is asked
        assert [label for _, label, _ in cents.kept] == [shown[0], "1959"]
        cents.type("22d")
        cents.press(Qt.Key.Key_F4)
        assert compared == ["1922-D"], "of 2022-D nothing is known that could be compared"
        cents.press(Qt.Key.Key_Escape)
        cents.type("09")
        cents.press(Qt.Key.Key_F4)
        assert (len(compared), "Which is it?" in cents.space.card.text) == (1, True)
        cents.type("1")
        assert "tells 1909 apart" in cents.space.card.text
        assert len(cents.kept) == 2, "nothing is kept before it was compared"
    finally:
        close_window(cents.window)


def test_ctrl_z_takes_back_the_find_and_its_coin(table: AtTable) -> None:
    before = table.window.desk.undo_label
    table.keep("42d")
    assert table.window.desk.undo_label == "keep 1942-D · box 32, roll 1"
    QTest.keyClick(table.space.line.field, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert table.kept == []
    assert table.window.desk.undo_label == before
    assert "1942-D" not in table.space.card.text, "it is told as kept no more"
    table.type("42d")
    assert "Fills a gap" in table.space.card.text  # the coin is no spare any more


def test_keys_typed_while_an_answer_is_on_its_way_are_done_in_order(table: AtTable) -> None:
    field = table.space.line.field
    field.hold()
    table.keep("42d")
    table.press(Qt.Key.Key_Space)
    table.keep("42s")
    assert table.kept == []
    field.go_on()
    assert [(roll, label) for roll, label, _ in table.kept] == [(1, "1942-D"), (2, "1942-S")]


def test_a_line_that_cannot_be_read_keeps_nothing_and_says_why(table: AtTable) -> None:
    for text in ("1943d vf20 qqqq", "1951 w", "43d v"):
        table.keep(text)
        assert table.kept == []
        assert table.space.line.field.text() == text
        assert table.space.card.text
        table.press(Qt.Key.Key_Escape)


def test_a_line_of_the_list_is_edited_and_taken_back(
    table: AtTable, monkeypatch: pytest.MonkeyPatch
) -> None:
    table.keep("42d")
    table.press(Qt.Key.Key_F6)
    series = table.space.table.series[0]  # type: ignore[union-attr]  # a table is shown
    entry = parse_entry("1944-S f12", [series])
    monkeypatch.setattr(EntryForm, "ask", lambda *_args: EntryAnswer(entry, 5, True))
    table.press(Qt.Key.Key_Down)
    rows = table.space.entries
    assert rows.chosen is not None
    assert rows.chosen.label == "+ damaged"
    QTest.keyClick(rows, Qt.Key.Key_Delete)
    assert table.seen == []
    rows.go_in()
    QTest.keyClick(rows, Qt.Key.Key_F2)
    found = table.space.table.box.finds[0]  # type: ignore[union-attr]  # a box is in hand
    assert (found.roll, found.label, found.grade, found.find.is_ender) == (
        5, "1944-S", "F-12", True,
    )  # fmt: skip
    QTest.keyClick(rows, Qt.Key.Key_Delete)
    assert table.kept == []
    QTest.keyClick(rows, Qt.Key.Key_4)
    assert table.space.line.field.text() == "4"


def test_a_line_of_the_list_is_worked_by_the_mouse_alone(table: AtTable) -> None:
    for text in ("44s", "42d vf30"):
        table.keep(text)
    entries, shown = table.space.entries, []

    def choose(words: str) -> None:
        menu = QApplication.activePopupWidget()
        assert isinstance(menu, QMenu)
        shown.append([one.text().replace("\t", " | ") for one in menu.actions()])
        next(one for one in menu.actions() if one.text().startswith(words)).trigger()
        menu.close()

    for words in ("Compare", "Take back"):
        at = entries.visualRect(entries.rows.index(0, 0)).center()
        QTimer.singleShot(0, lambda words=words: choose(words))
        if words == "Compare":
            QTimer.singleShot(200, lambda: QApplication.activeModalWidget().reject())  # type: ignore[union-attr]  # it is open
        reason = QContextMenuEvent.Reason.Mouse
        where = entries.viewport().mapToGlobal(at)
        QApplication.sendEvent(entries.viewport(), QContextMenuEvent(reason, at, where))
    assert shown[0] == [
        "Edit… | Enter", "Compare what it may be… | F4", "Take back | Del",
    ]  # fmt: skip
    assert [label for _, label, _ in table.kept] == ["1944-S"]
    tip = entries.rows.index(0, 0).data(Qt.ItemDataRole.ToolTipRole)
    assert tip.startswith("roll 1, 1944-S, ")


def test_a_box_left_half_way_is_taken_up_on_the_same_roll(
    table: AtTable, qapp: QApplication, tmp_path: Path
) -> None:
    table.keep("/9")
    table.keep("42d")
    path = table.window.desk.path
    assert path is not None
    copy = tmp_path / "copy.slotleaf"
    copy.write_bytes(path.read_bytes())  # as if the program were killed now
    other = table_window(qapp, tmp_path, copy)
    try:
        assert (other.box.number, other.box.at_roll) == (32, 9)
        assert other.kept == [(9, "1942-D", "Fills a gap")]
        assert other.space.line.field.hasFocus() or not other.window.window.isActiveWindow()
    finally:
        close_window(other.window)


def test_a_past_day_refuses_with_its_reason_and_leaves_the_line(table: AtTable) -> None:
    said: list[str] = []
    table.window.desk.failed.connect(said.append)
    table.window.desk.look_back("You look at 3 May.")
    table.keep("42d")
    assert table.kept == []
    assert "3 May" in said[-1]
    assert table.space.line.field.text() == "42d"
    table.window.desk.look_back("")


def test_before_a_box_is_read_none_of_it_is_offered(table: AtTable, tmp_path: Path) -> None:
    unread = SearchesWorkspace(Desk(InlineRunner()), Settings(tmp_path / "window.ini"))
    for space, is_read in ((unread, False), (table.space, True)):
        parts = (space.head, space.strip, space.key, space.counters, space.side, space.side.finish)
        assert {part.isVisibleTo(space) for part in parts} == {is_read}
        assert space.line.isVisibleTo(space)
    unread.deleteLater()


def test_without_boxes_the_page_says_how_to_begin(qapp: QApplication, tmp_path: Path) -> None:
    window = open_window(qapp, tmp_path, small_collection(tmp_path / "none.slotleaf"))
    window.duties.show_workspace("searches")
    space = window.duties.make_searches()
    assert space.pages.currentWidget() is space.empty
    assert space.empty.button.text() == "New box"
    close_window(window)


def test_the_line_in_the_bar_answers_from_anywhere_and_enter_puts_the_coin_in(
    table: AtTable,
) -> None:
    window = table.window
    window.duties.show_workspace("albums")
    bar = window.duties.look_up
    window.duties.actions["look_up"].trigger()
    for letter in "42d vf30":
        QTest.keyClicks(bar.field, letter)
    assert bar.look is not None
    assert bar.look.drop.isVisible()
    assert "Fills a gap" in bar.look.card.text
    QTest.keyClick(bar.field, Qt.Key.Key_Return)
    assert window.desk.undo_label == "add a coin"
    assert window.duties.notices.text == "Put in: 1942-D, a spare. Undo: Ctrl+Z."
    QApplication.processEvents()
    assert not bar.look.drop.isVisible(), "Enter closes it"
    assert bar.field.hasFocus()
    QTest.keyClicks(bar.field, "4")
    assert bar.look.drop.isVisible(), "the next letter opens it"
    QTest.keyClick(bar.field, Qt.Key.Key_Tab)
    QTest.keyClicks(bar.field, "3p")
    QTest.keyClick(bar.field, Qt.Key.Key_Return)
    QApplication.processEvents()
    assert not bar.look.drop.isVisible()
    window.desk.undo()
    QApplication.processEvents()
    assert not bar.look.drop.isVisible(), "nor does what changes meanwhile open it"
    QTest.keyClick(bar.field, Qt.Key.Key_Escape)
    window.duties.show_workspace("searches")


def test_the_clock_counts_keys_and_pauses_itself() -> None:
    at = [0.0]
    clock = SittingClock(lambda: at[0])
    for moment in (10.0, 40.0, 100.0, 400.0, 430.0):
        at[0] = moment
        clock.touch()
    at[0] = 440.0
    assert (clock.seconds, clock.is_running) == (90 + 30 + 10, True)
    assert clock.take() == 130
    at[0] = 1000.0
    assert (clock.seconds, clock.is_running) == (0, False)


def test_a_finished_box_takes_nothing_more_until_it_is_taken_up_again(table: AtTable) -> None:
    said: list[str] = []
    table.window.desk.failed.connect(said.append)
    table.window.desk.run(finish_box(table.box.id))
    table.keep("42d")
    assert table.kept == []
    assert "Take it up again" in said[-1]
    table.press(Qt.Key.Key_Escape)
    table.space.act("again")
    table.keep("42d")
    assert len(table.kept) == 1
    table.window.desk.failed.disconnect(said.append)


def test_the_time_shown_is_that_of_the_report() -> None:
    assert [clock_text(s) for s in (0, 29, 95, 3599, 3900)] == [
        "0:00 h", "0:00 h", "0:02 h", "1:00 h", "1:05 h",
    ]  # fmt: skip
    assert [time_text(s) for s in (95, 3599)] == ["2 min", "1 h"]


def test_a_box_just_finished_stays_in_hand_though_another_is_open(
    table: AtTable, monkeypatch: pytest.MonkeyPatch
) -> None:
    desk, first = table.window.desk, table.box
    desk.run(add_box(replace(first, id=BoxId(0), number=33)))
    desk.run(add_box(replace(first, id=BoxId(0), number=34)))
    table.space._wanted = None  # as when the program was begun anew
    table.space.read()
    assert table.box.number == 34
    monkeypatch.setattr(
        FinishDialog, "ask", lambda _parent, desk, box: desk.run(finish_box(box.id))
    )
    table.space.finish()
    assert (table.box.number, table.box.is_done) == (34, True)
    assert table.space.line.hint.text() == "finished · Alt+G takes it up again"
    table.space.act("again")
    assert (table.box.number, table.box.is_done) == (34, False)
    table.space.choose_box(first.id)


def test_a_typed_time_is_read_or_refused() -> None:
    assert [read_time(text) for text in ("1:05", "2", "0:07 h", "1:75", "soon")] == [
        3900, 7200, 420, None, None,
    ]  # fmt: skip


def test_a_coin_on_the_line_becomes_a_tally_in_two_keys(
    table: AtTable, monkeypatch: pytest.MonkeyPatch
) -> None:
    offered: list[str] = []

    def first(_parent: object, names: list[str]) -> int:
        offered.extend(names)
        return 0

    monkeypatch.setattr(TallyMenu, "ask", first)
    table.keep("42d")
    table.type("42d")
    QTest.keyClick(table.space.line.field, Qt.Key.Key_T, Qt.KeyboardModifier.ControlModifier)
    shown = table.space.side.tally.lines
    assert offered[:3] == ["1942-D", "1942", "1940s"]
    assert (shown[-1].name, shown[-1].now, round(shown[-1].on_pace or 0)) == ("1942-D", 1, 50)
