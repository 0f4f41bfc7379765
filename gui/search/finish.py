"""Finish the box: fill with its finds, what becomes of the rest, then the report.

One screen and one yes: the fill, the ways of the rest and the end of the box are one undo.
"""

from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QItemSelectionModel, QObject, Qt
from PySide6.QtGui import QKeyEvent, QKeySequence, QShortcut
from PySide6.QtWidgets import QDialog, QLineEdit, QStackedWidget, QVBoxLayout, QWidget

from core.app.finish_box import (
    LOT_PLACE,
    FinishTask,
    Way,
    finish_box,
    finish_proposal,
    finish_task,
    totals,
)
from core.app.work import Progress
from core.errors import CollectionError
from core.fill.proposal import Move, Proposal
from core.fill.value import Pair
from core.model.coin import CoinId
from core.model.search import Box
from gui.desk import Desk
from gui.fill.lines import FillLine, FillTask, LineKind, Shown, shown
from gui.search.finish_list import WAYS, RestLine, all_lines, finish_list
from gui.search.report_page import ReportPage
from gui.segmented import Segmented
from gui.theme import XL, L, M, S
from gui.widgets import Card, EmptyState, Label, PrimaryButton, QuietButton, column, key_line, row
from gui.work import Job

if TYPE_CHECKING:
    from core.app.changes import Changes
    from core.app.collection import Collection

FINISH_KEY = "Ctrl+Enter"
_WAY_KEYS = {Qt.Key.Key_S: Way.SPARE, Qt.Key.Key_L: Way.LOT, Qt.Key.Key_B: Way.BANK}
_KEYS = (
    ("Space", "tick a move"),
    ("S", "spare"),
    ("L", "lot"),
    ("B", "bank"),
    ("Shift", "with it: all of the rest"),
    ("Esc", "not yet"),
    (FINISH_KEY, "finish"),
)


