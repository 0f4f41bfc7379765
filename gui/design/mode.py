"""Design the leaf: a mode of the albums workspace. Keys, menus and the mouse become operations.

Each change is one operation, so the leaf is the live preview and undo takes back each. `adopt` gets
every view that is drawn, `expect` is told when the album is about to be read anew.
"""

from collections.abc import Callable, Sequence
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QElapsedTimer, QObject, QPoint, Qt, Signal
from PySide6.QtGui import QAction, QKeyEvent
from PySide6.QtWidgets import QApplication, QWidget

from core.app.views import AlbumView, SlotView
from core.model.album import SlotId, Wish
from core.model.arrangement import Arrangement, ArrangementKind, Lead
from core.model.coin import CoinId
from gui.design.band import DesignBand
from gui.design.commands import BY_KEY, COMMANDS, SELECT_MENU, SLOT_MENU, Command
from gui.design.map_steps import (
    MapStep,
    leaf_toggled,
    map_changed,
    misfit_text,
    row_toggled,
    spacer_put,
    spacer_taken,
)
from gui.design.marks import DesignMarks, Gap, marks_of
from gui.design.moves import (
    NOT_HERE,
    came_back,
    gap_beside,
    in_hand,
    lead_changed,
    moved,
    ordered,
    stays_beside,
)
from gui.design.order_line import OrderLine
from gui.design.other_shape import OtherSlots, formed, other_slots
from gui.design.shape_panel import Change, ShapePanel
from gui.design.slot_drag import SlotDrag
from gui.design.steps import (
    Shown,
    moved_before,
    shown,
    spaced,
    with_leaf,
    with_row,
)
from gui.desk import Desk
from gui.leaf.leaf_moves import Step
from gui.leaf.slot_orders import SlotOrders
from gui.leaf.view import MODIFIERS, LeafView
from gui.widgets import make_menu

if TYPE_CHECKING:
    from core.app.design import ExtraSlot
    from core.app.operations import Operation

_ENTER = frozenset({Qt.Key.Key_Return, Qt.Key.Key_Enter})
_CTRL, _SHIFT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.ShiftModifier
_OTHER = Qt.KeyboardModifier.AltModifier | Qt.KeyboardModifier.MetaModifier
_ARROWS = {
    Qt.Key.Key_Left: Step.LEFT,
    Qt.Key.Key_Right: Step.RIGHT,
    Qt.Key.Key_Up: Step.UP,
    Qt.Key.Key_Down: Step.DOWN,
}
_BACK = frozenset({Step.LEFT, Step.UP})


