"""The shelf: a card an album, with how much of it is there. The current one is a white card."""

from collections.abc import Callable, Sequence

from PySide6.QtCore import (
    QEvent,
    QMimeData,
    QModelIndex,
    QPoint,
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
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QPixmap,
)
from PySide6.QtWidgets import (
    QAbstractItemView,
    QApplication,
    QListView,
    QWidget,
)

from core.app.views import AlbumSummary
from core.model.album import Album, AlbumId
from gui.album.shelf_card import (
    CARD_PX,
    GAP_PX,
    PAD_PX,
    WIDTH_PX,
    AnyIndex,
    CardPainter,
    ShelfModel,
)
from gui.album.shelf_rows import ShelfRow, dropped
from gui.leaf.leaf_drag import coins_in, run_drag
from gui.theme import L, M, S, current_palette
from gui.widgets import KeyHint, QuietButton, SectionLabel, column, key_text, row

ALBUM_MIME = "application/x-slotleaf-album"
"""An album's id in ASCII: a card of this shelf being dragged."""
REST_MS = 500
"""A coin held over a card this long opens its album."""
EDGE_PX = 20
NOWHERE = -1


class ShelfList(QListView):
    """The cards, by mouse and by keys; as high as its cards, as far as there is room."""

    opened = Signal()
    """Enter: go on in the album."""
    ordered = Signal(object)
    """A card was dragged: the ids of all albums as they stand from now on."""
    rested_on = Signal(int)
    """A coin is held over an album."""
    folded = Signal(str, bool)
    """The volumes of a title are to be folded away, or shown."""

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
        self.setItemDelegate(CardPainter(self))
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
        self.clicked.connect(self._on_clicked)
        self._fit()

    def _fit(self) -> None:
        self.setMaximumHeight(self.model().rowCount() * (CARD_PX + GAP_PX))

    def sizeHint(self) -> QSize:
        return QSize(WIDTH_PX - 2 * M, self.maximumHeight())

    def keyPressEvent(self, event: QKeyEvent) -> None:
        row = self._row(self.currentIndex())
        is_enter = event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter)
        if row is not None and row.is_heading and is_enter:
            self.folded.emit(row.title, not row.is_folded)
        elif is_enter:
            self.opened.emit()
        elif event.key() == Qt.Key.Key_Left and row is not None:
            self._go_out(row)
        elif event.key() == Qt.Key.Key_Right and row is not None:
            self._go_in(row)
        else:
            super().keyPressEvent(event)

    def _go_out(self, row: ShelfRow) -> None:
        """Left: fold a heading; from a volume to its heading."""
        if row.is_heading:
            self.folded.emit(row.title, True)
        elif row.is_volume:
            rows, at = self._rows(), self.currentIndex().row()
            heading = max(n for n in range(at) if rows[n].is_heading)
            self.setCurrentIndex(self.model().index(heading, 0))

    def _go_in(self, row: ShelfRow) -> None:
        """Right: unfold a heading; from one that is unfolded to its first volume."""
        if row.is_heading and row.is_folded:
            self.folded.emit(row.title, False)
        elif row.is_heading:
            self.setCurrentIndex(self.model().index(self.currentIndex().row() + 1, 0))

    def _on_clicked(self, index: QModelIndex) -> None:
        row = self._row(index)
        if row is not None and row.is_heading:
            self.folded.emit(row.title, not row.is_folded)

    def _rows(self) -> tuple[ShelfRow, ...]:
        model = self.model()
        return model.rows if isinstance(model, ShelfModel) else ()

    def _row(self, index: QModelIndex) -> ShelfRow | None:
        return self._rows()[index.row()] if index.isValid() else None

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
        row = self._rows()[index.row()]
        name = f"{int(row.albums[0].id)}{' and its run' if row.is_heading else ''}"
        data.setData(ALBUM_MIME, name.encode("ascii"))
        run_drag(self, data, self._picture(index))

    def _picture(self, index: QModelIndex) -> QPixmap:
        rect = self.visualRect(index).adjusted(0, 0, 0, -GAP_PX)
        return self.viewport().grab(rect)

    def _dragged(self, data: QMimeData) -> int:
        """Where the dragged album stands, NOWHERE where no album of this shelf is dragged."""
        if not data.hasFormat(ALBUM_MIME) or not self.can_move():
            return NOWHERE
        name = bytes(data.data(ALBUM_MIME).data()).decode("ascii", "replace")
        album, _, is_run = name.partition(" ")
        return next(
            (
                n
                for n, row in enumerate(self._rows())
                if str(int(row.albums[0].id)) == album and row.is_heading is bool(is_run)
            ),
            NOWHERE,
        )

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
        order = dropped(self._rows(), at, gap) if at != NOWHERE else None
        if order is not None:
            self.ordered.emit(order)

    def _gap_at(self, point: QPoint) -> int:
        """Before which card a point is, 0 to the number of cards."""
        top = point.y() + self.verticalScrollBar().value()
        gap = (top + (CARD_PX + GAP_PX) // 2) // (CARD_PX + GAP_PX)
        return max(0, min(gap, len(self._rows())))

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
        rows = self._rows()
        if not 0 <= self._rest_row < len(rows):
            return
        row = rows[self._rest_row]
        if row.is_heading:
            self.folded.emit(row.title, False)
        else:
            self.rested_on.emit(int(row.albums[0].id))

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
            row, headline = model.rows[index.row()], model.headline(index.row())
            text = html.escape(row.title if row.is_heading else row.albums[0].name)
            if headline is not None:
                text += f"<br>{html.escape(headline.whole_text)}"
            if row.is_heading:
                text += f"<br>{len(row.albums)} volumes: Right shows them, Left folds them away"
            self.setToolTip(text)


class Shelf(QWidget):
    """The left side: albums, and a way to a new one."""

    album_chosen = Signal(int)
    entered = Signal()
    """Enter on a card: go on in the album."""
    new_album_asked = Signal()
    menu_asked = Signal(int, QPoint)
    """An album's menu: its id, and where on the screen."""
    ordered = Signal(object)
    """A card was dragged: the ids of all albums as they stand from now on."""

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
        self.list.ordered.connect(self.ordered)
        self.list.folded.connect(self._on_folded)
        self.list.rested_on.connect(self.album_chosen)
        self._current: AlbumId | None = None
        self._heading = self._run = ""

    def show_albums(self, albums: Sequence[Album]) -> None:
        """The albums' names."""
        self.model.show_albums(albums)

    def show_counts(self, summaries: Sequence[AlbumSummary]) -> None:
        """The albums with their counts."""
        self.model.show_counts(summaries)

    def show_current(self, album: AlbumId | None) -> None:
        """Show which album is open; tells nobody."""
        is_other, self._current = album != self._current, album
        self.model.opened = album
        self._heading = "" if is_other else self._heading
        if is_other and self._unfolds():
            return
        self._on_reset()

    def _unfolds(self) -> bool:
        """Unfold the run of the album that is open; whether it was folded."""
        row = -1 if self._current is None else self.model.row_of(self._current)
        is_folded = row >= 0 and self.model.rows[row].is_heading
        if is_folded:
            self.model.fold(self.model.rows[row].title, False)
        return is_folded

    def _stand_on(self, row: int) -> None:
        self._is_showing = True
        try:
            self.list.setCurrentIndex(self.model.index(row) if row >= 0 else QModelIndex())
        finally:
            self._is_showing = False

    @property
    def heading(self) -> str:
        """The title of the run whose heading the keys are on, "" where they are on an album."""
        return self._heading

    def _on_reset(self) -> None:
        run = next((a.volumes for a in self.model.albums if a.id == self._current), "")
        is_new, self._run = run != self._run, run
        if is_new and self._unfolds():  # the open album has become a volume
            return
        titles = [row.title if row.is_heading else "" for row in self.model.rows]
        if self._heading in titles and self._heading:
            self._stand_on(titles.index(self._heading))
        else:
            self._stand_on(-1 if self._current is None else self.model.row_of(self._current))

    def _on_folded(self, title: str, is_folded: bool) -> None:
        self._heading = title
        self.model.fold(title, is_folded)

    def _on_current_changed(self, current: AnyIndex) -> None:
        if self._is_showing or not current.isValid():
            return
        row = self.model.rows[current.row()]
        self._heading = row.title if row.is_heading else ""
        if row.album is not None:
            self._current = self.model.opened = row.album.id
            self.album_chosen.emit(int(self._current))

    def _on_menu(self, point: QPoint) -> None:
        index = self.list.indexAt(point)
        if index.isValid():
            where = self.list.viewport().mapToGlobal(point)
            row = self.model.rows[index.row()]
            inside = [a.id for a in row.albums if a.id == self._current]
            self.menu_asked.emit(int((inside or [row.albums[0].id])[0]), where)