class FinishDialog(QDialog):
    """First the finds and where they go; once that is done, the report. A finished box: that."""

    def __init__(self, parent: QWidget | None, desk: Desk, box: Box) -> None:
        super().__init__(parent)
        self._desk, self._box = desk, box
        self._task: FinishTask | None = None
        self._proposal: Proposal | None = None
        self._moves: list[FillLine] = []
        self._off: dict[Pair, Move] = {}
        self.ways: dict[CoinId, Way] = {}
        self._job: Job | None = None
        self.is_done = box.is_done
        self.setWindowTitle(f"Finish box {box.number}")
        self.resize(860, 720)
        outer = column(self, (XL, XL, XL, L), S)
        self.title = Label(f"Finish box {box.number}", "title", self)
        outer.addWidget(self.title)
        self.pages = QStackedWidget(self)
        self.pages.addWidget(self._build_finds())
        self.report = ReportPage(desk, self.pages)
        self.report.closed.connect(self.accept)
        self.pages.addWidget(self.report)
        outer.addWidget(self.pages, 1)
        desk.closed.connect(self.reject)
        finish = QShortcut(QKeySequence("Ctrl+Return"), self)
        finish.activated.connect(self.finish)
        QShortcut(QKeySequence("Ctrl+Enter"), self).activated.connect(self.finish)
        if box.is_done:
            self._show_report()
        else:
            self._read()

    # ---- building

    def _build_finds(self) -> QWidget:
        page = QWidget(self)
        box = column(page, spacing=S)
        self.counts = Label("", "strong", page)
        self.told = Label("", "mute", page, wraps=True)
        box.addWidget(self.counts)
        box.addWidget(self.told)
        card = Card(page, "card", (0, S, 0, S), 0)
        self.stack = QStackedWidget(card)
        self.list, self.model = finish_list(card)
        self.list.installEventFilter(self)
        self.model.tick_asked.connect(self._on_tick)
        self.model.way_asked.connect(lambda at, place: self._send([at], WAYS[place]))
        self.empty = EmptyState("", "", parent=card)
        self.stack.addWidget(self.list)
        self.stack.addWidget(self.empty)
        card.box.addWidget(self.stack)
        box.addWidget(card, 1)
        self._build_rest(box, page)
        self.trouble = Label("", "fault", page, wraps=True)
        self.trouble.hide()
        box.addWidget(self.trouble)
        foot = row(spacing=S)
        foot.addLayout(key_line(page, _KEYS), 1)
        self.cancel_button = QuietButton("Not yet", page)
        self.cancel_button.setToolTip("Leave the box as it is (Esc)")
        self.cancel_button.clicked.connect(self.reject)
        self.finish_button = PrimaryButton("Finish the box", page)
        self.finish_button.setToolTip(f"Do all of it; one undo takes it back ({FINISH_KEY})")
        self.finish_button.clicked.connect(self.finish)
        for button in (self.cancel_button, self.finish_button):
            button.setAutoDefault(False)
        foot.addWidget(self.cancel_button, 0, Qt.AlignmentFlag.AlignBottom)
        foot.addWidget(self.finish_button, 0, Qt.AlignmentFlag.AlignBottom)
        box.addLayout(foot)
        return page

    def _build_rest(self, box: QVBoxLayout, page: QWidget) -> None:
        self.rest = QWidget(page)
        line = row(self.rest, spacing=M)
        line.addWidget(Label("All of the rest", "body", self.rest))
        self.all_ways = Segmented(["spares", "bulk lot", "bank"], "All of the rest", self.rest)
        self.all_ways.chosen.connect(lambda place: self.send_all(WAYS[place]))
        line.addWidget(self.all_ways)
        self._place_word = Label("the lot lies in", "body", self.rest)
        self.lot_place = QLineEdit(LOT_PLACE, self.rest)
        self.lot_place.setAccessibleName("Where the lot lies")
        self.lot_place.setMaximumWidth(220)
        line.addWidget(self._place_word)
        line.addWidget(self.lot_place)
        line.addStretch(1)
        box.addWidget(self.rest)

    # ---- reading and working out

    def _read(self) -> None:
        self._set_working(True)
        self.told.setText("Reading the box …")
        number = self._box.id
        self._job = self._desk.ask(
            lambda collection: finish_task(collection, number), self._on_read, self._failed
        )

    def _on_read(self, task: FinishTask) -> None:
        self._task = task
        self._solve()

    def _solve(self) -> None:
        task, off = self._task, frozenset(self._off)
        if task is None:
            return
        if self._job is not None:
            self._job.cancel()
        self._set_working(True)

        def work(_progress: Progress) -> Proposal:
            return finish_proposal(task, off)

        self._job = self._desk.runner.submit_drawing(work, self._on_solved, self._failed)

    def _on_solved(self, proposal: Proposal) -> None:
        task, off = self._task, list(self._off.values())
        if task is None:
            return

        def look(collection: "Collection") -> Shown:
            views = {album: collection.album_view(album) for album in task.given.albums}
            coins = {coin.id: coin for coin in task.given.coins}
            return shown(collection, FillTask(task.given, views, coins), proposal, off)

        self._job = self._desk.ask(look, self._on_shown, self._failed)

    def _on_shown(self, ready: Shown) -> None:
        self._proposal = ready.proposal
        told = ready.figures
        if told.wanted:
            have = _step(told.have_before, told.have_after)
            target = _step(told.target_before, told.target_after)
            self.counts.setText(f"have {have} of {told.wanted} · at target {target}")
        self.counts.setVisible(bool(told.wanted))
        self._moves = ready.lines
        self._set_working(False)
        self._show_lines()
        is_list = self.stack.currentWidget() is self.list
        first: QWidget = self.list if is_list else self.finish_button
        first.setFocus(Qt.FocusReason.OtherFocusReason)

    def _show_lines(self) -> None:
        task, proposal = self._task, self._proposal
        if task is None or proposal is None:
            return
        rest = task.rest(proposal)
        lines = all_lines(self._moves, rest, self.ways)
        at = self.list.currentIndex().row()
        chosen = {index.row() for index in self.list.selectedIndexes()}
        before = len(self.model.lines)
        self.model.show_lines(lines)
        self._stand_on(at, chosen if before == len(lines) else set())
        told = totals(task, proposal, self.ways).text
        self.told.setText(f"{told[:1].upper()}{told[1:]}.")
        self.rest.setVisible(bool(rest))
        ways = {self.ways.get(line.coin.id, Way.SPARE) for line in rest}
        self.all_ways.choose(WAYS.index(next(iter(ways))) if len(ways) == 1 else -1)
        for widget in (self._place_word, self.lot_place):
            widget.setVisible(Way.LOT in ways)
        self.stack.setCurrentWidget(self.list if lines else self.empty)
        if not lines:
            self._say_nothing(task)

    def _say_nothing(self, task: FinishTask) -> None:
        if task.finds:
            self.empty.say(
                "Every find has its place",
                "They sit in albums, lie in a lot or are gone. Finish the box for its report.",
                key=FINISH_KEY,
            )
        else:
            self.empty.say(
                "Nothing was kept of this box",
                "Finish it all the same: its rolls and counts stand in the log.",
                key=FINISH_KEY,
            )

    def _stand_on(self, at: int, chosen: set[int]) -> None:
        """Keep the line in hand, and those chosen, after the list was told anew."""
        lines = self.model.lines
        free = [n for n, line in enumerate(lines) if line.kind is not LineKind.HEADING]
        if not free:
            return
        there = min(free, key=lambda n: abs(n - at)) if at >= 0 else free[0]
        flags = QItemSelectionModel.SelectionFlag
        picks = self.list.selectionModel()
        picks.setCurrentIndex(self.model.index(there), flags.ClearAndSelect)
        for row_at in chosen - {there}:
            picks.select(self.model.index(row_at), flags.Select)

    def _set_working(self, is_working: bool) -> None:
        is_free = not is_working and not self._desk.is_read_only
        self.finish_button.setEnabled(is_free)
        if not is_working:
            self.trouble.hide()
        if self._desk.is_read_only:
            self.trouble.setText(self._desk.read_only_reason)
            self.trouble.show()

    def _failed(self, error: Exception) -> None:
        self._set_working(False)
        if not isinstance(error, CollectionError):
            self._desk.show_failure(error)
            return
        self.trouble.setText(str(error))
        self.trouble.show()

    # ---- what the collector does

    def _on_tick(self, at: int) -> None:
        """Take a move off, or put it on again, and work out the rest anew."""
        line = self.model.lines[at]
        if self._proposal is None or line.pair is None:
            return
        if line.pair in self._off:
            del self._off[line.pair]
        else:
            self._off[line.pair] = next(m for m in self._proposal.moves if m.pair == line.pair)
        self._solve()

    def _send(self, rows: list[int], way: Way) -> None:
        """Give these lines of the rest a way."""
        for at in rows:
            line = self.model.lines[at]
            if isinstance(line, RestLine):
                self.ways[line.number] = way
        self._show_lines()

    def send_all(self, way: Way) -> None:
        """Give all of the rest a way."""
        self._send(list(range(len(self.model.lines))), way)

    def _send_chosen(self, way: Way) -> None:
        """Give the chosen lines a way; from a single one go on to the next."""
        rows = sorted(index.row() for index in self.list.selectedIndexes())
        mine = [at for at in rows if isinstance(self.model.lines[at], RestLine)]
        if not mine:
            return
        self._send(mine, way)
        following = mine[0] + 1
        if len(mine) == 1 and following < len(self.model.lines):
            flags = QItemSelectionModel.SelectionFlag.ClearAndSelect
            self.list.selectionModel().setCurrentIndex(self.model.index(following), flags)

    def finish(self) -> None:
        """Do all of it, then show the report."""
        task, proposal = self._task, self._proposal
        if task is None or proposal is None or self.is_done or not self.finish_button.isEnabled():
            return
        self._set_working(True)
        self.trouble.hide()
        ways = {
            line.coin.id: self.ways.get(line.coin.id, Way.SPARE) for line in task.rest(proposal)
        }
        pairs = [move.pair for move in proposal.moves]
        place = self.lot_place.text().strip() or LOT_PLACE
        order = finish_box(self._box.id, pairs, ways, place)
        self._desk.run(order, self._on_finished, failed=self._failed)

    def _on_finished(self, _changes: "Changes") -> None:
        self.is_done = True
        self._show_report()

    def _show_report(self) -> None:
        self.setWindowTitle(f"Box {self._box.number}: report")
        self.title.setText(f"Box {self._box.number} is finished")
        self.pages.setCurrentWidget(self.report)
        self.report.show_box(self._box.id, self._box.number)

    # ---- keys

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if (
            watched is self.list
            and event.type() == QEvent.Type.KeyPress
            and isinstance(event, QKeyEvent)
            and self._press(event)
        ):
            return True
        return super().eventFilter(watched, event)

    def _press(self, event: QKeyEvent) -> bool:
        key, modifiers = event.key(), event.modifiers()
        is_plain = not modifiers & ~Qt.KeyboardModifier.ShiftModifier
        if is_plain and (way := _WAY_KEYS.get(Qt.Key(key))) is not None:
            if modifiers & Qt.KeyboardModifier.ShiftModifier:
                self.send_all(way)
            else:
                self._send_chosen(way)
            return True
        if key == Qt.Key.Key_Space and is_plain and self.list.currentIndex().isValid():
            self._on_tick(self.list.currentIndex().row())
            return True
        return False

    def done(self, result: int) -> None:
        if self._job is not None:
            self._job.cancel()
        self.report.stop()
        super().done(result)

    @classmethod
    def ask(cls, parent: QWidget | None, desk: Desk, box: Box) -> bool:
        """Whether the box is finished by then; the report is shown where it is."""
        dialog = cls(parent, desk, box)
        dialog.exec()
        is_done = dialog.is_done
        dialog.deleteLater()
        return is_done


def _step(before: int, after: int) -> str:
    return f"{after}" if before == after else f"{before} → {after}"
