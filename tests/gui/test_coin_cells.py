"""Editing cells in place: one operation each, faults said at the cell, nothing typed is lost."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QPlainTextEdit
from pytestqt.qtbot import QtBot

from core.app.operations import add_coins
from core.app.operations_coins import CoinChange
from core.app.work import Progress
from core.errors import BadEntry
from core.model.coin import Finding, Origin, Problem
from core.model.grade import parse_grade
from core.model.issue import VarietyId
from gui.coins.cells import FIXED, KnownSeries, read_cell, read_paid, read_problems, start_text
from gui.coins.rows import COLUMNS, Column, text_of
from gui.coins.workspace import CoinsWorkspace
from gui.desk import Desk
from gui.work import InlineRunner, Job
from tests.builders import DDO_1955, a_coin, cents, dimes, nickels
from tests.gui.coins_material import (
    Key,
    a_filled_desk,
    a_panel,
    coin,
    field,
    nickel,
    shown,
    slot_of,
    stand_on,
    type_cell,
)
from tests.gui.desk_material import an_album, collection_of


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return a_filled_desk(tmp_path)


@pytest.fixture
def panel(qtbot: QtBot, desk: Desk) -> CoinsWorkspace:
    return a_panel(qtbot, desk)


# ---- each column ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("column", "typed", "facts"),
    [
        (Column.GRADE, "xf45", {"grade": parse_grade("xf45")}),
        (Column.GRADE, "", {"grade": None}),
        (Column.PROBLEMS, "cleaned, holed", {"problems": (Problem.CLEANED, Problem.HOLED)}),
        (Column.PROBLEMS, "not genuine", {"is_genuine": False}),
        (Column.CAME_FROM, "bought, the fair", {"origin": Origin.BOUGHT, "came_from": "the fair"}),
        (Column.ACQUIRED, "2.1.2026", {"acquired": date(2026, 1, 2)}),
        (Column.NOTE, "worn rim", {"note": "worn rim"}),
        (Column.QUANTITY, "12", {"quantity": 12}),
        (Column.PLACE, "tray 9", {"place": "tray 9"}),
        (Column.PAID, "1.25", {"paid_minor": 125, "currency": "USD"}),
        (Column.WEIGHT, "4,98 g", {"weight_mg": 4980}),
    ],
)
def test_a_cell_sets_its_own_fact_and_one_undo_takes_it_back(
    panel: CoinsWorkspace, qtbot: QtBot, desk: Desk, column: Column, typed: str, facts: dict
) -> None:
    before = coin(desk, 1)
    panel.table.show_layout(panel.table.columns.with_shown(COLUMNS))
    type_cell(panel, qtbot, 1, column, typed, Key.Key_Return)
    assert coin(desk, 1) == replace(before, **facts)
    assert not panel.editing.is_open
    assert panel.focusWidget() is panel.table
    assert panel.table.current_column() is column
    assert desk.undo_label == "edit a coin"
    desk.undo()
    assert coin(desk, 1) == before


def test_what_a_coin_is_is_typed_as_in_the_entry_line(
    panel: CoinsWorkspace, qtbot: QtBot, desk: Desk
) -> None:
    stand_on(panel, 1, Column.COIN)
    qtbot.keyClick(panel.table, Key.Key_Return)
    assert panel.editing.editor.text == "1943-D"
    qtbot.keyClick(field(panel), Key.Key_A, Qt.KeyboardModifier.ControlModifier)
    qtbot.keyClicks(field(panel), "1944-p f12 bent")
    assert panel.editing.editor.words.text().startswith("reads as 1944-P, Jefferson nickels: F-12")
    qtbot.keyClick(field(panel), Key.Key_Return)
    known = coin(desk, 1)
    assert known.description.only("date") == "1944"
    assert (known.grade, known.problems) == (parse_grade("f12"), (Problem.BENT,))
    assert known.note == "from the harbour jar"


def test_every_column_either_edits_or_says_why_not(panel: CoinsWorkspace, desk: Desk) -> None:
    row = next(row for row in panel.model.table.rows if row.coin.id == 1)
    known = KnownSeries((nickels(),), (nickels(),))
    for column in COLUMNS:
        if column in FIXED:
            with pytest.raises(BadEntry):
                read_cell("1", column, row.coin, known)
            continue
        text = start_text(row, column, nickels())
        assert read_cell(text, column, row.coin, known).of(row.coin) == row.coin, column


@pytest.mark.parametrize("column", sorted(FIXED, key=COLUMNS.index))
def test_a_derived_cell_says_why_it_is_not_typed_in(
    panel: CoinsWorkspace, qtbot: QtBot, column: Column
) -> None:
    panel.table.show_layout(panel.table.columns.with_shown(COLUMNS))
    stand_on(panel, 1, column)
    qtbot.keyClick(panel.table, Key.Key_F2)
    assert not panel.editing.is_open
    assert panel.foot.words.whole_text == FIXED[column]
    tip = panel.model.data(panel.table.currentIndex(), Qt.ItemDataRole.ToolTipRole)
    assert "follow" in tip or "number for good" in tip or "Ctrl+E" in tip
    stand_on(panel, 1, Column.GRADE)
    assert panel.foot.words.whole_text == ""


# ---- keys and mouse ---------------------------------------------------------------------------


def test_typing_on_a_cell_begins_with_what_is_typed(
    panel: CoinsWorkspace, qtbot: QtBot, desk: Desk
) -> None:
    stand_on(panel, 1, Column.GRADE)
    qtbot.keyClicks(panel.table, "m")
    assert panel.editing.editor.text == "m"
    qtbot.keyClicks(field(panel), "s63")
    qtbot.keyClick(field(panel), Key.Key_Return)
    assert coin(desk, 1).grade == parse_grade("ms63")


def test_a_double_click_edits_the_cell_and_opens_the_form_on_a_derived_one(
    panel: CoinsWorkspace, qtbot: QtBot
) -> None:
    for column, is_cell in ((Column.GRADE, True), (Column.STATE, False)):
        stand_on(panel, 1, column)
        rect = panel.table.visualRect(panel.table.currentIndex())
        for click in (qtbot.mouseClick, qtbot.mouseDClick):
            click(panel.table.viewport(), Qt.MouseButton.LeftButton, pos=rect.center())
        assert (panel.editing.is_open, panel.form.isVisible()) == (is_cell, not is_cell)
        panel.editing.leave()
    panel.close_form()


def test_escape_leaves_the_cell_as_it_was(panel: CoinsWorkspace, qtbot: QtBot, desk: Desk) -> None:
    before = coin(desk, 1)
    type_cell(panel, qtbot, 1, Column.GRADE, "ms70", Key.Key_Escape)
    assert not panel.editing.is_open
    assert coin(desk, 1) == before
    assert panel.focusWidget() is panel.table


def test_tab_takes_the_cell_and_goes_on_to_the_next_that_is_typed_in(
    panel: CoinsWorkspace, qtbot: QtBot, desk: Desk
) -> None:
    type_cell(panel, qtbot, 1, Column.PROBLEMS, "bent", Key.Key_Tab)
    assert coin(desk, 1).problems == (Problem.BENT,)
    assert panel.editing.is_open
    assert panel.table.current_column() is Column.CAME_FROM  # state and where are derived
    qtbot.keyClick(field(panel), Key.Key_Backtab)
    assert panel.table.current_column() is Column.PROBLEMS
    qtbot.keyClick(field(panel), Key.Key_Escape)


def test_a_note_keeps_its_lines(panel: CoinsWorkspace, qtbot: QtBot, desk: Desk) -> None:
    stand_on(panel, 1, Column.NOTE)
    qtbot.keyClick(panel.table, Key.Key_F2)
    assert isinstance(field(panel), QPlainTextEdit)
    qtbot.keyClick(field(panel), Key.Key_End)
    qtbot.keyClick(field(panel), Key.Key_Return, Qt.KeyboardModifier.ShiftModifier)
    qtbot.keyClicks(field(panel), "second line")
    qtbot.keyClick(field(panel), Key.Key_Return)
    assert coin(desk, 1).note == "from the harbour jar\nsecond line"


# ---- what goes wrong --------------------------------------------------------------------------


def test_a_fault_is_said_at_the_cell_and_the_text_stays(
    panel: CoinsWorkspace, qtbot: QtBot, desk: Desk
) -> None:
    before = coin(desk, 1)
    type_cell(panel, qtbot, 1, Column.GRADE, "vf21", Key.Key_Return)
    editor = panel.editing.editor
    assert "VF has no step 21" in editor.fault
    assert editor.bubble.isVisible()
    assert editor.text == "vf21"
    assert coin(desk, 1) == before
    qtbot.keyClick(field(panel), Key.Key_Backspace)
    qtbot.keyClicks(field(panel), "0")
    assert editor.fault == ""
    qtbot.keyClick(field(panel), Key.Key_Return)
    assert not panel.editing.is_open


def test_what_the_collection_refuses_is_said_at_the_cell_too(
    panel: CoinsWorkspace, qtbot: QtBot, desk: Desk
) -> None:
    panel.table.show_layout(panel.table.columns.with_shown(COLUMNS))
    type_cell(panel, qtbot, 4, Column.QUANTITY, "3", Key.Key_Return)
    assert "sits in slot 1950-D; take it out" in panel.editing.editor.fault
    assert panel.editing.editor.text == "3"
    assert coin(desk, 4).quantity == 1
    qtbot.keyClick(field(panel), Key.Key_Escape)


def test_a_click_elsewhere_takes_what_reads_and_keeps_what_does_not(
    panel: CoinsWorkspace, qtbot: QtBot, desk: Desk
) -> None:
    stand_on(panel, 1, Column.GRADE)
    qtbot.keyClicks(panel.table, "f")
    qtbot.keyClicks(field(panel), "12")
    panel.filter.setFocus(Qt.FocusReason.MouseFocusReason)
    assert coin(desk, 1).grade == parse_grade("f12")
    stand_on(panel, 2, Column.GRADE)
    qtbot.keyClicks(panel.table, "z")
    panel.filter.setFocus(Qt.FocusReason.MouseFocusReason)
    assert panel.editing.is_open
    assert panel.editing.editor.text == "z"
    assert panel.editing.editor.fault
    assert coin(desk, 2).grade == parse_grade("g4")


def test_another_change_meanwhile_loses_neither(
    panel: CoinsWorkspace, qtbot: QtBot, desk: Desk
) -> None:
    from core.app.operations_coins import change_coins

    stand_on(panel, 1, Column.GRADE)
    qtbot.keyClicks(panel.table, "f")
    qtbot.keyClicks(field(panel), "12")
    desk.run(change_coins([coin(desk, 1).id], CoinChange(place="tray 3")))
    desk.run(add_coins([nickel("1939", "S")]))
    assert panel.editing.editor.text == "f12"
    rect = panel.table.cell_rect(coin(desk, 1).id, Column.GRADE)
    assert rect is not None
    assert panel.editing.editor.y() == rect.y()
    qtbot.keyClick(field(panel), Key.Key_Return)
    known = coin(desk, 1)
    assert (known.place, known.grade) == ("tray 3", parse_grade("f12"))


def test_a_coin_edited_in_its_slot_stays_there(
    panel: CoinsWorkspace, qtbot: QtBot, desk: Desk
) -> None:
    type_cell(panel, qtbot, 4, Column.COIN, "1951-D", Key.Key_Return)
    view = collection_of(desk).album_view(collection_of(desk).albums()[0].id)
    assert view.by_id[slot_of(desk, "1950-D")].state == "to verify"
    assert shown(panel, Column.STATE)[0] == "in an album"


# ---- without a screen -------------------------------------------------------------------------


def test_the_variety_found_stays_where_the_coin_can_still_have_it() -> None:
    series = cents()
    known = KnownSeries((series,), (series, dimes()))
    worn = replace(a_coin("1955", "P"), varieties=((DDO_1955, Finding.CONFIRMED),))
    assert read_cell("1955 f12", Column.COIN, worn, known).of(worn).varieties == worn.varieties
    assert read_cell("1958", Column.COIN, worn, known).of(worn).varieties == ()
    other = read_cell("dime 1964", Column.COIN, worn, known).of(worn)
    assert (other.description.series, other.varieties) == (dimes().id, ())
    typed = read_cell("1955 ddo", Column.COIN, a_coin("1955", "P"), known)
    assert typed.varieties == ((VarietyId("1955-ddo"), Finding.CONFIRMED),)


def test_a_coin_told_by_several_facets_is_left_alone_when_nothing_is_typed() -> None:
    series = cents()
    known = KnownSeries((series,), (series,))
    worn = a_coin("1941", "P")
    worn = replace(worn, description=worn.description.with_facet("mint", ("D", "S")))
    assert read_cell("1941, D or S?", Column.COIN, worn, known).of(worn) == worn


@pytest.mark.parametrize(
    ("typed", "told"),
    [("squashed", "no problem known"), ("c", "cleaned, corroded"), ("+bent, holed", "every")],
)
def test_a_problem_nobody_knows_is_named_with_those_near_it(typed: str, told: str) -> None:
    with pytest.raises(BadEntry, match=told):
        read_problems(typed)


def test_problems_are_known_by_their_beginnings_and_other_words() -> None:
    assert read_problems("corr; rim d").problems == (Problem.CORRODED, Problem.RIM_DAMAGE)
    assert read_problems("-").problems == ()
    assert read_problems("+bent").more_problems == (Problem.BENT,)


def test_an_amount_is_read_with_or_without_its_currency() -> None:
    assert read_paid("12,50 eur", "USD") == CoinChange(paid_minor=1250, currency="EUR")
    assert read_paid("GBP 3", "USD") == CoinChange(paid_minor=300, currency="GBP")
    assert read_paid("none", "USD") == CoinChange(paid_minor=None, currency="")
    with pytest.raises(BadEntry):
        read_paid("3", "")


def test_a_cell_shows_what_was_typed(panel: CoinsWorkspace, qtbot: QtBot, desk: Desk) -> None:
    an_album(desk, "Later", years=(1960, 1964))
    panel.table.show_layout(panel.table.columns.with_shown(COLUMNS))
    type_cell(panel, qtbot, 2, Column.PAID, "3 eur", Key.Key_Return)
    type_cell(panel, qtbot, 2, Column.WEIGHT, "4.9", Key.Key_Return)
    row = next(row for row in panel.model.table.rows if row.coin.id == 2)
    assert text_of(row, Column.PAID) == "3.00 EUR"
    assert text_of(row, Column.WEIGHT) == "4.9 g"


# ---- while the collection is at work ----------------------------------------------------------


class _Later:
    """A runner whose orders are carried out when the test says so."""

    def __init__(self) -> None:
        self.inline = InlineRunner()
        self.waiting: list[Callable[[], object]] = []
        self.is_later = False
        self.submit_drawing = self.inline.submit
        self.wait = self.inline.wait

    def submit(self, *parts: Any) -> Job:
        if not self.is_later:
            return self.inline.submit(*parts)
        self.waiting.append(lambda: self.inline.submit(*parts))
        return Job(Progress())

    def go_on(self) -> None:
        """Carry out all that waits, and what it asks for."""
        while self.waiting:
            self.waiting.pop(0)()


@pytest.fixture
def later() -> _Later:
    return _Later()


@pytest.fixture
def slow(qtbot: QtBot, tmp_path: Path, later: _Later) -> CoinsWorkspace:
    panel = a_panel(qtbot, a_filled_desk(tmp_path, later))
    later.is_later = True
    return panel


def test_the_keys_are_free_while_a_cell_is_on_its_way(
    slow: CoinsWorkspace, qtbot: QtBot, later: _Later
) -> None:
    type_cell(slow, qtbot, 1, Column.GRADE, "f12", Key.Key_Return)
    assert slow.focusWidget() is slow.table
    type_cell(slow, qtbot, 2, Column.GRADE, "g6", Key.Key_Tab)
    assert slow.table.current_column() is Column.PROBLEMS
    later.go_on()
    assert coin(slow._desk, 1).grade == parse_grade("f12")
    assert coin(slow._desk, 2).grade == parse_grade("g6")
    assert slow.editing.is_open


def test_a_cell_edited_again_before_the_rows_tell_shows_what_was_typed(
    slow: CoinsWorkspace, qtbot: QtBot, later: _Later
) -> None:
    type_cell(slow, qtbot, 1, Column.GRADE, "f12", Key.Key_Return)
    qtbot.keyClick(slow.table, Key.Key_F2)
    assert slow.editing.editor.text == "f12"
    qtbot.keyClick(field(slow), Key.Key_A, Qt.KeyboardModifier.ControlModifier)
    qtbot.keyClicks(field(slow), "VF-20")
    qtbot.keyClick(field(slow), Key.Key_Return)
    later.go_on()
    assert coin(slow._desk, 1).grade == parse_grade("vf20")
    assert slow._desk.undo_label == "edit a coin"


def test_what_is_refused_later_comes_back_to_its_cell(
    slow: CoinsWorkspace, qtbot: QtBot, later: _Later
) -> None:
    slow.table.show_layout(slow.table.columns.with_shown(COLUMNS))
    type_cell(slow, qtbot, 4, Column.QUANTITY, "3", Key.Key_Tab)
    assert slow.table.current_column() is Column.PLACE
    later.go_on()
    assert slow.table.current_column() is Column.QUANTITY
    assert slow.editing.editor.text == "3"
    assert "take it out" in slow.editing.editor.fault


def test_where_one_types_on_meanwhile_it_is_told_with_the_text(
    slow: CoinsWorkspace, qtbot: QtBot, later: _Later
) -> None:
    slow.table.show_layout(slow.table.columns.with_shown(COLUMNS))
    type_cell(slow, qtbot, 4, Column.QUANTITY, "3", Key.Key_Tab)
    qtbot.keyClicks(field(slow), "tray")
    with qtbot.waitSignal(slow._desk.failed) as told:
        later.go_on()
    assert told.args is not None
    assert told.args[0].startswith("Coin 4 keeps its how many, not “3”. ")
    assert slow.editing.editor.text == "tray"


def test_closing_takes_what_is_being_typed(panel: CoinsWorkspace, qtbot: QtBot, desk: Desk) -> None:
    stand_on(panel, 1, Column.PLACE)
    panel.table.show_layout(panel.table.columns.with_shown(COLUMNS))
    panel._edit_cell("tray 5")
    panel.keep()
    assert coin(desk, 1).place == "tray 5"
