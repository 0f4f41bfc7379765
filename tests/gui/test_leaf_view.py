"""What keys, mouse and calls do to the leaf view."""

import random
from collections.abc import Iterator

import pytest
from PySide6.QtCore import QEvent, QPoint, QPointF, QRect, Qt
from PySide6.QtGui import (
    QContextMenuEvent,
    QHelpEvent,
    QImage,
    QKeyEvent,
    QMouseEvent,
    QWheelEvent,
)
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QApplication, QToolTip
from pytestqt.qtbot import QtBot

from core.arrange.plan import (
    SPACER_CELL,
    LeafPlan,
    PlanBuilder,
    PlanCell,
    PlanRow,
    empty_plan,
)
from core.glyph.codes import GlyphCode
from core.glyph.palette import DARK, LIGHT
from gui.leaf.leaf_zoom import LEAST_READING, LEAST_WIDE
from gui.leaf.view import LeafView
from tests.gui.leaf_material import beside, matrix, running

Key = Qt.Key
Modifier = Qt.KeyboardModifier
Button = Qt.MouseButton
YEARS = list(range(1938, 1965))
MISSING = frozenset({(1950, "S")} | {(year, "S") for year in range(1955, 1965)})


def a_matrix() -> LeafPlan:
    return matrix(YEARS, missing=MISSING)


@pytest.fixture
def view(qtbot: QtBot) -> Iterator[LeafView]:
    view = LeafView()
    qtbot.addWidget(view)
    view.resize(900, 640)
    view.show_plan(a_matrix(), LIGHT)
    view.show()
    view.setFocus()
    QApplication.processEvents()
    yield view
    view.hide()


def name_of(view: LeafView, cell: int) -> str:
    plan = view._plan
    return plan.lines[plan.names[cell]]


def current_name(view: LeafView) -> str:
    return name_of(view, view.current_cell())


def go_to(view: LeafView, name: str) -> None:
    plan = view._plan
    view._go_to(plan.find_date(name))
    assert current_name(view) == name


def mouse(
    view: LeafView,
    kind: QEvent.Type,
    point: QPoint,
    buttons: Button = Button.LeftButton,
    modifiers: Modifier = Modifier.NoModifier,
) -> None:
    viewport = view.viewport()
    place = QPointF(viewport.mapToGlobal(point))
    event = QMouseEvent(kind, QPointF(point), place, Button.LeftButton, buttons, modifiers)
    QApplication.sendEvent(viewport, event)


def drag(view: LeafView, start: QPoint, end: QPoint, modifiers: Modifier) -> None:
    mouse(view, QEvent.Type.MouseButtonPress, start, modifiers=modifiers)
    mouse(view, QEvent.Type.MouseMove, end, modifiers=modifiers)
    mouse(view, QEvent.Type.MouseButtonRelease, end, Button.NoButton, modifiers)


# --- where things are


@pytest.mark.parametrize("zoom", [1.7, 1.0, 0.43, 0.2, 0.09])
@pytest.mark.parametrize("plan", [running(400), a_matrix()], ids=["running", "matrix"])
def test_the_middle_of_every_cell_is_that_cell(view: LeafView, plan: LeafPlan, zoom: float) -> None:
    view.show_plan(plan, LIGHT)
    view.set_zoom(zoom)
    for cell in range(plan.cells):
        rect = view.visualRect(view._model.index_of(cell))
        found = view._model.cell(view.indexAt(rect.center()))
        assert found == (cell if plan.is_drawn(cell) else -1)


def test_there_is_no_corner_button_and_no_header(view: LeafView) -> None:
    assert not any(button.isVisible() for button in view.findChildren(QAbstractButton))
    assert not view.horizontalHeader().isVisible()
    assert not view.verticalHeader().isVisible()
    assert view.viewport().geometry().topLeft() == QPoint(0, 0)


def test_the_current_slot_is_scrolled_into_view(view: LeafView) -> None:
    view.show_plan(running(2000), LIGHT)
    for slot in (2990, 1001, 1500, 2999):
        assert view.go_to_slot(slot)
        assert view.viewport().rect().contains(view.slot_rect(slot))


def test_a_slot_of_another_album_is_not_gone_to(view: LeafView) -> None:
    before = view.current_slot()
    assert not view.go_to_slot(999_999)
    assert view.current_slot() == before
    assert view.slot_rect(999_999) == QRect()


# --- keys


