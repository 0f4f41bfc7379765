"""The album as it would stand, beside the fields that say so."""

from PySide6.QtWidgets import QWidget

from core.app.views import AlbumView
from core.arrange.plan import PlanBuilder
from gui.album.album_choice import count_text
from gui.leaf.view import LeafView
from gui.theme import M, S, current_palette
from gui.widgets import ElidedLabel, Label, column, row

ZOOM = 0.85


class AlbumPreview(QWidget):
    """A name, a count, and the leaves."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        words = row(spacing=M)
        self.name = ElidedLabel("", "heading", self)
        self.count = Label("", "mute", self)
        words.addWidget(self.name, 1)
        words.addWidget(self.count)
        self.leaf = LeafView(self)
        self.leaf.set_palette_colours(current_palette())
        self.leaf.setAccessibleName("Preview of the album")
        box = column(self, spacing=S)
        box.addLayout(words)
        box.addWidget(self.leaf, 1)

    def show_view(self, view: AlbumView) -> None:
        """Draw it, somewhat smaller where it would be wider than the room there is."""
        self.count.setText(count_text(view))
        leaf = self.leaf
        leaf.show_plan(view.plan, current_palette(), keep_position=False)
        leaf.clearSelection()
        leaf.set_zoom(ZOOM)
        for _ in range(2):  # a scroll bar that comes takes room in its turn
            beyond, width = leaf.horizontalScrollBar().maximum(), leaf.viewport().width()
            if beyond > 0:
                leaf.set_zoom(leaf.zoom() * width / (width + beyond) * 0.98)

    def show_nothing(self) -> None:
        """No slot would be left."""
        self.count.setText("no slots")
        empty = PlanBuilder("", has_two_lines=False).build()
        self.leaf.show_plan(empty, current_palette(), keep_position=False)
