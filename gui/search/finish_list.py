"""The list of finishing a box: the moves of Fill, and the rest with three ways to choose from."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import (
    QEvent,
    QModelIndex,
    QPersistentModelIndex,
    QRect,
    QRectF,
    QSize,
    Qt,
    Signal,
)
from PySide6.QtGui import QColor, QFont, QFontMetrics, QMouseEvent, QPainter, QPen
from PySide6.QtWidgets import QListView, QStyleOptionViewItem, QWidget

from core.app.finish_box import Way
from core.app.search_views import FindLine
from core.glyph.palette import Palette
from core.model.coin import CoinId
from gui.fill.lines import FillLine, LineKind
from gui.fill.list_model import LINE_ROLE, FillDelegate, FillModel
from gui.theme import L, M, S, current_palette

AnyIndex = QModelIndex | QPersistentModelIndex
WAYS = (Way.SPARE, Way.LOT, Way.BANK)
WAY_WORDS = {Way.SPARE: "spare", Way.LOT: "lot", Way.BANK: "bank"}
SPOKEN = {
    Way.SPARE: "stays a spare",
    Way.LOT: "into the bulk lot",
    Way.BANK: "back to the bank",
}
PILL_PX, PILLS_PX = 58, 3 * 58 + 4
PILL_HIGH = 26


@dataclass(frozen=True, slots=True)
class RestLine(FillLine):
    """A find that goes into no album, and its way."""

    number: CoinId = CoinId(0)  # noqa: RUF009 (a plain number)
    way: Way = Way.SPARE

    @property
    def spoken(self) -> str:
        """What a screen reader says of the line."""
        told = (self.title, self.coin, self.detail, SPOKEN[self.way])
        return ", ".join(filter(None, told))


def all_lines(
    moves: Sequence[FillLine], rest: Iterable[FindLine], ways: Mapping[CoinId, Way]
) -> list[FillLine]:
    """Headings, moves and comparisons as Fill tells them, then the rest."""
    lines: list[FillLine] = []
    if moves and moves[0].kind is not LineKind.HEADING:
        lines.append(FillLine(LineKind.HEADING, "Into the album"))
    lines += moves
    over = [_rest_line(line, ways.get(line.coin.id, Way.SPARE)) for line in rest]
    if over:
        lines += [FillLine(LineKind.HEADING, "The rest"), *over]
    return lines


def _rest_line(line: FindLine, way: Way) -> RestLine:
    grade = ", ".join(filter(None, (line.grade, line.problems)))
    detail = " · ".join(filter(None, (f"roll {line.roll:,}", line.answer, f"no. {line.coin.id}")))
    return RestLine(
        LineKind.COMPARE, line.label, coin=grade, detail=detail, number=line.coin.id, way=way
    )


class FinishModel(FillModel):
    """Fill's lines and the rest; `way_asked` tells row and place of the way to be taken."""

    way_asked = Signal(int, int)

    def data(self, index: AnyIndex, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        if index.isValid() and role == Qt.ItemDataRole.ToolTipRole:
            line = self.lines[index.row()]
            if isinstance(line, RestLine):
                return "S spare · L lot · B back to the bank; with Shift all of the rest"
        return super().data(index, role)


class FinishDelegate(FillDelegate):
    """Paints a line of the rest with its three ways at the right, the chosen one filled."""

    def __init__(self, parent: QListView) -> None:
        super().__init__(parent)
        self._list = parent

    def sizeHint(self, option: QStyleOptionViewItem, index: AnyIndex) -> QSize:
        line: FillLine = index.data(LINE_ROLE)
        if not isinstance(line, RestLine):
            return super().sizeHint(option, index)
        body, small = self._list.fontMetrics(), QFontMetrics(self._small())
        return QSize(200, body.height() + small.height() + 2 * S + 2)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: AnyIndex) -> None:
        line: FillLine = index.data(LINE_ROLE)
        if not isinstance(line, RestLine):
            super().paint(painter, option, index)
            return
        colours, rect = current_palette(), QRect(option.rect)
        painter.save()
        try:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            self._ground(painter, rect, colours, option.state, self._list.hasFocus())
            self._told(painter, rect, line, colours)
            for place, box in enumerate(pills(rect)):
                self._pill(painter, box, WAYS[place], line.way is WAYS[place], colours)
        finally:
            painter.restore()

    def _told(self, painter: QPainter, rect: QRect, line: RestLine, colours: Palette) -> None:
        left, right = rect.left() + M, rect.right() - M - PILLS_PX - L
        bold, body = QFont(self._list.font()), QFont(self._list.font())
        bold.setWeight(QFont.Weight.Bold)
        high = QFontMetrics(body).height()
        top = rect.top() + S
        title = QFontMetrics(bold).elidedText(
            line.title, Qt.TextElideMode.ElideRight, (right - left) * 3 // 5
        )
        painter.setFont(bold)
        painter.setPen(QColor(colours.ink))
        base = top + QFontMetrics(bold).ascent()
        painter.drawText(left, base, title)
        at = left + QFontMetrics(bold).horizontalAdvance(title) + M
        painter.setFont(body)
        room = max(0, right - at)
        coin = QFontMetrics(body).elidedText(line.coin, Qt.TextElideMode.ElideRight, room)
        painter.drawText(at, base, coin)
        painter.setFont(self._small())
        painter.setPen(QColor(colours.mute))
        metrics = QFontMetrics(self._small())
        detail = metrics.elidedText(line.detail, Qt.TextElideMode.ElideRight, right - left)
        painter.drawText(left, top + high + metrics.ascent() + 1, detail)

    def _pill(
        self, painter: QPainter, box: QRectF, way: Way, is_chosen: bool, colours: Palette
    ) -> None:
        painter.setPen(QPen(QColor(colours.accent if is_chosen else colours.line), 1.2))
        painter.setBrush(QColor(colours.accent if is_chosen else colours.card))
        painter.drawRoundedRect(box, 6, 6)
        font = self._small()
        if is_chosen:
            font.setWeight(QFont.Weight.Bold)
        painter.setFont(font)
        painter.setPen(QColor(colours.accent_ink if is_chosen else colours.mute))
        painter.drawText(box, int(Qt.AlignmentFlag.AlignCenter), WAY_WORDS[way])

    def editorEvent(
        self, event: QEvent, model: Any, option: QStyleOptionViewItem, index: AnyIndex
    ) -> bool:
        """A click on one of the three ways takes it."""
        line: FillLine = index.data(LINE_ROLE)
        if not isinstance(line, RestLine):
            return super().editorEvent(event, model, option, index)
        if event.type() == QEvent.Type.MouseButtonRelease and isinstance(event, QMouseEvent):
            for place, box in enumerate(pills(QRect(option.rect))):
                if box.contains(event.position()):
                    model.way_asked.emit(index.row(), place)
                    return True
        return False


def pills(rect: QRect) -> list[QRectF]:
    """Where the three ways stand in a line."""
    left = rect.right() - M - PILLS_PX
    top = rect.top() + (rect.height() - PILL_HIGH) / 2
    return [QRectF(left + at * (PILL_PX + 2), top, PILL_PX, PILL_HIGH) for at in range(len(WAYS))]


def finish_list(parent: QWidget) -> tuple[QListView, FinishModel]:
    """The list and its model, several lines of which can be chosen."""
    view = QListView(parent)
    view.setProperty("kind", "lines")
    view.setAccessibleName("Finds: moves into the albums, and what becomes of the rest")
    model = FinishModel(view)
    view.setModel(model)
    view.setItemDelegate(FinishDelegate(view))
    view.setMouseTracking(True)
    view.setSelectionMode(QListView.SelectionMode.ExtendedSelection)
    view.setVerticalScrollMode(QListView.ScrollMode.ScrollPerPixel)
    view.setResizeMode(QListView.ResizeMode.Adjust)
    view.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    view.setEditTriggers(QListView.EditTrigger.NoEditTriggers)
    return view, model
