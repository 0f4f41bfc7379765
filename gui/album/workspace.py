"""The albums workspace: shelf, album, slot card; what is pressed here becomes orders."""

from collections.abc import Callable, Sequence
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QPoint, Qt, QTimer, Signal
from PySide6.QtGui import QHideEvent, QShowEvent
from PySide6.QtWidgets import QStackedWidget, QWidget

from core.app.changes import Changes
from core.app.views import AlbumSummary, AlbumView, SlotCard
from core.model.album import AlbumId, AlbumKind, SlotId, Wish
from gui.actions import Actions
from gui.album.album_orders import AlbumOrders
from gui.album.centre import AlbumCentre
from gui.album.first_paint import FirstPaint
from gui.album.opening import Opening, ReadAhead, drop, read_opening
from gui.album.shelf import Shelf
from gui.album.show_overview import go_to_coin, only_in_holder
from gui.album.shown import EVERYTHING
from gui.album.side import Side
from gui.album.through_time import ThroughTime
from gui.design.designing import Designing
from gui.desk import Desk
from gui.leaf.inspector import SlotInspector
from gui.leaf.leaf_cells import Proposal as Proposed
from gui.leaf.slot_menu import slot_menu
from gui.leaf.slot_orders import SlotOrders
from gui.settings import Settings
from gui.widgets import EmptyState, make_menu, row
from gui.work import Job

if TYPE_CHECKING:
    from gui.album.by_hand import ByHand
    from gui.album.show_words import SlotWords
    from gui.album.stocking import StockingMode
    from gui.album.time_mode import Standing
    from gui.fill.panel import FillPanel

CARD_AFTER_MS = 20
"""The card follows the keys this much later, so that it never slows them."""
CARD_WHILE_RUNNING_MS = 200
"""While the days run by, it follows where they rest."""


