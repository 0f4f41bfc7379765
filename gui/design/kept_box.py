"""Arrangements kept under a name: the controls, at the foot of the Shape panel."""

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QWidget

from core.model.arrangement import SavedArrangement
from gui.design.forms import arrangement_words
from gui.flow_layout import FlowLayout
from gui.form_field import FormField
from gui.theme import XS, S
from gui.widgets import MenuButton, QuietButton, column

HINT = "Kept shapes can be used for any album, and given away as a file."


class KeptBox(FormField):
    """Keep, use, forget, export, import; what is pressed goes out by signals."""

    keep_asked = Signal()
    export_asked = Signal()
    import_asked = Signal()
    used = Signal(object)
    """A SavedArrangement that the album is to take."""
    forgotten = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        content = column(spacing=S)
        self.use = MenuButton("Use", "")
        self.forget = MenuButton("Forget", "")
        self.keep = QuietButton("Keep as…")
        self.export = QuietButton("Export…")
        self.import_ = QuietButton("Import…")
        for button, tip in (
            (self.use, "Give this album a shape that was kept"),
            (self.keep, "Keep this shape under a name"),
            (self.export, "Write this shape to a small file"),
            (self.import_, "Take in a shape from a file, and keep it"),
            (self.forget, "Take a kept shape off the list; albums that have it stay as they are"),
        ):
            button.setToolTip(tip)
        line = FlowLayout(spacing_x=XS, spacing_y=XS)
        for button in (self.use, self.keep, self.export, self.import_, self.forget):
            line.addWidget(button)
        content.addLayout(line)
        super().__init__("Kept arrangements", content, parent, HINT)
        for button in (self.use, self.keep, self.export, self.import_, self.forget):
            button.setParent(self)
        self.keep.clicked.connect(self.keep_asked)
        self.export.clicked.connect(self.export_asked)
        self.import_.clicked.connect(self.import_asked)
        self.show_kept([])

    def show_kept(self, kept: Sequence[SavedArrangement]) -> None:
        """Offer these."""
        for button, signal in ((self.use, self.used), (self.forget, self.forgotten)):
            menu = button.choices
            menu.clear()
            for one in kept:
                name = one.name.replace("&", "&&")
                action = menu.addAction(f"{name}\t{arrangement_words(one.arrangement)}")
                action.triggered.connect(lambda _on=False, one=one, signal=signal: signal.emit(one))
            if not kept and button.hasFocus():
                self.keep.setFocus(Qt.FocusReason.OtherFocusReason)  # the keys stay in the panel
            button.setEnabled(bool(kept))
