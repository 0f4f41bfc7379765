"""Editing an album in its dialog: what it shows is what is done, and coins are named first."""

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from core.app.operations import add_and_place, order_coin, set_pinned, set_target
from core.lookup.parse import parse_entry
from core.model.album import AlbumId, Target
from core.model.arrangement import Arrangement, ArrangementKind
from core.model.plan_album import ANY_MINT
from gui.album.edit_album import EditAlbumDialog
from gui.desk import Desk
from tests.gui.desk_material import NICKELS, a_desk, an_album, collection_of


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    """Nickels 1940–1945 at VF-20; 1943-D holds a VG-8, pinned; 1941 holds a VF-20."""
    desk = a_desk(tmp_path)
    album = an_album(desk, "War", NICKELS, (1940, 1945), Target(20))
    put(desk, album, "1943-D", "1943-D vg8")
    put(desk, album, "1941", "1941 vf20")
    an_album(desk, "Other", NICKELS, (1950, 1951))
    return desk


def put(desk: Desk, album: AlbumId, label: str, entry: str) -> None:
    collection = collection_of(desk)
    view = collection.album_view(album)
    slot = collection.find_slot(view.album, label)
    collection.run(add_and_place(parse_entry(entry, [view.series]).coin, slot.id))


def war(desk: Desk) -> AlbumId:
    return collection_of(desk).albums()[0].id


def opened(qtbot: QtBot, desk: Desk, album: AlbumId | None = None) -> EditAlbumDialog:
    dialog = EditAlbumDialog(None, desk, album or war(desk))
    qtbot.addWidget(dialog)
    dialog.show()
    planned(qtbot, dialog)
    return dialog


def planned(qtbot: QtBot, dialog: EditAlbumDialog) -> None:
    qtbot.waitUntil(lambda: not dialog._timer.isActive())


def test_it_opens_with_the_album_as_it_is(qtbot: QtBot, desk: Desk) -> None:
    dialog = opened(qtbot, desk)
    fields = dialog.fields
    assert (fields.name.text(), fields.first.text(), fields.last.text()) == ("War", "1940", "1945")
    assert fields.target.text() == "VF-20"
    assert all(chip.isChecked() for chip in fields.mint_chips.values())
    assert not fields.any_mint.isChecked()
    assert not dialog.change.isEnabled()
    assert not dialog.falling.isVisible()
    assert dialog.summary.text() == "18 slots stay."


@pytest.mark.parametrize("mints", [("D",), ("P", "S"), ANY_MINT])
def test_chips_show_the_mints_that_the_album_holds(
    qtbot: QtBot, desk: Desk, mints: tuple[str, ...]
) -> None:
    shape = Arrangement(ArrangementKind.RUNNING, 7, 4)
    album = an_album(desk, "Some", NICKELS, (1938, 1942), None, shape, mints=mints)
    dialog = opened(qtbot, desk, album)
    fields = dialog.fields
    assert fields.any_mint.isChecked() is (mints == ANY_MINT)
    on = tuple(m for m, chip in fields.mint_chips.items() if chip.isChecked())
    assert on == (() if mints == ANY_MINT else mints)
    assert fields.arrangement.choice() is ArrangementKind.RUNNING
    assert (fields.per_row.value(), fields.rows.value()) == (7, 4)


def test_what_is_previewed_is_what_the_album_becomes(qtbot: QtBot, desk: Desk) -> None:
    dialog = opened(qtbot, desk)
    dialog.fields.first.setText("1938")
    dialog.fields.name.setText("Before and in the war")
    dialog.note.setPlainText("from the jar")
    dialog.fields.arrangement.pick(ArrangementKind.RUNNING)
    planned(qtbot, dialog)
    assert dialog.summary.text() == "6 slots more, 18 slots stay."
    shown = [dialog.preview.leaf._plan.lines[n] for n in dialog.preview.leaf._plan.names]
    codes = bytes(c & 15 for c in dialog.preview.leaf._plan.codes)
    dialog.change.click()
    assert dialog.is_changed
    view = collection_of(desk).album_view(war(desk))
    assert (view.album.name, view.album.note) == ("Before and in the war", "from the jar")
    assert [view.plan.lines[n] for n in view.plan.names] == shown
    assert bytes(c & 15 for c in view.plan.codes) == codes
    assert collection_of(desk).undo_label == "edit the album"


