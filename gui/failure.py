"""The only error box: what a fault of the program was, as a report to copy; the exception hook.

The report's text is made without Qt.
"""

import platform
import sys
import traceback
from collections.abc import Callable
from types import TracebackType

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QApplication, QDialog, QPlainTextEdit, QWidget

from gui.theme import L
from gui.widgets import Label, PrimaryButton, QuietButton, column, row

Hook = Callable[[type[BaseException], BaseException, TracebackType | None], object]


def report_text(error: BaseException) -> str:
    """What a developer needs to find the fault, as plain text."""
    lines = [
        "Slotleaf report",
        f"Python {platform.python_version()} on {platform.system()}",
        "",
        *(line.rstrip() for line in traceback.format_exception(error)),
    ]
    return "\n".join(lines)


class FailureDialog(QDialog):
    """Says that the program has a fault, and offers the report to copy."""

    def __init__(self, error: BaseException, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Slotleaf has a fault")
        self.resize(640, 420)
        box = column(self, (L, L, L, L), L)
        box.addWidget(Label("Something went wrong in Slotleaf", "heading", self))
        box.addWidget(
            Label(
                "Your collection is safe: a change is kept whole or not at all. You can go on. "
                "To have the fault mended, copy this report and send it to the developers.",
                "mute",
                self,
                wraps=True,
            )
        )
        self.report = QPlainTextEdit(report_text(error), self)
        self.report.setReadOnly(True)
        self.report.setAccessibleName("Report")
        box.addWidget(self.report, 1)
        buttons = row()
        copy = QuietButton("Copy the report", self)
        copy.clicked.connect(self._copy)
        done = PrimaryButton("Go on", self)
        done.clicked.connect(self.accept)
        done.setDefault(True)
        buttons.addWidget(copy)
        buttons.addStretch(1)
        buttons.addWidget(done)
        box.addLayout(buttons)

    @classmethod
    def ask(cls, parent: QWidget | None, error: BaseException) -> None:
        """Show the report until it is dismissed."""
        dialog = cls(error, parent)
        dialog.exec()
        dialog.deleteLater()

    def _copy(self) -> None:
        QApplication.clipboard().setText(self.report.toPlainText())


class ExceptionHook(QObject):
    """Brings exceptions that nobody caught to the main thread, and prints them too."""

    _raised = Signal(object)

    def __init__(self, show: Callable[[BaseException], None], parent: QObject) -> None:
        super().__init__(parent)
        self._show = show
        self._is_showing = False
        self._before: Hook = sys.excepthook
        self._raised.connect(self._on_raised)

    def install(self) -> None:
        """Take exceptions from now on."""
        sys.excepthook = self._take

    def remove(self) -> None:
        """Leave exceptions to whoever took them before."""
        sys.excepthook = self._before

    def _take(
        self, kind: type[BaseException], error: BaseException, trace: TracebackType | None
    ) -> None:
        if issubclass(kind, KeyboardInterrupt):
            self._before(kind, error, trace)
            QApplication.quit()
            return
        sys.__excepthook__(kind, error, trace)
        self._raised.emit(error)

    def _on_raised(self, error: BaseException) -> None:
        if self._is_showing:
            return  # one box at a time: a fault in a paint event comes again and again
        self._is_showing = True
        try:
            self._show(error)
        finally:
            self._is_showing = False
