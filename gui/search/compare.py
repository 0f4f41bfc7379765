"""Compare: which of several varieties the coin in hand is, by ticking what is seen on it.

Candidates are columns, markers are rows; a key ticks the row stood on and goes to the next one.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFocusEvent, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QDialog, QFrame, QWidget

from core.app.compare import (
    Comparison,
    MarkerRow,
    Outcome,
    Standing,
    Tick,
    comparison,
    open_choices,
    outcome,
    set_compared,
    settled_coin,
    ticks_of,
    was_one_of,
    with_ticks,
)
from core.app.views import MarkerLine
from core.lookup.line import OwnCodes
from core.model.coin import Coin
from core.model.issue import Evidence, Face, Facet, Series, VarietyId
from gui.leaf.spot_disc import Spot, SpotBadge, SpotDisc, paint_spot
from gui.segmented import Segmented
from gui.theme import XL, XS, L, M, S, current_palette, set_style
from gui.widgets import (
    Card,
    ElidedLabel,
    KeyHint,
    Label,
    PrimaryButton,
    QuietButton,
    ScrollColumn,
    column,
    key_line,
    row,
)

MOST_COLUMNS = 5
"""Candidates shown beside one another; a coin that may be more needs its date first."""
WORDS_PX, COLUMN_PX, TICK_PX = 300, 118, 256
MOST_HIGH_PX, DISC_PX = 740, 300
TICKS = (Tick.SEEN, Tick.NOT_SEEN, Tick.CANNOT_TELL)
_STRONGEST = (Evidence.DECIDES, Evidence.SUPPORTS, Evidence.EXCLUDES)
_BY_LETTER = {
    "+": Tick.SEEN, "y": Tick.SEEN, "-": Tick.NOT_SEEN, "n": Tick.NOT_SEEN,
    "?": Tick.CANNOT_TELL, "c": Tick.CANNOT_TELL,
}  # fmt: skip
_KEYS = (
    ("↑ ↓", "rows"),
    ("+", "seen"),
    ("-", "not seen"),
    ("?", "cannot tell"),
    ("Backspace", "untick"),
)


@dataclass(frozen=True, slots=True)
class Subject:
    """One question about a coin: its varieties, or the values of a facet."""

    title: str
    compared: Comparison
    left_out: int = 0


@dataclass(frozen=True, slots=True)
class Compared:
    """The coin with what was settled and its ticks, and whether it is kept or only counted."""

    coin: Coin
    is_kept: bool = True


def subjects_of(
    series: Series,
    coin: Coin,
    chosen: Sequence[VarietyId] = (),
    is_one_of: bool = False,
    codes: OwnCodes | None = None,
) -> tuple[Subject, ...]:
    """What can be compared on a coin, what was named first; () where nothing tells apart."""
    varieties = _dated(series, comparison(series, coin, chosen, "", is_one_of, codes))
    found = [("Varieties", varieties)]
    found += [
        (facet[:1].upper() + facet[1:], comparison(series, coin, facet=facet))
        for facet in open_choices(series, coin)
    ]
    return tuple(_narrow(title, one) for title, one in found if one.candidates and one.rows)


def subjects_again(
    series: Series, coin: Coin, codes: OwnCodes | None = None
) -> tuple[Subject, ...]:
    """What can be compared on a coin that was kept: the set that was kept with it."""
    if was_one_of(coin.note):
        return subjects_of(series, coin, set_compared(series, coin), is_one_of=True, codes=codes)
    told = [variety for variety, _ in coin.varieties]  # those that fell stand there too
    return subjects_of(series, coin, told, codes=codes)


def _dated(series: Series, compared: Comparison) -> Comparison:
    """Varieties of more than one date or letter bear it in their names."""
    told = []
    for one in compared.candidates:
        variety = series.variety(one.variety) if one.variety else None
        applies = dict(variety.applies) if variety else {}
        dates, mints = (applies.get(facet, ()) for facet in (Facet.DATE, Facet.MINT))
        letters = [] if len(mints) > 1 else [m for m in mints if m != "P"]
        told.append("-".join([*dates[:1], *letters]))
    if len(set(told)) < 2:
        return compared
    named = [
        replace(one, name=f"{date} {one.name}".strip())
        for one, date in zip(compared.candidates, told, strict=True)
    ]
    return replace(compared, candidates=tuple(named))


def _narrow(title: str, compared: Comparison) -> Subject:
    """As many columns as there is room for, and the markers that speak of them, what decides first.

    Spots are numbered anew in that order.
    """
    many = len(compared.candidates)
    rows = [replace(one, evidence=one.evidence[:MOST_COLUMNS]) for one in compared.rows]
    rows = sorted((one for one in rows if any(one.evidence)), key=_rank)
    numbers = {n: at for at, n in enumerate(dict.fromkeys(r.number for r in rows if r.number), 1)}
    shown = tuple(replace(one, number=numbers.get(one.number, 0)) for one in rows)
    # where some are left out one of them may be it: the last column standing settles nothing
    is_one_of = compared.is_one_of and many <= MOST_COLUMNS
    narrowed = Comparison(compared.candidates[:MOST_COLUMNS], shown, is_one_of)
    return Subject(title, narrowed, max(0, many - MOST_COLUMNS))


def _weight(marker: MarkerRow) -> Evidence:
    """The most that a marker says of any candidate."""
    return min((says for says in marker.evidence if says is not None), key=_STRONGEST.index)


def _rank(marker: MarkerRow) -> int:
    return _STRONGEST.index(_weight(marker))


def settled(
    series: Series, coin: Coin, subjects: Sequence[Subject], ticks: Mapping[str, Tick]
) -> Coin:
    """The coin after all that was ticked, every tick in its note, those of other rows too."""
    note, rows = coin.note, [row for one in subjects for row in one.compared.rows]
    shown = {row.key for row in rows}
    for place, _, see in (key.partition(": ") for key in ticks if key not in shown):
        rows.append(MarkerRow(place, see, Face.OBVERSE, 0, 0, ()))
    one_of: Comparison | None = None
    for one in subjects:
        if one.compared.is_one_of:
            one_of = one.compared
        if any(row.key in ticks for row in one.compared.rows):
            coin = settled_coin(series, coin, one.compared, ticks)
    candidates = one_of.candidates if one_of is not None else ()
    kept = with_ticks(note, Comparison(candidates, tuple(rows), one_of is not None), ticks)
    return replace(coin, note=kept)


class _Evidence(QWidget):
    """What a marker says of one candidate: its shape and word; nothing where it says nothing."""

    def __init__(self, says: Evidence | None, of: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._says = says
        self.is_fallen = False
        self.setFixedWidth(COLUMN_PX)
        self.setMinimumHeight(SpotBadge.SIDE_PX)
        self.setToolTip(f"{says} {of}" if says else "")

    def paintEvent(self, event: QPaintEvent) -> None:
        if self._says is None:
            return
        colours = current_palette()
        painter = QPainter(self)
        try:
            painter.setOpacity(0.4 if self.is_fallen else 1.0)
            middle = QPointF(XS + 7, self.height() / 2)
            paint_spot(painter, middle, 0, self._says, colours, colours.card, radius=6)
            font = painter.font()
            font.setPixelSize(12)
            painter.setFont(font)
            painter.setPen(QColor(colours.ink))
            words = QRectF(XS + 18, 0, self.width() - XS - 18, self.height())
            painter.drawText(words, Qt.AlignmentFlag.AlignVCenter, str(self._says))
        finally:
            painter.end()


class TickRow(QWidget):
    """A marker with what it says of each candidate, and its tick."""

    ticked = Signal(object)
    """The Tick, or None where it was taken off."""
    step_asked = Signal(int)
    reached = Signal()

    def __init__(
        self, marker: MarkerRow, names: Sequence[str], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.marker, self._names = marker, names
        self.tick: Tick | None = None
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        box = row(self, (S, S, S, S), S)
        weight = _weight(marker)
        line = MarkerLine(
            marker.number, marker.place, marker.see, weight, marker.face, marker.x, marker.y
        )
        box.addWidget(SpotBadge(line, self), 0, Qt.AlignmentFlag.AlignTop)
        holder = QWidget(self)
        holder.setFixedWidth(WORDS_PX - SpotBadge.SIDE_PX - S)
        words = column(holder, spacing=0)
        place = marker.place[:1].upper() + marker.place[1:]
        words.addWidget(Label(place, "body", holder, wraps=True))
        words.addWidget(Label(marker.see, "mute", holder, wraps=True))
        box.addWidget(holder)
        self.cells = [
            _Evidence(says, name, self) for says, name in zip(marker.evidence, names, strict=True)
        ]
        for cell in self.cells:
            box.addWidget(cell)
        box.addStretch(1)
        frame = QFrame(self)
        frame.setProperty("kind", "inset")
        frame.setFixedWidth(TICK_PX)
        inner = row(frame, (2, 2, 2, 2), 2)
        self.buttons: list[QuietButton] = []
        for one in TICKS:
            button = QuietButton(str(one), frame, "segment")
            button.setCheckable(True)
            button.setFocusPolicy(Qt.FocusPolicy.NoFocus)  # the row itself has the keys
            button.setAutoDefault(False)
            button.clicked.connect(lambda _on=False, one=one: self._press(one))
            inner.addWidget(button, len(str(one)))  # bold when it is ticked
            self.buttons.append(button)
        box.addWidget(frame, 0, Qt.AlignmentFlag.AlignVCenter)
        self._speak()

    def _press(self, tick: Tick) -> None:
        self.setFocus(Qt.FocusReason.MouseFocusReason)
        self.ticked.emit(None if self.tick is tick else tick)

    def show_tick(self, tick: Tick | None) -> None:
        """Show what was ticked."""
        self.tick = tick
        for one, button in zip(TICKS, self.buttons, strict=True):
            button.setChecked(one is tick)
        self._speak()

    def show_standings(self, standings: Sequence[Standing]) -> None:
        """Let the columns that fell step back."""
        for cell, standing in zip(self.cells, standings, strict=True):
            cell.is_fallen = standing is Standing.FALLEN
            cell.update()

    def _speak(self) -> None:
        says = [
            f"{evidence} {name}"
            for evidence, name in zip(self.marker.evidence, self._names, strict=True)
            if evidence is not None
        ]
        ticked = str(self.tick) if self.tick else "not ticked"
        self.setAccessibleName(". ".join([self.marker.key, *says, ticked]))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key, letter = event.key(), event.text().casefold()
        if key == Qt.Key.Key_Up:
            self.step_asked.emit(-1)
        elif key == Qt.Key.Key_Down:
            self.step_asked.emit(1)
        elif letter in _BY_LETTER:
            self.ticked.emit(_BY_LETTER[letter])
            self.step_asked.emit(1)
        elif key in (Qt.Key.Key_Backspace, Qt.Key.Key_Delete):
            self.ticked.emit(None)
        elif key == Qt.Key.Key_Space:
            at = TICKS.index(self.tick) + 1 if self.tick else 0
            self.ticked.emit(TICKS[at] if at < len(TICKS) else None)
        else:
            super().keyPressEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self.setFocus(Qt.FocusReason.MouseFocusReason)

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.reached.emit()
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        colours = current_palette()
        painter = QPainter(self)
        try:
            painter.setPen(QPen(QColor(colours.line), 1))
            y = self.height() - 0.5
            painter.drawLine(QPointF(S, y), QPointF(self.width() - S, y))
            if self.hasFocus():
                painter.setRenderHint(QPainter.RenderHint.Antialiasing)
                painter.setPen(QPen(QColor(colours.accent), 2))
                painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), 6, 6)
        finally:
            painter.end()


class _Head(QWidget):
    """A candidate over its column: its name, how likely it is, how it stands."""

    def __init__(self, name: str, beside: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFixedWidth(COLUMN_PX)
        box = column(self, (XS, 0, XS, 0), 0)
        self.name = Label(name, "strong_small", self, wraps=True)
        box.addWidget(self.name)
        box.addWidget(ElidedLabel(beside, "small", self))
        self.standing = Label("", "said", self, wraps=True)
        box.addWidget(self.standing)
        box.addStretch(1)

    def show_standing(self, standing: Standing, reason: str) -> None:
        """Show how the candidate stands, and why."""
        is_fallen = standing is Standing.FALLEN
        set_style(self.name, "look", "said" if is_fallen else "strong_small")
        font = self.name.font()
        font.setStrikeOut(is_fallen)
        self.name.setFont(font)
        self.standing.setText(str(standing) if standing is not Standing.OPEN else "open")
        set_style(self.standing, "look", "accent" if standing is Standing.IS_IT else "said")
        self.setToolTip(reason)
        self.setAccessibleName(
            ". ".join(filter(None, (self.name.text(), self.standing.text(), reason)))
        )


class CompareTable(QWidget):
    """The columns and rows of one subject. `ticked` tells the row's key and its Tick or None."""

    ticked = Signal(str, object)
    reached = Signal(int)
    """The number of the spot of the row stood on."""

    def __init__(self, subject: Subject, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.subject = subject
        box = column(self, spacing=0)
        names = [one.name for one in subject.compared.candidates]
        head = row(margins=(S + WORDS_PX + S, 0, S, S), spacing=S)
        self.heads: list[_Head] = []
        for one in subject.compared.candidates:
            beside = " · ".join((*one.codes, _ODDS.get(one.odds, one.odds)))
            column_head = _Head(one.name, beside, self)
            self.heads.append(column_head)
            head.addWidget(column_head, 0, Qt.AlignmentFlag.AlignTop)
        head.addStretch(1)
        box.addLayout(head)
        self.area = ScrollColumn(self, spacing=0)
        self.rows: list[TickRow] = []
        for marker in subject.compared.rows:
            line = TickRow(marker, names, self.area.inside)
            line.ticked.connect(lambda tick, key=marker.key: self.ticked.emit(key, tick))
            line.step_asked.connect(lambda by, line=line: self._step(line, by))
            line.reached.connect(lambda line=line: self._on_reached(line))
            self.rows.append(line)
            self.area.box.addWidget(line)
        self.area.box.addStretch(1)
        box.addWidget(self.area, 1)

    def sizeHint(self) -> QSize:
        wide = self.area.inside.sizeHint().width()
        head = max((one.sizeHint().height() for one in self.heads), default=0) + S
        high = sum(line.sizeHint().height() for line in self.rows)
        return QSize(wide + L, head + high + S)

    def _step(self, line: TickRow, by: int) -> None:
        at = self.rows.index(line) + by
        if 0 <= at < len(self.rows):
            self.rows[at].setFocus(Qt.FocusReason.OtherFocusReason)

    def _on_reached(self, line: TickRow) -> None:
        self.area.ensureWidgetVisible(line, 0, S)
        self.reached.emit(line.marker.number)

    def begin(self) -> None:
        """Stand on the first row that has no tick yet."""
        first = next((line for line in self.rows if line.tick is None), self.rows[0])
        first.setFocus(Qt.FocusReason.OtherFocusReason)

    def show_ticks(self, ticks: Mapping[str, Tick]) -> Outcome:
        """Show the ticks and what they make of the candidates."""
        told = outcome(self.subject.compared, ticks)
        for head, standing, why in zip(self.heads, told.standings, told.reasons, strict=True):
            head.show_standing(standing, why)
        for line in self.rows:
            line.show_tick(ticks.get(line.marker.key))
            line.show_standings(told.standings)
        return told


_ODDS = {"findable": "findable in rolls", "possible": "possible in rolls"}


def _spots(compared: Comparison) -> list[Spot]:
    """The numbered places on the disc, each with all that is to be seen there."""
    found: dict[int, list[MarkerRow]] = {}
    for one in compared.rows:
        if one.number:
            found.setdefault(one.number, []).append(one)
    spots = []
    for number, rows in sorted(found.items()):
        says = min(map(_weight, rows), key=_STRONGEST.index)
        places = " / ".join(dict.fromkeys(r.place for r in rows))
        spots.append(
            Spot(
                number, rows[0].face, rows[0].x, rows[0].y, says, places,
                tuple(r.see for r in rows),
            )
        )  # fmt: skip
    return spots


class CompareDialog(QDialog):
    """Ticks, and what they say; Enter takes the coin as it then is."""

    def __init__(
        self,
        parent: QWidget | None,
        name: str,
        series: Series,
        coin: Coin,
        subjects: Sequence[Subject],
        action: str = "Keep it",
        may_count: bool = True,
    ) -> None:
        super().__init__(parent)
        self._series, self._coin, self._subjects = series, coin, tuple(subjects)
        self.ticks: dict[str, Tick] = ticks_of(coin.note)
        self.answer: Compared | None = None
        self.setWindowTitle("Compare")
        self._box = column(self, (XL, XL, XL, L), M)
        self._build_head(name)
        self._card = Card(self, "card", (S, M, S, S), 0)
        self.tables = [CompareTable(one, self._card) for one in self._subjects]
        for table in self.tables:
            table.ticked.connect(self._on_ticked)
            table.reached.connect(self._on_reached)
            self._card.box.addWidget(table)
        self._box.addWidget(self._card, 1)
        self.outcome = Label("", "heading", self, wraps=True)
        self.outcome.setAccessibleName("What the ticks say")
        self._box.addWidget(self.outcome)
        self._build_foot(action, may_count)
        self._may_count = may_count
        self.choose(0)
        wide = max(table.sizeHint().width() for table in self.tables) + 2 * (XL + S)
        high = max(table.sizeHint().height() for table in self.tables) + 350
        self.resize(max(wide, 800), min(high, MOST_HIGH_PX))

    def _build_head(self, name: str) -> None:
        line = row(spacing=L)
        words = column(spacing=S)
        words.addWidget(Label(f"Compare: {name}", "heading", self, wraps=True))
        told = "Tick what you see on the coin. What cannot be it falls away; the ticks are kept."
        words.addWidget(Label(told, "mute", self, wraps=True))
        left_out = self._subjects[0].left_out
        if left_out:
            more = f"{left_out} more are open: write the date and letter first to see them."
            words.addWidget(Label(more, "small", self, wraps=True))
        self.choice = Segmented([one.title for one in self._subjects], "What to compare", self)
        self.choice.chosen.connect(self.choose)
        self.choice.setVisible(len(self._subjects) > 1)
        words.addWidget(self.choice, 0, Qt.AlignmentFlag.AlignLeft)
        words.addStretch(1)
        line.addLayout(words, 1)
        self.disc = SpotDisc(self)
        self.disc.setFocusPolicy(Qt.FocusPolicy.NoFocus)  # the rows tell all of it
        self.disc.setFixedWidth(DISC_PX)
        line.addWidget(self.disc, 0, Qt.AlignmentFlag.AlignTop)
        self._box.addLayout(line)

    def _build_foot(self, action: str, may_count: bool) -> None:
        line = row(spacing=S)
        line.addLayout(key_line(self, _KEYS), 1)
        cancel = QuietButton("Not now", self)
        cancel.clicked.connect(self.reject)
        self.count_button = QuietButton("Count it", self)
        self.count_button.clicked.connect(lambda: self._give(False))
        self.count_button.setVisible(may_count)
        self.give_button = PrimaryButton(action, self)
        self.give_button.setDefault(True)
        self.give_button.clicked.connect(lambda: self._give(True))
        for key, button in (
            ("Esc", cancel), ("Shift+Enter", self.count_button), ("Enter", self.give_button),
        ):  # fmt: skip
            if button is not self.count_button or may_count:
                line.addWidget(KeyHint(key, self), 0, Qt.AlignmentFlag.AlignVCenter)
            button.setAutoDefault(False)
            line.addWidget(button, 0, Qt.AlignmentFlag.AlignVCenter)
        self._box.addLayout(line)

    def choose(self, place: int) -> None:
        """Show one of the subjects."""
        self.choice.choose(place)
        for at, table in enumerate(self.tables):
            table.setVisible(at == place)
        spots = _spots(self._subjects[place].compared)
        self.disc.show_spots(spots)
        self.disc.setVisible(bool(spots))
        self._show()
        self.tables[place].begin()

    @property
    def table(self) -> CompareTable:
        """The subject shown."""
        return self.tables[max(0, self.choice.choice())]

    def _show(self) -> None:
        told = [table.show_ticks(self.ticks) for table in self.tables]
        self.outcome.setText(told[max(0, self.choice.choice())].text)

    def _on_ticked(self, key: str, tick: object) -> None:
        if isinstance(tick, Tick):
            self.ticks[key] = tick
        else:
            self.ticks.pop(key, None)
        self._show()

    def _on_reached(self, number: int) -> None:
        self.disc.pick_out({number} if number else ())

    def _give(self, is_kept: bool) -> None:
        coin = settled(self._series, self._coin, self._subjects, self.ticks)
        self.answer = Compared(coin, is_kept)
        self.accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        is_enter = event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter)
        if is_enter and event.modifiers() & Qt.KeyboardModifier.ShiftModifier:
            if self._may_count:
                self._give(False)
            return
        super().keyPressEvent(event)

    @classmethod
    def ask(
        cls,
        parent: QWidget | None,
        name: str,
        series: Series,
        coin: Coin,
        subjects: Sequence[Subject],
        action: str = "Keep it",
        may_count: bool = True,
    ) -> Compared | None:
        """The coin as compared, None when it was put off."""
        dialog = cls(parent, name, series, coin, subjects, action, may_count)
        dialog.exec()
        answer = dialog.answer
        dialog.deleteLater()
        return answer
