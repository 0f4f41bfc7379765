"""The counters with their function keys: +foreign, +damaged, +unreadable, and one's own."""

from collections import Counter
from collections.abc import Sequence
from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from core.app.search_views import BoxView
from gui.flow_layout import FlowLayout
from gui.search.line import FIRST_COUNTER_KEY, LAST_COUNTER_KEY
from gui.theme import XS, M
from gui.widgets import KeyHint, QuietButton, clear_layout, row

MOST = LAST_COUNTER_KEY - FIRST_COUNTER_KEY + 1


class CounterBar(QWidget):
    """A press counts one; what stands in the line is told of it."""

    chosen = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._line = FlowLayout(self, spacing_x=M, spacing_y=XS)
        self._names: tuple[str, ...] = ()
        self.buttons: list[QuietButton] = []

    def show_counters(self, counters: Sequence[str], view: BoxView) -> None:
        """Show the counters, each with how many of it this box has."""
        counts: Counter[str] = Counter()
        for seen in view.sightings:
            counts[seen.sighting.counter] += seen.sighting.quantity
        names = tuple(counters[:MOST])
        if names != self._names:
            self._fill(names)
        for name, button in zip(names, self.buttons, strict=True):
            count = f"  {counts[name]}" if counts[name] else ""
            button.setText(f"+{name}{count}".replace("&", "&&"))
            button.setAccessibleName(f"Count {name}: {counts[name]} in this box")

    def _fill(self, names: tuple[str, ...]) -> None:
        clear_layout(self._line)
        self._names, self.buttons = names, []
        for place, name in enumerate(names):
            pair = QWidget(self)
            line = row(pair, spacing=XS)
            line.addWidget(KeyHint(f"F{FIRST_COUNTER_KEY + place}", pair))
            button = QuietButton(name, pair, "counter")
            button.clicked.connect(partial(self._choose, place))
            line.addWidget(button)
            self.buttons.append(button)
            self._line.addWidget(pair)

    def _choose(self, place: int) -> None:
        self.chosen.emit(place)
