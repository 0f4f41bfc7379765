"""Each curve of the upgrades: its table by keys, the same points on paper, kept when asked."""

from collections.abc import Iterator
from pathlib import Path
from shutil import copy

import pytest
from pypdf import PdfReader
from PySide6.QtCore import Qt
from PySide6.QtGui import QShortcut
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QApplication
from pytestqt.qtbot import QtBot

from core.app.operations import set_wish
from core.model.album import Wish
from core.model.grade import Grade
from core.planning.drawn import Drawn
from core.printing.checklist import Paper
from core.printing.curve_page import CurveSheet, curve_pages
from core.printing.pdf import measure, wrap
from gui.upgrades import keeping
from gui.upgrades.chart_card import ChartWithTable
from gui.upgrades.workspace import UpgradesWorkspace
from tests.gui.window_material import OpenWindow, close_window, open_window, small_collection

ALT = Qt.KeyboardModifier.AltModifier


@pytest.fixture(scope="module")
def window(
    qapp: QApplication, demo_file: Path, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[OpenWindow]:
    folder = tmp_path_factory.mktemp("keeping")
    opened = open_window(qapp, folder, Path(copy(demo_file, folder)))
    opened.duties.show_workspace("upgrades")
    space = opened.duties.make_upgrades()
    assert space.sheet is not None
    nickels = next(number for number, name in space.sheet.albums if "Nickels" in name)
    space.head.albums_chosen.emit((nickels,))
    yield opened
    close_window(opened)


@pytest.fixture
def space(window: OpenWindow) -> Iterator[UpgradesWorkspace]:
    begun = window.desk.undo_label
    space = window.duties.make_upgrades()
    window.window.activateWindow()
    assert QTest.qWaitForWindowActive(window.window)
    space.to_table()
    yield space
    space.what_if.forget()
    space.show_side(0)
    while window.desk.undo_label != begun:
        window.desk.undo()


def sheet_of(space: UpgradesWorkspace) -> CurveSheet:
    page = space.curve_cards[space.sides.currentIndex()].page()
    assert page is not None
    return page("The jar")


def assert_same_points(shown: ChartWithTable, sheet: CurveSheet) -> None:
    """The window's curve and the paper's lie in the same proportions, corner by corner."""
    drawn: Drawn = shown.chart.drawn
    assert sheet.drawn == drawn
    columns = len(shown.table.rows.heads)  # the paper may have room for one more
    assert tuple(row[:columns] for row in sheet.table.rows) == shown.table.rows.rows
    page = curve_pages(sheet, Paper.A4, measure, wrap)[0]
    contour = max((c for s in page.shapes if s.ink == "accent" for c in s.contours), key=len)
    outline = [(segment[1], segment[2]) for segment in contour]
    half = len(outline) // 2
    pairs = zip(outline[:half], reversed(outline[half:]), strict=True)
    paper = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in pairs]
    screen = [(point.x(), point.y()) for point in shown.chart.points()]
    assert len(paper) == len(screen)
    for axis in (0, 1):
        (low, high), (begin, end) = (
            (min(p[axis] for p in points), max(p[axis] for p in points))
            for points in (paper, screen)
        )
        for on_paper, on_screen in zip(paper, screen, strict=True):
            share = (on_paper[axis] - low) / (high - low)
            assert (on_screen[axis] - begin) / (end - begin) == pytest.approx(share, abs=1e-3)


