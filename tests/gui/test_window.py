"""The window: workspaces, shelf, filters, menus, keys, and what it says."""

from collections.abc import Callable
from pathlib import Path
from time import monotonic

import pytest
from PySide6.QtCore import SIGNAL, QPoint, Qt
from PySide6.QtGui import QKeySequence
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QMenu

from core.app.collection import Collection, make_collection
from core.app.operations import clear_slots, set_note
from core.model.album import AlbumId
from core.model.state import SlotState
from gui.actions import COMMANDS
from gui.album.shown import GAPS
from gui.theme import DARK_THEME, LIGHT_THEME, current_theme
from tests.gui.window_material import OpenWindow, close_window, open_window, small_collection

KEY = Qt.Key


def press(window: OpenWindow, key: Qt.Key, modifiers=Qt.KeyboardModifier.NoModifier) -> None:
    """A key on the leaf, as a person presses it."""
    leaf = window.albums.centre.leaf
    window.window.activateWindow()
    QTest.qWaitForWindowActive(window.window)
    leaf.setFocus()
    QTest.keyClick(leaf, key, modifiers)


# ---- beginning ------------------------------------------------------------------------------


def test_first_start_offers_three_ways_each_with_its_key(unopened: OpenWindow) -> None:
    page = unopened.duties.first_start
    assert page is not None
    assert list(page.tiles) == ["demo", "new_collection", "open"]
    assert not unopened.duties.tabs["albums"].isVisible()


