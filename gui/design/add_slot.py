"""Add a slot: what is likeliest near the current one, or in own words; and its label."""

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QObject, QSize, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QWidget,
)

from core.app.design import ExtraSlot
from core.errors import CollectionError
from core.lookup.parse import parse_entry
from core.model.album import Wish
from core.model.issue import Facet, Series
from core.model.label import slot_name
from gui.form_field import FormField
from gui.segmented import Segmented
from gui.small_dialog import SmallDialog
from gui.theme import XL, XS, L, M, S
from gui.widgets import KeyHint, Label, PrimaryButton, QuietButton, column, row

WISHES = (Wish.OPTIONAL, Wish.WANTED)
MOST_LINES, LINE_PX = 8, 26


class AddSlotDialog(SmallDialog):
    """A list to choose from; what is typed in own words goes before it."""

    def __init__(
        self,
        parent: QWidget | None,
        series: Series,
        near: str,
        suggestions: Sequence[tuple[str, ExtraSlot]],
    ) -> None:
        super().__init__(parent)
        self._series, self._suggestions = series, tuple(suggestions)
        self._own: ExtraSlot | None = None
        self.setWindowTitle("Add a slot")
        self.setAccessibleName("Add a slot")
        self.setMinimumWidth(460)
        box = column(self, (XL, XL, XL, L), L)
        head = column(spacing=S)
        head.addWidget(Label("Add a slot", "heading", self))
        head.addWidget(Label(f"It stands after {near}.", "mute", self))
        box.addLayout(head)
        self.words = QLineEdit(self)
        self.words.setPlaceholderText("1943, 1955 doubled die, any 1950 …")
        self.words.textChanged.connect(self._on_words)
        self.words.installEventFilter(self)
        self.words_field = FormField("In your own words", self.words, self)
        box.addWidget(self.words_field)
        self.list = QListWidget(self)
        self.list.setAccessibleName("Likely slots")
        for text, _extra in self._suggestions:
            item = QListWidgetItem(f" {text[:1].upper()}{text[1:]}")
            item.setSizeHint(QSize(0, LINE_PX))
            self.list.addItem(item)
        self.list.setCurrentRow(0)
        lines = max(2, min(MOST_LINES, len(self._suggestions)))
        self.list.setFixedHeight(lines * LINE_PX + XS)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.itemDoubleClicked.connect(lambda _item: self.accept())
        self.list.currentRowChanged.connect(lambda _row: self._show_what_can_be_done())
        box.addWidget(FormField("Or one of these", self.list, self))
        self.label = QLineEdit(self)
        self.label.setPlaceholderText("the usual label")
        self.label_field = FormField("Label", self.label, self)
        self.wish = Segmented([str(wish) for wish in WISHES], "Sought", self)
        self.wish.choose(0)
        pair = row(spacing=M)
        pair.addWidget(self.label_field, 1)
        pair.addWidget(FormField("Sought", self.wish, self), 1)
        box.addLayout(pair)
        box.addLayout(self._build_foot())
        for button in self.findChildren(QPushButton):
            button.setAutoDefault(button is self.add)
        self.words.setFocus(Qt.FocusReason.OtherFocusReason)
        self._show_what_can_be_done()

    def _build_foot(self) -> QHBoxLayout:
        foot = row(spacing=S)
        foot.addStretch(1)
        cancel = QuietButton("Cancel", self)
        cancel.clicked.connect(self.reject)
        self.add = PrimaryButton("Add the slot", self)
        self.add.setDefault(True)
        self.add.clicked.connect(self.accept)
        foot.addWidget(KeyHint("Esc", self))
        foot.addWidget(cancel)
        foot.addWidget(KeyHint("Enter", self))
        foot.addWidget(self.add)
        return foot

    # ---- what is chosen -----------------------------------------------------------------------

    @property
    def extra(self) -> ExtraSlot | None:
        """The slot that is chosen, None where what is typed cannot be read."""
        from dataclasses import replace

        at = self.list.currentRow()
        found = (
            self._own
            if self.words.text().strip()
            else (self._suggestions[at][1] if 0 <= at < len(self._suggestions) else None)
        )
        if found is None:
            return None
        wish = WISHES[max(0, self.wish.choice())]
        return replace(found, label=" ".join(self.label.text().split()), wish=wish)

    def _on_words(self, text: str) -> None:
        self._own, fault, reads = None, "", ""
        words = text.strip()
        if words:
            try:
                self._own = read_extra(words, self._series)
                reads = f"Reads {extra_name(self._own, self._series)}"
            except CollectionError as error:
                fault = str(error)
        self.words_field.show_fault(fault)
        self.words_field.show_hint(reads)
        self.list.setEnabled(not words)
        self._show_what_can_be_done()

    def _show_what_can_be_done(self) -> None:
        self.add.setEnabled(self.extra is not None)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Up and Down in the line go through the list."""
        if (
            watched is self.words
            and event.type() == QEvent.Type.KeyPress
            and isinstance(event, QKeyEvent)
            and event.key() in (Qt.Key.Key_Down, Qt.Key.Key_Up)
            and not self.words.text()
        ):
            step = 1 if event.key() == Qt.Key.Key_Down else -1
            last = self.list.count() - 1
            self.list.setCurrentRow(max(0, min(last, self.list.currentRow() + step)))
            return True
        return super().eventFilter(watched, event)

    @classmethod
    def ask(
        cls,
        parent: QWidget | None,
        series: Series,
        near: str,
        suggestions: Sequence[tuple[str, ExtraSlot]],
    ) -> ExtraSlot | None:
        """The slot to be added, or None when it was cancelled."""
        dialog = cls(parent, series, near, suggestions)
        is_given = dialog.exec() == QDialog.DialogCode.Accepted
        extra = dialog.extra
        dialog.deleteLater()
        return extra if is_given else None


def read_extra(words: str, series: Series) -> ExtraSlot:
    """The slot that own words mean: 1955 doubled die, any 1950. Raises BadEntry."""
    text = words.strip()
    is_any_mint = text.casefold().startswith("any ")
    coin = parse_entry(text[4:] if is_any_mint else text, [series], series.id).coin
    accepts = coin.description.with_facet(Facet.MINT, ()) if is_any_mint else coin.description
    return ExtraSlot(accepts, "", coin.varieties[0][0] if coin.varieties else None)


def extra_name(extra: ExtraSlot, series: Series) -> str:
    """What such a slot is called."""
    variety = series.variety(extra.variety) if extra.variety else None
    return slot_name(series, extra.accepts, variety.name if variety else "")
