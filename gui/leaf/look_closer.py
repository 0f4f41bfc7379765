"""“Look closer” of the slot card: the disc with its spots, and the list that speaks of them.

What is still open comes first, its markers numbered as on the disc; pointing at either picks the
other out. What is settled follows in a quiet line.
"""

import html
from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import partial

from PySide6.QtCore import QEvent, QRectF, Qt, Signal
from PySide6.QtGui import QColor, QEnterEvent, QFocusEvent, QKeyEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from core.app.views import LookCloser, MarkerLine
from gui.leaf.card_forms import CodeForm
from gui.leaf.card_parts import ShortList
from gui.leaf.spot_disc import EvidenceKey, SpotBadge, SpotDisc, spots_of
from gui.theme import XS, M, S, current_palette, set_style
from gui.widgets import Card, Label, QuietButton, clear_layout, column, row

MOST_LINES, MOST_MARKERS = 3, 8
"""How many lines, and markers in them, are shown before the rest is asked for."""
_ODDS = {"findable": "findable in rolls", "possible": "possible in rolls"}
_NONE: frozenset[int] = frozenset()


class MarkerRow(QWidget):
    """A marker: its badge, its place and what it says, and what is seen. `hovered` tells 0 too."""

    hovered = Signal(int)

    def __init__(self, marker: MarkerLine, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.marker = marker
        self.is_picked = False
        box = row(self, (XS, XS, XS, XS), S)
        self._badge = SpotBadge(marker, self)
        box.addWidget(self._badge, 0, Qt.AlignmentFlag.AlignTop)
        words = column(spacing=0)
        words.setContentsMargins(0, 2, 0, 0)
        head = row(spacing=S)
        place = marker.place[:1].upper() + marker.place[1:]
        head.addWidget(Label(place, "body", self, wraps=True), 1)
        says = Label(str(marker.evidence), "small", self)
        head.addWidget(says, 0, Qt.AlignmentFlag.AlignTop)
        words.addLayout(head)
        words.addWidget(Label(marker.see, "mute", self, wraps=True, selectable=True))
        box.addLayout(words, 1)
        self.setAccessibleName(spoken(marker))

    def pick(self, is_picked: bool) -> None:
        """Let the row stand out."""
        if is_picked != self.is_picked:
            self.is_picked = is_picked
            self._badge.ground = current_palette().select if is_picked else ""
            self._badge.update()
            self.update()

    def enterEvent(self, event: QEnterEvent) -> None:
        super().enterEvent(event)
        self.hovered.emit(self.marker.number)

    def leaveEvent(self, event: QEvent) -> None:
        super().leaveEvent(event)
        self.hovered.emit(0)

    def paintEvent(self, event: QPaintEvent) -> None:
        if not self.is_picked:
            return
        painter = QPainter(self)
        try:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(QColor(current_palette().select))
            painter.drawRoundedRect(QRectF(self.rect()), 6, 6)
        finally:
            painter.end()


class LookEntry(QWidget):
    """One thing to look for: its name, how likely it is, and its markers.

    A stop of the Tab key while it is open; `pointed` then tells the spots to pick out. A variety
    also shows its own code; where codes can be given, F2 or a press asks for one.
    """

    pointed = Signal(object)
    """The numbers to pick out, as a frozenset."""
    code_given = Signal(object)
    """What is to be its own code: the entry's form, whose `field` holds it; "" for none."""

    def __init__(
        self, entry: LookCloser, parent: QWidget | None = None, gives_codes: bool = False
    ) -> None:
        super().__init__(parent)
        self.entry = entry
        self.code_button: QuietButton | None = None
        self.code_form: CodeForm | None = None
        self._code_at = 0
        self.rows: list[MarkerRow] = []
        box = self._column = column(self, (XS, XS, XS, XS), 0)
        odds = _ODDS.get(entry.odds, entry.odds)
        beside = " · ".join(part for part in (odds, entry.known) if part)
        box.addWidget(
            Label(entry.name, "strong_small" if entry.is_open else "mute", self, wraps=True)
        )
        if beside:
            box.addWidget(
                Label(beside if entry.is_open else entry.known, "small", self, wraps=True)
            )
        if entry.variety is not None:
            self._show_code(entry, gives_codes)
        if entry.is_open:
            self._show_markers(entry)
            self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self._tell_aloud()
        tips = [] if entry.is_open else [spoken(m) for m in entry.markers] or [told(entry)]
        if entry.source:
            tips.append(f"Source: {entry.source}")
        self.setToolTip("<br>".join(html.escape(tip) for tip in tips if tip))

    def _tell_aloud(self) -> None:
        entry = self.entry
        beside = " · ".join(filter(None, (_ODDS.get(entry.odds, entry.odds), entry.known)))
        coded = [f"own code {entry.code}"] if entry.code else []
        told = (entry.name, beside, *coded, *map(spoken, entry.markers))
        self.setAccessibleName(". ".join(told))

    def _show_markers(self, entry: LookCloser) -> None:
        box = self._column
        for marker in entry.markers:
            line = MarkerRow(marker, self)
            line.hovered.connect(self._on_hovered)
            self.rows.append(line)
            box.addWidget(line)
        if not entry.markers and told(entry):
            box.addWidget(Label(told(entry), "body", self, wraps=True, selectable=True))

    def _show_code(self, entry: LookCloser, gives_codes: bool) -> None:
        """A quiet line with the own code; a button where one can be given."""
        box = self._column
        if not gives_codes:
            if entry.code:
                box.addWidget(Label(f"Own code {entry.code}", "small", self, wraps=True))
            return
        line = row(margins=(0, XS, 0, XS), spacing=XS)
        self.code_button = QuietButton("", self, "small_field")
        self.code_button.setToolTip("Give the variety a code of your own (F2)")
        self.code_button.clicked.connect(self.ask_code)
        line.addWidget(self.code_button)
        line.addStretch(1)
        box.addLayout(line)
        self._code_at = box.count()
        self._show_own_code()

    def _show_own_code(self) -> None:
        if self.code_button is not None:
            code = self.entry.code
            told = f"Own code {code}" if code else "Own code…"
            self.code_button.setText(told.replace("&", "&&"))
            self.code_button.setAccessibleName(f"{told}, {self.entry.name}. Press to change.")

    def take_code(self, code: str) -> None:
        """Another own code was kept, or none: show it, and stand on the entry again."""
        self.entry = replace(self.entry, code=code)
        self._show_own_code()
        self._tell_aloud()
        if self.code_form is not None:
            self.code_form.hide()
        takes_keys = self.focusPolicy() & Qt.FocusPolicy.TabFocus
        (self if takes_keys or self.code_button is None else self.code_button).setFocus(
            Qt.FocusReason.OtherFocusReason
        )

    def ask_code(self) -> None:
        """Ask for the own code, below the name."""
        if self.code_button is None:
            return
        if self.code_form is None:
            self.code_form = CodeForm(self)
            self.code_form.given.connect(lambda: self.code_given.emit(self.code_form))
            self.code_form.closed.connect(self.code_button.setFocus)
            self._column.insertWidget(self._code_at, self.code_form)
        self.code_form.open_form([self.entry.code])

    def event(self, event: QEvent) -> bool:
        is_key = isinstance(event, QKeyEvent) and event.key() == Qt.Key.Key_F2
        if is_key and event.type() is QEvent.Type.ShortcutOverride and self.code_button is not None:
            event.accept()  # the key means the code here, and not the album's name
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_F2 and self.code_button is not None:
            self.ask_code()
            event.accept()
            return
        super().keyPressEvent(event)

    @property
    def numbers(self) -> frozenset[int]:
        """The spots of its markers."""
        return frozenset(m.number for m in self.entry.markers if m.number)

    def pick(self, numbers: frozenset[int]) -> None:
        """Let the rows of these spots stand out."""
        for line in self.rows:
            line.pick(line.marker.number in numbers)

    def _on_hovered(self, number: int) -> None:
        self.pointed.emit(frozenset({number}) if number else self._at_rest())

    def _at_rest(self) -> frozenset[int]:
        return self.numbers if self.hasFocus() else _NONE

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.pointed.emit(self.numbers)
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.pointed.emit(_NONE)
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        if not self.hasFocus():
            return
        painter = QPainter(self)
        try:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.setPen(QPen(QColor(current_palette().accent), 2))
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), 6, 6)
        finally:
            painter.end()


