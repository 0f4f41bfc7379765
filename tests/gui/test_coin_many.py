"""Editing many coins at once: blanks stay, differing values say so, one operation, one undo."""

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from pytestqt.qtbot import QtBot

from core.app.operations_coins import KEEP, CoinChange
from core.model.coin import CoinId, Origin, Problem
from core.model.grade import parse_grade
from gui.coins.many import Field, ManyDraft, hint_of, joined, read_many, shared
from gui.coins.many_dialog import ManyDialog
from gui.coins.rows import Column
from gui.coins.workspace import CoinsWorkspace
from gui.desk import Desk
from tests.gui.coins_material import Key, a_filled_desk, a_panel, choose, coin, shown
from tests.gui.desk_material import collection_of

CTRL_E = ("e", Key.Key_E)


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return a_filled_desk(tmp_path)


@pytest.fixture
def panel(qtbot: QtBot, desk: Desk) -> CoinsWorkspace:
    return a_panel(qtbot, desk)


def dialog_for(qtbot: QtBot, desk: Desk, *numbers: int) -> ManyDialog:
    coins = [CoinId(n) for n in numbers]
    rows = collection_of(desk).coin_rows(coins)
    dialog = ManyDialog(None, desk, coins, shared(rows, lambda _row: "USD"))
    qtbot.addWidget(dialog)
    dialog.show()
    return dialog


def test_a_blank_field_leaves_each_coins_own_and_a_typed_one_holds_for_all(
    qtbot: QtBot, desk: Desk
) -> None:
    before = [coin(desk, n) for n in (1, 2, 4)]
    dialog = dialog_for(qtbot, desk, 1, 2, 4)
    qtbot.keyClicks(dialog.lines[Field.PLACE], "tray 9")
    qtbot.keyClicks(dialog.lines[Field.CAME_FROM], "the fair")
    dialog._set_origin(Origin.BOUGHT)
    qtbot.keyClicks(dialog.lines[Field.PAID], "2.50")
    qtbot.keyClick(dialog.lines[Field.PAID], Key.Key_Return)
    assert not dialog.isVisible()
    facts: dict[str, Any] = {
        "place": "tray 9",
        "came_from": "the fair",
        "origin": Origin.BOUGHT,
        "paid_minor": 250,
        "currency": "USD",
    }
    assert [coin(desk, n) for n in (1, 2, 4)] == [replace(c, **facts) for c in before]
    assert desk.undo_label == "edit 3 coins"
    desk.undo()
    assert [coin(desk, n) for n in (1, 2, 4)] == before


def test_fields_say_what_all_share_and_where_they_differ(qtbot: QtBot, desk: Desk) -> None:
    dialog = dialog_for(qtbot, desk, 1, 2)
    assert dialog.lines[Field.GRADE].placeholderText() == "various"
    assert dialog.lines[Field.ACQUIRED].placeholderText() == "not known"
    assert dialog.origin.text() == "not known (all) ▾"
    both = dialog_for(qtbot, desk, 1, 3)
    assert both.origin.text() == "various ▾"
    same = shared(collection_of(desk).coin_rows([CoinId(1)]), lambda _row: "USD")
    assert hint_of(same, Field.GRADE) == "VF-20 (all)"


def test_none_empties_a_field(qtbot: QtBot, desk: Desk) -> None:
    dialog = dialog_for(qtbot, desk, 1, 2)
    for which in (Field.GRADE, Field.PROBLEMS, Field.NOTE, Field.PLACE):
        dialog.lines[which].setText("none")
    dialog.give()
    for number in (1, 2):
        known = coin(desk, number)
        assert (known.grade, known.problems, known.note, known.place) == (None, (), "", "")


