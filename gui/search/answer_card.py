"""What the coin in hand is worth: glyphs before and after, the verdict in large type, the reasons.

The table and the look-up from everywhere share it.
"""

from collections.abc import Sequence

from PySide6.QtCore import QPointF, Qt, Signal
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QBoxLayout, QWidget

from core.app.look_up import Answer, Looked, Verdict
from core.glyph.codes import GlyphCode, state_of
from core.glyph.legend import spoken
from core.lookup.commands import CommandKind
from gui.paint import paint_glyph
from gui.theme import XL, XS, XXL, L, S, current_palette, set_style
from gui.widgets import (
    Card,
    Hairline,
    KeyHint,
    Label,
    QuietButton,
    clear_layout,
    column,
    row,
)

CLOSER_KEY = "Ctrl+Down"
MOST_READINGS = 3
GLYPH_PX, GAP_PX = 54, 56
_ALONE = {int(GlyphCode.SPACER)}


class Change(QWidget):
    """The slot's glyph before and after, an arrow between them, what each holds below it."""

    def __init__(self, parent: QWidget | None = None, glyph_px: int = GLYPH_PX) -> None:
        super().__init__(parent)
        self._px = glyph_px
        self._before = self._after = int(GlyphCode.SPACER)
        self._texts = ("", "")
        self._wide = glyph_px * 2 + GAP_PX * glyph_px // GLYPH_PX
        self.setFixedSize(self._wide + XXL, glyph_px + 44)

    def show_change(self, answer: Answer) -> None:
        """Show what an answer would do."""
        self._before, self._after = answer.before, answer.after
        self._texts = answer.before_text or "empty", answer.after_text or "empty"
        before, after = (_spoken(code) for code in (self._before, self._after))
        self.setAccessibleName(
            f"before: {before}, {self._texts[0]}; after: {after}, {self._texts[1]}"
        )
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        colours = current_palette()
        painter = QPainter(self)
        try:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            side, middle = self._px, self._px / 2 + 12
            left = XXL / 2 + side / 2
            right = self.width() - XXL / 2 - side / 2
            for at, code in ((left, self._before), (right, self._after)):
                paint_glyph(painter, code, at, middle, side, colours)
            self._arrow(painter, left + side / 2 + S, right - side / 2 - S, middle)
            font = self.font()
            font.setPixelSize(12)
            painter.setFont(font)
            painter.setPen(QColor(colours.mute))
            for at, text in zip((left, right), self._texts, strict=True):
                wide = side + GAP_PX
                fits = painter.fontMetrics().elidedText(text, Qt.TextElideMode.ElideRight, wide)
                box = painter.fontMetrics().boundingRect(fits)
                painter.drawText(QPointF(at - box.width() / 2, self.height() - 8), fits)
        finally:
            painter.end()

    @staticmethod
    def _arrow(painter: QPainter, start: float, end: float, y: float) -> None:
        colour = QColor(current_palette().mute)
        painter.setPen(QPen(colour, 2))
        painter.drawLine(QPointF(start, y), QPointF(end - 6, y))
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(colour)
        tip = [QPointF(end, y), QPointF(end - 8, y - 5), QPointF(end - 8, y + 5)]
        painter.drawPolygon(QPolygonF(tip))


class Reading(QWidget):
    """One reading's answer. `key` is the digit that means it, where the line asks."""

    closer_asked = Signal(object)
    """The Answer to look closer at."""

    def __init__(
        self, answer: Answer, parent: QWidget | None = None, key: str = "", is_narrow: bool = False
    ) -> None:
        super().__init__(parent)
        self.answer = answer
        outer: QBoxLayout = column(self, spacing=S) if is_narrow else row(self, spacing=XL)
        if answer.before not in _ALONE:
            change = Change(self, 34 if is_narrow else GLYPH_PX)
            change.show_change(answer)
            outer.addWidget(change, 0, Qt.AlignmentFlag.AlignVCenter)
        words = column(spacing=XS)
        head = row(spacing=S)
        if key:
            head.addWidget(KeyHint(key, self, is_written=True))
        verdict = str(answer.verdict) if answer.is_sure else f"{answer.verdict}, perhaps"
        self.verdict = Label(verdict, "heading" if is_narrow else "verdict", self, wraps=True)
        head.addWidget(self.verdict, 1)
        words.addLayout(head)
        self._add(words, answer.sentence, "sentence")
        self._add(words, answer.second, "beside_small")
        words.addSpacing(XS)
        more = " · ".join(filter(None, (answer.have_text, answer.more_text)))
        self._add(words, more, "mute")
        self._add(words, answer.said, "said")
        closer = row(spacing=S)
        self.closer = Label(answer.closer_text, "mute", self, wraps=True)
        closer.addWidget(self.closer, 1)
        if any(line.is_open for line in answer.closer) and not is_narrow:
            button = QuietButton("Look closer", self, "small_field")
            button.setToolTip("Where to look and what to see (Ctrl+Down)")
            button.clicked.connect(lambda: self.closer_asked.emit(answer))
            closer.addWidget(button)
        words.addLayout(closer)
        if not is_narrow:
            words.insertStretch(0, 1)
        words.addStretch(1)
        outer.addLayout(words, 1)
        self.setAccessibleName(spoken_answer(answer))

    def _add(self, words: QBoxLayout, text: str, look: str) -> None:
        if text:
            words.addWidget(Label(text, look, self, wraps=True, selectable=True))


