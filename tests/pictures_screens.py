"""Draws every screen of the window in one way: theme, size, and the scale the process was given."""

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from PySide6.QtCore import QMimeData, QPoint, Qt
from PySide6.QtGui import QPainter, QPixmap
from PySide6.QtWidgets import QApplication, QDialog, QMenu

from core.app.collection import Collection, make_collection
from core.app.demo import ensure_demo
from core.app.operations import (
    add_album,
    add_and_place,
    add_coins,
    rearrange_album,
    set_note,
    stock_slots,
)
from core.lookup.parse import parse_entry
from core.model.album import parse_target
from core.model.arrangement import Arrangement, ArrangementKind, parse_arrangement
from core.model.coin import Coin, Finding
from core.model.grade import parse_grade
from core.model.issue import SeriesId, VarietyId
from core.model.plan_album import AlbumPlan, Varieties
from gui.app import Program
from gui.portrait import settle
from gui.settings import Settings
from gui.theme import load_later_fonts
from gui.widgets import ScrollColumn
from gui.work import InlineRunner
from tests.gui.search_scenes import search_forms, searches
from tests.gui.upgrades_scenes import upgrades

LONG = "Everything my great-grandmother kept in the blue biscuit tin behind the stove, 1909–2025"


class Screens:
    """One window, taken from screen to screen."""

    def __init__(self, folder: Path, theme: str, size: tuple[int, int]) -> None:
        self.folder, self.theme, self.size = folder, theme, size
        self.app = QApplication.instance() or QApplication([])
        self.files = folder.parent
        self.demo = self.files / "demo.slotleaf"
        ensure_demo(self.demo)
        self.empty = self.files / "empty.slotleaf"
        if not self.empty.exists():
            make_collection(self.empty, "My coins")
        self.much = self.files / "much.slotleaf"
        if not self.much.exists():
            _make_much(self.much)
        self.one = self.files / "one.slotleaf"
        if not self.one.exists():
            _make_one(self.one)

    @contextmanager
    def window(self, path: Path | None, album: int = 0) -> Iterator[Program]:
        settings = Settings(self.folder / "window.ini")
        settings.theme = self.theme
        settings.last_album = album
        settings.plan = ""
        program = Program(self.app, settings, InlineRunner())  # type: ignore[arg-type]  # the one app
        load_later_fonts()
        program.window.resize(*self.size)
        program.window.duties.make_albums()
        program.window.show()
        if path is None:
            program.window.duties.show_first_start()
        else:
            program.desk.open(path)
        settle()
        try:
            yield program
        finally:
            program.window.close()
            program.window.deleteLater()
            settle(10)

    def save(self, program: Program, name: str, *over: QDialog | QMenu) -> None:
        settle(60)
        window = program.window
        picture = window.grab()
        for widget in over:
            part = widget.grab()
            if isinstance(widget, QDialog):
                at = window.rect().center() - widget.rect().center()
            else:
                at = window.mapFromGlobal(widget.pos())
            _paste(picture, part, at)
        picture.save(str(self.folder / f"{name}.png"))


def _paste(picture: QPixmap, part: QPixmap, at: QPoint) -> None:
    painter = QPainter(picture)
    painter.drawPixmap(at, part)
    painter.end()


def _make_much(path: Path) -> None:
    """Long names, many albums, many slots, long notes."""
    make_collection(path, "A collection whose name goes on and on: " + LONG)
    with Collection.open(path) as collection:
        plan = AlbumPlan(None, (), Varieties.ALL, parse_target("MS-65 RD"))
        running = Arrangement(ArrangementKind.RUNNING, 10, 8)
        made = collection.run(add_album(LONG, SeriesId("us-cent-lincoln"), plan, running))
        for number in range(1, 25):
            small = AlbumPlan((1938, 1938 + number), (), Varieties.NONE, None)
            collection.run(
                add_album(
                    f"Nickels, box {number}", SeriesId("us-nickel-jefferson"), small, Arrangement()
                )
            )
        view = collection.album_view(made.made_album)  # type: ignore[arg-type]  # it was made
        series = view.series
        slot = view.slots[0].slot
        coin = parse_entry("1909 vf20 cleaned corroded scratched", [series]).coin
        collection.run(add_and_place(coin, slot.id))
        note = "Bought at the harbour fair; Ελληνικά, Кириллица, 日本語. " * 4
        collection.run(set_note(slot.id, note))


