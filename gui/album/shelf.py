"""The shelf: a card an album, with how much of it is there. The current one is a white card."""

from collections.abc import Callable, Sequence
from typing import Any

from PySide6.QtCore import (
    QAbstractListModel,
    QEvent,
    QMimeData,
    QModelIndex,
    QPersistentModelIndex,
    QPoint,
    QRect,
    QRectF,
    QSize,
    Qt,
    QTimer,
    Signal,
)
from PySide6.QtGui import (
    QColor,
    QDragEnterEvent,
    QDragLeaveEvent,
    QDragMoveEvent,
    QDropEvent,
    QFont,
    QFontMetrics,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPainterPath,
    QPaintEvent,
    QPen,
    QPixmap,
)
from PySide6.QtWidgets import (
    QAbstractItemView,
    QApplication,
    QListView,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QWidget,
)

from core.app.views import AlbumSummary
from core.glyph.palette import Palette
from core.model.album import Album, AlbumId
from gui.leaf.leaf_drag import coins_in, run_drag
from gui.theme import L, M, S, current_palette
from gui.widgets import KeyHint, QuietButton, SectionLabel, column, key_text, row

WIDTH_PX = 248
CARD_PX, GAP_PX, PAD_PX, BAR_PX = 80, 8, 12, 11
ALBUM_MIME = "application/x-slotleaf-album"
"""An album's id in ASCII: a card of this shelf being dragged."""
REST_MS = 500
"""A coin held over a card this long opens its album."""
EDGE_PX = 20
NOWHERE = -1
_ROOT = QModelIndex()
_Role = Qt.ItemDataRole
AnyIndex = QModelIndex | QPersistentModelIndex


