"""Coins dragged and carried by keys, albums put in order: by mouse and by keyboard alike."""

import pytest
from PySide6.QtCore import QMimeData, QPoint, QRect, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QMenu
from pytestqt.qtbot import QtBot

from core.app.collection import Collection
from core.app.operations import add_album, add_and_place
from core.app.operations_albums import set_album_note
from core.lookup.parse import parse_entry
from core.model.album import AlbumId, Slot, Target, Wish
from core.model.arrangement import Arrangement
from core.model.plan_album import AlbumPlan
from gui.album import shelf as shelf_module
from gui.album.by_hand import ByHand
from gui.album.edit_album import EditAlbumDialog
from gui.album.shelf import ShelfList
from gui.leaf import drag_source as source_module
from gui.leaf import drop as drop_module
from gui.leaf.card_parts import SpareButton
from gui.leaf.leaf_drag import coin_data, coins_in
from gui.leaf.slot_menu import slot_menu
from gui.widgets import FactRow
from tests.gui.desk_material import collection_of
from tests.gui.drag_material import Drags, enter, leave, let_go, over, pull
from tests.gui.window_material import OpenWindow

Key = Qt.Key


@pytest.fixture
def drags(monkeypatch: pytest.MonkeyPatch) -> Drags:
    return Drags(monkeypatch, drop_module, shelf_module, source_module)


@pytest.fixture
def window(opened: OpenWindow) -> OpenWindow:
    """War nickels: 1943-D holds a VG-8 (coin 1); 1944-D holds an open 1944; spares 2 to 4."""
    opened.desk.ask(_more, lambda _none: None)
    opened.albums._read_view()
    return opened


def _more(collection: Collection) -> None:
    view = collection.album_view(collection.albums()[0].id)
    coin = parse_entry("1944 ? f12", [view.series]).coin
    collection.run(add_and_place(coin, collection.find_slot(view.album, "1944-D").id))


def hands(window: OpenWindow) -> ByHand:
    made = window.albums.by_hand
    assert made is not None
    return made


def card_rect(shelf: ShelfList, place: int) -> QRect:
    return shelf.visualRect(shelf.model().index(place, 0))


def middle(window: OpenWindow, label: str) -> QPoint:
    leaf = window.albums.centre.leaf
    leaf.go_to_slot(int(window.slot(label).id))
    return leaf.slot_rect(int(window.slot(label).id)).center()


def held(window: OpenWindow, label: str) -> int:
    coin = window.view.by_id[window.slot(label).id].coin
    return int(coin.id) if coin is not None else 0


# ---- by mouse ---------------------------------------------------------------------------------


def test_a_coin_is_dragged_out_of_its_slot_as_its_number(window: OpenWindow, drags: Drags) -> None:
    leaf = window.albums.centre.leaf
    at = middle(window, "1943-D")
    pull(leaf.viewport(), at, at + QPoint(60, 0))
    assert [coins_in(data) for data in drags.data] == [[1]]
    assert bytes(drags.data[0].data("application/x-slotleaf-coins").data()) == b"1"


def test_an_empty_slot_starts_no_drag_but_a_selection(window: OpenWindow, drags: Drags) -> None:
    leaf = window.albums.centre.leaf
    start, end = middle(window, "1942"), middle(window, "1942-D")
    pull(leaf.viewport(), start, end)
    assert drags.data == []
    assert len(leaf.selected_slots()) == 2


def test_dragging_to_an_empty_slot_moves_the_coin_and_is_one_undo(
    window: OpenWindow, drags: Drags
) -> None:
    leaf = window.albums.centre.leaf
    before = collection_of(window.desk).rows_hash()
    start, end = middle(window, "1944-D"), middle(window, "1944-S")
    seen: list[str] = []

    def carry(data: QMimeData) -> None:
        assert enter(leaf.viewport(), data, end)
        assert over(leaf.viewport(), data, end)
        seen.append(hands(window).drops.hint.text())
        assert (leaf._marks.drop_kind, leaf._marks.drop >= 0) == ("drop", True)
        assert let_go(leaf.viewport(), data, end)

    drags.then = carry
    pull(leaf.viewport(), start, end)
    assert seen == ["Moves to 1944-S, to verify: the mint would settle it"]
    assert (held(window, "1944-D"), held(window, "1944-S")) == (0, 5)
    assert leaf._marks.drop < 0
    assert not hands(window).drops.hint.isVisible()
    assert leaf.current_slot() == int(window.slot("1944-S").id)
    window.desk.undo()
    assert collection_of(window.desk).rows_hash() == before


