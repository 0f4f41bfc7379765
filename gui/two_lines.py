"""Paints a list's items in two lines: a bold title over muted words."""

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QPointF, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFont, QPainter, QPen
from PySide6.QtWidgets import QStyle, QStyledItemDelegate, QStyleOptionViewItem, QWidget

from core.glyph.palette import Palette
from gui.theme import M, S, current_palette

DETAIL_ROLE = int(Qt.ItemDataRole.UserRole) + 1
_SMALL_PX = 12
BOX_PX = 16


class TwoLines(QStyledItemDelegate):
    """The title is the display role, the words below it DETAIL_ROLE.

    An item with a check state has a box before them.
    """

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._list = parent

    def sizeHint(
        self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> QSize:
        return QSize(120, self._list.fontMetrics().height() * 2 + 2 * S)

    def paint(
        self,
        painter: QPainter,
        option: QStyleOptionViewItem,
        index: QModelIndex | QPersistentModelIndex,
    ) -> None:
        colours = current_palette()
        rect: QRect = option.rect
        state = option.state
        painter.save()
        try:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            is_chosen = bool(state & QStyle.StateFlag.State_Selected)
            if is_chosen or state & QStyle.StateFlag.State_MouseOver:
                painter.setPen(Qt.PenStyle.NoPen)
                painter.setBrush(QColor(colours.select if is_chosen else colours.hover))
                painter.drawRoundedRect(rect.adjusted(4, 1, -4, -1), 6, 6)
            inner = rect.adjusted(M, S, -M, -S)
            check = index.data(Qt.ItemDataRole.CheckStateRole)
            if check is not None:
                is_on = Qt.CheckState(check) is Qt.CheckState.Checked
                self._box(painter, inner, colours, is_on=is_on)
                inner = inner.adjusted(BOX_PX + M, 0, 0, 0)
            bold = QFont(self._list.font())
            bold.setWeight(QFont.Weight.Bold)
            self._line(painter, inner, bold, colours.ink, str(index.data()), is_top=True)
            small = QFont(self._list.font())
            small.setPixelSize(_SMALL_PX)
            detail = str(index.data(DETAIL_ROLE) or "")
            self._line(painter, inner, small, colours.mute, detail, is_top=False)
        finally:
            painter.restore()

    @staticmethod
    def _box(painter: QPainter, rect: QRect, colours: Palette, *, is_on: bool) -> None:
        """A box at the left, ticked where the item is chosen."""
        box = QRectF(rect.left() + 0.5, rect.center().y() - BOX_PX / 2, BOX_PX, BOX_PX)
        painter.setPen(QPen(QColor(colours.accent if is_on else colours.mute), 1.4))
        painter.setBrush(QColor(colours.accent if is_on else colours.card))
        painter.drawRoundedRect(box, 4, 4)
        if is_on:
            pen = QPen(QColor(colours.card), 2, c=Qt.PenCapStyle.RoundCap)
            pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
            painter.setPen(pen)
            left, top = box.left(), box.top()
            ticks = ((0.26, 0.52), (0.44, 0.7), (0.75, 0.32))
            painter.drawPolyline([QPointF(left + x * BOX_PX, top + y * BOX_PX) for x, y in ticks])

    @staticmethod
    def _line(
        painter: QPainter, rect: QRect, font: QFont, colour: str, text: str, *, is_top: bool
    ) -> None:
        painter.setFont(font)
        painter.setPen(QColor(colour))
        fits = painter.fontMetrics().elidedText(text, Qt.TextElideMode.ElideRight, rect.width())
        up_or_down = Qt.AlignmentFlag.AlignTop if is_top else Qt.AlignmentFlag.AlignBottom
        painter.drawText(rect, int(Qt.AlignmentFlag.AlignLeft | up_or_down), fits)
