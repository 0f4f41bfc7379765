"""A layout that sets widgets side by side and goes on in a further line where they do not fit."""

from PySide6.QtCore import QMargins, QPoint, QRect, QSize, Qt
from PySide6.QtWidgets import QLayout, QLayoutItem, QWidget

from gui.theme import S


class FlowLayout(QLayout):
    """Like words in a paragraph; distances in logical pixels."""

    def __init__(
        self, parent: QWidget | None = None, spacing_x: int = S, spacing_y: int = S
    ) -> None:
        super().__init__(parent)
        self._items: list[QLayoutItem] = []
        self._gap_x, self._gap_y = spacing_x, spacing_y
        self.setContentsMargins(QMargins(0, 0, 0, 0))

    def addItem(self, item: QLayoutItem) -> None:
        self._items.append(item)

    def count(self) -> int:
        return len(self._items)

    def itemAt(self, index: int) -> QLayoutItem | None:
        return self._items[index] if 0 <= index < len(self._items) else None

    def takeAt(self, index: int) -> QLayoutItem | None:
        return self._items.pop(index) if 0 <= index < len(self._items) else None

    def expandingDirections(self) -> Qt.Orientation:
        return Qt.Orientation(0)

    def hasHeightForWidth(self) -> bool:
        return True

    def heightForWidth(self, width: int) -> int:
        return self._lay_out(QRect(0, 0, width, 0), is_trial=True)

    def setGeometry(self, rect: QRect) -> None:
        super().setGeometry(rect)
        self._lay_out(rect, is_trial=False)

    def sizeHint(self) -> QSize:
        return self.minimumSize()

    def minimumSize(self) -> QSize:
        size = QSize()
        for item in self._items:
            size = size.expandedTo(item.minimumSize())
        margins = self.contentsMargins()
        return size + QSize(margins.left() + margins.right(), margins.top() + margins.bottom())

    def _lay_out(self, rect: QRect, *, is_trial: bool) -> int:
        """Place the items, or only reckon; the height they need."""
        inner = rect.marginsRemoved(self.contentsMargins())
        x, y, line = inner.x(), inner.y(), 0
        for item in self._items:
            if item.isEmpty():
                continue
            size = item.sizeHint()
            if x > inner.x() and x + size.width() > inner.right() + 1:
                x, y, line = inner.x(), y + line + self._gap_y, 0
            if not is_trial:
                wide = min(size.width(), max(1, inner.width()))
                item.setGeometry(QRect(QPoint(x, y), QSize(wide, size.height())))
            x += size.width() + self._gap_x
            line = max(line, size.height())
        return y + line - rect.y() + self.contentsMargins().bottom()