def test_home_and_end_go_to_the_ends_of_row_and_album(view: LeafView) -> None:
    go_to(view, "1943-D")
    QTest.keyClick(view, Key.Key_Home)
    assert current_name(view) == "1943"
    QTest.keyClick(view, Key.Key_End)
    assert current_name(view) == "1943-S"
    QTest.keyClick(view, Key.Key_Home, Modifier.ControlModifier)
    assert current_name(view) == "1938"
    QTest.keyClick(view, Key.Key_End, Modifier.ControlModifier)
    assert current_name(view) == "1964-S"


def test_arrows_walk_and_cross_leaves(view: LeafView) -> None:
    go_to(view, "1946")
    QTest.keyClick(view, Key.Key_Up)
    assert current_name(view) == "1945"
    for _ in range(3):
        QTest.keyClick(view, Key.Key_Right)
    assert current_name(view) == "1954"


def test_every_slot_is_reached_by_arrow_keys_alone(view: LeafView) -> None:
    view.show_plan(running(90), LIGHT)
    plan = view._plan
    view._go_to(plan.first_drawn())
    seen = set()
    for _ in range(plan.rows + 1):
        QTest.keyClick(view, Key.Key_Home)
        for _ in range(plan.max_columns):
            seen.add(view.current_cell())
            if not plan.where(view.current_cell())[1] < plan.max_columns:
                break
            row = plan.where(view.current_cell())[0]
            QTest.keyClick(view, Key.Key_Right)
            if plan.where(view.current_cell())[0] != row:
                QTest.keyClick(view, Key.Key_Left)
                break
        QTest.keyClick(view, Key.Key_Down)
    assert seen == {cell for cell in range(plan.cells) if plan.is_drawn(cell)}


def test_a_page_is_the_view_less_two_rows(view: LeafView) -> None:
    view.show_plan(running(2000), LIGHT)
    start = view.visualRect(view.currentIndex()).top()
    QTest.keyClick(view, Key.Key_PageDown)
    assert view._painter is not None
    row = view._painter.scale.cell_h
    moved = view.verticalOffset() + view.visualRect(view.currentIndex()).top() - start
    page = view.viewport().height() - 2 * row
    assert page <= moved <= page + 3 * row
    QTest.keyClick(view, Key.Key_PageUp)
    assert view.current_cell() == 0


@pytest.mark.parametrize(
    ("typed", "name"), [("43", "1943"), ("1943", "1943"), ("1943d", "1943-D"), ("43s", "1943-S")]
)
def test_typing_a_date_jumps(view: LeafView, typed: str, name: str) -> None:
    QTest.keyClicks(view, typed)
    assert current_name(view) == name


def test_a_date_typed_later_begins_anew(view: LeafView) -> None:
    QTest.keyClicks(view, "1943")
    QTest.qWait(QApplication.keyboardInputInterval() + 60)
    QTest.keyClicks(view, "51")
    assert current_name(view) == "1951"


def test_enter_and_double_click_open_a_slot(view: LeafView, qtbot: QtBot) -> None:
    go_to(view, "1943-D")
    slot = view.current_slot()
    with qtbot.waitSignal(view.slot_activated) as told:
        QTest.keyClick(view, Key.Key_Return)
    assert told.args == [slot]
    with qtbot.waitSignal(view.slot_activated) as told:
        qtbot.mouseDClick(view.viewport(), Button.LeftButton, pos=view.slot_rect(5).center())
    assert told.args == [5]


def test_a_cell_never_struck_can_be_stood_on_but_does_not_open(
    view: LeafView, qtbot: QtBot
) -> None:
    go_to(view, "1950-D")
    QTest.keyClick(view, Key.Key_Right)
    assert current_name(view) == "1950-S"
    assert view.current_slot() == 0
    assert view.selected_slots() == []
    with qtbot.assertNotEmitted(view.slot_activated):
        QTest.keyClick(view, Key.Key_Return)


def test_tab_leaves_the_view(view: LeafView) -> None:
    before = view.current_cell()
    QTest.keyClick(view, Key.Key_Tab)
    assert view.current_cell() == before


