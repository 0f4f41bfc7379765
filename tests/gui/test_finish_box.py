"""Finishing a box in the window, by keys: the fill, the rest, one undo, the report and sheets."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QDialog

from core.app.finish_box import Way
from core.app.search_orders import add_box
from core.app.search_views import BoxView
from core.app.table_sheets import SheetKind
from core.model.coin import CoinStatus
from core.model.search import BoxId
from gui.desk import Desk
from gui.fill.lines import LineKind
from gui.search import paper_page
from gui.search.finish import FinishDialog
from gui.search.finish_list import RestLine
from gui.search.report_dialog import ReportDialog
from gui.search.sheet_dialog import SheetDialog
from gui.work import InlineRunner
from tests.gui.desk_material import collection_of
from tests.gui.search_material import begin_box, table_window
from tests.gui.window_material import close_window
from tests.search_material import cents_box

Key = Qt.Key
CTRL, SHIFT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.ShiftModifier


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> tuple[bytes, BoxId]:
    """The file with box 29 of cents in hand, none before; made once, copied by each test."""
    collection, box = cents_box(tmp_path_factory.mktemp("finish"), before=0)
    path = collection.path
    collection.close()
    return path.read_bytes(), box


@pytest.fixture
def desk(qapp: QApplication, written: tuple[bytes, BoxId], tmp_path: Path) -> Iterator[Desk]:
    path = tmp_path / "jar.slotleaf"
    path.write_bytes(written[0])
    desk = Desk(InlineRunner())
    desk.open(path)
    yield desk
    desk.shut_down()


@pytest.fixture
def dialog(desk: Desk, written: tuple[bytes, BoxId]) -> Iterator[FinishDialog]:
    dialog = FinishDialog(None, desk, collection_of(desk).log.box(written[1]))
    shown(dialog)
    yield dialog
    dialog.close()
    dialog.deleteLater()


def shown(dialog: QDialog) -> None:
    """Show a dialog, and let it have the keys."""
    dialog.show()
    dialog.activateWindow()
    assert QTest.qWaitForWindowActive(dialog)


def view_of(desk: Desk, box: BoxId) -> BoxView:
    return collection_of(desk).log.box_view(box)


def rest_of(dialog: FinishDialog) -> dict[str, int]:
    """The rows of the rest by label and grade."""
    lines = enumerate(dialog.model.lines)
    return {f"{x.title} {x.coin}".strip(): n for n, x in lines if isinstance(x, RestLine)}


def go_to(dialog: FinishDialog, row: int) -> None:
    dialog.list.setCurrentIndex(dialog.model.index(row))


def moves_of(dialog: FinishDialog) -> list[tuple[str, bool]]:
    return [(x.title, x.is_ticked) for x in dialog.model.lines if x.kind is LineKind.MOVE]


def test_the_whole_box_is_finished_by_keys_and_taken_back_at_once(
    dialog: FinishDialog, desk: Desk, written: tuple[bytes, BoxId]
) -> None:
    box, before = written[1], collection_of(desk).content_hash()
    assert [label for label, _ in moves_of(dialog)] == [
        "1917", "1934-D", "1944-S", "1947-D", "1951",
    ]  # fmt: skip
    assert dialog.told.text() == "5 finds into albums · 7 spares."
    assert dialog.counts.text() == "have 74 → 79 of 140 · at target 31 → 33"
    go_to(dialog, next(n for n, x in enumerate(dialog.model.lines) if x.title == "1947-D"))
    QTest.keyClick(dialog.list, Key.Key_Space)
    assert ("1947-D", False) in moves_of(dialog)
    assert "1947-D corroded" in rest_of(dialog)
    go_to(dialog, rest_of(dialog)["1947-D corroded"])
    QTest.keyClick(dialog.list, Key.Key_B)
    assert dialog.told.text() == "4 finds into albums · 7 spares · 1 back to the bank."
    QTest.keyClick(dialog.list, Key.Key_L, SHIFT)
    QTest.keyClick(dialog.list, Key.Key_S, SHIFT)
    for label in ("1951 F-12", "1951 XF-40"):
        go_to(dialog, rest_of(dialog)[label])
        QTest.keyClick(dialog.list, Key.Key_L)
    assert not dialog.lot_place.isHidden()
    dialog.lot_place.setText("blue tin")
    QTest.keyClick(dialog.list, Key.Key_Return, CTRL)
    assert dialog.is_done
    assert dialog.pages.currentWidget() is dialog.report
    assert dialog.report.pages.pages >= 2
    coins = {line.label + line.grade: line.coin for line in view_of(desk, box).finds}
    lot = coins["1951F-12 to XF-40"]
    assert (lot.quantity, lot.place) == (2, "blue tin")
    assert {one.status for one in coins.values()} == {CoinStatus.HELD}
    assert view_of(desk, box).box.is_done
    desk.undo()
    assert collection_of(desk).content_hash() == before


def test_one_key_goes_on_to_the_next_line_and_several_lines_are_sent_at_once(
    dialog: FinishDialog,
) -> None:
    first, *others = rest_of(dialog).values()
    go_to(dialog, first)
    QTest.keyClick(dialog.list, Key.Key_B)
    QTest.keyClick(dialog.list, Key.Key_L)
    ways = [x.way.value for x in dialog.model.lines if isinstance(x, RestLine)]
    assert ways[:3] == ["bank", "lot", "spare"]
    assert dialog.list.currentIndex().row() == others[1]
    dialog.list.selectAll()
    QTest.keyClick(dialog.list, Key.Key_B)
    assert {x.way.value for x in dialog.model.lines if isinstance(x, RestLine)} == {"bank"}
    assert dialog.all_ways.choice() == 2
    assert dialog.lot_place.isHidden()
    QTest.mouseClick(dialog.all_ways.buttons[0], Qt.MouseButton.LeftButton)
    assert dialog.told.text() == "5 finds into albums · 7 spares."


def test_leaving_changes_nothing_and_lines_speak(dialog: FinishDialog, desk: Desk) -> None:
    before = collection_of(desk).rows_hash()
    QTest.keyClick(dialog.list, Key.Key_B, SHIFT)
    spoken = [x.spoken for x in dialog.model.lines if isinstance(x, RestLine)]
    assert spoken[0].startswith("1949-S, VF-20, roll 5")
    assert all(text.endswith("back to the bank") for text in spoken)
    QTest.keyClick(dialog, Key.Key_Escape)
    assert not dialog.isVisible()
    assert not dialog.is_done
    assert collection_of(desk).rows_hash() == before


def test_the_report_is_saved_as_each_kind_and_private_only_with_the_switch(
    desk: Desk, written: tuple[bytes, BoxId], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[str] = []

    def choose(_parent: object, _title: str, start: str, _kinds: str, ending: str) -> Path:
        asked.append(Path(start).name)
        return tmp_path / f"report{len(asked)}{ending}"

    monkeypatch.setattr(paper_page, "choose_new_file", choose)
    dialog = ReportDialog(None, desk, view_of(desk, written[1]).box)
    shown(dialog)
    QTest.keyClick(dialog.page.pages, Key.Key_S, CTRL)
    QTest.keyClick(dialog.page.pages, Key.Key_M, CTRL)
    QTest.keyClick(dialog.page.pages, Key.Key_O, Qt.KeyboardModifier.AltModifier)
    assert dialog.page.private.isChecked()
    QTest.keyClick(dialog.page.pages, Key.Key_M, CTRL)
    QTest.keyClick(dialog.page.pages, Key.Key_G, CTRL)
    number = view_of(desk, written[1]).box.number
    assert asked == [f"box-{number}.{ending}" for ending in ("pdf", "md", "md", "png")]
    files = sorted(path.name for path in tmp_path.glob("report*"))
    assert files == ["report1.pdf", "report2.md", "report3.md", "report4.png"]
    plain, whole = ((tmp_path / f"report{n}.md").read_text("utf-8") for n in (2, 3))
    assert "north branch" not in plain
    assert "north branch" in whole
    assert dialog.page.said.text() == "Saved as report4.png."
    dialog.close()


def test_both_sheets_are_shown_and_saved(
    desk: Desk, written: tuple[bytes, BoxId], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(paper_page, "choose_new_file", lambda *_: tmp_path / "sheet.pdf")
    dialog = SheetDialog(None, desk, view_of(desk, written[1]).box, SheetKind.TALLY)
    shown(dialog)
    assert dialog.page.pages.pages == 2
    dialog.page.papers.buttons[1].click()
    assert dialog.page.told.text() == "2 pages on Letter, black on white"
    dialog.kinds.buttons[0].click()
    assert dialog.page.pages.pages > 3
    QTest.keyClick(dialog.page.pages, Key.Key_S, CTRL)
    assert (tmp_path / "sheet.pdf").read_bytes().startswith(b"%PDF")
    dialog.close()


def test_a_box_with_nothing_in_it_says_so_and_is_finished(
    desk: Desk, written: tuple[bytes, BoxId]
) -> None:
    old = view_of(desk, written[1]).box
    (made,) = collection_of(desk).run(add_box(replace(old, number=0))).made_log
    dialog = FinishDialog(None, desk, collection_of(desk).log.box(BoxId(made)))
    shown(dialog)
    assert dialog.stack.currentWidget() is dialog.empty
    assert dialog.empty.title.text() == "Nothing was kept of this box"
    assert dialog.rest.isHidden()
    QTest.keyClick(dialog, Key.Key_Return, CTRL)
    assert dialog.is_done
    dialog.close()


def test_from_the_table_the_box_is_finished_and_its_papers_come_by_keys(
    qapp: QApplication, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    table = table_window(qapp, tmp_path, begin_box(tmp_path / "jar.slotleaf"))
    table.window.window.activateWindow()
    table.space.to_line()
    shown: list[str] = []

    def look(dialog: QDialog) -> int:
        shown.append(f"{type(dialog).__name__} {dialog.windowTitle()}")
        if isinstance(dialog, FinishDialog):
            dialog.send_all(Way.BANK)
            dialog.finish()
        return 1

    monkeypatch.setattr(QDialog, "exec", look)
    table.keep("1943d vf20")
    table.keep("1960")
    for key in (Key.Key_K, Key.Key_Y, Key.Key_O, Key.Key_F, Key.Key_O):
        table.press(key, Qt.KeyboardModifier.AltModifier)
    assert shown == [
        "SheetDialog Sheet for the table",
        "SheetDialog Sheet for the table",
        "ReportDialog Box 32: report",
        "FinishDialog Finish box 32",
        "ReportDialog Box 32: report",
    ]
    assert table.box.is_done
    finds = view_of(table.window.desk, table.box.id).finds
    assert [(line.label, line.coin.status.value) for line in finds] == [
        ("1943-D", "held"),
        ("1960", "gone"),
    ]
    close_window(table.window)
