"""Coins: the table, the entry line, the form, and what is done with chosen coins."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QAbstractItemModelTester
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from core.app.operations import add_coins, place_coin, set_flagged, stock_slots
from core.app.work import Progress
from core.errors import BadEntry, Cancelled
from core.model.coin import Coin, CoinId, CoinStatus, Finding, Origin, Problem
from core.model.grade import parse_grade
from core.model.issue import BANK_ISSUE, Description
from core.model.money import money_text
from gui.coins.draft import (
    draft_of,
    facet_choices,
    read_day,
    read_draft,
    read_money,
    read_weight,
    toggled,
    with_dates,
)
from gui.coins.entry_line import read_line
from gui.coins.rows import COLUMNS, CoinTable, Column, Part, text_of
from gui.coins.workspace import CoinsWorkspace
from gui.desk import Desk
from gui.work import InlineRunner, Job
from tests.builders import a_coin, cents, dimes, nickels, quarters
from tests.gui.desk_material import CENTS, DAY, NICKELS, a_desk, an_album, collection_of, with_coins

Key = Qt.Key
CTRL = Qt.KeyboardModifier.ControlModifier


def nickel(day: str = "1943", mint: str = "D", grade: str = "", **fields: Any) -> Coin:
    coin = a_coin(day, mint, grade, **fields)
    return replace(coin, description=replace(coin.description, series=NICKELS))


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    desk = a_desk(tmp_path)
    an_album(desk)
    with_coins(
        desk,
        [
            nickel("1943", "D", "vf20", note="from the harbour jar"),
            nickel("1938", "P", "g4", place="tray B4", problems=(Problem.BENT,)),
            nickel("1946", "S", "", quantity=30, came_from="box 12", origin=Origin.FOUND),
            nickel("1950", "D", "xf40", acquired=DAY),
        ],
    )
    collection = collection_of(desk)
    slot = next(
        v.slot.id
        for v in collection.album_view(collection.albums()[0].id).slots
        if v.slot.label == "1950-D"
    )
    collection.run(place_coin(CoinId(4), slot))
    return desk


@pytest.fixture
def panel(qtbot: QtBot, desk: Desk) -> CoinsWorkspace:
    panel = CoinsWorkspace(desk)
    qtbot.addWidget(panel)
    panel.resize(1200, 700)
    QAbstractItemModelTester(panel.model)
    panel.show()
    return panel


def shown(panel: CoinsWorkspace, column: Column = Column.NUMBER) -> list[str]:
    place = COLUMNS.index(column)
    return [panel.model.index(n, place).data() for n in range(panel.model.rowCount())]


def choose(panel: CoinsWorkspace, *numbers: int) -> None:
    panel.table.choose({CoinId(n) for n in numbers}, CoinId(numbers[0]))


# ---- the table --------------------------------------------------------------------------------


def test_every_coin_is_a_row_newest_first(panel: CoinsWorkspace) -> None:
    assert shown(panel) == ["4", "3", "2", "1"]
    row = [panel.model.index(1, n).data() for n in range(9)]
    assert row == ["3", "30 × 1946-S", "", "", "lot", "", "found, box 12", "", ""]
    where = [panel.model.index(0, n).data() for n in range(4, 8)]
    assert where == ["in an album", "Nickels 1938–1964, 1950-D", "", "2026-03-02"]


def test_typing_finds_rows_that_meet_every_word(panel: CoinsWorkspace, qtbot: QtBot) -> None:
    qtbot.keyClicks(panel.filter, "jar vf")
    assert shown(panel) == ["1"]
    panel.filter.setText("tray bent")
    assert shown(panel) == ["2"]
    panel.filter.setText("nickels")
    assert len(shown(panel)) == 4
    panel.filter.setText("florin")
    assert panel.pages.currentWidget() is panel.empty
    panel.empty.button.click()
    assert len(shown(panel)) == 4


def test_chips_show_parts_with_their_counts(panel: CoinsWorkspace) -> None:
    told = {str(part): chip.text() for part, chip in panel.chips.items()}
    assert told["all"].endswith("4")
    assert told["in an album"].endswith("1")
    assert told["spares"].endswith("2")
    assert told["lots"].endswith("1")
    panel.chips[Part.LOTS].click()
    assert shown(panel) == ["3"]
    panel.chips[Part.GONE].click()
    assert shown(panel) == []


def test_a_header_click_sorts_and_again_turns_round(panel: CoinsWorkspace, qtbot: QtBot) -> None:
    header = panel.table.horizontalHeader()
    at = header.sectionViewportPosition(COLUMNS.index(Column.COIN)) + 40
    point = header.viewport().rect().center()
    point.setX(at)
    qtbot.mouseClick(header.viewport(), Qt.MouseButton.LeftButton, pos=point)
    assert shown(panel, Column.COIN) == ["1938", "1943-D", "30 × 1946-S", "1950-D"]
    qtbot.mouseClick(header.viewport(), Qt.MouseButton.LeftButton, pos=point)
    assert shown(panel, Column.COIN)[0] == "1950-D"
    next(a for a in panel.sort.choices.actions() if a.text() == "grade").trigger()
    assert shown(panel, Column.GRADE) == ["XF-40", "VF-20", "G-4", ""]


def test_the_choice_is_kept_when_rows_are_read_anew(panel: CoinsWorkspace, desk: Desk) -> None:
    choose(panel, 2)
    desk.run(set_flagged([CoinId(1)], True))
    assert panel.table.chosen_coins() == [2]
    assert panel.model.data(panel.model.index(3, 1), Qt.ItemDataRole.DecorationRole) is not None


def test_a_coin_taken_out_elsewhere_is_a_spare_here(panel: CoinsWorkspace, desk: Desk) -> None:
    collection = collection_of(desk)
    view = collection.album_view(collection.albums()[0].id)
    slot = next(v.slot.id for v in view.slots if v.slot.label == "1950-D")
    with_coins(desk, [nickel("1950", "D", "ms63")])
    desk.run(place_coin(CoinId(5), slot))
    states = dict(zip(shown(panel), shown(panel, Column.STATE), strict=True))
    assert states["4"] == "spare"
    assert states["5"] == "in an album"


def test_a_hidden_panel_catches_up_when_it_shows(panel: CoinsWorkspace, desk: Desk) -> None:
    panel.hide()
    desk.run(add_coins([nickel("1939", "S")]))
    assert len(shown(panel)) == 4
    panel.show()
    assert len(shown(panel)) == 5
    desk.undo()
    assert len(shown(panel)) == 4


def test_an_empty_collection_names_the_next_step(qtbot: QtBot, tmp_path: Path) -> None:
    panel = CoinsWorkspace(a_desk(tmp_path))
    qtbot.addWidget(panel)
    panel.show()
    assert panel.pages.currentWidget() is panel.empty
    assert panel.empty.title.text() == "No coins yet"
    assert panel.empty.hint.text() == "Ins"
    panel.entry.field.setText("dime 1964")
    assert "Roosevelt dimes" in panel.entry.reading
    qtbot.keyClick(panel.entry.field, Key.Key_Return)
    assert shown(panel, Column.COIN) == ["1964"]


def test_arrows_lead_from_the_line_to_the_table_and_back(
    panel: CoinsWorkspace, qtbot: QtBot
) -> None:
    panel.activateWindow()
    panel.entry.field.setFocus()
    qtbot.keyClick(panel.entry.field, Key.Key_Down)
    assert panel.focusWidget() is panel.table
    assert panel.table.current_coin() == 4
    qtbot.keyClick(panel.table, Key.Key_Up)
    assert panel.focusWidget() is panel.entry.field


def test_a_digit_in_the_table_begins_to_find(panel: CoinsWorkspace, qtbot: QtBot) -> None:
    panel._to_table()
    qtbot.keyClick(panel.table, Key.Key_3)
    assert panel.filter.text() == "3"
    assert panel.focusWidget() is panel.filter


# ---- the entry line ---------------------------------------------------------------------------


def test_an_entry_reads_as_it_is_typed_and_enter_adds_it(
    panel: CoinsWorkspace, qtbot: QtBot, desk: Desk
) -> None:
    qtbot.keyClicks(panel.entry.field, "1943-D vf20")
    assert panel.entry.reading == "reads as 1943-D, Jefferson nickels: VF-20, a spare"
    qtbot.keyClick(panel.entry.field, Key.Key_Return)
    assert panel.entry.field.text() == ""
    assert panel.entry.reading == "Added 1943-D VF-20, number 5."
    assert panel.table.chosen_coins() == [5]
    coin = collection_of(desk).coin(CoinId(5))
    assert coin.grade == parse_grade("vf20")
    assert coin.status is CoinStatus.HELD


def test_a_fault_is_told_below_the_line_and_nothing_is_added(
    panel: CoinsWorkspace, qtbot: QtBot
) -> None:
    panel.entry.field.setText("1950-S")
    assert "1950-S" in panel.entry.reading
    assert panel.entry._words.property("look") == "fault"
    qtbot.keyClick(panel.entry.field, Key.Key_Return)
    assert len(shown(panel)) == 4
    assert panel.entry.field.text() == "1950-S"


def test_with_several_series_one_is_chosen(panel: CoinsWorkspace, desk: Desk) -> None:
    assert not panel.entry.series.isVisible()
    an_album(desk, "Cents", CENTS, (1909, 1958))
    panel.reader.need_all()
    panel.reader.read()
    assert panel.entry.series.isVisible()
    assert shown(panel, Column.COIN)[-1] == "1943-D"
    with_coins(desk, [a_coin("1944", "D")])
    panel.reader.need_all()
    panel.reader.read()
    assert shown(panel, Column.COIN)[0] == "1944-D  ·  Lincoln cents"
    panel.entry.field.setText("1944-d")
    assert "Jefferson nickels" in panel.entry.reading
    action = next(a for a in panel.entry.series.choices.actions() if a.text() == "Lincoln cents")
    action.trigger()
    assert "Lincoln cents" in panel.entry.reading
    panel.entry.field.setText("nickel 1944-d")
    assert "Jefferson nickels" in panel.entry.reading


def test_a_series_that_the_collection_lacks_is_read_too() -> None:
    known = (nickels(), cents(), dimes(), quarters())
    entry = read_line("dime 1964", (nickels(),), known, nickels().id)
    assert entry.series == dimes().id
    with pytest.raises(BadEntry):
        read_line("1999", (nickels(),), (nickels(),), None)


# ---- chosen coins -----------------------------------------------------------------------------


def test_chosen_coins_are_let_go_and_undo_brings_them_back(
    panel: CoinsWorkspace, qtbot: QtBot, desk: Desk
) -> None:
    choose(panel, 1, 4)
    with qtbot.waitSignal(desk.told) as told:
        qtbot.keyClick(panel.table, Key.Key_Delete)
    assert told.args is not None
    assert told.args[0].startswith("2 coins are let go")
    assert shown(panel, Column.STATE) == ["gone", "lot", "spare", "gone"]
    desk.undo()
    assert shown(panel, Column.STATE) == ["in an album", "lot", "spare", "spare"]


def test_what_cannot_be_done_is_greyed(panel: CoinsWorkspace) -> None:
    buttons = (panel.edit_button, panel.put_button, panel.go_button)
    assert [b.isEnabled() for b in buttons] == [False, False, False]
    choose(panel, 1)
    assert [b.isEnabled() for b in buttons] == [True, True, True]
    choose(panel, 1, 2)
    assert [b.isEnabled() for b in buttons] == [True, False, True]
    assert panel.edit_button.text() == "Edit 2 coins…"
    assert panel.foot.chosen.text() == "2 of 4 chosen"


# ---- the form ---------------------------------------------------------------------------------


@pytest.fixture
def edit(panel: CoinsWorkspace, qtbot: QtBot) -> Callable[[int], None]:
    def start(number: int) -> None:
        choose(panel, number)
        qtbot.keyClick(panel.table, Key.Key_Return)
        assert panel.form.isVisible()

    return start


def test_the_form_saves_what_is_typed(
    panel: CoinsWorkspace, qtbot: QtBot, desk: Desk, edit: Callable[[int], None]
) -> None:
    edit(1)
    form = panel.form
    assert (form.grade.text(), form.date.text()) == ("VF-20", "1943")
    form.grade.setText("xf")
    form._set_problem(Problem.CLEANED, True)
    form.flagged.click()
    form.weight.setText("4,98 g")
    form.came_from.setText("box 3")
    form._set_origin(Origin.BOUGHT)
    form.acquired.setText("1.2.2026")
    form.paid.setText("12.50")
    form.currency.setText("usd")
    form.note.setPlainText("Grüße, Ωμέγα\nзаметка")
    qtbot.keyClick(form.grade, Key.Key_Return)
    assert not form.isVisible()
    coin = collection_of(desk).coin(CoinId(1))
    assert coin.grade == parse_grade("xf")
    assert coin.problems == (Problem.CLEANED,)
    assert coin.is_flagged
    assert coin.weight_mg == 4980
    assert (coin.origin, coin.came_from) == (Origin.BOUGHT, "box 3")
    assert coin.acquired == date(2026, 2, 1)
    assert (coin.paid_minor, coin.currency) == (1250, "USD")
    assert coin.note == "Grüße, Ωμέγα\nзаметка"
    assert panel.focusWidget() is panel.table
    desk.undo()
    assert collection_of(desk).coin(CoinId(1)).note == "from the harbour jar"


def test_facets_are_chips_of_what_the_coin_may_be(
    panel: CoinsWorkspace, edit: Callable[[int], None], desk: Desk
) -> None:
    edit(1)
    form = panel.form
    mints = [key for key in form.facet_chips if key[0] == "mint"]
    assert mints == [("mint", "P"), ("mint", "D"), ("mint", "S")]
    form.facet_chips["mint", "S"].click()
    assert form._reads.whole_text == "1943-S"
    form.date.setText("1950")
    assert "1950" in form.description_fault.text()
    assert form.description_fault.isVisible()
    form.save()
    assert form.isVisible()
    form.facet_chips["mint", "D"].click()
    assert not form.description_fault.isVisible()
    form.save()
    assert collection_of(desk).coin(CoinId(1)).description.only("date") == "1950"


def test_faults_stand_beside_their_fields(
    panel: CoinsWorkspace, edit: Callable[[int], None], desk: Desk
) -> None:
    edit(1)
    form = panel.form
    form.grade.setText("vf21")
    form.weight.setText("heavy")
    form.acquired.setText("31.2.2026")
    form.paid.setText("3")
    form.save()
    told = [form.grade_field.fault, form.weight_field.fault, form.acquired_field.fault]
    assert ["VF has no step 21" in told[0], "heavy" in told[1], "31.2.2026" in told[2]] == [
        True
    ] * 3
    assert form.paid_field.fault == "Name the currency too, such as USD."
    assert form.isVisible()
    assert collection_of(desk).coin(CoinId(1)).grade == parse_grade("vf20")


def test_a_rule_of_the_collection_is_told_in_the_form(
    panel: CoinsWorkspace, edit: Callable[[int], None]
) -> None:
    edit(4)
    assert not panel.form.quantity.isEnabled()
    panel._on_saved(replace(panel.form.coin or nickel(), quantity=3))
    assert "sits in slot 1950-D" in panel.form._trouble.text()


def test_a_variety_is_confirmed_suspected_or_ruled_out(
    panel: CoinsWorkspace, edit: Callable[[int], None], desk: Desk
) -> None:
    with_coins(desk, [nickel("1943", "P")])
    panel.reader.need_all()
    panel.reader.read()
    edit(5)
    form = panel.form
    code, button = next(iter(form.findings.items()))
    assert button.text() == "not looked at ▾"
    assert [a.text() for a in button.choices.actions()] == [
        "not looked at",
        "confirmed",
        "suspected",
        "ruled out",
    ]
    button.choices.actions()[2].trigger()
    form.save()
    assert collection_of(desk).coin(CoinId(5)).finding(code) is Finding.SUSPECTED


def test_escape_leaves_the_form_unsaved(
    panel: CoinsWorkspace, qtbot: QtBot, edit: Callable[[int], None], desk: Desk
) -> None:
    edit(1)
    panel.form.grade.setText("ms65")
    qtbot.keyClick(panel.form.grade, Key.Key_Escape)
    assert not panel.form.isVisible()
    assert collection_of(desk).coin(CoinId(1)).grade == parse_grade("vf20")


def test_every_control_has_a_name(panel: CoinsWorkspace) -> None:
    form = panel.form
    controls = [panel.entry.field, panel.filter, panel.table, form.date, form.grade, form.weight]
    controls += [form.quantity, form.came_from, form.acquired, form.place, form.paid, form.note]
    assert all(control.accessibleName() for control in controls)


# ---- without a screen -------------------------------------------------------------------------


@pytest.mark.parametrize("weight_mg", [4980, 1, 5000, 31_103, 1_234_567, 1_000_001, None])
def test_a_draft_gives_the_coin_back(weight_mg: int | None) -> None:
    series = nickels()
    coin = replace(
        nickel("1942", "P", "vf-xf", number=7, weight_mg=weight_mg, acquired=DAY, paid_minor=5),
        currency="USD",
        varieties=(),
    )
    assert read_draft(draft_of(coin), coin, series) == (coin, [])


def test_a_facet_that_follows_is_not_asked() -> None:
    series = nickels()
    either = Description.of(series.id, {**BANK_ISSUE, "date": "1942"})
    names = {choice.name for choice in facet_choices(series, either)}
    assert names == {"mint", "composition"}
    settled = either.with_facet("mint", "S")
    assert {c.name for c in facet_choices(series, settled)} == {"mint"}
    odd = settled.with_facet("composition", "cupronickel")
    assert {c.name for c in facet_choices(series, odd)} >= {"mint", "composition"}


def test_a_chip_chooses_and_with_ctrl_adds() -> None:
    described = Description.of(NICKELS, {"mint": "D"})
    assert toggled(described, "mint", "S", False).values("mint") == ("S",)
    assert toggled(described, "mint", "S", True).values("mint") == ("D", "S")
    assert toggled(described, "mint", "D", False).values("mint") == ()


def test_dates_are_typed_as_struck_or_by_year() -> None:
    series = quarters()
    known = with_dates(series, Description.of(series.id, {}), "1976")
    assert known.values("date") == ("1776-1976",)
    assert with_dates(series, known, "1776–1976") == known
    assert with_dates(series, known, "1943 or 1964").values("date") == ("1943", "1964")
    assert with_dates(series, known, "?").values("date") == ()
    with pytest.raises(BadEntry, match="is no date of"):
        with_dates(series, known, "1933")


@pytest.mark.parametrize(
    ("text", "currency", "minor"),
    [("12.50", "USD", 1250), ("12,5", "EUR", 1250), ("300", "JPY", 300), ("1.234", "KWD", 1234)],
)
def test_money_is_kept_in_minor_units(text: str, currency: str, minor: int) -> None:
    # Digits of the minor units: ISO 4217.
    assert read_money(text, currency) == minor
    assert read_money(money_text(minor, currency), currency) == minor


@pytest.mark.parametrize(
    ("text", "currency"), [("1.005", "USD"), ("1.5", "JPY"), ("x", "USD"), ("-1", "USD")]
)
def test_amounts_that_do_not_exist_are_refused(text: str, currency: str) -> None:
    with pytest.raises(BadEntry):
        read_money(text, currency)


def test_weights_and_days_are_read() -> None:
    assert read_weight("3.11 g") == 3110
    assert read_weight("") is None
    assert read_day("2026-3-2") == DAY
    assert read_day("2. 3. 2026") == DAY
    with pytest.raises(BadEntry):
        read_weight("0")
    with pytest.raises(BadEntry):
        read_day("yesterday")


def test_narrowing_by_typing_finds_what_a_fresh_search_finds(desk: Desk) -> None:
    rows = collection_of(desk).coin_rows()
    for typed in ("1", "19", "194", "194 v", "194 vf"):
        fresh = CoinTable(rows).shown(typed, Part.ALL, Column.COIN, False)
        narrowed = CoinTable(rows)
        for end in range(1, len(typed) + 1):
            found = narrowed.shown(typed[:end], Part.ALL, Column.COIN, False)
        assert found == fresh


def test_rows_read_anew_take_the_place_of_the_old(desk: Desk) -> None:
    collection = collection_of(desk)
    table = CoinTable(collection.coin_rows())
    slots = [v.slot.id for v in collection.album_view(collection.albums()[0].id).slots]
    collection.run(stock_slots(slots[:1]))
    collection.run(set_flagged([CoinId(2)], True))
    again = table.updated([CoinId(2), CoinId(5)], collection.coin_rows([CoinId(2), CoinId(5)]))
    whole = CoinTable(collection.coin_rows())
    assert again.rows == whole.rows
    assert again.hays == whole.hays
    assert [text_of(r, Column.NUMBER) for r in again.rows] == ["1", "2", "3", "4", "5"]
    gone = again.updated([CoinId(5)], [])
    assert len(gone.rows) == 4
    QApplication.processEvents()


# ---- many rows --------------------------------------------------------------------------------


class _Held:
    """A runner that keeps the reading until it is told to go on."""

    def __init__(self) -> None:
        self.inline = InlineRunner()
        self.waiting: list[Callable[[], None]] = []
        self.is_holding = False
        self.submit_drawing = self.inline.submit
        self.wait = self.inline.wait

    def submit(self, function: Any, *parts: Any) -> Job:
        if not self.is_holding:
            return self.inline.submit(function, *parts)
        progress = Progress()
        job = Job(progress)
        then, _failed, _told, cancelled = [*parts, None, None, None, None][:4]

        def go_on() -> None:
            job.is_done = True
            try:
                result = function(progress)
            except Cancelled:
                cancelled()
            else:
                then(result)

        self.waiting.append(go_on)
        return job


def test_a_reading_that_is_stopped_says_so_and_can_be_begun_again(
    qtbot: QtBot, tmp_path: Path
) -> None:
    held = _Held()
    desk = a_desk(tmp_path, held)
    with_coins(desk, [nickel("1943", "D"), nickel("1944", "P")])
    held.is_holding = True
    panel = CoinsWorkspace(desk)
    qtbot.addWidget(panel)
    panel.show()
    assert panel.empty.title.text() == "Reading the coins …"
    assert desk.can_cancel
    desk.cancel()
    held.waiting.pop()()
    assert panel.empty.title.text() == "The coins were not read"
    held.is_holding = False
    panel.empty.button.click()
    assert shown(panel) == ["2", "1"]
    held.is_holding = True
    with qtbot.waitActive(panel):
        panel.activateWindow()
    qtbot.keyClick(panel.entry.field, Key.Key_F5)
    desk.cancel()
    held.waiting.pop()()
    assert shown(panel) == ["2", "1"]
    assert "F5 reads anew" in panel.foot.words.whole_text


def test_the_same_coins_stay_chosen_when_rows_are_sorted_or_found(panel: CoinsWorkspace) -> None:
    panel.table.selectAll()
    panel.filter.setText("1943")
    assert panel.table.chosen_coins() == [1]
    panel.filter.clear()
    assert panel.table.chosen_coins() == [1]
    choose(panel, 2, 4)
    panel._on_sort(Column.COIN)
    assert panel.table.chosen_coins() == [2, 4]
