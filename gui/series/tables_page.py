"""The editor's pages of varieties, of signs and of totals: tables with a line on what they hold."""

from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from gui.series.columns import grid_columns
from gui.series.grid import Grid
from gui.series.sheets import SIGNS, TOTALS, VARIETIES, Checked, Sheets
from gui.theme import M, S
from gui.widgets import Label, SectionLabel, column, row

_TOLD = {
    VARIETIES: (
        "Varieties",
        "What collectors look for beyond date and mint. “Known on” names the issues: "
        "date=1955; mint=N, S. Nothing there means every issue.",
    ),
    SIGNS: (
        "Signs",
        "How one design, composition or choice is told from another: composition, which is bronze.",
    ),
    TOTALS: (
        "Figures not split",
        "A mintage known only for a date and mint together, where several rows share it.",
    ),
}


class TablesPage(QWidget):
    """Shows some tables of `Sheets`; what is typed is told, and comes back as other sheets."""

    edited = Signal(str, object, str)
    """A part, its new table, and what was done."""

    def __init__(self, parent: QWidget, *parts: str) -> None:
        super().__init__(parent)
        self.grids: dict[str, Grid] = {}
        box = column(self, spacing=S)
        for part in parts:
            title, told = _TOLD[part]
            if self.grids:
                box.addSpacing(M)
            line = row(spacing=S)
            line.addWidget(SectionLabel(title, self))
            line.addWidget(Label(told, "small", self, wraps=True), 1)
            box.addLayout(line)
            grid = self.grids[part] = Grid(title, grid_columns(part), self)
            grid.edited.connect(partial(self.edited.emit, part))
            box.addWidget(grid, 1)

    def show_sheets(self, sheets: Sheets) -> None:
        """Show other sheets."""
        for part, grid in self.grids.items():
            grid.show_rows(sheets.table(part))
            if part == TOTALS:
                grid.show_choices("mint", sheets.ids("mint"))

    def show_faults(self, checked: Checked, _is_begun: bool = True) -> None:
        """Mark faulty cells."""
        for part, grid in self.grids.items():
            grid.show_faults(checked.of(part))
