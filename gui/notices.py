"""Lines the window says: work that goes on, why a collection cannot be changed, what went wrong."""

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtWidgets import QProgressBar, QWidget

from gui.theme import M, S
from gui.widgets import Band, QuietButton, column, row

TOLD_FOR_MS = 12_000


class TopBands(QWidget):
    """Under the bar: why one can only look, and the work under way with its Cancel."""

    cancel_asked = Signal()

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setProperty("kind", "bar")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self._box = column(self, (M, 0, M, S), S)
        self.read_only = Band(self)
        self.work = Band(self)
        self.bar = QProgressBar(self.work)
        self.bar.setTextVisible(False)
        self.bar.setFixedWidth(160)
        self.bar.setAccessibleName("How far the work is")
        self.cancel = QuietButton("Cancel", self.work)
        self.cancel.clicked.connect(self.cancel_asked)
        line = self.work.layout()
        if line is not None:
            line.addWidget(self.bar)
            line.addWidget(self.cancel)
        for band in (self.read_only, self.work):
            band.hide()
            self._box.addWidget(band)
        self._fit()

    def show_read_only(self, reason: str) -> None:
        """Say why the collection can only be looked at; "" for one that can be changed."""
        sentence = reason if not reason or reason.endswith(".") else f"{reason}."
        self.read_only.say(f"Only to look at: {sentence}" if reason else "")
        self._fit()

    def show_work(self, is_busy: bool, doing: str, can_cancel: bool) -> None:
        """Show what goes on, until it is done."""
        self.bar.setRange(0, 0)
        self.cancel.setVisible(can_cancel)
        self.work.say(f"{doing} …" if is_busy else "")
        self._fit()

    def show_share(self, share: float, doing: str) -> None:
        """How far the work is, 0 to 1."""
        self.bar.setRange(0, 1000)
        self.bar.setValue(round(share * 1000))
        if doing:
            self.work.label.setText(f"{doing} …")

    def _fit(self) -> None:
        self.setVisible(not (self.read_only.isHidden() and self.work.isHidden()))


class BottomBand(QWidget):
    """At the foot: what went wrong, until it is dismissed; what went well, for a while."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setProperty("kind", "bar")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        box = row(self, (M, S, M, S), S)
        self.band = Band(self, dismiss="Dismiss")
        self.band.dismissed.connect(self.clear)
        box.addWidget(self.band)
        self._is_failure = False
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(TOLD_FOR_MS)
        self._timer.timeout.connect(self.clear)
        self.hide()

    @property
    def text(self) -> str:
        """What is said now."""
        return "" if self.isHidden() else self.band.label.text()

    def show_failure(self, text: str) -> None:
        """Stays until it is dismissed or something goes well."""
        self._timer.stop()
        self._say(text, is_failure=True)

    def show_told(self, text: str) -> None:
        """Goes by itself."""
        self._say(text, is_failure=False)
        self._timer.start()

    def on_success(self) -> None:
        """Something went well: an old failure needs no more reading."""
        if self._is_failure:
            self.clear()

    def clear(self) -> None:
        """Say nothing."""
        self._is_failure = False
        self.band.say("")
        self.hide()

    def _say(self, text: str, is_failure: bool) -> None:
        self._is_failure = is_failure
        self.band.setProperty("kind", "fault_band" if is_failure else "band")
        self.band.style().unpolish(self.band)
        self.band.style().polish(self.band)
        self.band.say(("⚠  " if is_failure else "") + text)
        self.show()
