"""Paste coins: the text on the left, to be put right; on the right what would come of it."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QAction, QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QPlainTextEdit,
    QPushButton,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from core.app.work import Progress
from core.errors import CollectionError
from core.model.issue import Series, SeriesId
from gui.coins.paste import as_sheet
from gui.desk import Desk
from gui.exchange.sheet_table import SheetTable
from gui.text_lines import go_to_line, mark_lines
from gui.theme import XL, L, M, S, set_style
from gui.widgets import (
    EmptyState,
    KeyHint,
    Label,
    MenuButton,
    PrimaryButton,
    QuietButton,
    SectionLabel,
    column,
    row,
)
from gui.work import Job

if TYPE_CHECKING:
    from core.app.changes import Changes
    from core.app.collection import Collection
    from core.app.exchange import ComingRow
    from core.app.exchange_read import SheetDraft
    from core.app.exchange_sheet import SheetFault

FIRST_ROWS = 200
"""Rows that the preview shows."""
READ_AFTER_MS = 200
MOST_NOTES = 3
ADD_KEY = "Ctrl+Enter"


@dataclass(frozen=True, slots=True)
class _Read:
    """The text read, and what is shown of it."""

    draft: "SheetDraft"
    first: "tuple[ComingRow, ...]"
    coming: tuple[str, ...]


def _read(
    collection: "Collection", text: str, prefer: SeriesId | None, progress: Progress
) -> _Read:
    from core.app.exchange import coming_text

    sheet, columns = as_sheet(text)
    draft = collection.read_sheet(
        sheet, renumber=True, columns=columns, progress=progress, prefer=prefer
    )
    return _Read(draft, collection.coming_rows(draft, FIRST_ROWS), coming_text(draft))


def _told(fault: "SheetFault") -> str:
    """The reason, with the column's name where one must know it."""
    return fault.reason if fault.column in ("", "coin") else f"{fault.column}: {fault.reason}"


