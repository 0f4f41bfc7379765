"""The controls of the Shape panel that are more than one plain widget."""

from collections.abc import Callable, Sequence

from PySide6.QtCore import QEvent, QObject, QPoint, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent
from PySide6.QtWidgets import QApplication, QLineEdit, QPlainTextEdit, QSpinBox, QWidget

from core.errors import BadEntry
from core.model.arrangement import LABEL_FIELDS, RowMap, map_text, parse_map
from core.model.issue import Mint
from gui.flow_layout import FlowLayout
from gui.form_field import FormField
from gui.theme import XS, S
from gui.widgets import Chip, ElidedLabel, IconButton, MenuButton, QuietButton, column, row

TYPED_AFTER_MS = 350
"""What is typed takes effect when the keys have rested so long."""
MAP_LINES = 6


class Choice(MenuButton):
    """One of a few values, chosen from a menu; `chosen` tells the new one."""

    chosen = Signal(object)

    def __init__(
        self, text: str, values: Sequence[tuple[str, object]], parent: QWidget | None = None
    ) -> None:
        super().__init__(text, "", parent)
        self._values = tuple(values)
        self._now: object = None
        for word, value in self._values:
            action = self.choices.addAction(word)
            action.setCheckable(True)
            action.triggered.connect(lambda _on=False, value=value: self._on_chosen(value))
        self.choices.aboutToShow.connect(self._check)

    def choose(self, value: object) -> None:
        """Show a value without telling anyone."""
        self._now = value
        self.show_value(next((word for word, v in self._values if v == value), ""))

    def _check(self) -> None:
        for action, (_word, value) in zip(self.choices.actions(), self._values, strict=True):
            action.setChecked(value == self._now)

    def _on_chosen(self, value: object) -> None:
        if value != self._now:
            self.choose(value)
            self.chosen.emit(value)


class Count(QWidget):
    """A number with its words beside it: 9 slots to a row; `chosen` tells the new one."""

    chosen = Signal(int)

    def __init__(
        self,
        words: str,
        bounds: tuple[int, int],
        parent: QWidget | None = None,
        special: str = "",
    ) -> None:
        super().__init__(parent)
        box = row(self, spacing=S)
        self.field = QSpinBox(self)
        self.field.setRange(*bounds)
        self.field.setKeyboardTracking(False)
        self.field.setFixedWidth(60)
        self.field.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.field.setAccessibleName(words)
        self.field.setToolTip(f"{words[:1].upper()}{words[1:]}: type it, or press Up and Down")
        self.field.setSpecialValueText(special)
        self.field.valueChanged.connect(self.chosen)
        less = IconButton("chevron-down", f"Fewer {words}", self)
        more = IconButton("chevron-up", f"More {words}", self)
        less.clicked.connect(lambda: self._step(-1))
        more.clicked.connect(lambda: self._step(1))
        for button in (less, more):
            button.setFocusPolicy(Qt.FocusPolicy.NoFocus)  # the keys of the field do the same
        steps = row(spacing=0)
        steps.addWidget(less)
        steps.addWidget(more)
        box.addWidget(self.field)
        box.addWidget(ElidedLabel(words, "body", self), 1)
        box.addLayout(steps)
        self.setFocusProxy(self.field)

    def _step(self, by: int) -> None:
        self.field.stepBy(by)
        self._rest()

    def _rest(self) -> None:
        """Qt selects what it steps to, also where the keys are elsewhere."""
        if not self.field.hasFocus():
            self.field.lineEdit().deselect()

    def choose(self, value: int, least: int | None = None) -> None:
        """Show a number without telling anyone."""
        self.field.blockSignals(True)
        if least is not None:
            self.field.setMinimum(least)
        self.field.setValue(value)
        self.field.blockSignals(False)
        self._rest()


