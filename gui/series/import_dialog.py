"""Bring in a series: a folder, a sheet, or pasted rows; what comes of it, or all that is wrong."""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QKeySequence, QShortcut, QTextCursor
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
from core.catalogue.draft import SeriesDraft, draft_of, empty_draft, id_of, rows_from_csv
from core.catalogue.draft_rows import BY_HAND, DraftRow
from core.errors import BadEntry, CatalogueFault, CollectionError, FileTrouble
from core.model.issue import Composition, Confidence, Design, Mint
from gui.desk import Desk
from gui.exchange.sheet_table import SheetTable
from gui.file_choice import choose_file, choose_folder
from gui.theme import XL, L, M, S, set_style
from gui.widgets import (
    EmptyState,
    KeyHint,
    Label,
    PrimaryButton,
    QuietButton,
    SectionLabel,
    column,
    row,
)
from gui.work import Job

FILES = "Sheets of rows (*.csv *.tsv *.txt);;All files (*)"
FIRST_ROWS = 200
READ_AFTER_MS = 200
_ROW = re.compile(r"row (\d+)")
MOST_BYTES = 4 * 1024 * 1024
HEADS = ("Date", "Mint", "Design", "Composition", "Mintage", "Rests on")


@dataclass(frozen=True, slots=True)
class _Read:
    """What comes: a draft, or faults."""

    draft: SeriesDraft | None
    faults: tuple[str, ...] = ()


Work = Callable[[Progress], _Read]


def draft_of_rows(text: str) -> _Read:
    """A draft with the rows of a text; their mints, designs and metals are made of their names."""
    try:
        found = rows_from_csv(text)
    except BadEntry as fault:
        return _Read(None, (str(fault),))
    if found.faults:
        return _Read(None, tuple(found.faults))
    if not found.rows:
        return _Read(None, ("There is no row below the names of the columns.",))
    draft, told = empty_draft(), Confidence.RECALLED
    mints = [Mint(code, code or "the mint", code) for code in _names(found.rows, "mint")]
    designs, design_ids = _named(found.rows, "design", draft.designs[0].id)
    metals, metal_ids = _named(found.rows, "composition", draft.compositions[0].id)
    rows = tuple(
        replace(
            one, design=design_ids[one.design], composition=metal_ids[one.composition]
        )
        for one in found.rows
    )  # fmt: skip
    return _Read(
        replace(
            draft,
            mints=tuple(mints),
            designs=tuple(Design(c, t, source=BY_HAND, confidence=told) for c, t in designs),
            compositions=tuple(
                Composition(c, t, None, None, None, source=BY_HAND, confidence=told,
                            tolerance_confidence=told)
                for c, t in metals
            ),
            rows=rows,
            totals=tuple(found.totals),
        )
    )  # fmt: skip


def _names(rows: Sequence[DraftRow], name: str) -> list[str]:
    return list(dict.fromkeys(str(getattr(one, name)) for one in rows))


def _named(
    rows: Sequence[DraftRow], name: str, usual: str
) -> tuple[list[tuple[str, str]], dict[str, str]]:
    """The ids and titles of what a column names, and the id for each name in it."""
    ids: dict[str, str] = {}
    for title in _names(rows, name):
        ids[title] = id_of(title, tuple(ids.values())) if title else usual
    return [(code, title or f"usual {name}") for title, code in ids.items()], ids


def draft_of_folder(folder: Path) -> _Read:
    """The series of a folder; every fault of its two files where there is one."""
    from core.catalogue.load import check_folder

    try:
        return _Read(draft_of(check_folder(folder)))
    except CatalogueFault as fault:
        return _Read(None, tuple(str(fault).splitlines()))


def text_of(path: Path) -> str:
    """The text of a sheet. Raises FileTrouble."""
    try:
        with path.open("rb") as file:
            content = file.read(MOST_BYTES + 1)
        if len(content) > MOST_BYTES:
            raise FileTrouble(f"“{path}” is larger than {MOST_BYTES // 2**20} MB; shorten it.")
        return content.decode("utf-8-sig")
    except OSError as error:
        raise FileTrouble(f"“{path}” cannot be read ({error.strerror}). Choose another.") from error
    except UnicodeDecodeError as error:
        raise FileTrouble(
            f"“{path}” is not UTF-8 text. Save it as UTF-8, then choose it."
        ) from error


