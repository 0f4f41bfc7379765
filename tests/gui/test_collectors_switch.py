"""The switch for issues sold to collectors in the album dialogs, and the note of a series."""

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from core.app.operations import add_and_place
from core.catalogue.load import load_series
from core.lookup.parse import parse_entry
from core.model.issue import SeriesId
from gui.album.album_choice import collectors_text
from gui.album.edit_album import EditAlbumDialog
from gui.album.new_album import NewAlbumDialog
from gui.album.series_note import MOST_LINES, SeriesNote
from gui.desk import Desk
from tests.gui.desk_material import a_desk, an_album, collection_of

KENNEDY = SeriesId("us-half-kennedy")


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return a_desk(tmp_path)


def new(qtbot: QtBot, desk: Desk, series: str) -> NewAlbumDialog:
    dialog = NewAlbumDialog(None, desk)
    qtbot.addWidget(dialog)
    dialog.show()
    dialog.search.setText(series)
    return dialog


def settled(qtbot: QtBot, dialog: NewAlbumDialog | EditAlbumDialog) -> None:
    qtbot.waitUntil(lambda: not dialog._timer.isActive())


def test_the_switch_is_there_where_the_series_has_such_issues(qtbot: QtBot, desk: Desk) -> None:
    dialog = new(qtbot, desk, "kennedy")
    field, chip = dialog.fields.collectors_field, dialog.fields.collectors
    assert field.isVisible()
    assert not chip.isChecked()
    assert chip.accessibleName() == "also those sold to collectors"
    dialog.search.setText("franklin")
    assert not field.isVisible()
    dialog.search.setText("innovation")  # all of them were: no switch
    assert not field.isVisible()


def test_its_key_switches_it_and_the_preview_follows(qtbot: QtBot, desk: Desk) -> None:
    dialog = new(qtbot, desk, "kennedy")
    settled(qtbot, dialog)
    before = int(dialog.preview.count.text().split()[0])
    dialog.activateWindow()
    qtbot.waitUntil(dialog.isActiveWindow)
    QTest.keyClick(dialog.search, Qt.Key.Key_C, Qt.KeyboardModifier.AltModifier)
    qtbot.waitUntil(dialog.fields.collectors.isChecked)
    settled(qtbot, dialog)
    assert int(dialog.preview.count.text().split()[0]) == before + 42
    assert list(dialog.fields.mint_chips) == ["P", "D", "S"]
    assert all(chip.isChecked() for chip in dialog.fields.mint_chips.values())
    dialog.make.click()
    assert dialog.made is not None
    view = collection_of(desk).album_view(dialog.made)
    assert {"1970-D", "1776-1976-S", "2005-P"} <= {v.slot.label for v in view.slots}


def test_mints_that_were_left_out_stay_out(qtbot: QtBot, desk: Desk) -> None:
    dialog = new(qtbot, desk, "kennedy")
    fields = dialog.fields
    fields.mint_chips["P"].click()
    fields.collectors.click()
    on = [mint for mint, chip in fields.mint_chips.items() if chip.isChecked()]
    assert on == ["D"]
    fields.any_mint.click()
    fields.collectors.click()
    assert fields.any_mint.isChecked()
    assert not any(chip.isChecked() for chip in fields.mint_chips.values())
    assert list(fields.mint_chips) == ["P", "D"]


def test_another_series_starts_without_them(qtbot: QtBot, desk: Desk) -> None:
    dialog = new(qtbot, desk, "kennedy")
    dialog.fields.collectors.click()
    dialog.search.setText("national park")
    assert dialog.fields.collectors_field.isVisible()
    assert not dialog.fields.collectors.isChecked()
    assert list(dialog.fields.mint_chips) == ["P", "D", "W"]


def test_an_album_gains_and_loses_them_by_the_switch(qtbot: QtBot, desk: Desk) -> None:
    album = an_album(desk, "Halves", KENNEDY, (1968, 1972))
    collection = collection_of(desk)

    def edited(summary: str) -> EditAlbumDialog:
        dialog = EditAlbumDialog(None, desk, album)
        qtbot.addWidget(dialog)
        dialog.show()
        settled(qtbot, dialog)
        dialog.fields.collectors.click()
        settled(qtbot, dialog)
        assert dialog.summary.text() == summary
        return dialog

    dialog = edited("One slot more, 6 slots stay.")
    assert dialog.change.isEnabled()
    dialog.change.click()
    assert dialog.is_changed
    view = collection.album_view(album)
    slot = next(v.slot for v in view.slots if v.slot.label == "1970-D")
    collection.run(add_and_place(parse_entry("1970-D ms65", [view.series]).coin, slot.id))
    dialog = edited("One slot goes, 6 slots stay.")
    assert not dialog.fields.collectors.isChecked()  # it stood switched on before the click
    assert not dialog.change.isEnabled()
    assert "1970-D" in dialog.coins.item(0).text()
    dialog.agree.click()
    dialog.change.click()
    assert "1970-D" not in {v.slot.label for v in collection.album_view(album).slots}


def test_the_hint_tells_how_many_there_are() -> None:
    assert collectors_text(load_series(KENNEDY)) == "42 that never went to banks: 1970-D to 2020-D"
    dimes = load_series(SeriesId("us-dime-barber"))
    assert collectors_text(dimes) == "1 that never went to banks: 1894-S"
    assert collectors_text(load_series(SeriesId("us-half-franklin"))) == ""


def test_the_note_of_the_chosen_series_stands_below_it(qtbot: QtBot, desk: Desk) -> None:
    dialog = new(qtbot, desk, "swiss")
    note = dialog.series_note
    assert note.isVisible()
    assert note.whole_text.startswith("The silver francs to 1967 are not listed.")
    dialog.search.setText("kennedy")
    assert not note.isVisible()
    dialog.search.setText("australian")
    assert note.text().endswith("…")
    whole = load_series(SeriesId("au-penny")).note
    assert note.accessibleName() == whole
    assert note.toolTip()
    assert whole.startswith(note.text()[:-1])


def test_a_note_wraps_is_cut_and_is_plain_text(qtbot: QtBot) -> None:
    note = SeriesNote()
    qtbot.addWidget(note)
    assert note.isHidden()
    note.resize(240, 200)
    note.show_text("<b>Short</b> & plain")
    assert note.text() == "<b>Short</b> & plain"
    assert note.textFormat() is Qt.TextFormat.PlainText
    assert note.toolTip() == ""
    note.show_text("<i>" + "word " * 60)
    assert note.text().endswith("…")
    assert note.toolTip().startswith("&lt;i&gt;word")
    line_px = note.fontMetrics().lineSpacing()
    assert note.heightForWidth(240) <= MOST_LINES * line_px + 4
    note.resize(2400, 200)
    assert note.text() == note.whole_text
    assert note.toolTip() == ""
