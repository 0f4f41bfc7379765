"""Stock this album: a mode of the leaf for the album one already owns.

The workspace puts `mode.band` above the leaf, calls `start(view)`, and hands every view it reads
anew to `adopt(view)` before it shows the view's plan. Glyphs change at the key; what the keys asked
is written behind, in order, as one run that undo takes back together.
"""

from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication, QWidget

from core.app.changes import Changes
from core.app.stocking import BACKSPACE, ENTER, ESCAPE, SPACE
from core.app.views import AlbumView
from core.model.album import AlbumId, SlotId
from gui.album.stock_run import Asked, Step, StockRun
from gui.album.stocking_band import BandShows, StockingBand
from gui.desk import Desk
from gui.leaf.view import LeafView

if TYPE_CHECKING:
    from core.app.operations import Operation

MOST_AT_ONCE = 64
"""So many waiting slots are written in one go at most."""

_KEYS = {
    Qt.Key.Key_Space: SPACE,
    Qt.Key.Key_Backspace: BACKSPACE,
    Qt.Key.Key_Escape: ESCAPE,
    Qt.Key.Key_Return: ENTER,
    Qt.Key.Key_Enter: ENTER,
}
_COMMANDS = (
    Qt.KeyboardModifier.ControlModifier
    | Qt.KeyboardModifier.AltModifier
    | Qt.KeyboardModifier.MetaModifier
)
_SHIFT, _CTRL = Qt.KeyboardModifier.ShiftModifier, Qt.KeyboardModifier.ControlModifier


@dataclass(frozen=True, slots=True, eq=False)
class _Back:
    """A step that was written and is to be taken back."""

    step: Step


