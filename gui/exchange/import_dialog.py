"""Import coins: what a sheet holds and where its coins go, or all that is wrong with it."""

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QGuiApplication, QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QDialog,
    QProgressBar,
    QPushButton,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from core.app.work import Progress
from core.errors import CollectionError
from gui.desk import Desk
from gui.exchange.sheet_table import SheetTable
from gui.segmented import Segmented
from gui.theme import XL, L, M, S
from gui.widgets import (
    Card,
    ElidedLabel,
    EmptyState,
    Label,
    PrimaryButton,
    QuietButton,
    ScrollColumn,
    SectionLabel,
    clear_layout,
    column,
    row,
)
from gui.work import Job

if TYPE_CHECKING:
    from core.app.collection import Collection
    from core.app.exchange import ComingRow
    from core.app.exchange_read import SheetDraft

FILES = "Sheets of coins (*.csv *.tsv *.txt);;All files (*)"
FIRST_ROWS = 100
"""Rows that the preview shows."""
MOST_NOTES = 40
NUMBERS = ("The sheet's numbers", "New numbers")
SIDE_PX = 264
_NOTES_BESIDE_FAULTS = 3
_NUMBER_AT, _COIN_AT = 1, 2  # of the columns of the first rows
_SAID_MS = 4000


@dataclass(frozen=True, slots=True)
class _Read:
    """A sheet read, and what is shown of it."""

    draft: "SheetDraft"
    first: "tuple[ComingRow, ...]"
    coming: tuple[str, ...]


def _read(collection: "Collection", path: Path, renumber: bool, progress: Progress) -> _Read:
    from core.app.exchange import coming_text
    from core.app.exchange_sheet import sheet_text

    text = sheet_text(path)
    draft = collection.read_sheet(text, renumber=renumber, progress=progress)
    return _Read(draft, collection.coming_rows(draft, FIRST_ROWS), coming_text(draft))