class TypedText(QObject):
    """Tells what was typed into a field, once the keys rest, or at once on leaving it."""

    typed = Signal(str)

    def __init__(self, field: QLineEdit | QPlainTextEdit) -> None:
        super().__init__(field)
        self._field = field
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(TYPED_AFTER_MS)
        self._timer.timeout.connect(self._tell)
        self._shown = ""
        field.textChanged.connect(lambda *_: self._timer.start())
        field.installEventFilter(self)

    @property
    def text(self) -> str:
        """What stands in the field."""
        if isinstance(self._field, QLineEdit):
            return self._field.text()
        return self._field.toPlainText()

    @property
    def is_waiting(self) -> bool:
        """Whether something typed was not told yet."""
        return self._timer.isActive()

    def show_text(self, text: str) -> None:
        """Put a text into the field without telling anyone."""
        self._shown = text
        if text != self.text:
            self._field.blockSignals(True)
            if isinstance(self._field, QLineEdit):
                self._field.setText(text)
            else:
                self._field.setPlainText(text)
            self._field.blockSignals(False)
        self._timer.stop()

    def tell_now(self) -> None:
        """Do not wait for the keys to rest."""
        if self._timer.isActive():
            self._timer.stop()
            self._tell()

    def _tell(self) -> None:
        if self.text != self._shown:
            self._shown = self.text
            self.typed.emit(self._shown)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.FocusOut:
            self.tell_now()
        elif (
            event.type() == QEvent.Type.KeyPress
            and isinstance(event, QKeyEvent)
            and event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter)
            and (isinstance(self._field, QLineEdit) or event.modifiers())
        ):
            self.tell_now()
            return True
        return False


class MapField(FormField):
    """A row map in lines, a leaf a line; what does not fit is told below it."""

    chosen = Signal(object)
    """A RowMap that can be read."""
    present_asked = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        self.field = QPlainTextEdit()
        self.field.setTabChangesFocus(True)
        self.field.setPlaceholderText("9 9 9 8\n10 10 9")
        self.field.setAccessibleName("Row map: slots row by row, a leaf a line")
        self.field.setToolTip("9 is a row of nine, 4_4 has a spacer, 9*4 is four such rows.")
        self.field.setFixedHeight(MAP_LINES * self.field.fontMetrics().lineSpacing() + 2 * S)
        self.present = QuietButton("Take the present shape")
        self.present.setToolTip("Write down the leaves as they stand now")
        content = column(spacing=S)
        content.addWidget(self.field)
        content.addWidget(self.present)
        super().__init__(
            "Slots row by row", content, parent, "A leaf a line. 4_4 has a spacer, 9*4 four rows."
        )
        self.present.clicked.connect(self.present_asked)
        self.typing = TypedText(self.field)
        self.typing.typed.connect(self._on_typed)
        self._map: RowMap = ()
        self._misfit = ""

    def show_map(self, row_map: RowMap, misfit: str) -> None:
        """Show a map, unless what is typed means the same; and what does not fit."""
        self._map, self._misfit = row_map, misfit
        typed = read_map(self.typing.text)
        is_being_typed = self.typing.is_waiting or (typed is None and self.field.hasFocus())
        if not is_being_typed and typed != row_map:
            self.typing.show_text(map_lines(row_map))
        if read_map(self.typing.text) is not None:
            self.show_fault(misfit)

    def _on_typed(self, text: str) -> None:
        try:
            row_map = parse_lines(text)
        except BadEntry as fault:
            self.show_fault(str(fault))
            return
        self.show_fault(self._misfit if row_map == self._map else "")
        if row_map != self._map:
            self._map = row_map
            self.chosen.emit(row_map)


def map_lines(row_map: RowMap) -> str:
    """A leaf a line."""
    return map_text(row_map).replace(" / ", "\n")


def parse_lines(text: str) -> RowMap:
    """Read a map, leaves on lines or after a stroke. Raises BadEntry."""
    return parse_map(_one_line(text))


def _one_line(text: str) -> str:
    return " / ".join(part for line in text.splitlines() for part in line.split("/")
                      if part.strip())  # fmt: skip


def read_map(text: str) -> RowMap | None:
    """The same; None where it cannot be read."""
    try:
        return parse_lines(text)
    except BadEntry:
        return None


class MintChip(Chip):
    """A mint that can be pushed along: with Ctrl and the arrow keys, or by the mouse."""

    pushed = Signal(int)
    dragged = Signal(QPoint)

    def __init__(self, mint: str, words: str, parent: QWidget | None = None) -> None:
        super().__init__(words, None, parent)
        self.mint = mint
        self.setCheckable(False)
        self.setCursor(Qt.CursorShape.OpenHandCursor)
        self.setToolTip("Drag it, or press Left and Right, to change the order")
        self._pressed_at: QPoint | None = None

    def keyPressEvent(self, event: QKeyEvent) -> None:
        step = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1}.get(Qt.Key(event.key()))
        if step is None:
            super().keyPressEvent(event)
        else:
            self.pushed.emit(step)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self._pressed_at = event.globalPosition().toPoint()
        self.setFocus(Qt.FocusReason.MouseFocusReason)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        at = event.globalPosition().toPoint()
        if self._pressed_at is not None and (
            (at - self._pressed_at).manhattanLength() >= QApplication.startDragDistance()
        ):
            self.dragged.emit(at)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        self._pressed_at = None