def test_a_full_slot_says_that_it_swaps_before_it_does(window: OpenWindow, drags: Drags) -> None:
    leaf, desk = window.albums.centre.leaf, window.desk
    desk.ask(
        lambda c: c.run(
            add_and_place(
                parse_entry("1944 ? vf20", [window.view.series]).coin, window.slot("1944-S").id
            )
        ),
        lambda _done: None,
    )
    window.albums._read_view()
    start, end = middle(window, "1944-D"), middle(window, "1944-S")

    def carry(data: QMimeData) -> None:
        enter(leaf.viewport(), data, end)
        over(leaf.viewport(), data, end)
        assert leaf._marks.drop_kind == "swap"
        told = hands(window).drops.hint.text()
        assert told.startswith("Swaps with 1944, P, D or S? VF-20")
        assert "VF-20" in told
        let_go(leaf.viewport(), data, end)

    drags.then = carry
    pull(leaf.viewport(), start, end)
    assert (held(window, "1944-D"), held(window, "1944-S")) == (6, 5)
    assert window.desk.undo_label == "swap two slots · 1944-D, 1944-S"


def test_a_coin_that_does_not_fit_says_why_and_stays(window: OpenWindow, drags: Drags) -> None:
    leaf = window.albums.centre.leaf
    end = middle(window, "1942")
    data = coin_data([1])
    assert enter(leaf.viewport(), data, end)
    assert not over(leaf.viewport(), data, end)
    assert leaf._marks.drop_kind == "refuse"
    assert hands(window).drops.hint.text() == "Does not fit 1942: it is 1943-D"
    assert not let_go(leaf.viewport(), data, end)
    assert held(window, "1943-D") == 1
    assert leaf._marks.drop < 0


def test_a_spare_from_elsewhere_takes_the_place_of_the_coin_there(window: OpenWindow) -> None:
    leaf = window.albums.centre.leaf
    at = middle(window, "1943-D")
    data = coin_data([2])
    enter(leaf.viewport(), data, at)
    over(leaf.viewport(), data, at)
    assert hands(window).drops.hint.text() == (
        "Takes the place of 1943-D VG-8, which becomes a spare"
    )
    assert let_go(leaf.viewport(), data, at)
    assert held(window, "1943-D") == 2


def test_several_coins_and_other_things_are_not_taken(window: OpenWindow) -> None:
    leaf = window.albums.centre.leaf
    at = middle(window, "1943-D")
    other = QMimeData()
    other.setText("1943-D")
    assert not enter(leaf.viewport(), other, at)
    many = coin_data([2, 3])
    assert enter(leaf.viewport(), many, at)
    assert not over(leaf.viewport(), many, at)
    assert "one at a time" in hands(window).drops.hint.text()
    leave(leaf.viewport())
    assert not hands(window).drops.hint.isVisible()


@pytest.mark.parametrize("text", [b"", b"x", b"1,x", b"-1", b"1,,2"])
def test_what_is_no_list_of_coin_numbers_is_none(text: bytes) -> None:
    data = QMimeData()
    data.setData("application/x-slotleaf-coins", text)
    assert coins_in(data) == []


def test_nothing_is_dragged_while_a_past_day_is_shown(window: OpenWindow, drags: Drags) -> None:
    leaf = window.albums.centre.leaf
    at = middle(window, "1943-D")
    window.desk.look_back("A past day is shown.")
    pull(leaf.viewport(), at, at + QPoint(40, 0))
    assert drags.data == []
    assert not enter(leaf.viewport(), coin_data([2]), at)
    window.desk.look_back("")


