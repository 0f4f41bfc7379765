"""The slot card: what the slot takes, what is in it, what would be better, and every control.

It shows one slot (`show_card`), several (`show_many`) or none; what is pressed goes out as orders.
"""

from collections import Counter
from collections.abc import Callable, Sequence
from datetime import date
from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QFrame, QPushButton, QWidget

from core.app.carried import piece_name
from core.app.views import HistoryLine, LookCloser, Seat, SlotCard, SlotView, SpareLine
from core.glyph.codes import GlyphCode
from core.glyph.legend import counted, state_entry
from core.model.album import AlbumKind, SlotId, Wish
from core.model.coin import Coin, CoinId
from core.model.state import SlotState
from gui.day_words import day_words, local_today
from gui.flow_layout import FlowLayout
from gui.leaf.card_forms import CodeForm, EntryForm, InlineForm, NoteEdit, OrderingForm, TargetForm
from gui.leaf.card_parts import GlyphBox, HistoryRow, ShortList, SpareButton, ValueRow
from gui.leaf.drag_source import DragSource
from gui.leaf.look_closer import LookCloserList
from gui.leaf.many_slots import VARIOUS, in_common
from gui.leaf.slot_orders import OrderForm, SlotOrders
from gui.segmented import Segmented
from gui.theme import L, M, S
from gui.widgets import (
    Chip,
    FactRow,
    Hairline,
    IconButton,
    Label,
    PrimaryButton,
    QuietButton,
    ScrollColumn,
    SectionLabel,
    clear_layout,
    column,
    row,
)

WISHES = (Wish.WANTED, Wish.OPTIONAL, Wish.SKIPPED)
PUT_IN = "Put in a coin…"
NOTE_KEYS = "Ctrl+Enter keeps it, Esc leaves it as it was."
MOST_SPARES, MOST_EVENTS = 3, 6