def test_zoom_keys(view: LeafView, qtbot: QtBot) -> None:
    with qtbot.waitSignal(view.zoom_changed) as told:
        QTest.keyClick(view, Key.Key_Plus, Modifier.ControlModifier)
    assert told.args == [pytest.approx(1.2)]
    QTest.keyClick(view, Key.Key_Minus, Modifier.ControlModifier)
    assert view.zoom() == pytest.approx(1.0)
    view.set_zoom(3.0)
    QTest.keyClick(view, Key.Key_0, Modifier.ControlModifier)
    assert view.zoom() == 1.0
    QTest.keyClick(view, Key.Key_9, Modifier.ControlModifier)
    for cell in range(view._plan.cells):
        assert view.viewport().rect().contains(view._cell_rect(cell))


def test_resizing_keeps_the_current_slot_in_view(view: LeafView) -> None:
    view.show_plan(running(2000), LIGHT)
    view.go_to_slot(2500)
    for width in (1700, 500, 2400, 900, 1300):
        view.resize(width, 640)
        QApplication.processEvents()
        assert view.slot_rect(2500).intersects(view.viewport().rect())


def test_dragging_from_a_slot_selects_a_rectangle(view: LeafView) -> None:
    start, end = view.slot_rect(1).center(), view.slot_rect(8).center()
    drag(view, start, end, Modifier.NoModifier)
    assert view.selected_slots() == [1, 2, 4, 5, 7, 8]


# --- zoom


def test_the_cell_under_the_pointer_stays_there(view: LeafView) -> None:
    view.show_plan(running(2000), LIGHT)
    view.set_zoom(2.2)
    view.verticalScrollBar().setValue(1800)
    view.horizontalScrollBar().setValue(300)
    point = QPoint(400, 300)
    cell = view._cell_at(point)
    assert cell >= 0
    for turn in (120, 120, -120, -120, -120, 120):
        event = QWheelEvent(
            QPointF(point),
            QPointF(view.viewport().mapToGlobal(point)),
            QPoint(),
            QPoint(0, turn),
            Button.NoButton,
            Modifier.ControlModifier,
            Qt.ScrollPhase.NoScrollPhase,
            False,
        )
        QApplication.sendEvent(view.viewport(), event)
        assert view._cell_at(point) == cell


def test_a_leaf_is_fitted_and_brought_into_view(view: LeafView) -> None:
    view.show_plan(running(2000), LIGHT)
    view.go_to_slot(2500)
    view.fit_leaf()
    leaf = view._plan.leaves[view._plan.row_leaf[view.currentIndex().row()]]
    for row in range(leaf.first_row, leaf.first_row + leaf.rows):
        for cell in view._plan.cells_of_row(row):
            assert view.viewport().rect().contains(view._cell_rect(cell))


def test_zoom_stays_within_its_bounds(view: LeafView) -> None:
    view.set_zoom(100.0)
    assert view.zoom() == 4.0
    view.set_zoom(0.0)
    assert view.zoom() == 0.06


# --- selection


def test_a_band_selects_what_it_meets(view: LeafView) -> None:
    view.set_zoom(0.8)
    first, last = view.slot_rect(1), view.slot_rect(8)
    start = QPoint(first.left() - 3, first.top() + 2)
    drag(view, start, last.center(), Modifier.NoModifier)
    wanted = [
        slot
        for slot in range(1, 70)
        if view.slot_rect(slot).intersects(QRect(start, last.center()))
    ]
    assert len(wanted) == 6
    assert view.selected_slots() == wanted
    other = view.slot_rect(30)
    drag(view, other.topLeft() - QPoint(70, 0), other.center(), Modifier.ControlModifier)
    assert set(view.selected_slots()) >= {*wanted, 30}


def test_shift_and_arrows_select_a_rectangle(view: LeafView, qtbot: QtBot) -> None:
    go_to(view, "1939")
    with qtbot.waitSignal(view.selection_slots_changed) as told:
        QTest.keyClick(view, Key.Key_Right, Modifier.ShiftModifier)
    QTest.keyClick(view, Key.Key_Down, Modifier.ShiftModifier)
    assert told.args is not None
    assert len(told.args[0]) == 2
    names = [name_of(view, view._plan.cell_of_slot(slot)) for slot in view.selected_slots()]
    assert names == ["1939", "1939-D", "1940", "1940-D"]


def test_select_all_takes_every_slot_and_nothing_else(view: LeafView) -> None:
    view.selectAll()
    assert view.selected_slots() == list(range(1, 71))
    view.clearSelection()
    assert view.selected_slots() == []


def test_escape_ends_a_band(view: LeafView) -> None:
    mouse(view, QEvent.Type.MouseButtonPress, QPoint(2, 2))
    mouse(view, QEvent.Type.MouseMove, QPoint(200, 200))
    assert view._marks.band is not None
    QTest.keyClick(view, Key.Key_Escape)
    assert view._marks.band is None


