"""Making an album: choices in, an album out, with a preview that is the album as it will stand."""

from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from core.catalogue.load import library_ids
from core.errors import BadEntry
from core.model.album import Target
from core.model.arrangement import ArrangementKind
from core.model.issue import SeriesId
from gui.album.album_choice import free_name, read_years, suggested_name
from gui.album.new_album import NewAlbumDialog
from gui.desk import Desk
from tests.builders import nickels, tokens
from tests.gui.desk_material import a_desk, an_album, collection_of

Key = Qt.Key


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return a_desk(tmp_path)


def opened(qtbot: QtBot, desk: Desk, series: str = "nickels") -> NewAlbumDialog:
    dialog = NewAlbumDialog(None, desk)
    qtbot.addWidget(dialog)
    dialog.show()
    dialog.search.setText(series)
    return dialog


def previewed(qtbot: QtBot, dialog: NewAlbumDialog) -> str:
    qtbot.waitUntil(lambda: not dialog._timer.isActive())
    return dialog.preview.count.text()


def test_what_is_previewed_is_what_is_made(qtbot: QtBot, desk: Desk) -> None:
    dialog = opened(qtbot, desk)
    dialog.fields.last.setText("1964")
    dialog.fields.target.setText("vf20")
    assert previewed(qtbot, dialog) == "70 slots on 3 leaves"
    assert dialog.fields.name.text() == "Jefferson nickels 1938–1964"
    shown = [dialog.preview.leaf._plan.lines[n] for n in dialog.preview.leaf._plan.names]
    qtbot.keyClick(dialog.fields.name, Key.Key_Return)
    assert dialog.made is not None
    view = collection_of(desk).album_view(dialog.made)
    assert view.album.name == "Jefferson nickels 1938–1964"
    assert [view.plan.lines[n] for n in view.plan.names] == shown
    assert {v.slot.target for v in view.slots} == {Target(20)}


def test_mints_are_chosen_by_chips(qtbot: QtBot, desk: Desk) -> None:
    dialog = opened(qtbot, desk)
    assert [c.text() for c in dialog.fields.mint_chips.values()] == [
        "P  Philadelphia",
        "D  Denver",
        "S  San Francisco",
    ]
    dialog.fields.last.setText("1964")
    dialog.fields.mint_chips["S"].click()
    dialog.fields.mint_chips["P"].click()
    dialog.make.click()
    assert dialog.made is not None
    slots = collection_of(desk).album_view(dialog.made).slots
    assert {v.slot.accepts.only("mint") for v in slots} == {"D"}


def test_any_mint_gives_one_slot_a_date(qtbot: QtBot, desk: Desk) -> None:
    dialog = opened(qtbot, desk)
    dialog.fields.last.setText("1964")
    dialog.fields.any_mint.click()
    assert not any(chip.isChecked() for chip in dialog.fields.mint_chips.values())
    assert previewed(qtbot, dialog).startswith("27 slots")
    dialog.fields.mint_chips["P"].click()
    assert not dialog.fields.any_mint.isChecked()


def test_varieties_add_optional_slots(qtbot: QtBot, desk: Desk) -> None:
    dialog = opened(qtbot, desk, "lincoln")
    assert "optional" not in previewed(qtbot, dialog)
    dialog.fields.varieties.buttons[1].click()
    some = int(previewed(qtbot, dialog).rsplit(maxsplit=2)[1])
    dialog.fields.varieties.buttons[2].click()
    assert int(previewed(qtbot, dialog).rsplit(maxsplit=2)[1]) > some > 0


def test_a_running_arrangement_has_its_sizes(qtbot: QtBot, desk: Desk) -> None:
    dialog = opened(qtbot, desk)
    dialog.fields.last.setText("1964")
    dialog.fields.arrangement.pick(ArrangementKind.RUNNING)
    dialog.fields.per_row.setValue(7)
    dialog.fields.rows.setValue(4)
    assert previewed(qtbot, dialog) == "70 slots on 3 leaves"
    dialog.make.click()
    assert dialog.made is not None
    arrangement = collection_of(desk).album_view(dialog.made).album.arrangement
    assert arrangement.kind is ArrangementKind.RUNNING
    assert (arrangement.per_row, arrangement.rows_per_leaf) == (7, 4)


