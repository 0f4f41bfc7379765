"""The dialog of pictures and leaf sheets: choose, look at the very file, save or copy it."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QStandardPaths, Qt, QTimer
from PySide6.QtGui import QGuiApplication, QImage, QKeyEvent
from PySide6.QtWidgets import QDialog, QPushButton, QStackedWidget, QVBoxLayout, QWidget

from core.app.picture_order import PALETTES, Kind, PictureOrder
from core.app.work import Progress
from core.errors import CollectionError
from core.model.album import AlbumId
from gui.checklist.pages_view import PagesView
from gui.desk import Desk
from gui.file_choice import choose_new_file
from gui.pictures.choices import CARD, LEAF, REAL, Choices
from gui.pictures.picture_view import PictureView
from gui.theme import XL, XS, L, S
from gui.widgets import IconButton, Label, PrimaryButton, QuietButton, SaidLine, column, row
from gui.work import Job

if TYPE_CHECKING:
    from core.app.collection import Collection
    from core.app.pictures import Drawn

SIDE_PX = 300
REDRAW_MS = 150
_FINEST = 4.0
_BARRED = '<>:"/\\|?*'
_KINDS = {
    Kind.PNG: "PNG (*.png)",
    Kind.SVG: "SVG (*.svg)",
    Kind.PDF: "PDF (*.pdf)",
}


@dataclass(frozen=True, slots=True)
class _Seen:
    """A picture in small, and how large the file will be."""

    image: QImage
    width: int
    height: int
    fault: str


@dataclass(frozen=True, slots=True)
class _Pages:
    """Sheets: the file and the sizes of its pages in points."""

    data: bytes
    sizes: tuple[tuple[float, float], ...]


def file_name(album: str, what: str, leaf: int | None, kind: Kind) -> str:
    """A name that every system takes: “Nickels 1938–1964, leaf 2.png”."""
    of_leaf = f", leaf {leaf}" if leaf is not None else ""
    part = {LEAF: of_leaf, CARD: ", card", REAL: f"{of_leaf}, real size"}.get(what, "")
    safe = "".join("-" if c in _BARRED or not c.isprintable() else c for c in album)
    return f"{safe.strip(' .')[:100]}{part}.{kind}"


class PicturesDialog(QDialog):
    """Shows an album, or a leaf of it (by its number from 1), as it will be saved.

    `as_of` is a day gone by, None for today.
    """

    def __init__(
        self,
        parent: QWidget | None,
        desk: Desk,
        album: AlbumId,
        leaf: int | None = None,
        as_of: date | None = None,
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle("Picture or leaf sheets")
        self.setAccessibleName("Picture or leaf sheets")
        self.resize(1160, 760)
        self._desk, self._album, self._leaf, self._as_of = desk, album, leaf, as_of
        self._drawn: Drawn | None = None
        self._drawn_since: date | None = None
        self._job: Job | None = None
        self._keeping: Job | None = None
        self._is_ready = False
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(REDRAW_MS)
        self._timer.timeout.connect(self._remake)
        self._build()
        for button in self.findChildren(QPushButton):
            button.setAutoDefault(button is self.save_button)
        self._remake()
        self.choices.whats["album"].setFocus(Qt.FocusReason.OtherFocusReason)

    @staticmethod
    def ask(
        parent: QWidget | None,
        desk: Desk,
        album: AlbumId,
        leaf: int | None = None,
        as_of: date | None = None,
    ) -> None:
        """Show the dialog until it is left."""
        dialog = PicturesDialog(parent, desk, album, leaf, as_of)
        try:
            dialog.exec()
        finally:
            dialog.deleteLater()

    # --- building

    def _build(self) -> None:
        box = row(self, (XL, XL, 0, 0), 0)
        side = column(spacing=S, margins=(0, 0, 0, L))
        self.choices = Choices(self, self._leaf)
        self.choices.setFixedWidth(SIDE_PX)
        self.choices.changed.connect(self._remake)
        side.addWidget(self.choices, 1)
        self._build_keeping(side)
        box.addLayout(side)
        box.addSpacing(S)
        box.addLayout(self._build_preview(), 1)

    def _build_keeping(self, box: QVBoxLayout) -> None:
        self._said = SaidLine(self)
        self._said.setFixedWidth(SIDE_PX - L)
        self.save_button = PrimaryButton("Save as…", self)
        self.save_button.setDefault(True)
        self.save_button.setToolTip("Save as… (Ctrl+S)")
        self.save_button.clicked.connect(self._on_save)
        self.copy_button = QuietButton("Copy", self)
        self.copy_button.setToolTip("Copy the picture to the clipboard (Ctrl+Shift+C)")
        self.copy_button.clicked.connect(self._on_copy)
        self.leave_button = QuietButton("Close", self)
        self.leave_button.clicked.connect(self.reject)
        keeping = column(spacing=S, margins=(0, 0, L, 0))
        keeping.addWidget(self._said)
        keeping.addSpacing(XS)
        keeping.addWidget(self.save_button)
        pair = row(spacing=S)
        pair.addWidget(self.copy_button, 1)
        pair.addWidget(self.leave_button, 1)
        keeping.addLayout(pair)
        box.addLayout(keeping)

    def _build_preview(self) -> QVBoxLayout:
        box = column(spacing=S)
        self._told = Label("", "mute", self)
        head = row(margins=(0, 0, XL, 0), spacing=XS)
        head.addWidget(self._told)
        head.addStretch(1)
        self._steps = QWidget(self)
        steps = row(self._steps, spacing=XS)
        self._page = Label("", "mute", self._steps)
        self._page.setMinimumWidth(96)
        self._page.setAlignment(Qt.AlignmentFlag.AlignCenter)
        for icon, text, step in (("chevron-left", "Page back (Page Up)", -1),
                                 ("chevron-right", "Next page (Page Down)", 1)):  # fmt: skip
            button = IconButton(icon, text, self._steps)
            button.clicked.connect(self._page_step(step))
            steps.addWidget(button)
            if step < 0:
                steps.addWidget(self._page)
        head.addWidget(self._steps)
        box.addLayout(head)
        self.stack = QStackedWidget(self)
        self.picture = PictureView(self.stack)
        self.picture.resized.connect(self._on_resized)
        self.pages = PagesView(self._desk.runner, self._failed, self.stack)
        self.pages.setAccessibleName("Leaf sheets")
        self.pages.page_changed.connect(self._show_page)
        self.stack.addWidget(self.picture)
        self.stack.addWidget(self.pages)
        box.addWidget(self.stack, 1)
        return box

    def _page_step(self, step: int) -> Callable[[], None]:
        return lambda: self.pages.go_to_page(self.pages.page + step)

    def _show_page(self, page: int) -> None:
        self._page.setText(f"page {page + 1} of {self.pages.pages}")

    # --- drawing

    def _on_resized(self) -> None:
        if not self.choices.is_sheets:
            self._timer.start()

    def _remake(self) -> None:
        """Read the album where that is due, then draw."""
        if self._job is not None:
            self._job.cancel()
        self._timer.stop()
        self._is_ready = False
        self._said.say("")
        self._allow_keeping()
        self._told.setText("Drawing …")
        since = self.choices.day
        if self._drawn is not None and self._drawn_since == since:
            self._draw(self._drawn)
            return
        album, as_of = self._album, self._as_of

        def work(collection: "Collection") -> "tuple[Drawn, tuple[str, str]]":
            from core.app.pictures import drawn_of
            from core.app.real_size import hole_source

            drawn = drawn_of(collection, album, as_of, since)
            return drawn, hole_source(drawn.view)

        def arrived(read: "tuple[Drawn, tuple[str, str]]") -> None:
            drawn, source = read
            self._drawn, self._drawn_since = drawn, since
            self.choices.album.setText(drawn.view.album.name)
            self.choices.real.show_source(*source)
            self._draw(drawn)

        self._job = self._desk.ask(work, arrived, self._failed)

    def _draw(self, drawn: "Drawn") -> None:
        order = self.choices.order()
        runner = self._desk.runner
        if self.choices.fault:
            self._show_no_pages(self.choices.fault)
            return
        if self.choices.is_sheets:
            self._job = runner.submit_drawing(
                lambda _progress: _pages(drawn, order), self._show_pages, self._failed
            )
            return
        room = self.picture.room()
        size = room.width(), room.height()
        self._job = runner.submit_drawing(
            lambda progress: _seen(drawn, order, size, progress), self._show_seen, self._failed
        )

    def _show_pages(self, made: _Pages) -> None:
        self.stack.setCurrentWidget(self.pages)
        self._steps.setVisible(True)
        self.pages.show_pdf(made.data, made.sizes)
        self._show_page(self.pages.page)
        count = len(made.sizes)
        order = self.choices.order()
        look = "black on white" if order.real is None else "to be printed at 100 %"
        pages = f"{count:,} page{'' if count == 1 else 's'}"
        self._told.setText(f"{pages} on {order.paper.shown_name}, {look}")
        self._is_ready = True
        self._allow_keeping()

    def _show_seen(self, seen: _Seen) -> None:
        order = self.choices.order()
        self.stack.setCurrentWidget(self.picture)
        self._steps.setVisible(False)
        words = self._words(order)
        self.picture.show_image(seen.image, words, is_clear=order.is_transparent)
        size = f"{seen.width:,} × {seen.height:,} pixels"
        self._told.setText(size if order.kind is Kind.PNG else "Sharp at any size")
        if seen.fault:
            self._said.say(seen.fault, is_fault=True)
        self._is_ready = not seen.fault
        self._allow_keeping()

    def _words(self, order: PictureOrder) -> str:
        if self._drawn is None:
            return ""
        view = self._drawn.view
        part = f", leaf {order.leaf}" if order.leaf is not None else ""
        return f"{view.album.name}{part}: {view.headline.whole_text}"

    def _allow_keeping(self) -> None:
        is_free = self._keeping is None or self._keeping.is_done
        is_ready = self._is_ready and is_free
        self.save_button.setEnabled(is_ready)
        self.copy_button.setEnabled(is_ready and self.choices.order().kind is Kind.PNG)

    # --- keeping

    def _on_save(self) -> None:
        if self._drawn is None or not self.save_button.isEnabled():
            return
        order = self.choices.order()
        folder = QStandardPaths.writableLocation(QStandardPaths.StandardLocation.PicturesLocation)
        what_leaf = self._leaf if order.real is None else order.leaf
        name = file_name(self._drawn.view.album.name, self.choices.what, what_leaf, order.kind)
        title = "Save the leaf sheets" if self.choices.is_sheets else "Save the picture"
        start = str(Path(folder) / name)
        path = choose_new_file(self, title, start, _KINDS[order.kind], f".{order.kind}")
        if path is None:
            return
        drawn, what = self._drawn, "The sheets" if self.choices.is_sheets else "The picture"

        def work(_progress: Progress) -> Path:
            from core.app.pictures import draw
            from core.printing.whole_file import write_whole

            write_whole(path, draw(drawn, order), order.kind.upper(), what)
            return path

        self._said.say("Saving …")
        runner = self._desk.runner
        self._keeping = runner.submit_drawing(work, self._on_saved, self._not_kept)
        self._allow_keeping()

    def _on_saved(self, path: Path) -> None:
        self._keeping = None
        self._allow_keeping()
        self._said.say(f"Saved as {path.name}.")

    def _on_copy(self) -> None:
        if self._drawn is None or not self.copy_button.isEnabled():
            return
        drawn, order = self._drawn, self.choices.order()

        def work(_progress: Progress) -> QImage:
            from core.app.pictures import draw

            return QImage.fromData(draw(drawn, order))

        self._said.say("Copying …")
        runner = self._desk.runner
        self._keeping = runner.submit_drawing(work, self._on_copied, self._not_kept)
        self._allow_keeping()

    def _on_copied(self, image: QImage) -> None:
        QGuiApplication.clipboard().setImage(image)
        self._keeping = None
        self._allow_keeping()
        self._said.say(f"Copied, {image.width():,} × {image.height():,} pixels.")

    def _not_kept(self, error: Exception) -> None:
        self._keeping = None
        self._failed(error)
        self._allow_keeping()

    def _failed(self, error: Exception) -> None:
        if not isinstance(error, CollectionError):
            self._desk.show_failure(error)
            return
        self._told.setText("")
        self._said.say(str(error), is_fault=True)
        if self.choices.is_sheets and not self._is_ready:
            self._show_no_pages("No sheets to show")

    def _show_no_pages(self, why: str) -> None:
        self._told.setText(why)
        self.stack.setCurrentWidget(self.pages)
        self._steps.setVisible(False)
        self.pages.show_pdf(b"", ())

    # --- keys

    def keyPressEvent(self, event: QKeyEvent) -> None:
        modifiers, key = event.modifiers(), event.key()
        is_ctrl = bool(modifiers & Qt.KeyboardModifier.ControlModifier)
        is_shift = bool(modifiers & Qt.KeyboardModifier.ShiftModifier)
        if is_ctrl and key == Qt.Key.Key_S:
            self.save_button.click()
        elif is_ctrl and is_shift and key == Qt.Key.Key_C:
            self.copy_button.click()
        elif self.choices.is_sheets and key in (Qt.Key.Key_PageDown, Qt.Key.Key_PageUp):
            self.pages.keyPressEvent(event)
        elif (
            key in (Qt.Key.Key_Return, Qt.Key.Key_Enter)
            and isinstance(self.focusWidget(), QWidget)
            and self.focusWidget() in self.choices.typed_fields
        ):
            self.choices.take_typed()
        else:
            super().keyPressEvent(event)

    def done(self, result: int) -> None:
        if self._job is not None:
            self._job.cancel()
        self.pages.stop()
        super().done(result)


def _pages(drawn: "Drawn", order: PictureOrder) -> _Pages:
    from core.app.pictures import draw
    from core.printing.png import page_sizes

    data = draw(drawn, order)
    return _Pages(data, page_sizes(data))


def _seen(drawn: "Drawn", order: PictureOrder, room: tuple[int, int], progress: Progress) -> _Seen:
    """The picture as large as there is room for, and what is wrong with its real size."""
    from core.app.pictures import picture_page, scale_of
    from core.printing.drawn_page import check_size, page_png

    page = picture_page(drawn, order)
    progress.check()
    full = scale_of(page, order)
    fault = ""
    if order.kind is Kind.PNG:
        try:
            check_size(page, full)
        except CollectionError as error:
            fault = str(error)
    scale = min(room[0] / page.width, room[1] / page.height, _FINEST)
    image = QImage.fromData(page_png(page, PALETTES[order.theme], scale))
    return _Seen(image, round(page.width * full), round(page.height * full), fault)
