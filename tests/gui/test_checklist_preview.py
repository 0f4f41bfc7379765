"""The checklist dialog: the pages shown are the pages saved."""

import io
from datetime import date
from pathlib import Path

import pypdf
import pytest
from PySide6.QtCore import QLocale, Qt
from pytestqt.qtbot import QtBot

from core.app.checklists import ListGroup, ListName
from core.app.operations import stock_slots
from core.model.album import AlbumId, Target
from core.model.grade import parse_grade
from core.printing.checklist import ListColumn, Look, Paper
from core.printing.png import page_sizes
from gui.checklist import preview
from gui.checklist.choices import Choices, read_choices
from gui.checklist.preview import ChecklistDialog, default_paper, file_name
from gui.desk import Desk
from gui.settings import Settings
from tests.gui.desk_material import a_desk, an_album, collection_of

Key = Qt.Key


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    desk = a_desk(tmp_path)
    album = an_album(desk, target=Target(20))
    slots = [v.slot.id for v in collection_of(desk).album_view(album).slots]
    collection_of(desk).run(stock_slots(slots[:20], parse_grade("vf30")))
    collection_of(desk).run(stock_slots(slots[20:25], parse_grade("g4")))
    return desk


def the_album(desk: Desk) -> AlbumId:
    return collection_of(desk).albums()[0].id


def opened(qtbot: QtBot, desk: Desk) -> ChecklistDialog:
    dialog = ChecklistDialog(None, desk, the_album(desk))
    qtbot.addWidget(dialog)
    dialog.show()
    return dialog


def text_of(data: bytes) -> str:
    return "\n".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(data)).pages)


def test_the_lists_tell_how_many_rows_they_have(qtbot: QtBot, desk: Desk) -> None:
    dialog = opened(qtbot, desk)
    told = {which: button.text().split()[-1] for which, button in dialog.lists.items()}
    assert told == {"open": "50", "gaps": "45", "below": "5", "all": "70", "spares": "0"}
    assert dialog._rows.text() == f"50 rows on {dialog.chosen_paper.shown_name}"


def test_another_list_or_paper_gives_other_pages(qtbot: QtBot, desk: Desk) -> None:
    dialog = opened(qtbot, desk)
    dialog.paper.buttons[0].click()
    assert dialog._made is not None
    whole = dialog._made
    assert "Gaps and upgrades" in text_of(whole.data)
    dialog.lists[ListName.BELOW].click()
    assert dialog._made.rows == 5
    assert "Gaps and upgrades" not in text_of(dialog._made.data)
    dialog.paper.buttons[2].click()
    # ISO 216: A5 is 148 mm × 210 mm; a point is 25.4/72 mm.
    width, height = dialog._made.sizes[0]
    assert (round(width * 25.4 / 72), round(height * 25.4 / 72)) == (148, 210)


def test_the_real_pages_are_drawn_and_turned(qtbot: QtBot, desk: Desk) -> None:
    dialog = opened(qtbot, desk)
    dialog.lists[ListName.ALL].click()
    dialog.paper.buttons[2].click()
    pages = dialog.pages
    qtbot.waitUntil(lambda: pages.is_drawn)
    assert pages.pages > 1
    image = pages._drawn[0].toImage()
    dark = sum(
        image.pixelColor(x, y).lightness() < 128
        for x in range(0, image.width(), 3)
        for y in range(0, image.height(), 3)
    )
    assert dark > 50
    assert dialog._page.text() == f"page 1 of {pages.pages}"
    qtbot.keyClick(dialog, Key.Key_PageDown)
    assert dialog._page.text() == f"page 2 of {pages.pages}"
    qtbot.waitUntil(lambda: pages.is_drawn)
    qtbot.keyClick(dialog, Key.Key_PageUp)
    assert pages.page == 0


