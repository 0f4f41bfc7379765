"""The editor's third page: varieties, and on which issues each is known."""

from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from gui.series.columns import grid_columns
from gui.series.grid import Grid
from gui.series.sheets import VARIETIES, Checked, Sheets
from gui.theme import S
from gui.widgets import Label, SectionLabel, column, row

TOLD = (
    "What collectors look for beyond date and mint. “Known on” names the issues: "
    "date=1955; mint=N, S. Nothing there means every issue."
)


class VarietiesPage(QWidget):
    """Shows `Sheets`; what is typed is told, and comes back as other sheets."""

    edited = Signal(str, object, str)
    """VARIETIES, the new table, and what was done."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        box = column(self, spacing=S)
        line = row(spacing=S)
        line.addWidget(SectionLabel("Varieties", self))
        line.addWidget(Label(TOLD, "small", self, wraps=True), 1)
        box.addLayout(line)
        self.grid = Grid("Varieties", grid_columns(VARIETIES), self)
        self.grid.edited.connect(partial(self.edited.emit, VARIETIES))
        box.addWidget(self.grid, 1)

    @property
    def grids(self) -> dict[str, Grid]:
        """Its tables by their parts."""
        return {VARIETIES: self.grid}

    def show_sheets(self, sheets: Sheets) -> None:
        """Show other sheets."""
        self.grid.show_rows(sheets.varieties)

    def show_faults(self, checked: Checked, _is_begun: bool = True) -> None:
        """Mark faulty cells."""
        self.grid.show_faults(checked.of(VARIETIES))
