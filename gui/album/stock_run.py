"""One run of stocking: what each key does to the slots, ahead of the file. No Qt here."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from core.app.album_view import cell_of, slot_view
from core.app.slot_label import has_labels
from core.app.stocking import Act, Typed, press
from core.app.views import AlbumView
from core.arrange.plan import NO_CELL, PlanCell
from core.model.album import Slot, SlotId, Wish
from core.model.coin import Coin, CoinId, Finding, Origin
from core.model.grade import Grade

NO_SLOT = SlotId(0)


@dataclass(slots=True, eq=False)
class Step:
    """One slot stocked.

    `was` is the coin it held before, with the number 0 where `before` is the step that put it
    there and was not yet written. `coin` is known once the step is written.
    """

    slot: SlotId
    grade: Grade | None
    is_flagged: bool
    was: Coin | None
    before: "Step | None" = None
    coin: CoinId | None = None
    is_sent: bool = False

    def written_as(self, made: CoinId | None) -> None:
        """The step is in the file; `made` is its new coin, None where one was there already."""
        known = self.before.coin if self.before is not None else None
        self.coin = made or known or (self.was.id if self.was is not None else None)


@dataclass(frozen=True, slots=True)
class Asked:
    """What a key asks of the mode: steps to write, one to take back, where to stand, to leave."""

    steps: tuple[Step, ...] = ()
    back: Step | None = None
    stand_on: SlotId = NO_SLOT
    is_leaving: bool = False


class StockRun:
    """The slots of an album in reading order, what is typed, and the steps taken so far.

    `here` is the slot the keys act on; the caller keeps it equal to the leaf's current slot.
    `backs` are steps taken back that the file still holds.
    """

    def __init__(self, view: AlbumView) -> None:
        self.typed = Typed(issuer=view.series.issuer)
        self.steps: list[Step] = []
        self.backs: list[Step] = []
        self.here = NO_SLOT
        self.told = ""
        self.is_told_well = False
        self.show(view)

    def show(self, view: AlbumView) -> None:
        """Take over what the file holds now; steps not yet written stay on top of it."""
        self._view = view
        self._order = [SlotId(s) for s in view.plan.slot_ids if s]
        self._held: dict[SlotId, Coin | None] = {v.slot.id: v.coin for v in view.slots}
        self._ordered = {v.slot.id: v.ordered for v in view.slots}
        for step in self.backs:
            if step.slot in self._held:
                self._held[step.slot] = step.was
        for step in self.steps:
            if step.coin is None and step.slot in self._held:
                self._held[step.slot] = self._coin_of(step)

    @property
    def unwritten(self) -> list[SlotId]:
        """The slots that are drawn otherwise than the file holds them."""
        ahead = [step.slot for step in [*self.backs, *self.steps] if step.coin is None]
        return [*ahead, *(step.slot for step in self.backs)]

    # --- what is so

    @property
    def view(self) -> AlbumView:
        """The view whose plan is drawn."""
        return self._view

    @property
    def count(self) -> int:
        """How many slots this run has stocked."""
        return len(self.steps)

    @property
    def have(self) -> int:
        """How many wanted slots hold a coin, steps not yet written included."""
        return sum(self._held[s.slot.id] is not None for s in self._view.slots if s.counts)

    @property
    def wanted(self) -> int:
        """How many slots count."""
        return self._view.headline.wanted

    def is_empty(self, slot: SlotId) -> bool:
        """Whether a coin is missing there that the collector seeks and has not ordered."""
        view = self._view.by_id.get(slot)
        return (
            view is not None
            and view.slot.wish is Wish.WANTED
            and self._held[slot] is None
            and self._ordered[slot] is None
        )

    def is_held(self, slot: SlotId) -> bool:
        """Whether the slot holds a coin, one not yet written included."""
        return self._held.get(slot) is not None

    def label_of(self, slot: SlotId) -> str:
        """The slot's label, "" for no slot."""
        view = self._view.by_id.get(slot)
        return view.slot.label if view is not None else ""

    def cell(self, slot: SlotId) -> PlanCell:
        """How a slot is to be drawn now, steps not yet written included."""
        view = self._view
        shown = view.by_id[slot]
        held = self._held[slot]
        if held is not shown.coin:
            shape = view.album.arrangement
            series = view.series_of(shown.slot)
            shown = slot_view(series, shown.slot, held, self._ordered[slot], None, shape)
        return cell_of(shown, has_labels(view.album.arrangement))

    def first_empty(self) -> SlotId:
        """The first empty slot of the album, NO_SLOT in a full one."""
        return next((s for s in self._order if self.is_empty(s)), NO_SLOT)

    def next_empty(self, slot: SlotId) -> SlotId:
        """The next empty slot further on, NO_SLOT where there is none."""
        at = self._order.index(slot) + 1 if slot in self._held else 0
        return next((s for s in self._order[at:] if self.is_empty(s)), NO_SLOT)

    def row_of(self, slot: SlotId) -> list[SlotId]:
        """The slots of a slot's row, in order."""
        plan = self._view.plan
        cell = plan.cell_of_slot(slot)
        if cell == NO_CELL:
            return []
        cells = plan.cells_of_row(plan.where(cell)[0])
        return [SlotId(plan.slot_ids[c]) for c in cells if plan.slot_ids[c]]

    def slot_at_date(self, date: str) -> SlotId:
        """The slot that a typed date jumps to; past cells that are no slot; NO_SLOT for none."""
        plan = self._view.plan
        cell = plan.find_date(date)
        if cell == NO_CELL:
            return NO_SLOT
        return SlotId(next((s for s in plan.slot_ids[cell:] if s), 0))

    # --- keys

    def press(self, key: str, selected: Sequence[SlotId] = ()) -> Asked:
        """Answer a key (see core.app.stocking); `selected` where a rectangle is selected."""
        if (shown := self._view.by_id.get(self.here)) is not None:
            self.typed = replace(self.typed, issuer=self._view.series_of(shown.slot).issuer)
        answer = press(self.typed, key)
        self.typed = answer.typed
        self.told, self.is_told_well = answer.typed.fault, False
        match answer.act:
            case Act.STOCK:
                if answer.date and (there := self.slot_at_date(answer.date)):
                    return self.stock([there])
                return self.stock(selected if len(selected) > 1 else [self.here])
            case Act.JUMP:
                return self._jump(answer.date)
            case Act.TAKE_BACK:
                return self._take_back()
            case Act.LEAVE:
                return Asked(is_leaving=True)
            case Act.NOTHING:
                if self.typed.is_date:
                    return self._jump(self.typed.entry)
        return Asked()

    def stock_row(self) -> Asked:
        """Stock every empty slot of the row at once, with the grade that is typed."""
        row = [s for s in self.row_of(self.here) if self.is_empty(s)]
        self.is_told_well = False
        if not row:
            self.told = "No empty slot in this row."
            return Asked(stand_on=self.next_empty(self.here))
        if self.typed.entry:
            if self.typed.is_date:
                self.drop_entry()
            elif (taken := press(self.typed, " ")).act is not Act.STOCK:
                self.typed, self.told = taken.typed, taken.typed.fault
                return Asked()
            else:
                self.typed = taken.typed
        return self.stock(row)

    def stock(self, slots: Iterable[SlotId]) -> Asked:
        """Put a coin in each of these slots, and go on to the next empty one.

        A slot that holds a coin gets the grade instead; several at once leave those alone.
        """
        chosen = [s for s in slots if s in self._held]
        if len(chosen) > 1:
            chosen = [s for s in chosen if self._held[s] is None and self._is_sought(s)]
        if not chosen:
            self.told = "There is no empty slot here."
            return Asked()
        steps = []
        for slot in chosen:
            was = self._held[slot]
            before = self._last_step(slot) if was is not None and was.id == 0 else None
            step = Step(slot, self.typed.grade, self.typed.is_flagged, was, before)
            self._held[slot] = self._coin_of(step)
            steps.append(step)
        self.steps += steps
        self.typed = replace(self.typed, is_flagged=False)
        there = self.next_empty(chosen[-1])
        if not there:
            left = self.first_empty()
            self.told = "No empty slot further on." if left else "Every wanted slot holds a coin."
            self.is_told_well = True
        return Asked(tuple(steps), stand_on=there or chosen[-1])

    def drop_entry(self) -> None:
        """Forget what is being typed: the collector has moved elsewhere."""
        self.typed = replace(self.typed, entry="", fault="")

    def _jump(self, date: str) -> Asked:
        there = self.slot_at_date(date)
        if not there:
            self.told = f"No date here begins with {date}."
        return Asked(stand_on=there)

    def _take_back(self) -> Asked:
        if not self.steps:
            self.told = "Nothing to take back in this run."
            return Asked()
        step = self.steps.pop()
        self._held[step.slot] = step.was
        return Asked(back=step, stand_on=step.slot)

    def give_up(self, steps: Sequence[Step]) -> list[SlotId]:
        """These steps could not be written, nor any taken back: show what the file holds.

        Answers the slots that a taking back had emptied.
        """
        for step in reversed(steps):
            if step in self.steps:
                self.steps.remove(step)
            if step.slot in self._held:
                self._held[step.slot] = step.was
        backs, self.backs = self.backs, []
        for step in reversed(backs):
            self._held[step.slot] = self._coin_of(step)
            self.steps.append(step)
        return [step.slot for step in backs]

    def forget_steps(self) -> None:
        """The file was changed by undo or another hand: steps written are no longer ours."""
        self.steps = [step for step in self.steps if step.coin is None and not step.is_sent]

    def _last_step(self, slot: SlotId) -> Step | None:
        return next((s for s in reversed(self.steps) if s.slot == slot), None)

    def _is_sought(self, slot: SlotId) -> bool:
        return self._view.by_id[slot].slot.wish is not Wish.SKIPPED

    def _coin_of(self, step: Step) -> Coin:
        """The coin as the operation will write it, with a number yet to come."""
        if step.was is not None:
            grade = step.grade if step.grade is not None else step.was.grade
            is_flagged = step.is_flagged or step.was.is_flagged
            return replace(step.was, grade=grade, is_flagged=is_flagged)
        return stock_coin(self._view.by_id[step.slot].slot, step.grade, step.is_flagged)


def stock_coin(slot: Slot, grade: Grade | None, is_flagged: bool) -> Coin:
    """A coin of the slot's own issue, as stocking makes it, without a number."""
    found = ((slot.variety, Finding.CONFIRMED),) if slot.variety else ()
    return Coin(
        CoinId(0),
        slot.accepts,
        grade,
        is_flagged=is_flagged,
        varieties=found,
        origin=Origin.ALREADY_OWNED,
    )