def test_enter_leads_to_the_question_that_is_open(qtbot: QtBot, desk: Desk) -> None:
    dialog = opened(qtbot, desk)
    dialog.activateWindow()
    QTest.qWaitForWindowActive(dialog)
    dialog.fields.first.setText("1942")
    planned(qtbot, dialog)
    assert dialog.falling.isVisible()
    QTest.keyClick(dialog.fields.last, Qt.Key.Key_Return)
    assert dialog.agree.hasFocus()
    assert "Space" in dialog._trouble.text()
    QTest.keyClick(dialog.agree, Qt.Key.Key_Space)
    assert not dialog._trouble.text()
    QTest.keyClick(dialog.agree, Qt.Key.Key_Return)
    assert dialog.is_changed


def test_coins_that_fall_out_are_named_and_must_be_agreed_to(qtbot: QtBot, desk: Desk) -> None:
    collection = collection_of(desk)
    view = collection.album_view(war(desk))
    collection.run(set_pinned([collection.find_slot(view.album, "1943-D").id], True))
    dialog = opened(qtbot, desk)
    dialog.fields.last.setText("1940")
    planned(qtbot, dialog)
    named = [dialog.coins.item(n).text() for n in range(dialog.coins.count())]
    assert named == ["1943-D   VG-8, pinned   coin 1", "1941   VF-20   coin 2"]
    assert dialog.falling_title.text() == "2 coins fall out"
    assert dialog.falling_hint.text() == "1 of them is pinned."
    assert not dialog.change.isEnabled()
    dialog.agree.click()
    assert dialog.change.isEnabled()
    dialog.fields.last.setText("1942")
    planned(qtbot, dialog)
    assert not dialog.agree.isChecked()
    assert [dialog.coins.item(n).text() for n in range(dialog.coins.count())] == named[:1]
    dialog.agree.click()
    dialog.change.click()
    assert dialog.is_changed
    assert [c.id for c in collection.spares_of(NICKELS)] == [1]


def test_a_faulty_field_or_a_name_that_is_taken_holds_it_back(qtbot: QtBot, desk: Desk) -> None:
    dialog = opened(qtbot, desk)
    dialog.fields.name.setText("other")
    dialog.fields.name.textEdited.emit("other")
    planned(qtbot, dialog)
    assert "called other already" in dialog.fields.name_field.fault
    assert not dialog.change.isEnabled()
    dialog.fields.name.setText("War")
    dialog.fields.last.setText("19x0")
    planned(qtbot, dialog)
    assert dialog.fields.years_field.fault
    assert not dialog.change.isEnabled()
    dialog.fields.first.setText("2090")
    dialog.fields.last.setText("2099")
    planned(qtbot, dialog)
    assert dialog.fields.years_field.fault
    assert not dialog.change.isEnabled()


def test_an_order_for_a_slot_that_would_go_is_told(qtbot: QtBot, desk: Desk) -> None:
    collection = collection_of(desk)
    view = collection.album_view(war(desk))
    slot = collection.find_slot(view.album, "1945-S")
    collection.run(order_coin(parse_entry("1945-S vf20", [view.series]).coin, slot.id))
    dialog = opened(qtbot, desk)
    dialog.fields.last.setText("1944")
    planned(qtbot, dialog)
    assert "on order for 1945-S" in dialog._trouble.text()
    assert not dialog.change.isEnabled()


def test_slots_with_a_target_of_their_own_are_told_of(qtbot: QtBot, desk: Desk) -> None:
    collection = collection_of(desk)
    view = collection.album_view(war(desk))
    slot = collection.find_slot(view.album, "1941")
    collection.run(set_target([slot.id], Target(63)))
    dialog = opened(qtbot, desk)
    assert dialog.summary.text() == "18 slots stay. One slot with its own target keeps it."
    dialog.fields.target.setText("f12")
    planned(qtbot, dialog)
    dialog.change.click()
    targets = {v.slot.label: v.slot.target for v in collection.album_view(war(desk)).slots}
    assert targets.pop("1941") == Target(63)
    assert set(targets.values()) == {Target(12)}


def test_leaving_it_changes_nothing(qtbot: QtBot, desk: Desk) -> None:
    before = collection_of(desk).content_hash()
    dialog = opened(qtbot, desk)
    dialog.fields.last.setText("1941")
    dialog.reject()
    assert not dialog.is_changed
    assert collection_of(desk).content_hash() == before


def test_what_was_agreed_to_stays_agreed_while_the_same_coins_fall_out(
    qtbot: QtBot, desk: Desk
) -> None:
    dialog = opened(qtbot, desk)
    dialog.fields.first.setText("1942")
    planned(qtbot, dialog)
    dialog.agree.click()
    dialog.note.setPlainText("shorter now")
    planned(qtbot, dialog)
    assert dialog.agree.isChecked()
    assert dialog.change.isEnabled()
    dialog.fields.first.setText("1944")
    planned(qtbot, dialog)
    assert not dialog.agree.isChecked()
