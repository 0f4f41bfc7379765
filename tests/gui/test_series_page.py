"""The page of series: the list, the card, newer figures, a year more, one's own."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

from core.app.own_series import save_series
from core.catalogue.draft import SeriesDraft
from core.catalogue.load import library_ids, load_series
from core.catalogue.shares import confidence_shares
from core.model.issue import SeriesId
from gui.album.new_album import NewAlbumDialog
from gui.desk import Desk
from gui.series import dialog
from gui.series.dialog import SeriesDialog
from gui.series.editor import SeriesEditor
from gui.series.known import DATE, MINTAGE, RESTS_ON, SOURCE
from gui.text_dialog import TextDialog
from tests.gui.desk_material import CENTS, NICKELS, a_desk, an_album, collection_of
from tests.gui.series_material import harbour_draft, with_older_copy
from tests.gui.window_material import OpenWindow

Key = Qt.Key
HARBOUR = SeriesId("harbour-pennies")


@pytest.fixture
def desk(qapp: QApplication, tmp_path: Path) -> Iterator[Desk]:
    desk = a_desk(tmp_path)
    an_album(desk)
    an_album(desk, "Nickels on", years=None)
    yield desk
    desk.shut_down()


def open_page(desk: Desk, choose: SeriesId | None = None) -> SeriesDialog:
    page = SeriesDialog(None, desk, choose)
    page.show()
    show_card(page)
    return page


def show_card(page: SeriesDialog) -> None:
    page._read_facts()
    QApplication.processEvents()


@pytest.fixture
def page(desk: Desk) -> Iterator[SeriesDialog]:
    page = open_page(desk)
    yield page
    page.close()
    page.deleteLater()


def shown(page: SeriesDialog) -> SeriesId:
    assert page._shown is not None
    return page._shown.series.id


# ---- the list and the card ----------------------------------------------------------------------


def test_the_list_has_every_series_and_says_which_are_used_or_own(desk: Desk) -> None:
    collection_of(desk).run(save_series(harbour_draft()))
    page = open_page(desk)
    details = {line.series.id: line.detail for line in page._lines}
    assert set(details) == {*library_ids(), HARBOUR}
    assert details[NICKELS] == "1938–2025 · 279 issues · in use"
    assert details[HARBOUR] == "1900–1912 · 26 issues · your own"
    assert page.sentence.text() == f"{len(library_ids())} in the library · 1 of your own"
    page.deleteLater()


def test_the_search_finds_by_title_and_says_when_nothing_is_called_that(page: SeriesDialog) -> None:
    QTest.keyClicks(page.search, "mercury")
    assert page.list.count() == 1
    assert shown(page) == "us-dime-mercury"
    page.search.setText("doubloon")
    assert page.list_pages.currentWidget() is page.no_match
    assert not page.card.isVisible()
    page.search.clear()
    QTest.keyClick(page.search, Key.Key_Down)
    assert page.list.currentRow() == 1


def test_the_card_tells_the_share_and_every_row(page: SeriesDialog) -> None:
    series = load_series(NICKELS)
    assert page.card.shares.whole_text == confidence_shares(series).text
    assert len(page.card.table.texts.rows) == len(series.issues)
    first = page.card.table.texts.rows[0]
    assert (first[DATE], first[MINTAGE], first[RESTS_ON]) == ("1938", "19,496,000", "■ published")


def test_rows_are_filtered_and_sorted(page: SeriesDialog) -> None:
    card, series = page.card, load_series(NICKELS)
    QTest.keyClick(page, Key.Key_F, Qt.KeyboardModifier.AltModifier)
    QTest.keyClick(page, Key.Key_F, Qt.KeyboardModifier.AltModifier)
    recalled = [i for i in series.issues if i.confidence.value == "recalled"]
    assert card.table.shown == len(recalled)
    card._show_all()
    QTest.keyClick(page, Key.Key_F, Qt.KeyboardModifier.ControlModifier)
    assert page.focusWidget() is card.search
    card.search.setText("1943 denver")
    card._find()
    assert {row[DATE] for row in card.table.texts.rows} == {"1943"}
    assert card.count.text() == f"{card.table.shown} of {len(series.issues)}"
    card.search.setText("1850")
    card._find()
    assert card.row_pages.currentWidget() is card.no_rows
    card.no_rows.button.click()
    card.table.setCurrentIndex(card.table.texts.index(0, MINTAGE))
    QTest.keyClick(card.table, Key.Key_S, Qt.KeyboardModifier.AltModifier)
    most = max(i.mintage for i in series.issues if i.mintage is not None)
    assert card.table.texts.rows[0][MINTAGE] == f"{most:,}"


def test_a_variety_shows_its_markers(desk: Desk) -> None:
    page = open_page(desk, CENTS)
    page.card.show_tab(1)
    varieties = load_series(CENTS).varieties
    at = next(at for at, v in enumerate(varieties) if len(v.markers) > 1)
    page.card.varieties.setCurrentIndex(page.card.varieties.texts.index(at, 0))
    entry = page.card.look.entries[0]
    assert entry.entry.name == varieties[at].name
    assert [row.marker.see for row in entry.rows] == [m.see for m in varieties[at].markers]
    page.deleteLater()


def test_every_control_of_the_page_has_a_name(page: SeriesDialog) -> None:
    nameless = [
        type(widget).__name__
        for widget in page.findChildren(QWidget)
        if widget.focusPolicy() & Qt.FocusPolicy.TabFocus
        and widget.isVisible()
        and not QAccessible.queryAccessibleInterface(widget).text(QAccessible.Text.Name)
    ]
    assert nameless == []


# ---- newer figures, a year more -----------------------------------------------------------------


def test_newer_figures_are_named_with_the_albums_that_grow_and_taken(desk: Desk) -> None:
    with_older_copy(desk)
    page = open_page(desk, NICKELS)
    assert page.sentence.text().endswith("newer figures for 1")
    told = page.update_band.label.text()
    assert "mintage 1 becomes 19,496,000" in told
    assert "Nickels on grows by the new slots." in told
    assert page._lines[0].detail.startswith("newer figures in the library")
    QTest.keyClick(page, Key.Key_T, Qt.KeyboardModifier.AltModifier)
    assert collection_of(desk).series(NICKELS) == load_series(NICKELS)
    assert not page.update_band.isVisible()
    assert page.said.text().startswith("The newer figures are taken. Nickels on grew")
    QTest.keyClick(page, Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert page.update_band.isVisible()
    page.deleteLater()


def test_what_was_done_is_still_said_once_the_series_are_read_anew(page: SeriesDialog) -> None:
    page.said.say("The series is saved.")
    page._read()
    assert page.said.text() == "The series is saved."
    page.list.setCurrentRow(2)
    assert page.said.text() == ""


def test_what_the_current_row_rests_on_is_said_in_full(page: SeriesDialog) -> None:
    page.card.table.setCurrentIndex(page.card.table.model().index(1, DATE))
    said, cells = page.card.row_source.accessibleName(), page.card.table._issues.rows[1]
    assert cells[RESTS_ON].split()[-1] in said
    assert said.endswith(cells[SOURCE])
    page.card.search.setText("no such row")
    page.card._find()
    assert not page.card.table.current_source


def test_keys_of_the_page_work_while_the_keys_are_in_its_search(
    page: SeriesDialog, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[object] = []
    monkeypatch.setattr(dialog, "ask_export", lambda *args: asked.append(args))
    collection_of(page._desk).run(save_series(harbour_draft()))
    page.activateWindow()
    QApplication.processEvents()
    for field in (page.search, page.card.search):
        field.setFocus()
        QTest.keyClick(field, Key.Key_E, Qt.KeyboardModifier.ControlModifier)
    assert len(asked) == 2
    QTest.keyClick(page.search, Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert "Undone" in page.said.text()


def test_a_year_is_added_and_albums_grow(
    page: SeriesDialog, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = []

    def ask(*args: object) -> list[str]:
        asked.append(args)
        return ["2026"]

    monkeypatch.setattr(TextDialog, "ask", ask)
    albums = collection_of(desk).albums()
    slots = [len(collection_of(desk).album_view(album.id).slots) for album in albums]
    page.add_year()
    assert "Nickels on grows by the new slots." in str(asked[0][4])
    assert collection_of(desk).series(NICKELS).dates[-1] == ("2026", 2026)
    grown = [len(collection_of(desk).album_view(album.id).slots) for album in albums]
    assert grown == [slots[0], slots[1] + 2]
    assert not page.update_band.isVisible()


def test_a_year_cannot_be_added_to_a_series_that_no_album_is_of(desk: Desk) -> None:
    page = open_page(desk, CENTS)
    assert not page.year_button.isEnabled()
    assert "Make an album" in page.year_button.toolTip()
    page.deleteLater()


# ---- one's own ----------------------------------------------------------------------------------


def test_a_copy_is_edited_saved_chosen_and_deleted(
    page: SeriesDialog, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    drafts: list[SeriesDraft] = []

    def ask(_parent: object, desk: Desk, draft: SeriesDraft, *_rest: object) -> SeriesId:
        drafts.append(draft)
        collection_of(desk).run(save_series(replace(draft, id="my-nickels")))
        return SeriesId("my-nickels")

    monkeypatch.setattr(SeriesEditor, "ask", ask)
    QTest.keyClick(page, Key.Key_C, Qt.KeyboardModifier.AltModifier)
    assert drafts[0].title == "Jefferson nickels, my own"
    assert drafts[0].id == ""
    assert shown(page) == "my-nickels"
    assert page.edit_button.isVisible()
    page.delete_series()
    assert page.said.text().startswith("Jefferson nickels, my own is deleted")
    assert SeriesId("my-nickels") not in {line.series.id for line in page._lines}


def test_where_nothing_may_be_changed_nothing_is_offered(desk: Desk) -> None:
    collection_of(desk).run(save_series(harbour_draft()))
    desk.look_back("A past day is shown.")
    page = open_page(desk, HARBOUR)
    for button in (page.new_button, page.import_button, page.copy_button, page.edit_button,
                   page.year_button):  # fmt: skip
        assert not button.isEnabled()
    for act in (page.new_series, page.import_series, page.copy_series, page.edit_series,
                page.add_year):  # fmt: skip
        act()
    assert page.isVisible()
    page.deleteLater()


def test_a_new_album_may_begin_with_a_series_of_ones_own(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    def ask(_parent: object, desk: Desk, *_rest: object) -> SeriesId:
        collection_of(desk).run(save_series(harbour_draft()))
        return HARBOUR

    monkeypatch.setattr(SeriesEditor, "ask", ask)
    dialog = NewAlbumDialog(None, desk)
    dialog.show()
    QApplication.processEvents()
    QTest.keyClick(dialog, Key.Key_S, Qt.KeyboardModifier.AltModifier)
    assert dialog._series is not None
    assert dialog._series.id == HARBOUR
    assert dialog.fields.name.text().startswith("Harbour pennies")
    dialog.close()
    dialog.deleteLater()


def test_the_page_opens_from_the_window_by_its_key(
    opened: OpenWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[object] = []
    monkeypatch.setattr(SeriesDialog, "ask", lambda *args: asked.append(args))
    opened.window.activateWindow()
    action = opened.duties.actions["series"]
    assert [key.toString() for key in action.shortcuts()] == ["Ctrl+Shift+L"]
    action.trigger()
    assert len(asked) == 1
    opened.duties._fill_menu()
    assert action in opened.duties.menu.actions()
