"""Coins dragged onto the leaf, or from slot to slot: what would come of it is said beforehand."""

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import QMimeData, QObject, QPoint, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFont, QFontMetrics, QPainter, QPen, QPixmap

from core.app.carried import Carried, Drop, Outlook, outlook
from core.app.views import AlbumView
from core.glyph.codes import GlyphCode
from core.model.album import AlbumKind, SlotId
from core.model.coin import CoinId
from gui.desk import Desk
from gui.leaf.leaf_drag import coin_data, coins_in, run_drag
from gui.leaf.view import LeafView
from gui.paint import paint_glyph
from gui.theme import XS, S, current_palette
from gui.widgets import Label

if TYPE_CHECKING:
    from core.app.collection import Collection
    from core.app.operations import Operation

HINT_AWAY_PX = 18
GLYPH_PX, PICTURE_H = 20, 32
MARKS = {
    Drop.MOVE: "drop",
    Drop.PUT_IN: "drop",
    Drop.REPLACE: "swap",
    Drop.SWAP: "swap",
    Drop.REFUSED: "refuse",
}
"""How the leaf rings the slot; no ring where nothing would come of it."""


def carried_coin(collection: "Collection", coin_id: CoinId) -> Carried:
    """A coin as it is carried, with the slot it sits in; raises NotFound."""
    coin = collection.coin(coin_id)
    slot = collection.slot_of_coin(coin_id)
    return Carried(
        coin,
        collection.series(coin.description.series),
        slot,
        collection.series(slot.accepts.series) if slot is not None else None,
        next((a.name for a in collection.albums() if slot and a.id == slot.album), ""),
    )


def put_down_order(view: AlbumView, slot_id: SlotId, carried: Carried) -> "Operation | None":
    """The operation that an outlook promises; None where nothing is to be done."""
    from core.app.operations import move_coin, place_coin, swap_slots

    match outlook(view, slot_id, carried).drop:
        case Drop.PUT_IN | Drop.REPLACE:
            return place_coin(carried.coin.id, slot_id)
        case Drop.MOVE if carried.slot is not None:
            return move_coin(carried.slot.id, slot_id)
        case Drop.SWAP if carried.slot is not None:
            return swap_slots(carried.slot.id, slot_id)
    return None


def carried_picture(text: str, ratio: float) -> QPixmap:
    """What hangs at the pointer: a filled glyph and the coin's name on a card."""
    colours = current_palette()
    font = QFont("Noto Sans")
    font.setPixelSize(12)
    font.setBold(True)
    width = QFontMetrics(font).horizontalAdvance(text) + GLYPH_PX + 4 * S
    pixmap = QPixmap(QSize(width, PICTURE_H) * ratio)
    pixmap.setDevicePixelRatio(ratio)
    pixmap.fill(Qt.GlobalColor.transparent)
    painter = QPainter(pixmap)
    try:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(QColor(colours.accent), 1))
        painter.setBrush(QColor(colours.card))
        painter.drawRoundedRect(QRectF(0.5, 0.5, width - 1, PICTURE_H - 1), 8, 8)
        middle = S + GLYPH_PX / 2
        paint_glyph(painter, int(GlyphCode.FILLED), middle, PICTURE_H / 2, GLYPH_PX, colours)
        painter.setFont(font)
        painter.setPen(QColor(colours.ink))
        words = QRectF(2 * S + GLYPH_PX, 0, width, PICTURE_H)
        painter.drawText(words, int(Qt.AlignmentFlag.AlignVCenter), text)
    finally:
        painter.end()
    return pixmap