class LookCloserList(QWidget):
    """The whole section: disc and key on a plain ground, and below them the list.

    `gives_codes`: own codes of varieties can be given here; `code_given` tells the entry and form.
    `shows_all`: nothing waits behind “Show n more”.
    """

    code_given = Signal(object, object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.gives_codes, self.shows_all = False, False
        box = column(self, spacing=M)
        self.ground = Card(self, "inset", (XS, XS, XS, S), XS)
        self.disc = SpotDisc(self.ground)
        self.disc.pointed.connect(lambda number: self._pick({number} if number else ()))
        self.key = EvidenceKey(self.ground)
        self.ground.box.addWidget(self.disc)
        self.ground.box.addWidget(self.key)
        box.addWidget(self.ground)
        self._lines = column(spacing=0)
        box.addLayout(self._lines)
        self.entries: list[LookEntry] = []

    def fill(self, lines: Sequence[LookCloser]) -> None:
        """Show these lines, of which the first few at once."""
        clear_layout(self._lines)
        self.entries = []
        if lines:
            makers = [partial(self._entry, line) for line in lines]
            at_once = len(lines) if self.shows_all else shown_at_once(lines)
            shown = ShortList(makers, at_once, S, self)
            shown.unfolded.connect(self._show_spots)
            self._lines.addWidget(shown)
        self._show_spots()

    def _entry(self, line: LookCloser, parent: QWidget) -> QWidget:
        entry = LookEntry(line, parent, self.gives_codes)
        entry.pointed.connect(self._pick)
        entry.code_given.connect(lambda form: self.code_given.emit(line, form))
        self.entries.append(entry)
        return entry

    def _show_spots(self) -> None:
        """The spots and shapes of what is listed, no others."""
        shown = [entry.entry for entry in self.entries if entry.entry.is_open]
        spots = spots_of(shown)
        self.disc.show_spots(spots)
        self.disc.setVisible(bool(spots))
        used = {marker.evidence for line in shown for marker in line.markers}
        self.key.show_used(used)
        self.key.setVisible(bool(used))
        set_style(self.ground, "kind", "inset" if spots else "clear")
        self.ground.setVisible(bool(used))

    def _pick(self, numbers: Iterable[int]) -> None:
        picked = frozenset(numbers)
        self.disc.pick_out(picked)
        for entry in self.entries:
            entry.pick(picked)


def shown_at_once(lines: Sequence[LookCloser]) -> int:
    """How many lines come before “Show n more”: few where each has many markers, but one."""
    markers = 0
    for at, line in enumerate(lines[:MOST_LINES]):
        markers += len(line.markers) if line.is_open else 0
        if at and markers > MOST_MARKERS:
            return at
    return min(len(lines), MOST_LINES)


def spoken(marker: MarkerLine) -> str:
    """A marker in one line: 1 mint mark: a second D below left, decides."""
    number = f"{marker.number} " if marker.number else ""
    return f"{number}{marker.place}: {marker.see}, {marker.evidence}"


def told(entry: LookCloser) -> str:
    """Where and what to look for, where no markers tell it."""
    return ": ".join(part for part in (entry.where, entry.look) if part)
