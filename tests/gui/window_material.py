"""A window on a small collection of its own, for the tests of window, card and desk."""

from pathlib import Path
from time import monotonic

from PySide6.QtCore import QEvent
from PySide6.QtWidgets import QApplication

from core.app.collection import Collection, make_collection
from core.app.operations import add_album, add_and_place, add_coins
from core.app.views import AlbumView
from core.lookup.parse import parse_entry
from core.model.album import Slot, Target
from core.model.arrangement import Arrangement
from core.model.issue import SeriesId
from core.model.plan_album import AlbumPlan
from gui.album.workspace import AlbumsWorkspace
from gui.app import Program
from gui.settings import Settings
from gui.theme import LIGHT_THEME, apply_theme, load_later_fonts
from gui.work import InlineRunner, Runs

NICKELS = SeriesId("us-nickel-jefferson")


def small_collection(path: Path) -> Path:
    """Two albums: war nickels 1942–1945 with a target of VF-20, and 1950–1951 without.

    1943-D holds a VG-8; spares: a 1943-D in VF-20, a 1944-P in F-12 and a 1944-P without a grade.
    """
    make_collection(path, "Kitchen drawer")
    with Collection.open(path) as collection:
        war = AlbumPlan(years=(1942, 1945), target=Target(20))
        made = collection.run(add_album("War nickels", NICKELS, war, Arrangement()))
        later = AlbumPlan(years=(1950, 1951))
        collection.run(add_album("Later nickels", NICKELS, later, Arrangement()))
        assert made.made_album is not None
        view = collection.album_view(made.made_album)
        slot = collection.find_slot(view.album, "1943-D")
        series = view.series
        collection.run(add_and_place(parse_entry("1943-D vg8", [series]).coin, slot.id))
        entries = ("1943-D vf20", "1944-P f12", "1944-P")
        collection.run(add_coins([parse_entry(entry, [series]).coin for entry in entries]))
    return path


class OpenWindow:
    """A window under test, with the ways in that tests use."""

    def __init__(self, program: Program) -> None:
        self.program = program
        self.window, self.desk = program.window, program.desk
        self.duties = program.window.duties

    @property
    def albums(self) -> AlbumsWorkspace:
        """The albums workspace."""
        return self.duties.make_albums()

    @property
    def view(self) -> AlbumView:
        """The album shown."""
        view = self.albums.centre.view
        assert view is not None
        return view

    def slot(self, label: str) -> Slot:
        """A slot of the album shown."""
        return next(v.slot for v in self.view.slots if v.slot.label == label)

    def go_to(self, label: str) -> None:
        """Stand on a slot, and have its card shown."""
        self.albums.centre.leaf.go_to_slot(int(self.slot(label).id))
        self.show_card()

    def show_card(self) -> None:
        """Have the card follow the leaf now."""
        self.albums._card_timer.stop()
        self.albums._ask_card()
        self.program.app.processEvents()  # a layout shows what is new in it

    def state(self, label: str) -> str:
        """What the leaf's own plan says of a slot, as a screen reader hears it."""
        plan = self.view.plan
        return plan.sentence(plan.cell_of_slot(int(self.slot(label).id)))


def open_window(
    app: QApplication, folder: Path, path: Path | None, runner: Runs | None = None
) -> OpenWindow:
    """A window, shown; on a collection where a path is given."""
    settings = Settings(folder / "window.ini")
    settings.theme = "light"
    program = Program(app, settings, runner or InlineRunner())
    load_later_fonts()
    program.window.resize(1440, 900)
    program.window.show()
    if path is None:
        program.window.duties.show_first_start()
    else:
        program.window.duties.make_albums()
        shown: list[bool] = []
        program.window.duties.make_albums().shown_first.connect(lambda: shown.append(True))
        program.desk.open(path)
        until = monotonic() + 10
        while program.desk.is_open and not shown and monotonic() < until:
            app.processEvents()
    return OpenWindow(program)


def close_window(window: OpenWindow) -> None:
    """Close it and let go of the file."""
    window.window.close()
    window.window.deleteLater()
    window.desk.deleteLater()
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    apply_theme(window.program.app, LIGHT_THEME)
