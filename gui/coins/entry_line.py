"""The line on top of the coins: type what a coin is, see how it reads, Enter adds it."""

from collections.abc import Sequence
from functools import partial

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QAction, QGuiApplication, QKeyEvent, QKeySequence
from PySide6.QtWidgets import QLineEdit, QWidget

from core.app.slot_card import coin_text
from core.errors import BadEntry
from core.lookup.parse import Entry, parse_entry
from core.model.coin import Coin
from core.model.issue import Series, SeriesId
from core.model.label import describe
from gui.theme import L, M, S, set_style
from gui.widgets import Card, KeyHint, Label, MenuButton, column, row

EXAMPLE = "Add a coin: 1943-D vf20"
HINT = "date and letter, then what you know: 43-D vf20 · 1982 d 3.11g · 3 x 58d corroded · 44? g4"


def read_line(
    text: str, in_use: Sequence[Series], known: Sequence[Series], prefer: SeriesId | None
) -> Entry:
    """Read an entry as of the collection's series, or of one it does not have yet.

    Raises BadEntry with what is wrong as of the collection's own.
    """
    try:
        return parse_entry(text, in_use or known, prefer)
    except BadEntry:
        if not in_use:
            raise
        others = [s for s in known if all(s.id != mine.id for mine in in_use)]
        try:
            return parse_entry(text, others)
        except BadEntry:
            pass
        raise


def reading_text(entry: Entry, series: Series) -> str:
    """reads as 1943-D, Jefferson nickels: VF-20, a spare."""
    coin = entry.coin
    kind = f"a lot of {coin.quantity:,}" if coin.is_lot else "a spare"
    flag = ", to verify" if coin.is_flagged else ""
    told = f"reads as {describe(series, coin.description)}, {series.title}: "
    told += f"{coin_text(coin)}{flag}, {kind}"
    seen = [
        f"{variety.name} {finding}"
        for code, finding in coin.varieties
        if (variety := series.variety(code)) is not None
    ]
    if coin.weight_mg is not None:
        seen.append(f"{coin.weight_mg / 1000:.2f} g")
    told += "".join(f", {word}" for word in seen)
    return f"{told} ({entry.said})" if entry.said else told


class EntryLine(Card):
    """Gives a coin, read and sound, or a sentence on what cannot be read."""

    add_asked = Signal(object)
    """A Coin without a number."""
    left_down = Signal()
    """The down key: on to the table."""
    rows_pasted = Signal()
    """Several lines were pasted: one would not hold them."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent, "card", (L, M, L, M), S)
        self._in_use: tuple[Series, ...] = ()
        self._known: tuple[Series, ...] = ()
        self._prefer: SeriesId | None = None
        self._entry: Entry | None = None
        self._done = ""
        self.field = QLineEdit(self)
        self.field.setPlaceholderText(EXAMPLE)
        self.field.setAccessibleName("Add a coin")
        self.field.setMaxLength(400)
        self.field.textChanged.connect(self._on_typed)
        self.field.returnPressed.connect(self._on_enter)
        self.field.installEventFilter(self)
        self.series = MenuButton("Series", "", self)
        self.series.hide()
        self._words = Label("", "small", self, wraps=True)
        line = row(spacing=S)
        line.addWidget(self.field, 1)
        line.addWidget(self.series)
        line.addWidget(KeyHint("Enter", self))
        box = column(spacing=S)
        box.addLayout(line)
        box.addWidget(self._words)
        self.box.addLayout(box)
        self._on_typed("")

    def show_series(self, in_use: Sequence[Series], known: Sequence[Series]) -> None:
        """The collection's own series, and all that are known."""
        self._in_use, self._known = tuple(in_use), tuple(known)
        ids = [s.id for s in in_use]
        if self._prefer not in ids:
            self._prefer = ids[0] if ids else None
        self.series.choices.clear()
        for series in in_use:
            action = QAction(series.title.replace("&", "&&"), self.series.choices)
            action.triggered.connect(partial(self.prefer, series.id))
            self.series.choices.addAction(action)
        self._show_preferred()
        self._on_typed(self.field.text())

    def prefer(self, series: SeriesId, _is_checked: bool = False) -> None:
        """Read entries that name no denomination as of this series."""
        self._prefer = series
        self._show_preferred()
        self._on_typed(self.field.text())
        self.field.setFocus(Qt.FocusReason.OtherFocusReason)

    @property
    def in_use(self) -> tuple[Series, ...]:
        """The collection's own series."""
        return self._in_use

    @property
    def preferred(self) -> SeriesId | None:
        """The series meant where an entry names none."""
        return self._prefer

    def _show_preferred(self) -> None:
        title = next((s.title for s in self._in_use if s.id == self._prefer), "")
        self.series.show_value(title)
        self.series.setVisible(len(self._in_use) > 1)

    @property
    def reading(self) -> str:
        """What stands below the line."""
        return self._words.text()

    @property
    def entry(self) -> Entry | None:
        """What is typed, read; None where it cannot be."""
        return self._entry

    def _on_typed(self, text: str) -> None:
        self._entry = None
        if text.strip():
            self._done = ""
        if not text.strip() or not self._known:
            self._say(self._done or HINT)
            return
        try:
            entry = read_line(text, self._in_use, self._known, self._prefer)
        except BadEntry as fault:
            self._say(str(fault), "fault")
            return
        series = next(s for s in self._known if s.id == entry.series)
        self._entry = entry
        self._say(reading_text(entry, series), "accent")

    def _say(self, text: str, look: str = "small") -> None:
        set_style(self._words, "look", look)
        self._words.setText(text)

    def _on_enter(self) -> None:
        if self._entry is not None:
            self.add_asked.emit(self._entry.coin)

    def show_added(self, coin: Coin, text: str) -> None:
        """The coin is in the collection: the line is free for the next."""
        self._done = f"Added {text}, number {coin.id}."
        self.field.clear()
        self._on_typed("")

    def show_fault(self, text: str) -> None:
        """It was not added, and why."""
        self._say(text, "fault")

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress:
            is_paste = event.matches(QKeySequence.StandardKey.Paste)
            if is_paste and "\n" in QGuiApplication.clipboard().text().strip():
                self.rows_pasted.emit()
                return True
        return super().eventFilter(watched, event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Down:
            self.left_down.emit()
        elif event.key() == Qt.Key.Key_Escape and self.field.text():
            self.field.clear()
        else:
            super().keyPressEvent(event)
