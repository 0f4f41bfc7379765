"""Designing, as the albums workspace has it: mode, panel and dialogs, made when first asked for."""

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QPoint, Qt, Signal
from PySide6.QtWidgets import QWidget

from core.app.views import AlbumView
from core.model.album import SlotId
from gui.actions import Actions
from gui.album.centre import AlbumCentre
from gui.album.shown import EVERYTHING
from gui.album.side import Side
from gui.desk import Desk

if TYPE_CHECKING:
    from core.app.design import ExtraSlot
    from gui.design.kept import KeptShapes
    from gui.design.mode import DesignMode

DOCKED_FROM_PX = 1180
"""While designing, the panel stands beside the leaf in narrower windows too."""


class Designing(QObject):
    """Binds the command; `make_room` ends what else has the keys of the leaf."""

    said = Signal(str)
    ended = Signal()

    def __init__(
        self,
        host: QWidget,
        desk: Desk,
        actions: Actions,
        centre: AlbumCentre,
        side: Side,
        make_room: Callable[[], object],
    ) -> None:
        super().__init__(host)
        self._host, self._desk, self._actions = host, desk, actions
        self._centre, self._side, self._make_room = centre, side, make_room
        self.mode: DesignMode | None = None
        self.kept: KeptShapes | None = None
        actions.bind("design", self.toggle)
        desk.labels_changed.connect(self._on_labels_changed)

    @property
    def is_on(self) -> bool:
        """Whether the leaf is being designed."""
        return self.mode is not None and self.mode.is_on

    def _made(self) -> "DesignMode":
        if self.mode is None:
            from gui.design.kept import KeptShapes
            from gui.design.mode import DesignMode
            from gui.design.shape_panel import ShapePanel

            panel = ShapePanel(self._host)
            self._side.stack.addWidget(panel)
            mode = self.mode = DesignMode(self._desk, self._centre.leaf, panel, self._centre)
            self._centre.bands.insertWidget(0, mode.band)
            before = self._centre.leaf.previousInFocusChain() or self._centre
            for part in (*mode.band.buttons, self._centre.leaf):  # Tab goes as one reads
                QWidget.setTabOrder(before, part)
                before = part
            mode.ended.connect(self._on_ended)
            mode.band.shape_pressed.connect(self._go_to_panel)
            panel.left.connect(self._side.close_drawer)
            self._side.moved.connect(mode.band.offer_shape)
            mode.panel_asked.connect(self._go_to_panel)
            mode.add_asked.connect(self.add_slot)
            mode.label_asked.connect(self.relabel)
            mode.target_asked.connect(self.set_target)
            self.kept = KeptShapes(self._host, self._desk, mode)
            self.kept.said.connect(self.said)
        return self.mode

    # ---- on and off ---------------------------------------------------------------------------

    def toggle(self) -> None:
        """Begin designing the album shown, or end it; tells why not where it cannot be changed."""
        view = self._centre.view
        if self.is_on:
            self.end()
        elif view is not None and self._desk.is_read_only:
            self._desk.failed.emit(f"The leaf cannot be designed. {self._desk.read_only_reason}")
        elif view is not None:
            self._make_room()
            if self._centre.words is not None:
                self._centre.choose_shown(EVERYTHING)
            mode = self._made()
            mode.start(self._centre.view or view)
            assert self.kept is not None
            self.kept.read()
            self._side.docked_from = DOCKED_FROM_PX
            self._side.stack.setCurrentWidget(mode.panel)
            self._side.fit()
            mode.band.offer_shape(self._side.is_drawer)
            self._centre.show_designing(True)

    def end(self) -> None:
        """Leave the mode, where it is on."""
        if self.mode is not None:
            self.mode.end()

    def _on_ended(self) -> None:
        self._side.dock_as_usual()
        self._side.close_drawer()
        self._centre.show_designing(False)
        self._centre.leaf.setFocus(Qt.FocusReason.OtherFocusReason)
        self.ended.emit()

    def _on_labels_changed(self) -> None:
        """A day of the past is shown, or another collection."""
        if self.is_on and self._desk.is_read_only:
            self.end()

    def expect(self) -> None:
        """The album is about to be read anew."""
        if self.mode is not None:
            self.mode.orders.expect()
            if self.is_on and self.kept is not None:
                self.kept.read()

    def adopt(self, view: AlbumView) -> None:
        """The album as it is drawn now."""
        mode = self.mode
        if mode is None or not mode.is_on:
            return
        if mode.view is not None and mode.view.album.id != view.album.id:
            mode.end()
        else:
            mode.adopt(view)

    def show_menu(self, where: QPoint) -> None:
        """The menu of a slot while designing."""
        if self.mode is not None:
            self.mode.show_menu(where)

    def _go_to_panel(self) -> None:
        if self.mode is not None:
            self._side.open_drawer()
            self.mode.panel.focus_first()

    # ---- dialogs ------------------------------------------------------------------------------

    def add_slot(self) -> None:
        """Ask which slot is to stand after the current one, and add it."""
        mode = self.mode
        view = mode.view if mode is not None else None
        slot = SlotId(self._centre.leaf.current_slot())
        if mode is None or view is None or slot not in view.by_id:
            return
        from core.app.design import extra_slots

        self._desk.ask(
            lambda _collection: extra_slots(view, slot),
            lambda found: self._ask_extra(view, slot, found),
            doing="Looking what could be added",
        )

    def _ask_extra(
        self, view: AlbumView, slot: SlotId, found: "tuple[tuple[str, ExtraSlot], ...]"
    ) -> None:
        from gui.design.add_slot import AddSlotDialog

        near = view.by_id[slot].slot
        extra = AddSlotDialog.ask(self._host, view.series_of(near), near.label, found)
        if extra is not None and self.mode is not None and self.mode.is_on:
            self.mode.add(extra, slot)

    def relabel(self) -> None:
        """Ask what the current slot is to be called."""
        from core.app.design import relabel_slot
        from gui.design.label_dialog import LabelDialog

        mode, slot = self.mode, SlotId(self._centre.leaf.current_slot())
        view = mode.view if mode is not None else None
        if mode is None or view is None or slot not in view.by_id:
            return
        here = view.by_id[slot].slot
        others = [v.slot.label for v in view.slots if v.slot.id != slot]
        label = LabelDialog.ask(self._host, here.label, here.has_own_label, others)
        if label is not None:
            mode.orders.order(lambda now: relabel_slot(slot, label) if slot in now.by_id else None)

    def set_target(self) -> None:
        """Ask for a target of the selected slots."""
        from core.app.operations import set_target
        from core.errors import BadGrade
        from core.model.album import parse_target
        from gui.leaf.many_slots import VARIOUS, in_common
        from gui.text_dialog import TextDialog

        mode = self.mode
        views = mode.chosen_views() if mode is not None else []
        if mode is None or not views:
            return
        now = in_common(views).target_text
        many = views[0].slot.label if len(views) == 1 else f"{len(views):,} slots"

        def fault(texts: list[str]) -> str:
            try:
                parse_target(texts[0])
            except BadGrade as error:
                return str(error)
            return ""

        texts = TextDialog.ask(
            self._host,
            f"Target of {many}",
            [("Target", "" if now == VARIOUS else now)],
            "Set the target",
            "A grade such as VF-20, or none.",
            fault,
        )
        if texts:
            target, slots = parse_target(texts[0]), [view.slot.id for view in views]
            mode.orders.order(lambda _view: set_target(slots, target))