class StockingMode(QObject):
    """Takes the leaf's plain keys and clicks while it lasts."""

    ended = Signal(int)
    """The mode was left; how many slots it stocked."""

    def __init__(self, desk: Desk, leaf: LeafView, band_parent: QWidget | None = None) -> None:
        super().__init__(leaf)
        self._desk, self._leaf = desk, leaf
        self.band = StockingBand(band_parent)
        self.band.hide()
        self.band.done_pressed.connect(self.end)
        self.is_on = False
        self._run: StockRun | None = None
        self._album: AlbumId | None = None
        self._run_id: int | None = None
        self._is_asking = False
        self._waiting: deque[Step | _Back] = deque()
        self._sent: list[Step] | _Back | None = None
        leaf.slot_clicked.connect(self._on_slot_clicked)
        leaf.current_slot_changed.connect(self._on_current_slot_changed)
        desk.changed.connect(self._on_changed)

    @property
    def is_writing(self) -> bool:
        """Whether keys pressed are still on their way into the file."""
        return bool(self._waiting) or self._sent is not None

    def start(self, view: AlbumView) -> None:
        """Begin stocking the album that the leaf shows, at its current slot where that is empty."""
        self.is_on = True
        self._desk.is_quiet = True
        self._run = StockRun(view)
        self._album = view.album.id
        self._run_id = None
        self._ask_run()
        self._leaf.set_mode_handler(self._on_key)
        self.band.show()
        self._leaf.setFocus(Qt.FocusReason.OtherFocusReason)
        self._run.here = SlotId(self._leaf.current_slot())
        if not self._run.is_empty(self._run.here):
            self._stand_on(self._run.next_empty(self._run.here) or self._run.first_empty())
        self._leaf.announce(f"Stocking {view.album.name}. Space puts a coin in. Escape ends.")
        self._tell()

    def adopt(self, view: AlbumView) -> None:
        """Take over a view read anew, and put on its plan what is not in the file yet."""
        if self._run is None or view.album.id != self._album:
            return
        self._run.show(view)
        for slot in self._run.unwritten:
            self._set_cell(view, slot)
        self._tell()

    def end(self) -> None:
        """Leave the mode; what was asked is still written."""
        run = self._run
        if run is None or not self.is_on:
            return
        self.is_on = False
        self._desk.is_quiet = False
        self._leaf.set_mode_handler(None)
        self.band.hide()
        self._leaf.setFocus(Qt.FocusReason.OtherFocusReason)
        self._leaf.announce(f"{_slots(run.count)} stocked.")
        self._rest()
        self.ended.emit(run.count)

    def forget(self) -> None:
        """Another collection is open: what is still on its way has no slot there."""
        self.end()
        self._run = self._album = self._run_id = self._sent = None
        self._is_asking = False
        self._waiting.clear()

    def _rest(self) -> None:
        """When the mode is left and all is written there is nothing to put on a view any more."""
        if not self.is_on and not self.is_writing:
            self._run = None

    # --- keys and clicks

    def _on_key(self, event: QKeyEvent) -> bool:
        run = self._run
        if run is None or not self.is_on or event.modifiers() & _COMMANDS:
            return False
        if event.key() == Qt.Key.Key_Space and event.modifiers() & _SHIFT:
            run.here = SlotId(self._leaf.current_slot())
            self._do(run.stock_row())
            return True
        key = _KEYS.get(Qt.Key(event.key()), event.text())
        if len(key) != 1 or not (key.isprintable() or key in _KEYS.values()):
            return False
        run.here = SlotId(self._leaf.current_slot())
        selected = [SlotId(s) for s in self._leaf.selected_slots()]
        self._do(run.press(key, selected))
        return True

    def _on_slot_clicked(self, slot: int) -> None:
        run = self._run
        is_selecting = QApplication.keyboardModifiers() & (_SHIFT | _CTRL)
        if run is None or not self.is_on or is_selecting:
            return
        here = SlotId(slot)
        run.here = here
        if run.is_held(here):
            self._tell()
            return
        self._do(run.stock([here]))

    def _on_current_slot_changed(self, slot: int) -> None:
        run = self._run
        if run is None or not self.is_on or slot == run.here:
            return
        run.here = SlotId(slot)
        run.drop_entry()
        run.told = ""
        self._tell()

    def _do(self, asked: Asked) -> None:
        run = self._run
        if run is None:
            return
        if asked.is_leaving:
            self.end()
            return
        self._waiting.extend(asked.steps)
        touched = [step.slot for step in asked.steps]
        if asked.back is not None:
            touched.append(asked.back.slot)
            self._take_back(asked.back)
        self._redraw(touched)
        self._stand_on(asked.stand_on)
        self._tell()
        self._send()

    def _take_back(self, step: Step) -> None:
        if step in self._waiting:
            self._waiting.remove(step)
        elif self._run is not None:
            self._run.backs.append(step)
            self._waiting.append(_Back(step))

    def _stand_on(self, slot: SlotId) -> None:
        if slot and self._run is not None:
            self._run.here = slot
            self._leaf.go_to_slot(slot)

    # --- drawing

    def _redraw(self, slots: Sequence[SlotId]) -> None:
        run = self._run
        if run is None or not slots:
            return
        for slot in slots:
            self._set_cell(run.view, slot)
        self._leaf.update_slots(slots)

    def _set_cell(self, view: AlbumView, slot: SlotId) -> None:
        cell = view.plan.cell_of_slot(slot)
        if cell < 0 or self._run is None:
            return
        code, _name, line_1, line_2, detail, _slot = self._run.cell(slot)
        view.plan.set_cell(cell, code, line_1, line_2, detail)

    def _tell(self) -> None:
        run = self._run
        if run is None:
            return
        selected = len(self._leaf.selected_slots())
        self.band.show_run(
            BandShows(
                run.typed,
                run.label_of(run.here),
                run.count,
                run.have,
                run.wanted,
                run.told,
                run.is_told_well,
                selected if selected > 1 else 0,
            )
        )

    # --- writing behind the keys

    def _ask_run(self) -> None:
        if self._is_asking:
            return
        self._is_asking = True
        self._desk.ask(lambda collection: collection.start_run(), self._on_run_started)

    def _on_run_started(self, run_id: int) -> None:
        self._is_asking = False
        self._run_id = run_id
        self._send()

    def _send(self) -> None:
        if self._sent is not None or not self._waiting:
            return
        if self._run_id is None:
            self._ask_run()
            return
        head = self._waiting.popleft()
        if isinstance(head, _Back):
            self._sent = head
            operation = _take_back(head.step)
        else:
            steps = [head]
            while self._waiting and _go_together(steps, self._waiting[0]):
                follower = self._waiting.popleft()
                if isinstance(follower, Step):
                    steps.append(follower)
            for step in steps:
                step.is_sent = True
            self._sent = steps
            operation = _stock(steps)
        self._desk.run(operation, self._on_written, self._run_id, self._on_refused)

    def _on_written(self, changes: Changes) -> None:
        run = self._run
        if isinstance(self._sent, list):
            made = iter(changes.made_coins)
            for step in self._sent:
                step.written_as(next(made) if step.was is None else None)
        elif self._sent is not None and run is not None and self._sent.step in run.backs:
            run.backs.remove(self._sent.step)
        self._sent = None
        self._send()
        self._rest()

    def _on_refused(self, error: Exception) -> None:
        """Nothing of it is in the file: show what was there, and drop what would follow."""
        lost = list(self._sent) if isinstance(self._sent, list) else []
        lost += [step for step in self._waiting if isinstance(step, Step)]
        self._sent = None
        self._waiting.clear()
        if self._run is not None:
            touched = [*(step.slot for step in lost), *self._run.give_up(lost)]
            self._redraw(touched)
            self._tell()
        self._desk.show_failure(error)
        self._rest()

    def _on_changed(self, changes: Changes) -> None:
        """Undo took steps back, or another hand changed the album: what follows is a new run."""
        if self._run is None or changes.slots or not changes.is_reshaped:
            return
        self._run.forget_steps()
        self._run_id = None


def _stock(steps: Sequence[Step]) -> "Operation":
    from core.app.operations import stock_slots

    slots = [step.slot for step in steps]
    return stock_slots(slots, steps[0].grade, steps[0].is_flagged)


def _take_back(step: Step) -> "Operation":
    from core.app.operations import edit_coins, unstock_slot

    if step.coin is None:
        raise ValueError("a step that was never written cannot be taken back")
    if step.was is not None:
        return edit_coins([replace(step.was, id=step.coin)])
    return unstock_slot(step.slot, step.coin)


def _go_together(steps: Sequence[Step], follower: Step | _Back) -> bool:
    return (
        isinstance(follower, Step)
        and len(steps) < MOST_AT_ONCE
        and follower.grade == steps[0].grade
        and follower.is_flagged == steps[0].is_flagged
        and all(step.slot != follower.slot for step in steps)
    )


def _slots(count: int) -> str:
    return "One slot" if count == 1 else f"{count} slots"
