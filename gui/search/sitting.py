"""A sitting at the table: what is typed becomes answers, finds, sightings and rolls.

Every Enter writes at once. Keys typed while an answer is on its way are kept back and done in their
order, so that a fast hand and a slow file agree.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from core.app.counted import sighting_of
from core.app.look_up import Answer, Looked, Scope
from core.lookup.commands import Command, CommandKind
from core.lookup.line import OwnCodes
from core.model.issue import Series
from core.model.search import Box, Sighting
from gui.desk import Desk
from gui.search.answer_card import MOST_READINGS, AnswerCard
from gui.search.clock import SittingClock
from gui.search.line import LineCard, LineField
from gui.search.reading import Table
from gui.work import Job

if TYPE_CHECKING:
    from core.app.changes import Changes
    from core.app.collection import Collection
    from core.app.order import Operation


@dataclass(frozen=True, slots=True)
class Said:
    """What the line said, and what was answered."""

    text: str
    looked: Looked


class LookingUp(QObject):
    """What a line and its answer card have in common wherever they stand.

    `_put_down` and `_do` are what a place makes of Enter; here they do nothing.
    """

    def __init__(self, desk: Desk, field: LineField, card: AnswerCard, parent: QObject) -> None:
        super().__init__(parent)
        self._desk, self._field, self._card = desk, field, card
        self._said: Said | None = None
        self._job: Job | None = None
        self._waits: Callable[[Looked], None] | None = None
        self._with_reading: Callable[[Answer], None] = lambda _answer: None
        self._kept_text = ""
        self._kept: tuple[Answer, ...] = ()
        self._news: tuple[str, ...] = ()
        field.textChanged.connect(self._on_typed)
        field.kept.connect(lambda: self.enter(True))
        field.counted.connect(lambda: self.enter(False))
        field.compare_asked.connect(self.compare)
        field.reading_asked.connect(self._on_reading)
        field.undo_asked.connect(self._undo)
        field.cleared.connect(self.forget)
        card.compare_asked.connect(self.compare)

    def _undo(self) -> None:
        self._desk.undo()

    @property
    def scope(self) -> Scope:
        """What the line asks about."""
        return Scope()

    @property
    def looked(self) -> Looked | None:
        """The answer to what stands in the line, None while it is on its way or nothing is."""
        text = self._field.text()
        return self._said.looked if self._said and self._said.text == text else None

    def forget(self) -> None:
        """What was entered last is no longer told."""
        self._kept, self._kept_text, self._news = (), "", ()
        self._show_rest()

    # --- looking up

    def _on_typed(self, text: str) -> None:
        if self._job is not None:
            self._job.cancel()
            self._job = None
        self._field.is_asking = False
        if text.strip():
            self._ask()
            return
        self._said = None
        self._offer(())
        self._show_rest()

    def _offer(self, completions: tuple[str, ...]) -> None:
        """Show what the line may go on to say."""

    @staticmethod
    def _look_up(collection: "Collection", text: str, scope: Scope) -> Looked:
        """The answer, worked out away from the window."""
        return collection.look_up(text, scope)

    def _ask(self) -> None:
        text, scope, look_up = self._field.text(), self.scope, self._look_up

        def question(collection: "Collection") -> Said:
            return Said(text, look_up(collection, text, scope))

        job = self._desk.ask(question, self._on_answer)
        self._job = job if job is not None and not job.is_done else None

    def _on_answer(self, said: Said) -> None:
        self._job = None
        if said.text != self._field.text():
            return
        self._said = said
        self._offer(said.looked.completions)
        self._card.show_looked(said.looked, self._told if self._news else "")
        waits, self._waits = self._waits, None
        if waits is not None:
            waits(said.looked)
            self._field.go_on()

    def _show_rest(self) -> None:
        """What stands in the card while nothing is typed."""
        if self._kept:
            self._card.show_kept(self._kept, self._told)
        else:
            self._card.show_empty(self._told)

    @property
    def _told(self) -> str:
        """What was entered last, and what is new about it; news never stand without their coin."""
        return " · ".join(filter(None, (self._kept_text, *self._news)))

    # --- entering

    def enter(self, is_kept: bool) -> None:
        """Keep what the line says, or count it; a command is done either way."""
        self._when_looked(lambda looked: self._decide(looked, is_kept))

    def _when_looked(self, do: Callable[[Looked], None]) -> None:
        """Do something with the answer, as soon as it is there; keys typed meanwhile come after."""
        if not self._field.text().strip():
            return
        if self.looked is not None:
            do(self.looked)
            return
        self._waits = do
        self._field.hold()
        if self._job is None:
            self._ask()

    def _decide(self, looked: Looked, is_kept: bool) -> None:
        is_kept = is_kept and not looked.is_seen
        if looked.command is not None:
            self._do(looked.command)
        elif looked.unfinished:
            told = f"“{looked.unfinished}” is not read yet: finish the word, or take it out."
            self._card.show_told("", told)
        elif looked.must_ask:
            self._ask_which(looked, lambda answer: self._put_down(answer, is_kept))
        else:
            meant = looked.meant if is_kept else looked.meant_seen
            if meant is not None:
                self._put_down(meant, is_kept)

    def _ask_which(self, looked: Looked, then: Callable[[Answer], None]) -> None:
        """Do something with the one of several readings whose digit is pressed."""
        self._with_reading = then
        self._field.choices = min(len(looked.readings), MOST_READINGS)
        self._field.is_asking = True
        self._card.ask_which(looked)

    def _on_reading(self, place: int) -> None:
        looked = self.looked
        self._field.is_asking = False
        if looked is None:
            return
        if place < 0:
            self._card.show_looked(looked)
        else:
            self._with_reading(looked.readings[place])

    def compare(self) -> None:
        """Settle by its markers which variety the coin on the line is, then keep or count it."""
        if not self._field.text().strip():
            self._card.show_told("", "Type a coin first; then F4 compares what it may be.")
        self._when_looked(self._compare)

    def _compare(self, looked: Looked) -> None:
        told_apart = [one for one in looked.readings if any(line.is_open for line in one.closer)]
        if len(told_apart) == 1:  # of several readings the one of which there is something to see
            self._compare_reading(told_apart[0])
        elif looked.meant is not None:
            self._compare_reading(looked.meant)
        elif looked.must_ask:
            self._ask_which(looked, self._compare_reading)
        else:
            told = "Write which coin it is first" if looked.readings else "Type a coin first"
            self._card.show_told("", f"{told}; then F4 compares what it may be.")

    def _compare_reading(self, answer: Answer) -> None:
        series = answer.entry.series

        def question(collection: "Collection") -> tuple[Series, OwnCodes]:
            return collection.series(series), collection.look_up_index().codes

        self._desk.ask(question, lambda found: self._ask_compared(answer, *found))

    def _ask_compared(self, answer: Answer, series: Series, codes: OwnCodes) -> None:
        from gui.search.compare import CompareDialog, subjects_of

        entry = answer.entry
        chosen = entry.one_of or answer.settle
        subjects = subjects_of(series, entry.coin, chosen, bool(entry.one_of), codes)
        if not subjects:
            self._card.show_told("", f"Nothing is known that tells {answer.name} apart.")
            return
        done = CompareDialog.ask(
            self._field.window(), answer.name, series, entry.coin, subjects,
            may_count=self._field.has_rolls,
        )  # fmt: skip
        if done is None:
            return
        scope = self.scope
        self._desk.ask(
            lambda collection: collection.look_up_again(answer, done.coin, scope),
            lambda again: self._put_down(again, done.is_kept),
        )

    def _put_down(self, answer: Answer, is_kept: bool) -> None:
        """Keep a coin, or count it."""

    def _do(self, command: Command) -> None:
        """Do a command of the line."""

    def _run(
        self, operation: "Operation", text: str, answers: tuple[Answer, ...], seconds: int = 0
    ) -> None:
        """Give the order; the line is free for the next coin at once."""
        typed = self._field.text()
        self._kept_text, self._kept, self._news = text, answers, ()
        self._said = None
        self._field.clear()

        def done(_changes: "Changes") -> None:
            self._on_done()
            if not self._field.text().strip():
                self._show_rest()

        def failed(error: Exception) -> None:
            self._on_refused(seconds)
            self._kept_text, self._kept = "", ()
            if not self._field.text():
                self._field.setText(typed)
            self._desk.show_failure(error)

        self._desk.run(operation, done, failed=failed)

    def _on_done(self) -> None:
        """It stands in the file."""

    def _on_refused(self, seconds: int) -> None:
        """It does not; the time spent on it was not written."""


class Sitting(LookingUp):
    """Joins line, answer and box; knows the table by `show_table`."""

    entered = Signal()
    """Something was kept, counted, or a roll was taken."""

    def __init__(
        self, desk: Desk, line: LineCard, card: AnswerCard, clock: SittingClock, parent: QObject
    ) -> None:
        self._line, self._clock = line, clock
        self._table: Table | None = None
        field = line.field
        super().__init__(desk, field, card, parent)
        field.next_asked.connect(self.next_roll)
        field.back_asked.connect(self.back_roll)
        field.counter_asked.connect(self.count_place)
        field.pressed_key.connect(clock.touch)

    # --- the table

    @property
    def box(self) -> Box | None:
        """The box in hand."""
        return self._table.box.box if self._table and self._table.box else None

    @property
    def scope(self) -> Scope:
        """What the line asks about."""
        return self._table.scope if self._table else Scope()

    def show_table(self, table: Table) -> None:
        """The table as it stands now: the answer on screen is asked for anew."""
        before, had = self.box, _entered(self._table)
        self._table = table
        if before is not None and self.box is not None:
            is_other = before.id != self.box.id
            if is_other or _entered(table) < had:  # taken back: it is told as kept no more
                self.forget()
        if self._field.text().strip():
            self._ask()
        elif not self._kept_text:
            self._show_rest()

    def announce(self, news: tuple[str, ...]) -> None:
        """Records that were broken with the last entry."""
        self._news = news
        if not self._field.text().strip():
            self._show_rest()

    def _put_down(self, answer: Answer, is_kept: bool) -> None:
        box = self.box
        if box is None:
            return
        if is_kept:
            self._keep(box, answer)
        else:
            self._count(
                box, sighting_of(answer.entry, box.id, answer.found), answer.called, (answer,)
            )

    def _keep(self, box: Box, answer: Answer) -> None:
        from core.app.compare import kept_coin
        from core.app.search_orders import keep_find

        entry = answer.entry
        seconds = self._clock.take()
        operation = keep_find(
            box.id,
            kept_coin(entry),
            quantity=entry.quantity,
            is_ender=entry.is_ender,
            answer=str(answer.verdict),
            name=answer.called,
            seconds=seconds,
        )
        many = f"{entry.quantity} kept" if entry.quantity > 1 else "Kept"
        self._run(operation, f"{many}: {answer.called}", (answer,), seconds)

    def _count(
        self, box: Box, sighting: Sighting, name: str, answers: tuple[Answer, ...] = ()
    ) -> None:
        from core.app.search_orders import count_seen

        seconds = self._clock.take()
        operation = count_seen(box.id, sighting, name, seconds)
        times = f"{sighting.quantity} × " if sighting.quantity > 1 else ""
        self._run(operation, f"Counted, not kept: {times}{name}", answers, seconds)

    def count_place(self, place: int) -> None:
        """Count under the counter of a function key; what stands in the line is told of it."""
        table, box = self._table, self.box
        if table is None or box is None or place >= len(table.counters):
            return
        name = table.counters[place]
        note = self._field.text().strip()
        self._count(box, Sighting(0, box.id, 0, 0, counter=name, text=note), f"+ {name}")

    def _do(self, command: Command) -> None:
        box = self.box
        if box is None:
            return
        if command.kind is CommandKind.COUNT:
            seen = Sighting(
                0, box.id, 0, 0,
                counter=command.counter, quantity=command.quantity, text=command.note,
            )  # fmt: skip
            self._count(box, seen, f"+ {command.counter}")
        elif command.roll is None:
            self.next_roll()
        else:
            self.go_to(command.roll - self._before())

    # --- rolls

    def _before(self) -> int:
        """How many rolls were numbered before this box."""
        view = self._table.box if self._table else None
        return view.rolls[0].shown - 1 if view else 0

    def next_roll(self) -> None:
        """The next roll."""
        from core.app.search_orders import next_roll

        self._roll(next_roll)

    def back_roll(self) -> None:
        """Back a roll."""
        from core.app.search_orders import back_roll

        self._roll(back_roll)

    def go_to(self, number: int) -> None:
        """A roll of this box, counted in it from 1."""
        from core.app.search_orders import go_to_roll

        self._roll(lambda box, seconds: go_to_roll(box, number, seconds))

    def _roll(self, order: Callable[..., "Operation"]) -> None:
        box = self.box
        if box is not None:
            seconds = self._clock.take()
            self._run(order(box.id, seconds), "", (), seconds)

    def _offer(self, completions: tuple[str, ...]) -> None:
        self._line.show_completions(completions)

    def _on_done(self) -> None:
        self.entered.emit()

    def _on_refused(self, seconds: int) -> None:
        self._clock.give_back(seconds)


def _entered(table: Table | None) -> int:
    """How many lines were kept or counted in the box of a table."""
    view = table.box if table else None
    return len(view.finds) + len(view.sightings) if view else 0