class DesignMode(QObject):
    """Takes the keys and the mouse of the leaf while it lasts."""

    ended = Signal()
    panel_asked = Signal()
    """The keys are to go to the Shape panel."""
    add_asked = Signal()
    label_asked = Signal()
    target_asked = Signal()

    def __init__(self, desk: Desk, leaf: LeafView, panel: ShapePanel, host: QWidget) -> None:
        super().__init__(leaf)
        self._desk, self._leaf, self.panel = desk, leaf, panel
        self.is_on = False
        self.view: AlbumView | None = None
        self._order: Shown | None = None
        self._kept: tuple[SlotId, ...] = ()
        self._added_after: SlotId | None = None
        self._gone: set[SlotId] = set()
        self._agree: Callable[[], object] | None = None
        self._since_digit = QElapsedTimer()
        self.orders = OrderLine(desk, self)
        self.orders.rested.connect(self._show_shape)
        self._wishes = SlotOrders(desk)
        self.actions = {command.id: self._action(command) for command in COMMANDS}
        places = [None if c is None else self.actions[c] for c in SELECT_MENU]
        self._slot_menu = [None if c is None else self.actions[c] for c in SLOT_MENU]
        self.band = DesignBand(places, self._slot_menu, host)
        self.band.hide()
        self.band.done_pressed.connect(self.end)
        self.band.agreed.connect(self._on_agreed)
        self.band.kept.connect(self._drop_question)
        self.marks = DesignMarks()
        self.drag = SlotDrag(leaf, self._take, self._hold, self._let_go)
        panel.changed.connect(lambda part, change: self.reshape(change, part))
        panel.form_chosen.connect(self.choose_form)
        panel.present_map_asked.connect(self._take_present_map)
        panel.close_asked.connect(self.end)
        for back in (panel.left, self.band.left, self.band.agreed, self.band.kept):
            back.connect(lambda: leaf.setFocus(Qt.FocusReason.OtherFocusReason))
        leaf.current_slot_changed.connect(lambda _slot: self._tell())
        leaf.selection_slots_changed.connect(lambda _slots: self._tell())

    def _action(self, command: Command) -> QAction:
        action = QAction(f"{command.text}\t{command.shown_key}", self)
        action.triggered.connect(lambda _on=False: self.do(command.id))
        return action

    # ---- beginning and ending -----------------------------------------------------------------

    def start(self, view: AlbumView) -> None:
        """Begin on the album that the leaf shows."""
        self.is_on = True
        self._gone.clear()
        self.orders.begin(view)
        self._leaf.set_mode_handler(self._on_key)
        self._leaf.set_overlay(self.marks)
        self.drag.begin()
        self.band.show()
        self.panel.show_first()
        self.adopt(view)
        self._leaf.setFocus(Qt.FocusReason.OtherFocusReason)
        self._leaf.announce(
            f"Designing the leaf of {view.album.name}. Control with the arrow keys moves slots, "
            "Enter goes to the shape, Escape ends."
        )

    def end(self) -> None:
        """Leave the mode; all that was changed stands."""
        if not self.is_on:
            return
        self.panel.tell_now()  # what was typed a moment ago
        self.is_on = False
        self._drop_question()
        self.drag.end()
        self.orders.end()
        self._leaf.set_overlay(None)
        if self._leaf.mode_handler == self._on_key:
            self._leaf.set_mode_handler(None)
        self.band.hide()
        self.view = self._order = None
        self.ended.emit()

    def adopt(self, view: AlbumView) -> None:
        """The album as it is drawn now."""
        if not self.is_on:
            return
        before, self.view, self._order = self.view, view, None
        self.drag.drop()
        self._drop_question()
        self.marks.by_cell = marks_of(view, view.plan)
        self._leaf.viewport().update()
        if self._kept:
            self._leaf.select_slots(int(slot) for slot in self._kept)
            self._kept = ()
        self._stand_on_added(view)
        self._go_to(came_back(before, view, self._gone))
        self.orders.adopt(view)
        self._tell()

    def order_now(self) -> Shown:
        """The slots in the order in which they are seen."""
        if self._order is None:
            self._order = shown(self.view) if self.view is not None else Shown()
        return self._order

    def _show_shape(self) -> None:
        """The panel follows what is so, undo too, once nothing is under way."""
        view = self.view
        if view is None or self.orders.is_busy:
            return
        here = view.by_id.get(SlotId(self._leaf.current_slot()))
        is_bracketed = here is not None and here.slot.wish is Wish.OPTIONAL
        sample = here.label if here is not None else ""
        sample = sample[1:-1] if is_bracketed else sample
        self.panel.show_album(view, misfit_text(view), sample)

    # ---- what is chosen -----------------------------------------------------------------------

    def chosen(self) -> list[SlotId]:
        """The selected slots, or the current one."""
        slots = self._leaf.selected_slots() or [self._leaf.current_slot()]
        here = self.view.by_id if self.view is not None else {}
        return [SlotId(slot) for slot in slots if SlotId(slot) in here]

    def chosen_views(self) -> list[SlotView]:
        """The same, as drawn."""
        return [self.view.by_id[slot] for slot in self.chosen()] if self.view is not None else []

    def _tell(self) -> None:
        view = self.view
        if view is None or not self.is_on:
            return
        chosen = self.chosen()
        if not chosen:
            words = "Choose a slot: with the arrow keys, the mouse, or the Select menu."
        elif len(chosen) == 1:
            words = f"{view.by_id[chosen[0]].slot.label} · {view.place_text(chosen[0])}"
        else:
            words = f"{len(chosen):,} slots selected"
        self.band.show_chosen(words)

    def _say(self, words: str) -> None:
        self.band.tell(words)
        self._leaf.announce(words)

    # ---- keys ---------------------------------------------------------------------------------

    def _on_key(self, event: QKeyEvent) -> bool:
        key, held = Qt.Key(event.key()), event.modifiers()
        if self.band.is_asking and (key in _ENTER or key == Qt.Key.Key_Escape):
            (self._on_agreed if key in _ENTER else self._drop_question)()
            return True
        if key == Qt.Key.Key_Escape and self.drag.is_holding:
            self.drag.drop()
            return True
        if held & _OTHER or key in MODIFIERS:
            return False
        if held & _CTRL:
            self._since_digit.invalidate()
            step = _ARROWS.get(key)
            if step is not None and not held & _SHIFT:
                self.move(step)
            return step is not None and not held & _SHIFT
        if self._is_typed(event):
            return False
        command = BY_KEY.get((key, bool(held & _SHIFT)))
        if command is not None:
            self.do(command)
            return True
        return bool(event.text().strip())  # a letter without a meaning here searches nothing

    def _is_typed(self, event: QKeyEvent) -> bool:
        """A figure, or the letter that soon follows one: 1943-D is a date to jump to."""
        text = event.text()
        if text[:1].isdigit():
            self._since_digit.start()
            return True
        limit = QApplication.keyboardInputInterval()
        is_soon = self._since_digit.isValid() and self._since_digit.elapsed() < limit
        if is_soon and (text[:1].isalpha() or text[:1] == "-"):
            self._since_digit.start()
            return True
        self._since_digit.invalidate()  # a key that is none ends the date
        return False

    def do(self, command: str) -> None:
        """Carry out a command of the mode by its name."""
        if not self.is_on:
            return
        handlers: dict[str, Callable[[], object]] = {
            "left": lambda: self.move(Step.LEFT),
            "right": lambda: self.move(Step.RIGHT),
            "up": lambda: self.move(Step.UP),
            "down": lambda: self.move(Step.DOWN),
            "spacer": lambda: self.space(1),
            "no_spacer": lambda: self.space(-1),
            "row_break": self.toggle_row,
            "leaf_break": self.toggle_leaf,
            "add": self.add_asked.emit,
            "take_out": self.take_out,
            "label": self.label_asked.emit,
            "target": self.target_asked.emit,
            "optional": lambda: self._set_wish(Wish.OPTIONAL),
            "skip": lambda: self._set_wish(Wish.SKIPPED),
            "wanted": lambda: self._set_wish(Wish.WANTED),
            "panel": self.panel_asked.emit,
            "end": self.end,
        }
        if command.startswith("select_"):
            self.select(command.removeprefix("select_"))
        else:
            handlers[command]()

    def show_menu(self, where: QPoint) -> None:
        """The menu of a slot while designing."""
        menu = make_menu(self._leaf)
        for action in self._slot_menu:
            if action is None:
                menu.addSeparator()
            else:
                menu.addAction(action)
        menu.aboutToHide.connect(menu.deleteLater)
        menu.popup(where)

    # ---- selecting ----------------------------------------------------------------------------

    def select(self, what: str) -> None:
        """Select the slots that share something with the current one; `what` names a Likeness."""
        from core.app.design import Likeness, select_like

        view, slot = self.view, SlotId(self._leaf.current_slot())
        if what == "all":
            self._leaf.selectAll()
        elif view is not None and slot in view.by_id:
            likeness: Likeness = Likeness(what)
            self._leaf.select_slots(int(s) for s in select_like(view, slot, likeness))
            count = len(self._leaf.selected_slots())
            self._leaf.announce(f"{count:,} slots selected")

    # ---- moving -------------------------------------------------------------------------------

    def move(self, step: Step) -> None:
        """The selected slots one place or one row on; in a matrix rows, and columns of mints."""
        chosen = tuple(self.chosen())
        if chosen:
            self.orders.order(lambda view: self._moved(view, chosen, step))

    def _moved(self, view: AlbumView, chosen: tuple[SlotId, ...], step: Step) -> "Operation | None":
        here = tuple(slot for slot in chosen if slot in view.by_id)
        if not here:
            return None
        return self._or_say(
            moved(view, self.order_now(), here, step, self._leaf.cell_towards), here
        )

    def _or_say(
        self, found: "Operation | str", kept: tuple[SlotId, ...] = ()
    ) -> "Operation | None":
        """An order, after which these are selected again; or the reason why there is none."""
        if isinstance(found, str):
            self._say(found)
            return None
        self._kept = kept
        return found

    # ---- by the mouse -------------------------------------------------------------------------

    def _take(self, slot: int) -> bool:
        view = self.view
        if view is None or self.orders.is_busy:
            return False
        if slot not in self._leaf.selected_slots():
            self._leaf.go_to_slot(slot)
        return True

    def _hold(self, point: QPoint | None) -> None:
        view, marks = self.view, self.marks
        if view is None or point is None:
            marks.gap, marks.held = None, frozenset()
        else:
            held = in_hand(view, self.order_now(), self.chosen())
            marks.held = frozenset(view.plan.cell_of_slot(int(slot)) for slot in held)
            marks.gap = self.gap_at(point)
        self._leaf.viewport().update()

    def gap_at(self, point: QPoint) -> Gap | None:
        """Where slots let go at a viewport point would stand."""
        view, found = self.view, self._leaf.place_at(point)
        if view is None or found is None:
            return None
        return gap_beside(view, self.order_now(), *found)

    def _let_go(self, point: QPoint) -> None:
        view, gap, chosen = self.view, self.gap_at(point), tuple(self.chosen())
        if view is None or gap is None or not chosen:
            return
        held = in_hand(view, self.order_now(), chosen)

        def ask(now: AlbumView) -> "Operation | None":
            order = self.order_now()
            move = moved_before(order.order, held, gap.before)
            return self._or_say(ordered(now, order, move), chosen) if move is not None else None

        self.orders.order(ask)

    # ---- spacers and breaks -------------------------------------------------------------------

    def space(self, more: int) -> None:
        """A spacer more, or less, before the selected slots."""
        step = spacer_put if more > 0 else spacer_taken
        self._lead(lambda lead: spaced(lead, more), step, has_spacers=True)

    def toggle_row(self) -> None:
        """A new row begins with the selected slots; no longer where it does with all of them."""
        self._toggle(lambda lead: lead.new_row, with_row, row_toggled)

    def toggle_leaf(self) -> None:
        """The same for a leaf."""
        self._toggle(lambda lead: lead.new_leaf, with_leaf, leaf_toggled)

    def _toggle(
        self,
        has: Callable[[Lead], bool],
        change: Callable[[Lead, bool], Lead],
        step: MapStep,
    ) -> None:
        """In a matrix the break is of the row: any of its slots may bear it, none keeps it."""
        view, chosen = self.view, self.chosen()
        if view is None:
            return
        if view.album.arrangement.kind.is_matrix:
            rows = self.order_now().in_rows(chosen)
            bearing = [slot for slot in rows if has(view.by_id[slot].slot.lead)]
            self._lead(lambda lead: change(lead, not bearing), step, slots=bearing or chosen[:1])
            return
        is_on = not all(has(view.by_id[slot].slot.lead) for slot in chosen)
        self._lead(lambda lead: change(lead, is_on), step)

    def _lead(
        self,
        change: Callable[[Lead], Lead],
        step: MapStep,
        *,
        has_spacers: bool = False,
        slots: Sequence[SlotId] = (),
    ) -> None:
        chosen = tuple(slots or self.chosen())
        if not chosen:
            return

        def ask(view: AlbumView) -> "Operation | None":
            kind = view.album.arrangement.kind
            if kind is ArrangementKind.ROW_MAP:
                return self._or_say(map_changed(view, chosen[0], step))
            if kind.is_matrix and has_spacers:
                self._say(NOT_HERE)
                return None
            here = [slot for slot in chosen if slot in view.by_id]
            found = lead_changed(view, here, change)
            if found is not None:
                self._kept = chosen if len(chosen) > 1 and not slots else ()
            return found

        self.orders.order(ask)

    # ---- wishes -------------------------------------------------------------------------------

    def _set_wish(self, wish: Wish) -> None:
        views = self.chosen_views()
        if wish is Wish.WANTED:
            self._wishes.set_wish([view.slot.id for view in views], wish)
        else:
            self._wishes.toggle_wish(views, wish)

    # ---- slots that go ------------------------------------------------------------------------

    def take_out(self) -> None:
        """Take the selected slots out; asks first where coins would fall out."""
        from core.app.album_edit import falling_text
        from core.app.design import falling_out

        view, chosen = self.view, tuple(self.chosen())
        if view is None or not chosen:
            return
        falling = falling_out(view, chosen)
        coins = tuple(one.coin for one in falling)
        if not falling:
            self._go_out(chosen, coins)
            return
        self.ask_first(
            "A coin would fall out of its slot and become a spare"
            if len(falling) == 1
            else f"{len(falling):,} coins would fall out of their slots and become spares",
            f"{falling_text(falling)}.",
            "Take out",
            lambda: self._go_out(chosen, coins),
            chosen,
        )

    def _go_out(self, slots: tuple[SlotId, ...], agreed: tuple[CoinId, ...]) -> None:
        def ask(view: AlbumView) -> "Operation | None":
            from core.app.design import take_out_slots

            here = [slot for slot in slots if slot in view.by_id]
            self._go_to(stays_beside(self.order_now().order, here))
            self._gone.update(here)
            return take_out_slots(view.album.id, here, agreed) if here else None

        self.orders.order(ask)

    def add(self, extra: "ExtraSlot", after: SlotId) -> None:
        """Add a slot after another one, and stand on it."""

        def ask(view: AlbumView) -> "Operation | None":
            from core.app.design import add_slot

            if after not in view.by_id:
                return None
            self._added_after = after
            return add_slot(view.album.id, extra, after)

        self.orders.order(ask)

    def _go_to(self, slot: SlotId | None) -> None:
        if slot is not None:
            self._leaf.go_to_slot(int(slot))

    def _stand_on_added(self, view: AlbumView) -> None:
        after, self._added_after = self._added_after, None
        ids = [shown.slot.id for shown in view.slots]
        if after in ids[:-1]:
            self._leaf.go_to_slot(int(ids[ids.index(after) + 1]))

    # ---- questions ----------------------------------------------------------------------------

    def ask_first(
        self,
        title: str,
        words: str,
        agree: str,
        then: Callable[[], object],
        slots: Sequence[SlotId] = (),
    ) -> None:
        """Ask on the band; Enter does it, Esc drops it."""
        self._agree = then
        self.band.ask(title, words, agree)
        if self.view is not None:
            cells = (self.view.plan.cell_of_slot(int(slot)) for slot in slots)
            self.marks.is_asking_of = frozenset(cells)
        self._leaf.viewport().update()
        self._leaf.announce(f"{title}. {words} Enter agrees, Escape keeps.")
        self._leaf.setFocus(Qt.FocusReason.OtherFocusReason)

    def _on_agreed(self) -> None:
        agree = self._agree
        self._drop_question()
        if agree is not None:
            agree()

    def _drop_question(self) -> None:
        if self._agree is None:
            return
        self._agree = None
        self.marks.is_asking_of = frozenset()
        self.band.ask("")
        self._leaf.viewport().update()
        self._show_shape()  # a form that was not taken is not shown

    # ---- the shape ----------------------------------------------------------------------------

    def reshape(self, change: Change, part: str = "") -> None:
        """Change the album's arrangement."""

        def ask(view: AlbumView) -> "Operation | None":
            from core.app.operations import rearrange_album

            shape = change(view.album.arrangement)
            if shape == view.album.arrangement:
                return None
            self._kept = tuple(self.chosen()) if len(self._leaf.selected_slots()) > 1 else ()
            return rearrange_album(view.album.id, shape)

        self.orders.order(ask, part)

    def _take_present_map(self) -> None:
        self.orders.order(self._present_map, "map")

    @staticmethod
    def _present_map(view: AlbumView) -> "Operation | None":
        from core.app.design import as_map, take_as_map

        return take_as_map(view) if as_map(view) != view.album.arrangement else None

    def choose_form(self, kind: ArrangementKind) -> None:
        """Another form; one that asks for other slots names first what would fall out."""
        self._drop_question()

        def ask(view: AlbumView) -> "Operation | None":
            if kind is ArrangementKind.ROW_MAP and not view.album.arrangement.row_map:
                return self._present_map(view)
            return self.take_shape(view, formed(view, kind))

        self.orders.order(ask, "form")

    def take_shape(self, view: AlbumView, shape: Arrangement) -> "Operation | None":
        """The order that gives the album a shape; None where it asks first, or nothing changes."""
        from core.app.design import needs_other_slots
        from core.app.operations import rearrange_album

        if shape == view.album.arrangement:
            return None
        if not needs_other_slots(view, shape):
            return rearrange_album(view.album.id, shape)
        self._desk.ask(
            lambda _collection: other_slots(view, shape),
            lambda found: self._ask_other_slots(view, found),
            doing="Working out the slots",
        )
        return None

    def _ask_other_slots(self, view: AlbumView, found: OtherSlots) -> None:
        if self.is_on and self.view is view:
            go = partial(self.orders.order, found.order)
            self.ask_first(found.title, found.words, "Change the slots", go, found.going)
