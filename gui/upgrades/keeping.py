"""Keeps the curve that is looked at as a PDF file: asks for a name, and writes it in a worker."""

from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from PySide6.QtCore import QObject, QStandardPaths, Signal
from PySide6.QtWidgets import QWidget

from core.app.work import Progress
from gui.desk import Desk
from gui.file_choice import choose_new_file
from gui.upgrades.chart_card import ChartWithTable, Page

if TYPE_CHECKING:
    from core.app.collection import Collection


class Keepable(Protocol):
    """A card with a curve that can be kept; `file_name` without its ending."""

    shown: ChartWithTable
    file_name: str

    def page(self) -> Page | None:
        """What makes the page, None where there is no curve."""


class Keeping(QObject):
    """Writes pages, one at a time."""

    said = Signal(str)

    def __init__(self, desk: Desk, parent: QWidget) -> None:
        super().__init__(parent)
        self._desk, self._window = desk, parent

    def keep(self, card: Keepable) -> None:
        """Ask for a name and write the page there, or say why there is none."""
        page = card.page()
        if page is None:
            self.said.emit(card.shown.why_not)
            return
        documents = QStandardPaths.StandardLocation.DocumentsLocation
        start = Path(QStandardPaths.writableLocation(documents)) / f"{card.file_name}.pdf"
        to = choose_new_file(
            self._window, "Save the curve", str(start), "PDF files (*.pdf)", ".pdf"
        )
        if to is None:
            return
        paper = card.shown.paper

        def question(collection: "Collection", _progress: Progress) -> Path:
            from core.app.plan_pages import curve_pdf
            from core.printing.whole_file import write_whole

            data = curve_pdf(page(collection.name), paper, collection.today)
            write_whole(to, data, "PDF", "The curve")
            return to

        self._desk.ask_long(
            question,
            lambda path: self.said.emit(f"The curve is in {path}."),
            self._desk.show_failure,
            "Drawing the curve",
        )