def test_faults_stand_beside_their_field_and_nothing_is_made(qtbot: QtBot, desk: Desk) -> None:
    an_album(desk, "Nickels")
    dialog = opened(qtbot, desk)
    dialog.fields.first.setText("nineteen")
    assert "is no date of this series (1938–2025)" in dialog.fields.years_field.fault
    dialog.fields.first.setText("1990")
    dialog.fields.last.setText("1950")
    assert dialog.fields.years_field.fault == "The first date lies after the last."
    dialog.fields.last.setText("2000")
    assert dialog.fields.years_field.fault == ""
    dialog.fields.target.setText("vf21")
    assert "VF has no step 21" in dialog.fields.target_field.fault
    dialog.fields.target.setText("")
    for chip in dialog.fields.mint_chips.values():
        chip.click()
    assert dialog.fields.mints_field.fault == "Choose at least one mint."
    dialog.fields.mint_chips["D"].click()
    assert dialog.make.isEnabled()
    dialog.fields.name.clear()
    qtbot.keyClicks(dialog.fields.name, "nickels")
    assert "already" in dialog.fields.name_field.fault
    assert not dialog.make.isEnabled()
    qtbot.keyClick(dialog.fields.name, Key.Key_Return)
    assert len(collection_of(desk).albums()) == 1


def test_years_without_a_coin_are_told(qtbot: QtBot, desk: Desk) -> None:
    dialog = opened(qtbot, desk, "quarters")
    dialog.fields.first.setText("1933")
    dialog.fields.last.setText("1933")
    qtbot.waitUntil(lambda: not dialog._timer.isActive())
    assert "was struck in those years" in dialog.fields.years_field.fault
    assert not dialog.make.isEnabled()


def test_a_name_can_be_cleared_and_typed_anew(qtbot: QtBot, desk: Desk) -> None:
    dialog = opened(qtbot, desk)
    name = dialog.fields.name
    suggested = name.text()
    dialog.activateWindow()
    QTest.qWaitForWindowActive(dialog)
    name.setFocus()
    name.selectAll()
    qtbot.keyClick(name, Key.Key_Delete)
    assert (name.text(), name.placeholderText()) == ("", suggested)
    assert not dialog.make.isEnabled()
    qtbot.keyClicks(name, "Jar")
    assert name.text() == "Jar"
    name.selectAll()
    qtbot.keyClick(name, Key.Key_Delete)
    dialog.search.setFocus()
    assert name.text() == suggested
    assert dialog.make.isEnabled()


def test_a_name_of_ones_own_is_kept(qtbot: QtBot, desk: Desk) -> None:
    dialog = opened(qtbot, desk)
    dialog.fields.name.clear()
    qtbot.keyClicks(dialog.fields.name, "Grandmother's")
    dialog.fields.last.setText("1964")
    assert dialog.fields.name.text() == "Grandmother's"


def test_escape_leaves_without_an_album(qtbot: QtBot, desk: Desk) -> None:
    dialog = opened(qtbot, desk)
    qtbot.keyClick(dialog.search, Key.Key_Escape)
    assert not dialog.isVisible()
    assert dialog.made is None
    assert collection_of(desk).albums() == []


def test_the_search_and_its_list_go_by_keys(qtbot: QtBot, desk: Desk) -> None:
    dialog = opened(qtbot, desk, "")
    assert dialog.series_list.count() == len(library_ids())
    before = dialog.series_list.currentItem().text()
    qtbot.keyClick(dialog.search, Key.Key_Down)
    assert dialog.series_list.currentItem().text() != before
    qtbot.keyClicks(dialog.search, "1998 quarter")
    assert [dialog.series_list.item(i).text() for i in range(dialog.series_list.count())] == [
        "Washington quarters"
    ]
    assert dialog.fields.name.text() == "Washington quarters 1932–1998"
    dialog.search.setText("florins")
    assert dialog._series_field.fault == "No series is called that."


def test_the_series_whose_title_has_the_word_is_chosen(qtbot: QtBot, desk: Desk) -> None:
    dialog = opened(qtbot, desk, "dimes")
    assert dialog.series_list.currentItem().text() == "Roosevelt dimes"
    dialog.search.clear()
    qtbot.keyClicks(dialog.search, "cents")  # nickels are five of them
    assert dialog.series_list.count() > 1
    assert dialog.series_list.currentItem().text() == "Lincoln cents"
    assert dialog.fields.name.text() == "Lincoln cents 1909–2025"


