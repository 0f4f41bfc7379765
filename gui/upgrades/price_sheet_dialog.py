"""Prices pasted or of a file: the text to be put right, and every faulty row with its reason."""

from typing import TYPE_CHECKING

from PySide6.QtCore import QTimer
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QDialog, QPlainTextEdit, QPushButton, QWidget

from core.app.work import Progress
from gui.album.album_fields import AlbumFoot
from gui.desk import Desk
from gui.exchange.sheet_table import SheetTable
from gui.search.plain_table import PlainTable
from gui.text_lines import go_to_line, mark_lines
from gui.theme import XL, L, M
from gui.widgets import Label, SectionLabel, column, row
from gui.work import Job

if TYPE_CHECKING:
    from core.app.collection import Collection
    from core.app.exchange_sheet import SheetFault
    from core.app.price_sheet import PriceDraft

Read = tuple["PriceDraft", tuple[str, ...]]
"""What was read, and what the coins of its first rows are called."""
READ_AFTER_MS = 200
COLUMNS = "series, date, mint, variety, grade, price, currency, day, source"
MOST_ROWS = 200


def _told(fault: "SheetFault") -> str:
    """The reason, with the column's name where it is about one cell."""
    return f"{fault.column}: {fault.reason}" if fault.column else fault.reason


class PriceSheetDialog(QDialog):
    """All of the sheet is taken in, or nothing: a faulty row is named and holds up the rest."""

    def __init__(self, parent: QWidget | None, desk: Desk, text: str, source: str = "") -> None:
        super().__init__(parent)
        self._desk, self._source = desk, source
        self.draft: PriceDraft | None = None
        self._job: Job | None = None
        self.setWindowTitle("Take in prices")
        self.resize(1000, 600)
        box = column(self, (XL, XL, XL, L), M)
        box.addWidget(Label("Take in prices", "heading", self))
        words = (
            "Lines such as 1914-d f12 @ 210, or rows of a sheet. Its first line names the columns, "
            f"of which date, grade and price are needed; without it they are {COLUMNS}. What is "
            "left out means the base currency and today."
        )
        box.addWidget(Label(words, "mute", self, wraps=True))
        body = row(spacing=L)
        left, right = column(spacing=M), column(spacing=M)
        left.addWidget(SectionLabel("Rows", self))
        self.text = QPlainTextEdit(text, self)
        self.text.setAccessibleName("Rows of prices")
        self.text.setTabChangesFocus(True)
        self.text.setLineWrapMode(QPlainTextEdit.LineWrapMode.NoWrap)
        left.addWidget(self.text, 1)
        self.head = SectionLabel("What is read", self)
        right.addWidget(self.head)
        self.table = PlainTable("What is read", self)
        right.addWidget(self.table, 1)
        self.faults = SheetTable(
            "Faulty rows", ("Line", "What is wrong, and what to do"), (56, 400), self, wraps=True
        )
        self.faults.setToolTip("Enter or a double click goes to the row")
        self.faults.activated.connect(lambda index: self.go_to_fault(index.row()))
        right.addWidget(self.faults, 1)
        self.notes = Label("", "small", self, wraps=True)
        self.notes.hide()
        right.addWidget(self.notes)
        body.addLayout(left, 1)
        body.addLayout(right, 1)
        box.addLayout(body, 1)
        self.foot = AlbumFoot(self, "Take in", self.give, "Ctrl+Enter")
        for keys in ("Ctrl+Return", "Ctrl+Enter"):  # Enter is a new row while one types
            QShortcut(QKeySequence(keys), self, self.give)
        for button in self.findChildren(QPushButton):
            button.setAutoDefault(False)  # Enter on a faulty row goes to it
        box.addLayout(self.foot.line)
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(READ_AFTER_MS)
        self._timer.timeout.connect(self.read)
        self.text.textChanged.connect(self._on_typed)
        self.read()

    def _on_typed(self) -> None:
        self.draft = None
        self.foot.give.setEnabled(False)
        self._timer.start()

    def read(self) -> None:
        """Read the text anew."""
        text, source = self.text.toPlainText(), self._source
        if self._job is not None:
            self._job.cancel()

        def question(collection: "Collection", progress: Progress) -> Read:
            from core.app.price_book import read_price_sheet
            from gui.upgrades.price_reading import named

            series = collection.all_series()
            book = collection.price_book()
            used = [one.id for one in collection.series_in_use]
            draft = read_price_sheet(text, series, book, source, None, progress, used)
            first = draft.rows[:MOST_ROWS]
            return draft, tuple(named(collection, one.price) for one in first)

        job = self._desk.ask_long(question, self._show, doing="Reading the prices")
        self._job = None if job is None or job.is_done else job

    def _show(self, read: "Read") -> None:
        from core.app.price_book import amount_text

        draft, names = read
        self._job, self.draft = None, draft
        many, faults = len(draft.rows), len(draft.faults)
        mark_lines(self.text, (fault.line for fault in draft.faults))
        if faults:
            self.faults.show_rows([(str(one.line), _told(one)) for one in draft.faults])
            title = f"{faults:,} faulty row{'s' * (faults != 1)}"
        else:
            rows = [
                (
                    str(row.line),
                    name,
                    row.price.grade_text,
                    amount_text(row.price.minor, row.price.currency),
                )
                for row, name in zip(draft.rows, names, strict=False)
            ]
            self.table.show_rows(("Line", "Coin", "Grade", "Price"), rows, texts=2)
            title = f"{many:,} price{'s' * (many != 1)}"
        self.faults.setVisible(bool(faults))
        self.table.setVisible(not faults)
        self.head.setText(title.upper())
        self.head.setAccessibleName(title)
        self.notes.setText(" ".join(draft.notes))
        self.notes.setVisible(bool(draft.notes))
        trouble = "Nothing is taken in while a row is faulty: put the rows right on the left."
        self.foot.trouble.setText(trouble if faults else "")
        self.foot.give.setText(f"Take in {many:,}" if draft.is_ready else "Take in")
        self.foot.give.setEnabled(draft.is_ready)

    def go_to_fault(self, at: int) -> None:
        """Select the row of the text that cannot be read."""
        if self.draft is not None and 0 <= at < len(self.draft.faults):
            go_to_line(self.text, self.draft.faults[at].line)

    def give(self) -> None:
        """Take all of it in, once it is read and nothing is faulty."""
        if self.foot.give.isEnabled():
            self.accept()

    @classmethod
    def ask(
        cls, parent: QWidget | None, desk: Desk, text: str, source: str = ""
    ) -> "PriceDraft | None":
        """The prices to take in, or None."""
        dialog = cls(parent, desk, text, source)
        is_given = dialog.exec() == QDialog.DialogCode.Accepted
        draft = dialog.draft
        dialog.deleteLater()
        return draft if is_given else None