def _make_one(path: Path) -> None:
    """One album of one slot, with one coin."""
    make_collection(path, "One")
    with Collection.open(path) as collection:
        plan = AlbumPlan((1931, 1931), ("S",), Varieties.NONE, parse_target("G-4"))
        made = collection.run(
            add_album("A single slot", SeriesId("us-cent-lincoln"), plan, Arrangement())
        ).made_album
        assert made is not None
        slot = collection.album_view(made).slots[0].slot
        collection.run(stock_slots([slot.id], parse_grade("vg8")))


def one(screens: Screens) -> None:
    with screens.window(screens.one) as program:
        screens.save(program, "one")


def first_start(screens: Screens) -> None:
    with screens.window(None) as program:
        screens.save(program, "first-start")


def no_album(screens: Screens) -> None:
    with screens.window(screens.empty) as program:
        screens.save(program, "no-album")


def albums(screens: Screens) -> None:
    with screens.window(screens.demo, 1) as program:
        workspace = program.window.duties.make_albums()
        leaf = workspace.centre.leaf
        leaf.setFocus()
        view = workspace.centre.view
        assert view is not None
        slot = next(v for v in view.slots if v.slot.label == "1943-D")
        leaf.go_to_slot(int(slot.slot.id))
        screens.save(program, "albums")
        workspace.open_card()
        screens.save(program, "albums-card")
        workspace.card.begin("target")
        screens.save(program, "card-target")
        workspace.card.begin("order")
        screens.save(program, "card-order")


def filtered(screens: Screens) -> None:
    from gui.album.shown import GAPS

    with screens.window(screens.demo, 1) as program:
        workspace = program.window.duties.make_albums()
        workspace.centre.choose_shown(GAPS)
        workspace.centre.leaf.selectAll()
        workspace.side.open_drawer()
        screens.save(program, "gaps-many-selected")


def running(screens: Screens) -> None:
    from gui.album.shown import BELOW_TARGET

    with screens.window(screens.demo, 3) as program:
        screens.save(program, "running")
    with screens.window(screens.demo, 4) as program:
        program.window.duties.make_albums().centre.choose_shown(BELOW_TARGET)
        program.window.duties.notices.show_failure(
            "No cent was struck at Philadelphia in 1922; choose 1922-D."
        )
        program.window.duties.notices.show_work(True, "Filling 4 albums", True)
        program.window.duties.notices.show_share(0.4, "")
        screens.save(program, "bands")


HEADING_PX = 40
"""Room left above a section that is scrolled to: its heading."""
ARRANGED = {
    "decade": "by-decade:9x5",
    "type": "by-type:9x6; blocks=2; down",
    "beside": "years-by-mints:9; blocks=2; label={date}{mark} ({mintage})",
    "closed": "years-by-mints; closed; row-break=decade",
    "mint": "running:11x5; order=mint; mints=S,D; leaf-break=mint",
    "map": "map:9 8 9 8 / _7_ 3_3 9*3 / 6*4",
}


def arrangements(screens: Screens) -> None:
    path = screens.files / "arranged.slotleaf"
    path.unlink(missing_ok=True)
    make_collection(path, "My coins")
    with Collection.open(path) as collection:
        cents = AlbumPlan((1909, 1974))
        made = collection.run(
            add_album("Cents", SeriesId("us-cent-lincoln"), cents, Arrangement())
        ).made_album
        assert made is not None
        slots = [view.slot.id for view in collection.album_view(made).slots]
        collection.run(stock_slots(slots[::2], parse_grade("vf20")))
    with screens.window(path, made) as program:
        for name, text in ARRANGED.items():
            program.desk.run(rearrange_album(made, parse_arrangement(text)))
            screens.save(program, f"arranged-{name}")


def much(screens: Screens) -> None:
    with screens.window(screens.much, 1) as program:
        workspace = program.window.duties.make_albums()
        workspace.open_card()
        screens.save(program, "too-much")
        program.window.duties.make_albums().centre.leaf.fit_album()
        screens.save(program, "too-much-fit")


def modes(screens: Screens) -> None:
    with screens.window(screens.demo, 1) as program:
        workspace = program.window.duties.make_albums()
        workspace.toggle_stocking()
        screens.save(program, "stocking")
        workspace.toggle_stocking()
        program.window.duties.actions["fill"].trigger()
        settle(300)
        screens.save(program, "fill")


