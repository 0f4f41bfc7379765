"""The right side of the table: tallies, records, piles weighed, containers, the end."""

from collections.abc import Sequence
from functools import cache
from importlib.util import find_spec

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from core.model.search import Container, Weighing
from core.search.containers import held_in_all
from gui.search.jar_rows import JarRows
from gui.search.reading import Table
from gui.search.tally_card import TallyRows
from gui.theme import XL, XS, L, M, S
from gui.widgets import (
    Card,
    ElidedLabel,
    Label,
    PrimaryButton,
    QuietButton,
    ScrollColumn,
    SectionLabel,
    clear_layout,
    column,
    key_line,
    row,
)

SIDE_PX = 316
MOST_JARS = 4
JAR_KEYS = (("Alt+J", "go there"), ("0–8", "level in eighths"))


class Pair(QWidget):
    """A name at the left, a figure at the right."""

    def __init__(
        self, name: str, value: str, parent: QWidget | None = None, is_strong: bool = False
    ) -> None:
        super().__init__(parent)
        box = row(self, spacing=S)
        box.addWidget(ElidedLabel(name, "strong_small" if is_strong else "body", self), 1)
        box.addWidget(Label(value, "headline" if is_strong else "body", self))
        self.setAccessibleName(f"{name}: {value}")


class BoxSide(QWidget):
    """Shows the reckoning of a table; buttons tell what is wanted."""

    weigh_asked = Signal()
    jars_asked = Signal()
    tallies_asked = Signal()
    dates_asked = Signal()
    finish_asked = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFixedWidth(SIDE_PX + S)
        outer = column(self, spacing=L)
        self._scroll = ScrollColumn(self, (0, 0, S, 0), L)
        self._build_tally()
        self._build_weigh()
        self._build_jars()
        self._scroll.box.addStretch(1)
        outer.addWidget(self._scroll, 1)
        foot = row(margins=(0, 0, S, 0))
        self.finish = PrimaryButton("Finish the box", self)
        self.finish.setToolTip("Fill with its finds, then the report (Alt+F)")
        self.finish.clicked.connect(self.finish_asked)
        foot.addWidget(self.finish)
        outer.addLayout(foot)

    def _build_tally(self) -> None:
        card = Card(self._scroll.inside, "card", (XL - 1, L, XL - 1, L), M)
        self.tally = TallyRows(card)
        self.tally.pressed.connect(lambda _name: self.tallies_asked.emit())
        card.box.addWidget(self.tally)
        line = row(spacing=S)
        self.tallies_button = QuietButton("Tallies…", card, "small_field")
        self.tallies_button.setToolTip("What is counted in boxes of this kind (Alt+T)")
        self.tallies_button.clicked.connect(self.tallies_asked)
        self.dates_button = QuietButton("By date…", card, "small_field")
        self.dates_button.setToolTip("How many of each date: roll, box, search, campaign (Alt+D)")
        self.dates_button.clicked.connect(self.dates_asked)
        line.addWidget(self.tallies_button)
        line.addWidget(self.dates_button)
        line.addStretch(1)
        card.box.addLayout(line)
        card.box.addSpacing(S)
        card.box.addWidget(SectionLabel("Records", card))
        self._records = column(spacing=XS)
        card.box.addLayout(self._records)
        self._tally_card = card
        self._scroll.box.addWidget(card)

    def _build_weigh(self) -> None:
        card = Card(self._scroll.inside, "card", (XL - 1, L, XL - 1, L), S)
        head = row(spacing=S)
        head.addWidget(SectionLabel("Weigh a pile", card))
        head.addStretch(1)
        self.weigh = QuietButton("Weigh…", card, "small_field")
        self.weigh.setToolTip("How many of a pile are copper, or silver (Alt+W)")
        self.weigh.clicked.connect(self.weigh_asked)
        head.addWidget(self.weigh)
        card.box.addLayout(head)
        self._weighed = column(spacing=S)
        card.box.addLayout(self._weighed)
        self._scroll.box.addWidget(card)

    def _build_jars(self) -> None:
        card = Card(self._scroll.inside, "card", (XL - 1, L, XL - 1, L), S)
        head = row(spacing=S)
        head.addWidget(SectionLabel("Containers", card))
        head.addStretch(1)
        self.jars = QuietButton("Level…", card, "small_field")
        self.jars.setToolTip("Jars and cups by how full they are (Alt+J)")
        self.jars.clicked.connect(self.jars_asked)
        head.addWidget(self.jars)
        card.box.addLayout(head)
        self.jar_rows = JarRows(card)
        self.jar_rows.reached.connect(self._show_jar)
        card.box.addWidget(self.jar_rows)
        self._held = column(spacing=S)
        card.box.addLayout(self._held)
        self._jar_keys = QWidget(card)
        self._jar_keys.setLayout(key_line(self._jar_keys, JAR_KEYS))
        card.box.addWidget(self._jar_keys)
        self._scroll.box.addWidget(card)

    def _show_jar(self, line: QWidget) -> None:
        """The container stood on, and below it what the keys do."""
        self._scroll.ensureWidgetVisible(self._jar_keys, 0, L)
        self._scroll.ensureWidgetVisible(line, 0, L)

    # --- what is shown

    def show_table(self, table: Table) -> None:
        """Show the reckoning of the box in hand."""
        self.tally.show_lines(table.lines)
        clear_layout(self._records)
        for text in table.records or ("none yet",):
            look = "body" if table.records else "mute"
            self._records.addWidget(Label(text, look, self._tally_card, wraps=True))
        self._show_weighed(table.box.weighings if table.box else ())
        self._show_jars(table.containers)
        is_open = table.box is not None and not table.box.box.is_done
        self.finish.setVisible(is_open and can_finish())

    def _show_weighed(self, weighings: Sequence[Weighing]) -> None:
        clear_layout(self._weighed)
        if not weighings:
            told = "A pile's count of copper or silver by its weight."
            self._weighed.addWidget(Label(told, "small", self, wraps=True))
            return
        last = weighings[-1]
        coins, grams = f"{last.coins:,} coins", f"{last.grams_mg / 1000:,.1f} g"
        self._weighed.addWidget(Pair(coins, grams, self))
        if last.result is None:
            self._weighed.addWidget(Label(last.text, "small", self, wraps=True))
            return
        first, _, wear = last.text.partition(", shared wear adds ")
        count = first if wear else f"{last.result:,} ± {last.spread or 0:,}"
        self._weighed.addWidget(Pair(last.counted, count, self, is_strong=True))
        if wear:
            self._weighed.addWidget(Pair("shared wear adds", wear, self))

    def _show_jars(self, jars: Sequence[Container]) -> None:
        clear_layout(self._held)
        self.jar_rows.show_jars(jars[:MOST_JARS])
        self.jar_rows.setVisible(bool(jars))
        self._jar_keys.setVisible(bool(jars))
        if not jars:
            told = "A jar known by what it holds tells its coins by its level."
            self._held.addWidget(Label(told, "small", self, wraps=True))
            return
        if len(jars) > 1:
            name = "in all" if len(jars) <= MOST_JARS else f"all {len(jars)}"
            self._held.addWidget(Pair(name, held_in_all(tuple(jars)).text, self, is_strong=True))


@cache
def can_finish() -> bool:
    """Whether the screen that finishes a box is there."""
    return find_spec("gui.search.finish") is not None