class PasteDialog(QDialog):
    """Adds all that is in the text, or nothing: a faulty row is named and holds up the rest."""

    def __init__(
        self,
        parent: QWidget | None,
        desk: Desk,
        text: str,
        series: Sequence[Series],
        prefer: SeriesId | None,
    ) -> None:
        super().__init__(parent)
        self._desk, self._prefer, self._series = desk, prefer, series
        self.draft: SheetDraft | None = None
        self._job: Job | None = None
        self.setWindowTitle("Paste coins")
        self.resize(1080, 640)
        box = column(self, (XL, XL, XL, XL), M)
        box.addLayout(self._build_head())
        body = row(spacing=L)
        body.addLayout(self._build_text(text), 2)
        body.addLayout(self._build_preview(), 3)
        box.addLayout(body, 1)
        box.addLayout(self._build_foot())
        for button in self.findChildren(QPushButton):
            button.setAutoDefault(False)
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(READ_AFTER_MS)
        self._timer.timeout.connect(self.read)
        self.text.textChanged.connect(self._on_typed)
        self.text.setFocus(Qt.FocusReason.OtherFocusReason)
        self.read()

    # ---- building -----------------------------------------------------------------------------

    def _build_head(self) -> QHBoxLayout:
        head = row(spacing=M)
        told = column(spacing=S)
        told.addWidget(Label("Paste coins", "heading", self))
        words = (
            "One coin a line, as in the entry line, such as 1943-D vf20; or rows whose first line "
            "names the columns. Nothing is added before every line reads."
        )
        told.addWidget(Label(words, "mute", self, wraps=True))
        head.addLayout(told, 1)
        self.series = MenuButton("Series", "", self)
        self.series.setToolTip("The series meant where a line names none")
        for each in self._series:
            action = QAction(each.title.replace("&", "&&"), self.series.choices)
            action.triggered.connect(partial(self._on_series, each.id))
            self.series.choices.addAction(action)
        self.series.setVisible(len(self._series) > 1)
        self._show_series()
        head.addWidget(self.series, 0, Qt.AlignmentFlag.AlignBottom)
        return head

    def _build_text(self, text: str) -> QVBoxLayout:
        box = column(spacing=S)
        box.addWidget(SectionLabel("The text", self))
        self.text = QPlainTextEdit(self)
        self.text.setAccessibleName("The text that is pasted")
        self.text.setLineWrapMode(QPlainTextEdit.LineWrapMode.NoWrap)
        self.text.setTabChangesFocus(True)
        self.text.setPlainText(text)
        box.addWidget(self.text, 1)
        return box

    def _build_preview(self) -> QVBoxLayout:
        box = column(spacing=S)
        self.head = SectionLabel("What comes", self)
        box.addWidget(self.head)
        self.pages = QStackedWidget(self)
        self.rows = SheetTable(
            "Coins that would come", ("Line", "Coin", "Grade and problems", "Goes"),
            (56, 200, 160, 100), self,
        )  # fmt: skip
        self.faults = SheetTable(
            "Faulty lines", ("Line", "What is wrong, and what to do"), (56, 400), self, wraps=True
        )
        self.faults.setToolTip("Enter or a double click goes to the line")
        self.faults.activated.connect(lambda index: self._go_to_fault(index.row()))
        self.empty = EmptyState("Nothing to add yet", "Type or paste a line on the left.", "", "")
        for page in (self.rows, self.faults, self.empty):
            self.pages.addWidget(page)
        box.addWidget(self.pages, 1)
        self.notes = Label("", "small", self, wraps=True)
        self.notes.hide()
        box.addWidget(self.notes)
        return box

    def _build_foot(self) -> QHBoxLayout:
        foot = row(spacing=S)
        self.said = Label("", "small", self, wraps=True)
        foot.addWidget(self.said, 1)
        cancel = QuietButton("Cancel", self)
        cancel.clicked.connect(self.reject)
        self.give_button = PrimaryButton("Add", self)
        self.give_button.clicked.connect(self.give)
        for keys in ("Ctrl+Return", "Ctrl+Enter"):
            QShortcut(QKeySequence(keys), self, self.give)
        for key, button in (("Esc", cancel), (ADD_KEY, self.give_button)):
            foot.addSpacing(S)
            foot.addWidget(KeyHint(key, self))
            foot.addWidget(button)
        return foot

    # ---- reading ------------------------------------------------------------------------------

    def _on_series(self, series: SeriesId, _is_checked: bool = False) -> None:
        self._prefer = series
        self._show_series()
        self.read()

    def _show_series(self) -> None:
        title = next((s.title for s in self._series if s.id == self._prefer), "")
        self.series.show_value(title)

    def _on_typed(self) -> None:
        self._stop()
        self.give_button.setEnabled(False)
        self._timer.start()

    def _stop(self) -> None:
        if self._job is not None:
            self._job.cancel()
            self._job = None

    def read(self) -> None:
        """Read the text as it stands, against the collection as it is now."""
        self._timer.stop()
        self._stop()
        self.draft = None
        self.give_button.setEnabled(False)
        text, prefer = self.text.toPlainText(), self._prefer
        if not text.strip():
            self._show_nothing()
            return
        job = self._desk.ask_long(
            lambda collection, progress: _read(collection, text, prefer, progress),
            self._show,
            self._not_read,
            "Reading the lines",
        )
        self._job = job if job is not None and not job.is_done else None

    def _not_read(self, error: Exception) -> None:
        self._job = None
        if isinstance(error, CollectionError):
            self._say(str(error), "fault")
        else:
            self._desk.show_failure(error)

    def _show_nothing(self) -> None:
        self.head.setText("WHAT COMES")
        self.pages.setCurrentWidget(self.empty)
        self.give_button.setText("Add")
        self.notes.hide()
        self._say("")

    def _show(self, read: _Read) -> None:
        from core.app.exchange import faulty_text

        self._job = None
        draft = self.draft = read.draft
        mark_lines(self.text, (fault.line for fault in draft.faults))
        notes = [*draft.notes[:MOST_NOTES]]
        if len(draft.notes) > MOST_NOTES:
            notes.append(f"and {len(draft.notes) - MOST_NOTES:,} more remarks")
        self.notes.setText("\n".join(notes))
        self.notes.setVisible(bool(notes))
        if draft.faults:
            self.head.setText(f"What is wrong: {faulty_text(draft)}".upper())
            self.faults.show_rows([(str(f.line), _told(f)) for f in draft.faults])
            self.pages.setCurrentWidget(self.faults)
            self.give_button.setText("Add")
            self._say("Put the lines right on the left; nothing is lost, nothing is added yet.")
            return
        if not draft.rows:
            self._show_nothing()
            return
        shown, many = len(read.first), len(draft.rows)
        told = "What comes" if shown == many else f"What comes: the first {shown} of {many:,} rows"
        self.head.setText(told.upper())
        self.rows.show_rows([(str(r.line), r.coin, r.condition, r.goes) for r in read.first])
        self.pages.setCurrentWidget(self.rows)
        coins = sum(one.coin.quantity for one in draft.rows)
        self.give_button.setText(f"Add {coins:,} coin{'' if coins == 1 else 's'}")
        self.give_button.setEnabled(not self._desk.is_read_only)
        self._say("; ".join(read.coming))

    def _say(self, text: str, look: str = "small") -> None:
        set_style(self.said, "look", look)
        self.said.setText(text)

    def _go_to_fault(self, at: int) -> None:
        """Put the cursor on the line that cannot be read."""
        if self.draft is None or not 0 <= at < len(self.draft.faults):
            return
        go_to_line(self.text, self.draft.faults[at].line)

    # ---- adding -------------------------------------------------------------------------------

    def give(self) -> None:
        """Add all of it in one order; the dialog and its text stay where that is refused."""
        if self.draft is None or not self.draft.is_ready or not self.give_button.isEnabled():
            return
        from core.app.exchange import import_coins

        self.give_button.setEnabled(False)
        self._desk.run(import_coins(self.draft), self._on_added, failed=self._refused)

    def _on_added(self, _changes: "Changes") -> None:
        self.accept()

    def _refused(self, error: Exception) -> None:
        self.give_button.setEnabled(True)
        self._not_read(error)

    def done(self, result: int) -> None:
        """Leave; what is still being read is let go."""
        self._timer.stop()
        self._stop()
        super().done(result)

    @classmethod
    def ask(
        cls,
        parent: QWidget | None,
        desk: Desk,
        text: str,
        series: Sequence[Series],
        prefer: SeriesId | None,
    ) -> int:
        """How many coins were added, 0 for none."""
        dialog = cls(parent, desk, text, series, prefer)
        is_given = dialog.exec() == QDialog.DialogCode.Accepted
        draft = dialog.draft
        dialog.deleteLater()
        return sum(r.coin.quantity for r in draft.rows) if is_given and draft is not None else 0
