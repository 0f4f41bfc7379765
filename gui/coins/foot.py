"""Below the table: how many are chosen, what is said of a cell, and what can be done."""

from PySide6.QtWidgets import QWidget

from core.app.finding import SlotFinds
from gui.theme import S
from gui.widgets import ElidedLabel, KeyHint, Label, PrimaryButton, QuietButton, row

ONE_ONLY = "Choose one coin"


class CoinsFoot(QWidget):
    """Buttons with their keys; `say` tells why a cell is not typed in."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        foot = row(self, spacing=S)
        self.chosen = Label("", "mute", self)
        self.words = ElidedLabel("", "small", self)
        self.slot_button = PrimaryButton("", self)
        self.edit_button = QuietButton("Edit…", self)
        self.put_button = QuietButton("Where could it go…", self)
        self.go_button = QuietButton("Let go", self)
        self.go_button.setToolTip(
            "Sold, spent or given away: kept as history. Undo brings it back."
        )
        foot.addWidget(self.chosen)
        foot.addSpacing(S)
        foot.addWidget(self.words, 1)
        self._slot_key = KeyHint("Enter", self)
        for hint, button in (
            (self._slot_key, self.slot_button),
            (KeyHint("Ctrl+E", self), self.edit_button),
            (KeyHint("Ctrl+G", self), self.put_button),
            (KeyHint("Del", self), self.go_button),
        ):
            foot.addSpacing(S)
            foot.addWidget(hint)
            foot.addWidget(button)

    def say(self, text: str) -> None:
        """Say something of the cell the keys are on; "" for nothing."""
        self.words.show_text(text)

    def allow(self, chosen: int, shown: int, is_free: bool, finds: SlotFinds | None) -> None:
        """What can be done with so many chosen rows of those shown; `is_free` to change them."""
        words = f"{shown:,} coin{'' if shown == 1 else 's'} shown"
        self.chosen.setText(f"{chosen:,} of {shown:,} chosen" if chosen else words)
        self.edit_button.setText(f"Edit {chosen:,} coins…" if chosen > 1 else "Edit…")
        self.edit_button.setEnabled(is_free and chosen > 0)
        self.put_button.setEnabled(chosen == 1)
        self.put_button.setToolTip(ONE_ONLY if chosen > 1 else "")
        self.go_button.setEnabled(is_free and chosen > 0)
        self.slot_button.setVisible(finds is not None)
        self._slot_key.setVisible(finds is not None)
        if finds is not None:
            self.slot_button.setText(f"Put into {finds.label}".replace("&", "&&"))
            self.slot_button.setEnabled(is_free and chosen == 1)
            self.slot_button.setToolTip(ONE_ONLY if chosen > 1 else finds.album_name)