class ImportSeriesDialog(QDialog):
    """Shows what a folder or a text would give; `draft` goes on to the editor."""

    def __init__(self, parent: QWidget | None, desk: Desk) -> None:
        super().__init__(parent)
        self._desk = desk
        self._job: Job | None = None
        self.draft: SeriesDraft | None = None
        self.setWindowTitle("Import a series")
        self.setAccessibleName("Import a series")
        self.resize(1080, 640)
        box = column(self, (XL, XL, XL, L), M)
        box.addLayout(self._build_head())
        body = row(spacing=L)
        body.addLayout(self._build_text(), 2)
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
        QShortcut(QKeySequence("Ctrl+O"), self, self.choose_folder)
        QShortcut(QKeySequence("Ctrl+Shift+O"), self, self.choose_sheet)
        for keys in ("Ctrl+Return", "Ctrl+Enter"):
            QShortcut(QKeySequence(keys), self, self.give)
        self._show(_Read(None))
        self.text.setFocus(Qt.FocusReason.OtherFocusReason)

    @classmethod
    def ask(cls, parent: QWidget | None, desk: Desk) -> SeriesDraft | None:
        """The draft to go on with, None where it was left."""
        dialog = cls(parent, desk)
        is_given = dialog.exec() == QDialog.DialogCode.Accepted
        draft = dialog.draft if is_given else None
        dialog.deleteLater()
        return draft

    # ---- building -----------------------------------------------------------------------------

    def _build_head(self) -> QHBoxLayout:
        head = row(spacing=S)
        told = column(spacing=S)
        told.addWidget(Label("Import a series", "title", self))
        words = (
            "Choose a folder with its two files, or a sheet of rows; or paste rows here. What "
            "comes then opens in the editor, and nothing is saved before you say so."
        )
        told.addWidget(Label(words, "mute", self, wraps=True))
        head.addLayout(told, 1)
        for text, key, act in (
            ("A folder…", "Ctrl+O", self.choose_folder),
            ("A sheet…", "Ctrl+Shift+O", self.choose_sheet),
        ):
            button = QuietButton(text, self)
            button.setToolTip(f"Choose {text.lower()} ({key})")
            button.clicked.connect(act)
            head.addWidget(button, 0, Qt.AlignmentFlag.AlignBottom)
        return head

    def _build_text(self) -> QVBoxLayout:
        box = column(spacing=S)
        box.addWidget(SectionLabel("Rows", self))
        self.text = QPlainTextEdit(self)
        self.text.setAccessibleName("Rows, the first of which names the columns")
        self.text.setPlaceholderText("date\tmint\tmintage\n1900\tN\t84,000\n1900\tL\t21,500")
        self.text.setLineWrapMode(QPlainTextEdit.LineWrapMode.NoWrap)
        self.text.setTabChangesFocus(True)
        box.addWidget(self.text, 1)
        return box

    def _build_preview(self) -> QVBoxLayout:
        box = column(spacing=S)
        self.head = SectionLabel("What comes", self)
        box.addWidget(self.head)
        self.pages = QStackedWidget(self)
        self.rows = SheetTable("Rows that come", HEADS, (72, 80, 128, 112, 104, 80), self)
        self.faults = SheetTable(
            "What is wrong", ("What is wrong, and what to do",), (400,), self, wraps=True
        )
        self.faults.setToolTip("Enter or a double click goes to the row")
        self.faults.activated.connect(lambda index: self._go_to_row(index.row()))
        self.empty = EmptyState(
            "Nothing to bring in yet",
            "The first row names the columns; a date is all that is needed.",
            parent=self,
        )
        for page in (self.empty, self.rows, self.faults):
            self.pages.addWidget(page)
        box.addWidget(self.pages, 1)
        return box

    def _build_foot(self) -> QHBoxLayout:
        foot = row(spacing=S)
        self.said = Label("", "small", self, wraps=True)
        foot.addWidget(self.said, 1)
        cancel = QuietButton("Cancel", self)
        cancel.clicked.connect(self.reject)
        self.give_button = PrimaryButton("Go on to the editor", self)
        self.give_button.clicked.connect(self.give)
        for key, button in (("Esc", cancel), ("Ctrl+Enter", self.give_button)):
            foot.addSpacing(S)
            foot.addWidget(KeyHint(key, self))
            foot.addWidget(button)
        return foot

    # ---- reading ------------------------------------------------------------------------------

    def _on_typed(self) -> None:
        self.draft = None
        self.give_button.setEnabled(False)
        self._timer.start()

    def read(self) -> None:
        """Read the text as it stands."""
        self._timer.stop()
        text = self.text.toPlainText()
        if not text.strip():
            self._show(_Read(None))
            return
        self._submit(lambda _progress: draft_of_rows(text))

    def choose_folder(self) -> None:
        """A folder with `series.toml` and `issues.csv`."""
        folder = choose_folder(self, "A folder with a series", self._start())
        if folder is not None:
            self._forget_text()
            self._submit(lambda _progress: draft_of_folder(folder))

    def choose_sheet(self) -> None:
        """A sheet, which then stands in the text to be put right."""
        path = choose_file(self, "A sheet of rows", self._start(), FILES)
        if path is None:
            return
        try:
            text = text_of(path)
        except FileTrouble as error:
            self._say(str(error), True)
            return
        self.text.setPlainText(text)
        self.read()

    def _start(self) -> str:
        return str(self._desk.path.parent) if self._desk.path else str(Path.home())

    def _forget_text(self) -> None:
        self.text.blockSignals(True)
        self.text.clear()
        self.text.blockSignals(False)
        self._timer.stop()

    def _submit(self, work: Work) -> None:
        if self._job is not None:
            self._job.cancel()
        self._job = self._desk.runner.submit_drawing(work, self._show, self._on_failed)

    def _on_failed(self, error: Exception) -> None:
        if isinstance(error, CollectionError):
            self._say(str(error), True)
        else:
            self._desk.show_failure(error)

    def _say(self, text: str, is_fault: bool = False) -> None:
        set_style(self.said, "look", "fault" if is_fault else "small")
        self.said.setText(text)

    def _show(self, read: _Read) -> None:
        self.draft = read.draft
        self.give_button.setEnabled(read.draft is not None)
        self._say("")
        told = "What comes"
        if read.faults:
            many = len(read.faults)
            told = f"What is wrong: {many:,} fault{'' if many == 1 else 's'}"
            self.faults.show_rows([(fault,) for fault in read.faults])
            self.pages.setCurrentWidget(self.faults)
        elif read.draft is None:
            self.pages.setCurrentWidget(self.empty)
        else:
            rows = read.draft.rows
            many = len(rows)
            title = f"{read.draft.title}: " if read.draft.title else ""
            told = f"What comes: {title}{many:,} row{'' if many == 1 else 's'}"
            self.rows.show_rows(
                [
                    (r.date, r.mint, r.design, r.composition, r.mintage, r.confidence)
                    for r in rows[:FIRST_ROWS]
                ]
            )
            self.pages.setCurrentWidget(self.rows)
        self.head.setText(told.upper())
        self.head.setAccessibleName(told)

    def _go_to_row(self, at: int) -> None:
        """Put the cursor on the row that a fault names; rows are counted without empty lines."""
        named = _ROW.match(self.faults.texts.rows[at][0])
        block = self.text.document().firstBlock()
        left = int(named[1]) if named else 0
        while left and block.isValid():
            left -= bool(block.text().strip())
            if not left:
                self.text.setTextCursor(QTextCursor(block))
                self.text.setFocus(Qt.FocusReason.OtherFocusReason)
            block = block.next()

    def give(self) -> None:
        """Go on to the editor with what was read."""
        if self._timer.isActive():
            self.read()
        if self.draft is not None:
            self.accept()

    def done(self, result: int) -> None:
        """Leave; what is still being read is let go."""
        self._timer.stop()
        if self._job is not None:
            self._job.cancel()
        super().done(result)