def test_a_collection_started_is_empty_and_names_the_next_step(
    unopened: OpenWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "Shoe box.slotleaf"
    monkeypatch.setattr("gui.file_choice.choose_new_file", lambda *_args: target)
    page = unopened.duties.first_start
    assert page is not None
    page.tiles["new_collection"].click()
    assert target.exists()
    assert unopened.desk.collection_name == "Shoe box"
    albums = unopened.albums
    assert albums.pages.currentWidget() is albums.empty
    assert albums.empty.button.text() == "New album…"
    assert albums.empty.hint.text() == "Ctrl+N"


def test_the_demo_opens_from_the_first_start(
    unopened: OpenWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = small_collection(tmp_path / "demo.slotleaf")
    monkeypatch.setattr("gui.window_duties.demo_file", lambda: path)
    page = unopened.duties.first_start
    assert page is not None
    page.tiles["demo"].click()
    assert unopened.desk.collection_name == "Kitchen drawer"


def test_a_missing_file_leaves_a_way_to_begin(qapp: QApplication, tmp_path: Path) -> None:
    window = open_window(qapp, tmp_path, tmp_path / "nowhere.slotleaf")
    assert window.duties.pages.currentWidget() is window.duties.first_start
    assert "nowhere.slotleaf" in window.duties.notices.text
    close_window(window)


def test_the_window_remembers_file_and_album(opened: OpenWindow) -> None:
    opened.albums.open_album(opened.albums.shelf.model.albums[1].id)
    settings = opened.program.settings
    assert settings.last_file == opened.desk.path
    assert settings.last_album == int(opened.albums.shelf.model.albums[1].id)


# ---- shelf ----------------------------------------------------------------------------------


def test_the_shelf_tells_each_album_with_its_counts(opened: OpenWindow) -> None:
    model = opened.albums.shelf.model
    said = [model.index(n).data(Qt.ItemDataRole.AccessibleTextRole) for n in range(2)]
    assert said == [
        "War nickels, have 1 of 12 · at target 0",
        "Later nickels, have 0 of 5 · at target 0",
    ]


def test_arrow_keys_on_the_shelf_open_albums_and_enter_goes_on(opened: OpenWindow) -> None:
    shelf = opened.albums.shelf
    opened.window.activateWindow()
    QTest.qWaitForWindowActive(opened.window)
    shelf.list.setFocus()
    QTest.keyClick(shelf.list, KEY.Key_Down)
    assert opened.albums.centre.title.whole_text == "Later nickels"
    QTest.keyClick(shelf.list, KEY.Key_Return)
    assert opened.albums.centre.leaf.hasFocus()


def test_counts_follow_every_change(opened: OpenWindow) -> None:
    opened.go_to("1943-D")
    opened.albums.card.primary.click()
    model = opened.albums.shelf.model
    assert model.index(0).data(Qt.ItemDataRole.AccessibleTextRole).endswith("at target 1")
    assert opened.albums.centre.beside.whole_text == "at target 1"


def test_albums_are_read_when_they_are_shown_again_not_while_another_workspace_is(
    opened: OpenWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[str] = []
    plain = opened.desk.ask

    def ask(*order: object, **more: object) -> object:
        asked.extend(word for word in (*order, *more.values()) if isinstance(word, str))
        return plain(*order, **more)  # type: ignore[arg-type]  # handed through

    monkeypatch.setattr(opened.desk, "ask", ask)
    opened.go_to("1943-D")
    slot, before = opened.slot("1943-D").id, opened.state("1943-D")
    opened.duties.show_workspace("coins")
    asked.clear()
    opened.desk.run(set_note(slot, "seen"))
    opened.desk.run(clear_slots([slot]))
    of_albums = {"Reading the album", "Counting the albums"}
    assert not of_albums & set(asked)
    assert opened.state("1943-D") == before
    opened.duties.show_workspace("albums")
    assert of_albums <= set(asked)
    assert opened.state("1943-D") != before
    model = opened.albums.shelf.model
    assert "have 0 of 12" in model.index(0).data(Qt.ItemDataRole.AccessibleTextRole)
    asked.clear()
    opened.duties.show_workspace("coins")
    opened.duties.show_workspace("albums")
    assert not of_albums & set(asked)  # nothing was changed meanwhile


def test_a_name_already_on_the_shelf_is_told_in_the_dialog(
    opened: OpenWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[str] = []

    def ask(*_arguments: object, fault: Callable[[list[str]], str]) -> None:
        here, other = (album.name for album in opened.albums.shelf.model.albums)
        told.extend(fault([name]) for name in (here, f" {other.upper()}", "Wartime"))

    monkeypatch.setattr("gui.text_dialog.TextDialog.ask", ask)
    opened.duties.actions["rename_album"].trigger()
    assert told == [
        "",
        "There is an album called Later nickels already; choose another name.",
        "",
    ]


def test_rename_and_delete_can_be_undone(
    opened: OpenWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("gui.text_dialog.TextDialog.ask", lambda *_args, **_named: ["Wartime"])
    opened.duties.actions["rename_album"].trigger()
    assert opened.albums.centre.title.whole_text == "Wartime"
    opened.duties.actions["delete_album"].trigger()
    assert opened.albums.centre.title.whole_text == "Later nickels"
    assert "Undo brings it back" in opened.duties.notices.text
    opened.duties.actions["undo"].trigger()
    assert [a.name for a in opened.albums.shelf.model.albums] == ["Wartime", "Later nickels"]


def test_the_last_album_gone_leaves_the_empty_state(opened: OpenWindow) -> None:
    for _ in range(2):
        opened.duties.actions["delete_album"].trigger()
    assert opened.albums.pages.currentWidget() is opened.albums.empty
    opened.duties.actions["undo"].trigger()
    assert opened.albums.pages.currentWidget() is opened.albums.centre


def test_a_new_album_is_shown_at_once(opened: OpenWindow, monkeypatch: pytest.MonkeyPatch) -> None:
    def make(_parent: object, desk: object) -> AlbumId:
        from core.app.operations import add_album
        from core.model.arrangement import Arrangement
        from core.model.plan_album import AlbumPlan
        from tests.gui.window_material import NICKELS

        opened.desk.run(add_album("Made", NICKELS, AlbumPlan(years=(1960, 1962)), Arrangement()))
        return AlbumId(3)

    opened.duties.show_workspace("coins")
    monkeypatch.setattr("gui.album.new_album.NewAlbumDialog.ask", make)
    opened.duties.actions["new_album"].trigger()
    assert opened.albums.isVisible()  # also where it was asked for among the coins
    assert opened.albums.centre.title.whole_text == "Made"
    assert opened.albums.shelf.list.currentIndex().row() == 2


# ---- the album ------------------------------------------------------------------------------


def test_a_change_keeps_selection_and_place(opened: OpenWindow) -> None:
    leaf = opened.albums.centre.leaf
    plan = leaf._plan
    opened.go_to("1943-D")
    opened.albums.card.primary.click()
    assert leaf._plan is plan
    assert leaf.current_slot() == int(opened.slot("1943-D").id)


def test_show_and_chips_are_one_choice(opened: OpenWindow) -> None:
    centre = opened.albums.centre
    press(opened, KEY.Key_G)
    assert centre.shown == GAPS
    assert centre.legend.states[SlotState.GAP].isChecked()
    assert "gaps" in centre.show_button.text()
    centre.legend.states[SlotState.BELOW_TARGET].click()
    assert centre.shown.states == {SlotState.GAP, SlotState.BELOW_TARGET}
    assert "your choice" in centre.show_button.text()
    press(opened, KEY.Key_E)
    assert centre.shown.is_all
    assert not centre.legend.states[SlotState.GAP].isChecked()


def test_a_filter_that_leaves_nothing_says_so_and_how_to_go_on(opened: OpenWindow) -> None:
    centre = opened.albums.centre
    opened.albums.open_album(opened.albums.shelf.model.albums[1].id)
    press(opened, KEY.Key_B)
    assert centre.nothing_shown.label.text() == "Later nickels has nothing below target."
    centre.nothing_shown.button.click()
    assert centre.nothing_shown.isHidden()
    assert centre.shown.is_all


def test_a_filter_follows_what_changes(opened: OpenWindow) -> None:
    centre = opened.albums.centre
    press(opened, KEY.Key_G)
    cell = opened.view.plan.cell_of_slot(int(opened.slot("1943-D").id))
    shown = centre.leaf._cells
    assert shown._shown is not None
    assert not shown._shown[cell]
    opened.go_to("1943-D")
    press(opened, KEY.Key_Delete)
    assert shown._shown[cell]


@pytest.mark.parametrize(
    ("key", "word"),
    [(KEY.Key_P, "pinned"), (KEY.Key_V, "to verify"), (KEY.Key_X, "skipped"),
     (KEY.Key_O, "optional"), (KEY.Key_R, "filled"), (KEY.Key_Delete, "gap")],
)  # fmt: skip
def test_keys_change_the_slot(opened: OpenWindow, key: Qt.Key, word: str) -> None:
    opened.go_to("1943-D")
    press(opened, key)
    assert word in opened.state("1943-D")


def test_a_letter_typed_after_a_date_is_no_command(opened: OpenWindow) -> None:
    leaf = opened.albums.centre.leaf
    for key in (KEY.Key_1, KEY.Key_9, KEY.Key_4, KEY.Key_4, KEY.Key_S):
        press(opened, key)
    assert leaf.current_slot() == int(opened.slot("1944-S").id)
    assert opened.albums._stocking is None


def test_undo_and_redo_by_keys_and_their_labels(opened: OpenWindow) -> None:
    opened.go_to("1943-D")
    press(opened, KEY.Key_P)
    assert opened.duties.undo_button.toolTip() == "Undo: pin a slot · 1943-D (Ctrl+Z)"
    press(opened, KEY.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert "pinned" not in opened.state("1943-D")
    both = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier
    press(opened, KEY.Key_Z, both)
    assert "pinned" in opened.state("1943-D")


def test_the_slots_menu_holds_what_applies(opened: OpenWindow) -> None:
    opened.go_to("1943-D")
    opened.albums._on_slot_menu(int(opened.slot("1943-D").id), QPoint(10, 10))
    menu = opened.albums.findChild(QMenu)
    assert menu is not None
    texts = [action.text() for action in menu.actions() if action.text()]
    assert "Take out" in texts
    assert "Arrived" not in texts
    assert "Put in the best spare" in texts
    menu.close()


def test_the_arrangement_can_be_changed_and_undone(opened: OpenWindow) -> None:
    centre = opened.albums.centre
    centre._fill_arrange_menu()
    names = [a.text() for a in centre.arrange_button.choices.actions() if a.text()]
    assert names[:2] == ["Years × mints", "Running 8 × 6"]
    centre.arrange_button.choices.actions()[1].trigger()
    assert "running 8 × 6" in centre.arrange_button.text()
    assert opened.view.plan.has_two_lines
    opened.duties.actions["undo"].trigger()
    assert "years × mints" in centre.arrange_button.text()


def test_another_running_size_is_asked_for(
    opened: OpenWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("gui.text_dialog.TextDialog.ask", lambda *_args: ["5", "3"])
    opened.albums.whole.ask_other_size()
    assert "running 5 × 3" in opened.albums.centre.arrange_button.text()
    monkeypatch.setattr("gui.text_dialog.TextDialog.ask", lambda *_args: ["0", "3"])
    opened.albums.whole.ask_other_size()
    assert "running:9x5" in opened.duties.notices.text


# ---- card and drawer ------------------------------------------------------------------------


def test_a_wide_window_has_the_card_beside_the_album(opened: OpenWindow) -> None:
    side = opened.albums.side
    assert not side.is_drawer
    assert side.isVisible()
    assert side.geometry().left() >= opened.albums.centre.geometry().right()


def test_a_narrow_window_has_a_drawer_that_enter_opens_and_escape_closes(
    opened: OpenWindow, qtbot
) -> None:
    opened.window.resize(1280, 800)
    qtbot.waitUntil(lambda: opened.albums.side.is_drawer)
    side = opened.albums.side
    assert not side.isVisible()
    opened.go_to("1943-D")
    press(opened, KEY.Key_Return)
    assert side.isVisible()
    focus = QApplication.focusWidget()
    assert focus is opened.albums.card.primary
    QTest.keyClick(focus, KEY.Key_Escape)
    assert not side.isVisible()
    assert opened.albums.centre.leaf.hasFocus()
    press(opened, KEY.Key_Return)
    opened.albums.focus_leaf()
    press(opened, KEY.Key_Escape)
    assert not side.isVisible()
    opened.window.resize(1440, 900)
    qtbot.waitUntil(lambda: not side.is_drawer)
    assert side.isVisible()


def test_escape_on_the_album_leaves_fill(opened: OpenWindow, qtbot) -> None:
    opened.go_to("1943-D")
    press(opened, KEY.Key_F)
    albums = opened.albums
    assert albums.side.stack.currentWidget() is not albums.card
    albums.focus_leaf()
    press(opened, KEY.Key_Escape)
    assert albums.side.stack.currentWidget() is albums.card


def test_the_target_key_opens_its_line_ready_to_type(opened: OpenWindow) -> None:
    opened.go_to("1943-D")
    press(opened, KEY.Key_T)
    field = opened.albums.card.target_form.field
    assert QApplication.focusWidget() is field
    QTest.keyClicks(field, "g4")
    QTest.keyClick(field, KEY.Key_Return)
    assert "filled" in opened.state("1943-D")
    assert opened.albums.centre.leaf.hasFocus()


# ---- fill, stock ----------------------------------------------------------------------------


def test_fill_shows_its_moves_beside_the_album_and_undoes_at_once(opened: OpenWindow) -> None:
    opened.duties.actions["fill"].trigger()
    panel = opened.albums._fill_panel
    assert panel is not None
    assert opened.albums.side.stack.currentWidget() is panel
    assert opened.albums.centre.leaf._cells.proposals
    panel.accept()
    assert "filled" in opened.state("1943-D")
    assert "F-12" in opened.state("1944-P")
    assert opened.albums.side.stack.currentWidget() is opened.albums.card
    assert not opened.albums.centre.leaf._cells.proposals
    opened.duties.actions["undo"].trigger()
    assert "below target" in opened.state("1943-D")


def test_stocking_takes_the_keys_and_gives_them_back(opened: OpenWindow) -> None:
    press(opened, KEY.Key_S)
    mode = opened.albums._stocking
    assert mode is not None
    assert mode.is_on
    press(opened, KEY.Key_Space)
    assert "below target" in opened.state("1942")
    press(opened, KEY.Key_Escape)
    assert not mode.is_on
    opened.duties.actions["undo"].trigger()
    assert "gap" in opened.state("1942")


# ---- reading only, failures, theme ----------------------------------------------------------


def test_a_collection_one_can_only_look_at_says_why_and_changes_nothing(
    qapp: QApplication, tmp_path: Path
) -> None:
    path = small_collection(tmp_path / "drawer.slotleaf")
    with Collection.open(path):
        window = open_window(qapp, tmp_path, path)
        told = window.duties.read_only.band.label.text()
        assert told.startswith("Another window")
        assert told.endswith("only look.")
        assert not window.albums.shelf.new_button.isEnabled()
        assert window.duties.read_only.isVisible()
        changing = [c.id for c in COMMANDS if c.is_change]
        assert not any(window.duties.actions[name].isEnabled() for name in changing)
        window.go_to("1943-D")
        assert not window.albums.card.primary.isEnabled()
        assert window.albums.card.note.isReadOnly()
        close_window(window)


def test_a_refusal_stays_until_something_goes_well(opened: OpenWindow) -> None:
    opened.go_to("1942-D")
    press(opened, KEY.Key_Delete)
    assert "no coin" in opened.duties.notices.text
    press(opened, KEY.Key_P)
    assert opened.duties.notices.text == ""


def test_long_work_shows_a_band_with_cancel(opened: OpenWindow) -> None:
    top = opened.duties.notices
    top.show_work(True, "Filling", True)
    assert top.work.isVisible()
    assert top.cancel.isVisible()
    top.show_share(0.5, "Solving")
    assert top.bar.value() == 500
    top.show_work(False, "", False)
    assert not top.work.isVisible()


def test_a_fault_brings_the_report(opened: OpenWindow, monkeypatch: pytest.MonkeyPatch) -> None:
    shown: list[BaseException] = []
    monkeypatch.setattr("gui.failure.FailureDialog.ask", lambda _parent, error: shown.append(error))
    opened.desk.broke.emit(ZeroDivisionError("an invented fault"))
    assert isinstance(shown[0], ZeroDivisionError)


def test_the_theme_can_be_chosen_and_is_kept(opened: OpenWindow) -> None:
    def choose(name: str) -> None:
        opened.duties.choose_theme(name)
        until = monotonic() + 60
        while not opened.window.updatesEnabled():  # it takes a few turns
            assert monotonic() < until
            opened.program.app.processEvents()

    choose("dark")
    assert current_theme() == DARK_THEME
    leaf = opened.albums.centre.leaf
    assert leaf._colours == DARK_THEME.palette
    assert opened.program.settings.theme == "dark"
    choose("light")
    assert current_theme() == LIGHT_THEME
    assert leaf._colours == LIGHT_THEME.palette


def test_the_collection_can_be_renamed_and_copied(
    opened: OpenWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("gui.text_dialog.TextDialog.ask", lambda *_args, **_named: ["Attic"])
    opened.duties.actions["rename_collection"].trigger()
    assert opened.window.windowTitle().startswith("Attic")
    target = tmp_path / "copy.slotleaf"
    monkeypatch.setattr("gui.file_choice.choose_new_file", lambda *_args: target)
    opened.duties.actions["save_copy"].trigger()
    assert target.exists()
    assert "copy.slotleaf" in opened.duties.notices.text
    with Collection.open(target) as collection:
        assert collection.name == "Attic"


def test_closing_lets_go_of_the_file(qapp: QApplication, tmp_path: Path) -> None:
    path = small_collection(tmp_path / "drawer.slotleaf")
    window = open_window(qapp, tmp_path, path)
    close_window(window)
    with Collection.open(path) as collection:
        assert not collection.is_read_only


# ---- commands and names ---------------------------------------------------------------------


def test_no_key_means_two_things() -> None:
    keys = [QKeySequence(k).toString() for c in COMMANDS if c.is_bound for k in c.keys]
    assert len(keys) == len(set(keys))
    assert all(keys)


def test_every_command_does_something(opened: OpenWindow) -> None:
    opened.albums  # noqa: B018 - the workspace binds its own commands
    for command in COMMANDS:
        if command.is_bound:
            action = opened.duties.actions[command.id]
            assert action.receivers(SIGNAL("triggered(bool)")) > 0, command.id


def test_every_button_has_a_name_for_screen_readers(opened: OpenWindow) -> None:
    from PySide6.QtWidgets import QAbstractButton, QLineEdit

    opened.go_to("1943-D")
    inside_qt = {"qt_toolbar_ext_button"}
    for widget in opened.window.findChildren(QAbstractButton):
        if widget.isVisible() and widget.objectName() not in inside_qt:
            assert widget.accessibleName() or widget.text(), widget
    for field in opened.window.findChildren(QLineEdit):
        assert field.accessibleName(), field


def test_names_with_markup_are_shown_as_written(
    opened: OpenWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    name = "<b>R&D</b> <img src=x>"
    monkeypatch.setattr("gui.text_dialog.TextDialog.ask", lambda *_args, **_named: [name])
    opened.duties.actions["rename_album"].trigger()
    assert opened.albums.centre.title.whole_text == name
    assert opened.albums.centre.title.textFormat() is Qt.TextFormat.PlainText


def test_an_empty_collection_opens(qapp: QApplication, tmp_path: Path) -> None:
    path = tmp_path / "empty.slotleaf"
    make_collection(path, "Nothing yet")
    window = open_window(qapp, tmp_path, path)
    assert window.albums.pages.currentWidget() is window.albums.empty
    assert not window.albums.side.isVisible()
    close_window(window)
