"""What the leaf view draws, and that scrolling leaves the same picture as painting anew."""

import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QRect
from PySide6.QtGui import QColor, QFont, QImage, QPainter, QPixmap
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from core.arrange.plan import LeafPlan
from core.glyph.codes import GlyphCode
from core.glyph.palette import DARK, LIGHT, Palette
from core.glyph.shapes import reach
from gui.leaf.leaf_tiles import Tiles, clear_pixmap
from gui.leaf.paint import KEPT_TITLES
from gui.leaf.scale import Level, Scale
from gui.leaf.view import LeafView
from tests.gui.leaf_material import matrix, running

PROJECT = Path(__file__).resolve().parents[2]


@pytest.fixture
def view(qtbot: QtBot) -> Iterator[LeafView]:
    view = LeafView()
    qtbot.addWidget(view)
    view.resize(900, 640)
    view.set_builds_labels_at_once(True)
    view.show_plan(matrix(list(range(1938, 1965))), LIGHT)
    view.show()
    QApplication.processEvents()
    yield view
    view.hide()


def picture(view: LeafView) -> QImage:
    QApplication.processEvents()
    return view.viewport().grab().toImage().convertToFormat(QImage.Format.Format_RGB32)


def colours_in(image: QImage, rect: QRect) -> set[str]:
    return {
        image.pixelColor(x, y).name()
        for x in range(rect.left(), rect.right() + 1)
        for y in range(rect.top(), rect.bottom() + 1)
    }


def slots_with(plan: LeafPlan, code: GlyphCode) -> list[int]:
    return [plan.slot_ids[cell] for cell, c in enumerate(plan.codes) if c == code]


@pytest.mark.parametrize("ratio", ["1", "1.25", "1.5", "2"])
def test_scrolling_leaves_the_picture_that_painting_anew_gives(ratio: str) -> None:
    environment = {**os.environ, "QT_SCALE_FACTOR": ratio, "QT_QPA_PLATFORM": "offscreen"}
    run = subprocess.run(
        [sys.executable, "-m", "tests.gui.leaf_seams"],
        cwd=PROJECT,
        env=environment,
        capture_output=True,
        text=True,
        timeout=120,
        check=True,
    )
    got_ratio, compared, differing = run.stdout.split()
    assert float(got_ratio) == float(ratio)
    assert int(compared) == 40
    assert int(differing) == 0