# --- signals and modes


def test_the_current_slot_is_told_once_for_each_change(view: LeafView) -> None:
    told: list[int] = []
    view.current_slot_changed.connect(told.append)
    view.go_to_slot(4)
    view.go_to_slot(4)
    view.go_to_slot(5)
    view.show_plan(a_matrix(), LIGHT)
    view.show_plan(empty_plan(), LIGHT)
    assert told == [4, 5, 0]


def test_a_mode_gets_plain_keys_first(view: LeafView) -> None:
    keys: list[str] = []

    def take(event: QKeyEvent) -> bool:
        keys.append(event.text())
        return event.text() != "x"

    view.go_to_slot(4)
    view.set_mode_handler(take)
    QTest.keyClicks(view, "43v")
    assert keys == ["4", "3", "v"]
    assert view.current_slot() == 4
    override = QKeyEvent(QEvent.Type.ShortcutOverride, Key.Key_Space, Modifier.NoModifier, " ")
    override.ignore()
    QApplication.sendEvent(view, override)
    assert override.isAccepted()
    command = QKeyEvent(QEvent.Type.ShortcutOverride, Key.Key_Z, Modifier.ControlModifier, "z")
    command.ignore()
    QApplication.sendEvent(view, command)
    assert not command.isAccepted()
    view.set_mode_handler(None)
    override.ignore()
    QApplication.sendEvent(view, override)
    assert not override.isAccepted()
    QTest.keyClicks(view, "43")
    assert current_name(view) == "1943"


def test_a_click_is_told_in_a_mode_only(view: LeafView, qtbot: QtBot) -> None:
    centre = view.slot_rect(5).center()
    with qtbot.assertNotEmitted(view.slot_clicked):
        qtbot.mouseClick(view.viewport(), Button.LeftButton, pos=centre)
    view.set_mode_handler(lambda _: True)
    with qtbot.waitSignal(view.slot_clicked) as told:
        qtbot.mouseClick(view.viewport(), Button.LeftButton, pos=centre)
    assert told.args == [5]
    qtbot.mouseMove(view.viewport(), view.slot_rect(6).center())


def test_the_context_menu_is_asked_for_by_mouse_and_by_key(view: LeafView, qtbot: QtBot) -> None:
    view.go_to_slot(4)
    point = view.slot_rect(8).center()
    place = view.viewport().mapToGlobal(point)
    by_mouse = QContextMenuEvent(QContextMenuEvent.Reason.Mouse, point, place)
    with qtbot.waitSignal(view.context_menu_requested) as told:
        QApplication.sendEvent(view.viewport(), by_mouse)
    assert told.args == [8, place]
    by_key = QContextMenuEvent(QContextMenuEvent.Reason.Keyboard, point, place)
    with qtbot.waitSignal(view.context_menu_requested) as told:
        QApplication.sendEvent(view, by_key)
    assert told.args is not None
    assert told.args[0] == 4


# --- changes


def test_a_new_plan_keeps_the_place(view: LeafView) -> None:
    view.show_plan(running(2000), LIGHT)
    view.go_to_slot(2500)
    before = view.verticalScrollBar().value()
    assert before > 0
    view.show_plan(running(2000, seed=9), DARK)
    assert view.current_slot() == 2500
    assert view.verticalScrollBar().value() == before
    view.show_plan(running(2000), LIGHT, keep_position=False)
    assert view.verticalScrollBar().value() == 0
    assert view.current_cell() == 0


def test_an_updated_slot_is_told_to_screen_readers(view: LeafView, qtbot: QtBot) -> None:
    view.go_to_slot(4)
    cell = view.current_cell()
    view._plan.set_cell(cell, GlyphCode.FILLED, "VF-20", "", "VF-20")
    with qtbot.waitSignal(view._model.dataChanged):
        view.update_slots([4])
    assert view.currentIndex().data() == f"{name_of(view, cell)}, filled, VF-20"
    view.update_slots([])
    view.update_slots([999_999])


def test_a_tool_tip_tells_the_slot(view: LeafView) -> None:
    rect = view.slot_rect(4)
    place = view.viewport().mapToGlobal(rect.center())
    event = QHelpEvent(QEvent.Type.ToolTip, rect.center(), place)
    QApplication.sendEvent(view.viewport(), event)
    assert QToolTip.text() == view._plan.sentence(view._plan.cell_of_slot(4))
    QToolTip.hideText()