class LeafDrops(QObject):
    """Answers the leaf: which coins may be dragged, what becomes of them where they are let go."""

    said = Signal(str)
    """A line for the window: why nothing was done."""

    def __init__(self, leaf: LeafView, desk: Desk, view_of: Callable[[], AlbumView | None]) -> None:
        super().__init__(leaf)
        self._leaf, self._desk, self._view_of = leaf, desk, view_of
        self._carried: Carried | None = None
        self._words = ""
        self._mark = ""
        self._over = 0
        self._asked = 0
        self.hint = Label("", "hint", leaf)
        self.hint.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.hint.setAccessibleName("What letting go would do")
        self.hint.hide()
        leaf.set_drop_handler(self)

    # ---- out of a slot ------------------------------------------------------------------------

    def can_carry(self, slot: int) -> bool:
        """Whether a slot's coin may be dragged away: it holds one, and things can be changed."""
        view = self._view_of()
        if view is None or self._desk.is_read_only or view.album.kind is AlbumKind.OVERVIEW:
            return False
        there = view.by_id.get(SlotId(slot))
        return there is not None and there.coin is not None

    def carry(self, slot: int) -> None:
        """Drag a slot's coin."""
        view = self._view_of()
        there = view.by_id.get(SlotId(slot)) if view is not None else None
        if view is None or there is None or there.coin is None:
            return
        name = Carried(there.coin, view.series_of(there.slot)).name
        picture = carried_picture(name, self._leaf.devicePixelRatioF())
        run_drag(self._leaf, coin_data([int(there.coin.id)]), picture)

    # ---- onto a slot --------------------------------------------------------------------------

    def enter(self, data: QMimeData) -> bool:
        """A coin comes over the leaf; what it is is read meanwhile."""
        coins = coins_in(data)
        is_busy = self._leaf.mode_handler is not None  # stocking, or another coin in hand
        if not coins or is_busy or self._desk.is_read_only:
            return False
        self._carried, self._words, self._mark = None, "", ""
        self._asked = coins[0]
        if len(coins) > 1:
            self._words = f"{len(coins)} coins: drop one at a time, or let Fill place them"
            return True
        coin_id = CoinId(coins[0])
        self._desk.ask(
            lambda collection: carried_coin(collection, coin_id),
            self._on_read,
            self._on_unread,
            "Reading the coin",
        )
        return True

    def _on_read(self, carried: Carried) -> None:
        if int(carried.coin.id) == self._asked:
            self._carried = carried
            self._words = ""

    def _on_unread(self, error: Exception) -> None:
        from core.errors import CollectionError

        if isinstance(error, CollectionError):
            self._words = str(error)
        else:
            self._desk.show_failure(error)

    def over(self, slot: int, point: QPoint) -> str:
        """The coin is held over a slot: the ring to draw; the line beside the pointer says why."""
        look = self._look(slot)
        if self._carried is not None and self._carried.slot is not None:
            self._leaf.show_lifted(int(self._carried.slot.id))
        self._mark = MARKS.get(look.drop, "")
        if slot != self._over and look.words:
            self._leaf.announce(look.words)
        self._over = slot
        self._show_hint(look.words, point)
        return self._mark

    def _look(self, slot: int) -> Outlook:
        view, carried = self._view_of(), self._carried
        if self._words and slot:
            return Outlook(Drop.REFUSED, self._words)
        if view is None or carried is None or not slot:
            return Outlook(Drop.NOTHING, "")
        return outlook(view, SlotId(slot), carried)

    def leave(self) -> None:
        """The coin is carried off, or was let go."""
        self.hint.hide()
        self._leaf.show_lifted(0)
        self._over = self._asked = 0
        self._carried = None

    def put_down(self, slot: int) -> bool:
        """The coin is let go over a slot."""
        view, carried = self._view_of(), self._carried
        look = self._look(slot)
        if view is None or carried is None or not look.drop.is_allowed or self._desk.is_read_only:
            if look.drop is Drop.REFUSED:
                self.said.emit(f"Nothing was moved: {look.words}.")
            return False
        order = put_down_order(view, SlotId(slot), carried)
        if order is None:
            return False
        self._desk.run(order)
        self._leaf.go_to_slot(slot)
        self._leaf.setFocus(Qt.FocusReason.OtherFocusReason)
        return True

    # ---- the line beside the pointer ----------------------------------------------------------

    def _show_hint(self, words: str, point: QPoint) -> None:
        hint = self.hint
        if not words:
            hint.hide()
            return
        text = f"{words[:1].upper()}{words[1:]}"
        if hint.text() != text or hint.isHidden():
            hint.setText(text)
            hint.adjustSize()
            hint.show()
            hint.raise_()
        room = self._leaf.viewport().size()
        x = min(point.x() + HINT_AWAY_PX, room.width() - hint.width() - XS)
        y = point.y() - hint.height() - HINT_AWAY_PX
        if y < XS:
            y = point.y() + 2 * HINT_AWAY_PX + PICTURE_H
        hint.move(max(XS, x), max(XS, min(y, room.height() - hint.height() - XS)))