def test_the_pages_zoom_from_the_width_of_the_window(qtbot: QtBot, desk: Desk) -> None:
    dialog = opened(qtbot, desk)
    pages = dialog.pages
    assert abs(pages._rects[0].width() - (pages.viewport().width() - 48)) <= 1
    qtbot.keyClick(dialog, Key.Key_Plus, Qt.KeyboardModifier.ControlModifier)
    assert pages._rects[0].width() > pages.viewport().width()
    qtbot.keyClick(dialog, Key.Key_0, Qt.KeyboardModifier.ControlModifier)
    assert pages.zoom == 1.0


def test_a_card_is_shown_whole_and_not_as_wide_as_the_window(qtbot: QtBot, desk: Desk) -> None:
    dialog = opened(qtbot, desk)
    dialog.paper.buttons[3].click()
    pages = dialog.pages
    assert pages._rects[0].width() == round(216 * 2.4)
    left, right = pages._rects[0].left(), pages.viewport().width() - pages._rects[0].right()
    assert abs(left - right) <= 2


def test_what_is_saved_is_what_is_shown(
    qtbot: QtBot, desk: Desk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[str] = []

    def choose(_parent: object, _title: str, start: str, *_rest: str) -> Path:
        asked.append(Path(start).name)
        return tmp_path / "mine.pdf"

    monkeypatch.setattr(preview, "choose_new_file", choose)
    dialog = opened(qtbot, desk)
    assert dialog._made is not None
    qtbot.keyClick(dialog, Key.Key_S, Qt.KeyboardModifier.ControlModifier)
    assert asked == ["Nickels 1938–1964, gaps and upgrades.pdf"]
    assert (tmp_path / "mine.pdf").read_bytes() == dialog._made.data
    assert dialog._said.text() == "Saved as mine.pdf."


def test_a_file_that_cannot_be_written_is_told_in_place(
    qtbot: QtBot, desk: Desk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "a file").write_text("not a folder")
    where = tmp_path / "a file" / "list.pdf"
    monkeypatch.setattr(preview, "choose_new_file", lambda *_: where)
    dialog = opened(qtbot, desk)
    dialog.save_button.click()
    assert "cannot be written" in dialog._said.text()
    assert dialog.save_button.isEnabled()


def test_open_hands_a_real_file_to_the_system(
    qtbot: QtBot, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    shown: list[Path] = []

    def show(path: Path) -> bool:
        shown.append(path)
        return True

    monkeypatch.setattr(preview, "show_file", show)
    dialog = opened(qtbot, desk)
    dialog.open_button.click()
    assert len(page_sizes(shown[0].read_bytes())) == dialog.pages.pages
    assert dialog._said.text().startswith("Opened")
    monkeypatch.setattr(preview, "show_file", lambda _path: False)
    dialog.open_button.click()
    assert dialog._said.text().startswith("No program here opens PDF files.")
    shown[0].unlink()


def test_groups_columns_and_large_print_give_other_pages(qtbot: QtBot, desk: Desk) -> None:
    dialog = opened(qtbot, desk)
    options = dialog.options
    dialog.paper.buttons[0].click()
    assert dialog._made is not None
    assert "Leaf 1" in text_of(dialog._made.data)
    options.group.buttons[1].click()
    decades = text_of(dialog._made.data)
    assert "1940s" in decades
    assert "Leaf 1" not in decades
    qtbot.keyClick(dialog, Key.Key_G, Qt.KeyboardModifier.ControlModifier)
    assert "Denver" in text_of(dialog._made.data)
    assert "mintage" not in text_of(dialog._made.data)
    options.columns[ListColumn.MINTAGE].click()
    assert "mintage" in text_of(dialog._made.data)
    before = len(dialog._made.sizes)
    qtbot.keyClick(dialog, Key.Key_L, Qt.KeyboardModifier.ControlModifier)
    assert options.large.isChecked()
    assert len(dialog._made.sizes) > before


def test_a_column_without_room_is_told_beside_the_choices(qtbot: QtBot, desk: Desk) -> None:
    dialog = opened(qtbot, desk)
    dialog.paper.buttons[0].click()
    assert not dialog._missing.isVisibleTo(dialog)
    dialog.options.large.click()
    dialog.paper.buttons[3].click()
    assert dialog._made is not None
    # PWG 5101.1-2013: na_index-3x5_3x5in, at 72 points to the inch.
    assert [round(side) for side in dialog._made.sizes[0]] == [216, 360]
    assert dialog._missing.isVisibleTo(dialog)
    assert dialog._missing.text().startswith("No room on Index card for held, price")


def test_spares_offer_their_own_columns(qtbot: QtBot, desk: Desk) -> None:
    dialog = opened(qtbot, desk)
    chips = dialog.options.columns

    def offered() -> list[str]:
        return [chip.text() for chip in chips.values() if chip.isVisibleTo(dialog)]

    assert offered() == ["Variety", "Mintage", "Held", "Wanted", "Price", "Note"]
    dialog.lists[ListName.SPARES].click()
    assert offered() == ["Mintage", "Held", "Pieces", "Price", "Note"]


def test_choices_are_remembered(qtbot: QtBot, desk: Desk, tmp_path: Path) -> None:
    settings = Settings(tmp_path / "window.ini")
    dialog = ChecklistDialog(None, desk, the_album(desk), settings)
    qtbot.addWidget(dialog)
    dialog.options.group.buttons[2].click()
    dialog.paper.buttons[3].click()
    dialog.options.columns[ListColumn.NOTE].click()
    dialog.options.large.click()
    settings.save()
    again = ChecklistDialog(None, desk, the_album(desk), Settings(tmp_path / "window.ini"))
    qtbot.addWidget(again)
    chosen = again.options.choices
    assert chosen == dialog.options.choices
    assert (chosen.group, chosen.paper) == (ListGroup.MINT, Paper.INDEX_CARD)
    assert chosen.look.is_large
    assert ListColumn.NOTE not in chosen.look.columns


@pytest.mark.parametrize("text", ["", "nonsense", "x; y; z; w", "; ; ; ; ;"])
def test_settings_that_make_no_sense_are_the_usual(text: str) -> None:
    assert read_choices(text) == Choices()


@pytest.mark.parametrize("group", list(ListGroup))
@pytest.mark.parametrize("paper", [None, *Paper])
@pytest.mark.parametrize("columns", [(), (ListColumn.PRICE,), tuple(ListColumn)])
def test_choices_are_read_back_as_they_were_kept(
    group: ListGroup, paper: Paper | None, columns: tuple[ListColumn, ...]
) -> None:
    choices = Choices(group, paper, Look(columns, is_large=paper is Paper.A5))
    assert read_choices(choices.text) == choices


def test_a_day_gone_by_is_said_and_has_no_spares(qtbot: QtBot, desk: Desk) -> None:
    day = date(2020, 5, 3)
    dialog = ChecklistDialog(None, desk, the_album(desk), day=day)
    qtbot.addWidget(dialog)
    assert dialog._album_name.text() == "Nickels 1938–1964, as of 3 May 2020"
    assert not dialog.lists[ListName.SPARES].isEnabled()
    assert dialog._made is not None
    assert "as of 3 May 2020" in text_of(dialog._made.data)


def test_escape_leaves(qtbot: QtBot, desk: Desk) -> None:
    dialog = opened(qtbot, desk)
    qtbot.keyClick(dialog.pages, Key.Key_Escape)
    assert not dialog.isVisible()


def test_paper_follows_the_territory() -> None:
    def paper(name: str) -> Paper:
        return default_paper(QLocale(name))

    assert [paper(n) for n in ("en_US", "en_CA", "es_MX", "en_PH")] == [Paper.LETTER] * 4
    assert [paper(n) for n in ("en_GB", "de_DE", "ja_JP")] == [Paper.A4] * 3


def test_file_names_are_fit_for_every_system() -> None:
    assert file_name('A/B: "C"?', ListName.GAPS) == "A-B- -C--, gaps.pdf"
    assert file_name("x" * 300, ListName.ALL).endswith(".pdf")
    assert len(file_name("x" * 300, ListName.ALL)) < 130
