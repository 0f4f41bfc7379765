"""The page of history: what was done, day by day, and undo back to any entry."""

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QModelIndex, QObject, Qt
from PySide6.QtGui import QKeyEvent, QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QAbstractItemView,
    QDialog,
    QHeaderView,
    QStackedWidget,
    QTableView,
    QVBoxLayout,
    QWidget,
)

from gui.desk import Desk
from gui.history.lines import Line, standing_after
from gui.history.list_model import LINE_PX, HistoryDelegate, HistoryModel
from gui.theme import XL, XS, L, M, S
from gui.widgets import Card, EmptyState, Label, PrimaryButton, QuietButton, column, row

if TYPE_CHECKING:
    from core.app.collection import Entry

Step = Callable[[Callable[[str | None], None]], None]
"""Undo or redo; who is told afterwards what it was."""
PAGE = 200
HINT = "Enter or Right unfolds a run · Ctrl+Z and Ctrl+Shift+Z go one step at a time"


class HistoryDialog(QDialog):
    """Reads a page at a time. `told` is called with a line worth showing afterwards."""

    def __init__(
        self, parent: QWidget | None, desk: Desk, told: Callable[[str], None] | None = None
    ) -> None:
        super().__init__(parent)
        self._desk, self._told = desk, told
        self._asked: Line | None = None
        self.setWindowTitle("History")
        self.resize(720, 640)
        box = column(self, (XL, XL, XL, XL), S)
        box.addWidget(Label("History", "title", self))
        self.sentence = Label("Everything that was done, newest first.", "mute", self, wraps=True)
        box.addWidget(self.sentence)
        box.addSpacing(S)
        self.pages = QStackedWidget(self)
        self.empty = EmptyState(
            "Nothing has been done yet",
            "Each change you make stands here, and can be taken back from here.",
            parent=self,
        )
        self.pages.addWidget(self._build_list())
        self.pages.addWidget(self.empty)
        box.addWidget(self.pages, 1)
        box.addWidget(self._build_question())
        box.addSpacing(S)
        self._build_foot(box)
        forward = ("Ctrl+Shift+Z", desk.redo), ("Ctrl+Y", desk.redo)
        for keys, step in (("Ctrl+Z", desk.undo), *forward):
            QShortcut(QKeySequence(keys), self, partial(self._step, step))
        self._read_anew()
        self.list.setFocus()

    def _build_list(self) -> QTableView:
        """A table of one column: a list would lay out all its lines again for each page read."""
        self.list = QTableView(self)
        self.list.setShowGrid(False)
        self.list.horizontalHeader().hide()
        self.list.horizontalHeader().setStretchLastSection(True)
        self.list.verticalHeader().hide()
        self.list.verticalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        self.list.verticalHeader().setDefaultSectionSize(LINE_PX)
        self.list.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.list.setTabKeyNavigation(False)
        self.list.setAccessibleName("Entries of the history, newest first")
        self.model = HistoryModel(self.list)
        self.model.more_asked.connect(self._read_more)
        self.list.setModel(self.model)
        self.list.setItemDelegate(HistoryDelegate(self.list))
        self.list.setMouseTracking(True)
        self.list.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.list.doubleClicked.connect(self._toggle)
        self.list.selectionModel().currentChanged.connect(lambda *_: self._show_choice())
        self.list.installEventFilter(self)
        return self.list

    def _build_question(self) -> Card:
        self.question = Card(self, "band", (L, M, M, M), S)
        self.question.setAccessibleName("Undo back to here?")
        self.asks = Label("", "body", self.question, wraps=True)
        self.yes = PrimaryButton("Undo back", self.question)
        self.yes.clicked.connect(self._undo_back)
        self.no = QuietButton("Keep all", self.question)
        self.no.clicked.connect(self._keep)
        line = row(spacing=S)
        line.addWidget(self.asks, 1)
        line.addWidget(self.no)
        line.addWidget(self.yes)
        self.question.box.addLayout(line)
        self.question.hide()
        return self.question

    def _build_foot(self, box: QVBoxLayout) -> None:
        line = row(spacing=S)
        words = column(spacing=XS)
        self.hint = Label(HINT, "small", self, wraps=True)
        words.addWidget(self.hint)
        line.addLayout(words, 1)
        self.back = QuietButton("Undo back to here…", self)
        self.back.setToolTip("Take back everything after the chosen entry (U)")
        self.back.clicked.connect(self.ask_undo)
        self.close_button = QuietButton("Close", self)
        self.close_button.clicked.connect(self.accept)
        for button in (self.back, self.close_button, self.yes, self.no):
            button.setAutoDefault(False)
            button.setDefault(False)
        line.addWidget(self.back)
        line.addWidget(self.close_button)
        box.addLayout(line)

    # ---- reading ------------------------------------------------------------------------------

    def _read_anew(self) -> None:
        self.model.start()
        self._desk.ask(lambda c: c.entries(PAGE), self._on_first, doing="Reading the history")

    def _on_first(self, entries: "list[Entry]") -> None:
        self.pages.setCurrentWidget(self.list if entries else self.empty)
        self._on_read(entries)
        first = next((at for at, line in enumerate(self.model.lines) if not line.is_heading), None)
        if first is not None:
            self._go_to(first)
        self._show_choice()

    def _read_more(self) -> None:
        oldest = self.model.oldest
        self._desk.ask(
            lambda c: c.entries(PAGE, oldest), self._on_read, doing="Reading the history"
        )

    def _on_read(self, entries: "list[Entry]") -> None:
        self.model.add(entries, len(entries) == PAGE)

    # ---- choosing -----------------------------------------------------------------------------

    @property
    def chosen(self) -> Line | None:
        """The line the keys act on."""
        index = self.list.currentIndex()
        line = self.model.lines[index.row()] if index.isValid() else None
        return None if line is None or line.is_heading else line

    def _goes(self) -> int:
        """How many entries undo back to the chosen line takes."""
        line = self.chosen
        return standing_after(self.model.lines, self.list.currentIndex().row()) if line else 0

    def _show_choice(self) -> None:
        self._keep(is_focusing=False)
        line = self.chosen
        can = line is not None and not line.is_undone and self._goes() > 0
        self.back.setEnabled(can and not self._desk.is_read_only)
        if line is None:
            self.hint.setText("")
        elif self._desk.is_read_only:
            self.hint.setText(f"Only to look at. {self._desk.read_only_reason}".strip())
        elif line.is_undone:
            self.hint.setText("This was undone; redo brings it back: Ctrl+Shift+Z.")
        else:
            self.hint.setText(HINT)

    def _go_to(self, row: int) -> None:
        self.list.setCurrentIndex(self.model.index(row))

    def _toggle(self, index: QModelIndex) -> None:
        if index.isValid():
            self.model.toggle(index.row())

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            return self._press(event)
        return False

    def _press(self, event: QKeyEvent) -> bool:
        line, index = self.chosen, self.list.currentIndex()
        match event.key():
            case Qt.Key.Key_Return | Qt.Key.Key_Enter | Qt.Key.Key_Space:
                self._toggle(index)
            case Qt.Key.Key_Right if line is not None and not line.is_unfolded:
                self._toggle(index)
            case Qt.Key.Key_Left if line is not None and line.is_unfolded:
                self._toggle(index)
            case Qt.Key.Key_Left if line is not None and line.part_of is not None:
                self._go_to(self.model.lines.index(line.part_of))
            case Qt.Key.Key_Home | Qt.Key.Key_End if self.model.lines:
                is_end = event.key() == Qt.Key.Key_End
                self._go_to(len(self.model.lines) - 1 if is_end else 1)
            case Qt.Key.Key_U:
                self.ask_undo()
            case _:
                return False
        return True

    # ---- undo back ----------------------------------------------------------------------------

    def ask_undo(self) -> None:
        """Say what undo back to the chosen entry takes, and ask once."""
        line, goes = self.chosen, self._goes()
        if line is None or not self.back.isEnabled():
            return
        self._asked = line
        many = "1 entry" if goes == 1 else f"{goes:,} entries"
        again = "goes. Redo brings it" if goes == 1 else "go. Redo brings them"
        self.asks.setText(f"{many} made after “{line.title}” {again} back: Ctrl+Shift+Z.")
        self.question.show()
        self.yes.setFocus(Qt.FocusReason.OtherFocusReason)

    def _keep(self, is_focusing: bool = True) -> None:
        self._asked = None
        if not self.question.isHidden():
            self.question.hide()
            if is_focusing:
                self.list.setFocus(Qt.FocusReason.OtherFocusReason)

    def _undo_back(self) -> None:
        line, goes = self._asked, self._goes()
        if line is None:
            return
        self._keep()
        self._desk.undo_to(line.entries[0].id, lambda: self._on_undone(goes))

    def _on_undone(self, count: int) -> None:
        many = "1 entry was" if count == 1 else f"{count:,} entries were"
        text = f"{many} undone. Redo brings {'it' if count == 1 else 'them'} back: Ctrl+Shift+Z."
        self.sentence.setText(text)
        if self._told is not None:
            self._told(text)
        self._read_anew()

    def _step(self, step: Step) -> None:
        """One step back or forward, as in the window behind, whose keys wait meanwhile."""
        if not self._desk.is_read_only:
            step(self._on_stepped)

    def _on_stepped(self, label: str | None) -> None:
        if label is not None:
            self._read_anew()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape and not self.question.isHidden():
            self._keep()
            return
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self.focusWidget() is self.yes:
            self._undo_back()
            return
        super().keyPressEvent(event)

    @classmethod
    def ask(
        cls, parent: QWidget | None, desk: Desk, told: Callable[[str], None] | None = None
    ) -> None:
        """Show the history until it is closed."""
        dialog = cls(parent, desk, told)
        dialog.exec()
        dialog.deleteLater()