def test_hover_follows_the_pointer_and_ends_outside(view: LeafView) -> None:
    mouse(view, QEvent.Type.MouseMove, view.slot_rect(4).center(), Button.NoButton)
    assert view._marks.hover == view._plan.cell_of_slot(4)
    QApplication.sendEvent(view.viewport(), QEvent(QEvent.Type.Leave))
    assert view._marks.hover == -1


# --- whatever happens


KEYS = [
    Key.Key_Left,
    Key.Key_Right,
    Key.Key_Up,
    Key.Key_Down,
    Key.Key_Home,
    Key.Key_End,
    Key.Key_PageUp,
    Key.Key_PageDown,
    Key.Key_1,
    Key.Key_9,
    Key.Key_0,
    Key.Key_Plus,
    Key.Key_Minus,
    Key.Key_Return,
    Key.Key_Escape,
    Key.Key_A,
    Key.Key_Tab,
    Key.Key_Space,
    Key.Key_F2,
    Key.Key_Menu,
]
MODIFIERS = [Modifier.NoModifier, Modifier.ControlModifier, Modifier.ShiftModifier]


def test_an_empty_plan_survives_every_key(view: LeafView) -> None:
    view.show_plan(empty_plan("Nothing yet"), DARK)
    for key in KEYS:
        for modifier in MODIFIERS:
            QTest.keyClick(view, key, modifier)
    view.selectAll()
    view.fit_album()
    view.fit_leaf()
    view.set_shown(b"")
    view.set_preview({})
    QApplication.processEvents()  # the scroll bars go
    image = view.grab().toImage()
    colours = {image.pixelColor(x, y).name() for x in range(0, 900, 9) for y in range(0, 640, 9)}
    assert colours == {DARK.paper}
    assert view.current_slot() == 0
    assert view.selected_slots() == []


@pytest.mark.slow
def test_random_events_do_no_harm(view: LeafView) -> None:
    rnd = random.Random(7)
    plans = [
        running(50),
        running(600),
        running(25_000),
        matrix(list(range(1850, 1990))),
        running(1),
        empty_plan(),
        running(300, counts=(200,), rows_a_leaf=2),
    ]
    for _ in range(2000):
        _do_something(view, rnd, plans)
        if rnd.random() < 0.3:
            QApplication.processEvents()
    QApplication.processEvents()
    view.show_plan(a_matrix(), LIGHT, keep_position=False)
    assert view.current_slot() == 1


def _do_something(view: LeafView, rnd: random.Random, plans: list[LeafPlan]) -> None:
    if rnd.random() < 0.8:
        _use_keys_and_mouse(view, rnd)
    else:
        _call_something(view, rnd, plans)


def _use_keys_and_mouse(view: LeafView, rnd: random.Random) -> None:
    point = QPoint(rnd.randrange(-20, view.width() + 20), rnd.randrange(-20, view.height() + 20))
    modifiers = rnd.choice([Modifier.NoModifier, *MODIFIERS])
    button = rnd.choice([Button.NoButton, Button.LeftButton])
    match rnd.choices(range(6), [30, 10, 20, 10, 10, 1])[0]:
        case 0:
            QTest.keyClick(view, rnd.choice(KEYS), modifiers)
        case 1:
            mouse(view, QEvent.Type.MouseButtonPress, point, modifiers=modifiers)
        case 2:
            mouse(view, QEvent.Type.MouseMove, point, button, modifiers)
        case 3:
            mouse(view, QEvent.Type.MouseButtonRelease, point, Button.NoButton, modifiers)
        case 4:
            _turn_wheel(view, point, rnd.choice([-120, 120, 30, -30, 360]), modifiers)
        case _:
            place = view.viewport().mapToGlobal(point)
            QApplication.sendEvent(view.viewport(), QHelpEvent(QEvent.Type.ToolTip, point, place))


