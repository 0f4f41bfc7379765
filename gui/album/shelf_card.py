"""The shelf's model, and how a card is painted: name, count, and how much of it is there."""

from collections.abc import Sequence
from typing import Any

from PySide6.QtCore import (
    QAbstractListModel,
    QModelIndex,
    QPersistentModelIndex,
    QPointF,
    QRect,
    QRectF,
    QSize,
    Qt,
)
from PySide6.QtGui import QColor, QFont, QFontMetrics, QPainter, QPainterPath, QPen
from PySide6.QtWidgets import QStyle, QStyledItemDelegate, QStyleOptionViewItem, QWidget

from core.app.views import AlbumSummary, Headline
from core.glyph.palette import Palette
from core.model.album import Album, AlbumId, AlbumKind
from gui.album.shelf_rows import ShelfRow, detail_text, row_of, shelf_rows, together
from gui.theme import M, S, current_palette

WIDTH_PX = 248
VOLUME_INDENT_PX, CHEVRON_PX = 16, 16
CARD_PX, GAP_PX, PAD_PX, BAR_PX = 80, 8, 12, 11
_ROOT = QModelIndex()
_Role = Qt.ItemDataRole
AnyIndex = QModelIndex | QPersistentModelIndex


class ShelfModel(QAbstractListModel):
    """The cards from the top; counts come a moment after the names.

    `albums` are all albums of the shelf, `rows` the cards: volumes that are folded have none.
    """

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.albums: tuple[Album, ...] = ()
        self.rows: tuple[ShelfRow, ...] = ()
        self.opened: AlbumId | None = None
        """The album that is shown: its card is white, also while the keys are on a heading."""
        self._unfolded: set[str] = set()
        self._counts: dict[AlbumId, AlbumSummary] = {}

    def show_albums(self, albums: Sequence[Album]) -> None:
        """Names first."""
        self.beginResetModel()
        self.albums = tuple(albums)
        self.rows = shelf_rows(self.albums, self._unfolded)
        self.endResetModel()

    def fold(self, title: str, is_folded: bool) -> None:
        """Show the volumes of a run, or its heading alone."""
        if (title in self._unfolded) is is_folded:
            (self._unfolded.discard if is_folded else self._unfolded.add)(title)
            self.show_albums(self.albums)

    def row_of(self, album: AlbumId) -> int:
        """The card of an album, or of the folded heading it is under; -1 for nowhere."""
        return row_of(self.rows, album)

    def show_counts(self, summaries: Sequence[AlbumSummary]) -> None:
        """The counts of the albums; resets only where the albums are others."""
        self._counts = {s.album.id: s for s in summaries}
        albums = tuple(s.album for s in summaries)
        if [(a.id, a.volumes) for a in albums] != [(a.id, a.volumes) for a in self.albums]:
            self.show_albums(albums)
            return
        self.albums, self.rows = albums, shelf_rows(albums, self._unfolded)
        if albums:
            self.dataChanged.emit(self.index(0), self.index(len(self.rows) - 1))

    def place_of(self, album: AlbumId) -> int:
        """Where an album stands, -1 for nowhere."""
        return next((n for n, a in enumerate(self.albums) if a.id == album), -1)

    def summary(self, place: int) -> AlbumSummary | None:
        """The counts of an album, where they are known."""
        return self._counts.get(self.albums[place].id)

    def headline(self, row: int) -> Headline | None:
        """The counts of a card, those of a heading over its volumes; None while not known."""
        known = [self._counts.get(album.id) for album in self.rows[row].albums]
        found = [summary for summary in known if summary is not None]
        if len(found) < len(known):
            return None
        return found[0].headline if len(found) == 1 else together(found)

    def rowCount(self, parent: AnyIndex = _ROOT) -> int:
        return 0 if parent.isValid() else len(self.rows)

    def data(self, index: AnyIndex, role: int = _Role.DisplayRole) -> Any:
        if not index.isValid() or index.row() >= len(self.rows):
            return None
        row = self.rows[index.row()]
        match role:
            case _Role.DisplayRole:
                return row.title
            case _Role.AccessibleTextRole:
                return self._spoken(row, self.headline(index.row()))
        return None

    @staticmethod
    def _spoken(row: ShelfRow, headline: Headline | None) -> str:
        counts = headline.whole_text if headline is not None else ""
        if row.is_heading:
            state = "folded" if row.is_folded else "unfolded"
            what = f"{row.title}, {len(row.albums)} volumes, {state}"
        else:
            what = row.albums[0].name
            if row.albums[0].kind is AlbumKind.OVERVIEW:
                what += ", overview"
        return ", ".join(filter(None, (what, counts)))


