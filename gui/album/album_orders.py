"""What is done with an album as a whole: new, name, shape, paper, pictures, off the shelf."""

from collections.abc import Callable
from dataclasses import replace

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from core.errors import CollectionError
from core.model.album import AlbumId, SlotId
from core.model.arrangement import Arrangement, ArrangementKind
from gui.actions import Actions
from gui.album.centre import AlbumCentre
from gui.album.shelf import Shelf
from gui.album.through_time import ThroughTime
from gui.desk import Desk
from gui.settings import Settings


class AlbumOrders(QObject):
    """Binds the commands; each acts on the album that is shown."""

    said = Signal(str)
    """A line worth showing, such as how to take a deletion back."""

    def __init__(
        self,
        parent: QWidget,
        desk: Desk,
        actions: Actions,
        settings: Settings,
        centre: AlbumCentre,
        shelf: Shelf,
        time: ThroughTime,
    ) -> None:
        super().__init__(parent)
        self._show_albums = actions["albums"].trigger
        self._host, self._desk, self._settings = parent, desk, settings
        self._centre, self._shelf, self._time = centre, shelf, time
        centre.arrangement_chosen.connect(self.arrange)
        centre.other_size_asked.connect(self.ask_other_size)
        commands: dict[str, Callable[[], object]] = {
            "new_album": self._new_album,
            "rename_album": self._rename_album,
            "delete_album": self._delete_album,
            "split_volumes": self._split_volumes,
            "join_volumes": self._join_volumes,
            "checklist": self._checklist,
            "pictures": self._pictures,
        }
        for name, handler in commands.items():
            actions.bind(name, handler)

    @property
    def _album(self) -> AlbumId | None:
        view = self._centre.view
        return view.album.id if view is not None else None

    def _name(self) -> str:
        return self._centre.view.album.name if self._centre.view else ""

    def _new_album(self) -> None:
        from gui.album.new_album import NewAlbumDialog

        if NewAlbumDialog.ask(self._host, self._desk) is not None:
            self._show_albums()  # it may have been asked for among the coins

    def _rename_album(self) -> None:
        from core.app.operations import rename_album
        from gui.text_dialog import TextDialog

        album = self._album
        if album is None:
            return
        others = {a.name.casefold(): a.name for a in self._shelf.model.albums if a.id != album}

        def fault(texts: list[str]) -> str:
            taken = others.get(" ".join(texts[0].casefold().split()))
            return (
                f"There is an album called {taken} already; choose another name." if taken else ""
            )

        texts = TextDialog.ask(
            self._host, "Rename the album", [("Name", self._name())], "Rename", fault=fault
        )
        if texts:
            self._desk.run(rename_album(album, texts[0]))

    def _delete_album(self) -> None:
        from core.app.operations import delete_album

        album, name = self._album, self._name()
        if album is None:
            return
        said = f"{name} is off the shelf; its coins are spares now. Undo brings it back: Ctrl+Z."
        self._desk.run(delete_album(album), lambda _changes: self.said.emit(said))

    def _split_volumes(self) -> None:
        """Ask where volumes begin, the slot one stands on to begin with, and cut the album."""
        from core.app.volumes import read_cuts, split_into_volumes
        from gui.text_dialog import TextDialog

        view = self._centre.view
        if view is None or self._desk.is_read_only:
            return
        if len(view.slots) < 2:
            self.said.emit(f"{view.album.name} has one slot alone; there is nothing to split.")
            return
        here = view.by_id.get(SlotId(self._centre.leaf.current_slot()))

        def fault(texts: list[str]) -> str:
            try:
                read_cuts(view, texts[0])
            except CollectionError as error:
                return str(error)
            return ""

        begin = here.slot.label if here is not None else ""
        if fault([begin]):  # the first slot begins no second volume
            begin = ""
        texts = TextDialog.ask(
            self._host,
            "Split into volumes",
            [("A new volume begins with", begin)],
            "Split the album",
            "Dates or slots with which the next volumes begin, with commas: 1941, 1959. The "
            "volumes stand together on the shelf; coins keep their slots.",
            fault=fault,
        )
        if texts:
            cuts = read_cuts(view, texts[0])
            said = f"{view.album.name} is in {len(set(cuts)) + 1} volumes now. Undo: Ctrl+Z."
            order = split_into_volumes(view.album.id, cuts)
            self._desk.run(order, lambda _changes: self.said.emit(said))

    def _join_volumes(self) -> None:
        """Make one album of the volumes that stand with the open one."""
        from core.app.volumes import join_volumes

        view = self._centre.view
        if view is None or self._desk.is_read_only:
            return
        title = view.album.volumes
        run = [a for a in self._shelf.model.albums if title and a.volumes == title]
        if len(run) < 2:
            self.said.emit(f"{view.album.name} is no volume of several, so there is none to join.")
            return
        said = f"{title} is one album now. Undo brings its {len(run)} volumes back: Ctrl+Z."

        def then(_changes: object) -> None:
            self._shelf.album_chosen.emit(int(run[0].id))
            self.said.emit(said)

        self._desk.run(join_volumes([album.id for album in run]), then)

    def arrange(self, arrangement: Arrangement) -> None:
        """Lay the album out otherwise; its coins keep their slots."""
        from core.app.operations import rearrange_album

        view = self._centre.view
        if view is not None and arrangement != view.album.arrangement:
            self._desk.run(rearrange_album(view.album.id, arrangement))

    def ask_other_size(self) -> None:
        """Ask how many slots to a row and rows to a leaf, then lay it out so."""
        from core.model.arrangement import parse_arrangement
        from gui.text_dialog import TextDialog

        if self._centre.view is None:
            return
        now = self._centre.view.album.arrangement
        texts = TextDialog.ask(
            self._host,
            "Running",
            [
                ("Slots to a row", str(now.per_row)),
                ("Rows to a leaf", str(now.rows_per_leaf or 5)),
            ],
            "Arrange",
            "Slots one after another, so many to a row, so many rows to a leaf.",
        )
        if texts is None:
            return
        try:
            chosen = parse_arrangement(f"{ArrangementKind.RUNNING}:{texts[0]}x{texts[1]}")
        except CollectionError as error:
            self._desk.show_failure(error)
            return
        per_row, rows = chosen.per_row, chosen.rows_per_leaf
        self.arrange(replace(now, kind=chosen.kind, per_row=per_row, rows_per_leaf=rows))

    def _checklist(self) -> None:
        from gui.checklist.preview import ChecklistDialog

        day = self._time.day
        if self._album is not None:
            ChecklistDialog.ask(self._host, self._desk, self._album, self._settings, day)

    def _pictures(self) -> None:
        """The album as pictures and sheets, as of the day it is shown."""
        from gui.pictures.dialog import PicturesDialog

        view, cell = self._centre.view, self._centre.leaf.current_cell()
        if self._album is None or view is None:
            return
        has_leaf = 0 <= cell < view.plan.cells
        leaf = view.plan.row_leaf[view.plan.where(cell)[0]] + 1 if has_leaf else None
        day = self._time.day
        PicturesDialog.ask(self._host, self._desk, self._album, leaf, day)
