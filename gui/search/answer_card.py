"""What the coin in hand is worth: glyphs before and after, the verdict in large type, the reasons.

The table and the look-up from everywhere share it.
"""

import re
from collections.abc import Sequence

from PySide6.QtCore import QPointF, Qt, Signal
from PySide6.QtGui import QColor, QFont, QFontMetrics, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QBoxLayout, QWidget

from core.app.look_up import Answer, Looked
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
    column,
    row,
)

CLOSER_KEY = "Ctrl+Down"
SEEN_NOTE = "Enter counts it and does not keep it."
MOST_READINGS = 3
GLYPH_PX, GAP_PX = 54, 56
BESIDE_PX, SMALL_PX = 34, 24
"""Glyphs where two readings stand side by side, and where more do."""
TEXT_PX = 84
"""Room for what stands under a glyph: “no grade ▸ 20”."""
_ALONE = {int(GlyphCode.SPACER)}
_PLACE, _UNBROKEN = re.compile(r"\b(leaf|row) (?=\d)"), "\\1\u00a0"
"""A line of the sentence does not end between “row” and its number."""


class Change(QWidget):
    """The slot's glyph before and after, an arrow between them, what each holds below it."""

    def __init__(self, parent: QWidget | None = None, glyph_px: int = GLYPH_PX) -> None:
        super().__init__(parent)
        self._before = self._after = int(GlyphCode.SPACER)
        self._texts = ("", "")
        self.set_size(glyph_px)

    def set_size(self, glyph_px: int, has_texts: bool = True) -> None:
        """How large the glyphs are; without their texts they stand close together."""
        self._px, self._has_texts = glyph_px, has_texts
        apart = glyph_px + GAP_PX * glyph_px // GLYPH_PX
        side = max(glyph_px + XXL, TEXT_PX) if has_texts else glyph_px + XS
        self._side = side / 2
        self.setFixedSize(apart + side, glyph_px + (44 if has_texts else XS))

    def room_for_text(self) -> int:
        """Pixels that each of the texts may take: to the edge, and not into the other one."""
        apart, most = self.width() - 2 * self._side - XS, 2 * self._side - 2
        font = QFont(self.font())
        font.setPixelSize(12)
        wide = [min(QFontMetrics(font).horizontalAdvance(text), most) for text in self._texts]
        return int(most if sum(wide) / 2 <= apart else min(most, apart))

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
            side, middle = self._px, self._px / 2 + (12 if self._has_texts else XS / 2)
            left, right = self._side, self.width() - self._side
            for at, code in ((left, self._before), (right, self._after)):
                paint_glyph(painter, code, at, middle, side, colours)
            room = S if self._has_texts else XS
            self._arrow(painter, left + side / 2 + room, right - side / 2 - room, middle)
            if not self._has_texts:
                return
            font = self.font()
            font.setPixelSize(12)
            painter.setFont(font)
            painter.setPen(QColor(colours.mute))
            for at, text in zip((left, right), self._texts, strict=True):
                wide = self.room_for_text()
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
    """One reading's answer; made once and shown anew at every key, since making widgets is slow."""

    closer_asked = Signal(object)
    """The Answer to look closer at."""
    compare_asked = Signal()

    def __init__(self, parent: QWidget | None = None, is_narrow: bool = False) -> None:
        super().__init__(parent)
        self._answer: Answer | None = None
        self._is_narrow = is_narrow
        outer: QBoxLayout = column(self, spacing=S) if is_narrow else row(self, spacing=XL)
        self._change = Change(self, BESIDE_PX if is_narrow else GLYPH_PX)
        words = column(spacing=XS)
        if not is_narrow:
            outer.addWidget(self._change, 0, Qt.AlignmentFlag.AlignVCenter)
            words.addStretch(1)
        head = row(spacing=S)
        self._words, self._head, self._is_tight = words, head, False
        self._key = KeyHint("", self)
        self.verdict = Label("", "heading" if is_narrow else "verdict", self, wraps=True)
        top = Qt.AlignmentFlag.AlignTop if is_narrow else Qt.AlignmentFlag(0)
        head.addWidget(self._key, 0, top)
        head.addWidget(self.verdict, 1, top)
        if is_narrow:  # beside the verdict: below it there is no room in a small window
            head.addWidget(self._change, 0, top)
        words.addLayout(head)
        self._sentence = self._add(words, "sentence")
        self._second = self._add(words, "beside_small")
        words.addSpacing(XS)
        self._have = self._add(words, "mute")
        self._said = self._add(words, "said")
        closer = row(spacing=S)
        self.closer = Label("", "mute", self, wraps=True)
        closer.addWidget(self.closer, 1)
        self._button = QuietButton("Look closer", self, "small_field")
        self._button.setToolTip("Where to look and what to see (Ctrl+Down)")
        self._button.clicked.connect(self._on_closer)
        closer.addWidget(self._button)
        self._compare = QuietButton("Compare", self, "small_field")
        self._compare.setToolTip("Settle by its markers which it is (F4)")
        self._compare.clicked.connect(self.compare_asked)
        closer.addWidget(self._compare)
        words.addLayout(closer)
        words.addStretch(1)
        outer.addLayout(words, 1)
        self.hide()

    def _add(self, words: QBoxLayout, look: str) -> Label:
        label = Label("", look, self, wraps=True, selectable=True)
        words.addWidget(label)
        return label

    @property
    def answer(self) -> Answer:
        """What is shown."""
        assert self._answer is not None
        return self._answer

    def show_answer(
        self,
        answer: Answer,
        key: str = "",
        may_compare: bool = False,
        is_asked: bool = False,
        beside: int = 1,
    ) -> None:
        """Show another one; `key` is the digit that means it, where the line asks.

        `may_compare`: it is of the coin on the line, and of no other reading. `is_asked`: a line
        above asks which it is; what the sentence says too gives it its room. `beside`: how many
        stand side by side, this one included.
        """
        self._answer = answer
        if self._is_narrow:
            self._set_tight(beside > 2)
        self._change.setVisible(answer.before not in _ALONE)
        self._change.show_change(answer)
        self._key.setText(key)
        self._key.setVisible(bool(key))
        self.verdict.setText(answer.verdict_text)
        have = " · ".join(filter(None, (answer.have_text, answer.more_text)))
        for label, text in (
            (self._sentence, _PLACE.sub(_UNBROKEN, answer.sentence)),
            (self._second, answer.second),
            (self._have, have),
            (self._said, "" if is_asked else answer.said),
            (self.closer, answer.closer_text if answer.closer or not self._is_narrow else ""),
        ):
            label.setText(text)
            label.setVisible(bool(text))
        set_style(self.closer, "look", "sentence" if answer.rare else "mute")
        is_open = any(line.is_open for line in answer.closer)
        self._button.setVisible(is_open and not self._is_narrow)
        self._compare.setVisible(is_open and not self._is_narrow and may_compare)
        self.setAccessibleName(spoken_answer(answer))
        self.show()

    def _set_tight(self, is_tight: bool) -> None:
        """Where more than two stand side by side the glyphs go below the verdict."""
        if is_tight is self._is_tight:
            return
        self._is_tight = is_tight
        self._change.set_size(SMALL_PX if is_tight else BESIDE_PX, has_texts=not is_tight)
        here, there = (self._words, self._head) if is_tight else (self._head, self._words)
        there.removeWidget(self._change)
        here.insertWidget(1 if is_tight else 2, self._change, 0, Qt.AlignmentFlag.AlignTop)

    def _on_closer(self) -> None:
        if self._answer is not None:
            self.closer_asked.emit(self._answer)


