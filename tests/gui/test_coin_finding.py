"""Find what fits a slot, and where a coin could go: in the panel and through the window."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from core.app.finding import CoinPlaces
from core.app.operations import add_coins, delete_album, place_coin, set_target
from core.model.album import Target
from core.model.coin import CoinId
from gui.coins.places_dialog import PlaceAnswer, PlacesDialog
from gui.coins.rows import Column
from gui.coins.workspace import CoinsWorkspace
from gui.desk import Desk
from gui.work import InlineRunner
from tests.gui.coins_material import (
    Key,
    a_filled_desk,
    a_panel,
    choose,
    nickel,
    shown,
    slot_of,
    stand_on,
)
from tests.gui.desk_material import collection_of
from tests.gui.window_material import OpenWindow, close_window, open_window, small_collection

CTRL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    desk = a_filled_desk(tmp_path)
    desk.run(add_coins([nickel("1943", "D", "g4"), nickel("1943", "D", "xf40")]))
    return desk


@pytest.fixture
def panel(qtbot: QtBot, desk: Desk) -> CoinsWorkspace:
    return a_panel(qtbot, desk)


# ---- coins for a slot -------------------------------------------------------------------------


def test_only_coins_that_fit_the_slot_are_shown_best_first(
    panel: CoinsWorkspace, desk: Desk
) -> None:
    panel.find_for(slot_of(desk, "1943-D"))
    assert shown(panel) == ["6", "1", "5"]
    assert shown(panel, Column.GAIN) == ["fills the gap"] * 3
    assert panel.table.visible_columns()[0] is Column.GAIN
    assert panel.bar.slot.text().startswith("fits 1943-D, Nickels 1938–1964")
    assert panel.bar.there.text() == "in the slot now: a gap"
    assert panel.table.current_coin() == 6


def test_the_chip_or_escape_shows_all_again(
    panel: CoinsWorkspace, desk: Desk, qtbot: QtBot
) -> None:
    for leave in (panel.bar.slot.click, lambda: qtbot.keyClick(panel.table, Key.Key_Escape)):
        panel.find_for(slot_of(desk, "1943-D"))
        assert len(shown(panel)) == 3
        leave()
        assert shown(panel) == ["6", "5", "4", "3", "2", "1"]
        assert Column.GAIN not in panel.table.visible_columns()
        assert panel.bar.slot.isHidden()


def test_enter_puts_the_coin_into_the_slot_and_goes_back_to_it(
    panel: CoinsWorkspace, desk: Desk, qtbot: QtBot
) -> None:
    slot = slot_of(desk, "1943-D")
    panel.find_for(slot)
    stand_on(panel, 1, Column.GRADE)
    with qtbot.waitSignal(panel.slot_asked) as asked:
        qtbot.keyClick(panel.table, Key.Key_Return)
    assert asked.args == [int(collection_of(desk).albums()[0].id), int(slot)]
    coin = collection_of(desk).slot_card(slot).view.coin
    assert coin is not None
    assert coin.id == 1
    assert panel.bar.slot.isHidden()
    assert (desk.undo_label or "").startswith("put a coin in a slot · ")


def test_typing_in_the_filter_narrows_what_fits(panel: CoinsWorkspace, desk: Desk) -> None:
    panel.find_for(slot_of(desk, "1943-D"))
    panel.filter.setText("vf")
    assert shown(panel) == ["1"]
    panel.filter.clear()
    panel._on_sort(Column.GRADE)
    assert shown(panel) == ["6", "1", "5"]
    panel._on_sort(Column.GRADE)
    assert shown(panel) == ["5", "1", "6"]


def test_what_changes_meanwhile_is_looked_through_again(panel: CoinsWorkspace, desk: Desk) -> None:
    slot = slot_of(desk, "1943-D")
    panel.find_for(slot)
    desk.run(place_coin(CoinId(1), slot))
    assert shown(panel) == ["6", "5"]
    assert shown(panel, Column.GAIN) == ["+20 points", "no better"]
    assert panel.bar.there.text() == "in the slot now: VF-20, filled"


def test_another_target_of_the_slot_tells_another_gain(panel: CoinsWorkspace, desk: Desk) -> None:
    slot = slot_of(desk, "1943-D")
    panel.find_for(slot)
    desk.run(set_target([slot], Target(20)))
    assert shown(panel, Column.GAIN) == ["fills the gap, meets target"] * 2 + ["fills the gap"]


def test_a_slot_that_is_gone_shows_all_coins(panel: CoinsWorkspace, desk: Desk) -> None:
    panel.find_for(slot_of(desk, "1943-D"))
    desk.run(delete_album(collection_of(desk).albums()[0].id))
    assert len(shown(panel)) == 6
    assert panel.bar.slot.isHidden()


def test_no_coin_that_fits_says_so(panel: CoinsWorkspace, desk: Desk) -> None:
    panel.find_for(slot_of(desk, "1939-S"))
    assert panel.pages.currentWidget() is panel.empty
    assert panel.empty.title.text().startswith("No coin you hold fits 1939-S")
    panel.empty.button.click()
    assert len(shown(panel)) == 6


# ---- where a coin could go --------------------------------------------------------------------


def asked(
    panel: CoinsWorkspace, monkeypatch: pytest.MonkeyPatch, answer: int | None, is_put: bool
) -> list[CoinPlaces]:
    """Ask for places; the dialog answers with the place of that rank."""
    seen: list[CoinPlaces] = []

    def ask(_parent: object, _title: str, found: CoinPlaces, _may_put: bool) -> PlaceAnswer | None:
        seen.append(found)
        return None if answer is None else PlaceAnswer(found.places[answer], is_put)

    monkeypatch.setattr(PlacesDialog, "ask", ask)
    panel.ask_places()
    return seen


def test_a_coin_is_put_into_the_slot_chosen(
    panel: CoinsWorkspace, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    choose(panel, 1)
    (found,) = asked(panel, monkeypatch, 0, is_put=True)
    assert [p.label for p in found.places] == ["1943-D"]
    assert shown(panel, Column.STATE)[-1] == "in an album"
    assert shown(panel, Column.WHERE)[-1] == "Nickels 1938–1964, 1943-D"


def test_or_one_goes_to_the_slot(
    panel: CoinsWorkspace, desk: Desk, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    choose(panel, 1)
    with qtbot.waitSignal(panel.slot_asked) as told:
        asked(panel, monkeypatch, 0, is_put=False)
    assert told.args == [int(collection_of(desk).albums()[0].id), int(slot_of(desk, "1943-D"))]
    assert shown(panel, Column.STATE)[-1] == "spare"


@pytest.fixture
def dialog(qtbot: QtBot, desk: Desk) -> PlacesDialog:
    found = collection_of(desk).places_for_coin(CoinId(1))
    dialog = PlacesDialog(None, "Coin 1: 1943-D VF-20", found)
    qtbot.addWidget(dialog)
    dialog.show()
    return dialog


def test_enter_goes_and_ctrl_enter_puts_in(dialog: PlacesDialog, qtbot: QtBot) -> None:
    qtbot.keyClick(dialog.table, Key.Key_Return)
    assert dialog.answer is not None
    assert not dialog.answer.is_put
    dialog.show()
    qtbot.keyClick(dialog.table, Key.Key_Return, CTRL)
    assert dialog.answer.is_put


def test_each_slot_says_what_is_there_and_what_is_gained(dialog: PlacesDialog) -> None:
    row = [dialog.model.index(0, n).data() for n in range(5)]
    assert row[0] == "1943-D"
    assert row[1] == "Nickels 1938–1964"
    assert row[2].startswith("leaf ")
    assert row[3:] == ["a gap", "fills the gap"]


def test_a_coin_in_its_slot_is_not_put_there_again(qtbot: QtBot, desk: Desk) -> None:
    dialog = PlacesDialog(None, "Coin 4", collection_of(desk).places_for_coin(CoinId(4)))
    qtbot.addWidget(dialog)
    assert not dialog.put_button.isEnabled()
    assert dialog.put_button.toolTip() == "It is in this slot already."
    dialog.put()
    assert dialog.result() == 0


def test_no_slot_at_all_says_so(qtbot: QtBot, desk: Desk) -> None:
    desk.run(delete_album(collection_of(desk).albums()[0].id))
    dialog = PlacesDialog(None, "Coin 1", collection_of(desk).places_for_coin(CoinId(1)))
    qtbot.addWidget(dialog)
    dialog.show()
    assert dialog.empty.isVisible()
    assert not dialog.go_button.isEnabled()
    assert dialog.answer is None


# ---- through the window -----------------------------------------------------------------------


@pytest.fixture
def window(qapp: QApplication, tmp_path: Path) -> Iterator[OpenWindow]:
    window = open_window(qapp, tmp_path, small_collection(tmp_path / "drawer.slotleaf"))
    yield window
    close_window(window)


def test_from_a_slot_to_its_coins_and_back_with_one_in_it(window: OpenWindow, qtbot: QtBot) -> None:
    window.go_to("1944-P")
    window.duties.actions["find_coins"].trigger()
    coins = window.duties.pages.currentWidget()
    assert isinstance(coins, CoinsWorkspace)
    assert shown(coins, Column.GRADE) == ["F-12", ""]
    assert coins.focusWidget() is coins.table
    qtbot.keyClick(coins.table, Key.Key_Return)
    assert window.duties.pages.currentWidget() is window.albums
    assert "below target" in window.state("1944-P")
    assert [v.slot.label for v in window.albums.centre.chosen_views()] == ["1944-P"]


def test_from_a_coin_to_a_slot_in_another_album(
    window: OpenWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    war = window.view.album.id
    other = next(a.album.id for a in collection_of(window.desk).shelf() if a.album.id != war)
    window.albums.open_album(other)
    assert window.view.album.id == other
    window.duties.show_workspace("coins")
    coins = window.duties.pages.currentWidget()
    assert isinstance(coins, CoinsWorkspace)
    choose(coins, 3)
    (found,) = asked(coins, monkeypatch, 0, is_put=False)
    assert window.duties.pages.currentWidget() is window.albums
    chosen = window.albums.centre.chosen_views()
    assert [v.slot.id for v in chosen] == [found.places[0].slot]
    assert window.view.album.id == war


def test_who_only_looks_finds_and_goes_but_changes_nothing(
    qtbot: QtBot, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    other = Desk(InlineRunner())
    assert desk.path is not None
    other.open(desk.path)
    assert other.is_read_only
    panel = a_panel(qtbot, other)
    stand_on(panel, 1, Column.GRADE)
    qtbot.keyClick(panel.table, Key.Key_F2)
    assert not panel.editing.is_open
    assert panel.foot.words.whole_text == "This collection can only be looked at."
    qtbot.keyClicks(panel.table, "m")
    assert not panel.editing.is_open
    assert not panel.bar.paste.isEnabled()
    assert not panel.edit_button.isEnabled()
    may_put: list[bool] = []
    monkeypatch.setattr(
        PlacesDialog, "ask", lambda _parent, _title, _found, may: may_put.append(may)
    )
    panel.ask_places()
    assert may_put == [False]
    panel.find_for(slot_of(other, "1943-D"))
    assert len(shown(panel)) == 3
    assert not panel.foot.slot_button.isEnabled()
    other.close()
