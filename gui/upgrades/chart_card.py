"""A chart with the table of the same figures behind or below it, and a way to keep both as PDF."""

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtGui import QAction, QKeySequence, QShortcut
from PySide6.QtWidgets import QHeaderView, QWidget

from core.planning.drawn import Drawn
from core.printing.checklist import Paper
from core.printing.curve_page import CURVE_PAPERS, CurveTable
from gui.search.plain_table import PlainTable
from gui.theme import S
from gui.upgrades.chart import HIGH_PX, NOTHING, BudgetChart
from gui.widgets import MenuButton, QuietButton, column, row

if TYPE_CHECKING:
    from core.printing.curve_page import CurveSheet

Page = Callable[[str], "CurveSheet"]
"""Makes the page of a chart; it is given the collection's name."""
KEEP_KEY, TABLE_KEY, PAPER_KEY = "Alt+D", "Alt+T", "Alt+F"
TWO_LINES_PX = 48
KEEP_TIP = f"The chart with its table on paper ({KEEP_KEY})"


class FittedTable(PlainTable):
    """A table as wide as its card: words have the room that is left, figures share it."""

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(name, parent)
        self.setWordWrap(True)

    def _fit(self) -> None:
        super()._fit()
        head, mode = self.horizontalHeader(), QHeaderView.ResizeMode.Stretch
        columns = range(self.rows.columnCount())
        if columns and self._texts:
            head.setSectionResizeMode(self._texts - 1, mode)
        elif columns and sum(map(head.sectionSize, columns)) < self.viewport().width():
            head.setSectionResizeMode(mode)


class ChartWithTable(QWidget):
    """The chart; its table in its place (Alt+T), or below it where `has_both`.

    The button *Save as PDF…* works once there is a curve; until then it says why it does not. Its
    key is the workspace's, which says the reason as well.
    """

    keep_asked = Signal()

    def __init__(
        self,
        name: str,
        parent: QWidget | None = None,
        high_px: int = HIGH_PX,
        is_choosing: bool = True,
        has_both: bool = False,
    ) -> None:
        super().__init__(parent)
        self._has_both, self._is_for_now = has_both, False
        self.why_not = "There is no curve yet."
        box = column(self, spacing=S)
        self.chart = BudgetChart(name, self, high_px, is_choosing)
        box.addWidget(self.chart)
        table = f"{name}, as a table"
        self.table = FittedTable(table, self)
        self.table.horizontalHeader().setResizeContentsPrecision(40)
        if has_both:
            self.table.verticalHeader().setDefaultSectionSize(TWO_LINES_PX)
        else:
            self.table.setFixedHeight(high_px)
        foot = row(spacing=S)
        foot.addStretch(1)
        self.behind = QuietButton("Table", self, "quiet")
        self.behind.setCheckable(True)
        self.behind.setShortcut(TABLE_KEY)
        self.behind.setToolTip(f"The table behind the curve ({TABLE_KEY})")
        self.behind.setAccessibleName(f"{name}: the table behind the curve")
        self.behind.toggled.connect(lambda _is_on: self._show())
        self.behind.setVisible(not has_both)
        foot.addWidget(self.behind)
        self.pdf = QuietButton("Save as PDF…", self, "link")
        self.pdf.setAccessibleName(f"{name}: save as PDF")
        self.pdf.clicked.connect(self.keep_asked)
        foot.addWidget(self.pdf)
        foot.addWidget(self._build_papers())
        if has_both:
            box.addLayout(foot)
            box.addWidget(self.table, 1)
            box.addStretch()  # takes the room where nothing is shown
        else:
            box.addWidget(self.table)
            box.addLayout(foot)
        self.show_none(self.why_not)

    def _build_papers(self) -> MenuButton:
        from gui.checklist.preview import default_paper

        self.paper = default_paper()
        self.papers = MenuButton("on", self.paper.shown_name, self)
        self.papers.setToolTip(f"The paper of the PDF file ({PAPER_KEY})")
        for paper in CURVE_PAPERS:
            action = QAction(paper.shown_name, self.papers.choices)
            action.triggered.connect(partial(self.choose_paper, paper))
            self.papers.choices.addAction(action)
        shortcut = QShortcut(QKeySequence(PAPER_KEY), self.papers)
        shortcut.activated.connect(self.papers.showMenu)
        return self.papers

    def choose_paper(self, paper: Paper, _is_checked: bool = False) -> None:
        """Save on this paper from here on."""
        self.paper = paper
        self.papers.show_value(paper.shown_name)

    @property
    def has_curve(self) -> bool:
        """Whether anything is drawn."""
        return len(self.chart.drawn.stairs) > 1 or len(self.chart.drawn.beside) > 1

    def show_curve(self, drawn: Drawn, table: CurveTable) -> None:
        """Show a curve and its figures."""
        self._is_for_now = False
        self.chart.show_curve(drawn)
        self.table.show_rows(table.heads, table.rows, texts=table.texts)
        self.behind.setEnabled(self.has_curve)
        self.pdf.setEnabled(self.has_curve)
        self.papers.setEnabled(self.has_curve)
        self._say_tip(KEEP_TIP)
        self._show()

    def show_none(self, why_not: str, is_for_now: bool = False) -> None:
        """Show no curve, for this reason; its room stays where another comes soon."""
        self._is_for_now = is_for_now
        self.chart.show_curve(NOTHING)
        self.table.show_rows((), ())
        self.behind.setEnabled(is_for_now)
        if not is_for_now:
            self.behind.setChecked(False)
        self.refuse(why_not)
        self._show()

    def refuse(self, why_not: str) -> None:
        """There is no page to be had, for this reason, whatever is drawn."""
        self.why_not = why_not
        self.pdf.setEnabled(False)
        self.papers.setEnabled(False)
        self._say_tip(why_not)

    def _say_tip(self, text: str) -> None:
        self.pdf.setToolTip(text)
        self.pdf.setAccessibleDescription(text)

    def _show(self) -> None:
        is_table, has_room = self.behind.isChecked(), self.has_curve or self._is_for_now
        self.chart.setVisible(has_room and (self._has_both or not is_table))
        self.table.setVisible(has_room and (self._has_both or is_table))
