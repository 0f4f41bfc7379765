"""The report of a box on its own: of one in hand as it stands, or of one that is finished."""

from PySide6.QtWidgets import QDialog, QWidget

from core.model.search import Box
from gui.desk import Desk
from gui.search.report_page import ReportPage
from gui.theme import XL, L, S
from gui.widgets import Label, column


class ReportDialog(QDialog):
    """Shows the report and saves it."""

    def __init__(self, parent: QWidget | None, desk: Desk, box: Box) -> None:
        super().__init__(parent)
        self.setWindowTitle(f"Box {box.number}: report")
        self.resize(860, 720)
        outer = column(self, (XL, XL, XL, L), S)
        stands = "is finished" if box.is_done else "as it stands"
        outer.addWidget(Label(f"Box {box.number} {stands}", "title", self))
        self.page = ReportPage(desk, self)
        self.page.closed.connect(self.accept)
        outer.addWidget(self.page, 1)
        desk.closed.connect(self.reject)
        self.page.show_box(box.id, box.number)

    def done(self, result: int) -> None:
        self.page.stop()
        super().done(result)

    @classmethod
    def ask(cls, parent: QWidget | None, desk: Desk, box: Box) -> None:
        """Show it until it is closed."""
        dialog = cls(parent, desk, box)
        dialog.exec()
        dialog.deleteLater()
