"""Draws every screen of the window in one way: theme, size, and the scale the process was given."""

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QPainter, QPixmap
from PySide6.QtWidgets import QApplication, QDialog, QMenu

from core.app.collection import Collection, make_collection
from core.app.demo import ensure_demo
from core.app.operations import add_album, add_and_place, set_note, stock_slots
from core.lookup.parse import parse_entry
from core.model.album import Arrangement, ArrangementKind, parse_target
from core.model.grade import parse_grade
from core.model.issue import SeriesId
from core.model.plan_album import AlbumPlan, Varieties
from gui.app import Program
from gui.portrait import settle
from gui.settings import Settings
from gui.theme import load_later_fonts
from gui.work import InlineRunner

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


def coins(screens: Screens) -> None:
    with screens.window(screens.demo, 1) as program:
        program.window.duties.show_workspace("coins")
        settle(300)
        screens.save(program, "coins")


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
    first_start, no_album, one, albums, filtered, running, much, modes, coins, menus, dialogs,
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
