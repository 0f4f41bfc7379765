"""Which columns the coins table shows, and in which order: tick, drag, or use the keys."""

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QDialog,
    QHBoxLayout,
    QListWidget,
    QListWidgetItem,
    QWidget,
)

from gui.coins.columns import CHOICES, NEEDED, Layout
from gui.coins.rows import Column
from gui.theme import XL, M, S
from gui.widgets import IconButton, KeyHint, Label, PrimaryButton, QuietButton, column, row

_Flag = Qt.ItemFlag
_CHECKED, _UNCHECKED = Qt.CheckState.Checked, Qt.CheckState.Unchecked
_COLUMN = Qt.ItemDataRole.UserRole


ROW_PX = 28


class ColumnList(QListWidget):
    """The columns in their order, shown ones ticked; Alt and an arrow moves one."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("Columns: Space shows or hides, Alt and an arrow moves")
        self.setDragDropMode(QAbstractItemView.DragDropMode.InternalMove)
        self.setDefaultDropAction(Qt.DropAction.MoveAction)
        self.setUniformItemSizes(True)
        self.setProperty("kind", "choices")

    def show_layout(self, layout: Layout) -> None:
        """Fill the list."""
        self.clear()
        hidden = [c for c in CHOICES if c not in layout.shown]
        for name in (*layout.shown, *hidden):
            item = QListWidgetItem(name.value, self)
            item.setData(_COLUMN, name.value)
            item.setSizeHint(QSize(0, ROW_PX))
            flags = _Flag.ItemIsEnabled | _Flag.ItemIsSelectable | _Flag.ItemIsDragEnabled
            if name is NEEDED:
                item.setToolTip("A row must say what it is.")
            item.setFlags(flags if name is NEEDED else flags | _Flag.ItemIsUserCheckable)
            item.setCheckState(_CHECKED if name in layout.shown else _UNCHECKED)
        self.setCurrentRow(0)

    def chosen(self) -> list[Column]:
        """The ticked columns in their order."""
        items = [self.item(place) for place in range(self.count())]
        return [Column(item.data(_COLUMN)) for item in items if item.checkState() == _CHECKED]

    def move_current(self, by: int) -> None:
        """Move the current column up or down."""
        place = self.currentRow()
        to = place + by
        if place < 0 or not 0 <= to < self.count():
            return
        item = self.takeItem(place)
        self.insertItem(to, item)
        self.setCurrentRow(to)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        is_alt = bool(event.modifiers() & Qt.KeyboardModifier.AltModifier)
        if is_alt and event.key() == Qt.Key.Key_Up:
            self.move_current(-1)
        elif is_alt and event.key() == Qt.Key.Key_Down:
            self.move_current(1)
        else:
            super().keyPressEvent(event)


class ColumnsDialog(QDialog):
    """Gives another layout, or None."""

    def __init__(self, parent: QWidget | None, layout: Layout) -> None:
        super().__init__(parent)
        self._layout = layout
        self.setWindowTitle("Columns")
        self.resize(400, 680)
        box = column(self, (XL, XL, XL, XL), S)
        box.addWidget(Label("Columns", "heading", self))
        words = "Ticked columns are shown, from the left in this order. The form has them all."
        box.addWidget(Label(words, "mute", self, wraps=True))
        box.addSpacing(S)
        body = row(spacing=S)
        self.list = ColumnList(self)
        self.list.show_layout(layout)
        body.addWidget(self.list, 1)
        side = column(spacing=S)
        self.up = IconButton("arrow-up", "Further left (Alt+Up)", self)
        self.down = IconButton("arrow-down", "Further right (Alt+Down)", self)
        self.up.clicked.connect(lambda: self.list.move_current(-1))
        self.down.clicked.connect(lambda: self.list.move_current(1))
        side.addWidget(self.up)
        side.addWidget(self.down)
        side.addStretch(1)
        body.addLayout(side)
        box.addLayout(body, 1)
        hints = row(spacing=S)
        for key, words in (("Space", "show or hide"), ("Alt+Up", "move")):
            hints.addWidget(KeyHint(key, self, is_written=True))
            hints.addWidget(Label(words, "small", self))
            hints.addSpacing(S)
        hints.addStretch(1)
        box.addLayout(hints)
        box.addSpacing(M)
        box.addLayout(self._build_foot())
        self.list.setFocus(Qt.FocusReason.OtherFocusReason)

    def _build_foot(self) -> QHBoxLayout:
        foot = row(spacing=S)
        self.reset_button = QuietButton("Reset", self)
        self.reset_button.setToolTip("The usual columns, as wide as usual")
        self.reset_button.clicked.connect(self.reset)
        cancel = QuietButton("Cancel", self)
        cancel.clicked.connect(self.reject)
        self.give_button = PrimaryButton("Show these", self)
        self.give_button.setDefault(True)
        self.give_button.clicked.connect(self.accept)
        foot.addWidget(self.reset_button)
        foot.addStretch(1)
        foot.addWidget(cancel)
        foot.addWidget(self.give_button)
        return foot

    @property
    def chosen(self) -> Layout:
        """The layout as it is ticked and ordered."""
        return self._layout.with_shown(self.list.chosen())

    def reset(self) -> None:
        """The usual columns, as wide as usual."""
        self._layout = Layout()
        self.list.show_layout(self._layout)

    @classmethod
    def ask(cls, parent: QWidget | None, layout: Layout) -> Layout | None:
        """Another layout, None when it was cancelled."""
        dialog = cls(parent, layout)
        is_given = dialog.exec() == QDialog.DialogCode.Accepted
        chosen = dialog.chosen
        dialog.deleteLater()
        return chosen if is_given else None