class ShelfModel(QAbstractListModel):
    """The albums from the top; counts come a moment after the names."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.albums: tuple[Album, ...] = ()
        self._counts: dict[AlbumId, AlbumSummary] = {}

    def show_albums(self, albums: Sequence[Album]) -> None:
        """Names first."""
        self.beginResetModel()
        self.albums = tuple(albums)
        self.endResetModel()

    def show_counts(self, summaries: Sequence[AlbumSummary]) -> None:
        """The counts of the albums; resets only where the albums are others."""
        self._counts = {s.album.id: s for s in summaries}
        albums = tuple(s.album for s in summaries)
        if [a.id for a in albums] != [a.id for a in self.albums]:
            self.show_albums(albums)
            return
        self.albums = albums
        if albums:
            self.dataChanged.emit(self.index(0), self.index(len(albums) - 1))

    def place_of(self, album: AlbumId) -> int:
        """Where an album stands, -1 for nowhere."""
        return next((n for n, a in enumerate(self.albums) if a.id == album), -1)

    def summary(self, place: int) -> AlbumSummary | None:
        """The counts of an album, where they are known."""
        return self._counts.get(self.albums[place].id)

    def rowCount(self, parent: AnyIndex = _ROOT) -> int:
        return 0 if parent.isValid() else len(self.albums)

    def data(self, index: AnyIndex, role: int = _Role.DisplayRole) -> Any:
        if not index.isValid() or index.row() >= len(self.albums):
            return None
        album = self.albums[index.row()]
        match role:
            case _Role.DisplayRole:
                return album.name
            case _Role.AccessibleTextRole:
                summary = self.summary(index.row())
                return f"{album.name}, {summary.headline.whole_text}" if summary else album.name
        return None


class _CardPainter(QStyledItemDelegate):
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
        card = QRectF(rect).adjusted(0.5, 0.5, -0.5, -GAP_PX - 0.5)
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        is_current = bool(state & QStyle.StateFlag.State_Selected)
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
        inner = card.adjusted(PAD_PX, S, -PAD_PX, -S)
        bold = QFont(font)
        bold.setPixelSize(14)
        bold.setBold(True)
        name = QFontMetrics(bold).elidedText(
            model.albums[place].name, Qt.TextElideMode.ElideRight, int(inner.width())
        )
        painter.setFont(bold)
        painter.setPen(QColor(colours.ink))
        top = QRectF(inner.left(), inner.top(), inner.width(), 22)
        painter.drawText(top, int(Qt.AlignmentFlag.AlignVCenter), name)
        summary = model.summary(place)
        if summary is None:
            return
        small = QFont(font)
        small.setPixelSize(12)
        painter.setFont(small)
        painter.setPen(QColor(colours.mute))
        middle = QRectF(inner.left(), inner.top() + 22, inner.width(), 18)
        painter.drawText(middle, int(Qt.AlignmentFlag.AlignVCenter), summary.headline.text)
        bar = QRectF(inner.left(), inner.bottom() - BAR_PX - 2, inner.width(), BAR_PX)
        paint_progress(painter, bar, summary.target_share, summary.has_share, colours)


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


class ShelfList(QListView):
    """The cards, by mouse and by keys; as high as its cards, as far as there is room."""

    opened = Signal()
    """Enter: go on in the album."""
    moved = Signal(int, int)
    """An album was dragged: its id, and its place from now on."""
    rested_on = Signal(int)
    """A coin is held over an album."""

    def __init__(self, model: ShelfModel, parent: QWidget) -> None:
        super().__init__(parent)
        self.setModel(model)
        self.can_move: Callable[[], bool] = lambda: False
        self._pressed_at: QPoint | None = None
        self.drop_place = NOWHERE
        self._rest_row = NOWHERE
        self._rest_timer = QTimer(self)
        self._rest_timer.setSingleShot(True)
        self._rest_timer.setInterval(REST_MS)
        self._rest_timer.timeout.connect(self._on_rested)
        self.setAcceptDrops(True)
        self.viewport().setAcceptDrops(True)
        self.setItemDelegate(_CardPainter(self))
        self.setAccessibleName("Shelf")
        self.setFrameShape(QListView.Shape.NoFrame)
        self.setStyleSheet("QListView, QListView:focus { background: transparent; border: none; }")
        self.setMouseTracking(True)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setContextMenuPolicy(Qt.ContextMenuPolicy.CustomContextMenu)
        model.modelReset.connect(self._fit)
        self._fit()

    def _fit(self) -> None:
        self.setMaximumHeight(self.model().rowCount() * (CARD_PX + GAP_PX))

    def sizeHint(self) -> QSize:
        return QSize(WIDTH_PX - 2 * M, self.maximumHeight())

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.opened.emit()
            return
        super().keyPressEvent(event)

    def viewportEvent(self, event: QEvent) -> bool:
        if event.type() == QEvent.Type.ToolTip:
            self._tip()
        return super().viewportEvent(event)

    # ---- cards and coins being dragged --------------------------------------------------------

    def mousePressEvent(self, event: QMouseEvent) -> None:
        point = event.position().toPoint()
        is_card = self.indexAt(point).isValid() and event.button() == Qt.MouseButton.LeftButton
        self._pressed_at = point if is_card else None
        super().mousePressEvent(event)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if not event.buttons():
            super().mouseMoveEvent(event)
            return
        start = self._pressed_at  # with the button down the base would choose card after card
        if start is None or not self.can_move():
            return
        if (
            event.position().toPoint() - start
        ).manhattanLength() < QApplication.startDragDistance():
            return
        self._pressed_at = None
        index = self.indexAt(start)
        if index.isValid():
            self._drag(index)

    def _drag(self, index: QModelIndex) -> None:
        data = QMimeData()
        data.setData(ALBUM_MIME, str(int(self._albums()[index.row()].id)).encode("ascii"))
        run_drag(self, data, self._picture(index))

    def _picture(self, index: QModelIndex) -> QPixmap:
        rect = self.visualRect(index).adjusted(0, 0, 0, -GAP_PX)
        return self.viewport().grab(rect)

    def _albums(self) -> tuple[Album, ...]:
        model = self.model()
        return model.albums if isinstance(model, ShelfModel) else ()

    def _dragged(self, data: QMimeData) -> int:
        """Where the dragged album stands, NOWHERE where no album of this shelf is dragged."""
        if not data.hasFormat(ALBUM_MIME) or not self.can_move():
            return NOWHERE
        album = bytes(data.data(ALBUM_MIME).data()).decode("ascii", "replace")
        places = (n for n, a in enumerate(self._albums()) if str(int(a.id)) == album)
        return next(places, NOWHERE)

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        data = event.mimeData()
        event.setAccepted(self._dragged(data) != NOWHERE or bool(coins_in(data)))

    def dragMoveEvent(self, event: QDragMoveEvent) -> None:
        point = event.position().toPoint()
        self._scroll_near_edge(point)
        if self._dragged(event.mimeData()) != NOWHERE:
            self._show_drop(self._gap_at(point))
            event.accept()
            return
        row = self.indexAt(point).row() if coins_in(event.mimeData()) else NOWHERE
        if row != self._rest_row:
            self._rest_row = row
            self._rest_timer.start() if row != NOWHERE else self._rest_timer.stop()
        event.ignore()  # a coin goes into a slot, not into an album

    def dragLeaveEvent(self, event: QDragLeaveEvent) -> None:
        self._end_drag()
        event.accept()

    def dropEvent(self, event: QDropEvent) -> None:
        at = self._dragged(event.mimeData())
        gap = self._gap_at(event.position().toPoint())
        self._end_drag()
        event.setAccepted(at != NOWHERE)
        place = gap - 1 if gap > at else gap
        if at not in (NOWHERE, place):
            self.moved.emit(int(self._albums()[at].id), place)

    def _gap_at(self, point: QPoint) -> int:
        """Before which card a point is, 0 to the number of cards."""
        top = point.y() + self.verticalScrollBar().value()
        gap = (top + (CARD_PX + GAP_PX) // 2) // (CARD_PX + GAP_PX)
        return max(0, min(gap, len(self._albums())))

    def _show_drop(self, place: int) -> None:
        if place != self.drop_place:
            self.drop_place = place
            self.viewport().update()

    def _scroll_near_edge(self, point: QPoint) -> None:
        bar = self.verticalScrollBar()
        if point.y() < EDGE_PX:
            bar.setValue(bar.value() - EDGE_PX // 2)
        elif point.y() > self.viewport().height() - EDGE_PX:
            bar.setValue(bar.value() + EDGE_PX // 2)

    def _end_drag(self) -> None:
        self._rest_timer.stop()
        self._rest_row = NOWHERE
        self._show_drop(NOWHERE)

    def _on_rested(self) -> None:
        if 0 <= self._rest_row < len(self._albums()):
            self.rested_on.emit(int(self._albums()[self._rest_row].id))

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        if self.drop_place == NOWHERE:
            return
        painter = QPainter(self.viewport())
        try:
            self._paint_drop(painter)
        finally:
            painter.end()

    def _paint_drop(self, painter: QPainter) -> None:
        """A line where the card would come to stand, with a knob at its left."""
        step = CARD_PX + GAP_PX
        middle = self.drop_place * step - GAP_PX / 2 - self.verticalScrollBar().value()
        y = min(max(middle, 3.0), self.viewport().height() - 3.0)
        colour = QColor(current_palette().accent)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(colour, 2))
        painter.drawLine(6, round(y), self.viewport().width() - 2, round(y))
        painter.setBrush(colour)
        painter.drawEllipse(QRectF(0.5, round(y) - 3, 6, 6))

    def _tip(self) -> None:
        import html

        index = self.indexAt(self.viewport().mapFromGlobal(self.cursor().pos()))
        model = self.model()
        if index.isValid() and isinstance(model, ShelfModel):
            summary = model.summary(index.row())
            text = html.escape(model.albums[index.row()].name)
            if summary is not None:
                text += f"<br>{html.escape(summary.headline.whole_text)}"
            self.setToolTip(text)


class Shelf(QWidget):
    """The left side: albums, and a way to a new one."""

    album_chosen = Signal(int)
    entered = Signal()
    """Enter on a card: go on in the album."""
    new_album_asked = Signal()
    menu_asked = Signal(int, QPoint)
    """An album's menu: its id, and where on the screen."""
    moved = Signal(int, int)
    """An album was dragged: its id, and its place from now on."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("kind", "shelf")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.setFixedWidth(WIDTH_PX)
        box = column(self, (M, L, M, M), S)
        heading = SectionLabel("Shelf", self)
        heading.setContentsMargins(PAD_PX, 0, 0, 0)
        box.addWidget(heading)
        self.model = ShelfModel(self)
        self.list = ShelfList(self.model, self)
        box.addWidget(self.list, 1)
        line = row(spacing=S)
        self.new_button = QuietButton("+  New album", self, "link")
        self.new_button.setAccessibleName("New album")
        self.new_button.setToolTip(f"New album ({key_text('Ctrl+N')})")
        self.new_button.clicked.connect(self.new_album_asked)
        line.addWidget(self.new_button)
        line.addWidget(KeyHint("Ctrl+N", self))
        line.addStretch(1)
        box.addLayout(line)
        box.addStretch(0)
        self._is_showing = False
        self.list.selectionModel().currentChanged.connect(self._on_current_changed)
        self.model.modelReset.connect(self._on_reset)
        self.list.opened.connect(self.entered)
        self.list.customContextMenuRequested.connect(self._on_menu)
        self.list.moved.connect(self.moved)
        self.list.rested_on.connect(self.album_chosen)
        self._current: AlbumId | None = None

    def show_albums(self, albums: Sequence[Album]) -> None:
        """The albums' names."""
        self.model.show_albums(albums)

    def show_counts(self, summaries: Sequence[AlbumSummary]) -> None:
        """The albums with their counts."""
        self.model.show_counts(summaries)

    def show_current(self, album: AlbumId | None) -> None:
        """Show which album is open; tells nobody."""
        self._current = album
        place = -1 if album is None else self.model.place_of(album)
        self._is_showing = True
        try:
            self.list.setCurrentIndex(self.model.index(place) if place >= 0 else QModelIndex())
        finally:
            self._is_showing = False

    def _on_reset(self) -> None:
        self.show_current(self._current)

    def _on_current_changed(self, current: AnyIndex) -> None:
        if not self._is_showing and current.isValid():
            self._current = self.model.albums[current.row()].id
            self.album_chosen.emit(int(self._current))

    def _on_menu(self, point: QPoint) -> None:
        index = self.list.indexAt(point)
        if index.isValid():
            where = self.list.viewport().mapToGlobal(point)
            self.menu_asked.emit(int(self.model.albums[index.row()].id), where)
