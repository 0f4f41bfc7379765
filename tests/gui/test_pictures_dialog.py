"""The dialog of pictures and leaf sheets: what is shown is what is saved."""

import io
import xml.etree.ElementTree as ET
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pypdf
import pytest
from PIL import Image
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from pytestqt.qtbot import QtBot

from core.app import pictures
from core.app.operations import stock_slots
from core.app.picture_order import Kind
from core.catalogue.load import load_series
from core.model.album import AlbumId, Target
from core.model.grade import parse_grade
from core.model.issue import SeriesId
from core.printing.png import page_sizes
from gui.desk import Desk
from gui.pictures import dialog as dialog_module
from gui.pictures.choices import ALBUM, CARD, LEAF, REAL
from gui.pictures.dialog import PicturesDialog, file_name
from gui.pictures.real_choices import NO_DIAMETER
from gui.work import Runner
from tests.gui.desk_material import a_desk, an_album, collection_of

Key = Qt.Key
CTRL, SHIFT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.ShiftModifier
PNG, SVG, PDF = range(3)


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    desk = a_desk(tmp_path)
    album = an_album(desk, target=Target(20))
    slots = [v.slot.id for v in collection_of(desk).album_view(album).slots]
    collection_of(desk).run(stock_slots(slots[:20], parse_grade("vf30")))
    return desk


def opened(qtbot: QtBot, desk: Desk, leaf: int | None = 2) -> PicturesDialog:
    dialog = PicturesDialog(None, desk, collection_of(desk).albums()[0].id, leaf)
    qtbot.addWidget(dialog)
    dialog.show()
    return dialog