def _call_something(view: LeafView, rnd: random.Random, plans: list[LeafPlan]) -> None:
    match rnd.choices(range(8), [3, 2, 2, 3, 2, 2, 2, 1])[0]:
        case 0:
            view.resize(rnd.randrange(1, 1500), rnd.randrange(1, 1100))
        case 1:
            view.show_plan(rnd.choice(plans), rnd.choice([LIGHT, DARK]), rnd.random() < 0.5)
        case 2:
            view.set_palette_colours(rnd.choice([LIGHT, DARK]))
        case 3:
            _change_a_cell(view, rnd)
        case 4:
            rnd.choice([view.fit_album, view.fit_leaf, view.selectAll])()
        case 5:
            shown = bytes(rnd.randrange(2) for _ in range(view._plan.cells))
            view.set_shown(rnd.choice([None, shown]))
        case 6:
            cells = range(min(20, view._plan.cells))
            view.set_preview({cell: (1, "a", "b") for cell in cells if rnd.random() < 0.5})
        case _:
            QApplication.sendEvent(view, QEvent(QEvent.Type.DevicePixelRatioChange))


def _change_a_cell(view: LeafView, rnd: random.Random) -> None:
    cell = rnd.randrange(max(1, view._plan.cells))
    if cell < view._plan.cells and view._plan.is_drawn(cell):
        view._plan.set_cell(cell, rnd.randrange(10) | rnd.choice([0, 16, 64]), "1909", "VF-20")
        view.update_slots([view._plan.slot_ids[cell]])


def _turn_wheel(view: LeafView, point: QPoint, turn: int, modifiers: Modifier) -> None:
    event = QWheelEvent(
        QPointF(point),
        QPointF(view.viewport().mapToGlobal(point)),
        QPoint(),
        QPoint(0, turn),
        Button.NoButton,
        modifiers,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    QApplication.sendEvent(view.viewport(), event)


def test_going_to_a_first_row_brings_the_title_of_its_leaf_into_view(view: LeafView) -> None:
    assert view._painter is not None
    go_to(view, "1961")
    assert view.verticalScrollBar().value() > 0
    go_to(view, "1938")
    assert view._logical(view._painter.flow.leaf_box(0)).top() >= 0


def test_an_album_opens_at_a_zoom_that_shows_a_wide_leaf_whole(view: LeafView) -> None:
    view.show_plan(running(120, counts=(12,), rows_a_leaf=5), LIGHT)
    view.fit_reading()
    assert view.horizontalScrollBar().maximum() == 0
    assert view.zoom() >= LEAST_READING
    view.show_plan(running(400, counts=(18,), rows_a_leaf=5), LIGHT)  # wider than reads best
    view.fit_reading()
    assert view.horizontalScrollBar().maximum() == 0
    assert LEAST_WIDE < view.zoom() < LEAST_READING


def test_captions_are_passed_over_by_keys_and_mouse_and_stay_under_a_filter(
    view: LeafView,
) -> None:
    plan = beside([1938, 1939, 1940, 1941], rows_a_leaf=2)
    view.show_plan(plan, LIGHT)
    view.set_zoom(1.0)
    go_to(view, "1938-S")
    QTest.keyClick(view, Key.Key_Right)
    assert current_name(view) == "1940-P"
    QTest.keyClick(view, Key.Key_Left)
    assert current_name(view) == "1938-S"
    box = view._cell_rect(plan.captions[0])
    mouse(view, QEvent.Type.MouseButtonPress, box.center())
    mouse(view, QEvent.Type.MouseButtonRelease, box.center())
    assert current_name(view) == "1938-S"
    view.selectAll()
    assert len(view.selected_slots()) == len([c for c in range(plan.cells) if plan.is_slot(c)])
    view.clearSelection()
    before = view.viewport().grab(box).toImage()
    view.set_shown(bytes(plan.cells))
    QApplication.processEvents()
    assert view.viewport().grab(box).toImage() == before
    assert len(colours_of(before)) > 3


def colours_of(image: QImage) -> set[int]:
    return {image.pixel(x, y) for x in range(image.width()) for y in range(image.height())}


def test_right_at_the_end_of_a_leaf_goes_on_past_rows_that_stay_free(view: LeafView) -> None:
    builder = PlanBuilder("x", has_two_lines=False)
    coins = [PlanCell(GlyphCode.GAP, str(1900 + n), slot_id=n + 1) for n in range(4)]
    builder.add_leaf("Leaf 1", "", [PlanRow(coins[:1]), PlanRow(coins[1:2])])
    free = PlanRow([SPACER_CELL])
    builder.add_leaf("Leaf 2", "", [PlanRow(coins[2:3]), free, PlanRow(coins[3:])])
    view.show_plan(builder.build(), LIGHT)
    view.set_zoom(0.5)
    QApplication.processEvents()
    go_to(view, "1901")
    QTest.keyClick(view, Key.Key_Right)
    assert current_name(view) == "1902"