def _spoken(code: int) -> str:
    state = state_of(code)
    return "" if state is None else spoken(state)


def spoken_answer(answer: Answer) -> str:
    """An answer in one line, as a screen reader says it."""
    told = (str(answer.verdict), answer.sentence, answer.second, answer.have_text)
    return ". ".join(part.rstrip(".") for part in (*told, answer.closer_text) if part)


class AnswerCard(Card):
    """The answers to the line: one, two side by side, or what it is told instead."""

    closer_asked = Signal(object)

    def __init__(self, parent: QWidget | None = None, empty: tuple[str, str] = ("", "")) -> None:
        """`empty` is what stands here while the line is empty: a title and a sentence."""
        super().__init__(parent, "card", (XL, L, XL, L), S)
        self.setMinimumHeight(184)
        self._empty = empty
        self.readings: list[Reading] = []
        self.top = Label("", "accent", self)
        self.box.addWidget(self.top)
        self._inside = QWidget(self)
        self._line = row(self._inside, spacing=L)
        self.box.addWidget(self._inside, 1)
        self.show_empty()

    # --- what is shown

    def show_empty(self, top: str = "") -> None:
        """Nothing is typed."""
        self._clear(top)
        self._say(*self._empty)

    def show_looked(self, looked: Looked, top: str = "") -> None:
        """The answer to what is typed."""
        self._clear(top)
        if looked.command is not None:
            text = looked.command.text
            note = {
                CommandKind.ROLL: "Enter goes there.",
                CommandKind.COUNT: "Enter counts it.",
            }[looked.command.kind]
            self._say(text[:1].upper() + text[1:], note, looked.said)
        elif looked.readings:
            self._show_readings(looked.readings, has_keys=looked.must_ask)
        elif looked.trouble:
            near = ", ".join(looked.neighbours)
            self._say("", looked.trouble, f"Struck nearby: {near}" if near else "")
        else:
            self._say("", "Go on typing: date, letter, what you see.")

    def show_kept(self, answers: Sequence[Answer], top: str) -> None:
        """A coin was kept: its answer stays, and what became of it stands above."""
        self._clear(top)
        self._show_readings(answers)

    def show_told(self, title: str, sentence: str = "", top: str = "") -> None:
        """Tell something that is no answer."""
        self._clear(top)
        self._say(title, sentence)

    def ask_which(self, looked: Looked) -> None:
        """Keeping depends on the reading: the digit says which."""
        self._clear("Which is it? Press its number; Esc goes back.")
        self._show_readings(looked.readings, has_keys=True, is_asked=True)

    @property
    def text(self) -> str:
        """All that is said, line by line."""
        labels = (one for one in self._inside.findChildren(Label) if not one.isHidden())
        return "\n".join(filter(None, [self.top.text(), *(one.text() for one in labels)]))

    def _clear(self, top: str) -> None:
        clear_layout(self._line)
        self._inside.hide()
        old, self._inside = self._inside, QWidget(self)
        self._line = row(self._inside, spacing=L)
        self.box.replaceWidget(old, self._inside)
        old.deleteLater()
        self.readings = []
        self.top.setText(top)
        self.top.setVisible(bool(top))

    def _show_readings(
        self, answers: Sequence[Answer], has_keys: bool = False, is_asked: bool = False
    ) -> None:
        shown = answers[:MOST_READINGS]
        is_narrow = len(shown) > 1
        for place, answer in enumerate(shown):
            if place:
                line = Hairline(self._inside)
                line.setFixedSize(1, 120)
                self._line.addWidget(line, 0, Qt.AlignmentFlag.AlignVCenter)
            key = str(place + 1) if has_keys and is_narrow else ""
            one = Reading(answer, self._inside, key, is_narrow)
            one.closer_asked.connect(self.closer_asked)
            self.readings.append(one)
            self._line.addWidget(one, 1)
        self._inside.show()
        set_style(self, "state", "asks" if is_asked else "")

    def _say(self, title: str, sentence: str, small: str = "") -> None:
        words = column(spacing=S)
        words.addStretch(1)
        if title:
            words.addWidget(Label(title, "heading", self._inside, wraps=True))
        words.addWidget(Label(sentence, "mute", self._inside, wraps=True))
        if small:
            words.addWidget(Label(small, "small", self._inside, wraps=True))
        words.addStretch(1)
        self._line.addLayout(words, 1)
        self._inside.show()
        set_style(self, "state", "")


def is_worth(answer: Answer) -> bool:
    """Whether it changes an album."""
    return answer.verdict in (Verdict.FILLS, Verdict.UPGRADE)
