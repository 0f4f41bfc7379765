"""Look closer at the coin in hand: where to look, what to see, what each marker says.

Own codes are given and changed here as on the card of a slot.
"""

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence, QShortcut, QShowEvent
from PySide6.QtWidgets import QDialog, QWidget

from core.app.look_up import Answer
from core.app.views import LookCloser
from gui.desk import Desk
from gui.leaf.card_forms import CodeForm
from gui.leaf.look_closer import LookCloserList, LookEntry
from gui.leaf.slot_orders import SlotOrders
from gui.theme import XL, L, M, S
from gui.widgets import (
    EmptyState,
    KeyHint,
    Label,
    PrimaryButton,
    ScrollColumn,
    column,
    key_line,
    row,
)


class CloserDialog(QDialog):
    """The markers of what is still open for a coin."""

    def __init__(self, parent: QWidget | None, desk: Desk, answer: Answer) -> None:
        super().__init__(parent)
        self._orders = SlotOrders(desk)
        self.setWindowTitle("Look closer")
        self.resize(520, 640)
        box = column(self, (XL, XL, XL, L), M)
        box.addWidget(Label(f"Look closer: {answer.name}", "heading", self, wraps=True))
        box.addWidget(Label(answer.closer_text, "mute", self, wraps=True))
        self.list: LookCloserList | None = None
        keys = []
        if answer.closer:
            self.area = ScrollColumn(self)
            self.list = LookCloserList(self.area.inside)
            self.list.gives_codes, self.list.shows_all = not desk.is_read_only, True
            self.list.code_given.connect(self._on_code_given)
            self.list.fill(answer.closer)
            self.area.box.addWidget(self.list)
            self.area.box.addStretch(1)
            box.addWidget(self.area, 1)
            keys.append(("Tab", "the next one"))
            if self.list.gives_codes and any(one.variety for one in answer.closer):
                keys.append(("F2", "own code"))
        else:
            empty = EmptyState(
                "Nothing known for this date", "No variety needs a look.", parent=self
            )
            box.addWidget(empty, 1)
        line = row(spacing=S)
        line.addLayout(key_line(self, keys), 1)
        line.addWidget(KeyHint("Esc", self), 0, Qt.AlignmentFlag.AlignVCenter)
        close = PrimaryButton("Close", self)
        close.setDefault(True)
        close.clicked.connect(self.accept)
        line.addWidget(close)
        box.addLayout(line)
        QShortcut(QKeySequence("Ctrl+Up"), self).activated.connect(self.reject)
        desk.closed.connect(self.reject)

    def showEvent(self, event: QShowEvent) -> None:
        """The keys begin on the first entry, so that F2 means its code at once."""
        super().showEvent(event)
        if self.list is not None and self.list.entries:
            self.list.entries[0].setFocus(Qt.FocusReason.OtherFocusReason)

    def _on_code_given(self, look: LookCloser, form: CodeForm) -> None:
        """Keep an own code; what cannot be one is told under the form."""
        assert self.list is not None
        entry = next(one for one in self.list.entries if one.code_form is form)
        form.fault.hide()
        code = " ".join(form.field.text().split())
        self._orders.set_code(
            entry.entry, code, lambda _changes: self._on_kept(entry, code), form.show_fault
        )

    def _on_kept(self, entry: LookEntry, code: str) -> None:
        entry.take_code(code)
        self.area.ensureWidgetVisible(entry, 0, S)

    @classmethod
    def ask(cls, parent: QWidget | None, desk: Desk, answer: Answer) -> None:
        """Show them until they are closed."""
        dialog = cls(parent, desk, answer)
        dialog.exec()
        dialog.deleteLater()