class ImportDialog(QDialog):
    """Shows a sheet before it is taken in; `draft` is what was read, ready only without faults."""

    def __init__(self, parent: QWidget | None, desk: Desk, path: Path) -> None:
        super().__init__(parent)
        self._desk, self._path = desk, path
        self.draft: SheetDraft | None = None
        self._job: Job | None = None
        self.setWindowTitle("Import coins")
        self.resize(1040, 680)
        box = column(self, (XL, XL, XL, XL), M)
        box.addLayout(self._build_head())
        self.pages = QStackedWidget(self)
        self.pages.addWidget(self._build_wait())
        self.pages.addWidget(self._build_failed())
        self.pages.addWidget(self._build_faults())
        self.pages.addWidget(self._build_coming())
        box.addWidget(self.pages, 1)
        self._build_foot(box)
        self._said_for = QTimer(self)
        self._said_for.setSingleShot(True)
        self._said_for.setInterval(_SAID_MS)
        self._said_for.timeout.connect(lambda: self.said.setText(""))
        for button in self.findChildren(QPushButton):
            button.setAutoDefault(button is self.give_button)
        self.read()

    @classmethod
    def ask(cls, parent: QWidget | None, desk: Desk, path: Path) -> "SheetDraft | None":
        """The sheet to take in, None where it was left."""
        dialog = cls(parent, desk, path)
        is_given = dialog.exec() == QDialog.DialogCode.Accepted
        draft = dialog.draft if is_given else None
        dialog.deleteLater()
        return draft

    # ---- building -----------------------------------------------------------------------------

    def _build_head(self) -> QVBoxLayout:
        head = column(spacing=S)
        line = row(spacing=M)
        line.addWidget(Label("Import coins", "title", self))
        line.addStretch(1)
        self.numbers = Segmented(NUMBERS, "Numbers of the coins", self)
        self.numbers.setToolTip(
            "A coin keeps the number that the sheet gives it, where that is free; or every coin "
            "gets the next number"
        )
        self.numbers.choose(0)
        for button in self.numbers.buttons:  # the chosen one is bold, so wider than it asks
            button.setMinimumWidth(button.sizeHint().width() + L)
        self.numbers.chosen.connect(lambda _place: self.read())
        line.addWidget(self.numbers)
        head.addLayout(line)
        self.file = ElidedLabel("", "mute", self)
        head.addWidget(self.file)
        return head

    def _build_wait(self) -> QWidget:
        self.wait = Card(self, "card", (XL, XL, XL, XL), M)
        self.wait.box.addStretch(1)
        doing = Label("Reading the sheet …", "heading", self.wait)
        doing.setAlignment(Qt.AlignmentFlag.AlignHCenter)
        self.wait.box.addWidget(doing)
        self.share = QProgressBar(self.wait)
        self.share.setTextVisible(False)
        self.share.setRange(0, 1000)
        self.share.setFixedWidth(320)
        self.share.setAccessibleName("How far the reading is")
        self._desk.progressed.connect(self._on_progress)
        self.wait.box.addWidget(self.share, 0, Qt.AlignmentFlag.AlignHCenter)
        self.wait.box.addStretch(1)
        return self.wait

    def _build_failed(self) -> QWidget:
        self.failed = Card(self, "card", (XL, XL, XL, XL), M)
        self.trouble = EmptyState("", "", "Choose another file…", parent=self.failed)
        self.trouble.acted.connect(self.choose_file)
        self.failed.box.addWidget(self.trouble)
        return self.failed

    def _build_faults(self) -> QWidget:
        self.faulty = QWidget(self)
        box = column(self.faulty, spacing=S)
        line = row(spacing=S)
        self.faults_head = Label("", "heading", self.faulty, wraps=True)
        line.addWidget(self.faults_head, 1)
        self.copy_button = QuietButton("Copy the list", self.faulty)
        self.copy_button.setToolTip("Copy all faulty rows (Alt+C); Ctrl+C copies the chosen ones")
        self.copy_button.setShortcut("Alt+C")
        self.copy_button.clicked.connect(self._copy)
        self.save_button = QuietButton("Save the list…", self.faulty)
        self.save_button.setToolTip("Save all faulty rows as a text file (Ctrl+S)")
        self.save_button.setShortcut("Ctrl+S")
        self.save_button.clicked.connect(self._save)
        line.addWidget(self.copy_button)
        line.addWidget(self.save_button)
        box.addLayout(line)
        self.faults_note = Label("", "mute", self.faulty, wraps=True)
        box.addWidget(self.faults_note)
        self.faults = SheetTable(
            "Faulty rows",
            ("Line", "Column", "What is wrong, and what to do"),
            (72, 136, 400),
            self.faulty,
            wraps=True,
        )
        box.addWidget(self.faults, 1)
        return self.faulty

    def _build_coming(self) -> QWidget:
        self.coming = QWidget(self)
        box = row(self.coming, spacing=L)
        side = ScrollColumn(self.coming, spacing=S)
        side.setFixedWidth(SIDE_PX)
        side.box.addWidget(SectionLabel("What comes", side.inside))
        self.sums = column(spacing=4)
        side.box.addLayout(self.sums)
        self.notes_head = SectionLabel("Worth knowing", side.inside)
        side.box.addSpacing(M)
        side.box.addWidget(self.notes_head)
        self.notes = column(spacing=S)
        side.box.addLayout(self.notes)
        side.box.addStretch(1)
        self._side = side
        box.addWidget(side)
        right = column(spacing=S)
        self.rows_head = SectionLabel("First rows", self.coming)
        right.addWidget(self.rows_head)
        self.rows = SheetTable(
            "First rows of the sheet",
            ("Line", "Number", "Coin", "Grade and problems", "Where it goes"),
            (56, 76, 190, 160, 200),
            self.coming,
        )
        right.addWidget(self.rows, 1)
        box.addLayout(right, 1)
        return self.coming

    def _build_foot(self, box: QVBoxLayout) -> None:
        line = row(spacing=S)
        self.other = QuietButton("Choose another file…", self)
        QShortcut(QKeySequence("Ctrl+O"), self, self.choose_file)
        self.other.setToolTip("Choose another file (Ctrl+O)")
        self.other.clicked.connect(self.choose_file)
        line.addWidget(self.other)
        self.said = Label("", "small", self, wraps=True)
        line.addWidget(self.said, 1)
        self.cancel = QuietButton("Cancel", self)
        self.cancel.clicked.connect(self.reject)
        line.addWidget(self.cancel)
        self.give_button = PrimaryButton("Import", self)
        self.give_button.setDefault(True)
        self.give_button.clicked.connect(self.accept)
        line.addWidget(self.give_button)
        box.addLayout(line)

    # ---- reading ------------------------------------------------------------------------------

    def read(self) -> None:
        """Read the file anew, against the collection as it is now."""
        self._stop()
        self.draft = None
        self.file.show_text(str(self._path))
        self.give_button.setEnabled(False)
        self.give_button.setText("Import")
        self.other.show()
        self.share.setValue(0)
        self.pages.setCurrentWidget(self.wait)
        path, renumber = self._path, self.numbers.choice() == 1
        job = self._desk.ask_long(
            lambda collection, progress: _read(collection, path, renumber, progress),
            self._show,
            self._show_failure,
            "Reading the sheet",
        )
        self._job = job if job is not None and not job.is_done else None

    def _stop(self) -> None:
        if self._job is not None:
            self._job.cancel()
            self._job = None

    def _on_progress(self, share: float, _doing: str) -> None:
        self.share.setValue(round(share * 1000))

    def _show_failure(self, error: Exception) -> None:
        self._job = None
        if not isinstance(error, CollectionError):
            self._desk.broke.emit(error)
            self.reject()
            return
        self._show_trouble("This file cannot be read", str(error))

    def _show(self, read: _Read) -> None:
        self._job = None
        self.draft = read.draft
        if read.draft.faults:
            self._show_faults(read.draft)
        elif not read.draft.rows:
            self._show_trouble("There are no coins in this file", "\n".join(read.draft.notes))
        else:
            self._show_coming(read)

    def _show_trouble(self, title: str, sentence: str) -> None:
        self.trouble.say(title, sentence, "Choose another file…", "Ctrl+O")
        self.other.hide()
        self.pages.setCurrentWidget(self.failed)
        self.trouble.button.setFocus(Qt.FocusReason.OtherFocusReason)

    def _show_faults(self, draft: "SheetDraft") -> None:
        from core.app.exchange import faulty_text

        text = faulty_text(draft)
        self.faults_head.setText(f"{text}, so nothing can be imported yet")
        advice = "Put the sheet right, save it, and choose it again."
        self.faults_note.setText(" ".join([advice, *draft.notes[:_NOTES_BESIDE_FAULTS]]))
        self.faults.show_rows([(str(f.line), f.column, f.reason) for f in draft.faults])
        self.pages.setCurrentWidget(self.faulty)
        self.faults.setFocus(Qt.FocusReason.OtherFocusReason)

    def _show_coming(self, read: _Read) -> None:
        clear_layout(self.sums)
        clear_layout(self.notes)
        for place, text in enumerate(read.coming):
            self.sums.addWidget(
                Label(text, "body" if place else "strong", self._side.inside, wraps=True)
            )
        notes = list(read.draft.notes[:MOST_NOTES])
        if len(read.draft.notes) > MOST_NOTES:
            notes.append(f"and {len(read.draft.notes) - MOST_NOTES:,} more")
        for text in notes:
            self.notes.addWidget(
                Label(text, "small", self._side.inside, wraps=True, selectable=True)
            )
        self.notes_head.setVisible(bool(notes))
        shown, many = len(read.first), len(read.draft.rows)
        told = f"All {many:,} rows" if shown == many else f"First {shown} of {many:,} rows"
        self.rows_head.setText(told.upper())
        self.rows_head.setAccessibleName(told)
        has_numbers = any(r.number for r in read.first)
        self.rows.setColumnHidden(_NUMBER_AT, not has_numbers)
        self.rows.setColumnWidth(_COIN_AT, 190 if has_numbers else 230)
        self.rows.show_rows(
            [(str(r.line), r.number, r.coin, r.condition, r.goes) for r in read.first]
        )
        self.pages.setCurrentWidget(self.coming)
        coins = sum(one.coin.quantity for one in read.draft.rows)
        self.give_button.setText(f"Import {coins:,} coin{'' if coins == 1 else 's'}")
        self.give_button.setEnabled(not self._desk.is_read_only)
        if self._desk.is_read_only:
            self.said.setText(f"Nothing can be imported. {self._desk.read_only_reason}")
        self.give_button.setFocus(Qt.FocusReason.OtherFocusReason)

    # ---- what one can do ----------------------------------------------------------------------

    def choose_file(self) -> None:
        """Another sheet, or the same one put right."""
        from gui.file_choice import choose_file

        path = choose_file(self, "Import coins", str(self._path.parent), FILES)
        if path is not None:
            self._path = path
            self.read()

    def _list_text(self) -> str:
        faults = self.draft.faults if self.draft is not None else ()
        return "".join(f"{fault.text}\n" for fault in faults)

    def _copy(self) -> None:
        QGuiApplication.clipboard().setText(self._list_text())
        self._say("The list is copied.")

    def _save(self) -> None:
        from core.app.exchange import write_sheet
        from gui.file_choice import choose_new_file

        start = str(self._path.with_name(f"{self._path.stem} faulty rows.txt"))
        path = choose_new_file(self, "Save the list", start, "Text (*.txt)", ".txt")
        if path is None:
            return
        try:
            write_sheet(path, self._list_text().splitlines(keepends=True))
        except CollectionError as error:
            self._say(str(error))
        else:
            self._say(f"The list is in {path}.")

    def _say(self, text: str) -> None:
        self.said.setText(text)
        self._said_for.start()

    def done(self, result: int) -> None:
        """Leave; a sheet still being read is let go."""
        self._stop()
        self._said_for.stop()
        super().done(result)