def test_faults_stand_beside_their_fields_and_nothing_is_changed_or_lost(
    qtbot: QtBot, desk: Desk
) -> None:
    before = collection_of(desk).content_hash()
    dialog = dialog_for(qtbot, desk, 1, 2)
    dialog.lines[Field.GRADE].setText("vf21")
    dialog.lines[Field.ACQUIRED].setText("31.2.2026")
    dialog.lines[Field.PLACE].setText("tray 9")
    dialog.give()
    assert dialog.isVisible()
    assert "no step 21" in dialog.fields[Field.GRADE].fault
    assert "31.2.2026" in dialog.fields[Field.ACQUIRED].fault
    assert dialog.fields[Field.PLACE].fault == ""
    assert dialog.lines[Field.PLACE].text() == "tray 9"
    assert collection_of(desk).content_hash() == before


def test_what_the_collection_refuses_is_told_in_the_dialog(qtbot: QtBot, desk: Desk) -> None:
    dialog = dialog_for(qtbot, desk, 1, 2)
    dialog._coins = [CoinId(1), CoinId(99)]
    dialog.lines[Field.NOTE].setText("x")
    dialog.give()
    assert dialog.trouble.text().startswith("Nothing was changed.")
    assert dialog.give_button.isEnabled()
    assert coin(desk, 1).note == "from the harbour jar"


def test_marks_are_set_or_left(qtbot: QtBot, desk: Desk) -> None:
    dialog = dialog_for(qtbot, desk, 1, 2)
    assert not dialog.give_button.isEnabled()
    dialog.flagged.buttons[1].click()
    assert dialog.give_button.isEnabled()
    dialog.give()
    assert [coin(desk, n).is_flagged for n in (1, 2)] == [True, True]
    assert [coin(desk, n).is_genuine for n in (1, 2)] == [True, True]


def test_the_key_opens_the_form_for_one_and_the_dialog_for_several(
    panel: CoinsWorkspace, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[list[CoinId]] = []

    def ask(_parent: object, _desk: object, coins: list[CoinId], _common: object) -> bool:
        asked.append(coins)
        return False

    monkeypatch.setattr(ManyDialog, "ask", ask)
    choose(panel, 1, 3)
    assert panel.edit_button.text() == "Edit 2 coins…"
    panel.edit()
    assert asked == [[CoinId(3), CoinId(1)]]
    assert not panel.form.isVisible()
    choose(panel, 1)
    panel.edit()
    assert panel.form.isVisible()
    assert len(asked) == 1


def test_rows_show_the_change_and_stay_chosen(
    panel: CoinsWorkspace, desk: Desk, qtbot: QtBot
) -> None:
    choose(panel, 1, 2)
    dialog = dialog_for(qtbot, desk, 1, 2)
    dialog.lines[Field.GRADE].setText("g4")
    dialog.give()
    assert shown(panel, Column.GRADE) == ["XF-40", "", "G-4", "G-4"]
    assert set(panel.table.chosen_coins()) == {1, 2}


# ---- without a screen -------------------------------------------------------------------------


def test_all_that_is_typed_is_one_change() -> None:
    texts = {Field.GRADE: "vf20", Field.PROBLEMS: "+bent, -holed", Field.WEIGHT: "3.11"}
    change, faults = read_many(ManyDraft(texts, is_genuine=False), "USD")
    assert faults == []
    assert change == CoinChange(
        grade=parse_grade("vf20"),
        more_problems=(Problem.BENT,),
        fewer_problems=(Problem.HOLED,),
        weight_mg=3110,
        is_genuine=False,
    )
    assert read_many(ManyDraft({Field.PROBLEMS: "bent"}), "")[0].is_genuine is KEEP


def test_an_amount_without_a_currency_is_a_fault_where_the_coins_differ() -> None:
    _change, faults = read_many(ManyDraft({Field.PAID: "3"}), "")
    assert [(f.field, f.text) for f in faults] == [
        (Field.PAID, "Name the currency too, such as USD.")
    ]


def test_joined_changes_keep_what_only_one_names() -> None:
    one, other = CoinChange(grade=None, problems=(Problem.BENT,)), CoinChange(problems=(), note="x")
    assert joined(one, other) == CoinChange(grade=None, problems=(), note="x")
