"""The key under the album: a chip a state with its glyph and count. A chip shows only those."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QWidget

from core.app.views import Headline
from core.glyph.legend import MARKS, STATES, MarkEntry, StateEntry, counted
from core.model.state import Mark, SlotState
from gui.album.shown import EVERYTHING, Shown
from gui.flow_layout import FlowLayout
from gui.theme import S
from gui.widgets import CHIP_PX, Chip, Label

ALWAYS = (SlotState.FILLED, SlotState.BELOW_TARGET, SlotState.GAP)
"""These have a chip even where none is there; the others only where some are."""


class LegendBar(QWidget):
    """Toggle chips; `shown_changed` tells the new choice."""

    shown_changed = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("Key")
        self._shown = EVERYTHING
        box = FlowLayout(self, S, S)
        self.overview = Label("Overview", "strong_small", self)
        self.overview.setToolTip("The best coin you hold for each slot, wherever it sits.")
        self.overview.setFixedHeight(CHIP_PX)
        self.overview.setAlignment(Qt.AlignmentFlag.AlignVCenter)
        self.overview.hide()
        box.addWidget(self.overview)
        self.states: dict[SlotState, Chip] = {}
        for entry in STATES:
            if entry.state is not SlotState.NOT_STRUCK:
                chip = self._chip(entry)
                chip.toggled.connect(
                    lambda on, state=entry.state: self._choose(self._shown.with_state(state, on))
                )
                self.states[entry.state] = chip
                box.addWidget(chip)
        waiting = next(entry for entry in MARKS if entry.mark is Mark.SPARE_WAITING)
        self._waiting = waiting
        self.spares = self._chip(waiting)
        self.spares.toggled.connect(
            lambda on: self._choose(self._shown.with_mark(Mark.SPARE_WAITING, on))
        )
        box.addWidget(self.spares)

    def _chip(self, entry: StateEntry | MarkEntry) -> Chip:
        chip = Chip(counted(entry, 0), entry.code, self)
        chip.setToolTip(f"{entry.meaning}\nPress to show only these.")
        return chip

    def show_counts(self, headline: Headline) -> None:
        """The counts of an album; a state that does not occur has no chip."""
        for entry in STATES:
            if (chip := self.states.get(entry.state)) is not None:
                count = headline.states.get(entry.state, 0)
                chip.show_text(counted(entry, count))
                chip.setVisible(bool(count) or entry.state in ALWAYS or chip.isChecked())
        self.spares.show_text(counted(self._waiting, headline.spares_waiting))
        self.spares.setVisible(bool(headline.spares_waiting) or self.spares.isChecked())
        self.updateGeometry()

    def show_overview(self, is_overview: bool) -> None:
        """Whether the coins sit elsewhere."""
        self.overview.setVisible(is_overview)
        self.setAccessibleName("Key of the overview" if is_overview else "Key")
        self.updateGeometry()

    def show_shown(self, shown: Shown) -> None:
        """Show a choice; tells nobody."""
        self._shown = shown
        chips = [(chip, state in shown.states) for state, chip in self.states.items()]
        for chip, is_on in [*chips, (self.spares, Mark.SPARE_WAITING in shown.marks)]:
            chip.blockSignals(True)
            chip.setChecked(is_on)
            chip.blockSignals(False)
            if is_on:
                chip.setVisible(True)

    def _choose(self, shown: Shown) -> None:
        self._shown = shown
        self.shown_changed.emit(shown)
