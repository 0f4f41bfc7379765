"""Albums across series in the window, volumes on the shelf, overviews."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from core.app.operations import place_coin
from core.model.album import AlbumId, AlbumKind
from core.model.coin import CoinId
from core.model.issue import SeriesId
from gui.actions import COMMANDS, SLOT
from gui.album.edit_album import EditAlbumDialog
from gui.album.new_album import NewAlbumDialog
from gui.album.shelf import ALBUM_MIME
from gui.desk import Desk
from tests.gui.across_scenes import CENTS, DIMES, NICKELS, across_file
from tests.gui.desk_material import a_desk, collection_of
from tests.gui.drag_material import enter, let_go, over
from tests.gui.window_material import OpenWindow, close_window, open_window

KEY = Qt.Key


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return across_file(tmp_path_factory.mktemp("across") / "across.slotleaf")


@pytest.fixture
def window(qapp: QApplication, tmp_path: Path, made: Path) -> Iterator[OpenWindow]:
    path = tmp_path / "across.slotleaf"
    path.write_bytes(made.read_bytes())
    opened = open_window(qapp, tmp_path, path)
    yield opened
    close_window(opened)


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return a_desk(tmp_path)


def open_album(window: OpenWindow, name: str) -> None:
    album = next(a.id for a in window.albums.shelf.model.albums if a.name == name)
    window.albums.open_album(album)


def cards(window: OpenWindow) -> list[str]:
    return [row.title for row in window.albums.shelf.model.rows]


def names(window: OpenWindow) -> list[str]:
    return [album.name for album in window.albums.shelf.model.albums]


FOLDED = ["Types of five series", "The year 1964", "Lincoln cents", "Dimes, the best of each"]
VOLUMES = ["Volume 1 (1909–1933)", "Volume 2 (1934–1958)", "Volume 3 (1959–1974)"]

# ---- making and editing -----------------------------------------------------------------------


def previewed(qtbot: QtBot, dialog: NewAlbumDialog | EditAlbumDialog) -> str:
    qtbot.waitUntil(lambda: not dialog._timer.isActive())
    return dialog.preview.count.text()


def new_dialog(qtbot: QtBot, desk: Desk, of: int) -> NewAlbumDialog:
    dialog = NewAlbumDialog(None, desk)
    qtbot.addWidget(dialog)
    dialog.show()
    dialog.of.buttons[of].click()
    dialog.across._choose_none()
    for code in (CENTS, DIMES):
        dialog.across.choose(code)
    return dialog


def test_a_type_album_is_made_as_it_is_previewed(qtbot: QtBot, desk: Desk) -> None:
    dialog = new_dialog(qtbot, desk, 1)
    assert not dialog.fields.years_field.isVisible()
    assert dialog.fields.name.text() == "Types of Lincoln cents and Roosevelt dimes"
    dialog.fields.target.setText("vf20")
    count = previewed(qtbot, dialog)
    dialog.make.click()
    assert dialog.made is not None
    view = collection_of(desk).album_view(dialog.made)
    assert count == f"{len(view.slots)} slots on 1 leaf"
    assert [series.id for series in view.all_series] == [CENTS, DIMES]


def test_a_year_set_names_who_struck_none_and_is_made_as_an_overview(
    qtbot: QtBot, desk: Desk
) -> None:
    dialog = new_dialog(qtbot, desk, 2)
    for place in (1, 2):
        qtbot.mouseClick(dialog.of.buttons[place], Qt.MouseButton.LeftButton)
    assert dialog.focusWidget() is dialog.across.year
    assert (dialog.fields.name.text(), dialog.fields.name_field.fault) == ("", "")
    assert not dialog.make.isEnabled()
    dialog.across.year.setText("1940")
    assert dialog.across.year_field._words.text() == "None that year: Roosevelt dimes."
    dialog.across.year.setText("1800")
    assert previewed(qtbot, dialog) == "no slots"
    assert "The nearest year is 1909." in dialog.across.year_field.fault
    dialog.across.year.setText("1955")
    dialog.across.each_mint.click()
    dialog.kind.buttons[1].click()
    assert previewed(qtbot, dialog) == "6 slots on 1 leaf"
    assert dialog.fields.name.text() == "The year 1955"
    dialog.make.click()
    assert dialog.made is not None
    view = collection_of(desk).album_view(dialog.made)
    assert view.album.kind is AlbumKind.OVERVIEW
    assert [row.head for row in view.leaves[0].rows] == ["Cent", "Dime"]


def test_series_are_chosen_by_keys(qtbot: QtBot, desk: Desk) -> None:
    dialog = new_dialog(qtbot, desk, 1)
    across = dialog.across
    across.search.setFocus()
    qtbot.keyClicks(across.search, "jefferson")
    qtbot.keyClick(across.search, KEY.Key_Return)
    assert [series.id for series in across.chosen] == [CENTS, DIMES, NICKELS]
    assert across.search.text() == ""
    assert dialog.made is None  # Enter has chosen a series, and not made the album
    across.series_list.setCurrentRow(0)
    qtbot.keyClick(across.series_list, KEY.Key_Space)
    first = SeriesId(across._id_of(across.series_list.item(0)))
    assert (first in [series.id for series in across.chosen]) is (first not in (CENTS, DIMES))
    dialog.of.buttons[0].click()
    assert dialog.fields.years_field.isVisible()
    assert not across.series_field.isVisible()


def test_a_series_dropped_from_a_year_set_names_its_coins(qtbot: QtBot, window: OpenWindow) -> None:
    album = next(a.id for a in window.albums.shelf.model.albums if a.name == "The year 1964")
    dialog = EditAlbumDialog(window.window, window.desk, album)
    qtbot.addWidget(dialog)
    dialog.show()
    assert previewed(qtbot, dialog) == "8 slots on 1 leaf"
    assert not dialog.change.isEnabled()
    dialog.across.choose(DIMES)
    assert previewed(qtbot, dialog) == "6 slots on 1 leaf"
    assert dialog.coins.item(1).text().startswith("1964-D dime")
    dialog.agree.click()
    dialog.volumes.setText("Lincoln cents")
    qtbot.waitUntil(lambda: not dialog._timer.isActive())
    dialog.agree.setChecked(True)
    dialog.change.click()
    assert dialog.is_changed
    assert names(window)[1:5][-1] == "The year 1964"  # behind the run that it has joined
    view = window.albums._desk
    assert view is window.desk


# ---- the shelf --------------------------------------------------------------------------------


def test_volumes_are_one_entry_that_folds_by_keys_and_click(window: OpenWindow) -> None:
    shelf = window.albums.shelf
    assert cards(window) == FOLDED
    shelf.list.setFocus()
    at = 2
    said = shelf.model.index(at).data(Qt.ItemDataRole.AccessibleTextRole)
    assert said == "Lincoln cents, 3 volumes, folded, have 1 of 176 · at target 0"
    shelf.list.setCurrentIndex(shelf.model.index(at))
    assert window.view.album.name == "Types of five series"  # a heading opens nothing
    QTest.keyClick(shelf.list, KEY.Key_Right)
    assert cards(window) == [*FOLDED[:3], *VOLUMES, FOLDED[3]]
    QTest.keyClick(shelf.list, KEY.Key_Right)
    assert window.view.album.name == "Lincoln cents, volume 1 (1909–1933)"
    QTest.keyClick(shelf.list, KEY.Key_Down)
    assert window.view.album.name == "Lincoln cents, volume 2 (1934–1958)"
    QTest.keyClick(shelf.list, KEY.Key_Left)
    assert shelf.heading == "Lincoln cents"
    QTest.keyClick(shelf.list, KEY.Key_Left)
    assert cards(window) == FOLDED
    assert shelf.list.currentIndex().row() == at
    QTest.mouseClick(
        shelf.list.viewport(),
        Qt.MouseButton.LeftButton,
        pos=shelf.list.visualRect(shelf.model.index(at)).center(),
    )
    assert cards(window) == [*FOLDED[:3], *VOLUMES, FOLDED[3]]


def test_an_album_that_is_opened_shows_its_volumes(window: OpenWindow) -> None:
    open_album(window, "Lincoln cents, volume 3 (1959–1974)")
    shelf = window.albums.shelf
    assert shelf.model.rows[shelf.list.currentIndex().row()].title == VOLUMES[2]


def test_alt_and_arrows_move_a_volume_in_its_run_and_a_heading_with_all(
    window: OpenWindow,
) -> None:
    actions, shelf = window.duties.actions, window.albums.shelf
    open_album(window, "Lincoln cents, volume 2 (1934–1958)")
    actions["album_up"].trigger()
    assert names(window)[2] == "Lincoln cents, volume 2 (1934–1958)"
    actions["album_up"].trigger()  # the run has no more room: all of it moves
    assert names(window)[1] == "Lincoln cents, volume 2 (1934–1958)"
    assert names(window)[4] == "The year 1964"
    shelf.list.setFocus()
    QTest.keyClick(shelf.list, KEY.Key_Left)
    actions["album_down"].trigger()
    assert cards(window)[1] == "The year 1964"
    assert names(window)[2:5] == [
        "Lincoln cents, volume 2 (1934–1958)",
        "Lincoln cents, volume 1 (1909–1933)",
        "Lincoln cents, volume 3 (1959–1974)",
    ]


def drop(window: OpenWindow, row: int, gap: int) -> None:
    """Let the card of a row go before another one, as a drag does."""
    window.program.app.processEvents()  # a shelf of more cards is higher
    shelf = window.albums.shelf
    card = shelf.model.rows[row]
    data = QMimeData()
    name = f"{int(card.albums[0].id)}{' and its run' if card.is_heading else ''}"
    data.setData(ALBUM_MIME, name.encode("ascii"))
    port = shelf.list.viewport()
    at = QPoint(20, gap * 88 + 2)
    assert enter(port, data, at)
    assert over(port, data, at)
    let_go(port, data, at)


def test_a_drag_keeps_volumes_together(window: OpenWindow) -> None:
    open_album(window, "Lincoln cents, volume 1 (1909–1933)")
    before = names(window)
    drop(window, 0, 4)  # an album let go between two volumes goes to the nearer end of the run
    assert names(window) == [before[1], before[0], *before[2:]]
    drop(window, 3, 5)  # a volume goes behind another
    assert names(window)[2:5] == [before[3], before[2], before[4]]
    drop(window, 2, 0)  # the heading takes all along
    assert [n.startswith("Lincoln") for n in names(window)[:4]] == [True, True, True, False]


def test_an_album_is_split_and_joined_in_the_window(
    window: OpenWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[str] = []
    window.albums.whole.said.connect(told.append)
    open_album(window, "Dimes, the best of each")
    asked: list[object] = []

    def ask(_parent: object, _title: str, fields: list[tuple[str, str]], *_rest: object,
            fault: object) -> list[str] | None:  # fmt: skip
        asked.extend([fields[0][1], fault(["1800"]), fault(["1950"])])  # type: ignore[operator]  # it is one
        return [fields[0][1]] if fields[0][1] else None

    monkeypatch.setattr("gui.text_dialog.TextDialog.ask", ask)
    window.go_to("1946")
    window.duties.actions["split_volumes"].trigger()
    assert asked[0] == ""  # no volume begins with the first slot
    asked.clear()
    window.go_to("1950")
    window.duties.actions["split_volumes"].trigger()
    assert asked == [
        "1950", "Dimes, the best of each has no slot or date “1800”; write one that it has.", "",
    ]  # fmt: skip
    assert names(window)[-2:] == [
        "Dimes, the best of each, volume 1 (1946–1949)",
        "Dimes, the best of each, volume 2 (1950–1964)",
    ]
    rows = window.albums.shelf.model.rows
    assert [row.title for row in rows[-2:]] == ["Volume 1 (1946–1949)", "Volume 2 (1950–1964)"]
    window.duties.actions["join_volumes"].trigger()
    assert names(window)[-1] == "Dimes, the best of each"
    assert window.view.album.name == "Dimes, the best of each"
    window.duties.actions["join_volumes"].trigger()
    assert told[-1].endswith("so there is none to join.")


# ---- an overview ------------------------------------------------------------------------------


def test_an_overview_says_where_its_coin_sits_and_leads_there(window: OpenWindow) -> None:
    open_album(window, "Dimes, the best of each")
    centre, card = window.albums.centre, window.albums.card
    assert "overview" in centre.beside.whole_text
    assert not centre.legend.overview.isHidden()
    assert not centre.buttons["fill"].isEnabled()
    assert "overview" in centre.buttons["stock"].toolTip()
    window.go_to("1964-D")
    assert card.primary.text() == "Go to 1964-D dime in The year 1964"
    for hidden in (card.put_in, card.take_out, card.order, card.pin):
        assert hidden.isHidden()
    card.primary.click()
    assert window.view.album.name == "The year 1964"
    assert window.albums.centre.leaf.current_slot() == int(window.slot("1964-D dime").id)
    assert centre.buttons["fill"].isEnabled()
    assert centre.legend.overview.isHidden()


def test_of_a_spare_an_overview_offers_to_find_it(window: OpenWindow) -> None:
    open_album(window, "Dimes, the best of each")
    window.go_to("1946-S")
    asked: list[int] = []
    window.albums.coins_asked.connect(asked.append)
    assert window.albums.card.primary.text() == "Find it among the coins"
    window.duties.actions["go_to_coin"].trigger()
    assert asked == [int(window.slot("1946-S").id)]


def test_every_key_of_the_slot_does_something_or_says_why_not_on_an_overview(
    window: OpenWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    open_album(window, "Dimes, the best of each")
    said: list[str] = []
    window.albums.said.connect(said.append)
    window.albums.by_hand.said.connect(said.append)  # type: ignore[union-attr]  # it is built
    before = collection_of(window.desk).rows_hash()
    refused = ["put_in", "swap", "move_coin", "take_out", "pin", "order", "arrived", "correct",
               "fill", "stock"]  # fmt: skip
    for label in ("1964-D", "1947"):  # with a coin, and without
        for command in refused:
            window.go_to(label)
            said.clear()
            window.duties.actions[command].trigger()
            assert said, command
            assert "is an overview" in said[-1], (command, said)
            assert collection_of(window.desk).rows_hash() == before, command
    for command in ("target", "note"):
        window.go_to("1964-D")
        window.duties.actions[command].trigger()
    window.duties.actions["skip"].trigger()
    assert "skipped" in window.state("1964-D")
    window.duties.actions["optional"].trigger()
    window.duties.actions["verify"].trigger()
    assert "to verify" in window.state("1964-D")
    allowed = {"card", "find_coins", "go_to_coin", "target", "verify", "skip", "optional", "note"}
    assert {c.id for c in COMMANDS if c.group == SLOT} == allowed | (
        set(refused) - {"fill", "stock"}
    )


def test_an_overview_as_of_a_past_day_says_where_the_coin_sat(window: OpenWindow) -> None:
    collection = collection_of(window.desk)
    open_album(window, "Dimes, the best of each")
    album = window.view.album.id
    slot = window.slot("1964-D")
    past = collection.album_past(AlbumId(album))
    from gui.album.time_mode import card_on

    card = card_on(collection, past, slot.id, collection.today)
    assert card.seat is not None
    assert card.seat.text == "1964-D dime in The year 1964"


def test_a_year_set_refuses_a_coin_of_another_series_and_tells(window: OpenWindow) -> None:
    open_album(window, "The year 1964")
    told: list[str] = []
    window.desk.failed.connect(told.append)
    window.desk.run(place_coin(CoinId(1), window.slot("1964 quarter").id))
    assert "another series" in told[-1]