class SlotInspector(QFrame):
    """The card at the right. `left` asks for the focus to go back to the album."""

    left = Signal()
    close_asked = Signal()
    coins_asked = Signal()
    """Find, among all coins, those that fit the slot shown."""
    slot_asked = Signal(int, int)
    """Go to a slot of another album, where the coin of an overview sits: both ids."""

    def __init__(self, orders: SlotOrders, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("kind", "card")
        self.setAccessibleName("Slot card")
        self._orders = orders
        self._card: SlotCard | None = None
        self._views: tuple[SlotView, ...] = ()
        self._is_read_only = False
        self.is_overview = False
        """Whether the album shown is an overview: nothing is put in or taken out there."""
        outer = column(self, (1, 1, 1, 1), 0)
        self._scroll = ScrollColumn(self, (L, L, L, L), 0)
        outer.addWidget(self._scroll)
        self._box = self._scroll.box
        self._build_head()
        self._build_facts()
        self._build_spares()
        self._build_controls()
        self._build_below()
        self._box.addStretch(1)
        self.show_nothing()

    # ---- building -----------------------------------------------------------------------------

    def _build_head(self) -> None:
        top = row(spacing=S)
        self.glyph = GlyphBox(self)
        self._glyph_drag: DragSource | None = None
        top.addWidget(self.glyph)
        words = column(spacing=0)
        words.addStretch(1)
        self.title = Label("", "heading", self, wraps=True)
        self.state = Label("", "small", self, wraps=True)
        words.addWidget(self.title)
        words.addWidget(self.state)
        words.addStretch(1)
        top.addLayout(words, 1)
        self.close_button = IconButton("x", "Close (Esc)", self)
        self.close_button.clicked.connect(self.close_asked)
        self.close_button.hide()
        top.addWidget(self.close_button, 0, Qt.AlignmentFlag.AlignTop)
        self._box.addLayout(top)
        self.takes = Label("", "small", self, wraps=True)
        self.why = Label("", "body", self, wraps=True)
        self.idle = Label("", "mute", self, wraps=True)
        self.as_of = Label("", "strong_small", self, wraps=True)
        self._day: date | None = None
        for label in (self.as_of, self.takes, self.why, self.idle):
            self._box.addSpacing(S)
            self._box.addWidget(label)

    def _build_facts(self) -> None:
        self._facts_panel = QWidget(self)
        box = column(self._facts_panel, (0, S, 0, 0), S)
        self._facts = column(spacing=S)
        box.addLayout(self._facts)
        self.target = ValueRow("Target", "Set the target (T)", self)
        self.target.button.clicked.connect(lambda: self.begin("target"))
        self.target_form = TargetForm(self)
        self.target_form.given.connect(self._on_target_given)
        box.addWidget(self.target)
        box.addWidget(self.target_form)
        self._more_facts = column(spacing=S)
        box.addLayout(self._more_facts)
        self._box.addWidget(self._facts_panel)

    def _build_spares(self) -> None:
        self._spares_panel, self._spares = self._section("Spares that fit")
        self.primary = PrimaryButton("", self)
        self.primary.clicked.connect(self._on_primary)
        self._primary_does: Callable[[], object] | None = None
        self._box.addSpacing(M)
        self._box.addWidget(self.primary)
        self.entry_form, self.order_form = EntryForm(self), OrderingForm(self)
        self.entry_form.given.connect(self._on_entry_given)
        self.order_form.given.connect(self._on_order_given)
        self._box.addSpacing(S)
        self._box.addWidget(self.entry_form)
        self._box.addWidget(self.order_form)
        forms: tuple[InlineForm, ...] = (self.target_form, self.entry_form, self.order_form)
        for form in forms:
            form.closed.connect(self.left)

    def _build_controls(self) -> None:
        self._controls_panel = QWidget(self)
        box = column(self._controls_panel, (0, S, 0, 0), S)
        self.wish = Segmented(["Wanted", "Optional", "Skipped"], "Sought", self)
        self.wish.chosen.connect(self._on_wish_chosen)
        self.wish_words = Label(f"Sought: {VARIOUS}", "small", self)
        self.wish_words.hide()
        box.addWidget(self.wish_words)
        box.addWidget(self.wish)
        chips = QWidget(self)
        flow = FlowLayout(chips, S, S)
        self.pin = Chip("Pinned", None, chips)
        self.pin.setToolTip("Fill leaves a pinned slot and its coin alone (P)")
        self.pin.clicked.connect(lambda: self._orders.toggle_pin(self._views))
        self.verify = Chip("To verify", int(GlyphCode.TO_VERIFY), chips)
        self.verify.setToolTip("Its coin wants a second look (V)")
        self.verify.clicked.connect(lambda: self._orders.toggle_verify(self._views))
        self.put_in = self._button("Put in…", "C", lambda: self.begin("put_in"), chips)
        self.find_coins = self._button("Find coins…", "Ctrl+F", self.coins_asked.emit, chips)
        self.take_out = self._button("Take out", "Delete", self._on_take_out, chips)
        self.order = self._button("Order…", "D", lambda: self.begin("order"), chips)
        self.arrived = self._button("Arrived", "A", self._on_arrived, chips)
        self.cancel = self._button("Cancel the order", "", self._on_cancel_order, chips)
        for widget in (
            self.pin, self.verify, self.take_out, self.put_in, self.find_coins, self.order,
            self.arrived, self.cancel,
        ):  # fmt: skip
            flow.addWidget(widget)
        box.addWidget(chips)
        self._chips = chips
        self._box.addWidget(self._controls_panel)

    def _button(
        self, text: str, key: str, handler: Callable[[], object], parent: QWidget
    ) -> QPushButton:
        button = QuietButton(text, parent)
        if key:
            button.setToolTip(f"{text.rstrip('…')} ({key})")
        button.clicked.connect(lambda _checked=False: handler())
        return button

    def _build_below(self) -> None:
        self._signs_panel, signs = self._section("Look closer", with_line=True)
        self.look_closer = LookCloserList(self)
        self.look_closer.code_given.connect(self._on_code_given)
        signs.addWidget(self.look_closer)
        self._note_panel, note = self._section("Note")
        self.note = NoteEdit(self)
        self.note.written.connect(self._on_note_written)
        self.note.left.connect(self.left)
        note.addWidget(self.note)
        self.note_keys = Label(NOTE_KEYS, "small", self, wraps=True)
        self.note_keys.hide()
        self.note.differs.connect(self.note_keys.setVisible)
        note.addWidget(self.note_keys)
        self._history_panel, self._history = self._section("History")

    def _section(self, title: str, with_line: bool = False) -> tuple[QWidget, "_Column"]:
        panel = QWidget(self)
        box = column(panel, (0, L, 0, 0), S)
        if with_line:
            box.addWidget(Hairline(panel))
            box.addSpacing(S)
        box.addWidget(SectionLabel(title, panel))
        inner = _Column(panel)
        box.addWidget(inner)
        self._box.addWidget(panel)
        return panel, inner

    # ---- what is shown ------------------------------------------------------------------------

    @property
    def shown_slots(self) -> list[SlotId]:
        """The slots the controls act on."""
        return [view.slot.id for view in self._views]

    def set_read_only(self, is_read_only: bool) -> None:
        """Switch off what changes the collection."""
        self._is_read_only = is_read_only
        self._enable()

    def set_closable(self, is_closable: bool) -> None:
        """Whether the card has a button to close it: as a drawer."""
        self.close_button.setVisible(is_closable)

    def show_nothing(self, text: str = "Choose a slot to see what is in it.") -> None:
        """No slot is chosen."""
        self._forget_forms(())
        self._card, self._views = None, ()
        self.title.setText("No slot chosen")
        self.state.setText("Arrow keys move, a date jumps")
        self.glyph.show_code(int(GlyphCode.GAP), "No slot")
        self._drop_glyph_drag()
        self._show_text(self.idle, text)
        for part in (self.as_of, self.takes, self.why, self.primary, *self._panels()):
            part.hide()

    def show_card(self, card: SlotCard, day: date | None = None) -> None:
        """Show one slot, as it stood at the end of a past day where one is given."""
        self._day = day
        self._forget_forms((card.view.slot.id,))
        self._card, self._views = card, (card.view,)
        view = card.view
        self.title.setText(view.slot.label)
        self.state.setText(card.state_text.replace(", ", " · "))
        self.glyph.show_code(view.code, f"{view.slot.label}, {card.state_text}")
        stood = f"As it stood at the end of {day_words(day)}" if day is not None else ""
        self._show_text(self.as_of, stood)
        self._show_text(self.takes, f"{card.accepts[:1].upper()}{card.accepts[1:]} · {card.where}")
        self._show_text(self.why, card.why)
        self._show_text(self.idle, "")
        seat = (("Where it sits", card.seat.text),) if card.seat else ()
        self._show_facts([*card.facts[:1], *seat, *card.facts[1:]] if seat else card.facts)
        self._drop_glyph_drag()
        self._glyph_drag = self._let_drag(self.glyph, view.coin)
        self.target.show_value(view.slot.target.text if view.slot.target else "none")
        self._show_spares(card)
        self._show_controls()
        self._show_signs(card)
        if not self.note.is_being_written:
            self.note.show_note(view.slot.note)
        self._note_panel.show()
        self._show_history(card)

    def show_many(self, views: Sequence[SlotView]) -> None:
        """Show what several slots have in common, and the controls for all."""
        self._forget_forms(tuple(v.slot.id for v in views))
        self._card, self._views = None, tuple(views)
        self.title.setText(f"{len(views)} slots selected")
        self.state.setText("What you set here is set for all")
        self._drop_glyph_drag()
        self.glyph.show_code(views[0].code & 15, f"{len(views)} slots selected")
        for label in (self.as_of, self.takes, self.why, self.idle):
            self._show_text(label, "")
        counts = Counter(view.state for view in views)
        entries = [(state_entry(state), count) for state, count in counts.most_common()]
        self._show_facts([(counted(entry, count).split(" ", 1)[1].capitalize(), f"{count:,}")
                          for entry, count in entries])  # fmt: skip
        common = in_common(views)
        self.target.show_value(common.target_text)
        if not self.note.is_being_written:
            if common.note is None:
                self.note.show_various()
            else:
                self.note.show_note(common.note)
        self._note_panel.show()
        self._show_controls()
        for panel in (self._spares_panel, self.primary, self._signs_panel, self._history_panel):
            panel.hide()

    def _panels(self) -> tuple[QWidget, ...]:
        return (
            self._facts_panel,
            self._spares_panel,
            self._controls_panel,
            self._signs_panel,
            self._note_panel,
            self._history_panel,
        )

    @staticmethod
    def _show_text(label: Label, text: str) -> None:
        label.setText(text)
        label.setVisible(bool(text))

    def _drop_glyph_drag(self) -> None:
        """The glyph stands for another coin now, or for none."""
        if self._glyph_drag is not None:
            self._glyph_drag.end()
            self._glyph_drag = None

    def _forget_forms(self, slots: tuple[SlotId, ...]) -> None:
        """Another slot: what was being typed for the last one is kept or closed first."""
        if tuple(self.shown_slots) == slots:
            return
        self.note.keep()
        self.note.show_note("")
        for form in (self.target_form, self.entry_form, self.order_form):
            form.hide()
        self._scroll.verticalScrollBar().setValue(0)

    def show_top(self) -> None:
        """Bring the slot's name into view."""
        self._scroll.verticalScrollBar().setValue(0)

    def _show_facts(self, facts: Sequence[tuple[str, str]]) -> None:
        """The coin itself stands above the target, all else below."""
        first = ("In the slot", "Where it sits")
        above = [fact for fact in facts if fact[0] in first] if self._card else list(facts)
        below = [fact for fact in facts if fact not in above]
        for box, part in ((self._facts, above), (self._more_facts, below)):
            clear_layout(box)
            for name, value in part:
                fact = FactRow(name, value, self._facts_panel)
                box.addWidget(fact)
                if name == "In the slot":
                    self._let_drag(fact, self._card.view.coin if self._card else None)
        self._facts_panel.show()

    def _show_spares(self, card: SlotCard) -> None:
        self._spares.fill(
            [partial(self._spare_button, spare) for spare in card.spares], MOST_SPARES
        )
        self._spares_panel.setVisible(bool(card.spares) and not self.is_overview)
        best = next((spare for spare in card.spares if spare.is_better), None)
        view = card.view
        if card.seat is not None:
            self._offer(go_text(card.seat), partial(self._go, card.seat))
        elif self._day is not None or self.is_overview:
            self._primary_does = None
            self.primary.hide()
        elif view.state is SlotState.ON_ORDER:
            self._offer("The coin has arrived", self._on_arrived)
        elif best is not None and view.slot.wish is not Wish.SKIPPED:
            self._offer(f"Put {best.title} in the slot", partial(self._put, best.coin))
        elif view.coin is None and view.slot.wish is not Wish.SKIPPED:
            self._offer(PUT_IN, lambda: self.begin("put_in"))
        else:
            self._primary_does = None
            self.primary.hide()

    def _go(self, seat: Seat) -> None:
        """Go where the coin of an overview sits."""
        if seat.album is not None and seat.slot is not None:
            self.slot_asked.emit(int(seat.album), int(seat.slot))
        else:
            self.coins_asked.emit()

    def go_to_seat(self) -> bool:
        """Go where the coin sits; False where the card shows no overview's coin."""
        seat = self._card.seat if self._card is not None else None
        if seat is not None:
            self._go(seat)
        return seat is not None

    def _let_drag(self, part: QWidget, coin: Coin | None) -> DragSource | None:
        """Let the coin be dragged from its line or glyph, where it can be taken out at all."""
        card = self._card
        if coin is None or card is None or card.album.kind is AlbumKind.OVERVIEW:
            return None
        name = piece_name(card.series, coin)
        return DragSource(part, coin.id, name, lambda: not self._is_read_only)

    def _spare_button(self, spare: SpareLine, parent: QWidget) -> QWidget:
        button = SpareButton(spare, parent)
        button.setEnabled(not self._is_read_only)
        button.clicked.connect(lambda _checked=False: self._put(spare.coin))
        DragSource(button, spare.coin, spare.title, lambda: not self._is_read_only)
        return button

    def _offer(self, text: str, does: Callable[[], object]) -> None:
        self._primary_does = does
        self.primary.setText(text.replace("&", "&&"))
        self.primary.show()

    def _show_controls(self) -> None:
        views = self._views
        one = self._card.view if self._card else None
        common = in_common(views)
        self.wish.choose(WISHES.index(common.wish) if common.wish is not None else -1)
        self.wish_words.setVisible(common.wish is None)
        self.pin.setChecked(common.pinned == common.count)
        self.pin.show_text(common.pinned_text)
        coins = [view.coin for view in views if view.coin is not None]
        self.verify.setChecked(bool(coins) and all(coin.is_flagged for coin in coins))
        self.verify.setVisible(bool(coins))
        holds = not self.is_overview
        self.pin.setVisible(holds)
        self.take_out.setVisible(holds and bool(coins))
        self.find_coins.setVisible(one is not None)
        is_offered = not self.primary.isHidden() and self.primary.text() == PUT_IN
        self.put_in.setVisible(holds and one is not None and not is_offered)
        is_ordered = one is not None and one.ordered is not None
        self.order.setVisible(holds and one is not None and not is_ordered)
        self.arrived.setVisible(is_ordered and bool(coins))
        self.cancel.setVisible(is_ordered)
        self._controls_panel.show()
        self._chips.updateGeometry()
        self._enable()

    def _enable(self) -> None:
        is_free = not self._is_read_only
        for widget in (self.wish, self.pin, self.verify, self.put_in, self.take_out, self.order,
                       self.arrived, self.cancel, self.target.button):  # fmt: skip
            widget.setEnabled(is_free)
        is_going = self._card is not None and self._card.seat is not None
        self.primary.setEnabled(is_free or is_going)
        self.note.setReadOnly(not is_free)

    def _show_signs(self, card: SlotCard) -> None:
        self.look_closer.gives_codes = not self._is_read_only and self._day is None
        self.look_closer.fill(card.look_closer)
        self._signs_panel.setVisible(bool(card.look_closer))

    def _show_history(self, card: SlotCard) -> None:
        correct = None if self._is_read_only or self._day is not None else self.correct
        rows = [partial(HistoryRow, line, correct) for line in card.history]
        self._history.fill(rows, MOST_EVENTS)
        self._history_panel.setVisible(bool(card.history))

    # ---- what is done -------------------------------------------------------------------------

    def begin(self, what: str) -> bool:
        """Open a form of the card: target, put_in, order or note; False where there is none."""
        for_many = what in ("target", "note")
        if self._is_read_only or not self._views or (self._card is None and not for_many):
            return False
        if what == "note":
            self.note.setFocus(Qt.FocusReason.OtherFocusReason)
            self._scroll.ensureWidgetVisible(self.note)
            return True
        form = self._open(what)
        self._scroll.inside.adjustSize()
        self._scroll.ensureWidgetVisible(form, 0, L)
        return True

    def _open(self, what: str) -> InlineForm:
        forms: dict[str, InlineForm] = {
            "target": self.target_form,
            "put_in": self.entry_form,
            "order": self.order_form,
        }
        for name, form in forms.items():
            if name != what:
                form.hide()
        target = self._views[0].slot.target
        forms[what].open_form([target.text] if what == "target" and target else [])
        return forms[what]

    def correct(self, line: HistoryLine) -> None:
        """Ask from when until when the coin of a line of the history was in the slot."""
        from gui.leaf.correct_dialog import CorrectDialog

        number, card = line.placement, self._card
        if card is None or number is None or self._is_read_only:
            return

        def give(
            since: date,
            until: date | None,
            then: Callable[[], None],
            failed: Callable[[Exception], None],
        ) -> None:
            self._orders.correct_stay(number, since, until, lambda _changes: then(), failed)

        CorrectDialog.ask(self, card.view.slot.label, line, local_today(), give)
        self.left.emit()

    def correct_newest(self) -> bool:
        """Correct the newest line of the history; False where there is none."""
        lines = [line for line in (self._card.history if self._card else ()) if line.placement]
        if lines:
            self.correct(lines[0])
        return bool(lines)

    def _on_primary(self) -> None:
        if self._primary_does is not None:
            self._primary_does()

    def _on_code_given(self, look: LookCloser, form: CodeForm) -> None:
        """Keep an own code; what cannot be one is told under the form."""
        form.fault.hide()
        code = form.field.text().strip()
        self._orders.set_code(look, code, lambda _changes: self.left.emit(), form.show_fault)

    def _put(self, coin: CoinId) -> None:
        if self._card is not None:
            self._orders.put_spare(coin, self._card.view.slot.id)
            self.left.emit()

    def put_best_spare(self) -> bool:
        """Put the best spare in, where one would be better; whether there was one."""
        if self._card is None:
            return False
        best = next((spare for spare in self._card.spares if spare.is_better), None)
        if best is not None:
            self._put(best.coin)
        return best is not None

    def _on_target_given(self, text: str) -> None:
        self._orders.set_target(
            self.shown_slots,
            text,
            lambda _changes: self.target_form.close_form(),
            self.target_form.show_fault,
        )

    def _on_entry_given(self, text: str) -> None:
        if self._card is not None:
            self._orders.enter(
                text,
                self._card,
                lambda _changes: self.entry_form.close_form(),
                self.entry_form.show_fault,
            )

    def _on_order_given(self, form: OrderForm) -> None:
        if self._card is not None:
            self._orders.order(
                form,
                self._card,
                lambda _changes: self.order_form.close_form(),
                self.order_form.show_fault,
            )

    def _on_wish_chosen(self, place: int) -> None:
        self._orders.set_wish(self.shown_slots, WISHES[place])

    def _on_take_out(self) -> None:
        self._orders.take_out(self.shown_slots)

    def _on_arrived(self) -> None:
        if self._card is not None:
            self._orders.arrived(self._card.view.slot.id)

    def _on_cancel_order(self) -> None:
        if self._card is not None:
            self._orders.cancel_order(self._card.view.slot.id)

    def _on_note_written(self, text: str) -> None:
        if self._views:
            self._orders.write_notes(self.shown_slots, text)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
            self.close_asked.emit()
            return
        super().keyPressEvent(event)


def go_text(seat: Seat) -> str:
    """What the button that goes to an overview's coin says."""
    return f"Go to {seat.text}" if seat.album is not None else "Find it among the coins"


class _Column(QWidget):
    """A part of a section that is filled anew for each slot."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._box = column(self)

    def addWidget(self, widget: QWidget) -> None:
        """Put a widget in for good."""
        self._box.addWidget(widget)

    def fill(
        self, makers: Sequence[Callable[[QWidget], QWidget]], most: int, spacing: int = S
    ) -> None:
        """Show these instead of what was there."""
        clear_layout(self._box)
        if makers:
            self._box.addWidget(ShortList(makers, most, spacing, self))
