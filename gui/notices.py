"""Lines the window says: why a collection cannot be changed, what goes on, what went wrong or well.

The first stands under the bar. The others float over the foot of the window, so that nothing else
moves when they come and go.
"""

from PySide6.QtCore import QEvent, QObject, Qt, QTimer, Signal
from PySide6.QtWidgets import QProgressBar, QSizePolicy, QWidget

from gui.theme import L, M, S
from gui.widgets import Band, QuietButton, column, row

TOLD_FOR_MS = 6_000
"""For a short line; a long one stays longer."""
LONG_LINE = 60
MOST_WIDE_PX = 640


class ReadOnlyBand(QWidget):
    """Why one can only look at the collection; hidden for one that can be changed."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setProperty("kind", "bar")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        box = row(self, (M, 0, M, S))
        self.band = Band(self)
        box.addWidget(self.band)
        self.hide()

    def show_reason(self, reason: str) -> None:
        """Say why; "" for a collection that can be changed."""
        sentence = reason if not reason or reason.endswith(".") else f"{reason}."
        says_so = "only look" in sentence
        self.band.say(sentence if says_so or not reason else f"Only to look at: {sentence}")
        self.setVisible(bool(reason))


class Notices(QWidget):
    """Floats at the foot: the work under way with its Cancel, and the last message."""

    cancel_asked = Signal()

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        box = column(self, spacing=S)
        self.work = self._build_work()
        self.message = Band(self, dismiss="Dismiss")
        self.message.dismissed.connect(self.clear)
        for band in (self.work, self.message):
            band.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
            band.hide()
            box.addWidget(band)
        self._is_failure = False
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.timeout.connect(self.clear)
        parent.installEventFilter(self)
        self.hide()

    def _build_work(self) -> Band:
        band = Band(self)
        self.bar = QProgressBar(band)
        self.bar.setTextVisible(False)
        self.bar.setFixedWidth(160)
        self.bar.setAccessibleName("How far the work is")
        self.cancel = QuietButton("Cancel", band)
        self.cancel.clicked.connect(self.cancel_asked)
        line = band.layout()
        if line is not None:
            line.addWidget(self.bar)
            line.addWidget(self.cancel)
        return band

    # ---- work ---------------------------------------------------------------------------------

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

    # ---- messages -----------------------------------------------------------------------------

    @property
    def text(self) -> str:
        """What is said now."""
        return self.message.label.text()

    def show_failure(self, text: str) -> None:
        """Stays until it is dismissed or something goes well."""
        self._timer.stop()
        self._say(text, is_failure=True)

    def show_told(self, text: str) -> None:
        """Goes by itself."""
        self._say(text, is_failure=False)
        self._timer.start(TOLD_FOR_MS * (1 + len(text) // LONG_LINE))

    def on_success(self) -> None:
        """Something went well: an old failure needs no more reading."""
        if self._is_failure:
            self.clear()

    def clear(self) -> None:
        """Say nothing."""
        self._is_failure = False
        self.message.say("")
        self._fit()

    def _say(self, text: str, is_failure: bool) -> None:
        self._is_failure = is_failure
        self.message.setProperty("kind", "fault_band" if is_failure else "band")
        self.message.style().unpolish(self.message)
        self.message.style().polish(self.message)
        self.message.say(("⚠  " if is_failure else "") + text)
        self._fit()

    # ---- place --------------------------------------------------------------------------------

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.Resize:
            self._fit()
        return False

    def _fit(self) -> None:
        """Stand at the foot, in the middle, as wide as the text asks within reason."""
        parent = self.parentWidget()
        if parent is None or (self.work.isHidden() and self.message.isHidden()):
            self.hide()
            return
        most_wide = min(MOST_WIDE_PX, parent.width() - 2 * L)
        asked = [_asked_width(band) for band in (self.work, self.message) if not band.isHidden()]
        wide = min(most_wide, max(asked))
        layout = self.layout()
        high = layout.totalHeightForWidth(wide) if layout is not None else 0
        if layout is not None and high < 0:
            high = layout.totalSizeHint().height()
        left = (parent.width() - wide) // 2
        self.setGeometry(left, parent.height() - high - S, wide, high)
        self.show()
        self.raise_()


def _asked_width(band: Band) -> int:
    """What a band takes with its text on one line, logical px."""
    box = band.layout()
    if box is None:
        return MOST_WIDE_PX
    text = band.label.fontMetrics().horizontalAdvance(band.label.text()) + S
    items = [item.widget() for item in map(box.itemAt, range(box.count())) if item is not None]
    beside = [w for w in items if w is not None and w is not band.label and not w.isHidden()]
    margins = box.contentsMargins()
    gap = max(0, box.spacing())
    rest = sum(max(w.sizeHint().width(), w.minimumWidth()) + gap for w in beside)
    return text + rest + margins.left() + margins.right()
