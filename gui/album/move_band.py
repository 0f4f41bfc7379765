"""Carrying a coin by keys: the arrow keys choose where to, Enter puts it there, Esc leaves."""

from collections.abc import Callable

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QLabel, QWidget

from core.app.carried import Carried, Drop, Outlook, outlook
from core.app.views import AlbumView
from core.glyph.codes import GlyphCode
from core.model.album import SlotId
from gui.desk import Desk
from gui.leaf.drop import MARKS, put_down_order
from gui.leaf.view import LeafView
from gui.paint import glyph_pixmap
from gui.theme import XS, L, M, current_palette, set_style
from gui.widgets import (
    Card,
    ElidedLabel,
    PrimaryButton,
    QuietButton,
    column,
    key_line,
    row,
)

GLYPH_PX = 26
KEYS = (
    ("Arrows", "choose a slot"),
    ("1943", "digits: a date"),
    ("Ctrl+L", "another album"),
    ("Enter", "put it there"),
    ("Esc", "leave it where it is"),
)
_ENTER = frozenset({Qt.Key.Key_Return, Qt.Key.Key_Enter})
_COMMANDS = (
    Qt.KeyboardModifier.ControlModifier
    | Qt.KeyboardModifier.AltModifier
    | Qt.KeyboardModifier.MetaModifier
)


class MoveBand(Card):
    """Names the coin in hand, what putting it down would do, and every key."""

    put_pressed = Signal()
    left_pressed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent, "band", (L, M, L, M), M)
        self.setAccessibleName("Moving a coin")
        self._glyph = QLabel(self)
        self._glyph.setFixedSize(GLYPH_PX + XS, GLYPH_PX + XS)
        self._glyph.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.coin = ElidedLabel("", "strong", self)
        self.words = ElidedLabel("", "small", self)
        self.put = PrimaryButton("Put it here", self)
        self.put.setToolTip("Put the coin into the current slot (Enter)")
        self.put.clicked.connect(self.put_pressed)
        self._leave = QuietButton("Leave", self)
        self._leave.setToolTip("Leave the coin where it is (Esc)")
        self._leave.clicked.connect(self.left_pressed)
        text = column(spacing=0)
        text.addWidget(self.coin)
        text.addWidget(self.words)
        top = row(spacing=M)
        top.addWidget(self._glyph)
        top.addLayout(text, 1)
        top.addWidget(self.put)
        top.addWidget(self._leave)
        self.box.addLayout(top)
        self.box.addLayout(key_line(self, KEYS))

    def show_coin(self, carried: Carried) -> None:
        """Name the coin, and where it comes from."""
        where = f" from {carried.album}, {carried.slot.label}" if carried.slot else ""
        self.coin.show_text(f"Moving {carried.name}{where}")
        ratio = self.devicePixelRatioF()
        code = int(GlyphCode.FILLED)
        self._glyph.setPixmap(glyph_pixmap(code, GLYPH_PX, current_palette(), ratio))

    def show_outlook(self, look: Outlook, slot: str) -> None:
        """Say what putting it into the current slot would do."""
        words = look.words or "choose a slot for it"
        if look.drop is Drop.NOTHING and look.words:
            words = f"{slot} is {look.words}; choose another"
        self.words.show_text(f"{words[:1].upper()}{words[1:]}")
        set_style(self.words, "look", "fault" if look.drop is Drop.REFUSED else "small")
        self.put.setEnabled(look.drop.is_allowed)


class MoveMode(QObject):
    """Takes Enter and Esc of the leaf while a coin is in hand; any album may be the next one."""

    ended = Signal()

    def __init__(
        self,
        desk: Desk,
        leaf: LeafView,
        view_of: Callable[[], AlbumView | None],
        band_parent: QWidget | None = None,
    ) -> None:
        super().__init__(leaf)
        self._desk, self._leaf, self._view_of = desk, leaf, view_of
        self._carried: Carried | None = None
        self.band = MoveBand(band_parent)
        self.band.hide()
        self.band.put_pressed.connect(self.put_down)
        self.band.left_pressed.connect(self.end)
        leaf.current_slot_changed.connect(lambda _slot: self._tell())
        desk.changed.connect(lambda _changes: self.end())
        desk.labels_changed.connect(self._on_labels_changed)

    @property
    def is_on(self) -> bool:
        """Whether a coin is in hand."""
        return self._carried is not None

    def start(self, carried: Carried) -> None:
        """Take a coin in hand."""
        self._carried = carried
        self.band.show_coin(carried)
        self.band.show()
        self._leaf.set_mode_handler(self._on_key)
        self._leaf.setFocus(Qt.FocusReason.OtherFocusReason)
        self._leaf.announce(
            f"Moving {carried.name}. Arrow keys choose a slot, Enter puts it there, Escape leaves."
        )
        self._tell()

    def end(self) -> None:
        """Leave the coin where it is."""
        if self._carried is None:
            return
        self._carried = None
        self.band.hide()
        self._leaf.show_drop(0, "")
        self._leaf.show_lifted(0)
        if self._leaf.mode_handler == self._on_key:
            self._leaf.set_mode_handler(None)
        self._leaf.setFocus(Qt.FocusReason.OtherFocusReason)
        self.ended.emit()

    def _on_labels_changed(self) -> None:
        """A day of the past is shown, or another collection: nothing can be moved there."""
        if self._desk.is_read_only:
            self.end()

    def put_down(self) -> None:
        """Put the coin into the current slot, where that may be."""
        view, carried = self._view_of(), self._carried
        if view is None or carried is None:
            return
        slot = SlotId(self._leaf.current_slot())
        look = self._look()
        if not look.drop.is_allowed:
            self._leaf.announce(look.words)
            return
        order = put_down_order(view, slot, carried)
        self.end()
        if order is not None:
            self._desk.run(order)

    def _on_key(self, event: QKeyEvent) -> bool:
        if event.modifiers() & _COMMANDS:
            return False
        if event.key() in _ENTER:
            self.put_down()
            return True
        if event.key() == Qt.Key.Key_Escape:
            self.end()
            return True
        return event.key() in {Qt.Key.Key_Space, Qt.Key.Key_Delete, Qt.Key.Key_Backspace}

    def _look(self) -> Outlook:
        view, slot = self._view_of(), self._leaf.current_slot()
        if view is None or self._carried is None or not slot:
            return Outlook(Drop.NOTHING, "")
        return outlook(view, SlotId(slot), self._carried)

    def _tell(self) -> None:
        view = self._view_of()
        if self._carried is None or view is None:
            return
        look, slot = self._look(), self._leaf.current_slot()
        there = view.by_id.get(SlotId(slot))
        self.band.show_outlook(look, there.slot.label if there is not None else "")
        lifted = self._carried.slot
        self._leaf.show_lifted(int(lifted.id) if lifted is not None else 0)
        self._leaf.show_drop(slot, MARKS.get(look.drop, ""))
        if look.words:
            self._leaf.announce(look.words)