class MintOrder(QWidget):
    """The mints in the order in which they stand; `chosen` tells their ids anew."""

    chosen = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("Order of the mints")
        self._line = FlowLayout(self, XS, XS)
        self.chips: list[MintChip] = []
        self._after: QWidget = self

    def show_mints(self, mints: Sequence[Mint], after: QWidget) -> None:
        """Show mints in their order; `after` is what has the keys before them."""
        if [chip.mint for chip in self.chips] == [mint.id for mint in mints]:
            return
        held = next((chip.mint for chip in self.chips if chip.hasFocus()), None)
        for chip in self.chips:
            self._line.removeWidget(chip)
            chip.hide()
            chip.deleteLater()
        self.chips = []
        for mint in mints:
            chip = MintChip(mint.id, mint.id or "no letter", self)
            chip.setAccessibleName(f"{mint.name}: Left and Right change its place")
            chip.pushed.connect(lambda step, id_=mint.id: self._push(id_, step))
            chip.dragged.connect(lambda at, id_=mint.id: self._drag(id_, at))
            self._line.addWidget(chip)
            self.chips.append(chip)
            chip.show()
            if mint.id == held:
                chip.setFocus(Qt.FocusReason.OtherFocusReason)
        self._after = after
        self._chain()

    def _chain(self) -> None:
        before = self._after
        for chip in self.chips:
            QWidget.setTabOrder(before, chip)
            before = chip

    def _places(self) -> list[str]:
        return [chip.mint for chip in self.chips]

    def _push(self, mint: str, step: int) -> None:
        order = self._places()
        at = order.index(mint)
        self._move(mint, at + step)

    def _drag(self, mint: str, at: QPoint) -> None:
        """The chip goes to where the pointer is, past the middle of its neighbours."""
        inside = self.mapFromGlobal(at)
        others = [chip for chip in self.chips if chip.mint != mint]
        to = sum(
            chip.geometry().bottom() < inside.y()
            or (chip.geometry().top() <= inside.y() and chip.geometry().center().x() < inside.x())
            for chip in others
        )
        self._move(mint, to)

    def _move(self, mint: str, to: int) -> None:
        before = self._places()
        order = [one for one in before if one != mint]
        order.insert(max(0, min(to, len(order))), mint)
        if order == before:
            return
        by_id = {chip.mint: chip for chip in self.chips}
        self.chips = [by_id[one] for one in order]
        for chip in self.chips:
            self._line.removeWidget(chip)
        for chip in self.chips:
            self._line.addWidget(chip)
        self._line.activate()
        self._chain()
        self.chosen.emit(tuple(order))


class LabelField(FormField):
    """A label's template, the fields it may hold, and how it reads."""

    chosen = Signal(str)
    """A template that can be read; "" for the usual label."""

    def __init__(self, check: Callable[[str], str], parent: QWidget | None = None) -> None:
        self.field = QLineEdit()
        self.field.setPlaceholderText("the usual label")
        self.field.setAccessibleName("Text of the labels")
        content = column(spacing=XS)
        content.addWidget(self.field)
        chips = FlowLayout(spacing_x=0, spacing_y=0)
        self.buttons: dict[str, QuietButton] = {}
        for name in LABEL_FIELDS:
            button = QuietButton(f"{{{name}}}", None, "value")
            button.setAccessibleName(f"Insert the field {name}")
            button.clicked.connect(lambda _on=False, name=name: self._insert(name))
            chips.addWidget(button)
            self.buttons[name] = button
        content.addLayout(chips)
        super().__init__("Labels", content, parent)
        for button in self.buttons.values():
            button.setParent(self)
        self._check = check
        self.typing = TypedText(self.field)
        self.typing.typed.connect(self._on_typed)

    def show_label(self, template: str, sample: str) -> None:
        """Show a template and what a label reads like."""
        if not self.typing.is_waiting and not self.fault:
            if " ".join(self.typing.text.split()) != template:
                self.typing.show_text(template)
            self.show_hint(f"Reads {sample}" if sample else "")

    def _insert(self, name: str) -> None:
        self.field.insert(f"{{{name}}}")
        self.typing.tell_now()

    def _on_typed(self, text: str) -> None:
        try:
            template = self._check(text)
        except BadEntry as fault:
            self.show_fault(str(fault))
            return
        self.show_fault("")
        self.chosen.emit(template)