def test_the_key_saves_the_curve_that_is_looked_at(
    space: UpgradesWorkspace, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    named: list[str] = []
    to = [tmp_path / "curve.pdf"]

    def choose(_parent: object, _title: str, start: str, *_: object) -> Path:
        named.append(Path(start).name)
        return to[0]

    monkeypatch.setattr(keeping, "choose_new_file", choose)
    said: list[str] = []
    space.said.connect(said.append)
    assert space.curve.shown.pdf.isEnabled()
    for side, title in enumerate(("What each amount buys", "A sum each month", "What if")):
        QTest.keyClick(space.table, Qt.Key.Key_1 + side, ALT)
        if side == 2:
            space.what_if.keys.setChecked(True)
            space.what_if.work()
        card = space.curve_cards[side]
        assert_same_points(card.shown, sheet_of(space))
        to[0] = tmp_path / f"{side}.pdf"
        if side == 1:
            card.shown.pdf.click()
        else:
            QTest.keyClick(space.table, Qt.Key.Key_D, ALT)
        assert named[-1] == f"{title}.pdf"
        assert said[-1] == f"The curve is in {to[0]}."
        text = " ".join(page.extract_text() for page in PdfReader(to[0]).pages)
        for words in (title, "The prices are invented", "Values are estimates, not appraisals"):
            assert words in text
    space.curve.shown.papers.choices.actions()[2].trigger()
    assert space.curve.shown.papers.accessibleName() == "on: A5"
    space.show_side(0)
    space.curve.shown.pdf.click()
    (width, height) = map(float, PdfReader(to[0]).pages[0].mediabox[2:])
    assert (round(width * 25.4 / 72), round(height * 25.4 / 72)) == (148, 210)
    space.curve.show_budget(1)  # no plan is of that budget: the page tells of none
    space.show_side(0)
    assert "the plan for it" not in str(sheet_of(space).facts)


def test_what_cannot_be_written_is_told_and_what_is_there_stays(
    space: UpgradesWorkspace, window: OpenWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    other = tmp_path / "diary.pdf"
    other.write_text("dear diary", "utf-8")
    monkeypatch.setattr(keeping, "choose_new_file", lambda *_: other)
    told: list[str] = []
    window.desk.failed.connect(told.append)
    space.curve.shown.pdf.click()
    assert "is no PDF" in told[0]
    assert other.read_text("utf-8") == "dear diary"
    monkeypatch.setattr(keeping, "choose_new_file", lambda *_: None)
    space.curve.shown.pdf.click()
    assert len(told) == 1


def test_without_a_curve_the_button_says_why(
    qapp: QApplication, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[object] = []
    monkeypatch.setattr(keeping, "choose_new_file", lambda *_: asked.append(1))
    opened = open_window(qapp, tmp_path, small_collection(tmp_path / "drawer.slotleaf"))
    try:
        opened.duties.show_workspace("upgrades")
        space = opened.duties.make_upgrades()
        said: list[str] = []
        space.said.connect(said.append)
        opened.window.activateWindow()
        space.to_table()
        space.planning.ask_albums((space.sheet.albums[1][0],) if space.sheet else ())
        for side, why in enumerate(
            ("Nothing that is priced adds", "In these months nothing", "Suppose something first")
        ):
            space.show_side(side)
            shown = space.curve_cards[side].shown
            assert not shown.pdf.isEnabled()
            assert why in shown.pdf.toolTip()
            assert not shown.chart.isVisible()
            QTest.keyClick(space.table, Qt.Key.Key_D, ALT)
            assert why in said[-1]
        assert asked == []
    finally:
        close_window(opened)


def test_every_chart_has_its_table_by_keys(space: UpgradesWorkspace, qtbot: QtBot) -> None:
    for side in (0, 2):
        space.show_side(side)
        shown = space.curve_cards[side].shown
        assert shown.chart.isVisible()
        QTest.keyClick(space.table, Qt.Key.Key_T, ALT)
        qtbot.waitUntil(shown.table.isVisible)  # a button pressed by its key shows it first
        assert not shown.chart.isVisible()
        assert shown.table.focusPolicy() & Qt.FocusPolicy.TabFocus
        assert len(shown.table.rows.rows) == len(shown.chart.drawn.stairs)
        QTest.keyClick(space.table, Qt.Key.Key_T, ALT)
        qtbot.waitUntil(shown.chart.isVisible)
    space.show_side(1)
    shown = space.curve_cards[1].shown
    assert shown.chart.isVisible()
    assert shown.table.isVisible()
    keys = [act.key().toString() for act in space.window().findChildren(QShortcut)
            if act.parent() in (space.curve.shown.papers, space)]  # fmt: skip
    keys += [b.shortcut().toString() for b in space.findChildren(QAbstractButton)
             if b.isVisibleTo(space.main) and not b.shortcut().isEmpty()]  # fmt: skip
    assert [key for key in keys if keys.count(key) > 1] == []
    for card in space.curve_cards:
        for part in (card.shown.chart, card.shown.table, card.shown.pdf, card.shown.behind):
            assert part.accessibleName()


def test_all_three_suppositions_are_kept_by_one_order_and_one_undo(
    space: UpgradesWorkspace, window: OpenWindow, qtbot: QtBot
) -> None:
    assert space.sheet is not None
    gap = next(r for r in space.sheet.found.rows if r.held is None and r.steps)
    window.desk.run(set_wish([gap.slot.slot.id], Wish.OPTIONAL))
    begun = window.desk.undo_label
    many = len(space.sheet.found.rows)
    space.show_side(2)
    card = space.what_if
    for chip, key in ((card.keys, Qt.Key.Key_K), (card.optional, Qt.Key.Key_W),
                      (card.varieties, Qt.Key.Key_V)):  # fmt: skip
        QTest.keyClick(space.table, key, ALT)
        qtbot.waitUntil(chip.isChecked)
    card.work()
    supposed, kept = card.supposed, card.kept()
    assert supposed is not None
    assert supposed.curve != card._now.curve if card._now else False
    assert window.desk.undo_label == begun  # nothing is saved until it is asked for
    assert kept.targets
    assert kept.skipped == (gap.slot.slot.id,)
    assert len(kept.varieties) == supposed.added > 0
    assert kept.words in card.keep.toolTip()
    QTest.keyClick(space.table, Qt.Key.Key_E, ALT)
    qtbot.waitUntil(lambda: window.desk.undo_label == "keep what was supposed")
    assert card.what.is_nothing
    assert len(space.sheet.found.rows) == many - 1 + len(kept.varieties)
    slots = {row.slot.slot.id: row.slot.slot for row in space.sheet.found.rows}
    for target, ids in kept.targets:
        assert {slots[one].target for one in ids if one in slots} <= {target}
        assert target.is_met_by(Grade(8, 8), has_problem=False)
    window.desk.undo()
    assert window.desk.undo_label == begun
    assert len(space.sheet.found.rows) == many
