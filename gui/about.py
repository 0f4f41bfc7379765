"""What the program is, and what its figures are not."""

from PySide6.QtWidgets import QDialog, QWidget

from gui.theme import XL, L, S
from gui.widgets import Label, PrimaryButton, column, row

LINES = (
    "Slotleaf shows a date-and-mint set as the album it lives in, fills it from your own coins, "
    "and prints what is still missing.",
    "Values are estimates, not appraisals. Facts of the series carry their sources; what is not "
    "known stays empty.",
    "Free software under the MIT licence. Fonts: Noto Sans, DejaVu Sans, Droid Sans Fallback. "
    "Icons: Lucide.",
)


class AboutDialog(QDialog):
    """A few plain lines."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        from importlib.metadata import PackageNotFoundError, version

        self.setWindowTitle("About Slotleaf")
        self.setFixedWidth(440)
        try:
            number = f"Version {version('slotleaf')}"
        except PackageNotFoundError:
            number = "Run from its source folder"
        box = column(self, (XL, XL, XL, L), S)
        box.addWidget(Label("Slotleaf", "title", self))
        box.addWidget(Label(number, "small", self))
        for line in LINES:
            box.addSpacing(S)
            box.addWidget(Label(line, "body", self, wraps=True))
        box.addSpacing(L)
        buttons = row()
        buttons.addStretch(1)
        close = PrimaryButton("Close", self)
        close.setDefault(True)
        close.clicked.connect(self.accept)
        buttons.addWidget(close)
        box.addLayout(buttons)

    @classmethod
    def ask(cls, parent: QWidget | None) -> None:
        """Show it until it is closed."""
        dialog = cls(parent)
        dialog.exec()
        dialog.deleteLater()
