"""Fill: a proposal that is shown on the leaf and as lines, and moves nothing without a yes."""

from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QItemSelectionModel, QModelIndex, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QListView,
    QProgressBar,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from core.app.changes import Changes
from core.app.work import Progress
from core.errors import CollectionError
from core.fill.proposal import Move, Proposal, proposal_of
from core.fill.value import FillInput, Pair
from core.model.album import AlbumId
from core.model.coin import Coin, CoinId
from gui.desk import Desk
from gui.fill.edits import Edits, are_few, read_edits
from gui.fill.lines import FillTask, LineKind, Shown, read_task, shown
from gui.fill.list_model import FillDelegate, FillModel
from gui.flow_layout import FlowLayout
from gui.segmented import Segmented
from gui.theme import XL, XS, L, M, S
from gui.widgets import (
    Card,
    Chip,
    EmptyState,
    Hairline,
    IconButton,
    KeyHint,
    Label,
    PrimaryButton,
    QuietButton,
    column,
    row,
)
from gui.work import Job

if TYPE_CHECKING:  # brings numpy, which the worker reads when the first fill is worked out
    from core.fill.refill import Filling

_LINES_A_TURN = 300
ACCEPT_KEY = "Ctrl+Enter"


class FillPanel(Card):
    """Shows what Fill proposes for one album or all; `start` begins, `leave` ends it."""

    preview_changed = Signal(object)
    """A dict: slot to (glyph byte, first and second line) as it would be; empty for nothing."""
    slot_chosen = Signal(int, int)
    """Album and slot of the line that the collector looks at."""
    accepted = Signal(int)
    """So many moves were made."""
    closed = Signal()
    """The panel was left; nothing is previewed any more."""

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent, "card", (0, L, 0, L), M)
        self.setAccessibleName("Fill")
        self._desk = desk
        self._album: AlbumId | None = None
        self._task: FillTask | None = None
        self._proposal: Proposal | None = None
        self._off: dict[Pair, Move] = {}
        self._job: Job | None = None
        self._filling: Filling | None = None
        # Coins edited since the fill was last worked out; told again until it says it is done.
        self._edits: dict[CoinId, Coin | None] = {}
        self._is_reading_edits = False
        self._is_accepting = False
        self.is_on = False
        self._build()
        desk.changed.connect(self._on_changed)
        desk.closed.connect(self.leave)

    # --- building

    def _build(self) -> None:
        self.box.addLayout(self._build_head())
        self.pages = QStackedWidget(self)
        self.pages.addWidget(self._build_working())
        self.pages.addWidget(self._build_list())
        self.empty = EmptyState("", "", parent=self)
        self.pages.addWidget(self.empty)
        self.box.addWidget(self.pages, 1)
        self.box.addWidget(Hairline(self))
        self.box.addLayout(self._build_foot())

    def _build_head(self) -> QVBoxLayout:
        head = column(spacing=S, margins=(L, 0, L, 0))
        line = row(spacing=S)
        line.addWidget(Label("Fill", "heading", self))
        line.addStretch(1)
        self.close_button = IconButton("x", "Leave Fill (Esc)", self)
        self.close_button.clicked.connect(self.leave)
        line.addWidget(self.close_button)
        head.addLayout(line)
        self.scope = Segmented(["this album", "all albums"], "Fill", self)
        self.scope.chosen.connect(lambda _place: self._begin())
        head.addWidget(self.scope)
        self.uncapped = Chip("grades above the target count", None, self)
        self.uncapped.toggled.connect(lambda _is_on: self._begin())
        switch = row()
        switch.addWidget(self.uncapped)
        switch.addStretch(1)
        head.addLayout(switch)
        counts = row(spacing=XL)
        self.have, self.target = Label("", "strong", self), Label("", "strong", self)
        counts.addWidget(self.have)
        counts.addWidget(self.target)
        counts.addStretch(1)
        head.addLayout(counts)
        return head

    def _build_working(self) -> QWidget:
        page = QWidget(self)
        box = column(page, (L, XL, L, XL), M)
        self._doing = Label("", "mute", page)
        self._bar = QProgressBar(page)
        self._bar.setRange(0, 1000)
        self._bar.setTextVisible(False)
        self._bar.setAccessibleName("How far the fill is worked out")
        self._stop = QuietButton("Cancel", page)
        self._stop.clicked.connect(self.leave)
        line = row()
        line.addWidget(self._stop)
        line.addStretch(1)
        box.addWidget(self._doing)
        box.addWidget(self._bar)
        box.addLayout(line)
        box.addStretch(1)
        return page

    def _build_list(self) -> QWidget:
        self.list = QListView(self)
        self.list.setProperty("kind", "lines")
        self.list.setAccessibleName("Moves that Fill proposes")
        self.model = FillModel(self.list)
        self.list.setModel(self.model)
        self.list.setItemDelegate(FillDelegate(self.list))
        self.list.setMouseTracking(True)
        self.list.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.list.setResizeMode(QListView.ResizeMode.Adjust)
        # Thousands of lines are laid out a part a turn, so that the window stays live meanwhile.
        self.list.setLayoutMode(QListView.LayoutMode.Batched)
        self.list.setBatchSize(_LINES_A_TURN)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.list.installEventFilter(self)
        self.model.tick_asked.connect(self._on_tick)
        self.list.selectionModel().currentChanged.connect(self._on_line)
        return self.list

    def _build_foot(self) -> QVBoxLayout:
        foot = column(spacing=S, margins=(L, 0, L, 0))
        self._trouble = Label("", "fault", self, wraps=True)
        self._trouble.hide()
        self.accept_button = PrimaryButton("Accept", self)
        self.accept_button.clicked.connect(self.accept)
        keys = FlowLayout(spacing_x=M, spacing_y=XS)
        for key, does in (("Space", "tick"), (ACCEPT_KEY, "accept"), ("Esc", "leave")):
            hint = QWidget(self)
            line = row(hint, spacing=XS)
            line.addWidget(KeyHint(key, hint))
            line.addWidget(Label(does, "small", hint))
            keys.addWidget(hint)
        foot.addWidget(self._trouble)
        foot.addWidget(self.accept_button)
        foot.addLayout(keys)
        return foot

    # --- beginning and leaving

    def start(self, album: AlbumId | None) -> None:
        """Propose for this album; for all where None."""
        self._album = album
        self.is_on = True
        self.scope.choose(1 if album is None else 0)
        self.scope.buttons[0].setEnabled(album is not None)
        self.show()
        self._begin()
        self.list.setFocus(Qt.FocusReason.OtherFocusReason)

    def leave(self) -> None:
        """Propose nothing any more."""
        if not self.is_on:
            return
        self.is_on = False
        self._cancel()
        self._task = self._proposal = self._filling = None
        self._edits.clear()
        self._off.clear()
        self.model.show_lines([])
        self.preview_changed.emit({})
        self.hide()
        self.closed.emit()

    def _cancel(self) -> None:
        self._is_reading_edits = False
        if self._job is not None:
            self._job.cancel()
            self._job = None

    def _begin(self, keeps_off: bool = False) -> None:
        """Read anew and work it out; `keeps_off` leaves lines off that were taken off."""
        if not self.is_on:
            return
        self._cancel()
        if not keeps_off:
            self._off.clear()
        self._filling = None
        self._edits.clear()
        self._trouble.hide()
        self._show_working("Reading the albums …")
        chosen = [self._album] if self.scope.choice() == 0 and self._album is not None else []
        uncapped = self.uncapped.isChecked()
        self._job = self._desk.ask(
            lambda collection: read_task(collection, chosen, uncapped),
            self._on_read,
            self._on_failed,
        )

    def _on_read(self, task: FillTask) -> None:
        self._task = task
        slots = {slot.id for slot in task.given.slots}
        coins = task.given.coins_of(coin for _, coin in self._off)
        for slot, coin in list(self._off):
            if slot not in slots or coin not in coins:
                del self._off[slot, coin]
        self._solve()

    def _solve(self) -> None:
        """Find the moves: whole the first time, later only where something changed."""
        task = self._task
        if task is None or not self.is_on:
            return
        self._cancel()
        off, edits, filling = frozenset(self._off), dict(self._edits), self._filling
        if self._proposal is None:
            self._show_working("Finding the best place for every coin …")

        def work(progress: Progress) -> "tuple[Filling, Proposal]":
            kept = filling or _filled(task.given, progress)
            kept.edit(edits)
            kept.bar(off)
            return kept, proposal_of(kept.given, kept.solved())

        self._job = self._desk.runner.submit_drawing(
            work, self._on_solved, self._on_failed, self._on_progress
        )

    def _on_progress(self, share: float, _doing: str) -> None:
        self._bar.setValue(round(share * 1000))

    def _on_solved(self, solved: "tuple[Filling, Proposal]") -> None:
        task, off = self._task, list(self._off.values())
        if task is None or not self.is_on:
            return
        self._filling, proposal = solved
        self._edits.clear()
        self._job = self._desk.ask(
            lambda collection: shown(collection, task, proposal, off),
            self._show_proposal,
            self._on_failed,
        )

    def _on_failed(self, error: Exception) -> None:
        self._is_accepting = False
        self._filling = None
        if not isinstance(error, CollectionError):
            self._desk.show_failure(error)
            return
        self._trouble.setText(str(error))
        self._trouble.show()
        self.accept_button.setEnabled(bool(self._proposal and self._proposal.moves))

    # --- showing

    def _show_working(self, doing: str) -> None:
        self._proposal = None
        self._bar.setValue(0)
        self._doing.setText(doing)
        self.have.setText("")
        self.target.setText("")
        self.pages.setCurrentIndex(0)
        self._show_count(0)

    def _show_proposal(self, ready: Shown) -> None:
        if not self.is_on:
            return
        self._task, self._proposal = ready.task, ready.proposal
        told = ready.figures
        self.have.setText(_step("have", told.have_before, told.have_after, f" of {told.wanted}"))
        self.target.setText(_step("at target", told.target_before, told.target_after))
        before = self._current_pair()
        self.model.show_lines(ready.lines)
        self._go_to(before)
        if self.model.lines:
            self.pages.setCurrentIndex(1)
        else:
            self._say_nothing(ready.task)
        self._show_count(len(ready.proposal.moves))
        self.preview_changed.emit(ready.preview)

    def _say_nothing(self, task: FillTask) -> None:
        if not task.given.slots:
            self.empty.say(
                "No album to fill",
                "Make an album first; then Fill finds its coins.",
                key="Ctrl+N",
            )
        elif not task.has_coins:
            self.empty.say(
                "No coins yet",
                "Enter the coins you hold under Coins; Fill then finds their slots.",
                key="Ctrl+2",
            )
        else:
            self.empty.say(
                "Nothing to move",
                "Every coin is where it serves best. New coins, or other targets, may change that.",
            )
        self.pages.setCurrentIndex(2)

    def _show_count(self, count: int) -> None:
        words = "Accept" if not count else f"Accept {count} move{'' if count == 1 else 's'}"
        self.accept_button.setText(words)
        self.accept_button.setEnabled(count > 0 and not self._desk.is_read_only)
        self.accept_button.setToolTip(self._desk.read_only_reason if count else "")

    def _current_pair(self) -> Pair | None:
        place = self.list.currentIndex().row()
        return self.model.lines[place].pair if 0 <= place < len(self.model.lines) else None

    def _go_to(self, pair: Pair | None) -> None:
        moves = [n for n, line in enumerate(self.model.lines) if line.kind is not LineKind.HEADING]
        if not moves:
            return
        there = next((n for n in moves if pair and self.model.lines[n].pair == pair), moves[0])
        # As far as that line all is laid out at once: it can be scrolled to only then.
        self.list.setBatchSize(there + _LINES_A_TURN)
        command = QItemSelectionModel.SelectionFlag.ClearAndSelect
        self.list.selectionModel().setCurrentIndex(self.model.index(there), command)

    # --- what the collector does

    def _on_line(self, current: QModelIndex, _before: QModelIndex) -> None:
        if current.isValid():
            line = self.model.lines[current.row()]
            if line.kind is not LineKind.HEADING:
                self.slot_chosen.emit(int(line.album), int(line.slot))

    def _on_tick(self, place: int) -> None:
        """Take a line off, or put it on again, and solve the rest anew."""
        line = self.model.lines[place]
        if line.pair is None or self._proposal is None:
            return
        if line.pair in self._off:
            del self._off[line.pair]
        else:
            self._off[line.pair] = next(m for m in self._proposal.moves if m.pair == line.pair)
        if self._is_reading_edits:
            self._begin(keeps_off=True)
        else:
            self._solve()

    def accept(self) -> None:
        """Make the moves that are ticked; one undo takes them all back."""
        proposal = self._proposal
        if proposal is None or not proposal.moves or not self.accept_button.isEnabled():
            return
        from core.app.operations import apply_fill

        self._is_accepting = True
        self.accept_button.setEnabled(False)
        pairs = [move.pair for move in proposal.moves]
        self._desk.run(apply_fill(pairs), self._on_accepted, failed=self._on_failed)

    def _on_accepted(self, _changes: Changes) -> None:
        count = len(self._proposal.moves) if self._proposal else 0
        self._is_accepting = False
        self.accepted.emit(count)
        self.leave()

    def _on_changed(self, changes: Changes) -> None:
        if not self.is_on or self._is_accepting:
            return
        task, is_idle = self._task, self._job is None or self._job.is_done
        if task is None or self._filling is None or not is_idle or not are_few(changes):
            self._begin(keeps_off=True)
            return
        self._is_reading_edits = True
        self._job = self._desk.ask(
            lambda collection: read_edits(collection, task, changes),
            self._on_edits,
            self._on_failed,
        )

    def _on_edits(self, edits: Edits | None) -> None:
        self._is_reading_edits = False
        if not self.is_on:
            return
        if edits is None:
            self._begin(keeps_off=True)
            return
        self._task = edits.task
        self._edits |= edits.coins
        self._solve()

    # --- keys

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if (
            watched is self.list
            and event.type() == QEvent.Type.KeyPress
            and isinstance(event, QKeyEvent)
            and self._press(event)
        ):
            return True
        return super().eventFilter(watched, event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if not self._press(event):
            super().keyPressEvent(event)

    def _press(self, event: QKeyEvent) -> bool:
        is_ctrl = bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier)
        match event.key():
            case Qt.Key.Key_Return | Qt.Key.Key_Enter if is_ctrl:
                self.accept()
            case Qt.Key.Key_Space if self.list.currentIndex().isValid():
                self._on_tick(self.list.currentIndex().row())
            case Qt.Key.Key_Escape:
                self.leave()
            case _:
                return False
        return True


def _filled(given: FillInput, progress: Progress) -> "Filling":
    from core.fill.refill import Filling

    return Filling(given, progress.report)


def _step(word: str, before: int, after: int, behind: str = "") -> str:
    if before == after:
        return f"{word} {after}{behind}"
    return f"{word} {before} → {after}{behind}"
