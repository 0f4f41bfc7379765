"""The choices of sheets at real size: which leaves, how large the holes, how the paper lies."""

from collections.abc import Callable

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtWidgets import QLineEdit, QWidget

from core.app.picture_order import RealOrder, read_clearance
from core.errors import BadEntry
from core.model.arrangement import read_hole
from core.printing.real_size_parts import CLEARANCE_MM
from gui.form_field import FormField
from gui.segmented import Segmented
from gui.theme import S
from gui.widgets import Label, column, row

LYING = (None, False, True)
"""As fewer sheets need it, upright, wide."""
NO_DIAMETER = "How large these coins are is not known: type the diameter."
TYPING_MS = 350


class RealChoices(QWidget):
    """Emits `changed` whenever other sheets are wanted, and where what is typed is no figure."""

    changed = Signal()

    def __init__(self, parent: QWidget, has_leaf: bool) -> None:
        super().__init__(parent)
        self._hole: float | None = None
        self._clearance = CLEARANCE_MM
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(TYPING_MS)
        self._timer.timeout.connect(self.take_typed)
        box = column(self, spacing=S)
        self.lying = Segmented(["As fits", "Upright", "Wide"], "Paper lies", self)
        self.lying.buttons[0].setToolTip("As the album is shaped, or as fewer sheets need it")
        self.leaves = Segmented(["All leaves", "This leaf"], "Leaves", self)
        self.leaves.buttons[1].setEnabled(has_leaf)
        for choice in (self.lying, self.leaves):
            choice.choose(0)
            choice.chosen.connect(lambda _place: self.changed.emit())
            box.addWidget(choice)
        box.addSpacing(S)
        self.hole = self._line("Hole in millimetres")
        self.clearance = self._line("Clearance in millimetres")
        self.clearance.setPlaceholderText(f"{CLEARANCE_MM:g}")
        self.clearance.setToolTip("How much wider than its coin each hole is")
        self.hole_field = FormField("Hole in mm", self.hole, self)
        self.clearance_field = FormField("Clearance in mm", self.clearance, self)
        beside = row(spacing=S)
        for field in (self.hole_field, self.clearance_field):
            beside.addWidget(field, 1, Qt.AlignmentFlag.AlignTop)
        box.addLayout(beside)
        self._source = Label("", "small", self, wraps=True)
        box.addWidget(self._source)

    def _line(self, name: str) -> QLineEdit:
        line = QLineEdit(self)
        line.setAccessibleName(name)
        line.textEdited.connect(lambda _text: self._timer.start())
        line.editingFinished.connect(self._on_left)
        return line

    def show_source(self, hole: str, source: str) -> None:
        """Say how large the holes are where none is typed, and by whose word; "" for not known."""
        self.hole.setPlaceholderText(hole)
        self._source.setText(f"Where none is typed: {hole} mm, {source}." if hole else NO_DIAMETER)

    @property
    def is_this_leaf(self) -> bool:
        """Whether only the leaf of the slot one is on is wanted."""
        return self.leaves.choice() == 1

    @property
    def fault(self) -> str:
        """What is wrong with what was typed, "" where nothing is."""
        return self.hole_field.fault or self.clearance_field.fault

    def order(self) -> RealOrder:
        """The holes asked for, as last typed rightly."""
        return RealOrder(self._hole, self._clearance, LYING[max(0, self.lying.choice())])

    def _on_left(self) -> None:
        if self._timer.isActive():
            self.take_typed()

    def take_typed(self) -> None:
        """Take over what was typed, or say what is wrong with it."""
        self._timer.stop()
        hole = _taken(self.hole, self.hole_field, read_hole)
        clearance = _taken(self.clearance, self.clearance_field, read_clearance)
        if not self.fault:
            self._hole = hole
            self._clearance = CLEARANCE_MM if clearance is None else clearance
        self.changed.emit()


def _taken(line: QLineEdit, field: FormField, read: Callable[[str], float]) -> float | None:
    """What a line says, None where it says nothing or is faulty; then its field tells."""
    field.show_fault("")
    if not line.text().strip():
        return None
    try:
        return read(line.text())
    except BadEntry as fault:
        field.show_fault(str(fault))
        return None
