"""What is done from the upgrades workspace: bought, put in, targets and wishes kept."""

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from core.app.changes import Changes
from core.model.album import SlotId, Target, Wish
from gui.desk import Desk
from gui.upgrades.lines import Line
from gui.upgrades.reading import Sheet

if TYPE_CHECKING:
    from core.app.order import Operation


class Deeds(QObject):
    """Runs the operations and says what was done."""

    said = Signal(str)
    bought = Signal(int)
    """A purchase (its number) was made."""

    def __init__(self, desk: Desk, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._desk = desk

    def buy(self, line: Line, sheet: Sheet) -> None:
        """The line's purchase is made: a coin on order in its slot. A spare is put in."""
        if line.is_move:
            self._put_in(line, sheet)
            return
        if line.step is None:
            self.said.emit("There is no purchase on this line.")
            return
        from core.app.want_list import bought

        buy, slot = line.step.buy, line.row.slot
        told = f"{buy.name} is on order for {slot.slot.label}. Undo takes it back."

        def done(_changes: Changes) -> None:
            self.bought.emit(buy.id)
            self.said.emit(told)

        self._desk.run(bought(buy, slot.slot.id, sheet.currency), done)

    def _put_in(self, line: Line, sheet: Sheet) -> None:
        from core.app.operations import place_coin

        moved = line.doing.moved if line.doing else None
        if moved is None:
            return
        if moved.from_slot is not None:
            home = sheet.found.row_of(moved.from_slot).slot.label
            self.said.emit(f"It sits in {home} still; it is free once the better coin is there.")
            return
        number = sheet.found.number(moved.coin)
        told = f"A spare went into {line.row.slot.label}. Undo takes it back."
        self._desk.run(
            place_coin(number, SlotId(line.slot)), lambda _changes: self.said.emit(told)
        )  # fmt: skip

    def keep_targets(
        self, targets: Sequence[tuple[Target, list[SlotId]]], then: Callable[[], None]
    ) -> None:
        """The supposed targets become those of the slots."""
        from core.app.operations import set_target

        orders = [set_target(slots, target) for target, slots in targets]
        self._run_all(orders, "The key dates ask for less now.", then)

    def keep_skips(self, slots: list[SlotId], then: Callable[[], None]) -> None:
        """The supposed slots are skipped from now on."""
        from core.app.operations import set_wish

        orders = [set_wish(slots, Wish.SKIPPED)]
        self._run_all(orders, "The optional slots are skipped now.", then)

    def _run_all(self, operations: "list[Operation]", told: str, then: Callable[[], None]) -> None:
        """One after another as one step to undo."""
        if not operations:
            return

        def begun(run: int) -> None:
            for at, operation in enumerate(operations):
                is_last = at == len(operations) - 1
                self._desk.run(operation, done if is_last else None, run)

        def done(_changes: Changes) -> None:
            then()
            self.said.emit(f"{told} Undo takes it back.")

        self._desk.ask(lambda collection: collection.start_run(), begun)