class CardPainter(QStyledItemDelegate):
    """Paints a card: name, count, and the bar. Solid is at target, hatched below, empty a gap."""

    def sizeHint(self, option: QStyleOptionViewItem, index: AnyIndex) -> QSize:
        return QSize(WIDTH_PX - 2 * M, CARD_PX + GAP_PX)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: AnyIndex) -> None:
        model = index.model()
        if not isinstance(model, ShelfModel):
            return
        colours = current_palette()
        rect: QRect = option.rect
        state: QStyle.StateFlag = option.state
        font: QFont = option.font
        is_volume = model.rows[index.row()].is_volume
        indent = VOLUME_INDENT_PX if is_volume else 0
        card = QRectF(rect).adjusted(0.5 + indent, 0.5, -0.5, -GAP_PX - 0.5)
        painter.save()
        if is_volume:
            painter.setPen(QPen(QColor(colours.line), 1))
            x = rect.left() + VOLUME_INDENT_PX // 2 + 0.5
            painter.drawLine(QPointF(x, rect.top() - GAP_PX), QPointF(x, card.bottom()))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        album = model.rows[index.row()].album
        is_open = album is not None and album.id == model.opened
        is_current = bool(state & QStyle.StateFlag.State_Selected) or is_open
        has_focus = bool(state & QStyle.StateFlag.State_HasFocus)
        if is_current:
            edge = colours.accent if has_focus else colours.line
            painter.setPen(QPen(QColor(edge), 2 if has_focus else 1))
            painter.setBrush(QColor(colours.card))
            painter.drawRoundedRect(card.adjusted(0.5, 0.5, -0.5, -0.5), 8, 8)
        elif state & QStyle.StateFlag.State_MouseOver:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(QColor(colours.hover))
            painter.drawRoundedRect(card, 8, 8)
        self._paint_texts(painter, card, model, index.row(), font, colours)
        painter.restore()

    @staticmethod
    def _paint_texts(
        painter: QPainter,
        card: QRectF,
        model: ShelfModel,
        place: int,
        font: QFont,
        colours: Palette,
    ) -> None:
        row, headline = model.rows[place], model.headline(place)
        inner = card.adjusted(PAD_PX, S, -PAD_PX, -S)
        bold = QFont(font)
        bold.setPixelSize(14)
        bold.setBold(True)
        room = inner.width() - (CHEVRON_PX + S if row.is_heading else 0)
        side = Qt.TextElideMode.ElideMiddle if row.is_volume else Qt.TextElideMode.ElideRight
        name = QFontMetrics(bold).elidedText(row.title, side, int(room))
        painter.setFont(bold)
        painter.setPen(QColor(colours.ink))
        top = QRectF(inner.left(), inner.top(), room, 22)
        painter.drawText(top, int(Qt.AlignmentFlag.AlignVCenter), name)
        if row.is_heading:
            middle_of_it = QPointF(inner.right() - CHEVRON_PX / 2, top.center().y())
            paint_chevron(painter, middle_of_it, colours, is_down=not row.is_folded)
        if headline is None:
            return
        small = QFont(font)
        small.setPixelSize(12)
        painter.setFont(small)
        painter.setPen(QColor(colours.mute))
        middle = QRectF(inner.left(), inner.top() + 22, inner.width(), 18)
        text = detail_text(row, headline)
        painter.drawText(middle, int(Qt.AlignmentFlag.AlignVCenter), text)
        bar = QRectF(inner.left(), inner.bottom() - BAR_PX - 2, inner.width(), BAR_PX)
        wanted = headline.wanted or 1
        shares = headline.at_target / wanted, headline.have / wanted
        paint_progress(painter, bar, *shares, colours)


def paint_chevron(painter: QPainter, at: QPointF, colours: Palette, *, is_down: bool) -> None:
    """A small angle: down where the volumes show below, right where they are folded away."""
    painter.save()
    painter.translate(at)
    painter.rotate(90 if is_down else 0)
    painter.setPen(QPen(QColor(colours.mute), 1.6, c=Qt.PenCapStyle.RoundCap))
    half = CHEVRON_PX / 4
    painter.drawPolyline(
        [QPointF(-half / 2, -half), QPointF(half / 2, 0), QPointF(-half / 2, half)]
    )
    painter.restore()


def paint_progress(
    painter: QPainter, bar: QRectF, at_target: float, has: float, colours: Palette
) -> None:
    """A bar whose solid part is at target and whose hatched part holds a coin below it (0 to 1)."""
    ratio = painter.device().devicePixelRatio()
    sides = (bar.x(), bar.y(), bar.width(), bar.height())
    bar = QRectF(*(round(side * ratio) / ratio for side in sides))
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
    colour = QColor(colours.filled)
    solid = QRectF(bar.left(), bar.top(), round(bar.width() * at_target), bar.height())
    painter.fillRect(solid, colour)
    hatched = QRectF(solid.right(), bar.top(), round(bar.width() * (has - at_target)), bar.height())
    if hatched.width() > 0:
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setClipRect(hatched)
        painter.setPen(QPen(colour, 1.4))
        strokes = QPainterPath()
        x = hatched.left() - bar.height()
        while x < hatched.right():
            strokes.moveTo(x, bar.bottom())
            strokes.lineTo(x + bar.height(), bar.top())
            x += 5
        painter.drawPath(strokes)
        painter.restore()
    painter.setBrush(Qt.BrushStyle.NoBrush)
    pen = QPen(QColor(colours.mute), 1)
    painter.setPen(pen)
    painter.drawRect(bar.adjusted(0, 0, -1, -1))
    painter.restore()