def _spoken(code: int) -> str:
    state = state_of(code)
    return "" if state is None else spoken(state)


def spoken_answer(answer: Answer) -> str:
    """An answer in one line, as a screen reader says it."""
    told = (answer.verdict_text, answer.sentence, answer.second, answer.have_text)
    return ". ".join(part.rstrip(".") for part in (*told, answer.closer_text) if part)


class AnswerCard(Card):
    """The answers to the line: one, two side by side, or what it is told instead."""

    closer_asked = Signal(object)
    compare_asked = Signal()
    """Compare the coin on the line."""

    def __init__(self, parent: QWidget | None = None, empty: tuple[str, str] = ("", "")) -> None:
        """`empty` is what stands here while the line is empty: a title and a sentence."""
        super().__init__(parent, "card", (XL, L, XL, L), S)
        self.setMinimumHeight(204)
        self._empty = empty
        self.top = Label("", "accent", self)
        self.box.addWidget(self.top)
        self._wide = Reading(self)
        self._narrow = [Reading(self, is_narrow=True) for _ in range(MOST_READINGS)]
        self.box.addWidget(self._wide, 1)
        self._beside = QWidget(self)
        line = row(self._beside, spacing=L)
        self._between: list[Hairline] = []
        for place, one in enumerate(self._narrow):
            if place:
                hair = Hairline(self._beside)
                hair.setFixedSize(1, 120)
                line.addWidget(hair, 0, Qt.AlignmentFlag.AlignVCenter)
                self._between.append(hair)
            line.addWidget(one, 1)
        self.box.addWidget(self._beside, 1)
        self._told = self._build_told()
        self.box.addWidget(self._told, 1)
        for one in (self._wide, *self._narrow):
            one.closer_asked.connect(self.closer_asked)
            one.compare_asked.connect(self.compare_asked)
        self.show_empty()

    def _build_told(self) -> QWidget:
        told = QWidget(self)
        words = column(told, spacing=S)
        words.addStretch(1)
        self._title = Label("", "heading", told, wraps=True)
        self._sentence = Label("", "mute", told, wraps=True)
        self._small = Label("", "small", told, wraps=True)
        for label in (self._title, self._sentence, self._small):
            words.addWidget(label)
        words.addStretch(1)
        return told

    # --- what is shown

    def show_empty(self, top: str = "") -> None:
        """Nothing is typed."""
        self._clear(top)
        self._say(*self._empty)

    def show_looked(self, looked: Looked, top: str = "") -> None:
        """The answer to what is typed."""
        self._clear(top or (SEEN_NOTE if looked.is_seen else ""))
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
        self._show_readings(answers, is_kept=True)

    def show_told(self, title: str, sentence: str = "", top: str = "") -> None:
        """Tell something that is no answer."""
        self._clear(top)
        self._say(title, sentence)

    def ask_which(self, looked: Looked) -> None:
        """Keeping depends on the reading: the digit says which."""
        self._clear("Which is it? Press its number; Esc goes back.")
        self._show_readings(looked.readings, has_keys=True, is_asked=True)

    @property
    def readings(self) -> list[Reading]:
        """The answers shown."""
        return [one for one in (self._wide, *self._narrow) if not one.isHidden()]

    @property
    def text(self) -> str:
        """All that is said, line by line."""
        shown = (one for one in self.findChildren(Label) if one.isVisibleTo(self))
        told = "\n".join(filter(None, (one.text() for one in shown)))
        return told.replace("\u00a0", " ")

    def _clear(self, top: str) -> None:
        self.top.setText(top)
        self.top.setVisible(bool(top))

    def _show_readings(
        self,
        answers: Sequence[Answer],
        has_keys: bool = False,
        is_asked: bool = False,
        is_kept: bool = False,
    ) -> None:
        shown = answers[:MOST_READINGS]
        is_one = len(shown) == 1
        for place, one in enumerate(self._narrow):
            if is_one or place >= len(shown):
                one.hide()
            else:
                key = str(place + 1) if has_keys else ""
                one.show_answer(shown[place], key, is_asked=is_asked, beside=len(shown))
        for place, hair in enumerate(self._between):
            hair.setVisible(place + 1 < len(shown))
        if is_one:
            self._wide.show_answer(shown[0], may_compare=not is_kept)
        else:
            self._wide.hide()
        self._beside.setVisible(not is_one)
        self._told.hide()
        set_style(self, "state", "asks" if is_asked else "")

    def _say(self, title: str, sentence: str, small: str = "") -> None:
        for label, text in (
            (self._title, title),
            (self._sentence, sentence),
            (self._small, small),
        ):
            label.setText(text)
            label.setVisible(bool(text))
        set_style(self._sentence, "look", "mute" if title else "sentence")
        for one in (self._wide, *self._narrow):
            one.hide()
        self._beside.hide()
        self._told.show()
        set_style(self, "state", "")