@pytest.fixture
def chosen(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The names that were offered; what is chosen is that name in the test's folder."""
    offered: list[str] = []

    def choose(_parent: object, _title: str, start: str, *_rest: str) -> Path:
        offered.append(Path(start).name)
        return tmp_path / Path(start).name

    monkeypatch.setattr(dialog_module, "choose_new_file", choose)
    return offered


def test_the_picture_saved_has_the_size_that_is_told(
    qtbot: QtBot, desk: Desk, chosen: list[str], tmp_path: Path
) -> None:
    dialog = opened(qtbot, desk)
    assert not dialog.picture.pixmap.isNull()
    for button, told in ((0, "1,240 × 892 pixels"), (2, "3,720 × 2,676 pixels")):
        dialog.choices.scale.buttons[button].click()
        assert dialog._told.text() == told
        qtbot.keyClick(dialog, Key.Key_S, CTRL)
        with Image.open(tmp_path / chosen[-1]) as picture:
            assert f"{picture.width:,} × {picture.height:,} pixels" == told
    assert chosen[-1] == "Nickels 1938–1964.png"
    assert dialog._said.text() == "Saved as Nickels 1938–1964.png."


def test_any_width_can_be_typed_and_one_too_large_is_told(qtbot: QtBot, desk: Desk) -> None:
    dialog = opened(qtbot, desk)
    dialog.choices.width_px.setFocus()
    qtbot.keyClicks(dialog.choices.width_px, "620")
    qtbot.keyClick(dialog.choices.width_px, Key.Key_Return)
    assert dialog.isVisible()
    assert dialog._told.text() == "620 × 446 pixels"
    assert dialog.choices.scale.choice() == -1
    qtbot.keyClicks(dialog.choices.width_px, "00")
    qtbot.keyClick(dialog.choices.width_px, Key.Key_Return)
    assert "is too large to draw" in dialog._said.text()
    assert not dialog.save_button.isEnabled()
    dialog.choices.scale.buttons[0].click()
    assert dialog._said.text() == ""
    assert dialog.save_button.isEnabled()


def test_a_leaf_is_saved_as_svg_by_its_name(
    qtbot: QtBot, desk: Desk, chosen: list[str], tmp_path: Path
) -> None:
    dialog = opened(qtbot, desk)
    dialog.choices.whats[LEAF].click()
    dialog.choices.kind.buttons[SVG].click()
    assert dialog._told.text() == "Sharp at any size"
    assert not dialog.copy_button.isEnabled()
    dialog.save_button.click()
    assert chosen == ["Nickels 1938–1964, leaf 2.svg"]
    root = ET.fromstring((tmp_path / chosen[0]).read_bytes())
    labels = {e.get("aria-label") for e in root.iter()}
    assert "Leaf 2" in labels
    assert "Leaf 1" not in labels


def test_without_a_slot_there_is_no_leaf_to_choose(qtbot: QtBot, desk: Desk) -> None:
    dialog = opened(qtbot, desk, None)
    assert not dialog.choices.whats[LEAF].isEnabled()
    assert dialog.choices.what == ALBUM


def test_sheets_show_the_pages_that_are_saved(
    qtbot: QtBot, desk: Desk, chosen: list[str], tmp_path: Path
) -> None:
    dialog = opened(qtbot, desk)
    dialog.choices.kind.buttons[PDF].click()
    dialog.choices.paper.buttons[2].click()
    pages = dialog.pages
    assert dialog.stack.currentWidget() is pages
    qtbot.waitUntil(lambda: pages.is_drawn)
    assert dialog._told.text() == f"{pages.pages} pages on A5, black on white"
    dialog.save_button.click()
    data = (tmp_path / chosen[0]).read_bytes()
    assert data == pages._data
    # ISO 216: A5 is 148 mm × 210 mm; a point is 25.4/72 mm.
    assert sorted(round(side * 25.4 / 72) for side in page_sizes(data)[0]) == [148, 210]
    qtbot.keyClick(dialog, Key.Key_PageDown)
    assert dialog._page.text() == f"page 2 of {pages.pages}"
    assert not dialog.choices.size_field.isVisible()
    assert not dialog.choices.colours_field.isVisible()


def test_a_card_names_what_changed_since_the_day_typed(
    qtbot: QtBot, desk: Desk, chosen: list[str], tmp_path: Path
) -> None:
    dialog = opened(qtbot, desk)
    dialog.choices.whats[CARD].click()
    dialog.choices.kind.buttons[PDF].click()
    assert dialog.stack.currentWidget() is dialog.picture
    dialog.choices.since.setText("3 May 2025")
    dialog.choices.take_typed()
    dialog.save_button.click()
    assert chosen == ["Nickels 1938–1964, card.pdf"]
    (page,) = pypdf.PdfReader(io.BytesIO((tmp_path / chosen[0]).read_bytes())).pages
    text = page.extract_text()
    assert "SINCE 3 MAY 2025" in text
    assert "20 new" in text
    assert "have 20 of 70" in text


def test_a_day_that_is_none_is_told_and_the_last_one_stays(qtbot: QtBot, desk: Desk) -> None:
    dialog = opened(qtbot, desk)
    dialog.choices.agos["A year"].click()
    before = dialog.choices.day
    assert before is not None
    for typed in ("31.2.2026", "soon", "2999-01-01"):
        dialog.choices.since.setText(typed)
        dialog.choices.take_typed()
        assert dialog.choices.since_field.fault
        assert dialog.choices.day == before
    dialog.choices.since.clear()
    dialog.choices.take_typed()
    assert dialog.choices.since_field.fault == ""
    assert dialog.choices.day is None


def test_a_picture_is_copied_whole(qtbot: QtBot, desk: Desk) -> None:
    dialog = opened(qtbot, desk)
    dialog.choices.clear.click()
    dialog.choices.scale.buttons[0].click()
    qtbot.keyClick(dialog, Key.Key_C, CTRL | SHIFT)
    image = QGuiApplication.clipboard().image()
    assert (image.width(), image.height()) == (1240, 892)
    assert image.pixelColor(1, 1).alpha() == 0
    assert dialog._said.text() == "Copied, 1,240 × 892 pixels."


def test_a_file_of_another_kind_is_left_alone(
    qtbot: QtBot, desk: Desk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    other = tmp_path / "other.png"
    other.write_text("mine")
    monkeypatch.setattr(dialog_module, "choose_new_file", lambda *_: other)
    dialog = opened(qtbot, desk)
    dialog.save_button.click()
    assert "is there already and is no PNG" in dialog._said.text()
    assert other.read_text() == "mine"
    assert dialog.save_button.isEnabled()


def test_a_day_gone_by_is_drawn_as_it_was(qtbot: QtBot, desk: Desk) -> None:
    album = collection_of(desk).albums()[0].id
    dialog = PicturesDialog(None, desk, album, None, date(2020, 1, 1))
    qtbot.addWidget(dialog)
    dialog.show()
    assert dialog.picture.accessibleDescription() == (
        "Nickels 1938–1964: have 0 of 70 · at target 0"
    )


def test_the_window_stays_awake_while_it_draws(qtbot: QtBot, tmp_path: Path) -> None:
    """With real threads: the dialog is there at once, and the last choice is what is shown."""
    runner = Runner(_raise)
    desk = a_desk(tmp_path, runner)
    qtbot.waitUntil(lambda: desk.is_open)
    an_album(desk)
    album: AlbumId = collection_of(desk).albums()[0].id
    dialog = PicturesDialog(None, desk, album, 1)
    qtbot.addWidget(dialog)
    dialog.show()
    for what in (LEAF, CARD, ALBUM, CARD):
        dialog.choices.whats[what].click()
    assert not dialog.save_button.isEnabled()
    qtbot.waitUntil(dialog.save_button.isEnabled, timeout=10_000)
    size = dialog.picture.pixmap.size()
    assert abs(size.width() * 9 - size.height() * 16) <= 16
    dialog.close()
    desk.shut_down()


def _raise(error: Exception) -> None:
    raise error


def test_every_control_can_be_reached_and_has_a_name(qtbot: QtBot, desk: Desk) -> None:
    from PySide6.QtWidgets import QAbstractButton, QLineEdit

    dialog = opened(qtbot, desk)
    for kind in (QAbstractButton, QLineEdit):
        for control in dialog.findChildren(kind):
            name = control.accessibleName() or getattr(control, "text", str)()
            assert name.strip(), control


def test_file_names_are_fit_for_every_system() -> None:
    assert file_name('A/B: "C"?', LEAF, 3, Kind.PNG) == "A-B- -C--, leaf 3.png"
    assert file_name("x" * 300, CARD, None, Kind.SVG) == f"{'x' * 100}, card.svg"


def test_holes_at_real_size_are_shown_and_saved_as_chosen(
    qtbot: QtBot, desk: Desk, chosen: list[str], tmp_path: Path
) -> None:
    dialog = opened(qtbot, desk)
    dialog.choices.whats[REAL].click()
    real, pages = dialog.choices.real, dialog.pages
    assert dialog.stack.currentWidget() is pages
    assert not dialog.choices.kind.isVisible()
    assert not dialog.choices.since_field.isVisible()
    diameter = load_series(SeriesId("us-nickel-jefferson")).diameter_mm
    assert real.hole.placeholderText() == f"{diameter:g}"
    assert real._source.text() == f"Where none is typed: {diameter:g} mm, from the series."
    dialog.choices.paper.buttons[1].click()
    assert dialog._told.text() == f"{pages.pages} pages on Letter, to be printed at 100 %"
    assert f"{diameter:g} mm and 0.4 mm of clearance" in text_of(pages._data)
    real.leaves.buttons[1].click()
    real.lying.buttons[2].click()
    for line, typed in ((real.hole, "30,61"), (real.clearance, "0.5")):
        line.setFocus()
        qtbot.keyClicks(line, typed)
        qtbot.keyClick(line, Key.Key_Return)
        assert dialog.isVisible()
    assert all(wide > high for wide, high in page_sizes(pages._data))
    dialog.save_button.click()
    assert chosen == ["Nickels 1938–1964, leaf 2, real size.pdf"]
    data = (tmp_path / chosen[0]).read_bytes()
    assert data == pages._data
    assert "Holes of 31.11 mm: 30.61 mm and 0.5 mm of clearance." in text_of(data)
    assert "leaf 1" not in text_of(data)


def test_a_hole_that_is_none_or_too_large_is_told_and_nothing_is_saved(
    qtbot: QtBot, desk: Desk
) -> None:
    dialog = opened(qtbot, desk)
    dialog.choices.whats[REAL].click()
    real = dialog.choices.real
    for line, typed, said in (
        (real.hole, "wide", "is no hole"),
        (real.clearance, "-1", "is no cle"),
    ):
        line.setText(typed)
        dialog.choices.take_typed()
        assert said in dialog._told.text()
        assert dialog.pages.pages == 0
        assert not dialog.save_button.isEnabled()
        line.clear()
        dialog.choices.take_typed()
        assert dialog.save_button.isEnabled()
        assert dialog.pages.pages > 1
    real.hole.setText("120")
    dialog.choices.paper.buttons[2].click()
    dialog.choices.take_typed()
    assert "is too large for A5" in dialog._said.text()
    assert dialog._told.text() == "No sheets to show"
    assert not dialog.save_button.isEnabled()
    dialog.choices.whats[ALBUM].click()
    assert dialog._said.text() == ""
    assert dialog.save_button.isEnabled()


def test_where_no_diameter_is_known_the_hole_is_asked_for(
    qtbot: QtBot, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    series = replace(load_series(SeriesId("us-nickel-jefferson")), diameter_mm=None)
    real_drawn_of = pictures.drawn_of

    def without_diameter(*asked: Any) -> pictures.Drawn:
        drawn = real_drawn_of(*asked)
        return replace(drawn, view=replace(drawn.view, series=series))

    monkeypatch.setattr(pictures, "drawn_of", without_diameter)
    dialog = opened(qtbot, desk, None)
    dialog.choices.whats[REAL].click()
    assert not dialog.choices.real.leaves.buttons[1].isEnabled()
    assert dialog.choices.real._source.text() == NO_DIAMETER
    assert "is not known; choose the hole" in dialog._said.text()
    dialog.choices.real.hole.setText("21.2")
    dialog.choices.take_typed()
    assert dialog._said.text() == ""
    assert dialog.pages.pages > 1


def text_of(data: bytes) -> str:
    return "\n".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(data)).pages)
