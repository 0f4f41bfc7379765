"""The pages of a PDF one below the other, drawn from the real file as they come into view."""

from collections.abc import Sequence

from PySide6.QtCore import QRect, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QImage,
    QKeyEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QPixmap,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QAbstractScrollArea, QFrame, QWidget

from core.app.work import Progress
from gui.theme import XL, L, current_palette
from gui.work import Failed, Job, Runs

LEAST, MOST = 0.4, 4.0
MOST_PX_A_POINT = 2.4
"""How large a page is drawn at most at zoom 1."""
MOST_DOTS = 40_000_000
"""Pages drawn and kept hold no more dots than this together: about 160 MB."""

Dots = tuple[int, int, bytes]


class PagesView(QAbstractScrollArea):
    """At zoom 1 a page is as wide as the view, but a small one no larger than is easy to read.

    The page in the middle is the current one.
    """

    page_changed = Signal(int)
    """The page in view, from 0."""
    zoom_changed = Signal(float)

    def __init__(self, runner: Runs, failed: Failed, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._runner, self._failed = runner, failed
        self._data = b""
        self._sizes: tuple[tuple[float, float], ...] = ()
        self._rects: list[QRect] = []
        self._drawn: dict[int, QPixmap] = {}
        self._job: Job | None = None
        self._job_page = -1
        self._zoom = 1.0
        self._page = 0
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName("Pages of the checklist")
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAsNeeded)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOn)
        self.verticalScrollBar().valueChanged.connect(self._on_scrolled)

    # --- in and out

    def show_pdf(self, data: bytes, sizes: Sequence[tuple[float, float]]) -> None:
        """Show another file; sizes in points."""
        self._data, self._sizes = data, tuple(sizes)
        self._forget()
        self._lay_out()
        self.verticalScrollBar().setValue(0)
        self._on_scrolled()
        self.viewport().update()

    @property
    def pages(self) -> int:
        """How many pages there are."""
        return len(self._sizes)

    @property
    def page(self) -> int:
        """The page in view, from 0."""
        return self._page

    @property
    def is_drawn(self) -> bool:
        """Whether every page in view is drawn."""
        return all(page in self._drawn for page in self._in_view())

    def go_to_page(self, page: int) -> None:
        """Bring a page to the top."""
        if 0 <= page < len(self._rects):
            self.verticalScrollBar().setValue(self._rects[page].top() - L)

    def set_zoom(self, zoom: float) -> None:
        """1 is the width of the view."""
        zoom = min(MOST, max(LEAST, zoom))
        if zoom == self._zoom:
            return
        page = self._page
        before = self._rects[page] if self._rects else QRect()
        share = (self.verticalScrollBar().value() - before.top()) / max(1, before.height())
        self._zoom = zoom
        self._forget()
        self._lay_out()
        if self._rects:
            at = self._rects[page]
            self.verticalScrollBar().setValue(round(at.top() + share * at.height()))
        self.zoom_changed.emit(zoom)
        self.viewport().update()

    @property
    def zoom(self) -> float:
        """1 is the width of the view."""
        return self._zoom

    def stop(self) -> None:
        """Draw nothing any more."""
        if self._job is not None:
            self._job.cancel()
            self._job = None

    # --- layout

    def _scale(self) -> float:
        """Logical pixels a point."""
        widest = max((width for width, _ in self._sizes), default=1.0)
        fitting = (self.viewport().width() - 2 * XL) / widest
        return max(0.05, min(fitting, MOST_PX_A_POINT)) * self._zoom

    def _lay_out(self) -> None:
        scale, top = self._scale(), L
        self._rects = []
        widest = 0
        for width, height in self._sizes:
            size = QSize(round(width * scale), round(height * scale))
            left = max(XL, (self.viewport().width() - size.width()) // 2)
            self._rects.append(QRect(left, top, size.width(), size.height()))
            top += size.height() + L
            widest = max(widest, size.width() + 2 * XL)
        down, across = self.verticalScrollBar(), self.horizontalScrollBar()
        down.setRange(0, max(0, top - self.viewport().height()))
        down.setPageStep(self.viewport().height())
        down.setSingleStep(40)
        across.setRange(0, max(0, widest - self.viewport().width()))
        across.setPageStep(self.viewport().width())
        across.setSingleStep(40)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if event.oldSize().width() != event.size().width():
            self._forget()
        self._lay_out()
        self.viewport().update()

    def scrollContentsBy(self, dx: int, dy: int) -> None:
        self.viewport().update()

    def _on_scrolled(self) -> None:
        middle = self.verticalScrollBar().value() + self.viewport().height() // 3
        page = next((n for n, r in enumerate(self._rects) if r.bottom() >= middle), self._page)
        if page != self._page:
            self._page = page
            self.page_changed.emit(page)

    def _in_view(self) -> list[int]:
        top = self.verticalScrollBar().value()
        shown = QRect(0, top, 100_000, self.viewport().height())
        return [n for n, rect in enumerate(self._rects) if rect.intersects(shown)]

    # --- drawing

    def _forget(self) -> None:
        self.stop()
        self._drawn.clear()

    def _ask_next(self) -> None:
        """Have the next page in view drawn, one at a time."""
        if self._job is not None and not self._job.is_done:
            return
        missing = [page for page in self._in_view() if page not in self._drawn]
        if not missing or not self._data:
            return
        page, data = missing[0], self._data
        scale = self._scale() * self.devicePixelRatioF()

        def work(_progress: Progress) -> Dots:
            from core.printing.png import render_page

            return render_page(data, page, scale)

        self._job_page = page
        self._job = self._runner.submit_drawing(work, self._on_drawn, self._failed)
        if self._job.is_done:
            self._job = None

    def _on_drawn(self, dots: Dots) -> None:
        width, height, data = dots
        image = QImage(data, width, height, width * 4, QImage.Format.Format_RGB32)
        pixmap = QPixmap.fromImage(image.copy())
        pixmap.setDevicePixelRatio(self.devicePixelRatioF())
        self._job = None
        self._keep(self._job_page, pixmap)
        self.viewport().update()

    def _keep(self, page: int, pixmap: QPixmap) -> None:
        self._drawn[page] = pixmap
        dots = sum(p.width() * p.height() for p in self._drawn.values())
        shown = set(self._in_view())
        for other in [p for p in self._drawn if p not in shown and p != page]:
            if dots <= MOST_DOTS:
                break
            gone = self._drawn.pop(other)
            dots -= gone.width() * gone.height()

    def paintEvent(self, event: QPaintEvent) -> None:
        colours = current_palette()
        painter = QPainter(self.viewport())
        try:
            painter.fillRect(self.viewport().rect(), QColor(colours.paper))
            across, down = self.horizontalScrollBar().value(), self.verticalScrollBar().value()
            painter.setPen(QPen(QColor(colours.line), 1))
            for page in self._in_view():
                rect = self._rects[page].translated(-across, -down)
                painter.fillRect(rect, QColor("#ffffff"))  # paper is white in either theme
                if (pixmap := self._drawn.get(page)) is not None:
                    painter.drawPixmap(rect.topLeft(), pixmap)
                painter.drawRect(rect.adjusted(-1, -1, 0, 0))
            if self.hasFocus():
                painter.setPen(QPen(QColor(colours.accent), 2))
                painter.drawRect(self.viewport().rect().adjusted(1, 1, -1, -1))
        finally:
            painter.end()
        self._ask_next()

    # --- keys and wheel

    def keyPressEvent(self, event: QKeyEvent) -> None:
        bar = self.verticalScrollBar()
        is_ctrl = bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier)
        match event.key():
            case Qt.Key.Key_PageDown:
                self.go_to_page(self._page + 1)
            case Qt.Key.Key_PageUp:
                self.go_to_page(max(0, self._page - 1))
            case Qt.Key.Key_Home:
                bar.setValue(0)
            case Qt.Key.Key_End:
                bar.setValue(bar.maximum())
            case Qt.Key.Key_Plus | Qt.Key.Key_Equal if is_ctrl:
                self.set_zoom(self._zoom * 1.25)
            case Qt.Key.Key_Minus if is_ctrl:
                self.set_zoom(self._zoom / 1.25)
            case Qt.Key.Key_0 if is_ctrl:
                self.set_zoom(1.0)
            case _:
                super().keyPressEvent(event)

    def wheelEvent(self, event: QWheelEvent) -> None:
        if event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            self.set_zoom(self._zoom * 1.2 ** (event.angleDelta().y() / 120))
            event.accept()
            return
        super().wheelEvent(event)
