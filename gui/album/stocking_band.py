"""The band above the leaf while an album is stocked: what the next coin gets, and every key."""

from dataclasses import dataclass

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QPixmap
from PySide6.QtWidgets import QLabel, QProgressBar, QWidget

from core.app.stocking import Typed
from core.glyph.codes import GlyphCode
from gui.paint import glyph_pixmap
from gui.theme import XS, L, M, S, current_palette, set_style
from gui.widgets import Card, Label, QuietButton, column, key_line, row

GLYPH_PX = 26
KEYS = (
    ("Space", "coin here, and on"),
    ("Shift+Space", "the whole row"),
    ("vf20", "letters: a grade"),
    ("1943", "digits: a date"),
    ("?", "to verify"),
    ("Backspace", "take back"),
    ("Esc", "done"),
)


@dataclass(frozen=True, slots=True)
class BandShows:
    """What the band tells: what is typed, the slot in hand, the counts, and a sentence."""

    typed: Typed
    slot: str
    count: int
    have: int
    wanted: int
    told: str = ""
    is_told_well: bool = False
    selected: int = 0


class StockingBand(Card):
    """Names the keys, and tells how far the album is."""

    done_pressed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent, "band", (L, M, L, M), M)
        self.setAccessibleName("Stocking this album")
        self._glyph = QLabel(self)
        self._glyph.setFixedSize(GLYPH_PX + XS, GLYPH_PX + XS)
        self._glyph.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._next = Label("", "strong", self)
        self._doing = Label("", "small", self)
        self._typed = Label("", "key", self)
        self._count = Label("", "strong", self)
        self._left = Label("", "small", self)
        self._bar = QProgressBar(self)
        self._bar.setTextVisible(False)
        self._bar.setAccessibleName("Slots that hold a coin")
        self._done = QuietButton("Done", self)
        self._done.setToolTip("Leave stocking (Esc)")
        self._done.clicked.connect(self.done_pressed)
        self._build()
        self._shown: BandShows | None = None

    def _build(self) -> None:
        words, first = column(spacing=0), row()
        first.addWidget(self._next)
        first.addWidget(self._typed)
        first.addStretch(1)
        words.addLayout(first)
        words.addWidget(self._doing)
        counts, line = column(spacing=XS), row()
        line.addWidget(self._count)
        line.addWidget(self._left)
        line.addStretch(1)
        counts.addLayout(line)
        counts.addWidget(self._bar)
        top = row(spacing=M)
        top.addWidget(self._glyph)
        top.addLayout(words, 3)
        top.addLayout(counts, 2)
        top.addSpacing(S)
        top.addWidget(self._done)
        self.box.addLayout(top)
        self.box.addLayout(key_line(self, KEYS))

    def show_run(self, shows: BandShows) -> None:
        """Tell the run as it stands now."""
        if shows == self._shown:
            return
        self._shown = shows
        typed = shows.typed
        self._glyph.setPixmap(self._next_glyph(typed))
        flag = ", to verify" if typed.is_flagged else ""
        self._next.setText(f"Next coin: {typed.grade_text}{flag}")
        self._typed.setVisible(bool(typed.entry))
        self._typed.setText(f"{typed.entry}▏")
        self._doing.setText(shows.told or self._where(shows))
        look = "accent" if shows.is_told_well else "fault"
        set_style(self._doing, "look", look if shows.told else "small")
        self._count.setText(f"{shows.count} stocked")
        self._left.setText(f"have {shows.have} of {shows.wanted}")
        self._bar.setRange(0, max(1, shows.wanted))
        self._bar.setValue(shows.have)

    @staticmethod
    def _where(shows: BandShows) -> str:
        if shows.selected:
            return f"into {shows.selected} selected slots at once"
        if shows.typed.entry:
            if shows.typed.is_date:
                return f"at {shows.slot}"
            return "Space takes this grade; it counts until you type another"
        return f"into {shows.slot}" if shows.slot else "No slot is chosen; use the arrow keys."

    def _next_glyph(self, typed: Typed) -> QPixmap:
        code = GlyphCode.TO_VERIFY if typed.is_flagged else GlyphCode.FILLED
        return glyph_pixmap(int(code), GLYPH_PX, current_palette(), self.devicePixelRatioF())