def test_the_dialog_can_be_asked(qtbot: QtBot, desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(NewAlbumDialog, "exec", lambda dialog: dialog.make.click())
    made = NewAlbumDialog.ask(None, desk)
    assert made is not None
    assert collection_of(desk).album_view(made).album.series is not None
    QApplication.sendPostedEvents(None, 0)


def test_every_control_has_a_name(qtbot: QtBot, desk: Desk) -> None:
    dialog = opened(qtbot, desk)
    controls = [
        dialog.search,
        dialog.series_list,
        dialog.fields.name,
        dialog.fields.first,
        dialog.fields.last,
    ]
    controls += [
        dialog.fields.target,
        dialog.fields.per_row,
        dialog.fields.rows,
        dialog.preview.leaf,
        dialog.fields.varieties,
    ]
    assert all(control.accessibleName() for control in controls)


def test_the_suggested_name_says_what_is_in_the_album() -> None:
    assert suggested_name(nickels(), None) == "Nickels 1938–2005"
    assert suggested_name(nickels(), (1938, 1964)) == "Nickels 1938–1946"
    assert suggested_name(nickels(), (1965, 1965)) == "Nickels 1965"
    assert suggested_name(tokens(), None) == "Harbour tokens"
    others = [nickels(), replace(nickels(), id=SeriesId("more"), title="Bison nickels, 1913 on")]
    assert suggested_name(nickels(), (1965, 1965), others) == "Jefferson nickels 1965"
    assert suggested_name(others[1], (1965, 1965), others) == "Bison nickels 1965"
    assert suggested_name(nickels(), (1965, 1965), [nickels(), tokens()]) == "Nickels 1965"
    assert suggested_name(tokens(), (1902, 1906)) == "Harbour tokens Tide 10–Tide 14"
    assert free_name("Nickels", ["Cents", "nickels"]) == "Nickels (2)"


def test_dates_are_read_as_struck_as_years_or_in_short() -> None:
    assert read_years(tokens(), "tide 10", "1906") == (1902, 1906)
    assert read_years(nickels(), "38", "46") == (1938, 1946)
    assert read_years(nickels(), "", "") is None
    with pytest.raises(BadEntry, match="is no date of this series"):
        read_years(nickels(), "1938", "4 6")


def test_a_row_map_begins_as_the_leaves_stand_and_says_what_does_not_fit(
    qtbot: QtBot, desk: Desk
) -> None:
    dialog = opened(qtbot, desk)
    fields = dialog.fields
    fields.first.setText("1938")
    fields.last.setText("1940")
    fields.arrangement.pick(ArrangementKind.RUNNING)
    previewed(qtbot, dialog)
    fields.arrangement.pick(ArrangementKind.ROW_MAP)
    assert fields.row_map.toPlainText() == "9"
    fields.row_map.setPlainText("4 3")
    previewed(qtbot, dialog)
    assert "2 slots are over" in fields.arrangement_field._words.text()
    assert dialog.make.isEnabled()
    fields.row_map.setPlainText("4 z")
    assert "row 2" in fields.arrangement_field.fault
    assert not dialog.make.isEnabled()
    fields.row_map.setPlainText("4 5")
    previewed(qtbot, dialog)
    dialog.make.click()
    assert dialog.made is not None
    shape = collection_of(desk).album_view(dialog.made).album.arrangement
    assert shape.text == "map:4 5"


def test_dates_only_asks_for_one_slot_a_date(qtbot: QtBot, desk: Desk) -> None:
    dialog = opened(qtbot, desk)
    dialog.fields.arrangement.pick(ArrangementKind.DATES_ONLY)
    assert dialog.fields.any_mint.isChecked()


def test_what_is_said_of_a_row_map_is_in_sight(qtbot: QtBot, desk: Desk) -> None:
    dialog = opened(qtbot, desk)
    previewed(qtbot, dialog)
    field, port = dialog.fields.arrangement_field, dialog._scroll.viewport()
    dialog.fields.arrangement.setFocus()
    dialog.fields.arrangement.pick(ArrangementKind.ROW_MAP)
    dialog.fields.row_map.setFocus()

    def is_in_sight() -> bool:
        return field.mapTo(port, field.rect().bottomLeft()).y() < port.height()

    dialog.fields.row_map.setPlainText("9 x")
    assert "no count" in field.fault
    qtbot.waitUntil(is_in_sight)
    dialog.fields.row_map.setPlainText("9 9")
    qtbot.waitUntil(lambda: "175 slots are over" in field._words.text() and is_in_sight())