@pytest.mark.parametrize("palette", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("zoom", [1.0, 0.2, 0.08])
def test_states_paper_and_card_are_drawn_in_their_colours(
    view: LeafView, palette: Palette, zoom: float
) -> None:
    view.set_palette_colours(palette)
    view.set_zoom(zoom)
    image = picture(view)
    slot = slots_with(view._plan, GlyphCode.FILLED)[1]
    assert image.pixelColor(view.slot_rect(slot).center()).name() != palette.card
    found = colours_in(image, view.slot_rect(slot))
    assert QColor(palette.filled).name() in found
    assert palette.card in found
    assert image.pixelColor(1, 1).name() == palette.paper


def test_the_levels_of_detail_follow_the_size_of_a_cell(view: LeafView) -> None:
    levels = {}
    for zoom in (1.0, 0.5, 0.3, 0.15, 0.1):
        view.set_zoom(zoom)
        assert view._painter is not None
        levels[zoom] = view._painter.scale.level
    assert levels == {
        1.0: Level.LABELS,
        0.5: Level.LABELS,
        0.3: Level.GLYPHS,
        0.15: Level.GLYPHS,
        0.1: Level.OVERVIEW,
    }


@pytest.mark.parametrize("zoom", [1.0, 0.2, 0.08])
def test_a_changed_slot_is_drawn_as_if_it_had_always_been_so(view: LeafView, zoom: float) -> None:
    view.set_zoom(zoom)
    slot = slots_with(view._plan, GlyphCode.GAP)[0]
    before = picture(view)
    view._plan.set_cell(view._plan.cell_of_slot(slot), GlyphCode.FILLED, "VF-20")
    view.update_slots([slot])
    after = picture(view)
    assert after != before
    view.set_palette_colours(DARK)
    view.set_palette_colours(LIGHT)
    assert picture(view) == after


@pytest.mark.parametrize("zoom", [1.0, 0.2, 0.08])
def test_a_filter_and_a_preview_come_off_without_trace(view: LeafView, zoom: float) -> None:
    view.set_zoom(zoom)
    before = picture(view)
    view.set_shown(bytes(code == GlyphCode.GAP for code in view._plan.codes))
    hidden = picture(view)
    assert hidden != before
    slot = slots_with(view._plan, GlyphCode.FILLED)[1]
    assert QColor(LIGHT.filled).name() not in colours_in(hidden, view.slot_rect(slot))
    gap = slots_with(view._plan, GlyphCode.GAP)[0]
    assert hidden.copy(view.slot_rect(gap)) == before.copy(view.slot_rect(gap))
    view.set_shown(None)
    view.set_preview({view._plan.cell_of_slot(gap): (int(GlyphCode.FILLED), "VF-20", "")})
    proposed = picture(view)
    assert proposed.copy(view.slot_rect(gap)) != before.copy(view.slot_rect(gap))
    view.clear_preview()
    assert picture(view) == before


def test_focus_selection_and_hover_each_change_the_picture(view: LeafView) -> None:
    view.clearFocus()
    view.clearSelection()
    pictures = [picture(view)]
    view.selectAll()
    pictures.append(picture(view))
    view._set_hover(view._plan.cell_of_slot(8))
    view.clearSelection()
    pictures.append(picture(view))
    view._set_hover(-1)
    view.setFocus()
    QApplication.processEvents()
    assert view._marks.focus == view.current_cell()
    pictures.append(picture(view))
    assert all(one != other for i, one in enumerate(pictures) for other in pictures[:i])


def test_labels_left_out_of_a_hurried_frame_come_later(view: LeafView, qtbot: QtBot) -> None:
    view.show_plan(running(2500), LIGHT)
    view.resize(1600, 1000)
    view.set_zoom(0.62)
    wanted = picture(view)
    view.set_builds_labels_at_once(False)
    view.set_zoom(1.0)
    view.set_zoom(0.62)
    assert view._painter is not None
    view._painter.scale.set_deadline(0.0)
    view.viewport().repaint()
    qtbot.waitUntil(
        lambda: not view._is_in_hurry and not view._repaint_timer.isActive(), timeout=30_000
    )
    assert picture(view) == wanted


def test_tiles_are_dropped_past_their_bound(qtbot: QtBot) -> None:
    made: list[int] = []

    def make(key: int) -> QPixmap:
        made.append(key)
        return clear_pixmap(10, 10)

    tiles: Tiles[int] = Tiles(make, 1000)
    for key in (1, 2, 1, 2, 3, 1):
        assert tiles[key].width() == 10
    assert made == [1, 2, 3, 1]
    assert len(tiles) == 2


def test_two_hundred_painter_calls_keep_the_count_of_none(qtbot: QtBot) -> None:
    # Some versions of the bindings drop a reference at every call that returns nothing.
    canvas, tile = QPixmap(64, 64), clear_pixmap(8, 8)
    painter = QPainter(canvas)
    try:
        before = sys.getrefcount(None)
        for _ in range(200):
            painter.drawPixmap(3, 4, tile)
            painter.fillRect(0, 0, 9, 9, QColor("white"))
        after = sys.getrefcount(None)
    finally:
        painter.end()
    assert abs(after - before) < 50


@pytest.mark.parametrize("zoom", [0.7, 0.785, 0.85, 1.0, 1.2, 2.0])
@pytest.mark.parametrize("has_two_lines", [False, True])
def test_marks_above_a_glyph_keep_clear_of_the_ring_of_focus(
    qapp: QApplication, zoom: float, has_two_lines: bool
) -> None:
    plan = running(90) if has_two_lines else matrix(list(range(1938, 1947)))
    scale = Scale(plan, zoom, 1.0, LIGHT, QFont())
    tip = scale.centre_y - scale.diameter * reach(scale.diameter) / 2
    assert tip >= 2.5
    assert scale.label_y + scale.lines * scale.line_h <= scale.cell_h


def test_titles_are_drawn_though_more_leaves_show_than_are_kept(qtbot: QtBot) -> None:
    view = LeafView()
    qtbot.addWidget(view)
    view.set_builds_labels_at_once(True)
    view.resize(1500, 1300)
    view.show_plan(matrix(list(range(1600, 2000)), rows_a_leaf=2), LIGHT)
    view.set_zoom(0.32)
    view.show()
    leaf = view._painter
    assert leaf is not None
    first = picture(view)
    window = view._window(view.viewport().rect(), 1.0)
    shown = list(leaf.flow.leaves_in(window.x0, window.y0, window.x1, window.y1))
    assert len(shown) > KEPT_TITLES
    assert len(leaf._titles) <= KEPT_TITLES
    assert picture(view) == first
    last = max(n for n in shown if leaf.flow.leaf_at(n)[1] + leaf.scale.title_h < window.y1)
    x, y = leaf.flow.leaf_at(last)
    box = QRect(x, y, leaf.flow.sizes.leaf_w, leaf.scale.title_h)
    assert len(colours_in(first, box.intersected(first.rect()))) > 3