class AlbumsWorkspace(QWidget):
    """Everything about albums; a child of the main window."""

    coins_asked = Signal(int)
    """Show the coins that fit this slot (its id)."""
    shown_first = Signal()
    """The first album is on screen."""
    said = Signal(str)
    """A line worth showing, such as how to take a deletion back."""

    def __init__(
        self, desk: Desk, actions: Actions, settings: Settings, parent: QWidget | None = None
    ) -> None:
        """`build` is to be called until it says False: one part a turn keeps the window awake."""
        super().__init__(parent)
        self._desk, self._actions, self._settings = desk, actions, settings
        self._orders = SlotOrders(desk)
        self._album: AlbumId | None = None
        self._view_job: Job | None = None
        self._shelf_job: Job | None = None
        self._ahead = ReadAhead(desk, self)
        self._ahead.ready.connect(self._on_ready)
        self._card_job: Job | None = None
        self._stocking: StockingMode | None = None
        self._fill_panel: FillPanel | None = None
        self._preview: dict[int, Proposed] = {}
        self._go_to: SlotId | None = None
        self._is_bound = False
        self._is_away = False
        self._is_behind = False
        """Whether something was changed while another workspace was shown."""
        self.by_hand: ByHand | None = None
        self._line = row(self, spacing=0)
        self._parts = iter(
            (
                self._build_shelf,
                self._build_centre,
                lambda: self.centre.build_foot(),  # noqa: PLW0108 (there is no centre yet)
                self._build_card,
                self._begin,
            )
        )

    # ---- building -----------------------------------------------------------------------------

    def build(self) -> bool:
        """Build the next part; whether one was left to build."""
        part = next(self._parts, None)
        if part is not None:
            part()
        return part is not None

    def _begin(self) -> None:
        self._bind()
        self._desk.opened.connect(self.read_anew)
        self._desk.changed.connect(self._on_changed)
        if self._desk.is_open:
            self.read_anew()

    def _build_shelf(self) -> None:
        self.shelf = Shelf(self)
        self._line.addWidget(self.shelf)
        self.pages = QStackedWidget(self)
        self._line.addWidget(self.pages, 1)
        self.blank = QWidget(self)

    def _build_centre(self) -> None:
        self.centre = AlbumCentre(self._actions, self)
        self.empty = EmptyState(
            "No album yet",
            "An album is the set you are building: a series, some dates, some mints.",
            "New album…",
            "Ctrl+N",
            self,
        )
        self.empty.acted.connect(self._actions["new_album"].trigger)
        for page in (self.blank, self.empty, self.centre):
            self.pages.addWidget(page)

    def _build_card(self) -> None:
        self.side = Side(self, self._line)
        self.card = SlotInspector(self._orders, self)
        self.side.stack.addWidget(self.card)
        self.side.moved.connect(self.card.set_closable)
        self._card_timer = QTimer(self)
        self._card_timer.setSingleShot(True)
        self._card_timer.setInterval(CARD_AFTER_MS)
        self._card_timer.timeout.connect(self._ask_card)

    def _bind(self) -> None:
        leaf = self.centre.leaf
        leaf.current_slot_changed.connect(self._refresh_card)
        leaf.selection_slots_changed.connect(self._refresh_card)
        leaf.slot_activated.connect(self.open_card)
        leaf.escaped.connect(self._on_escaped)
        leaf.context_menu_requested.connect(self._on_slot_menu)
        self.shelf.album_chosen.connect(lambda album: self.open_album(AlbumId(album)))
        self.shelf.entered.connect(self.focus_leaf)
        new_album = self._actions["new_album"]
        self.shelf.new_album_asked.connect(new_album.trigger)
        new_album.enabledChanged.connect(self.shelf.new_button.setEnabled)
        self.shelf.new_button.setEnabled(new_album.isEnabled())
        self.shelf.menu_asked.connect(self._on_shelf_menu)
        self.card.left.connect(self.focus_leaf)
        self.card.coins_asked.connect(self._find_coins)
        self.card.slot_asked.connect(self.show_slot)
        self.card.close_asked.connect(self.side.close_drawer)
        self.time = ThroughTime(
            self,
            self._desk,
            self._actions,
            self.centre,
            lambda: self._album,
            self._read_view,
            self._end_modes,
            self._on_view_failed,
        )
        self.time.stood.connect(self._on_stood)
        self.time.moved.connect(self._on_moved_in_time)
        self.time.closed.connect(self.focus_leaf)
        self.design = Designing(
            self, self._desk, self._actions, self.centre, self.side, self._make_room_for_design
        )
        self.design.said.connect(self.said)
        self.design.ended.connect(self._on_fill_closed)
        self._is_bound = True
        self.whole = AlbumOrders(
            self, self._desk, self._actions, self._settings, self.centre, self.shelf, self.time
        )
        self.whole.said.connect(self.said)
        self._bind_commands()
        self._actions.give_to(self)

    def _bind_commands(self) -> None:
        views = self.centre.chosen_views
        in_holder = partial(only_in_holder, self.centre, self.said)
        commands: dict[str, Callable[[], object]] = {
            "correct": in_holder(self.card.correct_newest),
            "go_shelf": lambda: self.shelf.list.setFocus(Qt.FocusReason.ShortcutFocusReason),
            "fill": in_holder(self._fill),
            "stock": in_holder(self.toggle_stocking),
            "put_in": in_holder(lambda: self._open_form("put_in")),
            "order": in_holder(lambda: self._open_form("order")),
            "go_to_coin": partial(go_to_coin, self.centre, self.card, self.said),
            "target": lambda: self._open_form("target"),
            "note": lambda: self._open_form("note"),
            "swap": in_holder(self._swap),
            "find_coins": self._find_coins,
            "take_out": in_holder(lambda: self._orders.take_out([v.slot.id for v in views()])),
            "pin": in_holder(lambda: self._orders.toggle_pin(views())),
            "verify": lambda: self._orders.toggle_verify(views()),
            "skip": lambda: self._orders.toggle_wish(views(), Wish.SKIPPED),
            "optional": lambda: self._orders.toggle_wish(views(), Wish.OPTIONAL),
            "arrived": in_holder(self._arrived),
        }
        for name, handler in commands.items():
            self._actions.bind(name, handler)

    # ---- reading ------------------------------------------------------------------------------

    def read_anew(self) -> None:
        """Another collection, or everything may be otherwise: the last album first, then all."""
        wanted = self._settings.last_album
        self._is_behind = False
        self._forget_what_is_on()
        self._album = None
        self.centre.view = self.centre.words = None
        self.time.end()
        self.card.show_nothing()
        self.card.set_read_only(self._desk.is_read_only)
        self._desk.ask(
            lambda collection: read_opening(collection, wanted),
            self._on_read,
            doing="Reading the albums",
        )

    def _forget_what_is_on(self) -> None:
        """Coins and slots that were proposed, in hand or being stocked are of before."""
        self.design.end()
        if self._stocking is not None:
            self._stocking.forget()
        if self.by_hand is not None:
            self.by_hand.mode.end()
        if self._fill_panel is not None:
            self._fill_panel.leave()

    def _on_read(self, opening: Opening) -> None:
        self.shelf.show_albums(opening.albums)
        if opening.view is None:
            self._show_no_album()
        else:
            self._album = opening.view.album.id
            self._show_view(opening.view)
            self.focus_leaf()
        # Counting every album and spare takes a while: the album is painted before.
        FirstPaint(self.centre.leaf.viewport(), self._read_rest)

    def _read_rest(self) -> None:
        if self.by_hand is None:
            from gui.album.by_hand import ByHand

            self.by_hand = ByHand(
                self, self._desk, self._actions, self.centre, self.shelf, self._end_modes
            )
            self.by_hand.said.connect(self.said)
        self._read_shelf()
        shelf = [album.id for album in self.shelf.model.albums]
        self._ahead.begin([self._album, *shelf] if self._album is not None else shelf)
        self.shown_first.emit()

    def _on_ready(self, album: int) -> None:
        if album == self._album:
            self._read_view()  # with its marks

    def _read_view(self) -> None:
        album = self._album
        if album is None:
            return
        drop(self._view_job)
        if self.time.take_over(album):
            return
        self._view_job = self._desk.ask(
            lambda collection: collection.album_view(album),
            self._show_view,
            self._on_view_failed,
            "Reading the album",
        )

    def _read_shelf(self) -> None:
        drop(self._shelf_job)
        self._shelf_job = self._desk.ask(
            lambda collection: collection.shelf(with_marks=False),
            self._on_shelf_read,
            doing="Counting the albums",
        )

    def _on_shelf_read(self, summaries: Sequence[AlbumSummary]) -> None:
        places = [album.id for album in self.shelf.model.albums]
        self.shelf.show_counts(summaries)
        ids = [summary.album.id for summary in summaries]
        if self._album in ids:
            self.shelf.show_current(self._album)
        elif ids:
            # The album is gone: the one that took its place is next.
            at = places.index(self._album) if self._album in places else 0
            self.open_album(ids[min(at, len(ids) - 1)])
        else:
            self._show_no_album()

    def _on_view_failed(self, error: Exception) -> None:
        from core.errors import NotFound

        if not isinstance(error, NotFound):
            self._desk.show_failure(error)
        # An album that is gone: the shelf, read next, chooses another.

    def _show_no_album(self) -> None:
        self.design.end()
        self._album = None
        self.centre.view = None
        self.card.show_nothing("The slot you choose is shown here.")
        self.empty.button.setEnabled(self._actions["new_album"].isEnabled())
        self.pages.setCurrentWidget(self.empty)
        self.side.setVisible(False)

    def _show_view(self, view: AlbumView, words: "SlotWords | None" = None) -> None:
        is_new = self.centre.view is None or self.centre.view.album.id != view.album.id
        if view.album.id != self._album:
            return
        mode = self._stocking
        if mode is not None and mode.is_on:
            mode.adopt(view)
        self.card.is_overview = view.album.kind is AlbumKind.OVERVIEW
        view = self.centre.show_view(view, is_new, words)
        if mode is not None and mode.is_on:
            mode.adopt(view)
        self.design.adopt(view)
        self._draw_preview()
        self._go_to_slot()
        self.shelf.show_current(view.album.id)
        self.pages.setCurrentWidget(self.centre)
        if not self.side.is_drawer:
            self.side.show()
        if is_new:
            self._settings.last_album = int(view.album.id)
        self._refresh_card()

    def open_album(self, album: AlbumId) -> None:
        """Show another album."""
        if album == self._album and self.centre.view is not None:
            return
        self._end_modes()
        self._album = album
        self.shelf.show_current(album)
        self._read_view()

    def _on_changed(self, changes: Changes) -> None:
        if changes.made_album is not None:
            self._end_modes()
            self._album = changes.made_album
            self.centre.view = None
        if self._is_away:
            self._is_behind = True  # it is read when it is shown again
        else:
            self._read_changed()

    def _read_changed(self) -> None:
        self._is_behind = False
        self.design.expect()
        self._read_view()
        self._read_shelf()

    # ---- the card -----------------------------------------------------------------------------

    def _refresh_card(self) -> None:
        self._card_timer.start(CARD_WHILE_RUNNING_MS if self.time.is_running else CARD_AFTER_MS)

    def _ask_card(self) -> None:
        drop(self._card_job)
        views = self.centre.chosen_views()
        if not views:
            self.card.show_nothing()
        elif len(views) > 1:
            self.card.show_many(views)
        else:
            slot = views[0].slot.id
            self._card_job = self._desk.ask(
                self.time.card_of(slot),
                self._on_card_read,
                self._on_view_failed,
                "Reading the slot",
            )

    def _on_card_read(self, card: SlotCard) -> None:
        views = self.centre.chosen_views()
        if len(views) == 1 and views[0].slot.id == card.view.slot.id:
            self.card.show_card(card, self.time.day)

    def open_card(self, _slot: int = 0) -> None:
        """Go to the card: out of the drawer where it is one."""
        self.side.stack.setCurrentWidget(self.card)
        self.side.open_drawer()
        self.card.show_top()
        button = self.card.target.button if self.card.primary.isHidden() else self.card.primary
        button.setFocus(Qt.FocusReason.OtherFocusReason)

    def _on_escaped(self) -> None:
        """Esc on the album closes what stands beside it, as it does there."""
        if self._fill_panel is not None and self.side.stack.currentWidget() is self._fill_panel:
            self._fill_panel.leave()
        elif self.time.is_open:
            self.time.close()
        else:
            self.side.close_drawer()

    def focus_leaf(self) -> None:
        """The keys act on the album again."""
        self.centre.leaf.setFocus(Qt.FocusReason.OtherFocusReason)

    def _open_form(self, what: str) -> None:
        self._card_timer.stop()
        shown = self.card.shown_slots
        if shown != [view.slot.id for view in self.centre.chosen_views()]:
            self._ask_card()  # the keys were faster than the card
        self.side.stack.setCurrentWidget(self.card)
        self.side.open_drawer()

        def begin(_none: None) -> None:
            self.card.begin(what)

        self._desk.ask(lambda _collection: None, begin)

    def _find_coins(self) -> None:
        views = self.centre.chosen_views()
        if len(views) == 1:
            self.coins_asked.emit(int(views[0].slot.id))
        else:
            self.said.emit("Choose one slot to find coins for.")

    def _swap(self) -> None:
        if len(self.centre.chosen_views()) > 1:
            self.said.emit("Choose one slot to put the best spare in; Fill looks at all of them.")
        elif not self.card.put_best_spare():
            self.said.emit("No spare would be better in this slot.")

    def _arrived(self) -> None:
        views = self.centre.chosen_views()
        if len(views) == 1 and views[0].ordered is not None:
            self._orders.arrived(views[0].slot.id)
        else:
            self.said.emit("No coin is on order for this slot.")

    def _on_slot_menu(self, slot: int, where: QPoint) -> None:
        leaf = self.centre.leaf
        if slot not in leaf.selected_slots():
            leaf.go_to_slot(slot)
        if self.design.is_on:
            self.design.show_menu(where)
            return
        views = self.centre.chosen_views()
        if views:
            holds = not self.card.is_overview
            menu = slot_menu(self, self._actions, self._orders, views, self.open_card, holds)
            menu.aboutToHide.connect(menu.deleteLater)
            menu.popup(where)

    # ---- albums -------------------------------------------------------------------------------

    def _on_shelf_menu(self, album: int, where: QPoint) -> None:
        self.open_album(AlbumId(album))
        menu = make_menu(self)
        for command in ("edit_album", "rename_album", "album_up", "album_down",
                        "split_volumes", "join_volumes", "delete_album"):  # fmt: skip
            menu.addAction(self._actions[command])
        menu.addSeparator()
        for command in ("checklist", "pictures", "new_album"):
            menu.addAction(self._actions[command])
        menu.aboutToHide.connect(menu.deleteLater)
        menu.popup(where)

    # ---- the album through time ---------------------------------------------------------------

    def hideEvent(self, event: QHideEvent) -> None:
        super().hideEvent(event)
        if self._is_bound and not event.spontaneous():
            self.time.close()  # other workspaces know only today
            self._is_away = True

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._is_away = False
        if self._is_behind:
            self._read_changed()

    def _on_stood(self, standing: "Standing") -> None:
        self._show_view(standing.view, standing.words)
        self.centre.show_day(self.time.day)

    def _on_moved_in_time(self) -> None:
        """Today was left for a day that can only be looked at, or is back."""
        if self._fill_panel is not None:
            self._fill_panel.leave()
        self._actions.allow_changes(not self._desk.is_read_only)
        self._desk.labels_changed.emit()
        self.card.set_read_only(self._desk.is_read_only)
        self.centre.show_day(self.time.day)

    # ---- fill, stock, checklist ---------------------------------------------------------------

    def _fill(self) -> None:
        """Propose for the album shown; the side shows the moves, the leaf what they would make."""
        from gui.fill.panel import FillPanel

        if self._fill_panel is None:
            panel = self._fill_panel = FillPanel(self._desk, self)
            panel.preview_changed.connect(self._on_preview_changed)
            panel.slot_chosen.connect(self._on_fill_slot)
            panel.accepted.connect(self._on_fill_accepted)
            panel.closed.connect(self._on_fill_closed)
            self.side.stack.addWidget(panel)
        self._end_modes()
        self.side.stack.setCurrentWidget(self._fill_panel)
        self.side.open_drawer()
        self._fill_panel.start(self._album)

    def _on_preview_changed(self, preview: dict[int, Proposed]) -> None:
        self._preview = preview
        self._draw_preview()

    def _draw_preview(self) -> None:
        view = self.centre.view
        if view is None:
            return
        cells = {view.plan.cell_of_slot(slot): seen for slot, seen in self._preview.items()}
        self.centre.leaf.set_preview({cell: seen for cell, seen in cells.items() if cell >= 0})

    def show_slot(self, album: int, slot: int) -> None:
        """Go to a slot of an album, by their ids."""
        self._on_fill_slot(album, slot)
        self.focus_leaf()

    def _on_fill_slot(self, album: int, slot: int) -> None:
        self._go_to = SlotId(slot)
        self.open_album(AlbumId(album))
        self._go_to_slot()

    def _go_to_slot(self) -> None:
        if self._go_to is not None and self.centre.leaf.go_to_slot(int(self._go_to)):
            self._go_to = None

    def _on_fill_accepted(self, count: int) -> None:
        moves = "One move" if count == 1 else f"{count} moves"
        self.said.emit(f"{moves} made. One undo takes all back: Ctrl+Z.")

    def _on_fill_closed(self) -> None:
        self.side.stack.setCurrentWidget(self.card)
        self.side.close_drawer()
        self._go_to = None
        self.focus_leaf()

    def toggle_stocking(self) -> None:
        """Begin stocking the album shown, or end it."""
        from gui.album.stocking import StockingMode

        if self.centre.view is None or self._desk.is_read_only:
            return
        self.time.close()
        self.design.end()
        if self.centre.words is not None:
            self.centre.choose_shown(EVERYTHING)  # stocked slots show what they hold
        if self._stocking is None:
            self._stocking = StockingMode(self._desk, self.centre.leaf, self.centre)
            self.centre.bands.insertWidget(0, self._stocking.band)
        if self.by_hand is not None:
            self.by_hand.mode.end()
        if self._stocking.is_on:
            self._stocking.end()
        else:
            if self._fill_panel is not None:
                self._fill_panel.leave()
            self._stocking.start(self.centre.view)

    def is_ready_to_close(self) -> bool:
        """Keep what is being typed; False while stocked slots are still on their way."""
        self._end_modes()
        self.card.note.keep()
        return self._stocking is None or not self._stocking.is_writing

    def _make_room_for_design(self) -> None:
        self._end_stocking()
        if self.by_hand is not None:
            self.by_hand.mode.end()
        if self._fill_panel is not None:
            self._fill_panel.leave()

    def _end_modes(self) -> None:
        self._end_stocking()
        self.design.end()

    def _end_stocking(self) -> None:
        if self._stocking is not None and self._stocking.is_on:
            self._stocking.end()
