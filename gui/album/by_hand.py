"""What hands do to albums: coins dragged or carried by keys, the shelf put in order, albums edited.

Made once the first album is on screen; until then its commands have nothing to act on.
"""

from collections.abc import Callable, Sequence

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from core.app.carried import Carried
from core.app.views import AlbumView
from core.model.album import AlbumId, AlbumKind, SlotId
from gui.actions import Actions
from gui.album.centre import AlbumCentre
from gui.album.move_band import MoveMode
from gui.album.shelf import Shelf
from gui.album.show_overview import overview_reason
from gui.desk import Desk
from gui.leaf.drop import LeafDrops


class ByHand(QObject):
    """Binds the commands; `make_room` ends what else has the keys of the leaf."""

    said = Signal(str)

    def __init__(
        self,
        parent: QWidget,
        desk: Desk,
        actions: Actions,
        centre: AlbumCentre,
        shelf: Shelf,
        make_room: Callable[[], object],
    ) -> None:
        super().__init__(parent)
        self._host, self._desk, self._actions = parent, desk, actions
        self._centre, self._shelf = centre, shelf
        self._make_room = make_room
        self.drops = LeafDrops(centre.leaf, desk, lambda: centre.view)
        self.drops.said.connect(self.said)
        self.mode = MoveMode(desk, centre.leaf, lambda: centre.view, centre)
        centre.bands.insertWidget(0, self.mode.band)
        self.mode.ended.connect(centre.fit_again)
        shelf.list.can_move = lambda: not desk.is_read_only
        shelf.ordered.connect(self._order)
        commands: dict[str, Callable[[], object]] = {
            "move_coin": self.move_coin,
            "album_up": lambda: self.move_album(-1),
            "album_down": lambda: self.move_album(1),
            "edit_album": self.edit_album,
        }
        for name, handler in commands.items():
            actions.bind(name, handler)

    def _album(self) -> AlbumId | None:
        view = self._centre.view
        return view.album.id if view is not None else None

    # ---- a coin -------------------------------------------------------------------------------

    def move_coin(self) -> None:
        """Take the current slot's coin in hand; the keys then say where to."""
        view = self._centre.view
        if view is None or self._desk.is_read_only:
            return
        if view.album.kind is AlbumKind.OVERVIEW:
            self.said.emit(overview_reason(view.album.name))
            return
        carried = _coin_here(view, SlotId(self._centre.leaf.current_slot()))
        if carried is None:
            self.said.emit("There is no coin here to move; stand on a slot that holds one.")
            return
        self.carry(carried)

    def carry(self, carried: Carried) -> None:
        """Take a coin in hand, wherever it is now."""
        self._make_room()
        self._centre.leaf.clearSelection()
        self.mode.start(carried)
        self._centre.fit_again()

    # ---- the shelf ----------------------------------------------------------------------------

    def move_album(self, down: int) -> None:
        """The open album one place down or up; where the keys are on a heading, its volumes."""
        from core.app.shelf_entries import moved_entry

        albums, heading = self._shelf.model.albums, self._shelf.heading
        here = next((a.id for a in albums if heading and a.volumes == heading), self._album())
        if here is None:
            return
        order = moved_entry(albums, here, down, whole=bool(heading))
        if order != tuple(album.id for album in albums):
            self._order(order)

    def _order(self, order: Sequence[AlbumId]) -> None:
        from core.app.operations_albums import order_albums

        self._desk.run(order_albums(order))

    # ---- the album ----------------------------------------------------------------------------

    def edit_album(self) -> None:
        """Ask what the open album shall be from now on."""
        from gui.album.edit_album import EditAlbumDialog

        album = self._album()
        if album is not None and not self._desk.is_read_only:
            self._make_room()
            EditAlbumDialog.ask(self._host, self._desk, album)


def _coin_here(view: AlbumView, slot_id: SlotId) -> Carried | None:
    there = view.by_id.get(slot_id)
    if there is None or there.coin is None or view.album.kind is AlbumKind.OVERVIEW:
        return None
    series = view.series_of(there.slot)
    return Carried(there.coin, series, there.slot, series, view.album.name)