def test_nothing_is_taken_while_an_album_is_stocked(window: OpenWindow, drags: Drags) -> None:
    leaf = window.albums.centre.leaf
    at = middle(window, "1943-D")
    window.albums.toggle_stocking()
    assert not enter(leaf.viewport(), coin_data([2]), at)
    pull(leaf.viewport(), at, at + QPoint(40, 0))
    assert drags.data == []
    window.albums.toggle_stocking()


def test_near_an_edge_the_album_scrolls(window: OpenWindow, qtbot: QtBot) -> None:
    leaf = window.albums.centre.leaf
    leaf.set_zoom(3.0)
    leaf.verticalScrollBar().setValue(0)
    data = coin_data([2])
    low = QPoint(leaf.viewport().width() // 2, leaf.viewport().height() - 4)
    enter(leaf.viewport(), data, low)
    over(leaf.viewport(), data, low)
    qtbot.waitUntil(lambda: leaf.verticalScrollBar().value() > 0, timeout=2000)
    leave(leaf.viewport())
    assert not leaf._edge_timer.isActive()


def test_a_tab_that_a_coin_rests_on_opens(window: OpenWindow, qtbot: QtBot) -> None:
    window.duties.show_workspace("coins")
    tab = window.duties.tabs["albums"]
    assert enter(tab, coin_data([2]), QPoint(4, 4))
    qtbot.waitUntil(lambda: window.duties.pages.currentWidget() is window.albums, timeout=2000)


def test_a_tab_that_a_coin_only_passes_stays_closed(window: OpenWindow) -> None:
    window.duties.show_workspace("coins")
    tab = window.duties.tabs["albums"]
    enter(tab, coin_data([2]), QPoint(4, 4))
    leave(tab)
    QTest.qWait(700)
    assert window.duties.pages.currentWidget() is not window.albums


# ---- by keys ----------------------------------------------------------------------------------


def test_a_coin_is_carried_by_keys(window: OpenWindow) -> None:
    leaf = window.albums.centre.leaf
    window.go_to("1944-D")
    window.duties.actions["move_coin"].trigger()
    mode = hands(window).mode
    assert mode.is_on
    assert mode.band.isVisible()
    assert mode.band.coin.whole_text.startswith("Moving 1944, P, D or S? F-12 from")
    assert mode.band.coin.whole_text.endswith("from War nickels, 1944-D")
    assert not mode.band.put.isEnabled()
    QTest.keyClick(leaf, Key.Key_Right)
    assert mode.band.words.whole_text.startswith("Moves to 1944-S")
    assert leaf._marks.drop_kind == "drop"
    assert leaf._marks.lifted == window.view.plan.cell_of_slot(int(window.slot("1944-D").id))
    QTest.keyClick(leaf, Key.Key_Return)
    assert (held(window, "1944-D"), held(window, "1944-S")) == (0, 5)
    assert not mode.is_on
    assert leaf._marks.lifted < 0
    assert not mode.band.isVisible()
    assert window.desk.undo_label == "move a coin · 1944-D, 1944-S"


def test_esc_leaves_the_coin_where_it_is(window: OpenWindow) -> None:
    leaf = window.albums.centre.leaf
    before = collection_of(window.desk).rows_hash()
    window.go_to("1944-D")
    window.duties.actions["move_coin"].trigger()
    QTest.keyClick(leaf, Key.Key_Right)
    QTest.keyClick(leaf, Key.Key_Escape)
    assert not hands(window).mode.is_on
    assert leaf._marks.drop < 0
    assert collection_of(window.desk).rows_hash() == before


def test_enter_where_it_does_not_fit_does_nothing_and_says_so(window: OpenWindow) -> None:
    leaf = window.albums.centre.leaf
    window.go_to("1943-D")
    window.duties.actions["move_coin"].trigger()
    QTest.keyClicks(leaf, "1945")
    mode = hands(window).mode
    assert leaf.current_slot() == int(window.slot("1945-P").id)
    assert mode.band.words.whole_text == "Does not fit 1945-P: it is 1943-D"
    QTest.keyClick(leaf, Key.Key_Return)
    assert mode.is_on
    assert held(window, "1943-D") == 1


def test_a_coin_is_carried_to_another_album(window: OpenWindow) -> None:
    leaf = window.albums.centre.leaf
    made = _second(window)
    window.go_to("1943-D")
    window.duties.actions["move_coin"].trigger()
    window.albums.open_album(made)
    leaf.go_to_slot(int(window.slot("1943-D").id))
    mode = hands(window).mode
    assert mode.band.words.whole_text == "Moves to 1943-D"
    QTest.keyClick(leaf, Key.Key_Return)
    assert held(window, "1943-D") == 1
    assert window.view.album.id == made


def _second(window: OpenWindow) -> AlbumId:
    collection = collection_of(window.desk)
    order = add_album("Second", window.view.series.id, AlbumPlan((1942, 1945)), Arrangement())
    made = collection.run(order).made_album
    assert made is not None
    window.albums._read_shelf()
    window.albums.open_album(collection.albums()[0].id)
    return made


def test_an_empty_slot_has_no_coin_to_carry(window: OpenWindow) -> None:
    said: list[str] = []
    window.albums.said.connect(said.append)
    window.go_to("1942")
    window.duties.actions["move_coin"].trigger()
    assert not hands(window).mode.is_on
    assert said == ["There is no coin here to move; stand on a slot that holds one."]


def test_stocking_and_a_past_day_take_the_coin_out_of_the_hand(window: OpenWindow) -> None:
    for begin in (
        window.albums.toggle_stocking,
        lambda: window.desk.look_back("A past day is shown."),
    ):
        window.go_to("1943-D")
        window.duties.actions["move_coin"].trigger()
        assert hands(window).mode.is_on
        begin()
        assert not hands(window).mode.is_on
        window.albums._end_stocking()
    window.desk.look_back("")
    assert window.albums.centre.leaf.mode_handler is None


# ---- the shelf --------------------------------------------------------------------------------


def names(window: OpenWindow) -> list[str]:
    return [album.name for album in window.albums.shelf.model.albums]


def test_a_card_is_dragged_to_another_place(window: OpenWindow, drags: Drags) -> None:
    _second(window)
    shelf = window.albums.shelf.list
    assert names(window) == ["War nickels", "Later nickels", "Second"]
    rects = [card_rect(shelf, n) for n in range(3)]
    low = QPoint(rects[2].center().x(), rects[2].bottom() - 10)

    def carry(data: QMimeData) -> None:
        assert enter(shelf.viewport(), data, low)
        assert over(shelf.viewport(), data, low)
        assert shelf.drop_place == 3
        assert let_go(shelf.viewport(), data, low)

    drags.then = carry
    pull(shelf.viewport(), rects[0].center(), rects[1].center())
    assert names(window) == ["Later nickels", "Second", "War nickels"]
    assert shelf.drop_place == -1
    assert shelf.currentIndex().row() == 2
    assert window.view.album.name == "War nickels"
    window.desk.undo()
    assert names(window) == ["War nickels", "Later nickels", "Second"]


def test_a_card_let_go_where_it_stands_changes_nothing(window: OpenWindow, drags: Drags) -> None:
    shelf = window.albums.shelf.list
    entries = len(collection_of(window.desk).entries())
    at = card_rect(shelf, 0).center() + QPoint(0, 8)
    drags.then = lambda data: let_go(shelf.viewport(), data, at)
    pull(shelf.viewport(), at, at + QPoint(0, 20))
    assert len(drags.data) == 1
    assert len(collection_of(window.desk).entries()) == entries


def test_alt_and_arrows_move_the_open_album(window: OpenWindow) -> None:
    _second(window)
    actions = window.duties.actions
    assert actions["album_down"].shortcut().toString() == "Alt+Down"
    actions["album_down"].trigger()
    assert names(window) == ["Later nickels", "War nickels", "Second"]
    assert window.view.album.name == "War nickels"
    assert window.albums.shelf.list.currentIndex().row() == 1
    actions["album_up"].trigger()
    actions["album_up"].trigger()
    assert names(window) == ["War nickels", "Later nickels", "Second"]
    assert window.desk.undo_label == "order the shelf"


def test_a_coin_that_rests_on_a_card_opens_its_album(window: OpenWindow, qtbot: QtBot) -> None:
    shelf = window.albums.shelf.list
    at = card_rect(shelf, 1).center()
    assert enter(shelf.viewport(), coin_data([2]), at)
    assert not over(shelf.viewport(), coin_data([2]), at)
    qtbot.waitUntil(lambda: window.view.album.name == "Later nickels", timeout=2000)
    leave(shelf.viewport())


# ---- from the card ----------------------------------------------------------------------------


def test_a_spare_is_dragged_from_the_card_and_still_pressed(
    window: OpenWindow, drags: Drags
) -> None:
    window.go_to("1943-D")
    (spare,) = window.albums.card.findChildren(SpareButton)
    at = spare.rect().center()
    pull(spare, at, at + QPoint(40, 0))
    assert [coins_in(data) for data in drags.data] == [[2]]
    assert held(window, "1943-D") == 1
    assert not spare.isDown()
    QTest.mouseClick(spare, Qt.MouseButton.LeftButton)
    assert held(window, "1943-D") == 2


def test_the_coin_line_of_the_card_drags_the_slots_coin(window: OpenWindow, drags: Drags) -> None:
    window.go_to("1943-D")
    lines = window.albums.card.findChildren(FactRow)
    line = next(part for part in lines if "In the slot" in part.value.accessibleName())
    at = line.value.rect().center()
    pull(line.value, at, at + QPoint(0, 40))
    assert [coins_in(data) for data in drags.data] == [[1]]
    window.desk.look_back("A past day is shown.")
    window.albums.card.set_read_only(True)
    pull(line.value, at, at + QPoint(0, 40))
    assert len(drags.data) == 1
    window.desk.look_back("")


def test_the_glyph_of_the_card_drags_the_slots_coin_and_a_gaps_glyph_none(
    window: OpenWindow, drags: Drags
) -> None:
    glyph = window.albums.card.glyph
    at = glyph.rect().center()
    for label in ("1943-D", "1943-D"):  # shown twice, it is watched once
        window.go_to(label)
        pull(glyph, at, at + QPoint(0, 40))
    assert [coins_in(data) for data in drags.data] == [[1], [1]]
    assert glyph.toolTip() == "Drag this coin to a slot (M)"
    window.go_to("1945-S")
    assert held(window, "1945-S") == 0
    assert window.albums.card.glyph.toolTip() == ""
    pull(glyph, at, at + QPoint(0, 40))
    assert len(drags.data) == 2
    assert not glyph.toolTip()


# ---- several slots at once --------------------------------------------------------------------


def select(window: OpenWindow, *labels: str) -> None:
    leaf = window.albums.centre.leaf
    leaf.go_to_slot(int(window.slot(labels[0]).id))
    model = leaf.selectionModel()
    for label in labels[1:]:
        cell = window.view.plan.cell_of_slot(int(window.slot(label).id))
        index = leaf._model.index_of(cell)
        model.select(index, model.SelectionFlag.Select)
    window.show_card()


def test_values_that_differ_are_various(window: OpenWindow) -> None:
    select(window, "1942", "1942-D", "1943-D")
    card, orders = window.albums.card, window.albums._orders
    assert card.target.button.text().startswith("VF-20")
    orders.set_target([window.slot("1942").id], "ms63")
    orders.set_wish([window.slot("1942-D").id], Wish.OPTIONAL)
    orders.set_pinned([window.slot("1942").id], True)
    orders.write_notes([window.slot("1942").id], "seen")
    window.show_card()
    assert card.target.button.text().startswith("various")
    assert card.wish_words.isVisible()
    assert card.wish.choice() == -1
    assert (card.pin.text(), card.pin.isChecked()) == ("Pinned: 1 of 3", False)
    assert card.note.toPlainText() == ""
    assert card.note.placeholderText().startswith("Various notes")


def test_what_is_set_for_several_is_one_undo(window: OpenWindow) -> None:
    labels = ("1942", "1942-D", "1943-D")
    select(window, *labels)
    card = window.albums.card
    collection = collection_of(window.desk)
    before, entries = collection.rows_hash(), len(collection.entries())

    def slots() -> list[Slot]:
        return [window.slot(label) for label in labels]

    card.begin("note")
    card.note.setPlainText("ask aunt")
    card.note.keep()
    assert {s.note for s in slots()} == {"ask aunt"}
    card.wish.buttons[2].click()
    assert {s.wish for s in slots()} == {Wish.SKIPPED}
    card.pin.click()
    assert {s.is_pinned for s in slots()} == {True}
    card.begin("target")
    card.target_form.field.setText("ms63")
    card.target_form.give()
    assert {s.target for s in slots()} == {Target(63)}
    assert len(collection.entries()) == entries + 4
    for _ in range(4):
        window.desk.undo()
    assert collection.rows_hash() == before


def test_the_menu_of_several_offers_all_of_it(window: OpenWindow) -> None:
    select(window, "1942", "1942-D", "1943-D")
    window.albums._orders.set_pinned([window.slot("1942").id], True)
    views = window.albums.centre.chosen_views()
    menu = slot_menu(
        window.window, window.duties.actions, window.albums._orders, views, lambda: None
    )
    texts = [action.text().partition("\t")[0] for action in menu.actions() if action.text()]
    assert texts == [
        "3 slots",
        "Set the target (now VF-20)…",
        "Sought: wanted",
        "Pin all",
        "Unpin all",
        "To verify",
        "Write a note for all…",
        "Take out",
    ]
    by_text = {action.text().partition("\t")[0]: action for action in menu.actions()}
    by_text["Unpin all"].trigger()
    assert not window.slot("1942").is_pinned
    part = by_text["Sought: wanted"].menu()
    assert isinstance(part, QMenu)
    part.actions()[1].trigger()
    assert {window.slot(label).wish for label in ("1942", "1942-D", "1943-D")} == {Wish.OPTIONAL}
    menu.deleteLater()


def test_the_menu_of_one_offers_to_move_its_coin(window: OpenWindow) -> None:
    actions, orders = window.duties.actions, window.albums._orders
    for label, is_there in (("1943-D", True), ("1942", False)):
        window.go_to(label)
        views = window.albums.centre.chosen_views()
        menu = slot_menu(window.window, actions, orders, views, lambda: None)
        assert (actions["move_coin"] in menu.actions()) is is_there
        menu.deleteLater()


# ---- the album --------------------------------------------------------------------------------


def test_an_albums_note_stands_under_its_name(window: OpenWindow) -> None:
    centre = window.albums.centre
    assert not centre.note.isVisible()
    window.desk.run(set_album_note(window.view.album.id, "from the jar\nsee box 3"))
    assert centre.note.isVisible()
    assert centre.note.whole_text == "from the jar · see box 3"
    window.desk.undo()
    assert not centre.note.isVisible()


def test_the_command_to_edit_opens_on_the_open_album(
    window: OpenWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[AlbumId] = []
    monkeypatch.setattr(
        EditAlbumDialog, "ask", staticmethod(lambda _parent, _desk, album: asked.append(album))
    )
    window.duties.actions["edit_album"].trigger()
    assert asked == [window.view.album.id]
    window.desk.look_back("A past day is shown.")
    window.duties.actions["edit_album"].trigger()
    assert len(asked) == 1
    window.desk.look_back("")


def test_the_keys_of_the_open_album_are_free_among_the_coins(window: OpenWindow) -> None:
    _second(window)
    QTest.keyClick(window.albums.centre.leaf, Key.Key_Down, Qt.KeyboardModifier.AltModifier)
    assert names(window) == ["Later nickels", "War nickels", "Second"]
    window.duties.show_workspace("coins")
    focus = window.window.focusWidget()
    assert focus is not None
    QTest.keyClick(focus, Key.Key_Down, Qt.KeyboardModifier.AltModifier)
    assert names(window) == ["Later nickels", "War nickels", "Second"]


def test_the_best_spare_asks_for_one_slot(window: OpenWindow) -> None:
    told: list[str] = []
    window.albums.said.connect(told.append)
    select(window, "1943-D", "1944-D")
    before = held(window, "1943-D"), held(window, "1944-D")
    window.duties.actions["swap"].trigger()
    assert told == ["Choose one slot to put the best spare in; Fill looks at all of them."]
    assert (held(window, "1943-D"), held(window, "1944-D")) == before
