"""The scenes that the contact sheets of panels and dialogs show."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

from PySide6.QtWidgets import QApplication, QVBoxLayout, QWidget

from core.app.checklists import ListName
from core.app.operations import (
    add_coins,
    apply_fill,
    edit_coins,
    let_go,
    place_coin,
    stock_slots,
)
from core.fill.proposal import propose
from core.model.album import Target
from core.model.arrangement import ArrangementKind
from core.model.coin import Coin, CoinId, Origin, Problem
from core.model.grade import parse_grade
from core.model.issue import SeriesId
from gui.album.edit_album import EditAlbumDialog
from gui.album.new_album import NewAlbumDialog
from gui.album.stocking import StockingMode
from gui.checklist.preview import ChecklistDialog
from gui.coins.cells import FIXED
from gui.coins.columns import CHOICES, USUAL, Layout
from gui.coins.columns_dialog import ColumnsDialog
from gui.coins.many import Field, shared
from gui.coins.many_dialog import ManyDialog
from gui.coins.paste_dialog import PasteDialog
from gui.coins.places_dialog import PlacesDialog
from gui.coins.rows import Column
from gui.coins.workspace import CoinsWorkspace
from gui.desk import Desk
from gui.fill.panel import FillPanel
from gui.leaf.view import LeafView
from gui.pictures.dialog import PicturesDialog
from gui.theme import current_palette
from tests.builders import a_coin
from tests.gui import exchange_scenes, finish_scenes, series_scenes, want_scenes
from tests.gui.desk_material import NICKELS, a_desk, an_album, collection_of, with_coins


def settle() -> None:
    """Let timers of a few milliseconds run."""
    from PySide6.QtTest import QTest

    QTest.qWait(150)
    QApplication.processEvents()


def new_album(folder: Path) -> QWidget:
    desk = a_desk(folder)
    an_album(desk)
    dialog = NewAlbumDialog(None, desk)
    dialog.show()
    dialog.fields.last.setText("1964")
    dialog.fields.target.setText("vf20")
    settle()
    return dialog


def new_album_faults(folder: Path) -> QWidget:
    desk = a_desk(folder)
    an_album(desk)
    dialog = NewAlbumDialog(None, desk)
    dialog.resize(1000, 720)
    dialog.show()
    dialog.fields.name.setText("Nickels 1938–1964")
    dialog.fields._on_name_edited(dialog.fields.name.text())
    dialog.fields.first.setText("19x8")
    dialog.fields.target.setText("vf21")
    for chip in dialog.fields.mint_chips.values():
        chip.setChecked(False)
    settle()
    return dialog


def new_album_cents(folder: Path) -> QWidget:
    desk = a_desk(folder)
    dialog = NewAlbumDialog(None, desk)
    dialog.show()
    dialog.search.setText("cents")
    dialog.fields.varieties.buttons[2].click()
    dialog.fields.arrangement.pick(ArrangementKind.RUNNING)
    settle()
    return dialog


def new_album_map(folder: Path) -> QWidget:
    """A row map that has too few places."""
    desk = a_desk(folder)
    dialog = NewAlbumDialog(None, desk)
    dialog.show()
    dialog.search.setText("cents")
    dialog.fields.arrangement.pick(ArrangementKind.ROW_MAP)
    dialog.fields.row_map.setPlainText("9 9 9_ _8_\n10 10 9\n9*6")
    settle()
    return dialog


def new_album_collectors(folder: Path) -> QWidget:
    """Quarters with slots for those sold to collectors; the series has a note."""
    desk = a_desk(folder)
    dialog = NewAlbumDialog(None, desk)
    dialog.show()
    dialog.search.setText("national park")
    dialog.fields.collectors.click()
    settle()
    return dialog


def new_album_long_note(folder: Path) -> QWidget:
    """The note of the series is longer than there is room for, at the least size."""
    desk = a_desk(folder)
    dialog = NewAlbumDialog(None, desk)
    dialog.resize(1000, 640)
    dialog.show()
    dialog.search.setText("australian")
    settle()
    return dialog


def edit_album(folder: Path) -> QWidget:
    """Coins fall out, one of them pinned; the name is long."""
    from core.app.operations import set_pinned, stock_slots
    from core.model.album import Target
    from core.model.grade import parse_grade

    desk = a_desk(folder)
    name = "Everything my great-grandmother kept in the blue biscuit tin, 1938–1964"
    album = an_album(desk, name, target=Target(20))
    collection = collection_of(desk)
    slots = [v.slot.id for v in collection.album_view(album).slots]
    collection.run(stock_slots(slots[::3], parse_grade("f12")))
    collection.run(set_pinned(slots[60:64], True))
    dialog = EditAlbumDialog(None, desk, album)
    dialog.show()
    dialog.note.setPlainText("The tin stood behind the stove until 1971.")
    dialog.fields.last.setText("1957")
    settle()
    return dialog


def edit_album_collectors(folder: Path) -> QWidget:
    """Slots for those sold to collectors come; one chip more says that a third mint struck some."""
    from core.model.issue import SeriesId

    desk = a_desk(folder)
    album = an_album(desk, "Halves", SeriesId("us-half-kennedy"), (1964, 1990))
    dialog = EditAlbumDialog(None, desk, album)
    dialog.show()
    settle()
    dialog.fields.collectors.click()
    settle()
    return dialog


def edit_album_calm(folder: Path) -> QWidget:
    """More slots, nothing falls out, at the least size."""
    desk = a_desk(folder)
    album = an_album(desk, "Nickels", years=(1938, 1950))
    dialog = EditAlbumDialog(None, desk, album)
    dialog.resize(1000, 640)
    dialog.show()
    dialog.fields.last.setText("1964")
    settle()
    return dialog


def stocking(folder: Path) -> QWidget:
    from PySide6.QtCore import Qt
    from PySide6.QtTest import QTest

    desk = a_desk(folder)
    album = an_album(desk)
    panel = QWidget()
    panel.setObjectName("window")
    panel.resize(900, 760)
    box = QVBoxLayout(panel)
    leaf = LeafView(panel)
    leaf.setProperty("kind", "leaf")
    mode = StockingMode(desk, leaf, panel)
    box.addWidget(mode.band)
    box.addWidget(leaf)
    view = collection_of(desk).album_view(album)
    leaf.show_plan(view.plan, current_palette())
    panel.show()
    mode.start(view)
    QTest.keyClicks(leaf, "vf20 ")
    for _ in range(9):
        QTest.keyClick(leaf, Qt.Key.Key_Space)
    QTest.keyClicks(leaf, "?au5")
    settle()
    return panel


def _fill_desk(folder: Path, count: int) -> Desk:
    desk = a_desk(folder)
    an_album(desk, target=Target(20))
    an_album(desk, "A second album of nickels with quite a long name", target=Target(40))
    grades = ("vf20", "g4", "", "au50", "f12", "xf40")
    places = ("tray B4", "", "the blue box under the window")
    coins = []
    for at in range(count):
        date = str(1938 + at % 27)
        mint = "PDS"[at % 3] if date not in ("1950", "1955", "1956", "1957", "1958") else "D"
        if int(date) > 1954 and mint == "S":
            mint = "D"
        problems = (Problem.CLEANED,) if at % 11 == 4 else ()
        coin = a_coin(date, mint, grades[at % 6], problems=problems, place=places[at % 3])
        coins.append(replace(coin, description=replace(coin.description, series=NICKELS)))
    if coins:
        with_coins(desk, coins)
    return desk


def _fill(folder: Path, count: int, is_all: bool = False) -> QWidget:
    desk = _fill_desk(folder, count)
    panel = FillPanel(desk)
    panel.resize(400, 720)
    collection = collection_of(desk)
    album = collection.albums()[0].id
    if count > 30:
        slots = [v.slot.id for v in collection.album_view(album).slots]
        collection.run(place_coin(CoinId(2), slots[4]))
        collection.run(stock_slots([slots[0]]))
        collection.run(stock_slots([slots[6]], problems=(Problem.BENT,)))
    panel.start(None if is_all else album)
    if count > 30 and panel.model.lines:
        panel._on_tick(2)
    panel.show()
    settle()
    return panel


def fill(folder: Path) -> QWidget:
    return _fill(folder, 60)


def fill_all(folder: Path) -> QWidget:
    return _fill(folder, 110, is_all=True)


def fill_nothing(folder: Path) -> QWidget:
    return _fill(folder, 0)


def fill_one(folder: Path) -> QWidget:
    return _fill(folder, 1)


def _checklist(folder: Path, count: int, which: ListName) -> ChecklistDialog:
    desk = _fill_desk(folder, count)
    collection = collection_of(desk)
    album = collection.albums()[0].id
    slots = [v.slot.id for v in collection.album_view(album).slots]
    if count:
        task = collection.fill_input([album])
        pairs = [move.pair for move in propose(task).moves]
        collection.run(apply_fill(pairs[: len(pairs) * 2 // 3]))
    else:
        collection.run(stock_slots(slots, parse_grade("ms63")))
    dialog = ChecklistDialog(None, desk, album)
    dialog.show()
    dialog.lists[which].click()
    settle()
    return dialog


def checklist(folder: Path) -> QWidget:
    return _checklist(folder, 60, ListName.OPEN)


def checklist_cards(folder: Path) -> QWidget:
    dialog = _checklist(folder, 60, ListName.OPEN)
    dialog.options.group.buttons[1].click()
    dialog.options.large.click()
    dialog.paper.buttons[3].click()
    settle()
    return dialog


def checklist_spares(folder: Path) -> QWidget:
    return _checklist(folder, 110, ListName.SPARES)


def checklist_nothing(folder: Path) -> QWidget:
    return _checklist(folder, 0, ListName.SPARES)


def _coins(folder: Path, count: int, width: int = 1280, height: int = 750) -> CoinsWorkspace:
    desk = _fill_desk(folder, count)
    collection = collection_of(desk)
    album = collection.albums()[0].id
    if count > 5:
        task = collection.fill_input([album])
        pairs = [move.pair for move in propose(task).moves]
        collection.run(apply_fill(pairs[: len(pairs) // 2]))
        long = "found under the floor of the old customs house, in a tin with two keys and a letter"
        coins = [replace(collection.coin(CoinId(n)), note=long, came_from="box 12 roll 31",
                         origin=Origin.FOUND, acquired=date(2026, 3, n), is_flagged=n == 3)
                 for n in range(1, 6)]  # fmt: skip
        collection.run(edit_coins(coins))
        lot = replace(collection.coin(CoinId(2)), id=CoinId(0), quantity=1250)
        collection.run(add_coins([lot]))
        collection.run(let_go([CoinId(9), CoinId(10)]))
    panel = CoinsWorkspace(desk)
    panel.resize(width, height)
    panel.show()
    settle()
    return panel


def coins(folder: Path) -> QWidget:
    panel = _coins(folder, 110)
    panel.entry.field.setText("3 x 43d vf20 cleaned")
    panel.table.go_to_row(3)
    return panel


def coins_edit(folder: Path) -> QWidget:
    panel = _coins(folder, 110)
    panel._on_sort(Column.NUMBER)
    panel.table.go_to_row(2)
    panel.edit()
    settle()
    return panel


def coins_edit_faults(folder: Path) -> QWidget:
    panel = _coins(folder, 110, height=1000)
    panel._on_sort(Column.NUMBER)
    panel.table.go_to_row(3)
    panel.edit()
    panel.form.grade.setText("vf21")
    panel.form.weight.setText("heavy")
    panel.form.acquired.setText("31.2.2026")
    panel.form.paid.setText("12")
    panel.form._set_problem(Problem.BENT, True)
    panel.form._set_problem(Problem.CORRODED, True)
    panel.form.date.setText("1943, 1945")
    panel.form.save()
    settle()
    panel.form._scroll.verticalScrollBar().setValue(0)
    return panel


def coins_fault(folder: Path) -> QWidget:
    panel = _coins(folder, 110, 1040, 700)
    panel.entry.field.setText("1950-S vf20")
    panel.filter.setText("tray vf")
    return panel


def coins_none(folder: Path) -> QWidget:
    return _coins(folder, 0)


def coins_no_match(folder: Path) -> QWidget:
    panel = _coins(folder, 1)
    panel.filter.setText("florin")
    return panel


def coins_cell(folder: Path) -> QWidget:
    panel = _coins(folder, 110)
    panel.activateWindow()
    panel.table.setFocus()
    panel.table.go_to_row(6, Column.COIN)
    panel.editing.begin(panel.model.coin_row(6), Column.COIN, "1944-p vf20 cleaned")
    settle()
    return panel


def coins_cell_fault(folder: Path) -> QWidget:
    panel = _coins(folder, 110, 1040, 700)
    panel.activateWindow()
    panel.table.setFocus()
    last = panel.table.rowAt(panel.table.viewport().height() - 40)
    panel.table.go_to_row(last, Column.PROBLEMS)
    panel.editing.begin(panel.model.coin_row(last), Column.PROBLEMS, "squashed")
    panel.editing.take()
    panel.foot.say(FIXED[Column.STATE])
    settle()
    return panel


def coins_note(folder: Path) -> QWidget:
    panel = _coins(folder, 110)
    panel._on_sort(Column.NUMBER)
    panel.activateWindow()
    panel.table.setFocus()
    panel.table.go_to_row(1, Column.NOTE)
    panel.editing.begin(panel.model.coin_row(1), Column.NOTE)
    settle()
    return panel


def coins_columns(folder: Path) -> QWidget:
    panel = _coins(folder, 110)
    panel.table.show_layout(panel.table.columns.with_shown(CHOICES))
    panel.table.go_to_row(3)
    return panel


def coins_slot(folder: Path) -> QWidget:
    panel = _coins(folder, 110)
    collection = collection_of(panel._desk)
    album = collection.albums()[1]
    panel.find_for(collection.find_slot(album, "1939-D").id)
    panel.activateWindow()
    panel.table.setFocus()
    settle()
    return panel


def coins_slot_none(folder: Path) -> QWidget:
    panel = _coins(folder, 1, 1040, 700)
    collection = collection_of(panel._desk)
    panel.find_for(collection.find_slot(collection.albums()[1], "1950-D").id)
    return panel


def _many(folder: Path, is_faulty: bool) -> QWidget:
    panel = _coins(folder, 110)
    collection = collection_of(panel._desk)
    coins = [CoinId(n) for n in range(1, 13)]
    common = shared(collection.coin_rows(coins), lambda _row: "USD")
    dialog = ManyDialog(panel, panel._desk, coins, common)
    dialog.show()
    if is_faulty:
        dialog.lines[Field.GRADE].setText("vf21")
        dialog.lines[Field.PROBLEMS].setText("+squashed")
        dialog.lines[Field.ACQUIRED].setText("31.2.2026")
        dialog.lines[Field.PLACE].setText("the blue box under the window")
        dialog.give()
    settle()
    return dialog


def coins_many(folder: Path) -> QWidget:
    return _many(folder, is_faulty=False)


def coins_many_faults(folder: Path) -> QWidget:
    return _many(folder, is_faulty=True)


def columns_dialog(folder: Path) -> QWidget:
    del folder
    dialog = ColumnsDialog(None, Layout().with_shown([Column.COIN, Column.PAID, *USUAL]))
    dialog.show()
    settle()
    return dialog


def _places(folder: Path, count: int, coin: Coin) -> QWidget:
    desk = _fill_desk(folder, count)
    collection = collection_of(desk)
    if count > 30:
        pairs = [m.pair for m in propose(collection.fill_input([collection.albums()[0].id])).moves]
        collection.run(apply_fill(pairs[: len(pairs) // 2]))
    (made,) = collection.run(add_coins([coin])).made_coins
    found = collection.places_for_coin(made)
    dialog = PlacesDialog(None, f"Coin {made}: 1943-D VF-20, Jefferson nickels", found)
    dialog.show()
    settle()
    return dialog


def _nickel(day: str, mint: str, grade: str) -> Coin:
    coin = a_coin(day, mint, grade)
    return replace(coin, description=replace(coin.description, series=NICKELS))


def coins_places(folder: Path) -> QWidget:
    return _places(folder, 110, _nickel("1943", "D", "ms63"))


def coins_places_may(folder: Path) -> QWidget:
    worn = _nickel("1943", "D", "g4")
    return _places(folder, 110, replace(worn, description=worn.description.with_facet("date", ())))


def coins_places_none(folder: Path) -> QWidget:
    return _places(folder, 0, replace(_nickel("1943", "D", "vf20"), is_genuine=False))


def _pictures(folder: Path, leaf: int | None = 2) -> PicturesDialog:
    desk = _fill_desk(folder, 60)
    collection = collection_of(desk)
    album = collection.albums()[0].id
    pairs = [move.pair for move in propose(collection.fill_input([album])).moves]
    collection.run(apply_fill(pairs[:40]))
    dialog = PicturesDialog(None, desk, album, leaf)
    dialog.show()
    settle()
    return dialog


def pictures_album(folder: Path) -> QWidget:
    return _pictures(folder)


def pictures_leaf_clear(folder: Path) -> QWidget:
    dialog = _pictures(folder)
    dialog.choices.whats["leaf"].click()
    dialog.choices.theme.buttons[1].click()
    dialog.choices.clear.click()
    settle()
    return dialog


def pictures_card(folder: Path) -> QWidget:
    dialog = _pictures(folder, None)
    dialog.choices.whats["card"].click()
    dialog.choices.agos["30 days"].click()
    settle()
    return dialog


def pictures_sheets(folder: Path) -> QWidget:
    dialog = _pictures(folder)
    dialog.choices.kind.buttons[2].click()
    settle()
    return dialog


def pictures_real(folder: Path) -> QWidget:
    dialog = _pictures(folder)
    dialog.choices.whats["real"].click()
    settle()
    return dialog


def pictures_real_fault(folder: Path) -> QWidget:
    dialog = _pictures(folder)
    dialog.resize(1000, 640)
    dialog.choices.whats["real"].click()
    dialog.choices.real.hole.setText("wide")
    dialog.choices.take_typed()
    settle()
    return dialog


def pictures_real_too_large(folder: Path) -> QWidget:
    dialog = _pictures(folder)
    dialog.choices.whats["real"].click()
    dialog.choices.paper.buttons[2].click()
    dialog.choices.real.hole.setText("119.5")
    dialog.choices.take_typed()
    settle()
    return dialog


def pictures_fault(folder: Path) -> QWidget:
    dialog = _pictures(folder)
    dialog.resize(1000, 640)
    dialog.choices.width_px.setText("99999")
    dialog.choices.take_typed()
    dialog.choices.since.setText("31.2.2026")
    dialog.choices.take_typed()
    settle()
    return dialog


def _paste(folder: Path, text: str) -> QWidget:
    desk = _fill_desk(folder, 3)
    an_album(desk, "Cents", SeriesId("us-cent-lincoln"), (1941, 1958))
    series = tuple(collection_of(desk).series_in_use)
    dialog = PasteDialog(None, desk, text, series, NICKELS)
    dialog.show()
    settle()
    return dialog


def coins_paste(folder: Path) -> QWidget:
    lines = ["1943-D vf20", "3 x 1944-p corroded", "cent 1955 ddo", '1950-D xf45 "from a tin"']
    return _paste(folder, "\n".join(lines * 8))


def coins_paste_faults(folder: Path) -> QWidget:
    return _paste(folder, "1943-D\tvf20\n1950-S\n1944-P vf21\nhalfpenny\n\n99 g4 squashed")


def coins_paste_nothing(folder: Path) -> QWidget:
    return _paste(folder, "")


SCENES: dict[str, Callable[[Path], QWidget]] = {
    "new-album": new_album,
    "new-album-faults": new_album_faults,
    "new-album-cents": new_album_cents,
    "new-album-map": new_album_map,
    "new-album-collectors": new_album_collectors,
    "new-album-long-note": new_album_long_note,
    "edit-album": edit_album,
    "edit-album-calm": edit_album_calm,
    "edit-album-collectors": edit_album_collectors,
    "stocking": stocking,
    "fill": fill,
    "fill-all": fill_all,
    "fill-nothing": fill_nothing,
    "fill-one": fill_one,
    "coins": coins,
    "coins-edit": coins_edit,
    "coins-edit-faults": coins_edit_faults,
    "coins-fault": coins_fault,
    "coins-none": coins_none,
    "coins-no-match": coins_no_match,
    "coins-cell": coins_cell,
    "coins-cell-fault": coins_cell_fault,
    "coins-note": coins_note,
    "coins-columns": coins_columns,
    "coins-columns-dialog": columns_dialog,
    "coins-many": coins_many,
    "coins-many-faults": coins_many_faults,
    "coins-slot": coins_slot,
    "coins-slot-none": coins_slot_none,
    "coins-paste": coins_paste,
    "coins-paste-faults": coins_paste_faults,
    "coins-paste-nothing": coins_paste_nothing,
    "coins-places": coins_places,
    "coins-places-may": coins_places_may,
    "coins-places-none": coins_places_none,
    "checklist": checklist,
    "checklist-cards": checklist_cards,
    "checklist-spares": checklist_spares,
    "checklist-nothing": checklist_nothing,
    "pictures-album": pictures_album,
    "pictures-leaf-clear": pictures_leaf_clear,
    "pictures-card": pictures_card,
    "pictures-sheets": pictures_sheets,
    "pictures-real": pictures_real,
    "pictures-real-fault": pictures_real_fault,
    "pictures-real-too-large": pictures_real_too_large,
    "pictures-fault": pictures_fault,
    **exchange_scenes.SCENES,
    **finish_scenes.SCENES,
    **series_scenes.SCENES,
    **want_scenes.SCENES,
}
