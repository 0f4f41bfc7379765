"""What is done from the upgrades workspace: bought, put in, what was supposed kept."""

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from core.app.changes import Changes
from core.app.price_book import amount_text
from core.model.album import SlotId
from core.model.prices import Price
from gui.desk import Desk
from gui.upgrades.lines import Line
from gui.upgrades.reading import Sheet

if TYPE_CHECKING:
    from core.app.supposed import Kept


class Deeds(QObject):
    """Runs the operations and says what was done."""

    said = Signal(str)

    def __init__(self, desk: Desk, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._desk = desk

    def buy(self, line: Line, sheet: Sheet, then: Callable[[Changes], None]) -> None:
        """The line's purchase is made: a coin on order in its slot. A spare is put in.

        `then` is told of a purchase once it is made.
        """
        if line.is_move:
            self._put_in(line, sheet)
            return
        if line.step is None:
            self.said.emit("There is no purchase on this line.")
            return
        from core.app.want_list import bought

        buy, slot = line.step.buy, line.row.slot
        told = f"{buy.name} is on order for {slot.slot.label}. Undo takes it back."

        def done(changes: Changes) -> None:
            then(changes)
            self.said.emit(told)

        self._desk.run(bought(buy, slot.slot.id, sheet.currency), done)

    def say_worth(self, price: Price, name: str) -> None:
        """A price is put on the list."""
        from core.app.price_orders import set_prices

        told = f"{name}, {price.grade_text}, at {amount_text(price.minor, price.currency)} is noted"
        self._desk.run(
            set_prices([price]), lambda _changes: self.said.emit(f"{told}. Undo takes it back.")
        )

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

    def keep_supposed(self, kept: "Kept", then: Callable[[], None]) -> None:
        """What was supposed becomes so in the albums, as one step to undo."""
        from core.app.keep_supposed import keep_supposed

        def done(_changes: Changes) -> None:
            then()
            self.said.emit(f"Now {kept.words}. Undo takes it back.")

        self._desk.run(keep_supposed(kept), done)