def through_time(screens: Screens) -> None:
    from gui.album.show_words import FoundBought, Since

    for path, name in ((screens.demo, "time"), (screens.much, "time-too-much")):
        with screens.window(path, 1) as program:
            workspace = program.window.duties.make_albums()
            workspace.time.toggle()
            screens.save(program, f"{name}-today")
            mode = workspace.time.mode
            assert mode is not None
            if not mode.days:
                continue
            mode.band.slider.go_to(mode.days[len(mode.days) // 2])
            workspace.open_card()
            screens.save(program, f"{name}-past-day")
            workspace.time.tell(Since(mode.days[len(mode.days) // 3]))
            screens.save(program, f"{name}-past-day-since")
            workspace.time.close()
            workspace.side.close_drawer()
            screens.save(program, f"{name}-since")
            workspace.time.tell(FoundBought())
            screens.save(program, f"{name}-found-bought")
    with screens.window(screens.demo, 3) as program:
        workspace = program.window.duties.make_albums()
        workspace.time.tell(FoundBought())
        screens.save(program, "time-running")


def history(screens: Screens) -> None:
    from gui.album.show_since import SinceDialog
    from gui.history.dialog import HistoryDialog
    from gui.leaf.correct_dialog import CorrectDialog
    from gui.restore import RestoreDialog

    copy = screens.files / "history.slotleaf"
    if not copy.exists():
        copy.write_bytes(screens.demo.read_bytes())
        with Collection.open(copy) as collection:
            album = collection.albums()[0].id
            slots = [v.slot.id for v in collection.album_view(album).slots if v.coin is None]
            run = collection.start_run()
            for slot in slots[:6]:
                collection.run(stock_slots([slot]), run_id=run)
            collection.run(set_note(slots[0], "to be undone"))
            collection.undo()
    with screens.window(copy, 1) as program:
        window, desk = program.window, program.desk
        page = HistoryDialog(window, desk)
        run_at = next(at for at, line in enumerate(page.model.lines) if line.is_run)
        page.model.toggle(run_at)
        page.list.setCurrentIndex(page.model.index(run_at + 2))
        page.ask_undo()
        screens.save(program, "history", page)
        restore = RestoreDialog(window, desk)
        screens.save(program, "restore", restore)
        workspace = window.duties.make_albums()
        album_id = workspace._album
        assert album_id is not None
        desk.ask(
            lambda c: (c.past_days(album_id), c.today),
            lambda found: screens.save(program, "since-day", SinceDialog(window, *found, None)),
        )
        line = workspace.card._card.history[0] if workspace.card._card else None
        if line is not None:
            correct = CorrectDialog(window, "1938", line, line.day, lambda *_: None)
            correct.since.setText("31.2.2025")
            correct.give()
            correct.adjustSize()
            screens.save(program, "correct", correct)
    with screens.window(screens.empty) as program:
        screens.save(program, "history-empty", HistoryDialog(program.window, program.desk))
        screens.save(program, "restore-empty", RestoreDialog(program.window, program.desk))


def by_hand(screens: Screens) -> None:
    """A coin carried by keys and dragged, a card of the shelf under way, and many slots."""
    from gui.album.shelf import ALBUM_MIME
    from gui.leaf.leaf_drag import coin_data
    from gui.leaf.slot_menu import slot_menu
    from gui.leaf.slot_orders import SlotOrders
    from tests.gui.drag_material import enter, over

    with screens.window(screens.demo, 1) as program:
        window, workspace = program.window, program.window.duties.make_albums()
        leaf, view = workspace.centre.leaf, workspace.centre.view
        assert view is not None
        slots = {v.slot.label: int(v.slot.id) for v in view.slots}
        leaf.go_to_slot(slots["1943-D"])
        leaf.setFocus()
        window.duties.actions["move_coin"].trigger()
        leaf.go_to_slot(slots["1944-D"])
        screens.save(program, "carried-by-keys")
        assert workspace.by_hand is not None
        workspace.by_hand.mode.end()
        settle(60)
        spare = next(c for c in _spares(program) if c.description.only("date") == "1940")
        data = coin_data([int(spare.id)])
        for name, label in (("dragged-replaces", "1940-D"), ("dragged-refused", "1952-S")):
            at = leaf.slot_rect(slots[label]).center()
            enter(leaf.viewport(), data, at)
            over(leaf.viewport(), data, at)
            screens.save(program, name)
        cards = workspace.shelf.list
        card = QMimeData()
        card.setData(ALBUM_MIME, str(int(workspace.shelf.model.albums[0].id)).encode("ascii"))
        at = cards.visualRect(cards.model().index(2, 0)).center() + QPoint(0, 30)
        enter(cards.viewport(), card, at)
        over(cards.viewport(), card, at)
        leaf.selectAll()
        settle(60)
        workspace.side.open_drawer()
        chosen, orders = workspace.centre.chosen_views(), SlotOrders(program.desk)
        menu = slot_menu(window, window.duties.actions, orders, chosen, lambda: None)
        menu.adjustSize()
        menu.move(window.mapToGlobal(QPoint(420, 300)))
        screens.save(program, "many-slots", menu)


def _spares(program: Program) -> list[Coin]:
    found: list[Coin] = []
    series = SeriesId("us-nickel-jefferson")
    program.desk.ask(lambda collection: collection.spares_of(series), found.extend)
    return found


def coins(screens: Screens) -> None:
    from core.model.state import Mark
    from gui.coins.rows import Column
    from gui.coins.workspace import CoinsWorkspace

    with screens.window(screens.demo, 1) as program:
        duties = program.window.duties
        duties.show_workspace("coins")
        settle(300)
        screens.save(program, "coins")
        panel = program.window.pages.currentWidget()
        assert isinstance(panel, CoinsWorkspace)
        panel.table.go_to_row(4, Column.GRADE)
        panel.table.setFocus()
        panel.editing.begin(panel.model.coin_row(4), Column.GRADE, "vf21")
        panel.editing.take()
        screens.save(program, "coins-cell")
        panel.editing.leave()
        panel.table.selectAll()
        screens.save(program, "coins-chosen")
        view = duties.make_albums().centre.view
        assert view is not None
        gaps = (v.slot.id for v in view.slots if Mark.SPARE_WAITING in v.marks)
        duties.find_coins(int(next(gaps, view.slots[0].slot.id)))
        settle(300)
        screens.save(program, "coins-slot")


def _make_pennies(path: Path) -> None:
    """British pennies with grades in the words of their country, and one on the scale."""
    make_collection(path, "Pennies of the harbour")
    with Collection.open(path) as collection:
        plan = AlbumPlan((1926, 1936), (), Varieties.NONE, parse_target("xf40"))
        made = collection.run(
            add_album("Pennies", SeriesId("uk-penny-bronze"), plan, Arrangement())
        ).made_album
        assert made is not None
        view = collection.album_view(made)
        lines = ("1936 gVF", "1935 nEF", "1934 f", "1932 good very fine details", "1931 vf20")
        for line in lines:
            coin = parse_entry(line, [view.series]).coin
            label = line.partition(" ")[0]
            slot = next(v.slot for v in view.slots if v.slot.label == label)
            collection.run(add_and_place(coin, slot.id))
        collection.run(add_coins([parse_entry("1936 EF-UNC", [view.series]).coin]))


def grades(screens: Screens) -> None:
    path = screens.files / "pennies.slotleaf"
    if not path.exists():
        _make_pennies(path)
    with screens.window(path, 0) as program:
        duties = program.window.duties
        workspace = duties.make_albums()
        view = workspace.centre.view
        assert view is not None
        slot = next(v for v in view.slots if v.slot.label == "1936")
        workspace.centre.leaf.go_to_slot(int(slot.slot.id))
        workspace.open_card()
        settle(300)
        screens.save(program, "grades-card")
        duties.show_workspace("coins")
        settle(300)
        screens.save(program, "grades-coins")


def _make_looks(path: Path) -> None:
    """Coins with much to look at: cents of 1955 and 1972, nickels of the war and of 1939."""
    make_collection(path, "Under the glass")
    shelf = (
        ("Cents 1955", "us-cent-lincoln", (1955, 1955), ("1955 vf20",)),
        ("Cents 1972", "us-cent-lincoln", (1972, 1972), ("1972 au50",)),
        ("Nickels", "us-nickel-jefferson", (1939, 1943), ("1943 xf40",)),
    )
    with Collection.open(path) as collection:
        for title, series, years, lines in shelf:
            plan = AlbumPlan(years, (), Varieties.NONE, None)
            made = collection.run(
                add_album(title, SeriesId(series), plan, Arrangement())
            ).made_album
            assert made is not None
            view = collection.album_view(made)
            for line in lines:
                coin = parse_entry(line, [view.series]).coin
                if title.startswith("Cents 1955"):
                    coin = coin.with_finding(VarietyId("1955-ddo"), Finding.SUSPECTED)
                if line.startswith("1943"):
                    coin = coin.with_finding(VarietyId("1943-doubled-eye"), Finding.RULED_OUT)
                year = line.partition(" ")[0]
                slot = next(v.slot for v in view.slots if v.slot.label.startswith(year))
                collection.run(add_and_place(coin, slot.id))


def across(screens: Screens) -> None:
    from tests.gui import across_scenes as scenes

    file = scenes.across_file(screens.files / "across.slotleaf")
    with screens.window(file) as program:
        scenes.albums(program, screens.save)
        scenes.dialogs(program, screens.save)


def look_closer(screens: Screens) -> None:
    path = screens.files / "looks.slotleaf"
    if not path.exists():
        _make_looks(path)
    for album, label, name in (
        (1, "1955", "look-cent"),
        (2, "1972", "look-many"),
        (3, "1943", "look-nickel"),
        (3, "1939", "look-gap"),
    ):
        with screens.window(path, album) as program:
            workspace = program.window.duties.make_albums()
            view = workspace.centre.view
            assert view is not None
            slot = next(v for v in view.slots if v.slot.label.startswith(label))
            workspace.centre.leaf.go_to_slot(int(slot.slot.id))
            workspace.open_card()
            settle(100)
            card = workspace.card
            column = card.findChild(ScrollColumn)
            assert column is not None
            inside = column.widget()
            assert inside is not None
            top = card.look_closer.mapTo(inside, QPoint(0, 0)).y()
            column.verticalScrollBar().setValue(top - HEADING_PX)
            if name == "look-nickel":
                card.look_closer.disc.setFocus()
            screens.save(program, name)


def designer(screens: Screens) -> None:
    from tests.gui import design_scenes as scenes

    few = scenes.design_file(screens.folder / "design.slotleaf")
    with screens.window(few, 1) as program:
        scenes.scene_few(program, screens.save)
    with screens.window(few, 2) as program:
        scenes.scene_some(program, screens.save)
    with screens.window(scenes.big_file(screens.files / "design-big.slotleaf"), 1) as program:
        scenes.scene_many(program, screens.save)


def menus(screens: Screens) -> None:
    from gui.leaf.slot_menu import slot_menu
    from gui.leaf.slot_orders import SlotOrders

    with screens.window(screens.demo, 2) as program:
        window = program.window
        menu = window.menu_button.menu()
        menu.aboutToShow.emit()
        menu.adjustSize()
        at = window.menu_button.mapToGlobal(window.menu_button.rect().bottomLeft())
        menu.move(at - QPoint(menu.width() - window.menu_button.width(), 0))
        workspace = window.duties.make_albums()
        views = workspace.centre.chosen_views()
        orders = SlotOrders(window.duties.desk)
        slots = slot_menu(window, window.duties.actions, orders, views, lambda: None)
        slots.adjustSize()
        slots.move(window.mapToGlobal(QPoint(420, 300)))
        screens.save(program, "menus", menu, slots)


def dialogs(screens: Screens) -> None:
    from gui.about import AboutDialog
    from gui.failure import FailureDialog
    from gui.keyboard_sheet import KeyboardSheet
    from gui.text_dialog import TextDialog

    with screens.window(screens.demo, 2) as program:
        window = program.window
        made: dict[str, Callable[[], QDialog]] = {
            "keyboard": lambda: KeyboardSheet(window),
            "about": lambda: AboutDialog(window),
            "rename": lambda: TextDialog(
                window, "Rename the album", "", [("Name", "Dimes 1946–1964")], "Rename"
            ),
            "fault": lambda: FailureDialog(ValueError("an invented fault"), window),
        }
        for name, make in made.items():
            dialog = make()
            if not dialog.testAttribute(Qt.WidgetAttribute.WA_Resized):
                dialog.adjustSize()
            screens.save(program, f"dialog-{name}", dialog)
            dialog.deleteLater()


SCREENS = (
    first_start, no_album, one, albums, filtered, running, arrangements, much, modes, by_hand,
    through_time, history, coins, grades, designer, across, look_closer, menus, dialogs,
    searches, search_forms, upgrades,
)  # fmt: skip


def main() -> None:
    folder, theme, size = Path(sys.argv[1]), sys.argv[2], sys.argv[3]
    wide, high = (int(part) for part in size.split("x"))
    only = sys.argv[4:]
    screens = Screens(folder, theme, (wide, high))
    for screen in SCREENS:
        if not only or screen.__name__ in only:
            screen(screens)


if __name__ == "__main__":
    main()
