"""Where could this coin go: every slot of every album that takes it, best first."""

from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QObject, QPersistentModelIndex, Qt
from PySide6.QtGui import QColor, QKeyEvent
from PySide6.QtWidgets import QAbstractItemView, QDialog, QHeaderView, QTableView, QWidget

from core.app.finding import CoinPlace, CoinPlaces, Gain
from core.model.fit import Fit
from gui.theme import XL, S, current_palette
from gui.widgets import (
    ElidedLabel,
    EmptyState,
    KeyHint,
    Label,
    PrimaryButton,
    QuietButton,
    column,
    row,
)

ROW_PX = 36
GLYPH_PX = 16
HEADS = ("slot", "album", "lies at", "in it now", "this coin")
WIDTHS = (128, 208, 168, 200, 0)
_Role = Qt.ItemDataRole
_ENTER = frozenset({Qt.Key.Key_Return, Qt.Key.Key_Enter})
AnyIndex = QModelIndex | QPersistentModelIndex
_ROOT = QModelIndex()


@dataclass(frozen=True, slots=True)
class PlaceAnswer:
    """The slot chosen: to go to it, or to put the coin in."""

    place: CoinPlace
    is_put: bool


class PlacesModel(QAbstractTableModel):
    """The slots as rows."""

    def __init__(self, found: CoinPlaces, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.places = found.places

    def rowCount(self, parent: AnyIndex = _ROOT) -> int:
        return 0 if parent.isValid() else len(self.places)

    def columnCount(self, parent: AnyIndex = _ROOT) -> int:
        return 0 if parent.isValid() else len(HEADS)

    def data(self, index: AnyIndex, role: int = _Role.DisplayRole) -> Any:
        if not index.isValid():
            return None
        place = self.places[index.row()]
        text = (place.label, place.album_name, place.where, place.there, place.text)[index.column()]
        if role in (_Role.DisplayRole, _Role.AccessibleTextRole):
            return text
        if role == _Role.DecorationRole and index.column() == 0:
            from gui.paint import glyph_icon

            return glyph_icon(place.code, GLYPH_PX, current_palette())
        if role == _Role.ForegroundRole:
            return self._colour(place, index.column())
        return None

    @staticmethod
    def _colour(place: CoinPlace, at: int) -> QColor | None:
        is_better = place.fit is Fit.FITS and place.gain in (Gain.GAP, Gain.UPGRADE)
        if at == len(HEADS) - 1 and is_better:
            return QColor(current_palette().accent)
        return QColor(current_palette().mute) if at > 0 else None

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = _Role.DisplayRole
    ) -> Any:
        if orientation != Qt.Orientation.Horizontal:
            return None
        if role == _Role.DisplayRole:
            return HEADS[section]
        if role == _Role.TextAlignmentRole:
            return int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        return None


class PlacesDialog(QDialog):
    """Shows the slots; Enter goes to one, Ctrl+Enter puts the coin in."""

    def __init__(
        self, parent: QWidget | None, title: str, found: CoinPlaces, may_put: bool = True
    ) -> None:
        super().__init__(parent)
        self._may_put = may_put
        self._is_put = False
        self.setWindowTitle("Where this coin could go")
        self.resize(1000, 520)
        box = column(self, (XL, XL, XL, XL), S)
        box.addWidget(Label("Where this coin could go", "heading", self))
        box.addWidget(ElidedLabel(title, "mute", self))
        box.addSpacing(S)
        self.model = PlacesModel(found, self)
        self.table = self._build_table()
        self.empty = EmptyState(
            "No slot of your albums takes this coin",
            "An album with such a slot may be made, or the coin described more closely.",
            parent=self,
        )
        box.addWidget(self.table if found.places else self.empty, 1)
        (self.empty if found.places else self.table).hide()
        told = self._told(found)
        if told:
            box.addWidget(Label(told, "small", self, wraps=True))
        box.addSpacing(S)
        foot = row(spacing=S)
        foot.addStretch(1)
        close = QuietButton("Close", self)
        close.clicked.connect(self.reject)
        self.put_button = QuietButton("Put it in", self)
        self.put_button.clicked.connect(self.put)
        self.go_button = PrimaryButton("Go to the slot", self)
        self.go_button.clicked.connect(self.accept)
        for key, button in (("Esc", close), ("Ctrl+Enter", self.put_button),
                            ("Enter", self.go_button)):  # fmt: skip
            foot.addSpacing(S)
            foot.addWidget(KeyHint(key, self))
            foot.addWidget(button)
        box.addLayout(foot)
        self.table.selectionModel().currentChanged.connect(lambda *_: self._allow())
        if found.places:
            self.table.selectRow(next((n for n, p in enumerate(found.places) if not p.is_here), 0))
            self.table.setFocus(Qt.FocusReason.OtherFocusReason)
        self._allow()

    def _build_table(self) -> QTableView:
        table = QTableView(self)
        table.setModel(self.model)
        table.setAccessibleName("Slots that take this coin")
        table.setShowGrid(False)
        table.setWordWrap(False)
        table.setTabKeyNavigation(False)
        table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        table.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        table.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        rows, head = table.verticalHeader(), table.horizontalHeader()
        rows.hide()
        rows.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        rows.setDefaultSectionSize(ROW_PX)
        head.setHighlightSections(False)
        head.setSectionsClickable(False)
        head.setStretchLastSection(True)
        for at, width in enumerate(WIDTHS[:-1]):
            head.resizeSection(at, width)
        table.doubleClicked.connect(lambda _index: self.accept())
        return table

    @staticmethod
    def _told(found: CoinPlaces) -> str:
        if not found.left_out:
            return ""
        return f"{found.left_out:,} more slots take it too; they gain no more than these."

    @property
    def place(self) -> CoinPlace | None:
        """The slot chosen."""
        at = self.table.currentIndex().row()
        return self.model.places[at] if 0 <= at < len(self.model.places) else None

    def _allow(self) -> None:
        place = self.place
        self.go_button.setEnabled(place is not None)
        can_put = place is not None and self._may_put and not place.is_here
        self.put_button.setEnabled(can_put)
        tip = "It is in this slot already." if place is not None and place.is_here else ""
        self.put_button.setToolTip(tip)

    def put(self) -> None:
        """Put the coin into the slot chosen."""
        if self.put_button.isEnabled():
            self._is_put = True
            self.accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() not in _ENTER or self.place is None:
            super().keyPressEvent(event)
        elif event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            self.put()
        else:
            self.accept()

    @property
    def answer(self) -> PlaceAnswer | None:
        """What was chosen."""
        place = self.place
        return PlaceAnswer(place, self._is_put) if place is not None else None

    @classmethod
    def ask(
        cls, parent: QWidget | None, title: str, found: CoinPlaces, may_put: bool = True
    ) -> PlaceAnswer | None:
        """The slot to go to or to put the coin into; None when it was closed."""
        dialog = cls(parent, title, found, may_put)
        is_given = dialog.exec() == QDialog.DialogCode.Accepted
        answer = dialog.answer
        dialog.deleteLater()
        return answer if is_given else None
