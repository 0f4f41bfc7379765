"""The card of a series: what it is, what its figures rest on, every row, its varieties."""

from PySide6.QtCore import QModelIndex, Qt, QTimer, Signal
from PySide6.QtGui import QFontMetrics, QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QLineEdit,
    QPushButton,
    QStackedWidget,
    QWidget,
)

from gui.album.series_note import SeriesNote
from gui.exchange.sheet_table import SheetTable
from gui.flow_layout import FlowLayout
from gui.leaf.look_closer import LookCloserList
from gui.segmented import Segmented
from gui.series.issue_table import IssueTable
from gui.series.known import FILTERS, Facts
from gui.series.share_bar import ShareBar
from gui.theme import XS, L, M, S
from gui.widgets import Card, ElidedLabel, EmptyState, Label, ScrollColumn, column, row

TABS = ("Rows", "Varieties", "Details")
ROWS, VARIETIES, DETAILS = range(len(TABS))
FACT_PX, LOOK_PX, FIND_PX = 104, 304, 152
FIND_AFTER_MS = 60


class SeriesCard(Card):
    """Shows `Facts`; what it offers beside them is put into `self.buttons` by its owner."""

    tab_changed = Signal(int)

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent, "card", (L, L, L, L), S)
        self._facts: Facts | None = None
        self._build_head()
        self._build_facts()
        self.note = SeriesNote(self)
        self.box.addWidget(self.note)
        self.box.addSpacing(XS)
        self.box.addLayout(self._build_tabs())
        self.pages = QStackedWidget(self)
        self.table = IssueTable(self)
        self.pages.addWidget(self._build_rows())
        self.pages.addWidget(self._build_varieties())
        self.details = SheetTable(
            "Mints, designs, compositions and sources",
            ("What", "Name", "How to tell it", "Rests on"),
            (104, 200, 300, 160),
            self,
        )
        self.pages.addWidget(self.details)
        self.box.addWidget(self.pages, 1)
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(FIND_AFTER_MS)
        self._timer.timeout.connect(self._find)
        for place in range(len(TABS)):
            QShortcut(QKeySequence(f"Alt+{place + 1}"), self, lambda at=place: self.show_tab(at))

    # ---- building -----------------------------------------------------------------------------

    def _build_head(self) -> None:
        head = row(spacing=S)
        words = column(spacing=0)
        self.title = ElidedLabel("", "title", self)
        words.addWidget(self.title)
        self.beside = ElidedLabel("", "mute", self)
        words.addWidget(self.beside)
        head.addLayout(words, 1)
        self.buttons = row(spacing=S)
        head.addLayout(self.buttons)
        head.setAlignment(self.buttons, Qt.AlignmentFlag.AlignTop)
        self.box.addLayout(head)
        share = row(spacing=M)
        self.bar = ShareBar(self)
        self.bar.setFixedWidth(160)
        share.addWidget(self.bar)
        self.shares = ElidedLabel("", "strong_small", self)
        share.addWidget(self.shares, 1)
        self.box.addLayout(share)

    def _build_facts(self) -> None:
        self._fact_lines: list[tuple[QWidget, Label, ElidedLabel]] = []
        box = column(spacing=XS)
        for _ in range(4):
            line = QWidget(self)
            beside = row(line, spacing=S)
            name = Label("", "mute", line)
            name.setFixedWidth(FACT_PX)
            text = ElidedLabel("", "body", line)
            beside.addWidget(name)
            beside.addWidget(text, 1)
            box.addWidget(line)
            self._fact_lines.append((line, name, text))
        self.box.addLayout(box)

    def _build_tabs(self) -> FlowLayout:
        """On two lines where there is little room."""
        line = FlowLayout(spacing_x=L, spacing_y=S)
        self.tabs = Segmented(TABS, "What of it", self)
        self.tabs.choose(0)
        self.tabs.chosen.connect(self.show_tab)
        for place, button in enumerate(self.tabs.buttons):
            button.setMinimumWidth(bold_width(button) + 2 * M)
            button.setToolTip(f"{TABS[place]} (Alt+{place + 1})")
        line.addWidget(self.tabs)
        self.finding = QWidget(self)
        beside = row(self.finding, spacing=S)
        self.search = QLineEdit(self.finding)
        self.search.setProperty("kind", "search")
        self.search.setPlaceholderText("Find in the rows")
        self.search.setAccessibleName("Find in the rows: a date, a mint, proof")
        self.search.setToolTip("Find in the rows: a date, a mint, proof (Ctrl+F)")
        self.search.setFixedWidth(FIND_PX)
        self.search.textChanged.connect(lambda _text: self._timer.start())
        beside.addWidget(self.search)
        self.kept = Segmented(FILTERS, "Rows that rest on", self.finding)
        self.kept.choose(0)
        self.kept.setToolTip("Which rows (Alt+F for the next)")
        self.kept.chosen.connect(lambda _place: self._find())
        for button in self.kept.buttons:
            button.setMinimumWidth(bold_width(button) + 2 * M)
        beside.addWidget(self.kept)
        self.count = Label("", "small", self.finding)
        beside.addWidget(self.count)
        line.addWidget(self.finding)
        QShortcut(QKeySequence("Alt+F"), self, self._next_kept)
        return line

    def _build_rows(self) -> QWidget:
        self.row_pages = QStackedWidget(self)
        page = QWidget(self)
        box = column(page, spacing=S)
        box.addWidget(self.table, 1)
        self.row_source = ElidedLabel("", "small", page)
        box.addWidget(self.row_source)
        self.table.selectionModel().currentRowChanged.connect(lambda *_: self._show_source())
        self.row_pages.addWidget(page)
        self.no_rows = EmptyState(
            "No row is like that", "Other words, or all rows.", "Show all rows", parent=self
        )
        self.no_rows.acted.connect(self._show_all)
        self.row_pages.addWidget(self.no_rows)
        return self.row_pages

    def _build_varieties(self) -> QWidget:
        self.variety_pages = QStackedWidget(self)
        both = QWidget(self)
        box = row(both, spacing=L)
        self.varieties = SheetTable(
            "Varieties and signs",
            ("Name", "Kind", "Known on", "In rolls", "Rests on"),
            (148, 92, 96, 88, 96),
            both,
        )
        self.varieties.selectionModel().currentRowChanged.connect(self._show_look)
        box.addWidget(self.varieties, 1)
        scroll = ScrollColumn(both, (0, 0, S, 0), S)
        scroll.setFixedWidth(LOOK_PX)
        self.look = LookCloserList(scroll.inside)
        scroll.box.addWidget(self.look)
        scroll.box.addStretch(1)
        box.addWidget(scroll)
        self.variety_pages.addWidget(both)
        self.variety_pages.addWidget(
            EmptyState(
                "No varieties are recorded",
                "Those that collectors look for can be added in a copy of your own.",
                parent=self,
            )
        )
        return self.variety_pages

    # ---- what is shown ------------------------------------------------------------------------

    def show_facts(self, facts: Facts) -> None:
        """Show a series."""
        self._facts = facts
        self.title.show_text(facts.title)
        self.beside.show_text(facts.beside)
        self.bar.show_parts(facts.parts, facts.shares)
        self.shares.show_text(facts.shares)
        for place, (line, name, text) in enumerate(self._fact_lines):
            is_there = place < len(facts.facts)
            line.setVisible(is_there)
            if is_there:
                name.setText(facts.facts[place][0])
                text.show_text(facts.facts[place][1])
                text.setAccessibleName(": ".join(facts.facts[place]))
        self.note.show_text(facts.note)
        for place, count in ((ROWS, len(facts.rows)), (VARIETIES, len(facts.varieties))):
            button = self.tabs.buttons[place]
            button.setText(f"{TABS[place]}  {count:,}")
            button.setMinimumWidth(bold_width(button) + 2 * M)
        self.table.show_issues(facts.rows)
        self.details.show_rows(facts.details)
        self.varieties.show_rows([line.cells for line in facts.varieties])
        self.variety_pages.setCurrentIndex(0 if facts.varieties else 1)
        if not facts.varieties:
            self.look.fill(())
        self._find()

    def show_tab(self, place: int) -> None:
        """Rows, varieties, or designs and metals."""
        self.tabs.choose(place)
        self.pages.setCurrentIndex(place)
        self.finding.setVisible(place == ROWS)
        self.tab_changed.emit(place)

    def _show_look(self, current: QModelIndex, _before: QModelIndex) -> None:
        facts = self._facts
        if facts is not None and 0 <= current.row() < len(facts.varieties):
            self.look.fill((facts.varieties[current.row()].look,))

    def _show_source(self) -> None:
        """What the row one is on rests on, in full: its column has little room."""
        self.row_source.show_text(self.table.current_source)

    def _find(self) -> None:
        self._timer.stop()
        typed = self.search.text()
        self.table.show_kept(typed, FILTERS[max(0, self.kept.choice())])
        shown, every = self.table.shown, len(self._facts.rows) if self._facts else 0
        self.count.setText("" if shown == every else f"{shown:,} of {every:,}")
        self.row_pages.setCurrentIndex(0 if shown or not every else 1)
        self._show_source()

    def _show_all(self) -> None:
        self.search.clear()
        self.kept.choose(0)
        self._find()
        self.table.setFocus(Qt.FocusReason.OtherFocusReason)

    def _next_kept(self) -> None:
        self.show_tab(ROWS)
        self.kept.choose((self.kept.choice() + 1) % len(FILTERS))
        self._find()

    def focus_find(self) -> None:
        """On to the line that finds rows."""
        self.show_tab(ROWS)
        self.search.setFocus(Qt.FocusReason.OtherFocusReason)
        self.search.selectAll()


def bold_width(button: QPushButton) -> int:
    """How wide the words of a button are once it is chosen, logical pixels."""
    font = button.font()
    font.setBold(True)
    return QFontMetrics(font).horizontalAdvance(button.text())
