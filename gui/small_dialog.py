"""A dialog of a few fields that grows when it has more to say."""

from PySide6.QtCore import QEvent
from PySide6.QtWidgets import QDialog


class SmallDialog(QDialog):
    """Grows by what its layout comes to need: a fault told below a field, say, is never cut."""

    def event(self, event: QEvent) -> bool:
        is_done = super().event(event)
        if event.type() == QEvent.Type.LayoutRequest:
            self._grow()
        return is_done

    def _grow(self) -> None:
        layout = self.layout()
        if layout is None:
            return
        needed = layout.minimumSize().height()
        if layout.hasHeightForWidth():
            needed = max(needed, layout.heightForWidth(self.width()))
        if self.height() < needed:
            self.resize(self.width(), needed)
